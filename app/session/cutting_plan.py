"""The cutting plan of the document's bag, worked out in a process of its own.

Imported when the plan is first looked at, never at the start of the window.
"""

import logging
from collections import OrderedDict
from collections.abc import Sequence
from time import perf_counter

import msgspec
from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, QTimer, Signal

from app.session.workers import worker_command, worker_environment
from core.bag.compute import Result
from core.base.errors import CornerwrightError
from core.cutting.packing.sheets import SearchProgress, Section, SectionLayout
from core.cutting.plan import Plan, PlanOptions
from core.cutting.planner import Planner
from core.cutting.worker import read_answer, request_json

WORKER = "core.cutting.worker"
ENDED_WITHIN = 3000
"""Milliseconds that a killed process is waited for when the window closes."""
REST = 8
"""A plan that took a while to show is followed by the next only after so many times that
while: a plan of a thousand bags must not keep the window busy with itself."""
KEPT = 8
"""Answers that are kept, so that an undo has its plan at once."""

_log = logging.getLogger("cornerwright")


class WorkerProcess(QProcess):
    """One run of the planner's worker on one request.

    Signals:
        said(bytes): a whole line of its answer.
        ended(str): it is over; the text says what went wrong, or is empty.
    """

    said = Signal(bytes)
    ended = Signal(str)

    def __init__(self, request: bytes, parent: QObject, *, command: Sequence[str]) -> None:
        super().__init__(parent)
        self._request = request
        self._is_over = False
        self.setProgram(command[0])
        self.setArguments(list(command[1:]))
        self.setProcessEnvironment(_environment())
        self.started.connect(self._on_started)
        self.readyReadStandardOutput.connect(self._on_ready)
        self.finished.connect(self._on_finished)
        self.errorOccurred.connect(self._on_error)

    def drop(self) -> None:
        """Kill it and hear no more of it; it goes away by itself once it has ended."""
        self._is_over = True
        if self.state() is QProcess.ProcessState.NotRunning:
            self.deleteLater()
        else:
            self.kill()

    def drop_and_wait(self) -> None:
        """Kill it and wait until the system has let go of it."""
        self._is_over = True
        if self.state() is not QProcess.ProcessState.NotRunning:
            self.kill()
            self.waitForFinished(ENDED_WITHIN)

    def _on_started(self) -> None:
        self.write(self._request)
        self.closeWriteChannel()

    def _on_ready(self) -> None:
        while self.canReadLine() and not self._is_over:
            self.said.emit(bytes(self.readLine().data()))

    def _on_finished(self, code: int, status: QProcess.ExitStatus) -> None:
        self._on_ready()
        told = bytes(self.readAllStandardError().data()).decode(errors="replace").strip()
        if status is not QProcess.ExitStatus.NormalExit:
            self._end(
                self.tr("the search was stopped by the system ({number})").format(number=code)
            )
        elif code != 0:
            self._end(told.splitlines()[-1] if told else str(code))
        else:
            self._end("")

    def _on_error(self, error: QProcess.ProcessError) -> None:
        if error is QProcess.ProcessError.FailedToStart:  # the others are told by `finished`
            self._end(self.errorString())

    def _end(self, trouble: str) -> None:
        if not self._is_over:
            self._is_over = True
            self.ended.emit(trouble)
        self.deleteLater()


class CuttingPlanModel(QObject):
    """Keeps the best cutting plan known for what was asked last.

    A plan carries the bag and the options that it answers; `current` compares them, so that
    an older plan never passes for one of the numbers asked.

    Attributes:
        plan: the last one; None before the first.
        stopped: whether the search was given up before its end.
        trouble: why there is no answer, in the words of the system; empty when nothing is wrong.

    Signals:
        changed: `plan`, `current`, `busy` or `trouble` is another one.
        progressed(float): share of the search done, 0 to 1.
    """

    changed = Signal()
    progressed = Signal(float)

    def __init__(
        self, parent: QObject | None = None, *, command: Sequence[str] | None = None
    ) -> None:
        super().__init__(parent)
        self._command = command or worker_command(WORKER)
        self._planner: Planner | None = None
        self._sections: tuple[Section, ...] = ()
        self._request = b""
        self._process: WorkerProcess | None = None
        self._step: SearchProgress | None = None
        self.plan: Plan | None = None
        self._taken: tuple[SectionLayout, ...] = ()
        self.trouble = ""
        self.stopped = False
        self._answers: OrderedDict[bytes, tuple[SectionLayout, ...]] = OrderedDict()
        self._rest = QTimer(self, singleShot=True)
        self._rest.timeout.connect(self._on_rest)

    @property
    def busy(self) -> bool:
        """Whether better plans are being looked for."""
        return self._process is not None

    def answers(self, result: Result, options: PlanOptions) -> bool:
        """Whether the plan is one of this very bag and these options."""
        plan = self.plan
        return plan is not None and plan.result is result and plan.options == options

    def ask(self, result: Result, options: PlanOptions) -> None:
        """Look for plans of this bag; what was asked before is dropped.

        Where bag and options ask for the same rectangles as before, the layouts that are
        already there stay.
        """
        try:
            planner = Planner(result, options)
            sections = planner.sections
            request = request_json(sections, seed=options.seed, builds=options.builds)
        except Exception as error:  # whatever it is, the tab must not wait for a plan
            self._break_off(error)
            return
        same = request == self._request and not self.trouble and not self.stopped
        self._planner, self._sections = planner, sections
        if same and self._step is not None:
            self._take()
            return
        if same and self._process is not None:
            return
        self._drop()
        self._request, self._step = request, None
        if request in self._answers:
            self._step = SearchProgress(1.0, self._answers[request])
            self._take()
        else:
            self._start()
            self.changed.emit()

    def cancel(self) -> None:
        """Give the search up; the plan stays as it is."""
        if self._process is not None:
            self._drop()
            self.stopped = True
            self.changed.emit()

    def close(self) -> None:
        """Give the search up and wait until no process is left."""
        self._drop()
        for process in self.findChildren(WorkerProcess):
            process.drop_and_wait()

    def _start(self) -> None:
        process = WorkerProcess(self._request, self, command=self._command)
        process.said.connect(self._on_said)
        process.ended.connect(self._on_ended)
        self._process = process
        process.start()

    def _drop(self) -> None:
        self._rest.stop()
        self.trouble, self.stopped = "", False
        if self._process is not None:
            process, self._process = self._process, None
            process.drop()

    def _on_said(self, line: bytes) -> None:
        try:
            step = read_answer(line, self._request, self._sections)
        except (CornerwrightError, msgspec.DecodeError, ValueError) as error:
            self._fail(str(error))
            return
        if step is None:
            return
        fresh = self._step is None or step.layouts != self._step.layouts
        self._step = step
        if fresh and not self._rest.isActive():
            self._take()
        self.progressed.emit(step.done)

    def _on_ended(self, trouble: str) -> None:
        if trouble or self._step is None:
            self._fail(trouble or self.tr("the search ended without a plan"))
            return
        self._process = None
        self._rest.stop()
        self._answers[self._request] = self._step.layouts
        while len(self._answers) > KEPT:
            self._answers.popitem(last=False)
        self._take()

    def _fail(self, trouble: str) -> None:
        _log.error("cutting plan: %s", trouble)
        self._drop()
        self.trouble = trouble
        self.changed.emit()

    def _break_off(self, error: Exception) -> None:
        """Give up what an error that nobody expected keeps from being worked out."""
        _log.critical("unexpected error in the cutting plan", exc_info=error)
        self._fail(self.tr("something went wrong in the program; the details are in its log"))

    def _on_rest(self) -> None:
        if self._step is not None and self._step.layouts is not self._taken:
            self._take()

    def _take(self) -> None:
        """Make a plan of the newest layouts and show it."""
        if self._planner is None or self._step is None:
            return
        start = perf_counter()
        if self.plan is None or not self._is_taken(self.plan, self._step):
            try:
                self.plan = self._planner.plan(self._step.layouts)
            except Exception as error:  # as above
                self._break_off(error)
                return
            self._taken = self._step.layouts
        self.changed.emit()
        if self.busy:
            self._rest.start(round(1000 * REST * (perf_counter() - start)))

    def _is_taken(self, plan: Plan, step: SearchProgress) -> bool:
        """Whether this plan was already made of these layouts, for what is asked."""
        planner = self._planner
        return (
            planner is not None
            and plan.result is planner.result
            and plan.options == planner.options
            and self._taken is step.layouts
        )


def _environment() -> QProcessEnvironment:
    environment = QProcessEnvironment()
    for name, value in worker_environment().items():
        environment.insert(name, value)
    return environment
