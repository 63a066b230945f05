"""The sandwich: the layers of goods that are basted and then sewn as one. Lengths are mm."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Final

from core.base.errors import FieldError
from core.base.sentences import Template, mark, say, told_number
from core.base.tolerance import same_length
from core.base.units import MM_PER_INCH
from core.flat.piece import GrainTurn, Piece
from core.model.figures import LONGEST, CutFigure, check_record
from core.model.record import GOODS_NAME, ROLE, Detail, Record

EIGHTH_YARD = 4.5 * MM_PER_INCH
"""The usual step in which goods are sold by the yard ("Fabric yardage conversion chart",
hookedonsewing.com: 1/8 yd = 4.5 in)."""

MOST_SHRINKAGE = 0.5

MOST_LAYERS = 12

LAYERS: Final = "layers"
"""What findings and errors about the wall's layers name in the place of a figure."""
_FREEDOM = tuple(GrainTurn)
"""From a grain that may not be turned to one that may be turned most."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Layer(Record):
    """One layer, and the goods that it is cut from.

    Attributes:
        role: what it does, e.g. "outer fabric"; free text.
        name: what the goods is called, e.g. "quilting cotton"; free text, may be empty.
        thickness: under no load.
        pressed: under the presser foot, not more than `thickness`.
        mass_per_area: g/m2.
        usable_width: of the goods as bought, without the woven edges.
        one_way: print or nap that runs one way only: no piece is turned at all.
        melts: whether a hot iron harms it.
        insulating: whether it is there to keep cold or warm.
        fusible: whether one side of it is glue that an iron melts.
        wipe_clean: whether it has a film that needle holes would spoil.
        laid_last: whether it is basted in after pocket and handles are sewn on, so that only
            the seams pierce it. What lies further in than such a layer is laid last too; the
            outermost layer, which everything is sewn onto, never is.
        price_per_length: money for 1 mm of length, in the user's own currency.
        sold_step: the goods is sold in whole steps of this length, > 0.
        in_sheets: sold in sheets one `sold_step` long: no piece may run across two.
        turn: how far pieces may be turned on it.
        shrink_length, shrink_width: in the first wash, as shares of the goods as bought.
        cut_washed: goods that shrink are washed before cutting; otherwise pieces are cut
            larger by what they will shrink in the bag's first wash.
    """

    role: str
    name: str = ""
    thickness: float
    pressed: float
    mass_per_area: float = 0.0
    usable_width: float
    one_way: bool = False
    melts: bool = False
    insulating: bool = False
    fusible: bool = False
    wipe_clean: bool = False
    laid_last: bool = False
    price_per_length: float = 0.0
    sold_step: float = EIGHTH_YARD
    in_sheets: bool = False
    turn: GrainTurn = GrainTurn.QUARTER
    shrink_length: float = 0.0
    shrink_width: float = 0.0
    cut_washed: bool = True

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "role": Detail(limit=ROLE),
        "name": Detail(limit=GOODS_NAME),
        "mass_per_area": Detail(help=mark("Mass, g/m2.")),
        "one_way": Detail(help=mark("Print or nap that runs one way only.")),
        "melts": Detail(help=mark("A hot iron harms it.")),
        "insulating": Detail(help=mark("Keeps what is carried cold or warm.")),
        "fusible": Detail(help=mark("An iron glues it on.")),
        "wipe_clean": Detail(help=mark("Has a film that needle holes would spoil.")),
        "laid_last": Detail(help=mark("Basted in after pocket and handles are sewn on.")),
        "price_per_length": Detail(help=mark("Money for 1 mm of length.")),
        "in_sheets": Detail(help=mark("One step is one sheet; pieces stay on one.")),
        "turn": Detail(help=mark("How far pieces may be turned.")),
        "shrink_length": Detail(help=mark("Share of the material as bought, 0 to 0.5.")),
        "shrink_width": Detail(help=mark("Share of the material as bought, 0 to 0.5.")),
        "cut_washed": Detail(help=mark("Cut from washed material, or else cut larger.")),
    }
    RANGES: ClassVar[tuple[CutFigure, ...]] = tuple(
        CutFigure(
            name=f"layer_{attribute}",
            label=label,
            part="sandwich",
            attribute=attribute,
            high=high,
            above_low=attribute in ("usable_width", "sold_step"),
            published=False,
            help=help,
        )
        for attribute, label, high, help in (
            ("thickness", mark("Layer thickness"), 100.0,
             mark("Thickness of the layer when it is not pressed.")),
            ("pressed", mark("Pressed thickness"), 100.0,
             mark("Thickness under the presser foot.")),
            ("usable_width", mark("Usable width"), LONGEST,
             mark("Width of the material without its selvedges.")),
            ("sold_step", mark("Selling step"), 100_000.0,
             mark("The material is sold in whole multiples of this length.")),
        )
    )  # fmt: skip

    def __post_init__(self) -> None:
        ROLE.check(self.role, field="layer_role")
        GOODS_NAME.check(self.name, field="layer_name")
        check_record(self, self.RANGES)
        if self.pressed > self.thickness:
            self.RANGES[1].refuse(
                self.pressed,
                mark("it must be at most the unpressed thickness, {limit}."),
                limit=self.thickness,
            )
        check_amount(mark("Layer weight"), self.mass_per_area, field="layer_mass")
        check_amount(mark("Layer price"), self.price_per_length, field="layer_price")
        _check_shrinkage(_IN_LENGTH, self.shrink_length, field="layer_shrink_length")
        _check_shrinkage(_IN_WIDTH, self.shrink_width, field="layer_shrink_width")

    @property
    def title(self) -> str:
        """The goods' name, or what the layer does where it has none."""
        return self.name.strip() or self.role

    def same_goods(self, other: "Layer") -> bool:
        """Whether both are bought as one: the same, or of one name and alike but for the role."""
        mine, others = replace(self, extras=()), replace(other, extras=())
        if not self.name.strip():
            return mine == others
        return replace(mine, role="") == replace(others, role="")

    def widened(self, goods: "Layer", width: float) -> "Layer":
        """This layer with another usable width, mm, if it is of these goods; else as it is."""
        return replace(self, usable_width=width) if self.same_goods(goods) else self

    @property
    def shrinks(self) -> bool:
        """Whether it loses anything in its first wash."""
        return max(self.shrink_length, self.shrink_width) > 0.0

    @property
    def washed_first(self) -> bool:
        """Whether it is washed before cutting; goods that do not shrink need not be."""
        return self.cut_washed and self.shrinks

    @property
    def washed_width(self) -> float:
        """What is left of the usable width after the first wash."""
        return self.usable_width * (1 - self.shrink_width)

    @property
    def cutting_width(self) -> float:
        """Usable width when it is cut: washed goods have shrunk by then."""
        return self.washed_width if self.cut_washed else self.usable_width

    @property
    def sheet_length(self) -> float:
        """Length of one sheet, or of one sold step, when it is cut."""
        return self.sold_step * (1 - self.shrink_length) if self.cut_washed else self.sold_step

    def bought(self, length: float) -> float:
        """What must be bought, before rounding, for so much length on the cutting table, mm."""
        return length / (1 - self.shrink_length) if self.cut_washed else length

    def enlarged(self, across: float, along: float) -> tuple[float, float]:
        """A size (across, along the goods) as it is cut, so that it has that size once washed.

        What shrinks by a share s is cut 1/(1 - s) times as large.
        """
        if self.cut_washed:
            return across, along
        return across / (1 - self.shrink_width), along / (1 - self.shrink_length)

    def turn_of(self, piece: Piece) -> GrainTurn:
        """How a piece may be turned here: as far as both it and the goods allow.

        Goods that shrink differently along and across allow no quarter turn of pieces that
        were enlarged for it: turned, they would wash to another shape.
        """
        if self.one_way:
            return GrainTurn.NEVER
        least = min(piece.turn, self.turn, key=_FREEDOM.index)
        uneven = not same_length(self.shrink_length, self.shrink_width)
        if least is GrainTurn.QUARTER and uneven and not self.cut_washed:
            return GrainTurn.HALF
        return least

    def size_on_goods(self, piece: Piece) -> tuple[float, float]:
        """Rough (across, along) of an unturned piece as it is cut, mm: grain runs along."""
        grain_across = abs(piece.grain[0]) > abs(piece.grain[1])
        left, low, right, high = piece.bounds
        size = (right - left, high - low)
        return self.enlarged(*(reversed(size) if grain_across else size))


def check_amount(label: Template, value: float, *, field: str) -> None:
    """Refuse with a FieldError what is no mass, price or the like: no ordinary number from 0 up."""
    no_number = isinstance(value, bool) or not isinstance(value, int | float)
    if no_number or not 0.0 <= value < 1e9:
        refused = say(
            "{label} is {value}: it must be a number from 0 up.",
            terms={"label": label},
            words={"value": told_number(value)},
        )
        raise FieldError(refused, field=field, value=value)


_IN_LENGTH = mark("Shrinkage in length is {value}: it must be from 0 % to {most} %.")
_IN_WIDTH = mark("Shrinkage in width is {value}: it must be from 0 % to {most} %.")


def _check_shrinkage(refusal: Template, value: float, *, field: str) -> None:
    no_number = isinstance(value, bool) or not isinstance(value, int | float)
    if no_number or not 0.0 <= value <= MOST_SHRINKAGE:
        shown = told_number(value)
        if isinstance(value, float):
            percent = 100 * value
            shown = f"{told_number(percent, digits=6)} %" if math.isfinite(percent) else shown
        most = f"{100 * MOST_SHRINKAGE:g}"
        refused = say(refusal, words={"value": shown, "most": most})
        raise FieldError(refused, field=field, value=value)


LEAST_LAYERED, LEAST_SINGLE = 6.0, 3.0
"""Allowance that holds stitches in a wall of several layers, and in one layer, mm (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Sandwich(Record):
    """The layers of the wall, outermost first, and how they are sewn.

    Attributes:
        layers: outermost first, at least one.
        baste_line: distance of the basting line from the cut edge.
        foot_clearance: what the machine's foot can take, pressed: the user's own figure.
    """

    layers: tuple[Layer, ...]
    baste_line: float = 3 * MM_PER_INCH / 16
    foot_clearance: float = 6.0

    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="baste_line",
            label=mark("Basting line"),
            part="sandwich",
            attribute="baste_line",
            published=False,
            help=mark("Distance of the temporary stitching from the cut edge."),
        ),
        CutFigure(
            name="foot_clearance",
            label=mark("Foot clearance"),
            part="sandwich",
            attribute="foot_clearance",
            high=100.0,
            above_low=True,
            published=False,
            help=mark("The thickest stack, pressed, that your machine's foot can take."),
        ),
    )

    def __post_init__(self) -> None:
        check_record(self, self.FIGURES)
        if not 1 <= len(self.layers) <= MOST_LAYERS:
            refused = say(
                "Layers: there are {count}; a bag has 1 to {most} layers.",
                numbers={"count": len(self.layers), "most": MOST_LAYERS},
            )
            raise FieldError(refused, field=LAYERS, value=len(self.layers))

    @property
    def least_allowance(self) -> float:
        """The narrowest allowance that holds in this wall, mm.

        One that is narrower than the seam's two walls are thick, pressed, does not lie flat
        (own choice).
        """
        least = LEAST_SINGLE if len(self.layers) == 1 else LEAST_LAYERED
        return max(least, 2 * self.pressed)

    @property
    def first_laid(self) -> tuple[Layer, ...]:
        """The layers that pocket and handles are sewn onto, outermost first."""
        return self.layers[: self._first_laid_count]

    @property
    def last_laid(self) -> tuple[Layer, ...]:
        """The layers that are basted in after that, outermost first; often none."""
        return self.layers[self._first_laid_count :]

    @property
    def over_board(self) -> tuple[Layer, ...]:
        """What covers a fused base board: the layers laid in last, or else the innermost.

        None where the wall is one layer.
        """
        return self.last_laid or self.layers[1:][-1:]

    @property
    def under_board(self) -> tuple[Layer, ...]:
        """What lies under the iron when a base board is fused on, outermost first."""
        if self.last_laid or len(self.layers) == 1:
            return self.first_laid
        return self.layers[-2:-1]

    @property
    def basted_in_one(self) -> bool:
        """Whether several layers are basted into one before anything is sewn onto the wall."""
        return len(self.layers) > 1 and not self.last_laid

    @property
    def _first_laid_count(self) -> int:
        later = (n for n, layer in enumerate(self.layers) if n and layer.laid_last)
        return next(later, len(self.layers))

    def with_width_of(self, goods: Layer, width: float) -> "Sandwich":
        """The same layers, those of these goods on goods of another usable width, mm."""
        return replace(self, layers=tuple(each.widened(goods, width) for each in self.layers))

    @property
    def thickness(self) -> float:
        """Wall thickness under no load: the sum of its layers."""
        return math.fsum(layer.thickness for layer in self.layers)

    @property
    def pressed(self) -> float:
        """Wall thickness under the presser foot."""
        return math.fsum(layer.pressed for layer in self.layers)


def later_shrinkage(layer: Layer) -> tuple[float, float]:
    """(in length, in width) that these goods still lose once they are sewn, as shares."""
    if layer.cut_washed:
        return 0.0, 0.0
    return layer.shrink_length, layer.shrink_width


def common_shrinkage(layers: Sequence[Layer]) -> tuple[float, float] | None:
    """What all of them still lose alike once they are sewn; None where they differ."""
    first, *others = (later_shrinkage(layer) for layer in layers)
    same = all(
        same_length(one, other) for each in others for one, other in zip(first, each, strict=True)
    )
    return first if same else None
