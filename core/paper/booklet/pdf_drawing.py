"""Pictures on a PDF page: a flowable for each. The writer's library is loaded when used."""

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from core.paper.booklet.picture import Picture, look_of
from core.paper.booklet.wording import legible
from core.paper.ink import BOLD, POINTS, REGULAR
from core.paper.lettering import CAPITAL, text_width
from core.paper.records import Anchor, Layer, Line, Polygon, Record, Text


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
            for _, records in groupby(picture.records, key=_at_once):
                _draw_records(self.canv, list(records), known)
            self.canv.restoreState()

    return Drawing()


def _at_once(record: Record) -> tuple[Layer, int]:
    """What may be painted in one go: lines of one look; an area covers what comes before it."""
    return record.layer, 0 if isinstance(record, Line) else id(record)


def _draw_records(canvas: Any, records: Sequence[Record], known: Any) -> None:
    """Lines of one layer; or one area, or one text."""
    first = records[0]
    if isinstance(first, Text):
        _draw_text(canvas, first, known)
        return
    look = look_of(first.layer)
    canvas.setStrokeColorRGB(*(part / 255 for part in look.colour))
    canvas.setLineWidth(look.width)
    canvas.setDash(*((list(look.dashes), 0) if look.dashes else ([], 0)))
    path = canvas.beginPath()
    for record in records:
        if isinstance(record, Text):
            continue
        path.moveTo(*record.points[0])
        for point in record.points[1:]:
            path.lineTo(*point)
        if isinstance(record, Polygon):
            path.close()
    fill = look.fill if isinstance(first, Polygon) else None
    if fill is not None:
        canvas.setFillColorRGB(*(part / 255 for part in fill))
    canvas.drawPath(path, stroke=1, fill=int(fill is not None))


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
