"""Papers, cut sheets and rolls. mm.

Sources: ISO 216:2007 (A sizes); ANSI/ASME Y14.1 (A = Letter, B = Tabloid), inch sizes
exact. Legal, 8 1/2 x 14 in: common practice, no source.
"""

from typing import NamedTuple

from core.base.errors import ExportError, did_you_mean
from core.base.sentences import Last, Listing, say
from core.base.units import LengthTextError, Unit, parse_length

LONGEST_PAGE = 14_400 * 25.4 / 72
"""5080 mm: a PDF page is at most 14,400 units of 1/72 in long (ISO 32000-1, annex C)."""
NARROWEST_ROLL = 200.0
_INCH = 25.4


class Paper(NamedTuple):
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
