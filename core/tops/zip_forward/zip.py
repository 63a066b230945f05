"""A zip that comes to lie on the front face.

The zip is laid between the top edges of front and back; because the front is cut shorter
by the front trim, its centre lies half of the trim down the front. Lengths are mm.
"""

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, say
from core.flat.geometry import Frame2
from core.flat.piece import Piece
from core.flat.roles import FACES, SIDES, EdgeRef, Face, SeamId, SeamRole, Side
from core.flat.seam import Draft, Seam, chain_length
from core.model.figures import FinishedFigure
from core.model.record import Solving
from core.site.owner import Surround
from core.site.site import Finished, Mouth, Site
from core.tops.zip_forward.findings import zip_findings
from core.tops.zip_forward.kind import ZIP_FORWARD
from core.tops.zips.zipped import ZIP, ZIP_ENDS, Zipped, new_tape, new_zip, tape_edge

if TYPE_CHECKING:
    from core.space.zones import Closing
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation


class ZipForward(Zipped):
    """A zip, sewn in between the top edges of front and back."""

    __slots__ = ()

    SOLVING: ClassVar[Solving] = Solving(aims=("zip_offset",))
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ZIP_FORWARD.finished
    TRIMMED: ClassVar[bool] = True
    KIND: ClassVar[str] = ZIP_FORWARD.kind
    LABEL: ClassVar[Template] = ZIP_FORWARD.label

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        if mouth.ring is not None:
            return say(_IN_A_RING)
        if not mouth.closes_flat:
            return say(_OPEN_BOX)
        return None if len(mouth.sides) == len(SIDES) else say(_NO_SIDES)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "ZipForward":
        """One that is sold, long enough, whose tape leaves its slider free of the zip seams."""
        site = around.site
        return cls(tape_width=new_tape(site), **new_zip(around, site.mouth.width))

    def shows(self, mouth: Mouth) -> float:
        return self.tape_width - 2 * mouth.allowance

    def shows_more(self, wanted: Mapping[str, float], mouth: Mouth) -> float:
        """A wider tape shows more, wider seams less."""
        tape = wanted.get("zip_tape_width", self.tape_width)
        seam = wanted.get(mouth.allowance_figure, mouth.allowance)
        return tape - self.tape_width - 2 * (seam - mouth.allowance)

    findings = zip_findings

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        zips = tuple([_zip_seam(run.face, run.edge) for run in mouth.runs])
        return zips + mouth.side_seams(ZIP_ENDS)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The zip as trimmed, in the width of the front."""
        return (self.tape(site, FACES, site.front.side_allowance),)

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        from core.tops.zip_forward.operations import zip_opening

        return zip_opening(drawn, finished)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.tops.zip_forward.operations import zip_operations

        return zip_operations(bench, self)

    def measured(self, draft: Draft) -> Finished:
        """Walk the side seam from the back's corner up: half way round is the top fold."""
        side = draft.walked_seams(SeamRole.SIDE)[0]
        _front, zip_end, back = side.seam.one
        zip_width = chain_length((zip_end,), draft.outlines)
        clearance = chain_length((back,), draft.outlines) - side.length
        return {"zip_clearance": clearance, "zip_offset": clearance + zip_width / 2}

    def closing(self, draft: Draft) -> "Closing":
        from core.space.zones import Closing  # only who folds asks

        outline = draft.outlines[ZIP]
        front = outline.line(tape_edge(Face.FRONT).edge)[0][1]
        width = outline.length(ZIP_ENDS[Side.RIGHT].edge)
        return Closing(piece=ZIP, width=width, frame=Frame2((0.0, -front)))


_ZIP_SEAMS = {Face.FRONT: mark("zip seam front"), Face.BACK: mark("zip seam back")}


@cache
def _zip_seam(face: Face, edge: EdgeRef) -> Seam:
    return Seam(
        id=SeamId("top", SeamRole.MOUTH, face),
        label=_ZIP_SEAMS[face],
        one=(edge,),
        other=(tape_edge(face),),
    )


_IN_A_RING = mark(
    "This zip joins the top edges of front and back, and here a ring of strips lies between them: "
    "that takes a top strip."
)
_OPEN_BOX = mark(
    "This zip joins the top edges of front and back, with a side seam at both ends; this bag's "
    "mouth stands open as a box and has edges at its sides too: it can have a hem, a facing or a "
    "top strip."
)
_NO_SIDES = mark(
    "The ends of this zip are caught in a side seam on either side, and this bag has no such "
    "seams: it can have a hem or a facing, or be rolled down."
)
