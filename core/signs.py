"""Foreign text made fit to stand on a page, in a cell or on a terminal: signs only, no orders."""

import json
import re
import unicodedata
from typing import Final

_BLANKS: Final = re.compile("\r\n|[\t\r\v\f\x85\u2028\u2029]")
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
    return "".join(map(_plain, _BLANKS.sub(" ", text)))


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
    return "".join("?" if _is_format(sign) else sign for sign in plain_signs(text))


def json_for_terminal(text: str) -> str:
    """JSON that means the same, with each sign that `terminal_signs` would replace as an escape."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return "".join(
        # Only within a string can such a sign stand: between values JSON has blanks alone.
        json.dumps(sign)[1:-1] if terminal_signs(sign) != sign else sign
        for sign in text
    )


def _is_format(sign: str) -> bool:
    return unicodedata.category(sign) == "Cf" and sign not in _JOINERS


def _plain(sign: str) -> str:
    if sign == "\n":
        return sign
    steers = sign in _STEERING or unicodedata.category(sign) in ("Cc", "Cs")
    return "?" if steers else sign
