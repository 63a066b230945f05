"""Texts that are shown: marked where they stand, filled where somebody reads them.

A text is one whole sentence in English with gaps by name, which is also the key that translators
find it by. What goes into a gap is of one of four kinds: a length, a number, a term of ours, or
words as somebody typed them. Lengths stay millimetres until somebody shows them, so that the same
error or finding reads in inches in one window and in millimetres in another.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType
from typing import Final, NamedTuple, NewType, Protocol

from core.base.compared import Compared

MINUS: Final = "\u2212"
"""The minus of a length that is read; `parse_length` takes it and the hyphen alike."""

ShowLength = Callable[[float], str]
"""Turns millimetres into the text that the maker reads, unit included."""

Template = NewType("Template", str)
"""English text with `{gaps}`, as `mark` gives it."""

NO_TEXT: Final = Template("")
"""Of what has nothing to say there."""

_NOTHING: Final[Mapping[str, float]] = MappingProxyType({})
_NO_NUMBERS: Final[Mapping[str, "Number | int"]] = MappingProxyType({})
_NO_TERMS: Final[Mapping[str, "Term"]] = MappingProxyType({})
_NO_WORDS: Final[Mapping[str, "str | Listing"]] = MappingProxyType({})


class Language(Protocol):
    """Gives each text of the program in the reader's language."""

    def __call__(self, text: str, /) -> str:
        """A template or a term; the English text where the language has none for it."""
        ...

    def plural(self, one: str, many: str, count: int, /) -> str:
        """The form that goes with a count: languages have other rules for it than English."""
        ...


class _English:
    """The language that the texts are written in."""

    def __call__(self, text: str, /) -> str:
        return text

    def plural(self, one: str, many: str, count: int, /) -> str:
        return one if count == 1 else many


ENGLISH: Final[Language] = _English()


def mark(text: str) -> Template:
    """A text that is shown somewhere, marked for translators where it is written."""
    return Template(text)


def show_millimetres(length: float) -> str:
    """The plainest `ShowLength`: what a log or a bare exception prints."""
    return f"{length:.6g} mm"


def require_finite(number: float, what: str) -> None:
    """Stop with a ValueError at a number, of any unit, that is infinite or none at all.

    Nobody can be told such a one: that is a fault of the program, not of its input.
    """
    if not math.isfinite(number):
        raise ValueError(f"{what} is {number}: nothing that is told can be that")


def told_number(value: object, *, digits: int = 15) -> str:
    """What was offered for a number, as a refusal tells it: −6, 2.5, nan; 40 characters at most.

    A float that is whole reads as one: what a sum of counts comes to is a count.
    """
    text = f"{value:.{digits}g}" if isinstance(value, float) else str(value)[:40]
    is_number = isinstance(value, int | float)
    return MINUS + text[1:] if is_number and text.startswith("-") else text


def sentence_start(text: str) -> str:
    """A sentence with a capital, also where it begins with the name of goods."""
    return text[:1].upper() + text[1:]


class Plural(NamedTuple):
    """A text in the two forms that English has: of one, and of any other count."""

    one: Template
    many: Template


def plural(one: str, many: str) -> Plural:
    """A text that counts something: `plural("1 page", "{count} pages")`.

    The number of the gap `count` chooses the form; `one` may leave that gap out.
    """
    return Plural(Template(one), Template(many))


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Number(Compared):
    """A number as it is told: finite, of any unit but a length.

    Attributes:
        places: digits after the point; None: as many as there are, at most `digits` in all.
        digits: significant ones, where `places` is None.
    """

    value: float
    places: int | None = None
    digits: int = 6

    def __post_init__(self) -> None:
        require_finite(self.value, "a number")

    def text(self) -> str:
        """As it is read: `12.50`, `−3`."""
        told = f"{self.value:.{self.digits}g}" if self.places is None else ""
        return (told or f"{self.value:.{self.places}f}").replace("-", MINUS)


class Last(Enum):
    """What stands before the last item of a list; the value joins two."""

    AND = mark("{before} and {last}")
    OR = mark("{before} or {last}")
    COMMA = mark("{before}, {last}")


class Listing(NamedTuple):
    """Several things as a sentence lists them: a; a and b; a, b and c.

    Among `terms` of a sentence its texts are ours and translated, among `words` they are typed.
    """

    items: Sequence["Term | str"]
    last: Last = Last.AND


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Sentence(Compared):
    """One sentence, or a part of a page, with named gaps.

    Attributes:
        template: English text with `{name}` gaps; it is also the key for translation.
        lengths: gap -> mm, finite, shown in the reader's unit.
        words: gap -> text that stays as it was typed: names, files, words of the command line.
        numbers: gap -> number; a whole one is a count.
        terms: gap -> what the program calls something: translated. A sentence is one too.
    """

    template: Template | Plural
    lengths: Mapping[str, float] = field(default_factory=lambda: _NOTHING)
    words: Mapping[str, "str | Listing"] = field(default_factory=lambda: _NO_WORDS)
    numbers: Mapping[str, Number | int] = field(default_factory=lambda: _NO_NUMBERS)
    terms: Mapping[str, "Term"] = field(default_factory=lambda: _NO_TERMS)

    def __post_init__(self) -> None:
        for gap, length in self.lengths.items():
            require_finite(length, gap)

    def text(self, show: ShowLength = show_millimetres, translate: Language = ENGLISH) -> str:
        """The sentence with its gaps filled, in the reader's unit and language.

        A translation whose gaps are not those of its text gives way to the English one.
        """
        told = {gap: show(length) for gap, length in self.lengths.items()}
        told |= {gap: _told_number(number) for gap, number in self.numbers.items()}
        told |= {gap: _typed(word, translate) for gap, word in self.words.items()}
        told |= {gap: _told(term, show, translate, self.count) for gap, term in self.terms.items()}
        try:
            return _form(self.template, translate, self.count).format(**told)
        except (LookupError, ValueError, AttributeError):
            return _form(self.template, ENGLISH, self.count).format(**told)

    @property
    def count(self) -> int:
        """The number that chooses between forms; 0 where nothing is counted."""
        count = self.numbers.get("count", 0)
        return count if isinstance(count, int) else 0

    def all_lengths(self) -> Iterator[tuple[str, float]]:
        """(Gap, mm) of every length that it tells, those of the sentences in its gaps too."""
        yield from self.lengths.items()
        yield from (pair for term in self.terms.values() for pair in _lengths(term))


Term = Template | Plural | Sentence | Listing


def say(
    template: str | Plural,
    *,
    numbers: Mapping[str, Number | int] = _NO_NUMBERS,
    terms: Mapping[str, Term] = _NO_TERMS,
    words: Mapping[str, str | Listing] = _NO_WORDS,
    **lengths: float,
) -> Sentence:
    """A sentence with its lengths (mm) by the names of their gaps; a text is literal or marked."""
    template = template if isinstance(template, Plural) else Template(template)
    return Sentence(template, lengths, words, numbers, terms)


def typed(words: str | Listing) -> Sentence:
    """Words as they were typed, in the place of a term."""
    return Sentence(Template("{words}"), words={"words": words})


def joined(items: Sequence[Term | str], last: Last = Last.COMMA) -> Sentence:
    """Several things of ours, as a sentence lists them, on their own."""
    return Sentence(Template("{items}"), terms={"items": Listing(items, last)})


def _told_number(number: Number | int) -> str:
    return number.text() if isinstance(number, Number) else str(number).replace("-", MINUS)


def _form(template: Template | Plural, translate: Language, count: int) -> str:
    if isinstance(template, Plural):
        return translate.plural(template.one, template.many, count)
    return translate(template)


def _told(term: Term | str, show: ShowLength, translate: Language, count: int) -> str:
    if isinstance(term, Sentence):
        return term.text(show, translate)
    if isinstance(term, str):
        return translate(term)
    if isinstance(term, Plural):
        return _form(term, translate, count)
    return _together([_told(each, show, translate, count) for each in term.items], term, translate)


def _typed(words: str | Listing, translate: Language) -> str:
    """Words as they were typed; what joins several is ours."""
    if isinstance(words, str):
        return words
    return _together([str(each) for each in words.items], words, translate)


def _together(told: list[str], listing: Listing, translate: Language) -> str:
    *before, last = told
    if not before:
        return last
    together = before[0]
    for each in before[1:]:
        together = translate(Last.COMMA.value).format(before=together, last=each)
    return translate(listing.last.value).format(before=together, last=last)


def _lengths(term: Term | str) -> Iterator[tuple[str, float]]:
    if isinstance(term, Sentence):
        yield from term.all_lengths()
    elif isinstance(term, Listing):
        yield from (pair for each in term.items for pair in _lengths(each))
