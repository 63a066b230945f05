"""The search over orders of pieces: what it asks the builders for, and what it makes of answers."""

import json
import zlib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import islice, pairwise

import pytest

from core.cutting.packing.builders import (
    FIT_PREFERENCES,
    ROW_RULES,
    build_free,
    build_rows,
    shelves,
)
from core.cutting.packing.layouts import LENIENCE, PATIENCE, SHAKES, Builder, Search
from core.cutting.packing.stock import ENDLESS, Attempt, Lot, LotSpot, Option, Target, stock_of
from core.flat.piece import GrainTurn
from tests.core.cutting.packing_checks import known_optimum


@dataclass
class Spy:
    """Notes what a builder is asked for, and answers as it is told to.

    Attributes:
        answer: (options, target, number of the question) -> area laid, and length or None.
        asked: what came, in order.
    """

    answer: Callable[[Sequence[Option], Target, int], tuple[int, int | None]]
    asked: list[tuple[tuple[Option, ...], Target]] = field(default_factory=list)

    def __call__(self, options: Sequence[Option], counts: Sequence[int], target: Target) -> Attempt:
        assert len(counts) == len(options)
        self.asked.append((tuple(options), target))
        packed, length = self.answer(options, target, len(self.asked))
        return Attempt(packed, None if length is None else [LotSpot(0, 0, 1, length, 0)])


def moved(options: Sequence[Option], other: Sequence[Option]) -> int:
    """The fewest options to take out so that the rest lie in the same order."""
    places = [other.index(option) for option in options]
    longest: list[int] = []
    for n, place in enumerate(places):
        longest.append(1 + max((longest[i] for i in range(n) if places[i] < place), default=0))
    return len(options) - max(longest)


STOCK = stock_of([(40 + 7 * n % 31, 10 + 11 * n % 37, False) for n in range(14)], width=100)
"""Fourteen pieces, which each of the five measures puts in another order."""
STARTS = (904, 902, 900, 903, 901)
"""Lengths that the five first orders come to: the third order is the shortest."""
BY_LENGTH = (2, 4, 1, 3, 0)
CLIMB = 1 + PATIENCE
"""Builds of a climb that never gets better."""


def searched(answer: Callable[[int], tuple[int, int | None]], builds: int) -> Spy:
    """A search whose builds after the first five are answered like this, counted from 0."""
    spy = Spy(lambda _, __, n: (0, STARTS[n - 1]) if n <= 5 else answer(n - 6))
    search = Search(STOCK, [spy], [LotSpot(0, 0, 1, 990, 0)], seed=1)
    for number, _ in enumerate(islice(search.run(), 5 + builds), 1):
        assert len(spy.asked) == number, "one step per build"
    return spy


def orders(spy: Spy, *, climb: int | None = None) -> list[tuple[Option, ...]]:
    """What was asked for: the first orders, or one climb of those that never get better."""
    begin = 0 if climb is None else 5 + CLIMB * climb
    return [options for options, _ in spy.asked[begin : 5 if climb is None else begin + CLIMB]]


def test_the_first_orders_are_the_largest_first_by_each_measure_and_laid_whole() -> None:
    one, other = (Spy(lambda _, __, n: (0, 900 + n)) for _ in range(2))
    search = Search(STOCK, [one, other], [LotSpot(0, 0, 1, 903, 0)], seed=1)
    reached = [search.best for _ in islice(search.run(), 10)]
    assert reached == [901] * 10
    assert one.asked == other.asked
    assert all(target[:2] == (STOCK.width, ENDLESS) for _, target in one.asked)
    assert all(target.spare >= ENDLESS for _, target in one.asked)
    measures: tuple[Callable[[Lot], int], ...] = (
        lambda lot: lot.width * lot.height,
        lambda lot: lot.width,
        lambda lot: lot.height,
        lambda lot: lot.width + lot.height,
        lambda lot: max(lot.width, lot.height),
    )
    for options, measure in zip(orders(one), measures, strict=True):
        laid = [STOCK.lots[option.lot] for option in options]
        assert sorted(option.lot for option in options) == list(range(14))
        keys = [(-measure(lot), lot.indices) for lot in laid]
        assert keys == sorted(keys)


def test_a_climb_that_gains_nothing_ends_and_the_next_shortest_order_climbs() -> None:
    spy = searched(lambda _: (7, None), 5 * CLIMB)
    begun = [orders(spy, climb=climb)[0] for climb in range(5)]
    assert begun == [orders(spy)[place] for place in BY_LENGTH]


@pytest.mark.parametrize("gain", [1, 50, PATIENCE])
def test_a_gain_lets_a_climb_go_on_for_as_long_again(gain: int) -> None:
    """Later builds lay less than the one that gained, and all of them more than the first."""
    spy = searched(lambda n: (9 if n == gain else 8 if n > gain else 7, None), gain + 5 * CLIMB)
    assert spy.asked[5 + gain + CLIMB][0] == orders(spy)[BY_LENGTH[1]]
    kept = spy.asked[5 + gain][0]
    assert all(moved(kept, options) <= 4 for options, _ in spy.asked[6 + gain : 5 + gain + CLIMB])


def test_an_order_that_lays_no_less_is_kept_and_one_that_lays_less_is_not() -> None:
    """Each order tried is one or two moves from the one kept, and a move takes out two at most."""
    walked = orders(searched(lambda _: (7, None), CLIMB), climb=0)
    steps = [moved(before, after) for before, after in pairwise(walked)]
    assert max(steps) in (3, 4)
    assert 0 < steps.count(1) < PATIENCE  # one option moved
    assert moved(walked[0], walked[-1]) > 4
    stayed = orders(searched(lambda n: (7 if n % CLIMB == 0 else 6, None), CLIMB), climb=0)
    assert all(moved(stayed[0], options) <= 4 for options in stayed)
    assert len(set(stayed)) > PATIENCE / 2


def test_a_shorter_layout_moves_the_target_and_its_order_is_laid_again_towards_it() -> None:
    """The 30th build reaches its target; it had laid less than the first, and lays less again."""

    def answer(number: int) -> tuple[int, int | None]:
        return (7, None) if number < 30 else (6, 880) if number == 30 else (3, None)

    spy = searched(answer, 31 + 5 * CLIMB)
    (found, before), (again, after) = spy.asked[35:37]
    assert found == again
    assert before.length == 900 - STOCK.step
    assert after.length == 880 - STOCK.step
    # Layouts as poor as that are kept from there on, for as long as a climb goes without a gain.
    assert moved(found, spy.asked[36 + PATIENCE][0]) > 4
    assert spy.asked[37 + PATIENCE][0] == orders(spy)[BY_LENGTH[1]]


def test_every_build_aims_one_step_below_the_best_and_half_of_the_climbs_spare_more() -> None:
    climbs = 100
    spy = searched(lambda _: (7, None), climbs * CLIMB)
    spare = (900 - STOCK.step) * STOCK.width - STOCK.area
    lenient = 0
    for climb in range(climbs):
        asked = {target for _, target in spy.asked[5 + climb * CLIMB :][:CLIMB]}
        more = asked.pop().spare - spare
        assert not asked, "one target in a climb"
        assert more in (0, int(LENIENCE * STOCK.area))
        lenient += more > 0
    assert 30 < lenient < 70


def later_climbs(*, gains: int | None) -> tuple[list[tuple[Option, ...]], list[tuple[Option, ...]]]:
    """The orders that the first five climbs end with, from the best, and those that later begin.

    Each of the five lays more than the next, and none after them as much, but for one that may
    gain: then it lays more than all.
    """
    number = 100

    def answer(build: int) -> tuple[int, int | None]:
        climb, place = divmod(build, CLIMB)
        if place:
            return 0, None
        return (9 - climb if climb < 5 else 20 if climb - 5 == gains else 0), None

    spy = searched(answer, number * CLIMB)
    begun = [orders(spy, climb=climb)[0] for climb in range(5, number)]
    return [orders(spy)[place] for place in BY_LENGTH], begun


def nearest(options: Sequence[Option], others: Sequence[Sequence[Option]]) -> int:
    """Which of the others needs the fewest moves, at most as many as one shaking makes."""
    moves = [moved(other, options) for other in others]
    assert min(moves) <= 2 * SHAKES
    return moves.index(min(moves))


def test_later_climbs_begin_near_an_earlier_order_and_mostly_near_the_best() -> None:
    kept, begun = later_climbs(gains=None)
    assert len(set(begun)) > 80, "each is shaken anew"
    chosen = Counter(nearest(options, kept) for options in begun)
    assert chosen[0] > max(chosen[place] for place in range(1, 5))
    assert chosen[4] > 0


def test_a_later_climb_that_lays_more_is_the_best_from_there_on() -> None:
    kept, begun = later_climbs(gains=None)
    last = next(n for n, options in enumerate(begun) if nearest(options, kept) == 4)
    _, begun = later_climbs(gains=last)
    kept[4] = begun[last]
    chosen = Counter(nearest(options, kept) for options in begun[last + 1 :])
    assert chosen[4] > max(chosen[place] for place in range(4))


def test_a_search_tries_the_same_orders_on_every_machine() -> None:
    """Pieces, seed and number of builds fix the answer: a plan of yesterday is the plan of today.

    The numbers, and those of the next test, are the program's own and say only that nothing has
    changed. Whoever changes the search on purpose writes the new ones, once
    tests/bench/bench_packing.py says that they are as good.
    """
    sizes = [
        (round(piece.width), round(piece.height), True)
        for piece in known_optimum(60, 90, 14, seed=2, turn=GrainTurn.QUARTER).rectangles
    ]
    stock = stock_of(sizes, width=59)
    done = 0

    def noted(builder: Builder) -> Builder:
        def build(options: Sequence[Option], counts: Sequence[int], target: Target) -> Attempt:
            nonlocal done
            attempt = builder(options, counts, target)
            done = zlib.crc32(json.dumps((options, attempt)).encode(), done)
            return attempt

        return build

    builders = [
        noted(partial(build_free, preference=FIT_PREFERENCES[0])),
        noted(partial(build_rows, rule=ROW_RULES[0])),
    ]
    search = Search(stock, builders, shelves(stock), seed=3)
    reached = [search.best, *(search.best for _ in islice(search.run(), 3000))]
    assert list(dict.fromkeys(reached)) == [117, 100, 98, 95, 94, 93]
    assert done == 1203257471


def test_each_preference_and_rule_lays_the_same_on_every_machine() -> None:
    """Forty pieces, many of which fill a place or meet a wall, from each of them on in turn."""
    stock = stock_of([(2 + n * n % 7, 1 + 3 * n % 13, n % 3 > 0) for n in range(40)], width=23)
    options = stock.options(range(40))
    whole = Target(stock.width, ENDLESS, ENDLESS * stock.width)
    builders = [
        *(partial(build_free, preference=preference) for preference in FIT_PREFERENCES),
        *(partial(build_rows, rule=rule) for rule in ROW_RULES),
    ]
    done = 0
    for builder in builders:
        for first in range(40):
            attempt = builder(options[first:] + options[:first], stock.counts, whole)
            done = zlib.crc32(json.dumps(attempt).encode(), done)
    assert done == 2270651199
