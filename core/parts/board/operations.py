"""Sewing with a base board: cutting it, then laying it in last or fusing it on early. mm."""

from core.base.sentences import Listing, Sentence, Term, say, typed
from core.base.tolerance import shorter
from core.flat.piece import Point
from core.flat.roles import FACES, Face, MarkRole
from core.parts.board.board import BOARD, BaseBoard, BoardWay, board_room
from core.space.zones import AreaKind
from core.work.bench import Bench
from core.work.machine import Heat, Pressing
from core.work.operation import Action, Measure, MeasurePlace, Operation, measured, sized
from core.work.scene import FoldedView, PieceScene
from core.work.states import (
    BASE,
    CUT,
    FUSED,
    INSERT_IN,
    LINED,
    PATCHES_SEWN,
    PRESSED,
    STRAPS_SECURED,
    STRAPS_SEWN,
    TURNED,
)


def board_operations(bench: Bench, board: BaseBoard) -> tuple[Operation, ...]:
    """Cut it, and bring it into the bottom in its own way."""
    bring = _lay_in if board.way is BoardWay.LAID_IN else _fuse
    return (_cut(bench, board), bring(bench, board))


def _cut(bench: Bench, board: BaseBoard) -> Operation:
    name, wide, deep = BOARD, board.width, board.depth
    rounding, why = board.radius(bench.site), say("So round it lies in the corners of the bottom.")
    rounding = bench.on_ruler(rounding)
    if not rounding:
        rounding = min(bench.rounding, min(wide, deep) / 4)
        why = say("Sharp corners wear through the seams.")
    return Operation(
        key="cut base board",
        action=Action.CUT,
        title=say("Cut the base board"),
        instructions=(
            say(
                "Cut the board {board_width} x {board_depth}.",
                board_width=board.width,
                board_depth=board.depth,
            ),
            say("Round its corners to a radius of about {rounding}.", rounding=rounding),
        ),
        why=why,
        measures=(
            measured("board_width", wide, name, (0.0, 0.0), (wide, 0.0)),
            measured("board_depth", deep, name, (wide, 0.0), (wide, deep)),
            *sized(MeasurePlace.RADIUS, rounding=rounding),
        ),
        makes=(CUT.for_(BOARD),),
        pieces=(BOARD,),
        scene=PieceScene(),
    )


def _lay_in(bench: Bench, board: BaseBoard) -> Operation:
    ends, sides = _clearances(bench, board)
    return Operation(
        key="lay in base board",
        action=Action.LAY_IN,
        title=say("Lay in the base board"),
        instructions=(say(bench.opening.put_in, board_width=board.width, board_depth=board.depth),),
        why=say(
            "This comes last because the board covers the stitching of the bottom and "
            "stiffens the bag."
        ),
        check=_lies_flat(bench, board),
        needs=(TURNED, CUT.for_(BOARD)),
        after=(PRESSED,),
        measures=(
            *sized(MeasurePlace.WIDTH, board_width=board.width),
            *sized(MeasurePlace.DEPTH, board_depth=board.depth),
            *sized(MeasurePlace.BESIDE, ends=ends),
            *sized(MeasurePlace.BEFORE_AND_BEHIND, sides=sides),
        ),
        makes=(INSERT_IN,),
        pieces=(BOARD, *bench.walls),
        marks=bench.marks("board", MarkRole.OUTLINE),
        scene=FoldedView(pitch=34.0, through=True, new_areas=frozenset({AreaKind.STIFFENER})),
    )


def _lies_flat(bench: Bench, board: BaseBoard) -> Sentence:
    """What is left around it, between the walls."""
    if not shorter(0.0, min(board_room(board.way, bench.site, bench.finished))):
        return say("At these sizes there is no room for it between the walls.")
    width, depth = board_room(board.way, bench.site, bench.finished)
    if shorter(min(width - board.width, depth - board.depth), 0.0):
        return say("At these sizes it does not lie flat: trim it until it does.")
    ends, sides = _clearances(bench, board)
    if not shorter(0.0, min(ends, sides)):
        return say("It lies flat and does not press on the seams.")
    return say(
        "It lies flat, {ends} clear of the seams at either end and {sides} at front and back.",
        ends=ends,
        sides=sides,
    )


def _clearances(bench: Bench, board: BaseBoard) -> tuple[float, float]:
    """Free room at either end of a board that is laid in, and at its front and back; mm.

    As a ruler shows it: it is looked at, and nothing is cut by it.
    """
    width, depth = board_room(board.way, bench.site, bench.finished)
    return bench.on_ruler((width - board.width) / 2), bench.on_ruler((depth - board.depth) / 2)


def _fuse(bench: Bench, board: BaseBoard) -> Operation:
    """Onto the wrong side, before the layer that covers it.

    Where the lining is laid in last, and on a wall of one layer, handles and pocket are
    sewn on before: the needle cannot go through a board. Where all layers are basted at
    once it lies beneath the innermost from the start.
    """
    basted_in, under, goods = (
        bench.site.sandwich.basted_in_one,
        bench.under_board,
        bench.cloth(BOARD),
    )
    tender = [layer.role for layer in (*under, goods) if layer.melts]
    ironed = goods.fusible and not tender
    return Operation(
        key="fuse base board" if ironed else "lay on base board",
        action=Action.FUSE if ironed else Action.LAY_ON,
        title=say("Fuse the base board on") if ironed else say("Tape the base board on"),
        instructions=(
            *_outline(bench, board, typed(under[-1].role) if basted_in else bench.site.body),
            *(_ironed() if ironed else _taped(tender)),
        ),
        why=say(
            "It goes under the innermost layer and cannot be reached once the layers are basted."
        )
        if basted_in
        else say(
            "Not before now: nothing can be stitched through the board, and it covers "
            "the stitching of the parts sewn on."
        ),
        check=_stays_clear(bench, board),
        caution=say("Use the heat and time given on the board's label; test on a scrap first.")
        if ironed
        else None,
        needs=(*(CUT.for_(name) for name in bench.walls), CUT.for_(BOARD))
        if basted_in
        else (BASE, CUT.for_(BOARD)),
        after=(FUSED,)
        if basted_in
        else (
            *bench.closing.joined,
            *bench.edges_first,
            STRAPS_SEWN,
            STRAPS_SECURED,
            PATCHES_SEWN,
        ),
        until=(BASE,) if basted_in else (LINED, *bench.edges_later, *bench.flat_ends),
        measures=_outline_measures(bench, board),
        pieces=(BOARD, *bench.walls),
        marks=bench.marks("board", MarkRole.OUTLINE),
        pressing=Pressing(Heat.MEDIUM, cloth=True) if ironed else None,
    )


def _outline(bench: Bench, board: BaseBoard, wall: Term) -> tuple[Sentence, ...]:
    if not _runs_on(bench) or Face.BASE in bench.site.seats:
        return _on_base(bench, board)
    width, (_, far) = bench.site.front.width, _to_bottom(bench)
    find = say(
        "Lay the {wall} wrong side up and draw the bottom fold across it, {front_length} below "
        "the front's top edge.",
        terms={"wall": wall},
        front_length=far,
    )
    if bench.closing.joins:
        find = say(
            "Lay the {wall} wrong side up: the middle of the board lies on the bottom seam.",
            terms={"wall": wall},
        )
    if bench.closing.apart:
        find = say(
            "Lay the {wall} wrong side up: the middle of the board lies on the join in the middle "
            "of the bottom.",
            terms={"wall": wall},
        )
    beside = (width - board.width) / 2
    draw = say(
        "Draw the board's outline there: its ends {board_side} from the side edges, its long "
        "sides {half_depth} from that line.",
        board_side=beside,
        half_depth=board.depth / 2,
    )
    if shorter(beside, 0.0):
        draw = say(
            "The board is wider than the {body}: trim it before you draw its outline.",
            terms={"body": bench.site.body},
        )
    return find, draw


def _runs_on(bench: Bench) -> bool:
    """Whether front and back run on flat under the bag."""
    return all(bench.site.seats[face].flat_below for face in FACES)


def _on_base(bench: Bench, board: BaseBoard) -> tuple[Sentence, ...]:
    """On a bottom of its own: about its middle, or about the join there."""
    seat = bench.site.seats.get(Face.BASE)
    find = say(
        "Lay the strip wrong side up: the middle of the board lies on the join at the bottom."
    )
    if seat is not None:
        label = bench.draft.piece(seat.piece).label
        find = say(
            "Lay the {piece} wrong side up: the middle of the board lies on the middle of the "
            "bottom.",
            terms={"piece": label},
        )
    draw = say(
        "Draw the board's outline there: its ends {half_width} from that middle, its long sides "
        "{half_depth}.",
        half_width=board.width / 2,
        half_depth=board.depth / 2,
    )
    return find, draw


def _base_measures(bench: Bench, board: BaseBoard) -> tuple[Measure, ...]:
    """From the middle of the bottom, and what is left around the board."""
    wide, deep = board.width / 2, board.depth / 2
    ends, sides = _clear_of_seams(bench, board)
    seat = bench.site.seats.get(Face.BASE)
    if seat is None:
        return sized(MeasurePlace.DERIVED, half_width=wide, half_depth=deep, clear=min(ends, sides))
    middle = seat.width / 2

    def span(name: str, length: float, start: Point, end: Point) -> Measure:
        (x0, y0), (x1, y1) = start, end
        ways = seat.point(middle + x0, y0), seat.point(middle + x1, y1)
        return measured(name, length, seat.piece, *ways)

    clear = span("clear", ends, (wide, 0.0), (wide + ends, 0.0))
    if sides < ends:
        clear = span("clear", sides, (0.0, deep), (0.0, deep + sides))
    return (
        span("half_width", wide, (0.0, 0.0), (wide, 0.0)),
        span("half_depth", deep, (0.0, 0.0), (0.0, deep)),
        clear,
    )


def _to_bottom(bench: Bench) -> tuple[float, float]:
    """The front's top edge below where it was cut, and from there to the bottom line; mm."""
    edge = 0.0 if bench.site.sandwich.basted_in_one else bench.turned_in
    return edge, bench.site.front.top - edge


def _outline_measures(bench: Bench, board: BaseBoard) -> tuple[Measure, ...]:
    """Where the outline lies on the flat wall, and what is left around it."""
    if not _runs_on(bench) or Face.BASE in bench.site.seats:
        return _base_measures(bench, board)
    width, name, (edge, far) = bench.site.front.width, bench.walls[0], _to_bottom(bench)
    beside, half = (width - board.width) / 2, board.depth / 2
    found = [
        bench.down("front_length", far, Face.FRONT, x=width, start=edge),
        measured("board_side", beside, name, (0.0, 0.0), (beside, 0.0)),
        measured("half_depth", half, name, (width - beside, 0.0), (width - beside, half)),
    ]
    ends, sides = _clear_of_seams(bench, board)
    end = width - beside
    if ends <= sides:
        found.append(measured("clear", ends, name, (end, half), (end + ends, half)))
    else:
        middle = width / 2
        found.append(measured("clear", sides, name, (middle, half), (middle, half + sides)))
    return tuple(found)


def _ironed() -> tuple[Sentence, ...]:
    return (
        say(
            "Lay the board in its outline, glue side down, and press from the middle "
            "outwards: hold the iron in place for as long as the label says, lift it, and "
            "move on."
        ),
    )


def _taped(tender: list[str]) -> tuple[Sentence, ...]:
    held = say(
        "Hold the board in its outline with double-sided basting tape along its edges; never "
        "sew through it."
    )
    if not tender:
        return (held,)
    return (held, say("Do not iron: heat damages the {goods}.", words={"goods": Listing(tender)}))


def _stays_clear(bench: Bench, board: BaseBoard) -> Sentence:
    """What is left on the flat wall between the board and the seam lines around the bottom."""
    ends, sides = _clear_of_seams(bench, board)
    if not shorter(0.0, min(ends, sides)):
        return say("At these sizes it reaches the seam lines of the bottom: trim it.")
    return say("It stays {clear} clear of every seam line of the bottom.", clear=min(ends, sides))


def _clear_of_seams(bench: Bench, board: BaseBoard) -> tuple[float, float]:
    """From the board's ends, and its long sides, to the seam lines around the bottom; mm."""
    drawn = bench.drawn
    ends = ((drawn["base_width"] or 0.0) - board.width) / 2
    return ends, ((drawn["gusset_depth"] or 0.0) - board.depth) / 2
