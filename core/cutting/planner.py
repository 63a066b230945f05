"""The search for a cutting plan: ways of turning, their sections, and the plan that is best."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from core.bag.compute import Result
from core.base.tolerance import LENGTH_TOLERANCE
from core.cutting.cut_list import CutList, cut_list
from core.cutting.fitting import Batch, Batches, Demand, SortedGoods, Turning, sort_out, turnings
from core.cutting.packing.job import Placement
from core.cutting.packing.sheets import (
    Section,
    SectionLayout,
    better_sections,
    first_layout,
    least_length,
)
from core.cutting.plan import GoodsPlan, LaidPiece, Plan, PlanOptions, rounded_up
from core.goods.layers import Layer


@dataclass(frozen=True, slots=True)
class PlanProgress:
    """Share of the work done, 0 to 1, and the best plan: the same object until one is better."""

    done: float
    plan: Plan


@dataclass(frozen=True, slots=True)
class _Choice:
    """One way of turning, and the number of its alternative for each goods, in their order."""

    turning: Turning
    numbers: tuple[int, ...]


@dataclass(frozen=True)
class Planner:
    """One question: a bag and how it is to be cut. Sections go out, layouts come back.

    Goods may be laid in several ways of turning, each with sections of its own. The plan is of
    the way that buys least, and among equals of the one that turns fewest pieces.
    """

    result: Result
    options: PlanOptions
    _sorted: tuple[SortedGoods, ...] = field(init=False)
    _cut_list: CutList = field(init=False)
    _alternatives: tuple[tuple[Batches, ...], ...] = field(init=False)
    _choices: tuple[_Choice, ...] = field(init=False)

    def __post_init__(self) -> None:
        cuts = cut_list(self.result)
        found = tuple(sort_out(cuts, goods, bags=self.options.bags) for goods in cuts.goods)
        object.__setattr__(self, "_cut_list", cuts)
        object.__setattr__(self, "_sorted", found)
        self._choose_ways()

    def _choose_ways(self) -> None:
        """The ways of turning that may buy less than the first, and what each lays out."""
        fitting = (pair for each in self._sorted for pair in each.fitting)
        showing = [pair for pair in fitting if pair[0].shows]
        options = self.options
        first, *others = turnings(showing, options.bags, mixed=options.mixed_grain)
        batches = [each.batches(options, first) for each in self._sorted]
        alternatives = [[each] for each in batches]
        choices = [_Choice(first, (0,) * len(batches))]
        bought = self._bought(batches, lambda section: first_layout(section).length)
        for turning in others:
            batches = [each.batches(options, turning) for each in self._sorted]
            if not self._bought(batches, least_length) < bought - LENGTH_TOLERANCE:
                continue
            for known, each in zip(alternatives, batches, strict=True):
                if each not in known:
                    known.append(each)
            numbers = (known.index(b) for known, b in zip(alternatives, batches, strict=True))
            choices.append(_Choice(turning, tuple(numbers)))
        shared = tuple(tuple(_sharing(known)) for known in alternatives)
        object.__setattr__(self, "_alternatives", shared)
        object.__setattr__(self, "_choices", tuple(choices))

    def _bought(self, goods: Sequence[Batches], length: Callable[[Section], float]) -> float:
        """What is bought of all goods, if each section takes such a length, mm."""
        return math.fsum(
            self._to_buy(each.goods, [length(batch.section) for batch in batches if batch.demands])
            for each, batches in zip(self._sorted, goods, strict=True)
        )

    def _to_buy(self, goods: Layer, lengths: Sequence[float]) -> float:
        used = math.fsum(lengths) + self.options.gap * max(len(lengths) - 1, 0)
        return rounded_up(goods.bought(used), goods.sold_step)

    @property
    def sections(self) -> tuple[Section, ...]:
        """What has to be laid out, in order."""
        return tuple(
            batch.section for ways in self._alternatives for batches in ways for batch in batches
        )

    def plan(self, layouts: Sequence[SectionLayout]) -> Plan:
        """The plan that these layouts, one for each section, come to."""
        given = iter(layouts)
        laid = [[[next(given) for _ in batches] for batches in ways] for ways in self._alternatives]
        best = min(self._choices, key=lambda choice: self._weighed(choice, laid))
        goods = tuple(
            self._goods_plan(place, number, laid[place])
            for place, number in enumerate(best.numbers)
        )
        return Plan(cut_list=self._cut_list, options=self.options, goods=goods)

    def _weighed(
        self, choice: _Choice, laid: list[list[list[SectionLayout]]]
    ) -> tuple[int, int, float]:
        """(bought, turned, used): the less the better, the first before the others."""
        bought = used = 0.0
        turned = 0
        for place, number in enumerate(choice.numbers):
            layouts = laid[place][number]
            lengths = [each.length for each in layouts if each.placements]
            bought += self._to_buy(self._sorted[place].goods, lengths)
            used += math.fsum(lengths)
            turned += _turned_outside(self._alternatives[place][number], layouts)
        return round(bought / LENGTH_TOLERANCE), turned, used

    def better_plans(self) -> Iterator[PlanProgress]:
        """A plan at once, then better and better ones; dropping the iterator cancels."""
        layouts: tuple[SectionLayout, ...] | None = None
        plan: Plan | None = None
        for step in better_sections(
            self.sections, seed=self.options.seed, builds=self.options.builds
        ):
            if plan is None or step.layouts is not layouts:
                layouts = step.layouts
                found = self.plan(layouts)
                plan = found if plan is None or found.goods != plan.goods else plan
            yield PlanProgress(step.done, plan)

    def _goods_plan(
        self, place: int, number: int, laid_out: list[list[SectionLayout]]
    ) -> GoodsPlan:
        """The batches one after another: what is cut folded first, then what is not."""
        sorted_out, batches = self._sorted[place], self._alternatives[place][number]
        laid: list[LaidPiece] = []
        start = folded_length = end = 0.0
        for batch, layout in zip(batches, laid_out[number], strict=True):
            if not layout.placements:
                continue
            laid += self._laid(batch, layout, sorted_out.goods.cutting_width, start)
            end = start + layout.length
            start = end + self.options.gap
            folded_length = end if batch.folded else folded_length
        plain, chosen = (
            self._to_buy(sorted_out.goods, [each.length for each in layouts if each.placements])
            for layouts in (laid_out[0], laid_out[number])
        )
        return GoodsPlan(
            goods=sorted_out.goods,
            width=sorted_out.goods.cutting_width,
            length_used=end,
            folded_length=folded_length,
            laid=tuple(laid),
            lacking=sorted_out.lacking,
            saved=max(plain - chosen, 0.0),
        )

    def _laid(
        self, batch: Batch, layout: SectionLayout, width: float, start: float
    ) -> Iterator[LaidPiece]:
        for demand, spot in zip(batch.demands, layout.placements, strict=True):
            first, *second = demand.bags
            yield self._piece(demand, first, spot, spot.x, start)
            for bag in second:  # the layer beneath, folded over: its mirror image
                yield self._piece(demand, bag, spot, width - spot.x - spot.width, start)

    def _piece(
        self, demand: Demand, bag: int, spot: Placement, x: float, start: float
    ) -> LaidPiece:
        return LaidPiece(
            label=self._cut_list.label(demand.item),
            item=demand.item,
            bag=bag,
            x=x,
            y=start + spot.y,
            width=spot.width,
            height=spot.height,
            turned=spot.turned != demand.turned,
        )


def _sharing(alternatives: Sequence[Batches]) -> Iterator[Batches]:
    """The first as it is; the others share as much search as it has among them."""
    first, *others = alternatives
    yield first
    for batches in others:
        yield tuple(
            replace(batch, section=replace(batch.section, share=1 / len(others)))
            for batch in batches
        )


def _turned_outside(batches: Batches, layouts: Sequence[SectionLayout]) -> int:
    """How many pieces that are seen from outside lie turned by a quarter."""
    return sum(
        len(demand.bags)
        for batch, layout in zip(batches, layouts, strict=True)
        for demand, spot in zip(batch.demands, layout.placements, strict=True)
        if demand.item.outer and spot.turned != demand.turned
    )


def best_plan(result: Result, options: PlanOptions) -> Plan:
    """The last and best of the plans of a bag."""
    *_, last = Planner(result, options).better_plans()
    return last.plan
