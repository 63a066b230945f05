"""The fold preview: slider, turning, pointing, what is written and drawn.

Contrast limits: Web Content Accessibility Guidelines 2.2, 1.4.3 and 1.4.11 (from memory).
"""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QPalette, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.fold import notes as fold_notes
from app.views.fold.notes import clear_box
from app.views.fold.pane import STEPS, FoldPane
from app.views.fold.surface_camera import project
from app.views.fold.view import PITCH, YAW
from app.widgets.desktop import contrast
from app.widgets.theme import DrawingTheme
from core.bag.bag import with_figures
from core.bag.choices import without_part
from core.bag.sewn_sample import sample_of
from core.base.units import Unit, unbroken
from core.bodies.boxed_panel.folding import BoxedZone
from core.drawing.projection import Camera, PointExtent, Sheet, paint_order, turned_frame
from core.flat.roles import EdgeRef
from core.flat.seam import mates
from core.solid.fold import SEWN
from core.space.zones import Frame
from core.storage.bag_files import sample
from tests.app.sessions import session_on
from tests.core.solid.shapes import zone_names
from tests.helpers import demo, inch
from tests.ids import edge_ref

LINES = ("cut", "stitch", "fold", "placement", "baste", "grain")
LINES += ("dimension", "starting", "highlight", "mate", "gap")


@pytest.fixture
def bench(qtbot: QtBot):
    session = session_on(demo())
    pane = FoldPane(session)
    qtbot.addWidget(pane)
    pane.resize(560, 720)
    pane.show()
    qtbot.waitExposed(pane)
    return pane, session.document, session.display


def colours(pane: FoldPane) -> set[str]:
    image = pane.view.grab().toImage()
    return {
        image.pixelColor(x, y).name()
        for x in range(0, image.width(), 3)
        for y in range(0, image.height(), 3)
    }


def dark_palette() -> QPalette:
    palette = QPalette()
    palette.setColor(QPalette.ColorRole.Base, QColor("#1f2124"))
    palette.setColor(QPalette.ColorRole.Text, QColor("#e8e8e8"))
    return palette


def spot_of(pane: FoldPane, edge: EdgeRef) -> QPointF:
    """The middle of the longest drawn part of an edge."""
    view = pane.view.view
    lines = [view.line(line) for line in view.catalogue.edges[edge]]
    longest = max(lines, key=lambda line: (line[-1] - line[0]).manhattanLength())
    return (longest[0] + longest[-1]) / 2


def test_it_starts_sewn_and_paints_goods_and_ground(bench):
    pane, _, _ = bench
    assert pane.view.at == 1.0
    found = colours(pane)
    assert DrawingTheme.for_palette(pane.palette()).paper.name() in found
    assert len(found) > 20


def test_the_named_stops_move_the_slider_and_the_bag(bench):
    pane, _, _ = bench
    for button, at in zip(pane.stops[:3], (0.0, 0.5, 1.0), strict=True):
        button.click()
        assert pane.view.at == at
        assert pane.view.view.folded.at == at


def test_a_moved_slider_moves_the_bag_by_keys(bench):
    pane, _, _ = bench
    pane.slider.setFocus()
    QTest.keyClick(pane.slider, Qt.Key.Key_Home)
    assert pane.view.at == 0.0
    QTest.keyClick(pane.slider, Qt.Key.Key_Right)
    assert 0.0 < pane.view.at < 0.1


def test_playing_folds_the_bag_and_can_be_stopped(bench, qtbot):
    pane, _, _ = bench
    pane.play_button.click()
    qtbot.waitUntil(lambda: 0.0 < pane.view.at < 1.0)
    pane.play_button.click()
    here = pane.view.at
    qtbot.wait(60)
    assert pane.view.at == here < 1.0
    pane.play_button.click()
    qtbot.waitUntil(lambda: pane.view.at == 1.0, timeout=120_000)


def test_dragging_and_arrow_keys_turn_the_bag(bench):
    pane, _, _ = bench
    before = pane.view.camera
    QTest.mousePress(pane.view, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    QTest.mouseMove(pane.view, QPoint(260, 230))
    QTest.mouseRelease(pane.view, Qt.MouseButton.LeftButton, pos=QPoint(260, 230))
    turned = pane.view.camera
    assert turned.yaw < before.yaw and turned.pitch > before.pitch
    assert turned.scale == before.scale, "turning must not change the size"
    QTest.keyClick(pane.view, Qt.Key.Key_Left)
    QTest.keyClick(pane.view, Qt.Key.Key_Down)
    assert pane.view.camera.yaw < turned.yaw and pane.view.camera.pitch < turned.pitch


def test_the_wheel_zooms_to_the_pointer_and_home_fits_again(bench):
    pane, _, _ = bench
    edge = edge_ref("panel", "side front right")
    at = spot_of(pane, edge)
    before = pane.view.camera.scale
    wheel = QWheelEvent(
        at,
        pane.view.mapToGlobal(at),
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(pane.view, wheel)
    assert pane.view.camera.scale > 1.3 * before
    assert (spot_of(pane, edge) - at).manhattanLength() < 1.0
    QTest.keyClick(pane.view, Qt.Key.Key_Home)
    assert pane.view.camera.scale == pytest.approx(before)


def test_space_and_drag_shifts_the_picture(bench):
    pane, _, _ = bench
    before = pane.view.camera
    QTest.keyPress(pane.view, Qt.Key.Key_Space)
    QTest.mousePress(pane.view, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    QTest.mouseMove(pane.view, QPoint(230, 180))
    QTest.mouseRelease(pane.view, Qt.MouseButton.LeftButton, pos=QPoint(230, 180))
    QTest.keyRelease(pane.view, Qt.Key.Key_Space)
    after = pane.view.camera
    assert after.yaw == before.yaw
    assert after.centre == pytest.approx((before.centre[0] + 30, before.centre[1] - 20))


def test_a_double_click_looks_as_at_first(bench):
    pane, _, _ = bench
    pane.view.turn(1.0, 0.3)
    pane.view.zoom(3.0, QPointF(10, 10))
    QTest.mouseDClick(pane.view, Qt.MouseButton.LeftButton, pos=QPoint(200, 200))
    camera = pane.view.camera
    assert (camera.yaw, camera.pitch) == (YAW, PITCH)
    assert camera.centre == (pane.view.width() / 2, pane.view.height() / 2)


@pytest.mark.parametrize("at", [0.0, 0.5, 1.0])
def test_everything_is_inside_the_window_when_fitted(bench, at):
    pane, _, _ = bench
    pane.show_moment(at)
    view = pane.view.view
    areas, outlines = view.folded.model.areas, view.catalogue.outlines
    corners = [view.corners(areas[i]) for zone in view.order for i in outlines[zone]]
    x, y = zip(*(point for each in corners for point in each), strict=True)
    assert view.bounds == pytest.approx((min(x), min(y), max(x), max(y)))
    assert min(x) > 0 and max(x) < pane.view.width()
    assert min(y) > 0 and max(y) < pane.view.height()


@pytest.mark.parametrize("name", ["coolbox", "jar", "wrap"])
def test_a_bag_on_its_way_is_inside_the_window_too(bench, name):
    pane, document, _ = bench
    document.replace_bag(sample(name), name)
    pane.resize(386, 560)
    for at in (0.05, 0.1, 0.2, 0.3, 0.4, 0.6, 0.7, 0.8, 0.9):
        pane.show_moment(at)
        left, low, right, high = pane.view.view.bounds
        assert left > 0 and right < pane.view.width(), at
        assert low > 0 and high < pane.view.height(), at
    pane.show_moment(0.0)
    assert share(pane) > 0.75, "nothing is written beside it: it has all the pane"


def test_loops_that_grow_beyond_the_window_are_fitted_again(bench) -> None:
    pane, document, _ = bench
    document.replace_bag(sample("wrap"), "wrap")
    pane.fit()
    pane.grab()
    assert document.set_figures({"handle_last_strip": 1000.0, "goods_width": 1300.0}, "Longer")
    assert pane.view.view.bounds[1] > 0


def test_pointing_at_an_edge_lights_it_and_its_mate_through_the_document(bench, qtbot):
    pane, document, _ = bench
    edge = edge_ref("panel", "corner front right")
    at = spot_of(pane, edge).toPoint()
    with qtbot.waitSignal(document.pointed):
        QTest.mouseMove(pane.view, at)
    assert document.pointing.edge is not None
    joined = mates(document.result.draft.seams, edge)
    assert document.pointing.edge in (edge, *joined)
    QApplication.sendEvent(pane.view, QEvent(QEvent.Type.Leave))
    assert document.pointing.edge is None


def test_an_edge_lit_elsewhere_is_drawn_here(bench):
    pane, document, _ = bench
    look = DrawingTheme.for_palette(pane.palette())
    assert look.highlight.name() not in colours(pane)
    document.point_at(edge_ref("panel", "side front right"))
    image = pane.view.grab().toImage()
    spot = spot_of(pane, edge_ref("panel", "side front right")).toPoint()
    near = {
        image.pixelColor(spot.x() + dx, spot.y() + dy).name()
        for dx in range(-2, 3)
        for dy in range(-2, 3)
    }
    assert look.highlight.name() in near or look.mate.name() in near


def face_height(pane):
    (size,) = [
        each for each in pane.view.model.at(SEWN).dimensions if each.size.figure == "face_height"
    ]
    return size.length


def test_a_changed_measure_changes_the_bag_but_not_the_eye(bench):
    pane, document, _ = bench
    pane.grab()
    before, size = pane.view.camera, face_height(pane)
    assert document.set_figures({"panel_length": inch(42.5)}, "Longer")
    assert face_height(pane) == pytest.approx(size + inch(2))
    assert pane.view.camera.scale == before.scale
    document.undo_stack.undo()
    assert face_height(pane) == pytest.approx(size)


def test_a_mismatch_is_drawn_as_a_gap(bench):
    pane, document, _ = bench
    gap = DrawingTheme.for_palette(pane.palette()).gap.name()
    assert gap not in colours(pane)
    document.set_figures({"corner_cut_depth": inch(3.5)}, "Deeper")
    assert gap in colours(pane)
    document.set_figures({"corner_cut_width": inch(3.875)}, "Wider")
    assert gap not in colours(pane)


def test_the_unit_of_the_reader_is_written(bench):
    pane, _, display = bench
    assert pane._figure_text("base_width") == unbroken("11 in")
    display.set_unit(Unit.MM)
    assert pane._figure_text("base_width") == display.length(inch(11))
    assert "mm" in pane._figure_text("base_width")


def test_a_bag_that_cannot_fold_is_shown_flat_with_the_reason(bench):
    pane, document, _ = bench
    document.set_figures({"corner_cut_width": 0.0}, "No corner")
    assert pane._trouble.isVisible() and "flat only" in pane._trouble.text()
    assert not pane.slider.isEnabled()
    assert pane.view.view.folded.at == 0.0
    document.undo_stack.undo()
    assert not pane._trouble.isVisible()
    assert pane.slider.isEnabled()


def test_what_is_said_of_the_folded_bag_is_gone_where_it_is_filled(bench, monkeypatch):
    """Walls round a rounded base stand open once they are sewn; filled, their zip is closed."""
    pane, document, _ = bench
    document.replace_bag(sample("jar"), "jar")
    assert pane._trouble.isVisible() and "zip open" in pane._trouble.text()
    monkeypatch.setattr(FoldPane, "fillable", True)  # nobody fills it here
    monkeypatch.setattr(FoldPane, "_say_filled", lambda pane: None)
    pane.slider.setValue(pane.slider.maximum())
    assert "zip open" not in pane._trouble.text()
    pane.slider.setValue(0)
    assert "zip open" not in pane._trouble.text(), "there is no bag yet"
    where = pane.view.geometry()
    pane.slider.setValue(STEPS - 10)
    assert "zip open" in pane._trouble.text()
    pane.grab()
    assert pane.view.geometry() == where, "it moves nothing"


@pytest.mark.parametrize("part", ["zip", "pocket", "handles", "board"])
@pytest.mark.parametrize("at", [0.0, 0.3, 0.5, 0.8, 1.0])
def test_every_bag_can_be_painted_from_everywhere(bench, part, at):
    pane, document, _ = bench
    document.open(without_part(with_figures(demo(), {"corner_cut_depth": inch(2.5)}), part))
    pane.show_moment(at)
    for yaw, pitch in ((0.0, 0.0), (math.pi / 2, 0.0), (math.pi, 1.5), (-2.0, -1.5)):
        pane.view.turn(yaw, pitch)
        assert not pane.view.grab().isNull()


def test_the_sign_of_play_can_be_seen_on_any_ground(bench):
    pane, _, _ = bench
    for sign in ("#202020", "#e8e8e8"):
        palette = QPalette()
        palette.setColor(QPalette.ColorRole.ButtonText, QColor(sign))
        pane.play_button.setPalette(palette)
        picture = pane.play_button.icon().pixmap(pane.play_button.iconSize()).toImage()
        assert picture.pixelColor(picture.rect().center()).name() == sign


def test_a_dark_window_gets_a_dark_picture(bench):
    pane, _, _ = bench
    pane.setPalette(dark_palette())
    assert "#1f2124" in colours(pane)


@pytest.mark.parametrize("palette", [QPalette, dark_palette])
def test_lines_and_words_stand_out(qapp, palette):
    look = DrawingTheme.for_palette(palette())
    for name in LINES:
        assert contrast(getattr(look, name), look.paper) >= 4.5, name
        for goods in (look.outer, look.inner, look.allowance, look.pocket):
            assert contrast(getattr(look, name), goods) >= 3.0, (name, goods.name())
    assert contrast(QColor("white"), QColor("black")) == pytest.approx(21.0)


def test_controls_have_names_and_can_be_reached(bench):
    pane, _, _ = bench
    assert pane.view.accessibleName() and pane.view.accessibleDescription()
    assert pane.view.focusPolicy() & Qt.FocusPolicy.TabFocus
    for widget in (pane.slider, pane.play_button, pane.view, *pane.stops):
        assert widget.toolTip()
        assert widget.accessibleName() or widget.text()


def test_the_nearer_of_two_sheets_is_drawn_last():
    def square(y: float) -> Sheet:
        return Sheet([(-1.0, y, -1.0), (1.0, y, -1.0), (1.0, y, 1.0), (-1.0, y, 1.0)], outward)

    outward = (0.0, -1.0, 0.0)
    sheets = [square(0.0), square(2.0), square(-2.0)]
    assert paint_order(sheets, (0.0, -10.0, 0.0)) == [1, 0, 2]
    assert paint_order(sheets, (0.0, 10.0, 0.0)) == [2, 0, 1]


def test_of_nothing_that_shows_nothing_is_painted() -> None:
    """A flat sheet looked at along its plane shows no face at all."""
    assert paint_order([], (0.0, -10.0, 0.0)) == []


def test_the_camera_sees_right_and_up():
    camera = Camera(
        yaw=0.0, pitch=0.0, target=(0.0, 0.0, 0.0), scale=2.0, distance=1e9, centre=(100.0, 50.0)
    )
    points = np.array([[0, 0, 0], [10, 0, 0], [0, 0, 10], [0, -10, 0]], dtype=float)
    seen = np.array(camera.project(points.tolist()))
    assert seen == pytest.approx(project(camera, points)), "as the filled bag's arrays are"
    assert seen[:, :2] == pytest.approx(
        np.array([[100, 50], [120, 50], [100, 30], [100, 50]]), abs=1e-4
    )
    assert seen[3, 2] > seen[0, 2], "the front is nearer"


@pytest.mark.parametrize("at", [0.0, 0.3, 1.0])
def test_what_is_placed_and_projected_in_one_go_lies_where_its_points_in_space_do(bench, at):
    pane, _, _ = bench
    pane.show_moment(at)
    pane.view.turn(0.7, 0.2)
    view, folded = pane.view.view, pane.view.view.folded
    for index, area in enumerate(folded.model.areas):
        spots = [(x, y) for x, y, _ in view.camera.project(folded.area(index))]
        assert np.array(view.corners(area)) == pytest.approx(np.array(spots), abs=1e-6), area
    for zone, seen in view.zones.items():
        outlines = [
            view.corners(folded.model.areas[index]) for index in view.catalogue.outlines[zone]
        ]
        assert np.concatenate(seen.outlines) == pytest.approx(np.concatenate(outlines), abs=1e-6)
    for zone in range(len(folded.model.zones)):
        lines = folded.model.on(zone).lines
        drawn = [end for line in view.lines(zone, lines) for end in (line.p1(), line.p2())]
        assert drawn == [end for line in lines for end in view.line(line)]


def test_what_comes_too_near_to_the_eye_is_not_turned_inside_out() -> None:
    camera = Camera(
        yaw=0.0, pitch=0.0, target=(0.0, 0.0, 0.0), scale=1.0, distance=100.0, centre=(0.0, 0.0)
    )
    frame = turned_frame(camera.axes, Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, -1.0, 0.0)))
    near = [(10.0, nearness) for nearness in (0.0, 50.0, 90.0, 95.0, 150.0)]
    seen = [x for x, _ in camera.pixels(frame, near)]
    assert seen == pytest.approx([10.0, 20.0, 100.0, 100.0, 100.0])
    points = [(x, -nearness, 0.0) for x, nearness in near]
    assert [x for x, _, _ in camera.project(points)] == pytest.approx(seen)
    assert PointExtent(points).spread(camera.axes, camera.target, 100.0).about(0.0, 0.0)[2] == 100.0


def test_the_front_hides_the_back_of_the_folded_bag(bench):
    pane, _, _ = bench
    pane.show_moment(0.5)
    names = zone_names(pane.view.model)
    order = [names[zone] for zone in pane.view.view.order]
    assert order.index(BoxedZone.BACK) < order.index(BoxedZone.FRONT)
    pane.view.turn(math.pi, 0.0)
    names = zone_names(pane.view.model)
    order = [names[zone] for zone in pane.view.view.order]
    assert order.index(BoxedZone.FRONT) < order.index(BoxedZone.BACK)


@pytest.mark.parametrize("size", [(225, 260), (276, 385), (560, 720)])
@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_what_is_written_on_the_bag_never_overlaps(bench, size, unit):
    pane, document, display = bench
    display.set_unit(unit)
    document.set_figures({"corner_cut_depth": inch(3.5)}, "corner cut depth")
    pane.resize(*size)
    clashes = []
    for _ in range(24):
        pane.view.turn(math.radians(15.0), 0.0)
        pane.view.grab()
        boxes = pane.view.note_boxes
        assert boxes
        clashes += [
            (one, other) for one, other in itertools.combinations(boxes, 2) if one.intersects(other)
        ]
    assert clashes == []


def test_no_line_of_a_dimension_is_drawn_over_words(bench, monkeypatch) -> None:
    pane, document, _ = bench
    document.set_figures({"corner_cut_depth": inch(3.5)}, "corner cut depth")
    drawn: list[str] = []
    for name in ("_dimension", "_gap_words", "_label"):
        own = getattr(fold_notes.NotePainter, name)

        def seen(painter, *given, own=own, name=name):
            drawn.append(name)
            own(painter, *given)

        monkeypatch.setattr(fold_notes.NotePainter, name, seen)
    pane.view.grab()
    lines = drawn.index("_label")
    assert {"_dimension", "_gap_words"} == set(drawn[:lines])
    assert {"_label"} == set(drawn[lines:])


def test_sewn_and_drawn_size_stand_on_lines_of_their_own(bench, monkeypatch) -> None:
    """Both on one line would lie over the bag that they are about."""
    pane, document, _ = bench
    heights: list[float] = []

    def seen(box, taken, room):
        heights.append(box.height())
        return clear_box(box, taken, room)

    monkeypatch.setattr(fold_notes, "clear_box", seen)
    pane.view.grab()
    plain, heights[:] = max(heights), []
    measured = {"base_width": inch(10.5), "gusset_depth": inch(6.5), "face_height": inch(14.5)}
    sample = replace(sample_of(document.bag, measured), allowed_for=True)
    document.replace_project(document.project.with_sample("boxed-panel", sample), "Take-up")
    pane.view.grab()
    assert min(heights) > plain


# --- Staying in view ------------------------------------------------------------------------------


def all_seen(pane: FoldPane) -> np.ndarray:
    """(n, 2) where all corners of the bag would be seen, pixels."""
    view = pane.view.view
    return np.array([spot for area in pane.view.model.areas for spot in view.corners(area)])


def outside(pane: FoldPane) -> bool:
    """Whether some of the bag lies outside the pane."""
    seen = all_seen(pane)
    low, high = seen.min(axis=0), seen.max(axis=0)
    size = pane.view.width(), pane.view.height()
    return bool((low < 0).any() or (high > size).any())


def share(pane: FoldPane) -> float:
    """How much of the pane the bag takes, along the way in which it takes more."""
    seen = all_seen(pane)
    size = np.ptp(seen, axis=0)
    return float(max(size[0] / pane.view.width(), size[1] / pane.view.height()))


@pytest.mark.parametrize("times", [0.3, 2.0, 5.0])
@pytest.mark.parametrize("at", [0.0, 0.5, 1.0])
def test_a_bag_of_another_size_is_fitted_again(bench, times: float, at: float) -> None:
    pane, document, _ = bench
    pane.show_moment(at)
    pane.grab()
    bag = document.bag
    for part in ("pocket", "handles", "board"):
        bag = without_part(bag, part)
    sizes = {"panel_width": 18.5, "panel_length": 38.5}
    sizes |= {"corner_cut_width": 3.375, "corner_cut_depth": 3.0}
    other = with_figures(bag, {name: inch(times * size) for name, size in sizes.items()})
    assert document.replace_bag(other, "Open variant")
    pane.grab()
    if pane.view.model.folding.flat_only is None:
        assert not outside(pane)
        assert share(pane) > 0.35
    document.undo_stack.undo()
    pane.grab()
    assert not outside(pane)
    assert share(pane) > 0.35


def test_a_little_growth_shows_as_growth(bench) -> None:
    pane, document, _ = bench
    document.replace_bag(without_part(document.bag, "handles"), "Without handles")
    pane.fit()
    pane.grab()
    before, seen = pane.view.camera.key, share(pane)
    document.set_figures({"panel_length": inch(40.5)}, "Panel length")
    assert pane.view.camera.key == before
    assert share(pane) != seen


def test_who_looks_at_a_part_goes_on_looking_at_it(bench) -> None:
    pane, document, _ = bench
    pane.view.zoom(5.0, QPointF(200.0, 200.0))
    before = pane.view.camera.key
    document.set_figures({"panel_width": inch(30)}, "Panel width")
    assert pane.view.camera.key == before
    document.set_figures({"panel_width": inch(150)}, "Panel width")
    assert pane.view.camera.key != before
    assert not outside(pane), "but a bag of another size altogether is shown whole"


def test_the_wrong_side_is_hatched_so_that_grey_tells_it(bench) -> None:
    """WCAG 2.2, 1.4.11: what carries a meaning has at least 3 : 1 with what is beside it."""
    pane, _, _ = bench
    pane.show_moment(0.0)

    def hatched() -> float:
        """Share of the wall's middle that stands out by 3 : 1 from what most of it shows."""
        image = pane.view.grab().toImage()
        points = all_seen(pane)
        (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
        # Below the corner cuts and beside the handles.
        middle_x, middle_y = left + 0.18 * (right - left), top + 0.75 * (bottom - top)
        found = [
            QColor(image.pixel(round(middle_x) + x, round(middle_y) + y))
            for x in range(-12, 12)
            for y in range(-12, 12)
        ]
        ground = max(found, key=found.count)
        return sum(contrast(each, ground) >= 3.0 for each in found) / len(found)

    for palette in (QPalette(), dark_palette()):
        pane.view.setPalette(palette)
        pane.view._yaw, pane.view._pitch = 0.0, 0.0
        pane.view.fit()
        assert hatched() < 0.03, "the right side is plain"
        pane.view._yaw = math.pi
        pane.view.fit()
        assert 0.04 < hatched() < 0.4
