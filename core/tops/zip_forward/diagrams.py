"""Drawings of a zip by itself, and of it on the front. mm."""

from core.base.sentences import say
from core.flat.ink import Ink
from core.flat.piece import Piece
from core.flat.roles import Face
from core.tops.zip_forward.zip import ZipForward
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench
from core.work.scene import (
    TALL,
    WIDE,
    Diagram,
    DiagramArea,
    DiagramLine,
    DiagramNote,
    FlatScene,
    Placed,
    fitted_scale,
)

_SPARE_SHOWN, _END_SHOWN = 0.12, 0.04
"""A zip's spare end is drawn at most so long, and beyond the panel so long: shares of its width."""


def as_bought(bench: Bench, zip_: ZipForward) -> Diagram:
    """The zip as bought, with its marks; its spare ends are drawn shortened."""
    piece = bench.draft.piece(ZIP)
    left, bottom, right, top = piece.bounds
    beyond = (zip_.length - piece.width) / 2
    spare = min(max(beyond, 0.0), _SPARE_SHOWN * piece.width)
    paper = TALL if piece.height > piece.width else WIDE
    reach = 1.4 / fitted_scale(piece.bounds, paper)
    ends, middle = (left - spare, right + spare), (bottom + top) / 2
    outline = ((ends[0], bottom), (ends[1], bottom), (ends[1], top), (ends[0], top))
    marked = (left, (left + right) / 2, right)
    return Diagram(
        bounds=piece.bounds,
        paper=paper,
        drawn=(
            DiagramArea(Ink.PART, outline),
            DiagramLine(Ink.STITCH, ((ends[0], middle), (ends[1], middle))),
            *(DiagramLine(Ink.NEW, ((x, bottom - reach), (x, top + reach))) for x in marked),
        ),
        placed=(
            Placed("zip_length", zip_.length, (ends[0], top), (ends[1], top)),
            Placed("spare", beyond, (right, top), (ends[1], top)),
            Placed("panel_width", piece.width, (left, bottom), (right, bottom)),
        ),
    )


def front_wall(bench: Bench) -> Piece:
    """The piece that the front lies on."""
    return bench.draft.piece(bench.faces[Face.FRONT])


def laid_on_front(bench: Bench, line: float, *, joins: bool) -> FlatScene:
    """The front half of the panel with the zip on its edge, and what is sewn along it.

    Args:
        line: height at which it is sewn, mm.
        joins: whether the zip is joined here, or folded up already.
    """
    panel, zipper = front_wall(bench), bench.draft.piece(ZIP)
    left, bottom, right, top = panel.bounds
    half = max(0.0, bottom)
    low = top - zipper.height if joins else top - bench.site.front.top_allowance
    high = low + zipper.height
    ends = left - _END_SHOWN * panel.width, right + _END_SHOWN * panel.width
    outline = ((ends[0], low), (ends[1], low), (ends[1], high), (ends[0], high))
    teeth = (low + high) / 2
    return FlatScene(
        pieces=(panel.id,),
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
