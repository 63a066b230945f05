"""Money where it meets a person: written with the code of its currency, in what can be paid.

A price is a plain number of the maker's own currency; which one that is says the maker, and no
bag. Codes and the digits of their smaller unit are those of ISO 4217:2015, list one; funds, metals
and codes for testing are left out.
"""

from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType
from typing import Final

from core.errors import FieldError, Sentence, did_you_mean

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
    """The code of a currency as it is written: in capitals; empty for none.

    Raises:
        FieldError: there is no such currency.
    """
    code = text.strip().upper()
    if code and code not in CURRENCIES:
        told = Sentence(
            "There is no currency {code}: give its code of three letters, such as EUR.{hint}",
            words={"code": f"“{text.strip()[:20]}”", "hint": did_you_mean(code, CURRENCIES)},
        )
        raise FieldError(told, field="currency", value=text)
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
