"""How the goods are to be cut: number of bags, way of cutting, gap, fold."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QBoxLayout, QCheckBox, QComboBox, QHBoxLayout, QLabel, QWidget

from app.display import Display
from app.figure_box import FigureBox
from app.length_box import CountSpinBox, LengthSpinBox
from app.words import told
from core.errors import Sentence
from core.goods.packing import Cutting
from core.goods.plan import MOST_BAGS, WIDEST_GAP, PlanOptions


class CuttingControls(QWidget):
    """The boxes over the plan.

    Signals:
        changed: `options` are other ones.
        problem_changed(str): what is wrong with what is typed; empty when nothing is.
    """

    changed = Signal()
    problem_changed = Signal(str)

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._display = display
        self._options = PlanOptions()
        self.bags = CountSpinBox(self.tr("Bags"), self)
        self.bags.setToolTip(self.tr("How many bags are cut, 1 to {most}.").format(most=MOST_BAGS))
        self.cutting = QComboBox(self)
        self.gap = LengthSpinBox(self.tr("Gap"), display, self)
        self.gap.setToolTip(self.tr("Left between pieces: what a cut takes, or room for scissors."))
        self.folded = QCheckBox(self.tr("On the fold"), self)
        self.folded.setToolTip(
            self.tr("Fold the goods lengthwise and cut two pieces at a time where two are needed.")
        )
        self._fill_cutting()
        self._build()
        self._show()
        for box in (self.bags, self.gap):
            box.problem_changed.connect(self._on_problem_change)
        self.bags.value_edited.connect(self._on_bags_edit)
        self.gap.value_edited.connect(self._on_gap_edit)
        self.cutting.currentIndexChanged.connect(self._on_cutting_change)
        self.folded.toggled.connect(self._on_folded_change)

    @property
    def options(self) -> PlanOptions:
        """What is asked for."""
        return self._options

    @property
    def problem(self) -> str:
        """What is wrong with what is typed; empty when nothing is."""
        return self.bags.problem or self.gap.problem

    def _fill_cutting(self) -> None:
        for way, text, tip in (
            (
                Cutting.FREE,
                self.tr("Free, with scissors"),
                self.tr("Least goods: pieces lie wherever they fit."),
            ),
            (
                Cutting.ROWS,
                self.tr("Rows, with a rotary cutter"),
                self.tr("Every cut runs from edge to edge: across first, then within a row."),
            ),
        ):
            self.cutting.addItem(text, way)
            self.cutting.setItemData(self.cutting.count() - 1, tip, Qt.ItemDataRole.ToolTipRole)
        self.cutting.setAccessibleName(self.tr("Way of cutting"))
        self.cutting.setToolTip(
            self.tr("Free lies closest; rows need only straight cuts from edge to edge.")
        )

    def _build(self) -> None:
        self._rows = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._rows.setSpacing(6)
        for boxes in (
            ((self.tr("&Bags"), self.bags), (self.tr("&Cut"), self.cutting)),
            ((self.tr("&Gap"), self.gap),),
        ):
            row = QHBoxLayout()
            row.setSpacing(6)
            for text, box in boxes:
                label = QLabel(text, self)
                label.setBuddy(box)
                row.addWidget(label)
                row.addWidget(box)
                row.addSpacing(6)
            if len(boxes) == 1:
                row.addWidget(self.folded)
            row.addStretch(1)
            self._rows.addLayout(row)

    def stand(self, *, in_one_row: bool) -> None:
        """Put all boxes beside each other, or in two rows."""
        ways = QBoxLayout.Direction.LeftToRight, QBoxLayout.Direction.TopToBottom
        self._rows.setDirection(ways[0] if in_one_row else ways[1])

    def _show(self) -> None:
        self.bags.show_value(self._options.bags)
        self.gap.show_value(self._options.gap)

    def _ask(self, **changes: object) -> None:
        values = {name: getattr(self._options, name) for name in ("bags", "gap", "cutting")}
        values |= {"folded": self._options.folded} | changes
        other = PlanOptions(**values)  # ranges are judged before
        if other != self._options:
            self._options = other
            self._show()
            self.changed.emit()

    def _on_bags_edit(self, value: float) -> None:
        rule = Sentence(
            "Bags is {value}: it must be a whole number from 1 to {most}.",
            words={"value": f"{value:.0f}", "most": str(MOST_BAGS)},
        )
        if self._may(self.bags, rule, holds=1 <= value <= MOST_BAGS):
            self.bags.show_value(value)
            self._ask(bags=int(value))

    def _on_gap_edit(self, value: float) -> None:
        rule = Sentence(
            "Gap is {value}: it must be from 0 to {limit}.", {"value": value, "limit": WIDEST_GAP}
        )
        if self._may(self.gap, rule, holds=0.0 <= value <= WIDEST_GAP):
            self.gap.show_value(value)
            self._ask(gap=value)

    def _may(self, box: FigureBox, rule: Sentence, *, holds: bool) -> bool:
        """Whether a value may be taken; the rule is told beside its box where it does not hold."""
        box.set_problem("" if holds else told(rule, self._display))
        return holds

    def _on_cutting_change(self) -> None:
        self._ask(cutting=self.cutting.currentData())

    def _on_folded_change(self, folded: bool) -> None:
        self._ask(folded=folded)

    def _on_problem_change(self) -> None:
        self.problem_changed.emit(self.problem)


Tell = Callable[[str], None]
"""Tells something that went wrong."""
