"""Amounts as shops sell them and scales tell them: yards and metres, ounces and grams."""

import math
from fractions import Fraction
from typing import Final

from core.units import Unit

MM_PER_YARD: Final = 914.4
"""Exact: international yard and pound agreement, 1 July 1959; NIST SP 811 (2008), B.8."""
GRAMS_PER_OUNCE: Final = 28.349523125
"""Of the avoirdupois ounce, a sixteenth of the pound of 0.45359237 kg; NIST SP 811 (2008), B.8."""

_QUARTERS: Final = 4
_NOTHING: Final = 1e-9
_OUNCES_A_POUND: Final = 16


def ribbon_text(mm: float, *, unit: Unit) -> str:
    """A length of tape to buy, rounded up: to a quarter of a yard, or to 0.1 m.

    Raises:
        ValueError: it is not finite.
    """
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
