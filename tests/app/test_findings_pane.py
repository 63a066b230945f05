"""Findings and changes below the drawings: what they say, and the fixes."""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.views.changes.pane import ChangesPane
from app.views.changes.table import RULER
from app.views.findings.pane import FindingsPane
from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.base.units import Unit, unbroken
from core.flat.roles import PieceId, PieceRole
from tests.app.hands import Hands
from tests.app.sessions import session_on
from tests.helpers import changed, demo, inch


class Bench:
    """A document, its findings and its changes."""

    def __init__(self, qtbot: QtBot, bag: Bag | None = None) -> None:
        self.session = session_on(bag or demo())
        self.document, self.display = self.session.document, self.session.display
        self.findings = FindingsPane(self.session)
        self.changes = ChangesPane(self.session)
        for pane in (self.findings, self.changes):
            qtbot.addWidget(pane)
            pane.resize(700, 220)
            pane.show()

    def shown(self) -> list[str]:
        self.findings.refresh()
        return [row.sentence for row in self.findings.rows if not row.isHidden()]


def faultless() -> Bag:
    """The demo bag with its stitching up to the pocket's edge."""
    return changed(demo(), handle_stop=inch(4.5))


def test_a_bag_without_findings_says_so(qtbot: QtBot) -> None:
    bench = Bench(qtbot, faultless())
    assert bench.document.result.findings == ()
    assert bench.shown() == []
    assert not bench.findings._nothing.isHidden()


def test_findings_stand_worst_first_and_follow_the_unit(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5), front_trim=inch(0.5)))
    severities = [each.severity for each in bench.document.result.findings]
    assert severities == sorted(severities, reverse=True)
    assert len(bench.shown()) == len(severities) > 1
    assert "\u00a0in" in bench.shown()[0]
    bench.display.set_unit(Unit.MM)
    assert "\u00a0mm" in bench.shown()[0]
    assert bench.findings.rows[0].accessibleName().startswith("Stop: ")


def test_findings_are_written_soon_after_a_change(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.document.set_figures({"corner_cut_depth": inch(3.5)}, "corner cut depth")
    qtbot.waitUntil(lambda: not bench.findings.rows[0].isHidden() if bench.findings.rows else False)


def test_only_what_differs_is_written_again(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5), front_trim=inch(0.5)))
    written, write = [], FindingsPane._write
    monkeypatch.setattr(
        FindingsPane,
        "_write",
        lambda pane, row, each: (written.append(each), write(pane, row, each)),
    )
    before = bench.document.result.findings
    bench.document.set_figures({"corner_cut_depth": inch(3.625)}, "corner cut depth")
    after = bench.document.result.findings
    said = [each.message.text() for each in after]
    bench.shown()
    others = [now for was, now in zip(before, after, strict=True) if was != now]
    assert written == others
    assert 0 < len(others) < len(after), said


def test_a_fix_may_choose_another_way(qtbot: QtBot) -> None:
    across = with_choice(faultless(), "corners", "sewn-across")
    bench = Bench(qtbot, with_choice(across, "tips", "left-in"))
    assert len(bench.shown()) == 1
    qtbot.mouseClick(bench.findings.rows[0].fix_buttons[0], Qt.MouseButton.LeftButton)
    assert bench.document.bag == across
    assert bench.document.undo_stack.count() == 1
    assert bench.shown() == []


def test_a_fix_is_one_click_and_one_undo(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    before = bench.document.bag
    bench.shown()
    button = bench.findings.rows[0].fix_buttons[0]
    label = button.text()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == label
    assert "corner-edges-differ" not in {each.code for each in bench.document.result.findings}
    bench.document.undo_stack.undo()
    assert bench.document.bag is before


@pytest.mark.parametrize("width", [700, 240])
def test_a_fix_is_never_cut_off(qtbot: QtBot, width: int) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    bench.shown()
    bench.findings.resize(width, 400)
    row = bench.findings.rows[0]
    qtbot.waitUntil(lambda: all(b.width() >= b.sizeHint().width() for b in row.fix_buttons))
    assert {button.text().count("\n") > 0 for button in row.fix_buttons} == {width < 300}
    words = [button.text().replace("\n", " ") for button in row.fix_buttons]
    assert words[0].startswith(unbroken("Make the corner cut 3 7/8 in"))
    inside = row.mapTo(bench.findings, row.rect().topRight()).x()
    assert all(b.mapTo(bench.findings, b.rect().topRight()).x() <= inside for b in row.fix_buttons)


def test_a_fix_is_broken_into_lines_alike_whatever_its_button_said_before(qtbot: QtBot) -> None:
    bag = changed(demo(), corner_cut_depth=inch(3.5))
    worked, fresh = Bench(qtbot), Bench(qtbot, bag)
    for bench in (worked, fresh):
        bench.findings.resize(320, 400)
        bench.shown()
    for depth in (3.25, 4.0, 3.5):
        worked.document.set_figures({"corner_cut_depth": inch(depth)}, "Corner cut depth")
        worked.shown()
    assert _labels(worked) == _labels(fresh)


def _labels(bench: Bench) -> list[str]:
    rows = [row for row in bench.findings.rows if not row.isHidden()]
    return [button.text() for row in rows for button in row.fix_buttons]


def test_after_a_fix_by_key_the_focus_is_on_what_can_be_read_next(qtbot: QtBot) -> None:
    """Never on another change than the one that was read, and in the findings to their end."""
    worn = changed(demo(), corner_cut_depth=inch(3.5), handle_stop=inch(0.5), zip_length=50.0)
    bench = Bench(qtbot, worn)
    pane = bench.findings
    bench.shown()
    pane.activateWindow()
    qtbot.waitUntil(pane.isActiveWindow)
    count = 0
    while button := next((b for row in pane.rows for b in row.fix_buttons if b.isVisible()), None):
        row = button.parentWidget()
        place = pane.rows.index(row)
        button.setFocus()
        qtbot.keyClick(button, Qt.Key.Key_Space)
        pane.refresh()
        count += 1
        assert bench.document.undo_stack.count() == count
        left = len(bench.document.result.findings)
        expected = pane.rows[min(place, left - 1)] if left else pane
        assert expected.hasFocus() and expected.isVisible()
    assert count >= 3


def test_the_focus_stays_with_its_finding(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), handle_stop=inch(0.5)))
    pane = bench.findings
    first = bench.shown()[0]
    pane.activateWindow()
    qtbot.waitUntil(pane.isActiveWindow)
    button = pane.rows[0].fix_buttons[0]
    button.setFocus()
    label = button.text()
    bench.document.set_figures({"corner_cut_depth": inch(3.5)}, "Corner cut depth")
    place = bench.shown().index(first)
    assert place > 0, "a worse one has come"
    assert pane.rows[place].fix_buttons[0].hasFocus()
    assert pane.rows[place].fix_buttons[0].text() == label
    bench.document.undo_stack.undo()
    assert bench.shown()[0] == first
    assert button.hasFocus()
    bench.display.set_unit(Unit.MM)
    assert button.hasFocus(), "the same change, told in another unit"


def test_the_worst_fix_can_be_had_by_key(qtbot: QtBot) -> None:
    bench = Bench(qtbot, changed(demo(), corner_cut_depth=inch(3.5)))
    assert bench.findings.fix_worst()
    assert bench.document.undo_stack.count() == 1
    assert not Bench(qtbot, faultless()).findings.fix_worst()


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
    assert bench.findings.refusal.startswith(unbroken("Not possible: Corner cut width is 30 in"))
    bench.document.set_figures({"corner_cut_width": inch(3)}, "corner cut width")
    assert bench.findings.refusal == ""


def test_a_fix_that_cannot_be_is_told_in_full_until_the_next_step(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.document.set_figures({"corner_cut_width": inch(30)}, "corner cut width")
    assert bench.findings.show_field.isHidden(), "no field was typed in"
    bench.document.replace_bag(bench.document.bag, "back to what there is")
    assert bench.findings.refusal == ""
    bench.document.set_figures({"corner_cut_width": inch(30)}, "corner cut width")
    bench.document.open(demo())
    assert bench.findings.refusal == ""


def test_a_hair_of_difference_has_a_size_and_one_sign(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    for added, told in ((0.3, "≈ +1/64 in"), (-0.1, "≈ −0.004 in"), (-12.0, "≈ −1/2 in")):
        bench.document.set_figures({"panel_width": inch(18.5) + added}, "panel width")
        bench.changes.refresh()
        lines = {line.about: line.texts for line in bench.changes.model.lines}
        assert lines["panel_width"][3] == unbroken(told)
        assert lines[PieceId("body", PieceRole.WALL)][3] == unbroken(told)
        assert not any("≈ 0 " in text or "- " in text for each in lines.values() for text in each)


@pytest.mark.parametrize("width", [270, 325, 420, 700])
@pytest.mark.parametrize("unit", [Unit.MM, Unit.INCH])
def test_differences_are_never_cut_off(qtbot: QtBot, width: int, unit: Unit) -> None:
    bench = Bench(qtbot)
    pane = bench.changes
    bench.display.set_unit(unit)
    bench.document.set_figures(
        {"corner_cut_depth": inch(3.25), "corner_cut_width": inch(3.625)}, "corner cut"
    )
    pane.refresh()
    pane.resize(width, 220)
    table = pane.table
    assert table is not None
    shown = [column for column in range(5) if not table.isColumnHidden(column)]
    assert {0, 2, 3} <= set(shown)
    assert (1 in shown) or width < 420, "there is room for what it was"
    for column in shown[1:]:
        assert table.columnWidth(column) >= table.sizeHintForColumn(column)
    assert table.columnWidth(0) >= 12 * table.fontMetrics().averageCharWidth()
    assert table.horizontalScrollBar().maximum() == 0
    tip = pane.model.data(pane.model.index(0, 3), Qt.ItemDataRole.ToolTipRole)
    label, before, after, difference = pane.model.lines[0].texts
    assert all(text in tip for text in (label, before, after, difference)), "nothing is lost"


def test_columns_of_the_changes_stand_still_while_a_figure_goes_on(qtbot: QtBot) -> None:
    """A length has more figures at one step and fewer at the next."""
    bench = Bench(qtbot)
    seen: list[tuple[int, ...]] = []
    for depth in (3.0 + 5 / 16, 3.5, 4.0, 4.5, 5.0):
        bench.document.set_figures({"corner_cut_depth": inch(depth)}, "Corner cut depth")
        bench.changes.refresh()
        table = bench.changes.table
        assert table is not None
        seen.append(tuple(table.columnWidth(column) for column in (1, 2, 3)))
    assert seen == [seen[0]] * len(seen)
    bench.changes.resize(699, 220)
    assert table.columnWidth(2) < seen[0][1], "fitted anew"


def test_changes_list_before_after_and_difference(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    assert bench.changes.model.lines == []
    bench.document.set_figures({"corner_cut_depth": 88.9}, "corner cut depth")
    bench.changes.refresh()
    lines = {line.figure: line.texts for line in bench.changes.model.lines}
    told = ("Corner cut depth", "3 in", "3 1/2 in", "+1/2 in")
    assert lines["corner_cut_depth"] == tuple(map(unbroken, told))
    told = ("Gusset depth", "6 3/4 in", "7 3/4 in", "+1 in")
    assert lines["gusset_depth"] == tuple(map(unbroken, told))
    assert "panel_width" not in lines
    bench.document.undo_stack.undo()
    bench.changes.refresh()
    assert bench.changes.model.lines == []


def test_a_column_is_as_wide_as_its_head_when_it_first_comes(hands: Hands) -> None:
    """A hidden head tells no width: what the ruler cost came with half of its words."""
    hands.window.resize(1400, 900)
    hands.document.set_figures({"panel_width": 442.3}, "Panel width")
    hands.window.changes.refresh()
    table = hands.window.changes.table
    assert table is not None and table.isColumnHidden(RULER)
    hands.window.session.redesigner.round_now()
    hands.window.changes.refresh()
    assert not table.isColumnHidden(RULER)
    first = table.columnWidth(RULER)
    hands.window.changes.refresh()
    assert table.columnWidth(RULER) == first
