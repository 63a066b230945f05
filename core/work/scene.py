"""What the drawing of an operation shows, as plain data: who draws gives each ink its own look.

A drawing of flat work or of the folded bag follows from the pieces; what no piece shows, such as
a strip that is being folded, an operation brings as a `Diagram`. Lengths are mm.
"""

from dataclasses import dataclass

from core.base.sentences import Sentence
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import PieceId
from core.space.zones import AreaKind, LineKind

TALL, WIDE = (46.0, 52.0), (52.0, 40.0)
"""Room on paper for what is taller than wide, and for what is not: width, height."""


@dataclass(frozen=True, slots=True)
class DiagramArea:
    """A filled outline."""

    ink: Ink
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class DiagramLine:
    """A line."""

    ink: Ink
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class DiagramNote:
    """A word.

    Attributes:
        text: of ours, or typed by the maker.
        at: its middle, or with `begins` its start.
        shift: from there, on paper.
        room: it is shortened to, on paper; None for all of it.
    """

    text: Sentence
    at: Point
    shift: Point = (0.0, 0.0)
    begins: bool = False
    room: float | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a measure lies in a diagram: between two points, or at the one that is pointed out.

    Attributes:
        length: as it is told, mm, whatever the diagram's scale.
    """

    measure: str
    length: float
    start: Point
    end: Point | None = None


DiagramItem = DiagramArea | DiagramLine | DiagramNote


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagram:
    """A drawing of one thing by itself, in a frame of its own.

    Attributes:
        bounds: of what is drawn; it may jut out a little.
        paper: width and height that these may take on paper, mm.
        most: largest scale; 1 is life size.
        drawn: in the order of painting.
    """

    bounds: Bounds
    paper: tuple[float, float]
    most: float = 1.0
    drawn: tuple[DiagramItem, ...]
    placed: tuple[Placed, ...] = ()


@dataclass(frozen=True, slots=True)
class PieceScene:
    """The first piece of the operation alone, with its sizes: what is cut is new."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatScene:
    """The wall's pieces flat, with what is on them so far and what is new.

    Attributes:
        pieces: those that are drawn; empty for all.
        window: what is shown of them; None for all.
        bounds: of the drawing, where it is more than its window.
        paper: width and height for it on paper, mm.
        over: lies over them, in their frame, with its measures.
        beside: stands to their right, at its printed size.
    """

    pieces: tuple[PieceId, ...] = ()
    window: Bounds | None = None
    bounds: Bounds | None = None
    paper: tuple[float, float] = TALL
    over: tuple[DiagramItem, ...] = ()
    placed: tuple[Placed, ...] = ()
    beside: Diagram | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldedView:
    """The bag folded, with the edges and seams of the operation as what is new.

    Attributes:
        share: moment of the folding, 0 flat to 1 sewn.
        yaw, pitch: degrees; yaw 0 looks at the front, positive comes round to the right
            side; pitch is positive from above.
        wrong_side: whether the wrong side is out: nothing that is laid on is seen.
        through: whether the bottom is seen through the walls.
        tips: whether corners that are sewn across show their tips, flattened.
        upper_ends_only: whether of these edges only the upper end is new.
        new_areas, new_lines: what else is new.
    """

    share: float = 1.0
    yaw: float = 28.0
    pitch: float = 20.0
    wrong_side: bool = False
    through: bool = False
    tips: bool = False
    upper_ends_only: bool = False
    new_areas: frozenset[AreaKind] = frozenset()
    new_lines: frozenset[LineKind] = frozenset()


SEWN = FoldedView(new_lines=frozenset({LineKind.SEAM, LineKind.FOLD}))
"""The finished bag."""
FOLDED_FLAT = FoldedView(share=0.5, yaw=0.0, pitch=0.0, wrong_side=True)
"""The bag flat, wrong side out."""


Scene = Diagram | PieceScene | FlatScene | FoldedView


def fitted_scale(bounds: Bounds, paper: tuple[float, float], most: float = 1.0) -> float:
    """The largest scale, `most` at the utmost, at which something has room on paper."""
    left, bottom, right, top = bounds
    wide, high = max(right - left, 1e-6), max(top - bottom, 1e-6)
    return min(paper[0] / wide, paper[1] / high, most)
