"""Where parts may sit on a body, and where body and top meet. Lengths are mm."""

from collections.abc import Mapping
from dataclasses import dataclass

from core.base.sentences import mark
from core.flat.geometry import Frame2
from core.flat.piece import Point
from core.flat.roles import SIDES, EdgeRef, Face, PieceId, Role, SeamId, SeamRole, Side
from core.flat.seam import Seam
from core.model.figures import CutFigure


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Seat:
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

    def point(self, x: float, y: float) -> Point:
        """Where a point lies on the piece: x from the left cut edge, y up from the base line."""
        return self.frame.at((x - self.width / 2, y))

    @property
    def cornered(self) -> bool:
        """Whether there is a corner at either side of its lower end, cut out or sewn across."""
        return self.below in (Below.CORNER, Below.TIP)


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One stretch of the mouth: the top edge of a face, with the allowance of its seam."""

    face: Face
    edge: EdgeRef
    allowance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Mouth:
    """The top edges of a body, to which a top is sewn.

    Attributes:
        runs: the front's first.
        sides: side -> the front's and the back's edge that its side seam joins.
        width: of each run, as cut.
        trim: how much lower the front's run is cut than the back's.
        length: of the figure that lengthens the faces, as it is.
        length_figure, length_rate: that figure, and what each mm of both faces takes of it, mm.
        trim_figure, allowance_figure: names of the figures of its trim and its allowance; no name
            where the body cannot be trimmed.
    """

    runs: tuple[Run, ...]
    sides: Mapping[Side, tuple[EdgeRef, EdgeRef]]
    width: float
    trim: float
    length: float
    trim_figure: str
    length_figure: CutFigure
    length_rate: float
    allowance_figure: str

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
        """The two side seams, front to back.

        `ends` lie between front and back at the top of each; then the seam is one chain that is
        folded at its middle and sewn to itself.
        """
        return tuple(
            Seam(
                id=SeamId("body", SeamRole.SIDE, side=side),
                label=_SIDE_LABELS[side],
                one=(front,) if ends is None else (front, ends[side], back),
                other=(back,) if ends is None else (),
                backwards=side is Side.LEFT,
                to_itself=ends is not None,
                neatened=True,
            )
            for side, (front, back) in ((side, self.sides[side]) for side in SIDES)
        )


_SIDE_LABELS = {Side.LEFT: mark("side seam left"), Side.RIGHT: mark("side seam right")}


@dataclass(frozen=True, slots=True, kw_only=True)
class SewnOn:
    """What a part sews onto a face.

    Attributes:
        needs: how far below the cut top edge there must be cloth to sew it to.
        lowest: its lowest stitching above the base line: 0 where it crosses it.
    """

    face: Face
    needs: float
    lowest: float
