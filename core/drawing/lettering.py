"""Lettering: how wide a text is, where its lines break, and fractions as a tailor writes them.

Widths are those of DejaVu Sans, the face that the printed pattern carries (advance widths
read from its hmtx table, DejaVu 2.37, thousandths of the em). Heights are of a capital.
"""

import math
import re
from bisect import bisect_left
from collections.abc import Container, Iterable, Iterator, Mapping
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from core.base.quantities import money
from core.base.sanitize import plain_signs
from core.base.sentences import (
    ENGLISH,
    Language,
    Listing,
    Number,
    Plural,
    Sentence,
    ShowLength,
    Term,
    say,
    show_millimetres,
)
from core.base.tolerance import same_length
from core.base.units import NO_BREAK, Unit, unbroken
from core.flat.geometry import Bounds
from core.flat.piece import Point

CAPITAL = 0.729
"""Height of a capital over the em: cap height 1493 of 2048 units (OS/2 table)."""
DESCENT = 0.24
"""How far a descender reaches below the baseline, over the em (hhea table)."""
LEADING = 1.75
"""From one baseline to the next, in capital heights."""

_REGULAR = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337,
    636, 636, 636, 636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531,
    1000, 684, 686, 698, 770, 632, 575, 775, 752, 295, 295, 656, 557, 863, 748, 787,
    603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390, 337, 390, 838, 500,
    500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
    635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
)  # fmt: skip
_BOLD = (
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365,
    696, 696, 696, 696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 580,
    1000, 774, 762, 734, 830, 683, 683, 821, 837, 372, 372, 775, 637, 995, 837, 850,
    733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457, 365, 457, 838, 500,
    500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687,
    716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838,
)  # fmt: skip
_OTHERS = dict.fromkeys("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", 440) | {
    "⁄": 167, "–": 500, "×": 838, "·": 318, "“": 518, "”": 518, "½": 969, "¼": 969, "¾": 969,
}  # fmt: skip
_REGULAR_WIDTHS = {chr(32 + i): width for i, width in enumerate(_REGULAR)} | _OTHERS
_BOLD_WIDTHS = {chr(32 + i): width for i, width in enumerate(_BOLD)} | {
    sign: round(1.1 * width) for sign, width in _OTHERS.items()
}
_LONGEST_WORD, _LONGEST_GROUP = 20, 45
"""Letters of a word, and of words that are kept on one line, that are never torn apart; a word
of the trade or two lengths are no longer."""
_WIDEST_OTHER = 1040
"""Taken for a letter that is in no table: rather too much room than an overlap."""

_READY = {
    "1/2": "½", "1/4": "¼", "3/4": "¾", "1/3": "⅓", "2/3": "⅔",
    "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞",
}  # fmt: skip
_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_FRACTION = re.compile(r"(?<![\d/.])(\d{1,2})/(\d{1,2})(?![\d/.])")


class Words(NamedTuple):
    """One line of a block of text."""

    text: str
    height: float
    bold: bool = False

    @property
    def width(self) -> float:
        """Length of the line, mm."""
        return text_width(self.text, self.height, bold=self.bold)


def text_width(text: str, height: float, *, bold: bool = False) -> float:
    """Length of a line whose capitals are `height` tall, in the same unit."""
    return _thousandths(text, bold) / 1000 * height / CAPITAL


@lru_cache(maxsize=4096)
def _thousandths(text: str, bold: bool) -> int:
    """Kept, because placing a label asks for the same text at every place that it tries."""
    find = (_BOLD_WIDTHS if bold else _REGULAR_WIDTHS).get
    return sum([find(sign, _WIDEST_OTHER) for sign in text])


@lru_cache(maxsize=4096)
def with_fractions(text: str) -> str:
    """Fractions set as one figure: 18 1/2 in becomes 18 ½ in, and 3/16 becomes ³⁄₁₆.

    With plain spaces throughout: it is written on one line, or `wrapped`.
    """
    return _FRACTION.sub(_set_fraction, text).replace(NO_BREAK, " ")


def _set_fraction(found: re.Match[str]) -> str:
    ready = _READY.get(found[0])
    if ready:
        return ready
    return f"{found[1].translate(_RAISED)}\u2044{found[2].translate(_LOWERED)}"


def wrapped(words: Words, width: float) -> list[Words]:
    """The text in lines no longer than `width`, mm, in one pass over its letters.

    No line ends within a length, nor at a space that is marked as one that does not break; the
    lines themselves have plain spaces, to be copied from. What is longer than a line and than any
    word is broken where the line is full: names out of a file may have no space at all.
    """
    space = text_width(" ", words.height, bold=words.bold)
    lines: list[list[str]] = []
    length = 0.0
    text = unbroken(" ".join(part for part in words.text.split(" ") if part))
    for whole in text.split(" ") if text else ():
        for part in _parts(whole.replace(NO_BREAK, " "), words, width):
            wide = text_width(part, words.height, bold=words.bold)
            if lines and length + space + wide <= width:
                lines[-1].append(part)
                length += space + wide
            else:
                lines.append([part])
                length = wide
    return [Words(" ".join(line), words.height, words.bold) for line in lines]


def shortened(text: str, height: float, room: float) -> str:
    """As much of a line as is no longer than `room`, with an ellipsis for what is left out.

    The height is that of its capitals, in the unit of `room`, which is for the line and an
    ellipsis, so that it does not fill its place to the brim.
    """

    def is_too_long(count: int) -> bool:
        return text_width(with_fractions(text[:count] + "…"), height) > room

    if not is_too_long(len(text)):
        return text
    return text[: bisect_left(range(1, len(text)), True, key=is_too_long)] + "…"


def _parts(word: str, words: Words, width: float) -> list[str]:
    """Letters without a place for a break, in parts that each fill a line; words stay whole."""
    is_word = len(word) <= _LONGEST_GROUP and max(map(len, word.split(" "))) <= _LONGEST_WORD
    if is_word or text_width(word, words.height, bold=words.bold) <= width:
        return [word]
    parts: list[str] = []
    room = 0.0
    for sign in word:
        wide = text_width(sign, words.height, bold=words.bold)
        room -= wide
        if parts and room >= 0.0:
            parts[-1] += sign
        else:
            parts.append(sign)
            room = width - wide
    return parts


_MANY = 3
"""More letters than that look like a word."""


def short_names(names: Iterable[str]) -> dict[str, str]:
    """Each name with its first letters, no two alike: front pocket is FP.

    Of a long name the first word counts and the last two: front half of the top strip is FTS.
    """
    found: dict[str, str] = {}
    for name in dict.fromkeys(names):
        words = name.replace(",", " ").split()
        if len(words) > _MANY:
            words = [words[0], *words[-2:]]
        short = base = "".join(word[0] for word in words).upper() or "?"
        number = 2
        while short in found.values():
            short, number = f"{base}{number}", number + 1
        found[name] = short
    return found


_STEPS = 7
"""Places tried to each side of the wanted one, along each axis."""
_SLANT = 5.0
"""The boxes along a slanted line are no larger, mm."""
_ACROSS = 0.9
"""Share of the piece from which a line counts as running all the way across it."""


class Places:
    """Where a text or an arrow fits on one piece; what is taken grows as texts are placed. mm.

    Everything drawn counts as an upright box; a text is tried at a few places around the wanted
    one, the nearest first. Plain Python: the few boxes of a piece cost less than handing them to
    an array library, and the screen asks for this at every step.
    """

    def __init__(self, outline: tuple[Point, ...], lines: Iterable[tuple[Point, ...]]) -> None:
        self._outline = outline
        xs, ys = zip(*outline, strict=True)
        self._bounds: Bounds = (min(xs), min(ys), max(xs), max(ys))
        self._taken: list[Bounds] = []
        self._texts: list[Bounds] = []
        self.take_line((*outline, outline[0]))
        self._rim = list(self._taken)
        for line in lines:
            self.take_line(line)
        self._bands_x = self._bands(0)
        self._bands_y = self._bands(1)

    def take_line(self, points: tuple[Point, ...]) -> None:
        """Keep texts off a polyline."""
        for (x0, y0), (x1, y1) in pairwise(points):
            if x0 == x1 or y0 == y1:
                self._taken.append((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
                continue
            # A slanted line in steps: its box would take what it only cuts off.
            count = math.ceil(min(abs(x1 - x0), abs(y1 - y0)) / _SLANT) or 1
            for step in range(count):
                low, high = step / count, (step + 1) / count
                xs = [x0 + share * (x1 - x0) for share in (low, high)]
                ys = [y0 + share * (y1 - y0) for share in (low, high)]
                self._taken.append((min(xs), min(ys), max(xs), max(ys)))

    def keep_off(self, points: tuple[Point, ...]) -> None:
        """Keep texts off the upright box around these points."""
        xs, ys = zip(*points, strict=True)
        self._taken.append((min(xs), min(ys), max(xs), max(ys)))

    def find(
        self,
        width: float,
        height: float,
        wanted: Point,
        *,
        near: float = math.inf,
        across_lines: bool = False,
        keep_off: Iterable[tuple[Point, Point]] = (),
    ) -> Point | None:
        """Middle of a free box of this size, the wanted one where that is free.

        The box found is taken. `across_lines` keeps it off texts and the rim only; `keep_off`
        are straight lines that this box alone keeps off, along x or y. None
        when there is no room on the piece, or none whose middle lies within `near` of the
        wanted point.
        """
        taken = (self._rim if across_lines else self._taken) + self._texts
        off = [
            (min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)) for (x0, y0), (x1, y1) in keep_off
        ]
        taken += off
        # A quick no: lines all the way across leave bands that are too narrow.
        bands = ((self._bands_x, width), (self._bands_y, height))
        if not across_lines and not all(
            any(high - low >= size for low, high in found) for found, size in bands
        ):
            return None
        half_width, half_height = width / 2, height / 2
        for x, y in self._tries(width, height, wanted, near, off):
            left, right = x - half_width, x + half_width
            bottom, top = y - half_height, y + half_height
            for box in taken:
                if box[0] < right and box[2] > left and box[1] < top and box[3] > bottom:
                    break
            else:
                if self._inside(x, y):
                    self._texts.append((left, bottom, right, top))
                    return x, y
        return None

    def _bands(self, axis: int) -> list[tuple[float, float]]:
        """Between the lines that run all the way across the other axis."""
        other = 1 - axis
        reach = _ACROSS * (self._bounds[other + 2] - self._bounds[other])
        cuts = {self._bounds[axis], self._bounds[axis + 2]}
        cuts |= {
            box[axis]
            for box in self._taken
            if same_length(box[axis], box[axis + 2]) and box[other + 2] - box[other] >= reach
        }
        return list(pairwise(sorted(cuts)))

    def _tries(
        self, width: float, height: float, wanted: Point, near: float, off: list[Bounds]
    ) -> Iterator[Point]:
        xs = self._along(0, width, wanted[0], near, self._bands_x) | self._between(0, width, off)
        ys = self._along(1, height, wanted[1], near, self._bands_y) | self._between(1, height, off)
        x0, y0 = wanted
        if x0 in xs and y0 in ys:
            yield wanted  # mostly free: the others need not be put in order
        places = sorted((math.hypot(x - x0, y - y0), x, y) for x in xs for y in ys)
        for away, x, y in places:
            if away > near:
                return
            yield x, y

    def _along(
        self, axis: int, size: float, wanted: float, near: float, bands: list[tuple[float, float]]
    ) -> set[float]:
        """Middles to try along one axis: the wanted one, steps from it, narrow bands' middles."""
        low, high = self._bounds[axis] + size / 2, self._bounds[axis + 2] - size / 2
        step = min(near, high - low) / _STEPS
        tries = {wanted + i * step for i in range(-_STEPS, _STEPS + 1)}
        for start, end in bands:
            if size <= end - start < 4 * size:
                # In a narrow band only its middle looks right.
                tries = {each for each in tries if not start < each < end}
                tries.add((start + end) / 2)
        return {each for each in tries if low <= each <= high}

    def _between(self, axis: int, size: float, off: list[Bounds]) -> set[float]:
        """Along one axis the middles between lines to keep off, where there is room."""
        if not off:
            return set()
        low, high = self._bounds[axis], self._bounds[axis + 2]
        cuts = [box[axis] for box in off if box[axis] == box[axis + 2] and low < box[axis] < high]
        stops = sorted({low, high, *cuts})
        return {(a + b) / 2 for a, b in pairwise(stops) if b - a >= size}

    def _inside(self, x: float, y: float) -> bool:
        """Whether a point lies in the piece: even-odd rule."""
        inside = False
        (px, py) = self._outline[-1]
        for qx, qy in self._outline:
            if (py > y) != (qy > y) and x < px + (y - py) / (qy - py) * (qx - px):
                inside = not inside
            px, py = qx, qy
        return inside


class Wording(NamedTuple):
    """How lengths, amounts, money and texts reach the reader.

    Attributes:
        show: how lengths are written.
        translate: the reader's language.
        unit: in which other amounts than lengths are told; None: that of the bag.
        currency: code of that of the prices; empty: none is told.
    """

    show: ShowLength = show_millimetres
    translate: Language = ENGLISH
    unit: Unit | None = None
    currency: str = ""

    def say(
        self,
        text: Sentence | str | Plural,
        *,
        numbers: Mapping[str, Number | int] | None = None,
        terms: Mapping[str, Term] | None = None,
        words: Mapping[str, str | Listing] | None = None,
        **lengths: float,
    ) -> str:
        """A sentence, or a text and what goes into its gaps, as it is set in print."""
        if not isinstance(text, Sentence):
            text = say(text, numbers=numbers or {}, terms=terms or {}, words=words or {}, **lengths)
        return with_fractions(self.plain(text))

    def plain(self, sentence: Sentence) -> str:
        """A sentence for a table of plain cells or a terminal."""
        return sentence.text(self.show, self.translate)

    def money(self, amount: float | None) -> str:
        """An amount of money; empty where there is none."""
        return "" if amount is None else money(amount, self.currency)


PLAIN = Wording()
"""As in a log."""


def set_fractions(text: str) -> str:
    """Fractions of a length as one figure, its lengths unbroken; a needle's 90/14 stays."""
    return unbroken(_FRACTION.sub(_one, text))


def halved(text: str) -> list[str]:
    """Several words on two lines of about one length; a single word on one."""
    words = text.split()
    splits = [(" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words))]
    return list(min(splits, key=lambda pair: max(map(len, pair)), default=(text,)))


def _one(found: re.Match[str]) -> str:
    return with_fractions(found[0]) if int(found[1]) < int(found[2]) else found[0]


def legible(text: str, known: Container[int]) -> str:
    """Every sign that a face lacks as a question mark: it would be left out silently."""
    plain = plain_signs(text)
    return "".join(sign if ord(sign) in known or sign == "\n" else "?" for sign in plain)
