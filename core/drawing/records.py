"""Drawing records: what is drawn, said once, read by the screen and by every writer.

All coordinates are mm, y up, in one flat drawing frame. A record knows the ink that
decides its look and the edge or part that it belongs to; it knows no colour and no pen.
"""

import math
from collections.abc import Sequence
from enum import Enum
from itertools import pairwise
from typing import NamedTuple

from core.base.tolerance import shorter
from core.drawing.lettering import CAPITAL, DESCENT, text_width
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import EdgeRef


class Anchor(Enum):
    """Which point of a text lies at its position: along the line, always on its middle."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Line(NamedTuple):
    """An open polyline of at least two points."""

    ink: Ink
    points: tuple[Point, ...]
    edge: EdgeRef | None = None
    piece: str = ""


class Polygon(NamedTuple):
    """A closed outline, counter-clockwise."""

    ink: Ink
    points: tuple[Point, ...]
    piece: str = ""


class Text(NamedTuple):
    """One line of text.

    Attributes:
        at: position of the anchor, mm.
        height: of a capital letter, mm.
        angle: degrees, counter-clockwise from x.
    """

    ink: Ink
    at: Point
    text: str
    height: float
    angle: float = 0.0
    anchor: Anchor = Anchor.MIDDLE
    bold: bool = False
    piece: str = ""


DrawingRecord = Line | Polygon | Text


def text_box(text: Text) -> Bounds:
    """(left, bottom, right, top) of a text's letters, descenders included, mm.

    Exact for texts along x or y, as all of ours are; around others it is too small.
    """
    width = text_width(text.text, text.height, bold=text.bold)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[text.anchor]
    low = -text.height / 2 - DESCENT * text.height / CAPITAL
    corners = ((start, low), (start + width, text.height / 2))
    if text.angle % 180.0:
        (ax, ay), (bx, by) = corners
        corners = ((-ay, ax), (-by, bx))
    (x0, y0), (x1, y1) = corners
    x, y = text.at
    return x + min(x0, x1), y + min(y0, y1), x + max(x0, x1), y + max(y0, y1)


def overlap(one: Bounds, other: Bounds) -> bool:
    """Whether two boxes share more than an edge."""
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


HATCH_ANGLE = 45.0
"""Of the lines, degrees counter-clockwise from x.

A grey printer, a photocopy and many eyes do not part two light tones, so that thin slanted lines
stand on every wrong side, on paper, on the web page and on the screen. Sizes are mm at the size in
which a drawing is read: hatching is not reduced with what it lies on."""
HATCH_SPACING = 2.0
"""From one line to the next, across them, mm."""
HATCH_WIDTH = 0.12
"""Of a line, mm."""
HATCH_COLOUR = (104, 112, 124)
"""Of a line, (red, green, blue), 0 to 255: at least 3 : 1 on the wrong side's light tone, as
WCAG 2.2, 1.4.11, asks of what must be seen in a drawing."""


def hatch_lines(
    outline: Sequence[Point], *, spacing: float = HATCH_SPACING, angle: float = HATCH_ANGLE
) -> tuple[tuple[Point, Point], ...]:
    """What of the hatching lies inside an outline: (start, end) of each stroke.

    All lines pass at multiples of `spacing` from the origin, so that areas that meet are
    hatched as one.

    Args:
        outline: corners of a closed outline that may be concave or cross itself (then what is
            inside goes by the even-odd rule, as painters fill it).
        spacing: across the lines, in the unit of the outline, > 0.
        angle: degrees counter-clockwise from x.
    """
    cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    # Turned so that the lines run along u.
    turned = [(x * cos + y * sin, y * cos - x * sin) for x, y in outline]
    if len(turned) < 3:
        return ()
    low, high = min(v for _, v in turned), max(v for _, v in turned)
    strokes: list[tuple[Point, Point]] = []
    for number in range(math.ceil(low / spacing), math.floor(high / spacing) + 1):
        v = number * spacing
        crossed = sorted(_crossings(turned, v))
        for start, end in zip(crossed[::2], crossed[1::2], strict=True):
            if shorter(start, end):  # what a corner cuts off is next to nothing
                strokes.append(
                    ((start * cos - v * sin, start * sin + v * cos),
                     (end * cos - v * sin, end * sin + v * cos))
                )  # fmt: skip
    return tuple(strokes)


def _crossings(ring: Sequence[Point], v: float) -> list[float]:
    """Where the sides of a ring cross a level; a side holds its lower end and not its upper."""
    return [
        a + (b - a) * (v - low) / (high - low)
        for (a, low), (b, high) in pairwise([*ring, ring[0]])
        if (low <= v) != (high <= v)
    ]
