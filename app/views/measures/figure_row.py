"""The row of one figure: what its texts follow from, and how they are written.

A change of the bag touches every row and moves a few. So each row is asked first what it follows
from now: where that is what it shows, nothing of it is worded or written.
"""

from typing import NamedTuple

from app.session.display import SAME, Display, Figure, shown_value, tr, translated
from app.session.session import Session
from app.views.measures.row import MeasureRow
from app.views.measures.rows import change_text, cost_text, other_units
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import Binding
from app.widgets.labels import ReadOnlyValue
from core.base.sentences import mark
from core.base.units import Unit
from core.model.figures import NO_TAKE_UP, CutFigure, FinishedFigure, Quantity
from core.site.owner import Owner

_OFF_RULER = mark("Off the ruler, so that the corners stay matched.")


class Standing(NamedTuple):
    """All that the row of a figure shows follows from; equal ones look the same.

    Attributes:
        listed: whether the bag's list has the row.
        value: of the present bag, mm, litres or pieces; None: it has none.
        was: of the starting bag.
        wish: what was typed and is being worked out; None: nothing is.
        pinned: whether it is kept as it is, or a mismatch at 0.
        unit: that lengths are shown in.
        step: of the ruler, mm.
        off_ruler: whether a cut size had to stay off the ruler.
        drawn: what is drawn for a size to be sewn; None where there is no such thing.
        sewn: whether finished sizes are those of the sewn bag, and larger ones drawn.
        cost: what the ruler left over or under; None: nothing that is known.
        asked: whether that is told against what was asked for.
    """

    listed: bool
    value: float | None
    was: float | None
    wish: float | None
    pinned: bool
    unit: Unit
    step: float
    off_ruler: bool = False
    drawn: float | None = None
    sewn: bool = False
    cost: float | None = None
    asked: bool = False


class FigureRow:
    """A figure with its row, and a box that is typed in or a text that is read.

    Attributes:
        binding: of a box with the document.
        standing: what the row shows; None before the first.
    """

    def __init__(
        self,
        figure: Figure,
        row: MeasureRow,
        display: Display,
        *,
        box: FigureBox | None = None,
        text: ReadOnlyValue | None = None,
        binding: Binding[float] | None = None,
    ) -> None:
        self.figure, self.row, self.display = figure, row, display
        self.box, self.text, self.binding = box, text, binding
        self.standing: Standing | None = None

    @property
    def shown(self) -> str:
        field = self.box or self.text
        return "" if field is None else field.text()

    def show(self, standing: Standing) -> None:
        """Show what follows from this; nothing is done where it is what is shown."""
        if standing == self.standing:
            return
        self.standing = standing
        if standing.listed is self.row.isHidden():
            self.row.setVisible(standing.listed)
        if not standing.listed:
            return
        quantity, value = self.figure.quantity, standing.value
        if self.binding is not None:
            self.binding.refresh()
        if self.text is not None:
            self.text.show_text(shown_value(quantity, value, self.display))
        if self.row.pin is not None:
            self.row.pin.show_pinned(standing.pinned)
        self.row.change.set_text(change_text(quantity, value, standing.was, self.display))
        self.write_note()

    def write_note(self) -> None:
        """What is wrong with the text, else what is drawn, other units and the ruler's cost."""
        row, standing = self.row, self.standing
        if self.box is not None and self.box.problem:
            row.set_note(self.box.problem, wrong=True)
            return
        row.offer_releases(())
        if standing is None:
            return
        is_volume = self.figure.quantity is Quantity.VOLUME
        units = other_units(standing.value, self.display) if is_volume else ""
        second = "; ".join(filter(None, (units, self._drawn_text(standing))))
        row.set_second(second, there=standing.sewn or (is_volume and standing.unit is Unit.INCH))
        cost = cost_text(self.figure.quantity, standing.cost, self.display, asked=standing.asked)
        row.set_note(translated(_OFF_RULER) if standing.off_ruler else cost, wrong=False)

    def _drawn_text(self, standing: Standing) -> str:
        """What is drawn for a size to be sewn; empty where both are the same."""
        value, drawn = standing.value, standing.drawn
        if value is None or drawn is None or abs(drawn - value) < SAME:
            return ""
        shown = shown_value(self.figure.quantity, drawn, self.display)
        return tr("{size} as drawn").format(size=shown)


class Standings:
    """What the rows of the present bag follow from, gathered once for all of them."""

    def __init__(self, session: Session) -> None:
        result, redesigner, display = session.document.result, session.redesigner, session.display
        self._bag, self._finished, self._drawn = result.bag, result.finished, result.drawn
        self._cut, self._pins = result.cut, redesigner.pins
        self._starting, self._wish = session.document.starting, redesigner.pending
        self._cost, self._asked = redesigner.cost, redesigner.asked
        self._off_ruler = redesigner.off_ruler
        self.sewn = result.bag.take_up != NO_TAKE_UP
        self._shown_in = display.unit, display.step

    def of_cut(self, figure: CutFigure) -> Standing:
        """What the row of a cut figure follows from."""
        name = figure.name
        owner, value = self._bag.owner(figure.part), self._cut[name]
        return Standing(
            value is not None and (not isinstance(owner, Owner) or owner.applies(name)),
            value,
            self._starting.cut[name],
            self._wished(name),
            name in self._pins,
            *self._shown_in,
            off_ruler=name in self._off_ruler,
        )

    def of_finished(self, figure: FinishedFigure) -> Standing:
        """What the row of a finished figure follows from."""
        name = figure.name
        value, cost = self._finished[name], self._cost.get(name)
        if cost is not None and abs(cost) < SAME:
            cost = None
        return Standing(
            value is not None or self._has_row(figure),
            value,
            self._starting.finished[name],
            self._wished(name),
            name in self._pins,
            *self._shown_in,
            drawn=self._drawn[name],
            sewn=self.sewn,
            cost=cost,
            asked=cost is not None and name in self._asked,
        )

    def _wished(self, name: str) -> float | None:
        return None if self._wish is None or self._wish.name != name else self._wish.value

    def _has_row(self, figure: FinishedFigure) -> bool:
        """Whether a figure without a value is listed: where the bag has what it is measured on.

        What numbers alone take away stands as a dash: rows below must not move while one types.
        """
        bag = self._bag
        return figure in bag.finished_figures and all(part in bag.parts for part in figure.parts)
