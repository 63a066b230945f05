"""The filled volume in what the commands tell: worked out only where it is told."""

from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from core.bag import FINISHED_FIGURES
from core.compute import Result
from core.errors import ShowLength

if TYPE_CHECKING:  # the solver is loaded when it is used
    from core.solid.capacity import Capacity

_FIGURE: Final = next(each for each in FINISHED_FIGURES if each.name == "filled_volume")


def filled(result: Result) -> "tuple[Result, Capacity]":
    """The result with its filled volumes, litres or None, and how they came about.

    Where the wall turns out to leave no room, that is among the findings as well.
    """
    from core.solid.capacity import capacity

    found = capacity(result.bag)
    volumes = {"filled_volume": found.filled, "inside_filled_volume": found.inside_filled}
    finished = MappingProxyType({**result.finished, **volumes})
    drawn = MappingProxyType({**result.drawn, **dict(zip(volumes, found.drawn, strict=True))})
    findings = result.findings
    if found.no_room is not None and found.no_room not in findings:
        milder = [each for each in findings if each.code != "little-room-inside"]
        findings = (found.no_room, *milder)
    return replace(result, finished=finished, findings=findings, drawn=drawn), found


def with_filled(result: Result) -> Result:
    """The result with its filled volumes, litres or None."""
    return filled(result)[0]


def over_box_rows(found: "Capacity") -> list[tuple[str, str, str]]:
    """What is told of a filled bag beside its figures: label, value, no name."""
    if found.filled is None:
        return []
    over = "–" if found.filled_over_box is None else f"{found.filled_over_box:.2f}"
    return [("Filled over box volume", over, "")]


def filled_remark(found: "Capacity", show: ShowLength) -> str:
    """One sentence: what a filled volume means, or why there is none."""
    if found.trouble is not None:
        return f"{_FIGURE.label}: {found.trouble.text(show)}"
    return f"{_FIGURE.label}: {_FIGURE.help}"
