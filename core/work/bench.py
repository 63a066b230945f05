"""What operations may read of the bag on the sewing table: plain data, no construction. mm."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from core.base.sentences import NO_TEXT, Sentence, Template, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit, round_to_step
from core.flat.roles import EdgeRef, Face, MarkRole, PieceId, PieceRole, SeamId, SeamRole, Side
from core.flat.seam import Draft, WalkedSeam
from core.model.findings import Crossing
from core.site.site import Finished, Site
from core.work.machine import (
    BASTE_STITCH,
    SEAM_STITCH,
    TACK_LENGTH,
    TACK_WIDTH,
    TOP_STITCH,
    ZIGZAG_LENGTH,
    ZIGZAG_WIDTH,
    Foot,
    Heat,
    Pressing,
    Setting,
    Stitch,
    as_set,
)
from core.work.operation import MarkRef, Measure, MeasurePlace, measured, sized
from core.work.scene import Scene
from core.work.states import State

_USUAL = {
    "near": (25.4 / 8, 3.0),
    "tack": (25.4 / 2, 12.0),
    "round": (25.4 / 4, 6.0),
    "hair": (25.4 / 16, 1.5),
    "stay": (25.4, 25.0),
}
"""Small distances that have no figure, inch and metric makers' (common practice, no source)."""


class Cloth(NamedTuple):
    """One layer of cloth under the needle and the iron.

    Attributes:
        role: what it does, as the maker calls it; told apart where several do the same.
        pressed: its thickness under the presser foot, mm.
        melts: whether a hot iron harms it.
        fusible: whether one side of it is glue that an iron melts.
        film: whether needle holes would spoil it.
    """

    role: str
    pressed: float
    melts: bool
    fusible: bool = False
    film: bool = False

    @property
    def tender(self) -> bool:
        """Whether an iron needs care: what is coated melts or stains as film does."""
        return self.melts or self.film


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingWork:
    """How a body goes from flat to closed: what top, parts and wall ask of it.

    Attributes:
        joined: once these are made its flat pieces are one: what runs across joins comes after.
        flat_ends: from these on its pieces no longer lie flat.
        sides: seams that catch the ends of the top.
        every: every closing seam: finishing comes after.
        scene: where the raw edges are seen.
        keep_clear: how basting follows cuts that are drawn on the wall, with `{baste_line}`; empty
            where there are none.
        joins: what the seams are called, one in wall and lining each, that join flat pieces, so
            that a lining laid in last is joined too; empty where there are none.
        narrowest: the narrowest allowance of the wall, mm.
        pierced: what the seams are called that go through every layer.
        apart: whether its pieces are still apart while layers are basted.
    """

    joined: tuple[State, ...]
    flat_ends: tuple[State, ...]
    sides: tuple[State, ...]
    every: tuple[State, ...]
    scene: Scene
    keep_clear: Template = NO_TEXT
    joins: Template = NO_TEXT
    narrowest: float
    pierced: tuple[Template, ...]
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningWork:
    """What a top asks and gives while the bag is closed.

    Attributes:
        before_folding: states that it needs before the bag is folded.
        way_out: what must be there before the last closing seam and for turning.
        flat_ends: from these on the wall no longer lies flat.
        edges_turned: from these on the top edges are no longer as they were cut.
        turned_in: how much of each lies inside by then, mm; None where straps are sewn on before.
        pieces: handled along with the wall.
        fold: how the bag is folded at the top.
        side, why_side: what is to be minded in a side seam, and why the top is as it is.
        turn: how the bag is turned.
        put_in: how something of {width} by {depth} gets into the sewn bag.
        measure: what is measured on the sewn bag.
        folding_measures, finished_measures: what `fold` and `measure` tell.
        told_apart: face -> which of its pieces is sewn there, where they are not alike.
        lid_seam: of a lid sewn round the top edges, where the walls open at its corners too, mm.
        pierced: what its own seam is called beside those of the body.
        pierces_all: the sentence on seams that go through a lining, with `{seams}`.
    """

    before_folding: tuple[State, ...]
    way_out: tuple[State, ...] = ()
    flat_ends: tuple[State, ...] = ()
    edges_turned: tuple[State, ...] = ()
    turned_in: float | None = None
    pieces: tuple[PieceId, ...] = ()
    fold: Sentence
    side: Sentence | None = None
    why_side: Sentence | None = None
    turn: tuple[Sentence, ...]
    put_in: Template
    measure: Sentence | None = None
    folding_measures: tuple[Measure, ...] = ()
    finished_measures: tuple[Measure, ...] = ()
    told_apart: Mapping[Face, Sentence] = field(default_factory=dict)
    lid_seam: float | None = None
    pierced: tuple[Template, ...] = ()
    pierces_all: Template


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The bag on the sewing table.

    Attributes:
        unit: the maker's own.
        site: what body, top and parts see of one another.
        finished, drawn: figures of the sewn bag, and on the stitch lines: the latter are those
            of work that still lies flat; mm.
        takes_up: whether sewing takes up some of the drawn sizes.
        has_straps: whether straps hang loose from the wall.
        walls: the pieces that make the body, the front's first.
        faces: the piece that each face lies on.
        layers: of the wall, outermost first.
        first: how many of them pocket and handles are sewn onto; the others are basted in after.
        under_board: those that a board lies on that is laid between them.
        goods: what each piece is cut from, outermost first.
        baste_line: of the basting from the cut edge.
        parts: what is laid on, or goes into, the body, by slot.
        cut_larger: what is to be said of goods that still shrink, where a wall is cut.
        still_shrinks: whether there are such.
        closing, opening: of body and top.
        crossings: where more lies under the foot than a seam's own two walls.
    """

    unit: Unit
    draft: Draft
    site: Site
    finished: Finished
    drawn: Finished
    takes_up: bool
    has_straps: bool
    walls: tuple[PieceId, ...]
    faces: Mapping[Face, PieceId]
    layers: tuple[Cloth, ...]
    first: int
    under_board: tuple[Cloth, ...]
    goods: Mapping[PieceId, tuple[Cloth, ...]]
    baste_line: float
    parts: Mapping[str, object]
    cut_larger: tuple[Sentence, ...]
    still_shrinks: bool
    closing: ClosingWork
    opening: OpeningWork
    crossings: tuple[Crossing, ...]

    @property
    def outer(self) -> str:
        """Role of the outermost goods."""
        return self.goods[self.walls[0]][0].role

    def cloth(self, piece: PieceId) -> Cloth:
        """The outermost goods that a piece is cut from."""
        return self.goods[piece][0]

    def iron_for(self, piece: PieceId) -> Pressing:
        """How a piece of one goods is pressed."""
        tender = self.cloth(piece).tender
        return Pressing(Heat.COOL if tender else Heat.MEDIUM, cloth=tender)

    @property
    def layered(self) -> bool:
        """Whether the wall is more than one layer."""
        return len(self.layers) > 1

    @property
    def lining_last(self) -> bool:
        """Whether layers are basted in after what is laid on."""
        return self.first < len(self.layers)

    @property
    def first_laid(self) -> tuple[Cloth, ...]:
        """The layers that pocket and handles are sewn onto, outermost first."""
        return self.layers[: self.first]

    @property
    def last_laid(self) -> tuple[Cloth, ...]:
        """The layers that are basted in after that; none where everything is basted at once."""
        return self.layers[self.first :]

    @property
    def lined_beneath(self) -> bool:
        """Whether the lining, no wrong side, lies beneath while pocket and handles are sewn on."""
        return self.layered and not self.lining_last

    @property
    def tender(self) -> tuple[str, ...]:
        """Roles of the layers that a hot iron harms, each once."""
        every = self.goods[self.walls[0]]
        return tuple(dict.fromkeys(layer.role for layer in every if layer.tender))

    @property
    def holes_stay(self) -> tuple[str, ...]:
        """Roles of the layers in which the hole of a pin is seen, each once."""
        every = self.goods[self.walls[0]]
        return tuple(dict.fromkeys(layer.role for layer in every if layer.film))

    @property
    def wall(self) -> float:
        """Thickness of the whole wall, pressed, mm."""
        return self.site.pressed

    @property
    def base(self) -> float:
        """Thickness of the layers that everything is sewn onto, pressed, mm."""
        return math.fsum(layer.pressed for layer in self.first_laid)

    @property
    def base_iron(self) -> Pressing:
        """How the layers are pressed that pocket and handles are sewn onto."""
        return iron_of(self.first_laid)

    @property
    def wall_iron(self) -> Pressing:
        """How the wall is pressed."""
        return iron_of(self.layers)

    @property
    def flat_ends(self) -> tuple[State, ...]:
        """From these on the wall no longer lies flat."""
        return (*self.opening.flat_ends, *self.closing.flat_ends)

    @property
    def edges_first(self) -> tuple[State, ...]:
        """What is made of the top edges before straps come; a lining laid in last lies in it."""
        early = self.opening.turned_in is not None and not self.lining_last
        return self.opening.edges_turned if early else ()

    @property
    def edges_later(self) -> tuple[State, ...]:
        """What is made of the top edges after that."""
        return () if self.edges_first else self.opening.edges_turned

    @property
    def turned_in(self) -> float:
        """How far below its cut edge a face ends at the top when straps come, mm."""
        return (self.opening.turned_in or 0.0) if self.edges_first else 0.0

    @property
    def raw_edges(self) -> tuple[EdgeRef, ...]:
        """Edges of the wall that are overcast in its seams."""
        edges = (ref for seam in self.draft.seams if seam.neatened for ref in seam.one + seam.other)
        return tuple(ref for ref in edges if ref.piece.role is PieceRole.WALL)

    @property
    def top_ends(self) -> tuple[EdgeRef, ...]:
        """An edge at either end of the mouth, for what is tacked there."""
        return tuple(front for front, _ in self.site.mouth.sides.values())

    def seams(self, role: SeamRole, face: Face | None = None) -> tuple[WalkedSeam, ...]:
        """The seams that are for one thing, on one face or on any."""
        found = self.draft.walked_seams(role)
        return tuple(each for each in found if face in (None, each.seam.id.face))

    def walked(self, role: SeamRole, *, side: Side | None = None) -> WalkedSeam:
        """The one seam that is for this, at this side; KeyError when there is none."""
        for each in self.draft.walked_seams(role):
            if each.seam.id.side is side:
                return each
        raise KeyError(role)

    def seam_ids(self, role: SeamRole, face: Face | None = None) -> tuple[SeamId, ...]:
        """Ids of the seams that are for one thing."""
        return tuple(each.seam.id for each in self.seams(role, face))

    def seam_length(self, role: SeamRole) -> float:
        """Stitch lines of the seams that are for one thing, mm."""
        return math.fsum(max(each.length, each.mate_length, 0.0) for each in self.seams(role))

    def raw_length(self, role: SeamRole, face: Face | None = None) -> float:
        """Cut edges that these seams join: they are sewn from end to end, mm."""
        return math.fsum(
            abs(self.draft.edge(ref).length)
            for each in self.seams(role, face)
            for ref in each.seam.one
        )

    def marks(self, owner: str, role: MarkRole, face: Face | None = None) -> tuple[MarkRef, ...]:
        """Marks of one owner on the walls that are for one thing, on one face or on any."""
        return tuple(
            MarkRef(piece, index)
            for piece in self.walls
            for index, mark in enumerate(self.draft.piece(piece).marks)
            if (mark.owner, mark.role) == (owner, role) and face in (None, mark.face)
        )

    def down(
        self, name: str, length: float, face: Face, *, x: float, start: float = 0.0
    ) -> Measure:
        """A length down a face, from so far below its top edge, at x from its left edge; mm."""
        seat = self.site.seats[face]
        ends = (seat.point(x, seat.top - start - far) for far in (0.0, length))
        return measured(name, length, seat.piece, *ends)

    def across(self, name: str, length: float, face: Face, *, x: float, below: float) -> Measure:
        """A length from x across a face, so far below its top edge; mm."""
        seat = self.site.seats[face]
        ends = (seat.point(end, seat.top - below) for end in (x, x + length))
        return measured(name, length, seat.piece, *ends)

    def on_ruler(self, length: float) -> float:
        """A length that is looked at as a ruler shows it: to 1/16 in, or to the millimetre, mm."""
        return round_to_step(length, MM_PER_INCH / 16 if self.unit is Unit.INCH else 1.0)

    @property
    def near_edge(self) -> float:
        """From a folded edge to its topstitching, mm: 1/8 in, or 3 mm."""
        return self._usual("near")

    @property
    def tack_length(self) -> float:
        """Length of a bar tack, mm: 1/2 in, or 12 mm."""
        return self._usual("tack")

    @property
    def rounding(self) -> float:
        """Radius of the board's corners, mm: 1/4 in, or 6 mm."""
        return self._usual("round")

    @property
    def hair(self) -> float:
        """From the seam out to a row that it hides, mm: 1/16 in, or 1.5 mm."""
        return self._usual("hair")

    @property
    def stay_reach(self) -> float:
        """How far staystitching runs on beyond a corner, mm: 1 in, or 25 mm."""
        return self._usual("stay")

    def _usual(self, name: str) -> float:
        inches, metric = _USUAL[name]
        return inches if self.unit is Unit.INCH else metric

    @property
    def foot(self) -> Foot:
        """The foot for the wall: layers are carried evenly by a walking foot."""
        return Foot.WALKING if self.layered else Foot.STANDARD

    @property
    def seam(self) -> Setting:
        """The machine for seams of the wall."""
        return Setting(length=SEAM_STITCH, foot=self.foot)

    @property
    def topstitch(self) -> Setting:
        """The machine for stitching that is seen on the wall."""
        return Setting(length=TOP_STITCH, foot=self.foot)

    @property
    def baste(self) -> Setting:
        """The machine for temporary stitching on the wall."""
        return Setting(length=BASTE_STITCH, foot=self.foot)

    @property
    def tack(self) -> Setting:
        """The machine for bar tacks."""
        return Setting(stitch=Stitch.ZIGZAG, length=TACK_LENGTH, width=TACK_WIDTH, foot=self.foot)

    @property
    def overcast(self) -> Setting:
        """The machine for the raw edges of the wall."""
        length, width = ZIGZAG_LENGTH, ZIGZAG_WIDTH
        return Setting(stitch=Stitch.ZIGZAG, length=length, width=width, foot=self.foot)

    @property
    def second_row(self) -> Sentence:
        """How raw edges are held without a zigzag."""
        return say(
            "Sew a second row of straight stitch instead, within the allowance and {close} "
            "from the seam: it holds the edges, and the machine stays at {seam_stitch}.",
            close=self.near_edge,
            words={"seam_stitch": as_set(SEAM_STITCH)},
        )

    @property
    def second_rows_measures(self) -> tuple[Measure, ...]:
        """What that way tells."""
        return sized(MeasurePlace.WITHOUT_CHANGE, close=self.near_edge)

    @property
    def baste_hides(self) -> bool:
        """Whether every seam hides the basting line."""
        return shorter(self.baste_line, self.closing.narrowest)


def iron_of(layers: tuple[Cloth, ...]) -> Pressing:
    """How layers that lie on one another are pressed."""
    if any(layer.tender for layer in layers):
        return Pressing(Heat.COOL, cloth=True)
    return Pressing(Heat.MEDIUM, cloth=len(layers) > 1)
