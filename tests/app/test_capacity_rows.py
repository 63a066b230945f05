"""The rows of the filled bag: live, older numbers marked, reasons in words."""

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.views.measures.capacity_rows import OVER_BOX, CapacityRows, FilledBox
from app.views.measures.row import MeasureGroup
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.base.units import Unit
from core.solid.capacity import Capacity, capacity
from tests.app.sessions import session_on
from tests.helpers import changed, demo, inch, layer, sandwich

FILLED, INSIDE = "filled_volume", "inside_filled_volume"


@pytest.fixture(scope="module")
def found() -> Capacity:
    return capacity(demo())


class Bench:
    """The three rows in a group of their own."""

    def __init__(self, qtbot: QtBot, bag: Bag | None = None) -> None:
        self.session = session_on(demo() if bag is None else bag)
        self.document, self.display = self.session.document, self.session.display
        self.widget = QWidget()
        qtbot.addWidget(self.widget)
        self.group = MeasureGroup("Finished", self.widget)
        self.redesigner = self.session.redesigner
        self.rows = CapacityRows(self.session, self.group, 20, self.widget)

    def ink(self, name: str) -> str:
        field = self.rows.row(name).field
        shown = field.lineEdit() if isinstance(field, FilledBox) else field
        return shown.palette().color(QPalette.ColorRole.Text).name()


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return Bench(qtbot)


def test_before_the_first_answer_there_is_only_an_ellipsis(bench: Bench) -> None:
    assert [bench.rows.text(name) for name in (FILLED, INSIDE, OVER_BOX)] == ["…"] * 3


def test_values_are_shown_with_other_units_below(bench: Bench, found: Capacity) -> None:
    bench.rows.show(found, current=True)
    assert bench.rows.text(FILLED) == f"{found.filled:.2f} L"
    assert bench.rows.text(INSIDE) == f"{found.inside_filled:.2f} L"
    # A litre is 61.0237 cu in, and 57.75 cu in are a quart.
    inches = found.filled * 61.0237
    assert bench.rows.text(OVER_BOX) == f"{inches / (11 * 6.75 * 15):.2f}"
    assert bench.rows.row(FILLED).note == f"{inches / 57.75:.1f} qt, {inches:.0f} cu in"
    inside = found.inside_filled * 61.0237
    assert bench.rows.row(INSIDE).note == f"{inside / 57.75:.1f} qt, {inside:.0f} cu in"
    bench.display.set_unit(Unit.MM)
    bench.rows.refresh()
    assert bench.rows.row(FILLED).note == bench.rows.row(INSIDE).note == ""


def test_older_numbers_are_marked_in_signs_words_and_ink(bench: Bench, found: Capacity) -> None:
    bench.rows.show(found, current=True)
    plain = bench.ink(FILLED)
    field = bench.rows.row(FILLED).field
    assert "before the last change" not in field.toolTip() and field.accessibleDescription() == ""
    bench.rows.show(found, current=False)
    for name in (FILLED, INSIDE, OVER_BOX):
        assert bench.rows.text(name).startswith("… ")
    assert bench.ink(FILLED) != plain
    assert "before the last change" in field.toolTip() and field.accessibleDescription()
    bench.rows.show(found, current=True)
    assert bench.rows.text(FILLED) == f"{found.filled:.2f} L"
    assert bench.ink(FILLED) == plain


def test_the_ink_of_a_value_follows_the_system_from_light_to_dark(
    bench: Bench, found: Capacity, qapp: QApplication
) -> None:
    light = qapp.palette()
    bench.widget.show()
    bench.rows.show(found, current=False)
    muted = bench.ink(OVER_BOX)
    bench.rows.show(found, current=True)
    try:
        qapp.setPalette(QPalette(QColor("#323232")))
        qapp.processEvents()
        assert bench.ink(OVER_BOX) == qapp.palette().color(QPalette.ColorRole.Text).name()
        bench.rows.show(found, current=False)
        assert bench.ink(OVER_BOX) not in (muted, qapp.palette().color(QPalette.ColorRole.Text))
        qapp.setPalette(light)
        qapp.processEvents()
        assert bench.ink(OVER_BOX) == muted
    finally:
        qapp.setPalette(light)


def test_a_bag_that_is_open_from_the_first_has_no_rows_of_the_filled_bag(qtbot: QtBot) -> None:
    open_bag, closed = Bench(qtbot, without_part(demo(), "zip")), Bench(qtbot)
    for name in (FILLED, INSIDE, OVER_BOX):
        assert open_bag.rows.row(name).isHidden()
        assert not closed.rows.row(name).isHidden()
    assert closed.rows.open.isHidden() and not open_bag.rows.open.isHidden()


def test_text_that_is_given_up_leaves_the_older_number_marked(
    bench: Bench, found: Capacity
) -> None:
    bench.rows.show(found, current=True)
    field = bench.rows.row(FILLED).field
    field.show_refused(3.0)
    field.set_problem("too much")
    assert field.accessibleDescription() == "too much"
    bench.rows.show(found, current=False)
    assert (field.text(), field.accessibleDescription()) == ("3.00 L", "too much")
    field.revert_text()
    assert field.text() == f"… {found.filled:.2f} L"
    assert "before the last change" in field.accessibleDescription()


def test_the_honest_words_stand_at_the_row(bench: Bench) -> None:
    row = bench.rows.row(FILLED)
    assert "groceries fill less" in row.toolTip()
    assert "groceries fill less" in row.whatsThis()


def test_what_cannot_be_filled_says_why(bench: Bench, found: Capacity) -> None:
    bench.rows.show(found, current=True)
    bench.rows.show(capacity(without_part(demo(), "zip")), current=True)
    assert bench.rows.text(FILLED) == "–"
    assert "open top" in bench.rows.row(FILLED).note
    assert bench.rows.text(INSIDE) == bench.rows.text(OVER_BOX) == "–", "they stay: none moves"
    bench.rows.show(found, current=True)
    assert not bench.rows.row(INSIDE).isHidden()


def test_an_open_top_has_one_line_in_place_of_three_rows(bench: Bench, found: Capacity) -> None:
    """It goes by the bag at once, before an answer; and a bag that closes again has its rows."""
    rows, line = bench.rows, bench.rows.open
    bench.widget.setLayout(QVBoxLayout())
    bench.widget.layout().addWidget(bench.group)
    rows.show(found, current=True)
    bench.widget.show()
    assert line.isHidden() and all(row.isVisible() for row in rows.rows.values())
    height = bench.group.sizeHint().height()
    bench.document.replace_bag(without_part(demo(), "zip"), "open")
    rows.show(found, current=False)
    assert line.isVisible() and not any(row.isVisible() for row in rows.rows.values())
    assert "none, as the top is open" in line.text()
    assert bench.group.sizeHint().height() < height - 3 * line.height()
    bench.document.undo_stack.undo()
    rows.show(found, current=True)
    assert line.isHidden() and all(row.isVisible() for row in rows.rows.values())
    assert bench.group.sizeHint().height() == height


def test_a_wall_that_leaves_no_room_says_so_at_the_row(bench: Bench, found: Capacity) -> None:
    bench.rows.show(found, current=True)
    assert "Nothing goes in" not in bench.rows.row(INSIDE).note
    solid = capacity(demo(sandwich=sandwich(layer(thickness=97.0))))
    bench.rows.show(solid, current=True)
    assert bench.rows.text(FILLED) == f"{solid.filled:.2f} L"
    assert bench.rows.text(INSIDE) == "–"
    assert "Nothing fits inside" in bench.rows.row(INSIDE).note
    bench.rows.show(solid, current=False)
    assert bench.rows.row(INSIDE).note == ""


def test_changes_are_told_against_the_starting_bag(bench: Bench, found: Capacity) -> None:
    bench.rows.show(found, current=True)
    assert bench.rows.row(FILLED).change.text == ""
    longer = capacity(changed(demo(), panel_length=inch(39.5)))
    bench.rows.show(longer, current=True)
    assert bench.rows.row(FILLED).change.text == f"+{longer.filled - found.filled:.2f} L"
    bench.rows.show(longer, current=False)
    assert bench.rows.row(FILLED).change.text == "", "an old value has no change to tell"


def test_other_names_are_not_here(bench: Bench) -> None:
    assert bench.rows.row("base_width") is None


def test_a_bag_that_was_open_from_the_first_has_no_rows_of_a_filled_one(qtbot: QtBot) -> None:
    bench = Bench(qtbot, without_part(demo(), "zip"))
    assert all(row.isHidden() for row in bench.rows.rows.values())
    assert not bench.rows.open.isHidden()
