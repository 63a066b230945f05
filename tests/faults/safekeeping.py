"""What must be safe while a window is open, reckoned beside it from the disk alone."""

import hashlib
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtTest import QTest

from app.files.recovery import Recovery
from app.session.document import Change
from app.session.session import Changed
from core.storage.bag_file import project_to_json
from tests.app.hands import Hands

ROOT = Path(__file__).parents[2]
SOON = 1
"""Milliseconds to the recovery copy, here."""
NOTICED = 20
"""Milliseconds to a question about a file that was changed, here."""
PATIENCE = 120.0
"""Seconds in which what must come has come, on the busiest machine."""

OTHER = """
import sys
from PySide6.QtCore import QLockFile

held = None
for line in sys.stdin:
    if held is not None:
        held.unlock()
        held = None
    if line.strip():
        lock = QLockFile(line.rstrip("\\n"))
        lock.setStaleLockTime(0)
        held = lock if lock.tryLock(0) else None
    print(held is not None, flush=True)
"""
"""Another program: takes the lock file named by a line, lets go of it at the next line."""


def until(holds: Callable[[], object], what: Callable[[], str]) -> None:
    """Wait, with the window's loop running, until something holds; else `what` is told."""
    end = time.monotonic() + PATIENCE
    while not holds():
        assert time.monotonic() < end, what()
        QTest.qWait(1)


def digest(path: Path | None) -> str | None:
    """SHA-256 of a file; None where there is none."""
    if path is None or not path.is_file():
        return None
    return hashlib.sha256(path.read_bytes()).hexdigest()


def lock_file(path: Path) -> Path:
    """Where the lock of a bag file lies."""
    return path.with_name(f".{path.name}.lock")


class OtherProgram:
    """A process that has a bag file open, or tries to."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", OTHER],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            bufsize=1,
        )

    def take(self, path: Path) -> bool:
        """Whether it has the file now; what it had before it lets go."""
        return self._ask(str(lock_file(path)))

    def free(self) -> None:
        """Let go of what it has."""
        self._ask("")

    def close(self) -> None:
        """End it."""
        self._process.communicate()

    def _ask(self, line: str) -> bool:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(f"{line}\n")
        return self._process.stdout.readline() == "True\n"


class Safekeeping:
    """Checks after each action that copies, locks and files are as they must be.

    Attributes:
        theirs: files that another program holds at present.
    """

    def __init__(self, hands: Hands, recovery: Recovery, bags: Path, copies: Path) -> None:
        self._hands, self._recovery = hands, recovery
        self._bags, self._copies = bags, copies
        self.theirs: set[Path] = set()
        self._opened = False
        self._path: Path | None = None
        self._known: str | None = None
        self._disk: str | None = None
        self._told: str | None = None
        self._began = self._plain()
        recovery.autosave._soon.setInterval(SOON)
        hands.window.files.watch._pause.setInterval(NOTICED)
        hands.document.changed.connect(self._note)
        self.settle()

    @property
    def copy(self) -> dict[str, Any] | None:
        """The recovery copy of the document, as plain JSON; None where there is none."""
        found = list(self._copies.glob("*.json"))
        assert len(found) <= 1, "one bag, one copy"
        try:
            return json.loads(found[0].read_bytes()) if found else None  # type: ignore[no-any-return]
        except FileNotFoundError:
            return None

    def others_wrote(self) -> None:
        """Another program has just written the file that is open, or taken it away."""
        self._disk = digest(self._hands.document.path)

    def check(self) -> None:
        """What holds after each action of the maker."""
        self._follow()
        self._check_noticed()
        self._follow()
        until(
            lambda: not self._trouble_with_copy(),
            lambda: f"the recovery copy: {self._trouble_with_copy()}",
        )
        self._check_locks()
        self.settle()

    def settle(self) -> None:
        """What was asked up to here is past."""
        self._hands.answers.asked.clear()

    def _note(self, change: Change) -> None:
        if change.opened:
            self._opened = True
            self._began = self._plain()

    def _plain(self) -> dict[str, Any]:
        text = project_to_json(self._hands.document.project)
        return json.loads(text)  # type: ignore[no-any-return]

    def _follow(self) -> None:
        """Take over what the window read or wrote, and find what it wrote unasked."""
        document, answers = self._hands.document, self._hands.answers
        now, asked = digest(document.path), answers.asked
        was_asked = document.path is not None and f"changed {document.path.name}" in asked
        if self._opened or document.path != self._path:
            self._known, self._told = now, None
        elif now != self._disk:
            kept_mine = was_asked and answers.on_disk is Changed.KEEP_MINE
            named = any(each.startswith("save ") for each in asked)
            assert self._disk in (None, self._known) or kept_mine or named, (
                f"{document.path} was changed by others, and written over: {asked}"
            )
            self._known, self._told = now, None
        elif was_asked and answers.on_disk in (Changed.KEEP_MINE, Changed.READ_AGAIN):
            self._known = now
        elif answers.reverting and now and any(each.startswith("revert ") for each in asked):
            self._known = now  # what others wrote there was read
        self._opened, self._path, self._disk = False, document.path, now

    def _check_noticed(self) -> None:
        """What others did to the file is asked about; a file that is gone is no saved bag."""
        document, asked = self._hands.document, self._hands.answers.asked
        if document.path is None:
            return
        if self._disk is None:
            until(
                lambda: not document.saved, lambda: "the file is gone, and the bag counts as saved"
            )
        elif self._disk not in (self._known, self._told):
            question = f"changed {document.path.name}"
            until(lambda: question in asked, lambda: f"nobody asked: {question}")
            self._told = self._disk

    def _trouble_with_copy(self) -> list[str]:
        """What is wrong: there is a copy if, and only if, something is not saved."""
        document, copy = self._hands.document, self.copy
        if copy is None:
            return [] if document.saved else ["there is none"]
        if document.saved:
            return ["it is there, and the bag is saved"]
        kept, wanted = json.loads(copy["project"]), self._plain()
        if document.project.starting is None and (starting := kept.pop("starting", None)):
            # What changes are told against is the bag as it was opened.
            wanted.pop("starting", None)
            if starting["bag"]["body"] != self._began["body"]:
                return ["changes are told against another bag"]  # of the copy before, as yet
        path = None if document.path is None else str(document.path.absolute())
        wrong = [name for name in kept | wanted if kept.get(name) != wanted.get(name)]
        wrong += [] if copy["path"] == path else [f"its path is {copy['path']}, not {path}"]
        wrong += (
            []
            if copy["seen"] == self._known
            else [f"it tells of {copy['seen']}, not {self._known}"]
        )
        return wrong

    def _check_locks(self) -> None:
        """The open file is locked in the name of this process, and no other one is."""
        path = self._hands.document.path
        locked = {each for each in self._bags.iterdir() if each.name.endswith(".lock")}
        theirs = {lock_file(each) for each in self.theirs}
        mine = set()
        if path is not None and path.parent == self._bags and path not in self.theirs:
            mine = {lock_file(path)}
        assert locked == mine | theirs, f"locks {locked}, of the open file {mine}"
        for each in mine:
            assert int(each.read_text().split()[0]) == os.getpid()
