"""Typed values, volumes, amounts and money, where they meet a person.

A sign at the front of what is typed changes what stands: `+2 cm`, `-1/2`, `*0.7`, `/2`, `70 %`,
`+10 %`. With none it is a value or a sum: `18 1/2`, `18 + 1/2`, `18 1/2 in - 2 cm`. An `=` at the
front, or the long minus in which lengths are written, makes a value of what a sign would make a
change: `=-1/2`. A minus between two numbers takes away only with blanks around it, since 18-1/2 is
a mixed number.

Volumes are in litres, US quarts, cubic inches; amounts as shops sell them and scales tell them,
yards and metres, ounces and grams. Money is written with the code of its currency, in what can
be paid: a price is a plain number of the maker's own currency; which one that is says the maker,
and no bag. Codes and the digits of their smaller unit are those of ISO 4217:2015, list one;
funds, metals and codes for testing are left out.
"""

import math
import re
from collections.abc import Callable, Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final, NamedTuple

from core.base.errors import FieldError, did_you_mean
from core.base.sentences import MINUS, mark, say
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


class Reckoning(NamedTuple):
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


_COUNT = r"[0-9]{1,6}"
"""Beyond six digits no count of pieces can be meant."""
_MOST = 999_999


def reckon_count(text: str, *, stands: float | None) -> Reckoning:
    """Read a count of pieces; `stands` is what a change starts from.

    A LengthTextError where it means none, or no whole number.
    """

    def operand(part: str) -> tuple[Fraction, str]:
        # int() also reads "1_000" and the digits of any script.
        if not re.fullmatch(_COUNT, part):
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
_BETWEEN = r"(?<=\S)(?: (?P<minus>-) | ?(?<![0-9][eE])(?P<plus>\+) ?)(?=\S)"
_LOOSE_MINUS = r"\S ?- ?\S"
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
    for found in re.finditer(_BETWEEN, plain):
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
        if re.search(_LOOSE_MINUS, part) and any(sign.isdigit() for sign in part):
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


MM3_PER_CUBIC_INCH: Final = 16_387.064
MM3_PER_LITRE: Final = 1_000_000.0
MM3_PER_QUART: Final = 946_352.946
"""US liquid quart: a quarter of the gallon of 231 cu in, 57.75 cu in exactly."""

_LITRES_IN: Final = {
    "": 1.0,
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), 1.0),
    "ml": 0.001,
    **dict.fromkeys(("qt", "quart", "quarts"), MM3_PER_QUART / MM3_PER_LITRE),
    **dict.fromkeys(("cu in", "in3", "in³"), MM3_PER_CUBIC_INCH / MM3_PER_LITRE),
}
_VOLUME = r"(?P<number>[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}) ?(?P<unit>[^0-9]*)"
SUCH_A_VOLUME: Final = mark("type a volume such as 18.5, 18.5 L, 20 qt or 1150 cu in")


def litres(cubic_mm: float) -> float:
    """Litres in a volume, mm³."""
    return cubic_mm / MM3_PER_LITRE


def quarts(cubic_mm: float) -> float:
    """US liquid quarts in a volume, mm³."""
    return cubic_mm / MM3_PER_QUART


def parse_volume(text: str) -> float:
    """Read a volume as a maker types it, litres; a bare number is in litres.

    A ValueError refuses anything else; its text is one phrase that says what would be right.
    """
    plain = " ".join(text.split())
    found = re.fullmatch(_VOLUME, plain)
    if not found or found["unit"].lower() not in _LITRES_IN:
        raise ValueError(SUCH_A_VOLUME)
    return float(found["number"]) * _LITRES_IN[found["unit"].lower()]


def format_volume(litres: float | None, *, unit: Unit) -> str:
    """What a person reads for a capacity: 18.83 L, in inches 18.83 L (19.9 qt, 1149 cu in).

    A number that would be told as 0 and is not has one digit more. A minus is
    `core.base.units.MINUS`, as in lengths; a dash for None, a capacity that is not known. A
    ValueError refuses `litres` that are not finite.
    """
    if litres is None:
        return "–"
    if not math.isfinite(litres):
        raise ValueError("give a finite number, not nan or inf")
    metric = f"{_told(litres, 2)} L".replace("-", MINUS)
    if unit is not Unit.INCH:
        return metric
    return f"{metric} ({volume_elsewhere(litres)})"


def volume_elsewhere(litres: float) -> str:
    """A capacity in the units that go with inches: 19.9 qt, 1149 cu in."""
    volume = litres * MM3_PER_LITRE
    quart_text = f"{_told(quarts(volume), 1)} qt"
    cubic_text = f"{_told(volume / MM3_PER_CUBIC_INCH, 0)} cu in"
    return f"{quart_text}, {cubic_text}".replace("-", MINUS)


def _told(size: float, places: int) -> str:
    if not round(size, places) and round(size, places + 1):
        places += 1
    return f"{round(size, places) + 0.0:.{places}f}"  # + 0.0 turns -0.0 into 0.0


MM_PER_YARD: Final = 914.4
"""Exact: international yard and pound agreement, 1 July 1959; NIST SP 811 (2008), B.8."""
GRAMS_PER_OUNCE: Final = 28.349523125
"""Of the avoirdupois ounce, a sixteenth of the pound of 0.45359237 kg; NIST SP 811 (2008), B.8."""

_QUARTERS: Final = 4
_NOTHING: Final = 1e-9
_OUNCES_A_POUND: Final = 16


def ribbon_text(mm: float, *, unit: Unit) -> str:
    """A length of tape to buy, finite, rounded up: to a quarter of a yard, or to 0.1 m."""
    if unit is not Unit.INCH:
        return f"{math.ceil(mm / 100 - _NOTHING) / 10:g} m"
    whole, quarters = divmod(math.ceil(mm / MM_PER_YARD * _QUARTERS - _NOTHING), _QUARTERS)
    part = str(Fraction(quarters, _QUARTERS)) if quarters else ""
    return f"{f'{whole} {part}'.removeprefix('0 ').strip() or '0'} yd"


def thread_text(mm: float, *, unit: Unit, places: int = 0) -> str:
    """A length of thread: metres, as spools tell it, or yards with the metres behind."""
    metres = f"{mm / 1000:.{places}f} m"
    return metres if unit is not Unit.INCH else f"{mm / MM_PER_YARD:.{places}f} yd ({metres})"


def spool_text(mm: float, *, unit: Unit) -> str:
    """What is on a spool, as its label tells it: no digit is left out of metres."""
    metres = f"{mm / 1000:g} m"
    return metres if unit is not Unit.INCH else f"{mm / MM_PER_YARD:.0f} yd ({metres})"


def weight_text(kilograms: float, *, unit: Unit) -> str:
    """A weight: grams or kilograms; or ounces, pounds and ounces, with them behind."""
    grams = 1000 * kilograms
    metric = f"{grams:.0f} g" if round(grams) < 1000 else f"{kilograms:.2f} kg"
    if unit is not Unit.INCH:
        return metric
    ounces = grams / GRAMS_PER_OUNCE
    told = f"{ounces:.1f} oz"
    if round(ounces, 1) >= _OUNCES_A_POUND:
        pounds, rest = divmod(round(ounces), _OUNCES_A_POUND)
        told = f"{pounds} lb {rest} oz" if rest else f"{pounds} lb"
    return f"{told} ({metric})"


USUAL_DIGITS: Final = 2

_WHOLE: Final = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_HUNDREDTHS: Final = (
    "AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD "
    "CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ "
    "GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL "
    "MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR "
    "PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT "
    "TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG"
)
_THOUSANDTHS: Final = "BHD IQD JOD KWD LYD OMR TND"

CURRENCIES: Final[Mapping[str, int]] = MappingProxyType(
    {
        code: digits
        for digits, codes in ((0, _WHOLE), (2, _HUNDREDTHS), (3, _THOUSANDTHS))
        for code in codes.split()
    }
)
"""Code -> digits of its smaller unit after the point."""


def checked_currency(text: str) -> str:
    """The code of a currency in capitals; empty for none. A FieldError where there is no such."""
    code = text.strip().upper()
    if code and code not in CURRENCIES:
        told = say(
            "There is no currency “{code}”: give its code of three letters, such as EUR.",
            words={"code": text.strip()[:20]},
        )
        raise FieldError(did_you_mean(told, code, CURRENCIES), field="currency", value=text)
    return code


def rounded(amount: float, currency: str = "") -> Decimal:
    """An amount as it is paid: to the smaller unit of its currency, a half of one upwards."""
    digits = CURRENCIES.get(currency, USUAL_DIGITS)
    return Decimal(repr(amount)).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)


def total(amounts: Iterable[float], currency: str = "") -> float:
    """The sum of amounts that are each paid, so that a list adds up as it is read."""
    return float(sum((rounded(each, currency) for each in amounts), Decimal(0)))


def money(amount: float, currency: str = "") -> str:
    """An amount as it is read: `12.50 EUR`, `1250 JPY`; without a currency the number alone."""
    text = f"{rounded(amount, currency):f}"
    return f"{text} {currency}" if currency else text
