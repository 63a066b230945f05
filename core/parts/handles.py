"""Handles: strips folded to four layers, as one loop under the bag or as two straps.

The loop runs under the bag and up both faces, its halfway marks on the bottom line, so
both handles drop alike but for the front trim. Lengths are mm.
"""

import math
from dataclasses import dataclass
from enum import Enum
from typing import ClassVar

from core.errors import Sentence
from core.figures import CutFigure, FinishedFigure, Kind, check_record
from core.findings import Finding, Mend, Severity
from core.flat.piece import Fold, Goods, Mark, MarkKind, Piece, Turn, rectangle
from core.parts.panel import LONGEST
from core.parts.site import INCH, QUARTER_INCH, Face, Finished, PlacedMark, Site, signed
from core.tolerance import shorter

FOLD_CLEARANCE = QUARTER_INCH
"""What a strip is cut narrower than four times the handle, so that it folds."""
JOIN_SEAM = QUARTER_INCH
"""Allowance where strips are joined end to end, or an end is turned under."""
SHORTEST_DROP = 4 * INCH
"""A hand does not fit under less (common practice, no source)."""
STOP_CLEARANCE = INCH
"""Between the zip's stitch line and the end of the handle's stitching."""


class HandleStyle(Enum):
    """How the strips become handles."""

    LOOP = "loop"
    SEPARATE = "two separate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Handles:
    """A pair of handles.

    Attributes:
        style: one loop under the bag, or two separate handles.
        width: finished.
        gap: between the two legs of one handle.
        stop: from the cut top edge of a face down to where the stitching ends.
        strips: how many strips are joined: in the loop, or in each separate handle.
        goods_width: usable width of the goods, and so the length of a strip.
        leg: sewn length of each leg of a separate handle, down from the stop.
    """

    style: HandleStyle = HandleStyle.LOOP
    width: float
    gap: float
    stop: float
    strips: int
    goods_width: float
    leg: float = 6 * INCH

    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="handle_width",
            label="Handle width",
            part="handles",
            attribute="width",
            low=FOLD_CLEARANCE / 4,
            high=500.0,
            above_low=True,
            help="Finished width; the strip is cut four times as wide, less 1/4 in.",
        ),
        CutFigure(
            name="handle_gap",
            label="Handle gap",
            part="handles",
            attribute="gap",
            low=0.0,
            high=LONGEST,
            help="Space between the two legs of a handle.",
        ),
        CutFigure(
            name="handle_stop",
            label="Handle stop",
            part="handles",
            attribute="stop",
            low=0.0,
            high=LONGEST,
            help="From the cut top edge of a face down to where the stitching ends.",
        ),
        CutFigure(
            name="handle_strips",
            label="Handle strips",
            part="handles",
            attribute="strips",
            kind=Kind.COUNT,
            low=1,
            high=60,
            help="How many strips are joined, in the loop or in each separate handle.",
        ),
        CutFigure(
            name="goods_width",
            label="Strip length",
            part="handles",
            attribute="goods_width",
            low=2 * JOIN_SEAM,
            high=LONGEST,
            above_low=True,
            help="Usable width of the goods: strips are cut across it.",
        ),
        CutFigure(
            name="handle_leg",
            label="Handle leg",
            part="handles",
            attribute="leg",
            low=0.0,
            high=LONGEST,
            above_low=True,
            published=False,
            help="Sewn length of each leg of two separate handles, down from the stop.",
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = (
        FinishedFigure(
            name="handle_loop",
            label="Handle loop",
            part="handles",
            help="Length of the joined loop, or of one separate handle.",
        ),
        FinishedFigure(
            name="handle_drop_front",
            label="Handle drop, front",
            part="handles",
            help="Height of the front handle's top above the top fold, pulled taut.",
        ),
        FinishedFigure(
            name="handle_drop_back",
            label="Handle drop, back",
            part="handles",
            help="Height of the back handle's top above the top fold, pulled taut.",
        ),
    )

    def __post_init__(self) -> None:
        check_record(self, self.FIGURES)

    @property
    def strip_width(self) -> float:
        """Cut width of a strip: four layers, less the fold clearance."""
        return 4 * self.width - FOLD_CLEARANCE

    @property
    def strip_length(self) -> float:
        """What one strip adds to a handle: its cut length less a seam at each end."""
        return self.goods_width - 2 * JOIN_SEAM

    @property
    def loop(self) -> float:
        """Length of the joined loop; or of one separate handle, its ends turned under."""
        return self.strips * self.strip_length

    @property
    def centres(self) -> float:
        """Between the middles of the two legs."""
        return self.gap + self.width

    @property
    def reach(self) -> float:
        """How far below the cut edge the face must go on for the stitching to start or end."""
        return self.stop if self.style is HandleStyle.LOOP else self.stop + self.leg

    def sewn_leg(self, site: Site, face: Face) -> float:
        """Length of one leg that is sewn down on this face."""
        if self.style is HandleStyle.LOOP:
            return site.top(face) - self.stop
        return self.leg

    def free_length(self, site: Site, face: Face) -> float:
        """Length of handle between its two stops."""
        whole = self.loop / 2 if self.style is HandleStyle.LOOP else self.loop
        return whole - 2 * self.sewn_leg(site, face)

    def stop_to_top_fold(self, site: Site, face: Face) -> float:
        """From the stop up to the top fold: the front trim moves the fold to the front."""
        shift = site.front_trim / 2 if face is Face.FRONT else -site.front_trim / 2
        return self.stop - site.top_seam + site.zip_width / 2 + shift

    def drop(self, site: Site, face: Face) -> float | None:
        """Handle pulled taut to one point; None when it does not span its two legs."""
        half_free, half_gap = self.free_length(site, face) / 2, self.centres / 2
        if shorter(half_free, half_gap):
            return None
        taut = math.sqrt(max(half_free**2 - half_gap**2, 0.0))
        return taut - self.stop_to_top_fold(site, face)

    def strips_for_drop(self, site: Site, drop: float) -> int:
        """Fewest strips whose lower drop (of the two faces) is at least this, mm.

        The inverse of `drop`: wanted drop -> free length -> loop -> strips.
        """
        needed = 0.0
        for face in Face:
            rise = drop + self.stop_to_top_fold(site, face)
            free = 2 * math.hypot(max(rise, 0.0), self.centres / 2)
            whole = free + 2 * self.sewn_leg(site, face)
            needed = max(needed, 2 * whole if self.style is HandleStyle.LOOP else whole)
        return max(1, math.ceil(needed / self.strip_length - 1e-9))

    def check_fit(self, site: Site) -> None:
        """Refuse stitching that ends below the bottom.

        Raises:
            FieldError: the stop reaches the bottom of the front, or a leg runs past it.
        """
        if not shorter(self.stop, site.front_top):
            self.FIGURES[2].refuse(
                self.stop, "it must be less than the front, {limit}.", limit=site.front_top
            )
        room = site.front_top - self.stop
        if self.style is HandleStyle.SEPARATE and shorter(room, self.leg):
            self.FIGURES[5].refuse(
                self.leg, "it must end above the bottom, within {limit}.", limit=room
            )

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The strips, cut across the goods."""
        width = self.strip_width
        edges = rectangle(
            ("strip lower edge", "strip end right", "strip upper edge", "strip end left"),
            (0.0, 0.0),
            (self.goods_width, width),
            allowances=(0.0, JOIN_SEAM, 0.0, JOIN_SEAM),
        )
        turned_in = (width - 2 * self.width) / 2
        folds = tuple(
            Fold(name, "strip end left", "strip end right", y)
            for name, y in (
                ("turn in", turned_in),
                ("middle", width / 2),
                ("turn in again", width - turned_in),
            )
            if 0.0 < y < width
        )
        pairs = 1 if self.style is HandleStyle.LOOP else 2
        return (
            Piece(
                name="handle strip",
                part="handles",
                edges=edges,
                folds=folds,
                count=self.strips * pairs,
                goods=Goods.OUTER,
                turn=Turn.QUARTER,
                notes=(
                    Sentence(
                        "Press to a tape {tape} wide, fold again to {width} and edge-stitch.",
                        {"tape": 2 * self.width, "width": self.width},
                    ),
                ),
            ),
        )

    def legs(self, site: Site) -> tuple[tuple[float, float], ...]:
        """(left, right) of each leg across the panel."""
        middle, half = site.panel_width / 2, self.centres / 2
        return tuple(
            (centre - self.width / 2, centre + self.width / 2)
            for centre in (middle - half, middle + half)
        )

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """Each leg's outline on each face, and the halfway marks on the bottom line."""
        marks = [self._leg_mark(site, face, leg) for face in Face for leg in self.legs(site)]
        if self.style is HandleStyle.LOOP:
            marks += [
                PlacedMark(
                    Face.FRONT,
                    Mark("handle halfway", MarkKind.HALFWAY, ((left, 0.0), (right, 0.0))),
                )
                for left, right in self.legs(site)
            ]
        return tuple(marks)

    def _leg_mark(self, site: Site, face: Face, leg: tuple[float, float]) -> PlacedMark:
        left, right = leg
        upper = site.top(face) - self.stop
        top, foot = signed(face, upper), signed(face, upper - self.sewn_leg(site, face))
        points = ((left, foot), (left, top), (right, top), (right, foot))
        closed = self.style is HandleStyle.SEPARATE
        return PlacedMark(face, Mark("handle leg", MarkKind.PLACEMENT, points, closed=closed))

    def finished(self, site: Site) -> Finished:
        """Loop length and both drops."""
        return {
            "handle_loop": self.loop,
            "handle_drop_front": self.drop(site, Face.FRONT),
            "handle_drop_back": self.drop(site, Face.BACK),
        }

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Whether the handles clear zip and corners, and are long enough for a hand."""
        return (
            *self._zip_findings(site),
            *self._corner_findings(site, finished),
            *self._drop_findings(site, finished),
        )

    def _zip_findings(self, site: Site) -> tuple[Finding, ...]:
        room = self.stop - site.top_seam
        if site.zip_width <= 0.0 or not shorter(room, STOP_CLEARANCE):
            return ()
        stop = site.top_seam + STOP_CLEARANCE
        mends: tuple[Mend, ...] = ()
        if shorter(stop + self.reach - self.stop, site.front_top):
            label = Sentence("End the stitching {value} below the edge", {"value": stop})
            mends = (Mend(label, (("handle_stop", stop),)),)
        return (
            Finding(
                code="zip-near-handle-stop",
                severity=Severity.WARN,
                figure="handle_stop",
                value=self.stop,
                limit=stop,
                message=Sentence(_NEAR_ZIP, {"value": room, "limit": STOP_CLEARANCE}),
                mends=mends,
            ),
        )

    def _corner_findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        base, span = finished["base_width"] or 0.0, self.gap + 2 * self.width
        if not self._reaches_corner(site) or not shorter(base, span):
            return ()
        over_cut = shorter(site.panel_width - 2 * site.corner_width, span)
        gap = base - 2 * self.width
        mends: tuple[Mend, ...] = ()
        if gap >= 0.0:
            label = Sentence("Make the handle gap {value}", {"value": gap})
            mends = (Mend(label, (("handle_gap", gap),)),)
        return (
            Finding(
                code="handle-over-corner",
                severity=Severity.STOP if over_cut else Severity.WARN,
                figure="handle_gap",
                value=self.gap,
                limit=gap,
                message=Sentence(
                    _OVER_CUT if over_cut else _OVER_SEAM, {"value": span, "limit": base}
                ),
                mends=mends,
            ),
        )

    def _reaches_corner(self, site: Site) -> bool:
        if not site.has_corners:
            return self.gap + 2 * self.width > site.panel_width - 2 * site.side_seam
        corner = site.corner_depth + site.corner_seam
        return any(site.top(face) - self.stop - self.sewn_leg(site, face) < corner for face in Face)

    def _drop_findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        drops = {name: finished[name] for name in ("handle_drop_front", "handle_drop_back")}
        name = min(drops, key=lambda each: -math.inf if drops[each] is None else drops[each] or 0.0)
        drop = drops[name]
        if drop is not None and not shorter(drop, SHORTEST_DROP):
            return ()
        face = Face.FRONT if name.endswith("front") else Face.BACK
        free = self.free_length(site, face)
        strips = self.strips_for_drop(site, SHORTEST_DROP)
        mends: tuple[Mend, ...] = ()
        if strips <= self.FIGURES[3].high:
            label = Sentence("Join {count} strips", words={"count": str(strips)})
            mends = (Mend(label, (("handle_strips", strips),)),)
        return (
            Finding(
                code="handle-loop-short",
                severity=Severity.STOP if drop is None else Severity.WARN,
                figure=name,
                value=free if drop is None else drop,
                limit=self.centres if drop is None else SHORTEST_DROP,
                message=Sentence(
                    _NO_LOOP if drop is None else _LOW_DROP,
                    {"value": free if drop is None else drop, "limit": SHORTEST_DROP},
                    {"face": face.value},
                ),
                mends=mends,
            ),
        )


_NEAR_ZIP = (
    "Only {value} lies between the zip's stitch line and the end of the handle's stitching: "
    "the foot needs {limit}."
)
_OVER_CUT = (
    "The handle legs reach {value} across, but the base is {limit} wide: they run over the "
    "corner cut."
)
_OVER_SEAM = (
    "The handle legs reach {value} across, but the base is {limit} wide: they run into the "
    "corner seam."
)
_NO_LOOP = "The strips are too short: {value} is left for the {face} handle after the sewn legs."
_LOW_DROP = "The {face} handle drops only {value}: a hand needs {limit}."
