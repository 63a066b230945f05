"""Which top goes with which mouth, and how the others are refused. mm."""

from dataclasses import dataclass, fields, replace
from typing import ClassVar

import pytest

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.base.errors import FieldError
from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, PieceId, PieceRole, SeamRole
from core.site.site import Mouth, Ring, Run
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top import Top
from core.tops.zip_forward.zip import ZipForward

FLAT = sample("demo").site.mouth
_WALL = PieceId("body", PieceRole.WALL)
BOX = FLAT._replace(
    runs=tuple(
        Run(face, EdgeRef(_WALL, EdgeId(EdgeRole.TOP, face)), 10.0, 100.0)
        for face in (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)
    ),
    sides={},
)
RING = FLAT._replace(
    sides={},
    ring=Ring(
        panels={}, strips={}, ends={}, length=300.0, depth=100.0, seam=6.0, end_seam=6.0
    ),
)  # fmt: skip
SEWN_IN = FLAT._replace(sides={})


@pytest.mark.parametrize(
    ("top", "mouth", "word"),
    [
        (ZipForward, FLAT, ""),
        (ZipForward, BOX, "a facing or a top strip"),
        (ZipForward, SEWN_IN, "side seam on either side"),
        (ZipForward, RING, "takes a top strip"),
        (Hem, FLAT, ""),
        (Hem, BOX, ""),
        (Hem, SEWN_IN, ""),
        (Hem, RING, "takes a top strip"),
    ],
)
def test_a_mouth_that_cannot_take_a_top_says_what_would_be_right(
    top: type[Top], mouth: Mouth, word: str
) -> None:
    refused = top.refused(mouth)
    assert (refused is None) == (not word)
    assert refused is None or word in refused.text()


@dataclass(frozen=True, slots=True, kw_only=True)
class _OpenBox(BoxedPanel):
    """A boxed panel that says its mouth stands open."""

    KIND: ClassVar[str] = "open-box"

    def mouth(self) -> Mouth:
        return BOX._replace(allowance_figure=super(_OpenBox, self).mouth().allowance_figure)


def _held_open(bag: Bag) -> Bag:
    body = bag.body
    assert isinstance(body, BoxedPanel)
    values = {each.name: getattr(body, each.name) for each in fields(body)}
    return replace(bag, body=_OpenBox(**values), top=Hem())


def test_a_top_that_does_not_go_with_the_bag_leaves_it_as_it_is() -> None:
    bag = _held_open(sample("demo"))
    with pytest.raises(FieldError, match="a facing or a top strip") as told:
        with_choice(bag, "top", "zip-forward")
    assert (told.value.field, told.value.value) == ("top", "zip-forward")
    with pytest.raises(FieldError, match="a facing or a top strip"):
        replace(bag, top=sample("demo").top)


def test_a_body_is_cut_for_the_top_that_is_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for each, and put into the bag with it: the body alone would not go with its top."""
    asked = []

    def made_for(self: Body, site: object, *, closes_ring: bool) -> Body:
        asked.append(closes_ring)
        values = {each.name: getattr(self, each.name) for each in fields(BoxedPanel)}
        return BoxedPanel(**values)

    monkeypatch.setattr(_OpenBox, "made_for", made_for)
    zipped = with_choice(_held_open(sample("demo")), "top", "zip-forward")
    assert isinstance(zipped.top, ZipForward)
    assert type(zipped.body) is BoxedPanel
    assert set(asked) == {False}
    assert zipped.top.length >= zipped.site.front.width


def test_hems_of_four_runs_have_labels_and_no_side_seams() -> None:
    seams = Hem().seams(BOX)
    assert [each.id.role for each in seams] == [SeamRole.HEM] * 4
    assert len({each.label for each in seams}) == 4
