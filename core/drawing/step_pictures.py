"""The picture of each step, from the model's own geometry: flat or folded, new work lit."""

from collections.abc import Sequence

from core.bag.compute import Result
from core.base.sentences import ENGLISH, Language, ShowLength, show_millimetres
from core.drawing.flat_scene import FlatPicture
from core.drawing.folded_scene import SolidMeasures, SolidScene, Viewpoint
from core.drawing.sketch import Picture, Sketch, bounds_of
from core.flat.roles import EdgeRef
from core.sewing.steps import Step
from core.solid.fold import Dimension, FoldModel
from core.work.operation import Operation
from core.work.scene import Diagram, FlatScene, FoldedView

SOLID = (52.0, 46.0)


class StepPictures:
    """Draws the steps of one bag: all of them are given, in order."""

    def __init__(
        self,
        result: Result,
        steps: Sequence[Step],
        *,
        show: ShowLength = show_millimetres,
        translate: Language = ENGLISH,
    ) -> None:
        self._result, self._show, self._translate = result, show, translate
        self._operations = [step.operation for step in steps]
        self._model = FoldModel(result.bag, result.draft)

    def picture(self, number: int) -> Picture:
        """The picture of the step of that number, from 1."""
        operation = self._operations[number - 1]
        told = operation.title.text(self._show, self._translate)
        scene = operation.scene
        if isinstance(scene, FoldedView):
            found = self._solid(operation, scene)
        else:
            found = self._flat(operation, number)
        return Picture(found.records, found.width, found.height, told)

    def cover(self, box: tuple[float, float]) -> Picture:
        """The finished bag with its sizes."""
        scene = SolidScene(self._model, Viewpoint())
        sketch = Sketch(bounds_of(scene.points), box, show=self._show)
        scene.draw(sketch)
        if self._model.folding.flat_only is None:
            self._sizes(sketch, scene)
        return sketch.picture(self._result.bag.name)

    def _sizes(self, sketch: Sketch, scene: SolidScene) -> None:
        """Base width, gusset depth and face height, beside the edges that they are of."""
        for each in scene.folded.measured():
            if each.size.overall:
                self._finished(sketch, scene, each, self._size(each))

    def _finished(self, sketch: Sketch, scene: SolidScene, each: Dimension, told: float) -> None:
        """A size of the sewn bag, beside the edge that it is of."""
        away = 0.06 * max(float(abs(each.end - each.start).max()), 1.0) * each.aside
        start, end = scene.spot(each.start + away), scene.spot(each.end + away)
        sketch.measure(start, end, told)

    def _size(self, each: Dimension) -> float:
        """As the sewn bag measures it, which may be less than what is drawn, mm."""
        value = self._result.finished[each.size.figure]
        return each.length if value is None else value

    def _flat(self, operation: Operation, number: int) -> Picture:
        done = self._operations[: number - 1]
        flat = FlatPicture(
            self._result, done, operation, show=self._show, translate=self._translate
        )
        if isinstance(operation.scene, Diagram):
            return flat.diagram(operation.scene)
        return (
            flat.panel(operation.scene) if isinstance(operation.scene, FlatScene) else flat.piece()
        )

    def _solid(self, operation: Operation, view: FoldedView) -> Picture:
        scene = SolidScene(self._model, self._shot(operation, view))
        sketch = Sketch(bounds_of(scene.points), SOLID, show=self._show)
        scene.draw(sketch)
        SolidMeasures(sketch, scene, operation).draw()
        return sketch.picture()

    def _shot(self, operation: Operation, view: FoldedView) -> Viewpoint:
        lit = self._lit(operation)
        return Viewpoint(
            at=view.share,
            yaw=view.yaw,
            pitch=view.pitch,
            wrong_side=view.wrong_side,
            see_through=view.through,
            lit=frozenset() if view.upper_ends_only else lit,
            lit_tops=lit if view.upper_ends_only else frozenset(),
            lit_kinds=view.new_areas,
            lit_strokes=view.new_lines,
        )

    def _lit(self, operation: Operation) -> frozenset[EdgeRef]:
        seams = map(self._result.draft.seam, operation.seams)
        edges = {ref for seam in seams for ref in seam.edges}
        return frozenset(edges | set(operation.edges))
