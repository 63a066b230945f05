"""Foreign text made fit to stand on a page, in a title or in a cell: signs only, no orders."""

import re
import unicodedata
from typing import Final

_BLANKS: Final = re.compile("\r\n|[\t\r\v\f\x85\u2028\u2029]")
"""What moves the place of writing: a plain space does here."""
_STEERING: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What turns the direction of all that follows until it is taken back (UAX #9, 2)."""


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


def _plain(sign: str) -> str:
    if sign == "\n":
        return sign
    steers = sign in _STEERING or unicodedata.category(sign) in ("Cc", "Cs")
    return "?" if steers else sign
