"""Handles on the wall of a bag, and as strips: marks, sizes, what they take and become. mm."""

import math

from core.base.sentences import Sentence, mark, say
from core.flat.dimension import Dimension, Out
from core.flat.piece import Mark, MarkStyle, Piece
from core.flat.roles import FACES, Face, MarkRole, Side
from core.model.notion import Notion
from core.parts.handles.handles import GAP, STOP, Handles, HandleStyle
from core.parts.handles.strip import STRIP
from core.site.site import Finished, PlacedMark, Site


def handle_marks(handles: Handles, site: Site) -> tuple[PlacedMark, ...]:
    """Each leg's outline on each face, and the halfway marks of a loop on the bottom line."""
    legs = handles.laid_legs(site)
    marks = [
        PlacedMark(face, _leg_mark(handles, site, face, side, ends))
        for face in FACES
        for side, ends in legs.items()
    ]
    if handles.style is HandleStyle.LOOP:
        marks += [
            PlacedMark(
                Face.FRONT,
                Mark(
                    role=MarkRole.HALFWAY,
                    owner=Handles.SLOT,
                    points=(site.front.point(left, 0.0), site.front.point(right, 0.0)),
                    style=MarkStyle.HALFWAY,
                    side=side,
                    label=mark("handle halfway"),
                ),
            )
            for side, (left, right) in legs.items()
        ]
    return tuple(marks)


def _leg_mark(
    handles: Handles, site: Site, face: Face, side: Side, ends: tuple[float, float]
) -> Mark:
    left, right = ends
    seat = site.seats[face]
    top = seat.top - handles.stop
    foot = top - handles.sewn_leg(site, face)
    outline = (left, foot), (left, top), (right, top), (right, foot)
    return Mark(
        role=MarkRole.LEG,
        owner=Handles.SLOT,
        points=tuple(seat.point(*each) for each in outline),
        style=MarkStyle.PLACEMENT,
        face=face,
        side=side,
        closed=handles.style is HandleStyle.SEPARATE,
        end=say("handle stitching ends here, {stop} below the edge", stop=handles.stop),
        label=mark("handle leg"),
    )


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
        found.append(Dimension(GAP.label, (one[2][0], y), (other[1][0], y), out))
    return tuple(found)


def leg_tape(handles: Handles, site: Site) -> tuple[Notion, ...]:
    """Basting tape under each run of handle that is sewn down: two legs on each face."""
    length = math.fsum(2 * max(handles.sewn_leg(site, face), 0.0) for face in FACES)
    tape = Notion(what=mark("basting tape"), length=length, under=mark("the handles"))
    return (tape,) if length else ()


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


def strip_note(handles: Handles, piece: Piece, site: Site, finished: Finished) -> Sentence:
    """How a strip becomes a handle, and how far that drops."""
    if piece.id != STRIP:
        return say("It is joined to the others as the last one and has its own length.")
    is_alone = handles.style is HandleStyle.SEPARATE and handles.strips == 1
    plain, dropping = _ALONE if is_alone else _JOINED[handles.style]
    numbers, lengths = {"count": handles.strips}, {"loop": handles.loop(site)}
    drop = finished["handle_drop_front"]
    if drop is None:
        return Sentence(plain, lengths, numbers=numbers)
    return Sentence(dropping, lengths | {"drop": drop}, numbers=numbers)
