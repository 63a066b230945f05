"""The numbered list of steps: what is told in each row, and its tick."""

from PySide6.QtCore import (
    QAbstractListModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    Qt,
    Signal,
)

from app.panes.sewing_cards import Row
from app.words import plain_tip

Index = QModelIndex | QPersistentModelIndex
ROOT = QModelIndex()
"""Above the rows: what Qt asks about when it names nothing."""
ROW = Qt.ItemDataRole.UserRole
"""The whole `Row` of an index."""


class StepsModel(QAbstractListModel):
    """The rows, and which of them are done.

    Signals:
        tick_asked(str, bool): the maker ticks the step of this key, or takes its tick away.
    """

    tick_asked = Signal(str, bool)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Row, ...] = ()
        self._ticked: frozenset[str] = frozenset()

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is listed."""
        return self._rows

    @property
    def done(self) -> int:
        """How many of them are ticked."""
        return sum(row.key in self._ticked for row in self._rows)

    def show_rows(self, rows: tuple[Row, ...]) -> None:
        """List other rows; the view keeps its place while the same steps are listed."""
        if [row.key for row in rows] != [row.key for row in self._rows]:
            self.beginResetModel()
            self._rows = rows
            self.endResetModel()
        elif rows != self._rows:
            self._rows = rows
            self.dataChanged.emit(self.index(0), self.index(len(rows) - 1))

    def show_ticks(self, ticked: frozenset[str]) -> None:
        """Tick these steps and no others."""
        if ticked != self._ticked:
            self._ticked = ticked
            if self._rows:
                last = self.index(len(self._rows) - 1)
                self.dataChanged.emit(self.index(0), last, [Qt.ItemDataRole.CheckStateRole])

    def ticked(self, place: int) -> bool:
        """Whether the step at a place, from 0, is done."""
        return self._rows[place].key in self._ticked

    def place_of(self, key: str) -> int | None:
        """Where the step of this key stands, from 0; None when it is not listed."""
        return next((place for place, row in enumerate(self._rows) if row.key == key), None)

    def first_open(self) -> int:
        """The first place that is not done, from 0; the last of all where all are."""
        places = range(len(self._rows))
        return next((place for place in places if not self.ticked(place)), max(len(places) - 1, 0))

    def _told(self, row: Row) -> str:
        """A row as it is read out."""
        parts = [f"{row.number}. {row.title}."]
        if row.change:
            parts.append(self.tr("Change the machine settings: {change}").format(change=row.change))
        if row.care:
            parts.append(self.tr("Caution: {care}").format(care=row.care))
        return " ".join((*parts, row.text))

    # Qt's own names from here on.

    def rowCount(self, parent: Index = ROOT) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self._rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{row.number}. {row.title}"
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self._told(row)
        if role == Qt.ItemDataRole.ToolTipRole:
            return plain_tip(self._told(row))
        if role == Qt.ItemDataRole.CheckStateRole:
            done = row.key in self._ticked
            return Qt.CheckState.Checked if done else Qt.CheckState.Unchecked
        return row if role == ROW else None

    def flags(self, index: Index) -> Qt.ItemFlag:
        return super().flags(index) | Qt.ItemFlag.ItemIsUserCheckable

    def setData(self, index: Index, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        if role != Qt.ItemDataRole.CheckStateRole:
            return False
        done = Qt.CheckState(value) is Qt.CheckState.Checked
        self.tick_asked.emit(self._rows[index.row()].key, done)
        return True
