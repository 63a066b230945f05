"""Papers, cut sheets and rolls, and what is printed on them. mm.

Sources: ISO 216:2007 (A sizes); ANSI/ASME Y14.1 (A = Letter, B = Tabloid), inch sizes
exact. Legal, 8 1/2 x 14 in: common practice, no source.
"""

import math
from dataclasses import dataclass

from core.base.errors import ExportError, FieldError, did_you_mean
from core.base.sentences import Last, Listing, Sentence, Template, mark, say
from core.base.units import LengthTextError, Unit, parse_length
from core.drawing.lettering import PLAIN, Wording
from core.flat.roles import PieceId
from core.model.figures import check_no_sliver

LONGEST_PAGE = 14_400 * 25.4 / 72
"""5080 mm: a PDF page is at most 14,400 units of 1/72 in long (ISO 32000-1, annex C)."""
NARROWEST_ROLL = 200.0
_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper, upright.

    Attributes:
        name: how it is chosen, e.g. "A4" or "roll 24in".
        width: mm.
        height: mm; None for a roll, whose pages are as long as they need to be.
    """

    name: str
    width: float
    height: float | None

    @property
    def is_roll(self) -> bool:
        """Whether its pages are as long as they need to be."""
        return self.height is None


A4 = Paper("A4", 210.0, 297.0)
A3 = Paper("A3", 297.0, 420.0)
A0 = Paper("A0", 841.0, 1189.0)
LETTER = Paper("Letter", 8.5 * _INCH, 11 * _INCH)
LEGAL = Paper("Legal", 8.5 * _INCH, 14 * _INCH)
TABLOID = Paper("Tabloid", 11 * _INCH, 17 * _INCH)

PAPERS = (A4, A3, A0, LETTER, LEGAL, TABLOID)
"""The cut sheets, in the order in which they are offered."""
DESK_PAPERS = (A4, A3, LETTER, LEGAL, TABLOID)
"""Those that a printer on a desk takes: what a booklet may be printed on too."""


def usual_paper(unit: Unit) -> Paper:
    """What a desk printer takes where lengths are read in this unit."""
    return LETTER if unit is Unit.INCH else A4


def paper_asked_for(text: str | None, unit: Unit) -> Paper:
    """The paper of that name, as `paper_named`; where none is asked for, the usual of the unit."""
    return usual_paper(unit) if text is None else paper_named(text)


def roll(width: float, name: str = "") -> Paper:
    """A roll this wide, mm; ExportError below 200 mm, and where it is wider than a page can be."""
    if not NARROWEST_ROLL <= width <= LONGEST_PAGE:
        raise ExportError(
            say(
                "The roll is {width} wide: it must be between {low} and {high}.",
                width=width,
                low=NARROWEST_ROLL,
                high=LONGEST_PAGE,
            )
        )
    return Paper(name or f"roll {width:g}mm", width, None)


def paper_named(text: str) -> Paper:
    """The paper of that name, in any case: A4, letter, roll 24in, roll 914mm.

    A bare number after "roll" is in millimetres. An ExportError says that there is none such.
    """
    name = " ".join(text.split())
    for paper in PAPERS:
        if paper.name.lower() == name.lower():
            return paper
    kind, _, width = name.partition(" ")
    if kind.lower() == "roll" and width:
        try:
            return roll(parse_length(width, unit=Unit.MM), f"roll {width}")
        except LengthTextError as error:
            rule = say(error.template, words=error.words)
            raise ExportError(say("Roll width: {rule}.", terms={"rule": rule})) from None
    names = [paper.name for paper in PAPERS]
    told = say(
        "There is no paper called “{name}”: choose {names}, or a roll such as roll 24in.",
        words={"name": name[:40], "names": Listing(names, Last.COMMA)},
    )
    raise ExportError(did_you_mean(told, name, names))


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
