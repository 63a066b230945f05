"""Laying rectangles on sheets of one size, none across two of them. Lengths are mm."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from core.bag.making import Cutting
from core.base.tolerance import LENGTH_TOLERANCE, shorter
from core.cutting.packing.job import Job, Layout, Placement, Rectangle
from core.cutting.packing.layouts import better_layouts
from core.cutting.packing.layouts import least_length as least_on_roll

_TRIES = 60
"""Layouts tried before a set of pieces is held to be too much for one sheet."""


@dataclass(frozen=True, slots=True)
class SectionLayout:
    """Where the rectangles of one section lie.

    Attributes:
        placements: one per rectangle, in their order. On sheets, y counts through: sheet n
            begins at n times the sheet's length.
        length: that they take; whole sheets but for the last.
    """

    placements: tuple[Placement, ...]
    length: float


def better_sheets(job: Job, sheet: float, *, seed: int) -> Iterator[SectionLayout]:
    """A layout at once, then, where there is one, a shorter one, on sheets of that length.

    Each rectangle of the job fits on a sheet in every way that it may lie.
    """
    first = next(better_layouts(job, seed=seed, builds=1)).layout
    rows = _in_rows(first, sheet)
    yield rows
    filled = _filled(job, sheet, seed=seed)
    if shorter(filled.length, rows.length):
        yield filled


def _in_rows(layout: Layout, sheet: float) -> SectionLayout:
    """Rows by falling height, as the first layout is laid, handed out to sheets.

    First-fit decreasing (Johnson, Demers, Ullman, Garey and Graham, "Worst-case performance
    bounds for simple one-dimensional packing algorithms", SIAM J. Comput. 3, 1974).
    """
    rows: dict[float, list[Placement]] = {}
    for each in sorted(layout.placements, key=lambda each: each.y):
        rows.setdefault(each.y, []).append(each)
    gap = layout.job.gap
    ends: list[float] = []  # of what lies on each sheet, from its own start
    moved: list[Placement] = []
    for row in rows.values():
        height = max(each.height for each in row)
        fitting = (n for n, end in enumerate(ends) if not shorter(sheet, end + gap + height))
        number = next(fitting, len(ends))
        if number == len(ends):
            ends.append(-gap)
        start = ends[number] + gap
        ends[number] = start + height
        moved += [replace(each, y=number * sheet + start) for each in row]
    moved.sort(key=lambda each: each.index)
    return SectionLayout(tuple(moved), (len(ends) - 1) * sheet + ends[-1] if ends else 0.0)


def _filled(job: Job, sheet: float, *, seed: int) -> SectionLayout:
    """One sheet after another filled with as much as it takes, the largest pieces first.

    What filled one sheet is repeated for as long as there are such pieces.
    """
    waiting: dict[Rectangle, list[int]] = {}
    for index, piece in enumerate(job.rectangles):
        waiting.setdefault(piece, []).append(index)
    placements: list[Placement] = []
    number, end = 0, 0.0
    while waiting:
        layout = _one_sheet(job, sheet, {piece: len(left) for piece, left in waiting.items()}, seed)
        taken = Counter(layout.job.rectangles)
        for _ in range(min(len(waiting[piece]) // count for piece, count in taken.items())):
            for each in layout.placements:
                index = waiting[layout.job.rectangles[each.index]].pop(0)
                placements.append(replace(each, index=index, y=number * sheet + each.y))
            end = number * sheet + layout.length
            number += 1
        waiting = {piece: left for piece, left in waiting.items() if left}
    placements.sort(key=lambda each: each.index)
    return SectionLayout(tuple(placements), end)


def _one_sheet(job: Job, sheet: float, waiting: dict[Rectangle, int], seed: int) -> Layout:
    best = Layout(replace(job, rectangles=()), (), 0.0)
    for piece in sorted(waiting, key=lambda piece: -piece.width * piece.height):
        for _ in range(waiting[piece]):
            more = replace(job, rectangles=(*best.job.rectangles, piece))
            layout = _on_one(more, sheet, seed=seed)
            if layout is None:
                break
            best = layout
    return best


def _on_one(job: Job, sheet: float, *, seed: int) -> Layout | None:
    """The first layout found that is no longer than the sheet."""
    area = sum(piece.width * piece.height for piece in job.rectangles)
    if area > (job.usable_width + LENGTH_TOLERANCE) * (sheet + LENGTH_TOLERANCE):
        return None
    for found in better_layouts(job, seed=seed, builds=_TRIES):
        if not shorter(sheet, found.layout.length):
            return found.layout
    return None


_WORK = {Cutting.FREE: 60_000, Cutting.ROWS: 20_000}
"""Pieces laid in all builds of one search: about half a second to a second of work, as
measured for 50 pieces."""
_FEWEST, _MOST = 40, 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One job, on goods without end or on sheets: what is laid on one stretch of goods.

    It knows no bag: it can be sent to a worker and its layout brought back.

    Attributes:
        job: what to lay on which width.
        sheet: length of one sheet; None for goods off a roll. Each rectangle must fit on
            a sheet in every way that it may lie.
        share: of the usual number of layouts that are tried, above 0.
    """

    job: Job
    sheet: float | None = None
    share: float = 1.0

    @property
    def builds(self) -> int:
        """How many layouts are tried when nobody says: fewer of large jobs."""
        number = max(len(self.job.rectangles), 1)
        usual = min(_MOST, _WORK[self.job.cutting] // number)
        return max(_FEWEST, round(self.share * usual))


def first_layout(section: Section) -> SectionLayout:
    """The layout that every search begins from."""
    return next(_better(section, seed=0, builds=1))


def least_length(section: Section) -> float:
    """A length that no layout of the section can fall below, mm."""
    if section.sheet is None:
        return least_on_roll(section.job)
    # The whole of a sheet but the last: no more is known without laying it out.
    area = sum(each.width * each.height for each in section.job.rectangles)
    return area / section.job.usable_width


@dataclass(frozen=True, slots=True)
class SearchProgress:
    """Share of the work done, 0 to 1, and the best layout of each section so far.

    The layouts are the same object until one is better.
    """

    done: float
    layouts: tuple[SectionLayout, ...]


def better_sections(
    sections: Sequence[Section], *, seed: int = 0, builds: int | None = None
) -> Iterator[SearchProgress]:
    """Lay all sections out, at once and then better and better, in turns.

    Each search draws from its own seed, so that taking turns changes no answer.

    Sections, seed and number of builds (of each section; None: as many as `Section.builds`) fix
    the answer; dropping the iterator ends it. A TooWideError says what fits neither way.
    """
    budgets = [builds or section.builds for section in sections]
    searches = [
        _better(section, seed=seed, builds=budget)
        for section, budget in zip(sections, budgets, strict=True)
    ]
    firsts = [next(search) for search in searches]
    counts = [1] * len(sections)
    layouts = tuple(firsts)
    total = sum(budgets)
    yield SearchProgress(0.0 if total else 1.0, layouts)
    running = dict(enumerate(searches))
    while running:
        for number, search in list(running.items()):
            found = next(search, None)
            if found is None:
                del running[number]
                counts[number] = budgets[number]
                continue
            counts[number] += 1
            if found is not layouts[number]:
                layouts = (*layouts[:number], found, *layouts[number + 1 :])
        yield SearchProgress(sum(counts) / total, layouts)


def _better(section: Section, *, seed: int, builds: int) -> Iterator[SectionLayout]:
    """One layout per build; the same object until a better one is found."""
    if section.sheet is not None:
        yield from better_sheets(section.job, section.sheet, seed=seed)
        return
    best: SectionLayout | None = None
    seen: Layout | None = None
    for found in better_layouts(section.job, seed=seed, builds=builds):
        if best is None or found.layout is not seen:
            seen = found.layout
            best = SectionLayout(seen.placements, seen.length)
        yield best
