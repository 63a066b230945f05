"""Closing the boxed panel: folded, sides, corners; then neatened, turned and measured. mm."""

from collections.abc import Mapping
from dataclasses import replace

from core.base.sentences import NO_TEXT, Template, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.across import (
    TRIMMED,
    is_trimmed,
    sew_across,
    sewn_on_tips,
    side_in_full,
    trim_tips,
)
from core.bodies.boxed_panel.allowances import SewnAllowances, side_allowances, walls_at_corner
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import Tips
from core.bodies.finishing import END_TO_END, measure_bag, overcast_inside, turn_bag
from core.bodies.under_foot import under_foot
from core.flat import roles
from core.flat.roles import EdgeId, EdgeRole, Face, PieceId, SeamRole, Side
from core.space.zones import LineKind
from core.work.bench import Bench, ClosingWork
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import FOLDED_FLAT, FoldedView
from core.work.states import (
    OUTLINE_CUT,
    SIDES_CAUGHT,
    STRAPS_SECURED,
    TURNED,
    State,
)

BOTTOM = State("the bottom seam is sewn")
SIDES = {side: State("the side seam is sewn", side) for side in roles.SIDES}
CORNERS = {side: State("the corner seam is sewn", side) for side in roles.SIDES}
_FOLDED = State("the bag is folded, wrong side out")
_UNDER = {
    side: FoldedView(pitch=-24.0, yaw=yaw, wrong_side=True)
    for side, yaw in ((Side.LEFT, -52.0), (Side.RIGHT, 52.0))
}
"""The bag seen from its end, wrong side out."""
_ALONG_CORNERS = mark(
    "At each corner follow the drawn corner cut, {baste_line} from the line, on the side that is "
    "kept."
)


def closing_of(panel: BoxedPanel) -> ClosingWork:
    """What top, parts and wall ask of how it closes."""
    sides = tuple(SIDES.values())
    corners = tuple(CORNERS.values()) if panel.has_corners else ()
    seams = [panel.side_seam, panel.top_seam]
    seams += [panel.corner_seam] if panel.has_corners and panel.tips is Tips.TRIMMED else []
    seams += [] if panel.folded else [panel.bottom_seam]
    pierced = [mark("side")]
    pierced += [mark("corner")] if panel.has_corners else []
    pierced += [] if panel.folded else [mark("bottom")]
    return ClosingWork(
        joined=(BOTTOM,),
        flat_ends=(_FOLDED, *sides),
        sides=sides,
        every=(*sides, *corners),
        scene=_UNDER[Side.RIGHT] if panel.has_corners else FOLDED_FLAT,
        keep_clear=_ALONG_CORNERS if cuts_corners(panel) else NO_TEXT,
        joins=NO_TEXT if panel.folded else mark("bottom seams"),
        narrowest=min(seams),
        pierced=tuple(pierced),
    )


def cuts_corners(panel: BoxedPanel) -> bool:
    """Whether anything is cut out at the corners: a cut may lack its width or its depth."""
    return not panel.sewn_across and shorter(0.0, min(panel.corner_width, panel.corner_depth))


def closing_operations(bench: Bench, panel: BoxedPanel) -> tuple[Operation, ...]:
    """From the flat panel to the finished bag."""
    return (
        _fold(bench, panel),
        *(_side(bench, panel, side) for side in roles.SIDES),
        *(_corner(bench, panel, side) for side in roles.SIDES if panel.has_corners),
        *trim_tips(bench, panel, tuple(CORNERS.values()), _UNDER[Side.RIGHT]),
        _overcast(bench, panel),
        _turn(bench, panel),
        _measure(bench, panel),
    )


def _fold(bench: Bench, panel: BoxedPanel) -> Operation:
    return Operation(
        key="fold bag",
        phase=Phase.CLOSE,
        action=Action.FOLD,
        title=say("Fold the bag wrong side out"),
        instructions=(
            bench.opening.fold,
            say("Pin or clip both sides from the fold at the top to the bottom.")
            if panel.sewn_across
            else say("Pin or clip both sides from the fold at the top to the corner."),
        ),
        why=say("Everything that is sewn on flat must be in place by now."),
        check=say("The raw side edges are level, and the loose handles are inside, clear of them.")
        if bench.has_straps
        else say("The raw side edges are level."),
        needs=bench.opening.before_folding,
        after=(BOTTOM, OUTLINE_CUT, STRAPS_SECURED, SIDES_CAUGHT),
        measures=bench.opening.folding_measures,
        makes=(_FOLDED,),
        pieces=_bag_pieces(bench),
        edges=() if panel.folded else (panel.ref(Face.FRONT, EdgeId(EdgeRole.BOTTOM, Face.FRONT)),),
        scene=replace(FOLDED_FLAT, new_lines=frozenset({LineKind.FOLD})),
    )


def _bag_pieces(bench: Bench) -> tuple[PieceId, ...]:
    return (*bench.walls, *bench.opening.pieces)


def _side(bench: Bench, panel: BoxedPanel, side: Side) -> Operation:
    walked = bench.walked(SeamRole.SIDE, side=side)
    length = walked.length + side_in_full(panel)
    stack, caution, thicknesses = under_foot(bench, walked)
    caught = tuple(dict.fromkeys(ref.piece for ref in walked.seam.caught))
    do = [
        say(
            (_SIDE_IN_FULL if panel.sewn_across else _SIDE_SEWN)[side],
            side_seam=panel.side_seam,
            seam_length=length,
        ),
        say("Backstitch at both ends."),
    ]
    if caught:
        do.insert(1, say("The pocket's side is caught in the seam."))
    if bench.opening.side is not None:
        do.insert(1, bench.opening.side)
    last = side is Side.RIGHT
    return Operation(
        key=f"join side seam {side.value}",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say(_SIDE_TITLES[side]),
        instructions=tuple(do),
        why=bench.opening.why_side,
        check=say("The raw edges are level at the bottom, and nothing else was caught.")
        if panel.sewn_across
        else say("The corner edges are level, and nothing else was caught."),
        caution=caution,
        needs=(_FOLDED, SIDES[Side.LEFT], *bench.opening.way_out) if last else (_FOLDED,),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, side_seam=panel.side_seam),
            *sized(MeasurePlace.SEAM, seam_length=length),
            *thicknesses,
        ),
        makes=(SIDES[side],),
        pieces=(*_bag_pieces(bench), *caught),
        marks=sewn_on_tips(bench, side),
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(Stitching(mark("side seams"), max(length, 0.0), stack),),
        allowance=panel.side_seam,
        scene=FOLDED_FLAT,
    )


def _corner(bench: Bench, panel: BoxedPanel, side: Side) -> Operation:
    lying = side_allowances(bench.site)
    if panel.sewn_across:
        states = {"bottom": BOTTOM, "sewn": SIDES[side], "makes": CORNERS[side]}
        return sew_across(bench, panel, side, **states, lying=lying, scene=_UNDER[side])
    walked, opened = bench.walked(SeamRole.CORNER, side=side), lying is SewnAllowances.OPEN
    stack = walls_at_corner(lying, seamed=not panel.folded) * bench.wall
    deep = walked.mate_length
    return Operation(
        key=f"join corner seam {side.value}",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say(_CORNER_TITLES[side]),
        instructions=(
            say(_CORNER_OPENED[side]),
            say(
                "Press the side seam open where the corner seam crosses it, and pin: "
                "turned to one side, its allowances would be too thick for the presser "
                "foot."
            )
            if opened
            else say("Turn the side seam's allowances to one side and pin."),
            say(
                "Sew straight across, {corner_seam} from the edge: {gusset_depth} from end "
                "to end. Backstitch at both ends.",
                corner_seam=panel.corner_seam,
                gusset_depth=deep,
            ),
        ),
        why=say("This makes the bottom {gusset_depth} deep, front to back.", gusset_depth=deep),
        check=say("The side seam meets the middle of the bottom, with no pucker at either end."),
        caution=say(
            "Where the seams cross, the layers are {stack} thick when pressed: go "
            "slowly, and turn the hand wheel.",
            stack=stack,
        ),
        needs=(SIDES[side],),
        after=(BOTTOM, OUTLINE_CUT),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, corner_seam=panel.corner_seam),
            *sized(MeasurePlace.SEAM, gusset_depth=deep),
            *sized(MeasurePlace.DERIVED, stack=stack),
        ),
        makes=(CORNERS[side],),
        pieces=bench.walls,
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(Stitching(mark("corner seams"), max(walked.length, deep, 0.0), 2 * bench.wall),),
        allowance=panel.corner_seam,
        pressing=bench.wall_iron if opened else None,
        scene=_UNDER[side],
    )


_SIDE_TITLES = {
    Side.LEFT: mark("Sew the side seam, left"),
    Side.RIGHT: mark("Sew the side seam, right"),
}
_SIDE_SEWN = {
    Side.LEFT: mark(
        "Sew the left side from the top to the corner, {side_seam} from the edge: {seam_length} "
        "of seam."
    ),
    Side.RIGHT: mark(
        "Sew the right side from the top to the corner, {side_seam} from the edge: {seam_length} "
        "of seam."
    ),
}
_SIDE_IN_FULL = {
    Side.LEFT: mark(
        "Sew the left side in full, from the top to the bottom, {side_seam} from the edge: "
        "{seam_length} of seam."
    ),
    Side.RIGHT: mark(
        "Sew the right side in full, from the top to the bottom, {side_seam} from the edge: "
        "{seam_length} of seam."
    ),
}
_CORNER_TITLES = {
    Side.LEFT: mark("Box the corner, left"),
    Side.RIGHT: mark("Box the corner, right"),
}
_CORNER_OPENED = {
    Side.LEFT: mark(
        "Open out the left corner until its edges form one straight line, with the side seam on "
        "the middle of the bottom."
    ),
    Side.RIGHT: mark(
        "Open out the right corner until its edges form one straight line, with the side seam on "
        "the middle of the bottom."
    ),
}


def _overcast(bench: Bench, panel: BoxedPanel) -> Operation:
    raw = (
        say("Sew a zigzag over the raw edges of the side seams, all layers together.")
        if not _neatens_corners(panel)
        else say(
            "Sew a zigzag over the raw edges of the side seams and the corner seams, all "
            "layers together."
        )
    )
    seams = _oversewn(bench, panel)
    return overcast_inside(bench, (raw, say(END_TO_END)), seams, after=(TRIMMED,))


def _oversewn(bench: Bench, panel: BoxedPanel) -> Mapping[Template, float]:
    sides, corners = bench.seam_length(SeamRole.SIDE), _neatens_corners(panel)
    if not corners:
        # A tip that is left in keeps the side's raw edges to its end.
        sides += len(roles.SIDES) * side_in_full(panel)
    seams = {mark("overcasting the side seams"): sides}
    if corners:
        seams[mark("overcasting the corner seams")] = bench.seam_length(SeamRole.CORNER)
    return seams


def _neatens_corners(panel: BoxedPanel) -> bool:
    """Whether corner seams have raw edges: a tip that is left in is folded."""
    return panel.has_corners and (not panel.sewn_across or is_trimmed(panel))


def _turn(bench: Bench, panel: BoxedPanel) -> Operation:
    corners = say("Push the corners out from inside with something blunt.")
    return turn_bag(bench, pushed=corners if panel.has_corners else None)


def _measure(bench: Bench, panel: BoxedPanel) -> Operation:
    opening, base, gusset, face = sizes = [bench.finished[name] or 0.0 for name in _MEASURED]
    do = [say("Lay the bag flat: the opening is {opening_width} wide.", opening_width=opening)]
    if not shorter(0.0, min(base, gusset, face) if panel.has_corners else face):
        do.append(say("At these sizes it does not stand: its seams take up the whole bottom."))
    elif panel.has_corners:
        do.append(
            say(
                "Stand it up: the bottom is {base_width} wide and {gusset_depth} deep, and each "
                "face {face_height} high.",
                base_width=base,
                gusset_depth=gusset,
                face_height=face,
            )
        )
    else:
        do.append(say("Each face is {face_height} high.", face_height=face))
    return measure_bag(bench, do, dict(zip(_MEASURED, sizes, strict=True)))


_MEASURED = ("opening_width", "base_width", "gusset_depth", "face_height")
