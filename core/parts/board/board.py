"""The base board: the stiffener in the bottom. Lengths are mm."""

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import LEAST_LENGTH, LENGTH_TOLERANCE, same_length, shorter
from core.base.units import MM_PER_INCH
from core.flat.piece import CutFrom, Edge, GrainTurn, Mark, MarkStyle, Piece, Point, rectangle
from core.flat.roles import FACES, EdgeId, EdgeRole, Face, MarkRole, PieceId, PieceRole, Side
from core.flat.seam import Draft
from core.goods.supplies import Notion
from core.model.figures import LONGEST, CutFigure, Ruled, settle_record
from core.model.findings import Finding
from core.model.record import Detail, Solving
from core.parts.part import KEPT, Part
from core.site.owner import NONE, Choice, Rounding, Surround
from core.site.site import Finished, PlacedMark, Site

if TYPE_CHECKING:
    from core.space.zones import Laid
    from core.work.bench import Bench
    from core.work.operation import Operation

BOARD_MARGIN = MM_PER_INCH / 8
"""What the board is smaller than its room on each side, so that it drops in."""
LEAST_COVER = 0.8
"""Share of the largest board that fits below which it no longer holds the bottom flat (own
choice)."""
LEAST_BOARD = MM_PER_INCH
"""A board that is narrower than this is not worth cutting (own choice)."""
_LEAST_SHARE = 0.5
"""Share of a very narrow room that the board takes where the margins would leave less: below
four margins, 1/2 in, they shrink with the room (own choice)."""


class BoardWay(Enum):
    """How a board gets into the bottom."""

    LAID_IN = "laid-in"
    """Through the opening of the finished bag, onto the lining."""
    FUSED = "fused"
    """Onto the wrong side of the wall, before the lining covers it."""


_CHOICES: tuple[Choice, ...] = (
    Choice(
        name="has_board",
        part="board",
        label=mark("In the bag"),
        step=mark("Change the base board"),
        help=mark("Whether the bottom is stiffened by a base board."),
        options=((NONE, mark("No board")), ("board", mark("Base board"))),
        read=lambda board: BaseBoard.SLOT,
        kept=lambda board: board,
        write=lambda board, word, around, kept: board,
    ),
    Choice(
        name="board",
        part="board",
        label=mark("Put in"),
        step=mark("Change how the base board gets in"),
        help=mark(
            "Laid onto the lining through the opening, or fused onto the wall before the lining "
            "covers it. Its room differs by the layers over it."
        ),
        options=(
            (BoardWay.LAID_IN.value, mark("Laid in last")),
            (BoardWay.FUSED.value, mark("Fused in")),
        ),
        read=lambda board: board.way.value,
        write=lambda board, word, around, kept: board.with_way(BoardWay(word), around),
        on_command_line=True,
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class BaseBoard(Part):
    """A stiffener that lies in the bottom.

    Attributes:
        width: side to side.
        depth: front to back.
        way: laid in, or fused on between the layers.
    """

    width: float
    depth: float
    way: BoardWay = BoardWay.LAID_IN

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "way": Detail(help=mark("How it gets into the bottom."))
    }
    SOLVING: ClassVar[Solving] = Solving(settled_by=frozenset({"board_width", "board_depth"}))
    FLATTENS_BASE: ClassVar[bool] = True
    SLOT: ClassVar[str] = "board"
    CHOICES: ClassVar[tuple[Choice, ...]] = _CHOICES
    SEWN: ClassVar[bool] = False
    KIND: ClassVar[str] = "board"
    STIFFENS: ClassVar[Face | None] = Face.BASE
    SEWING_RANK: ClassVar[int] = 2
    WORD: ClassVar[Template] = mark("base board")
    LABEL: ClassVar[Template] = mark("Base board")
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="board_width",
            label=mark("Board width"),
            part="board",
            attribute="width",
            above_low=True,
            by_hand=True,
            help=mark("Side-to-side size of the base board."),
            ruled=Ruled.PART,
            pinnable=True,
            in_sewn_bag=True,
        ),
        CutFigure(
            name="board_depth",
            label=mark("Board depth"),
            part="board",
            attribute="depth",
            above_low=True,
            by_hand=True,
            help=mark("Front-to-back size of the base board."),
            ruled=Ruled.PART,
            pinnable=True,
            in_sewn_bag=True,
        ),
    )

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "BaseBoard":
        """The largest that fits, on the ruler; a bottom without room gives a small one.

        `word` says how it gets in; else the way of its goods: what has glue on it is fused on.
        """
        site = around.site
        way = BoardWay.FUSED if site.supplies.board.fusible else BoardWay.LAID_IN
        way = next((each for each in BoardWay if each.value == word), way)
        fits = fitting_board(board_room(way, site, around.finished))
        if shorter(min(fits), LEAST_LENGTH):
            return cls(width=MM_PER_INCH, depth=MM_PER_INCH, way=way)
        width, depth = ruled_board(fits, site.ruler)
        return cls(width=width, depth=depth, way=way)

    def with_way(self, way: BoardWay, around: Surround) -> "BaseBoard":
        """Put in so: as it is where it suits that room too, else the largest that fits."""
        room = board_room(way, around.site, around.finished)
        if min(room) <= 0.0 or suits_room(self, room):
            return replace(self, way=way)
        fits = self.fresh(around, way.value)
        return replace(self, way=way, width=fits.width, depth=fits.depth)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        return (_sheet(self.width, self.depth, self.radius(site)),)

    def radius(self, site: Site) -> float:
        """Of its corners, mm: in a bottom with rounded ones, clear of those."""
        room = site.floor.corner - self.outside(site) - BOARD_MARGIN
        return min(max(room, 0.0), min(self.width, self.depth) / 2)

    def outside(self, site: Site) -> float:
        """Thickness of the layers that lie outside of it, mm."""
        return layers_outside(self.way, site)

    def outline(self, site: Site) -> tuple[Point, ...]:
        """Its corners about its middle, rounded ones as short straight stretches."""
        return self._about_middle(_sheet(self.width, self.depth, self.radius(site)).outline)

    def _about_middle(self, points: Iterable[Point]) -> tuple[Point, ...]:
        return tuple((x - self.width / 2, y - self.depth / 2) for x, y in points)

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """On the bottom where it is a face of its own, else on front and back if they run on."""
        if (seat := site.seats.get(Face.BASE)) is not None:
            middle = seat.width / 2
            points = seat.points([(middle + x, y) for x, y in self.outline(site)])
            return (PlacedMark(Face.BASE, self._mark(points, Face.BASE, closed=True)),)
        if not all(site.seats[face].flat_below for face in FACES):
            return ()
        left = (site.front.width - self.width) / 2
        right, half = left + self.width, self.depth / 2
        outline = (left, 0.0), (left, half), (right, half), (right, 0.0)
        return tuple(
            PlacedMark(face, self._mark(site.seats[face].points(outline), face, closed=False))
            for face in FACES
        )

    def _mark(self, points: tuple[Point, ...], face: Face, *, closed: bool) -> Mark:
        return Mark(
            role=MarkRole.OUTLINE,
            owner="board",
            points=points,
            style=MarkStyle.PLACEMENT,
            face=face,
            closed=closed,
            label=_LABEL,
        )

    def laid(self, site: Site) -> "Laid":
        from core.space.strips import bent_outline  # only who folds asks
        from core.space.zones import AreaKind, FaceArea, FaceLine, Laid, LineKind

        sheet = _sheet(self.width, self.depth, self.radius(site))
        outline = self._about_middle(bent_outline(sheet.edges))
        lines = tuple(
            FaceLine(Face.BASE, LineKind.STIFFENER_EDGE, start, end)
            for start, end in pairwise((*outline, outline[0]))
        )
        return Laid(areas=(FaceArea(Face.BASE, AreaKind.STIFFENER, BOARD, outline),), lines=lines)

    @property
    def rests_on_wall(self) -> bool:
        return self.way is BoardWay.FUSED

    @property
    def why_pressed_now(self) -> Sentence:
        if self.way is BoardWay.LAID_IN:
            return say("Before the board goes in: it would warp under the iron.")
        return say("Keep the iron off the bottom: the board in it may warp or come loose.")

    def is_ironed(self, site: Site) -> bool:
        """Whether a fused board is ironed on: it has glue, and nothing under the iron melts."""
        board = site.supplies.board
        under = (*site.sandwich.under_board, board)
        return board.fusible and not any(layer.melts for layer in under)

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        """Tape for a board that lies between the layers without being ironed on."""
        if self.way is not BoardWay.FUSED or self.is_ironed(site):
            return ()
        length = draft.piece(BOARD).perimeter
        return (Notion(what=mark("basting tape"), length=length, under=mark("the base board")),)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.parts.board.operations import board_operations

        return board_operations(bench, self)

    def fits_as_well(self, site: Site, was: "BaseBoard", site_before: Site) -> bool:
        """Whether no new bottom seam is sewn through it: fused, it lies there by then."""
        fused = self.way is BoardWay.FUSED and site.sandwich.basted_in_one
        sizes = self.width, self.depth
        return not fused or not seam_below(site, sizes) or seam_below(site_before, sizes)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        from core.parts.board.findings import board_findings  # which knows this class

        return board_findings(self, site, finished)

    def following(self, was: Surround, now: Surround) -> "BaseBoard":
        """The board keeps its margin to its room."""
        return moved_board(
            self, *(board_room(self.way, each.site, each.finished) for each in (was, now))
        )

    along = following  # another construction's room is another one

    def on_ruler(self, rounding: Rounding, was: Surround, now: Surround) -> "BaseBoard":
        """The board in the room that rounding the body has left it, and cut down to the ruler."""
        board = self if rounding.exact & self.SOLVING.settled_by else self.following(was, now)
        own = tuple(figure.name for figure in self.FIGURES)
        keep = tuple(name for name in own if name not in rounding.names and board == self)
        room = board_room(self.way, now.site, now.finished)
        return board_on_ruler(board, room, rounding.step, keep=keep)


BOARD = PieceId("board", PieceRole.SHEET)
_LABEL = mark("base board")
_EDGES = (
    (EdgeId(EdgeRole.RIM, Face.FRONT), mark("board front")),
    (EdgeId(EdgeRole.RIM, side=Side.RIGHT), mark("board")),
    (EdgeId(EdgeRole.RIM, Face.BACK), mark("board back")),
    (EdgeId(EdgeRole.RIM, side=Side.LEFT), mark("board")),
)


def board_room(way: BoardWay, site: Site, finished: Finished) -> tuple[float, float]:
    """(width, depth) of the room that a board lies in, mm; not above 0 where there is none.

    A board that is laid in lies on the innermost layer: the base less the whole wall on
    each side. One that is fused on lies inside those layers that lie outside of it. Where the
    wall bends up in a radius it stays on what is flat.
    """
    outside, floor = layers_outside(way, site), site.floor
    base, gusset = base_of(finished)
    beside = max(outside - floor.bend, 0.0)
    return base - 2 * beside, gusset - 2 * max(outside, floor.bend_within)


def layers_outside(way: BoardWay, site: Site) -> float:
    """Thickness of the layers that lie outside of a board, mm."""
    over = site.sandwich.over_board if way is BoardWay.FUSED else ()
    return site.wall - math.fsum(layer.thickness for layer in over)


def seam_below(site: Site, board: tuple[float, float]) -> bool:
    """Whether a seam runs across the bottom, under a board of this (width, depth), mm."""
    base = site.seats.get(Face.BASE)
    if base is None:
        return site.front.under is None
    # Beyond the seat lies another piece, if the bottom is longer.
    return shorter(base.width, board[0]) or shorter(2 * base.top, board[1])


def fitting_board(room: tuple[float, float]) -> tuple[float, float]:
    """(width, depth) of the largest board that fits a room, the margin left on each side, mm.

    A room may be longer than any board can be; the board is then as long as one can be.
    """
    width, depth = (
        min(max(size - 2 * BOARD_MARGIN, _LEAST_SHARE * size), LONGEST) for size in room
    )
    return width, depth


def moved_board(board: BaseBoard, old: tuple[float, float], room: tuple[float, float]) -> BaseBoard:
    """A board that follows from one room into another, its margin kept.

    It becomes the largest that fits where it would not fit with that margin, where it would be
    longer than a board can be, or where it filled its old room well enough and would not fill
    the new one. Where there is next to no room it stays as it is. `old`, `room`: (width, depth)
    of the rooms, mm.
    """
    unmoved = all(same_length(one, other) for one, other in zip(old, room, strict=True))
    if unmoved or shorter(min(fitting_board(room)), LEAST_LENGTH):
        return board
    sizes = (board.width + room[0] - old[0], board.depth + room[1] - old[1])
    fits = fitting_board(room)
    beyond = min(old) <= 0.0 or shorter(min(sizes), LEAST_LENGTH) or max(sizes) > LONGEST
    beyond = beyond or _larger(sizes, room)
    if beyond or (_suits((board.width, board.depth), old) and not _suits(sizes, room)):
        sizes = fits
    return replace(board, width=round(sizes[0], 9), depth=round(sizes[1], 9))


def suits_room(board: BaseBoard, room: tuple[float, float]) -> bool:
    """Whether a board fits a room (width, depth), mm, with its margins, and fills it."""
    return _suits((board.width, board.depth), room)


def _suits(sizes: tuple[float, float], room: tuple[float, float]) -> bool:
    """Whether nothing need be said of a board in its room."""
    if min(room) <= 0.0:
        return False
    fits = fitting_board(room)
    return not _larger(sizes, fits) and not too_small(sizes, fits)


def _larger(sizes: tuple[float, float], limits: tuple[float, float]) -> bool:
    return any(shorter(limit, size) for size, limit in zip(sizes, limits, strict=True))


def too_small(sizes: tuple[float, float], fits: tuple[float, float]) -> bool:
    """Whether a board covers too little of the largest that fits (width, depth), mm."""
    return sizes[0] * sizes[1] < LEAST_COVER * fits[0] * fits[1] * (1 - 1e-12)


def ruled_board(board: tuple[float, float], step: float) -> tuple[float, float]:
    """The largest board that fits, cut down to the ruler unless too little would be left, mm.

    `board` is the (width, depth) of the largest that fits, `step` that of the ruler, mm, > 0.
    """
    width, depth = (_step_down(size, step) for size in board)
    return board if too_small((width, depth), board) else (width, depth)


def board_on_ruler(
    board: BaseBoard, room: tuple[float, float], step: float, *, keep: tuple[str, ...] = ()
) -> BaseBoard:
    """A board with its sizes on the lower step of the ruler.

    It stays as it is where that would be no board, or too small a one when it was not; `keep` names
    figures that stay as they are. Room and step, > 0, are in mm.
    """
    sizes = (board.width, board.depth)
    width, depth = (
        size if name in keep else _step_down(size, step)
        for name, size in zip(("board_width", "board_depth"), sizes, strict=True)
    )
    if min(width, depth) <= 0.0 or (_suits(sizes, room) and not _suits((width, depth), room)):
        return board
    return replace(board, width=width, depth=depth)


def _step_down(size: float, step: float) -> float:
    return math.floor(size / step + LENGTH_TOLERANCE) * step


def base_of(finished: Finished) -> tuple[float, float]:
    """(width, depth) of the bottom, mm; 0 where there is none."""
    return finished["base_width"] or 0.0, finished["gusset_depth"] or 0.0


@lru_cache(maxsize=KEPT)
def _sheet(width: float, depth: float, radius: float) -> Piece:
    """A board of this size, mm: bag after bag has the same piece."""
    note = say("Round the corners so that they do not wear through.")
    if radius > 0.0:
        note = say(
            "Its corners are rounded to {radius}, to lie in those of the bottom.", radius=radius
        )
    edges = rectangle(_EDGES, (width, depth), allowances=(0.0, 0.0, 0.0, 0.0))
    return Piece(
        id=BOARD,
        label=_LABEL,
        edges=tuple(_rounded(edges, radius)) if radius > 0.0 else edges,
        cut_from=CutFrom.SHEET,
        turn=GrainTurn.QUARTER,
        sized_by=("board_width", "board_depth"),
        grain=(1.0, 0.0),
        notes=(note,),
    )


def _rounded(edges: tuple[Edge, ...], radius: float) -> Iterator[Edge]:
    """The same four edges with an arc after each."""
    for number, edge in enumerate(edges):
        (x, y), (u, v), (a, b) = edge.start, edge.end, edge.heading
        start, end = (x + radius * a, y + radius * b), (u - radius * a, v - radius * b)
        yield edge._replace(start=start, end=end)
        after = edges[(number + 1) % len(edges)].heading
        arc_end = (u + radius * after[0], v + radius * after[1])
        way = (a + after[0]) * math.sqrt(0.5), (b + after[1]) * math.sqrt(0.5)
        corner = EdgeId(EdgeRole.ROUND, number=number)
        yield Edge(corner, end, arc_end, 0.0, way, _CORNER, math.pi / 2)


_CORNER = mark("board corner")
