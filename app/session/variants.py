"""Starting bag, variants and sample: asks for names, keeps, and brings back what was lost."""

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from app.session.display import construction_name, plain_name, told_error
from app.session.document import Change
from app.session.session import Session
from core.base.errors import CornerwrightError, FieldError
from core.model.figures import NO_TAKE_UP
from core.model.record import KEPT_NAME
from core.storage.project import NamedBag, Project, Removed, is_back, removed_between

MOST_LOST = 50
"""How much of what was deleted or replaced can be brought back, at least the latest."""


class Variants(QObject):
    """What is kept beside the document's bag.

    None of it is a step of undo, which would roll it away with the bag. What is deleted or
    replaced can be brought back until another bag is opened, whatever took it away: that is
    `restorable`, the latest first.

    Signals:
        changed: starting bag, variants or what can be brought back may be other ones.
        lost(tuple of Removed): these were deleted or replaced just now.
    """

    changed = Signal()
    lost = Signal(object)

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._document = document = session.document
        self._known = document.project
        self.restorable: tuple[Removed, ...] = ()
        document.changed.connect(self._on_changed)
        document.kept_changed.connect(self._on_kept_changed)

    @property
    def starting(self) -> NamedBag | None:
        """The bag that was named as the one that changes are told against."""
        return self._document.project.starting

    @property
    def variants(self) -> tuple[NamedBag, ...]:
        """The bags that are kept, in the order in which they came."""
        return self._document.project.variants

    def name_starting(self) -> bool:
        """Ask for a name and tell changes against the bag as it is now."""
        starting = self._document.project.starting
        present = starting.name if starting else self.tr("Starting bag")
        name = self._ask(
            self.tr("Starting bag"), self.tr("Changes are compared with it. Name:"), present
        )
        if not name or not self._session.finish_work():
            return False
        # Only now: what was typed before may have come to another bag while the box was open.
        project = self._document.project
        try:
            named = project.with_starting(name)
        except FieldError as error:
            return self._refuse(error)
        before = Removed(
            kept=NamedBag(name=self.tr("Starting bag"), bag=self._document.starting.bag)
        )
        if not self._document.keep(named):
            return False
        if project.starting is None and not is_back(named, before):
            # One that had no name yet is no longer what changes are compared with.
            self.restorable = (before, *self.restorable)[:MOST_LOST]
            self.changed.emit()
        return True

    def keep_variant(self) -> bool:
        """Ask for a name and keep the bag as it is now; a variant of that name is asked about."""
        name = self._ask(self.tr("Keep as variant"), self.tr("Name:"), self._fresh_name())
        if not name or not self._session.finish_work():
            return False
        project = self._document.project
        try:
            kept = project.with_variant(name, project.bag)
        except FieldError as error:
            return self._refuse(error)
        replaces = kept != project and len(kept.variants) == len(project.variants)
        if replaces and not self._session.questions.replace_kept(name):
            return False
        return self._document.keep(kept)

    def open_variant(self, name: str) -> bool:
        step = self.tr("Open variant “{name}”").format(name=name)
        return self._put(NamedBag(name=name, bag=self._document.project.variant(name)), step)

    def open_starting(self) -> bool:
        starting = self._document.project.starting
        return starting is not None and self._put(starting, self.tr("Go back to the starting bag"))

    def rename_variant(self, name: str) -> bool:
        other = self._ask(self.tr("Rename the variant"), self.tr("Name:"), name)
        if not other or other == name:
            return False
        try:
            project = self._document.project.with_variant_renamed(name, other)
        except FieldError as error:
            return self._refuse(error)
        return self._document.keep(project)

    def delete_variant(self, name: str) -> bool:
        """Keep a variant no longer; it can be brought back."""
        return self._document.keep(self._document.project.without_variant(name))

    def keep_sample(self, changed: Project) -> bool:
        """Keep a sample, with the bag drawn for it; what that newly allows for is one undo step.

        Undoing that step gives the former sizes back, and the measurements stay.
        """
        document, sample, kept = self._document, changed.sample, False
        if sample is not None and document.bag.take_up == NO_TAKE_UP:
            measured = replace(sample, allowed_for=False)
            kept = document.keep(document.project.with_sample(changed.bag.body.KIND, measured))
        if changed.bag == document.bag and changed.take_ups == document.project.take_ups:
            return document.keep(changed) or kept
        return document.replace_project(changed, self.tr("Take-up"))

    def bring_back(self, lost: Removed) -> bool:
        """Keep again what was deleted or replaced; False, with the reason told, if that cannot be.

        A variant whose name is another's by now gets a number.
        """
        try:
            done = self._bring_back(lost)
        except CornerwrightError as error:
            return self._refuse(error)
        self.restorable = tuple(each for each in self.restorable if each is not lost)
        self.changed.emit()
        return done

    def label(self, lost: Removed) -> str:
        """What something that was lost is called."""
        if lost.kept is None:
            of_sample = self.tr("Measurements of the sample ({construction})")
            return of_sample.format(construction=construction_name(lost.construction))
        told = self.tr("Starting bag “{name}”")
        if lost.place is not None:
            told = self.tr("Variant “{name}”")
        return told.format(name=lost.kept.name)

    def is_present(self, kept: NamedBag) -> bool:
        """Whether the bag on the table is this one, whatever it is called."""
        bag = self._document.bag
        return replace(kept.bag, name=bag.name) == bag

    def _put(self, kept: NamedBag, step: str) -> bool:
        # The bag keeps its own name: a variant is the same bag, drawn otherwise.
        bag = replace(kept.bag, name=self._document.bag.name)
        return self._document.replace_bag(bag, step)

    def _ask(self, title: str, prompt: str, present: str) -> str:
        return plain_name(self._session.questions.kept_name(title, prompt, present) or "")

    def sentence(self, lost: Removed) -> str:
        """What happened to something that was lost, as a sentence."""
        kept, project = lost.kept, self._document.project
        if kept is None:
            if lost.construction not in project.samples:
                return self.tr("The measurements of the sample were deleted.")
            return self.tr("The measurements of the sample were replaced.")
        told = self.tr("Starting bag “{name}” was replaced.")
        if lost.place is not None:
            told = self.tr("Variant “{name}” was deleted.")
            if any(each.name == kept.name for each in self.variants):
                told = self.tr("Variant “{name}” was replaced.")
        return told.format(name=kept.name)

    def _bring_back(self, lost: Removed) -> bool:
        document, project = self._document, self._document.project
        if lost.sample is not None:
            from core.redesign.measured import allow_for  # with the solver

            kind, bag = lost.construction, project.bag
            sample = replace(lost.sample, allowed_for=kind in project.take_ups)
            if sample.allowed_for and kind == bag.body.KIND:
                bag = allow_for(bag, sample).bag
            return self.keep_sample(replace(project.with_sample(kind, sample), bag=bag))
        kept = lost.kept
        if lost.place is None or kept is None:
            return document.keep(replace(project, starting=kept))
        kept = replace(kept, name=self._free_name(kept.name))
        variants = list(project.variants)
        variants.insert(lost.place, kept)
        return document.keep(replace(project, variants=tuple(variants)))

    def _on_changed(self, change: Change) -> None:
        if change.opened:
            self.restorable, self._known = (), self._document.project

    def _on_kept_changed(self) -> None:
        before, project = self._known, self._document.project
        self._known = project
        lost = removed_between(before, project)
        every = (each for each in (*lost, *self.restorable) if not is_back(project, each))
        self.restorable = tuple(every)[:MOST_LOST]
        self.changed.emit()
        if lost:
            self.lost.emit(lost)

    def _refuse(self, error: CornerwrightError) -> bool:
        self._session.questions.tell(told_error(error, self._session.display))
        return False

    def _fresh_name(self) -> str:
        taken = {each.name for each in self.variants}
        numbers = range(1, len(taken) + 2)
        names = (self.tr("Variant {number}").format(number=number) for number in numbers)
        return next(name for name in names if name not in taken)

    def _free_name(self, name: str) -> str:
        """The name itself, or with a number where another variant has it."""
        taken = {each.name for each in self.variants}
        numbers = range(2, len(taken) + 3)
        names = (f"{name[: KEPT_NAME.most - 5].rstrip()} ({number})" for number in numbers)
        return next(each for each in (name, *names) if each not in taken)
