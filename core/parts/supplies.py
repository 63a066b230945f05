"""Supplies: goods that are no layer of the wall, and what is bought besides goods. mm."""

from dataclasses import dataclass, replace
from typing import ClassVar

from core.figures import CutFigure, check_record
from core.parts.layers import Layer, check_amount
from core.parts.site import INCH

BOARD = Layer(
    role="base board",
    name="polypropylene sheet",
    thickness=1.5,
    pressed=1.5,
    mass_per_area=1350.0,
    usable_width=20 * INCH,
    sold_step=30 * INCH,
    in_sheets=True,
    melts=True,
)
"""What a base board is cut from when nothing else is said: sheets of 20 x 30 in (common
practice, no source); polypropylene at 0.9 g/cm3 (from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplies:
    """What a bag takes besides the layers of its wall.

    Attributes:
        board: goods of the base board.
        pocket: goods of the pocket; None: the outer layer's.
        handles: goods of the handles; None: the outer layer's.
        zip_price: money for one zip.
        spool_price: money for one spool of thread.
        spool_length: thread on one spool.
        clip_spacing: between the clips that hold the edges before basting.
    """

    board: Layer = BOARD
    pocket: Layer | None = None
    handles: Layer | None = None
    zip_price: float = 0.0
    spool_price: float = 0.0
    spool_length: float = 200_000.0
    clip_spacing: float = 2 * INCH

    RANGES: ClassVar[tuple[CutFigure, ...]] = tuple(
        CutFigure(
            name=attribute,
            label=label,
            part="supplies",
            attribute=attribute,
            low=0.0,
            high=high,
            above_low=True,
            published=False,
            help=help,
        )
        for attribute, label, high, help in (
            ("spool_length", "Thread on a spool", 1e8, "Length of thread on one spool."),
            ("clip_spacing", "Clip spacing", 1000.0, "Between the clips around the edges."),
        )
    )

    def with_width_of(self, goods: Layer, width: float) -> "Supplies":
        """The same supplies, with these goods as wide as this, mm, wherever they are used."""
        return replace(
            self,
            pocket=self.pocket and self.pocket.widened(goods, width),
            handles=self.handles and self.handles.widened(goods, width),
        )

    def __post_init__(self) -> None:
        check_record(self, self.RANGES)
        check_amount("Zip price", self.zip_price, field="zip_price")
        check_amount("Spool price", self.spool_price, field="spool_price")
