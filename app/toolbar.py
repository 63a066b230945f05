"""The toolbar: files, steps, unit and ruler step."""

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QSignalBlocker, QSize, Qt
from PySide6.QtGui import QAction, QPalette
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolBar, QToolButton, QWidget

from app.actions import ACTIONS
from app.display import Display
from app.glyphs import glyph
from app.option_box import OptionBox
from core.units import format_length, ruler_steps

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
            self.addAction(self._actions[spec.name])
            button = self.widgetForAction(self._actions[spec.name])
            if isinstance(button, QToolButton):
                style = Qt.ToolButtonStyle
                button.setToolButtonStyle(
                    style.ToolButtonTextBesideIcon
                    if spec.name in WITH_TEXT
                    else style.ToolButtonIconOnly
                )
                button.setAccessibleName(self._actions[spec.name].text().replace("&", ""))

    def _add_rounding(self) -> None:
        """Whether the ruler is kept to, said beside its step; and what rounds all, once."""
        mode, once = self._actions["rounding"], self._actions["round_now"]
        once.setIconText(self.tr("Round all"))
        mode.toggled.connect(self._say_mode)
        self._say_mode(mode.isChecked())
        for action in (mode, once):
            self.addAction(action)
            button = self.widgetForAction(action)
            if isinstance(button, QToolButton):
                button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
                button.setAccessibleName(action.text().replace("&", ""))

    def _say_mode(self, on: bool) -> None:
        told = self.tr("Keep to ruler: on") if on else self.tr("Keep to ruler: off")
        self._actions["rounding"].setIconText(told)

    def _draw_glyphs(self) -> None:
        palette: QPalette = self.palette()
        for spec in ACTIONS:
            if spec.glyph:
                action = self._actions[spec.name]
                action.setIcon(glyph(spec.glyph, palette))
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

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        # The base class tells of its palette before there are any actions.
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "_actions"):
            self._draw_glyphs()
