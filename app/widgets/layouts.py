"""Layouts with their room, the ground of areas, and the buttons that stand in them."""

from typing import TypeVar

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QLayout, QPushButton, QScrollArea, QToolButton, QWidget

Layout = TypeVar("Layout", bound=QBoxLayout)


def spaced(
    layout: Layout, between: int | None = None, around: tuple[int, int, int, int] = (0, 0, 0, 0)
) -> Layout:
    """The layout, with so many px between what stands in it, and left, above, right and below.

    What stands in it is as far apart as the platform has it where `between` is None.
    """
    layout.setContentsMargins(*around)
    if between is not None:
        layout.setSpacing(between)
    return layout


def holding(layout: Layout, *items: QWidget | QLayout | None) -> Layout:
    """The layout with these in it, one after another; None is room that stretches."""
    for each in items:
        if each is None:
            layout.addStretch(1)
        elif isinstance(each, QWidget):
            layout.addWidget(each)
        else:
            layout.addLayout(each)
    return layout


def give_ground(area: QScrollArea) -> None:
    """Let an area be seen through a widget that Python knows, before it has anything in it.

    To hand out a plain widget of Qt's own, PySide looks through every class of widgets that there
    is, the first time, and makes them all: 7 ms of a start that asks for none.
    """
    ground = QWidget()
    ground.setAutoFillBackground(True)
    area.setViewport(ground)


def turned(layout: QBoxLayout, *, across: bool) -> bool:
    """Let a layout run across, else down; False where it does already."""
    direction = QBoxLayout.Direction.LeftToRight if across else QBoxLayout.Direction.TopToBottom
    other = direction != layout.direction()
    if other:
        layout.setDirection(direction)
    return other


def button(text: str, parent: QWidget, tip: str = "", *, then: object = None) -> QPushButton:
    """A button that does `then`, and that Enter in a field of a dialog does not press."""
    made = QPushButton(text, parent)
    made.setAutoDefault(False)
    made.setToolTip(tip)
    if then is not None:
        made.clicked.connect(then)
    return made


def arrow_button(arrow: Qt.ArrowType, name: str, parent: QWidget | None = None) -> QToolButton:
    """A button with an arrow for a sign; its name is told to who points at it or cannot see it."""
    made = QToolButton(parent)
    made.setArrowType(arrow)
    made.setAccessibleName(name)
    made.setToolTip(name)
    return made
