"""Drawings of a zip on the front. mm."""

from core.base.sentences import say
from core.flat.ink import Ink
from core.flat.piece import Piece
from core.flat.roles import Face
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench
from core.work.scene import (
    TALL,
    DiagramArea,
    DiagramLine,
    DiagramNote,
    FlatScene,
)

_END_SHOWN = 0.04
"""A zip is drawn so long beyond the wall: a share of its width."""


def front_wall(bench: Bench) -> Piece:
    """The piece that the front lies on."""
    return bench.draft.piece(bench.faces[Face.FRONT])


def laid_on_front(bench: Bench, line: float, *, joins: bool) -> FlatScene:
    """The front half of its wall with the zip on its edge, and what is sewn along it.

    Args:
        line: height at which it is sewn, mm.
        joins: whether the zip is joined here, or folded up already.
    """
    wall, zipper = front_wall(bench), bench.draft.piece(ZIP)
    left, bottom, right, top = wall.bounds
    half = max(0.0, bottom)
    low = top - zipper.height if joins else top - bench.site.front.top_allowance
    high = low + zipper.height
    ends = left - _END_SHOWN * wall.width, right + _END_SHOWN * wall.width
    outline = ((ends[0], low), (ends[1], low), (ends[1], high), (ends[0], high))
    teeth = (low + high) / 2
    return FlatScene(
        pieces=(wall.id,),
        window=(left, half, right, top),
        bounds=(left, half, right, top + zipper.height),
        paper=(TALL[0], 48.0),
        over=(
            DiagramArea(Ink.NEW_AREA if joins else Ink.PART, outline),
            DiagramLine(Ink.STITCH, ((ends[0], teeth), (ends[1], teeth))),
            DiagramLine(Ink.NEW, ((left, line), (right, line))),
            DiagramNote(say("front"), ((left + right) / 2, half), (0.0, 4.0)),
        ),
    )
