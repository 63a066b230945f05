"""The texts on one piece, placed so that none lies on a line or on another text. mm."""

import math
from collections.abc import Iterable, Sequence
from itertools import product

from core.base.sentences import mark
from core.drawing.lettering import LEADING, Places, Wording, Words, with_fractions, wrapped
from core.drawing.records import Anchor, DrawingRecord, Line, Text
from core.flat.ink import Ink
from core.flat.piece import CutFrom, Edge, Fold, Mark, MarkStyle, Piece, Point
from core.flat.roles import EdgeRole, Face
from core.flat.stitch import StitchOutline

TITLE = 1.7
"""Height of a piece's name, in text heights."""
SMALL = 0.75
"""Height of a small label, in text heights."""
_SCALES = (1.0, 0.8, 0.65)
"""A text that finds no room is set smaller, in these steps."""
_NAME_SCALES = (0.65, 0.45, 0.3)
"""A name alone, written across lines only where nothing else is left."""
_MEASURES = (34.0, 22.0, 90.0)
_LONG_MEASURES = (58.0, 34.0, 90.0)
"""Line lengths of a block that are tried, in text heights; 90 sets all in one line. Long,
low pieces take long lines first."""
_ONE_LINE = 60.0
_BENDS = 12
"""Boxes that texts keep off along an edge that runs neither across nor along."""
_AIR = 0.3
"""Free space around a text, in text heights."""


class Labels:
    """Places the labels of one piece, one after the other; `records` holds them."""

    def __init__(
        self,
        piece: Piece,
        outline: StitchOutline,
        lines: Iterable[tuple[Point, ...]],
        height: float,
        wording: Wording,
        *,
        joins: Iterable[tuple[Point, Point]] = (),
    ) -> None:
        self.records: list[DrawingRecord] = []
        self._piece = piece
        self._height = height
        self._translate = wording.translate
        self._joins = tuple(joins)
        self._places = Places(piece.outline, lines)
        for edge in piece.edges:
            # What is hidden in the seam is no place for words.
            if edge.allowance > 0.0 and outline.length(edge.id) > 0.0:
                if not edge.turn and 0.0 in edge.heading:
                    self._places.keep_off((edge.start, edge.end, *outline.line(edge.id)))
                    continue
                cut, sewn = edge, outline.stitched(edge.id)
                for step in range(_BENDS):
                    shares = (step / _BENDS, (step + 1) / _BENDS)
                    corners = [each.point_at(share) for each in (cut, sewn) for share in shares]
                    self._places.keep_off(tuple(corners))

    def add_title(self, details: Sequence[str], notes: Sequence[str] = ()) -> None:
        """The name in bold, and details and notes under it, where they find most room.

        They keep off the joins of pages where they can. What has no room for its details on it
        has them under it, and the name alone on it if that fits.
        """
        name = self._translate(self._piece.label)
        left, bottom, right, top = self._piece.bounds
        tries = [(told, joins) for joins in (True, False) for told in ([*details, *notes], details)]
        for told, keep_off in dict.fromkeys((tuple(told), joins) for told, joins in tries):
            if (not keep_off or self._joins) and self._set_title(name, told, keep_off=keep_off):
                return
        middle = ((left + right) / 2, (bottom + top) / 2)
        for across_lines, scale in product((False, True), _NAME_SCALES):
            block = _block(name, (), scale * self._height, 0.0)
            if self._set_block(block, middle, across_lines=across_lines):
                break
        else:
            details = details or ("",)
        if details:
            self._write_below(name, (*details, *notes))

    def _set_title(self, name: str, details: Sequence[str], *, keep_off: bool) -> bool:
        """Name and details on the piece, as large as there is room for; whether there is any."""
        left, bottom, right, top = self._piece.bounds
        wanted = ((left + right) / 2, bottom + 0.27 * (top - bottom))
        low = right - left > 4 * (top - bottom)
        for scale in _SCALES:
            height = scale * self._height
            for measure in _LONG_MEASURES if low else _MEASURES:
                block = _block(name, details, height, measure * height)
                if self._set_block(block, wanted, keep_off=self._joins if keep_off else ()):
                    return True
        return False

    def _write_below(self, name: str, details: Sequence[str]) -> None:
        """Too small a piece for what is told of it: that goes under the piece."""
        left, bottom, right, _ = self._piece.bounds
        height = _SCALES[-1] * self._height
        measure = max(right - left, _MEASURES[0] * height)
        y = bottom - height
        for words in _block(name, [each for each in details if each], height, measure):
            y -= words.height / 2
            self._write(words, (left, y), anchor=Anchor.START)
            y -= LEADING * words.height - words.height / 2

    def add_end(self, text: str, start: Point) -> None:
        """What ends at a line across, near it on the side of the piece's edge."""
        small = SMALL * self._height
        away = 1.5 * small if start[1] > 0.0 else -1.5 * small
        left, _, right, _ = self._piece.bounds
        wanted = ((left + right) / 2, start[1] + away)
        told, near = with_fractions(text), max(right - left, 12 * small)
        if not self._joins or not self._place(told, wanted, near=near, keep_off=self._joins):
            self._place(told, wanted, near=near)

    def add_ends(self) -> None:
        """Which end is the front, said inside the edges that lie there."""
        for edge in self._piece.edges:
            text = _END_WORDS.get((edge.id.role, edge.id.face))
            if text is not None and edge.length > 0.0:
                self._beside_edge(edge, self._translate(text))

    def add_fold(self, fold: Fold, outline: StitchOutline) -> None:
        """The name of a fold, just above it near its left end."""
        (left, y), (right, _) = outline.fold_line(fold)
        small = SMALL * self._height
        wanted = (left + 0.18 * (right - left), y + 1.3 * small)
        self._place(self._translate(fold.label), wanted, near=12 * small)

    def add_mark(self, placed: Mark) -> None:
        """The name of a mark, inside it along its longer side, or else beside it."""
        xs, ys = ([point[i] for point in placed.points] for i in (0, 1))
        small = SMALL * self._height
        middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
        wide, tall = max(xs) - min(xs), max(ys) - min(ys)
        if placed.style is MarkStyle.HALFWAY:
            below = middle[1] - 1.3 * small
            self._place(self._translate(placed.label), (middle[0], below), near=12 * small)
            return
        name = self._translate(placed.label)
        if tall > wide:
            self._place(name, middle, near=tall / 2, angles=(90.0, 0.0))
            return
        wanted = (min(xs) + 0.12 * wide, max(ys) - 1.4 * small)
        self._place(name, wanted, near=max(tall, 6 * small))

    def add_grain(self) -> None:
        """An arrow with two heads along the lengthwise grain."""
        if self._piece.cut_from is CutFrom.BOUGHT:
            return
        left, bottom, right, top = self._piece.bounds
        gx, gy = self._piece.grain
        wanted = (left + 0.12 * (right - left), bottom + 0.27 * (top - bottom))
        if abs(gx) > abs(gy):
            wanted = (left + 0.8 * (right - left), bottom + 0.72 * (top - bottom))
        run = abs(gx) * (right - left) + abs(gy) * (top - bottom)
        head = 0.6 * self._height
        for share in (0.26, 0.16, 0.1):
            for scale in (1.0, 0.5):
                length, broad = min(share * run, 40 * self._height), 2.4 * head * scale
                wide, tall = (length, broad) if abs(gx) > abs(gy) else (broad, length)
                spot = self._places.find(wide, tall, wanted)
                if spot is not None:
                    self._arrow(spot, (gx, gy), length, head * scale)
                    return

    def _arrow(self, middle: Point, along: Point, length: float, head: float) -> None:
        (x, y), (gx, gy) = middle, along
        half = length / 2
        ends = ((x - gx * half, y - gy * half), (x + gx * half, y + gy * half))
        self._line(Ink.GRAIN, ends)
        for (ex, ey), sign in zip(ends, (1.0, -1.0), strict=True):
            bx, by = ex + sign * gx * 2 * head, ey + sign * gy * 2 * head
            barbs = (
                (bx - gy * 0.8 * head, by + gx * 0.8 * head),
                (ex, ey),
                (bx + gy * 0.8 * head, by - gx * 0.8 * head),
            )
            self._line(Ink.GRAIN, barbs)

    def _line(self, ink: Ink, points: tuple[Point, ...]) -> None:
        self.records.append(Line(ink, points, piece=self._piece.label))

    def _beside_edge(self, edge: Edge, text: str) -> None:
        (x0, y0), (x1, y1), (hx, hy) = edge.start, edge.end, edge.heading
        small = SMALL * self._height
        inside = edge.allowance + 1.5 * small
        share = 0.3 if edge.id.role is not EdgeRole.CENTRE else 0.5
        x = x0 + share * (x1 - x0) - hy * inside
        y = y0 + share * (y1 - y0) + hx * inside
        angles = (0.0,) if abs(hx) > abs(hy) else (90.0,)
        self._place(text, (x, y), near=12 * small + edge.length / 2, angles=angles)

    def _place(
        self,
        text: str,
        wanted: Point,
        *,
        near: float,
        angles: tuple[float, ...] = (0.0,),
        keep_off: Sequence[tuple[Point, Point]] = (),
    ) -> bool:
        """One small label; left out, and False, where there is no room within `near`."""
        for scale in _SCALES:
            words = Words(text, SMALL * scale * self._height)
            air = _AIR * words.height
            wide, tall = words.width + 2 * air, 1.35 * words.height + air
            for angle in angles:
                size = (wide, tall) if angle == 0.0 else (tall, wide)
                spot = self._places.find(*size, wanted, near=near, keep_off=keep_off)
                if spot is not None:
                    self._write(words, spot, angle)
                    return True
        return False

    def _set_block(
        self,
        block: list[Words],
        wanted: Point,
        *,
        across_lines: bool = False,
        keep_off: Sequence[tuple[Point, Point]] = (),
    ) -> bool:
        """Lines under each other, centred; False when they find no room."""
        air = _AIR * block[-1].height
        drops = [LEADING * words.height for words in block[1:]]
        if drops:
            drops[0] += 0.5 * (block[0].height - block[1].height)
        height = block[0].height + math.fsum(drops)
        width = max(words.width for words in block)
        size = (width + 2 * air, height + 2 * air)
        spot = self._places.find(*size, wanted, across_lines=across_lines, keep_off=keep_off)
        if spot is None:
            return False
        y = spot[1] + height / 2 - block[0].height / 2
        for words, drop in zip(block, [*drops, 0.0], strict=True):
            self._write(words, (spot[0], y))
            y -= drop
        return True

    def _write(
        self, words: Words, at: Point, angle: float = 0.0, anchor: Anchor = Anchor.MIDDLE
    ) -> None:
        name = self._piece.label
        text = Text(Ink.LABEL, at, words.text, words.height, angle, anchor, words.bold, name)
        self.records.append(text)


_END_WORDS = {
    (EdgeRole.TOP, Face.FRONT): mark("top of the front"),
    (EdgeRole.TOP, Face.BACK): mark("top of the back"),
    (EdgeRole.TAPE, Face.FRONT): mark("joins the front"),
    (EdgeRole.TAPE, Face.BACK): mark("joins the back"),
    (EdgeRole.CENTRE, None): mark("centre: place on the fold"),
}
"""What is said inside edges by which a piece is laid, or joined, the right way round."""


def _block(name: str, details: Sequence[str], height: float, measure: float) -> list[Words]:
    title = Words(with_fractions(name), TITLE * height, bold=True)
    if not details:
        return [title]
    if measure > _ONE_LINE * height:
        return [Words(with_fractions(" – ".join((name, *details))), height)]
    lines = [title]
    for detail in details:
        lines += wrapped(Words(with_fractions(detail), height), measure)
    return lines
