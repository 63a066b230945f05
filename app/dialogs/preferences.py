"""The preferences: unit, ruler, paper, zips that are sold, and what redesigning keeps to."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialogButtonBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.help.topics import Topic, set_topic
from app.session.display import UNITS, Display, told_error, told_rule, translated
from app.session.settings import Preferences, usual
from app.widgets.dialog import FittedDialog
from app.widgets.inputs import OptionBox
from app.widgets.labels import TonedLabel
from app.widgets.layouts import holding
from app.widgets.menus import without_mnemonic
from app.widgets.theme import problem_colour
from core.base.errors import FieldError
from core.base.quantities import CURRENCIES
from core.base.units import LengthTextError, Unit, format_length, ruler_steps
from core.goods.supplies import Supplies, zip_lengths_of
from core.output.papers import DESK_PAPERS, Paper


class PreferencesDialog(FittedDialog):
    """Shows preferences and lets them be changed.

    Signals:
        applied(Preferences): these are to hold from now on.
    """

    applied = Signal(object)

    def __init__(
        self, preferences: Preferences, display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._display = display
        self.setWindowTitle(self.tr("Preferences"))
        set_topic(self, Topic.PREFERENCES)
        self._make_rows()
        self._build()
        self._fill(preferences)

    @property
    def problem(self) -> str:
        """What is wrong with the lengths of zips; empty for nothing."""
        return self._problem.text()

    def _make_rows(self) -> None:
        self.unit = OptionBox(self)
        self.unit.addItem(self.tr("The bag’s own"), None)
        self.steps: dict[Unit, OptionBox] = {}
        for unit, title in UNITS.items():
            self.unit.addItem(translated(title), unit)
            box = self.steps[unit] = OptionBox(self)
            for step in ruler_steps(unit):
                box.addItem(format_length(step, unit=unit, step=step), step)
        self.paper = OptionBox(self)
        self.paper.addItem(self.tr("Letter for inches, else A4"), None)
        for paper in DESK_PAPERS:
            self.paper.addItem(paper.name, paper)
        self.currency = OptionBox(self)
        self.currency.addItem(self.tr("None"), "")
        for code in sorted(CURRENCIES):
            self.currency.addItem(code, code)
        self.zips = QLineEdit(self)
        usual = Supplies().zips_offered(self._display.unit)
        self.zips.setPlaceholderText(self._listed(usual))
        self._problem = TonedLabel(problem_colour, parent=self)
        self._problem.setWordWrap(True)
        self.zips.textEdited.connect(self._problem.clear)
        self.rounding = QCheckBox(self.tr("&Keep to the ruler while redesigning"), self)
        self.rounding.setToolTip(
            self.tr("What changes when you type a finished size is rounded to the ruler step.")
        )
        self.opens_last = QCheckBox(self.tr("&Begin with the bag that was open last"), self)
        self.opens_last.setToolTip(self.tr("Otherwise a start shows the demo bag."))

    def _build(self) -> None:
        form = QFormLayout()
        tip = self.tr("Unit in which every bag is shown, whatever its file says.")
        self._add(form, self.tr("&Unit"), self.unit, tip)
        tip = self.tr("Step by which arrow keys, wheel and dragging change measures.")
        self._add(form, self.tr("Ruler step in &inches"), self.steps[Unit.INCH], tip)
        self._add(form, self.tr("Ruler step in &centimetres"), self.steps[Unit.CM], tip)
        self._add(form, self.tr("Ruler step in &millimetres"), self.steps[Unit.MM], tip)
        tip = self.tr("Paper suggested for the pattern, the booklet and the materials list.")
        self._add(form, self.tr("&Paper"), self.paper, tip)
        tip = self.tr("Currency of all prices, by its code; no price is changed by it.")
        self._add(form, self.tr("C&urrency"), self.currency, tip)
        tip = self.tr(
            "Zip lengths that your shop sells, separated by semicolons; leave it empty for the "
            "usual ones. A bag that has a list of its own keeps to that."
        )
        self._add(form, self.tr("&Zips are sold in"), self.zips, tip)
        form.addRow("", self._problem)
        form.addRow("", self.rounding)
        form.addRow("", self.opens_last)
        kinds = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(
            kinds.Ok | kinds.Cancel | kinds.Apply | kinds.RestoreDefaults, self
        )
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        self.buttons.button(kinds.Apply).clicked.connect(self.apply)
        self.buttons.button(kinds.RestoreDefaults).clicked.connect(lambda: self._fill(usual()))
        self.lay_out(holding(QVBoxLayout(), form, None), self.buttons)

    def _add(self, form: QFormLayout, text: str, field: QWidget, tip: str) -> None:
        label = QLabel(text, self)
        label.setBuddy(field)
        label.setToolTip(tip)
        field.setToolTip(tip)
        field.setAccessibleName(without_mnemonic(text))
        form.addRow(label, field)

    def _fill(self, preferences: Preferences) -> None:
        _choose(self.unit, preferences.unit)
        for unit, step in preferences.steps.items():
            _choose(self.steps[unit], step)
        _choose(self.paper, preferences.paper)
        _choose(self.currency, preferences.currency)
        self._zips = preferences.shop_zips
        self._zips_shown = self._listed(preferences.shop_zips or ())
        self.zips.setText(self._zips_shown)
        self._problem.setText("")
        self.rounding.setChecked(preferences.rounding)
        self.opens_last.setChecked(preferences.opens_last)

    def _listed(self, lengths: tuple[float, ...]) -> str:
        return "; ".join(map(self._display.typed, lengths))

    def _read(self) -> Preferences:
        """What is chosen.

        LengthTextError: the lengths of zips are none; FieldError: they are none that a zip has.
        """
        paper: Paper | None = self.paper.currentData()
        return Preferences(
            unit=self.unit.currentData(),
            steps={unit: box.currentData() for unit, box in self.steps.items()},
            paper=paper,
            currency=self.currency.currentData(),
            shop_zips=self._read_zips(),
            rounding=self.rounding.isChecked(),
            opens_last=self.opens_last.isChecked(),
        )

    def _read_zips(self) -> tuple[float, ...] | None:
        text = self.zips.text()
        if text == self._zips_shown:  # its digits were cut for reading: the lengths are not
            return self._zips
        return zip_lengths_of(text, self._display.unit) if text.strip() else None

    def apply(self) -> bool:
        """Let what is chosen hold; False, and said why, where it cannot be."""
        try:
            wanted = self._read()
        except LengthTextError as error:
            field = self.zips.accessibleName()
            self._refuse(self.tr("{field}: {rule}.").format(field=field, rule=told_rule(error)))
            return False
        except FieldError as error:
            self._refuse(told_error(error, self._display))
            return False
        self.applied.emit(wanted)
        self._fill(wanted)
        return True

    def _refuse(self, problem: str) -> None:
        self._problem.setText(problem)
        self.zips.setFocus()

    # Qt's own names from here on.

    def accept(self) -> None:
        if self.apply():
            super().accept()


def _choose(box: QComboBox, wanted: object) -> None:
    """Choose the option of this value; Qt would compare a record by its text."""
    for place in range(box.count()):
        if box.itemData(place) == wanted:
            box.setCurrentIndex(place)
