"""Volumes as they are read and typed."""

import math

import pytest

from core.base.quantities import MM3_PER_CUBIC_INCH, format_volume, litres, parse_volume, quarts
from core.base.units import Unit


def test_gallon_and_quart() -> None:
    # NIST Handbook 44, Appendix C, General Tables: US gallon = 231 cu in. The published
    # 3.785411784 L is exact; the liquid quart is a quarter of it, 57.75 cu in = 0.946352946 L.
    gallon = 231 * 25.4**3
    assert litres(gallon) == pytest.approx(3.785411784, rel=1e-12)
    assert quarts(gallon) == pytest.approx(4, rel=1e-12)
    assert litres(57.75 * 25.4**3) == pytest.approx(0.946352946, rel=1e-12)
    assert pytest.approx(57.75, rel=1e-12) == 946_352.946 / MM3_PER_CUBIC_INCH


def test_cubic_inch_and_litre() -> None:
    # NIST Handbook 44, Appendix C, General Tables: 1 cu in = 16.387 cm³, 1 L = 61.024 cu in.
    assert 1000 * litres(25.4**3) == pytest.approx(16.387, abs=0.0005)
    assert pytest.approx(1, rel=1e-12) == 25.4**3 / MM3_PER_CUBIC_INCH
    assert pytest.approx(61.024, abs=0.0005) == 1e6 / MM3_PER_CUBIC_INCH


@pytest.mark.parametrize(
    ("text", "volume"),
    [
        ("18.5", 18.5),
        ("18.5 L", 18.5),
        ("18.5l", 18.5),
        (" 20  litres ", 20.0),
        ("500 ml", 0.5),
        ("4 qt", 3.785411784),
        ("231 cu in", 3.785411784),
        (".5 L", 0.5),
    ],
)
def test_accepted_spellings(text: str, volume: float) -> None:
    assert parse_volume(text) == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize("text", ["", "L", "-3", "nan", "inf", "1,5", "3 kg", "1e9", "9" * 40])
def test_refused_spellings(text: str) -> None:
    with pytest.raises(ValueError, match="type a volume such as"):
        parse_volume(text)


@pytest.mark.parametrize(
    ("volume", "unit", "text"),
    [
        (18.83, Unit.MM, "18.83 L"),
        (18.83, Unit.CM, "18.83 L"),
        (18.83, Unit.INCH, "18.83 L (19.9 qt, 1149 cu in)"),
        (3.785411784, Unit.INCH, "3.79 L (4.0 qt, 231 cu in)"),
        (0.0, Unit.INCH, "0.00 L (0.0 qt, 0 cu in)"),
        (0.0082, Unit.INCH, "0.01 L (0.01 qt, 1 cu in)"),
        (-0.0066, Unit.INCH, "−0.01 L (−0.01 qt, −0.4 cu in)"),
        (-0.0001, Unit.INCH, "0.00 L (0.0 qt, 0 cu in)"),
        (None, Unit.INCH, "–"),
        (None, Unit.MM, "–"),
    ],
)
def test_format_volume(volume: float | None, unit: Unit, text: str) -> None:
    assert format_volume(volume, unit=unit) == text


def test_only_finite_volumes_are_written() -> None:
    with pytest.raises(ValueError, match="finite"):
        format_volume(math.nan, unit=Unit.MM)
