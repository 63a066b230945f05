"""The starting bag and the variants: asks for names and keeps bags under them, undoably."""

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from app.display import Display
from app.document import Document
from app.questions import Questions
from app.words import plain_name, told_error
from core.errors import FieldError
from core.project import Kept, Project


class Keeping(QObject):
    """What is kept beside the document's bag; each change is one undo step.

    Signals:
        changed: starting bag or variants may be other ones.
    """

    changed = Signal()

    def __init__(
        self,
        document: Document,
        display: Display,
        questions: Questions,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._display = display
        self._questions = questions
        document.kept_changed.connect(self.changed)

    @property
    def starting(self) -> Kept | None:
        """The bag that was named as the one that changes are told against."""
        return self._document.project.starting

    @property
    def variants(self) -> tuple[Kept, ...]:
        """The bags that are kept, in the order in which they came."""
        return self._document.project.variants

    def name_starting(self) -> bool:
        """Ask for a name and tell changes against the bag as it is now."""
        project = self._document.project
        present = project.starting.name if project.starting else self.tr("Starting bag")
        name = self._ask(
            self.tr("Starting bag"), self.tr("Changes are compared with it. Name:"), present
        )
        if not name:
            return False
        try:
            named = project.with_starting(name)
        except FieldError as error:
            return self._refuse(error)
        step = self.tr("Name the starting bag “{name}”").format(name=name)
        return self._document.replace_project(named, step)

    def keep_variant(self) -> bool:
        """Ask for a name and keep the bag as it is now; a variant of that name is asked about."""
        project = self._document.project
        name = self._ask(self.tr("Keep as variant"), self.tr("Name:"), self._fresh_name())
        if not name:
            return False
        try:
            kept = project.with_variant(name, project.bag)
        except FieldError as error:
            return self._refuse(error)
        step = self.tr("Keep variant “{name}”")
        if kept != project and len(kept.variants) == len(project.variants):
            if not self._questions.replace_kept(name):
                return False
            step = self.tr("Replace variant “{name}”")
        return self._document.replace_project(kept, step.format(name=name))

    def open_variant(self, name: str) -> bool:
        """Make a variant the bag on the table."""
        step = self.tr("Open variant “{name}”").format(name=name)
        return self._put(Kept(name=name, bag=self._document.project.variant(name)), step)

    def open_starting(self) -> bool:
        """Make the starting bag the bag on the table again."""
        starting = self._document.project.starting
        return starting is not None and self._put(starting, self.tr("Go back to the starting bag"))

    def rename_variant(self, name: str) -> bool:
        """Ask for another name of a variant."""
        other = self._ask(self.tr("Rename the variant"), self.tr("Name:"), name)
        if not other or other == name:
            return False
        try:
            project = self._document.project.with_variant_renamed(name, other)
        except FieldError as error:
            return self._refuse(error)
        step = self.tr("Rename variant “{name}”").format(name=name)
        return self._document.replace_project(project, step)

    def delete_variant(self, name: str) -> bool:
        """Keep a variant no longer."""
        project: Project = self._document.project.without_variant(name)
        step = self.tr("Delete variant “{name}”").format(name=name)
        return self._document.replace_project(project, step)

    def lies_open(self, kept: Kept) -> bool:
        """Whether the bag on the table is this one, whatever it is called."""
        bag = self._document.bag
        return replace(kept.bag, name=bag.name) == bag

    def _put(self, kept: Kept, step: str) -> bool:
        # The bag keeps its own name: a variant is the same bag, drawn otherwise.
        bag = replace(kept.bag, name=self._document.bag.name)
        return self._document.replace_bag(bag, step)

    def _ask(self, title: str, prompt: str, present: str) -> str:
        return plain_name(self._questions.kept_name(title, prompt, present) or "")

    def _refuse(self, error: FieldError) -> bool:
        self._questions.tell(told_error(error, self._display))
        return False

    def _fresh_name(self) -> str:
        taken = {each.name for each in self.variants}
        numbers = range(1, len(taken) + 2)
        names = (self.tr("Variant {number}").format(number=number) for number in numbers)
        return next(name for name in names if name not in taken)
