"""Typed texts read a second time, by what the help and the README promise.

Written from their words with exact fractions and one plain pattern for each kind, and with nothing
of the program: where the two readings differ, one of them is wrong. None stands for a text
that must be refused.
"""

import re
from collections.abc import Callable
from fractions import Fraction
from unicodedata import numeric

INCH = Fraction(254, 10)
"""mm, exactly: international yard and pound agreement, 1 July 1959."""
QUART = Fraction(231, 4) * INCH**3 / 10**6
"""Litres: a US liquid quart is a quarter of the gallon of 231 cu in (NIST Handbook 44,
Appendix C)."""
POUND = Fraction(45_359_237, 10**8)
"""Kilograms, exactly: the same agreement."""
MM_IN = {
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”"), INCH),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
LITRES_IN = {
    **dict.fromkeys(("", "l", "litre", "litres", "liter", "liters"), Fraction(1)),
    **dict.fromkeys(("qt", "quart", "quarts"), QUART),
    **dict.fromkeys(("cu in", "in3", "in³"), INCH**3 / 10**6),
    "ml": Fraction(1, 1000),
}
MOST_SIGNS = 64
LARGEST = Fraction(2) ** 1024
"""The first size beyond a float (IEEE 754, binary64)."""
SMALLEST = Fraction(1, 2**1075)
"""A size that a float holds as nothing."""

_VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
_LENGTH = re.compile(
    rf"""[ ]*(?:[≈~][ ]?)?(?P<sign>[-+\u2212\u2010\u2011]?)
    (?: (?P<decimal>[0-9]+[.]?[0-9]*|[.][0-9]+) (?:e(?P<power>[-+\u2212\u2010\u2011]?[0-9]+))?
      | (?:(?P<whole>[0-9]+)[-\u2010\u2011\u2212 ])? (?P<top>[0-9]+)[/⁄](?P<bottom>[0-9]+)
      | (?:(?P<before>[0-9]+)[-\u2010\u2011\u2212 ]?)? (?P<vulgar>[{_VULGAR}]) )
    [ ]? (?P<unit>in[.]?|inch|inches|"|″|”|mm|cm|m)? [ ]*""",
    re.VERBOSE | re.IGNORECASE,
)
_NUMBER = re.compile(
    r"[ ]*[+]?(?:[0-9]+[.]?[0-9]*|[.][0-9]+)(?:e[-+]?[0-9]{1,3})?[ ]*", re.IGNORECASE
)
_VOLUME = re.compile(r"[ ]*(?P<number>[0-9]+[.]?[0-9]*|[.][0-9]+)[ ]?(?P<unit>[^0-9]*)")


def length(text: str, unit: str) -> Fraction | None:
    """The length that a text means, mm; a bare number is in `unit`: in, mm or cm.

    A whole number, decimals with a point, a fraction, or a whole number and a fraction below 1
    with a space or a hyphen between; then a unit or none. A mark for "near" may stand before it.
    """
    found = _LENGTH.fullmatch(re.sub(r"\s+", " ", text.strip()))
    if found is None or len(text.strip()) > MOST_SIGNS:
        return None
    size = _size(found)
    if size is None:
        return None
    mm = size * MM_IN[(found["unit"] or unit).lower()]
    if not 0 <= mm < LARGEST or 0 < mm <= SMALLEST:
        return None
    return mm if found["sign"] in ("", "+") else -mm


def _size(found: re.Match[str]) -> Fraction | None:
    """The number of a length, without sign and unit."""
    if found["decimal"]:
        power = int(re.sub("[\u2212\u2010\u2011]", "-", found["power"] or "0"))
        return Fraction(found["decimal"]) * Fraction(10) ** power if abs(power) <= 400 else None
    if found["vulgar"]:
        part = Fraction(numeric(found["vulgar"])).limit_denominator(10)
        return int(found["before"] or 0) + part
    if not int(found["bottom"]):
        return None
    part = Fraction(int(found["top"]), int(found["bottom"]))
    if found["whole"] is None:
        return part
    return int(found["whole"]) + part if part < 1 else None


Read = Callable[[str], Fraction | None]
"""What one number of a kind means, unit included."""

_PLAIN_NUMBER = re.compile(
    r"(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)|[0-9]+[.]?[0-9]*|[.][0-9]+"
)


def field(text: str, read: Read, stands: Fraction | None, shown: str = "") -> Fraction | None:
    """What a text means in a field: a value, a sum, or a change of what stands there.

    Args:
        text: as it is typed.
        read: of one number.
        stands: what a change starts from; None where there is nothing.
        shown: the field's text before; a sign after it changes what stands.
    """
    plain = re.sub(r"\s+", " ", text.strip())
    rest = plain.removeprefix(shown).strip()
    if shown and stands is not None and plain.startswith(shown) and rest[:1] in tuple("+-*/×÷"):
        plain = rest
    if len(plain) > MOST_SIGNS:
        return None
    front = plain[:1]
    if front == "=":
        return _sum(plain[1:].strip(), read, None)
    if front == "\u2212":
        return _sum("-" + plain[1:], read, None)
    plain = re.sub("[\u2010\u2011]", "-", plain)
    if plain.endswith("%") or front in tuple("*×/÷"):
        return None if stands is None else _scaled(plain, stands)
    if plain[:1] in ("+", "-"):
        return None if stands is None else _sum(plain, read, stands)
    return _sum(plain, read, None)


def _sum(plain: str, read: Read, stands: Fraction | None) -> Fraction | None:
    """Numbers with a plus, or a minus between blanks; a power of ten keeps its plus."""
    signed = re.sub(r"(?<=[0-9][eE])\+", "", plain)
    signed = signed if signed[:1] in ("+", "-") else f"+{signed}"
    parts = re.split(r" ([-\u2212]) | ?(\+) ?", signed[1:])
    words = [signed[0], *(part for part in parts if part is not None)]
    total = stands or Fraction(0)
    for sign, word in zip(words[::2], words[1::2], strict=True):
        size = None if word.strip()[:1] in ("+", "-", "\u2212", "") else read(word.strip())
        if size is None:
            return None
        total += size if sign == "+" else -size
    return total if abs(total) < LARGEST and not 0 < abs(total) <= SMALLEST else None


def _scaled(plain: str, stands: Fraction) -> Fraction | None:
    """So many times what stands, or a share of it, or a share more or less."""
    share = Fraction(1, 100) if plain.endswith("%") else Fraction(1)
    front = plain[0] if plain[0] in "*×/÷+-" else ""
    number = re.sub(_VULGAR_AFTER, r" \g<0>", plain.removesuffix("%")[len(front) :].strip()).strip()
    number = re.sub(f"[{_VULGAR}]", lambda sign: _spelled(sign[0]), number)
    found = _PLAIN_NUMBER.fullmatch(number)
    if found is None:
        return None
    if found["bottom"] is None:
        size = Fraction(number)
    elif not int(found["bottom"]):
        return None
    else:
        part = Fraction(int(found["top"]), int(found["bottom"]))
        if found["whole"] is not None and part >= 1:
            return None
        size = int(found["whole"] or 0) + part
    size *= share
    if front in ("/", "÷"):
        return stands / size if size and "/" not in number else None
    return stands * {"+": 1 + size, "-": 1 - size}.get(front, size)


_VULGAR_AFTER = re.compile(rf"(?<=[0-9])[{_VULGAR}]")


def _spelled(vulgar: str) -> str:
    part = Fraction(numeric(vulgar)).limit_denominator(10)
    return f"{part.numerator}/{part.denominator}"


def count(text: str) -> Fraction | None:
    """A count of pieces: a whole number of up to six digits."""
    return Fraction(text) if re.fullmatch(r"\s*[-+]?[0-9]{1,6}\s*", text) else None


def volume(text: str) -> Fraction | None:
    """The volume that a text means, litres; a bare number is in litres."""
    found = _VOLUME.fullmatch(re.sub(r"\s+", " ", text.strip()))
    if found is None or found["unit"].lower() not in LITRES_IN:
        return None
    if any(len(digits) > 12 for digits in found["number"].split(".")):
        return None
    return Fraction(found["number"]) * LITRES_IN[found["unit"].lower()]


def number(text: str) -> Fraction | None:
    """A number from 0 up, in the digits 0 to 9, with a point for decimals."""
    if not _NUMBER.fullmatch(text):
        return None
    size = Fraction(text.strip())
    return size if size == 0 or SMALLEST < size < LARGEST else None


def percentage(text: str) -> Fraction | None:
    """A share typed as a percentage, with or without its sign, as a part of 1."""
    size = number(text.strip().removesuffix("%"))
    return None if size is None else size / 100


def number_with_comma(text: str) -> Fraction | None:
    """A number from 0 up whose decimals may stand after a comma.

    A comma before three digits may part thousands, and is refused.
    """
    return None if re.search(r",[0-9]{3}(?![0-9])", text) else number(text.replace(",", "."))


def lengths(text: str, unit: str) -> tuple[Fraction, ...] | None:
    """Lengths with a semicolon, or a comma and a space, between them; ascending, each once."""
    parts = [length(part, unit) for part in re.split(r";|,\s", text) if part.strip()]
    found = [part for part in parts if part is not None]
    return tuple(sorted(set(found))) if len(found) == len(parts) else None


def shown_length(text: str, unit: str) -> tuple[Fraction, bool]:
    """What a length reads as where the program shows it, mm, and whether it is marked as near.

    Raises:
        AssertionError: it reads as none.
    """
    found = length(text, unit)
    assert found is not None, f"shown, and no length: {text!r}"
    return found, text.startswith("≈")
