"""Fixes that are offered: none leaves a bag that is worse where it was not before.

What mends a stop may leave a warning; nothing else brings one.

An owner knows of its own figures only: what another one needs for its fix to hold goes along.
"""

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import chain

from core.bag.bag import Bag
from core.bag.choices import with_fix
from core.base.errors import FieldError
from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.model.findings import Finding, Fix, Severity

Judge = Callable[[Bag], tuple[Finding, ...]]
"""What is found in a bag, its fixes as their owners know them."""

_ALONG = 3
"""So many fixes of others may go along with one: a zip, a board, a pocket (own choice)."""


def promised(bag: Bag, found: tuple[Finding, ...], judge: Judge) -> tuple[Finding, ...]:
    """The findings with those of their fixes that hold, each with what goes along with it."""
    return tuple(
        replace(each, fixes=tuple(_promised(bag, each, found, judge))) if each.fixes else each
        for each in found
    )


def _promised(
    bag: Bag, finding: Finding, found: tuple[Finding, ...], judge: Judge
) -> Iterator[Fix]:
    for fix in finding.fixes:
        holds = _holding(bag, finding, fix, found, judge, _ALONG)
        if holds is not None:
            yield holds


def _holding(
    bag: Bag, finding: Finding, fix: Fix, found: tuple[Finding, ...], judge: Judge, more: int
) -> Fix | None:
    """The fix, with at most so many more of what it spoils; None where it does not hold."""
    try:
        after = judge(with_fix(bag, fix))
    except FieldError:
        return None
    if _is_left(finding, after):
        return None
    stops = finding.severity is Severity.STOP and not fix.tried
    doubtful = Severity.STOP if stops else Severity.WARN
    spoilt = [each for each in after if each.severity >= doubtful and _is_worse(each, found)]
    if not spoilt:
        return fix
    # What mends one of them may mend them all, though another has no fix of its own.
    for also in chain.from_iterable(each.fixes for each in spoilt) if more else ():
        if not _named(fix) & _named(also):
            holds = _holding(bag, finding, _with(fix, also), found, judge, more - 1)
            if holds is not None:
                return holds
    return None


def _is_left(finding: Finding, after: Iterable[Finding]) -> bool:
    """Whether what was to be fixed is there as before."""
    return any(
        (each.code, each.figure) == (finding.code, finding.figure)
        and each.severity >= finding.severity
        and not shorter(_beyond(each), _beyond(finding))
        for each in after
    )


def _is_worse(finding: Finding, found: Iterable[Finding]) -> bool:
    """Whether nothing of its code was as bad before."""
    return not any(
        each.code == finding.code
        and each.severity >= finding.severity
        and not shorter(_beyond(each), _beyond(finding))
        for each in found
    )


def _beyond(finding: Finding) -> float:
    """How far it lies beyond its limit; without one there is no better."""
    return math.inf if finding.limit is None else abs(finding.value - finding.limit)


def _named(fix: Fix) -> set[str]:
    return {*fix.without, *(name for name, _ in (*fix.changes, *fix.choices))}


def _with(fix: Fix, also: Fix) -> Fix:
    """Both as one change, which says both."""
    return replace(
        fix,
        label=say(_BOTH, terms={"one": fix.label, "other": also.label}),
        changes=fix.changes + also.changes,
        choices=fix.choices + also.choices,
        without=fix.without + also.without,
    )


_BOTH = mark("{one}. {other}")
"""Two fixes as one, each an order without its full stop."""
