"""The bag between sewn and filled: every mark carried along on its soft wall.

Frame in space, mm: x across from the middle of the bag, y from front to back (the front
looks towards -y), z up from the ground.

Both ends of the way are places of the same points of the wall: on the rigid zones of the
sewn bag, and on the filled shape. In each of them the front lies before the middle plane
and the back behind it, so that what lies between never passes through itself.

The wall is laid out flat as its quarter and the three mirror images of it: (x, u), mm, x to the
right, u positive on the front and negative on the back. It is cut into cells whose lines run
along everything sewn to it, so that every cell is of one goods and every seam is a chain of cell
sides. Rows run from one end of the mouth down the back, across the bottom and up the front.
Seen from outside a cell's corners (column, row), (+1, 0), (+1, +1), (0, +1) run
counter-clockwise.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from core.base.arrays import Floats, Ints, beyond, placed, table
from core.flat.geometry import Frame2
from core.flat.piece import Point
from core.flat.roles import EdgeRef
from core.solid.bands import band_stands
from core.solid.carried_bands import LEG_POINTS, CarriedBand, carry_band, wall_spots
from core.solid.fill import Filled
from core.solid.fill_problem import principal_stretches
from core.solid.fold import SEWN, FoldModel
from core.solid.laying import TIPS_ONLY
from core.space.patches import Quarter
from core.space.zones import AreaKind, Band, Frames, LineKind, ease

AREA_ORDER = (AreaKind.WALL, AreaKind.TAPE, AreaKind.LAID_ON, AreaKind.BAND)
"""What a cell can be of, in the order in which it is laid on."""
_DRAWN_CELLS = 300
"""Of a quarter, about: as fine as it can be turned without a delay."""
_NEAREST = 1.5
"""mm; lines nearer to one another than this are one."""
_ON = 1e-6
"""mm; a point so near to a line lies on it."""


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceLine:
    """A line on the surface.

    Attributes:
        edge: whose stitch line it is; None for folds and the like.
        sides: (k, 2) nodes at both ends of each cell side that it runs along, in order.
    """

    kind: LineKind
    edge: EdgeRef | None
    sides: Ints


class FilledSurface:
    """A filled bag made ready to be shown; `at` is then cheap.

    Attributes:
        grid: the cells of its wall.
        lines: seams, folds, stitching, the middle of the zip.
        bands: the loose parts of the handles.
        stiffeners: (sewn, filled) edges of what lies inside, (k, 2, 3) each, mm.
        shortening: (r, c) of each cell of the filled bag: 1 is smooth, less is wrinkled away.
        open_seams: whether something is left open in the sewn bag, so that its inside shows.
    """

    def __init__(self, model: FoldModel, filled: Filled) -> None:
        quarter = filled.mesh.quarter
        flat = flat_frames(model, quarter)
        self.grid = lay_grid(model, quarter, flat, (quarter.area / _DRAWN_CELLS) ** 0.5)
        sewn, nodes = model.at(SEWN), self.grid.nodes
        shape = (len(self.grid.up), len(self.grid.across), 3)
        stiff = [line for line in model.lines if line.kind is LineKind.STIFFENER_EDGE]
        ends = [flat[line.zone].at(point) for line in stiff for point in line.points]
        spots = [spot for band in model.bands for spot in wall_spots(model.folding, band)]
        under = [flat[zone].at(point) for zone, point in spots]
        points = np.concatenate((nodes, np.array(ends + under).reshape(-1, 2)))
        cuts = [len(nodes), len(nodes) + len(ends)]
        (at_sewn, sewn_ends, _), (at_filled, filled_ends, walls) = (
            np.split(each, cuts)
            for each in (_on_sewn(model, flat, sewn.stands, points), on_filled(filled, points))
        )
        self._sewn, self._filled = at_sewn.reshape(shape), at_filled.reshape(shape)
        self.stiffeners = sewn_ends.reshape(-1, 2, 3), filled_ends.reshape(-1, 2, 3)
        self.shortening = _shortening(self.grid, self._filled)
        self.open_seams = bool(sewn.gaps)
        carried = [
            line for line in model.lines if line.kind in _CARRIED and line.seen not in TIPS_ONLY
        ]
        chains = _chains(
            self.grid, [[flat[line.zone].at(end) for end in line.points] for line in carried]
        )
        self.lines = tuple(
            SurfaceLine(line.kind, line.edge, sides)
            for line, sides in zip(carried, chains, strict=True)
            if len(sides)
        )
        self.bands = tuple(
            _carried(model, sewn.stands, band, wall)
            for band, wall in zip(model.bands, walls.reshape(-1, LEG_POINTS, 3), strict=True)
        )

    def at(self, share: float) -> Floats:
        """(r + 1, c + 1, 3) the grid's nodes, mm, as `between` has them."""
        return between(self._sewn, self._filled, share)

    @property
    def outer_points(self) -> Floats:
        """(n, 3) everything that is seen of the filled bag, mm."""
        loose = [band.filled.reshape(-1, 3) for band in self.bands]
        return np.concatenate((self._filled.reshape(-1, 3), *loose))


def between(sewn: Floats, filled: Floats, share: float) -> Floats:
    """Points on their way from 0, sewn, to 1, filled, and at rest there; others: ValueError."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"the way from sewn to filled runs from 0 to 1, not to {share}")
    eased = ease(share)
    return sewn * (1.0 - eased) + filled * eased


_CARRIED = (
    LineKind.SEAM,
    LineKind.FOLD,
    LineKind.TEETH,
    LineKind.TOPSTITCH,
    LineKind.FREE_EDGE,
    LineKind.BAND_STITCHING,
    LineKind.HALFWAY,
)
"""Hinges are not: a soft bag has none."""


def on_filled(filled: Filled, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the wall lie on the filled bag, mm."""
    x, u = points.T
    signs = np.column_stack((_sign(x), -_sign(u), np.ones_like(x)))
    return np.asarray(filled.on_quarter(np.abs(points)) * signs)


def flat_frames(model: FoldModel, quarter: Quarter) -> list[Frame2]:
    """Of each zone of the wall: from the frame of its piece into (x, u)."""
    found = []
    for zone in model.folding.zones:
        copies = [each for each in quarter.copies if each.piece == zone.piece]
        count = len(zone.outline)
        x, y = (sum(values) / count for values in zip(*zone.outline, strict=True))
        copy = min(copies, key=lambda each: max(a * x + b * y - c for a, b, c in each.limits))
        right, back = copy.signs
        found.append(Frame2(*((right * x, -back * y) for x, y in copy.frame)))
    return found


def _on_sewn(model: FoldModel, flat: Sequence[Frame2], now: Frames, points: Floats) -> Floats:
    """(k, 3) where points (k, 2) of the wall lie on the sewn bag, mm."""
    zones = model.folding.zones
    back = [frame.inverse for frame in flat]
    limits = [
        tuple(map(frame.plane_back, zone.limits)) for zone, frame in zip(zones, back, strict=True)
    ]
    nearest = beyond(table(limits), points).argmin(axis=0)
    frames = np.array([now[zone.key] for zone in zones])[nearest]
    return placed(frames, placed(np.array(back)[nearest], points))


def _sign(values: Floats) -> Floats:
    return np.where(values < 0.0, -1.0, 1.0)


def _carried(model: FoldModel, now: Frames, band: Band, wall: Floats) -> CarriedBand:
    folding = model.folding
    carrier = now[folding.zones[folding.carriers[band.face]].key]
    return carry_band(band, folding, band_stands(folding, carrier, band.face, SEWN), wall)


def _shortening(grid: "SurfaceGrid", nodes: Floats) -> Floats:
    """Smaller principal stretch of each cell, from its two diagonals."""
    flat = grid.nodes.reshape(*nodes.shape[:2], 2)
    (rise, fall), (flat_rise, flat_fall) = _diagonals(nodes), _diagonals(flat)
    (a, b), (c, d) = np.moveaxis(flat_rise, 2, 0), np.moveaxis(flat_fall, 2, 0)
    area = (a * d - b * c)[..., None]
    across = (rise * d[..., None] - fall * b[..., None]) / area
    up = (fall * a[..., None] - rise * c[..., None]) / area
    gradients = np.concatenate((across, up), axis=2)
    smaller = principal_stretches(gradients.reshape(-1, 6).T)[1]
    return np.minimum(smaller.reshape(grid.kinds.shape), 1.0)


def _diagonals(nodes: Floats) -> tuple[Floats, Floats]:
    """Of each cell: to the upper right, and to the upper left."""
    return nodes[1:, 1:] - nodes[:-1, :-1], nodes[1:, :-1] - nodes[:-1, 1:]


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceGrid:
    """The cells of a wall.

    Attributes:
        across: (c + 1,) x of the columns' borders.
        up: (r + 1,) u of the rows' borders.
        kinds: (r, c) index into AREA_ORDER; -1 in the corner cuts, where nothing is.
        nodes: ((r + 1) (c + 1), 2) corners of the cells, row by row; in the walls the
            columns of the base's ends follow the hinges of the sewn bag, so that its
            creases show straight.
    """

    across: Floats
    up: Floats
    kinds: Ints
    nodes: Floats

    @property
    def middles(self) -> tuple[Floats, Floats]:
        """(r, c) x and u of each cell's middle."""
        corners = self.nodes.reshape(len(self.up), len(self.across), 2)
        sums = corners[1:, 1:] + corners[1:, :-1] + corners[:-1, 1:] + corners[:-1, :-1]
        return sums[..., 0] / 4, sums[..., 1] / 4


def lay_grid(
    model: FoldModel, quarter: Quarter, flat: Sequence[Frame2], cell: float
) -> SurfaceGrid:
    """The grid of a model's wall, `flat_frames` of its zones, with cells of about this size, mm."""
    # Nothing runs down the middle, where the wall goes on; the bottom is a line of its own.
    borders = (x for patch in quarter.patches for x in (patch.low[0], patch.high[0]))
    columns = _both(x for x in borders if x > 0.0)
    rows = _both(u for patch in quarter.patches for u in (patch.low[1], patch.high[1]))
    firm = len(columns), len(rows)
    shapes = [
        (AREA_ORDER.index(area.kind), [flat[area.zone].at(corner) for corner in area.corners])
        for area in model.areas
        if area.kind in AREA_ORDER[1:] and not model.zones[area.zone].loose
    ]
    for _, shape in shapes:
        _add_borders(shape, columns, rows)
    for line in model.lines:
        if line.kind in _BORDERS and line.seen not in TIPS_ONLY:
            _add_borders([flat[line.zone].at(end) for end in line.points], columns, rows)
    fans = _fans(model, quarter, flat, columns)
    end = max(rows[: firm[1]])
    across = _lines(columns, firm[0], cell, fans)
    up = _lines([row for row in rows if abs(row) <= end], firm[1], cell)
    x, u = np.meshgrid(across, up)
    _spread_out(x, u, fans)
    nodes = np.column_stack((x.ravel(), u.ravel()))
    kinds = np.zeros((len(up) - 1, len(across) - 1), dtype=np.int64)
    grid = SurfaceGrid(across, up, kinds, nodes)
    _spread_kinds(grid, shapes)
    _cut_out(grid, quarter)
    return grid


_BORDERS = (LineKind.TEETH, LineKind.SEAM, LineKind.TOPSTITCH, LineKind.FREE_EDGE)


def _both(values: Iterable[float]) -> list[float]:
    """Each once, and its mirror image."""
    found = dict.fromkeys(values)
    return list(dict.fromkeys(sign * value + 0.0 for value in found for sign in (1.0, -1.0)))


def _add_borders(
    points: list[tuple[float, float]], columns: list[float], rows: list[float]
) -> None:
    """The straight edges of a shape; slanting ones are hinges, which a soft bag has not."""
    for (x0, u0), (x1, u1) in pairwise([*points, points[0]]):
        if abs(x0 - x1) < 1e-6 < abs(u0 - u1):
            columns.append(x0)
        elif abs(u0 - u1) < 1e-6 < abs(x0 - x1):
            rows.append(u0)


def _lines(wanted: list[float], firm: int, cell: float, fans: tuple["Fan", ...] = ()) -> Floats:
    """Borders along every line that is wanted, and about one cell (mm) apart.

    The first `firm` of what is wanted stay where they are; others too near to one go. Columns of
    `fans` grow wider further up.
    """
    kept: list[float] = []
    for line in wanted[:firm] + sorted(wanted[firm:]):
        if all(abs(line - each) > _NEAREST for each in kept):
            kept.append(line)
    kept.sort()
    parts = []
    for low, high in pairwise(kept):
        grown = max((fan.growth(low, high) for fan in fans), default=1.0)
        count = max(round((high - low) * grown / cell), 1)
        parts.append(np.linspace(low, high, count, endpoint=False))
    return np.concatenate((*parts, kept[-1:]))


@dataclass(frozen=True, slots=True)
class Fan:
    """Columns at one end of the bag, which follow the hinge of its sewn side, x in mm.

    Attributes:
        still: up to here columns stay upright.
        foot: where the hinge starts.
        side: the end of the wall.
        heights, hinge: |u| from the foot on, and x of the hinge there.
    """

    still: float
    foot: float
    side: float
    heights: tuple[float, ...]
    hinge: tuple[float, ...]

    def growth(self, low: float, high: float) -> float:
        """How much wider the columns between two lines are half way up than at the foot."""
        inner, outer = sorted((self.still, self.foot))
        if low < inner - _NEAREST or high > outer + _NEAREST:
            return 1.0
        return (abs(self.side - self.still) / abs(self.foot - self.still) + 1.0) / 2


def _fans(
    model: FoldModel, quarter: Quarter, flat: Sequence[Frame2], columns: list[float]
) -> tuple[Fan, ...]:
    """At both ends of a bag whose sides hinge; none where a mark lies beyond the hinge's foot."""
    side = max(patch.high[0] for patch in quarter.patches)
    hinges: list[tuple[float, float]] = []
    for i, zone in enumerate(model.folding.zones):
        for kind, start, end in zone.folds:
            (x0, u0), (x1, u1) = flat[i].at(start), flat[i].at(end)
            if kind is LineKind.CREASE and abs(u0 - u1) > _ON:
                hinges += [(abs(u0), x0), (abs(u1), x1)]
    fans: list[Fan] = []
    for out in (-1.0, 1.0):
        mine = sorted((height, x) for height, x in hinges if out * x > 0.0)
        if not mine:
            continue
        foot = mine[0][1]
        own = (side, abs(foot))
        marks = [x for x in columns if min(abs(abs(x) - each) for each in own) > _NEAREST]
        last = max(mark * out for mark in (*marks, 0.0))
        if last < abs(foot) - _NEAREST:
            heights, hinge = zip(*mine, strict=True)
            fans.append(Fan(last * out, foot, side * out, heights, hinge))
    return tuple(fans)


def _spread_out(x: Floats, u: Floats, fans: tuple[Fan, ...]) -> None:
    """Move the columns of the walls along with the hinges."""
    height = np.abs(u[:, 0])
    for fan in fans:
        beyond_it = np.abs(x[0]) > abs(fan.still)
        beyond_it &= (x[0] > 0.0) == (fan.side > 0.0)
        own = sorted(((fan.still, 0.0), (fan.foot, 1.0), (fan.side, 0.0)))
        share = np.interp(x[0, beyond_it], *np.array(own).T)
        x[:, beyond_it] += np.outer(np.interp(height, fan.heights, fan.hinge) - fan.foot, share)


def _spread_kinds(grid: SurfaceGrid, shapes: list[tuple[int, list[Point]]]) -> None:
    """Give each cell the topmost kind over its middle."""
    x, u = grid.middles
    for kind, shape in shapes:
        across, up = zip(*shape, strict=True)
        first, last = np.searchsorted(u[:, 0], (min(up) - _ON, max(up) + _ON)).tolist()
        rows = slice(first, last)
        inside = (x[rows] >= min(across) - _ON) & (x[rows] <= max(across) + _ON)
        turn = _turn(shape)
        for (x0, u0), (x1, u1) in pairwise([*shape, shape[0]]):
            if abs(x0 - x1) > _ON and abs(u0 - u1) > _ON:  # the box holds all others
                apart = (x1 - x0) * (u[rows] - u0) - (u1 - u0) * (x[rows] - x0)
                inside &= turn * apart >= -_ON
        grid.kinds[rows][inside] = np.maximum(grid.kinds[rows][inside], kind)


def _turn(shape: list[tuple[float, float]]) -> float:
    """1 when the corners run counter-clockwise, else -1."""
    twice = math.fsum(x0 * u1 - x1 * u0 for (x0, u0), (x1, u1) in pairwise([*shape, shape[0]]))
    return 1.0 if twice >= 0.0 else -1.0


def _cut_out(grid: SurfaceGrid, quarter: Quarter) -> None:
    """No cell where no patch is."""
    x, u = (np.abs(each) for each in grid.middles)
    there = np.zeros(grid.kinds.shape, dtype=bool)
    for patch in quarter.patches:
        (x0, u0), (x1, u1) = patch.low, patch.high
        there |= (x0 <= x) & (x <= x1) & (u0 <= u) & (u <= u1)
    grid.kinds[~there] = -1


def _chains(grid: SurfaceGrid, lines: Iterable[Sequence[Point]]) -> list[Ints]:
    """Of each line: (k, 2) nodes at both ends of each cell side that it runs along, in order."""
    width = len(grid.across)
    x = grid.nodes[:, 0].reshape(-1, width)
    columns = ((x[:, 1:] + x[:, :-1]) / 2).tolist()
    rows = ((grid.up[1:] + grid.up[:-1]) / 2).tolist()
    pairs = np.arange(max(x.shape))[:, None] + np.arange(2)
    found: list[Ints] = []
    for (x0, u0), (x1, u1) in lines:
        if abs(u0 - u1) < _ON:
            row = int(np.abs(grid.up - u0).argmin())
            start, step, middles, ends = row * width, 1, columns[row], (x0, x1)
        else:
            start = int(np.abs(grid.across - x0).argmin())
            step, middles, ends = width, rows, (u0, u1)
        first, last = bisect_right(middles, min(ends)), bisect_left(middles, max(ends))
        found.append(start + step * pairs[first : max(first, last)])
    return found
