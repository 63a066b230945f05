"""How short the layouts are, and how soon: `python -m tests.bench.bench_packing [SECONDS]`.

Prints length over the known optimum, or over area / width, after the first build and after the
given seconds (2 when none are given), for both ways of cutting. With rectpack installed (the
program does not need it) the best of all its packers, with its bin tightened for as long, is
printed beside it, and the run fails when ours is longer by more than 1 %. Sets of Hopper and
Turton (EJOR 128/1 (2000) 34-57) and of Hopper (2000) are read from ../shared/data where that
lies; otherwise sheets cut edge to edge stand in for them.
"""

import contextlib
import importlib.util
import itertools
import random
import statistics
import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter
from typing import Any

# Run as a script, the working copy's root is not on the path yet.
from core.bag.making import Cutting
from core.cutting.packing.job import Job, Rectangle
from core.cutting.packing.layouts import better_layouts
from core.flat.piece import GrainTurn
from tests.core.cutting.packing_checks import boxes, cuttable, faults, known_optimum

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
SMALL = {"C1": (20, 20), "C2": (40, 15), "C3": (60, 30)}
"""Set -> (width of the strip, optimum)."""

INCH = 25.4
MOST_LONGER = 1.01
FIRST_WITHIN = 0.020


@dataclass(frozen=True, slots=True)
class Case:
    """A job and, where it is known, its optimum, mm."""

    name: str
    job: Job
    optimum: float | None = None

    @property
    def least(self) -> float:
        """What lengths are measured against: the optimum, or the area on the full width."""
        area = sum(piece.width * piece.height for piece in self.job.rectangles)
        return self.optimum or area / self.job.usable_width


@dataclass(frozen=True, slots=True)
class Reached:
    """Lengths over the least, first and last, with what they took."""

    first: float
    first_seconds: float
    last: float
    builds: int


def sizes_in(path: Path) -> list[tuple[float, float]]:
    rows = (line.strip().split(",") for line in path.read_text(encoding="utf-8").splitlines())
    return [(float(row[0]), float(row[1])) for row in rows if row[0].isdigit()]


def job_of(sizes: list[tuple[float, float]], width: float, turns: list[GrainTurn]) -> Job:
    pieces = (Rectangle(width=w, height=h, turn=t) for (w, h), t in zip(sizes, turns, strict=True))
    return Job(rectangles=tuple(pieces), usable_width=width)


def small_sets() -> list[Case]:
    """Nine small sets with a known optimum, turning allowed."""
    if not DATA.exists():
        return [
            Case(
                f"sheet {n}-{seed}", known_optimum(60, 90, n, seed=seed, turn=GrainTurn.QUARTER), 90
            )
            for n in (16, 25, 28)
            for seed in range(3)
        ]
    found = []
    for name, (width, optimum) in SMALL.items():
        for number in (1, 2, 3):
            sizes = sizes_in(DATA / "hopper_turton" / f"{name}P{number}.csv")
            job = job_of(sizes, width, [GrainTurn.QUARTER] * len(sizes))
            found.append(Case(f"{name}P{number}", job, optimum))
    return found


def sheets() -> list[Case]:
    """Sheets of 200 x 200 that edge-to-edge cuts can make, nothing turned."""
    if not DATA.exists():
        return [
            Case(f"sheet {n}", known_optimum(200, 200, n, seed=n), 200) for n in (17, 25, 29, 49)
        ]
    found = []
    for name in ("T1a", "T2a", "T3a", "T4a"):
        sizes = sizes_in(DATA / "hopper_tn" / f"{name}.csv")
        found.append(Case(name, job_of(sizes, 200, [GrainTurn.HALF] * len(sizes)), 200))
    return found


def bags(number: int, width: float, *, turn: GrainTurn = GrainTurn.HALF) -> Case:
    """Seven pieces a bag: panel, pocket, three handle strips, two zip ends. Width in inches."""
    one = [(18.5, 37.0), (18.5, 16.0), *[(3.75, 42.0)] * 3, *[(1.5, 3.0)] * 2]
    sizes = [(w * INCH, h * INCH) for w, h in one] * number
    name = f"{number} bags on {width:g}" + (", turned" if turn is GrainTurn.QUARTER else "")
    return Case(name, job_of(sizes, width * INCH, [turn] * len(sizes)))


def mixed(turn: GrainTurn) -> Case:
    """208 different pieces of 3 to 24 inches."""
    chance = random.Random(5)
    sizes = [tuple(chance.randrange(48, 384) * INCH / 16 for _ in "wh") for _ in range(208)]
    name = "208 mixed" + (", turned" if turn is GrainTurn.QUARTER else "")
    return Case(name, job_of([(w, h) for w, h in sizes], 54 * INCH, [turn] * 208))


def reached(case: Case, seconds: float) -> Reached:
    """Lay for so long; every figure over `case.least`. A faulty layout ends the run."""
    start = perf_counter()
    first: tuple[float, float] | None = None
    for progress in better_layouts(case.job, seed=0, builds=10**9):
        now = perf_counter() - start
        first = first or (progress.layout.length, now)
        if now > seconds:
            break
    wrong = faults(progress.layout) if len(case.job.rectangles) < 500 else []
    if case.job.cutting is Cutting.ROWS and not cuttable(boxes(progress.layout), 0):
        wrong.append("not cuttable edge to edge")
    if wrong:
        raise SystemExit(f"{case.name}: {wrong}")
    length = progress.layout.length
    return Reached(first[0] / case.least, first[1], length / case.least, progress.builds)


class Rectpack:
    """All packers of rectpack on one strip, in whole micrometres."""

    def __init__(self) -> None:
        import rectpack
        from rectpack import guillotine, maxrects, packer, skyline

        self._new: Any = rectpack.newPacker
        algorithms = [
            each
            for module in (maxrects, skyline, guillotine)
            for name, each in sorted(vars(module).items())
            if name.startswith(("MaxRects", "Skyline", "Guillotine"))
        ]
        sorts = [each for name, each in sorted(vars(packer).items()) if name.startswith("SORT_")]
        self._variants = [
            (algorithm, sort)
            for algorithm, sort in itertools.product(algorithms, sorts)
            if sort is not packer.SORT_NONE
        ]

    def best(self, case: Case, seconds: float) -> float:
        """The shortest length in that time, over `case.least`."""
        end = perf_counter() + seconds
        lengths = list(self._lengths(case, end))
        return min(lengths) / 1000 / case.least if lengths else float("inf")

    def _lengths(self, case: Case, end: float) -> Iterator[int]:
        endless = round(sum(p.width + p.height for p in case.job.rectangles) * 1000)
        found = []
        for variant in self._variants:
            if perf_counter() > end:
                break
            length = self._pack(case.job, endless, *variant)
            if length is not None:
                yield length
                found.append((length, len(found), variant))
        best = min(found)[0] if found else 0
        for length, _, variant in sorted(found):
            bin_length, step = min(length, best), max(1, best // 64)
            while step > best // 5000 and perf_counter() < end:
                tighter = self._pack(case.job, bin_length - step, *variant)
                if tighter is None:
                    step //= 2
                else:
                    bin_length = tighter
                    yield tighter
            best = min(best, bin_length)

    def _pack(self, job: Job, length: int, algorithm: Any, sort: Any) -> int | None:
        # It knows one rule of turning for all pieces.
        turning = all(piece.may_turn for piece in job.rectangles)
        packer = self._new(pack_algo=algorithm, sort_algo=sort, rotation=turning)
        for piece in job.rectangles:
            packer.add_rect(round(piece.width * 1000), round(piece.height * 1000))
        packer.add_bin(round(job.usable_width * 1000), length)
        with contextlib.suppress(NotImplementedError):  # its abstract classes
            packer.pack()
        laid = packer.rect_list()
        if len(laid) < len(job.rectangles):
            return None
        return max(int(y + height) for _, _, y, _, height, _ in laid)


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 2.0
    other = Rectpack() if importlib.util.find_spec("rectpack") else None
    print(f"{'':24}{'first':>8}{'':>10}{'free':>8}{'builds':>8}{'rows':>8}{'rectpack':>10}")
    small = [line(case, seconds, other) for case in small_sets()]
    means = [statistics.fmean(column) for column in zip(*small, strict=True)]
    print(f"{'nine small sets':24}{'':18}{means[0]:8.4f}{'':8}{means[1]:8.4f}{means[2]:10.4f}")
    cases = [*(bags(10, width) for width in (42, 44, 54, 58)), bags(10, 54, turn=GrainTurn.QUARTER)]
    cases += [mixed(GrainTurn.HALF), mixed(GrainTurn.QUARTER), *sheets()]
    ratios = [means, *(line(case, seconds, other) for case in cases)]
    for number in (50, 200):
        line(bags(number, 54), seconds, None)
    if other and any(free > MOST_LONGER * theirs for free, _, theirs in ratios):
        raise SystemExit("longer than rectpack by more than 1 %")


def line(case: Case, seconds: float, other: Rectpack | None) -> tuple[float, float, float]:
    """Print one case; (free, rows, rectpack) over its least length."""
    free = reached(case, seconds)
    rows = reached(replace(case, job=replace(case.job, cutting=Cutting.ROWS)), seconds)
    theirs = other.best(case, seconds) if other else float("nan")
    count = len(case.job.rectangles)
    print(
        f"{case.name:20}{count:4}{free.first:8.4f}{free.first_seconds * 1000:7.1f} ms"
        f"{free.last:8.4f}{free.builds:8}{rows.last:8.4f}{theirs:10.4f}",
        flush=True,
    )
    if count <= 70 and free.first_seconds > FIRST_WITHIN:
        print(f"  first layout took longer than {FIRST_WITHIN * 1000:.0f} ms")
    return free.last, rows.last, theirs


if __name__ == "__main__":
    main()
