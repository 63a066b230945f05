"""What a step's text measures on the folded bag: where each length lies in its picture."""

import math
from itertools import combinations

from core.flat.piece import Point
from core.paper.booklet.picture import Sketch
from core.paper.booklet.solid_scenes import SolidScene
from core.sewing.operation import Measure, Operation, Role
from core.solid.figures import Dimension, dimensions
from core.solid.zones import Zone


class SolidMeasures:
    """Adds an operation's measures to the sketch of its scene.

    Args:
        sketch: what the scene has been drawn with.
        scene: the bag at that moment.
        operation: whose measures are told.
    """

    def __init__(self, sketch: Sketch, scene: SolidScene, operation: Operation) -> None:
        self._sketch, self._scene, self._operation = sketch, scene, operation

    def draw(self) -> None:
        """All of them."""
        for measure in self._operation.drawn:
            if measure.role is Role.FINISHED:
                self._finished(measure)
            elif measure.role in _OF_BOARD:
                self._of_board(measure)
            else:
                self._on_new_line(measure)

    def _on_new_line(self, measure: Measure) -> None:
        """Along what is sewn, or pointed out in its middle."""
        lines = self._scene.new_lines()
        ends = [point for line in lines for point in (line[0], line[-1])]
        if not ends:
            self._sketch.point_out(self._top(), measure.length)
        elif measure.role is Role.SEAM:
            self._sketch.measure(*_farthest(ends), measure.length)
        else:
            longest = max(lines, key=lambda line: math.dist(line[0], line[-1]))
            self._sketch.point_out(_between(longest[0], longest[-1], 0.65), measure.length)

    def _finished(self, measure: Measure) -> None:
        """Beside the edge of the bag that the figure is of; the opening along the top."""
        scene = self._scene
        stands = scene.folded.stands
        for each in dimensions(scene.model.sheet, stands):
            if each.figure == measure.name:
                start, end = _set_off(scene, each)
                self._sketch.measure(start, end, measure.length)
                return
        self._sketch.measure(*self._top_edge(), measure.length)

    def _of_board(self, measure: Measure) -> None:
        corners = self._scene.board()
        if corners is None:
            self._sketch.point_out(self._top(), measure.length)
            return
        one, two, three, four = corners[:4]
        if measure.role is Role.WIDTH:
            self._sketch.measure(one, two, measure.length)
        elif measure.role is Role.DEPTH:
            self._sketch.measure(two, three, measure.length)
        elif measure.role is Role.BESIDE:
            self._sketch.point_out(_between(one, four, 0.5), measure.length)
        else:
            self._sketch.point_out(_between(three, four, 0.5), measure.length)

    def _top(self) -> Point:
        """The middle of the bag's upper edge in the picture."""
        return _between(*self._top_edge(), 0.5)

    def _top_edge(self) -> tuple[Point, Point]:
        """The front's upper edge, at the top fold of a closed bag."""
        scene, sheet = self._scene, self._scene.model.sheet
        front = scene.folded.stands[Zone.FRONT]
        top = sheet.top_fold if sheet.closed else sheet.front_top
        return scene.spot(front.at(sheet.left, top)), scene.spot(front.at(sheet.right, top))


_OF_BOARD = (Role.WIDTH, Role.DEPTH, Role.BESIDE, Role.BEFORE_AND_BEHIND)


def _set_off(scene: SolidScene, each: Dimension) -> tuple[Point, Point]:
    """The ends of a size of the bag, a little beside the edge that it is of."""
    away = 0.06 * max(float(abs(each.end - each.start).max()), 1.0) * each.aside
    return scene.spot(each.start + away), scene.spot(each.end + away)


def _farthest(points: list[Point]) -> tuple[Point, Point]:
    """The two that are farthest apart."""
    return max(combinations(points, 2), key=lambda pair: math.dist(*pair))


def _between(one: Point, other: Point, share: float) -> Point:
    return (
        one[0] + share * (other[0] - one[0]),
        one[1] + share * (other[1] - one[1]),
    )
