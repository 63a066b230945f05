"""The figures of the boxed panel, and what it tells the solver. Lengths are mm.

Panel, corners and seams are set by the maker; base, gusset, opening and face height follow. The
solver is told which of them may change, and of which sizes the bag can be filled.
"""

from collections.abc import Mapping
from enum import Enum
from typing import TYPE_CHECKING

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
    TakeUp,
    When,
)
from core.model.record import Bend, FillSize, Follower, NewSize, SizeLimit, Solving, Unknown
from core.site.site import Finished, Site
from core.space.over_board import LEAST_OVER_BOARD

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel


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
            "How much shorter the front is cut than the back: a zip moves half of it onto the "
            "front, and the hems of an open top are no longer level."
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
        mark("Zip seam or hem"),
        "top_seam",
        mark("Allowance of the top edges: where the zip is joined, or the hem of an open top."),
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
        tape=mark("side to side along the bottom, as far as it lies flat"),
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
        help=mark("Finished height of a face, from the edge of the base to the top."),
        tape=mark("from the edge of the base up to the top"),
        sampled=True,
        taken_up=Direction.UP,
    ),
    FinishedFigure(
        name="opening_width",
        label=mark("Opening width"),
        part="body",
        help=mark("Finished width of the opening from end to end, laid flat."),
        tape=mark("from end to end along the zip, or the front's top edge if there is none"),
        sampled=True,
        taken_up=Direction.ACROSS,
    ),
    FinishedFigure(
        name="box_volume",
        label=mark("Box volume"),
        part="body",
        quantity=Quantity.VOLUME,
        help=mark(
            "Width x depth x height of the sewn box, less what its rounded corners leave out, and "
            "with the smaller depth where the edges of a corner differ: an open bag filled to the "
            "top."
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


LEAST_FILLED = 10.0
"""mm; base and face from which a bag that is asked for is filled (own choice): nobody sews one
of less, and such needles take seconds."""
_HAIR_OVER_BOARD = 1e-4
"""mm; how much further inside the limit over a board a search stays than the filling demands."""
_CORNER_START = 25.0
"""mm; the cut that a plain pillow starts from when it may be given a bottom."""
_NOTHING = 1e-9
"""mm; a size below it is that of a plain pillow."""

_SIZES = ("base_width", "gusset_depth", "face_height")
_DEPTHS = ("gusset_depth", "gusset_depth_at_side")
_WIDTH, _DEPTH = _CUTS = ("corner_cut_width", "corner_cut_depth")
_MARK = "corner_mark"
_CORNERS = (*_CUTS, _MARK)
_CORNERED, _PILLOW = "with corners", "pillow"


class FlatSize(Enum):
    """The sizes of a quarter of the closed wall that what it holds follows from."""

    BASE = "base"
    CORNER_ALONG = "corner_along"
    CORNER_UP = "corner_up"
    WALL = "wall"


SOLVING = Solving(
    unknowns=tuple(
        Unknown(name=name) for name in ("panel_width", "panel_length", "front_trim", *_CORNERS)
    ),
    aims=_SIZES,
    followers=(
        Follower(name=_WIDTH, rates={_DEPTH: 1.0}),
        Follower(name=_DEPTH, rates={_WIDTH: 1.0}),
    ),
    # Near the demo bag's sizes.
    asked={
        "base_width": NewSize(mark("Side to side along the bottom, sewn."), 279.4, 280.0),
        "gusset_depth": NewSize(mark("Front to back across the bottom, sewn."), 171.45, 170.0),
        "face_height": NewSize(
            mark("From the edge of the base up to the top, sewn."), 381.0, 380.0
        ),
    },
    kept=("front_trim", "side_seam", "corner_seam", "zip_seam", "bottom_seam"),
    # A bag whose base or corner shrinks to nothing still holds something.
    fill_sizes=(
        FillSize(figure="base_width", full_power=1.3, flat=FlatSize.BASE),
        FillSize(figure="gusset_depth", full_power=0.8, flat=FlatSize.CORNER_UP),
        FillSize(figure="gusset_depth_at_side", full_power=0.8, flat=FlatSize.CORNER_ALONG),
        FillSize(figure="face_height", full_power=1.0, flat=FlatSize.WALL),
    ),
)


def may_change(panel: "BoxedPanel", name: str, site: Site) -> bool:
    """No corner of a pillow, and no trim without a zip."""
    if name in _CORNERS:
        return panel.has_corners and panel.applies(name)
    return name != "front_trim" or site.shows > 0.0


def bends(panel: "BoxedPanel", site: Site, finished: Finished) -> tuple[Bend, ...]:
    """The box outside and inside the wall, mm; sides are negative where they are gone."""
    wall = site.wall
    names = tuple(site.filled_by.get(name, name) for name in _SIZES)
    base, gusset, face = (finished[name] or 0.0 for name in names)
    inside = (base - 2 * wall, gusset - 2 * wall, face - wall)
    return (
        Bend(figure="box_volume", form=Form.BOX, lengths=(base, gusset, face), sizes=names),
        Bend(figure="inside_volume", form=Form.BOX, lengths=inside, sizes=names),
    )


def shapes(panel: "BoxedPanel", exact: Mapping[str, float]) -> tuple[str, ...]:
    """With corners cut or without, the more likely first."""
    own = tuple(name for name in _CORNERS if panel.applies(name))
    cuts = [exact[name] for name in own if name in exact]
    if any(cut > 0.0 for cut in cuts):
        return (_CORNERED,)
    if len(cuts) == len(own):
        return (_PILLOW,)
    depths = [exact[name] for name in _DEPTHS if name in exact]
    if any(depth > _NOTHING for depth in depths):
        return (_CORNERED,)
    if not panel.has_corners:
        return _PILLOW, _CORNERED
    return (_CORNERED, _PILLOW) if depths else (_CORNERED,)


def shaped(panel: "BoxedPanel", shape: str) -> Mapping[str, float]:
    """Small corners where there are none, or none."""
    if panel.has_corners is (shape == _CORNERED):
        return {}
    if shape == _PILLOW:
        return {name: 0.0 for name in _CORNERS if panel.applies(name)}
    room = min(panel.width / 2 - panel.side_seam, panel.front_length - panel.bottom_seam)
    start = min(_CORNER_START, room / 2)
    if panel.sewn_across:
        return {_MARK: start + panel.corner_allowance}
    return {_WIDTH: start + panel.side_seam, _DEPTH: start + panel.bottom_seam}


def fill_limits(panel: "BoxedPanel", *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
    """A bag with sizes, and walls with slack over a board.

    Where corners may part each edge of them keeps to it, though the shorter one alone must.
    """
    found = [
        SizeLimit(figure=name, least=LEAST_FILLED, rule=ONLY_TOLD)
        for name in ("base_width", "face_height")
    ]
    for edge in _DEPTHS:
        found.append(SizeLimit(figure=edge))
        if flat_base:
            found.append(over_board(edge, take_up))
    return tuple(found)


def is_fillable(
    panel: "BoxedPanel", finished: Finished, *, flat_base: bool, take_up: TakeUp
) -> bool:
    """The same for one bag: the shorter edge of its corners counts."""
    base, face = (finished[name] or 0.0 for name in ("base_width", "face_height"))
    if min(base, face) < LEAST_FILLED:
        return False
    edge = min(_DEPTHS, key=lambda name: finished[name] or 0.0)
    return not flat_base or over_board(edge, take_up).room(finished) >= 0.0


def over_board(edge: str, take_up: TakeUp) -> SizeLimit:
    """The face height from which what a bag holds over a flat base is told."""
    up, deep = (take_up.factor(way) for way in (Direction.UP, Direction.DEEP))
    return SizeLimit(
        figure="face_height",
        times=LEAST_OVER_BOARD / 2 * up / deep,
        other=edge,
        hair=_HAIR_OVER_BOARD,
        rule=_OVER_BOARD,
    )


ONLY_TOLD = mark("what the bag holds can be worked out only from {limit} up.")
_OVER_BOARD = mark("what the bag holds over its board can be worked out only from {limit} up.")
