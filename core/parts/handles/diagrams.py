"""Drawings of handles by themselves: strips, tape, loop, and what of them stays loose. mm."""

import math
from collections.abc import Iterable

from core.base.sentences import typed
from core.flat.ink import Ink
from core.flat.piece import Piece, Point, point_between
from core.flat.roles import Face
from core.parts.handles.figures import JOIN_SEAM, HandleStyle
from core.parts.handles.handles import Handles
from core.parts.handles.joins import best_joins
from core.site.site import Site
from core.work.operation import Measure
from core.work.scene import (
    WIDE,
    Diagram,
    DiagramArea,
    DiagramItem,
    DiagramLine,
    DiagramNote,
    Placed,
)

_NEAR = 0.12
"""A tape's stitching is drawn so far from its edge, as a share of its width."""
_STRIP_SHOWN = 6.0
"""A strip is shown at most so many times as long as it is wide."""


def strips_diagram(
    strip: Piece,
    *,
    count: int,
    told: tuple[str, float],
    short: float | None = None,
    joins: tuple[float, ...] = (),
) -> Diagram:
    """Strips that are cut, or with their joins, which are shares of the length; a torn end goes on.

    Args:
        strip: whose length, width and folds they have.
        count: how many there are of it.
        told: name of the measure along it, and how long that is, mm.
        short: length of the one that is shorter than the others, mm; None where there is none.
        joins: where they are new; none while the strips are cut.
    """
    length, width = strip.width, strip.height
    shown = min(length, _STRIP_SHOWN * width)
    outline: tuple[Point, ...] = ((0.0, 0.0), (shown, 0.0), (shown, width), (0.0, width))
    outline = _torn(shown, width) if length > shown else outline
    drawn: list[DiagramItem] = [DiagramArea(Ink.PART if joins else Ink.NEW_AREA, outline)]
    drawn += (DiagramLine(Ink.FOLD, ((0.0, each.y), (shown, each.y))) for each in strip.folds)
    drawn += (DiagramLine(Ink.NEW, ((shown * x, 0.0), (shown * x, width))) for x in joins)
    across = Placed("cut_width", width, (0.0, 0.0), (0.0, width))
    if joins:
        across = Placed("join_seam", JOIN_SEAM, (shown * joins[0], width / 2))
    placed = [across, Placed(*told, (0.0, width), (shown, width))]
    if short is not None:
        # One more strip below the others, as far from them as it is wide.
        low, end = -1.6 * width, shown * min(max(short / length, 0.25), 0.9)
        corners = ((0.0, low), (end, low), (end, low + width), (0.0, low + width))
        drawn.append(DiagramArea(Ink.NEW_AREA, corners))
        placed.append(Placed("handle_last_strip", short, (0.0, low), (end, low)))
    if count > 1:
        drawn.append(DiagramNote(typed(f"× {count}"), (shown, width / 2), (5.0, 0.0)))
    return Diagram(
        bounds=(0.0, 0.0, shown, width),
        paper=(WIDE[0], 12.0),
        drawn=tuple(drawn),
        placed=tuple(placed),
    )


def loop_diagram(length: float, joins: Iterable[float]) -> Diagram:
    """The loop as a closed band, with its joins at these shares of its length."""
    wide, high, band = 46.0, 22.0, 2.4
    outer, inner = _stadium(wide, high, 0.0), _stadium(wide, high, band)
    places = [round(share * len(outer)) % len(outer) for share in joins]
    seams = (DiagramLine(Ink.NEW, (outer[each], inner[each])) for each in places)
    first = point_between(outer[places[0]], inner[places[0]], 0.5)
    return Diagram(
        bounds=(0.0, 0.0, wide, high),
        paper=(wide, high),
        drawn=(DiagramArea(Ink.PART, outer), DiagramArea(Ink.GOODS, inner), *seams),
        placed=(
            Placed("join_seam", JOIN_SEAM, first),
            Placed("handle_loop", length, outer[len(outer) // 4]),
        ),
    )


def tape_diagram(handles: Handles, measures: Iterable[Measure], *, folded: bool) -> Diagram:
    """A strip's end: its edges turned in; or folded in half, with stitching at each edge."""
    wide = 2 * handles.width
    turned = (handles.strip_width - wide) / 2
    step, base, half = wide * 0.07, wide * 0.3, wide / 2
    flaps = Ink.CUT if folded else Ink.NEW
    drawn = [DiagramLine(Ink.CUT, ((0.0, base), (wide, base)))]
    for x, way in ((0.0, 1.0), (wide, -1.0)):
        curve = ((x, base), (x - way * step / 3, base + step / 2), (x, base + step))
        drawn.append(DiagramLine(flaps, (*curve, (x + way * turned, base + step))))
    if folded:
        drawn += _four_layers(half, step)
    high = base + step
    ends: dict[str, tuple[Point, Point | None]] = {
        "cut_width": ((0.0, base), (wide, base)),
        "tape_width": ((0.0, base), (wide, base)),
        "turned_in": ((0.0, high), (turned, high)),
        "apart": ((turned, high), (wide - turned, high)),
        # The end of a separate handle, which lies behind what is drawn.
        "join_seam": ((wide, base + step / 2), None),
        "handle_width": ((0.0, -2 * step), (half, -2 * step)),
        "edge_distance": ((half * (1.0 - _NEAR), -step), (half, -step)),
    }
    return Diagram(
        bounds=(0.0, 0.0, wide, wide * 0.5),
        paper=(44.0, 22.0),
        most=2.0,
        drawn=tuple(drawn),
        placed=tuple(Placed(each.name, each.length, *ends[each.name]) for each in measures),
    )


def _four_layers(half: float, step: float) -> list[DiagramLine]:
    """With a needle's line near either edge."""
    low = -step
    high = low + 3 * step * 0.8
    levels = [low + layer * step * 0.8 for layer in range(4)]
    near = half * _NEAR
    return [
        *(DiagramLine(Ink.CUT, ((0.0, y), (half, y))) for y in levels),
        *(DiagramLine(Ink.CUT, ((x, low), (x, high))) for x in (0.0, half)),
        *(DiagramLine(Ink.NEW, ((x, low - step), (x, high + step))) for x in (near, half - near)),
    ]


def halfway_diagram(half: float, from_join: float | None) -> Diagram:
    """The loop by itself, at its printed size: its halfway points, and how they are found."""
    wide, high, off = 10.0, 20.0, 1.6
    # The ring standing up, from the middle of its right side round its upper end.
    outer, inner, around = (
        tuple((wide - y, x) for x, y in _stadium(high, wide, inset)) for inset in (0.0, 2.0, -off)
    )
    # By quarters from its right side: the upper end, the left side, the lower end.
    upper, lower = len(outer) // 4, 3 * len(outer) // 4
    drawn: list[DiagramItem] = [DiagramArea(Ink.PART, outer), DiagramArea(Ink.GOODS, inner)]
    drawn += (DiagramLine(Ink.NEW, (outer[end], inner[end])) for end in (upper, lower))
    drawn.append(DiagramLine(Ink.DIMENSION, (*around[lower:], *around[: upper + 1])))
    placed = [Placed("half_loop", half, around[0])]
    if from_join is not None:
        join = lower + len(outer) // 12
        drawn.append(DiagramLine(Ink.CUT, (outer[join], inner[join])))
        near = tuple((x + off, y - off) for x, y in around[lower : join + 1])
        drawn.append(DiagramLine(Ink.DIMENSION, near))
        placed.append(Placed("join_to_bottom", from_join, near[len(near) // 2]))
    return Diagram(
        bounds=(0.0, 0.0, wide, high), paper=(wide, high), drawn=tuple(drawn), placed=tuple(placed)
    )


def loose_arches(
    handles: Handles, site: Site, free: dict[Face, tuple[str, float]], turned_in: float
) -> tuple[tuple[DiagramArea, ...], tuple[Placed, ...]]:
    """What of the handles stays loose, as an arch beyond each top edge.

    Args:
        handles, site: of what.
        free: face -> name and length, mm, of the measure that is told there.
        turned_in: how much of the cut top edge is not there any more, mm.
    """
    legs = tuple(handles.laid_legs(site).values())
    if len(legs) < 2:
        return (), ()
    areas: list[DiagramArea] = []
    placed: list[Placed] = []
    for face, (name, length) in free.items():
        seat, top = site.seats[face], site.seats[face].top - turned_in
        stop = max(handles.leg_ends(site, face)[1], 0.0)
        band = _arch(legs[0], legs[1], stop, top + 0.5 * handles.width)
        areas.append(DiagramArea(Ink.PART, tuple(seat.point(x, y) for x, y in band)))
        at = seat.point(sum(legs[1]) / 2, top + handles.width)
        placed.append(Placed(name, length, at))
    return tuple(areas), tuple(placed)


def join_shares(handles: Handles, site: Site) -> tuple[float, ...]:
    """Where joins lie, as shares of a loop or of one separate handle."""
    joins = best_joins(handles, site)
    if joins is not None:
        return tuple(place / joins.course.length for place in joins.places)
    strips = [cut - 2 * JOIN_SEAM for cut in handles.strip_lengths(site)]
    first = 0 if handles.style is HandleStyle.LOOP else 1
    return tuple(
        math.fsum(strips[:number]) / math.fsum(strips) for number in range(first, len(strips))
    )


def _torn(wide: float, high: float) -> tuple[Point, ...]:
    """A strip whose right end is torn off: it goes on."""
    jag = high * 0.12
    right = [(wide + (jag if i % 2 else -jag), high * i / 6) for i in range(7)]
    return ((0.0, 0.0), *right, (0.0, high))


def _stadium(wide: float, high: float, inset: float) -> tuple[Point, ...]:
    """A long ring's outline from the middle of its foot round its right end, evenly by angle."""
    radius = high / 2 - inset
    half = wide / 2 - high / 2
    points: list[Point] = []
    for centre, start in ((wide / 2 + half, -90.0), (wide / 2 - half, 90.0)):
        for step in range(19):
            turn = math.radians(start + step * 10.0)
            points.append((centre + radius * math.cos(turn), high / 2 + radius * math.sin(turn)))
    return tuple(points)


def _arch(
    one: tuple[float, float], other: tuple[float, float], stop: float, spring: float
) -> list[Point]:
    """A handle standing up from its stops, a leg at either end and a half ring over them."""
    middle = (one[0] + other[1]) / 2
    points: list[Point] = [(other[1], stop)]
    for radius, ways in ((other[1] - middle, range(19)), (other[0] - middle, range(18, -1, -1))):
        for step in ways:
            turn = math.radians(step * 10.0)
            points.append((middle + radius * math.cos(turn), spring + radius * math.sin(turn)))
        if radius == other[1] - middle:
            points += [(one[0], stop), (one[1], stop)]
    return [*points, (other[0], stop)]
