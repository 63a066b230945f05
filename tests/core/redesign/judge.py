"""Whether a bag can be: by closed formulas and scipy, and nothing of the solver.

Formulas: sections 2 (the panel) and 4 (parts) of the project's own description of the bag,
derived there by hand. Unknowns: panel width and length, front trim, corner cut width and
depth, pocket cut height, handle loop.
"""

import math
from collections.abc import Mapping

import numpy as np
import pytest
from scipy.optimize import least_squares

from core.bag.bag import Bag, cut_value
from core.bag.compute import measure_walls
from core.bag.tables import cut_figure
from core.base.errors import FieldError
from core.parts.handles.figures import HandleStyle
from core.redesign.redesign import Redesign, redesign
from core.redesign.request import ConflictError, RedesignRequest, targets
from core.tops.zip_forward.zip import ZipForward
from tests.core.redesign.chance import Asked, draw_requests

QUARTER = 6.35
LONGEST = 5000.0
HAIR = 1e-6
UNKNOWNS = (
    "panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth",
    "pocket_cut_height", "handle_loop",
)  # fmt: skip
FACES = ("front", "back")
SCALE = 100.0
MET = 1e-6
"""mm, or hundredths of a thousandth of a volume: nearer than this is met."""


class Judge:
    """The closed formulas of one bag's construction.

    Attributes:
        bag: gives what no redesign changes; exact: cut figures asked for otherwise.
    """

    def __init__(self, bag: Bag, exact: Mapping[str, float]) -> None:
        p, h = bag.body, bag.parts.get("handles")
        self.s1 = exact.get("side_seam", p.side_seam)
        self.s2 = exact.get("corner_seam", p.corner_seam)
        self.s3 = exact.get("zip_seam", p.top_seam)
        self.s4 = p.bottom_seam
        zipped = isinstance(bag.top, ZipForward)
        self.z = bag.top.tape_width - 2 * self.s3 if isinstance(bag.top, ZipForward) else 0.0
        self.wall = sum(layer.thickness for layer in bag.sandwich.layers)
        self.pocket_seam = exact.get("pocket_seam", bag.parts["pocket"].seam)
        self.pocket_drop = exact.get("pocket_drop", bag.parts["pocket"].drop)
        self.centres = exact.get("handle_gap", h.gap) + h.width
        self.stop = exact.get("handle_stop", h.stop)
        self.width, self.leg, self.style = h.width, h.leg, h.style
        goods = bag.supplies.handles or bag.sandwich.layers[0]
        self.each = goods.usable_width * (1 - goods.shrink_width) - 2 * QUARTER
        self.now = {
            "panel_width": p.width, "panel_length": p.length, "front_trim": p.front_trim,
            "corner_cut_width": p.corner_width, "corner_cut_depth": p.corner_depth,
            "pocket_cut_height": bag.parts["pocket"].cut_height,
        }  # fmt: skip
        last = self.each if h.last_strip is None else h.last_strip - 2 * QUARTER
        self.strips, self.last = h.strips, last
        self.now["handle_loop"] = (h.strips - 1) * self.each + last
        self.low = np.array([0, 0, 0, 0, 0, 0, 0.0])
        self.high = np.array([LONGEST, 2 * LONGEST, *[LONGEST] * 4, 60 * self.each])
        self._fix(exact, zipped)

    def _fix(self, exact: Mapping[str, float], zipped: bool) -> None:
        """What is given before anything is looked for: by its limits."""
        for place, name in enumerate(UNKNOWNS):
            if name in exact:
                self.low[place] = self.high[place] = exact[name]
        if not zipped and "front_trim" not in exact:
            self.low[2] = self.high[2] = self.now["front_trim"]
        asked = {"handle_loop", "handle_drop_front", "handle_drop_back"} & exact.keys()
        if not asked:
            self.low[6] = self.high[6] = self.now["handle_loop"]
        elif "handle_strips" in exact:
            strips, last = exact["handle_strips"], exact.get("handle_last_strip")
            loops = ((strips - 1) * self.each, strips * self.each)
            if last is not None:
                loops = (loops[0] + last - 2 * QUARTER,) * 2
            self.low[6] = max(self.low[6], loops[0])
            self.high[6] = min(self.high[6], loops[1])

    def figures(self, x: np.ndarray) -> dict[str, float]:
        """Every figure at x; where a drop or a volume is none, `room` is negative."""
        w, length, t, a, b, h, loop = x
        d = b - self.s4
        around = length - t - 2 * self.s3 + self.z - 2 * self.s4
        base, gusset, face = w - 2 * (a + self.s2), 2 * (d + self.s2), around / 2 - (d + self.s2)
        found = dict(zip(UNKNOWNS, x, strict=True)) | {
            "base_width": base, "gusset_depth": gusset, "face_height": face,
            "gusset_depth_at_side": 2 * (a - self.s1 + self.s2),
            "corner_mismatch": 2 * (a - self.s1 - d), "opening_width": w - 2 * self.s1,
            "zip_offset": t / 2, "zip_clearance": t / 2 - self.z / 2,
            "pocket_height": h / 2 - self.pocket_seam,
            "pocket_side_compartment": w / 2 - self.centres / 2 - self.width / 2 - self.s1,
            "box_volume": _product(base, gusset, face) / 1e6,
            "inside_volume": _product(
                base - 2 * self.wall, gusset - 2 * self.wall, face - self.wall
            ) / 1e6,
        }  # fmt: skip
        for name, sign, cut in (("front", 1, length / 2 - t), ("back", -1, length / 2)):
            e = self.stop - self.s3 + self.z / 2 + sign * t / 2
            free = loop / 2 - 2 * (cut - self.s4 - self.stop)
            if self.style is HandleStyle.SEPARATE:
                free = loop - 2 * self.leg
            square = free**2 / 4 - self.centres**2 / 4
            taut = math.sqrt(square) if square > 0 and free > 0 else 0.0
            found[f"handle_drop_{name}"] = taut - e
            found[f"span {name}"] = free / 2 - self.centres / 2
        return found

    def room(self, x: np.ndarray, exact: Mapping[str, float]) -> np.ndarray:
        """What must not be negative, mm."""
        w, length, t, a, b, h, _ = x
        front = length / 2 - t
        rooms = [
            front, front - self.s4 - self.s3, w / 2 - self.s1, w / 2 - a, front - b,
            front - self.s4 - self.stop, h - 2 * self.pocket_seam, self.z,
        ]  # fmt: skip
        if self.style is HandleStyle.SEPARATE:
            rooms.append(front - self.s4 - self.stop - self.leg)
        now = self.figures(x)
        sides = [now[name] for name in ("base_width", "gusset_depth", "face_height")]
        if "inside_volume" in exact:
            rooms += [sides[0] - 2 * self.wall, sides[1] - 2 * self.wall, sides[2] - self.wall]
        elif "box_volume" in exact:
            rooms += sides
        if "pocket_side_compartment" in exact:
            # Its legs lie between the side seams and begin above the pocket's lower edge.
            lower = self.pocket_drop + now["pocket_height"]
            rooms += [now["pocket_side_compartment"], lower - self.stop]
            foot = self.stop + self.leg if self.style is HandleStyle.SEPARATE else math.inf
            rooms += [foot - lower] if foot < math.inf else []
        rooms += [now[f"span {face}"] for face in FACES if f"handle_drop_{face}" in exact]
        return np.array(rooms)

    def misses(self, x: np.ndarray, exact: Mapping[str, float]) -> np.ndarray:
        """How far what is exact is missed: mm, a volume by a hundredth of it."""
        now = self.figures(x)
        return np.array(
            [
                (now[name] - value) * (100.0 / value if name.endswith("volume") else 1.0)
                for name, value in exact.items()
                if name in now
            ]
        )

    def start(self, chance: np.random.Generator) -> np.ndarray:
        """Somewhere to look from."""
        now = np.array([self.now[name] for name in UNKNOWNS])
        return np.clip(now * np.exp(chance.normal(0, 0.6, 7)), self.low, self.high)

    def find(
        self, exact: Mapping[str, float], chance: np.random.Generator, tries: int
    ) -> np.ndarray | None:
        """A bag that has what is exact, or None when none of the tries finds one."""
        if np.any(self.low > self.high):
            return None
        loose = self.high > self.low
        low, high = self.low[loose] / SCALE, self.high[loose] / SCALE

        def off(y: np.ndarray, at: np.ndarray) -> np.ndarray:
            x = at.copy()
            x[loose] = y * SCALE
            rooms = np.minimum(self.room(x, exact), 0.0)
            return np.concatenate([self.misses(x, exact), rooms]) / SCALE

        for _ in range(tries):
            at = self.start(chance)
            if not loose.any():
                return at if np.abs(off(at[loose], at)).max() * SCALE <= MET else None
            begin = np.clip(at[loose] / SCALE, low + 1e-9, high - 1e-9)
            met = least_squares(
                off, begin, bounds=(low, high), args=(at,), xtol=1e-15, ftol=1e-15, gtol=1e-15,
                max_nfev=200,
            )  # fmt: skip
            at[loose] = met.x * SCALE
            if np.abs(met.fun).max() * SCALE <= MET:
                return at
        return None


def _product(*sides: float) -> float:
    """Of sides; negative as soon as one is, so that two that are gone make no volume."""
    size = math.prod(abs(side) for side in sides)
    return size if min(sides) >= 0 else -size


def judge_requests(seed: int, count: int) -> int:
    """How many of so many random requests are refused; none may be that a pattern answers.

    Half of them are asked of a bag that exists; the others are judged by closed formulas and
    scipy.optimize.least_squares.
    """
    chance, refused = np.random.default_rng(seed), 0
    for asked in draw_requests(seed, count):
        answer = answer_of(asked)
        if isinstance(answer, Redesign):
            assert_exact(asked.request, answer)
            continue
        assert not asked.exists, (asked.request, str(answer))
        if answer is None:
            continue
        refused += 1
        exact = targets(asked.request, asked.bag, measure_walls(asked.bag))
        for each in _counted(exact):
            assert Judge(asked.bag, each).find(each, chance, 2) is None, asked.request
    return refused


def answer_of(asked: Asked) -> Redesign | ConflictError | None:
    """What the solver says; None for a size that is none by itself."""
    try:
        return redesign(asked.bag, asked.request)
    except ConflictError as error:
        return error
    except FieldError:
        return None


def _counted(exact: dict[str, float]) -> list[dict[str, float]]:
    """The judge chooses no strips: where the last one alone is exact each number is tried."""
    if "handle_last_strip" not in exact or "handle_strips" in exact:
        return [exact]
    if not exact.keys() & {"handle_loop", "handle_drop_front", "handle_drop_back"}:
        return [exact]
    most = int(cut_figure("handle_strips").high)
    return [{**exact, "handle_strips": float(count)} for count in range(1, most + 1)]


def assert_exact(request: RedesignRequest, answer: Redesign) -> None:
    """Wants as they were asked, holds as they were: measured on the pattern."""
    finished, cut = measure_walls(answer.after.bag), answer.after.cut
    before = measure_walls(answer.before)
    held = {
        name: before[name] if name in before else cut_value(answer.before, name)
        for name in request.holds
    }
    for name, value in {**held, **request.wants}.items():
        share = 1e-8 * value if name.endswith("volume") else 1e-6
        assert (finished | cut)[name] == pytest.approx(value, abs=share), (name, request)
