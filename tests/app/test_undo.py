"""Undo gives back what was there, byte for byte, whatever was done in between."""

import gc
import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from weakref import ref

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.document import Document
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.making import Cutting, Load, Making
from core.bag.tables import CUT_FIGURES
from core.base.errors import CornerwrightError
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, sample
from core.storage.project import Project
from tests.helpers import demo, project_from_json

Command = Callable[[Document], None]
NAMES = [figure.name for figure in CUT_FIGURES]


def set_figure(name: str, value: float, held: bool) -> Command:
    def do(document: Document) -> None:
        document.set_figures({name: value}, name, merge_key=name if held else None)

    return do


def step_figure(name: str, share: float) -> Command:
    """Change a figure by a share of what it is: mostly possible."""

    def do(document: Document) -> None:
        figure = next(each for each in CUT_FIGURES if each.name == name)
        part = document.bag.owner(figure.part)
        value = getattr(part, figure.attribute, None)
        if value is not None:
            document.set_figures({name: value * share}, name, merge_key=name)

    return do


def fix(place: int) -> Command:
    def do(document: Document) -> None:
        offered = [fix for each in document.result.findings for fix in each.fixes]
        if offered:
            document.apply_fix(offered[place % len(offered)], "fix")

    return do


def leave_out(part: str) -> Command:
    def do(document: Document) -> None:
        document.replace_bag(without_part(document.bag, part), part)

    return do


def turn_to(name: str) -> Command:
    return lambda document: _put(document, name)


def _put(document: Document, name: str) -> None:
    document.replace_bag(sample(name), f"open {name}")


def keep(name: str) -> Command:
    def do(document: Document) -> None:
        document.keep(document.project.with_variant(name, document.bag))

    return do


def name_starting(name: str) -> Command:
    def do(document: Document) -> None:
        document.keep(document.project.with_starting(name))

    return do


def rename_kept(place: int, name: str) -> Command:
    def do(document: Document) -> None:
        kept = document.project.variants
        if kept:
            present = kept[place % len(kept)].name
            document.keep(document.project.with_variant_renamed(present, name))

    return do


def delete_kept(place: int) -> Command:
    def do(document: Document) -> None:
        kept = document.project.variants
        if kept:
            name = kept[place % len(kept)].name
            document.keep(document.project.without_variant(name))

    return do


def tick(key: str) -> Command:
    def do(document: Document) -> None:
        project = document.project
        document.keep(replace(project, ticked=project.ticked ^ {key}))

    return do


def edit_layers(order: list[int], role: str) -> Command:
    """Take some of the layers in another order, the first under another name."""

    def do(document: Document) -> None:
        sandwich = document.bag.sandwich
        sources = [place for place in order if place < len(sandwich.layers)]
        if sources:
            first, *others = (sandwich.layers[place] for place in sources)
            layers = (replace(first, role=role), *others)
            bag = replace(document.bag, sandwich=replace(sandwich, layers=layers))
            document.replace_bag(bag, "layers")

    return do


def pin(name: str) -> Command:
    def do(document: Document) -> None:
        pinned = document.project.pinned ^ {name}
        document.replace_project(replace(document.project, pinned=pinned), "pin")

    return do


def load(density: float) -> Command:
    def do(document: Document) -> None:
        other = replace(Load(), density=density)
        document.replace_project(replace(document.project, load=other), "load")

    return do


def make(bags: int, gap: float, cutting: Cutting) -> Command:
    def do(document: Document) -> None:
        making = Making(bags=bags, gap=gap, cutting=cutting, folded=bags % 2 == 0)
        project = replace(document.project, making=making)
        document.replace_project(project, "make", merge_key="bags")

    return do


def save(document: Document) -> None:
    document.mark_saved(Path("mine.json"))


def undo(document: Document) -> None:
    document.undo_stack.undo()


def redo(document: Document) -> None:
    document.undo_stack.redo()


values = st.floats(-10.0, 3000.0) | st.sampled_from([0.0, -0.0, float("nan"), float("inf"), 3])
texts = st.text(st.characters(codec="utf-8"), min_size=1, max_size=9).filter(str.strip)
commands = st.one_of(
    st.builds(set_figure, st.sampled_from(NAMES), values, st.booleans()),
    st.builds(step_figure, st.sampled_from(NAMES), st.floats(0.5, 1.5)),
    st.builds(step_figure, st.sampled_from(NAMES), st.sampled_from([-0.0, 1.0])),
    st.builds(fix, st.integers(0, 9)),
    st.builds(leave_out, st.sampled_from(["pocket", "handles", "board", "zip"])),
    st.builds(turn_to, st.sampled_from(SAMPLES)),
    st.builds(keep, texts),
    st.builds(name_starting, texts),
    st.builds(rename_kept, st.integers(0, 9), texts),
    st.builds(delete_kept, st.integers(0, 9)),
    st.builds(tick, st.sampled_from(["hem", "zip"])),
    st.builds(edit_layers, st.permutations(range(4)).map(lambda order: order[:3]), texts),
    st.builds(pin, st.sampled_from(["base_width", "panel_width"])),
    st.builds(load, st.floats(1.0, 500.0)),
    st.builds(make, st.integers(1, 1000), st.floats(-0.0, 200.0), st.sampled_from(Cutting)),
    st.sampled_from([save, undo, redo]),
)


def started() -> Document:
    """A document whose file also holds what is not ours, everywhere."""
    bag = sample("demo")
    project = Project(bag=bag).with_variant("one", bag).with_variant("two", bag)
    file = json.loads(project_to_json(project.with_starting("start")))
    file["shelf"] = [1, 2.50]
    for number, group in enumerate((file, *(each["bag"] for each in file["variants"]))):
        group["handles"]["seen"] = number
        for place, layer in enumerate(group["sandwich"]["layers"]):
            layer["bolt"] = [number, place]
    for number, kept in enumerate((file["starting"], *file["variants"])):
        kept["mark"] = number
    return Document(project_from_json(json.dumps(file), source="x"))


@settings(max_examples=120, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(commands, max_size=25))
@example(  # a step that ends where it began, but for the sign of its zero
    [
        set_figure("front_trim", 0.0, False),
        set_figure("front_trim", 5.0, True),
        set_figure("front_trim", -0.0, True),
    ]
)
def test_as_many_undos_give_the_first_bag_back_and_leave_what_is_kept(
    qapp: QApplication, done: list[Command]
) -> None:
    document = started()
    stack = document.undo_stack
    first = undoable(document)
    states = {0: first}
    for command in done:
        with suppress(CornerwrightError):  # what cannot be is refused
            command(document)
        for forgotten in [index for index in states if index > stack.count()]:
            del states[forgotten]
        states[stack.index()] = undoable(document)
    while stack.canRedo():
        stack.redo()
    last = project_to_json(document.project)
    beside = kept_beside(document.project)
    while stack.canUndo():
        stack.undo()
        assert undoable(document) == states[stack.index()]
        assert kept_beside(document.project) == beside
    assert undoable(document) == first
    while stack.canRedo():
        stack.redo()
    assert project_to_json(document.project) == last


def undoable(document: Document) -> str:
    """What the steps hold, byte for byte: all but what is kept beside the bag."""
    bare = replace(document.project, starting=None, variants=(), samples={}, ticked=frozenset())
    return project_to_json(bare)


def kept_beside(project: Project) -> object:
    return project.starting, project.variants, project.samples, project.ticked


def test_saving_forgets_no_step(qapp: QApplication) -> None:
    document = started()
    first = project_to_json(document.project)
    document.set_figures({"panel_width": 500.0}, "wider")
    document.mark_saved(Path("mine.json"))
    document.set_figures({"panel_width": 510.0}, "wider still")
    assert not document.saved
    document.undo_stack.undo()
    assert document.saved
    document.undo_stack.undo()
    assert not document.saved
    assert project_to_json(document.project) == first


def test_a_document_that_nobody_has_any_more_goes_in_peace(qtbot: QtBot) -> None:
    document = Document(demo())
    for width in (480.0, 490.0, 500.0):
        document.set_figures({"panel_width": width}, "Panel width")
    gone = ref(document)
    del document
    gc.collect()  # a ring of document, stack and steps ends the process here
    assert gone() is None


def test_bags_in_memory_after_a_hold_are_the_opened_one_its_first_and_its_last(
    qapp: QApplication,
) -> None:
    document, width = Document(demo()), demo().body.width

    def bags_in_memory() -> int:
        gc.collect()
        return sum(type(each) is Bag for each in gc.get_objects())

    before = bags_in_memory()
    for more in (1, 2, 0, 1, 2, 0, 1, 2):  # three holds: there and back again is no step
        document.set_figures({"panel_width": width + more}, "Panel width", merge_key="width")
    assert bags_in_memory() == before + 2  # of the three, the opened one was there before
