"""The panel: back, bottom and front in one, or two faces joined by a bottom seam.

Frame: x across from the left cut edge; y from the bottom line (the fold, or the stitch
line of the bottom seam), positive up the front, negative up the back. Lengths are mm.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import same_length, shorter
from core.bodies.body import Body
from core.bodies.boxed_panel import choices
from core.bodies.boxed_panel import sizes as redesign
from core.bodies.boxed_panel.allowances import (
    other_allowances,
    panel_crossings,
    seam_findings_of,
    stands_as_well,
)
from core.bodies.boxed_panel.draft import (
    bottom_seams,
    corner_seams,
    draft_panel,
    panel_dimensions,
    panel_mouth,
    panel_seats,
)
from core.bodies.boxed_panel.findings import panel_findings
from core.bodies.boxed_panel.measure import as_closed, panel_sizes, room_finding
from core.bodies.boxed_panel.sizes import CUT, FINISHED, SEWN_ACROSS, Bottom, Corners, Tips, wall_of
from core.bodies.trim import usual_trim
from core.flat.piece import Dimension, Piece
from core.flat.roles import EdgeId, EdgeRef, Face, PieceId
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, FinishedFigure, Limit, settle_record
from core.model.findings import Allowance, Crossing
from core.model.record import Detail, Solving
from core.site.owner import Choice, Surround
from core.site.site import Finished, Site

if TYPE_CHECKING:
    from core.space.patches import Quarter
    from core.space.zones import Closing, Folding
    from core.work.bench import Bench, ClosingWork
    from core.work.operation import Marking, Operation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class BoxedPanel(Body):
    """One flat piece, or two faces joined by a bottom seam, that make back, bottom and front.

    Attributes:
        width: across, cut.
        length: before the front trim, cut; both faces together.
        front_trim: how much shorter the front is cut than the back.
        corners: whether corners are cut out, or sewn across; what belongs to the other way is 0.
        corner_width, corner_depth: corner cut along the bottom, and up from the bottom
            fold or bottom cut edge, on one layer. Both 0: no corners, a plain pillow.
        corner_mark: from the end of the side seam's stitching to the seam across the corner, on
            one layer. 0: no corners.
        tips: what becomes of the corners beyond that seam.
        side_seam, corner_seam, top_seam: allowances; `top_seam` joins the zip, or hems.
        bottom_seam: allowance of a bottom seam; 0 means that the bottom is a fold.
    """

    width: float
    length: float
    front_trim: float
    corners: Corners = Corners.CUT
    corner_width: float = 0.0
    corner_depth: float = 0.0
    corner_mark: float = 0.0
    tips: Tips = Tips.TRIMMED
    side_seam: float
    corner_seam: float
    top_seam: float
    bottom_seam: float = 0.0

    KIND: ClassVar[str] = choices.BOXED_PANEL.kind
    LABEL: ClassVar[Template] = choices.BOXED_PANEL.label
    ABOUT: ClassVar[Template] = mark(
        "One panel folded at the bottom, or two, whose lower corners are sewn to give it its depth."
    )
    WORD: ClassVar[Template] = choices.BOXED_PANEL.word
    CHOSEN: ClassVar[Mapping[str, type[Enum]]] = {"bottom": Bottom}
    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "corners": Detail(help=mark("How the bottom gets its depth.")),
        "tips": Detail(
            help=mark("What becomes of the tips beyond the corner seams."), when=SEWN_ACROSS
        ),
    }
    CAPACITY: ClassVar[str] = "box_volume"
    SIZE_TOLD: ClassVar[Template] = mark(
        "finished {base_width}\u00a0×\u00a0{gusset_depth}\u00a0×\u00a0{face_height}"
    )
    SOLVING: ClassVar[Solving] = redesign.SOLVING
    CHOICES: ClassVar[tuple[Choice, ...]] = choices.CHOICES
    FIGURES: ClassVar[tuple[CutFigure, ...]] = CUT
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = FINISHED

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "BoxedPanel":
        """As large as the bag around it; with corners where that has a depth.

        A zip without an offset is given one that clears the top fold by a seam.
        """
        site, seam = around.site, around.site.new_allowance
        sizes, edge = around.finished, site.mouth.allowance
        wide, high, depth, base = (
            sizes[name] or 0.0
            for name in ("opening_width", "face_height", "gusset_depth", "base_width")
        )
        # Where a rounding takes of the flat bottom, the face is as wide as the box.
        base = sizes.get("face_width") or base
        half = depth / 2 if shorter(seam, depth / 2) else 0.0
        if half and base:
            wide = base + depth
        length = 2 * (high + half + edge) - site.shows
        trim = usual_trim(around, length / 2)
        return cls(
            width=wide + 2 * seam,
            length=length + trim,
            front_trim=trim,
            corner_width=half,
            corner_depth=max(half - seam, 0.0),
            side_seam=seam,
            corner_seam=seam,
            top_seam=edge,
        )

    def __post_init__(self) -> None:
        # What belongs to the other way is nothing: equal bags are equal.
        unused: dict[str, object] = {"corner_mark": 0.0, "tips": Tips.TRIMMED}
        if self.sewn_across:
            unused = {"corner_width": 0.0, "corner_depth": 0.0}
        for attribute, nothing in unused.items():
            object.__setattr__(self, attribute, nothing)
        settle_record(self, self.FIGURES)
        for limit in self.limits():
            limit.check()

    def limits(self) -> tuple[Limit, ...]:
        front, half = self.front_length, self.width / 2
        room = front - self.bottom_seam
        return (
            Limit(_TRIM, self.front_trim, self.back_length, _WITHIN_BACK),
            Limit(_TOP_SEAM, self.top_seam, room, _WITHIN_FRONT),
            Limit(_SIDE_SEAM, self.side_seam, half, _WITHIN_HALF),
            *self._corner_limits(),
        )

    def _corner_limits(self) -> tuple[Limit, ...]:
        front, half = self.front_length, self.width / 2
        if not self.sewn_across:
            return (
                Limit(_CORNER_WIDTH, self.corner_width, half, _WITHIN_HALF),
                Limit(_CORNER_DEPTH, self.corner_depth, front, _WITHIN_FRONT),
            )
        if not self.has_corners:
            return ()
        mark, seam = self.corner_mark, self.corner_seam
        most = (
            Limit(_CORNER_MARK, mark, half + seam - self.side_seam, _CORNERS_MEET),
            Limit(_CORNER_MARK, mark, front + seam - self.bottom_seam, _CORNERS_REACH),
        )
        if self.tips is Tips.LEFT_IN:
            return most
        least = seam - min(self.side_seam, self.bottom_seam)
        return (*most, Limit(_CORNER_MARK, mark, least, _OFF_THE_TIP, above=True, reachable=True))

    def cut_size(self, walls: Sequence[Piece]) -> tuple[Template, Mapping[str, float]]:
        """After the front trim; of both panels where there are two."""
        width, front, back = self.width, self.front_length, self.back_length
        if self.folded:
            return mark("Panel {width} × {length}"), {
                "width": width,
                "length": self.length - self.front_trim,
            }
        if same_length(front, back):
            return mark("Front and back {width} × {length}"), {"width": width, "length": back}
        told = mark("Front {width} × {front}, back {width} × {back}")
        return told, {"width": width, "front": front, "back": back}

    def applies(self, name: str) -> bool:
        """Whether a cut figure plays a role: a folded bottom has no seam, and tips may stay in."""
        if name in (_CORNER_WIDTH.name, _CORNER_DEPTH.name):
            return not self.sewn_across
        if name == _CORNER_MARK.name:
            return self.sewn_across
        if name == _CORNER_SEAM.name:
            return self.tips is Tips.TRIMMED
        return name != "bottom_seam" or not self.folded

    def value(self, figure: CutFigure, site: Site) -> float | None:
        """None where corners are made in the other way."""
        if figure.when is not None and figure.when.attribute == "corners":
            return getattr(self, figure.attribute) if self.applies(figure.name) else None
        return Body.value(self, figure, site)

    def lacks(self, figure: CutFigure) -> Sentence | None:
        """How corners are made that have no such figure."""
        if self.applies(figure.name) or figure.when is None:
            return None
        if self.sewn_across:
            return say("the corners of this bag are sewn across.")
        return say("the corners of this bag are cut out.")

    @property
    def sewn_across(self) -> bool:
        """Whether corners are sewn across rather than cut out."""
        return self.corners is Corners.SEWN_ACROSS

    @property
    def corner_allowance(self) -> float:
        """Allowance beyond the corner seams, mm: of tips left in no more than there is of them."""
        if self.tips is Tips.TRIMMED:
            return self.corner_seam
        return min(self.corner_seam, self.corner_mark + min(self.side_seam, self.bottom_seam))

    @property
    def cut_width(self) -> float:
        """Width along the bottom of the corner that is cut out, or trimmed off, mm."""
        return self._trimmed(self.side_seam) if self.sewn_across else self.corner_width

    @property
    def cut_depth(self) -> float:
        """Its depth up from the bottom fold or the bottom cut edge, mm."""
        return self._trimmed(self.bottom_seam) if self.sewn_across else self.corner_depth

    def _trimmed(self, allowance: float) -> float:
        """Of a corner sewn across, from the raw edge beyond which this allowance lies."""
        if not self.has_corners:
            return 0.0
        size = self.corner_mark - self.corner_allowance + allowance
        return 0.0 if same_length(size, 0.0) else size

    @property
    def bottom(self) -> Bottom:
        """How the bottom is made."""
        return Bottom.FOLD if self.folded else Bottom.SEAM

    @property
    def folded(self) -> bool:
        """Whether the bottom is a fold rather than a seam."""
        return self.bottom_seam == 0.0

    @property
    def has_corners(self) -> bool:
        """Whether there are corners at all."""
        if self.sewn_across:
            return self.corner_mark > 0.0
        return self.corner_width > 0.0 or self.corner_depth > 0.0

    @property
    def back_length(self) -> float:
        """Cut length of the back: half of the panel length."""
        return self.length / 2

    @property
    def front_length(self) -> float:
        """Cut length of the front: half of the panel length less the front trim."""
        return self.length / 2 - self.front_trim

    def top(self, face: Face) -> float:
        """Cut top edge of a face above the bottom line."""
        cut = self.front_length if face is Face.FRONT else self.back_length
        return cut - self.bottom_seam

    # How it is drawn and measured, and what is doubtful about it, stands in rooms of its own.
    seats, mouth, pieces, seams_after = panel_seats, panel_mouth, draft_panel, corner_seams
    measured, findings, room = panel_sizes, panel_findings, room_finding
    with_allowances, fits_as_well = other_allowances, stands_as_well
    seam_findings = seam_findings_of

    def allowances(self, top: Allowance) -> tuple[Allowance, ...]:
        found = [Allowance(figure="side_seam", label=mark("side seam"), size=self.side_seam), top]
        if self.has_corners and self.tips is Tips.TRIMMED:  # left in, the tip lies beyond the seam
            label, size = mark("corner seam"), self.corner_seam
            found.append(Allowance(figure="corner_seam", label=label, size=size))
        if not self.folded:
            label, size = mark("bottom seam"), self.bottom_seam
            found.append(Allowance(figure="bottom_seam", label=label, size=size))
        return tuple(found)

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        return panel_crossings(site)

    def as_closed(self, finished: Finished) -> Finished:
        return as_closed(finished)

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        return {piece.id: panel_dimensions(self, piece) for piece in draft.walls}

    def seams(self) -> tuple[Seam, ...]:
        return bottom_seams(self.folded)

    def closing_work(self) -> "ClosingWork":
        from core.bodies.boxed_panel.closing import closing_of

        return closing_of(self)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        from core.bodies.boxed_panel.operations import panel_markings

        return panel_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.bodies.boxed_panel.operations import panel_operations

        return panel_operations(bench, self)

    def wall(self, face: Face) -> PieceId:
        """The piece that holds this face."""
        return wall_of(face, folded=self.folded)

    def ref(self, face: Face, edge: EdgeId) -> EdgeRef:
        """An edge of the piece that holds this face."""
        return EdgeRef(self.wall(face), edge)

    def folding(self, draft: Draft, closing: "Closing | None") -> "Folding":
        from core.bodies.boxed_panel.space import boxed_folding  # which knows this class

        return boxed_folding(self, draft, closing)

    def quarter(self, draft: Draft, closing: "Closing | None", *, board: bool) -> "Quarter":
        from core.bodies.boxed_panel import filled  # numpy is loaded with the first filling

        return filled.quarter(self, draft, closing, board=board)

    # What the solver asks is answered beside the sizes that it is about.
    may_change, bends = redesign.may_change, redesign.bends
    shapes, shaped = redesign.shapes, redesign.shaped
    fill_limits, is_fillable = redesign.fill_limits, redesign.is_fillable

    def telling(self) -> tuple[str, ...]:
        """A pillow is as wide as its opening, and has no depth."""
        return tuple(self.SOLVING.asked) if self.has_corners else ("opening_width", "face_height")


_, _, _TRIM, _CORNER_WIDTH, _CORNER_DEPTH, _CORNER_MARK, _SIDE_SEAM, _CORNER_SEAM, _TOP_SEAM, _ = (
    CUT
)
_WITHIN_BACK = mark("it must be less than the back, {limit}.")
_WITHIN_FRONT = mark("it must be less than the front, {limit}.")
_WITHIN_HALF = mark("it must be less than half the panel, {limit}.")
_CORNERS_MEET = mark("it must be less than {limit}, where the corners meet.")
_CORNERS_REACH = mark("it must be less than {limit}, where the corners reach the top of the front.")
_OFF_THE_TIP = mark("it must be at least {limit}: nearer, the seam runs off the tip.")
