"""What a line of a drawing means: who draws gives each ink its own look."""

from enum import Enum


class Ink(Enum):
    """What a line means; each reader has its own look for each."""

    # That of an Enum is Python code, and every line that is drawn is looked up by its ink.
    __hash__ = object.__hash__

    CUT = "cut line"
    STITCH = "stitch line"
    FOLD = "fold"
    PLACEMENT = "placement line"
    BASTE = "basting line"
    GRAIN = "grain"
    NOTCH = "notch"
    CLIP = "clip"
    DIMENSION = "dimension"
    LABEL = "label"
    FRAME = "frame"
    PAGE_JOIN = "page join"
    TEST = "test square"
    MAP = "map"
    MATERIAL = "material of a cutting plan"
    PIECE = "piece on its material"
    TRIM = "line to trim to"
    LEFTOVER = "left over"
    USED = "end of what is used"
    GOODS = "goods"
    SHADE = "goods in shade"
    INSIDE = "wrong side"
    HATCH = "hatching of a wrong side"
    PART = "laid on"
    PLATE = "ground of a label"
    NEW = "new work"
    NEW_AREA = "new piece"
    NEW_GROUND = "within a new piece"
