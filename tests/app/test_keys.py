"""The list of keys in the help: it says of each pane what the pane does, no more and no less."""

from collections.abc import Iterable

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QListView, QWidget
from pytestqt.qtbot import QtBot

from app.help.keys import PANE_KEYS, InputKind, Pane, PaneKey, keys_page
from app.help.page import native, page_html
from app.session.display import Display
from app.views.cutting.table import CuttingTable
from app.views.cutting.view import CuttingView
from app.views.findings.row import FindingRow
from app.views.flat.pane import FlatPane
from app.views.measures.rows import ChoiceBox
from app.widgets.figure_box import FigureBox
from app.window.action_table import ACTIONS, keys_of
from tests.app.hands import Hands

Key = Qt.Key
SIGNS = [*"ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789+-=,./*?"]
NAMED = [
    *("Left", "Right", "Up", "Down", "Home", "End", "PgUp", "PgDown", "Space", "Return", "Enter"),
    *("Esc", "Backspace", "Del", "Ins", "F4"),
]
EVERY = [*SIGNS, *NAMED]
"""Every key without Ctrl or Alt that a pane could be meant to handle."""


SWALLOWED = {(Pane.PIN, key) for key in ("Left", "Right", "Up", "Down")}
"""Qt's buttons take these keys to move among buttons of a group, and do nothing without one."""


def one(window: QWidget, kind: type[QWidget], name: str = "") -> QWidget:
    found = [each for each in window.findChildren(kind) if name in ("", each.accessibleName())]
    return next(each for each in found if each.isVisibleTo(window))


@pytest.fixture
def panes(hands: Hands, qtbot: QtBot) -> dict[Pane, QWidget]:
    window = hands.window
    for name in ("cutting_plan", "sewing_order"):
        window.commands[name].trigger()
    steps = one(window, QListView, "Steps")
    assert isinstance(steps, QListView)
    qtbot.waitUntil(lambda: steps.model().rowCount() > 2)
    steps.setCurrentIndex(steps.model().index(1, 0))
    table = window.findChild(CuttingTable)
    view = window.findChild(CuttingView)
    assert table is not None
    assert view is not None
    qtbot.waitUntil(lambda: table.rowCount() > 1)
    return {
        Pane.FIELD: hands.box("corner_cut_depth"),
        Pane.PIN: window.measures._row_of("base_width").pin,
        Pane.CHOICE: one(window, ChoiceBox),
        Pane.FLAT: window.flat,
        Pane.FOLD: window.fold.view,
        Pane.SLIDER: window.fold.slider,
        Pane.FINDING: one(window, FindingRow),
        Pane.CUTTING: view,
        Pane.STEPS: steps,
        Pane.TABLE: table,
    }


def press(widget: QWidget, key: str) -> bool:
    """Press a key in a widget alone; whether it was handled there, not by what it lies in."""
    code = QKeySequence(key)[0].key()
    sign = key.lower() if len(key) == 1 else " " if key == "Space" else ""
    plain = Qt.KeyboardModifier.NoModifier
    event = QKeyEvent(QEvent.Type.KeyPress, code, plain, sign)
    widget.event(event)
    release = QKeyEvent(QEvent.Type.KeyRelease, code, plain, sign)
    widget.event(release)
    if isinstance(widget, ChoiceBox):
        widget.hidePopup()
    return event.isAccepted()


def turn_wheel(widget: QWidget) -> bool:
    event = QWheelEvent(
        QPointF(10, 10),
        QPointF(10, 10),
        QPoint(),
        QPoint(0, 120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    widget.event(event)
    return event.isAccepted()


def make_ready(widget: QWidget) -> None:
    """In the middle of its doing, so that each key has something to do."""
    widget.setFocus()
    if isinstance(widget, FlatPane):
        widget._point_along(1)
    if isinstance(widget, CuttingTable):
        widget.setCurrentCell(1, 1)
    if isinstance(widget, FigureBox):
        widget.selectAll()
        press(widget, "3")


def records(pane: Pane, way: InputKind) -> Iterable[PaneKey]:
    return (each for each in PANE_KEYS if each.pane is pane and each.way is way)


def test_each_pane_handles_the_keys_that_are_listed_and_no_others(
    panes: dict[Pane, QWidget],
) -> None:
    wrong = []
    for pane, widget in panes.items():
        listed = {key for each in records(pane, InputKind.KEY) for key in each.keys}
        assert listed <= set(EVERY)
        if any(records(pane, InputKind.TYPING)):
            listed |= set(SIGNS) | {"Space"}
        for key in EVERY:
            make_ready(widget)
            handled = press(widget, key)
            if handled is not (key in listed) and (pane, key) not in SWALLOWED:
                wrong.append((pane.name, key, "handled" if handled else "listed"))
    assert wrong == [], "\n".join(map(str, wrong))


def test_the_wheel_does_what_is_listed(panes: dict[Pane, QWidget]) -> None:
    assert {each.pane for each in PANE_KEYS if each.way is InputKind.WHEEL} == {
        *(Pane.FIELD, Pane.FLAT, Pane.FOLD, Pane.CUTTING)
    }
    for pane in (Pane.FIELD, Pane.FLAT, Pane.FOLD, Pane.CUTTING):
        panes[pane].setFocus()
        assert turn_wheel(panes[pane]), pane
    panes[Pane.FLAT].setFocus()
    assert not turn_wheel(panes[Pane.FIELD])


INCH = 25.4
TAKEN = {
    **dict.fromkeys(("18 1/2", "18-1/2", "18.5", "18 ½", "18 + 1/2", "=18 1/2"), 18.5 * INCH),
    **dict.fromkeys(("47 cm", "470mm"), 470.0),
    "19 in - 1 cm": 19 * INCH - 10.0,
    "+2 cm": 19 * INCH + 20.0,
    "-1/2": 18.5 * INCH,
    "*0.9": 0.9 * 19 * INCH,
    "/1.1": 19 * INCH / 1.1,
    "90 %": 0.9 * 19 * INCH,
    "+5 %": 1.05 * 19 * INCH,
}
"""What each example comes to where 19 in stands, by hand, mm."""


def test_a_field_takes_what_the_list_gives_as_examples(hands: Hands) -> None:
    samples = {key for each in records(Pane.FIELD, InputKind.TYPING) for key in each.keys}
    assert samples == set(TAKEN)
    for sample, taken in TAKEN.items():
        hands.type("panel_width", "19")
        hands.type("panel_width", sample)
        assert hands.box("panel_width").problem == "", sample
        assert hands.document.bag.body.width == pytest.approx(taken, abs=1e-9), sample


def test_the_page_lists_every_action_with_its_key(qapp: object) -> None:
    html = page_html(keys_page(), Display())
    for spec in ACTIONS:
        name = spec.text.replace("&", "").rstrip("…")
        key = native(keys_of(spec)[0])
        assert f"<b>{key}</b></td><td>{name}</td>" in html
