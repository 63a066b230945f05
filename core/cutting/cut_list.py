"""What one bag is cut from, piece by piece, and its notions: zip, thread, tape, clips, needle. mm.

Frame of every shape: x across the goods, y along them, lower left corner at (0, 0).
"""

import math
from dataclasses import dataclass, replace

from shapely import Polygon

from core.bag.compute import Result
from core.base.sentences import Sentence, mark, say
from core.base.tolerance import LENGTH_TOLERANCE, same_length
from core.flat.piece import CutFrom, GrainTurn, Piece, Point, Upright
from core.flat.roles import PieceRole
from core.flat.rounding import corner_text
from core.goods.layers import Layer
from core.goods.supplies import Notion
from core.sewing.needle_and_thread import (
    Needle,
    StitchedLine,
    needle_for,
    stitched_lines,
    thread_needed,
)
from core.sewing.steps import operations


@dataclass(frozen=True, slots=True, kw_only=True)
class Notions:
    """What one bag takes besides goods.

    Attributes:
        others: what else is bought, by who needs it.
        lines: every line that the machine sews, from the operations of the order of sewing.
        thread: length, with the allowance, which covers hand stitches too.
        clips: around the edges of the largest piece; they are used again.
        stack: thickness of an ordinary seam, two walls, pressed.
        thickest: where seams cross; an ordinary seam's where none do.
        needle: what suits that stack.
    """

    others: tuple[Notion, ...]
    lines: tuple[StitchedLine, ...]
    thread: float
    clips: int
    clip_spacing: float
    stack: float
    thickest: float
    needle: Needle


def notions_of(result: Result) -> Notions:
    """The notions of a bag."""
    bag, draft = result.bag, result.draft
    lines = stitched_lines(operations(bag, draft))
    stack = 2 * bag.sandwich.pressed
    spacing = bag.supplies.clip_spacing
    return Notions(
        others=tuple(each for _, owner in bag.members for each in owner.notions(bag.site, draft)),
        lines=lines,
        thread=thread_needed(lines),
        clips=clips_around(max(piece.cut_perimeter for piece in draft.walls), spacing),
        clip_spacing=spacing,
        stack=stack,
        thickest=_thickest(result),
        needle=needle_for(stack),
    )


def clips_around(length: float, spacing: float) -> int:
    """Clips around a closed line, no two further apart than the spacing."""
    return math.ceil((length - LENGTH_TOLERANCE) / spacing)


def _thickest(result: Result) -> float:
    """Where a side seam is crossed, or else its own two walls, pressed, mm."""
    bag = result.bag
    wall = bag.sandwich.pressed
    return max((each.thickness(wall) for each in bag.crossings), default=2 * wall)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutItem:
    """One piece from one of its goods.

    Attributes:
        count: how many one bag takes.
        across, along: rough rectangle, unturned: the grain runs along.
        outline: final shape inside that rectangle, counter-clockwise.
        turn: how it may be turned on these goods.
        upright: what of it stands upright in the bag.
        outer: whether it is seen from outside: it is not turned for nothing.
        shows: whether its grain is seen beside that of other pieces. A strip that is folded and
            sewn on may run either way.
        area: of the final shape as it ends up in the bag, mm2: shrunk, if it was cut larger.
        notes: what to mind, one sentence each.
    """

    piece: Piece
    goods: Layer
    count: int
    across: float
    along: float
    outline: tuple[Point, ...]
    turn: GrainTurn
    upright: Upright
    outer: bool
    shows: bool
    area: float
    notes: tuple[Sentence, ...]

    @property
    def is_rectangle(self) -> bool:
        """Whether nothing is trimmed off the rough rectangle."""
        return bool(abs(Polygon(self.outline).area - self.across * self.along) < 1e-3)

    def told_goods(self, *, with_role: bool) -> str:
        """What it is cut from, with its role in the wall behind where it has another name."""
        title, role = self.goods.title, self.goods.role
        return f"{title} ({role})" if with_role and title != role else title

    def grain(self, *, laid: int, turned: int) -> Sentence:
        """Which way the grain runs, where so many are laid and some of them turned by a quarter.

        What is seen from outside is told as it lies; all else may lie either way at any time.
        """
        if self.goods.one_way:
            return Sentence(_ONE_WAY[self.upright], {"side": self.along})
        if self.turn is GrainTurn.QUARTER and not self.outer:
            return say("grain either way")
        if not turned:
            return say("grain along the {side} side", side=self.along)
        if turned == laid:
            return say("turned: grain along the {side} side", side=self.across)
        return say(
            "grain along the {side} side; {count} of {all} turned: along the {other} side",
            side=self.along,
            other=self.across,
            numbers={"count": turned, "all": laid},
        )


_ONE_WAY = {
    Upright.WHOLE: mark("grain along the {side} side, top up"),
    Upright.FRONT: mark("grain along the {side} side, top of the front up"),
    Upright.NOTHING: mark("grain along the {side} side, all one way"),
}
"""How a piece lies on goods whose print or nap runs one way."""


@dataclass(frozen=True, slots=True)
class CutList:
    """Everything that a bag is made of; items come piece by piece, outermost goods first."""

    result: Result
    items: tuple[CutItem, ...]
    notions: Notions

    @property
    def goods(self) -> tuple[Layer, ...]:
        """The goods, each once: layers that differ only in their role share named goods."""
        return tuple(dict.fromkeys(goods_key(item.goods) for item in self.items))

    def label(self, item: CutItem) -> Sentence:
        """The piece's name, with its role where two layers of it share one goods."""
        same = [
            each
            for each in self.items_of(goods_key(item.goods))
            if each.piece is item.piece and each.goods.role != item.goods.role
        ]
        if not same:
            return say(item.piece.label)
        terms, words = {"piece": item.piece.label}, {"role": item.goods.role}
        return say("{piece}, {role}", terms=terms, words=words)

    def items_of(self, goods: Layer) -> tuple[CutItem, ...]:
        """What is cut from one of `goods`."""
        return tuple(item for item in self.items if goods_key(item.goods) == goods)

    @property
    def weight(self) -> float:
        """Of one bag's goods and board, kg; zip, thread and what hangs on it not counted."""
        return self.result.mass


def goods_key(layer: Layer) -> Layer:
    """The goods alone: two roles cut from goods of the same name are bought as one."""
    if not layer.name.strip():
        return layer
    return replace(layer, role="")


def cut_list(result: Result) -> CutList:
    """The cut list of a bag."""
    items = tuple(
        _item(result, piece, layer, outer=not place)
        for piece in result.draft.pieces
        if piece.cut_from is not CutFrom.BOUGHT
        for place, layer in enumerate(result.bag.goods_of(piece))
    )
    return CutList(result, items, notions_of(result))


def _item(result: Result, piece: Piece, layer: Layer, *, outer: bool) -> CutItem:
    across, along = layer.size_on_goods(piece)
    outline = _outline_on_goods(piece, layer)
    outer = outer and piece.cut_from is not CutFrom.SHEET
    return CutItem(
        piece=piece,
        goods=layer,
        count=piece.count,
        across=across,
        along=along,
        outline=outline,
        turn=layer.turn_of(piece),
        upright=piece.upright,
        outer=outer,
        shows=outer and piece.id.role is not PieceRole.STRIP,
        area=piece.area,
        notes=(*piece.notes, *_goods_notes(result, piece, layer)),
    )


def _outline_on_goods(piece: Piece, layer: Layer) -> tuple[Point, ...]:
    """The cut line, enlarged for shrinkage, with the lengthwise grain up."""
    left, bottom, right, top = piece.bounds
    points = [(x - left, y - bottom) for x, y in piece.cut_outline]
    if piece.grain[1] < 0.0:
        points = [(right - left - x, top - bottom - y) for x, y in points]
    if abs(piece.grain[0]) > abs(piece.grain[1]):
        points = [(top - bottom - y, x) for x, y in points]
    wide, long = layer.enlarged(1.0, 1.0)
    return tuple((x * wide, y * long) for x, y in points)


def _goods_notes(result: Result, piece: Piece, layer: Layer) -> list[Sentence]:
    bag = result.bag
    owner = dict(bag.members)[piece.id.owner]
    notes = list(owner.cut_notes(piece, bag.site, result.finished))
    across, along = layer.enlarged(1.0, 1.0)
    corners = corner_text(piece, math.sqrt(across * along))
    if corners is not None:
        notes.append(say("Cut it with {corners}.", terms={"corners": corners}))
    if not (same_length(across, 1.0) and same_length(along, 1.0)):
        notes.append(
            say("Sizes include an allowance for shrinkage, as the material is not washed first.")
        )
    elif layer.washed_first:
        notes.append(say("Wash, dry and press the material before cutting."))
    return notes
