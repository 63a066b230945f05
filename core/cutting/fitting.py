"""Which pieces lie turned by a quarter: ways of turning to choose from, the plainest first.

What is seen from outside lies with its grain arrow along the goods, and is turned only where
less is bought for it. All that shows of one bag is turned together, so that its grain agrees
on its faces; only a maker who says so has them turned each by itself. What is cut from one goods
is then sorted out: in pairs on the fold, singly, on sheets, or not. mm.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from core.bag.making import Cutting, Making
from core.bag.wall import side_figure, width_finding
from core.base.sentences import say
from core.base.tolerance import same_length, shorter
from core.cutting.cut_list import CutItem, CutList
from core.cutting.packing.job import Job, Rectangle
from core.cutting.packing.sheets import Section
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.model.findings import Finding, Severity

_FEW = 40
"""Bags up to which some are turned and others not (own choice)."""

Ways = tuple[bool, ...]
"""Whether a piece lies turned by a quarter, for each way that it may lie."""


@dataclass(frozen=True, slots=True)
class Turning:
    """One way of turning the pieces of a plan.

    Attributes:
        bags: of so many bags, from the first, all that shows is turned.
        strips: whether strips are turned each by itself, though they are seen from outside.
        free: owners whose pieces are, too.
    """

    bags: int = 0
    strips: bool = False
    free: frozenset[str] = frozenset()

    def ways(self, item: CutItem, bag: int, fitting: Ways) -> Ways:
        """How a piece for one bag, from 1, is to lie of the ways in which its goods can take it.

        What fits only one way lies as it fits.
        """
        owner = item.piece.id.owner
        if not item.outer or owner in self.free or (self.strips and not item.shows):
            return fitting
        wanted = bool(item.shows and bag <= self.bags)
        return (wanted,) if wanted in fitting else fitting


def turnings(showing: Iterable[tuple[CutItem, Ways]], bags: int, *, mixed: bool) -> list[Turning]:
    """The ways of turning that are worth a try for so many bags, the plainest first.

    `showing` is what shows of one bag, and the ways in which its goods can take each; `mixed`
    says that pieces of several owners may be turned each by itself.
    """
    found = list(showing)
    counts = [0]
    if found and all(True in fitting for _, fitting in found):
        # What fits only turned takes all that shows beside it with it.
        straight = all(False in fitting for _, fitting in found)
        counts = _counts(bags) if straight else [bags]
    plain = [Turning(count, strips) for count in counts for strips in (False, True)]
    if not mixed:
        return plain
    owners = list(dict.fromkeys(item.piece.id.owner for item, _ in found))
    groups = [frozenset({owner}) for owner in owners]
    if len(owners) > 1:
        groups.append(frozenset(owners))
    return [*plain, *(Turning(0, strips=True, free=group) for group in groups)]


def _counts(bags: int) -> list[int]:
    """Of how many bags all that shows is turned: none first, then a few, half, most and all.

    Large numbers have little to gain from a bag more or less.
    """
    some = {1, bags // 2, bags - 1} if bags <= _FEW else set[int]()
    return sorted({0, bags} | some)


@dataclass(frozen=True, slots=True)
class Demand:
    """One rectangle of a section.

    Attributes:
        bags: for which bag, from 1; two on folded goods, one from each layer.
        ways: in which it may lie; what may lie only turned by a quarter is turned before it is
            given to the packer.
    """

    item: CutItem
    bags: tuple[int, ...]
    ways: Ways

    @property
    def turned(self) -> bool:
        """Whether the rectangle given to the packer is already turned."""
        return self.ways == (True,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """A section, what its rectangles are, in their order, and whether its goods is folded."""

    section: Section
    demands: tuple[Demand, ...]
    folded: bool = False


Batches = tuple[Batch, ...]


@dataclass(frozen=True, slots=True)
class SortedGoods:
    """One goods: what fits, and in which ways; what does not: item, how many, why."""

    goods: Layer
    fitting: tuple[tuple[CutItem, Ways], ...]
    lacking: tuple[tuple[CutItem, int, Finding], ...]

    def batches(self, making: Making, turning: Turning) -> Batches:
        """What is laid, one after another, when its pieces are turned so."""
        goods, gap, cutting = self.goods, making.gap, making.cutting
        width = goods.cutting_width
        if making.folded and not goods.in_sheets:
            half = (width - gap) / 2
            pairs, singles = self._pairs(half, making.bags, turning)
            return (
                _batch(pairs, half, gap, cutting, folded=True),
                _batch(singles, width, gap, cutting),
            )
        singles = [
            Demand(item, (bag,), turning.ways(item, bag, fitting))
            for item, fitting in self.fitting
            for bag in _bags(item, making.bags)
        ]
        sheet = goods.sheet_length if goods.in_sheets else None
        return (_batch(singles, width, gap, cutting, sheet=sheet),)

    def _pairs(self, half: float, bags: int, turning: Turning) -> tuple[list[Demand], list[Demand]]:
        """Pieces two at a time where they fit on half the width; the odd one and the wide singly.

        The two of a pair lie alike, as one is cut through the other.
        """
        pairs: list[Demand] = []
        singles: list[Demand] = []
        for item, fitting in self.fitting:
            alike: dict[Ways, list[int]] = {}
            for bag in _bags(item, bags):
                alike.setdefault(turning.ways(item, bag, fitting), []).append(bag)
            for ways, owners in alike.items():
                folded = _ways_that_fit(item, ways, half, math.inf) if half > 0.0 else ()
                even = len(owners) - len(owners) % 2 if folded else 0
                pairs += [
                    Demand(item, (owners[n], owners[n + 1]), folded) for n in range(0, even, 2)
                ]
                singles += [Demand(item, (bag,), ways) for bag in owners[even:]]
        return pairs, singles


def sort_out(cuts: CutList, goods: Layer, *, bags: int) -> SortedGoods:
    """What is cut from one goods for so many bags, and what cannot be."""
    fitting: list[tuple[CutItem, Ways]] = []
    lacking: list[tuple[CutItem, int, Finding]] = []
    sheet = goods.sheet_length if goods.in_sheets else math.inf
    for item in cuts.items_of(goods):
        finding = _lacks_room(item, goods)
        if finding is None:
            ways = _ways_that_fit(item, _ways_allowed(item), goods.cutting_width, sheet)
            fitting.append((item, ways))
        else:
            lacking.append((item, bags * item.count, finding))
    return SortedGoods(goods, tuple(fitting), tuple(lacking))


def _bags(item: CutItem, bags: int) -> Iterator[int]:
    return (bag for bag in range(1, bags + 1) for _ in range(item.count))


def _batch(
    demands: list[Demand],
    width: float,
    gap: float,
    cutting: Cutting,
    *,
    folded: bool = False,
    sheet: float | None = None,
) -> Batch:
    rectangles = tuple(_laid_rectangle(each, width) for each in demands)
    # A fold leaves no width at all where the gap takes the whole of it.
    job = Job(
        rectangles=rectangles, usable_width=width if demands else 1.0, gap=gap, cutting=cutting
    )
    return Batch(section=Section(job=job, sheet=sheet), demands=tuple(demands), folded=folded)


def _rectangle(item: CutItem, width: float) -> Rectangle:
    """The rough rectangle; a side that is as long as the goods is wide is exactly so long."""
    across, along = (
        width if same_length(side, width) else side for side in (item.across, item.along)
    )
    return Rectangle(width=across, height=along)


def _laid_rectangle(demand: Demand, width: float) -> Rectangle:
    plain = _rectangle(demand.item, width)
    if demand.turned:
        return Rectangle(width=plain.height, height=plain.width)
    return replace(plain, turn=GrainTurn.QUARTER if True in demand.ways else GrainTurn.HALF)


def _ways_allowed(item: CutItem) -> Ways:
    return (False, True) if item.turn is GrainTurn.QUARTER else (False,)


def _ways_that_fit(item: CutItem, ways: Ways, width: float, length: float) -> Ways:
    """Those of the ways in which a piece fits on so much goods, mm."""
    plain = _rectangle(item, width)
    return tuple(
        turned
        for turned in ways
        if not shorter(width, plain.height if turned else plain.width)
        and not shorter(length, plain.width if turned else plain.height)
    )


def _lacks_room(item: CutItem, goods: Layer) -> Finding | None:
    """Why a piece cannot be cut from these goods; None when it can."""
    finding = width_finding(item.piece, item.goods)
    if finding is not None or not goods.in_sheets:
        return finding
    width, length = goods.cutting_width, goods.sheet_length
    allowed = _ways_allowed(item)
    if _ways_that_fit(item, allowed, width, length):
        return None
    # What the width takes is too long for the sheet: each way that the width takes is.
    ways = _ways_that_fit(item, allowed, width, math.inf)
    turned = min(ways, key=lambda way: item.across if way else item.along)
    return Finding(
        code="wider-than-goods",
        severity=Severity.STOP,
        figure=side_figure(item.piece, along=not turned),
        value=item.across if turned else item.along,
        limit=goods.sheet_length,
        message=say(
            "The {piece} measures {across} by {along}, but a sheet of {goods} only {width} by "
            "{length}: cut it in parts and join them with a seam, or use larger sheets.",
            across=item.across,
            along=item.along,
            width=width,
            length=length,
            words={"goods": goods.title},
            terms={"piece": item.piece.label},
        ),
    )
