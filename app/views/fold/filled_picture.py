"""The filled bag in the fold view: its shape, what the eye sees of it, and a kept picture.

What projects and paints it is loaded with the first shape, after the window has opened.
"""

from itertools import pairwise, starmap
from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF, QPointF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from app.views.fold.pens import Pens
from app.views.fold.scene import View
from app.widgets.desktop import translucent
from app.widgets.theme import DrawingTheme, greyed
from core.drawing.projection import AnyExtent, Camera, Fit
from core.flat.piece import Point

if TYPE_CHECKING:
    from app.views.fold.surface_index import SurfaceCatalogue
    from app.views.fold.surface_scene import SurfaceView
    from core.solid.surface import FilledSurface


class FilledPicture:
    """Holds one filled bag.

    Attributes:
        surface: the bag; None while there is none to show.
        old: whether it answers older numbers, and is greyed.
        caption: what is written beside it.
        starting: the filled bag that the work started from, to be outlined; None for none.
        fit: the eye that shows it whole; None until it is wanted.
    """

    def __init__(self, look: DrawingTheme) -> None:
        self.surface: FilledSurface | None = None
        self.old = False
        self.caption: tuple[str, ...] = ()
        self.starting: FilledSurface | None = None
        self.fit: Fit | None = None
        self._sorted: dict[FilledSurface, SurfaceCatalogue] = {}
        self._seen: tuple[tuple[object, ...], SurfaceView] | None = None
        self._picture: tuple[tuple[object, ...], QPixmap] | None = None
        self._ghost: tuple[tuple[object, ...], list[QLineF]] | None = None
        self.set_look(look)

    def set_look(self, look: DrawingTheme) -> None:
        self._look, self._pens, self._old_pens = look, Pens(look), Pens(greyed(look))
        self._picture = None

    def show(self, surface: "FilledSurface | None", *, old: bool, caption: tuple[str, ...]) -> bool:
        """Hold another bag, or the same one in another light; False when nothing differs."""
        if (surface is None) != (self.surface is None):
            self.fit = None
        if (surface, old, caption) == (self.surface, self.old, self.caption):
            return False
        self.surface, self.old, self.caption = surface, old, caption
        return True

    def seen(self, share: float, camera: Camera) -> "SurfaceView | None":
        """What the eye sees; None when there is no bag."""
        if self.surface is None:
            return None
        key = (self.surface, share, camera.key)
        if self._seen is None or self._seen[0] != key:
            from app.views.fold.surface_scene import see

            self._seen = (key, see(self._catalogue(self.surface), share, camera))
        return self._seen[1]

    def extent(self, surface: "FilledSurface") -> AnyExtent:
        """All that is seen of a bag once it is filled."""
        from app.views.fold.surface_camera import ArrayExtent

        return ArrayExtent(surface.outer_points)

    def _catalogue(self, surface: "FilledSurface") -> "SurfaceCatalogue":
        """Sorted when it is first looked at: most shapes are replaced before, unseen."""
        if surface not in self._sorted:
            from app.views.fold.surface_index import catalogue_of

            held = (self.surface, self.starting)
            self._sorted = {each: kept for each, kept in self._sorted.items() if each in held}
            self._sorted[surface] = catalogue_of(surface)
        return self._sorted[surface]

    def paint(
        self, painter: QPainter, view: "SurfaceView", size: QSize, ratio: float, *, smooth: bool
    ) -> None:
        """Put the picture down, a new one only if the kept one is no longer right.

        An older shape stays as it is while numbers change: only the words beside it differ.

        Args:
            size, ratio: of the widget, in device-independent pixels, and device pixels for each.
        """
        key = (view, self.old, smooth, size.toTuple(), ratio)
        if self._picture is None or self._picture[0] != key:
            pixmap = QPixmap(size * ratio)
            pixmap.setDevicePixelRatio(ratio)
            pixmap.fill(self._look.paper)
            self._draw(pixmap, view, smooth=smooth)
            self._picture = (key, pixmap)
        painter.drawPixmap(0, 0, self._picture[1])
        if self.starting is not None:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(_pen(self._look))
            painter.drawLines(self._ghost_of(self.starting, view))

    def _draw(self, pixmap: QPixmap, view: "SurfaceView", *, smooth: bool) -> None:
        from app.views.fold.surface_paint import SurfacePainter

        painter = QPainter(pixmap)
        pens = self._old_pens if self.old else self._pens
        SurfacePainter(painter, view, pens, smooth=smooth).paint()
        painter.end()

    def _ghost_of(self, starting: "FilledSurface", view: "SurfaceView") -> list[QLineF]:
        """Where its wall turns away from the eye; kept while the eye and the moment stay."""
        key = (starting, view.share, view.camera.key)
        if self._ghost is None or self._ghost[0] != key:
            from app.views.fold.surface_scene import see

            ghost = see(self._catalogue(starting), view.share, view.camera)
            lines = ghost.seen[ghost.outline][..., :2].reshape(-1, 4).tolist()
            self._ghost = key, list(starmap(QLineF, lines))
        return self._ghost[1]


_FAINT = 0.85


def folded_ghost(view: View) -> QPainterPath:
    """Around all of the wall that is seen of a folding bag."""
    outline = QPainterPath()
    outline.setFillRule(Qt.FillRule.WindingFill)
    for zone, areas in view.catalogue.outlines.items():
        if view.folded.model.zones[zone].loose or zone not in view.order:
            continue
        for index in areas:
            # Placed in space corners that meet are one; else the outline gets more kinks.
            seen = view.camera.project(view.folded.outlines[index])
            corners = _same_way_round([(x, y) for x, y, _ in seen])
            outline.addPolygon(QPolygonF(list(starmap(QPointF, corners))))
    return outline.simplified()


def ghost_picture(ghost: QPainterPath, look: DrawingTheme, size: QSize, ratio: float) -> QPixmap:
    """The outline of the folding bag, as `folded_ghost` gives it, on nothing.

    Args:
        ghost, look: what is drawn, and how.
        size, ratio: of the widget, in device-independent pixels, and device pixels for each.
    """
    picture = QPixmap(size * ratio)
    picture.setDevicePixelRatio(ratio)
    picture.fill(Qt.GlobalColor.transparent)
    painter = QPainter(picture)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(_pen(look))
    painter.drawPath(ghost)
    painter.end()
    return picture


def _same_way_round(corners: list[Point]) -> list[Point]:
    """Closed, and in one sense, so that overlapping shapes add up to one."""
    closed = [*corners, corners[0]]
    twice = sum(x0 * y1 - y0 * x1 for (x0, y0), (x1, y1) in pairwise(closed))
    return closed if twice > 0.0 else closed[::-1]


def _pen(look: DrawingTheme) -> QPen:
    return QPen(translucent(look.starting, _FAINT), look.line, c=Qt.PenCapStyle.FlatCap)
