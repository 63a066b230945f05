"""What every construction is: the pieces that make the bag's walls, and their seams."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, NamedTuple, Self

from core.base.sentences import NO_TEXT, Template, mark
from core.flat.piece import Mark, Piece
from core.flat.roles import Face
from core.flat.seam import Draft, Seam
from core.model.figures import Limit
from core.model.findings import Allowance, Finding
from core.site.owner import Moved, Owner, SolvedBody
from core.site.site import SQUARE_FLOOR, Finished, Floor, Mouth, Seat, Site

if TYPE_CHECKING:
    from core.space.patches import Quarter
    from core.space.zones import Closing, Folding
    from core.work.bench import Bench, ClosingWork
    from core.work.operation import Marking, Operation


class BoxNames(NamedTuple):
    """The finished figures of a body that are the sizes of the box that it makes.

    Attributes:
        rounding: radius of its corners; empty where it has none.
        gap: of a ring of strips, how long what closes it is; empty where it has no ring.
    """

    width: str = "base_width"
    depth: str = "gusset_depth"
    height: str = "face_height"
    rounding: str = ""
    gap: str = ""

    @property
    def sizes(self) -> Mapping[str, str]:
        """Width, depth, height and rounding -> the finished figure."""
        return {name: getattr(self, name) for name in ("width", "depth", "height", "rounding")}


class Body(Owner, SolvedBody):
    """The walls of a bag, on which a top and parts are sewn.

    What raises NotImplementedError here each body must answer; what has an answer it may.
    """

    __slots__ = ()

    BOX: ClassVar[BoxNames] = BoxNames()
    """What its width, depth, height and rounding are, where it is asked for those."""
    ABOUT: ClassVar[Template] = NO_TEXT
    """How it is made, in one sentence, for who chooses; empty: its name says it."""
    CAPACITY: ClassVar[str] = ""
    """The finished figure that tells at a glance what it holds; empty for none."""
    SIZE_TOLD: ClassVar[Template] = NO_TEXT
    """How its finished size is told, with the sizes that it is asked for; empty: it is not."""

    def cut_size(self, walls: Sequence[Piece]) -> tuple[Template, Mapping[str, float]]:
        """How the size is told to which its walls are cut, and its gaps, mm: of the first one."""
        size = {"width": walls[0].width, "length": walls[0].height}
        return mark("Cut {width} × {length}"), size

    def limits(self) -> tuple[Limit, ...]:
        """What its sizes must keep to among themselves."""
        return ()

    def pieces(self, marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
        """Its pieces, with the marks of each face on them."""
        raise NotImplementedError

    def seats(self) -> Mapping[Face, Seat]:
        """Where parts may sit on its faces."""
        raise NotImplementedError

    def mouth(self) -> Mouth:
        """Where a top is sewn on."""
        raise NotImplementedError

    def floor(self) -> Floor:
        """How its bottom ends."""
        return SQUARE_FLOOR

    def made_like(self, left: "Body") -> Self:
        """It with what a top may change of it as `left` has that, one of its own kind."""
        return self

    def made_for(self, site: Site | None, *, closes_ring: bool) -> Self:
        """It as it is cut for a top that closes a ring of strips, or for any other one.

        Its finished sizes stay. Itself where that is the same, or where it has no ring.
        `site`: the bag around it; None where there is none yet.
        """
        return self

    def allowances(self, top: Allowance) -> tuple[Allowance, ...]:
        """Of the seams of its walls that are sewn, with that of the mouth among them."""
        return (top,)

    def with_allowances(
        self, wanted: Mapping[str, float], shows: float
    ) -> tuple[dict[str, float], Moved]:
        """The changes of its cut figures that give other allowances and leave its sizes alone.

        `wanted`: cut figure -> new value; those of others count for nothing. `shows`: how much
        more of the top shows then, mm.
        """
        raise NotImplementedError

    def measured(self, draft: Draft) -> Finished:
        """Its finished sizes as drawn: those of the stitch lines, mm."""
        raise NotImplementedError

    def as_closed(self, finished: Finished) -> Finished:
        """These finished figures with the sizes of the box that there is cloth for."""
        return finished

    def seams(self) -> tuple[Seam, ...]:
        """Its seams that are told before those of the mouth."""
        return ()

    def closing_work(self) -> "ClosingWork":
        """How it goes from flat to closed: what top, parts and wall ask of it."""
        raise NotImplementedError

    def markings(self, bench: "Bench") -> "tuple[Marking, ...]":
        """What is drawn on it before it is sewn."""
        return ()

    def operations(self, bench: "Bench") -> "tuple[Operation, ...]":
        """How it is cut, sewn and closed."""
        raise NotImplementedError

    def seams_after(self) -> tuple[Seam, ...]:
        """Its seams that are told after those of the mouth."""
        return ()

    def folding(self, draft: Draft, closing: "Closing | None") -> "Folding":
        """How it stands in space while it is folded and sewn; `closing` is None for an open top."""
        raise NotImplementedError

    def quarter(self, draft: Draft, closing: "Closing | None", *, board: bool) -> "Quarter":
        """A quarter of the closed wall, to be filled, over a board or none, as for `folding`.

        A NotFillableError where it encloses no volume.
        """
        raise NotImplementedError

    def room(self, wall: float, finished: Finished) -> Finding | None:
        """That a wall of this thickness, mm, leaves no room inside, or little; None for enough."""
        return None
