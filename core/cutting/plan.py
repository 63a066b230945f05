"""The cutting plan: every piece of any number of bags laid on its goods, and what that costs.

Frame of a plan: x across the goods from its left edge, y along from the cut end, mm.
`planner.py` searches for the best one.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from shapely import Polygon

from core.bag.bag import Bag
from core.bag.compute import Result
from core.bag.making import Making
from core.base.errors import FieldError
from core.base.sentences import Sentence, say
from core.base.tolerance import LENGTH_TOLERANCE
from core.cutting.cut_list import CutItem, CutList
from core.flat.geometry import Bounds, corners_of
from core.flat.piece import Point
from core.flat.roles import PieceId
from core.goods.layers import Layer
from core.model.findings import Finding

PieceKey = tuple[PieceId, str]
"""What tells a laid piece from others of its goods: which piece it is, in which layer's role."""


class Rest(NamedTuple):
    """A free rectangle: lower left corner and size."""

    x: float
    y: float
    width: float
    length: float

    @property
    def area(self) -> float:
        """mm2."""
        return self.width * self.length


def largest_rest(boxes: Sequence[Bounds], *, width: float, length: float) -> Rest | None:
    """The free rectangle of largest area within width x length; None when all is taken.

    The edges of the boxes cut the goods into cells; free cells that lie above one another
    make columns, and the largest rectangle under a row of columns is found with a stack
    (the classic largest rectangle in a histogram).
    """
    xs = _lines([0.0, width, *(x for box in boxes for x in (box[0], box[2]))], width)
    ys = _lines([0.0, length, *(y for box in boxes for y in (box[1], box[3]))], length)
    free = np.ones((len(ys) - 1, len(xs) - 1), dtype=bool)
    for left, bottom, right, top in boxes:
        rows = slice(_place(ys, bottom), _place(ys, top))
        free[rows, _place(xs, left) : _place(xs, right)] = False
    best: Rest | None = None
    columns = np.zeros(len(xs) - 1)
    for row, (low, high) in enumerate(pairwise(ys)):
        columns = np.where(free[row], columns + (high - low), 0.0)
        found = _under(xs, columns.tolist(), high)
        if found is not None and (best is None or found.area > best.area + 1e-6):
            best = found
    return best


def _lines(values: list[float], end: float) -> list[float]:
    """Different values from 0 to the end, in order; those nearer than the tolerance are one."""
    lines: list[float] = []
    for value in sorted(min(max(each, 0.0), end) for each in values):
        if not lines or value - lines[-1] > LENGTH_TOLERANCE:
            lines.append(value)
    return lines


def _place(lines: list[float], value: float) -> int:
    return int(np.searchsorted(lines, value - LENGTH_TOLERANCE))


def _under(xs: list[float], columns: list[float], top: float) -> Rest | None:
    best: Rest | None = None
    open_columns: list[tuple[int, float]] = []  # (first cell, height), rising
    for cell, height in enumerate([*columns, 0.0]):
        start = cell
        while open_columns and open_columns[-1][1] >= height:
            start, tall = open_columns.pop()
            area = (xs[cell] - xs[start]) * tall
            if tall > 0.0 and (best is None or area > best.area):
                best = Rest(xs[start], top - tall, xs[cell] - xs[start], tall)
        if height > 0.0:
            open_columns.append((start, height))
    return best


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOptions(Making):
    """What is made and how it is cut, and how long plans for it are looked for.

    `builds` are the layouts tried for each goods; None lets the number of pieces decide.
    """

    seed: int = 0
    builds: int | None = None

    def __post_init__(self) -> None:
        Making.__post_init__(self)  # a class with slots is made anew: `super` knows the old one
        if self.builds is not None and self.builds < 1:
            refused = say(
                "Layouts to try is {builds}: it must be 1 or more.", numbers={"builds": self.builds}
            )
            raise FieldError(refused, field="builds", value=self.builds)

    @classmethod
    def of(cls, making: Making) -> "PlanOptions":
        """The usual search for what is made."""
        return cls(**{each.name: getattr(making, each.name) for each in fields(Making)})


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPiece:
    """One piece where it lies.

    Attributes:
        label: of the piece, with its role where two layers share the goods.
        bag: for which of the bags, from 1.
        x, y: lower left corner of its rough rectangle.
        width, height: as laid.
        turned: by a quarter from its grain.
    """

    label: Sentence
    item: CutItem
    bag: int
    x: float
    y: float
    width: float
    height: float
    turned: bool

    @property
    def key(self) -> PieceKey:
        """Which piece it is, in which layer's role."""
        return self.item.piece.id, self.item.goods.role

    @property
    def name(self) -> str:
        """Its label in plain English, as drawings carry it."""
        return self.label.text()

    @property
    def box(self) -> Bounds:
        """(left, bottom, right, top)."""
        return self.x, self.y, self.x + self.width, self.y + self.height

    @property
    def outline(self) -> tuple[Point, ...]:
        """Corners of the rough rectangle that is cut, counter-clockwise."""
        return corners_of(self.box)

    @property
    def shape(self) -> tuple[Point, ...]:
        """The final shape within it, counter-clockwise."""
        if self.turned:
            return tuple((self.x + self.item.along - v, self.y + u) for u, v in self.item.outline)
        return tuple((self.x + u, self.y + v) for u, v in self.item.outline)


@dataclass(frozen=True, kw_only=True)
class GoodsPlan:
    """The plan of one goods.

    Attributes:
        width: usable, when it is cut.
        length_used: from the cut end to the last piece; whole sheets but for the last one.
        folded_length: how much of that, from the start, is cut folded lengthwise.
        laid: every piece that fits.
        lacking: pieces that do not, each with how many and why.
        saved: how much less is bought than if no piece seen from outside were turned, mm.
    """

    goods: Layer
    width: float
    length_used: float
    folded_length: float
    laid: tuple[LaidPiece, ...]
    lacking: tuple[tuple[CutItem, int, Finding], ...]
    saved: float = 0.0

    @property
    def length_to_buy(self) -> float:
        """Rounded up to whole sold steps; before washing, where it is washed before cutting."""
        return rounded_up(self.goods.bought(self.length_used), self.goods.sold_step)

    @property
    def sheets(self) -> int:
        """How many sheets, or sold steps, that is."""
        return round(self.length_to_buy / self.goods.sold_step)

    @property
    def cutting_length(self) -> float:
        """Length on the cutting table of what is bought."""
        return self.sheets * self.goods.sheet_length

    @property
    def yield_(self) -> float:
        """Share of the used length that is pieces, 0 to 1: their rough rectangles."""
        area = self.width * self.length_used
        pieces = math.fsum(each.width * each.height for each in self.laid)
        # Pieces are laid in whole ticks: what is rounded off of those that fill all is no cloth.
        return min(pieces / area, 1.0) if area else 0.0

    @property
    def yield_of_bought(self) -> float:
        """Share of what is bought that ends up as pieces, trimmed, 0 to 1."""
        area = self.width * self.cutting_length
        used = math.fsum(Polygon(each.item.outline).area for each in self.laid)
        return used / area if area else 0.0

    @property
    def share_used(self) -> float:
        """How much becomes pieces, 0 to 1: of whole sheets, or of the used length."""
        return self.yield_of_bought if self.goods.in_sheets else self.yield_

    @cached_property
    def leftover(self) -> Rest | None:
        """The largest rectangle left of what is bought, on one sheet; None when nothing is."""
        whole = self.cutting_length
        step = self.goods.sheet_length if self.goods.in_sheets else whole
        starts = [number * step for number in range(self.sheets if self.goods.in_sheets else 1)]
        rests = [self._rest(start, step) for start in starts if whole]
        found = [rest for rest in rests if rest is not None]
        return max(found, key=lambda rest: rest.area, default=None)

    def _rest(self, start: float, length: float) -> Rest | None:
        """The largest free rectangle of one stretch."""
        boxes = [
            (each.x, each.y - start, each.x + each.width, each.y + each.height - start)
            for each in self.laid
            if start - LENGTH_TOLERANCE <= each.y < start + length - LENGTH_TOLERANCE
        ]
        rest = largest_rest(boxes, width=self.width, length=length)
        return None if rest is None else rest._replace(y=rest.y + start)

    @property
    def cost(self) -> float:
        """Money for the length to buy."""
        return self.length_to_buy * self.goods.price_per_length


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The plan of all goods, outermost first; the cut list, of one bag, carries that bag."""

    cut_list: CutList
    options: PlanOptions
    goods: tuple[GoodsPlan, ...]

    @property
    def result(self) -> Result:
        """The bag, drafted, that this answers."""
        return self.cut_list.result

    @property
    def bag(self) -> Bag:
        """The bag that this answers."""
        return self.result.bag

    def grain_of(self, item: CutItem) -> Sentence:
        """Which way the grain runs in an item, as it is laid."""
        turned = [each.turned for goods in self.goods for each in goods.laid if each.item is item]
        return item.grain(laid=len(turned), turned=sum(turned))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """One for each piece that its goods cannot take."""
        return tuple(finding for each in self.goods for _, _, finding in each.lacking)

    @property
    def thread(self) -> float:
        """Thread for all bags, mm."""
        return self.options.bags * self.cut_list.notions.thread

    @property
    def spools(self) -> int:
        """Spools of thread for all bags."""
        return math.ceil(self.thread / self.bag.supplies.spool_length - 1e-9)

    @property
    def notions_cost(self) -> float:
        """Money for what is bought by the piece."""
        prices = math.fsum(each.price for each in self.cut_list.notions.others)
        return self.options.bags * prices

    @property
    def thread_cost(self) -> float:
        """Money for the thread."""
        return self.spools * self.bag.supplies.spool_price

    @property
    def cost(self) -> float:
        """Money for everything that has a price, for all bags."""
        return math.fsum(each.cost for each in self.goods) + self.notions_cost + self.thread_cost

    @property
    def weight(self) -> float:
        """Of one bag, kg."""
        return self.cut_list.weight


def rounded_up(length: float, step: float) -> float:
    """A length rounded up to whole steps, mm; what is a step within the tolerance stays."""
    return max(math.ceil((length - LENGTH_TOLERANCE) / step), 0) * step
