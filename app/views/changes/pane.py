"""Changes: what differs from the starting bag, before and after."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import QFrame, QLabel, QStackedLayout, QWidget

from app.session.display import (
    FIGURES,
    SAME,
    Display,
    is_changed,
    shown_difference,
    shown_value,
    signed_text,
    tr,
    translated,
)
from app.session.session import Session
from app.session.soon import Soon
from app.widgets.menus import FigureLines, MenuLine, copying
from core.bag.compute import Result
from core.base.sentences import mark, sentence_start
from core.base.units import Unit
from core.flat.piece import CutFrom, Piece, Point
from core.flat.roles import PieceId
from core.model.figures import Quantity

if TYPE_CHECKING:
    from app.views.changes.table import ChangesModel, ChangesTable

LATER = 120
"""Milliseconds after a change at which the table is written again."""
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
        self.table: ChangesTable | None = None
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
        self._soon = Soon(self, LATER)
        self._soon.came.connect(self._on_soon)
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self._on_changed)
        redesigner.outcome_changed.connect(self._on_changed)
        display.changed.connect(self._on_display_changed)
        self.refresh()

    @cached_property
    def model(self) -> "ChangesModel":
        """The lines of the table; loaded and made when there is a change, or somebody asks."""
        from app.views.changes.table import ChangesModel

        return ChangesModel(self)

    def refresh(self) -> None:
        self._soon.stop()
        document = self._document
        lines = differences(
            document.starting, document.result, self._display, self._redesigner.cost
        )
        if lines and self.table is None:
            self.table = self._made()
            self._stack.addWidget(self.table)
        if self.table is not None:
            kept = document.project.starting
            self.model.name_before("" if kept is None else kept.name)
            self.model.show_lines(lines)
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

    def _made(self) -> "ChangesTable":
        from app.views.changes.table import ChangesTable

        table = ChangesTable(self.model, self)
        table.setAccessibleName(self.tr("Changes"))
        table.activated.connect(
            lambda index: self._document.figure_asked.emit(self.model.lines[index.row()].figure)
        )
        return table

    def _fit_columns(self) -> None:
        if self.table is not None:
            self.table.fit_columns(self.width())

    def _fit_columns_anew(self) -> None:
        if self.table is not None:
            self.table.forget_widths()
            self._fit_columns()

    def _on_display_changed(self) -> None:
        if self.table is not None:
            self.table.forget_widths()
        self._on_changed()

    def _on_changed(self) -> None:
        self._soon.start()

    def _on_soon(self) -> None:
        if self.isVisible():
            self.refresh()

    # Qt's own names from here on.

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns_anew()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() is QEvent.Type.FontChange:
            self._fit_columns()

    def showEvent(self, event: QShowEvent) -> None:
        self.refresh()
        super().showEvent(event)
