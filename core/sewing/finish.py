"""Finishing: edges, basting, turning, the last press and the measuring of the bag. mm."""

from core.base.sentences import Sentence, listed, say
from core.base.tolerance import shorter
from core.base.units import Unit
from core.flat.roles import EdgeRef, PieceRole, SeamRole
from core.model.figures import NO_TAKE_UP
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.pocket.pocket import Pocket
from core.sewing.bench import Bench
from core.tops.zip_forward.zip import ZIP
from core.work.machine import Heat, Pressing
from core.work.operation import Action, MeasurePlace, Operation, Stitching, sized
from core.work.scene import FoldedScene
from core.work.states import BOARD_IN, CORNERS, PRESSED, SIDES, TURNED, ZIP_OPEN, State

OVERCAST = State("the raw edges are overcast")
BASTE_OUT = State("the basting that shows is out")
ZIP_TRIMMED = State("the zip's ends are trimmed")
SIDES_TACKED = State("the ends of the side seams are tacked")


def finish_bag(bench: Bench) -> tuple[Operation, ...]:
    """From the last seam to the finished bag."""
    basted = bench.layered or Pocket.SLOT in bench.bag.parts
    return (
        _overcast(bench),
        *((_take_out_basting(bench),) if basted else ()),
        _turn(bench),
        _press(bench),
        _measure(bench),
    )


def closed_states(bench: Bench) -> tuple[State, ...]:
    """Every seam that closes the bag."""
    corners = tuple(CORNERS.values()) if bench.panel.has_corners else ()
    return (*SIDES.values(), *corners)


def _overcast(bench: Bench) -> Operation:
    return Operation(
        key="overcast seam allowances",
        edges=_raw_edges(bench),
        action=Action.OVERCAST,
        title=say("Overcast the raw edges inside"),
        instructions=(
            say("Sew a zigzag over the raw edges of the side seams, all layers together.")
            if not bench.panel.has_corners
            else say(
                "Sew a zigzag over the raw edges of the side seams and the corner seams, all "
                "layers together."
            ),
            say("Start and end at the raw edge, not on the seam."),
        ),
        why=say("The allowances stay visible inside the bag and would fray or shed."),
        check=say("The needle swings just over the edge and does not cross the seam itself."),
        needs=closed_states(bench),
        until=(TURNED,),
        measures=bench.second_rows_measures,
        makes=(OVERCAST,),
        pieces=bench.walls,
        setting=bench.overcast,
        stitching=_oversewn(bench),
        without_change=bench.second_row,
        scene=FoldedScene.UNDER if bench.panel.has_corners else FoldedScene.FOLDED,
    )


def _oversewn(bench: Bench) -> tuple[Stitching, ...]:
    seams = {"side": SeamRole.SIDE}
    if bench.panel.has_corners:
        seams["corner"] = SeamRole.CORNER
    return tuple(
        Stitching(
            f"overcasting the {kind} seams",
            bench.seam_length(role),
            2 * bench.wall,
        )
        for kind, role in seams.items()
    )


def _raw_edges(bench: Bench) -> tuple[EdgeRef, ...]:
    """What lies in the side seams and corner seams, but for the zip."""
    return tuple(
        ref
        for seam in bench.draft.seams
        if seam.neatened
        for ref in seam.one + seam.other
        if ref.piece.role is PieceRole.WALL
    )


def _take_out_basting(bench: Bench) -> Operation:
    first = say("Pull out every basting stitch that can be seen on the right side.")
    if bench.layered and not bench.baste_hides:
        first = say(
            "Pull out the basting line all round: at {baste_line} from the edge it is "
            "outside the narrowest seam allowance, {narrowest}, and shows.",
            baste_line=bench.bag.sandwich.baste_line,
            narrowest=bench.narrowest,
        )
    return Operation(
        key="take out basting",
        action=Action.UNPICK,
        title=say("Take out the basting that shows"),
        instructions=(first, say("Basting inside the seam allowances may stay.")),
        check=say("Look inside the bag along every seam, where its right side is."),
        caution=say("Snip every few stitches and pull out the pieces; never pull hard at a seam."),
        needs=closed_states(bench),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, baste_line=bench.bag.sandwich.baste_line),
            *sized(MeasurePlace.DERIVED, narrowest=bench.narrowest),
        ),
        makes=(BASTE_OUT,),
        pieces=bench.walls,
        edges=_raw_edges(bench),
        scene=FoldedScene.UNDER if bench.panel.has_corners else FoldedScene.FOLDED,
    )


def _turn(bench: Bench) -> Operation:
    through = "zip" if bench.zipped else "top"
    do = [
        say("Reach in through the half that is open, and open the zip all the way.")
        if bench.zipped
        else say("Reach in through the top."),
        say(
            "Pull the bag right side out through the {through}, bottom first.",
            words={"through": through},
        ),
    ]
    if bench.panel.has_corners:
        do.append(say("Push the corners out from inside with something blunt."))
    return Operation(
        key="turn bag",
        action=Action.TURN,
        title=say("Turn the bag right side out"),
        instructions=tuple(do),
        check=say("No seam gapes and no raw edge shows; repair any weak place now."),
        needs=(*closed_states(bench), *((ZIP_OPEN,) if bench.zipped else ())),
        after=(OVERCAST, BASTE_OUT, ZIP_TRIMMED, SIDES_TACKED),
        makes=(TURNED,),
        pieces=(*bench.walls, ZIP) if bench.zipped else bench.walls,
        scene=FoldedScene.SEWN,
    )


def _press(bench: Bench) -> Operation:
    caution: Sentence | None = None
    if bench.melting:
        template = "A hot iron damages {goods}: use a cool iron and a press cloth."
        if bench.layered and bench.bag.sandwich.layers[-1].melts:
            template = (
                "A hot iron damages {goods}: use a cool iron and a press cloth, and never "
                "iron the lining side."
            )
        caution = say(template, words={"goods": listed(bench.melting)})
    return Operation(
        key="press bag",
        action=Action.PRESS,
        title=say("Press the bag"),
        instructions=(
            say("Set the iron down on the seams and the top and lift it again; do not slide it."),
        ),
        why=_why_now(bench),
        caution=caution,
        needs=(TURNED,),
        until=(BOARD_IN,),
        makes=(PRESSED,),
        pieces=bench.walls,
        pressing=Pressing(Heat.COOL, cloth=True) if bench.melting else bench.wall_iron,
        scene=FoldedScene.SEWN,
    )


def _why_now(bench: Bench) -> Sentence | None:
    """A board that is laid in goes in cold; one that is fused on is there already."""
    board = BaseBoard.of(bench.bag.parts)
    if board is None:
        return None
    if board.way is BoardWay.LAID_IN:
        return say("Before the board goes in: it would warp under the iron.")
    return say("Keep the iron off the bottom: the board in it may warp or come loose.")


def _measure(bench: Bench) -> Operation:
    finished = bench.finished
    tolerance = _INCH_TOLERANCE if bench.bag.unit is Unit.INCH else _TOLERANCE
    do = [
        say(
            "Lay the bag flat: the opening is {opening_width} wide.",
            opening_width=finished["opening_width"] or 0.0,
        )
    ]
    sizes = [finished[name] or 0.0 for name in ("base_width", "gusset_depth", "face_height")]
    if not shorter(0.0, sizes[2] if not bench.panel.has_corners else min(sizes)):
        do.append(say("At these sizes it does not stand: its seams take up the whole bottom."))
    elif bench.panel.has_corners:
        do.append(
            say(
                "Stand it up: the bottom is {base_width} wide and {gusset_depth} deep, and each "
                "face {face_height} high.",
                base_width=finished["base_width"] or 0.0,
                gusset_depth=finished["gusset_depth"] or 0.0,
                face_height=finished["face_height"] or 0.0,
            )
        )
    else:
        do.append(
            say("Each face is {face_height} high.", face_height=finished["face_height"] or 0.0)
        )
    if bench.zipped:
        offset = finished["zip_offset"] or 0.0
        middle = say("The middle of the zip is {zip_offset} below the top fold.", zip_offset=offset)
        if not shorter(0.0, offset):
            middle = say("The middle of the zip lies on the top fold.")
        do.append(middle)
    return Operation(
        key="measure bag",
        action=Action.MEASURE,
        title=say("Measure the finished bag"),
        instructions=tuple(do),
        why=say("Thick layers take up a little: your measurements help to draw the next bag.")
        if bench.bag.take_up == NO_TAKE_UP
        else say("These are sewn sizes: the pattern is drawn larger by what the layers take up."),
        check=say(
            "Width, height and depth agree with these figures within {size_tolerance}.",
            size_tolerance=tolerance,
        ),
        needs=(TURNED,),
        after=(PRESSED, BOARD_IN),
        measures=(
            *sized(MeasurePlace.FINISHED, **{name: finished[name] or 0.0 for name in _MEASURED}),
            *sized(MeasurePlace.DERIVED, size_tolerance=tolerance),
        ),
        makes=(State("the bag is measured"),),
        pieces=bench.walls,
        scene=FoldedScene.SEWN,
    )


_MEASURED = ("opening_width", "base_width", "gusset_depth", "face_height", "zip_offset")
_TOLERANCE = 5.0
"""Usual for the height and width of handbags, mm (a factory's guide to handbag tolerances)."""
_INCH_TOLERANCE = 3 * 25.4 / 16
"""The same where inches are read."""
