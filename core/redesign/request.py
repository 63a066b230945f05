"""What a redesign is asked for.

A want is a figure with a value; a hold is a figure that stays as it is. Both may be
finished or cut figures. Lengths are mm, volumes litres.
"""

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from core.bag.bag import CANNOT_BE_SET, Bag, cut_value, lacking
from core.bag.figures import FINISHED, figure_of, is_box, is_cut, is_volume, label_of, matched_in
from core.base.errors import CornerwrightError, FieldError
from core.base.sentences import Number, Sentence, mark, say
from core.model.figures import (
    LARGEST_SIZE,
    CutFigure,
    FinishedFigure,
    Quantity,
    check_no_sliver,
    length_refused,
)
from core.site.owner import Owner
from core.site.site import Finished

VOLUME_SHARE = 100.0
"""A hundredth of a volume counts as much as a millimetre when conditions are weighed."""
NO_VOLUME = mark("{label} is 0 L: it must be more than that.")
"""What is said of a volume of a closed or walled bag that can be any but none."""

_DUST = 1e-9
"""mm; what sums leave of a size that is nothing: asking for it asks for nothing."""


class Reach(NamedTuple):
    """How far a figure can go while others are exact: the proof of a refusal.

    Attributes:
        figure: name of the figure that was asked for more, or for less.
        at_most: whether `value` is the most that it can be; else the least.
        value: mm or litres.
        limit: name of the figure whose limit is reached there; None where the other exact
            figures alone decide.
    """

    figure: str
    at_most: bool
    value: float
    limit: str | None = None


class ConflictError(CornerwrightError):
    """Wants and holds that cannot be met together.

    Attributes:
        names: the figures that fight; it helps to release any one of them.
        bound: how far one of them can go while the others are exact.
        ends: bags where a filled volume decides it, the one at the bound first: the refusal
            holds if they hold what the search reckoned with. None where none decides it.
    """

    def __init__(
        self,
        sentence: Sentence,
        *,
        names: tuple[str, ...],
        bound: Reach | None = None,
        ends: tuple[Bag, ...] = (),
    ) -> None:
        super().__init__(sentence)
        self.names = names
        self.bound = bound
        self.ends = ends


class RedesignRequest(NamedTuple):
    """One redesign, asked of one bag.

    Attributes:
        wants: figure name -> value wanted, mm or litres.
        holds: names of figures that keep their present value exactly.
        matched: whether corners stay matched. A box volume is that of corners which do;
            where they may part it is reckoned with the end of the base (`measure_walls`).
    """

    wants: Mapping[str, float]
    holds: frozenset[str] = frozenset()
    matched: bool = True


def needs_match(names: Iterable[str]) -> bool:
    """Whether a box is among them: its seams close, so that mismatches are kept at 0."""
    return any(map(is_box, names))


def miss_unit(name: str, value: float) -> float:
    """By how much a figure misses its value where that counts as a millimetre, mm or litres."""
    return max(value, 1e-3) / VOLUME_SHARE if is_volume(name) else 1.0


def cut_part(exact: Mapping[str, float]) -> dict[str, float]:
    """Of exact figures those that are cut."""
    return {name: value for name, value in exact.items() if is_cut(name)}


def targets(request: RedesignRequest, bag: Bag, finished: Finished) -> dict[str, float]:
    """Every figure that must come out exactly -> its value; wants win over holds.

    `finished` are the figures of the bag as it is, with those that only filling it tells where
    they are asked for. An unknown name, a figure that this bag does not have or a value that is no
    size is a FieldError.
    """
    found: dict[str, float] = {}
    if request.matched:
        found |= dict.fromkeys(matched_in(finished), 0.0)
    for name in sorted(request.holds):
        found[name] = _present(name, bag, finished)
    for name, value in request.wants.items():
        _present(name, bag, finished)
        figure = figure_of(name)
        # A cut figure keeps its own limits; a finished size must be a size.
        if isinstance(figure, CutFigure):
            figure.check(value)
        else:
            _check_size(figure, value)
        is_inside = is_box(name) and FINISHED[name].inside
        if is_inside and value == 0.0 and bag.sandwich.thickness > 0.0:
            # A wall that leaves no room leaves no volume either: there is none that is 0.
            told = say(NO_VOLUME, terms={"label": label_of(name)})
            raise FieldError(told, field=name, value=value)
        found[name] = value
    return found


def check_typed(name: str, value: float) -> None:
    """Refuse what was typed for a finished figure and is no size, mm or litres: FieldError.

    Lengths that are measured may be tiny, as differences of others; what was typed is a slip. An
    unknown name is a FieldError too.
    """
    figure = figure_of(name)
    if not isinstance(figure, CutFigure):
        if figure.quantity is Quantity.LENGTH:
            check_no_sliver(figure.label, value, field=name)
        _check_size(figure, value)


def _present(name: str, bag: Bag, finished: Finished) -> float:
    figure = figure_of(name)
    value = finished[name] if name in finished else cut_value(bag, name)
    if value is None or not _has(bag, figure):
        raise FieldError(_absent(figure, bag), field=name, value=None)
    return value


def _has(bag: Bag, figure: CutFigure | FinishedFigure) -> bool:
    owner = bag.owner(figure.part)
    if isinstance(owner, Owner) and isinstance(figure, FinishedFigure):
        return owner.has(figure)
    return True


def _absent(figure: CutFigure | FinishedFigure, bag: Bag) -> Sentence:
    if isinstance(figure, FinishedFigure) and figure.missing and bag.owner(figure.part) is not None:
        return say(figure.missing, terms={"label": figure.label})
    return say(CANNOT_BE_SET, terms={"label": figure.label, "reason": lacking(bag, figure)})


def _check_size(figure: FinishedFigure, value: float) -> None:
    if figure.quantity is Quantity.LENGTH and abs(value) > _DUST:
        check_no_sliver(figure.label, value, field=figure.name)
    lowest = -LARGEST_SIZE if figure.may_be_negative else 0.0
    if lowest - _DUST <= value <= LARGEST_SIZE:
        return
    if not math.isfinite(value):
        sentence = length_refused(figure.label, value, _ORDINARY)
    elif figure.quantity is Quantity.VOLUME:
        # As it is read elsewhere; what would read as 0 there is told by its first digit.
        told = Number(round(value, 2) or float(f"{value:.1g}"))
        numbers = {"value": told, "most": Number(LARGEST_SIZE)}
        sentence = say(_LITRES, numbers=numbers, terms={"label": figure.label})
    else:
        sentence = length_refused(figure.label, value, _BETWEEN, low=lowest, high=LARGEST_SIZE)
    raise FieldError(sentence, field=figure.name, value=value)


_ORDINARY = mark("it must be an ordinary number.")
_LITRES = mark("{label} is {value} L: it must be between 0 and {most} L.")
_BETWEEN = mark("it must be between {low} and {high}.")
