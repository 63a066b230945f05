"""The key to a printed pattern: title, test squares, list of pieces, legend, page map. mm.

All in it is at true size except the map, which has a page of its own where a long list of pieces
leaves it too little room.
"""

from collections.abc import Iterator, Set
from typing import TYPE_CHECKING

from core.bag.bag import Bag, cut_value
from core.bag.tables import CUT_FIGURES
from core.base.sentences import Template, mark, plural
from core.base.units import NEAR
from core.drawing.lettering import Wording
from core.drawing.pattern import cutting_text
from core.drawing.records import Anchor, DrawingRecord, Line, Polygon, Text
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.model.figures import Quantity
from core.output.page_flow import BODY, HEAD, TITLE, TextColumn

if TYPE_CHECKING:  # the plan of the pages asks whether the map has room
    from core.output.pages import PagePlan

INCHES_SQUARE = 50.8
"""Side of the 2 in test square."""
CENTIMETRES_SQUARE = 50.0
"""Side of the 5 cm test square."""
_LINE = 4.7
_LEAST_ON_MAP = 6.0
"""How high a page must be on the map for its letters to be read."""
_LEGEND: tuple[tuple[Ink, Template], ...] = (
    (Ink.CUT, mark("cut line")),
    (Ink.STITCH, mark("stitch line")),
    (Ink.BASTE, mark("basting line")),
    (Ink.FOLD, mark("fold")),
    (Ink.PLACEMENT, mark("placement line")),
    (Ink.NOTCH, mark("notch, halfway mark")),
    (Ink.CLIP, mark("clip into the allowance")),
    (Ink.TRIM, mark("trimmed to after sewing")),
    (Ink.GRAIN, mark("lengthwise grain")),
    (Ink.PAGE_JOIN, mark("match mark at a page join")),
)
_UPRIGHT = plural(
    "Sewing pattern at true scale · 1 page on {paper} · seam allowances included",
    "Sewing pattern at true scale · {count} pages on {paper} · seam allowances included",
)
_SIDEWAYS = plural(
    "Sewing pattern at true scale · 1 page on {paper}, landscape · seam allowances included",
    "Sewing pattern at true scale · {count} pages on {paper}, landscape · seam allowances included",
)


def key_records(
    bag: Bag, plan: "PagePlan", wording: Wording, box: Bounds, drawn: Set[Ink]
) -> list[DrawingRecord]:
    """The key within a box, mm; it explains those inks of lines that are drawn."""
    pen = _written(bag, plan, wording, box, drawn)
    return pen.records + _map_below(pen, plan, box) if _maps(plan) else pen.records


def map_page_records(plan: "PagePlan", wording: Wording, box: Bounds) -> list[DrawingRecord]:
    """How to put the pages together, on a page of its own that the map fills, mm."""
    pen = TextColumn([], box[0], box[2], box[3])
    _assembly(pen, plan, wording)
    return pen.records + _map_below(pen, plan, box)


def leaves_no_map(bag: Bag, plan: "PagePlan", wording: Wording) -> bool:
    """Whether the key, with all that its legend can have, leaves a map too low to be read."""
    if not _maps(plan):
        return False
    box = plan.key_place
    pen = _written(bag, plan, wording, box, frozenset(Ink))
    return pen.y - box[1] < _LEAST_ON_MAP * plan.tiling.rows


def _maps(plan: "PagePlan") -> bool:
    return len(plan.tiling.tiles) > 1 and not plan.map_page


def _map_below(pen: TextColumn, plan: "PagePlan", box: Bounds) -> list[DrawingRecord]:
    return page_map(plan, (pen.left, box[1], pen.right, pen.y))


def _written(
    bag: Bag, plan: "PagePlan", wording: Wording, box: Bounds, drawn: Set[Ink]
) -> TextColumn:
    """All of the key but the map, which has its place below."""
    left, _, right, top = box
    pen = TextColumn([], left, right, top)
    _title(pen, bag, plan, wording)
    _squares(pen, wording)
    middle = left + 0.56 * (right - left)
    pieces, legend = pen.beside(left, middle - 6.0), pen.beside(middle, right)
    _pieces(pieces, bag, plan, wording)
    _legend(legend, drawn, wording)
    if any(NEAR in wording.show(each) for each in _lengths(bag, plan)):
        legend.skip(1.5)
        legend.text(wording.say("≈ length between two marks of the ruler"), BODY)
    pen.y = min(pieces.y, legend.y) - 5.0
    if _maps(plan):
        _assembly(pen, plan, wording)
    return pen


def _title(pen: TextColumn, bag: Bag, plan: "PagePlan", wording: Wording) -> None:
    say = wording.say
    pen.text(bag.name or say("Bag"), TITLE, bold=True)
    pen.skip(1.0)
    size = _SIDEWAYS if plan.landscape else _UPRIGHT
    told = say(size, numbers={"count": plan.count}, words={"paper": plan.paper.name})
    pen.text(told, HEAD)
    pen.skip(3.0)
    pen.rule()
    pen.skip(4.0)


def _squares(pen: TextColumn, wording: Wording) -> None:
    """Two squares to hold a ruler against, and what to do with them."""
    say = wording.say
    x, y = pen.left, pen.y
    for side, text in ((INCHES_SQUARE, "2 in"), (CENTIMETRES_SQUARE, "5 cm")):
        low = y - side
        corners = ((x, low), (x + side, low), (x + side, y), (x, y))
        pen.records.append(Polygon(Ink.TEST, corners))
        pen.records.append(
            Text(Ink.LABEL, (x + side / 2, y - side / 2 + 2.5), text, 4.4, bold=True)
        )
        pen.records.append(
            Text(Ink.LABEL, (x + side / 2, y - side / 2 - 4.5), say("test square"), BODY)
        )
        x += side + 6.0
    words = pen.beside(x + 2.0, pen.right)
    words.text(say("Print at 100 %,"), 4.0, bold=True)
    words.text(say("no fit to page"), 4.0, bold=True)
    words.skip(2.5)
    words.text(
        say(
            "Then measure both squares with the ruler that you use for cutting. If a side "
            "is off, choose “actual size” in the printer's settings and print this page "
            "again."
        ),
        BODY,
    )
    pen.skip(INCHES_SQUARE + 7.0)


def _pieces(pen: TextColumn, bag: Bag, plan: "PagePlan", wording: Wording) -> None:
    say = wording.say
    pen.text(say("Pieces"), HEAD, bold=True)
    pen.skip(1.5)
    layers = tuple(layer.role for layer in bag.sandwich.layers)
    for outline in plan.outlines:
        piece = outline.piece
        size = say(
            "{name}  {width} × {height}",
            width=piece.width,
            height=piece.height,
            terms={"name": piece.label},
        )
        pen.text(size, BODY, bold=True)
        pen.text(say(cutting_text(piece, layers)), BODY, indent=3.0)
        pen.skip(1.0)


def _lengths(bag: Bag, plan: "PagePlan") -> Iterator[float]:
    """What the pattern tells: sizes of the pieces and figures that they are cut by, mm."""
    for outline in plan.outlines:
        yield from (outline.piece.width, outline.piece.height)
    for figure in CUT_FIGURES:
        value = cut_value(bag, figure.name)
        if figure.quantity is Quantity.LENGTH and value is not None:
            yield value


def _legend(pen: TextColumn, drawn: Set[Ink], wording: Wording) -> None:
    say = wording.say
    pen.text(say("Lines"), HEAD, bold=True)
    pen.skip(1.5)
    for ink, text in _LEGEND:
        if ink not in drawn:
            continue
        pen.y -= _LINE
        y = pen.y + 0.5 * BODY
        pen.records += _sample(ink, pen.left, pen.left + 22.0, y)
        pen.records.append(
            Text(Ink.LABEL, (pen.left + 26.0, y), say(text), BODY, anchor=Anchor.START)
        )


def _sample(ink: Ink, left: float, right: float, y: float) -> list[DrawingRecord]:
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


def _assembly(pen: TextColumn, plan: "PagePlan", wording: Wording) -> None:
    """How to put the pages together."""
    say = wording.say
    pen.text(say("Putting the pages together"), HEAD, bold=True)
    pen.skip(0.5)
    pen.text(
        say(
            "Trim the left and the upper edge of each page along its frame, except at the "
            "outer edge of the map. Lay it over the neighbouring page so that the halves "
            "of each numbered diamond meet, and tape them together. Pages overlap by "
            "{overlap}.",
            overlap=plan.tiling.overlap,
        ),
        BODY,
    )
    pen.skip(4.0)


def page_map(plan: "PagePlan", box: Bounds) -> list[DrawingRecord]:
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

    records: list[DrawingRecord] = []
    for outline, place in zip(plan.outlines, plan.placed, strict=True):
        points = tuple(small(place.point(point)) for point in outline.piece.cut_outline)
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
