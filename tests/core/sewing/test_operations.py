"""What each bag's operations use and say.

Stitch types: ISO 4915 as listed by teaching pages on stitch classification: class 300 are the
lockstitches, 301 the straight one, 304 the zigzag, which also makes bar tacks. The rules of the
trade about what comes before what are common practice, no source.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.base.units import Unit
from core.flat.roles import Side
from core.parts.board.board import BOARD
from core.parts.handles.figures import HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.sewing.steps import operations
from core.storage.bag_files import SAMPLES, demo_bag, sample
from core.work.machine import Foot, Heat, Stitch
from core.work.operation import Action, Operation
from tests.core.sewing.order_proof import wrongly_used
from tests.helpers import bare, demo, demo_panel, having, inch, layer, sandwich
from tests.strategies import bags, carriers, pillows


def found(bag: Bag) -> dict[str, Operation]:
    result = compute(bag)
    return {each.key: each for each in operations(bag, result.draft)}


@settings(max_examples=50)
@given(bag=st.one_of(bags(), carriers()))
def test_every_piece_seam_and_mark_is_used_exactly_once(bag: Bag) -> None:
    draft = compute(bag).draft
    assert wrongly_used(draft, operations(bag, draft)) == ()


@settings(max_examples=40)
@given(bag=bags(panel=pillows()))
def test_a_pillow_has_no_corner_to_sew(bag: Bag) -> None:
    draft = compute(bag).draft
    every = operations(bag, draft)
    assert wrongly_used(draft, every) == ()
    assert not CORNERS & {each.key for each in every}


def test_what_is_used_twice_or_never_is_told() -> None:
    result = compute(demo())
    every = operations(result.bag, result.draft)
    lay_on = next(each for each in every if each.key == "lay on front pocket")
    (mark,) = lay_on.marks
    left_out = tuple(
        each for each in every if each.key not in ("join zip front", "lay on front pocket")
    )
    assert wrongly_used(result.draft, left_out) == (
        "seam zip seam front: used 0 times",
        f"mark panel {mark.index}: used 0 times",
    )
    twice = (*every, lay_on, next(each for each in every if each.key == "join zip back"))
    assert wrongly_used(result.draft, twice) == (
        "seam zip seam back: used 2 times",
        f"mark panel {mark.index}: used 2 times",
    )
    uncut = tuple(each for each in every if BOARD not in each.pieces)
    assert "piece base board: used 0 times" in wrongly_used(result.draft, uncut)


@settings(max_examples=50)
@given(bag=st.one_of(bags(), carriers()))
def test_keys_are_unique_and_tell_the_kind_first(bag: Bag) -> None:
    every = operations(bag, compute(bag).draft)
    keys = [each.key for each in every]
    assert len(set(keys)) == len(keys)
    assert all(key.startswith(each.action.value) for key, each in zip(keys, every, strict=True))


# --- Other parts, other operations ----------------------------------------------------------------

POCKET = {
    "cut front pocket", "join front pocket", "turn front pocket",
    "topstitch front pocket upper edge", "lay on front pocket", "baste front pocket sides",
    "topstitch front pocket lower edge",
}  # fmt: skip
HANDLES = {
    "cut handle strip", "join handle strips", "press handle tape", "topstitch handles",
    "lay on handles", "topstitch handles down", "topstitch handle stops",
}  # fmt: skip
ZIP = {
    "mark zip", "join zip front", "topstitch zip front", "join zip back", "open zip",
    "topstitch zip back", "baste zip ends", "cut zip ends",
}  # fmt: skip
CORNERS = {"cut corner cuts", "join corner seam left", "join corner seam right"}


@pytest.mark.parametrize(
    ("bag", "gone", "come"),
    [
        (without_part(demo_bag(), "pocket"), POCKET, set()),
        (without_part(demo_bag(), "handles"), HANDLES, set()),
        (without_part(demo_bag(), "board"), {"cut base board", "lay in base board"}, set()),
        (without_part(demo_bag(), "zip"), ZIP, {"hem top"}),
        (
            with_figures(demo_bag(), {"corner_cut_width": 0.0, "corner_cut_depth": 0.0}),
            CORNERS,
            set(),
        ),
    ],
    ids=["pocket", "handles", "board", "zip", "corners"],
)
def test_without_a_part_its_operations_are_gone(bag: Bag, gone: set[str], come: set[str]) -> None:
    assert found(bag).keys() == found(demo_bag()).keys() - gone | come
    assert gone < found(demo_bag()).keys()


def test_two_pockets_two_handles_and_a_seamed_bottom() -> None:
    bag = demo_bag()
    assert bag.parts.get("pocket") is not None
    assert bag.parts.get("handles") is not None
    both = having(bag, pocket=replace(bag.parts["pocket"], faces=PocketFaces.BOTH))
    assert {"lay on front pocket", "lay on back pocket"} <= found(both).keys()
    handles = replace(bag.parts["handles"], style=HandleStyle.SEPARATE, strips=1)
    assert "join handle strips" not in found(having(bag, handles=handles))
    seamed = with_figures(bag, {"bottom_seam": inch(0.25)})
    assert {"cut front", "cut back", "join bottom seam"} <= found(seamed).keys()


def test_one_layer_needs_neither_basting_nor_a_walking_foot() -> None:
    every = found(bare(demo_panel())).values()
    assert not [
        each.key for each in every if each.action in (Action.BASTE, Action.FUSE, Action.UNPICK)
    ]
    assert {each.setting.foot for each in every if each.setting} == {Foot.STANDARD}


def test_stitches_carry_their_number_in_iso_4915() -> None:
    every = found(demo_bag())
    assert Stitch.LOCKSTITCH.value == "301"
    assert Stitch.ZIGZAG.value == "304"
    for key, each in every.items():
        if each.setting is None:
            continue
        zigzag = each.action in (Action.TACK, Action.OVERCAST)
        assert each.setting.stitch is (Stitch.ZIGZAG if zigzag else Stitch.LOCKSTITCH), key
        # Seams that stay: 2.5 mm (common practice, no source).
        if each.action is Action.JOIN:
            assert each.setting.length == 2.5


def test_what_melts_is_ironed_cool_and_through_a_cloth() -> None:
    wall = sandwich(layer(), layer("interfacing", fusible=True), layer("film", melts=True))
    every = found(demo(sandwich=wall))
    press = every["press bag"].pressing
    assert press is not None
    assert (press.heat, press.cloth) == (Heat.COOL, True)
    fuse = every["fuse interfacing"].pressing
    assert fuse is not None
    assert fuse.heat is Heat.MEDIUM  # before the film is in
    melting_outside = sandwich(layer(melts=True), layer("interfacing", fusible=True))
    assert "fuse interfacing" not in found(demo(sandwich=melting_outside))
    films = [layer("film", name=name, melts=True) for name in ("clear", "white")]
    caution = found(demo(sandwich=sandwich(layer(), *films)))["press bag"].caution
    assert caution is not None
    assert caution.text().startswith("A hot iron damages film: "), "each role once"


def test_small_distances_are_round_in_the_makers_unit() -> None:
    near = {
        unit: found(replace(demo(), unit=unit))["topstitch handles"]
        .instructions[1]
        .lengths["edge_distance"]
        for unit in (Unit.INCH, Unit.MM)
    }
    assert near == {Unit.INCH: pytest.approx(inch(0.125)), Unit.MM: 3.0}


@pytest.mark.parametrize("side", Side)
def test_what_is_done_at_a_side_is_told_of_it_and_sewn_there(side: Side) -> None:
    every = found(demo_bag())
    for seam in ("side", "corner"):
        each = every[f"join {seam} seam {side.value}"]
        told = " ".join(sentence.text() for sentence in (each.title, *each.instructions))
        assert side.value in told
        assert side.other.value not in told.replace("right sides", "").replace("right side", "")
        assert [seam_id.side for seam_id in each.seams] == [side]


def test_one_panel_of_one_layer_is_not_spoken_of_as_several() -> None:
    for name, told in (("boxed", "along one short edge, and"), ("demo", "short edge of each")):
        assert told in " ".join(each.text() for each in found(sample(name))["cut panel"].sentences)


def test_the_words_of_one_step_have_one_apostrophe() -> None:
    for name in SAMPLES:
        for each in found(sample(name)).values():
            assert not any("’" in sentence.text() for sentence in each.sentences), each.key
