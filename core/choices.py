"""Choices of construction that have a word: the bottom, the top, how the board gets in."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from core.bag import Bag
from core.compute import compute
from core.errors import FieldError, Sentence, did_you_mean
from core.fresh_parts import fresh_board, fresh_bottom_seam, fresh_zip
from core.parts.board import BoardWay, board_room, suits_room
from core.parts.closure import OpenTop, Zip


@dataclass(frozen=True, slots=True)
class Choice:
    """One choice of construction.

    Attributes:
        words: what it can be.
        read: the word that holds for a bag; None where the bag lacks the part.
        write: the bag with one of the words; it may raise FieldError.
    """

    words: tuple[str, ...]
    read: Callable[[Bag], str | None]
    write: Callable[[Bag, str], Bag]


def with_choice(bag: Bag, name: str, word: str) -> Bag:
    """The bag with one choice made; as it is where it is chosen already.

    Raises:
        FieldError: no such choice or word, or the bag cannot be so.
    """
    choice = CHOICES.get(name)
    if choice is None:
        told = Sentence(
            "There is no choice called {name}: it must be one of {names}.{hint}",
            words={
                "name": name[:60],
                "names": ", ".join(CHOICES),
                "hint": did_you_mean(name, CHOICES),
            },
        )
        raise FieldError(told, field=name, value=word)
    if word not in choice.words:
        told = Sentence(
            "{name} cannot be {word}: it must be one of {words}.{hint}",
            words={
                "name": name,
                "word": word[:60],
                "words": ", ".join(choice.words),
                "hint": did_you_mean(word, choice.words),
            },
        )
        raise FieldError(told, field=name, value=word)
    return bag if choice.read(bag) == word else choice.write(bag, word)


def _read_bottom(bag: Bag) -> str:
    return "fold" if bag.panel.folded else "seam"


def _write_bottom(bag: Bag, word: str) -> Bag:
    seam = 0.0 if word == "fold" else fresh_bottom_seam(bag)
    return replace(bag, panel=replace(bag.panel, bottom_seam=seam))


def _read_top(bag: Bag) -> str:
    return "zip-forward" if isinstance(bag.closure, Zip) else "hem"


def _write_top(bag: Bag, word: str) -> Bag:
    return replace(bag, closure=OpenTop() if word == "hem" else fresh_zip(bag))


def _read_board(bag: Bag) -> str | None:
    return None if bag.board is None else bag.board.way.value


def _write_board(bag: Bag, word: str) -> Bag:
    """A board that suits its other room too stays in its size; else it is the largest that fits."""
    way, result = BoardWay(word), compute(bag)
    if bag.board is None:
        return replace(bag, board=fresh_board(result, way))
    room = board_room(way, bag.site, result.finished)
    if min(room) <= 0.0 or suits_room(bag.board, room):
        return replace(bag, board=replace(bag.board, way=way))
    return replace(bag, board=fresh_board(result, way))


CHOICES: Mapping[str, Choice] = MappingProxyType(
    {
        "bottom": Choice(("fold", "seam"), _read_bottom, _write_bottom),
        "top": Choice(("zip-forward", "hem"), _read_top, _write_top),
        "board": Choice(tuple(way.value for way in BoardWay), _read_board, _write_board),
    }
)
"""Name -> choice, in reading order."""
