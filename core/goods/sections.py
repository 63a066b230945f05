"""Sections: what is laid on one stretch of goods, as plain rectangles, and the search for it.

A section knows no bag: it can be sent to a worker and its layout brought back. mm.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from core.goods.making import Cutting
from core.goods.packing import Job, Layout, better_layouts
from core.goods.packing import least_length as least_on_roll
from core.goods.packing_sheets import SectionLayout, better_sheets

_WORK = {Cutting.FREE: 60_000, Cutting.ROWS: 20_000}
"""Pieces laid in all builds of one search: about half a second to a second of work, as
measured for 50 pieces."""
_FEWEST, _MOST = 40, 2000


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One job, on goods without end or on sheets.

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
class Step:
    """How far the search has come.

    Attributes:
        done: share of the work, 0 to 1.
        layouts: the best of each section; the same object until one is better.
    """

    done: float
    layouts: tuple[SectionLayout, ...]


def better_sections(
    sections: Sequence[Section], *, seed: int = 0, builds: int | None = None
) -> Iterator[Step]:
    """Lay all sections out, at once and then better and better, in turns.

    Each search draws from its own seed, so that taking turns changes no answer.

    Sections, seed and number of builds fix the answer; dropping the iterator ends it.

    Args:
        sections: what to lay.
        seed: of the search.
        builds: layouts tried for each section; None: as many as `Section.builds`.

    Raises:
        TooWideError: some rectangle fits neither way.
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
    yield Step(0.0 if total else 1.0, layouts)
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
        yield Step(sum(counts) / total, layouts)


def _better(section: Section, *, seed: int, builds: int) -> Iterator[SectionLayout]:
    """One layout per build; the same object until a better one is found."""
    if section.sheet is not None:
        yield from better_sheets(section.job, section.sheet, seed=seed)
        return
    best: SectionLayout | None = None
    seen: Layout | None = None
    for progress in better_layouts(section.job, seed=seed, builds=builds):
        if best is None or progress.layout is not seen:
            seen = progress.layout
            best = SectionLayout(seen.placements, seen.length)
        yield best
