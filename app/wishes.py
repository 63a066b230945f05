"""What the maker wishes of a redesign, and what it came to: values only. Lengths are mm."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from core.bag import FINISHED_FIGURES, Bag, cut_value
from core.compute import Result
from core.project import Project
from core.redesign.rounding import RULED
from core.redesign.wants import MATCHED

FOLLOWS_ONLY = frozenset(
    {
        "gusset_depth_at_side",
        MATCHED,
        "zip_clearance",
        "filled_volume",
        "inside_filled_volume",
        "pocket_side_compartment",
        "pocket_middle_compartment",
    }
)
"""Finished figures that are shown, but neither wanted nor pinned."""
WANTABLE = frozenset(figure.name for figure in FINISHED_FIGURES) - FOLLOWS_ONLY
"""Finished figures that can be typed and pinned."""
PINNABLE = WANTABLE | (frozenset(RULED) - {"pocket_drop"}) | {"handle_strips"}
"""Figures that a redesign could change, and that the maker can keep from it."""
FINISHED = frozenset(figure.name for figure in FINISHED_FIGURES)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """A figure that the maker wants, and the pins given up for it.

    Attributes:
        name: of a cut or finished figure.
        value: mm, litres or pieces.
        released: names of pins that are given up, `MATCHED` for the corners.
    """

    name: str
    value: float
    released: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a redesign did to the bag that it led to.

    Attributes:
        bag: the bag.
        asked: finished figure -> the exact value that was wanted or held.
        cost: finished figure -> what the ruler added to it, mm or litres.
        off_ruler: cut figures that no ruler step fits.
    """

    bag: Bag
    asked: Mapping[str, float]
    cost: Mapping[str, float | None]
    off_ruler: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """Wishes for one figure that follow one another quickly, as from a held arrow key.

    Each is solved from where the run began, so that the way back leads back.

    Attributes:
        name: of the figure.
        start: what there was before the first wish.
        reached: the bag that the last one led to.
        at: when, seconds.
    """

    name: str
    start: Result
    reached: Bag
    at: float


def present_pins(pinned: frozenset[str], result: Result) -> frozenset[str]:
    """The pins of figures that this bag has."""
    return frozenset(
        name
        for name in pinned
        if name != MATCHED
        and (result.finished[name] if name in FINISHED else cut_value(result.bag, name)) is not None
    )


def released(project: Project, names: frozenset[str]) -> Project:
    """The project with these pins released, `MATCHED` among them for the corners."""
    return replace(
        project,
        pinned=project.pinned - names,
        corners_matched=project.corners_matched and MATCHED not in names,
    )
