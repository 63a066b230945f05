"""Every operation of a bag, gathered from its body, top, parts and wall, and what they read of it.

Each owner tells its own; they meet in shared states (core.work.states) and in what body and top
say of one another (core.work.bench). No part is named here.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from core.bag.bag import Bag
from core.bag.compute import measure, measure_drawn
from core.base.sentences import Number, Sentence, mark, say
from core.flat.seam import Draft
from core.goods.layers import Layer, common_shrinkage
from core.model.figures import NO_TAKE_UP
from core.model.record import ROLE
from core.sewing.wall_work import wall_operations
from core.work.bench import Bench, Cloth
from core.work.operation import Action, Operation
from core.work.states import WASHED


def operations(bag: Bag, draft: Draft) -> tuple[Operation, ...]:
    """What is to be done for this bag, in the order in which a maker would tell it.

    That order settles nothing: what comes before what is decided by what each operation
    needs and makes, and only ties go by this telling.
    """
    bench = bench_of(bag, draft)
    parts = sorted(bag.parts.values(), key=lambda part: part.SEWING_RANK)
    own = [*bag.body.operations(bench), *bag.top.operations(bench)]
    own += (each for part in parts for each in part.operations(bench))
    markings = [*bag.body.markings(bench)]
    markings += (each for part in bag.parts.values() for each in part.markings(bench))
    basting = any(each.action is Action.BASTE and each.setting is not None for each in own)
    wall = wall_operations(
        bench,
        bag.cloth,
        markings,
        is_basted=bench.layered or basting,
        why_pressed_now=next(filter(None, (part.why_pressed_now for part in parts)), None),
    )
    # Nothing is cut before the goods that shrink are washed, if there are any.
    return tuple(
        replace(each, after=(*each.after, WASHED)) if each.action is Action.CUT else each
        for each in sorted((*own, *wall), key=lambda each: each.phase)
    )


def bench_of(bag: Bag, draft: Draft) -> Bench:
    """The bag on the table."""
    sandwich, finished = bag.sandwich, measure(bag, draft)
    drawn = measure_drawn(bag, draft)
    layers = _numbered(sandwich.layers)
    rests = any(part.rests_on_wall for part in bag.parts.values())
    return Bench(
        unit=bag.unit,
        draft=draft,
        site=bag.site,
        finished=finished,
        drawn=drawn,
        takes_up=bag.take_up != NO_TAKE_UP,
        has_straps=any(part.IS_STRAP for part in bag.parts.values()),
        walls=tuple(piece.id for piece in draft.walls),
        faces={face: seat.piece for face, seat in bag.site.seats.items()},
        layers=tuple(map(_cloth, layers)),
        first=len(sandwich.first_laid) if rests else len(layers),
        under_board=tuple(map(_cloth, sandwich.under_board)),
        goods={piece.id: tuple(map(_cloth, bag.goods_of(piece))) for piece in draft.pieces},
        baste_line=sandwich.baste_line,
        parts=bag.parts,
        cut_larger=tuple(_cut_larger(layers)),
        still_shrinks=any(each.shrinks and not each.cut_washed for each in layers),
        closing=bag.body.closing_work(draft),
        opening=bag.top.opening_work(drawn, finished),
    )


def _cloth(layer: Layer) -> Cloth:
    return Cloth(layer.role, layer.pressed, layer.melts, layer.fusible, layer.wipe_clean)


def _numbered(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    """The wall's layers; where two do the same, their roles tell which."""
    count = Counter(layer.role for layer in layers)
    return tuple(
        replace(layer, role=_with_place(layer.role, place)) if count[layer.role] > 1 else layer
        for place, layer in enumerate(layers, start=1)
    )


def _with_place(role: str, place: int) -> str:
    """A role that several layers have, told apart; a long one is cut to what a role may have."""
    told = mark("{role} (layer {number})")
    room = ROLE.most - len(told.format(role="", number=place))
    return told.format(role=role[:room].rstrip(), number=place)


def _cut_larger(layers: tuple[Layer, ...]) -> list[Sentence]:
    """What is still to shrink; where all layers do so alike, what that means for the bag."""
    alike = common_shrinkage(layers)
    if alike is None:
        return [
            say(
                "Cut the {layer} larger, as in the cut list: it is not washed first and will "
                "shrink.",
                words={"layer": layer.role},
            )
            for layer in layers
            if layer.shrinks and not layer.cut_washed
        ]
    if max(alike) <= 0.0:
        return []
    longer, wider = (Number(100 * (1 / (1 - share) - 1), digits=3) for share in alike)
    if longer.text() == wider.text():
        template = mark(
            "The material is not washed first: make this and every later distance {longer} "
            "% larger, except for the zip, the board and whatever does not shrink. After "
            "its first wash the bag has the sizes given here."
        )
    else:
        template = mark(
            "The material is not washed first: make this and every later distance {longer} "
            "% larger along the material and {wider} % across it, except for the zip, the "
            "board and whatever does not shrink. After its first wash the bag has the "
            "sizes given here."
        )
    return [say(template, numbers={"longer": longer, "wider": wider})]
