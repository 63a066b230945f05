"""What the fold preview makes again for one key, and what it keeps."""

from collections.abc import Callable

import pytest
from PySide6.QtGui import QPalette
from pytestqt.qtbot import QtBot

from app.session.capacity import fill_bag
from app.session.document import Document
from app.views.fold import surface_index
from app.views.fold import view as fold_view
from app.views.fold.pane import FoldPane
from app.views.fold.scene import ZoneCatalogue
from core.bag.choices import without_part
from core.solid.fold import FILLED
from tests.app.sessions import session_on
from tests.app.test_fold_pane import dark_palette
from tests.helpers import demo, inch

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


def test_a_dark_window_gets_a_dark_outline(bench: Bench, counted: Counted) -> None:
    drawn = counted(fold_view, "ghost_picture")
    bench.press(19.5)
    bench.pane.view.setPalette(dark_palette())
    bench.pane.view.grab()
    assert len(drawn) == 2
    bench.pane.view.setPalette(QPalette())
    bench.pane.view.grab()
    assert len(drawn) == 3


def test_what_lies_on_what_is_sorted_once_while_only_lengths_change(
    bench: Bench, counted: Counted
) -> None:
    bench.press(18.625)  # this outlines the starting bag
    sorted_out = counted(fold_view, "ZoneCatalogue")
    for width in (18.75, 18.875):
        bench.press(width)
    assert sorted_out == []
    document = bench.document
    assert document.replace_bag(without_part(document.bag, "pocket"), "No pocket")
    assert len(sorted_out) == 1


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
        pane.view._catalogue = ZoneCatalogue(pane.view.model)
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
