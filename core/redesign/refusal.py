"""How a redesign is refused in words: how far a figure can go, the limit there, what would help."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from types import MappingProxyType

import numpy as np

from core.bag.figures import FINISHED, figure_of, is_cut, is_matched, is_volume, label_of
from core.base.arrays import Floats
from core.base.sentences import NO_TEXT, Last, Listing, Number, Sentence, Template, Term, mark, say
from core.base.tolerance import is_sliver, same_length
from core.model.figures import Quantity
from core.redesign.curves import Range
from core.redesign.linear_model import Constraint, ConstraintKind
from core.redesign.region import Region
from core.redesign.request import RedesignRequest

TOLD_DIGITS = 6
"""Of a millimetre that are told: a figure at a limit of nothing is nothing, without dust."""


@dataclass(frozen=True, slots=True)
class RangeEnd:
    """Where a range of a figure ends.

    Attributes:
        value: of the figure, mm or litres.
        at_most: whether it is the upper end.
        alone: whether nothing else is in its range.
        rule: the limit that is reached there; None where the other figures alone decide.
        x: (n,) where, mm.
        region, span: that it is the end of.
    """

    value: float
    at_most: bool
    alone: bool
    rule: Constraint | None
    x: Floats
    region: Region
    span: Range


NOTHING_KEPT: Mapping[str, float] = MappingProxyType({})
IsHad = Callable[[str], bool]
"""Whether a figure can be had as 0."""


def refusal(
    names: tuple[str, ...],
    asked: str,
    fighting: Mapping[str, float],
    ends: tuple[RangeEnd, ...],
    request: RedesignRequest,
    is_had: IsHad,
    kept: Mapping[str, float] = NOTHING_KEPT,
) -> Sentence:
    """What is told of figures that fight: where the range of one ends, and what would help.

    Args:
        names: of them.
        asked: the one whose range ends, where the others are exact.
        fighting: each of them -> what it was to be, mm or litres.
        ends: next to that, below it and above it; none where that cannot be told.
        request: what was asked for.
        is_had: as `core.redesign.conflict.conflict` asks.
        kept: cut figures that nobody asked for, and with which alone that is so, mm.
    """
    others = [(name, fighting[name]) for name in names if name != asked]
    others += [(name, value) for name, value in kept.items() if name not in fighting]
    if ends:
        nothing = is_had(asked) if _may_be_nothing(asked, ends, fighting[asked]) else False
        which = "nothing" if nothing else _which(asked, ends, fighting[asked])
        values = [end.value for end in ends]
        if which in ("below", "above") and is_sliver(fighting[asked] - values[0]):
            values = [fighting[asked]]  # without the hair that the end stays off it
        told = [_head(asked, ends, values, others, which), *_reason(asked, ends, request)]
    else:
        template = _TOGETHER if others else _ALONE
        beside = [_beside(name, value) for name, value in kept.items() if name not in fighting]
        figures = Listing([*_quoted(names), *beside], Last.COMMA)
        told = [say(template, terms={"figures": figures})]
    told += _remedy(names, request)
    return reduce(lambda first, then: say(_THEN, terms={"first": first, "then": then}), told)


def _may_be_nothing(asked: str, ends: tuple[RangeEnd, ...], value: float) -> bool:
    """Whether a length below its least might be had as 0, which lies in no range above it.

    A bag without corner cuts has no gusset at all: one of 0 is had, one just above it is not.
    """
    (end, *more) = ends
    if more or end.at_most or end.alone or is_volume(asked) or is_cut(asked):
        return False
    return 0.0 < value < end.value


def _which(asked: str, ends: tuple[RangeEnd, ...], value: float) -> str:
    """Which ends there are.

    A length that is refused at its very end cannot reach it, and none reaches a limit that the
    figures must stay off.
    """
    if len(ends) > 1:
        return "both"
    (end,) = ends
    never_reached = end.rule is not None and end.rule.least > 0.0
    if not end.alone and not is_volume(asked) and (never_reached or is_sliver(value - end.value)):
        return "below" if end.at_most else "above"
    return "most" if end.at_most else "least"


def _head(
    asked: str,
    ends: tuple[RangeEnd, ...],
    values: list[float],
    others: list[tuple[str, float]],
    which: str,
) -> Sentence:
    """The ends of a figure's range, told by these values, where the others are exact."""
    gaps = _Gaps()
    gaps.terms["figure"] = label_of(asked)
    only = all(end.alone for end in ends)
    for end, value in zip(ends, values, strict=True):
        gap = "most" if end.at_most else "least"
        gaps.size(gap, asked, value, at_most=None if only else end.at_most)
    alone, beside = (_ONLY if only else _RANGES)[which]
    if others:
        gaps.terms["others"] = Listing([_beside(name, value) for name, value in others])
    return gaps.said(beside if others else alone)


def _reason(asked: str, ends: tuple[RangeEnd, ...], request: RedesignRequest) -> Iterator[Sentence]:
    """The limit that is reached there, unless that was said already, and how it would give way."""
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
    gaps.size("value", rule.name, round(rule.value.at(x), TOLD_DIGITS) + 0.0)
    yield gaps.said(_THERE)
    if not is_cut(rule.name) or rule.name in {*request.wants, *request.holds}:
        return
    if not np.any(rule.value.slope) and not same_length(ends[0].value, 0.0):
        larger = np.array_equal(rule.room.slope, -rule.bound.slope)
        label = {"figure": label_of(rule.name)}
        yield say(_LARGER_FIRST if larger else _SMALLER_FIRST, terms=label)


def _remedy(names: tuple[str, ...], request: RedesignRequest) -> Iterator[Sentence]:
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
    return Listing(_quoted(names), last)


def _quoted(names: tuple[str, ...]) -> list[Term]:
    return [_matched(name) or say(_QUOTED, terms={"figure": label_of(name)}) for name in names]


def _beside(name: str, value: float) -> Term:
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
    """Those of one sentence, as they are gathered."""

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
    "below": (
        mark("“{figure}” must be less than {most}."),
        mark("“{figure}” must be less than {most} with {others}."),
    ),
    "above": (
        mark("“{figure}” must be more than {least}."),
        mark("“{figure}” must be more than {least} with {others}."),
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
_THERE = mark("“{figure}” is then {value}, its limit: {rule}")
_SMALLER_FIRST = mark("Make “{figure}” smaller first: a redesign leaves it as it is.")
_LARGER_FIRST = mark("Make “{figure}” larger first: a redesign leaves it as it is.")
_ASK = mark("Ask for another {figures}.")
_ASK_OR_RELEASE = mark("Ask for another {figures}, or release {pinned}.")
_RELEASE, _RELEASE_ONE_OF = mark("Release {pinned}."), mark("Release one of {pinned}.")
_ALONE = mark(
    "{figures} is not possible: no pattern of this construction, within its limits, has it."
)
_TOGETHER = mark("These are not possible together: {figures}.")
