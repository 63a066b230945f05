"""The demo's least change by scipy.optimize on closed formulas, and nothing of the solver.

least_squares finds a bag that has what is asked, and SLSQP the one of them that changes least.
"""

from collections.abc import Sequence

import numpy as np
from scipy.optimize import least_squares, minimize

from core.bag.bag import cut_value
from tests.helpers import demo, inch

UNKNOWNS = ("panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth")
AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset", "corner_mismatch")
SIDE = CORNER = TOP = inch(0.375)
ZIP_WIDTH = inch(0.5)
SIZES = {
    # Name: by width, length, front trim, corner cut's width and depth; and what is left, mm.
    **{name: (*np.eye(5)[place], 0.0) for place, name in enumerate(UNKNOWNS)},
    "base_width": (1, 0, 0, -2, 0, -2 * CORNER),
    "gusset_depth": (0, 0, 0, 0, 2, 2 * CORNER),
    "face_height": (0, 0.5, -0.5, 0, -1, ZIP_WIDTH / 2 - TOP - CORNER),
    "zip_offset": (0, 0, 0.5, 0, 0, 0.0),
    "opening_width": (1, 0, 0, 0, 0, -2 * SIDE),
    "corner_mismatch": (0, 0, 0, 2, -2, -2 * SIDE),
}  # fmt: skip
START = [cut_value(demo(), name) for name in UNKNOWNS]
BOX = np.array([SIZES[name] for name in ("base_width", "gusset_depth", "face_height")])
MOST = (5000.0, 10_000.0, 5000.0, 5000.0, 5000.0)
"""mm; of the unknowns."""
SCALE = 100.0
"""mm in one of the reference's units."""


class Reference:
    """Figures that shall come out exactly, by closed formulas.

    Args:
        targets: figure -> mm, or litres.
        start: the unknowns of the bag as it is, mm.
    """

    def __init__(self, targets: dict[str, float], start: Sequence[float] = START) -> None:
        lengths = [name for name in targets if name != "box_volume"]
        rows = np.array([(*SIZES[name][:5], SIZES[name][5] - targets[name]) for name in lengths])
        self.rows, self.rest = rows[:, :5], rows[:, 5] / SCALE
        self.volume = targets.get("box_volume")
        self.x0 = np.array(start) / SCALE
        aims = np.array([SIZES[name] for name in AIMS])
        home = aims[:, :5] @ self.x0 + aims[:, 5] / SCALE
        self.aims = aims[:, :5] / np.maximum(np.abs(home), 25.0 / SCALE)[:, None]

    def misses(self, y: np.ndarray) -> np.ndarray:
        off = self.rows @ y + self.rest
        if self.volume is None:
            return off
        sides = BOX[:, :5] @ y + BOX[:, 5] / SCALE
        return np.append(off, np.prod(sides) - self.volume)

    def slopes(self, y: np.ndarray) -> np.ndarray:
        if self.volume is None:
            return self.rows
        b, d, f = BOX[:, :5] @ y + BOX[:, 5] / SCALE
        return np.vstack([self.rows, np.array([d * f, b * f, b * d]) @ BOX[:, :5]])

    def objective(self, y: np.ndarray) -> tuple[float, np.ndarray]:
        off = self.aims @ (y - self.x0)
        return float(off @ off), 2 * self.aims.T @ off

    def least(self) -> tuple[np.ndarray, float] | None:
        """The unknowns (5,) mm of least weighed change, and that, squared; None: none was found."""
        generator, most = np.random.default_rng(1), np.array(MOST) / SCALE
        for attempt in range(3):
            start = self.x0 * (1 + 0.1 * attempt * generator.uniform(-1, 1, 5))
            met = least_squares(
                self.misses, start, self.slopes, bounds=(0, most), method="dogbox", xtol=1e-15,
                ftol=1e-15, gtol=1e-15, max_nfev=200,
            )  # fmt: skip
            if np.abs(self.misses(met.x)).max() > 1e-7:
                continue
            # SLSQP stumbles over conditions that say the same twice: give it each once.
            rows = _independent(met.jac)
            found = minimize(
                self.objective, met.x, jac=True, method="SLSQP", bounds=[(0, end) for end in most],
                constraints={
                    "type": "eq",
                    "fun": lambda y, rows=rows: self.misses(y)[rows],
                    "jac": lambda y, rows=rows: self.slopes(y)[rows],
                },
                options={"maxiter": 300, "ftol": 1e-15},
            )  # fmt: skip
            if np.abs(self.misses(found.x)).max() < 1e-6:
                return found.x * SCALE, float(found.fun)
        return None


def _independent(matrix: np.ndarray) -> list[int]:
    rows: list[int] = []
    for row in range(len(matrix)):
        if np.linalg.matrix_rank(matrix[[*rows, row]], tol=1e-5) == len(rows) + 1:
            rows.append(row)
    return rows
