"""Load and thread: what is carried, what the handles are sewn with, and what follows."""

import re
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtWidgets import QDialogButtonBox, QFormLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.session.display import Display, told, told_error, translated
from app.widgets.dialog import FittedDialog
from app.widgets.labels import Verdict
from app.widgets.layouts import button, holding, spaced
from core.bag.compute import Result
from core.bag.making import KG_PER_POUND, LABELS, MOST, Load
from core.base.errors import CornerwrightError, FieldError
from core.base.quantities import MM3_PER_LITRE, MM3_PER_QUART
from core.base.sentences import Sentence, Template, mark
from core.base.units import Unit, parse_number
from core.parts.handles.handles import Handles
from core.sewing.strength import load_finding, load_of, load_text

_NO_NUMBER = mark("{label} is “{value}”: it must be a number such as {example}.")
_TOO_FAR = mark("{label} is {value}: it must be at least {least} and at most {most}.")
_GROUPED = re.compile(r",\d{3}(?!\d)")


@dataclass(frozen=True, slots=True)
class _Measure:
    """How one field is read: so many of the core's units in one of the reader's, and its word."""

    each: float
    word: str


class LoadDialog(FittedDialog):
    """Edits a project's load; `load` is the changed one after it was accepted.

    Args:
        result: the bag, for what follows.
        inside_filled: what it holds, filled, inside its wall, litres; None where that is
            not known.
        load: as it is; None for the usual one.
    """

    def __init__(
        self,
        result: Result,
        inside_filled: float | None,
        load: Load | None,
        display: Display,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.load = load
        self._result, self._holds, self._display = result, inside_filled, display
        self._measures = self._measures_in(display.unit)
        self._kept = load or Load()
        self._shown: dict[str, str] = {}
        self.fields: dict[str, QLineEdit] = {}
        self.setWindowTitle(self.tr("Load and thread"))
        set_topic(self, Topic.LOAD)
        self._build()
        self._fill(self._kept)

    def _measures_in(self, unit: Unit) -> dict[str, _Measure]:
        if unit is Unit.INCH:
            density = _Measure(
                KG_PER_POUND / (MM3_PER_QUART / MM3_PER_LITRE) * 1000, self.tr("lb per quart")
            )
            thread = _Measure(1.0, self.tr("lb"))
        else:
            density = _Measure(1000.0, self.tr("kg per litre"))
            thread = _Measure(1 / KG_PER_POUND, self.tr("kg"))
        return {
            "density": density,
            "needle_thread": thread,
            "bobbin_thread": thread,
            "safety": _Measure(1.0, ""),
        }

    def _build(self) -> None:
        form = QFormLayout()
        for name, tip in (
            ("density", self.tr("Weight of what is carried, for its volume.")),
            ("needle_thread", self.tr("Breaking strength of one thread, as its maker gives it.")),
            ("bobbin_thread", self.tr("The weaker of the two threads counts.")),
            ("safety", self.tr("The estimated strength is divided by this number.")),
        ):
            self._add_field(form, name, tip)
        hints = (
            self.tr("Water is 2.09 lb per quart, a full grocery bag about 0.6.")
            if self._display.unit is Unit.INCH
            else self.tr("Water is 1 kg per litre, a full grocery bag about 0.3.")
        )
        form.insertRow(1, "", self.hint(hints))
        self.verdict = Verdict(7, self)
        buttons = self.ok_and_cancel()
        tip = self.tr("Fill in the values that are used when you know none of your own.")
        usual = self.tr("&Usual values")
        self.usual = button(usual, self, tip, then=lambda: self._fill(Load()))
        buttons.addButton(self.usual, QDialogButtonBox.ButtonRole.ResetRole)
        body = holding(spaced(QVBoxLayout(), 12), form, self.verdict, None)
        self.lay_out(body, buttons, letters=(84, 24))

    def _add_field(self, form: QFormLayout, name: str, tip: str) -> None:
        field = QLineEdit(self)
        field.setToolTip(tip)
        word = self._measures[name].word
        label = translated(LABELS[name])
        text = self.tr("{label}, {unit}").format(label=label, unit=word) if word else label
        field.setAccessibleName(text)
        field.textEdited.connect(self._on_edited)
        name_label = QLabel(text, self)
        name_label.setBuddy(field)
        form.addRow(name_label, field)
        self.fields[name] = field

    def _fill(self, load: Load) -> None:
        self._kept = load
        for name, field in self.fields.items():
            self._shown[name] = f"{getattr(load, name) / self._measures[name].each:.3g}"
            field.setText(self._shown[name])
        self._on_edited()

    def _read(self) -> Load:
        """What the fields say; a FieldError says what cannot be."""
        values: dict[str, Any] = {name: self._value(name) for name in self.fields}
        return replace(self._kept, **values)

    def _value(self, name: str) -> float:
        text = self.fields[name].text().strip()
        kept: float = getattr(self._kept, name)
        if text == self._shown[name]:  # its digits were cut for reading: the value is not
            return kept
        # 1,250 may be one thousand or one and a quarter: only the maker knows.
        value = None if _GROUPED.search(text) else parse_number(text.replace(",", "."))
        if not value:
            raise self._refusal(name, _NO_NUMBER, value=text[:40], example=self._shown[name])
        each = self._measures[name].each
        least, most = (1.0 if name == "safety" else 0.0), MOST[name] / each
        if not least <= value <= most:
            limits = {"least": f"{least:g}", "most": f"{most:.4g}"}
            raise self._refusal(name, _TOO_FAR, value=text[:40], **limits)
        return value * self._measures[name].each

    def _refusal(self, name: str, template: Template, **words: str) -> FieldError:
        said = {"label": translated(LABELS[name]), **words}
        return FieldError(Sentence(template, words=said), field=name, value=words["value"])

    def _on_edited(self) -> None:
        try:
            load = self._read()
        except CornerwrightError as error:
            self.verdict.complain(told_error(error, self._display))
            return
        self.verdict.say(self._what_follows(load))

    def _what_follows(self, load: Load) -> str:
        estimate = load_of(self._result, self._holds, load)
        if estimate is None:
            if Handles.SLOT not in self._result.bag.parts:
                return self.tr("This bag has no handles to carry it by.")
            return self.tr("How much the filled bag holds is still being worked out.")
        sentences = list(load_text(estimate, self._display.unit))
        finding = load_finding(estimate, self._display.unit)
        if finding is not None:
            sentences.insert(1, finding.message)
        return "\n\n".join(told(sentence, self._display) for sentence in sentences)

    # Qt's own names from here on.

    def accept(self) -> None:
        try:
            load = self._read()
        except FieldError as error:
            self._on_edited()
            self.fields[error.field].setFocus()
            self.fields[error.field].selectAll()
            return
        self.load = None if load == Load() else load
        super().accept()
