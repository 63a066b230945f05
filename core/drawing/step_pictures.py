"""The picture of each step, flat or folded, new work lit, with the lengths that it tells."""

import math
from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from core.bag.bag import Bag, draft_bag
from core.bag.compute import Result
from core.base.sentences import ENGLISH, Language, ShowLength, show_millimetres
from core.drawing.flat_scene import FlatPicture
from core.drawing.joined_pieces import away
from core.drawing.sketch import Picture, Sketch, bounds_of
from core.drawing.solid_scene import SolidScene
from core.flat.piece import Point, point_between
from core.solid.fold import FoldModel
from core.work.operation import Measure, MeasurePlace, Operation
from core.work.scene import Diagram, FlatScene, FoldedView

if TYPE_CHECKING:  # the help draws folded bags and needs no order of sewing
    from core.sewing.steps import Step

SOLID = (52.0, 46.0)
_ALONG = 0.2
"""What differs from the top edge by less than such a share of it is measured along it: the layers
may take something up."""
_OFF = 0.05
"""Share of its length that a seam may keep off a straight line that tells its length."""


class SolidMeasures:
    """Adds an operation's measures to the sketch that its scene has been drawn with."""

    def __init__(self, sketch: Sketch, scene: SolidScene, operation: Operation) -> None:
        self._sketch, self._scene, self._operation = sketch, scene, operation

    def draw(self) -> None:
        """All of them."""
        for measure in self._operation.drawn:
            if measure.place is MeasurePlace.FINISHED:
                self._finished(measure)
            elif measure.place in _OF_INSERT:
                self._of_insert(measure)
            else:
                self._on_new_line(measure)

    def _on_new_line(self, measure: Measure) -> None:
        """Along what is sewn, or pointed out in its middle."""
        lines = self._scene.new_lines()
        ends = [point for line in lines for point in (line[0], line[-1])]
        tips = [(line[0], line[-1]) for line in self._scene.tip_lines()]
        if not ends:
            self._sketch.point_out(self._top(), measure.length)
        elif measure.place is MeasurePlace.SEAM or (measure.place is MeasurePlace.TIP and tips):
            pairs = combinations(ends, 2)
            apart = max(pairs, key=lambda pair: math.dist(*pair))
            if measure.place is MeasurePlace.SEAM and not _is_straight(lines, apart):
                # At the far side of a seam that goes round: the near one tells how deep it is.
                middles = [point_between(line[0], line[-1], 0.5) for line in lines]
                near = self._nearest(lines)
                far = max(middles, key=lambda at: math.dist(at, near))
                self._sketch.point_out(far, measure.length)
                return
            if measure.place is MeasurePlace.TIP:
                middle = point_between(*apart, 0.5)
                apart = min(tips, key=lambda line: math.dist(line[0], middle))
            self._sketch.measure(*apart, measure.length)
        else:
            self._sketch.point_out(self._nearest(lines), measure.length)

    def _nearest(self, lines: Sequence[Sequence[Point]]) -> Point:
        """On the longest line; of several as long on the nearest, which is painted last."""
        longest = max(reversed(lines), key=lambda line: round(math.dist(line[0], line[-1]), 3))
        return point_between(longest[0], longest[-1], 0.65)

    def _finished(self, measure: Measure) -> None:
        """Beside the edge of the bag that the figure is of; the opening along the top."""
        scene = self._scene
        for size in scene.model.folding.sizes:
            if size.figure == measure.name:
                scene.measure(self._sketch, scene.folded.measured(size), measure.length)
                return
        if measure.where is not None:
            self._sketch.point_out(scene.on_piece(measure.where), measure.length)
            return
        edge = math.dist(*scene.folded.places(scene.model.folding.brim))
        if abs(measure.length - edge) < _ALONG * edge:
            self._sketch.measure(*self._top_edge(), measure.length)
        else:
            self._sketch.point_out(self._top(), measure.length)

    def _of_insert(self, measure: Measure) -> None:
        corners = self._scene.insert()
        if corners is None:
            self._sketch.point_out(self._top(), measure.length)
            return
        one, two, three, four = corners[:4]
        side = {
            MeasurePlace.WIDTH: (one, two),
            MeasurePlace.DEPTH: (two, three),
            MeasurePlace.BESIDE: (one, four),
            MeasurePlace.BEFORE_AND_BEHIND: (three, four),
        }[measure.place]
        if measure.place in (MeasurePlace.WIDTH, MeasurePlace.DEPTH):
            self._sketch.measure(*side, measure.length)
        else:
            self._sketch.point_out(point_between(*side, 0.5), measure.length)

    def _top(self) -> Point:
        """The middle of the bag's upper edge in the picture."""
        return point_between(*self._top_edge(), 0.5)

    def _top_edge(self) -> tuple[Point, Point]:
        """The front's upper edge, at the top fold of a closed bag."""
        scene = self._scene
        left, right = scene.folded.places(scene.model.folding.brim)
        return scene.spot(left), scene.spot(right)


_OF_INSERT = (
    MeasurePlace.WIDTH,
    MeasurePlace.DEPTH,
    MeasurePlace.BESIDE,
    MeasurePlace.BEFORE_AND_BEHIND,
)


def bag_picture(bag: Bag, box: tuple[float, float], *, show: ShowLength) -> Picture:
    """A sewn bag as it stands, without its sizes; `box` is its size on paper, mm."""
    draft = draft_bag(bag)
    scene = SolidScene(FoldModel(bag, draft), FoldedView())
    sketch = Sketch(bounds_of(scene.points), box, show=show)
    scene.draw(sketch)
    return sketch.picture(bag.name)


def _is_straight(lines: Sequence[Sequence[Point]], ends: tuple[Point, Point]) -> bool:
    """Whether lines run along the straight one between these ends, as a length of it is drawn."""
    (x0, y0), (x1, y1) = ends
    length = max(math.dist(*ends), 1e-9)
    off = (
        abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / length for line in lines for x, y in line
    )
    return max(off, default=0.0) <= _OFF * length


class StepPictures:
    """Draws the steps of one bag: all of them are given, in order."""

    def __init__(
        self,
        result: Result,
        steps: "Sequence[Step]",
        *,
        show: ShowLength = show_millimetres,
        translate: Language = ENGLISH,
    ) -> None:
        self._result, self._show, self._translate = result, show, translate
        self._operations = [step.operation for step in steps]
        self._model = FoldModel(result.bag, result.draft)
        zones = self._model.zones
        self._walls = [z.piece for z in zones if z.piece is not None and not z.loose]

    def picture(self, number: int) -> Picture:
        """The picture of the step of that number, from 1."""
        operation = self._operations[number - 1]
        told = operation.title.text(self._show, self._translate)
        scene = operation.scene
        if isinstance(scene, FoldedView):
            found = self._solid(operation, scene, number)
        else:
            found = self._flat(operation, number)
        return Picture(found.records, found.width, found.height, told)

    def cover(self, box: tuple[float, float]) -> Picture:
        """The finished bag with its sizes."""
        scene = SolidScene(self._model, FoldedView())
        sketch = Sketch(bounds_of(scene.points), box, show=self._show)
        scene.draw(sketch)
        if self._model.folding.flat_only is None:
            for size in self._model.folding.sizes:
                if size.overall:
                    # As the sewn bag measures it, which may be less than what is drawn.
                    value, each = self._result.finished[size.figure], scene.folded.measured(size)
                    scene.measure(sketch, each, each.length if value is None else value)
        return sketch.picture(self._result.bag.name)

    def _flat(self, operation: Operation, number: int) -> Picture:
        done = self._operations[: number - 1]
        flat = FlatPicture(
            self._result,
            done,
            operation,
            self._operations[number:],
            show=self._show,
            translate=self._translate,
        )
        if isinstance(operation.scene, Diagram):
            return flat.diagram(operation.scene)
        return (
            flat.wall(operation.scene) if isinstance(operation.scene, FlatScene) else flat.piece()
        )

    def _solid(self, operation: Operation, view: FoldedView, number: int) -> Picture:
        done = self._operations[: number - 1]
        lit = frozenset(operation.edges_on(self._result.draft))
        scene = SolidScene(self._model, view, lit, away(self._walls, done, operation))
        sketch = Sketch(bounds_of(scene.points), SOLID, show=self._show)
        scene.draw(sketch)
        SolidMeasures(sketch, scene, operation).draw()
        return sketch.picture()
