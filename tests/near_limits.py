"""Bags near their limits: usual and odd ones, each figure pushed to the end of what it can be.

The same bags every time: the pairs are drawn with a fixed seed.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from random import Random

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import with_choice
from core.bag.compute import Result, compute
from core.bag.parts import Parts
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.base.units import Unit
from core.goods.layers import Layer, Sandwich
from core.model.figures import CutFigure, Quantity
from core.parts.board.board import BaseBoard
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import having
from tests.strategies import Wanted

SEED = 20_260
PAIRS = 300
LITTLE = 2.0
"""Nearly nothing, where nothing itself is possible, mm."""
HAIR = 0.25
"""How far inside its limit a figure is pushed, mm."""
WAYS = ("low", "little", "high")
TINIEST = (1e-305, 1e-12, 0.001, 0.0099)
"""No lengths, though not 0, mm: what is typed or left so small is refused or 0."""
LEAST = (0.01, 0.011)
"""The smallest lengths, mm."""
LONG = 3.0
"""Times its usual size: where a figure has no nearer limit, it is pushed so far."""


@dataclass(frozen=True)
class Pushed:
    """A bag and what was done to it.

    Attributes:
        base: name of the usual bag.
        done: (figure, "low", "little" or "high") of what was pushed.
        bag: what came of it.
    """

    base: str
    done: tuple[tuple[str, str], ...]
    bag: Bag

    @property
    def told(self) -> str:
        """What was done, in a line."""
        done = " ".join(f"{name}={cut_value(self.bag, name):.5g}({way})" for name, way in self.done)
        return f"{self.base}: {done}"


def _wall(*thick: float) -> Sandwich:
    roles = ("outer fabric", "foam interfacing", "insulating fleece", "wipe-clean lining")
    layers = [
        Layer(role=role, thickness=each, pressed=min(each, 0.3 + 0.1 * each), usable_width=1400.0)
        for role, each in zip(roles, thick, strict=False)
    ]
    if len(layers) > 1:
        layers[-1] = replace(layers[-1], laid_last=True, wipe_clean=True, melts=True)
    return Sandwich(layers=tuple(layers), baste_line=5.0)


def _bag(
    base: float,
    depth: float,
    face: float,
    *,
    zipped: bool = True,
    seamed: bool = False,
    wall: Sandwich | None = None,
    seam: float = 10.0,
) -> Bag:
    """A bag of these finished sizes, with board and pocket and handles that suit it."""
    sizes = Wanted(
        base=base,
        depth=depth,
        face=face,
        zip_width=12.0 if zipped else 0.0,
        offset=18.0 if zipped else 0.0,
        side=seam,
        corner=seam,
        top=seam,
        bottom=seam if seamed else 0.0,
    )
    panel = sizes.panel()
    length = next(each for each in range(100, 2000, 50) if each >= panel.width + 50.8)
    wall = wall or _wall(0.5, 2.0, 0.25)
    inside = 2 * wall.thickness + 6.5
    front = face - (24.0 if zipped else 0.0)
    bag = Bag(
        name="near its limits",
        unit=Unit.MM,
        body=panel,
        top=ZipForward(tape_width=32.0, length=float(length)) if zipped else Hem(),
        sandwich=wall,
        parts=Parts(
            (
                Pocket(cut_height=front + 2 * seam, drop=seam + front / 3, seam=seam),
                Handles(
                    width=min(25.0, base / 5),
                    gap=base / 3,
                    stop=seam + max(front / 4, 25.4),
                    strips=1,
                ),
                BaseBoard(width=max(base - inside, 5.0), depth=max(depth - inside, 5.0)),
            )
        ),
    )
    assert bag.parts.get("handles") is not None
    strips = bag.parts["handles"].strips_for_drop(bag.site, 250.0)
    return having(bag, handles=replace(bag.parts["handles"], strips=strips))


def _one_way(layers: tuple[Layer, ...]) -> tuple[Layer, ...]:
    return (replace(layers[0], one_way=True), *layers[1:])


def usual_bags() -> dict[str, Bag]:
    """Bags of many kinds, none of them pushed yet; with parts and without."""
    plain = _bag(280.0, 160.0, 350.0)
    assert plain.parts.get("handles") is not None
    assert plain.parts.get("pocket") is not None
    panel = plain.body
    return {
        "carrier": plain,
        "bare": having(plain, pocket=None, handles=None, board=None),
        "small": _bag(60.0, 60.0, 60.0),
        "slim": _bag(60.0, 60.0, 600.0),
        "wide": _bag(600.0, 150.0, 250.0),
        "thick": _bag(280.0, 160.0, 350.0, wall=_wall(1.0, 12.0, 6.0, 0.5)),
        "seamed": _bag(280.0, 160.0, 350.0, seamed=True),
        "open": _bag(300.0, 180.0, 350.0, zipped=False, wall=_wall(0.9)),
        "pillow": replace(plain, body=replace(panel, corner_width=0.0, corner_depth=0.0)),
        "sewn across": with_choice(plain, "corners", "sewn-across"),
        "printed": replace(
            plain, sandwich=replace(plain.sandwich, layers=_one_way(plain.sandwich.layers))
        ),
        "back pocket": having(plain, pocket=replace(plain.parts["pocket"], faces=PocketFaces.BACK)),
        "two handles": having(
            plain,
            handles=replace(
                plain.parts.get("handles"), style=HandleStyle.SEPARATE, leg=80.0, last_strip=700.0
            ),
        ),
    }


@cache
def pushed() -> tuple[tuple[Pushed, Result], ...]:
    """Every bag near its limits, alone and in pairs, with what follows from it."""
    return tuple((each, compute(each.bag)) for each in (*pushed_alone(), *pushed_in_pairs()))


def pushed_alone() -> Iterator[Pushed]:
    """Each figure of each bag, to either end."""
    for (base, bag), figure, way in product(usual_bags().items(), CUT_FIGURES, WAYS):
        pushed = _pushed(bag, figure, way)
        if pushed is not None:
            yield Pushed(base, ((figure.name, way),), pushed)


def pushed_in_pairs() -> Iterator[Pushed]:
    """Two figures of one bag, one after the other, to one of their ends each."""
    random = Random(SEED)
    bags, found = usual_bags(), 0
    while found < PAIRS:
        base = random.choice(list(bags))
        one, other = random.sample(CUT_FIGURES, 2)
        ways = random.choices(WAYS, k=2)
        bag = _pushed(bags[base], one, ways[0])
        both = None if bag is None else _pushed(bag, other, ways[1])
        if both is not None:
            found += 1
            yield Pushed(base, ((one.name, ways[0]), (other.name, ways[1])), both)


def pushed_to_ends() -> Iterator[Pushed]:
    """Each length of each bag, as small as one can be, and as large as any bag has it."""
    lengths = [figure for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH]
    for (base, bag), figure in product(usual_bags().items(), lengths):
        usual = cut_value(bag, figure.name)
        if usual is None:
            continue
        for length in (*LEAST, *TINIEST):
            pushed = _changed(bag, figure.name, length)
            if pushed is not None:
                yield Pushed(base, ((figure.name, "least"),), pushed)
        yield Pushed(base, ((figure.name, "most"),), _most(bag, figure, usual))


def _most(bag: Bag, figure: CutFigure, usual: float) -> Bag:
    """The bag with a figure as large as it can be, to a hundredth of a millimetre."""
    inside, beyond = usual, 2 * figure.high
    for _ in range(40):
        middle = (inside + beyond) / 2
        if _changed(bag, figure.name, middle) is None:
            beyond = middle
        else:
            inside = middle
    return _changed(bag, figure.name, math.floor(100 * inside) / 100) or bag


def _pushed(bag: Bag, figure: CutFigure, way: str) -> Bag | None:
    """The bag with a figure just inside the end of what it can be; None where it has none."""
    usual = cut_value(bag, figure.name)
    if usual is None:
        return None
    if way == "little":
        return None if figure.quantity is Quantity.COUNT else _changed(bag, figure.name, LITTLE)
    if figure.quantity is Quantity.COUNT:
        return _changed(bag, figure.name, figure.low if way == "low" else LONG * usual)
    end = figure.low if way == "low" else min(figure.high, LONG * max(usual, 60.0))
    inner, outer = usual, end
    if _changed(bag, figure.name, end) is not None:
        return _changed(bag, figure.name, end)
    for _ in range(60):
        middle = (inner + outer) / 2
        if _changed(bag, figure.name, middle) is None:
            outer = middle
        else:
            inner = middle
    inside = inner + (HAIR if way == "low" else -HAIR)
    return _changed(bag, figure.name, round(inside, 3)) or _changed(bag, figure.name, inner)


def _changed(bag: Bag, name: str, value: float) -> Bag | None:
    try:
        return with_figures(bag, {name: value})
    except FieldError:
        return None
