"""What lies on a surface, sorted for painting, and how light falls on it.

The index is the same for every moment and every eye.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from core.base.arrays import Flags, Floats, Ints
from core.flat.roles import EdgeRef
from core.solid.surface import FilledSurface
from core.space.zones import LineKind


class SurfaceStitch(IntEnum):
    """How a line on the surface is drawn, the undermost first."""

    SEAM = 0
    FOLD = 1
    FREE_EDGE = 2
    TOPSTITCH = 3
    BAND_STITCHING = 4
    TEETH = 5
    HALFWAY = 6
    OUTLINE = 7


_STITCHES = {
    LineKind.SEAM: SurfaceStitch.SEAM,
    LineKind.FOLD: SurfaceStitch.FOLD,
    LineKind.FREE_EDGE: SurfaceStitch.FREE_EDGE,
    LineKind.TOPSTITCH: SurfaceStitch.TOPSTITCH,
    LineKind.BAND_STITCHING: SurfaceStitch.BAND_STITCHING,
    LineKind.TEETH: SurfaceStitch.TEETH,
    LineKind.HALFWAY: SurfaceStitch.HALFWAY,
}
_BROKEN = {
    SurfaceStitch.TOPSTITCH: (5.0, 0.62),
    SurfaceStitch.BAND_STITCHING: (5.0, 0.6),
    SurfaceStitch.TEETH: (3.2, 0.5),
}
"""mm from one stitch or tooth to the next, and the share of it that shows."""
_APART, _SHOWN = np.array([_BROKEN.get(stitch, (np.inf, 1.0)) for stitch in SurfaceStitch]).T
"""The same of every stitch: an unbroken line is one stitch from end to end of a cell's side."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Short straight lines on the sides of cells.

    Attributes:
        cells: (p, 2) the cells on both sides of each, -1 for none: it is painted upon
            whichever is painted last.
        stitches: (p,) how each is drawn.
        nodes: (p, 2) both ends of the cell side.
        shares: (p, 2) where on it the piece starts and ends, 0 to 1.
    """

    cells: Ints
    stitches: Ints
    nodes: Ints
    shares: Floats

    def ends(self, points: Floats, which: Ints) -> Floats:
        """(k, 2, ...) start and end of those asked for, among the nodes' points (n, ...)."""
        nodes, shares = self.nodes[which], self.shares[which]
        one, step = points[nodes[:, 0]], points[nodes[:, 1]] - points[nodes[:, 0]]
        return np.stack([one + step * shares[:, end : end + 1] for end in (0, 1)], axis=1)


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceCatalogue:
    """Cells, lines and edges of a surface.

    Attributes:
        inside: (r, c) which places of the grid are cells.
        mates: (r,) the row of the other face that the side seam joins to each row.
        closed: (r,) rows whose own ends meet: of a strip that closes a ring.
        cells: (m, 4) their nodes, row by row; seen from outside, counter-clockwise.
        kinds: (m,) index into core.solid.surface_grid.AREA_ORDER.
        pieces: every line.
        borders: (b, 4) two neighbouring cells and the two nodes between them: one that
            faces the eye beside one that does not makes the outline.
        seams: (b, 4) the same where a seam joins the two cells; -1 for the second of them
            beside a corner seam, whose mates lie at other places along it.
        edges: edge -> (k, 2) nodes at both ends of the cell sides along it.
    """

    surface: FilledSurface
    inside: Flags
    mates: Ints
    closed: Flags
    cells: Ints
    kinds: Ints
    pieces: Pieces
    borders: Ints
    seams: Ints
    edges: dict[EdgeRef, Ints]


def catalogue_of(surface: FilledSurface) -> SurfaceCatalogue:
    """Sort what lies on a surface."""
    grid = surface.grid
    rows, columns = grid.kinds.shape
    inside = grid.kinds >= 0
    first = (np.arange(rows)[:, None] * (columns + 1) + np.arange(columns)[None, :])[inside]
    cells = np.stack((first, first + 1, first + columns + 2, first + columns + 1), axis=1)
    edges: dict[EdgeRef, list[Ints]] = {}
    for line in surface.lines:
        if line.edge is not None:
            edges.setdefault(line.edge, []).append(line.sides)
    joined = {edge: np.concatenate(sides) for edge, sides in edges.items()}
    middles = (grid.up[1:] + grid.up[:-1]) / 2
    mates = np.clip(np.searchsorted(grid.up, -middles) - 1, 0, rows - 1)
    return SurfaceCatalogue(
        surface=surface,
        inside=inside,
        mates=mates,
        closed=_closed(surface, inside),
        cells=cells,
        kinds=grid.kinds[inside],
        pieces=_pieces(surface, inside),
        borders=_borders(inside),
        seams=_seams_apart(surface, inside) if grid.apart else _seams(inside, mates),
        edges=joined,
    )


def _closed(surface: FilledSurface, inside: Flags) -> Flags:
    """Which rows' two ends lie in one place on the filled bag."""
    ends = surface.at(1.0)[:, (0, -1)]
    if not surface.grid.apart:
        return np.zeros(len(ends) - 1, dtype=bool)
    middles = (ends[1:] + ends[:-1]) / 2
    apart = np.linalg.norm(middles[:, 1] - middles[:, 0], axis=1)
    return np.asarray((apart < _MEET) & inside[:, 0] & inside[:, -1])


_MEET = 1.0
"""mm; ends nearer to one another are one."""


def _seams(inside: Flags, mates: Ints) -> Ints:
    """Cells on either side of side seams, top and corner seams, and the nodes between."""
    numbers = np.full((inside.shape[0] + 1, inside.shape[1]), -1, dtype=np.int64)
    numbers[:-1][inside] = np.arange(int(inside.sum()))
    rows, columns = inside.shape
    width = columns + 1
    row, column = np.arange(rows), np.arange(columns)
    found = [
        np.column_stack(
            (numbers[:-1, side], numbers[mates, side], *_ends(row * width + node, width))
        )
        for side, node in ((0, 0), (-1, columns))
    ]
    for at, other, line in ((0, rows - 1, 0), (rows - 1, 0, rows)):
        found.append(
            np.column_stack((numbers[at], numbers[other], *_ends(line * width + column, 1)))
        )
    # Only the side that runs on from the base's edge: its mate is no outline.
    at_row, at_column = np.nonzero(inside[:-1] != inside[1:])
    upper = inside[at_row + 1, at_column]
    owner = np.where(upper, numbers[at_row + 1, at_column], numbers[at_row, at_column])
    start = (at_row + 1) * width + at_column
    found.append(np.column_stack((owner, np.full_like(owner, -1), start, start + 1)))
    joined = np.concatenate(found)
    return np.asarray(joined[joined[:, 0] >= 0])


def _seams_apart(surface: FilledSurface, inside: Flags) -> Ints:
    """The same where pieces lie apart: what lies nearest on the filled bag is the mate."""
    numbers = np.full((inside.shape[0] + 2, inside.shape[1] + 2), -1, dtype=np.int64)
    numbers[1:-1, 1:-1][inside] = np.arange(int(inside.sum()))
    width = inside.shape[1] + 1
    nodes = np.arange((inside.shape[0] + 1) * width).reshape(-1, width)
    found = []
    for one, other, start, end in (
        (numbers[:-1, 1:-1], numbers[1:, 1:-1], nodes[:, :-1], nodes[:, 1:]),
        (numbers[1:-1, :-1], numbers[1:-1, 1:], nodes[:-1], nodes[1:]),
    ):
        open_side = (one < 0) != (other < 0)
        owner = np.maximum(one, other)[open_side]
        found.append(np.column_stack((owner, start[open_side], end[open_side])))
    sides = np.concatenate(found)
    middles = surface.at(1.0).reshape(-1, 3)[sides[:, 1:]].mean(axis=1)
    away = np.linalg.norm(middles[:, None] - middles[None], axis=2)
    # What it runs on in is no mate.
    ends = sides[:, None, 1:, None] == sides[None, :, None, 1:]
    away[ends.any(axis=(2, 3))] = np.inf
    mates = sides[away.argmin(axis=1), 0]
    return np.column_stack((sides[:, 0], mates, sides[:, 1:]))


def _ends(start: Ints, step: int) -> tuple[Ints, Ints]:
    return start, start + step


def _borders(inside: Flags) -> Ints:
    """Two cells and two nodes of every cell side that has a cell on either side."""
    numbers = np.full(inside.shape, -1, dtype=np.int64)
    numbers[inside] = np.arange(int(inside.sum()))
    width = inside.shape[1] + 1
    nodes = np.arange(inside.shape[0] + 1)[:, None] * width + np.arange(width)[None, :]
    found = [
        np.stack((one, other, start, end), axis=-1).reshape(-1, 4)
        for one, other, start, end in (
            (numbers[:, :-1], numbers[:, 1:], nodes[:-1, 1:-1], nodes[1:, 1:-1]),
            (numbers[:-1], numbers[1:], nodes[1:-1, :-1], nodes[1:-1, 1:]),
        )
    ]
    sides = np.concatenate(found)
    return np.asarray(sides[(sides[:, :2] >= 0).all(axis=1)])


def _pieces(surface: FilledSurface, inside: Flags) -> Pieces:
    """Every line cut into stitches, each piece with the cells on both of its sides."""
    # A border of nothing all round, so that every side has two neighbours.
    numbers = np.full((inside.shape[0] + 2, inside.shape[1] + 2), -1, dtype=np.int64)
    numbers[1:-1, 1:-1][inside] = np.arange(int(inside.sum()))
    width = inside.shape[1] + 1
    nodes, stitches, shares = _cut_all(surface)
    row, column = np.divmod(nodes[:, 0], width)
    level = nodes[:, 1] - nodes[:, 0] == 1
    ahead = numbers[row + 1, column + 1]
    behind = np.where(level, numbers[row, column + 1], numbers[row + 1, column])
    return Pieces(np.column_stack((ahead, behind)), stitches, nodes, shares)


def _cut_all(surface: FilledSurface) -> tuple[Ints, Ints, Floats]:
    """Nodes, stitch and shares of every piece: of all lines at once."""
    flat, lines = surface.grid.nodes, surface.lines
    sides = np.concatenate([np.empty((0, 2), dtype=np.int64), *(line.sides for line in lines)])
    stitch_of_line = [_STITCHES[line.kind] for line in lines]
    stitches = np.repeat(
        np.array(stitch_of_line, dtype=np.int64), [len(line.sides) for line in lines]
    )
    apart, shown = _APART[stitches], _SHOWN[stitches]
    lengths = np.abs(flat[sides[:, 1]] - flat[sides[:, 0]]).sum(axis=1)
    each = np.maximum(np.round(lengths / apart), 1).astype(np.int64)
    which = np.repeat(np.arange(len(sides)), each)
    step = 1.0 / each[which]
    start = (np.arange(len(which)) - np.repeat(np.cumsum(each) - each, each)) * step
    starts = start + step * (1.0 - shown[which]) / 2
    return (
        sides[which],
        stitches[which],
        np.column_stack((starts, starts + step * shown[which])),
    )


_CREASED, _ROUND = 0.35, 0.85
"""Cosines of the angle between neighbours: below the first a crease, above the second round."""


def corner_normals(nodes: Floats, inside: Flags, mates: Ints, closed: Flags) -> Floats:
    """Normals at the corners of cells, each smoothed with the cells that meet it there.

    (r, c, 4, 3) unit vectors out of the bag; corners counter-clockwise from the lower left.

    Args:
        nodes: (r + 1, c + 1, 3) corners of the cells, mm.
        inside: (r, c) which cells there are.
        mates: (r,) the row of the other face that the side seam joins to each row.
        closed: (r,) rows whose own ends meet.
    """
    flat = _flat_normals(nodes)
    flat[~inside] = 0.0
    around = _bordered(flat, mates, closed)
    rows, columns = inside.shape
    found = np.empty((rows, columns, 4, 3))
    for corner, (down, left) in enumerate(((-1, -1), (-1, 1), (1, 1), (1, -1))):
        total = flat.copy()
        for row, column in ((down, 0), (0, left), (down, left)):
            other = around[1 + row : 1 + row + rows, 1 + column : 1 + column + columns]
            alike = np.einsum("rci,rci->rc", flat, other)
            share = np.clip((alike - _CREASED) / (_ROUND - _CREASED), 0.0, 1.0)
            total += share[..., None] * other
        found[:, :, corner] = total
    found /= np.maximum(np.sqrt(np.einsum("rcki,rcki->rck", found, found)), 1e-12)[..., None]
    return found


def _flat_normals(nodes: Floats) -> Floats:
    """(r, c, 3) unit normal of each cell, from its two diagonals."""
    ax, ay, az = np.moveaxis(nodes[1:, 1:] - nodes[:-1, :-1], 2, 0)
    bx, by, bz = np.moveaxis(nodes[1:, :-1] - nodes[:-1, 1:], 2, 0)
    normals = np.stack((ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx), axis=2)
    lengths = np.sqrt(np.einsum("rci,rci->rc", normals, normals))
    return np.asarray(normals / np.maximum(lengths, 1e-12)[..., None])


def _bordered(flat: Floats, mates: Ints, closed: Flags) -> Floats:
    """(r + 2, c + 2, 3) with the cells that the seams join to those at the borders."""
    rows, columns = flat.shape[:2]
    around = np.zeros((rows + 2, columns + 2, 3))
    around[1:-1, 1:-1] = flat
    around[1:-1, 0] = np.where(closed[:, None], flat[:, -1], flat[mates, 0])
    around[1:-1, -1] = np.where(closed[:, None], flat[:, 0], flat[mates, -1])
    around[0, 1:-1], around[-1, 1:-1] = flat[-1], flat[0]
    return around


def spread(cells: Floats, inside: Flags) -> Floats:
    """(r, c, 4) a value of each cell, averaged at its corners with those of its neighbours."""
    rows, columns = inside.shape
    total = np.zeros((rows + 2, columns + 2))
    count = np.zeros((rows + 2, columns + 2))
    total[1:-1, 1:-1] = np.where(inside, cells, 0.0)
    count[1:-1, 1:-1] = inside
    sums, counts = (
        each[:-1, :-1] + each[1:, :-1] + each[:-1, 1:] + each[1:, 1:] for each in (total, count)
    )
    nodes = sums / np.maximum(counts, 1.0)
    return np.stack((nodes[:-1, :-1], nodes[:-1, 1:], nodes[1:, 1:], nodes[1:, :-1]), axis=2)
