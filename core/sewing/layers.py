"""Sewing the sandwich: fusing what is fusible, and basting the layers into one wall. mm.

Pocket, handles and a fused stiffener are sewn onto the layers that are basted first. A lining
that needle holes would spoil is basted in after them (common practice, no source).
"""

import math
from collections.abc import Iterable, Mapping, Sequence

from core.base.sentences import Last, Listing, Sentence, Term, mark, say, typed
from core.flat.ink import Ink
from core.flat.piece import point_between
from core.work.bench import Bench, Cloth
from core.work.machine import BASTE_STITCH, SEAM_STITCH, Heat, Pressing, as_set
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import Diagram, DiagramArea, DiagramItem, DiagramLine, DiagramNote, Placed
from core.work.states import BASE, CUT, FUSED, LINED, MARKED, MELTING_IN, WALL, State

_NAME_ROOM = 30.0
"""For a layer's name beside it, on paper."""


def layer_operations(bench: Bench) -> tuple[Operation, ...]:
    """Nothing when the wall is one layer."""
    if not bench.layered:
        return ()
    base = (_baste(bench),) if len(bench.first_laid) > 1 else ()
    lining = (_lay_lining(bench),) if bench.lining_last else ()
    fused = (_fuse_one(bench, group) for group in fused_groups(bench))
    return (*fused, *base, *lining)


def fused_groups(bench: Bench) -> tuple[tuple[int, ...], ...]:
    """What is fused to what: places of a layer and of the fusible ones that follow it inwards.

    Nothing is fused to a layer that melts, no layer that melts is fused, and what is laid in
    last is not fused to what it is laid on.
    """
    layers, first = bench.layers, len(bench.first_laid)
    groups: list[list[int]] = []
    for place, layer in enumerate(layers):
        begins = place in (0, first)
        if layer.fusible and not (begins or layer.melts or layers[groups[-1][0]].melts):
            groups[-1].append(place)
        else:
            groups.append([place])
    return tuple(tuple(group) for group in groups if len(group) > 1)


def _fused(group: tuple[int, ...]) -> State:
    return FUSED if group[0] == 0 else State(f"layer {group[0] + 1} has its interfacing on")


def _fuse_one(bench: Bench, group: tuple[int, ...]) -> Operation:
    layers = bench.layers
    ground, *fusible = (layers[place] for place in group)
    words: dict[str, str | Listing] = {"layer": _listed(fusible), "ground": ground.role}
    lay = mark(
        "Lay the {ground} wrong side up, the {layer} on it with its glue side down, edges level."
    )
    if len(fusible) > 1:
        lay = mark(
            "Lay the {ground} wrong side up. Lay and fuse {layer} on it one after the "
            "other, each with its glue side down, edges level."
        )
    first = len(bench.first_laid)
    within = bench.first_laid if group[0] < first else bench.last_laid
    melts_with_it = any(layer.melts for layer in within)
    blocked = MELTING_IN if melts_with_it else BASE if group[0] < first else WALL
    return Operation(
        key="fuse interfacing" if group[0] == 0 else f"fuse interfacing to layer {group[0] + 1}",
        action=Action.FUSE,
        phase=Phase.LAYERS,
        title=say("Fuse the {layer} to the {ground}", words=words),
        instructions=(
            say(lay, words=words),
            say(
                "Press from the middle outwards: hold the iron in place for as long as the "
                "interfacing's label says, lift it, and move on."
            ),
            say("If yours is not fusible, do not iron it on: basting will hold it."),
        ),
        why=say("Only these layers are under the iron: no layer that melts is in place yet.")
        if any(layer.melts for layer in bench.layers)
        else say("Once fused, they cannot shift."),
        check=say("There are no bubbles, and the corners do not lift once it is cold."),
        caution=say(
            "Use the heat and time given on your interfacing's label; test on a scrap first."
        ),
        needs=tuple(CUT.for_(name) for name in bench.walls),
        until=(blocked,),
        makes=(_fused(group),),
        pieces=bench.walls,
        layers=group,
        pressing=Pressing(Heat.MEDIUM, cloth=True),
        scene=_hovering(
            [typed(layer.role) for layer in (ground, *fusible)], turned=True, basted=None
        ),
    )


def _listed(layers: Iterable[Cloth]) -> Listing:
    return Listing([layer.role for layer in layers])


def _melting_in(layers: Iterable[Cloth]) -> tuple[State, ...]:
    return (MELTING_IN,) if any(layer.melts for layer in layers) else ()


def _baste(bench: Bench) -> Operation:
    """The layers that everything is sewn onto: all, unless some are laid in last."""
    baste_line = bench.baste_line
    goods = bench.first_laid
    do = [
        *((say("Do this with one piece after the other."),) if bench.closing.apart else ()),
        _stacked(goods),
        *_only_basted(bench, goods),
        say(
            "Smooth from the middle, clip all round, and baste {baste_line} from the edge.",
            baste_line=baste_line,
        ),
    ]
    if bench.closing.keep_clear and not bench.lining_last:
        do.append(say(bench.closing.keep_clear, baste_line=baste_line))
    do += clips_for_pins(bench)
    why = say("From here on the layers are sewn as one.")
    if bench.lining_last:
        why = say(
            "What is sewn or fused on goes onto these layers only: the {lining} is added "
            "afterwards.",
            words={"lining": _listed(bench.last_laid)},
        )
    return Operation(
        key="baste layers",
        action=Action.BASTE,
        phase=Phase.LAYERS,
        title=say("Baste the outer layers together")
        if bench.lining_last
        else say("Baste the layers together"),
        instructions=tuple(do),
        why=why,
        check=say(
            _SMOOTH[bench.lined_beneath, bench.closing.apart],
            terms={"body": bench.site.body},
        ),
        caution=_set_back(),
        needs=(MARKED,),
        after=tuple(_fused(each) for each in fused_groups(bench) if each[0] < len(goods)),
        until=bench.flat_ends,
        measures=sized(MeasurePlace.DIAGRAM, baste_line=baste_line),
        makes=(BASE, *(() if bench.lining_last else (WALL,)), *_melting_in(goods)),
        pieces=bench.walls,
        layers=tuple(range(len(goods))),
        setting=bench.baste,
        stitching=(Stitching(mark("basting the layers"), _around(bench), bench.base),),
        allowance=baste_line,
        without_change=_spare(bench),
        scene=_hovering(
            [typed(layer.role) for layer in reversed(goods)], turned=False, basted=baste_line
        ),
    )


_SMOOTH = {
    (True, False): mark("No fold is caught on the lining side, and the {body} still lies flat."),
    (False, False): mark("No fold is caught on the wrong side, and the {body} still lies flat."),
    (True, True): mark("No fold is caught on the lining side, and each piece still lies flat."),
    (False, True): mark("No fold is caught on the wrong side, and each piece still lies flat."),
}
"""Whether the lining lies beneath, and whether the body is still in pieces."""


def _around(bench: Bench) -> float:
    """Once around each wall, mm: along its cut line, or its rectangle where a lining follows."""
    walls = [bench.draft.piece(name) for name in bench.walls]
    if bench.lining_last:
        return math.fsum(2 * (piece.width + piece.height) for piece in walls)
    return math.fsum(piece.cut_perimeter for piece in walls)


def _stacked(goods: tuple[Cloth, ...]) -> Sentence:
    words: dict[str, str | Listing] = {"inner": goods[-1].role, "outer": goods[0].role}
    if len(goods) == 2:
        return say(
            "Stack them with all edges level: {inner} at the bottom, right side down; the "
            "{outer} on top, right side up.",
            words=words,
        )
    return say(
        "Stack them with all edges level: {inner} at the bottom, right side down; then "
        "{middle}; the {outer} on top, right side up.",
        words=words
        | {"middle": Listing([layer.role for layer in reversed(goods[1:-1])], Last.COMMA)},
    )


def _only_basted(bench: Bench, goods: tuple[Cloth, ...]) -> tuple[Sentence, ...]:
    fused = {place for group in fused_groups(bench) for place in group[1:]}
    layers, first = bench.layers, len(bench.first_laid)
    places = range(1, first) if goods == bench.first_laid else range(first + 1, len(layers))
    left = [layers[each] for each in places if layers[each].fusible and each not in fused]
    told = []
    if left:
        told.append(
            say(
                "Do not fuse the {layer}: it, or what it lies on, would melt. Basting holds it."
                if len(left) == 1
                else "Do not fuse the {layer}: they, or what they lie on, would melt. Basting "
                "holds them.",
                words={"layer": _listed(left)},
            )
        )
    if goods == bench.last_laid and goods[0].fusible:
        told.append(
            say(
                "Do not fuse the {layer}, which is laid in last: basting holds it.",
                words={"layer": goods[0].role},
            )
        )
    return tuple(told)


def clips_for_pins(bench: Bench) -> tuple[Sentence, ...]:
    """Said once, where the layers are basted or, of one, marked: before anything is pinned."""
    if not bench.holes_stay:
        return ()
    told = mark(
        "Holes stay in {goods}: wherever these steps say pin, use clips, or pin within the seam "
        "allowances."
    )
    return (say(told, words={"goods": Listing(bench.holes_stay)}),)


def _lay_lining(bench: Bench) -> Operation:
    """What is laid in after pocket and handles, and basted all round."""
    baste_line = bench.baste_line
    goods = bench.last_laid
    words, body = {"lining": _listed(goods)}, {"body": bench.site.body}
    film = any(layer.film or layer.melts for layer in goods)
    do = [
        _lining_laid(bench, body),
        *_joins_meet(bench),
        *_only_basted(bench, goods),
        say("Smooth from the middle and clip all round: pins would leave holes.")
        if film
        else say("Smooth from the middle and clip all round."),
        say(
            "Turn it over, so that you can see the drawn lines, and baste {baste_line} "
            "from the edge, clear of the handles.",
            baste_line=baste_line,
        )
        if bench.has_straps
        else say(
            "Turn it over, so that you can see the drawn lines, and baste {baste_line} "
            "from the edge.",
            baste_line=baste_line,
        ),
    ]
    if bench.closing.keep_clear:
        do.append(say(bench.closing.keep_clear, baste_line=baste_line))
    first = len(bench.first_laid)
    pierced = (*bench.closing.pierced, *bench.opening.pierced)
    return Operation(
        key="baste lining",
        action=Action.BASTE,
        phase=Phase.LAYERS,
        title=say("Lay in the {lining} and baste", words=words),
        instructions=tuple(do),
        why=say(bench.opening.pierces_all, terms={"seams": Listing(pierced)})
        if film
        else say("Laid in last, it hides the stitching of the parts sewn on."),
        check=say(_SMOOTH[True, bench.closing.apart], terms=body),
        caution=_set_back(),
        needs=(BASE, MARKED),
        # What comes before says so itself: it must be done until this is in.
        until=bench.flat_ends,
        measures=sized(MeasurePlace.DIAGRAM, baste_line=baste_line),
        makes=(WALL, LINED, *_melting_in(goods)),
        pieces=bench.walls,
        layers=tuple(range(first, first + len(goods))),
        setting=bench.baste,
        stitching=(
            Stitching(
                mark("basting the lining"),
                math.fsum(bench.draft.piece(name).perimeter for name in bench.walls),
                bench.wall,
            ),
        ),
        allowance=baste_line,
        without_change=_spare(bench),
        scene=_hovering(
            [
                say("piece, face down")
                if bench.closing.apart
                else say("{body}, face down", terms=body),
                *(typed(layer.role) for layer in goods),
            ],
            turned=True,
            basted=baste_line,
        ),
    )


def _joins_meet(bench: Bench) -> tuple[Sentence, ...]:
    """Where the lining of a piece is joined as that piece is."""
    if not (bench.closing.apart and bench.closing.joins):
        return ()
    joins = {"joins": bench.closing.joins}
    return (
        say("The {joins} lie on one another, with their allowances between them.", terms=joins),
    )


def _lining_laid(bench: Bench, terms: Mapping[str, Term]) -> Sentence:
    """How one layer, or several, are laid on the body's wrong side."""
    words, several = {"lining": _listed(bench.last_laid)}, len(bench.last_laid) > 1
    if bench.closing.apart:
        return say(
            "Turn each piece face down and smooth it. Lay over it, one on top of the other, its "
            "pieces of {lining}; the last with its right side up, all edges level."
            if several
            else "Turn each piece face down and smooth it. Lay its piece of the {lining} over it, "
            "right side up and wrong sides together, all edges level.",
            words=words,
        )
    if bench.closing.joins:
        return say(
            "Turn the {body} face down and smooth it. Lay over it, one on top of the other, "
            "{lining}; the last with its right side up, all edges level, the two {joins} on top of "
            "each other with their allowances between them."
            if several
            else "Turn the {body} face down and smooth it. Lay the {lining} over it, right side up "
            "and wrong sides together, all edges level, the two {joins} on top of each other with "
            "their allowances between them.",
            words=words,
            terms={**terms, "joins": bench.closing.joins},
        )
    return say(
        "Turn the {body} face down and smooth it. Lay over it, one on top of the other, {lining}; "
        "the last with its right side up, all edges level."
        if several
        else "Turn the {body} face down and smooth it. Lay the {lining} over it, right side up and "
        "wrong sides together, all edges level.",
        words=words,
        terms=terms,
    )


def _set_back() -> Sentence:
    return say(
        "The stitch is long now, {baste_stitch}: set it back to {seam_stitch} for the seams.",
        words={"baste_stitch": as_set(BASTE_STITCH), "seam_stitch": as_set(SEAM_STITCH)},
    )


def _spare(bench: Bench) -> Sentence:
    if bench.baste_hides:
        return say(
            "Baste at {seam_stitch} like the seams: at {baste_line} from the edge the line "
            "is inside every allowance and may stay in.",
            words={"seam_stitch": as_set(SEAM_STITCH)},
            baste_line=bench.baste_line,
        )
    return say("Hold the edges with clips instead of basting.")


def _hovering(names: Sequence[Sentence], *, turned: bool, basted: float | None) -> Diagram:
    """Cloths that hover over one another, the undermost first, as they lie on the table.

    With `turned` that lies wrong side up. They are basted so far from the edge, mm; None: fused.
    """
    wide, deep = 30.0, 9.0
    lift = min(7.5, 48.0 / max(len(names) - 1, 1))
    drawn: list[DiagramItem] = []
    corner = (0.0, 0.0)
    for number, name in enumerate(names):
        y, is_top = number * lift, number == len(names) - 1
        sheet = ((0.0, y), (wide, y), (wide + deep, y + deep), (deep, y + deep))
        ink = Ink.INSIDE if turned and number == 0 else Ink.PART if is_top else Ink.GOODS
        drawn.append(DiagramArea(ink, sheet))
        if is_top:
            middle = ((wide + deep) / 2, y + deep / 2)
            inner = tuple(point_between(point, middle, 0.12) for point in sheet)
            corner = inner[0]
            line = (*inner, corner) if basted is not None else ((0.0, y), (wide, y))
            drawn.append(DiagramLine(Ink.NEW, line))
        at = (wide + deep + 1.5, y + deep * 0.75)
        drawn.append(DiagramNote(name, at, begins=True, room=_NAME_ROOM))
    bounds = (0.0, 0.0, wide + deep, deep + lift * (len(names) - 1))
    placed = () if basted is None else (Placed("baste_line", basted, corner),)
    return Diagram(bounds=bounds, paper=bounds[2:], drawn=tuple(drawn), placed=placed)
