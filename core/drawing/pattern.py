"""One piece as drawing records, in its own frame: mm, y up.

`core.drawing.layout` puts pieces beside each other.
The cut line comes twice: one `Polygon`, the area of the piece, to fill; and one `Line`
for each edge, which carries its `EdgeRef`, to stroke, to point at and to light.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from core.bag.bag import Bag
from core.bag.compute import Result
from core.base.sentences import Last, Listing, Sentence, say, typed
from core.base.tolerance import LENGTH_TOLERANCE, shorter
from core.drawing.lettering import PLAIN, Wording
from core.drawing.records import DrawingRecord, Line, Polygon
from core.flat.geometry import distance_to_segment
from core.flat.ink import Ink
from core.flat.match_marks import MatchMark
from core.flat.piece import (
    CutFrom,
    Dimension,
    Edge,
    Mark,
    MarkStyle,
    Piece,
    Point,
    along,
    edge_between,
    overall,
)
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, PieceId
from core.flat.rounding import corner_text
from core.flat.seam import Draft
from core.flat.stitch import StitchOutline, stitch_outline

_MARK_INKS = {
    MarkStyle.PLACEMENT: Ink.PLACEMENT,
    MarkStyle.STITCHING: Ink.STITCH,
    MarkStyle.HALFWAY: Ink.NOTCH,
}


_PAST = 6.0
"""How far the line at which a handle's stitching ends runs past the handle, mm."""
NOTCH = 6.0
"""The longest notch, mm (common practice, no source)."""
_BEFORE = 2.5
"""Before the stitch line a clip ends by one stitch of a seam, mm; the machine's room, which has its
length, is not loaded before a pattern is drawn."""
_LONGEST_NAME = 40
"""Letters of a bag's name that stand on its pieces."""


class DrawOptions(NamedTuple):
    """What is drawn besides the lines that are cut, sewn and folded.

    Attributes:
        text_height: of a capital, mm. The name is larger, small labels are smaller.
        layers: roles of the sandwich's goods, outermost first.
        baste_line: distance of the basting line from the cut edge, mm; None draws none.
        labels: the name with which bag, how many to cut from what, size and notes under it,
            small labels, and the grain arrow.
        bag: name and finished size of the bag.
        joins: lines in the piece's own frame where two pages meet: details keep off them.
        notches: where seams match, of any piece.
        clips: where allowances are clipped, of any piece.
        wording: how lengths and texts reach the reader.
    """

    text_height: float = 3.2
    layers: tuple[str, ...] = ()
    baste_line: float | None = None
    labels: bool = True
    bag: Sentence | None = None
    joins: tuple[tuple[Point, Point], ...] = ()
    notches: tuple[MatchMark, ...] = ()
    clips: tuple[MatchMark, ...] = ()
    wording: Wording = PLAIN


def draw_piece(
    piece: Piece, outline: StitchOutline, options: DrawOptions | None = None
) -> tuple[DrawingRecord, ...]:
    """Everything about one piece, mm, in its own frame.

    Of stitch lines that are not sound, those that can be are drawn.
    """
    options = options or DrawOptions()
    records: list[DrawingRecord] = [Polygon(Ink.CUT, piece.cut_outline, piece.label)]
    records += _marks(piece)
    if options.baste_line:
        baste = baste_lines(piece, options.baste_line, layers=len(options.layers))
        records += [Line(Ink.BASTE, points, piece=piece.label) for points in baste]
    records += _folds(piece, outline)
    records += _stitches(piece, outline)
    records += _cuts(piece)
    records += _snips(piece, options)
    if options.labels:
        records += _labels(piece, outline, records, options)
    return tuple(records)


def cutting_text(piece: Piece, layers: tuple[str, ...]) -> Sentence:
    """How many to cut from what: one short sentence without its full stop."""
    numbers = {"count": piece.count}
    if piece.cut_from is CutFrom.BOUGHT:
        return say("{count} needed", numbers=numbers)
    if piece.cut_from is CutFrom.SHEET:
        return say("cut {count} from board", numbers=numbers)
    fold = any(edge.id.role is EdgeRole.CENTRE for edge in piece.edges)
    if piece.cut_from is CutFrom.EVERY_LAYER and len(layers) > 1:
        return say(
            "cut {count} on the fold from each layer: {goods}"
            if fold
            else "cut {count} from each layer: {goods}",
            numbers=numbers,
            words={"goods": Listing(layers, Last.COMMA)},
        )
    return say(
        "cut {count} on the fold from {goods}" if fold else "cut {count} from {goods}",
        numbers=numbers,
        terms={"goods": typed(layers[0]) if layers else CutFrom.CLOTH.value},
    )


def size_text(piece: Piece) -> Sentence:
    """How large it is cut, and which way its grain runs where it has one."""
    width, height = piece.width, piece.height
    if piece.cut_from in (CutFrom.BOUGHT, CutFrom.SHEET):
        return say("{width} × {height}", width=width, height=height)
    across = abs(piece.grain[0]) > abs(piece.grain[1])
    side = width if across else height
    return say(
        "{width} × {height}, grain along the {side} side", width=width, height=height, side=side
    )


def bag_text(result: Result) -> Sentence:
    """Name and finished size of a bag, as it stands on each of its pieces."""
    name = " ".join(result.bag.name.split())
    words = {"name": f"{name[:_LONGEST_NAME]}…" if len(name) > _LONGEST_NAME else name}
    # A size of nothing, or below it, is that of no bag: the findings tell of it.
    body = result.bag.body
    lengths = {name: result.finished[name] or 0.0 for name in body.SOLVING.asked}
    if not (body.SIZE_TOLD and all(shorter(0.0, each) for each in lengths.values())):
        return typed(words["name"])
    size = Sentence(body.SIZE_TOLD, lengths)
    return say("{name}, {size}", terms={"size": size}, words=words) if words["name"] else size


def _cuts(piece: Piece) -> list[DrawingRecord]:
    """The cut line edge by edge; where it is trimmed to later, what is cut first as well."""
    sides = piece.cut_sides
    records: list[DrawingRecord] = []
    for edge in piece.edges:
        ref, start, end, _, heading, _, turn = edge
        if (edge.length if turn else along(heading, start, end)) <= 0.0:
            continue
        is_cut = not sides or lies_on(edge, sides)
        if is_cut or piece.trimmed:
            ink = Ink.CUT if is_cut else Ink.TRIM
            ink = Ink.FOLD if ref.role is EdgeRole.CENTRE else ink
            line = edge.line if turn else (start, end)
            records.append(Line(ink, line, EdgeRef(piece.id, ref), piece.label))
    for side in sides:
        records += [Line(Ink.CUT, rest, piece=piece.label) for rest in _uncovered(side, piece)]
    return records


def _first_edges(piece: Piece) -> tuple[Edge, ...]:
    """The edges of what is cut first: of a rough outline, its sides."""
    if piece.rough is None:
        return piece.edges
    centre = [edge for edge in piece.edges if edge.id.role is EdgeRole.CENTRE]
    found = []
    for number, side in enumerate(piece.cut_sides):
        is_centre = any(lies_on(edge, (side,)) for edge in centre)
        role = EdgeRole.CENTRE if is_centre else EdgeRole.RIM
        found.append(edge_between(EdgeId(role, number=number), *side, allowance=0.0))
    return tuple(found)


_Side = tuple[Point, Point]


def lies_on(edge: Edge, sides: Iterable[_Side]) -> bool:
    """Whether a straight edge is part of one of these lines."""
    return not edge.turn and any(
        all(distance_to_segment(at, *side) < LENGTH_TOLERANCE for at in (edge.start, edge.end))
        for side in sides
    )


def _uncovered(side: _Side, piece: Piece) -> list[_Side]:
    """What of a side of the rough outline no edge of the piece lies on."""
    (x0, y0), (x1, y1) = side
    length = math.hypot(x1 - x0, y1 - y0)
    heading = ((x1 - x0) / length, (y1 - y0) / length)
    taken = sorted(
        sorted(along(heading, side[0], at) for at in (edge.start, edge.end))
        for edge in piece.edges
        if lies_on(edge, (side,))
    )
    rest: list[_Side] = []
    reached = 0.0
    for low, high in (*taken, [length, length]):
        if low - reached > LENGTH_TOLERANCE:
            ends = [(x0 + at * heading[0], y0 + at * heading[1]) for at in (reached, low)]
            rest.append((ends[0], ends[1]))
        reached = max(reached, high)
    return rest


def _snips(piece: Piece, options: DrawOptions) -> Iterator[DrawingRecord]:
    """Notches, and clips that end before the stitch line; none at what is trimmed to later."""
    if not (options.notches or options.clips):
        return
    allowances = {edge.id: edge.allowance for edge in piece.edges}
    right, sides = piece.bounds[2] + LENGTH_TOLERANCE, piece.cut_sides
    for ink, marks in ((Ink.NOTCH, options.notches), (Ink.CLIP, options.clips)):
        for where, edge, at, (nx, ny), _ in marks:
            allowance = allowances.get(edge, 0.0) if where == piece.id else 0.0
            deep = min(allowance, NOTCH)
            if ink is Ink.CLIP:  # to one stitch before the stitch line, as its step says
                deep = max(allowance - _BEFORE, allowance / 2)
            # Of a piece that is cut on the fold one half is drawn.
            if deep > 0.0 and at[0] <= right and (not sides or _is_cut_there(at, sides)):
                yield Line(ink, (at, (at[0] + deep * nx, at[1] + deep * ny)), None, piece.label)


def _is_cut_there(at: Point, sides: tuple[_Side, ...]) -> bool:
    return any(distance_to_segment(at, *side) < LENGTH_TOLERANCE for side in sides)


def _stitches(piece: Piece, outline: StitchOutline) -> list[DrawingRecord]:
    """Stitch lines of edges that are sewn; one that neighbours overrun is left out."""
    records: list[DrawingRecord] = []
    before = outline.corners[0]
    corners = (*outline.corners[1:], before)
    for end, (edge, _, _, allowance, heading, _, turn) in zip(corners, piece.edges, strict=True):
        start, before = before, end
        if allowance <= 0.0:
            continue
        line: tuple[Point, ...] = (start, end)
        if turn:
            line = outline.drawn(edge)
            is_there = outline.length(edge) > 0.0
        else:
            is_there = along(heading, start, end) > 0.0
        if is_there:
            records.append(Line(Ink.STITCH, line, EdgeRef(piece.id, edge), piece.label))
    return records


def _folds(piece: Piece, outline: StitchOutline) -> list[DrawingRecord]:
    """Folds run out to the cut line, where they can be snipped or pinned."""
    lines: list[DrawingRecord] = []
    for fold in piece.folds:
        (left, _), (right, _) = outline.fold_line(fold)
        left -= piece.edge(fold.start_edge).allowance
        right += piece.edge(fold.end_edge).allowance
        if piece.rough is not None:
            left, right = (min(left, piece.bounds[0]), max(right, piece.bounds[2]))
        if right > left:
            lines.append(Line(Ink.FOLD, ((left, fold.y), (right, fold.y)), piece=piece.label))
    return lines


def _marks(piece: Piece) -> list[DrawingRecord]:
    records: list[DrawingRecord] = []
    left, _, right, _ = piece.bounds
    for mark in piece.marks:
        ink = _MARK_INKS[mark.style]
        points = (*mark.points, mark.points[0]) if mark.closed else mark.points
        records.append(Line(ink, points, piece=piece.label))
        for (x0, y), (x1, _) in end_lines(mark):
            far = (max(min(x0, x1) - _PAST, left), y), (min(max(x0, x1) + _PAST, right), y)
            records.append(Line(ink, far, piece=piece.label))
    return records


def end_lines(mark: Mark) -> list[tuple[Point, Point]]:
    """The far side of a mark at which something ends; none of a mark that was cut through it."""
    if mark.end is None or len(mark.points) < 4:
        return []
    return [(mark.points[1], mark.points[2])]


def baste_lines(piece: Piece, distance: float, *, layers: int) -> list[tuple[Point, ...]]:
    """Basting runs round a piece of several layers, inside every allowance, mm.

    Args:
        distance: from the cut edge, mm, > 0.
        layers: how many the sandwich has.
    """
    if piece.cut_from is not CutFrom.EVERY_LAYER or layers == 1:
        return []
    edges = tuple(
        edge._replace(allowance=0.0 if edge.id.role is EdgeRole.CENTRE else distance)
        for edge in _first_edges(piece)
    )
    inside = stitch_outline(replace(piece, edges=edges))
    if not inside.sound:
        return []
    return [inside.drawn(edge.id) for edge in edges if edge.allowance > 0.0]


def _labels(
    piece: Piece, outline: StitchOutline, records: Iterable[DrawingRecord], options: DrawOptions
) -> list[DrawingRecord]:
    """Name, small labels and grain arrow, each where nothing else is drawn."""
    from core.drawing.labels import Labels  # the window letters its pieces in its own way

    wording = options.wording
    lines = [each.points for each in records if isinstance(each, Line)]
    labels = Labels(piece, outline, lines, options.text_height, wording, joins=options.joins)
    told = (options.bag, cutting_text(piece, options.layers), size_text(piece), corner_text(piece))
    details = [wording.say(each) for each in told if each is not None]
    notes = [wording.say(each) for each in piece.notes]
    labels.add_title(details, notes)
    labels.add_ends()
    labels.add_grain()
    for fold in piece.folds:
        labels.add_fold(fold, outline)
    heights: set[float] = set()
    for mark in piece.marks:
        for start, _ in end_lines(mark):
            if mark.end is not None and start[1] not in heights:
                labels.add_end(wording.say(mark.end), start)
                heights.add(start[1])
    for mark in _worth_a_label(piece.marks):
        labels.add_mark(mark)
    return labels.records


def _worth_a_label(marks: tuple[Mark, ...]) -> list[Mark]:
    """Placement lines, and of halfway marks across the piece the first of each name.

    Lines that go on in one another (front and back half of one outline) need one name. A
    short mark at an edge, as in the middle of the top, needs no words.
    """
    ends: set[tuple[object, Point]] = set()
    found: list[Mark] = []
    for mark in marks:
        if mark.style is MarkStyle.PLACEMENT:
            which = (mark.owner, mark.role)
            own = {(which, mark.points[0]), (which, mark.points[-1])}
            if mark.closed or not own & ends:
                found.append(mark)
            ends |= own
        elif mark.style is MarkStyle.HALFWAY:
            (x0, y0), (x1, y1) = mark.points[0], mark.points[-1]
            known = any((each.owner, each.role) == (mark.owner, mark.role) for each in found)
            if abs(x1 - x0) > abs(y1 - y0) and not known:
                found.append(mark)
    return found


def draft_dimensions(bag: Bag, draft: Draft) -> dict[PieceId, tuple[Dimension, ...]]:
    """The sizes beside each piece, those of its owner first; sizes of nothing are left out."""
    own: dict[PieceId, tuple[Dimension, ...]] = {}
    others: dict[PieceId, tuple[Dimension, ...]] = {}
    for name, owner in bag.members:
        for where, sizes in owner.dimensions(draft).items():
            if where.owner == name:
                own[where] = sizes
            else:
                others[where] = others.get(where, ()) + sizes
    found = {}
    for piece in draft.pieces:
        told = (own.get(piece.id) or overall(piece)) + others.get(piece.id, ())
        found[piece.id] = tuple([each for each in told if each.start != each.end])
    return found
