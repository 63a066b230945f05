"""What a file may hold: one description, by which it is read, written, and published as a schema.

A document is read in two passes: first everything is checked to be of the right kind, then the
model is made of it from the inside out, so that a slip of the format is told before a figure that
the model refuses. What a group holds beside what is described stays with the record made of it.
Lengths are mm.
"""

import math
from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType, NoneType
from typing import Any, Final

from core.base.errors import CornerwrightError
from core.base.sanitize import printable
from core.base.sentences import NO_TEXT, Last, Listing, Sentence, Template, Term, mark, say, typed
from core.base.tolerance import is_sliver
from core.model.record import TextLimit

PathStep = str | tuple[Template, int]
ValuePath = tuple[PathStep, ...]
"""What leads to a value: keys of groups, and items of lists by what they are called."""
Definitions = dict[str, dict[str, Any]]

_OF: Final = mark("{part} of {whole}")
_ENTRY: Final = mark("an entry")
_NULL: Final = mark("null")
_NOT_ORDINARY: Final = mark(
    "{field} must be an ordinary number, not NaN, infinite or larger than a number can be."
)
_KINDS: Final[Mapping[type, Template]] = MappingProxyType(
    {
        float: mark("a number"),
        int: mark("a whole number"),
        bool: mark("true or false"),
        str: mark("text"),
        dict: mark("a group in { }"),
        list: mark("a list in [ ]"),
        NoneType: _NULL,
    }
)


class ShapeError(CornerwrightError):
    """A document that is not of the shape described."""


class Notes:
    """What is told of a document that was read.

    Attributes:
        tiny: the lengths that were too small to be any, and are 0 now: "Gap of layer 2".
    """

    def __init__(self) -> None:
        self.tiny: list[Sentence] = []


Within = tuple[Sentence, ...]


class Shape:
    """What one value of a document may be, and what the model has for it.

    Nobody changes or compares one: plain classes say as much as dataclasses, each of which would
    be compiled at the start.
    """

    @property
    def kinds(self) -> tuple[type, ...]:
        """Of which a value of it can be, as JSON is read."""
        raise NotImplementedError

    @property
    def told(self) -> Term:
        """What it must be, in words."""
        return _KINDS[self.kinds[-1]]

    def check(self, value: Any, place: ValuePath) -> None:
        """A ShapeError tells where it stands what is not of this shape, and what it must be."""
        # A whole number that no float reaches is read as an infinite one.
        if int in self.kinds and isinstance(value, float) and not math.isfinite(value):
            raise not_ordinary(place)
        if type(value) not in self.kinds:
            terms = {"field": place_words(place), "wanted": self.told, "got": _KINDS[type(value)]}
            raise ShapeError(say("{field} must be {wanted}, not {got}.", terms=terms))

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        """What the model has for a value of this shape that was checked.

        `notes` takes what is told of it; `within` is what it stands in, the nearest first.

        Raises:
            FieldError: the model refuses a value.
            TooDeepError: an unknown entry is too deep.
        """
        return value

    def written(self, value: Any) -> Any:
        """What stands in a document for what the model has."""
        return value

    def schema(self, known: Definitions) -> dict[str, Any]:
        """As JSON Schema tells it; `known` takes the definitions of groups, by name."""
        raise NotImplementedError


def missing(place: ValuePath) -> ShapeError:
    """The error about an entry that is not there."""
    return ShapeError(say("{field} is missing.", terms={"field": place_words(place)}))


def not_ordinary(place: ValuePath) -> ShapeError:
    """The error about a number that is none, or too large to be one."""
    return ShapeError(say(_NOT_ORDINARY, terms={"field": place_words(place)}))


def other_word(place: ValuePath, choices: Term) -> ShapeError:
    """The error about a word that is none of those that can stand there."""
    terms = {"field": place_words(place), "choices": choices}
    return ShapeError(say("{field} must be {choices}.", terms=terms))


def one_of(words: tuple[str, ...]) -> Term:
    """Words that can stand in a place, as they are listed."""
    return typed(Listing(words, Last.OR))


def place_words(place: ValuePath) -> Sentence:
    """A place as it is read: "pressed of layer 1 of sandwich"."""
    *outer, last = place
    told = _step_words(last)
    for step in reversed(outer):
        told = say(_OF, terms={"part": told, "whole": _step_words(step)})
    return told


def key_words(key: str) -> str:
    """A key of a file as it is read."""
    return printable(key.replace("_", " "))


def _step_words(step: PathStep) -> Sentence:
    if isinstance(step, str):
        return typed(key_words(step))
    template, number = step
    return say(template, numbers={"number": number})


class NumberShape(Shape):
    """A number; a whole one is one too.

    Attributes:
        label: what the maker reads where it is a length that may be 0, and so may be taken as 0
            when it is too small to be one; empty for anything else.
        help: one sentence for the schema.
    """

    kinds = (int, float)

    def __init__(self, *, label: Template = NO_TEXT, help: str = "") -> None:
        self.label = label
        self.help = help

    def made(self, value: Any, notes: Notes, within: Within) -> float:
        number = float(value)
        if not self.label or not is_sliver(number):
            return number
        told = Sentence(self.label)
        for each in within:
            told = say(_OF, terms={"part": told, "whole": each})
        notes.tiny.append(told)
        return 0.0

    def schema(self, known: Definitions) -> dict[str, Any]:
        return described({"type": "number"}, self.help)


class Plain(Shape):
    """A whole number, a yes or no, or a text: what stands in the model as in the file.

    Attributes:
        kind: int, bool or str.
        limit: of a text; None: any length.
        help: one sentence for the schema.
    """

    def __init__(self, *, kind: type, limit: TextLimit | None = None, help: str = "") -> None:
        self.kind = kind
        self.limit = limit
        self.help = help

    @property
    def kinds(self) -> tuple[type, ...]:
        return (self.kind,)

    def schema(self, known: Definitions) -> dict[str, Any]:
        kinds = {int: "integer", bool: "boolean", str: "string"}
        limit = {} if self.limit is None else {"maxLength": self.limit.most}
        return described({"type": kinds[self.kind], **limit}, self.help)


class Fixed(Shape):
    """A value that is always the same."""

    def __init__(self, value: str | int) -> None:
        self.value = value

    @property
    def kinds(self) -> tuple[type, ...]:
        return (type(self.value),)

    @property
    def told(self) -> Term:
        return typed(str(self.value))

    def check(self, value: Any, place: ValuePath) -> None:
        if type(value) not in self.kinds or value != self.value:
            raise other_word(place, self.told)

    def written(self, value: Any) -> Any:
        return self.value

    def schema(self, known: Definitions) -> dict[str, Any]:
        return {"const": self.value}


class Word(Shape):
    """One of several words: the values of an enum."""

    kinds = (str,)

    def __init__(self, words: type[Enum], help: str = "") -> None:
        self.words = words
        self.help = help

    @property
    def all(self) -> tuple[str, ...]:
        return tuple(each.value for each in self.words)

    @property
    def told(self) -> Term:
        return one_of(self.all)

    def check(self, value: Any, place: ValuePath) -> None:
        if not isinstance(value, str) or value not in self.all:
            raise other_word(place, self.told)

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        return self.words(value)

    def written(self, value: Any) -> Any:
        return value.value

    def schema(self, known: Definitions) -> dict[str, Any]:
        return described({"enum": list(self.all)}, self.help)


class Optional(Shape):
    """A value, or null."""

    def __init__(self, inner: Shape) -> None:
        self.inner = inner

    @property
    def kinds(self) -> tuple[type, ...]:
        return (*self.inner.kinds, NoneType)

    @property
    def told(self) -> Term:
        return Listing((self.inner.told, _NULL), Last.OR)

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        if value is not None:
            self.inner.check(value, place)

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        return None if value is None else self.inner.made(value, notes, within)

    def written(self, value: Any) -> Any:
        return None if value is None else self.inner.written(value)

    def schema(self, known: Definitions) -> dict[str, Any]:
        return {"anyOf": [self.inner.schema(known), {"type": "null"}]}


class FigureTable(Shape):
    """Lengths by the names of figures, mm."""

    kinds = (dict,)

    def __init__(self, labels: Mapping[str, Template]) -> None:
        self.labels = labels

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        for each in value.values():
            NumberShape().check(each, (*place, (_ENTRY, 0)))

    def made(self, value: Any, notes: Notes, within: Within) -> dict[str, float]:
        return {
            name: NumberShape(label=self.labels.get(name, NO_TEXT)).made(each, notes, within)
            for name, each in value.items()
        }

    def written(self, value: Any) -> Any:
        return dict(value)

    def schema(self, known: Definitions) -> dict[str, Any]:
        return {"type": "object", "additionalProperties": {"type": "number"}}


def described(schema: dict[str, Any], help: str) -> dict[str, Any]:
    """A schema with its one sentence, where there is one."""
    return {**schema, "description": help} if help else schema
