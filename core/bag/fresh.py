"""New parts for a bag that lacks them. Lengths are mm."""

import math
from dataclasses import replace

from core.bag.allowances import usual_allowance
from core.bag.bag import Bag
from core.bag.compute import Result
from core.base.tolerance import LEAST_LENGTH, shorter
from core.base.units import MM_PER_INCH, Unit, default_step, round_to_step
from core.parts.board.board import BaseBoard, BoardWay, board_room, fitting_board, ruled_board
from core.parts.handles.figures import MOST_STRIPS
from core.parts.handles.findings import SHORTEST_PIECE, highest_stop, least_width
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.handles.strip import JOIN_SEAM, whole_strip
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.site.site import Site
from core.tops.zip_forward.zip import ZIP_END, ZipForward, sold_length

WANTED_DROP = 10 * MM_PER_INCH
"""Handles that go over a shoulder in light clothes (common practice, no source)."""


def fresh_bottom_seam(bag: Bag) -> float:
    """The allowance of a new bottom seam: the usual one, or what a thick wall needs."""
    return max(usual_allowance(bag.unit), bag.sandwich.least_allowance)


def fresh_zip(bag: Bag) -> ZipForward:
    """A zip that is sold, long enough, whose tape leaves its slider free of the zip seams."""
    usual = _usual(bag, 1.25 * MM_PER_INCH, 32.0)
    least = 2 * bag.body.top_seam + _usual(bag, MM_PER_INCH / 2, 12.0)
    needed = bag.body.width + 2 * ZIP_END
    return ZipForward(
        tape_width=max(usual, least), length=sold_length(needed, bag.site.zip_lengths)
    )


def fresh_pocket(bag: Bag, faces: PocketFaces) -> Pocket:
    """A pocket about half as high as the face, a quarter of it below the edge."""
    top = bag.site.front.top
    seam = usual_allowance(bag.unit)
    height = max(_ruled(bag, top * 0.45), seam)
    return Pocket(faces=faces, cut_height=2 * (height + seam), drop=_ruled(bag, top / 4), seam=seam)


def fresh_handles(result: Result, style: HandleStyle) -> Handles:
    """Handles that fold, clear the zip, stand on the base, and reach over a shoulder."""
    bag, site = result.bag, result.bag.site
    base = result.finished["base_width"] or 0.0
    between = bag.body.width - 2 * bag.body.side_seam
    room = min(base, between) if base > 0.0 else between
    width = _fresh_width(bag, room)
    # As a ruler can draw it, but two legs and their gap on the base.
    gap = min(max(_ruled(bag, room * 0.45), 0.0), max(room - 2 * width, 0.0))
    stop = _fresh_stop(bag)
    leg = min(6 * MM_PER_INCH, site.front.top - stop)
    draft = Handles(style=style, width=width, gap=gap, stop=stop, strips=1, leg=leg)
    made = with_drop(draft, site, WANTED_DROP)
    if made.last_strip is None:
        return made
    last = _ruled_up(bag, made.last_strip)
    return replace(made, last_strip=last if shorter(last, whole_strip(site)) else None)


def with_drop(handles: Handles, site: Site, drop: float) -> Handles:
    """These handles with strips whose lower drop is this, mm, or a little more.

    A last strip too short to be worked is cut a little longer. Where even the most strips
    are too few, they are all there are.
    """
    most = MOST_STRIPS * (whole_strip(site) - 2 * JOIN_SEAM)
    loop = min(handles.loop_for_drops(site, drop), most)
    joined = handles.with_loop(site, loop)
    least = min(SHORTEST_PIECE + 2 * JOIN_SEAM, whole_strip(site))
    last = joined.strip_lengths(site)[-1]
    if joined.strips == 1 or not shorter(last, least):
        return joined
    return replace(joined, last_strip=least if shorter(least, whole_strip(site)) else None)


def _fresh_width(bag: Bag, room: float) -> float:
    """The usual width, or what these goods need to fold; less where two do not fit."""
    least = least_width(bag.site)
    wanted = max(_usual(bag, 1.25 * MM_PER_INCH, 30.0), _ruled_up(bag, least))
    fits = room / 2
    return wanted if wanted <= fits else min(wanted, max(fits, least))


def _fresh_stop(bag: Bag) -> float:
    """Level with a pocket's upper edge, or a quarter down the face; clear of zip and hem."""
    site = bag.site
    lowest = site.front.top / 2
    clear = highest_stop(site)
    pocket = Pocket.of(bag.parts)
    wanted = _ruled(bag, site.front.top / 4) if pocket is None else pocket.drop
    stop = wanted if clear <= wanted <= lowest else max(min(wanted, lowest), clear)
    # Never off the face of a very small bag.
    return stop if stop < site.front.top else lowest


def fresh_board(result: Result, way: BoardWay | None = None) -> BaseBoard:
    """The largest board that fits, on the ruler; a bottom without room gives a small one.

    Args:
        result: the bag that it is for.
        way: how it gets in; None for the way of its goods: what has glue on it is fused on.
    """
    bag = result.bag
    if way is None:
        way = BoardWay.FUSED if bag.supplies.board.fusible else BoardWay.LAID_IN
    room = board_room(way, bag.site, result.finished)
    if shorter(min(fitting_board(room)), LEAST_LENGTH):
        return BaseBoard(width=MM_PER_INCH, depth=MM_PER_INCH, way=way)
    width, depth = ruled_board(fitting_board(room), bag.site.ruler)
    return BaseBoard(width=width, depth=depth, way=way)


def _usual(bag: Bag, inches: float, metric: float) -> float:
    return inches if bag.unit is Unit.INCH else metric


def _ruled(bag: Bag, length: float) -> float:
    return round_to_step(length, default_step(bag.unit))


def _ruled_up(bag: Bag, length: float) -> float:
    step = default_step(bag.unit)
    return math.ceil(length / step - 1e-9) * step
