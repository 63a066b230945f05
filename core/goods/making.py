"""What the maker says about making: how many bags, and how their goods are cut.

Told apart from the planning: a bag's file is read without all that.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

from core.errors import FieldError, told_number
from core.figures import check_no_sliver, length_refused

MOST_BAGS: Final = 1000
WIDEST_GAP: Final = 200.0

_GAP_RULE: Final = "it must be from 0 to {limit}."


class Cutting(Enum):
    """How the pieces are cut out."""

    FREE = "free"
    ROWS = "rows"
    """Every cut runs from edge to edge: across the whole goods first, then within a row."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
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

    def __post_init__(self) -> None:
        if not 1 <= self.bags <= MOST_BAGS or self.bags != int(self.bags):
            shown = told_number(self.bags)
            sentence = (
                f"Number of bags is {shown}: it must be a whole number from 1 to {MOST_BAGS}."
            )
            raise FieldError(sentence, field="bags", value=self.bags)
        check_no_sliver("Gap", self.gap, field="gap")
        if not 0.0 <= self.gap <= WIDEST_GAP:
            rule = length_refused("Gap", self.gap, _GAP_RULE, limit=WIDEST_GAP)
            raise FieldError(rule, field="gap", value=self.gap)
