"""The hand on the flat pane: pointing at edges, taking lines and moving them. px, y down.

A line that can be moved carries a dot, and what it does is told beside it.
"""

import math
from abc import abstractmethod
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import pairwise

from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, Qt, QTimer
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.session.display import Display
from app.session.document import Change, Document, Pointing
from app.views.flat.dragging import Dragging, Readout
from app.views.flat.grips import Axis, Grip, LineRef
from app.views.flat.labels import Lettering, TextStyle
from app.views.flat.sheet import Caption, PieceSheet, caption, nearest_edge, sewn_edges
from app.widgets.drawing_view import DrawingView, View2D
from app.widgets.theme import DrawingTheme
from core.base.errors import CornerwrightError
from core.flat.geometry import distance_to_segment
from core.flat.roles import EdgeRef

REACH = 6.0
"""How near to an edge the pointer must come to point at it, px."""

SLACK = 3.0
"""How far the hand must go before it moves a line: a click only chooses it, px."""

_ARROWS = {
    Qt.Key.Key_Left: (Axis.ACROSS, -1),
    Qt.Key.Key_Right: (Axis.ACROSS, 1),
    Qt.Key.Key_Up: (Axis.ALONG, 1),
    Qt.Key.Key_Down: (Axis.ALONG, -1),
}

_CURSORS = {Axis.ACROSS: Qt.CursorShape.SizeHorCursor, Axis.ALONG: Qt.CursorShape.SizeVerCursor}

_FREE = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
"""Held, a line moves off the ruler: Alt, or Ctrl where the desktop takes Alt for itself."""


class TouchView(DrawingView):
    """A drawing view whose edges can be pointed at, and whose lines can be moved.

    Attributes:
        hand: which line is under the pointer, chosen, held.
    """

    def __init__(self, document: Document, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self.hand = Dragging(document, display)
        self._pointer: QPointF | None = None
        self._taken_at = QPointF()
        self._pulling: Qt.KeyboardModifier | None = None
        # What the loop has waiting comes first: of several moves the line follows the last.
        self._following = QTimer(self)
        self._following.setSingleShot(True)
        self._following.timeout.connect(self._follow)
        document.changed.connect(self._on_document_change)
        document.pointed.connect(self._on_pointed)
        document.refused.connect(self._on_refused)

    # What a subclass says.

    @property
    @abstractmethod
    def sheet(self) -> PieceSheet:
        """The pieces as they are laid beside each other, mm."""

    @property
    def caption(self) -> Caption | None:
        edge = self._document.pointing.edge
        return None if edge is None else caption(self._document.result, edge, self._display)

    @property
    def readout(self) -> Readout | None:
        return self.hand.readout()

    def _describe(self) -> None:
        """Say to a screen reader what caption and card say to the eye."""
        said, told = self.caption, self.readout if self.hand.chosen is not None else None
        texts = [each.text for each in (said, told) if each is not None]
        self.setAccessibleDescription(
            ". ".join(texts)
            or self.tr(
                "The flat pieces of the bag. Page down points at the next line; arrow keys move it."
            )
        )

    def _on_document_change(self, change: Change) -> None:
        if not self.hand.acting:
            self.hand.let_go()
            if self.hand.over is not None:
                # As what is pointed at goes out: the next move of the pointer finds what lies
                # there by then. To find it at every key would draw the bag once for each figure.
                self.hand.over = None
                self._show_cursor()
        if not self.hand.holding:
            self.keep_in_view()

    def _on_pointed(self, pointing: Pointing) -> None:
        self._describe()
        self.update()

    def _on_refused(self, error: CornerwrightError) -> None:
        self.hand.refuse(error)
        self.update()

    def edge_at(self, point: QPointF) -> EdgeRef | None:
        """The edge that lies under a point, px, or near enough."""
        if not self.drawing_area().contains(point):
            return None
        reach = REACH / self.view.scale
        return nearest_edge(self.sheet.edges(), self.view.to_drawing(point), reach)

    def _point_along(self, steps: int) -> None:
        """Point at the next line, or the one before: sewn edges, then what else can be moved."""
        edges = sewn_edges(self._document.result.draft)
        lines = tuple(dict.fromkeys((*edges, *self.hand.grips())))
        if not lines:
            return
        here = self.hand.chosen or self._document.pointing.edge
        if here in lines:
            index = (lines.index(here) + steps) % len(lines)
        else:
            index = 0 if steps > 0 else -1
        self.hand.over = None
        self._choose(lines[index])

    def _choose(self, line: LineRef | None) -> None:
        """Let the arrow keys move a line, and point at it where it is an edge."""
        self.hand.choose(line)
        self._document.point_at(line if isinstance(line, EdgeRef) else None)
        self._describe()
        self.update()

    def grip_at(self, point: QPointF) -> LineRef | None:
        """The line under a point, px, that can be moved; of equally near ones the shortest.

        What is laid on comes before the edge that it reaches.
        """
        if not self.drawing_area().contains(point):
            return None
        reach, at = REACH / self.view.scale, self.view.to_drawing(point)
        near = []
        for grip in self.hand.grips().values():
            x, y = self.sheet.places[grip.ref.piece]
            here = (at[0] - x, at[1] - y)
            away = min(distance_to_segment(here, *ends) for ends in pairwise(grip.line))
            if away <= reach:
                (x0, y0), (x1, y1) = grip.start, grip.end
                length = math.hypot(x1 - x0, y1 - y0)
                near.append((round(away, 3), length, grip.edge is not None, grip.ref))
        return min(near, key=lambda each: each[:3])[3] if near else None

    def _hover(self, point: QPointF) -> None:
        """Light the edge under the pointer, and the line that can be taken there."""
        self.hand.over = self.grip_at(point)
        grip = self.hand.shown() if self.hand.over is not None else None
        self._document.point_at(self.edge_at(point) if grip is None else grip.edge)
        self._show_cursor()

    def _out(self, grip: Grip, point: QPointF) -> float:
        """How far a point (px) lies right of or above what stays, mm."""
        away = point - self._still(grip)
        px = away.x() if grip.axis is Axis.ACROSS else -away.y()
        return px / self.view.scale

    def _still(self, grip: Grip) -> QPointF:
        """Where the point lies that stays while a line is moved, px."""
        x, y = self.sheet.places[grip.ref.piece]
        return self.view.to_screen(grip.still[0] + x, grip.still[1] + y)

    def _follow(self) -> None:
        """Move the line in the hand to where the hand is by now, if it went anywhere."""
        self._following.stop()
        if self.hand.holding and self._pointer is not None and self._pulling is not None:
            self._pull(self._pointer, self._pulling)
        self._pulling = None

    def _pull(self, point: QPointF, modifiers: Qt.KeyboardModifier) -> None:
        grip = self.hand.shown()
        if grip is None:
            self.hand.let_go()
            return
        with self._steady(grip):
            self.hand.pull(self._out(grip, point), free=bool(modifiers & _FREE))

    @contextmanager
    def _steady(self, grip: Grip) -> Iterator[None]:
        """What stays keeps its place on the screen while a line is moved."""
        before, result = self._still(grip), self._document.result
        yield
        after = self.hand.shown()
        if after is None or result is self._document.result:
            self.update()
            return
        moved = before - self._still(after)
        self._look(self.view.panned(moved.x(), moved.y()))
        if grip.edge is not None:
            self._document.point_at(grip.edge)
        self._describe()

    def _let_go(self, *, give_back: bool) -> None:
        """The hand leaves the line, with the bag as it is or as it was."""
        self._pulling = None
        grip = self.hand.shown()
        if give_back and grip is not None:
            with self._steady(grip):
                self.hand.give_back()
        self.hand.let_go()
        self.keep_in_view()
        self._describe()
        self._show_cursor()
        self.update()

    def _nudge(self, key: Qt.Key) -> bool:
        """Move the chosen line by an arrow key; False when it does not move that way."""
        if self.hand.chosen is None or key not in _ARROWS:
            return False
        self.hand.over = None
        grip = self.hand.shown()
        if grip is None:
            return False
        with self._steady(grip):
            return self.hand.nudge(*_ARROWS[key])

    def _show_cursor(self) -> None:
        super()._show_cursor()
        grip = self.hand.shown() if self.hand.holding or self.hand.over is not None else None
        if grip is not None and not self.panning and not self.space_held:
            self.setCursor(_CURSORS[grip.axis])

    # Qt's own names from here on.

    def mousePressEvent(self, event: QMouseEvent) -> None:
        left = event.button() is Qt.MouseButton.LeftButton
        line = self.grip_at(event.position()) if left and not self.space_held else None
        if line is None:
            if left:
                self._choose(None)
            super().mousePressEvent(event)
            return
        self._pointer = self._taken_at = event.position()
        self.hand.over = line
        self._choose(line)
        self.hand.take(line, self._out(self.hand.grips()[line], event.position()))
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._pointer = event.position()
        if self.hand.holding:
            way = (self._pointer - self._taken_at).manhattanLength()
            if self.hand.moved or way >= SLACK:
                self._pulling = event.modifiers()
                self._following.start()
            event.accept()
            return
        super().mouseMoveEvent(event)
        if not self.panning:
            self._hover(self._pointer)
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self.hand.holding and event.button() is Qt.MouseButton.LeftButton:
            self._follow()
            self._let_go(give_back=False)
            event.accept()
            return
        super().mouseReleaseEvent(event)

    def leaveEvent(self, event: QEvent) -> None:
        if self.hand.holding:
            return
        self._pointer = None
        self.hand.over = None
        self._document.point_at(None)
        self.update()
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = Qt.Key(event.key())
        lit = self._document.pointing.edge is not None or self.hand.chosen is not None
        if key is Qt.Key.Key_Escape and self.hand.holding:
            self._let_go(give_back=True)
        elif key is Qt.Key.Key_PageDown:
            self._point_along(1)
        elif key is Qt.Key.Key_PageUp:
            self._point_along(-1)
        elif key is Qt.Key.Key_Escape and lit:
            self._choose(None)
        elif not self._nudge(key):
            super().keyPressEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        if not self.hand.holding:
            self.hand.choose(None)
        if self._pointer is None:
            self._document.point_at(None)
        super().focusOutEvent(event)


DOT = 5.0
"""Radius of the dot."""

_BESIDE = QPointF(18.0, 20.0)
"""From the pointer to the card, so that neither pointer nor line is covered."""

_PAD = 7.0
_WIDEST = 300.0
"""Longer sentences go on in the next line."""


def grip_line(grip: Grip, sheet: PieceSheet, view: View2D) -> QPolygonF:
    """Where a line lies on the screen."""
    x, y = sheet.places[grip.ref.piece]
    return QPolygonF([view.to_screen(at[0] + x, at[1] + y) for at in grip.line])


def dot_place(line: QPolygonF) -> QPointF:
    """Where the dot lies: off the middle of a short line, where the seam's letter stands."""
    points = line.toList()
    if len(points) > 2:
        return points[len(points) // 2]
    straight = QLineF(*points)
    return straight.pointAt(0.5 if straight.length() > 80.0 else 0.8)


class GripBrush:
    """Paints in one look."""

    def __init__(self, look: DrawingTheme) -> None:
        self._look = look

    def paint_lines(
        self, painter: QPainter, line: QPolygonF, twins: Iterable[QPolygonF], *, held: bool
    ) -> None:
        """The line with its dot, and thinner the lines that move along; filled while held."""
        look = self._look
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(look.highlight, 2 * look.line))
        for twin in twins:
            painter.drawPolyline(twin)
        wide = look.glow if held else look.bold
        painter.setPen(QPen(look.highlight, wide, c=Qt.PenCapStyle.FlatCap))
        painter.drawPolyline(line)
        painter.setPen(QPen(look.highlight, 2.0))
        painter.setBrush(look.highlight if held else look.paper)
        painter.drawEllipse(dot_place(line), DOT, DOT)

    def paint_readout(
        self, painter: QPainter, told: Readout, at: QPointF, area: QRectF, lettering: Lettering
    ) -> None:
        """A card beside a point, inside the area: figure, what follows, what cannot be."""
        look = self._look
        lines = [
            (told.title, TextStyle.NAME, look.ink),
            (told.detail, TextStyle.NOTE, look.grain),
            (told.problem, TextStyle.NOTE, look.gap),
        ]
        flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        room = QRectF(0.0, 0.0, min(_WIDEST, area.width() - 2 * _PAD), 400.0)
        boxes = []
        for text, style, colour in lines:
            if text:
                painter.setFont(lettering.fonts[style])
                box = painter.boundingRect(room, flags, text)
                boxes.append((text, style, colour, box.width(), box.height()))
        wide = max(each[3] for each in boxes) + 2 * _PAD
        high = sum(each[4] for each in boxes) + 2 * _PAD
        card = _card_beside(at, wide, high, area)
        painter.setPen(QPen(look.gap if told.problem else look.highlight, 1.0))
        painter.setBrush(look.paper)
        painter.drawRoundedRect(card, 4.0, 4.0)
        y = card.top() + _PAD
        for text, style, colour, _, tall in boxes:
            painter.setFont(lettering.fonts[style])
            painter.setPen(colour)
            painter.drawText(QRectF(card.left() + _PAD, y, room.width(), tall), flags, text)
            y += tall


def _card_beside(at: QPointF, wide: float, high: float, area: QRectF) -> QRectF:
    """Right of and below a point; on its other side where the area ends."""
    x, y = at.x() + _BESIDE.x(), at.y() + _BESIDE.y()
    if x + wide > area.right():
        x = at.x() - _BESIDE.x() - wide
    if y + high > area.bottom():
        y = at.y() - _BESIDE.y() - high
    x = min(max(x, area.left()), max(area.right() - wide, area.left()))
    y = min(max(y, area.top()), max(area.bottom() - high, area.top()))
    return QRectF(x, y, wide, high)
