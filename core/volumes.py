"""Volumes where they meet a person: litres, US quarts, cubic inches."""

import math
import re
from typing import Final

from core.units import MINUS, Unit

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
SUCH_AS: Final = "type a volume such as 18.5, 18.5 L, 20 qt or 1150 cu in"


def litres(cubic_mm: float) -> float:
    """Litres in a volume, mm³."""
    return cubic_mm / MM3_PER_LITRE


def quarts(cubic_mm: float) -> float:
    """US liquid quarts in a volume, mm³."""
    return cubic_mm / MM3_PER_QUART


def cubic_inches(cubic_mm: float) -> float:
    """Cubic inches in a volume, mm³."""
    return cubic_mm / MM3_PER_CUBIC_INCH


def parse_volume(text: str) -> float:
    """Read a volume as a maker types it, litres; a bare number is in litres.

    Raises:
        ValueError: anything else; its text is one phrase that says what would be right.
    """
    plain = " ".join(text.split())
    found = _VOLUME.fullmatch(plain)
    if not found or found["unit"].lower() not in _LITRES_IN:
        raise ValueError(SUCH_AS)
    return float(found["number"]) * _LITRES_IN[found["unit"].lower()]


def format_volume(litres: float | None, *, unit: Unit) -> str:
    """What a person reads for a capacity: 18.83 L, in inches 18.83 L (19.9 qt, 1149 cu in).

    A number that would be told as 0 and is not has one digit more. A minus is
    `core.units.MINUS`, as in lengths; a dash for None, a capacity that is not known.

    Raises:
        ValueError: `litres` is not finite.
    """
    if litres is None:
        return "–"
    if not math.isfinite(litres):
        raise ValueError("give a finite number, not nan or inf")
    metric = f"{_told(litres, 2)} L".replace("-", MINUS)
    if unit is not Unit.INCH:
        return metric
    volume = litres * MM3_PER_LITRE
    quart_text = f"{_told(quarts(volume), 1)} qt"
    cubic_text = f"{_told(cubic_inches(volume), 0)} cu in"
    return f"{metric} ({quart_text}, {cubic_text})".replace("-", MINUS)


def _told(size: float, places: int) -> str:
    if not round(size, places) and round(size, places + 1):
        places += 1
    return f"{round(size, places) + 0.0:.{places}f}"  # + 0.0 turns -0.0 into 0.0
