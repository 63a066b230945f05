"""Starting bag and variants: kept, compared, saved, and undone."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QSettings, Qt
from pytestqt.qtbot import QtBot

from app.dialogs.layers_dialog import LayersDialog
from app.dialogs.variants_dialog import FIRST, NOW, START, VariantsDialog
from app.document import Document
from core.bagfile import demo_bag, project_to_json, read_project
from core.goods.library import GENERIC
from core.project import LONGEST_NAME, Kept, Project
from tests.app.hands import Hands
from tests.helpers import changed, demo, inch


@pytest.fixture
def bench(qtbot: QtBot, tmp_path: Path) -> Iterator[Hands]:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    bench = Hands(qtbot, store)
    yield bench
    bench.close()


def keep(bench: Hands, name: str | None) -> None:
    bench.answers.named = name
    bench.window.commands["keep_variant"].trigger()


def names(bench: Hands) -> list[str]:
    return [kept.name for kept in bench.document.project.variants]


# --- The document -------------------------------------------------------------------------


def test_a_step_beside_the_bag_computes_nothing_and_says_so() -> None:
    document = Document(demo())
    heard: list[str] = []
    document.changed.connect(lambda: heard.append("bag"))
    document.kept_changed.connect(lambda: heard.append("kept"))
    result = document.result
    kept = document.project.with_variant("Tall", changed(demo(), panel_length=inch(44)))
    assert document.replace_project(kept, "Keep variant")
    assert (heard, document.result is result) == (["kept"], True)
    assert not document.replace_project(kept, "Keep variant"), "the same again is no step"
    document.replace_bag(changed(demo(), panel_width=inch(19)), "Panel width")
    both = replace(document.project, bag=demo(), pinned=frozenset({"base_width"}))
    document.replace_project(both, "both")
    assert heard == ["kept", "bag", "bag", "kept"]
    document.undo_stack.undo()
    assert heard[4:] == ["bag", "kept"]
    assert document.project.variants == kept.variants


def test_undo_survives_saving_and_knows_what_is_saved(tmp_path: Path) -> None:
    document = Document(demo())
    document.replace_project(replace(document.project, pinned=frozenset({"base_width"})), "Pin")
    assert not document.saved
    document.mark_saved(tmp_path / "x.json")
    assert document.saved
    document.undo_stack.undo()
    assert not document.saved
    document.undo_stack.redo()
    assert document.saved


def test_opening_a_project_takes_its_starting_bag() -> None:
    document = Document(demo())
    start = changed(demo(), panel_width=inch(20))
    opened = Project(bag=demo(), starting=Kept(name="Old", bag=start))
    document.open(opened)
    assert document.project is opened
    assert document.starting.bag is start
    assert document.starting is document.starting, "worked out once"
    document.open(demo())
    assert document.starting is document.result


# --- Starting bag -------------------------------------------------------------------------


def test_naming_the_starting_bag_moves_what_changes_are_told_against(bench: Hands) -> None:
    bench.type("gusset_depth", "7 1/2")
    row = bench.window.measures.finished_rows["gusset_depth"].row
    assert row.change.text == "+1"
    bench.answers.named = "  After the  first try "
    bench.window.commands["name_starting"].trigger()
    assert bench.answers.asked == ["Starting bag: Starting bag"]
    assert row.change.text == ""
    assert bench.document.starting is bench.document.result
    assert bench.window.flat._starting is bench.document.result
    bench.window.changes.refresh()
    assert bench.window.changes.model.lines == []
    bench.type("base_width", "12")
    bench.window.changes.refresh()
    head = bench.window.changes.model.headerData(1, Qt.Orientation.Horizontal)
    assert head == "After the first try"
    bench.undo()
    bench.undo()
    assert row.change.text == "+1"
    assert bench.document.project.starting is None


def test_changes_tell_pieces_and_cloth_too(bench: Hands) -> None:
    bench.type("gusset_depth", "7 1/2")
    bench.window.measures.choice_rows["pocket"].binding._write("none")
    bench.window.changes.refresh()
    texts = [line.texts for line in bench.window.changes.model.lines]
    by_label = {label: rest for label, *rest in texts}
    # By the closed formulas: 1 in deeper with the same base is 1 in wider and 1 in longer.
    assert by_label["Panel, piece across"] == ["18 1/2 in", "19 1/2 in", "+1 in"]
    assert by_label["Panel, piece along"] == ["37 in", "38 in", "+1 in"]
    assert by_label["Front pocket, pieces"] == ["1", "–", ""]
    before, after = 18.5 * 37 - 4 * 3.25 * 3, 19.5 * 38 - 4 * 3.75 * 3.5
    told = [f"{before:.0f} sq in", f"{after:.0f} sq in", f"+{after - before:.0f} sq in"]
    assert by_label["Cut area, every layer"] == told


# --- Variants -----------------------------------------------------------------------------


def test_variants_are_kept_opened_and_undone(bench: Hands) -> None:
    keep(bench, "As it was")
    bench.type("face_height", "17")
    tall = bench.document.bag
    keep(bench, "Tall")
    assert names(bench) == ["As it was", "Tall"]
    menu = bench.window.menus.variants
    menu.aboutToShow.emit()
    assert [(each.text(), each.isChecked()) for each in menu.actions()] == [
        ("As it was", False),
        ("Tall", True),
    ]
    menu.actions()[0].trigger()
    assert bench.document.bag == demo_bag()
    assert bench.document.undo_stack.undoText() == "Open variant “As it was”"
    bench.undo()
    assert bench.document.bag == tall
    bench.undo()
    assert names(bench) == ["As it was"]


def test_a_variant_of_the_same_name_is_replaced_and_comes_back_by_undo(bench: Hands) -> None:
    keep(bench, "Mine")
    bench.type("face_height", "17")
    keep(bench, "Mine")
    assert bench.document.undo_stack.undoText() == "Replace variant “Mine”"
    assert bench.document.project.variant("Mine") == bench.document.bag
    bench.undo()
    assert bench.document.project.variant("Mine") == demo_bag()


@pytest.mark.parametrize("name", [None, "", "   ", "x" * (LONGEST_NAME + 1)])
def test_a_name_that_is_none_keeps_nothing(bench: Hands, name: str | None) -> None:
    for action in ("keep_variant", "name_starting"):
        bench.answers.named = name
        bench.window.commands[action].trigger()
    assert bench.document.project == Project(bag=demo_bag())
    assert len(bench.answers.told) == (2 if name and name.strip() else 0)


def test_the_bag_keeps_its_own_name_when_a_variant_is_opened(bench: Hands) -> None:
    keep(bench, "One")
    bench.type("face_height", "17")
    bench.document.replace_bag(replace(bench.document.bag, name="Renamed"), "Rename")
    bench.window.keeping.open_variant("One")
    assert bench.document.bag.name == "Renamed"
    assert bench.document.bag.panel == demo_bag().panel
    assert bench.window.keeping.lies_open(bench.window.keeping.variants[0])


def test_all_that_is_kept_comes_back_from_its_file(bench: Hands, tmp_path: Path) -> None:
    keep(bench, "First")
    bench.answers.named = "As sewn"
    bench.window.commands["name_starting"].trigger()
    bench.press_pin("box_volume")
    bench.type("gusset_depth", "7")
    keep(bench, "Deeper")
    bench.answers.saved = tmp_path / "mine.json"
    bench.window.commands["save"].trigger()
    saved = bench.document.project
    assert bench.document.saved
    assert read_project(bench.answers.saved) == saved
    bench.window.files.start_from("tote")
    assert bench.document.project.variants == ()
    bench.answers.opened = bench.answers.saved
    bench.window.commands["open"].trigger()
    assert bench.document.project == saved
    assert bench.document.starting.bag == demo_bag()
    pin = bench.window.measures.finished_rows["box_volume"].row.pin
    assert pin is not None
    assert pin.isChecked()
    assert bench.window.menus.variants.isEnabled()
    assert bench.window.measures.finished_rows["gusset_depth"].row.change.text == "+1/2"


def test_an_unnamed_starting_bag_comes_back_from_the_file(bench: Hands, tmp_path: Path) -> None:
    bench.type("gusset_depth", "7 1/2")
    bench.window.changes.refresh()
    told = bench.window.changes.model.lines
    bench.answers.saved = bench.answers.opened = tmp_path / "mine.json"
    bench.window.commands["save"].trigger()
    assert bench.document.saved
    assert bench.document.project.starting is None, "saving is no step"
    bench.undo()
    bench.window.commands["redo"].trigger()
    assert bench.document.saved

    bench.window.files.start_from("tote")
    bench.window.commands["open"].trigger()
    assert bench.document.saved
    assert bench.document.starting.bag == demo_bag()
    bench.window.changes.refresh()
    assert bench.window.changes.model.lines == told
    assert bench.window.changes.model.headerData(1, Qt.Orientation.Horizontal) == "Starting bag"
    before = bench.answers.opened.read_bytes()
    bench.window.commands["save"].trigger()
    assert bench.answers.opened.read_bytes() == before, "and it stays the one it was"


def test_a_file_without_room_for_the_starting_bag_is_saved_all_the_same(
    bench: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.type("gusset_depth", "7 1/2")
    alone, both = (
        len(project_to_json(each).encode())
        for each in (bench.document.project, bench.document.to_keep)
    )
    assert alone < both
    for place in ("app.files.MOST_BYTES", "core.bagfile.files.MOST_BYTES"):
        monkeypatch.setattr(place, alone)
    bench.answers.saved = tmp_path / "mine.json"
    bench.window.commands["save"].trigger()
    assert bench.answers.told == []
    assert read_project(bench.answers.saved) == bench.document.project


def test_a_bag_that_is_as_it_was_opened_keeps_no_starting_bag(bench: Hands, tmp_path: Path) -> None:
    renamed = replace(bench.document.bag, name="Mine")
    bench.document.replace_bag(renamed, "Rename the bag")
    bench.answers.saved = tmp_path / "mine.json"
    bench.window.commands["save"].trigger()
    assert read_project(bench.answers.saved) == Project(bag=renamed)


# --- What is not ours ---------------------------------------------------------------------


def marked(bench: Hands, path: Path) -> None:
    """Open a file in which both variants and each layer have an entry of their own."""
    project = Project(bag=demo_bag()).with_variant("V1", demo_bag()).with_variant("V2", demo_bag())
    file = json.loads(project_to_json(project))
    for variant in file["variants"]:
        variant["mark"] = variant["name"]
    for number, layer in enumerate(file["sandwich"]["layers"]):
        layer["bolt"] = number
    path.write_text(json.dumps(file))
    assert bench.window.files.open(path)


@pytest.mark.parametrize(
    ("done", "found"),
    [
        ("V1>V9 -V2", [("V9", "V1")]),
        ("V1>V9 +X", [("V9", "V1"), ("V2", "V2"), ("X", None)]),
        ("-V2 +New", [("V1", "V1"), ("New", None)]),
        ("V1>T V2>V1 T>V2", [("V2", "V1"), ("V1", "V2")]),
        ("-V1 +V1", [("V2", "V2"), ("V1", None)]),
        ("+V1", [("V1", "V1"), ("V2", "V2")]),
    ],
)
def test_entries_that_are_not_ours_go_with_their_variant(
    bench: Hands, tmp_path: Path, done: str, found: list[tuple[str, str | None]]
) -> None:
    marked(bench, tmp_path / "mine.json")
    first = project_to_json(bench.document.project)
    bench.document.replace_bag(changed(demo(), panel_width=inch(19)), "Panel width")
    for each in done.split():
        if each.startswith("-"):
            bench.window.keeping.delete_variant(each[1:])
        elif each.startswith("+"):
            keep(bench, each[1:])
        else:
            name, bench.answers.named = each.split(">")
            assert bench.window.keeping.rename_variant(name)
    file = json.loads(project_to_json(bench.document.project))
    assert [(each["name"], each.get("mark")) for each in file["variants"]] == found
    while bench.document.undo_stack.canUndo():
        bench.undo()
    assert project_to_json(bench.document.project) == first


def test_entries_that_are_not_ours_go_with_their_layer(
    bench: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    marked(bench, tmp_path / "mine.json")
    first = project_to_json(bench.document.project)

    def edit(dialog: LayersDialog) -> bool:
        dialog.table.item(0, 0).setText("shell")
        dialog.table.item(0, 1).setText("denim")
        dialog.table.setCurrentCell(1, 0)
        dialog._on_remove()
        dialog.table.setCurrentCell(1, 0)
        dialog._move(-1)
        dialog._on_taken(GENERIC[0])
        dialog._on_add()
        dialog.accept()
        return not dialog.problem

    monkeypatch.setattr(bench.window, "_run", edit)
    bench.window.commands["edit_layers"].trigger()
    file = json.loads(project_to_json(bench.document.project))
    bolts = [layer.get("bolt") for layer in file["sandwich"]["layers"]]
    assert bolts == [2, None, 0, 3]
    assert file["sandwich"]["layers"][2]["role"] == "shell"
    assert bench.document.undo_stack.count() == 1
    bench.undo()
    assert project_to_json(bench.document.project) == first


# --- Side by side -------------------------------------------------------------------------


@pytest.fixture
def dialog(bench: Hands, qtbot: QtBot) -> VariantsDialog:
    keep(bench, "As it was")
    bench.type("face_height", "17")
    keep(bench, "Tall")
    window = bench.window
    dialog = VariantsDialog(window.document, window.display, window.keeping)
    qtbot.addWidget(dialog)
    dialog.show()
    return dialog


def lines(dialog: VariantsDialog) -> dict[str, list[str]]:
    table, found = dialog.table, {}
    for row in range(table.rowCount()):
        head = table.verticalHeaderItem(row).text()
        found[head] = [table.item(row, place).text() for place in range(table.columnCount())]
    return found


def heads(dialog: VariantsDialog) -> list[str]:
    table = dialog.table
    return [table.horizontalHeaderItem(place).text() for place in range(table.columnCount())]


def test_variants_stand_side_by_side_with_their_differences(dialog: VariantsDialog) -> None:
    assert heads(dialog) == ["As opened", "Now", "As it was", "Tall"]
    told = lines(dialog)
    face = told["Face height"]
    assert [each.split("     ")[-1] for each in face] == [
        "15 3/8 in",
        "17 in",
        "15 3/8 in",
        "17 in",
    ]
    assert face[NOW].startswith("▲ 1 5/8 in")
    assert face[START] == face[FIRST] == "15 3/8 in"
    assert "Base width" not in told
    assert told["Findings"][START]
    dialog.every.setChecked(True)
    assert "Base width" in lines(dialog)


def test_the_dialog_opens_renames_and_deletes(bench: Hands, dialog: VariantsDialog) -> None:
    dialog.table.setCurrentCell(0, NOW)
    for button in (dialog.open_button, dialog.rename_button, dialog.delete_button):
        assert not button.isEnabled()
    dialog.table.setCurrentCell(0, FIRST)
    bench.click(dialog.open_button)
    assert bench.document.bag == demo_bag()
    assert not dialog.open_button.isEnabled(), "it lies on the table now"
    bench.answers.named = "Short"
    bench.click(dialog.rename_button)
    assert heads(dialog)[FIRST:] == ["Short", "Tall"]
    bench.answers.named = "Tall"
    bench.click(dialog.rename_button)
    assert "Tall" in bench.answers.told[-1]
    bench.click(dialog.delete_button)
    assert names(bench) == ["Tall"]
    for _ in range(3):
        bench.undo()
    assert heads(dialog)[FIRST:] == ["As it was", "Tall"]
    bench.answers.named = "Third"
    bench.click(dialog.keep_button)
    assert names(bench)[-1] == "Third"


def test_the_starting_bag_can_be_put_back_on_the_table(bench: Hands) -> None:
    bench.answers.named = "Start"
    bench.window.commands["name_starting"].trigger()
    bench.type("face_height", "17")
    bench.window.menus.variants.aboutToShow.emit()
    bench.window.menus.variants.actions()[0].trigger()
    assert bench.document.bag == demo_bag()
    bench.undo()
    assert bench.finished["face_height"] == pytest.approx(inch(17), abs=1e-6)
