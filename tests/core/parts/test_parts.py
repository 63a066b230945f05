"""Each part by itself: its pieces, its marks on the panel, its own arithmetic."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.flat.match_marks import match_marks
from core.flat.piece import CutFrom, GrainTurn, Mark, MarkStyle, Piece
from core.flat.roles import FACES, EdgeRole, SeamRole
from core.goods.layers import Sandwich
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket, PocketFaces
from tests.helpers import bare, changed, demo, demo_panel, having, inch, layer, sandwich
from tests.ids import PIECES
from tests.strategies import bags, boards, pockets, rulers, sandwiches

NEAR = 1e-6


def marks_named(bag: Bag, name: str) -> list[Mark]:
    return [
        mark
        for piece in compute(bag).draft.pieces
        if piece.id.owner == "body"
        for mark in piece.marks
        if mark.label == name
    ]


def piece_named(bag: Bag, name: str) -> Piece:
    return compute(bag).draft.piece(PIECES[name])


# --- Panel ------------------------------------------------------------------------------


def test_the_folded_panel_is_one_piece_that_may_not_lose_its_fold() -> None:
    piece = piece_named(demo(), "panel")
    assert (piece.width, piece.height) == pytest.approx((inch(18.5), inch(37)))
    assert piece.bounds == pytest.approx((0, -inch(19.25), inch(18.5), inch(17.75)))
    assert piece.cut_from is CutFrom.EVERY_LAYER
    (fold,) = piece.folds
    assert (fold.label, fold.y) == ("bottom fold", 0.0)


def test_the_seamed_panel_is_a_front_and_a_back() -> None:
    bag = bare(demo_panel(bottom_seam=inch(0.25)))
    front, back = piece_named(bag, "front"), piece_named(bag, "back")
    assert front.bounds == pytest.approx((0, -inch(0.25), inch(18.5), inch(17.5)))
    assert back.bounds == pytest.approx((0, -inch(19), inch(18.5), inch(0.25)))


def test_corner_cuts_of_no_size_leave_a_plain_rectangle() -> None:
    piece = piece_named(bare(demo_panel(corner_width=0.0, corner_depth=0.0)), "panel")
    assert not [
        edge for edge in piece.edges if edge.id.role in (EdgeRole.CORNER, EdgeRole.CORNER_END)
    ]
    assert piece.width * piece.height == pytest.approx(inch(18.5) * inch(37))


@pytest.mark.parametrize("size", [{"corner_width": 0.0}, {"corner_depth": 0.0}])
@pytest.mark.parametrize("bottom", [0.0, 6.35])
def test_a_corner_cut_that_is_only_a_slit_still_answers(
    size: dict[str, float], bottom: float
) -> None:
    result = compute(bare(demo_panel(bottom_seam=bottom, **size)))
    assert result.finished["corner_mismatch"] is not None
    assert result.findings


# --- Zip and open top -------------------------------------------------------------------


def test_the_zip_is_trimmed_to_the_panel_and_says_how_long_to_buy() -> None:
    piece = piece_named(demo(), "zip")
    assert (piece.width, piece.height) == pytest.approx((inch(18.5), inch(1.25)))
    assert piece.cut_from is CutFrom.BOUGHT
    assert piece.turn is GrainTurn.NEVER
    assert "558.8 mm" in piece.notes[0].text()


def test_an_open_top_has_no_zip_piece_and_no_zip_figures() -> None:
    result = compute(without_part(demo(), "zip"))
    assert "zip" not in {piece.label for piece in result.draft.pieces}
    assert result.finished["zip_offset"] is None
    assert result.finished["zip_clearance"] is None


def test_both_top_edges_are_marked_in_their_middle() -> None:
    """The front is trimmed by 1 1/2 in for the zip; without one the top lies level."""
    zipped, hemmed = (
        (demo(), SeamRole.MOUTH, 17.75),
        (without_part(demo(), "zip"), SeamRole.HEM, 19.25),
    )
    for bag, role, front in (zipped, hemmed):
        marks = [
            each
            for each in match_marks(compute(bag).draft)
            if each.seam.role is role and each.edge.role is EdgeRole.TOP
        ]
        assert [each.at[0] for each in marks] == pytest.approx(2 * [inch(9.25)])
        tops = sorted(each.at[1] for each in marks)
        assert tops == pytest.approx([-inch(19.25), inch(front)])


# --- Pocket -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("faces", "names"),
    [
        (PocketFaces.FRONT, ["front pocket"]),
        (PocketFaces.BACK, ["back pocket"]),
        (PocketFaces.BOTH, ["front pocket", "back pocket"]),
    ],
)
def test_pockets_lie_on_the_faces_that_were_asked(faces: PocketFaces, names: list[str]) -> None:
    bag = demo(pocket=Pocket(faces=faces, cut_height=inch(16), drop=inch(4.5)))
    pieces = [piece.label for piece in compute(bag).draft.pieces if piece.id.owner == "pocket"]
    assert pieces == names
    assert not compute(without_part(bag, "pocket")).finished["pocket_height"]


def test_the_pocket_lies_its_drop_below_the_cut_edge() -> None:
    both = Pocket(faces=PocketFaces.BOTH, cut_height=inch(16), drop=inch(4.5))
    bag = demo(pocket=both)
    (front,) = marks_named(bag, "front pocket")
    (back,) = marks_named(bag, "back pocket")
    assert front.closed
    assert max(y for _, y in front.points) == pytest.approx(inch(17.75 - 4.5))
    assert min(y for _, y in front.points) == pytest.approx(inch(17.75 - 4.5 - 7.75))
    assert min(y for _, y in back.points) == pytest.approx(-inch(19.25 - 4.5))


@given(rulers.flatmap(pockets))
def test_a_pocket_folds_in_the_middle_of_its_rectangle(pocket: Pocket) -> None:
    bag = having(demo(), pocket=pocket)
    pieces = [piece for piece in compute(bag).draft.pieces if piece.id.owner == "pocket"]
    assert pieces
    for piece in pieces:
        (fold,) = piece.folds
        assert fold.y == pytest.approx(piece.height / 2)
        assert piece.width == pytest.approx(bag.body.width)
        assert 2 * (pocket.height + pocket.seam) == pytest.approx(piece.height)


# --- Handles ----------------------------------------------------------------------------


@given(bags().filter(lambda bag: bag.parts.get("handles") is not None))
def test_handle_legs_are_symmetric_and_as_wide_as_the_handle(bag: Bag) -> None:
    assert bag.parts.get("handles") is not None
    (l0, r0), (l1, r1) = bag.parts["handles"].legs(bag.site)
    assert r0 - l0 == pytest.approx(bag.parts["handles"].width, abs=NEAR)
    assert l1 - r0 == pytest.approx(bag.parts["handles"].gap, abs=NEAR)
    assert l0 + r1 == pytest.approx(bag.body.width, abs=NEAR)


def test_the_demo_strips_fold_four_times_less_a_clearance() -> None:
    piece = piece_named(demo(), "handle strip")
    assert (piece.width, piece.height) == pytest.approx((inch(42), inch(4.75)))
    assert piece.count == 3
    # Both raw edges meet in the middle less the clearance, on a tape of twice the handle.
    ys = [fold.y for fold in piece.folds]
    assert ys == pytest.approx([inch(1.125), inch(2.375), inch(3.625)])
    assert ys[2] - ys[0] == pytest.approx(2 * inch(1.25))


def test_two_separate_handles_take_twice_the_strips_and_no_halfway_mark() -> None:
    bag = demo()
    assert bag.parts.get("handles") is not None
    pair = demo(handles=replace(bag.parts["handles"], style=HandleStyle.SEPARATE, strips=2))
    assert piece_named(pair, "handle strip").count == 4
    assert not marks_named(pair, "handle halfway")
    for mark in marks_named(pair, "handle leg"):
        ys = [abs(y) for _, y in mark.points]
        assert max(ys) - min(ys) == pytest.approx(inch(6))
        assert mark.closed
    assert compute(pair).finished["handle_loop"] == pytest.approx(inch(83))


def test_loop_legs_run_from_the_stop_down_to_the_halfway_marks() -> None:
    bag = demo()
    legs = marks_named(bag, "handle leg")
    assert len(legs) == 4
    tops = sorted(max(mark.points, key=lambda point: abs(point[1]))[1] for mark in legs)
    assert tops == pytest.approx([-inch(14.25)] * 2 + [inch(12.75)] * 2)
    halfway = marks_named(bag, "handle halfway")
    assert len(halfway) == 2
    assert all(y == 0.0 for mark in halfway for _, y in mark.points)
    assert all(mark.style is MarkStyle.HALFWAY for mark in halfway)


def test_only_what_of_a_leg_lies_on_the_panel_is_drawn_there() -> None:
    """The panel is 18 1/2 in wide, each leg 1 in: at a gap of 17 in 3/4 in of either is left."""
    for gap, wide in ((16.5, 1.0), (17.0, 0.75), (18.5, None), (30.0, None)):
        legs = marks_named(changed(demo(), handle_gap=inch(gap)), "handle leg")
        widths = {round(max(x for x, _ in m.points) - min(x for x, _ in m.points), 6) for m in legs}
        assert widths == (set() if wide is None else {round(inch(wide), 6)})


def test_a_handle_that_does_not_span_its_legs_has_no_drop() -> None:
    short = compute(changed(demo(), handle_strips=1)).finished
    assert short["handle_drop_front"] is None
    assert short["handle_drop_back"] is None
    assert short["handle_loop"] == pytest.approx(inch(41.5))


@given(st.integers(1, 40), st.integers(1, 40))
def test_more_strips_never_lower_the_handle(strips: int, more: int) -> None:
    lower, higher = (
        compute(changed(demo(), handle_strips=count)).finished["handle_drop_front"]
        for count in (strips, min(strips + more, 60))
    )
    assert lower is None or (higher is not None and higher > lower)


def test_drop_and_loop_are_inverse() -> None:
    bag = demo()
    assert bag.parts.get("handles") is not None
    drops = [bag.parts["handles"].drop(bag.site, face) for face in FACES]
    lower = min(drop for drop in drops if drop is not None)
    assert bag.parts["handles"].strips_for_drop(bag.site, lower) == 3
    assert bag.parts["handles"].strips_for_drop(bag.site, lower + 1.0) == 4


# --- Base board -------------------------------------------------------------------------


@given(rulers.flatmap(boards))
def test_a_board_is_marked_in_the_middle_of_the_bottom(board: BaseBoard) -> None:
    bag = having(demo(), board=board)
    points = [point for mark in marks_named(bag, "base board") for point in mark.points]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    assert (min(xs) + max(xs)) / 2 == pytest.approx(inch(9.25), abs=NEAR)
    assert max(xs) - min(xs) == pytest.approx(board.width, abs=NEAR)
    assert max(ys) - min(ys) == pytest.approx(board.depth, abs=NEAR)
    piece = piece_named(bag, "base board")
    assert piece.cut_from is CutFrom.SHEET
    assert {edge.allowance for edge in piece.edges} == {0.0}


# --- Layers -----------------------------------------------------------------------------


@given(sandwiches())
def test_the_wall_is_the_sum_of_its_layers(layers: Sandwich) -> None:
    assert layers.thickness == pytest.approx(math.fsum(each.thickness for each in layers.layers))
    assert layers.pressed <= layers.thickness + 1e-12


def test_a_thicker_wall_takes_room_inside_only() -> None:
    thick = demo(sandwich=sandwich(layer(thickness=3.0), layer("fleece", thickness=2.0)))
    result = compute(thick)
    inside = (inch(11) - 10) * (inch(6.75) - 10) * (inch(15) - 5) / 1e6
    assert result.finished["inside_volume"] == pytest.approx(inside)
    assert result.finished["box_volume"] == compute(demo()).finished["box_volume"]


def test_a_wall_thicker_than_its_bag_has_no_inside() -> None:
    small = bare(demo_panel())
    solid = replace(small, sandwich=sandwich(layer(thickness=95.0)))
    assert compute(solid).finished["inside_volume"] is None
    assert compute(solid).finished["box_volume"] is not None


COMPARTMENTS = {"pocket_side_compartment", "pocket_middle_compartment"}


@pytest.mark.parametrize(
    ("part", "own"),
    [
        ("pocket", {"pocket_height", *COMPARTMENTS}),
        ("handles", {"handle_loop", "handle_drop_front", "handle_drop_back", *COMPARTMENTS}),
        ("board", set()),
    ],
)
def test_leaving_a_part_out_takes_its_pieces_marks_and_figures(part: str, own: set[str]) -> None:
    result, whole = compute(without_part(demo(), part)), compute(demo()).finished
    assert part not in {piece.id.owner for piece in result.draft.pieces}
    lost = {name for name, value in whole.items() if value is not None} - {
        name for name, value in result.finished.items() if value is not None
    }
    assert lost == own
    for name in ("base_width", "gusset_depth", "face_height", "box_volume"):
        assert result.finished[name] == whole[name]


@given(bags())
def test_marks_lie_on_the_panel(bag: Bag) -> None:
    for piece in compute(bag).draft.pieces:
        for mark in piece.marks:
            assert len(mark.points) >= 2
            if mark.label in ("handle leg", "handle halfway"):
                left, _, right, _ = piece.bounds
                assert all(left <= x <= right for x, _ in mark.points)
            if mark.label == "handle leg":
                _, low, _, high = piece.bounds
                assert all(low - NEAR <= y <= high + NEAR for _, y in mark.points)


@given(bags())
def test_strips_are_counted_into_the_loop(bag: Bag) -> None:
    assume(bag.parts.get("handles") is not None)
    more = with_figures(bag, {"handle_strips": bag.parts["handles"].strips + 1})
    gained = compute(more).finished["handle_loop"] - compute(bag).finished["handle_loop"]
    outer = bag.sandwich.layers[0]
    assert gained == pytest.approx(outer.usable_width * (1 - outer.shrink_width) - inch(0.5))


def test_handles_know_their_strip() -> None:
    own = Handles(width=25.0, gap=100.0, stop=50.0, strips=2)
    site = demo(sandwich=sandwich(layer(usable_width=1000.0))).site
    assert own.strip_width == pytest.approx(4 * 25 - 6.35)
    assert own.strip_lengths(site) == (1000.0, 1000.0)
    assert own.loop(site) == pytest.approx(2 * (1000 - 12.7))
    assert replace(own, last_strip=600.0).loop(site) == pytest.approx(1600 - 2 * 12.7)


@pytest.mark.parametrize(("loop", "strips", "last"), [
    (1974.6, 2, None), (1974.7, 3, 12.8), (1974.5, 2, 999.9), (500.0, 1, 512.7),
])  # fmt: skip
def test_a_loop_is_joined_from_as_few_strips_as_it_takes(
    loop: float, strips: int, last: float | None
) -> None:
    """Strips 1000 mm long give 987.3 mm each: two of them 1974.6 mm."""
    site = demo(sandwich=sandwich(layer(usable_width=1000.0))).site
    own = Handles(width=25.0, gap=100.0, stop=50.0, strips=1).with_loop(site, loop)
    assert own.loop(site) == pytest.approx(loop, abs=NEAR)
    assert own.strips == strips
    assert own.last_strip == (None if last is None else pytest.approx(last))
