"""What every part is that is laid on, or goes into, a bag."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, ClassVar, Self

from core.base.sentences import Sentence
from core.flat.piece import Piece
from core.flat.roles import EdgeRef, Face
from core.flat.seam import Seam
from core.model.figures import FinishedFigure, Limit
from core.model.findings import Allowance, Finding
from core.site.owner import Owner, SolvedPart, Surround
from core.site.site import Finished, Mouth, PlacedMark, Seat, SewnOn, Site

if TYPE_CHECKING:
    from core.space.zones import Laid
    from core.work.bench import Bench
    from core.work.operation import Marking, Operation


KEPT = 16
"""Pieces that a kind of part keeps by their sizes: of the bags that a hand goes between."""


class Part(Owner, SolvedPart):
    """One part of a bag. A bag has at most one in each slot."""

    __slots__ = ()

    SLOT: ClassVar[str]
    """Its place in a bag: the name in files, and what its figures' `part` says."""
    STIFFENS: ClassVar[Face | None] = None
    """The face that it keeps flat."""

    SEWN: ClassVar[bool] = True
    """Whether its goods are sewn; a sheet is not."""

    @classmethod
    def of(cls, parts: Mapping[str, object]) -> Self | None:
        """The part of this kind among the parts of a bag; None where it has none."""
        found = parts.get(cls.SLOT)
        return found if isinstance(found, cls) else None

    def made_for(self, site: Site) -> Self:
        """It as it can be made in a bag of another construction; itself where it may be."""
        return self

    def limits(self, site: Site) -> tuple[Limit, ...]:
        """What its sizes must keep to in the bag around it."""
        return ()

    def check_fit(self, site: Site) -> None:
        """Refuse by a FieldError a part that the bag has no place for: a limit is not kept."""
        for limit in self.limits(site):
            limit.check()

    def allowances(self) -> tuple[Allowance, ...]:
        """Of its own seams that are sewn."""
        return ()

    def along(self, was: Surround, now: Surround) -> Self:
        """It as it goes along to another construction: `was` is the bag that was, `now` the new."""
        return self.made_for(now.site)

    def topped(self, was: Site, now: Site) -> Self:
        """It as it goes with another top: `was` is the bag that was, `now` the new one."""
        return self

    def sewn_on(self, seats: Mapping[Face, Seat], mouth: Mouth) -> tuple[SewnOn, ...]:
        """What it sews onto the faces."""
        return ()

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """The pieces that it is cut from."""
        return ()

    def seams(self) -> tuple[Seam, ...]:
        """Its own seams."""
        return ()

    def caught(self, site: Site) -> Iterable[tuple[EdgeRef, EdgeRef]]:
        """Edges of the wall, each with an edge of its own that lies on it, caught in its seam."""
        return ()

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """Its placement lines on the faces."""
        return ()

    def laid(self, site: Site) -> "Laid":
        """What it shows on the bag in space."""
        from core.space.zones import Laid  # only who folds asks

        return Laid()

    def finished(self, site: Site) -> Finished:
        """Its own finished figures, mm."""
        return {}

    IS_STRAP: ClassVar[bool] = False
    """Whether it hangs loose from the wall, and carries."""
    SEWING_RANK: ClassVar[int] = 0
    """When it is told among the parts, where nothing else settles the order."""

    @property
    def rests_on_wall(self) -> bool:
        """Whether it is sewn or fused onto the wall, so that a lining may come after it."""
        return True

    @property
    def why_pressed_now(self) -> Sentence | None:
        """What it means for the last press of the bag."""
        return None

    def stitching_hung_on(self, near_edge: float) -> float | None:
        """Stitching that one of its two straps hangs on, mm; None where it carries nothing.

        `near_edge` is the distance of topstitching from an edge, mm.
        """
        return None

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        """What is drawn for it on the wall."""
        return ()

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """How it is made and sewn on."""
        return ()


class Pair:
    """What the parts of two slots make together."""

    SLOTS: ClassVar[tuple[str, str]]
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ()
    """Read after the figures of the first of them."""

    @classmethod
    def limits(cls, parts: Mapping[str, Part], site: Site) -> tuple[Limit, ...]:
        """What is kept to by a bag that has these figures."""
        return ()

    @classmethod
    def finished(cls, parts: Mapping[str, Part], site: Site) -> Finished:
        """Its finished figures, mm; None for those that do not exist."""
        return {}

    @classmethod
    def findings(
        cls, parts: Mapping[str, Part], site: Site, finished: Finished
    ) -> tuple[Finding, ...]:
        """What is doubtful about what they make."""
        return ()
