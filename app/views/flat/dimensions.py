"""Which sizes are written beside a piece in the flat pane, and where. mm, y up."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from core.bag.bag import Bag
from core.bag.tables import cut_figure
from core.flat.piece import Edge, Mark, Piece, Point
from core.flat.roles import EdgeId, EdgeRole, Face, MarkRole, PieceRole, Side


class Out(Enum):
    """Which way a dimension line is moved off what it measures: (right, down) on the screen."""

    LEFT = (-1, 0)
    RIGHT = (1, 0)
    ABOVE = (0, -1)
    BELOW = (0, 1)
    ON = (0, 0)

    @property
    def step(self) -> tuple[int, int]:
        """(right, down)."""
        return self.value


@dataclass(frozen=True, slots=True, kw_only=True)
class Dimension:
    """One size.

    Attributes:
        label: what it is, in English; empty when the number says enough.
        start, end: what is measured, mm, level or upright, in the frame of the piece.
        out: which way its line is moved off it.
        row: 0 for the line next to the piece.
    """

    label: str
    start: Point
    end: Point
    out: Out
    row: int = 0

    @property
    def length(self) -> float:
        """The size, mm."""
        return abs(self.end[0] - self.start[0]) + abs(self.end[1] - self.start[1])

    @property
    def level(self) -> bool:
        """Whether it runs across."""
        return self.start[1] == self.end[1]


def piece_dimensions(piece: Piece, bag: Bag) -> tuple[Dimension, ...]:
    """The sizes of a piece, the most wanted first; sizes of nothing are left out."""
    if piece.id.role is not PieceRole.WALL:
        found = _overall(piece)
    elif piece.folds:
        found = [*_whole_panel(piece, bag), *_corner(piece), *_on_faces(piece)]
    else:
        found = [*_overall(piece), *_corner(piece), *_on_faces(piece)]
    return tuple(each for each in found if each.length > 0.0)


def rows(dimensions: Iterable[Dimension], out: Out) -> int:
    """How many rows of lines lie on that side."""
    return max((each.row + 1 for each in dimensions if each.out is out), default=0)


def _overall(piece: Piece) -> list[Dimension]:
    left, bottom, right, top = piece.bounds
    across, along = _OVERALL_LABELS.get(piece.id.owner, ("", ""))
    return [
        Dimension(label=across, start=(left, bottom), end=(right, bottom), out=Out.BELOW),
        Dimension(label=along, start=(left, bottom), end=(left, top), out=Out.LEFT),
    ]


def _whole_panel(piece: Piece, bag: Bag) -> list[Dimension]:
    """Width below; back, front and trim on the left, and the panel length that they make."""
    left, bottom, right, top = piece.bounds
    fold, trim = piece.folds[0].y, bag.body.front_trim
    untrimmed = top + trim
    return [
        Dimension(
            label=_label("panel_width"), start=(left, bottom), end=(right, bottom), out=Out.BELOW
        ),
        Dimension(
            label=_label("panel_length"),
            start=(left, bottom),
            end=(left, untrimmed),
            out=Out.LEFT,
            row=1,
        ),
        Dimension(
            label=_label("front_trim"), start=(left, top), end=(left, untrimmed), out=Out.LEFT
        ),
        Dimension(label="Back", start=(left, bottom), end=(left, fold), out=Out.LEFT),
        Dimension(label="Front", start=(left, fold), end=(left, top), out=Out.LEFT),
    ]


def _corner(piece: Piece) -> list[Dimension]:
    """Width inside the corner that is cut away, depth beside it, at one right corner."""
    edge = _right_corner(piece, Face.FRONT) or _right_corner(piece, Face.BACK)
    if edge is None:
        return []
    (inner, y), (outer, _) = sorted((edge.start, edge.end))
    level = piece.folds[0].y if piece.folds else _nearer(y, piece)
    inside = Out.BELOW if level < y else Out.ABOVE
    return [
        Dimension(label=_label("corner_cut_width"), start=(inner, y), end=(outer, y), out=inside),
        Dimension(
            label=_label("corner_cut_depth"), start=(outer, level), end=(outer, y), out=Out.RIGHT
        ),
    ]


def _on_faces(piece: Piece) -> list[Dimension]:
    """Where pocket and handles are laid on."""
    found: list[Dimension] = []
    _, bottom, right, top = piece.bounds
    for mark in piece.marks:
        if mark.owner == "pocket":
            low, high = _reach(mark)
            edge = top if high > 0.0 else bottom
            found += [
                Dimension(
                    label="Pocket height", start=(right, low), end=(right, high), out=Out.RIGHT
                ),
                Dimension(
                    label=_label("pocket_drop"),
                    start=(right, high),
                    end=(right, edge),
                    out=Out.RIGHT,
                ),
            ]
    return found + _handles(piece)


def _handles(piece: Piece) -> list[Dimension]:
    """The stop on the right leg of the front, the gap between the legs of the back."""
    legs = [mark for mark in piece.marks if mark.role is MarkRole.LEG]
    front = [leg for leg in legs if _reach(leg)[1] > 0.0]
    back = [leg for leg in legs if _reach(leg)[1] < 0.0]
    found: list[Dimension] = []
    if front:
        leg = max(front, key=_left)
        middle, stop = (_left(leg) + _right(leg)) / 2, _reach(leg)[1]
        end = (middle, piece.bounds[3])
        found.append(
            Dimension(label=_label("handle_stop"), start=(middle, stop), end=end, out=Out.ON)
        )
    if len(back) == 2:
        one, other = sorted(back, key=_left)
        y = _reach(one)[1]
        out = Out.BELOW if y < 0.0 else Out.ABOVE
        found.append(
            Dimension(
                label=_label("handle_gap"), start=(_right(one), y), end=(_left(other), y), out=out
            )
        )
    return found


def _reach(mark: Mark) -> tuple[float, float]:
    """(near, far) of a mark from the bottom line, signed as y is."""
    ys = sorted((point[1] for point in mark.points), key=abs)
    return ys[0], ys[-1]


def _left(mark: Mark) -> float:
    return min(point[0] for point in mark.points)


def _right(mark: Mark) -> float:
    return max(point[0] for point in mark.points)


def _nearer(y: float, piece: Piece) -> float:
    """The bottom cut edge: the end of the piece that is nearer to its corner."""
    _, bottom, _, top = piece.bounds
    return bottom if abs(y - bottom) < abs(y - top) else top


def _right_corner(piece: Piece, face: Face) -> Edge | None:
    wanted = EdgeId(EdgeRole.CORNER, face, Side.RIGHT)
    return next((edge for edge in piece.edges if edge.id == wanted), None)


def _label(figure: str) -> str:
    return cut_figure(figure).label


_OVERALL_LABELS = {
    "body": ("Panel width", ""),
    "pocket": ("", "Pocket cut height"),
}
