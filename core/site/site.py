"""What body, top and parts may know of the bag around them."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.flat.piece import Mark
from core.flat.roles import Face
from core.model.figures import TakeUp

Finished = Mapping[str, float | None]
"""Finished figures by name; None for what does not exist in this bag."""

QUARTER_INCH = 6.35
FOOT_ROOM = 10.0
"""Between two lines of stitching where a presser foot still runs, mm (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """What a part sees of the rest of the bag, mm.

    Lengths up a face are counted from the bottom line: the bottom fold, or the stitch
    line of the bottom seam.

    Attributes:
        panel_width: cut width.
        side_seam, corner_seam, top_seam: allowances; `top_seam` is the zip seam or hem.
        front_top, back_top: cut top edge of each face above the bottom line.
        corner_width, corner_depth: the corner cut above the bottom line.
        zip_width: what shows of the zip; 0 for an open top.
        zipped: whether a zip closes the top.
        front_trim: how much shorter the front is cut.
        bottom_seam: allowance of the bottom seam; 0 when the bottom is a fold.
        handle_reach: how far below the front's cut edge the handles must find a face to be
            sewn to; 0 without handles.
        has_corners: whether a corner is cut out at all.
        wall, pressed: thickness of the sandwich, loose and under the presser foot.
        over_board: of that wall, what lies over a fused board.
        board_basted_in: whether that is basted on together with all other layers, before
            anything is sewn onto the wall.
        lowest_stitch: the lowest stitching of pocket and handles above the bottom line: 0
            where it crosses it, infinite where there is none.
        take_up: what sewing leaves of the drawn sizes.
        ruler: step on which whoever cuts this bag measures.
        zip_lengths: lengths in which zips are sold, ascending.
        zip_is_sold: whether a zip as long as this bag's is sold; True without a zip.
        whole_strip: cut length of a whole handle strip, as its goods are once washed: strips
            are cut across the goods.
        strip_pressed: thickness of those goods under the presser foot.
    """

    panel_width: float
    side_seam: float
    corner_seam: float
    top_seam: float
    front_top: float
    back_top: float
    corner_width: float
    corner_depth: float
    zip_width: float
    zipped: bool
    front_trim: float
    bottom_seam: float
    handle_reach: float
    has_corners: bool
    wall: float
    pressed: float
    over_board: float
    board_basted_in: bool
    lowest_stitch: float
    ruler: float
    zip_lengths: tuple[float, ...]
    zip_is_sold: bool
    take_up: TakeUp
    whole_strip: float
    strip_pressed: float

    def top(self, face: Face) -> float:
        """Cut top edge of a face above the bottom line, mm."""
        return self.front_top if face is Face.FRONT else self.back_top


@dataclass(frozen=True, slots=True)
class PlacedMark:
    """A mark for one face of the panel, in the frame of the panel (back is negative y)."""

    face: Face
    mark: Mark


def signed(face: Face, height: float) -> float:
    """Height above the bottom line as the panel's y: positive on the front, mm."""
    return height if face is Face.FRONT else -height
