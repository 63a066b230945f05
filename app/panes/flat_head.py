"""What is written above a piece of the flat pane: sizes that lie over it, and its name. px."""

from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication

from app.display import Display
from app.panes.flat_dimensions import Dimension, Out
from app.panes.flat_labels import AIR, Hand, Lettering
from app.panes.flat_sheet import Drawn
from core.flat.piece import Piece

THIN_PIECE = 120.0
"""A piece no taller than this (mm) carries its name above it."""

TICK = 4.0
"""Half of the slanting stroke that ends a dimension line, across and along."""

GAP = 14.0
"""Free between two pieces and what is written around them, px."""

BESIDE = TICK + 4.0
"""From an upright dimension line to a number that stands next to it."""

_CROWDED = 3.4
"""A piece with marks on it holds its name if it is so many times as wide as the name."""


@dataclass(frozen=True, slots=True)
class Head:
    """Room over the highest line of a piece, px.

    Attributes:
        has_name: whether the name stands there: the piece is too small to hold it.
        name: room for it.
        sizes: room for the sizes that are written over their lines, under the name.
        beyond: how far the name reaches past the piece's right edge.
    """

    has_name: bool
    name: float
    sizes: float
    beyond: float


def head_of(drawn: Drawn, scale: float, lettering: Lettering, display: Display) -> Head:
    """What stands above a piece that is shown at `scale` px per mm."""
    row = row_height(lettering)
    over = any(
        lies_over(each, drawn) and not fits_along(each, scale, lettering, display)
        for each in drawn.dimensions
    )
    has_name = not _holds_name(drawn, scale, lettering)
    left, _, right, _ = drawn.bounds
    wide, _ = lettering.size(piece_title(drawn.piece), Hand.NAME)
    return Head(
        has_name=has_name,
        name=row if has_name else 0.0,
        sizes=row if over else 0.0,
        beyond=max(wide + AIR - (right - left) * scale, 0.0) if has_name else 0.0,
    )


def lies_over(dimension: Dimension, drawn: Drawn) -> bool:
    """Whether an upright size lies wholly above its piece: what was trimmed off."""
    upright = dimension.out is Out.LEFT and not dimension.level
    return upright and min(dimension.start[1], dimension.end[1]) >= drawn.bounds[3]


def fits_along(dimension: Dimension, scale: float, lettering: Lettering, display: Display) -> bool:
    """Whether its line is long enough for its number."""
    wide, _ = lettering.size(lettering.figure(dimension.length, display), Hand.FIGURE)
    return dimension.length * scale >= wide + 2 * TICK


def row_height(lettering: Lettering) -> float:
    """From one row of dimension lines to the next."""
    return lettering.size("0", Hand.FIGURE)[1] + 6.0


def piece_title(piece: Piece) -> str:
    """A piece's name in the reader's language, as a title."""
    name = QCoreApplication.translate("core", piece.name)
    return name[:1].upper() + name[1:]


def _holds_name(drawn: Drawn, scale: float, lettering: Lettering) -> bool:
    left, bottom, right, top = drawn.bounds
    if top - bottom <= THIN_PIECE:
        return False
    wide, high = lettering.size(piece_title(drawn.piece), Hand.NAME)
    need = _CROWDED * wide if drawn.piece.marks else wide + 2 * AIR + 2.0
    between_folds = (top - bottom) * scale / (len(drawn.piece.folds) + 1)
    return (right - left) * scale >= need and between_folds >= high + 2 * AIR
