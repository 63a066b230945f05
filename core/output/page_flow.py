"""Writing downwards: columns of paragraphs, and pages of them with tables. mm, y up.

Records come in the frame of the page, lower left corner at (0, 0).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from core.drawing.lettering import Words, text_width, with_fractions, wrapped
from core.drawing.records import Anchor, DrawingRecord, Line, Text
from core.flat.ink import Ink

BODY, HEAD, TITLE, FOOT = 2.3, 2.7, 6.2, 2.0
"""Heights of a capital."""
MARGIN = 12.0
_BETWEEN = 4.0
"""Between two columns of a table."""
_LINE = 1.9
"""From one line to the next, in capital heights."""


@dataclass(slots=True)
class TextColumn:
    """Paragraphs under one another between two edges; the next line goes at `y`."""

    records: list[DrawingRecord]
    left: float
    right: float
    y: float

    def height_of(self, words: Words) -> float:
        """How far down a paragraph goes."""
        return _LINE * words.height * len(wrapped(words, self.right - self.left))

    def need(self, height: float) -> bool:
        """See to it that so much room is left; whether a new page was started for it."""
        return False

    def text(self, text: str, height: float, *, bold: bool = False, indent: float = 0.0) -> None:
        """A paragraph, wrapped."""
        room = self.right - self.left - indent
        for words in wrapped(Words(with_fractions(text), height, bold), room):
            self.need(_LINE * height)
            self.y -= _LINE * height
            at = (self.left + indent, self.y + height / 2)
            self.records.append(
                Text(Ink.LABEL, at, words.text, height, anchor=Anchor.START, bold=bold)
            )

    def skip(self, height: float) -> None:
        """Free space."""
        self.y -= height

    def rule(self) -> None:
        """A line across."""
        self.records.append(Line(Ink.FRAME, ((self.left, self.y), (self.right, self.y))))

    def beside(self, left: float, right: float) -> "TextColumn":
        """Another column that starts at the same height."""
        return TextColumn(self.records, left, right, self.y)


class PageFlow(TextColumn):
    """Pages that are written downwards, one after another; `records` are those of the last.

    The size is (width, height) of a page; the foot is set at that of each.
    """

    def __init__(self, size: tuple[float, float], foot: str) -> None:
        super().__init__([], MARGIN, size[0] - MARGIN, 0.0)
        self.pages: list[list[DrawingRecord]] = []
        self._size, self._foot = size, foot

    @property
    def bottom(self) -> float:
        """Lowest line, above the foot."""
        return MARGIN + 4 * BODY

    @property
    def top(self) -> float:
        """Where the first line of a page goes down from."""
        return self._size[1] - MARGIN

    def start(self) -> None:
        """A new page."""
        at = (self.left, MARGIN + BODY / 2)
        self.records = [Text(Ink.LABEL, at, self._foot, FOOT, anchor=Anchor.START)]
        self.pages.append(self.records)
        self.y = self.top

    def need(self, height: float) -> bool:
        """Start a new page unless so much room is left; whether one was started."""
        if self.pages and self.y - height >= self.bottom:
            return False
        self.start()
        return True

    def table(self, head: Sequence[str], rows: Sequence[Sequence[str]], right: set[int]) -> None:
        """Rows under their heads, cells wrapped, heads said again on a new page.

        Some columns are set to the right.
        """
        room = self.right - self.left
        widths = _column_widths([head, *rows], room)
        if len(head) - 1 in right:  # figures at the edge, under one another
            widths[-2] += room - math.fsum(widths) - (len(widths) - 1) * _BETWEEN
        self._row(head, widths, right, bold=True)
        for row in rows:
            height = _row_height(row, widths)
            if self.need(height):
                self._row(head, widths, right, bold=True)
            self._row(row, widths, right, bold=False)

    def _row(self, row: Sequence[str], widths: list[float], right: set[int], *, bold: bool) -> None:
        height = _row_height(row, widths)
        x = self.left
        for column, (cell, width) in enumerate(zip(row, widths, strict=True)):
            y = self.y
            for words in wrapped(Words(cell, BODY, bold), width):
                y -= _LINE * BODY
                end = column in right
                at = (x + width if end else x, y + BODY / 2)
                anchor = Anchor.END if end else Anchor.START
                self.records.append(Text(Ink.LABEL, at, words.text, BODY, anchor=anchor, bold=bold))
            x += width + _BETWEEN
        self.y -= height + 0.8
        self.rule()
        self.y -= 0.8


def _row_height(row: Sequence[str], widths: list[float]) -> float:
    most = max(
        len(wrapped(Words(cell, BODY), width)) for cell, width in zip(row, widths, strict=True)
    )
    return max(most, 1) * _LINE * BODY


def _column_widths(rows: Sequence[Sequence[str]], room: float) -> list[float]:
    """As wide as their longest cell; where that is too much, all wide ones are equally wide.

    So sentences break and sizes do not.
    """
    columns = list(zip(*rows, strict=True))
    widths = [max(text_width(cell, BODY, bold=True) for cell in column) for column in columns]
    left = room - (len(widths) - 1) * _BETWEEN
    for place, width in enumerate(sorted(widths)):
        share = left / (len(widths) - place)
        if width > share:
            return [min(each, share) for each in widths]
        left -= width
    return widths
