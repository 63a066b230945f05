"""What an operation is: one thing that is done at the table, the machine or the iron.

A part declares its operations by what they need and what they make, never by a number in a
list: the order follows (core.sewing.order). Lengths are mm.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum, IntEnum
from itertools import pairwise

from core.base.sentences import Sentence, Template
from core.flat.piece import Point
from core.flat.roles import EdgeRef, PieceId, SeamId
from core.flat.seam import Draft
from core.work.machine import Pressing, Setting
from core.work.scene import Diagram, FlatScene, Placed, Scene
from core.work.states import State


class Phase(IntEnum):
    """Where an operation is listed: only ties of the order go by it."""

    WASH = 1
    CUT = 2
    MARK = 3
    PARTS = 4
    LAYERS = 5
    JOIN_FLAT = 6
    TOP = 7
    CLOSE = 8
    NEATEN = 9
    UNPICK = 10
    TURN = 11
    PRESS = 12
    MEASURE = 13


class MarkingStage(IntEnum):
    """In which order lines are drawn on the wall."""

    JOINS = 1
    PARTS = 2
    OUTLINE = 3
    TOP = 4


class Action(Enum):
    """What is done."""

    WASH = "wash"
    CUT = "cut"
    MARK = "mark"
    FUSE = "fuse"
    PRESS = "press"
    BASTE = "baste"
    FOLD = "fold"
    JOIN = "join"
    TURN = "turn"
    LAY_ON = "lay on"
    TOPSTITCH = "topstitch"
    HEM = "hem"
    TACK = "tack"
    OVERCAST = "overcast"
    STAYSTITCH = "staystitch"
    OPEN = "open"
    UNPICK = "take out"
    LAY_IN = "lay in"
    MEASURE = "measure"


@dataclass(frozen=True, slots=True)
class Stitching:
    """Lines of one kind that an operation sews by machine.

    Attributes:
        label: what they are called where thread is bought for them, e.g. "side seams".
        length: of all of them, each as often as it is sewn; mm.
        stack: what lies under the needle, pressed; mm.
    """

    label: Template
    length: float
    stack: float


@dataclass(frozen=True, slots=True)
class MarkRef:
    """One mark of one piece: its place among the piece's marks, from 0."""

    piece: PieceId
    index: int


@dataclass(frozen=True, slots=True)
class StitchPath:
    """Where needle, chalk or knife goes besides seams and marks: a line on a flat piece, mm."""

    piece: PieceId
    points: tuple[Point, ...]

    @property
    def length(self) -> float:
        """Along the line, mm."""
        return math.fsum(math.dist(start, end) for start, end in pairwise(self.points))


class MeasurePlace(Enum):
    """What a length of an operation is, and so where its drawing shows it."""

    SPAN = "between two points of a flat piece"
    FROM_EDGE = "from the edge, or the fold, to the line that is sewn or laid on it"
    SEAM = "along the seam that is sewn"
    TIP = "from a seam across a corner to the end of its tip"
    WIDTH = "across what is handled"
    DEPTH = "front to back of what is handled"
    RADIUS = "of a rounded corner"
    BESIDE = "what is left free at either end of what is laid in"
    BEFORE_AND_BEHIND = "what is left free at front and back of what is laid in"
    FINISHED = "a size of the finished bag, by the figure's own name"
    DIAGRAM = "where the operation's own diagram has it"
    WITHOUT_CHANGE = "of the way without a change of the machine: what is drawn is the way with it"
    DERIVED = "a thickness, or what lengths follow from or may differ by: not on the work"

    @property
    def is_drawn(self) -> bool:
        """Whether it has a place in a drawing."""
        return self not in (MeasurePlace.DERIVED, MeasurePlace.WITHOUT_CHANGE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A length that an operation tells: its text and its drawing both read it here.

    Attributes:
        name: its gap in the operation's sentences.
        length: mm, as it is told.
        place: what it is.
        where: of a flat piece, its two points in the frame of that piece; None where `place`
            says where it lies.
    """

    name: str
    length: float
    place: MeasurePlace
    where: StitchPath | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """Lines that an owner draws on the wall before it is sewn, and what to look at then."""

    stage: MarkingStage
    instructions: tuple[Sentence, ...]
    check: Sentence | None = None
    measures: tuple[Measure, ...] = ()


_WHOLE_WALL = FlatScene()


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One operation.

    Attributes:
        key: unique in its bag and lasting, e.g. "join side seam left": kind and object.
        phase: when it is told, where nothing else settles the order.
        title: a few words.
        instructions: what to do, in order, with the figures of this bag.
        why, check: why it is done here and so; what to look at before going on.
        caution: what may be hurt.
        needs: states that must be there.
        after: states that must be there first if this bag has them at all.
        until: states that must not be there yet: they would be in the way.
        makes: states that are there from now on.
        pieces: every piece that is handled.
        layers: of the wall, those that are handled one by one, by their places from 0 at the
            outermost; empty where they are handled as one.
        seams: those that are sewn here.
        marks: marks that are used up here.
        turned: edges that lie inside from now on, each with how much of the piece; mm.
        paths, edges: other lines, and edges of pieces, where something is done.
        setting: of the machine; None for work by hand.
        stitching: every line that the machine sews here; none by hand.
        allowance: distance from the edge that is sewn at; None where there is none.
        measures: every length that its sentences tell, and where it lies.
        pressing: None where no iron is used.
        without_change: how to do without a change of the machine's setting; None where there is
            no way.
        scene: what its drawing shows.
    """

    key: str
    action: Action
    phase: Phase = Phase.PARTS
    title: Sentence
    instructions: tuple[Sentence, ...]
    why: Sentence | None = None
    check: Sentence | None = None
    caution: Sentence | None = None
    needs: tuple[State, ...] = ()
    after: tuple[State, ...] = ()
    until: tuple[State, ...] = ()
    makes: tuple[State, ...] = ()
    pieces: tuple[PieceId, ...] = ()
    layers: tuple[int, ...] = ()
    seams: tuple[SeamId, ...] = ()
    marks: tuple[MarkRef, ...] = ()
    turned: tuple[tuple[EdgeRef, float], ...] = ()
    paths: tuple[StitchPath, ...] = ()
    edges: tuple[EdgeRef, ...] = ()
    setting: Setting | None = None
    stitching: tuple[Stitching, ...] = ()
    allowance: float | None = None
    measures: tuple[Measure, ...] = ()
    pressing: Pressing | None = None
    without_change: Sentence | None = None
    scene: Scene = _WHOLE_WALL

    def __post_init__(self) -> None:
        # Thread is bought for these lines: none may be forgotten.
        if (self.setting is None) != (not self.stitching):
            raise ValueError(f"{self.key}: a machine sews lines, and lines need a machine")
        # A drawing shows what is told: no length may be told that is no measure.
        known = {(measure.name, measure.length) for measure in self.measures}
        told = [pair for sentence in self.sentences for pair in sentence.all_lengths()]
        for name, length in told:
            if (name, length) not in known:
                raise ValueError(f"{self.key}: {name} is told and is no measure of it")
        shown = {each.measure for each in self.placed}
        for measure in self.drawn:
            if measure.place is MeasurePlace.DIAGRAM and measure.name not in shown:
                raise ValueError(f"{self.key}: {measure.name} has no place in its diagram")

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        """Everything that it says."""
        more = (self.why, self.check, self.caution, self.without_change)
        told = (each for each in more if each is not None)
        return (self.title, *self.instructions, *told)

    @property
    def placed(self) -> tuple[Placed, ...]:
        """Where its own diagrams have its measures."""
        scene = self.scene
        if isinstance(scene, Diagram):
            return scene.placed
        if not isinstance(scene, FlatScene):
            return ()
        return (*scene.placed, *(scene.beside.placed if scene.beside else ()))

    def edges_on(self, draft: Draft) -> tuple[EdgeRef, ...]:
        """Edges where something is done, each once: of the seams that are sewn, then its own."""
        sewn = (ref for seam in map(draft.seam, self.seams) for ref in seam.edges)
        return tuple(dict.fromkeys((*sewn, *self.edges)))

    @property
    def drawn(self) -> tuple[Measure, ...]:
        """The measures that its drawing carries: those that are told and have a place in it."""
        told = {name for sentence in self.sentences for name, _ in sentence.all_lengths()}
        return tuple(each for each in self.measures if each.name in told and each.place.is_drawn)


def measured(name: str, length: float, piece: PieceId, start: Point, end: Point) -> Measure:
    """A measure between two points of a flat piece; `length` is what is told, mm."""
    where = StitchPath(piece, (start, end))
    return Measure(name=name, length=length, place=MeasurePlace.SPAN, where=where)


def sized(place: MeasurePlace, **lengths: float) -> tuple[Measure, ...]:
    """Measures of one place by the names of their gaps, mm."""
    return tuple(Measure(name=name, length=each, place=place) for name, each in lengths.items())


def along(paths: Iterable[StitchPath]) -> float:
    """Length of some paths together, mm."""
    return math.fsum(path.length for path in paths)
