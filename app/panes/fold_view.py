"""The drawing of the folding bag: it turns, zooms and is pointed at."""

import math
from collections.abc import Callable

import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QGestureEvent, QPinchGesture, QWidget

from app.panes.fold_camera import EYE_DISTANCE, Camera, Fit, between, fit
from app.panes.fold_notes import NotePainter, Words
from app.panes.fold_paint import BagPainter
from app.panes.fold_scene import Catalogue, View, edge_at, look_at
from app.panes.look import Look
from core.flat.seam import EdgeRef
from core.solid.fold import FLAT, FOLDED, SEWN, FoldModel

YAW, PITCH = math.radians(26.0), math.radians(17.0)
"""From where the bag is first seen: the front, a little from its right and from above."""
STEEPEST = math.radians(89.0)
TURN_STEP = math.radians(7.5)
"""One press of an arrow key."""
TURN_PER_PIXEL = math.radians(0.45)
ZOOM_STEP = 1.2
CLOSEST, FURTHEST = 40.0, 0.2
"""How much nearer and further than the fit the eye can go."""
REACH = 8.0
"""Pixels within which an edge is pointed at."""
MARGIN = (74.0, 46.0)
"""Room left and right, above and below the fitted bag for its dimensions, pixels."""
NOTES_FROM = 0.999
"""Moment from which the dimensions are written."""


class FoldView(QWidget):
    """Shows one moment of a `FoldModel`.

    Signals:
        pointed(object): the `EdgeRef` under the pointer, or None.
    """

    pointed = Signal(object)

    def __init__(self, model: FoldModel, words: Words, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self._yaw, self._pitch, self._zoom = YAW, PITCH, 1.0
        self._pan = QPointF(0.0, 0.0)
        self._at = SEWN
        self._fits: tuple[Fit, Fit, Fit] | None = None
        self._size = 1.0
        self._lit: tuple[EdgeRef | None, tuple[EdgeRef, ...]] = (None, ())
        self._grabbed: QPoint | None = None
        self._pans = False
        self._space = False
        self._moving = False
        self._view: View | None = None
        self._look = Look.for_palette(self.palette())
        self._catalogue = Catalogue(model)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(220, 220)
        self.grabGesture(Qt.GestureType.PinchGesture)

    @property
    def model(self) -> FoldModel:
        """What is shown."""
        return self._catalogue.model

    @property
    def at(self) -> float:
        """The moment: 0 flat, 1/2 folded, 1 sewn."""
        return self._at

    @property
    def view(self) -> View:
        """What the eye sees now."""
        if self._view is None:
            self._view = look_at(self.model.at(self._at), self.camera, self._catalogue)
        return self._view

    @property
    def camera(self) -> Camera:
        """Where the eye is now."""
        now = self._fit_now()
        return Camera(
            yaw=self._yaw,
            pitch=self._pitch,
            target=now.target,
            scale=now.scale * self._zoom,
            distance=self._size * EYE_DISTANCE,
            centre=(self.width() / 2 + self._pan.x(), self.height() / 2 + self._pan.y()),
        )

    def show_model(self, model: FoldModel, *, refit: bool) -> None:
        """Show another bag; without `refit` the eye stays, so that growth shows as growth."""
        self._catalogue = Catalogue(model)
        if refit:
            self._fits = None
        self._look_again()

    def show_moment(self, at: float, *, moving: bool = False) -> None:
        """Show another moment; `moving` while it is one of many that follow quickly."""
        self._at, self._moving = at, moving
        self._look_again()

    def light(self, edge: EdgeRef | None, mates: tuple[EdgeRef, ...]) -> None:
        """Light an edge and those it is sewn to; None and () put the lights out."""
        self._lit = (edge, mates)
        self.update()

    def fit(self) -> None:
        """Show the whole bag from where the eye is."""
        self._zoom, self._pan, self._fits = 1.0, QPointF(0.0, 0.0), None
        self._look_again()

    def reset(self) -> None:
        """Look at the bag as at first."""
        self._yaw, self._pitch = YAW, PITCH
        self.fit()

    def turn(self, yaw: float, pitch: float) -> None:
        """Go round the bag by so many radians, to its right and upwards."""
        self._yaw = math.remainder(self._yaw + yaw, math.tau)
        self._pitch = min(max(self._pitch + pitch, -STEEPEST), STEEPEST)
        self._look_again()

    def zoom(self, factor: float, at: QPointF) -> None:
        """Come nearer by a factor, to what is seen at a pixel."""
        zoom = min(max(self._zoom * factor, FURTHEST), CLOSEST)
        middle = QPointF(self.width() / 2, self.height() / 2) + self._pan
        self._pan += (at - middle) * (1.0 - zoom / self._zoom)
        self._zoom = zoom
        self._look_again()

    def pan(self, by: QPointF) -> None:
        """Shift the picture by pixels."""
        self._pan += by
        self._look_again()

    def _look_again(self) -> None:
        self._view = None
        self.update()

    def _fit_now(self) -> Fit:
        if self._fits is None:
            self._fits = self._fit_states()
        flat, folded, sewn = self._fits
        if self.model.trouble is not None:
            return flat
        if self._at <= FOLDED:
            return between(flat, folded, self._at / FOLDED)
        return between(folded, sewn, (self._at - FOLDED) / (SEWN - FOLDED))

    def _fit_states(self) -> tuple[Fit, Fit, Fit]:
        states = [self.model.at(moment).points for moment in (FLAT, FOLDED, SEWN)]
        self._size = max(float(np.ptp(points, axis=0).max()) for points in states)
        room = (
            max(self.width() - 2 * MARGIN[0], 40.0),
            max(self.height() - 2 * MARGIN[1], 40.0),
        )
        distance = self._size * EYE_DISTANCE
        flat, folded, sewn = (
            fit(points, yaw=self._yaw, pitch=self._pitch, room=room, distance=distance)
            for points in states
        )
        return flat, folded, sewn

    def _end_motion(self) -> None:
        if self._moving:
            self._moving = False
            self.update()

    def _steer(self, key: int) -> Callable[[], None] | None:
        turns = {
            Qt.Key.Key_Left: (-TURN_STEP, 0.0),
            Qt.Key.Key_Right: (TURN_STEP, 0.0),
            Qt.Key.Key_Up: (0.0, TURN_STEP),
            Qt.Key.Key_Down: (0.0, -TURN_STEP),
        }
        if key in turns:
            yaw, pitch = turns[Qt.Key(key)]
            return lambda: self.turn(yaw, pitch)
        middle = QPointF(self.width() / 2, self.height() / 2)
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            return lambda: self.zoom(ZOOM_STEP, middle)
        if key == Qt.Key.Key_Minus:
            return lambda: self.zoom(1.0 / ZOOM_STEP, middle)
        if key in (Qt.Key.Key_Home, Qt.Key.Key_F):
            return self.fit
        return None

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._look.paper)
        painter.setFont(self.font())
        view = self.view
        BagPainter(painter, view, self._look, smooth=not self._moving).paint()
        notes = NotePainter(painter, view, self._look, self._words, QRectF(self.rect()))
        if view.folded.at >= NOTES_FROM:
            notes.gaps()
            notes.dimensions()
        notes.pointed(*self._lit)
        if self.hasFocus():
            painter.setPen(self.palette().highlight().color())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fits = None
        self._view = None

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._look = Look.for_palette(self.palette())
            self.update()
        super().changeEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            self._grabbed = event.position().toPoint()
            self._pans = event.button() is Qt.MouseButton.MiddleButton or self._space
            self.setCursor(
                Qt.CursorShape.SizeAllCursor if self._pans else Qt.CursorShape.ClosedHandCursor
            )

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        here = event.position().toPoint()
        if self._grabbed is None:
            spot = event.position()
            self.pointed.emit(edge_at(self.view, spot.x(), spot.y(), REACH))
            return
        step = here - self._grabbed
        self._grabbed = here
        if self._pans:
            self.pan(QPointF(step))
        else:
            self._moving = True
            self.turn(-step.x() * TURN_PER_PIXEL, step.y() * TURN_PER_PIXEL)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._grabbed = None
        self.unsetCursor()
        self._end_motion()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.reset()

    def leaveEvent(self, event: QEvent) -> None:
        self.pointed.emit(None)

    def wheelEvent(self, event: QWheelEvent) -> None:
        notches = event.angleDelta().y() / 120.0
        self.zoom(ZOOM_STEP**notches, event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            self._space = True
            return
        steer = self._steer(event.key())
        if steer is None:
            super().keyPressEvent(event)
        else:
            steer()

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self._space = False
        super().keyReleaseEvent(event)

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QNativeGestureEvent):
            if event.gestureType() is Qt.NativeGestureType.ZoomNativeGesture:
                self.zoom(1.0 + event.value(), event.position())
                return True
        elif isinstance(event, QGestureEvent):
            pinch = event.gesture(Qt.GestureType.PinchGesture)
            if isinstance(pinch, QPinchGesture):
                at = self.mapFromGlobal(pinch.centerPoint())
                self.zoom(pinch.scaleFactor(), at)
                return True
        return super().event(event)
