"""The bag folded from its flat pieces: flat, folded, sewn, and everything between.

Frame, mm: x across from the middle of the bag, y from front to back (the front looks
towards -y), z up. Everything is measured on the stitch lines of the pieces; nothing here
knows a formula of the finished bag.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.bag.bag import Bag
from core.bag.compute import Result
from core.base.sentences import Sentence
from core.bodies.boxed_panel.wall import Wall, flat_only, measure_wall
from core.flat.roles import EdgeRef
from core.flat.seam import Draft
from core.solid.content import Content, Kind, Patch, Stroke, fill_zones
from core.solid.figures import Dimension, Gap, dimensions, gaps
from core.solid.hinge import Stand, stands, widest_opening
from core.solid.zones import Zone, places

FLAT, FOLDED, SEWN = 0.0, 0.5, 1.0
"""The named states on the way."""


@dataclass(frozen=True, slots=True)
class Facet:
    """One flat piece of the folded bag.

    Attributes:
        points: (n, 3) float array, mm; convex, but for the loop of a standing handle.
        normal: (3,) unit vector; out of the bag.
        zone, kind, piece: where it lies, what it is, what it is cut from.
    """

    points: NDArray[np.float64]
    normal: NDArray[np.float64]
    zone: Zone
    kind: Kind
    piece: str


@dataclass(frozen=True, slots=True)
class FoldLine:
    """A line on the folded bag.

    Attributes:
        points: (n, 3) float array, mm.
        zone, kind: where it lies, what it is.
        edge: whose stitch line it is; None for folds and the like.
    """

    points: NDArray[np.float64]
    zone: Zone
    kind: Kind
    edge: EdgeRef | None


@dataclass(frozen=True, slots=True)
class Folded:
    """The bag at one moment of its folding.

    Attributes:
        at: 0 flat, 1/2 folded, 1 sewn.
        model: what was folded.
        stands: where each zone stands.
        points: (n, 3) float array, mm: all corners of the model's patches, then of its
            strokes, in their order.
    """

    at: float
    model: "FoldModel"
    stands: Mapping[Zone, Stand]
    points: NDArray[np.float64]

    @property
    def facets(self) -> tuple[Facet, ...]:
        """Walls, zip, pocket, handles, board, as they lie over one another on each zone.

        Seam allowances are among them only before the bag is folded: later they lie
        between the walls.
        """
        model = self.model
        return tuple(
            Facet(
                self.points[start:end],
                self.stands[patch.zone].normal,
                patch.zone,
                patch.kind,
                patch.piece,
            )
            for patch, (start, end) in zip(model.patches, model.patch_spans, strict=True)
            if patch.kind is not Kind.ALLOWANCE or self.at < FOLDED
        )

    @property
    def lines(self) -> tuple[FoldLine, ...]:
        """Seams, folds and the like; cut lines only while their allowances are there."""
        model = self.model
        return tuple(
            FoldLine(self.points[start:end], stroke.zone, stroke.kind, stroke.edge)
            for stroke, (start, end) in zip(model.strokes, model.stroke_spans, strict=True)
            if stroke.kind is not Kind.CUT or self.at < FOLDED
        )

    @property
    def extent(self) -> NDArray[np.float64]:
        """(n, 3) array, mm: what lies within the stitch lines, and the handles."""
        model = self.model
        patches = zip(model.patches, model.patch_spans, strict=True)
        strokes = zip(model.strokes, model.stroke_spans, strict=True)
        spans = [span for patch, span in patches if patch.kind is not Kind.ALLOWANCE]
        spans += [span for stroke, span in strokes if stroke.kind is not Kind.CUT]
        return np.concatenate([self.points[start:end] for start, end in spans])

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """Finished figures where they are measured; only on the sewn bag."""
        return dimensions(self.model.sheet, self.stands) if self._sewn else ()

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Where seams do not meet; only on the sewn bag."""
        return gaps(self.model.sheet, self.stands) if self._sewn else ()

    @property
    def _sewn(self) -> bool:
        return self.at >= SEWN and self.model.trouble is None


class FoldModel:
    """A bag made ready for folding; `at` is then cheap.

    Args:
        bag, draft: what is folded.
        allowances: whether seam allowances are laid out: they show only before the bag is
            folded, and are a third of the work.

    Attributes:
        sheet: its wall.
        allowances: whether they are among the patches.
        trouble: why it can only be shown flat; None when it folds.
        remark: what about its folded shape is not as a maker would think; None for nothing.
        patches, strokes: what lies on the zones, in the order in which it is laid on.
        patch_spans, stroke_spans: (start, end) of each in `Folded.points`.
    """

    def __init__(self, bag: Bag, draft: Draft, *, allowances: bool = True) -> None:
        self.allowances = allowances
        self.sheet: Wall = measure_wall(bag.body, draft, bag.top.closing(draft))
        self.trouble: Sentence | None = flat_only(bag.body, draft, self.sheet)
        self.remark: Sentence | None = None
        if self.trouble is None and widest_opening(self.sheet) < math.pi / 2:
            self.remark = Sentence(_TOO_SHORT, {"value": self.sheet.face_height})
        found = places(self.sheet, foldable=self.trouble is None)
        content: Content = fill_zones(bag, draft, self.sheet, found, allowances=allowances)
        self.patches: tuple[Patch, ...] = tuple(content.patches)
        self.strokes: tuple[Stroke, ...] = tuple(content.strokes)
        self.patch_spans, count = _spans([len(patch.corners) for patch in self.patches], 0)
        self.stroke_spans, _ = _spans([len(stroke.points) for stroke in self.strokes], count)
        flat = [point for patch in self.patches for point in patch.corners]
        flat += [point for stroke in self.strokes for point in stroke.points]
        zones = [patch.zone for patch in self.patches for _ in patch.corners]
        zones += [stroke.zone for stroke in self.strokes for _ in stroke.points]
        self._flat = np.array(flat)
        self._zones = np.array(zones, dtype=np.intp)

    def at(self, share: float) -> Folded:
        """The bag at one moment: 0 flat, 1/2 folded, 1 sewn.

        Raises:
            ValueError: the share lies outside 0 to 1.
        """
        if not FLAT <= share <= SEWN:
            raise ValueError(f"the way from flat to sewn runs from 0 to 1, not to {share}")
        if self.trouble is not None:
            share = FLAT
        now = stands(self.sheet, share)
        frames = np.zeros((len(Zone), 3, 3))
        for zone, stand in now.items():
            frames[zone] = stand.origin, stand.across, stand.up
        frame = frames[self._zones]
        points = frame[:, 0] + self._flat[:, :1] * frame[:, 1] + self._flat[:, 1:] * frame[:, 2]
        return Folded(share, self, now, points)


def fold(result: Result, at: float) -> Folded:
    """One bag at one moment; make a `FoldModel` where many moments are wanted."""
    return FoldModel(result.bag, result.draft).at(at)


_TOO_SHORT = (
    "The faces are only {value} high, too short to close over the open bottom: "
    "it stays folded along its middle."
)


def _spans(counts: list[int], start: int) -> tuple[tuple[tuple[int, int], ...], int]:
    spans: list[tuple[int, int]] = []
    for count in counts:
        spans.append((start, start + count))
        start += count
    return tuple(spans), start
