"""Sewing the separate base: what is cut and marked before it is closed. mm."""

from core.base.sentences import Last, Listing, mark, say
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.closing import closing_operations
from core.bodies.separate_base.draft import BASE
from core.flat.piece import Piece
from core.flat.roles import Face, PieceId
from core.work.bench import Bench
from core.work.operation import (
    Action,
    Marking,
    MarkingStage,
    Measure,
    Operation,
    Phase,
    measured,
)
from core.work.scene import PieceScene
from core.work.states import CUT, OUTLINE_CUT


def base_operations(bench: Bench, body: SeparateBase) -> tuple[Operation, ...]:
    """From the goods to the finished bag."""
    cuts = (_cut(bench, body, wall) for wall in bench.walls if wall.owner == "body")
    return (*cuts, *closing_operations(bench, body))


def base_markings(bench: Bench, body: SeparateBase) -> tuple[Marking, ...]:
    """The match marks, and the middle of the top edges."""
    width = bench.site.front.width
    joins = Marking(
        stage=MarkingStage.JOINS,
        instructions=(
            say(
                "At the lower edge of the walls and round the base mark all match marks: the "
                "middles of the four sides, and where the corners begin and end."
            ),
        ),
        check=say("Front and back are not swapped: the front is the shorter one.")
        if body.front_trim > 0.0
        else None,
        measures=(bench.across("middle", width / 2, Face.FRONT, x=0.0, below=0.0),),
    )
    middle = say(
        "Mark the middle of the front's top edge, {middle} from its side.", middle=width / 2
    )
    return joins, Marking(stage=MarkingStage.TOP, instructions=(middle,))


_CUT_WALL = {
    None: mark("Cut the walls"),
    Face.FRONT: mark("Cut the front"),
    Face.BACK: mark("Cut the back"),
    Face.LEFT: mark("Cut the left side"),
    Face.RIGHT: mark("Cut the right side"),
    Face.BASE: mark("Cut the base"),
}
_FROM_ONE = mark("From the {goods} cut one rectangle, {cut_width} wide and {cut_height} high.")
_FROM_EACH = mark(
    "From each layer ({goods}) cut one rectangle, {cut_width} wide and {cut_height} high, all of "
    "the same size."
)
_BASE_FROM_ONE = mark("From the {goods} cut one base, {cut_width} wide and {cut_height} deep.")
_BASE_FROM_EACH = mark(
    "From each layer ({goods}) cut one base, {cut_width} wide and {cut_height} deep, all of the "
    "same size."
)


def _cut(bench: Bench, body: SeparateBase, wall: PieceId) -> Operation:
    piece = bench.draft.piece(wall)
    words = {"goods": Listing([layer.role for layer in bench.layers], Last.COMMA)}
    is_base = wall == BASE
    told = (_FROM_ONE, _FROM_EACH, _BASE_FROM_ONE, _BASE_FROM_EACH)
    first = told[2 * is_base + bench.layered]
    do = [say(first, words=words, cut_width=piece.width, cut_height=piece.height)]
    do += bench.cut_larger
    check = say("Opposite edges are equally long, and the corners square.")
    if is_base and body.corner_rounding:
        check = say("Folded in half both ways, the edges lie on one another.")
        do.append(
            say(
                "Round its corners off in an arc of radius {corner_rounding}.",
                corner_rounding=body.corner_rounding,
            )
        )
    return Operation(
        key=f"cut {piece.label}",
        phase=Phase.CUT,
        action=Action.CUT,
        title=say(_CUT_WALL[wall.face]),
        instructions=tuple(do),
        check=check,
        measures=_sizes(body, piece),
        makes=(CUT.for_(wall), OUTLINE_CUT),
        pieces=(wall,),
        scene=PieceScene(),
    )


def _sizes(body: SeparateBase, piece: Piece) -> tuple[Measure, ...]:
    left, bottom, right, top = piece.bounds
    found = [
        measured("cut_width", piece.width, piece.id, (left, bottom), (right, bottom)),
        measured("cut_height", piece.height, piece.id, (right, bottom), (right, top)),
    ]
    radius = body.corner_rounding
    if piece.id == BASE and radius:
        ends = (left, top), (left + radius, top)
        found.append(measured("corner_rounding", radius, piece.id, *ends))
    return tuple(found)
