"""Where the joins of the strips come to lie along a handle, and how it is best laid on. mm.

A loop may be turned as it likes before its halfway marks are drawn; of a separate handle only
the order of its strips is free. Either is chosen so that the joins keep clear of what is sewn
across and of the hand, and lie on the sewn legs as far as they can.
"""

import math
from collections.abc import Iterable, Iterator, Mapping
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from core.base.sentences import Template, mark, say
from core.base.tolerance import LENGTH_TOLERANCE, same_length, shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import FACES, Face
from core.model.findings import Finding, Severity
from core.parts.handles.figures import JOIN_SEAM, HandleStyle
from core.site.site import Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles

JOIN_CLEARANCE = 2 * MM_PER_INCH
"""Between a join and a stop or the bottom line, where all layers are sewn across (own choice)."""
GRIP_CLEARANCE = 4 * MM_PER_INCH
"""Between a join and the middle of the grip: about half of a hand's breadth (own choice)."""


class JoinAt(Enum):
    """Where a join is in the way: it keeps clear of these."""

    STOP = "stop"
    BOTTOM = "bottom line"
    GRIP = "middle of the grip"


class Course(NamedTuple):
    """What a handle passes on its way, as distances along it, mm.

    A loop is followed from the halfway mark of one leg up the front, over the front's grip,
    down the other leg, under the bottom and so over the back's grip to where it began. A
    separate handle is followed from end to end.

    Attributes:
        length: of the loop, or of one separate handle.
        spots: (what, where) in the order of the way.
        legs: (begin, end) of each stretch that is sewn down.
    """

    length: float
    closed: bool
    spots: tuple[tuple[JoinAt, float], ...]
    legs: tuple[tuple[float, float], ...]

    def apart(self, one: float, other: float) -> float:
        """Length of handle between two places: round a loop, the shorter way."""
        straight = abs(one - other)
        return min(straight, self.length - straight) if self.closed else straight

    def on_leg(self, place: float) -> bool:
        """Whether a place lies where the handle is sewn down."""
        return any(begin <= place <= end for begin, end in self.legs)

    def face(self, place: float) -> Face:
        """The face of a loop that a place lies on."""
        return Face.FRONT if place <= self.length / 2 else Face.BACK

    def to_nearest(self, place: float, spot: JoinAt) -> float:
        """Length of handle to the nearest of these; 0 where there is none."""
        found = (self.apart(place, where) for what, where in self.spots if what is spot)
        return min(found, default=0.0)


class Crowded(NamedTuple):
    """A join that lies too near to something.

    Attributes:
        spot, apart: what it is near to, and how near, mm.
        limit: how far it ought to be, mm.
        face: of the grip; of a separate handle the front stands for both.
    """

    spot: JoinAt
    apart: float
    limit: float
    face: Face


class Joins(NamedTuple):
    """The joins of a loop, or of one separate handle, as it is best laid on.

    Attributes:
        course: what the handle passes.
        places: of each join along the course, mm. Of a loop the first is the one between the
            last strip and the first, and the strips follow it in the order in which they are
            joined; of a separate handle they stand in the order of the way.
        last: which strip on the way has its own length, counted from 0: of a separate handle
            0 is the one at an end. None where it is as long as the others.
        crowded: what joins are too near to, the worst first; empty where all are clear.
    """

    course: Course
    places: tuple[float, ...]
    last: int | None
    crowded: tuple[Crowded, ...]

    @property
    def on_legs(self) -> int:
        """How many joins lie where the handle is sewn down."""
        return sum(self.course.on_leg(place) for place in self.places)


def course_of(handles: "Handles", site: Site) -> Course | None:
    """What the handle passes; None where it does not span its legs."""
    if any(handles.drop(site, face) is None for face in FACES):
        return None
    length = handles.loop(site)
    front, back = (handles.sewn_leg(site, face) for face in FACES)
    half, stop, bottom, grip = length / 2, JoinAt.STOP, JoinAt.BOTTOM, JoinAt.GRIP
    if handles.style is HandleStyle.SEPARATE:
        each = ((stop, front), (grip, half), (stop, length - front))
        return Course(length, False, each, ((0.0, front), (length - front, length)))
    spots = (
        *((bottom, 0.0), (stop, front), (grip, half / 2), (stop, half - front)),
        *((bottom, half), (stop, half + back), (grip, half + half / 2), (stop, length - back)),
    )
    legs = ((0.0, front), (half - front, half + back), (length - back, length))
    return Course(length, True, spots, legs)


def best_joins(handles: "Handles", site: Site, *, step: float = 0.0) -> Joins | None:
    """The joins of the loop, or of one separate handle, where they lie best.

    First as few as can be are too near to anything, then as many as can be lie on the sewn
    legs, then the others lie as near to the stops as they can. Where there is room for it, the
    join that `told_join` gives lies whole steps of the ruler, mm, from the bottom line; 0 for none.
    None where the handle does not span its legs.
    """
    course = course_of(handles, site)
    if course is None:
        return None
    strips = tuple(cut - 2 * JOIN_SEAM for cut in handles.strip_lengths(site))
    return _best_joins(course, strips, step)


@lru_cache(maxsize=64)
def _best_joins(course: Course, strips: tuple[float, ...], step: float) -> Joins:
    """The joins of `best_joins` for strips of these joined lengths, mm.

    Kept, because most edits of a bag leave course and strips as they are, and because steps,
    findings and drawings ask for the same joins.
    """
    odd = not same_length(strips[-1], strips[0])
    if not course.closed:
        return _in_best_order(course, strips, odd=odd)
    offsets = tuple(_running(strips[:-1]))
    low, turn, high = _best_turn(course, offsets)
    joins = _turned(course, offsets, turn, odd=odd)
    if step > 0.0:
        told = told_join(joins)
        for down in (math.floor(told.apart / step), math.ceil(told.apart / step)):
            shift = (down * step - told.apart) * (1.0 if told.after else -1.0)
            if low <= turn + shift <= high:
                return _turned(course, offsets, turn + shift, odd=odd)
    return joins


class ToldJoin(NamedTuple):
    """The join from which a loop is measured.

    Attributes:
        apart: length of loop between this join and the nearer halfway mark, mm.
        face: that it goes up from that mark.
        after: whether it lies after the mark on the course.
        over_last: whether the way from it to the mark leads over the last strip; None where all
            strips are alike.
    """

    apart: float
    face: Face
    after: bool
    over_last: bool | None


def told_join(joins: Joins) -> ToldJoin:
    """The join of a loop that is told to the maker: on a leg and near the bottom if one is.

    Where the last strip has its own length it is one of that strip's two ends.
    """
    course, places = joins.course, joins.places
    odd = joins.last is not None
    offered = (places[0], places[-1]) if odd else places

    def rank(place: float) -> tuple[bool, float]:
        return not course.on_leg(place), round(course.to_nearest(place, JoinAt.BOTTOM), 6)

    index = min(range(len(offered)), key=lambda number: rank(offered[number]))
    place = offered[index]
    apart = course.to_nearest(place, JoinAt.BOTTOM)
    # Which side of the nearer mark it lies on: a mark is at 0 (and the length), one at half.
    past = place % (course.length / 2)
    after = past <= course.length / 4
    # The last strip runs from the last join on to the first, along the course.
    over_last = None if not odd else after if index == 0 else not after
    return ToldJoin(apart, course.face(place), after, over_last)


def _turned(course: Course, offsets: tuple[float, ...], turn: float, *, odd: bool) -> Joins:
    places = tuple((turn + offset) % course.length for offset in offsets)
    last = len(offsets) - 1 if odd else None
    return Joins(course, places, last, _crowded(course, places))


def _running(lengths: Iterable[float]) -> Iterator[float]:
    """0, and each sum so far."""
    reached = 0.0
    yield reached
    for length in lengths:
        reached += length
        yield reached


def _best_turn(course: Course, offsets: tuple[float, ...]) -> tuple[float, float, float]:
    """(low, best, high) place of the first join, mm: between low and high as few are too near.

    Every join carries its own zones: turning the loop moves all of them alike. What is
    counted changes only where a join enters or leaves a zone, so that the turns fall into
    stretches; on each of them the sums of distances are concave, hence least at an end.
    """
    turns = [
        (_lacking(course, offsets, place), low, place, high)
        for low, high in _best_stretches(course, offsets)
        for place in ((low + high) / 2, low, high)
    ]
    least = min(lacking for lacking, *_ in turns)
    ranked = [
        (_off_stops(course, [(place + each) % course.length for each in offsets]), low, place, high)
        for lacking, low, place, high in turns
        if lacking == least
    ]
    _, low, place, high = min(ranked, key=lambda each: (each[0], each[1] - each[3]))
    return low, place, high


def _best_stretches(course: Course, offsets: tuple[float, ...]) -> list[tuple[float, float]]:
    """Places of the first join with the fewest joins in a zone, then the fewest on no leg."""
    length = course.length
    zones = [(where - room, where + room, 1, 0) for where, room in _zones(course)]
    zones += [(leg[1], other[0], 0, 1) for leg, other in pairwise(course.legs)]
    events: list[tuple[float, int, int]] = [(0.0, 0, 0), (length, 0, 0)]
    for offset in offsets:
        for begin, end, near, loose in zones:
            if end - begin >= length:
                continue  # everywhere: no turn is better for it
            low, high = (begin - offset) % length, (end - offset) % length
            events += [(low, near, loose), (high, -near, -loose)]
            if low > high:
                events.append((0.0, near, loose))
    events.sort(key=lambda event: event[0])
    counted = [0, 0]
    stretches: list[tuple[tuple[int, int], float, float]] = []
    for (place, near, loose), (following, _, _) in pairwise(events):
        counted[0] += near
        counted[1] += loose
        if following - place > LENGTH_TOLERANCE:
            stretches.append(((counted[0], counted[1]), place, following))
    fewest = min((count for count, _, _ in stretches), default=(0, 0))
    return [(low, high) for count, low, high in stretches if count == fewest] or [(0.0, 0.0)]


def _zones(course: Course) -> Iterator[tuple[float, float]]:
    """(where, clearance) of everything that a join keeps clear of."""
    for spot, where in course.spots:
        yield where, GRIP_CLEARANCE if spot is JoinAt.GRIP else JOIN_CLEARANCE


def _lacking(course: Course, offsets: tuple[float, ...], turn: float) -> float:
    """What the joins of a loop lack of their clearances, summed, mm."""
    length, zones = course.length, tuple(_zones(course))
    lacking = 0.0
    for offset in offsets:
        place = (turn + offset) % length
        for where, room in zones:
            # As `Course.apart` has it, written out: a long loop asks it often.
            apart = abs(place - where)
            if apart < room or length - apart < room:
                lacking += room - min(apart, length - apart)
    return round(lacking, 6)


def _off_stops(course: Course, places: Iterable[float]) -> float:
    """How far the joins that lie on no leg are from their nearest stops, summed, mm."""
    stops = [where for what, where in course.spots if what is JoinAt.STOP]
    free = [each for each in places if not course.on_leg(each)]
    off = (min([course.apart(each, stop) for stop in stops], default=0.0) for each in free)
    return round(math.fsum(off), 6)


def _crowded(course: Course, places: tuple[float, ...]) -> tuple[Crowded, ...]:
    found = []
    for place in places:
        for spot, where in course.spots:
            limit = GRIP_CLEARANCE if spot is JoinAt.GRIP else JOIN_CLEARANCE
            apart = course.apart(place, where)
            if shorter(apart, limit):
                face = course.face(place) if course.closed else Face.FRONT
                found.append(Crowded(spot, apart, limit, face))
    return tuple(sorted(found, key=lambda each: each.apart - each.limit))


def _in_best_order(course: Course, strips: tuple[float, ...], *, odd: bool) -> Joins:
    """The last strip where it puts the joins best; turned end for end it is the same handle."""
    *whole, last = strips
    found = []
    for index in range(len(strips) // 2 + 1 if odd else 1):
        order = (*whole[:index], last, *whole[index:])
        places = tuple(_running(order[:-1]))[1:]
        found.append(Joins(course, places, index if odd else None, _crowded(course, places)))
    return min(found, key=_merit)


def _merit(joins: Joins) -> tuple[int, int, float]:
    loose = len(joins.places) - joins.on_legs
    return len(joins.crowded), loose, _off_stops(joins.course, joins.places)


def join_findings(handles: "Handles", site: Site) -> Iterator[Finding]:
    """Whether a join falls where it is in the way, however it is laid on."""
    joins = best_joins(handles, site)
    if joins is None or not joins.crowded:
        return
    worst, looped = joins.crowded[0], handles.style is HandleStyle.LOOP
    face = worst.face if looped and worst.spot is JoinAt.GRIP else None
    near, right_at = (_IN_A_LOOP if looped else _IN_EACH)[worst.spot, face]
    told = near if shorter(0.0, worst.apart) else right_at
    yield Finding(
        code="handle-join-at-stop",
        severity=Severity.NOTE,
        figure="handle_strips",
        value=worst.apart,
        limit=worst.limit,
        message=say(told, value=worst.apart, limit=worst.limit),
    )


_Near = Mapping[tuple[JoinAt, Face | None], tuple[Template, Template]]
"""What it is near, and face of a loop's grip -> (near to it, right at it)."""
_IN_A_LOOP: _Near = {
    (JoinAt.STOP, None): (
        mark(
            "However the loop is turned, a join falls {value} from a stop, where the square and "
            "cross are sewn through it: it should be at least {limit} away."
        ),
        mark(
            "However the loop is turned, a join falls right at a stop, where the square and cross "
            "are sewn through it: it should be at least {limit} away."
        ),
    ),
    (JoinAt.BOTTOM, None): (
        mark(
            "However the loop is turned, a join falls {value} from the bottom line, where the bag "
            "is creased: it should be at least {limit} away."
        ),
        mark(
            "However the loop is turned, a join falls right at the bottom line, where the bag is "
            "creased: it should be at least {limit} away."
        ),
    ),
    (JoinAt.GRIP, Face.FRONT): (
        mark(
            "However the loop is turned, a join falls {value} from the middle of the front grip, "
            "where it is held: it should be at least {limit} away."
        ),
        mark(
            "However the loop is turned, a join falls right at the middle of the front grip, where "
            "it is held: it should be at least {limit} away."
        ),
    ),
    (JoinAt.GRIP, Face.BACK): (
        mark(
            "However the loop is turned, a join falls {value} from the middle of the back grip, "
            "where it is held: it should be at least {limit} away."
        ),
        mark(
            "However the loop is turned, a join falls right at the middle of the back grip, where "
            "it is held: it should be at least {limit} away."
        ),
    ),
}
_IN_EACH: _Near = {
    (JoinAt.STOP, None): (
        mark(
            "In each handle a join falls {value} from a stop, where the square and cross are sewn "
            "through it: it should be at least {limit} away."
        ),
        mark(
            "In each handle a join falls right at a stop, where the square and cross are sewn "
            "through it: it should be at least {limit} away."
        ),
    ),
    (JoinAt.GRIP, None): (
        mark(
            "In each handle a join falls {value} from the middle of the grip, where it is held: it "
            "should be at least {limit} away."
        ),
        mark(
            "In each handle a join falls right at the middle of the grip, where it is held: it "
            "should be at least {limit} away."
        ),
    ),
}
