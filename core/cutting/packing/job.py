"""A packing job: rectangles to be laid on goods of one usable width, and where they lie.

Frame: x across the goods from its left edge, y along from the cut end, mm.
"""

import math
from dataclasses import dataclass
from typing import Final

from core.bag.making import Cutting
from core.base.errors import FieldError
from core.base.sentences import Sentence, mark, say
from core.base.tolerance import LENGTH_TOLERANCE
from core.flat.piece import GrainTurn

TICKS: Final = 1 / LENGTH_TOLERANCE
"""Ticks in a millimetre. Sizes are rounded to whole ticks: what is equal within the
tolerance is laid as equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """One rectangle to be laid.

    Attributes:
        width: across the goods, mm, > 0.
        height: along the goods, mm, > 0.
        turn: only `GrainTurn.QUARTER` lets the two be swapped; a half turn changes no rectangle.
    """

    width: float
    height: float
    turn: GrainTurn = GrainTurn.HALF

    def __post_init__(self) -> None:
        for field, value in (("width", self.width), ("height", self.height)):
            if not LENGTH_TOLERANCE <= value < math.inf:
                refused = say(_NO_SIZE[field], words={"value": str(value)})
                raise FieldError(refused, field=field, value=value)

    @property
    def may_turn(self) -> bool:
        """Whether width and height may be swapped."""
        return self.turn is GrainTurn.QUARTER


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What to lay on what.

    Attributes:
        rectangles: any number, also none.
        usable_width: of the goods, mm, > 0.
        gap: between neighbouring pieces, and what a cut takes, mm, >= 0; none is kept at
            the edges of the goods.
        cutting: how the pieces will be cut out.
    """

    rectangles: tuple[Rectangle, ...]
    usable_width: float
    gap: float = 0.0
    cutting: Cutting = Cutting.FREE

    def __post_init__(self) -> None:
        if not LENGTH_TOLERANCE <= self.usable_width < math.inf:
            refused = say(
                "The usable width is {value} mm: it must be above 0.",
                words={"value": str(self.usable_width)},
            )
            raise FieldError(refused, field="usable_width", value=self.usable_width)
        if not 0.0 <= self.gap < math.inf:
            refused = say(
                "The gap between pieces is {value} mm: it must be 0 or more.",
                words={"value": str(self.gap)},
            )
            raise FieldError(refused, field="gap", value=self.gap)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where one rectangle lies.

    Attributes:
        index: of the rectangle in the job.
        x, y: lower left corner, mm.
        width, height: as laid, mm.
        turned: whether it lies turned by a quarter.
    """

    index: int
    x: float
    y: float
    width: float
    height: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Layout:
    """A job laid out: a placement per rectangle, in its order; length of goods taken, mm."""

    job: Job
    placements: tuple[Placement, ...]
    length: float


@dataclass(frozen=True, slots=True)
class LayoutFound:
    """The best of so many layouts tried; the same object until a better one is found."""

    builds: int
    layout: Layout


class TooWideError(FieldError):
    """Rectangles, by all their indices in the job, that the goods take neither way they may lie."""

    def __init__(self, job: Job, indices: tuple[int, ...]) -> None:
        self.indices = indices
        worst = max(_narrowest(job.rectangles[index]) for index in indices)
        lengths = {"value": worst, "limit": job.usable_width}
        super().__init__(Sentence(_TOO_WIDE, lengths), field="usable_width", value=job.usable_width)


def too_wide(job: Job) -> tuple[int, ...]:
    """Indices of the rectangles that fit on the goods neither way they may lie."""
    limit = ticks(job.usable_width)
    return tuple(
        index for index, piece in enumerate(job.rectangles) if ticks(_narrowest(piece)) > limit
    )


def _narrowest(piece: Rectangle) -> float:
    return min(piece.width, piece.height) if piece.may_turn else piece.width


def ticks(length: float) -> int:
    """A length, mm, in whole ticks."""
    return round(length * TICKS)


_NO_SIZE = {
    "width": mark("The width of a piece is {value} mm: it must be above 0."),
    "height": mark("The height of a piece is {value} mm: it must be above 0."),
}
_TOO_WIDE = mark(
    "A piece needs {value} of width, but the material is only {limit} wide: it cannot be cut."
)
