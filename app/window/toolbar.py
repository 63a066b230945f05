"""The toolbar: files, steps, unit and ruler step; with its pictures in the palette colours."""

from collections.abc import Callable, Mapping

from PySide6.QtCore import QEvent, QRectF, QSignalBlocker, QSize, Qt
from PySide6.QtGui import (
    QAction,
    QPainterPath,
    QPalette,
    QTransform,
)
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolBar, QToolButton, QWidget

from app.session.display import Display
from app.widgets.glyphs import GRID, glyph, outline
from app.widgets.inputs import OptionBox
from app.widgets.menus import without_mnemonic
from app.window.action_table import ACTIONS
from core.base.units import format_length, ruler_steps

Strokes = Callable[[], QPainterPath]


def _open() -> QPainterPath:
    """A folder with its lid ajar."""
    return outline(
        ((3, 16), (3, 4.5), (8, 4.5), (9.8, 6.8), (15.5, 6.8), (15.5, 9.2)),
        ((3, 16), (5.6, 9.2), (18, 9.2), (15.4, 16), (3, 16)),
    )


def _save() -> QPainterPath:
    """An arrow into a tray."""
    return outline(
        ((10, 3), (10, 12)),
        ((6.4, 8.6), (10, 12.2), (13.6, 8.6)),
        ((3.5, 12.5), (3.5, 16.5), (16.5, 16.5), (16.5, 12.5)),
    )


def _undo() -> QPainterPath:
    """A line that turns back to the left."""
    path = outline(((7, 4), (3.4, 7.6), (7, 11.2)))
    path.moveTo(3.4, 7.6)
    path.lineTo(12, 7.6)
    path.arcTo(QRectF(8, 7.6, 8.4, 8.4), 90, -180)
    path.lineTo(7.5, 16)
    return path


def _redo() -> QPainterPath:
    """The same, to the right."""
    return QTransform.fromScale(-1, 1).translate(-GRID, 0).map(_undo())


def _fit() -> QPainterPath:
    """Four corners around a sheet."""
    corners = outline(
        ((3, 7), (3, 3), (7, 3)),
        ((13, 3), (17, 3), (17, 7)),
        ((17, 13), (17, 17), (13, 17)),
        ((7, 17), (3, 17), (3, 13)),
    )
    corners.addRect(QRectF(7, 7, 6, 6))
    return corners


def _print() -> QPainterPath:
    """A sheet with a measured edge."""
    return outline(
        ((5, 3), (12, 3), (15.5, 6.5), (15.5, 17), (5, 17), (5, 3)),
        ((12, 3), (12, 6.5), (15.5, 6.5)),
        ((5, 8), (7.6, 8)),
        ((5, 11), (9, 11)),
        ((5, 14), (7.6, 14)),
    )


def _ruler() -> QPainterPath:
    """A ruler with its steps."""
    path = outline(
        ((5.5, 6.5), (5.5, 10.5)),
        ((8.5, 6.5), (8.5, 9)),
        ((11.5, 6.5), (11.5, 10.5)),
        ((14.5, 6.5), (14.5, 9)),
    )
    path.addRect(QRectF(2.5, 6.5, 15, 8))
    return path


GLYPHS: dict[str, Strokes] = {
    "open": _open,
    "save": _save,
    "undo": _undo,
    "redo": _redo,
    "fit": _fit,
    "print": _print,
    "ruler": _ruler,
}


ICON = 20
WITH_TEXT = ("open", "save", "print")
"""Buttons that show their word too; the others' signs are the usual ones."""


class Toolbar(QToolBar):
    """Buttons of the action table, then unit, ruler step and rounding."""

    def __init__(
        self, actions: Mapping[str, QAction], display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._actions = actions
        self._display = display
        self.setObjectName("toolbar")
        self.setWindowTitle(self.tr("Toolbar"))
        self.setMovable(False)
        self.setIconSize(QSize(ICON, ICON))
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.PreventContextMenu)
        self._add_buttons()
        spacer = QWidget(self)
        spacer.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.addWidget(spacer)
        for name in ("inches", "millimetres", "centimetres"):
            self.addAction(actions[name])
        label = QLabel(self.tr("Ruler step"), self)
        label.setContentsMargins(14, 0, 6, 0)
        self.addWidget(label)
        self.steps = OptionBox(self)
        self.steps.setToolTip(
            self.tr("Step by which arrow keys, wheel and dragging change measures.")
        )
        self.steps.setAccessibleName(self.tr("Ruler step"))
        self.steps.activated.connect(self._on_step_chosen)
        label.setBuddy(self.steps)
        self.addWidget(self.steps)
        self._add_rounding()
        self._draw_glyphs()
        display.changed.connect(self._show_display)
        self._show_display()

    def button(self, name: str) -> QWidget | None:
        """The button of an action; None where it has none here."""
        return self.widgetForAction(self._actions[name])

    def _add_buttons(self) -> None:
        menu = ""
        for spec in ACTIONS:
            if not spec.on_toolbar:
                continue
            if menu and spec.menu != menu:
                self.addSeparator()
            menu = spec.menu
            self._add_button(self._actions[spec.name], with_text=spec.name in WITH_TEXT)

    def _add_button(self, action: QAction, *, with_text: bool) -> None:
        self.addAction(action)
        button = self.widgetForAction(action)
        if isinstance(button, QToolButton):
            style = Qt.ToolButtonStyle
            button.setToolButtonStyle(
                style.ToolButtonTextBesideIcon if with_text else style.ToolButtonIconOnly
            )
            button.setAccessibleName(without_mnemonic(action.text()))

    def _add_rounding(self) -> None:
        """Whether the ruler is kept to, said beside its step; and what rounds all, once."""
        mode, once = self._actions["rounding"], self._actions["round_now"]
        once.setIconText(self.tr("Round all"))
        mode.toggled.connect(self._say_mode)
        self._say_mode(mode.isChecked())
        for action in (mode, once):
            self._add_button(action, with_text=True)

    def _say_mode(self, on: bool) -> None:
        told = self.tr("Keep to ruler: on") if on else self.tr("Keep to ruler: off")
        self._actions["rounding"].setIconText(told)

    def _draw_glyphs(self) -> None:
        palette: QPalette = self.palette()
        size = round(ICON * self.devicePixelRatioF())
        for spec in ACTIONS:
            if spec.glyph:
                action = self._actions[spec.name]
                action.setIcon(glyph(GLYPHS[spec.glyph](), palette, size))
                action.setIconVisibleInMenu(False)

    def _show_display(self) -> None:
        unit = self._display.unit
        with QSignalBlocker(self.steps):
            self.steps.clear()
            for step in ruler_steps(unit):
                self.steps.addItem(format_length(step, unit=unit, step=step), step)
            self.steps.setCurrentIndex(self.steps.findData(self._display.step))
        self.steps.setFixedWidth(self.steps.sizeHint().width())

    def _on_step_chosen(self, index: int) -> None:
        self._display.set_step(self.steps.itemData(index))

    # Qt's own names from here on.

    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.DevicePixelRatioChange:
            self._draw_glyphs()
        return super().event(event)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        # The base class tells of its palette before there are any actions.
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "_actions"):
            self._draw_glyphs()
