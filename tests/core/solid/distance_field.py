"""A second way to measure what a wall leaves of a filled bag: distances on a grid of points.

Nothing of the program is used but the closed surface itself. Whether a point is inside is
told by the solid angle that the whole surface takes up round it (Van Oosterom and
Strackee, The Solid Angle of a Plane Triangle, IEEE Trans. Biomed. Eng. 30, 1983; formula
from memory), how far it is from the surface by the nearest points of the triangles near it.
"""

import numpy as np
from scipy.ndimage import label
from scipy.spatial import cKDTree

Floats = np.ndarray

_SAMPLES = np.array([(i, j, 6 - i - j) for i in range(7) for j in range(7 - i)]) / 6
_NEIGHBOURS = 24


def depths(corners: Floats, grid: Floats, least: float) -> Floats:
    """(i, j, k) distance of points inside a closed surface from it; negative for points outside.

    Neighbours that lie farther from the surface than half the way between them have nothing of
    it between them: of all that hang together so, one tells where they are.

    Args:
        corners: (t, 3, 3) of its triangles, seen from outside counter-clockwise.
        grid: (i, j, k, 3) points, even along each axis.
        least: points nearer than this are not told from those outside.
    """
    points = grid.reshape(-1, 3)
    samples = np.einsum("sc,tci->tsi", _SAMPLES, corners)
    tree = cKDTree(samples.reshape(-1, 3))
    near = tree.query(points, k=_NEIGHBOURS)[1] // len(_SAMPLES)
    away = np.full(len(points), np.inf)
    for column in near.T:
        away = np.minimum(away, _to_triangles(points, corners[column]))
    ways = [np.linalg.norm(np.diff(grid, axis=axis), axis=-1) for axis in range(3)]
    apart = away > max(float(way.max(initial=0.0)) for way in ways) / 2
    regions, count = label(apart.reshape(grid.shape[:3]))
    region = regions.ravel()
    _, first = np.unique(region, return_index=True)
    one_each = first[region[first] > 0]
    asked = np.concatenate([one_each, np.flatnonzero(~apart & (away > least))])
    told = np.zeros(len(points), dtype=bool)
    for part in np.array_split(asked, max(1, len(asked) * len(corners) // 10**5)):
        told[part] = _windings(points[part], corners) > 0.5
    by_region = np.zeros(count + 1, dtype=bool)
    by_region[region[one_each]] = told[one_each]
    inside = np.where(apart, by_region[region], told) & (away > least)
    return np.where(inside, away, -away).reshape(grid.shape[:3])


def inside_volume(corners: Floats, thickness: tuple[float, ...], steps: int = 18) -> list[float]:
    """What lies at least each thickness inside a closed surface, mirrored in x and y.

    Counts the points of a grid on a quarter, each by the share of its cell that the
    distance there puts inside.
    """
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    low[:2] = 0.0
    step = float(np.prod(high - low) ** (1 / 3)) / steps
    counts = np.ceil((high - low) / step).astype(int)
    sizes = (high - low) / counts
    axes = [low[k] + (np.arange(counts[k]) + 0.5) * sizes[k] for k in range(3)]
    points = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1)
    width = float(np.prod(sizes) ** (1 / 3))
    found = depths(corners, points, min(thickness) - width)
    cell = 4 * float(np.prod(sizes))
    return [
        float(np.clip((found - each) / width + 0.5, 0.0, 1.0).sum()) * cell for each in thickness
    ]


def _windings(points: Floats, corners: Floats) -> Floats:
    """(k,) how often the surface winds round each point."""
    a, b, c = (corners[None, :, k] - points[:, None] for k in range(3))
    la, lb, lc = (np.linalg.norm(each, axis=2) for each in (a, b, c))
    volume = np.einsum("kti,kti->kt", a, np.cross(b, c))
    dots = [np.einsum("kti,kti->kt", one, other) for one, other in ((a, b), (b, c), (c, a))]
    below = la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb
    return np.arctan2(volume, below).sum(axis=1) / (2 * np.pi)


def _to_triangles(points: Floats, corners: Floats) -> Floats:
    """(k,) distance of each point from its own triangle (k, 3, 3)."""
    away = np.full(len(points), np.inf)
    for k in range(3):
        start, end = corners[:, k], corners[:, (k + 1) % 3]
        way = end - start
        long = np.maximum((way**2).sum(axis=1), 1e-30)
        share = np.clip(((points - start) * way).sum(axis=1) / long, 0.0, 1.0)
        away = np.minimum(away, np.linalg.norm(points - start - share[:, None] * way, axis=1))
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.maximum(np.linalg.norm(normals, axis=1), 1e-30)
    above = ((points - corners[:, 0]) * normals).sum(axis=1) / size
    within = np.ones(len(points), dtype=bool)
    for k in range(3):
        side = corners[:, (k + 1) % 3] - corners[:, k]
        within &= (np.cross(side, points - corners[:, k]) * normals).sum(axis=1) >= 0.0
    return np.where(within, np.minimum(away, np.abs(above)), away)
