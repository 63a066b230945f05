"""Figures of rounded corners, one object for every body that has them. Lengths are mm."""

from core.base.sentences import mark
from core.model.figures import CutFigure, Direction, FinishedFigure, Ruled

CORNER_ROUNDING = CutFigure(
    name="corner_rounding",
    label=mark("Corner rounding"),
    part="body",
    attribute="corner_rounding",
    help=mark("Radius of the cut edge at the lower corners, or at the base's; 0: square corners."),
    ruled=Ruled.TOGETHER,
    pinnable=True,
    by_hand=True,
    tells=("corner_radius",),
)
CORNER_RADIUS = FinishedFigure(
    name="corner_radius",
    label=mark("Corner radius"),
    part="body",
    help=mark(
        "Radius of the lower corners, or of the base's, on the stitch line; 0: square corners."
    ),
    tape=mark("half the width of a round plate whose rim lies along the curved seam"),
    taken_up=Direction.ACROSS,
)
