"""What lies on the zones of a folding bag: walls, allowances, parts and lines, cut at the zones.

So it lands where it really lands, in the coordinates of the zone's piece, mm.
"""

import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from enum import Enum
from itertools import chain, count, pairwise
from operator import itemgetter
from typing import NamedTuple

from core.flat.geometry import clip_polygon, clip_segment
from core.flat.piece import Point
from core.flat.roles import EdgeRef, Face, MarkRole, PieceId
from core.flat.seam import Draft
from core.space.strips import bends
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

    __hash__ = object.__hash__  # as that of areas

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


ZoneRegion = tuple[PieceId, Face | None]
"""The piece and the region of some zones."""


class LaidOn(NamedTuple):
    """What lies on one zone, in the order in which it is laid on."""

    areas: Sequence[LaidArea] = ()
    lines: Sequence[LaidLine] = ()


AreaShape = tuple[int, float, float, float, float, AreaKind, PieceId, list[Point]]
LineShape = tuple[
    int, float, float, float, float, LineKind, tuple[Point, Point], EdgeRef | None, Seen
]
"""What is laid on some zones, before it is cut at them.

Its number in the order of laying; its least and greatest x, least and greatest y, mm; the rest.
"""


def lay(
    folding: Folding, draft: Draft, laid: Sequence[Laid], *, allowances: bool
) -> tuple[list[LaidArea], list[LaidLine]]:
    """Lay walls, parts and lines on all zones, in the order in which they lie on one another.

    Args:
        folding, draft, laid, allowances: as those of `Laying`.
    """
    laying = Laying(folding, draft, laid, allowances=allowances)
    return laying.areas, laying.lines


class Laying:
    """Cuts shapes at the zones; what lies on a zone that nobody asks for is never cut.

    Args:
        folding, draft: the wall, and the pieces that it is of.
        laid: what the parts show, the lowest first.
        allowances: whether seam allowances are laid too.
    """

    def __init__(
        self, folding: Folding, draft: Draft, laid: Sequence[Laid], *, allowances: bool
    ) -> None:
        self._folding, self._draft = folding, draft
        self._pieces = tuple(dict.fromkeys(zone.piece for zone in folding.zones))
        self._numbers = count()
        # By the place of a zone, what lies on it alone; by region and piece, what is cut.
        self._whole: dict[int, list[tuple[int, LaidArea]]] = defaultdict(list)
        self._whole_lines: dict[int, list[tuple[int, LaidLine]]] = defaultdict(list)
        self._on_region: dict[ZoneRegion, list[AreaShape]] = defaultdict(list)
        self._lines_on_region: dict[ZoneRegion, list[LineShape]] = defaultdict(list)
        self._lines_on_piece: dict[PieceId, list[LineShape]] = defaultdict(list)
        self._cut: dict[int, LaidOn] = {}
        self._take_tips(allowances=allowances)
        if allowances:
            self._take_allowances()
        for each in laid:
            self._take_part(each)
        self._take_edges()

    def on(self, place: int) -> LaidOn:
        """What lies on a zone."""
        if place not in self._cut:
            areas, lines = self._areas_at(place), self._lines_at(place)
            self._cut[place] = LaidOn([area for _, area in areas], [line for _, line in lines])
        return self._cut[place]

    def lines_on(self, place: int, kind: LineKind) -> list[LaidLine]:
        """Of what parts lay on a zone the lines of one kind, without the rest."""
        if place in self._cut:
            return [line for line in self._cut[place].lines if line.kind is kind]
        zone = self._folding.zones[place]
        shapes = self._lines_on_region.get((zone.piece, zone.region), ())
        found = self._cut_at(place, [shape for shape in shapes if shape[5] is kind])
        return [line for _, line in found]

    @property
    def areas(self) -> list[LaidArea]:
        """What lies on all zones."""
        places = range(len(self._folding.zones))
        found = sorted(chain.from_iterable(map(self._areas_at, places)), key=itemgetter(0))
        return [area for _, area in found]

    @property
    def lines(self) -> list[LaidLine]:
        """What lies on all zones."""
        places = range(len(self._folding.zones))
        found = sorted(chain.from_iterable(map(self._lines_at, places)), key=itemgetter(0))
        return [line for _, line in found]

    def _areas_at(self, place: int) -> list[tuple[int, LaidArea]]:
        zone = self._folding.zones[place]
        found = [(-1, LaidArea(place, zone.kind, zone.piece, zone.outline))]
        found += self._whole.get(place, ())
        shapes = self._on_region.get((zone.piece, zone.region))
        if shapes is None:
            return found
        x0, x1, y0, y1 = _box(zone.outline)
        for number, left, right, low, high, kind, piece, corners in shapes:
            if x0 <= right and left <= x1 and y0 <= high and low <= y1:
                kept = clip_polygon(corners, zone.limits)
                if len(kept) >= 3:
                    found.append((number, LaidArea(place, kind, piece, tuple(kept))))
        return found

    def _lines_at(self, place: int) -> list[tuple[int, LaidLine]]:
        zone = self._folding.zones[place]
        found = list(self._whole_lines.get(place, ()))
        parts = self._lines_on_region.get((zone.piece, zone.region), ())
        found += self._cut_at(place, chain(parts, self._lines_on_piece[zone.piece]))
        for kind, start, end in zone.folds:
            found.append((_LAST, LaidLine(place, kind, (start, end))))
        return found

    def _cut_at(self, place: int, shapes: Iterable[LineShape]) -> list[tuple[int, LaidLine]]:
        """What a zone has of some lines."""
        zone = self._folding.zones[place]
        limits = zone.limits
        x0, x1, y0, y1 = _box(zone.outline)
        sides = _sides(zone.outline) if len(zone.outline) > _FEW else ()
        return [
            (number, LaidLine(place, kind, part, edge, seen))
            for number, left, right, low, high, kind, ends, edge, seen in shapes
            if x0 <= right and left <= x1 and y0 <= high and low <= y1
            for part in (ends if ends in sides else clip_segment(*ends, limits),)
            if part is not None
        ]

    def _take_area(self, area: LaidArea) -> None:
        self._whole[area.zone].append((next(self._numbers), area))

    def _take_line(self, line: LaidLine) -> None:
        self._whole_lines[line.zone].append((next(self._numbers), line))

    def _take_tips(self, *, allowances: bool) -> None:
        """What lies beyond seams that are sewn across it."""
        for tip in self._folding.tips:
            zone = tip.zone
            piece = self._folding.zones[zone].piece
            if allowances:
                self._take_area(LaidArea(zone, AreaKind.ALLOWANCE, piece, tip.cut))
                for line in tip.cut_lines:
                    self._take_line(LaidLine(zone, LineKind.CUT, line))
            self._take_area(LaidArea(zone, AreaKind.TIP, piece, tip.outline))
            self._take_area(LaidArea(tip.under, AreaKind.FLAT_TIP, piece, tip.flat))
            side, middle, end = tip.flat
            for start in (side, middle):
                line = start, end
                self._take_line(LaidLine(tip.under, LineKind.FOLD, line, None, Seen.FLATTENED))
            for kind, start, end, edge in tip.lines:
                self._take_line(LaidLine(zone, kind, (start, end), edge, Seen.UNTIL_FOLDED))

    def _take_allowances(self) -> None:
        """Strips between stitch line and cut line.

        They show only before the bag is folded, while the zones of a plate are still one
        plane: each is laid whole on the first of them.
        """
        for piece in self._pieces:
            plates = [
                each
                for each in self._folding.plates
                if self._folding.zones[each.zones[0]].piece == piece
            ]
            for edge, strip in _strips(self._draft, piece):
                kind: LineKind | None = LineKind.CUT
                if edge in self._folding.across:
                    kind = LineKind.TRIM if self._draft.piece(piece).trimmed else None
                for plate in plates:
                    self._take_strip(plate, piece, strip, kind)

    def _take_strip(
        self, plate: Plate, piece: PieceId, strip: tuple[Point, ...], kind: LineKind | None
    ) -> None:
        """One allowance; its first two corners are the ends of its line, if it has one."""
        kept, zone = clip_polygon(strip, plate.limits), plate.zones[0]
        if len(kept) < 3:
            return
        self._take_area(LaidArea(zone, AreaKind.ALLOWANCE, piece, tuple(kept)))
        line = clip_segment(strip[0], strip[1], plate.limits)
        if line is not None and kind is not None:
            self._take_line(LaidLine(zone, kind, line))

    def _take_part(self, laid: Laid) -> None:
        """What a part lays on its faces."""
        lies = self._folding.lies
        for area in laid.areas:
            for lie in lies.get(area.face, ()):
                corners = [lie.frame.at(point) for point in area.points]
                shape = next(self._numbers), *_box(corners), area.kind, area.piece, corners
                self._on_region[lie.piece, lie.region].append(shape)
        for each in laid.lines:
            for lie in lies.get(each.face, ()):
                ends = lie.frame.at(each.start), lie.frame.at(each.end)
                line = self._line(each.kind, ends, each.edge)
                self._lines_on_region[lie.piece, lie.region].append(line)

    def _take_edges(self) -> None:
        """The stitch line of every edge of the wall, and the teeth of a zip."""
        across = self._folding.across
        for piece in self._pieces:
            outline, lines = self._draft.outlines[piece], self._lines_on_piece[piece]
            ring = pairwise((*outline.corners, outline.corners[0]))
            for edge, ends in zip(outline.piece.edges, ring, strict=True):
                ref = EdgeRef(piece, edge.id)
                seen = Seen.NOT_FOLDED if across and ref in across else Seen.ALWAYS
                bent = bends(outline.stitched(edge.id)) if edge.turn else ends
                lines += [self._line(LineKind.SEAM, part, ref, seen) for part in pairwise(bent)]
        for piece in self._pieces:
            lines = self._lines_on_piece[piece]
            for each in self._draft.piece(piece).marks:
                if each.role is MarkRole.TEETH:
                    lines.append(self._line(LineKind.TEETH, (each.points[0], each.points[-1])))

    def _line(
        self,
        kind: LineKind,
        ends: tuple[Point, Point],
        edge: EdgeRef | None = None,
        seen: Seen = Seen.ALWAYS,
    ) -> LineShape:
        (one, low), (other, high) = ends
        left, right = (one, other) if one < other else (other, one)
        if low > high:
            low, high = high, low
        return next(self._numbers), left, right, low, high, kind, ends, edge, seen


_ON = 1e-6
"""mm by which boxes count as larger."""
_FEW = 12
"""A zone of more sides is rounded."""
_LAST = sys.maxsize
"""Number of what is laid on after all else."""


def _sides(outline: Sequence[Point]) -> set[tuple[Point, Point]]:
    """Those of a rounded zone: each is a stitch line of its own, and no other cuts it.

    A panel of forty sides would else be cut at forty of them, each by forty.
    """
    ring = pairwise((*outline, outline[0]))
    return {(start, end) for start, end in ring if start != end}


def _box(points: Sequence[Point]) -> tuple[float, float, float, float]:
    """Least and greatest x, least and greatest y."""
    xs, ys = zip(*points, strict=True)
    return min(xs) - _ON, max(xs) + _ON, min(ys) - _ON, max(ys) + _ON


def _strips(draft: Draft, piece: PieceId) -> Iterator[tuple[EdgeRef, tuple[Point, ...]]]:
    """The allowance of each edge, from the cut line to the stitch line."""
    outline = draft.outlines[piece]
    for edge in outline.piece.edges:
        if edge.allowance > 0.0:
            cut: tuple[Point, ...] = (edge.start, edge.end)
            sewn: tuple[Point, ...] = outline.line(edge.id)
            if edge.turn:
                count = len(bends(edge)) - 1
                cut, sewn = bends(edge), bends(outline.stitched(edge.id), count)
            for (a, b), (c, d) in zip(pairwise(cut), pairwise(sewn), strict=True):
                yield EdgeRef(piece, edge.id), (a, b, d, c)
