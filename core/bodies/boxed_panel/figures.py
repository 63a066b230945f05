"""The figures of the boxed panel: those that the maker sets, and those that follow. mm."""

from enum import Enum

from core.base.sentences import Template, mark
from core.flat.roles import FACES, Face, PieceId, PieceRole
from core.model.figures import (
    LONGEST,
    CutFigure,
    Direction,
    FinishedFigure,
    Form,
    Quantity,
    Ruled,
    When,
)


class Bottom(Enum):
    """How the bottom is made."""

    FOLD = "fold"
    SEAM = "seam"


class Corners(Enum):
    """How the bottom gets its depth."""

    CUT = "cut"
    """A corner is cut out of each end of the bottom, and its edges are joined."""
    SEWN_ACROSS = "sewn-across"
    """The sides are sewn in full, and each corner is sewn across at a distance from its tip."""


class Tips(Enum):
    """What becomes of the tips of corners that are sewn across."""

    TRIMMED = "trimmed"
    LEFT_IN = "left-in"


_PANEL = PieceId("body", PieceRole.WALL)
_WALLS = {face: PieceId("body", PieceRole.WALL, face) for face in FACES}


def wall_of(face: Face, *, folded: bool) -> PieceId:
    """The piece that holds a face: the panel, or where it is not folded the face's own."""
    return _PANEL if folded else _WALLS[face]


CUT_OUT = When("corners", (Corners.CUT,), above_nothing=False)
SEWN_ACROSS = When("corners", (Corners.SEWN_ACROSS,), above_nothing=False)


def _length(
    name: str,
    label: Template,
    attribute: str,
    help: Template,
    *,
    above_low: bool = False,
    high: float = LONGEST,
    tells: tuple[str, ...] = (),
    when: When | None = None,
) -> CutFigure:
    """A length of the panel; with `tells` one that a hand or a redesign may change."""
    return CutFigure(
        name=name,
        label=label,
        part="body",
        attribute=attribute,
        high=high,
        above_low=above_low,
        help=help,
        ruled=Ruled.TOGETHER if tells else None,
        pinnable=bool(tells),
        by_hand=bool(tells),
        tells=tells,
        when=when,
    )


CUT: tuple[CutFigure, ...] = (
    _length(
        "panel_width",
        mark("Panel width"),
        "width",
        mark("Cut width of the panel."),
        above_low=True,
        tells=("base_width",),
    ),
    _length(
        "panel_length",
        mark("Panel length"),
        "length",
        mark("Cut length of the panel, back and front together, before the front trim."),
        above_low=True,
        high=2 * LONGEST,
        tells=("face_height",),
    ),
    _length(
        "front_trim",
        mark("Front trim"),
        "front_trim",
        mark(
            "How much shorter the front is cut than the back: the zip moves half of it onto the "
            "front."
        ),
        tells=("zip_offset",),
    ),
    _length(
        "corner_cut_width",
        mark("Corner cut width"),
        "corner_width",
        mark("Width of each corner cut along the bottom, on one layer."),
        tells=("base_width", "corner_mismatch"),
        when=CUT_OUT,
    ),
    _length(
        "corner_cut_depth",
        mark("Corner cut depth"),
        "corner_depth",
        mark("Depth of each corner cut up from the bottom, on one layer."),
        tells=("gusset_depth", "corner_mismatch"),
        when=CUT_OUT,
    ),
    _length(
        "corner_mark",
        mark("Corner mark"),
        "corner_mark",
        mark("From the end of the side seam's stitching to where each corner is sewn across."),
        tells=("base_width", "gusset_depth"),
        when=SEWN_ACROSS,
    ),
    _length("side_seam", mark("Side seam"), "side_seam", mark("Seam allowance of the side seams.")),
    _length(
        "corner_seam", mark("Corner seam"), "corner_seam", mark("Seam allowance of boxed corners.")
    ),
    _length(
        "zip_seam",
        mark("Zip seam"),
        "top_seam",
        mark("Seam allowance where the zip is joined, or the hem of an open top."),
    ),
    _length(
        "bottom_seam",
        mark("Bottom seam"),
        "bottom_seam",
        mark("Seam allowance of a bottom seam; 0 when the bottom is a fold."),
        when=When("bottom", (Bottom.SEAM,)),
    ),
)
"""Figures that the maker sets, in reading order."""

_ONE_EDGE = mark(
    "{label} cannot be set: the corners of this bag are sewn across, so that both edges of each "
    "are one line."
)
FINISHED: tuple[FinishedFigure, ...] = (
    FinishedFigure(
        name="base_width",
        label=mark("Base width"),
        part="body",
        help=mark("Finished side-to-side size of the bottom."),
        tape=mark("side to side along the bottom, between the corner seams"),
        sampled=True,
        taken_up=Direction.ACROSS,
    ),
    FinishedFigure(
        name="gusset_depth",
        label=mark("Gusset depth"),
        part="body",
        help=mark("Finished front-to-back size of the bottom, along the end of the base."),
        tape=mark("front to back across the bottom"),
        sampled=True,
        taken_up=Direction.DEEP,
    ),
    FinishedFigure(
        name="gusset_depth_at_side",
        label=mark("Gusset depth at the side"),
        part="body",
        help=mark("The same size along the two side edges that the corner seam joins to it."),
        only_with="corner_mismatch",
        when=CUT_OUT,
        missing=_ONE_EDGE,
        wanted=False,
        taken_up=Direction.DEEP,
    ),
    FinishedFigure(
        name="corner_mismatch",
        label=mark("Corner mismatch"),
        part="body",
        help=mark("How much longer the side edges of a corner seam are than the end of the base."),
        wanted=False,
        may_be_negative=True,
        matched=mark("matched corners"),
        when=CUT_OUT,
        missing=_ONE_EDGE,
    ),
    FinishedFigure(
        name="face_height",
        label=mark("Face height"),
        part="body",
        help=mark("Finished height from the base edge to the top fold."),
        tape=mark("from the edge of the base up to the top fold"),
        sampled=True,
        taken_up=Direction.UP,
    ),
    FinishedFigure(
        name="opening_width",
        label=mark("Opening width"),
        part="body",
        help=mark("Finished width of the top, flat."),
        tape=mark("across the top, the closed bag lying flat"),
        sampled=True,
        taken_up=Direction.ACROSS,
    ),
    FinishedFigure(
        name="box_volume",
        label=mark("Box volume"),
        part="body",
        quantity=Quantity.VOLUME,
        help=mark(
            "Base width x gusset depth x face height, with the smaller depth where "
            "the edges of a corner differ: an open bag filled to the top fold."
        ),
        form=Form.BOX,
    ),
    FinishedFigure(
        name="inside_volume",
        label=mark("Inside volume"),
        part="body",
        quantity=Quantity.VOLUME,
        help=mark("The same box inside the thickness of the wall."),
        form=Form.BOX,
        inside=True,
    ),
    FinishedFigure(
        name="filled_volume",
        label=mark("Filled volume"),
        part="body",
        quantity=Quantity.VOLUME,
        help=mark(
            "The most that the closed bag could hold, stuffed hard, if its material "
            "had no stretch, weight or thickness: groceries fill less."
        ),
        form=Form.FILLED,
    ),
    FinishedFigure(
        name="inside_filled_volume",
        label=mark("Filled volume, inside"),
        part="body",
        quantity=Quantity.VOLUME,
        help=mark("The filled volume less the thickness of the wall."),
        form=Form.FILLED,
        inside=True,
    ),
)
"""Figures that follow, in reading order."""
