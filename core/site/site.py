"""What body, top and parts may know of the bag around them."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from core.base.units import MM_PER_INCH, Unit, default_step
from core.flat.piece import Mark
from core.flat.roles import Face
from core.goods.layers import Layer, Sandwich
from core.goods.supplies import Supplies
from core.model.figures import TakeUp
from core.site.seat import Mouth, Seat, SewnOn

Finished = Mapping[str, float | None]
"""Finished figures by name; None for what does not exist in this bag."""

QUARTER_INCH = 6.35
FOOT_ROOM = 10.0
"""Between two lines of stitching where a presser foot still runs, mm (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What body, top and parts see of one another, mm.

    Attributes:
        seats: face -> where parts may sit on it.
        mouth: where the top is sewn on.
        shows: what shows of the top between its two stitch lines; 0 for an open top.
        closed: whether the top closes the bag.
        sandwich, supplies: what the bag is made of.
        unit: that it is drawn in.
        take_up: what sewing leaves of the drawn sizes.
        shop_zips: in which the maker's shop sells zips, ascending; None: the usual lengths.
        sewn_on: what the parts sew onto the faces.
    """

    seats: Mapping[Face, Seat]
    mouth: Mouth
    shows: float
    closed: bool
    sandwich: Sandwich
    supplies: Supplies
    unit: Unit
    take_up: TakeUp
    shop_zips: tuple[float, ...] | None
    sewn_on: tuple[SewnOn, ...] = ()

    @property
    def front(self) -> Seat:
        """Where parts may sit on the face that the mouth begins with."""
        return self.seats[self.mouth.runs[0].face]

    @property
    def wall(self) -> float:
        """Thickness of the sandwich under no load."""
        return self.sandwich.thickness

    @property
    def pressed(self) -> float:
        """Thickness of the sandwich under the presser foot."""
        return self.sandwich.pressed

    def goods(self, slot: str) -> Layer:
        """The goods that the part in a slot is cut from, or would be."""
        return self.supplies.own_goods(slot) or self.sandwich.layers[0]

    def reach(self, face: Face) -> float:
        """How far below the cut top edge of a face there must be cloth for what is sewn on."""
        return max((each.needs for each in self.sewn_on if each.face is face), default=0.0)

    @property
    def lowest_stitch(self) -> float:
        """The lowest stitching of parts above the base line; infinite where there is none."""
        return min((each.lowest for each in self.sewn_on), default=math.inf)

    @property
    def ruler(self) -> float:
        """Step on which whoever cuts this bag measures."""
        return default_step(self.unit)

    @property
    def usual_allowance(self) -> float:
        """3/8 in, or 10 mm (common practice, no source)."""
        return 3 * MM_PER_INCH / 8 if self.unit is Unit.INCH else 10.0

    @property
    def new_allowance(self) -> float:
        """What a new seam of the wall is given: the usual one, or what a thick wall needs."""
        return max(self.usual_allowance, self.sandwich.least_allowance)

    @property
    def zip_lengths(self) -> tuple[float, ...]:
        """Lengths in which zips are sold, ascending."""
        return self.supplies.zips_offered(self.unit, self.shop_zips)


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark for one face, in the frame of the piece that holds it."""

    face: Face
    mark: Mark
