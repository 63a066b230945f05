"""A bag file's text: from JSON to a bag and back."""

import json
import math
import re
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final, get_args

import msgspec

from core.bag.bag import Bag
from core.base.errors import BagFileError, FieldError
from core.base.sanitize import packed_json
from core.base.sentences import Sentence, say
from core.storage.migrations import brought_forward
from core.storage.project import Project
from core.storage.records import (
    CUT_OFF,
    DAMAGED,
    NO_NUMBER,
    NO_TEXT,
    NOT_A_BAG,
    NOT_OURS,
    TOO_DEEP,
    TOO_LARGE,
    TURN_WORDS,
    TWICE,
    BoardWord,
    CuttingWord,
    FacesWord,
    StyleWord,
    UnitWord,
    on_one_line,
    printable,
    trouble,
)
from core.storage.slivers import slivers_told, take_slivers
from core.storage.strangers import strangers, with_strangers
from core.storage.whole import (
    FORMAT,
    VERSION,
    FileRecord,
    file_record,
    foreign_of,
    project_of,
    with_foreign,
)

MOST_BYTES: Final = 1_000_000
"""Largest file that is read; a bag with every layer takes some 5 kB, fifty variants
250 kB."""


def project_to_json(project: Project) -> str:
    """The project as a bag file's text, indented, with a line end at its end.

    Raises:
        BagFileError: a name in it holds a lone surrogate, which UTF-8 cannot write.
    """
    try:
        document = with_strangers(msgspec.to_builtins(file_record(project)), foreign_of(project))
        # What kind of file it is stands at its head, for whoever opens it.
        head = {key: document[key] for key in ("format", "version", "lengths_in")}
        packed = packed_json(head | document)
    except UnicodeEncodeError as error:
        raise trouble(
            "The bag {name} cannot be saved: a name in it has characters that cannot be "
            "written as text.",
            name=printable(project.bag.name),
        ) from error
    return msgspec.json.format(packed).decode() + "\n"


@dataclass(frozen=True, slots=True)
class Reading:
    """What a bag file's text holds.

    Attributes:
        project: all of it.
        remark: what is not quite as the text has it: lengths too small to be any are 0; None
            where everything is.
    """

    project: Project
    remark: Sentence | None


def project_from_json(text: bytes | str, *, source: str) -> Project:
    """The project in a bag file's text, as `reading_from_json`.

    Raises:
        BagFileError: as `read_project`.
    """
    return reading_from_json(text, source=source).project


def reading_from_json(text: bytes | str, *, source: str) -> Reading:
    """What a bag file's text holds; `source` is the file's name for messages.

    Raises:
        BagFileError: as `read_project`.
    """
    document = _document(_plain_text(text, source), source)
    _check_head(document, source)
    document = brought_forward(document)
    try:
        record = msgspec.convert(document, FileRecord)
    except msgspec.ValidationError as error:
        raise _misshapen(str(error), source) from error
    slivers = take_slivers(record)
    try:
        project = project_of(record)
    except FieldError as error:
        terms = {"told": _on_one_line(error.sentence)}
        raise BagFileError(say("{file}: {told}", terms=terms, words={"file": source})) from error
    foreign = strangers(document, msgspec.to_builtins(record), source=source)
    return Reading(with_foreign(project, foreign), slivers_told(source, slivers))


def bag_to_json(bag: Bag) -> str:
    """A bag with nothing kept beside it, as a bag file's text.

    Raises:
        BagFileError: as `project_to_json`.
    """
    return project_to_json(Project(bag=bag))


def bag_from_json(text: bytes | str, *, source: str) -> Bag:
    """The bag on the table of a bag file's text.

    Raises:
        BagFileError: as `read_project`.
    """
    return project_from_json(text, source=source).bag


# --- From bytes to JSON ---------------------------------------------------------------------------


def _plain_text(text: bytes | str, source: str) -> str:
    if len(text) > MOST_BYTES:
        raise trouble(TOO_LARGE, file=source)
    if isinstance(text, bytes):
        try:
            text = text.decode()
        except UnicodeDecodeError as error:
            if error.reason == "unexpected end of data":
                raise trouble(CUT_OFF, file=source) from error
            raise trouble(NOT_A_BAG, detail="it is not text in UTF-8", file=source) from error
    text = text.removeprefix("\ufeff")  # some editors put this mark before a text in UTF-8
    if not text.strip():
        raise trouble("{file} is empty: there is no bag in it.", file=source)
    return text


def _document(text: str, source: str) -> dict[str, Any]:
    """The JSON object in a text, every name once and every number finite."""
    try:
        document = json.loads(
            text,
            object_pairs_hook=partial(_group, source),
            parse_int=_whole,
        )
    except json.JSONDecodeError as error:
        raise _unreadable(text, error, source) from error
    except RecursionError as error:
        raise trouble(NOT_A_BAG, detail=TOO_DEEP, file=source) from error
    if not isinstance(document, dict):
        raise trouble(NOT_A_BAG, detail=NOT_OURS, file=source)
    return document


def _group(source: str, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """One JSON object; what neither the records nor the model would see is refused here."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise trouble(TWICE, file=source, field=_words(key))
        if not _is_unicode(key):
            raise trouble(NO_TEXT, file=source, field=_words(key))
        _check_value(value, key, source)
        found[key] = value
    return found


def _check_value(value: Any, key: str, source: str) -> None:
    if isinstance(value, float) and not math.isfinite(value):
        raise trouble(NO_NUMBER, file=source, field=_words(key))
    if isinstance(value, str) and not _is_unicode(value):
        raise trouble(NO_TEXT, file=source, field=_words(key))
    if isinstance(value, list):
        for each in value:
            if not isinstance(each, int):  # of which a list can hold very many
                _check_value(each, key, source)


def _whole(digits: str) -> int | float:
    """A whole number; infinity for one that no float reaches."""
    return int(digits) if math.isfinite(float(digits)) else math.inf


def _is_unicode(text: str) -> bool:
    if text.isascii():
        return True
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def _unreadable(text: str, error: json.JSONDecodeError, source: str) -> BagFileError:
    """What to say about a text that is no JSON: foreign, cut off, or damaged."""
    if not text.lstrip().startswith("{"):
        return trouble(NOT_A_BAG, detail="it is not JSON", file=source)
    rest = text[error.pos :].strip()
    ends_early = re.fullmatch(r"[\w+.-]*", rest) and error.msg != "Extra data"
    if ends_early or error.msg.startswith("Unterminated string"):
        return trouble(CUT_OFF, file=source)
    return trouble(
        DAMAGED,
        detail="at line {line}, column {column} it is not JSON",
        file=source,
        line=str(error.lineno),
        column=str(error.colno),
    )


# --- From JSON to records -------------------------------------------------------------------------


def _on_one_line(told: Sentence) -> Sentence:
    """A sentence some of whose words come out of the file."""
    words = {gap: on_one_line(str(word)) for gap, word in told.words.items()}
    terms = {
        gap: _on_one_line(term) if isinstance(term, Sentence) else term
        for gap, term in told.terms.items()
    }
    return replace(told, words=words, terms=terms)


def _check_head(document: dict[str, Any], source: str) -> None:
    if document.get("format") != FORMAT:
        raise trouble(NOT_A_BAG, detail=NOT_OURS, file=source)
    version, newest = document.get("version"), str(VERSION)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise trouble(
            "{file}: version must be a whole number from 1 to {newest}.", file=source, newest=newest
        )
    if version > VERSION:
        raise trouble(
            "{file} has version {version}, and this program reads up to version "
            "{newest}: open it with a newer one.",
            file=source,
            version=str(version)[:20],
            newest=newest,
        )


_SHAPE = re.compile(
    r"(?:Expected `(?P<wanted>[^`]*)`, got `(?P<got>[^`]*)`"
    r"|Object missing required field `(?P<missing>\w+)`"
    r"|Invalid (?:enum )?value .*?)"
    r"(?: - at `\$(?P<place>[^`]*)`)?",
    re.DOTALL,
)
_KINDS: Final = {
    "float": "a number",
    "int": "a whole number",
    "str": "text",
    "bool": "true or false",
    "object": "a group in { }",
    "object | null": "a group in { } or null",
    "array": "a list in [ ]",
}
_CHOICES: Final = {
    "lengths_in": ("mm",),
    "shown_in": get_args(UnitWord),
    "faces": get_args(FacesWord),
    "style": get_args(StyleWord),
    "way": get_args(BoardWord),
    "kind": ("zip", "open top"),
    "turn": TURN_WORDS,
    "cutting": get_args(CuttingWord),
}
"""Entry -> the words of which it is one."""


def _misshapen(message: str, source: str) -> BagFileError:
    """What msgspec says about the shape of a file, in words."""
    if found := _SHAPE.fullmatch(message):
        place = found["place"] or ""
        if missing := found["missing"]:
            field = _place_words(f"{place}.{missing}")
            return trouble("{file}: {field} is missing.", file=source, field=field)
        field = _place_words(place)
        if choices := _CHOICES.get(place.rpartition(".")[2]):
            return trouble(
                "{file}: {field} must be {choices}.",
                file=source,
                field=field,
                choices=" or ".join(choices),
            )
        if wanted := found["wanted"]:
            return trouble(
                "{file}: {field} must be {wanted}, not {got}.",
                file=source,
                field=field,
                wanted=_KINDS.get(wanted, wanted),
                got=_KINDS.get(found["got"], found["got"]),
            )
    return trouble(
        "{file} does not hold a whole bag: open an older copy of it.",
        detail="{reason}",
        file=source,
        reason=message,
    )


def _place_words(place: str) -> str:
    """`.sandwich.layers[0].pressed` as "pressed of layer 1 of sandwich"."""
    named = place.replace("[...]", ".an entry")  # which one is not told
    numbered = re.sub(r"s\[(\d+)\]", lambda found: f" {int(found[1]) + 1}", named)
    return " of ".join(_words(step) for step in reversed(numbered.split(".")) if step)


def _words(key: str) -> str:
    return printable(key.replace("_", " "))
