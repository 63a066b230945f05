"""What goes wrong, said so that the maker can act on it.

A `Sentence` keeps its lengths as millimetres until somebody shows it, so that the same
error or finding reads in inches in one window and in millimetres in another.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Final

from core.base.units import MINUS

ShowLength = Callable[[float], str]
"""Turns millimetres into the text that the maker reads, unit included."""

_NOTHING: Mapping[str, float] = MappingProxyType({})
_NO_WORDS: Mapping[str, str] = MappingProxyType({})
_LONGEST_NAME: Final = 60
"""Signs of a name that is looked for; no name of ours has half as many."""
_MOST_OFFERED: Final = 8
"""Names that one sentence offers instead of another one."""


def show_millimetres(length: float) -> str:
    """The plainest `ShowLength`: what a log or a bare exception prints."""
    return f"{length:.6g} mm"


def require_finite(number: float, what: str) -> None:
    """Stop at a number that nobody can be told: that is a fault of the program, not of its input.

    Args:
        number: of any unit.
        what: it is.

    Raises:
        ValueError: it is infinite or no number at all.
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


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence with named gaps.

    Attributes:
        template: English text with `{name}` gaps; it is also the key for translation.
        lengths: gap -> mm, finite, shown in the reader's unit.
        words: gap -> text that stays as it is (counts, names).
    """

    template: str
    lengths: Mapping[str, float] = field(default_factory=lambda: _NOTHING)
    words: Mapping[str, str] = field(default_factory=lambda: _NO_WORDS)

    def __post_init__(self) -> None:
        for gap, length in self.lengths.items():
            require_finite(length, gap)

    def text(
        self,
        show: ShowLength = show_millimetres,
        translate: Callable[[str], str] = str,
    ) -> str:
        """The sentence with its gaps filled; `translate` maps the template first."""
        shown = {gap: show(length) for gap, length in self.lengths.items()}
        words = {gap: translate(word) for gap, word in self.words.items()}
        return translate(self.template).format(**shown, **words)


def listed(names: Sequence[str], last_by: str = "and") -> str:
    """Names as a sentence lists them: a; a and b; a, b and c."""
    *before, last = names
    return f"{', '.join(before)} {last_by} {last}" if before else last


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """The names that somebody may have meant, as a sentence with a space before it; or nothing.

    They are, first come, first offered: the name in other capitals or with other signs between
    its words; the names that it misspells; the names that hold its words, misspelt ones too;
    one that it is somewhat like.

    Args:
        name: as it was given, which is none of the known ones.
        known: what can be given.
    """
    from difflib import get_close_matches  # only for who has erred

    asked = _words_of(name[:_LONGEST_NAME])
    words = {each: _words_of(each) for each in known}
    if not any(asked):
        return ""
    spelt = {" ".join(each): other for other, each in words.items()}
    joined = " ".join(asked)
    near = [spelt[joined]] if joined in spelt else []
    near = near or [spelt[each] for each in get_close_matches(joined, spelt, n=3, cutoff=0.85)]
    near = near or [
        other
        for other, own in words.items()
        if all(get_close_matches(word, own, n=1, cutoff=0.8) for word in asked)
    ]
    near = near or [spelt[each] for each in get_close_matches(joined, spelt, n=1)]
    return f" Did you mean {listed(near[:_MOST_OFFERED], 'or')}?" if near else ""


def _words_of(name: str) -> list[str]:
    return "".join(sign if sign.isalnum() else " " for sign in name.casefold()).split()


class CornerwrightError(Exception):
    """Root of everything this program refuses. `str()` gives one clear sentence.

    Attributes:
        sentence: what is wrong, and what the maker can do.
        detail: what only whoever knows the format of a file can use, as a clause; None for
            nothing. `str()` puts it in brackets, a window behind a button.
    """

    def __init__(self, sentence: Sentence | str, detail: Sentence | None = None) -> None:
        self.sentence = Sentence(sentence) if isinstance(sentence, str) else sentence
        self.detail = detail
        super().__init__(self.sentence)

    def __str__(self) -> str:
        told = self.sentence.text()
        return told if self.detail is None else f"{told.removesuffix('.')} ({self.detail.text()})."


class FieldError(CornerwrightError):
    """A value that a field cannot take.

    Attributes:
        field: name of the figure (design name, snake_case), for placing the message.
        value: what was offered, as given.
    """

    def __init__(self, sentence: Sentence | str, *, field: str, value: object) -> None:
        super().__init__(sentence)
        self.field = field
        self.value = value


class BagFileError(CornerwrightError):
    """A bag file that cannot be read or written."""


class ExportError(CornerwrightError):
    """A page or a drawing that cannot be made or written."""


class CommandError(CornerwrightError):
    """A command line that cannot be understood."""


# --- texts ---
# How long the texts of a bag may be: one table for the window, the records and the files.
#
# Whatever is laid out, on paper or in the window, can count on these limits.


@dataclass(frozen=True, slots=True)
class TextLimit:
    """A text that a bag holds, and how long it may be.

    Attributes:
        label: what the maker reads.
        most: characters (Unicode code points, as JSON Schema counts them).
    """

    label: str
    most: int

    def check(self, text: str, *, field: str) -> None:
        """Refuse a text that is too long; `field` names its attribute.

        Raises:
            FieldError: it has more than `most` characters.
        """
        if len(text) > self.most:
            sentence = Sentence(
                "{label} has {count} characters: it may have at most {most}.",
                words={"label": self.label, "count": str(len(text)), "most": str(self.most)},
            )
            raise FieldError(sentence, field=field, value=text)

    @property
    def schema(self) -> dict[str, Any]:
        """The limit as JSON Schema tells it."""
        return {"maxLength": self.most}


BAG_NAME = TextLimit("Name of the bag", 80)
KEPT_NAME = TextLimit("Name", 80)
ROLE = TextLimit("Role", 60)
GOODS_NAME = TextLimit("Name of the material", 60)
ZIP_GAUGE = TextLimit("Gauge of the zip", 60)
ZIP_COLOUR = TextLimit("Colour of the zip", 60)
