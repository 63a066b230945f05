"""What is said in words about a plan, and what to buy for it as a table."""

from dataclasses import dataclass

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QBrush, QGuiApplication, QPalette, QResizeEvent
from PySide6.QtWidgets import QFrame, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from app.session.display import Display, plain_tip, told, tr, translated
from app.widgets.theme import heading_font, muted_colour
from core.base.quantities import weight_text
from core.base.sentences import mark, say
from core.cutting.buying import goods_facts, purchases, total_lines, ways_of_goods
from core.cutting.plan import GoodsPlan, Plan


def facts_of(goods: GoodsPlan, display: Display) -> str:
    """Length used, what to buy, what is left over, and how to lay the goods."""
    facts = (*goods_facts(goods, display.unit), *ways_of_goods(goods)) if goods.laid else ()
    return " ".join(told(each, display) for each in facts)


def lacking_of(plan: Plan, display: Display) -> tuple[str, str]:
    """(short, whole): which pieces their goods cannot take, and what would help.

    Both are empty when everything fits; a single piece is told whole at once.
    """
    lines, named = [], []
    for goods in plan.goods:
        for item, count, finding in goods.lacking:
            left_out = say("Left out of the plan: {count}.", numbers={"count": count})
            lines.append(f"{told(finding.message, display)} {told(left_out, display)}")
            words = {"piece": translated(item.piece.label), "goods": goods.goods.title}
            name = tr("{piece} of {goods}").format(**words)
            named.append(name if count == 1 else f"{count} × {name}")
    whole = "\n".join(lines)
    if len(lines) < 2:
        return whole, whole
    text = tr(
        "Left out because they do not fit: {pieces}. Turn them if print and nap allow, join them "
        "with a seam, or use wider material; the findings name each of them."
    )
    return text.format(pieces=", ".join(named)), whole


def weight_of(plan: Plan, display: Display) -> str:
    """What one bag weighs, and all of them."""
    one = weight_text(plan.weight, unit=display.unit)
    bags = plan.options.bags
    if bags == 1:
        text = tr("The bag weighs {one}: materials and board, without zip, thread and trimmings.")
        return text.format(one=one)
    text = tr(
        "One bag weighs {one}, {bags} bags weigh {all}: materials and board, without zip, thread "
        "and trimmings."
    )
    all_bags = weight_text(bags * plan.weight, unit=display.unit)
    return text.format(one=one, bags=bags, all=all_bags)


HEADS = (mark("What to buy"), mark("Amount"), mark("Yield"), mark("Cost"), mark("Kind"))
TIPS = (
    mark("Materials first, then everything else to buy."),
    mark("Rounded up to the length in which the material is sold."),
    mark("How much of the length used goes into the pieces."),
    mark("In the currency of your prices; set prices under Edit layers and materials."),
    mark("Width of the material, or which kind."),
)
LONGEST_NAME, LONGEST_KIND = 28, 26
"""Of the first and the last column, in letters: longer texts stand in the tooltip."""
RIGHT = (1, 2, 3)
"""Columns of figures."""
_LAST = len(HEADS) - 1


@dataclass(frozen=True, slots=True)
class PieceRow:
    """One line.

    Attributes:
        cells: one text for each head.
        goods: which of the plan's goods it is; None for what is bought besides.
    """

    cells: tuple[str, ...]
    goods: int | None = None


def rows_of(plan: Plan, display: Display) -> list[PieceRow]:
    """Goods, outermost first, then notions, then what it all costs, and one of several bags."""
    laid = [number for number, goods in enumerate(plan.goods) if goods.laid]
    rows = []
    for place, line in enumerate(purchases(plan, display.unit)):
        number = laid[place] if place < len(laid) else None
        share = "" if number is None else f"{100 * plan.goods[number].share_used:.0f} %"
        cost = "" if line.cost is None else display.money(line.cost)
        what, amount, remark = (
            told(each, display) for each in (line.what, line.amount, line.remark)
        )
        rows.append(PieceRow((what, amount, share, cost, remark), number))
    for name, whole in total_lines(plan, display.currency):
        rows.append(PieceRow((told(name, display), "", "", display.money(whole), "")))
    return rows


class CuttingTable(QTableWidget):
    """Shows the rows of a plan.

    Signals:
        goods_chosen(int): the maker went to the row of this one of the plan's goods.
    """

    goods_chosen = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(0, len(HEADS), parent)
        self.rows: list[PieceRow] = []
        self._is_older = False
        for column, (head, tip) in enumerate(zip(HEADS, TIPS, strict=True)):
            item = QTableWidgetItem(translated(head))
            item.setToolTip(translated(tip))
            side = Qt.AlignmentFlag.AlignRight if column in RIGHT else Qt.AlignmentFlag.AlignLeft
            item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
            self.setHorizontalHeaderItem(column, item)
        self.setAccessibleName(tr("What to buy"))
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setMinimumHeight(70)
        self.setWordWrap(False)
        self.setAlternatingRowColors(True)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.verticalHeader().setDefaultSectionSize(self.fontMetrics().height() + 6)
        head_view = self.horizontalHeader()
        head_view.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        head_view.setSectionResizeMode(0, QHeaderView.ResizeMode.Interactive)
        head_view.setSectionResizeMode(_LAST, QHeaderView.ResizeMode.Stretch)
        head_view.setHighlightSections(False)
        self.currentCellChanged.connect(self._on_current_change)

    def show_rows(self, rows: list[PieceRow], *, is_older: bool) -> None:
        """Show these; faintly when they answer older numbers."""
        if rows == self.rows and is_older == self._is_older:
            return
        self.rows, self._is_older = rows, is_older
        current = self.currentRow()
        self.blockSignals(True)
        self.setRowCount(len(rows))
        for place, row in enumerate(rows):
            for column, text in enumerate(row.cells):
                self.setItem(place, column, self._item(row, column, text))
        if 0 <= current < len(rows):
            self.setCurrentCell(current, 0)
        self.blockSignals(False)
        self._fit_name()

    def _fit_name(self) -> None:
        """The first column as wide as its texts, but no wider than leaves some of the last."""
        room = self.viewport().width() - self._figures_width() - self._width_of(_LAST, 7)
        width = min(self._width_of(0, LONGEST_NAME), max(room, self._width_of(0, 7)))
        self.horizontalHeader().resizeSection(0, width)

    def _figures_width(self) -> int:
        """Px of the columns of figures together."""
        heads = self.horizontalHeader()
        return sum(
            max(self.sizeHintForColumn(column), heads.sectionSizeHint(column)) for column in RIGHT
        )

    def whole_width(self) -> int:
        """Px in which every column can be read."""
        names = self._width_of(0, LONGEST_NAME) + self._width_of(_LAST, LONGEST_KIND)
        bar = self.verticalScrollBar().sizeHint().width()
        return names + self._figures_width() + bar + 8

    def whole_height(self) -> int:
        """Px in which every row is seen."""
        rows = self.rowCount() * self.verticalHeader().defaultSectionSize()
        return self.horizontalHeader().sizeHint().height() + rows + 4

    def _width_of(self, column: int, letters: int) -> int:
        """What a column of texts needs, px, so far as it is not longer than so many letters."""
        head = self.horizontalHeader().sectionSizeHint(column)
        most = letters * self.fontMetrics().averageCharWidth()
        return max(head, min(self.sizeHintForColumn(column), most))

    def choose_goods(self, number: int) -> None:
        """Mark the row of one of the goods; none where nothing is cut from it."""
        places = (place for place, row in enumerate(self.rows) if row.goods == number)
        place = next(places, -1)
        if place != self.currentRow():
            self.setCurrentCell(place, 0 if place >= 0 else -1)

    def _item(self, row: PieceRow, column: int, text: str) -> QTableWidgetItem:
        item = QTableWidgetItem(text)
        item.setToolTip(plain_tip(text))
        if column in RIGHT:
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        if row.goods is None and not row.cells[1]:  # what it all comes to
            item.setFont(heading_font(self.font()))
        if self._is_older:
            item.setForeground(QBrush(muted_colour(QGuiApplication.palette())))
        elif column == _LAST:
            item.setForeground(self.palette().color(QPalette.ColorRole.Text))
        return item

    def _on_current_change(self, row: int, _column: int, before: int, _before: int) -> None:
        if row != before and 0 <= row < len(self.rows):
            number = self.rows[row].goods
            if number is not None:
                self.goods_chosen.emit(number)

    # Qt's own names from here on.

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:  # inks of its own do not follow
            rows, self.rows = self.rows, []
            self.show_rows(rows, is_older=self._is_older)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_name()
