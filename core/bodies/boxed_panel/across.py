"""Corners that are sewn across: marked from the stitching, sewn, trimmed."""

from dataclasses import replace

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.allowances import SewnAllowances, walls_at_corner
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import Tips
from core.flat.roles import EdgeRef, EdgeRole, MarkRole, SeamRole, Side
from core.work.bench import Bench
from core.work.operation import Action, MarkRef, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import FoldedView
from core.work.states import TURNED, State

TRIMMED = State("the tips of the corners are trimmed off")


def is_trimmed(panel: BoxedPanel) -> bool:
    """Whether tips are cut off beyond the corner seams."""
    return panel.sewn_across and panel.has_corners and panel.tips is Tips.TRIMMED


def side_in_full(panel: BoxedPanel) -> float:
    """How far a side is sewn below its corner seam, down to the bottom line."""
    return panel.corner_mark if panel.sewn_across else 0.0


def sewn_on_tips(bench: Bench, side: Side | None) -> tuple[MarkRef, ...]:
    """Where a side seam, or for None the bottom seam, runs on through tips."""
    return tuple(
        ref
        for ref in bench.marks("body", MarkRole.STITCH)
        if bench.draft.piece(ref.piece).marks[ref.index].side is side
    )


def sew_across(
    bench: Bench,
    panel: BoxedPanel,
    side: Side,
    *,
    bottom: State,
    sewn: State,
    makes: State,
    lying: SewnAllowances,
    scene: FoldedView,
) -> Operation:
    """One corner: flattened, pressed, marked from the stitching and sewn across.

    Args:
        bench, panel, side: which.
        bottom, sewn, makes: the bottom seam, the side seam here, and what is made.
        lying: how the side seam's allowances lie where the seams cross.
        scene: of the bag from this end.
    """
    walked = bench.walked(SeamRole.CORNER, side=side)
    half, deep = panel.corner_mark, walked.mate_length
    stack = walls_at_corner(lying, seamed=not panel.folded) * bench.wall
    # A second row must stay on the cloth when the tip is off.
    twice = is_trimmed(panel) and shorter(bench.near_edge, panel.corner_seam)
    raw = say(
        "Measured from the raw tip instead, the bottom would come out {less} less deep.",
        less=2 * panel.side_seam,
    )
    sewn_length = (2 if twice else 1) * max(walked.length, deep, 0.0)
    return Operation(
        key=f"join corner seam {side.value}",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say(_TITLES[side]),
        instructions=(
            say(_FLATTENED[side] if panel.folded else _FLATTENED_ON_SEAM[side]),
            _pressed(opened=lying is SewnAllowances.OPEN, folded=panel.folded),
            say(
                "From the end of the side seam's stitching at the tip measure {corner_mark} along "
                "the seam, and there draw a line straight across: {gusset_depth} from fold to "
                "fold.",
                corner_mark=half,
                gusset_depth=deep,
            ),
            say("Sew across on the line from fold to fold. Backstitch at both ends."),
            *((say(_SECOND_ROW, close=bench.near_edge),) if twice else ()),
        ),
        why=raw if panel.side_seam > 0.0 else None,
        check=say(
            "The seam is {gusset_depth} long, and the side seam meets the middle of it.",
            gusset_depth=deep,
        ),
        caution=say(
            "Where the seams cross, the layers are {stack} thick when pressed: go "
            "slowly, and turn the hand wheel.",
            stack=stack,
        ),
        needs=(sewn,),
        after=(bottom,),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.TIP, corner_mark=half),
            *sized(MeasurePlace.SEAM, gusset_depth=deep),
            *sized(MeasurePlace.DERIVED, stack=stack, less=2 * panel.side_seam),
            *(sized(MeasurePlace.DERIVED, close=bench.near_edge) if twice else ()),
        ),
        makes=(makes,),
        pieces=bench.walls,
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(Stitching(mark("corner seams"), sewn_length, 2 * bench.wall),),
        pressing=bench.wall_iron,
        scene=replace(scene, tips=True),
    )


_SECOND_ROW = mark(
    "Sew a second row {close} beside it, on the side of the tip: it holds once the tip is off."
)


def _pressed(*, opened: bool, folded: bool) -> Sentence:
    if folded:
        if opened:
            return say("Press the side seam open on the bottom fold, and pin.")
        return say("Press the side seam's allowances to one side on the bottom fold, and pin.")
    if opened:
        return say("Press seam over seam, both of them open, and pin.")
    return say("Press seam over seam, the side seam's allowances to one side, and pin.")


def corner_edges(bench: Bench) -> tuple[EdgeRef, ...]:
    """Every edge along which corners are cut out, or trimmed off."""
    return tuple(
        EdgeRef(piece.id, edge.id)
        for piece in bench.draft.walls
        for edge in piece.edges
        if edge.id.role in (EdgeRole.CORNER, EdgeRole.CORNER_END)
    )


def trim_tips(
    bench: Bench, panel: BoxedPanel, corners: tuple[State, ...], scene: FoldedView
) -> tuple[Operation, ...]:
    """The tips cut off beyond both corner seams; nothing where they are left in."""
    if not is_trimmed(panel):
        return ()
    seam = panel.corner_seam
    return (
        Operation(
            key="cut corner tips",
            phase=Phase.NEATEN,
            action=Action.CUT,
            title=say("Trim the tips of the corners"),
            instructions=(
                say("Cut both tips off, {corner_seam} beyond the corner seam.", corner_seam=seam),
            ),
            why=say("Left in, they would lie under the bottom as two more walls."),
            check=say("Neither row of stitches is cut."),
            needs=corners,
            until=(TURNED,),
            measures=sized(MeasurePlace.FROM_EDGE, corner_seam=seam),
            makes=(TRIMMED,),
            pieces=bench.walls,
            edges=corner_edges(bench),
            scene=replace(scene, tips=True),
        ),
    )


_TITLES = {
    Side.LEFT: mark("Sew across the corner, left"),
    Side.RIGHT: mark("Sew across the corner, right"),
}
_FLATTENED = {
    Side.LEFT: mark(
        "Flatten the left corner into a point, with the side seam exactly on the bottom fold."
    ),
    Side.RIGHT: mark(
        "Flatten the right corner into a point, with the side seam exactly on the bottom fold."
    ),
}
_FLATTENED_ON_SEAM = {
    Side.LEFT: mark(
        "Flatten the left corner into a point, with the side seam exactly on the bottom seam."
    ),
    Side.RIGHT: mark(
        "Flatten the right corner into a point, with the side seam exactly on the bottom seam."
    ),
}
