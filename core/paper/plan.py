"""The plan of a print: which pieces, how they lie, on which pages. No writer needed. mm."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from core.compute import Result
from core.errors import ExportError, FieldError, Sentence, ShowLength, show_millimetres
from core.figures import check_no_sliver
from core.flat.piece import Piece, Point
from core.flat.stitch import StitchOutline, stitch_outline
from core.paper.drawing import DrawOptions, bag_text, draw_piece
from core.paper.half import half_piece, is_symmetric
from core.paper.layout import Placed, Slab
from core.paper.papers import A4, Paper
from core.paper.places import Box
from core.paper.records import Text, text_box
from core.paper.spread import LARGE, Sheet, Spread, best_sheet
from core.paper.tiles import Tiling
from core.units import Unit

MARGIN = 7.0
"""White edge of a page: the widest strip that common printers leave is 6.7 mm."""
OVERLAP = 10.0
OVERLAP_BY_INCH = 0.375 * 25.4
"""3/8 in: what a ruler in inches shows nearest to the other, and wider than the margin too."""
KEY = "key"
"""Name of the block of words, squares and legend where it shares the sheet."""
TEXT_HEIGHT = 3.2
"""Height of a capital on the pieces."""
_ROOMY = 130.0
"""A piece larger than this both ways always has room for what is written on it."""
MAP_HEIGHT = 130.0
"""What the page map and its words add to the key."""


def usual_overlap(unit: Unit) -> float:
    """What neighbouring pages share where nothing else is asked for, mm."""
    return OVERLAP_BY_INCH if unit is Unit.INCH else OVERLAP


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintOptions:
    """What is printed on which paper.

    Attributes:
        paper: cut sheet or roll.
        overlap: strip that neighbouring pages share, more than the margin, so that what a
            printer loses at one page's edge is still on its neighbour.
        margin: white edge of each page.
        half_panel: print the left half of the panel, to be cut on the fold.
        pieces: names of the pieces to print; None prints all.
        show: how lengths are written.
        translate: turns English templates and names into the reader's language.
    """

    paper: Paper = A4
    overlap: float = OVERLAP
    margin: float = MARGIN
    half_panel: bool = False
    pieces: frozenset[str] | None = None
    show: ShowLength = field(default=show_millimetres)
    translate: Callable[[str], str] = field(default=str)

    def __post_init__(self) -> None:
        check_no_sliver("Page margin", self.margin, field="margin")
        check_no_sliver("Overlap", self.overlap, field="overlap")
        shortest = min(self.paper.width, self.paper.height or self.paper.width)
        if not 0.0 <= self.margin <= shortest / 10:
            self._refuse("margin", self.margin, _MARGIN_RULE, 0.0, shortest / 10)
        printable = shortest - 2 * self.margin
        if not self.margin < self.overlap <= printable / 3:
            self._refuse("overlap", self.overlap, _OVERLAP_RULE, self.margin, printable / 3)

    def _refuse(self, name: str, value: float, rule: str, low: float, high: float) -> None:
        lengths, words = {"low": low, "high": high}, {}
        if math.isfinite(value):
            lengths["value"] = value
        else:
            words["value"] = str(value)
        raise FieldError(Sentence(rule, lengths, words), field=name, value=value)


_MARGIN_RULE = "Page margin is {value}: it must be from {low} to {high} on this paper."
_OVERLAP_RULE = (
    "Overlap is {value}: it must be more than the page margin of {low}, and at most {high} "
    "on this paper."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePlan:
    """Where everything goes.

    Attributes:
        paper: the paper chosen.
        margin: white edge of each page.
        page_size: (width, height) of a pattern page as it lies.
        cover_size: of the first page, or None when the key shares the sheet.
        sheet_size: of the whole pattern.
        outlines: stitch lines (and with them pieces) printed, in the order of the bag.
        placed: where each lies on the sheet.
        key_box: (left, bottom, right, top) of the key on the sheet, if it shares it.
        tiling: the pages.
    """

    paper: Paper
    margin: float
    page_size: tuple[float, float]
    cover_size: tuple[float, float] | None
    sheet_size: tuple[float, float]
    outlines: tuple[StitchOutline, ...]
    placed: tuple[Placed, ...]
    key_box: tuple[float, float, float, float] | None
    tiling: Tiling

    @property
    def count(self) -> int:
        """Pages in all."""
        return len(self.tiling.tiles) + (1 if self.cover_size else 0)

    @property
    def landscape(self) -> bool:
        """Whether a cut sheet is used sideways."""
        return not self.paper.is_roll and self.page_size[0] > self.page_size[1]


def plan_pages(result: Result, options: PrintOptions) -> PagePlan:
    """Choose layout and direction of the paper that need the fewest pages.

    Raises:
        ExportError: nothing to print, or a page longer than a PDF page can be.
        FieldError: a piece that this bag lacks.
    """
    outlines = tuple(_chosen(result, options))
    draw = draw_options(result, options)
    bounds = [_written_bounds(each, draw, options.show) for each in outlines]
    slabs = [
        Slab(each.piece.name, box, may_turn=True)
        for each, box in zip(outlines, bounds, strict=True)
    ]
    shapes = [
        each.piece.outline if box == each.piece.bounds else _corners(box)
        for each, box in zip(outlines, bounds, strict=True)
    ]
    spread = Spread(options.paper, options.margin, options.overlap)
    width = options.paper.width - 2 * options.margin
    if width >= LARGE:
        for map_height in (0.0, MAP_HEIGHT):
            key_width, key_height = _key_size(len(slabs))
            key = Slab(KEY, (0.0, 0.0, key_width, key_height + map_height))
            sheet = best_sheet(shapes, [*slabs, key], spread)
            plan = _plan(sheet, outlines, options, cover=False)
            if plan.count == 1 or (map_height and _key_is_whole(plan)):
                return plan
    return _plan(best_sheet(shapes, slabs, spread), outlines, options, cover=True)


def _plan(
    sheet: Sheet, outlines: tuple[StitchOutline, ...], options: PrintOptions, *, cover: bool
) -> PagePlan:
    return PagePlan(
        paper=options.paper,
        margin=options.margin,
        page_size=sheet.page_size,
        cover_size=_cover_size(options, len(outlines)) if cover else None,
        sheet_size=sheet.size,
        outlines=outlines,
        placed=sheet.placed[: len(outlines)],
        key_box=None if cover else sheet.boxes[-1],
        tiling=sheet.tiling,
    )


def draw_options(result: Result, options: PrintOptions) -> DrawOptions:
    """How the pieces of a bag are drawn for printing."""
    return DrawOptions(
        text_height=TEXT_HEIGHT,
        layers=tuple(layer.role for layer in result.bag.sandwich.layers),
        baste_line=result.bag.sandwich.baste_line,
        bag=bag_text(result),
        translate=options.translate,
    )


def _written_bounds(outline: StitchOutline, draw: DrawOptions, show: ShowLength) -> Box:
    """What a piece takes on the sheet: more than itself where its words stand under it."""
    piece = outline.piece
    left, bottom, right, top = piece.bounds
    if min(piece.width, piece.height) > _ROOMY:
        return piece.bounds
    for record in draw_piece(piece, outline, show=show, options=draw):
        if isinstance(record, Text):
            x0, y0, x1, y1 = text_box(record)
            left, bottom = min(left, x0), min(bottom, y0)
            right, top = max(right, x1), max(top, y1)
    return left, bottom, right, top


def _corners(box: Box) -> tuple[Point, ...]:
    left, bottom, right, top = box
    return (left, bottom), (right, bottom), (right, top), (left, top)


def _chosen(result: Result, options: PrintOptions) -> Iterator[StitchOutline]:
    draft = result.draft
    wanted = options.pieces
    if wanted is not None:
        unknown = sorted(wanted - {piece.name for piece in draft.pieces})
        if unknown:
            words = {"name": unknown[0][:60], "names": ", ".join(p.name for p in draft.pieces)}
            sentence = Sentence("This bag has no piece called {name}: it has {names}.", words=words)
            raise FieldError(sentence, field="pieces", value=unknown[0])
        if not wanted:
            raise ExportError("There is nothing to print: choose at least one piece.")
    for piece in draft.pieces:
        if wanted is None or piece.name in wanted:
            yield _half_or_whole(piece, draft.outlines[piece.name], options)


def _half_or_whole(piece: Piece, outline: StitchOutline, options: PrintOptions) -> StitchOutline:
    if options.half_panel and piece.part == "panel" and is_symmetric(piece):
        return stitch_outline(half_piece(piece))
    return outline


def _key_is_whole(plan: PagePlan) -> bool:
    """Whether one page shows all of the key: test squares must not be pieced together."""
    box = plan.key_box
    tiling = plan.tiling
    return box is not None and any(
        each.x <= box[0]
        and box[2] <= each.x + tiling.width
        and each.y <= box[1]
        and box[3] <= each.y + tiling.height
        for each in tiling.tiles
    )


def _key_size(pieces: int) -> tuple[float, float]:
    """Room for the key without a map: squares, legend, and a line for each piece."""
    return 190.0, 120.0 + max(64.0, 12.0 + 9.0 * pieces)


def _cover_size(options: PrintOptions, pieces: int) -> tuple[float, float]:
    if options.paper.height is not None:
        return options.paper.width, options.paper.height
    _, key_height = _key_size(pieces)
    return options.paper.width, key_height + 160.0
