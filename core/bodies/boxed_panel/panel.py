"""The panel: back, bottom and front in one, or two faces joined by a bottom seam.

Frame: x across from the left cut edge; y from the bottom line (the fold, or the stitch
line of the bottom seam), positive up the front, negative up the back. Lengths are mm.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import mark
from core.bodies.body import Body
from core.bodies.boxed_panel import redesign
from core.flat.dimension import Dimension
from core.flat.piece import Mark, Piece
from core.flat.roles import (
    FACES,
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
from core.model.figures import (
    LONGEST,
    CutFigure,
    Direction,
    FinishedFigure,
    Form,
    Limit,
    Quantity,
    Ruled,
    TakeUp,
    When,
    settle_record,
)
from core.model.solving import Bend, SizeLimit, Solving
from core.site.site import Finished, Site
from core.space.folding import Closing, Folding
from core.space.patches import Quarter

if TYPE_CHECKING:
    from core.work.bench import Bench, ClosingWork
    from core.work.operation import Marking, Operation


def _length(
    name: str,
    label: str,
    attribute: str,
    help: str,
    *,
    above_low: bool = False,
    high: float = LONGEST,
    tells: tuple[str, ...] = (),
    when: When | None = None,
) -> CutFigure:
    """A length of the panel; with `tells` one that a hand or a redesign may change."""
    return CutFigure(
        name=name,
        label=label,
        part="body",
        attribute=attribute,
        low=0.0,
        high=high,
        above_low=above_low,
        help=help,
        ruled=Ruled.TOGETHER if tells else None,
        pinnable=bool(tells),
        by_hand=bool(tells),
        tells=tells,
        when=when,
    )


class Bottom(Enum):
    """How the bottom is made."""

    FOLD = "fold"
    SEAM = "seam"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxedPanel(Body):
    """The one flat piece that makes back, bottom and front.

    Attributes:
        width: across, cut.
        length: before the front trim, cut; both faces together.
        front_trim: how much shorter the front is cut than the back.
        corner_width, corner_depth: corner cut along the bottom, and up from the bottom
            fold or bottom cut edge, on one layer. Both 0: no corners, a plain pillow.
        side_seam, corner_seam, top_seam: allowances; `top_seam` joins the zip, or hems.
        bottom_seam: allowance of a bottom seam; 0 means that the bottom is a fold.
    """

    width: float
    length: float
    front_trim: float
    corner_width: float
    corner_depth: float
    side_seam: float
    corner_seam: float
    top_seam: float
    bottom_seam: float = 0.0

    KIND: ClassVar[str] = "boxed-panel"
    CHOSEN: ClassVar[Mapping[str, type[Enum]]] = {"bottom": Bottom}
    CAPACITY: ClassVar[str] = "box_volume"
    CUT_TOLD: ClassVar[str] = mark("Panel {width} × {length}")
    SOLVING: ClassVar[Solving] = redesign.SOLVING
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        _length(
            "panel_width",
            "Panel width",
            "width",
            "Cut width of the panel.",
            above_low=True,
            tells=("base_width",),
        ),
        _length(
            "panel_length",
            "Panel length",
            "length",
            "Cut length of the panel, back and front together, before the front trim.",
            above_low=True,
            high=2 * LONGEST,
            tells=("face_height",),
        ),
        _length(
            "front_trim",
            "Front trim",
            "front_trim",
            "How much shorter the front is cut than the back: the zip moves half of it "
            "onto the front.",
            tells=("zip_offset",),
        ),
        _length(
            "corner_cut_width",
            "Corner cut width",
            "corner_width",
            "Width of each corner cut along the bottom, on one layer.",
            tells=("base_width", "corner_mismatch"),
        ),
        _length(
            "corner_cut_depth",
            "Corner cut depth",
            "corner_depth",
            "Depth of each corner cut up from the bottom, on one layer.",
            tells=("gusset_depth", "corner_mismatch"),
        ),
        _length("side_seam", "Side seam", "side_seam", "Seam allowance of the side seams."),
        _length("corner_seam", "Corner seam", "corner_seam", "Seam allowance of boxed corners."),
        _length(
            "zip_seam",
            "Zip seam",
            "top_seam",
            "Seam allowance where the zip is joined, or the hem of an open top.",
        ),
        _length(
            "bottom_seam",
            "Bottom seam",
            "bottom_seam",
            "Seam allowance of a bottom seam; 0 when the bottom is a fold.",
            when=When("bottom", (Bottom.SEAM,)),
        ),
    )

    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = (
        FinishedFigure(
            name="base_width",
            label="Base width",
            part="body",
            help="Finished side-to-side size of the bottom.",
            tape="side to side along the bottom, between the corner seams",
            sampled=True,
            taken_up=Direction.ACROSS,
        ),
        FinishedFigure(
            name="gusset_depth",
            label="Gusset depth",
            part="body",
            help="Finished front-to-back size of the bottom, along the end of the base.",
            tape="front to back across the bottom",
            sampled=True,
            taken_up=Direction.DEEP,
        ),
        FinishedFigure(
            name="gusset_depth_at_side",
            label="Gusset depth at the side",
            part="body",
            help="The same size along the two side edges that the corner seam joins to it.",
            wanted=False,
            taken_up=Direction.DEEP,
        ),
        FinishedFigure(
            name="corner_mismatch",
            label="Corner mismatch",
            part="body",
            help="How much longer the side edges of a corner seam are than the end of the base.",
            wanted=False,
            may_be_negative=True,
            matched="matched corners",
        ),
        FinishedFigure(
            name="face_height",
            label="Face height",
            part="body",
            help="Finished height from the base edge to the top fold.",
            tape="from the edge of the base up to the top fold",
            sampled=True,
            taken_up=Direction.UP,
        ),
        FinishedFigure(
            name="opening_width",
            label="Opening width",
            part="body",
            help="Finished width of the top, flat.",
            tape="across the top, the closed bag lying flat",
            sampled=True,
            taken_up=Direction.ACROSS,
        ),
        FinishedFigure(
            name="box_volume",
            label="Box volume",
            part="body",
            quantity=Quantity.VOLUME,
            help=(
                "Base width x gusset depth x face height, with the smaller depth where "
                "the edges of a corner differ: an open bag filled to the top fold."
            ),
            form=Form.BOX,
        ),
        FinishedFigure(
            name="inside_volume",
            label="Inside volume",
            part="body",
            quantity=Quantity.VOLUME,
            help="The same box inside the thickness of the wall.",
            form=Form.BOX,
            inside=True,
        ),
        FinishedFigure(
            name="filled_volume",
            label="Filled volume",
            part="body",
            quantity=Quantity.VOLUME,
            help=(
                "The most that the closed bag could hold, stuffed hard, if its material "
                "had no stretch, weight or thickness: groceries fill less."
            ),
            form=Form.FILLED,
        ),
        FinishedFigure(
            name="inside_filled_volume",
            label="Filled volume, inside",
            part="body",
            quantity=Quantity.VOLUME,
            help="The filled volume less the thickness of the wall.",
            form=Form.FILLED,
            inside=True,
        ),
    )

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)
        for limit in self.limits():
            limit.check()

    def limits(self) -> tuple[Limit, ...]:
        """What the sizes of a panel must keep to among themselves."""
        front, half = self.front_length, self.width / 2
        room = front - self.bottom_seam
        return (
            Limit(_TRIM, self.front_trim, self.back_length, _WITHIN_BACK),
            Limit(_TOP_SEAM, self.top_seam, room, _WITHIN_FRONT),
            Limit(_SIDE_SEAM, self.side_seam, half, _WITHIN_HALF),
            Limit(_CORNER_WIDTH, self.corner_width, half, _WITHIN_HALF),
            Limit(_CORNER_DEPTH, self.corner_depth, front, _WITHIN_FRONT),
        )

    def cut_size(self, walls: Sequence[Piece]) -> tuple[float, float]:
        """Width, and length after the front trim, mm: of both panels where there are two."""
        return self.width, self.length - self.front_trim

    def applies(self, name: str) -> bool:
        """Whether a cut figure plays a role: a folded bottom has no seam."""
        return name != "bottom_seam" or not self.folded

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
        """Whether corners are cut at all."""
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

    def pieces(self, marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
        """One piece folded at the bottom, or front and back, with the marks of each face."""
        # Loaded here: what draws a panel needs to know what a panel is.
        from core.bodies.boxed_panel.draft import draft_panel

        return draft_panel(self, marks)

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        """What is cut, and of a panel in one piece how far its faces go."""
        from core.bodies.boxed_panel.draft import panel_dimensions

        return {piece.id: panel_dimensions(self, piece) for piece in draft.walls}

    def seams_after(self) -> tuple[Seam, ...]:
        """The two boxed corners; none on a plain pillow."""
        from core.bodies.boxed_panel.draft import corner_seams

        return corner_seams(self)

    def seams(self) -> tuple[Seam, ...]:
        """The bottom seam, where there is one."""
        if self.folded:
            return ()
        one, other = (self.ref(face, EdgeId(EdgeRole.BOTTOM, face)) for face in FACES)
        return (
            Seam(
                id=SeamId("body", SeamRole.BOTTOM),
                label=mark("bottom seam"),
                one=(one,),
                other=(other,),
            ),
        )

    def side_seams(self, ends: Mapping[Side, EdgeRef] | None = None) -> tuple[Seam, ...]:
        """The two side seams, front to back.

        Args:
            ends: what lies between front and back at the top of each; then the seam is one
                chain that is folded at its middle and sewn to itself.
        """
        from core.bodies.boxed_panel.draft import side_seams

        return side_seams(self, ends)

    def closing_work(self, draft: Draft) -> "ClosingWork":
        """How it goes from flat to closed."""
        from core.bodies.boxed_panel.closing import closing_of

        return closing_of(self, draft)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        """The bottom line, the corner cuts and the middle of the top edges."""
        from core.bodies.boxed_panel.operations import panel_markings

        return panel_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """From the rectangles to the finished bag."""
        from core.bodies.boxed_panel.operations import panel_operations

        return panel_operations(bench, self)

    def wall(self, face: Face) -> PieceId:
        """The piece that holds this face."""
        return _PANEL if self.folded else _WALLS[face]

    def ref(self, face: Face, edge: EdgeId) -> EdgeRef:
        """An edge of the piece that holds this face."""
        return EdgeRef(self.wall(face), edge)

    def folding(self, draft: Draft, closing: Closing | None) -> Folding:
        """How it folds; `closing` joins its two upper edges."""
        from core.bodies.boxed_panel.space import boxed_folding  # which knows this class

        return boxed_folding(self, draft, closing)

    def quarter(self, draft: Draft, closing: Closing | None, *, board: bool) -> Quarter:
        """A quarter of the closed wall, to be filled; as `core.bodies.boxed_panel.filled` has it.

        Raises:
            NotFillableError: it encloses no volume.
        """
        from core.bodies.boxed_panel import filled  # numpy is loaded with the first filling

        return filled.quarter(self, draft, closing, board=board)

    def may_change(self, name: str, site: Site) -> bool:
        """No corner cut of a pillow, and no trim without a zip."""
        return redesign.may_change(self, name, site)

    def bends(self, site: Site, finished: Finished) -> tuple[Bend, ...]:
        """The box outside and inside the wall."""
        return redesign.bends(site.wall, finished)

    def shapes(self, exact: Mapping[str, float]) -> tuple[str, ...]:
        """With corners cut or without, the more likely first."""
        return redesign.shapes(self, exact)

    def shaped(self, shape: str) -> Mapping[str, float]:
        """Small corner cuts where there are none, or none."""
        return redesign.shaped(self, shape)

    def fill_limits(self, *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
        """A bag with sizes, and walls with slack over a board."""
        return redesign.fill_limits(flat_base=flat_base, take_up=take_up)

    def is_fillable(self, finished: Finished, *, flat_base: bool, take_up: TakeUp) -> bool:
        """The same for one bag: the shorter edge of its corners counts."""
        return redesign.is_fillable(finished, flat_base=flat_base, take_up=take_up)


_PANEL = PieceId("body", PieceRole.WALL)
_WALLS = {face: PieceId("body", PieceRole.WALL, face) for face in FACES}

_TRIM, _TOP_SEAM, _SIDE_SEAM, _CORNER_WIDTH, _CORNER_DEPTH = (
    next(each for each in BoxedPanel.FIGURES if each.attribute == attribute)
    for attribute in ("front_trim", "top_seam", "side_seam", "corner_width", "corner_depth")
)
_WITHIN_BACK = "it must be less than the back, {limit}."
_WITHIN_FRONT = "it must be less than the front, {limit}."
_WITHIN_HALF = "it must be less than half the panel, {limit}."
