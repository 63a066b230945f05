"""The tables of all figures, gathered from the tables of bodies, tops and parts."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

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


def _cut_figures() -> Iterator[CutFigure]:
    for kind in _KINDS:
        yield from kind.FIGURES
        yield from kind.GOODS_FIGURES
    yield from Sandwich.FIGURES


def _finished_figures() -> Iterator[FinishedFigure]:
    for kind in (*bodies.BODIES, *tops.TOPS):
        yield from kind.FINISHED
    for kind in parts.SLOTS:
        yield from kind.FINISHED
        for pair in parts.PAIRS:
            if pair.SLOTS[0] == kind.SLOT:
                yield from pair.FINISHED


CUT_FIGURES: tuple[CutFigure, ...] = tuple(dict.fromkeys(_cut_figures()))
"""Every figure that the maker sets, in reading order."""

FINISHED_FIGURES: tuple[FinishedFigure, ...] = tuple(dict.fromkeys(_finished_figures()))
"""Every figure that follows, in reading order."""

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
