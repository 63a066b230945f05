"""Independent judges of a layout, in whole ticks or exact coordinates, and made-up jobs."""

import random

from core.cutting.packing.job import Job, Layout, Placement, Rectangle
from core.cutting.packing.layouts import better_layouts
from core.flat.piece import GrainTurn

Box = tuple[int, int, int, int]
"""(left, near end, right, far end), ticks of a millionth of a millimetre."""


def ticks(length: float) -> int:
    return round(length * 1_000_000)


def box(placement: Placement) -> Box:
    x, y = ticks(placement.x), ticks(placement.y)
    return x, y, x + ticks(placement.width), y + ticks(placement.height)


def boxes(layout: Layout) -> list[Box]:
    return [box(placement) for placement in layout.placements]


def apart(one: Box, other: Box, gap: int) -> bool:
    """Whether a gap across or along lies between the two."""
    return (
        one[2] + gap <= other[0]
        or other[2] + gap <= one[0]
        or one[3] + gap <= other[1]
        or other[3] + gap <= one[1]
    )


def faults(layout: Layout) -> list[str]:
    """Everything wrong with a layout, whichever way it is cut; exact in ticks."""
    job, found = layout.job, []
    if [placement.index for placement in layout.placements] != [*range(len(job.rectangles))]:
        found.append("not every piece exactly once, in its order")
    for placement in layout.placements:
        piece = job.rectangles[placement.index]
        asked = (piece.width, piece.height)
        laid = (placement.width, placement.height)
        if laid != (asked[::-1] if placement.turned else asked):
            found.append(f"piece {placement.index} changed its size")
        if placement.turned and piece.turn is not GrainTurn.QUARTER:
            found.append(f"piece {placement.index} turned against its grain")
    laid_out, gap = boxes(layout), ticks(job.gap)
    width, length = ticks(job.usable_width), ticks(layout.length)
    if any(b[0] < 0 or b[1] < 0 or b[2] > width or b[3] > length for b in laid_out):
        found.append("beyond the goods")
    if length != max((b[3] for b in laid_out), default=0):
        found.append("length is not where the last piece ends")
    for i, one in enumerate(laid_out):
        if not all(apart(one, other, gap) for other in laid_out[:i]):
            found.append(f"piece {i} too near to another")
    return found


def cuts(laid_out: list[Box], axis: int, gap: int) -> list[list[Box]]:
    """The groups that edge-to-edge cuts at right angles to an axis (0 = x, 1 = y) part."""
    groups: list[list[Box]] = []
    reach = 0
    for each in sorted(laid_out, key=lambda b: b[axis]):
        if not groups or each[axis] < reach + gap:
            groups = groups or [[]]
            groups[-1].append(each)
        else:
            groups.append([each])
        reach = max(reach, each[axis + 2])
    return groups


def cuttable(laid_out: list[Box], gap: int, axis: int = 1) -> bool:
    """Whether edge-to-edge cuts alone free every piece.

    A cut that parts nothing else never does harm, so taking all cuts there are is enough.
    """
    if len(laid_out) < 2:
        return True
    groups = cuts(laid_out, axis, gap)
    if len(groups) == 1:
        axis = 1 - axis
        groups = cuts(laid_out, axis, gap)
        if len(groups) == 1:
            return False
    return all(cuttable(group, gap, 1 - axis) for group in groups)


def best_layout(job: Job, *, seed: int = 0, builds: int = 4000) -> Layout:
    """The last and shortest of `better_layouts`."""
    *_, last = better_layouts(job, seed=seed, builds=builds)
    return last.layout


def rectangles(sizes: list[tuple[float, float]], turn: GrainTurn) -> tuple[Rectangle, ...]:
    return tuple(Rectangle(width=w, height=h, turn=turn) for w, h in sizes)


def known_optimum(
    width: int, length: int, pieces: int, *, seed: int, turn: GrainTurn = GrainTurn.HALF
) -> Job:
    """A job that fills width x length without waste: a sheet cut edge to edge, again and again."""
    chance = random.Random(seed)
    sheet: list[tuple[int, int]] = [(width, length)]
    while len(sheet) < pieces:
        sheet.sort(key=lambda size: size[0] * size[1])
        w, h = sheet.pop(max(0, len(sheet) - 1 - chance.randrange(3)))
        if w > h or (w == h and chance.random() < 0.5):
            at = chance.randrange(w // 4, 3 * w // 4 + 1) or 1
            sheet += [(at, h), (w - at, h)]
        else:
            at = chance.randrange(h // 4, 3 * h // 4 + 1) or 1
            sheet += [(w, at), (w, h - at)]
    chance.shuffle(sheet)
    return Job(rectangles=rectangles([(w, h) for w, h in sheet], turn), usable_width=width)
