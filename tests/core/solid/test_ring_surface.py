"""The drawn surface of bags whose pieces lie apart on the plane, and have rounded corners."""

import math
import random
from collections.abc import Sequence

import numpy as np
import pytest

from core.bag.bag import draft_bag
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.flat.roles import EdgeRole
from core.solid.fill import fill
from core.solid.flat_wall import FlatWall
from core.solid.fold import FoldModel
from core.solid.surface import FilledSurface, on_filled
from core.solid.surface_grid import AREA_ORDER
from core.space.box_quarters import BoxSizes
from core.space.boxes import PANEL_GAP
from core.space.zones import AreaKind, LineKind
from tests.core.bodies.test_separate_base_space import BAGS
from tests.core.bodies.test_strip_filled import carrier, closed_bag
from tests.core.solid.ring_bag import BACK, FRONT, STRIP, RingBag

ROUND = BoxSizes(width=300.0, depth=120.0, height=250.0, radius=50.0, upper_radius=30.0)
NEAR = 1.5
"""mm by which a drawn mark may lie beside its true place."""


@pytest.fixture(scope="module", params=["round", "square", "nearly square", "round ends"])
def bag(request: pytest.FixtureRequest) -> RingBag:
    radii = {"round": (50.0, 30.0), "square": (0.0, 0.0), "nearly square": (4.0, 3.0)}
    lower, upper = radii.get(request.param, (120.0, 120.0))
    return RingBag(
        BoxSizes(width=300.0, depth=120.0, height=250.0, radius=lower, upper_radius=upper)
    )


def cell_areas(nodes: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Signed areas of cells on the plane, from their diagonals, mm2."""
    rise, fall = nodes[1:, 1:] - nodes[:-1, :-1], nodes[1:, :-1] - nodes[:-1, 1:]
    return ((rise[..., 0] * fall[..., 1] - rise[..., 1] * fall[..., 0]) / 2)[cells]


def test_frames_of_the_hand_made_bag_meet_its_seams(bag: RingBag) -> None:
    """The straight sides of both panels lie on the edges of the strip, in the sewn bag."""
    width, deep, height = 300.0, 120.0, 250.0
    zones = {zone.piece: bag.stands[zone.key] for zone in bag.folding.zones}
    for piece, y, way in ((FRONT, -deep / 2, 1.0), (BACK, deep / 2, -1.0)):
        assert zones[piece].at((width / 2, 0.0)) == pytest.approx((0.0, y, 0.0), abs=1e-9)
        assert zones[piece].at((width, height / 2)) == pytest.approx(
            (way * width / 2, y, height / 2), abs=1e-9
        )
    ends = [bag.stands[zone.key] for zone in bag.folding.zones if zone.piece is STRIP]
    assert ends[0].at((0.0, 0.0)) == pytest.approx((0.0, -deep / 2, height), abs=1e-9)
    assert ends[-1].at((deep, 2 * bag.half_ring)) == pytest.approx(
        (0.0, deep / 2, height), abs=1e-9
    )


def test_cells_cover_the_pieces_and_nothing_between_them(bag: RingBag) -> None:
    grid = bag.surface.grid
    nodes = grid.nodes.reshape(len(grid.up), len(grid.across), 2)
    areas = cell_areas(nodes, grid.kinds >= 0)
    assert grid.apart
    assert areas.min() > 0.5
    whole = 4 * bag.quarter.area
    assert areas.sum() == pytest.approx(whole, rel=0.003)
    assert areas.sum() < whole + 1e-6
    x, u = (each[grid.kinds >= 0] for each in grid.middles)
    assert (np.abs(u) < 60.0).sum() > 100 < (np.abs(u) > 60.0 + PANEL_GAP).sum()
    assert not ((np.abs(u) > 60.0) & (np.abs(u) < 60.0 + PANEL_GAP)).any()
    assert not ((np.abs(u) > 60.0) & (np.abs(x) > 150.0)).any()


def test_a_pocket_keeps_its_cells(bag: RingBag) -> None:
    grid = bag.surface.grid
    nodes = grid.nodes.reshape(len(grid.up), len(grid.across), 2)
    own = grid.kinds == AREA_ORDER.index(AreaKind.LAID_ON)
    assert cell_areas(nodes, own).sum() == pytest.approx(160.0 * 120.0, rel=0.02)
    assert (grid.middles[1][own] > 0.0).all(), "on the front"


def test_nodes_outside_a_rounded_corner_lie_on_its_arc(bag: RingBag) -> None:
    grid = bag.surface.grid
    used, (x, u) = grid.used.ravel(), np.abs(grid.nodes.T)
    panel = bag.quarter.patches[3]
    for (cx, cu), (_, out), radius in panel.corners:
        beyond = used & (x > cx + 1e-6) & (out * (u - cu) > 1e-6) & (u > 60.0 + PANEL_GAP - 1e-6)
        far = np.hypot(x[beyond] - cx, u[beyond] - cu)
        assert far.max() <= radius + 1e-9
        on_arc = np.abs(far - radius) < 1e-9
        assert on_arc.sum() >= 4, "one at least in each of the four mirror images"


def test_seams_are_whole_chains_of_cell_sides(bag: RingBag) -> None:
    """Each panel's stitch line once round, each of the strip's long sides, and no side twice."""
    grid, found = bag.surface.grid, {}
    edges = {
        piece: {edge.id: edge for edge in bag.draft.piece(piece).edges}
        for piece in (FRONT, BACK, STRIP)
    }
    for line in bag.surface.lines:
        if line.kind is LineKind.SEAM:
            found.setdefault(line.edge, []).append(line.sides)
    for piece, own in edges.items():
        for edge_id, edge in own.items():
            mine = [sides for ref, sides in found.items() if ref.piece == piece]
            assert mine
            sides = np.concatenate(found[next(r for r in found if r == (piece, edge_id))])
            ends = grid.nodes[sides]
            length = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).sum()
            assert length == pytest.approx(edge.length, rel=0.06, abs=1.5), edge
            assert len(np.unique(sides, axis=0)) == len(sides)
            assert (sides[:, 0] < sides[:, 1]).all()
    for piece in (FRONT, BACK):
        round_it = np.concatenate([np.concatenate(s) for r, s in found.items() if r.piece == piece])
        nodes, times = np.unique(round_it, return_counts=True)
        assert len(nodes) == len(round_it)
        assert (times == 2).all(), "a closed ring"


def test_marks_are_carried_to_where_they_lie_on_the_filled_surface(bag: RingBag) -> None:
    surface, flat = bag.surface, FlatWall(bag.folding.zones, bag.quarter)
    nodes = surface.at(1.0).reshape(-1, 3)
    for kind in (LineKind.SEAM, LineKind.TOPSTITCH):
        drawn = np.concatenate([nodes[each.sides] for each in surface.lines if each.kind is kind])
        for line in bag.model.lines:
            if line.kind is kind:
                ((start, end),) = np.array(flat.segments(line.zone, *line.points))
                along = start + np.linspace(0.01, 0.99, 12)[:, None] * (end - start)
                away = to_chain(on_filled(bag.filled, along), drawn)
                assert np.quantile(away, 0.8) < NEAR and away.max() < 3 * NEAR, line


def to_chain(points: np.ndarray, chain: np.ndarray) -> np.ndarray:
    """Distance of points (n, 3) from segments (k, 2, 3)."""
    start, step = chain[:, 0], chain[:, 1] - chain[:, 0]
    gone = points[:, None] - start[None]
    length = np.maximum((step * step).sum(axis=1), 1e-12)
    share = np.clip((gone * step).sum(axis=2) / length, 0.0, 1.0)
    return np.linalg.norm(gone - share[..., None] * step, axis=2).min(axis=1)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_front_and_back_left_and_right_stay_apart(bag: RingBag, share: float) -> None:
    grid, nodes = bag.surface.grid, bag.surface.at(share).reshape(-1, 3)
    x, u = grid.nodes.T
    used = grid.used.ravel()
    for sign in (1.0, -1.0):
        assert (sign * nodes[used & (sign * u > 0.0), 1]).max() <= 1e-6
        assert (sign * nodes[used & (sign * x > 0.0), 0]).min() >= -1e-6


def test_the_way_starts_on_the_sewn_zones_and_ends_with_the_filled_volume(bag: RingBag) -> None:
    grid = bag.surface.grid
    cells = grid.kinds >= 0
    for share, wanted, near in ((0.0, None, 0.02), (1.0, bag.filled.volume, 0.012)):
        nodes = bag.surface.at(share)
        a, b = nodes[:-1, :-1][cells], nodes[:-1, 1:][cells]
        c, d = nodes[1:, 1:][cells], nodes[1:, :-1][cells]
        volume = sum(
            float((one * np.cross(two, three)).sum()) / 6
            for one, two, three in ((a, b, c), (a, c, d))
        )
        panel = bag.quarter.patches[3]
        box = 120.0 * 2 * panel.area
        assert volume == pytest.approx(box if wanted is None else wanted, rel=near)
        assert nodes[grid.used][:, 2].min() == pytest.approx(0.0, abs=0.5)


def test_every_node_counts_where_its_like_lies(bag: RingBag) -> None:
    """Nodes of no cell go with a cell, so that nothing that is seen is measured too large."""
    for share in (0.0, 1.0):
        nodes = bag.surface.at(share).reshape(-1, 3)
        used = bag.surface.grid.used.ravel()
        assert np.isfinite(nodes).all()
        for axis in range(3):
            assert np.ptp(nodes[:, axis]) == pytest.approx(np.ptp(nodes[used, axis]))
    assert np.isfinite(bag.surface.shortening).all()
    there = bag.surface.shortening[bag.surface.grid.kinds >= 0]
    assert 0.5 < np.median(there) <= 1.0
    assert math.isclose(float(there.max()), 1.0, abs_tol=0.05)


@pytest.mark.parametrize("name", ["zipped", "zipped, trimmed"])
def test_what_stands_open_when_sewn_is_not_closed_by_its_zip(name: str) -> None:
    """Of a separate base: its walls stand upright then, and its inside is seen."""
    whole = BAGS[name]
    surface = FilledSurface(FoldModel(whole, draft_bag(whole)), fill(whole))
    cells, height = surface.grid.kinds >= 0, np.abs(surface.grid.middles[1])
    assert surface.open_seams
    torn = surface.torn(0.0) & cells
    # A zip in the top fold has one half on the front, and one on the back.
    assert torn.any() == ("trimmed" in name)
    assert not torn.any() or height[torn].min() > height.max() - 40.0, "near the top alone"
    assert (surface.torn(0.5) & cells).sum() <= torn.sum()
    assert not surface.torn(1.0).any()


def test_a_closed_bag_has_no_torn_cells(bag: RingBag) -> None:
    assert not any(bag.surface.torn(share).any() for share in (0.0, 0.5, 1.0))
    assert not bag.surface.open_seams


@pytest.mark.parametrize("name", ["zipped", "zipped, trimmed"])
def test_the_surface_of_a_separate_base_covers_its_pieces(name: str) -> None:
    whole = BAGS[name]
    filled = fill(whole)
    surface = FilledSurface(FoldModel(whole, draft_bag(whole)), filled)
    grid = surface.grid
    nodes = grid.nodes.reshape(len(grid.up), len(grid.across), 2)
    areas = cell_areas(nodes, grid.kinds >= 0)
    assert areas.min() > 0.1
    assert areas.sum() == pytest.approx(4 * filled.mesh.quarter.area, rel=0.003)
    base = [line for line in surface.lines if line.edge and line.edge.edge.role is EdgeRole.ROUND]
    corners = {line.edge for line in base}
    assert len(corners) == 4, "each rounded corner has its seam"


@pytest.mark.parametrize("pieces", [1, 2])
@pytest.mark.parametrize("kind", [GussetStrip, Wrap])
def test_a_zone_across_which_the_plane_is_cut_lies_on_it_in_parts(
    kind: type[StripBody], pieces: int
) -> None:
    """The middle of a top strip: its surface is whole, sewn and filled, and so is its zip."""
    whole = closed_bag(carrier(kind, 50.0, pieces=pieces))
    model, filled = FoldModel(whole, draft_bag(whole)), fill(whole)
    quarter, surface = filled.mesh.quarter, FilledSurface(model, filled)
    flat = FlatWall(model.folding.zones, quarter)
    counts = {len(parts) for parts in flat.parts}
    assert counts == {1, 2}
    cells, box = surface.grid.kinds >= 0, 120.0 * 2 * max(quarter.patches[3].area, 0.0)
    for share, wanted, near in ((0.0, box, 0.02), (1.0, filled.volume, 0.012)):
        nodes = surface.at(share)
        a, b = nodes[:-1, :-1][cells], nodes[:-1, 1:][cells]
        c, d = nodes[1:, 1:][cells], nodes[1:, :-1][cells]
        volume = sum(
            float((one * np.cross(two, three)).sum()) / 6
            for one, two, three in ((a, b, c), (a, c, d))
        )
        assert volume == pytest.approx(wanted, rel=near)
    teeth = [line for line in surface.lines if line.kind is LineKind.TEETH]
    ends = surface.grid.nodes[np.concatenate([line.sides for line in teeth])]
    drawn = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1).sum()
    strokes = [line for line in model.lines if line.kind is LineKind.TEETH]
    length = math.fsum(math.dist(*line.points) for line in strokes)
    assert drawn == pytest.approx(length, abs=2 * NEAR)


def test_a_wall_laid_out_flat_keeps_what_is_on_it() -> None:
    whole = closed_bag(carrier(GussetStrip, 50.0))
    model, filled = FoldModel(whole, draft_bag(whole)), fill(whole)
    flat = FlatWall(model.folding.zones, filled.mesh.quarter)
    parted = next(i for i, parts in enumerate(flat.parts) if len(parts) == 2)
    outline = model.folding.zones[parted].outline
    shapes = flat.polygons(parted, outline)
    assert sum(map(area, shapes)) == pytest.approx(area(outline))
    low, *_, high = sorted(outline)
    lines = flat.segments(parted, low, high)
    assert math.fsum(math.dist(*line) for line in lines) == pytest.approx(math.dist(low, high))
    for spot in outline:
        assert min(math.dist(flat.at(parted, spot), at) for shape in shapes for at in shape) < 1e-6


def area(ring: Sequence[tuple[float, float]]) -> float:
    """By Gauss's formula."""
    turned = zip(ring, (*ring[1:], *ring[:1]), strict=True)
    return abs(math.fsum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in turned)) / 2


@pytest.mark.parametrize("seed", range(20))
def test_surfaces_of_random_rings_are_whole(seed: int) -> None:
    """Every cell has an area, and all of them together are the pieces; no seam has a hole."""
    rng = random.Random(seed)
    width, depth, height = (rng.uniform(180.0, 500.0) for _ in range(3))
    most = 0.49 * min(width, height)
    lower, upper = (rng.choice((0.0, 2.0, most * rng.random(), most)) for _ in range(2))
    made = RingBag(
        BoxSizes(width=width, depth=depth, height=height, radius=lower, upper_radius=upper)
    )
    grid = made.surface.grid
    areas = cell_areas(grid.nodes.reshape(len(grid.up), len(grid.across), 2), grid.kinds >= 0)
    assert areas.min() > 0.05
    assert areas.sum() == pytest.approx(4 * made.quarter.area, rel=0.005)
    for piece in (FRONT, BACK):
        lines = [each for each in made.surface.lines if each.edge and each.edge.piece == piece]
        sides = np.concatenate([each.sides for each in lines if each.kind is LineKind.SEAM])
        assert (np.unique(sides, return_counts=True)[1] == 2).all(), "a closed ring"
