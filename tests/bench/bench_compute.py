"""How long one answer takes.

Prints the median and the 95th percentile of `compute` on the demo bag, and of a bare build of
the same outlines in shapely in the same run; their ratio travels better than milliseconds.
"""

import gc
import statistics
import sys
from collections.abc import Callable
from time import perf_counter_ns

from shapely import Polygon

# Run as a script, the working copy's root is not on the path yet.
from core.bag.bag import Bag
from core.bag.compute import compute
from core.storage.bag_files import SAMPLES, sample
from tests.helpers import changed, demo, inch

ROUNDS = 400
WARM_UP = 40
ALLOWED_MS = 1.5
"""Of each sample, its findings among it."""


def timed(action: Callable[[], object]) -> list[float]:
    """Milliseconds of each round, garbage collected outside of them."""
    for _ in range(WARM_UP):
        action()
    gc.collect()
    gc.disable()
    try:
        found = []
        for _ in range(ROUNDS):
            start = perf_counter_ns()
            action()
            found.append((perf_counter_ns() - start) / 1e6)
    finally:
        gc.enable()
    return found


def figures(times: list[float]) -> tuple[float, float]:
    """(median, 95th percentile), ms."""
    return statistics.median(times), statistics.quantiles(times, n=20)[-1]


def outlines() -> list[list[tuple[float, float]]]:
    """Cut lines and stitch lines of the demo's pieces, mm."""
    draft = compute(demo()).draft
    cut = [list(piece.outline) for piece in draft.pieces]
    return cut + [list(outline.corners) for outline in draft.outlines.values()]


def bare_build(corners: list[list[tuple[float, float]]]) -> Callable[[], object]:
    """Builds and judges the same outlines with shapely alone."""
    return lambda: [Polygon(ring).is_valid for ring in corners]


def judged(bag: Bag) -> Callable[[], object]:
    """Computes a bag, its findings among it."""
    return lambda: compute(bag).findings


def main() -> None:
    bag = demo()
    doubtful = changed(bag, corner_cut_depth=inch(4), front_trim=inch(0.5))
    plain = figures(timed(bare_build(outlines())))
    cases = {
        "compute, demo bag, judged": figures(timed(judged(bag))),
        "compute, with findings and fixes": figures(timed(judged(doubtful))),
        "bare shapely build": plain,
    }
    print(f"{'':34}{'median':>9}{'95 %':>9}{'ratio':>9}")
    samples = {f"{name}, judged": figures(timed(judged(sample(name)))) for name in SAMPLES}
    for name, (median, slow) in {**cases, **samples}.items():
        print(f"{name:34}{median:6.3f} ms{slow:6.3f} ms{median / plain[0]:8.1f}x")
    if above := [name for name, (median, _) in samples.items() if median > ALLOWED_MS]:
        sys.exit(f"median above {ALLOWED_MS} ms: {'; '.join(above)}")


if __name__ == "__main__":
    main()
