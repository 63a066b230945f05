"""What each bag's operations use and say.

Stitch types: ISO 4915 as listed by teaching pages on stitch classification: class 300 are the
lockstitches, 301 the straight one, 304 the zigzag, which also makes bar tacks. The rules of the
trade about what comes before what are common practice, no source.
"""

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.bag.bag import CUT_FIGURES, FINISHED_FIGURES, Bag, with_figures, without_part
from core.bag.compute import Result, compute
from core.base.units import Unit, default_step
from core.flat.roles import Face
from core.model.figures import Kind as FigureKind
from core.parts.board.board import BaseBoard
from core.parts.handles.handles import HandleStyle
from core.parts.handles.joins import best_joins, told_join
from core.parts.pocket.pocket import PocketFaces
from core.sewing.steps import operations
from core.storage import demo_bag
from core.work.machine import Foot, Heat, Stitch
from core.work.operation import Action, Operation
from tests.core.sewing.order_proof import wrongly_used
from tests.helpers import bare, demo, demo_panel, inch, layer, sandwich
from tests.strategies import bags, pillows


def found(bag: Bag) -> dict[str, Operation]:
    result = compute(bag)
    return {each.key: each for each in operations(bag, result.draft)}


@settings(max_examples=50)
@given(bag=bags())
def test_every_piece_seam_and_mark_is_used_exactly_once(bag: Bag) -> None:
    draft = compute(bag).draft
    assert wrongly_used(draft, operations(bag, draft)) == ()


@settings(max_examples=40)
@given(bag=bags(panel=pillows()))
def test_a_pillow_has_no_corner_to_sew(bag: Bag) -> None:
    draft = compute(bag).draft
    every = operations(bag, draft)
    assert wrongly_used(draft, every) == ()
    assert not [each.key for each in every if "corner" in each.key]


def test_what_is_used_twice_or_never_is_told() -> None:
    result = compute(demo())
    every = operations(result.bag, result.draft)
    (mark,) = next(each.marks for each in every if each.key == "join zip front")
    without_zip = tuple(each for each in every if each.key != "join zip front")
    assert wrongly_used(result.draft, without_zip) == (
        "seam zip seam front: used 0 times",
        f"mark panel {mark.index}: used 0 times",
    )
    twice = (*every, next(each for each in every if each.key == "join zip back"))
    assert [told.split(":")[1] for told in wrongly_used(result.draft, twice)] == 2 * [
        " used 2 times"
    ]
    uncut = tuple(each for each in every if "base board" not in each.pieces)
    assert "piece base board: used 0 times" in wrongly_used(result.draft, uncut)


@settings(max_examples=50)
@given(bag=bags())
def test_keys_are_unique_and_tell_the_kind_first(bag: Bag) -> None:
    every = operations(bag, compute(bag).draft)
    keys = [each.key for each in every]
    assert len(set(keys)) == len(keys)
    assert all(key.startswith(each.action.value) for key, each in zip(keys, every, strict=True))


# --- Figures in the sentences ---------------------------------------------------------------------

FIGURES = {figure.name for figure in (*CUT_FIGURES, *FINISHED_FIGURES)}
HABITS = {
    "edge_distance", "tack_length", "rounding", "close", "size_tolerance", "join_seam",
    "fold_clearance",
}  # fmt: skip
"""Distances that follow from no figure of the bag."""


def derived(result: Result) -> dict[str, set[float]]:
    """Every other length that a sentence may name, from the cut figures alone."""
    bag = result.bag
    panel, half = bag.body, bag.body.length / 2
    front, back = half - panel.front_trim, half
    whole = {front + back} if panel.folded else {front, back}
    lengths: dict[str, set[float]] = {
        "cut_length": whole,
        "diagonal": {math.hypot(panel.width, one) for one in whole},
        "front_length": {front},
        "back_length": {back},
        "middle": {panel.width / 2},
        "stack": {walls * bag.sandwich.pressed for walls in (2, 3, 4, 5)},
        "notch": {2 * panel.corner_depth},
        "washed_width": {each.washed_width for each in bag.cloth},
        "usable_width": {each.usable_width for each in bag.cloth},
        "half_hem": {panel.top_seam / 2},
        "narrowest": {
            min(
                panel.side_seam, panel.top_seam,
                *([panel.corner_seam] if panel.has_corners else []),
                *([] if panel.folded else [panel.bottom_seam]),
            )
        },
    }  # fmt: skip
    for walked in result.draft.walked:
        if walked.seam.name.startswith("side seam"):
            lengths.setdefault("seam_length", set()).add(walked.length)
    length = getattr(bag.top, "length", None)
    if length is not None:
        lengths["spare"] = {(length - panel.width) / 2}
        lengths["short"] = {panel.width - length}
        lengths["room"] = {(bag.top.tape_width - 2 * panel.top_seam) / 2}
    if bag.board is not None:
        lengths |= board_lengths(result, bag.board)
    if bag.handles is not None:
        lengths |= handle_lengths(bag)
    return lengths


def board_lengths(result: Result, board: BaseBoard) -> dict[str, set[float]]:
    """On the lining: what the whole wall leaves; between the layers: on the flat panel."""
    panel, wall = result.bag.body, result.bag.sandwich.thickness
    ends = ((result.finished["base_width"] or 0.0) - board.width) / 2
    sides = ((result.finished["gusset_depth"] or 0.0) - board.depth) / 2
    return {
        "ends": {ends - wall},
        "sides": {sides - wall},
        "clear": {min(ends, sides)},
        "board_side": {(panel.width - board.width) / 2},
        "half_depth": {board.depth / 2},
    }


def handle_lengths(bag: Bag) -> dict[str, set[float]]:
    handles, panel = bag.handles, bag.body
    assert handles is not None
    width, strip = handles.width, 4 * handles.width - inch(0.25)
    outer = bag.sandwich.layers[0]
    whole = outer.usable_width * (1 - outer.shrink_width)
    last = whole if handles.last_strip is None else handles.last_strip
    loop = (handles.strips - 1) * whole + last - handles.strips * 2 * inch(0.25)
    faces = [panel.top(face) for face in (Face.FRONT, Face.BACK)]
    looped = handles.style is HandleStyle.LOOP
    legs = [face - handles.stop if looped else handles.leg for face in faces]
    free = [(loop / 2 if looped else loop) - 2 * leg for leg in legs]
    return {
        "strip_width": {strip},
        "strip_length": {whole, last},
        "turned_in": {(strip - 2 * width) / 2},
        "tape_width": {2 * width},
        "apart": {2 * width - (strip - 2 * width)},
        "from_side": {panel.width / 2 - handles.gap / 2 - width},
        "half_loop": {loop / 2},
        "with_ends": {loop + inch(0.5)},
        "leg_foot": {handles.stop + handles.leg},
        "leg_front": {legs[0]},
        "leg_back": {legs[1]},
        "free_front": {free[0]},
        "free_back": {free[1]},
        "beyond": {handles.gap / 2 + width - panel.width / 2},
        **{gap: {length} for gap, length in pocket_lengths(bag).items()},
        # Where joins lie is checked on its own, in test_handle_joins.
        "join_to_bottom": {
            told_join(joins).apart
            for joins in [best_joins(handles, bag.site, step=default_step(bag.unit))]
            if joins is not None and looped
        },
    }


def pocket_lengths(bag: Bag) -> dict[str, float]:
    """How far the pocket is open above the stop, and below separate legs."""
    handles, pocket = bag.handles, bag.pocket
    if handles is None or pocket is None:
        return {}
    height = pocket.cut_height / 2 - pocket.seam
    return {
        "open_above": handles.stop - pocket.drop,
        "open_below": pocket.drop + height - handles.stop - handles.leg,
    }


@settings(max_examples=50)
@given(bag=bags())
def test_each_length_in_a_sentence_follows_the_bags_figures(bag: Bag) -> None:
    result = compute(bag)
    values = {**result.cut, **result.finished}
    others = derived(result)
    for each in operations(bag, result.draft):
        for sentence in each.sentences:
            for gap, length in sentence.lengths.items():
                where = (each.key, sentence.template, gap)
                if gap in ("gusset_depth",):
                    corners = [w for w in result.draft.walked if w.seam.name in each.seams]
                    sizes = [w.mate_length for w in corners] or [values[gap]]
                    assert any(size == pytest.approx(length, abs=1e-6) for size in sizes), where
                elif gap in FIGURES:
                    assert (values[gap] or 0.0) == pytest.approx(length, abs=1e-6), where
                elif gap in others:
                    near = [one for one in others[gap] if abs(one - length) < 1e-6]
                    assert near, where
                else:
                    assert gap in HABITS | {"box_side", "hem_line"}, where


@pytest.mark.parametrize("name", [f.name for f in CUT_FIGURES if f.kind is FigureKind.LENGTH])
def test_a_changed_figure_changes_every_sentence_that_has_it(name: str) -> None:
    bag = demo_bag()
    before = compute(bag)
    value = before.cut[name]
    if value is None:
        pytest.skip("the demo bag lacks it")
    step = -inch(0.0625) if name in ("goods_width", "handle_last_strip") else inch(0.0625)
    if name == "bottom_seam":
        step = inch(0.25)
    after = compute(with_figures(bag, {name: value + step}))
    olds = {each.key: each for each in operations(bag, before.draft)}
    news = {each.key: each for each in operations(after.bag, after.draft)}
    for key in olds.keys() & news.keys():
        for old, new in zip(olds[key].sentences, news[key].sentences, strict=False):
            if name in old.lengths and new.template == old.template:
                assert new.lengths[name] == pytest.approx(value + step)
                assert old.text() != new.text()


NUMBER = re.compile(r"\d")


@settings(max_examples=50)
@given(bag=bags())
def test_no_figure_is_written_into_a_template(bag: Bag) -> None:
    for each in operations(bag, compute(bag).draft):
        for sentence in each.sentences:
            assert not NUMBER.search(sentence.template), sentence.template
            assert sentence.text()


# --- Other parts, other operations ----------------------------------------------------------------


def test_the_demo_bag_has_everything_that_a_maker_does() -> None:
    keys = found(demo_bag()).keys()
    assert {
        "cut panel", "fuse interfacing", "mark panel", "baste layers", "cut corner cuts",
        "join front pocket", "turn front pocket", "topstitch front pocket upper edge",
        "lay on front pocket", "baste front pocket sides", "topstitch front pocket lower edge",
        "join handle strips", "press handle tape", "topstitch handles", "lay on handles",
        "topstitch handles down", "topstitch handle stops", "mark zip", "join zip front",
        "join zip back", "open zip", "join side seam left", "join side seam right",
        "join corner seam left", "join corner seam right", "tack side seams",
        "take out basting", "turn bag", "press bag", "cut base board", "lay in base board",
    } <= keys  # fmt: skip


@pytest.mark.parametrize(
    ("part", "gone"),
    [("pocket", "pocket"), ("handles", "handle"), ("board", "board"), ("zip", "zip")],
)
def test_without_a_part_its_operations_are_gone(part: str, gone: str) -> None:
    keys = found(without_part(demo_bag(), part)).keys()
    assert not [key for key in keys if gone in key]
    assert ("hem top" in keys) == (part == "zip")


def test_two_pockets_two_handles_and_a_seamed_bottom() -> None:
    bag = demo_bag()
    assert bag.pocket is not None
    assert bag.handles is not None
    both = replace(bag, pocket=replace(bag.pocket, faces=PocketFaces.BOTH))
    assert {"lay on front pocket", "lay on back pocket"} <= found(both).keys()
    handles = replace(bag.handles, style=HandleStyle.SEPARATE, strips=1)
    assert "join handle strips" not in found(replace(bag, handles=handles))
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
