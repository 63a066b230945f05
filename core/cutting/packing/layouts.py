"""Better and better layouts: build after build from changed orders of the options.

A build aims one step below the best length so far and says how much area it laid within
that; an order that lays no less than the one before is kept. When that climb gets stuck, a
good order of some earlier climb is shaken and climbs again. Everything is counted in builds
and drawn from one seed, so the same question has the same answer on every machine.
"""

import random
from collections.abc import Callable, Generator, Iterator, Sequence
from functools import partial

from core.bag.making import Cutting
from core.base.errors import FieldError
from core.base.sentences import say
from core.cutting.packing.builders import (
    FIT_PREFERENCES,
    ROW_RULES,
    build_free,
    build_rows,
    shelves,
)
from core.cutting.packing.job import (
    TICKS,
    Job,
    Layout,
    LayoutFound,
    Placement,
    TooWideError,
    ticks,
    too_wide,
)
from core.cutting.packing.stock import (
    ENDLESS,
    Attempt,
    Lot,
    LotSpot,
    Option,
    Stock,
    Target,
    stock_of,
)

Builder = Callable[[Sequence[Option], Sequence[int], Target], Attempt]
"""Lays options (counts of the lots beside them) towards a target."""

PATIENCE = 100
"""Builds without a gain after which a climb ends. Measured on sets with known optimum: 1000
wastes builds on orders that are stuck, 40 leaves too early."""

SHAKES = 5
"""The most swaps that shake an order before it climbs again."""

LENIENCE = 0.04
"""Share of the area that every other climb or so may leave empty beyond what the target
allows. Its builds end later, so they tell orders apart that would all have been cut off early;
strict ones are quicker. Measured: climbs of both kinds beat either kind alone."""

_SORTS: tuple[Callable[[Lot], int], ...] = (
    lambda lot: lot.width * lot.height,
    lambda lot: lot.width,
    lambda lot: lot.height,
    lambda lot: lot.width + lot.height,
    lambda lot: max(lot.width, lot.height),
)
"""First orders: the largest first, by each of these."""

_Start = tuple[int, list[Option], Builder]
"""(length reached, or area laid by a climb; order; builder)."""


class Search:
    """One search; `best` is the shortest length found, with one gap, ticks; `spots` its layout."""

    def __init__(
        self, stock: Stock, builders: Sequence[Builder], first: list[LotSpot], *, seed: int
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
            lots = self._stock.lots
            order = sorted(range(len(lots)), key=lambda number: -sort(lots[number]))
            options = self._stock.options(order)
            for builder in self._builders:
                starts.append((self._build_whole(options, builder), options, builder))
                yield
        starts.sort(key=lambda start: start[0])
        climbed: list[_Start] = []
        for _, options, builder in starts:
            packed, reached = yield from self._climb(options, builder)
            climbed.append((packed, reached, builder))
        yield from self._climb_again(climbed)

    def _climb_again(self, climbed: list[_Start]) -> Iterator[None]:
        """Shake and climb for ever, from the better orders more often."""
        climbed.sort(key=lambda start: -start[0])
        while True:
            number = int(self._random.random() ** 2 * len(climbed))
            before, options, builder = climbed[number]
            packed, reached = yield from self._climb(self._shaken(options), builder)
            if packed >= before:
                climbed[number] = (packed, reached, builder)
                climbed.sort(key=lambda start: -start[0])

    def _build_whole(self, options: list[Option], builder: Builder) -> int:
        whole = Target(self._stock.width, ENDLESS, ENDLESS * self._stock.width)
        attempt = builder(options, self._counts, whole)
        assert attempt.spots is not None  # nothing is out of reach
        self._keep(attempt.spots)
        return _length(attempt.spots)

    def _climb(
        self, options: list[Option], builder: Builder
    ) -> Generator[None, None, tuple[int, list[Option]]]:
        """Change an order step by step until it has not got better for a while.

        Returns the area that its last order laid, and that order.
        """
        lenient = int(LENIENCE * self._area) if self._random.random() < 0.5 else 0
        packed = self._build(options, builder, lenient)
        yield
        waited = 0
        while waited < PATIENCE:
            before = self.best
            changed = self._changed(options)
            reached = self._build(changed, builder, lenient)
            yield
            waited = 0 if reached > packed or self.best < before else waited + 1
            if self.best < before:
                # The target has moved on, so the area must be taken against the new one.
                reached = self._build(changed, builder, lenient)
                yield
                options, packed = changed, reached
            elif reached >= packed:
                options, packed = changed, reached
        return packed, options

    def _build(self, options: list[Option], builder: Builder, lenient: int) -> int:
        """Lay towards a shorter layout than the best, with so much more to spare; the area laid."""
        length = self.best - self._step
        spare = length * self._stock.width - self._area + lenient
        attempt = builder(options, self._counts, Target(self._stock.width, length, spare))
        if attempt.spots is not None:
            self._keep(attempt.spots)
        return attempt.packed

    def _keep(self, spots: list[LotSpot]) -> None:
        length = _length(spots)
        if length < self.best:
            self.best, self.spots = length, spots

    def _changed(self, options: list[Option]) -> list[Option]:
        new = options.copy()
        for _ in range(1 if self._random.random() < 0.7 else 2):
            i, j = self._below(len(new)), self._below(len(new))
            if self._random.random() < 0.5:
                new[i], new[j] = new[j], new[i]
            else:
                new.insert(j, new.pop(i))
        return new

    def _shaken(self, options: list[Option]) -> list[Option]:
        new = options.copy()
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


def _length(spots: list[LotSpot]) -> int:
    return max(spot.y + spot.height for spot in spots)


def least_length(job: Job) -> float:
    """A length that no layout of the job can fall below, mm; ValueError: a piece is too wide."""
    if not job.rectangles:
        return 0.0
    return (_stock(job).shortest - ticks(job.gap)) / TICKS


def better_layouts(job: Job, *, seed: int, builds: int) -> Iterator[LayoutFound]:
    """Lay a job out, at once and then better and better: one `LayoutFound` per build.

    The first comes from rows by falling height, and none is ever longer than it. The search
    ends after `builds`, or when no shorter layout can exist; dropping the iterator ends it
    at any build. Job, seed and number of builds fix the answer. The first step may be a
    TooWideError for rectangles that fit neither way, or a FieldError for `builds` below 1.
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
        yield LayoutFound(1, Layout(job, (), 0.0))
        return
    stock = _stock(job)
    search = Search(stock, _builders(job.cutting), shelves(stock), seed=seed)
    spots, layout = search.spots, _layout(job, stock, search.spots)
    yield LayoutFound(1, layout)
    for number, _ in zip(range(2, builds + 1), search.run(), strict=False):
        if search.spots is not spots:
            spots, layout = search.spots, _layout(job, stock, search.spots)
        yield LayoutFound(number, layout)


def _builders(cutting: Cutting) -> Sequence[Builder]:
    rows = [partial(build_rows, rule=rule) for rule in ROW_RULES]
    if cutting is Cutting.ROWS:
        return rows
    # Rows are free layouts too, and for pieces that are nearly alike often the shorter ones.
    return [*(partial(build_free, preference=preference) for preference in FIT_PREFERENCES), *rows]


def _stock(job: Job) -> Stock:
    gap = ticks(job.gap)
    return stock_of(
        (
            (ticks(piece.width) + gap, ticks(piece.height) + gap, piece.may_turn)
            for piece in job.rectangles
        ),
        width=ticks(job.usable_width) + gap,
    )


def _layout(job: Job, stock: Stock, spots: Sequence[LotSpot]) -> Layout:
    """Hand the spots of each lot out to its rectangles, the nearest to the cut end first."""
    gap = ticks(job.gap)
    waiting = [list(reversed(lot.indices)) for lot in stock.lots]
    placements = []
    for spot in sorted(spots, key=lambda spot: (spot.y, spot.x)):
        index = waiting[spot.lot].pop()
        piece = job.rectangles[index]
        turned = (spot.width, spot.height) != (
            ticks(piece.width) + gap,
            ticks(piece.height) + gap,
        )
        width, height = (piece.height, piece.width) if turned else (piece.width, piece.height)
        placements.append(
            Placement(
                index=index,
                x=spot.x / TICKS,
                y=spot.y / TICKS,
                width=width,
                height=height,
                turned=turned,
            )
        )
    placements.sort(key=lambda placement: placement.index)
    length = max(spot.y + spot.height for spot in spots) - gap
    return Layout(job, tuple(placements), length / TICKS)
