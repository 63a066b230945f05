"""The closed wall of a boxed panel laid flat, measured on the stitch lines of its pieces.

Frame (x, u), mm: x across as on the panel; u is the distance along the loop from the
bottom line, positive up the front and on across the zip, negative up the back. The loop
is closed where the zip's far edge meets the back's top. Half way round, at |u| =
`top_fold`, lies the highest line of the bag laid flat: the part of the back beyond it is
folded over onto the front side, and a zip beyond it onto the back.
"""

from typing import NamedTuple

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import same_length
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.piece import Point
from core.flat.roles import FACES, SIDES, EdgeId, EdgeRef, EdgeRole, Face
from core.flat.seam import Draft
from core.space.zones import Closing


class Wall(NamedTuple):
    """Where the stitch lines lie on the closed wall, mm.

    Attributes:
        left, right: x of the side stitch lines.
        base_left, base_right: x of the ends of the base; the side lines without corners.
        corner: height of the corner stitch lines above the bottom line; 0 without corners.
        front_top, back_top: distance of each face's top stitch line from the bottom line.
        zip_width: between its two stitch lines; 0 for an open top.
        closed: whether a zip closes the loop.
        has_corners: whether corners are boxed.
        seamed: whether the bottom is a seam of two pieces rather than a fold.
        rolled: how far below its edges front and back come together; what is above is rolled in.
        rolls, turn: in how many turns, and how thick each of them is.
    """

    left: float
    right: float
    base_left: float
    base_right: float
    corner: float
    front_top: float
    back_top: float
    zip_width: float
    closed: bool
    has_corners: bool
    seamed: bool
    rolled: float = 0.0
    rolls: int = 0
    turn: float = 0.0

    @property
    def loop(self) -> float:
        """Once around the closed bag; what is rolled in is not on the way."""
        return self.front_top + self.zip_width + self.back_top - 2 * self.rolled

    @property
    def top_fold(self) -> float:
        """Half of the loop: the top fold's distance from the bottom line."""
        return self.loop / 2

    @property
    def middle(self) -> float:
        """Half way between the side stitch lines, in x."""
        return (self.left + self.right) / 2

    @property
    def face_height(self) -> float:
        """From the base edge to the top fold."""
        return self.top_fold - self.corner

    def top(self, face: Face) -> float:
        """Distance of a face's top stitch line from the bottom line."""
        return self.front_top if face is Face.FRONT else self.back_top

    def flat_only(self) -> Sentence | None:
        """Why this wall cannot be folded into a bag; None when it can."""
        for sentence, size, boxed in (
            (_NO_WIDTH, self.base_right - self.base_left, False),
            (_NO_SIDE, min(self.base_left - self.left, self.right - self.base_right), True),
            (_NO_DEPTH, self.corner, True),
            (_NO_HEIGHT, min(self.face_height, self.front_top - self.corner), False),
        ):
            if size <= 0.0 and (self.has_corners or not boxed):
                return Sentence(sentence, {"value": size})
        return None


def measure_wall(panel: BoxedPanel, draft: Draft, closing: Closing | None) -> Wall:
    """Measure the wall on the stitch lines of its draft; `closing` joins its two top edges."""
    side_left, side_right = (
        stitch_line(draft, panel.ref(Face.FRONT, EdgeId(EdgeRole.SIDE, Face.FRONT, side)))
        for side in SIDES
    )
    left, right = side_left[0][0], side_right[0][0]
    base_left, base_right, corner = left, right, 0.0
    if panel.has_corners:
        cut_left, cut_right = _corner_lines(panel, draft, Face.FRONT)
        base_left, base_right, corner = cut_left[1][0], cut_right[0][0], cut_left[1][1]
    tops = [stitch_line(draft, panel.ref(face, EdgeId(EdgeRole.TOP, face)))[0][1] for face in FACES]
    return Wall(
        left=left,
        right=right,
        base_left=base_left,
        base_right=base_right,
        corner=corner,
        front_top=tops[0],
        back_top=-tops[1],
        zip_width=0.0 if closing is None else closing.width,
        closed=closing is not None,
        has_corners=panel.has_corners,
        seamed=not panel.folded,
        rolled=0.0 if closing is None else closing.rolled,
        rolls=0 if closing is None else closing.rolls,
        turn=0.0 if closing is None else closing.turn,
    )


def flat_only(panel: BoxedPanel, draft: Draft, wall: Wall) -> Sentence | None:
    """Why the pieces can only be shown flat; None when they fold into a bag."""
    for piece in draft.walls:
        if not draft.outlines[piece.id].sound:
            return wall.flat_only() or say(_UNSOUND, terms={"piece": piece.label})
    if panel.has_corners:
        backs = _corner_lines(panel, draft, Face.BACK)
        if not all(same_length(-start[1], wall.corner) for start, _ in backs):
            return Sentence(_UNLIKE)
    return wall.flat_only()


def stitch_line(draft: Draft, ref: EdgeRef) -> tuple[Point, Point]:
    """Start and end of an edge's stitch line in the frame of its piece, mm."""
    return draft.outlines[ref.piece].line(ref.edge)


def _corner_lines(
    panel: BoxedPanel, draft: Draft, face: Face
) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
    """Stitch lines of a face's two side edges of the corner seams, left and right."""
    left, right = (
        stitch_line(draft, panel.ref(face, EdgeId(EdgeRole.CORNER, face, side))) for side in SIDES
    )
    return left, right


_NO_WIDTH = mark("The pieces are shown flat only: the corner seams leave no base width ({value}).")
_NO_SIDE = mark(
    "The pieces are shown flat only: the side edges of the corner seam have no length ({value})."
)
_NO_DEPTH = mark("The pieces are shown flat only: the end of the base has no length ({value}).")
_NO_HEIGHT = mark("The pieces are shown flat only: the corners leave no face height ({value}).")
_UNSOUND = mark("The {piece} is shown flat only: its stitch lines cross one another.")
_UNLIKE = mark("The pieces are shown flat only: the corners of front and back differ.")
