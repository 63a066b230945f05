"""The mesh of a quarter of the closed wall: cut by patches, sewn along their joins."""

from dataclasses import replace

import numpy as np
import pytest

from core.bodies.boxed_panel.filled import Sizes, quarter_of
from core.bodies.boxed_panel.sizes import FlatSize
from core.solid.fill_problem import Mesh, Problem, build_mesh, problem_of
from core.solid.patch_grid import grid_lines
from core.space.patches import Crowding
from tests.core.solid.sheets import boxed, cells, pillow, whole_problem

EASED = Sizes(base=100.0, corner_along=40.0, corner_up=55.0, wall=200.0)
GATHERED = Sizes(base=100.0, corner_along=0.0, corner_up=50.0, wall=200.0)
SHALLOW = Sizes(base=100.0, corner_along=50.0, corner_up=0.0, wall=200.0)
EVERY = [pillow(200.0, 300.0), boxed(292.0, 165.0, 390.0), EASED, GATHERED, SHALLOW]


def mesh_of(sizes: Sizes, cell: float = 25.0) -> Mesh:
    return build_mesh(quarter_of(sizes, flat=False), cells(sizes, cell))


def whole(sizes: Sizes, cell: float = 25.0) -> Problem:
    return whole_problem(problem_of(mesh_of(sizes, cell)))


@pytest.mark.parametrize("sizes", EVERY)
def test_triangles_cover_the_sheet_once(sizes: Sizes) -> None:
    mesh = mesh_of(sizes)
    areas = np.linalg.det(mesh.flat[:, 1:] - mesh.flat[:, :1]) / 2
    assert (areas > 0.0).all()
    corner = sizes.corner_along * sizes.corner_up
    area = sizes.half_opening * sizes.half_loop - corner
    assert areas.sum() == pytest.approx(area)
    assert mesh.quarter.area == pytest.approx(area)


def edges(problem: Problem) -> dict[tuple[int, int], int]:
    """How often each directed edge between two different vertices is walked."""
    count: dict[tuple[int, int], int] = {}
    for triangle in problem.triangles.tolist():
        if len(set(triangle)) < 3:
            continue  # gathered to a point: its area is folded away
        for one, other in zip(triangle, triangle[1:] + triangle[:1], strict=True):
            count[one, other] = count.get((one, other), 0) + 1
    return count


@pytest.mark.parametrize("sizes", EVERY[:3])
def test_the_sewn_whole_is_one_closed_surface(sizes: Sizes) -> None:
    """Every edge is walked once each way, and vertices less edges plus triangles is 2."""
    problem = whole(sizes)
    walked = edges(problem)
    assert all(walked.get((b, a)) == times == 1 for (a, b), times in walked.items())
    assert problem.count - len(walked) // 2 + len(problem.triangles) == 2


@pytest.mark.parametrize("sizes", [GATHERED, SHALLOW])
def test_an_edge_without_a_mate_is_gathered_to_a_point(sizes: Sizes) -> None:
    problem = whole(sizes)
    walked = edges(problem)
    assert all(walked.get((b, a)) == times for (a, b), times in walked.items())
    gathered = [each for each in problem.triangles.tolist() if len(set(each)) < 3]
    counts = mesh_of(sizes).counts
    in_corner = [counts[size] for size in counts.keys() - {FlatSize.BASE, FlatSize.WALL}]
    assert [len(gathered)] == [4 * count for count in in_corner]


def places(mesh: Mesh) -> dict[int, set[tuple[float, float]]]:
    """Vertex -> every place on the patches that it is sewn from."""
    found: dict[int, set[tuple[float, float]]] = {}
    for triangle, flat in zip(mesh.triangles.tolist(), mesh.flat.tolist(), strict=True):
        for vertex, (x, u) in zip(triangle, flat, strict=True):
            found.setdefault(vertex, set()).add((round(x, 6), round(-u, 6)))
    return found


@pytest.mark.parametrize("sizes", EVERY)
def test_rings_lead_through_the_sheet_triangle_by_triangle(sizes: Sizes) -> None:
    """Also where another sheet of as many vertices was asked before."""
    for cell in (25.0, 40.0):
        problem = problem_of(mesh_of(sizes, cell))
        of_corners = problem.rings[problem.triangles]
        assert np.ptp(of_corners, axis=1).max() == 1
        assert len(problem.rings) == problem.count
        assert set(problem.rings.tolist()) == set(range(int(problem.rings.max()) + 1))


def test_a_sheet_in_two_pieces_has_no_rings() -> None:
    one = problem_of(mesh_of(pillow(200.0, 300.0)))
    two = replace(
        one,
        triangles=np.concatenate((one.triangles, one.triangles + one.count)),
        flat=np.concatenate((one.flat, one.flat)),
        start=np.concatenate((one.start, one.start), axis=1),
    )
    with pytest.raises(ValueError, match="not in one piece"):
        _ = two.rings


@pytest.mark.parametrize("sizes", [boxed(200.0, 100.0, 200.0), EASED])
def test_corner_seam_joins_its_edges_in_proportion(sizes: Sizes) -> None:
    """Where the mates differ in length, the longer is eased in evenly."""
    pairs = 0
    for found in places(mesh_of(sizes)).values():
        out = [x - sizes.base for x, u in found if u == sizes.corner_up and x > sizes.base]
        down = [sizes.corner_up - u for x, u in found if x == sizes.base and u < sizes.corner_up]
        if down:
            assert out == [pytest.approx(down[0] * sizes.corner_along / sizes.corner_up)]
            pairs += 1
    assert pairs == mesh_of(sizes).counts[FlatSize.CORNER_UP]


def test_side_seam_and_top_fold_lie_on_the_plane_between_front_and_back() -> None:
    sizes = boxed(200.0, 100.0, 200.0)
    mesh = mesh_of(sizes)
    held = problem_of(mesh).held
    on_plane = {
        vertex
        for vertex, found in places(mesh).items()
        if any(x == sizes.half_opening or u in (0.0, sizes.half_loop) for x, u in found)
    }
    assert len(on_plane) > 15
    assert set(np.flatnonzero(held[1]).tolist()) == on_plane
    middle = {vertex for vertex, found in places(mesh).items() if any(x == 0.0 for x, _ in found)}
    assert set(np.flatnonzero(held[0]).tolist()) == middle


@pytest.mark.parametrize("cell", [7.0, 13.0, 25.0, 60.0, 500.0])
def test_cells_are_even_so_that_no_corner_lies_in_one_triangle(cell: float) -> None:
    mesh = mesh_of(boxed(292.0, 165.0, 390.0), cell)
    used = np.bincount(mesh.triangles.ravel())
    corners = [(0, 0), (0, -1), (-1, 0), (-1, -1)]
    assert [used[nodes[at]] >= 2 for nodes in mesh.nodes for at in corners] == [True] * 12


@pytest.mark.parametrize(("from_middle", "ends"), [(True, [-1]), (False, [0, -1])])
def test_cells_shrink_towards_the_ends_by_the_share_of_their_crowding(
    from_middle: bool, ends: list[int]
) -> None:
    """A bag of 200 x 100 x 200 whose base is cut into 50 cells; all of it is still covered."""
    even = quarter_of(boxed(200.0, 100.0, 200.0), flat=False)
    counts = {**even.counts, FlatSize.BASE: 50}
    crowding = {FlatSize.BASE: Crowding(0.6, from_middle=from_middle)}
    mesh = build_mesh(replace(even, crowding=crowding), counts)
    across, _ = grid_lines(mesh.quarter, mesh.quarter.patches[0], mesh.nodes[0])
    widths = np.diff(across)
    assert across[0] == 0.0 and across[-1] == pytest.approx(100.0)
    assert [widths[end] for end in ends] == pytest.approx([0.4 * 2.0] * len(ends), rel=0.01)
    widest = 0 if from_middle else 25
    assert widths.max() == pytest.approx(widths[widest]) == pytest.approx(1.6 * 2.0, rel=0.01)
    areas = np.linalg.det(mesh.flat[:, 1:] - mesh.flat[:, :1]) / 2
    assert areas.min() > 0.0 and areas.sum() == pytest.approx(even.area)


def test_joined_borders_must_be_cut_alike() -> None:
    counts = {**cells(EASED, 25.0), FlatSize.CORNER_UP: 8}
    with pytest.raises(ValueError, match="joins"):
        build_mesh(quarter_of(EASED, flat=False), counts)


@pytest.mark.parametrize("sizes", EVERY)
def test_a_corner_has_cells_only_along_edges_that_have_length(sizes: Sizes) -> None:
    counts = quarter_of(sizes, flat=False).counts
    assert (FlatSize.CORNER_ALONG in counts) == (sizes.corner_along > 0.0)
    assert (FlatSize.CORNER_UP in counts) == (sizes.corner_up > 0.0)
