"""Entries of a bag file that are not known here: found in reading, put back in writing.

A newer program, or the maker's own script, may keep something beside our entries. It is none
of our business, and not ours to lose.
"""

import json
from typing import Any, Final

import msgspec

from core.base.foreign import Foreign, ForeignEntry, Step
from core.storage.records import NOT_A_BAG, TOO_DEEP, trouble

DEEPEST: Final = 64
"""Levels that an unknown entry may have."""

_ENCODER: Final = json.JSONEncoder(ensure_ascii=False)
Path = tuple[str | Step, ...]


def strangers(document: Any, known: Any, *, source: str) -> Foreign:
    """Every entry of a file's document that its records do not have, in the file's order.

    Args:
        document: the file's JSON, of the newest version.
        known: what the records made of it, as plain groups and lists.
        source: the file's name, for messages.

    Raises:
        BagFileError: an entry is nested too deeply to be kept.
    """
    found: list[ForeignEntry] = []
    _look(document, known, (), found, source)
    return tuple(found)


def with_strangers(document: dict[str, Any], entries: Foreign) -> dict[str, Any]:
    """The document with the unknown entries back in their places, each after those known.

    An entry whose place is gone, because its part was taken away, is left out. The document
    itself is changed, and is one to write: unknown values stand in it as their text.
    """
    for entry in entries:
        group = _place(document, entry.path[:-1])
        key = entry.path[-1]
        if isinstance(group, dict) and key not in group:
            group[key] = msgspec.Raw(entry.value.encode())
    return document


def _look(document: Any, known: Any, path: Path, found: list[ForeignEntry], source: str) -> None:
    if isinstance(document, dict):
        for key, value in document.items():
            if key in known:
                _look(value, known[key], (*path, key), found, source)
            else:
                found.append(ForeignEntry(path=(*path, key), value=_text(value, source)))
    elif isinstance(document, list):
        for index, (value, other) in enumerate(zip(document, known, strict=True)):
            _look(value, other, (*path, index), found, source)


def _text(value: Any, source: str) -> str:
    if _depth(value) > DEEPEST:
        raise trouble(NOT_A_BAG, detail=TOO_DEEP, file=source)
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


def _place(document: Any, path: Path) -> Any:
    """The group at a path; None when it is not there any more."""
    for step in path:
        if isinstance(step, str):
            document = document.get(step) if isinstance(document, dict) else None
        elif isinstance(step, int) and isinstance(document, list) and step < len(document):
            document = document[step]
        else:
            return None
    return document
