"""What is printed of a pattern, and on which paper. mm."""

import math
from dataclasses import dataclass

from core.base.errors import FieldError
from core.base.sentences import Sentence, Template, mark
from core.base.units import Unit
from core.drawing.lettering import PLAIN, Wording
from core.flat.roles import PieceId
from core.model.figures import check_no_sliver
from core.output.papers import Paper, usual_paper

MARGIN = 7.0
"""White edge of a page: the widest strip that common printers leave is 6.7 mm."""
OVERLAP = 10.0
OVERLAP_BY_INCH = 0.375 * 25.4
"""3/8 in: what a ruler in inches shows nearest to the other, and wider than the margin too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintOptions:
    """What is printed on which paper.

    Attributes:
        paper: cut sheet or roll.
        overlap: strip that neighbouring pages share, more than the margin, so that what a
            printer loses at one page's edge is still on its neighbour.
        margin: white edge of each page.
        half: of each symmetric piece that makes the body the left half alone, to be cut on the
            fold.
        pieces: those to print; None prints all.
        wording: how lengths and texts reach the reader.
    """

    paper: Paper
    overlap: float = OVERLAP
    margin: float = MARGIN
    half: bool = False
    pieces: frozenset[PieceId] | None = None
    wording: Wording = PLAIN

    @classmethod
    def usual(
        cls, unit: Unit, *, paper: Paper | None = None, wording: Wording = PLAIN
    ) -> "PrintOptions":
        """What is printed where lengths are read in this unit, and nothing else is asked for.

        It decides over the paper, unless one is asked for, and over an overlap that a ruler shows.
        """
        overlap = OVERLAP_BY_INCH if unit is Unit.INCH else OVERLAP
        return cls(paper=paper or usual_paper(unit), overlap=overlap, wording=wording)

    def __post_init__(self) -> None:
        check_no_sliver(mark("Page margin"), self.margin, field="margin")
        check_no_sliver(mark("Overlap"), self.overlap, field="overlap")
        shortest = min(self.paper.width, self.paper.height or self.paper.width)
        if not 0.0 <= self.margin <= shortest / 10:
            self._refuse("margin", self.margin, _MARGIN_RULE, 0.0, shortest / 10)
        printable = shortest - 2 * self.margin
        if not self.margin < self.overlap <= printable / 3:
            self._refuse("overlap", self.overlap, _OVERLAP_RULE, self.margin, printable / 3)

    def _refuse(self, name: str, value: float, rule: Template, low: float, high: float) -> None:
        lengths, words = {"low": low, "high": high}, {}
        if math.isfinite(value):
            lengths["value"] = value
        else:
            words["value"] = str(value)
        raise FieldError(Sentence(rule, lengths, words), field=name, value=value)


_MARGIN_RULE = mark("Page margin is {value}: it must be from {low} to {high} on this paper.")
_OVERLAP_RULE = mark(
    "Overlap is {value}: it must be more than the page margin of {low}, and at most {high} "
    "on this paper."
)
