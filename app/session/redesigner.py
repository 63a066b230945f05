"""Redesigning the document's bag: wants, pins, conflicts and the ruler."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.session.display import SAME, shown_value, told, translated
from app.session.document import Change
from app.session.redesign_tasks import (
    KeyRun,
    Outcome,
    RedesignDone,
    RedesignTask,
    RoundedBag,
    RoundingTask,
    Wanted,
    answer,
    fills,
    present_pins,
    released,
    round_bag,
    solve,
)
from app.session.session import Session
from app.session.undo import MERGE_WITHIN, Drag, MergeKey
from app.session.work import JobFailure, JobResult, Work
from core.bag.bag import with_figures
from core.bag.compute import Result, measure_walls
from core.bag.figures import (
    CUT_NAMES,
    FILLED_NAMES,
    FINISHED,
    MATCHED,
    WANTED,
    figure_of,
    is_cut,
    is_matched,
    label_of,
    matched_in,
)
from core.bag.tables import cut_figure
from core.base.errors import CornerwrightError
from core.base.tolerance import is_sliver, same_length
from core.model.figures import Quantity
from core.storage.project import Project

if TYPE_CHECKING:
    from core.redesign.request import RedesignRequest
    from core.redesign.rounding import Rounded

FOLLOWED = 1500
"""Milliseconds that a redesign which fills bags may go on after a newer one was asked for."""
_NO_COST: Mapping[str, float | None] = MappingProxyType({})


class Redesigner(QObject):
    """Turns wanted figures into undo steps of the document, its pins kept.

    Signals:
        rounding_changed(bool): results are put on the ruler, or no longer.
        outcome_changed: what the ruler cost is another thing to tell, though the bag is not.
        pending_changed: `pending` is another.
    """

    rounding_changed = Signal(bool)
    outcome_changed = Signal()
    pending_changed = Signal()

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self._document, self._display = session.document, session.display
        self._rounding = session.settings.rounding
        self._wish: Wanted | None = None
        self._outcome: Outcome | None = None
        self._coming: Outcome | None = None
        self._run: KeyRun | None = None
        self._pending: RedesignTask | RoundingTask | None = None
        self._taking = False
        self._pins = _pins(session.document.project)
        # A held key is followed: what was begun is let finish, and the newest comes next.
        self.work = Work(self, patience=FOLLOWED)
        self.work.answered.connect(self._on_answer)
        self.work.failed.connect(self._on_failure)
        session.document.changed.connect(self._on_changed)
        session.document.kept_changed.connect(self._on_kept_changed)
        session.document.refusal_cleared.connect(self._on_refusal_cleared)

    @property
    def rounding(self) -> bool:
        """Whether results are put on the ruler step."""
        return self._rounding

    def set_rounding(self, rounding: bool) -> None:
        """Put results on the ruler step, or leave them exact."""
        if rounding is not self._rounding:
            self._rounding = rounding
            self.rounding_changed.emit(rounding)

    @property
    def cost(self) -> Mapping[str, float | None]:
        """Finished figure -> what the ruler added to it; empty after the next edit."""
        return _NO_COST if self._outcome is None else self._outcome.cost

    @property
    def asked(self) -> Mapping[str, float]:
        """Finished figures that the present bag was asked for -> their exact values."""
        return {} if self._outcome is None else self._outcome.asked

    @property
    def off_ruler(self) -> tuple[str, ...]:
        """Cut figures that had to stay off the ruler in the last redesign."""
        return () if self._outcome is None else self._outcome.off_ruler

    @property
    def pending(self) -> Wanted | None:
        """The wish that is being worked out; None when there is none."""
        return self._pending.wish if isinstance(self._pending, RedesignTask) else None

    @property
    def is_pending(self) -> bool:
        """Whether a wish or a rounding is being worked out."""
        return self._pending is not None

    @property
    def refused(self) -> Wanted | None:
        """The wish that could not be had, until something changes; None when there is none."""
        return self._wish if self._pending is None else None

    def asks_filled(self) -> bool:
        """Whether the present bag was asked to hold something, filled."""
        return not self.asked.keys().isdisjoint(FILLED_NAMES)

    def asked_of(self, name: str) -> float | None:
        """What a figure was asked for last, be it on its way or had; None: nothing."""
        wish = self.pending
        return self.asked.get(name) if wish is None or wish.name != name else wish.value

    def close(self) -> None:
        """Give up what is being worked out."""
        self._drop_pending()
        self.work.close()

    @property
    def pins(self) -> frozenset[str]:
        """Figures that stay as they are, and mismatches that are kept at 0."""
        project = self._document.project
        pinned = project.pinned.difference(MATCHED)
        return pinned.union(MATCHED) if project.seams_matched else pinned

    def pinned(self, name: str) -> bool:
        """Whether a figure stays as it is; for a mismatch, whether it is kept at 0."""
        project = self._document.project
        return project.seams_matched if is_matched(name) else name in project.pinned

    def pin(self, name: str, pinned: bool) -> bool:
        """Pin or release a figure, or the matched corners; one undo step."""
        project = released(self._document.project, frozenset({name}))
        if pinned and is_matched(name):
            project = replace(project, seams_matched=True)
        elif pinned:
            project = replace(project, pinned=project.pinned | {name})
        text = self.tr("Pin {figure}") if pinned else self.tr("Release {figure}")
        label = text.format(figure=self.label_of(name))
        return self._document.replace_project(project, label)

    def release_all(self) -> bool:
        """Release every pinned figure; corners stay matched. One undo step."""
        project = replace(self._document.project, pinned=frozenset())
        return self._document.replace_project(project, self.tr("Release every pin"))

    def label_of(self, name: str) -> str:
        """What the maker reads for a figure, or for the matched corners."""
        matched = FINISHED[name].matched if is_matched(name) else ""
        return translated(matched or label_of(name))

    def want(self, name: str, value: float) -> bool:
        """Change the pattern so that a figure has this value; False when it cannot be.

        Where bags must be filled for it, it is only begun: `pending` tells of it, and the step or
        the refusal comes later.
        """
        from core.redesign.request import check_typed

        try:
            check_typed(name, value)
        except CornerwrightError as error:
            self._wish = None  # it is none: no pin that is released would help
            self._document.refuse(error, field=name)
            return False
        return self._try(Wanted(name=name, value=value))

    def set_cut(self, name: str, value: float) -> bool:
        """Change one cut figure, and more only where a pinned size would else move."""
        document = self._document
        label = translated(cut_figure(name).label)
        if self._moves_a_pin(name, value):
            return self._try(Wanted(name=name, value=value))
        key = f"figure {name}"
        return document.set_figures({name: value}, label, merge_key=key, field=name)

    def releasable(self, error: CornerwrightError) -> tuple[str, ...]:
        """Pins that fight in a conflict: releasing one of them may help."""
        from core.redesign.request import ConflictError

        if not isinstance(error, ConflictError):
            return ()
        wish = self._wish
        done = frozenset() if wish is None else wish.released | {wish.name}
        pins = [name for name in error.names if self.pinned(name) and name not in done]
        # Corners that part are the last resort.
        return tuple(sorted(pins, key=is_matched))

    def release(self, name: str) -> bool:
        """Release a pin that fights and try again: one undo step for both."""
        if self._wish is None:
            return self.pin(name, False)
        return self._try(self._wish._replace(released=self._wish.released | {name}))

    def round_now(self) -> None:
        """Put every cut figure on the ruler, as one undo step; it is told when all are on it.

        Where the bag must be filled for it, it is only begun, as in `want`.
        """
        project, result = self._document.project, self._document.result
        # What was asked for a moment ago counts as much as what is pinned.
        holds = present_pins(project.pinned, result) | frozenset(self.asked)
        ruling = RoundingTask(result, holds, self._display.step)
        if not holds.isdisjoint(FILLED_NAMES):
            self._begin(ruling)
            return
        self._drop_pending()
        try:
            ruled = round_bag(ruling)
        except CornerwrightError as error:
            self._document.refuse(error)
            return
        self._have_ruled(ruled)

    def _have_ruled(self, ruled: RoundedBag) -> None:
        asked = {**ruled.exactly, **self.asked}
        label = self.tr("Round to the ruler")
        if not self._take(ruled.rounded, asked, frozenset(), label):
            self._session.said.emit(
                self.tr("Every cut measure is already as near to a ruler step as it can be.")
            )

    def _try(self, wish: Wanted) -> bool:
        project = released(self._document.project, wish.released)
        start = self._start_of(wish)
        # Kept until something changes, so that a pin can be released and all tried again.
        self._wish = wish
        task = self._task(wish, project, start)
        if fills(task.request):
            self._begin(task)
            return True
        self._drop_pending()
        try:
            solved = solve(task)
        except CornerwrightError as error:
            self._document.refuse(error, field=wish.name)
            return False
        return self._have(solved)

    def _begin(self, task: RedesignTask | RoundingTask) -> None:
        """Work a task out in the background; what was begun before leads only this far."""
        self._document.clear_refusal()
        self._pending = task
        self.work.ask(task, lambda hear: answer(task, hear))
        self.pending_changed.emit()

    def _drop_pending(self) -> None:
        if self._pending is not None:
            self._pending = None
            self.work.cancel()
            self.pending_changed.emit()

    def _on_answer(self, found: JobResult) -> None:
        if self._pending is None:
            return
        if found.current:
            self._pending = None
            self.pending_changed.emit()
        if isinstance(found.found, RedesignDone):
            self._have(found.found)
        elif isinstance(found.found, RoundedBag):
            self._have_ruled(found.found)
        elif found.current and isinstance(found.question, RedesignTask):
            self._wish = found.question.wish
            self._document.refuse(found.found, field=found.question.wish.name)
        elif found.current:
            self._document.refuse(found.found)

    def _on_failure(self, failure: JobFailure) -> None:
        if failure.current:
            self._drop_pending()
        failure.meet()

    def _have(self, solved: RedesignDone) -> bool:
        from core.redesign.redesign import slivers_left

        task, wish = solved.task, solved.task.wish
        names = (solved.request.wants.keys() | solved.request.holds) & WANTED
        asked = {name: solved.rounded.exactly[name] or 0.0 for name in names}
        done = self._take(solved.rounded, asked, wish.released, self._label(wish), task.hold)
        self._run = KeyRun(wish.name, task.start, self._document.bag, self._document.clock())
        if done and solved.rounded.slivers:
            self._session.said.emit(told(slivers_left(solved.rounded.slivers), self._display))
        return done

    def _start_of(self, wish: Wanted) -> Result:
        """Where the run of a wish began; what there is now for the first of a run."""
        run, result, pending = self._run, self._document.result, self._pending
        if (
            isinstance(pending, RedesignTask)
            and pending.wish.name == wish.name
            and not wish.released
        ):
            return pending.start
        if run is None or wish.released or run.name != wish.name or run.reached is not result.bag:
            return result
        return run.start if self._document.clock() - run.at <= MERGE_WITHIN else result

    def _task(self, wish: Wanted, project: Project, start: Result) -> RedesignTask:
        from core.redesign.request import RedesignRequest, needs_match

        matched = project.seams_matched
        if is_cut(wish.name):
            matched = matched and all(
                same_length(start.finished[name] or 0.0, 0.0) for name in matched_in(start.finished)
            )
        holds = present_pins(project.pinned, start) - {wish.name}
        # A box has corners that close.
        matched = matched or needs_match({wish.name, *holds})
        request = RedesignRequest(wants={wish.name: wish.value}, holds=holds, matched=matched)
        # A pin holds the size that was asked for, not what the ruler made of it.
        still = {name: self.asked[name] for name in holds & self.asked.keys()}
        moved = {
            name: at
            for name, at in still.items()
            if at != start.finished[name] and not (_is_length(name) and is_sliver(at))
        }
        exactly = request._replace(wants=moved | dict(request.wants), holds=holds - moved.keys())
        step = self._display.step if self._rounding else None
        return RedesignTask(wish, start, exactly, request, step, self._hold_of(wish, exactly))

    def _hold_of(self, wish: Wanted, request: "RedesignRequest") -> MergeKey | None:
        """What the steps of one hold have in common: answers may come slower than keys."""
        if wish.released:
            return None
        if not fills(request):
            return f"want {wish.name}"
        pending = self._pending
        if isinstance(pending, RedesignTask) and pending.wish.name == wish.name:
            return pending.hold
        return Drag()

    def _take(
        self,
        rounded: "Rounded",
        asked: Mapping[str, float],
        given_up: frozenset[str],
        label: str,
        merge_key: MergeKey | None = None,
    ) -> bool:
        result = rounded.result
        cost = {name: _over(result, name, rounded.cost[name], asked) for name in rounded.cost}
        self._coming = Outcome(result.bag, asked, cost, rounded.off_ruler)
        # What was kept beside the bag while this was worked out stays kept.
        after = replace(released(self._document.project, given_up), bag=result.bag)
        self._taking = True
        try:
            done = self._document.replace_project(after, label, merge_key=merge_key, ready=result)
        finally:
            self._taking = False
        if self._coming is not None:  # the ruler led back to the very bag that there was
            self._wish = None
            self._outcome, self._coming = self._coming._replace(bag=self._document.bag), None
            self.outcome_changed.emit()
        return done

    def _moves_a_pin(self, name: str, value: float) -> bool:
        result = self._document.result
        pins = present_pins(self._document.project.pinned, result) - CUT_NAMES
        if not pins:
            return False
        try:
            after = measure_walls(with_figures(result.bag, {name: value}))
        except CornerwrightError:
            return False  # the plain edit says why not
        from core.redesign.filling import fill_sizes

        filled = pins.intersection(FILLED_NAMES)
        follow = pins - filled | ({*fill_sizes(result.bag)} if filled else set())
        return any(_differ(after[pin], result.finished[pin]) for pin in follow)

    def _label(self, wish: Wanted) -> str:
        figure = figure_of(wish.name)
        shown = shown_value(figure.quantity, wish.value, self._display)
        return f"{translated(figure.label)} {shown}"

    def _on_changed(self, change: Change) -> None:
        self._wish = None
        if not self._taking:
            self._drop_pending()  # it was solved from another bag
        # The views read the outcome when they hear of the same change, after this.
        coming, self._coming = self._coming, None
        led_here = coming is not None and coming.bag is change.result.bag
        self._outcome = coming if led_here else None

    def _on_refusal_cleared(self) -> None:
        self._wish = None

    def _on_kept_changed(self) -> None:
        before, self._pins = self._pins, _pins(self._document.project)
        if self._pins == before:
            return  # a variant kept or a step ticked makes no other answer
        self._wish = None
        self._run = None
        if not self._taking:
            self._drop_pending()  # other pins may count by now


def _over(
    result: Result, name: str, cost: float | None, asked: Mapping[str, float]
) -> float | None:
    """What the ruler added: against what was asked where it was, else against the exact bag."""
    value = result.finished[name]
    if cost is None or value is None or name not in asked:
        return cost
    return value - asked[name]


def _pins(project: Project) -> tuple[frozenset[str], bool]:
    """What of the things kept beside a bag a redesign reckons with."""
    return project.pinned, project.seams_matched


def _is_length(name: str) -> bool:
    """Whether a name is that of a finished length."""
    return name in FINISHED and FINISHED[name].quantity is Quantity.LENGTH


def _differ(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and abs(one - other) >= SAME
