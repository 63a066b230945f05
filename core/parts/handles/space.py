"""Handles on the bag in space: legs sewn to the faces, and the bands that leave them."""

import math
from collections.abc import Sequence

from core.flat.piece import Point
from core.flat.roles import FACES, Face
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.handles.strip import STRIP
from core.site.site import Site
from core.space.folding import Area, AreaKind, Band, Laid, Line, LineKind, mostly_on

_BOW_STEPS = 12


def handles_laid(handles: Handles, site: Site, legs: Sequence[tuple[float, float]]) -> Laid:
    """What handles show.

    Args:
        handles, site: on which bag.
        legs: from where to where each lies on the panel, mm.
    """
    areas: list[Area] = []
    lines: list[Line] = []
    middle = site.front.width / 2
    for face in FACES:
        top = site.seats[face].top - handles.stop
        foot = top - handles.sewn_leg(site, face)
        lies_on, way = mostly_on(face, foot, top)
        foot, top = way * foot, way * top
        for left, right in ((x0 - middle, x1 - middle) for x0, x1 in legs):
            outline = ((left, foot), (left, top), (right, top), (right, foot))
            areas.append(Area(lies_on, AreaKind.BAND, STRIP, outline))
            sides = (outline[:2], outline[:1:-1], outline[1:3])
            lines += [Line(lies_on, LineKind.BAND_STITCHING, *ends) for ends in sides]
    if handles.style is HandleStyle.LOOP:
        lines += [
            Line(Face.FRONT, LineKind.HALFWAY, (x0 - middle, 0.0), (x1 - middle, 0.0))
            for x0, x1 in legs
        ]
    bands = [band for face in FACES for band in _bands(handles, site, face)]
    return Laid(areas=tuple(areas), lines=tuple(lines), bands=tuple(bands))


def _bands(handles: Handles, site: Site, face: Face) -> list[Band]:
    """The loose part of a face's handle; none where the legs are all there is."""
    drop = handles.drop(site, face)
    if drop is None:
        return []
    stop = site.seats[face].top - handles.stop
    top = stop + handles.stop_to_top_fold(site, face) + drop
    if top - stop < handles.width / 2:
        return []
    return [Band(face, STRIP, handles.width, held_up(handles, stop, top))]


def held_up(handles: Handles, stop: float, top: float) -> tuple[Point, ...]:
    """Middle line of a handle held up, from stop to stop, mm.

    It is pulled taut over a hand: straight legs to a small bow whose height is that of the
    handle drop, which is measured to one point.
    """
    half = handles.centres / 2
    bow = min(half, max(handles.width * 0.9, 12.0), max(top - stop, 0.0) / 2)
    legs = top - bow
    arc = [
        (-bow * math.cos(turn), legs + bow * math.sin(turn))
        for turn in (math.pi * step / _BOW_STEPS for step in range(_BOW_STEPS + 1))
    ]
    return ((-half, stop), *arc, (half, stop))
