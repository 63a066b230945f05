"""A roll top: hemmed, rolled down over itself and buckled round. Lengths are mm."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, plural, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit, round_to_step
from core.flat.geometry import Frame2
from core.flat.piece import Mark, MarkStyle
from core.flat.roles import FACES, Face, MarkRole, SeamRole
from core.flat.seam import Draft, Seam
from core.goods.supplies import Notion
from core.model.figures import CutFigure, FinishedFigure, settle_record
from core.model.findings import Allowance, Crossing, Finding, Fix, Severity
from core.site.owner import Surround
from core.site.site import QUARTER_INCH, Finished, Mouth, PlacedMark, Seat, Site
from core.tops.hem.hem import UNLEVEL, Hem, unlevel_findings
from core.tops.roll_top.kind import ROLL_TOP, ROLLED_HEIGHT
from core.tops.top import Top, base_findings

if TYPE_CHECKING:
    from core.space.zones import Closing
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation

FEWEST = 3
"""Rolls below which a roll top works itself open ("three to four rolls", pages on such bags)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class RollTop(Top):
    """A hemmed top that is laid flat, rolled down, and held by a buckle round the bag.

    Attributes:
        rolls: how many times it is rolled.
        depth: of each roll, laid flat.
    """

    rolls: int
    depth: float

    KIND: ClassVar[str] = ROLL_TOP.kind
    LABEL: ClassVar[Template] = ROLL_TOP.label
    WORD: ClassVar[Template] = ROLL_TOP.word
    FIGURES: ClassVar[tuple[CutFigure, ...]] = ROLL_TOP.figures
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ROLL_TOP.finished
    MOST: ClassVar[float] = Hem.MOST
    CLOSES: ClassVar[bool] = True
    FILLED_BY: ClassVar[Mapping[str, str]] = MappingProxyType({"face_height": ROLLED_HEIGHT.name})

    def __post_init__(self) -> None:
        settle_record(self, self.FIGURES)

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        return None if mouth.closes_flat else say(_OPEN_BOX)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "RollTop":
        """Three rolls, each as deep as it lies flat: 1 in, or 25 mm, or what the wall needs."""
        site = around.site
        usual = MM_PER_INCH if site.unit is Unit.INCH else 25.0
        return cls(rolls=FEWEST, depth=max(usual, _lying(FEWEST, site)))

    @property
    def rolled(self) -> float:
        """How far below the hem's edge all is rolled in, laid flat, mm."""
        return self.rolls * self.depth

    def allowance(self, mouth: Mouth) -> Allowance:
        return Hem().allowance(mouth)

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        return Hem().seams(mouth)

    def closing(self, draft: Draft) -> "Closing":
        """Front and back come together where the lowest roll begins."""
        from core.space.zones import Closing  # only who folds asks

        (front, *_) = (each.seam.one[0] for each in draft.walked_seams(SeamRole.HEM))
        return Closing(
            piece=front.piece,
            width=0.0,
            frame=Frame2((0.0, 0.0)),
            rolled=self.rolled,
            rolls=self.rolls,
        )

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        return tuple(
            PlacedMark(face, _line(site.seats[face], down, lowest=place == 0))
            for face in FACES
            for place, down in enumerate(self.lines(site, face))
            if down < site.seats[face].top  # a finding tells of rolls that go on beyond it
        )

    def lines(self, site: Site, face: Face) -> tuple[float, ...]:
        """How far below the cut top edge each roll begins, the lowest first, mm: the fill line."""
        # A longer back lies level with the front: both are rolled in as deep.
        high = site.seats[face].top_allowance
        return tuple(high + count * self.depth for count in range(self.rolls, 0, -1))

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        return Hem().crossings(site)

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        from core.tops.roll_top.operations import roll_opening

        return roll_opening(mouth)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.tops.roll_top.operations import roll_operations

        return roll_operations(bench, self)

    def measured(self, draft: Draft) -> Finished:
        """Up the side from the base edge, less what is rolled in; or up the join of one wall."""
        for role in (SeamRole.SIDE, SeamRole.STRIP):
            for side in draft.walked_seams(role):
                return {"rolled_height": (side.length + side.mate_length) / 2 - self.rolled}
        return {"rolled_height": None}

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        buckle = Notion(what=mark("buckle"), kind=say("side release, two halves"))
        tape = Notion(
            what=mark("webbing"), length=2 * loop_of(site), kind=say("for the loops of the buckle")
        )
        strip = self.strip(site)
        if not shorter(0.0, strip):
            return (buckle, tape)
        stiff = Notion(what=mark("stiffener strip"), length=strip, kind=say(_STIFF))
        return (buckle, tape, stiff)

    def strip(self, site: Site) -> float:
        """How long a strip in the back's hem is, mm: clear of its sides; 0 where none is folded."""
        seat = site.seats[Face.BACK]
        if not shorter(0.0, seat.top_allowance):
            return 0.0
        return max(seat.width - 2 * (seat.side_allowance + QUARTER_INCH), 0.0)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        return (
            *unlevel_findings(site, UNLEVEL),
            *base_findings(site, "hem-near-base", mark("hem's stitch line")),
            *self._few(finished),
            *self._thick(site, finished),
            *self._deep(site, finished),
        )

    def _room(self, finished: Finished, rolled: float) -> bool:
        """Whether front and back still come together over the base with so much rolled in, mm."""
        left = (finished["rolled_height"] or 0.0) + self.rolled - rolled
        return not shorter(left, (finished["gusset_depth"] or 0.0) / 2)

    def _few(self, finished: Finished) -> Iterator[Finding]:
        if self.rolls < FEWEST:
            room = self._room(finished, FEWEST * self.depth)
            label = say(_TIMES, numbers={"count": FEWEST})
            numbers = {"count": self.rolls, "least": FEWEST}
            yield Finding(
                code="rolls-too-few",
                severity=Severity.WARN,
                figure="rolls",
                value=self.rolls,
                limit=FEWEST,
                message=say(_FEW, numbers=numbers),
                fixes=(Fix(label, (("rolls", FEWEST),)),) if room else (),
            )

    def _thick(self, site: Site, finished: Finished) -> Iterator[Finding]:
        """The rolls lie on one another: so thick, they cannot be turned within their depth."""
        least = _lying(self.rolls, site)
        if shorter(self.depth, least):
            label = say("Make each roll {value} deep", value=least)
            room = self._room(finished, self.rolls * least)
            yield Finding(
                code="too-thick-to-roll",
                severity=Severity.WARN,
                figure="roll_depth",
                value=self.depth,
                limit=least,
                message=say(
                    _THICK,
                    value=self.rolls * 2 * site.wall,
                    limit=self.depth,
                    numbers={"count": self.rolls},
                ),
                fixes=(Fix(label, (("roll_depth", least),)),) if room else (),
            )

    def _deep(self, site: Site, finished: Finished) -> Iterator[Finding]:
        """What is left below the rolls must let front and back come together over the base."""
        height = finished["rolled_height"]
        half = (finished["gusset_depth"] or 0.0) / 2
        if height is None or not shorter(height, half):
            return
        depth = self.depth - (half - height) / self.rolls
        fixes: tuple[Fix, ...] = ()
        if not shorter(depth, _lying(self.rolls, site)) and shorter(0.0, depth):
            label = say("Make each roll {value} deep", value=depth)
            fixes = (Fix(label, (("roll_depth", depth),)),)
        yield Finding(
            code="rolls-near-base",
            severity=Severity.STOP if shorter(height, 0.0) else Severity.WARN,
            figure="roll_depth",
            value=self.depth,
            limit=depth if shorter(0.0, depth) else None,
            message=say(
                _BEYOND if shorter(height, 0.0) else _DEEP,
                value=self.rolled,
                height=abs(height),
                limit=half,
            ),
            fixes=fixes,
        )


def loop_of(site: Site) -> float:
    """Length of the webbing that holds one half of the buckle, laid double (own choice), mm."""
    return 4 * MM_PER_INCH if site.unit is Unit.INCH else 100.0


def _line(seat: Seat, down: float, *, lowest: bool) -> Mark:
    """Where a roll begins, from side to side, so far below the cut edge."""
    y, side = seat.top - down, seat.side_allowance
    return Mark(
        role=MarkRole.ROLL,
        owner="top",
        points=seat.points(((side, y), (seat.width - side, y))),
        style=MarkStyle.PLACEMENT,
        face=seat.face,
        label=mark("fill line") if lowest else mark("roll line"),
    )


def _lying(rolls: int, site: Site) -> float:
    """Depth at which so many rolls lie flat, on the ruler: two walls with each turn, mm."""
    least = rolls * 2 * site.wall
    ruled = round_to_step(least, site.ruler)
    return ruled + site.ruler if shorter(ruled, least) else ruled


_OPEN_BOX = mark(
    "A top is rolled down where front and back lie flat together; this bag's mouth stands open as "
    "a box, or is closed by a top strip: it can have a hem, a facing or a top strip."
)
_STIFF = mark("narrower than the back's hem is from its fold to its stitching")
_TIMES = plural("Roll it down 1 time", "Roll it down {count} times")
_FEW = plural(
    "Rolled down 1 time the top works itself open: it wants at least {least}.",
    "Rolled down {count} times the top works itself open: it wants at least {least}.",
)
_THICK = plural(
    "Rolled 1 time this wall is {value} thick, more than the {limit} of each roll: it will not "
    "lie.",
    "Rolled {count} times this wall is {value} thick, more than the {limit} of each roll: it will "
    "not lie.",
)
_BEYOND = mark(
    "The rolls take {value} off the height, {height} more than there is: front and back come "
    "together only {limit} above the base."
)
_DEEP = mark(
    "The rolls take {value} off the height and leave {height}: front and back come together only "
    "{limit} above the base."
)
