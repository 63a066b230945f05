"""Pictures of flat work: a piece alone, and the wall with what is on it so far."""

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

import shapely

from core.bag.compute import Result
from core.base.sentences import Language, ShowLength
from core.drawing.dimension_lines import SMALL
from core.drawing.loose_pieces import FEW, UNDER_ROW, in_rows, lie_flat, row_height, row_width
from core.drawing.pattern import NOTCH, lies_on
from core.drawing.records import Anchor
from core.drawing.sketch import Picture, Sketch, bounds_of, draw_all, fits
from core.flat.geometry import Bounds, corners_of
from core.flat.ink import Ink
from core.flat.match_marks import match_marks
from core.flat.piece import FACE_WORDS, Edge, Piece, Point
from core.flat.roles import EdgeRef, EdgeRole, MarkRole, PieceId, PieceRole, SeamRole
from core.flat.seam import Seam
from core.site.site import Seat
from core.work.operation import Action, MarkRef, Measure, MeasurePlace, Operation
from core.work.scene import TALL, WIDE, Diagram, FlatScene
from core.work.states import MARKED, OUTLINE_CUT

_CORNERS = (EdgeRole.CORNER, EdgeRole.CORNER_END)
_AT_THE_TOP = (SeamRole.MOUTH, SeamRole.HEM)
_BY_HAND = (*_AT_THE_TOP, SeamRole.RING, SeamRole.BASE)
"""Seams whose match marks are made by hand."""

_MANY, _ROOMY = 6, (60.0, 62.0)
"""With more measures than these a wall is drawn larger, mm."""
_BESIDE = 6.0
"""From the wall to what stands beside it on paper, mm."""


class FlatPicture:
    """Draws one operation flat, after those that are `done` and before those that come `later`."""

    def __init__(
        self,
        result: Result,
        done: Sequence[Operation],
        operation: Operation,
        later: Sequence[Operation] = (),
        *,
        show: ShowLength,
        translate: Language,
    ) -> None:
        self.result, self.operation = result, operation
        sewn = (seam for each in (*done, operation) for seam in each.seams)
        self.sewn = tuple(filter(_joins_walls, map(result.draft.seam, sewn)))
        self.made = {state for each in done for state in each.makes}
        pieces = result.draft.pieces
        self.inserts = {each.id.owner for each in pieces if each.id.role is PieceRole.SHEET}
        self.used = {ref for each in done for ref in each.marks}
        self.turned = {ref: deep for each in done for ref, deep in each.turned if deep > 0.0}
        marking = operation.action is Action.MARK
        own = set(operation.pieces) - {
            each.pieces[0] for each in later if each.action is Action.MARK
        }
        matched = match_marks(result.draft) if operation.seams or marking else ()
        self.matched = tuple(
            each
            for each in matched
            if each.seam in operation.seams
            or (marking and each.seam.role in _BY_HAND and each.piece in own)
        )
        self.show, self.translate = show, translate

    # --- one piece --------------------------------------------------------------------------

    def piece(self) -> Picture:
        """The piece alone: what is cut is new."""
        piece = self.result.draft.piece(self.operation.pieces[0])
        left, bottom, right, top = piece.bounds
        sketch = Sketch(piece.bounds, TALL if piece.height > piece.width else WIDE, show=self.show)
        radius = self._told(MeasurePlace.RADIUS)
        if radius is not None:
            sketch.area(Ink.NEW_AREA, _rounded(piece.bounds, radius.length))
            off = radius.length * (1.0 - math.sqrt(0.5))
            sketch.point_out((right - off, top - off), radius.length)
        else:
            at_once = OUTLINE_CUT in self.operation.makes
            sketch.area(Ink.NEW_AREA, piece.outline if at_once else corners_of(piece.bounds))
        if piece.id.role is PieceRole.WALL:
            for line in _corner_lines(piece):
                sketch.line(Ink.PLACEMENT, line)
        for fold in piece.folds:
            sketch.line(Ink.FOLD, ((left, fold.y), (right, fold.y)))
        if piece.folds and (top - bottom) * sketch.scale >= 10.0:
            for name, seat in self._named(piece):
                sketch.label(name, seat.point(seat.width / 2, seat.top), shift=_down(seat, 3.0))
        if piece.count > 1:
            sketch.label(f"× {piece.count}", ((left + right) / 2, (bottom + top) / 2))
        self._measured(sketch, (piece,))
        return sketch.picture()

    def _measured(
        self, sketch: "Sketch | _Moved", pieces: Iterable[Piece], joined: Bounds | None = None
    ) -> None:
        """What the operation tells of these pieces, where it lies on them, `joined` or not.

        A doubtful figure may run off its piece: it is measured as far as the piece goes.
        """
        bounds = {piece.id: joined or piece.bounds for piece in pieces}
        for measure in self.operation.drawn:
            if measure.where is not None and measure.where.piece in bounds:
                within = bounds[measure.where.piece]
                start, end = (_kept(point, within) for point in measure.where.points)
                sketch.measure(start, end, measure.length)

    def _told(self, place: MeasurePlace) -> Measure | None:
        """The measure of this place that the operation tells, if it does."""
        return next((each for each in self.operation.drawn if each.place is place), None)

    def _named(self, piece: Piece) -> Iterable[tuple[str, Seat]]:
        """The faces on a piece of the wall, each by its name."""
        for face, seat in self.result.bag.site.seats.items():
            if seat.piece == piece.id:
                yield self.translate(FACE_WORDS[face]), seat

    def diagram(self, diagram: Diagram) -> Picture:
        """What the operation brings by itself."""
        sketch = Sketch(diagram.bounds, diagram.paper, show=self.show, most=diagram.most)
        names = {measure.name for measure in self.operation.drawn}
        draw_all(sketch, diagram.drawn, diagram.placed, told=names, translate=self.translate)
        return sketch.picture()

    # --- the wall ---------------------------------------------------------------------------

    def wall(self, scene: FlatScene) -> Picture:
        """The pieces of the wall, with what is on them so far and what is new.

        Those that are joined are drawn as one where they lie beside each other in one frame.
        """
        shown = scene.pieces or [piece.id for piece in self.result.draft.walls]
        walls = [self.result.draft.piece(each) for each in shown]
        joined = {ref.piece for seam in self.sewn for ref in seam.edges}
        if len(walls) > 1 and not (joined.issuperset(shown) and lie_flat(walls)):
            handled = walls if scene.pieces else self._handled(walls)
            if len(handled) == 1:
                return self.wall(replace(scene, pieces=(handled[0].id,)))
            return self._apart(handled)
        window = scene.window or bounds_of(
            point for piece in walls for point in corners_of(self._seen(piece).bounds)
        )
        paper = _ROOMY if self._is_full else scene.paper
        sketch = Sketch(scene.bounds or window, paper, show=self.show)
        for piece in walls:
            self._draw_piece(sketch, piece, window)
        if scene.window is not None and not sketch.records:
            return self.wall(replace(scene, window=None))  # nothing is left of what was to be near
        if len(walls) > 1:
            self._seam_lines(sketch, window, shown)
        if scene.window is None:
            for name, seat in (each for piece in walls for each in self._named(piece)):
                middle = (window[0], seat.point(0.0, seat.top / 2)[1])
                if fits(name, seat.top / 2 * sketch.scale):  # each beside its own half
                    sketch.label(name, middle, shift=(-2.4, 0.0), angle=90.0)
        names = {measure.name for measure in self.operation.drawn}
        draw_all(sketch, scene.over, scene.placed, told=names, translate=self.translate)
        self._measured(sketch, walls, window if len(walls) > 1 else None)
        if scene.beside is not None:
            unit = 1.0 / sketch.scale
            x0, y0 = window[2] + _BESIDE * unit, (window[1] + window[3]) / 2
            y0 -= scene.beside.bounds[3] / 2 * unit
            draw_all(
                sketch,
                scene.beside.drawn,
                scene.beside.placed,
                told=names,
                translate=self.translate,
                at=lambda point: (x0 + point[0] * unit, y0 + point[1] * unit),
            )
        return sketch.picture()

    @property
    def _is_full(self) -> bool:
        """Whether so much is marked that it needs a larger drawing."""
        return self.operation.action is Action.MARK and len(self.operation.drawn) > _MANY

    def _handled(self, walls: list[Piece]) -> list[Piece]:
        """Of loose walls those that something is done with; of what is marked, where it is."""
        operation = self.operation
        handled = [piece for piece in walls if piece.id in operation.pieces]
        if operation.action is Action.MARK:
            measured = {each.where.piece for each in operation.drawn if each.where is not None}
            if self._is_full:
                # There is room for those alone, and for what is marked as one of them is.
                alike = {piece.bounds for piece in handled if piece.id in measured}
                twins = {each.piece for each in self.matched}
                return [
                    piece
                    for piece in handled
                    if piece.id in measured or (piece.id in twins and piece.bounds in alike)
                ] or walls
            marked = {each.piece for each in self.matched if each.seam.role in _AT_THE_TOP}
            marked |= measured
            handled = [piece for piece in handled if piece.id in marked or piece.marks]
        return handled or walls

    def _apart(self, pieces: list[Piece]) -> Picture:
        """Walls that are loose, or round one another: side by side, each with its top up."""
        gap = 0.12 * max(min(piece.width, piece.height) for piece in pieces)
        every = bounds_of(point for piece in pieces for point in piece.outline)
        box = WIDE if len(pieces) > FEW else (TALL[0] + 8.0, TALL[1])
        box = _ROOMY if self._is_full else box
        rows, under = in_rows(pieces, gap, box)
        wide = max(row_width(row, gap) for row in rows)
        high = math.fsum(map(row_height, rows)) + under * (len(rows) - 1)
        sketch = Sketch((0.0, 0.0, wide, high), box, show=self.show)
        upper = high
        for row in rows:
            below = math.inf if row is rows[-1] else UNDER_ROW
            upper -= row_height(row)
            reached = 0.0
            for piece in row:
                left, low, _, top = piece.bounds
                ups = [seat.frame.up[1] for _, seat in self._named(piece)]
                flip = bool(ups) and max(ups) < 0.0
                part = _Moved(sketch, (reached - left, upper), low, top, flip=flip)
                self._draw_piece(part, piece, every)
                self._measured(part, (piece,))
                foot, name = (reached, upper), self.translate(piece.label)
                self._name_below(sketch, name, foot, (piece.width, gap, below))
                reached += piece.width + gap
            upper -= under
        return sketch.picture()

    @staticmethod
    def _name_below(sketch: Sketch, name: str, at: Point, free: tuple[float, float, float]) -> None:
        """A piece's name under it: upright where it is narrow, none where even that has no room.

        `free`: width of the piece and of the gap beside it, mm; and how far down there is room, mm
        on paper.
        """
        wide, gap, below = free
        foot, room = (at[0] + wide / 2, at[1]), (wide + gap) * sketch.scale - 1.0
        if fits(name, room):
            sketch.label(name, foot, shift=(0.0, -3.0))
        elif room > 1.5 * SMALL and fits(name, below - 2.0):
            sketch.label(name, foot, shift=(0.0, -1.6), anchor=Anchor.END, angle=90.0)

    def _draw_piece(self, sketch: "Sketch | _Moved", piece: Piece, window: Bounds) -> None:
        # What a doubtful figure lets run off the wall is not drawn beyond it.
        clip = shapely.box(*window) & self._seen(piece)
        for ink, points in self._areas(piece):
            for kept in _clipped_area(points, clip):
                sketch.area(ink, kept)
        for ink, points in self._lines(piece):
            for kept in _clipped_line(points, clip):
                sketch.line(ink, kept)

    def _seen(self, piece: Piece) -> shapely.Polygon:
        """The box around what is seen of a piece: less the edges that lie inside by then."""
        box = shapely.box(*piece.bounds)
        for edge in piece.edges:
            deep = self.turned.get(EdgeRef(piece.id, edge.id))
            if deep is not None:
                dx, dy = -edge.heading[1] * deep, edge.heading[0] * deep
                (x, y), (u, v) = edge.start, edge.end
                rest = box - shapely.Polygon(((x, y), (u, v), (u + dx, v + dy), (x + dx, y + dy)))
                box = rest if rest.area > 0.0 else box
        return box

    def _areas(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        """Wall, then what lies on it; new pieces last."""
        yield Ink.GOODS, self._wall(piece)
        fresh = self.operation.action is Action.LAY_ON
        for index, placed in enumerate(piece.marks):
            if placed.role not in (MarkRole.OUTLINE, MarkRole.LEG):
                continue
            ref, is_inserted = MarkRef(piece.id, index), placed.owner in self.inserts
            if ref in self.used and not is_inserted:
                yield Ink.PART, placed.points
            elif ref in self.operation.marks and (fresh or is_inserted):
                yield Ink.NEW_AREA, placed.points

    def _wall(self, piece: Piece) -> Sequence[Point]:
        if OUTLINE_CUT in self.made or OUTLINE_CUT in self.operation.makes:
            return piece.outline
        return corners_of(piece.bounds)

    def _lines(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        left, _, right, _ = piece.bounds
        operation = self.operation
        for fold in piece.folds:
            marking = operation.action is Action.MARK
            yield (Ink.NEW if marking else Ink.FOLD), ((left, fold.y), (right, fold.y))
        if operation.action is Action.MARK and MARKED not in self.made:
            yield from self._chalk(piece)
        later = OUTLINE_CUT not in self.made
        if later and operation.action is not Action.MARK:
            yield from ((Ink.PLACEMENT, line) for line in _corner_lines(piece))
        yield from self._notches(piece)
        yield from self._new_lines(piece)

    def _notches(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        """Where the two sides of what is sewn here must meet."""
        for notch in self.matched:
            if notch.piece == piece.id:
                (x, y), (nx, ny) = notch.at, notch.inward
                deep = min(piece.edge(notch.edge).allowance, NOTCH)
                ink = Ink.NEW if self.operation.action is Action.MARK else Ink.NOTCH
                yield ink, ((x, y), (x + deep * nx, y + deep * ny))

    def _chalk(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        for placed in piece.marks:
            if placed.owner in self.inserts or placed.role is MarkRole.STITCH:
                continue
            points = (*placed.points, placed.points[0]) if placed.closed else placed.points
            yield Ink.NEW, points
        yield from ((Ink.NEW, line) for line in _corner_lines(piece))

    def _new_lines(self, piece: Piece) -> Iterable[tuple[Ink, Sequence[Point]]]:
        """Seams, edges and runs of this operation on this piece."""
        outline = self.result.draft.outlines[piece.id]
        for seam in map(self.result.draft.seam, self.operation.seams):
            for ref in seam.edges:
                if ref.piece == piece.id:
                    yield Ink.NEW, outline.drawn(ref.edge)
        for at in (each.index for each in self.operation.marks if each.piece == piece.id):
            if piece.marks[at].role is MarkRole.STITCH:
                yield Ink.NEW, piece.marks[at].points
        for edge in (piece.edge(ref.edge) for ref in self.operation.edges if ref.piece == piece.id):
            if edge.length > 0.0:
                yield Ink.NEW, _first_cut(piece, edge)
        for path in self.operation.paths:
            if path.piece == piece.id:
                yield Ink.NEW, path.points

    def _seam_lines(self, sketch: Sketch, window: Bounds, shown: Collection[PieceId]) -> None:
        """Where the walls are joined already, from raw edge to raw edge."""
        clip = shapely.box(*window)
        for seam in self.sewn:
            ref = seam.one[0]
            if seam.id in self.operation.seams or ref.piece not in shown:
                continue
            piece, edge = self.result.draft.piece(ref.piece), self.result.draft.edge(ref)
            dx, dy = -edge.heading[1] * edge.allowance, edge.heading[0] * edge.allowance
            line = [(x + dx, y + dy) for x, y in _first_cut(piece, edge)]
            for kept in _clipped_line(line, clip):
                sketch.line(Ink.STITCH, kept)


def _corner_lines(piece: Piece) -> list[tuple[Point, Point]]:
    """What is cut out of it; nothing where that is trimmed later."""
    return [
        (edge.start, edge.end)
        for edge in piece.edges
        if edge.id.role in _CORNERS and edge.length > 0.0 and piece.rough is None
    ]


def _down(seat: Seat, far: float) -> Point:
    """So far from the top of a face towards its middle, on paper."""
    return -far * seat.frame.up[0], -far * seat.frame.up[1]


def _joins_walls(seam: Seam) -> bool:
    return bool(seam.other) and all(ref.piece.role is PieceRole.WALL for ref in seam.edges)


class _Moved:
    """A sketch with a piece shifted beside another, and turned top up."""

    def __init__(
        self, sketch: Sketch, shift: Point, low: float, high: float, *, flip: bool
    ) -> None:
        self._sketch, self._shift, self._low, self._high = sketch, shift, low, high
        self._flip = flip

    def _at(self, point: Point) -> Point:
        (x, y), (across, up) = point, self._shift
        return x + across, up + ((self._high - y) if self._flip else (y - self._low))

    def area(self, ink: Ink, points: Sequence[Point]) -> None:
        self._sketch.area(ink, [self._at(point) for point in points])

    def line(self, ink: Ink, points: Sequence[Point]) -> None:
        self._sketch.line(ink, [self._at(point) for point in points])

    def measure(self, start: Point, end: Point, length: float) -> None:
        self._sketch.measure(self._at(start), self._at(end), length)


def _kept(point: Point, bounds: Bounds) -> Point:
    left, bottom, right, top = bounds
    return min(max(point[0], left), right), min(max(point[1], bottom), top)


def _rounded(bounds: Bounds, radius: float) -> list[Point]:
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


def _first_cut(piece: Piece, edge: Edge) -> Sequence[Point]:
    """An edge as it was cut first: as long as the whole side where it is alone on it."""
    for side in piece.cut_sides:
        if [each for each in piece.edges if lies_on(each, (side,))] == [edge]:
            return side
    return edge.line
