"""Findings and changes below the drawings: what they say, and the mends."""

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.display import Display
from app.document import Document
from app.panes.changes_pane import ChangesPane
from app.panes.findings_pane import FindingsPane
from app.redesigner import Redesigner
from core.bag import Bag
from core.units import Unit
from tests.helpers import changed, demo, inch


class Bench:
    """A document, its findings and its changes."""

    def __init__(self, qtbot: QtBot, bag: Bag | None = None) -> None:
        self.document = Document(bag or demo())
        self.display = Display()
        redesigner = Redesigner(self.document, self.display)
        self.findings = FindingsPane(self.document, self.display, redesigner)
        self.changes = ChangesPane(self.document, self.display, redesigner)
        for pane in (self.findings, self.changes):
            qtbot.addWidget(pane)
            pane.resize(700, 220)
            pane.show()

    def shown(self) -> list[str]:
        self.findings.refresh()
        return [row.sentence for row in self.findings.rows if not row.isHidden()]


def test_a_bag_without_findings_says_so(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    assert bench.document.result.findings == ()
    assert bench.shown() == []
    assert not bench.findings._nothing.isHidden()


def test_findings_stand_worst_first_and_follow_the_unit(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5), front_trim=inch(0.5)))
    severities = [each.severity for each in bench.document.result.findings]
    assert severities == sorted(severities, reverse=True)
    assert len(bench.shown()) == len(severities) > 1
    assert " in" in bench.shown()[0]
    bench.display.set_unit(Unit.MM)
    assert " mm" in bench.shown()[0]
    assert bench.findings.rows[0].accessibleName().startswith("Stop: ")


def test_findings_are_written_soon_after_a_change(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.document.set_figures({"corner_cut_depth": inch(3.5)}, "corner cut depth")
    qtbot.waitUntil(lambda: not bench.findings.rows[0].isHidden() if bench.findings.rows else False)


def test_a_mend_is_one_click_and_one_undo(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    before = bench.document.bag
    bench.shown()
    button = bench.findings.rows[0].mend_buttons[0]
    label = button.text()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == label
    assert "corner-edges-differ" not in {each.code for each in bench.document.result.findings}
    bench.document.undo_stack.undo()
    assert bench.document.bag is before


def test_the_worst_mend_can_be_had_by_key(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    assert bench.findings.mend_worst()
    assert bench.document.undo_stack.count() == 1
    assert not Bench(qtbot).findings.mend_worst()


def test_pointing_at_a_finding_asks_for_its_figure_by_mouse_and_key(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    asked: list[str] = []
    bench.document.figure_asked.connect(asked.append)
    row = bench.findings.rows[0]
    qtbot.mouseClick(row, Qt.MouseButton.LeftButton)
    qtbot.keyClick(row, Qt.Key.Key_Return)
    assert asked == [bench.document.result.findings[0].figure] * 2


def test_what_is_not_possible_is_told_until_the_next_change(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.document.set_figures({"corner_cut_width": inch(30)}, "corner cut width")
    assert bench.findings.refusal.startswith("Not possible: Corner cut width is 30 in")
    bench.document.set_figures({"corner_cut_width": inch(3)}, "corner cut width")
    assert bench.findings.refusal == ""


def test_changes_list_before_after_and_difference(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    assert bench.changes.model.lines == []
    bench.document.set_figures({"corner_cut_depth": 88.9}, "corner cut depth")
    bench.changes.refresh()
    lines = {line.figure: line.texts for line in bench.changes.model.lines}
    assert lines["corner_cut_depth"] == ("Corner cut depth", "3 in", "3 1/2 in", "+ 1/2 in")
    assert lines["gusset_depth"] == ("Gusset depth", "6 1/2 in", "7 1/2 in", "+ 1 in")
    assert "panel_width" not in lines
    bench.document.undo_stack.undo()
    bench.changes.refresh()
    assert bench.changes.model.lines == []
