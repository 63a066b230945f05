"""Where several figures that bend are exact together and no closed curve has them all.

A filled volume beside a box, or beside what is inside its wall, leaves a curved set of a polytope;
so do the two of a box whose rounded corners may change. It is searched from many places at once by
scipy's sequential least squares programming (Kraft 1988): the nearest place that has what is exact,
and how far another figure goes along the set. That the places are many makes a miss unlikely; it
proves nothing.
"""

from collections.abc import Callable, Sequence
from functools import cached_property

import numpy as np

from core.base.arrays import Floats
from core.redesign.convex import Extent, PolytopeFigure, Product
from core.redesign.filled_volume import PowerLawFigure
from core.redesign.rounded_box import RoundedBox

_PLACES = 6
"""Places that the search starts from, besides the bag as it is."""
_MET = 1e-8
"""Share of a volume, or of a metre for a drop: nearer than this is met."""
_ROOM = 1e-7
"""mm; how far beyond a limit a place may lie."""
_METRE = 1000.0
_POLISH = 4
_REACHED = 1e-6
"""mm; a limit that is nearer than this is reached."""
_ROUNDS = 60
_FLAT = 1e-7
"""mm; corners that spread less than this in a direction leave no choice in it."""

Bent = tuple[PolytopeFigure, float]
"""A figure and what it shall be, mm or litres."""


class LevelSet:
    """What of a polytope has some figures that bend exact.

    Args:
        corners: (c, n) of the polytope.
        over, least: (r, n) and (r,) the limits: over @ x >= least.
        start: (n,) the bag as it is.
        bent: the figures, with what they are.
    """

    def __init__(
        self, corners: Floats, over: Floats, least: Floats, start: Floats, bent: Sequence[Bent]
    ) -> None:
        self._corners, self._bent = corners, list(bent)
        if not len(corners):
            return
        self._middle = corners.mean(axis=0)
        _, sizes, axes = np.linalg.svd(corners - self._middle, full_matrices=False)
        self._axes = axes[sizes > _FLAT]
        self._size = max(float(np.abs(start).max()), 1.0)
        self._over, self._room = over @ self._axes.T, over @ self._middle - least
        self._start = start

    @cached_property
    def _found(self) -> list[Floats]:
        """Places (n,) of the set, from several starts."""
        return [x for y in self._places() if (x := self._to(y, [])) is not None]

    def somewhere(self) -> Floats | None:
        """(n,) a place of the set; None where none was found."""
        return self._first([])

    def meet(self, figure: PolytopeFigure, value: float) -> Floats | None:
        """(n,) a place of the set where one more figure has a value."""
        return self._first([(figure, value)])

    def _first(self, more: list[Bent]) -> Floats | None:
        if not len(self._corners):
            return None
        for y in self._places():
            if (x := self._to(y, more)) is not None:
                return x
        return None

    def extent(self, figure: PolytopeFigure) -> Extent | None:
        """The least and the most of a figure over the set; None where none was found."""
        if not len(self._corners) or not self._found:
            return None
        at_low, at_high = (self._end(figure, sign) for sign in (1.0, -1.0))
        return Extent(figure.at(at_low), figure.at(at_high), at_low, at_high)

    def _end(self, figure: PolytopeFigure, sign: float) -> Floats:
        """Where a figure is least, or, by the sign -1, most."""
        further = (self._to(self._of(x), [], (figure, sign)) for x in self._found)
        reached = [*self._found, *(x for x in further if x is not None)]
        return min(reached, key=lambda x: sign * figure.at(x))

    def _places(self) -> list[Floats]:
        """Where the search starts, in the directions that are left: near the bag and far."""
        chance = np.random.default_rng(7)
        here = self._of(self._start)
        shares = chance.dirichlet(np.full(len(self._corners), 0.5), _PLACES)
        far = (shares @ self._corners - self._middle) @ self._axes.T
        steps = np.logspace(-1.5, 0.0, _PLACES)[:, None]
        return [here, *(here + steps * (far - here))]

    def _of(self, x: Floats) -> Floats:
        return np.asarray((x - self._middle) @ self._axes.T)

    def _at(self, y: Floats) -> Floats:
        return np.asarray(self._middle + y @ self._axes)

    def _to(
        self, start: Floats, more: list[Bent], least: tuple[PolytopeFigure, float] | None = None
    ) -> Floats | None:
        """A place of the set, from a start among the directions left: the nearest, or an end.

        `more` is to be exact as well; `least` is a figure that is to be least, with 1, or most,
        with -1.
        """
        from scipy.optimize import minimize

        exact, size = [*self._bent, *more], self._size
        figures = [figure for figure, _ in exact]
        values = np.array([value for _, value in exact])
        # A volume is missed by a share of itself, a drop by a length.
        is_share = [isinstance(each, Product | RoundedBox | PowerLawFigure) for each in figures]
        shares = np.where(is_share, np.maximum(values, 1e-3), _METRE)

        def misses(y: Floats) -> Floats:
            x = self._at(y * size)
            return np.asarray((np.array([figure.at(x) for figure in figures]) - values) / shares)

        def turns(y: Floats) -> Floats:
            x = self._at(y * size)
            slopes = np.array([figure.gradient(x) for figure in figures]) @ self._axes.T
            return np.asarray(slopes * size / shares[:, None])

        def score(y: Floats) -> tuple[float, Floats]:
            if least is None:
                off = y - start / size
                return float(off @ off), 2 * off
            figure, sign = least
            x = self._at(y * size)
            unit = max(abs(figure.at(self._at(start))), 1e-3)
            slope: Floats = figure.gradient(x) @ self._axes.T * (sign * size / unit)
            return sign * figure.at(x) / unit, slope

        if not len(self._axes):
            x = self._middle
        else:
            found = minimize(
                score,
                start / size,
                jac=True,
                method="SLSQP",
                constraints=[
                    {"type": "eq", "fun": misses, "jac": turns},
                    {
                        "type": "ineq",
                        "fun": lambda y: self._over @ y + self._room / size,
                        "jac": lambda _y: self._over,
                    },
                ],
                options={"maxiter": _ROUNDS, "ftol": 1e-12},
            )
            if not np.all(np.isfinite(found.x)):
                return None
            x = self._polished(self._at(found.x * size), misses, turns)
        met = np.abs(misses(self._of(x) / size)).max() <= _MET
        within = (self._over @ self._of(x) + self._room).min() >= -_ROOM
        return x if met and within else None

    def _polished(
        self, x: Floats, misses: Callable[[Floats], Floats], turns: Callable[[Floats], Floats]
    ) -> Floats:
        """The last steps to what is exact, along the limits that are reached."""
        y = self._of(x) / self._size
        for _ in range(_POLISH):
            room = self._over @ y + self._room / self._size
            reached = room * self._size <= _REACHED
            rows = np.vstack([turns(y), self._over[reached]])
            missed = np.concatenate([misses(y), np.minimum(room[reached], 0.0)])
            step, *_ = np.linalg.lstsq(rows, -missed, rcond=1e-12)
            y = y + step
        return self._at(y * self._size)
