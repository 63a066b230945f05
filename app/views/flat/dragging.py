"""The maker's hand on the lines of the flat pieces: taking one, moving it, nudging it.

A moved line changes one cut figure at once, so that both panes follow. One drag is one
undo step, however slow; given up, it leaves none. What cannot be stays undone, and the
sentence that says why is kept to be shown beside the line.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

from app.session.display import Display, told_error, tr, translated
from app.session.document import Document
from app.session.undo import Drag, MergeKey
from app.views.flat.grips import Axis, Grip, LineRef, bag_grips, grips_of
from core.bag.bag import Bag, cut_value
from core.bag.compute import Result
from core.bag.figures import FINISHED
from core.bag.tables import cut_figure
from core.base.errors import CornerwrightError
from core.base.tolerance import same_length
from core.base.units import Unit, round_to_step, ruler_steps
from core.drawing.lettering import with_fractions

_FREE_STEPS = {Unit.INCH: 25.4 / 64, Unit.CM: 0.1, Unit.MM: 0.1}
"""Off the ruler a line still moves by what can be written exactly: 1/64 in, 0.1 mm."""


class Readout(NamedTuple):
    """What is told beside a line that is moved or can be.

    Attributes:
        title: the figure with its value, and by how much it is moved.
        detail: the finished figures that follow; may be empty.
        problem: why the line cannot go where the hand is; empty when it can.
    """

    title: str
    detail: str
    problem: str

    @property
    def text(self) -> str:
        """All of it in one line."""
        return ". ".join(each for each in (self.title, self.detail, self.problem) if each)


@dataclass(slots=True, kw_only=True, eq=False, repr=False)
class _Hold:
    """A line in the hand.

    Attributes:
        grip: the line as it was taken.
        before: the bag as it was.
        value: the figure as it was, mm.
        at: how far from what stays the hand took the line, mm.
        key: merges the steps of this drag and of no other.
        tried: the last value asked for, mm.
    """

    grip: Grip
    before: Bag
    value: float
    at: float
    key: Drag
    tried: float


class Dragging:
    """Which line the maker points at, has chosen or holds.

    Lines are kept by name, because each change draws them anew.

    Attributes:
        over: the line under the pointer.
        chosen: the line that the arrow keys move.
        acting: whether the change that the document tells of is this hand's own.
        problem: why the last move could not be.
    """

    def __init__(self, document: Document, display: Display) -> None:
        self._document = document
        self._display = display
        self._kept: tuple[Result, dict[LineRef, Grip]] | None = None
        self._hold: _Hold | None = None
        self._chosen_from, self._chosen_figure = 0.0, ""
        self._together: frozenset[LineRef] = frozenset()
        self._moving: tuple[Result, dict[LineRef, Grip]] | None = None
        self.over: LineRef | None = None
        self.chosen: LineRef | None = None
        self.acting = False
        self.problem = ""

    def grips(self) -> dict[LineRef, Grip]:
        """Every line of the bag as it is now that can be moved."""
        result = self._document.result
        if self._kept is None or self._kept[0] is not result:
            self._kept = (result, bag_grips(result.bag, result.draft))
        return self._kept[1]

    def _grips_with(self, ref: LineRef) -> dict[LineRef, Grip]:
        """A line as it is now, and those that move with it.

        At each step of a line that is chosen or held the bag is drawn once more for them, where
        all that can be moved would take two dozen.
        """
        result, known = self._document.result, self._kept
        is_known = known is not None and known[0] is result
        if ref == self.chosen and self._chosen_figure and not is_known:
            if self._moving is None or self._moving[0] is not result:
                figure = cut_figure(self._chosen_figure)
                self._moving = (result, grips_of(result.bag, result.draft, figure, self._together))
            if ref in self._moving[1]:
                return self._moving[1]
        grips = self.grips()
        if ref == self.chosen and ref in grips:
            self._learn(grips[ref])
        return grips

    def _learn(self, grip: Grip) -> None:
        """What moves the chosen line, and which others with it."""
        self._chosen_figure, self._moving = grip.figure, None
        alike = (each for each in self.grips().values() if each.figure == grip.figure)
        self._together = frozenset(each.ref for each in alike)

    def shown(self) -> Grip | None:
        """The line that carries the dot: held, under the pointer, or chosen."""
        ref = self._hold.grip.ref if self._hold is not None else self.over or self.chosen
        return None if ref is None else self._grips_with(ref).get(ref)

    def twins(self, grip: Grip) -> list[Grip]:
        """The other lines of its piece that its figure moves."""
        return [
            each
            for each in self._grips_with(grip.ref).values()
            if each.figure == grip.figure
            and each.ref.piece == grip.ref.piece
            and each.ref != grip.ref
        ]

    @property
    def holding(self) -> bool:
        return self._hold is not None

    @property
    def moved(self) -> bool:
        """Whether the line in the hand has been moved, or tried to."""
        return self._hold is not None and self._hold.tried != self._hold.value

    def choose(self, ref: LineRef | None) -> None:
        """Let the arrow keys move this line."""
        self.problem = ""
        grip = None if ref is None else self.grips().get(ref)
        self.chosen = None if grip is None else grip.ref
        if grip is not None:
            self._chosen_from = self._value(grip)
            self._learn(grip)

    def take(self, ref: LineRef, at: float) -> None:
        """Take a line into the hand, `at` mm right of or above what stays."""
        grip = self.grips()[ref]
        self.choose(ref)
        value = self._value(grip)
        self._hold = _Hold(
            grip=grip,
            before=self._document.bag,
            value=value,
            at=at,
            key=Drag(),
            tried=value,
        )

    def pull(self, at: float, *, free: bool) -> None:
        """Move the line in the hand to where the hand is, mm as in `take`.

        The figure stops at the ruler's steps and where it was; `free` of them, at the
        finest that can be written.
        """
        hold = self._hold
        if hold is None:
            return
        wanted = hold.value + hold.grip.rate * (at - hold.at)
        step = _FREE_STEPS[self._display.unit] if free else self._display.step
        value = min(round_to_step(wanted, step), hold.value, key=lambda each: abs(each - wanted))
        if value == hold.tried:
            return
        hold.tried = value
        self._set(hold.grip, value, hold.key)

    def give_back(self) -> None:
        """Leave the bag as it was when the line was taken; the drag leaves no undo step."""
        hold = self._hold
        self.let_go()
        if hold is not None:
            self.acting = True
            label = translated(cut_figure(hold.grip.figure).label)
            # Merged into the drag's own step, which then changes nothing and goes away.
            self._document.replace_bag(hold.before, label, merge_key=hold.key)
            self.acting = False

    def nudge(self, axis: Axis, sign: int) -> bool:
        """Move the chosen line one ruler step right or up (sign 1), left or down (-1).

        False when no line is chosen that moves this way.
        """
        grip = None if self.chosen is None else self._grips_with(self.chosen).get(self.chosen)
        if grip is None or grip.axis is not axis:
            return False
        step = math.copysign(self._display.step, sign * grip.rate)
        value = self._value(grip) + step
        ruled = round_to_step(value, ruler_steps(self._display.unit)[0])
        # The very float that the typed fraction would be: there and back is no change.
        value = ruled if same_length(ruled, value) else value
        self._set(grip, value, f"nudge {grip.figure}")
        return True

    def refuse(self, error: CornerwrightError) -> None:
        if self.acting:
            self.problem = told_error(error, self._display)

    def let_go(self) -> None:
        """Leave the line where it is, and the reason why it could not be moved.

        In another bag another figure may move it.
        """
        self._chosen_figure = ""
        self._hold = None
        self.problem = ""

    def _set(self, grip: Grip, value: float, key: MergeKey) -> None:
        self.problem = ""
        self.acting = True
        label = translated(cut_figure(grip.figure).label)
        self._document.set_figures({grip.figure: value}, label, merge_key=key)
        self.acting = False

    def _value(self, grip: Grip) -> float:
        value = cut_value(self._document.bag, grip.figure)
        if value is None:
            raise LookupError(f"{grip.figure} is drawn but not in the bag")
        return value

    def readout(self) -> Readout | None:
        """What to tell beside the line that carries the dot."""
        grip = self.shown()
        if grip is None:
            return None
        value = self._value(grip)
        was = value
        if self._hold is not None:
            was = self._hold.value
        elif grip.ref == self.chosen:
            was = self._chosen_from
        title = f"{translated(cut_figure(grip.figure).label)} {self._show(value)}"
        if not same_length(value, was):
            title += f"  {with_fractions(self._display.signed(value - was))}"
        problem = ""
        if self.problem:
            problem = tr("Not possible: {reason}").format(reason=with_fractions(self.problem))
        return Readout(title, self._followers(grip.figure), problem)

    def _followers(self, name: str) -> str:
        finished = self._document.result.finished
        told = []
        for each in map(FINISHED.__getitem__, cut_figure(name).tells):
            value = finished[each.name]
            if value is None or (each.matched and same_length(value, 0.0)):
                continue  # what matches is not told
            told.append(f"{translated(each.label)} {self._show(value)}")
        return ", ".join(told)

    def _show(self, length: float) -> str:
        return with_fractions(self._display.length(length))
