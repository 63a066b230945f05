"""What an operation is: one thing that is done at the table, the machine or the iron.

A part declares its operations by what they need and what they make, never by a number in a
list: the order follows (core.sewing.order). Lengths are mm.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from itertools import pairwise

from core.base.errors import Sentence
from core.flat.piece import Point
from core.flat.seam import EdgeRef


class Kind(Enum):
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
    OPEN = "open"
    UNPICK = "take out"
    LAY_IN = "lay in"
    MEASURE = "measure"


class Foot(Enum):
    """The presser foot."""

    STANDARD = "standard foot"
    WALKING = "walking foot"
    ZIP = "zip foot"


class Stitch(Enum):
    """Stitch types by their number in ISO 4915 (class 300: lockstitches)."""

    LOCKSTITCH = "301"
    ZIGZAG = "304"

    @property
    def label(self) -> str:
        """The trade's word."""
        return {"301": "straight stitch", "304": "zigzag"}[self.value]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What is set on the machine.

    Attributes:
        stitch: type.
        length: of one stitch.
        width: of a zigzag; 0 for a straight stitch.
        foot: which is on.
    """

    stitch: Stitch = Stitch.LOCKSTITCH
    length: float
    width: float = 0.0
    foot: Foot = Foot.STANDARD


@dataclass(frozen=True, slots=True)
class Stitching:
    """Lines of one kind that an operation sews by machine.

    Attributes:
        name: what they are called where thread is reckoned, e.g. "side seams".
        length: of all of them, each as often as it is sewn; mm.
        stack: what lies under the needle, pressed; mm.
    """

    name: str
    length: float
    stack: float


class Heat(Enum):
    """How hot the iron is."""

    COOL = "cool iron"
    MEDIUM = "medium iron"


@dataclass(frozen=True, slots=True)
class Pressing:
    """What the iron is set to, and whether a cloth lies between."""

    heat: Heat
    cloth: bool


@dataclass(frozen=True, slots=True)
class State:
    """Something that is true of the work from some operation on.

    Attributes:
        name: said after "once": "the pocket is laid on". Unique in a bag.
        missing: what goes wrong when an operation needs it and it is not there yet; one
            sentence, empty for the plain one.
        blocks: what goes wrong when it is there already and is in the way.
    """

    name: str
    missing: str = field(default="", compare=False)
    blocks: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True, order=True)
class MarkRef:
    """One mark of one piece: its place among the piece's marks, from 0."""

    piece: str
    index: int


@dataclass(frozen=True, slots=True)
class Run:
    """Where needle, chalk or knife goes besides seams and marks: a line on a flat piece, mm."""

    piece: str
    points: tuple[Point, ...]

    @property
    def length(self) -> float:
        """Along the line, mm."""
        return math.fsum(math.dist(start, end) for start, end in pairwise(self.points))


class Role(Enum):
    """What a length of an operation is, and so where its drawing shows it."""

    SPAN = "between two points of a flat piece"
    FROM_EDGE = "from the edge, or the fold, to the line that is sewn or laid on it"
    SEAM = "along the seam that is sewn"
    WIDTH = "across what is handled"
    DEPTH = "front to back of what is handled"
    HEIGHT = "up what is handled"
    LENGTH = "along what is handled"
    SHORT_LENGTH = "of the one piece that is shorter than the others"
    BEFORE = "the width before it is washed"
    RADIUS = "of a rounded corner"
    BESIDE = "what is left free at either end of what is laid in"
    BEFORE_AND_BEHIND = "what is left free at front and back of what is laid in"
    TURNED_IN = "how much of an edge is turned under"
    END_TURNED_IN = "how much of an end is turned under"
    APART = "between two edges that are turned under"
    LOOP = "around the loop"
    HALF_LOOP = "around half of the loop"
    FROM_JOIN = "from a join of the loop to its halfway point"
    FREE_FRONT = "what of a handle stays loose above the front"
    FREE_BACK = "what of a handle stays loose above the back"
    FINISHED = "a size of the finished bag, by the figure's own name"
    TACK = "of a bar tack"
    SPARE = "of the way without a change of the machine: what is drawn is the way with it"
    RECKONED = "a thickness, or what lengths are reckoned from or may differ by: not on the work"

    @property
    def is_drawn(self) -> bool:
        """Whether it has a place in a drawing."""
        return self not in (Role.RECKONED, Role.SPARE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """A length that an operation tells: its text and its drawing both read it here.

    Attributes:
        name: its gap in the operation's sentences.
        length: mm, as it is told.
        role: what it is.
        span: of a flat piece, its two points in the frame of that piece; None where the role
            says where it lies.
    """

    name: str
    length: float
    role: Role
    span: Run | None = None


class View(Enum):
    """What the drawing of an operation shows."""

    GOODS = "the material as bought, and the width left after washing"
    PIECE = "the piece alone, with its sizes"
    LAYERS = "the stacked layers"
    FLAT = "the panel flat, with what is on it so far"
    FRONT = "the same, front half only"
    TUBE = "the pocket folded"
    STRIPS = "strips end to end"
    TAPE = "a strip being folded, and its end"
    RING = "the panel rolled towards its zip"
    FOLDED = "the bag flat, wrong side out"
    UNDER = "the bag seen from its end, wrong side out"
    SEWN = "the finished bag"
    INSIDE = "the bottom through the walls"


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One operation.

    Attributes:
        key: unique in its bag and lasting, e.g. "join side seam left": kind and object.
        kind: what is done.
        part: part of the bag that asks for it, e.g. "pocket".
        title: a few words.
        do: what to do, in order, with the figures of this bag.
        why, look: why it is done here and so; what to look at before going on.
        caution: what may be hurt.
        needs: states that must be there.
        after: states that must be there first if this bag has them at all.
        until: states that must not be there yet: they would be in the way.
        makes: states that are there from now on.
        enters: pieces that come onto the table here.
        pieces: every piece that is handled.
        layers: of the wall, those that are handled one by one, by their places from 0 at the
            outermost; empty where they are handled as one.
        seams: names of the seams that are sewn here.
        marks: marks that are used up here.
        runs, edges: other lines, and edges of pieces, where something is done.
        setting: of the machine; None for work by hand.
        stitching: every line that the machine sews here; none by hand.
        allowance: distance from the edge that is sewn at; None where there is none.
        measures: every length that its sentences tell, and where it lies.
        pressing: None where no iron is used.
        spare: how to do without a change of the machine's setting; None where there is no way.
        view: what its drawing shows.
    """

    key: str
    kind: Kind
    part: str
    title: Sentence
    do: tuple[Sentence, ...]
    why: Sentence | None = None
    look: Sentence | None = None
    caution: Sentence | None = None
    needs: tuple[State, ...] = ()
    after: tuple[State, ...] = ()
    until: tuple[State, ...] = ()
    makes: tuple[State, ...] = ()
    enters: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    layers: tuple[int, ...] = ()
    seams: tuple[str, ...] = ()
    marks: tuple[MarkRef, ...] = ()
    runs: tuple[Run, ...] = ()
    edges: tuple[EdgeRef, ...] = ()
    setting: Setting | None = None
    stitching: tuple[Stitching, ...] = ()
    allowance: float | None = None
    measures: tuple[Measure, ...] = ()
    pressing: Pressing | None = None
    spare: Sentence | None = None
    view: View = View.FLAT

    def __post_init__(self) -> None:
        # Thread is bought for these lines: none may be forgotten.
        if (self.setting is None) != (not self.stitching):
            raise ValueError(f"{self.key}: a machine sews lines, and lines need a machine")
        # A drawing shows what is told: no length may be told that is no measure.
        known = {(measure.name, measure.length) for measure in self.measures}
        told = [pair for sentence in self.sentences for pair in sentence.lengths.items()]
        for name, length in told:
            if (name, length) not in known:
                raise ValueError(f"{self.key}: {name} is told and is no measure of it")

    @property
    def sentences(self) -> tuple[Sentence, ...]:
        """Everything that it says."""
        told = (self.title, *self.do, self.why, self.look, self.caution, self.spare)
        return tuple(sentence for sentence in told if sentence is not None)

    @property
    def drawn(self) -> tuple[Measure, ...]:
        """The measures that its drawing carries: those that are told and have a place in it."""
        told = {name for sentence in self.sentences for name in sentence.lengths}
        return tuple(each for each in self.measures if each.name in told and each.role.is_drawn)


def say(template: str, *, words: Mapping[str, str] | None = None, **lengths: float) -> Sentence:
    """A sentence with its lengths (mm) by the names of their gaps."""
    return Sentence(template, lengths, words or {})


def span(
    name: str, length: float, piece: str, start: Point, end: Point, *, role: Role = Role.SPAN
) -> Measure:
    """A measure between two points of a flat piece; `length` is what is told, mm."""
    return Measure(name=name, length=length, role=role, span=Run(piece, (start, end)))


def sized(role: Role, **lengths: float) -> tuple[Measure, ...]:
    """Measures of one role by the names of their gaps, mm."""
    return tuple(Measure(name=name, length=each, role=role) for name, each in lengths.items())


def along(runs: Iterable[Run]) -> float:
    """Length of some runs together, mm."""
    return math.fsum(run.length for run in runs)
