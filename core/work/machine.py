"""What is set at the sewing machine and at the iron, and how that is written. Lengths are mm."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from core.base.sentences import Number, Sentence, Template, mark, plural, say

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

    STANDARD = mark("standard foot")
    WALKING = mark("walking foot")
    ZIP = mark("zip foot")


class Stitch(Enum):
    """Stitch types by their number in ISO 4915 (class 300: lockstitches)."""

    LOCKSTITCH = "301"
    ZIGZAG = "304"

    @property
    def label(self) -> Template:
        """The trade's word."""
        return _STITCHES[self][0]

    @property
    def thread_ratio(self) -> float:
        """Length of thread, needle and bobbin together, for one of seam."""
        return _STITCHES[self][1]


_STITCHES = {
    Stitch.LOCKSTITCH: (mark("straight stitch"), 2.5),
    Stitch.ZIGZAG: (mark("zigzag"), 5.5),
}
"""Label and thread ratio ("ISO stitch types 300 to 400", apparelscience.com)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What is set on the machine: stitch length, width (0 but for a zigzag) and foot."""

    stitch: Stitch = Stitch.LOCKSTITCH
    length: float
    width: float = 0.0
    foot: Foot = Foot.STANDARD

    @property
    def stitch_text(self) -> Sentence:
        """Its stitch, with its number in ISO 4915."""
        label, number = {"label": self.stitch.label}, {"number": self.stitch.value}
        if not self.width:
            return say("{label} ({number})", terms=label, words=number)
        width = {"width": Number(self.width)}
        return say("{label}, {width} mm wide ({number})", terms=label, words=number, numbers=width)


class Heat(Enum):
    """How hot the iron is."""

    COOL = mark("cool iron")
    MEDIUM = mark("medium iron")


@dataclass(frozen=True, slots=True)
class Pressing:
    """What the iron is set to, and whether a cloth lies between."""

    heat: Heat
    cloth: bool

    @property
    def text(self) -> Sentence:
        """How hot, and whether through a cloth."""
        if not self.cloth:
            return say(self.heat.value)
        return say("{heat}, through a press cloth", terms={"heat": self.heat.value})


def as_set(length: float) -> str:
    """A stitch or a stack as it is set and measured everywhere: in millimetres."""
    return f"{length:.2g} mm"


def per_inch(length: float) -> int:
    """How many stitches of this length go to the inch."""
    return round(_PER_INCH / length)


def stitch_length(length: float) -> Sentence:
    """A stitch length as it is set and counted: always mm, and stitches to the inch."""
    return say(
        plural("{mm} mm (1 stitch to the inch)", "{mm} mm ({count} stitches to the inch)"),
        numbers={"mm": Number(length), "count": per_inch(length)},
    )


class SewnAs(Enum):
    """What a line of stitching is told as, and what comes of it at the stitch of the seams."""

    SEAM = mark("Sew at {seam_stitch} as for the seams: the stitches are a little shorter.")
    STITCHING = mark("Stitch at {seam_stitch} as for the seams: the stitches are a little shorter.")
    TOPSTITCHING = mark(
        "Topstitch at {seam_stitch} as for the seams: the stitches are a little shorter."
    )

    @property
    def at_seam_stitch(self) -> Sentence:
        """How to do without a change of the stitch length."""
        return Sentence(self.value, words={"seam_stitch": as_set(SEAM_STITCH)})


@dataclass(frozen=True, slots=True)
class SettingChange:
    """What is to be changed at the machine before a step; before the first seam None was set."""

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
    label, number = {"label": now.label}, {"number": now.value}
    return say("Stitch: {label} (type {number}).", terms=label, words=number)


def _length_change(change: SettingChange) -> Sentence:
    length = change.now.length
    numbers: dict[str, Number | int] = {"now": Number(length), "count": per_inch(length)}
    if change.before is None:
        return say("Stitch length: {now} mm ({count} to the inch).", numbers=numbers)
    return say(
        "Stitch length: from {before} mm to {now} mm ({count} to the inch).",
        numbers={"before": Number(change.before.length), **numbers},
    )


def _width_change(change: SettingChange) -> Sentence:
    return say("Stitch width: {now} mm.", numbers={"now": Number(change.now.width)})


def _foot_change(change: SettingChange) -> Sentence:
    return say("Foot: {foot}.", terms={"foot": change.now.foot.value})


_CHANGES: dict[str, Callable[[SettingChange], Sentence]] = {
    "stitch": _stitch_change,
    "stitch_length": _length_change,
    "width": _width_change,
    "foot": _foot_change,
}
