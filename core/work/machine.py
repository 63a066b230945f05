"""What is set at the sewing machine and at the iron, and how that is written. Lengths are mm."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from core.base.sentences import Sentence, say

SEAM_STITCH = 2.5
"""Of seams that stay: 12 stitches to the inch, about 2.5 mm, is the usual setting (stitch
length page, easysewingtechniques.blogspot.com)."""
TOP_STITCH = 3.0
"""Stitch length of stitching that is seen (common practice, no source)."""
BASTE_STITCH = 5.0
"""Of temporary stitching, which is pulled out again: about the longest that machines for the
home sew (common practice, no source)."""
ZIGZAG_LENGTH, ZIGZAG_WIDTH = 2.5, 4.0
TACK_LENGTH, TACK_WIDTH = 0.5, 3.0
"""A bar tack is a dense zigzag, type 304 (common practice, no source)."""
_PER_INCH = 25.4


class Foot(Enum):
    """The presser foot."""

    STANDARD = "standard foot"
    WALKING = "walking foot"
    ZIP = "zip foot"


class Stitch(Enum):
    """Stitch types by their number in ISO 4915 (class 300: lockstitches)."""

    LOCKSTITCH = "301"
    ZIGZAG = "304"

    @property
    def label(self) -> str:
        """The trade's word."""
        return _STITCHES[self][0]

    @property
    def thread_ratio(self) -> float:
        """Length of thread, needle and bobbin together, for one of seam."""
        return _STITCHES[self][1]


_STITCHES = {Stitch.LOCKSTITCH: ("straight stitch", 2.5), Stitch.ZIGZAG: ("zigzag", 5.5)}
"""Label and thread ratio ("ISO stitch types 300 to 400", apparelscience.com)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What is set on the machine.

    Attributes:
        stitch: type.
        length: of one stitch.
        width: of a zigzag; 0 for a straight stitch.
        foot: which is on.
    """

    stitch: Stitch = Stitch.LOCKSTITCH
    length: float
    width: float = 0.0
    foot: Foot = Foot.STANDARD

    @property
    def stitch_text(self) -> Sentence:
        """Its stitch, with its number in ISO 4915."""
        words = {"label": self.stitch.label, "number": self.stitch.value}
        if not self.width:
            return say("{label} ({number})", words=words)
        words["width"] = f"{self.width:g}"
        return say("{label}, {width} mm wide ({number})", words=words)


class Heat(Enum):
    """How hot the iron is."""

    COOL = "cool iron"
    MEDIUM = "medium iron"


@dataclass(frozen=True, slots=True)
class Pressing:
    """What the iron is set to, and whether a cloth lies between."""

    heat: Heat
    cloth: bool

    @property
    def text(self) -> Sentence:
        """How hot, and whether through a cloth."""
        template = "{heat}, through a press cloth" if self.cloth else "{heat}"
        return Sentence(template, words={"heat": self.heat.value})


def as_set(length: float) -> str:
    """A stitch or a stack as it is set and measured everywhere: in millimetres."""
    return f"{length:.2g} mm"


def per_inch(length: float) -> str:
    """How many stitches of this length go to the inch."""
    return f"{_PER_INCH / length:.0f}"


def stitch_length(length: float) -> Sentence:
    """A stitch length as it is set and counted: always mm, and stitches to the inch."""
    return say(
        "{mm} mm ({count} stitches to the inch)",
        words={"mm": f"{length:g}", "count": per_inch(length)},
    )


class SewnAs(Enum):
    """What a line of stitching is told as, and what comes of it at the stitch of the seams."""

    SEAM = "Sew at {seam_stitch} as for the seams: the stitches are a little shorter."
    STITCHING = "Stitch at {seam_stitch} as for the seams: the stitches are a little shorter."
    TOPSTITCHING = "Topstitch at {seam_stitch} as for the seams: the stitches are a little shorter."

    @property
    def at_seam_stitch(self) -> Sentence:
        """How to do without a change of the stitch length."""
        return Sentence(self.value, words={"seam_stitch": as_set(SEAM_STITCH)})


@dataclass(frozen=True, slots=True)
class SettingChange:
    """What is to be changed at the machine before a step.

    Attributes:
        before: how it was set; None at the first seam.
        now: how it is to be set.
    """

    before: Setting | None
    now: Setting

    @property
    def names(self) -> tuple[str, ...]:
        """What differs: stitch, stitch_length, width, foot; everything at the first seam."""
        pairs = (("stitch", "stitch"), ("stitch_length", "length"), ("width", "width"))
        names = (*pairs, ("foot", "foot"))
        if self.before is None:
            return tuple(name for name, _ in names if name != "width" or self.now.width)
        return tuple(
            name
            for name, attribute in names
            if getattr(self.before, attribute) != getattr(self.now, attribute)
        )

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        """One short sentence for each thing to change; a straight stitch has no width to set."""
        names = (name for name in self.names if name != "width" or self.now.width)
        return tuple(_CHANGES[name](self) for name in names)


def _stitch_change(change: SettingChange) -> Sentence:
    now = change.now.stitch
    return say("Stitch: {label} (type {number}).", words={"label": now.label, "number": now.value})


def _length_change(change: SettingChange) -> Sentence:
    words = {"now": f"{change.now.length:g}", "count": per_inch(change.now.length)}
    if change.before is None:
        return say("Stitch length: {now} mm ({count} to the inch).", words=words)
    return say(
        "Stitch length: from {before} mm to {now} mm ({count} to the inch).",
        words={"before": f"{change.before.length:g}", **words},
    )


def _width_change(change: SettingChange) -> Sentence:
    return say("Stitch width: {now} mm.", words={"now": f"{change.now.width:g}"})


def _foot_change(change: SettingChange) -> Sentence:
    return say("Foot: {foot}.", words={"foot": change.now.foot.value})


_CHANGES: dict[str, Callable[[SettingChange], Sentence]] = {
    "stitch": _stitch_change,
    "stitch_length": _length_change,
    "width": _width_change,
    "foot": _foot_change,
}
