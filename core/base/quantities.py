"""Volumes, amounts and money where they meet a person.

Volumes are in litres, US quarts, cubic inches; amounts as shops sell them and scales tell them,
yards and metres, ounces and grams. Money is written with the code of its currency, in what can be
paid: a price is a plain number of the maker's own currency; which one that is says the maker, and
no bag. Codes and the digits of their smaller unit are those of ISO 4217:2015, list one; funds,
metals and codes for testing are left out.
"""

import math
import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from core.base.errors import FieldError, did_you_mean
from core.base.sentences import MINUS, mark, say
from core.base.units import Unit

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
_VOLUME = re.compile(r"(?P<number>[0-9]{1,12}(?:\.[0-9]{0,12})?|\.[0-9]{1,12}) ?(?P<unit>[^0-9]*)")
SUCH_AS: Final = mark("type a volume such as 18.5, 18.5 L, 20 qt or 1150 cu in")


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
    found = _VOLUME.fullmatch(plain)
    if not found or found["unit"].lower() not in _LITRES_IN:
        raise ValueError(SUCH_AS)
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
