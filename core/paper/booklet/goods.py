"""The booklet's pages about goods: what to buy, the cut list, and how to lay it out."""

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from core.compute import Result
from core.goods.buying import purchases
from core.goods.cutlist import CutItem
from core.goods.plan import GoodsPlan, Plan, PlanOptions
from core.goods.planner import best_plan
from core.goods.ways import ways_of, ways_of_goods
from core.paper.booklet.blocks import Block, Caution, Gallery, Heading, Paragraph, Table
from core.paper.booklet.dimensioning import SMALL
from core.paper.booklet.picture import Picture, Sketch, fits
from core.paper.booklet.wording import sentence_start
from core.paper.lettering import short_names
from core.paper.records import Layer, Text

if TYPE_CHECKING:
    from core.paper.booklet.content import BookletOptions

_LONGEST, _HIGHEST = 150.0, 62.0


def goods_blocks(result: Result, options: "BookletOptions") -> list[Block]:
    """What to buy, what to cut, and the cutting plan of each goods, for one bag."""
    making = replace(options.making, bags=1)
    plan = best_plan(result, replace(PlanOptions.of(making), builds=options.builds))
    return [
        Heading(options.say("What to buy for one bag")),
        Table(_buying(plan, options), (0.32, 0.26, 0.42)),
        Heading(options.say("What to cut for one bag")),
        Paragraph(
            options.say(
                "Sizes are those of rectangles to cut first: across the material by along it."
            )
        ),
        Table(_cutting(plan, options), (0.22, 0.26, 0.09, 0.23, 0.2)),
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
    head = tuple(map(options.say, ("What", "How much", "Which")))
    rows = [
        (options.say(line.what), options.say(line.amount), options.say(line.remark))
        for line in purchases(plan)
    ]
    return (head, *rows)


def _cutting(plan: Plan, options: "BookletOptions") -> tuple[tuple[str, ...], ...]:
    head = tuple(map(options.say, ("Piece", "From", "How many", "Size", "Grain")))
    rows = [_cut_row(plan, item, options) for item in plan.cut_list.items]
    return (head, *rows)


def _cut_row(plan: Plan, item: CutItem, options: "BookletOptions") -> tuple[str, ...]:
    size = f"{options.show(item.across)} × {options.show(item.along)}"
    return (
        options.translate(item.piece),
        options.translate(item.goods.title),
        str(item.count),
        size,
        options.say(plan.grain_of(item)),
    )


def _missing(plan: Plan, options: "BookletOptions") -> list[Block]:
    """Pieces that their goods cannot take."""
    told = tuple(options.say(finding.message) for finding in plan.findings)
    return [Caution(options.say("Caution"), told)] if told else []


def _ways(plan: Plan, options: "BookletOptions") -> list[str]:
    """What somebody who cuts must know; of one goods with its name before it."""
    told = [options.say(way) for way in ways_of(plan.options)]
    for goods in plan.goods:
        title = sentence_start(options.translate(goods.goods.title))
        told += [f"{title}: {options.say(way)}" for way in ways_of_goods(goods) if goods.laid]
    return told


def _layouts(plan: Plan, options: "BookletOptions") -> tuple[tuple[Picture, str], ...]:
    """Every goods at one scale, with a key to the short names on it."""
    laid = [each for each in plan.goods if each.laid]
    longest = max((each.length_used for each in laid), default=1.0)
    widest = max((each.width for each in laid), default=1.0)
    scale = min(_LONGEST / longest, _HIGHEST / widest)
    return tuple(_layout(each, options, scale) for each in laid)


def _layout(goods: GoodsPlan, options: "BookletOptions", scale: float) -> tuple[Picture, str]:
    names = [options.translate(each.name) for each in goods.laid]
    shorts = short_names(names)
    picture = _plan_picture(goods, options, scale, shorts)
    written = {each.text for each in picture.records if isinstance(each, Text)}
    key = [f"{short} {name}" for name, short in shorts.items() if short in written]
    title = options.translate(goods.goods.title)
    return picture, f"{title} ({', '.join(key)})" if key else title


def _plan_picture(
    goods: GoodsPlan, options: "BookletOptions", scale: float, shorts: Mapping[str, str]
) -> Picture:
    """The goods lying on its side: its length runs to the right."""
    length, width = max(goods.length_used, 1.0), goods.width
    box = (length * scale, width * scale)
    sketch = Sketch((0.0, 0.0, length, width), box, show=options.show)
    sketch.area(Layer.GOODS, ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width)))
    if goods.folded_length:
        sketch.line(Layer.FOLD, ((0.0, width / 2), (goods.folded_length, width / 2)))
    named: set[str] = set()
    for piece in goods.laid:
        left, low, right, high = piece.box
        sketch.area(Layer.SHADE, [(y, width - x) for x, y in piece.outline])
        if not piece.item.is_rectangle:
            shape = [(y, width - x) for x, y in piece.shape]
            sketch.line(Layer.PLACEMENT, (*shape, shape[0]))
        name = options.translate(piece.name)
        middle = ((low + high) / 2, width - (left + right) / 2)
        room = (high - low, right - left)
        if any(_label(sketch, told, middle, room) for told in (name, shorts[name])):
            continue
        if name not in named:  # too thin for letters: the first is named across its edges
            sketch.label(shorts[name], middle)
            named.add(name)
    sketch.measure((0.0, 0.0), (length, 0.0))
    sketch.measure((length, 0.0), (length, width))
    return sketch.picture(options.say("Cutting plan: {goods}", goods=goods.goods.title))


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
