"""The grid of nodes on a patch, and where its points lie in the grid's cells.

A patch whose corners are rounded is mapped from its four borders (Coons, Surfaces for
computer-aided design of space forms, 1967): each border is walked by its length, so that borders
of one length that are joined meet node by node.
"""

import numpy as np

from core.base.arrays import Floats, Ints
from core.space.patches import Border, Crowding, Patch, Quarter


def grid_points(quarter: Quarter, patch: Patch, nodes: Ints) -> tuple[Floats, Floats]:
    """Flat x and y of each node of a patch's grid, both of the grid's shape, mm."""
    if not any(patch.radii):
        x, y = np.meshgrid(*grid_lines(quarter, patch, nodes))
        return x, y
    s, t = _shares(quarter, patch, nodes)
    bottom, top = (border_points(patch, each, s) for each in (Border.BOTTOM, Border.TOP))
    left, right = (border_points(patch, each, t) for each in (Border.LEFT, Border.RIGHT))
    s, t = s[:, None], t[:, None, None]
    ruled = (1 - t) * bottom + t * top + (1 - s) * left[:, None] + s * right[:, None]
    low = (1 - s) * bottom[0] + s * bottom[-1]
    high = (1 - s) * top[0] + s * top[-1]
    found = ruled - (1 - t) * low - t * high
    return found[..., 0], found[..., 1]


def grid_lines(quarter: Quarter, patch: Patch, nodes: Ints) -> tuple[Floats, Floats]:
    """Flat x of each column of the grid of a patch with square corners and y of each row, mm."""
    (x0, y0), (x1, y1) = patch.low, patch.high
    across, up = _shares(quarter, patch, nodes)
    return x0 + (x1 - x0) * across, y0 + (y1 - y0) * up


def _shares(quarter: Quarter, patch: Patch, nodes: Ints) -> tuple[Floats, Floats]:
    """Where the columns of a patch's grid and its rows lie, 0 to 1."""
    rows, columns = nodes.shape
    across, up = (quarter.crowding.get(size, _EVEN) for size in (patch.across, patch.up))
    # A size from the middle to an end is walked back to it where the far border alone lies there.
    middle = patch.mirror_x | patch.mirror_y
    return (
        _places(columns, across, back=Border.RIGHT in middle and Border.LEFT not in middle),
        _places(rows, up, back=Border.TOP in middle and Border.BOTTOM not in middle),
    )


def _places(count: int, crowding: Crowding, *, back: bool) -> Floats:
    """(count,) where lines lie along a size, 0 to 1: even ones, pushed towards the ends by a sine.

    What runs from the middle to one end is the second half of what runs from end to end.
    """
    if back and crowding.from_middle:
        return np.asarray(1.0 - _places(count, crowding, back=False)[::-1])
    even = np.linspace(0.0, 1.0, count)
    if crowding.bend:
        # An even line, as where patches end: a corner in one triangle alone locks (below).
        wanted = crowding.bend * (count - 1) - _FOR_THE_BENT
        before = min(max(2 * round(wanted / 2), 2), count - 3)
        return np.interp(even, (0.0, even[before], 1.0), (0.0, crowding.bend, 1.0))
    if crowding.from_middle:
        return even + crowding.share * np.sin(np.pi * even) / np.pi
    return even - crowding.share * np.sin(2 * np.pi * even) / (2 * np.pi)


_EVEN = Crowding(0.0)
_FOR_THE_BENT = 0.4
"""Of a cell, in doubt, by which what bends beyond a board's end has the more of them (measured)."""

_HALF_CORNER = np.pi / 4


def border_points(patch: Patch, border: Border, shares: Floats) -> Floats:
    """(n, 2) places on a border at shares of its length, halves of its corners included, mm."""
    (x0, y0), (x1, y1) = patch.low, patch.high
    # The corner where it starts, its way and the way into the patch, the corners at its ends.
    corner, way, inward, ends = {
        Border.BOTTOM: ((x0, y0), (1.0, 0.0), (0.0, 1.0), (0, 1)),
        Border.RIGHT: ((x1, y0), (0.0, 1.0), (-1.0, 0.0), (1, 2)),
        Border.TOP: ((x0, y1), (1.0, 0.0), (0.0, -1.0), (3, 2)),
        Border.LEFT: ((x0, y0), (0.0, 1.0), (1.0, 0.0), (0, 3)),
    }[border]
    first, last = (patch.radii[each] for each in ends)
    length = x1 - x0 if way[0] else y1 - y0
    straight = length - first - last
    at = shares * (straight + _HALF_CORNER * (first + last)) - _HALF_CORNER * first
    along, off = np.clip(at, 0.0, straight) + first, np.zeros_like(at)
    for radius, beyond, sign in ((first, -at, -1.0), (last, at - straight, 1.0)):
        if radius > 0.0:
            turn = np.maximum(beyond, 0.0) / radius
            along += sign * radius * np.sin(turn)
            off += radius * (1.0 - np.cos(turn))
    return corner + along[:, None] * way + off[:, None] * inward


def onto_patch(patch: Patch, points: Floats) -> Floats:
    """(k, 2) the nearest places of a patch to points (k, 2), mm."""
    near = np.clip(points, patch.low, patch.high)
    for centre, out, radius in patch.corners:
        apart = points - centre
        far = np.sqrt((apart**2).sum(axis=1))
        beyond = (apart * out > 0.0).all(axis=1) & (far > radius)
        near[beyond] = centre + apart[beyond] * (radius / far[beyond])[:, None]
    return near


def in_cells(quarter: Quarter, patch: Patch, nodes: Ints, points: Floats) -> tuple[Ints, Floats]:
    """The corners (c, k) of each point's cell or triangle, and the share that each has of it.

    The shares run straight across each triangle.

    Args:
        quarter, patch, nodes: whose grid it is.
        points: (k, 2) of the patch.
    """
    if any(patch.radii):
        return _in_triangles(nodes, np.stack(grid_points(quarter, patch, nodes), axis=2), points)
    across, up = grid_lines(quarter, patch, nodes)
    column, s = _cell(across, points[:, 0])
    row, t = _cell(up, points[:, 1])
    # Every other cell is cut the other way: the same with left and right changed over.
    odd = (column + row) % 2
    s = np.where(odd == 1, 1 - s, s)
    near, far = column + odd, column + 1 - odd
    corners = nodes[(row, row, row + 1, row + 1), (near, far, far, near)]
    most, least = np.maximum(s, t), np.minimum(s, t)
    return corners, np.array((1 - most, most - t, least, most - s))


def _cell(borders: Floats, values: Floats) -> tuple[Ints, Floats]:
    """Which cell each value lies in, and how far through it, 0 to 1."""
    index = np.clip(np.searchsorted(borders, values, side="right") - 1, 0, len(borders) - 2)
    start, end = borders[index], borders[index + 1]
    return index, (values - start) / (end - start)


_AT_ONCE = 1000
"""Points that are looked for together: the table is as long as the grid has triangles."""


def _in_triangles(nodes: Ints, places: Floats, points: Floats) -> tuple[Ints, Floats]:
    """As `in_cells`; what lies between an arc and its chords goes to the triangle beside it."""
    corners = grid_triangles(nodes.shape)
    tables = np.ones((len(corners[0]), 3, 3))
    tables[:, :2] = np.swapaxes(places[corners], 1, 2)
    inverse = np.linalg.inv(tables)
    raised = np.column_stack((points, np.ones(len(points)))).T
    own, found = np.empty(len(points), dtype=np.int64), np.empty((3, len(points)))
    for start in range(0, len(points), _AT_ONCE):
        part = slice(start, start + _AT_ONCE)
        shares = inverse @ raised[:, part]
        own[part] = shares.min(axis=1).argmax(axis=0)
        found[:, part] = shares[own[part], :, np.arange(shares.shape[2])].T
    found = np.maximum(found, 0.0)
    return nodes[corners][own].T, found / found.sum(axis=0)


def grid_triangles(shape: tuple[int, ...]) -> tuple[Ints, Ints]:
    """(t, 3) rows and columns of the triangles' corners in a grid of so many nodes.

    The diagonals alternate, and every count is even, so that at each corner of a patch two
    triangles meet: a corner in one triangle alone would keep that triangle flat and lock.
    They run clockwise on the flat patch, for it is solved as its mirror image.
    """
    columns, rows = np.meshgrid(np.arange(shape[1] - 1), np.arange(shape[0] - 1))
    cells = np.stack((columns.ravel(), rows.ravel()), axis=1)
    near, right, far, above = (cells + step for step in ((0, 0), (1, 0), (1, 1), (0, 1)))
    even = (cells.sum(axis=1) % 2 == 0)[:, None]
    cut = np.concatenate(
        (
            np.stack((np.where(even, far, above), right, near), axis=1),
            np.stack((above, far, np.where(even, near, right)), axis=1),
        )
    )
    return cut[..., 1], cut[..., 0]
