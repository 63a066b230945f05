"""What a bag is put together of: the base of every body, top and part."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, ClassVar, NamedTuple, Self, cast

from core.base.sentences import Sentence, Template
from core.flat.piece import Dimension, Piece
from core.flat.roles import PieceId
from core.flat.seam import Draft
from core.goods.supplies import Notion
from core.model.figures import CutFigure, FinishedFigure
from core.model.findings import Crossing, Finding
from core.site.choice import Choice
from core.site.site import Finished, Site
from core.site.solved import Solved, Surround

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
    WORD: ClassVar[str] = ""
    """What a sentence calls it: "this bag has no <word>"."""
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
