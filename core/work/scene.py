"""What the drawing of an operation shows, and what its lines mean.

Plain data: who draws gives each its own look.
"""

from enum import Enum


class View(Enum):
    """What the drawing of an operation shows."""

    GOODS = "the material as bought, and the width left after washing"
    PIECE = "the piece alone, with its sizes"
    LAYERS = "the stacked layers"
    FLAT = "the panel flat, with what is on it so far"
    FRONT = "the same, front half only"
    TUBE = "the pocket folded"
    STRIPS = "strips end to end"
    TAPE = "a strip being folded, and its end"
    RING = "the panel rolled towards its zip"
    FOLDED = "the bag flat, wrong side out"
    UNDER = "the bag seen from its end, wrong side out"
    SEWN = "the finished bag"
    INSIDE = "the bottom through the walls"


class Ink(Enum):
    """What a line means; each reader has its own look for each."""

    CUT = "cut line"
    STITCH = "stitch line"
    FOLD = "fold"
    PLACEMENT = "placement line"
    BASTE = "basting line"
    GRAIN = "grain"
    NOTCH = "notch"
    DIMENSION = "dimension"
    LABEL = "label"
    FRAME = "frame"
    PAGE_JOIN = "page join"
    TEST = "test square"
    MAP = "map"
    GOODS = "goods"
    SHADE = "goods in shade"
    INSIDE = "wrong side"
    HATCH = "hatching of a wrong side"
    PART = "laid on"
    PLATE = "ground of a label"
    NEW = "new work"
    NEW_AREA = "new piece"
