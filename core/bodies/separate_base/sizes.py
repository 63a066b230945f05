"""The figures of the separate base, and what it tells the solver. Lengths are mm.

Base, ring and seams are set by the maker. What means the same on the boxed panel is that body's
own figure: tables and files keep each once.
"""

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from core.base.sentences import Template, mark
from core.bodies.boxed_panel import sizes as boxed
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.model.figures import CutFigure, FinishedFigure, Form, Quantity, Ruled, TakeUp
from core.model.record import Bend, FillSize, Follower, SizeLimit, Solving, Unknown
from core.site.site import Finished, Site
from core.space.boxes import BoxSize

if TYPE_CHECKING:
    from core.bodies.separate_base.body import SeparateBase

_CUT = {figure.name: figure for figure in boxed.CUT}
_FINISHED = {figure.name: figure for figure in boxed.FINISHED}

RING_PIECES = (1, 2, 4)
"""Of how many pieces the walls can be."""


def _length(
    name: str,
    label: Template,
    help: Template,
    *,
    tells: tuple[str, ...],
    published: bool = True,
    may_be_nothing: bool = False,
) -> CutFigure:
    return CutFigure(
        name=name,
        label=label,
        part="body",
        attribute=name,
        above_low=not may_be_nothing,
        published=published,
        help=help,
        ruled=Ruled.TOGETHER,
        pinnable=True,
        by_hand=True,
        tells=tells,
    )


BASE_WIDTH = _length(
    "base_cut_width",
    mark("Base cut width"),
    mark("Side-to-side size of the base as it is cut."),
    tells=("base_width", "base_mismatch"),
)
BASE_DEPTH = _length(
    "base_cut_depth",
    mark("Base cut depth"),
    mark("Front-to-back size of the base as it is cut."),
    tells=("gusset_depth", "base_mismatch"),
)
BODY_WIDTH = _length(
    "body_width",
    mark("Body width"),
    mark("Cut width of each wall sewn round the base; of four, that of front and back."),
    tells=("base_mismatch",),
)
END_WIDTH = _length(
    "body_end_width",
    mark("Body end width"),
    mark("Cut width of the two sides, where the walls are of four pieces."),
    tells=("base_mismatch",),
    published=False,
    may_be_nothing=True,
)
BODY_HEIGHT = _length(
    "body_height",
    mark("Body height"),
    mark("Cut height of the walls, before the front trim."),
    tells=("face_height",),
)
BODY_PIECES = CutFigure(
    name="body_pieces",
    label=mark("Body pieces"),
    part="body",
    attribute="body_pieces",
    quantity=Quantity.COUNT,
    low=1,
    high=4,
    among=RING_PIECES,
    help=mark(
        "Of how many pieces the walls are: 1, joined at the left side; 2, front and back; or 4, "
        "one to each side of a square base."
    ),
)
BASE_SEAM = CutFigure(
    name="base_seam",
    label=mark("Base seam"),
    part="body",
    attribute="base_seam",
    help=mark("Allowance of the seam round the base, on the base and on the walls."),
)
SIDE_SEAM, TOP_SEAM, FRONT_TRIM = (_CUT[name] for name in ("side_seam", "zip_seam", "front_trim"))

CUT: tuple[CutFigure, ...] = (
    BASE_WIDTH,
    BASE_DEPTH,
    CORNER_ROUNDING,
    BODY_WIDTH,
    END_WIDTH,
    BODY_HEIGHT,
    FRONT_TRIM,
    BODY_PIECES,
    SIDE_SEAM,
    BASE_SEAM,
    TOP_SEAM,
)
"""Figures that the maker sets, in reading order."""

BASE_MISMATCH = FinishedFigure(
    name="base_mismatch",
    label=mark("Base mismatch"),
    part="body",
    help=mark("How much longer the walls are at their lower edge than the way round the base."),
    wanted=False,
    may_be_negative=True,
    matched=mark("walls that fit the base"),
)
END_MISMATCH = FinishedFigure(
    name="base_end_mismatch",
    label=mark("Base mismatch at the sides"),
    part="body",
    help=mark("How much wider each of the two sides is than the end of the base."),
    published=False,
    wanted=False,
    may_be_negative=True,
    matched=mark("sides that fit the base"),
    missing=mark("{label} cannot be set: the walls of this bag are not of four pieces."),
)
FINISHED: tuple[FinishedFigure, ...] = (
    _FINISHED["base_width"],
    _FINISHED["gusset_depth"],
    _FINISHED["face_height"],
    CORNER_RADIUS,
    BASE_MISMATCH,
    END_MISMATCH,
    *(_FINISHED[name] for name in ("opening_width", "box_volume")),
    *(_FINISHED[name] for name in ("inside_volume", "filled_volume", "inside_filled_volume")),
)
"""Figures that follow, in reading order."""

SIZES = ("base_width", "gusset_depth", "face_height")


ROUND_OFF = 8.0 - 2.0 * math.pi
"""What four corners rounded by a mm take off the way round, mm."""


def _follower(walls: int) -> Follower:
    """The width of each of so many equal walls, which together go round the base."""
    rates = {BASE_WIDTH.name: 2.0 / walls, BASE_DEPTH.name: 2.0 / walls}
    return Follower(name=BODY_WIDTH.name, rates={**rates, CORNER_ROUNDING.name: -ROUND_OFF / walls})


SOLVING = Solving(
    unknowns=tuple(
        Unknown(name=figure.name)
        for figure in (
            BASE_WIDTH,
            BASE_DEPTH,
            CORNER_ROUNDING,
            BODY_WIDTH,
            END_WIDTH,
            BODY_HEIGHT,
            FRONT_TRIM,
        )
    ),
    aims=(*SIZES, "corner_radius"),
    # Whichever fits the number of walls keeps them matched; the other is no bag.
    followers=(_follower(2), _follower(1)),
    asked=boxed.SOLVING.asked,
    kept=(FRONT_TRIM.name, SIDE_SEAM.name, BASE_SEAM.name, TOP_SEAM.name),
    # As those of a boxed panel of the same sizes, whose metric it has where it is square.
    fill_sizes=(
        FillSize(figure="base_width", full_power=1.3, flat=BoxSize.WIDTH),
        FillSize(figure="gusset_depth", full_power=0.8, flat=BoxSize.DEPTH),
        FillSize(figure="face_height", full_power=1.0, flat=BoxSize.HEIGHT),
    ),
)
_SQUARE, _ROUNDED = "square", "rounded"
_ROUNDING_START = 25.0
"""mm; the stitched radius that a square base starts from when it may be rounded (own choice)."""
_NOTHING = 1e-9


def may_change(body: "SeparateBase", name: str, site: Site) -> bool:
    """A square base stays square, only four walls have ends, and a trim needs a zip."""
    if name == CORNER_ROUNDING.name:
        return body.corner_rounding > 0.0
    if name == END_WIDTH.name:
        return body.body_pieces == 4
    return name != FRONT_TRIM.name or (body.applies(name) and site.shows > 0.0)


def bends(body: "SeparateBase", site: Site, finished: Finished) -> tuple[Bend, ...]:
    """The box outside and inside the wall, mm; sides are negative where they are gone."""
    wall = site.wall
    names = tuple(site.filled_by.get(name, name) for name in SIZES)
    base, gusset, face = (finished[name] or 0.0 for name in names)
    radius = finished["corner_radius"] or 0.0
    inner = radius - wall  # below 0 of square corners
    inside = (base - 2 * wall, gusset - 2 * wall, face - wall)
    return (
        Bend(
            figure="box_volume",
            form=Form.BOX,
            lengths=(base, gusset, face),
            sizes=names,
            radii=(radius, radius),
        ),
        Bend(
            figure="inside_volume",
            form=Form.BOX,
            lengths=inside,
            sizes=names,
            radii=(inner, inner),
        ),
    )


def shapes(body: "SeparateBase", exact: Mapping[str, float]) -> tuple[str, ...]:
    """Square or rounded, as it is unless a radius is asked for."""
    now = _ROUNDED if body.corner_rounding > 0.0 else _SQUARE
    for name in (CORNER_ROUNDING.name, CORNER_RADIUS.name):
        if name in exact:
            return (_ROUNDED if exact[name] > _NOTHING else _SQUARE,)
    return (now,)


def shaped(body: "SeparateBase", shape: str) -> Mapping[str, float]:
    """Small roundings where there are none, or none; the walls then fit as well as before."""
    if (body.corner_rounding > 0.0) is (shape == _ROUNDED):
        return {}
    if shape == _SQUARE:
        return {CORNER_ROUNDING.name: 0.0}
    half = min(body.base_cut_width, body.base_cut_depth) / 2
    start = min(_ROUNDING_START, (half - body.base_seam) / 2)
    return {CORNER_ROUNDING.name: body.base_seam + start}


def fill_limits(body: "SeparateBase", *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
    """As for a boxed panel: a bag with sizes, and walls with slack over a board."""
    found = [
        SizeLimit(figure=name, least=boxed.LEAST_FILLED, rule=boxed.ONLY_TOLD)
        for name in ("base_width", "face_height")
    ]
    found.append(SizeLimit(figure="gusset_depth"))
    if flat_base:
        found.append(boxed.over_board("gusset_depth", take_up))
    return tuple(found)
