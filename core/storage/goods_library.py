"""Goods that come with the program, and a maker's own library of goods in its file.

Names are generic. Lengths are mm.
"""

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, Final

import msgspec

from core.base.atomic_write import reason_of, write_whole
from core.base.errors import BagFileError, CornerwrightError, FieldError
from core.base.sanitize import packed_json
from core.base.sentences import Sentence, Template, mark, say, typed
from core.base.units import MM_PER_INCH
from core.goods.layers import Layer
from core.goods.supplies import BOARD
from core.storage.bag_file import LAYER, tiny_told
from core.storage.groups import Called, Entry, Group, Listed, TooDeepError
from core.storage.migrations import with_told_uses
from core.storage.shapes import Fixed, Notes, ShapeError

FORMAT: Final = "cornerwright goods"
VERSION: Final = 2
MOST_GOODS: Final = 500
LONGEST_HEAD: Final = 200
"""Bytes within which a library says what it is."""

OUNCE_PER_YARD: Final = 33.905747
"""g/m2 of 1 oz/yd2: 28.349523125 g (international pound, 1959) on 0.9144 m squared."""


class GoodsTextError(CornerwrightError):
    """A library of goods that cannot be read."""


_LIBRARY: Final = Group(
    "Library",
    {
        "format": Entry("", Fixed(FORMAT)),
        "version": Entry("", Fixed(VERSION)),
        "goods": Entry("goods", Listed(LAYER, Called(mark("material {number}")))),
    },
    lambda *, goods, extras: goods,
    lambda goods, attribute: () if attribute == "extras" else goods,
)
"""What a library does not know it does not keep."""


_COTTON: Final = Layer(
    role=mark("outer fabric"),
    name=mark("quilting cotton"),
    thickness=0.4,
    pressed=0.3,
    mass_per_area=4.3 * OUNCE_PER_YARD,
    usable_width=42 * MM_PER_INCH,
    shrink_length=0.03,
    shrink_width=0.03,
)
"""44/45 in wide, about 42 in of it usable ("What is the standard width of quilting fabric?",
katieskitchenblog.com). Shrinkage: goods that shrink up to 3 % count as pre-shrunk
("Dimensional stability (fabric)", wikisum.wiki). Thickness and mass: common practice, no
source, here and below."""

GENERIC: Final[tuple[Layer, ...]] = (
    _COTTON,
    replace(_COTTON, name=mark("printed cotton, one way"), one_way=True),
    replace(
        _COTTON,
        name=mark("cotton canvas"),
        thickness=0.8,
        pressed=0.6,
        mass_per_area=10 * OUNCE_PER_YARD,
        usable_width=52 * MM_PER_INCH,  # 54 in as furnishing goods are booked, less its edges
    ),
    replace(
        _COTTON,
        name=mark("waxed cotton"),
        thickness=0.7,
        pressed=0.6,
        mass_per_area=8 * OUNCE_PER_YARD,
        usable_width=56 * MM_PER_INCH,  # 58/60 in as dress goods are booked, less its edges
        melts=True,  # its wax
        wipe_clean=True,
        shrink_length=0.0,  # never washed
        shrink_width=0.0,
    ),
    replace(
        _COTTON,
        name=mark("corduroy"),
        thickness=1.2,
        pressed=0.8,
        mass_per_area=8 * OUNCE_PER_YARD,
        usable_width=56 * MM_PER_INCH,
        one_way=True,  # its nap
    ),
    replace(
        _COTTON,
        role=mark("wipe-clean lining"),
        name=mark("laminated cotton"),
        wipe_clean=True,
        laid_last=True,
        thickness=0.25,
        pressed=0.2,
        mass_per_area=190.0,
        usable_width=54 * MM_PER_INCH,
        melts=True,
        shrink_length=0.0,
        shrink_width=0.0,
    ),
    Layer(
        role=mark("foam interfacing"),
        name=mark("sew-in foam"),
        thickness=4.0,
        pressed=0.6,
        mass_per_area=180.0,
        usable_width=58 * MM_PER_INCH,
        melts=True,
    ),
    Layer(
        role=mark("interfacing"),
        name=mark("fusible fleece"),
        thickness=2.5,
        pressed=0.5,
        mass_per_area=120.0,
        fusible=True,
        # Interfacing is sold 20 in wide and wider (same page); it shrinks a little when
        # fused, so that it is cut larger (trade note, no figure; 1 % is this program's own).
        usable_width=20 * MM_PER_INCH,
        shrink_length=0.01,
        shrink_width=0.01,
        cut_washed=False,
    ),
    Layer(
        role=mark("insulating fleece"),
        name=mark("insulating fleece"),
        thickness=2.5,
        pressed=0.4,
        mass_per_area=220.0,
        insulating=True,
        usable_width=45 * MM_PER_INCH,
        melts=True,
    ),
    BOARD,
)
"""Goods to start from, each with the widths and steps that it is usually sold in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerKind:
    """What a layer of the wall usually is, whatever goods it is cut from.

    Attributes:
        role: what it does in the bag; the kind's name too.
        thickness, pressed: usual, mm.
        mass_per_area: usual, g/m2.
        melts, fusible, insulating, wipe_clean: as in `Layer`.
    """

    role: str
    thickness: float
    pressed: float
    mass_per_area: float
    melts: bool = False
    fusible: bool = False
    insulating: bool = False
    wipe_clean: bool = False

    def of(self, goods: Layer) -> Layer:
        """These goods taken for a layer of this kind: widths, prices and the like stay."""
        told = {each.name: getattr(self, each.name) for each in fields(self)}
        return replace(goods, **told)


KINDS: Final[tuple[LayerKind, ...]] = (
    LayerKind(role=mark("outer fabric"), thickness=0.4, pressed=0.3, mass_per_area=150.0),
    LayerKind(
        role=mark("fusible interfacing"), thickness=0.3, pressed=0.2, mass_per_area=60.0,
        fusible=True,
    ),
    LayerKind(role=mark("sew-in interfacing"), thickness=0.4, pressed=0.3, mass_per_area=80.0),
    LayerKind(
        role=mark("foam interfacing"), thickness=4.0, pressed=0.6, mass_per_area=180.0, melts=True
    ),
    LayerKind(
        role=mark("insulating fleece"), thickness=2.5, pressed=0.4, mass_per_area=220.0,
        melts=True, insulating=True,
    ),
    LayerKind(
        role=mark("wipe-clean lining"), thickness=0.25, pressed=0.2, mass_per_area=190.0,
        melts=True, wipe_clean=True,
    ),
    LayerKind(role=mark("woven lining"), thickness=0.3, pressed=0.2, mass_per_area=110.0),
)  # fmt: skip
"""Kinds of layers to start from: common practice, no source; to be put right by the maker."""


def placed(goods: Layer, *, innermost: bool) -> Layer:
    """Goods as they are usually laid: an innermost layer that melts or is wiped goes in last."""
    return replace(goods, laid_last=innermost and (goods.melts or goods.wipe_clean))


def library_to_json(goods: Sequence[Layer]) -> str:
    """A library as text, indented, with a line end at its end.

    A GoodsTextError says that there are more goods than one library is read with.
    """
    if len(goods) > MOST_GOODS:
        sentence = say(
            "You have {number} materials of your own: at most {most} are kept. Remove some first.",
            numbers={"number": len(goods), "most": MOST_GOODS},
        )
        raise GoodsTextError(sentence)
    packed = packed_json(_LIBRARY.written([replace(each, extras=()) for each in goods]))
    return msgspec.json.format(packed, indent=2).decode() + "\n"


@dataclass(frozen=True, slots=True)
class Library:
    """What a library's text holds.

    Attributes:
        remark: lengths too small to be any, which are 0; None where there are none.
    """

    goods: tuple[Layer, ...]
    remark: Sentence | None


def read_library(text: str | bytes, *, source: str) -> Library:
    """What a library's text holds; `source` is its name for messages.

    A GoodsTextError says that it is no library of this version, or holds goods that cannot be.
    """
    try:
        document = _brought_forward(json.loads(text))
        _LIBRARY.check(document, ())
    except ShapeError as error:
        raise _unreadable(error.sentence) from error
    except (ValueError, RecursionError) as error:
        raise _unreadable(typed(f"{error}.")) from error
    if (count := len(document["goods"])) > MOST_GOODS:
        numbers = {"number": count, "most": MOST_GOODS}
        raise _unreadable(
            say("it holds {number} materials, and at most {most} are kept.", numbers=numbers)
        )
    notes = Notes()
    try:
        goods = _LIBRARY.made(document, notes, ())
    except FieldError as error:
        raise GoodsTextError(error.sentence) from error
    except TooDeepError as error:
        raise _unreadable(say("it is nested too deeply.")) from error
    return Library(tuple(replace(each, extras=()) for each in goods), tiny_told(source, notes))


def begins_library(head: bytes) -> bool:
    """Whether a file that begins so is a library of goods, as `library_to_json` writes it.

    `head` is the first `LONGEST_HEAD` bytes, or all of a shorter file.
    """
    return re.match(rb'\s*{\s*"format"\s*:\s*"' + FORMAT.encode() + rb'"', head) is not None


def _brought_forward(document: Any) -> Any:
    """A library of any version that is read, as one of the newest version."""
    if not isinstance(document, dict) or document.get("version") != 1:
        return document
    goods = document.get("goods")
    told = [with_told_uses(each) for each in goods] if isinstance(goods, list) else goods
    return {**document, "goods": told, "version": 2}


def merged(
    now: Sequence[Layer],
    *,
    before: Sequence[Layer],
    after: Sequence[Layer],
    sources: Sequence[int | None],
) -> tuple[Layer, ...]:
    """A library that may have been changed elsewhere, with what was changed here put in.

    Goods changed on one side stay, though the other side removed them. Goods changed on both
    have what was changed on each; where that is one property, or where the two do not fit
    together, what was done here counts. Goods added alike on both sides are there once. Where
    the library is not what it was, its order stays, and what was added here comes last.

    The library was `before` when the changing began, and is `now` by now; `after` is what was
    made of it here, and `sources` the places of those in `before`, from 0; None of a new one.
    """
    if tuple(now) == tuple(before):
        return tuple(after)
    mine = dict(zip(sources, after, strict=True))
    counterparts = _counterparts(before, now)
    both: list[Layer] = []
    for place, goods in enumerate(now):
        source = counterparts.get(place)
        if source is None:
            both.append(goods)
        elif source in mine:
            both.append(_with_changes(goods, before[source], mine[source]))
        elif goods != before[source]:
            both.append(goods)
    gone = set(range(len(before))) - set(counterparts.values())
    for source, goods in zip(sources, after, strict=True):
        is_mine = source is None or (source in gone and goods != before[source])
        if is_mine and goods not in both:
            both.append(goods)
    return tuple(both)


def _counterparts(before: Sequence[Layer], now: Sequence[Layer]) -> dict[int, int]:
    """Place in `now` -> place in `before` of the same goods: first the unchanged, then by name."""
    keys: tuple[Callable[[Layer], Layer | str], ...] = (lambda each: each, lambda each: each.title)
    found: dict[int, int] = {}
    for key in keys:
        for source in sorted(set(range(len(before))) - set(found.values())):
            wanted = key(before[source])
            alike = (p for p, each in enumerate(now) if p not in found and key(each) == wanted)
            if (place := next(alike, None)) is not None:
                found[place] = source
    return found


def _with_changes(goods: Layer, old: Layer, new: Layer) -> Layer:
    """Goods with every property in which `new` is not as `old`; `new` where that cannot be."""
    names = [each.name for each in fields(new)]
    changes: dict[str, Any] = {
        name: getattr(new, name) for name in names if getattr(new, name) != getattr(old, name)
    }
    try:
        return replace(goods, **changes)
    except FieldError:
        return new


def _unreadable(told: Sentence) -> GoodsTextError:
    return GoodsTextError(say("The materials library cannot be read: {told}", terms={"told": told}))


class MaterialLibrary:
    """A maker's own goods on their way to and from a file.

    `remark` is what was not taken as the file has it when it was read last; None for nothing.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self.remark: Sentence | None = None

    def read(self) -> tuple[Layer, ...]:
        """The maker's own goods; none before any was kept.

        A CornerwrightError says that the file is there, and cannot be read.
        """
        return self._read() or ()

    def update(
        self, before: Sequence[Layer], after: Sequence[Layer], sources: Sequence[int | None]
    ) -> None:
        """Put what was changed in goods that were read into what the file holds by now.

        What another window kept meanwhile stays. A file that is gone holds `after` then. `sources`
        has for each in `after` its place in `before`, from 0; None of a new one. CornerwrightError:
        the file is there and cannot be read, or cannot be written.
        """
        now = self._read()
        if now is None:
            now = tuple(before)
        self.write(merged(now, before=before, after=after, sources=sources))

    def write(self, goods: Sequence[Layer]) -> None:
        """Keep these, whole or not at all; BagFileError: the file cannot be written."""
        try:
            self._path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(self._path, library_to_json(goods).encode())
        except OSError as error:
            raise self._trouble(mark("{path} cannot be written: {reason}."), error) from error

    def _read(self) -> tuple[Layer, ...] | None:
        """The goods in the file; None where there is no file."""
        try:
            text = self._path.read_bytes()
        except FileNotFoundError:
            return None
        except OSError as error:
            raise self._trouble(mark("{path} cannot be read: {reason}."), error) from error
        library = read_library(text, source=self._path.name)
        self.remark = library.remark
        return library.goods

    def _trouble(self, template: Template, error: OSError) -> BagFileError:
        words = {"path": str(self._path)}
        return BagFileError(say(template, words=words, terms={"reason": reason_of(error)}))
