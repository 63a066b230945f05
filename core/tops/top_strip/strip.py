"""Two strips with a zip between them, on top of a bag that stands as a box.

They close a ring of strips between two panels, or lie as a lid on four top edges. Lengths are mm.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from core.base.sentences import Sentence, Template, mark, say
from core.flat.geometry import Frame2
from core.flat.piece import CutFrom, Fold, GrainTurn, Piece, rectangle
from core.flat.roles import (
    FACES,
    SIDES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    FoldRole,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, Limit
from core.model.findings import Finding
from core.site.owner import Surround
from core.site.site import Finished, Mouth, Site
from core.tops.top_strip.findings import strip_findings
from core.tops.top_strip.kind import TOP_STRIP
from core.tops.zips.zipped import ZIP, ZIP_ENDS, Zipped, new_tape, new_zip, tape_edge

if TYPE_CHECKING:
    from core.space.zones import Closing
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation

TAB_REACH = 20.0
"""From the join to the fold of a tab, mm: what a finger and thumb hold (own choice)."""


class Place(NamedTuple):
    """What the strips close, mm.

    Attributes:
        faces: those that the two strips are sewn to.
        length: of the strips, cut.
        depth: between the stitch lines of those faces.
        seam, end_seam: allowances of their long outer edges, and of their ends.
    """

    faces: tuple[Face, Face]
    length: float
    depth: float
    seam: float
    end_seam: float

    def end_face(self, side: Side) -> Face:
        """The face at an end of the strips: as their right sides are seen, the first one below."""
        ends = (Face.LEFT, Face.RIGHT) if self.faces == FACES else (Face.BACK, Face.FRONT)
        return ends[SIDES.index(side)]


def place_of(mouth: Mouth) -> Place:
    """Between the panels of a ring; or on four edges, of which front and back are the long ones."""
    if (ring := mouth.ring) is not None:
        first, second = ring.panels
        return Place((first, second), ring.length, ring.depth, ring.seam, ring.end_seam)
    front, side = mouth.runs[:2]
    seam = mouth.allowance
    wide, deep = (each.width - 2 * each.end_allowance for each in (front, side))
    return Place(FACES, wide + 2 * seam, deep, seam, seam)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class TopStrip(Zipped):
    """A zip between two half strips.

    Attributes:
        shift: how far the zip lies off the middle, away from the first half, which is as much
            wider, mm; either sign.
    """

    shift: float = 0.0

    KIND: ClassVar[str] = TOP_STRIP.kind
    LABEL: ClassVar[Template] = TOP_STRIP.label
    CLOSES_RING: ClassVar[bool] = True
    FIGURES: ClassVar[tuple[CutFigure, ...]] = TOP_STRIP.figures

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        if mouth.ring is not None or len(mouth.runs) == len(_ROUND):
            return None
        told = (_ROUNDED if mouth.sides else _ROUNDED_ONE) if mouth.rounded else _FLAT
        return say(told)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "TopStrip":
        """One that is sold, long enough, in the middle; narrower where the bag is shallow."""
        site = around.site
        place = place_of(site.mouth)
        most = 2 * site.mouth.allowance + place.depth / 2
        tape = min(new_tape(site), most) if place.depth > 0.0 else new_tape(site)
        return cls(tape_width=tape, **new_zip(around, place.length))

    def spans(self, mouth: Mouth) -> float:
        return place_of(mouth).length

    def zip_shows(self, mouth: Mouth) -> float:
        """What shows of the zip between its two seams, mm."""
        return self.tape_width - 2 * mouth.allowance

    def half_widths(self, mouth: Mouth) -> tuple[float, float]:
        """Cut widths of the two half strips, mm."""
        place = place_of(mouth)
        even = (place.depth - self.zip_shows(mouth)) / 2 + mouth.allowance + place.seam
        return even + self.shift, even - self.shift

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        """The tape is between its seams; beside it there is something of both halves."""
        tape, _, shift = self.FIGURES
        depth, shows = place_of(mouth).depth, self.zip_shows(mouth)
        room, most = (depth - shows) / 2, mark("it must be less than {limit}, or no strip is left.")
        least = mark("it must be more than {limit}, or no strip is left.")
        return (
            *Zipped.limits(self, mouth),
            Limit(tape, self.tape_width, depth + 2 * mouth.allowance, most),
            Limit(shift, self.shift, room, most),
            Limit(shift, self.shift, -room, least, above=True),
        )

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The two half strips, the zip as trimmed, and the tabs at its ends."""
        place = place_of(site.mouth)
        widths = self.half_widths(site.mouth)
        halves = (
            _half(face, place, width, site.mouth.allowance, first=first)
            for face, width, first in zip(place.faces, widths, (True, False), strict=True)
        )
        return (*halves, self.tape(site, place.faces, place.end_seam), self._tab(place))

    def _tab(self, place: Place) -> Piece:
        """It is folded in half over the end of the zip, its raw edges level with that."""
        size, seam = (self.tape_width, 2 * (TAB_REACH + place.end_seam)), place.end_seam
        return Piece(
            id=TAB,
            label=_TAB,
            edges=rectangle(_TAB_EDGES, size, allowances=(seam, 0.0, seam, 0.0)),
            folds=(Fold(FoldRole.MIDDLE, *_TAB_SIDES, size[1] / 2, _TAB_FOLD),),
            count=2,
            cut_from=CutFrom.CLOTH,
            turn=GrainTurn.QUARTER,
            notes=(say(_TAB_NOTE),),
        )

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        """Of the zip to both halves; then of these to what they close."""
        faces = place_of(mouth).faces
        zips = tuple([_zip_seam(face) for face in faces])
        if mouth.ring is None:
            return (*zips, *_lid_seams(mouth))
        place = place_of(mouth)
        joins = tuple(
            [
                _end_seam(faces, side, end, place.end_face(side))
                for side, end in mouth.ring.ends.items()
            ]
        )
        return (*zips, *joins, *mouth.ring_seams({face: half_edge(face) for face in faces}))

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        return strip_findings(self, site, finished)

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        from core.tops.top_strip.operations import strip_opening

        return strip_opening(self, mouth)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.tops.top_strip.operations import strip_operations

        return strip_operations(bench, self)

    def closing(self, draft: Draft) -> "Closing":
        from core.space.zones import AreaKind, Closing, ClosingRow  # only who folds asks

        rows: list[ClosingRow] = []
        low = 0.0
        first, second = (piece.id for piece in draft.walls if piece.id.owner == "top")
        for piece, kind in ((first, AreaKind.WALL), (ZIP, AreaKind.TAPE), (second, AreaKind.WALL)):
            outline = draft.outlines[piece]
            lower, right = (each.id for each in outline.piece.edges[:2])
            (start, y), (end, _) = outline.line(lower)
            high = low + outline.length(right)
            frame = Frame2((-(start + end) / 2, low - y))
            rows.append(ClosingRow(piece, kind, low, high, frame))
            low = high
        length = draft.outlines[ZIP].length(tape_edge(_face(first)).edge)
        return Closing(piece=ZIP, width=low, frame=rows[1].frame, rows=tuple(rows), length=length)


def _face(piece: PieceId) -> Face:
    if piece.face is None:
        raise ValueError(f"{piece} lies on no face")
    return piece.face


def half_piece(face: Face) -> PieceId:
    """The half strip that is sewn to this face."""
    return _HALVES[face]


def half_edge(face: Face) -> EdgeRef:
    """Its edge that is sewn to this face."""
    return EdgeRef(_HALVES[face], EdgeId(EdgeRole.SIDE, face))


def zip_edge(face: Face) -> EdgeRef:
    """Its edge that the zip is sewn to."""
    return EdgeRef(_HALVES[face], EdgeId(EdgeRole.UPPER, face))


def half_end(face: Face, side: Side) -> EdgeRef:
    """Its end."""
    return EdgeRef(_HALVES[face], EdgeId(EdgeRole.END, face, side))


def _half(face: Face, place: Place, width: float, zip_seam: float, *, first: bool) -> Piece:
    """As seen from above: the first face's below, its long outer edge at the bottom."""
    outer, inner = (half_edge(face).edge, _OUTER), (zip_edge(face).edge, _INNER)
    ends = [(half_end(face, side).edge, _END) for side in (Side.RIGHT, Side.LEFT)]
    long = ((outer, place.seam), (inner, zip_seam))
    (low, low_seam), (high, high_seam) = long if first else long[::-1]
    return Piece(
        id=_HALVES[face],
        label=HALF_LABELS[face],
        edges=rectangle(
            (low, ends[0], high, ends[1]),
            (place.length, width),
            allowances=(low_seam, place.end_seam, high_seam, place.end_seam),
        ),
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        grain=(1.0, 0.0),
        sized_by=("top_strip_length", ""),
    )


def _across(faces: tuple[Face, Face], side: Side) -> tuple[EdgeRef, ...]:
    """The ends of half strips and zip at one side, the other way round than the bag runs."""
    first, second = faces
    chain = half_end(first, side), ZIP_ENDS[side], half_end(second, side)
    return chain if side is Side.LEFT else chain[::-1]


@cache
def _zip_seam(face: Face) -> Seam:
    seam = SeamId("top", SeamRole.ZIP, face)
    return Seam(id=seam, label=_ZIP_SEAMS[face], one=(zip_edge(face),), other=(tape_edge(face),))


@cache
def _end_seam(faces: tuple[Face, Face], side: Side, end: EdgeRef, face: Face) -> Seam:
    return Seam(
        id=SeamId("top", SeamRole.STRIP, side=side),
        label=_JOINS[face],
        one=(end,),
        other=_across(faces, side),
        caught=tuple(EdgeRef(TAB, edge) for edge, _ in _TAB_EDGES[::2]),
        neatened=True,
    )


def _lid_seams(mouth: Mouth) -> Iterator[Seam]:
    """Round the four top edges."""
    for run in mouth.runs:
        side = _SIDE_OF.get(run.face)
        yield Seam(
            id=SeamId("top", SeamRole.MOUTH, run.face),
            label=_LID_SEAMS[run.face],
            one=(run.edge,),
            other=(half_edge(run.face),) if side is None else _across(FACES, side),
            neatened=True,
        )


_ROUND = (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)
_SIDE_OF: Mapping[Face, Side] = dict(zip((Face.LEFT, Face.RIGHT), SIDES, strict=True))
_HALVES = {face: PieceId("top", PieceRole.WALL, face) for face in _ROUND}
TAB = PieceId("top", PieceRole.PATCH)
_TAB_SIDES = EdgeId(EdgeRole.SIDE, side=Side.LEFT), EdgeId(EdgeRole.SIDE, side=Side.RIGHT)
_TAB_EDGES = (
    (EdgeId(EdgeRole.LOWER), mark("tab end")),
    (_TAB_SIDES[1], mark("tab side")),
    (EdgeId(EdgeRole.UPPER), mark("tab end")),
    (_TAB_SIDES[0], mark("tab side")),
)
_TAB, _TAB_FOLD = mark("zip tab"), mark("tab fold")
_TAB_NOTE = mark("Fold in half, wrong sides together, over the end of the zip.")
_OUTER, _INNER, _END = mark("long edge"), mark("zip edge"), mark("end")
HALF_LABELS = {
    Face.FRONT: mark("front half of the top strip"),
    Face.BACK: mark("back half of the top strip"),
    Face.LEFT: mark("left half of the top strip"),
    Face.RIGHT: mark("right half of the top strip"),
}
_ZIP_SEAMS = {
    Face.FRONT: mark("zip seam front"),
    Face.BACK: mark("zip seam back"),
    Face.LEFT: mark("zip seam left"),
    Face.RIGHT: mark("zip seam right"),
}
_JOINS = {
    Face.LEFT: mark("top strip join left"),
    Face.RIGHT: mark("top strip join right"),
    Face.FRONT: mark("top strip join front"),
    Face.BACK: mark("top strip join back"),
}
_LID_SEAMS = {
    Face.FRONT: mark("top seam front"),
    Face.BACK: mark("top seam back"),
    Face.LEFT: mark("top seam left"),
    Face.RIGHT: mark("top seam right"),
}
_FLAT = mark(
    "A top strip closes a mouth that stands open as a box; the front and the back of this bag lie "
    "flat together at the top, which can have a zip between them, a hem or a facing, or be rolled "
    "down."
)
_ROUNDED = mark(
    "A top strip lies square on four walls, and the corners of this base are rounded: with a "
    "corner rounding of 0 it could. As it is, this top can have a zip, a hem or a facing, or be "
    "rolled down."
)
_ROUNDED_ONE = mark(
    "A top strip lies square on four walls, and the corners of this base are rounded: with a "
    "corner rounding of 0 it could. As it is, this top can have a hem or a facing, or be rolled "
    "down."
)
