"""Laying rectangles on sheets of one size, none across two of them. Lengths are mm."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from core.goods.packing import Job, Layout, Placement, Rectangle, better_layouts
from core.tolerance import LENGTH_TOLERANCE, shorter

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
    """A layout at once, then, where there is one, a shorter one.

    Args:
        job: each rectangle fits on a sheet in every way that it may lie.
        sheet: length of one.
        seed: of the search.
    """
    first = next(better_layouts(job, seed=seed, builds=1)).layout
    rows = _in_rows(first, sheet)
    yield rows
    filled = _filled(job, sheet, seed=seed)
    if shorter(filled.length, rows.length):
        yield filled


# --- Row by row -----------------------------------------------------------------------------------


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


# --- Sheet by sheet -------------------------------------------------------------------------------


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
    """The layout of a sheet to which no waiting piece could be added."""
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
    for progress in better_layouts(job, seed=seed, builds=_TRIES):
        if not shorter(sheet, progress.layout.length):
            return progress.layout
    return None
