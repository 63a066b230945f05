"""Why a redesign cannot be: who fights, and how far the figures can go together.

Figures are left out one by one; those that cannot be left out are the ones that fight.
One of them is then asked what it comes to where the others are exact: the end of that
range is the proof, with the limit that lies there.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import reduce
from itertools import combinations

import numpy as np

from core.bag.bag import Bag
from core.bag.figures import (
    FINISHED,
    figure_of,
    is_cut,
    is_filled,
    is_matched,
    is_taut,
    is_volume,
    label_of,
)
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Last, Listing, Number, Sentence, Template, Term, mark, say
from core.model.figures import Quantity
from core.redesign.convex import Product, undominated
from core.redesign.curves import TOLD_ENDS, Range
from core.redesign.feasible import FeasibilitySearch, tolerance
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.linear_model import Constraint, ConstraintKind
from core.redesign.region import Region
from core.redesign.request import ConflictError, Reach, RedesignRequest
from core.redesign.variables import chain_figures

_REACHED = 1e-5
"""mm; a limit that is nearer than this is reached."""
_NONE = 1e-7
"""Slopes below this, as a share of the steepest, pull nowhere."""
_DIGITS = 6
"""Of a millimetre that are told: a figure at a limit of nothing is nothing, without dust."""
_SAME = 1e-6
"""mm, or litres: two ends nearer than this are one."""
_NO_NEARER = 1e-4
"""Share of a filled volume by which its end moves when a figure is released that fights."""
_MOST_CORNERS = 6
"""Besides the least of a filled volume, how many other corners are asked."""


@dataclass(frozen=True, slots=True)
class _End:
    """Where a range of a figure ends.

    Attributes:
        value: of the figure, mm or litres.
        at_most: whether it is the upper end.
        alone: whether nothing else is in its range.
        rule: the limit that is reached there; None where the other figures alone decide.
        x: where.
        region, span: that it is the end of.
    """

    value: float
    at_most: bool
    alone: bool
    rule: Constraint | None
    x: Floats
    region: Region
    span: Range


IsHad = Callable[[str], bool]
"""Whether a figure can be had as 0."""


def conflict(search: FeasibilitySearch, request: RedesignRequest, is_had: IsHad) -> ConflictError:
    """The refusal of what `search` was asked for and did not find.

    Args:
        search, request: what was asked for.
        is_had: asked of a length below its least alone.
    """
    for name in search.laws:
        rest = {other: value for other, value in search.wanted.items() if other != name}
        if search.can(rest) and (ends := _ends(search, name, rest)):
            return _filled_conflict(search, name, ends, request, is_had)
    fighting = _fighting(search)
    # Corners that part are the last resort.
    names = tuple(sorted(fighting, key=is_matched))
    for asked in _askable(names, request, chain_figures(search.bag)):
        rest = {name: value for name, value in fighting.items() if name != asked}
        ends = _ends(search, asked, rest)
        if ends:
            return _told(names, asked, fighting, ends, request, is_had)
    return _told(names, names[0], fighting, (), request, is_had)


def _bags_at(end: _End, fighting: Mapping[str, float]) -> tuple[Bag, ...]:
    """The bag at an end; where a filled volume is least also those at other corners.

    Other corners may hold less than the law of one bag says of them, unless some corner has
    each size no larger.
    """
    places, figure = [end.x], end.span.figure
    if isinstance(figure, PowerLawFigure) and not end.at_most:
        corners = np.vstack([end.x, *(end.span.cut(place) for place in end.span.places)])
        sides = np.round(figure.sides(corners), 1) * np.where(figure.tilts < 0.0, 1.0, -1.0)
        held = np.array([figure.at(corner) for corner in corners])
        lowest = undominated(sides, -held)
        places += [corners[place] for place in lowest.tolist() if place][:_MOST_CORNERS]
    fixed = {name: value for name, value in fighting.items() if is_cut(name)}
    found = []
    for x in places:
        with suppress(FieldError):
            # A corner may lie beyond its limits by what its last digits are worth.
            found.append(end.region.rows.at(np.round(x, _DIGITS), fixed))
    return tuple(found)


def _filled_conflict(
    search: FeasibilitySearch,
    asked: str,
    ends: tuple[_End, ...],
    request: RedesignRequest,
    is_had: IsHad,
) -> ConflictError:
    """The refusal of a filled volume: with the figures whose release would move its end.

    A law that is right at that end tells little of other ends: only how far they lie off.
    """
    wanted = search.wanted
    nearest = min(ends, key=lambda end: abs(end.value - wanted[asked]))
    sign = 1.0 if nearest.at_most else -1.0
    fighting = {asked: wanted[asked]}
    for name in wanted:
        rest = {other: value for other, value in wanted.items() if other not in (name, asked)}
        if name == asked:
            continue
        moved = [end for end in _ends(search, asked, rest) if end.at_most is nearest.at_most]
        most = max((sign * end.value for end in moved), default=math.inf)
        if most > sign * nearest.value + _NO_NEARER * abs(nearest.value):
            fighting[name] = wanted[name]
    names = tuple(sorted(fighting, key=is_matched))
    return _told(names, asked, fighting, ends, request, is_had)


def _fighting(search: FeasibilitySearch) -> dict[str, float]:
    """The figures that cannot be left out."""
    fighting = dict(search.wanted)
    for name in list(fighting):
        rest = {other: value for other, value in fighting.items() if other != name}
        if not search.can(rest):
            fighting = rest
    return fighting


def _askable(
    names: tuple[str, ...], request: RedesignRequest, chained: frozenset[str]
) -> Iterator[str]:
    """The figures whose range can be told where the others are exact, the likeliest first."""
    volumes = [name for name in names if is_volume(name)]
    drops = [name for name in names if is_taut(name)]
    others = [
        name
        for name in names
        if not is_matched(name) and name not in chained and name not in (*volumes, *drops)
    ]
    others.sort(key=lambda name: (is_cut(name), name not in request.wants))
    if len(volumes) == 1:
        # Where the others leave no such box at all, it is they that can be told.
        yield from (*volumes, *others)
    elif volumes:
        yield from (*(drops if len(drops) == 1 else ()), *others, *reversed(volumes))
    else:
        yield from (*drops, *others)


def _ends(search: FeasibilitySearch, asked: str, rest: Mapping[str, float]) -> tuple[_End, ...]:
    """The ends of the ranges next to the wanted value, below it and above it."""
    value = search.wanted[asked]
    slack = tolerance(asked, value)
    spans = search.spans(asked, rest)
    found: list[_End] = []
    for at_most in (True, False):
        sign = 1.0 if at_most else -1.0
        side = [
            (sign * (span.highest.high if at_most else span.lowest.low), region, span)
            for region, span in spans
            if sign * (span.highest.high if at_most else span.lowest.low) < sign * value
        ]
        if not side:
            continue
        nearest = max(end for end, _, _ in side)
        ends = []
        for end, region, span in side:
            if end == nearest or span.may_hold(sign * nearest):
                span.sharpen(value, TOLD_ENDS)
                ends.append(_end(region, span, at_most=at_most))
        found.append(max(ends, key=lambda end: sign * end.value))
    if any(span.holds(value, slack) for _, span in spans):
        return ()
    return tuple(found)


def _end(region: Region, span: Range, *, at_most: bool) -> _End:
    extent = span.highest if at_most else span.lowest
    value, x = (extent.high, extent.at_high) if at_most else (extent.low, extent.at_low)
    gradient = span.figure.gradient(x) * (1.0 if at_most else -1.0)
    alone = span.highest.high - span.lowest.low <= _SAME
    # Beside a figure that is linear a single volume only asks for its sides.
    volumes = [name for name in region.exact if is_volume(name)]
    is_bent = len(volumes) > 1 or isinstance(span.figure, Product | PowerLawFigure)
    bent = volumes if is_bent else []
    bent = [*bent, *(name for name in region.exact if is_taut(name))]
    rule = _binding(region, x, gradient, bent)
    told = None if rule is None or rule.kind is ConstraintKind.REACH else rule
    return _End(value, at_most, alone, told, x, region, span)


def _binding(region: Region, x: Floats, gradient: Floats, bent: list[str]) -> Constraint | None:
    """The limit that keeps a figure from going on along its gradient.

    At the end of a range the gradient is held by what is exact and by limits that are
    reached, each of which only pushes inwards; the one that pushes most is told.
    """
    exact = [row.slope for row in region.equal]
    exact += [region.figure(name).gradient(x) for name in bent]
    kernel = _kernel(np.array(exact).reshape(-1, len(x)))
    pull = kernel.T @ gradient
    size = float(np.linalg.norm(pull))
    if size <= _NONE * max(float(np.linalg.norm(gradient)), _NONE):
        return None
    reached = [rule for rule in region.rules if rule.room.at(x) - rule.least <= _REACHED]
    pushes = [kernel.T @ rule.room.slope for rule in reached]
    lively = [i for i, push in enumerate(pushes) if np.linalg.norm(push) > _NONE]
    for count in range(1, len(pull) + 1):
        for chosen in combinations(lively, count):
            matrix = np.array([pushes[i] for i in chosen]).T
            weights, *_ = np.linalg.lstsq(matrix, -pull, rcond=None)
            if weights.min() >= 0.0 and np.linalg.norm(matrix @ weights + pull) <= 1e-4 * size:
                sizes = weights * np.linalg.norm(matrix, axis=0)
                return reached[chosen[int(sizes.argmax())]]
    return reached[lively[0]] if lively else None


def _kernel(rows: Floats) -> Floats:
    if not len(rows):
        return np.eye(rows.shape[1])
    _, sizes, right = np.linalg.svd(rows / np.maximum(np.linalg.norm(rows, axis=1), 1e-12)[:, None])
    return np.asarray(right[int(np.sum(sizes > _NONE)) :].T)


# --- In words -----------------------------------------------------------------------------


def _told(
    names: tuple[str, ...],
    asked: str,
    fighting: Mapping[str, float],
    ends: tuple[_End, ...],
    request: RedesignRequest,
    is_had: IsHad,
) -> ConflictError:
    others = [(name, fighting[name]) for name in names if name != asked]
    if ends:
        nothing = is_had(asked) if _may_be_nothing(asked, ends, fighting[asked]) else False
        told = [_head(asked, ends, others, or_nothing=nothing), *_reason(asked, ends)]
    else:
        template = _TOGETHER if others else _ALONE
        told = [say(template, terms={"figures": _named(names, Last.COMMA)})]
    told += _remedy(names, request)
    nearest = min(ends, key=lambda end: abs(end.value - fighting[asked]), default=None)
    bound = None if nearest is None else _bound(asked, nearest)
    decided = any(is_filled(name) for name in names)
    return ConflictError(
        reduce(lambda first, then: say(_THEN, terms={"first": first, "then": then}), told),
        names=names,
        bound=bound,
        ends=() if nearest is None or not decided else _bags_at(nearest, fighting),
    )


def _bound(asked: str, end: _End) -> Reach:
    rule = end.rule
    return Reach(
        figure=asked,
        at_most=end.at_most,
        value=end.value,
        limit=None if rule is None else rule.name,
        limit_value=None if rule is None else rule.bound.at(end.x),
    )


def _may_be_nothing(asked: str, ends: tuple[_End, ...], value: float) -> bool:
    """Whether a length below its least might be had as 0, which lies in no range above it.

    A bag without corner cuts has no gusset at all: one of 0 is had, one just above it is not.
    """
    (end, *more) = ends
    if more or end.at_most or end.alone or is_volume(asked) or is_cut(asked):
        return False
    return 0.0 < value < end.value


def _head(
    asked: str, ends: tuple[_End, ...], others: list[tuple[str, float]], *, or_nothing: bool
) -> Sentence:
    """The ends of a figure's range, where the others are exact."""
    gaps = _Gaps()
    gaps.terms["figure"] = label_of(asked)
    only = all(end.alone for end in ends)
    for end in ends:
        gap = "most" if end.at_most else "least"
        gaps.size(gap, asked, end.value, at_most=None if only else end.at_most)
    which = "both" if len(ends) > 1 else "most" if ends[0].at_most else "least"
    alone, beside = (_ONLY if only else _RANGES)["nothing" if or_nothing else which]
    if others:
        gaps.terms["others"] = Listing([_beside(name, value) for name, value in others])
    return gaps.said(beside if others else alone)


def _reason(asked: str, ends: tuple[_End, ...]) -> Iterator[Sentence]:
    """The limit that is reached there, unless that was said already."""
    rule = ends[0].rule
    if len(ends) != 1 or rule is None:
        return
    if rule.name == asked and rule.kind is ConstraintKind.PLAIN:
        return
    x = ends[0].x
    limit = say(rule.rule, limit=rule.bound.at(x))
    if rule.name == asked:
        yield say(_ITS_LIMIT, terms={"rule": limit})
        return
    gaps = _Gaps()
    gaps.terms |= {"figure": label_of(rule.name), "rule": limit}
    gaps.size("value", rule.name, round(rule.value.at(x), _DIGITS) + 0.0)
    yield gaps.said(_THERE)


def _remedy(names: tuple[str, ...], request: RedesignRequest) -> Iterator[Sentence]:
    """What to do about it."""
    pinned = tuple(name for name in names if name not in request.wants)
    if len(names) == 1:
        return
    asked = _named(tuple(name for name in names if name not in pinned), Last.OR)
    if not pinned:
        yield say(_ASK, terms={"figures": asked})
    elif all(map(is_matched, pinned)):
        yield say(_ASK_OR_RELEASE, terms={"figures": asked, "pinned": _named(pinned, Last.COMMA)})
    else:
        release = _RELEASE_ONE_OF if len(pinned) > 1 else _RELEASE
        yield say(release, terms={"pinned": _named(pinned, Last.COMMA)})


def _named(names: tuple[str, ...], last: Last) -> Listing:
    """Figures by their labels, in quotes, for a label may have a comma of its own."""
    quoted = [_matched(name) or say(_QUOTED, terms={"figure": label_of(name)}) for name in names]
    return Listing(quoted, last)


def _beside(name: str, value: float) -> Term:
    """A figure with what it is to be."""
    if value == 0.0 and (matched := _matched(name)):
        return matched
    gaps = _Gaps()
    gaps.terms["figure"] = label_of(name)
    gaps.size("size", name, value)
    return gaps.said(_AT)


def _matched(name: str) -> Template:
    """What a mismatch of nothing is called; empty for any other figure."""
    return FINISHED[name].matched if is_matched(name) else NO_TEXT


class _Gaps:
    """Gathers the gaps of one sentence."""

    def __init__(self) -> None:
        self.lengths: dict[str, float] = {}
        self.numbers: dict[str, Number | int] = {}
        self.terms: dict[str, Term] = {}

    def size(self, gap: str, name: str, value: float, *, at_most: bool | None = None) -> None:
        """A length is shown in the reader's unit; litres are cut off on the safe side."""
        if is_volume(name):
            hundredths = value * 100.0
            if at_most is not None:
                hundredths = math.floor(hundredths) if at_most else math.ceil(hundredths)
            litres = Number(hundredths / 100.0, places=2)
            self.terms[gap] = say(_LITRES, numbers={"litres": litres})
        elif figure_of(name).quantity is Quantity.COUNT:
            self.numbers[gap] = Number(value)
        else:
            self.lengths[gap] = value

    def said(self, template: Template) -> Sentence:
        """The sentence."""
        return Sentence(template, self.lengths, numbers=self.numbers, terms=self.terms)


_THEN = mark("{first} {then}")
_QUOTED, _AT, _LITRES = mark("“{figure}”"), mark("“{figure}” at {size}"), mark("{litres} L")
_RANGES = {
    "most": (
        mark("“{figure}” can be at most {most}."),
        mark("“{figure}” can be at most {most} with {others}."),
    ),
    "least": (
        mark("“{figure}” must be at least {least}."),
        mark("“{figure}” must be at least {least} with {others}."),
    ),
    "nothing": (
        mark("“{figure}” must be 0 or at least {least}."),
        mark("“{figure}” must be 0 or at least {least} with {others}."),
    ),
    "both": (
        mark("“{figure}” must be at most {most} or at least {least}."),
        mark("“{figure}” must be at most {most} or at least {least} with {others}."),
    ),
}
_ONLY = {
    "most": (
        mark("“{figure}” can only be {most}."),
        mark("“{figure}” can only be {most} with {others}."),
    ),
    "least": (
        mark("“{figure}” can only be {least}."),
        mark("“{figure}” can only be {least} with {others}."),
    ),
    "both": (
        mark("“{figure}” can only be {most} or {least}."),
        mark("“{figure}” can only be {most} or {least} with {others}."),
    ),
}
"""Ends of a range -> what is told of them where nothing else is exact, and beside others."""
_ITS_LIMIT = mark("That is its own limit: {rule}")
_THERE = mark("“{figure}” is then {value}, and {rule}")
_ASK = mark("Ask for another {figures}.")
_ASK_OR_RELEASE = mark("Ask for another {figures}, or release {pinned}.")
_RELEASE, _RELEASE_ONE_OF = mark("Release {pinned}."), mark("Release one of {pinned}.")
_ALONE = mark(
    "{figures} is not possible: no pattern of this construction, within its limits, has it."
)
_TOGETHER = mark("These are not possible together: {figures}.")
