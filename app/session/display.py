"""How a bag is shown: unit, ruler step, paper, currency, shared by every view; never its own.

What the core says is put into the reader's language and unit here. Templates and labels are
marked where they are defined; they are looked up here, so that every view translates them alike.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QCoreApplication, QObject, Signal

from core.bag.compute import Result
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import CornerwrightError
from core.base.quantities import Reckoning, format_volume, money
from core.base.sanitize import on_one_line
from core.base.sentences import MINUS, Language, Sentence, Template, joined, mark, plural, say
from core.base.units import (
    MM_PER_INCH,
    NEAR,
    NO_BREAK,
    LengthTextError,
    Unit,
    default_step,
    format_exact,
    format_length,
    ruler_steps,
    unbroken,
)
from core.bodies.table import BODIES
from core.drawing.lettering import Wording
from core.model.figures import CutFigure, FinishedFigure, Quantity
from core.model.findings import Finding, Severity

if TYPE_CHECKING:
    from core.output.papers import Paper

UNITS = {Unit.INCH: mark("Inches"), Unit.CM: mark("Centimetres"), Unit.MM: mark("Millimetres")}
"""Each unit, and what a list of them calls it."""
LEAST_MM = 0.05
"""Half of the last digit of a length in mm or cm: what is less is not read as a difference."""
_MARK = f"{NEAR}{NO_BREAK}"
DASH = "–"
"""Of a figure that a bag does not have."""
_KEPT = 512
"""How many lengths are remembered as they are read: those of some ten changes of a bag."""
SAME = 1e-6
"""Differences below this (mm, litres) are no change."""

Figure = CutFigure | FinishedFigure
FIGURES: tuple[Figure, ...] = (*FINISHED_FIGURES, *CUT_FIGURES)
"""Every figure, what is finished first."""


class Display(QObject):
    """The reader's unit, ruler step, paper and currency.

    Signals:
        changed: one of them is another one; views show their texts again.
    """

    changed = Signal()

    def __init__(
        self,
        unit: Unit = Unit.INCH,
        step: float | None = None,
        parent: QObject | None = None,
        *,
        steps: Mapping[Unit, float] | None = None,
    ) -> None:
        super().__init__(parent)
        self._unit = unit
        self._steps = {each: default_step(each) for each in Unit} | dict(steps or {})
        if step is not None:
            self._steps[unit] = step
        self._paper: Paper | None = None
        self._currency = ""

    @property
    def unit(self) -> Unit:
        """The unit shown, and the one of bare numbers that are typed."""
        return self._unit

    @property
    def step(self) -> float:
        """Ruler step, mm: arrows, wheel and drags move by it."""
        return self._steps[self._unit]

    @property
    def steps(self) -> Mapping[Unit, float]:
        """Unit -> the ruler step that goes with it, mm."""
        return MappingProxyType(self._steps)

    def set_unit(self, unit: Unit) -> None:
        """Show another unit, with the ruler step that goes with it."""
        if unit is not self._unit:
            self._unit = unit
            self.changed.emit()

    def set_step(self, step: float) -> None:
        """Use another ruler step with this unit, mm; one of `ruler_steps(unit)`."""
        self.set_step_of(self._unit, step)

    def move_step(self, way: int) -> None:
        """Use the next finer ruler step, -1, or the next coarser one, 1, if there is one."""
        steps = ruler_steps(self._unit)
        place = steps.index(self.step) + way
        if 0 <= place < len(steps):
            self.set_step(steps[place])

    def set_step_of(self, unit: Unit, step: float) -> None:
        """Let another ruler step go with a unit, mm; one of `ruler_steps(unit)`."""
        if step not in ruler_steps(unit):
            raise ValueError(f"{step} mm is no ruler step of {unit}")
        if step != self._steps[unit]:
            self._steps[unit] = step
            if unit is self._unit:
                self.changed.emit()

    @property
    def paper(self) -> "Paper":
        """The cut sheet to print on: the one that was chosen, else the usual one of the unit."""
        from core.output.papers import usual_paper  # with the first print, after the window

        return self._paper or usual_paper(self._unit)

    def set_paper(self, paper: "Paper | None") -> None:
        """Print on this cut sheet; None: on the usual one of the unit."""
        if paper != self._paper:
            self._paper = paper
            self.changed.emit()

    @property
    def currency(self) -> str:
        """The code of the currency that prices are in; empty where nobody says which."""
        return self._currency

    def set_currency(self, code: str) -> None:
        """Tell prices in this currency, one of `quantities.CURRENCIES`; empty: in none."""
        if code != self._currency:
            self._currency = code
            self.changed.emit()

    def money(self, amount: float) -> str:
        """An amount of money as it is read: one word that no line breaks."""
        return unbroken(money(amount, self._currency))

    @property
    def wording(self) -> Wording:
        """How lengths, amounts, money and texts reach the reader."""
        return Wording(
            show=self.length, translate=translated, unit=self._unit, currency=self._currency
        )

    def length(self, mm: float) -> str:
        """A length as it is read, with its unit: one word that no line breaks."""
        return _in_one_piece(self.typed(mm))

    def typed(self, mm: float) -> str:
        """A length as it is typed, and as other programs read it: with plain spaces."""
        return _written(mm, self._unit, self.step)

    def bare(self, mm: float) -> str:
        """A length as it is read, without its unit."""
        return _in_one_piece(_written(mm, self._unit, self.step, suffix=False))

    def is_near(self, mm: float) -> bool:
        """Whether a length is shown as being only near: between two marks of the ruler."""
        return self.bare(mm).startswith(NEAR)

    def difference(self, mm: float) -> str:
        """How far two lengths lie apart, unsigned, to a quarter of the finest ruler step.

        Empty for what is too small to be read; never marked as being only near.
        """
        fine = ruler_steps(self._unit)[0] / 4
        if abs(mm) < (fine / 2 if self._unit is Unit.INCH else LEAST_MM):
            return ""
        text = format_length(abs(mm), unit=self._unit, step=fine)
        return _in_one_piece(text).removeprefix(_MARK)

    def signed(self, mm: float, *, suffix: bool = True) -> str:
        """A difference with its sign, as in `+1/2 in` or `≈ −1/2 in`; empty for none."""
        text = self.length(mm) if suffix else self.bare(mm)
        if reads_as_nothing(text):
            return ""
        near = _MARK if text.startswith(_MARK) else ""
        return f"{near}+{text.removeprefix(near)}" if mm > 0 else text

    def thickness(self, mm: float) -> str:
        """A thickness as it is typed: in mm, as the trade tells it, with inches for who reads them.

        A ruler's fractions say nothing about the thickness of cloth.
        """
        text = format_exact(mm, unit=Unit.MM)
        return f"{text} ({mm / MM_PER_INCH:.3f} in)" if self._unit is Unit.INCH else text

    def volume(self, litres: float | None) -> str:
        return format_volume(litres, unit=self._unit)


class _Window(Language):
    """The language that the window is shown in."""

    def __call__(self, text: str, /) -> str:
        return QCoreApplication.translate("Cornerwright", text)

    def plural(self, one: str, many: str, count: int, /) -> str:
        return self(one if count == 1 else many)


translated: Final = _Window()
"""A label, template or word that is marked where it is defined, in the reader's language."""


def tr(text: str) -> str:
    """A text that stands where it is shown, as `self.tr` has it, outside of Qt's classes."""
    return translated(text)


@lru_cache(maxsize=_KEPT)
def _written(mm: float, unit: Unit, step: float, *, suffix: bool = True) -> str:
    """As `format_length`; kept, for a change shows the same few lengths in several views."""
    return format_length(mm, unit=unit, step=step, suffix=suffix)


def _in_one_piece(length: str) -> str:
    """A length on its own, as `unbroken` has it: every space in it is within an amount."""
    return length.replace(" ", NO_BREAK)


def plain_name(text: str) -> str:
    """A name as typed, on one line; half a character, which no file can hold, is left out."""
    return " ".join(text.encode(errors="ignore").decode().split())


def construction_name(kind: str) -> str:
    """What the construction of a kind of body is called; one of a later version by its kind."""
    labels = {each.KIND: each.LABEL for each in BODIES}
    return translated(labels[kind]) if kind in labels else on_one_line(kind)[:60]


def plain_tip(text: str) -> str:
    """A tip that shows the text as it is: Qt would take one with a tag in it for markup."""
    if set(text).isdisjoint("<&"):
        return text
    from html import escape  # seldom, and it loads the names of two thousand signs

    return f"<span>{escape(text)}</span>"


def told(sentence: Sentence, display: Display) -> str:
    """A sentence of the core in the reader's language and unit."""
    return unbroken(sentence.text(show=display.length, translate=translated))


def told_error(error: CornerwrightError, display: Display) -> str:
    """What one of the core's errors says."""
    return told(error.sentence, display)


def told_detail(error: CornerwrightError, display: Display) -> str:
    """What an error says to whoever knows the format of a file; empty for nothing."""
    return "" if error.detail is None else told(error.detail, display)


def told_rule(error: LengthTextError) -> str:
    """What would be right instead of a text that is no length."""
    return translated(error.template).format(**error.words)


_COUNTS = {
    Severity.STOP: plural("1 stop", "{count} stops"),
    Severity.WARN: plural("1 warning", "{count} warnings"),
    Severity.NOTE: plural("1 note", "{count} notes"),
}


def counted(findings: Iterable[Finding]) -> str:
    """How many findings of each severity, worst first: 1 stop, 2 notes; empty for none."""
    counts = Counter(finding.severity for finding in findings)
    told = [say(_COUNTS[each], numbers={"count": counts[each]}) for each in _COUNTS if counts[each]]
    return joined(told).text(translate=translated) if told else ""


def told_reckoning(found: Reckoning, shown: Callable[[float], str]) -> str:
    """What a typed change or sum came to: 18 1/2 in + 2 cm ≈ 19 1/4 in; empty for a plain value.

    `shown` writes a value as it is read, with its unit.
    """
    if found.is_plain:
        return ""
    words = " ".join(" ".join(filter(None, step)) for step in found.steps)
    result = shown(found.value)
    # One sign is enough: what lies off the ruler says itself that it is only near.
    result = result if result.startswith(NEAR) else f"= {result}"
    if found.stood is None:
        return f"{words} {result}"
    sign, share = found.steps[0]
    if sign == "%":
        template = tr("{share} of {value} {result}")
        return template.format(share=share, value=shown(found.stood), result=result)
    return f"{shown(found.stood)} {words} {result}"


def shown_size(size: tuple[Template, Mapping[str, float]], display: Display) -> str:
    """A cut size as it is read; its widths stand before lengths that tell the unit."""
    template, gaps = size
    shown = {
        name: display.bare(mm) if name == "width" else display.length(mm)
        for name, mm in gaps.items()
    }
    return translated(template).format(**shown)


def figure_value(result: Result, figure: Figure) -> float | None:
    """One cut or finished figure of a bag, mm, litres or pieces; None where it has none."""
    if isinstance(figure, FinishedFigure):
        return result.finished[figure.name]
    return result.cut[figure.name]


def shown_value(quantity: Quantity, value: float | None, display: Display) -> str:
    """A value as it is read, with its unit; a dash for none."""
    if value is None:
        return DASH
    if quantity is Quantity.LENGTH:
        return display.length(value)
    return f"{value:g}" if quantity is Quantity.COUNT else shown_litres(value)


def is_changed(was: float | None, value: float | None) -> bool:
    """Whether a value came, went or moved."""
    if was is None or value is None:
        return was is not value
    return abs(value - was) >= SAME


def shown_difference(
    quantity: Quantity, difference: float, display: Display, *, suffix: bool = True
) -> str:
    """How much more or less, signed, as it is read; empty for what is too little to be read."""
    if quantity is Quantity.LENGTH:
        return display.signed(difference, suffix=suffix)
    size = abs(difference)
    text = f"{size:g}" if quantity is Quantity.COUNT else shown_litres(size)
    return signed_text(difference, text)


def reads_as_nothing(text: str) -> bool:
    """Whether a number as it is read is zero."""
    return set(text).isdisjoint("123456789")


def signed_text(difference: float, size: str) -> str:
    """The text of a size with the sign of what it tells; empty where it reads as nothing."""
    if reads_as_nothing(size):
        return ""
    return f"{'+' if difference > 0 else MINUS}{size}"


def shown_litres(litres: float) -> str:
    """A volume as it stands in its box."""
    return f"{litres:.2f} L".replace("-", MINUS)
