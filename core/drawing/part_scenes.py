"""Pictures of parts on their own: pocket tube, strips and tape, layers over one another."""

import math

from core.bag.compute import Result
from core.base.sentences import Language, ShowLength
from core.drawing.dimension_lines import SMALL
from core.drawing.flat_scene import WIDE, stadium
from core.drawing.lettering import shortened
from core.drawing.records import Anchor
from core.drawing.sketch import Picture, Sketch
from core.flat.piece import Point
from core.parts.handles.handles import JOIN_SEAM, Handles, HandleStyle
from core.parts.handles.joins import best_joins
from core.sewing.bench import bench_of
from core.site.site import Site
from core.work.operation import Action, MeasurePlace, Operation
from core.work.scene import Ink

_NEAR = 0.12
"""A tape's stitching is drawn so far from its edge, as a share of its width."""
_STRIP_SHOWN = 6.0
"""A strip is shown at most so many times as long as it is wide."""


class PartScene:
    """Draws one operation on a part that is not yet on the panel."""

    def __init__(
        self, result: Result, operation: Operation, *, show: ShowLength, translate: Language
    ) -> None:
        self.result, self.operation = result, operation
        self.show, self.translate = show, translate

    # --- goods ------------------------------------------------------------------------------

    def goods(self) -> Picture:
        """All that is washed, one over the other: as wide as it was, and what is left of that."""
        washed = {
            (each.title, each.usable_width, each.washed_width): each
            for each in self.result.bag.cloth
            if each.washed_first
        }
        widest = max(wide for _, wide, _ in washed)
        high, apart = widest / 4, widest / 3
        bounds = (0.0, -apart * (len(washed) - 1), widest, high)
        sketch = Sketch(bounds, (WIDE[0], 60.0), show=self.show)
        for place, (title, wide, left) in enumerate(washed):
            low = -apart * place
            sketch.area(Ink.GOODS, _torn_off(wide, high, low))
            sketch.area(Ink.NEW_AREA, _torn_off(left, high, low))
            sketch.label(self.translate(title), (left / 2, low + high / 2))
            if left < wide:
                sketch.point_out((wide, low + high / 6), wide)
                sketch.point_out((left, low + high / 2), left)
        return sketch.picture()

    # --- pocket -----------------------------------------------------------------------------

    def tube(self) -> Picture:
        """The pocket folded in half, its fold at the top."""
        pocket = self.result.bag.pocket
        piece = self.result.draft.piece(self.operation.pieces[0])
        if pocket is None:
            raise ValueError("a pocket's operation in a bag without one")
        sewn = self.operation.action is Action.JOIN
        high = piece.height / 2 if sewn else pocket.height
        wide = piece.width
        sketch = Sketch((0.0, 0.0, wide, high), WIDE, show=self.show)
        off = 1.2 / sketch.scale
        back = ((off, off), (wide + off, off), (wide + off, high), (off, high))
        sketch.area(Ink.SHADE, back)
        ink = Ink.INSIDE if sewn else Ink.PART
        sewn_at = ((wide, 0.0), (wide, 0.0))
        sketch.area(ink, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
        if sewn:
            sketch.line(Ink.NEW, ((0.0, pocket.seam), (wide, pocket.seam)))
            sewn_at = ((wide, 0.0), (wide, pocket.seam))
        elif self.operation.action is Action.TOPSTITCH:
            run = self.operation.paths[0].points[0][1]
            y = high - (piece.height / 2 - run)
            sketch.line(Ink.NEW, ((0.0, y), (wide, y)))
            sewn_at = ((wide, y), (wide, high))
        else:
            sketch.line(Ink.NEW, ((0.0, 0.0), (wide, 0.0)))
        middle = wide / 2
        low_name = "raw edges" if sewn else "seam"
        sketch.label(self.translate("fold"), (middle, high), shift=(0.0, 2.6))
        sketch.label(self.translate(low_name), (middle, 0.0), shift=(0.0, -2.6))
        for measure in self.operation.drawn:
            across = (
                ((wide, 0.0), (wide, high)) if measure.place is MeasurePlace.HEIGHT else sewn_at
            )
            sketch.measure(*across, measure.length)
        return sketch.picture()

    # --- strips -----------------------------------------------------------------------------

    def strips(self) -> Picture:
        """Strips one beside the other; or joined end to end, the joins new."""
        handles = self.result.bag.handles
        if handles is None:
            raise ValueError("a handle's operation in a bag without handles")
        if self.operation.action is Action.JOIN and handles.style is HandleStyle.LOOP:
            return self._loop(handles)
        piece = self.result.draft.piece("handle strip")
        wide, high = piece.width, piece.height
        shown = min(wide, _STRIP_SHOWN * high)
        sketch = Sketch((0.0, 0.0, shown, high), (WIDE[0], 12.0), show=self.show)
        joining = self.operation.action is Action.JOIN
        layer = Ink.PART if joining else Ink.NEW_AREA
        sketch.area(layer, _torn(shown, high) if wide > shown else _box(shown, high))
        for fold in piece.folds:
            sketch.line(Ink.FOLD, ((0.0, fold.y), (shown, fold.y)))
        if joining:
            for share in _shares(handles, self.result.bag.site):
                sketch.line(Ink.NEW, ((shown * share, 0.0), (shown * share, high)))
        self._strip_sizes(sketch, shown, high)
        count = piece.count if not joining else 2
        if count > 1:
            sketch.label(f"× {count}", (shown, high / 2), shift=(5.0, 0.0))
        return sketch.picture()

    def _strip_sizes(self, sketch: Sketch, shown: float, high: float) -> None:
        """What is told of strips; they are drawn shorter than they are."""
        below = 0.0
        for measure in self.operation.drawn:
            if measure.place is MeasurePlace.WIDTH:
                sketch.measure((0.0, 0.0), (0.0, high), measure.length)
            elif measure.place is MeasurePlace.FROM_EDGE:
                handles = self.result.bag.handles
                share = _shares(handles, self.result.bag.site)[0] if handles else 0.0
                sketch.point_out((shown * share, high / 2), measure.length)
            elif measure.place is MeasurePlace.SHORT_LENGTH:
                # One more strip below the others, as far from them as it is wide.
                below = -1.6 * high
                short = shown * min(max(measure.length / self._strip_length(), 0.25), 0.9)
                corners = ((0.0, below), (short, below), (short, below + high), (0.0, below + high))
                sketch.area(Ink.NEW_AREA, corners)
                sketch.measure((0.0, below), (short, below), measure.length)
            elif measure.place is MeasurePlace.LENGTH:
                sketch.measure((0.0, high), (shown, high), measure.length)

    def _strip_length(self) -> float:
        return self.result.draft.piece("handle strip").width

    def _loop(self, handles: Handles) -> Picture:
        """A closed band with its joins where they are."""
        wide, high, band = 46.0, 22.0, 2.4
        sketch = Sketch((0.0, 0.0, wide, high), (wide, high), show=self.show)
        outer, inner = stadium(wide, high, 0.0), stadium(wide, high, band)
        sketch.area(Ink.PART, outer)
        sketch.area(Ink.GOODS, inner)
        count = len(outer)
        site = self.result.bag.site
        for share in _shares(handles, site):
            place = round(share * count) % count
            sketch.line(Ink.NEW, (outer[place], inner[place]))
        for measure in self.operation.drawn:
            if measure.place is MeasurePlace.LOOP:
                sketch.point_out(outer[len(outer) // 4], measure.length)
            else:
                share = _shares(handles, site)[0]
                join = round(share * count) % count
                middle = _towards(outer[join], inner[join], 0.5)
                sketch.point_out(middle, measure.length)
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
        pressing = self.operation.action is Action.PRESS
        flaps = Ink.NEW if pressing else Ink.CUT
        base = wide * 0.3
        sketch.line(Ink.CUT, ((0.0, base), (wide, base)))
        for x, way in ((0.0, 1.0), (wide, -1.0)):
            curve = ((x, base), (x - way * step / 3, base + step / 2), (x, base + step))
            sketch.line(flaps, (*curve, (x + way * turned, base + step)))
        if pressing:
            self._tape_sizes(sketch, wide, turned, base, step)
            return sketch.picture()
        half = wide / 2
        self._folded(sketch, half, step)
        for measure in self.operation.drawn:
            if measure.place is MeasurePlace.WIDTH:
                sketch.measure((0.0, -2 * step), (half, -2 * step), measure.length)
            else:
                near = (half * (1.0 - _NEAR), -step), (half, -step)
                sketch.measure(*near, measure.length)
        return sketch.picture()

    def _tape_sizes(
        self, sketch: Sketch, wide: float, turned: float, base: float, step: float
    ) -> None:
        """The tape's width below it; what is turned in, and what that leaves, above."""
        high = base + step
        for measure in self.operation.drawn:
            if measure.place is MeasurePlace.WIDTH:
                sketch.measure((0.0, base), (wide, base), measure.length)
            elif measure.place is MeasurePlace.TURNED_IN:
                sketch.measure((0.0, high), (turned, high), measure.length)
            elif measure.place is MeasurePlace.APART:
                sketch.measure((turned, high), (wide - turned, high), measure.length)
            else:  # the end of a separate handle, which lies behind what is drawn
                sketch.point_out((wide, base + step / 2), measure.length)

    def _folded(self, sketch: Sketch, half: float, step: float) -> None:
        """Four layers, with a needle's line near either edge."""
        low = -step
        for layer in range(4):
            y = low + layer * step * 0.8
            sketch.line(Ink.CUT, ((0.0, y), (half, y)))
        high = low + 3 * step * 0.8
        for x in (0.0, half):
            sketch.line(Ink.CUT, ((x, low), (x, high)))
        near = half * _NEAR
        for x in (near, half - near):
            sketch.line(Ink.NEW, ((x, low - step), (x, high + step)))

    # --- layers -----------------------------------------------------------------------------

    def layers(self) -> Picture:
        """The layers hovering over one another, as they lie on the table.

        Fused, the ground lies at the bottom, wrong side up. Laid in last, a lining hovers
        over the panel, which lies face down. Basted, the outermost is on top.
        """
        wall = bench_of(self.result.bag, self.result.draft).layers
        fusing = self.operation.action is Action.FUSE
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
            sketch.area(Ink.INSIDE if wrong else Ink.PART if top else Ink.GOODS, sheet)
            if top and not fusing:
                middle = ((wide + deep) / 2, y + deep / 2)
                inner = [_towards(point, middle, 0.12) for point in sheet]
                sketch.line(Ink.NEW, (*inner, inner[0]))
            elif top:
                sketch.line(Ink.NEW, ((0.0, y), (wide, y)))
            told = self._label(name)
            sketch.label(told, (wide + deep + 1.5, y + deep * 0.75), anchor=Anchor.START)
            if top:
                for measure in self.operation.drawn:
                    sketch.point_out(
                        _towards((0.0, y), ((wide + deep) / 2, y + deep / 2), 0.12), measure.length
                    )
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


def _torn_off(wide: float, high: float, low: float) -> tuple[Point, ...]:
    """Goods whose far end is torn off: it goes on."""
    jag = high * 0.05
    top = [(wide * (6 - i) / 6, low + high + (jag if i % 2 else -jag)) for i in range(7)]
    return ((0.0, low), (wide, low), *top)


def _torn(wide: float, high: float) -> tuple[Point, ...]:
    """A strip whose right end is torn off: it goes on."""
    jag = high * 0.12
    right = [(wide + (jag if i % 2 else -jag), high * i / 6) for i in range(7)]
    return ((0.0, 0.0), *right, (0.0, high))


def _towards(point: Point, centre: Point, share: float) -> Point:
    return (
        point[0] + (centre[0] - point[0]) * share,
        point[1] + (centre[1] - point[1]) * share,
    )
