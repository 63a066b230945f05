"""Sewing a facing: into a ring, onto the mouth of the turned bag, and down inside. mm."""

import math

from core.base.sentences import Listing, mark, say
from core.flat.roles import PieceId, SeamId, SeamRole
from core.site.site import Mouth
from core.space.zones import AreaKind
from core.tops.facing.facing import LOWER_HEM, Facing, facing_piece
from core.tops.hem.operations import hem_opening
from core.work.bench import Bench, OpeningWork
from core.work.machine import SewnAs
from core.work.operation import (
    Action,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    measured,
    sized,
)
from core.work.scene import FoldedView, PieceScene
from core.work.states import CUT, INSERT_IN, PRESSED, TURNED, State

_RING, _NEAT = State("the facing is a ring"), State("the facing's lower edge is turned under")
FACED, _DOWN = State("the facing is on"), State("the facing is stitched down")


def facing_opening(mouth: Mouth) -> OpeningWork:
    """What a faced top asks and gives while the bag is closed: its edges stay raw till then."""
    hemmed = hem_opening(mouth)
    return OpeningWork(
        before_folding=(),
        edges_turned=(FACED,),
        fold=hemmed.fold,
        folding_measures=hemmed.folding_measures,
        turn=hemmed.turn,
        put_in=hemmed.put_in,
        pierced=(mark("facing"),),
        pierces_all=mark(
            "Laid in last, it has no needle holes except at the seams. The {seams} seams still "
            "pierce it: there it lets water through."
        ),
    )


def facing_operations(bench: Bench, facing: Facing) -> tuple[Operation, ...]:
    """From cutting its strips to stitching it down inside."""
    pieces = tuple(facing_piece(run.face) for run in bench.site.mouth.runs)
    return (
        *(_cut(bench, each) for each in _alike(bench, pieces)),
        _join(bench, pieces),
        _turn_under(bench, pieces),
        _sew_on(bench, facing, pieces),
        _stitch_down(bench, facing, pieces),
    )


def _alike(bench: Bench, pieces: tuple[PieceId, ...]) -> list[tuple[PieceId, ...]]:
    """Strips of one width together."""
    found: dict[float, list[PieceId]] = {}
    for each in pieces:
        found.setdefault(round(bench.draft.piece(each).width, 6), []).append(each)
    return [tuple(each) for each in found.values()]


def _cut(bench: Bench, pieces: tuple[PieceId, ...]) -> Operation:
    labelled = [bench.draft.piece(each) for each in pieces]
    piece = labelled[0]
    left, low, right, top = piece.bounds
    template = mark("From the {goods} cut one strip, {facing_length} long and {facing_width} wide.")
    if len(pieces) > 1:
        template = mark(
            "From the {goods} cut two strips, {facing_length} long, {facing_width} wide."
        )
    return Operation(
        key=f"cut {piece.label}",
        action=Action.CUT,
        phase=Phase.CUT,
        title=say("Cut the {pieces}", terms={"pieces": Listing([each.label for each in labelled])}),
        instructions=(
            say(
                template,
                words={"goods": bench.cloth(piece.id).role},
                facing_length=piece.width,
                facing_width=piece.height,
            ),
        ),
        check=say(_LONG_ROUND if bench.site.mouth.of_one_piece else _LONG),
        measures=(
            measured("facing_length", piece.width, piece.id, (left, low), (right, low)),
            measured("facing_width", piece.height, piece.id, (left, low), (left, top)),
        ),
        makes=tuple(CUT.for_(each) for each in pieces),
        pieces=pieces,
        scene=PieceScene(),
    )


def _cloth(bench: Bench, pieces: tuple[PieceId, ...]) -> float:
    return bench.cloth(pieces[0]).pressed


def _join(bench: Bench, pieces: tuple[PieceId, ...]) -> Operation:
    piece = bench.draft.piece(pieces[0])
    seam = piece.edges[1].allowance
    length = len(pieces) * piece.height
    flat = _around(bench, pieces) / 2
    return Operation(
        key="join facing",
        action=Action.JOIN,
        phase=Phase.TOP,
        title=say("Join the facing to a ring"),
        instructions=(
            say("Lay the strips end to end, right sides together, in the order of the top edges."),
            say("Sew the ends {end_seam} from the edge, and press the seams open.", end_seam=seam),
        ),
        check=say("Laid flat, the ring is {ring_flat} wide: half of the mouth.", ring_flat=flat),
        needs=tuple(CUT.for_(each) for each in pieces),
        measures=sized(MeasurePlace.DERIVED, end_seam=seam, ring_flat=flat),
        makes=(_RING,),
        pieces=pieces,
        seams=tuple(SeamId("top", SeamRole.PART, each.face) for each in pieces),
        setting=bench.seam,
        stitching=(Stitching(mark("joins of the facing"), length, 2 * _cloth(bench, pieces)),),
        pressing=bench.iron_for(pieces[0]),
        allowance=seam,
        scene=PieceScene(),
    )


def _around(bench: Bench, pieces: tuple[PieceId, ...]) -> float:
    """Once round the ring, its ends joined, mm."""
    strips = (bench.draft.piece(each) for each in pieces)
    return math.fsum(one.width - one.edges[1].allowance - one.edges[3].allowance for one in strips)


def _turn_under(bench: Bench, pieces: tuple[PieceId, ...]) -> Operation:
    return Operation(
        key="hem facing",
        action=Action.HEM,
        phase=Phase.TOP,
        title=say("Turn the facing's lower edge under"),
        instructions=(
            say(
                "Turn {turned} of the ring's lower edge to its wrong side and press.",
                turned=LOWER_HEM,
            ),
            say("Sew it down all round."),
        ),
        why=say("Later this edge lies inside the bag, where it would fray."),
        needs=(_RING,),
        until=(FACED,),
        measures=sized(MeasurePlace.DERIVED, turned=LOWER_HEM),
        makes=(_NEAT,),
        pieces=pieces,
        setting=bench.topstitch,
        stitching=(
            Stitching(
                mark("facing's lower edge"), _around(bench, pieces), 2 * _cloth(bench, pieces)
            ),
        ),
        pressing=bench.iron_for(pieces[0]),
        without_change=SewnAs.SEAM.at_seam_stitch,
        scene=PieceScene(),
    )


def _sew_on(bench: Bench, facing: Facing, pieces: tuple[PieceId, ...]) -> Operation:
    mouth = bench.site.mouth
    (stack,) = (each.thickness(bench.wall) for each in facing.crossings(bench.site))
    do = [
        say(_SLIP_ON_ONE if mouth.of_one_piece else _SLIP_ON),
        say("Sew {zip_seam} from the edge all round.", zip_seam=mouth.allowance),
    ]
    if bench.has_straps:
        do.insert(1, say("Keep the loose handles out of the way."))
    return Operation(
        key="join facing to top",
        action=Action.JOIN,
        phase=Phase.TURN,
        title=say("Sew the facing to the top edge"),
        instructions=tuple(do),
        why=say("Sewn on in the round, the facing holds the top edge in its shape."),
        check=say("The seam meets itself, and nothing is caught in it."),
        caution=say(
            "Where its joins lie on the bag's seams, the layers are {stack} thick when pressed: go "
            "slowly, and turn the hand wheel.",
            stack=stack,
        ),
        needs=(TURNED, _NEAT),
        until=(PRESSED, INSERT_IN),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, zip_seam=mouth.allowance),
            *sized(MeasurePlace.DERIVED, stack=stack),
        ),
        makes=(FACED,),
        pieces=(*bench.walls, *pieces),
        seams=tuple(SeamId("top", SeamRole.MOUTH, run.face) for run in mouth.runs),
        setting=bench.seam,
        stitching=(
            Stitching(
                mark("facing seams"),
                _around(bench, pieces),
                bench.wall + _cloth(bench, pieces),
            ),
        ),
        allowance=mouth.allowance,
        scene=FoldedView(),
    )


_LONG = mark("Each is just as long as the top edge that it is for.")
_LONG_ROUND = mark("Between its two allowances each is as long as half of the way round the top.")
_SLIP_ON = mark(
    "Slip the ring over the turned bag, right sides together, raw edges level, its joins on the "
    "bag's seams."
)
_SLIP_ON_ONE = mark(
    "Slip the ring over the turned bag, right sides together, raw edges level, one join on the "
    "side seam and the other opposite."
)


def _stitch_down(bench: Bench, facing: Facing, pieces: tuple[PieceId, ...]) -> Operation:
    edges = tuple(run.edge for run in bench.site.mouth.runs)
    stack = bench.wall + 2 * _cloth(bench, pieces)
    length = 2 * _around(bench, pieces)
    return Operation(
        key="topstitch facing",
        action=Action.TOPSTITCH,
        phase=Phase.TURN,
        title=say("Stitch the facing down"),
        instructions=(
            say("Turn the facing to the inside, roll the seam onto the edge and press."),
            say(
                "Topstitch all round, {edge_distance} from the edge.", edge_distance=bench.near_edge
            ),
            say(
                "Topstitch along the facing's lower edge, {facing_depth} below the top edge.",
                facing_depth=facing.depth,
            ),
        ),
        check=say("From the right side both lines run level with the edge."),
        needs=(FACED,),
        until=(PRESSED, INSERT_IN),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, edge_distance=bench.near_edge),
            *sized(MeasurePlace.DERIVED, facing_depth=facing.depth),
        ),
        makes=(_DOWN,),
        pieces=(*bench.walls, *pieces),
        edges=edges,
        setting=bench.topstitch,
        stitching=(Stitching(mark("topstitching of the facing"), length, stack),),
        pressing=bench.wall_iron,
        without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
        scene=FoldedView(new_areas=frozenset({AreaKind.FACING})),
    )
