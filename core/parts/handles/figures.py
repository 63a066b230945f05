"""The figures of handles: those that the maker sets, and those that follow. Lengths are mm."""

from core.model.figures import LONGEST, CutFigure, FinishedFigure, Form, Quantity, Ruled
from core.parts.handles.strip import FOLD_CLEARANCE, JOIN_SEAM

MOST_STRIPS = 60

_TOO_SHORT = (
    "{label} cannot be set: the handles do not reach from leg to leg. Make the loop longer first."
)

CUT: tuple[CutFigure, ...] = (
    CutFigure(
        name="handle_width",
        label="Handle width",
        part="handles",
        attribute="width",
        low=FOLD_CLEARANCE / 4,
        high=500.0,
        above_low=True,
        help=("Finished width; the strip is cut four times as wide, less what the folds take up."),
    ),
    CutFigure(
        name="handle_gap",
        label="Handle gap",
        part="handles",
        attribute="gap",
        low=0.0,
        high=LONGEST,
        by_hand=True,
        help="Space between the two legs of a handle.",
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_stop",
        label="Handle stop",
        part="handles",
        attribute="stop",
        low=0.0,
        high=LONGEST,
        by_hand=True,
        help="From the cut top edge of a face down to where the stitching ends.",
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_strips",
        label="Handle strips",
        part="handles",
        attribute="strips",
        quantity=Quantity.COUNT,
        low=1,
        high=MOST_STRIPS,
        help="How many strips are joined, in the loop or in each separate handle.",
        pinnable=True,
    ),
    CutFigure(
        name="handle_last_strip",
        label="Last strip",
        part="handles",
        attribute="last_strip",
        low=2 * JOIN_SEAM,
        high=LONGEST,
        above_low=True,
        help="Cut length of the last strip; the others are as long as their material is wide.",
        ruled=Ruled.PART,
        pinnable=True,
    ),
    CutFigure(
        name="handle_leg",
        label="Handle leg",
        part="handles",
        attribute="leg",
        low=0.0,
        high=LONGEST,
        above_low=True,
        published=False,
        by_hand=True,
        help="Sewn length of each leg of two separate handles, down from the stop.",
    ),
)
"""Figures that the maker sets, in reading order."""

FINISHED: tuple[FinishedFigure, ...] = (
    FinishedFigure(
        name="handle_loop",
        label="Handle loop",
        part="handles",
        help="Length of the joined loop, or of one separate handle.",
    ),
    FinishedFigure(
        name="handle_drop_front",
        label="Handle drop, front",
        part="handles",
        help="Height of the front handle's top above the top fold, pulled taut.",
        form=Form.TAUT,
        may_be_negative=True,
        tape="handle pulled up: its top above the top fold",
        missing=_TOO_SHORT,
    ),
    FinishedFigure(
        name="handle_drop_back",
        label="Handle drop, back",
        part="handles",
        help="Height of the back handle's top above the top fold, pulled taut.",
        form=Form.TAUT,
        may_be_negative=True,
        tape="handle pulled up: its top above the top fold",
        missing=_TOO_SHORT,
    ),
)
"""Figures that follow, in reading order."""
