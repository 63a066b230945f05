"""Sewing the closure: the zip between the top edges, or the hems of an open top. mm."""

from core.base.sentences import Sentence, say
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, MarkRole, SeamRole, Side
from core.parts.crossings import walls_at_hem
from core.parts.handles.handles import Handles
from core.sewing.bench import ZIP_TAPE, Bench
from core.sewing.finish import SIDES_TACKED, ZIP_TRIMMED
from core.sewing.zip_seams import sew_zip
from core.tops.zip_forward.zip import ZIP, ZipForward
from core.work.machine import SewnAs
from core.work.operation import Action, Measure, MeasurePlace, Operation, Stitching, sized
from core.work.scene import FoldedScene
from core.work.states import HANDLES_ON, HEMMED, NOT_FLAT, SIDES, TURNED, WALL


def sew_closure(bench: Bench) -> tuple[Operation, ...]:
    """The zip's operations, or the hem's; and the tacks where they end in the side seams."""
    closure = bench.bag.top
    if not isinstance(closure, ZipForward):
        return (_hem(bench), _tack(bench))
    return (*sew_zip(bench, closure), _tack(bench))


def _tack(bench: Bench) -> Operation:
    """A bar tack where the bag is pulled open.

    "Reinforcement stitch that effectively minimizes tearing at the ends of critical stress
    stitch lines", such as zips (ASTM D6193, section 3).
    """
    where = "across the zip's tape" if bench.zipped else "at the top, across the hem"
    return Operation(
        key="tack side seams",
        action=Action.TACK,
        title=say("Bar-tack the ends of the zip")
        if bench.zipped
        else say("Bar-tack the tops of the side seams"),
        instructions=(
            say(
                "On each side sew a bar tack {tack_length} long {where}, just outside the side "
                "seam, within its allowance.",
                words={"where": where},
                tack_length=bench.tack_length,
            ),
        ),
        why=say("Opening the bag strains it here: a tack keeps the end of the seam from tearing."),
        check=say("The tack is within the allowance and does not show on the right side."),
        needs=tuple(SIDES.values()),
        after=(ZIP_TRIMMED,),
        until=(TURNED,),
        measures=sized(MeasurePlace.FROM_EDGE, tack_length=bench.tack_length),
        makes=(SIDES_TACKED,),
        pieces=(*bench.walls, ZIP) if bench.zipped else bench.walls,
        edges=tuple(EdgeRef(ZIP, EdgeId(EdgeRole.TAPE_END, side=side)) for side in Side)
        if bench.zipped
        else tuple(
            bench.panel.ref(Face.FRONT, EdgeId(EdgeRole.SIDE, Face.FRONT, side)) for side in Side
        ),
        setting=bench.tack,
        stitching=(
            Stitching(
                "bar tacks at the zip's ends" if bench.zipped else "bar tacks at the top",
                len(SIDES) * bench.tack_length,
                2 * bench.wall + (2 * ZIP_TAPE if bench.zipped else 0.0),
            ),
        ),
        without_change=say(
            "With a straight stitch, sew back and forth five times over the same {tack_length}.",
            tack_length=bench.tack_length,
        ),
        scene=FoldedScene.FOLDED,
    )


def _hem_lines(bench: Bench) -> Stitching:
    """Once along each hem; a raw edge twice."""
    turned = walls_at_hem(layered=bench.layered) / len(SIDES)
    length = bench.raw_length(SeamRole.HEM)
    if bench.panel.top_seam <= 0.0:
        return Stitching("hems", 2 * length, bench.wall)
    return Stitching("hems", length, turned * bench.wall)


def _hem_measures(bench: Bench) -> tuple[Measure, ...]:
    """What is turned in at the top edge, and where it is sewn down."""
    hem, right = bench.panel.top_seam, bench.panel.width
    if hem <= 0.0:
        return ()
    whole = bench.down("zip_seam", hem, Face.FRONT, x=right)
    if not bench.layered:
        return (whole, bench.down("half_hem", hem / 2, Face.FRONT, x=0.0))
    line = max(hem - bench.near_edge, hem / 2)
    return (whole, bench.down("hem_line", line, Face.FRONT, x=0.0, start=hem))


def _hem(bench: Bench) -> Operation:
    hem = bench.panel.top_seam
    do: tuple[Sentence, ...]
    if hem <= 0.0:
        do = (say("The top edges have no hem allowance: sew twice along the raw edge."),)
    elif bench.layered:
        do = (
            say("Turn {zip_seam} of each top edge to the inside and press.", zip_seam=hem),
            say(
                "Sew it down {hem_line} below the fold, through all layers.",
                hem_line=max(hem - bench.near_edge, hem / 2),
            ),
        )
    else:
        do = (
            say(
                "On each top edge turn {half_hem} to the inside and press, then turn "
                "{half_hem} again, {zip_seam} in total.",
                half_hem=hem / 2,
                zip_seam=hem,
            ),
            say("Sew it down along the inner fold."),
        )
    if bench.lining_last and Handles.SLOT in bench.bag.parts:
        do = (*do, say("Keep the loose handles out of the way."))
    return Operation(
        key="hem top",
        action=Action.HEM,
        title=say("Hem the top edges"),
        instructions=do,
        why=say("It is easy while the panel is flat, and the side seams hold the hem's ends."),
        check=say("The centre marks are on the fold, and both hems are equally deep."),
        needs=(WALL,),
        until=NOT_FLAT if bench.lining_last else (HANDLES_ON, *NOT_FLAT),
        measures=_hem_measures(bench),
        makes=(HEMMED,),
        pieces=bench.walls,
        seams=bench.seam_ids(SeamRole.HEM),
        marks=bench.marks("top", MarkRole.MIDDLE),
        setting=bench.topstitch,
        stitching=(_hem_lines(bench),),
        pressing=bench.wall_iron,
        without_change=SewnAs.SEAM.at_seam_stitch,
    )
