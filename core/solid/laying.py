"""What lies on the zones of a folding bag: walls, allowances, parts and lines, cut at the zones.

So it lands where it really lands, in the coordinates of the zone's piece, mm.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from enum import Enum
from itertools import pairwise
from typing import NamedTuple

from core.flat.geometry import HalfPlane, clip_polygon, clip_segment
from core.flat.piece import Edge, Point
from core.flat.roles import EdgeRef, Face, MarkRole, PieceId
from core.flat.seam import Draft
from core.space.zones import AreaKind, Folding, Laid, LineKind, Plate


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


ZoneBounds = tuple[int, float, float, float, float, tuple[HalfPlane, ...]]
"""A zone's place; its least and greatest x, least and greatest y, mm; what bounds it."""


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
        of_piece: dict[PieceId, list[ZoneBounds]] = {piece: [] for piece in self.pieces}
        of_region: dict[tuple[PieceId, Face | None], list[ZoneBounds]] = defaultdict(list)
        for i, zone in enumerate(folding.zones):
            x0, x1, y0, y1 = _box(zone.outline)
            bounds = i, x0 - _ON, x1 + _ON, y0 - _ON, y1 + _ON, zone.limits
            of_piece[zone.piece].append(bounds)
            of_region[zone.piece, zone.region].append(bounds)
        self.of_piece = of_piece
        # To find them anew for every line would take as long as to cut it.
        self.lies = {
            face: [(lie.frame, of_region[lie.piece, lie.region]) for lie in lies]
            for face, lies in folding.lies.items()
        }
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
        across = self.folding.across
        for piece, zones in self.of_piece.items():
            outline = self.draft.outlines[piece]
            ring = pairwise((*outline.corners, outline.corners[0]))
            for edge, ends in zip(outline.piece.edges, ring, strict=True):
                ref = EdgeRef(piece, edge.id)
                seen = Seen.NOT_FOLDED if across and ref in across else Seen.ALWAYS
                bends = _bends(outline.stitched(edge.id)) if edge.turn else ends
                for part in pairwise(bends):
                    self._line(zones, LineKind.SEAM, part, ref, seen)
        for piece, zones in self.of_piece.items():
            for each in self.draft.piece(piece).marks:
                if each.role is MarkRole.TEETH:
                    self._line(zones, LineKind.TEETH, (each.points[0], each.points[-1]))

    def part(self, laid: Laid) -> None:
        """Take what a part lays on its faces."""
        for area in laid.areas:
            for frame, zones in self.lies.get(area.face, ()):
                corners = [frame.at(point) for point in area.points]
                left, right, low, high = _box(corners)
                for i, x0, x1, y0, y1, limits in zones:
                    if x0 <= right and left <= x1 and y0 <= high and low <= y1:
                        kept = clip_polygon(corners, limits)
                        if len(kept) >= 3:
                            self.areas.append(LaidArea(i, area.kind, area.piece, tuple(kept)))
        for line in laid.lines:
            for frame, zones in self.lies.get(line.face, ()):
                ends = frame.at(line.start), frame.at(line.end)
                self._line(zones, line.kind, ends, line.edge)

    def _line(
        self,
        zones: Sequence[ZoneBounds],
        kind: LineKind,
        ends: tuple[Point, Point],
        edge: EdgeRef | None = None,
        seen: Seen = Seen.ALWAYS,
    ) -> None:
        """Take a line of a piece, on every one of these zones that it crosses."""
        (one, low), (other, high) = ends
        left, right = (one, other) if one < other else (other, one)
        if low > high:
            low, high = high, low
        for i, x0, x1, y0, y1, limits in zones:
            if x0 <= right and left <= x1 and y0 <= high and low <= y1:
                kept = clip_segment(*ends, limits)
                if kept is not None:
                    self.lines.append(LaidLine(i, kind, kept, edge, seen))


_ON = 1e-6
"""mm by which boxes count as larger."""


def _box(points: Sequence[Point]) -> tuple[float, float, float, float]:
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
