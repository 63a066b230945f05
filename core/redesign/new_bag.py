"""A new bag from three finished sizes, with matched corners and fresh parts. Lengths are mm."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import with_choice
from core.bag.compute import Result, compute
from core.bag.fresh import fresh_board, fresh_handles, fresh_pocket, fresh_zip
from core.base.errors import CornerwrightError
from core.base.units import Unit, default_step, round_to_step
from core.model.findings import Severity
from core.parts.handles.handles import HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.redesign.request import RedesignRequest, check_typed
from core.redesign.solve import redesign
from core.tops.zip_forward.zip import ZipForward

_FRESH: Mapping[str, Callable[[Result], Bag]] = {
    "pocket": lambda found: found.bag.with_part(fresh_pocket(found.bag, PocketFaces.FRONT)),
    "handles": lambda found: found.bag.with_part(fresh_handles(found, HandleStyle.LOOP)),
    "board": lambda found: found.bag.with_part(fresh_board(found)),
}
"""Part -> a bag with a new one, in the order in which one makes room for the next."""


@dataclass(frozen=True, slots=True)
class NewBag:
    """A new bag.

    Attributes:
        result: what follows from it.
        left_out: attributes of the parts of its model that a bag of these sizes has no room for.
    """

    result: Result
    left_out: tuple[str, ...]


def new_bag(model: Bag, sizes: Mapping[str, float], *, bottom: str, unit: Unit) -> NewBag:
    """A bag in these sizes, of the materials of a model, each of its parts made anew.

    Allowances are the model's, on the ruler of the unit; the zip stays as far from the top fold
    as it is there, where that can be. A part that would
    not suit a bag of these sizes, as its findings say, is left out.

    Args:
        model: gives materials, way of closing, and which parts there are.
        sizes: finished figure -> mm, each that the body is asked for (`Solving.asked`).
        bottom: a word of the choice of that name.
        unit: in which the bag is measured and shown.

    Raises:
        ConflictError, FieldError: there is no such bag.
    """
    wants = {name: sizes[name] for name in model.body.SOLVING.asked}
    for name, size in wants.items():
        check_typed(name, size)
    bare = replace(_bare(model), unit=unit)
    ruled = {
        name: round_to_step(value, default_step(unit))
        for name in bare.body.SOLVING.kept
        if (value := cut_value(bare, name)) is not None
    }
    bare = with_choice(with_figures(bare, ruled), "bottom", bottom)
    has_zip = isinstance(bare.top, ZipForward)
    if has_zip:
        bare = replace(bare, top=fresh_zip(bare))
    found = redesign(bare, RedesignRequest(wants=wants, matched=True)).after
    if has_zip:  # as wide as before, and as long as this panel needs it
        found = compute(replace(found.bag, top=fresh_zip(found.bag)))
    left_out: list[str] = []
    for part, fresh in _FRESH.items():
        if part not in model.parts:
            continue
        more = _suiting(found, fresh)
        if more is None:
            left_out.append(part)
        else:
            found = more
    return NewBag(found, tuple(left_out))


def _bare(model: Bag) -> Bag:
    """The model without what is made anew."""
    return model.without(*_FRESH)


def _suiting(found: Result, fresh: Callable[[Result], Bag]) -> Result | None:
    """The bag with one more part; None where that cannot be, or brings trouble."""
    try:
        more = compute(fresh(found))
    except CornerwrightError:
        return None
    known = {each.code for each in found.findings}
    troubled = any(
        each.severity >= Severity.WARN and each.code not in known for each in more.findings
    )
    return None if troubled else more
