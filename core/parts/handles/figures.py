"""The strips that handles are made of, as they are cut, and the figures of handles. mm."""

from collections.abc import Mapping
from dataclasses import replace
from enum import Enum
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from core.base.sentences import mark, say
from core.base.tolerance import same_length
from core.flat.piece import CutFrom, Fold, GrainTurn, Piece, rectangle
from core.flat.roles import SIDES, EdgeId, EdgeRole, FoldRole, PieceId, PieceRole
from core.model.figures import CutFigure, FinishedFigure, Form, Quantity, Ruled
from core.parts.part import KEPT
from core.site.site import QUARTER_INCH, Site

if TYPE_CHECKING:
    from core.parts.handles.handles import Handles


class HandleStyle(Enum):
    """How the strips become handles."""

    LOOP = "loop"
    SEPARATE = "two separate"


FOLD_CLEARANCE = QUARTER_INCH
"""What a strip is cut narrower than four times the handle, so that it folds."""
JOIN_SEAM = QUARTER_INCH
"""Allowance where strips are joined end to end, or an end is turned under."""
GOODS_WIDTH = CutFigure(
    name="goods_width",
    label=mark("Strip material width"),
    part="handles",
    attribute="goods_width",
    low=2 * JOIN_SEAM,
    above_low=True,
    help=mark(
        "Usable width of the material that the strips are cut across, and so the length "
        "of a whole strip; another width means another material."
    ),
)
"""A figure of the goods, told with the handles, whose strips are as long as it."""

LAST_STRIP_ATTRIBUTE = "last_strip"

STRIP = PieceId("handles", PieceRole.STRIP)
SHORT_STRIP = PieceId("handles", PieceRole.STRIP, number=1)
"""The last strip, a piece apart only where it has its own length."""

_LEFT, _RIGHT = (EdgeId(EdgeRole.END, side=side) for side in SIDES)
_EDGES = (
    (EdgeId(EdgeRole.LOWER), mark("strip lower edge")),
    (_RIGHT, mark("strip end")),
    (EdgeId(EdgeRole.UPPER), mark("strip upper edge")),
    (_LEFT, mark("strip end")),
)
_NOTE = mark("Press to a tape {tape} wide, fold again to {width} and edge-stitch.")
_LABELS = {STRIP: mark("handle strip"), SHORT_STRIP: mark("last handle strip")}


def whole_strip(site: Site) -> float:
    """Cut length of a whole strip, as its goods are once washed: it is cut across them."""
    return site.goods(STRIP.owner).washed_width


def strip_value(handles: "Handles", figure: CutFigure, site: Site) -> float | None:
    """A cut figure of handles: that of their goods, and a last strip like the others, as well."""
    if figure is GOODS_WIDTH:
        return site.goods(STRIP.owner).usable_width
    value: float | None = getattr(handles, figure.attribute, None)
    is_last = figure.attribute == LAST_STRIP_ATTRIBUTE
    return whole_strip(site) if is_last and value is None else value


def with_strip_values(
    handles: "Handles", values: Mapping[str, Any], site: Site
) -> "tuple[Handles, float | None]":
    """Handles with other values, and the other width of their goods where that is among them.

    A FieldError where they cannot be so.
    """
    own = dict(values)
    width: float | None = own.pop(GOODS_WIDTH.attribute, None)
    goods = site.goods(STRIP.owner)
    goods = goods if width is None else replace(goods, usable_width=width)
    last: float | None = own.get(LAST_STRIP_ATTRIBUTE)
    if last is not None and same_length(last, goods.washed_width):
        own[LAST_STRIP_ATTRIBUTE] = None  # as long as the others, whatever they come to be
    return replace(handles, **own), width


@lru_cache(maxsize=KEPT)
def strip_piece(
    piece: PieceId, size: tuple[float, float], count: int, *, tape: float, seam: float
) -> Piece:
    """A strip with the folds that make a tape of it, and of the tape a handle.

    `size` is (length, width) as cut, `tape` the width with both long edges turned in, twice the
    handle's, `seam` the allowance at either end, mm. The same strip is the same piece: bag after
    bag has it, and what follows from it is asked again of the piece that knows it.
    """
    (_, width), turned_in = size, (size[1] - tape) / 2
    folds = tuple(
        Fold(id=role, number=number, start_edge=_LEFT, end_edge=_RIGHT, y=y, label=label)
        for role, number, label, y in (
            (FoldRole.TURN_IN, 0, mark("turn in"), turned_in),
            (FoldRole.MIDDLE, 0, mark("middle"), width / 2),
            (FoldRole.TURN_IN, 1, mark("turn in again"), width - turned_in),
        )
        if 0.0 < y < width
    )
    return Piece(
        id=piece,
        label=_LABELS[piece],
        edges=rectangle(_EDGES, size, allowances=(0.0, seam, 0.0, seam)),
        folds=folds,
        count=count,
        cut_from=CutFrom.CLOTH,
        turn=GrainTurn.QUARTER,
        sized_by=("goods_width", "handle_width"),
        notes=(say(_NOTE, tape=tape, width=tape / 2),),
    )


MOST_STRIPS = 60

_TOO_SHORT = mark(
    "{label} cannot be set: the handles do not reach from leg to leg. Make the loop longer first."
)

CUT: tuple[CutFigure, ...] = (
    CutFigure(
        name="handle_width",
        label=mark("Handle width"),
        part="handles",
        attribute="width",
        low=FOLD_CLEARANCE / 4,
        high=500.0,
        above_low=True,
        help=mark(
            "Finished width; the strip is cut four times as wide, less what the folds take up."
        ),
    ),
    CutFigure(
        name="handle_gap",
        label=mark("Handle gap"),
        part="handles",
        attribute="gap",
        by_hand=True,
        help=mark("Space between the two legs of a handle."),
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_stop",
        label=mark("Handle stop"),
        part="handles",
        attribute="stop",
        by_hand=True,
        help=mark("From the cut upper end of a face down to where the stitching ends."),
        ruled=Ruled.NEAREST,
        tells=("handle_drop_front",),
    ),
    CutFigure(
        name="handle_strips",
        label=mark("Handle strips"),
        part="handles",
        attribute="strips",
        quantity=Quantity.COUNT,
        low=1,
        high=MOST_STRIPS,
        help=mark("How many strips are joined, in the loop or in each separate handle."),
        pinnable=True,
    ),
    CutFigure(
        name="handle_last_strip",
        label=mark("Last strip"),
        part="handles",
        attribute="last_strip",
        low=2 * JOIN_SEAM,
        above_low=True,
        help=mark(
            "Cut length of the last strip; the others are as long as their material is wide."
        ),
        ruled=Ruled.PART,
        pinnable=True,
    ),
    CutFigure(
        name="handle_leg",
        label=mark("Handle leg"),
        part="handles",
        attribute="leg",
        above_low=True,
        published=False,
        by_hand=True,
        help=mark("Sewn length of each leg of two separate handles, down from the stop."),
    ),
    CutFigure(
        name="handle_back_lower",
        label=mark("Back handle lower by"),
        part="handles",
        attribute="back_lower",
        published=False,
        help=mark(
            "How much farther below its cut upper end the stitching of the back's handle ends than "
            "that of the front's. Where the front is trimmed both hang level if it is as much as "
            "the trim."
        ),
        tells=("handle_drop_back",),
    ),
)
"""Figures that the maker sets, in reading order."""
WIDTH, GAP, STOP, STRIPS, LAST_STRIP, LEG, BACK_LOWER = CUT

FINISHED: tuple[FinishedFigure, ...] = (
    FinishedFigure(
        name="handle_loop",
        label=mark("Handle loop"),
        part="handles",
        help=mark("Length of the joined loop, or of one separate handle."),
    ),
    FinishedFigure(
        name="handle_drop_front",
        label=mark("Handle drop, front"),
        part="handles",
        help=mark("Height of the front handle's top above that of the bag, pulled taut."),
        form=Form.TAUT,
        may_be_negative=True,
        tape=mark("handle pulled up: its top above that of the bag"),
        missing=_TOO_SHORT,
    ),
    FinishedFigure(
        name="handle_drop_back",
        label=mark("Handle drop, back"),
        part="handles",
        help=mark("Height of the back handle's top above that of the bag, pulled taut."),
        form=Form.TAUT,
        may_be_negative=True,
        tape=mark("handle pulled up: its top above that of the bag"),
        missing=_TOO_SHORT,
    ),
)
"""Figures that follow, in reading order."""
