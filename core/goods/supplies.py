"""Supplies: goods that are no layer of the wall, and what is bought besides goods. mm."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, NamedTuple

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Sentence, Template, mark, say
from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH, Unit, parse_length
from core.goods.layers import Layer, check_amount
from core.model.figures import CutFigure, check_record
from core.model.record import Detail, Record

BOARD = Layer(
    role=mark("base board"),
    name=mark("polypropylene sheet"),
    thickness=1.5,
    pressed=1.5,
    mass_per_area=1350.0,
    usable_width=20 * MM_PER_INCH,
    sold_step=30 * MM_PER_INCH,
    in_sheets=True,
    melts=True,
)
"""What a base board is cut from when nothing else is said: sheets of 20 x 30 in (common
practice, no source); polypropylene at 0.9 g/cm3 (from memory)."""

INCH_ZIPS = tuple(n * MM_PER_INCH for n in (7, 9, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30, 36))
METRIC_ZIPS = tuple(
    10.0 * cm for cm in (10, 12, 15, 18, 20, 22, *range(25, 80, 5), 80, 85, 90, 95, 100)
)
"""Lengths in which zips are sold ready made (common practice, no source)."""
MOST_ZIP_LENGTHS = 100
LONGEST_ZIP = 10_000.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Supplies(Record):
    """What a bag takes besides the layers of its wall.

    Attributes:
        board: goods of the base board.
        pocket: goods of the pocket; None: the outer layer's.
        handles: goods of the handles; None: the outer layer's.
        zip_lengths: in which this bag's zip can be bought, ascending; None: those of the maker's
            shop.
        clip_spacing: between the clips that hold the edges before basting.
    """

    board: Layer = BOARD
    pocket: Layer | None = None
    handles: Layer | None = None
    zip_price: float = 0.0
    zip_lengths: tuple[float, ...] | None = None
    spool_price: float = 0.0
    spool_length: float = 200_000.0
    clip_spacing: float = 2 * MM_PER_INCH

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "zip_price": Detail(help=mark("Money for one zip.")),
        "spool_price": Detail(help=mark("Money for one spool of thread.")),
    }
    RANGES: ClassVar[tuple[CutFigure, ...]] = tuple(
        CutFigure(
            name=attribute,
            label=label,
            part="supplies",
            attribute=attribute,
            high=high,
            above_low=True,
            published=False,
            help=help,
        )
        for attribute, label, high, help in (
            ("spool_length", mark("Thread on a spool"), 1e8,
             mark("Length of thread on one spool.")),
            ("clip_spacing", mark("Clip spacing"), 1000.0,
             mark("Distance between the clips around the edges.")),
        )
    )  # fmt: skip

    def with_width_of(self, goods: Layer, width: float) -> "Supplies":
        """The same supplies, with these goods as wide as this, mm, wherever they are used."""
        return replace(
            self,
            pocket=self.pocket and self.pocket.widened(goods, width),
            handles=self.handles and self.handles.widened(goods, width),
        )

    def __post_init__(self) -> None:
        check_record(self, self.RANGES)
        check_amount(mark("Zip price"), self.zip_price, field="zip_price")
        check_amount(mark("Spool price"), self.spool_price, field="spool_price")
        if self.zip_lengths is not None:
            object.__setattr__(self, "zip_lengths", checked_zip_lengths(self.zip_lengths))

    def own_goods(self, slot: str) -> Layer | None:
        """The goods of the part in a slot; None: the outer layer's."""
        found = getattr(self, slot, None)
        return found if isinstance(found, Layer) else None

    def zips_offered(self, unit: Unit, shop: tuple[float, ...] | None = None) -> tuple[float, ...]:
        """Lengths that zips are sold in, mm: of this bag's zip, else of the maker's shop.

        Where neither is said they are the usual ones of the unit.
        """
        usual = INCH_ZIPS if unit is Unit.INCH else METRIC_ZIPS
        return self.zip_lengths or shop or usual

    def sells_zip(self, length: float, shop: tuple[float, ...] | None = None) -> bool:
        """Whether a zip of this length is sold; the usual ones by the inch or by the cm."""
        lengths = self.zip_lengths or shop or (*INCH_ZIPS, *METRIC_ZIPS)
        return any(same_length(length, each) for each in lengths)


def sold_length(needed: float, lengths: tuple[float, ...]) -> float:
    """The shortest zip that is sold and reaches so far, mm; `needed` itself where none does."""
    return next((each for each in lengths if not shorter(each, needed)), needed)


def zip_lengths_of(text: str, unit: Unit) -> tuple[float, ...]:
    """Lengths with a semicolon, or a comma and a space, between them, mm; a bare one in `unit`.

    A comma followed by a figure may be a decimal one, which no length has: it is told so. A
    LengthTextError where one of them is no length, a FieldError where they are none of zips; none
    at all counts as such.
    """
    parts = [part for part in re.split(r";|,\s", text) if part.strip()]
    return checked_zip_lengths(tuple(parse_length(part, unit=unit) for part in parts))


def checked_zip_lengths(lengths: tuple[float, ...]) -> tuple[float, ...]:
    """Lengths that zips are sold in, mm: ascending, each once.

    A FieldError where there is none at all, or too many, or one that no zip has.
    """
    if not 1 <= len(lengths) <= MOST_ZIP_LENGTHS:
        sentence = say(
            "Zip lengths: there are {count}; there must be 1 to {most}.",
            numbers={"count": len(lengths), "most": MOST_ZIP_LENGTHS},
        )
        raise FieldError(sentence, field="zip_lengths", value=lengths)
    for length in lengths:
        _ZIP_LENGTH.check(length)
    return tuple(sorted({float(length) for length in lengths}))


_ZIP_LENGTH = CutFigure(
    name="zip_lengths",
    label=mark("Zip lengths"),
    part="supplies",
    attribute="zip_lengths",
    high=LONGEST_ZIP,
    above_low=True,
    published=False,
    help=mark("Lengths in which zips are sold."),
)


class Notion(NamedTuple):
    """Something that one bag takes.

    Attributes:
        what: it is called; what is called alike is bought together.
        length: of what is bought by length; None: one piece.
        kind: which one, of a piece; what for, of a length that lies under nothing.
        under: what it lies under, of what is bought by length.
        price: money for one piece; 0: it has none.
    """

    what: Template
    length: float | None = None
    kind: Sentence | None = None
    under: Template = NO_TEXT
    price: float = 0.0
