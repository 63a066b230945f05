"""What figures are, by name: the one description stands in their tables, these lists only here.

The lists are own choices of what this program offers, no source.
"""

import ast
from pathlib import Path

import pytest

from core.bag.figures import (
    MEASURABLE,
    PINNABLE,
    WANTED,
    figure_of,
    is_box,
    is_cut,
    is_filled,
    is_matched,
    is_taut,
    is_volume,
    label_of,
)
from core.bag.sewn_sample import SAMPLED
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import FieldError
from core.model.figures import Direction, Quantity, Ruled

ROOT = Path(__file__).parents[3]
NAMES = [figure.name for figure in (*FINISHED_FIGURES, *CUT_FIGURES)]
BOXES, FILLED = {"box_volume", "inside_volume"}, {"filled_volume", "inside_filled_volume"}
DROPS = {"handle_drop_front", "handle_drop_back"}
SHOWN_ONLY = {
    "gusset_depth_at_side",
    "corner_mismatch",
    "gusset_mismatch",
    "base_mismatch",
    "base_end_mismatch",
    "zip_clearance",
    "rolled_height",
    "pocket_side_compartment",
    "pocket_middle_compartment",
}
CORNERS = {"corner_cut_width", "corner_cut_depth", "corner_mark"}
PANEL = {"panel_width", "panel_length", "front_trim"} | CORNERS
STRIP = {"face_cut_width", "face_cut_height", "strip_width", "strip_length", "top_strip_length"}
BASE = {"base_cut_width", "base_cut_depth", "body_width", "body_end_width", "body_height"}
BODIES = PANEL | STRIP | BASE | {"corner_rounding"}
MATCHED = {
    "corner_mismatch": "matched corners",
    "gusset_mismatch": "matched strip",
    "base_mismatch": "walls that fit the base",
    "base_end_mismatch": "sides that fit the base",
}
BOARD = {"board_width", "board_depth"}


def finished(**wanted: object) -> set[str]:
    """Names of the finished figures with these attributes."""
    return _having(FINISHED_FIGURES, wanted)


def cut(**wanted: object) -> set[str]:
    """Names of the cut figures with these attributes."""
    return _having(CUT_FIGURES, wanted)


def _having(figures: object, wanted: dict[str, object]) -> set[str]:
    ((attribute, value),) = wanted.items()
    return {figure.name for figure in figures if getattr(figure, attribute) == value}


def test_figures_are_told_apart_by_how_they_follow() -> None:
    assert {name for name in NAMES if is_box(name)} == BOXES
    assert {name for name in NAMES if is_filled(name)} == FILLED
    assert {name for name in NAMES if is_volume(name)} == BOXES | FILLED
    assert {name for name in NAMES if is_taut(name)} == DROPS
    assert finished(inside=True) == {"inside_volume", "inside_filled_volume"}
    assert {name for name in NAMES if is_cut(name)} == {figure.name for figure in CUT_FIGURES}
    assert {name for name in NAMES if is_matched(name)} == set(MATCHED)
    assert {figure.name: figure.matched for figure in FINISHED_FIGURES if figure.matched} == MATCHED
    less = {*MATCHED, "zip_clearance", "rolled_height"}
    assert finished(may_be_negative=True) == less | DROPS


def test_what_is_wanted_and_pinned() -> None:
    assert finished(wanted=False) == SHOWN_ONLY
    assert set(WANTED) == {figure.name for figure in FINISHED_FIGURES} - SHOWN_ONLY
    cut_pins = BODIES | BOARD | {"pocket_cut_height", "handle_strips", "handle_last_strip"}
    assert set(PINNABLE) - WANTED == cut_pins == cut(pinnable=True)


def test_what_a_ruler_rounds_and_what_lies_in_the_sewn_bag() -> None:
    assert cut(ruled=Ruled.TOGETHER) == BODIES
    assert cut(ruled=Ruled.NEAREST) == {"handle_stop", "pocket_cut_height", "pocket_drop"}
    assert cut(ruled=Ruled.PART) == BOARD | {"handle_last_strip"}
    assert cut(in_sewn_bag=True) == BOARD


def test_what_is_measured_on_a_bag_and_on_a_sample() -> None:
    assert MEASURABLE == (
        "base_width",
        "gusset_depth",
        "face_height",
        "opening_width",
        "face_width",
        "corner_radius",
        "zip_offset",
        "pocket_height",
        "handle_drop_front",
        "handle_drop_back",
    )
    assert dict(SAMPLED) == {
        "base_width": Direction.ACROSS,
        "gusset_depth": Direction.DEEP,
        "face_height": Direction.UP,
        "opening_width": Direction.ACROSS,
        "face_width": Direction.ACROSS,
    }


def test_what_is_told_while_a_line_is_moved() -> None:
    assert {figure.name: figure.tells for figure in CUT_FIGURES if figure.tells} == {
        "panel_width": ("base_width",),
        "panel_length": ("face_height",),
        "front_trim": ("zip_offset",),
        "corner_cut_width": ("base_width", "corner_mismatch"),
        "corner_cut_depth": ("gusset_depth", "corner_mismatch"),
        "corner_mark": ("base_width", "gusset_depth"),
        "face_cut_width": ("face_width", "gusset_depth"),
        "face_cut_height": ("face_height",),
        "corner_rounding": ("corner_radius",),
        "strip_width": ("gusset_depth", "face_width"),
        "strip_length": ("gusset_mismatch",),
        "top_strip_length": ("opening_width",),
        "base_cut_width": ("base_width", "base_mismatch"),
        "base_cut_depth": ("gusset_depth", "base_mismatch"),
        "body_width": ("base_mismatch",),
        "body_end_width": ("base_mismatch",),
        "body_height": ("face_height",),
        "pocket_cut_height": ("pocket_height",),
        "handle_gap": ("handle_drop_front",),
        "handle_stop": ("handle_drop_front",),
        "handle_back_lower": ("handle_drop_back",),
    }


def test_a_figure_is_found_by_its_name() -> None:
    assert figure_of("box_volume").quantity is Quantity.VOLUME
    assert figure_of("handle_strips").quantity is Quantity.COUNT
    assert figure_of("base_width").quantity is figure_of("panel_width").quantity is Quantity.LENGTH
    assert (label_of("base_width"), label_of("panel_width")) == ("Base width", "Panel width")
    with pytest.raises(FieldError, match="shoe_size"):
        label_of("shoe_size")


def test_names_that_an_attribute_gives_are_those_of_figures() -> None:
    named = [name for figure in CUT_FIGURES for name in figure.tells]
    named += [figure.loses_with for figure in FINISHED_FIGURES if figure.loses_with]
    assert len(named) == 29
    assert {figure.name for figure in FINISHED_FIGURES} >= set(named)


@pytest.mark.parametrize("room", ["core/redesign", "core/solid", "app/session"])
def test_rooms_that_serve_every_bag_name_no_figure(room: str) -> None:
    files = sorted((ROOT / room).rglob("*.py"))
    assert len(files) > 5
    found = [
        f"{path.name}:{node.lineno} {node.value}"
        for path in files
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in NAMES
    ]
    assert found == []
