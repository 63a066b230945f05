"""Bar tacks at the ends of the side seams, where a bag is pulled open. mm."""

from core.base.sentences import Sentence, Template, say
from core.flat.roles import EdgeRef, PieceId
from core.work.bench import Bench
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import FOLDED_FLAT
from core.work.states import TURNED, WRONG_SIDE_DONE, State


def tack_sides(
    bench: Bench,
    title: Sentence,
    what: Sentence,
    *,
    label: Template,
    stack: float,
    edges: tuple[EdgeRef, ...],
    pieces: tuple[PieceId, ...] = (),
    after: tuple[State, ...] = (),
) -> Operation:
    """A tack at either end.

    "Reinforcement stitch that effectively minimizes tearing at the ends of critical stress
    stitch lines", such as zips (ASTM D6193, section 3).

    Args:
        title, what: as they are told; `what` tells {tack_length}.
        label: what the tacks are called where thread is bought for them.
        stack: what lies under the needle, pressed.
        edges: where they are sewn, one for each.
        pieces: that are handled besides the wall.
        after: what must be done first if the bag has it at all.
    """
    return Operation(
        key="tack side seams",
        action=Action.TACK,
        phase=Phase.TOP,
        title=title,
        instructions=(what,),
        why=say("Opening the bag strains it here: a tack keeps the end of the seam from tearing."),
        check=say("The tack is within the allowance and does not show on the right side."),
        needs=bench.closing.sides,
        after=after,
        until=(TURNED,),
        measures=sized(MeasurePlace.FROM_EDGE, tack_length=bench.tack_length),
        makes=(WRONG_SIDE_DONE,),
        pieces=(*bench.walls, *pieces),
        edges=edges,
        setting=bench.tack,
        stitching=(Stitching(label, len(edges) * bench.tack_length, stack),),
        without_change=say(
            "With a straight stitch, sew back and forth five times over the same {tack_length}.",
            tack_length=bench.tack_length,
        ),
        scene=FOLDED_FLAT,
    )
