"""The filled bag follows the document: rows, fold pane, and what is said of older numbers."""

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QSettings, Qt
from PySide6.QtGui import QColor, QImage, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.capacity import CapacityModel
from app.session.document import Document
from app.views.fold.pane import LAST, STEPS, FoldPane
from app.widgets.figure_box import FigureBox
from app.widgets.theme import DrawingTheme
from app.window.main_window import MainWindow
from core.bag.bag import Bag
from core.bag.choices import with_choice, without_part
from core.base.units import Unit
from core.solid.capacity import capacity
from core.solid.fill_solve import FillCancelledError
from core.solid.filled_bag import FilledBag, fill_bag
from core.solid.fold import FILLED
from core.storage.project import NamedBag, Project
from tests.app.hands import Hands
from tests.app.sessions import session_on
from tests.helpers import changed, demo, inch
from tests.ids import edge_ref

LONGER = {"panel_length": inch(38.625)}
WAIT = 120_000
FILLED_LITRES = capacity(demo()).filled or 0.0
"""Whether it is right is told by the tests of core."""


@pytest.fixture(scope="module")
def filled_bag() -> FilledBag:
    return fill_bag(demo(), None, lambda share: True)


@pytest.fixture
def watch(qtbot: QtBot) -> Iterator[CapacityModel]:
    watch = session_on(demo()).capacity
    yield watch
    watch.close()


def settled(watch: CapacityModel, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: watch.current and not watch.work.busy, timeout=WAIT)


@pytest.fixture
def pane(qtbot: QtBot) -> FoldPane:
    pane = FoldPane(session_on(demo()))
    qtbot.addWidget(pane)
    pane.resize(420, 560)
    pane.show()
    qtbot.waitExposed(pane)
    return pane


def document_of(pane: FoldPane) -> Document:
    return pane._document


def picture(pane: FoldPane) -> np.ndarray:
    """(pixels, 3) red, green and blue of the view, every fourth pixel both ways."""
    image = pane.view.grab().toImage().convertToFormat(QImage.Format.Format_RGBX8888)
    lines = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), -1, 4)
    return lines[::4, : image.width() : 4, :3].reshape(-1, 3).astype(float)


def shades_of(pixels: np.ndarray, colour: QColor) -> int:
    """How many of the pixels are that colour in more or less light."""
    own = np.array(colour.getRgb()[:3], dtype=float)
    along = pixels @ own / np.linalg.norm(own)
    beside = np.linalg.norm(pixels, axis=1) ** 2 - along**2
    return int(np.sum((along > 0.25 * np.linalg.norm(own)) & (beside < 3.0**2)))


# The watch.


def test_it_sleeps_until_the_window_shows(watch: CapacityModel, qtbot: QtBot) -> None:
    watch._document.set_figures(LONGER, "Longer")
    qtbot.wait(60)
    assert watch.filled_bag is None and not watch.work.busy
    watch.wake()
    settled(watch, qtbot)
    assert watch.filled_bag.capacity.bag == watch._document.bag


def test_an_answer_is_current_only_for_the_bag_that_it_answers(
    watch: CapacityModel, qtbot: QtBot
) -> None:
    watch.wake()
    settled(watch, qtbot)
    said: list[tuple[bool, bool]] = []
    watch.changed.connect(
        lambda: said.append((watch.current, watch.filled_bag.capacity.bag == watch._document.bag))
    )
    for step in range(1, 9):
        watch._document.set_figures({"panel_length": inch(38.5 + step / 8)}, "Longer")
        assert not watch.current
        qtbot.wait(15)
    settled(watch, qtbot)
    assert all(current == fits for current, fits in said)
    assert (False, False) in said and said[-1] == (True, True)


def test_older_numbers_are_told_once(watch: CapacityModel, qtbot: QtBot) -> None:
    watch.wake()
    settled(watch, qtbot)
    told: list[bool] = []
    watch.changed.connect(lambda: told.append(watch.current))
    for width in (10.625, 10.75, 10.875):
        watch._document.set_figures({"panel_width": inch(width)}, "panel width")
    assert told == [False]
    for _ in range(3):
        watch._document.undo_stack.undo()
    assert told == [False, True]


def test_undo_to_the_answered_bag_needs_no_work(watch: CapacityModel, qtbot: QtBot) -> None:
    watch.wake()
    settled(watch, qtbot)
    first = watch.filled_bag
    watch._document.set_figures(LONGER, "Longer")
    watch._document.undo_stack.undo()
    assert watch.current
    qtbot.wait(100)
    assert watch.filled_bag is first and watch.current


def test_a_capacity_does_not_depend_on_how_the_bag_was_come_by(
    watch: CapacityModel, qtbot: QtBot
) -> None:
    watch.wake()
    settled(watch, qtbot)
    watch._document.set_figures(LONGER, "Longer")
    settled(watch, qtbot)
    qtbot.waitUntil(lambda: not watch.filled_bag.followed and watch.current, timeout=WAIT)
    assert watch.filled_bag.capacity.filled == capacity(watch._document.bag).filled


def test_nor_on_a_change_that_was_taken_back_before_it_was_worked_out_anew(
    watch: CapacityModel, qtbot: QtBot
) -> None:
    watch.wake()
    settled(watch, qtbot)
    watch._document.set_figures(LONGER, "Longer")
    qtbot.waitUntil(lambda: watch.current, timeout=WAIT)
    assert watch.filled_bag.followed
    watch._document.set_figures({"panel_width": inch(19)}, "Wider")
    watch._document.undo_stack.undo()
    assert watch.current
    qtbot.waitUntil(lambda: not watch.filled_bag.followed, timeout=WAIT)
    assert watch.filled_bag.capacity.filled == capacity(watch._document.bag).filled


def test_an_opened_bag_is_told_against_its_starting_bag(hands: Hands, qtbot: QtBot) -> None:
    """As it was before it was saved: the starting bag is filled too, once and first."""
    capacity = hands.window.session.capacity
    answered: list[Bag] = []

    def on_changed() -> None:
        if (bag := capacity.filled_bag.capacity.bag) not in answered[-1:]:
            answered.append(bag)

    capacity.changed.connect(on_changed)
    before, bag = changed(demo(), panel_width=inch(19)), changed(demo(), panel_width=inch(21))
    hands.document.open(Project(bag=bag, starting=NamedBag(name="Before", bag=before)))
    qtbot.waitUntil(lambda: capacity.current and not capacity.work.busy, timeout=WAIT)
    assert answered[-2:] == [before, bag]
    row = hands.window.measures._row_of("filled_volume")
    assert row is not None and row.change.text
    assert hands.window.fold.view.filled.starting is not None
    hands.document.set_figures({"panel_width": inch(20)}, "Wider")
    qtbot.waitUntil(lambda: capacity.current and not capacity.work.busy, timeout=WAIT)
    assert answered.count(before) == 1


def test_a_bag_that_is_opened_and_worked_on_at_once_is_followed_however_slow(
    watch: CapacityModel, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The starting bag is asked once: asked anew at each key it would give itself up."""
    asked: list[Bag] = []
    monkeypatch.setattr(watch.work, "_start", lambda: None)
    monkeypatch.setattr(type(watch.work), "busy", property(lambda _work: bool(asked)))
    plain = watch.work.ask
    monkeypatch.setattr(watch.work, "ask", lambda bag, job: (asked.append(bag), plain(bag, job)))
    document = watch._document
    document.open(
        Project(
            bag=demo(), starting=NamedBag(name="Before", bag=changed(demo(), panel_width=inch(19)))
        )
    )
    for width in (20, 21, 22):
        document.set_figures({"panel_width": inch(width)}, "Wider")
        watch._ask()
    assert asked == [document.starting.bag]


def test_an_edge_of_an_older_shape_lights_nothing(watch: CapacityModel) -> None:
    """It is still shown, and may be pointed at, while the new one is worked out."""
    document = watch._document
    edge = edge_ref("panel", "top front")
    document.point_at(edge)
    assert document.pointing.edge == edge
    document.replace_bag(with_choice(demo(), "bottom", "seam"), "Bottom")
    document.point_at(edge)
    assert document.pointing.edge is None


def test_work_can_be_cancelled_part_way() -> None:
    with pytest.raises(FillCancelledError):
        fill_bag(demo(), None, lambda share: share < 0.3)


def test_a_bag_that_cannot_be_filled_is_answered_too() -> None:
    found = fill_bag(without_part(demo(), "zip"), None, lambda share: True)
    assert found.surface is None and found.capacity.not_filled is not None


def test_nothing_of_the_solver_is_loaded_before_the_window_shows() -> None:
    program = (
        "import sys\n"
        "from PySide6.QtCore import QSettings\n"
        "from app.__main__ import make_app, make_window\n"
        "from app.session.settings import Settings\n"
        "app = make_app()\n"
        "window = make_window(Settings(QSettings('none', 'none')))\n"
        "late = ('scipy', 'core.solid.fill', 'core.solid.capacity', 'core.solid.surface',\n"
        "        'app.views.fold.surface_paint', 'app.views.fold.surface_scene')\n"
        "print([name for name in late if name in sys.modules])\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], check=True, capture_output=True, text=True, timeout=60
    )
    assert run.stdout.strip() == "[]"


# The fold pane.


def test_the_last_stop_waits_for_a_shape(pane: FoldPane, filled_bag: FilledBag) -> None:
    last = pane.stops[-1]
    assert not last.isEnabled() and "being worked out" in last.toolTip()
    pane.show_moment(FILLED)
    assert pane.view.at == 1.0, "there is nothing to show beyond sewn"
    pane.show_filled(filled_bag, current=True)
    assert last.isEnabled() and "roceries fill less" in last.toolTip()
    last.click()
    assert pane.view.at == FILLED and pane.slider.value() == LAST
    assert pane.view.surface_view is not None
    # A litre is 61.0237 cu in, and 57.75 cu in are a quart.
    inches = FILLED_LITRES * 61.0237
    told = f"{FILLED_LITRES:.2f} L ({inches / 57.75:.1f} qt, {inches:.0f} cu in)"
    assert pane.view.filled.caption == (f"Stuffed hard: {told}",)


def test_the_slider_runs_on_from_sewn_to_filled(pane: FoldPane, filled_bag: FilledBag) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(1.0)
    assert pane.view.surface_view is None
    QTest.keyClick(pane.slider, Qt.Key.Key_Right)
    assert 0.0 < pane.view.surface_view.share < 0.2
    QTest.keyClick(pane.slider, Qt.Key.Key_End)
    assert pane.view.surface_view.share == 1.0


def test_playing_ends_in_the_filled_bag(
    pane: FoldPane, filled_bag: FilledBag, qtbot: QtBot
) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.slider.setValue(STEPS + 60)
    pane.play_button.click()
    qtbot.waitUntil(lambda: pane.view.at == FILLED, timeout=WAIT)


def test_the_picture_does_not_jump_at_sewn(pane: FoldPane, filled_bag: FilledBag) -> None:
    """The soft bag starts as the rigid one looks: nearly every pixel stays nearly as it is."""
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(0.995)
    rigid = picture(pane)
    pane.show_moment(1.005)
    apart = np.abs(picture(pane) - rigid).max(axis=1)
    assert (apart > 40).mean() < 0.05
    pane.show_moment(FILLED)
    assert (np.abs(picture(pane) - rigid).max(axis=1) > 40).mean() > 0.1


def test_older_numbers_are_said_at_once_and_greyed_soon(
    pane: FoldPane, filled_bag: FilledBag, qtbot: QtBot
) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(FILLED)
    fresh = picture(pane)
    document_of(pane).set_figures(LONGER, "Longer")
    assert pane.view.filled.caption[0].startswith(f"Before: {FILLED_LITRES:.2f} L")
    assert "being worked out" in pane.view.filled.caption[1]
    assert pane.view.surface_view is not None, "the last shape stays on screen"
    qtbot.waitUntil(lambda: pane.view.filled.old)
    colour = np.ptp(picture(pane), axis=1).mean()
    assert colour < np.ptp(fresh, axis=1).mean() / 2, "greyed"
    document_of(pane).undo_stack.undo()
    pane.show_filled(filled_bag, current=True)
    assert not pane.view.filled.old
    assert pane.view.filled.caption[0].startswith(f"Stuffed hard: {FILLED_LITRES:.2f} L")


def test_a_change_makes_the_shape_old_before_anything_is_repainted(
    pane: FoldPane, filled_bag: FilledBag
) -> None:
    pane.show_filled(filled_bag, current=True)
    document_of(pane).set_figures(LONGER, "Longer")
    pane.show_moment(FILLED)
    assert pane.view.filled.caption[0].startswith("Before")


def test_an_open_top_stays_sewn_and_says_why(pane: FoldPane, filled_bag: FilledBag) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(FILLED)
    tote = without_part(demo(), "zip")
    document_of(pane).replace_bag(tote, "Open")
    pane.show_filled(fill_bag(tote, None, lambda share: True), current=True)
    assert pane.view.at == 1.0
    assert not pane.stops[-1].isEnabled()
    assert "open top" in pane.stops[-1].toolTip()
    assert pane._trouble.isVisible() and "open top" in pane._trouble.text()
    pane.slider.setValue(LAST)
    assert pane.view.at == 1.0
    document_of(pane).undo_stack.undo()
    pane.show_filled(filled_bag, current=True)
    assert not pane._trouble.isVisible()
    assert pane.stops[-1].isEnabled()


def test_the_reason_of_an_open_top_stays_while_numbers_change(pane: FoldPane) -> None:
    """Each answer comes some while after its change: at every key of a held one it would blink."""
    document, tote, seen = document_of(pane), without_part(demo(), "zip"), set()
    document.replace_bag(tote, "Open")
    height = pane.view.height()
    pane.show_filled(fill_bag(tote, None, lambda share: True), current=True)
    for width in (19.0, 19.5, 20.0):
        document.set_figures({"panel_width": inch(width)}, "Wider")
        QApplication.processEvents()
        seen.add((pane._trouble.isVisible(), pane._trouble.text(), pane.view.height()))
    ((visible, text, tall),) = seen
    assert visible and "open top" in text
    assert tall == height, "a sentence that comes leaves the picture its room"
    document.replace_bag(demo(), "Closed")
    assert not pane._trouble.isVisible(), "a bag that closes may be filled"


@pytest.mark.parametrize(
    "bag",
    [
        pytest.param(demo(), id="demo"),
        pytest.param(without_part(demo(), "board"), id="free base"),
        pytest.param(changed(demo(), corner_cut_depth=inch(3.5)), id="gap"),
        pytest.param(
            changed(demo(board=None), corner_cut_width=0.0, corner_cut_depth=0.0), id="pillow"
        ),
    ],
)
@pytest.mark.parametrize("dark", [False, True])
def test_every_bag_can_be_painted_from_everywhere(pane: FoldPane, bag, dark: bool) -> None:
    if dark:
        palette = QPalette()
        palette.setColor(QPalette.ColorRole.Base, QColor("#1f2124"))
        palette.setColor(QPalette.ColorRole.Text, QColor("#e8e8e8"))
        pane.setPalette(palette)
    document_of(pane).replace_bag(bag, "Other")
    pane.show_filled(fill_bag(bag, None, lambda share: True), current=True)
    look, goods = DrawingTheme.for_palette(pane.palette()), []
    for at in (1.01, 1.25, FILLED):
        pane.show_moment(at)
        for yaw, pitch in ((0.4, 0.0), (1.6, 0.3), (2.2, 1.2), (-2.0, -1.9)):
            pane.view.turn(yaw, pitch)
            seen = picture(pane)
            assert len(np.unique(seen, axis=0)) > 100, "light and shade"
            goods += [shades_of(seen, each) for each in (look.outer, look.pocket, look.handle)]
            assert goods[-1] > 50
    assert (np.sum(np.reshape(goods, (-1, 3)), axis=0) > (5000, 2000, 5000)).all()


def test_hidden_marks_do_not_show_through(pane: FoldPane, filled_bag: FilledBag) -> None:
    """Seen from behind, nothing of the front's pocket is painted."""
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(FILLED)
    view = pane.view.surface_view
    from core.solid.surface_grid import AREA_ORDER
    from core.space.zones import AreaKind

    pocket = view.catalogue.kinds == AREA_ORDER.index(AreaKind.LAID_ON)
    assert np.isin(np.flatnonzero(pocket), view.order).any()
    pane.view.turn(np.pi - 0.45, 0.0)
    view = pane.view.surface_view
    assert not np.isin(np.flatnonzero(pocket), view.order).any()
    assert view.facing[view.order[view.order >= 0]].all()


def test_edges_can_be_pointed_at_on_the_filled_bag(pane: FoldPane, filled_bag: FilledBag) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(FILLED)
    edge = edge_ref("panel", "side front right")
    lines = pane.view.surface_view.edge_lines(edge)
    assert lines
    spot = (lines[len(lines) // 2][0] + lines[len(lines) // 2][1]) / 2
    with_mate = {edge, edge_ref("panel", "side back right")}
    QTest.mouseMove(pane.view, spot.toPoint())
    assert document_of(pane).pointing.edge in with_mate
    assert pane.view.surface_view.edge_at(-50.0, -50.0, 8.0) is None


def test_everything_is_inside_the_window_when_fitted(pane: FoldPane, filled_bag: FilledBag) -> None:
    pane.show_filled(filled_bag, current=True)
    pane.show_moment(FILLED)
    pane.fit()
    view = pane.view.surface_view
    seen = [view.seen[:, :2], *[strip.sides.reshape(-1, 2) for strip in view.strips]]
    points = np.concatenate(seen)
    assert points.min() > 0
    assert points[:, 0].max() < pane.view.width() and points[:, 1].max() < pane.view.height()


def test_the_starting_bag_is_outlined_in_the_same_state(
    pane: FoldPane, filled_bag: FilledBag
) -> None:
    pane.set_starting(document_of(pane).result)
    pane.show_filled(filled_bag, current=True)
    larger = changed(demo(), panel_length=inch(44))
    document_of(pane).replace_bag(larger, "Larger")
    pane.show_filled(fill_bag(larger, filled_bag.capacity, lambda share: True), current=True)
    for at in (0.0, 0.5, 1.0, 1.25, FILLED):
        pane.show_moment(at)
        pane.set_starting(None)
        without = picture(pane)
        pane.set_starting(document_of(pane).starting)
        with_outline = picture(pane)
        share = (np.abs(with_outline - without).max(axis=1) > 8).mean()
        assert 0.0 < share < 0.05, at
    pane.set_starting(document_of(pane).result)
    assert pane.view._starting is None and pane.view.filled.starting is None, (
        "no outline of a bag over itself"
    )


def test_units_of_the_reader_are_written_at_the_filled_bag(
    pane: FoldPane, filled_bag: FilledBag
) -> None:
    pane.show_filled(filled_bag, current=True)
    pane._display.set_unit(Unit.MM)
    assert pane.view.filled.caption == (f"Stuffed hard: {FILLED_LITRES:.2f} L",)


# The window.


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> Iterator[MainWindow]:
    store = QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat)
    window = MainWindow(session_on(demo(), store=store))
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.document.undo_stack.setClean()
    window.close()
    window.deleteLater()


def row(window: MainWindow, name: str) -> str:
    return window.measures._capacity.text(name)


def test_rows_and_preview_follow_the_document(window: MainWindow, qtbot: QtBot) -> None:
    told = f"{FILLED_LITRES:.2f} L"
    qtbot.waitUntil(lambda: row(window, "filled_volume") == told, timeout=WAIT)
    window.commands["fold_filled"].trigger()
    assert window.fold.view.at == FILLED
    window.document.set_figures(LONGER, "Longer")
    assert row(window, "filled_volume") == f"… {told}"
    assert window.fold.view.filled.caption[0].startswith("Before")
    settled(window.session.capacity, qtbot)
    found = window.session.capacity.filled_bag.capacity
    assert row(window, "filled_volume") == f"{found.filled:.2f} L"
    assert row(window, "inside_filled_volume") == f"{found.inside_filled:.2f} L"
    assert row(window, "filled_over_box") == f"{found.filled_over_box:.2f}"
    assert window.fold.view.filled.caption[0].startswith(f"Stuffed hard: {found.filled:.2f} L")


def test_a_figure_of_the_filled_bag_can_be_shown(window: MainWindow) -> None:
    window.document.figure_asked.emit("filled_volume")
    assert window.measures.findChild(FigureBox, "filled_volume").hasFocus()


def test_closing_the_window_ends_the_work(window: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: window.session.capacity.work.busy, timeout=WAIT)
    window.close()
    assert not window.session.capacity.work.busy
    window.document.set_figures(LONGER, "Longer")
    qtbot.wait(60)
    assert not window.session.capacity.work.busy
