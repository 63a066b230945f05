"""What every way of treating the mouth is."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, ClassVar

from core.base.sentences import NO_TEXT, Template
from core.flat.piece import Piece
from core.flat.seam import Draft, Seam
from core.model.figures import Limit
from core.model.findings import Allowance
from core.site.owner import Owner
from core.site.seat import Mouth
from core.site.site import Finished, PlacedMark, Site
from core.space.zones import Closing

if TYPE_CHECKING:
    from core.work.bench import Bench, OpeningWork
    from core.work.operation import Operation


class Top(Owner):
    """What is sewn to the top edges of a body."""

    __slots__ = ()

    LEFT_OUT: ClassVar[str] = ""
    """Word by which it is left out, so that the top stays open; empty where that is no leaving."""
    CLOSES: ClassVar[bool] = False
    """Whether it closes the bag."""

    def check_fit(self, mouth: Mouth) -> None:
        """Refuse by a FieldError a top that the mouth leaves no room for: a limit is not kept."""
        for limit in self.limits(mouth):
            limit.check()

    def limits(self, mouth: Mouth) -> tuple[Limit, ...]:
        """What its sizes must keep to."""
        return ()

    def allowance(self, mouth: Mouth) -> Allowance:
        """That of the seam, or the hem, along the mouth."""
        raise NotImplementedError

    def shows(self, mouth: Mouth) -> float:
        """What shows of it between its two stitch lines, mm."""
        return 0.0

    def shows_more(self, wanted: Mapping[str, float], mouth: Mouth) -> float:
        """How much more of it shows with other allowances and sizes of its own, mm."""
        return 0.0

    def wide_enough(self, allowance: float) -> tuple[Template, Mapping[str, float]]:
        """How a fix says that it must be wider for such a seam, and its figures then.

        Empty where it is wide enough.
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

    def closing(self, draft: Draft) -> Closing | None:
        """What closes the mouth of the sewn bag; None where it stays open."""
        return None

    def opening_work(self, drawn: Finished, finished: Finished) -> "OpeningWork":
        """What it asks and gives while the bag is closed."""
        raise NotImplementedError

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """How it is sewn on."""
        return ()

    def measured(self, draft: Draft) -> Finished:
        """Its own finished figures as drawn: those of the stitch lines, mm."""
        return {}
