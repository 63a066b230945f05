"""What the flat pane lays out and paints again for one change, and what it keeps."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPalette, QPen, QPixmap
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.flat import labels, piece_picture, sheet
from app.views.flat import pane as flat_pane
from app.views.flat.ground import Ground
from app.views.flat.labels import Room
from app.views.flat.paint import stroke
from app.views.flat.pane import FlatPane
from app.views.flat.piece_picture import PieceLayouter
from app.views.flat.room import RoomNeeds
from app.views.flat.ruler import Ruler
from core.base.units import Unit
from core.flat.ink import Ink
from core.flat.piece import PieceId
from core.storage.bag_files import sample
from tests.app.sessions import session_on
from tests.app.test_fold_pane import dark_palette
from tests.helpers import demo, inch

COUNTED: tuple[tuple[str, object, str], ...] = (
    ("drafts drawn", sheet, "seam_marks"),
    ("pieces drawn", sheet, "draw_piece"),
    ("sheets laid", flat_pane, "lay_sheet"),
    ("rooms reckoned", RoomNeeds, "room"),
    ("pictures planned", PieceLayouter, "plan"),
    ("places searched", Room, "_search"),
    ("grounds painted", Ground, "_paint"),
    ("rulers painted", Ruler, "painted"),
)


class Bench:
    """The pane on the demo bag, outlined by what it was; it counts what is done."""

    def __init__(self, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
        self.session = session_on(demo())
        self.document = self.session.document
        self.pane = FlatPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.resize(585, 630)
        self.pane.show()
        self.pane.set_starting(self.document.result)
        self.pane.grab()
        self.done: Counter[str] = Counter()
        for name, where, function in COUNTED:
            monkeypatch.setattr(where, function, self._counting(name, getattr(where, function)))

    def _counting(self, name: str, real: Callable[..., object]) -> Callable[..., object]:
        def call(*args, **kwargs):
            self.done[name] += 1
            return real(*args, **kwargs)

        return call

    def does(self, change: Callable[[], object]) -> dict[str, int]:
        """What is done until a change is painted."""
        self.done.clear()
        change()
        self.pane.grab()
        return dict(self.done)

    def widen(self, inches: float) -> dict[str, int]:
        figures = {"panel_width": inch(inches)}
        return self.does(lambda: self.document.set_figures(figures, "Panel width"))


def places(pane: FlatPane) -> list[PieceId]:
    """The pieces from the left, then from above."""
    where = pane.sheet.places
    return sorted(where, key=lambda piece: (where[piece][0], -where[piece][1]))


@pytest.fixture
def bench(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Bench:
    return Bench(qtbot, monkeypatch)


@pytest.mark.parametrize("width", [18.625, 18.75])
def test_a_key_draws_lays_and_plans_what_it_changes_and_once(bench: Bench, width: float) -> None:
    """Panel, tape and pocket are as wide as the panel; strips and board are not."""
    assert bench.widen(width) == {
        "drafts drawn": 1,
        "pieces drawn": 3,
        "sheets laid": 1,
        "rooms reckoned": 3,
        "pictures planned": 3,
        "places searched": 5,
        "grounds painted": 1,
    }


def test_a_bag_that_outgrows_the_pane_is_drawn_once(bench: Bench) -> None:
    figures = {"panel_length": inch(70)}
    told = bench.does(lambda: bench.document.set_figures(figures, "Panel length"))
    assert told["sheets laid"] > 20, "every arrangement was tried"
    assert (told["drafts drawn"], told["grounds painted"]) == (1, 1)


def test_a_bag_that_outgrows_the_pane_by_a_little_keeps_its_arrangement(bench: Bench) -> None:
    """Under a held key pieces do not change places, and no other arrangement is tried."""
    before, rows = bench.pane.view.scale, places(bench.pane)
    for inches in range(19, 30):
        told = bench.widen(inches)
        if bench.pane.view.scale < before:
            break
    assert 1 < told["sheets laid"] < 12
    assert places(bench.pane) == rows


def test_a_piece_that_is_only_moved_keeps_its_picture(bench: Bench) -> None:
    """The pocket lies on the panel, and no other piece knows of it."""
    figures = {"pocket_drop": inch(5)}
    told = bench.does(lambda: bench.document.set_figures(figures, "Pocket drop"))
    assert (told["pictures planned"], told["rooms reckoned"], told["grounds painted"]) == (1, 1, 1)
    told = bench.does(lambda: bench.pane.pan(10.0, 0.0))
    assert told == {"grounds painted": 1, "rulers painted": 2}


def test_what_is_seen_again_is_painted_once_more_and_kept(bench: Bench) -> None:
    """The pointer moves over it, and where it was is painted."""
    bench.widen(18.625)
    assert bench.does(bench.pane.update) == {"grounds painted": 1}
    assert not bench.does(bench.pane.update)


def test_what_no_piece_shows_is_not_painted(bench: Bench) -> None:
    other = replace(bench.document.bag, name="Another")
    bench.pane.grab()
    told = bench.does(lambda: bench.document.replace_bag(other, "Name"))
    assert told == {"drafts drawn": 1, "sheets laid": 1}
    assert not bench.does(bench.pane.update)


def test_whatever_the_ground_shows_is_painted_when_it_is_another(bench: Bench) -> None:
    pane, display = bench.pane, bench.session.display
    assert bench.does(lambda: pane.set_starting(None))["grounds painted"] == 1
    assert bench.does(lambda: display.set_unit(Unit.MM))["grounds painted"] == 1
    assert bench.does(lambda: pane.setPalette(dark_palette()))["grounds painted"] == 1
    assert bench.does(lambda: pane.setPalette(QPalette()))["grounds painted"] == 1
    assert bench.does(lambda: pane.resize(640, 640))["grounds painted"] == 1
    assert bench.does(lambda: pane.zoom(1.5))["grounds painted"] == 1


class Hinted(QPainter):
    """Counts how often it is told what to smooth, which is dear."""

    hints = 0

    def setRenderHint(self, *args, **kwargs):  # noqa: N802 - Qt's own
        self.hints += 1
        super().setRenderHint(*args, **kwargs)


@pytest.mark.parametrize(("name", "curved"), [("demo", 0), ("coolbox", 2)])
def test_arcs_alone_are_smoothed_and_all_pieces_have_their_hints_in_common(
    qtbot: QtBot, name: str, curved: int
) -> None:
    pane = FlatPane(session_on(sample(name)))
    qtbot.addWidget(pane)
    pane.resize(585, 630)
    ground, brush, placed = QPixmap(pane.size()), pane._brush, pane.pictures()
    assert sum(bool(picture.curves) for _, picture in placed) == curved
    for path in (path for _, picture in placed for path in picture.lines.values()):
        ends = [path.elementAt(at) for at in range(path.elementCount())]
        drawn = [(one, two) for one, two in pairwise(ends) if two.isLineTo()]
        assert all(one.x == two.x or one.y == two.y for one, two in drawn)
    painter = Hinted(ground)
    brush.paint_areas(painter, placed)
    brush.paint_lines(painter, placed, 1.0)
    painter.end()
    assert painter.hints == 3


def test_a_key_translates_no_name_again(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Names and notes are those of the bag before."""
    bench.widen(18.625)
    told: list[str] = []
    for where in (labels, piece_picture):
        monkeypatch.setattr(where, "translated", lambda text: told.append(text) or text)
    monkeypatch.setattr(labels, "tr", lambda text: told.append(text) or text)
    bench.widen(18.75)
    assert not told


@pytest.mark.parametrize("width", [1.0, 2.0, 3.0])
def test_a_smoothed_line_runs_on_in_one_that_is_not(qapp: QApplication, width: float) -> None:
    path = QPainterPath(QPointF(2.5, 6.5))
    path.lineTo(12.5, 6.5)
    pen = QPen(QColor("black"), width, c=Qt.PenCapStyle.FlatCap)
    rows = []
    for smoothed in (0.0, 1.0):
        image = QImage(16, 16, QImage.Format.Format_RGB32)
        image.fill(QColor("white"))
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=smoothed > 0.0)
        stroke(painter, QPointF(), {Ink.CUT: path}, {Ink.CUT: pen}, smoothed)
        painter.end()
        rows.append([image.pixel(8, y) for y in range(16)])
    assert rows[0] == rows[1]
