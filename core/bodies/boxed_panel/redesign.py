"""What the boxed panel tells the solver: what may change, and of which sizes it can be filled."""

from collections.abc import Mapping
from enum import Enum
from typing import TYPE_CHECKING

from core.base.sentences import mark
from core.model.figures import Direction, Form, TakeUp
from core.model.record import Bend, FillSize, Follower, NewSize, SizeLimit, Solving, Unknown
from core.site.site import Finished, Site

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel

LEAST_OVER_BOARD = 1.03
"""Wall over half the base: lower, a hair more or less is worth percents of the volume, and no
working mesh comes within 0.5 % (measured; the limit is an own choice)."""
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
    base, gusset, face = (finished[name] or 0.0 for name in _SIZES)
    inside = (base - 2 * wall, gusset - 2 * wall, face - wall)
    return (
        Bend(figure="box_volume", form=Form.BOX, lengths=(base, gusset, face), sizes=_SIZES),
        Bend(figure="inside_volume", form=Form.BOX, lengths=inside, sizes=_SIZES),
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
        return {_MARK: start + panel.corner_seam}
    return {_WIDTH: start + panel.side_seam, _DEPTH: start + panel.bottom_seam}


def fill_limits(panel: "BoxedPanel", *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
    """A bag with sizes, and walls with slack over a board.

    Where corners may part each edge of them keeps to it, though the shorter one alone must.
    """
    found = [
        SizeLimit(figure=name, least=LEAST_FILLED, rule=_ONLY_TOLD)
        for name in ("base_width", "face_height")
    ]
    for edge in _DEPTHS:
        found.append(SizeLimit(figure=edge))
        if flat_base:
            found.append(_over_board(edge, take_up))
    return tuple(found)


def is_fillable(
    panel: "BoxedPanel", finished: Finished, *, flat_base: bool, take_up: TakeUp
) -> bool:
    """The same for one bag: the shorter edge of its corners counts."""
    base, face = (finished[name] or 0.0 for name in ("base_width", "face_height"))
    if min(base, face) < LEAST_FILLED:
        return False
    edge = min(_DEPTHS, key=lambda name: finished[name] or 0.0)
    return not flat_base or _over_board(edge, take_up).room(finished) >= 0.0


def _over_board(edge: str, take_up: TakeUp) -> SizeLimit:
    """The face height from which what a bag holds over a flat base is told."""
    up, deep = (take_up.factor(way) for way in (Direction.UP, Direction.DEEP))
    return SizeLimit(
        figure="face_height",
        times=LEAST_OVER_BOARD / 2 * up / deep,
        other=edge,
        hair=_HAIR_OVER_BOARD,
        rule=_OVER_BOARD,
    )


_ONLY_TOLD = mark("what the bag holds can be worked out only from {limit} up.")
_OVER_BOARD = mark("what the bag holds over its board can be worked out only from {limit} up.")
