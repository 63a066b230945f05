"""Take-up: what a sewn sample measures against its drawing, and allowing for it.

A thick sandwich turns round its edges and comes out smaller than it is drawn. After a
test sewing the factor of each direction is

    k = sum(measured * drawn) / sum(drawn ** 2)

over the sizes measured in that direction (least squares through the origin; with one
size it is measured / drawn). To finish at a size S the pattern is drawn at S / k.

Limits: the factor holds for this sandwich, stitch and maker, and for sizes near the
sample's; a loss at edges does not grow with size as a factor does. Differences under
about 3 mm are within what a tape on a soft bag can tell.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum
from types import MappingProxyType

from core.bag import Bag
from core.compute import compute
from core.errors import FieldError, Sentence
from core.redesign.solve import Redesign, redesign
from core.redesign.wants import Request, label_of


class Direction(Enum):
    """The three directions of a bag."""

    ACROSS = "across"
    DEEP = "front to back"
    UP = "up"


SAMPLE_FIGURES: Mapping[str, Direction] = MappingProxyType(
    {
        "base_width": Direction.ACROSS,
        "opening_width": Direction.ACROSS,
        "gusset_depth": Direction.DEEP,
        "face_height": Direction.UP,
    }
)
"""What is measured on a sample, and the direction that it tells about."""

_LEAST, _MOST = 0.5, 1.5
"""A factor outside is a slip of the tape or of the keyboard, not take-up."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A sewn sample.

    Attributes:
        drawn: figure name -> mm, as the pattern had it when it was sewn.
        measured: figure name -> mm, on the sample; a part of the same names.
        allowed_for: whether the present pattern is drawn larger to make up for it.
    """

    drawn: Mapping[str, float] = field(default_factory=dict)
    measured: Mapping[str, float] = field(default_factory=dict)
    allowed_for: bool = False

    def __post_init__(self) -> None:
        for name, value in self.measured.items():
            if name not in SAMPLE_FIGURES or name not in self.drawn:
                raise FieldError(f"{name} is not measured on a sample.", field=name, value=value)
            drawn = self.drawn[name]
            if not math.isfinite(value) or not _LEAST * drawn <= value <= _MOST * drawn:
                sentence = Sentence(
                    "{label} of the sample is {value}: it must be near the {drawn} of the pattern.",
                    {"drawn": drawn} | ({"value": value} if math.isfinite(value) else {}),
                    {"label": label_of(name)}
                    | ({} if math.isfinite(value) else {"value": str(value)}),
                )
                raise FieldError(sentence, field=name, value=value)

    def factor(self, direction: Direction) -> float:
        """Measured over drawn in one direction; 1 where nothing was measured."""
        names = [name for name in self.measured if SAMPLE_FIGURES[name] is direction]
        square = sum(self.drawn[name] ** 2 for name in names)
        if square == 0.0:
            return 1.0
        return sum(self.measured[name] * self.drawn[name] for name in names) / square


def sample_of(bag: Bag, measured: Mapping[str, float]) -> Sample:
    """A sample sewn from this bag's pattern.

    Raises:
        FieldError: a value that cannot be a measurement of it.
    """
    finished = compute(bag).finished
    drawn = {name: value for name in SAMPLE_FIGURES if (value := finished[name]) is not None}
    return Sample(drawn=drawn, measured=dict(measured))


def allow_for(bag: Bag, sample: Sample) -> Redesign:
    """Draw the pattern larger so that it finishes at the sizes that it is drawn at now.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _scaled(bag, {way: 1.0 / sample.factor(way) for way in Direction})


def take_back(bag: Bag, sample: Sample) -> Redesign:
    """Undo `allow_for` on a bag that may have been redrawn since.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _scaled(bag, {way: sample.factor(way) for way in Direction})


def _scaled(bag: Bag, factors: Mapping[Direction, float]) -> Redesign:
    """Base, gusset and face by their factors; the rest as near as it can be."""
    finished = compute(bag).finished
    sizes = ("base_width", "gusset_depth", "face_height")
    wants = {
        name: value * factors[SAMPLE_FIGURES[name]]
        for name in sizes
        if (value := finished[name]) is not None and value > 0.0
    }
    return redesign(bag, Request(wants=wants))
