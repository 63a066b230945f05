"""The document: the current bag, what is kept beside it, what is lit of it, how it came to be."""

import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QUndoStack

from app.session.undo import NAMED_AFTER, Clock, MergeKey, UndoStep, Values
from core.bag.bag import Bag, with_figures
from core.bag.choices import with_fix
from core.bag.compute import Result, compute
from core.bag.tables import OWNERS
from core.base.errors import CornerwrightError, FieldError
from core.flat.piece import Point
from core.flat.roles import EdgeRef, PieceId
from core.flat.seam import Draft, mates
from core.model.findings import Fix
from core.storage.project import KEPT_BESIDE, NamedBag, Project


class Highlight(NamedTuple):
    """What lights up. All of it may be empty.

    Attributes:
        edges: edges that are sewn or worked along.
        marks: (piece, place among its marks) of outlines that something is laid on.
        lines: (piece, points in mm) where else needle or chalk goes.
        pieces: pieces that are handled as a whole.
        rims: edges of those pieces, for where a piece is told by its edges.
        parts: pieces laid on the bag that are lit on the folding bag.
    """

    edges: tuple[EdgeRef, ...] = ()
    marks: tuple[tuple[PieceId, int], ...] = ()
    lines: tuple[tuple[PieceId, tuple[Point, ...]], ...] = ()
    pieces: tuple[PieceId, ...] = ()
    rims: tuple[EdgeRef, ...] = ()
    parts: tuple[PieceId, ...] = ()

    def on(self, draft: Draft) -> "Highlight":
        """What of it there is in a draft."""
        if self == NO_HIGHLIGHT:
            return self
        pieces = {piece.id: piece for piece in draft.pieces}
        edges = {EdgeRef(piece.id, edge.id) for piece in draft.pieces for edge in piece.edges}
        return self._replace(
            edges=tuple(ref for ref in self.edges if ref in edges),
            marks=tuple(
                (piece, place)
                for piece, place in self.marks
                if piece in pieces and place < len(pieces[piece].marks)
            ),
            lines=tuple(line for line in self.lines if line[0] in pieces),
            pieces=tuple(piece for piece in self.pieces if piece in pieces),
            rims=tuple(ref for ref in self.rims if ref in edges),
            parts=tuple(piece for piece in self.parts if piece in pieces),
        )


NO_HIGHLIGHT = Highlight()
"""Nothing is lit."""


class Change(NamedTuple):
    """What one edit did.

    Attributes:
        result: what follows from the bag as it is now.
        opened: whether this is another bag altogether, not an edit of the one before.
    """

    result: Result
    opened: bool = False


class Pointing(NamedTuple):
    """The edge that is pointed at, in any pane, and the edges it is sewn to."""

    edge: EdgeRef | None
    mates: tuple[EdgeRef, ...]

    @property
    def edges(self) -> tuple[EdgeRef, ...]:
        return self.mates if self.edge is None else (self.edge, *self.mates)


NOWHERE = Pointing(None, ())


class Refusal(NamedTuple):
    """An edit that could not be, and why not.

    `field` is the name of the figure in whose field it was typed, which says so itself; empty
    where it was asked for otherwise.
    """

    error: CornerwrightError
    field: str = ""


class Document(QObject):
    """One open project: a bag, and what is kept beside it.

    Every edit goes through `set_figures`, `replace_bag` or `replace_project`, which push an
    undo step, or through `keep`, which does not: variants, starting bag, sample and ticks are
    not rolled away by undoing the bag. What changes the bag emits `changed` once, what changes
    something beside it `kept_changed`. An impossible edit leaves everything as it was and emits
    `refused`; `refusal_cleared` follows with the next step, or once the edit is given up.

    Attributes:
        path: the file that the bag was read from or saved to; None before the first saving.
        refusal: the edit that could not be; None once it is given up or past.
        highlighted: what the sewing step that is being read works on.
        clock: by which steps follow one another quickly or not.
        undo_stack: the steps; it is clean while all that they change is as it was opened or
            saved.

    Signals:
        changed(Change): there is another bag.
        kept_changed: starting bag, variants, sample, pins or ticks are other ones; after
            `changed` where both are.
        saved_changed: `saved` may be another.
        refused(CornerwrightError): an edit could not be; the last possible bag stays.
        refusal_cleared: what was refused last is given up or past, and need not be told any more.
        pointed(Pointing): another edge is pointed at.
        highlight_changed(Highlight): a sewing step lights something else in the drawings.
        figure_asked(str): the maker wants to see the figure of this name.
    """

    changed = Signal(object)
    kept_changed = Signal()
    saved_changed = Signal()
    refused = Signal(object)
    refusal_cleared = Signal()
    pointed = Signal(object)
    highlight_changed = Signal(object)
    figure_asked = Signal(str)

    def __init__(
        self,
        opened: Bag | Project,
        parent: QObject | None = None,
        *,
        path: Path | None = None,
        clock: Clock = time.monotonic,
    ) -> None:
        super().__init__(parent)
        self._project = _project_of(opened)
        self._result = compute(self._project.bag)
        self._opened = self._result
        self._named: Result | None = None
        self._next: Result | None = None
        self.refusal: Refusal | None = None
        self.pointing = NOWHERE
        self.highlighted = NO_HIGHLIGHT
        self.path = path
        self.clock = clock
        self.undo_stack = QUndoStack(self)
        self._until_named = QTimer(self, singleShot=True, interval=NAMED_AFTER)
        self._until_named.timeout.connect(self._name_hold)
        self._saved_beside = _kept_beside(self._project)
        # From signal to signal: a method would be called while the stack is torn down.
        self.undo_stack.cleanChanged.connect(self.saved_changed)

    @property
    def project(self) -> Project:
        """The current bag and everything that is kept beside it."""
        return self._project

    @property
    def bag(self) -> Bag:
        return self._result.bag

    @property
    def result(self) -> Result:
        """What follows from the current bag."""
        return self._result

    @property
    def starting(self) -> Result:
        """What changes are told against: the starting bag, else the bag as it was opened."""
        kept = self._project.starting
        if kept is None:
            opened = self._project.as_made_here(self._opened.bag)
            if opened is not self._opened.bag:
                # It is told by what it comes out as, which holds for every bag of a project.
                self._opened = compute(opened)
            return self._opened
        for ready in (self._named, self._opened, self._result):
            if ready is not None and ready.bag is kept.bag:
                self._named = ready
                return ready
        self._named = compute(kept.bag)
        return self._named

    @property
    def to_keep(self) -> Project:
        """The project as a file keeps it: with the bag that changes are told against.

        One that was never named is kept under a plain name once the present bag is another,
        so that what was changed can still be told after the file is opened again. The
        project itself stays as it is: saving is no step.
        """
        project, starting = self._project, self._opened.bag
        same = all(starting.owner(name) == project.bag.owner(name) for name in OWNERS)
        if project.starting is not None or same:
            return project
        return replace(project, starting=NamedBag(name=self.tr("Starting bag"), bag=starting))

    @property
    def saved(self) -> bool:
        """Whether bag and what is kept beside it are as they were opened or last saved."""
        return self.undo_stack.isClean() and _kept_beside(self._project) == self._saved_beside

    def open(self, opened: Bag | Project, path: Path | None = None) -> None:
        """Show another bag and forget the steps that led to the old one."""
        project = self._bought_here(_project_of(opened))
        result = compute(project.bag)
        self.clear_refusal()
        was_saved = self.saved
        self._project = project
        self._opened = result
        self._named = None
        self._saved_beside = _kept_beside(project)
        self.path = path
        self.undo_stack.clear()
        if not was_saved:
            self.saved_changed.emit()
        self._take(Change(result, opened=True))
        self.kept_changed.emit()

    @property
    def shop_zips(self) -> tuple[float, ...] | None:
        """Lengths in which the maker's shop sells zips, mm; None: the usual ones."""
        return self._project.shop_zips

    def set_shop_zips(self, lengths: tuple[float, ...] | None) -> None:
        """Buy zips in these lengths, mm: the maker's choice for every bag, and no step.

        A FieldError says that no shop has such a list.
        """
        other = replace(self._project, shop_zips=lengths)
        if other.shop_zips != self._project.shop_zips:
            self._project = other
            self._take(Change(compute(other.bag)))
            self.kept_changed.emit()

    def mark_saved(self, path: Path) -> None:
        """The bag as it is now lies in this file."""
        self.path = path
        self._saved_beside = _kept_beside(self._project)
        self.undo_stack.setClean()
        self.saved_changed.emit()

    def mark_unsaved(self) -> None:
        """No file has the bag as it is now, nor as it was at any step before."""
        self.undo_stack.resetClean()

    def set_figures(
        self,
        changes: Mapping[str, float],
        label: str,
        *,
        merge_key: MergeKey | None = None,
        field: str = "",
    ) -> bool:
        """Change cut figures together (mm, pieces); False when the bag cannot be so.

        `label` and `merge_key` are as in `replace_bag`, `field` is as in `Refusal`.
        """
        try:
            bag = with_figures(self.bag, changes)
        except FieldError as error:
            self.refuse(error, field=field)
            return False
        return self.replace_bag(bag, label, merge_key=merge_key)

    def apply_fix(self, fix: Fix, label: str) -> bool:
        """Fix a finding, as one undo step of that label; False when the bag cannot be so."""
        try:
            bag = with_fix(self.bag, fix)
        except FieldError as error:
            self.refuse(error)
            return False
        return self.replace_bag(bag, label)

    def replace_bag(
        self,
        bag: Bag,
        label: str,
        *,
        merge_key: MergeKey | None = None,
        ready: Result | None = None,
    ) -> bool:
        """Make this the current bag, as one named undo step; False when it is the same.

        Steps of one hold or drag share one `merge_key`; `ready` is what follows from the bag, where
        it was worked out already.
        """
        project = replace(self._project, bag=bag)
        return self.replace_project(project, label, merge_key=merge_key, ready=ready)

    def replace_project(
        self,
        project: Project,
        label: str,
        *,
        merge_key: MergeKey | None = None,
        ready: Result | None = None,
    ) -> bool:
        """Change bag and other things together, as one named undo step; False when all is the same.

        The step holds what differs and nothing else, so that undoing it leaves the rest.

        Args: as `replace_bag`.
        """
        project = self._bought_here(project)
        after = self._project.differences(project)
        if not after:
            self.clear_refusal()
            return False
        if "bag" in after:
            # Before the step exists, so that a bag that cannot be drawn makes no step.
            fits = ready is not None and ready.bag is project.bag
            self._next = ready if fits else compute(project.bag)
        before = {name: getattr(self._project, name) for name in after}
        step = UndoStep(before, after, label, self._show, at=self.clock(), merge_key=merge_key)
        self.undo_stack.push(step)
        if merge_key is not None:
            self._until_named.start()
        return True

    def keep(self, project: Project) -> bool:
        """Change what is kept beside the bag; no step of undo. False when all is the same.

        A ValueError says that it changes what steps hold: the bag, pins, load, making.
        """
        after = self._project.differences(project)
        if not after.keys() <= KEPT_BESIDE or project.take_ups != self._project.take_ups:
            raise ValueError(f"a step must hold {', '.join(sorted(after))}")
        if not after:
            self.clear_refusal()
            return False
        self._show({name: getattr(self._project, name) for name in after}, after)
        self.saved_changed.emit()
        return True

    def refuse(self, error: CornerwrightError, *, field: str = "") -> None:
        """Let every view know that an edit could not be; `field` as in `Refusal`."""
        self.refusal = Refusal(error, field)
        self.refused.emit(error)

    def clear_refusal(self) -> None:
        """What was refused last is given up: nobody need tell it any more."""
        if self.refusal is not None:
            self.refusal = None
            self.refusal_cleared.emit()

    def point_at(self, edge: EdgeRef | None) -> None:
        """Light an edge and its mates in every view; None puts the lights out.

        So does an edge that the bag has no longer: an older shape may still be shown.
        """
        if edge is not None and not self._result.draft.has_edge(edge):
            edge = None
        if edge == self.pointing.edge:
            return
        found = () if edge is None else mates(self._result.draft.seams, edge)
        self.pointing = Pointing(edge, found)
        self.pointed.emit(self.pointing)

    def highlight(self, lit: Highlight) -> None:
        """Light in the drawings what a sewing step works on; `NO_HIGHLIGHT` puts the lights out."""
        if lit != self.highlighted:
            self.highlighted = lit
            self.highlight_changed.emit(lit)

    def _show(self, gone: Values, come: Values) -> None:
        # First, so that a field that still shows what was refused takes what comes now.
        self.clear_refusal()
        before = self._project
        project = self._project = before.stepped(gone, come)
        if project.bag is not before.bag:
            ready = self._next if self._next and self._next.bag is project.bag else None
            self._take(Change(ready or compute(project.bag)))
        self._next = None
        if come.keys() != {"bag"} and replace(before, bag=project.bag) != project:
            self.kept_changed.emit()

    def _name_hold(self) -> None:
        """Call the step of a hold that is over, done or undone by now, by what it came to."""
        stack = self.undo_stack
        for place in (stack.index() - 1, stack.index()):
            step = stack.command(place)
            if isinstance(step, UndoStep) and step.rename():
                stack.indexChanged.emit(stack.index())  # as at each step of the hold

    def _bought_here(self, project: Project) -> Project:
        """The project with the maker's lengths of zips; itself where it has them."""
        sold = self._project.shop_zips
        return project if project.shop_zips == sold else replace(project, shop_zips=sold)

    def _take(self, change: Change) -> None:
        self._result = change.result
        if self.pointing is not NOWHERE:
            self.pointing = NOWHERE
            self.pointed.emit(NOWHERE)
        self.highlight(self.highlighted.on(change.result.draft))
        self.changed.emit(change)


def _kept_beside(project: Project) -> dict[str, Any]:
    """What is kept beside the bag, and no step of undo holds."""
    return {name: getattr(project, name) for name in KEPT_BESIDE}


def _project_of(opened: Bag | Project) -> Project:
    return opened if isinstance(opened, Project) else Project(bag=opened)
