"""Hatching: how the wrong side of cloth is told where its tone alone would be lost.

A grey printer, a photocopy and many eyes do not part two light tones, so that thin slanted
lines stand on every wrong side, on paper, on the web page and on the screen. Sizes are mm at
the size in which a drawing is read: hatching is not reduced with what it lies on.
"""

import math
from collections.abc import Sequence
from itertools import pairwise

from core.flat.piece import Point
from core.tolerance import shorter

HATCH_ANGLE = 45.0
"""Of the lines, degrees counter-clockwise from x."""
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
