"""The fold preview: the flat pieces folding into the bag, with a slider from flat to sewn."""

from PySide6.QtCore import QCoreApplication, QEasingCurve, Qt, QVariantAnimation
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QSlider,
    QStyle,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.display import Display
from app.document import Change, Document, Pointing
from app.panes.fold_notes import Words
from app.panes.fold_view import FoldView
from core.bag import FINISHED_FIGURES, PART_LABELS
from core.flat.seam import EdgeRef
from core.solid.figures import Gap
from core.solid.fold import FLAT, FOLDED, SEWN, FoldModel

STEPS = 200
"""Steps of the slider from flat to sewn."""
PLAY_TIME = 2600
"""Milliseconds from flat to sewn."""

_LABELS = {figure.name: figure.label for figure in FINISHED_FIGURES}


class FoldPane(QWidget):
    """Shows the document's bag folding.

    Args:
        document: whose bag is shown; edges pointed at are shared through it.
        display: the reader's unit.
    """

    def __init__(
        self, document: Document, display: Display, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._display = document, display
        self._texts: dict[float, str] = {}
        result = document.result
        words = Words(self._figure_label, self._figure_text, self._gap_text, self._edge_text)
        self.view = FoldView(FoldModel(result.bag, result.draft), words, self)
        self.slider = QSlider(Qt.Orientation.Horizontal, self)
        self.play_button = QToolButton(self)
        self._trouble = QLabel(self)
        self._motion = QVariantAnimation(self)
        self.stops: tuple[QToolButton, ...] = ()
        self._build()
        document.changed.connect(self._on_document_change)
        document.pointed.connect(self._on_pointing_change)
        display.changed.connect(self._on_display_change)
        self.view.pointed.connect(document.point_at)
        self._say_trouble()

    def animate(self) -> None:
        """Fold the bag from flat to sewn; a second call stops where it is."""
        if self._motion.state() is QVariantAnimation.State.Running:
            self._motion.stop()
            return
        start = self.slider.value() if self.slider.value() < STEPS else 0
        self._motion.setStartValue(start / STEPS)
        self._motion.setEndValue(SEWN)
        self._motion.setDuration(max(round(PLAY_TIME * (1.0 - start / STEPS)), 1))
        self._motion.start()

    def show_moment(self, at: float) -> None:
        """Put the slider at 0 (flat), 1/2 (folded), 1 (sewn) or between."""
        self._motion.stop()
        self.slider.setValue(round(at * STEPS))

    def fit(self) -> None:
        """Show the whole bag."""
        self.view.fit()

    # Building.

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
        self._trouble.setWordWrap(True)
        self._trouble.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._build_slider()
        self._build_play()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.view, 1)
        layout.addWidget(self._trouble)
        row = QHBoxLayout()
        row.setContentsMargins(8, 0, 8, 4)
        row.addWidget(self.play_button, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(self._slider_and_stops(), 1)
        layout.addLayout(row)
        QWidget.setTabOrder(self.view, self.play_button)
        QWidget.setTabOrder(self.play_button, self.slider)

    def _build_slider(self) -> None:
        self.slider.setRange(0, STEPS)
        self.slider.setValue(STEPS)
        self.slider.setSingleStep(STEPS // 40)
        self.slider.setPageStep(STEPS // 8)
        self.slider.setTickPosition(QSlider.TickPosition.TicksBelow)
        self.slider.setTickInterval(STEPS // 2)
        self.slider.setAccessibleName(self.tr("From flat to sewn"))
        self.slider.setToolTip(self.tr("Fold and sew the bag: flat, folded, sewn."))
        self.slider.valueChanged.connect(self._on_slider_change)
        self.slider.sliderReleased.connect(self._on_slider_release)

    def _build_play(self) -> None:
        self.play_button.clicked.connect(self.animate)
        self._motion.setEasingCurve(QEasingCurve.Type.InOutSine)
        self._motion.valueChanged.connect(self._on_motion_step)
        self._motion.stateChanged.connect(self._on_motion_state_change)
        self._name_play(running=False)

    def _slider_and_stops(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setVerticalSpacing(0)
        grid.addWidget(self.slider, 0, 0, 1, 3)
        stops: list[QToolButton] = []
        for column, (text, at, side) in enumerate(
            (
                (self.tr("Flat"), FLAT, Qt.AlignmentFlag.AlignLeft),
                (self.tr("Folded"), FOLDED, Qt.AlignmentFlag.AlignHCenter),
                (self.tr("Sewn"), SEWN, Qt.AlignmentFlag.AlignRight),
            )
        ):
            button = QToolButton(self)
            button.setText(text)
            button.setAutoRaise(True)
            button.setToolTip(self.tr("Show the bag {state}.").format(state=text.lower()))
            button.clicked.connect(lambda _checked=False, at=at: self.show_moment(at))
            grid.addWidget(button, 1, column, side)
            grid.setColumnStretch(column, 1)
            stops.append(button)
        self.stops = tuple(stops)
        return grid

    # Following.

    def _on_document_change(self, change: Change) -> None:
        result = change.result
        opened = change.parts == frozenset(PART_LABELS)
        self.view.show_model(FoldModel(result.bag, result.draft), refit=opened)
        self._say_trouble()

    def _on_pointing_change(self, pointing: Pointing) -> None:
        self.view.light(pointing.edge, pointing.mates)

    def _on_slider_change(self, value: int) -> None:
        running = self._motion.state() is QVariantAnimation.State.Running
        self.view.show_moment(value / STEPS, moving=running or self.slider.isSliderDown())

    def _on_slider_release(self) -> None:
        self.view.show_moment(self.slider.value() / STEPS)

    def _on_motion_step(self, at: float) -> None:
        self.slider.setValue(round(at * STEPS))

    def _on_motion_state_change(self, state: QVariantAnimation.State) -> None:
        running = state is QVariantAnimation.State.Running
        self._name_play(running=running)
        if not running:
            self.view.show_moment(self.slider.value() / STEPS)

    def _name_play(self, *, running: bool) -> None:
        icon = QStyle.StandardPixmap.SP_MediaStop if running else QStyle.StandardPixmap.SP_MediaPlay
        self.play_button.setIcon(self.style().standardIcon(icon))
        name = self.tr("Stop folding") if running else self.tr("Fold it")
        self.play_button.setText(name)
        self.play_button.setAccessibleName(name)
        self.play_button.setToolTip(
            self.tr("Stop here.") if running else self.tr("Watch the bag being folded and sewn.")
        )

    def _say_trouble(self) -> None:
        model = self.view.model
        foldable = model.trouble is None
        for widget in (self.slider, self.play_button, *self.stops):
            widget.setEnabled(foldable)
        if not foldable:
            self._motion.stop()
        said = model.trouble or model.remark
        self._trouble.setVisible(said is not None)
        self._trouble.setText(
            "" if said is None else said.text(self._display.length, _translated)
        )

    def _on_display_change(self) -> None:
        self._texts.clear()
        self._say_trouble()
        self.view.update()

    # Words.

    def _figure_label(self, name: str) -> str:
        return _translated(_LABELS[name])

    def _figure_text(self, name: str) -> str:
        value = self._document.result.finished[name]
        return "" if value is None else self._length(value)

    def _length(self, mm: float) -> str:
        """A length as it is read; kept, as the same few are written at every turn."""
        text = self._texts.get(mm)
        if text is None:
            if len(self._texts) > 200:
                self._texts.clear()
            text = self._texts[mm] = self._display.length(mm)
        return text

    def _gap_text(self, gap: Gap) -> str:
        mismatch = abs(self._document.result.finished[gap.figure] or 0.0)
        text = self.tr("{length} too long: pucker") if gap.pucker else self.tr("{length} gap")
        return text.format(length=self._length(mismatch))

    def _edge_text(self, edge: EdgeRef) -> str:
        length = self._document.result.draft.outlines[edge.piece].length(edge.edge)
        text = self.tr("{edge}, {length}")
        return text.format(edge=_translated(edge.edge), length=self._length(length))


def _translated(text: str) -> str:
    return QCoreApplication.translate("core", text)
