"""Findings: what is doubtful about a design, said before anything is cut.

Impossible input is an error; a design that can be drawn but will not go together, or
will disappoint, is a finding with a code, and where there is one, the change that fixes it.
"""

from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple

from core.base.compared import Compared
from core.base.sentences import NO_TEXT, Plural, Sentence, Template, require_finite
from core.base.tolerance import without_sliver
from core.base.units import MM_PER_INCH


class Severity(IntEnum):
    """How bad: higher is worse."""

    NOTE = 1
    WARN = 2
    STOP = 3

    @property
    def word(self) -> str:
        """The word for files and screens: note, warn, stop."""
        return self.name.lower()


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Fix(Compared):
    """A change that fixes a finding.

    Values are kept to a billionth of a millimetre, and those too small to be a length are 0:
    what rounding left of a sum has no place in a bag or in its file.

    Attributes:
        label: what the button says.
        changes: (figure name, new value in mm or pieces), applied together.
        choices: (name of a choice, word), made before that.
        without: slots of parts that are left out, before both.
        tried: whether it reaches so far beyond its owner that it is offered only where the whole
            bag, so changed, has nothing doubtful that it had not before; any fix is offered only
            where nothing stops that did not (`core.bag.fixes`).
    """

    label: Sentence
    changes: tuple[tuple[str, float], ...] = ()
    choices: tuple[tuple[str, str], ...] = ()
    without: tuple[str, ...] = ()
    tried: bool = False

    def __post_init__(self) -> None:
        for name, value in self.changes:
            require_finite(value, name)
        clean = tuple((name, without_sliver(round(value, 9))) for name, value in self.changes)
        object.__setattr__(self, "changes", clean)


MOST_SEAM = MM_PER_INCH
"""More of an allowance is in the way inside the bag, mm (own choice)."""


class Allowance(NamedTuple):
    """The seam allowance of one seam, or hem, that is sewn.

    Attributes:
        figure: name of its cut figure.
        label: what the seam is called.
        size: mm.
        layered: whether every layer of the wall lies in it.
        most: more of it is of no use, mm.
        raw: what is said where it alone is 0 and the bag can be sewn all the same; empty: a seam
            without allowance cannot be sewn.
    """

    figure: str
    label: Template
    size: float
    layered: bool = True
    most: float = MOST_SEAM
    raw: Template = NO_TEXT


class Crossing(NamedTuple):
    """One place where a side seam is crossed by more than its own two walls.

    Attributes:
        walls: under the foot, on the thicker side of the side seam.
        told: what is said where they are too thick, with gaps {count}, {value} and {limit}.
        at: what a seam that crosses it is said to meet there; empty where it does not.
        meets_sides: whether the side of what is laid on may lie there too.
        laid_on: what lies between the walls besides, pressed, mm.
    """

    walls: int
    told: Plural | Template
    at: Template = NO_TEXT
    meets_sides: bool = False
    laid_on: float = 0.0

    def thickness(self, wall: float) -> float:
        """Of all that goes under the foot, in walls so thick, mm."""
        return self.walls * wall + self.laid_on


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Finding(Compared):
    """One finding.

    Attributes:
        code: fixed name, e.g. "corner-edges-differ".
        severity: stop = will not go together, warn = will disappoint, note.
        figure: name of the figure that is out of its limit.
        value: of that figure, mm (or what the figure counts), finite.
        limit: that it passed, in the same unit, finite; None where there is no number.
        message: what happens at the sewing machine, one sentence.
        fixes: changes that fix it, the best first.
        explains_lines: whether it says why stitch lines cross, where they do.
    """

    code: str
    severity: Severity
    figure: str
    value: float
    limit: float | None
    message: Sentence
    fixes: tuple[Fix, ...] = ()
    explains_lines: bool = False

    def __post_init__(self) -> None:
        require_finite(self.value, f"the value of {self.code}")
        if self.limit is not None:
            require_finite(self.limit, f"the limit of {self.code}")
