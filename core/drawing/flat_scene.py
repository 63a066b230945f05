"""Pictures of flat work: a piece alone, and the panel with what is on it so far."""

import math
from collections.abc import Iterable, Sequence

import shapely

from core.bag.compute import Result
from core.base.sentences import Language, ShowLength
from core.drawing.dimension_lines import SMALL
from core.drawing.records import Anchor
from core.drawing.sketch import Bounds, Picture, Sketch, bounds_of, fits
from core.flat.piece import Piece, Point
from core.site.site import Face, signed
from core.tops.zip_forward.zip import ZipForward
from core.work.operation import Action, MarkRef, Measure, MeasurePlace, Operation
from core.work.scene import Ink, View

TALL = (46.0, 52.0)
WIDE = (52.0, 40.0)
_ZIP_SPARE = 0.12
"""A zip's spare end is drawn at most so long, as a share of the panel's width."""
_MANY, _ROOMY = 6, (60.0, 62.0)
"""With more measures than these a panel is drawn larger, mm."""
_LOOP_OFF, _LOOP_WIDE, _LOOP_HIGH = 6.0, 10.0, 20.0
"""Where a loop is drawn beside the panel, and its size on paper, mm."""


class FlatScene:
    """Draws one operation flat.

    Args:
        result: the bag.
        done: operations before this one.
        operation: this one.
    """

    def __init__(
        self,
        result: Result,
        done: Sequence[Operation],
        operation: Operation,
        *,
        show: ShowLength,
        translate: Language,
    ) -> None:
        self.result, self.operation = result, operation
        self.done = {each.key for each in done}
        self.used = {ref for each in done for ref in each.marks}
        self.show, self.translate = show, translate

    # --- one piece --------------------------------------------------------------------------

    def piece(self) -> Picture:
        """The piece alone: what is cut is new."""
        piece = self.result.draft.piece(self.operation.pieces[0])
        left, bottom, right, top = piece.bounds
        sketch = Sketch(piece.bounds, TALL if piece.height > piece.width else WIDE, show=self.show)
        box = ((left, bottom), (right, bottom), (right, top), (left, top))
        radius = self._told(MeasurePlace.RADIUS)
        if piece.part == "closure":
            self._zip(sketch, piece)
        elif radius is not None:
            sketch.area(Ink.NEW_AREA, _rounded(piece.bounds, radius.length))
            off = radius.length * (1.0 - math.sqrt(0.5))
            sketch.point_out((right - off, top - off), radius.length)
        else:
            sketch.area(Ink.NEW_AREA, box)
        if piece.part == "panel":
            self._corner_lines(sketch, piece)
        for fold in piece.folds:
            sketch.line(Ink.FOLD, ((left, fold.y), (right, fold.y)))
        if piece.part == "panel" and piece.folds:
            self._face_names(sketch, piece)
        if piece.count > 1:
            sketch.label(f"× {piece.count}", ((left + right) / 2, (bottom + top) / 2))
        self._measured(sketch, (piece,))
        return sketch.picture()

    def _measured(self, sketch: "Sketch | _Moved", pieces: Iterable[Piece]) -> None:
        """What the operation tells of these pieces, where it lies on them.

        A doubtful figure may run off its piece: it is measured as far as the piece goes.
        """
        bounds = {piece.name: piece.bounds for piece in pieces}
        for measure in self.operation.drawn:
            if measure.where is not None and measure.where.piece in bounds:
                within = bounds[measure.where.piece]
                start, end = (_kept(point, within) for point in measure.where.points)
                sketch.measure(start, end, measure.length)

    def _zip(self, sketch: Sketch, piece: Piece) -> None:
        """The zip as bought, its spare ends beyond the marks."""
        left, bottom, right, top = piece.bounds
        closure = self.result.bag.top
        bought = closure.length if isinstance(closure, ZipForward) else piece.width
        spare = min(max(bought - piece.width, 0.0) / 2, _ZIP_SPARE * piece.width)
        box = ((left - spare, bottom), (right + spare, bottom), (right + spare, top))
        sketch.area(Ink.PART, (*box, (left - spare, top)))
        self._zip_lengths(sketch, piece, spare)
        middle = (bottom + top) / 2
        sketch.line(Ink.STITCH, ((left - spare, middle), (right + spare, middle)))
        reach = 1.4 / sketch.scale
        for x in (left, (left + right) / 2, right):
            sketch.line(Ink.NEW, ((x, bottom - reach), (x, top + reach)))

    def _zip_lengths(self, sketch: Sketch, piece: Piece, spare: float) -> None:
        """As bought, above it, and what is left beyond the marks; its ends are drawn shortened."""
        left, _, right, top = piece.bounds
        whole, beyond = self._told(MeasurePlace.LENGTH), self._told(MeasurePlace.BESIDE)
        if whole is not None:
            sketch.measure((left - spare, top), (right + spare, top), whole.length)
        if beyond is not None:
            sketch.measure((right, top), (right + spare, top), beyond.length)

    def _told(self, place: MeasurePlace) -> Measure | None:
        """The measure of this place that the operation tells, if it does."""
        return next((each for each in self.operation.drawn if each.place is place), None)

    def _corner_lines(self, sketch: Sketch, piece: Piece) -> None:
        for edge in piece.edges:
            if edge.name.startswith("corner") and edge.length > 0.0:
                sketch.line(Ink.PLACEMENT, (edge.start, edge.end))

    def _face_names(self, sketch: Sketch, piece: Piece) -> None:
        left, bottom, right, top = piece.bounds
        middle = (left + right) / 2
        if (top - bottom) * sketch.scale < 10.0:
            return
        sketch.label(self.translate("front"), (middle, top), shift=(0.0, -3.0))
        sketch.label(self.translate("back"), (middle, bottom), shift=(0.0, 3.0))

    # --- the panel --------------------------------------------------------------------------

    def panel(self) -> Picture:
        """The panel, or its two pieces, with what is on it so far and what is new."""
        shapes = {piece.name: piece for piece in self.result.draft.pieces if piece.part == "panel"}
        if len(shapes) > 1 and "join bottom seam" not in self.done | {self.operation.key}:
            return self._apart(list(shapes.values()))
        every = [point for piece in shapes.values() for point in piece.outline]
        bounds = self._window(bounds_of(every))
        is_full = self.operation.action is Action.MARK and len(self.operation.drawn) > _MANY
        box = _ROOMY if is_full else TALL
        sketch = Sketch(bounds, box, show=self.show)
        for piece in shapes.values():
            self._draw_piece(sketch, piece, bounds)
        if len(shapes) > 1:
            self._seam_line(sketch, shapes["front"], bounds)
        if self.operation.view is not View.FRONT:
            for name, y in (("front", bounds[3] / 2), ("back", bounds[1] / 2)):
                left = (bounds[0], y)
                told = self.translate(name)
                if fits(told, abs(y) * sketch.scale):  # each beside its own half
                    sketch.label(told, left, shift=(-2.4, 0.0), angle=90.0)
        self._free_handles(sketch)
        self._measured(sketch, shapes.values())
        self._loop(sketch, bounds)
        return sketch.picture()

    def _free_handles(self, sketch: Sketch) -> None:
        """What of the handles stays loose, as an arch beyond each top edge whose length is told."""
        handles, site = self.result.bag.handles, self.result.bag.site
        if handles is None:
            return
        for place, face in (
            (MeasurePlace.FREE_FRONT, Face.FRONT),
            (MeasurePlace.FREE_BACK, Face.BACK),
        ):
            free = self._told(place)
            legs = handles.legs_on_panel(site)
            if free is None or len(legs) < 2:
                continue
            top = site.top(face)
            stop = max(top - handles.stop, 0.0)
            band = _arch(legs[0], legs[1], stop, top + 0.5 * handles.width)
            sketch.area(Ink.PART, [(x, signed(face, y)) for x, y in band])
            sketch.point_out((sum(legs[1]) / 2, signed(face, top + handles.width)), free.length)

    def _loop(self, sketch: Sketch, bounds: Bounds) -> None:
        """The loop by itself, beside the panel: its halfway points, and how they are found."""
        half, apart = self._told(MeasurePlace.HALF_LOOP), self._told(MeasurePlace.FROM_JOIN)
        if half is None:
            return
        unit = 1.0 / sketch.scale
        left, middle = bounds[2] + _LOOP_OFF * unit, (bounds[1] + bounds[3]) / 2
        wide, high, off = _LOOP_WIDE * unit, _LOOP_HIGH * unit, 1.6 * unit
        place = (left, middle - high / 2)
        outer, inner, around = (
            upright_stadium(wide, high, inset, at=place) for inset in (0.0, 2.0 * unit, -off)
        )
        sketch.area(Ink.PART, outer)
        sketch.area(Ink.GOODS, inner)
        # By quarters from its right side: the upper end, the left side, the lower end.
        upper, lower = len(outer) // 4, 3 * len(outer) // 4
        for end in (upper, lower):
            sketch.line(Ink.NEW, (outer[end], inner[end]))
        sketch.line(Ink.DIMENSION, [*around[lower:], *around[: upper + 1]])
        sketch.point_out(around[0], half.length)
        if apart is not None:
            join = lower + len(outer) // 12
            sketch.line(Ink.CUT, (outer[join], inner[join]))
            near = around[lower : join + 1]
            sketch.line(Ink.DIMENSION, [(x + off, y - off) for x, y in near])
            x, y = near[len(near) // 2]
            sketch.point_out((x + off, y - off), apart.length)

    def _apart(self, pieces: list[Piece]) -> Picture:
        """Front and back still loose: side by side, the back with its top up too."""
        gap = 0.12 * pieces[0].width
        every = bounds_of(point for piece in pieces for point in piece.outline)
        wide = pieces[0].width * 2 + gap
        high = max(piece.height for piece in pieces)
        sketch = Sketch((0.0, 0.0, wide, high), (TALL[0] + 8.0, TALL[1]), show=self.show)
        for number, piece in enumerate(pieces):
            shift = number * (piece.width + gap)
            low = piece.bounds[1]
            flip = piece.name == "back"
            part = _Moved(sketch, shift, low, piece.bounds[3], flip=flip)
            self._draw_piece(part, piece, every)
            self._measured(part, (piece,))
            self._name_below(sketch, self.translate(piece.name), shift, piece.width, gap)
        return sketch.picture()

    @staticmethod
    def _name_below(sketch: Sketch, name: str, left: float, wide: float, gap: float) -> None:
        """A piece's name under it: upright where it is narrow, none where even that has no room."""
        foot, room = (left + wide / 2, 0.0), (wide + gap) * sketch.scale - 1.0
        if fits(name, room):
            sketch.label(name, foot, shift=(0.0, -3.0))
        elif room > 1.5 * SMALL:
            sketch.label(name, foot, shift=(0.0, -1.6), anchor=Anchor.END, angle=90.0)

    def _window(self, whole: Bounds) -> Bounds:
        """The front half only, where one half tells it all."""
        handles = self.result.bag.handles
        if self.operation.view is not View.FRONT or handles is None:
            return whole
        (left, _), (_, right) = handles.legs(self.result.bag.site)
        beside = max(handles.gap, handles.width)
        high = self.result.bag.site.front_top - handles.stop + handles.width
        return (left - beside / 2, high - 4 * handles.width, right + beside / 2, high)

    def _draw_piece(self, sketch: "Sketch | _Moved", piece: Piece, window: Bounds) -> None:
        # What a doubtful figure lets run off the panel is not drawn beyond it.
        clip = shapely.box(*window) & shapely.box(*piece.bounds)
        for ink, points in self._areas(piece):
            for kept in _clipped_area(points, clip):
                sketch.area(ink, kept)
        for ink, points in self._lines(piece):
            for kept in _clipped_line(points, clip):
                sketch.line(ink, kept)

    def _areas(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        """Wall, then what lies on it; new pieces last."""
        yield Ink.GOODS, self._wall(piece)
        fresh = self.operation.action is Action.LAY_ON
        for index, mark in enumerate(piece.marks):
            if mark.name == "base board":
                if MarkRef(piece.name, index) in self.operation.marks:
                    yield Ink.NEW_AREA, mark.points
                continue
            if mark.name not in ("handle leg",) and not mark.name.endswith("pocket"):
                continue
            key = (piece.name, index)
            if any((ref.piece, ref.index) == key for ref in self.used):
                yield Ink.PART, mark.points
            elif fresh and any((r.piece, r.index) == key for r in self.operation.marks):
                yield Ink.NEW_AREA, mark.points

    def _wall(self, piece: Piece) -> Sequence[Point]:
        if "cut corner cuts" in self.done | {self.operation.key}:
            return piece.outline
        left, bottom, right, top = piece.bounds
        return ((left, bottom), (right, bottom), (right, top), (left, top))

    def _lines(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        left, _, right, _ = piece.bounds
        operation = self.operation
        for fold in piece.folds:
            marking = operation.action is Action.MARK
            yield (Ink.NEW if marking else Ink.FOLD), ((left, fold.y), (right, fold.y))
        if operation.action is Action.MARK:
            yield from self._chalk(piece)
        if "cut corner cuts" not in self.done and operation.action is not Action.MARK:
            for edge in piece.edges:
                if edge.name.startswith("corner") and edge.length > 0.0:
                    yield Ink.PLACEMENT, (edge.start, edge.end)
        yield from self._new_lines(piece)

    def _chalk(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        for mark in piece.marks:
            if mark.name == "base board":
                continue
            points = (*mark.points, mark.points[0]) if mark.closed else mark.points
            yield Ink.NEW, points
        for edge in piece.edges:
            if edge.name.startswith("corner") and edge.length > 0.0:
                yield Ink.NEW, (edge.start, edge.end)

    def _new_lines(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        """Seams, edges and runs of this operation on this piece."""
        outline = self.result.draft.outlines[piece.name]
        seams = {seam.name: seam for seam in self.result.draft.seams}
        for name in self.operation.seams:
            for ref in seams[name].edges:
                if ref.piece == piece.name:
                    yield Ink.NEW, outline.line(ref.edge)
        for ref in self.operation.edges:
            if ref.piece == piece.name and piece.edge(ref.edge).length > 0.0:
                edge = piece.edge(ref.edge)
                yield Ink.NEW, (edge.start, edge.end)
        for path in self.operation.paths:
            if path.piece == piece.name:
                yield Ink.NEW, path.points

    def _seam_line(self, sketch: Sketch, piece: Piece, window: Bounds) -> None:
        if "join bottom seam" in self.done:
            edge = piece.edge("bottom front")
            clip = shapely.box(*window)
            line = ((edge.start[0], 0.0), (edge.end[0], 0.0))
            for kept in _clipped_line(line, clip):
                sketch.line(Ink.STITCH, kept)

    def with_zip(self) -> Picture:
        """The panel with the zip on its front edge: for what is sewn along it."""
        panel = self.result.draft.piece(self.result.bag.body.ref(Face.FRONT, "").piece)
        strip = self.result.draft.piece("zip")
        left, _, right, top = panel.bounds
        seam = self.result.bag.body.top_seam
        half = max(0.0, panel.bounds[1])
        bounds = (left, half, right, top + strip.height)
        sketch = Sketch(bounds, (TALL[0], 48.0), show=self.show)
        self._draw_piece(sketch, panel, (left, half, right, top))
        joins = self.operation.action is Action.JOIN
        low = top - 2 * seam if joins else top - seam
        high = low + strip.height
        fresh = Ink.NEW_AREA if joins else Ink.PART
        spare = 0.04 * panel.width
        corners = ((left - spare, low), (right + spare, low), (right + spare, high))
        if joins:
            low, high = top - strip.height, top
            corners = ((left - spare, low), (right + spare, low), (right + spare, high))
        sketch.area(fresh, (*corners, (left - spare, high)))
        teeth = (low + high) / 2
        sketch.line(Ink.STITCH, ((left - spare, teeth), (right + spare, teeth)))
        y = top - seam if joins else self.operation.paths[0].points[0][1]
        sketch.line(Ink.NEW, ((left, y), (right, y)))
        sketch.label(self.translate("front"), ((left + right) / 2, half), shift=(0.0, 4.0))
        self._measured(sketch, (panel,))
        return sketch.picture()


class _Moved:
    """A sketch with a piece shifted beside another, and turned top up."""

    def __init__(
        self, sketch: Sketch, shift: float, low: float, high: float, *, flip: bool
    ) -> None:
        self._sketch, self._shift, self._low, self._high = sketch, shift, low, high
        self._flip = flip

    def _at(self, point: Point) -> Point:
        x, y = point
        return x + self._shift, (self._high - y) if self._flip else (y - self._low)

    def area(self, ink: Ink, points: Sequence[Point]) -> None:
        self._sketch.area(ink, [self._at(point) for point in points])

    def line(self, ink: Ink, points: Sequence[Point]) -> None:
        self._sketch.line(ink, [self._at(point) for point in points])

    def measure(self, start: Point, end: Point, length: float) -> None:
        self._sketch.measure(self._at(start), self._at(end), length)


def _kept(point: Point, bounds: Bounds) -> Point:
    """The nearest point of a rectangle."""
    left, bottom, right, top = bounds
    return min(max(point[0], left), right), min(max(point[1], bottom), top)


def stadium(wide: float, high: float, inset: float, *, at: Point = (0.0, 0.0)) -> list[Point]:
    """A long ring's outline from the middle of its foot round its right end, evenly by angle."""
    radius = high / 2 - inset
    half = wide / 2 - high / 2
    points: list[Point] = []
    for centre, start in ((wide / 2 + half, -90.0), (wide / 2 - half, 90.0)):
        for step in range(19):
            turn = math.radians(start + step * 10.0)
            x, y = centre + radius * math.cos(turn), high / 2 + radius * math.sin(turn)
            points.append((at[0] + x, at[1] + y))
    return points


def upright_stadium(
    wide: float, high: float, inset: float, *, at: Point = (0.0, 0.0)
) -> list[Point]:
    """The same ring standing up, from the middle of its right side round its upper end."""
    return [(at[0] + wide - y, at[1] + x) for x, y in stadium(high, wide, inset)]


def _arch(
    one: tuple[float, float], other: tuple[float, float], stop: float, spring: float
) -> list[Point]:
    """A handle standing up from its stops, a leg at either end and a half ring over them."""
    middle = (one[0] + other[1]) / 2
    points: list[Point] = [(other[1], stop)]
    for radius, ways in ((other[1] - middle, range(19)), (other[0] - middle, range(18, -1, -1))):
        for step in ways:
            turn = math.radians(step * 10.0)
            points.append((middle + radius * math.cos(turn), spring + radius * math.sin(turn)))
        if radius == other[1] - middle:
            points += [(one[0], stop), (one[1], stop)]
    return [*points, (other[0], stop)]


def _rounded(bounds: Bounds, radius: float) -> list[Point]:
    """A rectangle with rounded corners."""
    left, bottom, right, top = bounds
    centres = (
        (right - radius, bottom + radius), (right - radius, top - radius),
        (left + radius, top - radius), (left + radius, bottom + radius),
    )  # fmt: skip
    points: list[Point] = []
    for number, (x, y) in enumerate(centres):
        for step in range(7):
            turn = math.radians(-90.0 + 90.0 * number + 15.0 * step)
            points.append((x + radius * math.cos(turn), y + radius * math.sin(turn)))
    return points


def _clipped_area(points: Sequence[Point], clip: shapely.Polygon) -> list[list[Point]]:
    shape = shapely.Polygon(points).buffer(0).intersection(clip)
    parts = shapely.get_parts(shape)
    return [
        [(float(x), float(y)) for x, y in shapely.get_coordinates(part.exterior)[:-1]]
        for part in parts
        if part.geom_type == "Polygon" and part.area > 0.0
    ]


def _clipped_line(points: Sequence[Point], clip: shapely.Polygon) -> list[list[Point]]:
    line = shapely.LineString(points).intersection(clip.buffer(1e-6))
    return [
        [(float(x), float(y)) for x, y in shapely.get_coordinates(part)]
        for part in shapely.get_parts(line)
        if part.geom_type == "LineString" and part.length > 0.0
    ]
