"""The flat pane: looking, pointing, and keeping up with the bag."""

import itertools
import math
import subprocess
import sys
from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPalette, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.workers import worker_environment
from app.views.flat.pane import FlatPane
from app.views.flat.ruler import tick_steps
from app.views.flat.sheet import seam_letter
from app.widgets.drawing_view import CLOSEST, View2D, fitted
from app.widgets.theme import DrawingTheme
from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.base.units import Unit
from core.flat.geometry import distance_to_segment
from core.flat.roles import EdgeRef
from core.redesign.new_bag import new_bag
from core.storage.bag_files import demo_bag, sample
from core.tops.hem.hem import Hem
from tests.app.sessions import session_on
from tests.helpers import changed, inch
from tests.ids import edge_ref

SIZES = [(520, 640), (900, 900), (1500, 520), (370, 430), (370, 340)]
"""The last two: what is left of a small screen, and of that beside a roomy tab."""
CORNER = edge_ref("panel", "corner front left")
CORNER_END = edge_ref("panel", "corner end left")


JUMP = 8.0
"""px; so far no piece moves there and back between two steps."""


class Table:
    """A flat pane on the demo bag, shown."""

    def __init__(self, qtbot: QtBot, bag: Bag | None = None) -> None:
        self.session = session_on(bag)
        self.document, self.display = self.session.document, self.session.display
        self.pane = FlatPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.resize(520, 640)
        self.pane.show()
        self.pane.setFocus()

    def at_edge(self, ref: EdgeRef) -> QPointF:
        """The middle of an edge's cut line, px."""
        for each, start, end in self.pane.sheet.edges():
            if each == ref:
                x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
                return self.pane.view.to_screen(x, y)
        raise LookupError(ref)

    def hover(self, point: QPointF) -> None:
        QTest.mouseMove(self.pane, point.toPoint())

    def turn_wheel(self, at: QPointF, notches: int) -> None:
        event = QWheelEvent(
            at,
            self.pane.mapToGlobal(at),
            QPoint(),
            QPoint(0, 120 * notches),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(self.pane, event)

    def texts(self) -> list[str]:
        return [label.text for _, picture in self.pane.pictures() for label in picture.labels]

    def text_boxes(self) -> list[tuple[str, QRectF]]:
        """Every text with the box it is written in, px."""
        return [
            (label.text, QRectF(QPointF(*label.box[:2]), QPointF(*label.box[2:])).translated(at))
            for at, picture in self.pane.pictures()
            for label in picture.labels
        ]

    def shown(self) -> list[QRectF]:
        """The boxes of the pieces, px."""
        sheet, view = self.pane.sheet, self.pane.view
        return [view.rect(sheet.piece_bounds(each)) for each in sheet.drawn]


@pytest.fixture
def table(qtbot: QtBot) -> Table:
    return Table(qtbot)


# Looking.


def test_a_view_maps_there_and_back() -> None:
    view = View2D(0.5, 100.0, 300.0)
    assert view.to_screen(40.0, 60.0) == QPointF(120.0, 270.0)
    assert view.to_drawing(QPointF(120.0, 270.0)) == (40.0, 60.0)


def test_a_fitted_box_fills_the_area_one_way_and_lies_in_its_middle() -> None:
    area = QRectF(20.0, 10.0, 400.0, 300.0)
    shown = fitted((-10.0, 0.0, 90.0, 50.0), area).rect((-10.0, 0.0, 90.0, 50.0))
    assert shown.width() == pytest.approx(400.0)
    assert shown.center().x() == pytest.approx(area.center().x())
    assert shown.center().y() == pytest.approx(area.center().y())


@pytest.mark.parametrize("size", SIZES)
def test_fit_shows_all_pieces(table: Table, size: tuple[int, int]) -> None:
    table.pane.zoom(5.0)
    table.pane.resize(*size)
    table.pane.fit()
    assert all(table.pane.drawing_area().contains(rect) for rect in table.shown())


def test_pieces_keep_their_proportions_and_do_not_overlap(table: Table) -> None:
    scale = table.pane.view.scale
    for drawn, rect in zip(table.pane.sheet.drawn, table.shown(), strict=True):
        assert rect.width() == pytest.approx(scale * drawn.piece.width)
        assert rect.height() == pytest.approx(scale * drawn.piece.height)
    assert not any(one.intersects(other) for one, other in itertools.combinations(table.shown(), 2))


@pytest.mark.parametrize("notches", [1, 3, -2])
def test_the_wheel_keeps_the_point_under_the_pointer(table: Table, notches: int) -> None:
    at = QPointF(171.0, 243.0)
    before, scale = table.pane.view.to_drawing(at), table.pane.view.scale
    table.turn_wheel(at, notches)
    assert table.pane.view.to_drawing(at) == pytest.approx(before, abs=1e-9)
    assert table.pane.view.scale == pytest.approx(scale * 1.2**notches)


def test_zoom_stops_while_something_can_still_be_seen(table: Table) -> None:
    table.turn_wheel(QPointF(100.0, 100.0), 200)
    assert table.pane.view.scale == CLOSEST
    table.turn_wheel(QPointF(100.0, 100.0), -400)
    assert max(rect.height() for rect in table.shown()) > 40.0


def test_a_drag_moves_the_drawing_with_the_pointer(table: Table) -> None:
    pane, start, end = table.pane, QPoint(300, 580), QPoint(340, 520)
    held = pane.view.to_drawing(QPointF(start))
    QTest.mousePress(pane, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(pane, end)
    assert pane.panning
    QTest.mouseRelease(pane, Qt.MouseButton.LeftButton, pos=end)
    assert not pane.panning
    assert pane.view.to_drawing(QPointF(end)) == pytest.approx(held)


def test_the_drawing_cannot_be_pushed_out_of_sight(table: Table) -> None:
    table.pane.pan(1e5, -1e5)
    area = table.pane.drawing_area()
    assert table.pane.view.rect(table.pane.content_bounds()).intersects(area)


def test_the_keyboard_zooms_pans_and_fits(table: Table) -> None:
    pane = table.pane
    fit = pane.view
    QTest.keyClick(pane, Qt.Key.Key_Plus)
    assert pane.view.scale > fit.scale
    QTest.keyClick(pane, Qt.Key.Key_Minus)
    assert pane.view.scale == pytest.approx(fit.scale)
    QTest.keyClick(pane, Qt.Key.Key_Right)
    assert pane.view.x < fit.x
    QTest.keyClick(pane, Qt.Key.Key_F)
    assert pane.view == fit
    QTest.keyClick(pane, Qt.Key.Key_Up)
    QTest.keyClick(pane, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    assert pane.view == fit


def test_a_double_click_on_a_piece_fits_it_and_beside_it_everything(table: Table) -> None:
    pane = table.pane
    everything = pane.view
    pocket = next(
        rect
        for drawn, rect in zip(pane.sheet.drawn, table.shown(), strict=True)
        if drawn.piece.label == "front pocket"
    )
    QTest.mouseDClick(pane, Qt.MouseButton.LeftButton, pos=pocket.center().toPoint())
    assert pane.view.scale > 1.5 * everything.scale
    pane.fit_to((-500.0, -900.0, -300.0, -700.0))
    QTest.mouseDClick(pane, Qt.MouseButton.LeftButton, pos=QPoint(200, 300))
    assert pane.view == everything


# Texts.


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("unit", list(Unit))
@pytest.mark.parametrize("zoom", [1.0, 0.85, 0.6, 2.5])
def test_texts_never_overlap(table: Table, size: tuple[int, int], unit: Unit, zoom: float) -> None:
    table.display.set_unit(unit)
    table.pane.resize(*size)
    table.pane.fit()
    table.pane.zoom(zoom)
    boxes = table.text_boxes()
    assert zoom < 0.85 or len(boxes) >= 3
    clashes = [
        (one, other)
        for (one, box), (other, other_box) in itertools.combinations(boxes, 2)
        if box.intersects(other_box)
    ]
    assert clashes == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("unit", list(Unit))
def test_every_text_is_in_sight_at_the_fitted_zoom(
    table: Table, size: tuple[int, int], unit: Unit
) -> None:
    table.display.set_unit(unit)
    table.pane.resize(*size)
    area = table.pane.drawing_area()
    assert [text for text, box in table.text_boxes() if not area.contains(box)] == []


def test_the_sizes_of_the_panel_are_written_on_it(table: Table) -> None:
    table.pane.resize(1000, 1000)
    sizes = {"Panel width 18 ½", "Panel length 38 ½", "1 ½", "3 ⅜", "3"}
    wanted = {*sizes, "Handle stop 5"}
    assert wanted <= set(table.texts())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("unit", list(Unit))
def test_every_piece_is_named_and_its_trim_told(
    table: Table, size: tuple[int, int], unit: Unit
) -> None:
    table.display.set_unit(unit)
    table.pane.resize(*size)
    trim = {Unit.INCH: "1 ½", Unit.MM: "38.1", Unit.CM: "3.81"}[unit]
    names = {"Panel", "Zip", "Front pocket", "Handle strip", "Base board"}
    texts = set(table.texts())
    assert names <= texts
    assert any(text.endswith(trim) for text in texts)


def test_every_piece_is_named_where_one_arrangement_has_room_for_it(table: Table) -> None:
    # The pane of a 1280 x 720 screen: a column of these pieces would have no room for a text.
    sizes = {"base_width": inch(13.5), "gusset_depth": inch(4.5), "face_height": inch(15.75)}
    made = new_bag(demo_bag(), sizes, {"bottom": "seam"}, unit=Unit.INCH)
    table.document.open(made.result.bag)
    table.pane.resize(507, 406)
    table.pane.fit()
    names = {piece.label.capitalize() for piece in table.document.result.draft.pieces}
    assert names <= set(table.texts())


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("unit", list(Unit))
def test_no_name_reads_on_into_a_number(table: Table, size: tuple[int, int], unit: Unit) -> None:
    table.display.set_unit(unit)
    table.pane.resize(*size)
    pieces = {"Panel", "Zip", "Front pocket", "Handle strip", "Base board"}
    names = {*pieces, "front", "back", "front pocket", "bottom fold", "pocket fold"}
    boxes = table.text_boxes()
    assert pieces <= {text for text, _ in boxes}
    near = [
        (name, text)
        for name, box in boxes
        for text, other in boxes
        if name in names
        and text not in names
        and "cut" not in text
        and box.adjusted(-6.0, 0.0, 6.0, 0.0).intersects(other)
    ]
    assert near == []


def test_front_and_back_are_told_before_the_gap_of_the_handles(table: Table) -> None:
    table.pane.resize(370, 430)
    assert {"front", "back"} <= set(table.texts())
    table.pane.resize(900, 900)
    assert {"front", "back", "Handle gap 5"} <= set(table.texts())


def test_the_trim_is_named_over_its_line_where_it_is_too_short_for_its_number(
    table: Table,
) -> None:
    boxes = dict(table.text_boxes())
    panel = table.shown()[0]
    assert boxes["Front trim 1 ½"].bottom() < panel.top()
    assert boxes["Front trim 1 ½"].right() <= panel.right()


def test_a_name_without_room_gives_way_to_its_first_letters_and_a_tip(table: Table) -> None:
    table.pane.zoom(0.45)
    texts = set(table.texts())
    assert "Base board" not in texts
    assert "BB" in texts
    assert not [text for text in texts if text.strip("()").isdigit() and "(" in text]
    board = next(
        rect
        for drawn, rect in zip(table.pane.sheet.drawn, table.shown(), strict=True)
        if drawn.piece.label == "base board"
    )
    assert table.pane.told_at(board.center()) == "Base board: cut 1"
    assert table.pane.told_at(QPointF(40.0, 40.0)) == ""


@pytest.mark.parametrize("size", [(520, 450), (700, 700)])
@pytest.mark.parametrize("figure", ["front_trim", "panel_width", "panel_length", "handle_width"])
@pytest.mark.parametrize(("unit", "step"), [(Unit.INCH, inch(1 / 8)), (Unit.CM, 1.0)])
def test_no_piece_jumps_there_and_back_for_a_number_that_is_short(
    table: Table, size: tuple[int, int], figure: str, unit: Unit, step: float
) -> None:
    """Over the steps of a held key, at 3 between 2 7/8 and 3 1/8."""
    table.display.set_unit(unit)
    table.pane.resize(*size)
    first = table.document.result.cut[figure]
    assert first is not None
    seen = []
    for turn in range(24):
        table.document.set_figures({figure: first + turn * step}, figure, merge_key=figure)
        table.pane.grab()
        seen.append([(box.left(), box.bottom()) for box in table.shown()])
    for before, at, after in zip(seen, seen[1:], seen[2:], strict=False):
        for one, two, three in zip(before, at, after, strict=True):
            is_back = math.dist(one, three) < JUMP
            assert not (is_back and min(math.dist(one, two), math.dist(two, three)) > JUMP)


@pytest.mark.parametrize("size", [(520, 640), (370, 430), (700, 500), (1000, 900)])
def test_a_pane_that_gives_height_to_a_tab_keeps_its_arrangement(
    table: Table, size: tuple[int, int]
) -> None:
    pane = table.pane
    pane.resize(*size)
    before, view = dict(pane.sheet.places), pane.view
    rows = sorted(before, key=lambda name: -before[name][1])
    pane.resize(size[0], round(0.9 * size[1]))
    now = pane.sheet.places
    assert sorted(now, key=lambda name: -now[name][1]) == rows
    pane.resize(size[0], round(0.5 * size[1]))
    assert pane.view.scale < view.scale
    pane.resize(*size)
    assert (dict(pane.sheet.places), pane.view) == (before, view)


def test_what_is_written_never_takes_more_of_a_low_pane_than_the_pieces(table: Table) -> None:
    table.document.replace_bag(sample("coolbox"), "coolbox")
    table.pane.resize(640, 300)
    front = table.shown()[0]
    assert front.width() > 100.0


def test_other_pieces_are_fitted_anew(table: Table) -> None:
    """As in a pane that opens with them; whoever looks closer goes on doing so."""
    table.pane.grab()
    table.document.replace_bag(sample("jar"), "jar")
    changed = table.pane.view
    table.pane.fit()
    assert table.pane.view == changed
    table.pane.zoom(3.0)
    scale = table.pane.view.scale
    table.document.replace_bag(sample("coolbox"), "coolbox")
    assert table.pane.view.scale == scale


def test_another_unit_shows_other_numbers(table: Table) -> None:
    before = table.pane.grab().toImage()
    table.display.set_unit(Unit.MM)
    assert "Panel width 469.9" in table.texts()
    assert table.pane.grab().toImage() != before


def test_large_type_still_fits(table: Table) -> None:
    font = table.pane.font()
    font.setPointSizeF(1.5 * font.pointSizeF())
    table.pane.setFont(font)
    boxes = [box for _, box in table.text_boxes()]
    assert not any(one.intersects(other) for one, other in itertools.combinations(boxes, 2))
    assert all(table.pane.drawing_area().contains(rect) for rect in table.shown())


@pytest.mark.parametrize("scale", [0.02, 0.3, 1.0, 7.0, 40.0])
@pytest.mark.parametrize("unit", list(Unit))
def test_ruler_figures_and_ticks_have_room(scale: float, unit: Unit) -> None:
    small, large = tick_steps(scale, unit, 50.0)
    assert large * scale >= 50.0
    assert small * scale >= 5.0
    assert large / small == pytest.approx(round(large / small))


# Pointing.


def test_hovering_points_the_edge_and_the_one_it_is_sewn_to(table: Table) -> None:
    table.hover(table.at_edge(CORNER) + QPointF(0.0, 3.0))
    assert table.document.pointing.edge == CORNER
    assert table.document.pointing.mates == (CORNER_END,)


def test_a_mate_on_another_piece_lights_too(table: Table) -> None:
    table.hover(table.at_edge(edge_ref("panel", "top front")))
    assert table.document.pointing.mates == (edge_ref("zip", "zip front"),)


def test_hovering_beside_every_edge_and_leaving_put_the_lights_out(table: Table) -> None:
    table.hover(table.at_edge(CORNER))
    table.hover(table.at_edge(CORNER) + QPointF(0.0, 30.0))
    assert table.document.pointing.edge is None
    table.hover(table.at_edge(CORNER))
    QApplication.sendEvent(table.pane, QEvent(QEvent.Type.Leave))
    assert table.document.pointing.edge is None


def test_what_is_pointed_at_is_painted_and_tagged(table: Table) -> None:
    look = DrawingTheme.for_palette(table.pane.palette())
    before = table.pane.grab().toImage()
    table.document.point_at(CORNER)
    after = table.pane.grab().toImage()
    edge, mate = table.at_edge(CORNER).toPoint(), table.at_edge(CORNER_END).toPoint()
    # Discs with the letter lie on the middles: look beside the letter.
    assert QColor(after.pixel(edge - QPoint(6, 0))) == look.highlight
    assert QColor(after.pixel(mate - QPoint(6, 0))) == look.mate
    table.document.point_at(None)
    assert table.pane.grab().toImage() == before


def test_the_caption_tells_the_seam_and_its_lengths(table: Table) -> None:
    table.document.point_at(edge_ref("panel", "side front left"))
    said = table.pane.caption
    assert said is not None
    # Front 17 3/4 - 3 - two allowances of 3/8, zip 1 1/4 less two, back 1 1/2 more than front.
    assert said.text == (
        "Side seam left: side front 14 in + zip end ½ in + side back 15 ½ in; "
        "15 in on each side of the top fold"
    )
    assert table.pane.accessibleDescription() == said.text


def test_the_caption_tells_a_corner_that_does_not_meet(qtbot: QtBot) -> None:
    table = Table(qtbot, changed(demo_bag(), corner_cut_depth=inch(3.5)))
    table.document.point_at(CORNER)
    said = table.pane.caption
    assert said is not None
    assert said.detail.endswith("– corner end longer by 1 in")


def test_each_seam_has_a_letter_of_its_own() -> None:
    draft = compute(demo_bag()).draft
    letters = [seam_letter(draft, seam) for seam in draft.seams]
    assert letters == sorted(set(letters))
    assert letters[0] == "A"


def test_the_keyboard_points_at_one_seam_after_another(table: Table) -> None:
    QTest.keyClick(table.pane, Qt.Key.Key_PageDown)
    first = table.document.pointing.edge
    assert first is not None
    QTest.keyClick(table.pane, Qt.Key.Key_PageDown)
    assert table.document.pointing.edge not in (None, first)
    QTest.keyClick(table.pane, Qt.Key.Key_PageUp)
    assert table.document.pointing.edge == first
    QTest.keyClick(table.pane, Qt.Key.Key_Escape)
    assert table.document.pointing.edge is None


def test_distance_to_a_segment() -> None:
    assert distance_to_segment((3.0, 4.0), (0.0, 0.0), (10.0, 0.0)) == 4.0
    assert distance_to_segment((13.0, 4.0), (0.0, 0.0), (10.0, 0.0)) == 5.0
    assert distance_to_segment((3.0, 4.0), (0.0, 0.0), (0.0, 0.0)) == 5.0


# Keeping up.


def test_an_edit_is_painted(table: Table) -> None:
    before = table.pane.grab().toImage()
    table.document.set_figures({"panel_width": inch(19)}, "Panel width")
    assert "Panel width 19" in table.texts()
    assert table.pane.grab().toImage() != before
    table.document.undo_stack.undo()
    assert table.pane.grab().toImage() == before


def test_a_small_edit_leaves_the_view_so_that_growth_shows(table: Table) -> None:
    view = table.pane.view
    table.document.set_figures({"front_trim": inch(1.625)}, "Front trim")
    assert table.pane.view == view


def test_a_bag_that_outgrows_the_pane_is_fitted_again(table: Table) -> None:
    table.document.set_figures({"panel_length": inch(70)}, "Panel length")
    assert all(table.pane.drawing_area().contains(rect) for rect in table.shown())


def test_a_view_that_the_reader_chose_is_left_alone(table: Table) -> None:
    table.pane.zoom(3.0)
    view = table.pane.view
    table.document.set_figures({"panel_length": inch(70)}, "Panel length")
    assert table.pane.view == view


def test_only_pieces_that_changed_are_drawn_again(table: Table) -> None:
    before = {drawn.piece.label: drawn for drawn in table.pane.sheet.drawn}
    table.document.set_figures({"front_trim": inch(2)}, "Front trim")
    again = {drawn.piece.label for drawn in table.pane.sheet.drawn if drawn not in before.values()}
    assert again == {"panel"}
    kept = [drawn for drawn in table.pane.sheet.drawn if drawn.piece.label == "front pocket"]
    assert kept[0] is before["front pocket"]


def test_the_starting_bag_shows_as_an_outline(table: Table) -> None:
    start = table.document.result
    table.document.set_figures({"panel_width": inch(17)}, "Panel width")
    plain = table.pane.grab().toImage()
    table.pane.set_starting(start)
    assert table.pane.grab().toImage() != plain
    table.pane.set_starting(None)
    assert table.pane.grab().toImage() == plain


@pytest.mark.parametrize("width", [inch(9), inch(60), inch(190)])
def test_the_starting_bag_runs_over_no_text_no_ruler_and_no_other_piece(
    table: Table, width: float
) -> None:
    pane = table.pane
    before = table.document.bag
    start = compute(replace(before, body=replace(before.body, width=width, length=inch(190))))
    plain = pane.grab().toImage()
    pane.set_starting(start)
    ghost = pane.grab().toImage()
    differing = [
        (x, y)
        for x in range(plain.width())
        for y in range(plain.height())
        if plain.pixel(x, y) != ghost.pixel(x, y)
    ]
    area = pane.drawing_area().toRect()
    labels = [
        QRectF(QPointF(*label.box[:2]), QPointF(*label.box[2:])).translated(at).toRect()
        for at, picture in pane.pictures()
        for label in picture.labels
    ]
    panel = pane.sheet.drawn[0]
    same = [each for each in pane.sheet.drawn if each.piece == start.draft.piece(each.piece.id)]
    assert len(same) == 2, "handle strip and base board have no outline of their own to show"
    pieces = [pane.view.rect(pane.sheet.piece_bounds(each)).toRect() for each in same]
    for x, y in differing:
        assert area.contains(x, y), "over a ruler"
        assert not any(each.contains(x, y) for each in labels), "through a text"
        assert not any(each.contains(x, y) for each in pieces), "over another piece"
    assert differing or width > inch(100), "what lies in sight of it is seen"
    # The piece's own lines lie over it.
    cut = table.pane.view.to_screen(panel.bounds[0], panel.bounds[3]).toPoint()
    assert (cut.x(), cut.y()) not in differing


def test_a_narrow_pane_shows_the_pieces_not_their_texts(table: Table) -> None:
    font = table.pane.font()
    font.setPointSizeF(2.0 * font.pointSizeF())
    table.pane.setFont(font)
    table.pane.resize(225, 340)
    table.pane.grab()
    panel = table.pane.view.rect(table.pane.sheet.piece_bounds(table.pane.sheet.drawn[0]))
    assert panel.height() > 70.0


def test_another_theme_is_painted_in_its_colours(table: Table) -> None:
    palette = QPalette(table.pane.palette())
    palette.setColor(QPalette.ColorRole.Base, QColor("#1e1f22"))
    palette.setColor(QPalette.ColorRole.Text, QColor("#e6e6e6"))
    table.pane.setPalette(palette)
    image = table.pane.grab().toImage()
    assert QColor(image.pixel(515, 630)).lightnessF() < 0.2


PILLOW = {"corner_cut_width": 0.0, "corner_cut_depth": 0.0}


@pytest.mark.parametrize(
    "figures",
    [
        PILLOW,
        {"corner_cut_width": 0.0},
        {"corner_cut_depth": 0.0},
        {"corner_cut_width": inch(9.2)},
        {"corner_cut_depth": inch(17.7)},
        {"side_seam": inch(9), "corner_seam": inch(9)},
        {"side_seam": 0.0, "corner_seam": 0.0, "zip_seam": 0.0},
        {"bottom_seam": inch(0.25)},
        {"bottom_seam": inch(0.25), **PILLOW},
        {"front_trim": inch(15), "pocket_drop": 0.0, "handle_stop": 0.0, "corner_cut_depth": 1.0},
        {"panel_width": 5000.0},
    ],
    ids=lambda figures: " ".join(f"{name} {size:g}" for name, size in figures.items()),
)
def test_a_bag_out_of_shape_is_drawn_all_the_same(qtbot: QtBot, figures: dict[str, float]) -> None:
    table = Table(qtbot, changed(demo_bag(), **figures))
    for edge, *_ in table.pane.sheet.edges():
        table.document.point_at(edge)
        assert table.pane.caption is not None
    assert not table.pane.grab().isNull()
    table.document.open(demo_bag())
    assert not table.pane.grab().isNull()


def test_a_bag_of_the_panel_alone_is_drawn(qtbot: QtBot) -> None:
    bag = demo_bag()
    for part in ("pocket", "handles", "board", "zip"):
        bag = without_part(bag, part)
    assert isinstance(bag.top, Hem)
    table = Table(qtbot, bag)
    assert "Panel width 18 ½" in table.texts()
    table.pane.resize(220, 180)
    assert not table.pane.grab().isNull()


def test_a_screen_of_one_and_a_quarter_shows_all_of_the_pane() -> None:
    """Its last column of pixels was left as it was, at two widths of twelve."""
    program = (
        "import math\n"
        "from PySide6.QtGui import QColor, QImage\n"
        "from PySide6.QtWidgets import QApplication, QWidget\n"
        "app = QApplication([])\n"
        "from app.views.flat.pane import FlatPane\n"
        "from tests.app.sessions import session_on\n"
        "window = QWidget()\n"
        "pane = FlatPane(session_on(), window)\n"
        "ratio, bare, left = window.devicePixelRatioF(), QColor(255, 0, 255), 0\n"
        "for place in range(100, 104):\n"
        "    for width in range(500, 504):\n"
        "        pane.setGeometry(place, 0, width, 300)\n"
        "        window.resize(place + width + 50, 300)\n"
        "        window.show()\n"
        "        image = QImage(window.size() * ratio, QImage.Format.Format_RGB32)\n"
        "        image.setDevicePixelRatio(ratio)\n"
        "        image.fill(bare)\n"
        "        window.render(image)\n"
        "        at = math.ceil((place + width) * ratio) - 1\n"
        "        left += sum(image.pixelColor(at, y) == bare for y in range(0, 370, 7))\n"
        "print(ratio, left)\n"
    )
    told = subprocess.run(
        [sys.executable, "-c", program],
        env={**worker_environment(), "QT_SCALE_FACTOR": "1.25", "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.split() == ["1.25", "0"]


def test_a_shape_is_placed_by_its_origin_and_stands_upright() -> None:
    """2 px per mm, y down: (3 + 1, 4 + 2) mm lie 8 px right of the origin and 12 px above it."""
    placed = View2D(2.0, 5.0, 7.0).placing(3.0, 4.0).map(QPointF(1.0, 2.0))
    assert (placed.x(), placed.y()) == (13.0, -5.0)
