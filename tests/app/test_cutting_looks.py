"""Looking at a cutting plan: no stretch ends in a piece, and a long plan is scrolled to be read."""

from itertools import pairwise

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QPalette
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.display import Display
from app.views.cutting.table import CuttingTable, PieceRow
from app.views.cutting.view import BELOW, CuttingView
from core.bag.compute import compute
from core.cutting.plan import GoodsPlan, PlanOptions
from core.cutting.planner import Planner
from core.drawing.cutting_stretches import READABLE, whole_stretches
from core.storage.bag_files import demo_bag
from tests.helpers import inch

LOW = (620, 150)
"""What a low tab leaves for the drawing, px."""


@pytest.fixture(scope="module")
def plans() -> dict[int, GoodsPlan]:
    """Outer fabric for so many bags."""
    result = compute(demo_bag())
    return {
        bags: next(Planner(result, PlanOptions(bags=bags)).better_plans()).plan.goods[0]
        for bags in (1, 3, 12)
    }


@pytest.fixture(scope="module")
def sheet() -> GoodsPlan:
    """What the base board is cut from."""
    goods = next(Planner(compute(demo_bag()), PlanOptions()).better_plans()).plan.goods
    return next(each for each in goods if each.goods.in_sheets)


def shown(qtbot: QtBot, goods: GoodsPlan, size: tuple[int, int]) -> CuttingView:
    view = CuttingView(Display())
    qtbot.addWidget(view)
    view.resize(*size)
    view.show()
    view.show_plan(goods, is_older=False, note="")
    return view


@pytest.mark.parametrize("bags", [1, 3, 12])
@pytest.mark.parametrize("size", [LOW, (240, 180), (900, 150), (1400, 700), (620, 400)])
def test_no_piece_is_broken_in_two(
    qtbot: QtBot, plans: dict[int, GoodsPlan], bags: int, size: tuple[int, int]
) -> None:
    goods = plans[bags]
    view = shown(qtbot, goods, size)
    columns = [each.stretch for each in view.standing]
    assert columns[0].low == 0.0
    assert columns[-1].high == pytest.approx(goods.cutting_length)
    assert all(one.high == other.low for one, other in pairwise(columns))
    for column in columns:
        for laid in goods.laid:
            _, bottom, _, top = laid.box
            assert not bottom + 1e-3 < column.high < top - 1e-3, laid.name
    # It can be read, and no stretch is a stripe.
    assert view.view.scale >= READABLE * (1.0 - 1e-6)
    assert goods.width * view.view.scale >= 100.0
    # All of its width is seen.
    area, box = view.drawing_area(), view.view.rect(view.content_bounds())
    if goods.width * READABLE < area.width():
        assert area.left() <= box.left() and box.right() <= area.right()


def test_a_long_plan_begins_at_the_cut_end_and_is_scrolled(
    qtbot: QtBot, plans: dict[int, GoodsPlan]
) -> None:
    view = shown(qtbot, plans[12], LOW)
    bar, area = view._bar, view.drawing_area()
    assert bar.isVisible() and bar.value() == bar.maximum() > 200
    assert view.view.rect(view.content_bounds()).bottom() == pytest.approx(area.bottom(), abs=8)
    bar.setValue(0)
    top = view.view.rect(view.content_bounds()).top()
    assert top == pytest.approx(area.top(), abs=8), "the far end"
    scale = view.view.scale
    view.setFocus()
    QTest.keyClick(view, Qt.Key.Key_PageDown)
    moved = top - view.view.rect(view.content_bounds()).top()
    assert 0.5 * area.height() < moved < area.height()
    assert bar.value() == pytest.approx(moved, abs=1), "the bar follows the keys"
    assert view.view.scale == scale, "scrolling is no zooming"
    QTest.keyClick(view, Qt.Key.Key_Plus)
    assert view.view.scale > scale
    view.fit()
    assert view.view.scale == pytest.approx(scale)
    assert bar.value() == bar.maximum()


def test_a_plan_that_can_be_read_whole_needs_no_bar(
    qtbot: QtBot, plans: dict[int, GoodsPlan]
) -> None:
    view = shown(qtbot, plans[1], (620, 400))
    assert not view._bar.isVisible()
    view.zoom(3.0, QPointF(100.0, 100.0))
    assert view._bar.isVisible()


def test_the_bar_is_that_of_the_plan_shown(qtbot: QtBot, plans: dict[int, GoodsPlan]) -> None:
    fresh = shown(qtbot, plans[12], LOW)
    worked = shown(qtbot, plans[3], LOW)
    worked.show_plan(plans[12], is_older=False, note="")
    assert worked._bar.maximum() == fresh._bar.maximum()
    worked.pan(0.0, 5.0)
    longer = worked._bar.maximum()
    worked.show_plan(plans[3], is_older=False, note="")
    assert worked._bar.maximum() < longer, "also where the look at it is kept"


def test_a_plan_ends_above_the_key_of_its_short_names(
    qtbot: QtBot, plans: dict[int, GoodsPlan], sheet: GoodsPlan
) -> None:
    view = shown(qtbot, plans[12], (240, 160))
    assert view._bar.value() == view._bar.maximum() > 0, "scrolled to its end"
    _check_clear_of_key(view)
    view.resize(200, 110)
    _check_clear_of_key(view)
    view.zoom(0.9)
    view._bar.setValue(view._bar.maximum())
    _check_clear_of_key(view)
    bottom = view.drawing_area().bottom()
    view.zoom(30.0)
    assert view.key == "", "every name has room"
    assert view.drawing_area().bottom() > bottom, "so the plan has it all"
    whole = shown(qtbot, sheet, (540, 180))
    assert not whole._bar.isVisible(), "fitted into what the key leaves"
    _check_clear_of_key(whole)


def _check_clear_of_key(view: CuttingView) -> None:
    assert view.key
    ends = view.view.rect(view.content_bounds()).bottom() + BELOW * view._style.pixels
    assert ends <= view._key_box().top()


def test_stretches_are_as_long_as_they_may_be(plans: dict[int, GoodsPlan]) -> None:
    goods = plans[12]
    for longest in (inch(1), inch(40), inch(100), goods.cutting_length):
        columns = whole_stretches(goods, longest)
        tall = [each for each in columns if each.high - each.low > longest + 1e-6]
        for column in tall:  # only where a piece, or several that overlap, are as long
            assert whole_stretches(goods, 0.0).count(column) == 1
        joined = [one.high - one.low + other.high - other.low for one, other in pairwise(columns)]
        assert all(each > longest for each in joined), "two of them would have fitted into one"


def test_the_inks_of_the_list_follow_the_system_from_dark_to_light(
    qtbot: QtBot, qapp: QApplication
) -> None:
    """Those of its last column are its own: white stayed on white."""
    light = qapp.palette()
    try:
        qapp.setPalette(QPalette(QColor("#323232")))
        table = CuttingTable()
        qtbot.addWidget(table)
        table.show()
        cells = tuple(f"text {column}" for column in range(table.columnCount()))
        table.show_rows([PieceRow(goods=0, cells=cells)], is_older=False)
        inks = []
        for palette in (qapp.palette(), light):
            qapp.setPalette(palette)
            qapp.processEvents()
            ink = table.item(0, table.columnCount() - 1).foreground().color()
            assert ink == table.palette().color(QPalette.ColorRole.Text)
            inks.append(ink.name())
        assert inks[0] != inks[1]
    finally:
        qapp.setPalette(light)
