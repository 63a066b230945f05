"""JSON as it leaves the program: no number in it is infinite or none at all.

JSON has no such numbers. One library writes words for them that no reader takes, another writes
null; either would hand a fault of the program on as if it were an answer.
"""

import json
import math
from typing import Any

import msgspec


def told_json(told: Any) -> str:
    """Groups, lists and plain values as indented text, for scripts and people.

    Raises:
        ValueError: a number in it is not finite, which is a fault of the program.
    """
    return json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False)


def packed_json(record: Any) -> bytes:
    """A record, or groups and lists that may hold raw JSON, in the fewest bytes.

    Raises:
        ValueError: as `told_json`.
        UnicodeEncodeError: a text in it holds a lone surrogate, which UTF-8 cannot write.
    """
    _require_finite(record, "the document")
    return msgspec.json.encode(record)


def _require_finite(value: Any, where: str) -> None:
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{where} is {value}: JSON has no such number")
    elif isinstance(value, dict):
        for key, each in value.items():
            _require_finite(each, str(key))
    elif isinstance(value, list | tuple):
        for each in value:
            _require_finite(each, where)
    elif isinstance(value, msgspec.Struct):
        for key in value.__struct_fields__:
            _require_finite(getattr(value, key), key)
