"""Amounts as shops sell them.

Sources: 1 yd = 0.9144 m, 1 oz (avoirdupois) = 28.349523125 g and 1 lb = 0.45359237 kg, exactly
(NIST Special Publication 811, 2008 edition, appendix B.8). That tape is sold by quarters of a yard
and by 0.1 m is common practice, no source.
"""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.compute import compute
from core.base.quantities import ribbon_text, spool_text, thread_text, weight_text
from core.base.units import Unit
from core.cutting.buying import purchases
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.storage.bag_files import demo_bag

YARD = Decimal("914.4")


@pytest.mark.parametrize(
    ("mm", "inch", "metric"),
    [
        (744 * 25.4, "20 3/4 yd", "18.9 m"),
        (914.4, "1 yd", "1 m"),
        (914.5, "1 1/4 yd", "1 m"),
        (0.0, "0 yd", "0 m"),
        (5.0, "1/4 yd", "0.1 m"),
        (1000.0, "1 1/4 yd", "1 m"),
        (1000.1, "1 1/4 yd", "1.1 m"),
    ],
)
def test_tape_is_bought_by_the_quarter_yard_or_the_tenth_of_a_metre(
    mm: float, inch: str, metric: str
) -> None:
    assert ribbon_text(mm, unit=Unit.INCH) == inch
    assert ribbon_text(mm, unit=Unit.MM) == ribbon_text(mm, unit=Unit.CM) == metric


@given(st.integers(0, 10_000_000))
def test_enough_tape_is_bought_and_never_a_step_too_much(tenths: int) -> None:
    mm = Fraction(tenths, 10)
    words = ribbon_text(float(mm), unit=Unit.INCH).removesuffix(" yd").split()
    bought = sum(map(Fraction, words)) * Fraction(YARD)
    assert mm <= bought < mm + Fraction(YARD) / 4
    bought = Fraction(ribbon_text(float(mm), unit=Unit.MM).removesuffix(" m")) * 1000
    assert mm <= bought < mm + 100


def test_thread_is_told_in_yards_and_metres() -> None:
    assert thread_text(993_000.0, unit=Unit.MM) == "993 m"
    assert thread_text(993_000.0, unit=Unit.INCH) == f"{Decimal(993_000) / YARD:.0f} yd (993 m)"
    assert thread_text(2450.0, unit=Unit.INCH, places=1) == "2.7 yd (2.5 m)"
    assert spool_text(200_000.0, unit=Unit.INCH) == "219 yd (200 m)"
    assert spool_text(91_440.0, unit=Unit.CM) == "91.44 m"


@pytest.mark.parametrize(
    ("kilograms", "inch", "metric"),
    [
        (0.446, "15.7 oz (446 g)", "446 g"),
        (0.4522, "1 lb (452 g)", "452 g"),
        (0.4520, "15.9 oz (452 g)", "452 g"),
        (0.45359237, "1 lb (454 g)", "454 g"),
        (0.816, "1 lb 13 oz (816 g)", "816 g"),
        (0.9996, "2 lb 3 oz (1.00 kg)", "1.00 kg"),
        (1.814, "4 lb (1.81 kg)", "1.81 kg"),
        (5.3524, "11 lb 13 oz (5.35 kg)", "5.35 kg"),
    ],
)
def test_weights(kilograms: float, inch: str, metric: str) -> None:
    assert weight_text(kilograms, unit=Unit.INCH) == inch
    assert weight_text(kilograms, unit=Unit.MM) == metric


def test_who_reads_inches_buys_no_metre_alone_and_no_inch_of_tape() -> None:
    plan = best_plan(compute(demo_bag()), PlanOptions(builds=1))
    lines = {each.what.text(): each for each in purchases(plan, Unit.INCH)}
    assert lines["basting tape"].amount.text() == "1 1/2 yd", "54 in: two legs of 13 1/2 in a face"
    assert lines["thread"].remark.text().startswith("219 yd (200 m) a spool; ")
    lines = {each.what.text(): each for each in purchases(plan, Unit.MM)}
    assert lines["basting tape"].amount.text() == "1.4 m"
    assert lines["thread"].remark.text().startswith("200 m a spool; ")
