"""A walk among files at random: copies, locks, other programs, full disks, lost bags."""

import json
import os
import secrets
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtTest import QTest

from app.files.recovery import Recovery
from app.session.session import Changed, RecoveryChoice, Unsaved
from app.widgets.figure_box import finish_typing
from core.storage.bag_file import project_to_json
from core.storage.bag_files import SAMPLES, read_project, sample
from core.storage.project import Project
from tests.app.hands import Hands
from tests.faults.safekeeping import PATIENCE, OtherProgram, Safekeeping, until
from tests.faults.test_walk import SEED, Closer, Walker
from tests.helpers import write_bag

FULL = 2_500
LONG_AFTER = 10_000_000
"""Milliseconds: no copy is written by itself."""

pytestmark = pytest.mark.skipif(os.name == "nt", reason="limits of file size are of POSIX")


@contextmanager
def full_disk() -> Iterator[None]:
    """No file may grow beyond a hundred bytes."""
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (100, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


class FileWalker(Walker):
    """Does one thing after another with files, from a seed."""

    def __init__(self, hands: Hands, folder: Path, copies: Path, recovery: Recovery) -> None:
        super().__init__(hands, folder, SEED)
        self.copies, self.recovery = copies, recovery
        self.safe: Safekeeping = Safekeeping(hands, recovery, folder, copies)
        self.other = OtherProgram()
        self.number = 0
        self.acts: list[Callable[[], None]] = [
            *(self.edit, self.undo, self.hold, self.save, self.save_as, self.open, self.new),
            *(self.fail_to_save, self.fail_to_save_as, self.open_what_others_have),
            *(self.save_where_others_are, self.knock, self.remove),
            *(lambda each=each: self.be_changed(each) for each in Changed),
            *(lambda each=each: self.save_over(each) for each in Changed),
            *(lambda each=each: self.find_left_over(each) for each in RecoveryChoice),
        ]
        self.waiting: list[Callable[[], None]] = []

    def go(self) -> None:
        """The next action; all of them come before one comes again."""
        if not self.waiting:
            self.waiting = list(self.acts)
            self.draw.shuffle(self.waiting)
        act = self.waiting.pop()
        self.prepare_answers()
        finish_typing()
        if self.draw.random() < 0.5:
            self.edit()
        act()
        QTest.qWait(1)

    def edit(self) -> None:
        self.number += 1
        width = 420.05 + self.number % 900 / 10  # which no sample has, so it is a change
        assert self.hands.document.set_figures({self.width_figure: width}, "Width")

    @property
    def width_figure(self) -> str:
        """What the open bag's front is cut to."""
        return self.hands.document.bag.site.front.width_figure

    def trigger(self, name: str) -> None:
        self.window.commands[name].trigger()

    def have_file(self) -> Path:
        """The file that is open; one is opened if none is."""
        path = self.hands.document.path
        if path is None or not path.is_file():
            path = self.folder / f"own {self.draw.randrange(3)}.json"
            self.hands.answers.saved = path
            self.trigger("save_as")
            assert self.hands.document.path == path
            self.safe.check()
        return path

    def theirs(self) -> Project:
        """A bag that nobody has had before."""
        self.number += 1
        bag = sample(self.draw.choice(SAMPLES))
        return Project(bag=replace(bag, name=f"Theirs {self.number}"))

    def hold(self) -> None:
        """A held key does not put the copy off for ever."""
        self.have_file()
        self.hands.answers.on_disk = Changed.KEEP_MINE
        self.trigger("save")
        self.safe.check()
        assert self.safe.copy is None
        soon = self.recovery.autosave._soon
        before = soon.interval()
        soon.setInterval(LONG_AFTER)
        slowest = max(self.hold_on() for _ in range(5))
        soon.setInterval(round(1000 * max(0.3, 10 * slowest)))  # longer than from step to step
        end = time.monotonic() + PATIENCE
        while self.safe.copy is None and time.monotonic() < end:
            self.hold_on()
        soon.setInterval(before)
        assert self.safe.copy is not None, "put off for as long as the key was held"

    def hold_on(self) -> float:
        """One step of a held key; the seconds that it took."""
        self.number += 1
        begun = time.monotonic()
        changes = {self.width_figure: 480.0 + self.number / 100}
        self.hands.document.set_figures(changes, "Width", merge_key="held")
        QTest.qWait(1)
        return time.monotonic() - begun

    def save(self) -> None:
        self.have_file()
        self.hands.answers.on_disk = Changed.KEEP_MINE
        self.trigger("save")
        self.is_saved()

    def is_saved(self) -> None:
        document = self.hands.document
        assert document.saved
        assert document.path is not None
        found = read_project(document.path).bag
        assert replace(found, unit=document.bag.unit) == document.bag

    def save_as(self) -> None:
        self.hands.answers.saved = self.folder / f"own {self.draw.randrange(3)}.json"
        self.trigger("save_as")
        assert self.hands.document.path == self.hands.answers.saved
        self.is_saved()

    def open(self) -> None:
        document, answers = self.hands.document, self.hands.answers
        may = document.saved or answers.leaving is Unsaved.DISCARD
        # The shared one is for what others have open: it can be theirs only while it is not ours.
        others = {"bad.json", "shared.json"}
        there = sorted(each for each in self.folder.glob("*.json") if each.name not in others)
        if not there:
            return
        answers.opened = path = self.draw.choice(there)
        mine, told = document.project, read_project(path)
        self.trigger("open")
        if may:
            assert document.project == told
            assert document.path == path
        elif answers.leaving is Unsaved.CANCEL:
            assert document.project == mine

    def new(self) -> None:
        self.trigger("new")

    def remove(self) -> None:
        """Another program takes the file of a saved bag away."""
        self.hands.answers.on_disk = Changed.KEEP_MINE
        path = self.have_file()
        self.trigger("save")
        self.safe.check()
        path.unlink()
        self.safe.others_wrote()

    def be_changed(self, answer: Changed) -> None:
        """Another program writes the file; the window notices by itself."""
        path, mine = self.have_file(), self.hands.document.project
        theirs = self.write_theirs(path, answer)
        until(lambda: f"changed {path.name}" in self.hands.answers.asked, lambda: "nobody told")
        if answer is Changed.KEEP_MINE:
            assert self.hands.document.project == mine
            assert not self.hands.document.saved
            assert read_project(path) == theirs
            self.safe.check()
            self.trigger("save")
            assert self.hands.answers.asked == [], "it was answered before"
            self.is_saved()
        else:
            self.check_answer(answer, path, mine, theirs)

    def save_over(self, answer: Changed) -> None:
        """Another program writes the file, and the maker saves before that was noticed."""
        path, mine = self.have_file(), self.hands.document.project
        theirs = self.write_theirs(path, answer)
        self.trigger("save")
        assert self.hands.answers.asked[0] == f"changed {path.name}"
        if answer is Changed.KEEP_MINE:
            assert self.hands.document.project == mine
            self.is_saved()
        else:
            self.check_answer(answer, path, mine, theirs)

    def write_theirs(self, path: Path, answer: Changed) -> Project:
        theirs = self.theirs()
        self.safe.settle()
        self.hands.answers.on_disk = answer
        # Aside is another file: saved onto its own, what others wrote would be written over.
        aside = self.folder / ("aside.json" if path.name != "aside.json" else "beside.json")
        self.hands.answers.saved = self.draw.choice([None, aside])
        write_bag(theirs.bag, path)
        self.safe.others_wrote()
        return theirs

    def check_answer(self, answer: Changed, path: Path, mine: Project, theirs: Project) -> None:
        document, aside = self.hands.document, self.hands.answers.saved
        assert read_project(path) == theirs, "what others wrote is there"
        if answer is Changed.READ_AGAIN:
            assert document.project == theirs
            assert document.saved
            self.safe.check()
            document.undo_stack.undo()
            assert document.project == mine, "undo brings mine back"
            assert not document.saved
        else:
            assert document.project == mine
            assert document.saved is (answer is Changed.SAVE_AS and aside is not None)
            assert document.path == (aside if document.saved else path)

    def fail_to_save(self) -> None:
        path = self.have_file()
        self.hands.answers.on_disk = Changed.KEEP_MINE
        self.edit()
        self.safe.check()
        before = path.read_bytes()
        self.fail(lambda: self.trigger("save"), f"{path.name} cannot be written: ")
        assert path.read_bytes() == before
        self.safe.check()
        self.trigger("save")
        self.is_saved()

    def fail_to_save_as(self) -> None:
        """To where a folder is, or on a full disk."""
        self.edit()
        self.safe.check()
        self.hands.answers.saved = place = self.folder / f"new {self.number}.json"
        place.mkdir() if (is_folder := self.draw.random() < 0.5) else None
        path = self.hands.document.path
        self.fail(lambda: self.trigger("save_as"), f"{place.name} cannot be written: ")
        assert self.hands.document.path == path
        assert place.is_dir() is place.exists() is is_folder
        if is_folder:
            place.rmdir()

    def fail(self, save: Callable[[], None], told: str) -> None:
        answers = self.hands.answers
        answers.told.clear()
        with full_disk():
            save()
        assert len(answers.told) == 1
        assert answers.told[0].startswith(told)
        assert answers.told[0].endswith("save it to another place.")
        assert not self.hands.document.saved
        assert self.window.isWindowModified()
        assert not list(self.folder.glob(".*.tmp"))

    def open_what_others_have(self) -> None:
        answers, document = self.hands.answers, self.hands.document
        path = self.folder / "shared.json"
        write_bag(self.theirs().bag, path)
        answers.leaving, answers.opened = Unsaved.DISCARD, path
        assert self.other.take(path)
        self.safe.theirs.add(path)
        mine = document.project
        self.trigger("open")
        assert f"elsewhere {path.name}" in answers.asked
        if answers.going_on:
            assert document.path == path
            self.safe.check()
            self.trigger("new")
            assert document.path is None
        else:
            assert document.project == mine
        self.safe.check()
        self.other.free()
        self.safe.theirs.clear()

    def save_where_others_are(self) -> None:
        answers, document = self.hands.answers, self.hands.document
        path = self.folder / "shared.json"
        theirs = self.theirs()
        write_bag(theirs.bag, path)
        assert self.other.take(path)
        self.safe.theirs.add(path)
        answers.saved, answers.going_on = path, False
        was = document.path
        self.trigger("save_as")
        assert f"elsewhere {path.name}" in answers.asked
        assert read_project(path) == theirs
        assert document.path == was
        self.safe.check()
        self.other.free()
        self.safe.theirs.clear()

    def knock(self) -> None:
        """Another program finds the file locked, and free once another one is open."""
        path = self.have_file()
        assert not self.other.take(path)
        self.hands.answers.leaving = Unsaved.DISCARD
        self.trigger("new")
        assert self.other.take(path)
        self.other.free()

    def find_left_over(self, answer: RecoveryChoice) -> None:
        """A program that was killed left a copy, as a plain JSON file."""
        answers, document = self.hands.answers, self.hands.document
        answers.left = answer
        lost = self.theirs()
        left = self.copies / f"{secrets.token_hex(8)}.json"
        self.copies.mkdir(exist_ok=True)
        record = {
            "format": "cornerwright recovery 1",
            "path": None,
            "seen": None,
            "at": time.time(),
            "project": project_to_json(lost),
        }
        left.write_text(json.dumps(record), encoding="utf-8")
        mine = document.project
        may = document.saved or answers.leaving is Unsaved.DISCARD
        if answers.leaving is Unsaved.SAVE:
            answers.leaving = Unsaved.CANCEL
        self.recovery.begin(None)
        assert f"left over {lost.bag.name}" in answers.asked
        recovered = answers.left is RecoveryChoice.RECOVER and may
        assert document.project == (lost if recovered else mine)
        assert left.exists() is (not recovered and answers.left is not RecoveryChoice.FORGET)
        if recovered:
            assert not document.saved
            copy = self.safe.copy
            assert copy is not None
            assert lost.bag.name in copy["project"], "its own copy was there before the other went"
        left.unlink(missing_ok=True)


def test_a_walk_among_files_loses_nothing(
    hands: Hands, tmp_path: Path, share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    folder, copies = tmp_path / "bags", tmp_path / "recovery"
    folder.mkdir()
    walker = FileWalker(hands, folder, copies, Recovery(hands.window, copies))
    closer = Closer(walker.draw)
    actions = share(FULL)
    for _ in range(actions):
        walker.go()
        walker.safe.check()
    closer.stop()
    walker.other.close()
    hands.answers.leaving = Unsaved.DISCARD
    hands.window.close()
    assert list(copies.iterdir()) == []
    assert list(folder.glob(".*")) == []
    tell(
        f"actions among files at random: {actions} (seed {SEED}) of {len(walker.acts)} kinds; "
        "copies, locks and questions as they must be after each"
    )
