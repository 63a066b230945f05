"""The pattern model as rows: every length that is linear in the cut, with its limits.

Sizes of the panel, the rooms that its limits leave, the sides of its boxes and what a
handle's drop is reckoned from are linear in the cut figures, whatever the construction:
one difference of the pattern model for each unknown gives their slopes once for all.
"""

from collections.abc import Iterator, Mapping, Set
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from core.bag.bag import Bag, cut_value
from core.bag.compute import box_sides, measure_walls
from core.bag.figures import is_cut, is_taut, is_volume
from core.base.arrays import Vector
from core.base.errors import FieldError
from core.base.quantities import MM3_PER_LITRE
from core.bodies.boxed_panel.panel import LEAST_OVER_BOARD
from core.flat.roles import Face
from core.model.figures import Direction, Limit
from core.parts.compartments import COMPARTMENT_FIGURES, compartment_limits
from core.redesign.convex import Linear, Product
from core.redesign.filled_volume import NO_LAWS, SIZES, Laws, Powers, powers_of
from core.redesign.variables import (
    LOOP,
    STRIP_FIGURES,
    bag_with,
    bag_without_slivers,
    limits_of,
    offered,
    value_of,
)

_STEPS = (1.0, -1.0, 0.01, -0.01)
"""mm; differences of the model. Linear rows need no small step, and a long one keeps digits."""
_ASIDE = 10.0
"""mm; how far from a bag without neighbours others are tried."""
_DIGITS = 10
"""Slopes are plain numbers such as 1/2 and 2: what rounding leaves beyond is dust."""
_HAIR = 1e-6
"""mm; how much further inside a limit the rows stay than the model demands."""
UNTOLD = ""
LEAST_FILLED = 10.0
"""mm; base and face from which a bag that is asked for is filled (own choice): nobody sews one
of less, and such needles take seconds."""
_HAIR_OVER_BOARD = 1e-4
"""mm; how much further inside the limit over a board the rows stay than the filling demands."""
DROP_FACES = {"handle_drop_front": Face.FRONT, "handle_drop_back": Face.BACK}


@dataclass(frozen=True, slots=True)
class Rule:
    """A limit as a row.

    Attributes:
        name: of the figure that is refused beyond it; `UNTOLD` for a limit of the search alone.
        room: how far within its limit the figure lies, mm; it must be at least `least`.
        value, bound: of the figure, and what it must keep to, mm.
        rule: "it must be ..., {limit}."
        only_for: figures that need it; none: every bag keeps to it.
    """

    name: str
    room: Linear
    least: float
    value: Linear
    bound: Linear
    rule: str
    only_for: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Drop:
    """What a handle's drop is reckoned from: see `Handles.taut`, each mm."""

    free: Linear
    half_gap: Linear
    rise: Linear


@dataclass(frozen=True, slots=True)
class Rows:
    """Rows of one bag.

    Attributes:
        bag: they were measured on it, and it has all that is no unknown.
        names: of the n unknowns, and of other cut figures that are wanted.
        start: (n,) their values in that bag, mm.
        free: how many of the names may change; the wanted ones come after them.
        lengths: figure -> its row.
        volumes, drops: figure -> what it is made of.
        rules: what every bag keeps to.
    """

    bag: Bag
    names: tuple[str, ...]
    start: Vector
    free: int
    lengths: Mapping[str, Linear]
    volumes: Mapping[str, Product | Powers]
    drops: Mapping[str, Drop]
    rules: tuple[Rule, ...]

    def at(self, x: Vector, fixed: Mapping[str, float]) -> Bag:
        """The bag with these unknowns, mm, and these other cut figures.

        Raises:
            FieldError: there can be no such bag.
        """
        found = dict(zip(self.names, x.tolist(), strict=True))
        return bag_without_slivers(self.bag, dict(fixed) | found)


def measure_rows(bag: Bag, wanted: Mapping[str, float], laws: Laws = NO_LAWS) -> Rows:
    """Measure the rows of a bag.

    Args:
        bag: a possible bag, with corners if they are to be unknown.
        wanted: every figure that may come to be asked for.
        laws: of the filled volumes among them.

    Raises:
        FieldError: the bag is so near a limit in every direction that none can be measured.
    """
    unknowns = [name for name in offered(bag) if _taken_up(name, wanted)]
    others = [
        name for name, value in wanted.items() if _moves(bag, name, value) and name not in unknowns
    ]
    names = (*unknowns, *others)
    start = _values(bag, names)
    now, slopes, bases = _measured(bag, names)
    rows = {key: Linear(slopes[i], float(bases[i])) for i, key in enumerate(now)}
    lengths = {key: row for key, row in rows.items() if isinstance(key, str)}
    boxes = {name: _volume(rows, name) for name in box_sides(bag, measure_walls(bag))}
    return Rows(
        bag,
        names,
        start,
        len(unknowns),
        lengths,
        {**boxes, **{name: powers_of(law, lengths) for name, law in laws.items()}},
        {name: _drop(rows, name) for name in DROP_FACES if (name, "free") in rows},
        (
            *_own_limits(bag, names),
            *_rules(bag, rows),
            *_sides(bag, rows),
            *_fillable(bag, lengths, frozenset(laws)),
            *_trusted(lengths, laws),
        ),
    )


def _values(bag: Bag, names: tuple[str, ...]) -> Vector:
    return np.array([value_of(bag, name) for name in names])


def _measured(bag: Bag, names: tuple[str, ...]) -> tuple[list["Key"], Vector, Vector]:
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
    raise refused or FieldError("There is no such bag.", field="", value=None)


def _bases(bag: Bag, names: tuple[str, ...]) -> Iterator[Bag]:
    """The bag itself, then others with one unknown moved."""
    yield bag
    for name, value in zip(names, _values(bag, names).tolist(), strict=True):
        for step in (_ASIDE, -_ASIDE):
            with suppress(FieldError):
                yield bag_with(bag, {name: value + step})


def _taken_up(name: str, wanted: Mapping[str, float]) -> bool:
    """A pocket or a handle that nobody asks for stays as it is."""
    if name == LOOP:
        return bool({LOOP, *DROP_FACES} & wanted.keys())
    return name != "pocket_cut_height" or bool({name, "pocket_height"} & wanted.keys())


def _moves(bag: Bag, name: str, value: float) -> bool:
    """Whether a wanted cut figure is one of its own, beside the strips, that must change."""
    return is_cut(name) and name not in STRIP_FIGURES and cut_value(bag, name) not in (None, value)


Key = str | tuple[str, object]


def _readings(bag: Bag) -> dict[Key, float]:
    """Everything linear that can be read off a bag, mm."""
    finished = measure_walls(bag)
    found: dict[Key, float] = {
        name: value
        for name, value in finished.items()
        if value is not None and not is_volume(name) and not is_taut(name)
    }
    for name, sides in box_sides(bag, finished).items():
        found |= {(name, place): side for place, side in enumerate(sides)}
    for place, (limit, _) in enumerate(_limits(bag)):
        found |= {("value", place): limit.value, ("bound", place): limit.bound}
    if bag.handles is not None:
        for name, face in DROP_FACES.items():
            taut = bag.handles.taut(bag.site, face)
            found |= {(name, key): each for key, each in zip(_TAUT, taut, strict=True)}
    return found


def _limits(bag: Bag) -> list[tuple[Limit, frozenset[str]]]:
    """Each limit between the figures of a bag, and what alone needs it; none: every bag."""
    every = [(limit, frozenset[str]()) for limit in bag.limits]
    compartments = frozenset(figure.name for figure in COMPARTMENT_FIGURES)
    more = compartment_limits(bag.pocket, bag.handles, bag.site)
    return [*every, *((limit, compartments) for limit in more)]


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
    raise refused or FieldError("Such a bag has no neighbours.", field=name, value=value)


def _volume(rows: Mapping[Key, Linear], name: str) -> Product:
    sides = [rows[(name, place)] for place in range(3)]
    return Product(
        np.array([side.slope for side in sides]),
        np.array([side.base for side in sides]),
        MM3_PER_LITRE,
    )


def _drop(rows: Mapping[Key, Linear], name: str) -> Drop:
    free, half_gap, rise = (rows[(name, key)] for key in _TAUT)
    return Drop(free, half_gap, rise)


def _own_limits(bag: Bag, names: tuple[str, ...]) -> Iterator[Rule]:
    """What each figure keeps to by itself; the loop's limits follow from its strips."""
    for name in names:
        if name != LOOP:
            yield from own_limits(names, name, *limits_of(bag, name, {}))


def own_limits(names: tuple[str, ...], name: str, low: float, high: float) -> Iterator[Rule]:
    """The least and the most of one unknown, mm."""
    unit, zero = np.eye(len(names))[names.index(name)], np.zeros(len(names))
    value = Linear(unit, 0.0)
    yield Rule(name, Linear(unit, -low), 0.0, value, Linear(zero, low), AT_LEAST)
    yield Rule(name, Linear(-unit, high), 0.0, value, Linear(zero, high), AT_MOST)


def _rules(bag: Bag, rows: Mapping[Key, Linear]) -> tuple[Rule, ...]:
    """What the figures keep to among themselves."""
    found = []
    for place, (limit, only_for) in enumerate(_limits(bag)):
        value, bound = rows[("value", place)], rows[("bound", place)]
        room = _less(value, bound) if limit.above else _less(bound, value)
        least = limit.least_room + _HAIR
        if np.any(room.slope):
            found.append(Rule(limit.figure.name, room, least, value, bound, limit.rule, only_for))
    return tuple(found)


def _sides(bag: Bag, rows: Mapping[Key, Linear]) -> tuple[Rule, ...]:
    """A box has no volume once a side of it is gone."""
    found = []
    for name in box_sides(bag, measure_walls(bag)):
        for place, side in enumerate(("base_width", "gusset_depth", "face_height")):
            room, value = rows[(name, place)], rows[side]
            bound = _less(value, room)
            rule = AT_LEAST if name == "box_volume" else _ROOM_INSIDE
            found.append(Rule(side, room, 0.0, value, bound, rule, frozenset({name})))
    return tuple(found)


def _fillable(bag: Bag, rows: Mapping[str, Linear], laws: frozenset[str]) -> Iterator[Rule]:
    """What a filled volume is told of: a bag with sizes, and walls with slack over a board.

    Where corners may part each edge of them keeps to it, though the shorter one alone must.
    """
    if not laws:
        return
    zero = np.zeros(len(rows["face_height"].slope))
    for side in ("base_width", "face_height"):
        value = rows[side]
        room = Linear(value.slope, value.base - LEAST_FILLED)
        yield Rule(side, room, 0.0, value, Linear(zero, LEAST_FILLED), _ONLY_TOLD, laws)
    for edge in ("gusset_depth", "gusset_depth_at_side"):
        value = rows[edge]
        yield Rule(edge, value, 0.0, value, Linear(zero, 0.0), AT_LEAST, laws)
        if bag.board is None:
            continue
        over = least_over_board(bag)
        least = Linear(over * value.slope, over * value.base)
        face = rows["face_height"]
        yield Rule(
            "face_height", _less(face, least), _HAIR_OVER_BOARD, face, least, _OVER_BOARD, laws
        )


def _trusted(rows: Mapping[str, Linear], laws: Laws) -> Iterator[Rule]:
    """How far the laws are trusted; a refusal at one of these limits is not the last word."""
    only_for = frozenset(laws)
    for law in laws.values():
        if not np.isfinite(law.reach):
            continue
        for name in SIZES:
            value, (low, high) = rows[name], law.trusted(name)
            if not np.any(value.slope):
                continue
            zero = np.zeros(len(value.slope))
            room = Linear(value.slope, value.base - low)
            yield Rule(UNTOLD, room, 0.0, value, Linear(zero, low), "", only_for)
            room = Linear(-value.slope, high - value.base)
            yield Rule(UNTOLD, room, 0.0, value, Linear(zero, high), "", only_for)


def is_told(bag: Bag, laws: Laws) -> bool:
    """Whether these laws can tell what a bag holds, and the filling after them."""
    if not laws:
        return True
    finished = measure_walls(bag)
    base, deep, at_side, face = (finished[name] or 0.0 for name in SIZES)
    if min(base, face) < LEAST_FILLED or not all(law.trusts(finished) for law in laws.values()):
        return False
    return (
        bag.board is None or face >= least_over_board(bag) * min(deep, at_side) + _HAIR_OVER_BOARD
    )


def least_over_board(bag: Bag) -> float:
    """Finished face height over gusset depth from which what a bag holds over a board is told."""
    up, deep = (bag.take_up.factor(way) for way in (Direction.UP, Direction.DEEP))
    return LEAST_OVER_BOARD / 2 * up / deep


def _less(one: Linear, other: Linear) -> Linear:
    return Linear(one.slope - other.slope, one.base - other.base)


AT_LEAST = "it must be at least {limit}."
AT_MOST = "it must be at most {limit}."
_ONLY_TOLD = "what the bag holds can be worked out only from {limit} up."
_OVER_BOARD = "what the bag holds over its board can be worked out only from {limit} up."
_ROOM_INSIDE = "it must leave room inside the wall, at least {limit}."
