"""Steps and their pictures on PDF pages. Points, but for pictures.

Each step is whole beside its drawing, and pages are filled: a page takes as many steps as it can
with their drawings small; then the drawings grow until the page is full, and what is left over
parts the steps. So letters in a drawing are never smaller than they are told here, and no page is
left a third empty for a step that did not fit. The writer's library is loaded when used.
"""

from collections.abc import Callable, Sequence
from itertools import groupby
from typing import Any

from core.drawing.lettering import CAPITAL, legible, text_width
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text
from core.drawing.sketch import Picture, stroke_of
from core.flat.ink import Ink
from core.output.booklet.blocks import StepCard
from core.output.pdf import BOLD, POINTS, REGULAR


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


def _at_once(record: DrawingRecord) -> tuple[Ink, int]:
    """What may be painted in one go: lines of one look; an area covers what comes before it."""
    return record.ink, 0 if isinstance(record, Line) else id(record)


def _draw_records(canvas: Any, records: Sequence[DrawingRecord], known: Any) -> None:
    first = records[0]
    if isinstance(first, Text):
        _draw_text(canvas, first, known)
        return
    look = stroke_of(first.ink)
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


LEAST_SCALE, MOST_SCALE = 0.9, 1.5
"""Of a drawing: its letters, 7.4 pt at 1, are then 6.6 pt or larger."""
_SCALES = (MOST_SCALE, 1.35, 1.2, 1.1, 1.0, LEAST_SCALE)
_GAP, _MOST_GAP = 5.0, 60.0
"""Between two steps, and the most that it grows to."""

MakeCard = Callable[[StepCard, float], Any]
"""A step as a flowable, its drawing at so many times its size."""


def steps_flowable(
    lead: Sequence[Any], cards: Sequence[StepCard], make: MakeCard, *, page_height: float
) -> Any:
    """A flowable of all steps, under those that lead them, that breaks itself into full pages.

    `page_height` is that of a page that nothing stands on.
    """
    from reportlab.platypus import Flowable, PageBreak, Spacer

    class Steps(Flowable):  # type: ignore[misc]  # the library has no types
        def __init__(self, lead: Sequence[Any], cards: Sequence[StepCard]) -> None:
            super().__init__()
            self._lead, self._cards = list(lead), list(cards)

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            # Never fits, so that it is asked to split.
            return width, 10 * (height + page_height)

        def split(self, width: float, height: float) -> list[Any]:
            lead = sum(_height(each, width) for each in self._lead)
            room = height - lead - 0.01
            count = self._count(width, room)
            if count == 0 and height < page_height - 1.0:
                return []  # on the next page there is more room
            if count == 0:
                # Longer than a page: it is torn apart all the same.
                first = [*self._lead, make(self._cards[0], LEAST_SCALE)]
                return [*first, *self._rest(1)]
            is_last = count == len(self._cards)
            made, gap = self._fill(count, width, room, is_last=is_last)
            story = list(self._lead)
            for place, card in enumerate(made):
                story += [Spacer(1, gap)] if place else []
                story.append(card)
            return [*story, *([] if is_last else [PageBreak(), *self._rest(count)])]

        def _rest(self, count: int) -> list[Any]:
            return [Steps([], self._cards[count:])] if self._cards[count:] else []

        def _count(self, width: float, room: float) -> int:
            used, count = -_GAP, 0
            for card in self._cards:
                used += _GAP + _height(make(card, LEAST_SCALE), width)
                if used > room:
                    break
                count += 1
            return count

        def _fill(
            self, count: int, width: float, room: float, *, is_last: bool
        ) -> tuple[list[Any], float]:
            """The largest drawings that fit, and what is then left between the steps."""
            gaps = _GAP * (count - 1)
            for scale in _SCALES:
                if is_last and scale > 1.0:
                    continue
                made = [make(card, scale) for card in self._cards[:count]]
                used = sum(_height(each, width) for each in made)
                if used + gaps <= room:
                    break
            if is_last or count == 1:
                return made, _GAP
            return made, min((room - used) / (count - 1), _MOST_GAP)

    return Steps(lead, cards)


def _height(flowable: Any, width: float) -> float:
    high: float = (
        flowable.wrap(width, 1e6)[1] + flowable.getSpaceBefore() + flowable.getSpaceAfter()
    )
    return high
