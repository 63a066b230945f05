"""How the flat pane looks: pens, fills, signs, what a sewing step lights, the kept pictures. px.

A picture of a piece is only moved while the reader pans and while other pieces change.
"""

import math
from collections.abc import Iterator, Sequence

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen, QPolygonF

from app.session.display import Display
from app.session.document import Highlight, Pointing
from app.views.flat.labels import Figures, Lettering, TextSpot, TextStyle
from app.views.flat.piece_picture import PictureSpots, PieceLayouter, PiecePicture, PixelGrid
from app.views.flat.room import PieceRoom, RoomNeeds
from app.views.flat.ruler import RulerInk
from app.views.flat.sheet import Caption, Drawn, PieceSheet
from app.widgets.desktop import mixed, translucent
from app.widgets.drawing_view import View2D
from app.widgets.theme import Cache, DrawingTheme, lit_pens
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import EdgeRef, PieceId, PieceRole

WASH = 0.16
"""How much of the light's colour lies on what is lit as a whole."""

LitLine = tuple[QPolygonF, bool]
"""A line on the screen, and whether it closes an area."""


def paint_lit(
    painter: QPainter, lit: Highlight, sheet: PieceSheet, view: View2D, look: DrawingTheme
) -> None:
    """Pieces, outlines, edges and lines that a step works on, thick and over everything."""
    lines = list(lit_lines(lit, sheet, view))
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(translucent(look.highlight, WASH))
    for line, closed in lines:
        if closed:
            painter.drawPolygon(line)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for pen in lit_pens(look, Qt.PenJoinStyle.RoundJoin):
        painter.setPen(pen)
        for line, closed in lines:
            if closed:
                painter.drawPolygon(line)
            else:
                painter.drawPolyline(line)
    painter.restore()


def lit_lines(lit: Highlight, sheet: PieceSheet, view: View2D) -> Iterator[LitLine]:
    """Everything that is lit, px."""
    for piece, points, closed in _on_pieces(lit, sheet):
        if piece in sheet.places:
            x, y = sheet.places[piece]
            yield QPolygonF([view.to_screen(px + x, py + y) for px, py in points]), closed


def _on_pieces(
    lit: Highlight, sheet: PieceSheet
) -> Iterator[tuple[PieceId, Sequence[Point], bool]]:
    """(piece, points in mm, whether they close)."""
    draft = sheet.result.draft
    for piece in map(draft.piece, lit.pieces):
        yield piece.id, piece.cut_outline, True
    for where, place in lit.marks:
        mark = draft.piece(where).marks[place]
        yield where, mark.points, mark.closed
    for ref in lit.edges:
        edge = draft.edge(ref)
        if edge.length > 0.0:
            yield ref.piece, edge.line, False
    for where, points in lit.lines:
        yield where, points, False


_KEPT_SCALES = 60


class Pictures:
    """Makes pictures and keeps them: a piece that looks the same is not laid out again."""

    def __init__(self, lettering: Lettering, display: Display) -> None:
        self._lettering = lettering
        self._display = display
        self._written = Figures(lettering, display)
        self._kept: dict[PieceId, tuple[tuple[object, ...], Drawn, PiecePicture]] = {}
        self._around: dict[PieceId, tuple[Drawn, Cache[float, PieceRoom]]] = {}

    def picture(
        self, drawn: Drawn, *, scale: float, laid_at: float, ratio: float, layers: int, roomy: bool
    ) -> PiecePicture:
        """The picture of a piece.

        Args:
            scale: px per mm.
            laid_at: px per mm at which the pieces were laid beside each other.
            ratio: device pixels in one px.
            layers: how many the sandwich has.
            roomy: whether there is room around the piece for what is written there.
        """
        figures, key = self._figures, (scale, laid_at, ratio, layers, roomy)
        kept = self._kept.get(drawn.piece.id)
        if kept is not None and kept[0] == key and kept[1] is drawn:
            return kept[2]
        grid = PixelGrid(scale, ratio)
        layouter = PieceLayouter(
            drawn,
            grid,
            self._lettering,
            figures,
            self.around(drawn, max(scale, laid_at)).head,
            layers=layers,
            laid_at=laid_at,
        )
        made = layouter.plan(roomy=roomy)
        self._kept[drawn.piece.id] = (key, drawn, made)
        return made

    @property
    def _figures(self) -> Figures:
        """Lengths in the reader's unit; what was written in another is forgotten."""
        if self._written.shown != (self._display.unit, self._display.step):
            self._written = Figures(self._lettering, self._display)
            self._kept, self._around = {}, {}
        return self._written

    def around(self, drawn: Drawn, scale: float) -> PieceRoom:
        """What is written around a piece shown at `scale` px per mm, reckoned once for each."""
        figures, kept = self._figures, self._around.get(drawn.piece.id)
        if kept is None or kept[0] is not drawn:
            needs = RoomNeeds(drawn, self._lettering, figures)
            kept = self._around[drawn.piece.id] = (drawn, Cache(_KEPT_SCALES, needs.room))
        return kept[1][scale]


_DASHES: dict[Ink, list[float]] = {
    Ink.STITCH: [4.0, 3.0],
    Ink.FOLD: [11.0, 3.0, 2.0, 3.0],
    Ink.PLACEMENT: [2.0, 3.0],
    Ink.BASTE: [1.0, 3.0],
    Ink.TRIM: [11.0, 3.0, 2.0, 3.0, 2.0, 3.0],
}
"""Dashes and gaps, px: each kind of line can be told without its colour."""

_STARTING = (1.0, 5.0)
"""Of the outlines of the bag that the work started from, px."""

_ORDER = (Ink.PLACEMENT, Ink.BASTE, Ink.FOLD, Ink.STITCH, Ink.TRIM, Ink.CLIP, Ink.NOTCH, Ink.CUT)
"""What is painted first lies lowest."""

TICK, LEAD = 0.72, 0.62
"""Shares of a dimension's ink in the ticks of rulers and in lines that lead to a dimension."""

_SOFT = 0.55
"""Share of a goods' colour in the fill of its piece; the rest is paper."""


def stroke(
    painter: QPainter,
    at: QPointF,
    paths: dict[Ink, QPainterPath],
    pens: dict[Ink, QPen],
    smoothed: float = 0.0,
) -> None:
    """The lines of a picture.

    Args:
        smoothed: device pixels in one px, of smoothed lines. Of an even number of those wide, what
            is not smoothed lies half of one to the right and down: they are to run on in one.
    """
    for ink in _ORDER:
        if ink in paths:
            pen = pens[ink]
            is_even = smoothed and round(pen.widthF() * smoothed) % 2 == 0
            place = at + QPointF(0.5, 0.5) / smoothed if is_even else at
            painter.translate(place)
            painter.strokePath(paths[ink], pen)
            painter.translate(-place)


class Brush:
    """Paints in one look."""

    def __init__(self, look: DrawingTheme) -> None:
        self.look = look
        self.ruler = RulerInk(
            ground=mixed(look.ink, look.paper, 0.05),
            tick=mixed(look.dimension, look.paper, TICK),
            figure=look.dimension,
            pointer=look.highlight,
        )
        self._pens = {ink: self._pen(ink) for ink in _ORDER}
        self._starting = QPen(look.starting, look.line)
        self._starting.setDashPattern([each / look.line for each in _STARTING])
        self._hairlines: dict[float, dict[Ink, QPen]] = {}
        self._lead = QPen(mixed(look.dimension, look.paper, LEAD), 1.0)
        self._measure = QPen(look.dimension, 1.0)
        self._arrow = QPen(look.grain, look.line)
        self._colours = {
            TextStyle.NAME: look.ink,
            TextStyle.NOTE: look.grain,
            TextStyle.FIGURE: look.dimension,
        }
        fills = {
            PieceRole.WALL: (look.outer, _SOFT),
            PieceRole.TAPE: (look.zip, 0.22),
            PieceRole.PATCH: (look.pocket, _SOFT),
            PieceRole.STRIP: (look.handle, 0.3),
            PieceRole.SHEET: (look.board, _SOFT),
        }
        self._fills = {
            role: mixed(colour, look.paper, share) for role, (colour, share) in fills.items()
        }

    def _pen(self, ink: Ink) -> QPen:
        look = self.look
        colour, width = {
            Ink.CUT: (look.cut, math.ceil(look.bold)),
            Ink.STITCH: (look.stitch, look.line),
            Ink.FOLD: (look.fold, look.line),
            Ink.PLACEMENT: (look.placement, look.line),
            Ink.BASTE: (look.baste, look.line),
            Ink.NOTCH: (look.cut, math.ceil(look.bold)),
            Ink.TRIM: (look.cut, look.line),
            Ink.CLIP: (look.cut, look.line),
        }[ink]
        # Unsmoothed lines come in whole pixels: the cut line takes the next width up.
        pen = QPen(colour, width, c=Qt.PenCapStyle.FlatCap, j=Qt.PenJoinStyle.MiterJoin)
        if ink in _DASHES:
            # Qt counts dashes in pen widths.
            pen.setDashPattern([dash / width for dash in _DASHES[ink]])
        return pen

    def _pens_at(self, ratio: float) -> dict[Ink, QPen]:
        """Those of lines that are not smoothed, with so many device pixels in one px."""
        if ratio not in self._hairlines:
            dashed = {
                ink: self._unsmoothed(self._pens[ink], dashes, ratio)
                for ink, dashes in _DASHES.items()
            }
            self._hairlines[ratio] = self._pens | dashed
        return self._hairlines[ratio]

    def _unsmoothed(self, pen: QPen, dashes: Sequence[float], ratio: float) -> QPen:
        """A pen for broken lines, px, as wide as `pen` is where nothing is smoothed.

        A line one device pixel wide needs no outline that is filled dash by dash: of a cosmetic
        pen Qt sets the pixels at once.
        """
        if pen.widthF() * ratio >= 2.0:
            return pen
        hairline = QPen(pen.color(), 1.0, c=Qt.PenCapStyle.FlatCap)
        hairline.setCosmetic(True)
        # Qt counts dashes in pen widths.
        hairline.setDashPattern([dash * ratio for dash in dashes])
        return hairline

    def paint_areas(self, painter: QPainter, placed: PictureSpots) -> None:
        painter.setPen(Qt.PenStyle.NoPen)
        # Every edge lies under a cut line.
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        for at, picture in placed:
            painter.translate(at)
            painter.setBrush(self._fills[picture.role])
            painter.drawPolygon(picture.area)
            painter.translate(-at)

    def paint_lines(self, painter: QPainter, placed: PictureSpots, ratio: float) -> None:
        """Lines of all the pieces, then what is smoothed of them, and their dimensions."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        for at, picture in placed:
            stroke(painter, at, picture.lines, self._pens_at(ratio))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for at, picture in placed:
            if picture.curves:
                stroke(painter, at, picture.curves, self._pens, ratio)
        for at, picture in placed:
            painter.translate(at)
            for lines, pen in (
                (picture.leads, self._lead),
                (picture.measures, self._measure),
                (picture.arrow, self._arrow),
            ):
                if lines:
                    painter.setPen(pen)
                    painter.drawLines(lines)
            painter.translate(-at)

    def paint_texts(self, painter: QPainter, placed: PictureSpots, lettering: Lettering) -> None:
        """What is written on all the pieces, all of one style and direction in one go."""
        level: dict[TextStyle, list[TextSpot]] = {style: [] for style in self._colours}
        upright: dict[TextStyle, list[TextSpot]] = {style: [] for style in self._colours}
        for at, picture in placed:
            x, y = at.x(), at.y()
            for text, style, (left, top, _, bottom), is_upright in picture.labels:
                if is_upright:
                    upright[style].append((text, left + x, bottom + y))
                else:
                    level[style].append((text, left + x, top + y))
        for style, colour in self._colours.items():
            painter.setPen(colour)
            lettering.paint(painter, level[style], style)
            lettering.paint_upright(painter, upright[style], style)

    def starting_pen(self, ratio: float) -> QPen:
        """Of the outlines of the bag that the work started from; they are not smoothed."""
        return self._unsmoothed(self._starting, _STARTING, ratio)

    def paint_pointing(
        self,
        painter: QPainter,
        pointing: Pointing,
        letter: str,
        sheet: PieceSheet,
        view: View2D,
        lettering: Lettering,
    ) -> None:
        """The edge thick, the edges it is sewn to thick and broken, each with its letter."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        mates = [(ref, self._lit(sheet, view, ref)) for ref in pointing.mates]
        for _ref, line in mates:
            self._paint_lit(painter, line, self.look.mate, broken=True)
        if pointing.edge is not None:
            line = self._lit(sheet, view, pointing.edge)
            self._paint_lit(painter, line, self.look.highlight, broken=False)
            self._paint_tag(painter, line, letter, self.look.highlight, lettering)
        for _ref, line in mates:
            self._paint_tag(painter, line, letter, self.look.mate, lettering)

    def _lit(self, sheet: PieceSheet, view: View2D, ref: EdgeRef) -> QPainterPath | None:
        """An edge's cut line on the screen; None for one without length."""
        place = sheet.places.get(ref.piece)
        if place is None:
            return None
        edge = sheet.result.draft.edge(ref)
        if edge.length <= 0.0:
            return None
        x, y = place
        first, *others = (view.to_screen(px + x, py + y) for px, py in edge.line)
        path = QPainterPath(first)
        for each in others:
            path.lineTo(each)
        return path

    def _paint_lit(
        self, painter: QPainter, line: QPainterPath | None, colour: QColor, *, broken: bool
    ) -> None:
        if line is None:
            return
        pen = QPen(colour, self.look.glow, c=Qt.PenCapStyle.FlatCap)
        if broken:
            pen.setDashPattern([2.5, 1.0])
        painter.strokePath(line, pen)

    def _paint_tag(
        self,
        painter: QPainter,
        line: QPainterPath | None,
        letter: str,
        colour: QColor,
        lettering: Lettering,
    ) -> None:
        """The letter of the seam in a disc on the edge, off its middle where sizes stand."""
        if line is None or not letter:
            return
        at = line.pointAtPercent(0.3 if line.length() > 80.0 else 0.5)
        wide, high = lettering.size(letter, TextStyle.NAME)
        radius = max(wide, high) / 2 + 2.0
        painter.setPen(QPen(self.look.paper, 1.5))
        painter.setBrush(colour)
        painter.drawEllipse(at, radius, radius)
        painter.setPen(self.look.paper)
        spot = (letter, at.x() - wide / 2, at.y() - high / 2)
        lettering.paint(painter, [spot], TextStyle.NAME)

    def paint_caption(
        self,
        painter: QPainter,
        said: Caption,
        area: QRectF,
        pointer: QPointF | None,
        lettering: Lettering,
    ) -> None:
        """Two lines at the foot of the pane; at its head while the pointer is at the foot."""
        title = f"{said.letter}  {said.title}" if said.letter else said.title
        pad = 8.0
        _, name_high = lettering.size(title, TextStyle.NAME)
        room = area.width() - 2 * pad - 12.0
        painter.setFont(lettering.fonts[TextStyle.NOTE])
        flags = Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap
        bound = painter.boundingRect(QRectF(0.0, 0.0, room, 400.0), flags, said.detail)
        wide = max(bound.width(), lettering.size(title, TextStyle.NAME)[0]) + 2 * pad
        high = name_high + bound.height() + 2 * pad
        left = area.left() + 6.0
        top = area.bottom() - high - 6.0
        if pointer is not None and pointer.y() > top - 24.0:
            top = area.top() + 6.0
        card = QRectF(left, top, wide, high)
        painter.setPen(QPen(self.look.highlight, 1.0))
        painter.setBrush(self.look.paper)
        painter.drawRoundedRect(card, 4.0, 4.0)
        at = card.topLeft() + QPointF(pad, pad)
        painter.setPen(self.look.ink)
        painter.setFont(lettering.fonts[TextStyle.NAME])
        painter.drawText(QRectF(at.x(), at.y(), wide, name_high), flags, title)
        painter.setFont(lettering.fonts[TextStyle.NOTE])
        below = QRectF(at.x(), at.y() + name_high, room, bound.height())
        painter.drawText(below, flags, said.detail)

    def paint_focus(self, painter: QPainter, rect: QRect, colour: QColor) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, 2.0))
        painter.drawRect(rect.adjusted(1, 1, -1, -1))
