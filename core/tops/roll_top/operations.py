"""Sewing a roll top: hems, the buckle at their ends, and rolling it down. mm."""

from core.base.sentences import mark, plural, say
from core.flat.roles import Face, SeamRole
from core.tops.hem.operations import HEMMED, hem_operations
from core.tops.roll_top.roll import RollTop
from core.work.bench import Bench
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, StitchPath, sized
from core.work.scene import FoldedView
from core.work.states import INSERT_IN, PRESSED, TURNED, State

_BUCKLED, _ROLLED = State("the buckle is on"), State("the top is rolled down")


def roll_operations(bench: Bench, roll: RollTop) -> tuple[Operation, ...]:
    """The hems as of any open top; then what holds the rolls."""
    return (*hem_operations(bench), _add_buckle(bench), _roll_down(bench, roll))


def _add_buckle(bench: Bench) -> Operation:
    tack, seat, hem = bench.tack_length, bench.site.seats[Face.BACK], bench.site.mouth.allowance
    beside = seat.side_allowance / 2
    across = beside, seat.width - beside
    return Operation(
        key="tack buckle",
        action=Action.TACK,
        phase=Phase.TOP,
        title=say("Sew the buckle to the ends of the back's hem"),
        instructions=(
            say("Draw a short loop of tape through each half of the buckle."),
            say(
                "Lay the ends of each loop on the right side of the back's hem, level with its "
                "side edge, the buckle towards the middle, and sew a bar tack {tack_length} long "
                "across them within the allowance.",
                tack_length=tack,
            ),
        ),
        why=say("The side seams catch the loops; once the top is rolled the buckle meets itself."),
        check=say("The two halves of the buckle can be closed into one another."),
        needs=(HEMMED,),
        until=bench.closing.flat_ends,
        measures=(bench.down("tack_length", tack, Face.BACK, x=across[0], start=hem),),
        makes=(_BUCKLED,),
        pieces=bench.walls,
        paths=tuple(
            StitchPath(
                seat.piece, (seat.point(x, seat.top - hem), seat.point(x, seat.top - hem - tack))
            )
            for x in across
        ),
        setting=bench.tack,
        stitching=(Stitching(mark("tacks of the buckle"), 2 * tack, 2 * bench.wall),),
        without_change=say(
            "With a straight stitch, sew back and forth five times over the same {tack_length}.",
            tack_length=tack,
        ),
    )


def _roll_down(bench: Bench, roll: RollTop) -> Operation:
    return Operation(
        key="fold top down",
        action=Action.FOLD,
        phase=Phase.MEASURE,
        title=say("Roll the top down"),
        instructions=(
            say("Lay front and back together at the top, and press the air out."),
            say(
                plural(
                    "Roll the top down 1 time, by {roll_depth}.",
                    "Roll the top down {count} times, {roll_depth} with each turn.",
                ),
                numbers={"count": roll.rolls},
                roll_depth=roll.depth,
            ),
            say("Bend the ends of the roll together and close the buckle."),
        ),
        check=say("The roll stays closed when the bag is held upside down."),
        needs=(TURNED, _BUCKLED),
        after=(PRESSED, INSERT_IN),
        measures=sized(MeasurePlace.DERIVED, roll_depth=roll.depth),
        makes=(_ROLLED,),
        pieces=bench.walls,
        edges=tuple(ref for each in bench.seams(SeamRole.HEM) for ref in each.seam.one),
        scene=FoldedView(),
    )
