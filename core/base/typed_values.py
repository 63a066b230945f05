"""What is typed in a field: a value, a sum of values, or a change of the value that stands there.

A sign at the front changes what stands: `+2 cm`, `-1/2`, `*0.7`, `/2`, `70 %`, `+10 %`. With none
it is a value or a sum: `18 1/2`, `18 + 1/2`, `18 1/2 in - 2 cm`. An `=` at the front, or the long
minus in which lengths are written, makes a value of what a sign would make a change: `=-1/2`.
A minus between two numbers takes away only with blanks around it, since 18-1/2 is a mixed number.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from core.base.quantities import SUCH_AS as SUCH_A_VOLUME
from core.base.quantities import parse_volume
from core.base.sentences import MINUS, mark
from core.base.units import (
    LENGTH_RULES,
    LengthTextError,
    Unit,
    as_written,
    exact_length,
    nearest_float,
    plain_text,
)

NO_CHANGE = mark("type the value itself here, not a change of it")
SPACED_MINUS = mark("put a space on both sides of the minus to take away, as in 18 - 1/2")
ONE_SIGN = mark("put one sign before each number, as in +2 or 18 - 1/2")
ONE_CHANGE = mark("type one change at a time, such as +2 cm, *0.7, /2 or 70 %")
FACTOR = mark("multiply by one number without a unit, as in *0.7 or *2/3")
DIVISOR = mark("divide by one number above 0 without a unit, as in /2 or /1.5")
PERCENTAGE = mark("type one number before the %, as in 70 % or +10 %")
WHOLE_NUMBER = mark("type a whole number, such as 3")


Operand = Callable[[str], tuple[Fraction, str]]
"""Reads one number without a sign, unit included: its size, and its text with the unit written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoning:
    """What a text comes to, and how.

    Attributes:
        value: mm, litres or pieces.
        stood: what it started from; None for a value or a sum that needs nothing to start from.
        steps: (sign, number) in order, as they are read: ("+", "2 cm"), ("×", "0.7"); the first
            of a sum has no sign, and "%" stands for a share of what stood.
    """

    value: float
    stood: float | None
    steps: tuple[tuple[str, str], ...]

    @property
    def is_plain(self) -> bool:
        """Whether a value was typed, so that there is nothing to tell."""
        return self.stood is None and len(self.steps) == 1


def reckon_length(text: str, *, unit: Unit, stands: float | None) -> Reckoning:
    """Read a length, mm; a LengthTextError where it means none.

    Args:
        text: as it is typed; bare numbers are in `unit`.
        unit: in which the field is shown.
        stands: the length that a change starts from, mm; None where there is none.
    """

    def operand(part: str) -> tuple[Fraction, str]:
        bare = part[-1:].isdigit() or (part.endswith(".") and part[-2:-1].isdigit())
        return exact_length(part, unit=unit), f"{part} {unit.label}" if bare else part

    return _reckon(text, operand, stands)


def reckon_volume(text: str, *, stands: float | None) -> Reckoning:
    """Read a volume, litres; bare numbers are litres, `stands` is what a change starts from.

    A LengthTextError where it means none.
    """

    def operand(part: str) -> tuple[Fraction, str]:
        try:
            size = parse_volume(part)
        except ValueError:
            raise LengthTextError(SUCH_A_VOLUME) from None
        return as_written(size), part if part[-1:].isalpha() or part.endswith("³") else f"{part} L"

    return _reckon(text, operand, stands)


_COUNT = re.compile(r"[0-9]{1,6}")
"""Beyond six digits no count of pieces can be meant."""
_MOST = 999_999


def reckon_count(text: str, *, stands: float | None) -> Reckoning:
    """Read a count of pieces; `stands` is what a change starts from.

    A LengthTextError where it means none, or no whole number.
    """

    def operand(part: str) -> tuple[Fraction, str]:
        # int() also reads "1_000" and the digits of any script.
        if not _COUNT.fullmatch(part):
            raise LengthTextError(WHOLE_NUMBER)
        return Fraction(int(part)), part

    try:
        found = _reckon(text, operand, stands)
    except LengthTextError as error:
        raise (LengthTextError(WHOLE_NUMBER) if error.template in LENGTH_RULES else error) from None
    if not found.value.is_integer() or abs(found.value) > _MOST:
        raise LengthTextError(WHOLE_NUMBER)
    return found


_SIGNS: Final = {"+": "+", "-": MINUS}
# A plus of a power of ten (1e+5) adds nothing; a minus takes away only between blanks.
_BETWEEN = re.compile(r"(?<=\S)(?: (?P<minus>-) | ?(?<![0-9][eE])(?P<plus>\+) ?)(?=\S)")
_LOOSE_MINUS = re.compile(r"\S ?- ?\S")
_TIMES, _OVER = "*×", "/÷"


def _reckon(text: str, operand: Operand, stands: float | None) -> Reckoning:
    written_minus = text.lstrip().startswith(MINUS)
    plain = plain_text(text)
    front, rest = plain[:1], plain[1:].lstrip()
    if front == "=" or written_minus:
        return _summed(rest if front == "=" else plain, operand, None)
    is_change = front in ("+", "-", *_TIMES, *_OVER) or plain.endswith("%")
    if not is_change:
        return _summed(plain, operand, None)
    if stands is None:
        raise LengthTextError(NO_CHANGE)
    if plain.endswith("%"):
        return _shared(plain, stands)
    if front in _TIMES:
        return _scaled(rest, stands, FACTOR)
    if front in _OVER:
        return _scaled(rest, stands, DIVISOR)
    return _summed(plain, operand, stands)


def _summed(plain: str, operand: Operand, stands: float | None) -> Reckoning:
    """Numbers added up, and to what stands where that is given."""
    signs, parts = ["+"], []
    if plain[:1] in _SIGNS:
        signs, plain = [plain[0]], plain[1:].lstrip()
    elif stands is None:
        signs = [""]
    begun = 0
    for found in _BETWEEN.finditer(plain):
        parts.append(plain[begun : found.start()])
        signs.append("-" if found["minus"] else "+")
        begun = found.end()
    parts.append(plain[begun:])
    total = Fraction(0) if stands is None else as_written(stands)
    steps = []
    for sign, part in zip(signs, parts, strict=True):
        size, shown = _read(part, operand)
        total += -size if sign == "-" else size
        steps.append((_SIGNS.get(sign, ""), shown))
    return Reckoning(value=nearest_float(total), stood=stands, steps=tuple(steps))


def _read(part: str, operand: Operand) -> tuple[Fraction, str]:
    if part[:1] in _SIGNS:
        raise LengthTextError(ONE_SIGN)
    if any(sign in part for sign in (*_TIMES, "÷", "%", "=")):
        raise LengthTextError(ONE_CHANGE)
    try:
        return operand(part)
    except LengthTextError:
        if _LOOSE_MINUS.search(part) and any(sign.isdigit() for sign in part):
            raise LengthTextError(SPACED_MINUS) from None
        raise


def _scaled(rest: str, stands: float, rule: str) -> Reckoning:
    """What stands, multiplied or divided by a number."""
    share = rest.removesuffix("%").rstrip()
    number = _number(share, rule)
    if rest.endswith("%"):
        number /= 100
    if rule == DIVISOR:
        if "/" in share or not number:
            raise LengthTextError(DIVISOR)
        number = 1 / number
    sign = "×" if rule == FACTOR else "÷"
    value = nearest_float(as_written(stands) * number)
    return Reckoning(value=value, stood=stands, steps=((sign, rest),))


def _shared(plain: str, stands: float) -> Reckoning:
    """So many per cent of what stands, or so many more or less."""
    if plain[0] in (*_TIMES, *_OVER):
        return _scaled(plain[1:].lstrip(), stands, FACTOR if plain[0] in _TIMES else DIVISOR)
    sign = plain[0] if plain[0] in _SIGNS else ""
    text = plain[len(sign) : -1].strip()
    number = _number(text, PERCENTAGE) / 100
    share = {"": number, "+": 1 + number, "-": 1 - number}[sign]
    shown = _SIGNS.get(sign, "%")
    value = nearest_float(as_written(stands) * share)
    return Reckoning(value=value, stood=stands, steps=((shown, f"{text} %"),))


def _number(text: str, rule: str) -> Fraction:
    """A number without sign and unit, as a length's is written."""
    if not text or not (text[-1].isdigit() or text[-1] == ".") or text[0] in _SIGNS:
        raise LengthTextError(rule)
    try:
        return exact_length(text, unit=Unit.MM)
    except LengthTextError as error:
        # A comma and a fraction over 0 have words of their own; the rest is told what it is for.
        raise (error if error.words or "/" in text else LengthTextError(rule)) from None
