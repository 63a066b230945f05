"""Sewing a roll top: hems, a stiff strip, the buckle at their ends, and rolling it down. mm."""

from dataclasses import replace

from core.base.sentences import mark, plural, say
from core.base.tolerance import shorter
from core.flat.roles import Face, MarkRole, SeamRole
from core.site.site import Mouth
from core.tops.hem.hem import walls_at_hem
from core.tops.hem.operations import HEMMED, hem_line, hem_opening, hem_operations
from core.tops.roll_top.roll import RollTop, loop_of
from core.work.bench import Bench, OpeningWork
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, StitchPath, sized
from core.work.scene import FoldedView
from core.work.states import INSERT_IN, PRESSED, TURNED, State

_STIFFENED = State("the strip is in the hem")
_BUCKLED, _ROLLED = State("the buckle is on"), State("the top is rolled down")


def roll_opening(mouth: Mouth) -> OpeningWork:
    """As of a hemmed top, whose ends have the buckle in them."""
    return replace(
        hem_opening(mouth),
        before_folding=(HEMMED, _BUCKLED),
        side=say(
            "The buckle's loop is caught at the top: keep the half buckle inside, clear of the "
            "needle, and sew twice across the loop."
        ),
    )


def roll_operations(bench: Bench, roll: RollTop) -> tuple[Operation, ...]:
    """The hems as of any open top; then what holds the rolls."""
    strip = roll.strip(bench.site)
    stiffened = (_slide_in(bench, strip),) if shorter(0.0, strip) else ()
    return (
        *hem_operations(bench),
        *stiffened,
        _add_buckle(bench, bool(stiffened)),
        _roll_down(bench, roll),
    )


def _slide_in(bench: Bench, strip: float) -> Operation:
    hem = hem_line(bench)
    return Operation(
        key="lay in stiffener strip",
        action=Action.LAY_IN,
        phase=Phase.TOP,
        title=say("Slide the stiffener strip into the back's hem"),
        instructions=(
            say("Cut the strip {strip_length} long, and round its ends.", strip_length=strip),
            say(_SLIDE_IN if _has_sides(bench) else _SLIDE_IN_AT_THE_END),
        ),
        why=say("The back leads the rolls: stiff, it keeps them straight."),
        check=say(_CLEAR if _has_sides(bench) else _CLEAR_AT_THE_END),
        caution=say(
            "It is narrower than the hem is from its fold to its stitching, {hem}.", hem=hem
        ),
        needs=(HEMMED,),
        until=bench.closing.flat_ends,
        measures=sized(MeasurePlace.DERIVED, strip_length=strip, hem=hem),
        makes=(_STIFFENED,),
        pieces=bench.walls,
        edges=tuple(
            ref
            for each in bench.seams(SeamRole.HEM)
            for ref in each.seam.one
            if each.seam.id.face is Face.BACK
        ),
    )


def _add_buckle(bench: Bench, stiffened: bool) -> Operation:
    tack, seat, hem = bench.tack_length, bench.site.seats[Face.BACK], bench.site.mouth.allowance
    beside, sided = seat.side_allowance / 2, _has_sides(bench)
    # Where the wall goes on, the face ends an allowance before its seat does.
    across = beside, seat.width - (beside if sided else 3 * beside)
    loop = loop_of(bench.site)
    turned = walls_at_hem(layered=bench.layered) / 2 if shorter(0.0, hem) else 1.0
    stack = turned * bench.wall
    return Operation(
        key="tack buckle",
        action=Action.TACK,
        phase=Phase.TOP,
        title=say("Sew the buckle to the ends of the back's hem"),
        instructions=(
            say(
                "Draw {loop_length} of webbing through each half of the buckle, and lay it double.",
                loop_length=loop,
            ),
            say(_LAY_LOOPS if sided else _LAY_LOOP),
            say(
                "Sew a bar tack {tack_length} long across them, within the allowance.",
                tack_length=tack,
            ),
            *(() if sided else (say(_LAY_OTHER_LOOP),)),
        ),
        why=say(_CAUGHT if sided else _ONE_CAUGHT),
        check=say("The two halves of the buckle can be closed into one another."),
        caution=say(
            "Webbing lies double on the hem, {stack} thick without it: go slowly, and turn the "
            "hand wheel. Keep off the stiffener strip and the buckle.",
            stack=stack,
        ),
        needs=(HEMMED, _STIFFENED) if stiffened else (HEMMED,),
        until=bench.closing.flat_ends,
        measures=(
            bench.down("tack_length", tack, Face.BACK, x=across[0], start=hem),
            *sized(MeasurePlace.DERIVED, loop_length=loop, stack=stack),
        ),
        makes=(_BUCKLED,),
        pieces=bench.walls,
        paths=tuple(
            StitchPath(
                seat.piece, (seat.point(x, seat.top - hem), seat.point(x, seat.top - hem - tack))
            )
            for x in across
        ),
        setting=bench.tack,
        stitching=(Stitching(mark("tacks of the buckle"), 2 * tack, stack),),
        without_change=say(
            "With a straight stitch, sew back and forth five times over the same {tack_length}.",
            tack_length=tack,
        ),
    )


def _has_sides(bench: Bench) -> bool:
    """Whether the back ends at a seam on either side; walls of one piece go on at one of them."""
    return bool(bench.site.side_edges(Face.BACK))


_SLIDE_IN = mark("Slide it into the back's hem from one end, until it is in the middle.")
_SLIDE_IN_AT_THE_END = mark(
    "Slide it into the hem from the back's end of the walls, until its middle is on that of the "
    "back."
)
_CLEAR = mark("It ends as far from one side edge as from the other, clear of both side seams.")
_CLEAR_AT_THE_END = mark(
    "It ends as far from the end of the walls as from their middle, clear of the side seam."
)
_LAY_LOOPS = mark(
    "Lay the ends of each loop on the right side of the back's hem, level with its side edge, the "
    "buckle towards the middle."
)
_LAY_LOOP = mark(
    "Lay the ends of one loop on the right side of the back's hem, level with the end of the "
    "walls, the buckle inwards."
)
_LAY_OTHER_LOOP = mark(
    "Where back and front meet in the middle of the walls, turn the other loop's ends under and "
    "tack them onto the back's hem, the buckle over the front."
)
_CAUGHT = mark("The side seams catch the loops; once the top is rolled the buckle meets itself.")
_ONE_CAUGHT = mark(
    "The side seam catches one loop; the other lies at the fold opposite, so that the buckle meets "
    "itself once the top is rolled."
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
        marks=bench.marks("top", MarkRole.ROLL),
        edges=tuple(ref for each in bench.seams(SeamRole.HEM) for ref in each.seam.one),
        scene=FoldedView(),
    )
