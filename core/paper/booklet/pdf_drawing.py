"""Pictures on a PDF page: a flowable for each. The writer's library is loaded when used."""

from typing import Any

from core.paper.booklet.picture import Picture, look_of
from core.paper.booklet.wording import legible
from core.paper.ink import BOLD, POINTS, REGULAR
from core.paper.lettering import CAPITAL, text_width
from core.paper.records import Anchor, Line, Text


def drawing(picture: Picture, known: Any, *, align: str, scale: float = 1.0) -> Any:
    """A flowable that draws a picture at so many times its size."""
    from reportlab.platypus import Flowable

    class Drawing(Flowable):  # type: ignore[misc]  # the library has no types
        def __init__(self) -> None:
            super().__init__()
            self.hAlign = align
            self.width = picture.width * scale * POINTS
            self.height = picture.height * scale * POINTS

        def wrap(self, *_room: float) -> tuple[float, float]:
            return self.width, self.height

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale * POINTS, scale * POINTS)
            self.canv.setLineJoin(1)
            self.canv.setLineCap(1)
            for record in picture.records:
                _draw_record(self.canv, record, known)
            self.canv.restoreState()

    return Drawing()


def _draw_record(canvas: Any, record: Any, known: Any) -> None:
    if isinstance(record, Text):
        _draw_text(canvas, record, known)
        return
    look = look_of(record.layer)
    canvas.setStrokeColorRGB(*(part / 255 for part in look.colour))
    canvas.setLineWidth(look.width)
    canvas.setDash(*((list(look.dashes), 0) if look.dashes else ([], 0)))
    path = canvas.beginPath()
    path.moveTo(*record.points[0])
    for point in record.points[1:]:
        path.lineTo(*point)
    if isinstance(record, Line):
        canvas.drawPath(path, stroke=1, fill=0)
        return
    path.close()
    if look.fill is not None:
        canvas.setFillColorRGB(*(part / 255 for part in look.fill))
    canvas.drawPath(path, stroke=1, fill=int(look.fill is not None))


def _draw_text(canvas: Any, text: Text, known: Any) -> None:
    told = legible(text.text, known)
    width = text_width(told, text.height, bold=text.bold)
    back = {Anchor.START: 0.0, Anchor.MIDDLE: width / 2, Anchor.END: width}[text.anchor]
    canvas.saveState()
    canvas.setFillGray(0.12)
    canvas.translate(*text.at)
    canvas.rotate(text.angle)
    canvas.setFont(BOLD if text.bold else REGULAR, text.height / CAPITAL)
    canvas.drawString(-back, -text.height / 2, told)
    canvas.restoreState()
