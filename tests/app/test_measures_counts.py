"""What the list of measures does for one key: what has changed is written, and nothing else."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.session import display
from app.views.measures.capacity_rows import CapacityRows
from app.views.measures.figure_row import FigureRow
from app.views.measures.foot import MeasureNotes
from app.views.measures.pane import MeasuresPane
from app.widgets.inputs import Binding
from core.base.units import Unit
from tests.app.sessions import session_on
from tests.helpers import demo, inch


class Bench:
    """A list of measures on the demo bag that takes down what it writes.

    Attributes:
        rows: figures whose rows are written.
        lengths: how many lengths are worded.
        fields: how many boxes of figures and choices are given a value.
        others: how often rows of the filled bag, or the foot, are written.
    """

    def __init__(self, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
        self.session = session_on(demo())
        self.pane = MeasuresPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.show()
        self.pane.make_rest()  # as the first picture does, whenever a busy machine paints it
        qtbot.wait(20)  # the first field has the focus
        self._patch = monkeypatch
        self.forget()
        self._watch(FigureRow, "write_note", lambda row: self.rows.append(row.figure.name))
        self._watch(display, "format_length", lambda *_, **__: self._add("lengths"))
        self._watch(Binding, "refresh", lambda _: self._add("fields"))
        self._watch(CapacityRows, "_write", lambda *_: self._add("others"))
        self._watch(MeasureNotes, "_write", lambda _: self._add("others"))

    def forget(self) -> None:
        self.rows: list[str] = []
        self.lengths = self.fields = self.others = 0

    @property
    def figures(self) -> dict[str, float | None]:
        result = self.session.document.result
        return {**result.finished, **result.cut}

    def step(self, name: str, by: float) -> set[str]:
        """Ask for so much more of a figure; the names of those that differ then."""
        before, redesigner = self.figures, self.session.redesigner
        ask = (
            redesigner.want if name in self.session.document.result.finished else redesigner.set_cut
        )
        assert ask(name, before[name] + by)
        return {each for each, value in self.figures.items() if value != before[each]}

    def _add(self, name: str) -> None:
        setattr(self, name, getattr(self, name) + 1)

    def _watch(self, owner: object, name: str, told: object) -> None:
        plain = getattr(owner, name)

        def watched(*args: object, **words: object) -> object:
            told(*args, **words)
            return plain(*args, **words)

        self._patch.setattr(owner, name, watched)


@pytest.fixture
def bench(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> Bench:
    return Bench(qtbot, monkeypatch)


@pytest.mark.parametrize("name", ["corner_cut_depth", "panel_width", "gusset_depth", "base_width"])
@pytest.mark.parametrize("unit", Unit)
def test_a_key_writes_the_rows_of_the_figures_that_it_changes(
    bench: Bench, name: str, unit: Unit
) -> None:
    bench.session.display.set_unit(unit)
    for way in (1, 1, -1):
        bench.forget()
        changed = bench.step(name, way * inch(1 / 8))
        assert 4 < len(changed) < 20, "some figures follow, most do not"
        assert sorted(bench.rows) == sorted(changed), "each of them once"
        assert bench.lengths <= 2 * len(changed), "its value, and what it is more or less by now"
        assert bench.fields <= len(changed), "no choice and no other box is asked"
        assert bench.others == 0, "the rows of the filled bag and the foot show what they did"


class Laid(QObject):
    """Counts the parts of a list that are laid out again."""

    count = 0

    # Qt's own names from here on.

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        self.count += event.type() is QEvent.Type.LayoutRequest
        return False


@pytest.mark.parametrize("name", ["corner_cut_depth", "panel_width", "gusset_depth", "base_width"])
def test_a_key_lays_nothing_out_again(bench: Bench, qtbot: QtBot, name: str) -> None:
    bench.step(name, inch(1 / 8))
    qtbot.wait(20)
    laid = Laid()
    QApplication.instance().installEventFilter(laid)
    second = bench.pane.finished_rows["box_volume"].row.second
    bench.step(name, inch(1 / 8))
    qtbot.wait(20)
    assert bench.pane.finished_rows["box_volume"].row.second != second, "in cubic inches"
    assert laid.count == 0


def test_what_changes_no_figure_writes_no_row(bench: Bench) -> None:
    document = bench.session.document
    document.keep(replace(document.project, ticked=frozenset({"cut panel"})))
    bench.pane.refresh()
    assert (bench.rows, bench.lengths, bench.fields, bench.others) == ([], 0, 0, 0)


def test_a_pin_writes_its_own_row(bench: Bench) -> None:
    bench.session.redesigner.pin("base_width", True)
    assert bench.rows == ["base_width"]
    pin = bench.pane.finished_rows["base_width"].row.pin
    assert pin is not None
    assert pin.isChecked()


def test_another_unit_writes_every_row_that_is_listed(bench: Bench) -> None:
    bench.session.display.set_unit(Unit.CM)
    rows = {**bench.pane.cut_rows, **bench.pane.finished_rows}
    assert sorted(bench.rows) == sorted(
        name for name, each in rows.items() if not each.row.isHidden()
    )
