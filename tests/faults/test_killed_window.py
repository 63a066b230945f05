"""The window killed in the middle of an act, and started again: nothing lost or offered twice."""

import hashlib
import random
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import pytest

import app.files.autosave
import app.files.files
import app.files.recovery
import app.files.watch
import app.session.document
import core.storage.bag_files
from core.base import atomic_write as wholefile
from tests.faults.killed_window import ACTS, REST
from tests.faults.test_walk import SEED
from tests.nursery import Nursery, needs_forks, nursery

pytestmark = needs_forks

WRITER: tuple[FunctionType, ...] = (
    app.files.autosave._write,
    wholefile.write_whole,
    wholefile._fill,
    wholefile._settle,
    app.files.autosave._take_away,
)
"""What the thread that writes copies does."""
SAVING: tuple[FunctionType, ...] = (
    app.files.files.Files._write,
    core.storage.bag_files.write_project,
    wholefile.write_whole,
    wholefile._fill,
    wholefile._keep,
    app.files.watch.FileWatch.follow,
    app.session.document.Document.mark_saved,
    app.files.autosave.Autosave._on_time,
    app.files.watch.ProcessLock.take,
)
"""What saving does, and what begins a copy."""
GIVING_UP: tuple[FunctionType, ...] = (
    app.files.recovery.Recovery._recover,
    app.files.recovery.RecoveredCopy.forget,
)
"""Where the next start gives up the copy that it found for one of its own."""
RECOVERING: tuple[FunctionType, ...] = (
    app.files.recovery.Recovery.offer,
    app.files.files.Files.recover,
    app.files.files.Files._show,
    app.session.document.Document.open,
    app.files.autosave.Autosave.write_now,
    app.files.autosave.Autosave._on_time,
)
"""What else it does with it."""

Stage = tuple[str, str, int, bool]


def stages(functions: tuple[FunctionType, ...], *, in_writer: bool = False) -> list[Stage]:
    """Every line of the functions."""
    return [
        (each.__code__.co_filename, each.__code__.co_qualname, line, in_writer)
        for each in functions
        for line in lines_of(each.__code__)
    ]


def lines_of(code: CodeType) -> list[int]:
    lines = {line for _, _, line in code.co_lines() if line is not None}
    return sorted(lines - {code.co_firstlineno})


@pytest.fixture(scope="module")
def starts() -> Iterator[Nursery]:
    with nursery() as made:
        yield made


class Chain:
    """Starts, each of which recovers what the one before left when it was killed.

    Attributes:
        found: how often what was met.
        hit: the stages at which it was killed.
        must: whether the next start must offer something.
    """

    def __init__(self, starts: Nursery, folder: Path) -> None:
        self._starts = starts
        self._home, self._bags = folder / "home", folder / "bags"
        self._bags.mkdir()
        self._number = 0
        self.found: Counter[str] = Counter()
        self.hit: set[tuple[str, str, int, bool]] = set()
        # What the next start may offer.
        self._may: set[str] = set()
        self.must = False
        self._files: dict[str, set[str | None]] = {}
        self._ever: set[str | None] = set()

    def live(self, acts: list[str], stage: Stage | None = None) -> None:
        """One start, killed at a stage if it comes there, else after its acts."""
        self._number += 1
        plan = {
            "seed": SEED * 1000 + self._number,
            "bags": str(self._bags),
            "acts": acts,
            "stage": stage,
        }
        hands = "tests.faults.killed_window:live"
        program = self._starts.start(hands, plan, home=self._home)
        status = program.wait()
        assert program.errors == ""
        assert status == -9, f"ended with {status}: {program.said[-3:]}"
        self._follow(program.said)
        self._check_files()
        if (
            stage is not None
            and isinstance(program.said[-1], dict)
            and "killed" in program.said[-1]
        ):
            self.hit.add(stage)
        self.found["kills"] += 1

    def _follow(self, said: list[Any]) -> None:
        """Go through what a start said, and reckon what must be on the disk after it."""
        events = [each if isinstance(each, dict) else {each: True} for each in said]
        assert not [each for each in events if "told" in each], "nothing went wrong"
        offered = len([each for each in events if "offered" in each])
        assert offered <= 1, "nothing is offered twice"
        assert offered or not self.must or "began" not in said, "a copy was lost"
        self.found["recovered"] += offered
        begin = said.index("began") if "began" in said else len(said)
        for each in events[:begin]:
            self._follow_recovering(each)
        if "began" not in said:
            return
        (first,) = [each for each in events[begin : begin + 2] if "now" in each]
        if offered:
            assert first["now"] in self._may, "another bag came back than was left"
            assert not first["saved"]
        else:
            self._may, self.must = set(), False
        states: list[tuple[str, bool]] = [(first["now"], first["saved"])]
        saving: tuple[str, str] | None = None
        for each in events[begin + 2 :]:
            if "now" in each:
                states.append((each["now"], each["saved"]))
                if not each["saved"]:
                    self._may.add(each["now"])
                else:
                    self.must = False
                    if saving == (each["now"], each["path"]):
                        self._files[each["path"]] = {each["now"]}
            elif "copied" in each:
                self._take_copy(each["copied"], states)
            elif "saving" in each:
                saving = (each["saving"], each["path"])
                self._files.setdefault(each["path"], {None}).add(each["saving"])
                self._ever.add(each["saving"])
            elif each.get("act") == REST and each["saved"]:
                self._may = set()  # the copy has gone
            self.found[each.get("act", "")] += 1

    def _follow_recovering(self, event: dict[str, Any]) -> None:
        """While it is shown again the copy that was found stays, until there is another one.

        Before it, a start shows the file that was open last.
        """
        if "now" in event and event["saved"]:
            assert event["now"] in self._files[event["path"]], "the last bag is another one"
            return
        for word in ("now", "copied"):
            if word in event:
                assert event[word] in self._may
        if "copied" in event:
            self._may, self.must = {event["copied"]}, True

    def _take_copy(self, copied: str, states: list[tuple[str, bool]]) -> None:
        places = [place for place, (state, _) in enumerate(states) if state == copied]
        assert places, "a copy of what never was"
        after = states[places[-1] + 1 :]
        self._may = {copied, *(state for state, saved in after if not saved)}
        self.must = not any(saved for _, saved in states[places[-1] :])

    def _check_files(self) -> None:
        """Each file is the old one or the new one, whole, and so is its backup."""
        for path, allowed in self._files.items():
            assert digest(Path(path)) in allowed, f"{path} is neither the old nor the new one"
            assert digest(Path(f"{path}~")) in {None, *self._ever}


def digest(path: Path) -> str | None:
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else None


def test_a_killed_window_comes_back_with_its_last_copy(
    starts: Nursery,
    tmp_path: Path,
    share: Callable[[int], int],
    tell: Callable[[str], None],
) -> None:
    draw = random.Random(SEED)
    is_full = share(1000) == 1000
    chain = Chain(starts, tmp_path)
    writing = stages(WRITER, in_writer=True)
    saving, recovering = stages(SAVING), stages(RECOVERING)
    if not is_full:  # a few of those in which hardly anything happens
        saving, recovering = saving[:: len(saving) // 5], recovering[:: len(recovering) // 5]
    for act in ACTS:  # in the middle of each, with its copy still to come
        chain.live([*draw.sample(ACTS, 2), "type", REST, act])
    for stage in writing:  # rest, save and rest: the copy comes and goes
        chain.live([draw.choice(ACTS), "type", REST, "save_as", REST, "type", REST], stage)
    for stage in saving:
        chain.live(["type", REST, draw.choice(("save", "save_as")), "type", "save"], stage)
    for stage in (*recovering, *stages(GIVING_UP)):
        if not chain.must:
            chain.live(["type", REST])
        chain.live([], stage)
    chain.live([])
    functions = {(name, in_writer) for _, name, _, in_writer in chain.hit}
    for function in WRITER:
        assert (function.__qualname__, True) in functions, f"never killed in {function}"
    for function in (*GIVING_UP, *(SAVING if is_full else ())):
        assert (function.__qualname__, False) in functions, f"never killed in {function}"
    found = chain.found
    tell(
        f"kill -9 of the window: {found['kills']}, {len(chain.hit)} of them at different lines of "
        f"the writers; {found['recovered']} bags came back as last copied, none twice; every "
        "file the old or the new one"
    )
