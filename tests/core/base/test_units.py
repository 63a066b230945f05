"""Reading, writing and rounding of lengths."""

import math
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from core.base.units import (
    LENGTH_RULES,
    LONGEST_TEXT,
    MM_PER_INCH,
    LengthTextError,
    Unit,
    default_step,
    format_exact,
    format_length,
    parse_length,
    parse_number,
    round_to_step,
    ruler_steps,
    unbroken,
)

INCH_BY_DEFINITION = Fraction(254, 10)
EIGHTH = 25.4 / 8

units = st.sampled_from(Unit)
lengths = st.floats(min_value=-1e7, max_value=1e7)
sixty_fourths = st.integers(min_value=-64 * 4000, max_value=64 * 4000)
steps = st.sampled_from([25.4 / 16, 25.4 / 8, 25.4 / 4, 0.1, 1.0, 5.0, 10.0, 7.3])


def inches(size: Fraction | int) -> float:
    """The float nearest to so many inches, mm."""
    return float(size * INCH_BY_DEFINITION)


# --- Facts from outside ---------------------------------------------------------------------------


def test_inch_and_yard_are_those_of_the_1959_agreement() -> None:
    # International yard and pound agreement, 1 July 1959: 1 yd = 0.9144 m, 1 in = 25.4 mm.
    assert MM_PER_INCH == Unit.INCH.mm == 25.4
    assert parse_length("1", unit=Unit.INCH) == 25.4
    assert parse_length("36 in", unit=Unit.MM) == parse_length("0.9144 m", unit=Unit.MM) == 914.4


def test_an_eighth_of_a_yard_is_four_and_a_half_inches() -> None:
    # 1 yd = 36 in (NIST Handbook 44, Appendix C, General Tables).
    assert format_length(914.4 / 8, unit=Unit.INCH) == "4 1/2 in"


# --- Accepted spellings ---------------------------------------------------------------------------

EIGHTEEN_AND_A_HALF = [
    "18 1/2",
    "18-1/2",
    "18.5",
    "18.50",
    "18 ½",
    "18½",
    "18-½",
    "+18 1/2",
    "18 1⁄2",
    "18 2/4",
    "37/2",
    "18 1/2in",
    "18 1/2 in",
    "18 1/2 IN",
    "18 1/2 in.",
    "18 1/2 inch",
    "18.5 inches",
    '18.5"',
    '18½ "',
    "18 1/2″",
    "18 1/2”",
    "  18   1/2  ",
    "\u00a018\u00a01/2\u202fin\u00a0",
    "18\u20101/2",
    "18\u20111/2",
    "469.9mm",
    "469.9 mm",
    "46.99cm",
    "46.99 CM",
    "0.4699 m",
    ".4699m",
    "1.85e1",
    "≈ 18 1/2 in",
    "≈18 1/2",
    "~18 1/2 in",
    "~ 18½",
]


@pytest.mark.parametrize("text", EIGHTEEN_AND_A_HALF)
def test_spellings_of_eighteen_and_a_half_inches(text: str) -> None:
    assert parse_length(text, unit=Unit.INCH) == 18.5 * 25.4 == 469.9


@pytest.mark.parametrize(
    ("text", "eighths"),
    [("⅛", 1), ("¼", 2), ("⅜", 3), ("½", 4), ("⅝", 5), ("¾", 6), ("⅞", 7), ("1⅞", 15), ("1/8", 1)],
)
def test_eighths(text: str, eighths: int) -> None:
    assert parse_length(text, unit=Unit.INCH) == inches(Fraction(eighths, 8))
    assert parse_length(f"-{text}", unit=Unit.INCH) == -inches(Fraction(eighths, 8))


@pytest.mark.parametrize(
    ("text", "parts"), [("⅓", "1/3"), ("⅔", "2/3"), ("⅖", "2/5"), ("⅚", "5/6"), ("⅒", "1/10")]
)
def test_other_vulgar_fractions(text: str, parts: str) -> None:
    assert parse_length(text, unit=Unit.INCH) == inches(Fraction(parts))


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("47 cm", Unit.INCH, 470.0),
        ("47cm", Unit.MM, 470.0),
        ("4.7E2", Unit.MM, 470.0),
        ("470mm", Unit.INCH, 470.0),
        ("0.47 m", Unit.INCH, 470.0),
        ("470", Unit.MM, 470.0),
        ("47", Unit.CM, 470.0),
        ("4 1/2", Unit.CM, 45.0),
        ("3/16", Unit.INCH, 4.7625),
        ("3/16 in", Unit.CM, 4.7625),
        ("−1/2", Unit.INCH, -12.7),
        ("-2.5", Unit.MM, -2.5),
        ("0", Unit.INCH, 0.0),
        ("0.1", Unit.CM, 1.0),
    ],
)
def test_units_and_signs(text: str, unit: Unit, mm: float) -> None:
    assert parse_length(text, unit=unit) == mm


def test_minus_nothing_is_nothing() -> None:
    assert math.copysign(1, parse_length("-0", unit=Unit.MM)) == 1


@given(
    whole=st.integers(0, 4000),
    top=st.integers(0, 63),
    bottom=st.sampled_from([2, 3, 4, 5, 8, 16, 32, 64]),
    separator=st.sampled_from([" ", "-", "  ", "\u00a0"]),
    end=st.sampled_from(["", "in", " in", '"', "″", " inches"]),
)
def test_mixed_number_is_the_float_nearest_to_the_fraction(
    whole: int, top: int, bottom: int, separator: str, end: str
) -> None:
    part = Fraction(top % bottom, bottom)
    text = f"{whole}{separator}{top % bottom}/{bottom}{end}"
    assert parse_length(text, unit=Unit.INCH) == inches(whole + part)


# --- Refused spellings ----------------------------------------------------------------------------

SUCH_AS = "type a length such as 18 1/2, 18.5 or 47 cm"
DIGITS = "write the number in the digits 0 to 9, as in 18 1/2 or 18.5"
ONE_FRACTION = "write one whole number and one fraction, as in 18 1/2"
ONE_NUMBER = "write one number without commas, as in 47.5 or 1250"
TOO_LONG = "keep the length to 64 characters or fewer"
TOO_LARGE = "type a smaller number that can be a length, such as 18 1/2"
TOO_SMALL = "type 0 or a larger number that can be a length, such as 1/8"
REFUSED = [
    ("", SUCH_AS),
    ("   ", SUCH_AS),
    ("\u00a0", SUCH_AS),
    ("abc", SUCH_AS),
    ("nan", SUCH_AS),
    ("inf", SUCH_AS),
    ("-inf", SUCH_AS),
    ("in", SUCH_AS),
    (".", SUCH_AS),
    ("-", SUCH_AS),
    ("/", SUCH_AS),
    ("1/", SUCH_AS),
    ("/2", SUCH_AS),
    ("--5", SUCH_AS),
    ("+-5", SUCH_AS),
    ("- 5", SUCH_AS),
    ("5-", SUCH_AS),
    ("18 - 1/2", SUCH_AS),
    ("18 -1/2", SUCH_AS),
    ("18 1", SUCH_AS),
    ("18+2", SUCH_AS),
    ("1_000", SUCH_AS),
    ("0x12", SUCH_AS),
    ("18 1/2 in in", SUCH_AS),
    ("in 18", SUCH_AS),
    ("½5", SUCH_AS),
    ("{18}", SUCH_AS),
    ("47,5", "write the decimals with a point, 47.5, not a comma"),
    ("-12,25 cm", "write the decimals with a point, 12.25, not a comma"),
    ("0,125", "write the decimals with a point, 0.125, not a comma"),
    ("1,250", "write 1250, or 1.250 for decimals, without a comma"),
    ("10,250", "write 10250, or 10.250 for decimals, without a comma"),
    ("125,250", "write 125250, or 125.250 for decimals, without a comma"),
    ("1250,125", "write the decimals with a point, 1250.125, not a comma"),
    ("1,250 mm", "write 1250, or 1.250 for decimals, without a comma"),
    ("1,250,000", ONE_NUMBER),
    ("1,250.5", ONE_NUMBER),
    ("18, 1/2", ONE_NUMBER),
    ("12 3/0", "give the fraction a bottom number above 0, as in 3/8"),
    ("0/0", "give the fraction a bottom number above 0, as in 3/8"),
    ("18 11/8", "keep the fraction after a whole number below 1, as in 18 1/2"),
    ("18 2/2", "keep the fraction after a whole number below 1, as in 18 1/2"),
    ("18 1/2 1/4", ONE_FRACTION),
    ("1/2/3", ONE_FRACTION),
    ("½½", ONE_FRACTION),
    ("18 1/2 ½", ONE_FRACTION),
    ("18.5 1/2", "write either decimals, as in 18.5, or a fraction, as in 18 1/2"),
    ("18.5½", "write either decimals, as in 18.5, or a fraction, as in 18 1/2"),
    ("1/2.5", "write either decimals, as in 18.5, or a fraction, as in 18 1/2"),
    ("2 ft", "end the length with in, cm, mm or m, not ft"),
    ("20L", "end the length with in, cm, mm or m, not L"),
    ("3 Ells", "end the length with in, cm, mm or m, not Ells"),
    ("2'", "end the length with in, cm, mm or m, not '"),
    ("18''", "end the length with in, cm, mm or m, not ''"),
    ("3 yards", "end the length with in, cm, mm or m, not yards"),
    ("5 mm.", SUCH_AS),
    ("18 ~1/2 in", SUCH_AS),
    ("≈≈ 18 in", SUCH_AS),
    ("≈", SUCH_AS),
    ("1e400", TOO_LARGE),
    ("-1e309 mm", TOO_LARGE),
    ("1e99999999999999", TOO_LARGE),
    ("9e307 m", TOO_LARGE),
    ("1e-400", TOO_SMALL),
    ("1e-325 mm", TOO_SMALL),
    ("1e-99999999999999", TOO_SMALL),
    ("٤٧", DIGITS),  # Arabic-Indic
    ("४७ cm", DIGITS),  # Devanagari
    ("\uff11\uff18", DIGITS),  # full width
    ("18²", DIGITS),
    ("18 ¹⁄₂", DIGITS),
    ("四", DIGITS),
    ("1" * (LONGEST_TEXT + 1), TOO_LONG),
    ("1/" + "9" * 10_000, TOO_LONG),
]


@pytest.mark.parametrize(("text", "phrase"), REFUSED)
@pytest.mark.parametrize("unit", Unit)
def test_refused_spellings_say_what_would_be_right(text: str, phrase: str, unit: Unit) -> None:
    with pytest.raises(LengthTextError) as caught:
        parse_length(text, unit=unit)
    assert isinstance(caught.value, ValueError)
    assert str(caught.value) == phrase


def test_each_rule_has_a_refused_spelling_and_reads_after_a_colon() -> None:
    met = set()
    for text, phrase in REFUSED:
        with pytest.raises(LengthTextError) as caught:
            parse_length(text, unit=Unit.INCH)
        met.add(caught.value.template)
        assert phrase[0].islower()
        assert not phrase.endswith(".")
        assert "\n" not in phrase
        assert caught.value.template.format(**caught.value.words) == phrase
    assert met == set(LENGTH_RULES)


def test_longest_text_is_still_read() -> None:
    assert parse_length("0" * (LONGEST_TEXT - 1) + "5", unit=Unit.MM) == 5
    assert parse_length("9" * LONGEST_TEXT, unit=Unit.MM) == 1e64
    assert parse_length(" " * 100 + "5", unit=Unit.MM) == 5


@given(text=st.text(max_size=70) | st.text("0123456789 /.-+,½⅞einmc\"'", max_size=12), unit=units)
@example(text="1e-323", unit=Unit.CM)
def test_any_text_is_a_finite_length_or_a_length_error(text: str, unit: Unit) -> None:
    try:
        length = parse_length(text, unit=unit)
    except LengthTextError as error:
        assert error.template in LENGTH_RULES
    else:
        assert math.isfinite(length)
        assert parse_length(format_exact(length, unit=unit), unit=unit) == length


# --- Written for a reader -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (469.9, Unit.INCH, "18 1/2 in"),
        (469.9 + 9e-7, Unit.INCH, "18 1/2 in"),
        (469.9 + 2e-6, Unit.INCH, "≈ 18 1/2 in"),
        (9.525, Unit.INCH, "3/8 in"),
        (-3.175, Unit.INCH, "−1/8 in"),
        (-469.9, Unit.INCH, "−18 1/2 in"),
        (0.396875, Unit.INCH, "1/64 in"),
        (0.0, Unit.INCH, "0 in"),
        (-0.0, Unit.INCH, "0 in"),
        (-1e-9, Unit.INCH, "0 in"),
        (-0.3, Unit.INCH, "≈ −1/64 in"),
        (1.5, Unit.INCH, "≈ 1/16 in"),
        (0.19, Unit.INCH, "≈ 0.007 in"),
        (-2e-6, Unit.INCH, "≈ −0.00000008 in"),
        (470.0, Unit.INCH, "≈ 18 1/2 in"),
        (470.0, Unit.MM, "470 mm"),
        (234.95, Unit.MM, "235 mm"),
        (234.949, Unit.MM, "234.9 mm"),
        (0.996, Unit.MM, "1 mm"),
        (1.04, Unit.MM, "1 mm"),
        (0.25, Unit.MM, "0.25 mm"),
        (0.994, Unit.CM, "0.099 cm"),
        (460.375, Unit.MM, "460.4 mm"),
        (-3.175, Unit.MM, "−3.2 mm"),
        (0.0005, Unit.MM, "0 mm"),
        (0.0006, Unit.MM, "0.0006 mm"),
        (-0.0001, Unit.MM, "0 mm"),
        (-0.004, Unit.MM, "−0.004 mm"),
        (0.0096, Unit.MM, "0.0096 mm"),
        (0.00992, Unit.MM, "0.0099 mm"),
        (0.00347, Unit.MM, "0.0035 mm"),
        (0.002, Unit.CM, "0.0002 cm"),
        (100.0, Unit.MM, "100 mm"),
        (470.0, Unit.CM, "47 cm"),
        (234.95, Unit.CM, "23.5 cm"),
        (0.01, Unit.CM, "0.001 cm"),
        (460.375, Unit.CM, "46.04 cm"),
        (-0.0, Unit.CM, "0 cm"),
    ],
)
def test_format_length(mm: float, unit: Unit, text: str) -> None:
    assert format_length(mm, unit=unit) == text
    assert format_length(mm, unit=unit, suffix=False) == text.removesuffix(f" {unit.label}")


def test_inexact_inches_are_shown_on_the_ruler_step() -> None:
    assert format_length(100, unit=Unit.INCH) == "≈ 3 15/16 in"
    assert format_length(100, unit=Unit.INCH, step=25.4 / 8) == "≈ 3 7/8 in"
    assert format_length(100, unit=Unit.INCH, step=25.4 / 4) == "≈ 4 in"
    # A step of millimetres is not on an inch ruler: sixteenths.
    assert format_length(100, unit=Unit.INCH, step=5) == "≈ 3 15/16 in"
    assert format_length(470, unit=Unit.INCH, step=5) == "≈ 18 1/2 in"
    assert format_length(100, unit=Unit.INCH, step=25.4 / 5) == "≈ 3 15/16 in"
    assert format_length(380, unit=Unit.INCH, step=25.4) == "≈ 15 in"


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (464.82, "18.3 in"),
        (22.86, "0.9 in"),
        (470.0, "470 mm"),
        (463.55, "18 1/4 in"),
        (0.0, "0 in"),
    ],
)
def test_an_exact_text_is_the_shorter_of_inches_and_millimetres(mm: float, text: str) -> None:
    """18.3 x 25.4 = 464.82 and 0.9 x 25.4 = 22.86, but 470 / 25.4 has no end."""
    assert format_exact(mm, unit=Unit.INCH) == text


def test_a_64th_is_exact_whatever_the_ruler_step() -> None:
    assert format_length(inches(Fraction(1187, 64)), unit=Unit.INCH, step=6.35) == "18 35/64 in"


@given(count=sixty_fourths, step=st.none() | steps)
def test_every_64th_of_an_inch_comes_back(count: int, step: float | None) -> None:
    mm = inches(Fraction(count, 64))
    text = format_length(mm, unit=Unit.INCH, step=step)
    assert parse_length(text, unit=Unit.MM) == mm
    bare = format_length(mm, unit=Unit.INCH, suffix=False)
    assert parse_length(bare, unit=Unit.INCH) == mm


@given(count=st.integers(-(10**9), 10**9), unit=st.sampled_from([Unit.MM, Unit.CM]))
def test_every_tenth_of_a_millimetre_comes_back(count: int, unit: Unit) -> None:
    mm = float(Fraction(count, 10))
    assert parse_length(format_length(mm, unit=unit), unit=Unit.INCH) == mm
    assert parse_length(format_length(mm, unit=unit, suffix=False), unit=unit) == mm


@given(mm=lengths, unit=units)
def test_shown_length_is_near_and_marked_when_it_is_not_the_length(mm: float, unit: Unit) -> None:
    text = format_length(mm, unit=unit)
    shown = parse_length(text, unit=unit)
    # Half a step, and the rounding of the largest floats.
    assert abs(shown - mm) <= (25.4 / 32 if unit is Unit.INCH else 0.05) + 2e-9
    if unit is Unit.INCH and not text.startswith("≈ "):
        assert abs(shown - mm) <= 1e-6 + 2e-9
    assert unit is Unit.INCH or not text.startswith("≈")
    assert not text.startswith(("≈ 0 ", "≈ −0 ", "−0 "))
    assert "-" not in text
    assert (shown < 0) is ("−" in text)


@given(mm=st.floats(min_value=-4.0, max_value=4.0), unit=units, step=st.none() | steps)
@example(mm=0.3, unit=Unit.INCH, step=25.4 / 4)
def test_what_is_near_to_nothing_is_told_in_its_own_size(
    mm: float, unit: Unit, step: float | None
) -> None:
    text = format_length(mm, unit=unit, step=step)
    shown = parse_length(text, unit=unit)
    if text.startswith("≈ ") or (unit is not Unit.INCH and shown):
        assert shown != 0.0
        assert math.copysign(1.0, shown) == math.copysign(1.0, mm)
        # Half of the mark it stands at, or half of the last digit of a decimal.
        assert abs(shown) / 2 - 1e-12 <= abs(mm) <= abs(shown) * 1.5 + 1e-12


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("unit", Unit)
def test_only_finite_lengths_are_written(bad: float, unit: Unit) -> None:
    with pytest.raises(ValueError, match="finite"):
        format_length(bad, unit=unit)
    with pytest.raises(ValueError, match="finite"):
        format_exact(bad, unit=unit)


# --- Written to be read back ----------------------------------------------------------------------


@given(mm=lengths | st.floats(allow_nan=False, allow_infinity=False), unit=units)
@example(mm=5e-324, unit=Unit.INCH)
@example(mm=1.7976931348623157e308, unit=Unit.INCH)
@example(mm=-1.7976931348623157e308, unit=Unit.CM)
@example(mm=1e7, unit=Unit.INCH)
@example(mm=0.1 + 0.2, unit=Unit.INCH)
def test_exact_text_is_the_same_float(mm: float, unit: Unit) -> None:
    text = format_exact(mm, unit=unit)
    assert parse_length(text, unit=unit) == mm
    assert len(text) <= 30


@given(mm=st.floats(min_value=469.0, max_value=471.0), unit=units)
def test_exact_text_near_the_size_of_a_bag(mm: float, unit: Unit) -> None:
    assert parse_length(format_exact(mm, unit=unit), unit=unit) == mm


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (469.9, Unit.INCH, "18 1/2 in"),
        (-3.175, Unit.INCH, "-1/8 in"),
        (464.82, Unit.INCH, "18.3 in"),
        (470.0, Unit.INCH, "470 mm"),
        (470.0, Unit.MM, "470 mm"),
        (470.0, Unit.CM, "47 cm"),
        (-3.175, Unit.CM, "-0.3175 cm"),
        (-0.0, Unit.INCH, "0 in"),
        (-0.0, Unit.MM, "0 mm"),
        (0.00001, Unit.MM, "0.00001 mm"),
        (1e300, Unit.MM, "1e+300 mm"),
    ],
)
def test_format_exact(mm: float, unit: Unit, text: str) -> None:
    assert format_exact(mm, unit=unit) == text


# --- The ruler ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "step", "rounded"),
    [
        ("18 3/16", "1/8", "18 1/4"),
        ("-18 3/16", "1/8", "-18 1/4"),
        ("18 5/32", "1/16", "18 3/16"),
        ("18 9/64", "1/8", "18 1/8"),
        ("18 1/8", "1/4", "18 1/4"),
        ("47 cm", "1/8", "18 1/2"),
        ("2.5 mm", "5 mm", "5 mm"),
        ("0.35 mm", "0.1 mm", "0.4 mm"),
        ("0", "1/8", "0"),
        ("-1/32", "1/8", "0"),
    ],
)
def test_round_to_step(length: str, step: str, rounded: str) -> None:
    mm = parse_length(length, unit=Unit.INCH)
    result = round_to_step(mm, parse_length(step, unit=Unit.INCH))
    assert result == parse_length(rounded, unit=Unit.INCH)
    assert result or math.copysign(1, result) == 1


@given(count=st.integers(0, 10_000), parts=st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_halves_go_away_from_nothing(count: int, parts: int) -> None:
    middle = inches(Fraction(2 * count + 1, 2 * parts))
    up = inches(Fraction(count + 1, parts))
    assert round_to_step(middle, 25.4 / parts) == up
    assert round_to_step(-middle, 25.4 / parts) == -up
    # Float noise from the sums before must not send the half the other way.
    assert round_to_step(math.nextafter(middle, 0), 25.4 / parts) == up


@given(count=sixty_fourths, eighths=st.integers(1, 64))
def test_multiples_of_an_eighth_are_the_floats_of_their_fractions(count: int, eighths: int) -> None:
    step = eighths * EIGHTH
    size = Fraction(eighths, 8) * INCH_BY_DEFINITION
    rounded = round_to_step(inches(Fraction(count, 64)), step)
    assert rounded == float(round(Fraction(rounded) / size) * size)


def test_a_step_far_below_any_ruler_is_a_step_still() -> None:
    assert round_to_step(1.0, 1e-10) == 1.0


@given(mm=lengths, step=steps)
def test_rounding_is_near_and_stays(mm: float, step: float) -> None:
    rounded = round_to_step(mm, step)
    assert abs(rounded - mm) <= step / 2 + 1e-8
    assert round_to_step(rounded, step) == rounded
    assert round_to_step(-mm, step) == -rounded


@given(one=lengths, gap=st.floats(0, 30), step=steps)
def test_rounding_keeps_the_order(one: float, gap: float, step: float) -> None:
    assert round_to_step(one, step) <= round_to_step(one + gap, step)


@pytest.mark.parametrize("step", [0.0, -1.0, math.nan, math.inf])
def test_a_ruler_step_is_above_nothing(step: float) -> None:
    with pytest.raises(ValueError, match="ruler step above 0"):
        round_to_step(1.0, step)
    with pytest.raises(ValueError, match="ruler step above 0"):
        format_length(1.0, unit=Unit.INCH, step=step)


@pytest.mark.parametrize("mm", [math.nan, math.inf])
def test_only_finite_lengths_are_rounded(mm: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        round_to_step(mm, 1.0)


def test_steps_of_the_rulers() -> None:
    assert ruler_steps(Unit.INCH) == (1.5875, 3.175, 6.35)
    assert ruler_steps(Unit.MM) == ruler_steps(Unit.CM) == (1, 5, 10)
    assert default_step(Unit.INCH) == 3.175
    assert default_step(Unit.MM) == default_step(Unit.CM) == 1
    for unit in Unit:
        assert default_step(unit) in ruler_steps(unit)


@pytest.mark.parametrize(("unit", "mm"), [(Unit.INCH, 25.4), (Unit.MM, 1), (Unit.CM, 10)])
def test_units(unit: Unit, mm: float) -> None:
    assert unit.mm == mm
    assert parse_length(f"1 {unit.label}", unit=Unit.MM) == mm
    assert Unit(unit.label) is unit


# --- In one piece ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("18 1/2 in", "18_1/2_in"),
        ("≈ 18 1/16 in", "≈_18_1/16_in"),
        ("18 ½ in", "18_½_in"),
        ("3 ³⁄₁₆ in", "3_³⁄₁₆_in"),
        ("³⁄₁₆ in", "³⁄₁₆_in"),
        ("470 mm", "470_mm"),
        ("47 cm", "47_cm"),
        ("2 3/8 yd", "2_3/8_yd"),
        ("1.2 m", "1.2_m"),
        ("18.25 L (19.3 qt, 4 cu in)", "18.25_L (19.3_qt, 4_cu in)"),
        ("1 lb 13 oz (816 g)", "1_lb 13_oz (816_g)"),
        ("both 45 lb (20.5 kg)", "both 45_lb (20.5_kg)"),
        ("2 large bags, 3 goods", "2 large bags, 3 goods"),
        ("cut 3 from 2 layers", "cut 3 from 2 layers"),
        ("It is left out: 3 in all.", "It is left out: 3 in all."),
        ("needle 90/14 for 2 needles", "needle 90/14 for 2 needles"),
        ("3 inner walls and 4 moths", "3 inner walls and 4 moths"),
    ],
)
def test_no_line_ends_within_a_length(text: str, kept: str) -> None:
    """UAX #14, Unicode line breaking: no line ends on either side of U+00A0 (class GL).

    Nor does one between a solidus and the digit behind it (rule LB25).
    """
    assert unbroken(text) == kept.replace("_", "\u00a0")
    assert unbroken(unbroken(text)) == unbroken(text)


@given(st.floats(-1e6, 1e6), st.sampled_from(Unit), st.sampled_from([None, 25.4 / 8]))
def test_what_is_copied_from_the_window_is_read_as_what_was_shown(
    mm: float, unit: Unit, step: float | None
) -> None:
    shown = format_length(mm, unit=unit, step=step)
    kept = unbroken(shown)
    assert " " not in kept
    assert parse_length(kept, unit=unit) == parse_length(shown, unit=unit)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("12.50", 12.5),
        (" .5 ", 0.5),
        ("3.", 3.0),
        ("+2", 2.0),
        ("9e2", 900.0),
        ("0", 0.0),
        ("0e5", 0.0),
        (".0E5", 0.0),
    ],
)
def test_a_number_is_read_in_plain_digits(text: str, number: float) -> None:
    assert parse_number(text) == number


@pytest.mark.parametrize(
    "text",
    [
        *(
            "",
            " ",
            "-1",
            "nan",
            "inf",
            "1_000",
            "1,5",
            "1 000",
            "0x10",
            "1e400",
            "1e-400",
            "%",
            ".",
        ),
        "\u0663",
    ],
)
def test_no_number_is_anything_else(text: str) -> None:
    assert parse_number(text) is None
