"""Stitch lines against shapely's own buffer, and the laws that any offset must keep."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from shapely import LinearRing, Polygon
from shapely.affinity import scale as scaled_polygon

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import Corners
from core.flat.piece import Edge, Fold, Piece, edge_between, rectangle
from core.flat.roles import EdgeId, EdgeRole, FoldRole, PieceId, PieceRole, Side
from core.flat.stitch import stitch_outline
from tests.helpers import bare, demo, demo_panel, outline
from tests.strategies import Wanted, bags, panels, sewable_bags, wanted

NEAR = 1e-6


def stitched(piece: Piece) -> Polygon:
    return Polygon(stitch_outline(piece).corners)


def panel_pieces(panel: BoxedPanel) -> list[Piece]:
    return [each for each in compute(bare(panel)).draft.pieces if each.id.owner == "body"]


def with_allowance(piece: Piece, allowance: float) -> Piece:
    edges = tuple(edge._replace(allowance=allowance) for edge in piece.edges)
    return replace(piece, edges=edges)


@given(wanted(), st.integers(0, 12))
def test_one_allowance_all_round_is_a_mitred_buffer(sizes: Wanted, allowance: int) -> None:
    for piece in panel_pieces(sizes.panel()):
        even = with_allowance(piece, float(allowance))
        buffered = outline(even).buffer(-allowance, join_style="mitre", mitre_limit=10)
        assume(isinstance(buffered, Polygon) and not buffered.is_empty)
        # Nowhere an allowance eats up an edge, or the buffer drops a corner that we keep.
        assume(all(stitch_outline(even).length(edge.id) >= 0 for edge in even.edges))
        ours = stitched(even)
        assert ours.symmetric_difference(buffered).area == pytest.approx(0, abs=1e-3)
        assert ours.hausdorff_distance(buffered) == pytest.approx(0, abs=NEAR)


@given(sewable_bags())
def test_each_stitch_line_is_parallel_to_its_edge_one_allowance_inside(bag: Bag) -> None:
    for stitch in compute(bag).draft.outlines.values():
        for edge in stitch.piece.edges:
            for x, y in stitch.line(edge.id):
                dx, dy = x - edge.start[0], y - edge.start[1]
                inside = edge.heading[0] * dy - edge.heading[1] * dx
                assert inside == pytest.approx(edge.allowance, abs=NEAR)


@given(sewable_bags())
def test_stitch_lines_close_and_keep_their_edges_names(bag: Bag) -> None:
    for stitch in compute(bag).draft.outlines.values():
        names = [edge.id for edge in stitch.piece.edges]
        assert len(set(names)) == len(names) == len(stitch.corners)
        for name, following in zip(names, names[1:] + names[:1], strict=True):
            assert stitch.line(name)[1] == stitch.line(following)[0]


@given(sewable_bags())
def test_sound_means_valid_and_within_the_cut_line(bag: Bag) -> None:
    for stitch in compute(bag).draft.outlines.values():
        assert stitch.sound
        sewn = Polygon(stitch.corners)
        assert sewn.is_valid
        assert LinearRing(stitch.corners).is_ccw
        assert outline(stitch.piece).buffer(NEAR).covers(sewn)


@given(bags())
def test_what_is_called_sound_is_a_valid_polygon(bag: Bag) -> None:
    for stitch in compute(bag).draft.outlines.values():
        if stitch.sound:
            assert Polygon(stitch.corners).is_valid


@given(wanted(), st.sampled_from(Corners))
def test_the_cut_line_has_the_area_of_its_rectangle_less_its_corners(
    sizes: Wanted, corners_are: Corners
) -> None:
    p = sizes.panel(corners_are)
    whole = p.width * (p.length - p.front_trim)
    corners = 4 * p.cut_width * p.cut_depth
    areas = sum(outline(piece).area for piece in panel_pieces(p))
    assert areas == pytest.approx(whole - corners, rel=1e-12, abs=NEAR)


@given(wanted(), st.sampled_from(Corners))
def test_the_stitched_area_is_opening_by_length_less_the_stitched_corners(
    sizes: Wanted, corners_are: Corners
) -> None:
    p = sizes.panel(corners_are)
    d = p.cut_depth - p.bottom_seam
    along = p.length - p.front_trim - 2 * p.top_seam - 2 * p.bottom_seam
    corner = (p.cut_width - p.side_seam + p.corner_seam) * (d + p.corner_seam)
    expected = (p.width - 2 * p.side_seam) * along - 4 * corner
    areas = sum(stitched(piece).area for piece in panel_pieces(p))
    assert areas == pytest.approx(expected, rel=1e-9, abs=NEAR)


@given(panels())
def test_left_and_right_are_mirror_images(panel: BoxedPanel) -> None:
    for piece in panel_pieces(panel):
        stitch = stitch_outline(piece)
        left = [edge for edge in piece.edges if edge.id.side is Side.LEFT]
        assert len(left) == sum(edge.id.side is Side.RIGHT for edge in piece.edges) >= 1
        for edge in left:
            mate = edge.id._replace(side=Side.RIGHT)
            (x0, y0), (x1, y1) = stitch.line(edge.id)
            (u0, v0), (u1, v1) = stitch.line(mate)
            assert (panel.width - x0, y0) == pytest.approx((u1, v1), abs=NEAR)
            assert (panel.width - x1, y1) == pytest.approx((u0, v0), abs=NEAR)


@given(wanted(), st.sampled_from([0.5, 2.0, 3.7]))
def test_scaling_every_cut_size_scales_every_length(sizes: Wanted, k: float) -> None:
    panel = sizes.panel()
    larger = BoxedPanel(
        **{figure.attribute: k * getattr(panel, figure.attribute) for figure in BoxedPanel.FIGURES}
    )
    for small, large in zip(panel_pieces(panel), panel_pieces(larger), strict=True):
        before, after = stitch_outline(small), stitch_outline(large)
        for edge in small.edges:
            assert after.length(edge.id) == pytest.approx(k * before.length(edge.id), abs=NEAR)
        grown = scaled_polygon(outline(small), k, k, origin=(0, 0))
        assert grown.equals_exact(outline(large), NEAR)


@given(bags())
def test_every_cut_line_is_closed_and_counter_clockwise(bag: Bag) -> None:
    for piece in compute(bag).draft.pieces:
        ends = [edge.end for edge in piece.edges]
        starts = [edge.start for edge in piece.edges[1:] + piece.edges[:1]]
        for end, start in zip(ends, starts, strict=True):
            assert end == pytest.approx(start, abs=1e-9)
        signed_area = sum(
            edge.start[0] * edge.end[1] - edge.end[0] * edge.start[1] for edge in piece.edges
        )
        assert signed_area > 0
        for edge in piece.edges:
            assert math.hypot(*edge.heading) == pytest.approx(1, abs=1e-12)
            assert edge.length >= 0


@given(sewable_bags())
def test_cut_lines_of_bags_that_can_be_sewn_are_valid_polygons(bag: Bag) -> None:
    for piece in compute(bag).draft.pieces:
        assert outline(piece).is_valid
        assert len(set(piece.outline)) == len(piece.outline)
        assert piece.width > 0
        assert piece.height > 0


@given(sewable_bags())
def test_the_bottom_fold_runs_between_the_ends_of_the_base(bag: Bag) -> None:
    draft = compute(bag).draft
    folds = [(each, fold) for each in draft.outlines.values() for fold in each.piece.folds]
    assert len(folds) >= int(bag.body.folded)
    for stitch, fold in folds:
        (x0, y0), (x1, y1) = stitch.fold_line(fold)
        assert y0 == y1 == fold.y
        assert stitch.fold_length(fold) == pytest.approx(x1 - x0, abs=NEAR)


@given(st.one_of(panels(), panels(matched=True)))
@example(  # on the cut line but for the last bits of its floats
    BoxedPanel(
        width=55.5625,
        length=53.974999999999994,
        front_trim=0.0,
        corner_width=1.5875,
        corner_depth=3.175,
        side_seam=0.0,
        corner_seam=0.0,
        top_seam=0.0,
        bottom_seam=1.5875,
    )
)
@example(  # a slit of no depth: the cut line touches itself
    demo_panel(corner_depth=0.0, front_trim=0.0, corner_width=6.35)
)
def test_stitch_lines_that_all_run_forwards_are_sound(panel: BoxedPanel) -> None:
    for piece in panel_pieces(panel):
        stitch = stitch_outline(piece)
        if all(stitch.length(edge.id) > NEAR for edge in piece.edges):
            simple = LinearRing(stitch.corners).is_simple
            assert stitch.sound == simple, piece.label


# --- Single cases -----------------------------------------------------------------------


BOTTOM, RIGHT, TOP, LEFT, DIAGONAL = (EdgeId(EdgeRole.RIM, number=place) for place in range(5))


def piece_of(edges: tuple[Edge, ...]) -> Piece:
    return Piece(id=PieceId("body", PieceRole.WALL), label="piece", edges=edges)


def square(allowances: tuple[float, float, float, float]) -> Piece:
    names = tuple((each, "") for each in (BOTTOM, RIGHT, TOP, LEFT))
    return piece_of(rectangle(names, (10.0, 10.0), allowances=allowances))


def test_each_edge_moves_by_its_own_allowance() -> None:
    stitch = stitch_outline(square((1.0, 2.0, 3.0, 4.0)))
    assert stitch.corners == ((4.0, 1.0), (8.0, 1.0), (8.0, 7.0), (4.0, 7.0))
    assert stitch.length(BOTTOM) == 4.0
    assert stitch.length(LEFT) == 6.0
    assert stitch.sound


def test_allowances_that_meet_leave_no_length_and_no_soundness() -> None:
    stitch = stitch_outline(square((1.0, 6.0, 1.0, 6.0)))
    assert stitch.length(BOTTOM) == -2.0
    assert not stitch.sound


def test_a_slanted_edge_is_moved_square_to_itself() -> None:
    corners = ((0.0, 0.0), (8.0, 0.0), (0.0, 6.0))
    names = (BOTTOM, RIGHT, LEFT)
    edges = tuple(
        edge_between(names[i], corners[i], corners[(i + 1) % 3], allowance=1.0) for i in range(3)
    )
    stitch = stitch_outline(piece_of(edges))
    # A 6-8-10 triangle has an inscribed circle of radius 2: one inside halves every side.
    assert [stitch.length(name) for name in names] == pytest.approx([4.0, 5.0, 3.0])


def test_parallel_neighbours_that_lie_apart_are_refused() -> None:
    up = (0.0, 1.0)
    edges = (
        Edge(BOTTOM, (0.0, 0.0), (0.0, 5.0), 1.0, up),
        Edge(RIGHT, (0.0, 5.0), (0.0, 9.0), 2.0, up),
        edge_between(TOP, (0.0, 9.0), (-9.0, 0.0), allowance=1.0),
        edge_between(LEFT, (-9.0, 0.0), (0.0, 0.0), allowance=1.0),
    )
    with pytest.raises(ValueError, match="parallel"):
        stitch_outline(piece_of(edges))


@pytest.mark.parametrize("heading", [(1.0, 0.0), (0.0, 1.0), (0.6, 0.8), (-0.8, 0.6)])
def test_neighbours_on_one_line_share_the_corner_between_them(heading: tuple[float, float]) -> None:
    """Whichever way the line runs; one moved a tenth of a mm further is refused."""
    (hx, hy), tip = heading, (-3.0, 4.0)

    def at(far: float) -> tuple[float, float]:
        return 7.0 + far * hx, 5.0 + far * hy

    back = (at(9.0)[0] + tip[0], at(9.0)[1] + tip[1])
    for second in (2.0, 2.1):
        edges = (
            edge_between(BOTTOM, at(0.0), at(4.0), allowance=2.0),
            edge_between(RIGHT, at(4.0), at(9.0), allowance=second),
            edge_between(TOP, at(9.0), back, allowance=0.5),
            edge_between(LEFT, back, at(0.0), allowance=0.5),
        )
        piece = piece_of(edges)
        if second > 2.0:
            with pytest.raises(ValueError, match="parallel"):
                stitch_outline(piece)
        else:
            inside = (at(4.0)[0] - 2.0 * hy, at(4.0)[1] + 2.0 * hx)
            assert stitch_outline(piece).line(BOTTOM)[1] == pytest.approx(inside)


def test_an_edge_without_length_has_no_heading_of_its_own() -> None:
    with pytest.raises(ValueError, match="no heading"):
        edge_between(BOTTOM, (1.0, 1.0), (1.0, 1.0), allowance=1.0)


def test_unknown_edges_are_key_errors() -> None:
    stitch = stitch_outline(square((1.0, 1.0, 1.0, 1.0)))
    with pytest.raises(KeyError):
        stitch.line(DIAGONAL)
    with pytest.raises(KeyError):
        stitch.piece.edge(DIAGONAL)
    with pytest.raises(KeyError):
        compute(demo()).draft.piece(PieceId("sleeve", PieceRole.PATCH))


def test_a_fold_is_as_long_as_the_stitch_lines_let_it() -> None:
    fold = Fold(id=FoldRole.MIDDLE, start_edge=LEFT, end_edge=RIGHT, y=5.0, label="middle")
    piece = replace(square((1.0, 2.0, 1.0, 3.0)), folds=(fold,))
    stitch = stitch_outline(piece)
    assert stitch.fold_line(piece.folds[0]) == ((3.0, 5.0), (8.0, 5.0))
    assert stitch.fold_length(piece.folds[0]) == 5.0
