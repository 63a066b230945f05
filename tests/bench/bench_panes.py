"""From a changed number to both drawing panes painted, in a window of 1400 x 900.

The yardstick, painted in the same run, is a bare QPainter with the same polygons and lines:
what any program in Qt would spend on such a picture. What a person waits for, a key to the whole
window, is told by `bench_window`.
"""

import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QLineF, QRect, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPixmap, QPolygonF
from PySide6.QtWidgets import QApplication, QWidget

from app.__main__ import collect_seldom, import_plainly
from app.views.flat.pane import FlatPane
from app.views.fold.pane import FoldPane
from core.storage.bag_files import demo_bag
from tests.app.sessions import session_on

CHANGES = 300
WARM_UP = 10
"""Rounds that are not counted."""
FLAT = QRect(350, 40, 520, 640)
FOLD = QRect(870, 40, 520, 640)


class Window:
    """The demo bag in both panes, where the window has them."""

    def __init__(self) -> None:
        self.session = session_on()
        self.document = self.session.document
        self.window = QWidget()
        self.window.resize(1400, 900)
        self.flat = FlatPane(self.session, self.window)
        self.fold = FoldPane(self.session, self.window)
        self.flat.setGeometry(FLAT)
        self.fold.setGeometry(FOLD)
        self.window.show()
        QApplication.processEvents()

    def change(self, turn: int) -> None:
        """One step of the ruler there or back, shown in both panes before it returns."""
        self.widen(3.175 if turn % 2 == 0 else 0.0)

    def widen(self, by: float) -> None:
        """A panel wider than the demo bag's by so many mm, shown before it returns."""
        figures = {"panel_width": demo_bag_width + by}
        self.document.set_figures(figures, "Panel width", merge_key="panel_width")
        # As the event loop would: what the change made stale is painted, both panes in one go.
        QApplication.sendPostedEvents(None, QEvent.Type.UpdateRequest.value)

    def repaint_flat(self, turn: int) -> None:
        """Paint the whole flat pane again, what it has painted forgotten."""
        self.flat._ground.drop()
        self.flat.repaint()

    def close(self) -> None:
        """Take the window away."""
        self.window.close()
        self.window.deleteLater()


demo_bag_width = demo_bag().body.width


@dataclass(frozen=True)
class Shapes:
    """What a picture is made of."""

    areas: list[QPolygonF]
    paths: list[QPainterPath]
    lines: list[QLineF]

    def paint(self, size: QRect) -> None:
        """All of it, smoothed, in one pen and brush, on a pixmap of that size."""
        ground = QPixmap(size.size())
        painter = QPainter(ground)
        painter.fillRect(ground.rect(), Qt.GlobalColor.white)
        self.draw(painter)
        painter.end()

    def draw(self, painter: QPainter) -> None:
        """The same, where a painter stands."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.GlobalColor.lightGray)
        painter.setPen(Qt.PenStyle.NoPen)
        for area in self.areas:
            painter.drawPolygon(area)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(Qt.GlobalColor.black, 1.2))
        for path in self.paths:
            painter.drawPath(path)
        painter.drawLines(self.lines)


def flat_shapes(pane: FlatPane) -> Shapes:
    areas: list[QPolygonF] = []
    paths: list[QPainterPath] = []
    lines: list[QLineF] = []
    for at, picture in pane.pictures():
        areas.append(picture.area.translated(at))
        every_path = (*picture.lines.values(), *picture.curves.values())
        paths += [path.translated(at) for path in every_path]
        every = picture.measures + picture.leads + picture.arrow
        lines += [line.translated(at) for line in every]
    return Shapes(areas, paths, lines)


def fold_shapes(pane: FoldPane) -> Shapes:
    view = pane.view.view
    model = view.folded.model
    paths = []
    for line in model.lines:
        path = QPainterPath()
        path.addPolygon(view.line(line))
        paths.append(path)
    return Shapes([view.polygon(area) for area in model.areas], paths, [])


def times(action: Callable[[int], None], count: int) -> list[float]:
    """Milliseconds of each of `count` calls, after a few to warm up."""
    return times_in_turns((action,), count)[0]


def times_in_turns(actions: Sequence[Callable[[int], None]], count: int) -> list[list[float]]:
    """The same of several, each called once in every round."""
    taken: list[list[float]] = [[] for _ in actions]
    for turn in range(-WARM_UP, count):
        for action, spent in zip(actions, taken, strict=True):
            start = time.perf_counter()
            action(turn)
            if turn >= 0:
                spent.append((time.perf_counter() - start) * 1e3)
    return taken


def measure() -> dict[str, float]:
    """Medians and 95th percentiles, ms, and the ratio to bare painting."""
    window = Window()
    drawn = flat_shapes(window.flat), fold_shapes(window.fold)

    def paint_bare(turn: int) -> None:
        drawn[0].paint(FLAT)
        drawn[1].paint(FOLD)

    # In turns: on shared cores the one must not meet a quicker hour than the other.
    whole, bare = times_in_turns((window.change, paint_bare), CHANGES)
    flat = times(window.repaint_flat, CHANGES)
    fold = times(lambda turn: window.fold.view.repaint(), CHANGES)
    window.close()
    return {
        "change to both panes, median": statistics.median(whole),
        "change to both panes, 95th percentile": statistics.quantiles(whole, n=20)[18],
        "flat pane painted anew, median": statistics.median(flat),
        "fold pane painted anew, median": statistics.median(fold),
        "bare painter, median": statistics.median(bare),
        "both panes over bare painter": statistics.median(whole) / statistics.median(bare),
    }


def report(figures: dict[str, float]) -> None:
    for name, figure in figures.items():
        print(f"{name:56} {figure:7.2f}")


def main() -> None:
    application = QApplication([])
    import_plainly()  # as the program does
    collect_seldom()
    figures = measure()
    report(figures)
    application.quit()
    assert figures["change to both panes, median"] <= 16.0
    assert figures["change to both panes, 95th percentile"] <= 25.0
    assert figures["flat pane painted anew, median"] <= 4.0


if __name__ == "__main__":
    main()
