"""Spreading pieces over pages: of the ways to lay them out, the one with fewest pages. mm."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from core.errors import ExportError, Sentence
from core.flat.piece import Point
from core.paper.layout import Breaks, Placed, Slab, lay_slabs, sheet_size
from core.paper.papers import LONGEST_PAGE, Paper
from core.paper.tiles import Tiling, tile, tile_count

EDGE = 4.0
"""Between the pieces and the edge of the sheet."""
GAP = 12.0
"""Between two pieces."""
LARGE = 500.0
"""From this printable width on, no page join runs through what fits on one page."""
_MORE_COLUMNS = 4
"""Columns beyond the fewest possible that are tried."""

Shape = tuple[Point, ...]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Spread:
    """The paper, its white edge, and what neighbouring pages share."""

    paper: Paper
    margin: float
    overlap: float

    def page_sizes(self) -> tuple[tuple[float, float | None], ...]:
        """(width, height) upright and sideways; a roll has one width and no height yet."""
        width, height = self.paper.width, self.paper.height
        return ((width, None),) if height is None else ((width, height), (height, width))


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One way to lay out and tile.

    Attributes:
        page_size: of one page, margins included.
        size: of the sheet.
        placed: where each slab lies, in their order.
        boxes: (left, bottom, right, top) of each on the sheet.
        tiling: its pages.
    """

    page_size: tuple[float, float]
    size: tuple[float, float]
    placed: tuple[Placed, ...]
    boxes: tuple[Box, ...]
    tiling: Tiling


def best_sheet(shapes: Sequence[Shape], slabs: Sequence[Slab], spread: Spread) -> Sheet:
    """The layout that needs the fewest pages; on a roll, of these the shortest.

    Args:
        shapes: outlines of the first slabs, each in its own frame; further slabs count
            as their boxes.
        slabs: what is laid out, the panel first.
        spread: paper, margin, overlap.

    Raises:
        ExportError: no layout keeps the pages of a roll as short as a PDF needs them.
    """
    sheets = [
        sheet
        for page in spread.page_sizes()
        for placed in _layouts(slabs, spread, page)
        if (sheet := _sheet(shapes, slabs, placed, spread, page)) is not None
    ]
    if not sheets:
        raise ExportError(
            Sentence(
                "The pattern needs a page longer than {limit}, the longest that a PDF can "
                "hold: choose a wider roll, or sheets.",
                {"limit": LONGEST_PAGE},
            )
        )
    return min(sheets, key=lambda sheet: _cost(sheet, spread))


def _cost(sheet: Sheet, spread: Spread) -> tuple[int, float, int]:
    length = sheet.page_size[1] if spread.paper.is_roll else 0.0
    return len(sheet.tiling.tiles), length, sheet.tiling.rows * sheet.tiling.columns


def _layouts(
    slabs: Sequence[Slab], spread: Spread, page: tuple[float, float | None]
) -> Iterator[tuple[Placed, ...]]:
    """A layout for each number of columns worth a try, no layout twice."""
    across = page[0] - 2 * spread.margin
    step = across - spread.overlap
    widest = max(min(slab.size(False)) for slab in slabs) + 2 * EDGE
    total = math.fsum(slab.size(False)[0] + GAP for slab in slabs) + 2 * EDGE
    least = tile_count(widest, across, spread.overlap)
    most = min(tile_count(total, across, spread.overlap), least + _MORE_COLUMNS)
    breaks = None
    if page[1] is not None and across >= LARGE:
        down = page[1] - 2 * spread.margin
        breaks = Breaks(down - 2 * EDGE, down - spread.overlap, spread.overlap)
    before: tuple[Placed, ...] | None = None
    for columns in range(least, max(least, most) + 1):
        room = across + (columns - 1) * step - 2 * EDGE
        placed = lay_slabs(slabs, gap=GAP, width=room, breaks=breaks)
        if placed != before:
            yield placed
        before = placed


def _sheet(
    shapes: Sequence[Shape],
    slabs: Sequence[Slab],
    placed: tuple[Placed, ...],
    spread: Spread,
    page: tuple[float, float | None],
) -> Sheet | None:
    """This layout on these pages; None when a page of a roll would be too long."""
    inner = sheet_size(slabs, placed)
    size = (inner[0] + 2 * EDGE, inner[1] + 2 * EDGE)
    width, height = page[0], page[1] if page[1] is not None else size[1] + 2 * spread.margin
    if height > LONGEST_PAGE:
        return None
    placed = tuple(
        Placed(each.piece_name, each.dx + EDGE, each.dy + EDGE, each.turned) for each in placed
    )
    boxes = tuple(_box(slab, place) for slab, place in zip(slabs, placed, strict=True))
    areas = _areas(shapes, placed[: len(shapes)])
    areas += [shapely.box(*box) for box in boxes[len(shapes) :]]
    printable = (width - 2 * spread.margin, height - 2 * spread.margin)
    return Sheet(
        page_size=(width, height),
        size=size,
        placed=placed,
        boxes=boxes,
        tiling=tile(size, areas, page=printable, overlap=spread.overlap),
    )


def _areas(shapes: Sequence[Shape], placed: Sequence[Placed]) -> list[Polygon]:
    """The pieces on the sheet, made in one go."""
    corners: list[Point] = []
    owners: list[int] = []
    for index, (shape, place) in enumerate(zip(shapes, placed, strict=True)):
        corners += [place.point(point) for point in shape]
        owners += [index] * len(shape)
    rings = shapely.linearrings(np.array(corners), indices=np.array(owners))
    return list(shapely.polygons(rings))


def _box(slab: Slab, place: Placed) -> Box:
    left, bottom, right, top = slab.bounds
    (x0, y0), (x1, y1) = place.point((left, bottom)), place.point((right, top))
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
