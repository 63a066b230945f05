"""New from a size: how it is made, three finished sizes and a unit."""

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtWidgets import QDialogButtonBox, QFormLayout, QVBoxLayout, QWidget

from app.help.topics import Topic, set_topic
from app.session.display import UNITS, Display, shown_size, told_error, translated
from app.widgets.dialog import FittedDialog
from app.widgets.inputs import LengthBox, OptionBox
from app.widgets.labels import Verdict
from app.widgets.layouts import holding, spaced
from core.bag.figures import label_of
from core.base.errors import CornerwrightError
from core.base.sentences import joined
from core.bodies.table import BODIES
from core.parts.table import SLOTS
from core.redesign.new_bag import NewBag, new_bag
from core.storage.bag_files import sample

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
        self._asked = BODIES[0].SOLVING.asked
        self._sizes = self._usual()
        self._touched = False
        self._reckoned = ""
        self.setWindowTitle(self.tr("New from a size"))
        set_topic(self, Topic.FILES, "new")
        self.choices = {
            choice.name: self._options(
                translated(choice.label),
                {word: translated(told) for word, told in choice.options},
                translated(choice.help),
            )
            for choice in BODIES[0].CHOICES
            if choice.asked
        }
        self.top = self._options(
            self.tr("Top"),
            {"demo": self.tr("With a zip"), "tote": self.tr("Open, with a hem")},
            self.tr("A zip closes the bag, or its upper edge is hemmed."),
        )
        self.unit = self._options(
            self.tr("Unit"),
            {unit: translated(title) for unit, title in UNITS.items()},
            self.tr("In which the new bag is measured and shown."),
        )
        self.unit.setCurrentIndex(self.unit.findData(display.unit))
        self.boxes: dict[str, LengthBox] = {}
        self.verdict = Verdict(SAID_LINES, self)
        self._build()
        for box in (*self.choices.values(), self.top):
            box.currentIndexChanged.connect(self.refresh)
        self.unit.currentIndexChanged.connect(self._on_unit)
        self.refresh()

    def refresh(self) -> None:
        """Draw the bag of what stands in the fields, and say what it is like."""
        self.made = None
        model = replace(sample(self.top.currentData()), name=self.tr("New bag"))
        words = {name: box.currentData() for name, box in self.choices.items()}
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
        told = self.tr("{cut}; the bag holds {volume}.").format(
            cut=shown_size(body.cut_size(made.result.draft.walls), display),
            volume=display.volume(made.result.finished.get(body.CAPACITY)),
        )
        if made.left_out:
            names = joined([_WORDS[part] for part in made.left_out]).text(translate=translated)
            left = self.tr("Left out, as there is no room for it: {parts}.").format(parts=names)
            told = f"{told} {left}"
        return told

    def _usual(self) -> dict[str, float]:
        return {name: size.usual(self._display.unit) for name, size in self._asked.items()}

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
                "Type the sizes of the finished bag. Its corners will match; materials and "
                "allowances are those of the sample bags, to be changed afterwards."
            )
        )
        form = QFormLayout()
        for options in self.choices.values():
            form.addRow(f"&{options.accessibleName()}:", options)
        form.addRow(self.tr("&Top:"), self.top)
        form.addRow(self.tr("&Unit:"), self.unit)
        for name, size in self._asked.items():
            label = translated(label_of(name))
            box = self.boxes[name] = LengthBox(label, self._display, self)
            box.setObjectName(name)
            box.setToolTip(translated(size.where))
            box.show_value(self._sizes[name])
            box.value_edited.connect(lambda value, name=name: self._on_value(name, value))
            box.problem_changed.connect(self._on_problem)
            box.reckoned.connect(self._on_reckoned)
            form.addRow(f"{label}:", box)
        body = holding(spaced(QVBoxLayout(), 12), lead, form, self.verdict, None)
        self._buttons = self.ok_and_cancel()
        self.lay_out(body, self._buttons, letters=(64, 20))

    def _on_reckoned(self, told: str) -> None:
        """What a change or a sum came to, which is about to be asked for."""
        self._reckoned = told

    def _on_value(self, name: str, value: float) -> None:
        self._touched = True
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

    def _on_unit(self) -> None:
        self._display.set_unit(self.unit.currentData())
        if not self._touched:
            self._sizes = self._usual()
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
