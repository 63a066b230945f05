"""The bag folded from its flat pieces: flat, folded, sewn, and everything between.

Frame, mm: x across from the middle of the bag, y from front to back (the front looks towards
-y), z up. Everything is measured on the stitch lines of the pieces; nothing here knows a formula
of the finished bag. What lies on its zones (walls, allowances, parts, lines) is cut at the zones,
so that it lands where it really lands, in the coordinates of the zone's piece.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from enum import Enum
from itertools import accumulate, chain, pairwise
from typing import NamedTuple

import numpy as np

from core.bag.bag import Bag
from core.base.arrays import Floats, placed
from core.flat.geometry import clip_polygon, clip_segment
from core.flat.piece import Edge, Point
from core.flat.roles import EdgeRef, Face, MarkRole, PieceId
from core.flat.seam import Draft
from core.solid.bands import band_stands, split_band
from core.space.zones import (
    AreaKind,
    Band,
    Folding,
    Frames,
    Gap,
    Laid,
    LineKind,
    Measured,
    Plate,
    Spot,
)


class LaidArea(NamedTuple):
    """A filled shape on a zone; convex, but for a standing handle.

    Attributes:
        zone: its place in the model.
        kind, piece: what it is, and of what.
        corners: mm, in the frame of the zone's piece; of a band, in that of its side.
    """

    zone: int
    kind: AreaKind
    piece: PieceId
    corners: tuple[Point, ...]


class Seen(Enum):
    """At which moments of the folding a line is there to be seen."""

    ALWAYS = "always"
    UNTIL_FOLDED = "until-folded"
    NOT_FOLDED = "not-folded"
    """On the flat pieces, and once the bag is more than folded."""
    FLATTENED = "flattened"
    """With tips that are flattened."""


TIPS_ONLY = (Seen.UNTIL_FOLDED, Seen.FLATTENED)
"""Of lines on tips, which the sewn bag has not."""


class LaidLine(NamedTuple):
    """A straight line on a zone; `edge` where it is the stitch line of an edge."""

    zone: int
    kind: LineKind
    points: tuple[Point, Point]
    edge: EdgeRef | None = None
    seen: Seen = Seen.ALWAYS


ZoneBounds = tuple[int, float, float, float, float]
"""A zone's place; its least and greatest x, least and greatest y, mm."""


def lay(
    folding: Folding, draft: Draft, laid: Sequence[Laid], *, allowances: bool
) -> tuple[list[LaidArea], list[LaidLine]]:
    """Lay walls, parts and lines on the zones, in the order in which they lie on one another.

    Args:
        folding, draft: the wall, and the pieces that it is of.
        laid: what the parts show, the lowest first.
        allowances: whether seam allowances are laid too.
    """
    layer = _Layer(folding, draft)
    layer.tips(allowances=allowances)
    if allowances:
        layer.allowances()
    for each in laid:
        layer.part(each)
    layer.edges()
    for i, zone in enumerate(folding.zones):
        layer.lines += [LaidLine(i, kind, (start, end)) for kind, start, end in zone.folds]
    return layer.areas, layer.lines


class _Layer:
    """Cuts shapes at the zones."""

    def __init__(self, folding: Folding, draft: Draft) -> None:
        self.folding, self.draft = folding, draft
        self.pieces = tuple(dict.fromkeys(zone.piece for zone in folding.zones))
        self.boxes: dict[tuple[PieceId, Face | None], list[ZoneBounds]] = defaultdict(list)
        for i, zone in enumerate(folding.zones):
            x0, x1, y0, y1 = _box(zone.outline)
            boxed = i, x0 - _ON, x1 + _ON, y0 - _ON, y1 + _ON
            self.boxes[zone.piece, None].append(boxed)
            if zone.region is not None:
                self.boxes[zone.piece, zone.region].append(boxed)
        self.areas = [
            LaidArea(i, zone.kind, zone.piece, zone.outline) for i, zone in enumerate(folding.zones)
        ]
        self.lines: list[LaidLine] = []

    def tips(self, *, allowances: bool) -> None:
        """What lies beyond seams that are sewn across it."""
        for tip in self.folding.tips:
            zone = tip.zone
            piece = self.folding.zones[zone].piece
            if allowances:
                self.areas.append(LaidArea(zone, AreaKind.ALLOWANCE, piece, tip.cut))
                self.lines += [LaidLine(zone, LineKind.CUT, line) for line in tip.cut_lines]
            self.areas.append(LaidArea(zone, AreaKind.TIP, piece, tip.outline))
            self.areas.append(LaidArea(tip.under, AreaKind.FLAT_TIP, piece, tip.flat))
            side, middle, end = tip.flat
            self.lines += [
                LaidLine(tip.under, LineKind.FOLD, (start, end), None, Seen.FLATTENED)
                for start in (side, middle)
            ]
            self.lines += [
                LaidLine(zone, kind, (start, end), edge, Seen.UNTIL_FOLDED)
                for kind, start, end, edge in tip.lines
            ]

    def allowances(self) -> None:
        """Strips between stitch line and cut line.

        They show only before the bag is folded, while the zones of a plate are still one
        plane: each is laid whole on the first of them.
        """
        for piece in self.pieces:
            plates = [
                each
                for each in self.folding.plates
                if self.folding.zones[each.zones[0]].piece == piece
            ]
            for edge, strip in _strips(self.draft, piece):
                kind: LineKind | None = LineKind.CUT
                if edge in self.folding.across:
                    kind = LineKind.TRIM if self.draft.piece(piece).trimmed else None
                for plate in plates:
                    self._strip(plate, piece, strip, kind)

    def _strip(
        self, plate: Plate, piece: PieceId, strip: tuple[Point, ...], kind: LineKind | None
    ) -> None:
        """One allowance; its first two corners are the ends of its line, if it has one."""
        kept, zone = clip_polygon(strip, plate.limits), plate.zones[0]
        if len(kept) < 3:
            return
        self.areas.append(LaidArea(zone, AreaKind.ALLOWANCE, piece, tuple(kept)))
        line = clip_segment(strip[0], strip[1], plate.limits)
        if line is not None and kind is not None:
            self.lines.append(LaidLine(zone, kind, line))

    def edges(self) -> None:
        """The stitch line of every edge of the wall, and the teeth of a zip."""
        for piece in self.pieces:
            outline = self.draft.outlines[piece]
            ring = pairwise((*outline.corners, outline.corners[0]))
            for edge, ends in zip(outline.piece.edges, ring, strict=True):
                ref = EdgeRef(piece, edge.id)
                seen = Seen.NOT_FOLDED if ref in self.folding.across else Seen.ALWAYS
                bends = _bends(outline.stitched(edge.id)) if edge.turn else ends
                for part in pairwise(bends):
                    self._line((piece, None), LineKind.SEAM, part, ref, seen)
        for piece in self.pieces:
            for each in self.draft.piece(piece).marks:
                if each.role is MarkRole.TEETH:
                    self._line((piece, None), LineKind.TEETH, (each.points[0], each.points[-1]))

    def part(self, laid: Laid) -> None:
        """Take what a part lays on its faces."""
        for area in laid.areas:
            for lie in self.folding.lies.get(area.face, ()):
                corners = [lie.frame.at(point) for point in area.points]
                for i in _touched(self.boxes[lie.piece, lie.region], corners):
                    kept = clip_polygon(corners, self.folding.zones[i].limits)
                    if len(kept) >= 3:
                        self.areas.append(LaidArea(i, area.kind, area.piece, tuple(kept)))
        for line in laid.lines:
            for lie in self.folding.lies.get(line.face, ()):
                ends = lie.frame.at(line.start), lie.frame.at(line.end)
                self._line((lie.piece, lie.region), line.kind, ends, line.edge)

    def _line(
        self,
        where: tuple[PieceId, Face | None],
        kind: LineKind,
        ends: tuple[Point, Point],
        edge: EdgeRef | None = None,
        seen: Seen = Seen.ALWAYS,
    ) -> None:
        """Take a line of a piece, on every zone (of one region) that it crosses."""
        for i in _touched(self.boxes[where], ends):
            kept = clip_segment(*ends, self.folding.zones[i].limits)
            if kept is not None:
                self.lines.append(LaidLine(i, kind, kept, edge, seen))


def _touched(boxes: Sequence[ZoneBounds], points: Sequence[Point]) -> list[int]:
    """Zones that a shape may touch, by the boxes around them."""
    left, right, low, high = _box(points)
    return [
        i for i, x0, x1, y0, y1 in boxes if x0 <= right and left <= x1 and y0 <= high and low <= y1
    ]


_ON = 1e-6
"""mm by which boxes count as larger."""


def _box(points: Sequence[Point]) -> tuple[float, float, float, float]:
    if len(points) == 2:  # most are lines
        (x0, y0), (x1, y1) = points
        return *((x0, x1) if x0 < x1 else (x1, x0)), *((y0, y1) if y0 < y1 else (y1, y0))
    xs, ys = zip(*points, strict=True)
    return min(xs), max(xs), min(ys), max(ys)


def _strips(draft: Draft, piece: PieceId) -> Iterator[tuple[EdgeRef, tuple[Point, ...]]]:
    """The allowance of each edge, from the cut line to the stitch line."""
    outline = draft.outlines[piece]
    for edge in outline.piece.edges:
        if edge.allowance > 0.0:
            cut: tuple[Point, ...] = (edge.start, edge.end)
            sewn: tuple[Point, ...] = outline.line(edge.id)
            if edge.turn:
                count = len(_bends(edge)) - 1
                cut, sewn = _bends(edge), _bends(outline.stitched(edge.id), count)
            for (a, b), (c, d) in zip(pairwise(cut), pairwise(sewn), strict=True):
                yield EdgeRef(piece, edge.id), (a, b, d, c)


_BEND = 0.2
"""How far the lines of an arc may lie off it, mm."""


def _bends(arc: Edge, count: int | None = None) -> tuple[Point, ...]:
    """The ends of the straight lines that an arc is drawn in, so many or as many as it takes."""
    count = count or len(arc.points(_BEND))
    return tuple(arc.point_at(number / count) for number in range(count + 1))


FLAT, FOLDED, SEWN = 0.0, 0.5, 1.0
"""The named states on the way."""
FILLED = 1.5
"""Moment at which the bag is stuffed hard; as far from sewn as sewn is from folded."""


_OUTER = (AreaKind.WALL, AreaKind.TAPE, AreaKind.TIP, AreaKind.BAND)
"""What bounds the bag; all else lies on these."""


class ModelZone(NamedTuple):
    """What moves as one: a zone of the folding, or a part of a loose band.

    Attributes:
        loose: whether it is a band's.
        floor: whether the sewn bag stands on it.
    """

    loose: bool
    floor: bool
    piece: object


class SolidDimension(NamedTuple):
    """A finished figure where it is measured on the sewn bag.

    Attributes:
        start, end: (3,) arrays, mm.
        aside: (3,) unit vector: the way in which the dimension line is set off the bag.
        anchors: two (3,) arrays, mm: where extension lines start from.
    """

    size: Measured
    start: Floats
    end: Floats
    aside: Floats
    anchors: tuple[Floats, Floats]

    @property
    def length(self) -> float:
        """Measured in space, mm."""
        return math.dist(self.start.tolist(), self.end.tolist())


class Folded(NamedTuple):
    """The bag at one moment of its folding.

    Attributes:
        at: 0 flat, 1/2 folded, 1 sewn.
        stands: where each zone of the wall stands.
        normals: (z, 3) unit vectors out of the bag, of the model's zones.
        points: (n, 3) float array, mm: all corners of the model's areas, then the ends of its
            lines, in their order.
    """

    at: float
    model: "FoldModel"
    stands: Frames
    normals: Floats
    points: Floats

    def place(self, spot: Spot) -> Floats:
        """(3,) where a spot lies, mm."""
        zone, point = spot
        return np.array(self.stands[self.model.folding.zones[zone].key].at(point))

    @property
    def extent(self) -> Floats:
        """(n, 3) array, mm: what lies within the stitch lines, and the bands.

        Everything else is laid on one of these, and is cut at its edges.
        """
        model = self.model
        areas = zip(model.areas, model.area_spans, strict=True)
        spans = [span for area, span in areas if area.kind in _OUTER and self.shows_area(area)]
        return np.concatenate([self.points[start:end] for start, end in spans])

    def shows_area(self, area: LaidArea) -> bool:
        """Whether an area is there: tips are until the bag is folded."""
        if area.kind is AreaKind.FLAT_TIP:
            return False
        return area.kind is not AreaKind.TIP or self.at <= FOLDED

    def shows_line(self, line: LaidLine) -> bool:
        """Whether a line is there."""
        if line.seen is Seen.ALWAYS:
            return True
        if line.seen is Seen.UNTIL_FOLDED:
            return self.at <= FOLDED
        return line.seen is Seen.NOT_FOLDED and (self.at == FLAT or self.at > FOLDED)

    @property
    def dimensions(self) -> tuple[SolidDimension, ...]:
        """Finished figures where they are measured; only on the sewn bag."""
        return self.measured() if self._sewn else ()

    def measured(self) -> tuple[SolidDimension, ...]:
        """The spots of all finished figures as they lie now."""
        place = self.place
        return tuple(
            SolidDimension(
                size,
                place(size.start),
                place(size.end),
                np.array(size.aside),
                (place(size.anchors[0]), place(size.anchors[1])),
            )
            for size in self.model.folding.sizes
        )

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Where seams do not meet; only on the sewn bag."""
        return self.model.folding.gaps(self.stands) if self._sewn else ()

    @property
    def _sewn(self) -> bool:
        return self.at >= SEWN and self.model.folding.flat_only is None


class FoldModel:
    """A bag made ready for folding; `at` is then cheap.

    Args:
        bag, draft: what is folded.
        allowances: whether seam allowances are laid out: they show only before the bag is
            folded, and are a third of the work.

    Attributes:
        folding: how it moves.
        allowances: whether they are among the areas.
        zones: what moves as one: those of the wall, then two for each band: up to the brim,
            and above it.
        areas, lines: what lies on the zones, in the order in which it is laid on.
        area_spans, line_spans: (start, end) of each in `Folded.points`.
    """

    def __init__(self, bag: Bag, draft: Draft, *, allowances: bool = True) -> None:
        self.allowances = allowances
        self.folding: Folding = bag.body.folding(draft, bag.top.closing(draft))
        laid = [part.laid(bag.site) for part in bag.parts.values()]
        areas, lines = lay(self.folding, draft, laid, allowances=allowances)
        self.bands: tuple[Band, ...] = tuple(band for each in laid for band in each.bands)
        zones = [ModelZone(False, zone.floor, zone.piece) for zone in self.folding.zones]
        for band in self.bands:
            first = len(zones)
            zones += [ModelZone(True, False, band.piece)] * 2
            for above, corners in split_band(band, self.folding.brims[band.face]):
                areas.append(LaidArea(first + above, AreaKind.BAND, band.piece, corners))
        self.zones: tuple[ModelZone, ...] = tuple(zones)
        self.areas: tuple[LaidArea, ...] = tuple(areas)
        self.lines: tuple[LaidLine, ...] = tuple(lines)
        shapes: list[tuple[Point, ...]] = [area.corners for area in areas]
        shapes += [line.points for line in lines]
        counts = [len(shape) for shape in shapes]
        spans = tuple(pairwise(accumulate(counts, initial=0)))
        self.area_spans, self.line_spans = spans[: len(areas)], spans[len(areas) :]
        values = chain.from_iterable(chain.from_iterable(shapes))
        self._flat = np.fromiter(values, np.float64).reshape(-1, 2)
        zones_of = [area.zone for area in areas] + [line.zone for line in lines]
        self._zones = np.repeat(zones_of, counts)

    def at(self, share: float) -> Folded:
        """The bag at one moment, 0 flat, 1/2 folded, 1 sewn; any other share is a ValueError."""
        if not FLAT <= share <= SEWN:
            raise ValueError(f"the way from flat to sewn runs from 0 to 1, not to {share}")
        if self.folding.flat_only is not None:
            share = FLAT
        stands = self.folding.frames(share)
        frames = [stands[zone.key] for zone in self.folding.zones]
        normals = [frame.normal for frame in frames]
        for band in self.bands:
            carrier = frames[self.folding.carriers[band.face]]
            for stand in band_stands(self.folding, carrier, band.face, share):
                frames.append(stand.frame)
                normals.append(stand.normal)
        points = placed(np.array(frames)[self._zones], self._flat)
        return Folded(share, self, stands, np.array(normals), points)
