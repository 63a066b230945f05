"""The drawing of the folding bag: it turns, zooms and is pointed at."""

import math
from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QGestureEvent, QPinchGesture, QWidget

from app.session.document import NO_HIGHLIGHT, Highlight
from app.views.fold.filled_picture import FilledPicture, folded_ghost, ghost_picture
from app.views.fold.notes import NotePainter, NoteText, Texts, dimension_near, paint_lit
from app.views.fold.paint import BagPainter
from app.views.fold.pens import Pens
from app.views.fold.scene import EYE_DISTANCE, View, look_at
from app.widgets.theme import DrawingTheme
from core.drawing.projection import AnyExtent, Camera, Fit, PointExtent, between, fit
from core.flat.geometry import Bounds
from core.flat.roles import EdgeRef
from core.solid.fold import FILLED, FLAT, FOLDED, SEWN, FoldModel
from core.space.zones import minus

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
BARE = 20.0
"""The same left and right of a bag that is not sewn yet, without dimensions."""
USUAL_HEIGHT = 16.0
"""Height of a line of words, pixels, up to which that room is enough; larger ones get more."""
LEAST_SHOWN, MOST_SHOWN = 0.6, 1.15
"""Of the size of a fitted bag: outside these the eye moves when the bag changes."""
OTHER_SIZE = 3.0
"""... and where the reader has moved it herself."""
NOTES_FROM = 0.999
"""Moment, and share of the filling, from which sizes are written."""
STAGES = 10
"""So often is it fitted on its way to sewn, where it reaches further than at either end."""

if TYPE_CHECKING:  # they come with the first filled shape, after the window has opened
    from app.views.fold.surface_scene import SurfaceView
    from core.solid.surface import FilledSurface


class FoldView(QWidget):
    """Shows one moment of a `FoldModel`, and beyond it of a surface.

    Attributes:
        model: what is shown.
        at: the moment: 0 flat, 1/2 folded, 1 sewn, 1 1/2 filled.
        filled: the filled bag, as far as there is one to show.

    Signals:
        pointed(object): the `EdgeRef` under the pointer, or None.
    """

    pointed = Signal(object)

    def __init__(self, model: FoldModel, words: NoteText, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = words
        self._yaw, self._pitch, self._zoom = YAW, PITCH, 1.0
        self._pan = QPointF(0.0, 0.0)
        self.at = SEWN
        self._fits: dict[int, Fit] = {}
        self._size = 1.0
        self._lit: tuple[EdgeRef | None, tuple[EdgeRef, ...]] = (None, ())
        self._lit_step: Highlight = NO_HIGHLIGHT
        self.note_boxes: tuple[QRectF, ...] = ()
        self._grabbed: QPoint | None = None
        self._pans = False
        self._space = False
        self._moving = False
        self._view: View | None = None
        self._starting: FoldModel | None = None
        self._ghost: tuple[object, QPixmap] | None = None
        self._look = DrawingTheme.for_palette(self.palette())
        self._pens, self.filled = Pens(self._look), FilledPicture(self._look)
        self._texts = Texts()
        self.model = model
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        # It covers all of itself: nothing need be painted under it.
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setMinimumSize(220, 220)
        self.grabGesture(Qt.GestureType.PinchGesture)

    @property
    def view(self) -> View:
        """What the eye sees now of the rigid bag: sewn, where it is being filled."""
        if self._view is None:
            self._view = look_at(self.model.at(min(self.at, SEWN)), self.camera)
        return self._view

    @property
    def surface_view(self) -> "SurfaceView | None":
        """What the eye sees now of the bag that is being filled; None up to sewn."""
        if self.at <= SEWN or self.filled.surface is None:
            return None
        return self.filled.seen(self._filled_share, self.camera)

    @property
    def _filled_share(self) -> float:
        return min(max((self.at - SEWN) / (FILLED - SEWN), 0.0), 1.0)

    @property
    def camera(self) -> Camera:
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
        """Show another bag; without `refit` the eye stays, so that growth shows as growth.

        It moves only where it must: the bag would reach beyond the pane, or be lost in it.
        """
        self.model = model
        if refit:
            self._fit_anew()
        self._look_again()
        # A filled bag that is seen stays as it is until another one is shown.
        if not refit and (self.at <= SEWN or self.filled.surface is None):
            self._keep_in_view()

    def show_surface(
        self, surface: "FilledSurface | None", *, old: bool, caption: tuple[str, ...]
    ) -> None:
        """Show another filled bag; `old` where it answers older numbers."""
        other = surface is not self.filled.surface
        if self.filled.show(surface, old=old, caption=caption) and self.at > SEWN:
            self._look_again()
            if other:
                self._keep_in_view()

    def show_starting(
        self, model: FoldModel | None, surface: "FilledSurface | None" = None
    ) -> None:
        """Outline the bag that the work started from; None for none."""
        if self._starting is model and self.filled.starting is surface:
            return
        if self._starting is not model:
            self._starting, self._ghost = model, None
        self.filled.starting = surface
        self.update()

    def show_moment(self, at: float, *, moving: bool = False) -> None:
        """Show a moment; `moving` while it is one of many that follow quickly."""
        self.at, self._moving = at, moving
        self._look_again()

    def light(self, edge: EdgeRef | None, mates: tuple[EdgeRef, ...]) -> None:
        """Light an edge and those it is sewn to; None and () put the lights out."""
        self._lit = (edge, mates)
        self.update()

    def light_step(self, lit: Highlight) -> None:
        """Light what a sewing step works on; `NO_HIGHLIGHT` puts the lights out."""
        self._lit_step = lit
        self.update()

    def fit(self) -> None:
        """Show the whole bag from where the eye is."""
        self._zoom, self._pan = 1.0, QPointF(0.0, 0.0)
        self._fit_anew()
        self._look_again()

    def reset(self) -> None:
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

    def _keep_in_view(self) -> None:
        """After the bag changed: fit it again where it would not be seen as it should."""
        by_hand = self._zoom != 1.0 or not self._pan.isNull()
        if not (self.isVisible() or by_hand):
            self._fit_anew()
        if self.model.folding.flat_only is not None or not self._fits:
            return
        now, taken = self._fit_now(), self._taken_up
        if taken is None:
            return
        left, low, right, high = taken
        room = self._room(MARGIN[0] if self.at >= NOTES_FROM else BARE)
        growth = max((right - left) / room[0], (high - low) / room[1]) * now.scale
        if by_hand:
            # The reader looks at a part of it: only what has become another size altogether.
            suits = 1.0 / OTHER_SIZE < growth < OTHER_SIZE
        else:
            way = math.hypot(left + right, low + high) / 2 * now.scale
            aside, up = max(-left, right) / self.width(), max(-low, high) / self.height()
            whole = 2 * max(aside, up) * now.scale < 1.0
            suits = whole and LEAST_SHOWN < growth < MOST_SHOWN and way < min(MARGIN)
        if not suits:
            self.fit()

    @property
    def _taken_up(self) -> Bounds | None:
        """What the bag takes up in the picture about its middle, mm at the target.

        None where nothing shows: a flat pattern on edge.
        """
        camera = self.camera
        if self.at > SEWN and self.filled.surface is not None:
            extent = self.filled.extent(self.filled.surface)
            return extent.spread(camera.axes, camera.target, camera.distance).about(0.0, 0.0)
        bounds = self.view.bounds
        if bounds is None:
            return None
        (x, y), scale = camera.centre, camera.scale
        left, low, right, high = bounds
        return (left - x) / scale, (low - y) / scale, (right - x) / scale, (high - y) / scale

    def _fit_now(self) -> Fit:
        if not self._fits:
            states = [PointExtent(self.model.at(moment).extent) for moment in (FLAT, FOLDED, SEWN)]
            boxes = [extent.box() for extent in states]
            self._size = max(max(minus(greatest, least)) for least, greatest in boxes)
        if self.model.folding.flat_only is not None:
            return self._fit_of(0)
        if self.at > SEWN and self.filled.surface is not None:
            if self.filled.fit is None:
                self.filled.fit = self._fitted(self.filled.extent(self.filled.surface), MARGIN[0])
            return between(self._fit_of(STAGES), self.filled.fit, self._filled_share)
        before, part = divmod(min(self.at / SEWN, 1.0) * STAGES, 1.0)
        near = self._fit_of(int(before))
        return between(near, self._fit_of(int(before) + 1), part) if part else near

    def _fit_of(self, stage: int) -> Fit:
        """Of one of the stages, made when it is first come near to."""
        if stage not in self._fits:
            extent = PointExtent(self.model.at(stage / STAGES * SEWN).extent)
            self._fits[stage] = self._fitted(extent, MARGIN[0] if stage == STAGES else BARE)
        return self._fits[stage]

    def _fit_anew(self) -> None:
        self._fits, self.filled.fit, self._view = {}, None, None

    def _fitted(self, extent: AnyExtent, aside: float) -> Fit:
        distance, room = self._size * EYE_DISTANCE, self._room(aside)
        return fit(extent, yaw=self._yaw, pitch=self._pitch, room=room, distance=distance)

    def _room(self, aside: float) -> tuple[float, float]:
        """What the bag may take up beside so much left and right, pixels."""
        grown = max(self.fontMetrics().height() / USUAL_HEIGHT, 1.0)
        return (
            max(self.width() - 2 * aside * grown, 40.0),
            max(self.height() - 2 * MARGIN[1] * grown, 40.0),
        )

    def figure_at(self, spot: QPointF) -> str:
        """The figure whose dimension is drawn near a spot, px; empty where none is."""
        if self.surface_view is not None or self.model.folding.flat_only is not None:
            return ""
        return dimension_near(self.view, self.view.folded, spot)

    def edge_at(self, spot: QPointF) -> EdgeRef | None:
        """The edge that is drawn near a spot, px."""
        return (self.surface_view or self.view).edge_at(spot.x(), spot.y(), REACH)

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

    def _paint_folded(self, painter: QPainter) -> None:
        view = self.view
        BagPainter(painter, view, self._pens, smooth=not self._moving).paint()
        if self._starting is not None:
            painter.drawPixmap(0, 0, self._ghost_of(self._starting))

    def _ghost_of(self, model: FoldModel) -> QPixmap:
        """Kept while the eye and the moment stay, as they do while figures change."""
        at, camera, ratio = self.view.folded.at, self.view.camera, self.devicePixelRatioF()
        seen_so = at, camera.key, self.size().toTuple(), ratio
        if self._ghost is None or self._ghost[0] != seen_so:
            outline = folded_ghost(look_at(model.at(at), camera))
            self._ghost = seen_so, ghost_picture(outline, self._look, self.size(), ratio)
        return self._ghost[1]

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._look.paper)
        painter.setFont(self.font())
        surface_view = self.surface_view
        if surface_view is not None:
            ratio = self.devicePixelRatioF()
            self.filled.paint(painter, surface_view, self.size(), ratio, smooth=not self._moving)
        else:
            self._paint_folded(painter)
        if self._lit_step != NO_HIGHLIGHT:
            paint_lit(painter, self._lit_step, surface_view or self.view, self._look)
        room = QRectF(self.rect())
        notes = NotePainter(
            painter, surface_view or self.view, self._look, self._words, room, self._texts
        )
        if surface_view is None and self.at >= NOTES_FROM:
            notes.gaps(self.view.folded)
            notes.dimensions(self.view.folded)
            notes.write()
        self.note_boxes = tuple(notes.boxes)
        notes.pointed(*self._lit)
        if self._filled_share >= NOTES_FROM:
            notes.corner(self.filled.caption)
        if self.hasFocus():
            painter.setPen(self.palette().highlight().color())
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._fit_anew()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.PaletteChange, QEvent.Type.FontChange):
            self._look = DrawingTheme.for_palette(self.palette())
            self._pens = Pens(self._look)
            self.filled.set_look(self._look)
            self._ghost = None
            if event.type() is QEvent.Type.FontChange:
                self._fit_anew()
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
            self.pointed.emit(self.edge_at(event.position()))
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
        if self._moving:
            self._moving = False
            self.update()

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
        steer = self._steer(event.key()) or partial(super().keyPressEvent, event)
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
                self.zoom(pinch.scaleFactor(), self.mapFromGlobal(pinch.centerPoint()))
                return True
        return super().event(event)
