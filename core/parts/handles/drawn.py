"""Handles on the wall of a bag, as strips and in space: marks, sizes, what they take and become.

In space legs are sewn to the faces, and bands leave them; a square with a cross secures each at its
stop. Lengths are mm.
"""

import math
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from core.base.sentences import Sentence, mark, say
from core.flat.piece import Dimension, Mark, MarkStyle, Out, Piece, Point
from core.flat.roles import FACES, Face, MarkRole, Side
from core.goods.supplies import Notion
from core.parts.handles.figures import GAP, STOP, STRIP, HandleStyle
from core.site.site import Finished, PlacedMark, Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles
    from core.space.zones import Band, Laid


def handle_marks(handles: "Handles", site: Site) -> tuple[PlacedMark, ...]:
    """Each leg's outline on each face, and the halfway marks of a loop on the bottom line."""
    legs = handles.laid_legs(site)
    marks = [placed for face in FACES for placed in _leg_marks(handles, site, face, legs)]
    if handles.style is HandleStyle.LOOP:
        for side, (left, right) in legs.items():
            halfway = Mark(
                role=MarkRole.HALFWAY,
                owner=STRIP.owner,
                points=site.front.points(((left, 0.0), (right, 0.0))),
                style=MarkStyle.HALFWAY,
                side=side,
                label=_HALFWAY,
            )
            marks.append(PlacedMark(Face.FRONT, halfway))
    return tuple(marks)


_LEG, _HALFWAY = mark("handle leg"), mark("handle halfway")


def _leg_marks(
    handles: "Handles",
    site: Site,
    face: Face,
    legs: Mapping[Side, tuple[float, float]],
) -> Iterator[PlacedMark]:
    seat, stop = site.seats[face], handles.stop_on(face)
    end = say("handle stitching ends here, {stop} below the edge", stop=stop)
    foot, top = handles.leg_ends(site, face)
    closed = handles.style is HandleStyle.SEPARATE
    for side, (left, right) in legs.items():
        leg = Mark(
            role=MarkRole.LEG,
            owner=STRIP.owner,
            points=seat.points(((left, foot), (left, top), (right, top), (right, foot))),
            style=MarkStyle.PLACEMENT,
            face=face,
            side=side,
            closed=closed,
            end=end,
            label=_LEG,
        )
        yield PlacedMark(face, leg)


def handle_dimensions(piece: Piece) -> tuple[Dimension, ...]:
    """The stop on the right leg of the front, the gap between the legs of the back."""
    legs = [mark for mark in piece.marks if mark.role is MarkRole.LEG]
    front = [leg for leg in legs if leg.face is Face.FRONT]
    back = [leg for leg in legs if leg.face is Face.BACK]
    found: list[Dimension] = []
    if front:
        _, (left, top), (right, _), _ = max(leg.points for leg in front)
        middle = (left + right) / 2
        found.append(Dimension(STOP.label, (middle, top), (middle, piece.bounds[3]), Out.ON))
    if len(back) == 2:
        one, other = sorted(leg.points for leg in back)
        y = one[1][1]
        out = Out.BELOW if y < 0.0 else Out.ABOVE
        # A back that is drawn from its right side too has its legs' corners the other way round.
        inner = max(x for x, _ in one), min(x for x, _ in other)
        found.append(Dimension(GAP.label, (inner[0], y), (inner[1], y), out))
    return tuple(found)


def leg_tape(handles: "Handles", site: Site) -> tuple[Notion, ...]:
    """Basting tape under each run of handle that is sewn down: two legs on each face."""
    length = math.fsum(2 * max(handles.sewn_leg(site, face), 0.0) for face in FACES)
    tape = Notion(what=mark("basting tape"), length=length, under=mark("the handles"))
    return (tape,) if length else ()


def box_side(handles: "Handles", near_edge: float) -> float:
    """Side of the square that is sewn below a stop, mm."""
    return max(handles.width - 2 * min(near_edge, handles.width / 4), handles.width / 2)


def box_and_cross(handles: "Handles", near_edge: float) -> float:
    """Stitching below the two stops of one handle: each the four sides and two diagonals, mm."""
    return 2 * (4 + 2 * math.sqrt(2)) * box_side(handles, near_edge)


_JOINED = {
    HandleStyle.LOOP: (
        mark("Join {count} end to end into one loop of {loop}."),
        mark("Join {count} end to end into one loop of {loop}; the front handle drops {drop}."),
    ),
    HandleStyle.SEPARATE: (
        mark("Join {count} end to end for each handle of {loop}, ends turned under."),
        mark(
            "Join {count} end to end for each handle of {loop}, ends turned under; "
            "the front handle drops {drop}."
        ),
    ),
}
_ALONE = (
    mark("Each is one handle of {loop}, its ends turned under."),
    mark("Each is one handle of {loop}, its ends turned under; the front handle drops {drop}."),
)
"""Without a drop, and with one."""


def strip_notes(
    handles: "Handles", piece: Piece, site: Site, finished: Finished
) -> tuple[Sentence, ...]:
    """How a strip becomes a handle, and how far that drops."""
    if piece.id != STRIP:
        return (say("It is joined to the others as the last one and has its own length."),)
    is_alone = handles.style is HandleStyle.SEPARATE and handles.strips == 1
    plain, dropping = _ALONE if is_alone else _JOINED[handles.style]
    numbers, lengths = {"count": handles.strips}, {"loop": handles.loop(site)}
    drop = finished["handle_drop_front"]
    if drop is None:
        return (Sentence(plain, lengths, numbers=numbers),)
    return (Sentence(dropping, lengths | {"drop": drop}, numbers=numbers),)


_BOW_STEPS = 12


def handles_laid(handles: "Handles", site: Site) -> "Laid":
    """Legs, the loose bands that go on from them, and halfway marks at the bottom."""
    from core.space.zones import (  # asked in folding
        AreaKind,
        FaceArea,
        FaceLine,
        Laid,
        LineKind,
        mostly_on,
    )

    legs = tuple(handles.laid_legs(site).values())
    areas: list[FaceArea] = []
    lines: list[FaceLine] = []
    middle = site.front.width / 2
    for face in FACES:
        foot, top = handles.leg_ends(site, face)
        lies_on, way = mostly_on(face, foot, top)
        foot, top = way * foot, way * top
        for left, right in ((x0 - middle, x1 - middle) for x0, x1 in legs):
            outline = ((left, foot), (left, top), (right, top), (right, foot))
            areas.append(FaceArea(lies_on, AreaKind.BAND, STRIP, outline))
            sides = (outline[:2], outline[:1:-1], outline[1:3])
            lines += [FaceLine(lies_on, LineKind.BAND_STITCHING, *ends) for ends in sides]
    if handles.style is HandleStyle.LOOP:
        lines += [
            FaceLine(Face.FRONT, LineKind.HALFWAY, (x0 - middle, 0.0), (x1 - middle, 0.0))
            for x0, x1 in legs
        ]
    bands = [band for face in FACES for band in _bands(handles, site, face)]
    return Laid(areas=tuple(areas), lines=tuple(lines), bands=tuple(bands))


def _bands(handles: "Handles", site: Site, face: Face) -> "list[Band]":
    """The loose part of a face's handle; none where the legs are all there is."""
    from core.space.zones import Band

    drop = handles.drop(site, face)
    if drop is None:
        return []
    _, stop = handles.leg_ends(site, face)
    top = stop + handles.stop_to_top_fold(site, face) + drop
    if top - stop < handles.width / 2:
        return []
    line = held_up(handles.centres / 2, handles.width, stop, top)
    return [Band(face, STRIP, handles.width, line)]


@lru_cache(maxsize=16)
def held_up(half: float, width: float, stop: float, top: float) -> tuple[Point, ...]:
    """Middle line of a handle held up, from stop to stop, mm.

    It is pulled taut over a hand: straight legs, so far from the middle, to a small bow whose
    height is that of the handle drop, which is measured to one point. Kept, as most changes of a
    bag leave its handles as they are.
    """
    bow = min(half, max(width * 0.9, 12.0), max(top - stop, 0.0) / 2)
    legs = top - bow
    arc = [
        (-bow * math.cos(turn), legs + bow * math.sin(turn))
        for turn in (math.pi * step / _BOW_STEPS for step in range(_BOW_STEPS + 1))
    ]
    return ((-half, stop), *arc, (half, stop))
