"""The sizes of a bag that is cut like a box: from panels, strips and a base. Lengths are mm."""

from dataclasses import dataclass
from enum import Enum

PANEL_GAP = 60.0
"""Between pieces that lie side by side on the plane of a quarter, mm: more than two allowances."""


class BoxSize(Enum):
    """The flat sizes of its quarter; of what the planes cut, half of it."""

    WIDTH = "width"
    DEPTH = "depth"
    HEIGHT = "height"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSizes:
    """What a quarter of such a bag needs to know, on its stitch lines.

    Attributes:
        width, depth, height: of the box, > 0. With a flat top the height is that of its faces.
        radius: of rounded corners, 0 for square ones: the lower ones of a panel that strips are
            sewn round, or those of a separate base.
        upper_radius: of the panel's upper ones.
        ease: length of what is sewn round a panel or a base, over the edge that it is sewn to.
    """

    width: float
    depth: float
    height: float
    radius: float = 0.0
    upper_radius: float = 0.0
    ease: float = 1.0
