"""Match marks and clips: what the maker needs at the raw edges so that seams come together.

Both follow from walking the seams. Wherever one side of a seam has a joint (a seam that ends
there, a corner, an end of an arc), the other has a notch at the same distance from their common
start, and each has one at its middle. What is pinned by its middles is counted from them: strips
round a panel, and round a ring both of its middles, so that a difference in length lies between
those, as it is eased in. Walls that are too long for their base are eased in all round. Where a
straight edge is sewn round an arc or a corner, its allowance is clipped. Nobody draws them by hand:
a body that wants more notches tells an edge in two. Lengths are mm.
"""

import math
from collections.abc import Iterator, Sequence
from enum import Enum, auto
from itertools import pairwise
from typing import NamedTuple

from core.flat.piece import Edge, Point, point_between
from core.flat.roles import EdgeId, EdgeRef, PieceId, SeamId, SeamRole
from core.flat.seam import Draft, Seam

NEAR = 0.01
"""Marks that lie no farther apart than this are one, mm."""
UNCLIPPED = 0.5
"""How far off an arc a straight stretch between two clips may lie, mm (own choice)."""


class MatchMark(NamedTuple):
    """A notch, or a clip, at the raw edge of a piece.

    Attributes:
        piece, edge: where it is.
        at: on the cut line, mm, in the frame of the piece.
        inward: unit vector from there to the stitch line.
    """

    piece: PieceId
    edge: EdgeId
    at: Point
    inward: Point
    seam: SeamId


class _Part(NamedTuple):
    """One edge of a chain, as cut, that is walked from `start` to `end` along the seam, mm.

    Attributes:
        first, last: which shares of it that way these are, as it is walked.
    """

    ref: EdgeRef
    edge: Edge
    start: float
    end: float
    first: float = 0.0
    last: float = 1.0


class _Counted(Enum):
    """From where the places of a seam are counted, where its sides differ in length."""

    START = auto()
    """From their common start."""
    MIDDLE = auto()
    """From their middles."""
    MIDDLES = auto()
    """Once round, from the nearer of start and middle: both are middles of what is sewn."""
    EVENLY = auto()
    """The longer is eased in all along; edge by edge, where each has a mate of its own."""


class _SeamRun(NamedTuple):
    """One side of a seam.

    Attributes:
        backwards: whether its edges are walked from end to start.
        closed: whether it runs once round, from the middle of its first edge.
        gone: edges of a closed one that have no length, and so are no parts of it.
    """

    parts: tuple[_Part, ...]
    backwards: bool
    closed: bool = False
    gone: frozenset[EdgeRef] = frozenset()
    counted: _Counted = _Counted.START

    @property
    def length(self) -> float:
        return self.parts[-1].end

    def turned_round(self) -> "_SeamRun":
        """The same chain walked from its other end."""
        length = self.length
        parts = [
            part._replace(start=length - part.end, end=length - part.start) for part in self.parts
        ]
        return _SeamRun(tuple(parts)[::-1], not self.backwards)

    def opposite(self, mate: "_SeamRun", at: float) -> float:
        """What lies opposite a place of its mate, mm from the start; infinite: nothing does.

        That is so where its mate is much longer.
        """
        whole, its = self.length, mate.length
        if self.counted is _Counted.EVENLY:
            if len(self.parts) != len(mate.parts):
                return at * whole / its
            place = next((i for i, each in enumerate(mate.parts) if at <= each.end), -1)
            own, other = self.parts[place], mate.parts[place]
            return own.start + (at - other.start) * (own.end - own.start) / (
                other.end - other.start
            )
        if self.counted is _Counted.START:
            return at
        if self.counted is _Counted.MIDDLE:
            found = at + (whole - its) / 2
            return found if 0.0 < found < whole else math.inf
        if at <= its / 4:
            return at if at < whole / 2 else math.inf
        if at >= 3 * its / 4:
            found = at + whole - its
            return found if found > whole / 2 else math.inf
        found = at + (whole - its) / 2
        return found if 0.0 < found < whole else math.inf

    def marks(self, draft: Draft, places: Sequence[float], seam: SeamId) -> list[MatchMark]:
        """Marks so far along, mm, each farther; one allowance out from the stitch line."""
        found: list[MatchMark] = []
        parts = iter(self.parts)
        part, end = None, -math.inf
        for at in places:
            # What lies beyond the end of the last part is told of that.
            while part is None or (at > end and part is not self.parts[-1]):
                part = next(parts)
                (piece, edge), cut, start, end, first, last = part
                outline, allowance = draft.outlines[piece], cut.allowance
                stitched = outline.stitched(edge) if cut.turn else None
                line = outline.line(edge)
                hx, hy = cut.heading
            share = first + (at - start) / (end - start) * (last - first)
            share = 1 - share if self.backwards else share
            if stitched is not None:
                (x, y), (hx, hy) = stitched.point_at(share), stitched.heading_at(share)
            else:
                x, y = point_between(*line, share)
            at_cut_line = x + allowance * hy, y - allowance * hx
            found.append(MatchMark(piece, edge, at_cut_line, (-hy, hx), seam))
        return found

    def joints(self) -> list[float]:
        return [part.end for part in self.parts[:-1]]

    def turns(self, draft: Draft) -> "_Turns":
        """Its joints, and which of them are hidden or corners."""
        if len(self.parts) == 1:
            return _NO_TURNS
        pairs = pairwise(self.parts)
        turns = [(one.end, self._turn(draft, one, two)) for one, two in pairs]
        hidden = [at for at, turn in turns if turn == 0.0]
        seen = [at for at, turn in turns if turn != 0.0]
        return _Turns(hidden, seen, [at for at, turn in turns if turn and turn > 0.0])

    def _turn(self, draft: Draft, one: _Part, two: _Part) -> float | None:
        """Sine of the turn from one part to the next; None where they are no neighbours."""
        if one.ref.piece != two.ref.piece:
            return None
        first, second = (two, one) if self.backwards else (one, two)
        outline = draft.outlines[one.ref.piece]
        places, edges = outline.places, outline.piece.edges
        following = (places[first.ref.edge] + 1) % len(places)
        while EdgeRef(one.ref.piece, edges[following].id) in self.gone:
            following = (following + 1) % len(places)
        if following != places[second.ref.edge]:
            return None
        (ax, ay), (bx, by) = first.edge.end_heading, second.edge.start_heading
        sine = ax * by - ay * bx
        return 0.0 if abs(sine) < 1e-9 else sine


class _Turns(NamedTuple):
    """Where along a chain its joints are.

    Attributes:
        hidden: cannot be seen on the piece: it runs on smoothly.
        seen: the others.
        corners: those of them at which the piece has a corner that stands out.
    """

    hidden: list[float]
    seen: list[float]
    corners: list[float]


_NO_TURNS = _Turns([], [], [])


class SeamMarks(NamedTuple):
    """What is marked and cut at the raw edges for all seams, seam by seam.

    Attributes:
        notches: none on a seam without length.
        clips: snips into the allowance of what is sewn round an arc or a corner.
    """

    notches: tuple[MatchMark, ...]
    clips: tuple[MatchMark, ...]

    def of(self, piece: PieceId) -> "SeamMarks":
        """Those of one piece."""
        return self.by_piece().get(piece, SeamMarks((), ()))

    def by_piece(self) -> "dict[PieceId, SeamMarks]":
        """Those of each piece that has some."""
        found: dict[PieceId, tuple[list[MatchMark], list[MatchMark]]] = {}
        for which, marks in enumerate(self):
            for mark in marks:
                found.setdefault(mark.piece, ([], []))[which].append(mark)
        return {
            piece: SeamMarks(tuple(notches), tuple(clips))
            for piece, (notches, clips) in found.items()
        }


def seam_marks(draft: Draft) -> SeamMarks:
    """Every notch and every clip of a draft."""
    notches: list[MatchMark] = []
    snips: list[MatchMark] = []
    for seam in draft.seams:
        middles = _middles(draft, seam)
        if middles is not None:
            notches += middles
            continue
        runs = _runs(draft, seam)
        turns = [run.turns(draft) for run in runs]
        # What is sewn to itself is one side, walked from either end.
        for side, chain in enumerate(runs[:1] if seam.to_itself else runs):
            mate = runs[1 - side] if len(runs) > 1 else None
            notches += _notches(draft, seam, chain, mate, turns[side])
            if mate is not None and (len(mate.parts) > 1 or mate.parts[0].edge.turn):
                round_them = (*turns[1 - side].corners, *_round(mate))
                opposite = [chain.opposite(mate, at) for at in round_them]
                snips += _snips(draft, seam, chain, opposite, turns[side])
    return SeamMarks(tuple(notches), tuple(snips))


def _middles(draft: Draft, seam: Seam) -> list[MatchMark] | None:
    """The notches of a seam of one straight edge a side, in their middles; None of any other.

    Most seams are such, and need no walking along chains.
    """
    refs = seam.one + seam.other
    if len(seam.one) > 1 or len(seam.other) > 1 or seam.to_itself or seam.closed:
        return None
    found: list[MatchMark] = []
    for piece, edge in refs:
        outline = draft.outlines[piece]
        _, _, _, allowance, (hx, hy), _, turn = outline.edge(edge)
        if turn:
            return None
        if outline.length(edge) <= NEAR:
            return []
        x, y = point_between(*outline.line(edge), 0.5)
        at_cut_line = x + allowance * hy, y - allowance * hx
        found.append(MatchMark(piece, edge, at_cut_line, (-hy, hx), seam.id))
    return found


def match_marks(draft: Draft) -> tuple[MatchMark, ...]:
    """Every notch of a draft."""
    return seam_marks(draft).notches


def _runs(draft: Draft, seam: Seam) -> list[_SeamRun]:
    """The sides of a seam, walked from their common start; none where one has no length."""
    walked = _walked_round if seam.closed else _walked
    one = walked(draft, seam.one, seam.backwards)
    if one is None:
        return []
    if seam.to_itself:
        return [one, one.turned_round()]
    if not seam.other:
        return [one]
    other = walked(draft, seam.other, not seam.backwards)
    if other is None:
        return []
    counted = _counted(seam)
    return [each._replace(counted=counted) for each in (one, other)]


def _counted(seam: Seam) -> _Counted:
    if seam.id.role is SeamRole.BASE:
        return _Counted.EVENLY
    if seam.id.role is SeamRole.RING:
        return _Counted.MIDDLES if seam.closed else _Counted.MIDDLE
    return _Counted.START


def _walked(draft: Draft, chain: Sequence[EdgeRef], backwards: bool) -> _SeamRun | None:
    """A chain of edges on their stitch lines; None where one has no length."""
    parts: list[_Part] = []
    at = 0.0
    for ref in chain:
        outline = draft.outlines[ref.piece]
        length = outline.length(ref.edge)
        if length <= NEAR:
            return None
        parts.append(_Part(ref, outline.edge(ref.edge), at, at + length))
        at += length
    return _SeamRun(tuple(parts), backwards)


def _walked_round(draft: Draft, chain: Sequence[EdgeRef], backwards: bool) -> _SeamRun | None:
    """A chain once round from the middle of its first edge; None where an edge is overrun.

    What a full rounding leaves of a straight edge has no length: the arcs meet there.
    """
    parts: list[_Part] = []
    gone: set[EdgeRef] = set()
    at = 0.0
    halves = ((chain[0], 0.5, 1.0), *((ref, 0.0, 1.0) for ref in chain[1:]), (chain[0], 0.0, 0.5))
    for ref, first, last in halves:
        outline = draft.outlines[ref.piece]
        length = outline.length(ref.edge)
        if length < -NEAR:
            return None
        if length <= NEAR:
            gone.add(ref)
            continue
        end = at + (last - first) * length
        parts.append(_Part(ref, outline.edge(ref.edge), at, end, first, last))
        at = end
    return _SeamRun(tuple(parts), backwards, True, frozenset(gone)) if parts else None


def _notches(
    draft: Draft, seam: Seam, chain: _SeamRun, mate: _SeamRun | None, turns: _Turns
) -> list[MatchMark]:
    wanted = [chain.length / 2]
    if chain.closed:
        wanted.append(0.0)
    if seam.id.role is SeamRole.BASE:
        # A base is pinned by the middles of its four sides: it is alike left and right, front and
        # back, so that these are the quarters.
        wanted += [chain.length / 4, 3 * chain.length / 4]
    if mate is not None:
        opposite = [chain.opposite(mate, at) for at in mate.joints()]
        wanted += [at for at in opposite if at < chain.length - NEAR]
        wanted += turns.hidden
    seen, places = list(turns.seen), list[float]()
    for at in sorted(wanted):
        if all(abs(at - each) > NEAR for each in seen):
            seen.append(at)
            places.append(at)
    return chain.marks(draft, places, seam.id)


def _snips(
    draft: Draft, seam: Seam, chain: _SeamRun, wanted: Sequence[float], turns: _Turns
) -> list[MatchMark]:
    """Clips, where its mate turns."""
    # Where this side has a seam or a corner, or curves itself, it needs no clip.
    arcs = [(each.start, each.end) for each in chain.parts if each.edge.turn]
    places = [
        at
        for at in sorted(wanted)
        if at < chain.length
        and all(abs(at - each) > NEAR for each in turns.seen)
        and not any(start < at < end for start, end in arcs)
    ]
    return chain.marks(draft, places, seam.id)


def _round(chain: _SeamRun) -> Iterator[float]:
    """Where what is sewn round the outside of an arc is clipped.

    A stretch c that stays straight lies off an arc of radius r by c^2 / (8 r).
    """
    for part in chain.parts:
        if part.edge.turn > 0.0:
            length = part.end - part.start
            radius = length / (part.edge.turn * (part.last - part.first))
            count = math.ceil(length / math.sqrt(8 * radius * UNCLIPPED))
            yield from (part.start + (number + 0.5) * length / count for number in range(count))
