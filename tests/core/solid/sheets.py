"""Sheets for the tests of filling: a pillow, a disc, and a second way to fill them."""

from collections.abc import Mapping
from dataclasses import replace
from enum import Enum

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.base.arrays import Floats, Ints
from core.bodies.boxed_panel.filled import Sizes, quarter_of
from core.bodies.boxed_panel.sizes import FlatSize
from core.solid.fill import Filled, fill
from core.solid.fill_problem import Problem, allowed, build_mesh, cross, problem_of, stretch


def pillow(width: float, height: float) -> Sizes:
    """A quarter of a pillow of two sheets of these sizes."""
    return Sizes(base=width / 2, corner_along=0.0, corner_up=0.0, wall=height)


def boxed(base: float, depth: float, wall: float) -> Sizes:
    """A quarter of a bag with matched corners: base width, gusset depth, face height."""
    return Sizes(base=base / 2, corner_along=depth / 2, corner_up=depth / 2, wall=wall)


def cells(sizes: Sizes, cell: float) -> dict[Enum, int]:
    """Cells along each size, nearest to one of so many mm."""
    corner = max(sizes.corner_along, sizes.corner_up)
    lengths = {FlatSize.BASE: sizes.base, FlatSize.WALL: sizes.wall}
    if sizes.corner_along > 0.0:
        lengths[FlatSize.CORNER_ALONG] = corner
    if sizes.corner_up > 0.0:
        lengths[FlatSize.CORNER_UP] = corner
    return {size: max(2, 2 * round(length / cell / 2)) for size, length in lengths.items()}


def cut(sizes: Sizes, cell: float, *, flat: bool = False) -> Problem:
    """The quarter in cells of about this size, ready to be filled."""
    return problem_of(build_mesh(quarter_of(sizes, flat=flat), cells(sizes, cell)))


def coarse(bag: Bag) -> Filled:
    """Filled on few cells, where whatever surface will do: quick, a few percent low."""
    draft = draft_walls(bag)
    quarter = bag.body.quarter(
        draft, bag.top.closing(draft), board=bag.parts.get("board") is not None
    )
    return fill(bag, counts={size: max(2, each // 4 * 2) for size, each in quarter.counts.items()})


def times(counts: Mapping[Enum, int], factor: int) -> dict[Enum, int]:
    """So many times as many cells along each size."""
    return {size: factor * count for size, count in counts.items()}


def opened(problem: Problem, axis: int) -> Problem:
    """A quarter (or half) together with its image behind the mirror plane of an axis.

    What the plane held is one vertex of both, and free across it, but for the pinned one.
    """
    on_plane = problem.held[axis] & (problem.start[axis] == 0.0)
    image = np.where(on_plane, np.arange(problem.count), 0)
    image[~on_plane] = problem.count + np.arange((~on_plane).sum())
    mirror, flat_mirror = np.ones((3, 1)), np.array((-1.0, 1.0) if axis == 0 else (1.0, -1.0))
    mirror[axis] = -1.0

    def both(rows: Floats, images: Floats) -> Floats:
        return np.concatenate((rows, images[:, ~on_plane]), axis=1)

    held = both(problem.held, problem.held)
    held[axis] &= held.all(axis=0)
    mirrored = both(problem.mirrored, problem.mirrored)
    mirrored[axis] = False
    return Problem(
        triangles=np.concatenate((problem.triangles, image[problem.triangles][:, ::-1])),
        flat=np.concatenate((problem.flat, problem.flat[:, ::-1] * flat_mirror)),
        start=both(problem.start, problem.start * mirror),
        held=held,
        mirrored=mirrored,
        copies=problem.copies // 2,
        softness=problem.softness,
    )


def whole_problem(problem: Problem) -> Problem:
    """All four quarters of one."""
    return opened(opened(problem, 1), 0)


def whole_surface(filled: Filled) -> tuple[Floats, Ints]:
    """(n, 3) points of a whole filled bag, standing on the ground, and (t, 3) its triangles."""
    whole = whole_problem(replace(problem_of(filled.mesh), start=filled.solution.points))
    points = whole.start.T.copy()
    points[:, 2] -= points[:, 2].min()
    return points, whole.triangles


def disc(cells: int) -> Problem:
    """Two discs of radius 1 sewn edge to edge: an eighth of it, so many rings wide."""
    places = {(0, 0): (0.0, 0.0)}
    for ring in range(1, cells + 1):
        for step in range(2 * ring + 1):
            angle = np.pi / 4 * step / ring
            places[ring, step] = (ring / cells * np.cos(angle), ring / cells * np.sin(angle))
    number = {place: index for index, place in enumerate(places)}
    triangles = [
        [number[place] for place in corners]
        for ring in range(1, cells + 1)
        for corners in _ring(ring)
    ]
    points = np.array(list(places.values()))
    radius = np.hypot(*points.T)
    start = np.stack((*(0.8 * points.T), 0.5 * (1.0 - radius**2)))
    step = np.array([place[1] for place in places])
    ring = np.array([place[0] for place in places])
    held = np.stack((step == 2 * ring, step == 0, ring == cells))
    start[held] = 0.0
    turned = np.array(triangles)
    return Problem(
        triangles=turned,
        flat=points[turned],
        start=start,
        held=held,
        mirrored=np.ones_like(held),
        copies=8,
    )


def _ring(ring: int) -> list[tuple[tuple[int, int], tuple[int, int], tuple[int, int]]]:
    """Triangles between a ring and the one inside it; each of two sectors widens by one."""
    found = []
    for sector in (0, 1):
        out, inner = sector * ring, sector * (ring - 1)
        for step in range(ring):
            found.append(((ring, out + step), (ring, out + step + 1), (ring - 1, inner + step)))
        for step in range(ring - 1):
            near, far = (ring - 1, inner + step), (ring - 1, inner + step + 1)
            found.append((near, (ring, out + step + 1), far))
    return found


def lopsided(problem: Problem, share: float, seed: int = 5) -> Problem:
    """The same sheet from a start that is pushed about at random, held places excepted."""
    rng = np.random.default_rng(seed)
    push = share * problem.size * rng.uniform(-1.0, 1.0, problem.start.shape)
    return replace(problem, start=problem.start + np.where(problem.held, 0.0, push))


def penalty_fill(
    problem: Problem, stiffness: float, iterations: int = 600
) -> tuple[float, float, int]:
    """Fill by scipy's L-BFGS with a penalty on stretch: (volume, stretch, evaluations).

    Minimises -V + stiffness/2 * sum of area * |F - nearest allowed F|², everything over the
    root of the flat area, in two runs of growing stiffness. The remaining stretch is
    about tension over stiffness, so that the volume comes out a little high.
    """
    from scipy.optimize import minimize

    unit = problem.scaled(1 / problem.size)
    free = ~unit.held
    points = unit.start.copy()
    evaluations = 0
    first, second, third = unit.triangles.T
    hats = np.ascontiguousarray(np.moveaxis(unit.hats, 0, -1))
    slots = np.concatenate([axis * unit.count + unit.triangles.T.ravel() for axis in range(3)])

    def at(values: Floats) -> Floats:
        full = unit.start.copy()
        full[free] = values
        return full

    def energy(values: Floats, weight: float) -> tuple[float, Floats]:
        full = at(values)
        gradients = unit.gradients(full)
        excess = gradients - allowed(gradients)
        cost = weight / 2 * float((excess**2).sum(axis=0) @ unit.areas)
        one, two, three = full[:, first], full[:, second], full[:, third]
        pushes = (cross(two, three), cross(three, one), cross(one, two))
        pull = weight * unit.areas * excess
        force = [
            pull[:3] * hats[k, 0] + pull[3:] * hats[k, 1] - push / 6
            for k, push in enumerate(pushes)
        ]
        slope = np.bincount(slots, np.concatenate(force, axis=1).ravel(), full.size)
        return cost - float((one * pushes[0]).sum()) / 6, slope.reshape(full.shape)[free]

    for share in (0.1, 1.0):
        found = minimize(
            energy,
            points[free],
            args=(share * stiffness,),
            jac=True,
            method="L-BFGS-B",
            options={"maxiter": iterations, "ftol": 1e-7},
        )
        points = at(found.x)
        evaluations += int(found.nfev)
    longest = stretch(unit.gradients(points))
    return unit.volume(points) * problem.size**3, longest, evaluations
