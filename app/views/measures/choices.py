"""Choices of construction: which parts a bag has, and of which kind.

A choice is a row with a list of options. Leaving a part out remembers it, so that taking it
back brings its numbers back too.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.session.display import translated
from app.session.document import Document
from app.widgets.inputs import OptionBox
from core.bag.bag import Bag
from core.bag.choices import fresh_board, fresh_handles, fresh_pocket, with_choice, with_drop
from core.bag.compute import Result
from core.base.sentences import mark
from core.flat.roles import FACES
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.tops.zip_forward.zip import ZipForward

NONE = "none"

Kept = dict[str, Any]
"""What each choice left out last: choice name -> part or allowance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice of construction.

    Attributes:
        name: for tests and accessibility.
        part: the group in which its row stands, e.g. "pocket".
        label: of the row.
        step: what its undo step is called.
        help: one sentence for the tooltip.
        options: (key, label) in order.
        read: the key that holds for a bag.
        kept: what of a bag is worth remembering before it is left out; None for nothing.
        write: the bag with another option; may raise FieldError.
        applies: whether there is anything to choose in a bag.
    """

    name: str
    part: str
    label: str
    step: str
    help: str
    options: tuple[tuple[str, str], ...]
    read: Callable[[Bag], str]
    kept: Callable[[Bag], object]
    write: Callable[[Result, str, Kept], Bag]
    applies: Callable[[Bag], bool] = lambda bag: True


def _read_bottom(bag: Bag) -> str:
    return "fold" if bag.body.folded else "seam"


def _write_bottom(result: Result, key: str, kept: Kept) -> Bag:
    if key == "seam" and (seam := kept.get("bottom")):
        return replace(result.bag, body=replace(result.bag.body, bottom_seam=seam))
    return with_choice(result.bag, "bottom", key)


def _read_top(bag: Bag) -> str:
    return "zip-forward" if isinstance(bag.top, ZipForward) else "hem"


def _write_top(result: Result, key: str, kept: Kept) -> Bag:
    if key == "zip-forward" and (closure := kept.get("top")):
        return replace(result.bag, top=closure)
    return with_choice(result.bag, "top", key)


def _has_zip(bag: Bag) -> bool:
    return isinstance(bag.top, ZipForward)


def _read_gauge(bag: Bag) -> str:
    return bag.top.gauge if isinstance(bag.top, ZipForward) else ""


def _write_gauge(result: Result, key: str, kept: Kept) -> Bag:
    bag = result.bag
    if not isinstance(bag.top, ZipForward):
        return bag
    return replace(bag, top=replace(bag.top, gauge=key))


def _read_sold(bag: Bag) -> str:
    return "length" if isinstance(bag.top, ZipForward) and bag.top.by_length else "made"


def _write_sold(result: Result, key: str, kept: Kept) -> Bag:
    bag = result.bag
    if not isinstance(bag.top, ZipForward):
        return bag
    return replace(bag, top=replace(bag.top, by_length=key == "length"))


def _read_pocket(bag: Bag) -> str:
    pocket = Pocket.of(bag.parts)
    return NONE if pocket is None else pocket.faces.value


def _write_pocket(result: Result, key: str, kept: Kept) -> Bag:
    bag = result.bag
    if key == NONE:
        return bag.without(Pocket.SLOT)
    faces = PocketFaces(key)
    pocket: Pocket = Pocket.of(bag.parts) or kept.get("pocket") or fresh_pocket(bag, faces)
    return bag.with_part(replace(pocket, faces=faces))


def _read_handles(bag: Bag) -> str:
    handles = Handles.of(bag.parts)
    return NONE if handles is None else handles.style.value


def _write_handles(result: Result, key: str, kept: Kept) -> Bag:
    bag = result.bag
    if key == NONE:
        return bag.without(Handles.SLOT)
    style = HandleStyle(key)
    handles: Handles = Handles.of(bag.parts) or kept.get("handles") or fresh_handles(result, style)
    return bag.with_part(_restyled(handles, style, bag))


def _restyled(handles: Handles, style: HandleStyle, bag: Bag) -> Handles:
    """Strips belong to one style: the other needs those that give the same drop."""
    if handles.style is style:
        return handles
    site = bag.site
    room = site.front_top - handles.stop
    leg = handles.leg if style is HandleStyle.LOOP else min(handles.leg, room)
    drops = [handles.drop(site, face) or 0.0 for face in FACES]
    return with_drop(replace(handles, style=style, leg=leg), site, min(drops))


def _read_board(bag: Bag) -> str:
    return NONE if BaseBoard.SLOT not in bag.parts else "board"


def _write_board(result: Result, key: str, kept: Kept) -> Bag:
    bag = result.bag
    if key == NONE:
        return bag.without(BaseBoard.SLOT)
    return bag.with_part(kept.get("board") or fresh_board(result))


def _read_way(bag: Bag) -> str:
    board = BaseBoard.of(bag.parts)
    return "" if board is None else board.way.value


def _write_way(result: Result, key: str, kept: Kept) -> Bag:
    return with_choice(result.bag, "board", key)


CHOICES: tuple[Choice, ...] = (
    Choice(
        name="bottom",
        part="body",
        label=mark("Bottom"),
        step=mark("Change the bottom"),
        help=mark("One panel folded at the bottom, or two panels joined by a seam."),
        options=(
            ("fold", mark("Folded")),
            ("seam", mark("Seamed")),
        ),
        read=_read_bottom,
        kept=lambda bag: bag.body.bottom_seam or None,
        write=_write_bottom,
    ),
    Choice(
        name="top",
        part="top",
        label=mark("Top"),
        step=mark("Change the top"),
        help=mark("Closed by a zip, or open and hemmed."),
        options=(
            ("zip-forward", mark("Zip")),
            ("hem", mark("Open, hemmed")),
        ),
        read=_read_top,
        kept=lambda bag: bag.top if isinstance(bag.top, ZipForward) else None,
        write=_write_top,
    ),
    Choice(
        name="zip_gauge",
        part="top",
        label=mark("Gauge"),
        step=mark("Change the zip's gauge"),
        help=mark("The zip's size number: about the width of its closed teeth in mm."),
        options=(
            ("3", mark("No. 3, fine")),
            ("5", mark("No. 5, usual")),
            ("8", mark("No. 8, coarse")),
            ("10", mark("No. 10, heavy")),
        ),
        read=_read_gauge,
        kept=lambda bag: None,
        write=_write_gauge,
        applies=_has_zip,
    ),
    Choice(
        name="zip_sold",
        part="top",
        label=mark("Zip is bought"),
        step=mark("Change how the zip is bought"),
        help=mark("Ready-made in the lengths that shops sell, or cut off a roll to any length."),
        options=(
            ("made", mark("Ready-made")),
            ("length", mark("Off the roll")),
        ),
        read=_read_sold,
        kept=lambda bag: None,
        write=_write_sold,
        applies=_has_zip,
    ),
    Choice(
        name="pocket",
        part="pocket",
        label=mark("Pocket on"),
        step=mark("Change the pocket"),
        help=mark("Which faces of the bag have a pocket."),
        options=(
            (NONE, mark("No pocket")),
            ("front", mark("Front")),
            ("back", mark("Back")),
            ("both", mark("Front and back")),
        ),
        read=_read_pocket,
        kept=lambda bag: Pocket.of(bag.parts),
        write=_write_pocket,
    ),
    Choice(
        name="handles",
        part="handles",
        label=mark("Made as"),
        step=mark("Change the handles"),
        help=mark("One loop that runs under the bag, two separate handles, or none."),
        options=(
            (NONE, mark("No handles")),
            (HandleStyle.LOOP.value, mark("One loop")),
            (HandleStyle.SEPARATE.value, mark("Two separate")),
        ),
        read=_read_handles,
        kept=lambda bag: Handles.of(bag.parts),
        write=_write_handles,
    ),
    Choice(
        name="board",
        part="board",
        label=mark("In the bag"),
        step=mark("Change the base board"),
        help=mark("Whether the bottom is stiffened by a base board."),
        options=(
            (NONE, mark("No board")),
            ("board", mark("Base board")),
        ),
        read=_read_board,
        kept=lambda bag: BaseBoard.of(bag.parts),
        write=_write_board,
    ),
    Choice(
        name="board way",
        part="board",
        label=mark("Put in"),
        step=mark("Change how the base board gets in"),
        help=mark(
            "Laid onto the lining through the opening, or fused onto the wall before the lining "
            "covers it. Its room differs by the layers over it.",
        ),
        options=(
            (BoardWay.LAID_IN.value, mark("Laid in last")),
            (BoardWay.FUSED.value, mark("Fused in")),
        ),
        read=_read_way,
        kept=lambda bag: None,
        write=_write_way,
        applies=lambda bag: BaseBoard.SLOT in bag.parts,
    ),
)
"""Every choice, in reading order."""


class ChoiceBox(OptionBox):
    """The options of one choice.

    Signals:
        value_edited(str): the maker chose the option with this key.
    """

    value_edited = Signal(str)

    def __init__(self, choice: Choice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(translated(choice.label))
        for key, label in choice.options:
            self.addItem(translated(label), key)
        self.activated.connect(self._on_activated)

    def show_value(self, value: str | None) -> None:
        """Show the option with this key."""
        index = self.findData(value)
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def _on_activated(self, index: int) -> None:
        self.value_edited.emit(self.itemData(index))


class Chooser:
    """Applies choices to a document and remembers what was left out of its bag."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._kept: Kept = {}

    def forget(self) -> None:
        """Another bag is open."""
        self._kept.clear()

    def choose(self, choice: Choice, key: str) -> bool:
        """Make one choice, as one undo step.

        Raises:
            FieldError: the bag cannot be so; it stays as it was.
        """
        result = self._document.result
        if (part := choice.kept(result.bag)) is not None:
            self._kept[choice.name] = part
        bag = choice.write(result, key, self._kept)
        return self._document.replace_bag(bag, translated(choice.step))
