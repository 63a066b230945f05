"""What a bag is put together of: the base of every body, top and part.

Each answers the solver (what it leaves out is answered here), says its choices of construction,
and owns its figures.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, ClassVar, NamedTuple, Protocol, Self, cast

from core.base.sentences import NO_TEXT, Sentence, Template
from core.flat.piece import Dimension, Piece
from core.flat.roles import PieceId
from core.flat.seam import Draft
from core.goods.supplies import Notion
from core.model.figures import CutFigure, FinishedFigure, TakeUp
from core.model.findings import Crossing, Finding
from core.model.record import Bend, Record, SizeLimit, Solving
from core.site.site import Finished, Site


class Surround(Protocol):
    """The bag around a part."""

    @property
    def parts(self) -> Mapping[str, object]:
        """Its parts, by slot."""
        ...

    @property
    def top(self) -> object:
        """Its top."""
        ...

    @property
    def site(self) -> Site:
        """What the part sees of it."""
        ...

    @property
    def finished(self) -> Finished:
        """Its finished figures; they are measured when they are first read."""
        ...


class Rounding(NamedTuple):
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

    def joined_as(self, was: "SolvedBody") -> Mapping[str, float]:
        """Cut figures, mm, with which its pieces are joined where those of the body before were.

        Nothing of its box moves with them; none where they are so, or nothing can be told.
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


NONE = "none"
"""The word for leaving a part out, where a choice has it."""


class Choice(NamedTuple):
    """One choice of construction.

    Attributes:
        name: fixed; on the command line where it has a word there.
        part: name of the owner under which it is read, as in `OWNERS`.
        label: what the maker reads for it.
        step: what making it is called.
        help: one sentence.
        options: (word, label) of each, in order; with `NONE` the part can be left out.
        read: the word that holds for its owner; None where it has nothing to choose.
        write: the owner with a word, in the bag around it, with what was kept when that word was
            left, or None; it may raise FieldError.
        kept: what of the owner is worth remembering before a word is left; None for nothing.
        lost: what of the owner before is gone from the one after, and no figure of it tells.
        goes_along: whether top and parts that have no place then are changed or left out, as in
            another construction; else what they cannot be is refused. The bag is kept, and what
            `write` has of it is its owner.
        on_command_line: whether commands have it; they leave parts out by another option.
        asked: whether a new bag is asked for it.
    """

    name: str
    part: str
    label: Template
    step: Template
    help: Template
    options: tuple[tuple[str, Template], ...]
    read: Callable[[Any], str | None]
    write: Callable[[Any, str, Surround, Any], Any]
    kept: Callable[[Any], object] = lambda owner: None
    lost: Callable[[Any, Any], Sentence | None] = lambda was, now: None
    goes_along: bool = False
    on_command_line: bool = False
    asked: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """What it can be."""
        return tuple(word for word, _ in self.options)

    @property
    def leaves_out(self) -> bool:
        """Whether the part can be left out by it."""
        return NONE in self.words


KeepSizes = Callable[[Mapping[str, float]], Mapping[str, float] | None]
"""Other allowances -> the changes of cut figures that leave finished sizes alone; None: no bag."""


class Moved(NamedTuple):
    """How a body is cut differently, mm: for other allowances and the same finished sizes.

    Attributes:
        width: how much wider its faces are.
        top: how much farther above the base line their cut top edges lie.
    """

    width: float
    top: float


class Owner(Solved):
    """A body, a top or a part: it owns figures, and says what is doubtful about itself.

    Subclasses are frozen records. What a subclass does not have it need not say.
    """

    __slots__ = ()

    LABEL: ClassVar[Template]
    """What the maker reads."""
    WORD: ClassVar[Template] = NO_TEXT
    """What a sentence calls it: "this bag has no <word>"; a body also "the <word>"."""
    FIGURES: ClassVar[tuple[CutFigure, ...]] = ()
    """Figures that the maker sets, in reading order: attributes of the record."""
    GOODS_FIGURES: ClassVar[tuple[CutFigure, ...]] = ()
    """Figures of the goods that it is cut from; read after its own."""
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ()
    """Figures that follow, in reading order."""
    CHOICES: ClassVar[tuple[Choice, ...]] = ()
    """What it can be made as, in reading order."""

    @classmethod
    def fresh(cls, around: Surround, word: str = "") -> Self:
        """A new one for the bag around it; `word` of a choice that makes it.

        A body has those finished sizes of the bag that it has a name for.

        Raises:
            FieldError: there can be none.
        """
        raise NotImplementedError

    def applies(self, name: str) -> bool:
        """Whether a cut figure that it has a value of plays a role in its construction."""
        return True

    def has(self, figure: FinishedFigure) -> bool:
        """Whether its construction has a finished figure of its own."""
        when = figure.when
        return when is None or getattr(self, when.attribute) in when.words

    def dimensions(self, draft: Draft) -> Mapping[PieceId, tuple[Dimension, ...]]:
        """Sizes beside its own pieces, and beside the walls that it lies on.

        The most wanted first; sizes of nothing are left out. A piece whose owner says none has
        its width and height.
        """
        return {}

    def notions(self, site: Site, draft: Draft) -> tuple[Notion, ...]:
        """What it takes besides goods and thread."""
        return ()

    def cut_notes(self, piece: Piece, site: Site, finished: Finished) -> tuple[Sentence, ...]:
        """What the cut list says of one of its pieces, and the printed piece does not."""
        return ()

    def value(self, figure: CutFigure, site: Site) -> float | None:
        """One of its cut figures, mm or pieces; None where it has no such figure."""
        return getattr(self, figure.attribute) if figure in self.FIGURES else None

    def lacks(self, figure: CutFigure) -> Sentence | None:
        """Why it has no such figure, as a clause with its full stop; None: it is not there."""
        return None

    def with_values(self, values: Mapping[str, Any], site: Site) -> tuple[Self, float | None]:
        """It with other values, by attribute; and another width of its goods, mm, or None.

        A FieldError where it cannot be so.
        """
        return replace(cast("Any", self), **values), None

    def keep_sizes(self, wanted: Mapping[str, float], moved: Moved, site: Site) -> dict[str, float]:
        """What a top or a part is changed by so that other allowances leave its sizes alone.

        Args:
            wanted: cut figure -> new value: allowances, and what has to change with them.
            moved: how the body is cut then.
            site: the bag as it is.
        """
        return {}

    def fits_as_well(self, site: Site, was: Any, site_before: Site) -> bool:
        """Whether it is, with other allowances, as good as it was in the bag before."""
        return True

    def crossings(self, site: Site) -> tuple[Crossing, ...]:
        """Where it crosses the side seams."""
        return ()

    def seam_findings(self, site: Site, keep: KeepSizes) -> tuple[Finding, ...]:
        """What is doubtful about its allowances, told beside those of all seams."""
        return ()

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """What is doubtful about it; `finished` holds every finished figure of the bag."""
        return ()
