"""The separate base: a bottom piece, and walls of one, two or four pieces sewn round it."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, ClassVar

from core.base.errors import FieldError
from core.base.sentences import Sentence, Template, mark, say
from core.base.tolerance import same_length, shorter
from core.bodies.body import Body, BoxNames
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.bodies.separate_base import choices
from core.bodies.separate_base import sizes as redesign
from core.bodies.separate_base.crossings import base_crossings
from core.bodies.separate_base.draft import (
    AROUND,
    base_dimensions,
    base_mouth,
    base_pieces,
    base_seams,
    base_seats,
    ring_seams,
)
from core.bodies.separate_base.findings import base_findings, room_finding
from core.bodies.separate_base.measure import base_sizes
from core.bodies.separate_base.sizes import (
    BASE_SEAM,
    BODY_HEIGHT,
    BODY_PIECES,
    CUT,
    END_WIDTH,
    FINISHED,
    FRONT_TRIM,
    RING_PIECES,
    SIDE_SEAM,
    TOP_SEAM,
)
from core.bodies.trim import usual_trim
from core.flat.piece import Dimension, Piece
from core.flat.roles import FACES, Face, PieceId
from core.flat.seam import Draft, Seam
from core.model.figures import CutFigure, FinishedFigure, Limit, settle_record
from core.model.findings import Allowance, Crossing
from core.model.record import Solving
from core.site.owner import Choice, Moved, Surround
from core.site.site import Floor, Site

if TYPE_CHECKING:
    from core.space.patches import Quarter
    from core.space.zones import Closing, Folding
    from core.work.bench import Bench, ClosingWork
    from core.work.operation import Marking, Operation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class SeparateBase(Body):
    """A base with a ring of walls round it.

    Attributes:
        base_cut_width, base_cut_depth: of the base, cut.
        corner_rounding: radius of its cut corners; 0: square. Half of its shorter side: the two
            corners there are half a circle.
        body_width: of each wall, cut; of four walls the front's and the back's.
        body_end_width: of the two sides, where there are four walls; else 0.
        body_height: of the walls, cut, before the front trim.
        front_trim: how much shorter the front is cut than the back; 0 unless there are two walls.
        body_pieces: 1, 2 or 4 walls; four only round a square base.
        side_seam, base_seam, top_seam: allowances; `top_seam` joins the zip, or hems.
    """

    base_cut_width: float
    base_cut_depth: float
    corner_rounding: float = 0.0
    body_width: float
    body_end_width: float = 0.0
    body_height: float
    front_trim: float = 0.0
    body_pieces: int = 2
    side_seam: float
    base_seam: float
    top_seam: float

    KIND: ClassVar[str] = choices.SEPARATE_BASE.kind
    LABEL: ClassVar[Template] = choices.SEPARATE_BASE.label
    ABOUT: ClassVar[Template] = mark(
        "A bottom that is a piece of its own, square or rounded, with the walls sewn round it."
    )
    WORD: ClassVar[Template] = choices.SEPARATE_BASE.word
    BOX: ClassVar[BoxNames] = BoxNames(rounding=CORNER_RADIUS.name)
    CAPACITY: ClassVar[str] = "box_volume"
    SIZE_TOLD: ClassVar[Template] = mark(
        "finished {base_width}\u00a0×\u00a0{gusset_depth}\u00a0×\u00a0{face_height}"
    )
    SOLVING: ClassVar[Solving] = redesign.SOLVING
    CHOICES: ClassVar[tuple[Choice, ...]] = choices.CHOICES
    FIGURES: ClassVar[tuple[CutFigure, ...]] = CUT
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = FINISHED

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "SeparateBase":
        """As wide, as deep and as high as the bag around it; a flat one is given a depth."""
        site, seam = around.site, around.site.new_allowance
        high, wide, deep, across = (
            around.finished[name] or 0.0
            for name in ("face_height", "base_width", "gusset_depth", "opening_width")
        )
        # Where a rounding takes of the flat bottom, the face is as wide as the box.
        wide = around.finished.get("face_width") or wide
        radius = around.finished.get(CORNER_RADIUS.name) or 0.0
        if not shorter(0.0, min(wide, deep)):
            deep = _SHARE_OF_FLAT * across
            wide = across - deep
        radius = min(max(radius, 0.0), min(wide, deep) / 2)
        pieces = 4 if site.mouth.ring is not None and not radius else 2
        half = wide + deep - (4.0 - math.pi) * radius
        high += seam + site.mouth.allowance - site.shows / 2
        trim = usual_trim(around, high) if pieces == 2 else 0.0
        return cls(
            base_cut_width=wide + 2 * seam,
            base_cut_depth=deep + 2 * seam,
            corner_rounding=radius + seam if shorter(0.0, radius) else 0.0,
            body_width=(wide if pieces == 4 else half) + 2 * seam,
            body_end_width=deep + 2 * seam if pieces == 4 else 0.0,
            body_height=high + trim / 2,
            front_trim=trim,
            body_pieces=pieces,
            side_seam=seam,
            base_seam=seam,
            top_seam=site.mouth.allowance,
        )

    def __post_init__(self) -> None:
        # What belongs to other numbers of walls is nothing: equal bags are equal.
        if self.body_pieces != 2:
            object.__setattr__(self, "front_trim", 0.0)
        if self.body_pieces != 4:
            object.__setattr__(self, "body_end_width", 0.0)
        settle_record(self, self.FIGURES)
        if self.body_pieces not in RING_PIECES:
            BODY_PIECES.refuse(self.body_pieces, _ONE_TWO_FOUR)
        if self.body_pieces == 4 and self.corner_rounding:
            BODY_PIECES.refuse(self.body_pieces, _SQUARE_ONLY)
        for limit in self.limits():
            limit.check()

    def limits(self) -> tuple[Limit, ...]:
        # One for each side of the base: that of the shorter one alone would be none of the longer
        # where a search has made that the shorter.
        sides = ((self.base_cut_depth, _HALF_DEEP), (self.base_cut_width, _HALF_WIDE))
        room = self.front_height - self.base_seam
        found = [
            *(Limit(BASE_SEAM, self.base_seam, side / 2, _WITHIN_BASE) for side, _ in sides),
            Limit(FRONT_TRIM, self.front_trim, self.body_height, _WITHIN_BACK),
            *self._height_limit(room),
            Limit(TOP_SEAM, self.top_seam, room, _WITHIN_FRONT),
            Limit(SIDE_SEAM, self.side_seam, self.body_width / 2, _WITHIN_WALL),
        ]
        if self.body_pieces == 4:
            found.append(Limit(SIDE_SEAM, self.side_seam, self.body_end_width / 2, _WITHIN_END))
        if self.corner_rounding:
            rounding, seam = self.corner_rounding, self.base_seam
            found += [
                *(
                    Limit(CORNER_ROUNDING, rounding, side / 2, rule, reachable=True)
                    for side, rule in sides
                ),
                Limit(CORNER_ROUNDING, rounding, seam, _USED_UP, above=True),
            ]
        return tuple(found)

    def _height_limit(self, room: float) -> Iterator[Limit]:
        """Where no seam would be less than the front it is the height that is too little."""
        if room <= 0.0:
            least = self.base_seam + self.top_seam + self.front_trim
            yield Limit(BODY_HEIGHT, self.body_height, least, _HIGHER, above=True)

    @property
    def ring_faces(self) -> tuple[Face, ...]:
        """Its walls, the front first."""
        return AROUND if self.body_pieces == 4 else FACES

    @property
    def front_height(self) -> float:
        """Cut height of the front: that of the walls less the front trim."""
        return self.body_height - self.front_trim

    @property
    def ring_length(self) -> float:
        """Once round all walls between their side seams, mm."""
        walls = [self.body_width] * (2 if self.body_pieces == 4 else self.body_pieces)
        if self.body_pieces == 4:
            walls += [self.body_end_width] * 2
        return math.fsum(walls) - 2 * self.side_seam * self.body_pieces

    @property
    def drawn_width(self) -> float:
        """Of the base between its stitch lines, side to side."""
        return self.base_cut_width - 2 * self.base_seam

    @property
    def drawn_depth(self) -> float:
        """Of the base between its stitch lines, front to back."""
        return self.base_cut_depth - 2 * self.base_seam

    @property
    def drawn_radius(self) -> float:
        """Of the base's corners on its stitch line; 0 where they are square."""
        return self.corner_rounding - self.base_seam if self.corner_rounding else 0.0

    @property
    def is_circle(self) -> bool:
        """Whether nothing straight is left of the base between its rounded corners."""
        sides = (self.base_cut_width, self.base_cut_depth)
        return all(same_length(side, 2 * self.corner_rounding) for side in sides)

    @property
    def way_round(self) -> float:
        """Once round the base on its stitch lines."""
        sides = 2 * (self.drawn_width + self.drawn_depth)
        return sides - redesign.ROUND_OFF * self.drawn_radius

    def can_be(self, changes: Mapping[str, float]) -> bool:
        """Whether it can have these cut figures, by name."""
        attributes = {figure.name: figure.attribute for figure in CUT}
        sizes: dict[str, Any] = {attributes[name]: size for name, size in changes.items()}
        try:
            for figure in CUT:
                if figure.name in changes:
                    figure.check(changes[figure.name])
            replace(self, **sizes)
        except FieldError:
            return False
        return True

    def wall_width(self, face: Face) -> float:
        """Cut width of the piece that holds a face."""
        return self.body_width if face in FACES else self.body_end_width

    def top(self, face: Face) -> float:
        """Cut top edge of a wall above the stitch line of the base seam."""
        cut = self.front_height if face is Face.FRONT else self.body_height
        return cut - self.base_seam

    def applies(self, name: str) -> bool:
        """Only two walls can be trimmed at the front, and only four have ends."""
        if name == FRONT_TRIM.name:
            return self.body_pieces == 2
        return name != END_WIDTH.name or self.body_pieces == 4

    def has(self, figure: FinishedFigure) -> bool:
        """Only four walls can differ from the base at its sides."""
        return figure is not redesign.END_MISMATCH or self.body_pieces == 4

    def value(self, figure: CutFigure, site: Site) -> float | None:
        """None of what its walls cannot have."""
        return Body.value(self, figure, site) if self.applies(figure.name) else None

    def lacks(self, figure: CutFigure) -> Sentence | None:
        """Of how many pieces the walls are that have no such figure."""
        if figure not in self.FIGURES or self.applies(figure.name):
            return None
        count = {"count": self.body_pieces}
        return say("the body pieces of this bag are {count}.", numbers=count)

    def with_values(
        self, values: Mapping[str, Any], site: Site
    ) -> tuple["SeparateBase", float | None]:
        """Of another number of walls they go as far round as before."""
        pieces = values.get("body_pieces", self.body_pieces)
        own = self.walls_of(pieces, self.ring_length) if pieces != self.body_pieces else {}
        return replace(self, **{**own, **values}), None

    def _of_pieces(self, pieces: int) -> "SeparateBase":
        sizes: dict[str, Any] = self.walls_of(pieces, self.ring_length)
        return replace(self, body_pieces=pieces, **sizes)

    def walls_of(self, pieces: int, ring: float) -> dict[str, float]:
        """Widths of so many walls, by attribute, that are so long once round, mm."""
        if pieces != 4:
            return {"body_width": ring / max(pieces, 1) + 2 * self.side_seam}
        wide, deep = self.drawn_width, self.drawn_depth
        over = ring / 4 - (wide + deep) / 2
        return {
            "body_width": wide + over + 2 * self.side_seam,
            "body_end_width": deep + over + 2 * self.side_seam,
        }

    # How it is drawn and measured stands in rooms of its own.
    pieces, seats, mouth = base_pieces, base_seats, base_mouth
    measured, seams_after = base_sizes, base_seams
    findings, room = base_findings, room_finding

    def seams(self) -> tuple[Seam, ...]:
        return ring_seams(self.body_pieces)

    def made_for(self, site: Site | None, *, closes_ring: bool) -> "SeparateBase":
        """A top strip lies on four walls; once it is left, front and back are whole again.

        Those of a rounded base stay as they are.
        """
        four, left = self.body_pieces == 4, site is not None and site.closed
        if closes_ring and not four and not self.corner_rounding:
            return self._of_pieces(4)
        return self._of_pieces(2) if four and left and not closes_ring else self

    def made_like(self, left: Body) -> "SeparateBase":
        """Of as many walls; four only round a square base."""
        if not isinstance(left, SeparateBase) or left.body_pieces == self.body_pieces:
            return self
        again = left.body_pieces != 4 or not self.corner_rounding
        return self._of_pieces(left.body_pieces) if again else self

    def floor(self) -> Floor:
        return Floor(corner=self.drawn_radius)

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        own = (piece for piece in draft.walls if piece.id.owner == "body")
        return {piece.id: base_dimensions(self, piece) for piece in own}

    def cut_size(self, walls: Sequence[Piece]) -> tuple[Template, Mapping[str, float]]:
        """The base and the walls round it."""
        told = mark("Base {width} × {depth}, walls {around} × {height}")
        around = math.fsum(self.wall_width(face) for face in self.ring_faces)
        if self.body_pieces == 1:
            around = self.body_width
        return told, {
            "width": self.base_cut_width,
            "depth": self.base_cut_depth,
            "around": around,
            "height": self.body_height,
        }

    def allowances(self, top: Allowance) -> tuple[Allowance, ...]:
        return (
            Allowance(figure="side_seam", label=mark("side seam"), size=self.side_seam),
            top,
            Allowance(figure="base_seam", label=mark("base seam"), size=self.base_seam),
        )

    def with_allowances(
        self, wanted: Mapping[str, float], shows: float
    ) -> tuple[dict[str, float], Moved]:
        """As `Body.with_allowances`: base, its corners, ring, face and opening stay."""
        was = {each.name: getattr(self, each.attribute) for each in CUT if self.applies(each.name)}
        more = {name: wanted.get(name, size) - size for name, size in was.items()}
        side, top, base = (more[name] for name in ("side_seam", "zip_seam", "base_seam"))
        more |= {"base_cut_width": 2 * base, "base_cut_depth": 2 * base, "body_width": 2 * side}
        if self.corner_rounding:
            more["corner_rounding"] = base
        if self.body_pieces == 4:
            more["body_end_width"] = 2 * side
        more["body_height"] = base + top - shows / 2
        changes = {name: was[name] + size for name, size in more.items() if size != 0.0}
        return changes, Moved(width=2 * side, top=more["body_height"] - base)

    def folding(self, draft: Draft, closing: "Closing | None") -> "Folding":
        from core.bodies.separate_base.space import base_folding  # which knows this class

        return base_folding(self, draft, closing)

    def quarter(self, draft: Draft, closing: "Closing | None", *, board: bool) -> "Quarter":
        from core.bodies.separate_base import filled  # numpy is loaded with the first filling

        return filled.quarter(self, draft, closing, board=board)

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        return base_crossings(site)

    def closing_work(self) -> "ClosingWork":
        from core.bodies.separate_base.closing import closing_of

        return closing_of(self)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        from core.bodies.separate_base.operations import base_markings

        return base_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.bodies.separate_base.operations import base_operations

        return base_operations(bench, self)

    # What the solver asks is answered beside the sizes that it is about.
    may_change, bends = redesign.may_change, redesign.bends
    shapes, shaped, fill_limits = redesign.shapes, redesign.shaped, redesign.fill_limits


_SHARE_OF_FLAT = 1 / 3
"""Of the width of a flat bag that becomes its depth (own choice)."""
_ONE_TWO_FOUR = mark("it must be 1, 2 or 4.")
_SQUARE_ONLY = mark("it must be 1 or 2, for the corners of the base are rounded.")
_WITHIN_BASE = mark("it must be less than half of the base, {limit}.")
_WITHIN_BACK = mark("it must be less than the back, {limit}.")
_WITHIN_FRONT = mark("it must be less than the front, {limit}.")
_WITHIN_WALL = mark("it must be less than half of a wall, {limit}.")
_WITHIN_END = mark("it must be less than half of a side, {limit}.")
_HALF_DEEP = mark("it must be at most {limit}, half of the base's depth.")
_HALF_WIDE = mark("it must be at most {limit}, half of the base's width.")
_HIGHER = mark("it must be more than {limit}, what its seams and the front trim take up.")
_USED_UP = mark("it must be 0 or more than {limit}: the seam uses up what is rounded less.")
