"""The sandwich: the layers of goods that are basted and then sewn as one. Lengths are mm."""

from dataclasses import dataclass
from typing import ClassVar

from core.errors import FieldError, Sentence
from core.figures import CutFigure, FinishedFigure, check_record
from core.findings import Finding, Mend, Severity
from core.flat.piece import Piece, Turn
from core.parts.panel import LONGEST
from core.parts.site import INCH, Finished, PlacedMark, Site
from core.tolerance import shorter

STACKS_AT_CROSSING = 4
"""Sandwiches under the foot where a side seam crosses a corner seam: the end of the base,
the side edge above it, and the two allowances of the side seam turned to one side."""

MOST_LAYERS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of goods.

    Attributes:
        role: what it does, e.g. "outer fabric"; free text.
        thickness: under no load.
        pressed: under the presser foot, not more than `thickness`.
        mass_per_area: g/m2.
        usable_width: of the goods, without the woven edges.
        one_way: print or nap that runs one way only.
        melts: whether a hot iron harms it.
        price_per_length: money for 1 mm of length, in the user's own currency.
    """

    role: str
    thickness: float
    pressed: float
    mass_per_area: float = 0.0
    usable_width: float
    one_way: bool = False
    melts: bool = False
    price_per_length: float = 0.0

    RANGES: ClassVar[tuple[CutFigure, ...]] = tuple(
        CutFigure(
            name=f"layer_{attribute}",
            label=label,
            part="sandwich",
            attribute=attribute,
            low=0.0,
            high=high,
            above_low=attribute == "usable_width",
            published=False,
            help=help,
        )
        for attribute, label, high, help in (
            ("thickness", "Layer thickness", 100.0, "Thickness of the layer under no load."),
            ("pressed", "Pressed thickness", 100.0, "Thickness under the presser foot."),
            ("usable_width", "Usable width", LONGEST, "Width of the goods without its edges."),
        )
    )

    def __post_init__(self) -> None:
        check_record(self, self.RANGES)
        if self.pressed > self.thickness:
            self.RANGES[1].refuse(
                self.pressed,
                "it must be at most the loose thickness, {limit}.",
                limit=self.thickness,
            )
        for name, value in (("mass", self.mass_per_area), ("price", self.price_per_length)):
            no_number = isinstance(value, bool) or not isinstance(value, int | float)
            if no_number or not 0.0 <= value < 1e9:
                sentence = f"Layer {name} is {str(value)[:40]}: it must be a number from 0 up."
                raise FieldError(sentence, field=f"layer_{name}", value=value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sandwich:
    """The layers of the wall, outermost first, and how they are sewn.

    Attributes:
        layers: outermost first, at least one.
        baste_line: distance of the baste line from the cut edge.
        foot_clearance: what the machine's foot can take, pressed: the user's own figure.
    """

    layers: tuple[Layer, ...]
    baste_line: float = 3 * INCH / 16
    foot_clearance: float = 6.0

    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="baste_line",
            label="Baste line",
            part="sandwich",
            attribute="baste_line",
            low=0.0,
            high=LONGEST,
            published=False,
            help="Distance of the temporary stitching from the cut edge.",
        ),
        CutFigure(
            name="foot_clearance",
            label="Foot clearance",
            part="sandwich",
            attribute="foot_clearance",
            low=0.0,
            high=100.0,
            above_low=True,
            published=False,
            help="The thickest stack, pressed, that your machine's foot can take.",
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ()

    def __post_init__(self) -> None:
        check_record(self, self.FIGURES)
        if not 1 <= len(self.layers) <= MOST_LAYERS:
            sentence = f"Layers: there are {len(self.layers)}; a bag has 1 to {MOST_LAYERS} layers."
            raise FieldError(sentence, field="layers", value=len(self.layers))

    @property
    def thickness(self) -> float:
        """Wall thickness under no load: the sum of its layers."""
        return sum(layer.thickness for layer in self.layers)

    @property
    def pressed(self) -> float:
        """Wall thickness under the presser foot."""
        return sum(layer.pressed for layer in self.layers)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """None of its own: the panel is cut from every layer."""
        return ()

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """None."""
        return ()

    def finished(self, site: Site) -> Finished:
        """Nothing of its own."""
        return {}

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Thickness under the foot, the baste line, and what must not be ironed hot."""
        return (*self._thick(), *self._baste(site), *self._melts())

    def width_finding(self, piece: Piece, layer: Layer) -> Finding | None:
        """Whether a piece fits on the goods of one layer either way its grain allows."""
        sides = [piece.width]
        if piece.turn is Turn.QUARTER and not layer.one_way:
            sides.append(piece.height)
        narrowest = min(sides)
        if not shorter(layer.usable_width, narrowest):
            return None
        return Finding(
            code="wider-than-goods",
            severity=Severity.STOP,
            figure="panel_width" if narrowest == piece.width else "panel_length",
            value=narrowest,
            limit=layer.usable_width,
            message=Sentence(
                _TOO_WIDE,
                {"value": narrowest, "limit": layer.usable_width},
                {"piece": piece.name, "goods": layer.role},
            ),
        )

    def _thick(self) -> tuple[Finding, ...]:
        stack = STACKS_AT_CROSSING * self.pressed
        if not shorter(self.foot_clearance, stack):
            return ()
        lengths = {"value": stack, "limit": self.foot_clearance}
        return (
            Finding(
                code="too-thick-to-sew",
                severity=Severity.WARN,
                figure="foot_clearance",
                value=stack,
                limit=self.foot_clearance,
                message=Sentence(_THICK, lengths),
            ),
        )

    def _baste(self, site: Site) -> tuple[Finding, ...]:
        seams = [site.side_seam, site.top_seam]
        if site.has_corners:
            seams.append(site.corner_seam)
        if site.bottom_seam > 0.0:
            seams.append(site.bottom_seam)
        narrowest = min(seams)
        if len(self.layers) == 1 or shorter(self.baste_line, narrowest):
            return ()
        scant = narrowest - INCH / 16
        mends: tuple[Mend, ...] = ()
        if scant > 0.0:
            label = Sentence("Baste at {value}", {"value": scant})
            mends = (Mend(label, (("baste_line", scant),)),)
        return (
            Finding(
                code="baste-shows",
                severity=Severity.WARN,
                figure="baste_line",
                value=self.baste_line,
                limit=narrowest,
                message=Sentence(_BASTE, {"value": self.baste_line, "limit": narrowest}),
                mends=mends,
            ),
        )

    def _melts(self) -> tuple[Finding, ...]:
        tender = [layer.role for layer in self.layers if layer.melts]
        if not tender:
            return ()
        return (
            Finding(
                code="melts",
                severity=Severity.NOTE,
                figure="layers",
                value=float(len(tender)),
                limit=None,
                message=Sentence(_MELTS, words={"goods": ", ".join(tender)}),
            ),
        )


_THICK = (
    "Where side seam and corner seam cross, {value} lie under the foot, pressed; "
    "your machine takes {limit}."
)
_BASTE = (
    "The baste line lies {value} from the edge, not inside the narrowest seam allowance of "
    "{limit}: it will show."
)
_MELTS = "A hot iron harms {goods}: use a cool iron and a press cloth, and test on a scrap."
_TOO_WIDE = "The {piece} measures {value}, but {goods} is only {limit} wide: it cannot be cut."
