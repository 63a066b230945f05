"""Setting texts for print: fractions as one figure, signs that a face lacks."""

import re
from collections.abc import Container

from core.paper.lettering import with_fractions
from core.signs import plain_signs
from core.units import unbroken

_PROPER = re.compile(r"(?<![\d/.])(\d{1,2})/(\d{1,2})(?![\d/.])")


def set_fractions(text: str) -> str:
    """Fractions of a length as one figure, its lengths unbroken; a needle's 90/14 stays."""
    return unbroken(_PROPER.sub(_one, text))


def sentence_start(text: str) -> str:
    """A sentence with a capital, also where it begins with the name of goods."""
    return text[:1].upper() + text[1:]


def _one(found: re.Match[str]) -> str:
    return with_fractions(found[0]) if int(found[1]) < int(found[2]) else found[0]


def legible(text: str, known: Container[int]) -> str:
    """Every sign that a face lacks as a question mark: it would be left out silently."""
    plain = plain_signs(text)
    return "".join(sign if ord(sign) in known or sign == "\n" else "?" for sign in plain)
