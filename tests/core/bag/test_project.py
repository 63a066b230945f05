"""Projects: what is kept beside the bag, and files of every version."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.making import LABELS, MOST, MOST_BAGS, WIDEST_GAP, Cutting, Load, Making
from core.bag.sewn_sample import Sample, sample_of
from core.base.errors import BagFileError, FieldError
from core.base.tolerance import without_sliver
from core.storage.bag_file import VERSION, project_to_json
from core.storage.bag_files import demo_bag, read_project
from core.storage.migrations import STEPS, brought_forward
from core.storage.project import MOST_VARIANTS, NamedBag, Project
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import changed, demo, project_from_json
from tests.strategies import bags, sewable_bags

FILES = Path(__file__).parents[2] / "files"
AS_KEPT = {
    "base_width": 292.09999999999997,
    "opening_width": 457.19999999999993,
    "gusset_depth": 165.1,
    "face_height": 390.525,
}
"""What the sample of a kept file was drawn to, to the last digit, whatever is measured today."""
names = st.text(st.characters(codec="utf-8"), min_size=1, max_size=20).filter(str.strip)

makings = st.builds(
    Making,
    bags=st.integers(1, MOST_BAGS),
    gap=st.floats(0.0, WIDEST_GAP).map(without_sliver),
    cutting=st.sampled_from(Cutting),
    folded=st.booleans(),
    mixed_grain=st.booleans(),
)


def loads() -> st.SearchStrategy[Load]:
    """Whatever may be said of load and thread."""
    return st.builds(
        Load, **{name: st.floats(float(name == "safety") or 1e-3, MOST[name]) for name in LABELS}
    )


@st.composite
def projects(draw: st.DrawFn) -> Project:
    """A bag with a starting bag, variants, a sample, pins, ticks, a load and a making."""
    bag = draw(sewable_bags())
    project = Project(
        bag=bag,
        starting=NamedBag(name=draw(names), bag=draw(bags())) if draw(st.booleans()) else None,
        samples={bag.body.KIND: _sample(bag, draw(st.booleans()))} if 70 < _face(bag) < 180 else {},
        pinned=draw(st.frozensets(st.sampled_from(["base_width", "panel_width"]))),
        seams_matched=draw(st.booleans()),
        ticked=draw(st.frozensets(names, max_size=3)),
        load=draw(st.none() | loads()),
        making=draw(makings),
    )
    for name in draw(st.lists(names, max_size=3)):
        project = project.with_variant(name, draw(bags()))
    return project


def _sample(bag: Bag, allowed_for: bool) -> Sample:
    return replace(sample_of(bag, {"face_height": 100.0}), allowed_for=allowed_for)


def _face(bag: Bag) -> float:
    return sample_of(bag, {}).drawn["face_height"]


def test_a_file_tells_whether_the_sample_is_allowed_for() -> None:
    sample = sample_of(demo(), {"face_height": 370.0})
    for allowed_for in (True, False):
        project = Project(
            bag=demo(), samples={"boxed-panel": replace(sample, allowed_for=allowed_for)}
        )
        text = project_to_json(project)
        assert json.loads(text)["sample"]["allowed_for"] is allowed_for
        assert project_from_json(text, source="x") == project


@settings(max_examples=40)
@given(projects())
def test_a_file_gives_back_its_project(project: Project) -> None:
    assert project_from_json(project_to_json(project), source="x") == project


def test_every_earlier_version_has_a_sample_and_a_step() -> None:
    assert sorted(STEPS) == list(range(1, VERSION))
    for version in STEPS:
        text = (FILES / f"bag_version_{version}.json").read_text()
        assert json.loads(text)["version"] == version
        assert json.loads(project_to_json(project_from_json(text, source="x")))["version"] == (
            VERSION
        )


def kept_bag() -> Bag:
    """The bag that the kept files hold: the demo bag's goods, cut to measures of its own."""
    return changed(
        demo_bag(),
        corner_cut_width=82.55,
        side_seam=6.35,
        corner_seam=6.35,
        zip_seam=6.35,
        pocket_seam=6.35,
        handle_width=25.4,
        board_width=285.75,
        board_depth=158.75,
        baste_line=4.7625,
    )


def test_a_file_of_version_1_is_its_bag_with_nothing_beside_it() -> None:
    # The kept file is older than the mark that the bag's lining melts.
    bag = kept_bag()
    *others, lining = bag.sandwich.layers
    layers = (*others, replace(lining, melts=False))
    unmarked = replace(bag, sandwich=replace(bag.sandwich, layers=layers))
    assert read_project(FILES / "bag_version_1.json") == Project(bag=unmarked)


def test_a_file_of_version_2_has_all_that_was_kept_beside_its_bag() -> None:
    bag = kept_bag()
    assert read_project(FILES / "bag_version_2.json") == Project(
        bag=changed(bag, corner_cut_depth=88.9, corner_cut_width=95.25),
        starting=NamedBag(name="Quince Row carrier, as sold", bag=bag),
        variants=(NamedBag(name="wide", bag=changed(bag, panel_width=520.7)),),
        samples={"boxed-panel": Sample(drawn=AS_KEPT, measured={"face_height": 385.0})},
        pinned=frozenset({"base_width", "panel_width"}),
        seams_matched=False,
        ticked=frozenset({"baste", "cut"}),
        load=Load(density=400.0),
        making=Making(),
    )


def test_a_file_of_version_3_keeps_its_loop_on_strips_as_long_as_the_goods_are_wide() -> None:
    """Strips of 900 mm on goods of 1066.8 mm: 3 (900 - 12.7) is 2 whole strips and 566.4 mm."""
    project = read_project(FILES / "bag_version_3.json")
    handles = project.bag.parts.get("handles")
    assert handles is not None
    assert handles.loop(project.bag.site) == pytest.approx(3 * (900 - 12.7))
    assert (handles.strips, handles.last_strip) == (3, pytest.approx(566.4))
    assert project.starting is not None
    assert project.starting.bag.parts.get("handles") == replace(handles, last_strip=None)


def test_strips_that_their_goods_cannot_give_get_goods_of_their_own() -> None:
    """Version 3 let strips be 1066.8 mm long on an outer layer 12 mm wide."""
    (narrow,) = read_project(FILES / "bag_version_3.json").variants
    assert narrow.bag.supplies.handles is not None
    assert narrow.bag.supplies.handles.usable_width == 1066.8
    assert narrow.bag.sandwich.layers[0].usable_width == 12.0


def test_a_file_of_version_3_has_a_ready_made_zip_of_a_usual_length() -> None:
    bag = read_project(FILES / "bag_version_3.json").bag
    assert isinstance(bag.top, ZipForward)
    assert not bag.top.by_length
    assert bag.supplies.zip_lengths is None


def test_a_file_of_version_3_says_by_words_what_its_layers_are_good_for() -> None:
    layers = read_project(FILES / "bag_version_3.json").bag.sandwich.layers
    assert [layer.fusible for layer in layers] == [False, True, False, False]
    assert [layer.insulating for layer in layers] == [False, False, True, False]
    assert [layer.wipe_clean for layer in layers] == [False, False, False, True]
    assert [layer.laid_last for layer in layers] == [False, False, False, True]


def test_a_step_forward_leaves_its_document_alone() -> None:
    document = {"version": 1, "name": "x"}
    assert brought_forward(document)["version"] == VERSION
    assert document == {"version": 1, "name": "x"}


def test_a_variant_of_the_same_name_is_replaced() -> None:
    project = Project(bag=demo()).with_variant("deeper", demo())
    other = changed(demo(), panel_width=500.0)
    project = project.with_variant(" deeper ", other)
    assert [kept.name for kept in project.variants] == ["deeper"]
    assert project.variant("deeper") == other
    assert project.without_variant("deeper").variants == ()
    with pytest.raises(KeyError):
        project.variant("other")


@pytest.mark.parametrize(
    ("name", "told"),
    [("", "1 to 80 characters"), ("  ", "1 to 80 characters"), ("x" * 81, "81 .* at most 80")],
)
def test_a_name_must_be_one(name: str, told: str) -> None:
    with pytest.raises(FieldError, match=told):
        Project(bag=demo()).with_variant(name, demo())


def test_a_file_keeps_so_many_variants() -> None:
    project = Project(bag=demo())
    for number in range(MOST_VARIANTS):
        project = project.with_variant(str(number), demo())
    with pytest.raises(FieldError, match="at most 50"):
        project.with_variant("one more", demo())


def test_a_long_name_of_nothing_is_told_short() -> None:
    name = "face_" + "[{x}" * 500
    told = json.dumps({"drawn": {}, "measured": {name: 1.0}, "allowed_for": False})
    text = project_to_json(Project(bag=demo())).replace('"sample": null', f'"sample": {told}')
    with pytest.raises(BagFileError, match="is not measured on a sample") as caught:
        project_from_json(text, source="mine.json")
    assert len(str(caught.value)) < 120


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"pinned": []', '"pinned": ["shoe size"]', "no figure called shoe size"),
        ('"starting": null', '"starting": {"name": "\\u2028", "bag": BAG}', "Name is “[?]”"),
        ('"variants": []', '"variants": 3', "variants must be a list"),
        ('"starting": null', '"starting": {"name": "x"}', "bag of starting is missing"),
        (
            '"sample": null',
            '"sample": {"drawn": {}, "measured": {"x": 1}, "allowed_for": true}',
            "x is not measured on a sample",
        ),
        ('"load": null', '"load": {"density": 300.0}', "needle thread of load is missing"),
        (
            '"load": null',
            '"load": {"density": -1, "needle_thread": 2, "bobbin_thread": 2, "safety": 10}',
            "Density of the load is −1",
        ),
        ('"bags": 1', '"bags": 0', "Number of bags is 0: it must be a whole number from 1 to 1000"),
        ('"bags": 1', '"bags": 2.5', "bags of making must be a whole number"),
        ('"gap": 0.0', '"gap": -1', "Gap is -1 mm: it must be from 0"),
        ('"cutting": "free"', '"cutting": "laser"', "cutting of making must be free or rows"),
        ('"corners_matched": true', '"corners_matched": 1', "corners matched must be true or"),
    ],
)
def test_what_is_kept_is_checked_too(old: str, new: str, told: str) -> None:
    text = project_to_json(Project(bag=demo()))
    assert old in text
    bag = text[: text.index('"starting"')].rstrip().rstrip(",") + "}"
    with pytest.raises(BagFileError, match=told):
        project_from_json(text.replace(old, new.replace("BAG", bag)), source="mine.json")


def test_two_variants_of_one_name_are_refused() -> None:
    kept = NamedBag(name="deeper", bag=demo())
    with pytest.raises(FieldError, match="deeper"):
        Project(bag=demo(), variants=(kept, kept))


def test_a_variant_is_renamed_in_its_place() -> None:
    bag = demo()
    project = Project(bag=bag).with_variant("Tall", bag).with_variant("Wide", bag)
    renamed = project.with_variant_renamed("Tall", " High ")
    assert [each.name for each in renamed.variants] == ["High", "Wide"]
    for wrong in ("Wide", "", " ", "x" * 81):
        with pytest.raises(FieldError):
            project.with_variant_renamed("Tall", wrong)
