"""What a booklet is made of: blocks of plain text and pictures, read by every writer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from core.bag.compute import Result
from core.base.quantities import money
from core.base.sentences import Plural, Sentence, mark, plural, say, sentence_start
from core.base.tolerance import LENGTH_TOLERANCE
from core.cutting.buying import purchases, total_lines, ways_of, ways_of_goods
from core.cutting.cut_list import CutItem
from core.cutting.plan import GoodsPlan, Plan, PlanOptions
from core.cutting.planner import best_plan
from core.drawing.cutting_plan import clipped
from core.drawing.cutting_stretches import Stretch, stretches_of
from core.drawing.dimension_lines import SMALL
from core.drawing.lettering import short_names
from core.drawing.records import Text
from core.drawing.sketch import Picture, Sketch, fits
from core.flat.ink import Ink
from core.flat.piece import Point

if TYPE_CHECKING:
    from core.output.booklet.content import BookletOptions


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; it stays with what follows."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph."""

    text: str


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution in a box of its own."""

    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table; the first row is its head."""

    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Gallery:
    """Pictures beside one another, as many as there is room for, each with its caption."""

    pictures: tuple[tuple[Picture, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepCard:
    """One step; it is never torn apart.

    Attributes:
        number, title: its head.
        do: sentences, in order.
        change: what to change at the machine before it; empty where it stays as it is.
        without: how to do without that change; empty where there is no such way.
        facts: (label, text): machine, seam allowance, iron, why, look, after.
        caution: empty where there is none.
        picture: what it looks like.
    """

    number: int
    title: str
    do: tuple[str, ...]
    change: tuple[str, ...] = ()
    without: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    caution: str = ""
    picture: Picture


Block = Heading | Paragraph | Bullets | Caution | Table | Gallery | StepCard


@dataclass(frozen=True, slots=True, kw_only=True)
class Booklet:
    """A booklet in the reader's language and unit.

    Attributes:
        title: the bag's name.
        cover: the finished bag.
        facts: a few sizes for the cover.
        blocks: everything else, in order.
        warning: on the cover: what keeps the bag from going together; None where nothing does.
        words: the few words that writers need themselves, e.g. "page {page} of {pages}".
    """

    title: str
    subtitle: str
    cover: Picture
    facts: tuple[tuple[str, str], ...]
    blocks: tuple[Block, ...]
    warning: Caution | None = None
    words: dict[str, str] = field(default_factory=dict)


_LONGEST, _HIGHEST, _LEAST_HIGH = 150.0, 62.0, 38.0
"""A drawing of a layout is at most so long, and the widest material so high on paper, mm."""


def goods_blocks(result: Result, options: "BookletOptions") -> list[Block]:
    """What to buy, what to cut, and the cutting plan of each material, for all bags."""
    plan = best_plan(result, replace(PlanOptions.of(options.making), builds=options.builds))
    bags = options.making.bags

    def headed(what: Plural) -> Heading:
        return Heading(options.say(say(what, numbers={"count": bags})))

    return [
        headed(plural("What to buy for one bag", "What to buy for {count} bags")),
        Table(_buying(plan, options), (0.32, 0.26, 0.42)),
        headed(plural("What to cut for one bag", "What to cut for {count} bags")),
        Paragraph(
            options.say(
                "Sizes are those of rectangles to cut first: across the material by along it."
            )
        ),
        Table(_cutting(plan, options), (0.21, 0.25, 0.11, 0.23, 0.2)),
        *_missing(plan, options),
        Heading(options.say("Layout")),
        Paragraph(
            options.say(
                "The length of the material runs to the right; start cutting at the left end."
            )
        ),
        *(Paragraph(told) for told in _ways(plan, options)),
        Gallery(_layouts(plan, options)),
    ]


def _buying(plan: Plan, options: "BookletOptions") -> tuple[tuple[str, ...], ...]:
    head = tuple(map(options.say, (mark("Item"), mark("Amount"), mark("Details"))))
    rows = [
        (options.say(line.what), options.say(line.amount), options.say(line.remark))
        for line in purchases(plan, options.unit)
    ]
    code = options.currency  # lines have no price here: a bare number would be read as an amount
    remark = "" if code else options.say("in the currency of your prices")
    for told, cost in total_lines(plan, code):
        rows.append((options.say(told), money(cost, code), remark))
    return (head, *rows)


def _cutting(plan: Plan, options: "BookletOptions") -> tuple[tuple[str, ...], ...]:
    heads = (mark("Piece"), mark("Cut from"), mark("Number"), mark("Size"), mark("Grain"))
    rows = [_cut_row(plan, item, options) for item in plan.cut_list.items]
    return (tuple(map(options.say, heads)), *rows)


def _cut_row(plan: Plan, item: CutItem, options: "BookletOptions") -> tuple[str, ...]:
    size = f"{options.show(item.across)} × {options.show(item.along)}"
    return (
        options.translate(item.piece.label),
        item.goods.title,
        str(item.count * plan.options.bags),
        size,
        options.say(plan.grain_of(item)),
    )


def _missing(plan: Plan, options: "BookletOptions") -> list[Block]:
    told = tuple(options.say(finding.message) for finding in plan.findings)
    return [Caution(options.say("Caution"), told)] if told else []


def _ways(plan: Plan, options: "BookletOptions") -> list[str]:
    """What somebody who cuts must know; of one goods with its name before it."""
    told = [options.say(way) for way in ways_of(plan.options)]
    for goods in plan.goods:
        title = sentence_start(goods.goods.title)
        told += [f"{title}: {options.say(way)}" for way in ways_of_goods(goods) if goods.laid]
    return told


def _layouts(plan: Plan, options: "BookletOptions") -> tuple[tuple[Picture, str], ...]:
    """Every material at one scale, with a key to the short names on it.

    What is too long for one drawing that can be read goes on in further ones.
    """
    laid = [each for each in plan.goods if each.laid]
    longest = max((each.cutting_length for each in laid), default=1.0)
    widest = max((each.width for each in laid), default=1.0)
    scale = min(max(_LONGEST / longest, _LEAST_HIGH / widest), _HIGHEST / widest)
    return tuple(
        _layout(each, stretch, options, scale)
        for each in laid
        for stretch in stretches_of(each, _LONGEST / scale)
    )


def _layout(
    goods: GoodsPlan, stretch: Stretch, options: "BookletOptions", scale: float
) -> tuple[Picture, str]:
    names = [options.say(each.label) for each in goods.laid]
    shorts = short_names(names)
    picture = _plan_picture(goods, stretch, options, scale, shorts)
    written = {each.text for each in picture.records if isinstance(each, Text)}
    key = [f"{short} {name}" for name, short in shorts.items() if short in written]
    title = goods.goods.title
    if goods.goods.in_sheets and goods.sheets > 1:
        numbers = {
            "number": round(stretch.high / goods.goods.sheet_length), "count": goods.sheets
        }  # fmt: skip
        words = {"goods": title}
        told = say("{goods}, sheet {number} of {count}", numbers=numbers, words=words)
        title = options.say(told)
    elif stretch.low > 0.0 or stretch.high < goods.cutting_length - LENGTH_TOLERANCE:
        lengths = {"low": stretch.low, "high": stretch.high}
        title = options.say(
            Sentence(mark("{goods}, {low} to {high}"), lengths, words={"goods": title})
        )
    return picture, f"{title} ({', '.join(key)})" if key else title


def _plan_picture(
    goods: GoodsPlan,
    stretch: Stretch,
    options: "BookletOptions",
    scale: float,
    shorts: Mapping[str, str],
) -> Picture:
    """A stretch of the material lying on its side: its length runs to the right."""
    start, width = stretch.low, goods.width
    end = min(stretch.high, max(goods.length_used, start + 1.0))
    length = end - start
    box = (length * scale, width * scale)
    sketch = Sketch((0.0, 0.0, length, width), box, show=options.show)
    sketch.area(Ink.GOODS, ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)))
    folded = min(goods.folded_length - start, length)
    if folded > 0.0:
        sketch.line(Ink.FOLD, ((0.0, width / 2), (folded, width / 2)))
    named: set[str] = set()
    for piece in goods.laid:
        left, low, right, high = piece.box
        low, high = max(low - start, 0.0), min(high - start, length)
        if high - low <= LENGTH_TOLERANCE:
            continue
        sketch.area(Ink.SHADE, _on_its_side(piece.outline, width, start, length))
        if not piece.item.is_rectangle:
            for shape in clipped(piece.shape, start, end):
                line = _on_its_side(shape, width, start, length)
                sketch.line(Ink.PLACEMENT, (*line, line[0]))
        name = options.say(piece.label)
        middle = ((low + high) / 2, width - (left + right) / 2)
        room = (high - low, right - left)
        if any(_label(sketch, told, middle, room) for told in (name, shorts[name])):
            continue
        if name not in named:  # too thin for letters: the first is named across its edges
            sketch.label(shorts[name], middle)
            named.add(name)
    sketch.measure((0.0, 0.0), (length, 0.0))
    sketch.measure((length, 0.0), (length, width))
    return sketch.picture(
        options.say(say("Cutting plan: {goods}", words={"goods": goods.goods.title}))
    )


def _on_its_side(
    outline: Sequence[Point], width: float, start: float, length: float
) -> list[Point]:
    """An outline in the frame of a stretch, whose length runs to the right."""
    return [(min(max(y - start, 0.0), length), width - x) for x, y in outline]


def _label(
    sketch: Sketch, told: str, middle: tuple[float, float], room: tuple[float, float]
) -> bool:
    """A name where it fits, along whichever side has room; whether one has."""
    along, across = room[0] * sketch.scale - 1.0, room[1] * sketch.scale - 1.0
    if fits(told, along) and across > 1.2 * SMALL:
        sketch.label(told, middle)
    elif fits(told, across) and along > 1.2 * SMALL:
        sketch.label(told, middle, angle=90.0)
    else:
        return False
    return True
