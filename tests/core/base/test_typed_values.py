"""Typed values, sums and changes, against fractions worked out by hand or by another reading."""

from fractions import Fraction
from functools import partial

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from core.base.quantities import (
    DIVISOR,
    FACTOR,
    NO_CHANGE,
    ONE_CHANGE,
    ONE_SIGN,
    PERCENTAGE,
    SPACED_MINUS,
    SUCH_A_VOLUME,
    WHOLE_NUMBER,
    Reckoning,
    reckon_count,
    reckon_length,
    reckon_volume,
)
from core.base.units import LENGTH_RULES, LengthTextError, Unit, parse_length
from tests.faults import plain_texts

RULES = (
    *(*LENGTH_RULES, NO_CHANGE, SPACED_MINUS, ONE_SIGN, ONE_CHANGE),
    *(FACTOR, DIVISOR, PERCENTAGE, WHOLE_NUMBER, SUCH_A_VOLUME),
)
"""What a refusal may say."""

INCH = Fraction(254, 10)
"""mm, exactly: international yard and pound agreement, 1 July 1959."""
STANDS = 469.9
"""18 1/2 in, mm."""


def reckon(text: str, stands: float | None = STANDS, unit: Unit = Unit.INCH) -> Reckoning:
    return reckon_length(text, unit=unit, stands=stands)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("18 1/2", 469.9),
        ("18-1/2", 469.9),
        ("18 - 1/2", 444.5),
        ("18 + 1/2", 469.9),
        ("18+1/2", 469.9),
        ("18 1/2 in - 2 cm", 449.9),
        ("18½ + ½", 482.6),
        ("1 m - 3 cm - 5mm", 965.0),
        ("3.5 in. + 1", 114.3),
        ("1e1 + 1e+1", 508.0),
        ("+2 cm", 489.9),
        ("+ 2 cm", 489.9),
        ("-1/2", 457.2),
        ("- 1-1/2", 431.8),
        ("-1/2 + 1 cm", 467.2),
        ("*0.7", 328.93),
        ("* 2/3", 469.9 * 2 / 3),
        ("× 1 1/2", 704.85),
        ("/2", 234.95),
        ("÷ 1.5", 469.9 / 1.5),
        ("70 %", 328.93),
        ("70%", 328.93),
        ("*70 %", 328.93),
        ("33 1/3 %", 469.9 / 3),
        ("+10 %", 516.89),
        ("-10%", 422.91),
        ("=-1/2", -12.7),
        ("= -1/2 + 1", 12.7),
        ("=18 1/2", 469.9),
        ("\u22121/2", -12.7),
        ("\u22121/2 in", -12.7),
        ("+0", 469.9),
    ],
)
def test_what_is_typed_where_eighteen_and_a_half_inches_stand(text: str, mm: float) -> None:
    assert reckon(text).value == pytest.approx(mm, abs=1e-12, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("18 -1/2", SPACED_MINUS),
        ("18- 1/2", SPACED_MINUS),
        ("18-2", SPACED_MINUS),
        ("18 in-2 cm", SPACED_MINUS),
        ("18 1/2-2", SPACED_MINUS),
        ("--5", ONE_SIGN),
        ("+-5", ONE_SIGN),
        ("18 + -2", ONE_SIGN),
        ("=--5", ONE_SIGN),
        ("18 * 2", ONE_CHANGE),
        ("+2 cm * 2", ONE_CHANGE),
        ("18 = 2", ONE_CHANGE),
        ("*", FACTOR),
        ("*2 cm", FACTOR),
        ("*-1", FACTOR),
        ("*2 3", FACTOR),
        ("/", DIVISOR),
        ("/0", DIVISOR),
        ("/1/2", DIVISOR),
        ("/2 cm", DIVISOR),
        ("18 + 10 %", PERCENTAGE),
        ("%", PERCENTAGE),
        ("=70 %", ONE_CHANGE),
    ],
)
def test_what_is_ambiguous_is_told_in_one_sentence(text: str, rule: str) -> None:
    with pytest.raises(LengthTextError) as caught:
        reckon(text)
    assert caught.value.template == rule


@pytest.mark.parametrize("text", ["+2 cm", "-1/2", "*0.7", "/2", "70 %", "+10 %"])
def test_a_change_of_nothing_is_refused(text: str) -> None:
    with pytest.raises(LengthTextError) as caught:
        reckon(text, stands=None)
    assert caught.value.template == NO_CHANGE


def test_counts_and_volumes_are_reckoned_alike() -> None:
    assert [reckon_count(text, stands=3).value for text in ("+1", "-1", "*2", "= 5", "2 + 2")] == [
        *(4, 2, 6, 5, 4)
    ]
    for text in ("/2", "50 %", "+1/2", "*400000", "1_000", "²", ""):
        with pytest.raises(LengthTextError, match="whole number"):
            reckon_count(text, stands=3)
    litres = reckon_volume("+2 L", stands=18.5).value, reckon_volume("*2", stands=18.5).value
    assert litres == (20.5, 37.0)
    # 1 qt = 57.75 cu in, and 61.0237 cu in = 1 L (NIST Handbook 44, Appendix C).
    assert reckon_volume("20 qt - 57.75 cu in", stands=None).value == pytest.approx(
        19 * 57.75 / 61.0237, rel=1e-5
    )
    with pytest.raises(LengthTextError) as caught:
        reckon_volume("2 cups", stands=None)
    assert caught.value.template == SUCH_A_VOLUME


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("+2 cm", (("+", "2 cm"),)),
        ("18 - 1/2 in.", (("", "18 in"), ("\u2212", "1/2 in."))),
        ("*0.7", (("×", "0.7"),)),
        ("70%", (("%", "70 %"),)),
        ("- 10 %", (("\u2212", "10 %"),)),
        ("/ 2", (("÷", "2"),)),
    ],
)
def test_it_says_what_it_did(text: str, steps: tuple[tuple[str, str], ...]) -> None:
    found = reckon(text)
    assert found.steps == steps
    assert not found.is_plain
    assert reckon("18 1/2").is_plain
    assert reckon("=-1/2").is_plain


# --- Against fractions ----------------------------------------------------------------------------

counts = st.integers(min_value=0, max_value=400)
eighths = st.integers(min_value=1, max_value=8 * 40)
signs = st.sampled_from("+-")
stood = st.integers(min_value=1, max_value=64 * 60).map(lambda count: Fraction(count, 64) * INCH)


@st.composite
def terms(draw: st.DrawFn) -> tuple[str, Fraction]:
    """One length in one of its spellings, and its size, mm."""
    whole, top = divmod(draw(eighths), 8)
    unit, mm = draw(st.sampled_from([("", INCH), (" in", INCH), ("cm", Fraction(10)), ('"', INCH)]))
    if not top:
        return f"{whole}{unit}", whole * mm
    spelled = f"{whole}{draw(st.sampled_from(' -'))}{top}/8" if whole else f"{top}/8"
    return f"{spelled}{unit}", (whole + Fraction(top, 8)) * mm


@given(
    stands=stood, front=signs, first=terms(), rest=st.lists(st.tuples(signs, terms()), max_size=3)
)
def test_sums_and_changes_add_up_to_the_very_float(
    stands: Fraction,
    front: str,
    first: tuple[str, Fraction],
    rest: list[tuple[str, tuple[str, Fraction]]],
) -> None:
    tail = "".join(f" {sign} {text}" for sign, (text, _) in rest)
    added = sum((size if sign == "+" else -size for sign, (_, size) in rest), Fraction(0))
    total = first[1] + added
    assert reckon(first[0] + tail, stands=None).value == float(total)
    signed = (first[1] if front == "+" else -first[1]) + added
    assert reckon(f"={front}{first[0]}{tail}").value == float(signed)
    assert reckon(f"{front}{first[0]}{tail}", float(stands)).value == float(stands + signed)


@given(stands=stood, hundredths=st.integers(min_value=1, max_value=5000))
def test_shares_are_those_of_what_stands(stands: Fraction, hundredths: int) -> None:
    share = Fraction(hundredths, 100)
    stand = float(stands)
    for text, size in (
        (f"*{hundredths / 100:g}", stands * share),
        (f"*{hundredths}/100", stands * share),
        (f"{hundredths} %", stands * share),
        (f"/{hundredths / 100:g}", stands / share),
        (f"+{hundredths} %", stands * (1 + share)),
        (f"-{hundredths} %", stands * (1 - share)),
    ):
        assert reckon(text, stand).value == float(size), text


typed = st.lists(
    st.sampled_from(
        [*"0123456789.+-*/%= ", " - ", " + ", "1/2", "in", " cm", "½", "\u2212", "e", "×"]
    ),
    max_size=9,
).map("".join)


@given(text=typed, stands=st.none() | stood)
@example(text="1e+5 + 2", stands=None)
@example(text="½5", stands=None)
@example(text="0 \u2212 0", stands=None)
@example(text="5 \u2212 2", stands=None)
def test_any_text_is_read_as_another_reading_does(text: str, stands: Fraction | None) -> None:
    stand = None if stands is None else float(stands)
    wanted = plain_texts.field(text, partial(plain_texts.length, unit="in"), stands)
    try:
        found = reckon(text, stand).value
    except LengthTextError as error:
        assert error.template in RULES
        assert wanted is None, (text, wanted)
    else:
        assert wanted is not None, (text, found)
        assert found == float(wanted)


@given(terms())
def test_a_plain_length_is_the_parsers(term: tuple[str, Fraction]) -> None:
    assert reckon(term[0]).value == parse_length(term[0], unit=Unit.INCH) == float(term[1])
