"""Money: codes and digits of ISO 4217, and lists that add up as they are read."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.base.errors import FieldError
from core.base.quantities import CURRENCIES, checked_currency, money, rounded, total


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        # Digits of the smaller unit: ISO 4217:2015, list one, column "minor unit".
        (12.5, "EUR", "12.50 EUR"),
        (12.5, "USD", "12.50 USD"),
        (1249.5, "JPY", "1250 JPY"),
        (1250.0, "ISK", "1250 ISK"),
        (3.2504, "KWD", "3.250 KWD"),
        (3.2505, "TND", "3.251 TND"),
        (0.0, "CLP", "0 CLP"),
        (12.5, "", "12.50"),
        # Halves upwards, as shops round; neither 2.675 nor 1.005 is a binary number.
        (2.675, "EUR", "2.68 EUR"),
        (1.005, "EUR", "1.01 EUR"),
        (123456.785, "CHF", "123456.79 CHF"),
        (1e15, "EUR", "1000000000000000.00 EUR"),
    ],
)
def test_an_amount_has_the_digits_of_its_currency(amount: float, currency: str, text: str) -> None:
    assert money(amount, currency) == text


def test_codes_are_three_capital_letters_and_no_funds() -> None:
    assert all(len(code) == 3 and code.isascii() and code.isupper() for code in CURRENCIES)
    assert not {"XXX", "XTS", "XAU", "CHE", "CLF", "USN"} & CURRENCIES.keys()
    assert set(CURRENCIES.values()) == {0, 2, 3}


@pytest.mark.parametrize(("text", "code"), [("eur", "EUR"), (" GBP ", "GBP"), ("", ""), ("  ", "")])
def test_a_code_is_read_in_any_case(text: str, code: str) -> None:
    assert checked_currency(text) == code


@pytest.mark.parametrize("text", ["EURO", "€", "XXX", "E R", "eu"])
def test_what_is_no_currency_is_told(text: str) -> None:
    with pytest.raises(FieldError) as refused:
        checked_currency(text)
    assert refused.value.field == "currency"
    assert f"“{text}”" in str(refused.value)
    assert "such as EUR" in str(refused.value)


@given(st.lists(st.floats(0.0, 1e6), max_size=12), st.sampled_from(["", "EUR", "JPY", "KWD"]))
def test_a_list_adds_up_as_it_is_read(amounts: list[float], currency: str) -> None:
    read = math.fsum(float(money(each, currency).split()[0]) for each in amounts)
    told = float(money(total(amounts, currency), currency).split()[0])
    assert told == pytest.approx(read, abs=1e-6)


@given(st.floats(0.0, 1e9))
def test_nothing_is_rounded_by_more_than_half_the_smaller_unit(amount: float) -> None:
    assert abs(float(rounded(amount, "EUR")) - amount) <= 0.005 + 1e-9 * amount
