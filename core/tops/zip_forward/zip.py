"""The closure: a zip that comes to lie on the front face, or an open, hemmed top.

The zip is laid between the two top edges of the panel; because the front is cut shorter
by the front trim, its centre lies half of the trim down the front. Lengths are mm.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.frame import Frame2
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
from core.model.figures import LONGEST, CutFigure, Direction, FinishedFigure, Limit, settle_record
from core.model.findings import Allowance, Finding, Fix, Severity
from core.model.notion import Notion
from core.model.record import ZIP_COLOUR, ZIP_GAUGE, Detail
from core.model.solving import Solving
from core.site.seat import Mouth
from core.site.site import Finished, Site
from core.space.folding import Closing
from core.tops.top import Top

if TYPE_CHECKING:
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation

ZIP_END = MM_PER_INCH
"""Spare zip at each end, to trim after sewing (common practice, no source)."""

MOST_HEM = 3 * MM_PER_INCH
"""More makes a hem that wants to be a facing (own choice)."""


def sold_length(needed: float, lengths: tuple[float, ...]) -> float:
    """The shortest zip that is sold and reaches so far, mm; `needed` itself where none does."""
    return next((each for each in lengths if not shorter(each, needed)), needed)


ZIP_FIGURES = (
    FinishedFigure(
        name="zip_offset",
        label="Zip offset",
        part="top",
        help="From the top fold down the front to the middle of the zip.",
        tape="from the top fold down to the middle of the zip",
        taken_up=Direction.UP,
    ),
    FinishedFigure(
        name="zip_clearance",
        label="Zip clearance",
        part="top",
        help="From the top fold down the front to the zip's nearer stitch line.",
        wanted=False,
        may_be_negative=True,
        taken_up=Direction.UP,
        loses_with="zip_offset",
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
        "by_length": Detail(help="Cut off a roll rather than sold ready made."),
    }
    SOLVING: ClassVar[Solving] = Solving(aims=("zip_offset",))
    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="zip_tape_width",
            label="Zip tape width",
            part="top",
            attribute="tape_width",
            low=0.0,
            high=200.0,
            above_low=True,
            help="Width of the closed zip across both tapes.",
        ),
        CutFigure(
            name="zip_length",
            label="Zip length",
            part="top",
            attribute="length",
            low=0.0,
            high=2 * LONGEST,
            above_low=True,
            published=False,
            help="Length of the zip as bought: the panel width and an inch to spare at each end.",
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ZIP_FIGURES
    WORD: ClassVar[str] = "zip"
    KIND: ClassVar[str] = "zip-forward"
    LEFT_OUT: ClassVar[str] = "zip"
    CLOSES: ClassVar[bool] = True

    def __post_init__(self) -> None:
        ZIP_GAUGE.check(self.gauge, field="zip_gauge")
        ZIP_COLOUR.check(self.colour, field="zip_colour")
        settle_record(self, self.FIGURES)

    def to_buy(self, site: Site) -> float:
        """Length of the zip to buy, mm: the next that is sold, which is then cut to `length`.

        `length` itself where it is cut off a roll, or none that is sold reaches.
        """
        return self.length if self.is_sold(site) else sold_length(self.length, site.zip_lengths)

    def is_sold(self, site: Site) -> bool:
        """Whether a zip as long as this one can be bought."""
        return self.by_length or site.supplies.sells_zip(self.length, site.shop_zips)

    def shows(self, mouth: Mouth) -> float:
        """What shows between its two stitch lines."""
        return self.tape_width - 2 * mouth.allowance

    def allowance(self, mouth: Mouth) -> Allowance:
        """Of the zip seams."""
        return Allowance(figure=mouth.allowance_figure, label="zip seam", size=mouth.allowance)

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        """Something of the tape must show between its two seams."""
        return (
            Limit(
                self.FIGURES[0],
                self.tape_width,
                2 * mouth.allowance,
                "it must be more than its two zip seams, {limit}.",
                above=True,
            ),
        )

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        """The two zip seams and the two side seams that run on across the zip's ends."""
        zips = tuple(
            Seam(
                id=SeamId("top", SeamRole.MOUTH, run.face),
                label=_ZIP_SEAMS[run.face],
                one=(run.edge,),
                other=(EdgeRef(ZIP, EdgeId(EdgeRole.TAPE, run.face)),),
            )
            for run in mouth.runs
        )
        return zips + mouth.side_seams(_ENDS)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The zip as trimmed, in the panel's width; its front edge joins the front."""
        edges = rectangle(
            _ZIP_EDGES,
            (site.front.width, self.tape_width),
            allowances=(
                site.front.top_allowance,
                site.front.side_allowance,
                site.front.top_allowance,
                site.front.side_allowance,
            ),
        )
        middle = self.tape_width / 2
        teeth = Mark(
            role=MarkRole.TEETH,
            owner="top",
            points=((0.0, middle), (site.front.width, middle)),
            style=MarkStyle.PLACEMENT,
            label=mark("zip teeth"),
        )
        return (
            Piece(
                id=ZIP,
                label=mark("zip"),
                edges=edges,
                marks=(teeth,),
                cut_from=CutFrom.BOUGHT,
                turn=GrainTurn.NEVER,
                grain=(1.0, 0.0),
                notes=(self._note(site),),
            ),
        )

    def _note(self, site: Site) -> Sentence:
        """What to take and how it becomes as long as the panel is wide."""
        bought = self.to_buy(site)
        if self.by_length:
            template = _BY_LENGTH
        elif shorter(self.length, bought):
            template = _CUT
        else:
            template = _READY
        return Sentence(template, {"length": self.length, "bought": bought})

    def opening_work(self, drawn: Finished, finished: Finished) -> "OpeningWork":
        """What it asks and gives while the bag is closed."""
        from core.tops.zip_forward.operations import zip_opening

        return zip_opening(drawn, finished)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """From its marks to its trimmed ends."""
        from core.tops.zip_forward.operations import zip_operations

        return zip_operations(bench, self)

    def measured(self, draft: Draft) -> Finished:
        """Walk the side seam from the back's corner up: half way round is the top fold."""
        side = draft.walked_seams(SeamRole.SIDE)[0]
        _front, zip_end, back = side.seam.one
        zip_width = chain_length((zip_end,), draft.outlines)
        clearance = chain_length((back,), draft.outlines) - side.length
        return {"zip_clearance": clearance, "zip_offset": clearance + zip_width / 2}

    def closing(self, draft: Draft) -> Closing:
        """The tape between both upper edges."""
        outline = draft.outlines[ZIP]
        (front_edge, _), (end, _), *_ = _ZIP_EDGES
        front = outline.line(front_edge)[0][1]
        return Closing(piece=ZIP, width=outline.length(end), frame=Frame2((0.0, -front)))

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        """The zip."""
        bought = self.to_buy(site)
        plain, coloured = _OFF_A_ROLL if self.by_length else _READY_MADE
        if not self.by_length and shorter(self.length, bought):
            plain, coloured = _CUT_TO_LENGTH
        words = {"gauge": self.gauge, "colour": self.colour}
        lengths = {"bought": bought, "length": self.length}
        kind = Sentence(coloured if self.colour else plain, lengths, words)
        return (Notion(what=mark("zip"), kind=kind, price=site.supplies.zip_price),)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Where the zip lies, and whether it is long enough."""
        # Loaded here: what judges a zip needs to know what a zip is.
        from core.tops.zip_forward.findings import zip_findings

        return zip_findings(self, site, finished)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hem(Top):
    """No zip: the top edges are hemmed, and the hem line is the top fold."""

    KIND: ClassVar[str] = "hem"

    def allowance(self, mouth: Mouth) -> Allowance:
        """Of the hems."""
        return Allowance(
            figure=mouth.allowance_figure,
            label="hem",
            size=mouth.allowance,
            most=MOST_HEM,
            raw=_RAW_HEM,
        )

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        """Two hems, and side seams of front to back."""
        hems = tuple(
            Seam(
                id=SeamId("top", SeamRole.HEM, run.face),
                label=_HEM_LABELS[run.face],
                one=(run.edge,),
            )
            for run in mouth.runs
        )
        return hems + mouth.side_seams()

    def opening_work(self, drawn: Finished, finished: Finished) -> "OpeningWork":
        """What it asks and gives while the bag is closed."""
        from core.tops.zip_forward.hem import hem_opening

        return hem_opening()

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """The hems, and their tacks."""
        from core.tops.zip_forward.hem import hem_operations

        return hem_operations(bench)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Whether the hems are level, and a foot runs between them and the base."""
        from core.tops.zip_forward.findings import base_findings

        return (*_hem_findings(site), *base_findings(site))


def _hem_findings(site: Site) -> tuple[Finding, ...]:
    """With an open top a front trim leaves two hems at two heights."""
    if not shorter(0.0, site.mouth.trim):
        return ()
    return (
        Finding(
            code="hems-differ",
            severity=Severity.WARN,
            figure="front_trim",
            value=site.mouth.trim,
            limit=0.0,
            message=Sentence(_HEMS, {"value": site.mouth.trim}),
            fixes=(Fix(say("Cut the front as long as the back"), (("front_trim", 0.0),)),),
        ),
    )


ZIP = PieceId("top", PieceRole.TAPE)
_ENDS = {side: EdgeRef(ZIP, EdgeId(EdgeRole.TAPE_END, side=side)) for side in SIDES}
_ZIP_EDGES = (
    (EdgeId(EdgeRole.TAPE, Face.FRONT), mark("zip front")),
    (EdgeId(EdgeRole.TAPE_END, side=Side.RIGHT), mark("zip end")),
    (EdgeId(EdgeRole.TAPE, Face.BACK), mark("zip back")),
    (EdgeId(EdgeRole.TAPE_END, side=Side.LEFT), mark("zip end")),
)
_ZIP_SEAMS = {Face.FRONT: mark("zip seam front"), Face.BACK: mark("zip seam back")}
_HEM_LABELS = {Face.FRONT: mark("hem front"), Face.BACK: mark("hem back")}

_READY = "Use a zip {length} long and trim it to the panel after sewing."
_CUT = "Use a zip {bought} long, cut it to {length}, and trim it to the panel after sewing."
_BY_LENGTH = (
    "Cut {length} from a continuous zip, fit its slider, and trim it to the panel after sewing."
)

_RAW_HEM = "The hem is 0: the top stays a raw edge, which frays and stretches."
_HEMS = "The front is cut {value} shorter than the back: the two hems will not be level."

_READY_MADE = mark("No. {gauge}, {bought} long"), mark("No. {gauge}, {colour}, {bought} long")
_OFF_A_ROLL = (
    mark("No. {gauge}, {bought} long, cut from a continuous roll, with a slider"),
    mark("No. {gauge}, {colour}, {bought} long, cut from a continuous roll, with a slider"),
)
_CUT_TO_LENGTH = (
    mark("No. {gauge}, {bought} long, the next length sold, cut to {length}"),
    mark("No. {gauge}, {colour}, {bought} long, the next length sold, cut to {length}"),
)
"""Which zip is bought, without its colour and with it."""
