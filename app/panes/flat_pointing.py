"""Pointing at edges: which one lies under the pointer, its letter, and what to say of it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_uppercase

from PySide6.QtCore import QCoreApplication

from app.display import Display
from core.compute import Result
from core.flat.draft import Draft
from core.flat.piece import Point
from core.flat.seam import EdgeRef, Seam, SeamKind, WalkedSeam, chain_length
from core.paper.lettering import with_fractions
from core.tolerance import same_length


@dataclass(frozen=True, slots=True)
class Caption:
    """What is said of the edge that is pointed at.

    Attributes:
        letter: of its seam; empty for an edge that is not sewn.
        title: the seam, or the edge.
        detail: the lengths of the stitch lines that it joins.
    """

    letter: str
    title: str
    detail: str

    @property
    def text(self) -> str:
        """All of it in one line."""
        return f"{self.title}: {self.detail}"


def nearest_edge(
    edges: Iterable[tuple[EdgeRef, Point, Point]], at: Point, reach: float
) -> EdgeRef | None:
    """The edge nearest to a point, no farther than `reach`; all in the same unit."""
    best, found = reach, None
    for ref, start, end in edges:
        away = distance_to_segment(at, start, end)
        if away < best or (found is None and away <= reach):
            best, found = away, ref
    return found


def distance_to_segment(at: Point, start: Point, end: Point) -> float:
    """From a point to the nearest point of a segment, which may have no length."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    px, py = at[0] - start[0], at[1] - start[1]
    squared = dx * dx + dy * dy
    share = 0.0 if squared == 0.0 else min(max((px * dx + py * dy) / squared, 0.0), 1.0)
    return math.hypot(px - share * dx, py - share * dy)


def seam_letter(draft: Draft, seam: Seam) -> str:
    """The letter of a seam: A for the first of its bag, AA after Z."""
    index = draft.seams.index(seam)
    letters = ""
    while index >= 0:
        index, rest = divmod(index, len(ascii_uppercase))
        letters = ascii_uppercase[rest] + letters
        index -= 1
    return letters


def walked_seam(draft: Draft, edge: EdgeRef) -> WalkedSeam | None:
    """The seam that takes an edge, walked; None for an edge that is not sewn."""
    return next((walked for walked in draft.walked if edge in walked.seam.edges), None)


def sewn_edges(draft: Draft) -> tuple[EdgeRef, ...]:
    """Every sewn edge, seam by seam: the order in which the keyboard points at them."""
    return tuple(dict.fromkeys(edge for seam in draft.seams for edge in seam.edges))


def caption(result: Result, edge: EdgeRef, display: Display) -> Caption:
    """What to say of an edge, lengths in the reader's unit."""
    draft = result.draft
    walked = walked_seam(draft, edge)
    if walked is None:
        length = draft.piece(edge.piece).edge(edge.edge).length
        detail = _tr("not sewn, {length} long").format(length=_show(display, length))
        return Caption("", _title(edge.edge), detail)
    return Caption(
        seam_letter(draft, walked.seam),
        _title(walked.seam.name),
        _lengths(draft, walked, display),
    )


def _lengths(draft: Draft, walked: WalkedSeam, display: Display) -> str:
    """The chains of a seam, edge by edge, and whether they are equally long."""
    seam = walked.seam
    one = _chain(draft, seam, seam.one, display)
    if seam.other:
        other = _chain(draft, seam, seam.other, display)
        joined = _tr("{one} to {other}").format(one=one, other=other)
        return f"{joined} – {_verdict(draft, walked, display)}"
    if seam.kind is SeamKind.SIDE:
        half = _show(display, walked.length)
        return _tr("{edges}; {half} on each side of the top fold").format(edges=one, half=half)
    return one


def _chain(draft: Draft, seam: Seam, chain: tuple[EdgeRef, ...], display: Display) -> str:
    """Each edge with its length, and their sum: corner front 3 in + corner back 3 in = 6 in."""
    hand = seam.name.rsplit(" ", 1)[-1]
    parts = [
        f"{_words(ref.edge.removesuffix(f' {hand}'))} "
        f"{_show(display, chain_length((ref,), draft.outlines))}"
        for ref in chain
    ]
    text = " + ".join(parts)
    if len(chain) > 1 and seam.other:
        text += f" = {_show(display, chain_length(chain, draft.outlines))}"
    return text


def _verdict(draft: Draft, walked: WalkedSeam, display: Display) -> str:
    if same_length(walked.length, walked.mate_length):
        return _tr("equally long")
    difference = _show(display, abs(walked.difference))
    longer = walked.seam.one if walked.difference > 0 else walked.seam.other
    hand = walked.seam.name.rsplit(" ", 1)[-1]
    names = " + ".join(_words(ref.edge.removesuffix(f" {hand}")) for ref in longer)
    return _tr("{names} longer by {difference}").format(names=names, difference=difference)


def _show(display: Display, length: float) -> str:
    """A length as it stands on the drawing, with its unit."""
    return with_fractions(display.length(length))


def _title(name: str) -> str:
    words = _words(name)
    return words[:1].upper() + words[1:]


def _words(name: str) -> str:
    """The core's own words, as the reader's language has them."""
    return QCoreApplication.translate("core", name)


def _tr(text: str) -> str:
    return QCoreApplication.translate("FlatPane", text)
