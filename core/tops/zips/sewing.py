"""What every zip is sewn with: its tape, its marks, and its drawing as bought. mm."""

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.flat.ink import Ink
from core.flat.roles import PieceId
from core.tops.zips.zipped import ZIP, ZIP_ENDS, Zipped
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH, Foot, Setting
from core.work.operation import Action, MarkRef, MeasurePlace, Operation, Phase, sized
from core.work.scene import TALL, WIDE, Diagram, DiagramArea, DiagramLine, Placed, fitted_scale
from core.work.states import CUT, State

ZIP_SEAM = Setting(length=SEAM_STITCH, foot=Foot.ZIP)
ZIP_TAPE = 0.6
"""Thickness of a zip's tape, pressed (own choice: a woven tape of the usual kind)."""
MARKED_ZIP = State("the zip is marked")
ZIP_OPEN = State("the zip is open")
ENDS = tuple(ZIP_ENDS.values())
_SPARE_SHOWN = 0.12
"""A zip's spare end is drawn at most so long: a share of what it closes."""


def spare_foot(zip_shows: float) -> Sentence:
    """How a zip is sewn without a foot of its own, where so much of it shows, mm."""
    return say(
        "There is {room} between the needle and the teeth: a presser foot that extends "
        "less than that on the side of the teeth can stay on.",
        room=zip_shows / 2,
    )


def mark_zip(
    bench: Bench, zip_: Zipped, edge: Template, pieces: tuple[PieceId, ...], spare_told: Template
) -> Operation:
    """How its ends and its middle are marked.

    Args:
        edge: what the edge that it is marked from is called.
        pieces: that have it.
        spare_told: when its ends are cut off, with {spare}.
    """
    span, terms = zip_.spans(bench.site.mouth), {"edge": edge}
    spare = (zip_.length - span) / 2
    beyond = say(spare_told, spare=spare)
    if shorter(spare, 0.0):
        beyond = say("The zip is {short} too short: take a longer one.", short=-2 * spare)
    elif not shorter(0.0, spare):
        beyond = say("The zip ends at the marks, with nothing to spare: take a longer one.")
    return Operation(
        key="mark zip",
        action=Action.MARK,
        phase=Phase.TOP,
        title=say("Mark the zip from the {edge}", terms=terms),
        instructions=(
            say(
                "Close the zip, {zip_length} long, and lay it along the {edge}.",
                terms=terms,
                zip_length=zip_.length,
            ),
            say(
                "On both tapes mark the two ends of the edge, {zip_span} apart, and its middle.",
                zip_span=span,
            ),
            beyond,
        ),
        why=say("Marked from that edge itself, the zip matches it exactly."),
        check=say("The slider is between the two marks; keep it there."),
        caution=say(
            "Never sew over metal teeth: they break the needle. Pull out with pliers those that "
            "lie in a seam across the zip. Plastic teeth are sewn over, turning the hand wheel."
        ),
        needs=tuple(CUT.for_(name) for name in pieces),
        measures=(
            *sized(MeasurePlace.DIAGRAM, zip_length=zip_.length, zip_span=span, spare=spare),
            *sized(MeasurePlace.DERIVED, short=-2 * spare),
        ),
        makes=(MARKED_ZIP,),
        pieces=(ZIP, *pieces),
        marks=tuple(MarkRef(ZIP, i) for i in range(len(bench.draft.piece(ZIP).marks))),
        scene=_as_bought(bench, zip_),
    )


def _as_bought(bench: Bench, zip_: Zipped) -> Diagram:
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
            Placed("zip_span", piece.width, (left, bottom), (right, bottom)),
        ),
    )


FRONT_EDGE = mark("front's top edge")
"""That a zip lies along, between the top edges of front and back."""
CUT_OFF_LATER = mark(
    "Leave {spare} of zip beyond each mark: it is cut off when the sides are sewn."
)
CUT_OFF_BEFORE = mark(
    "Leave {spare} of zip beyond each mark: it is cut off before the ends are sewn."
)
