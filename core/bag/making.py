"""What the maker says about making, load and thread: how many bags, and how their goods are cut.

Told apart from what is planned and worked out of it: a bag's file is read without all that.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar, Final

from core.base.errors import FieldError
from core.base.sentences import Number, Sentence, mark, say, told_number
from core.model.figures import check_no_sliver, length_refused
from core.model.record import Detail, Record

MOST_BAGS: Final = 1000
WIDEST_GAP: Final = 200.0

_GAP: Final = mark("Gap")
_GAP_RULE: Final = mark("it must be from 0 to {limit}.")


class Cutting(Enum):
    """How the pieces are cut out."""

    FREE = "free"
    ROWS = "rows"
    """Every cut runs from edge to edge: across the whole goods first, then within a row."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Making(Record):
    """How many bags are made, and how their goods are cut.

    Attributes:
        bags: how many, 1 to 1000.
        gap: between neighbouring pieces: what a cut takes.
        cutting: free, or in rows cut from edge to edge.
        folded: cut on goods folded lengthwise, two pieces at a time.
        mixed_grain: panel and pocket may be turned each by itself, and so lie at right angles
            on one face, where that saves goods.
    """

    bags: int = 1
    gap: float = 0.0
    cutting: Cutting = Cutting.FREE
    folded: bool = False
    mixed_grain: bool = False

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "folded": Detail(help=mark("Cut on material folded lengthwise.")),
        "mixed_grain": Detail(help=mark("Walls and pocket may lie at right angles on one face.")),
    }

    def __post_init__(self) -> None:
        if not 1 <= self.bags <= MOST_BAGS or self.bags != int(self.bags):
            sentence = say(
                "Number of bags is {value}: it must be a whole number from 1 to {most}.",
                words={"value": told_number(self.bags)},
                numbers={"most": MOST_BAGS},
            )
            raise FieldError(sentence, field="bags", value=self.bags)
        check_no_sliver(_GAP, self.gap, field="gap")
        if not 0.0 <= self.gap <= WIDEST_GAP:
            rule = length_refused(_GAP, self.gap, _GAP_RULE, limit=WIDEST_GAP)
            raise FieldError(rule, field="gap", value=self.gap)


KG_PER_POUND = 0.453_592_37
"""Exact: international yard and pound agreement, 1 July 1959."""
USUAL_DENSITY = 10 * KG_PER_POUND / (1000 * 16.387_064e-6)
"""276.8 kg/m3: the filling of ASTM F2153, "about 10 lb per 1000 in3" (ASTM Standardization
News, July 2002)."""
USUAL_THREAD = 2.6
"""Pounds; a core-spun thread in a thread maker's table ("Seam strength"): ask for yours."""
USUAL_SAFETY = 10.0
"""The bag is swung and set down hard, and one handle takes it all (own choice)."""
MOST = {"density": 25_000.0, "needle_thread": 1000.0, "bobbin_thread": 1000.0, "safety": 1000.0}
"""Far beyond what is carried or sewn with; the densest metals weigh less."""
LABELS = {
    "density": mark("Density of the load"),
    "needle_thread": mark("Needle thread"),
    "bobbin_thread": mark("Bobbin thread"),
    "safety": mark("Factor of safety"),
}
"""What each is called."""
_LEAST_ONE = mark("{label} is {value}: it must be from 1 to {most}.")
_ABOVE_NOTHING = mark("{label} is {value}: it must be more than 0, and at most {most}.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Load(Record):
    """What the user knows better than the program.

    Attributes:
        density: of what is carried, kg/m3, > 0.
        needle_thread, bobbin_thread: breaking strength of one thread, lb, > 0.
        safety: the share of the estimate that is counted on is 1 / safety, >= 1.
    """

    density: float = USUAL_DENSITY
    needle_thread: float = USUAL_THREAD
    bobbin_thread: float = USUAL_THREAD
    safety: float = USUAL_SAFETY

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "density": Detail(help=mark("Of what is carried, kg/m3.")),
        "needle_thread": Detail(help=mark("Breaking strength, lb.")),
        "bobbin_thread": Detail(help=mark("Breaking strength, lb.")),
        "safety": Detail(help=mark("One part in so many is counted on.")),
    }

    def __post_init__(self) -> None:
        for name, label in LABELS.items():
            value = getattr(self, name)
            least, most = float(name == "safety"), MOST[name]
            number = isinstance(value, int | float) and not isinstance(value, bool)
            if number and math.isfinite(value) and 0.0 < value <= most and value >= least:
                continue
            sentence = Sentence(
                _LEAST_ONE if least else _ABOVE_NOTHING,
                words={"value": told_number(value)},
                numbers={"most": Number(most)},
                terms={"label": label},
            )
            raise FieldError(sentence, field=name, value=value)
