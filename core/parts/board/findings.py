"""What is doubtful about a base board: its room, and the needle. Lengths are mm."""

from collections.abc import Iterator

from core.base.sentences import Number, Sentence, mark, say
from core.base.tolerance import shorter
from core.flat.roles import FACES, Face
from core.model.findings import Finding, Fix, Severity
from core.parts.board.board import (
    LEAST_BOARD,
    LEAST_COVER,
    BaseBoard,
    BoardWay,
    base_of,
    board_room,
    fitting_board,
    ruled_board,
    seam_below,
    suits_room,
)
from core.site.site import Finished, Site


def board_findings(board: BaseBoard, site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether needle and zip stay clear of it, and whether it fits its room and fills it."""
    if finished["gusset_depth"] is None:
        return _fit(board, site, finished)
    closing = tuple(_closing(site, finished))
    if not shorter(0.0, min(base_of(finished))):
        return closing  # there is no bottom at all: that is told of the body
    return (*_sewn_through(board, site, finished), *_fit(board, site, finished), *closing)


def _closing(site: Site, finished: Finished) -> Iterator[Finding]:
    """That front and back of a zipped bag do not meet over a base that a board holds flat."""
    if not site.closed or not site.mouth.closes_flat:
        return
    figure = site.filled_by.get("face_height", "face_height")
    face = finished[figure] or 0.0
    depth = finished["gusset_depth"] or 0.0
    at_side = finished["gusset_depth_at_side"]
    half = (depth if at_side is None else min(depth, at_side)) / 2
    if shorter(half, face) or not shorter(0.0, min(face, half)):
        return
    yield Finding(
        code="zip-does-not-close",
        severity=Severity.WARN,
        figure=figure,
        value=face,
        limit=half,
        message=say(_HARDLY_CLOSES, value=face, limit=half),
    )


def _fit(board: BaseBoard, site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Its size against its room."""
    room = board_room(board.way, site, finished)
    if not shorter(0.0, min(room)):
        # The walls meet: nothing can lie between them.
        told = say(_NO_ROOM, wall=site.wall)
        stop, name, out = Severity.STOP, "board_width", _left_out()
        return (_finding("board-too-big", stop, name, board.width, None, told, out),)
    if suits_room(board, room):
        return tuple(_not_worth_cutting(board))
    fits = fitting_board(room)
    fixes = _cut_to(board, fits, site, finished)
    figures = ("board_width", "board_depth")
    sizes = zip(figures, (board.width, board.depth), room, fits, strict=True)
    found: list[Finding] = []
    for name, size, most, usual in sizes:
        if not shorter(usual, size):
            continue
        tight = not shorter(most, size)
        limit, severity = (usual, Severity.NOTE) if tight else (most, Severity.STOP)
        lengths = {"value": size, "limit": most}
        if tight:
            lengths["spare"] = (most - size) / 2
        told = Sentence(_TIGHT if tight else _TOO_BIG[board.way], lengths)
        found.append(_finding("board-too-big", severity, name, size, limit, told, *fixes))
    if found:
        return (max(found, key=lambda each: each.severity),)
    cover = board.width * board.depth / (fits[0] * fits[1])
    share = {"cover": Number(100 * cover, places=0)}
    told = say(_TOO_SMALL, numbers=share) if cover >= 0.01 else say(_FAR_TOO_SMALL)
    name, size, least = _least_cover(board, fits)
    return (_finding("board-too-small", Severity.WARN, name, size, least, told, *fixes),)


def _not_worth_cutting(board: BaseBoard) -> Iterator[Finding]:
    """That it is a strip at most, though it fills its room."""
    name = "board_width" if board.width < board.depth else "board_depth"
    size = min(board.width, board.depth)
    if shorter(size, LEAST_BOARD):
        told = say(_STRIP, value=size, limit=LEAST_BOARD)
        yield _finding("board-too-small", Severity.WARN, name, size, LEAST_BOARD, told, _left_out())


def _left_out() -> Fix:
    return Fix(say("Leave the board out"), without=(BaseBoard.SLOT,))


def _least_cover(board: BaseBoard, fits: tuple[float, float]) -> tuple[str, float, float]:
    """(figure, its size, what it must be at least, mm) of a board that covers too little.

    The width beside the depth that there is; the depth where no width that fits would do;
    and where neither would, the width beside the greatest depth.
    """
    (width, depth), share = fits, LEAST_COVER
    if share * depth <= board.depth:
        return "board_width", board.width, share * width * depth / board.depth
    if share * width <= board.width:
        return "board_depth", board.depth, share * width * depth / board.width
    return "board_width", board.width, share * width


def _cut_to(
    board: BaseBoard, fits: tuple[float, float], site: Site, finished: Finished
) -> tuple[Fix, ...]:
    """The size to cut, or none where it is a sliver; not a larger one that is sewn through."""
    width, depth = ruled_board(fits, site.ruler)
    sizes = (board.width, board.depth), (width, depth)
    crossed_now, crossed = (any(_crossed(board.way, each, site, finished)) for each in sizes)
    if shorter(min(width, depth), LEAST_BOARD):
        return (_left_out(),)
    if crossed and not crossed_now:
        return ()
    label = say("Cut the board {width} x {depth}", width=width, depth=depth)
    return (Fix(label, (("board_width", width), ("board_depth", depth))),)


def _crossed(
    way: BoardWay, size: tuple[float, float], site: Site, finished: Finished
) -> tuple[bool, bool]:
    """Whether a seam of the bottom, and whether what parts sew on, crosses a board of this size.

    Where a lining is laid in last, or the wall is one layer, the bottom is sewn first
    and the board covers the stitching. Otherwise it lies beneath the innermost layer
    before all layers are basted into one, and so before everything else.
    """
    if way is not BoardWay.FUSED or not site.sandwich.basted_in_one:
        return False, False
    runs_on = all(site.seats[face].flat_below for face in FACES)
    # What juts out beyond the bottom is told as too big.
    flat = base_of(finished)[0], base_of(finished)[1] - 2 * site.floor.bend_within
    on_flat = min(size[0], flat[0]), min(size[1], flat[1])
    return seam_below(site, on_flat), runs_on and shorter(site.lowest_stitch, size[1] / 2)


def _sewn_through(board: BaseBoard, site: Site, finished: Finished) -> tuple[Finding, ...]:
    """A board that is fused on before what crosses the bottom is sewn."""
    crossed = _crossed(board.way, (board.width, board.depth), site, finished)
    if not any(crossed):
        return ()
    joined = Face.LEFT in site.seats  # its bottom is a strip's, and what runs across it a join
    told = say((_JOINED_THROUGH if joined else _SEWN_THROUGH)[crossed])
    return (_finding("board-under-needle", Severity.STOP, "board_depth", board.depth, None, told),)


def _finding(
    code: str,
    severity: Severity,
    figure: str,
    value: float,
    limit: float | None,
    message: Sentence,
    *fixes: Fix,
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        figure=figure,
        value=value,
        limit=limit,
        message=message,
        fixes=fixes,
    )


_TOO_BIG = {
    BoardWay.LAID_IN: mark(
        "The base board measures {value}, but there is only {limit} between the walls of "
        "the bottom: it will not lie flat."
    ),
    BoardWay.FUSED: mark(
        "The base board measures {value}, but the layers around it leave {limit}: it will "
        "stand up at the seams, where the needle would hit it."
    ),
}
_TIGHT = mark(
    "The base board measures {value} and the room for it {limit}: with only {spare} to "
    "spare on each side it will press on the seams."
)
_TOO_SMALL = mark(
    "The base board covers {cover} % of the largest that fits: the bottom will sag around it."
)
_FAR_TOO_SMALL = mark(
    "The base board covers less than 1 % of the largest that fits: the bottom will sag around it."
)
_STRIP = mark(
    "The base board is only {value} wide: one of less than {limit} is not worth cutting, and "
    "holds nothing flat."
)
_NO_ROOM = mark(
    "The walls, {wall} thick, meet in the bottom: there is no room for a base board between them."
)
_SEWN_THROUGH = {
    (True, False): mark(
        "The fused base board is covered before anything is sewn on, and the bottom seam would go "
        "through it: lay the lining in last, or use a laid-in board."
    ),
    (False, True): mark(
        "The fused base board is covered before anything is sewn on, and the stitching of handles "
        "or pocket would go through it: lay the lining in last, or use a laid-in board."
    ),
    (True, True): mark(
        "The fused base board is covered before anything is sewn on, and the bottom seam and the "
        "stitching of handles or pocket would go through it: lay the lining in last, or use a "
        "laid-in board."
    ),
}
"""Whether the bottom seam, and whether other stitching would go through it."""
_JOINED_THROUGH = {
    (True, False): mark(
        "The fused base board is covered before the pieces of the strip are joined, and a join in "
        "the bottom would go through it: lay the lining in last, or use a laid-in board."
    ),
    (False, True): _SEWN_THROUGH[False, True],
    (True, True): mark(
        "The fused base board is covered before anything is sewn, and a join in the bottom and the "
        "stitching of handles or pocket would go through it: lay the lining in last, or use a "
        "laid-in board."
    ),
}
"""The same where the bottom is a strip that may be joined of several pieces."""
_HARDLY_CLOSES = mark(
    "With the base held flat by its board the zip will not close: the face is {value} high, and "
    "front and back meet only above {limit}."
)
