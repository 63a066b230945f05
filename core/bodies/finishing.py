"""The last steps of any body, each with its own words: neatened, turned, measured. mm."""

from collections.abc import Mapping, Sequence

from core.base.sentences import Sentence, Template, mark, say
from core.base.units import Unit
from core.flat.roles import PieceRole
from core.space.zones import AreaKind
from core.work.bench import Bench
from core.work.operation import (
    Action,
    Measure,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    sized,
)
from core.work.scene import SEWN, FoldedView
from core.work.states import INSERT_IN, PRESSED, TURNED, WRONG_SIDE_DONE, State

_MEASURED = State("the bag is measured")
_WALLS_SEEN = FoldedView(new_areas=frozenset({AreaKind.WALL}))
END_TO_END = mark("Start and end at the raw edge, not on the seam.")
_TOLERANCE = 5.0
"""Usual for the height and width of handbags, mm (a factory's guide to handbag tolerances)."""
_INCH_TOLERANCE = 3 * 25.4 / 16
"""The same where inches are read."""


def overcast_inside(
    bench: Bench,
    instructions: Sequence[Sentence],
    seams: Mapping[Template, float],
    *,
    after: tuple[State, ...] = (),
) -> Operation:
    """The raw edges inside, all layers together.

    Args:
        bench: the bag.
        instructions: what is sewn over, and how it begins and ends.
        seams: what each line of thread is called -> its length, mm.
        after: what comes first where the bag has it.
    """
    return Operation(
        key="overcast seam allowances",
        phase=Phase.NEATEN,
        action=Action.OVERCAST,
        title=say("Overcast the raw edges inside"),
        instructions=(*instructions, *_held_already(bench)),
        why=say("The allowances stay visible inside the bag and would fray or shed."),
        check=say("The needle swings just over the edge and does not cross the seam itself."),
        needs=bench.closing.every,
        after=after,
        until=(TURNED,),
        measures=bench.second_rows_measures,
        makes=(WRONG_SIDE_DONE,),
        pieces=bench.walls,
        edges=bench.raw_edges,
        setting=bench.overcast,
        stitching=tuple(
            Stitching(label, length, 2 * bench.wall) for label, length in seams.items()
        ),
        without_change=bench.second_row,
        scene=bench.closing.scene,
    )


def _held_already(bench: Bench) -> tuple[Sentence, ...]:
    """What need not be sewn over."""
    if all(piece.id.role is not PieceRole.TAPE for piece in bench.draft.pieces):
        return ()
    return (say("The edges along the zip need none: they are topstitched down on its tape."),)


def turn_bag(
    bench: Bench, *, pushed: Sentence | None, scene: FoldedView = _WALLS_SEEN
) -> Operation:
    """Right side out; `pushed`: what is pushed out from inside, if anything is."""
    return Operation(
        key="turn bag",
        phase=Phase.TURN,
        action=Action.TURN,
        title=say("Turn the bag right side out"),
        instructions=(*bench.opening.turn, *(() if pushed is None else (pushed,))),
        check=say("No seam gapes and no raw edge shows; repair any weak place now."),
        needs=(*bench.closing.every, *bench.opening.way_out),
        after=(WRONG_SIDE_DONE,),
        makes=(TURNED,),
        pieces=(*bench.walls, *bench.opening.pieces),
        scene=scene,
    )


def measure_bag(
    bench: Bench,
    instructions: Sequence[Sentence],
    sizes: Mapping[str, float],
    *,
    placed: tuple[Measure, ...] = (),
    scene: FoldedView = SEWN,
) -> Operation:
    """The sizes of the finished bag, the top's own last.

    Args:
        bench: the bag.
        instructions: what is measured.
        sizes: finished figure -> what is told of it, mm.
        placed: what of them has a place of its own in the drawing.
        scene: what it shows.
    """
    tolerance = _INCH_TOLERANCE if bench.unit is Unit.INCH else _TOLERANCE
    own = bench.opening.measure
    return Operation(
        key="measure bag",
        phase=Phase.MEASURE,
        action=Action.MEASURE,
        title=say("Measure the finished bag"),
        instructions=(*instructions, *(() if own is None else (own,))),
        why=say("Thick layers take up a little: your measurements help to draw the next bag.")
        if not bench.takes_up
        else say("These are sewn sizes: the pattern is drawn larger by what the layers take up."),
        check=say(
            "Width, height and depth agree with these figures within {size_tolerance}.",
            size_tolerance=tolerance,
        ),
        needs=(TURNED,),
        after=(PRESSED, INSERT_IN),
        measures=(
            *sized(MeasurePlace.FINISHED, **sizes),
            *bench.opening.finished_measures,
            *placed,
            *sized(MeasurePlace.DERIVED, size_tolerance=tolerance),
        ),
        makes=(_MEASURED,),
        pieces=bench.walls,
        scene=scene,
    )
