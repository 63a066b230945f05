"""How what a bag holds grows with its sizes: told by the one shape that it was filled to.

At its largest volume the tension of the sheet says what each flat length is worth: where the
triangles of a strip may all be a share e longer one way, the volume grows by e times the work of
their tension along that way (the multipliers of a constrained maximum are its sensitivities: Boyd
and Vandenberghe, Convex Optimization, 2004, section 5.6). A patch with rounded corners grows in its
straight part alone: what lies beyond is shifted as it is.
"""

from collections.abc import Mapping
from enum import Enum

import numpy as np

from core.base.arrays import Flags, Floats
from core.solid.fill import Filled
from core.solid.fill_problem import Mesh, Problem, cross, problem_of
from core.space.patches import StraightPart

Growth = Mapping[Enum, float]
"""By how many percent a volume grows for each percent of a flat size of the quarter."""


def growth(filled: Filled) -> Growth:
    """Of the outside, to some hundredths; 3 in all where no corner is rounded."""
    mesh, size = filled.mesh, filled.solution.size
    sheet = problem_of(mesh)
    problem = sheet.scaled(1 / size)
    points = filled.solution.points / size
    pull = filled.solution.tension * problem.areas
    gradients = problem.gradients(points)
    work = pull * gradients
    across, along = work[:3].sum(axis=0), work[3:].sum(axis=0)
    gains = dict.fromkeys(mesh.counts, 0.0)
    for i, patch in enumerate(mesh.quarter.patches):
        own = mesh.patch_of == i
        for axis, (each, even) in enumerate(((patch.across, across), (patch.up, along))):
            span = patch.grows[axis]
            if span is None:
                gains[each] += float(even[own].sum())
                continue
            for way, lengthened in enumerate(_lengthened(mesh, sheet, own, span, axis)):
                pulled = pull[3 * way : 3 * way + 3, own] * gradients[3 * axis : 3 * axis + 3, own]
                gains[each] += float((pulled.sum(axis=0) * lengthened).sum())
    for held, gain in _by_board(problem, points, pull, mesh, size):
        for each, share in held.items():
            gains[each] += share * gain
    whole = problem.copies * size**3 / filled.volume
    return {each: gain * whole for each, gain in gains.items()}


def _shifts(span: StraightPart, places: Floats) -> Floats:
    """How far places move, mm, for each share of its length that a size grows by."""
    reached = np.clip((places - span.low) / (span.high - span.low), 0.0, 1.0)
    return np.asarray(span.length * reached)


def _lengthened(mesh: Mesh, sheet: Problem, own: Flags, span: StraightPart, axis: int) -> Floats:
    """(2, t) by how much a size that grows shifts each triangle, across and along, over itself."""
    mirrored = -1.0 if axis else 1.0  # as the mesh lies flat
    shifts = mirrored * _shifts(span, mirrored * mesh.flat[own][..., axis])
    return np.asarray(np.einsum("tkj,tk->jt", sheet.hats[own], shifts))


def _by_board(
    problem: Problem, points: Floats, pull: Floats, mesh: Mesh, size: float
) -> list[tuple[Mapping[Enum, float], float]]:
    """What a board gives that grows across, and front to back: the work of what holds it.

    Each with the shares of the sizes that it grows with.
    """
    ends = [points.take(each, axis=1) for each in problem.triangles.T]
    force = np.zeros_like(points)
    for corner, vertices in enumerate(problem.triangles.T):
        outward = cross(ends[(corner + 1) % 3], ends[(corner + 2) % 3]) / 6
        hats = problem.hats[:, corner]
        net = outward - pull[:3] * hats[:, 0] - pull[3:] * hats[:, 1]
        force += np.stack([np.bincount(vertices, each, problem.count) for each in net])
    spans: list[dict[Enum, StraightPart]] = [{}, {}]
    for patch in mesh.quarter.patches:
        for axis, each in enumerate((patch.across, patch.up)):
            span = patch.grows[axis]
            if patch.held and span is not None:
                spans[axis][each] = span
    found: list[tuple[Mapping[Enum, float], float]] = []
    for axis, held_sizes in enumerate(mesh.quarter.held_sizes):
        held = problem.held[axis]
        found.append((held_sizes, float((force * points)[axis][held].sum())))
        for each, span in spans[axis].items():
            moved = _shifts(span, points[axis][held] * size) / size
            found.append(({each: 1.0}, float((force[axis][held] * moved).sum())))
    return found


def sheet_growth(filled: Filled) -> Growth:
    """Of the flat sheet: by how many percent it is larger for each percent of a size."""
    mesh = filled.mesh
    quarter, sheet = mesh.quarter, problem_of(mesh)
    found = dict.fromkeys(mesh.counts, 0.0)
    for i, patch in enumerate(quarter.patches):
        own = mesh.patch_of == i
        for axis, each in enumerate((patch.across, patch.up)):
            span = patch.grows[axis]
            if span is None:
                found[each] += patch.area / quarter.area
                continue
            lengthened = _lengthened(mesh, sheet, own, span, axis)[axis]
            found[each] += float((sheet.areas[own] * lengthened).sum()) / quarter.area
    return found
