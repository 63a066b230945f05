"""The document: the current bag, what follows from it, and how it came to be."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.commands import ReplaceBag
from core.bag import PART_LABELS, Bag, with_figures
from core.compute import Result, compute
from core.errors import CornerwrightError, FieldError
from core.flat.seam import EdgeRef, mates


@dataclass(frozen=True, slots=True)
class Change:
    """What one edit did.

    Attributes:
        result: what follows from the bag as it is now.
        parts: attributes of the bag that differ from before; every part after opening.
    """

    result: Result
    parts: frozenset[str]


@dataclass(frozen=True, slots=True)
class Pointing:
    """The edge that is pointed at, in any pane, and the edges it is sewn to."""

    edge: EdgeRef | None
    mates: tuple[EdgeRef, ...]

    @property
    def edges(self) -> tuple[EdgeRef, ...]:
        """Everything that lights up."""
        return self.mates if self.edge is None else (self.edge, *self.mates)


NOWHERE = Pointing(None, ())


class Document(QObject):
    """One open bag.

    Every edit goes through `set_figures` or `replace_bag`, which push an undo step and
    emit `changed` once. An impossible edit leaves everything as it was and emits `refused`.

    Attributes:
        path: the file that the bag was read from or saved to; None before the first saving.
        undo_stack: the steps; it is clean while the bag is as it was opened or saved.

    Signals:
        changed(Change): there is another bag.
        refused(CornerwrightError): an edit could not be; the last possible bag stays.
        pointed(Pointing): another edge is pointed at.
        figure_asked(str): the maker wants to see the figure of this name.
    """

    changed = Signal(object)
    refused = Signal(object)
    pointed = Signal(object)
    figure_asked = Signal(str)

    def __init__(
        self, bag: Bag, parent: QObject | None = None, *, path: Path | None = None
    ) -> None:
        super().__init__(parent)
        self._result = compute(bag)
        self._starting = self._result
        self._next: Result | None = None
        self._pointing = NOWHERE
        self.path = path
        self.undo_stack = QUndoStack(self)

    @property
    def bag(self) -> Bag:
        """The current bag."""
        return self._result.bag

    @property
    def result(self) -> Result:
        """What follows from the current bag."""
        return self._result

    @property
    def starting(self) -> Result:
        """What followed from the bag as it was opened: changes are told against it."""
        return self._starting

    @property
    def saved(self) -> bool:
        """Whether the bag is as it was opened or last saved."""
        return self.undo_stack.isClean()

    @property
    def pointing(self) -> Pointing:
        """What is pointed at now."""
        return self._pointing

    def open(self, bag: Bag, path: Path | None = None) -> None:
        """Show another bag and forget the steps that led to the old one."""
        result = compute(bag)
        self._starting = result
        self.path = path
        self.undo_stack.clear()
        self._take(result, frozenset(PART_LABELS))

    def mark_saved(self, path: Path) -> None:
        """The bag as it is now lies in this file."""
        self.path = path
        self.undo_stack.setClean()

    def set_figures(
        self, changes: Mapping[str, float], label: str, *, merge_key: str | None = None
    ) -> bool:
        """Change cut figures together (mm, pieces); False when the bag cannot be so."""
        try:
            bag = with_figures(self.bag, changes)
        except FieldError as error:
            self.refused.emit(error)
            return False
        return self.replace_bag(bag, label, merge_key=merge_key)

    def replace_bag(self, bag: Bag, label: str, *, merge_key: str | None = None) -> bool:
        """Make this the current bag, as one named undo step; False when it is the same."""
        if bag == self.bag:
            return False
        # Computed before the step exists, so that a bag that cannot be drawn makes no step.
        self._next = compute(bag)
        self.undo_stack.push(ReplaceBag(self.bag, bag, label, self._show, merge_key=merge_key))
        return True

    def refuse(self, error: CornerwrightError) -> None:
        """Let every view know that an edit could not be."""
        self.refused.emit(error)

    def point_at(self, edge: EdgeRef | None) -> None:
        """Light an edge and its mates in every view; None puts the lights out."""
        if edge == self._pointing.edge:
            return
        found = () if edge is None else mates(self._result.draft.seams, edge)
        self._pointing = Pointing(edge, found)
        self.pointed.emit(self._pointing)

    def _show(self, bag: Bag) -> None:
        before = self.bag
        parts = frozenset(
            name for name in PART_LABELS if getattr(before, name) != getattr(bag, name)
        )
        ready = self._next if self._next is not None and self._next.bag is bag else None
        self._next = None
        self._take(ready or compute(bag), parts)

    def _take(self, result: Result, parts: frozenset[str]) -> None:
        self._result = result
        if self._pointing is not NOWHERE:
            self._pointing = NOWHERE
            self.pointed.emit(NOWHERE)
        self.changed.emit(Change(result, parts))
