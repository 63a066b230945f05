"""Lengths where they meet a person: read, written, put on the ruler.

The model holds millimetres as floats. Arithmetic that decides a text or a rounding is done with
fractions and turned into a float once, at the end, so that 18 1/2 in, 18.5 in and 46.99 cm are the
same float. What a key asks a hundred times reckons with their tops and bottoms as they are, which
is a tenth of the work.
"""

import math
import re
from decimal import Context, Decimal
from enum import Enum
from fractions import Fraction
from functools import lru_cache
from typing import Final, NamedTuple
from unicodedata import normalize

from core.base.sentences import MINUS, mark

MM_PER_INCH: Final = 25.4
"""Exact: international yard and pound agreement, 1 July 1959 (1 yd = 0.9144 m)."""

LONGEST_TEXT: Final = 64
"""Characters that `parse_length` reads; also the bound on the size of its numbers."""

NEAR: Final = "\u2248"
"""Before a length between two marks of the ruler, with a space; `parse_length` passes over it."""

NO_BREAK: Final = "\u00a0"
"""A space at which no line ends; `parse_length` takes it as any other."""

_INCH = Fraction(127, 5)
_SIXTY_FOURTH = _INCH / 64


class Unit(Enum):
    """The unit in which a bag is shown and typed; it never changes the bag."""

    __hash__ = object.__hash__  # that of an Enum is Python code, and is asked at every length
    INCH = "in"
    MM = "mm"
    CM = "cm"

    @property
    def mm(self) -> float:
        """Millimetres in one of it."""
        return float(_UNIT_WORDS[self.value])

    @property
    def label(self) -> str:
        """What stands after a number: in, mm, cm."""
        return self.value


_UNIT_WORDS: Final = {
    **dict.fromkeys(("in", "in.", "inch", "inches", '"', "″", "”"), _INCH),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}


SUCH_AS = mark("type a length such as 18 1/2, 18.5 or 47 cm")
TOO_LONG = mark("keep the length to {limit} characters or fewer")
POINT_NOT_COMMA = mark("write the decimals with a point, {number}, not a comma")
NO_COMMA = mark("write {plain}, or {number} for decimals, without a comma")
ONE_NUMBER = mark("write one number without commas, as in 47.5 or 1250")
PLAIN_DIGITS = mark("write the number in the digits 0 to 9, as in 18 1/2 or 18.5")
BOTTOM_ABOVE_ZERO = mark("give the fraction a bottom number above 0, as in 3/8")
BELOW_ONE = mark("keep the fraction after a whole number below 1, as in 18 1/2")
ONE_FRACTION = mark("write one whole number and one fraction, as in 18 1/2")
ONE_KIND = mark("write either decimals, as in 18.5, or a fraction, as in 18 1/2")
KNOWN_UNIT = mark("end the length with in, cm, mm or m, not {unit}")
TOO_LARGE = mark("type a smaller number that can be a length, such as 18 1/2")
TOO_SMALL = mark("type 0 or a larger number that can be a length, such as 1/8")

LENGTH_RULES: Final = (
    *(SUCH_AS, TOO_LONG, POINT_NOT_COMMA, NO_COMMA, ONE_NUMBER, PLAIN_DIGITS),
    *(BOTTOM_ABOVE_ZERO, BELOW_ONE, ONE_FRACTION, ONE_KIND, KNOWN_UNIT, TOO_LARGE, TOO_SMALL),
)
"""Every phrase of a `LengthTextError`, with its gaps: the keys for translation."""


class LengthTextError(ValueError):
    """A text that is no length. `str()` is one phrase that can follow "Panel width: ".

    Attributes:
        template: one of `LENGTH_RULES`.
        words: gap -> text.
    """

    def __init__(self, template: str, **words: str) -> None:
        self.template = template
        self.words = words
        super().__init__(template.format(**words))


_VULGAR: Final = {
    ord(sign): normalize("NFKC", sign).replace("\u2044", "/") for sign in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
}
_VULGAR_CLASS = "[" + "".join(map(chr, _VULGAR)) + "]"
# `re` compiles and keeps what texts are read by when the first is typed: no start waits for it.
# A vulgar fraction touching a digit is a number of its own: 18½ is 18 1/2, and ½5 is no length.
_VULGAR_EDGE = rf"(?<=[0-9])(?={_VULGAR_CLASS})|(?<={_VULGAR_CLASS})(?=[0-9])"
_SAME_SIGN: Final = str.maketrans({"\u2044": "/", "\u2212": "-", "\u2010": "-", "\u2011": "-"})
_UNIT_END = r"[ ]?(?P<unit>[iI][nN]\.|[^\W\d_]+|[\"'″”′]+)?"
_DECIMAL = (
    r"(?P<sign>[+-]?)(?P<number>[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE](?P<power>[+-]?[0-9]+))?"
    + _UNIT_END
)
_FRACTION = r"(?P<sign>[+-]?)(?:(?P<whole>[0-9]+)[ -])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)"
_FRACTION += _UNIT_END
_NEAR = rf"^[{NEAR}~] ?"
_NUMBER = r"\+?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_COMMA = r"[+-]?(?P<before>[0-9]+),(?P<after>[0-9]+)(?![0-9,./]).*"
# Beyond this power of ten even 64 digits cannot bring a number back among the floats.
_LARGEST_POWER = 400


def parse_length(text: str, *, unit: Unit) -> float:
    """Read a length as a maker types it, mm.

    A whole number, decimals, or a whole number and a fraction (18 1/2, 18-1/2, 18 ½, 18½), then
    in, inch, inches, ", mm, cm, m or nothing: a bare number is in `unit`. The float is the one
    nearest to the exact value. A power of ten (1e-9) is read too, because `format_exact` needs it
    for the largest and smallest floats. `NEAR` or a tilde before a length says nothing. Anything
    else is refused by a LengthTextError (a ValueError).
    """
    return nearest_float(exact_length(text, unit=unit))


def exact_length(text: str, *, unit: Unit) -> Fraction:
    """What `parse_length` reads, mm, before it becomes a float; raises the same."""
    plain = plain_text(text)
    if found := re.fullmatch(_DECIMAL, plain):
        size = _decimal(found["number"], found["power"])
    elif found := re.fullmatch(_FRACTION, plain):
        size = _mixed(found["whole"], found["top"], found["bottom"])
    else:
        raise _complaint(plain)
    word = found["unit"] or unit.value
    if word.lower() not in _UNIT_WORDS:
        raise LengthTextError(KNOWN_UNIT, unit=word)
    length = size * _UNIT_WORDS[word.lower()]
    return -length if found["sign"] == "-" else length


def parse_number(text: str) -> float | None:
    """Read a number from 0 up, in the digits 0 to 9 and with a point; None for anything else.

    `float` reads more: 1_000, and the digits of any script.
    """
    plain = text.strip()
    if not re.fullmatch(_NUMBER, plain):
        return None
    number = float(plain)
    mantissa, _, _ = plain.lower().partition("e")
    vanished = not number and any(digit in mantissa for digit in "123456789")
    return number if math.isfinite(number) and not vanished else None


def plain_text(text: str) -> str:
    """A length's text in ASCII signs, and single spaces, fractions spelled out."""
    stripped = text.strip()
    if len(stripped) > LONGEST_TEXT:
        raise LengthTextError(TOO_LONG, limit=str(LONGEST_TEXT))
    spaced = " ".join(re.sub(_VULGAR_EDGE, " ", stripped).split())
    plain = re.sub(_NEAR, "", spaced.translate(_VULGAR).translate(_SAME_SIGN))
    if any(sign.isnumeric() and not sign.isascii() for sign in plain):
        raise LengthTextError(PLAIN_DIGITS)
    return plain


def _decimal(number: str, power: str | None) -> Fraction:
    tens = int(power or 0)
    if tens > _LARGEST_POWER:
        raise LengthTextError(TOO_LARGE)
    if tens < -_LARGEST_POWER:
        raise LengthTextError(TOO_SMALL)
    return Fraction(number) * Fraction(10) ** tens


def _mixed(whole: str | None, top: str, bottom: str) -> Fraction:
    if int(bottom) == 0:
        raise LengthTextError(BOTTOM_ABOVE_ZERO)
    part = Fraction(int(top), int(bottom))
    if whole is not None and part >= 1:
        raise LengthTextError(BELOW_ONE)
    return int(whole or 0) + part


def nearest_float(size: Fraction) -> float:
    """The float nearest to a size; a LengthTextError: none is so large, or so near to 0."""
    try:
        length = float(size)
    except OverflowError:
        raise LengthTextError(TOO_LARGE) from None
    if size and not length:
        raise LengthTextError(TOO_SMALL)
    return length


def _complaint(plain: str) -> LengthTextError:
    """What to say about a text that has the shape of no length."""
    if found := re.fullmatch(_COMMA, plain):
        return _comma_complaint(found["before"], found["after"])
    if not any(sign.isdigit() for sign in plain):
        return LengthTextError(SUCH_AS)
    if "," in plain:
        return LengthTextError(ONE_NUMBER)
    if plain.count("/") > 1:
        return LengthTextError(ONE_FRACTION)
    if "/" in plain and "." in plain:
        return LengthTextError(ONE_KIND)
    return LengthTextError(SUCH_AS)


def _comma_complaint(before: str, after: str) -> LengthTextError:
    # 1,250 may be one thousand or one and a quarter: only the maker knows.
    if len(after) == 3 and len(before) <= 3 and not before.startswith("0"):
        return LengthTextError(NO_COMMA, plain=before + after, number=f"{before}.{after}")
    return LengthTextError(POINT_NOT_COMMA, number=f"{before}.{after}")


# One part of so many of a mm: beside a 64th of an inch it is at it, and alone it is 0 mm.
_ON_GRID = 1_000_000
_IS_NOTHING = 2000
# Above this, mm, floats drift towards the grid's own spacing: decimals.
_LARGEST_FRACTION = 1e7
_PLAIN_PLACES = range(-7, 16)


def format_length(mm: float, *, unit: Unit, step: float | None = None, suffix: bool = True) -> str:
    """What a person reads: 18 1/2 in, 470 mm, 47 cm; ≈ 18 1/2 in for what is only near.

    Inches are a reduced fraction when `mm` lies within 1e-6 mm of a 64th, otherwise `NEAR` and the
    nearest multiple of `step` (mm, default 1/16 in; a step that is no binary fraction of an inch
    cannot be read off an inch ruler and gives 1/16 in too). Millimetres and centimetres are
    rounded to 0.1 mm, below 1 mm to 0.01 mm; `step` does not matter.

    What is not 0 never reads as 0: where the step or the hundredth would make it so, it is the
    nearest 64th of an inch, or one digit of it (of mm or cm two) where that is 0 too; only what is
    less than 0.0005 mm is 0 mm. A minus is `MINUS`, after the `NEAR`. A ValueError where
    `mm` is not finite, or `step` is not above 0.
    """
    top, bottom = _ratio(mm)
    size = abs(top)
    if unit is Unit.INCH:
        count, parts = _inches(size, bottom, step)
        text = _fraction_text(count, parts)
        is_near = not _is_at(size, bottom, count, parts)
        is_nothing = not count and not is_near
    else:
        count, is_near = _hundredths(size, bottom), False
        text = _decimals(count, 2 if unit is Unit.MM else 3)
        is_nothing = size * _IS_NOTHING <= bottom
    if not count and not is_nothing:
        text = _small(Fraction(size, bottom), unit)
    sign = MINUS if top < 0 and not is_nothing else ""
    return f"{f'{NEAR} ' if is_near else ''}{sign}{text}{f' {unit.value}' if suffix else ''}"


_WITHIN = re.compile(
    r"(?<=[0-9]) (?=[0-9]+/[0-9]|[¼½¾⅓⅔⅛⅜⅝⅞]|[⁰¹²³⁴-⁹]+\u2044)"
    r"|(?<=[0-9¼½¾⅓⅔⅛⅜⅝⅞₀-₉]) (?=(?:in(?! all\b)|mm|cm|m|yd|L|qt|cu in|lb|oz|kg|g)\b)"
    rf"|(?<={NEAR}) (?=[+{MINUS}]?[0-9¼½¾⅓⅔⅛⅜⅝⅞⁰¹²³⁴-⁹])"
)
"""The spaces within an amount: behind its mark, before fraction and unit."""


def unbroken(text: str) -> str:
    """The text with each amount in it in one piece, so that no line ends within 18 1/2 in."""
    return _WITHIN.sub(NO_BREAK, text)


def format_exact(mm: float, *, unit: Unit) -> str:
    """A text that `parse_length` turns back into the very same float, unit included.

    Inches are a fraction on the grid of 64ths; off it, the shorter of decimal inches and
    millimetres (18.3 in, but 470 mm). A ValueError where `mm` is not finite.
    """
    # repr gives the shortest decimal that reads back as the same float.
    shortest = Decimal(repr(float(_finite(mm))))
    in_mm = f"{_digits(shortest)} mm"
    if unit is Unit.MM:
        return in_mm
    if unit is Unit.CM:
        return f"{_digits(shortest.scaleb(-1))} cm"
    grid = round(Fraction(mm) / _SIXTY_FOURTH) * _SIXTY_FOURTH
    if abs(mm) <= _LARGEST_FRACTION and float(grid) == mm:
        return f"{_fraction_text(*(grid / _INCH).as_integer_ratio())} in"
    in_inches = f"{_digits(_shortest_inches(mm))} in"
    return in_inches if len(in_inches) <= len(in_mm) else in_mm


def _ratio(mm: float) -> tuple[int, int]:
    """The shortest decimal of a length (mm) as top and bottom of a fraction, the bottom above 0."""
    return Decimal(repr(float(_finite(mm)))).as_integer_ratio()


def _is_at(top: int, bottom: int, count: int, parts: int) -> bool:
    """Whether a length, `top / bottom` mm, stands at `count / parts` in."""
    return abs(5 * parts * top - 127 * count * bottom) * _ON_GRID <= 5 * parts * bottom


def _inches(top: int, bottom: int, step: float | None) -> tuple[int, int]:
    """What inches show of a length, `top / bottom` mm: top and bottom of so many inches."""
    count = _nearest(320 * top, 127 * bottom)
    if _is_at(top, bottom, count, 64):
        return count, 64
    ruler = _SIXTEENTH if step is None else _ruler(step)
    if ruler.inches.denominator.bit_count() > 1:
        ruler = _SIXTEENTH
    return ruler.inches.numerator * _marks(top, bottom, ruler), ruler.inches.denominator


def _hundredths(top: int, bottom: int) -> int:
    """What mm and cm show of a length, `top / bottom` mm, in hundredths of a mm."""
    if top >= bottom:
        return 10 * _nearest(10 * top, bottom)
    return _nearest(100 * top, bottom) if 100 * top >= bottom else 0


def _small(size: Fraction, unit: Unit) -> str:
    """A length (mm, above 0) that is too small for the ruler, without its unit."""
    grid = _nearest(*(size / _SIXTY_FOURTH).as_integer_ratio())
    if unit is Unit.INCH and grid:
        return _fraction_text(grid, 64)
    exact = size / _UNIT_WORDS[unit.value]
    digit = Context(prec=1 if unit is Unit.INCH else 2).divide(
        Decimal(exact.numerator), Decimal(exact.denominator)
    )
    return f"{digit.normalize():f}"


def _fraction_text(top: int, bottom: int) -> str:
    whole, rest = divmod(abs(top), bottom)
    sign = "-" if top < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    common = math.gcd(rest, bottom)
    return f"{sign}{f'{whole} ' if whole else ''}{rest // common}/{bottom // common}"


def _decimals(count: int, places: int) -> str:
    """A whole number of parts, ten to the `places` in one, as decimals without trailing zeros."""
    whole, rest = divmod(count, 10**places)
    return f"{whole}.{rest:0{places}d}".rstrip("0").rstrip(".")


def _digits(size: Decimal) -> str:
    """All digits of a decimal; with a power of ten only when it is very large or small."""
    if not size:
        return "0"
    short = size.normalize()
    return f"{short:f}" if short.adjusted() in _PLAIN_PLACES else f"{short:e}"


def _shortest_inches(mm: float) -> Decimal:
    """The decimal inches with fewest digits that are the float `mm` again.

    17 digits always do: they lie closer together than floats do.
    """
    inches = Fraction(mm) / _INCH
    for digits in range(1, 17):
        near = Context(prec=digits).divide(Decimal(inches.numerator), Decimal(inches.denominator))
        if _reads_as(near, mm):
            return near
    return Context(prec=17).divide(Decimal(inches.numerator), Decimal(inches.denominator))


def _reads_as(inches: Decimal, mm: float) -> bool:
    try:
        return float(Fraction(inches) * _INCH) == mm
    except OverflowError:  # rounded up beyond the largest float
        return False


# A computed half step is this near to the true one (mm); it must not fall the other way.
_TIE = Fraction(1, 10**9)


def round_to_step(mm: float, step: float) -> float:
    """The multiple of `step` (mm) nearest to `mm`; a half goes away from 0.

    A step that is a binary fraction of an inch counts as exactly that, so the result is the very
    float that `parse_length` reads from the fraction. A ValueError where `mm` or `step` is not
    finite, `step` is not above 0, or the result is too large for a float.
    """
    (top, bottom), ruler = _ratio(mm), _ruler(step)
    count = _marks(abs(top), bottom, ruler)
    return nearest_float(ruler.mm * (count if top > 0 else -count))


def ruler_steps(unit: Unit) -> tuple[float, ...]:
    """The steps marked on a ruler of this unit, mm, finest first."""
    return _INCH_STEPS if unit is Unit.INCH else (1.0, 5.0, 10.0)


_INCH_STEPS = tuple(float(_INCH / parts) for parts in (16, 8, 4))


def default_step(unit: Unit) -> float:
    """The step to cut by until the maker chooses one, mm: 1/8 in or 1 mm."""
    return float(_INCH / 8) if unit is Unit.INCH else 1.0


class _Ruler(NamedTuple):
    """A ruler step; `lift` of one is added before what is over is cut off: a half, and a hair."""

    mm: Fraction
    inches: Fraction
    lift: Fraction


@lru_cache(maxsize=64)
def _ruler(step: float) -> _Ruler:
    """The step without its float rounding: 1024ths of an inch, else the shortest decimal."""
    if not (math.isfinite(step) and step > 0):
        raise ValueError("take a ruler step above 0, such as 1/8 in or 1 mm")
    fine = _INCH / 1024
    grid = round(Fraction(step) / fine) * fine
    mm = grid if grid and abs(Fraction(step) - grid) <= _TIE else as_written(step)
    return _Ruler(mm, mm / _INCH, Fraction(1, 2) + min(_TIE / mm, Fraction(1, 100)))


_SIXTEENTH = _ruler(float(_INCH / 16))


def _marks(top: int, bottom: int, ruler: _Ruler) -> int:
    """How many steps of a ruler lie nearest to a length, `top / bottom` mm, 0 or more."""
    (mm, parts), (lift, whole) = ruler.mm.as_integer_ratio(), ruler.lift.as_integer_ratio()
    step = bottom * mm
    return (top * parts * whole + lift * step) // (whole * step)


def _nearest(top: int, bottom: int) -> int:
    """The whole number nearest to `top / bottom`, 0 or more; a half goes up."""
    return (2 * top + bottom) // (2 * bottom)


def as_written(size: float) -> Fraction:
    """The shortest decimal of a float: 18 3/16 in is 461.9625 mm, the float only near it."""
    return Fraction(Decimal(repr(float(size))))


def _finite(size: float) -> float:
    if not math.isfinite(size):
        raise ValueError("give a finite number, not nan or inf")
    return size
