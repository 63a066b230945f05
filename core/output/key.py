"""The key to a printed pattern: title, test squares, list of pieces, legend, page map. mm.

It fills the first page, or a place of its own on a sheet that is printed in one.
Everything in it is at true size except the map.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from core.bag.bag import CUT_FIGURES, Bag, cut_value
from core.base.sentences import Sentence, say
from core.base.units import NEAR
from core.drawing.lettering import Words, with_fractions, wrapped
from core.drawing.pattern import cutting_text
from core.drawing.records import Anchor, Line, Polygon, Record, Text
from core.flat.piece import Point
from core.model.figures import Kind
from core.output.pages import PagePlan, PrintOptions
from core.work.scene import Ink

INCHES_SQUARE = 50.8
"""Side of the 2 in test square."""
CENTIMETRES_SQUARE = 50.0
"""Side of the 5 cm test square."""
_BODY, _HEAD, _TITLE = 2.3, 2.7, 6.2
_LINE = 4.7
_LEAST_MAP = 30.0
"""Where a long list of pieces leaves less than this, there is no map: it could not be read."""
_LEGEND: tuple[tuple[Ink, str], ...] = (
    (Ink.CUT, "cut line"),
    (Ink.STITCH, "stitch line"),
    (Ink.BASTE, "basting line"),
    (Ink.FOLD, "fold"),
    (Ink.PLACEMENT, "placement line"),
    (Ink.NOTCH, "halfway mark"),
    (Ink.GRAIN, "lengthwise grain"),
    (Ink.PAGE_JOIN, "match mark at a page join"),
)


@dataclass(slots=True)
class _Pen:
    """Writes downwards from `y`, between `left` and `right`."""

    records: list[Record]
    left: float
    right: float
    y: float

    def text(self, text: str, height: float, *, bold: bool = False, indent: float = 0.0) -> None:
        """A paragraph, wrapped."""
        room = self.right - self.left - indent
        for words in wrapped(Words(with_fractions(text), height, bold), room):
            self.y -= 1.9 * height
            at = (self.left + indent, self.y + 0.5 * height)
            self.records.append(
                Text(Ink.LABEL, at, words.text, height, anchor=Anchor.START, bold=bold)
            )

    def skip(self, height: float) -> None:
        """Free space."""
        self.y -= height

    def beside(self, left: float, right: float) -> "_Pen":
        """Another column that starts at the same height."""
        return _Pen(self.records, left, right, self.y)


def key_records(
    bag: Bag, plan: PagePlan, options: PrintOptions, box: tuple[float, float, float, float]
) -> list[Record]:
    """The key within a box (left, bottom, right, top), mm."""
    left, bottom, right, top = box
    pen = _Pen([], left, right, top)
    _title(pen, bag, plan, options)
    _squares(pen, options)
    middle = left + 0.56 * (right - left)
    pieces, legend = pen.beside(left, middle - 6.0), pen.beside(middle, right)
    _pieces(pieces, bag, plan, options)
    _legend(legend, plan, options)
    if any(NEAR in options.show(each) for each in _lengths(bag, plan)):
        legend.skip(1.5)
        legend.text(_say(options, "≈ length between two marks of the ruler"), _BODY)
    if len(plan.tiling.tiles) > 1:
        lowest = min(pieces.y, legend.y) - 5.0
        _assembly(_Pen(pen.records, left, right, lowest), plan, options, bottom)
    return pen.records


def _say(options: PrintOptions, template: str, **words: str) -> str:
    return Sentence(template, words=words).text(options.show, options.translate)


def _title(pen: _Pen, bag: Bag, plan: PagePlan, options: PrintOptions) -> None:
    pen.text(bag.name or _say(options, "Bag"), _TITLE, bold=True)
    pen.skip(1.0)
    pages = (
        _say(options, "1 page")
        if plan.count == 1
        else _say(options, "{count} pages", count=str(plan.count))
    )
    way = ""
    if plan.landscape:
        way = _say(options, ", landscape")
    size = say(
        "Sewing pattern at true scale · {pages} on {paper}{way} · seam allowances included",
        words={"pages": pages, "paper": plan.paper.name, "way": way},
    )
    pen.text(size.text(options.show, options.translate), _HEAD)
    pen.skip(3.0)
    pen.records.append(Line(Ink.FRAME, ((pen.left, pen.y), (pen.right, pen.y))))
    pen.skip(4.0)


def _squares(pen: _Pen, options: PrintOptions) -> None:
    """Two squares to hold a ruler against, and what to do with them."""
    x, y = pen.left, pen.y
    for side, text in ((INCHES_SQUARE, "2 in"), (CENTIMETRES_SQUARE, "5 cm")):
        low = y - side
        corners = ((x, low), (x + side, low), (x + side, y), (x, y))
        pen.records.append(Polygon(Ink.TEST, corners))
        pen.records.append(
            Text(Ink.LABEL, (x + side / 2, y - side / 2 + 2.5), text, 4.4, bold=True)
        )
        pen.records.append(
            Text(
                Ink.LABEL,
                (x + side / 2, y - side / 2 - 4.5),
                _say(options, "test square"),
                _BODY,
            )
        )
        x += side + 6.0
    words = pen.beside(x + 2.0, pen.right)
    words.text(_say(options, "Print at 100 %,"), 4.0, bold=True)
    words.text(_say(options, "no fit to page"), 4.0, bold=True)
    words.skip(2.5)
    words.text(
        _say(
            options,
            "Then measure both squares with the ruler that you use for cutting. If a side "
            "is off, choose “actual size” in the printer's settings and print this page "
            "again.",
        ),
        _BODY,
    )
    pen.skip(INCHES_SQUARE + 7.0)


def _pieces(pen: _Pen, bag: Bag, plan: PagePlan, options: PrintOptions) -> None:
    pen.text(_say(options, "Pieces"), _HEAD, bold=True)
    pen.skip(1.5)
    layers = tuple(layer.role for layer in bag.sandwich.layers)
    for outline in plan.outlines:
        piece = outline.piece
        size = say(
            "{name}  {width} × {height}",
            width=piece.width,
            height=piece.height,
            words={"name": piece.name},
        )
        pen.text(size.text(options.show, options.translate), _BODY, bold=True)
        cutting = cutting_text(piece, layers).text(options.show, options.translate)
        pen.text(cutting, _BODY, indent=3.0)
        pen.skip(1.0)


def _lengths(bag: Bag, plan: PagePlan) -> Iterator[float]:
    """What the pattern tells: sizes of the pieces and figures that they are cut by, mm."""
    for outline in plan.outlines:
        yield from (outline.piece.width, outline.piece.height)
    for figure in CUT_FIGURES:
        value = cut_value(bag, figure.name)
        if figure.kind is Kind.LENGTH and value is not None:
            yield value


def _legend(pen: _Pen, plan: PagePlan, options: PrintOptions) -> None:
    joins = len(plan.tiling.tiles) > 1
    pen.text(_say(options, "Lines"), _HEAD, bold=True)
    pen.skip(1.5)
    for ink, text in _LEGEND:
        if ink is Ink.PAGE_JOIN and not joins:
            continue
        pen.y -= _LINE
        y = pen.y + 0.5 * _BODY
        pen.records += _sample(ink, pen.left, pen.left + 22.0, y)
        pen.records.append(
            Text(
                Ink.LABEL,
                (pen.left + 26.0, y),
                _say(options, text),
                _BODY,
                anchor=Anchor.START,
            )
        )


def _sample(ink: Ink, left: float, right: float, y: float) -> list[Record]:
    """A line as it is drawn on the pieces."""
    middle = (left + right) / 2
    if ink is Ink.PAGE_JOIN:
        return [Polygon(ink, diamond((middle, y), 1.8))]
    if ink is Ink.GRAIN:
        barbs = [
            Line(ink, ((x + s * 3.0, y + 1.2), (x, y), (x + s * 3.0, y - 1.2)))
            for x, s in ((left, 1.0), (right, -1.0))
        ]
        return [Line(ink, ((left, y), (right, y))), *barbs]
    return [Line(ink, ((left, y), (right, y)))]


def diamond(middle: Point, size: float) -> tuple[Point, ...]:
    """Corners of a square that stands on its tip, `size` from middle to tip, mm."""
    x, y = middle
    return ((x, y - size), (x + size, y), (x, y + size), (x - size, y))


def _assembly(pen: _Pen, plan: PagePlan, options: PrintOptions, bottom: float) -> None:
    """How to put the pages together, and a small map of them all."""
    pen.text(_say(options, "Putting the pages together"), _HEAD, bold=True)
    pen.skip(0.5)
    pen.text(
        say(
            "Trim the left and the upper edge of each page along its frame, except at the "
            "outer edge of the map. Lay it over the neighbouring page so that the halves "
            "of each numbered diamond meet, and tape them together. Pages overlap by "
            "{overlap}.",
            overlap=plan.tiling.overlap,
        ).text(options.show, options.translate),
        _BODY,
    )
    pen.skip(4.0)
    if pen.y - bottom >= _LEAST_MAP:
        pen.records += page_map(plan, (pen.left, bottom, pen.right, pen.y))


def page_map(plan: PagePlan, box: tuple[float, float, float, float]) -> list[Record]:
    """The pages with their labels and the outlines of the pieces, fitted into a box."""
    tiling = plan.tiling
    left, bottom, right, top = box
    step = (tiling.width - tiling.overlap, tiling.height - tiling.overlap)
    width = tiling.width + (tiling.columns - 1) * step[0]
    height = tiling.height + (tiling.rows - 1) * step[1]
    scale = min((right - left) / width, (top - bottom) / height)
    shift = ((left + right - scale * width) / 2, top - scale * plan.sheet_size[1])

    def small(point: Point) -> Point:
        return shift[0] + scale * point[0], shift[1] + scale * point[1]

    records: list[Record] = []
    for outline, place in zip(plan.outlines, plan.placed, strict=True):
        points = tuple(small(place.point(point)) for point in outline.piece.outline)
        records.append(Polygon(Ink.MAP, points))
    for each in tiling.tiles:
        # Neighbours are drawn edge to edge, as they look when taped.
        x1 = each.x + (step[0] if each.column < tiling.columns - 1 else tiling.width)
        y0 = each.y + (tiling.overlap if each.row < tiling.rows - 1 else 0.0)
        y1 = each.y + tiling.height
        corners = ((each.x, y0), (x1, y0), (x1, y1), (each.x, y1))
        ring = tuple(small(corner) for corner in corners)
        records.append(Line(Ink.MAP, (*ring, ring[0])))
        middle = small((each.x + step[0] / 2, each.y + tiling.height - step[1] / 2))
        size = min(4.0, 0.3 * scale * min(step))
        records.append(Text(Ink.MAP, middle, each.label, size, bold=True))
    return records
