"""What a redesign may change, what it keeps near, and how one bag is measured for it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.bag import Bag, cut_figure, cut_value, with_figures
from core.finished import measure_walls
from core.parts.handles import JOIN_SEAM
from core.parts.site import Finished
from core.redesign.laws import NO_LAWS, Laws, with_laws
from core.tolerance import LEAST_LENGTH, without_sliver

Vector = NDArray[np.float64]

_SMALLEST_SCALE = 25.0
"""mm; sizes near nothing (a zip offset of 0) still count as an inch when weighed."""

PANEL_UNKNOWNS = (
    "panel_width",
    "panel_length",
    "front_trim",
    "corner_cut_width",
    "corner_cut_depth",
)
AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset", "corner_mismatch")
"""Sizes that stay as near as they can: as many as the panel has unknowns."""

LOOP = "handle_loop"
"""The one unknown that is no cut figure: strips are counted from it."""
STRIP_FIGURES = frozenset({"handle_strips", "handle_last_strip", "goods_width"})
"""Cut figures that the loop is made of."""

ONLY_FOR: Mapping[str, frozenset[str]] = {
    "pocket_cut_height": frozenset({"pocket_height"}),
    LOOP: frozenset({LOOP, "handle_drop_front", "handle_drop_back"}),
}
"""Unknowns that are taken up only when one of these figures must come out exactly.

They are not weighed: a pocket or a handle gives way before the panel does.
"""
_WHOLE = 1e-5
"""mm; a last strip that is less than this longer than its joins would count as none."""


@dataclass(frozen=True, slots=True)
class Space:
    """The unknowns of one redesign and the aims that weigh their change.

    The aims are linear in the unknowns: least change means that the finished sizes stay
    as near as they can, in proportion.

    Attributes:
        bag: the bag to start from, with its fixed cut figures already set.
        unknowns: names of cut figures that may change, n of them; `LOOP` stands for the strips.
        aims: names of finished figures that stay as near as they can, m of them.
        home: (m,) values of the aims in the bag as it was, mm.
        scales: (m,) what counts as one unit of change for each aim, mm.
        low, high: (n,) limits of the unknowns, mm.
        laws: of filled volumes that must come out exactly.
    """

    bag: Bag
    unknowns: tuple[str, ...]
    aims: tuple[str, ...]
    home: Vector
    scales: Vector
    low: Vector
    high: Vector
    laws: Laws

    def at(self, x: Vector) -> Bag:
        """The bag with these values of the unknowns, mm.

        Raises:
            FieldError: there can be no such bag.
        """
        return bag_without_slivers(self.bag, dict(zip(self.unknowns, x.tolist(), strict=True)))

    def measured(self, x: Vector) -> Finished:
        """Finished figures by name, measured on the pattern model itself.

        Raises:
            FieldError: there can be no such bag.
        """
        return with_laws(measure_walls(self.at(x)), self.laws)

    @property
    def start(self) -> Vector:
        """(n,) the unknowns as they are now, mm."""
        return np.array([value_of(self.bag, name) for name in self.unknowns])


def open_space(
    original: Bag,
    now: Finished,
    fixed: Mapping[str, float],
    exact: frozenset[str],
    laws: Laws = NO_LAWS,
) -> Space:
    """What may change when `fixed` cut figures are set and `exact` ones must come out.

    Args:
        original, now: the bag as it is, and its finished figures.
        fixed: cut figures -> their values, mm or pieces.
        exact: names of finished figures that must come out exactly.
        laws: of the filled volumes among them.

    Raises:
        FieldError: the fixed figures cannot be together.
    """
    bag = with_figures(original, fixed)
    unknowns = tuple(name for name in offered(bag) if _may_change(name, fixed, exact))
    aims = tuple(aim for aim in AIMS if now[aim] is not None)
    home = np.array([now[aim] for aim in aims])
    limits = [limits_of(bag, name, fixed) for name in unknowns]
    low = np.array([pair[0] for pair in limits])
    high = np.array([pair[1] for pair in limits])
    return Space(bag, unknowns, aims, home, scales_of(home), low, high, laws)


def scales_of(home: Vector) -> Vector:
    """(m,) what counts as one unit of change for sizes as they are, mm."""
    return np.maximum(np.abs(home), _SMALLEST_SCALE)


def bag_with(bag: Bag, values: Mapping[str, float]) -> Bag:
    """The bag with these cut figures, and with `LOOP` among them its strips counted anew.

    Raises:
        FieldError: there can be no such bag.
    """
    cut = {name: value for name, value in values.items() if name != LOOP}
    after = with_figures(bag, cut)
    if LOOP not in values or after.handles is None:
        return after
    return replace(after, handles=after.handles.with_loop(after.site, values[LOOP]))


def bag_without_slivers(bag: Bag, values: Mapping[str, float]) -> Bag:
    """The bag of a search: what it leaves too small to be a length is 0 in the bag.

    Raises:
        FieldError: as `bag_with`.
    """
    return bag_with(bag, {name: without_sliver(value) for name, value in values.items()})


def value_of(bag: Bag, name: str) -> float | None:
    """An unknown as it is now, mm; None when the bag lacks it."""
    if name != LOOP:
        return cut_value(bag, name)
    return None if bag.handles is None else bag.handles.loop(bag.site)


def limits_of(bag: Bag, name: str, fixed: Mapping[str, float]) -> tuple[float, float]:
    """Least and most of an unknown, mm, in a bag that has the fixed figures already."""
    if name != LOOP:
        figure = cut_figure(name)
        low = figure.low if figure.may_be_nothing else max(figure.low, LEAST_LENGTH)
        return low, figure.high
    each = bag.site.whole_strip - 2 * JOIN_SEAM
    if "handle_strips" in fixed:
        strips = fixed["handle_strips"]
        return max((strips - 1) * each + _WHOLE, LEAST_LENGTH), strips * each
    return LEAST_LENGTH, cut_figure("handle_strips").high * each


def offered(bag: Bag) -> tuple[str, ...]:
    """Everything that a redesign of this bag could take up as unknown."""
    return tuple(name for name in (*PANEL_UNKNOWNS, *ONLY_FOR) if _is_there(bag, name))


def _is_there(bag: Bag, name: str) -> bool:
    if name.startswith("corner_cut") and not bag.panel.has_corners:
        return False
    if name == "front_trim" and bag.site.zip_width <= 0.0:
        return False
    return value_of(bag, name) is not None


def _may_change(name: str, fixed: Mapping[str, float], exact: frozenset[str]) -> bool:
    if name in fixed or (name == LOOP and "handle_last_strip" in fixed):
        return False
    return name not in ONLY_FOR or bool(ONLY_FOR[name] & exact)
