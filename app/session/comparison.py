"""Bags compared: figures, pieces and cloth of one against those of another, as texts."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.session.display import Display, shown_difference, shown_litres, signed_text, tr, translated
from core.bag.bag import CUT_FIGURES, FINISHED_FIGURES
from core.bag.compute import Result
from core.base.sentences import mark
from core.base.units import Unit
from core.flat.piece import CutFrom, Piece, Point
from core.model.figures import CutFigure, FinishedFigure, Kind

SAME = 1e-6
"""Differences below this (mm, litres) are no change."""
NOTHING = "–"
MM2_PER_SQUARE_INCH = 645.16
MM2_PER_SQUARE_CM = 100.0

Figure = CutFigure | FinishedFigure
FIGURES: tuple[Figure, ...] = (*FINISHED_FIGURES, *CUT_FIGURES)
"""Every figure, what is finished first."""
_CLOTH = {
    CutFrom.EVERY_LAYER: mark("Cut area, every layer"),
    CutFrom.CLOTH: mark("Cut area, outer fabric only"),
}


@dataclass(frozen=True, slots=True)
class Difference:
    """One line: texts as they are read, and what they are about.

    Attributes:
        figure: name of the figure; "piece ..." and "cloth ..." for what is no figure.
        texts: label, before, after, difference.
        ruler: what the ruler cost this figure; empty for nothing.
    """

    figure: str
    texts: tuple[str, str, str, str]
    ruler: str = ""


def figure_value(result: Result, figure: Figure) -> float | None:
    """One cut or finished figure of a bag, mm, litres or pieces; None where it has none."""
    if isinstance(figure, FinishedFigure):
        return result.finished[figure.name]
    return result.cut[figure.name]


def differences(
    starting: Result, now: Result, display: Display, cost: Mapping[str, float | None]
) -> list[Difference]:
    """Every figure, piece and area of cloth that is not what it was, in reading order.

    Args:
        starting, now: before and after.
        display: of the lengths.
        cost: finished figure -> what the ruler added, mm or litres.
    """
    found = list(_figures(starting, now, display, cost))
    found += _pieces(starting, now, display)
    found += _cloth(starting, now, display)
    return found


def shown(kind: Kind, value: float | None, display: Display) -> str:
    """A value as it is read, with its unit; a dash for none."""
    if value is None:
        return NOTHING
    if kind is Kind.LENGTH:
        return display.length(value)
    return f"{value:g}" if kind is Kind.COUNT else shown_litres(value)


def signed(kind: Kind, was: float | None, value: float | None, display: Display) -> str:
    """How much more or less than before; empty for the same."""
    if was is None or value is None or abs(value - was) < SAME:
        return ""
    return shown_difference(kind, value - was, display)


def changed(was: float | None, value: float | None) -> bool:
    """Whether a value came, went or moved."""
    if was is None or value is None:
        return was is not value
    return abs(value - was) >= SAME


def _figures(
    starting: Result, now: Result, display: Display, cost: Mapping[str, float | None]
) -> Iterator[Difference]:
    before, after = {**starting.cut, **starting.finished}, {**now.cut, **now.finished}
    for figure in FIGURES:
        was, value = before[figure.name], after[figure.name]
        over = cost.get(figure.name) or 0.0
        if not changed(was, value) and abs(over) < SAME:
            continue
        texts = (
            translated(figure.label),
            shown(figure.kind, was, display),
            shown(figure.kind, value, display),
            signed(figure.kind, was, value, display),
        )
        ruler = signed(figure.kind, 0.0, over, display)
        if _reads_otherwise(texts) or ruler:
            yield Difference(figure.name, texts, ruler)


def _pieces(starting: Result, now: Result, display: Display) -> Iterator[Difference]:
    """Width, length and number of each piece, each on a line of its own."""
    before = {piece.name: piece for piece in starting.draft.pieces}
    after = {piece.name: piece for piece in now.draft.pieces}
    for name in dict.fromkeys((*before, *after)):
        for label, kind, size in _SIZES:
            was = size(before[name]) if name in before else None
            value = size(after[name]) if name in after else None
            if not changed(was, value):
                continue
            head = translated(label).format(piece=_titled(translated(name)))
            texts = (
                head,
                shown(kind, was, display),
                shown(kind, value, display),
                signed(kind, was, value, display),
            )
            if _reads_otherwise(texts):
                yield Difference(f"piece {name}", texts)


def _reads_otherwise(texts: tuple[str, str, str, str]) -> bool:
    """Whether a reader can see that a figure is another one."""
    _, before, after, difference = texts
    return before != after or difference != ""


_SIZES: tuple[tuple[str, Kind, Callable[[Piece], float]], ...] = (
    (
        mark("{piece}, piece across"),
        Kind.LENGTH,
        lambda piece: piece.width,
    ),
    (
        mark("{piece}, piece along"),
        Kind.LENGTH,
        lambda piece: piece.height,
    ),
    (
        mark("{piece}, pieces"),
        Kind.COUNT,
        lambda piece: float(piece.count),
    ),
)


def _titled(name: str) -> str:
    return name[:1].upper() + name[1:]


def _cloth(starting: Result, now: Result, display: Display) -> Iterator[Difference]:
    for goods, label in _CLOTH.items():
        was, area = _area(starting, goods), _area(now, goods)
        size = _square(abs(area - was), display)
        difference = signed_text(area - was, size)
        if difference:
            texts = (translated(label), _square(was, display), _square(area, display), difference)
            yield Difference(f"cloth {goods.value}", texts)


def _area(result: Result, goods: CutFrom) -> float:
    """Inside the cut lines, all pieces together, mm²."""
    pieces = (piece for piece in result.draft.pieces if piece.cut_from is goods)
    return sum(piece.count * _inside(piece.outline) for piece in pieces)


def _inside(outline: Sequence[Point]) -> float:
    """Area of a closed line, counter-clockwise, mm²."""
    onward = (*outline[1:], *outline[:1])
    twice = sum(x * v - u * y for (x, y), (u, v) in zip(outline, onward, strict=True))
    return twice / 2


def _square(area: float, display: Display) -> str:
    if display.unit is Unit.INCH:
        return tr("{area} sq in").format(area=f"{area / MM2_PER_SQUARE_INCH:.0f}")
    return tr("{area} cm²").format(area=f"{area / MM2_PER_SQUARE_CM:.0f}")
