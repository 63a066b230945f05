"""The fold preview: the flat pieces folding into the bag, with a slider from flat to filled."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QSlider,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.session.display import translated
from app.session.document import Change, Pointing
from app.session.session import Session
from app.views.fold.notes import NoteText
from app.views.fold.view import FoldView
from app.widgets.glyphs import PlayButton
from app.widgets.inputs import StageSlider
from app.widgets.labels import PlainLabel
from app.widgets.layouts import spaced
from app.widgets.menus import FigureLines, MenuLine
from app.widgets.theme import Cache
from core.bag.bag import Bag
from core.bag.compute import Result
from core.bag.tables import FINISHED_FIGURES
from core.base.sentences import Sentence
from core.flat.roles import EdgeRef
from core.model.figures import NO_TAKE_UP
from core.solid.fold import FILLED, FLAT, FOLDED, SEWN, FoldModel
from core.space.zones import Gap

if TYPE_CHECKING:  # motion and the filled shape come after the window has opened
    from PySide6.QtCore import QVariantAnimation

    from core.solid.filled_bag import FilledBag

STEPS = 200
"""Steps of the slider from flat to sewn; half as many more lead to filled."""
LAST = round(FILLED * STEPS)
GREY_AFTER = 150
"""Milliseconds after which an older shape is greyed, beside the words that say so at once:
most are replaced before, and would only flicker."""
PLAY_TIME = 2600
"""Milliseconds from flat to sewn."""

_LABELS = {figure.name: figure.label for figure in FINISHED_FIGURES}


class FoldPane(QWidget):
    """Shows the document's bag folding.

    Edges pointed at are shared through the document.
    """

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._session = session
        document, display = session.document, session.display
        self._document, self._display = document, display
        # The same few lengths are written at every turn.
        self._texts = Cache(200, display.length)
        self._filled_bag: FilledBag | None = None
        self._current = False
        self._starting: Result | None = None
        self._first: FilledBag | None = None
        self._outlined: tuple[Bag, FoldModel] | None = None
        self._shown = result = document.result
        words = NoteText(self._figure_label, self._figure_text, self._gap_text, self._edge_text)
        self.view = FoldView(_model_of(result, SEWN), words, self)
        self.slider = StageSlider(self)
        self.play_button = PlayButton(self)
        self._trouble = PlainLabel(parent=self.view)
        self._motion: QVariantAnimation | None = None
        self._grey = QTimer(self, singleShot=True, interval=GREY_AFTER)
        self._grey.timeout.connect(self._on_grey)
        self._greyed = False
        self.stops: tuple[QToolButton, ...] = ()
        self._build()
        document.changed.connect(self._on_document_change)
        document.pointed.connect(self._on_pointing_change)
        document.highlight_changed.connect(self.view.light_step)
        display.changed.connect(self._on_display_change)
        self.view.pointed.connect(document.point_at)
        self._say_trouble()

    def animate(self) -> None:
        """Fold the bag from flat on, and fill it if it can be; a second call stops there."""
        if self._is_moving:
            self._stop()
            return
        motion = self._motion = self._motion or self._new_motion()
        end = LAST if self.fillable else STEPS
        start = self.slider.value() if self.slider.value() < end else 0
        motion.setStartValue(start / STEPS)
        motion.setEndValue(end / STEPS)
        motion.setDuration(max(round(PLAY_TIME * (end - start) / STEPS), 1))
        motion.start()

    def menu_at(self, at: QPoint | None) -> list[MenuLine]:
        if at is None:
            figure, edge = "", self._document.pointing.edge
        else:
            spot = QPointF(self.view.mapFromGlobal(at))
            figure, edge = self.view.figure_at(spot), self.view.edge_at(spot)
        lines: list[MenuLine] = [FigureLines(figure)] if figure else []
        return [*lines, *([] if edge is None else [edge]), None, "fit"]

    def show_moment(self, at: float) -> None:
        """Put the slider at 0 (flat), 1/2 (folded), 1 (sewn), 1 1/2 (filled) or between."""
        self._stop()
        self.slider.setValue(round(at * STEPS))

    @property
    def fillable(self) -> bool:
        """Whether there is a filled shape to show, be it that of older numbers."""
        return self._filled_bag is not None and self._filled_bag.surface is not None

    def show_filled(self, filled_bag: "FilledBag | None", *, current: bool) -> None:
        """Show what a bag holds; it is greyed and said to be older unless it is `current`."""
        if filled_bag is not self._filled_bag:
            self._filled_bag = filled_bag
            self._remember_starting()
        self._current = current
        self._say_filled()

    def set_starting(self, starting: Result | None) -> None:
        """Outline the bag that the work started from, in the same state; None for none."""
        self._starting = starting
        self._remember_starting()
        self._show_starting()

    def fit(self) -> None:
        self.view.fit()

    def _build(self) -> None:
        self.setAccessibleName(self.tr("Fold preview"))
        self.view.setAccessibleName(self.tr("Folded bag"))
        self.view.setAccessibleDescription(
            self.tr(
                "The bag folding from its flat pieces. Arrow keys turn it, plus and minus "
                "zoom, Home shows it whole."
            )
        )
        self.view.setToolTip(
            self.tr("Drag to turn, wheel to zoom, middle button or Space and drag to shift.")
        )
        self._build_trouble()
        self._build_slider()
        self._build_play()
        layout = spaced(QVBoxLayout(self), 4)
        layout.addWidget(self.view, 1)
        row = spaced(QHBoxLayout(), around=(8, 0, 8, 4))
        row.addWidget(self.play_button, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(self._slider_and_stops(), 1)
        layout.addLayout(row)
        QWidget.setTabOrder(self.view, self.play_button)
        QWidget.setTabOrder(self.play_button, self.slider)

    def _build_trouble(self) -> None:
        """Upon the picture, in the margin over the bag: one that comes beside it would move it."""
        self._trouble.hide()
        self._trouble.setWordWrap(True)
        self._trouble.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._trouble.setBackgroundRole(QPalette.ColorRole.Base)
        self._trouble.setAutoFillBackground(True)
        self._trouble.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        over = spaced(QVBoxLayout(self.view), 0)
        over.addWidget(self._trouble)
        over.addStretch(1)

    def _build_slider(self) -> None:
        self.slider.setRange(0, LAST)
        self.slider.setValue(STEPS)
        self.slider.setSingleStep(STEPS // 40)
        self.slider.setPageStep(STEPS // 8)
        self.slider.setTickPosition(QSlider.TickPosition.TicksBelow)
        self.slider.setTickInterval(STEPS // 2)
        self.slider.setAccessibleName(self.tr("From flat to filled"))
        self.slider.setToolTip(self.tr("Fold, sew and fill the bag."))
        self.slider.valueChanged.connect(self._on_slider_change)
        self.slider.sliderReleased.connect(self._on_slider_release)

    def _build_play(self) -> None:
        self.play_button.clicked.connect(self.animate)
        self._name_play(running=False)

    def _new_motion(self) -> "QVariantAnimation":
        from PySide6.QtCore import QEasingCurve, QVariantAnimation

        motion = QVariantAnimation(self)
        motion.setEasingCurve(QEasingCurve.Type.InOutSine)
        motion.valueChanged.connect(self._on_motion_step)
        motion.stateChanged.connect(self._on_motion_state_change)
        return motion

    @property
    def _is_moving(self) -> bool:
        motion = self._motion
        return motion is not None and motion.state() is motion.State.Running

    def _stop(self) -> None:
        if self._motion is not None:
            self._motion.stop()

    def _slider_and_stops(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setVerticalSpacing(0)
        # Six equal columns: the inner stops stand in the middle of two of them.
        grid.addWidget(self.slider, 0, 0, 1, 6)
        stops: list[QToolButton] = []
        names: list[tuple[int, str]] = []
        for text, at, side, column, wide in (
            (self.tr("Flat"), FLAT, Qt.AlignmentFlag.AlignLeft, 0, 1),
            (self.tr("Folded"), FOLDED, Qt.AlignmentFlag.AlignHCenter, 1, 2),
            (self.tr("Sewn"), SEWN, Qt.AlignmentFlag.AlignHCenter, 3, 2),
            (self.tr("Filled"), FILLED, Qt.AlignmentFlag.AlignRight, 5, 1),
        ):
            button = QToolButton(self)
            button.setText(text)
            names.append((round(at * STEPS), text.lower()))
            button.setAutoRaise(True)
            button.setToolTip(self.tr("Show the bag {state}.").format(state=text.lower()))
            button.clicked.connect(lambda _checked=False, at=at: self.show_moment(at))
            grid.addWidget(button, 1, column, 1, wide, side)
            stops.append(button)
        for column in range(6):
            grid.setColumnStretch(column, 1)
        self.slider.name_stages(names)
        self.stops = tuple(stops)
        return grid

    def _on_document_change(self, change: Change) -> None:
        before, result = self._shown, change.result
        self._shown = result
        if change.opened or not self.view.model.folds(result.bag, result.draft):
            self.view.show_model(_model_of(result, self.view.at), refit=change.opened)
        elif self._document.pointing.edge is not None or _told(before) != _told(result):
            self.view.update()
        self._current = self._filled_bag is not None and self._filled_bag.capacity.bag == result.bag
        self._show_starting()
        self._say_trouble()

    def _on_pointing_change(self, pointing: Pointing) -> None:
        self.view.light(pointing.edge, pointing.mates)

    def _on_slider_change(self, value: int) -> None:
        if value > STEPS and not self.fillable:
            self.slider.setValue(STEPS)
            return
        if value / STEPS < FOLDED and not self.view.model.allowances:
            self.view.show_model(_model_of(self._document.result, FLAT), refit=False)
        moving = self._is_moving or self.slider.isSliderDown()
        self.view.show_moment(value / STEPS, moving=moving)
        if self.view.model.folding.remark is not None:
            self._say_trouble()

    def _on_slider_release(self) -> None:
        # A hand that lets go beside a stop means the stop.
        value = self.slider.value()
        near = min(range(0, LAST + 1, STEPS // 2), key=lambda stop: abs(stop - value))
        if abs(near - value) <= STEPS // 40:
            self.slider.setValue(near)
        self.view.show_moment(self.slider.value() / STEPS)

    def _on_motion_step(self, at: float) -> None:
        self.slider.setValue(round(at * STEPS))

    def _on_motion_state_change(self) -> None:
        running = self._is_moving
        self._name_play(running=running)
        if not running:
            self.view.show_moment(self.slider.value() / STEPS)

    def _name_play(self, *, running: bool) -> None:
        self.play_button.show_running(running=running)
        name = self.tr("Stop folding") if running else self.tr("Play folding")
        self.play_button.setText(name)
        self.play_button.setAccessibleName(name)
        self.play_button.setToolTip(
            self.tr("Stop the folding here.")
            if running
            else self.tr("Watch the bag being folded, sewn and filled.")
        )

    def _say_trouble(self) -> None:
        model = self.view.model
        foldable = model.folding.flat_only is None
        if self.slider.isEnabled() is not foldable:
            for widget in (self.slider, self.play_button, *self.stops[:-1]):
                widget.setEnabled(foldable)
        if not foldable:
            self._stop()
        # What is remarkable about the bag comes with it, and is gone where it is filled.
        is_bag = FOLDED * STEPS < self.slider.value() <= STEPS
        remark = model.folding.remark if is_bag else None
        said = model.folding.flat_only or remark or self._unfilled()
        text = "" if said is None else said.text(self._display.length, translated)
        if text != self._trouble.text():
            self._trouble.setVisible(said is not None)
            self._trouble.setText(text)
        self._say_filled()

    def _unfilled(self) -> Sentence | None:
        """Why the bag cannot be filled; None when it can, or while that is not known.

        An open top stays one whatever numbers change: its reason would blink at every key.
        """
        if self._filled_bag is None:
            return None
        found, top = self._filled_bag.capacity, self._document.bag.top
        stays = not (found.bag.top.CLOSES or top.CLOSES)
        return found.not_filled if self._current or stays else None

    def _say_filled(self) -> None:
        """The last stop, the words at the filled bag, and the reason where there is none."""
        foldable = self.view.model.folding.flat_only is None
        surface = self._filled_bag.surface if self._filled_bag and foldable else None
        shown, reason = surface is not None, self._unfilled()
        self.stops[-1].setEnabled(shown)
        self.stops[-1].setToolTip(self._filled_tip(reason))
        if not shown and self.slider.value() > STEPS:
            self.show_moment(SEWN)
        if self._current:
            self._grey.stop()
            self._greyed = False
        elif not self._greyed and not self._grey.isActive():
            self._grey.start()
        self.view.show_surface(surface, old=self._greyed, caption=self._filled_caption())
        if reason is not None and not self._trouble.text():
            self._trouble.setText(reason.text(self._display.length, translated))
            self._trouble.show()

    def _on_grey(self) -> None:
        self._greyed = True
        self._say_filled()

    def _filled_tip(self, reason: Sentence | None) -> str:
        if reason is not None:
            return reason.text(self._display.length, translated)
        if not self.fillable:
            return self.tr("The filled shape is being worked out.")
        return self.tr(
            "Show the bag stuffed as full as it goes, taking its cloth as thin and without stretch "
            "or weight. Groceries fill less."
        )

    def _filled_caption(self) -> tuple[str, ...]:
        if self._filled_bag is None or self._filled_bag.capacity.filled is None:
            return ()
        volume = self._display.volume(self._filled_bag.capacity.filled)
        if self._current:
            return (self.tr("Stuffed hard: {volume}").format(volume=volume),)
        return (
            self.tr("Before: {volume}").format(volume=volume),
            self.tr("This shape is from before the last change. The new one is being worked out…"),
        )

    def _remember_starting(self) -> None:
        """Keep the filled starting bag: it is the first that is worked out."""
        starting, filled_bag = self._starting, self._filled_bag
        if starting is None or filled_bag is None or filled_bag.surface is None:
            return
        if filled_bag.capacity.bag == starting.bag:
            self._first = filled_bag
            self._show_starting()

    def _show_starting(self) -> None:
        starting = self._starting
        if starting is None or starting.bag == self._document.bag:
            self.view.show_starting(None)
            return
        first = self._first
        known = first is not None and first.capacity.bag == starting.bag
        surface = first.surface if first is not None and known else None
        if self._outlined is None or self._outlined[0] is not starting.bag:
            self._outlined = (starting.bag, _model_of(starting, SEWN))
        self.view.show_starting(self._outlined[1], surface)

    def _on_display_change(self) -> None:
        self._texts.clear()
        self._say_trouble()
        self.view.update()

    def _figure_label(self, name: str) -> str:
        return translated(_LABELS[name])

    def _figure_text(self, name: str) -> str:
        result = self._document.result
        value = result.finished[name]
        if value is None:
            return ""
        if result.bag.take_up == NO_TAKE_UP:
            return self._length(value)
        drawn = result.drawn[name] or 0.0
        text = self.tr("{sewn} sewn\n{drawn} drawn")
        return text.format(sewn=self._length(value), drawn=self._length(drawn))

    def _length(self, mm: float) -> str:
        """A length as it is read."""
        return self._texts[mm]

    def _gap_text(self, gap: Gap) -> str:
        mismatch = abs(self._document.result.finished[gap.figure] or 0.0)
        text = self.tr("{length} too long: pucker") if gap.pucker else self.tr("{length} gap")
        return text.format(length=self._length(mismatch))

    def _edge_text(self, edge: EdgeRef) -> str:
        draft = self._document.result.draft
        length = draft.outlines[edge.piece].length(edge.edge)
        text = self.tr("{edge}, {length}")
        return text.format(
            edge=draft.edge(edge).title.text(translate=translated), length=self._length(length)
        )


def _model_of(result: Result, at: float) -> FoldModel:
    """Ready to be shown from this moment on: seam allowances only where they can be seen."""
    model = FoldModel(result.bag, result.draft, allowances=at < FOLDED)
    if model.folding.flat_only is not None and not model.allowances:
        return FoldModel(result.bag, result.draft)
    return model


def _told(result: Result) -> tuple[object, ...]:
    """What is read of a bag where its sizes are written."""
    return result.finished, result.drawn, result.bag.take_up
