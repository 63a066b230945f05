"""A facing: a strip inside the top edge, sewn on all round and turned in. Lengths are mm."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, plural, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit
from core.flat.piece import CutFrom, Dimension, GrainTurn, Out, Piece, overall, rectangle
from core.flat.roles import (
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, settle_record
from core.model.findings import Allowance, Crossing, Finding, Fix, Severity
from core.site.owner import Surround
from core.site.site import FOOT_ROOM, QUARTER_INCH, Finished, Mouth, Site
from core.tops.facing.kind import FACING, FACING_DEPTH
from core.tops.hem.hem import unlevel_findings
from core.tops.top import Top, base_edge

if TYPE_CHECKING:
    from core.space.zones import Laid
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation

LOWER_HEM = QUARTER_INCH
"""What is turned under at the facing's lower edge (own choice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Facing(Top):
    """No zip: the top edge is sewn to a strip, which is turned in and stitched down.

    Attributes:
        depth: finished, from the top edge down.
    """

    depth: float

    KIND: ClassVar[str] = FACING.kind
    LABEL: ClassVar[Template] = FACING.label
    WORD: ClassVar[Template] = FACING.word
    FIGURES: ClassVar[tuple[CutFigure, ...]] = FACING.figures

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        return None if mouth.ring is None else say(_IN_A_RING)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "Facing":
        """2 in, or 50 mm; less on a low front (common practice, no source)."""
        site = around.site
        usual = 2 * MM_PER_INCH if site.unit is Unit.INCH else 50.0
        return cls(depth=max(min(usual, _room(site) / 2), _least(site)))

    def allowance(self, mouth: Mouth) -> Allowance:
        label = mark("seam at the facing")
        return Allowance(figure=mouth.allowance_figure, label=label, size=mouth.allowance)

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        """Where its own joins lie on the bag's seams: it is sewn on once those are sewn.

        There are a wall and both allowances of the seam, turned to one side, and of the facing
        two more, as its joins are pressed open.
        """
        cloth = site.goods(facing_piece(Face.FRONT).owner).pressed
        return (Crossing(_AT_A_SEAM, _THICK, laid_on=2 * cloth),)

    def cut_depth(self, mouth: Mouth) -> float:
        """Of the strip, mm: what is seen, its seam, and what is turned under."""
        return self.depth + mouth.allowance + LOWER_HEM

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """One for each run of the mouth, as wide as that."""
        return tuple(
            [
                _strip(
                    run.face,
                    (run.width, self.cut_depth(site.mouth)),
                    run.allowance,
                    site.seats[run.face].side_allowance,
                )
                for run in site.mouth.runs
            ]
        )

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        """What is cut beside each strip, and what of it is seen."""
        strips = (piece for piece in draft.pieces if piece.id.owner == "top")
        return {piece.id: (*overall(piece), self._seen(piece)) for piece in strips}

    def _seen(self, piece: Piece) -> Dimension:
        right = piece.bounds[2]
        lower, upper = (right, LOWER_HEM), (right, LOWER_HEM + self.depth)
        return Dimension(FACING_DEPTH.label, lower, upper, Out.RIGHT)

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        """Its joins to a ring, then that ring to the mouth."""
        joined = [*mouth.runs, mouth.runs[0]]
        two = len(mouth.runs) == 2
        joins = (
            Seam(
                id=SeamId("top", SeamRole.PART, one.face),
                label=_JOINS[one.face],
                # Once round, front first and then to the right.
                one=(facing_end(one.face, Side.RIGHT if not two or at == 0 else Side.LEFT),),
                other=(facing_end(other.face, Side.LEFT if not two or at else Side.RIGHT),),
            )
            for at, (one, other) in enumerate(pairwise(joined))
        )
        sewn = (
            Seam(
                id=SeamId("top", SeamRole.MOUTH, run.face),
                label=_SEAMS[run.face],
                one=(run.edge,),
                other=(EdgeRef(facing_piece(run.face), _UPPER),),
            )
            for run in mouth.runs
        )
        return (*joins, *sewn, *mouth.side_seams())

    def laid(self, site: Site) -> "Laid":
        """A band inside the top edge."""
        from core.space.zones import AreaKind, FaceArea, Laid  # only who folds asks

        areas = []
        for run in site.mouth.runs:
            seat = site.seats[run.face]
            right, top = seat.width / 2 - seat.side_allowance, seat.top - seat.top_allowance
            low = top - self.depth
            corners = ((-right, low), (right, low), (right, top), (-right, top))
            areas.append(FaceArea(run.face, AreaKind.FACING, facing_piece(run.face), corners))
        return Laid(areas=tuple(areas))

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        from core.tops.facing.operations import facing_opening

        return facing_opening(mouth)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.tops.facing.operations import facing_operations

        return facing_operations(bench, self)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        unlevel = unlevel_findings(site, _UNLEVEL)
        return (*unlevel, *_depth_findings(self, site), *_narrow_findings(self, site))


def _room(site: Site) -> float:
    """How deep a facing may be on the front: its foot still runs above the base, mm."""
    return site.front.top - site.front.top_allowance - base_edge(site) - FOOT_ROOM


def _least(site: Site) -> float:
    """How deep a facing is at least, on the ruler, mm."""
    return math.ceil((site.mouth.allowance + LOWER_HEM) / site.ruler - 1e-9) * site.ruler


def _narrow_findings(facing: Facing, site: Site) -> Iterator[Finding]:
    """Whether it covers the allowance inside, and what of its own is turned under.

    Common practice, no source.
    """
    least, deep = site.mouth.allowance + LOWER_HEM, _least(site)
    if not shorter(facing.depth, least):
        return
    fixes: tuple[Fix, ...] = ()
    if not shorter(_room(site), deep):
        fixes = (Fix(say("Make the facing {value} deep", value=deep), (("facing_depth", deep),)),)
    yield Finding(
        code="facing-narrow",
        severity=Severity.STOP if shorter(facing.depth, LOWER_HEM) else Severity.WARN,
        figure="facing_depth",
        value=facing.depth,
        limit=least,
        message=say(_NARROW, value=facing.depth, limit=least),
        fixes=fixes,
    )


def _depth_findings(facing: Facing, site: Site) -> Iterator[Finding]:
    room = _room(site)
    if not shorter(room, facing.depth):
        return
    fixes: tuple[Fix, ...] = ()
    if shorter(0.0, room):
        label = say("Make the facing {value} deep", value=room)
        fixes = (Fix(label, (("facing_depth", room),)),)
    yield Finding(
        code="facing-near-base",
        severity=Severity.STOP if shorter(room + FOOT_ROOM, facing.depth) else Severity.WARN,
        figure="facing_depth",
        value=facing.depth,
        limit=room if shorter(0.0, room) else None,
        message=say(_DEEP, value=facing.depth, limit=max(room, 0.0)),
        fixes=fixes,
    )


def facing_piece(face: Face) -> PieceId:
    """The strip along this face."""
    return PieceId("top", PieceRole.STRIP, face)


def facing_end(face: Face, side: Side) -> EdgeRef:
    """Its end at the right or the left as the face is seen from the front, or from outside."""
    return EdgeRef(facing_piece(face), EdgeId(EdgeRole.END, side=side))


def _strip(face: Face, size: tuple[float, float], top: float, side: float) -> Piece:
    right, left = (facing_end(face, each).edge for each in (Side.RIGHT, Side.LEFT))
    return Piece(
        id=facing_piece(face),
        label=_LABELS[face],
        edges=rectangle(
            ((_LOWER, _LOWER_EDGE), (right, _END), (_UPPER, _UPPER_EDGE), (left, _END)),
            size,
            allowances=(LOWER_HEM, side, top, side),
        ),
        cut_from=CutFrom.CLOTH,
        turn=GrainTurn.QUARTER,
    )


_LOWER, _UPPER = EdgeId(EdgeRole.LOWER), EdgeId(EdgeRole.UPPER)
_LOWER_EDGE, _UPPER_EDGE = mark("facing lower edge"), mark("facing upper edge")
_END = mark("facing end")
_LABELS = {
    Face.FRONT: mark("front facing"),
    Face.BACK: mark("back facing"),
    Face.LEFT: mark("left facing"),
    Face.RIGHT: mark("right facing"),
}
_SEAMS = {
    Face.FRONT: mark("facing seam front"),
    Face.BACK: mark("facing seam back"),
    Face.LEFT: mark("facing seam left"),
    Face.RIGHT: mark("facing seam right"),
}
_JOINS = {
    Face.FRONT: mark("join after the front facing"),
    Face.BACK: mark("join after the back facing"),
    Face.LEFT: mark("join after the left facing"),
    Face.RIGHT: mark("join after the right facing"),
}
_AT_A_SEAM = 3
_THICK = plural(
    "Where a seam and the facing's seam cross, 1 wall and the facing go under the presser foot, "
    "{value} thick when pressed; your machine takes {limit}.",
    "Where a seam and the facing's seam cross, {count} walls and the facing go under the presser "
    "foot, {value} thick when pressed; your machine takes {limit}.",
)
_IN_A_RING = mark(
    "A facing goes round a mouth that stays open, and this bag's strips close into a ring at the "
    "top: that takes a top strip."
)
_UNLEVEL = mark(
    "The front is cut {value} shorter than the back: the two top edges will not be level."
)
_NARROW = mark(
    "The facing is {value} deep: less than {limit}, it does not cover the seam allowance inside "
    "and what of its own edge is turned under, and does not hold."
)
_DEEP = mark(
    "The facing is {value} deep, and above the base edge there is room for {limit}: its lower "
    "stitching would run into the bottom."
)
