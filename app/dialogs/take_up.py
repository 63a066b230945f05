"""Take-up: what a sewn sample measures, and allowing for it in the pattern."""

from dataclasses import replace

from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QVBoxLayout, QWidget

from app.dialogs.measured_bag import MeasuredRows, residual_text
from app.help.topics import Topic, set_topic
from app.session.display import Display, construction_name, told_error, translated
from app.widgets.dialog import FittedDialog
from app.widgets.labels import Verdict
from app.widgets.layouts import button, holding, spaced
from core.bag.figures import label_of
from core.bag.sewn_sample import SAMPLED, sample_of
from core.base.errors import CornerwrightError
from core.model.figures import Direction
from core.redesign.measured import allow_for, take_back
from core.storage.project import Project

DRAWN, TAPE, PREDICTED, LEFT = 1, 2, 3, 4
"""Columns."""


class TakeUpDialog(FittedDialog):
    """Edits the project's sample; `project` is the changed one after it was accepted."""

    def __init__(self, project: Project, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.project = project
        self._display = display
        self._sample = project.sample or sample_of(project.bag, {})
        self.setWindowTitle(self.tr("Take-up"))
        set_topic(self, Topic.TAKE_UP)
        heads = (
            self.tr("Size"),
            self.tr("As drawn"),
            self.tr("Sample"),
            self.tr("Predicted"),
            self.tr("Difference"),
        )
        self.rows = MeasuredRows(display, heads, TAPE, self)
        hints = {
            Direction.ACROSS: self.tr("gives the take-up across"),
            Direction.DEEP: self.tr("gives the take-up front to back"),
            Direction.UP: self.tr("gives the take-up in the height"),
        }
        known = {*self._sample.drawn, *sample_of(project.bag, {}).drawn}
        for name, direction in SAMPLED.items():
            if name in known:
                self.rows.add(name, translated(label_of(name)), hints[direction])
        self.rows.edited.connect(self._on_edited)
        self._build()
        self._fill()

    def _build(self) -> None:
        lead = self.hint(
            self.tr(
                "A thick wall turns round its edges, and the sewn bag comes out smaller than it "
                "is drawn. Sew a sample from this pattern and enter what it measures. It counts "
                "for this construction: {construction}."
            ).format(construction=construction_name(self.project.bag.body.KIND))
        )
        self.verdict = Verdict(3, self)
        self.allow = QCheckBox(self.tr("&Allow for take-up in the pattern"), self)
        self.allow.setToolTip(
            self.tr(
                "Draws the pattern larger, so that the sewn bag has the finished sizes that you "
                "type. Drawn and sewn sizes are then both shown."
            )
        )
        limits = self.hint(
            self.tr(
                "The shares hold for these layers, this stitch and sizes near the sample’s; what "
                "is lost at the edges does not grow with the bag. Differences below about "
                "1/8 in or 3 mm are smaller than a tape on a soft bag can show."
            )
        )
        self.fresh = button(self.tr("&New sample"), self, then=self._on_fresh)
        self.fresh.setToolTip(
            self.tr(
                "Clear these measurements, to enter those of a new sample sewn from the present "
                "pattern."
            )
        )
        low = holding(QHBoxLayout(), self.fresh, None, self.ok_and_cancel())
        told = (lead, self.rows, self.verdict, self.allow, limits)
        body = holding(spaced(QVBoxLayout(), 12), *told, None)
        self.lay_out(body, low, letters=(112, 0))

    def _fill(self) -> None:
        for name in self.rows.boxes:
            self.rows.show_measured(name, self._sample.measured.get(name))
            self.rows.boxes[name].setEnabled(name in self._sample.drawn)
        self.allow.setChecked(self._sample.allowed_for)
        self._show_rows()

    def _show_rows(self) -> None:
        sample = self._sample
        for name in self.rows.boxes:
            direction = SAMPLED[name]
            drawn = sample.drawn.get(name)
            predicted = None if drawn is None else drawn * sample.factor(direction)
            measured = sample.measured.get(name)
            self.rows.show_text(name, DRAWN, self._length(drawn))
            known = any(SAMPLED[each] is direction for each in sample.measured)
            self.rows.show_text(name, PREDICTED, self._length(predicted) if known else "")
            left = ""
            if measured is not None and predicted is not None:
                left = residual_text(measured - predicted, self._display)
            self.rows.show_text(name, LEFT, left)
        self.verdict.say(self._verdict())
        self.allow.setEnabled(bool(sample.measured))

    def _verdict(self) -> str:
        if not self._sample.measured:
            nothing = self.tr(
                "Nothing is entered yet: the sewn bag is assumed to have its drawn sizes."
            )
            own = self.project.bag.body.KIND
            others = [construction_name(kind) for kind in self.project.samples if kind != own]
            if not others:
                return nothing
            beside = self.tr("What was measured counts for another construction: {constructions}.")
            return f"{nothing} {beside.format(constructions=', '.join(others))}"
        words = {
            Direction.ACROSS: self.tr("{share} across"),
            Direction.DEEP: self.tr("{share} front to back"),
            Direction.UP: self.tr("{share} in the height"),
        }
        shares = ", ".join(
            word.format(share=f"{100 * self._sample.factor(way):.1f} %")
            for way, word in words.items()
        )
        return self.tr("The sewn bag measures this share of its drawing: {shares}.").format(
            shares=shares
        )

    def _length(self, value: float | None) -> str:
        return "" if value is None else self._display.length(value)

    def _complain(self, error: CornerwrightError) -> None:
        self.verdict.complain(told_error(error, self._display))

    def _on_edited(self) -> None:
        try:
            self._sample = replace(self._sample, measured=dict(self.rows.measured))
        except CornerwrightError as error:
            self._complain(error)
            return
        self._show_rows()

    def _on_fresh(self) -> None:
        self._sample = sample_of(self.project.bag, {})
        self._fill()

    def _changed(self) -> Project:
        """The project with the sample as it is entered, and the pattern that follows.

        A CornerwrightError tells of a measurement that cannot be, or no pattern allows for it.
        """
        old = self.project.sample
        wanted = bool(self.rows.measured) and self.allow.isChecked()
        sample = replace(self._sample, measured=dict(self.rows.measured), allowed_for=wanted)
        kept = sample if sample.measured else None
        if kept == old:
            return self.project
        bag = self.project.bag
        if wanted:
            bag = allow_for(bag, sample).bag
        elif old is not None and old.allowed_for:
            bag = take_back(bag).bag
        return replace(self.project.with_sample(bag.body.KIND, kept), bag=bag)

    # Qt's own names from here on.

    def accept(self) -> None:
        if not self.rows.finish():
            return
        try:
            self.project = self._changed()
        except CornerwrightError as error:
            self._complain(error)
            return
        super().accept()
