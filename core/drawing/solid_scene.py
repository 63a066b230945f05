"""One moment of a bag in space, as it is painted: the same model as the fold preview.

The eye stands far away, so that parallel lines stay parallel. Zones of the folded bag are painted
the furthest first; on a closed bag those that look away cannot be seen.
"""

import math
from collections.abc import Sequence
from functools import cached_property

from core.drawing.projection import eye_axes, turned
from core.drawing.sketch import Sketch
from core.flat.ink import Ink
from core.flat.piece import Point
from core.flat.roles import EdgeRef
from core.solid.fold import FOLDED, SEWN, Folded, FoldModel, SolidDimension
from core.solid.laying import LaidArea, LaidLine, Seen
from core.space.zones import CREASED, AreaKind, LineKind, Spatial, add, dot, minus, scaled
from core.work.operation import StitchPath
from core.work.scene import FoldedView

_ROUND = math.cos(CREASED)
"""Cosine between two zones from which on one runs on round into the other."""
_FACING = 0.62
"""Cosine from which on a zone counts as lit."""
_STROKES = {
    LineKind.SEAM: Ink.CUT,
    LineKind.FOLD: Ink.CUT,
    LineKind.CREASE: Ink.PLACEMENT,
    LineKind.TEETH: Ink.STITCH,
    LineKind.TOPSTITCH: Ink.STITCH,
    LineKind.FREE_EDGE: Ink.CUT,
    LineKind.BAND_STITCHING: Ink.LABEL,
}


_WALL = (AreaKind.WALL, AreaKind.TAPE)
_LAID_ON = (LineKind.FREE_EDGE, LineKind.BAND_STITCHING, LineKind.TOPSTITCH, LineKind.HALFWAY)


class SolidScene:
    """One moment of a bag, projected.

    `lit` are edges whose stitch lines are new; `away` are pieces that are not drawn.
    """

    def __init__(
        self,
        model: FoldModel,
        view: FoldedView,
        lit: frozenset[EdgeRef] = frozenset(),
        away: frozenset[object] = frozenset(),
    ) -> None:
        self.model, self.view, self._away = model, view, away
        self.folded: Folded = model.at(view.share)
        self._lit = frozenset() if view.upper_ends_only else lit
        self._lit_tops = lit if view.upper_ends_only else frozenset()
        yaw, pitch = math.radians(view.yaw), math.radians(view.pitch)
        self._axes = axes = eye_axes(yaw, pitch)
        self._facing = [dot(normal, axes[2]) for normal in self.folded.normals]
        # A bag sewn shut hides what looks away; one still open, or only shown flat, its inside not.
        shut = (model.folding.closed and view.share >= SEWN and not away) or view.share == FOLDED
        self._shut = shut and model.folding.flat_only is None

    def new_lines(self) -> list[list[Point]]:
        """Every line that is new in the picture, upper ends alone among them."""
        found: list[list[Point]] = []
        for zone in self._order():
            for line in self._strokes(zone):
                if self._stroke_ink(zone, line) is Ink.NEW:
                    found.append(self._points(line))
                elif self._is_lit_top(line):
                    found.append(_upper_end(self._points(line)))
        return found

    def _is_lit_top(self, line: LaidLine) -> bool:
        """Whether its upper end is new: stitching on a tip runs on below another of its edge."""
        return line.edge in self._lit_tops and line.seen is not Seen.UNTIL_FOLDED

    def insert(self) -> list[Point] | None:
        """Corners of what is laid in, in order; None where nothing is."""
        for area in self.model.areas:
            if area.kind is AreaKind.STIFFENER:
                return self._points(area)
        return None

    def tip_lines(self) -> list[list[Point]]:
        """Of each flattened tip the lines that end at its end."""
        drawn = (each for zone in self._order() for each in self._strokes(zone))
        return [self._points(line) for line in drawn if self._is_on_tip(line)]

    def draw(self, sketch: Sketch) -> None:
        """Every zone with what lies on it, the furthest first."""
        for zone in self._order():
            for area in self._patches(zone):
                self._patch(sketch, zone, area)
                if area.kind in _WALL:
                    self._silhouette(sketch, area)
            for line in self._strokes(zone):
                ink = self._stroke_ink(zone, line)
                if ink is not None:
                    sketch.line(ink, self._points(line))
                if self._is_lit_top(line):
                    sketch.line(Ink.NEW, _upper_end(self._points(line)))
        if self.view.through:  # what is laid in, outlined through the walls
            for area in self.model.areas:
                if area.kind is AreaKind.STIFFENER:
                    sketch.area(Ink.NEW_AREA, self._points(area))

    @property
    def points(self) -> list[Point]:
        """Corners of everything that is drawn, for the fit."""
        return [
            point
            for zone in self._order()
            for area in self._patches(zone)
            for point in self._points(area)
        ]

    def measure(self, sketch: Sketch, each: SolidDimension, told: float) -> None:
        """A size of the bag, mm, a little beside the edge that it is of."""
        longest = max(map(abs, minus(each.end, each.start)))
        away = scaled(each.aside, 0.06 * max(longest, 1.0))
        sketch.measure(self.spot(add(each.start, away)), self.spot(add(each.end, away)), told)

    def spot(self, point: Spatial) -> Point:
        """A point of space in the picture's own frame."""
        return turned(self._axes, point)[:2]

    def on_piece(self, path: StitchPath) -> Point:
        """Where a point of a flat piece, the start of a path, has come to lie."""
        zone = next(n for n, each in enumerate(self.model.zones) if each.piece == path.piece)
        return self.spot(self.folded.frames[zone].at(path.points[0]))

    def _order(self) -> list[int]:
        depths: dict[int, float] = {}
        for area in self.model.areas:
            zone = area.zone
            is_wall = area.kind in _WALL or self.model.zones[zone].loose
            # A tip lies before what its zone alone would be behind.
            if not is_wall and not (area.kind is AreaKind.FLAT_TIP and self.view.tips):
                continue
            if self.model.zones[zone].piece in self._away or not self._shows_zone(zone):
                continue
            depth = sum(near for _, _, near in self._seen(area)) / len(area.corners)
            depths[zone] = max(depths.get(zone, depth), depth)
        return sorted(depths, key=lambda zone: (depths[zone], zone))

    def _shows_zone(self, zone: int) -> bool:
        if self.model.zones[zone].loose:
            return not self.view.wrong_side
        return not self._shut or self._facing[zone] > 1e-6

    def _patches(self, zone: int) -> list[LaidArea]:
        return [area for area in self.model.areas if area.zone == zone and self._shows(zone, area)]

    def _shows(self, zone: int, area: LaidArea) -> bool:
        if area.kind is AreaKind.FLAT_TIP:
            return self.view.tips
        if not self.folded.shows_area(area):
            return False
        if area.kind is AreaKind.ALLOWANCE:
            return self.view.share <= 0.0
        if area.kind in (AreaKind.STIFFENER, AreaKind.FACING):
            return area.kind in self.view.new_areas and self._facing[zone] < 0.0
        laid_on = area.kind in (AreaKind.LAID_ON, AreaKind.BAND)
        if laid_on and not self.model.zones[zone].loose:
            return not self.view.wrong_side and self._facing[zone] > 0.0
        return True

    def _strokes(self, zone: int) -> list[LaidLine]:
        return [
            line
            for line in self.model.lines
            if line.zone == zone and (self.folded.shows_line(line) or self._is_on_tip(line))
        ]

    def _is_on_tip(self, line: LaidLine) -> bool:
        return self.view.tips and line.seen is Seen.FLATTENED

    def _patch(self, sketch: Sketch, zone: int, area: LaidArea) -> None:
        ink = Ink.GOODS if abs(self._facing[zone]) > _FACING else Ink.SHADE
        outside = self._facing[zone] > 0.0
        if area.kind in self.view.new_areas:
            ink = Ink.NEW_AREA
        elif area.kind in (AreaKind.LAID_ON, AreaKind.BAND, AreaKind.TAPE):
            ink = Ink.PART
        elif outside == self.view.wrong_side:
            ink = Ink.INSIDE
        corners = self._points(area)
        if ink is not Ink.NEW_AREA:
            sketch.area(ink, corners, outline=self.model.zones[zone].loose)
            return
        sketch.area(Ink.NEW_GROUND, corners, outline=False)
        for at, ends in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
            if not self._is_round(area, at):
                sketch.line(Ink.NEW, ends)

    def _silhouette(self, sketch: Sketch, area: LaidArea) -> None:
        """Where a round corner turns out of sight."""
        corners = self._points(area)
        for at, ends in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
            if self._ends_the_sight(area, at):
                sketch.line(Ink.CUT, ends)

    def _is_round(self, area: LaidArea, at: int) -> bool:
        """Whether the wall runs on round one of its sides: no edge is seen there."""
        normals = [self.folded.normals[zone] for zone in self._sharing(area, at)]
        return len(normals) > 1 and dot(normals[0], normals[1]) > _ROUND

    def _ends_the_sight(self, area: LaidArea, at: int) -> bool:
        """Whether what runs on round one of its sides is turned away from the eye there."""
        facing = [self._facing[zone] for zone in self._sharing(area, at)]
        return self._is_round(area, at) and facing[0] * facing[1] <= 0.0

    def _sharing(self, area: LaidArea, at: int) -> list[int]:
        """The zones that have one of its sides."""
        return self._beside.get(_side(self._places(area), at), [])

    @cached_property
    def _beside(self) -> dict[frozenset[Spatial], list[int]]:
        """Each side of the wall -> the zones that have it."""
        found: dict[frozenset[Spatial], list[int]] = {}
        for area in self.model.areas:
            if area.kind in _WALL:
                points = self._places(area)
                for at in range(len(points)):
                    found.setdefault(_side(points, at), []).append(area.zone)
        return found

    def _stroke_ink(self, zone: int, line: LaidLine) -> Ink | None:
        if line.kind in self.view.new_lines:
            return Ink.NEW
        if line.edge is not None and line.edge in self._lit:
            return Ink.NEW
        away, whole = self._facing[zone] <= 0.0, self.view.share in (FOLDED, SEWN)
        # Of a panel that is still to come up, the edges are seen from either side; through what
        # is left out those of the inside.
        unseen = whole and (self.view.share == FOLDED or not self._away)
        creased = line.kind is LineKind.CREASE and FOLDED < self.view.share < SEWN
        if line.kind is LineKind.CUT or (away and (unseen or creased)):
            return None
        if self.view.wrong_side and line.kind in _LAID_ON:
            return None
        if line.edge is not None and line.edge.piece != self.model.zones[zone].piece:
            return None
        if line.kind is LineKind.CREASE and self.view.share >= SEWN:
            return Ink.CUT  # a real corner by now
        return _STROKES.get(line.kind)

    def _places(self, area: LaidArea) -> list[Spatial]:
        """Its corners in space, mm."""
        return list(self.folded.frames[area.zone].all_at(area.corners))

    def _points(self, laid: LaidArea | LaidLine) -> list[Point]:
        return [(x, y) for x, y, _ in self._seen(laid)]

    def _seen(self, laid: LaidArea | LaidLine) -> list[Spatial]:
        """As (right, up, towards the eye), mm."""
        points = laid.corners if isinstance(laid, LaidArea) else laid.points
        return [turned(self._axes, at) for at in self.folded.frames[laid.zone].all_at(points)]


def _side(points: Sequence[Spatial], at: int) -> frozenset[Spatial]:
    """One side of a polygon, to be found again at the one that it lies beside."""
    ends = points[at], points[(at + 1) % len(points)]
    return frozenset((round(x, 3) + 0.0, round(y, 3) + 0.0, round(z, 3) + 0.0) for x, y, z in ends)


def _upper_end(line: list[Point]) -> list[Point]:
    """A tenth of a line, from its upper end."""
    top, foot = sorted((line[0], line[-1]), key=lambda point: -point[1])
    return [top, (top[0] + (foot[0] - top[0]) / 10, top[1] + (foot[1] - top[1]) / 10)]
