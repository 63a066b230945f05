"""The plan of a print: which pieces, how they lie, on which pages. No writer needed. mm.

Of the ways to lay them out the one with fewest pages is taken.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import Polygon

from core.bag.compute import Result
from core.base.errors import ExportError
from core.base.sentences import mark, say
from core.drawing.half import half_piece, is_symmetric
from core.drawing.layout import Breaks, PiecePlace, Slab, lay_slabs, sheet_size
from core.drawing.pattern import DrawOptions, bag_text, draw_piece
from core.drawing.records import Text, text_box
from core.flat.geometry import Bounds, corners_of
from core.flat.match_marks import seam_marks
from core.flat.piece import Point
from core.flat.roles import PieceRole
from core.flat.stitch import StitchOutline, stitch_outline
from core.output.papers import LONGEST_PAGE, Paper
from core.output.print_options import PrintOptions
from core.output.tiling import Tiling, tile, tile_count

EDGE = 4.0
"""Between the pieces and the edge of the sheet."""
GAP = 12.0
"""Between two pieces."""
LARGE = 500.0
"""From this printable width on, no page join runs through what fits on one page."""
_MORE_COLUMNS = 4
"""Columns beyond the fewest possible that are tried."""

Outline = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class PageSetup:
    """The paper, its white edge, and what neighbouring pages share."""

    paper: Paper
    margin: float
    overlap: float

    def page_sizes(self) -> tuple[tuple[float, float | None], ...]:
        """(width, height) upright and sideways; a roll has one width and no height yet."""
        width, height = self.paper.width, self.paper.height
        return ((width, None),) if height is None else ((width, height), (height, width))


@dataclass(frozen=True, slots=True, kw_only=True)
class TiledSheet:
    """One way to lay out and tile.

    Attributes:
        page_size: of one page, margins included.
        placed: where each slab lies, in their order.
        boxes: (left, bottom, right, top) of each on the sheet.
        areas: what each covers there, its words with it.
    """

    page_size: tuple[float, float]
    size: tuple[float, float]
    placed: tuple[PiecePlace, ...]
    boxes: tuple[Bounds, ...]
    areas: tuple[Polygon, ...]
    tiling: Tiling


def best_sheet(shapes: Sequence[Outline], slabs: Sequence[Slab], setup: PageSetup) -> TiledSheet:
    """The layout that needs the fewest pages; on a roll, of these the shortest.

    Shapes are outlines of the first slabs, each in its own frame, the panel's first; further
    slabs count as their boxes. An ExportError says that no layout keeps the pages of a roll as
    short as a PDF needs them.
    """
    sheets = [
        sheet
        for page in setup.page_sizes()
        for placed in _layouts(slabs, setup, page)
        if (sheet := _sheet(shapes, slabs, placed, setup, page)) is not None
    ]
    if not sheets:
        raise ExportError(
            say(
                "The pattern needs a page longer than {limit}, the longest that a PDF can "
                "hold: choose a wider roll, or sheets.",
                limit=LONGEST_PAGE,
            )
        )

    def cost(sheet: TiledSheet) -> tuple[int, float, int]:
        length = sheet.page_size[1] if setup.paper.is_roll else 0.0
        return len(sheet.tiling.tiles), length, sheet.tiling.rows * sheet.tiling.columns

    return min(sheets, key=cost)


def _layouts(
    slabs: Sequence[Slab], setup: PageSetup, page: tuple[float, float | None]
) -> Iterator[tuple[PiecePlace, ...]]:
    """A layout for each number of columns worth a try, no layout twice."""
    across = page[0] - 2 * setup.margin
    step = across - setup.overlap
    widest = max(min(slab.size(False)) for slab in slabs) + 2 * EDGE
    total = math.fsum(slab.size(False)[0] + GAP for slab in slabs) + 2 * EDGE
    least = tile_count(widest, across, setup.overlap)
    most = min(tile_count(total, across, setup.overlap), least + _MORE_COLUMNS)
    breaks = None
    if page[1] is not None and across >= LARGE:
        down = page[1] - 2 * setup.margin
        breaks = Breaks(down - 2 * EDGE, down - setup.overlap, setup.overlap)
    before: tuple[PiecePlace, ...] | None = None
    for columns in range(least, max(least, most) + 1):
        room = across + (columns - 1) * step - 2 * EDGE
        placed = lay_slabs(slabs, gap=GAP, width=room, breaks=breaks)
        if placed != before:
            yield placed
        before = placed


def _sheet(
    shapes: Sequence[Outline],
    slabs: Sequence[Slab],
    placed: tuple[PiecePlace, ...],
    setup: PageSetup,
    page: tuple[float, float | None],
) -> TiledSheet | None:
    """This layout on these pages; None when a page of a roll would be too long."""
    inner = sheet_size(slabs, placed)
    size = (inner[0] + 2 * EDGE, inner[1] + 2 * EDGE)
    width, height = page[0], page[1] if page[1] is not None else size[1] + 2 * setup.margin
    if height > LONGEST_PAGE:
        return None
    placed = tuple(PiecePlace(each.dx + EDGE, each.dy + EDGE, each.turned) for each in placed)
    boxes = tuple(_box(slab, place) for slab, place in zip(slabs, placed, strict=True))
    areas = _placed_areas(shapes, placed[: len(shapes)])
    areas += [shapely.box(*box) for box in boxes[len(shapes) :]]
    printable = (width - 2 * setup.margin, height - 2 * setup.margin)
    return TiledSheet(
        page_size=(width, height),
        size=size,
        placed=placed,
        boxes=boxes,
        areas=tuple(areas),
        tiling=tile(size, areas, page=printable, overlap=setup.overlap),
    )


def _placed_areas(shapes: Sequence[Outline], placed: Sequence[PiecePlace]) -> list[Polygon]:
    """What outlines cover where they lie on the sheet, made in one go."""
    corners: list[Point] = []
    owners: list[int] = []
    for index, (shape, place) in enumerate(zip(shapes, placed, strict=True)):
        corners += [place.point(point) for point in shape]
        owners += [index] * len(shape)
    rings = shapely.linearrings(np.array(corners), indices=np.array(owners))
    return list(shapely.polygons(rings))


def _box(slab: Slab, place: PiecePlace) -> Bounds:
    left, bottom, right, top = slab.bounds
    (x0, y0), (x1, y1) = place.point((left, bottom)), place.point((right, top))
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


TEXT_HEIGHT = 3.2
"""Height of a capital on the pieces."""
_ROOMY = 130.0
"""A piece larger than this both ways always has room for what is written on it."""
MAP_HEIGHT = 130.0
"""What the page map and its words add to the key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePlan:
    """Where everything goes.

    Attributes:
        margin: white edge of each page.
        page_size: (width, height) of a pattern page as it lies.
        cover_size: of the first page, or None when the key shares the sheet.
        sheet_size: of the whole pattern.
        outlines: stitch lines (and with them pieces) printed, in the order of the bag.
        placed: where each lies on the sheet.
        areas: what each takes there: its outline, or a box with the words that stand beside it.
        key_box: (left, bottom, right, top) of the key on the sheet, if it shares it.
        map_page: whether the map of the pages has a page of its own, of the size of the cover.
    """

    paper: Paper
    margin: float
    page_size: tuple[float, float]
    cover_size: tuple[float, float] | None
    sheet_size: tuple[float, float]
    outlines: tuple[StitchOutline, ...]
    placed: tuple[PiecePlace, ...]
    areas: tuple[Polygon, ...]
    key_box: Bounds | None
    tiling: Tiling
    map_page: bool = False

    @property
    def count(self) -> int:
        """Pages in all."""
        return self.covers + len(self.tiling.tiles)

    @property
    def covers(self) -> int:
        """Pages before those of the pattern."""
        return self.map_page + (self.cover_size is not None)

    @property
    def key_place(self) -> Bounds:
        """Where the key is on the cover, or on the sheet."""
        if self.cover_size is None:
            return self.key_box or (0.0, 0.0, *self.sheet_size)
        edge = self.margin + EDGE
        return edge, edge, self.cover_size[0] - edge, self.cover_size[1] - edge

    @property
    def landscape(self) -> bool:
        """Whether a cut sheet is used sideways."""
        return not self.paper.is_roll and self.page_size[0] > self.page_size[1]


def plan_pages(result: Result, options: PrintOptions) -> PagePlan:
    """Choose layout and direction of the paper that need the fewest pages.

    An ExportError says that there is nothing to print, or that a page is longer than a PDF page
    can be; a ValueError names a piece that this bag lacks.
    """
    from core.output.pattern_key import leaves_no_map

    outlines = tuple(_chosen(result, options))
    draw = draw_options(result, options)
    bounds = [_written_bounds(each, draw) for each in outlines]
    slabs = [Slab(box, may_turn=True) for box in bounds]
    shapes = [
        each.piece.cut_outline if box == each.piece.bounds else corners_of(box)
        for each, box in zip(outlines, bounds, strict=True)
    ]
    setup = PageSetup(options.paper, options.margin, options.overlap)
    width = options.paper.width - 2 * options.margin
    if width >= LARGE:
        for map_height in (0.0, MAP_HEIGHT):
            key_width, key_height = _key_size(len(slabs))
            key = Slab((0.0, 0.0, key_width, key_height + map_height))
            sheet = best_sheet(shapes, [*slabs, key], setup)
            plan = _plan(sheet, outlines, options, cover=False)
            if plan.count == 1 or (map_height and _key_is_whole(plan)):
                return plan
    plan = _plan(best_sheet(shapes, slabs, setup), outlines, options, cover=True)
    return replace(plan, map_page=leaves_no_map(result.bag, plan, options.wording))


def _plan(
    sheet: TiledSheet, outlines: tuple[StitchOutline, ...], options: PrintOptions, *, cover: bool
) -> PagePlan:
    return PagePlan(
        paper=options.paper,
        margin=options.margin,
        page_size=sheet.page_size,
        cover_size=_cover_size(options, len(outlines)) if cover else None,
        sheet_size=sheet.size,
        outlines=outlines,
        placed=sheet.placed[: len(outlines)],
        areas=sheet.areas[: len(outlines)],
        key_box=None if cover else sheet.boxes[-1],
        tiling=sheet.tiling,
    )


def draw_options(result: Result, options: PrintOptions) -> DrawOptions:
    """How the pieces of a bag are drawn for printing."""
    marks = seam_marks(result.draft)
    return DrawOptions(
        text_height=TEXT_HEIGHT,
        layers=tuple(layer.role for layer in result.bag.sandwich.layers),
        baste_line=result.bag.sandwich.baste_line,
        bag=bag_text(result),
        notches=marks.notches,
        clips=marks.clips,
        wording=options.wording,
    )


def _written_bounds(outline: StitchOutline, draw: DrawOptions) -> Bounds:
    """What a piece takes on the sheet: more than itself where its words stand under it."""
    piece = outline.piece
    left, bottom, right, top = piece.bounds
    if min(piece.width, piece.height) > _ROOMY:
        return piece.bounds
    for record in draw_piece(piece, outline, draw):
        if isinstance(record, Text):
            x0, y0, x1, y1 = text_box(record)
            left, bottom = min(left, x0), min(bottom, y0)
            right, top = max(right, x1), max(top, y1)
    return left, bottom, right, top


def _chosen(result: Result, options: PrintOptions) -> Iterator[StitchOutline]:
    draft = result.draft
    wanted = options.pieces
    if wanted is not None:
        unknown = wanted - {piece.id for piece in draft.pieces}
        if unknown:
            raise ValueError(f"no such pieces: {unknown}")
        if not wanted:
            raise ExportError(mark("There is nothing to print: choose at least one piece."))
    for piece in draft.pieces:
        if wanted is None or piece.id in wanted:
            halved = options.half and piece.id.role is PieceRole.WALL and is_symmetric(piece)
            yield stitch_outline(half_piece(piece)) if halved else draft.outlines[piece.id]


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
