"""Every top with a zip: what is bought, its choices, and what follows from its tape. mm."""

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from functools import cache
from typing import ClassVar, Self, TypedDict

from core.base.sentences import NO_TEXT, Sentence, Template, joined, mark, say, typed
from core.base.tolerance import same_length, shorter
from core.base.units import MM_PER_INCH, Unit
from core.flat.piece import CutFrom, GrainTurn, Mark, MarkStyle, Piece, rectangle
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, MarkRole, PieceId, PieceRole, Side
from core.flat.seam import Draft
from core.goods.supplies import Notion, sold_length
from core.model.figures import CutFigure, Limit, settle_record
from core.model.findings import Allowance
from core.model.record import ZIP_COLOUR, ZIP_GAUGE, Detail
from core.site.owner import Choice, Moved, Surround
from core.site.site import Mouth, Site
from core.tops.top import Top
from core.tops.zips.figures import A_ZIP, LEFT_OUT, ZIP_CHOICES, ZIP_FIGURES
from core.tops.zips.findings import (
    WIDEST_TAPE,
    WITH_TAPE,
    ZIP_END,
    least_tape,
    teeth_findings,
    usual_tape,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Zipped(Top):
    """A zip between two edges, and whatever those belong to.

    Attributes:
        tape_width: across both tapes, closed.
        length: ends included; it is trimmed after sewing. Where no zip of this length is sold it
            is cut from the next one that is (`to_buy`).
        gauge: the trade's number for the coarseness of its teeth.
        colour: free text for the shopping list.
        by_length: cut off a roll to any length, rather than sold ready made.
    """

    tape_width: float
    length: float
    gauge: str = "5"
    colour: str = ""
    by_length: bool = False

    DETAILS: ClassVar[Mapping[str, Detail]] = {
        "gauge": Detail(limit=ZIP_GAUGE),
        "colour": Detail(limit=ZIP_COLOUR),
        "by_length": Detail(help=mark("Cut off a roll rather than sold ready made.")),
    }
    FIGURES: ClassVar[tuple[CutFigure, ...]] = ZIP_FIGURES
    WORD: ClassVar[Template] = A_ZIP
    CHOICES: ClassVar[tuple[Choice, ...]] = ZIP_CHOICES
    LEFT_OUT: ClassVar[str] = LEFT_OUT
    CLOSES: ClassVar[bool] = True

    def __post_init__(self) -> None:
        ZIP_GAUGE.check(self.gauge, field="zip_gauge")
        ZIP_COLOUR.check(self.colour, field="zip_colour")
        settle_record(self, self.FIGURES)

    def spans(self, mouth: Mouth) -> float:
        """Length of what the zip closes, as cut, mm."""
        return mouth.width

    def to_buy(self, site: Site) -> float:
        """Length of the zip to buy, mm: the next that is sold, which is then cut to `length`.

        `length` itself where it is cut off a roll, or none that is sold reaches.
        """
        return self.length if self.is_sold(site) else sold_length(self.length, site.zip_lengths)

    def is_sold(self, site: Site) -> bool:
        """Whether a zip as long as this one can be bought."""
        return self.by_length or site.supplies.sells_zip(self.length, site.shop_zips)

    def as_wide_as(self, allowance: float, site: Site) -> tuple[Template, Mapping[str, float]]:
        """A slider must pass between the seams; tape that is hard to find was for wider ones."""
        least = least_tape(self, allowance)
        usual = max(usual_tape(site.unit), least)
        if shorter(self.tape_width, least):
            return WITH_TAPE, {"zip_tape_width": least}
        if shorter(WIDEST_TAPE, self.tape_width) and not shorter(WIDEST_TAPE, usual):
            return WITH_TAPE, {"zip_tape_width": usual}
        return NO_TEXT, {}

    def keep_sizes(self, wanted: Mapping[str, float], moved: Moved, site: Site) -> dict[str, float]:
        """Long enough for what is wider."""
        found = {name: wanted[name] for name in ("zip_tape_width",) if name in wanted}
        needed = self.spans(site.mouth) + moved.width + 2 * ZIP_END
        if moved.width > 0.0 and shorter(self.length, needed):
            found["zip_length"] = self._sold(needed, site)
        return found

    seam_findings = teeth_findings

    def allowance(self, mouth: Mouth) -> Allowance:
        label = mark("zip seam")
        return Allowance(figure=mouth.allowance_figure, label=label, size=mouth.allowance)

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        rule = mark("it must be more than its two zip seams, {limit}.")
        return (Limit(self.FIGURES[0], self.tape_width, 2 * mouth.allowance, rule, above=True),)

    def following(self, was: Surround, now: Surround, exact: Set[str]) -> Self:
        """As one that was just long enough still is; a longer one becomes no shorter."""
        before, needed = (self.spans(each.site.mouth) + 2 * ZIP_END for each in (was, now))
        if "zip_length" in exact or same_length(needed, before):
            return self
        short = shorter(self.length, needed) and shorter(before, needed)
        if not short and not same_length(self.length, self._sold(before, was.site)):
            return self
        length = self._sold(needed, now.site)
        return self if same_length(length, self.length) else replace(self, length=length)

    def _sold(self, needed: float, site: Site) -> float:
        """Length of the zip that is bought where so much is needed, mm."""
        return needed if self.by_length else sold_length(needed, site.zip_lengths)

    def tape(self, site: Site, faces: tuple[Face, Face], end: float) -> Piece:
        """The zip as trimmed, between the edges of two faces; its first edge joins the first's.

        `end`: allowance of its ends, mm.
        """
        width, seam = self.spans(site.mouth), site.mouth.allowance
        edges = rectangle(
            _edges(faces), (width, self.tape_width), allowances=(seam, end, seam, end)
        )
        middle = self.tape_width / 2
        teeth = Mark(
            role=MarkRole.TEETH,
            owner="top",
            points=((0.0, middle), (width, middle)),
            style=MarkStyle.PLACEMENT,
            label=_TEETH,
        )
        return Piece(
            id=ZIP,
            label=_ZIP,
            edges=edges,
            marks=(teeth,),
            cut_from=CutFrom.BOUGHT,
            turn=GrainTurn.NEVER,
            grain=(1.0, 0.0),
            notes=(self._note(site),),
        )

    def _note(self, site: Site) -> Sentence:
        bought = self.to_buy(site)
        if self.by_length:
            template = _BY_LENGTH
        elif shorter(self.length, bought):
            template = _CUT
        else:
            template = _READY
        return Sentence(template, {"length": self.length, "bought": bought})

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        bought = self.to_buy(site)
        template = _OFF_A_ROLL if self.by_length else _READY_MADE
        if not self.by_length and shorter(self.length, bought):
            template = _CUT_TO_LENGTH
        told = [say(template, bought=bought, length=self.length)]
        if self.colour:
            told.insert(0, typed(self.colour))
        if self.gauge:
            told.insert(0, say("No. {gauge}", words={"gauge": self.gauge}))
        kind = joined(told)
        return (Notion(what=mark("zip"), kind=kind, price=site.supplies.zip_price),)


def new_tape(site: Site) -> float:
    """Width of a tape that leaves its slider free of the zip seams, mm."""
    slides = MM_PER_INCH / 2 if site.unit is Unit.INCH else 12.0
    return max(usual_tape(site.unit), 2 * site.mouth.allowance + slides)


class Bought(TypedDict):
    """What of a zip is chosen where it is bought, whatever it is sewn between."""

    length: float
    gauge: str
    colour: str
    by_length: bool


def new_zip(around: Surround, span: float) -> Bought:
    """For so long an opening, mm: like the zip of the bag around it, or else a usual one.

    It is of a length that is sold.
    """
    was, needed = around.top, span + 2 * ZIP_END
    gauge, colour, by_length = "5", "", False
    if isinstance(was, Zipped):
        gauge, colour, by_length = was.gauge, was.colour, was.by_length
    length = needed if by_length else sold_length(needed, around.site.zip_lengths)
    return Bought(length=length, gauge=gauge, colour=colour, by_length=by_length)


ZIP = PieceId("top", PieceRole.TAPE)
ZIP_ENDS = {side: EdgeRef(ZIP, EdgeId(EdgeRole.TAPE_END, side=side)) for side in Side}
_ZIP, _TEETH = mark("zip"), mark("zip teeth")
_TAPES = {
    Face.FRONT: mark("zip front"),
    Face.BACK: mark("zip back"),
    Face.LEFT: mark("zip left"),
    Face.RIGHT: mark("zip right"),
}


def tape_edge(face: Face) -> EdgeRef:
    """The zip's edge on the side of a face."""
    return EdgeRef(ZIP, EdgeId(EdgeRole.TAPE, face))


@cache
def _edges(faces: tuple[Face, Face]) -> tuple[tuple[EdgeId, Template], ...]:
    end = mark("zip end")
    first, second = faces
    return (
        (tape_edge(first).edge, _TAPES[first]),
        (ZIP_ENDS[Side.RIGHT].edge, end),
        (tape_edge(second).edge, _TAPES[second]),
        (ZIP_ENDS[Side.LEFT].edge, end),
    )


_READY = mark("Use a zip {length} long and trim its ends after sewing.")
_CUT = mark("Use a zip {bought} long, cut it to {length}, and trim its ends after sewing.")
_BY_LENGTH = mark(
    "Cut {length} from a continuous zip, fit its slider, and trim its ends after sewing."
)

_READY_MADE = mark("{bought} long")
_OFF_A_ROLL = mark("{bought} long, cut from a continuous roll, with a slider")
_CUT_TO_LENGTH = mark("{bought} long, the next length sold, cut to {length}")
