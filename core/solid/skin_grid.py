"""The closed wall laid out as a grid of cells whose lines run along everything sewn to it.

Zip, pocket and handles are rectangles on the sheet: with a grid line along each of their
edges every cell is of one goods, and every seam is a chain of cell sides.

Frame (x, u) of core.solid.sheet, mm; rows run from the top fold down the back, across the
bottom and up the front to the top fold again. Seen from outside a cell's corners
(column, row), (+1, 0), (+1, +1), (0, +1) run counter-clockwise.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.bodies.boxed_panel.folding import side_slopes
from core.bodies.boxed_panel.wall import Wall
from core.flat.roles import Face
from core.solid.content import LaidLine
from core.solid.fill_problem import Floats
from core.solid.fold import FoldModel
from core.space.folding import AreaKind, LineKind

Indices = NDArray[np.int64]

GOODS = (AreaKind.WALL, AreaKind.TAPE, AreaKind.LAID_ON, AreaKind.BAND)
"""What a cell can be of, in the order in which it is laid on."""

_NEAREST = 1.5
"""mm; lines nearer to one another than this are one."""


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """The cells of a wall.

    Attributes:
        across: (c + 1,) x of the columns' borders.
        up: (r + 1,) u of the rows' borders.
        goods: (r, c) index into GOODS; -1 in the corner cuts, where nothing is.
        nodes: ((r + 1) (c + 1), 2) corners of the cells, row by row; in the walls the
            columns of the base's ends follow the hinges of the sewn bag, so that its
            creases show straight.
    """

    across: Floats
    up: Floats
    goods: Indices
    nodes: Floats

    @property
    def middles(self) -> tuple[Floats, Floats]:
        """(r, c) x and u of each cell's middle."""
        corners = self.nodes.reshape(len(self.up), len(self.across), 2)
        sums = corners[1:, 1:] + corners[1:, :-1] + corners[:-1, 1:] + corners[:-1, :-1]
        return sums[..., 0] / 4, sums[..., 1] / 4


def lay_grid(model: FoldModel, wall: Wall, cell: float) -> Grid:
    """The grid of a model's wall with cells of about this size, mm."""
    sheet = wall
    half = sheet.top_fold
    columns = [sheet.left, sheet.right, sheet.base_left, sheet.base_right]
    rows = [-half, half, 0.0, sheet.corner, -sheet.corner]
    for patch in model.areas:
        if not model.zones[patch.zone].loose and patch.kind in GOODS[1:]:
            _add_borders(on_wall(model, wall, patch.zone, patch.corners), columns, rows)
    for stroke in model.lines:
        if stroke.kind in (LineKind.TEETH, LineKind.SEAM, LineKind.TOPSTITCH, LineKind.FREE_EDGE):
            _add_borders(on_wall(model, wall, stroke.zone, stroke.points), columns, rows)
    fans = _fans(sheet, columns)
    across = _lines(columns, 4, cell, fans)
    up = _lines([row for row in rows if abs(row) <= half], 5, cell)
    x, u = np.meshgrid(across, up)
    _spread_out(x, u, sheet, fans)
    nodes = np.column_stack((x.ravel(), u.ravel()))
    grid = Grid(across, up, np.zeros((len(up) - 1, len(across) - 1), dtype=np.int64), nodes)
    _spread_goods(grid, model, wall)
    _cut_corners(grid, sheet)
    return grid


def on_wall(
    model: FoldModel, wall: Wall, zone: int, points: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """Points of a zone's piece as (x, u)."""
    plate = next(each for each in model.folding.plates if zone in each.zones)
    way = 1.0 if plate.side is Face.FRONT else -1.0
    found = [plate.frame.at(point) for point in points]
    return [(x + wall.middle, way * w) for x, w in found]


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
    """Borders along every line that is wanted, and about one cell apart.

    Args:
        wanted: the first `firm` of them stay where they are; others too near to one go.
        firm: how many.
        cell: mm.
        fans: where columns grow wider further up.
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
        foot: the end of the base, where the hinge starts.
        side: the side seam, which the hinge reaches at the top fold.
        slope: of the hinge, x over u.
    """

    still: float
    foot: float
    side: float
    slope: float

    def growth(self, low: float, high: float) -> float:
        """How much wider the columns between two lines are half way up than at the base."""
        inner, outer = sorted((self.still, self.foot))
        if low < inner - _NEAREST or high > outer + _NEAREST:
            return 1.0
        return (abs(self.side - self.still) / abs(self.foot - self.still) + 1.0) / 2


def _fans(sheet: Wall, columns: list[float]) -> tuple[Fan, ...]:
    """At both ends of a boxed bag; none where a mark lies beyond the end of the base."""
    if not sheet.has_corners:
        return ()
    ends = ((sheet.base_left, sheet.left), (sheet.base_right, sheet.right))
    own = [x for pair in ends for x in pair]
    marks = [each for each in columns if min(abs(each - x) for x in own) > _NEAREST]
    fans: list[Fan] = []
    for slope, (foot, side) in zip(side_slopes(sheet), ends, strict=True):
        out = 1.0 if side > sheet.middle else -1.0
        last = max((mark - sheet.middle) * out for mark in (*marks, sheet.middle))
        if last < abs(foot - sheet.middle) - _NEAREST:
            fans.append(Fan(sheet.middle + last * out, foot, side, slope))
    return tuple(fans)


def _spread_out(x: Floats, u: Floats, sheet: Wall, fans: tuple[Fan, ...]) -> None:
    """Move the columns of the walls along with the hinges."""
    above = np.abs(u[:, 0]) - sheet.corner
    for fan in fans:
        beyond = np.abs(x[0] - sheet.middle) > abs(fan.still - sheet.middle)
        beyond &= (x[0] > sheet.middle) == (fan.side > sheet.middle)
        for row in np.flatnonzero(above > 0.0).tolist():
            hinge = fan.foot + fan.slope * above[row]
            at_base = sorted((fan.still, fan.foot, fan.side))
            here = sorted((fan.still, hinge, fan.side))
            x[row, beyond] = np.interp(x[row, beyond], at_base, here)


def _spread_goods(grid: Grid, model: FoldModel, wall: Wall) -> None:
    """Give each cell the topmost goods over its middle."""
    x, u = grid.middles
    for patch in model.areas:
        if model.zones[patch.zone].loose or patch.kind not in GOODS[1:]:
            continue
        shape = on_wall(model, wall, patch.zone, patch.corners)
        inside = np.ones(grid.goods.shape, dtype=bool)
        turn = _turn(shape)
        for (x0, u0), (x1, u1) in pairwise([*shape, shape[0]]):
            apart = (x1 - x0) * (u - u0) - (u1 - u0) * (x - x0)
            inside &= turn * apart >= -1e-6
        grid.goods[inside] = np.maximum(grid.goods[inside], GOODS.index(patch.kind))


def _turn(shape: list[tuple[float, float]]) -> float:
    """1 when the corners run counter-clockwise, else -1."""
    twice = math.fsum(x0 * u1 - x1 * u0 for (x0, u0), (x1, u1) in pairwise([*shape, shape[0]]))
    return 1.0 if twice >= 0.0 else -1.0


def _cut_corners(grid: Grid, sheet: Wall) -> None:
    x, u = grid.middles
    beside = (x < sheet.base_left) | (x > sheet.base_right)
    grid.goods[(np.abs(u) < sheet.corner) & beside] = -1


def chain(grid: Grid, model: FoldModel, wall: Wall, stroke: LaidLine) -> Indices:
    """(k, 2) nodes at both ends of each cell side that a stroke runs along, in order."""
    (x0, u0), (x1, u1) = (on_wall(model, wall, stroke.zone, stroke.points)[end] for end in (0, -1))
    width = len(grid.across)
    if abs(u0 - u1) < 1e-6:
        row = int(np.abs(grid.up - u0).argmin())
        first = _between(grid.nodes[row * width : (row + 1) * width, 0], x0, x1) + row * width
        return np.column_stack((first, first + 1))
    column = int(np.abs(grid.across - x0).argmin())
    first = _between(grid.up, u0, u1) * width + column
    return np.column_stack((first, first + width))


def _between(lines: Floats, one: float, other: float) -> Indices:
    """Which of the spaces between lines have their middle between two values."""
    middles = (lines[1:] + lines[:-1]) / 2
    inside = (middles > min(one, other)) & (middles < max(one, other))
    return np.flatnonzero(inside).astype(np.int64)
