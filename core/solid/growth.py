"""How what a filled bag holds grows with its sizes: slopes out of one shape.

At its largest volume the tension of the sheet says what each flat length is worth: where
the triangles of a strip may all be a share e longer one way, the volume grows by e times
the work of their tension along that way (the multipliers of a constrained maximum are its
sensitivities: Boyd and Vandenberghe, Convex Optimization, 2004, section 5.6).
"""

from dataclasses import dataclass

import numpy as np

from core.solid.capacity import Capacity
from core.solid.fill import Filled
from core.solid.fill_cloth import Floats
from core.solid.fill_problem import Problem, cross
from core.solid.fill_start import problem_of
from core.solid.quarter import Quarter


@dataclass(frozen=True, slots=True)
class Growth:
    """By how many percent a volume grows for each percent of a flat size of a quarter.

    Attributes:
        base, corner_along, corner_up, wall: as in `core.solid.quarter.Quarter`; 0 for the
            corners of a pillow.
    """

    base: float
    corner_along: float
    corner_up: float
    wall: float


def growth(filled: Filled) -> Growth:
    """Of the outside, to some hundredths; 3 in all, for it is a volume."""
    quarter, size = filled.mesh.quarter, filled.solution.size
    problem = problem_of(filled.mesh, rigid_base=filled.rigid_base).scaled(1 / size)
    points = filled.solution.points / size
    pull = filled.solution.tension * problem.areas
    work = pull * problem.gradients(points)
    across, along = work[:3].sum(axis=0), work[3:].sum(axis=0)
    x, u = np.abs(filled.mesh.flat.mean(axis=1)).T
    in_base, in_bottom = x < quarter.base, u < quarter.corner_up
    board_across, board_deep = _by_board(problem, points, pull)
    # A board is as deep as the shorter edge of the corner seam.
    of_along = 0.5 * (1.0 + np.sign(quarter.corner_up - quarter.corner_along))
    gains = np.array(
        [
            across[in_base].sum() + board_across,
            across[~in_base].sum() + of_along * board_deep,
            along[in_bottom].sum() + (1.0 - of_along) * board_deep,
            along[~in_bottom].sum(),
        ]
    )
    return Growth(*(gains * problem.copies * size**3 / filled.volume).tolist())


def _by_board(problem: Problem, points: Floats, pull: Floats) -> tuple[float, float]:
    """What a board gives that grows across, and front to back: the work of what holds it."""
    ends = [points.take(each, axis=1) for each in problem.triangles.T]
    force = np.zeros_like(points)
    for corner, vertices in enumerate(problem.triangles.T):
        outward = cross(ends[(corner + 1) % 3], ends[(corner + 2) % 3]) / 6
        hats = problem.hats[:, corner]
        net = outward - pull[:3] * hats[:, 0] - pull[3:] * hats[:, 1]
        force += np.stack([np.bincount(vertices, each, problem.count) for each in net])
    across, deep = (float((force * points)[axis][problem.held[axis]].sum()) for axis in (0, 1))
    return across, deep


def inside_growth(capacity: Capacity) -> Growth:
    """Of what lies inside the wall, to some hundredths.

    The wall takes its thickness of a surface that grows as the flat sheet does.

    Raises:
        ValueError: nothing lies inside.
    """
    filled, inside = capacity.outside, capacity.inside_filled
    if filled is None or not inside or not capacity.filled:
        raise ValueError("nothing lies inside the wall")
    taken = (capacity.filled - inside) / inside
    out, sheet = growth(filled), _sheet_growth(filled.mesh.quarter)
    return Growth(
        *(
            getattr(out, name) + taken * (getattr(out, name) - getattr(sheet, name))
            for name in Growth.__slots__
        )
    )


def _sheet_growth(quarter: Quarter) -> Growth:
    """Of the flat area, which is what it is by `Quarter.area`."""
    corner = quarter.corner_along * quarter.corner_up
    return Growth(
        base=quarter.base * quarter.half_loop / quarter.area,
        corner_along=(quarter.corner_along * quarter.half_loop - corner) / quarter.area,
        corner_up=(quarter.corner_up * quarter.half_opening - corner) / quarter.area,
        wall=quarter.wall * quarter.half_opening / quarter.area,
    )
