"""Choices of construction: what a body, a top or a part can be made as."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from core.base.sentences import Template
from core.site.solved import Surround

NONE = "none"
"""The word for leaving a part out, where a choice has it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice of construction.

    Attributes:
        name: fixed; on the command line where it has a word there.
        part: name of the owner under which it is read, as in `OWNERS`.
        label: what the maker reads for it.
        step: what making it is called.
        help: one sentence.
        options: (word, label) of each, in order; with `NONE` the part can be left out.
        read: the word that holds for its owner; None where it has nothing to choose.
        write: the owner with a word, in the bag around it, with what was kept when that word was
            left, or None; it may raise FieldError.
        kept: what of the owner is worth remembering before a word is left; None for nothing.
        on_command_line: whether commands have it; they leave parts out by another option.
    """

    name: str
    part: str
    label: Template
    step: Template
    help: Template
    options: tuple[tuple[str, Template], ...]
    read: Callable[[Any], str | None]
    write: Callable[[Any, str, Surround, Any], Any]
    kept: Callable[[Any], object] = lambda owner: None
    on_command_line: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """What it can be."""
        return tuple(word for word, _ in self.options)

    @property
    def leaves_out(self) -> bool:
        """Whether the part can be left out by it."""
        return NONE in self.words
