"""Tiles: how a large sheet is spread over pages that are laid over each other. mm.

The sheet's frame: x to the right, y up. Rows are counted from the top and lettered,
columns from the left and numbered: B3 is the second row's third page (own scheme). Each
page shows its whole printable area; neighbours share a strip as wide as the overlap. A
strip counts to the upper or left page of the two: what is drawn there is never lost.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from core.flat.piece import Point

_HAIR = 0.01
"""What merely touches a page's edge is not on the page."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One page's part of the sheet: row from the top, column from the left, counted from 0.

    At (x, y) lies the lower left corner of its printable area on the sheet.
    """

    row: int
    column: int
    x: float
    y: float

    @property
    def label(self) -> str:
        """B3: row letter and column number."""
        return f"{row_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tiling:
    """The grid of pages over a sheet.

    Attributes:
        width, height: printable area of one page.
        overlap: width of the strip that neighbours share.
        columns, rows: of the whole grid, skipped pages included.
        tiles: the pages that carry something, row by row.
    """

    width: float
    height: float
    overlap: float
    columns: int
    rows: int
    tiles: tuple[Tile, ...]


@dataclass(frozen=True, slots=True)
class PageJoin:
    """Where two neighbouring pages meet: half of it is on the page laid on top.

    Attributes:
        number: the same on both pages.
        at: middle, on the frame of the page laid on top; sheet frame.
        upright: whether that frame line runs up and down.
    """

    number: int
    at: Point
    upright: bool


def tile_count(length: float, page: float, overlap: float) -> int:
    """How many pages of printable length `page` cover a length, sharing `overlap`."""
    if length <= page:
        return 1
    return math.ceil((length - overlap) / (page - overlap) - 1e-9)


def tile(
    size: tuple[float, float],
    areas: Sequence[Polygon],
    *,
    page: tuple[float, float],
    overlap: float,
) -> Tiling:
    """Spread a sheet over pages and skip those that touch no piece.

    A page inside a piece is kept even where no line crosses it: without it the pages
    would not hold together. The sheet's upper left corner is that of the first page; areas are
    those of the pieces, in its frame. The overlap is less than half of the page's printable width
    and height.
    """
    (width, height), (page_width, page_height) = size, page
    columns = tile_count(width, page_width, overlap)
    rows = tile_count(height, page_height, overlap)
    row, column = (each.ravel() for each in np.indices((rows, columns)))
    x = column * (page_width - overlap)
    y = height - page_height - row * (page_height - overlap)
    # The page's own part: strips that it shares with earlier pages are left out.
    boxes = shapely.box(
        x + np.where(column > 0, overlap, 0.0) + _HAIR,
        y + _HAIR,
        x + page_width - _HAIR,
        y + page_height - np.where(row > 0, overlap, 0.0) - _HAIR,
    )
    hit, _ = shapely.STRtree(boxes).query(np.asarray(areas), predicate="intersects")[::-1]
    kept = np.unique(hit)
    tiles = tuple(map(Tile, *(each[kept].tolist() for each in (row, column, x, y))))
    return Tiling(
        width=page_width,
        height=page_height,
        overlap=overlap,
        columns=columns,
        rows=rows,
        tiles=tiles,
    )


def page_joins(tiling: Tiling) -> tuple[PageJoin, ...]:
    """Two marks for each pair of neighbours that are both printed, numbered in order."""
    places = {(each.row, each.column): each for each in tiling.tiles}
    found: list[PageJoin] = []
    for each in tiling.tiles:
        if (each.row, each.column - 1) in places:
            for share in (0.75, 0.25):
                at = (each.x, each.y + share * tiling.height)
                found.append(PageJoin(len(found) + 1, at, upright=True))
        if (each.row - 1, each.column) in places:
            for share in (0.25, 0.75):
                at = (each.x + share * tiling.width, each.y + tiling.height)
                found.append(PageJoin(len(found) + 1, at, upright=False))
    return tuple(found)


def row_letters(row: int) -> str:
    """A to Z, then AA, AB and so on; `row` counts from 0."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
