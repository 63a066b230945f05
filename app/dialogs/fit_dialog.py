"""From a measured bag: what a tape measure finds, and the pattern that comes nearest."""

from collections.abc import Mapping

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QDialogButtonBox, QVBoxLayout, QWidget

from app.dialogs.tape_rows import AGREES, TapeRows, left_text
from app.display import Display
from app.fitted_dialog import FittedDialog
from app.help.topics import Topic, set_topic
from app.theme import muted_colour, problem_colour
from app.toned_label import TonedLabel, keep_room
from app.words import from_core, marked, told_error
from core.bag import Bag
from core.compute import Result, compute
from core.errors import CornerwrightError
from core.redesign.fit import MEASURABLE, Fit, fit
from core.redesign.wants import label_of

TAPE, PATTERN, LEFT = 1, 2, 3
"""Columns."""

_HINTS: Mapping[str, str] = {
    "opening_width": marked("fit", "across the top, the closed bag lying flat"),
    "base_width": marked("fit", "side to side along the bottom, between the corner seams"),
    "face_height": marked("fit", "from the edge of the base up to the top fold"),
    "gusset_depth": marked("fit", "front to back across the bottom"),
    "zip_offset": marked("fit", "from the top fold down to the middle of the zip"),
    "pocket_height": marked("fit", "from its lower to its upper edge"),
    "handle_drop_front": marked("fit", "handle pulled up: its top above the top fold"),
    "handle_drop_back": marked("fit", "handle pulled up: its top above the top fold"),
}


class FitDialog(FittedDialog):
    """Takes measurements and fits the panel to them; `fitted` holds the result.

    Attributes:
        fitted: the pattern that comes nearest to what is typed; None while there is none.
    """

    def __init__(self, bag: Bag, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bag = bag
        self._display = display
        self._present: Result = compute(bag)
        self.fitted: Fit | None = None
        self.setWindowTitle(self.tr("From a measured bag"))
        set_topic(self, Topic.REDESIGN, "measured-bag")
        heads = (
            self.tr("Measure"),
            self.tr("Measured"),
            self.tr("Pattern"),
            self.tr("Difference"),
        )
        self.rows = TapeRows(display, heads, TAPE, self)
        for name in MEASURABLE:
            if self._present.finished[name] is not None:
                self.rows.add(name, from_core(label_of(name)), tr(_HINTS[name]))
        self.rows.edited.connect(self.refresh)
        self._build()
        self.refresh()

    @property
    def said(self) -> str:
        """What stands below the rows."""
        return self._said.text()

    def refresh(self) -> None:
        """Fit to what is typed now, and show what is left of each measurement."""
        self._said.set_tone(muted_colour)
        self.fitted = None
        if not self.rows.measured:
            self._said.setText(self.tr("Nothing is entered yet; the pattern stays as it is."))
        else:
            try:
                self.fitted = fit(self._bag, self.rows.measured)
                self._said.setText(self._verdict(self.fitted))
            except CornerwrightError as error:
                self._said.set_tone(problem_colour)
                self._said.setText(told_error(error, self._display))
        self._show_rows()
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(self.fitted is not None)

    def _build(self) -> None:
        lead = TonedLabel(
            muted_colour,
            self.tr(
                "Leave empty what you cannot measure. Measurements of a soft bag contradict one "
                "another a little: the pattern with matched corners that comes nearest to all of "
                "them is drawn."
            ),
            self,
        )
        lead.setWordWrap(True)
        self._said = TonedLabel(muted_colour, parent=self)
        keep_room(self._said, 3)
        self._buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel, self
        )
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setText(
            self.tr("Draw this pattern")
        )
        self._buttons.accepted.connect(self.accept)
        self._buttons.rejected.connect(self.reject)
        body = QVBoxLayout()
        body.setSpacing(12)
        for widget in (lead, self.rows, self._said):
            body.addWidget(widget)
        body.addStretch(1)
        self.lay_out(body, self._buttons, letters=(116, 0))

    def _show_rows(self) -> None:
        result = self._present if self.fitted is None else self.fitted.result
        for name in self.rows.boxes:
            value = result.finished[name]
            shown = "" if value is None else self._display.length(value)
            self.rows.show_text(name, PATTERN, shown)
            left = None if self.fitted is None else self.fitted.residuals.get(name)
            told = "" if left is None else left_text(left, self._display)
            self.rows.show_text(name, LEFT, told)

    def _verdict(self, found: Fit) -> str:
        if found.largest < AGREES:
            return self.tr("The measurements agree with one another.")
        name = max(found.residuals, key=lambda each: abs(found.residuals[each]))
        return self.tr(
            "The largest difference is {size}, of {figure}. More than about 1/4 in or 6 mm: "
            "measure that one again."
        ).format(size=self._display.difference(found.largest), figure=from_core(label_of(name)))

    # Qt's own names from here on.

    def accept(self) -> None:
        if self.rows.finish() and self.fitted is not None:
            super().accept()


def tr(text: str) -> str:
    """A text of the fit in the reader's language."""
    return QCoreApplication.translate("fit", text)
