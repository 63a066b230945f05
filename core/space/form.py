"""The bag in space, rigid: what moves, how, and what is measured on it. Plain data, mm."""

from dataclasses import dataclass

from core.flat.frame import Frame2


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What lies flat between the two upper edges of a bag that closes flat.

    Attributes:
        piece: its name.
        width: from the one stitch line to the other, mm.
        frame: from the piece into (x, y): x of the bag, y from the front's stitch line on.
    """

    piece: str
    width: float
    frame: Frame2
