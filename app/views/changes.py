"""Changes: what differs from the starting bag, before and after."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QAbstractTableModel, QEvent, QModelIndex, QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QFrame, QLabel, QStackedLayout, QWidget

from app.session.display import (
    FIGURES,
    SAME,
    Display,
    is_changed,
    plain_tip,
    shown_difference,
    shown_value,
    signed_text,
    tr,
    translated,
)
from app.session.session import Session
from app.widgets.menus import FigureLines, MenuLine, copying
from app.widgets.models import ROOT, Index
from core.bag.compute import Result
from core.base.sentences import mark, sentence_start
from core.base.units import Unit
from core.flat.piece import CutFrom, Piece, Point
from core.flat.roles import PieceId
from core.model.figures import Quantity

LATER = 60
"""Milliseconds after the last change at which the table is written again."""
RULER = 4
"""Column of what the ruler cost; shown while there is something to tell."""
BEFORE = 1
"""Column of what the figure was; given up first where there is no room for all."""
LONGEST_HEAD = 24
"""Characters of a starting bag's name that stand over its column."""
LEAST_LABEL, WIDEST_HEAD = 12, 18
"""Of a measure's name, and of a head that is longer than its figures: in letters."""

if TYPE_CHECKING:
    from PySide6.QtWidgets import QTableView

MM2_PER_SQUARE_INCH = 645.16
MM2_PER_SQUARE_CM = 100.0


_CLOTH = {
    CutFrom.EVERY_LAYER: mark("Cut area, every layer"),
    CutFrom.CLOTH: mark("Cut area, outer fabric only"),
}


class Difference(NamedTuple):
    """One line: texts as they are read, and what they are about.

    Attributes:
        about: name of the figure, or the piece or kind of cloth that is no figure.
        texts: label, before, after, difference.
        ruler: what the ruler cost this figure; empty for nothing.
    """

    about: str | PieceId | CutFrom
    texts: tuple[str, str, str, str]
    ruler: str = ""

    @property
    def figure(self) -> str:
        """Name of the figure; empty for what is none."""
        return self.about if isinstance(self.about, str) else ""


def differences(
    starting: Result, now: Result, display: Display, cost: Mapping[str, float | None]
) -> list[Difference]:
    """Every figure, piece and area of cloth that is not what it was, in reading order.

    Args:
        cost: finished figure -> what the ruler added, mm or litres.
    """
    found = list(_figures(starting, now, display, cost))
    found += _pieces(starting, now, display)
    found += _cloth(starting, now, display)
    return found


def signed(quantity: Quantity, was: float | None, value: float | None, display: Display) -> str:
    """How much more or less than before; empty for the same."""
    if was is None or value is None or abs(value - was) < SAME:
        return ""
    return shown_difference(quantity, value - was, display)


def _figures(
    starting: Result, now: Result, display: Display, cost: Mapping[str, float | None]
) -> Iterator[Difference]:
    before, after = {**starting.cut, **starting.finished}, {**now.cut, **now.finished}
    for figure in FIGURES:
        was, value = before[figure.name], after[figure.name]
        over = cost.get(figure.name) or 0.0
        if not is_changed(was, value) and abs(over) < SAME:
            continue
        texts = (
            translated(figure.label),
            shown_value(figure.quantity, was, display),
            shown_value(figure.quantity, value, display),
            signed(figure.quantity, was, value, display),
        )
        ruler = signed(figure.quantity, 0.0, over, display)
        if _reads_otherwise(texts) or ruler:
            yield Difference(figure.name, texts, ruler)


def _pieces(starting: Result, now: Result, display: Display) -> Iterator[Difference]:
    """Width, length and number of each piece, each on a line of its own."""
    before = {piece.id: piece for piece in starting.draft.pieces}
    after = {piece.id: piece for piece in now.draft.pieces}
    for piece in {**before, **after}.values():
        old, new = before.get(piece.id), after.get(piece.id)
        for label, kind, size in _SIZES:
            was = None if old is None else size(old)
            value = None if new is None else size(new)
            if not is_changed(was, value):
                continue
            head = translated(label).format(piece=sentence_start(translated(piece.label)))
            texts = (
                head,
                shown_value(kind, was, display),
                shown_value(kind, value, display),
                signed(kind, was, value, display),
            )
            if _reads_otherwise(texts):
                yield Difference(piece.id, texts)


def _reads_otherwise(texts: tuple[str, str, str, str]) -> bool:
    _, before, after, difference = texts
    return before != after or difference != ""


_SIZES: tuple[tuple[str, Quantity, Callable[[Piece], float]], ...] = (
    (mark("{piece}, piece across"), Quantity.LENGTH, lambda piece: piece.width),
    (mark("{piece}, piece along"), Quantity.LENGTH, lambda piece: piece.height),
    (mark("{piece}, pieces"), Quantity.COUNT, lambda piece: float(piece.count)),
)


def _cloth(starting: Result, now: Result, display: Display) -> Iterator[Difference]:
    for goods, label in _CLOTH.items():
        was, area = _area(starting, goods), _area(now, goods)
        difference = signed_text(area - was, _square(abs(area - was), display))
        if difference:
            texts = (translated(label), _square(was, display), _square(area, display), difference)
            yield Difference(goods, texts)


def _area(result: Result, goods: CutFrom) -> float:
    """Inside the cut lines, all pieces together, mm²."""
    pieces = (piece for piece in result.draft.pieces if piece.cut_from is goods)
    return sum(piece.count * _inside(piece.cut_outline) for piece in pieces)


def _inside(outline: Sequence[Point]) -> float:
    """Area of a closed line, counter-clockwise, mm²."""
    onward = (*outline[1:], *outline[:1])
    twice = sum(x * v - u * y for (x, y), (u, v) in zip(outline, onward, strict=True))
    return twice / 2


def _square(area: float, display: Display) -> str:
    if display.unit is Unit.INCH:
        return tr("{area} sq in").format(area=f"{area / MM2_PER_SQUARE_INCH:.0f}")
    return tr("{area} cm²").format(area=f"{area / MM2_PER_SQUARE_CM:.0f}")


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

    def show_lines(self, lines: list[Difference]) -> None:
        """List other lines; the view keeps its place while the same figures are listed."""
        if [line.about for line in lines] == [line.about for line in self.lines]:
            self.lines = lines
            if lines:
                self.dataChanged.emit(self.index(0, 1), self.index(len(lines) - 1, RULER))
            return
        self.beginResetModel()
        self.lines = lines
        self.endResetModel()

    def _whole(self, line: Difference) -> str:
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


class ChangesPane(QFrame):
    """The table of changes; written again only while it can be seen.

    Attributes:
        table: None before there was a change to show.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._document = document = session.document
        self._display = display = session.display
        self._redesigner = redesigner = session.redesigner
        self.table: QTableView | None = None
        self.model = ChangesModel(self)
        self.setAccessibleName(self.tr("Changes"))
        self._nothing = QLabel(
            self.tr("No measure differs from the starting bag. Change one to see what follows."),
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
        document.kept_changed.connect(self._on_changed)
        redesigner.outcome_changed.connect(self._on_changed)
        display.changed.connect(self._on_changed)
        self.refresh()

    def refresh(self) -> None:
        self._soon.stop()
        document = self._document
        lines = differences(
            document.starting, document.result, self._display, self._redesigner.cost
        )
        kept = document.project.starting
        self.model.name_before("" if kept is None else kept.name)
        self.model.show_lines(lines)
        if lines and self.table is None:
            self.table = self._make_table()
            self._stack.addWidget(self.table)
        self._fit_columns()
        self._stack.setCurrentIndex(1 if lines else 0)

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        if self.table is None:
            return []
        index = self.table.currentIndex()
        if at is not None:
            index = self.table.indexAt(self.table.viewport().mapFromGlobal(at))
        if not index.isValid():
            return []
        line = self.model.lines[index.row()]
        copied = copying(tr("Copy this row"), "\t".join(line.texts))
        return [FigureLines(line.figure), None, copied]

    def _make_table(self) -> "QTableView":
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
        table.verticalHeader().setDefaultSectionSize(table.fontMetrics().height() + 6)
        head = table.horizontalHeader()
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        head.setMinimumSectionSize(1)
        head.setHighlightSections(False)
        table.activated.connect(self._on_activated)
        return table

    def _fit_columns(self) -> None:
        """Show as many columns as can be read; the difference is never cut off."""
        table = self.table
        if table is None:
            return
        letter = table.fontMetrics().averageCharWidth()
        head = table.horizontalHeader()
        widths = {
            column: max(
                table.sizeHintForColumn(column) + 4,
                min(head.sectionSizeHint(column), WIDEST_HEAD * letter),
            )
            for column in range(1, self.model.columnCount())
        }
        shown = set(widths)
        if not any(line.ruler for line in self.model.lines):
            shown.remove(RULER)
        bar = table.verticalScrollBar().sizeHint().width()
        room = self.width() - bar - LEAST_LABEL * letter
        for column in (BEFORE, RULER):
            if sum(widths[each] for each in shown) > room:
                shown.discard(column)
        for column, width in widths.items():
            table.setColumnHidden(column, column not in shown)
            head.resizeSection(column, width)

    def _on_activated(self, index: QModelIndex) -> None:
        self._document.figure_asked.emit(self.model.lines[index.row()].figure)

    def _on_changed(self) -> None:
        self._soon.start()

    def _on_soon(self) -> None:
        if self.isVisible():
            self.refresh()

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._fit_columns()

    def showEvent(self, event: QShowEvent) -> None:
        self.refresh()
        super().showEvent(event)
