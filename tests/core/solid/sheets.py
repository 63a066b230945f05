"""Sheets for the tests of filling: a pillow, a disc, and a second way to fill them."""

from dataclasses import replace

import numpy as np

from core.solid.fill_problem import Cloth, Floats, Problem, allowed, cross, stretch
from core.solid.fill_start import problem_of
from core.solid.mesh import Symmetry, build_mesh, choose_grid
from core.solid.quarter import Quarter


def pillow(width: float, height: float) -> Quarter:
    """A quarter of a pillow of two sheets of these sizes."""
    return Quarter(base=width / 2, corner_along=0.0, corner_up=0.0, wall=height)


def boxed(base: float, depth: float, wall: float) -> Quarter:
    """A quarter of a bag with matched corners: base width, gusset depth, face height."""
    return Quarter(base=base / 2, corner_along=depth / 2, corner_up=depth / 2, wall=wall)


def cut(
    quarter: Quarter,
    cell: float,
    *,
    rigid_base: bool = False,
    symmetry: Symmetry = Symmetry.QUARTER,
) -> Problem:
    """The quarter in cells of about this size, ready to be filled."""
    mesh = build_mesh(quarter, choose_grid(quarter, cell), symmetry=symmetry)
    return problem_of(mesh, rigid_base=rigid_base)


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
    problem: Problem, cloth: Cloth, stiffness: float, iterations: int = 600
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
        excess = gradients - allowed(gradients, cloth)
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
    longest = stretch(unit.gradients(points), cloth)
    return unit.volume(points) * problem.size**3, longest, evaluations
