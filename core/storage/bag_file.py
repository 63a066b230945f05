"""A bag file's text: from JSON to a project and back, through what its groups hold.

Whatever is wrong with one is a sentence that names the file.
"""

import json
import math
import re
from dataclasses import replace
from functools import partial
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from core.bag.bag import Bag
from core.bag.figures import label_of
from core.bag.making import Load, Making
from core.bag.parts import Parts
from core.bag.sewn_sample import SAMPLED, Sample
from core.base.errors import BagFileError, FieldError
from core.base.sanitize import on_one_line, packed_json, printable
from core.base.sentences import NO_TEXT, Listing, Sentence, Term, mark, plural, say
from core.base.tolerance import LEAST_LENGTH
from core.base.units import Unit
from core.bodies.table import BODIES
from core.goods.layers import Layer, Sandwich
from core.goods.supplies import Supplies
from core.model.record import BAG_NAME, KEPT_NAME, Extras
from core.parts.table import SLOTS
from core.storage.groups import (
    Called,
    Entry,
    Group,
    Keyed,
    Listed,
    Tagged,
    TooDeepError,
    group_of,
    schema,
)
from core.storage.project import NamedBag, Project
from core.storage.shapes import (
    FigureTable,
    Fixed,
    Notes,
    NumberShape,
    Optional,
    Plain,
    ShapeError,
    Word,
    key_words,
    not_ordinary,
)
from core.tops.table import TOPS

FORMAT: Final = "cornerwright bag"
VERSION: Final = 5

LAYER: Final = group_of(Layer)

_LAYERS: Final = Listed(LAYER, Called(mark("layer {number}")))
_ZIP_LENGTHS: Final = Listed(NumberShape(), Called(mark("entry {number} of zip lengths")))
_SUPPLIES: Final = group_of(
    Supplies,
    entries={
        "board": Entry(
            "board", LAYER, Called(mark("material of the board"), mark("the board’s material"))
        ),
        "pocket": Entry(
            "pocket",
            Optional(LAYER),
            Called(mark("material of the pocket"), mark("the pocket’s material")),
        ),
        "handles": Entry(
            "handles",
            Optional(LAYER),
            Called(mark("material of the handles"), mark("the handles’ material")),
        ),
        "zip_lengths": Optional(_ZIP_LENGTHS),
    },
)
_SLOTS: Final = tuple(dict.fromkeys(part.SLOT for part in SLOTS))
_PARTS: Final = {slot: {part.KIND: part for part in SLOTS if slot == part.SLOT} for slot in _SLOTS}
_BAG: Final = {
    "name": Entry("name", Plain(kind=str, limit=BAG_NAME)),
    "shown_in": Entry("unit", Word(Unit, "Unit that the bag is shown and typed in.")),
    "body": Entry("body", Tagged(BODIES.words, BODIES.of)),
    "top": Entry("top", Tagged(TOPS.words, TOPS.of)),
    **{
        slot: Entry(slot, Optional(Tagged(kinds, kinds.__getitem__)), None, False)
        for slot, kinds in _PARTS.items()
    },
    "sandwich": Entry("sandwich", group_of(Sandwich, entries={"layers": _LAYERS})),
    "supplies": Entry("supplies", _SUPPLIES),
}


def _bag(**values: Any) -> Bag:
    parts = [values.pop(slot) for slot in _SLOTS]
    return Bag(parts=Parts(part for part in parts if part is not None), **values)


def _bag_of(bag: Bag, attribute: str) -> Any:
    """What a bag has for an attribute of its group: a part by its slot."""
    if attribute in _SLOTS:
        return bag.parts.get(attribute)
    return getattr(bag, attribute)


def _kept_of(kept: NamedBag, attribute: str) -> Any:
    return kept.bag_extras if attribute == "extras" else _bag_of(kept.bag, attribute)


def _named_of(kept: NamedBag, attribute: str) -> Any:
    return kept if attribute == "bag" else getattr(kept, attribute)


def _kept(*, extras: Extras, **values: Any) -> tuple[Bag, Extras]:
    return _bag(**values), extras


def _named(*, name: str, bag: tuple[Bag, Extras], extras: Extras) -> NamedBag:
    return NamedBag(name=name, bag=bag[0], bag_extras=bag[1], extras=extras)


_NAMED: Final = Group(
    "NamedBag",
    {
        "name": Entry("name", Plain(kind=str, limit=KEPT_NAME)),
        "bag": Entry("bag", Group("Bag", _BAG, _kept, _kept_of, help="One bag.")),
    },
    _named,
    _named_of,
    help="A bag that is kept under a name.",
)
_DRAWN: Final = FigureTable(MappingProxyType({name: label_of(name) for name in SAMPLED}))
_SAMPLE: Final = group_of(Sample, entries={"drawn": _DRAWN, "measured": _DRAWN})
_PROJECT: Final = {
    "starting": Entry(
        "starting", Optional(_NAMED), Called(mark("starting bag"), mark("the starting bag"))
    ),
    "variants": Entry("variants", Listed(_NAMED, Called(mark("variant {number}")))),
    # Of the bag's own construction: the only one that a file had before there were several.
    "sample": Entry("sample", Optional(_SAMPLE), Called(NO_TEXT, mark("the sample"))),
    "other_samples": Entry(
        "other_samples",
        Keyed(_SAMPLE, Called(mark("sample of another construction"))),  # by the kind of body
        required=False,
    ),
    "pinned": Entry(
        "pinned", Listed(Plain(kind=str), Called(mark("entry {number} of pinned")), frozenset)
    ),
    "corners_matched": Entry("seams_matched", Plain(kind=bool)),
    "ticked": Entry(
        "ticked", Listed(Plain(kind=str), Called(mark("entry {number} of ticked")), frozenset)
    ),
    "load": Entry("load", Optional(group_of(Load))),
    "making": Entry("making", group_of(Making, entries={"gap": NumberShape(label=mark("Gap"))})),
}


_BESIDE: Final = {entry.attribute for entry in _PROJECT.values()}


def _project(*, extras: Extras, **values: Any) -> Project:
    rest = {name: values.pop(name) for name in _BESIDE & values.keys()}
    bag, own, others = _bag(**values), rest.pop("sample"), rest.pop("other_samples", None)
    samples = {**(others or {})}
    if bag.body.KIND in samples:
        sentence = say(
            "other samples has one of {kind}, which is this bag’s own construction: keep it as its "
            "sample.",
            words={"kind": bag.body.KIND},
        )
        raise FieldError(sentence, field="other_samples", value=bag.body.KIND)
    if own is not None:
        samples[bag.body.KIND] = own
    return Project(bag=bag, extras=extras, samples=samples, **rest)


def _project_of(project: Project, attribute: str) -> Any:
    if attribute == "other_samples":
        own = project.bag.body.KIND
        return {kind: each for kind, each in project.samples.items() if kind != own} or None
    if attribute in _BESIDE or attribute == "extras":
        return getattr(project, attribute)
    return _bag_of(project.bag, attribute)


FILE: Final = Group(
    "File",
    {
        # What kind of file it is stands at its head, for whoever opens it.
        "format": Entry("", Fixed(FORMAT)),
        "version": Entry("", Fixed(VERSION)),
        "lengths_in": Entry("", Fixed("mm")),
        **_BAG,
        **_PROJECT,
    },
    _project,
    _project_of,
    help="A whole file. Entries that are not known are kept as they are.",
)


MOST_BYTES: Final = 1_000_000
"""Largest file that is read; a bag with every layer takes some 5 kB, fifty variants 250 kB."""

TOO_LARGE: Final = mark("{file} is too large: a bag file has at most 1 MB.")
_NOT_A_BAG: Final = mark("{file} is not a bag file: choose one that was saved by this program.")
_CUT_OFF: Final = mark("{file} is cut off: its end is missing.")
_TOLD: Final = mark("{file}: {told}")
_NOT_OURS: Final = mark("it holds JSON of another kind")
_NOT_JSON: Final = mark("it is not JSON")
_TOO_DEEP: Final = mark("it is nested too deeply")
_NO_TEXT: Final = mark("{file}: {field} has characters that cannot be read as text.")
_MOST_TOLD: Final = 6
"""Lengths that one sentence names; of more it tells the number."""


def file_error(
    template: str, *, detail: str = "", reason: Sentence | None = None, **words: str
) -> BagFileError:
    """The error that says this; `words` fill the gaps of the template and of its detail."""
    terms = {} if reason is None else {"reason": reason}
    told = say(detail, words=words) if detail else None
    return BagFileError(say(template, terms=terms, words=words), told)


def schema_json() -> str:
    """JSON Schema of a bag file, as published in resources/bag.schema.json."""
    import msgspec

    return msgspec.json.format(msgspec.json.encode(schema(FILE))).decode() + "\n"


def project_to_json(project: Project) -> str:
    """The project as a bag file's text, indented, with a line end at its end.

    A BagFileError says that a name in it holds a lone surrogate, which UTF-8 cannot write.
    """
    import msgspec  # as in core.base.sanitize

    try:
        packed = packed_json(FILE.written(project))
    except UnicodeEncodeError as error:
        raise file_error(
            "The bag {name} cannot be saved: a name in it has characters that cannot be "
            "written as text.",
            name=printable(project.bag.name),
        ) from error
    return msgspec.json.format(packed).decode() + "\n"


class Reading(NamedTuple):
    """What a bag file's text holds.

    Attributes:
        remark: what is not quite as the text has it: lengths too small to be any are 0; None
            where everything is.
    """

    project: Project
    remark: Sentence | None


def reading_from_json(text: bytes | str, *, source: str) -> Reading:
    """What a bag file's text holds; `source` is the file's name for messages.

    Raises as `core.storage.bag_files.read_project`.
    """
    not_numbers: list[str] = []
    document = _document(_plain_text(text, source), source, not_numbers)
    _check_head(document, source)
    notes = Notes()
    try:
        if not_numbers:
            if document["version"] == VERSION:
                FILE.check(document, ())  # tells what may stand there
            raise not_ordinary((not_numbers[0],))
        if document["version"] != VERSION:
            from core.storage.migrations import brought_forward  # no sample is an earlier one

            document = brought_forward(document)
        FILE.check(document, ())
        project = FILE.made(document, notes, ())
    except (ShapeError, FieldError) as error:
        terms = {"told": _on_one_line(error.sentence)}
        raise BagFileError(say(_TOLD, terms=terms, words={"file": source})) from error
    except TooDeepError as error:
        raise file_error(_NOT_A_BAG, detail=_TOO_DEEP, file=source) from error
    return Reading(project, tiny_told(source, notes))


def tiny_told(source: str, notes: Notes) -> Sentence | None:
    """That lengths of a file were too small to be any and are 0 now; None where there are none.

    What is typed so small is refused. A file may hold what an earlier program let sums leave; where
    the figure may be 0, that is what was meant.
    """
    # One that is called like another is told once.
    found = list({each.text(): each for each in notes.tiny}.values())
    if not found:
        return None
    told: list[Term] = [*found[:_MOST_TOLD]]
    if more := len(found) - len(told):
        told.append(say(plural("1 more", "{count} more"), numbers={"count": more}))
    return say(
        "{file} has a length below {least}, but not 0, for {fields}: taken as 0.",
        least=LEAST_LENGTH,
        terms={"fields": Listing(told)},
        words={"file": source},
    )


def _plain_text(text: bytes | str, source: str) -> str:
    if len(text) > MOST_BYTES:
        raise file_error(TOO_LARGE, file=source)
    if isinstance(text, bytes):
        try:
            text = text.decode()
        except UnicodeDecodeError as error:
            if error.reason == "unexpected end of data":
                raise file_error(_CUT_OFF, file=source) from error
            raise file_error(_NOT_A_BAG, detail="it is not text in UTF-8", file=source) from error
    text = text.removeprefix("\ufeff")  # some editors put this mark before a text in UTF-8
    if not text.strip():
        raise file_error("{file} is empty: there is no bag in it.", file=source)
    return text


def _document(text: str, source: str, not_numbers: list[str]) -> dict[str, Any]:
    """The JSON object in a text, every name once.

    `not_numbers` takes the keys of numbers that are not finite.
    """
    hook = partial(_group, source, not_numbers)
    try:
        document = json.loads(text, object_pairs_hook=hook, parse_int=_whole)
    except json.JSONDecodeError as error:
        raise _unreadable(text, error, source) from error
    except RecursionError as error:
        raise file_error(_NOT_A_BAG, detail=_TOO_DEEP, file=source) from error
    if not isinstance(document, dict):
        raise file_error(_NOT_A_BAG, detail=_NOT_OURS, file=source)
    return document


def _group(source: str, not_numbers: list[str], pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """One JSON object; what records and model would not see is refused, or noted, here."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise file_error(
                "{file}: {field} appears twice: keep only one.", file=source, field=key_words(key)
            )
        if not _is_unicode(key):
            raise file_error(_NO_TEXT, file=source, field=key_words(key))
        _check_value(value, key, source, not_numbers)
        found[key] = value
    return found


def _check_value(value: Any, key: str, source: str, not_numbers: list[str]) -> None:
    if isinstance(value, float) and not math.isfinite(value):
        not_numbers.append(key)
    if isinstance(value, str) and not _is_unicode(value):
        raise file_error(_NO_TEXT, file=source, field=key_words(key))
    if isinstance(value, list):
        for each in value:
            if not isinstance(each, int):  # of which a list can hold very many
                _check_value(each, key, source, not_numbers)


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
        return file_error(_NOT_A_BAG, detail=_NOT_JSON, file=source)
    rest = text[error.pos :].strip()
    ends_early = re.fullmatch(r"[\w+.-]*", rest) and error.msg != "Extra data"
    if ends_early or error.msg.startswith("Unterminated string"):
        return file_error(_CUT_OFF, file=source)
    return file_error(
        "{file} is damaged and cannot be read: open an older copy of it.",
        detail="at line {line}, column {column} it is not JSON",
        file=source,
        line=str(error.lineno),
        column=str(error.colno),
    )


def _on_one_line(told: Sentence) -> Sentence:
    """A sentence some of whose words come out of the file."""
    words = {
        gap: on_one_line(word) if isinstance(word, str) else word
        for gap, word in told.words.items()
    }
    terms = {
        gap: _on_one_line(term) if isinstance(term, Sentence) else term
        for gap, term in told.terms.items()
    }
    return replace(told, words=words, terms=terms)


def _check_head(document: dict[str, Any], source: str) -> None:
    if document.get("format") != FORMAT:
        raise file_error(_NOT_A_BAG, detail=_NOT_OURS, file=source)
    version, newest = document.get("version"), str(VERSION)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise file_error(
            "{file}: version must be a whole number from 1 to {newest}.", file=source, newest=newest
        )
    if version > VERSION:
        raise file_error(
            "{file} has version {version}, and this program reads up to version "
            "{newest}: open it with a newer one.",
            file=source,
            version=str(version)[:20],
            newest=newest,
        )
