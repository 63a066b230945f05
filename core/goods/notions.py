"""Notions of one bag, worked out from its seams: zip, thread, tape, clips, needle. mm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.compute import Result
from core.flat.piece import Piece
from core.parts.board import BoardWay
from core.parts.closure import Zip
from core.parts.crossings import crossings
from core.parts.handles import Handles
from core.parts.site import Face
from core.sewing.operations import operations
from core.sewing.thread import Needle, Row, needle_for, thread_needed, thread_rows
from core.tolerance import LENGTH_TOLERANCE


@dataclass(frozen=True, slots=True, kw_only=True)
class Notions:
    """What one bag takes besides goods.

    Attributes:
        closure: the zip to buy; None for an open top.
        rows: every line that the machine sews, from the operations of the order of sewing.
        thread: length, with the allowance, which covers hand stitches too.
        leg_tape: basting tape that holds the handles' legs until they are sewn.
        board_tape: ... and a board that lies between the layers without being ironed on.
        clips: around the edges of the largest piece; they are used again.
        clip_spacing: between them.
        stack: thickness of an ordinary seam, two walls, pressed.
        thickest: where seams cross; an ordinary seam's where none do.
        needle: what suits that stack.
    """

    closure: Zip | None
    rows: tuple[Row, ...]
    thread: float
    leg_tape: float
    board_tape: float
    clips: int
    clip_spacing: float
    stack: float
    thickest: float
    needle: Needle

    @property
    def basting_tape(self) -> float:
        """Double-sided basting tape in all."""
        return self.leg_tape + self.board_tape


def notions_of(result: Result) -> Notions:
    """The notions of a bag."""
    bag = result.bag
    rows = thread_rows(operations(bag, result.draft))
    stack = 2 * bag.sandwich.pressed
    spacing = bag.supplies.clip_spacing
    return Notions(
        closure=bag.closure if isinstance(bag.closure, Zip) else None,
        rows=rows,
        thread=thread_needed(rows),
        leg_tape=0.0 if bag.handles is None else math.fsum(_tapes_on_panel(result, bag.handles)),
        board_tape=_board_tape(result),
        clips=clips_around(max(piece.perimeter for piece in _walls(result)), spacing),
        clip_spacing=spacing,
        stack=stack,
        thickest=_thickest(result),
        needle=needle_for(stack),
    )


def _board_tape(result: Result) -> float:
    bag = result.bag
    taped = bag.board is not None and bag.board.way is BoardWay.FUSED and not bag.board_ironed
    return result.draft.piece("base board").perimeter if taped else 0.0


def clips_around(length: float, spacing: float) -> int:
    """Clips around a closed line, no two further apart than the spacing."""
    return math.ceil((length - LENGTH_TOLERANCE) / spacing)


def _thickest(result: Result) -> float:
    sandwich = result.bag.sandwich
    layered = len(sandwich.layers) > 1
    found = crossings(result.bag.site, sandwich.foot_clearance, layered=layered)
    return max([2 * sandwich.pressed, *(each.stack for each in found)])


def _walls(result: Result) -> list[Piece]:
    return [piece for piece in result.draft.pieces if piece.part == "panel"]


def _tapes_on_panel(result: Result, handles: Handles) -> Iterator[float]:
    """Length of each run of handle that is sewn down: two legs on each face."""
    site = result.bag.site
    for face in Face:
        yield 2 * max(handles.sewn_leg(site, face), 0.0)
