"""Starting bag, variants and sample: kept, compared, saved, never undone, brought back."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.dialogs.layers.dialog import LayersDialog
from app.dialogs.variants import FIRST, NOW, START, VariantsDialog
from app.session.document import Document
from app.session.session import Unsaved
from core.base.units import NO_BREAK, unbroken
from core.model.record import KEPT_NAME
from core.storage.bag_file import project_to_json
from core.storage.bag_files import demo_bag, read_project
from core.storage.goods_library import GENERIC
from core.storage.project import NamedBag, Project
from tests.app.hands import Hands
from tests.helpers import changed, demo, inch


def keep(hands: Hands, name: str | None) -> None:
    hands.answers.named = name
    hands.window.commands["keep_variant"].trigger()


def names(hands: Hands) -> list[str]:
    return [kept.name for kept in hands.document.project.variants]


# --- The document -------------------------------------------------------------------------


def test_a_step_beside_the_bag_computes_nothing_and_says_so() -> None:
    document = Document(demo())
    heard: list[str] = []
    document.changed.connect(lambda: heard.append("bag"))
    document.kept_changed.connect(lambda: heard.append("kept"))
    result = document.result
    kept = document.project.with_variant("Tall", changed(demo(), panel_length=inch(44)))
    assert document.keep(kept)
    assert (heard, document.result is result) == (["kept"], True)
    assert not document.keep(kept), "the same again is no news"
    assert document.undo_stack.count() == 0
    with pytest.raises(ValueError, match="bag"):
        document.keep(replace(kept, bag=changed(demo(), panel_width=inch(19))))
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
    opened = Project(bag=demo(), starting=NamedBag(name="Old", bag=start))
    document.open(opened)
    assert document.project is opened
    assert document.starting.bag is start
    assert document.starting is document.starting, "worked out once"
    document.open(demo())
    assert document.starting is document.result


# --- Starting bag -------------------------------------------------------------------------


def test_naming_the_starting_bag_moves_what_changes_are_told_against(hands: Hands) -> None:
    hands.type("gusset_depth", "7 3/4")
    row = hands.window.measures.finished_rows["gusset_depth"].row
    assert row.change.text == "+1"
    hands.answers.named = "  After the  first try "
    hands.window.commands["name_starting"].trigger()
    assert hands.answers.asked == ["Starting bag: Starting bag"]
    assert row.change.text == ""
    assert hands.document.starting is hands.document.result
    assert hands.window.flat._starting is hands.document.result
    hands.window.changes.refresh()
    assert hands.window.changes.model.lines == []
    hands.type("base_width", "12")
    hands.window.changes.refresh()
    head = hands.window.changes.model.headerData(1, Qt.Orientation.Horizontal)
    assert head == "After the first try"
    hands.undo()
    hands.undo()
    assert row.change.text == "−1", "the bag is undone, and the starting bag stays"
    (before,) = hands.window.variants.restorable
    assert hands.window.variants.label(before) == "Starting bag “Starting bag”"
    assert hands.window.variants.bring_back(before)
    assert hands.document.starting.bag == demo_bag()
    assert row.change.text == ""
    (named,) = hands.window.variants.restorable
    assert hands.window.variants.label(named) == "Starting bag “After the first try”"


def test_changes_tell_pieces_and_cloth_too(hands: Hands) -> None:
    hands.type("gusset_depth", "7 3/4")
    hands.window.measures.choice_rows["has_pocket"].binding._write("none")
    hands.window.changes.refresh()
    texts = [line.texts for line in hands.window.changes.model.lines]
    by_label = {label: rest for label, *rest in texts}
    # By the closed formulas: 1 in deeper with the same base is 1 in wider and 1 in longer.
    across, along = by_label["Panel, piece across"], by_label["Panel, piece along"]
    assert across == [*map(unbroken, ("18 1/2 in", "19 1/2 in", "+1 in"))]
    assert along == [*map(unbroken, ("37 in", "38 in", "+1 in"))]
    assert by_label["Front pocket, pieces"] == ["1", "–", ""]
    before, after = 18.5 * 37 - 4 * 3.375 * 3, 19.5 * 38 - 4 * 3.875 * 3.5
    told = [f"{before:.0f} sq in", f"{after:.0f} sq in", f"+{after - before:.0f} sq in"]
    assert by_label["Cut area, every layer"] == told


# --- Variants -----------------------------------------------------------------------------


def test_variants_are_kept_and_opened_and_opening_is_undone(hands: Hands) -> None:
    keep(hands, "As it was")
    hands.type("face_height", "17")
    tall = hands.document.bag
    keep(hands, "Tall")
    assert names(hands) == ["As it was", "Tall"]
    menu = hands.window.menus.variants
    menu.aboutToShow.emit()
    assert [(each.text(), each.isChecked()) for each in menu.actions()] == [
        ("As it was", False),
        ("Tall", True),
    ]
    menu.actions()[0].trigger()
    assert hands.document.bag == demo_bag()
    assert hands.document.undo_stack.undoText() == "Open variant “As it was”"
    hands.undo()
    assert hands.document.bag == tall
    hands.undo()
    assert hands.document.bag == demo_bag()
    assert names(hands) == ["As it was", "Tall"]


def test_undo_to_the_start_leaves_every_variant_and_saving_keeps_them(
    hands: Hands, tmp_path: Path
) -> None:
    hands.type("face_height", "14")
    keep(hands, "Size S")
    hands.type("face_height", "17")
    keep(hands, "Size L")
    while hands.window.commands["undo"].isEnabled():
        hands.undo()
    assert hands.document.bag == demo_bag()
    assert not hands.document.saved, "what is kept is not in a file yet"
    assert hands.window.isWindowModified()
    hands.type("front_trim", "1")
    hands.answers.saved = tmp_path / "mine.json"
    hands.window.commands["save"].trigger()
    file = json.loads(hands.answers.saved.read_text())
    assert [each["name"] for each in file["variants"]] == ["Size S", "Size L"]
    assert hands.document.saved
    hands.window.variants.delete_variant("Size L")
    assert not hands.document.saved
    assert hands.window.isWindowModified()
    hands.window.variants.bring_back(hands.window.variants.restorable[0])
    assert hands.document.saved, "all is as the file has it"


def test_what_is_deleted_or_replaced_is_told_and_put_back(hands: Hands) -> None:
    keep(hands, "Mine")
    keep(hands, "Other")
    hands.type("face_height", "17")
    tall = hands.document.bag
    keep(hands, "Mine")
    assert hands.document.project.variant("Mine") == tall
    offer = hands.window.statusBar().offer
    assert offer.text == "Variant “Mine” was replaced."
    assert offer.isVisible()
    hands.click(offer.button)
    assert names(hands) == ["Mine (2)", "Mine", "Other"]
    assert hands.document.project.variant("Mine (2)") == demo_bag()
    assert not offer.isVisible()
    before = project_to_json(hands.document.project)
    hands.window.variants.delete_variant("Mine")
    assert offer.text == "Variant “Mine” was deleted."
    hands.window.menus.lost.aboutToShow.emit()
    (entry,) = hands.window.menus.lost.actions()
    assert entry.text() == "Variant “Mine”"
    entry.trigger()
    assert project_to_json(hands.document.project) == before, "in its old place, too"
    assert not offer.isVisible(), "there is nothing left to put back"
    assert not hands.window.menus.lost.isEnabled()
    hands.window.variants.delete_variant("Mine")
    hands.window.files.start_from("tote")
    assert hands.answers.asked[-1] == "unsaved"
    hands.answers.leaving = Unsaved.DISCARD
    hands.window.files.start_from("tote")
    assert hands.window.variants.restorable == ()
    assert not offer.isVisible()


def test_what_is_still_being_worked_out_is_in_what_is_kept(
    hands: Hands, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    redesigner, settled = hands.window.redesigner, iter((False, True))

    def ask(title: str, prompt: str, present: str) -> str:
        if next(settled):  # it comes while the box is open
            qtbot.waitUntil(lambda: redesigner.pending is None)
        return f"{title} {litres}"

    monkeypatch.setattr(hands.answers, "kept_name", ask)
    for litres, action in (("20", "keep_variant"), ("21", "name_starting")):
        hands.type("filled_volume", litres)
        assert redesigner.pending is not None
        hands.window.commands[action].trigger()
        assert hands.document.bag != demo_bag()
        assert hands.document.undo_stack.undoText() == f"Filled volume {litres}.00 L"
    assert names(hands) == ["Keep as variant 20"]
    project = hands.document.project
    assert project.variants[0].bag not in (demo_bag(), project.bag)
    assert project.starting is not None
    assert project.starting.bag == project.bag


def test_a_renamed_variant_is_not_lost(hands: Hands) -> None:
    keep(hands, "One")
    hands.answers.named = "Another"
    assert hands.window.variants.rename_variant("One")
    assert hands.window.variants.restorable == ()
    keep(hands, "The same bag")
    hands.window.variants.delete_variant("The same bag")
    assert len(hands.window.variants.restorable) == 1, "its name is lost"


def test_a_variant_is_replaced_only_when_that_is_wanted(hands: Hands) -> None:
    keep(hands, "Mine")
    keep(hands, "Mine")
    assert hands.answers.asked.count("replace Mine") == 0, "it is the very bag"
    hands.type("face_height", "17")
    hands.answers.replacing = False
    count = hands.document.undo_stack.count()
    keep(hands, "Mine")
    assert hands.answers.asked[-1] == "replace Mine"
    assert hands.document.project.variant("Mine") == demo_bag()
    assert hands.document.undo_stack.count() == count


@pytest.mark.parametrize("name", [None, "", "   ", "x" * (KEPT_NAME.most + 1)])
def test_a_name_that_is_none_keeps_nothing(hands: Hands, name: str | None) -> None:
    for action in ("keep_variant", "name_starting"):
        hands.answers.named = name
        hands.window.commands[action].trigger()
    assert hands.document.project == Project(bag=demo_bag())
    assert len(hands.answers.told) == (2 if name and name.strip() else 0)


def test_the_bag_keeps_its_own_name_when_a_variant_is_opened(hands: Hands) -> None:
    keep(hands, "One")
    hands.type("face_height", "17")
    hands.document.replace_bag(replace(hands.document.bag, name="Renamed"), "Rename")
    hands.window.variants.open_variant("One")
    assert hands.document.bag.name == "Renamed"
    assert hands.document.bag.body == demo_bag().body
    assert hands.window.variants.is_present(hands.window.variants.variants[0])


def test_all_that_is_kept_comes_back_from_its_file(hands: Hands, tmp_path: Path) -> None:
    keep(hands, "First")
    hands.answers.named = "As sewn"
    hands.window.commands["name_starting"].trigger()
    hands.press_pin("box_volume")
    hands.type("gusset_depth", "7 1/4")
    keep(hands, "Deeper")
    hands.answers.saved = tmp_path / "mine.json"
    hands.window.commands["save"].trigger()
    saved = hands.document.project
    assert hands.document.saved
    assert read_project(hands.answers.saved) == saved
    hands.window.files.start_from("tote")
    assert hands.document.project.variants == ()
    hands.answers.opened = hands.answers.saved
    hands.window.commands["open"].trigger()
    assert hands.document.project == saved
    assert hands.document.starting.bag == demo_bag()
    pin = hands.window.measures.finished_rows["box_volume"].row.pin
    assert pin is not None
    assert pin.isChecked()
    assert hands.window.menus.variants.isEnabled()
    assert hands.window.measures.finished_rows["gusset_depth"].row.change.text == "+1/2"


def test_an_unnamed_starting_bag_comes_back_from_the_file(hands: Hands, tmp_path: Path) -> None:
    hands.type("gusset_depth", "7 3/4")
    hands.window.changes.refresh()
    told = hands.window.changes.model.lines
    hands.answers.saved = hands.answers.opened = tmp_path / "mine.json"
    hands.window.commands["save"].trigger()
    assert hands.document.saved
    assert hands.document.project.starting is None, "saving is no step"
    hands.undo()
    hands.window.commands["redo"].trigger()
    assert hands.document.saved

    hands.window.files.start_from("tote")
    hands.window.commands["open"].trigger()
    assert hands.document.saved
    assert hands.document.starting.bag == demo_bag()
    hands.window.changes.refresh()
    assert hands.window.changes.model.lines == told
    assert hands.window.changes.model.headerData(1, Qt.Orientation.Horizontal) == "Starting bag"
    before = hands.answers.opened.read_bytes()
    hands.window.commands["save"].trigger()
    assert hands.answers.opened.read_bytes() == before, "and it stays the one it was"


def test_a_file_without_room_for_the_starting_bag_is_saved_all_the_same(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hands.type("gusset_depth", "7 3/4")
    alone, both = (
        len(project_to_json(each).encode())
        for each in (hands.document.project, hands.document.to_keep)
    )
    assert alone < both
    for place in ("app.files.files.MOST_BYTES", "core.storage.bag_files.MOST_BYTES"):
        monkeypatch.setattr(place, alone)
    hands.answers.saved = tmp_path / "mine.json"
    hands.window.commands["save"].trigger()
    assert hands.answers.told == []
    assert read_project(hands.answers.saved) == hands.document.project


def test_a_bag_that_is_as_it_was_opened_keeps_no_starting_bag(hands: Hands, tmp_path: Path) -> None:
    renamed = replace(hands.document.bag, name="Mine")
    hands.document.replace_bag(renamed, "Rename the bag")
    hands.answers.saved = tmp_path / "mine.json"
    hands.window.commands["save"].trigger()
    assert read_project(hands.answers.saved) == Project(bag=renamed)


# --- What is not ours ---------------------------------------------------------------------


def marked(hands: Hands, path: Path) -> None:
    """Open a file in which both variants and each layer have an entry of their own."""
    project = Project(bag=demo_bag()).with_variant("V1", demo_bag()).with_variant("V2", demo_bag())
    file = json.loads(project_to_json(project))
    for variant in file["variants"]:
        variant["mark"] = variant["name"]
    for number, layer in enumerate(file["sandwich"]["layers"]):
        layer["bolt"] = number
    path.write_text(json.dumps(file))
    assert hands.window.files.open(path)


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
    hands: Hands, tmp_path: Path, done: str, found: list[tuple[str, str | None]]
) -> None:
    marked(hands, tmp_path / "mine.json")
    first = project_to_json(hands.document.project)
    for each in done.split():
        if each.startswith("-"):
            hands.window.variants.delete_variant(each[1:])
        elif each.startswith("+"):
            keep(hands, each[1:])
        else:
            name, hands.answers.named = each.split(">")
            assert hands.window.variants.rename_variant(name)
        hands.document.replace_bag(changed(hands.document.bag, panel_width=inch(19)), "Width")
    file = json.loads(project_to_json(hands.document.project))
    assert [(each["name"], each.get("mark")) for each in file["variants"]] == found
    while hands.document.undo_stack.canUndo():
        hands.undo()
    file = json.loads(project_to_json(hands.document.project))
    assert [(each["name"], each.get("mark")) for each in file["variants"]] == found
    first = json.loads(first)
    assert {name: file[name] for name in first if name != "variants"} == {
        name: first[name] for name in first if name != "variants"
    }


def test_entries_that_are_not_ours_go_with_their_layer(
    hands: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    marked(hands, tmp_path / "mine.json")
    first = project_to_json(hands.document.project)

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

    monkeypatch.setattr("app.window.dialog_actions._run", edit)
    hands.window.commands["edit_layers"].trigger()
    file = json.loads(project_to_json(hands.document.project))
    bolts = [layer.get("bolt") for layer in file["sandwich"]["layers"]]
    assert bolts == [2, None, 0, 3]
    assert file["sandwich"]["layers"][2]["role"] == "shell"
    assert hands.document.undo_stack.count() == 1
    hands.undo()
    assert project_to_json(hands.document.project) == first


# --- Side by side -------------------------------------------------------------------------


@pytest.fixture
def dialog(hands: Hands, qtbot: QtBot) -> VariantsDialog:
    keep(hands, "As it was")
    hands.type("face_height", "17")
    keep(hands, "Tall")
    window = hands.window
    dialog = VariantsDialog(window.session)
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


def test_who_compares_one_bag_alone_is_told_what_to_do(hands: Hands, qtbot: QtBot) -> None:
    alone = VariantsDialog(hands.window.session)
    qtbot.addWidget(alone)
    assert list(lines(alone)) == ["Findings"]
    assert alone._nothing.isVisibleTo(alone)
    assert alone._nothing.text().startswith("There is no other bag yet: keep the present one")


def test_variants_stand_side_by_side_with_their_differences(dialog: VariantsDialog) -> None:
    assert heads(dialog) == ["As opened", "Present bag", "As it was", "Tall"]
    told = lines(dialog)
    face = told["Face height"]
    assert [each.split("     ")[-1].replace(NO_BREAK, " ") for each in face] == [
        "15 in",
        "17 in",
        "15 in",
        "17 in",
    ]
    assert face[NOW].startswith(unbroken("▲ 2 in"))
    assert face[START] == face[FIRST] == unbroken("15 in")
    assert "Base width" not in told
    assert told["Findings"][START]
    dialog.every.setChecked(True)
    assert "Base width" in lines(dialog)


def test_the_dialog_opens_renames_and_deletes(hands: Hands, dialog: VariantsDialog) -> None:
    dialog.table.setCurrentCell(0, NOW)
    for button in (dialog.open_button, dialog.rename_button, dialog.delete_button):
        assert not button.isEnabled()
    dialog.table.setCurrentCell(0, FIRST)
    hands.click(dialog.open_button)
    assert hands.document.bag == demo_bag()
    assert not dialog.open_button.isEnabled(), "it lies on the table now"
    hands.answers.named = "Short"
    hands.click(dialog.rename_button)
    assert heads(dialog)[FIRST:] == ["Short", "Tall"]
    hands.answers.named = "Tall"
    hands.click(dialog.rename_button)
    assert "Tall" in hands.answers.told[-1]
    hands.click(dialog.delete_button)
    assert names(hands) == ["Tall"]
    dialog.back_menu.aboutToShow.emit()
    (entry,) = dialog.back_menu.actions()
    entry.trigger()
    assert heads(dialog)[FIRST:] == ["Short", "Tall"]
    assert not dialog.back_button.isEnabled()
    hands.undo()
    assert hands.document.bag != demo_bag(), "only opening it was a step"
    assert heads(dialog)[FIRST:] == ["Short", "Tall"]
    hands.answers.named = "Third"
    hands.click(dialog.keep_button)
    assert names(hands)[-1] == "Third"


def test_the_starting_bag_can_be_put_back_on_the_table(hands: Hands) -> None:
    hands.answers.named = "Start"
    hands.window.commands["name_starting"].trigger()
    hands.type("face_height", "17")
    hands.window.menus.variants.aboutToShow.emit()
    hands.window.menus.variants.actions()[0].trigger()
    assert hands.document.bag == demo_bag()
    hands.undo()
    assert hands.finished["face_height"] == pytest.approx(inch(17), abs=1e-6)
