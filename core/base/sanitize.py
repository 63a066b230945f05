"""Foreign text made fit to stand on a page, in a cell, on a terminal or in a file.

On a page and a terminal stand signs only, no orders. JSON has no number that is infinite or none
at all, and the library that packs records writes null for them: a fault of the program would be
kept as if it were meant. On some systems a path is bytes, and need not be UTF-8: Python then puts
a lone surrogate for each byte that is none (PEP 383), which neither a file of settings nor a
screen can hold.
"""

import json
import math
import os
import re
import unicodedata
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote_from_bytes, unquote_to_bytes

_BLANKS: Final = "\r\n|[\t\r\v\f\x85\u2028\u2029]"
"""What moves the place of writing: a plain space does here."""
_STEERING: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What turns the direction of all that follows until it is taken back (UAX #9, 2)."""
_JOINERS: Final = frozenset("\u200c\u200d")
"""What scripts need between letters; it moves nothing."""


def plain_signs(text: str) -> str:
    """The text without signs that steer; line feeds stay.

    Other signs for blanks and ends of lines become a space; those that no reader can see and
    that set bells, colours or directions, or are half a character, a question mark. Marks that
    a script needs (joiners, right-to-left marks) stay.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_plain, re.sub(_BLANKS, " ", text)))


def on_one_title(text: str) -> str:
    """`plain_signs` on one line, as a window or a file shows it for its title."""
    return plain_signs(text).replace("\n", " ")


def terminal_signs(text: str) -> str:
    """`plain_signs` as a terminal takes them; line feeds stay.

    Terminals differ in what they do with the other signs of format (marks of direction, blanks
    without width): each becomes a question mark, but for joiners.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        "?" if unicodedata.category(sign) == "Cf" and sign not in _JOINERS else sign
        for sign in plain_signs(text)
    )


def json_for_terminal(text: str) -> str:
    """JSON that means the same, with each sign that `terminal_signs` would replace as an escape."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return "".join(
        # Only within a string can such a sign stand: between values JSON has blanks alone.
        json.dumps(sign)[1:-1] if terminal_signs(sign) != sign else sign
        for sign in text
    )


def _plain(sign: str) -> str:
    if sign == "\n":
        return sign
    steers = sign in _STEERING or unicodedata.category(sign) in ("Cc", "Cs")
    return "?" if steers else sign


def packed_json(record: Any) -> bytes:
    """A record, or groups and lists that may hold raw JSON, in the fewest bytes.

    Raises:
        ValueError: a number in it is not finite, which is a fault of the program.
        UnicodeEncodeError: a text in it holds a lone surrogate, which UTF-8 cannot write.
    """
    import msgspec  # a bag is read, and the window starts, without it

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
    else:
        for key in getattr(value, "__struct_fields__", ()):  # which records of msgspec have
            _require_finite(getattr(value, key), key)


def is_text(path: str) -> bool:
    """Whether a path can be written as UTF-8 and read back as it is."""
    return path == path.encode(errors="ignore").decode()


def encoded(path: str) -> str:
    """The bytes of a path, percent-encoded (RFC 3986, 2.1); a ValueError: no system has such."""
    return quote_from_bytes(os.fsencode(path))


def decoded(text: str) -> str:
    """The path that `encoded` has written so."""
    return os.fsdecode(unquote_to_bytes(text))


def shown(path: Path | str) -> str:
    """A path or name to be read: U+FFFD, the sign for it, stands for what is no UTF-8."""
    return os.fsencode(path).decode(errors="replace")


def printable(text: str) -> str:
    """A text of a file as part of a message: on one line, and not a long one."""
    return on_one_line(text if len(text) <= 80 else text[:77] + "...")


def on_one_line(text: str) -> str:
    """A text without the signs that would break or steer a line."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)
