"""The one door: a bag in, everything quick that follows from it out."""

import math
from dataclasses import dataclass

from core.bag import CUT_FIGURES, Bag, cut_value, draft_bag
from core.errors import Sentence
from core.figures import FinishedFigure
from core.findings import Finding, Severity
from core.finished import measure, measure_drawn
from core.flat.draft import Draft
from core.flat.piece import Goods
from core.parts.allowances import SeamAllowances
from core.parts.board import BoardWay
from core.parts.compartments import compartment_findings
from core.parts.goods_width import width_finding
from core.parts.panel_findings import panel_findings
from core.parts.room import closing_finding
from core.parts.site import Finished
from core.parts.take_up import NO_TAKE_UP
from core.parts.washing import shrink_finding


@dataclass(frozen=True, slots=True)
class Result:
    """What follows from one bag.

    Attributes:
        bag: the bag that this answers.
        draft: pieces, seams, stitch lines.
        finished: name -> mm, litres for volumes, None for what is not there; as sewn, where
            the bag's take-up is known.
        findings: the worst first.
        drawn: the finished figures as they are drawn, measured on the stitch lines; the same
            where there is no take-up.
    """

    bag: Bag
    draft: Draft
    finished: Finished
    findings: tuple[Finding, ...]
    drawn: Finished

    @property
    def cut(self) -> dict[str, float | None]:
        """Every cut figure by name, mm or pieces; None when the bag lacks the part."""
        return {figure.name: cut_value(self.bag, figure.name) for figure in CUT_FIGURES}

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


_CROSS = "The seam allowances of the {piece} are too wide for it: its stitch lines cross."


def compute(bag: Bag) -> Result:
    """Draft a bag, measure it and judge it."""
    draft = draft_bag(bag)
    finished = measure(bag, draft)
    drawn = finished if bag.take_up == NO_TAKE_UP else measure_drawn(bag, draft)
    return Result(bag, draft, finished, _judge(bag, draft, finished), drawn)


def _judge(bag: Bag, draft: Draft, finished: Finished) -> tuple[Finding, ...]:
    site = bag.site
    found = list(panel_findings(bag.panel, site, finished))
    for part in bag.parts:
        found += part.findings(site, finished)
    found += allowances(bag).findings()
    if bag.board is not None and site.zipped:
        open_top = closing_finding(finished)
        found += [] if open_top is None else [open_top]
    found += compartment_findings(bag.pocket, bag.handles, site, finished)
    found += _width_findings(bag, draft)
    apart = shrink_finding(bag.cloth)
    found += [] if apart is None else [apart]
    found += _outline_findings(draft, found)
    return tuple(sorted(found, key=lambda finding: -finding.severity))


def allowances(bag: Bag) -> SeamAllowances:
    """What has to do with the seam allowances of a bag."""
    fused = bag.board is not None and bag.board.way is BoardWay.FUSED
    return SeamAllowances(
        panel=bag.panel,
        closure=bag.closure,
        pocket=bag.pocket,
        handles=bag.handles,
        sandwich=bag.sandwich,
        unit=bag.unit,
        zip_lengths=bag.site.zip_lengths,
        bottom_is_free=not (fused and bag.site.board_basted_in),
    )


_SAYS_WHY = ("base-vanishes",)
"""Stops that make stitch lines cross: what they say is enough."""


def _outline_findings(draft: Draft, found: list[Finding]) -> tuple[Finding, ...]:
    """Stitch lines that cross, unless a finding already says why."""
    if any(finding.code in _SAYS_WHY for finding in found):
        return ()
    return tuple(
        Finding(
            code="stitch-lines-cross",
            severity=Severity.STOP,
            figure="side_seam",
            value=max(edge.allowance for edge in piece.edges),
            limit=None,
            message=Sentence(_CROSS, words={"piece": piece.name}),
        )
        for piece in draft.pieces
        if not draft.outlines[piece.name].sound
    )


def _width_findings(bag: Bag, draft: Draft) -> tuple[Finding, ...]:
    """Each piece once, on the goods that is narrowest for it."""
    found: list[Finding] = []
    for piece in draft.pieces:
        if piece.goods is Goods.BOARD:
            continue  # the size of a sheet is asked when sheets are planned
        too_wide = [
            finding
            for layer in bag.goods_of(piece)
            if (finding := width_finding(piece, layer)) is not None
        ]
        found += sorted(too_wide, key=lambda finding: finding.limit or 0.0)[:1]
    return tuple(found)
