"""How a body, a top or a part answers the solver; what it leaves out is answered here."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Protocol, Self

from core.model.figures import TakeUp
from core.model.record import Bend, Record, SizeLimit, Solving
from core.site.site import Finished, Site


class Surround(Protocol):
    """The bag around a part."""

    @property
    def parts(self) -> Mapping[str, object]:
        """Its parts, by slot."""
        ...

    @property
    def site(self) -> Site:
        """What the part sees of it."""
        ...

    @property
    def finished(self) -> Finished:
        """Its finished figures; they are measured when they are first read."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounding:
    """What is to be put on a ruler.

    Attributes:
        step: of the ruler, mm.
        names: of the cut figures to be rounded.
        exact: figures that were asked for.
    """

    step: float
    names: frozenset[str]
    exact: frozenset[str]


class Solved(Record):
    """What the solver asks of anything that a bag is made of. Lengths are mm."""

    __slots__ = ()

    SOLVING: ClassVar[Solving] = Solving()

    def may_change(self, name: str, site: Site) -> bool:
        """Whether one of its unknowns can change at all in this bag."""
        return True

    def bends(self, site: Site, finished: Finished) -> tuple[Bend, ...]:
        """Its finished figures that are not linear; those of no bag like this are left out."""
        return ()


class SolvedPart(Solved):
    """What the solver asks of a part."""

    __slots__ = ()

    FLATTENS_BASE: ClassVar[bool] = False
    """Whether it keeps the base flat when the bag is filled."""

    def following(self, was: Surround, now: Surround) -> Self:
        """The part in the bag as it is now, as it was in the bag before; itself where it may be."""
        return self

    def on_ruler(self, rounding: Rounding, was: Surround, now: Surround) -> Self:
        """The part with those of its figures on the ruler that it rounds itself (`Ruled.PART`).

        `was` is the bag before it was rounded, `now` the same with the rest of it on the ruler.
        """
        return self

    def chain_length(self, site: Site) -> float:
        """Length of its chain."""
        raise NotImplementedError

    def with_chain(self, site: Site, length: float) -> Self:
        """The part with a chain of this length, of as few pieces as it takes.

        A FieldError where no number of pieces gives such a length.
        """
        raise NotImplementedError

    def chain_piece(self, site: Site) -> float:
        """What each whole piece adds to its chain."""
        raise NotImplementedError


class SolvedBody(Solved):
    """What the solver asks of a body."""

    __slots__ = ()

    def shapes(self, exact: Mapping[str, float]) -> tuple[str, ...]:
        """Shapes between which no search can go, and that may have these figures, likeliest first.

        Args:
            exact: figure -> what it must be, mm, litres or pieces.
        """
        return ("",)

    def shaped(self, shape: str) -> Mapping[str, float]:
        """Cut figures that bring the body into one of those shapes; none where it is so.

        Raises:
            FieldError: there is no room for it.
        """
        return {}

    def telling(self) -> tuple[str, ...]:
        """Finished sizes that tell a bag at a glance, in reading order."""
        return tuple(self.SOLVING.asked)

    def fill_limits(self, *, flat_base: bool, take_up: TakeUp) -> tuple[SizeLimit, ...]:
        """What its finished sizes must come to for the bag to be filled.

        Args:
            flat_base: whether a part keeps the base flat.
            take_up: what sewing leaves of the drawn sizes.
        """
        return ()

    def is_fillable(self, finished: Finished, *, flat_base: bool, take_up: TakeUp) -> bool:
        """Whether a bag of these sizes can be filled; `fill_limits` may be narrower."""
        limits = self.fill_limits(flat_base=flat_base, take_up=take_up)
        return all(limit.room(finished) >= 0.0 for limit in limits)
