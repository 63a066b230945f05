"""What stands as one group in a bag's file: figures, texts, and what other programs put there."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import ClassVar

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Template, mark, say
from core.model.figures import CutFigure, When

Extras = tuple[tuple[str, str], ...]
"""Entries of a file that this program does not know: key -> JSON text. Nobody changes them."""


@dataclass(frozen=True, slots=True)
class TextLimit:
    """A text that a bag holds, and how long it may be.

    Attributes:
        label: what the maker reads.
        most: characters (Unicode code points, as JSON Schema counts them).
    """

    label: Template
    most: int

    def check(self, text: str, *, field: str) -> None:
        """Refuse by a FieldError a text of more than `most` characters; `field`: its attribute."""
        if len(text) > self.most:
            sentence = say(
                "{label} has {number} characters: it may have at most {most}.",
                terms={"label": self.label},
                numbers={"number": len(text), "most": self.most},
            )
            raise FieldError(sentence, field=field, value=text)


BAG_NAME = TextLimit(mark("Name of the bag"), 80)
KEPT_NAME = TextLimit(mark("Name"), 80)
ROLE = TextLimit(mark("Role"), 60)
GOODS_NAME = TextLimit(mark("Name of the material"), 60)
ZIP_GAUGE = TextLimit(mark("Gauge of the zip"), 60)
ZIP_COLOUR = TextLimit(mark("Colour of the zip"), 60)


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """What a file's schema says of an attribute that is no figure.

    Attributes:
        help: one sentence, in English.
        limit: of a text; None for what is none.
        when: the words of a choice that it goes with; None: it is always there.
    """

    help: Template = NO_TEXT
    limit: TextLimit | None = None
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What stands as one group in a file: a body, a top, a part, a layer, a load.

    A group has the record's figures under their names and its other attributes under their own.

    Attributes:
        extras: what else its group in the file holds. They go wherever the record goes, and two
            records that differ in them are two.
    """

    FIGURES: ClassVar[tuple[CutFigure, ...]] = ()
    RANGES: ClassVar[tuple[CutFigure, ...]] = ()
    """Limits of what is no figure of a bag; their names are none in files."""
    DETAILS: ClassVar[Mapping[str, Detail]] = {}
    KIND: ClassVar[str] = ""
    """Word that tells it from others in its place, in files; empty for the only one."""
    CHOSEN: ClassVar[Mapping[str, type[Enum]]] = {}
    """Attribute -> words, of a choice that follows from its figures and stands in files too."""

    extras: Extras = field(default=(), repr=False)
