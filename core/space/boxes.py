"""What names the sizes of a bag that is cut like a box: from panels, strips and a base. mm."""

from enum import Enum

PANEL_GAP = 60.0
"""Between pieces that lie side by side on the plane of a quarter, mm: more than two allowances."""


class BoxSize(Enum):
    """The flat sizes of its quarter; of what the planes cut, half of it."""

    WIDTH = "width"
    DEPTH = "depth"
    HEIGHT = "height"
