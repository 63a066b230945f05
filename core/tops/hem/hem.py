"""An open top: all its edges are hemmed. Lengths are mm."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import Sentence, Template, mark, plural, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.roles import Face, SeamId, SeamRole
from core.flat.seam import Seam
from core.model.findings import Allowance, Crossing, Finding, Fix, Severity
from core.site.owner import Surround
from core.site.site import Finished, Mouth, Site
from core.tops.hem.kind import HEM
from core.tops.top import Top, base_findings

if TYPE_CHECKING:
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Hem(Top):
    """No zip: the top edges are hemmed, and the hem line is the top fold."""

    KIND: ClassVar[str] = HEM.kind
    LABEL: ClassVar[Template] = HEM.label
    MOST: ClassVar[float] = 3 * MM_PER_INCH
    """More makes a hem that wants to be a facing (own choice)."""

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        return None if mouth.ring is None else say(_IN_A_RING)

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> "Hem":
        return cls()

    def allowance(self, mouth: Mouth) -> Allowance:
        return Allowance(
            figure=mouth.allowance_figure,
            label=mark("hem"),
            size=mouth.allowance,
            most=self.MOST,
            raw=_RAW_HEM,
        )

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        hems = (
            Seam(id=SeamId("top", SeamRole.HEM, run.face), label=_HEMS[run.face], one=(run.edge,))
            for run in mouth.runs
        )
        return (*hems, *mouth.side_seams())

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        from core.tops.hem.operations import hem_opening

        return hem_opening(mouth)

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        from core.tops.hem.operations import hem_operations

        return hem_operations(bench)

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        """The hems, where they are turned."""
        if site.front.top_allowance <= 0.0:
            return ()
        told = _THICK if site.mouth.sides else _THICK_AT_A_SEAM
        walls = walls_at_hem(layered=len(site.sandwich.layers) > 1)
        return (Crossing(walls, told, mark("the treated top edge")),)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        line = mark("hem's stitch line")
        return (*unlevel_findings(site, UNLEVEL), *base_findings(site, "hem-near-base", line))


def walls_at_hem(*, layered: bool) -> int:
    """Walls where a seam joins two hems.

    A layered edge is turned once, two walls on each face; a single layer twice, three.
    """
    return 2 * (2 if layered else 3)


def unlevel_findings(site: Site, told: Template) -> Iterator[Finding]:
    """With an open top a front trim leaves two edges at two heights."""
    if shorter(0.0, site.mouth.trim):
        level = say("Cut the front as long as the back")
        yield Finding(
            code="hems-differ",
            severity=Severity.WARN,
            figure=site.mouth.trim_figure,
            value=site.mouth.trim,
            limit=0.0,
            message=say(told, value=site.mouth.trim),
            fixes=(Fix(level, ((site.mouth.trim_figure, 0.0),)),),
        )


_HEMS = {
    Face.FRONT: mark("hem front"),
    Face.BACK: mark("hem back"),
    Face.LEFT: mark("hem left"),
    Face.RIGHT: mark("hem right"),
}
_RAW_HEM = mark("The hem is 0: the top stays a raw edge, which frays and stretches.")
UNLEVEL = mark("The front is cut {value} shorter than the back: the two hems will not be level.")
_THICK = plural(
    "Where side seam and hem cross, 1 wall goes under the presser foot, {value} thick when "
    "pressed; your machine takes {limit}.",
    "Where side seam and hem cross, {count} walls go under the presser foot, {value} thick "
    "when pressed; your machine takes {limit}.",
)
_THICK_AT_A_SEAM = plural(
    "Where a seam and the hem cross, 1 wall goes under the presser foot, {value} thick when "
    "pressed; your machine takes {limit}.",
    "Where a seam and the hem cross, {count} walls go under the presser foot, {value} thick "
    "when pressed; your machine takes {limit}.",
)
_IN_A_RING = mark(
    "A hem goes round a mouth that stays open, and this bag's strips close into a ring at the "
    "top: that takes a top strip."
)
