"""Drawing records: what is drawn, said once, read by the screen and by every writer.

All coordinates are mm, y up, in one flat drawing frame. A record knows the layer that
decides its look and the edge or part that it belongs to; it knows no colour and no pen.
"""

from dataclasses import dataclass
from enum import Enum

from core.flat.piece import Point
from core.flat.seam import EdgeRef
from core.paper.lettering import CAPITAL, DESCENT, text_width


class Layer(Enum):
    """What a line means; each reader has its own look for each."""

    CUT = "cut line"
    STITCH = "stitch line"
    FOLD = "fold"
    PLACEMENT = "placement line"
    BASTE = "basting line"
    GRAIN = "grain"
    NOTCH = "notch"
    DIMENSION = "dimension"
    LABEL = "label"
    STARTING = "starting outline"
    FRAME = "frame"
    MATCH = "match mark"
    TEST = "test square"
    MAP = "map"
    GOODS = "goods"
    SHADE = "goods in shade"
    INSIDE = "wrong side"
    HATCH = "hatching of a wrong side"
    PART = "laid on"
    PLATE = "ground of a label"
    NEW = "new work"
    NEW_AREA = "new piece"


class Anchor(Enum):
    """Which point of a text lies at its position: along the line, always on its middle."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Line:
    """An open polyline of at least two points."""

    layer: Layer
    points: tuple[Point, ...]
    edge: EdgeRef | None = None
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Polygon:
    """A closed outline, counter-clockwise."""

    layer: Layer
    points: tuple[Point, ...]
    piece: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text.

    Attributes:
        at: position of the anchor, mm.
        height: of a capital letter, mm.
        angle: degrees, counter-clockwise from x.
    """

    layer: Layer
    at: Point
    text: str
    height: float
    angle: float = 0.0
    anchor: Anchor = Anchor.MIDDLE
    bold: bool = False
    piece: str = ""


Record = Line | Polygon | Text


def text_box(text: Text) -> tuple[float, float, float, float]:
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
