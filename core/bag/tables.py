"""The tables of all figures, gathered from the tables of bodies, tops and parts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from types import MappingProxyType
from typing import TypeVar

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Template, mark, say
from core.bodies import table as bodies
from core.goods.layers import Sandwich
from core.model.figures import CutFigure, FinishedFigure
from core.parts import table as parts
from core.site.owner import Owner
from core.tops import table as tops

BODY, TOP, SANDWICH, SUPPLIES = "body", "top", "sandwich", "supplies"
"""Names of the owners of figures that are in every bag; the others are called by their slots."""

OWNERS: Mapping[str, Template] = MappingProxyType(
    {
        BODY: mark("Cut"),
        TOP: mark("Top"),
        **{kind.SLOT: kind.LABEL for kind in parts.SLOTS},
        SANDWICH: mark("Layers"),
    }
)
"""Who owns figures, in reading order: name -> what stands over those that the maker sets."""

_KINDS: tuple[type[Owner], ...] = (*bodies.BODIES, *tops.TOPS, *parts.SLOTS)


Figure = TypeVar("Figure", CutFigure, FinishedFigure)


def merged(orders: Iterable[Sequence[Figure]]) -> tuple[Figure, ...]:
    """Each figure once, and those of each table in its own order; else the first tables first.

    Raises:
        ValueError: two tables want figures that they share in another order.
    """
    tables = list(orders)
    left = list(dict.fromkeys(chain.from_iterable(tables)))
    found: list[Figure] = []
    while left:
        waiting = [[each for each in table if each in left] for table in tables]
        free = (each for each in left if all(each not in table[1:] for table in waiting))
        each = next(free, None)
        if each is None:
            raise ValueError(f"no order suits every table: {[it.name for it in left]}")
        left.remove(each)
        found.append(each)
    return tuple(found)


def _cut_tables() -> Iterator[Sequence[CutFigure]]:
    for kind in _KINDS:
        yield (*kind.FIGURES, *kind.GOODS_FIGURES)
    yield Sandwich.FIGURES


def _finished_tables() -> Iterator[Sequence[FinishedFigure]]:
    for kind in (*bodies.BODIES, *tops.TOPS):
        yield kind.FINISHED
    for kind in parts.SLOTS:
        pairs = (pair.FINISHED for pair in parts.PAIRS if pair.SLOTS[0] == kind.SLOT)
        yield (*kind.FINISHED, *chain.from_iterable(pairs))


CUT_FIGURES: tuple[CutFigure, ...] = tuple(dict.fromkeys(chain.from_iterable(_cut_tables())))
"""Every figure that the maker sets, table by table: scripts rely on that order."""

FINISHED_FIGURES: tuple[FinishedFigure, ...] = tuple(
    dict.fromkeys(chain.from_iterable(_finished_tables()))
)
"""Every figure that follows, table by table."""

CUT_ROWS: tuple[CutFigure, ...] = merged(_cut_tables())
"""The same figures as rows of one list, in which each bag finds its own in reading order."""

FINISHED_ROWS: tuple[FinishedFigure, ...] = merged(_finished_tables())
"""The same of what follows."""

_BY_NAME = {figure.name: figure for figure in CUT_FIGURES}


def cut_figure(name: str) -> CutFigure:
    """The description of a cut figure; a FieldError where no figure has that name."""
    try:
        return _BY_NAME[name]
    except KeyError:
        told = say("There is no cut figure called {name}.", words={"name": name[:60]})
        raise FieldError(told, field=name, value=None) from None


def word_of(figure: CutFigure) -> Template:
    """What a bag is said to have none of where it lacks this figure."""
    return next(
        (kind.WORD for kind in _KINDS if figure in (*kind.FIGURES, *kind.GOODS_FIGURES)), NO_TEXT
    )


def labels_with(figure: CutFigure | FinishedFigure) -> tuple[Template, ...]:
    """What the bodies, tops or parts are called that have this figure."""
    return tuple(kind.LABEL for kind in _KINDS if figure in (*kind.FIGURES, *kind.FINISHED))
