"""One build of the packing, against the same rules carried out slowly on unit squares.

The rules are those that the builders' docstrings tell; here nothing is kept from one step to the
next but what lies where, so that a slip in the bookkeeping shows.
"""

import random
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import pytest

from core.cutting.packing.builders import FitPreference, RowRule, build_free, build_rows, shelves
from core.cutting.packing.stock import (
    ENDLESS,
    Attempt,
    Lot,
    LotSpot,
    Option,
    Remaining,
    Stock,
    Target,
    stock_of,
)

GOODS = 12
"""Width, ticks: few enough that pieces often fill a place, and often are alike."""

ROUNDS = 300
"""Questions drawn for each test, the same in every run."""


def drawn(chance: random.Random) -> Stock:
    """Up to 12 lots of one to three rectangles each, many alike, that fit one way at least."""
    sizes = []
    for _ in range(chance.randint(1, 8)):
        one, other = chance.randint(1, GOODS), chance.randint(1, 9)
        may_turn = chance.random() < 0.5
        if chance.random() < 0.2:
            other += GOODS  # too long to lie across
            one, other = chance.choice(((one, other), (other, one))) if may_turn else (one, other)
        sizes.append((one, other, may_turn))
    sizes += [chance.choice(sizes) for _ in range(chance.randrange(5))]
    lots = tuple(
        Lot(width=width, height=height, may_turn=may_turn, indices=(0,) * chance.randint(1, 3))
        for width, height, may_turn in sizes
    )
    return Stock(lots=lots, width=GOODS)


def dealt(chance: random.Random) -> tuple[list[Option], list[int]]:
    """Options in some order, and the rectangles of each lot."""
    stock = drawn(chance)
    options = stock.options(range(len(stock.lots)))
    chance.shuffle(options)
    return options, stock.counts


def target(chance: random.Random) -> Target:
    """None at all, or one that may be missed."""
    if chance.random() < 0.5:
        return Target(GOODS, ENDLESS, ENDLESS * GOODS)
    return Target(GOODS, chance.randint(1, 60), chance.randint(0, 60))


def still_there(options: Sequence[Option], left: Sequence[int]) -> list[Option]:
    """The first option of each size of which a rectangle is left."""
    first: dict[tuple[int, int], Option] = {}
    for option in options:
        if left[option.lot]:
            first.setdefault((option.width, option.height), option)
    return list(first.values())


# --- Stock ----------------------------------------------------------------------------------------


def ways(lot: Lot, width: int) -> list[tuple[int, int]]:
    """Each way the lot's rectangles can lie on goods so wide, once."""
    both = [(lot.width, lot.height), (lot.height, lot.width)]
    return [way for way in dict.fromkeys(both[: 1 + lot.may_turn]) if way[0] <= width]


def test_what_is_laid_is_dealt_each_way_that_it_fits_and_never_shorter_than_it_can_be() -> None:
    """The three bounds of a strip, by rows of single rectangles: area, height, and no neighbour."""
    chance = random.Random(0)
    for _ in range(ROUNDS):
        stock = drawn(chance)
        order = chance.sample(range(len(stock.lots)), len(stock.lots))
        assert stock.options(order) == [
            Option(*way, number) for number in order for way in ways(stock.lots[number], GOODS)
        ]
        single = [ways(lot, GOODS) for lot in stock.lots for _ in lot.indices]
        assert stock.counts == [len(lot.indices) for lot in stock.lots]
        assert stock.area == sum(lying[0][0] * lying[0][1] for lying in single)
        lowest = [min(height for _, height in lying) for lying in single]
        alone = [
            low
            for low, lying in zip(lowest, single, strict=True)
            if min(width for width, _ in lying) > GOODS / 2
        ]
        least = max(Fraction(stock.area, GOODS), *lowest, sum(alone))
        step = max(
            step
            for step in range(1, 20 + GOODS)
            if all(height % step == 0 for lying in single for _, height in lying)
        )
        assert stock.step == step
        assert stock.shortest == next(n for n in range(0, 999, step) if n >= least)


@pytest.mark.parametrize(
    ("number", "high"), [(1, 1), (119, 1), (120, 1), (121, 2), (240, 2), (241, 3)]
)
def test_piles_are_as_high_as_keeps_them_about_120(number: int, high: int) -> None:
    """Two sizes in turn, the second described turned every other time."""
    given = [((4, 3, True), (5, 2, True), (3, 4, True), (5, 2, True))[n % 4] for n in range(number)]
    stock = stock_of(given, width=9)
    expected = []
    for width, height, first in ((4, 3, 0), (5, 2, 1)):
        alike = range(first, number, 2)
        for begin in range(0, len(alike), high):
            indices = tuple(alike[begin : begin + high])
            expected.append(Lot(width=width, height=height, may_turn=True, indices=indices))
    assert stock == Stock(lots=tuple(expected), width=9)


def test_only_what_may_turn_is_the_same_piece_turned() -> None:
    stock = stock_of([(3, 4, False), (4, 3, False), (4, 3, True), (3, 4, True)], width=9)
    sizes = [(lot.width, lot.height, lot.may_turn, lot.indices) for lot in stock.lots]
    assert sizes == [
        *((3, 4, False, (0,)), (4, 3, False, (1,))),
        *((4, 3, True, (2,)), (4, 3, True, (3,))),
    ]


# --- Remaining ------------------------------------------------------------------------------------


def test_a_hand_holds_the_first_card_of_each_size_that_is_left() -> None:
    chance = random.Random(1)
    for _ in range(ROUNDS):
        options, left = dealt(chance)
        remaining = Remaining(options, left)
        while any(left):
            assert (remaining.options, remaining.number) == (still_there(options, left), sum(left))
            option = chance.choice(remaining.options)
            tried = remaining.copy()
            tried.take(option)
            assert (remaining.options, remaining.number) == (still_there(options, left), sum(left))
            left[option.lot] -= 1
            assert (tried.options, tried.number) == (still_there(options, left), sum(left))
            remaining.take(option)
        assert (remaining.options, remaining.number) == ([], 0)


# --- Free -----------------------------------------------------------------------------------------


def laid_freely(
    options: Sequence[Option], counts: Sequence[int], target: Target, preference: FitPreference
) -> Attempt:
    """Best fit on a skyline (Burke, Kendall and Whitwell 2004), column by column."""
    tops, left = [0] * target.width, list(counts)
    spots: list[LotSpot] = []
    wasted = 0

    def like(option: Option) -> int:
        level = [wall for wall in walls if wall == option.height]
        if option.width < across:
            return preference.beside if level else preference.loose
        if level:
            if walls[0] == walls[1]:
                return preference.exact
            return preference.level_low if option.height == min(walls) else preference.level_high
        if option.height > max(walls):
            return preference.over
        return preference.under if option.height < min(walls) else preference.between

    while any(left):
        y = min(tops)
        x = tops.index(y)
        across = next((n for n, top in enumerate(tops[x:]) if top > y), target.width - x)
        walls = (
            tops[x - 1] - y if x > 0 else ENDLESS,
            tops[x + across] - y if x + across < target.width else ENDLESS,
        )
        fitting = [
            option
            for option in still_there(options, left)
            if option.width <= across and y + option.height <= target.length
        ]
        if not fitting:
            wasted += across * min(walls)
            if wasted > target.spare:
                return Attempt(sum(spot.width * spot.height for spot in spots), None)
            tops[x : x + across] = [y + min(walls)] * across
            continue
        option = max(fitting, key=like)
        # Against the wall whose top it meets, the left one first; else against the higher one.
        level_left, level_right = (wall == option.height for wall in walls)
        at_left = level_left or (not level_right and walls[0] >= walls[1])
        at = x if at_left else x + across - option.width
        tops[at : at + option.width] = [y + option.height] * option.width
        spots.append(LotSpot(at, y, *option))
        left[option.lot] -= 1
    return Attempt(sum(spot.width * spot.height for spot in spots), spots)


def test_free_builds_fill_the_lowest_place_with_the_card_liked_best() -> None:
    chance = random.Random(2)
    for _ in range(ROUNDS):
        likes = [chance.randint(0, 5) for _ in range(7)]
        preference = FitPreference(max(likes) + chance.randint(0, 1), *likes)
        question = *dealt(chance), target(chance), preference
        assert build_free(*question) == laid_freely(*question)


# --- Rows -----------------------------------------------------------------------------------------


def laid_in_rows(
    options: Sequence[Option], counts: Sequence[int], target: Target, rule: RowRule
) -> Attempt:
    """Row by row, each part cut up at once into what lies beside and what lies above."""
    left = list(counts)
    spots: list[LotSpot] = []
    top = 0

    def area(laid: Sequence[LotSpot]) -> int:
        return sum(spot.width * spot.height for spot in laid)

    def cut_up(
        x: int, y: int, width: int, height: int, left: list[int], opener: Option | None = None
    ) -> list[LotSpot]:
        fitting = [
            option
            for option in still_there(options, left)
            if option.width <= width and option.height <= height
        ]
        if not fitting or not width * height:
            return []

        def filled(option: Option) -> int:
            return [option.width == width, option.height == height].count(True) if rule.fits else 0

        option = opener or max(fitting, key=filled)
        left[option.lot] -= 1
        beside, above = width - option.width, height - option.height
        along = beside * height >= above * width if rule.along is None else rule.along
        right = (x + option.width, y, beside, height if along else option.height)
        far = (x, y + option.height, option.width if along else width, above)
        larger_first = sorted((far, right), key=lambda part: -part[2] * part[3])
        laid = [LotSpot(x, y, *option)]
        for part in larger_first:
            laid += cut_up(*part, left)
        return laid

    while any(left):
        waiting = still_there(options, left)
        room = target.length - top
        opener = next((option for option in waiting if option.height <= room), None)
        if opener is None:
            return Attempt(area(spots), None)
        stacked = (opener.height + option.height for option in waiting)
        heights = dict.fromkeys([opener.height, *(high for high in stacked if high <= room)])
        rows = []
        for height in list(heights)[: rule.heights]:
            after = left.copy()
            laid = cut_up(0, top, target.width, height, after, opener)
            rows.append((Fraction(area(laid), height), height, laid, after))
        _, height, laid, left = max(rows, key=lambda row: row[0])
        spots += laid
        top += height
        if target.width * top - area(spots) > target.spare:
            return Attempt(area(spots), None)
    return Attempt(area(spots), spots)


def test_rows_are_opened_and_cut_up_as_their_taste_says() -> None:
    chance = random.Random(3)
    for _ in range(ROUNDS):
        along = chance.choice((None, True, False))
        rule = RowRule(chance.random() < 0.5, along, chance.randint(1, 5))
        question = *dealt(chance), target(chance), rule
        assert build_rows(*question) == laid_in_rows(*question)


def test_shelves_are_rows_by_falling_height_each_piece_in_the_first_that_takes_it() -> None:
    """First-fit decreasing height (Coffman, Garey, Johnson and Tarjan 1980), step by step."""
    chance = random.Random(4)
    for _ in range(ROUNDS):
        stock = drawn(chance)
        spots = shelves(stock)
        lying = [min(ways(lot, GOODS), key=lambda way: way[1]) for lot in stock.lots]
        assert Counter((spot.width, spot.height, spot.lot) for spot in spots) == Counter(
            {(*way, number): stock.counts[number] for number, way in enumerate(lying)}
        )
        order = [(-spot.height, -spot.width, spot.lot) for spot in spots]
        assert all(before <= after for before, after in pairwise(order))
        used: dict[int, int] = {}
        end = 0
        for spot in spots:
            row = next((y for y, width in used.items() if width + spot.width <= GOODS), end)
            assert (spot.x, spot.y) == (used.get(row, 0), row)
            used[row] = spot.x + spot.width
            end = max(end, row + spot.height)
