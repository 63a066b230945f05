"""What the handles' stitching makes of a pocket: its compartments. Lengths are mm."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import ClassVar, NamedTuple

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import FACES, Face
from core.model.figures import FinishedFigure, Limit
from core.model.findings import Finding, Fix, Severity
from core.parts.handles.figures import HandleStyle
from core.parts.handles.findings import ends_well, highest_stop
from core.parts.handles.handles import Handles
from core.parts.part import Pair, Part
from core.parts.pocket.pocket import Pocket
from core.site.site import Finished, Site

OPEN = MM_PER_INCH / 16
"""A lesser way between two compartments is none that a ruler shows (own choice)."""

SIDE, MIDDLE = "pocket_side_compartment", "pocket_middle_compartment"

COMPARTMENT_FIGURES = (
    FinishedFigure(
        name=SIDE,
        label=mark("Side compartments"),
        part="pocket",
        published=False,
        help=mark("Width of the pocket's outer compartments, between its side and the handle leg."),
        wanted=False,
        parts=("handles",),
    ),
    FinishedFigure(
        name=MIDDLE,
        label=mark("Middle compartment"),
        part="pocket",
        published=False,
        help=mark("Width of the pocket's middle compartment, between the two handle legs."),
        wanted=False,
        parts=("handles",),
    ),
)
_COMPARTMENTS = frozenset({SIDE, MIDDLE})


class Division(NamedTuple):
    """How the stitching of the legs crosses the pocket of one face.

    Attributes:
        face: that carries the pocket.
        above: from the pocket's upper edge down to the stop; 0 where the stop lies higher.
        below: from the legs' lower ends down to the pocket's lower edge; 0 where they reach it.
    """

    face: Face
    above: float
    below: float

    @property
    def holds(self) -> bool:
        """Whether there are compartments at all: what is put in lies on the lower edge."""
        return self.below <= 0.0


def divisions(pocket: Pocket | None, handles: Handles | None, site: Site) -> tuple[Division, ...]:
    """Each pocket that the legs' stitching crosses, front first."""
    if pocket is None or handles is None:
        return ()
    if not shorter(handles.gap, site.front.width - 2 * site.front.side_allowance):
        return ()  # the legs lie outside the side seams
    found = []
    for face in pocket.faces.faces:
        upper, lower, stop = pocket.drop, pocket.drop + pocket.height, handles.stop_on(face)
        end = stop + handles.sewn_leg(site, face)
        if not shorter(stop, lower) or not shorter(upper, end):
            continue
        above = stop - upper if shorter(upper, stop) else 0.0
        # The stitching of a loop goes on under the bottom: it has no lower end.
        looped = handles.style is HandleStyle.LOOP
        below = lower - end if not looped and shorter(end, lower) else 0.0
        found.append(Division(face, above, below))
    return tuple(found)


def compartments(pocket: Pocket | None, handles: Handles | None, site: Site) -> Finished:
    """Widths of the compartments by figure; None for those that do not exist."""
    divided = any(each.holds for each in divisions(pocket, handles, site))
    if handles is None or not divided:
        return {SIDE: None, MIDDLE: None}
    side = (site.front.width - handles.span) / 2 - site.front.side_allowance
    return {
        SIDE: side if shorter(0.0, side) else None,
        MIDDLE: handles.gap if shorter(0.0, handles.gap) else None,
    }


def compartment_limits(
    pocket: Pocket | None, handles: Handles | None, site: Site
) -> tuple[Limit, ...]:
    """What a bag keeps to that has compartments, on the first face that carries a pocket."""
    if pocket is None or handles is None:
        return ()
    face = pocket.faces.faces[0]
    lower, further = pocket.drop + pocket.height, handles.stop_on(face) - handles.stop
    end = handles.stop_on(face) + handles.sewn_leg(site, face)
    between = site.front.width - 2 * (site.front.side_allowance + handles.width)
    limits = [
        _needed("handle_gap", handles.gap, between, _BETWEEN_SEAMS),
        _needed("handle_stop", handles.stop, lower - further, _ABOVE_POCKETS_END),
        _needed("pocket_drop", pocket.drop, end, _ABOVE_LEGS_END),
    ]
    if handles.style is not HandleStyle.LOOP:
        limits.append(_needed("pocket_drop", lower, end, _ABOVE_LEGS_END, reachable=True))
    return tuple(limits)


def _needed(
    name: str, value: float, bound: float, rule: Template, *, reachable: bool = False
) -> Limit:
    figure = next(each for each in (*Handles.FIGURES, *Pocket.FIGURES) if each.name == name)
    return Limit(figure, value, bound, rule, reachable=reachable, only_for=_COMPARTMENTS)


class Compartments(Pair):
    """What the legs of handles make of a pocket."""

    SLOTS: ClassVar[tuple[str, str]] = (Pocket.SLOT, Handles.SLOT)
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = COMPARTMENT_FIGURES

    @classmethod
    def limits(cls, parts: Mapping[str, Part], site: Site) -> tuple[Limit, ...]:
        """What a bag keeps to that has compartments."""
        return compartment_limits(Pocket.of(parts), Handles.of(parts), site)

    @classmethod
    def finished(cls, parts: Mapping[str, Part], site: Site) -> Finished:
        """Widths of the compartments, mm."""
        return compartments(Pocket.of(parts), Handles.of(parts), site)

    @classmethod
    def findings(
        cls, parts: Mapping[str, Part], site: Site, finished: Finished
    ) -> tuple[Finding, ...]:
        """Whether a hand gets in, and nothing slips through."""
        return compartment_findings(Pocket.of(parts), Handles.of(parts), site, finished)


_BETWEEN_SEAMS = mark("it must leave both legs between the sides of the face, within {limit}.")
_ABOVE_POCKETS_END = mark("it must end above the pocket's lower edge, within {limit}.")
_ABOVE_LEGS_END = mark("it must keep the pocket above the legs' lower end, within {limit}.")


def compartment_findings(
    pocket: Pocket | None, handles: Handles | None, site: Site, finished: Finished
) -> tuple[Finding, ...]:
    """Whether compartments are closed from edge to edge, and wide enough for a hand."""
    if pocket is None or handles is None:
        return ()
    divided = divisions(pocket, handles, site)
    found: list[Finding] = []
    if divided:
        worst = max(divided, key=lambda each: (each.below, each.above))
        found += _open_below(pocket, handles, site, finished, worst)
        found += _open_above(pocket, handles, site, finished, worst)
    else:
        found += _not_divided(pocket, handles, site, finished)
    return (*found, *_narrow(handles, site, finished))


def _open_above(
    pocket: Pocket, handles: Handles, site: Site, finished: Finished, division: Division
) -> Iterator[Finding]:
    if not shorter(OPEN, division.above):
        return
    level = _level_stop(pocket, handles, division.face)
    yield Finding(
        code="pocket-open-above-stop",
        severity=Severity.NOTE,
        figure="handle_stop",
        value=handles.stop,
        limit=level if level >= 0.0 else None,
        message=say(_OPEN_ABOVE[division.face], value=division.above),
        fixes=tuple(_closed_above(pocket, handles, site, finished, division.face)),
    )


def _not_divided(
    pocket: Pocket, handles: Handles, site: Site, finished: Finished
) -> Iterator[Finding]:
    """Legs that begin below the pocket, whose loose handles hang over it.

    Legs that end above the pocket leave it whole too, but there nobody looks for compartments.
    """
    lower, face = pocket.drop + pocket.height, pocket.faces.faces[0]
    off = not shorter(handles.gap, site.front.width - 2 * site.front.side_allowance)
    if off or shorter(handles.stop_on(face), lower):
        return
    below = handles.stop_on(face) - lower
    told = Sentence(_UNDIVIDED, {"value": below}) if shorter(0.0, below) else Sentence(_AT_ITS_EDGE)
    limit = _level_stop(pocket, handles, face) + pocket.height
    yield Finding(
        code="pocket-not-divided",
        severity=Severity.NOTE,
        figure="handle_stop",
        value=handles.stop,
        limit=limit if limit >= 0.0 else None,
        message=told,
        fixes=tuple(_closed_above(pocket, handles, site, finished, face)),
    )


def _level_stop(pocket: Pocket, handles: Handles, face: Face) -> float:
    """The handle stop with which the stitching on a face ends level with its pocket, mm."""
    return pocket.drop - (handles.stop_on(face) - handles.stop)


def _closed_above(
    pocket: Pocket, handles: Handles, site: Site, finished: Finished, face: Face
) -> Iterator[Fix]:
    """The stitching on a face as far up as its pocket; or the pocket as far down as that."""
    leg, stop = handles.leg, _level_stop(pocket, handles, face)
    if handles.style is HandleStyle.SEPARATE:
        # Its lower end stays where it is; legs below the pocket move up onto it.
        crosses = shorter(handles.stop, stop + pocket.height)
        leg = leg + handles.stop - stop if crosses else max(leg, pocket.height)
    clear = not shorter(stop, highest_stop(site))
    if clear and ends_well(replace(handles, stop=stop, leg=leg), handles, site, finished):
        changes: tuple[tuple[str, float], ...] = (("handle_stop", stop),)
        if leg != handles.leg:
            changes += (("handle_leg", leg),)
        label = say("End the stitching {value} below the edge", value=stop)
        yield Fix(label, changes)
    faces = pocket.faces.faces
    drop = max(handles.stop_on(each) for each in faces)
    in_reach = handles.style is HandleStyle.LOOP or not any(
        shorter(handles.reach(each), drop + pocket.height) for each in faces
    )
    lowest = min(site.seats[each].top for each in faces) - drop - pocket.height
    if in_reach and not shorter(lowest, site.front.low):
        label = say("Set the pocket drop to {value}", value=drop)
        yield Fix(label, (("pocket_drop", drop),))


def _open_below(
    pocket: Pocket, handles: Handles, site: Site, finished: Finished, division: Division
) -> Iterator[Finding]:
    if division.holds:
        return
    leg = pocket.drop + pocket.height - handles.stop_on(division.face)
    fixes: tuple[Fix, ...] = ()
    room = min(site.seats[face].top - handles.stop_on(face) for face in FACES)
    if not shorter(room, leg) and ends_well(replace(handles, leg=leg), handles, site, finished):
        label = say("Sew down {value} of each leg", value=leg)
        fixes = (Fix(label, (("handle_leg", leg),)),)
    yield Finding(
        code="pocket-open-below-legs",
        severity=Severity.NOTE,
        figure="handle_leg",
        value=handles.leg,
        limit=leg,
        message=say(_OPEN_BELOW[division.face], value=division.below),
        fixes=fixes,
    )


def _narrow(handles: Handles, site: Site, finished: Finished) -> Iterator[Finding]:
    widths = {name: finished[name] for name in (SIDE, MIDDLE)}
    there = {name: width for name, width in widths.items() if width is not None}
    if not there:
        return
    name = min(there, key=lambda each: there[each])
    if not shorter(there[name], site.hand):
        return
    # Both side compartments give way together for the one in the middle.
    room = site.front.width - 2 * site.front.side_allowance - 2 * handles.width
    gap = site.hand if name == MIDDLE else room - 2 * site.hand
    other = (room - gap) / 2 if name == MIDDLE else gap
    fixes: tuple[Fix, ...] = ()
    wider = replace(handles, gap=max(gap, 0.0))
    if not shorter(other, site.hand) and ends_well(wider, handles, site, finished):
        label = say("Make the handle gap {value}", value=gap)
        fixes = (Fix(label, (("handle_gap", gap),)),)
    yield Finding(
        code="pocket-compartment-narrow",
        severity=Severity.NOTE,
        figure=name,
        value=there[name],
        limit=site.hand,
        message=Sentence(
            _NARROW_MIDDLE if name == MIDDLE else _NARROW_SIDE,
            {"value": there[name], "limit": site.hand},
        ),
        fixes=fixes,
    )


_OPEN_ABOVE = {
    Face.FRONT: mark(
        "The handles' stitching ends {value} below the upper edge of the front pocket: above "
        "the stop the compartments are open to each other, and small things can slide across."
    ),
    Face.BACK: mark(
        "The handles' stitching ends {value} below the upper edge of the back pocket: above "
        "the stop the compartments are open to each other, and small things can slide across."
    ),
}
_UNDIVIDED = mark(
    "The handle legs begin {value} below the pocket: no stitching divides it, and the loose "
    "handles hang over it."
)
_AT_ITS_EDGE = mark(
    "The handle legs begin at the pocket's lower edge: no stitching divides it, and the loose "
    "handles hang over it."
)
_OPEN_BELOW = {
    Face.FRONT: mark(
        "The handle legs end {value} above the lower edge of the front pocket: below them it "
        "is open from side to side, and there are no compartments."
    ),
    Face.BACK: mark(
        "The handle legs end {value} above the lower edge of the back pocket: below them it "
        "is open from side to side, and there are no compartments."
    ),
}
_NARROW_SIDE = mark(
    "The pocket's side compartments, between its side and the handle leg, are {value} wide: a "
    "hand needs {limit}."
)
_NARROW_MIDDLE = mark(
    "The pocket's middle compartment, between the handle legs, is {value} wide: a hand needs "
    "{limit}."
)
