"""The bag: changing figures, leaving parts out, and what an edit may not touch."""

import pickle
from collections.abc import Mapping
from dataclasses import FrozenInstanceError, fields, is_dataclass, replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from core.bag.bag import Bag, cut_value, draft_bag, draft_walls, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute, measure_walls
from core.bag.parts import Parts
from core.bag.tables import (
    CUT_FIGURES,
    CUT_ROWS,
    FINISHED_FIGURES,
    FINISHED_ROWS,
    OWNERS,
    cut_figure,
    merged,
)
from core.base.errors import FieldError
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.table import BODIES
from core.flat.piece import Mark, MarkStyle
from core.flat.roles import Face, MarkRole
from core.model.figures import Quantity
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.parts.table import SLOTS
from core.redesign.request import RedesignRequest, targets
from core.site.site import PlacedMark
from core.storage.bag_files import sample
from core.tops.table import TOPS
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import bare, changed, demo, demo_panel, having, inch
from tests.strategies import bags, sewable_bags

CUT_NAMES = (
    "panel_width",
    "panel_length",
    "front_trim",
    "corner_cut_width",
    "corner_cut_depth",
    "corner_mark",
    "side_seam",
    "corner_seam",
    "zip_seam",
    "bottom_seam",
    "base_cut_width",
    "base_cut_depth",
    "corner_rounding",
    "body_width",
    "body_height",
    "body_pieces",
    "base_seam",
    "face_cut_width",
    "face_cut_height",
    "upper_rounding",
    "strip_width",
    "strip_length",
    "strip_pieces",
    "top_strip_length",
    "gusset_seam",
    "strip_seam",
    "zip_tape_width",
    "facing_depth",
    "rolls",
    "roll_depth",
    "pocket_cut_height",
    "pocket_drop",
    "handle_width",
    "handle_gap",
    "handle_stop",
    "handle_strips",
    "handle_last_strip",
    "goods_width",
    "board_width",
    "board_depth",
)
FINISHED_NAMES = (
    "opening_width",
    "base_width",
    "gusset_depth",
    "gusset_depth_at_side",
    "corner_mismatch",
    "face_height",
    "face_width",
    "gusset_mismatch",
    "corner_radius",
    "base_mismatch",
    "zip_offset",
    "zip_clearance",
    "pocket_height",
    "handle_loop",
    "handle_drop_front",
    "handle_drop_back",
    "box_volume",
    "inside_volume",
    "filled_volume",
    "inside_filled_volume",
)


def test_the_names_that_scripts_rely_on() -> None:
    assert {figure.name for figure in CUT_FIGURES if figure.published} == set(CUT_NAMES)
    published = {figure.name for figure in FINISHED_FIGURES if figure.published}
    assert published == set(FINISHED_NAMES)


@given(bags())
def test_every_figure_is_answered_or_the_bag_lacks_its_part(bag: Bag) -> None:
    result = compute(bag)
    assert set(result.cut) == {figure.name for figure in CUT_FIGURES}
    assert set(result.finished) == {figure.name for figure in FINISHED_FIGURES}
    lacks = {
        "pocket": bag.parts.get("pocket"),
        "handles": bag.parts.get("handles"),
        "board": bag.parts.get("board"),
    }
    for figure in CUT_FIGURES:
        gone = figure.part in lacks and lacks[figure.part] is None
        gone = gone or (figure.part == "top" and figure not in bag.top.FIGURES)
        gone = gone or (figure.part == "body" and figure not in bag.body.FIGURES)
        way = figure.when is not None and figure.when.attribute == "corners"
        gone = gone or (way and bag.body.corners not in figure.when.words)
        assert (result.cut[figure.name] is None) == gone, figure.name


@given(sewable_bags())
def test_setting_a_figure_to_its_own_value_changes_nothing(bag: Bag) -> None:
    own = {name: value for name, value in compute(bag).cut.items() if value is not None}
    assert with_figures(bag, own) == bag


@given(sewable_bags(), st.sampled_from(CUT_FIGURES))
def test_only_the_figure_that_is_set_changes(bag: Bag, figure: object) -> None:
    before = compute(bag).cut
    value = before[figure.name]
    assume(value is not None)
    step = 1 if figure.quantity is Quantity.COUNT else 0.5
    try:
        after = with_figures(bag, {figure.name: value + step})
    except FieldError:
        assume(False)
    assert cut_value(after, figure.name) == value + step
    may_change = {figure.name}
    if (
        figure.name == "goods_width"
        and bag.parts.get("handles")
        and bag.parts["handles"].last_strip is None
    ):
        may_change.add("handle_last_strip")  # as long as its goods are wide
    for name, other in compute(after).cut.items():
        assert name in may_change or other == before[name]


@given(sewable_bags())
def test_a_figure_that_does_not_touch_the_panel_leaves_its_sizes(bag: Bag) -> None:
    assume(bag.parts.get("board") is not None)
    wider = changed(bag, board_width=bag.parts["board"].width + 1)
    panel = [figure.name for figure in FINISHED_FIGURES if figure.part == "body"]
    before, after = compute(bag).finished, compute(wider).finished
    assert [before[name] for name in panel] == [after[name] for name in panel]


def test_changes_are_applied_together() -> None:
    # Neither alone is possible: the trim is longer than the face, the face than its trim.
    both = changed(demo(), panel_length=inch(80), front_trim=inch(30))
    assert both.body.front_length == inch(10)
    with pytest.raises(FieldError):
        changed(demo(), front_trim=inch(30))


def test_a_failed_change_leaves_the_bag_untouched() -> None:
    bag = demo()
    before = compute(bag).cut
    with pytest.raises(FieldError):
        with_figures(bag, {"pocket_drop": inch(5), "panel_width": -1.0})
    assert compute(bag).cut == before
    assert bag == demo()


def test_a_change_makes_a_new_bag_and_shares_what_it_leaves() -> None:
    bag = demo()
    wider = changed(bag, board_width=inch(10))
    assert wider is not bag
    assert wider.body is bag.body
    assert bag.parts.get("board") is not None
    assert bag.parts["board"].width == inch(10.125)


@given(sewable_bags())
def test_nothing_in_a_bag_can_be_overwritten(bag: Bag) -> None:
    records = [bag, *(getattr(bag, field.name) for field in fields(bag)), *bag.parts.values()]
    for record in records:
        if is_dataclass(record):
            for field in fields(record):
                with pytest.raises(FrozenInstanceError):
                    setattr(record, field.name, None)


def test_results_cannot_be_overwritten_either() -> None:
    result = compute(demo())
    with pytest.raises(AttributeError):
        result.findings = ()
    with pytest.raises(TypeError):
        result.finished["base_width"] = 0.0


@given(bags())
def test_the_same_bag_gives_the_same_answer(bag: Bag) -> None:
    assert compute(bag).finished == compute(replace(bag)).finished
    assert compute(bag).findings == compute(replace(bag)).findings
    assert hash(bag) == hash(replace(bag))


@given(sewable_bags())
def test_name_and_unit_do_not_change_the_bag(bag: Bag) -> None:
    renamed = replace(bag, name="another")
    assert compute(renamed).finished == compute(bag).finished


@pytest.mark.parametrize("part", ["pocket", "handles", "board", "zip"])
@given(bag=sewable_bags())
def test_leaving_a_part_out_twice_is_leaving_it_out_once(part: str, bag: Bag) -> None:
    once = without_part(bag, part)
    assert without_part(once, part) == once


@pytest.mark.parametrize("part", ["body", "sandwich", "top", "name", "__class__", ""])
def test_a_bag_keeps_its_panel(part: str) -> None:
    with pytest.raises(FieldError, match="pocket, handles, board or zip"):
        without_part(demo(), part)


@pytest.mark.parametrize(
    ("part", "name", "lacking"),
    [
        ("pocket", "pocket_drop", "pocket"),
        ("handles", "handle_gap", "handles"),
        ("board", "board_width", "base board"),
        ("zip", "zip_tape_width", "zip"),
    ],
)
def test_a_figure_of_a_part_that_is_not_there_cannot_be_set(
    part: str, name: str, lacking: str
) -> None:
    with pytest.raises(FieldError, match=f"this bag has no {lacking}") as caught:
        changed(without_part(demo(), part), **{name: 10.0})
    assert caught.value.field == name
    assert cut_figure(name).label in str(caught.value)
    assert cut_value(without_part(demo(), part), name) is None


@pytest.mark.parametrize(
    ("bag", "name", "told"),
    [
        ("coolbox", "bottom_seam", "it belongs to the construction Boxed panel, .*: Gusset strip"),
        ("wrap", "base_seam", "it belongs to the construction Separate base, .*: Wrap"),
        ("demo", "strip_length", "the construction Gusset strip or Wrap, .*: Boxed panel"),
        ("demo", "corner_radius", "the construction Gusset strip, Wrap or Separate base, "),
        ("demo", "zip_shift", "it belongs to the top Top strip, and that of this bag is: Zip"),
        ("jar", "body_end_width", "the body pieces of this bag are 2"),
    ],
)
def test_a_figure_of_another_construction_is_told_as_such(bag: str, name: str, told: str) -> None:
    with pytest.raises(FieldError, match=f"cannot be set: .*{told}") as caught:
        if name == "corner_radius":
            targets(RedesignRequest(wants={name: 10.0}), sample(bag), measure_walls(sample(bag)))
        else:
            changed(sample(bag), **{name: 10.0})
    assert caught.value.field == name


@pytest.mark.parametrize("name", ["base_width", "panel", "Panel_Width", "", "{label}"])
def test_only_cut_figures_can_be_set(name: str) -> None:
    with pytest.raises(FieldError, match="no cut figure called") as caught:
        with_figures(demo(), {name: 1.0})
    assert name in str(caught.value)


def test_counts_stay_whole_and_lengths_become_floats() -> None:
    bag = with_figures(demo(), {"handle_strips": 4.0, "panel_width": 500})
    assert bag.parts.get("handles") is not None
    assert type(bag.parts["handles"].strips) is int
    assert type(bag.body.width) is float


def test_every_table_is_listed_in_its_own_order() -> None:
    for kind in (*BODIES, *TOPS, *SLOTS):
        for own, every in ((kind.FIGURES, CUT_ROWS), (kind.FINISHED, FINISHED_ROWS)):
            assert [each for each in every if each in own] == list(own), kind
    assert sorted(map(id, CUT_ROWS)) == sorted(map(id, CUT_FIGURES))
    assert set(FINISHED_ROWS) == set(FINISHED_FIGURES)
    assert len(FINISHED_ROWS) == len(FINISHED_FIGURES)
    one, other = CUT_FIGURES[:2]
    with pytest.raises(ValueError, match="no order suits every table"):
        merged([(one, other), (other, one)])


def test_parts_are_listed_in_reading_order() -> None:
    parts = list(dict.fromkeys(figure.part for figure in CUT_FIGURES))
    assert parts == list(OWNERS)
    bag = demo()
    backwards = replace(bag, parts=Parts(reversed(list(bag.parts.values()))))
    assert backwards == bag
    assert hash(backwards) == hash(bag)
    assert [name for name, _ in backwards.members] == list(OWNERS)[:-1]
    assert [type(member) for _, member in backwards.members] == [
        BoxedPanel,
        ZipForward,
        Pocket,
        Handles,
        BaseBoard,
    ]
    assert pickle.loads(pickle.dumps(bag.parts)) == bag.parts


@pytest.mark.parametrize("style", HandleStyle)
@pytest.mark.parametrize("bottom", [0.0, 6.35])
@pytest.mark.parametrize("zipped", [True, False])
def test_every_construction_computes(style: HandleStyle, bottom: float, zipped: bool) -> None:
    bag = demo(body=demo_panel(bottom_seam=bottom))
    assert bag.parts.get("handles") is not None
    bag = having(bag, handles=replace(bag.parts["handles"], style=style))
    bag = bag if zipped else without_part(bag, "zip")
    names = {piece.label for piece in compute(bag).draft.pieces}
    assert ("zip" in names) == zipped
    assert ("panel" in names) == (bottom == 0.0)
    assert {"front pocket", "handle strip", "base board"} <= names


def test_a_bare_bag_is_only_its_panel() -> None:
    assert [piece.label for piece in compute(bare(demo_panel())).draft.pieces] == ["panel"]


@pytest.mark.parametrize("face", Face)
def test_a_body_is_given_the_marks_of_every_face(
    face: Face, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of the bottom and of the sides as well: a body that has pieces there draws them."""
    drawn = Mark(
        role=MarkRole.OUTLINE, owner="board", points=((0.0, 0.0), (1.0, 0.0)),
        style=MarkStyle.PLACEMENT, label="board", face=face,
    )  # fmt: skip
    given: list[Mapping[Face, tuple[Mark, ...]]] = []
    pieces = BoxedPanel.pieces
    monkeypatch.setattr(BaseBoard, "marks", lambda self, site: (PlacedMark(face, drawn),))
    monkeypatch.setattr(
        BoxedPanel, "pieces", lambda self, marks: given.append(marks) or pieces(self, marks)
    )
    draft_bag(demo())
    assert drawn in given[0][face]
    draft_walls(demo())
    assert given[1] == dict.fromkeys(Face, ())
