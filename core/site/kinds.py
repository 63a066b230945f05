"""The kinds of body and of top that there are: what each is called, and itself when asked for.

A program that shows one bag loads the code of its body and its top alone; of the others it tells
their names, figures and choices.
"""

from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from typing import Generic, NamedTuple, Self, TypeVar, cast, overload

from core.base.sentences import NO_TEXT, Template
from core.model.figures import CutFigure, FinishedFigure
from core.site.owner import Choice, Owner

Of = TypeVar("Of", bound=Owner)


class Told(NamedTuple):
    """What is told of a body, a top or a part before its code is loaded: as its class has it.

    Attributes:
        place: module and class.
        left_out: the word by which a top is left out; empty where that is no leaving.
    """

    place: tuple[str, str]
    kind: str
    label: Template
    word: Template = NO_TEXT
    figures: tuple[CutFigure, ...] = ()
    goods_figures: tuple[CutFigure, ...] = ()
    finished: tuple[FinishedFigure, ...] = ()
    choices: tuple[Choice, ...] = ()
    left_out: str = ""

    @classmethod
    def of(cls, kind: type[Owner]) -> Self:
        """The same of a class that is loaded."""
        return cls(
            (kind.__module__, kind.__qualname__),
            kind.KIND,
            kind.LABEL,
            kind.WORD,
            kind.FIGURES,
            kind.GOODS_FIGURES,
            kind.FINISHED,
            kind.CHOICES,
            getattr(kind, "LEFT_OUT", ""),
        )


class Kinds(Sequence[type[Of]], Generic[Of]):
    """Classes in reading order, each loaded when it is first asked for.

    Attributes:
        told: of each of them; to read it loads nothing.
    """

    def __init__(self, told: Iterable[Told]) -> None:
        self.told = tuple(told)

    @property
    def words(self) -> tuple[str, ...]:
        """The KIND of each."""
        return tuple(each.kind for each in self.told)

    def of(self, word: str) -> type[Of]:
        """The one of this KIND; a KeyError where there is none."""
        return self._loaded({each.kind: each for each in self.told}[word])

    def _loaded(self, told: Told) -> type[Of]:
        module, name = told.place
        return cast("type[Of]", getattr(import_module(module), name))

    def __add__(self, more: Iterable[type[Of]]) -> "Kinds[Of]":
        return Kinds((*self.told, *map(Told.of, more)))

    # A sequence's own names from here on.

    @overload
    def __getitem__(self, place: int) -> type[Of]: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[type[Of], ...]: ...
    def __getitem__(self, place: int | slice) -> type[Of] | tuple[type[Of], ...]:
        if isinstance(place, slice):
            return tuple(map(self._loaded, self.told[place]))
        return self._loaded(self.told[place])

    def __iter__(self) -> Iterator[type[Of]]:
        return map(self._loaded, self.told)

    def __len__(self) -> int:
        return len(self.told)
