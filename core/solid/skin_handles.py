"""The loose part of the handles, from the sewn bag to the filled one.

It leaves the wall where its stitching stops. A hand holds it up: on the filled bag it
lies taut over the bulge as far as that reaches further out than it does, and then goes
straight up, leaning a little to its own side.
"""

import math
from dataclasses import dataclass

import numpy as np

from core.bodies.boxed_panel.wall import Wall
from core.flat.roles import FACES, Face
from core.parts.handles.handles import Handles
from core.solid.content import loop_line
from core.solid.fill import Filled
from core.solid.fill_problem import Floats
from core.solid.fold import Folded
from core.solid.hinge import HANDLE_LEAN, HANDLE_LIFT, handle_hinge
from core.solid.zones import Zone

_STEP = 18.0
"""mm between points along a leg."""
_PROFILE = 40
"""Points of the wall above the stop."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """A strip in space: two long sides, n points each.

    Attributes:
        face: whose handle it is.
        sewn, filled: (2, n, 3) float arrays, mm: left and right side at both ends of the way.
    """

    face: Face
    sewn: Floats
    filled: Floats


def carry_handles(filled: Filled, sewn: Folded) -> tuple[Band, ...]:
    """The loose handles of a bag; none where it has none, or where they are all sewn down."""
    handles = Handles.of(filled.bag.parts)
    if handles is None:
        return ()
    found = [_carry(handles, filled, sewn, face) for face in FACES]
    return tuple(band for band in found if band is not None)


def _carry(handles: Handles, filled: Filled, sewn: Folded, face: Face) -> Band | None:
    bag, sheet = filled.bag, sewn.model.sheet
    drop = handles.drop(bag.site, face)
    stop = sheet.top(face) + bag.site.top_seam - handles.stop
    if drop is None or sheet.top_fold + drop - stop < handles.width / 2:
        return None
    line = _closer(np.array(loop_line(handles, sheet.middle, stop, sheet.top_fold + drop)))
    sides = _sides(line, handles.width / 2)
    return Band(
        face,
        np.array([_on_sewn(side, sewn, face) for side in sides]),
        _on_filled(sides, filled, sheet, face, stop, line[0, 0] - sheet.middle),
    )


def _closer(line: Floats) -> Floats:
    """The same line with points along its two legs, (n, 2)."""
    count = max(math.ceil(math.dist(line[0], line[1]) / _STEP), 1)
    first = np.linspace(line[0], line[1], count, endpoint=False)
    last = np.linspace(line[-2], line[-1], count + 1)[1:]
    return np.concatenate((first, line[1:-1], last))


def _sides(line: Floats, half_width: float) -> tuple[Floats, Floats]:
    """Both long sides of the band about a line, (n, 2) each; its ends are cut level."""
    way = np.gradient(line, axis=0)
    way[0], way[-1] = (0.0, 1.0), (0.0, -1.0)
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    aside = np.column_stack((-way[:, 1], way[:, 0])) * half_width
    return line + aside, line - aside


def _on_sewn(side: Floats, sewn: Folded, face: Face) -> Floats:
    """(n, 3) on the rigid parts of the sewn bag."""
    front = face is Face.FRONT
    low = sewn.stands[Zone.HANDLE_FRONT if front else Zone.HANDLE_BACK]
    high = sewn.stands[Zone.HANDLE_FRONT_TOP if front else Zone.HANDLE_BACK_TOP]
    hinge = handle_hinge(sewn.model.sheet, face)
    return np.array([(low if w <= hinge else high).at(x, w) for x, w in side.tolist()])


def _on_filled(
    sides: tuple[Floats, Floats],
    filled: Filled,
    sheet: Wall,
    face: Face,
    stop: float,
    leg: float,
) -> Floats:
    """(2, n, 3) along the path of a leg; across, both legs come in as far as their feet do.

    Args:
        sides: (n, 2) each, (x, w) mm.
        filled: the shape.
        face: whose handle.
        stop: height above the bottom line at which the stitching ends.
        leg: x of a leg from the middle of the sheet, other than 0 where there are two.
    """
    way = 1.0 if face is Face.FRONT else -1.0
    up = way * np.linspace(stop, sheet.top_fold, _PROFILE)
    wall = on_filled(filled, sheet, np.column_stack((np.full(_PROFILE, sheet.middle + leg), up)))
    in_by = wall[0, 0] - leg
    path = _taut(np.column_stack((np.abs(wall[:, 1]) + HANDLE_LIFT, wall[:, 2])))
    placed = []
    for side in sides:
        x = side[:, 0] - sheet.middle
        # Towards the top of the loop, where the legs meet, nothing is left to come in by.
        x = x + in_by * np.clip(x / leg if leg else 0.0 * x, -1.0, 1.0)
        out, height = path(np.maximum(side[:, 1] - stop, 0.0))
        placed.append(np.column_stack((x, -way * out, height)))
    return np.array(placed)


def on_filled(filled: Filled, wall: Wall, points: Floats) -> Floats:
    """(k, 3) where points (x, u) of the wall lie on the filled bag, mm."""
    x, u = points[:, 0] - wall.middle, points[:, 1]
    u = u - wall.loop * np.round(u / wall.loop)
    signs = np.where(x < 0.0, -1.0, 1.0), np.where(u < 0.0, 1.0, -1.0), np.ones_like(x)
    placed = filled.on_quarter(np.column_stack((np.abs(x), np.abs(u))))
    return np.asarray(placed * np.column_stack(signs))


def _taut(profile: Floats) -> "_Path":
    """The way of a leg from the first point of a wall's profile (outwards, up) on, mm."""
    along = np.array((math.sin(HANDLE_LEAN), math.cos(HANDLE_LEAN)))
    reach = profile @ np.array((along[1], -along[0]))
    return _Path(profile[: int(reach.argmax()) + 1], along)


@dataclass(frozen=True, slots=True, eq=False)
class _Path:
    """Along some points, then straight on."""

    points: Floats
    along: Floats

    def __call__(self, gone: Floats) -> tuple[Floats, Floats]:
        """Outwards and up after so many mm."""
        steps = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        length = np.concatenate(((0.0,), np.cumsum(steps)))
        out, height = (np.interp(gone, length, axis) for axis in self.points.T)
        beyond = np.maximum(gone - length[-1], 0.0)
        return out + beyond * self.along[0], height + beyond * self.along[1]
