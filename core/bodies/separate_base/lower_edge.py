"""The lower edge of the walls, staystitched and clipped so that it turns corners. mm."""

from core.base.sentences import Plural, Sentence, mark, plural, say
from core.bodies.clipping import clip_caution, clip_check, clip_path, stay_line
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.draft import wall_of
from core.flat.match_marks import seam_marks
from core.flat.piece import Edge, Point
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, PieceId, SeamRole
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH, as_set
from core.work.operation import (
    Action,
    Operation,
    Phase,
    Stitching,
    StitchPath,
    measured,
)
from core.work.scene import WIDE, FlatScene
from core.work.states import TURNED, State

CLIPPED = State("the lower edge of the walls is staystitched and clipped")
BASE_SEWN = State("the base is sewn in")


def walls_around(bench: Bench, body: SeparateBase) -> tuple[PieceId, ...]:
    """Everything that goes round the base."""
    walls = dict.fromkeys(wall_of(body, face) for face in body.ring_faces)
    return (*walls, *bench.opening.pieces)


def _lower_edges(body: SeparateBase) -> tuple[EdgeRef, ...]:
    return tuple(
        EdgeRef(wall_of(body, face), EdgeId(EdgeRole.BOTTOM, face)) for face in body.ring_faces
    )


def clip_operations(bench: Bench, body: SeparateBase) -> tuple[Operation, ...]:
    """The walls' lower edge made to turn corners; four walls open there of themselves."""
    (seam,) = bench.seam_ids(SeamRole.BASE)
    marks = [each for each in seam_marks(bench.draft).clips if each.seam == seam]
    if not marks:
        return ()
    clips, edges = len(marks), _lower_edges(body)
    first = bench.draft.edge(edges[0])
    left, low, right, _ = bench.draft.piece(edges[0].piece).bounds
    middle = (left + right) / 2
    at = middle, low
    deep = stay_line(bench, first.allowance)
    measured_at = at, _inward(first, at, deep)
    near = FlatScene(
        pieces=(edges[0].piece,),
        window=(middle, low, right, low + (right - left) / 4),
        paper=WIDE,
    )
    length = bench.seam_length(SeamRole.BASE)
    return (
        Operation(
            key="staystitch lower edge",
            phase=Phase.CLOSE,
            action=Action.STAYSTITCH,
            title=say("Staystitch and clip the lower edge of the walls"),
            instructions=(
                say(
                    "Sew once round the lower edge of the walls, {stay_line} from it.",
                    stay_line=deep,
                ),
                _clipped(body, clips),
            ),
            why=say("A straight edge goes round a corner only where its allowance can open."),
            check=clip_check(),
            caution=clip_caution(),
            needs=bench.closing.sides,
            until=(TURNED, BASE_SEWN),
            measures=(measured("stay_line", deep, edges[0].piece, *measured_at),),
            makes=(CLIPPED,),
            pieces=walls_around(bench, body),
            paths=(
                *(_stay_path(bench, ref) for ref in edges),
                *(clip_path(bench, each) for each in marks),
            ),
            setting=bench.seam,
            stitching=(Stitching(mark("staystitching"), length, bench.wall),),
            scene=near,
        ),
    )


def _inward(edge: Edge, at: Point, deep: float) -> Point:
    """So far from the raw edge into the piece."""
    (x, y), (dx, dy) = at, edge.heading
    return x - deep * dy, y + deep * dx


def _stay_path(bench: Bench, ref: EdgeRef) -> StitchPath:
    edge = bench.draft.edge(ref)
    deep = stay_line(bench, edge.allowance)
    ends = (_inward(edge, at, deep) for at in (edge.start, edge.end))
    return StitchPath(ref.piece, tuple(ends))


def _clipped(body: SeparateBase, clips: int) -> Sentence:
    """Where and how far it is clipped: as often at each of the four corners."""
    words, at_each = {"stitch": as_set(SEAM_STITCH)}, clips // _CORNERS
    if at_each * _CORNERS != clips:
        return say(_CLIPS, numbers={"count": clips}, words=words)
    if not body.corner_rounding:
        return say(
            "At each corner's mark clip once, straight in, to one stitch ({stitch}) before the "
            "stitch line.",
            words=words,
        )
    told = _CLIPS_BETWEEN if body.is_circle else _CLIPS_AT_EACH
    return say(told, numbers={"count": at_each}, words=words)


_CORNERS = 4
_CLIPS: Plural = plural(
    "At the clip mark clip straight in, to one stitch ({stitch}) before the stitch line.",
    "At each of the {count} clip marks clip straight in, to one stitch ({stitch}) before the "
    "stitch line.",
)
_CLIPS_AT_EACH: Plural = plural(
    "At each corner clip once, midway between its two marks, to one stitch ({stitch}) before the "
    "stitch line.",
    "At each corner clip {count} times between its two marks, to one stitch ({stitch}) before the "
    "stitch line. Clip evenly: the outer ones half a space from the marks.",
)
_CLIPS_BETWEEN: Plural = plural(
    "Between every two quarters clip once, midway, to one stitch ({stitch}) before the stitch "
    "line.",
    "Between every two quarters clip {count} times, to one stitch ({stitch}) before the stitch "
    "line. Clip evenly: the outer ones half a space from the quarters.",
)
