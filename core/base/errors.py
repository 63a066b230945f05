"""What goes wrong, said so that the maker can act on it."""

from collections.abc import Iterable
from typing import Final

from core.base.sentences import Last, Listing, Sentence, Template, say

_LONGEST_NAME: Final = 60
"""Signs of a name that is looked for; no name of ours has half as many."""
_MOST_OFFERED: Final = 8
"""Names that one sentence offers instead of another one."""


def did_you_mean(told: Sentence, name: str, known: Iterable[str]) -> Sentence:
    """What is told of a name that is none, with the names after it that may have been meant.

    These are, first come, first offered: the name in other capitals or with other signs between
    its words; the names that it misspells; the names that hold its words, misspelt ones too;
    one that it is somewhat like.
    """
    from difflib import get_close_matches  # only for who has erred

    asked = _words_of(name[:_LONGEST_NAME])
    words = {each: _words_of(each) for each in known}
    if not any(asked):
        return told
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
    if not near:
        return told
    names = Listing(near[:_MOST_OFFERED], Last.OR)
    return say("{told} Did you mean {names}?", terms={"told": told}, words={"names": names})


def _words_of(name: str) -> list[str]:
    return "".join(sign if sign.isalnum() else " " for sign in name.casefold()).split()


class CornerwrightError(Exception):
    """Root of everything this program refuses. `str()` gives one clear sentence.

    Attributes:
        sentence: what is wrong, and what the maker can do.
        detail: what only whoever knows the format of a file can use, as a clause; None for
            nothing. `str()` puts it in brackets, a window behind a button.
    """

    def __init__(self, sentence: Sentence | Template, detail: Sentence | None = None) -> None:
        self.sentence = sentence if isinstance(sentence, Sentence) else Sentence(sentence)
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

    def __init__(self, sentence: Sentence | Template, *, field: str, value: object) -> None:
        super().__init__(sentence)
        self.field = field
        self.value = value


class BagFileError(CornerwrightError):
    """A bag file that cannot be read or written."""


class ExportError(CornerwrightError):
    """A page or a drawing that cannot be made or written."""


class CommandError(CornerwrightError):
    """A command line that cannot be understood."""
