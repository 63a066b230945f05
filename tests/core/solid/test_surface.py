"""The bag between sewn and filled: its marks, its ends, and the way between them."""

import math

import numpy as np
import pytest

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.flat.roles import FACES, Face
from core.solid.fill import fill
from core.solid.flat_wall import FlatWall
from core.solid.fold import SEWN, FoldModel
from core.solid.surface import FilledSurface, on_filled
from core.solid.surface_grid import AREA_ORDER
from core.space.zones import AreaKind, LineKind
from tests.core.solid.shapes import wall_of
from tests.helpers import changed, demo, inch

NEAR = 1.5
"""mm by which a drawn mark may lie beside its true place."""

BAGS = [
    pytest.param(demo(), id="demo"),
    pytest.param(
        changed(demo(), bottom_seam=inch(0.375), corner_cut_depth=inch(3.375)), id="seamed"
    ),
    pytest.param(without_part(demo(), "board"), id="free base"),
    pytest.param(
        changed(demo(board=None), corner_cut_width=0.0, corner_cut_depth=0.0), id="pillow"
    ),
    pytest.param(changed(demo(), corner_cut_depth=inch(3.5)), id="gap"),
    pytest.param(changed(demo(), front_trim=0.0), id="zip across the top fold"),
    pytest.param(changed(demo(), handle_gap=inch(12)), id="handles beyond the base"),
    pytest.param(demo(pocket=None, handles=None), id="bare"),
]


class Stuffed(FilledSurface):
    """A surface with what it was made of."""

    def __init__(self, bag: Bag) -> None:
        self.model, self.filled = FoldModel(bag, compute(bag).draft), fill(bag)
        super().__init__(self.model, self.filled)


@pytest.fixture(scope="module")
def surface() -> Stuffed:
    return Stuffed(demo())


def to_chain(points: np.ndarray, chain: np.ndarray) -> np.ndarray:
    """Distance of points (n, 3) from segments (k, 2, 3)."""
    start, step = chain[:, 0], chain[:, 1] - chain[:, 0]
    gone = points[:, None] - start[None]
    length = np.maximum((step * step).sum(axis=1), 1e-12)
    share = np.clip((gone * step).sum(axis=2) / length, 0.0, 1.0)
    return np.linalg.norm(gone - share[..., None] * step, axis=2).min(axis=1)


@pytest.mark.parametrize("bag", BAGS)
def test_marks_are_carried_to_where_they_lie_on_the_filled_surface(bag: Bag) -> None:
    """Against the surface itself, point by point along each mark."""
    surface = Stuffed(bag)
    nodes = surface.at(1.0).reshape(-1, 3)
    carried = {
        LineKind.SEAM,
        LineKind.TEETH,
        LineKind.TOPSTITCH,
        LineKind.FREE_EDGE,
        LineKind.BAND_STITCHING,
    }
    drawn = {
        kind: np.concatenate([nodes[each.sides] for each in surface.lines if each.kind is kind])
        for kind in {each.kind for each in surface.lines}
    }
    strokes = surface.model.lines
    flat = FlatWall(surface.model.folding.zones, surface.filled.mesh.quarter)
    assert {each.kind for each in strokes} & carried <= set(drawn)
    for stroke in strokes:
        if stroke.kind in carried:
            ((start, end),) = np.array(flat.segments(stroke.zone, *stroke.points))
            along = start + np.linspace(0.01, 0.99, 30)[:, None] * (end - start)
            away = to_chain(on_filled(surface.filled, along), drawn[stroke.kind])
            # The zip's ends are puckered more finely than the cells that they are drawn with.
            assert np.quantile(away, 0.8) < NEAR, (stroke.kind, stroke.edge)
            assert away.max() < 3 * NEAR, (stroke.kind, stroke.edge)


@pytest.mark.parametrize("bag", BAGS)
def test_the_way_starts_on_the_rigid_zones_of_the_sewn_bag(bag: Bag) -> None:
    surface = Stuffed(bag)
    wall, sewn = wall_of(bag), surface.model.at(SEWN)
    zones = [zone for zone in surface.model.folding.zones if zone.region is not None]
    tops = [zone for zone in surface.model.folding.zones if zone.region is None]
    assert zones and len(tops) > 0
    nodes, flat = surface.at(0.0).reshape(-1, 3), surface.grid.nodes
    checked = 0
    for (beside, u), at in zip(flat.tolist(), nodes, strict=True):
        x = beside + wall.middle
        face = Face.FRONT if u >= 0 else Face.BACK
        for zone in zones:
            inside = all(a * x + b * u <= c - 1e-6 for a, b, c in zone.limits)
            if inside and zone.region is face:
                assert at == pytest.approx(sewn.stands[zone.key].at((x, u)), abs=1e-9)
                checked += 1
    assert checked > len(flat) / 2


@pytest.mark.parametrize("bag", BAGS)
@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.75, 1.0])
def test_on_the_way_front_and_back_left_and_right_never_pass_through_each_other(
    bag: Bag, share: float
) -> None:
    surface = Stuffed(bag)
    nodes = surface.at(share)
    flat = surface.grid.nodes.reshape(*nodes.shape[:2], 2)
    used = np.zeros(nodes.shape[:2], dtype=bool)
    there = surface.grid.kinds >= 0
    for rows, columns in ((slice(0, -1), slice(0, -1)), (slice(1, None), slice(1, None))):
        used[rows, columns] |= there
    for sign in (1.0, -1.0):
        assert (sign * nodes[used & (sign * flat[..., 1] > 0), 1]).max() <= 1e-6
        assert (sign * nodes[used & (sign * flat[..., 0] > 0), 0]).min() >= -1e-6


def test_the_way_ends_on_the_filled_shape_with_its_volume(surface: Stuffed) -> None:
    nodes, cells = surface.at(1.0), surface.grid.kinds >= 0
    a, b = nodes[:-1, :-1][cells], nodes[:-1, 1:][cells]
    c, d = nodes[1:, 1:][cells], nodes[1:, :-1][cells]
    volume = sum(
        float((one * np.cross(two, three)).sum()) / 6 for one, two, three in ((a, b, c), (a, c, d))
    )
    assert volume == pytest.approx(surface.filled.volume, rel=0.01)
    assert nodes[..., 2].min() == pytest.approx(0.0, abs=1e-9)


def test_cells_are_of_the_goods_that_lie_there(surface: Stuffed) -> None:
    """Areas by plane geometry.

    Zip 17 3/4 x 1/2 in; pocket 17 3/4 x 7 5/8 in less two legs of 1 1/4 in.
    """
    across, up = surface.grid.nodes.reshape(*surface.at(0.0).shape[:2], 2), surface.grid.up
    width = (across[1:, 1:, 0] - across[1:, :-1, 0] + across[:-1, 1:, 0] - across[:-1, :-1, 0]) / 2
    area = width * np.diff(up)[:, None]
    total = {kind: area[surface.grid.kinds == i].sum() for i, kind in enumerate(AREA_ORDER)}
    assert total[AreaKind.TAPE] == pytest.approx(inch(17.75) * inch(0.5))
    leg = inch(1.25) * (inch(17.75) - inch(5) + inch(19.25) - inch(5))
    assert total[AreaKind.BAND] == pytest.approx(2 * leg, rel=0.01)
    stop = inch(5) - inch(4.5)
    on_pocket = 2 * inch(1.25) * (inch(7.625) - stop)
    assert total[AreaKind.LAID_ON] == pytest.approx(inch(17.75) * inch(7.625) - on_pocket, rel=0.01)
    cut_out = area[surface.grid.kinds < 0].sum()
    assert cut_out == pytest.approx(4 * inch(3.375) ** 2)


def test_loose_handles_start_at_their_stops_and_keep_their_length(surface: Stuffed) -> None:
    assert [band.face for band in surface.bands] == list(FACES)
    bag = surface.filled.bag
    sheet = wall_of(bag)
    for band in surface.bands:
        stop = sheet.top(band.face) + bag.site.front.top_allowance - bag.parts["handles"].stop
        way = 1.0 if band.face is Face.FRONT else -1.0
        x = -bag.parts["handles"].centres / 2
        foot = on_filled(surface.filled, np.array([[x, way * stop]]))[0]
        assert math.dist(band.filled[:, 0].mean(axis=0), foot) < 5.0
        for sewn, filled in zip(band.sewn, band.filled, strict=True):
            lengths = [
                np.linalg.norm(np.diff(side, axis=0), axis=1).sum() for side in (sewn, filled)
            ]
            assert lengths[1] == pytest.approx(lengths[0], rel=0.03)
        highest = band.filled[..., 2].max()
        assert highest > surface.at(1.0)[..., 2].max() + inch(8)


def test_the_board_is_carried_along(surface: Stuffed) -> None:
    size = pytest.approx([inch(10.125), inch(5.875), 0.0], abs=1e-6)
    for edges in surface.stiffeners:
        assert np.ptp(edges.reshape(-1, 3), axis=0) == size
    assert len(Stuffed(without_part(demo(), "board")).stiffeners[0]) == 0


def test_wrinkles_are_told_from_smooth_cloth(surface: Stuffed) -> None:
    there = surface.shortening[surface.grid.kinds >= 0]
    assert there.shape == (int((surface.grid.kinds >= 0).sum()),)
    assert 0.0 <= there.min() < 0.9
    assert 0.95 < np.median(there) <= 1.0


def test_open_seams_are_known() -> None:
    assert Stuffed(changed(demo(), corner_cut_depth=inch(3.5))).open_seams
    assert not Stuffed(demo()).open_seams


@pytest.mark.parametrize("share", [-0.01, 1.01])
def test_the_way_has_two_ends(surface: Stuffed, share: float) -> None:
    with pytest.raises(ValueError, match="from 0 to 1"):
        surface.at(share)


def test_start_and_end_are_at_rest(surface: Stuffed) -> None:
    steps = [
        np.abs(surface.at(b) - surface.at(a)).max() for a, b in ((0, 0.02), (0.49, 0.51), (0.98, 1))
    ]
    assert steps[0] < steps[1] / 5 and steps[2] < steps[1] / 5
