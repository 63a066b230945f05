"""A new part for a bag that lacks it: sizes that suit the bag, on its own ruler. Lengths are mm."""

from dataclasses import replace

from core.bag import Bag
from core.compute import Result
from core.parts.allowances import least_allowance, usual_allowance
from core.parts.board import BOARD_MARGIN, BaseBoard
from core.parts.closure import ZIP_END, Zip, sold_length
from core.parts.handles import STOP_CLEARANCE, Handles, HandleStyle
from core.parts.pocket import Pocket, PocketFaces
from core.parts.site import INCH, QUARTER_INCH
from core.units import Unit, default_step, round_to_step

WANTED_DROP = 10 * INCH
"""Handles that go over a shoulder in light clothes (common practice, no source)."""


def fresh_bottom_seam(bag: Bag) -> float:
    """The allowance of a new bottom seam: the usual one, or what a thick wall needs."""
    return max(usual_allowance(bag.unit), least_allowance(bag.sandwich))


def fresh_zip(bag: Bag) -> Zip:
    """A zip that is sold, long enough, whose tape leaves its slider free of the zip seams."""
    usual = _usual(bag, 1.25 * INCH, 32.0)
    least = 2 * bag.panel.top_seam + _usual(bag, INCH / 2, 12.0)
    needed = bag.panel.width + 2 * ZIP_END
    return Zip(tape_width=max(usual, least), length=sold_length(needed, bag.site.zip_lengths))


def fresh_pocket(bag: Bag, faces: PocketFaces) -> Pocket:
    """A pocket about half as high as the face, a quarter of it below the edge."""
    top = bag.site.front_top
    seam = _usual(bag, QUARTER_INCH, 6.0)
    height = max(_ruled(bag, top * 0.45), seam)
    return Pocket(faces=faces, cut_height=2 * (height + seam), drop=_ruled(bag, top / 4), seam=seam)


def fresh_handles(result: Result, style: HandleStyle) -> Handles:
    """Handles that clear the zip, stand on the base, and reach over a shoulder."""
    bag, site = result.bag, result.bag.site
    width = _usual(bag, INCH, 25.0)
    base = result.finished["base_width"] or bag.panel.width
    stop = min(max(site.front_top / 4, site.top_seam + STOP_CLEARANCE), site.front_top / 2)
    # A stop on the ruler, but never off the face of a very small bag.
    ruled = _ruled(bag, stop)
    stop = ruled if 0.0 < ruled < site.front_top else stop
    draft = Handles(
        style=style,
        width=width,
        gap=max(_ruled(bag, base * 0.45), 0.0),
        stop=stop,
        strips=1,
        leg=min(6 * INCH, site.front_top - stop),
    )
    return replace(draft, strips=min(draft.strips_for_drop(site, WANTED_DROP), 60))


def fresh_board(result: Result) -> BaseBoard:
    """The base less an eighth of an inch on each side; a base that is gone gives a small one."""
    sizes = (
        (result.finished[name] or 0.0) - 2 * BOARD_MARGIN for name in ("base_width", "gusset_depth")
    )
    width, depth = (size if size > 0.0 else INCH for size in sizes)
    return BaseBoard(width=width, depth=depth)


def _usual(bag: Bag, inches: float, metric: float) -> float:
    return inches if bag.unit is Unit.INCH else metric


def _ruled(bag: Bag, length: float) -> float:
    return round_to_step(length, default_step(bag.unit))
