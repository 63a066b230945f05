"""Small builders: the demo bag and the changes that tests make to it."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from shapely import Polygon

from core.bag.bag import Bag, with_figures
from core.bag.compute import Result, compute
from core.bag.parts import Parts
from core.base.sentences import Sentence
from core.base.units import Unit, format_length
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.table import BODIES
from core.flat.piece import Piece
from core.goods.layers import Layer, Sandwich
from core.model.findings import Finding, Severity
from core.parts.board.board import BaseBoard
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.storage.bag_file import project_to_json, reading_from_json
from core.storage.bag_files import read_project, write_project
from core.storage.goods_library import read_library
from core.storage.project import Project
from core.tops.hem.hem import Hem
from core.tops.table import TOPS
from core.tops.zip_forward.zip import ZipForward

INCH = 25.4
HALF_STEP = INCH / 64
"""The finest that a length is typed in: how far inside and outside a limit is probed."""


def bag_to_json(bag: Bag) -> str:
    """A bag with nothing kept beside it, as a bag file's text."""
    return project_to_json(Project(bag=bag))


def project_from_json(text: bytes | str, *, source: str) -> Project:
    """The project in a bag file's text."""
    return reading_from_json(text, source=source).project


def bag_from_json(text: bytes | str, *, source: str) -> Bag:
    """The bag on the table of a bag file's text."""
    return project_from_json(text, source=source).bag


def write_bag(bag: Bag, path: Path) -> None:
    """Write a bag with nothing kept beside it."""
    write_project(Project(bag=bag), path)


def read_bag(path: Path) -> Bag:
    """The bag on the table of a bag file."""
    return read_project(path).bag


def library_from_json(text: str | bytes) -> tuple[Layer, ...]:
    """The goods in a library's text."""
    return read_library(text, source="The materials library").goods


def inch(size: float) -> float:
    """Inches as mm."""
    return size * INCH


def layer(role: str = "outer fabric", **changes: object) -> Layer:
    """One thin layer on wide goods, changed as asked."""
    plain = Layer(role=role, thickness=0.5, pressed=0.4, usable_width=inch(54))
    return replace(plain, **changes)


def sandwich(*layers: Layer, **changes: object) -> Sandwich:
    """A sandwich of these layers, or of one thin layer."""
    return replace(Sandwich(layers=layers or (layer(),)), **changes)


def demo_panel(**changes: object) -> BoxedPanel:
    """The demo bag's panel: all allowances 3/8 in."""
    plain = BoxedPanel(
        width=inch(18.5),
        length=inch(38.5),
        front_trim=inch(1.5),
        corner_width=inch(3.375),
        corner_depth=inch(3),
        side_seam=inch(0.375),
        corner_seam=inch(0.375),
        top_seam=inch(0.375),
    )
    return replace(plain, **changes)


def _elsewhere() -> frozenset[str]:
    every = (*BODIES, *TOPS)
    kinds = {each for each in every if each not in (BoxedPanel, ZipForward)}
    own = {each.name for kind in (BoxedPanel, ZipForward) for each in kind.FIGURES + kind.FINISHED}
    names = {each.name for kind in kinds for each in kind.FIGURES + kind.FINISHED}
    return frozenset(names - own)


ELSEWHERE = _elsewhere()
"""Figures that only other constructions and tops have than those of the demo bag."""


def demo(**parts: object) -> Bag:
    """The demo bag with all its parts; a part is replaced by naming it."""
    plain = Bag(
        name="demo",
        unit=Unit.INCH,
        body=demo_panel(),
        top=ZipForward(tape_width=inch(1.25), length=inch(22)),
        parts=Parts(
            (
                Pocket(cut_height=inch(16), drop=inch(4.5), seam=inch(0.375)),
                Handles(width=inch(1.25), gap=inch(5), stop=inch(5), strips=3),
                BaseBoard(width=inch(10.125), depth=inch(5.875)),
            )
        ),
        sandwich=sandwich(
            layer(usable_width=inch(42)), layer("wipe-clean lining"), baste_line=inch(0.25)
        ),
    )
    return having(plain, **parts)


def having(bag: Bag, **parts: object) -> Bag:
    """The bag with these fields, and with these parts by slot: None takes one out."""
    laid_on = {slot: parts.pop(slot) for slot in SLOTS if slot in parts}
    fields = dict(parts)
    if laid_on:
        put_in = [part for part in laid_on.values() if part is not None]
        fields["parts"] = bag.parts.without(*laid_on).having(*put_in)
    return replace(bag, **fields)


SLOTS = ("pocket", "handles", "board")


def zip_to_buy(bag: Bag) -> float:
    """Length of the zip to buy, mm."""
    assert isinstance(bag.top, ZipForward)
    return bag.top.to_buy(bag.site)


def bare(panel: BoxedPanel, *, top: ZipForward | Hem | None = None) -> Bag:
    """A bag of nothing but this panel; an open top unless a zip is given."""
    return Bag(
        name="bare",
        unit=Unit.MM,
        body=panel,
        top=top or Hem(),
        sandwich=sandwich(layer(thickness=0.0, pressed=0.0, usable_width=4999.0)),
    )


def changed(bag: Bag, **figures: float) -> Bag:
    """The bag with these cut figures, mm or pieces."""
    return with_figures(bag, figures)


def codes(result: Result) -> set[str]:
    """Codes of every finding."""
    return {finding.code for finding in result.findings}


def stops(result: Result) -> set[str]:
    """Codes of the findings that are stops."""
    return {each.code for each in result.findings if each.severity is Severity.STOP}


def found(bag: Bag, code: str) -> Finding | None:
    """The bag's finding of that code; None when it has none."""
    return next((each for each in compute(bag).findings if each.code == code), None)


def outline(piece: Piece) -> Polygon:
    """The cut line as a polygon."""
    return Polygon(piece.outline)


def texts(sentence: Sentence) -> tuple[str, str]:
    """The sentence as an inch reader and as a millimetre reader see it."""
    return (
        sentence.text(lambda length: format_length(length, unit=Unit.INCH)),
        sentence.text(lambda length: format_length(length, unit=Unit.MM)),
    )


def as_changes(changes: tuple[tuple[str, float], ...]) -> Mapping[str, float]:
    """A fix's changes as `with_figures` takes them."""
    return dict(changes)
