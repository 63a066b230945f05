"""What a figure is: the one description that everything reads.

Validation, spin boxes, command line, files and tests go by it. Each part declares its own
figures; the bag gathers them into one table.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Number, Sentence, Template, Term, mark, say, told_number
from core.base.tolerance import LEAST_LENGTH, LENGTH_TOLERANCE, is_sliver, same_length

LARGEST_SIZE = 300_000.0
"""mm, and litres: the largest size that can be wanted, as long as the longest loop of handles."""
LONGEST = 5000.0
"""Longest side of a piece, mm: a printed page may be 5.08 m long."""
_LONGEST_READ = 1e7
"""mm, 10 km; what is longer is nobody's length, and its digits tell nothing."""
_READABLE = LEAST_LENGTH / 10
"""mm; a length below this may read as 0: it is told by what it is less than."""


class Quantity(Enum):
    """What a figure counts, and so how it is typed and shown."""

    LENGTH = "length"
    COUNT = "count"
    VOLUME = "volume"


class Form(Enum):
    """How a finished figure follows from the lengths that a redesign changes."""

    LINEAR = "linear"
    """A length that is linear in them."""
    BOX = "box"
    """Litres: the product of three sides that are linear."""
    FILLED = "filled"
    """Litres that only filling the bag tells: too slow to be measured, or aimed at, in passing."""
    TAUT = "taut"
    """The height of a strap pulled taut: sqrt(free^2 - half_gap^2) - rise, each of them linear."""


class Ruled(Enum):
    """How a cut figure is put on the step of a ruler."""

    TOGETHER = "together"
    """The neighbouring steps of all of these are tried together."""
    NEAREST = "nearest"
    """By itself, on the nearest step above 0: nothing else depends on it."""
    PART = "part"
    """By its part, which knows on which side of it to go."""


class Direction(Enum):
    """The three directions of a bag."""

    ACROSS = "across"
    DEEP = mark("front to back")
    UP = "up"


class When(NamedTuple):
    """What a figure goes with: words of a choice, without which a file does not hold it.

    Attributes:
        attribute: of the record, that holds the choice.
        words: with any of which there is the figure.
        above_nothing: whether it is more than nothing there.
    """

    attribute: str
    words: tuple[Enum, ...]
    above_nothing: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutFigure:
    """A figure that the maker sets; each is one of a kind, and told by itself from the others.

    Attributes:
        name: fixed name, snake_case; also the name in files and on the command line.
        label: what the maker reads.
        part: attribute of the bag that holds it, e.g. "body".
        attribute: attribute of that part.
        quantity: LENGTH (mm) or COUNT.
        low, high: limits, mm or pieces, those of a side of a piece where nothing else is said;
            both included unless `above_low`. A length is also 0 or at least `LEAST_LENGTH`.
        above_low: the value must be more than `low`.
        published: whether it belongs to the fixed names that scripts rely on.
        help: one sentence for the tooltip.
        ruled: how a ruler rounds it; None: it stays as it is.
        pinnable: whether a redesign may change it, so that it can be kept from it.
        among: the only numbers that a count can be; none: every one between its limits.
        in_sewn_bag: whether it is a size of what lies in the sewn bag, and so stays when only
            the take-up changes.
        by_hand: whether lines of the flat pieces that it sets can be moved by hand.
        tells: names of the finished figures that are told while a line that it sets is moved.
        when: the words of a choice that it goes with; None: it is always there.
    """

    name: str
    label: Template
    part: str
    attribute: str
    low: float = 0.0
    high: float = LONGEST
    help: Template
    quantity: Quantity = Quantity.LENGTH
    above_low: bool = False
    published: bool = True
    ruled: Ruled | None = None
    pinnable: bool = False
    in_sewn_bag: bool = False
    by_hand: bool = False
    tells: tuple[str, ...] = ()
    among: tuple[int, ...] = ()
    when: When | None = None
    _surely: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # A record checks a dozen lengths whenever one changes: from here up none needs a question.
        least = max(self.low, LEAST_LENGTH) + LENGTH_TOLERANCE
        object.__setattr__(self, "_surely", least if self.quantity is Quantity.LENGTH else math.inf)

    @property
    def may_be_nothing(self) -> bool:
        """Whether it can be 0."""
        return self.low <= 0.0 and not self.above_low

    def check(self, value: float) -> None:
        """Refuse with a FieldError what this figure cannot be.

        That is what is no number, out of range, a length too small to be one, or a count that is
        not whole.
        """
        if type(value) is float and self._surely <= value <= self.high:
            return
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(value, mark("it must be a number."))
        if not _is_finite(value):
            self.refuse(value, mark("it must be an ordinary number."))
        if self.quantity is Quantity.COUNT and value != int(value):
            self.refuse(value, mark("it must be a whole number."))
        if self.quantity is Quantity.LENGTH and self.low < LEAST_LENGTH and is_sliver(value):
            self.refuse(value, self._least, least=LEAST_LENGTH)
        if self.above_low and value <= self.low:
            self.refuse(value, mark("it must be more than {limit}."), limit=self.low)
        if value < self.low:
            self.refuse(value, mark("it must be at least {limit}."), limit=self.low)
        if value > self.high:
            self.refuse(value, mark("it must be at most {limit}."), limit=self.high)

    @property
    def _least(self) -> Template:
        """How small it may be."""
        if self.low < 0.0:
            return _NOTHING_OR_FURTHER
        return _NOTHING_OR_LEAST if self.may_be_nothing else _LEAST

    def refuse(self, value: object, rule: Template, **lengths: float) -> None:
        """Raise the FieldError for a value of this figure: "<label> is <value>: <rule>"."""
        if self.quantity is Quantity.LENGTH:
            sentence = length_refused(self.label, value, rule, **lengths)
        else:
            numbers = {gap: Number(limit) for gap, limit in lengths.items()}
            terms: dict[str, Term] = {"label": self.label, "rule": say(rule, numbers=numbers)}
            sentence = say(_REFUSED, terms=terms, words={"value": told_number(value)})
        raise FieldError(sentence, field=self.name, value=value)


def length_refused(label: Term, value: object, rule: Template, **lengths: float) -> Sentence:
    """What is said of a length that cannot be: "<label> is <value>: <rule>".

    Args:
        label: of the field.
        value: as offered, mm. One so small that it would read as 0 is told by what it is less
            than, and one beyond 10 km as such; what is no ordinary number stands as it is.
        rule: "it must be ...", with gaps for the lengths.
        lengths: gap -> mm.
    """
    terms: dict[str, Term] = {"label": label, "rule": Sentence(rule, lengths)}
    if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
        return say(_REFUSED, terms=terms, words={"value": told_number(value)})
    if abs(value) > _LONGEST_READ:
        told = say("far too large") if value > 0.0 else say("far below 0")
    elif 0.0 < abs(value) < _READABLE:
        template = mark("less than {length}") if value > 0.0 else mark("less than {length} below 0")
        told = say(template, length=LEAST_LENGTH)
    else:
        return say(_REFUSED, value=value, terms=terms)
    return say(_REFUSED, terms=terms | {"value": told})


def check_no_sliver(label: Term, value: float, *, field: str) -> None:
    """Refuse a length of a field that is no `CutFigure` where it is too small to be one.

    A FieldError where the value, mm, of either sign, is neither 0 nor as long as `LEAST_LENGTH`.
    """
    if is_sliver(value):
        rule = _NOTHING_OR_LEAST if value > 0.0 else _NOTHING_OR_FURTHER
        sentence = length_refused(label, value, rule, least=LEAST_LENGTH)
        raise FieldError(sentence, field=field, value=value)


_LEAST = mark("it must be at least {least}.")
_NOTHING_OR_LEAST = mark("it must be 0 or at least {least}.")
_NOTHING_OR_FURTHER = mark("it must be 0, or at least {least} more or less than 0.")
_REFUSED = mark("{label} is {value}: {rule}")


def _is_finite(value: float) -> bool:
    """Whether it is a number that a float can hold; a whole number may be too large."""
    try:
        return math.isfinite(value)
    except OverflowError:
        return False


class FinishedFigure(NamedTuple):
    """A figure that follows from the cut ones.

    Attributes:
        name: fixed name, snake_case.
        label: what the maker reads.
        part: the part of the bag under which it is listed.
        quantity: LENGTH (mm) or VOLUME (litres).
        published: whether it belongs to the fixed names that scripts rely on.
        help: one sentence for the tooltip.
        form: how it follows from what a redesign changes.
        wanted: whether it can be typed and pinned; else it is only shown.
        may_be_negative: whether it can be below 0.
        inside: whether it is of the room inside the wall.
        matched: what is said of it while it is kept at 0, unless that is released, such as
            "matched corners"; empty: it is no mismatch.
        tape: how a tape finds it on a finished bag; empty: it cannot be measured there.
        sampled: whether it is measured on a sewn sample.
        taken_up: the direction in which sewing takes it up; None: it is not taken up so.
        loses_with: a figure whose loss, in mm, is its own; empty: it loses its own share.
        missing: what is said where a bag that has its part lacks the figure, with a gap {label};
            empty: it has it.
        only_with: the mismatch beside which alone it is worth telling; empty: it always is.
        when: the construction that has it; None: every one.
        parts: what else than `part` it is measured on.
    """

    name: str
    label: Template
    part: str
    help: Template
    quantity: Quantity = Quantity.LENGTH
    published: bool = True
    form: Form = Form.LINEAR
    wanted: bool = True
    may_be_negative: bool = False
    inside: bool = False
    matched: Template = NO_TEXT
    tape: Template = NO_TEXT
    sampled: bool = False
    taken_up: Direction | None = None
    loses_with: str = ""
    missing: Template = NO_TEXT
    only_with: str = ""
    when: When | None = None
    parts: tuple[str, ...] = ()


class Limit(NamedTuple):
    """A rule between two lengths of one bag, which both follow from its figures.

    What refuses an impossible bag and what a redesign must stay within are the same rows.

    Attributes:
        figure: whose value is refused.
        value: of that figure, mm.
        bound: what it must keep to, mm.
        rule: completes "Label is value: it must be ...", with a gap {limit} for the bound.
        above: whether the value must lie above the bound rather than below it.
        reachable: whether the value may lie at the bound.
        only_for: figures that alone need it; none: no bag is without.
        unless: figures that are asked for in spite of it; none: always. What has some refuses no
            bag that is typed, but no search ends beyond it.
    """

    figure: CutFigure
    value: float
    bound: float
    rule: Template
    above: bool = False
    reachable: bool = False
    only_for: frozenset[str] = frozenset()
    unless: frozenset[str] = frozenset()

    @property
    def room(self) -> float:
        """How far the value lies within its bound, mm; negative beyond it."""
        return self.value - self.bound if self.above else self.bound - self.value

    @property
    def least_room(self) -> float:
        """The room that is still accepted, mm: what lies a hair beyond a bound lies at it."""
        return -LENGTH_TOLERANCE if self.reachable else LENGTH_TOLERANCE

    @property
    def kept(self) -> bool:
        """Whether the value lies within its bound."""
        room = self.room
        return room >= self.least_room if self.reachable else room > self.least_room

    def check(self) -> None:
        """Refuse a value beyond its bound by a FieldError "<label> is <value>: it must be ..."."""
        if not self.kept and not self.unless:
            self.figure.refuse(self.value, self.rule, limit=self.bound)


def check_record(record: object, figures: tuple[CutFigure, ...]) -> None:
    """Check every figure that a record holds as typed; a FieldError for the first impossible."""
    for figure in figures:
        figure.check(getattr(record, figure.attribute))


def settle_record(record: object, figures: tuple[CutFigure, ...]) -> None:
    """Check every figure of a part whose lengths may follow from sums, and take off their dust.

    What sums leave of a length that is nothing becomes exactly 0 in the record, where the
    figure may be that. A FieldError for the first value that is impossible.
    """
    for figure in figures:
        value = getattr(record, figure.attribute)
        is_dust = isinstance(value, float) and same_length(value, 0.0)
        if is_dust and figure.quantity is Quantity.LENGTH and figure.may_be_nothing:
            object.__setattr__(record, figure.attribute, 0.0)
        else:
            figure.check(value)


class TakeUp(NamedTuple):
    """Take-up: sewn size over drawn size, in each direction, measured outside; each > 0.

    Taken up is what lies in the wall. What shows of a zip is not, and neither is what is laid on
    cut cloth: pocket, handles, the length of the zip.
    """

    across: float = 1.0
    deep: float = 1.0
    up: float = 1.0

    def factor(self, direction: Direction) -> float:
        """Sewn over drawn in one direction."""
        sizes = {Direction.ACROSS: self.across, Direction.DEEP: self.deep, Direction.UP: self.up}
        return sizes[direction]

    @property
    def volume_share(self) -> float:
        """Sewn over drawn volume of a box."""
        return self.across * self.deep * self.up

    def sewn(
        self, drawn: Mapping[str, float | None], figures: Iterable[FinishedFigure]
    ) -> dict[str, float | None]:
        """Sizes as they come out, from sizes measured on the stitch lines, mm.

        Volumes follow the sizes of their box: they, and what is not taken up, stay as they are.

        Args:
            drawn: figure name -> mm.
            figures: their descriptions, which tell what is taken up and in which direction.
        """
        found = dict(drawn)
        for figure in figures:
            value = drawn.get(figure.name)
            if value is None or figure.taken_up is None:
                continue
            factor = self.factor(figure.taken_up)
            if not figure.loses_with:
                found[figure.name] = value * factor
            elif (led_by := drawn.get(figure.loses_with)) is not None:
                found[figure.name] = value - led_by * (1.0 - factor)
        return found


NO_TAKE_UP = TakeUp()
"""Every size comes out as it is drawn."""
