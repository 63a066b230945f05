"""Finished figures, measured on the stitch lines of the pieces and along the seams.

Nothing here is computed from the cut figures by formula: what is measured is what the
needle will make of the drafted pieces, whatever the construction. Where a bag's take-up is
known, its finished sizes are those that it comes out with, and no longer the drawn ones.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from types import MappingProxyType

from core.bag.allowances import allowance_findings
from core.bag.bag import Bag, cut_value, draft_bag, draft_walls
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.bag.wall import shrink_finding, wall_findings, width_finding
from core.base.quantities import litres
from core.base.sentences import mark, say
from core.base.tolerance import shorter
from core.flat.piece import CutFrom
from core.flat.seam import Draft
from core.model.figures import NO_TAKE_UP, FinishedFigure, Form
from core.model.findings import Allowance, Finding, Severity
from core.model.record import Bend, corner_area
from core.parts.table import PAIRS
from core.site.site import Finished


def measure(bag: Bag, draft: Draft) -> Finished:
    """Every finished figure by name: mm, volumes in litres, None for what is not there.

    Sizes are those of the sewn bag, outside, and what lies inside is those less the wall. Reads
    only the body's and the top's pieces of the draft.
    """
    found = _measured(bag, draft)
    found |= volumes(bag, bag.body.as_closed(found))
    for _, member in bag.members:
        found |= {each.name: None for each in member.FINISHED if each.when and not member.has(each)}
    return MappingProxyType(found)


_NOTHING_YET: dict[str, float | None] = dict.fromkeys(each.name for each in FINISHED_FIGURES)


def _measured(bag: Bag, draft: Draft) -> dict[str, float | None]:
    """Every finished figure but the volumes."""
    found: dict[str, float | None] = _NOTHING_YET.copy()
    found |= bag.body.measured(draft)
    found |= bag.top.measured(draft)
    if bag.take_up != NO_TAKE_UP:
        found = bag.take_up.sewn(found, FINISHED_FIGURES)
    site = bag.site
    for part in bag.parts.values():
        found |= part.finished(site)
    for pair in PAIRS:
        found |= pair.finished(bag.parts, site)
    return found


def measure_drawn(bag: Bag, draft: Draft) -> Finished:
    """The same figures as they are drawn: those of the stitch lines."""
    return measure(replace(bag, take_up=NO_TAKE_UP), draft)


def measure_walls(bag: Bag) -> Finished:
    """The same figures without drawing marks and laid-on parts: for those who search for a bag.

    Where corners do not match, a box is as deep here as the end of the base, whatever its
    sides allow: a search that is on its way to corners that match sees its volume change.
    """
    found = _measured(bag, draft_walls(bag))
    found |= volumes(bag, found)
    return MappingProxyType(found)


class Around:
    """The bag around a part; see `core.site.owner.Surround`."""

    def __init__(self, bag: Bag, finished: Finished | None = None) -> None:
        self.bag, self.site, self.parts, self._finished = bag, bag.site, bag.parts, finished
        self.top: object = bag.top

    @property
    def finished(self) -> Finished:
        """Its finished figures; measured when they are first read."""
        if self._finished is None:
            self._finished = measure_walls(self.bag)
        return self._finished


def volumes(bag: Bag, found: Finished) -> dict[str, float | None]:
    """Box outside and inside the wall, litres; None where a side is gone.

    Args:
        found: the sizes that its sides go by, mm.

    What the bag holds when it is filled takes longer: `core.solid.capacity`.
    """
    bends = [each for each in bag.body.bends(bag.site, found) if each.form is Form.BOX]
    boxes = {each.figure: _box(each) for each in bends}
    for each in bends:
        walled = each.figure in _INSIDE and bag.sandwich.thickness > 0.0
        if walled and not shorter(0.0, min(each.lengths)):
            boxes[each.figure] = None  # a wall that is there takes up a side to the last
    return boxes | dict.fromkeys(_FILLED)


_INSIDE = {figure.name for figure in FINISHED_FIGURES if figure.inside}
_FILLED = tuple(figure.name for figure in FINISHED_FIGURES if figure.form is Form.FILLED)


def _box(bend: Bend) -> float | None:
    """What a box holds, litres; None where a side is gone, or all that its corners leave."""
    if shorter(min(bend.lengths), 0.0):
        return None
    width, depth, height = (max(side, 0.0) for side in bend.lengths)
    area = width * depth - math.fsum(map(corner_area, bend.radii))
    return None if area < 0.0 else litres(area * height)


@dataclass(frozen=True)
class Result:
    """What follows from one bag.

    Attributes:
        finished: name -> mm, litres for volumes, None for what is not there; as sewn, where
            the bag's take-up is known.
        drawn: the finished figures as they are drawn, measured on the stitch lines; the same
            where there is no take-up.
        judged: what is found in it, by who knows more than the pieces tell; None: nobody does.
    """

    bag: Bag
    draft: Draft
    finished: Finished
    drawn: Finished
    judged: tuple[Finding, ...] | None = None

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What is doubtful, the worst first; judged when it is first read: drawings come before."""
        if self.judged is not None:
            return self.judged
        from core.bag.fixes import promised  # which asks for choices, and they for what is here

        found = _judge(self.bag, self.draft, self.finished)
        return promised(self.bag, found, _judged)

    @cached_property
    def cut(self) -> Mapping[str, float | None]:
        """Every cut figure by name, mm or pieces; None when the bag lacks the part."""
        cut = {figure.name: cut_value(self.bag, figure.name) for figure in CUT_FIGURES}
        return MappingProxyType(cut)

    @property
    def mass(self) -> float:
        """Of the bag's goods and board, kg; zip, thread and what hangs on it not counted."""
        grams = (
            piece.count * piece.area / 1e6 * layer.mass_per_area
            for piece in self.draft.pieces
            for layer in self.bag.goods_of(piece)
        )
        return math.fsum(grams) / 1000

    def value(self, figure: FinishedFigure) -> float | None:
        """One finished figure of this bag."""
        return self.finished[figure.name]


_CROSS = mark("The seam allowances of the {piece} are too wide for it: its stitch lines cross.")


def compute(bag: Bag) -> Result:
    """Draft a bag and measure it: the one door to everything quick that follows."""
    draft = draft_bag(bag)
    finished = measure(bag, draft)
    drawn = finished if bag.take_up == NO_TAKE_UP else measure_drawn(bag, draft)
    return Result(bag, draft, finished, drawn)


def _judged(bag: Bag) -> tuple[Finding, ...]:
    draft = draft_bag(bag)
    return _judge(bag, draft, measure(bag, draft))


def _judge(bag: Bag, draft: Draft, finished: Finished) -> tuple[Finding, ...]:
    site = bag.site
    found = [each for _, member in bag.members for each in member.findings(site, finished)]
    allowances = bag.allowances
    found += wall_findings(bag.sandwich, allowances, bag.crossings)
    found += allowance_findings(bag, allowances)
    for pair in PAIRS:
        found += pair.findings(bag.parts, site, finished)
    found += _width_findings(bag, draft)
    apart = shrink_finding(bag.cloth)
    found += [] if apart is None else [apart]
    found += _outline_findings(draft, allowances, found)
    return tuple(sorted(found, key=lambda finding: -finding.severity))


def _outline_findings(
    draft: Draft, allowances: tuple[Allowance, ...], found: list[Finding]
) -> tuple[Finding, ...]:
    """Stitch lines that cross, unless a finding already says why."""
    if any(finding.explains_lines for finding in found):
        return ()
    crossed = [piece for piece in draft.pieces if not draft.outlines[piece.id].sound]
    figures = {each.size: each.figure for each in reversed(allowances)} if crossed else {}
    widest = [max(edge.allowance for edge in piece.edges) for piece in crossed]
    return tuple(
        Finding(
            code="stitch-lines-cross",
            severity=Severity.STOP,
            figure=figures.get(size, allowances[0].figure),
            value=size,
            limit=None,
            message=say(_CROSS, terms={"piece": piece.label}),
        )
        for piece, size in zip(crossed, widest, strict=True)
    )


def _width_findings(bag: Bag, draft: Draft) -> tuple[Finding, ...]:
    """Each piece once, on the goods that is narrowest for it."""
    found: list[Finding] = []
    for piece in draft.pieces:
        if piece.cut_from is CutFrom.SHEET:
            continue  # the size of a sheet is asked when sheets are planned
        tried = (width_finding(piece, layer) for layer in bag.goods_of(piece))
        too_wide = [finding for finding in tried if finding is not None]
        found += sorted(too_wide, key=lambda finding: finding.limit or 0.0)[:1]
    return tuple(found)
