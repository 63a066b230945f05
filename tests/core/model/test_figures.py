"""The table of figures: every entry says what it is, and refuses what it cannot be."""

import math
import re

import pytest

from core.bag.bag import cut_value, with_figures
from core.bag.choices import with_choice
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES, OWNERS
from core.base.errors import FieldError
from core.base.tolerance import LEAST_LENGTH
from core.goods.layers import Layer
from core.model.figures import CutFigure, Quantity
from tests.helpers import ELSEWHERE, demo, layer

LENGTHS = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH]
COUNTS = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.COUNT]
ZERO_REFUSED = [figure for figure in CUT_FIGURES if figure.above_low or figure.low > 0]


def named(figure: CutFigure) -> str:
    return figure.name


def refusal(figure: CutFigure, value: object) -> FieldError:
    with pytest.raises(FieldError) as caught:
        with_figures(demo(), {figure.name: value})
    return caught.value


def assert_says_which_and_what(error: FieldError, figure: CutFigure, value: object) -> None:
    text = str(error)
    assert error.field == figure.name
    assert error.value is value
    assert text.startswith(f"{figure.label} is ")
    assert re.search(r": it must be .+\.$", text), text
    assert text.count(".") - len(re.findall(r"\d\.\d", text)) == 1
    assert not set("{}") & set(text)


@pytest.mark.parametrize("figure", CUT_FIGURES, ids=named)
@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, -1.0, True, False, 10**400])
def test_what_is_no_size_is_refused(figure: CutFigure, value: object) -> None:
    if value == -1.0 and figure.low < 0.0:
        pytest.skip("it goes either way")
    assert_says_which_and_what(refusal(figure, value), figure, value)


@pytest.mark.parametrize(("value", "told"), [(-6.0, "−6"), (2.5, "2.5"), (-3, "−3"), (0, "0")])
def test_a_count_that_is_refused_reads_as_a_count(value: float, told: str) -> None:
    (strips,) = (figure for figure in COUNTS if figure.name == "handle_strips")
    assert str(refusal(strips, value)).startswith(f"Handle strips is {told}: it must be ")


@pytest.mark.parametrize("figure", CUT_FIGURES, ids=named)
@pytest.mark.parametrize("value", ["12", "", None, [1.0], 1j, "{label}" * 100])
def test_what_is_no_number_is_refused(figure: CutFigure, value: object) -> None:
    error = refusal(figure, value)
    assert error.field == figure.name
    assert str(error).startswith(f"{figure.label} is ")
    assert str(error).endswith("it must be a number.")
    assert len(str(error)) < 120


@pytest.mark.parametrize("figure", ZERO_REFUSED, ids=named)
def test_zero_is_refused_where_something_must_be_there(figure: CutFigure) -> None:
    assert_says_which_and_what(refusal(figure, 0), figure, 0)


@pytest.mark.parametrize(
    "name",
    [
        "front_trim",
        "side_seam",
        "corner_seam",
        "zip_seam",
        "bottom_seam",
        "corner_cut_width",
        "corner_cut_depth",
        "pocket_drop",
        "handle_gap",
        "handle_stop",
    ],
)
def test_zero_is_a_size_where_nothing_need_be_there(name: str) -> None:
    assert cut_value(with_figures(demo(), {name: 0.0}), name) == 0.0


@pytest.mark.parametrize("figure", CUT_FIGURES, ids=named)
def test_ten_kilometres_are_refused(figure: CutFigure) -> None:
    error = refusal(figure, 10_000_000.0)
    assert_says_which_and_what(error, figure, error.value)
    assert "at most" in str(error)


@pytest.mark.parametrize("figure", COUNTS, ids=named)
@pytest.mark.parametrize("value", [2.5, 0, 61, 1e300])
def test_counts_are_whole_and_within_their_range(figure: CutFigure, value: float) -> None:
    error = refusal(figure, value)
    assert_says_which_and_what(error, figure, value)
    assert "mm" not in str(error)


@pytest.mark.parametrize("figure", LENGTHS, ids=named)
def test_the_ends_of_a_range_belong_to_it(figure: CutFigure) -> None:
    figure.check(figure.high)
    if figure.above_low:
        with pytest.raises(FieldError, match="more than"):
            figure.check(figure.low)
        figure.check(max(math.nextafter(figure.low, math.inf), LEAST_LENGTH))
    else:
        figure.check(figure.low)
    with pytest.raises(FieldError, match="at most"):
        figure.check(math.nextafter(figure.high, math.inf))


@pytest.mark.parametrize("figure", (*CUT_FIGURES, *FINISHED_FIGURES), ids=lambda each: each.name)
def test_every_figure_has_label_help_and_a_part(figure: CutFigure) -> None:
    assert re.fullmatch(r"[a-z]+(_[a-z]+)*", figure.name)
    assert figure.label[0].isupper()
    assert figure.label == figure.label.strip()
    assert figure.help.endswith(".")
    assert figure.part in OWNERS


def test_names_are_unique_and_labels_too() -> None:
    every = [*CUT_FIGURES, *FINISHED_FIGURES]
    assert len({figure.name for figure in every}) == len(every)
    assert len({(figure.part, figure.label) for figure in every}) == len(every)


@pytest.mark.parametrize(
    "figure", [each for each in CUT_FIGURES if each.name not in ELSEWHERE], ids=named
)
def test_every_figure_of_the_demo_is_read_back(figure: CutFigure) -> None:
    bag = with_choice(demo(), "corners", "sewn-across" if figure.name == "corner_mark" else "cut")
    assert cut_value(bag, figure.name) is not None
    assert figure.low <= cut_value(bag, figure.name) <= figure.high


@pytest.mark.parametrize("figure", Layer.RANGES, ids=named)
@pytest.mark.parametrize("value", [math.nan, math.inf, -0.1, True, "1", 10**400])
def test_layers_refuse_what_is_no_size(figure: CutFigure, value: object) -> None:
    with pytest.raises(FieldError) as caught:
        layer(**{figure.attribute: value})
    assert caught.value.field == figure.name
    assert str(caught.value).startswith(figure.label)


@pytest.mark.parametrize("attribute", ["mass_per_area", "price_per_length"])
@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0, "12", None, True, 10**400])
def test_layers_refuse_impossible_mass_and_price(attribute: str, value: object) -> None:
    with pytest.raises(FieldError, match="Layer"):
        layer(**{attribute: value})
