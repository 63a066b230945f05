"""Sewing a zip between two half strips, and these to what they close. mm."""

from dataclasses import replace

from core.base.sentences import Sentence, mark, say
from core.flat.roles import SIDES, EdgeRef, Face, PieceId, SeamId, SeamRole, Side
from core.site.site import Mouth
from core.space.zones import LineKind
from core.tops.top_strip.cutting import cut_pieces
from core.tops.top_strip.diagrams import strip_diagram
from core.tops.top_strip.offset import OFFSET_LID, told_apart, which_end
from core.tops.top_strip.strip import (
    TAB,
    TopStrip,
    half_piece,
    place_of,
)
from core.tops.top_strip.tabs import LID, RING, TABBED, TRIMMED, tab_operations
from core.tops.zips.sewing import (
    CUT_OFF_BEFORE,
    ENDS,
    MARKED_ZIP,
    ZIP_OPEN,
    ZIP_SEAM,
    ZIP_TAPE,
    mark_zip,
    spare_foot,
)
from core.tops.zips.zipped import ZIP, tape_edge
from core.work.bench import Bench, OpeningWork
from core.work.machine import TOP_STITCH, Foot, Setting, SewnAs
from core.work.operation import (
    Action,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    StitchPath,
    sized,
)
from core.work.scene import FoldedView
from core.work.states import TURNED, WALL, WRONG_SIDE_DONE, State

_ON_HALF, _STITCHED = State("the zip is on a half strip"), State("a half strip is topstitched")
_EDGE = mark("half strip's long edge")


def strip_operations(bench: Bench, strip: TopStrip) -> tuple[Operation, ...]:
    """From cutting its pieces to the ring, or the lid, with its zip open."""
    faces = place_of(bench.site.mouth).faces
    halves = tuple(map(half_piece, faces))
    ring = bench.site.mouth.ring is not None
    return (
        *cut_pieces(bench, strip, halves),
        mark_zip(bench, strip, _EDGE, halves, CUT_OFF_BEFORE),
        *(_join(bench, strip, face) for face in faces),
        *(_topstitch(bench, strip, face) for face in faces),
        _trim_ends(bench, strip),
        *tab_operations(bench, strip),
        *(tuple(_close(bench, strip, side) for side in SIDES) if ring else ()),
        *((_tack(bench),) if ring else ()),
        _open(bench),
        *(() if ring else (_sew_lid(bench, strip),)),
    )


def strip_opening(strip: TopStrip, mouth: Mouth) -> OpeningWork:
    """What it asks and gives while the bag is closed."""
    ring = mouth.ring is not None
    return OpeningWork(
        before_folding=(RING,) if ring else (),
        way_out=(ZIP_OPEN,) if ring else (LID, ZIP_OPEN),
        flat_ends=(RING,) if ring else (),
        edges_turned=(RING,) if ring else (LID,),
        pieces=(*map(half_piece, place_of(mouth).faces), ZIP),
        told_apart=told_apart(mouth) if strip.shift else {},
        fold=say("Lay the walls right sides together, matching the notches."),
        lid_seam=None if ring else mouth.allowance,
        why_side=say("The zip stays open: the bag is turned through it once all seams are sewn."),
        turn=(
            say("Reach in through the zip, and open it all the way."),
            say("Pull the bag right side out through the zip, corner by corner."),
        ),
        put_in=mark(
            "Slip the board, {board_width} x {board_depth}, in through the zip and lay it flat on "
            "the bottom."
        ),
        pierced=(mark("zip"),),
        pierces_all=mark(
            "Laid in last, it has no needle holes except at the seams. The {seams} seams still "
            "pierce it: there it lets water through."
        ),
    )


def _join(bench: Bench, strip: TopStrip, face: Face) -> Operation:
    mouth = bench.site.mouth
    faces, seam, shows = place_of(mouth).faces, mouth.allowance, strip.zip_shows(mouth)
    first = face is faces[0]
    half = bench.draft.piece(half_piece(face))
    lay = (
        say(
            "Lay the closed zip right side down on the right side of the {piece}, its tape level "
            "with the edge.",
            terms={"piece": half.label},
        ),
        say("Match the middles and the marks at the ends."),
    )
    if not first:
        lay = (
            say(
                "Lay the other tape of the closed zip on the {piece} in the same way, right sides "
                "together.",
                terms={"piece": half.label},
            ),
            say("The ends of both half strips are level."),
        )
    scene = strip_diagram(
        bench, strip, faces[:1] if first else faces, new=(face,), told={"zip_seam": seam}
    )
    return Operation(
        key=f"join zip {face.value}",
        action=Action.JOIN,
        phase=Phase.TOP,
        title=say("Join the zip to the {piece}", terms={"piece": half.label}),
        instructions=(
            *lay,
            say("Sew {zip_seam} from the edge, from end to end.", zip_seam=seam),
        ),
        check=say(
            "The stitch line is straight and nowhere closer to the teeth than the presser foot "
            "allows."
        ),
        needs=(WALL, MARKED_ZIP, *(() if first else (_ON_HALF.for_(faces[0]),))),
        until=(RING, LID, ZIP_OPEN),
        measures=(
            *sized(MeasurePlace.DIAGRAM, zip_seam=seam),
            *sized(MeasurePlace.WITHOUT_CHANGE, room=shows / 2),
        ),
        makes=(_ON_HALF.for_(face),),
        pieces=(half.id, ZIP),
        seams=(SeamId("top", SeamRole.ZIP, face),),
        setting=ZIP_SEAM,
        stitching=(Stitching(mark("zip seams"), half.width, bench.wall + ZIP_TAPE),),
        allowance=seam,
        without_change=spare_foot(shows),
        scene=scene,
    )


def _topstitch(bench: Bench, strip: TopStrip, face: Face) -> Operation:
    mouth = bench.site.mouth
    faces, near = place_of(mouth).faces, bench.near_edge
    first = face is faces[0]
    half = bench.draft.piece(half_piece(face))
    walls = 2 if near < mouth.allowance else 1
    scene = strip_diagram(
        bench,
        strip,
        faces,
        topstitched=(face,) if first else faces,
        new=(face,),
        told={"edge_distance": near},
    )
    return Operation(
        key=f"topstitch zip {face.value}",
        action=Action.TOPSTITCH,
        phase=Phase.TOP,
        title=say("Topstitch the {piece} along the zip", terms={"piece": half.label}),
        instructions=(
            say("Fold it away from the zip, right side up: the tape then lies under it."),
            say("Topstitch on it, {edge_distance} from the fold, end to end.", edge_distance=near),
        ),
        why=say("It keeps the wall and its layers out of the slider's way."),
        check=say("The slider runs freely past the stitching."),
        needs=(_ON_HALF.for_(faces[1]), *(() if first else (_STITCHED.for_(faces[0]),))),
        until=(RING, LID),
        measures=sized(MeasurePlace.DIAGRAM, edge_distance=near),
        makes=(_STITCHED.for_(face),),
        pieces=(half.id, ZIP),
        edges=(tape_edge(face),),
        setting=Setting(length=TOP_STITCH, foot=Foot.ZIP),
        stitching=(
            Stitching(
                mark("topstitching along the zip"), half.width, walls * bench.wall + ZIP_TAPE
            ),
        ),
        without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
        scene=scene,
    )


def _trim_ends(bench: Bench, strip: TopStrip) -> Operation:
    faces = place_of(bench.site.mouth).faces
    return Operation(
        key="cut zip ends",
        action=Action.CUT,
        phase=Phase.TOP,
        title=say("Trim the zip's ends"),
        instructions=(
            say("Draw the slider to the middle. Lay the two tapes edge to edge at both ends."),
            say(
                "Sew them together by hand with a few stitches, then trim both ends of the zip "
                "level with the half strips."
            ),
        ),
        check=say("Zip and half strips end on one straight line at both ends."),
        caution=say(
            "Metal teeth blunt good scissors. Make sure that the slider is not in the part cut off."
        ),
        needs=tuple(_STITCHED.for_(face) for face in faces),
        until=(RING, LID),
        makes=(TRIMMED,),
        pieces=(ZIP, *map(half_piece, faces)),
        edges=ENDS,
        scene=strip_diagram(bench, strip, faces, topstitched=faces, told={}, ends=True),
    )


def _close(bench: Bench, strip: TopStrip, side: Side) -> Operation:
    ring = bench.site.mouth.ring
    assert ring is not None
    seam = SeamId("top", SeamRole.STRIP, side=side)
    length, end = ring.depth + 2 * ring.seam, ring.ends[side]
    title, do = _CLOSED[_face_at(end)]
    return Operation(
        key=f"join top strip {side.value}",
        action=Action.JOIN,
        phase=Phase.JOIN_FLAT,
        title=say(title),
        instructions=(
            say(do),
            *(which_end(bench.site.mouth, side) if strip.shift else ()),
            say(
                "Sew {strip_seam} from the edge, across the zip and its tab.",
                strip_seam=ring.end_seam,
            ),
            say("Turn the hand wheel where the needle crosses the teeth."),
            say("Press the seam open with your fingers: a hot iron harms a zip of plastic."),
        ),
        check=say("The long edges run on level, with no step at the seam."),
        needs=(WALL, TABBED),
        after=bench.closing.joined,
        until=bench.closing.flat_ends,
        measures=sized(MeasurePlace.FROM_EDGE, strip_seam=ring.end_seam),
        makes=(RING,),
        pieces=(end.piece, *_strip_pieces(bench)),
        seams=(seam,),
        setting=bench.seam,
        stitching=(
            Stitching(mark("joins of the top strip"), length, 2 * bench.wall + 2 * ZIP_TAPE),
        ),
        allowance=ring.end_seam,
        scene=_inside(_face_at(end)),
    )


def _face_at(end: EdgeRef) -> Face:
    """What the strip makes at one of its ends."""
    if end.edge.face is None:
        raise ValueError(f"{end} ends on no face")
    return end.edge.face


_YAWS = {Face.FRONT: 38.0, Face.RIGHT: 38.0, Face.BACK: 218.0, Face.LEFT: -38.0}
"""Degrees at which a face is seen."""


def _inside(towards: Face = Face.FRONT) -> FoldedView:
    """The strips as they will stand, wrong side out, a face towards the eye."""
    return FoldedView(yaw=_YAWS[towards], pitch=24.0, wrong_side=True)


def _strip_pieces(bench: Bench) -> tuple[PieceId, ...]:
    return (*map(half_piece, place_of(bench.site.mouth).faces), ZIP, TAB)


def _tack(bench: Bench) -> Operation:
    return Operation(
        key="tack zip ends",
        action=Action.TACK,
        phase=Phase.TOP,
        title=say("Bar-tack the ends of the zip"),
        instructions=(
            say(
                "At each join sew a bar tack {tack_length} long across the zip's tape, just "
                "outside the seam, within its allowance.",
                tack_length=bench.tack_length,
            ),
            say("Turn the hand wheel where the needle crosses the teeth."),
        ),
        why=say("Opening the bag strains it here: a tack keeps the end of the seam from tearing."),
        check=say("The tack is within the allowance and does not show on the right side."),
        needs=(RING,),
        until=(TURNED, *bench.closing.flat_ends),
        measures=sized(MeasurePlace.FROM_EDGE, tack_length=bench.tack_length),
        makes=(WRONG_SIDE_DONE,),
        pieces=_strip_pieces(bench),
        edges=ENDS,
        setting=bench.tack,
        stitching=(
            Stitching(
                mark("bar tacks at the zip's ends"),
                2 * bench.tack_length,
                2 * bench.wall + 2 * ZIP_TAPE,
            ),
        ),
        without_change=say(
            "With a straight stitch, sew back and forth five times over the same {tack_length}.",
            tack_length=bench.tack_length,
        ),
        scene=_inside(),
    )


def _open(bench: Bench) -> Operation:
    ring = bench.site.mouth.ring is not None
    return Operation(
        key="open zip",
        action=Action.OPEN,
        phase=Phase.TOP,
        title=say("Open the zip"),
        instructions=(say("Open the zip more than half: it stays so until the bag is turned."),),
        why=say("Once the last seam is sewn, the open zip is the only way to turn the bag."),
        needs=(RING,) if ring else (TABBED,),
        makes=(ZIP_OPEN,),
        pieces=(ZIP,),
        paths=(StitchPath(ZIP, bench.draft.piece(ZIP).marks[0].points),),
        scene=replace(_inside(), new_lines=frozenset({LineKind.TEETH})),
    )


def _sew_lid(bench: Bench, strip: TopStrip) -> Operation:
    mouth = bench.site.mouth
    place = place_of(mouth)
    around = 2 * (place.length + place.depth)
    edges: tuple[EdgeRef, ...] = tuple(run.edge for run in mouth.runs)
    do: tuple[Sentence, ...] = (
        say("Turn the bag wrong side out and slip the top strip in, right sides together."),
        say("Match its four corners to the corners of the bag, and the middles between them."),
        *((OFFSET_LID,) if strip.shift else ()),
        say("Sew {zip_seam} from the edge all round.", zip_seam=mouth.allowance),
        say(
            "At each corner, where the seam of the walls ends, stop with the needle down, lift the "
            "foot, turn the work until the next edges lie level, and sew on."
        ),
    )
    return Operation(
        key="join top strip to top",
        action=Action.JOIN,
        phase=Phase.CLOSE,
        title=say("Sew the top strip to the top edges"),
        instructions=do,
        why=say("The zip is open, so that the bag can be turned through it at the end."),
        check=say("The corners are square, and nothing of the walls is caught in a fold."),
        needs=(WALL, ZIP_OPEN, *bench.closing.sides),
        until=(TURNED,),
        measures=sized(MeasurePlace.FROM_EDGE, zip_seam=mouth.allowance),
        makes=(LID,),
        pieces=(*bench.walls, ZIP),
        seams=tuple(SeamId("top", SeamRole.MOUTH, run.face) for run in mouth.runs),
        edges=edges,
        setting=bench.seam,
        stitching=(Stitching(mark("top seams"), around, 2 * bench.wall),),
        allowance=mouth.allowance,
        scene=FoldedView(pitch=34.0, wrong_side=True),
    )


_CLOSED = {
    Face.LEFT: (
        mark("Join the top strip to the left end of the gusset strip"),
        mark(
            "Lay the left end of the top strip on that of the gusset strip, right sides together."
        ),
    ),
    Face.RIGHT: (
        mark("Join the top strip to the right end of the gusset strip"),
        mark(
            "Lay the right end of the top strip on that of the gusset strip, right sides together."
        ),
    ),
    Face.BACK: (
        mark("Join the top strip to the back of the wrap"),
        mark(
            "Lay the back end of the top strip on the wrap's end at the back, right sides together."
        ),
    ),
    Face.FRONT: (
        mark("Join the top strip to the front of the wrap"),
        mark(
            "Lay the front end of the top strip on the wrap's end at the front, right sides "
            "together."
        ),
    ),
}
"""Title, and what is done, by the face that the strip makes there."""
