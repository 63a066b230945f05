"""Two panels and a strip sewn round them: the gusset strip, and the wrap. Lengths are mm."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from core.base.errors import FieldError
from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.bodies.body import Body, BoxNames
from core.bodies.gusset_strip import choices, solving
from core.bodies.gusset_strip.allowances import (
    crossings,
    other_allowances,
    own_allowances,
    upside_down,
)
from core.bodies.gusset_strip.draft import (
    RIGHT_ANGLE,
    body_dimensions,
    draft_pieces,
    join_seams,
    ring_seams,
)
from core.bodies.gusset_strip.findings import body_findings
from core.bodies.gusset_strip.limits import body_limits
from core.bodies.gusset_strip.making import fresh_body, opened_or_closed
from core.bodies.gusset_strip.measure import body_sizes
from core.bodies.gusset_strip.places import body_mouth, body_seats
from core.bodies.gusset_strip.room import room_finding
from core.bodies.gusset_strip.sizes import (
    CUT,
    FINISHED,
    FRONT_TRIM,
    GUSSET,
    TOP_STRIP_LENGTH,
    UPPER_ROUNDING,
    WRAP,
    Faces,
)
from core.bodies.rounded import CORNER_RADIUS
from core.flat.piece import Dimension, Piece
from core.flat.roles import FACES, PieceId
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, FinishedFigure, Limit, settle_record
from core.model.findings import Allowance, Crossing, Finding
from core.model.record import Solving
from core.site.owner import Choice, KeepSizes, Surround
from core.site.site import Floor, Site

if TYPE_CHECKING:
    from core.space.patches import Quarter
    from core.space.zones import Closing, Folding
    from core.work.bench import Bench, ClosingWork
    from core.work.operation import Marking, Operation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class StripBody(Body):
    """Two panels of one size, and a strip sewn round them.

    Attributes:
        face_cut_width, face_cut_height: of either panel.
        corner_rounding, upper_rounding: radius of the cut edge at its lower corners, and at its
            upper ones, which an open ring leaves square; 0: square.
        strip_width: of the strip.
        strip_length: of the strip from end to end, as if cut in one piece.
        strip_pieces: how many equal pieces it is joined of.
        top_strip_length: of the top strip that closes the ring; 0: the ring is open at the top.
        gusset_seam: allowance of strip and panels all round.
        strip_seam: allowance of the strip's joins, and of those to the top strip.
        top_seam: allowance of the top edges of an open ring; with a top strip that of its zip.
    """

    face_cut_width: float
    face_cut_height: float
    corner_rounding: float = 0.0
    upper_rounding: float = 0.0
    strip_width: float
    strip_length: float
    strip_pieces: int = 1
    top_strip_length: float = 0.0
    gusset_seam: float
    strip_seam: float
    top_seam: float

    MAKES: ClassVar[Faces]
    """Which faces panels and strip are."""
    BOX: ClassVar[BoxNames] = BoxNames(
        width="face_width", rounding=CORNER_RADIUS.name, gap="opening_width"
    )
    WORD: ClassVar[Template] = choices.GUSSET_STRIP.word
    CAPACITY: ClassVar[str] = "box_volume"
    SIZE_TOLD: ClassVar[Template] = mark(
        "finished {face_width}\u00a0×\u00a0{gusset_depth}\u00a0×\u00a0{face_height}"
    )
    SOLVING: ClassVar[Solving] = solving.SOLVING
    CHOICES: ClassVar[tuple[Choice, ...]] = choices.CHOICES
    FIGURES: ClassVar[tuple[CutFigure, ...]] = CUT
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = FINISHED

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> Self:
        return fresh_body(cls, around)

    def __post_init__(self) -> None:
        if not self.top_strip_length:  # an open ring has square corners at its top
            object.__setattr__(self, "upper_rounding", 0.0)
        settle_record(self, self.FIGURES)
        for limit in self.limits():
            limit.check()

    @property
    def closed(self) -> bool:
        """Whether the ring is closed by a top strip."""
        return self.top_strip_length > 0.0

    @property
    def panel_top_allowance(self) -> float:
        """Of the panels' top edges: that of the ring where it goes all round."""
        return self.gusset_seam if self.closed else self.top_seam

    @property
    def end_allowance(self) -> float:
        """Of the strip's two ends."""
        return self.strip_seam if self.closed else self.top_seam

    def end_allowances(self, number: int) -> tuple[float, float]:
        """Of the lower and the upper end of a piece of the strip."""
        first, last = number == 0, number == self.strip_pieces - 1
        end, join = self.end_allowance, self.strip_seam
        return end if first else join, end if last else join

    def strip_ends(self, number: int) -> tuple[float, float]:
        """Where a piece of the strip ends on its stitch lines, from the middle of the whole."""
        length, pieces = self.drawn_strip, self.strip_pieces
        return (number / pieces - 0.5) * length, ((number + 1) / pieces - 0.5) * length

    @property
    def stitched_radius(self) -> float:
        """Of the lower corners' stitch lines; 0 where they are square."""
        return self.corner_rounding - self.gusset_seam if self.corner_rounding > 0.0 else 0.0

    @property
    def stitched_upper_radius(self) -> float:
        """Of the upper corners' stitch lines; 0 where they are square."""
        return self.upper_rounding - self.gusset_seam if self.upper_rounding > 0.0 else 0.0

    @property
    def bottom_half(self) -> float:
        """Half of the panel's width between its stitch lines."""
        return self.face_cut_width / 2 - self.gusset_seam

    @property
    def lower_arc(self) -> float:
        """Length of a lower corner on its stitch line."""
        return self.stitched_radius * RIGHT_ANGLE

    @property
    def drawn_strip(self) -> float:
        """Length of the strip between its two ends' stitch lines."""
        return self.strip_length - 2 * self.end_allowance

    @property
    def drawn_gap(self) -> float:
        """Length of the top strip between its two joins; 0 without one."""
        return self.top_strip_length - 2 * self.strip_seam if self.closed else 0.0

    @property
    def above_legs(self) -> float:
        """How much higher than the strip's two ends the bag's top lies; 0 of an open ring."""
        if not self.closed:
            return 0.0
        high, upper = self.face_cut_height - 2 * self.gusset_seam, self.stitched_upper_radius
        up = self.drawn_strip / 2 - self.bottom_half + (2.0 - RIGHT_ANGLE) * self.stitched_radius
        along = upper - (high - up)  # how far an end lies along an upper corner
        if along <= 0.0:
            return high - up
        return upper * (1.0 - math.sin(min(along / upper, RIGHT_ANGLE))) if upper else 0.0

    @property
    def drawn_edge(self) -> float:
        """Length of what the strip is sewn to on one panel: with a top strip once round it."""
        high = self.face_cut_height - self.gusset_seam - self.panel_top_allowance
        less = (4.0 - math.pi) * self.stitched_radius
        if not self.closed:
            return 2 * self.bottom_half + 2 * high - less
        less += (4.0 - math.pi) * self.stitched_upper_radius
        return 4 * self.bottom_half + 2 * high - less

    def having(self, sizes: Mapping[str, float]) -> Self:
        """The same with other values of these attributes; a FieldError where it cannot be so."""
        changes: dict[str, Any] = dict(sizes)
        return replace(self, **changes)

    def can_be(self, sizes: Mapping[str, float], site: Site) -> bool:
        """Whether it can have these values of these attributes, and what is sewn on its cloth."""
        try:
            seats = self.having(sizes).seats()
        except FieldError:
            return False
        if not all(shorter(site.reach(face), seats[face].top) for face in FACES):
            return False
        under = (each.face for each in site.sewn_on if not shorter(0.0, each.lowest))
        return all(seats[face].flat_below or not site.seats[face].flat_below for face in under)

    def made_for(self, site: Site | None, *, closes_ring: bool) -> Self:
        return opened_or_closed(self, site, closes_ring=closes_ring)

    def value(self, figure: CutFigure, site: Site) -> float | None:
        """None of what an open ring lacks."""
        if figure in (TOP_STRIP_LENGTH, UPPER_ROUNDING) and not self.closed:
            return None
        return Body.value(self, figure, site)

    def lacks(self, figure: CutFigure) -> Sentence | None:
        if figure in (TOP_STRIP_LENGTH, UPPER_ROUNDING):
            return say("the strip of this bag is open at the top.")
        if figure is FRONT_TRIM:
            return say("both panels of this bag are equally high.")
        return None

    def allowances(self, top: Allowance) -> tuple[Allowance, ...]:
        return own_allowances(self, top)

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        return crossings(site, joined=self.closed or self.strip_pieces > 1)

    def seam_findings(self, site: Site, keep: KeepSizes) -> tuple[Finding, ...]:
        return tuple(upside_down(self, site, keep))

    def applies(self, name: str) -> bool:
        """What belongs to the top strip goes with it, and joins only with what is joined."""
        if name in ("top_strip_length", "upper_rounding"):
            return self.closed
        return name != "strip_seam" or self.closed or self.strip_pieces > 1

    def cut_size(self, walls: Sequence[Piece]) -> tuple[Template, Mapping[str, float]]:
        """Of either panel, and of the strip."""
        return mark("Panels {width} × {height}, strip {deep} × {length}"), {
            "width": self.face_cut_width,
            "height": self.face_cut_height,
            "deep": self.strip_width,
            "length": self.strip_length,
        }

    def limits(self) -> tuple[Limit, ...]:
        return body_limits(self)

    def floor(self) -> Floor:
        radius = self.stitched_radius
        return Floor(bend=radius) if self.MAKES is GUSSET else Floor(bend_within=radius)

    def seams(self) -> tuple[Seam, ...]:
        """The joins of the strip, and round an open ring the panels; else the top tells those."""
        joins = join_seams(self.MAKES, self.strip_pieces)
        if self.closed:
            return joins
        rounded = self.corner_rounding > 0.0
        return (*joins, *ring_seams(self.MAKES, self.strip_pieces, rounded=rounded))

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        own = (piece for piece in draft.walls if piece.id.owner == "body")
        return {piece.id: body_dimensions(self, piece) for piece in own}

    def folding(self, draft: Draft, closing: "Closing | None") -> "Folding":
        from core.bodies.gusset_strip.space import strip_folding  # which knows this class

        return strip_folding(self, draft, closing)

    def quarter(self, draft: Draft, closing: "Closing | None", *, board: bool) -> "Quarter":
        from core.bodies.gusset_strip import filled  # numpy is loaded with the first filling

        return filled.quarter(self, draft, closing, board=board)

    def closing_work(self) -> "ClosingWork":
        from core.bodies.gusset_strip.closing import closing_of  # none of this is needed to draw it

        return closing_of(self)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        from core.bodies.gusset_strip.operations import strip_markings

        return strip_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.bodies.gusset_strip.operations import strip_operations

        return strip_operations(bench, self)

    # How it is drawn and measured, and what is doubtful about it, stands in rooms of its own.
    seats, mouth, pieces, measured = body_seats, body_mouth, draft_pieces, body_sizes
    findings, room, with_allowances = body_findings, room_finding, other_allowances

    # What the solver asks is answered beside what it is told.
    may_change, bends = solving.may_change, solving.bends
    shapes, shaped = solving.shapes, solving.shaped
    fill_limits, joined_as = solving.fill_limits, solving.joined_as


class GussetStrip(StripBody):
    """Front and back, and a strip round them that makes sides and bottom."""

    __slots__ = ()

    KIND: ClassVar[str] = choices.GUSSET_STRIP.kind
    LABEL: ClassVar[Template] = choices.GUSSET_STRIP.label
    ABOUT: ClassVar[Template] = mark(
        "Front and back, and a strip sewn round them that makes both sides and the bottom."
    )
    MAKES: ClassVar[Faces] = GUSSET


class Wrap(StripBody):
    """Two ends, and a strip round them that makes front, bottom and back."""

    __slots__ = ()

    KIND: ClassVar[str] = choices.WRAP.kind
    LABEL: ClassVar[Template] = choices.WRAP.label
    ABOUT: ClassVar[Template] = mark(
        "A strip that makes front, bottom and back, sewn round a panel at each end."
    )
    MAKES: ClassVar[Faces] = WRAP
