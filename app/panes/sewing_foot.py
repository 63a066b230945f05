"""The line below the order of sewing: how much is done, the load, the booklet."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QIcon, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QStyle,
    QWidget,
)

from app.display import Display
from app.load_watch import LoadWatch
from core.sewing.load import KG_PER_POUND
from core.units import Unit

GAP = 8


class SewingFoot(QWidget):
    """Progress on the left, load and booklet on the right; below each other where it is narrow."""

    def __init__(self, display: Display, load: LoadWatch, parent: QWidget) -> None:
        super().__init__(parent)
        self._display = display
        self._load = load
        self.done_text = QLabel(self)
        self.progress = QProgressBar(self)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(8)
        self.progress.setMinimumWidth(24)
        self.progress.setMaximumWidth(160)
        self.progress.setAccessibleName(self.tr("Steps done"))
        self.load_text = QLabel(self)
        self.load_text.setTextFormat(Qt.TextFormat.PlainText)
        self.load_button = QPushButton(self.tr("Change &load…"), self)
        self.booklet_button = QPushButton(self.tr("Export &booklet…"), self)
        self.booklet_button.setToolTip(
            self.tr(
                "Sizes, materials, cutting plan and every step with its drawing: PDF or web page."
            )
        )
        for button in (self.load_button, self.booklet_button):
            button.setAutoDefault(False)
        self._lay_out()
        load.changed.connect(self.show_load)
        self.show_load()

    def show_done(self, done: int, count: int) -> None:
        """Tell how many of the steps are ticked."""
        self.progress.setRange(0, max(count, 1))
        self.progress.setValue(done)
        told = self.tr("{done} of {count} done").format(done=done, count=count)
        self.done_text.setText(told)

    def show_load(self) -> None:
        """The filled bag against its handles, in two lines; a sign where it is too heavy."""
        estimate = self._load.estimate
        text, icon = "", QIcon()
        if estimate is not None:
            told = self.tr("Filled, it weighs {weight}\nOne handle holds {allowed}, both {both}")
            weight = self._mass(estimate.weight) if self._load.current else "…"
            allowed, both = self._mass(estimate.allowed), self._mass(estimate.allowed_by_both)
            text = told.format(weight=weight, allowed=allowed, both=both)
            if estimate.heavy and self._load.current:
                icon = self.style().standardIcon(QStyle.StandardPixmap.SP_MessageBoxWarning)
        self.load_text.setText(text)
        self.load_text.setVisible(bool(text))
        self.load_button.setIcon(icon)
        self.load_button.setAccessibleDescription(text.replace("\n", ". "))
        tip = self.tr(
            "The weight of the filled bag, and what one handle and both together may carry, by an "
            "estimate of their stitching. Click to enter your own load, thread and safety."
        )
        for widget in (self.load_text, self.load_button):
            widget.setToolTip(tip)
        self._place()

    def _lay_out(self) -> None:
        self._ticked, self._asked = QHBoxLayout(), QHBoxLayout()
        self._ticked.addWidget(self.done_text)
        self._ticked.addWidget(self.progress, 1)
        self._ticked.addStretch(1)
        self._done = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._done.addLayout(self._ticked, 1)
        self._done.addWidget(self.load_text)
        self._asked.addStretch(1)
        for widget in (self.load_button, self.booklet_button):
            self._asked.addWidget(widget)
        self._line = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._line.setContentsMargins(GAP, 4, GAP - 2, 4)
        for part in (self._ticked, self._done, self._asked):
            part.setSpacing(GAP)
        for part in (self._done, self._asked):
            self._line.addLayout(part, 1)
        self._line.setSpacing(GAP)

    def _place(self) -> None:
        """Beside each other where all have room, else below each other."""
        load = 0 if self.load_text.isHidden() else self.load_text.sizeHint().width() + GAP
        done = self._ticked.sizeHint().width() + load
        wanted = done + self._asked.sizeHint().width() + 3 * GAP
        for line, width in ((self._line, wanted), (self._done, done + 2 * GAP)):
            across, down = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
            direction = across if width <= self.width() else down
            if direction != line.direction():
                line.setDirection(direction)
                self.updateGeometry()

    def _mass(self, kg: float) -> str:
        if self._display.unit is Unit.INCH:
            return self.tr("{mass} lb").format(mass=f"{kg / KG_PER_POUND:.0f}")
        return self.tr("{mass} kg").format(mass=f"{kg:.1f}")

    # Qt's own names from here on.

    def minimumSizeHint(self) -> QSize:
        load = 0 if self.load_text.isHidden() else self.load_text.minimumSizeHint().width()
        width = max(load, *(part.minimumSize().width() for part in (self._ticked, self._asked)))
        return QSize(width + 2 * GAP, self._line.minimumSize().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()
