"""Impossible sizes of the whole bag, and the sentences that refuse them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.compute import compute
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import (
    BagFileError,
    CommandError,
    CornerwrightError,
    ExportError,
    FieldError,
    did_you_mean,
)
from core.base.sentences import say
from core.goods.layers import MOST_LAYERS, Sandwich
from core.parts.handles.figures import HandleStyle
from tests.helpers import changed, demo, inch, layer
from tests.strategies import sewable_bags


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"front_trim": inch(19.25)}, "front_trim", "Front trim is 488.95 mm: it must be less"),
        ({"front_trim": inch(30)}, "front_trim", "less than the back, 488.95 mm"),
        ({"corner_cut_width": inch(9.25)}, "corner_cut_width", "half the panel, 234.95 mm"),
        ({"corner_cut_depth": inch(17.75)}, "corner_cut_depth", "the front, 450.85 mm"),
        ({"side_seam": inch(9.25)}, "side_seam", "half the panel, 234.95 mm"),
        ({"zip_seam": inch(18)}, "zip_seam", "Zip seam or hem is 457.2 mm: it must be less"),
        ({"zip_seam": inch(0.625)}, "zip_seam", "two zip seams, 31.75 mm"),
        ({"zip_tape_width": inch(0.75)}, "zip_tape_width", "two zip seams, 19.05 mm"),
        ({"pocket_cut_height": inch(0.75)}, "pocket_cut_height", "the pocket seam, 19.05 mm"),
        ({"handle_stop": inch(17.75)}, "handle_stop", "less than the front, 450.85 mm"),
        ({"handle_width": 1.5875}, "handle_width", "more than 1.5875 mm"),
        ({"goods_width": 12.7}, "goods_width", "more than 12.7 mm"),
        ({"handle_last_strip": 12.7}, "handle_last_strip", "more than 12.7 mm"),
        (
            {"handle_last_strip": inch(42.1)},
            "handle_last_strip",
            "the width of its material, 1066.8 mm",
        ),
        ({"bottom_seam": inch(17.6)}, "bottom_seam", "it must be less than the front"),
    ],
)
def test_sizes_that_cannot_be_drawn_are_refused(
    changes: dict[str, float], field: str, words: str
) -> None:
    with pytest.raises(FieldError) as caught:
        changed(demo(), **changes)
    assert caught.value.field == field
    assert words in str(caught.value)


def test_a_separate_handles_leg_must_end_above_the_bottom() -> None:
    bag = demo()
    with pytest.raises(FieldError, match=r"end above the bottom, within 323\.85 mm") as caught:
        demo(
            handles=type(bag.parts["handles"])(
                style=HandleStyle.SEPARATE,
                width=inch(1),
                gap=inch(5),
                stop=inch(5),
                strips=2,
                leg=inch(12.8),
            )
        )
    assert caught.value.field == "handle_leg"


def test_pressed_layers_are_not_thicker_than_loose_ones() -> None:
    with pytest.raises(FieldError, match=r"at most the unpressed thickness, 0\.5 mm"):
        layer(pressed=0.6)


@pytest.mark.parametrize("count", [0, MOST_LAYERS + 1])
def test_a_sandwich_has_some_layers_and_not_too_many(count: int) -> None:
    with pytest.raises(FieldError, match="1 to 12 layers") as caught:
        Sandwich(layers=(layer(),) * count)
    assert caught.value.field == "layers"


figures = st.sampled_from(CUT_FIGURES)
numbers = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True),
    st.integers(-(10**30), 10**30),
    st.floats(0, 600),
    st.sampled_from([0, 0.0, -0.0, 1e-300, 5e-324, 5000.0, 10000.0]),
)


@given(sewable_bags(), st.dictionaries(figures.map(lambda each: each.name), numbers, max_size=4))
def test_a_change_is_either_computed_or_refused_in_one_sentence(
    bag: Bag, changes: dict[str, float]
) -> None:
    try:
        after = with_figures(bag, changes)
    except FieldError as error:
        text = str(error)
        assert text.endswith(".")
        assert "\n" not in text
        assert not set("{}") & set(text)
        return
    result = compute(after)
    assert all(value is None or not math.isnan(value) for value in result.finished.values())


@pytest.mark.parametrize("kind", [BagFileError, ExportError, CommandError])
def test_every_error_is_one_sentence_under_one_root(kind: type[CornerwrightError]) -> None:
    error = kind("The file is empty.")
    assert isinstance(error, CornerwrightError)
    assert str(error) == error.sentence.text() == "The file is empty."


def test_a_field_error_keeps_what_was_offered() -> None:
    error = FieldError("Panel width is x: it must be a number.", field="panel_width", value="x")
    assert (error.field, error.value) == ("panel_width", "x")
    assert isinstance(error, CornerwrightError)
    with pytest.raises(CornerwrightError, match="must be a number"):
        raise error


FIGURES = [figure.name for figure in (*CUT_FIGURES, *FINISHED_FIGURES)]


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("PANEL_WIDTH", "panel_width"),
        ("Panel width", "panel_width"),
        ("panel-width", "panel_width"),
        ("pocket_hieght", "pocket_height"),
        ("panel_widht", "panel_width"),
        ("gusset", "gusset_seam, gusset_depth, gusset_depth_at_side or gusset_mismatch"),
        ("guset", "gusset_seam, gusset_depth, gusset_depth_at_side or gusset_mismatch"),
        ("handle_drop", "handle_drop_front or handle_drop_back"),
        ("volume", "box_volume, inside_volume, filled_volume or inside_filled_volume"),
        ("trim", "front_trim"),
    ],
)
def test_what_was_meant_is_found(name: str, meant: str) -> None:
    assert did_you_mean(say("No."), name, FIGURES).text() == f"No. Did you mean {meant}?"


@pytest.mark.parametrize("name", ["", "---", "xyzzy", "\x1b[31m", "{x}", "9" * 5000])
def test_nothing_is_offered_for_a_name_like_none(name: str) -> None:
    assert did_you_mean(say("No."), name, FIGURES).text() == "No."
