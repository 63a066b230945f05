"""Groups of a file: of which entries the records of the model are made.

What a group holds beside its entries goes with the record, as text, and stands in the group again
that is written of it.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from enum import Enum
from functools import cache
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Final, NamedTuple, get_args

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Sentence, Template, mark, say
from core.model.figures import CutFigure, Quantity, When
from core.model.record import Detail, Extras, Record
from core.storage.shapes import (
    Definitions,
    Fixed,
    Notes,
    NumberShape,
    Optional,
    Plain,
    Shape,
    ValuePath,
    Within,
    Word,
    described,
    missing,
    one_of,
    other_word,
)

DEEPEST: Final = 64
"""Levels that an entry may have which is not known."""
TAG: Final = "kind"
"""Key that tells which of several groups one is."""

_ENCODER: Final = json.JSONEncoder(ensure_ascii=False)
_NONE: Final[Mapping[str, Any]] = MappingProxyType({})
_SAID_OF_TWO: Final = mark("{which}: {told}")


class TooDeepError(Exception):
    """An entry that is not known and too deep to be kept."""


class Called(NamedTuple):
    """What one of several records is called where something is said of it.

    Attributes:
        refused: before what the model refuses, with a gap {number} in a list; empty: nothing.
        within: after a length of it; empty: the same.
    """

    refused: Template
    within: Template = NO_TEXT

    def of(self, number: int) -> Sentence:
        """What a length of it is a length of."""
        template = self.within or self.refused
        return say(template, numbers={"number": number})

    def made(self, shape: "Shape", value: Any, notes: Notes, within: "Within", number: int) -> Any:
        """The record of a value; what the model refuses, a FieldError, is told with its name."""
        try:
            return shape.made(value, notes, (self.of(number), *within))
        except FieldError as error:
            if not self.refused:
                raise
            which = say(self.refused, numbers={"number": number})
            sentence = say(_SAID_OF_TWO, terms={"which": which, "told": error.sentence})
            raise FieldError(sentence, field=error.field, value=error.value) from error


class Listed(Shape):
    """A list of values of one shape.

    Attributes:
        item: the shape of each.
        called: what one is called, by its number from 1.
        made_of: what the model has for them.
        help: one sentence for the schema.
    """

    kinds = (list,)

    def __init__(
        self,
        item: Shape,
        called: Called,
        made_of: Callable[[list[Any]], Any] = tuple,
        help: str = "",
    ) -> None:
        self.item = item
        self.called = called
        self.made_of = made_of
        self.help = help

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        for number, each in enumerate(value, 1):
            self.item.check(each, (*place[:-1], (self.called.refused, number)))

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        if not isinstance(self.item, Group | Tagged):  # of plain values a list can hold very many
            return self.made_of([self.item.made(each, notes, within) for each in value])
        numbered = enumerate(value, 1)
        return self.made_of(
            [self.called.made(self.item, each, notes, within, n) for n, each in numbered]
        )

    def written(self, value: Any) -> Any:
        # What has no order is written in one.
        items = sorted(value) if isinstance(value, frozenset) else value
        return [self.item.written(each) for each in items]

    def schema(self, known: Definitions) -> dict[str, Any]:
        return described({"type": "array", "items": self.item.schema(known)}, self.help)


class Keyed(Shape):
    """Values of one shape by words: a word that is not known is kept as the others are.

    Attributes:
        item: the shape of each.
        called: what each is called.
    """

    kinds = (dict,)

    def __init__(self, item: Shape, called: Called) -> None:
        self.item = item
        self.called = called

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        for key, each in value.items():
            self.item.check(each, (*place, key))

    def made(self, value: Any, notes: Notes, within: Within) -> dict[str, Any]:
        return {
            key: self.called.made(self.item, each, notes, within, 0) for key, each in value.items()
        }

    def written(self, value: Any) -> dict[str, Any]:
        return {key: self.item.written(value[key]) for key in sorted(value)}

    def schema(self, known: Definitions) -> dict[str, Any]:
        return {"type": "object", "additionalProperties": self.item.schema(known)}


class Entry(NamedTuple):
    """One entry of a group.

    Attributes:
        attribute: of the record that holds it; empty for what is always the same.
        called: what the record in it is called, where its group does not tell; None: it does.
        required: whether a group without it is refused; without one that need not be, it is null.
        follows: whether the record has it from its other entries, with which it must agree.
        when: the choice of the record that it goes with; None: it is always there.
        figure: the figure that it is, where that is nothing with another choice.
    """

    attribute: str
    shape: Shape
    called: Called | None = None
    required: bool = True
    follows: bool = False
    when: When | None = None
    figure: CutFigure | None = None

    def stands_beside(self, words: Mapping[str, Any]) -> bool:
        """Whether it stands in a group with these words of choices, by their attributes."""
        when = self.when
        return when is None or words.get(when.attribute) in [each.value for each in when.words]


class Group(Shape):
    """A group of entries, of which a record is made.

    Attributes:
        name: of its definition in the schema.
        entries: key -> entry, in the order in which they are written.
        make: the record of its attributes, and of `extras`.
        of: what a record has for an attribute.
        help: one sentence for the schema.
    """

    kinds = (dict,)

    def __init__(
        self,
        name: str,
        entries: Mapping[str, Entry],
        make: Callable[..., Any],
        of: Callable[[Any, str], Any] = getattr,
        help: str = "",
    ) -> None:
        self.name = name
        self.entries = entries
        self.make = make
        self.of = of
        self.help = help

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        for key, entry in self.entries.items():
            if not entry.stands_beside(value):
                continue
            if key in value:
                entry.shape.check(value[key], (*place, key))
            elif entry.required:
                raise missing((*place, key))

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        known = {key: each for key, each in self.entries.items() if each.stands_beside(value)}
        attributes = {}
        for key, entry in known.items():
            if not entry.attribute or entry.follows:
                continue
            held = value.get(key)
            if entry.called is not None and held is not None:
                made = entry.called.made(entry.shape, held, notes, within, 0)
            else:
                made = entry.shape.made(held, notes, within) if key in value else None
            attributes[entry.attribute] = made
        extras = tuple((key, _kept(each)) for key, each in value.items() if key not in known)
        record = self.make(**attributes, extras=extras)
        for entry in known.values():
            # A figure of nothing makes the other choice.
            if entry.figure is not None and not entry.stands_beside(self.words(record)):
                entry.figure.refuse(0.0, mark("it must be more than {limit}."), limit=0.0)
        return record

    def words(self, record: Any) -> dict[str, Any]:
        """Attribute -> word of each choice of a record that entries go with."""
        chosen = {entry.when.attribute for entry in self.entries.values() if entry.when}
        return {attribute: self.of(record, attribute).value for attribute in chosen}

    def written(self, value: Any) -> dict[str, Any]:
        """The group of a record: what is known first, then the rest as it was."""
        import msgspec  # as in core.base.sanitize

        known, words = {}, self.words(value)
        for key, entry in self.entries.items():
            if not entry.stands_beside(words):
                continue
            held = self.of(value, entry.attribute) if entry.attribute else None
            if held is not None or entry.required:
                known[key] = entry.shape.written(held)
        extras: Extras = self.of(value, "extras")
        rest = {key: msgspec.Raw(text.encode()) for key, text in extras if key not in known}
        return known | rest

    def schema(self, known: Definitions) -> dict[str, Any]:
        if self.name not in known:
            known[self.name] = {}  # a group in itself would find its name taken
            shapes = {key: entry.shape.schema(known) for key, entry in self.entries.items()}
            known[self.name] = {
                "type": "object",
                **({"description": self.help} if self.help else {}),
                "properties": shapes,
                "required": [
                    key
                    for key, entry in self.entries.items()
                    if entry.required and entry.when is None
                ],
            }
            if going_with := [
                _with_words(key, entry.when)
                for key, entry in self.entries.items()
                if entry.when is not None
            ]:
                known[self.name]["allOf"] = going_with
        return {"$ref": f"#/$defs/{self.name}"}


class Tagged(Shape):
    """One of several groups by their `kind`, each with records of one class."""

    kinds = (dict,)

    def __init__(self, words: Iterable[str], class_of: Callable[[str], type[Record]]) -> None:
        """`class_of` gives the class of one of the words; a bag is read with few of them."""
        self.words = tuple(words)
        self.group_of = cache(lambda word: group_of(class_of(word)))

    def check(self, value: Any, place: ValuePath) -> None:
        Shape.check(self, value, place)
        place_of_tag = (*place, TAG)
        if TAG not in value:
            raise missing(place_of_tag)
        word = value[TAG]
        if not isinstance(word, str) or word not in self.words:
            raise other_word(place_of_tag, one_of(self.words))
        self.group_of(word).check(value, place)

    def made(self, value: Any, notes: Notes, within: Within) -> Any:
        return self.group_of(value[TAG]).made(value, notes, within)

    def written(self, value: Any) -> Any:
        return self.group_of(value.KIND).written(value)

    def schema(self, known: Definitions) -> dict[str, Any]:
        refs = {word: self.group_of(word).schema(known)["$ref"] for word in self.words}
        return {
            "anyOf": [{"$ref": ref} for ref in refs.values()],
            "discriminator": {"propertyName": TAG, "mapping": refs},
        }


def group_of(cls: type[Record], *, entries: Mapping[str, Entry | Shape] = _NONE) -> Group:
    """The group of a record's class: its figures by their names, the rest by its own.

    Args:
        cls: a dataclass whose attributes are figures, enums, texts, whole numbers, or yes and no.
        entries: attribute -> what its entry is, where that is something else.
    """
    named = {figure.attribute: figure.name for figure in cls.FIGURES}
    figures = {figure.attribute: figure for figure in (*cls.FIGURES, *cls.RANGES)}
    found = {TAG: Entry("", Fixed(cls.KIND))} if cls.KIND else {}
    for name, words in cls.CHOSEN.items():
        found[name] = Entry(name, Word(words), follows=True)
    for each in fields(cls):
        if each.name == "extras" or not each.init:
            continue
        told = entries.get(each.name)
        detail = cls.DETAILS.get(each.name, Detail())
        if told is None:
            told = _shape_of(each.type, figures.get(each.name), detail)
        figure = figures.get(each.name)
        when = detail.when if figure is None else figure.when
        sized = figure if when is not None and when.above_nothing else None
        if not isinstance(told, Entry):
            told = Entry(each.name, told, when=when, figure=sized)
        found[named.get(each.name, each.name)] = told
    return Group(cls.__name__, found, cls, help=(cls.__doc__ or "").partition("\n")[0])


def schema(shape: Shape) -> dict[str, Any]:
    """JSON Schema of a document of this shape, edition 2020-12."""
    known: Definitions = {}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **shape.schema(known),
        "$defs": known,
    }


def _shape_of(kind: Any, figure: CutFigure | None, detail: Detail) -> Shape:
    if isinstance(kind, UnionType):
        (inner,) = (each for each in get_args(kind) if each is not NoneType)
        return Optional(_shape_of(inner, figure, detail))
    help = detail.help if figure is None else figure.help
    if isinstance(kind, type) and issubclass(kind, Enum):
        return Word(kind, help)
    if kind is float:
        may_be_nothing = (
            figure is not None
            and figure.quantity is Quantity.LENGTH
            and figure.may_be_nothing
            and (figure.when is None or not figure.when.above_nothing)
        )
        return NumberShape(label=figure.label if figure and may_be_nothing else NO_TEXT, help=help)
    if kind in (int, bool, str):
        return Plain(kind=kind, limit=detail.limit, help=help)
    raise TypeError(f"{kind} is nothing that a group of a file can hold by itself")


def _with_words(key: str, when: When) -> dict[str, Any]:
    """That an entry stands in a group with words of a choice, as JSON Schema tells it."""
    words = {"enum": [each.value for each in when.words]}
    return {"if": {"properties": {when.attribute: words}}, "then": {"required": [key]}}


def _kept(value: Any) -> str:
    if _depth(value) > DEEPEST:
        raise TooDeepError
    return _ENCODER.encode(value)


def _depth(value: Any) -> int:
    """Levels of groups and lists in a value."""
    level, depth = [value], 0
    while level := [each for each in level if isinstance(each, dict | list)]:
        level = [
            inner for each in level for inner in (each.values() if isinstance(each, dict) else each)
        ]
        depth += 1
    return depth
