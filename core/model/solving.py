"""What a body, a top or a part tells the solver of itself: plain data, lengths mm.

The solver knows no part and no figure. It asks which lengths may change, what is kept near, what
bends and what follows, and knows the four forms of a figure (`core.model.figures.Form`) alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from core.base.sentences import NO_TEXT, Template
from core.model.figures import Form


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A length that is joined of equal pieces and a last one.

    Attributes:
        count: cut figure that counts the pieces.
        last: cut figure of the last one's length.
        of: every cut figure that the length follows from, those two among them.
    """

    count: str
    last: str
    of: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """A length that a redesign may change.

    Attributes:
        name: of a cut figure; or, with a chain, of the finished figure that stands for it.
        only_for: figures for one of which, or for itself, alone it is taken up; it is not weighed
            then, and gives way before others do. None: it always is.
        chain: what it is joined of, if it is.
    """

    name: str
    only_for: frozenset[str] = frozenset()
    chain: Chain | None = None

    def is_for(self, asked: frozenset[str]) -> bool:
        """Whether it is taken up where these figures must come out exactly."""
        return not self.only_for or not asked.isdisjoint(self.only_for | {self.name})


@dataclass(frozen=True, slots=True, kw_only=True)
class Follower:
    """A cut figure that may leave the ruler to keep what matches matched.

    Attributes:
        rates: cut figures that it follows -> mm for each mm of theirs.
    """

    name: str
    rates: Mapping[str, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A finished figure that is not linear, by lengths that are.

    Attributes:
        form: BOX or TAUT.
        lengths: of a BOX its three sides; of a TAUT half of the free length, half of the distance
            between its ends, and the rise from them; mm.
        sizes: of a BOX the finished figure that each side goes by.
        rules: of a TAUT what it keeps to: to reach over that distance, and to hang no lower than
            its ends; each with a gap {limit}.
    """

    figure: str
    form: Form
    lengths: tuple[float, float, float]
    sizes: tuple[str, ...] = ()
    rules: tuple[Template, Template] = (NO_TEXT, NO_TEXT)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeLimit:
    """What a finished size must come to for the bag to be filled: `least + times * other`.

    Attributes:
        figure: name of the size.
        least: mm.
        times, other: how many times which other finished size; none where `other` is empty.
        hair: mm; how much further inside that limit a search stays.
        rule: "it must ... {limit}."; empty: it must be at least that.
    """

    figure: str
    least: float = 0.0
    times: float = 0.0
    other: str = ""
    hair: float = 0.0
    rule: Template = NO_TEXT

    def room(self, sizes: Mapping[str, float | None]) -> float:
        """How far a bag of these sizes lies within it, mm; negative beyond it."""
        least = self.times * (sizes[self.other] or 0.0) if self.other else self.least
        return (sizes[self.figure] or 0.0) - least - self.hair


@dataclass(frozen=True, slots=True, kw_only=True)
class FillSize:
    """A finished size that a filled volume follows from.

    Attributes:
        full_power: power that the volume comes to where the size is large (measured).
        flat: the body's name for the flat size of what is filled that it is, or is twice of.
    """

    figure: str
    full_power: float
    flat: Enum


@dataclass(frozen=True, slots=True, kw_only=True)
class Solving:
    """What a body, a top or a part tells the solver.

    Attributes:
        unknowns: what of it may change.
        aims: finished sizes that stay as near as they can.
        followers: what may leave the ruler, the likeliest first.
        asked: finished sizes that a new bag is asked for, and that tell a bag.
        kept: cut figures that a new bag takes from its model, put on a ruler.
        fill_sizes: what a filled volume follows from.
        settled_by: a part follows the bag unless one of these is asked for.
    """

    unknowns: tuple[Unknown, ...] = ()
    aims: tuple[str, ...] = ()
    followers: tuple[Follower, ...] = ()
    asked: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    fill_sizes: tuple[FillSize, ...] = ()
    settled_by: frozenset[str] = frozenset()
