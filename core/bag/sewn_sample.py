"""A sewn sample: what it measured, and by what factor it came out smaller than drawn."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.figures import label_of
from core.bag.tables import FINISHED_FIGURES
from core.base.errors import FieldError
from core.base.sentences import Sentence, mark, say
from core.model.figures import (
    LONGEST,
    NO_TAKE_UP,
    Direction,
    TakeUp,
    check_no_sliver,
    length_refused,
)
from core.model.record import Record

SAMPLED: Mapping[str, Direction] = MappingProxyType(
    {
        figure.name: figure.taken_up
        for figure in FINISHED_FIGURES
        if figure.sampled and figure.taken_up is not None
    }
)
"""What is measured on a sample, and the direction that it tells about."""

_LEAST, _MOST = 0.5, 1.5
"""A factor outside is a slip of the tape or of the keyboard, not take-up."""
_LARGEST = 2 * LONGEST
"""No finished size is longer than a panel is cut, mm."""
_AT_MOST = mark("it must be at most {limit}.")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Sample(Record):
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
            if name not in SAMPLED or name not in self.drawn:
                sentence = say("{name} is not measured on a sample.", words={"name": name[:60]})
                raise FieldError(sentence, field=name, value=value)
            label = label_of(name)
            of_sample = say("{figure} of the sample", terms={"figure": label})
            check_no_sliver(of_sample, value, field=name)
            drawn = self.drawn[name]
            if not math.isfinite(drawn) or drawn > _LARGEST:
                of_pattern = say("{figure} of the sample’s pattern", terms={"figure": label})
                sentence = length_refused(of_pattern, drawn, _AT_MOST, limit=_LARGEST)
                raise FieldError(sentence, field=name, value=drawn)
            if not math.isfinite(value) or not _LEAST * drawn <= value <= _MOST * drawn:
                template = mark(
                    "{label} of the sample is {value}: it must be near the {drawn} of the pattern."
                )
                is_length = math.isfinite(value)
                sentence = Sentence(
                    template,
                    {"drawn": drawn} | ({"value": value} if is_length else {}),
                    words={} if is_length else {"value": str(value)},
                    terms={"label": label},
                )
                raise FieldError(sentence, field=name, value=value)

    def factor(self, direction: Direction) -> float:
        """Measured over drawn in one direction; 1 where nothing was measured."""
        names = [name for name in self.measured if SAMPLED[name] is direction]
        square = math.fsum(self.drawn[name] ** 2 for name in names)
        if square == 0.0:
            return 1.0
        return math.fsum(self.measured[name] * self.drawn[name] for name in names) / square

    @property
    def take_up(self) -> TakeUp:
        """What is allowed for: none unless `allowed_for`."""
        ways = (self.factor(way) for way in Direction)
        return TakeUp(*ways) if self.allowed_for else NO_TAKE_UP


def sample_of(bag: Bag, measured: Mapping[str, float]) -> Sample:
    """A sample sewn from this bag's pattern; a FieldError for a value that it cannot measure."""
    drawn = compute(bag).drawn
    known = {name: value for name in SAMPLED if (value := drawn[name]) is not None}
    return Sample(drawn=known, measured=dict(measured))
