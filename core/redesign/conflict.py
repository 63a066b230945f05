"""Why a redesign cannot be: who fights, and how far the figures can go together.

Figures are left out one by one; those that cannot be left out are the ones that fight.
One of them is then asked what it comes to where the others are exact: the end of that
range is the proof, with the limit that lies there.
"""

import math
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
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
from core.base.arrays import Vector
from core.base.errors import FieldError
from core.base.sentences import Sentence, listed
from core.model.figures import Quantity
from core.redesign.convex import Product, undominated
from core.redesign.curves import TOLD_ENDS, Range
from core.redesign.feasible import FeasibilitySearch, tolerance
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.linear_model import AT_LEAST, AT_MOST, UNTOLD, Constraint
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
    x: Vector
    region: Region
    span: Range


def conflict(search: FeasibilitySearch, request: RedesignRequest) -> ConflictError:
    """The refusal of what `search` was asked for and did not find."""
    for name in search.laws:
        rest = {other: value for other, value in search.wanted.items() if other != name}
        if search.can(rest) and (ends := _ends(search, name, rest)):
            return _filled_conflict(search, name, ends, request)
    fighting = _fighting(search)
    # Corners that part are the last resort.
    names = tuple(sorted(fighting, key=is_matched))
    for asked in _askable(names, request, chain_figures(search.bag)):
        rest = {name: value for name, value in fighting.items() if name != asked}
        ends = _ends(search, asked, rest)
        if ends:
            return _told(names, asked, fighting, ends, request)
    return _told(names, names[0], fighting, (), request)


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
    search: FeasibilitySearch, asked: str, ends: tuple[_End, ...], request: RedesignRequest
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
    return _told(names, asked, fighting, ends, request)


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
    told = None if rule is None or rule.name == UNTOLD else rule
    return _End(value, at_most, alone, told, x, region, span)


def _binding(region: Region, x: Vector, gradient: Vector, bent: list[str]) -> Constraint | None:
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


def _kernel(rows: Vector) -> Vector:
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
) -> ConflictError:
    told = _Words()
    others = [name for name in names if name != asked]
    if not ends:
        template = (_TOGETHER if others else _ALONE).replace("{figures}", told.named(names))
    else:
        template = told.ends(asked, ends, [(name, fighting[name]) for name in others])
    template += _remedy(names, request, told)
    nearest = min(ends, key=lambda end: abs(end.value - fighting[asked]), default=None)
    bound = None if nearest is None else _bound(asked, nearest)
    decided = any(is_filled(name) for name in names)
    return ConflictError(
        Sentence(template, told.lengths, told.words),
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


def _remedy(names: tuple[str, ...], request: RedesignRequest, told: "_Words") -> str:
    """What to do about it."""
    pinned = tuple(name for name in names if name not in request.wants)
    if len(names) == 1:
        return "."
    if not pinned:
        return f"; ask for another {told.named(names, 'or')}."
    if all(map(is_matched, pinned)):
        wanted = told.named(tuple(name for name in names if name not in pinned), "or")
        return f"; ask for another {wanted}, or release {told.named(pinned)}."
    return f"; release {'one of ' if len(pinned) > 1 else ''}{told.named(pinned)}."


class _Words:
    """Gathers the gaps of one sentence."""

    def __init__(self) -> None:
        self.lengths: dict[str, float] = {}
        self.words: dict[str, str] = {}

    def ends(self, asked: str, ends: tuple[_End, ...], others: list[tuple[str, float]]) -> str:
        """The template that tells the ends of a figure's range, where the others are exact."""
        parts = []
        only = all(end.alone for end in ends)
        for end in ends:
            gap = "most" if end.at_most else "least"
            parts.append(f"{{{gap}}}" if only else f"at {gap} {{{gap}}}")
            self._size(gap, asked, end.value, at_most=None if only else end.at_most)
        may = "can only be" if only else "can be" if ends[-1].at_most else "must be"
        template = f"{self._quoted(asked)} {may} {' or '.join(parts)}"
        if others:
            template += " with " + self._listed(others)
        return template + self._reason(asked, ends)

    def named(self, names: tuple[str, ...], last: str = "") -> str:
        """Figures by their labels, in quotes, for a label may have a comma of its own.

        Args:
            names: of the figures.
            last: the word before the last of several; none: a comma as before the others.
        """
        told = [self._matched(name) or self._quoted(name) for name in names]
        return listed(told, last) if last else ", ".join(told)

    @staticmethod
    def _matched(name: str) -> str:
        """What a mismatch of nothing is called; empty for any other figure."""
        return FINISHED[name].matched if is_matched(name) else ""

    def _quoted(self, name: str) -> str:
        self.words[name] = label_of(name)
        return f"“{{{name}}}”"

    def _reason(self, asked: str, ends: tuple[_End, ...]) -> str:
        rule = ends[0].rule
        if len(ends) != 1 or rule is None:
            return ""
        if rule.name == asked and rule.rule in (AT_LEAST, AT_MOST):
            return ""  # which is what was said already
        x = ends[0].x
        self.lengths["limit"] = rule.bound.at(x)
        sentence = rule.rule.rstrip(".")
        if rule.name == asked:
            return ": " + sentence
        self._size("then", rule.name, round(rule.value.at(x), _DIGITS) + 0.0)
        return f": {self._quoted(rule.name)} is then {{then}}, and {sentence}"

    def _listed(self, others: list[tuple[str, float]]) -> str:
        parts = []
        for place, (name, value) in enumerate(others):
            if value == 0.0 and (matched := self._matched(name)):
                parts.append(matched)
                continue
            self._size(f"size{place}", name, value)
            parts.append(f"{self._quoted(name)} at {{size{place}}}")
        return listed(parts)

    def _size(self, gap: str, name: str, value: float, *, at_most: bool | None = None) -> None:
        """A length is shown in the reader's unit; litres are cut off on the safe side."""
        if is_volume(name):
            hundredths = value * 100.0
            if at_most is not None:
                hundredths = math.floor(hundredths) if at_most else math.ceil(hundredths)
            self.words[gap] = f"{hundredths / 100.0:.2f} L"
        elif figure_of(name).quantity is Quantity.COUNT:
            self.words[gap] = f"{value:g}"
        else:
            self.lengths[gap] = value


_ALONE = "{figures} is not possible: no pattern of this construction, within its limits, has it"
_TOGETHER = "These are not possible together: {figures}"
