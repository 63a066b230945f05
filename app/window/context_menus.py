"""Context menus of the panes: what can be done with what is under the pointer, or has the focus."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QEvent, QObject, QPoint, QPointF, Qt
from PySide6.QtGui import QAction, QContextMenuEvent, QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QAbstractSpinBox, QApplication, QMenu, QWidget

from app.help.topics import topic_of
from app.session.display import figure_value, shown_value, tr, translated
from app.session.session import Session
from app.views.changes import ChangesPane
from app.views.cutting.pane import CuttingPane
from app.views.findings.pane import FindingsPane
from app.views.findings.row import FindingRow
from app.views.flat.pane import FlatPane
from app.views.fold.pane import FoldPane
from app.views.measures.pane import MeasuresPane
from app.views.measures.row import MeasureRow
from app.views.sewing.pane import SewingPane
from app.widgets.desktop import enclosing
from app.widgets.figure_box import finish_typing
from app.widgets.menus import menu_text
from core.bag.figures import FINISHED, PINNABLE, figure_of, is_matched
from core.bag.tables import CUT_FIGURES
from core.flat.piece import Piece, Point
from core.flat.roles import EdgeRef
from core.flat.seam import chain_length

_CUT = {figure.name: figure for figure in CUT_FIGURES}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a menu.

    Attributes:
        text: what it does; it is shown as it is.
        do: does it.
    """

    text: str
    do: Callable[[], object]


Entries = list[Entry | QAction | None]
"""The lines of a menu: actions of the window among them, None for a line between groups."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Panes:
    """The panes of a window that have menus."""

    measures: MeasuresPane
    flat: FlatPane
    fold: FoldPane
    findings: FindingsPane
    changes: ChangesPane
    cutting: CuttingPane
    sewing: SewingPane


class ContextMenus(QObject):
    """Opens a menu for each pane, by the right button, the menu key or Shift+F10."""

    def __init__(
        self,
        session: Session,
        actions: Mapping[str, QAction],
        window: QWidget,
        panes: Panes,
        *,
        help_on: Callable[[str], object],
    ) -> None:
        """`help_on` opens the help at an address."""
        super().__init__(window)
        self._help_on = help_on
        self._document, self._display = session.document, session.display
        self._redesigner, self._actions, self._window = session.redesigner, actions, window
        self._panes = panes
        self._of: dict[QObject, Callable[[QPoint | None], Entries]] = {
            panes.flat: self._on_flat,
            panes.fold.view: self._on_fold,
            panes.findings: self._on_finding,
            panes.changes: self._on_change,
            panes.cutting: self._on_plan,
            panes.sewing: self._on_step,
            panes.measures: self._on_measure,
        }
        for pane in self._of:
            pane.installEventFilter(self)
        for box in panes.measures.findChildren(QAbstractSpinBox):
            # A field has a menu of its own, to which that of its measure is added.
            for field in (box, box.lineEdit()):
                self._of[field] = self._on_measure
                field.installEventFilter(self)

    def entries(self, pane: QObject, at: QPoint | None) -> Entries:
        """What the menu of a pane offers.

        Args:
            pane: whose menu it is.
            at: place on the screen, px; None for what has the focus.
        """
        return self._of[pane](at)

    def _open(self, pane: QWidget, at: QPoint | None) -> bool:
        """Open the menu; False where there is nothing to offer."""
        if QApplication.activePopupWidget() is not None:
            return True  # a platform that tells of the key twice
        entries = self.entries(pane, at)
        if not entries:
            return False
        menu = QMenu(self._window)
        menu.setAccessibleName(tr("What can be done here"))
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for entry in entries:
            if entry is None:
                menu.addSeparator()
            elif isinstance(entry, QAction):
                menu.addAction(entry)
            else:
                action = menu.addAction(menu_text(entry.text))
                action.triggered.connect(partial(_take, entry.do))
        menu.addSeparator()
        page = topic_of(self._widget(at) or pane)
        menu.addAction(tr("Help on this")).triggered.connect(lambda: self._help_on(page))
        if at is None:
            focus = QApplication.focusWidget() or pane
            at = focus.mapToGlobal(focus.rect().center())
            menu.setActiveAction(next(each for each in menu.actions() if not each.isSeparator()))
        menu.popup(at)
        return True

    # What there is, pane by pane.

    def _on_flat(self, at: QPoint | None) -> Entries:
        flat, hand = self._panes.flat, self._panes.flat.hand
        places = flat.sheet.places
        if at is None:
            line, edge = hand.chosen, self._document.pointing.edge
            there = [] if edge is None else [self._document.result.draft.piece(edge.piece)]
        else:
            point = QPointF(flat.mapFromGlobal(at))
            line, edge = flat.grip_at(point), flat.edge_at(point)
            x, y = flat.view.to_drawing(point)
            pieces = self._document.result.draft.pieces
            there = [each for each in pieces if _covers(each, places[each.id], x, y)]
        grip = None if line is None else hand.grips().get(line)
        entries = [] if grip is None else list(self._figure(grip.figure))
        sizes = map(self._piece, there)
        return [*entries, *self._edge(edge), *sizes, None, self._actions["fit"]]

    def _piece(self, piece: Piece) -> Entry:
        """What can be done with a flat piece: its cut size."""
        left, bottom, right, top = piece.bounds
        size = tr("{width} × {length}").format(
            width=self._display.bare(right - left), length=self._display.length(top - bottom)
        )
        told = tr("Copy the cut size of {piece}: {size}")
        name = translated(piece.label)
        return Entry(told.format(piece=name, size=size), lambda: _copy(size))

    def _on_fold(self, at: QPoint | None) -> Entries:
        view = self._panes.fold.view
        if at is None:
            return [*self._edge(self._document.pointing.edge), None, self._actions["fit"]]
        spot = QPointF(view.mapFromGlobal(at))
        figure = view.figure_at(spot)
        entries = list(self._figure(figure)) if figure else []
        return [*entries, *self._edge(view.edge_at(spot)), None, self._actions["fit"]]

    def _on_finding(self, at: QPoint | None) -> Entries:
        row = enclosing(self._widget(at), FindingRow)
        if row is None or row not in self._panes.findings.rows:
            return []
        entries: Entries = [
            Entry(label, button.click)
            for label, button in zip(row.fixes, row.fix_buttons, strict=True)
        ]
        figure = self._panes.findings.figure_of(row)
        if entries:
            entries.append(None)
        entries += self._figure(figure)
        if figure not in _CUT and figure not in FINISHED:
            entries.append(Entry(tr("Go to the measure"), row.asked.emit))
        return [*entries, None, Entry(tr("Copy this finding"), lambda: _copy(row.sentence))]

    def _on_change(self, at: QPoint | None) -> Entries:
        table, lines = self._panes.changes.table, self._panes.changes.model.lines
        if table is None:
            return []
        index = table.currentIndex()
        if at is not None:
            index = table.indexAt(table.viewport().mapFromGlobal(at))
        if not index.isValid():
            return []
        line = lines[index.row()]
        told = "\t".join(line.texts)
        return [*self._figure(line.figure), None, Entry(tr("Copy this row"), lambda: _copy(told))]

    def _on_plan(self, at: QPoint | None) -> Entries:
        body, widget = self._panes.cutting.body, self._widget(at)
        entries: Entries = []
        if widget is not None and (widget is body.table or body.table.isAncestorOf(widget)):
            table = body.table
            row = table.currentRow()
            if at is not None:
                row = table.rowAt(table.viewport().mapFromGlobal(at).y())
            if 0 <= row < len(table.rows):
                what, amount, *_ = table.rows[row].cells
                if amount:
                    told = tr("Copy the amount of {what}: {amount}")
                    entries.append(
                        Entry(told.format(what=what, amount=amount), lambda: _copy(amount))
                    )
        elif widget is body.view and at is not None:
            laid = body.view.piece_at(QPointF(body.view.mapFromGlobal(at)))
            if laid is not None:
                name, size = body.view.name_and_size(laid)
                told = tr("Copy the size of {piece}: {size}").format(piece=name, size=size)
                entries.append(Entry(told, lambda: _copy(size)))
        return [*entries, None, self._actions["edit_layers"], self._actions["export_cut_list"]]

    def _on_step(self, at: QPoint | None) -> Entries:
        body = self._panes.sewing.body
        index = body.list.currentIndex()
        if at is not None and self._widget(at) is body.list.viewport():
            index = body.list.indexAt(body.list.viewport().mapFromGlobal(at))
        if not index.isValid():
            return []
        row, place = body.model.rows[index.row()], index.row()
        done = body.model.ticked(place)
        told = tr("Take the tick off step {number}") if done else tr("Tick step {number}")
        text = f"{row.number}. {row.title}. {row.text}"
        return [
            Entry(
                told.format(number=row.number),
                lambda: body.model.tick_asked.emit(row.key, not done),
            ),
            Entry(
                tr("Read step {number}").format(number=row.number),
                lambda: body.show_step(row.number),
            ),
            None,
            Entry(tr("Copy this step"), lambda: _copy(text)),
        ]

    def _on_measure(self, at: QPoint | None) -> Entries:
        widget = self._widget(at)
        name = self._figure_of_row(enclosing(widget, MeasureRow))
        entries: Entries = []
        box = enclosing(widget, QAbstractSpinBox)
        if box is not None:
            entries += [self._actions[each] for each in ("cut", "copy", "paste", "select_all")]
            entries.append(None)
        if not name:
            return entries[:-1]
        return [*entries, *self._figure(name, here=True)]

    def _figure_of_row(self, row: MeasureRow | None) -> str:
        """The figure whose row this is; empty where it is none's."""
        if row is None:
            return ""
        rows = self._panes.measures
        named = {name: cut.row for name, cut in rows.cut_rows.items()}
        named |= {name: finished.row for name, finished in rows.finished_rows.items()}
        for name, each in named.items():
            if each is row:
                return name
        return row.field.objectName()

    # What can be done with a figure, or an edge.

    def _figure(self, name: str, *, here: bool = False) -> Iterator[Entry]:
        """What can be done with a figure; `here`: its field is where the menu is."""
        label, shown = self._shown(name)
        if not shown:
            return
        if not here:
            change = tr("Change {figure}")
            if name in FINISHED and name not in PINNABLE:
                change = tr("Show {figure}")
            ask = self._document.figure_asked
            yield Entry(change.format(figure=label), lambda: ask.emit(name))
        if name in PINNABLE or is_matched(name):
            pinned = self._redesigner.pinned(name)
            told = tr("Release {figure}") if pinned else tr("Pin {figure}")
            said = self._redesigner.label_of(name)
            yield Entry(told.format(figure=said), lambda: self._redesigner.pin(name, not pinned))
        told = tr("Copy {figure}: {value}").format(figure=label, value=shown)
        yield Entry(told, lambda: _copy(shown))

    def _shown(self, name: str) -> tuple[str, str]:
        """Label and value of a figure; no value where the bag has no such thing."""
        result = self._document.result
        if name not in _CUT and name not in FINISHED:
            return name, ""
        figure = figure_of(name)
        value = figure_value(result, figure)
        text = "" if value is None else shown_value(figure.quantity, value, self._display)
        return translated(figure.label), text

    def _edge(self, edge: EdgeRef | None) -> Entries:
        """What can be done with an edge: its length, on the stitch line where it is sewn."""
        if edge is None:
            return []
        draft = self._document.result.draft
        here = draft.edge(edge)
        cut = self._display.length(here.length)
        name = here.title.text(translate=translated)
        told = tr("Copy the cut length of {edge}: {length}").format(edge=name, length=cut)
        entries: Entries = [Entry(told, lambda: _copy(cut))]
        if any(edge in seam.edges for seam in draft.seams):
            sewn = self._display.length(chain_length((edge,), draft.outlines))
            told = tr("Copy the stitched length of {edge}: {length}")
            entries.append(Entry(told.format(edge=name, length=sewn), lambda: _copy(sewn)))
        return entries

    def _widget(self, at: QPoint | None) -> QWidget | None:
        """What is at a place on the screen, or has the focus."""
        if at is None:
            return QApplication.focusWidget()
        return self._window.childAt(self._window.mapFromGlobal(at))

    # Qt's own names from here on.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if not isinstance(watched, QWidget):
            return False
        if isinstance(event, QContextMenuEvent):
            is_key = event.reason() is QContextMenuEvent.Reason.Keyboard
            return self._open(watched, None if is_key else event.globalPos())
        if isinstance(event, QKeyEvent) and event.type() is QEvent.Type.KeyPress:
            shifted = event.modifiers() == Qt.KeyboardModifier.ShiftModifier
            if event.key() == Qt.Key.Key_Menu or (event.key() == Qt.Key.Key_F10 and shifted):
                return self._open(watched, None)
        return False


def _covers(piece: Piece, place: Point, x: float, y: float) -> bool:
    """Whether a point of the drawing lies within the bounds of a piece that lies at a place."""
    left, bottom, right, top = piece.bounds
    return left <= x - place[0] <= right and bottom <= y - place[1] <= top


def _take(do: Callable[[], object], _checked: bool = False) -> None:
    """Do it after what is half typed: opening a menu takes no text, which may be pasted into."""
    finish_typing()
    do()


def _copy(text: str) -> None:
    QGuiApplication.clipboard().setText(text.replace("\N{NO-BREAK SPACE}", " "))
