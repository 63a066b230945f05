"""The table of changes: loaded with the first change, so that the window opens sooner."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QAbstractTableModel, QObject, Qt
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QTableView, QWidget

from app.session.display import plain_tip
from app.widgets.models import ROOT, Index

if TYPE_CHECKING:
    from app.views.changes.pane import Difference

RULER = 4
"""Column of what the ruler cost; shown while there is something to tell."""
BEFORE = 1
"""Column of what the figure was; given up first where there is no room for all."""
LONGEST_HEAD = 24
"""Characters of a starting bag's name that stand over its column."""
LEAST_LABEL, WIDEST_HEAD = 12, 18
"""Of a measure's name, and of a head that is longer than its figures: in letters."""


class ChangesModel(QAbstractTableModel):
    """The lines of the table."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.lines: list[Difference] = []
        self._heads = [
            self.tr("Measure"),
            self.tr("Before"),
            self.tr("After"),
            self.tr("Difference"),
            self.tr("Due to rounding"),
        ]
        self._before = ""

    def name_before(self, name: str) -> None:
        """Say over its column what changes are told against; empty for the bag as opened."""
        if name != self._before:
            self._before = name
            short = name if len(name) <= LONGEST_HEAD else f"{name[: LONGEST_HEAD - 1]}…"
            self._heads[1] = short or self.tr("Before")
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 1, 1)

    def show_lines(self, lines: "list[Difference]") -> None:
        """List other lines; the view keeps its place while the same figures are listed."""
        if [line.about for line in lines] == [line.about for line in self.lines]:
            self.lines = lines
            if lines:
                self.dataChanged.emit(self.index(0, 1), self.index(len(lines) - 1, RULER))
            return
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def columns(self) -> list[set[str]]:
        """The texts of each column, from left to right."""
        lines = ((*line.texts, line.ruler) for line in self.lines)
        return [set(texts) for texts in zip(*lines, strict=True)]

    def _whole(self, line: "Difference") -> str:
        """Everything that a line says, also what there is no column for."""
        label, before, after, difference = line.texts
        told = self.tr("{measure}: {before} → {after}").format(
            measure=label, before=before, after=after
        )
        told = f"{told}, {difference}" if difference else told
        if line.ruler:
            told = self.tr("{change}, {ruler} due to rounding").format(
                change=told, ruler=line.ruler
            )
        return told

    # Qt's own names from here on.

    def rowCount(self, parent: Index = ROOT) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = ROOT) -> int:
        return 0 if parent.isValid() else len(self._heads)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        line = self.lines[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return line.ruler if index.column() == RULER else line.texts[index.column()]
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_tip(self._whole(line))
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() > 0:
            return int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation is not Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._heads[section]
        if role == Qt.ItemDataRole.ToolTipRole and section == 1:
            return plain_tip(self._before) or None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if section else Qt.AlignmentFlag.AlignLeft
            return int(side | Qt.AlignmentFlag.AlignVCenter)
        return None


class ChangesTable(QTableView):
    """Shows the lines, with as many columns as there is room for."""

    def __init__(self, model: ChangesModel, parent: QWidget) -> None:
        super().__init__(parent)
        self._lines = model
        self._widths: dict[int, int] = {}
        self.setModel(model)
        model.modelReset.connect(self.forget_widths)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setAlternatingRowColors(True)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 6)
        head = self.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setMinimumSectionSize(1)
        head.setHighlightSections(False)

    def forget_widths(self) -> None:
        """Let columns be as narrow as what stands in them now."""
        self._widths.clear()

    def fit_columns(self, width: int) -> None:
        """Show as many columns as can be read in so many px; the difference is never cut off.

        While the same figures are listed columns only grow: they stand still while a key is held.
        """
        if not self._lines.lines:
            return
        metrics, head = self.fontMetrics(), self.horizontalHeader()
        letter = metrics.averageCharWidth()
        first, said = self._lines.index(0, BEFORE), self._lines.lines[0].texts[BEFORE]
        beside = self.sizeHintForIndex(first).width() - metrics.horizontalAdvance(said)
        widths: dict[int, int] = {}
        # A column that comes and goes has all of the table laid out and painted again.
        is_ruled = any(line.ruler for line in self._lines.lines)
        self.setColumnHidden(RULER, not is_ruled)
        for column, texts in enumerate(self._lines.columns()):
            if not column or (column == RULER and not is_ruled):
                continue
            self.setColumnHidden(column, False)  # a hidden head tells no width
            widths[column] = max(
                self._widths.get(column, 0),
                # The table would ask for each line's font, sign and colour as well.
                max(map(metrics.horizontalAdvance, texts)) + beside + 5,
                min(head.sectionSizeHint(column), WIDEST_HEAD * letter),
            )
        self._widths.update(widths)
        shown = set(widths)
        bar = self.verticalScrollBar().sizeHint().width()
        room = width - bar - LEAST_LABEL * letter
        for column in (BEFORE, RULER):
            if sum(widths[each] for each in shown) > room:
                shown.discard(column)
        for column, wide in widths.items():
            self.setColumnHidden(column, column not in shown)
            head.resizeSection(column, wide)
