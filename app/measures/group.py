"""A titled group of rows in the list of measures."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.measures.pin_button import PinButton
from app.measures.row import Row
from app.theme import heading_font, rule_colour


class Group(QWidget):
    """A title over a thin line, then rows."""

    def __init__(self, title: str, parent: QWidget) -> None:
        super().__init__(parent)
        self.rows: list[Row] = []
        self._title = QLabel(title, self)
        self._title.setFont(heading_font(self._title.font()))
        self._title.setContentsMargins(6, 10, 6, 4)
        self._title.setWordWrap(True)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 2)
        self._column.setSpacing(1)
        self._column.addWidget(self._title)
        self.setAccessibleName(title)

    def set_title(self, title: str) -> None:
        """Call the group something else."""
        if title != self._title.text():
            self._title.setText(title)
            self.setAccessibleName(title)

    def add_row(
        self, name: str, field: QWidget, help_text: str, pin: PinButton | None = None
    ) -> Row:
        """Put a row at the end."""
        row = Row(name, field, help_text, self, pin=pin)
        figure = field.objectName()
        if figure:
            set_topic(row, Topic.FIGURES, figure)
        else:
            set_topic(row, Topic.MEASURES, "parts")
        self.rows.append(row)
        self._column.addWidget(row)
        return row

    def add(self, widget: QWidget) -> None:
        """Put something that is no row at the end."""
        self._column.addWidget(widget)

    # Qt's own names from here on.

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(rule_colour(self.palette()))
        below = self._title.geometry().bottom() - 1
        painter.drawLine(6, below, self.width() - 6, below)
        painter.end()


def keep_tab_order(groups: Sequence[Group], last: QWidget) -> None:
    """Let Tab go down the rows, from each field to its pin, and at the end to `last`."""
    fields: list[QWidget] = []
    for row in [row for group in groups for row in group.rows]:
        fields += [row.field] if row.pin is None else [row.field, row.pin]
    for one, other in pairwise([*fields, last]):
        QWidget.setTabOrder(one, other)
