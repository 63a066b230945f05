"""What stands as one group in a bag's file, and what a body, a top or a part tells the solver.

A group has figures, texts, and what other programs put there. The solver knows no part and no
figure: it asks which lengths may change, what is kept near, what bends and what follows, and knows
the four forms of a figure (`core.model.figures.Form`) alone. Plain data, lengths mm.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import ClassVar, NamedTuple

from core.base.compared import Compared
from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Template, mark, say
from core.base.units import Unit
from core.model.figures import CutFigure, Form, When

Extras = tuple[tuple[str, str], ...]
"""Entries of a file that this program does not know: key -> JSON text. Nobody changes them."""


class TextLimit(NamedTuple):
    """A text that a bag holds, and how long it may be.

    Attributes:
        label: what the maker reads.
        most: characters (Unicode code points, as JSON Schema counts them).
    """

    label: Template
    most: int

    def check(self, text: str, *, field: str) -> None:
        """Refuse by a FieldError a text of more than `most` characters; `field`: its attribute."""
        if len(text) > self.most:
            sentence = say(
                "{label} has {number} characters: it may have at most {most}.",
                terms={"label": self.label},
                numbers={"number": len(text), "most": self.most},
            )
            raise FieldError(sentence, field=field, value=text)


BAG_NAME = TextLimit(mark("Name of the bag"), 80)
KEPT_NAME = TextLimit(mark("Name"), 80)
ROLE = TextLimit(mark("Role"), 60)
GOODS_NAME = TextLimit(mark("Name of the material"), 60)
ZIP_GAUGE = TextLimit(mark("Gauge of the zip"), 60)
ZIP_COLOUR = TextLimit(mark("Colour of the zip"), 60)


class Detail(NamedTuple):
    """What a file's schema says of an attribute that is no figure.

    Attributes:
        help: one sentence, in English.
        limit: of a text; None for what is none.
        when: the words of a choice that it goes with; None: it is always there.
    """

    help: Template = NO_TEXT
    limit: TextLimit | None = None
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Record(Compared):
    """What stands as one group in a file: a body, a top, a part, a layer, a load.

    A group has the record's figures under their names and its other attributes under their own.

    Attributes:
        extras: what else its group in the file holds. They go wherever the record goes, and two
            records that differ in them are two.
    """

    FIGURES: ClassVar[tuple[CutFigure, ...]] = ()
    RANGES: ClassVar[tuple[CutFigure, ...]] = ()
    """Limits of what is no figure of a bag; their names are none in files."""
    DETAILS: ClassVar[Mapping[str, Detail]] = {}
    KIND: ClassVar[str] = ""
    """Word that tells it from others in its place, in files; empty for the only one."""
    CHOSEN: ClassVar[Mapping[str, type[Enum]]] = {}
    """Attribute -> words, of a choice that follows from its figures and stands in files too."""

    extras: Extras = field(default=(), repr=False)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Chain(Compared):
    """A length that is joined of equal pieces and a last one.

    Attributes:
        count: cut figure that counts the pieces.
        last: cut figure of the last one's length.
        of: every cut figure that the length follows from, those two among them.
    """

    count: str
    last: str
    of: frozenset[str]


class Unknown(NamedTuple):
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


class Follower(NamedTuple):
    """A cut figure that may leave the ruler to keep what matches matched.

    Attributes:
        rates: cut figures that it follows -> mm for each mm of theirs.
    """

    name: str
    rates: Mapping[str, float]


class Bend(NamedTuple):
    """A finished figure that is not linear, by lengths that are.

    Attributes:
        form: BOX or TAUT.
        lengths: of a BOX its three sides; of a TAUT half of the free length, half of the distance
            between its ends, and the rise from them; mm.
        sizes: of a BOX the finished figure that each side goes by.
        radii: of a BOX, mm, each of two rounded corners of the rectangle of its first two sides;
            linear like the sides. What they take off is left out of the volume. One that is not
            above 0 is of square corners: inside a wall that is thicker than the rounding outside.
        rules: of a TAUT what it keeps to: to reach over that distance, and to hang no lower than
            its ends; each with a gap {limit}.
    """

    figure: str
    form: Form
    lengths: tuple[float, float, float]
    sizes: tuple[str, ...] = ()
    radii: tuple[float, ...] = ()
    rules: tuple[Template, Template] = (NO_TEXT, NO_TEXT)


CORNER_SHARE = 2.0 - math.pi / 2
"""What two rounded corners take off a rectangle, as a share of the square of their radius."""


def corner_area(radius: float) -> float:
    """What two corners of a radius, mm, take off a rectangle, mm²; nothing where they are square.

    Inside a wall the radius is that outside less the wall. It is told as it is, below 0 too, and so
    is linear; what it takes off sets in at 0 without a jump.
    """
    return CORNER_SHARE * max(radius, 0.0) ** 2


class SizeLimit(NamedTuple):
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


class FillSize(NamedTuple):
    """A finished size that a filled volume follows from.

    Attributes:
        full_power: power that the volume comes to where the size is large (measured).
        flat: the body's name for the flat size of what is filled that it is, or is twice of.
    """

    figure: str
    full_power: float
    flat: Enum


class NewSize(NamedTuple):
    """A finished size that a new bag is asked for.

    Attributes:
        where: between which points, in a sentence.
        inch, metric: what stands in its field at first, mm, on a ruler in inches and in cm.
    """

    where: Template
    inch: float
    metric: float

    def usual(self, unit: Unit) -> float:
        """What stands in its field at first, mm."""
        return self.inch if unit is Unit.INCH else self.metric


class Solving(NamedTuple):
    """What a body, a top or a part tells the solver.

    Attributes:
        unknowns: what of it may change.
        aims: finished sizes that stay as near as they can.
        followers: what may leave the ruler, the likeliest first.
        asked: finished sizes that a new bag is asked for, and that tell a bag, by their names.
        kept: cut figures that a new bag takes from its model, put on a ruler.
        fill_sizes: what a filled volume follows from.
        settled_by: a part follows the bag unless one of these is asked for.
    """

    unknowns: tuple[Unknown, ...] = ()
    aims: tuple[str, ...] = ()
    followers: tuple[Follower, ...] = ()
    asked: Mapping[str, NewSize] = MappingProxyType({})
    kept: tuple[str, ...] = ()
    fill_sizes: tuple[FillSize, ...] = ()
    settled_by: frozenset[str] = frozenset()
