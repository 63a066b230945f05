"""How the cutting plan's tab is laid out: side by side where it is wide, else one below another."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QSplitter, QVBoxLayout, QWidget

from app.panes.cutting_controls import CuttingControls
from app.panes.cutting_table import CuttingTable

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
        self._top = _box(controls, goods)
        self._top.setStretch(1, 1)
        self._split = QSplitter(Qt.Orientation.Horizontal, parent)
        self._split.setChildrenCollapsible(False)
        self._sides: list[QWidget] = []
        for stretch, widgets in ((1, drawing), (0, buying)):
            side = QWidget(self._split)
            column = QVBoxLayout(side)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(3)
            for widget in widgets:
                column.addWidget(widget, int(widget is widgets[0]))
            self._sides.append(side)
            self._split.addWidget(side)
            self._split.setStretchFactor(self._split.count() - 1, stretch)
        self._split.splitterMoved.connect(self._on_splitter_move)
        self._foot = _box()
        shown, pressed = _box(*foot[0]), _box(*foot[1])
        shown.addStretch(1)
        pressed.insertStretch(0, 1)
        self._foot.addLayout(shown, 1)
        self._foot.addLayout(pressed)
        whole = QVBoxLayout(parent)
        whole.setContentsMargins(SIDES // 2, 6, SIDES // 2, 4)
        whole.setSpacing(4)
        whole.addLayout(self._top)
        for label in told:
            whole.addWidget(label)
        whole.addWidget(self._split, 1)
        whole.addLayout(self._foot)

    def arrange(self, width: int) -> None:
        """Lay out for a tab of this width, px."""
        is_wide = width >= WIDE
        if is_wide != self._is_wide:
            self._is_wide = is_wide
            self._foot.setDirection(
                QBoxLayout.Direction.LeftToRight if is_wide else QBoxLayout.Direction.TopToBottom
            )
            self._split.setOrientation(
                Qt.Orientation.Horizontal if is_wide else Qt.Orientation.Vertical
            )
            self._controls.stand(in_one_row=is_wide)
            self._drawing.setMinimumHeight(80 if is_wide else DRAWING_ABOVE)
        heads = (self._controls, self._goods)
        need = sum(each.minimumSizeHint().width() for each in heads) + self._top.spacing() + SIDES
        fits = is_wide and need <= width
        self._top.setDirection(
            QBoxLayout.Direction.LeftToRight if fits else QBoxLayout.Direction.TopToBottom
        )
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


def _box(*widgets: QWidget) -> QBoxLayout:
    box = QBoxLayout(QBoxLayout.Direction.LeftToRight)
    box.setContentsMargins(0, 0, 0, 0)
    for widget in widgets:
        box.addWidget(widget)
    return box
