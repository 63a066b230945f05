"""What body, top and parts may know of the bag around them: seats, mouth, goods. Lengths are mm.

A seat is where parts may sit on a body; at the mouth body and top meet.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from core.base.compared import Compared
from core.base.sentences import Template, mark
from core.base.units import MM_PER_INCH, Unit, default_step
from core.flat.geometry import Frame2
from core.flat.piece import Mark, Point
from core.flat.roles import SIDES, EdgeRef, Face, PieceId, Role, SeamId, SeamRole, Side
from core.flat.seam import Seam
from core.goods.layers import Layer, Sandwich
from core.goods.supplies import Supplies
from core.model.figures import CutFigure, TakeUp


class Below(Role):
    """What lies at the lower end of a face."""

    CORNER = "corner"
    """A corner cut on either side, and its seam."""
    TIP = "tip"
    """The tip of a corner sewn across on either side, and its seam."""
    SEAM = "seam"
    """A seam from side to side."""
    FOLD = "fold"
    """A fold, over which the next face runs on."""
    ROUND = "round"
    """A rounded corner on either side, and a seam round all of it."""


class Seat(NamedTuple):
    """Where parts may sit on one face: x from its middle to the bag's right, y up its base line.

    The base line is the bottom fold, or the stitch line of the bottom seam.

    Attributes:
        piece: that holds the face.
        frame: from the seat into that piece; it may mirror.
        width: as cut, from -width / 2 to width / 2.
        top: the cut top edge: parts are placed down from it.
        side_allowance, top_allowance: of the seams at its sides and its top edge.
        low: the stitch line that what is laid on stays above.
        cut_low: below it only `low_width` of cloth is left.
        low_width: that width.
        below: what lies at its lower end.
        under: the face that runs on flat below the base line; None where a seam ends it there.
        flat_below: whether what is laid on can run on below the base line while the wall lies
            flat: over a fold, or over a seam that is sewn by then.
        width_figure: the cut figure that is its width; empty where none is.
        sides: its piece's edges at its left and its right side, on which what is as wide as the
            face ends; None where the mouth's sides are those, or where the piece goes on there.
        above: how much higher than its stitched top edge the bag's top lies, where another piece
            goes on up the face.
    """

    face: Face
    piece: PieceId
    frame: Frame2
    width: float
    top: float
    side_allowance: float
    top_allowance: float
    low: float
    cut_low: float
    low_width: float
    below: Below
    under: Face | None
    flat_below: bool = True
    width_figure: str = ""
    sides: tuple[EdgeRef, EdgeRef] | None = None
    above: float = 0.0

    def point(self, x: float, y: float) -> Point:
        """Where a point lies on the piece: x from the left cut edge, y up from the base line."""
        return self.points(((x, y),))[0]

    def points(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Where several of them lie on the piece."""
        ((x0, y0), (rx, ry), (ux, uy)), middle = self.frame, self.width / 2
        # Written out, as in the frame: every mark of every part comes through here.
        return tuple(
            [(x0 + (x - middle) * rx + y * ux, y0 + (x - middle) * ry + y * uy) for x, y in points]
        )

    @property
    def clear_of(self) -> float:
        """What is as wide as the face stays above it: the stitch line, and where cloth is left."""
        return max(self.low, self.cut_low) if self.below is Below.ROUND else self.low

    @property
    def cornered(self) -> bool:
        """Whether there is a corner at either side of its lower end: cut, sewn across, rounded."""
        return self.below in (Below.CORNER, Below.TIP, Below.ROUND)


class Run(NamedTuple):
    """One stretch of the mouth: the top edge of a face.

    Attributes:
        allowance: of its seam, or its hem.
        width: as cut.
        end_allowance: of the seams at its two ends.
    """

    face: Face
    edge: EdgeRef
    allowance: float
    width: float
    end_allowance: float = 0.0


class Ring(NamedTuple):
    """A ring of strips sewn round two panels, with a gap at the top that a top closes.

    Attributes:
        panels: face of each panel -> its edges once round it; the first lies in the gap.
        strips: the same face -> the strips' long edges that are sewn to it, the other way round.
        ends: the end of the strips at either side of the gap.
        length: of what closes the gap, cut, from end to end.
        depth: of the strips from stitch line to stitch line.
        seam, end_seam: allowances of the seams to the panels, and of the joins at the ends.
        flat: length of the straight stitch line of a panel in the gap; 0 where it is not told.
        rest: length of the strips besides, as if cut in one; 0 where it is not told.
        rest_figure: its figure.
    """

    panels: Mapping[Face, tuple[EdgeRef, ...]]
    strips: Mapping[Face, tuple[EdgeRef, ...]]
    ends: Mapping[Side, EdgeRef]
    length: float
    depth: float
    seam: float
    end_seam: float
    flat: float = 0.0
    rest: float = 0.0
    rest_figure: str = ""


class Floor(NamedTuple):
    """How the bottom ends, on its stitch lines, mm: what lies in it keeps clear of that.

    Attributes:
        bend: radius in which the wall bends up at its left and right end, beyond its width.
        corner: radius of its four corners.
        bend_within: radius in which it bends up at front and back, within its depth.
    """

    bend: float = 0.0
    corner: float = 0.0
    bend_within: float = 0.0


SQUARE_FLOOR = Floor()
"""One whose walls turn up at its edges, and whose corners are square."""


class Mouth(NamedTuple):
    """The top edges of a body, to which a top is sewn.

    Attributes:
        runs: the front's first. Two close flat; four stand open as a box, front, right, back, left.
        sides: side -> the front's and the back's edge that its side seam joins; none where what
            lies between them is sewn in by the body.
        trim: how much lower the front's run is cut than the back's.
        length: of the figure that lengthens the faces, as it is.
        length_figure, length_rate: that figure, and what each mm of both faces takes of it, mm.
        length_along: figures that go along with it, so that seams still match: name, as it is, and
            what each mm of both faces takes of it, mm.
        trim_figure, allowance_figure: names of the figures of its trim and its allowance; no name
            where the body cannot be trimmed.
        ring: what a top closes that lies between the panels; None where it is sewn to the runs.
        rounded: whether it goes round a bottom of rounded corners: it never stands open as a box.
    """

    runs: tuple[Run, ...]
    sides: Mapping[Side, tuple[EdgeRef, EdgeRef]]
    trim: float
    length: float
    trim_figure: str
    length_figure: CutFigure
    length_rate: float
    allowance_figure: str
    ring: Ring | None = None
    length_along: tuple[tuple[str, float, float], ...] = ()
    rounded: bool = False

    @property
    def width(self) -> float:
        """Of the front's run, as cut."""
        return self.runs[0].width

    @property
    def closes_flat(self) -> bool:
        """Whether its front and its back can be laid together."""
        return len(self.runs) == 2 and self.ring is None

    @property
    def of_one_piece(self) -> bool:
        """Whether it is the edge of one piece alone, which goes all round."""
        return len({run.edge.piece for run in self.runs}) == 1

    @property
    def faces(self) -> tuple[Face, ...]:
        """The faces that it runs along, the front first."""
        return tuple(run.face for run in self.runs)

    @property
    def allowance(self) -> float:
        """Allowance of the seam, or the hem, along it."""
        return self.runs[0].allowance

    def shift(self, face: Face) -> float:
        """How much farther above this face's cut edge the top fold comes to lie for the trim."""
        return self.trim / 2 if face is self.runs[0].face else -self.trim / 2

    def side_seams(self, ends: Mapping[Side, EdgeRef] | None = None) -> tuple[Seam, ...]:
        """The two side seams, front to back; none where it has no such sides.

        `ends` lie between front and back at the top of each; then the seam is one chain that is
        folded at its middle and sewn to itself.
        """
        return tuple(
            [
                _side_seam(side, front, None if ends is None else ends[side], back)
                for side, (front, back) in self.sides.items()
            ]
        )

    def ring_seams(self, tops: Mapping[Face, EdgeRef]) -> tuple[Seam, ...]:
        """The seams of a ring, closed by a top, round its panels; none where there is no ring.

        `tops`: face of each panel -> the long edge of the top that is sewn to it, in the gap.
        """
        if self.ring is None:
            return ()
        panels, strips = self.ring.panels, self.ring.strips
        return tuple(
            [
                ring_seam(face, edges, (tops[face], *strips[face]), closed=True)
                for face, edges in panels.items()
            ]
        )


@cache
def ring_seam(
    face: Face, panel: tuple[EdgeRef, ...], strips: tuple[EdgeRef, ...], *, closed: bool
) -> Seam:
    """Strips round the panel of a face, all round or from one end of its top to the other."""
    return Seam(
        id=SeamId("body", SeamRole.RING, face),
        label=_RING_LABELS[face],
        one=panel,
        other=strips,
        neatened=True,
        closed=closed,
    )


_RING_LABELS = {
    Face.FRONT: mark("gusset seam front"),
    Face.BACK: mark("gusset seam back"),
    Face.LEFT: mark("gusset seam at the left end panel"),
    Face.RIGHT: mark("gusset seam at the right end panel"),
}


@cache
def _side_seam(side: Side, front: EdgeRef, end: EdgeRef | None, back: EdgeRef) -> Seam:
    return Seam(
        id=SeamId("body", SeamRole.SIDE, side=side),
        label=_SIDE_LABELS[side],
        one=(front,) if end is None else (front, end, back),
        other=(back,) if end is None else (),
        backwards=side is Side.LEFT,
        to_itself=end is not None,
        neatened=True,
    )


_SIDE_LABELS = {Side.LEFT: mark("side seam left"), Side.RIGHT: mark("side seam right")}


class SewnOn(NamedTuple):
    """What a part sews onto a face.

    Attributes:
        needs: how far below the cut top edge there must be cloth to sew it to.
        lowest: its lowest stitching above the base line: 0 where it crosses it.
    """

    face: Face
    needs: float
    lowest: float


Finished = Mapping[str, float | None]
"""Finished figures by name; None for what does not exist in this bag."""

QUARTER_INCH = 6.35
FOOT_ROOM = 10.0
"""Between two lines of stitching where a presser foot still runs, mm (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Site(Compared):
    """What body, top and parts see of one another, mm.

    Attributes:
        body: what a sentence calls the body: "the <body>".
        seats: face -> where parts may sit on it.
        mouth: where the top is sewn on.
        shows: what shows of the top between its two stitch lines; 0 for an open top.
        closed: whether the top closes the bag.
        filled_by: finished figure of the body -> the top's that counts for what the bag holds.
        rolled: how far below its stitch line the top is rolled in, laid flat.
        sandwich, supplies: what the bag is made of.
        unit: that it is drawn in.
        take_up: what sewing leaves of the drawn sizes.
        shop_zips: in which the maker's shop sells zips, ascending; None: the usual lengths.
        sewn_on: what the parts sew onto the faces.
        floor: how the bottom ends.
        front: where parts may sit on the face that the mouth begins with; follows from the rest.
    """

    body: Template
    seats: Mapping[Face, Seat]
    mouth: Mouth
    shows: float
    closed: bool
    sandwich: Sandwich
    supplies: Supplies
    unit: Unit
    take_up: TakeUp
    shop_zips: tuple[float, ...] | None
    sewn_on: tuple[SewnOn, ...] = ()
    floor: Floor = SQUARE_FLOOR
    filled_by: Mapping[str, str] = field(default_factory=dict)
    rolled: float = 0.0
    front: Seat = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # Sixty times for one answer: kept, not looked up.
        object.__setattr__(self, "front", self.seats[self.mouth.runs[0].face])

    def side_edges(self, face: Face) -> dict[Side, EdgeRef]:
        """The edges of the wall at the left and the right side of a face; none that goes on."""
        held = self.seats[face].sides
        if held is not None:
            return dict(zip(SIDES, held, strict=True))
        return {
            side: edge
            for side, joined in self.mouth.sides.items()
            for edge in joined
            if edge.edge.face is face
        }

    @property
    def wall(self) -> float:
        """Thickness of the sandwich under no load."""
        return self.sandwich.thickness

    @property
    def pressed(self) -> float:
        """Thickness of the sandwich under the presser foot."""
        return self.sandwich.pressed

    def goods(self, slot: str) -> Layer:
        """The goods that the part in a slot is cut from, or would be."""
        return self.supplies.own_goods(slot) or self.sandwich.layers[0]

    def reach(self, face: Face) -> float:
        """How far below the cut top edge of a face there must be cloth for what is sewn on."""
        return max((each.needs for each in self.sewn_on if each.face is face), default=0.0)

    @property
    def lowest_stitch(self) -> float:
        """The lowest stitching of parts above the base line; infinite where there is none."""
        return min((each.lowest for each in self.sewn_on), default=math.inf)

    @property
    def ruler(self) -> float:
        """Step on which whoever cuts this bag measures."""
        return default_step(self.unit)

    @property
    def usual_allowance(self) -> float:
        """3/8 in, or 10 mm (common practice, no source)."""
        return 3 * MM_PER_INCH / 8 if self.unit is Unit.INCH else 10.0

    @property
    def hand(self) -> float:
        """What a hand gets through and reaches into: 4 in, or 10 cm (own choice)."""
        return 4 * MM_PER_INCH if self.unit is Unit.INCH else 100.0

    @property
    def arm(self) -> float:
        """How far an arm reaches into a bag, about: 28 in, or 70 cm (own choice)."""
        return 28 * MM_PER_INCH if self.unit is Unit.INCH else 700.0

    @property
    def new_allowance(self) -> float:
        """What a new seam of the wall is given: the usual one, or what a thick wall needs."""
        return max(self.usual_allowance, self.sandwich.least_allowance)

    @property
    def zip_lengths(self) -> tuple[float, ...]:
        """Lengths in which zips are sold, ascending."""
        return self.supplies.zips_offered(self.unit, self.shop_zips)


class PlacedMark(NamedTuple):
    """A mark for one face, in the frame of the piece that holds it."""

    face: Face
    mark: Mark
