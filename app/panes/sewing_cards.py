"""The steps of one bag as they are read in the window, in the booklet's own words."""

from dataclasses import dataclass
from functools import cached_property

from app.display import Display
from app.lit import Lit
from app.words import from_core
from core.compute import Result
from core.flat.draft import Draft
from core.flat.seam import EdgeRef
from core.paper.booklet.blocks import StepCard
from core.paper.booklet.content import BookletOptions, step_card
from core.paper.booklet.diagrams import Diagrams
from core.sewing.operation import Kind, Operation
from core.sewing.steps import Step, steps

_LAID = (Kind.LAY_ON, Kind.LAY_IN)


@dataclass(frozen=True, slots=True)
class Row:
    """One step in the list.

    Attributes:
        key: of its operation, the same for as long as the bag has it.
        number, title, text: what to do.
        change: what to change at the machine before it; empty where it stays as it is.
        care: what may be hurt; empty for nothing.
    """

    key: str
    number: int
    title: str
    text: str
    change: str
    care: str


class Cards:
    """Everything that is told of the steps of one bag, in the unit of this moment."""

    def __init__(self, result: Result, display: Display) -> None:
        self.result = result
        self.steps = steps(result)
        self.options = BookletOptions(unit=display.unit, step=display.step, translate=from_core)
        self.rows = tuple(self._row(step) for step in self.steps)

    @cached_property
    def _diagrams(self) -> Diagrams:
        options = self.options
        return Diagrams(self.result, self.steps, show=options.show, translate=options.translate)

    def card(self, number: int) -> StepCard:
        """The step of that number, from 1, with its drawing."""
        step = self.steps[number - 1]
        return step_card(step, self.options, self._diagrams.picture(number))

    def lit(self, number: int) -> Lit:
        """What the step of that number works on."""
        return lit_of(self.steps[number - 1].operation, self.result.draft)

    def _row(self, step: Step) -> Row:
        say, operation = self.options.say, step.operation
        change = "" if step.change is None else " ".join(map(say, step.change.sentences))
        return Row(
            key=operation.key,
            number=step.number,
            title=say(operation.title),
            text=step.text(self.options.show, self.options.translate),
            change=change,
            care=step.caution(self.options.show, self.options.translate) or "",
        )


def lit_of(operation: Operation, draft: Draft) -> Lit:
    """What of the flat pieces an operation works on."""
    seams = {seam.name: seam for seam in draft.seams}
    sewn = [ref for name in operation.seams for ref in seams[name].edges]
    edges = tuple(dict.fromkeys((*sewn, *operation.edges)))
    marks = tuple((ref.piece, ref.index) for ref in operation.marks)
    lines = tuple((run.piece, run.points) for run in operation.runs)
    panels = {piece.name for piece in draft.pieces if piece.part == "panel"}
    others = tuple(name for name in operation.pieces if name not in panels)
    pieces: tuple[str, ...] = ()
    if operation.kind in _LAID:
        pieces = others
    elif not (edges or marks or lines):
        pieces = operation.pieces
    rims = tuple(EdgeRef(name, edge.name) for name in pieces for edge in draft.piece(name).edges)
    on_bag = {ref.piece for ref in edges} & {*panels, "zip"}
    return Lit(
        edges=edges,
        marks=marks,
        lines=lines,
        pieces=pieces,
        rims=rims,
        parts=() if on_bag else others,
    )
