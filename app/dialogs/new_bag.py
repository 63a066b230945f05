"""New from a size: the construction, how it is made, its finished sizes and a unit."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from PySide6.QtCore import QSignalBlocker
from PySide6.QtWidgets import QDialogButtonBox, QFormLayout, QVBoxLayout, QWidget

from app.dialogs.constructions import ConstructionRow, plain_bag
from app.help.topics import Topic, set_topic
from app.session.display import UNITS, Display, shown_size, told_error, translated
from app.widgets.dialog import FittedDialog
from app.widgets.inputs import LengthBox, OptionBox
from app.widgets.labels import Verdict
from app.widgets.layouts import holding, spaced
from core.bag.choices import with_word
from core.bag.construction import tops_of, tops_on
from core.bag.figures import label_of
from core.base.errors import CornerwrightError
from core.base.sentences import joined
from core.bodies.table import BODIES
from core.model.record import NewSize
from core.parts.table import SLOTS
from core.redesign.new_bag import NewBag, new_bag
from core.storage.plain_model import plain_model

SAID_LINES = 4
"""Lines that are always there for what is told of the bag, with every part left out."""
_WORDS = {kind.SLOT: kind.WORD for kind in SLOTS}
"""What a part is called where it is left out."""


class NewBagDialog(FittedDialog):
    """Draws a bag while its sizes are typed.

    `made` is the bag of what stands in the fields; None where there can be none.
    """

    def __init__(self, display: Display, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        # Another unit here must not turn the bag that is open to it.
        self._display = Display(display.unit, parent=self, steps=display.steps)
        self.made: NewBag | None = None
        self._kind = BODIES[0]
        self._sizes: dict[str, float] = {}
        self._touched: set[str] = set()
        self._reckoned = ""
        self.setWindowTitle(self.tr("New from a size"))
        set_topic(self, Topic.FILES, "new")
        self.constructions = ConstructionRow(self._kind.KIND, self)
        self.constructions.setVisible(len(BODIES) > 1)
        self.unit = self._options(
            self.tr("Unit"),
            {unit: translated(title) for unit, title in UNITS.items()},
            self.tr("In which the new bag is measured and shown."),
        )
        self.unit.setCurrentIndex(self.unit.findData(display.unit))
        self.choices: dict[str, OptionBox] = {}
        self.boxes: dict[str, LengthBox] = {}
        self.verdict = Verdict(SAID_LINES, self)
        self._build()
        self.constructions.chosen.connect(self._on_construction)
        self.unit.currentIndexChanged.connect(self._on_unit)
        self.refresh()

    def refresh(self) -> None:
        """Draw the bag of what stands in the fields, and say what it is like."""
        self.made = None
        model = plain_model(self.top.currentData(), self._display.unit)
        model = replace(model, name=self.tr("New bag"))
        words = {"construction": self._kind.KIND, "top": self.top.currentData()}
        words |= {name: box.currentData() for name, box in self.choices.items()}
        if len(BODIES) == 1:
            del words["construction"]
        try:
            self.made = new_bag(model, self._sizes, words, unit=self._display.unit)
        except CornerwrightError as error:
            self.verdict.complain(told_error(error, self._display))
        else:
            told = (self._reckoned, self._told(self.made))
            self.verdict.say("\n".join(filter(None, told)))
        ok = self._buttons.button(QDialogButtonBox.StandardButton.Ok)
        ok.setEnabled(self.made is not None)

    def _told(self, made: NewBag) -> str:
        body, display = made.result.bag.body, self._display
        cut = shown_size(body.cut_size(made.result.draft.walls), display)
        litres = made.result.finished.get(body.CAPACITY)
        told = f"{cut}."
        if litres is not None:
            told = self.tr("{cut}; the bag holds {volume}.").format(
                cut=cut, volume=display.volume(litres)
            )
        if made.left_out:
            names = joined([_WORDS[part] for part in made.left_out]).text(translate=translated)
            left = self.tr("Left out, as there is no room for it: {parts}.").format(parts=names)
            told = f"{told} {left}"
        return told

    def _asked(self) -> dict[str, NewSize]:
        """The finished sizes that this body is asked for; its rounding last."""
        asked = dict(self._kind.SOLVING.asked)
        rounding = next(
            (it for it in self._kind.FINISHED if it.name == self._kind.BOX.rounding), None
        )
        if rounding is not None:
            asked.setdefault(rounding.name, NewSize(rounding.help, 0.0, 0.0))
        return asked

    def _take_usual(self) -> None:
        """Every size that nobody typed as it usually is in this unit."""
        usual = {name: size.usual(self._display.unit) for name, size in self._asked().items()}
        self._sizes = {
            name: self._sizes[name] if name in self._touched else size
            for name, size in usual.items()
        }

    def _options(self, label: str, options: Mapping[object, str], tip: str) -> OptionBox:
        box = OptionBox(self)
        box.setAccessibleName(label)
        box.setToolTip(tip)
        for data, text in options.items():
            box.addItem(text, data)
        return box

    def _build(self) -> None:
        lead = self.hint(
            self.tr(
                "Type the sizes of the finished bag. Its seams will match. Its wall is of plain "
                "cloth and lining: that and the allowances are to be changed afterwards."
            )
        )
        self._form = QFormLayout()
        self._form.addRow(self.tr("&Unit:"), self.unit)
        self._buttons = self.ok_and_cancel()
        self._add_rows()
        body = holding(
            spaced(QVBoxLayout(), 12), lead, self.constructions, self._form, self.verdict, None
        )
        self.lay_out(body, self._buttons, letters=(64, 20))

    def _add_rows(self) -> None:
        """What this construction is asked for, in the place of what another one was."""
        while self._form.rowCount() > 1:
            self._form.removeRow(1)
        self.choices = {
            choice.name: self._options(
                translated(choice.label),
                {word: translated(told) for word, told in choice.options},
                translated(choice.help),
            )
            for choice in self._kind.CHOICES
            if choice.asked
        }
        usual = plain_bag(self._kind)
        for choice in self._kind.CHOICES:
            if (options := self.choices.get(choice.name)) is not None:
                options.setCurrentIndex(options.findData(choice.read(usual.body)))
                if choice.goes_along:
                    options.currentIndexChanged.connect(self._offer_tops)
        self.top = self._options(
            self.tr("Top"),
            {},
            self.tr("What is done to the opening: how the bag is closed, or its edge finished."),
        )
        self._offer_tops()
        for options in (*self.choices.values(), self.top):
            self._form.addRow(f"&{options.accessibleName()}:", options)
            options.currentIndexChanged.connect(self.refresh)
        self._take_usual()
        self.boxes = {}
        for name, size in self._asked().items():
            label = translated(label_of(name))
            box = self.boxes[name] = LengthBox(label, self._display, self)
            box.setObjectName(name)
            box.setToolTip(translated(size.where))
            box.show_value(self._sizes[name])
            box.value_edited.connect(lambda value, name=name: self._on_value(name, value))
            box.problem_changed.connect(self._on_problem)
            box.reckoned.connect(self._on_reckoned)
            self._form.addRow(f"{label}:", box)
        fields = (self.unit, *self.choices.values(), self.top, *self.boxes.values(), self._buttons)
        for before, after in pairwise(fields):
            QWidget.setTabOrder(before, after)

    def _offer_tops(self) -> None:
        """Those that such a body takes; the one that was chosen stays, or else a plain bag's."""
        usual = made = plain_bag(self._kind)
        for choice in self._kind.CHOICES:
            if choice.goes_along and choice.name in self.choices:
                made = with_word(made, choice, self.choices[choice.name].currentData())
        kinds = tops_of(made.body) if made is usual else tops_on(made.body)
        with QSignalBlocker(self.top):
            chosen = self.top.currentData()
            self.top.clear()
            for kind in kinds:
                self.top.addItem(translated(kind.LABEL), kind.KIND)
            found = self.top.findData(chosen)
            self.top.setCurrentIndex(self.top.findData(made.top.KIND) if found < 0 else found)

    def _on_reckoned(self, told: str) -> None:
        """What a change or a sum came to, which is about to be asked for."""
        self._reckoned = told

    def _on_value(self, name: str, value: float) -> None:
        self._touched.add(name)
        self._sizes[name] = value
        self.boxes[name].show_value(value)
        self.refresh()
        self._reckoned = ""

    def _on_problem(self, problem: str) -> None:
        """A text that is no length: there is no bag of it."""
        if not problem:
            self.refresh()
            return
        self.made = None
        self.verdict.complain(problem)
        self._buttons.button(QDialogButtonBox.StandardButton.Ok).setEnabled(False)

    def _on_construction(self, word: str) -> None:
        before, self._kind = self._kind, next(kind for kind in BODIES if word == kind.KIND)
        for was, now in zip(before.BOX.sizes.values(), self._kind.BOX.sizes.values(), strict=True):
            if was in self._touched and now:  # what was typed is the same size of the other box
                self._touched.add(now)
                self._sizes[now] = self._sizes[was]
        self._add_rows()
        self.refresh()

    def _on_unit(self) -> None:
        self._display.set_unit(self.unit.currentData())
        if not self._touched:
            self._take_usual()
            for name, box in self.boxes.items():
                box.show_value(self._sizes[name])
        self.refresh()

    # Qt's own names from here on.

    def accept(self) -> None:
        for box in self.boxes.values():
            box.finish_text()
        troubled = next((box for box in self.boxes.values() if box.problem), None)
        if troubled is not None:
            troubled.setFocus()
        elif self.made is not None:
            super().accept()
