"""What goes wrong, said so that the maker can act on it.

A `Sentence` keeps its lengths as millimetres until somebody shows it, so that the same
error or finding reads in inches in one window and in millimetres in another.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

ShowLength = Callable[[float], str]
"""Turns millimetres into the text that the maker reads, unit included."""

_NOTHING: Mapping[str, float] = MappingProxyType({})
_NO_WORDS: Mapping[str, str] = MappingProxyType({})


def show_millimetres(length: float) -> str:
    """The plainest `ShowLength`: what a log or a bare exception prints."""
    return f"{length:.6g} mm"


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence with named gaps.

    Attributes:
        template: English text with `{name}` gaps; it is also the key for translation.
        lengths: gap -> mm, shown in the reader's unit.
        words: gap -> text that stays as it is (counts, names).
    """

    template: str
    lengths: Mapping[str, float] = field(default_factory=lambda: _NOTHING)
    words: Mapping[str, str] = field(default_factory=lambda: _NO_WORDS)

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


class CornerwrightError(Exception):
    """Root of everything this program refuses. `str()` gives one clear sentence."""

    def __init__(self, sentence: Sentence | str) -> None:
        self.sentence = Sentence(sentence) if isinstance(sentence, str) else sentence
        super().__init__(self.sentence)

    def __str__(self) -> str:
        return self.sentence.text()


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
