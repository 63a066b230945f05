"""A zip that comes to lie on the front face.

The zip is laid between the two top edges of the panel; because the front is cut shorter
by the front trim, its centre lies half of the trim down the front. Lengths are mm.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import NO_TEXT, Sentence, Template, joined, mark, say, typed
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit
from core.flat.geometry import Frame2
from core.flat.piece import CutFrom, GrainTurn, Mark, MarkStyle, Piece, rectangle
from core.flat.roles import (
    SIDES,
    EdgeId,
    EdgeRef,
    EdgeRole,
    Face,
    MarkRole,
    PieceId,
    PieceRole,
    SeamId,
    SeamRole,
    Side,
)
from core.flat.seam import Draft, Seam, chain_length
from core.goods.supplies import Notion, sold_length
from core.model.figures import LONGEST, CutFigure, Direction, FinishedFigure, Limit, settle_record
from core.model.findings import Allowance
from core.model.record import ZIP_COLOUR, ZIP_GAUGE, Detail, Solving
from core.site.owner import Choice, Moved, Surround
from core.site.site import Finished, Mouth, Site
from core.tops.top import Top
from core.tops.zip_forward.findings import (
    WIDEST_TAPE,
    WITH_TAPE,
    ZIP_END,
    least_tape,
    teeth_findings,
    usual_tape,
    zip_findings,
)

if TYPE_CHECKING:
    from core.space.zones import Closing
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation

ZIP_FIGURES = (
    FinishedFigure(
        name="zip_offset",
        label=mark("Zip offset"),
        part="top",
        help=mark("From the top fold down the front to the middle of the zip."),
        tape=mark("from the top fold down to the middle of the zip"),
        taken_up=Direction.UP,
    ),
    FinishedFigure(
        name="zip_clearance",
        label=mark("Zip clearance"),
        part="top",
        help=mark("From the top fold down the front to the zip's nearer stitch line."),
        wanted=False,
        may_be_negative=True,
        taken_up=Direction.UP,
        loses_with="zip_offset",
    ),
)

_CHOICES: tuple[Choice, ...] = (
    Choice(
        name="zip_gauge",
        part="top",
        label=mark("Gauge"),
        step=mark("Change the zip's gauge"),
        help=mark("The zip's size number: about the width of its closed teeth in mm."),
        options=(
            ("3", mark("No. 3, fine")),
            ("5", mark("No. 5, usual")),
            ("8", mark("No. 8, coarse")),
            ("10", mark("No. 10, heavy")),
        ),
        read=lambda top: top.gauge,
        write=lambda top, word, around, kept: replace(top, gauge=word),
    ),
    Choice(
        name="zip_sold",
        part="top",
        label=mark("Zip is bought"),
        step=mark("Change how the zip is bought"),
        help=mark("Ready-made in the lengths that shops sell, or cut off a roll to any length."),
        options=(("made", mark("Ready-made")), ("length", mark("Off the roll"))),
        read=lambda top: "length" if top.by_length else "made",
        write=lambda top, word, around, kept: replace(top, by_length=word == "length"),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ZipForward(Top):
    """A zip, sewn in between the top edges of the panel.

    Attributes:
        tape_width: across both tapes, closed.
        length: ends included; it is trimmed to the panel after sewing. Where no zip of this length
            is sold it is cut from the next one that is (`to_buy`).
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
    SOLVING: ClassVar[Solving] = Solving(aims=("zip_offset",))
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="zip_tape_width",
            label=mark("Zip tape width"),
            part="top",
            attribute="tape_width",
            high=200.0,
            above_low=True,
            help=mark("Width of the closed zip across both tapes."),
        ),
        CutFigure(
            name="zip_length",
            label=mark("Zip length"),
            part="top",
            attribute="length",
            high=2 * LONGEST,
            above_low=True,
            published=False,
            help=mark(
                "Length of the zip as bought: the panel width and an inch to spare at each end."
            ),
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ZIP_FIGURES
    WORD: ClassVar[Template] = mark("zip")
    KIND: ClassVar[str] = "zip-forward"
    LABEL: ClassVar[Template] = mark("Zip")
    CHOICES: ClassVar[tuple[Choice, ...]] = _CHOICES
    LEFT_OUT: ClassVar[str] = "zip"
    CLOSES: ClassVar[bool] = True

    def __post_init__(self) -> None:
        ZIP_GAUGE.check(self.gauge, field="zip_gauge")
        ZIP_COLOUR.check(self.colour, field="zip_colour")
        settle_record(self, self.FIGURES)

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
        slides = MM_PER_INCH / 2 if site.unit is Unit.INCH else 12.0
        return cls(
            tape_width=max(usual_tape(site.unit), 2 * site.mouth.allowance + slides),
            length=sold_length(site.mouth.width + 2 * ZIP_END, site.zip_lengths),
        )

    def to_buy(self, site: Site) -> float:
        """Length of the zip to buy, mm: the next that is sold, which is then cut to `length`.

        `length` itself where it is cut off a roll, or none that is sold reaches.
        """
        return self.length if self.is_sold(site) else sold_length(self.length, site.zip_lengths)

    def is_sold(self, site: Site) -> bool:
        """Whether a zip as long as this one can be bought."""
        return self.by_length or site.supplies.sells_zip(self.length, site.shop_zips)

    def shows(self, mouth: Mouth) -> float:
        return self.tape_width - 2 * mouth.allowance

    def shows_more(self, wanted: Mapping[str, float], mouth: Mouth) -> float:
        """A wider tape shows more, wider seams less."""
        tape = wanted.get("zip_tape_width", self.tape_width)
        seam = wanted.get(mouth.allowance_figure, mouth.allowance)
        return tape - self.tape_width - 2 * (seam - mouth.allowance)

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
        """Long enough for a wider panel."""
        found = {name: wanted[name] for name in ("zip_tape_width",) if name in wanted}
        needed = site.front.width + moved.width + 2 * ZIP_END
        if moved.width > 0.0 and shorter(self.length, needed):
            sold = needed if self.by_length else sold_length(needed, site.zip_lengths)
            found["zip_length"] = sold
        return found

    seam_findings, findings = teeth_findings, zip_findings

    def allowance(self, mouth: Mouth) -> Allowance:
        label = mark("zip seam")
        return Allowance(figure=mouth.allowance_figure, label=label, size=mouth.allowance)

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        rule = mark("it must be more than its two zip seams, {limit}.")
        return (Limit(self.FIGURES[0], self.tape_width, 2 * mouth.allowance, rule, above=True),)

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        zips = tuple([_zip_seam(run.face, run.edge) for run in mouth.runs])
        return zips + mouth.side_seams(_ENDS)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The zip as trimmed, in the panel's width; its front edge joins the front."""
        width, seam, side = site.front.width, site.front.top_allowance, site.front.side_allowance
        edges = rectangle(_ZIP_EDGES, (width, self.tape_width), allowances=(seam, side, seam, side))
        middle = self.tape_width / 2
        teeth = Mark(
            role=MarkRole.TEETH,
            owner="top",
            points=((0.0, middle), (width, middle)),
            style=MarkStyle.PLACEMENT,
            label=_TEETH,
        )
        return (
            Piece(
                id=ZIP,
                label=_ZIP,
                edges=edges,
                marks=(teeth,),
                cut_from=CutFrom.BOUGHT,
                turn=GrainTurn.NEVER,
                grain=(1.0, 0.0),
                notes=(self._note(site),),
            ),
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
        (front_edge, _), (end, _), *_ = _ZIP_EDGES
        front = outline.line(front_edge)[0][1]
        return Closing(piece=ZIP, width=outline.length(end), frame=Frame2((0.0, -front)))

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


ZIP = PieceId("top", PieceRole.TAPE)
_ENDS = {side: EdgeRef(ZIP, EdgeId(EdgeRole.TAPE_END, side=side)) for side in SIDES}
_ZIP_EDGES = (
    (EdgeId(EdgeRole.TAPE, Face.FRONT), mark("zip front")),
    (EdgeId(EdgeRole.TAPE_END, side=Side.RIGHT), mark("zip end")),
    (EdgeId(EdgeRole.TAPE, Face.BACK), mark("zip back")),
    (EdgeId(EdgeRole.TAPE_END, side=Side.LEFT), mark("zip end")),
)
_ZIP, _TEETH = mark("zip"), mark("zip teeth")
_ZIP_SEAMS = {Face.FRONT: mark("zip seam front"), Face.BACK: mark("zip seam back")}


@cache
def _zip_seam(face: Face, edge: EdgeRef) -> Seam:
    return Seam(
        id=SeamId("top", SeamRole.MOUTH, face),
        label=_ZIP_SEAMS[face],
        one=(edge,),
        other=(EdgeRef(ZIP, EdgeId(EdgeRole.TAPE, face)),),
    )


_IN_A_RING = mark(
    "This zip joins the top edges of front and back, and here a ring of strips lies between them: "
    "that takes a top strip."
)
_OPEN_BOX = mark(
    "This zip joins the top edges of front and back, with a side seam at both ends; this bag's "
    "mouth stands open as a box and has edges at its sides too: hem it."
)
_NO_SIDES = mark(
    "The ends of this zip are caught in a side seam on either side, and this bag has no such "
    "seams: hem its mouth."
)
_READY = mark("Use a zip {length} long and trim it to the panel after sewing.")
_CUT = mark("Use a zip {bought} long, cut it to {length}, and trim it to the panel after sewing.")
_BY_LENGTH = mark(
    "Cut {length} from a continuous zip, fit its slider, and trim it to the panel after sewing."
)

_READY_MADE = mark("{bought} long")
_OFF_A_ROLL = mark("{bought} long, cut from a continuous roll, with a slider")
_CUT_TO_LENGTH = mark("{bought} long, the next length sold, cut to {length}")
