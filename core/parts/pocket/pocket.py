"""The pocket: a rectangle folded into a tube, open at its sides. Lengths are mm."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.dimension import Dimension, Out, overall
from core.flat.piece import CutFrom, Fold, GrainTurn, Mark, MarkStyle, Piece, Upright, rectangle
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
from core.model.figures import LONGEST, CutFigure, FinishedFigure, Limit, Ruled, settle_record
from core.model.findings import Allowance, Finding, Fix, Severity
from core.model.solving import Solving, Unknown
from core.parts.part import Part
from core.site.owner import Moved
from core.site.seat import Below, SewnOn
from core.site.site import FOOT_ROOM, QUARTER_INCH, Finished, PlacedMark, Site
from core.space.folding import Area, AreaKind, Laid, Line, LineKind, mostly_on

if TYPE_CHECKING:
    from core.work.bench import Bench
    from core.work.operation import Marking, Operation

LOWEST, NO_POCKET = 4 * MM_PER_INCH, MM_PER_INCH
"""A pocket lower than this takes no hand; or nothing at all (own choice)."""


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Pocket(Part):
    """A pocket laid on one face of the panel, or on both.

    Attributes:
        faces: which faces carry one.
        cut_height: of the unfolded rectangle, along the panel's length, > 2 * seam.
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
    KIND: ClassVar[str] = "pocket"
    SEWING_RANK: ClassVar[int] = 1
    WORD: ClassVar[str] = mark("pocket")
    LABEL: ClassVar[str] = "Pocket"
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="pocket_cut_height",
            label="Pocket cut height",
            part="pocket",
            attribute="cut_height",
            low=0.0,
            high=LONGEST,
            above_low=True,
            by_hand=True,
            help="Height of the unfolded pocket rectangle; it is as wide as the panel.",
            ruled=Ruled.NEAREST,
            pinnable=True,
            tells=("pocket_height",),
        ),
        CutFigure(
            name="pocket_drop",
            label="Pocket drop",
            part="pocket",
            attribute="drop",
            low=0.0,
            high=LONGEST,
            by_hand=True,
            help="From the cut top edge of the face down to the pocket's upper edge.",
            ruled=Ruled.NEAREST,
        ),
        CutFigure(
            name="pocket_seam",
            label="Pocket seam",
            part="pocket",
            attribute="seam",
            low=0.0,
            high=LONGEST,
            published=False,
            help="Allowance of the seam that closes the pocket's tube.",
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = (
        FinishedFigure(
            name="pocket_height",
            label="Pocket height",
            part="pocket",
            help="Finished height of the pocket: half of the rectangle, less the seam.",
            tape="from its lower to its upper edge",
        ),
    )

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)
        self._height_limit.check()

    def limits(self, site: Site) -> tuple[Limit, ...]:
        """The tube must leave a height between its seams."""
        return (self._height_limit,)

    @property
    def _height_limit(self) -> Limit:
        return Limit(
            self.FIGURES[0],
            self.cut_height,
            2 * self.seam,
            "it must be more than twice the pocket seam, {limit}.",
            above=True,
        )

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
        """The seam that closes each tube."""
        return tuple(
            Seam(
                id=SeamId("pocket", SeamRole.PART, face),
                label=_TUBES[face],
                one=(EdgeRef(pocket_piece(face), _LOWER),),
                other=(EdgeRef(pocket_piece(face), _UPPER),),
            )
            for face in self.faces.faces
        )

    def caught(self, side: Side) -> tuple[EdgeRef, ...]:
        """Its edges that are caught in the side seam of this side."""
        return tuple(EdgeRef(pocket_piece(face), _SIDES[side]) for face in self.faces.faces)

    def allowances(self) -> tuple[Allowance, ...]:
        """Of the seam that closes the tube."""
        seam = Allowance(figure="pocket_seam", label="pocket seam", size=self.seam, layered=False)
        return (seam,)

    def keep_sizes(self, wanted: Mapping[str, float], moved: Moved, site: Site) -> dict[str, float]:
        """As high as it was, and as far below the top stitch line."""
        found: dict[str, float] = {}
        if (seam := wanted.get("pocket_seam")) is not None:
            found = {"pocket_seam": seam, "pocket_cut_height": 2 * (self.height + seam)}
        return found | ({"pocket_drop": self.drop + moved.top} if moved.top else {})

    def fits_as_well(self, site: Site, was: "Pocket", site_before: Site) -> bool:
        """Whether it runs into no corner that it was clear of, and is not sewn shut."""
        runs, ran = self._into_corner(site), was._into_corner(site_before)
        clear = not shorter(0.0, runs) or shorter(0.0, ran)
        return clear and not shorter(self.drop, site.front.top_allowance)

    def _into_corner(self, site: Site) -> float:
        """How far the lowest runs into the corner cut; negative where it stays above."""
        lowest = min(site.seats[face].top for face in self.faces.faces) - self.drop - self.height
        return max(site.front.cut_low, 0.0) - lowest

    def sewn_on(self, site: Site) -> tuple[SewnOn, ...]:
        """Its outline on each face, down to its lower edge."""
        below = self.drop + self.height
        return tuple(
            SewnOn(face=face, needs=0.0, lowest=site.seats[face].top - below)
            for face in self.faces.faces
        )

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """One rectangle for each face."""
        return tuple(self._piece(site, face) for face in self.faces.faces)

    def _piece(self, site: Site, face: Face) -> Piece:
        edges = rectangle(
            _EDGES,
            (site.front.width, self.cut_height),
            allowances=(self.seam, site.front.side_allowance, self.seam, site.front.side_allowance),
        )
        fold = Fold(
            id=FoldRole.TUBE,
            start_edge=_SIDES[Side.LEFT],
            end_edge=_SIDES[Side.RIGHT],
            y=self.cut_height / 2,
            label=mark("pocket fold"),
        )
        return Piece(
            id=pocket_piece(face),
            label=_LABELS[face],
            edges=edges,
            folds=(fold,),
            cut_from=CutFrom.CLOTH,
            turn=GrainTurn.QUARTER,
            upright=Upright.WHOLE,
            sized_by=("panel_width", "pocket_cut_height"),
            notes=(say("Fold right sides together and sew into a tube, open at its sides."),),
        )

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """The outline of each pocket where it is laid on."""
        return tuple(PlacedMark(face, self._outline(site, face)) for face in self.faces.faces)

    def _outline(self, site: Site, face: Face) -> Mark:
        top, bottom, right = (
            site.seats[face].top - self.drop,
            self.bottom(site, face),
            site.front.width,
        )
        outline = (0.0, bottom), (right, bottom), (right, top), (0.0, top)
        return Mark(
            role=MarkRole.OUTLINE,
            owner="pocket",
            points=tuple(site.seats[face].point(*each) for each in outline),
            style=MarkStyle.PLACEMENT,
            face=face,
            closed=True,
            label=_LABELS[face],
        )

    def laid(self, site: Site) -> Laid:
        """Cloth, open above, topstitched below, and caught in the side seams."""
        half, stitch = site.front.width / 2, site.front.width / 2 - site.front.side_allowance
        areas: list[Area] = []
        lines: list[Line] = []
        for face in self.faces.faces:
            piece = pocket_piece(face)
            low, high = self.bottom(site, face), site.seats[face].top - self.drop
            lies_on, way = mostly_on(face, low, high)
            low, high = way * low, way * high
            outline = ((-half, low), (half, low), (half, high), (-half, high))
            areas.append(Area(lies_on, AreaKind.LAID_ON, piece, outline))
            lines.append(Line(lies_on, LineKind.FREE_EDGE, (-half, high), (half, high)))
            lines.append(Line(lies_on, LineKind.TOPSTITCH, (-half, low), (half, low)))
            for side, x in ((Side.LEFT, -stitch), (Side.RIGHT, stitch)):
                edge = EdgeRef(piece, _SIDES[side])
                lines.append(Line(lies_on, LineKind.SEAM, (x, low), (x, high), edge))
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
        """The lines of its edges."""
        from core.parts.pocket.operations import pocket_markings

        return pocket_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """The operations of each face's pocket."""
        from core.parts.pocket.operations import pocket_operations

        return pocket_operations(bench, self)

    def finished(self, site: Site) -> Finished:
        """The pocket's height."""
        return {"pocket_height": self.height}

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Whether the pocket clears the corners below and the zip above, and takes a hand."""
        found = [self._corner_finding(site, face) for face in self.faces.faces]
        worst = max((each for each in found if each), key=lambda each: each.severity, default=None)
        return ((worst,) if worst else ()) + self._zip_finding(site) + self._height_finding(site)

    def _corner_finding(self, site: Site, face: Face) -> Finding | None:
        bottom = self.bottom(site, face)
        stitch = corner_stitch(site)
        if not shorter(bottom, stitch):
            return None
        cut_into = shorter(bottom, site.front.cut_low)
        message = _INTO_CORNER if cut_into else _INTO_SEAM
        if not site.front.cornered:
            message = _PAST_SEAM if site.front.below is Below.SEAM else _PAST_BOTTOM
        drop = site.seats[face].top - self.height - stitch
        fixes: tuple[Fix, ...] = ()
        if not shorter(drop, site.front.top_allowance):
            label = say("Set the pocket drop to {value}", value=drop)
            fixes = (Fix(label, (("pocket_drop", drop),)),)
        return Finding(
            code="pocket-meets-corner",
            severity=Severity.STOP if cut_into else Severity.WARN,
            figure="pocket_drop",
            value=self.drop,
            limit=None if shorter(drop, 0.0) else drop,
            message=Sentence(message, {"value": stitch - bottom}, {"face": face.value}),
            fixes=fixes,
        )

    def _zip_finding(self, site: Site) -> tuple[Finding, ...]:
        """Whether the pocket's upper edge lies clear of the seam above it, and of its foot."""
        clear = site.front.top_allowance + FOOT_ROOM
        if not shorter(self.drop, clear):
            return ()
        shut = shorter(self.drop, site.front.top_allowance)
        room = (
            min(site.seats[face].top for face in self.faces.faces)
            - self.height
            - corner_stitch(site)
        )
        drop = next(
            (each for each in (clear, site.front.top_allowance) if not shorter(room, each)), None
        )
        fixes: tuple[Fix, ...] = ()
        if drop is not None and (shut or drop == clear):
            label = say("Set the pocket drop to {value}", value=drop)
            fixes = (Fix(label, (("pocket_drop", drop),)),)
        lengths = {"value": self.drop, "limit": site.front.top_allowance}
        if not shut:
            lengths = {"value": self.drop - site.front.top_allowance, "limit": FOOT_ROOM}
        return (
            Finding(
                code="pocket-meets-zip" if shut else "pocket-near-zip",
                severity=Severity.STOP if shut else Severity.NOTE,
                figure="pocket_drop",
                value=self.drop,
                limit=site.front.top_allowance if shut else clear,
                message=Sentence(_MEETS_ZIP if shut else _NEAR_ZIP, lengths),
                fixes=fixes,
            ),
        )

    def _height_finding(self, site: Site) -> tuple[Finding, ...]:
        if not shorter(self.height, LOWEST):
            return ()
        cut, none = 2 * (LOWEST + self.seam), shorter(self.height, NO_POCKET)
        room = (
            min(site.seats[face].top for face in self.faces.faces) - self.drop - corner_stitch(site)
        )
        fixes: tuple[Fix, ...] = ()
        if not shorter(room, LOWEST):
            label = say("Cut the pocket {value} high", value=cut)
            fixes = (Fix(label, (("pocket_cut_height", cut),)),)
        return (
            Finding(
                code="pocket-low",
                severity=Severity.WARN if none else Severity.NOTE,
                figure="pocket_height",
                value=self.height,
                limit=NO_POCKET if none else LOWEST,
                message=Sentence(
                    _NO_POCKET if none else _LOW, {"value": self.height, "limit": LOWEST}
                ),
                fixes=fixes,
            ),
        )


_LOW = "The pocket is only {value} high: a hand needs {limit} to reach in."
_NO_POCKET = (
    "The pocket is only {value} high: its upper edge and its bottom stitching almost meet, "
    "and a hand needs {limit}."
)
_PAST_BOTTOM = "The {face} pocket runs {value} past the bottom, onto the other face."
_PAST_SEAM = "The {face} pocket runs {value} past the bottom seam, off its face."
_INTO_CORNER = "The {face} pocket runs {value} past the corner seam and into the corner cut."
_INTO_SEAM = "The {face} pocket runs {value} into the corner seam: its edge will be caught there."
_NEAR_ZIP = (
    "There is only {value} between the pocket's upper edge and the stitch line above it: "
    "the presser foot needs {limit} and would ride on the edge."
)
_MEETS_ZIP = (
    "The pocket's upper edge is {value} below the cut edge, above the stitch line at "
    "{limit}: it will be sewn shut."
)


def corner_stitch(site: Site) -> float:
    """Height of the corner seams' stitch line above the bottom line."""
    return site.front.low


_PIECES = {face: PieceId("pocket", PieceRole.PATCH, face) for face in FACES}


def pocket_piece(face: Face) -> PieceId:
    """The pocket on this face."""
    return _PIECES[face]


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
