"""Notions of one bag, worked out from its seams: zip, thread, tape, clips, needle. mm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from core.compute import Result
from core.flat.piece import Piece
from core.flat.seam import SeamKind, WalkedSeam
from core.goods.stitching import (
    BASTING_LENGTH,
    Needle,
    Row,
    StitchType,
    needle_for,
    thread_needed,
)
from core.parts.closure import Zip
from core.parts.handles import Handles, HandleStyle
from core.parts.site import Face
from core.tolerance import LENGTH_TOLERANCE

NEATENED = (SeamKind.SIDE, SeamKind.CORNER, SeamKind.BOTTOM)
"""Seams whose raw edges lie open inside and are oversewn (common practice, no source)."""

SEAM_NAMES = {
    SeamKind.SIDE: "side seams",
    SeamKind.CORNER: "corner seams",
    SeamKind.ZIP: "zip seams",
    SeamKind.BOTTOM: "bottom seam",
    SeamKind.POCKET: "pocket seams",
    SeamKind.HEM: "hems",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Notions:
    """What one bag takes besides goods.

    Attributes:
        closure: the zip to buy; None for an open top.
        rows: every line that is sewn.
        thread: length, with the allowance.
        basting_tape: that holds the handles' legs until they are sewn.
        clips: around the edges of the largest piece; they are used again.
        clip_spacing: between them.
        stack: thickness of an ordinary seam, two walls, pressed.
        needle: what suits that stack.
    """

    closure: Zip | None
    rows: tuple[Row, ...]
    thread: float
    basting_tape: float
    clips: int
    clip_spacing: float
    stack: float
    needle: Needle


def notions_of(result: Result) -> Notions:
    """The notions of a bag."""
    bag = result.bag
    rows = tuple(row for row in _rows(result) if row.length > 0.0)
    stack = 2 * bag.sandwich.pressed
    spacing = bag.supplies.clip_spacing
    return Notions(
        closure=bag.closure if isinstance(bag.closure, Zip) else None,
        rows=rows,
        thread=thread_needed(rows),
        basting_tape=0.0 if bag.handles is None else sum(_tapes_on_panel(result, bag.handles)),
        clips=clips_around(max(map(perimeter, _walls(result))), spacing),
        clip_spacing=spacing,
        stack=stack,
        needle=needle_for(stack),
    )


def perimeter(piece: Piece) -> float:
    """Once around the cut line, mm."""
    return sum(abs(edge.length) for edge in piece.edges)


def clips_around(length: float, spacing: float) -> int:
    """Clips around a closed line, no two further apart than the spacing."""
    return math.ceil((length - LENGTH_TOLERANCE) / spacing)


def _walls(result: Result) -> list[Piece]:
    return [piece for piece in result.draft.pieces if piece.part == "panel"]


def _rows(result: Result) -> Iterator[Row]:
    """Lines in the order in which they are sewn, as near as that is the same for all bags."""
    wall, outer = result.bag.sandwich.pressed, result.bag.sandwich.layers[0].pressed
    if len(result.bag.sandwich.layers) > 1:
        around = sum(map(perimeter, _walls(result)))
        yield Row("basting the layers", StitchType.LOCKSTITCH, around, wall, BASTING_LENGTH)
    if result.bag.handles is not None:
        yield from _handle_rows(result, result.bag.handles)
    if result.bag.pocket is not None:
        bottom = result.bag.panel.width * len(result.bag.pocket.faces.faces)
        yield Row("pocket bottoms", StitchType.LOCKSTITCH, bottom, wall + 2 * outer)
    for kind, name in SEAM_NAMES.items():
        length = sum(_sewn(each) for each in result.draft.walked_seams(kind))
        stack = 2 * outer if kind is SeamKind.POCKET else 2 * wall
        yield Row(name, StitchType.LOCKSTITCH, length, stack)
    for kind in NEATENED:
        length = sum(_sewn(each) for each in result.draft.walked_seams(kind))
        yield Row(f"oversewing the {SEAM_NAMES[kind]}", StitchType.ZIGZAG, length, 2 * wall)
    if isinstance(result.bag.closure, Zip):
        tacks = 2 * max(result.bag.closure.width(result.bag.panel), 0.0)
        yield Row("bar tacks at the zip's ends", StitchType.ZIGZAG, tacks, 2 * wall, 0.5)


def _sewn(walked: WalkedSeam) -> float:
    return max(walked.length, walked.mate_length, 0.0)


def _handle_rows(result: Result, handles: Handles) -> Iterator[Row]:
    """Joins, both edges of the folded strips, and both edges of each leg on the panel."""
    bag = result.bag
    cloth = (bag.supplies.handles or bag.sandwich.layers[0]).pressed
    loop = handles.style is HandleStyle.LOOP
    joins = handles.strips if loop else 2 * (handles.strips - 1)
    whole = handles.loop(bag.site) * (1 if loop else 2)
    yield Row("joins of the strips", StitchType.LOCKSTITCH, joins * handles.strip_width, 2 * cloth)
    yield Row("edges of the handles", StitchType.LOCKSTITCH, 2 * whole, 4 * cloth)
    on_panel = 2 * sum(_tapes_on_panel(result, handles))
    stack = bag.sandwich.pressed + 4 * cloth
    yield Row("handles onto the panel", StitchType.LOCKSTITCH, on_panel, stack)


def _tapes_on_panel(result: Result, handles: Handles) -> Iterator[float]:
    """Length of each run of handle that is sewn down: two legs on each face."""
    site = result.bag.site
    for face in Face:
        yield 2 * max(handles.sewn_leg(site, face), 0.0)
