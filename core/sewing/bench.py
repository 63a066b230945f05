"""What the operations of every part read of a bag on the sewing table."""

import math
from collections import Counter
from dataclasses import dataclass, replace

from core.bag.bag import Bag
from core.bag.compute import measure, measure_drawn
from core.base.sentences import Sentence, say
from core.base.tolerance import shorter
from core.base.units import Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import FACES, Face, MarkRole, PieceId, SeamId, SeamRole, Side
from core.flat.seam import Draft, WalkedSeam
from core.goods.layers import Layer
from core.model.record import ROLE
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.crossings import Allowances, side_allowances, walls_at_corner
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.site.site import Finished, Site, signed
from core.tops.zip_forward.zip import ZipForward
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

ZIP_TAPE = 0.6
"""Thickness of a zip's tape, pressed (own choice: a woven tape of the usual kind)."""
_USUAL = {"near": (25.4 / 8, 3.0), "tack": (25.4 / 2, 12.0), "round": (25.4 / 4, 6.0)}
"""Small distances that have no figure, inch and metric makers' (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The bag on the sewing table.

    Attributes:
        bag, draft: what is sewn.
        site: what the parts see of one another.
        finished: figures of the sewn bag, mm.
    """

    bag: Bag
    draft: Draft
    site: Site
    finished: Finished

    @property
    def drawn(self) -> Finished:
        """The finished figures on the stitch lines: those of work that still lies flat, mm."""
        return measure_drawn(self.bag, self.draft)

    @property
    def panel(self) -> BoxedPanel:
        """The panel."""
        return self.bag.body

    @property
    def outer(self) -> str:
        """Role of the outermost goods."""
        return self.bag.sandwich.layers[0].role

    def goods(self, piece: PieceId) -> Layer:
        """The outermost goods that a piece is cut from."""
        return self.bag.goods_of(self.draft.piece(piece))[0]

    def iron_for(self, piece: PieceId) -> Pressing:
        """How a piece of one goods is pressed."""
        tender = self.goods(piece).melts
        return Pressing(Heat.COOL if tender else Heat.MEDIUM, cloth=tender)

    @property
    def layered(self) -> bool:
        """Whether the wall is more than one layer."""
        return len(self.bag.sandwich.layers) > 1

    @property
    def cuts_corners(self) -> bool:
        """Whether anything is cut away at the corners: a cut may lack its width or its depth."""
        return shorter(0.0, min(self.panel.corner_width, self.panel.corner_depth))

    @property
    def zipped(self) -> bool:
        """Whether a zip closes the top."""
        return isinstance(self.bag.top, ZipForward)

    @property
    def walls(self) -> tuple[PieceId, ...]:
        """The pieces that make the body, the front's first."""
        return tuple(dict.fromkeys(self.panel.wall(face) for face in FACES))

    @property
    def lining_last(self) -> bool:
        """Whether layers are basted in after what is laid on; not where nothing is."""
        board = BaseBoard.of(self.bag.parts)
        stiffened = board is not None and board.way is BoardWay.FUSED
        laid_on = Pocket.SLOT in self.bag.parts or Handles.SLOT in self.bag.parts or stiffened
        return laid_on and bool(self.bag.sandwich.last_laid)

    @property
    def layers(self) -> tuple[Layer, ...]:
        """The wall's layers, outermost first; where two do the same, their roles tell which."""
        layers = self.bag.sandwich.layers
        count = Counter(layer.role for layer in layers)
        return tuple(
            replace(layer, role=_numbered(layer.role, place)) if count[layer.role] > 1 else layer
            for place, layer in enumerate(layers, start=1)
        )

    @property
    def first_laid(self) -> tuple[Layer, ...]:
        """The layers that pocket and handles are sewn onto, outermost first."""
        if not self.lining_last:
            return self.layers
        return self.layers[: len(self.bag.sandwich.first_laid)]

    @property
    def last_laid(self) -> tuple[Layer, ...]:
        """The layers that are basted in after that; none where everything is basted at once."""
        return self.layers[len(self.first_laid) :]

    @property
    def still_shrinks(self) -> bool:
        """Whether a layer of the wall is cut larger, for it is not washed first."""
        return any(each.shrinks and not each.cut_washed for each in self.bag.sandwich.layers)

    @property
    def underside(self) -> str:
        """What lies beneath while pocket and handles are sewn on: it is looked at then."""
        return "lining side" if self.layered and not self.lining_last else "wrong side"

    @property
    def wall(self) -> float:
        """Thickness of the whole wall, pressed, mm."""
        return self.bag.sandwich.pressed

    @property
    def base(self) -> float:
        """Thickness of the layers that everything is sewn onto, pressed, mm."""
        return math.fsum(layer.pressed for layer in self.first_laid)

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

    @property
    def side_allowances(self) -> Allowances:
        """How the side seam's allowances lie where the corner seam crosses them."""
        return side_allowances(self.site, self.bag.sandwich.foot_clearance)

    @property
    def walls_at_corner(self) -> int:
        """Walls under the foot where side seam and corner seam cross."""
        return walls_at_corner(self.side_allowances, seamed=not self.panel.folded)

    @property
    def base_iron(self) -> Pressing:
        """How the layers are pressed that pocket and handles are sewn onto."""
        return iron_of(self.first_laid)

    @property
    def melting(self) -> tuple[str, ...]:
        """Roles of the layers that a hot iron harms, each once."""
        roles = (layer.role for layer in self.bag.sandwich.layers if layer.melts)
        return tuple(dict.fromkeys(roles))

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

    def _usual(self, name: str) -> float:
        inches, metric = _USUAL[name]
        return inches if self.bag.unit is Unit.INCH else metric

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
        return Setting(
            stitch=Stitch.ZIGZAG, length=ZIGZAG_LENGTH, width=ZIGZAG_WIDTH, foot=self.foot
        )

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
    def wall_iron(self) -> Pressing:
        """How the wall is pressed."""
        return iron_of(self.bag.sandwich.layers)

    @property
    def second_rows_measures(self) -> tuple[Measure, ...]:
        """What that way tells."""
        return sized(MeasurePlace.WITHOUT_CHANGE, close=self.near_edge)

    @property
    def baste_hides(self) -> bool:
        """Whether every seam hides the basting line."""
        return shorter(self.bag.sandwich.baste_line, self.narrowest)

    @property
    def narrowest(self) -> float:
        """The narrowest allowance of the wall, mm."""
        panel = self.panel
        found = [panel.side_seam, panel.top_seam]
        found += [panel.corner_seam] if panel.has_corners else []
        found += [] if panel.folded else [panel.bottom_seam]
        return min(found)

    def down(
        self, name: str, length: float, face: Face, *, x: float, start: float = 0.0
    ) -> Measure:
        """A length down a face, from so far below its top edge, at x on the flat panel; mm."""
        top = self.site.top(face) - start
        ends = (x, signed(face, top)), (x, signed(face, top - length))
        return measured(name, length, self.panel.wall(face), *ends)

    def across(self, name: str, length: float, face: Face, *, x: float, below: float) -> Measure:
        """A length from x across a face, so far below its top edge; mm."""
        y = signed(face, self.site.top(face) - below)
        return measured(name, length, self.panel.wall(face), (x, y), (x + length, y))

    def marks(self, owner: str, role: MarkRole, face: Face | None = None) -> tuple[MarkRef, ...]:
        """Marks of one owner on the walls that are for one thing, on one face or on any."""
        return tuple(
            MarkRef(piece, index)
            for piece in self.walls
            for index, mark in enumerate(self.draft.piece(piece).marks)
            if (mark.owner, mark.role) == (owner, role) and face in (None, mark.face)
        )


def iron_of(layers: tuple[Layer, ...]) -> Pressing:
    """How layers that lie on one another are pressed."""
    if any(layer.melts for layer in layers):
        return Pressing(Heat.COOL, cloth=True)
    return Pressing(Heat.MEDIUM, cloth=len(layers) > 1)


def bench_of(bag: Bag, draft: Draft) -> Bench:
    """The bag on the table."""
    return Bench(bag=bag, draft=draft, site=bag.site, finished=measure(bag, draft))


def _numbered(role: str, place: int) -> str:
    """A role that several layers have, told apart; a long one is cut to what a role may have."""
    number = f" (layer {place})"
    return f"{role[: ROLE.most - len(number)].rstrip()}{number}"
