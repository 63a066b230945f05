"""How long a redesign takes, and how many forward passes that is.

Run: python -m tests.bench.bench_redesign [thousands of random redesigns]
Prints the median of one forward pass (from cut figures to finished ones), of a redesign with
three wants and three holds, and their ratio per unknown, and of a key that is held; then the worst
of 1,000 or more random redesigns, refusals with their proofs among them, in processor time.
"""

import sys
import time
from collections.abc import Callable
from contextlib import suppress
from statistics import median, quantiles

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import compute, measure_walls
from core.base.errors import CornerwrightError
from core.redesign.beside import beside, kept_slopes, length_slopes
from core.redesign.filling import kept_capacity
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import on_ruler
from core.redesign.variables import sizes_of
from core.solid.capacity import capacity
from core.storage.bag_files import demo_bag
from tests.core.redesign.chance import Asked, draw_requests

PANEL = ("panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth")
REQUESTS = {
    "lengths only": RedesignRequest(
        wants={"gusset_depth": 190.5, "base_width": 280.0, "zip_offset": 20.0},
        holds=frozenset({"face_height", "zip_seam", "side_seam"}),
    ),
    "with a volume": RedesignRequest(
        wants={"gusset_depth": 180.0, "box_volume": 20.0, "zip_offset": 20.0},
        holds=frozenset({"base_width", "zip_seam", "side_seam"}),
    ),
    "with a handle drop": RedesignRequest(
        wants={"gusset_depth": 180.0, "handle_drop_front": 280.0, "box_volume": 20.0},
        holds=frozenset({"base_width", "zip_offset", "side_seam"}),
    ),
}


def forget() -> None:
    """Leave nothing remembered of the bags that were measured and filled."""
    for kept in (beside, kept_slopes, length_slopes, sizes_of, kept_capacity):
        kept.cache_clear()


def timed(work: Callable[[], object], times: int = 60) -> list[float]:
    """Milliseconds of each of so many runs from nothing, after a few that do not count."""
    for _ in range(5):
        work()
    taken = []
    for _ in range(times):
        forget()
        start = time.perf_counter()
        work()
        taken.append((time.perf_counter() - start) * 1e3)
    return taken


def main() -> None:
    """Print the figures."""
    bag = demo_bag()
    moved = {name: (cut_value(bag, name) or 0.0) + 0.01 for name in PANEL}
    forward = median(timed(lambda: measure_walls(with_figures(bag, moved)), 300))
    print(f"forward pass: {forward:.3f} ms; compute: {median(timed(lambda: compute(bag))):.3f} ms")
    for name, request in REQUESTS.items():
        runs = timed(lambda request=request: redesign(bag, request))
        unknowns = len(PANEL) + ("handle_drop_front" in request.wants)
        ratio = median(runs) / forward / unknowns
        print(
            f"redesign {name}: median {median(runs):.2f} ms, 95th percentile "
            f"{quantiles(runs, n=20)[-1]:.2f} ms; {ratio:.2f} x forward pass x unknowns (at most 5)"
        )
    keys = [redesign_key(bag, 180.0 + step) for step in range(60)]
    print(f"a key of a hold: median {median(keys):.2f} ms")
    found = redesign(bag, REQUESTS["with a volume"])
    print(f"on the ruler: median {median(timed(lambda: on_ruler(found, 3.175))):.2f} ms")
    seeds = range(1, 1 + int(sys.argv[1] if len(sys.argv) > 1 else 1))
    taken = sorted(processor_time(asked) for seed in seeds for asked in draw_requests(seed, 1000))
    print(
        f"{len(taken):,} random redesigns: median {median(taken):.1f} ms, 99 of 100 below "
        f"{quantiles(taken, n=100)[-1]:.0f} ms, the worst three "
        f"{', '.join(f'{each:.0f}' for each in taken[-3:])} ms (at most 100)"
    )
    print_filled(bag)
    refused = RedesignRequest(
        wants={"handle_drop_front": 406.4, "pocket_height": 101.6, "inside_volume": 19.0},
        holds=frozenset({"handle_drop_back"}),
    )
    runs = [processor_time(Asked(bag, refused, exists=False)) for _ in range(20)]
    print(f"two drops, a pocket and a volume, refused: median {median(runs):.0f} ms")


def print_filled(bag: Bag) -> None:
    """What a want of the filled volume takes, and one that is refused, in processor time."""
    held = capacity(bag).filled or 0.0
    for share in (0.6, 0.95, 1.2, 1.6):
        asked = Asked(bag, RedesignRequest(wants={"filled_volume": held * share}), exists=True)
        taken = median(processor_time(asked) for _ in range(5))
        print(f"filled volume times {share}: {taken:.0f} ms")
    holds = frozenset({"opening_width", "face_height"})
    asked = Asked(bag, RedesignRequest(wants={"filled_volume": 25.0}, holds=holds), exists=False)
    print(f"refused with its bound: {median(processor_time(asked) for _ in range(3)):.0f} ms")


def redesign_key(bag: Bag, depth: float) -> float:
    """Milliseconds of one key on the gusset depth, what others of its hold measured being kept."""
    start = time.perf_counter()
    redesign(bag, RedesignRequest(wants={"gusset_depth": depth}))
    return (time.perf_counter() - start) * 1e3


def processor_time(asked: Asked) -> float:
    """Milliseconds that one redesign takes from nothing, whatever it comes to."""
    forget()
    start = time.process_time()
    with suppress(CornerwrightError):
        redesign(asked.bag, asked.request)
    return (time.process_time() - start) * 1e3


if __name__ == "__main__":
    main()
