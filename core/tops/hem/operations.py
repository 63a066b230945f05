"""Sewing the hems of an open top, and the tacks where any bag is pulled open. mm."""

from dataclasses import replace

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.flat.roles import EdgeRef, Face, PieceId, SeamRole
from core.site.site import Mouth
from core.tops.hem.hem import walls_at_hem
from core.work.bench import Bench, OpeningWork
from core.work.machine import SewnAs
from core.work.operation import Action, Measure, MeasurePlace, Operation, Phase, Stitching, sized
from core.work.scene import FOLDED_FLAT
from core.work.states import SIDES_TACKED, STRAPS_SEWN, TURNED, WALL, WRONG_SIDE_DONE, State

HEMMED = State("the top is hemmed")


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
        makes=(SIDES_TACKED, WRONG_SIDE_DONE),
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


def hem_operations(bench: Bench) -> tuple[Operation, ...]:
    """The hems, and the tacks where they end in the side seams, if there are such."""
    if not bench.top_ends:
        return (_hem(bench),)
    tack = tack_sides(
        bench,
        say("Bar-tack the tops of the side seams"),
        say(
            "On each side sew a bar tack {tack_length} long at the top, across the hem, just "
            "outside the side seam, within its allowance.",
            tack_length=bench.tack_length,
        ),
        label=mark("bar tacks at the top"),
        stack=2 * bench.wall,
        edges=bench.top_ends,
    )
    return (_hem(bench), replace(tack, scene=replace(FOLDED_FLAT, upper_ends_only=True)))


def hem_opening(mouth: Mouth) -> OpeningWork:
    """What a hemmed top asks and gives while the bag is closed."""
    fold = say("Fold the bag in half at the bottom, right sides together, top edges level.")
    trim: tuple[Measure, ...] = ()
    if shorter(0.0, mouth.trim):
        fold = say(
            "Fold the bag in half at the bottom, right sides together, the back's top edge "
            "{front_trim} above the front's.",
            front_trim=mouth.trim,
        )
        trim = sized(MeasurePlace.DERIVED, front_trim=mouth.trim)
    if not mouth.closes_flat:
        fold = say("Lay the walls right sides together, the hemmed top edges level.")
    return OpeningWork(
        before_folding=(HEMMED,),
        edges_turned=(HEMMED,),
        turned_in=mouth.allowance,
        fold=fold,
        folding_measures=trim,
        turn=(
            say("Reach in through the top."),
            say("Pull the bag right side out through the top, bottom first."),
        ),
        put_in=mark(
            "Slip the board, {board_width} x {board_depth}, in through the top and lay it flat on "
            "the bottom."
        ),
        pierces_all=mark(
            "Laid in last, it has no needle holes except at the seams. The {seams} seams and the "
            "hem still pierce it: there it lets water through."
        ),
    )


def _hem_lines(bench: Bench) -> Stitching:
    """Once along each hem; a raw edge twice."""
    turned = walls_at_hem(layered=bench.layered) / 2
    length = bench.raw_length(SeamRole.HEM)
    if bench.site.front.top_allowance <= 0.0:
        return Stitching(mark("hems"), 2 * length, bench.wall)
    return Stitching(mark("hems"), length, turned * bench.wall)


def hem_line(bench: Bench) -> float:
    """How far below the fold the hem is sewn, mm: turned in once, or half of it twice."""
    hem = bench.site.front.top_allowance
    return max(hem - bench.near_edge, hem / 2) if bench.layered else hem / 2


def _hem_measures(bench: Bench) -> tuple[Measure, ...]:
    """What is turned in at the top edge, and where it is sewn down."""
    hem, right = bench.site.front.top_allowance, bench.site.front.width
    if hem <= 0.0:
        return ()
    whole = bench.down("zip_seam", hem, Face.FRONT, x=right)
    if not bench.layered:
        return (whole, bench.down("half_hem", hem / 2, Face.FRONT, x=0.0))
    return (whole, bench.down("hem_line", hem_line(bench), Face.FRONT, x=0.0, start=hem))


def _hem(bench: Bench) -> Operation:
    hem = bench.site.front.top_allowance
    one = bench.site.mouth.of_one_piece
    do: tuple[Sentence, ...]
    if hem <= 0.0:
        do = (say("The top edges have no hem allowance: sew twice along the raw edge."),)
    elif bench.layered:
        do = (
            say(_TURN_EACH[one], zip_seam=hem),
            say(
                "Sew it down {hem_line} below the fold, through all layers.",
                hem_line=hem_line(bench),
            ),
        )
    else:
        do = (
            say(_TURN_TWICE[one], half_hem=hem / 2, zip_seam=hem),
            say("Sew it down along the inner fold."),
        )
    why = _WHY_NOW if bench.site.mouth.sides else _WHY_NOW_AT_A_SEAM
    why = _WHY_NOW_AT_ONE if one else why
    if bench.lining_last and bench.has_straps:
        do = (*do, say("Keep the loose handles out of the way."))
    return Operation(
        key="hem top",
        action=Action.HEM,
        phase=Phase.TOP,
        title=say("Hem the top edges"),
        instructions=do,
        why=say(why, terms={"body": bench.site.body}),
        check=say(_EVEN_ROUND if one else _ALL_EVEN),
        needs=(WALL,),
        until=bench.flat_ends if bench.lining_last else (STRAPS_SEWN, *bench.flat_ends),
        measures=_hem_measures(bench),
        makes=(HEMMED,),
        pieces=bench.walls,
        seams=bench.seam_ids(SeamRole.HEM),
        turned=tuple((ref, hem) for each in bench.seams(SeamRole.HEM) for ref in each.seam.one),
        setting=bench.topstitch,
        stitching=(_hem_lines(bench),),
        pressing=bench.wall_iron,
        without_change=SewnAs.SEAM.at_seam_stitch,
    )


_TURN_EACH = {
    False: mark("Turn {zip_seam} of each top edge to the inside and press."),
    True: mark("Turn {zip_seam} of the top edge to the inside and press."),
}
_TURN_TWICE = {
    False: mark(
        "On each top edge turn {half_hem} to the inside and press, then turn {half_hem} again, "
        "{zip_seam} in total."
    ),
    True: mark(
        "Turn {half_hem} of the top edge to the inside and press, then turn {half_hem} again, "
        "{zip_seam} in total."
    ),
}
"""Whether the edge is that of one piece alone -> how it is turned."""
_ALL_EVEN = mark("The centre marks are on the fold, and all hems are equally deep.")
_EVEN_ROUND = mark("The centre marks are on the fold, and the hem is equally deep all along.")
_WHY_NOW_AT_ONE = mark(
    "It is easy while the {body} is flat, and the side seam holds the hem's ends."
)
_WHY_NOW = mark("It is easy while the {body} is flat, and the side seams hold the hem's ends.")
_WHY_NOW_AT_A_SEAM = mark(
    "It is easy while the {body} is flat, and the seams between the walls hold the hems' ends."
)
