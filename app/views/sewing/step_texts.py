"""The steps of one bag in the booklet's own words, and the signs that stand beside them."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPalette, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from app.session.display import Display, translated
from app.session.document import Highlight
from app.widgets.theme import change_colour, muted_colour, severity_tone
from core.bag.compute import Result
from core.drawing.step_pictures import StepPictures
from core.flat.roles import EdgeRef, PieceId, PieceRole
from core.flat.seam import Draft
from core.model.findings import Severity
from core.output.booklet.blocks import StepCard
from core.output.booklet.content import BookletOptions, step_card
from core.sewing.steps import Step, steps
from core.work.operation import Action, Operation

SIZE = 16
"""Every sign is drawn on a square of so many units."""


class StepSign(Enum):
    """Which sign."""

    CHANGE = "change"
    CARE = "care"


def tone(mark: StepSign) -> Callable[[QPalette], QColor]:
    """The colour of a sign and of the words beside it."""
    return change_colour if mark is StepSign.CHANGE else severity_tone(Severity.WARN)


def paint_sign(
    painter: QPainter, mark: StepSign, at: QPointF, size: float, palette: QPalette
) -> None:
    """Draw a sign with its upper left corner at a point, px."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(at)
    painter.scale(size / SIZE, size / SIZE)
    colour, paper = tone(mark)(palette), palette.color(QPalette.ColorRole.Base)
    if mark is StepSign.CHANGE:
        _dial(painter, colour)
    else:
        _triangle(painter, colour, paper)
    painter.restore()


def paint_box(painter: QPainter, rect: QRectF, palette: QPalette, *, ticked: bool) -> None:
    """A box to tick; the platform's own can hardly be seen on some dark grounds."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    edge = muted_colour(palette)
    fill = palette.color(QPalette.ColorRole.Highlight if ticked else QPalette.ColorRole.Base)
    painter.setPen(QPen(fill if ticked else edge, 1.3))
    painter.setBrush(fill)
    painter.drawRoundedRect(rect.adjusted(0.7, 0.7, -0.7, -0.7), 2.5, 2.5)
    if ticked:
        ink = palette.color(QPalette.ColorRole.HighlightedText)
        painter.setPen(QPen(ink, 2.0, c=Qt.PenCapStyle.RoundCap, j=Qt.PenJoinStyle.RoundJoin))
        wide, high = rect.width(), rect.height()
        spots = ((0.24, 0.52), (0.43, 0.71), (0.77, 0.30))
        tick = [QPointF(rect.x() + x * wide, rect.y() + y * high) for x, y in spots]
        painter.drawPolyline(QPolygonF(tick))
    painter.restore()


def _dial(painter: QPainter, colour: QColor) -> None:
    """The wheel that a stitch is set with: a ring of ticks, and its pointer."""
    painter.setPen(QPen(colour, 1.7, c=Qt.PenCapStyle.RoundCap))
    painter.drawEllipse(QRectF(3.6, 4.4, 8.8, 8.8))
    painter.drawLine(QPointF(8.0, 8.8), QPointF(10.6, 6.2))
    for start, end in (((8, 0.9), (8, 2.2)), ((1.2, 4.0), (2.2, 4.9)), ((14.8, 4.0), (13.8, 4.9))):
        painter.drawLine(QPointF(*start), QPointF(*end))


def _triangle(painter: QPainter, colour: QColor, paper: QColor) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([QPointF(8, 0.8), QPointF(15.8, 15), QPointF(0.2, 15)]))
    painter.setPen(QPen(paper, 2.0, c=Qt.PenCapStyle.RoundCap))
    painter.drawLine(QPointF(8, 5.8), QPointF(8, 9.4))
    painter.drawLine(QPointF(8, 12.4), QPointF(8, 12.5))


class StepSignWidget(QWidget):
    """One sign as a widget; the words beside it say what it means."""

    def __init__(self, mark: StepSign, parent: QWidget) -> None:
        super().__init__(parent)
        self._mark = mark
        self.setFixedSize(QSize(SIZE + 2, SIZE + 2))

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint_sign(painter, self._mark, QPointF(1.0, 1.0), SIZE, self.palette())


_LAID = (Action.LAY_ON, Action.LAY_IN)


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step in the list.

    Attributes:
        key: of its operation, the same for as long as the bag has it.
        number, title, text: what to do.
        change: what to change at the machine before it; empty where it stays as it is.
        care: what may be hurt; empty for nothing.
    """

    key: str
    number: int
    title: str
    text: str
    change: str
    care: str


class StepTexts:
    """Everything that is told of the steps of one bag, in the unit of this moment."""

    def __init__(self, result: Result, display: Display) -> None:
        self.result = result
        self.steps = steps(result)
        self.options = BookletOptions(unit=display.unit, step=display.step, translate=translated)
        self.rows = tuple(self._row(step) for step in self.steps)

    @cached_property
    def _diagrams(self) -> StepPictures:
        options = self.options
        return StepPictures(self.result, self.steps, show=options.show, translate=options.translate)

    def card(self, number: int) -> StepCard:
        """The step of that number, from 1, with its drawing."""
        step = self.steps[number - 1]
        return step_card(step, self.options, self._diagrams.picture(number))

    def lit(self, number: int) -> Highlight:
        return lit_of(self.steps[number - 1].operation, self.result.draft)

    def _row(self, step: Step) -> StepRow:
        say, operation = self.options.say, step.operation
        change = "" if step.change is None else " ".join(map(say, step.change.sentences))
        return StepRow(
            key=operation.key,
            number=step.number,
            title=say(operation.title),
            text=step.text(self.options.show, self.options.translate),
            change=change,
            care=step.caution(self.options.show, self.options.translate) or "",
        )


def lit_of(operation: Operation, draft: Draft) -> Highlight:
    """What of the flat pieces an operation works on."""
    edges = operation.edges_on(draft)
    marks = tuple((ref.piece, ref.index) for ref in operation.marks)
    lines = tuple((path.piece, path.points) for path in operation.paths)
    others = tuple(each for each in operation.pieces if each.role is not PieceRole.WALL)
    pieces: tuple[PieceId, ...] = ()
    if operation.action in _LAID:
        pieces = others
    elif not (edges or marks or lines):
        pieces = operation.pieces
    inside = map(draft.piece, pieces)
    rims = tuple(EdgeRef(piece.id, edge.id) for piece in inside for edge in piece.edges)
    on_bag = any(ref.piece.role in (PieceRole.WALL, PieceRole.TAPE) for ref in edges)
    return Highlight(
        edges=edges,
        marks=marks,
        lines=lines,
        pieces=pieces,
        rims=rims,
        parts=() if on_bag else others,
    )
