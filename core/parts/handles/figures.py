"""The figures of handles: those that the maker sets, and those that follow. Lengths are mm."""

from core.base.sentences import mark
from core.model.figures import CutFigure, FinishedFigure, Form, Quantity, Ruled
from core.parts.handles.strip import FOLD_CLEARANCE, JOIN_SEAM

MOST_STRIPS = 60

_TOO_SHORT = mark(
    "{label} cannot be set: the handles do not reach from leg to leg. Make the loop longer first."
)

CUT: tuple[CutFigure, ...] = (
    CutFigure(
        name="handle_width",
        label=mark("Handle width"),
        part="handles",
        attribute="width",
        low=FOLD_CLEARANCE / 4,
        high=500.0,
        above_low=True,
        help=mark(
            "Finished width; the strip is cut four times as wide, less what the folds take up."
        ),
    ),
    CutFigure(
        name="handle_gap",
        label=mark("Handle gap"),
        part="handles",
        attribute="gap",
        by_hand=True,
        help=mark("Space between the two legs of a handle."),
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_stop",
        label=mark("Handle stop"),
        part="handles",
        attribute="stop",
        by_hand=True,
        help=mark("From the cut top edge of a face down to where the stitching ends."),
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_strips",
        label=mark("Handle strips"),
        part="handles",
        attribute="strips",
        quantity=Quantity.COUNT,
        low=1,
        high=MOST_STRIPS,
        help=mark("How many strips are joined, in the loop or in each separate handle."),
        pinnable=True,
    ),
    CutFigure(
        name="handle_last_strip",
        label=mark("Last strip"),
        part="handles",
        attribute="last_strip",
        low=2 * JOIN_SEAM,
        above_low=True,
        help=mark(
            "Cut length of the last strip; the others are as long as their material is wide."
        ),
        ruled=Ruled.PART,
        pinnable=True,
    ),
    CutFigure(
        name="handle_leg",
        label=mark("Handle leg"),
        part="handles",
        attribute="leg",
        above_low=True,
        published=False,
        by_hand=True,
        help=mark("Sewn length of each leg of two separate handles, down from the stop."),
    ),
)
"""Figures that the maker sets, in reading order."""
WIDTH, GAP, STOP, STRIPS, LAST_STRIP, LEG = CUT

FINISHED: tuple[FinishedFigure, ...] = (
    FinishedFigure(
        name="handle_loop",
        label=mark("Handle loop"),
        part="handles",
        help=mark("Length of the joined loop, or of one separate handle."),
    ),
    FinishedFigure(
        name="handle_drop_front",
        label=mark("Handle drop, front"),
        part="handles",
        help=mark("Height of the front handle's top above the top fold, pulled taut."),
        form=Form.TAUT,
        may_be_negative=True,
        tape=mark("handle pulled up: its top above the top fold"),
        missing=_TOO_SHORT,
    ),
    FinishedFigure(
        name="handle_drop_back",
        label=mark("Handle drop, back"),
        part="handles",
        help=mark("Height of the back handle's top above the top fold, pulled taut."),
        form=Form.TAUT,
        may_be_negative=True,
        tape=mark("handle pulled up: its top above the top fold"),
        missing=_TOO_SHORT,
    ),
)
"""Figures that follow, in reading order."""
