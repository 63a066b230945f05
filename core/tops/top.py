"""What every way of treating the mouth is; and what is doubtful of any, near the base. mm."""

import math
from collections.abc import Iterator, Mapping, Set
from types import MappingProxyType
from typing import TYPE_CHECKING, ClassVar, Self

from core.base.errors import FieldError
from core.base.sentences import NO_TEXT, Sentence, Template, mark, say
from core.base.tolerance import shorter
from core.flat.piece import Piece
from core.flat.seam import Draft, Seam
from core.model.figures import Limit
from core.model.findings import MOST_SEAM, Allowance, Finding, Fix, Severity
from core.site.owner import Owner, Surround
from core.site.site import FOOT_ROOM, Finished, Mouth, PlacedMark, Site

if TYPE_CHECKING:
    from core.space.zones import Closing, Laid
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation


class Top(Owner):
    """What is sewn to the top edges of a body."""

    __slots__ = ()

    LEFT_OUT: ClassVar[str] = ""
    """Word by which it is left out, so that the top stays open; empty where that is no leaving."""
    MOST: ClassVar[float] = MOST_SEAM
    """More of an allowance at the mouth is of no use, mm."""
    CLOSES: ClassVar[bool] = False
    """Whether it closes the bag."""
    FILLED_BY: ClassVar[Mapping[str, str]] = MappingProxyType({})
    """Finished figure of the body -> that of its own which counts for what the bag holds."""
    TRIMMED: ClassVar[bool] = False
    """Whether it comes forward where the front is cut shorter."""
    CLOSES_RING: ClassVar[bool] = False
    """Whether it closes a ring of strips, and so is sewn between panels."""

    @classmethod
    def refused(cls, mouth: Mouth) -> Sentence | None:
        """Why no such top can be sewn to this mouth, as a sentence; None where it can."""
        return None

    def check_fit(self, mouth: Mouth) -> None:
        """Refuse by a FieldError a top that does not go with the mouth, or has no room there."""
        refused = self.refused(mouth)
        if refused is not None:
            raise FieldError(refused, field="top", value=self.KIND)
        for limit in self.limits(mouth):
            limit.check()

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        """What its sizes must keep to."""
        return ()

    def following(self, was: Surround, now: Surround, exact: Set[str]) -> Self:
        """It in the bag as it is now, as it was in the bag before; itself where it may be.

        `exact`: figures that were wanted or held.
        """
        return self

    def allowance(self, mouth: Mouth) -> Allowance:
        """That of the seam, or the hem, along the mouth."""
        raise NotImplementedError

    @property
    def rolled(self) -> float:
        """How far below its stitch line it is rolled in, laid flat, mm."""
        return 0.0

    def shows(self, mouth: Mouth) -> float:
        """What shows of it between its two stitch lines, mm."""
        return 0.0

    def shows_more(self, wanted: Mapping[str, float], mouth: Mouth) -> float:
        """How much more of it shows with other allowances and sizes of its own, mm."""
        return 0.0

    def as_wide_as(self, allowance: float, site: Site) -> tuple[Template, Mapping[str, float]]:
        """How a fix says what width goes with such a seam, and its figures then.

        Empty where its own does.
        """
        return NO_TEXT, {}

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """Its pieces."""
        return ()

    def seams(self, mouth: Mouth) -> tuple[Seam, ...]:
        """The seams of the top edges, and the side seams that they run into."""
        return ()

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """Its marks on the faces."""
        return ()

    def laid(self, site: Site) -> "Laid":
        """What of it is seen on the walls."""
        from core.space.zones import Laid  # only who folds asks

        return Laid()

    def closing(self, draft: Draft) -> "Closing | None":
        """What closes the mouth of the sewn bag; None where it stays open."""
        return None

    def opening_work(self, mouth: Mouth, drawn: Finished, finished: Finished) -> "OpeningWork":
        """What it asks and gives while the bag is closed."""
        raise NotImplementedError

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """How it is sewn on."""
        return ()

    def measured(self, draft: Draft) -> Finished:
        """Its own finished figures as drawn: those of the stitch lines, mm."""
        return {}


def base_edge(site: Site) -> float:
    """Height of the front's base edge above the bottom line."""
    return max(site.front.low, 0.0)


_NEAR_BASE = mark(
    "There is only {value} of the front between the {line} and the base edge: the presser foot "
    "needs {limit}."
)
_PAST_BASE = mark("The {line} is {value} beyond the base edge: no front is left to sew it to.")


def base_findings(
    site: Site, code: str, line: Template, *, least_trim: float = math.inf
) -> Iterator[Finding]:
    """Whether the foot still runs between the base and `line`, the top's stitching on the front.

    With less of a front trim, drawn, than `least_trim` it would not lie on the front.
    """
    room = site.front.top - site.front.top_allowance - base_edge(site)
    if not shorter(room, FOOT_ROOM):
        return
    is_past = shorter(room, 0.0)
    told = _PAST_BASE if is_past else _NEAR_BASE
    yield Finding(
        code=code,
        severity=Severity.STOP if is_past else Severity.WARN,
        figure=site.mouth.length_figure.name,
        value=site.mouth.length,
        limit=site.mouth.length + site.mouth.length_rate * (FOOT_ROOM - room),
        message=say(told, terms={"line": line}, value=abs(room), limit=FOOT_ROOM),
        fixes=tuple(_base_fixes(site, FOOT_ROOM - room, least_trim)),
    )


def _base_fixes(site: Site, missing: float, least_trim: float) -> Iterator[Fix]:
    """Trim less off the front where the top then still lies on it; or cut a longer body."""
    trim = site.mouth.trim - missing
    if site.mouth.trim_figure and not shorter(trim, least_trim):
        yield Fix(say("Make the front trim {value}", value=trim), ((site.mouth.trim_figure, trim),))
    length = site.mouth.length + site.mouth.length_rate * missing
    if not shorter(site.mouth.length_figure.high, length):
        label = say("Make the {body} {value} long", terms={"body": site.body}, value=length)
        along = [(name, size + rate * missing) for name, size, rate in site.mouth.length_along]
        yield Fix(label, ((site.mouth.length_figure.name, length), *along))
