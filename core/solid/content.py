"""What lies on the zones of a folding bag: walls, pocket, handles, board, lines.

Every part is cut at the hinges, so that it lands where it really lands. Coordinates are
those of the zones, (x, w), mm (see core.solid.zones).
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import Enum

from core.bag.bag import Bag
from core.bodies.boxed_panel.wall import Wall, stitch_line
from core.flat.clip import HalfPlane, clip_polygon, clip_segment
from core.flat.piece import Mark, MarkStyle, Point
from core.flat.roles import FACES, SIDES, EdgeId, EdgeRef, EdgeRole, Face, PieceId, PieceRole
from core.flat.seam import Draft
from core.parts.handles.handles import Handles
from core.solid.hinge import handle_hinge
from core.solid.zones import (
    BACK_ZONES,
    FLAP_ZONES,
    FRONT_ZONES,
    ZIP_OVER_ZONES,
    ZIP_ZONES,
    Place,
    Zone,
)
from core.tops.zip_forward.zip import ZIP


class Kind(Enum):
    """What a facet or a line is."""

    WALL = "wall"
    ALLOWANCE = "allowance"
    ZIP = "zip"
    POCKET = "pocket"
    HANDLE = "handle"
    BOARD = "board"
    CUT = "cut line"
    SEAM = "seam"
    FOLD = "fold"
    CREASE = "crease"
    TEETH = "teeth"
    TOPSTITCH = "topstitch"
    POCKET_EDGE = "pocket edge"
    HANDLE_EDGE = "handle edge"
    HALFWAY = "halfway"


@dataclass(frozen=True, slots=True)
class Patch:
    """A filled shape on a zone: corners (x, w), mm; convex, but for a standing handle."""

    zone: Zone
    kind: Kind
    piece: str
    corners: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Stroke:
    """A polyline on a zone; `edge` where it is the stitch line of an edge."""

    zone: Zone
    kind: Kind
    points: tuple[Point, ...]
    edge: EdgeRef | None = None


@dataclass(slots=True)
class Content:
    """Everything on the zones, in the order in which it is laid on."""

    patches: list[Patch] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)


Chart = tuple[tuple[Place, ...], float, float]
"""Places that a stretch of the loop crosses, with w = scale * u + shift on them."""


def fill_zones(
    bag: Bag, draft: Draft, sheet: Wall, found: dict[Zone, Place], *, allowances: bool = True
) -> Content:
    """Lay walls, parts and lines on the zones; seam allowances only if they are asked for."""
    builder = _Builder(bag, draft, sheet, found)
    builder.walls()
    if allowances:
        builder.allowances()
    builder.marks()
    builder.edges()
    builder.folds()
    builder.handles()
    return builder.content


class _Builder:
    """Cuts shapes given on the sheet, (x, u), at the hinges."""

    def __init__(self, bag: Bag, draft: Draft, sheet: Wall, found: dict[Zone, Place]) -> None:
        self.bag, self.draft, self.sheet, self.found = bag, draft, sheet, found
        self.content = Content()
        self.sides = ((-1.0, 0.0, -sheet.left), (1.0, 0.0, sheet.right))
        self.limits = {zone: (*place.limits, *self.sides) for zone, place in found.items()}
        loop = sheet.loop
        self.charts: dict[str, tuple[Chart, ...]] = {
            Face.FRONT.value: ((self._there(FRONT_ZONES), 1.0, 0.0),),
            Face.BACK.value: (
                (self._there(BACK_ZONES), -1.0, 0.0),
                (self._there(FLAP_ZONES), 1.0, loop),
            ),
            "zip": (
                (self._there(ZIP_ZONES), 1.0, 0.0),
                (self._there(ZIP_OVER_ZONES), -1.0, loop),
            ),
        }

    def walls(self) -> None:
        for place in self.found.values():
            zips = place.zone in ZIP_ZONES or place.zone in ZIP_OVER_ZONES
            over = place.zone in FLAP_ZONES
            face = Face.BACK if over else place.zone.face
            name = "zip" if zips else self.bag.body.wall(face).word
            kind = Kind.ZIP if zips else Kind.WALL
            self.content.patches.append(Patch(place.zone, kind, name, place.outline))

    def allowances(self) -> None:
        """Strips between stitch line and cut line.

        They show only before the panel is folded in half, while the zones of a face are
        still one plane: each is laid whole on the middle zone of its face.
        """
        for face in FACES:
            name = self.bag.body.wall(face).word
            sign = -1.0 if face is Face.FRONT else 1.0
            own_half = () if self.sheet.seamed else ((0.0, sign, 0.0),)
            for strip in _strips(self.draft, name):
                self._lay_strip(face.value, name, strip, own_half)
        if self.sheet.closed:
            for strip in _strips(self.draft, "zip"):
                self._lay_strip("zip", "zip", [self._on_zip(point) for point in strip], ())

    def _lay_strip(
        self, chart: str, piece: str, strip: Sequence[Point], own_half: tuple[HalfPlane, ...]
    ) -> None:
        """One allowance; its first two corners are the ends of its cut line."""
        half = self.sheet.top_fold
        folds_over = len(self.charts[chart]) > 1 and self.sheet.closed
        over = ((0.0, 1.0, half),) if folds_over else ()
        corners = clip_polygon(strip, own_half)
        cut = clip_segment(strip[0], strip[1], own_half)
        for places, scale, shift in self.charts[chart]:
            middle = next((place.zone for place in places if _is_middle(place.zone)), None)
            kept = clip_polygon([(x, scale * u + shift) for x, u in corners], over)
            if middle is None or len(kept) < 3:
                continue
            self.content.patches.append(Patch(middle, Kind.ALLOWANCE, piece, tuple(kept)))
            if cut is None:
                continue
            start, end = ((x, scale * u + shift) for x, u in cut)
            line = clip_segment(start, end, over)
            if line is not None:
                self.content.strokes.append(Stroke(middle, Kind.CUT, line))

    def marks(self) -> None:
        """Pocket, handle legs, base board and halfway marks, from their placement lines."""
        panel = self.bag.body
        for name in dict.fromkeys(panel.wall(face) for face in FACES):
            for mark in self.draft.piece(name).marks:
                self._lay_mark(mark)

    def _lay_mark(self, mark: Mark) -> None:
        chart = _face_of(mark.points).value
        if mark.style is MarkStyle.HALFWAY:
            if mark.name == "handle halfway":
                self._line(Kind.HALFWAY, chart, mark.points)
        elif mark.name.endswith("pocket"):
            self._fill(Kind.POCKET, chart, mark.name, mark.points)
            (x0, y0), (x1, _), _, (_, y1) = mark.points
            self._line(Kind.POCKET_EDGE, chart, ((x0, y1), (x1, y1)))
            self._line(Kind.TOPSTITCH, chart, ((x0, y0), (x1, y0)))
            for side, x in zip(SIDES, (self.sheet.left, self.sheet.right), strict=True):
                ref = EdgeRef(
                    PieceId("pocket", PieceRole.PATCH, mark.face), EdgeId(EdgeRole.SIDE, side=side)
                )
                self._line(Kind.SEAM, chart, ((x, y0), (x, y1)), ref)
        elif mark.name == "handle leg":
            self._fill(Kind.HANDLE, chart, "handle strip", mark.points)
            for foot, top in ((mark.points[0], mark.points[1]), (mark.points[3], mark.points[2])):
                self._line(Kind.HANDLE_EDGE, chart, (foot, top))
            self._line(Kind.HANDLE_EDGE, chart, mark.points[1:3])
        elif mark.name == "base board":
            self._fill(Kind.BOARD, chart, mark.name, mark.points)

    def edges(self) -> None:
        """The stitch line of every edge of panel and zip."""
        panel = self.bag.body
        for name in dict.fromkeys(panel.wall(face) for face in FACES):
            for edge in self.draft.piece(name).edges:
                ref = EdgeRef(name, edge.id)
                start, end = stitch_line(self.draft, ref)
                if min(start[1], end[1]) < -1e-6 < 1e-6 < max(start[1], end[1]):
                    crossing = (start[0], 0.0)
                    for far in (start, end):
                        self._line(Kind.SEAM, _face_of((far,)).value, (far, crossing), ref)
                else:
                    chart = name.word if self.sheet.seamed else _face_of((start, end)).value
                    self._line(Kind.SEAM, chart, (start, end), ref)
        if not self.sheet.closed:
            return
        for edge in self.draft.piece("zip").edges:
            ref = EdgeRef(ZIP, edge.id)
            ends = [self._on_zip(point) for point in stitch_line(self.draft, ref)]
            self._line(Kind.SEAM, "zip", ends, ref)
        for mark in self.draft.piece("zip").marks:
            self._line(Kind.TEETH, "zip", [self._on_zip(point) for point in mark.points])

    def folds(self) -> None:
        """Bottom fold, top fold, and the hinges of base and sides."""
        sheet = self.sheet
        for place in self.found.values():
            corners = place.outline
            for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
                kind = self._hinge_kind(place.zone, start, end)
                if kind is not None:
                    self.content.strokes.append(Stroke(place.zone, kind, (start, end)))
        if not sheet.has_corners and not sheet.seamed:
            line = ((sheet.left, 0.0), (sheet.right, 0.0))
            self._line(Kind.FOLD, Face.FRONT.value, line)

    def _hinge_kind(self, zone: Zone, start: Point, end: Point) -> Kind | None:
        sheet = self.sheet
        level = abs(start[1] - end[1]) < 1e-6
        if level and sheet.closed and abs(start[1] - sheet.top_fold) < 1e-6:
            return Kind.FOLD
        if level and start[1] < 1e-6:
            return None if sheet.seamed or zone is Zone.BASE_BACK else Kind.FOLD
        if level and zone in (Zone.BASE_FRONT, Zone.BASE_BACK):
            return Kind.CREASE
        if level or zone in (Zone.BASE_FRONT, Zone.BASE_BACK) or not sheet.has_corners:
            return None
        # Both zones at a hinge have its line: either may be the one that hides the other.
        at_side = max(start[0], end[0]) < sheet.left + 1e-6 or (
            min(start[0], end[0]) > sheet.right - 1e-6
        )
        return None if at_side else Kind.CREASE

    def handles(self) -> None:
        """The loose part of each handle: two legs up the face, and the loop above it."""
        handles = Handles.of(self.bag.parts)
        if handles is None:
            return
        for face, low, high in (
            (Face.FRONT, Zone.HANDLE_FRONT, Zone.HANDLE_FRONT_TOP),
            (Face.BACK, Zone.HANDLE_BACK, Zone.HANDLE_BACK_TOP),
        ):
            drop = handles.drop(self.bag.site, face)
            stop = self.sheet.top(face) + self.bag.site.top_seam - handles.stop
            hinge = handle_hinge(self.sheet, face)
            if drop is None:
                continue
            top = self.sheet.top_fold + drop
            if top - stop < handles.width / 2:
                continue  # the legs are all there is
            line = loop_line(handles, self.sheet.middle, stop, top)
            for zone, band in _split_band(line, handles.width / 2, hinge, low, high):
                patch = Patch(zone, Kind.HANDLE, "handle strip", band)
                self.content.patches.append(patch)

    def _on_zip(self, point: Point) -> Point:
        """A point of the zip piece on the sheet: its front stitch line lies on the front's."""
        zip_front = stitch_line(self.draft, EdgeRef(ZIP, EdgeId(EdgeRole.TAPE, Face.FRONT)))[0][1]
        return point[0], self.sheet.front_top + point[1] - zip_front

    def _fill(self, kind: Kind, chart: str, piece: str, points: Sequence[Point]) -> None:
        for places, scale, shift in self.charts[chart]:
            corners = [(x, scale * u + shift) for x, u in points]
            for place in _touched(places, corners):
                kept = self._inside(clip_polygon(corners, place.limits))
                if len(kept) >= 3:
                    patch = Patch(place.zone, kind, piece, tuple(kept))
                    self.content.patches.append(patch)

    def _inside(self, corners: list[Point]) -> list[Point]:
        """Parts that reach into the allowances end at the side seams."""
        return clip_polygon(corners, self.sides)

    def _line(
        self, kind: Kind, chart: str, points: Sequence[Point], edge: EdgeRef | None = None
    ) -> None:
        (x0, u0), (x1, u1) = points[0], points[-1]
        for places, scale, shift in self.charts[chart]:
            start, end = (x0, scale * u0 + shift), (x1, scale * u1 + shift)
            for place in _touched(places, (start, end)):
                kept = clip_segment(start, end, self.limits[place.zone])
                if kept is not None:
                    self.content.strokes.append(Stroke(place.zone, kind, kept, edge))

    def _there(self, zones: Iterable[Zone]) -> tuple[Place, ...]:
        return tuple(self.found[zone] for zone in zones if zone in self.found)


def _touched(places: Sequence[Place], points: Sequence[Point]) -> list[Place]:
    """Those that a shape may touch, by the boxes around them: most are ruled out so."""
    (left, low) = (right, high) = points[0]
    for x, w in points:
        if x < left:
            left = x
        elif x > right:
            right = x
        if w < low:
            low = w
        elif w > high:
            high = w
    left, low, right, high = left - 1e-6, low - 1e-6, right + 1e-6, high + 1e-6
    found = []
    for place in places:
        x0, w0, x1, w1 = place.box
        if x0 <= right and left <= x1 and w0 <= high and low <= w1:
            found.append(place)
    return found


def loop_line(handles: Handles, middle: float, stop: float, top: float) -> tuple[Point, ...]:
    """Middle line of a handle held up, from stop to stop, (x, w) mm.

    It is pulled taut over a hand: straight legs to a small bow whose height is that of the
    handle drop, which is measured to one point.
    """
    half = handles.centres / 2
    bow = min(half, max(handles.width * 0.9, 12.0), max(top - stop, 0.0) / 2)
    legs = top - bow
    arc = [
        (middle - bow * math.cos(turn), legs + bow * math.sin(turn))
        for turn in (math.pi * step / _BOW_STEPS for step in range(_BOW_STEPS + 1))
    ]
    return ((middle - half, stop), *arc, (middle + half, stop))


def _split_band(
    line: tuple[Point, ...], half_width: float, hinge: float, low: Zone, high: Zone
) -> Iterator[tuple[Zone, tuple[Point, ...]]]:
    """The band about a line: both legs below the hinge, and the loop above it."""
    left, right = line[0], line[-1]
    if line[1][1] <= hinge:
        yield low, _band(line, half_width)
        return
    foot_left, foot_right = _at_height(line[:2], hinge), _at_height(line[:-3:-1], hinge)
    if left[1] < hinge:
        yield low, _band((left, foot_left), half_width)
        yield low, _band((foot_right, right), half_width)
    yield high, _band((foot_left, *line[1:-1], foot_right), half_width)


def _at_height(leg: Sequence[Point], height: float) -> Point:
    (x0, w0), (x1, w1) = leg
    share = max((height - w0) / (w1 - w0), 0.0)
    return x0 + (x1 - x0) * share, w0 + (w1 - w0) * share


def _band(line: Sequence[Point], half_width: float) -> tuple[Point, ...]:
    """Outline of a band along a line: its left side there, its right side back.

    At its two ends the band is cut level, so that the parts of a leg join.
    """
    sides: tuple[list[Point], list[Point]] = ([], [])
    for i, (x, w) in enumerate(line):
        (x0, w0), (x1, w1) = line[max(i - 1, 0)], line[min(i + 1, len(line) - 1)]
        length = math.hypot(x1 - x0, w1 - w0)
        nx, nw = -(w1 - w0) / length, (x1 - x0) / length
        if i in (0, len(line) - 1):
            nx, nw = math.copysign(1.0, nx), 0.0
        sides[0].append((x + nx * half_width, w + nw * half_width))
        sides[1].append((x - nx * half_width, w - nw * half_width))
    return (*sides[0], *reversed(sides[1]))


def _strips(draft: Draft, name: str) -> Iterator[tuple[Point, ...]]:
    """The allowance of each edge, from the cut line to the stitch line."""
    outline = draft.outlines[name]
    for i, edge in enumerate(outline.piece.edges):
        if edge.allowance > 0.0:
            inner = (outline.corners[(i + 1) % len(outline.corners)], outline.corners[i])
            yield (edge.start, edge.end, *inner)


def _is_middle(zone: Zone) -> bool:
    return zone in (Zone.FRONT, Zone.BACK, Zone.ZIP, Zone.ZIP_OVER, Zone.FLAP)


def _face_of(points: Sequence[Point]) -> Face:
    """The face that a shape in the panel's frame lies on: the back is negative."""
    return Face.FRONT if math.fsum(y for _, y in points) >= 0.0 else Face.BACK


_BOW_STEPS = 12
