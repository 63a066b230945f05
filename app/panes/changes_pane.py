"""Changes: what differs from the bag as it was opened, before and after."""

from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    QTimer,
)
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QLabel, QStackedLayout, QWidget

from app.display import Display
from app.document import Document
from app.words import from_core
from core.bag import CUT_FIGURES, FINISHED_FIGURES
from core.compute import Result
from core.figures import CutFigure, FinishedFigure, Kind

LATER = 60
"""Milliseconds after the last change at which the table is written again."""
SAME = 1e-6
"""Differences below this (mm, litres) are no change."""
NOTHING = "–"

Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True, slots=True)
class Difference:
    """One line: texts as they are read, and the figure that they are about."""

    figure: str
    texts: tuple[str, str, str, str]


def differences(starting: Result, now: Result, display: Display) -> list[Difference]:
    """Every cut and finished figure that is not what it was, in reading order."""
    figures: tuple[CutFigure | FinishedFigure, ...] = (*CUT_FIGURES, *FINISHED_FIGURES)
    before, after = {**starting.cut, **starting.finished}, {**now.cut, **now.finished}
    found = []
    for figure in figures:
        was, value = before[figure.name], after[figure.name]
        gone = (was is None) != (value is None)
        moved = was is not None and value is not None and abs(value - was) >= SAME
        if gone or moved:
            texts = (
                from_core(figure.label),
                _shown(figure.kind, was, display),
                _shown(figure.kind, value, display),
                _difference(figure.kind, was, value, display),
            )
            found.append(Difference(figure.name, texts))
    return found


def _shown(kind: Kind, value: float | None, display: Display) -> str:
    if value is None:
        return NOTHING
    if kind is Kind.LENGTH:
        return display.length(value)
    return f"{value:g}" if kind is Kind.COUNT else f"{value:.2f} L"


def _difference(kind: Kind, was: float | None, value: float | None, display: Display) -> str:
    if was is None or value is None:
        return ""
    sign = "+" if value > was else "−"
    return f"{sign} {_shown(kind, abs(value - was), display)}"


class ChangesModel(QAbstractTableModel):
    """The lines of the table."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lines: list[Difference] = []
        self._heads = (
            self.tr("Measure"),
            self.tr("Before"),
            self.tr("After"),
            self.tr("Difference"),
        )

    @property
    def lines(self) -> list[Difference]:
        """What is listed."""
        return self._lines

    def show_lines(self, lines: list[Difference]) -> None:
        """List other lines; the view keeps its place while the same figures are listed."""
        if [line.figure for line in lines] == [line.figure for line in self._lines]:
            self._lines = lines
            if lines:
                self.dataChanged.emit(self.index(0, 1), self.index(len(lines) - 1, 3))
            return
        self.beginResetModel()
        self._lines = lines
        self.endResetModel()

    # Qt's own names from here on.

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self._lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's own default
        return 0 if parent.isValid() else len(self._heads)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole):
            return self._lines[index.row()].texts[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() > 0:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def headerData(
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._heads[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if section else Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        return None


class ChangesPane(QFrame):
    """The table of changes; written again only while it can be seen."""

    def __init__(self, document: Document, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self.model = ChangesModel(self)
        self.setAccessibleName(self.tr("Changes"))
        self._nothing = QLabel(
            self.tr("Nothing differs from the bag as it was opened. Change a measure to compare."),
            self,
        )
        self._nothing.setWordWrap(True)
        self._nothing.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._nothing.setContentsMargins(8, 8, 8, 8)
        self._stack = QStackedLayout(self)
        self._stack.addWidget(self._nothing)
        self._soon = QTimer(self, singleShot=True, interval=LATER)
        self._soon.timeout.connect(self._on_soon)
        document.changed.connect(self._on_changed)
        display.changed.connect(self._on_changed)
        self.refresh()

    def refresh(self) -> None:
        """Write the table now."""
        self._soon.stop()
        lines = differences(self._document.starting, self._document.result, self._display)
        self.model.show_lines(lines)
        if lines and self._stack.count() == 1:
            self._stack.addWidget(self._make_table())
        self._stack.setCurrentIndex(1 if lines else 0)

    def _make_table(self) -> QWidget:
        # Imported and made with the first change: the window opens sooner without.
        from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

        table = QTableView(self)
        table.setModel(self.model)
        table.setFrameShape(QFrame.Shape.NoFrame)
        table.setShowGrid(False)
        table.setWordWrap(False)
        table.setAlternatingRowColors(True)
        table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        table.setAccessibleName(self.tr("Changes"))
        table.setTabKeyNavigation(False)
        table.verticalHeader().hide()
        height = table.fontMetrics().height() + 6
        table.verticalHeader().setDefaultSectionSize(height)
        head = table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setHighlightSections(False)
        table.activated.connect(self._on_activated)
        return table

    def _on_activated(self, index: QModelIndex) -> None:
        self._document.figure_asked.emit(self.model.lines[index.row()].figure)

    def _on_changed(self) -> None:
        self._soon.start()

    def _on_soon(self) -> None:
        if self.isVisible():
            self.refresh()

    # Qt's own names from here on.

    def showEvent(self, event: QShowEvent) -> None:
        self.refresh()
        super().showEvent(event)
