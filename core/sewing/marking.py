"""Cutting the panel's layers, and drawing the placement lines on the outer one. mm."""

from collections.abc import Iterable

from core.base.sentences import Sentence, listed, mark, say
from core.base.tolerance import shorter
from core.flat.piece import Piece, Point
from core.flat.roles import FACES, Face, PieceId
from core.goods.layers import common_shrinkage
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.pocket.pocket import Pocket
from core.sewing.bench import Bench
from core.work.operation import Action, Measure, MeasurePlace, Operation, measured, sized
from core.work.scene import (
    WIDE,
    Diagram,
    DiagramArea,
    DiagramNote,
    Drawn,
    Ink,
    PieceScene,
    Placed,
)
from core.work.states import BASE, CUT, FUSED, MARKED, WALL, WASHED, State


def prepare_panel(bench: Bench) -> tuple[Operation, ...]:
    """Everything before the wall is one: washing, cutting the layers, marking the outer one."""
    return (*_wash(bench), *(_cut(bench, piece) for piece in bench.walls), _mark(bench))


def _wash(bench: Bench) -> tuple[Operation, ...]:
    """Goods that shrink and are washed before cutting; each once."""
    washed = [each for each in bench.bag.cloth if each.washed_first]
    if not washed:
        return ()
    # Goods of one name may still come in two widths.
    goods = {(each.title, each.usable_width, each.washed_width): each for each in washed}
    titles = dict.fromkeys(each.title for each in washed)
    do = [
        say(
            "Wash and dry the {goods} as you will wash the bag, and press it flat.",
            words={"goods": listed(list(titles))},
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

    Args:
        goods: title, width as bought and width after washing of each, mm.
    """
    goods = tuple(goods)
    widest = max(wide for _, wide, _ in goods)
    high, apart = widest / 4, widest / 3
    drawn: list[Drawn] = []
    placed: list[Placed] = []
    for number, (title, wide, left) in enumerate(goods):
        low = -apart * number
        drawn.append(DiagramArea(Ink.GOODS, _torn_off(wide, high, low)))
        drawn.append(DiagramArea(Ink.NEW_AREA, _torn_off(left, high, low)))
        drawn.append(DiagramNote(title, (left / 2, low + high / 2)))
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


def _cut(bench: Bench, wall: PieceId) -> Operation:
    piece = bench.draft.piece(wall)
    layers = ", ".join(layer.role for layer in bench.layers)
    words = {"piece": piece.label, "goods": layers}
    first = "From the {goods} cut one rectangle, {panel_width} wide and {cut_length} long."
    if bench.layered:
        first = (
            "From each layer ({goods}) cut one rectangle, {panel_width} wide and "
            "{cut_length} long, all of the same size."
        )
    do = [say(first, words=words, panel_width=piece.width, cut_length=piece.height)]
    do += _cut_larger(bench)
    if bench.panel.folded:
        do.append(say("Write “front” along one short edge of each, and “back” along the other."))
    else:
        do.append(say("Write “{face}” along its top edge.", words={"face": piece.label}))
    if bench.panel.has_corners:
        do.append(
            say("Do not cut out the corners yet: they are cut through all layers later.")
            if bench.layered
            else say("Do not cut out the corners yet: they are drawn first.")
        )
    return Operation(
        key=f"cut {wall.word}",
        action=Action.CUT,
        title=say("Cut the {piece}", words={"piece": piece.label}),
        instructions=tuple(do),
        why=say(
            "The rectangle already has the front trim of {front_trim} taken off.",
            front_trim=bench.panel.front_trim,
        )
        if bench.panel.front_trim > 0.0 and bench.panel.folded
        else None,
        check=say("Both diagonals measure the same, so that the corners are square.")
        if bench.still_shrinks
        else say(
            "Both diagonals measure {diagonal}, so that the corners are square.",
            diagonal=(piece.width**2 + piece.height**2) ** 0.5,
        ),
        measures=_sizes(bench, piece),
        makes=(CUT.for_(wall),),
        pieces=(wall,),
        scene=PieceScene(),
    )


def _sizes(bench: Bench, piece: Piece) -> tuple[Measure, ...]:
    """Of the rectangle that is cut, with the trim that is off it already."""
    left, bottom, right, top = piece.bounds
    diagonal = (piece.width**2 + piece.height**2) ** 0.5
    found = (
        measured("panel_width", piece.width, piece.id, (left, bottom), (right, bottom)),
        measured("cut_length", piece.height, piece.id, (right, bottom), (right, top)),
        *sized(MeasurePlace.DERIVED, front_trim=bench.panel.front_trim),
    )
    if bench.still_shrinks:
        return found
    return (*found, measured("diagonal", diagonal, piece.id, (left, bottom), (right, top)))


def _cut_larger(bench: Bench) -> list[Sentence]:
    """What is still to shrink; where all layers do so alike, what that means for the bag."""
    layers = bench.layers
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
    longer, wider = (f"{100 * (1 / (1 - share) - 1):.3g}" for share in alike)
    if longer == wider:
        template = (
            "The material is not washed first: make this and every later distance {longer} "
            "% larger, except for the zip, the board and whatever does not shrink. After "
            "its first wash the bag has the sizes given here."
        )
    else:
        template = (
            "The material is not washed first: make this and every later distance {longer} "
            "% larger along the material and {wider} % across it, except for the zip, the "
            "board and whatever does not shrink. After its first wash the bag has the "
            "sizes given here."
        )
    return [say(template, words={"longer": longer, "wider": wider})]


def _mark(bench: Bench) -> Operation:
    do = [*_bottom_marks(bench), *_pocket_marks(bench), *_handle_marks(bench)]
    panel = bench.panel
    if bench.cuts_corners:
        do.append(
            say(
                "At each bottom corner draw the corner cut: {corner_cut_width} from the side "
                "edge and {corner_cut_depth} from the bottom {line}.",
                words={"line": "fold" if panel.folded else "edge"},
                corner_cut_width=panel.corner_width,
                corner_cut_depth=panel.corner_depth,
            )
        )
    elif panel.folded and shorter(0.0, panel.corner_width):
        do.append(
            say(
                "At each end of the bottom fold mark how far it is slit open, {corner_cut_width} "
                "from the side edge.",
                corner_cut_width=panel.corner_width,
            )
        )
    do.append(
        say(
            "Mark the middle of each top edge, {middle} from the side edge.",
            middle=panel.width / 2,
        )
    )
    return Operation(
        key="mark panel",
        action=Action.MARK,
        title=say("Draw the placement lines on the {outer}", words={"outer": bench.outer}),
        instructions=tuple(do),
        why=say("Later these places are covered by other layers and can no longer be measured."),
        check=say("Front and back are not swapped: the front is the shorter side.")
        if panel.front_trim > 0.0
        else None,
        caution=say("Test the chalk or pen on a scrap first: the iron makes some inks permanent."),
        needs=tuple(CUT.for_(wall) for wall in bench.walls),
        after=(FUSED,),
        measures=(*_panel_measures(bench), *_pocket_measures(bench), *_handle_measures(bench)),
        makes=_made(bench),
        pieces=bench.walls,
    )


def _made(bench: Bench) -> tuple[State, ...]:
    """One layer is ready for what is sewn onto it as soon as it is marked."""
    if not bench.layered:
        return (MARKED, BASE, WALL)
    return (MARKED, BASE) if len(bench.first_laid) == 1 else (MARKED,)


def _bottom_marks(bench: Bench) -> list[Sentence]:
    panel = bench.panel
    if not panel.folded:
        return [
            say(
                "Work on the right side. On front and back draw the bottom line, {bottom_seam} "
                "above the bottom edge.",
                bottom_seam=panel.bottom_seam,
            )
        ]
    return [
        say(
            "Work on the right side. Draw the bottom fold straight across, {front_length} "
            "below the front's top edge and {back_length} from the back's top edge.",
            front_length=panel.front_length,
            back_length=panel.back_length,
        )
    ]


def _panel_measures(bench: Bench) -> tuple[Measure, ...]:
    """Where the bottom line, the corner cuts and the middle are drawn."""
    panel, name = bench.panel, bench.walls[0]
    low = bench.draft.piece(name).bounds[1] if not panel.folded else 0.0
    right, wide, deep = panel.width, panel.corner_width, panel.corner_depth
    found = [bench.across("middle", panel.width / 2, Face.FRONT, x=0.0, below=0.0)]
    if panel.folded:
        found.append(bench.down("front_length", panel.front_length, Face.FRONT, x=right))
        found.append(bench.down("back_length", panel.back_length, Face.BACK, x=right))
    else:
        found.append(measured("bottom_seam", panel.bottom_seam, name, (right, low), (right, 0.0)))
    if bench.cuts_corners:
        upright = (right - wide, low), (right - wide, low + deep)
        found.append(measured("corner_cut_depth", deep, name, *upright))
    if bench.cuts_corners or (panel.folded and shorter(0.0, wide)):
        found.append(
            measured("corner_cut_width", wide, name, (0.0, low + deep), (wide, low + deep))
        )
    return tuple(found)


def _pocket_measures(bench: Bench) -> tuple[Measure, ...]:
    pocket = Pocket.of(bench.bag.parts)
    if pocket is None:
        return ()
    return tuple(
        measure
        for face in pocket.faces.faces
        for measure in (
            bench.down("pocket_drop", pocket.drop, face, x=0.0),
            bench.down("pocket_height", pocket.height, face, x=0.0, start=pocket.drop),
        )
    )


def _handle_measures(bench: Bench) -> tuple[Measure, ...]:
    handles = Handles.of(bench.bag.parts)
    if handles is None:
        return ()
    (left, inner), _ = handles.legs(bench.site)
    stops = tuple(
        bench.down("handle_stop", handles.stop, face, x=bench.panel.width) for face in FACES
    )
    if left < 0.0:
        return (*stops, *sized(MeasurePlace.DERIVED, beyond=-left))
    across = (("from_side", left, 0.0), ("handle_width", handles.width, left))
    found = (
        *(
            bench.across(name, length, Face.FRONT, x=x, below=0.0)
            for name, length, x in (*across, ("handle_gap", handles.gap, inner))
        ),
        *stops,
    )
    if handles.style is HandleStyle.LOOP:
        return found
    legs = (
        bench.down("handle_leg", handles.leg, face, x=left, start=handles.stop) for face in FACES
    )
    return (*found, *legs)


def _pocket_marks(bench: Bench) -> list[Sentence]:
    pocket = Pocket.of(bench.bag.parts)
    if pocket is None:
        return []
    return [
        say(
            "On the {face} draw a line for the pocket's upper edge, {pocket_drop} below the top "
            "edge, and one for its lower edge, {pocket_height} further down.",
            words={"face": face.value},
            pocket_drop=pocket.drop,
            pocket_height=pocket.height,
        )
        for face in pocket.faces.faces
    ]


def _handle_marks(bench: Bench) -> list[Sentence]:
    handles = Handles.of(bench.bag.parts)
    if handles is None:
        return []
    (left, _), _ = handles.legs(bench.site)
    lines = {"from_side": left, "handle_width": handles.width, "handle_gap": handles.gap}
    if left < 0.0:
        first = say(
            "The handles' legs cannot be drawn in their places: they reach {beyond} beyond "
            "either side edge.",
            beyond=-left,
        )
    elif handles.style is HandleStyle.LOOP:
        first = Sentence(
            mark(
                "Draw two strips for the handles along the panel, front to back, each "
                "{handle_width} wide, with {handle_gap} between them; their outer lines are "
                "{from_side} from the side edges."
            ),
            lines,
        )
    else:
        first = Sentence(
            mark(
                "On front and back draw the two legs of a handle, each {handle_width} wide and "
                "{handle_leg} long with {handle_gap} between them; their outer lines are "
                "{from_side} from the side edges."
            ),
            lines | {"handle_leg": handles.leg},
        )
    return [
        first,
        say(
            "On both faces draw the stop across the strips, {handle_stop} below the top "
            "edge, where the stitching ends.",
            handle_stop=handles.stop,
        ),
    ]
