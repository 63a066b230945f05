"""Why a redesign cannot be: who fights, and how far the figures can go together.

Figures are left out one by one; those that cannot be left out are the ones that fight.
One of them is then asked what it comes to where the others are exact: the end of that
range is the proof, with the limit that lies there.
"""

import math
from collections.abc import Iterator, Mapping
from contextlib import suppress
from itertools import combinations

import numpy as np

from core.bag.bag import Bag
from core.bag.figures import is_cut, is_filled, is_matched, is_taut, is_volume
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.redesign.convex import Product, undominated
from core.redesign.curves import TOLD_ENDS, Range
from core.redesign.feasible import FeasibilitySearch, tolerance
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.linear_model import Constraint, ConstraintKind
from core.redesign.refusal import NOTHING_KEPT, TOLD_DIGITS, IsHad, RangeEnd, refusal
from core.redesign.region import Region
from core.redesign.request import ConflictError, Reach, RedesignRequest, cut_part
from core.redesign.rounded_box import RoundedBox
from core.redesign.variables import chain_figures

_REACHED = 1e-5
"""mm; a limit that is nearer than this is reached."""
_NONE = 1e-7
"""Slopes below this, as a share of the steepest, pull nowhere."""
_SAME = 1e-6
"""mm, or litres: two ends nearer than this are one."""
_NO_NEARER = 1e-4
"""Share of a filled volume by which its end moves when a figure is released that fights."""
_MOST_CORNERS = 6
"""Besides the least of a filled volume, how many other corners are asked."""


def conflict(search: FeasibilitySearch, request: RedesignRequest, is_had: IsHad) -> ConflictError:
    """The refusal of what `search` was asked for and did not find.

    `is_had` is asked of a length below its least alone.
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
            return _refused(names, asked, fighting, ends, request, is_had)
    kept = search.kept(fighting)
    return _refused(names, names[0], fighting, (), request, is_had, kept)


def _bags_at(end: RangeEnd, fighting: Mapping[str, float]) -> tuple[Bag, ...]:
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
    found = []
    for x in places:
        with suppress(FieldError):
            # A corner may lie beyond its limits by what its last digits are worth.
            found.append(end.region.rows.at(np.round(x, TOLD_DIGITS), cut_part(fighting)))
    return tuple(found)


def _filled_conflict(
    search: FeasibilitySearch,
    asked: str,
    ends: tuple[RangeEnd, ...],
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
    return _refused(names, asked, fighting, ends, request, is_had)


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


def _ends(search: FeasibilitySearch, asked: str, rest: Mapping[str, float]) -> tuple[RangeEnd, ...]:
    """The ends of the ranges next to the wanted value, below it and above it."""
    value = search.wanted[asked]
    slack = tolerance(asked, value)
    spans = search.spans(asked, rest)
    found: list[RangeEnd] = []
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


def _end(region: Region, span: Range, *, at_most: bool) -> RangeEnd:
    extent = span.highest if at_most else span.lowest
    value, x = (extent.high, extent.at_high) if at_most else (extent.low, extent.at_low)
    gradient = span.figure.gradient(x) * (1.0 if at_most else -1.0)
    alone = span.highest.high - span.lowest.low <= _SAME
    # Beside a figure that is linear a single volume only asks for its sides.
    volumes = [name for name in region.exact if is_volume(name)]
    is_bent = len(volumes) > 1 or isinstance(span.figure, Product | RoundedBox | PowerLawFigure)
    bent = volumes if is_bent else []
    bent = [*bent, *(name for name in region.exact if is_taut(name))]
    rule = _binding(region, x, gradient, bent)
    told = None if rule is None or rule.kind is ConstraintKind.REACH else rule
    return RangeEnd(value, at_most, alone, told, x, region, span)


def _binding(region: Region, x: Floats, gradient: Floats, bent: list[str]) -> Constraint | None:
    """The limit that keeps a figure from going on along its gradient.

    At the end of a range the gradient is held by what is exact and by limits that are
    reached, each of which only pushes inwards; the one that pushes most is told.
    """
    exact = [row.slope for row in (*region.equal, *region.kept_rows)]
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


def _refused(
    names: tuple[str, ...],
    asked: str,
    fighting: Mapping[str, float],
    ends: tuple[RangeEnd, ...],
    request: RedesignRequest,
    is_had: IsHad,
    kept: Mapping[str, float] = NOTHING_KEPT,
) -> ConflictError:
    for end in ends:
        kept = {**kept, **end.region.kept}
    told = refusal(names, asked, fighting, ends, request, is_had, kept)
    if not ends:
        return ConflictError(told, names=names)
    end = min(ends, key=lambda end: abs(end.value - fighting[asked]))
    bound = Reach(figure=asked, at_most=end.at_most, value=end.value)
    if (rule := end.rule) is not None:
        bound = bound._replace(limit=rule.name)
    return ConflictError(
        told,
        names=names,
        bound=bound,
        ends=_bags_at(end, fighting) if any(map(is_filled, names)) else (),
    )
