"""The load of the filled bag against its handles: kept up, found, edited, saved."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.dialogs.weight import LoadDialog
from app.session.display import Display
from app.views.findings.pane import FindingsPane
from app.views.sewing.tab import SewingTab
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bag.making import KG_PER_POUND, USUAL_DENSITY, Load
from core.base.units import Unit, unbroken
from core.sewing.strength import load_of
from core.solid.capacity import capacity
from core.storage.bag_files import demo_bag, read_project, sample, write_project
from core.storage.project import Project
from tests.app.sessions import session_on
from tests.helpers import inch

WATER = Load(density=1000.0, needle_thread=2.2, bobbin_thread=2.0, safety=12.0)
WAIT = 120_000


class Bench:
    """A document, its capacity, its load and its findings."""

    def __init__(self, qtbot: QtBot, project: Project) -> None:
        self.session = session_on(project)
        self.document, self.display = self.session.document, self.session.display
        self.capacity, self.load = self.session.capacity, self.session.load
        self.findings = FindingsPane(self.session)
        qtbot.addWidget(self.findings)
        self.findings.resize(600, 200)
        self.findings.show()
        self.qtbot = qtbot

    def settle(self) -> None:
        self.capacity.wake()
        self.qtbot.waitUntil(lambda: self.load.current and not self.load.work.busy, timeout=WAIT)
        self.findings.refresh()

    def shown(self) -> list[str]:
        return [row.sentence for row in self.findings.rows if not row.isHidden()]

    def close(self) -> None:
        self.load.close()
        self.capacity.close()


@pytest.fixture
def benches(qtbot: QtBot) -> Iterator[list[Bench]]:
    made: list[Bench] = []
    yield made
    for bench in made:
        bench.close()


@pytest.fixture
def heavy(qtbot: QtBot, benches: list[Bench]) -> Bench:
    bench = Bench(qtbot, Project(bag=demo_bag(), load=WATER))
    benches.append(bench)
    return bench


def test_the_estimate_is_that_of_the_core(heavy: Bench) -> None:
    assert heavy.load.estimate is None
    heavy.settle()
    bag = demo_bag()
    assert heavy.load.estimate == load_of(compute(bag), capacity(bag).inside_filled, WATER)


def test_a_bag_too_heavy_for_its_handles_is_found_with_its_caution(heavy: Bench) -> None:
    assert not any("One handle may carry" in text for text in heavy.shown())
    heavy.settle()
    found = [text for text in heavy.shown() if "One handle may carry" in text]
    assert len(found) == 1
    assert "both together" in found[0]
    assert heavy.shown()[0] == found[0], "a warning stands above the notes"
    assert heavy.findings._title.text().startswith("Findings: 1 warn")


def test_the_finding_of_older_numbers_is_greyed_until_the_new_one_is_there(heavy: Bench) -> None:
    heavy.settle()
    row = heavy.findings.rows[0]
    assert row.isEnabled()
    heavy.document.set_figures({"panel_length": inch(39)}, "Longer")
    heavy.findings.refresh()
    assert not heavy.load.current
    assert not row.isEnabled()
    heavy.settle()
    assert heavy.findings.rows[0].isEnabled()


def test_a_finding_that_is_greyed_leaves_the_focus_in_the_findings(
    heavy: Bench, qtbot: QtBot
) -> None:
    heavy.settle()
    heavy.findings.activateWindow()
    qtbot.waitUntil(heavy.findings.isActiveWindow)
    heavy.findings.rows[0].setFocus()
    heavy.document.set_figures({"panel_length": inch(39)}, "Longer")
    heavy.findings.refresh()
    assert heavy.findings.hasFocus(), "and on no other finding, which nobody has read"


def test_the_usual_load_is_not_too_heavy_for_the_demo_bag(heavy: Bench) -> None:
    heavy.settle()
    usual = Project(bag=heavy.document.bag)
    heavy.document.replace_project(usual, "Load and thread")
    heavy.settle()
    assert heavy.load.finding is None
    assert not any("One handle may carry" in text for text in heavy.shown())
    heavy.document.undo_stack.undo()
    heavy.settle()
    assert heavy.load.finding is not None
    # 1 lb is 0.45359237 kg (international pound, 1959): an inch bag is told pounds first.
    estimate = heavy.load.estimate
    assert estimate is not None
    kilograms, pounds = f"{estimate.weight:.1f} kg", f"{estimate.weight / 0.45359237:.0f} lb"
    assert any(unbroken(f"{pounds} ({kilograms})") in unbroken(each) for each in heavy.shown())
    heavy.display.set_unit(Unit.CM)
    heavy.findings.refresh()
    assert any(unbroken(f"{kilograms} ({pounds})") in unbroken(each) for each in heavy.shown())


def test_an_open_bag_is_weighed_by_its_box(qtbot: QtBot, benches: list[Bench]) -> None:
    bench = Bench(qtbot, Project(bag=sample("tote")))
    benches.append(bench)
    bench.settle()
    assert bench.load.estimate is not None
    assert bench.load.estimate.figure == "inside_volume"


def test_a_bag_without_handles_has_no_load(qtbot: QtBot, benches: list[Bench]) -> None:
    bench = Bench(qtbot, Project(bag=without_part(demo_bag(), "handles"), load=WATER))
    benches.append(bench)
    bench.settle()
    assert bench.load.estimate is None and bench.load.finding is None


def test_the_tab_says_the_load_in_the_reader_s_unit(heavy: Bench, qtbot: QtBot) -> None:
    body = SewingTab(heavy.session)
    qtbot.addWidget(body)
    assert body.foot.load_button.text() == "Change &load…"
    assert body.foot.load_text.text() == "", "nothing is known yet"
    heavy.settle()
    estimate = heavy.load.estimate
    assert estimate is not None
    carried = (estimate.weight, estimate.allowed, 2 * estimate.allowed)
    pounds = [f"{kg / KG_PER_POUND:.0f} lb" for kg in carried]
    told = "Filled, it weighs {}\nOne handle holds {}, both {}".format(*pounds)
    assert body.foot.load_text.text() == told
    assert body.foot.load_button.accessibleDescription() == told.replace("\n", ". ")
    assert not body.foot.load_button.icon().isNull()
    heavy.display.set_unit(Unit.MM)
    assert f"weighs {estimate.weight:.1f} kg\n" in body.foot.load_text.text()
    heavy.document.set_figures({"panel_length": inch(39)}, "Longer")
    assert body.foot.load_text.text().startswith("Filled, it weighs …\nOne handle holds ")
    assert body.foot.load_button.icon().isNull(), "not said of older numbers"


# The dialog.


@pytest.fixture
def dialog(qtbot: QtBot) -> LoadDialog:
    made = LoadDialog(
        compute(demo_bag()), capacity(demo_bag()).inside_filled, None, Display(Unit.MM)
    )
    qtbot.addWidget(made)
    made.show()
    return made


def test_untouched_fields_keep_the_usual_load(dialog: LoadDialog) -> None:
    assert dialog.fields["density"].text() == f"{USUAL_DENSITY / 1000:.3g}"
    dialog.accept()
    assert dialog.load is None


def test_what_follows_is_said_at_once_with_its_caution(dialog: LoadDialog, qtbot: QtBot) -> None:
    assert "not a rating" in dialog.verdict.text()
    assert "carry less" not in dialog.verdict.text()
    field = dialog.fields["density"]
    field.selectAll()
    qtbot.keyClicks(field, "9")
    assert "carry less" in dialog.verdict.text()
    assert "not a rating" in dialog.verdict.text()


def test_typed_values_are_read_in_the_reader_s_unit(dialog: LoadDialog, qtbot: QtBot) -> None:
    for name, text in (("density", "0,5"), ("needle_thread", "1.5")):
        dialog.fields[name].selectAll()
        qtbot.keyClicks(dialog.fields[name], text)
    dialog.accept()
    assert dialog.load is not None
    assert dialog.load.density == pytest.approx(500.0)
    assert dialog.load.needle_thread == pytest.approx(1.5 / KG_PER_POUND)
    # What was not typed keeps all its digits, though fewer are shown.
    assert dialog.load.bobbin_thread == Load().bobbin_thread


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("density", "", "Density of the load is “”: it must be a number such as 0.277"),
        ("density", "heavy", "Density of the load is “heavy”"),
        ("density", "1,250", "Density of the load is “1,250”: it must be a number such as"),
        ("needle_thread", "-2", "Needle thread is “-2”"),
        ("needle_thread", "1_0", "Needle thread is “1_0”"),
        ("bobbin_thread", "0", "Bobbin thread is “0”"),
        ("density", "1e9", "Density of the load is 1e9: it must be at least 0 and at most 25."),
        ("safety", "0.5", "Factor of safety is 0.5: it must be at least 1"),
        ("safety", "nan", "Factor of safety is “nan”"),
    ],
)
def test_what_cannot_be_is_said_and_not_taken(
    dialog: LoadDialog, name: str, text: str, told: str
) -> None:
    field = dialog.fields[name]
    field.setText(text)
    field.textEdited.emit(text)
    assert dialog.verdict.text().startswith(told)
    dialog.accept()
    assert dialog.isVisible()
    assert dialog.load is None


def test_usual_values_come_back_with_one_button(qtbot: QtBot) -> None:
    made = LoadDialog(compute(demo_bag()), None, WATER, Display())
    qtbot.addWidget(made)
    assert made.fields["safety"].text() == "12"
    qtbot.mouseClick(made.usual, Qt.MouseButton.LeftButton)
    assert made.fields["safety"].text() == "10"
    box = made.findChild(QDialogButtonBox)
    assert box is not None
    box.button(QDialogButtonBox.StandardButton.Ok).click()
    assert made.load is None


def test_the_load_is_saved_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    write_project(Project(bag=demo_bag(), load=WATER), path)
    assert read_project(path).load == WATER
