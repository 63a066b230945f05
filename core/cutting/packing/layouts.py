"""Better and better layouts: build after build from changed orders of the cards.

A build aims one step below the best length so far and says how much area it laid within
that; an order that lays no less than the one before is kept. When that climb gets stuck, a
good order of some earlier climb is shaken and climbs again. Everything is counted in builds
and drawn from one seed, so the same question has the same answer on every machine.
"""

import math
import random
from collections.abc import Callable, Generator, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from core.bag.making import Cutting
from core.base.errors import FieldError
from core.base.sentences import Sentence, mark, say
from core.base.tolerance import LENGTH_TOLERANCE
from core.cutting.packing.builders import ROW_TASTES, TASTES, build_free, build_rows, shelves
from core.cutting.packing.stock import ENDLESS, Attempt, Card, Pile, Spot, Stock, Target, stock_of
from core.flat.piece import GrainTurn

Builder = Callable[[Sequence[Card], Sequence[int], Target], Attempt]
"""Lays cards (counts of the piles beside them) towards a target."""

PATIENCE = 100
"""Builds without a gain after which a climb ends. Measured on sets with known optimum: 1000
wastes builds on orders that are stuck, 40 leaves too early."""

SHAKES = 5
"""The most swaps that shake an order before it climbs again."""

LENIENCE = 0.04
"""Share of the area that every other climb or so may leave empty beyond what the target
allows. Its builds end later, so they tell orders apart that would all have been cut off early;
strict ones are quicker. Measured: climbs of both kinds beat either kind alone."""

_SORTS: tuple[Callable[[Pile], int], ...] = (
    lambda pile: pile.width * pile.height,
    lambda pile: pile.width,
    lambda pile: pile.height,
    lambda pile: pile.width + pile.height,
    lambda pile: max(pile.width, pile.height),
)
"""First orders: the largest first, by each of these."""

_Start = tuple[int, list[Card], Builder]
"""(length reached, or area laid by a climb; order; builder)."""


class Search:
    """One search; `best` is the shortest length found, with one gap, grains; `spots` its layout."""

    def __init__(
        self, stock: Stock, builders: Sequence[Builder], first: list[Spot], *, seed: int
    ) -> None:
        """Begin from a whole layout, such as shelves."""
        self.best = _length(first)
        self.spots = first
        self._stock = stock
        self._counts = stock.counts
        self._area = stock.area
        self._step = stock.step
        self._builders = builders
        self._random = random.Random(seed)

    def run(self) -> Iterator[None]:
        """One step per build, without end until nothing shorter can exist."""
        shortest = self._stock.shortest
        steps = self._steps()
        while self.best > shortest:
            next(steps)
            yield

    def _steps(self) -> Iterator[None]:
        starts: list[_Start] = []
        for sort in _SORTS:
            # Equals stay in the order in which they were given.
            piles = self._stock.piles
            order = sorted(range(len(piles)), key=lambda number: -sort(piles[number]))
            cards = self._stock.cards(order)
            for builder in self._builders:
                starts.append((self._build_whole(cards, builder), cards, builder))
                yield
        starts.sort(key=lambda start: start[0])
        climbed: list[_Start] = []
        for _, cards, builder in starts:
            packed, reached = yield from self._climb(cards, builder)
            climbed.append((packed, reached, builder))
        yield from self._climb_again(climbed)

    def _climb_again(self, climbed: list[_Start]) -> Iterator[None]:
        """Shake and climb for ever, from the better orders more often."""
        climbed.sort(key=lambda start: -start[0])
        while True:
            number = int(self._random.random() ** 2 * len(climbed))
            before, cards, builder = climbed[number]
            packed, reached = yield from self._climb(self._shaken(cards), builder)
            if packed >= before:
                climbed[number] = (packed, reached, builder)
                climbed.sort(key=lambda start: -start[0])

    def _build_whole(self, cards: list[Card], builder: Builder) -> int:
        whole = Target(self._stock.width, ENDLESS, ENDLESS * self._stock.width)
        attempt = builder(cards, self._counts, whole)
        assert attempt.spots is not None  # nothing is out of reach
        self._keep(attempt.spots)
        return _length(attempt.spots)

    def _climb(
        self, cards: list[Card], builder: Builder
    ) -> Generator[None, None, tuple[int, list[Card]]]:
        """Change an order step by step until it has not got better for a while.

        Returns the area that its last order laid, and that order.
        """
        lenient = int(LENIENCE * self._area) if self._random.random() < 0.5 else 0
        packed = self._build(cards, builder, lenient)
        yield
        waited = 0
        while waited < PATIENCE:
            before = self.best
            changed = self._changed(cards)
            reached = self._build(changed, builder, lenient)
            yield
            waited = 0 if reached > packed or self.best < before else waited + 1
            if self.best < before:
                # The target has moved on, so the area must be taken against the new one.
                reached = self._build(changed, builder, lenient)
                yield
                cards, packed = changed, reached
            elif reached >= packed:
                cards, packed = changed, reached
        return packed, cards

    def _build(self, cards: list[Card], builder: Builder, lenient: int) -> int:
        """Lay towards a shorter layout than the best, with so much more to spare; the area laid."""
        length = self.best - self._step
        spare = length * self._stock.width - self._area + lenient
        attempt = builder(cards, self._counts, Target(self._stock.width, length, spare))
        if attempt.spots is not None:
            self._keep(attempt.spots)
        return attempt.packed

    def _keep(self, spots: list[Spot]) -> None:
        length = _length(spots)
        if length < self.best:
            self.best, self.spots = length, spots

    def _changed(self, cards: list[Card]) -> list[Card]:
        new = cards.copy()
        for _ in range(1 if self._random.random() < 0.7 else 2):
            i, j = self._below(len(new)), self._below(len(new))
            if self._random.random() < 0.5:
                new[i], new[j] = new[j], new[i]
            else:
                new.insert(j, new.pop(i))
        return new

    def _shaken(self, cards: list[Card]) -> list[Card]:
        new = cards.copy()
        for _ in range(1 + self._below(SHAKES)):
            i, j = self._below(len(new)), self._below(len(new))
            new[i], new[j] = new[j], new[i]
        return new

    def _below(self, number: int) -> int:
        """A whole number below that one.

        From `random()`, which alone is promised to give the same numbers for the same seed
        in later versions of Python.
        """
        return int(self._random.random() * number)


def _length(spots: list[Spot]) -> int:
    return max(spot.y + spot.height for spot in spots)


_GRAINS = 1 / LENGTH_TOLERANCE
"""Grains in a millimetre. Sizes are rounded to whole grains: what is equal within the
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
    """A whole job laid out.

    Attributes:
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
    """A length that no layout of the job can fall below, mm; ValueError: a piece is too wide."""
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
        refused = say(
            "The number of layouts to try is {builds}: it must be 1 or more.",
            numbers={"builds": builds},
        )
        raise FieldError(refused, field="builds", value=builds)
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


_NO_SIZE = {
    "width": mark("The width of a piece is {value} mm: it must be above 0."),
    "height": mark("The height of a piece is {value} mm: it must be above 0."),
}
_TOO_WIDE = mark(
    "A piece needs {value} of width, but the material is only {limit} wide: it cannot be cut."
)
