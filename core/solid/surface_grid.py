"""The cells in which the wall of a filled bag is drawn.

The wall is laid out flat as its quarter and the three mirror images of it: (x, u), mm, x to the
right, u positive on the front and negative on the back. It is cut into cells whose lines run
along everything sewn to it, so that every cell is of one goods and every seam is a chain of cell
sides. Rows run from the lowest u up the back, across the bottom and up the front. Seen from outside
a cell's corners (column, row), (+1, 0), (+1, +1), (0, +1) run counter-clockwise.

Pieces that lie apart on the plane have no cells between them. At a rounded corner the nodes that
lie outside the arc are pulled onto it.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from core.base.arrays import Flags, Floats, Ints
from core.flat.piece import Point
from core.solid.flat_wall import FlatWall
from core.solid.fold import FoldModel
from core.solid.laying import TIPS_ONLY
from core.space.patches import Border, Join, Quarter, RoundedCorner
from core.space.zones import AreaKind, LineKind

AREA_ORDER = (AreaKind.WALL, AreaKind.TAPE, AreaKind.LAID_ON, AreaKind.BAND)
"""What a cell can be of, in the order in which it is laid on."""
_NEAREST = 1.5
"""mm; lines nearer to one another than this are one."""
_ON = 1e-6
"""mm; a point so near to a line lies on it."""


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceGrid:
    """The cells of a wall.

    Attributes:
        across: (c + 1,) x of the columns' borders.
        up: (r + 1,) u of the rows' borders.
        kinds: (r, c) index into AREA_ORDER; -1 where nothing is: in the corner cuts, beyond
            rounded corners, between pieces that lie apart.
        nodes: ((r + 1) (c + 1), 2) corners of the cells, row by row; in the walls the
            columns of the base's ends follow the hinges of the sewn bag, so that its
            creases show straight.
        arcs: of the rounded corners, on which nodes lie.
        apart: whether pieces lie apart on the plane.
    """

    across: Floats
    up: Floats
    kinds: Ints
    nodes: Floats
    arcs: tuple[RoundedCorner, ...] = ()
    apart: bool = False

    @property
    def used(self) -> Flags:
        """(r + 1, c + 1) which nodes are corners of cells."""
        there, found = self.kinds >= 0, np.zeros((len(self.up), len(self.across)), dtype=bool)
        for rows, columns in product((slice(0, -1), slice(1, None)), repeat=2):
            found[rows, columns] |= there
        return found

    @property
    def middles(self) -> tuple[Floats, Floats]:
        """(r, c) x and u of each cell's middle."""
        corners = self.nodes.reshape(len(self.up), len(self.across), 2)
        sums = corners[1:, 1:] + corners[1:, :-1] + corners[:-1, 1:] + corners[:-1, :-1]
        return sums[..., 0] / 4, sums[..., 1] / 4


def lay_grid(model: FoldModel, quarter: Quarter, flat: FlatWall, cell: float) -> SurfaceGrid:
    """The grid of a model's wall, laid out flat, with cells of about this size, mm."""
    borders = _borders_of(quarter)
    # Nothing runs down the middle, where the wall goes on; the bottom is a line of its own.
    columns, rows = _both(x for x in borders[0] if x > 0.0), _both(borders[1])
    firm = len(columns), len(rows)
    shapes = [
        (AREA_ORDER.index(area.kind), shape)
        for area in model.areas
        if area.kind in AREA_ORDER[1:] and not model.zones[area.zone].loose
        for shape in flat.polygons(area.zone, area.corners)
    ]
    for _, shape in shapes:
        _add_borders(shape, columns, rows)
    for line in model.lines:
        if line.kind in _BORDERS and line.seen not in TIPS_ONLY:
            for part in flat.segments(line.zone, *line.points):
                _add_borders(part, columns, rows)
    fans = _fans(model, quarter, flat, columns)
    end = max(rows[: firm[1]])
    bare = [_bare(quarter, axis) for axis in (0, 1)]
    across = _lines(columns, firm[0], cell, bare[0], fans)
    up = _lines([row for row in rows if abs(row) <= end], firm[1], cell, bare[1])
    x, u = np.meshgrid(across, up)
    _spread_out(x, u, fans)
    there, arcs = _there(quarter, x, u), _arcs(quarter)
    for arc in arcs:
        there &= ~_pulled_onto(arc, x, u)
    nodes = np.column_stack((x.ravel(), u.ravel()))
    kinds = np.zeros(there.shape, dtype=np.int64)
    grid = SurfaceGrid(across, up, kinds, nodes, arcs, apart=any(bare))
    _spread_kinds(grid, shapes)
    grid.kinds[~there] = -1
    return grid


def _borders_of(quarter: Quarter) -> tuple[list[float], list[float]]:
    """Across and up: what bounds patches, where rounded corners start, where strips are cut.

    The last may go where they lie too near to the others: nothing is seen of them.
    """
    cut = {
        end
        for join in quarter.joins
        if (join.one[1], join.other[1]) in _SIDE_BY_SIDE and _is_within(quarter, join)
        for end in (join.one, join.other)
    }
    firm: tuple[list[float], list[float]] = [], []
    loose: tuple[list[float], list[float]] = [], []
    for i, patch in enumerate(quarter.patches):
        for axis, ends in enumerate(((Border.LEFT, Border.RIGHT), (Border.BOTTOM, Border.TOP))):
            for border, place in zip(ends, (patch.low[axis], patch.high[axis]), strict=True):
                (loose if (i, border) in cut else firm)[axis].append(place)
            loose[axis].extend(corner.centre[axis] for corner in patch.corners)
    return firm[0] + loose[0], firm[1] + loose[1]


_SIDE_BY_SIDE = ((Border.RIGHT, Border.LEFT), (Border.TOP, Border.BOTTOM))


def _is_within(quarter: Quarter, join: Join) -> bool:
    """Whether it is a cut through a strip, whose ends lie on one line on the plane."""
    one, other = (quarter.patches[i] for i, _ in (join.one, join.other))
    axis = 0 if join.one[1] is Border.RIGHT else 1
    across = 1 - axis
    return (one.high[axis], one.low[across], one.high[across]) == (
        other.low[axis],
        other.low[across],
        other.high[across],
    )


def _bare(quarter: Quarter, axis: int) -> list[tuple[float, float]]:
    """Across or up: from where to where no patch is, between patches."""
    spans = sorted((patch.low[axis], patch.high[axis]) for patch in quarter.patches)
    found, end = [], 0.0
    for low, high in spans:
        if low > end + _ON:
            found.append((end, low))
        end = max(end, high)
    return found


def _arcs(quarter: Quarter) -> tuple[RoundedCorner, ...]:
    """Of the quarter and its three mirror images."""
    return tuple(
        RoundedCorner((right * x, front * u), (right * out_x, front * out_u), radius)
        for patch in quarter.patches
        for (x, u), (out_x, out_u), radius in patch.corners
        for right in (1.0, -1.0)
        for front in (1.0, -1.0)
    )


def _there(quarter: Quarter, x: Floats, u: Floats) -> Flags:
    """(r, c) which cells lie on a patch, were its corners square."""
    across, up = (np.abs(_of_cells(each).sum(axis=0)) / 4 for each in (x, u))
    found = np.zeros(across.shape, dtype=bool)
    for patch in quarter.patches:
        (x0, u0), (x1, u1) = patch.low, patch.high
        found |= (x0 <= across) & (across <= x1) & (u0 <= up) & (up <= u1)
    return found


def _of_cells(nodes: Floats) -> Floats:
    """(4, r, c) what the corners of each cell have."""
    return np.stack((nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]))


def _pulled_onto(arc: RoundedCorner, x: Floats, u: Floats) -> Flags:
    """Pull nodes outside an arc onto it; (r, c) which cells lie outside.

    Nodes a hair inside go with them, so that no cell is left that is all but none.
    """
    right, up = _from_arc(arc, x, u)
    radius = arc.radius
    far = np.hypot(right, up)
    in_corner = (np.minimum(right, up) > _ON) & (np.maximum(right, up) < radius + _ON)
    least = radius - min(_NEAREST / 2, radius / 10)
    middles = [each.sum(axis=0) / 4 for each in (_of_cells(right), _of_cells(up))]
    cells = (np.minimum(*middles) > 0.0) & (np.maximum(*middles) < radius)
    pulled = in_corner & (far > least)
    factor = radius / far[pulled]
    x[pulled] = arc.centre[0] + arc.out[0] * right[pulled] * factor
    u[pulled] = arc.centre[1] + arc.out[1] * up[pulled] * factor
    return np.asarray(cells & (_of_cells(far).min(axis=0) > least))


def _from_arc(arc: RoundedCorner, x: Floats, u: Floats) -> tuple[Floats, Floats]:
    """How far places lie from its middle, towards the corner, across and up, mm."""
    return (x - arc.centre[0]) * arc.out[0], (u - arc.centre[1]) * arc.out[1]


_BORDERS = (LineKind.TEETH, LineKind.SEAM, LineKind.TOPSTITCH, LineKind.FREE_EDGE)


def _both(values: Iterable[float]) -> list[float]:
    """Each once, and its mirror image."""
    found = dict.fromkeys(values)
    return list(dict.fromkeys(sign * value + 0.0 for value in found for sign in (1.0, -1.0)))


def _add_borders(points: Sequence[Point], columns: list[float], rows: list[float]) -> None:
    """The straight edges of a shape; slanting ones are hinges, which a soft bag has not."""
    for (x0, u0), (x1, u1) in pairwise([*points, points[0]]):
        if abs(x0 - x1) < 1e-6 < abs(u0 - u1):
            columns.append(x0)
        elif abs(u0 - u1) < 1e-6 < abs(x0 - x1):
            rows.append(u0)


def _lines(
    wanted: list[float],
    firm: int,
    cell: float,
    bare: Sequence[tuple[float, float]],
    fans: tuple["Fan", ...] = (),
) -> Floats:
    """Borders along every line that is wanted, and about one cell (mm) apart.

    The first `firm` of what is wanted stay where they are; others too near to one go. Columns of
    `fans` grow wider further up. On either side nothing lies in the spans that are `bare`.
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
        if any(start < abs(low + high) / 2 < end for start, end in bare):
            count = 1
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
    model: FoldModel, quarter: Quarter, flat: FlatWall, columns: list[float]
) -> tuple[Fan, ...]:
    """At both ends of a bag whose sides hinge; none where a mark lies beyond the hinge's foot."""
    side = max(patch.high[0] for patch in quarter.patches)
    hinges: list[tuple[float, float]] = []
    for i, zone in enumerate(model.folding.zones):
        for kind, start, end in zone.folds:
            (x0, u0), (x1, u1) = flat.at(i, start), flat.at(i, end)
            if kind is LineKind.CREASE and abs(u0 - u1) > _ON < abs(x0 - x1):
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
    rows_at = (grid.up[1:] + grid.up[:-1]) / 2
    for kind, shape in shapes:
        across, up = zip(*shape, strict=True)
        first, last = np.searchsorted(rows_at, (min(up) - _ON, max(up) + _ON)).tolist()
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


def chains(grid: SurfaceGrid, lines: Iterable[Sequence[Point]]) -> list[Ints]:
    """Of each line: (k, 2) nodes at both ends of each cell side that it runs along, in order.

    A line is straight and level or upright, or one of the short ones that an arc is drawn in.
    """
    width = len(grid.across)
    x = grid.nodes[:, 0].reshape(-1, width)
    columns = ((x[:, 1:] + x[:, :-1]) / 2).tolist()
    rows = ((grid.up[1:] + grid.up[:-1]) / 2).tolist()
    pairs = np.arange(max(x.shape))[:, None] + np.arange(2)
    round_arcs = [_sides_along(grid, arc) for arc in grid.arcs]
    found: list[Ints] = []
    for (x0, u0), (x1, u1) in lines:
        if abs(u0 - u1) > _ON < abs(x0 - x1) and round_arcs:
            found.append(_along_arc(grid, round_arcs, ((x0, u0), (x1, u1))))
            continue
        if abs(u0 - u1) < _ON:
            row = int(np.abs(grid.up - u0).argmin())
            start, step, middles, ends = row * width, 1, columns[row], (x0, x1)
        else:
            start = int(np.abs(grid.across - x0).argmin())
            step, middles, ends = width, rows, (u0, u1)
        first, last = bisect_right(middles, min(ends)), bisect_left(middles, max(ends))
        found.append(start + step * pairs[first : max(first, last)])
    return found


_AlongArc = tuple[Ints, Floats]
"""Sides of cells along an arc, (k, 2) nodes, and at which angle from its start the middles lie."""


def _sides_along(grid: SurfaceGrid, arc: RoundedCorner) -> _AlongArc:
    """The sides along an arc that have a cell on one of their sides alone, by their angles."""
    rows, columns = grid.kinds.shape
    there = np.zeros((rows + 2, columns + 2), dtype=bool)
    there[1:-1, 1:-1] = grid.kinds >= 0
    nodes = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    level, upright = there[:-1, 1:-1] != there[1:, 1:-1], there[1:-1, :-1] != there[1:-1, 1:]
    sides = np.concatenate(
        (
            np.stack((nodes[:, :-1][level], nodes[:, 1:][level]), axis=1),
            np.stack((nodes[:-1][upright], nodes[1:][upright]), axis=1),
        )
    )
    middles = grid.nodes[sides].mean(axis=1)
    right, up = _from_arc(arc, *middles.T)
    own = (np.minimum(right, up) > 0.0) & (np.maximum(right, up) < arc.radius + _ON)
    angles = np.arctan2(up[own], right[own])
    order = np.argsort(angles)
    return sides[own][order], angles[order]


def _along_arc(grid: SurfaceGrid, round_arcs: Sequence[_AlongArc], line: Sequence[Point]) -> Ints:
    """The sides whose middles lie between the ends of a line as seen from its arc's middle."""
    for arc, (sides, angles) in zip(grid.arcs, round_arcs, strict=True):
        right, up = _from_arc(arc, *np.array(line).T)
        on_arc = np.abs(np.hypot(right, up) - arc.radius) < _NEAREST
        if on_arc.all() and min(right.min(), up.min()) > -_ON:
            low, high = sorted(np.arctan2(np.maximum(up, 0.0), np.maximum(right, 0.0)).tolist())
            return sides[slice(*np.searchsorted(angles, (low, high)).tolist())]
    return np.empty((0, 2), dtype=np.int64)
