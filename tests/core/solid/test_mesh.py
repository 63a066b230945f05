"""The mesh of the closed wall: cut into quarters, sewn by place."""

import numpy as np
import pytest

from core.solid.mesh import Grid, Mesh, Symmetry, build_mesh, choose_grid
from core.solid.quarter import Quarter
from tests.core.solid.sheets import boxed, pillow

EASED = Quarter(base=100.0, corner_along=40.0, corner_up=55.0, wall=200.0)
GATHERED = Quarter(base=100.0, corner_along=0.0, corner_up=50.0, wall=200.0)
SHALLOW = Quarter(base=100.0, corner_along=50.0, corner_up=0.0, wall=200.0)
EVERY = [pillow(200.0, 300.0), boxed(292.0, 165.0, 390.0), EASED, GATHERED, SHALLOW]


def whole(quarter: Quarter, cell: float = 25.0) -> Mesh:
    return build_mesh(quarter, choose_grid(quarter, cell), symmetry=Symmetry.WHOLE)


def areas(mesh: Mesh) -> np.ndarray:
    sides = mesh.flat[:, 1:] - mesh.flat[:, :1]
    return np.linalg.det(sides) / 2


@pytest.mark.parametrize("quarter", EVERY)
@pytest.mark.parametrize("symmetry", Symmetry)
def test_triangles_cover_the_sheet_once(quarter: Quarter, symmetry: Symmetry) -> None:
    mesh = build_mesh(quarter, choose_grid(quarter, 25.0), symmetry=symmetry)
    assert (areas(mesh) > 0.0).all()
    assert areas(mesh).sum() * symmetry.copies == pytest.approx(4 * quarter.area)


def edges(mesh: Mesh) -> dict[tuple[int, int], int]:
    """How often each directed edge between two different vertices is walked."""
    count: dict[tuple[int, int], int] = {}
    for triangle in mesh.triangles.tolist():
        if len(set(triangle)) < 3:
            continue  # gathered to a point: its area is folded away
        for one, other in zip(triangle, triangle[1:] + triangle[:1], strict=True):
            count[one, other] = count.get((one, other), 0) + 1
    return count


@pytest.mark.parametrize("quarter", EVERY[:3])
def test_the_sewn_whole_is_one_closed_surface(quarter: Quarter) -> None:
    """Every edge is walked once each way, and vertices less edges plus triangles is 2."""
    mesh = whole(quarter)
    walked = edges(mesh)
    assert all(walked.get((b, a)) == times == 1 for (a, b), times in walked.items())
    assert mesh.count - len(walked) // 2 + len(mesh.triangles) == 2


@pytest.mark.parametrize("quarter", [GATHERED, SHALLOW])
def test_an_edge_without_a_mate_is_gathered_to_a_point(quarter: Quarter) -> None:
    mesh = whole(quarter)
    walked = edges(mesh)
    assert all(walked.get((b, a)) == times for (a, b), times in walked.items())
    gathered = [each for each in mesh.triangles.tolist() if len(set(each)) < 3]
    assert len(gathered) == 4 * max(mesh.grid.along, mesh.grid.up)


def seam_places(mesh: Mesh) -> dict[int, set[tuple[float, float]]]:
    """Vertex -> every place on the sheet that it is sewn from."""
    found: dict[int, set[tuple[float, float]]] = {}
    for triangle, flat in zip(mesh.triangles.tolist(), mesh.flat.tolist(), strict=True):
        for vertex, (x, u) in zip(triangle, flat, strict=True):
            found.setdefault(vertex, set()).add((round(x, 6), round(u, 6)))
    return found


@pytest.mark.parametrize("quarter", [boxed(200.0, 100.0, 200.0), EASED])
def test_corner_seam_joins_its_edges_in_proportion(quarter: Quarter) -> None:
    """Where the mates differ in length, the longer is eased in evenly."""
    pairs = 0
    for places in seam_places(whole(quarter)).values():
        out = [x - quarter.base for x, u in places if u == quarter.corner_up and x > quarter.base]
        down = [
            quarter.corner_up - u
            for x, u in places
            if x == quarter.base and 0.0 < u < quarter.corner_up
        ]
        if down:
            assert out == [pytest.approx(down[0] * quarter.corner_along / quarter.corner_up)]
            pairs += 1
    assert pairs >= 1


def test_side_seam_and_top_fold_join_front_and_back() -> None:
    quarter = boxed(200.0, 100.0, 200.0)
    for places in seam_places(whole(quarter)).values():
        sides = {(x, u) for x, u in places if abs(x) == quarter.half_opening}
        tops = {(x, u) for x, u in places if abs(u) == quarter.half_loop}
        for x, u in sides | tops:
            assert (x, -u) in places


@pytest.mark.parametrize("cell", [7.0, 13.0, 25.0, 60.0, 500.0])
def test_cells_are_even_so_that_no_corner_lies_in_one_triangle(cell: float) -> None:
    quarter = boxed(292.0, 165.0, 390.0)
    grid = choose_grid(quarter, cell)
    counts = (grid.base, grid.along, grid.up, grid.wall)
    assert all(count >= 2 and count % 2 == 0 for count in counts)
    mesh = build_mesh(quarter, grid, symmetry=Symmetry.WHOLE)
    used = np.bincount(mesh.triangles.ravel())
    corners = [
        index
        for index, places in seam_places(mesh).items()
        if any(abs(x) == quarter.half_opening and abs(u) == quarter.half_loop for x, u in places)
    ]
    assert len(corners) == 2
    assert all(used[corner] >= 4 for corner in corners)


def test_cells_are_near_the_size_asked_for() -> None:
    quarter = boxed(292.0, 165.0, 390.0)
    grid = choose_grid(quarter, 10.0)
    assert grid == Grid(base=14, along=8, up=8, wall=40)
    assert quarter.wall / grid.wall == pytest.approx(10.0, rel=0.1)


def test_a_corner_has_cells_only_along_edges_that_have_length() -> None:
    assert (choose_grid(GATHERED, 25.0).along, choose_grid(GATHERED, 25.0).up) == (0, 2)
    assert (choose_grid(SHALLOW, 25.0).along, choose_grid(SHALLOW, 25.0).up) == (2, 0)
    grid = choose_grid(pillow(200.0, 300.0), 25.0)
    assert (grid.along, grid.up) == (0, 0)
