"""What a line or an area of a drawing means. Plain data: who draws gives each its own look."""

from enum import Enum


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
