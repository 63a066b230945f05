"""Choices of construction: one table.

The window makes its rows from it, and the commands take their words.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.fresh import (
    fresh_board,
    fresh_bottom_seam,
    fresh_handles,
    fresh_pocket,
    fresh_zip,
    with_drop,
)
from core.bag.tables import BODY, TOP
from core.base.errors import FieldError, did_you_mean
from core.base.sentences import Last, Listing, mark, say
from core.bodies.boxed_panel.figures import Corners, Tips
from core.flat.roles import FACES
from core.parts.board.board import BaseBoard, BoardWay, board_room, suits_room
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.tops.zip_forward.zip import Hem, ZipForward

NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One choice of construction.

    Attributes:
        name: fixed; on the command line where it has a word there.
        owner: name of the owner under which it is read, as in `OWNERS`.
        label: what the maker reads for it.
        step: what making it is called.
        help: one sentence.
        options: (word, label) of each, in order.
        read: the word that holds for a bag; None where the bag has nothing to choose.
        write: the bag with another of the words, with what was kept when that word was left, or
            None; it may raise FieldError.
        kept: what of a bag is worth remembering before a word is left; None for nothing.
        on_command_line: whether commands have it; they leave parts out by another option.
    """

    name: str
    owner: str
    label: str
    step: str
    help: str
    options: tuple[tuple[str, str], ...]
    read: Callable[[Bag], str | None]
    write: Callable[[Bag, str, Any], Bag]
    kept: Callable[[Bag], object] = lambda bag: None
    on_command_line: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """What it can be."""
        return tuple(word for word, _ in self.options)


def with_choice(bag: Bag, name: str, word: str) -> Bag:
    """The bag with one choice made; as it is where it is chosen already.

    Raises:
        FieldError: no such choice or word, or the bag cannot be so.
    """
    choice = COMMAND_CHOICES.get(name)
    if choice is None:
        told = say(
            "There is no choice called {name}: it must be one of {names}.",
            words={"name": name[:60], "names": Listing(tuple(COMMAND_CHOICES), Last.COMMA)},
        )
        told = did_you_mean(told, name, COMMAND_CHOICES)
        raise FieldError(told, field=name, value=word)
    if word not in choice.words:
        told = say(
            "{name} cannot be {word}: it must be one of {words}.",
            words={
                "name": name,
                "word": word[:60],
                "words": Listing(choice.words, Last.COMMA),
            },
        )
        raise FieldError(did_you_mean(told, word, choice.words), field=name, value=word)
    return bag if choice.read(bag) == word else choice.write(bag, word, None)


def _read_bottom(bag: Bag) -> str:
    return "fold" if bag.body.folded else "seam"


def _write_bottom(bag: Bag, word: str, kept: Any) -> Bag:
    seam = 0.0 if word == "fold" else kept or fresh_bottom_seam(bag)
    return replace(bag, body=replace(bag.body, bottom_seam=seam))


def _read_corners(bag: Bag) -> str:
    return bag.body.corners.value


def _write_corners(bag: Bag, word: str, kept: Any) -> Bag:
    """As deep as it was drawn; where the edges of a corner seam differed the base follows."""
    body, corners = bag.body, Corners(word)
    if corners is Corners.CUT:
        sizes: dict[str, Any] = {
            "corner_width": round(body.cut_width, 9),
            "corner_depth": round(body.cut_depth, 9),
        }
    else:
        deep = body.corner_depth - body.bottom_seam + body.corner_seam
        sizes = {"corner_mark": round(deep, 9) if body.has_corners else 0.0}
    return replace(bag, body=replace(body, corners=corners, **sizes))


def _read_tips(bag: Bag) -> str | None:
    return bag.body.tips.value if bag.body.sewn_across else None


def _write_tips(bag: Bag, word: str, kept: Any) -> Bag:
    if not bag.body.sewn_across:
        told = say("The corners of this bag are cut out: no tips are left.")
        raise FieldError(told, field="tips", value=word)
    return replace(bag, body=replace(bag.body, tips=Tips(word)))


def _read_top(bag: Bag) -> str:
    return "zip-forward" if isinstance(bag.top, ZipForward) else "hem"


def _write_top(bag: Bag, word: str, kept: Any) -> Bag:
    return replace(bag, top=Hem() if word == "hem" else kept or fresh_zip(bag))


def _read_gauge(bag: Bag) -> str | None:
    return bag.top.gauge if isinstance(bag.top, ZipForward) else None


def _write_gauge(bag: Bag, word: str, kept: Any) -> Bag:
    return replace(bag, top=replace(_zip(bag), gauge=word))


def _read_sold(bag: Bag) -> str | None:
    if not isinstance(bag.top, ZipForward):
        return None
    return "length" if bag.top.by_length else "made"


def _write_sold(bag: Bag, word: str, kept: Any) -> Bag:
    return replace(bag, top=replace(_zip(bag), by_length=word == "length"))


def _zip(bag: Bag) -> ZipForward:
    if not isinstance(bag.top, ZipForward):
        raise FieldError(say("This bag has no zip."), field="top", value=None)
    return bag.top


def _read_pocket(bag: Bag) -> str:
    pocket = Pocket.of(bag.parts)
    return NONE if pocket is None else pocket.faces.value


def _write_pocket(bag: Bag, word: str, kept: Any) -> Bag:
    if word == NONE:
        return bag.without(Pocket.SLOT)
    faces = PocketFaces(word)
    pocket: Pocket = Pocket.of(bag.parts) or kept or fresh_pocket(bag, faces)
    return bag.with_part(replace(pocket, faces=faces))


def _read_handles(bag: Bag) -> str:
    handles = Handles.of(bag.parts)
    return NONE if handles is None else handles.style.value


def _write_handles(bag: Bag, word: str, kept: Any) -> Bag:
    if word == NONE:
        return bag.without(Handles.SLOT)
    style = HandleStyle(word)
    handles: Handles = Handles.of(bag.parts) or kept or fresh_handles(compute(bag), style)
    return bag.with_part(_restyled(handles, style, bag))


def _restyled(handles: Handles, style: HandleStyle, bag: Bag) -> Handles:
    """Strips belong to one style: the other needs those that give the same drop."""
    if handles.style is style:
        return handles
    site = bag.site
    room = site.front.top - handles.stop
    leg = handles.leg if style is HandleStyle.LOOP else min(handles.leg, room)
    drops = [handles.drop(site, face) or 0.0 for face in FACES]
    return with_drop(replace(handles, style=style, leg=leg), site, min(drops))


def _has_board(bag: Bag) -> str:
    return "board" if BaseBoard.SLOT in bag.parts else NONE


def _write_has_board(bag: Bag, word: str, kept: Any) -> Bag:
    if word == NONE:
        return bag.without(BaseBoard.SLOT)
    return bag.with_part(kept or fresh_board(compute(bag)))


def _read_board(bag: Bag) -> str | None:
    board = BaseBoard.of(bag.parts)
    return None if board is None else board.way.value


def _write_board(bag: Bag, word: str, kept: Any) -> Bag:
    """A board that suits its other room too stays in its size; else it is the largest that fits."""
    way, result, board = BoardWay(word), compute(bag), BaseBoard.of(bag.parts)
    if board is None:
        return bag.with_part(fresh_board(result, way))
    room = board_room(way, bag.site, result.finished)
    if min(room) <= 0.0 or suits_room(board, room):
        return bag.with_part(replace(board, way=way))
    return bag.with_part(fresh_board(result, way))


CHOICES: tuple[Choice, ...] = (
    Choice(
        name="bottom",
        owner=BODY,
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
        on_command_line=True,
    ),
    Choice(
        name="corners",
        owner=BODY,
        label=mark("Corners"),
        step=mark("Change the corners"),
        help=mark("Cut out of the bottom and joined, or sewn across once the sides are sewn."),
        options=(
            (Corners.CUT.value, mark("Cut out")),
            (Corners.SEWN_ACROSS.value, mark("Sewn across")),
        ),
        read=_read_corners,
        write=_write_corners,
        on_command_line=True,
    ),
    Choice(
        name="tips",
        owner=BODY,
        label=mark("Corner tips"),
        step=mark("Change the corner tips"),
        help=mark("Trimmed off beyond the corner seams, or left in as two more walls."),
        options=(
            (Tips.TRIMMED.value, mark("Trimmed off")),
            (Tips.LEFT_IN.value, mark("Left in")),
        ),
        read=_read_tips,
        write=_write_tips,
        on_command_line=True,
    ),
    Choice(
        name="top",
        owner=TOP,
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
        on_command_line=True,
    ),
    Choice(
        name="zip_gauge",
        owner=TOP,
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
        write=_write_gauge,
    ),
    Choice(
        name="zip_sold",
        owner=TOP,
        label=mark("Zip is bought"),
        step=mark("Change how the zip is bought"),
        help=mark("Ready-made in the lengths that shops sell, or cut off a roll to any length."),
        options=(
            ("made", mark("Ready-made")),
            ("length", mark("Off the roll")),
        ),
        read=_read_sold,
        write=_write_sold,
    ),
    Choice(
        name="has_pocket",
        owner=Pocket.SLOT,
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
        name="handle_style",
        owner=Handles.SLOT,
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
        name="has_board",
        owner=BaseBoard.SLOT,
        label=mark("In the bag"),
        step=mark("Change the base board"),
        help=mark("Whether the bottom is stiffened by a base board."),
        options=(
            (NONE, mark("No board")),
            ("board", mark("Base board")),
        ),
        read=_has_board,
        kept=lambda bag: BaseBoard.of(bag.parts),
        write=_write_has_board,
    ),
    Choice(
        name="board",
        owner=BaseBoard.SLOT,
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
        read=_read_board,
        write=_write_board,
        on_command_line=True,
    ),
)
"""Every choice, in reading order."""

COMMAND_CHOICES: Mapping[str, Choice] = MappingProxyType(
    {choice.name: choice for choice in CHOICES if choice.on_command_line}
)
"""Name -> choice, of those that commands have."""
