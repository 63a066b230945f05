"""New parts for a bag that lacks them, and the choices of construction. Lengths are mm."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from core.bag.bag import Bag
from core.bag.compute import Result, compute
from core.bag.tables import BODY, TOP
from core.base.errors import FieldError, did_you_mean
from core.base.sentences import Last, Listing, mark, say
from core.base.tolerance import LEAST_LENGTH, shorter
from core.base.units import MM_PER_INCH, Unit, default_step, round_to_step
from core.flat.roles import FACES
from core.parts.board.board import (
    BaseBoard,
    BoardWay,
    board_room,
    fitting_board,
    ruled_board,
    suits_room,
)
from core.parts.handles.figures import MOST_STRIPS
from core.parts.handles.findings import SHORTEST_PIECE, highest_stop, least_width
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.handles.strip import JOIN_SEAM, whole_strip
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.site.site import Site
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward

WANTED_DROP = 10 * MM_PER_INCH
"""Handles that go over a shoulder in light clothes (common practice, no source)."""


def fresh_bottom_seam(bag: Bag) -> float:
    """The allowance of a new bottom seam: the usual one, or what a thick wall needs."""
    return bag.site.new_allowance


def fresh_pocket(bag: Bag, faces: PocketFaces) -> Pocket:
    """A pocket about half as high as the face, a quarter of it below the edge."""
    top = bag.site.front.top
    seam = bag.site.usual_allowance
    height = max(_ruled(bag, top * 0.45), seam)
    return Pocket(faces=faces, cut_height=2 * (height + seam), drop=_ruled(bag, top / 4), seam=seam)


def fresh_handles(result: Result, style: HandleStyle) -> Handles:
    """Handles that fold, clear the zip, stand on the base, and reach over a shoulder."""
    bag, site = result.bag, result.bag.site
    base = result.finished["base_width"] or 0.0
    between = bag.body.width - 2 * bag.body.side_seam
    room = min(base, between) if base > 0.0 else between
    width = _fresh_width(bag, room)
    # As a ruler can draw it, but two legs and their gap on the base.
    gap = min(max(_ruled(bag, room * 0.45), 0.0), max(room - 2 * width, 0.0))
    stop = _fresh_stop(bag)
    leg = min(6 * MM_PER_INCH, site.front.top - stop)
    draft = Handles(style=style, width=width, gap=gap, stop=stop, strips=1, leg=leg)
    made = with_drop(draft, site, WANTED_DROP)
    if made.last_strip is None:
        return made
    last = _ruled_up(bag, made.last_strip)
    return replace(made, last_strip=last if shorter(last, whole_strip(site)) else None)


def with_drop(handles: Handles, site: Site, drop: float) -> Handles:
    """These handles with strips whose lower drop is this, mm, or a little more.

    A last strip too short to be worked is cut a little longer. Where even the most strips
    are too few, they are all there are.
    """
    most = MOST_STRIPS * (whole_strip(site) - 2 * JOIN_SEAM)
    loop = min(handles.loop_for_drops(site, drop), most)
    joined = handles.with_loop(site, loop)
    least = min(SHORTEST_PIECE + 2 * JOIN_SEAM, whole_strip(site))
    last = joined.strip_lengths(site)[-1]
    if joined.strips == 1 or not shorter(last, least):
        return joined
    return replace(joined, last_strip=least if shorter(least, whole_strip(site)) else None)


def _fresh_width(bag: Bag, room: float) -> float:
    """The usual width, or what these goods need to fold; less where two do not fit."""
    least = least_width(bag.site)
    wanted = max(_usual(bag, 1.25 * MM_PER_INCH, 30.0), _ruled_up(bag, least))
    fits = room / 2
    return wanted if wanted <= fits else min(wanted, max(fits, least))


def _fresh_stop(bag: Bag) -> float:
    """Level with a pocket's upper edge, or a quarter down the face; clear of zip and hem."""
    site = bag.site
    lowest = site.front.top / 2
    clear = highest_stop(site)
    pocket = Pocket.of(bag.parts)
    wanted = _ruled(bag, site.front.top / 4) if pocket is None else pocket.drop
    stop = wanted if clear <= wanted <= lowest else max(min(wanted, lowest), clear)
    # Never off the face of a very small bag.
    return stop if stop < site.front.top else lowest


def fresh_board(result: Result, way: BoardWay | None = None) -> BaseBoard:
    """The largest board that fits, on the ruler; a bottom without room gives a small one.

    Args:
        result: the bag that it is for.
        way: how it gets in; None for the way of its goods: what has glue on it is fused on.
    """
    bag = result.bag
    if way is None:
        way = BoardWay.FUSED if bag.supplies.board.fusible else BoardWay.LAID_IN
    room = board_room(way, bag.site, result.finished)
    if shorter(min(fitting_board(room)), LEAST_LENGTH):
        return BaseBoard(width=MM_PER_INCH, depth=MM_PER_INCH, way=way)
    width, depth = ruled_board(fitting_board(room), bag.site.ruler)
    return BaseBoard(width=width, depth=depth, way=way)


def _usual(bag: Bag, inches: float, metric: float) -> float:
    return inches if bag.unit is Unit.INCH else metric


def _ruled(bag: Bag, length: float) -> float:
    return round_to_step(length, default_step(bag.unit))


def _ruled_up(bag: Bag, length: float) -> float:
    step = default_step(bag.unit)
    return math.ceil(length / step - 1e-9) * step


# --- choices ---
# Choices of construction: one table, from which the window makes its rows and the commands take
# their words.

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


def _read_top(bag: Bag) -> str:
    return "zip-forward" if isinstance(bag.top, ZipForward) else "hem"


def _write_top(bag: Bag, word: str, kept: Any) -> Bag:
    return replace(bag, top=Hem() if word == "hem" else kept or ZipForward.fresh(bag.site))


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
