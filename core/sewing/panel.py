"""Sewing the panel: its corner cuts, its bottom, its sides and its corners. mm."""

from core.base.sentences import Sentence, listed, mark, say
from core.base.tolerance import shorter
from core.flat import roles
from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, PieceId, SeamRole, Side
from core.parts.crossings import Allowances
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.sewing.bench import Bench
from core.tops.zip_forward.zip import ZIP
from core.work.operation import (
    Action,
    Measure,
    MeasurePlace,
    Operation,
    Stitching,
    StitchPath,
    measured,
    sized,
)
from core.work.scene import FoldedScene
from core.work.states import (
    BASE,
    BOTTOM,
    BOTTOM_OVERCAST,
    CORNERS,
    FOLDED,
    HANDLES_LAID,
    HEMMED,
    LINED,
    NOT_FLAT,
    OUTLINE_CUT,
    RING,
    SIDES,
    STOPS_SEWN,
    TURNED,
    WALL,
    ZIP_OPEN,
    pocket_state,
)


def cut_corners(bench: Bench) -> tuple[Operation, ...]:
    """The corner cuts, through all layers."""
    panel = bench.panel
    if not panel.has_corners:
        return ()
    edges = tuple(
        EdgeRef(piece.id, edge.id)
        for piece in bench.draft.walls
        for edge in piece.edges
        if edge.id.role in (EdgeRole.CORNER, EdgeRole.CORNER_END)
    )
    cuts = say(
        "Cut the {count} corners out along their lines, {corner_cut_width} x "
        "{corner_cut_depth} on each face, through all layers at once.",
        words={"count": "four"},
        corner_cut_width=panel.corner_width,
        corner_cut_depth=panel.corner_depth,
    )
    if panel.folded:
        cuts = say(
            "At both ends of the bottom fold cut the corners out along their lines, through all "
            "layers at once: each notch is {corner_cut_width} deep and {notch} long, "
            "{corner_cut_depth} to either side of the fold.",
            corner_cut_width=panel.corner_width,
            corner_cut_depth=panel.corner_depth,
            notch=2 * panel.corner_depth,
        )
    if not bench.cuts_corners:
        cuts = _no_area(bench)
    return (
        Operation(
            key="cut corner cuts",
            action=Action.CUT,
            title=say("Cut out the corners"),
            instructions=(cuts,),
            why=say("Cut together, all layers match, and the edges of the corner seam meet."),
            check=say("All corners are square and of the same size."),
            caution=say("Do not cut into the basting line: it holds the layers at the corner.")
            if bench.layered and bench.cuts_corners
            else None,
            needs=(WALL,),
            until=NOT_FLAT,
            measures=_corner_sizes(bench),
            makes=(OUTLINE_CUT,),
            pieces=bench.walls,
            edges=edges,
        ),
    )


def _corner_sizes(bench: Bench) -> tuple[Measure, ...]:
    """Of the corner cuts: across at the left, down at the right."""
    panel, name = bench.panel, bench.walls[0]
    low = 0.0 if panel.folded else bench.draft.piece(name).bounds[1]
    right, wide, deep = panel.width, panel.corner_width, panel.corner_depth
    found = (
        measured("corner_cut_width", wide, name, (0.0, low + deep), (wide, low + deep)),
        measured("corner_cut_depth", deep, name, (right, low), (right, low + deep)),
    )
    if not panel.folded:
        return found
    return (*found, measured("notch", 2 * deep, name, (0.0, -deep), (0.0, deep)))


def sew_bottom(bench: Bench) -> tuple[Operation, ...]:
    """The bottom seam, where front and back are two pieces."""
    panel = bench.panel
    if panel.folded:
        return ()
    do = [
        say(
            "Lay front and back right sides together and sew the bottom edges, "
            "{bottom_seam} from the edge.",
            bottom_seam=panel.bottom_seam,
        ),
        say("Press the seam open."),
    ]
    if bench.lining_last:
        lining = listed([layer.role for layer in bench.last_laid])
        do.append(
            say(
                "Join the two pieces of the {lining} at the bottom in the same way, "
                "separately, and finger-press the seam open.",
                words={"lining": lining},
            )
        )
    return (
        Operation(
            key="join bottom seam",
            action=Action.JOIN,
            title=say("Join front and back at the bottom"),
            instructions=tuple(do),
            why=say("Parts that are sewn on later may run across the bottom."),
            check=say("The two bottom edges end level at the corner cuts.")
            if panel.has_corners and not bench.lining_last
            else say("Both ends of the bottom edges are level."),
            needs=(BASE,),
            after=() if bench.lining_last else (OUTLINE_CUT,),
            until=(LINED, *NOT_FLAT),
            measures=(
                measured(
                    "bottom_seam",
                    panel.bottom_seam,
                    bench.walls[0],
                    (panel.width, -panel.bottom_seam),
                    (panel.width, 0.0),
                ),
            ),
            makes=(BOTTOM,),
            pieces=bench.walls,
            seams=bench.seam_ids(SeamRole.BOTTOM),
            # Before a lining is in, the corners are not cut out yet: it is sewn all across.
            paths=(StitchPath(bench.walls[0], ((0.0, 0.0), (panel.width, 0.0))),)
            if bench.lining_last
            else (),
            setting=bench.seam,
            stitching=_bottom_lines(bench),
            allowance=panel.bottom_seam,
            pressing=bench.base_iron,
        ),
        # A lining laid in last hides the raw edges, its own among them.
        *(() if bench.lining_last else (_overcast_bottom(bench),)),
    )


def _bottom_lines(bench: Bench) -> tuple[Stitching, ...]:
    length = bench.panel.width if bench.lining_last else bench.raw_length(SeamRole.BOTTOM)
    outer = Stitching("bottom seam", length, 2 * bench.base)
    if not bench.lining_last:
        return (outer,)
    return (outer, Stitching("bottom seam of the lining", length, 2 * (bench.wall - bench.base)))


def _overcast_bottom(bench: Bench) -> Operation:
    edges = tuple(bench.panel.ref(face, EdgeId(EdgeRole.BOTTOM, face)) for face in FACES)
    return Operation(
        key="overcast bottom seam",
        action=Action.OVERCAST,
        title=say("Overcast the bottom seam's raw edges"),
        instructions=(
            say(
                "Sew a zigzag over the raw edge of each allowance separately, with the "
                "panel folded out of the way."
            ),
        ),
        why=say("The edges stay visible inside the bag and can no longer be reached later."),
        check=say("The seam is still pressed open."),
        needs=(BOTTOM,),
        until=(HANDLES_LAID, *NOT_FLAT),
        measures=bench.second_rows_measures,
        makes=(BOTTOM_OVERCAST,),
        pieces=bench.walls,
        edges=edges,
        setting=bench.overcast,
        stitching=(
            Stitching(
                "overcasting the bottom seam", 2 * bench.raw_length(SeamRole.BOTTOM), bench.wall
            ),
        ),
        without_change=bench.second_row,
    )


def close_bag(bench: Bench) -> tuple[Operation, ...]:
    """Folding the bag wrong side out, its side seams and its boxed corners."""
    return (
        _fold(bench),
        *(_side(bench, side) for side in roles.SIDES),
        *(_corner(bench, side) for side in roles.SIDES if bench.panel.has_corners),
    )


def _no_area(bench: Bench) -> Sentence:
    """A corner cut without width or depth: at most a slit along the fold."""
    panel = bench.panel
    if panel.folded and shorter(0.0, panel.corner_width):
        return say(
            "At both ends of the bottom fold slit the fold open through all layers at "
            "once, {corner_cut_width} inwards from the side edge: nothing is cut away.",
            corner_cut_width=panel.corner_width,
        )
    return say("Nothing is cut away at the corners: the corner cut has no width or no depth.")


def _fold(bench: Bench) -> Operation:
    first = say("Fold the bag in half at the bottom, right sides together, top edges level.")
    if bench.zipped:
        first = say(
            "Fold the bag wrong side out at the bottom and at the top. At the top fold the back "
            "comes forward: the middle of the zip lies {zip_offset} below the fold, on the front.",
            zip_offset=bench.drawn["zip_offset"] or 0.0,
        )
        if not shorter(0.0, bench.drawn["zip_offset"] or 0.0):
            first = say(
                "Fold the bag wrong side out at the bottom and at the top: at the top the fold "
                "runs along the middle of the zip."
            )
    pocket = Pocket.of(bench.bag.parts)
    caught = tuple(
        pocket_state(face, "caught at its sides") for face in (pocket.faces.faces if pocket else ())
    )
    return Operation(
        key="fold bag",
        action=Action.FOLD,
        title=say("Fold the bag wrong side out"),
        instructions=(first, say("Pin or clip both sides from the fold at the top to the corner.")),
        why=say("Everything that is sewn on flat must be in place by now."),
        check=say("The raw side edges are level, and the loose handles are inside, clear of them.")
        if Handles.SLOT in bench.bag.parts
        else say("The raw side edges are level."),
        needs=(RING, ZIP_OPEN) if bench.zipped else (HEMMED,),
        after=(BOTTOM, OUTLINE_CUT, STOPS_SEWN, *caught),
        measures=sized(MeasurePlace.FINISHED, zip_offset=bench.drawn["zip_offset"] or 0.0)
        if bench.zipped
        else (),
        makes=(FOLDED,),
        pieces=_bag_pieces(bench),
        edges=()
        if bench.panel.folded
        else (bench.panel.ref(Face.FRONT, EdgeId(EdgeRole.BOTTOM, Face.FRONT)),),
        scene=FoldedScene.FOLDED,
    )


def _bag_pieces(bench: Bench) -> tuple[PieceId, ...]:
    return (*bench.walls, ZIP) if bench.zipped else bench.walls


def _side(bench: Bench, side: Side) -> Operation:
    walked = bench.walked(SeamRole.SIDE, side=side)
    caught = tuple(dict.fromkeys(ref.piece for ref in walked.seam.caught))
    do = [
        say(
            _SIDE_SEWN[side],
            side_seam=bench.panel.side_seam,
            seam_length=walked.length,
        ),
        say("Backstitch at both ends."),
    ]
    if caught:
        do.insert(1, say("The pocket's side is caught in the seam."))
    if bench.zipped:
        do.insert(1, say("Turn the hand wheel where the needle crosses the zip's tape."))
    last = side is Side.RIGHT
    return Operation(
        key=f"join side seam {side.value}",
        action=Action.JOIN,
        title=say(_SIDE_TITLES[side]),
        instructions=tuple(do),
        why=say("The zip stays open: the bag is turned through it once both sides are sewn.")
        if bench.zipped
        else None,
        check=say("The corner edges are level, and nothing else was caught."),
        caution=say(
            "Two walls go under the presser foot, {stack} thick when pressed.",
            stack=2 * bench.bag.sandwich.pressed,
        ),
        needs=(FOLDED, SIDES[Side.LEFT], *((ZIP_OPEN,) if bench.zipped else ()))
        if last
        else (FOLDED,),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, side_seam=bench.panel.side_seam),
            *sized(MeasurePlace.SEAM, seam_length=walked.length),
            *sized(MeasurePlace.DERIVED, stack=2 * bench.bag.sandwich.pressed),
        ),
        makes=(SIDES[side],),
        pieces=(*_bag_pieces(bench), *caught),
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(Stitching("side seams", max(walked.length, 0.0), 2 * bench.wall),),
        allowance=bench.panel.side_seam,
        scene=FoldedScene.FOLDED,
    )


def _corner(bench: Bench, side: Side) -> Operation:
    walked = bench.walked(SeamRole.CORNER, side=side)
    opened = bench.side_allowances is Allowances.OPEN
    stack = bench.walls_at_corner * bench.bag.sandwich.pressed
    return Operation(
        key=f"join corner seam {side.value}",
        action=Action.JOIN,
        title=say(_CORNER_TITLES[side]),
        instructions=(
            say(
                _CORNER_OPENED[side],
            ),
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
                corner_seam=bench.panel.corner_seam,
                gusset_depth=walked.mate_length,
            ),
        ),
        why=say(
            "This makes the bottom {gusset_depth} deep, front to back.",
            gusset_depth=walked.mate_length,
        ),
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
            *sized(MeasurePlace.FROM_EDGE, corner_seam=bench.panel.corner_seam),
            *sized(MeasurePlace.SEAM, gusset_depth=walked.mate_length),
            *sized(MeasurePlace.DERIVED, stack=stack),
        ),
        makes=(CORNERS[side],),
        pieces=bench.walls,
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(
            Stitching("corner seams", max(walked.length, walked.mate_length, 0.0), 2 * bench.wall),
        ),
        allowance=bench.panel.corner_seam,
        pressing=bench.wall_iron if opened else None,
        scene=FoldedScene.UNDER,
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
