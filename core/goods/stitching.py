"""Thread and needles: how much a line of stitching takes, and what suits a stack.

Lengths are mm.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

ALLOWANCE: Final = 0.15
"""Share of thread lost to starts, ends and re-threading: 15 % ("Measuring actual thread
consumption", apparelscience.com; 15 to 20 % in "Estimating thread consumption",
apparel-merchandising.com, 2011)."""

STITCH_LENGTH: Final = 2.5
"""Of seams that stay: 12 stitches to the inch, about 2.5 mm, is the usual setting (stitch
length page, easysewingtechniques.blogspot.com)."""

BASTING_LENGTH: Final = 5.0
"""Of temporary stitching, which is pulled out again: about the longest that machines for the
home sew (common practice, no source)."""


class StitchType(Enum):
    """Stitch types by their ISO 4915 number."""

    LOCKSTITCH = 301
    ZIGZAG = 304


_RATIOS: Final = {StitchType.LOCKSTITCH: 2.5, StitchType.ZIGZAG: 5.5}
"""Length of thread, needle and bobbin together, for one of seam ("ISO stitch types 300 to
400", apparelscience.com)."""


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of line that is sewn on a bag.

    Attributes:
        name: what it is, e.g. "side seams".
        stitch: its type.
        length: of all such lines on one bag.
        thickness: of what lies under the foot, pressed.
        stitch_length: one stitch.
    """

    name: str
    stitch: StitchType
    length: float
    thickness: float
    stitch_length: float = STITCH_LENGTH

    @property
    def thread(self) -> float:
        """Thread that it takes, without any allowance."""
        ratio = _RATIOS[self.stitch]
        if self.stitch is StitchType.LOCKSTITCH:
            ratio = max(ratio, lockstitch_ratio(self.thickness, 1 / self.stitch_length))
        return self.length * ratio


def lockstitch_ratio(thickness: float, density: float) -> float:
    """Thread for one of seam by geometry: along it twice, and twice through it a stitch.

    C = 2 + 2 T S ("Calculate amount of sewing thread consumption",
    textilecalculations.com): the table's 2.5 is too little for a thick stack.

    Args:
        thickness: T, of what is sewn.
        density: S, stitches in one of the same unit.
    """
    return 2 + 2 * thickness * density


def thread_needed(rows: tuple[Row, ...], *, allowance: float = ALLOWANCE) -> float:
    """Thread for all rows, with the allowance, mm."""
    return with_allowance(sum(row.thread for row in rows), allowance)


def with_allowance(length: float, allowance: float = ALLOWANCE) -> float:
    """A length of thread with a share more."""
    return length * (1 + allowance)


# --- Needles and thread ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Needle:
    """A needle and the thread that suits it.

    Attributes:
        metric: Nm, blade diameter in hundredths of a millimetre (DIN 5325).
        tex: mass of 1000 m of thread, g.
    """

    metric: int
    tex: int

    @property
    def size(self) -> int:
        """The size in the other numbering, e.g. 14 for Nm 90."""
        return domestic_size(self.metric)

    @property
    def ticket(self) -> int:
        """Ticket number of the thread, e.g. 75 for Tex 40."""
        return round(metric_ticket(self.tex))


_NEEDLES: Final = (
    (0.8, Needle(80, 25)),
    (1.6, Needle(90, 40)),
    (3.2, Needle(100, 40)),
)
_HEAVIEST: Final = Needle(110, 60)


def needle_for(stack: float) -> Needle:
    """What suits a stack of this thickness, pressed, mm: a suggestion, to be tried on scraps.

    Nm 90 with Tex 40 is what ASTM D1683 sews ordinary cloth with; heavy wovens take Nm 100
    to 110, heavy denims 110 to 140 ("Needles for stitching textiles", texpedia.org, 2013).
    Where one ends and the next begins is common practice, no source.
    """
    return next((needle for most, needle in _NEEDLES if stack <= most), _HEAVIEST)


def metric_needle(size: int) -> int:
    """Nm of a needle size below 19 ("Needle number system", apparelscience.com)."""
    return 60 + 5 * (size - 8)


def domestic_size(metric: int) -> int:
    """The inverse of `metric_needle`."""
    return round((metric - 60) / 5 + 8)


def metric_ticket(tex: float) -> float:
    """Ticket number of synthetic thread: 1000 / Tex x 3 (onlineclothingstudy.com, 2013)."""
    return 1000 / tex * 3


def tex_of_ticket(ticket: float) -> float:
    """The inverse of `metric_ticket`."""
    return 3 * 1000 / ticket
