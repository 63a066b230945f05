"""Thread and needles: how much a line of stitching takes, and what suits a stack.

Thread is summed from the operations of the order of sewing, so that what is sewn is what is
bought. Hand stitches are not counted: the allowance covers them. Lengths are mm.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from core.work.machine import Setting
from core.work.operation import Operation, Stitching

ALLOWANCE: Final = 0.15
"""Share of thread lost to starts, ends and re-threading: 15 % ("Measuring actual thread
consumption", apparelscience.com; 15 to 20 % in "Estimating thread consumption",
apparel-merchandising.com, 2011)."""


@dataclass(frozen=True, slots=True)
class StitchedLine:
    """All lines of one kind that are sewn on a bag, with the setting of the machine."""

    stitching: Stitching
    setting: Setting

    @property
    def label(self) -> str:
        """What it is, e.g. "side seams"."""
        return self.stitching.label

    @property
    def length(self) -> float:
        """Of all such lines on one bag, mm."""
        return self.stitching.length

    @property
    def thread(self) -> float:
        """Thread that it takes, without any allowance, mm."""
        setting = self.setting
        by_geometry = thread_ratio(self.stitching.stack, 1 / setting.length, setting.width)
        return self.length * max(setting.stitch.thread_ratio, by_geometry)


def thread_ratio(stack: float, density: float, width: float = 0.0) -> float:
    """Thread for one of seam by geometry: along each stitch twice, and twice through it.

    C = 2 + 2 T S ("Calculate amount of sewing thread consumption",
    textilecalculations.com): a table's 2.5 is too little for a thick stack. A zigzag's stitch
    is the longer by its slant: C = 2 sqrt(1 + (W S)^2) + 2 T S (the same geometry), which for
    the dense zigzag of a bar tack is far more than a table's 5.5. T is the stack, the thickness of
    what is sewn, S the density, stitches in one of the same unit, W the width of a zigzag.
    """
    return 2 * math.hypot(1.0, width * density) + 2 * stack * density


def stitched_lines(operations: Iterable[Operation]) -> tuple[StitchedLine, ...]:
    """Everything that the machine sews, in the order told; lines of one kind are one."""
    found: dict[StitchedLine, float] = {}
    for each in operations:
        if each.setting is None:
            continue
        for line in each.stitching:
            kind = StitchedLine(replace(line, length=0.0), each.setting)
            found[kind] = found.get(kind, 0.0) + line.length
    return tuple(
        replace(kind, stitching=replace(kind.stitching, length=length))
        for kind, length in found.items()
        if length > 0.0
    )


def thread_needed(lines: Iterable[StitchedLine], *, allowance: float = ALLOWANCE) -> float:
    """Thread for all lines, with the allowance, mm."""
    return with_allowance(math.fsum(line.thread for line in lines), allowance)


def with_allowance(length: float, allowance: float = ALLOWANCE) -> float:
    """A length of thread with a share more."""
    return length * (1 + allowance)


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


_NEEDLES: Final = ((0.8, Needle(80, 25)), (1.6, Needle(90, 40)), (3.2, Needle(100, 40)))
_HEAVIEST: Final = Needle(110, 60)


def needle_for(stack: float) -> Needle:
    """What suits a stack of this thickness, pressed, mm: a suggestion, to be tried on scraps.

    Nm 90 with Tex 40 is what ASTM D1683 sews ordinary cloth with; heavy wovens take Nm 100
    to 110, heavy denims 110 to 140 ("Needles for stitching textiles", texpedia.org, 2013).
    Where one ends and the next begins is common practice, no source.
    """
    return next((needle for most, needle in _NEEDLES if stack <= most), _HEAVIEST)


def domestic_size(metric: int) -> int:
    """Needle size of an Nm below 120 ("Needle number system", apparelscience.com)."""
    return round((metric - 60) / 5 + 8)


def metric_ticket(tex: float) -> float:
    """Ticket number of synthetic thread: 1000 / Tex x 3 (onlineclothingstudy.com, 2013)."""
    return 1000 / tex * 3
