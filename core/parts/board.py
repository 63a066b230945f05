"""The base board: the stiffener in the bottom. Lengths are mm."""

from dataclasses import dataclass
from enum import Enum
from typing import ClassVar

from core.errors import Sentence
from core.figures import CutFigure, FinishedFigure, check_record
from core.findings import Finding, Mend, Severity
from core.flat.piece import Goods, Mark, MarkKind, Piece, Turn, rectangle
from core.parts.panel import LONGEST
from core.parts.site import INCH, Face, Finished, PlacedMark, Site, signed
from core.tolerance import shorter

BOARD_MARGIN = INCH / 8
"""What the board is smaller than the base on each side, so that it drops in."""
LEAST_COVER = 0.8
"""Share of the base below which the board no longer holds the bottom flat."""


class BoardWay(Enum):
    """How a board gets into the bottom."""

    LAID_IN = "laid-in"
    """Through the opening of the finished bag, onto the lining."""
    FUSED = "fused"
    """Onto the wrong side of the wall, before the lining covers it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseBoard:
    """A stiffener that lies in the bottom.

    Attributes:
        width: side to side.
        depth: front to back.
        way: laid in, or fused on between the layers.
    """

    width: float
    depth: float
    way: BoardWay = BoardWay.LAID_IN

    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        CutFigure(
            name="board_width",
            label="Board width",
            part="board",
            attribute="width",
            low=0.0,
            high=LONGEST,
            above_low=True,
            help="Side-to-side size of the base board.",
        ),
        CutFigure(
            name="board_depth",
            label="Board depth",
            part="board",
            attribute="depth",
            low=0.0,
            high=LONGEST,
            above_low=True,
            help="Front-to-back size of the base board.",
        ),
    )
    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = ()

    def __post_init__(self) -> None:
        check_record(self, self.FIGURES)

    def pieces(self, site: Site) -> tuple[Piece, ...]:
        """One rectangle of board, without allowance."""
        names = ("board front", "board right", "board back", "board left")
        edges = rectangle(
            names, (0.0, 0.0), (self.width, self.depth), allowances=(0.0, 0.0, 0.0, 0.0)
        )
        return (
            Piece(
                name="base board",
                part="board",
                edges=edges,
                goods=Goods.BOARD,
                turn=Turn.QUARTER,
                grain=(1.0, 0.0),
                notes=(Sentence("Round the corners so that they do not wear through."),),
            ),
        )

    def marks(self, site: Site) -> tuple[PlacedMark, ...]:
        """Where it will lie: half of its outline on each face."""
        left = (site.panel_width - self.width) / 2
        right = left + self.width
        return tuple(
            PlacedMark(
                face,
                Mark(
                    "base board",
                    MarkKind.PLACEMENT,
                    (
                        (left, 0.0),
                        (left, signed(face, self.depth / 2)),
                        (right, signed(face, self.depth / 2)),
                        (right, 0.0),
                    ),
                ),
            )
            for face in Face
        )

    def finished(self, site: Site) -> Finished:
        """Nothing of its own."""
        return {}

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Whether it fits the base and holds it."""
        base, gusset = finished["base_width"] or 0.0, finished["gusset_depth"] or 0.0
        if not shorter(0.0, min(base, gusset)):
            return ()
        for name, size, room in (
            ("board_width", self.width, base),
            ("board_depth", self.depth, gusset),
        ):
            if shorter(room, size):
                message = Sentence(_TOO_BIG, {"value": size, "limit": room})
                return (self._finding("board-too-big", name, message, size, room, base, gusset),)
        cover = self.width * self.depth / (base * gusset)
        if cover < LEAST_COVER - 1e-12:
            percent = f"{100 * cover:.0f} %"
            message = Sentence(_TOO_SMALL, words={"cover": percent})
            least = LEAST_COVER * base * gusset / self.depth
            return (
                self._finding(
                    "board-too-small", "board_width", message, self.width, least, base, gusset
                ),
            )
        return ()

    def _finding(
        self,
        code: str,
        figure: str,
        message: Sentence,
        value: float,
        limit: float,
        base: float,
        gusset: float,
    ) -> Finding:
        width, depth = fitting_board(base, gusset)
        label = Sentence("Cut the board {width} x {depth}", {"width": width, "depth": depth})
        mends = (Mend(label, (("board_width", width), ("board_depth", depth))),)
        return Finding(
            code=code,
            severity=Severity.STOP if code == "board-too-big" else Severity.WARN,
            figure=figure,
            value=value,
            limit=limit,
            message=message,
            mends=mends,
        )


def fitting_board(base: float, gusset: float) -> tuple[float, float]:
    """(width, depth) of the usual board for a base: less the margin on each side, mm.

    On a base so small that the margins alone would leave it uncovered, all of the base.
    """
    width, depth = base - 2 * BOARD_MARGIN, gusset - 2 * BOARD_MARGIN
    if min(width, depth) <= 0.0 or width * depth < LEAST_COVER * base * gusset:
        return base, gusset
    return width, depth


_TOO_BIG = "The base board measures {value} where the base has {limit}: it will not lie flat."
_TOO_SMALL = "The base board covers only {cover} of the base: the bottom will sag around it."
