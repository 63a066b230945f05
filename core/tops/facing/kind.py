"""What a facing is called, and its figure."""

from core.base.sentences import mark
from core.model.figures import CutFigure
from core.site.kinds import Told

FACING_DEPTH = CutFigure(
    name="facing_depth",
    label=mark("Facing depth"),
    part="top",
    attribute="depth",
    above_low=True,
    by_hand=True,
    help=mark("Finished depth of the strip inside the top edge, from the edge down."),
)

FACING = Told(
    place=("core.tops.facing.facing", "Facing"),
    kind="facing",
    label=mark("Open, with a facing"),
    word=mark("facing"),
    figures=(FACING_DEPTH,),
)
