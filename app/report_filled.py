"""The filled volume in what the commands tell: worked out only where it is told."""

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from core.bag import FINISHED_FIGURES
from core.compute import Result
from core.errors import ShowLength
from core.units import Unit
from core.volumes import format_volume

if TYPE_CHECKING:  # the solver is loaded when it is used
    from core.solid.capacity import Capacity

_FIGURE: Final = next(each for each in FINISHED_FIGURES if each.name == "filled_volume")


def filled(result: Result) -> "tuple[Result, Capacity]":
    """The result with its filled volume, litres or None, and how it came about."""
    from core.solid.capacity import capacity

    found = capacity(result.bag)
    finished = MappingProxyType({**result.finished, "filled_volume": found.filled})
    return replace(result, finished=finished), found


def with_filled(result: Result) -> Result:
    """The result with its filled volume, litres or None."""
    return filled(result)[0]


def filled_rows(found: "Capacity", unit: Unit) -> list[tuple[str, str, str]]:
    """What is told of a filled bag beside its volume: label, value, no name."""
    if found.filled is None:
        return []
    inside = format_volume(found.filled_inside, unit=unit)
    over = "–" if found.filled_over_box is None else f"{found.filled_over_box:.2f}"
    return [("Filled, inside the wall", inside, ""), ("Filled over box", over, "")]


def filled_remark(found: "Capacity", show: ShowLength) -> str:
    """One sentence: what a filled volume means, or why there is none."""
    if found.trouble is not None:
        return f"{_FIGURE.label}: {found.trouble.text(show)}"
    return f"{_FIGURE.label}: {_FIGURE.help}"
