"""A quarter of the closed walls of a separate base, and where its pieces lie on that. mm.

`core.space.box_quarters.base_quarter` has the plane of the patches: the base below, its middle in
the corner, and a quarter of the walls above it.
"""

from collections.abc import Iterator

from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.draft import BASE
from core.bodies.separate_base.lid import lid_copies
from core.bodies.separate_base.measure import base_sizes
from core.bodies.separate_base.ring import WallRing, measure_ring
from core.flat.geometry import Frame2, HalfPlane
from core.flat.roles import FACES, Face, SeamRole
from core.flat.seam import Draft
from core.space.box_quarters import BoxSizes, base_quarter, ring_quarter
from core.space.boxes import PANEL_GAP
from core.space.patches import Copy, NotFillableError, Quarter
from core.space.zones import Closing

_HANDS = ((1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0))
"""Signs of x and y in space: right and back are positive."""


def quarter(body: SeparateBase, draft: Draft, closing: Closing | None, *, board: bool) -> Quarter:
    """The quarter of a closed bag, every length measured on its stitch lines.

    A board keeps the base flat. A NotFillableError where the top is open, nothing is left, walls
    and base are of quite different lengths, or walls that close flat do not reach over the board,
    or only just.
    """
    if closing is None:
        raise NotFillableError(say(_OPEN))
    sizes = base_sizes(body, draft)
    wide, deep, high, radius, over = (
        sizes[name] or 0.0
        for name in (
            "base_width",
            "gusset_depth",
            "face_height",
            "corner_radius",
            "base_mismatch",
        )
    )
    high -= closing.rolled
    if not shorter(0.0, min(wide, deep, high)):
        raise NotFillableError(say(_NOTHING_LEFT))
    if closing.rows:
        box = BoxSizes(width=wide, depth=deep, height=high)
        return ring_quarter(box, copies=tuple(_box_copies(body, closing, box)), board=board)
    (seam,) = draft.walked_seams(SeamRole.BASE)
    ease = 1.0 + over / seam.mate_length
    if not 1.0 / _MOST_EASE <= ease <= _MOST_EASE:
        raise NotFillableError(say(_FAR_OFF))
    box = BoxSizes(
        width=wide,
        depth=deep,
        height=high,
        radius=radius,
        ease=ease,
    )
    ring = measure_ring(body, draft, closing)
    copies = (*_base_copies(body), *_wall_copies(body, ring, closing, high, deep / 2 + PANEL_GAP))
    return base_quarter(box, copies=copies, board=board)


def _base_copies(body: SeparateBase) -> Iterator[Copy]:
    middle = body.base_cut_width / 2
    for x, y in _HANDS:
        yield Copy(
            piece=BASE,
            # The front is at the top of the piece.
            limits=((-x, 0.0, -x * middle), (0.0, y, 0.0)),
            frame=Frame2((-x * middle, 0.0), (x, 0.0), (0.0, -y)),
            signs=(x, y),
        )


def _box_copies(body: SeparateBase, closing: Closing, box: BoxSizes) -> Iterator[Copy]:
    """Four walls, their base and their lid, on the quarter of a ring of strips round two panels.

    That ring goes from the middle of the base up a side to the middle of the lid.
    """
    yield from _base_copies(body)
    seats, half, low = body.seats(), box.width / 2, box.depth / 2 + PANEL_GAP
    for face, y in ((Face.FRONT, -1.0), (Face.BACK, 1.0)):
        middle = seats[face].width / 2
        for x in (1.0, -1.0):
            way = -x * y  # the back is drawn from its right side too
            yield Copy(
                piece=seats[face].piece,
                limits=((-way, 0.0, -way * middle),),
                frame=Frame2((-way * middle, low), (way, 0.0), (0.0, 1.0)),
                signs=(x, y),
            )
    for face, x in ((Face.RIGHT, 1.0), (Face.LEFT, -1.0)):
        middle = seats[face].width / 2
        for y in (-1.0, 1.0):
            way = x * y  # from the middle of the side to the back, or to the front
            yield Copy(
                piece=seats[face].piece,
                limits=((-way, 0.0, -way * middle),),
                frame=Frame2((half, -way * middle), (0.0, way), (1.0, 0.0)),
                signs=(x, y),
            )
    yield from lid_copies(closing, box.width + box.height)


def _wall_copies(
    body: SeparateBase, ring: WallRing, closing: Closing, half: float, low: float
) -> Iterator[Copy]:
    """Both halves of front and back, of what of the back is folded over, and of the zip.

    Args:
        body, ring, closing: of what.
        half: height of the top fold.
        low: u of the walls' foot.
    """
    seats = body.seats()
    front, back = (seats[face].piece for face in FACES)
    middle, line = seats[Face.FRONT].width / 2, -closing.frame.origin[1]
    front_top, back_top = ring.tops[Face.FRONT], ring.tops[Face.BACK]
    on_front = front_top - line
    end = front_top + closing.width
    parts = (
        # piece, lowest and highest y of it, u = low + start + way * y, way of its x, behind
        (front, 0.0, min(front_top, half), 0.0, 1.0, 1.0, False),
        (back, 0.0, min(back_top, half), 0.0, 1.0, -1.0, True),
        (back, half, back_top, 2 * half, -1.0, -1.0, False),
        (closing.piece, line, min(end, half) - on_front, on_front, 1.0, 1.0, False),
        (
            closing.piece,
            max(front_top, half) - on_front,
            end - on_front,
            2 * half - on_front,
            -1.0,
            1.0,
            True,
        ),
    )
    # What is rolled in is not filled.
    for piece, lowest, highest, start, up, right, behind in parts[:2] if closing.rolled else parts:
        if not shorter(lowest, highest):
            continue
        for x in (1.0, -1.0):
            way = x * right
            limits: tuple[HalfPlane, ...] = (
                (-way, 0.0, -way * middle),
                (0.0, -1.0, -lowest),
                (0.0, 1.0, highest),
            )
            yield Copy(
                piece=piece,
                limits=limits,
                frame=Frame2((-way * middle, low + start), (way, 0.0), (0.0, up)),
                signs=(x, 1.0 if behind else -1.0),
            )


_MOST_EASE = 2.0
"""A search may come by bags whose walls go round more of the base, or less: they are no bags."""
_FAR_OFF = mark("The walls are nowhere near as long as the way round the base: they do not meet.")
_OPEN = mark("An open top encloses no volume: only a closed bag can be filled.")
_NOTHING_LEFT = mark("Base or walls have no size left: the bag encloses no volume.")
