"""Random redesigns, drawn from a seed: half of them asked of a bag that is known to exist."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from core.bag.bag import Bag, cut_value
from core.bag.compute import compute, measure_walls
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.redesign.request import RedesignRequest
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import demo, having, layer, sandwich
from tests.strategies import Wanted

LINEAR = (
    "base_width", "gusset_depth", "gusset_depth_at_side", "face_height", "opening_width",
    "zip_offset", "zip_clearance", "pocket_height", "handle_loop", "pocket_side_compartment",
)  # fmt: skip
BENT = ("box_volume", "inside_volume", "handle_drop_front", "handle_drop_back")
CUT = (
    "panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth",
    "pocket_cut_height", "handle_strips", "handle_last_strip",
)  # fmt: skip
ALLOWANCES = ("side_seam", "corner_seam", "zip_seam", "handle_gap", "handle_stop", "pocket_seam")


@dataclass(frozen=True)
class Asked:
    """A redesign to try.

    Attributes:
        bag: it is asked of; request: what is asked.
        exists: whether a bag is known that has it all.
    """

    bag: Bag
    request: RedesignRequest
    exists: bool


def draw_requests(seed: int, count: int) -> list[Asked]:
    """So many, every other one of a bag that is known to exist."""
    chance = np.random.default_rng(seed)
    found: list[Asked] = []
    while len(found) < count:
        asked = _of_a_bag(chance) if len(found) % 2 == 0 else _free(chance)
        if asked is not None and asked.request.wants:
            found.append(asked)
    return found


def _bag(chance: np.random.Generator) -> Bag:
    """A sewable bag with all its parts, on a ruler of 1 mm or of 1/16 in."""
    step = float(chance.choice([1.0, 25.4 / 16]))

    def length(low: float, high: float) -> float:
        return round(chance.uniform(low, high) / step) * step

    corner, zipped = length(0, 15), chance.random() < 0.85
    wanted = Wanted(
        base=length(25, 600),
        depth=2 * (corner + length(5, 150)),
        face=length(100, 500),
        zip_width=length(5, 25) if zipped else 0.0,
        offset=length(0, 30) if zipped else 0.0,
        side=length(3, 18),
        corner=corner,
        top=length(3, 18),
        bottom=0.0 if chance.random() < 0.7 else length(5, 15),
    )
    panel = wanted.panel()
    face = panel.front_length - panel.bottom_seam
    stop = length(10, 0.7 * face)
    handles = Handles(
        style=HandleStyle.LOOP if chance.random() < 0.75 else HandleStyle.SEPARATE,
        width=length(15, 40),
        gap=length(20, 200),
        stop=stop,
        strips=int(chance.integers(1, 6)),
        last_strip=None if chance.random() < 0.5 else length(100, 900),
        leg=max(min(length(50, 200), face - stop), step),
    )
    wall = layer(
        thickness=round(chance.uniform(0, 8), 1), pressed=0.0, usable_width=length(900, 1500)
    )
    return Bag(
        name="random",
        unit=Unit.MM,
        body=panel,
        top=wanted.bag_top(),
        sandwich=sandwich(wall),
        parts=Parts(
            part
            for part in (
                Pocket(cut_height=length(150, 450), drop=length(60, 150)),
                handles,
                BaseBoard(width=length(50, 400), depth=length(20, 200)),
            )
            if part is not None
        ),
    )


def _start(chance: np.random.Generator) -> Bag:
    return demo() if chance.random() < 0.4 else _bag(chance)


def _changed(chance: np.random.Generator, start: Bag, *, matched: bool) -> Bag | None:
    """Another bag of the same construction; some of its sizes may be the same."""
    other = _bag(chance).body
    panel = start.body
    names = ("width", "length", "corner_depth", *(("front_trim",) if _zipped(start) else ()))
    changes: dict[str, Any] = {
        name: getattr(other, name) for name in names if chance.random() < 0.6
    }
    allowances = [name for name in ("side_seam", "corner_seam") if chance.random() < 0.1]
    changes |= {name: getattr(other, name) for name in allowances}
    try:
        panel = replace(panel, corner_width=1.0, corner_depth=panel.bottom_seam + 1.0)
        panel = replace(panel, **changes)
        width = panel.corner_depth - panel.bottom_seam + panel.side_seam
        if not matched:
            width += chance.uniform(-10, 10)
        bag = replace(start, body=replace(panel, corner_width=width))
        if bag.parts.get("pocket") is not None and chance.random() < 0.5:
            bag = having(
                bag, pocket=replace(bag.parts["pocket"], cut_height=chance.uniform(150, 450))
            )
        if bag.parts.get("handles") is not None and chance.random() < 0.6:
            loop = chance.uniform(0.5, 1.5) * bag.parts["handles"].loop(bag.site)
            bag = having(bag, handles=bag.parts["handles"].with_loop(bag.site, loop))
        if bag.parts.get("handles") is not None and chance.random() < 0.1:
            bag = having(bag, handles=replace(bag.parts["handles"], gap=chance.uniform(10, 200)))
    except FieldError:
        return None
    sizes = compute(bag).finished
    least = min(sizes[name] or 0.0 for name in ("base_width", "gusset_depth", "face_height"))
    return bag if least > 1.0 else None


def _zipped(bag: Bag) -> bool:
    return isinstance(bag.top, ZipForward)


def figures_of(bag: Bag) -> dict[str, float]:
    """Every figure of a bag that can be asked for."""
    finished = measure_walls(bag)
    every = {name: finished[name] for name in (*LINEAR, *BENT)}
    every |= {name: cut_value(bag, name) for name in (*CUT, *ALLOWANCES)}
    return {name: value for name, value in every.items() if value is not None}


def _of_a_bag(chance: np.random.Generator) -> Asked | None:
    """Figures of a bag that exists, asked of another bag of its construction."""
    start, matched = _start(chance), bool(chance.random() < 0.75)
    goal = _changed(chance, start, matched=matched)
    if goal is None:
        return None
    before, after = figures_of(start), figures_of(goal)
    both = [name for name in after if name in before]
    same = [name for name in both if before[name] == after[name]]
    holds = frozenset(name for name in same if chance.random() < 0.25)
    # What is no unknown must be asked for where it differs.
    must = [name for name in ALLOWANCES if name in both and name not in same]
    odds = float(chance.choice([0.15, 0.3, 0.6]))
    wants = {
        name: after[name]
        for name in both
        if name not in holds and (name in must or chance.random() < odds)
    }
    wants = {
        name: value
        for name, value in wants.items()
        if name in must or value >= 0.0 or name.startswith(("handle_drop", "zip_clearance"))
    }
    return Asked(start, RedesignRequest(wants=wants, holds=holds, matched=matched), exists=True)


def _free(chance: np.random.Generator) -> Asked | None:
    """Figures of any size, near those that there are or far from them."""
    start = _start(chance)
    now = figures_of(start)
    names = [name for name in now if name not in ALLOWANCES or chance.random() < 0.2]
    order = chance.permutation(np.array(names)).tolist()
    count, held = int(chance.integers(1, 6)), int(chance.integers(0, 4))
    wide = float(chance.choice([0.1, 0.5, 1.5]))
    wants = {}
    for name in order[:count]:
        value = max(now[name], 20.0 if name not in BENT[:2] else 1.0)
        value *= float(np.exp(chance.uniform(-wide, wide)))
        wants[name] = float(max(round(value), 1)) if name == "handle_strips" else value
    holds = frozenset(order[count : count + held])
    return Asked(
        start, RedesignRequest(wants=wants, holds=holds, matched=chance.random() < 0.75), False
    )
