"""What the list of measures keeps of each row, and the short texts beside and below it."""

from dataclasses import dataclass

from PySide6.QtCore import QCoreApplication

from app.binding import Binding
from app.display import Display
from app.figure_box import FigureBox
from app.measures.choices import Choice
from app.measures.row import Row, ValueText
from app.words import marked, shown_difference, shown_finished, shown_litres
from core.bag import Bag
from core.figures import CutFigure, FinishedFigure, Kind
from core.parts.compartments import COMPARTMENT_FIGURES
from core.parts.handles import HandleStyle

SAME = 1e-6
"""Differences below this (mm, litres) are no change."""
DASH = "–"
"""Stands for a size that the bag has not."""
_LAID_ON = ("pocket", "handles", "board")
_MEASURED_ON = {figure.name: ("pocket", "handles") for figure in COMPARTMENT_FIGURES}
"""Finished figure -> the parts it takes; else the part under which it is listed."""


@dataclass(slots=True)
class CutRow:
    """A cut figure with its row, box and binding."""

    figure: CutFigure
    row: Row
    box: FigureBox
    binding: Binding[float]
    compared: tuple[object, ...] = ()


@dataclass(slots=True)
class FinishedRow:
    """A finished figure with its row, and a box that is typed in or a text that is read."""

    figure: FinishedFigure
    row: Row
    box: FigureBox | None = None
    text: ValueText | None = None
    binding: Binding[float] | None = None
    compared: tuple[object, ...] = ()

    @property
    def shown(self) -> str:
        """The value as it is read."""
        field = self.box or self.text
        return "" if field is None else field.text()


@dataclass(slots=True)
class ChoiceRow:
    """A choice with its row and binding."""

    choice: Choice
    row: Row
    binding: Binding[str]


WAITS = marked("rows", "Being worked out: the bag is filled several times over.")
"""What stands at a row whose figure is on its way to what was typed."""


def tr(text: str) -> str:
    """A text of the rows in the reader's language."""
    return QCoreApplication.translate("rows", text)


def applies(name: str, bag: Bag) -> bool:
    """Whether a figure that the bag holds plays a role in its construction."""
    if name == "handle_leg":
        return bag.handles is not None and bag.handles.style is HandleStyle.SEPARATE
    return name != "bottom_seam" or not bag.panel.folded


def has_row(figure: FinishedFigure, value: float | None, bag: Bag) -> bool:
    """Whether a finished figure is listed: where the bag has the parts that it is measured on.

    What numbers alone take away stands as a dash: the rows below must not move while one types.
    """
    if value is not None or figure.kind is Kind.VOLUME:
        return True
    parts = _MEASURED_ON.get(figure.name, (figure.part,))
    return figure.part in _LAID_ON and all(getattr(bag, part) is not None for part in parts)


def other_units(litres: float | None, display: Display) -> str:
    """A volume in the units beside litres; empty where litres are enough."""
    return display.volume(litres).partition(" (")[2].rstrip(")")


def drawn_text(
    figure: FinishedFigure, value: float | None, drawn: float | None, display: Display
) -> str:
    """What is drawn for a size to be sewn; empty where both are the same."""
    if value is None or drawn is None or abs(drawn - value) < SAME:
        return ""
    return tr("{size} as drawn").format(size=shown_finished(figure, drawn, display))


def change_text(kind: Kind, value: float | None, was: float | None, display: Display) -> str:
    """What differs from the starting bag, signed; empty for nothing."""
    if value is None:
        return ""
    if was is None:
        return tr("new")
    if abs(value - was) < SAME:
        return ""
    return shown_difference(kind, value - was, display, suffix=False)


def cost_text(figure: FinishedFigure, cost: float | None, display: Display, *, asked: bool) -> str:
    """What the ruler step left over or under; empty for nothing that can be read."""
    if cost is None or abs(cost) < SAME:
        return ""
    size = abs(cost)
    shown = shown_litres(size) if figure.kind is Kind.VOLUME else display.difference(size)
    if not any(digit in shown for digit in "123456789"):
        return ""
    over, asked_for = cost > 0.0, asked
    template = _COSTS[over, asked_for]
    return tr(template).format(size=shown)


_COSTS = {
    (True, True): marked("rows", "{size} over what you asked for"),
    (False, True): marked("rows", "{size} under what you asked for"),
    (True, False): marked("rows", "{size} over, by rounding"),
    (False, False): marked("rows", "{size} under, by rounding"),
}
