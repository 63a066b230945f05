"""A quarter of a closed ring of strips round two panels, and where its pieces lie on that. mm.

`core.space.box_quarters` has the plane of the patches: half of the ring, from the middle of the
bottom, and a half of the panel above it; of a wrap with x and u changed over.
"""

from collections.abc import Iterator

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.bodies.gusset_strip.body import StripBody
from core.bodies.gusset_strip.draft import panel_piece, strip_piece
from core.bodies.gusset_strip.measure import body_sizes
from core.bodies.gusset_strip.sizes import GUSSET
from core.flat.geometry import Frame2, HalfPlane
from core.flat.piece import Point
from core.flat.roles import PieceId, SeamRole
from core.flat.seam import Draft
from core.space.box_quarters import BoxSizes, ring_quarter, wrap_quarter
from core.space.boxes import PANEL_GAP
from core.space.patches import Copy, NotFillableError, Quarter
from core.space.strips import between
from core.space.zones import Closing

_HANDS = ((1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0))
"""Upper leg or lower one, first panel or second: 1 and -1, -1 and 1."""
_OVER = Frame2((0.0, 0.0), (0.0, 1.0), (1.0, 0.0))
"""x and y changed over."""


def quarter(body: StripBody, draft: Draft, closing: Closing | None, *, board: bool) -> Quarter:
    """The quarter of a closed bag, every length measured on its stitch lines.

    A board keeps the bottom flat. A NotFillableError where the ring is open.
    """
    if closing is None or not body.closed:
        raise NotFillableError(say(_OPEN))
    sizes = body_sizes(body, draft)
    wide, deep, high, radius = (
        sizes[name] or 0.0
        for name in ("face_width", "gusset_depth", "face_height", "corner_radius")
    )
    if not shorter(0.0, min(wide, deep, high)):
        raise NotFillableError(say(_NOTHING_LEFT))
    walked = draft.walked_seams(SeamRole.RING)
    box = BoxSizes(
        width=wide,
        depth=deep,
        height=high,
        radius=radius,
        upper_radius=body.stitched_upper_radius,
        ease=walked[0].mate_length / walked[0].length,
    )
    copies = tuple(_copies(body, closing))
    if body.MAKES is GUSSET:
        return ring_quarter(box, copies=copies, board=board)
    return wrap_quarter(box, copies=tuple(map(_changed_over, copies)), board=board)


_OPEN = mark("An open top encloses no volume: only a closed bag can be filled.")
_NOTHING_LEFT = mark("Panels or strip have no size left: the bag encloses no volume.")


def _changed_over(copy: Copy) -> Copy:
    """Of a wrap: its upper leg is the front, and its second panel at the right."""
    leg, panel = copy.signs
    return Copy(
        piece=copy.piece,
        limits=copy.limits,
        frame=between(copy.frame.inverse, _OVER),
        signs=(panel, -leg),
    )


def _copies(body: StripBody, closing: Closing) -> Iterator[Copy]:
    """Both halves of either panel, and of the ring a half on either side of its middle."""
    deep, half = body.strip_width - 2 * body.gusset_seam, body.drawn_strip / 2
    middle, low = body.face_cut_width / 2, deep / 2 + PANEL_GAP
    for leg, hand in _HANDS:
        # The second panel has the upper leg at its left.
        way = -leg * hand
        face = body.MAKES.panels[hand > 0.0]
        yield Copy(
            piece=panel_piece(face),
            limits=((-way, 0.0, -way * middle),),
            frame=Frame2((-way * middle, low), (way, 0.0)),
            signs=(leg, hand),
        )
        yield from _on_strip(body, leg, hand)
        end = half + closing.length / 2
        # x of what closes the ring runs from its middle to the end at the upper leg.
        flat = Frame2((end, -hand * deep / 2), (-leg, 0.0), (0.0, hand))
        for row in closing.rows:
            reach = (row.low, min(row.high, deep / 2))
            if hand > 0.0:
                reach = (max(row.low, deep / 2), row.high)
            if shorter(*reach):
                yield _flat_copy(row.piece, row.frame, flat, (leg, hand), reach)


def _flat_copy(
    piece: PieceId, lies: Frame2, flat: Frame2, signs: Point, reach: tuple[float, float]
) -> Copy:
    """A piece that lies so in a plane, whose x is 0 in the middle, between two heights in that.

    `flat`: from there into the plane of the patches.
    """
    low, high = reach
    planes: tuple[HalfPlane, ...] = ((-signs[0], 0.0, 0.0), (0.0, -1.0, -low), (0.0, 1.0, high))
    return Copy(
        piece=piece,
        limits=tuple(map(lies.plane_back, planes)),
        frame=between(lies.inverse, flat),
        signs=(signs[0], signs[1]),
    )


def _on_strip(body: StripBody, leg: float, hand: float) -> Iterator[Copy]:
    """Of each piece of the strip what lies on one side of both its middles."""
    middle = body.strip_width / 2
    for number in range(body.strip_pieces):
        low, high = body.strip_ends(number)
        low, high = (max(low, 0.0), high) if leg > 0.0 else (low, min(high, 0.0))
        if shorter(low, high):
            yield Copy(
                piece=strip_piece(number),
                limits=((-hand, 0.0, -hand * middle), (0.0, -1.0, -low), (0.0, 1.0, high)),
                frame=Frame2((0.0, -hand * middle), (0.0, hand), (leg, 0.0)),
                signs=(leg, hand),
            )
