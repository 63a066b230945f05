"""Looking at a flat drawing: where its millimetres lie on the screen, and the hand on it.

Drawing frame: mm, y up. Screen frame: device-independent pixels, y down.
"""

import math
from abc import abstractmethod
from typing import NamedTuple

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QGestureEvent, QPinchGesture, QToolTip, QWidget

from app.session.display import plain_tip
from core.flat.geometry import Bounds

WHEEL_ZOOM = 1.2
"""Zoom of one notch of the wheel (120 eighths of a degree)."""

KEY_ZOOM = 1.25
"""Zoom of one press of a zoom key."""

CLOSEST = 40.0
"""Closest look, px per mm: a sixteenth of an inch is then as wide as a thumb."""

FARTHEST = 0.25
"""Farthest look, as a share of the scale at which everything fits."""

KEY_PAN = 48
"""Way of one press of an arrow key, px."""

KEPT_IN_SIGHT = 48.0
"""However far the drawing is pushed, so much of it stays in sight, px."""


class View2D(NamedTuple):
    """Where the drawing lies on the screen.

    Attributes:
        scale: px per mm, > 0.
        x, y: where the drawing's origin lies, px.
    """

    scale: float
    x: float
    y: float

    def to_screen(self, x: float, y: float) -> QPointF:
        """A point of the drawing (mm) on the screen (px)."""
        return QPointF(self.x + self.scale * x, self.y - self.scale * y)

    def placing(self, x: float, y: float) -> QTransform:
        """What puts a shape (mm) on the screen (px) whose origin lies at a point of the drawing."""
        at = self.to_screen(x, y)
        return QTransform(self.scale, 0.0, 0.0, -self.scale, at.x(), at.y())

    def to_drawing(self, point: QPointF) -> tuple[float, float]:
        """A point of the screen (px) in the drawing (mm)."""
        return (point.x() - self.x) / self.scale, (self.y - point.y()) / self.scale

    def rect(self, bounds: Bounds) -> QRectF:
        """A box of the drawing (mm) on the screen (px)."""
        left, bottom, right, top = bounds
        return QRectF(self.to_screen(left, top), self.to_screen(right, bottom))

    def transform(self) -> QTransform:
        """The same as `to_screen`, for a painter."""
        return QTransform(self.scale, 0.0, 0.0, -self.scale, self.x, self.y)

    def zoomed(self, scale: float, about: QPointF) -> "View2D":
        """Another scale (px per mm), with the point under `about` (px) left where it is."""
        x, y = self.to_drawing(about)
        return View2D(scale, about.x() - scale * x, about.y() + scale * y)

    def panned(self, dx: float, dy: float) -> "View2D":
        """Moved by so many px."""
        return View2D(self.scale, self.x + dx, self.y + dy)


def fitted(bounds: Bounds, area: QRectF) -> View2D:
    """The view in which `bounds` (mm) just fills `area` (px), in its middle."""
    left, bottom, right, top = bounds
    wide, high = max(right - left, 1e-6), max(top - bottom, 1e-6)
    room_x, room_y = max(area.width(), 1.0), max(area.height(), 1.0)
    scale = min(room_x / wide, room_y / high, CLOSEST)
    centre = area.center()
    return View2D(
        scale, centre.x() - scale * (left + right) / 2, centre.y() + scale * (bottom + top) / 2
    )


class DrawingView(QWidget):
    """A widget that shows a flat drawing and lets it be zoomed and pushed about.

    A subclass says what there is (`content_bounds`, `drawing_area`) and paints it through
    `view`. Until the reader zooms or pans, the drawing is kept fitted.

    Attributes:
        kept_fitted: whether it still is.
        space_held: whether the space bar makes the left button push the drawing.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view: View2D | None = None
        self.kept_fitted = True
        self._grabbed: QPointF | None = None
        self._pressed: QPointF | None = None
        self.space_held = False
        self._seen_size = QSize()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.grabGesture(Qt.GestureType.PinchGesture)

    # What a subclass says.

    @abstractmethod
    def content_bounds(self) -> Bounds:
        """The box around everything drawn, mm."""

    def drawing_area(self) -> QRectF:
        """Where the drawing is seen, px; rulers and captions lie outside."""
        return QRectF(self.rect())

    def fit_margin(self) -> float:
        """Room to leave around the drawing when it is fitted, px."""
        return 24.0

    def home(self) -> View2D:
        """Where the drawing lies until the reader zooms or pushes it: everything fitted."""
        return self._fitted(self.content_bounds())

    def target_at(self, point: QPointF) -> Bounds | None:
        """What a double click at a point (px) asks to be fitted; None for everything."""
        return None

    def told_at(self, point: QPointF) -> str:
        """What is told of a place (px) that the pointer rests on; empty for nothing."""
        return ""

    @property
    def view(self) -> View2D:
        """Where the drawing lies now."""
        if self._view is None:
            self._view = self.home()
        return self._view

    def fit(self) -> None:
        """Show everything, and keep it so."""
        self.kept_fitted = True
        self._look(self.home())

    def fit_to(self, bounds: Bounds) -> None:
        """Show this part (mm) as large as it goes."""
        self.kept_fitted = False
        self._look(self._fitted(bounds))

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Look closer (factor > 1) or from farther; the point `about` (px) stays put."""
        fit_scale = self._fitted(self.content_bounds()).scale
        low = min(FARTHEST * fit_scale, self.view.scale)
        scale = min(max(self.view.scale * factor, low), CLOSEST)
        self.kept_fitted = False
        self._look(self.view.zoomed(scale, about or self.drawing_area().center()))

    def zoom_to(self, scale: float) -> None:
        """Show so many px per mm, as far as a look may go; the middle stays where it is."""
        self.zoom(scale / self.view.scale)

    def zoom_in(self) -> None:
        self.zoom(KEY_ZOOM)

    def zoom_out(self) -> None:
        self.zoom(1.0 / KEY_ZOOM)

    def pan(self, dx: float, dy: float) -> None:
        """Push the drawing by so many px."""
        self.kept_fitted = False
        self._look(self.view.panned(dx, dy))

    def keep_in_view(self) -> None:
        """After the drawing changed: fit again only where it must, so that growth shows."""
        if self._view is None or not self.kept_fitted:
            return
        fresh = self._fitted(self.content_bounds())
        room = self.drawing_area().adjusted(4.0, 4.0, -4.0, -4.0)
        inside = room.contains(self._view.rect(self.content_bounds()))
        if not inside or self._view.scale < 0.85 * fresh.scale:
            self.fit()

    def _fitted(self, bounds: Bounds) -> View2D:
        margin = self.fit_margin()
        return fitted(bounds, self.drawing_area().adjusted(margin, margin, -margin, -margin))

    def _look(self, view: View2D) -> None:
        view = self._kept_in_sight(view)
        if view != self._view:
            self._view = view
            self._on_view_change()
            self.update()

    def _kept_in_sight(self, view: View2D) -> View2D:
        """The view moved back so far that some of the drawing can be seen."""
        area, shown = self.drawing_area(), view.rect(self.content_bounds())
        kept_x = min(KEPT_IN_SIGHT, shown.width(), area.width())
        kept_y = min(KEPT_IN_SIGHT, shown.height(), area.height())
        dx = max(area.left() + kept_x - shown.right(), 0.0)
        dx = dx or min(area.right() - kept_x - shown.left(), 0.0)
        dy = max(area.top() + kept_y - shown.bottom(), 0.0)
        dy = dy or min(area.bottom() - kept_y - shown.top(), 0.0)
        return view.panned(dx, dy) if dx or dy else view

    def _on_view_change(self) -> None:
        """For a subclass: the drawing lies elsewhere now."""

    def _on_pinch(self, gesture: QPinchGesture) -> None:
        self.zoom(gesture.scaleFactor(), self.mapFromGlobal(gesture.centerPoint()))
        if gesture.state() is not Qt.GestureState.GestureStarted:
            moved = gesture.centerPoint() - gesture.lastCenterPoint()
            self.pan(moved.x(), moved.y())

    def _on_native_gesture(self, event: QNativeGestureEvent) -> bool:
        if event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture:
            self.zoom(1.0 + event.value(), event.position())
            return True
        if event.gestureType() is Qt.NativeGestureType.SmartZoomNativeGesture:
            self._fit_target(event.position())
            return True
        return False

    def _fit_target(self, point: QPointF) -> None:
        target = self.target_at(point)
        if target is None:
            self.fit()
        else:
            self.fit_to(target)

    def _show_cursor(self) -> None:
        if self._grabbed is not None:
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        elif self.space_held:
            self.setCursor(Qt.CursorShape.OpenHandCursor)
        else:
            self.unsetCursor()

    @property
    def panning(self) -> bool:
        return self._grabbed is not None

    def _grab(self, point: QPointF) -> None:
        self._grabbed = point
        self._show_cursor()

    # Qt's own names from here on.

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                self._on_pinch(pinch)
                return True
        if isinstance(event, QNativeGestureEvent) and self._on_native_gesture(event):
            return True
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            told = self.told_at(QPointF(event.pos()))
            if told:
                QToolTip.showText(event.globalPos(), plain_tip(told), self)
            else:
                QToolTip.hideText()
            return True
        return super().event(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        from PySide6.QtGui import QInputDevice  # five kinds of it are made when it is named

        by_finger = event.deviceType() is QInputDevice.DeviceType.TouchPad
        control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        if by_finger and not control:
            moved = event.pixelDelta()
            moved = event.angleDelta() / 4 if moved == QPoint() else moved
            self.pan(moved.x(), moved.y())
        else:
            turned = event.angleDelta().y() or event.angleDelta().x()
            self.zoom(math.pow(WHEEL_ZOOM, turned / 120), event.position())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        middle = event.button() is Qt.MouseButton.MiddleButton
        left = event.button() is Qt.MouseButton.LeftButton
        if middle or (left and self.space_held):
            self._grab(event.position())
        elif left:
            self._pressed = event.position()
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        here = event.position()
        if self._pressed is not None:
            way = (here - self._pressed).manhattanLength()
            if way >= QApplication.startDragDistance():
                self._grab(self._pressed)
                self._pressed = None
        if self._grabbed is not None:
            moved = here - self._grabbed
            self._grabbed = here
            self.pan(moved.x(), moved.y())
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._pressed = self._grabbed = None
        self._show_cursor()
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._fit_target(event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        control = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
        ways = {
            Qt.Key.Key_Left: (KEY_PAN, 0),
            Qt.Key.Key_Right: (-KEY_PAN, 0),
            Qt.Key.Key_Up: (0, KEY_PAN),
            Qt.Key.Key_Down: (0, -KEY_PAN),
        }
        key = Qt.Key(event.key())
        if key in ways:
            self.pan(*ways[key])
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom_in()
        elif key is Qt.Key.Key_Minus:
            self.zoom_out()
        elif (key is Qt.Key.Key_0 and control) or (key is Qt.Key.Key_F and not control):
            self.fit()
        elif key is Qt.Key.Key_Space:
            self._hold_space(held=True)
        else:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._hold_space(held=False)
        else:
            super().keyReleaseEvent(event)

    def _hold_space(self, *, held: bool) -> None:
        self.space_held = held
        self._show_cursor()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        self._hold_space(held=False)
        super().focusOutEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        # Shown in another window, it hears of the size that it had in the last one too.
        if event.size() != self._seen_size:
            self._seen_size = event.size()
            self._on_view_change()
            if self.kept_fitted:
                self.fit()
            elif self._view is not None:
                self._look(self._view)
        super().resizeEvent(event)
