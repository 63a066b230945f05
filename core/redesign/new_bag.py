"""A new bag from three finished sizes, with matched corners and fresh parts. Lengths are mm."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import with_choice
from core.bag.compute import Around, Result, compute
from core.base.errors import CornerwrightError
from core.base.units import Unit, default_step, round_to_step
from core.model.findings import Severity
from core.parts.part import Part
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest, check_typed


@dataclass(frozen=True, slots=True)
class NewBag:
    """A new bag.

    Attributes:
        left_out: attributes of the parts of its model that a bag of these sizes has no room for.
    """

    result: Result
    left_out: tuple[str, ...]


def new_bag(
    model: Bag, sizes: Mapping[str, float], words: Mapping[str, str], *, unit: Unit
) -> NewBag:
    """A bag in these sizes, of the materials of a model, each of its parts made anew.

    Allowances are the model's, on the ruler of the unit; the zip stays as far from the top fold
    as it is there, where that can be. A part that would not suit a bag of these sizes, as its
    findings say, is left out.

    Args:
        model: gives materials, construction, way of closing, and which parts there are.
        sizes: finished figure -> mm, each that the body is asked for (`Solving.asked`), and others.
        words: choice -> its word: those of which a new bag is asked (`Choice.asked`), or fewer;
            and of construction and top, where they are not the model's.
        unit: in which the bag is measured and shown.

    A ConflictError or FieldError says that there is no such bag.
    """
    bare = replace(model.without(*model.parts), unit=unit)
    for name in _FIRST:
        if name in words:
            bare = with_choice(bare, name, words[name])
    wants = {name: sizes[name] for name in bare.body.SOLVING.asked}
    wants |= sizes
    for name, size in wants.items():
        check_typed(name, size)
    ruled = {
        name: round_to_step(value, default_step(unit))
        for name in bare.body.SOLVING.kept
        if (value := cut_value(bare, name)) is not None
    }
    bare = with_figures(bare, ruled)
    for name, word in words.items():
        if name not in _FIRST:
            bare = with_choice(bare, name, word)
    bare = _with_new_top(bare)
    found = redesign(bare, RedesignRequest(wants=wants, matched=True)).after
    found = compute(_with_new_top(found.bag))  # a zip as wide as before, and as long as it needs
    left_out: list[str] = []
    for slot, part in model.parts.items():  # in an order in which one makes room for the next
        more = _suiting(found, type(part))
        if more is None:
            left_out.append(slot)
        else:
            found = more
    return NewBag(found, tuple(left_out))


_FIRST = ("construction", "top")
"""Choices that settle which others there are."""


def _with_new_top(bag: Bag) -> Bag:
    return replace(bag, top=bag.top.fresh(Around(bag)))


def _suiting(found: Result, kind: type[Part]) -> Result | None:
    """The bag with one more part; None where that cannot be, or brings trouble."""
    try:
        more = compute(found.bag.with_part(kind.fresh(Around(found.bag, found.finished))))
    except CornerwrightError:
        return None
    known = {each.code for each in found.findings}
    troubled = any(
        each.severity >= Severity.WARN and each.code not in known for each in more.findings
    )
    return None if troubled else more
