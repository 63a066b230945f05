"""Sewing the separate base: what is cut and marked before it is closed. mm."""

import math
from collections.abc import Iterator, Mapping

from core.base.sentences import Last, Listing, Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.closing import closing_operations
from core.bodies.separate_base.draft import BASE
from core.bodies.separate_base.sizes import BASE_WIDTH, BODY_WIDTH, END_WIDTH
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
    corners = tuple(_corner_marks(bench, body))
    joins = Marking(
        stage=MarkingStage.JOINS,
        instructions=(
            say(_QUARTERS if body.is_circle else _SIDES),
            *(sentence for sentence, _ in corners),
        ),
        check=say("Front and back are not swapped: the front is the shorter one.")
        if body.front_trim > 0.0
        else None,
        measures=(
            bench.across("middle", width / 2, Face.FRONT, x=0.0, below=0.0),
            *(measure for _, measures in corners for measure in measures),
        ),
    )
    told = _MIDDLES_OF_ONE if body.body_pieces == 1 else _MIDDLES
    middle = Sentence(told, {"middle": width / 2})
    return joins, Marking(stage=MarkingStage.TOP, instructions=(middle,))


_SIDES = mark(
    "At the lower edge of the walls and round the base mark the middles of the four sides, and "
    "write on each which side it is."
)
_QUARTERS = mark(
    "Fold the base in half both ways and mark its quarters: front, back and both sides. At the "
    "lower edge of the walls mark the middles of front and back, and of both sides."
)
_MIDDLES = mark("At the top edges of front and back mark the middle, {middle} from the side.")
_MIDDLES_OF_ONE = mark(
    "At the top edge mark the middles of front and back, {middle} from either end of the walls."
)


def _corner_marks(
    bench: Bench, body: SeparateBase
) -> Iterator[tuple[Sentence, tuple[Measure, ...]]]:
    """Where the corners begin and end, on the base and on walls that go round them."""
    rounding, straight = body.corner_rounding, body.base_cut_width / 2 - body.corner_rounding
    if body.body_pieces == 4 or not shorter(0.0, min(straight, body.way_round)):
        return  # they are where the walls are joined; or every corner begins at a middle
    seat = bench.site.front
    # What the walls are longer than the base is eased in all round.
    eased = body.ring_length / body.way_round
    begins = eased * (straight if rounding else straight - body.base_seam)
    ends = begins + eased * max(rounding - body.base_seam, 0.0) * math.pi / 2

    def along(name: str, far: float) -> Measure:
        points = (seat.point(seat.width / 2 + x, -body.base_seam) for x in (0.0, far))
        return measured(name, far, seat.piece, *points)

    if not rounding:
        yield (
            say(
                "Along the lower edge of the walls measure {corner_start} from the middles of "
                "front and back to either side, and mark the corners.",
                corner_start=begins,
            ),
            (along("corner_start", begins),),
        )
        return
    _, _, right, top = bench.draft.piece(BASE).bounds
    yield (
        say(
            "On the base mark both ends of each corner's arc, {corner_rounding} from the edges "
            "beside it.",
            corner_rounding=rounding,
        ),
        (measured("corner_rounding", rounding, BASE, (right - rounding, top), (right, top)),),
    )
    yield (
        say(
            "Along the lower edge of the walls measure from the middles of front and back to "
            "either side. Mark where a corner begins ({corner_start}) and where it ends "
            "({corner_end}).",
            corner_start=begins,
            corner_end=ends,
        ),
        (along("corner_start", begins), along("corner_end", ends)),
    )


_CUT_WALL = {
    None: mark("Cut the walls"),
    Face.FRONT: mark("Cut the front"),
    Face.BACK: mark("Cut the back"),
    Face.LEFT: mark("Cut the left side"),
    Face.RIGHT: mark("Cut the right side"),
    Face.BASE: mark("Cut the base"),
}
_FROM_ONE: Mapping[str, Template] = {
    BODY_WIDTH.name: mark(
        "From the {goods} cut one rectangle, {body_width} wide and {body_height} high."
    ),
    END_WIDTH.name: mark(
        "From the {goods} cut one rectangle, {body_end_width} wide and {body_height} high."
    ),
    BASE_WIDTH.name: mark(
        "From the {goods} cut one base, {base_cut_width} wide and {base_cut_depth} deep."
    ),
}
_FROM_EACH: Mapping[str, Template] = {
    BODY_WIDTH.name: mark(
        "From each layer ({goods}) cut one rectangle, {body_width} wide and {body_height} high, "
        "all of the same size."
    ),
    END_WIDTH.name: mark(
        "From each layer ({goods}) cut one rectangle, {body_end_width} wide and {body_height} "
        "high, all of the same size."
    ),
    BASE_WIDTH.name: mark(
        "From each layer ({goods}) cut one base, {base_cut_width} wide and {base_cut_depth} deep, "
        "all of the same size."
    ),
}
"""By the figure that a piece's width comes from."""
_ROUNDED = mark("Round its corners off in an arc of radius {corner_rounding}.")
_CIRCLE = mark("Round it off to a circle of radius {corner_rounding}.")


def _cut(bench: Bench, body: SeparateBase, wall: PieceId) -> Operation:
    piece = bench.draft.piece(wall)
    words = {"goods": Listing([layer.role for layer in bench.layers], Last.COMMA)}
    is_base = wall == BASE
    told = (_FROM_EACH if bench.layered else _FROM_ONE)[piece.sized_by[0]]
    sizes = dict(zip(piece.sized_by, (piece.width, piece.height), strict=True))
    do = [Sentence(told, sizes, words)]
    do += bench.cut_larger
    check = say("Opposite edges are equally long, and the corners square.")
    if is_base and body.corner_rounding:
        check = say("Folded in half both ways, the edges lie on one another.")
        told = _CIRCLE if body.is_circle else _ROUNDED
        do.append(say(told, corner_rounding=body.corner_rounding))
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
        measured(piece.sized_by[0], piece.width, piece.id, (left, bottom), (right, bottom)),
        measured(piece.sized_by[1], piece.height, piece.id, (right, bottom), (right, top)),
    ]
    radius = body.corner_rounding
    if piece.id == BASE and radius:
        ends = (left, top), (left + radius, top)
        found.append(measured("corner_rounding", radius, piece.id, *ends))
    return tuple(found)
