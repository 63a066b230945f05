"""How the two ends of a top strip's zip are covered with tabs. Lengths are mm."""

from core.base.sentences import mark, say
from core.flat.roles import EdgeRef, EdgeRole
from core.tops.top_strip.diagrams import tab_diagram
from core.tops.top_strip.strip import TAB, TAB_REACH, TopStrip, place_of
from core.tops.zips.sewing import ENDS
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench
from core.work.operation import Action, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import FlatScene
from core.work.states import CUT, State

TABBED, TRIMMED = State("the zip's ends have tabs"), State("the zip's ends are trimmed")
RING = State("the top strip closes the ring")
LID = State("the top strip is sewn to the top edges")
_TAB_SIDES = State("the tabs are folded and their sides are overcast")


def tab_operations(bench: Bench, strip: TopStrip) -> tuple[Operation, ...]:
    """They are folded and neatened, and then basted over the ends."""
    return _overcast_tabs(bench), _add_tabs(bench, strip)


def _overcast_tabs(bench: Bench) -> Operation:
    tab = bench.draft.piece(TAB)
    return Operation(
        key="overcast zip tabs",
        action=Action.OVERCAST,
        phase=Phase.TOP,
        title=say("Fold and overcast the zip's tabs"),
        instructions=(
            say(
                "Fold each tab in half, its short ends on one another, wrong sides together, and "
                "press. Sew a zigzag over both raw sides."
            ),
        ),
        check=say("Only the short ends are still raw: a seam takes them in."),
        needs=(CUT.for_(TAB),),
        until=(RING, LID),
        makes=(_TAB_SIDES,),
        pieces=(TAB,),
        edges=tuple(EdgeRef(TAB, edge.id) for edge in tab.edges if edge.id.role is EdgeRole.SIDE),
        setting=bench.overcast,
        stitching=(Stitching(mark("overcasting of the tabs"), 2 * tab.height, 2 * bench.wall),),
        without_change=say(
            "Sew along both sides with a straight stitch instead, {close} from the raw edge.",
            close=bench.near_edge,
        ),
        measures=sized(MeasurePlace.WITHOUT_CHANGE, close=bench.near_edge),
        pressing=bench.iron_for(TAB),
        scene=FlatScene(pieces=(TAB,)),
    )


def _add_tabs(bench: Bench, strip: TopStrip) -> Operation:
    tab = bench.draft.piece(TAB)
    seam = place_of(bench.site.mouth).end_seam
    return Operation(
        key="baste zip tabs",
        action=Action.BASTE,
        phase=Phase.TOP,
        title=say("Lay a tab over each end of the zip"),
        instructions=(
            say(
                "Lay each on the right side over an end of the zip, raw edges level with it, and "
                "baste it within {end_seam}.",
                end_seam=seam,
            ),
            say("Its fold lies {tab_reach} inside the seam.", tab_reach=TAB_REACH),
        ),
        why=say("The tab covers the end of the teeth, and is what you hold while you pull."),
        check=say("Both tabs lie square over the teeth."),
        needs=(TRIMMED, _TAB_SIDES),
        until=(RING, LID),
        measures=(
            *sized(MeasurePlace.DERIVED, end_seam=seam),
            *sized(MeasurePlace.DIAGRAM, tab_reach=TAB_REACH),
        ),
        makes=(TABBED,),
        pieces=(TAB, ZIP),
        edges=ENDS,
        setting=bench.baste,
        stitching=(Stitching(mark("basting of the tabs"), 2 * tab.width, 2 * bench.wall),),
        scene=tab_diagram(bench, strip, TAB_REACH),
    )
