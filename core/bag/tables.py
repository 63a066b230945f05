"""The tables of all figures, gathered from the tables of bodies, tops and parts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, pairwise
from types import MappingProxyType
from typing import TypeVar

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Template, mark, say
from core.bodies import table as bodies
from core.goods.layers import Sandwich
from core.model.figures import CutFigure, FinishedFigure
from core.parts import table as parts
from core.site.kinds import Told
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

_WALLED = (*bodies.BODIES.told, *tops.TOPS.told)
_TOLD = (*_WALLED, *map(Told.of, parts.SLOTS))


Figure = TypeVar("Figure", CutFigure, FinishedFigure)


def merged(orders: Iterable[Sequence[Figure]]) -> tuple[Figure, ...]:
    """Each figure once, and those of each table in its own order; else the first tables first.

    Raises:
        ValueError: two tables want figures that they share in another order.
    """
    tables = list(orders)
    figures = {figure.name: figure for figure in chain.from_iterable(tables)}
    before: dict[str, set[str]] = {name: set() for name in figures}
    for one, other in chain.from_iterable(map(pairwise, tables)):
        before[other.name].add(one.name)
    found: dict[str, None] = {}
    while left := [name for name in figures if name not in found]:
        free = next((name for name in left if before[name] <= found.keys()), None)
        if free is None:
            raise ValueError(f"no order suits every table: {left}")
        found[free] = None
    return tuple(figures[name] for name in found)


def _cut_tables() -> Iterator[Sequence[CutFigure]]:
    for kind in _TOLD:
        yield (*kind.figures, *kind.goods_figures)
    yield Sandwich.FIGURES


def _finished_tables() -> Iterator[Sequence[FinishedFigure]]:
    for kind in _WALLED:
        yield kind.finished
    for part in parts.SLOTS:
        pairs = (pair.FINISHED for pair in parts.PAIRS if pair.SLOTS[0] == part.SLOT)
        yield (*part.FINISHED, *chain.from_iterable(pairs))


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
        (kind.word for kind in _TOLD if figure in (*kind.figures, *kind.goods_figures)), NO_TEXT
    )


def labels_with(figure: CutFigure | FinishedFigure) -> tuple[Template, ...]:
    """What the bodies, tops or parts are called that have this figure."""
    return tuple(kind.label for kind in _TOLD if figure in (*kind.figures, *kind.finished))
