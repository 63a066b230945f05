"""The mutation run: `python -m tests.mutants`. Every mutant is caught, or told why it cannot be.

Fails when a mutant survives that `survivors.toml` does not explain, and when one explained
there is caught; runs none while a file or a mutant is named that is not there.
"""

import argparse
import random
import re
import signal
import sys
import tempfile
import time
import tomllib
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.mutants.operators import Mutant, mutants_of
from tests.mutants.run import ROOT, Child, End, Hurry, TestRecord, copy_tree, load_libraries, record
from tests.mutants.targets import TARGETS, Target

SURVIVORS = Path(__file__).with_name("survivors.toml")
_WORD = "explained"


@dataclass(slots=True)
class FileReport:
    """What became of the mutants of one file."""

    file: str
    lines: int
    made: int
    seconds: float = 0.0
    ends: Counter[str] = field(default_factory=Counter)
    faults: int = 0

    def __str__(self) -> str:
        counts = [self.ends[each.value] for each in End]
        counts.insert(2, self.ends[_WORD])
        cells = (self.lines, self.made, self.ends.total(), *counts, f"{self.seconds:.0f} s")
        return " | ".join(map(str, (self.file, *cells)))


HEAD = " | ".join(
    ("file", "lines", "made", "run", "killed", "timed out", _WORD, "survived", "time")
)


def explained() -> dict[str, dict[str, str]]:
    """For each file: "where: change" of a survivor -> why no test can catch it."""
    read = tomllib.loads(SURVIVORS.read_text(encoding="utf-8"))
    return {
        file: {
            f"{group['where']}: {each}": group["reason"]
            for group in groups
            for each in group["mutants"]
        }
        for file, groups in read.items()
    }


def missing(targets: Sequence[Target], survivors: Mapping[str, Iterable[str]]) -> Iterator[str]:
    """What they name and nobody finds: a file, or a slip that is made nowhere in it.

    Args:
        targets: what is mutated, by what tests.
        survivors: for each file "where: change" of the slips that are explained.
    """
    mutated = [file for target in targets for file in target.files]
    tests = [test for target in targets for test in (*target.tests, *target.apart)]
    lost = {file for file in (*mutated, *tests, *survivors) if not (ROOT / file).is_file()}
    yield from (f"no such file: {file}" for file in sorted(lost))
    for file, times in Counter(mutated).items():
        if times > 1:
            yield f"a target more than once: {file}"
    for file, names in survivors.items():
        if file not in mutated:
            yield f"explained, but no target: {file}"
        elif file not in lost:
            made = {key(each) for each in mutants_of((ROOT / file).read_text(encoding="utf-8"))}
            yield from (
                f"explained, but no more there: {file}: {each}"
                for each in names
                if each not in made
            )


def key(mutant: Mutant) -> str:
    """The mutant's name in a file."""
    return f"{mutant.where}: {mutant.change}"


class FileRun:
    """All chosen mutants of one file, some at a time."""

    def __init__(
        self,
        file: str,
        tests: Mapping[str, TestRecord],
        apart: Sequence[str],
        reasons: Mapping[str, str],
        tree: Path,
    ) -> None:
        self.file = file
        self.source = (tree / file).read_text(encoding="utf-8")
        self.mutants = mutants_of(self.source)
        self.report = FileReport(file, len(self.source.splitlines()), len(self.mutants))
        self._tests = tests
        self._apart = apart
        self._reasons = reasons
        self._killers: dict[str, Counter[str]] = {}

    def run(
        self, chosen: Sequence[Mutant], trees: Sequence[Path], *, least: float = 5.0
    ) -> FileReport:
        """Try them, one in each tree at a time.

        Args:
            chosen: of `mutants`.
            trees: copies of the project.
            least: seconds of the processor that each test has, besides what it took before.
        """
        begin = time.monotonic()
        waiting = deque(chosen)
        free = list(trees)
        running: list[tuple[Mutant, Child]] = []
        try:
            while waiting or running:
                while waiting and free:
                    mutant = waiting.popleft()
                    tests = self._tests_of(mutant)
                    if not tests:
                        self._judge(mutant, End.SURVIVED, "no test reaches it")
                        continue
                    tree = free.pop()
                    (tree / self.file).write_text(mutant.in_source(self.source), encoding="utf-8")
                    running.append((mutant, self._child(tree, tests, least)))
                for each in [each for each in running if each[1].ended()]:
                    running.remove(each)
                    self._took(*each)
                    free.append(each[1].tree)
                time.sleep(0.01)
        finally:
            for _, child in running:
                child.kill()
        for tree in trees:
            (tree / self.file).write_text(self.source, encoding="utf-8")
        self.report.seconds = time.monotonic() - begin
        return self.report

    def _child(self, tree: Path, tests: Sequence[str], least: float) -> Child:
        """The tests on the mutant in a tree; to note the lines has more than doubled their time."""
        limits = {name: least + 2 * self._tests[name].seconds for name in tests}
        hurry = Hurry(limits, self._tests.keys() - set(tests))
        test_files = dict.fromkeys(name.partition("::")[0] for name in tests)
        limit = 4 * least + sum(limits.values())
        clock = 8 * least + 4 * sum(self._tests[each].clock for each in tests)
        return Child(tree, [*test_files], [hurry], limit=limit, clock=clock)

    def _tests_of(self, mutant: Mutant) -> list[str]:
        """Those that reach its line, the ones that caught its neighbours and the quickest first."""
        first, last = mutant.lines
        killers = self._killers.get(mutant.where, Counter())

        def reaches(name: str) -> bool:
            test_file = name.partition("::")[0]
            if test_file in self._apart:
                return True
            if mutant.called:
                return any(first <= line <= last for line in self._tests[name].lines[self.file])
            # What is said once, when a module is read, may be seen by a test that runs no line
            # of it afterwards: the default of a record, say.
            return test_file in reading

        reading = {
            name.partition("::")[0] for name, test in self._tests.items() if test.lines[self.file]
        }

        found = [name for name in self._tests if reaches(name)]
        return sorted(found, key=lambda name: (-killers[name], self._tests[name].seconds))

    def _took(self, mutant: Mutant, child: Child) -> None:
        end = child.end()
        if end is End.KILLED:
            failed = re.search(r"^(?:FAILED|ERROR) (\S+)", child.told(), re.MULTILINE)
            if failed:
                self._killers.setdefault(mutant.where, Counter())[failed[1]] += 1
        self._judge(mutant, end, "all tests passed")

    def _judge(self, mutant: Mutant, end: End, note: str) -> None:
        name = key(mutant)
        told = f"{self.file}:{mutant.lines[0]}: {name}"
        if end is End.SURVIVED and name in self._reasons:
            self.report.ends[_WORD] += 1
            return
        self.report.ends[end.value] += 1
        if end is End.SURVIVED:
            self._fault(f"survived ({note}): {told}")
        elif name in self._reasons:
            self._fault(f"explained, but {end.value}: {told}")

    def _fault(self, told: str) -> None:
        self.report.faults += 1
        print(told, flush=True)


def chosen(mutants: Sequence[Mutant], file: str, sample: int | None, seed: int) -> list[Mutant]:
    """All of them, or so many by chance: the same for the same seed."""
    if sample is None or sample >= len(mutants):
        return list(mutants)
    places = random.Random(f"{seed} {file}").sample(range(len(mutants)), sample)
    return [mutants[place] for place in sorted(places)]


def reports(
    target: Target, files: Sequence[str], words: argparse.Namespace
) -> Iterator[FileReport]:
    """Run one target's files."""
    reasons = explained()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        trees = [copy_tree(Path(folder) / str(number)) for number in range(words.jobs)]
        tests = record(trees[0], files, (*target.tests, *target.apart))
        for file in files:
            run = FileRun(file, tests, target.apart, reasons.get(file, {}), trees[0])
            there = [each for each in run.mutants if words.where in key(each)]
            yield run.run(chosen(there, file, words.sample, words.seed), trees)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run what is asked for; 1 when something is neither caught nor explained."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    parser.add_argument("--only", help="files or targets with this in their name")
    parser.add_argument(
        "--where", default="", help="mutants with this in their name, as --list tells it"
    )
    parser.add_argument("--sample", type=int, help="so many mutants of each file, by chance")
    parser.add_argument("--seed", type=int, default=1, help="of the chance")
    parser.add_argument("--jobs", type=int, default=2, help="mutants at a time")
    parser.add_argument("--list", action="store_true", help="tell the mutants and run none")
    words = parser.parse_args(arguments)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # nothing goes on without its parent
    wanted = words.only or ""
    faults = 0
    done: list[FileReport] = []
    for each in missing(TARGETS, explained()):
        print(each)
        faults += 1
    if faults:
        return 1
    load_libraries()
    for target in TARGETS:
        files = [file for file in target.files if wanted in file or wanted in target.name]
        if words.list:
            for file in files:
                for each in mutants_of((ROOT / file).read_text(encoding="utf-8")):
                    if words.where in key(each):
                        print(f"{file}:{each.lines[0]}: {key(each)}")
        elif files:
            for report in reports(target, files, words):
                print(report, flush=True)
                done.append(report)
                faults += report.faults
    print(HEAD, *done, f"neither caught nor explained: {faults}", sep="\n")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
