"""JSON as it is kept: no number in it is infinite or none at all.

JSON has no such numbers, and the library that packs records writes null for them: a fault of
the program would be kept as if it were meant.
"""

import math
from typing import Any

import msgspec


def packed_json(record: Any) -> bytes:
    """A record, or groups and lists that may hold raw JSON, in the fewest bytes.

    Raises:
        ValueError: a number in it is not finite, which is a fault of the program.
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
