"""What a bag comes to, as JSON for scripts and as text for a terminal. No Qt here.

The filled volume is no part of a `Result`: it is worked out only where it is told.
"""

import json
from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from core.bag.bag import Bag
from core.bag.choices import with_fix
from core.bag.compute import Result, compute
from core.bag.figures import FILLED_NAMES, FINISHED, is_filled
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES, cut_figure
from core.base.errors import FieldError
from core.base.quantities import format_volume
from core.base.sanitize import json_for_terminal, on_one_title
from core.base.sentences import ShowLength, mark, say
from core.base.tolerance import clean_number, same_length
from core.base.units import NEAR, Unit, format_exact, format_length, parse_length
from core.model.figures import NO_TAKE_UP, CutFigure, FinishedFigure, Quantity
from core.model.findings import Finding, Fix

if TYPE_CHECKING:
    from core.solid.capacity import Capacity


PUBLISHED_CUT: Final = tuple(figure.name for figure in CUT_FIGURES if figure.published)
"""Cut figures that scripts rely on, in the order in which they are printed."""

PUBLISHED_FINISHED: Final = tuple(
    figure.name
    for figure in sorted(FINISHED_FIGURES, key=lambda each: each.quantity is Quantity.VOLUME)
    if figure.published
)
"""Finished figures that scripts rely on, in the order in which they are printed."""

_FEW_PLACES = {Unit.MM: (2, 3, 4), Unit.CM: (3, 4, 5), Unit.INCH: (3, 4, 5)}
"""Decimals that are tried for a fix that is not on the ruler: finer than anybody cuts."""
_UNSEEN = 1e-6
"""mm and litres: a difference that no text shows."""


def with_near_told(text: str) -> str:
    """The text, and behind it what the mark of a rounded length means where one stands in it."""
    told = say(
        "{near} means: between two marks of the ruler, rounded to the nearest 1/16 in.",
        words={"near": NEAR},
    )
    return f"{text}\n\n{told.text()}" if NEAR in text else text


def show_in(unit: Unit) -> ShowLength:
    """How lengths read in this unit."""
    return partial(format_length, unit=unit)


def as_json(result: Result, *, rounded: Mapping[str, float | None] | None = None) -> str:
    """One object: cut and finished figures (mm, litres, pieces, null) and findings.

    `finished` holds the sizes on the stitch lines, as they are drawn. Only where take-up is
    allowed for, `sewn` holds beside it what the sewn bag measures, by the same names but for
    those that it lacks; `rounded` counts against it then. That is what a ruler step cost each
    finished figure, and told when it is given.
    """
    show = show_in(result.bag.unit)
    told: dict[str, Any] = {
        "cut": _numbers(result.cut, PUBLISHED_CUT),
        "finished": _numbers(result.drawn, PUBLISHED_FINISHED),
        "findings": [finding_object(finding, show) for finding in result.findings],
    }
    if result.bag.take_up != NO_TAKE_UP:
        names = tuple(name for name in PUBLISHED_FINISHED if result.finished[name] is not None)
        told["sewn"] = _numbers(result.finished, names)
    if rounded is not None:
        told["rounded"] = _numbers(rounded, PUBLISHED_FINISHED)
    return json_text(told)


def json_text(told: Mapping[str, Any]) -> str:
    """One object as JSON of plain signs, indented; what would steer a terminal is escaped."""
    text = json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False)
    return json_for_terminal(text)


def _numbers(values: Mapping[str, float | None], names: tuple[str, ...]) -> dict[str, Any]:
    return {name: clean_number(values[name]) for name in names}


def finding_object(finding: Finding, show: ShowLength) -> dict[str, Any]:
    """A finding as JSON has it; its limit is in mm."""
    return {
        "code": finding.code,
        "severity": finding.severity.word,
        "figure": finding.figure,
        "limit": clean_number(finding.limit),
        "message": finding.message.text(show),
    }


def figures_text(result: Result) -> str:
    """Every figure of this bag with its value and its name, then the findings."""
    bag = result.bag
    result, capacity = filled(result)
    drawn = None if bag.take_up == NO_TAKE_UP else result.drawn
    cut = [
        (figure.label, _shown(figure, result.cut[figure.name], bag.unit), figure.name)
        for figure in CUT_FIGURES
        if result.cut[figure.name] is not None
    ]
    told = bag.finished_figures
    finished: list[tuple[str, str, str]] = [
        (figure.label, _finished_shown(figure, result, drawn), figure.name)
        for figure in FINISHED_FIGURES
        if figure in told
    ]
    after = max(place for place, row in enumerate(finished) if is_filled(row[2])) + 1
    finished[after:after] = over_box_rows(capacity)
    rows = table_lines([*cut, *finished])
    lines = [on_one_title(bag.name), "", mark("Cut"), *rows[: len(cut)], ""]
    lines += [mark("Finished") if drawn is None else mark("Finished, as sewn"), *rows[len(cut) :]]
    lines += [f"  {filled_remark(capacity, show_in(bag.unit))}"]
    return "\n".join([*lines, "", findings_text(result)])


def changes_text(
    before: Bag, after: Result, cost: Mapping[str, float | None], *, unit: Unit
) -> str:
    """Every figure that changed, before and after, and what the ruler step cost any of them."""
    after = with_filled(after)
    old = with_filled(compute(before))
    rows: list[tuple[str, ...]] = [("", mark("before"), mark("after"), mark("ruler step"))]
    figures: tuple[CutFigure | FinishedFigure, ...] = (*CUT_FIGURES, *FINISHED_FIGURES)
    for figure in figures:
        was, now = ({**each.cut, **each.finished}[figure.name] for each in (old, after))
        shown = [_shown(figure, value, unit) for value in (was, now)]
        paid = cost.get(figure.name)
        told = _shown(figure, paid, unit) if paid and abs(paid) > _UNSEEN else ""
        told = "" if told == _shown(figure, 0.0, unit) else told
        if shown[0] != shown[1] or told:
            rows.append((figure.label, shown[0], shown[1], told))
    if len(rows) == 1:
        return mark("Nothing changes: the bag already has all of these sizes.")
    if not any(row[3] for row in rows[1:]):
        rows = [row[:3] for row in rows]
    return "\n".join(table_lines(rows, indent=""))


def findings_text(result: Result) -> str:
    """The findings, the worst first, each with what fixes it."""
    if not result.findings:
        return mark("No findings.")
    show = show_in(result.bag.unit)
    lines: list[str] = [mark("Findings")]
    for finding in result.findings:
        told = on_one_title(finding.message.text(show))
        lines.append(f"  {finding.severity.word}: {told} [{finding.code}]")
        for fix in finding.fixes:
            words = {"what": _fix_text(fix, result)}
            lines.append(f"    {say('fix: {what}', words=words).text()}")
    return "\n".join(lines)


def _fix_text(fix: Fix, result: Result) -> str:
    """What a fix changes, and the options that change it here."""
    options = [f"--without {slot}" for slot in fix.without]
    options += [f"--choose {name}={word}" for name, word in fix.choices]
    options += [f'--set {name}="{text}"' for name, text in _typed(fix, result).items()]
    return f"{fix.label.text(show_in(result.bag.unit))} ({' '.join(options)})"


def _typed(fix: Fix, result: Result) -> dict[str, str]:
    """A fix's values as they may be typed after --set.

    What is not on the ruler has the fewest decimals with which the bag has the same findings
    as with all of them.
    """
    bag, unit = result.bag, result.bag.unit
    plain = {name: _plain(name, value, unit) for name, value in fix.changes}
    if all(text is not None for text in plain.values()):
        return {name: text or "" for name, text in plain.items()}
    wanted = _codes(with_fix(bag, fix))
    for places in _FEW_PLACES[unit]:
        typed = {
            name: plain[name] or f"{value / unit.mm:.{places}f} {unit.label}"
            for name, value in fix.changes
        }
        values = {name: _read(name, text, unit) for name, text in typed.items()}
        with suppress(FieldError):
            if _codes(with_fix(bag, replace(fix, changes=tuple(values.items())))) == wanted:
                return typed
    return {name: plain[name] or format_exact(value, unit=unit) for name, value in fix.changes}


def _plain(name: str, value: float, unit: Unit) -> str | None:
    """A value as it is read, where that is all of it."""
    if cut_figure(name).quantity is Quantity.COUNT:
        return f"{value:g}"
    text = format_length(value, unit=unit)
    return text if same_length(parse_length(text, unit=unit), value) else None


def _read(name: str, text: str, unit: Unit) -> float:
    is_count = cut_figure(name).quantity is Quantity.COUNT
    return float(text) if is_count else parse_length(text, unit=unit)


def _codes(bag: Bag) -> list[str]:
    return sorted(finding.code for finding in compute(bag).findings)


def _finished_shown(
    figure: FinishedFigure, result: Result, drawn: Mapping[str, float | None] | None
) -> str:
    """A finished size, and what is drawn to get it where that is another."""
    unit, value = result.bag.unit, result.finished[figure.name]
    sewn = _shown(figure, value, unit)
    was = value if drawn is None else drawn[figure.name]
    if value is None or was is None or abs(was - value) < _UNSEEN:
        return sewn
    words = {"sewn": sewn, "drawn": _shown(figure, was, unit)}
    return say("{sewn}, drawn {drawn}", words=words).text()


def _shown(figure: CutFigure | FinishedFigure, value: float | None, unit: Unit) -> str:
    if figure.quantity is Quantity.VOLUME:
        return format_volume(value, unit=unit)
    if value is None:
        return "–"
    return f"{value:g}" if figure.quantity is Quantity.COUNT else format_length(value, unit=unit)


def table_lines(
    rows: Sequence[tuple[str, ...]], *, right: Collection[int] = (), indent: str = "  "
) -> list[str]:
    """Rows with their columns level; those of the numbers `right`, from 0, end level."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if place in right else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append(f"{indent}{'  '.join(cells)}".rstrip())
    return lines


_FIGURE: Final = FINISHED[FILLED_NAMES[0]]


def filled(result: Result) -> "tuple[Result, Capacity]":
    """The result with its filled volumes, litres or None, and how they came about.

    Where the wall turns out to leave no room, that is among the findings as well.
    """
    from core.solid.capacity import capacity

    found = capacity(result.bag)
    finished = MappingProxyType({**result.finished, **found.volumes})
    drawn = MappingProxyType({**result.drawn, **found.drawn})
    findings = result.findings
    if found.no_room is not None and found.no_room not in findings:
        milder = [each for each in findings if each.code != "little-room-inside"]
        findings = (found.no_room, *milder)
    return replace(result, finished=finished, drawn=drawn, judged=findings), found


def with_filled(result: Result) -> Result:
    """The result with its filled volumes, litres or None."""
    return filled(result)[0]


def over_box_rows(found: "Capacity") -> list[tuple[str, str, str]]:
    """What is told of a filled bag beside its figures: label, value, no name."""
    if found.filled is None:
        return []
    over = "–" if found.filled_over_box is None else f"{found.filled_over_box:.2f}"
    return [(mark("Filled over box volume"), over, "")]


def filled_remark(found: "Capacity", show: ShowLength) -> str:
    """One sentence: what a filled volume means, or why there is none."""
    if found.not_filled is not None:
        return f"{_FIGURE.label}: {found.not_filled.text(show)}"
    return f"{_FIGURE.label}: {_FIGURE.help}"
