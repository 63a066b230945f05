"""Another construction keeps the sizes, says what it cannot take, and gives it back. mm."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from itertools import permutations
from typing import ClassVar

import pytest

from core.bag.bag import Bag, with_figures
from core.bag.choices import with_choice
from core.bag.compute import Around, compute
from core.bag.construction import (
    Aside,
    lost_with_construction,
    put_aside,
    tops_of,
    with_back,
    with_construction,
)
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.sentences import Sentence, say
from core.base.tolerance import shorter
from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.flat.roles import FACES, Face
from core.flat.seam import Seam
from core.model.findings import Severity
from core.parts.board.board import BaseBoard, board_room
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.site.site import Mouth, Seat, Site
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward
from core.tops.zips.zipped import Zipped
from tests.toys import Envelope

INCH = 25.4
SIZES = ("opening_width", "base_width", "gusset_depth", "face_height")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Crate(BoxedPanel):
    """A boxed panel that sews its own sides, and whose faces end at the bottom."""

    KIND: ClassVar[str] = "crate"

    def mouth(self) -> Mouth:
        return BoxedPanel.mouth(self)._replace(sides={})

    def seams_after(self) -> tuple[Seam, ...]:
        return BoxedPanel.mouth(self).side_seams() + BoxedPanel.seams_after(self)

    def seats(self) -> Mapping[Face, Seat]:
        seats = BoxedPanel.seats(self)
        return {face: seats[face]._replace(flat_below=False) for face in FACES}


class _Loop(Handles):
    """Handles that run under the bag, and are refused where nothing runs on below."""

    def check_fit(self, site: Site) -> None:
        Handles.check_fit(self, site)
        if not site.front.flat_below:
            raise FieldError(say("There is no way under."), field="handle_stop", value=self.stop)


def demo() -> Bag:
    bag = sample("demo")
    handles = bag.parts["handles"]
    assert isinstance(handles, Handles)
    loop = _Loop(**{each.name: getattr(handles, each.name) for each in fields(handles)})
    return bag.with_part(loop)


def sizes(bag: Bag) -> list[float | None]:
    found = compute(bag).finished
    return [found[name] for name in SIZES]


def test_the_sizes_stay_and_what_cannot_go_along_is_told() -> None:
    bag = demo()
    crate = with_construction(bag, _Crate)
    assert type(crate.top) is Hem
    assert set(crate.parts) == set(bag.parts) - {"handles"}
    assert sizes(crate) == pytest.approx(sizes(bag))
    told = lost_with_construction(bag, crate)
    assert told is not None
    assert told.text() == (
        "The top of this bag is now: Open, hemmed. Left out, as this construction cannot take it: "
        f"handles. {ZipForward.refused(crate.site.mouth).text()}"
    )


def test_what_was_left_comes_back_as_it_was() -> None:
    bag = demo()
    crate = with_construction(bag, _Crate)
    aside = put_aside({}, bag, crate)
    assert aside == {"handles": Aside(bag.parts["handles"], bag, None)}
    back = with_back(crate, with_construction(crate, BoxedPanel, bag), aside.values())
    assert back == bag
    assert put_aside(aside, crate, back) == {}
    assert lost_with_construction(crate, back) is not None  # of the hem
    plain = with_construction(crate, BoxedPanel)
    assert plain.body != bag.body
    assert type(plain.top) is Hem
    assert "handles" not in plain.parts
    assert sizes(plain) == pytest.approx(sizes(bag))


def test_sizes_that_were_changed_meanwhile_stay_changed() -> None:
    bag = with_figures(
        with_choice(with_choice(demo(), "corners", "sewn-across"), "bottom", "seam"),
        {"side_seam": 12.7, "bottom_seam": 15.0},
    )
    crate = with_construction(bag, _Crate)
    deeper = with_figures(crate, {"panel_length": crate.body.length + 40.0})
    back = with_construction(deeper, BoxedPanel, bag)
    assert sizes(back)[3] == pytest.approx(sizes(bag)[3] + 20.0)
    assert sizes(back) == pytest.approx(sizes(deeper))
    assert back.body.sewn_across
    assert (back.body.side_seam, back.body.bottom_seam) == (12.7, 15.0)
    assert type(back.top) is ZipForward
    assert back.top.colour == bag.top.colour


def test_a_top_that_was_chosen_meanwhile_stays() -> None:
    bag = with_choice(demo(), "top", "hem")
    crate = with_construction(bag, _Crate)
    assert lost_with_construction(bag, crate).text().startswith("Left out, ")
    zipped = with_choice(with_construction(bag, Envelope), "top", "zip-forward")
    back = with_construction(zipped, BoxedPanel, bag)
    assert type(back.top) is ZipForward


def test_a_part_that_the_bag_has_by_then_is_not_replaced() -> None:
    bag = demo()
    crate = with_construction(bag, _Crate)
    handles = Handles.fresh(Around(crate), HandleStyle.SEPARATE.value)
    other = crate.with_part(handles)
    aside = put_aside({}, bag, crate)
    back = with_back(other, with_construction(other, BoxedPanel, bag), aside.values())
    assert back.parts["handles"] == handles


class _Lid(Hem):
    """A top that closes what is sewn up at its sides by the body."""

    CLOSES: ClassVar[bool] = True

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        return say("A lid lies on a crate.") if mouth.sides else None


def test_a_zip_that_comes_anew_clears_the_top_fold() -> None:
    crate = replace(with_construction(sample("demo"), _Crate), top=_Lid())
    boxed = with_construction(crate, BoxedPanel)
    found = compute(boxed).finished
    assert type(boxed.top) is ZipForward
    assert found["zip_clearance"] == pytest.approx(boxed.site.mouth.allowance)
    assert sizes(boxed) == pytest.approx(sizes(crate))
    flat = with_construction(sample("demo").without("pocket", "handles", "board"), Envelope)
    again = with_construction(flat, BoxedPanel)
    assert [compute(bag).finished["zip_offset"] for bag in (flat, again)] == pytest.approx([0, 0])


def test_a_wider_mouth_takes_a_longer_zip() -> None:
    bag = sample("demo")
    flat = with_construction(bag, Envelope)
    assert flat.top == bag.top
    wide = replace(flat, body=replace(flat.body, width=700.0, seam=0.0), parts=Parts())
    boxed = with_construction(wide, BoxedPanel)  # wider by its two side seams
    assert shorter(bag.top.length, boxed.top.length)
    assert not [each for each in compute(boxed).findings if each.code == "zip-too-short"]
    assert replace(boxed.top, length=bag.top.length) == bag.top


def test_a_body_tells_the_tops_that_it_takes() -> None:
    assert tops_of(sample("demo").body)[:2] == (ZipForward, Hem)
    crate = with_construction(sample("demo"), _Crate).body
    assert Hem in tops_of(crate)
    assert ZipForward not in tops_of(crate)


def box(bag: Bag) -> list[float]:
    """Width, depth and height of the box that a bag stands as."""
    found = compute(bag).finished
    wide = found.get("face_width") or found["base_width"]
    return [wide, found["gusset_depth"], found["face_height"]]


CARRIERS: tuple[type[Body], ...] = (BoxedPanel, GussetStrip, Wrap, SeparateBase)


@pytest.mark.parametrize("name", ["demo", "tote"])
@pytest.mark.parametrize("way", [*permutations(CARRIERS[1:]), (GussetStrip, GussetStrip, Wrap)])
def test_a_box_stays_the_same_box_in_every_construction_and_comes_back(
    name: str, way: tuple[type[Body], ...]
) -> None:
    start = bag = sample(name)
    lefts: dict[type[Body], Bag] = {}
    aside: dict[str, Aside] = {}
    for kind in (*way, BoxedPanel, *way[::-1], BoxedPanel):
        was, lefts[type(bag.body)] = bag, bag
        if isinstance(bag.body, kind):
            continue
        bag = with_back(was, with_construction(bag, kind, lefts.get(kind)), aside.values())
        aside = put_aside(aside, was, bag)
        assert box(bag) == pytest.approx(box(start)), kind.KIND
        assert bag.top.CLOSES == start.top.CLOSES
        assert set(bag.parts) == set(start.parts), "nothing of them is without a place"
        told = lost_with_construction(was, bag)
        assert (type(bag.top) is not type(was.top)) <= (told is not None)
        if kind in lefts:
            assert bag.body == lefts[kind].body
            assert type(bag.top) is type(lefts[kind].top)
        found = {each.code for each in compute(bag).findings if each.severity is Severity.STOP}
        assert not found
    assert bag == start
    assert aside == {}


def test_a_ring_that_is_cut_open_takes_no_top_strip() -> None:
    """Sewn to four edges it would have to be on before the panels that it is sewn to."""
    strip = with_construction(sample("demo"), GussetStrip)
    assert isinstance(strip.body, GussetStrip)
    with pytest.raises(FieldError, match="cut to stay open at the top"):
        replace(strip, body=replace(strip.body, top_strip_length=0.0))
    with pytest.raises(FieldError, match="at the top: hem them, or sew a facing"):
        with_figures(strip, {"top_strip_length": 0.0})


def test_a_rounded_corner_takes_nothing_of_the_box() -> None:
    strip = with_construction(sample("demo"), GussetStrip)
    body = strip.body
    assert isinstance(body, GussetStrip)
    rounding = 40.0 + body.gusset_seam
    rounded = replace(strip, body=replace(body, corner_rounding=rounding, upper_rounding=rounding))
    for kind in (BoxedPanel, SeparateBase, Wrap):
        assert box(with_construction(rounded, kind)) == pytest.approx(box(strip)), kind.KIND


def board_of(bag: Bag) -> BaseBoard:
    board = bag.parts["board"]
    assert isinstance(board, BaseBoard)
    return board


@pytest.mark.parametrize(
    ("name", "kind"),
    [("coolbox", Wrap), ("coolbox", SeparateBase), ("jar", GussetStrip), ("jar", BoxedPanel)],
)
@pytest.mark.parametrize("short", [0.0, 5.0])
def test_a_board_follows_its_room_and_comes_back(name: str, kind: type[Body], short: float) -> None:
    """The bend of a strip takes of the flat bottom: the margin to what is left of it stays."""
    start = sample(name)
    start = start.with_part(BaseBoard.fresh(Around(start)))
    board = board_of(start)
    start = start.with_part(replace(board, width=board.width - short))
    other = with_construction(start, kind)
    codes = {each.code for each in compute(other).findings}
    assert not {"board-too-big", "board-too-small"} & codes
    rooms = [board_room(board.way, each.site, compute(each).finished) for each in (start, other)]
    margins = [
        (room[0] - each.width, room[1] - each.depth)
        for room, each in zip(rooms, map(board_of, (start, other)), strict=True)
    ]
    assert margins[1] == pytest.approx(margins[0])
    assert board_of(with_construction(other, type(start.body), start)) == board_of(start)
    own = replace(board_of(other), width=board_of(other).width - 7.0)
    back = with_construction(other.with_part(own), type(start.body), start)
    assert board_of(back).width == pytest.approx(board_of(start).width - 7.0), "it was changed"


@pytest.mark.parametrize("kind", [GussetStrip, Wrap])
def test_a_zip_stays_of_its_kind_between_other_edges(kind: type[Body]) -> None:
    bag = sample("demo")
    assert isinstance(bag.top, Zipped)
    own = replace(bag.top, gauge="8", colour="rust", by_length=True)
    for left in (None, replace(bag, top=own)):
        strip = with_construction(replace(bag, top=own), kind)
        assert isinstance(strip.top, TopStrip)
        assert strip.top.length == pytest.approx(strip.top.spans(strip.site.mouth) + 2 * INCH)
        for each in (strip, with_construction(strip, BoxedPanel, left)):
            assert isinstance(each.top, Zipped)
            assert (each.top.gauge, each.top.colour, each.top.by_length) == ("8", "rust", True)
    assert with_construction(strip, BoxedPanel, replace(bag, top=own)).top == own


def test_a_part_that_has_no_sizes_in_the_other_construction_is_left_out_and_comes_back() -> None:
    """Separate handles on so low a panel would have legs shorter than nothing."""
    low = with_figures(with_construction(sample("tote"), Wrap), {"face_cut_height": 120.0})
    start = low.without("handles").with_part(Handles.fresh(Around(low.without("handles"))))
    strip = with_construction(start, GussetStrip)
    assert "handles" not in strip.parts
    told = lost_with_construction(start, strip)
    assert told is not None and "handles" in told.text()
    aside = put_aside({}, start, strip)
    back = with_back(strip, with_construction(strip, Wrap, start), aside.values())
    assert back.parts["handles"] == start.parts["handles"]
    with_own = strip.with_part(Handles.fresh(Around(strip)))
    assert put_aside(aside, start, with_own)["handles"].part == start.parts["handles"]
    assert lost_with_construction(start, with_own) is not None


def below_top(bag: Bag, down: float) -> float:
    """How far below the bag's top lies what is so far below the cut top edge of its front."""
    seat = bag.site.front
    return down - seat.top_allowance + seat.above


def test_what_hung_above_the_end_of_a_wrap_is_sewn_on_right_below_it() -> None:
    """With its drop, and nothing of it runs on under the bag."""
    was = sample("coolbox")
    now = with_construction(was, Wrap)
    assert now.site.front.above > below_top(was, was.parts["handles"].stop)
    assert now.parts["handles"].stop == pytest.approx(now.site.front.top_allowance)
    drops = [compute(bag).finished["handle_drop_front"] for bag in (was, now)]
    assert drops[0] <= drops[1] <= drops[0] + now.site.ruler
    assert not [each for each in compute(now).findings if each.severity >= Severity.WARN]
    assert with_construction(now, GussetStrip, was) == was


def test_handles_and_pocket_keep_their_place_below_the_bag_s_top() -> None:
    was = sample("wrap")
    now = with_construction(was, GussetStrip)
    stops = [below_top(bag, bag.parts["handles"].stop) for bag in (was, now)]
    assert stops[0] == pytest.approx(stops[1])
    assert shorter(was.parts["handles"].stop, now.parts["handles"].stop)
    assert not [each for each in compute(now).findings if each.severity >= Severity.WARN]
    low = with_figures(sample("coolbox"), {"pocket_drop": 120.0})
    wrapped = with_construction(low, Wrap)
    drops = [below_top(each, each.parts["pocket"].drop) for each in (low, wrapped)]
    assert drops[0] == pytest.approx(drops[1])


def test_a_zip_that_was_too_short_before_comes_back_as_it_was() -> None:
    """In the wrap its top strip is shorter, and it long enough."""
    bag = with_figures(sample("coolbox"), {"top_strip_length": 490.0, "strip_length": 561.3})
    there = with_construction(bag, Wrap)
    assert there.top == bag.top
    assert with_construction(there, GussetStrip, left=bag).top == bag.top
