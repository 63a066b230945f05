"""The pattern model as rows: every length that is linear in the cut, with its limits.

Sizes of the panel, the rooms that its limits leave, the sides of its boxes and what a
handle's drop is reckoned from are linear in the cut figures, whatever the construction:
one difference of the pattern model for each unknown gives their slopes once for all.
"""

from collections.abc import Iterable, Iterator, Mapping, Set
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum

import numpy as np

from core.bag.bag import Bag, cut_value
from core.bag.compute import measure_walls
from core.bag.figures import FINISHED, is_cut
from core.base.arrays import Floats
from core.base.errors import FieldError
from core.base.quantities import MM3_PER_LITRE
from core.base.sentences import NO_TEXT, Template, mark
from core.model.figures import Form
from core.model.record import Bend, Unknown
from core.redesign.convex import Linear, Product
from core.redesign.filled_volume import NO_LAWS, Laws, PowerLawFigure, powers_of
from core.redesign.rounded_box import BoxVolume, RoundedBox
from core.redesign.variables import (
    bag_with,
    bag_without_slivers,
    chain_figures,
    limits_of,
    unknowns_of,
    value_of,
)
from core.site.site import Finished

_STEPS = (1.0, -1.0, 0.01, -0.01)
"""mm; differences of the model. Linear rows need no small step, and a long one keeps digits."""
_ASIDE = 10.0
"""mm; how far from a bag without neighbours others are tried."""
_DIGITS = 10
"""Slopes are plain numbers such as 1/2 and 2: what rounding leaves beyond is dust."""
_HAIR = 1e-6
"""mm; how much further inside a limit the rows stay than the model demands."""


class ConstraintKind(Enum):
    """Whose limit it is."""

    PLAIN = "at least or at most so much"
    BETWEEN = "between figures of the bag"
    REACH = "of the search alone, which is told to nobody"


@dataclass(frozen=True, slots=True)
class Constraint:
    """A limit as a row.

    Attributes:
        name: of the figure that is refused beyond it; empty for REACH.
        room: how far within its limit the figure lies, mm; it must be at least `least`.
        value, bound: of the figure, and what it must keep to, mm.
        rule: "it must be ..., {limit}."
        kind: whose limit it is.
        only_for: figures that need it; none: every bag keeps to it.
        unless: figures that are asked for in spite of it.
    """

    name: str
    room: Linear
    least: float
    value: Linear
    bound: Linear
    rule: Template
    only_for: frozenset[str] = frozenset()
    kind: ConstraintKind = ConstraintKind.BETWEEN
    unless: frozenset[str] = frozenset()

    def is_for(self, asked: frozenset[str]) -> bool:
        """Whether a bag keeps to it of which these figures are asked."""
        needed = not self.only_for or not self.only_for.isdisjoint(asked)
        return needed and self.unless.isdisjoint(asked)


@dataclass(frozen=True, slots=True)
class Strap:
    """What the height of a strap pulled taut is reckoned from.

    Attributes:
        free, half_gap, rise: see `core.model.record.Bend`, mm.
        rules: the same, too.
    """

    free: Linear
    half_gap: Linear
    rise: Linear
    rules: tuple[Template, Template]


@dataclass(frozen=True, slots=True)
class LinearModel:
    """Rows of one bag.

    Attributes:
        bag: they were measured on it, and it has all that is no unknown.
        names: of the n unknowns, and of other cut figures that are wanted.
        start: (n,) their values in that bag, mm.
        unknowns: those of the names that may change; the wanted ones come after them.
        lengths: figure -> its row.
        volumes, straps: figure -> what it is made of.
        rules: what every bag keeps to.
    """

    bag: Bag
    names: tuple[str, ...]
    start: Floats
    unknowns: tuple[Unknown, ...]
    lengths: Mapping[str, Linear]
    volumes: Mapping[str, BoxVolume | PowerLawFigure]
    straps: Mapping[str, Strap]
    rules: tuple[Constraint, ...]

    @property
    def free(self) -> int:
        """How many of the names may change."""
        return len(self.unknowns)

    def at(self, x: Floats, fixed: Mapping[str, float]) -> Bag:
        """The bag with these unknowns, mm, and other cut figures; FieldError: there is none."""
        found = dict(zip(self.names, x.tolist(), strict=True))
        return bag_without_slivers(self.bag, dict(fixed) | found)


def measure_model(bag: Bag, wanted: Mapping[str, float], laws: Laws = NO_LAWS) -> LinearModel:
    """Measure the rows of a bag.

    Args:
        bag: a possible bag, with corners if they are to be unknown.
        wanted: every figure that may come to be asked for.
        laws: of the filled volumes among them.

    A FieldError says that the bag is so near a limit in every direction that none can be measured.
    """
    asked = frozenset(wanted)
    unknowns = tuple(unknown for unknown in unknowns_of(bag) if unknown.is_for(asked))
    free = tuple(unknown.name for unknown in unknowns)
    chained = chain_figures(bag)
    others = [
        name
        for name, value in wanted.items()
        if name not in (*free, *chained)
        and is_cut(name)
        and cut_value(bag, name) not in (None, value)  # it must change
    ]
    names = (*free, *others)
    start = _values(bag, names)
    now, slopes, bases = _measured(bag, names)
    rows = {key: Linear(slopes[i], float(bases[i])) for i, key in enumerate(now)}
    lengths = {key: row for key, row in rows.items() if isinstance(key, str)}
    bent = _bends(bag, measure_walls(bag))
    boxes = {bend.figure: _volume(rows, bend) for bend in bent if bend.form is Form.BOX}
    return LinearModel(
        bag,
        names,
        start,
        unknowns,
        lengths,
        {**boxes, **{name: powers_of(law, lengths) for name, law in laws.items()}},
        {bend.figure: _strap(rows, bend) for bend in bent if (bend.figure, "free") in rows},
        (
            *_own_limits(bag, names),
            *_rules(bag, rows),
            *_sides(bent, rows),
            *_fillable(bag, lengths, frozenset(laws)),
            *_trusted(lengths, laws),
        ),
    )


def _values(bag: Bag, names: tuple[str, ...]) -> Floats:
    return np.array([value_of(bag, name) for name in names])


def _measured(bag: Bag, names: tuple[str, ...]) -> tuple[list["Key"], Floats, Floats]:
    """What can be read, its slopes (r, n) and its values where every unknown is 0 (r,).

    A bag that lies at a limit may have no neighbours; it is measured from beside it.
    """
    refused: FieldError | None = None
    for base in _bases(bag, names):
        try:
            now, start = _readings(base), _values(base, names)
            slopes = np.zeros((len(now), len(names)))
            values = np.array(list(now.values()))
            for index, name in enumerate(names):
                there, step = _beside(base, name, float(start[index]), now.keys())
                moved = np.array([there[key] for key in now])
                slopes[:, index] = np.round((moved - values) / step, _DIGITS)
        except FieldError as error:
            refused = error
            continue
        return list(now), slopes, values - slopes @ start
    raise refused or FieldError(mark("There is no such bag."), field="", value=None)


def _bases(bag: Bag, names: tuple[str, ...]) -> Iterator[Bag]:
    """The bag itself, then others with one unknown moved."""
    yield bag
    for name, value in zip(names, _values(bag, names).tolist(), strict=True):
        for step in (_ASIDE, -_ASIDE):
            with suppress(FieldError):
                yield bag_with(bag, {name: value + step})


Key = str | tuple[str, object]


def _readings(bag: Bag) -> dict[Key, float]:
    """Everything linear that can be read off a bag, mm."""
    finished = measure_walls(bag)
    found: dict[Key, float] = {
        name: value
        for name, value in finished.items()
        if value is not None and FINISHED[name].form is Form.LINEAR
    }
    bent = _bends(bag, finished)
    for bend in bent:
        if bend.form is Form.BOX:
            lengths = (*bend.lengths, *bend.radii)
            found |= {(bend.figure, place): length for place, length in enumerate(lengths)}
    for place, limit in enumerate(bag.limits):
        found |= {("value", place): limit.value, ("bound", place): limit.bound}
    for bend in bent:
        if bend.form is Form.TAUT:
            pairs = zip(_TAUT, bend.lengths, strict=True)
            found |= {(bend.figure, key): length for key, length in pairs}
    return found


def _bends(bag: Bag, finished: Finished) -> list[Bend]:
    """Every figure of a bag that is not linear."""
    return [bend for _, member in bag.members for bend in member.bends(bag.site, finished)]


_TAUT = ("free", "half gap", "rise")


def _beside(bag: Bag, name: str, value: float, keys: Set[Key]) -> tuple[dict[Key, float], float]:
    refused: FieldError | None = None
    for step in _STEPS:
        try:
            there = _readings(bag_with(bag, {name: value + step}))
            if keys <= there.keys():
                return there, step
        except FieldError as error:
            refused = error
    raise refused or FieldError(mark("Such a bag has no neighbours."), field=name, value=value)


def _volume(rows: Mapping[Key, Linear], bend: Bend) -> BoxVolume:
    """A box; one with rounded corners only where there can be such corners."""
    count = len(bend.lengths)
    sides = [rows[(bend.figure, place)] for place in range(count)]
    radii = [rows[(bend.figure, count + place)] for place in range(len(bend.radii))]
    radii = [radius for radius in radii if radius.base > 0.0 or np.any(radius.slope)]
    slopes, bases = _stacked(sides)
    if not radii:
        return Product(slopes, bases, MM3_PER_LITRE)
    return RoundedBox(slopes, bases, *_stacked(radii), MM3_PER_LITRE)


def _stacked(rows: list[Linear]) -> tuple[Floats, Floats]:
    """Slopes (r, n) and bases (r,) of r rows."""
    return np.array([row.slope for row in rows]), np.array([row.base for row in rows])


def _strap(rows: Mapping[Key, Linear], bend: Bend) -> Strap:
    free, half_gap, rise = (rows[(bend.figure, key)] for key in _TAUT)
    return Strap(free, half_gap, rise, bend.rules)


def _own_limits(bag: Bag, names: tuple[str, ...]) -> Iterator[Constraint]:
    """What each figure keeps to by itself; a chain's limits follow from its pieces."""
    for name in names:
        if is_cut(name):
            yield from own_limits(names, name, *limits_of(bag, name, {}))


def own_limits(names: tuple[str, ...], name: str, low: float, high: float) -> Iterator[Constraint]:
    """The least and the most of one unknown, mm."""
    unit, zero = np.eye(len(names))[names.index(name)], np.zeros(len(names))
    value, plain = Linear(unit, 0.0), ConstraintKind.PLAIN
    yield Constraint(name, Linear(unit, -low), 0.0, value, Linear(zero, low), AT_LEAST, kind=plain)
    yield Constraint(name, Linear(-unit, high), 0.0, value, Linear(zero, high), AT_MOST, kind=plain)


def _rules(bag: Bag, rows: Mapping[Key, Linear]) -> Iterator[Constraint]:
    """What the figures keep to among themselves."""
    for place, limit in enumerate(bag.limits):
        value, bound = rows[("value", place)], rows[("bound", place)]
        room = _less(value, bound) if limit.above else _less(bound, value)
        least = limit.least_room + _HAIR
        if np.any(room.slope) and (limit.kept or not limit.unless):
            name, whose = limit.figure.name, (limit.only_for, ConstraintKind.BETWEEN, limit.unless)
            yield Constraint(name, room, least, value, bound, limit.rule, *whose)


def _sides(bent: Iterable[Bend], rows: Mapping[Key, Linear]) -> Iterator[Constraint]:
    """A box has no volume once a side of it is gone."""
    for bend in bent:
        for place, side in enumerate(bend.sizes):
            room, value = rows[(bend.figure, place)], rows[side]
            bound = _less(value, room)
            rule, kind = AT_LEAST, ConstraintKind.PLAIN
            if FINISHED[bend.figure].inside:
                rule, kind = _ROOM_INSIDE, ConstraintKind.BETWEEN
            alone = frozenset({bend.figure})
            yield Constraint(side, room, 0.0, value, bound, rule, alone, kind)


def _fillable(bag: Bag, rows: Mapping[str, Linear], laws: frozenset[str]) -> Iterator[Constraint]:
    """What a bag keeps to of which a filled volume is told."""
    if not laws:
        return
    for limit in bag.body.fill_limits(flat_base=_is_flat(bag), take_up=bag.take_up):
        value = rows[limit.figure]
        if limit.other:
            other = rows[limit.other]
            bound = Linear(limit.times * other.slope, limit.times * other.base)
        else:
            bound = Linear(np.zeros(len(value.slope)), limit.least)
        room = _less(value, bound)
        kind = ConstraintKind.BETWEEN if limit.rule else ConstraintKind.PLAIN
        rule = limit.rule or AT_LEAST
        yield Constraint(limit.figure, room, limit.hair, value, bound, rule, laws, kind)


def _is_flat(bag: Bag) -> bool:
    """Whether a part keeps the base flat."""
    return any(part.FLATTENS_BASE for part in bag.parts.values())


def _trusted(rows: Mapping[str, Linear], laws: Laws) -> Iterator[Constraint]:
    """How far the laws are trusted; a refusal at one of these limits is not the last word."""
    only_for, reach = frozenset(laws), ConstraintKind.REACH
    for law in laws.values():
        if not np.isfinite(law.reach):
            continue
        for name in law.sizes:
            value, (low, high) = rows[name], law.trusted(name)
            if not np.any(value.slope):
                continue
            zero = np.zeros(len(value.slope))
            room = Linear(value.slope, value.base - low)
            yield Constraint("", room, 0.0, value, Linear(zero, low), NO_TEXT, only_for, reach)
            room = Linear(-value.slope, high - value.base)
            yield Constraint("", room, 0.0, value, Linear(zero, high), NO_TEXT, only_for, reach)


def can_be_filled(bag: Bag, laws: Laws) -> bool:
    """Whether these laws can tell what a bag holds, and the filling after them."""
    if not laws:
        return True
    finished = measure_walls(bag)
    return bag.body.is_fillable(finished, flat_base=_is_flat(bag), take_up=bag.take_up) and all(
        law.trusts(finished) for law in laws.values()
    )


def keeps_searched(bag: Bag, after: Bag, asked: Set[str]) -> bool:
    """Whether a bag keeps to the limits of searches that the bag before kept to.

    `asked`: figures that must come out exactly.
    """

    def beyond(there: Bag) -> bool:
        limits = (each for each in there.limits if each.unless)
        return any(not each.kept and each.unless.isdisjoint(asked) for each in limits)

    return beyond(bag) or not beyond(after)


def _less(one: Linear, other: Linear) -> Linear:
    return Linear(one.slope - other.slope, one.base - other.base)


AT_LEAST = mark("it must be at least {limit}.")
AT_MOST = mark("it must be at most {limit}.")
_ROOM_INSIDE = mark("it must leave room inside the wall, at least {limit}.")
