"""Seam allowances: what they must be, and other ones that leave every finished size as it is.

Lengths are mm.
"""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import NamedTuple

from core.bag.bag import Bag, with_figures
from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Listing, Sentence, Template, Term, mark, say
from core.base.tolerance import shorter
from core.goods.layers import LEAST_SINGLE
from core.model.findings import Allowance, Finding, Fix, Severity


class _Seam(NamedTuple):
    """What a seam is called, its allowance, the least that holds, the most that is of use, mm."""

    label: Template
    size: float
    least: float
    most: float
    raw: Template


_NOTHING: Mapping[str, float] = {}
_Seams = dict[str, _Seam]
"""By the figure of their allowance."""


def allowance_findings(bag: Bag, allowances: tuple[Allowance, ...]) -> tuple[Finding, ...]:
    """Seams with no allowance, too little or too much; and what their owners say of them.

    `allowances` are the bag's own, of every seam that is sewn.
    """
    least = bag.sandwich.least_allowance
    seams = {
        each.figure: _Seam(
            each.label, each.size, least if each.layered else LEAST_SINGLE, each.most, each.raw
        )
        for each in allowances
    }
    keep, owners = partial(with_allowances, bag), (bag.top, bag.body, *bag.parts.values())
    own = (finding for owner in owners for finding in owner.seam_findings(bag.site, keep))
    return (*_none(bag, seams), *_thin(bag, seams), *_wide(bag, seams), *own)


def _none(bag: Bag, seams: _Seams) -> Iterator[Finding]:
    none = {name: each for name, each in seams.items() if not shorter(0.0, each.size)}
    if not none:
        return
    figure, worst = next(iter(none.items()))
    raw = worst.raw if len(none) == 1 else NO_TEXT
    message = Sentence(raw) if raw else Sentence(_NONE, terms=_listed(none))
    yield Finding(
        code="no-allowance",
        severity=Severity.WARN if raw else Severity.STOP,
        figure=figure,
        value=worst.size,
        limit=worst.least,
        message=message,
        fixes=_usual(bag, none),
    )


def _thin(bag: Bag, seams: _Seams) -> Iterator[Finding]:
    there = {name: each for name, each in seams.items() if shorter(0.0, each.size)}
    thin = {name: each for name, each in there.items() if shorter(each.size, each.least)}
    if not thin:
        return
    figure = min(thin, key=lambda name: thin[name].size / thin[name].least)
    size, least = thin[figure].size, thin[figure].least
    yield Finding(
        code="thin-allowance",
        severity=Severity.WARN,
        figure=figure,
        value=size,
        limit=least,
        message=say(_THIN, value=size, limit=least, terms=_listed(thin)),
        fixes=_usual(bag, thin),
    )


def _wide(bag: Bag, seams: _Seams) -> Iterator[Finding]:
    # What the wall needs is never too much.
    most = {name: max(each.most, each.least) for name, each in seams.items()}
    wide = {name: each for name, each in seams.items() if shorter(most[name], each.size)}
    if not wide:
        return
    figure = max(wide, key=lambda name: wide[name].size / most[name])
    size, limit = wide[figure].size, most[figure]
    yield Finding(
        code="wide-allowance",
        severity=Severity.NOTE,
        figure=figure,
        value=size,
        limit=limit,
        message=say(_WIDE, value=size, limit=limit, terms=_listed(wide)),
        fixes=_usual(bag, wide),
    )


def _usual(bag: Bag, seams: _Seams) -> tuple[Fix, ...]:
    """The usual allowance at these seams, or what the wall needs where that is more."""
    size = bag.site.new_allowance
    template, wider = NO_TEXT, _NOTHING
    if bag.site.mouth.allowance_figure in seams:
        template, wider = bag.top.as_wide_as(size, bag.site)
    changes = with_allowances(bag, {**dict.fromkeys(seams, size), **wider})
    if changes is None:
        return ()
    label = Sentence(template or _KEEP, {"value": size, **wider}, terms=_listed(seams))
    return (Fix(label, tuple(changes.items())),)


def with_allowances(bag: Bag, wanted: Mapping[str, float]) -> dict[str, float] | None:
    """The changes of cut figures that give these allowances and leave finished sizes alone.

    What shows of the top, and with it its clearance, follows from its seam and its own width.
    `wanted`: cut figure -> new value, mm, of allowances, and of sizes of the top that go with
    them; so are the changes. None where no bag can be so.
    """
    site = bag.site
    changes, moved = bag.body.with_allowances(wanted, bag.top.shows_more(wanted, site.mouth))
    for owner in (bag.top, *bag.parts.values()):
        changes |= owner.keep_sizes(wanted, moved, site)
    try:
        other = with_figures(bag, {name: round(value, 9) for name, value in changes.items()})
    except FieldError:
        return None
    pairs = zip(other.members, bag.members, strict=True)
    fit = all(now.fits_as_well(other.site, was, site) for (_, now), (_, was) in pairs)
    return changes if fit else None


def _listed(seams: _Seams) -> Mapping[str, Term]:
    """Seams by their names, as the gap of a sentence."""
    return {"seams": Listing([each.label for each in seams.values()])}


_KEEP = mark("Allow {value} at the {seams}, keeping the finished sizes")
_NONE = mark(
    "There is no allowance at the {seams}: the needle would run along the cut edge, where "
    "nothing holds the stitches."
)
_THIN = mark(
    "The allowance at the {seams} is only {value}: it needs {limit} to hold, or the "
    "stitches pull out over the edge."
)
_WIDE = mark(
    "The allowance at the {seams} is {value} wide: beyond {limit} it hangs loose inside "
    "the bag, unless it is trimmed after sewing."
)
