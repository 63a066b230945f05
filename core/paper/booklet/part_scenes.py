"""Pictures of parts on their own: pocket tube, strips and tape, layers over one another."""

import math

from core.compute import Result
from core.errors import ShowLength
from core.flat.piece import Point
from core.paper.booklet.flat_scenes import WIDE, Translate
from core.paper.booklet.picture import Picture, Sketch
from core.paper.lettering import shortened
from core.paper.records import Anchor, Layer, Text
from core.parts.handle_joins import best_joins
from core.parts.handles import JOIN_SEAM, Handles, HandleStyle
from core.parts.site import Site
from core.sewing.bench import bench_of
from core.sewing.operation import Kind, Operation

_STRIP_SHOWN = 6.0
"""A strip is shown at most so many times as long as it is wide."""


class PartScene:
    """Draws one operation on a part that is not yet on the panel."""

    def __init__(
        self, result: Result, operation: Operation, *, show: ShowLength, translate: Translate
    ) -> None:
        self.result, self.operation = result, operation
        self.show, self.translate = show, translate

    # --- goods ------------------------------------------------------------------------------

    def goods(self) -> Picture:
        """The first goods that is washed: as wide as it was, and what is left of that."""
        goods = next(each for each in self.result.bag.cloth if each.washed_first)
        wide, left = goods.usable_width, goods.washed_width
        high = wide / 2
        sketch = Sketch((0.0, 0.0, wide, high), WIDE, show=self.show)
        sketch.area(Layer.GOODS, _torn_off(wide, high))
        sketch.area(Layer.NEW_AREA, _torn_off(left, high))
        sketch.label(self.translate(goods.title), (left / 2, high / 2))
        sketch.measure((0.0, 0.0), (left, 0.0))
        return sketch.picture()

    # --- pocket -----------------------------------------------------------------------------

    def tube(self) -> Picture:
        """The pocket folded in half, its fold at the top."""
        pocket = self.result.bag.pocket
        piece = self.result.draft.piece(self.operation.pieces[0])
        if pocket is None:
            raise ValueError("a pocket's operation in a bag without one")
        sewn = self.operation.kind is Kind.JOIN
        high = piece.height / 2 if sewn else pocket.height
        wide = piece.width
        sketch = Sketch((0.0, 0.0, wide, high), WIDE, show=self.show)
        off = 1.2 / sketch.scale
        back = ((off, off), (wide + off, off), (wide + off, high), (off, high))
        sketch.area(Layer.SHADE, back)
        layer = Layer.INSIDE if sewn else Layer.PART
        sketch.area(layer, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
        if sewn:
            sketch.line(Layer.NEW, ((0.0, pocket.seam), (wide, pocket.seam)))
        elif self.operation.kind is Kind.TOPSTITCH:
            run = self.operation.runs[0].points[0][1]
            y = high - (piece.height / 2 - run)
            sketch.line(Layer.NEW, ((0.0, y), (wide, y)))
        else:
            sketch.line(Layer.NEW, ((0.0, 0.0), (wide, 0.0)))
        middle = wide / 2
        low_name = "raw edges" if sewn else "seam"
        sketch.label(self.translate("fold"), (middle, high), shift=(0.0, -4.0))
        sketch.label(self.translate(low_name), (middle, 0.0), shift=(0.0, 4.5))
        sketch.measure((wide, 0.0), (wide, high))
        sketch.measure((0.0, 0.0), (wide, 0.0))
        return sketch.picture()

    # --- strips -----------------------------------------------------------------------------

    def strips(self) -> Picture:
        """Strips one beside the other; or joined end to end, the joins new."""
        handles = self.result.bag.handles
        if handles is None:
            raise ValueError("a handle's operation in a bag without handles")
        if self.operation.kind is Kind.JOIN and handles.style is HandleStyle.LOOP:
            return self._loop(handles)
        piece = self.result.draft.piece("handle strip")
        wide, high = piece.width, piece.height
        shown = min(wide, _STRIP_SHOWN * high)
        sketch = Sketch((0.0, 0.0, shown, high), (WIDE[0], 12.0), show=self.show)
        joining = self.operation.kind is Kind.JOIN
        layer = Layer.PART if joining else Layer.NEW_AREA
        sketch.area(layer, _torn(shown, high) if wide > shown else _box(shown, high))
        for fold in piece.folds:
            sketch.line(Layer.FOLD, ((0.0, fold.y), (shown, fold.y)))
        if joining:
            for share in _shares(handles, self.result.bag.site):
                sketch.line(Layer.NEW, ((shown * share, 0.0), (shown * share, high)))
        else:
            x0, y0 = sketch.at((0.0, 0.0))
            words = self.show(wide)
            sketch.records.append(
                Text(Layer.DIMENSION, (x0 + shown * sketch.scale / 2, y0 - 3.6), words, SMALL)
            )
        sketch.measure((shown, 0.0), (shown, high))
        count = piece.count if not joining else 2
        if count > 1:
            sketch.label(f"× {count}", (shown / 2, high), shift=(0.0, 3.0))
        return sketch.picture()

    def _loop(self, handles: Handles) -> Picture:
        """A closed band with its joins where they are."""
        wide, high, band = 46.0, 22.0, 2.4
        sketch = Sketch((0.0, 0.0, wide, high), (wide, high), show=self.show)
        outer, inner = _stadium(wide, high, 0.0), _stadium(wide, high, band)
        sketch.area(Layer.PART, outer)
        sketch.area(Layer.GOODS, inner)
        count = len(outer)
        site = self.result.bag.site
        for share in _shares(handles, site):
            place = round(share * count) % count
            sketch.line(Layer.NEW, (outer[place], inner[place]))
        sketch.label(self.show(handles.loop(site)), (wide / 2, high / 2))
        return sketch.picture()

    def tape(self) -> Picture:
        """The strip's end being folded: turned in, then folded in half."""
        handles = self.result.bag.handles
        if handles is None:
            raise ValueError("a handle's operation in a bag without handles")
        wide = 2 * handles.width
        turned = (handles.strip_width - wide) / 2
        step = wide * 0.07
        sketch = Sketch((0.0, 0.0, wide, wide * 0.5), (44.0, 22.0), show=self.show, most=2.0)
        pressing = self.operation.kind is Kind.PRESS
        flaps = Layer.NEW if pressing else Layer.CUT
        base = wide * 0.3
        sketch.line(Layer.CUT, ((0.0, base), (wide, base)))
        for x, way in ((0.0, 1.0), (wide, -1.0)):
            curve = ((x, base), (x - way * step / 3, base + step / 2), (x, base + step))
            sketch.line(flaps, (*curve, (x + way * turned, base + step)))
        if pressing:
            sketch.measure((0.0, base), (wide, base))
            return sketch.picture()
        half = wide / 2
        self._folded(sketch, half, step)
        sketch.measure((0.0, -step), (half, -step))
        return sketch.picture()

    def _folded(self, sketch: Sketch, half: float, step: float) -> None:
        """Four layers, with a needle's line near either edge."""
        low = -step
        for layer in range(4):
            y = low + layer * step * 0.8
            sketch.line(Layer.CUT, ((0.0, y), (half, y)))
        high = low + 3 * step * 0.8
        for x in (0.0, half):
            sketch.line(Layer.CUT, ((x, low), (x, high)))
        near = half * 0.12
        for x in (near, half - near):
            sketch.line(Layer.NEW, ((x, low - step), (x, high + step)))

    # --- layers -----------------------------------------------------------------------------

    def layers(self) -> Picture:
        """The layers hovering over one another, as they lie on the table.

        Fused, the ground lies at the bottom, wrong side up. Laid in last, a lining hovers
        over the panel, which lies face down. Basted, the outermost is on top.
        """
        wall = bench_of(self.result.bag, self.result.draft).layers
        fusing = self.operation.kind is Kind.FUSE
        handled = [wall[place].role for place in self.operation.layers]
        if fusing:
            names = handled
        elif 0 in self.operation.layers:
            names = handled[::-1]
        else:
            names = ["panel, face down", *handled]
        upside_down = fusing or 0 not in self.operation.layers
        wide, deep = 30.0, 9.0
        lift = min(7.5, 48.0 / max(len(names) - 1, 1))
        bounds = (0.0, 0.0, wide + deep, deep + lift * (len(names) - 1))
        sketch = Sketch(bounds, (bounds[2], bounds[3]), show=self.show)
        for number, name in enumerate(names):
            y = number * lift
            sheet = ((0.0, y), (wide, y), (wide + deep, y + deep), (deep, y + deep))
            top = number == len(names) - 1
            wrong = upside_down and number == 0
            sketch.area(Layer.INSIDE if wrong else Layer.PART if top else Layer.GOODS, sheet)
            if top and not fusing:
                middle = ((wide + deep) / 2, y + deep / 2)
                inner = [_towards(point, middle, 0.12) for point in sheet]
                sketch.line(Layer.NEW, (*inner, inner[0]))
            elif top:
                sketch.line(Layer.NEW, ((0.0, y), (wide, y)))
            told = self._label(name)
            sketch.label(told, (wide + deep + 1.5, y + deep * 0.75), anchor=Anchor.START)
        return sketch.picture()

    def _label(self, name: str) -> str:
        """A layer's name, as much of it as there is room for."""
        return shortened(self.translate(name), SMALL, 30.0)


def _shares(handles: Handles, site: Site) -> list[float]:
    """Where joins lie, as shares of a loop or of one separate handle."""
    joins = best_joins(handles, site)
    if joins is not None:
        return [place / joins.course.length for place in joins.places]
    strips = [cut - 2 * JOIN_SEAM for cut in handles.strip_lengths(site)]
    first = 0 if handles.style is HandleStyle.LOOP else 1
    return [math.fsum(strips[:number]) / math.fsum(strips) for number in range(first, len(strips))]


def _box(wide: float, high: float) -> tuple[Point, ...]:
    return ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high))


def _torn_off(wide: float, high: float) -> tuple[Point, ...]:
    """Goods whose far end is torn off: it goes on."""
    jag = high * 0.05
    top = [(wide * (6 - i) / 6, high + (jag if i % 2 else -jag)) for i in range(7)]
    return ((0.0, 0.0), (wide, 0.0), *top)


def _torn(wide: float, high: float) -> tuple[Point, ...]:
    """A strip whose right end is torn off: it goes on."""
    jag = high * 0.12
    right = [(wide + (jag if i % 2 else -jag), high * i / 6) for i in range(7)]
    return ((0.0, 0.0), *right, (0.0, high))


def _stadium(wide: float, high: float, inset: float) -> list[Point]:
    """A long ring's outline, evenly stepped by angle and place."""
    radius = high / 2 - inset
    half = wide / 2 - high / 2
    points: list[Point] = []
    for centre, start in ((wide / 2 + half, -90.0), (wide / 2 - half, 90.0)):
        for step in range(19):
            turn = math.radians(start + step * 10.0)
            points.append((centre + radius * math.cos(turn), high / 2 + radius * math.sin(turn)))
    return points


def _towards(point: Point, centre: Point, share: float) -> Point:
    return (
        point[0] + (centre[0] - point[0]) * share,
        point[1] + (centre[1] - point[1]) * share,
    )
