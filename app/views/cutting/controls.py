"""How many bags are made and how their goods are cut, and how the tab of the plan is laid out.

Every change is a step of the document.
"""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QSplitter, QVBoxLayout, QWidget

from app.session.display import Display, told
from app.session.document import Change, Document
from app.views.cutting.table import CuttingTable
from app.widgets.figure_box import FigureBox
from app.widgets.inputs import CountBox, LengthBox, OptionBox
from app.widgets.layouts import holding, spaced, turned
from core.bag.making import MOST_BAGS, Cutting, Making
from core.base.errors import FieldError
from core.base.sentences import Sentence, say, told_number


class CuttingControls(QWidget):
    """The boxes over the plan.

    Signals:
        changed: the document's making is another.
        problem_changed(str): what is wrong with what is typed; empty when nothing is.
        said(str): what a typed change or sum came to.
    """

    changed = Signal()
    problem_changed = Signal(str)
    said = Signal(str)

    def __init__(self, document: Document, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self._shown = document.project.making
        self._broken: dict[FigureBox, Sentence] = {}
        self.bags = CountBox(self.tr("Bags"), self)
        self.bags.setToolTip(self.tr("How many bags are cut, 1 to {most}.").format(most=MOST_BAGS))
        self.cutting = OptionBox(self)
        self.gap = LengthBox(self.tr("Gap"), display, self)
        self.gap.setToolTip(self.tr("Space left between pieces for the scissors or the cutter."))
        self.folded = QCheckBox(self.tr("On the fold"), self)
        self.folded.setToolTip(
            self.tr(
                "Fold the material lengthwise and cut two pieces at a time where two are needed."
            )
        )
        self.mixed_grain = QCheckBox(self.tr("Mixed grain"), self)
        self.mixed_grain.setToolTip(
            self.tr(
                "Let walls and pocket be cut with different grain where that saves material. "
                "Otherwise pieces that are seen side by side on a bag keep the same grain."
            )
        )
        self._fill_cutting()
        self._build()
        self._show()
        for box in (self.bags, self.gap):
            box.problem_changed.connect(self._on_problem_change)
            box.reckoned.connect(self.said)
        self.bags.value_edited.connect(self._on_bags_edit)
        self.gap.value_edited.connect(self._on_gap_edit)
        self.cutting.currentIndexChanged.connect(self._on_cutting_change)
        self.folded.toggled.connect(self._on_folded_change)
        self.mixed_grain.toggled.connect(self._on_mixed_grain_change)
        document.kept_changed.connect(self._on_kept_change)
        document.changed.connect(self._on_change)
        display.changed.connect(self._on_display_change)

    @property
    def problem(self) -> str:
        return self.bags.problem or self.gap.problem

    @property
    def _making(self) -> Making:
        return self._document.project.making

    def _fill_cutting(self) -> None:
        for way, text, tip in (
            (
                Cutting.FREE,
                self.tr("Free, with scissors"),
                self.tr("Least material: pieces lie wherever they fit."),
            ),
            (
                Cutting.ROWS,
                self.tr("Rows, with a rotary cutter"),
                self.tr(
                    "Every cut runs straight from edge to edge: first across, then within each row."
                ),
            ),
        ):
            self.cutting.addItem(text, way)
            self.cutting.setItemData(self.cutting.count() - 1, tip, Qt.ItemDataRole.ToolTipRole)
        self.cutting.setAccessibleName(self.tr("Way of cutting"))
        self.cutting.setToolTip(
            self.tr("Free wastes least; rows need only straight cuts from edge to edge.")
        )

    def _build(self) -> None:
        self._rows = spaced(QHBoxLayout(self), 6)
        for boxes in (
            ((self.tr("&Bags"), self.bags), (self.tr("&Cut"), self.cutting)),
            ((self.tr("&Gap"), self.gap),),
        ):
            row = spaced(QHBoxLayout(), 6)
            for text, box in boxes:
                label = QLabel(text, self)
                label.setBuddy(box)
                row.addWidget(label)
                row.addWidget(box)
                row.addSpacing(6)
            if len(boxes) == 1:
                row.addWidget(self.folded)
                row.addWidget(self.mixed_grain)
            row.addStretch(1)
            self._rows.addLayout(row)

    def stand(self, *, in_one_row: bool) -> None:
        """Put all boxes beside each other, or in two rows."""
        turned(self._rows, across=in_one_row)

    def _show(self) -> None:
        making = self._shown
        self.bags.show_value(making.bags)
        self.gap.show_value(making.gap)
        with (
            QSignalBlocker(self.cutting),
            QSignalBlocker(self.folded),
            QSignalBlocker(self.mixed_grain),
        ):
            self.cutting.setCurrentIndex(self.cutting.findData(making.cutting))
            self.folded.setChecked(making.folded)
            self.mixed_grain.setChecked(making.mixed_grain)

    def _make(self, making: Making, step: str, *, merge_key: str | None = None) -> None:
        project = replace(self._document.project, making=making)
        self._document.replace_project(project, step, merge_key=merge_key)

    def _on_kept_change(self) -> None:
        making = self._document.project.making
        if making != self._shown:
            self._shown = making
            self._show()
            self.changed.emit()

    def _on_bags_edit(self, value: float) -> None:
        rule = say(
            "Number of bags is {value}: it must be a whole number from 1 to {most}.",
            words={"value": told_number(value)},
            numbers={"most": MOST_BAGS},
        )
        if self._may(self.bags, None if 1 <= value <= MOST_BAGS else rule):
            self.bags.show_value(value)
            making = replace(self._making, bags=int(value))
            self._make(making, self.tr("Number of bags"), merge_key="bags")

    def _on_gap_edit(self, value: float) -> None:
        making, rule = self._making, None
        try:
            making = replace(making, gap=value)
        except FieldError as error:
            rule = error.sentence
        if self._may(self.gap, rule):
            self.gap.show_value(value)
            self._make(making, self.tr("Gap between pieces"), merge_key="gap")

    def _may(self, box: FigureBox, broken: Sentence | None) -> bool:
        """Whether a value may be taken; the rule that it breaks is told beside its box."""
        if broken is None:
            self._broken.pop(box, None)
        else:
            self._broken[box] = broken
        box.set_problem("" if broken is None else told(broken, self._display))
        return broken is None

    def _on_cutting_change(self) -> None:
        making = replace(self._making, cutting=self.cutting.currentData())
        self._make(making, self.tr("Way of cutting"))

    def _on_folded_change(self, folded: bool) -> None:
        step = self.tr("Cut on the fold") if folded else self.tr("Cut unfolded")
        self._make(replace(self._making, folded=folded), step)

    def _on_mixed_grain_change(self, mixed: bool) -> None:
        step = self.tr("Mixed grain") if mixed else self.tr("One grain on each face")
        self._make(replace(self._making, mixed_grain=mixed), step)

    def _on_change(self, change: Change) -> None:
        if change.opened:  # what could not be was meant for the bag before
            for box in (self.bags, self.gap):
                box.revert_text()

    def _on_display_change(self) -> None:
        for box, rule in self._broken.items():
            if box.problem:
                box.set_problem(told(rule, self._display))

    def _on_problem_change(self) -> None:
        self.problem_changed.emit(self.problem)


WIDE = 760
"""Px from which on the drawing and the table stand side by side."""
SIDES = 12
"""Px left free at both sides together."""
LEAST_DRAWING = 230
"""Px across that the drawing keeps beside the table."""
DRAWING_ABOVE = 180
"""Px along that the drawing has above the table."""


class CuttingLayout:
    """Lays out the widgets of the tab, and again when its width asks for it."""

    def __init__(
        self,
        parent: QWidget,
        *,
        controls: CuttingControls,
        goods: QWidget,
        told: Sequence[QWidget],
        drawing: Sequence[QWidget],
        buying: tuple[CuttingTable, QWidget],
        foot: tuple[Sequence[QWidget], Sequence[QWidget]],
    ) -> None:
        """`drawing` and `buying` each have the one that grows first; `foot`: told, pressed."""
        self._table = buying[0]
        self._drawing = drawing[0]
        self._is_by_hand = False
        self._is_wide = True
        self._controls = controls
        self._goods = goods
        self._top = holding(spaced(QHBoxLayout()), controls, goods)
        self._top.setStretch(1, 1)
        self._split = QSplitter(Qt.Orientation.Horizontal, parent)
        self._split.setChildrenCollapsible(False)
        self._sides: list[QWidget] = []
        for stretch, widgets in ((1, drawing), (0, buying)):
            side = QWidget(self._split)
            column = spaced(QVBoxLayout(side), 3)
            for widget in widgets:
                column.addWidget(widget, int(widget is widgets[0]))
            self._sides.append(side)
            self._split.addWidget(side)
            self._split.setStretchFactor(self._split.count() - 1, stretch)
        self._split.splitterMoved.connect(self._on_splitter_move)
        self._foot = spaced(QHBoxLayout())
        shown, pressed = (spaced(QHBoxLayout()) for _ in foot)
        holding(shown, *foot[0], None)
        holding(pressed, None, *foot[1])
        self._foot.addLayout(shown, 1)
        self._foot.addLayout(pressed)
        whole = spaced(QVBoxLayout(parent), 4, (SIDES // 2, 6, SIDES // 2, 4))
        whole.addLayout(self._top)
        holding(whole, *told).addWidget(self._split, 1)
        whole.addLayout(self._foot)

    def arrange(self, width: int) -> None:
        """Lay out for a tab of this width, px."""
        is_wide = width >= WIDE
        if is_wide != self._is_wide:
            self._is_wide = is_wide
            turned(self._foot, across=is_wide)
            self._split.setOrientation(
                Qt.Orientation.Horizontal if is_wide else Qt.Orientation.Vertical
            )
            self._controls.stand(in_one_row=is_wide)
            self._drawing.setMinimumHeight(80 if is_wide else DRAWING_ABOVE)
        heads = (self._controls, self._goods)
        need = sum(each.minimumSizeHint().width() for each in heads) + self._top.spacing() + SIDES
        turned(self._top, across=is_wide and need <= width)
        self.give_table(width)

    def give_table(self, width: int) -> None:
        """Let the table have what its texts need, so far as the drawing can be read beside it."""
        self._table.setMinimumHeight(70 if self._is_wide else self._table.whole_height())
        for side in self._sides:
            # A splitter asks for the height of one line where a text takes several.
            high = 0 if self._is_wide else side.heightForWidth(width - SIDES)
            side.setMinimumHeight(max(high, 0))
        if not self._is_wide or self._is_by_hand:
            return
        need = min(self._table.whole_width(), max(width - LEAST_DRAWING, LEAST_DRAWING))
        self._split.setSizes([max(width - need, 1), need])

    def _on_splitter_move(self) -> None:
        if self._is_wide:
            self._is_by_hand = True
