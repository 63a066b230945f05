"""Closing the separate base: sides, lower edge, base seam; then neatened, turned, measured. mm."""

from collections.abc import Hashable, Iterator
from dataclasses import replace

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.allowances import SewnAllowances, walls_at_corner
from core.bodies.finishing import END_TO_END, measure_bag, overcast_inside, turn_bag
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.crossings import side_allowances
from core.bodies.separate_base.lower_edge import (
    BASE_SEWN,
    CLIPPED,
    clip_operations,
    walls_around,
)
from core.bodies.under_foot import under_foot
from core.flat.geometry import corners_of
from core.flat.ink import Ink
from core.flat.roles import SIDES, Face, SeamRole, Side
from core.flat.seam import WalkedSeam
from core.space.zones import AreaKind
from core.work.bench import Bench, ClosingWork
from core.work.operation import (
    Action,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    sized,
)
from core.work.scene import (
    FOLDED_FLAT,
    SEWN,
    WIDE,
    Diagram,
    DiagramArea,
    DiagramLine,
    FoldedView,
    Placed,
)
from core.work.states import (
    SIDES_CAUGHT,
    SIDES_TACKED,
    STRAPS_SECURED,
    TURNED,
    WALL,
    State,
)

_FOLDED = State("the walls lie right sides together")
_SIDE = State("the walls are joined at the side")
_UNDER = FoldedView(pitch=-24.0, yaw=52.0, wrong_side=True)
"""The bag seen from its end and from below, wrong side out."""


def closing_of(body: SeparateBase) -> ClosingWork:
    """What top, parts and wall ask of how it closes."""
    sides = tuple(_SIDE.for_(each) for each in _sides_of(body))
    return ClosingWork(
        joined=(),
        flat_ends=(_FOLDED, *sides),
        sides=sides,
        every=(*sides, BASE_SEWN),
        scene=_UNDER,
        narrowest=min(body.side_seam, body.base_seam, body.top_seam),
        pierced=(mark("side"), mark("base")),
        apart=True,
    )


def _sides_of(body: SeparateBase) -> tuple[Hashable, ...]:
    """What each join of the walls is told by."""
    if body.body_pieces == 1:
        return (Side.LEFT,)
    if body.body_pieces == 2:
        return SIDES
    return tuple((face, side) for face in (Face.FRONT, Face.BACK) for side in SIDES)


def closing_operations(bench: Bench, body: SeparateBase) -> tuple[Operation, ...]:
    """From the flat walls to the finished bag."""
    return (
        *_fold(bench, body),
        *_joins(bench, body),
        *clip_operations(bench, body),
        _sew_base(bench, body),
        _overcast(bench, body),
        _turn(bench),
        _measure(bench),
    )


def _fold(bench: Bench, body: SeparateBase) -> tuple[Operation, ...]:
    """Walls of one or two pieces are laid on one another; four are joined one by one."""
    if body.body_pieces == 4:
        return ()
    offset = bench.drawn.get("zip_offset") or 0.0
    is_over = body.body_pieces == 2 and bool(bench.opening.pieces) and shorter(0.0, offset)
    told = say("Lay front and back right sides together, the top edges level.")
    if body.body_pieces == 1:
        told = say("Fold the walls right sides together, so that their two ends lie level.")
    elif is_over:
        told = say(
            "Fold the walls right sides together at the top. The back comes forward there: the "
            "middle of the zip lies {zip_offset} below the fold, on the front.",
            zip_offset=offset,
        )
    elif bench.opening.pieces:
        told = say(
            "Fold the walls right sides together at the top: the fold runs along the middle of "
            "the zip."
        )
    elif shorter(0.0, body.front_trim):
        told = say(
            "Lay front and back right sides together, the lower edges level: the back's top edge "
            "lies {front_trim} above the front's.",
            front_trim=body.front_trim,
        )
    straps = say("The raw edges are level, and the loose handles are inside, clear of them.")
    return (
        Operation(
            key="fold walls",
            phase=Phase.CLOSE,
            action=Action.FOLD,
            title=say("Lay the walls right sides together"),
            instructions=(told, say("Pin or clip the side edges from the top to the bottom.")),
            why=say("Everything that is sewn on flat must be in place by now."),
            check=straps if bench.has_straps else say("The raw edges are level."),
            needs=(WALL, *bench.opening.before_folding),
            after=(STRAPS_SECURED, SIDES_CAUGHT),
            measures=(
                *sized(MeasurePlace.DIAGRAM, zip_offset=offset),
                *sized(MeasurePlace.DERIVED, front_trim=body.front_trim),
            ),
            makes=(_FOLDED,),
            pieces=walls_around(bench, body),
            scene=_comes_forward(bench, body, offset) if is_over else FOLDED_FLAT,
        ),
    )


def _comes_forward(bench: Bench, body: SeparateBase, offset: float) -> Diagram:
    """The walls on one another, wrong side out, from the front: the zip lies below the fold."""
    wide, high = body.body_width, bench.drawn["face_height"] or 0.0
    show = 2 * (offset - (bench.drawn["zip_clearance"] or 0.0))
    low, middle, up = (high - offset + share * show for share in (-0.5, 0.0, 0.5))
    return Diagram(
        bounds=(0.0, 0.0, wide, high),
        paper=WIDE,
        drawn=(
            DiagramArea(Ink.INSIDE, corners_of((0.0, 0.0, wide, high))),
            DiagramArea(Ink.PART, corners_of((0.0, low, wide, up))),
            DiagramLine(Ink.STITCH, ((0.0, middle), (wide, middle))),
            *(DiagramLine(Ink.NEW, ((x, 0.0), (x, high))) for x in (0.0, wide)),
        ),
        placed=(Placed("zip_offset", offset, (wide, middle), (wide, high)),),
    )


def _joins(bench: Bench, body: SeparateBase) -> Iterator[Operation]:
    if body.body_pieces == 2:
        for side in SIDES:
            walked = bench.walked(SeamRole.SIDE, side=side)
            yield _join(bench, body, walked, side, _SIDE_TITLES[side], side.value)
    elif body.body_pieces == 1:
        (walked,) = bench.seams(SeamRole.STRIP)
        yield _join(bench, body, walked, Side.LEFT, _ONE_TITLE, Side.LEFT.value)
    else:
        for walked in bench.seams(SeamRole.STRIP):
            face, end = walked.seam.id.face, walked.seam.id.side
            if face is not None and end is not None:
                name = f"{face.value} {end.value}"
                yield _join(bench, body, walked, (face, end), _CORNER_TITLES[face, end], name)


def _join(
    bench: Bench, body: SeparateBase, walked: WalkedSeam, of: Hashable, title: Template, name: str
) -> Operation:
    """One seam from the top down; of four walls it stops at the base seam, and short of a lid."""
    four = body.body_pieces == 4
    stack, caution, thicknesses = under_foot(bench, walked)
    lid_seam = bench.opening.lid_seam
    caught = tuple(dict.fromkeys(ref.piece for ref in walked.seam.caught))
    sewn = say(_IN_FULL, side_seam=body.side_seam, seam_length=walked.length)
    told = {"side_seam": body.side_seam, "base_seam": body.base_seam, "seam_length": walked.length}
    why = bench.opening.why_side
    if four and lid_seam is not None:
        sewn = Sentence(_STOP_AT_BOTH, {"lid_seam": lid_seam, **told})
        why = say("Above and below that the walls must open, to go round the corners.")
    elif four:
        sewn = Sentence(_STOP_SHORT, told)
        why = say("Below that the walls must open, to go round the corner of the base.")
    do = [sewn, say("Backstitch at both ends.")]
    if four:
        do.insert(0, say("Lay the two walls right sides together, their side edges level."))
    if caught:
        do.insert(1, say("The pocket's side is caught in the seam."))
    if bench.opening.side is not None:
        do.insert(1, bench.opening.side)
    own = tuple(dict.fromkeys(ref.piece for ref in walked.seam.edges))
    return Operation(
        key=f"join side seam {name}",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say(title),
        instructions=tuple(do),
        why=why,
        check=say("The raw edges are level at the bottom, and nothing else was caught."),
        caution=caution,
        needs=(WALL, *bench.opening.before_folding) if four else (_FOLDED,),
        after=(STRAPS_SECURED, SIDES_CAUGHT),
        until=(TURNED, BASE_SEWN),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, side_seam=body.side_seam),
            *sized(MeasurePlace.SEAM, seam_length=walked.length),
            *sized(MeasurePlace.DERIVED, base_seam=body.base_seam),
            *thicknesses,
            *(() if lid_seam is None else sized(MeasurePlace.DERIVED, lid_seam=lid_seam)),
        ),
        makes=(_SIDE.for_(of),),
        pieces=tuple(dict.fromkeys((*own, *caught))),
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(
            Stitching(
                mark("side seam") if body.body_pieces == 1 else mark("side seams"),
                max(walked.length, 0.0),
                stack,
            ),
        ),
        allowance=body.side_seam,
        scene=_UNDER if four else FOLDED_FLAT,
    )


_IN_FULL = mark("Sew from the top to the bottom, {side_seam} from the edge: {seam_length} of seam.")
_STOP_SHORT = mark(
    "Sew from the top down, {side_seam} from the edge, and stop {base_seam} above the lower edge: "
    "{seam_length} of seam."
)
_STOP_AT_BOTH = mark(
    "Sew {side_seam} from the edge, from {lid_seam} below the top edge to {base_seam} above the "
    "lower edge: {seam_length} of seam."
)
_SIDE_TITLES = {
    Side.LEFT: mark("Sew the side seam, left"),
    Side.RIGHT: mark("Sew the side seam, right"),
}
_ONE_TITLE = mark("Sew the walls into a ring")
_CORNER_TITLES = {
    (Face.FRONT, Side.LEFT): mark("Join front and left side"),
    (Face.FRONT, Side.RIGHT): mark("Join front and right side"),
    (Face.BACK, Side.LEFT): mark("Join back and left side"),
    (Face.BACK, Side.RIGHT): mark("Join back and right side"),
}


_OPEN = mark("Press the side seams open where the base seam crosses them.")
_OPEN_ONE = mark("Press the side seam open where the base seam crosses it.")
_ASIDE = mark("Turn each side seam's allowances to one side.")
_ASIDE_ONE = mark("Turn the side seam's allowances to one side.")


_PIN_SIDES = mark(
    "Pin the base to the lower edge of the walls, right sides together: first the middles of all "
    "four sides, then the other match marks."
)
_PIN_QUARTERS = mark(
    "Pin the base to the lower edge of the walls, right sides together: first its four quarters, "
    "then the edges between them."
)


def _sew_base(bench: Bench, body: SeparateBase) -> Operation:
    (walked,) = bench.seams(SeamRole.BASE)
    length = max(walked.length, walked.mate_length)
    lying, one = side_allowances(bench.site), body.body_pieces == 1
    aside = _ASIDE_ONE if one else _ASIDE
    stack = walls_at_corner(lying, seamed=False) * bench.wall
    twice = shorter(bench.near_edge, body.base_seam)
    turns = say("Where the walls are clipped they open, and lie smoothly round each corner.")
    if body.is_circle:
        turns = say("Where the walls are clipped they open, and lie smoothly round the base.")
    elif not body.corner_rounding:
        turns = say("At each corner stop with the needle down, lift the foot, and turn.")
    do = [
        say(_PIN_QUARTERS if body.is_circle else _PIN_SIDES),
        say((_OPEN_ONE if one else _OPEN) if lying is SewnAllowances.OPEN else aside),
        say(
            "Sew with the walls uppermost, {base_seam} from the edge, from the middle of the "
            "front to the middle of the back. Sew the other half in the same way: {seam_length} "
            "once round.",
            base_seam=body.base_seam,
            seam_length=length,
        ),
        turns,
    ]
    if twice:
        do.append(
            say(
                "Sew a second row {close} beside it, within the allowance: it carries what the "
                "bag holds, and holds the clips.",
                close=bench.near_edge,
            )
            if body.corner_rounding
            else say(
                "Sew a second row {close} beside it, within the allowance: it carries what the "
                "bag holds.",
                close=bench.near_edge,
            )
        )
    return Operation(
        key="join base seam",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say("Sew the base in"),
        instructions=tuple(do),
        why=say("From a middle to a middle, what one edge gains on the other stays small."),
        check=say("All match marks meet, and no fold of the walls was caught."),
        caution=say(
            "Where the seams cross, the layers are {stack} thick when pressed: go slowly, and "
            "turn the hand wheel.",
            stack=stack,
        ),
        needs=(WALL, *bench.closing.sides, *bench.opening.way_out),
        after=(CLIPPED, SIDES_TACKED),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, base_seam=body.base_seam),
            *sized(MeasurePlace.SEAM, seam_length=length),
            *sized(MeasurePlace.DERIVED, stack=stack, close=bench.near_edge),
        ),
        makes=(BASE_SEWN,),
        pieces=(*bench.walls, *bench.opening.pieces),
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(Stitching(mark("base seam"), (2 if twice else 1) * length, 2 * bench.wall),),
        allowance=body.base_seam,
        pressing=bench.wall_iron if lying is SewnAllowances.OPEN else None,
        scene=_UNDER,
    )


_ZIGZAG = mark(
    "Sew a zigzag over the raw edges of the side seams and of the base seam, all layers together."
)
_ZIGZAG_OVER_ONE = mark(
    "Sew a zigzag over the raw edges of the side seam and of the base seam, all layers together."
)
_ZIGZAG_OVER_LID = mark(
    "Sew a zigzag over the raw edges of the side seams, of the base seam and of the top strip's "
    "seam, all layers together."
)


def _overcast(bench: Bench, body: SeparateBase) -> Operation:
    one = body.body_pieces == 1
    sides = bench.seam_length(SeamRole.SIDE) + bench.seam_length(SeamRole.STRIP)
    seams = {
        mark("overcasting the side seam") if one else mark("overcasting the side seams"): sides,
        mark("overcasting the base seam"): bench.seam_length(SeamRole.BASE),
    }
    raw = say(_ZIGZAG_OVER_ONE if one else _ZIGZAG)
    if bench.opening.lid_seam is not None:
        seams[mark("overcasting the top seam")] = bench.seam_length(SeamRole.MOUTH)
        raw = say(_ZIGZAG_OVER_LID)
    return overcast_inside(bench, (raw, say(END_TO_END)), seams)


def _turn(bench: Bench) -> Operation:
    smooth = say("Push the edge of the base out from inside with something blunt.")
    seen = replace(SEWN, new_areas=frozenset({AreaKind.WALL}), new_lines=frozenset())
    return turn_bag(bench, pushed=smooth, scene=seen)


def _measure(bench: Bench) -> Operation:
    opening, base, gusset, face = sizes = [bench.finished[name] or 0.0 for name in _MEASURED]
    do = [
        say("Lay the top flat: the opening is {opening_width} wide.", opening_width=opening),
        say(
            "Stand it up: the bottom is {base_width} wide and {gusset_depth} deep, and the walls "
            "are {face_height} high.",
            base_width=base,
            gusset_depth=gusset,
            face_height=face,
        ),
    ]
    return measure_bag(bench, do, dict(zip(_MEASURED, sizes, strict=True)))


_MEASURED = ("opening_width", "base_width", "gusset_depth", "face_height")
