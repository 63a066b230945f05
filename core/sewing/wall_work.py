"""What is done to every wall, whatever its construction: washed, marked, unpicked, pressed. mm."""

from collections.abc import Iterable

from core.base.sentences import Listing, Sentence, mark, say, typed
from core.flat.ink import Ink
from core.flat.piece import Point
from core.goods.layers import Layer
from core.sewing.layers import clips_for_pins, layer_operations
from core.work.bench import Bench
from core.work.machine import Heat, Pressing
from core.work.operation import Action, Marking, MeasurePlace, Operation, Phase, sized
from core.work.scene import SEWN, WIDE, Diagram, DiagramArea, DiagramItem, DiagramNote, Placed
from core.work.states import (
    BASE,
    CUT,
    FUSED,
    INSERT_IN,
    MARKED,
    PRESSED,
    TURNED,
    WALL,
    WASHED,
    WRONG_SIDE_DONE,
    State,
)


def wall_operations(
    bench: Bench,
    cloth: Iterable[Layer],
    markings: Iterable[Marking],
    *,
    is_basted: bool,
    why_pressed_now: Sentence | None,
) -> tuple[Operation, ...]:
    """Washing, the placement lines, the layers, basting that comes out again, the last press.

    Of every goods that is sewn, what body, top and parts draw, whether anything is basted by
    machine, and what a part says of the last press.
    """
    return (
        *_wash(cloth),
        _mark(bench, markings),
        *layer_operations(bench),
        *((_take_out_basting(bench),) if is_basted else ()),
        _press(bench, why_pressed_now),
    )


def _wash(cloth: Iterable[Layer]) -> tuple[Operation, ...]:
    """Goods that shrink and are washed before cutting; each once."""
    washed = [each for each in cloth if each.washed_first]
    if not washed:
        return ()
    # Goods of one name may still come in two widths.
    goods = {(each.title, each.usable_width, each.washed_width): each for each in washed}
    titles = dict.fromkeys(each.title for each in washed)
    do = [
        say(
            "Wash and dry the {goods} as you will wash the bag, and press it flat.",
            words={"goods": Listing(list(titles))},
        )
    ]
    do += [
        say(
            "Measure the width of the {goods} again: of its {usable_width} there should be "
            "{washed_width} left.",
            words={"goods": each.title},
            washed_width=each.washed_width,
            usable_width=each.usable_width,
        )
        for each in goods.values()
        if each.shrink_width > 0.0
    ]
    return (
        Operation(
            key="wash goods",
            action=Action.WASH,
            phase=Phase.WASH,
            title=say("Wash the material that shrinks"),
            instructions=tuple(do),
            why=say("It shrinks now and not in the sewn bag; the cut list assumes this."),
            check=say("If it came out narrower, make the cutting plan again with the new width."),
            measures=tuple(
                each
                for cloth in goods.values()
                for each in (
                    *sized(MeasurePlace.DIAGRAM, usable_width=cloth.usable_width),
                    *sized(MeasurePlace.DIAGRAM, washed_width=cloth.washed_width),
                )
            ),
            makes=(WASHED,),
            scene=_washed_goods(goods),
        ),
    )


def _washed_goods(goods: Iterable[tuple[str, float, float]]) -> Diagram:
    """One over the other: as wide as each was, and what is left of that.

    Of each: title, width as bought and width after washing, mm.
    """
    goods = tuple(goods)
    widest = max(wide for _, wide, _ in goods)
    high, apart = widest / 4, widest / 3
    drawn: list[DiagramItem] = []
    placed: list[Placed] = []
    for number, (title, wide, left) in enumerate(goods):
        low = -apart * number
        drawn.append(DiagramArea(Ink.GOODS, _torn_off(wide, high, low)))
        drawn.append(DiagramArea(Ink.NEW_AREA, _torn_off(left, high, low)))
        drawn.append(DiagramNote(typed(title), (left / 2, low + high / 2)))
        if left < wide:
            placed.append(Placed("usable_width", wide, (wide, low + high / 6)))
            placed.append(Placed("washed_width", left, (left, low + high / 2)))
    return Diagram(
        bounds=(0.0, -apart * (len(goods) - 1), widest, high),
        paper=(WIDE[0], 60.0),
        drawn=tuple(drawn),
        placed=tuple(placed),
    )


def _torn_off(wide: float, high: float, low: float) -> tuple[Point, ...]:
    """Goods whose far end is torn off: it goes on."""
    jag = high * 0.05
    top = [(wide * (6 - i) / 6, low + high + (jag if i % 2 else -jag)) for i in range(7)]
    return ((0.0, low), (wide, low), *top)


def _mark(bench: Bench, markings: Iterable[Marking]) -> Operation:
    """The lines of body and parts, drawn stage by stage."""
    markings = tuple(markings)
    staged = sorted(markings, key=lambda each: each.stage)
    return Operation(
        key="mark panel",
        action=Action.MARK,
        phase=Phase.MARK,
        title=say("Draw the placement lines on the {outer}", words={"outer": bench.outer}),
        instructions=(
            *(each for marking in staged for each in marking.instructions),
            *(clips_for_pins(bench) if len(bench.first_laid) == 1 else ()),
        ),
        why=say("Later these places are covered by other layers and can no longer be measured."),
        check=next((each.check for each in markings if each.check is not None), None),
        caution=say("Test the chalk or pen on a scrap first: the iron makes some inks permanent."),
        needs=tuple(CUT.for_(wall) for wall in bench.walls),
        after=(FUSED,),
        measures=tuple(measure for marking in markings for measure in marking.measures),
        makes=_made(bench),
        pieces=bench.walls,
    )


def _made(bench: Bench) -> tuple[State, ...]:
    """One layer is ready for what is sewn onto it as soon as it is marked."""
    if not bench.layered:
        return (MARKED, BASE, WALL)
    return (MARKED, BASE) if len(bench.first_laid) == 1 else (MARKED,)


def _take_out_basting(bench: Bench) -> Operation:
    first = say("Pull out every basting stitch that can be seen on the right side.")
    if bench.layered and not bench.baste_hides:
        first = say(
            "Pull out the basting line all round: at {baste_line} from the edge it is "
            "outside the narrowest seam allowance, {narrowest}, and shows.",
            baste_line=bench.baste_line,
            narrowest=bench.closing.narrowest,
        )
    return Operation(
        key="take out basting",
        action=Action.UNPICK,
        phase=Phase.UNPICK,
        title=say("Take out the basting that shows"),
        instructions=(first, say("Basting inside the seam allowances may stay.")),
        check=say("Look inside the bag along every seam, where its right side is."),
        caution=say("Snip every few stitches and pull out the pieces; never pull hard at a seam."),
        needs=bench.closing.every,
        measures=(
            *sized(MeasurePlace.FROM_EDGE, baste_line=bench.baste_line),
            *sized(MeasurePlace.DERIVED, narrowest=bench.closing.narrowest),
        ),
        makes=(WRONG_SIDE_DONE,),
        pieces=bench.walls,
        edges=bench.raw_edges,
        scene=bench.closing.scene,
    )


def _press(bench: Bench, why: Sentence | None) -> Operation:
    caution: Sentence | None = None
    if bench.tender:
        template = mark("A hot iron damages {goods}: use a cool iron and a press cloth.")
        if bench.layered and bench.layers[-1].tender:
            template = mark(
                "A hot iron damages {goods}: use a cool iron and a press cloth, and never "
                "iron the lining side."
            )
        caution = say(template, words={"goods": Listing(bench.tender)})
    return Operation(
        key="press bag",
        action=Action.PRESS,
        phase=Phase.PRESS,
        title=say("Press the bag"),
        instructions=(
            say("Set the iron down on the seams and the top and lift it again; do not slide it."),
        ),
        why=why,
        caution=caution,
        needs=(TURNED,),
        until=(INSERT_IN,),
        makes=(PRESSED,),
        pieces=bench.walls,
        pressing=Pressing(Heat.COOL, cloth=True) if bench.tender else bench.wall_iron,
        scene=SEWN,
    )
