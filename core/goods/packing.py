"""Laying rectangles on goods of one usable width with the least length.

Frame: x across the goods from its left edge, y along from the cut end, mm.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from core.errors import FieldError, Sentence
from core.flat.piece import Turn
from core.goods.making import Cutting
from core.goods.packing_rows import ROW_TASTES, build_rows, shelves
from core.goods.packing_search import Builder, Search
from core.goods.packing_skyline import TASTES, build_free
from core.goods.packing_stock import Spot, Stock, stock_of
from core.tolerance import LENGTH_TOLERANCE

_GRAINS = 1 / LENGTH_TOLERANCE
"""Grains in a millimetre. Sizes are rounded to whole grains: what is equal within the
tolerance is laid as equal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rectangle:
    """One rectangle to be laid.

    Attributes:
        width: across the goods, mm, > 0.
        height: along the goods, mm, > 0.
        turn: only `Turn.QUARTER` lets the two be swapped; a half turn changes no rectangle.
    """

    width: float
    height: float
    turn: Turn = Turn.HALF

    def __post_init__(self) -> None:
        for field, value in (("width", self.width), ("height", self.height)):
            if not LENGTH_TOLERANCE <= value < math.inf:
                raise FieldError(
                    f"The {field} of a piece is {value} mm: it must be above 0.",
                    field=field,
                    value=value,
                )

    @property
    def may_turn(self) -> bool:
        """Whether width and height may be swapped."""
        return self.turn is Turn.QUARTER


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
            raise FieldError(
                f"The usable width is {self.usable_width} mm: it must be above 0.",
                field="usable_width",
                value=self.usable_width,
            )
        if not 0.0 <= self.gap < math.inf:
            raise FieldError(
                f"The gap between pieces is {self.gap} mm: it must be 0 or more.",
                field="gap",
                value=self.gap,
            )


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
    """A whole job laid out.

    Attributes:
        job: the job that this answers.
        placements: one per rectangle, in the order of the job.
        length: of goods that they take, mm.
    """

    job: Job
    placements: tuple[Placement, ...]
    length: float


@dataclass(frozen=True, slots=True)
class Progress:
    """How far the search has come.

    Attributes:
        builds: layouts tried so far.
        layout: the best of them; the same object until a better one is found.
    """

    builds: int
    layout: Layout


class TooWideError(FieldError):
    """Rectangles that the goods cannot take either way they may lie.

    Attributes:
        indices: of all such rectangles in the job.
    """

    def __init__(self, job: Job, indices: tuple[int, ...]) -> None:
        self.indices = indices
        worst = max(_narrowest(job.rectangles[index]) for index in indices)
        lengths = {"value": worst, "limit": job.usable_width}
        super().__init__(Sentence(_TOO_WIDE, lengths), field="usable_width", value=job.usable_width)


def too_wide(job: Job) -> tuple[int, ...]:
    """Indices of the rectangles that fit on the goods neither way they may lie."""
    limit = _grains(job.usable_width)
    return tuple(
        index for index, piece in enumerate(job.rectangles) if _grains(_narrowest(piece)) > limit
    )


def least_length(job: Job) -> float:
    """A length that no layout of the job can fall below, mm.

    Raises:
        ValueError: some rectangle fits neither way.
    """
    if not job.rectangles:
        return 0.0
    return (_stock(job).shortest - _grains(job.gap)) / _GRAINS


def better_layouts(job: Job, *, seed: int, builds: int) -> Iterator[Progress]:
    """Lay a job out, at once and then better and better: one `Progress` per build.

    The first comes from rows by falling height, and none is ever longer than it. The search
    ends after `builds`, or when no shorter layout can exist; dropping the iterator ends it
    at any build. Job, seed and number of builds fix the answer.

    Raises:
        TooWideError: some rectangle fits neither way; at the first step.
        FieldError: `builds` is below 1.
    """
    if builds < 1:
        raise FieldError(
            f"The number of layouts to try is {builds}: it must be 1 or more.",
            field="builds",
            value=builds,
        )
    unfit = too_wide(job)
    if unfit:
        raise TooWideError(job, unfit)
    if not job.rectangles:
        yield Progress(1, Layout(job, (), 0.0))
        return
    stock = _stock(job)
    search = Search(stock, _builders(job.cutting), shelves(stock), seed=seed)
    spots, layout = search.spots, _layout(job, stock, search.spots)
    yield Progress(1, layout)
    for number, _ in zip(range(2, builds + 1), search.run(), strict=False):
        if search.spots is not spots:
            spots, layout = search.spots, _layout(job, stock, search.spots)
        yield Progress(number, layout)


def _builders(cutting: Cutting) -> Sequence[Builder]:
    rows = [partial(build_rows, taste=taste) for taste in ROW_TASTES]
    if cutting is Cutting.ROWS:
        return rows
    # Rows are free layouts too, and for pieces that are nearly alike often the shorter ones.
    return [*(partial(build_free, taste=taste) for taste in TASTES), *rows]


def _stock(job: Job) -> Stock:
    gap = _grains(job.gap)
    return stock_of(
        (
            (_grains(piece.width) + gap, _grains(piece.height) + gap, piece.may_turn)
            for piece in job.rectangles
        ),
        width=_grains(job.usable_width) + gap,
    )


def _layout(job: Job, stock: Stock, spots: Sequence[Spot]) -> Layout:
    """Hand the spots of each pile out to its rectangles, the nearest to the cut end first."""
    gap = _grains(job.gap)
    waiting = [list(reversed(pile.indices)) for pile in stock.piles]
    placements = []
    for spot in sorted(spots, key=lambda spot: (spot.y, spot.x)):
        index = waiting[spot.pile].pop()
        piece = job.rectangles[index]
        turned = (spot.width, spot.height) != (
            _grains(piece.width) + gap,
            _grains(piece.height) + gap,
        )
        width, height = (piece.height, piece.width) if turned else (piece.width, piece.height)
        placements.append(
            Placement(
                index=index,
                x=spot.x / _GRAINS,
                y=spot.y / _GRAINS,
                width=width,
                height=height,
                turned=turned,
            )
        )
    placements.sort(key=lambda placement: placement.index)
    length = max(spot.y + spot.height for spot in spots) - gap
    return Layout(job, tuple(placements), length / _GRAINS)


def _narrowest(piece: Rectangle) -> float:
    return min(piece.width, piece.height) if piece.may_turn else piece.width


def _grains(length: float) -> int:
    return round(length * _GRAINS)


_TOO_WIDE = (
    "A piece needs {value} of width, but the material is only {limit} wide: it cannot be cut."
)
