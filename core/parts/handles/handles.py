"""Handles: strips folded to four layers, as one loop under the bag or as two straps.

The loop runs under the bag and up both faces, its halfway marks on the bottom line, so
both handles drop alike but for the front trim. Lengths are mm.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar

from core.base.errors import FieldError
from core.base.sentences import Template, mark, say
from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH
from core.flat.piece import Dimension, Piece
from core.flat.roles import FACES, SIDES, Face, PieceId, Side
from core.flat.seam import Draft
from core.goods.supplies import Notion
from core.model.figures import CutFigure, FinishedFigure, Limit, settle_record
from core.model.record import Solving
from core.parts.handles import drawn, redesign
from core.parts.handles.figures import (
    BACK_LOWER,
    CUT,
    FINISHED,
    FOLD_CLEARANCE,
    GOODS_WIDTH,
    JOIN_SEAM,
    LAST_STRIP,
    LEG,
    SHORT_STRIP,
    STOP,
    STRIP,
    STRIPS,
    HandleStyle,
    strip_piece,
    strip_value,
    whole_strip,
    with_strip_values,
)
from core.parts.handles.findings import handle_findings
from core.parts.handles.level import level_again
from core.parts.part import Part
from core.site.owner import NONE, Choice, Moved, Surround
from core.site.site import Finished, Mouth, Seat, SewnOn, Site

if TYPE_CHECKING:
    from core.work.bench import Bench
    from core.work.operation import Marking, Operation


def _with_style(handles: "Handles", word: str, around: Surround, kept: object) -> "Handles":
    from core.parts.handles.fresh import restyled  # which knows the class below

    made = restyled(handles, HandleStyle(word), around.site)
    made.check_way(around.site)
    return made


_CHOICES: tuple[Choice, ...] = (
    Choice(
        name="handle_style",
        part="handles",
        label=mark("Made as"),
        step=mark("Change the handles"),
        help=mark("One loop that runs under the bag, two separate handles, or none."),
        options=(
            (NONE, mark("No handles")),
            (HandleStyle.LOOP.value, mark("One loop")),
            (HandleStyle.SEPARATE.value, mark("Two separate")),
        ),
        read=lambda handles: handles.style.value,
        kept=lambda handles: handles,
        write=_with_style,
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Handles(Part):
    """A pair of handles.

    Attributes:
        style: one loop under the bag, or two separate handles.
        gap: between the two legs of one handle.
        stop: from the cut top edge of a face down to where the stitching ends.
        strips: how many strips are joined: in the loop, or in each separate handle. They are
            as long as their goods are wide (`whole_strip`), but for the last one.
        last_strip: cut length of the last strip; None: as long as the others.
        leg: sewn length of each leg of a separate handle, down from the stop.
        back_lower: how much lower the stop of a separate handle lies on the back.
    """

    style: HandleStyle = HandleStyle.LOOP
    width: float
    gap: float
    stop: float
    strips: int
    last_strip: float | None = None
    leg: float = 6 * MM_PER_INCH
    back_lower: float = 0.0

    SOLVING: ClassVar[Solving] = redesign.SOLVING
    SLOT: ClassVar[str] = "handles"
    CHOICES: ClassVar[tuple[Choice, ...]] = _CHOICES
    KIND: ClassVar[str] = "strips"
    IS_STRAP: ClassVar[bool] = True
    WORD: ClassVar[Template] = mark("handles")
    LABEL: ClassVar[Template] = mark("Handles")
    FIGURES: ClassVar[tuple[CutFigure, ...]] = CUT
    GOODS_FIGURES: ClassVar[tuple[CutFigure, ...]] = (GOODS_WIDTH,)
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = FINISHED

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES if self.last_strip is not None else _WITHOUT_LAST)

    @classmethod
    def fresh(cls, around: Surround, word: str = HandleStyle.LOOP.value) -> "Handles":
        from core.parts.handles.fresh import fresh_handles  # which knows this class

        return fresh_handles(around, HandleStyle(word))

    def made_for(self, site: Site) -> "Handles":
        from core.parts.handles.fresh import restyled  # which knows this class

        if self.style is not HandleStyle.LOOP or loop_runs_under(site):
            return self
        return restyled(self, HandleStyle.SEPARATE, site)

    def along(self, was: Surround, now: Surround) -> "Handles":
        from core.parts.handles.fresh import carried_over  # which knows this class

        return carried_over(self, was.site, now.site)

    def topped(self, was: Site, now: Site) -> "Handles":
        return level_again(self, was, now)

    value, with_values = strip_value, with_strip_values

    @property
    def strip_width(self) -> float:
        """Cut width of a strip: four layers, less the fold clearance."""
        return 4 * self.width - FOLD_CLEARANCE

    def strip_lengths(self, site: Site) -> tuple[float, ...]:
        """Cut lengths of the strips of the loop, or of one separate handle, the last one last."""
        whole = whole_strip(site)
        return (*[whole] * (self.strips - 1), whole if self.last_strip is None else self.last_strip)

    def loop(self, site: Site) -> float:
        """Length of the joined loop; or of one separate handle, its ends turned under.

        Each strip loses a seam at either end: to a join, or to the end that is turned under.
        """
        return math.fsum(self.strip_lengths(site)) - 2 * JOIN_SEAM * self.strips

    def with_loop(self, site: Site, length: float) -> "Handles":
        """The same handles with a loop of this length, of as few strips as it takes.

        A FieldError where no number of strips gives such a loop.
        """
        each = self.chain_piece(site)
        strips = max(1, math.ceil(length / each - 1e-9))
        STRIPS.check(strips)
        last = length - (strips - 1) * each + 2 * JOIN_SEAM
        whole = same_length(last, whole_strip(site))
        return replace(self, strips=strips, last_strip=None if whole else last)

    chain_length, with_chain = loop, with_loop

    def chain_piece(self, site: Site) -> float:
        """What a whole strip adds to the loop: it loses a seam at either end."""
        return whole_strip(site) - 2 * JOIN_SEAM

    # What the solver asks is answered beside the loop and the drops that it is about.
    bends, following = redesign.bends, redesign.following
    on_ruler = redesign.on_ruler

    @property
    def centres(self) -> float:
        """Between the middles of the two legs."""
        return self.gap + self.width

    @property
    def span(self) -> float:
        """From the outer edge of one leg to that of the other."""
        return self.gap + 2 * self.width

    @property
    def turned_in(self) -> float:
        """How much of either long edge of a strip is turned in; not above 0: nothing."""
        return (self.strip_width - 2 * self.width) / 2

    def stop_on(self, face: Face) -> float:
        """From the cut top edge of this face down to where the stitching ends."""
        lower = face is Face.BACK and self.style is HandleStyle.SEPARATE
        return self.stop + self.back_lower if lower else self.stop

    def reach(self, face: Face) -> float:
        """How far below its cut edge a face must go on for the stitching to start or end."""
        stop = self.stop_on(face)
        return stop if self.style is HandleStyle.LOOP else stop + self.leg

    def sewn_leg(self, site: Site, face: Face) -> float:
        """Length of one leg that is sewn down on this face."""
        if self.style is HandleStyle.LOOP:
            return site.seats[face].top - self.stop_on(face)
        return self.leg

    def leg_ends(self, site: Site, face: Face) -> tuple[float, float]:
        """Heights of the lower and the upper end of the sewn legs above the face's base line."""
        upper = site.seats[face].top - self.stop_on(face)
        return upper - self.sewn_leg(site, face), upper

    def free_length(self, site: Site, face: Face) -> float:
        """Length of handle between its two stops."""
        loop = self.loop(site)
        whole = loop / 2 if self.style is HandleStyle.LOOP else loop
        return whole - 2 * self.sewn_leg(site, face)

    def stop_to_top_fold(self, site: Site, face: Face) -> float:
        """From the stop up to the top fold, or to where the top is rolled down to.

        The front trim moves the fold to the front.
        """
        seat = site.seats[face]
        rise = self.stop_on(face) - seat.top_allowance + seat.above - site.rolled
        return rise + site.shows / 2 + site.mouth.shift(face)

    def drop(self, site: Site, face: Face) -> float | None:
        """Handle pulled taut to one point; None when it does not span its two legs."""
        half_free, half_gap, rise = self.taut(site, face)
        if shorter(half_free, half_gap):
            return None
        return math.sqrt(max(half_free**2 - half_gap**2, 0.0)) - rise

    def taut(self, site: Site, face: Face) -> tuple[float, float, float]:
        """What the drop is reckoned from, mm, each linear in the cut.

        Half of the free length, half of the distance between the legs, and the rise from the
        stops up to the top fold.
        """
        half_free = self.free_length(site, face) / 2
        return half_free, self.centres / 2, self.stop_to_top_fold(site, face)

    def loop_for_drop(self, site: Site, drop: float, face: Face) -> float:
        """Length of the loop, or of one separate handle, whose drop on this face is this, mm.

        The inverse of `drop`: wanted drop -> free length -> loop.
        """
        rise = drop + self.stop_to_top_fold(site, face)
        free = 2 * math.hypot(max(rise, 0.0), self.centres / 2)
        whole = free + 2 * self.sewn_leg(site, face)
        return 2 * whole if self.style is HandleStyle.LOOP else whole

    def loop_for_drops(self, site: Site, drop: float) -> float:
        """Length of loop or handle whose lower drop (of the two faces) is this, mm."""
        return max(self.loop_for_drop(site, drop, face) for face in FACES)

    def strips_for_drop(self, site: Site, drop: float) -> int:
        """Fewest whole strips whose lower drop (of the two faces) is at least this, mm."""
        needed = self.loop_for_drops(site, drop)
        return max(1, math.ceil(needed / self.chain_piece(site) - 1e-9))

    def check_fit(self, site: Site) -> None:
        """Refuse stitching that ends below the bottom, and strips that their goods cannot give.

        FieldError: nothing runs on under the bag for a loop, the stop reaches the bottom of the
        front, a leg runs past it, the goods are no wider than two joins, or the last strip is
        longer than they are wide.
        """
        self.check_way(site)
        GOODS_WIDTH.check(whole_strip(site))
        if self.last_strip is not None and shorter(whole_strip(site), self.last_strip):
            LAST_STRIP.refuse(
                self.last_strip,
                mark("it must be at most the width of its material, {limit}."),
                limit=whole_strip(site),
            )
        Part.check_fit(self, site)

    def check_way(self, site: Site) -> None:
        """Refuse by a FieldError a loop where no wall runs on flat under the bag."""
        if self.style is HandleStyle.LOOP and not loop_runs_under(site):
            raise FieldError(say(_NO_WAY), field="handle_style", value=self.style.value)

    def limits(self, site: Site) -> tuple[Limit, ...]:
        room = site.front.top - self.stop
        less = mark("it must be less than the front, {limit}.")
        stop = Limit(STOP, self.stop, site.front.top, less)
        if self.style is HandleStyle.LOOP:
            return (stop,)
        rule = mark("it must end above the bottom, within {limit}.")
        leg = Limit(LEG, self.leg, room, rule, reachable=True)
        lower = mark("it must leave the legs of the back above the bottom, within {limit}.")
        beyond = site.seats[Face.BACK].top - self.stop - self.leg
        return (stop, leg, Limit(BACK_LOWER, self.back_lower, beyond, lower, reachable=True))

    def keep_sizes(self, wanted: Mapping[str, float], moved: Moved, site: Site) -> dict[str, float]:
        """The stops stay as far below the top stitch line."""
        return {"handle_stop": self.stop + moved.top} if moved.top else {}

    def fits_as_well(self, site: Site, was: "Handles", site_before: Site) -> bool:
        """Whether both legs still lie on the face."""
        return not shorter(site.front.width, self.span)

    def sewn_on(self, seats: Mapping[Face, Seat], mouth: Mouth) -> tuple[SewnOn, ...]:
        looped = self.style is HandleStyle.LOOP
        return tuple(
            SewnOn(
                face=face,
                needs=self.reach(face),
                lowest=0.0 if looped else seats[face].top - self.reach(face),
            )
            for face in FACES
        )

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        pairs = 1 if self.style is HandleStyle.LOOP else 2
        *others, last = self.strip_lengths(site)
        if all(same_length(last, other) for other in others):
            return (self._strip(STRIP, last, self.strips * pairs),)
        return (
            self._strip(STRIP, others[0], len(others) * pairs),
            self._strip(SHORT_STRIP, last, pairs),
        )

    def _strip(self, piece: PieceId, length: float, count: int) -> Piece:
        size = (length, self.strip_width)
        return strip_piece(piece, size, count, tape=2 * self.width, seam=JOIN_SEAM)

    def legs(self, site: Site) -> tuple[tuple[float, float], ...]:
        """(left, right) of each leg across the face."""
        middle, half = site.front.width / 2, self.centres / 2
        return tuple(
            (centre - self.width / 2, centre + self.width / 2)
            for centre in (middle - half, middle + half)
        )

    def laid_legs(self, site: Site) -> dict[Side, tuple[float, float]]:
        """(left, right) of what of each leg lies on the face."""
        found = {
            side: (max(left, 0.0), min(right, site.front.width))
            for side, (left, right) in zip(SIDES, self.legs(site), strict=True)
        }
        return {side: ends for side, ends in found.items() if shorter(*ends)}

    # How they are drawn, and what is doubtful about them, stands in rooms of its own.
    marks, laid, cut_notes = drawn.handle_marks, drawn.handles_laid, drawn.strip_notes
    stitching_hung_on, findings = drawn.box_and_cross, handle_findings

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        return {piece.id: drawn.handle_dimensions(piece) for piece in draft.walls}

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        return drawn.leg_tape(self, site)

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        from core.parts.handles.markings import handle_markings

        return handle_markings(bench, self)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.parts.handles.operations import handles_operations

        return handles_operations(bench, self)

    def finished(self, site: Site) -> Finished:
        return {
            "handle_loop": self.loop(site),
            **{name: self.drop(site, face) for face, name in redesign.DROPS.items()},
        }

    def applies(self, name: str) -> bool:
        """Whether a cut figure plays a role: only separate handles end in legs of their own."""
        alone = name in (LEG.name, BACK_LOWER.name)
        return not alone or self.style is HandleStyle.SEPARATE


def loop_runs_under(site: Site) -> bool:
    """Whether a strip can be sewn down on front and back, and on under the bag between them."""
    return all(site.seats[face].flat_below for face in FACES)


_NO_WAY = mark(
    "One loop cannot be sewn on here: a seam all round ends front and back at the bottom, and "
    "nothing runs on flat under the bag. Choose two separate handles."
)
_WITHOUT_LAST = tuple(each for each in CUT if each is not LAST_STRIP)
