"""Drawings of the corners that strip and top strip turn, flat: a piece of either near them. mm."""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.bodies.clipping import stay_line
from core.bodies.gusset_strip.closing import strip_pieces
from core.flat.geometry import corners_of
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import PieceId
from core.work.bench import Bench
from core.work.operation import StitchPath
from core.work.scene import (
    Diagram,
    DiagramArea,
    DiagramLine,
    DiagramNote,
    FlatScene,
    fitted_scale,
)

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

_BESIDE = (27.0, 40.0)
"""Room on paper for what is drawn of the top strip beside the strip, mm."""


class Corner(NamedTuple):
    """Where the strip turns a corner: from the middle of its bottom along its way up; mm.

    Attributes:
        start, end: ends of its arc on the stitch line; the same where it is square.
        upper: whether it is one at the top.
    """

    start: float
    end: float
    upper: bool

    @property
    def is_round(self) -> bool:
        """Whether it has an arc."""
        return self.end > self.start


def stay_paths(
    bench: Bench, body: "StripBody", corners: Sequence[Corner], halves: Sequence[PieceId]
) -> Iterator[StitchPath]:
    """At every corner, on whatever of the ring lies there."""
    line, reach = stay_line(bench, body.gusset_seam), bench.stay_reach
    away, half, middle = body.drawn_edge / 2, body.drawn_gap / 2, body.top_strip_length / 2
    for corner, way in product(corners, (1.0, -1.0)):
        low, high = corner.start - reach, corner.end + reach
        for number, piece in enumerate(strip_pieces(body)):
            if span := _within((way * low, way * high), body.strip_ends(number)):
                for x in (line, body.strip_width - line):
                    yield StitchPath(piece, ((x, span[0]), (x, span[1])))
        for number, piece in enumerate(halves):
            # The first one's outer edge lies below, the other's above.
            y = bench.draft.piece(piece).height - line if number else line
            if span := _within((way * (away - high), way * (away - low)), (-half, half)):
                yield StitchPath(piece, ((middle + span[0], y), (middle + span[1], y)))


def _within(span: tuple[float, float], ends: tuple[float, float]) -> tuple[float, float] | None:
    """What of a stretch lies between two ends; None where nothing does."""
    low, high = max(min(span), ends[0]), min(max(span), ends[1])
    return (low, high) if shorter(low, high) else None


def corner_scene(
    bench: Bench,
    body: "StripBody",
    corners: Sequence[Corner],
    halves: Sequence[PieceId],
    paths: Sequence[StitchPath],
) -> FlatScene:
    """The strip near the corners of its upper half, and the top strip where it turns some."""
    reach = 2 * bench.stay_reach
    pieces = strip_pieces(body)
    end = max(bench.draft.piece(each).bounds[3] for each in pieces)
    on_strip = [each for each in corners if each.start < body.drawn_strip / 2]
    top = min(max(each.end for each in on_strip or corners[:1]) + reach, end)
    return FlatScene(
        pieces=pieces,
        window=(0.0, corners[0].start - reach, body.strip_width, top),
        beside=_half_strip(bench, body, halves[0], paths) if halves else None,
    )


def _half_strip(
    bench: Bench, body: "StripBody", half: PieceId, paths: Sequence[StitchPath]
) -> Diagram | None:
    """Its end at the right, as far as something is done there; None where nothing is."""
    _, _, right, high = bench.draft.piece(half).bounds
    middle = body.top_strip_length / 2
    lines = [
        path.points
        for path in paths
        if path.piece == half and max(x for x, _ in path.points) > middle
    ]
    if not lines:
        return None
    left = max(min(x for line in lines for x, _ in line) - bench.stay_reach, 0.0)
    scale = fitted_scale((left, 0.0, right, high), _BESIDE)

    def at(point: Point) -> Point:
        return (point[0] - left) * scale, point[1] * scale

    width, height = at((right, high))
    return Diagram(
        bounds=(0.0, 0.0, width, height),
        paper=_BESIDE,
        drawn=(
            DiagramArea(Ink.GOODS, corners_of((0.0, 0.0, width, height))),
            *(DiagramLine(Ink.NEW, tuple(map(at, line))) for line in lines),
            DiagramNote(say(_TOP_STRIP), (width / 2, 0.0), shift=(0.0, -3.0)),
        ),
    )


_TOP_STRIP = mark("top strip")
