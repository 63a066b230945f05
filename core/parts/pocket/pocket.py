"""The pocket: a rectangle folded into a tube, open at its sides. Lengths are mm."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Template, mark, plural, say
from core.base.tolerance import same_length, shorter
from core.base.units import round_to_step
from core.flat.piece import (
    CutFrom,
    Dimension,
    Fold,
    GrainTurn,
    Mark,
    MarkStyle,
    Out,
    Piece,
    Upright,
    overall,
    rectangle,
)
from core.flat.roles import (
    FACES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    FoldRole,
    MarkRole,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, FinishedFigure, Limit, Ruled, settle_record
from core.model.findings import Allowance, Crossing, Finding
from core.model.record import Solving, Unknown
from core.parts.part import Part
from core.parts.pocket.findings import pocket_findings
from core.parts.rolls import below_rolls
from core.site.owner import NONE, Choice, Moved, Surround
from core.site.site import FOOT_ROOM, QUARTER_INCH, Finished, Mouth, PlacedMark, Seat, SewnOn, Site

if TYPE_CHECKING:
    from core.space.zones import Laid
    from core.work.bench import Bench
    from core.work.operation import Marking, Operation


class PocketFaces(Enum):
    """Which faces carry a pocket."""

    FRONT = "front"
    BACK = "back"
    BOTH = "both"

    @property
    def faces(self) -> tuple[Face, ...]:
        """The faces, front first."""
        return _FACES_OF[self]


_FACES_OF = {
    PocketFaces.FRONT: (Face.FRONT,),
    PocketFaces.BACK: (Face.BACK,),
    PocketFaces.BOTH: FACES,
}

_CHOICES: tuple[Choice, ...] = (
    Choice(
        name="has_pocket",
        part="pocket",
        label=mark("Pocket on"),
        step=mark("Change the pocket"),
        help=mark("Which faces of the bag have a pocket."),
        options=(
            (NONE, mark("No pocket")),
            ("front", mark("Front")),
            ("back", mark("Back")),
            ("both", mark("Front and back")),
        ),
        read=lambda pocket: pocket.faces.value,
        kept=lambda pocket: pocket,
        write=lambda pocket, word, around, kept: replace(pocket, faces=PocketFaces(word)),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Pocket(Part):
    """A pocket laid on front or back, or on both.

    Attributes:
        cut_height: of the unfolded rectangle, along the face's height, > 2 * seam.
        drop: from the face's cut top edge down to the pocket's folded edge, >= 0.
        seam: allowance of the seam that closes the tube, >= 0.
    """

    faces: PocketFaces = PocketFaces.FRONT
    cut_height: float
    drop: float
    seam: float = QUARTER_INCH

    SOLVING: ClassVar[Solving] = Solving(
        unknowns=(Unknown(name="pocket_cut_height", only_for=frozenset({"pocket_height"})),)
    )
    SLOT: ClassVar[str] = "pocket"
    CHOICES: ClassVar[tuple[Choice, ...]] = _CHOICES
    KIND: ClassVar[str] = "pocket"
    SEWING_RANK: ClassVar[int] = 1
    WORD: ClassVar[Template] = mark("pocket")
    LABEL: ClassVar[Template] = mark("Pocket")
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="pocket_cut_height",
            label=mark("Pocket cut height"),
            part="pocket",
            attribute="cut_height",
            above_low=True,
            by_hand=True,
            help=mark("Height of the unfolded pocket rectangle; it is as wide as its face."),
            ruled=Ruled.NEAREST,
            pinnable=True,
            tells=("pocket_height",),
        ),
        CutFigure(
            name="pocket_drop",
            label=mark("Pocket drop"),
            part="pocket",
            attribute="drop",
            by_hand=True,
            help=mark("From the cut upper end of the face down to the pocket's upper edge."),
            ruled=Ruled.NEAREST,
        ),
        CutFigure(
            name="pocket_seam",
            label=mark("Pocket seam"),
            part="pocket",
            attribute="seam",
            published=False,
            help=mark("Allowance of the seam that closes the pocket's tube."),
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = (
        FinishedFigure(
            name="pocket_height",
            label=mark("Pocket height"),
            part="pocket",
            help=mark("Finished height of the pocket: half of the rectangle, less the seam."),
            tape=mark("from its lower to its upper edge"),
        ),
    )

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)
        self._height_limit.check()

    @classmethod
    def fresh(cls, around: Surround, word: str = PocketFaces.FRONT.value) -> "Pocket":
        """About half as high as the face, a quarter of it below the edge, on the ruler.

        Under a top that is rolled down it begins below the rolls, and is as high as there is room.
        """
        site, faces = around.site, PocketFaces(word)
        top = min(site.seats[face].top for face in faces.faces)
        seam = site.usual_allowance
        height = max(round_to_step(top * 0.45, site.ruler), seam)
        drop = round_to_step(top / 4, site.ruler)
        made = cls(faces=faces, cut_height=2 * (height + seam), drop=drop, seam=seam)
        below = below_rolls(site, faces.faces)
        return made.lowered(site, below) if shorter(drop, below) else made

    def lowered(self, site: Site, drop: float) -> "Pocket":
        """It so far below the edge, and no higher than there is room for; at least as a hand."""
        room = round_to_step(self.room(site) - drop - site.ruler / 2, site.ruler)
        height = max(min(self.height, room), min(self.height, site.hand))
        return replace(self, drop=drop, cut_height=2 * (height + self.seam))

    def limits(self, site: Site) -> tuple[Limit, ...]:
        return (self._height_limit,)

    @property
    def _height_limit(self) -> Limit:
        rule = mark("it must be more than twice the pocket seam, {limit}.")
        return Limit(self.FIGURES[0], self.cut_height, 2 * self.seam, rule, above=True)

    def check_fit(self, site: Site) -> None:
        """A pocket fits every bag: what there is of it is checked when it is made."""

    @property
    def height(self) -> float:
        """Finished height: half of the rectangle, less the seam."""
        return self.cut_height / 2 - self.seam

    def bottom(self, site: Site, face: Face) -> float:
        """Lower edge above the bottom line."""
        return site.seats[face].top - self.drop - self.height

    def seams(self) -> tuple[Seam, ...]:
        return _SEAMS[self.faces]

    def caught(self, site: Site) -> Iterator[tuple[EdgeRef, EdgeRef]]:
        for face in self.faces.faces:
            for side, wall in site.side_edges(face).items():
                yield wall, _OWN_SIDES[face, side]

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        """Its sides in a seam: two layers each, and both faces' where that joins front and back."""
        if not any(site.side_edges(face) for face in self.faces.faces):
            return ()
        both = len(self.faces.faces) if site.mouth.sides else 1
        laid_on = 2 * both * site.goods(self.SLOT).pressed
        return (Crossing(2, _CAUGHT, mark("the pocket's sides"), laid_on=laid_on),)

    def allowances(self) -> tuple[Allowance, ...]:
        label = mark("pocket seam")
        return (Allowance(figure="pocket_seam", label=label, size=self.seam, layered=False),)

    def keep_sizes(self, wanted: Mapping[str, float], moved: Moved, site: Site) -> dict[str, float]:
        """As high as it was, and as far below the top stitch line."""
        found: dict[str, float] = {}
        if (seam := wanted.get("pocket_seam")) is not None:
            found = {"pocket_seam": seam, "pocket_cut_height": 2 * (self.height + seam)}
        return found | ({"pocket_drop": self.drop + moved.top} if moved.top else {})

    def along(self, was: Surround, now: Surround) -> "Pocket":
        """As far below the bag's top, or right below the seam at which its face ends lower."""
        ends = [site.front.above - site.front.top_allowance for site in (was.site, now.site)]
        drop = self.drop + ends[0] - ends[1]
        if same_length(drop, self.drop):
            return self
        return replace(self, drop=max(drop, self.seam_above(now.site) + FOOT_ROOM))

    def fits_as_well(self, site: Site, was: "Pocket", site_before: Site) -> bool:
        """Whether it runs into no corner that it was clear of, and is not sewn shut."""
        runs, ran = self._into_corner(site), was._into_corner(site_before)
        clear = not shorter(0.0, runs) or shorter(0.0, ran)
        return clear and not shorter(self.drop, self.seam_above(site))

    def _into_corner(self, site: Site) -> float:
        """How far the lowest runs into the corner cut; negative where it stays above."""
        below = self.drop + self.height
        seats = [site.seats[face] for face in self.faces.faces]
        return max(max(seat.cut_low, 0.0) - seat.top + below for seat in seats)

    def seam_above(self, site: Site) -> float:
        """The widest allowance at the top edges of its faces, mm."""
        return max(site.seats[face].top_allowance for face in self.faces.faces)

    def room(self, site: Site) -> float:
        """From the cut top edge of its faces down to what it stays above, the least of them, mm."""
        seats = (site.seats[face] for face in self.faces.faces)
        return min(seat.top - seat.clear_of for seat in seats)

    def sewn_on(self, seats: Mapping[Face, Seat], mouth: Mouth) -> tuple[SewnOn, ...]:
        below = self.drop + self.height
        return tuple(
            SewnOn(face=face, needs=0.0, lowest=seats[face].top - below)
            for face in self.faces.faces
        )

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        return tuple(self._piece(site, face) for face in self.faces.faces)

    def _piece(self, site: Site, face: Face) -> Piece:
        seat = site.seats[face]
        size, side = (seat.width, self.cut_height), seat.side_allowance
        edges = rectangle(_EDGES, size, allowances=(self.seam, side, self.seam, side))
        return Piece(
            id=pocket_piece(face),
            label=_LABELS[face],
            edges=edges,
            folds=(Fold(FoldRole.TUBE, *_FOLD_ENDS, self.cut_height / 2, _FOLD),),
            cut_from=CutFrom.CLOTH,
            turn=GrainTurn.QUARTER,
            upright=Upright.WHOLE,
            sized_by=(seat.width_figure, "pocket_cut_height"),
            notes=_NOTES,
        )

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        return tuple(PlacedMark(face, self._outline(site, face)) for face in self.faces.faces)

    def _outline(self, site: Site, face: Face) -> Mark:
        top, bottom = site.seats[face].top - self.drop, self.bottom(site, face)
        right = site.seats[face].width
        outline = (0.0, bottom), (right, bottom), (right, top), (0.0, top)
        return Mark(
            role=MarkRole.OUTLINE,
            owner="pocket",
            points=site.seats[face].points(outline),
            style=MarkStyle.PLACEMENT,
            face=face,
            closed=True,
            label=_LABELS[face],
        )

    def laid(self, site: Site) -> "Laid":
        from core.space.zones import (  # only who folds asks
            AreaKind,
            FaceArea,
            FaceLine,
            Laid,
            LineKind,
            mostly_on,
        )

        areas: list[FaceArea] = []
        lines: list[FaceLine] = []
        for face in self.faces.faces:
            piece, seat = pocket_piece(face), site.seats[face]
            half, stitch = seat.width / 2, seat.width / 2 - seat.side_allowance
            low, high = self.bottom(site, face), site.seats[face].top - self.drop
            lies_on, way = mostly_on(face, low, high)
            low, high = way * low, way * high
            outline = ((-half, low), (half, low), (half, high), (-half, high))
            areas.append(FaceArea(lies_on, AreaKind.LAID_ON, piece, outline))
            lines.append(FaceLine(lies_on, LineKind.FREE_EDGE, (-half, high), (half, high)))
            lines.append(FaceLine(lies_on, LineKind.TOPSTITCH, (-half, low), (half, low)))
            for side, x in ((Side.LEFT, -stitch), (Side.RIGHT, stitch)):
                edge = EdgeRef(piece, _SIDES[side])
                lines.append(FaceLine(lies_on, LineKind.SEAM, (x, low), (x, high), edge))
        return Laid(areas=tuple(areas), lines=tuple(lines))

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        """Height and drop beside the wall that it lies on; what is cut beside its own piece."""
        cut_height, drop = self.FIGURES[:2]
        own = {
            piece.id: overall(piece, along=cut_height)
            for piece in draft.pieces
            if piece.id.owner == self.SLOT
        }
        return own | {wall.id: self._on_wall(wall, drop) for wall in draft.walls}

    def _on_wall(self, wall: Piece, drop: CutFigure) -> tuple[Dimension, ...]:
        _, bottom, right, top = wall.bounds
        found: list[Dimension] = []
        for outline in wall.marks:
            if outline.owner == self.SLOT:
                low, *_, high = sorted((y for _, y in outline.points), key=abs)
                edge = (right, top if high > 0.0 else bottom)
                found += [
                    Dimension(self.FINISHED[0].label, (right, low), (right, high), Out.RIGHT),
                    Dimension(drop.label, (right, high), edge, Out.RIGHT),
                ]
        return tuple(found)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        from core.parts.pocket.operations import pocket_markings

        return pocket_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.parts.pocket.operations import pocket_operations

        return pocket_operations(bench, self)

    def finished(self, site: Site) -> Finished:
        return {"pocket_height": self.height}

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        return pocket_findings(self, site)


def pocket_piece(face: Face) -> PieceId:
    """The pocket on this face."""
    return _PIECES[face]


_PIECES = {face: PieceId("pocket", PieceRole.PATCH, face) for face in FACES}

_LABELS = {Face.FRONT: mark("front pocket"), Face.BACK: mark("back pocket")}
_TUBES = {Face.FRONT: mark("front pocket tube"), Face.BACK: mark("back pocket tube")}
_LOWER, _UPPER = EdgeId(EdgeRole.LOWER), EdgeId(EdgeRole.UPPER)
_SIDES = {side: EdgeId(EdgeRole.SIDE, side=side) for side in Side}
_EDGES = (
    (_LOWER, mark("pocket lower edge")),
    (_SIDES[Side.RIGHT], mark("pocket side")),
    (_UPPER, mark("pocket upper edge")),
    (_SIDES[Side.LEFT], mark("pocket side")),
)
_FOLD, _FOLD_ENDS = mark("pocket fold"), (_SIDES[Side.LEFT], _SIDES[Side.RIGHT])
_NOTES = (say("Fold right sides together and sew into a tube, open at its sides."),)
_SEAMS = {
    faces: tuple(
        Seam(
            id=SeamId("pocket", SeamRole.PART, face),
            label=_TUBES[face],
            one=(EdgeRef(pocket_piece(face), _LOWER),),
            other=(EdgeRef(pocket_piece(face), _UPPER),),
        )
        for face in faces.faces
    )
    for faces in PocketFaces
}
"""Of the tubes: which edges they join depends on where there are pockets, and on no size."""
_OWN_SIDES = {
    (face, side): EdgeRef(pocket_piece(face), _SIDES[side]) for face in FACES for side in Side
}


_CAUGHT = plural(
    "Where the pocket's sides are caught in a seam, 1 wall and the pocket go under the presser "
    "foot, {value} thick when pressed; your machine takes {limit}.",
    "Where the pocket's sides are caught in a seam, {count} walls and the pocket go under the "
    "presser foot, {value} thick when pressed; your machine takes {limit}.",
)
