"""Sewing a zip between the top edges of front and back. mm."""

from dataclasses import replace

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, SeamRole
from core.site.site import Finished
from core.space.zones import LineKind
from core.tops.hem.operations import tack_sides
from core.tops.zip_forward.diagrams import front_wall, laid_on_front
from core.tops.zip_forward.zip import ZipForward
from core.tops.zips.sewing import (
    CUT_OFF_LATER,
    ENDS,
    FRONT_EDGE,
    MARKED_ZIP,
    ZIP_OPEN,
    ZIP_SEAM,
    ZIP_TAPE,
    mark_zip,
    spare_foot,
)
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench, OpeningWork
from core.work.machine import TOP_STITCH, Foot, Setting, SewnAs
from core.work.operation import (
    Action,
    Measure,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    StitchPath,
    measured,
    sized,
)
from core.work.scene import FOLDED_FLAT, FoldedView
from core.work.states import TURNED, WALL, WRONG_SIDE_DONE, State

_RING_VIEW = FoldedView(share=0.3, yaw=38.0, pitch=24.0, wrong_side=True)
"""The wall rolled towards its zip."""
RING = State("the zip joins front and back")
_TRIMMED = State("the zip's ends are trimmed")
ON_FRONT = State("the zip is on the front")
FRONT_STITCHED = State("the front is topstitched at the zip")
BACK_STITCHED = State("the back is topstitched at the zip")
ENDS_HELD = State("the zip's ends are held together")


def zip_operations(bench: Bench, zip_: ZipForward) -> tuple[Operation, ...]:
    """From marking it to cutting its ends off."""
    return (
        mark_zip(bench, zip_, FRONT_EDGE, bench.walls, CUT_OFF_LATER),
        _join_front(bench),
        _topstitch(bench, Face.FRONT),
        _join_back(bench),
        _open(bench),
        _topstitch(bench, Face.BACK),
        _hold_ends(bench),
        _trim_ends(bench),
        _tack(bench),
    )


def _zip_lines(bench: Bench, face: Face) -> Stitching:
    length = bench.raw_length(SeamRole.MOUTH, face)
    return Stitching(mark("zip seams"), length, bench.wall + ZIP_TAPE)


def _join_front(bench: Bench) -> Operation:
    return Operation(
        key="join zip front",
        action=Action.JOIN,
        phase=Phase.TOP,
        title=say("Join the zip to the front"),
        instructions=(
            say(
                "Lay the closed zip right side down on the right side of the front, its "
                "tape level with the top edge, matching the centres and the marks at the "
                "ends."
            ),
            say(
                "Sew {zip_seam} from the edge, from one end of the edge to the other.",
                zip_seam=bench.site.front.top_allowance,
            ),
        ),
        why=say("The front comes first because its edge is the one that shows."),
        check=say(
            "The stitch line is straight and nowhere closer to the teeth than the "
            "presser foot allows."
        ),
        needs=(WALL, MARKED_ZIP),
        until=(RING, ZIP_OPEN),
        measures=(
            bench.down(
                "zip_seam", bench.site.front.top_allowance, Face.FRONT, x=bench.site.front.width
            ),
            *sized(MeasurePlace.WITHOUT_CHANGE, room=bench.site.shows / 2),
        ),
        makes=(ON_FRONT,),
        pieces=(bench.faces[Face.FRONT], ZIP),
        seams=bench.seam_ids(SeamRole.MOUTH, Face.FRONT),
        setting=ZIP_SEAM,
        stitching=(_zip_lines(bench, Face.FRONT),),
        allowance=bench.site.front.top_allowance,
        without_change=spare_foot(bench.site.shows),
        scene=laid_on_front(
            bench, front_wall(bench).bounds[3] - bench.site.front.top_allowance, joins=True
        ),
    )


def _join_back(bench: Bench) -> Operation:
    lay = say(
        "Roll the {body} up, right side inside, until the back's top edge lies on the "
        "other tape: right side of the back on the right side of the closed zip.",
        terms={"body": bench.site.body},
    )
    if bench.faces[Face.FRONT] != bench.faces[Face.BACK] and not bench.closing.joined:
        lay = say(
            "Lay the back's top edge on the other tape: right side of the back on the right side "
            "of the closed zip."
        )
    return Operation(
        key="join zip back",
        action=Action.JOIN,
        phase=Phase.TOP,
        title=say("Join the zip to the back"),
        instructions=(
            lay,
            say("Match the centres and the marks at the ends, and pin from the middle outwards."),
            say("Sew {zip_seam} from the edge.", zip_seam=bench.site.front.top_allowance),
        ),
        why=say("The zip is closed so that front and back come out level."),
        check=say(
            "The zip joins the {body} at the top; at both ends front and back are level.",
            terms={"body": bench.site.body},
        ),
        needs=(ON_FRONT,),
        until=(ZIP_OPEN, *bench.closing.flat_ends),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, zip_seam=bench.site.front.top_allowance),
            *sized(MeasurePlace.WITHOUT_CHANGE, room=bench.site.shows / 2),
        ),
        makes=(RING,),
        pieces=(bench.faces[Face.BACK], ZIP),
        seams=bench.seam_ids(SeamRole.MOUTH, Face.BACK),
        setting=ZIP_SEAM,
        stitching=(_zip_lines(bench, Face.BACK),),
        allowance=bench.site.front.top_allowance,
        without_change=spare_foot(bench.site.shows),
        scene=_RING_VIEW,
    )


def _topstitch(bench: Bench, face: Face) -> Operation:
    front = face is Face.FRONT
    run = _top_run(bench, face)
    # The allowance is folded back beneath, as far as it reaches.
    walls = 2 if bench.near_edge < bench.site.front.top_allowance else 1
    stack = walls * bench.wall + ZIP_TAPE
    title, fold, stitch = _TOPSTITCHED[face]
    return Operation(
        key=f"topstitch zip {face.value}",
        action=Action.TOPSTITCH,
        phase=Phase.TOP,
        title=say(title),
        instructions=(say(fold), say(stitch, edge_distance=bench.near_edge)),
        why=say("It keeps the wall and its layers out of the slider's way."),
        check=say("The slider runs freely past the stitching."),
        needs=(ON_FRONT,) if front else (RING, ZIP_OPEN),
        until=(RING,) if front else bench.closing.flat_ends,
        measures=_from_fold(bench, run)
        if front
        else sized(MeasurePlace.FROM_EDGE, edge_distance=bench.near_edge),
        makes=(FRONT_STITCHED,) if front else (BACK_STITCHED,),
        pieces=(bench.faces[face], ZIP),
        paths=(run,),
        edges=(EdgeRef(ZIP, EdgeId(EdgeRole.TAPE, face)),),
        setting=Setting(length=TOP_STITCH, foot=Foot.ZIP),
        stitching=(Stitching(mark("topstitching along the zip"), run.length, stack),),
        without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
        scene=laid_on_front(bench, run.points[0][1], joins=False) if front else _RING_VIEW,
    )


_TOPSTITCHED = {
    Face.FRONT: (
        mark("Topstitch the front along the zip"),
        mark("Fold the front away from the zip, right side up: the tape then lies under it."),
        mark("Topstitch on the front, {edge_distance} from the fold, from end to end."),
    ),
    Face.BACK: (
        mark("Topstitch the back along the zip"),
        mark(
            "With the zip open the edge of the back is free. Fold it away from the zip, right side "
            "up: the tape then lies under it."
        ),
        mark("Topstitch on the back, {edge_distance} from the fold, from end to end."),
    ),
}
"""Title, and what is done."""


def _from_fold(bench: Bench, run: StitchPath) -> tuple[Measure, ...]:
    """From the fold at the front's zip seam down to its topstitching."""
    x, y = run.points[-1]
    fold = y + bench.near_edge
    return (measured("edge_distance", bench.near_edge, run.piece, (x, fold), (x, y)),)


def _top_run(bench: Bench, face: Face) -> StitchPath:
    """From raw edge to raw edge, beside the fold that the zip seam makes."""
    ref = EdgeRef(bench.faces[face], EdgeId(EdgeRole.TOP, face))
    fold = bench.draft.outlines[ref.piece].line(ref.edge)[0][1]
    edge = bench.draft.piece(ref.piece).edge(ref.edge)
    y = fold + (-bench.near_edge if face is Face.FRONT else bench.near_edge)
    return StitchPath(ref.piece, ((edge.start[0], y), (edge.end[0], y)))


def _open(bench: Bench) -> Operation:
    return Operation(
        key="open zip",
        action=Action.OPEN,
        phase=Phase.TOP,
        title=say("Open the zip"),
        instructions=(
            say("Open the zip all the way: it stays at least half open until the bag is turned."),
        ),
        why=say("Once the sides are sewn, the open zip is the only way to turn the bag."),
        needs=(RING,),
        makes=(ZIP_OPEN,),
        pieces=(ZIP,),
        paths=(StitchPath(ZIP, bench.draft.piece(ZIP).marks[0].points),),
        scene=replace(_RING_VIEW, new_lines=frozenset({LineKind.TEETH})),
    )


def _hold_ends(bench: Bench) -> Operation:
    return Operation(
        key="baste zip ends",
        action=Action.BASTE,
        phase=Phase.TOP,
        title=say("Hold the zip's ends together"),
        instructions=(
            say("Draw the slider back to the middle: half of the zip stays open."),
            say(
                "At both ends lay the two tapes edge to edge as if closed, and sew them together "
                "by hand with a few stitches, within {side_seam} of the side edge.",
                side_seam=bench.site.front.side_allowance,
            ),
        ),
        why=say("An open zip spreads, and the side seam would fix it in that position."),
        check=say("The slider is in the middle, well between the two side edges."),
        caution=say("A slider left at a spare end would be cut off with it."),
        needs=(ZIP_OPEN,),
        after=(BACK_STITCHED,),
        until=bench.closing.flat_ends,
        measures=sized(MeasurePlace.FROM_EDGE, side_seam=bench.site.front.side_allowance),
        makes=(ENDS_HELD,),
        pieces=(ZIP,),
        edges=ENDS,
        scene=_RING_VIEW,
    )


def _trim_ends(bench: Bench) -> Operation:
    return Operation(
        key="cut zip ends",
        action=Action.CUT,
        phase=Phase.TOP,
        title=say("Trim the zip's ends"),
        instructions=(say("Trim both ends of the zip level with the raw side edges."),),
        check=say("The side seam crosses the tape and the teeth without a skipped stitch."),
        caution=say(
            "Metal teeth blunt good scissors. Make sure that the slider is not in the part cut off."
        ),
        needs=bench.closing.sides,
        after=(ENDS_HELD,),
        until=(TURNED,),
        makes=(_TRIMMED, WRONG_SIDE_DONE),
        pieces=(ZIP,),
        edges=ENDS,
        scene=FOLDED_FLAT,
    )


def _tack(bench: Bench) -> Operation:
    return tack_sides(
        bench,
        say("Bar-tack the ends of the zip"),
        say(
            "On each side sew a bar tack {tack_length} long across the zip's tape, just outside "
            "the side seam, within its allowance. Turn the hand wheel where the needle crosses "
            "the teeth.",
            tack_length=bench.tack_length,
        ),
        label=mark("bar tacks at the zip's ends"),
        stack=2 * bench.wall + 2 * ZIP_TAPE,
        edges=ENDS,
        pieces=(ZIP,),
        after=(_TRIMMED,),
    )


def zip_opening(drawn: Finished, finished: Finished) -> OpeningWork:
    """What a zip asks and gives while the bag is closed."""
    flat, sewn = drawn["zip_offset"] or 0.0, finished["zip_offset"] or 0.0
    fold = say(
        "Fold the bag wrong side out at the bottom and at the top. At the top fold the back "
        "comes forward: the middle of the zip lies {zip_offset} below the fold, on the front.",
        zip_offset=flat,
    )
    if not shorter(0.0, flat):
        fold = say(
            "Fold the bag wrong side out at the bottom and at the top: at the top the fold "
            "runs along the middle of the zip."
        )
    middle = say("The middle of the zip is {zip_offset} below the top fold.", zip_offset=sewn)
    if not shorter(0.0, sewn):
        middle = say("The middle of the zip lies on the top fold.")
    return OpeningWork(
        before_folding=(RING, ZIP_OPEN),
        way_out=(ZIP_OPEN,),
        flat_ends=(RING,),
        edges_turned=(ON_FRONT,),
        pieces=(ZIP,),
        fold=fold,
        side=say("Turn the hand wheel where the needle crosses the zip's tape."),
        why_side=say("The zip stays open: the bag is turned through it once both sides are sewn."),
        turn=(
            say("Reach in through the half that is open, and open the zip all the way."),
            say("Pull the bag right side out through the zip, bottom first."),
        ),
        put_in=mark(
            "Slip the board, {board_width} x {board_depth}, in through the zip and lay it flat on "
            "the bottom."
        ),
        measure=middle,
        folding_measures=sized(MeasurePlace.FINISHED, zip_offset=flat),
        finished_measures=sized(MeasurePlace.FINISHED, zip_offset=sewn),
        pierced=(mark("zip"),),
        pierces_all=mark(
            "Laid in last, it has no needle holes except at the seams. The {seams} seams still "
            "pierce it: there it lets water through."
        ),
    )
