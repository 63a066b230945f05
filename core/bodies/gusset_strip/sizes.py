"""The figures of the gusset strip and of the wrap. Lengths are mm.

Both are one draft: two panels, and a strip sewn round them. A gusset strip makes sides and bottom
between front and back; a wrap makes front, bottom and back between two ends. A strip that is
closed at the top goes once round its panels, but for a gap that a top strip closes.
"""

from typing import NamedTuple

from core.base.sentences import Template, mark
from core.bodies.boxed_panel import sizes as boxed
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.flat.roles import SIDES, Face, Side
from core.model.figures import LONGEST, CutFigure, Direction, FinishedFigure, Quantity, Ruled


class Faces(NamedTuple):
    """Which faces of the bag the pieces make.

    Attributes:
        panels: the two panels: the first is sewn to the strip's left edge.
        legs: what the strip makes at its lower end and at its upper one, as it lies with its
            right side up and its length upright. Its upper end is called its right one, as that
            leg stands at the right of the first panel.
    """

    panels: tuple[Face, Face]
    legs: tuple[Face, Face]

    def leg(self, side: Side) -> Face:
        """What the strip makes at that end."""
        return self.legs[SIDES.index(side)]

    def side(self, panel: Face, *, right: bool) -> Side:
        """The end whose leg is sewn to the right edge of a panel, or to its left one."""
        return Side.RIGHT if right is (panel is self.panels[0]) else Side.LEFT


GUSSET = Faces((Face.FRONT, Face.BACK), (Face.LEFT, Face.RIGHT))
WRAP = Faces((Face.LEFT, Face.RIGHT), (Face.BACK, Face.FRONT))


def _length(
    name: str,
    label: Template,
    help: Template,
    *,
    attribute: str = "",
    above_low: bool = False,
    high: float = LONGEST,
    tells: tuple[str, ...] = (),
) -> CutFigure:
    """A length of the body; with `tells` one that a hand or a redesign may change."""
    return CutFigure(
        name=name,
        label=label,
        part="body",
        attribute=attribute or name,
        high=high,
        above_low=above_low,
        help=help,
        ruled=Ruled.TOGETHER if tells else None,
        pinnable=bool(tells),
        by_hand=bool(tells),
        tells=tells,
    )


FACE_CUT_WIDTH = _length(
    "face_cut_width",
    mark("Face cut width"),
    mark("Cut width of the two panels that the strip is sewn round."),
    above_low=True,
    tells=("face_width", "gusset_depth"),
)
FACE_CUT_HEIGHT = _length(
    "face_cut_height",
    mark("Face cut height"),
    mark("Cut height of the two panels that the strip is sewn round."),
    above_low=True,
    tells=("face_height",),
)
UPPER_ROUNDING = _length(
    "upper_rounding",
    mark("Upper rounding"),
    mark("Radius of the cut edge at the panels' upper corners; 0: square corners."),
)
STRIP_WIDTH = _length(
    "strip_width",
    mark("Strip width"),
    mark("Cut width of the strip that is sewn round the panels."),
    above_low=True,
    tells=("gusset_depth", "face_width"),
)
STRIP_LENGTH = _length(
    "strip_length",
    mark("Strip length"),
    mark("Cut length of that strip from end to end, as if it were one piece."),
    above_low=True,
    high=2 * LONGEST,
    tells=("gusset_mismatch",),
)
STRIP_PIECES = CutFigure(
    name="strip_pieces",
    label=mark("Strip pieces"),
    part="body",
    attribute="strip_pieces",
    quantity=Quantity.COUNT,
    low=1,
    high=4,
    help=mark("How many equal pieces the strip is joined of, end to end."),
)
TOP_STRIP_LENGTH = _length(
    "top_strip_length",
    mark("Top strip length"),
    mark("Cut length of the top strip that closes the ring; 0: the ring is open at the top."),
    tells=("opening_width",),
)
GUSSET_SEAM = _length(
    "gusset_seam",
    mark("Gusset seam"),
    mark("Seam allowance of the strip and the panels all round."),
)
STRIP_SEAM = _length(
    "strip_seam",
    mark("Strip seam"),
    mark("Seam allowance where pieces of the strip, and the top strip, are joined end to end."),
)
_SHARED = {figure.name: figure for figure in boxed.CUT}
TOP_SEAM, FRONT_TRIM = _SHARED["zip_seam"], _SHARED["front_trim"]

CUT: tuple[CutFigure, ...] = (
    FACE_CUT_WIDTH,
    FACE_CUT_HEIGHT,
    CORNER_ROUNDING,
    UPPER_ROUNDING,
    STRIP_WIDTH,
    STRIP_LENGTH,
    STRIP_PIECES,
    TOP_STRIP_LENGTH,
    GUSSET_SEAM,
    STRIP_SEAM,
    TOP_SEAM,
)
"""Figures that the maker sets, in reading order."""

_BOXED = {each.name: each for each in boxed.FINISHED}
FINISHED: tuple[FinishedFigure, ...] = (
    FinishedFigure(
        name="face_width",
        label=mark("Face width"),
        part="body",
        help=mark("Finished side-to-side size of the front."),
        tape=mark("side to side across the front, between the seams"),
        sampled=True,
        taken_up=Direction.ACROSS,
    ),
    *(_BOXED[name] for name in ("base_width", "gusset_depth", "face_height")),
    CORNER_RADIUS,
    FinishedFigure(
        name="gusset_mismatch",
        label=mark("Gusset mismatch"),
        part="body",
        help=mark("How much longer the edge of a panel is than the strip sewn round it."),
        wanted=False,
        may_be_negative=True,
        matched=mark("matched strip"),
    ),
    _BOXED["opening_width"],
    *(
        _BOXED[name]
        for name in ("box_volume", "inside_volume", "filled_volume", "inside_filled_volume")
    ),
)
"""Figures that follow, in reading order."""
