"""What the fold preview makes again for one key, and what it keeps."""

from collections.abc import Callable
from copy import copy
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QPainter, QPalette, QPixmap
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session.document import Document
from app.views.fold import pane as fold_pane
from app.views.fold import pens as fold_pens
from app.views.fold import scene as fold_scene
from app.views.fold import surface_index, surface_paint, surface_scene
from app.views.fold import view as fold_view
from app.views.fold.paint import BagPainter
from app.views.fold.pane import FoldPane
from app.views.fold.pens import Pens
from app.widgets.theme import DrawingTheme
from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import compute
from core.bag.sewn_sample import sample_of
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.bodies.separate_base import space as base_space
from core.drawing import projection
from core.solid import bands, laying
from core.solid.filled_bag import fill_bag
from core.solid.fold import FILLED, FoldModel
from core.space.zones import AreaKind
from core.storage.bag_files import sample
from tests.app.sessions import session_on
from tests.app.test_fold_pane import dark_palette
from tests.core.solid.shapes import all_points
from tests.helpers import demo, inch
from tests.strategies import bags as random_bags

GAPES = {"face_cut_width": 333.0}
"""Half an inch more than the strip of the sample is for."""
Counted = Callable[[object, str], list[object]]


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> Counted:
    """Takes down each call of a function, with its first argument."""

    def count(where: object, name: str) -> list[object]:
        calls: list[object] = []
        real = getattr(where, name)

        def call(*args, **kwargs):
            calls.append(args[0])
            return real(*args, **kwargs)

        monkeypatch.setattr(where, name, call)
        return calls

    return count


class Bench:
    """The pane on the demo bag, outlined by what it was."""

    def __init__(self, qtbot: QtBot) -> None:
        session = session_on(demo())
        self.document: Document = session.document
        self.pane = FoldPane(session)
        qtbot.addWidget(self.pane)
        self.pane.resize(560, 720)
        self.pane.show()
        qtbot.waitExposed(self.pane)
        self.pane.set_starting(self.document.result)

    def press(self, inches: float) -> None:
        """Another width of the panel, painted."""
        assert self.document.set_figures({"panel_width": inch(inches)}, "Panel width")
        self.pane.view.grab()
        QApplication.processEvents()


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return Bench(qtbot)


def test_the_outline_of_the_starting_bag_is_drawn_once_for_an_eye(
    bench: Bench, counted: Counted
) -> None:
    drawn = counted(fold_view, "ghost_picture")
    for width in (18.625, 18.75, 18.875):
        bench.press(width)
    assert len(drawn) == 1
    bench.pane.view.turn(0.1, 0.0)
    bench.press(19.0)
    bench.press(19.125)
    assert len(drawn) == 2
    bench.pane.show_moment(0.75)
    bench.press(19.25)
    assert len(drawn) == 3


class Watched(QPainter):
    """Takes down whether each polygon that is filled is smoothed."""

    def __init__(self, ground: QPixmap) -> None:
        super().__init__(ground)
        self.filled: list[bool] = []

    def drawPolygon(self, *args):  # noqa: N802 - Qt's own
        if self.brush().style() is not Qt.BrushStyle.NoBrush:
            self.filled.append(self.testRenderHint(QPainter.RenderHint.Antialiasing))
        super().drawPolygon(*args)


def test_lines_are_smoothed_and_no_area_is(bench: Bench) -> None:
    ground = QPixmap(bench.pane.view.size())
    painter = Watched(ground)
    pens = Pens(DrawingTheme.for_palette(bench.pane.view.palette()))
    BagPainter(painter, bench.pane.view.view, pens, smooth=True).paint()
    painter.end()
    assert len(painter.filled) > 6
    assert not any(painter.filled)


def test_of_the_lining_only_what_is_behind_the_mouth_is_filled(qtbot: QtBot) -> None:
    pane = FoldPane(session_on(sample("jar")))
    qtbot.addWidget(pane)
    pane.resize(560, 720)
    view = pane.view.view

    class Filled(QPainter):
        def drawPolygon(self, *args):  # noqa: N802 - Qt's own
            is_hatched = self.brush().style() is Qt.BrushStyle.TexturePattern
            clipped[is_hatched].append(self.hasClipping() and self.clipBoundingRect().height())
            super().drawPolygon(*args)

    clipped: dict[bool, list[bool | float]] = {False: [], True: []}
    ground = QPixmap(pane.view.size())
    painter = Filled(ground)
    BagPainter(painter, view, Pens(DrawingTheme.for_palette(pane.palette())), smooth=True).paint()
    painter.end()
    assert len(clipped[True]) > 6
    assert all(0 < height < pane.view.height() / 4 for height in clipped[True])
    outside = [height for height in clipped[False] if height is False]
    assert len(outside) >= len(view.outside)


def test_a_bag_is_painted_again_with_the_brushes_and_pens_it_has(
    qtbot: QtBot, counted: Counted
) -> None:
    pane = FoldPane(session_on(sample("jar")))
    qtbot.addWidget(pane)
    pane.resize(560, 720)
    pane.grab()
    goods, outer = counted(fold_pens, "_goods"), counted(fold_pens.OuterPens, "_made")
    inner = counted(fold_pens.LitPens, "_inside")
    pane.view.turn(0.0, 0.0)
    pane.grab()
    assert goods == outer == inner == []


def test_the_flats_of_a_ring_are_measured_once_each(counted: Counted) -> None:
    """Though a wall and its half of the zip are of each; and only the upper of them is the rim."""
    bag = sample("jar")
    draft = compute(bag).draft
    measured = counted(base_space, "_span")
    folding = FoldModel(bag, draft, allowances=False).folding
    tapes = [zone for zone in folding.zones if zone.kind is AreaKind.TAPE]
    assert len(measured) == len(tapes) > 8
    assert len(folding.mouth) == sum(len(zone.outline) for zone in tapes)


def test_a_dark_window_gets_a_dark_outline(bench: Bench, counted: Counted) -> None:
    drawn = counted(fold_view, "ghost_picture")
    bench.press(19.5)
    bench.pane.view.setPalette(dark_palette())
    bench.pane.view.grab()
    assert len(drawn) == 2
    bench.pane.view.setPalette(QPalette())
    bench.pane.view.grab()
    assert len(drawn) == 3


def test_what_does_not_show_is_neither_laid_out_nor_placed(
    bench: Bench, counted: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    bench.press(18.625)  # this outlines the starting bag
    cut: list[int] = []
    real = laying.Laying._lines_at
    monkeypatch.setattr(
        laying.Laying, "_lines_at", lambda self, place: cut.append(place) or real(self, place)
    )
    sorted_out = counted(fold_scene, "Catalogue")
    placed = counted(fold_scene, "Sheet")
    bench.press(18.75)
    view = bench.pane.view.view
    walls = [zone for zone in view.order if not view.folded.model.zones[zone].loose]
    assert sorted(cut) == sorted(walls) and len(walls) < len(view.folded.model.folding.zones)
    assert len(placed) == len(view.order)
    assert sorted_out == [], "and where edges lie is asked for by who points at one"


def test_a_pane_that_opens_lays_out_no_more_than_it_shows(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    cut: list[int] = []
    real = laying.Laying._areas_at
    monkeypatch.setattr(
        laying.Laying, "_areas_at", lambda self, place: cut.append(place) or real(self, place)
    )
    pane = FoldPane(session_on(demo()))
    qtbot.addWidget(pane)
    pane.resize(560, 720)
    pane.grab()
    view = pane.view.view
    walls = [zone for zone in view.order if not view.folded.model.zones[zone].loose]
    assert sorted(cut) == sorted(walls)


def test_a_zone_is_sorted_and_its_lines_are_placed_with_those_beside_it(
    bench: Bench, counted: Counted
) -> None:
    bench.press(18.625)
    planes = counted(projection, "_sides_of")
    lines = counted(fold_scene.View, "lines")
    painted = counted(fold_view, "BagPainter")
    bench.press(18.75)
    view = bench.pane.view.view
    model = view.folded.model
    assert len(planes) == 7, "two faces, half of the other, and two parts of either handle"
    walls = [zone for zone in view.order if not model.zones[zone].loose]
    floors = [zone for zone in model.zones if zone.floor]
    assert len(lines) == len(painted) * (len(walls) + len(floors))


@pytest.mark.parametrize(("name", "changes", "most"), [("jar", {}, 30), ("coolbox", GAPES, 17)])
def test_of_a_sewn_bag_no_inside_is_placed_but_what_lies_behind_its_openings(
    qtbot: QtBot, name: str, changes: dict[str, float], most: int
) -> None:
    """Of the jar not the base, seen from the front; of the box what shows where its strip gapes."""
    pane = FoldPane(session_on(with_figures(sample(name), changes)))
    qtbot.addWidget(pane)
    pane.resize(560, 744)
    view = pane.view.view
    zones = view.folded.model.zones
    inside = {zone for zone in view.zones if not zones[zone].loose} - view.outside
    assert 0 < len(inside) <= most
    assert not any(zones[zone].floor for zone in inside)


def test_the_stop_of_a_bag_that_is_not_filled_yet_is_left_alone(bench: Bench) -> None:
    stop = bench.pane.stops[-1]
    told: list[QEvent.Type] = []

    class Ear(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            told.append(event.type())
            return False

    ear = Ear()
    stop.installEventFilter(ear)
    bench.press(18.75)
    assert not stop.isEnabled()
    assert QEvent.Type.EnabledChange not in told
    stop.removeEventFilter(ear)


def test_one_key_does_not_fit_the_bag_again(bench: Bench, counted: Counted) -> None:
    bench.press(18.625)
    fitted = counted(fold_view, "fit")
    bench.press(18.75)
    assert fitted == []
    bench.press(60.0)
    assert len(fitted) == 1, "as it stands, once it would not be seen as it should"


def test_the_loops_of_handles_that_hang_as_before_are_not_outlined_again(
    bench: Bench, counted: Counted
) -> None:
    bench.press(18.625)
    outlined = counted(bands, "_outline")
    bench.press(18.75)
    assert outlined == []


@pytest.mark.parametrize("at", [0.0, 0.25, 0.5, 1.0])
def test_what_is_kept_is_painted_as_if_it_were_made_anew(bench: Bench, at: float) -> None:
    pane, document = bench.pane, bench.document
    pane.show_moment(at)
    for figures in (
        {"panel_width": inch(18.75)},
        {"corner_cut_depth": inch(3.25)},
        {"panel_length": inch(40.0)},
        {"front_trim": 0.0},
        {"pocket_drop": inch(2.0)},
    ):
        assert document.set_figures(figures, "Other")
        image = pane.view.grab().toImage()
        pane.view._view = pane.view._ghost = None
        assert pane.view.grab().toImage() == image


def test_a_filled_shape_is_sorted_only_when_it_is_looked_at(bench: Bench, counted: Counted) -> None:
    sorted_out = counted(surface_index, "catalogue_of")
    bag = bench.document.bag
    shapes = [fill_bag(bag, None, lambda share: True) for _ in range(3)]
    for shape in shapes:
        bench.pane.show_filled(shape, current=True)
        bench.pane.view.grab()
    assert sorted_out == []
    bench.pane.show_moment(FILLED)
    for _ in range(2):
        bench.pane.view.turn(0.1, 0.0)
        bench.pane.view.grab()
    assert sorted_out == [shapes[-1].surface]


def test_the_outline_of_the_filled_starting_bag_is_looked_at_once_for_an_eye(
    bench: Bench, counted: Counted
) -> None:
    seen = counted(surface_scene, "see")
    view, first = bench.pane.view, fill_bag(bench.document.bag, None, lambda share: True)
    bench.pane.show_filled(first, current=True)
    bench.pane.show_moment(FILLED)
    bench.press(18.75)  # this outlines the starting bag
    wider = fill_bag(bench.document.bag, None, lambda share: True)

    def show(shapes: int) -> int:
        for _ in range(shapes):
            bench.pane.show_filled(replace(wider, surface=copy(wider.surface)), current=True)
            view.grab()
        return len([each for each in seen if each.surface is first.surface])

    before = show(1)
    assert show(3) == before
    view.turn(0.1, 0.0)
    assert show(3) == before + 1
    painted = counted(surface_paint, "SurfacePainter")
    for starting in (None, compute(first.capacity.bag)):
        bench.pane.set_starting(starting)
        view.grab()
    assert painted == [], "the shape stays under it, whether it is outlined or not"


def test_what_does_not_touch_the_folding_bag_neither_folds_nor_paints_it(
    bench: Bench, counted: Counted
) -> None:
    bench.press(18.75)
    folded = counted(fold_pane, "FoldModel")
    painted = counted(fold_view, "BagPainter")
    document = bench.document
    for figures in ({"foot_clearance": 5.0}, {"baste_line": 5.0}):
        assert document.set_figures(figures, "Goods")
        QApplication.processEvents()
    assert document.replace_bag(replace(document.bag, name="Another name"), "Name")
    QApplication.processEvents()
    assert (folded, painted) == ([], [])
    changes = {"pocket_drop": inch(2.5), "side_seam": inch(0.5), "zip_tape_width": 30.0}
    changes["goods_width"] = inch(50)  # of which the strips are cut: handles are as long
    for name, value in changes.items():
        assert document.set_figures({name: value}, "Bag")
        QApplication.processEvents()
    assert (len(folded), len(painted)) == (4, 4)


def test_sizes_that_are_told_anew_are_painted_on_the_same_folding_bag(
    bench: Bench, counted: Counted
) -> None:
    bench.press(18.75)
    folded = counted(fold_pane, "FoldModel")
    painted = counted(fold_view, "BagPainter")
    document = bench.document
    measured = {"base_width": inch(10.5), "gusset_depth": inch(6.5), "face_height": inch(14.5)}
    sample = replace(sample_of(document.bag, measured), allowed_for=True)
    assert document.replace_project(document.project.with_sample("boxed-panel", sample), "Take-up")
    QApplication.processEvents()
    assert (len(folded), len(painted)) == (0, 1)


@given(bag=random_bags(), data=st.data())
def test_a_bag_of_the_same_model_folds_alike(bag: Bag, data: st.DataObject) -> None:
    """Whichever figure is another, one model is taken for the other only where they are equal."""
    before = compute(bag)
    name = data.draw(st.sampled_from(sorted(figure.name for figure in CUT_FIGURES)))
    value = cut_value(bag, name)
    assume(value)
    try:
        after = compute(with_figures(bag, {name: value + 1.0}))
    except FieldError:
        assume(False)
    one, other = (FoldModel(each.bag, each.draft) for each in (before, after))
    if one.folds(after.bag, after.draft):
        assert one.areas == other.areas and one.lines == other.lines
        assert np.array_equal(all_points(one.at(1.0)), all_points(other.at(1.0)))
