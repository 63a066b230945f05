"""Where the strip turns its corners: marked, staystitched and clipped while it lies flat. mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import Plural, Sentence, Template, mark, plural, say
from core.bodies.clipping import clip_caution, clip_check, clip_path, stay_check, stay_line
from core.bodies.gusset_strip.closing import CLIPPED, JOINED, strip_pieces
from core.bodies.gusset_strip.corner_drawings import Corner, corner_scene, stay_paths
from core.bodies.gusset_strip.draft import RIGHT_ANGLE
from core.bodies.gusset_strip.words import words_of
from core.flat.geometry import Bounds
from core.flat.match_marks import MatchMark, seam_marks
from core.flat.piece import Point
from core.flat.roles import PieceId, SeamRole
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH, as_set
from core.work.operation import (
    Action,
    Measure,
    Operation,
    Phase,
    Stitching,
    measured,
)
from core.work.scene import WIDE, FlatScene
from core.work.states import WALL, State

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

_CORNERS_MARKED = State("the strip's corners are marked")
_STAYED = State("the strip's corners are staystitched")


def corners_of(body: "StripBody") -> tuple[Corner, ...]:
    """The lower one, and round a closed ring the upper one, of either side."""
    start = body.bottom_half - body.stitched_radius
    end = start + body.lower_arc
    lower = Corner(start, end, upper=False)
    if not body.closed:
        return (lower,)
    upper = body.stitched_upper_radius
    end = body.drawn_edge / 2 - (body.bottom_half - upper)
    return lower, Corner(end - upper * RIGHT_ANGLE, end, upper=True)


def clip_operations(bench: Bench, body: "StripBody") -> tuple[Operation, ...]:
    """The marks on the strip, and what its allowance needs to go round; no seam takes no clip."""
    halves = top_halves(bench, body)
    marked = (_mark_strip(bench, body), *(_mark_top(bench, body, halves) if halves else ()))
    if body.gusset_seam <= 0.0:
        return marked
    return (*marked, _staystitch(bench, body, halves), _clip(bench, body, halves))


def top_halves(bench: Bench, body: "StripBody") -> tuple[PieceId, ...]:
    """What of a top is sewn to the panels beside the strip."""
    ring = bench.seams(SeamRole.RING) if body.closed else ()
    found = (ref.piece for each in ring for ref in each.seam.other)
    return tuple(dict.fromkeys(each for each in found if each.owner != "body"))


def _on_strip(body: "StripBody", at: float) -> bool:
    """Whether a place of the ring lies on the strip, and not on what closes it."""
    return at <= body.drawn_strip / 2


# --- marked ---


def _mark_strip(bench: Bench, body: "StripBody") -> Operation:
    pieces, words = strip_pieces(body), words_of(body)
    terms = {"strip": words.strip}
    middle = _FOLD if body.strip_pieces % 2 else _AT_JOIN
    do = [say(middle, terms=terms)]
    measures: list[Measure] = []
    for corner in corners_of(body):
        names = ("upper_start", "upper_end") if corner.upper else ("corner_start", "corner_end")
        sentence, told = _told(body, corner, names)
        if sentence is not None:
            do.append(sentence)
            measures += _along_strip(bench, body, told)
    own = (each for each in corners_of(body) if _on_strip(body, each.start))
    square = next((each for each in own if not each.is_round), None)
    if square is not None:
        do.append(say(_CORNER_STITCH, gusset_seam=body.gusset_seam))
        edge, at = (0.0, square.start), (body.gusset_seam, square.start)
        name = _holds(body, square.start)
        measures.append(measured("gusset_seam", body.gusset_seam, name, edge, at))
    return Operation(
        key="mark strip",
        phase=Phase.JOIN_FLAT,
        action=Action.MARK,
        title=say("Mark the corners on the {strip}", terms=terms),
        instructions=tuple(do),
        why=say(
            "Along the stitch line the {strip} is as long as the edge it is sewn to.", terms=terms
        ),
        check=say("Both long edges are marked alike, and both halves."),
        caution=say("Mark on the wrong side too: it lies uppermost while you sew."),
        needs=(WALL,),
        after=(JOINED,),
        until=bench.flat_ends,
        measures=tuple(measures),
        makes=(_CORNERS_MARKED,),
        pieces=pieces,
        edges=(),
        scene=FlatScene(pieces=pieces, window=_upper_half(bench, body)),
    )


_CORNER_STITCH = mark(
    "At each square corner's mark add the corner stitch, {gusset_seam} from the edge."
)
_FOLD = mark(
    "Fold the {strip} in half, end on end: the fold is the middle of its bottom. Mark it at both "
    "long edges."
)
_AT_JOIN = mark("The middle join of the {strip} is the middle of its bottom.")
_LOWER_ROUND = mark(
    "From there measure along both long edges to either side, and mark where a lower corner begins "
    "({corner_start}) and where it ends ({corner_end})."
)
_LOWER_SQUARE = mark(
    "From there measure {corner_start} along both long edges to either side, and mark the lower "
    "corner."
)
_UPPER_ROUND = mark(
    "In the same way mark where an upper corner begins ({upper_start}) and where it ends "
    "({upper_end})."
)
_UPPER_BEGINS = mark(
    "In the same way mark where an upper corner begins ({upper_start}): it ends on the top strip."
)
_UPPER_SQUARE = mark("In the same way mark the upper corner, at {upper_start}.")


def _told(
    body: "StripBody", corner: Corner, names: tuple[str, str]
) -> tuple[Sentence | None, dict[str, float]]:
    """What is said of a corner on the strip, and its lengths from the middle of the bottom."""
    if not _on_strip(body, corner.start):
        return None, {}
    template = _UPPER_SQUARE if corner.upper else _LOWER_SQUARE
    told = {names[0]: corner.start}
    if corner.is_round and _on_strip(body, corner.end):
        template = _UPPER_ROUND if corner.upper else _LOWER_ROUND
        told[names[1]] = corner.end
    elif corner.is_round:
        template = _UPPER_BEGINS if corner.upper else _LOWER_SQUARE
    return Sentence(template, told), told


def _along_strip(bench: Bench, body: "StripBody", told: dict[str, float]) -> Iterator[Measure]:
    """From the middle of the bottom along the right long edge."""
    for name, at in told.items():
        x = body.strip_width
        yield measured(name, at, _holds(body, at), (x, 0.0), (x, at))


def _holds(body: "StripBody", at: float) -> PieceId:
    """The piece of the strip that holds a place of its upper half."""
    for number, piece in enumerate(strip_pieces(body)):
        if at <= body.strip_ends(number)[1]:
            return piece
    return strip_pieces(body)[-1]


def _upper_half(bench: Bench, body: "StripBody") -> Bounds:
    """From a little before the middle of the bottom to the end of the strip."""
    top = max(bench.draft.piece(each).bounds[3] for each in strip_pieces(body))
    return (0.0, -0.15 * top, body.strip_width, top)


def _mark_top(
    bench: Bench, body: "StripBody", halves: tuple[PieceId, ...]
) -> tuple[Operation, ...]:
    """The middle of the top strip, and the corners where it reaches down beyond them."""
    half = body.drawn_edge / 2
    upper = corners_of(body)[-1]
    # Counted from the middle of the top a corner begins where it ends from below.
    told = {
        name: half - at
        for name, at in (("top_start", upper.end), ("top_end", upper.start))
        if not _on_strip(body, at)
    }
    do = [say("Fold the top strip in half, end on end, and mark the middle of both outer edges.")]
    if upper.is_round and len(told) == 2:
        do.append(Sentence(_TOP_ROUND, told))
    elif upper.is_round and told:
        do.append(Sentence(_TOP_BEGINS, told))
    elif told:
        told.pop("top_end", None)
        do.append(Sentence(_TOP_SQUARE, told))
        do.append(say(_CORNER_STITCH, gusset_seam=body.gusset_seam))
    first = bench.draft.piece(halves[0])
    left, low, right, _ = first.bounds
    middle = (left + right) / 2
    return (
        Operation(
            key="mark top strip",
            phase=Phase.JOIN_FLAT,
            action=Action.MARK,
            title=say("Mark the middle of the top strip"),
            instructions=tuple(do),
            why=say("It is sewn to the middle of each top edge: both sides then come out alike."),
            check=say("Both outer edges are marked alike."),
            needs=(WALL,),
            until=bench.flat_ends,
            measures=(
                *(
                    measured(name, far, first.id, (middle, low), (middle + far, low))
                    for name, far in told.items()
                ),
                *_corner_stitch(body, first.id, (middle + told.get("top_start", 0.0), low)),
            ),
            makes=(_CORNERS_MARKED,),
            pieces=halves,
            scene=FlatScene(pieces=halves[:1], paper=WIDE),
        ),
    )


def _corner_stitch(body: "StripBody", piece: PieceId, at: Point) -> Iterator[Measure]:
    """Of a square upper corner, from the edge of a half strip that lies below."""
    if not corners_of(body)[-1].is_round:
        x, y = at
        yield measured("gusset_seam", body.gusset_seam, piece, at, (x, y + body.gusset_seam))


_TOP_ROUND = mark(
    "From there measure along them to either side, and mark where an upper corner begins "
    "({top_start}) and where it ends ({top_end})."
)
_TOP_BEGINS = mark(
    "From there measure along them to either side, and mark where an upper corner begins "
    "({top_start}): it ends on the long strip."
)
_TOP_SQUARE = mark(
    "From there measure {top_start} along them to either side, and mark the upper corner."
)


# --- staystitched and clipped ---


def _staystitch(bench: Bench, body: "StripBody", halves: tuple[PieceId, ...]) -> Operation:
    pieces = (*strip_pieces(body), *halves)
    line, reach = stay_line(bench, body.gusset_seam), bench.stay_reach
    corners = corners_of(body)
    paths = tuple(stay_paths(bench, body, corners, halves))
    do = [
        say(template, stay_line=line, stay_reach=reach)
        for template, is_round in ((_STAY_SQUARE, False), (_STAY_ROUND, True))
        if any(corner.is_round is is_round for corner in corners)
    ]
    do += [say(_OTHER_EDGE), *_where(body)]
    lower = corners[0]
    name = _holds(body, lower.start)
    # Two edges, each with these corners at either side.
    length = 4 * sum(corner.end - corner.start + 2 * reach for corner in corners)
    return Operation(
        key="staystitch strip",
        phase=Phase.JOIN_FLAT,
        action=Action.STAYSTITCH,
        title=_titled(body, _STAY_TITLES),
        instructions=tuple(do),
        why=say("The allowance is clipped here next: the stitches keep the clips from tearing on."),
        check=stay_check(),
        needs=(_CORNERS_MARKED,),
        # A corner may lie across a join.
        after=(JOINED, *bench.opening.flat_ends),
        until=bench.closing.flat_ends,
        measures=(
            measured("stay_line", line, name, (0.0, lower.end), (line, lower.end)),
            measured(
                "stay_reach",
                reach,
                name,
                (0.0, lower.start - reach),
                (0.0, lower.start),
            ),
        ),
        makes=(_STAYED,),
        pieces=pieces,
        paths=paths,
        setting=bench.seam,
        stitching=(Stitching(mark("staystitching at the corners"), length, bench.wall),),
        allowance=line,
        scene=corner_scene(bench, body, corners, halves, paths),
    )


_STAY_SQUARE = mark(
    "At each square corner sew along the long edge, {stay_line} from it, from {stay_reach} before "
    "the mark to {stay_reach} beyond it."
)
_STAY_ROUND = mark(
    "At each rounded corner sew along the long edge, {stay_line} from it, from {stay_reach} before "
    "its first mark to {stay_reach} beyond its second."
)
_OTHER_EDGE = mark("Sew along the other long edge in the same way.")
_STAY_TITLES = (
    mark("Staystitch the corners of the {strip}"),
    mark("Staystitch the corners of the {strip} and the top strip"),
)
_CLIP_TITLES = (
    mark("Clip the {strip} at the corners"),
    mark("Clip the {strip} and the top strip at the corners"),
)
_ON_TOP = mark("The lower corners lie on the {strip}, the upper ones on the top strip.")
_ACROSS = mark("The lower corners lie on the {strip}, the upper ones across its join.")


def _titled(body: "StripBody", titles: tuple[Template, Template]) -> Sentence:
    """The second of two titles where a corner lies on the top strip, at least in part."""
    beyond = not _on_strip(body, corners_of(body)[-1].end)
    return say(titles[beyond], terms={"strip": words_of(body).strip})


def _where(body: "StripBody") -> Iterator[Sentence]:
    """Which corners lie on which strip, where not all lie on one."""
    upper = corners_of(body)[-1]
    if not _on_strip(body, upper.end):
        told = _ACROSS if _on_strip(body, upper.start) else _ON_TOP
        yield say(told, terms={"strip": words_of(body).strip})


def _clip(bench: Bench, body: "StripBody", halves: tuple[PieceId, ...]) -> Operation:
    words = {"stitch": as_set(SEAM_STITCH)}
    clips = clips_of(bench, body)
    paths = tuple(clip_path(bench, each) for each in clips)
    do = [
        say(template, numbers={} if template is _CLIP_SQUARE else {"count": count}, words=words)
        for template, count in _clipped(body, clips)
    ]
    do += _where(body)
    return Operation(
        key="cut clips",
        phase=Phase.JOIN_FLAT,
        action=Action.CUT,
        title=_titled(body, _CLIP_TITLES),
        instructions=tuple(do),
        why=say("Clipped, the straight edge opens and can be laid round the corner."),
        check=clip_check(),
        caution=clip_caution(),
        needs=(_STAYED,),
        until=bench.closing.flat_ends,
        makes=(CLIPPED,),
        pieces=(*strip_pieces(body), *halves),
        paths=paths,
        scene=corner_scene(bench, body, corners_of(body), halves, paths),
    )


_CLIP_SQUARE = mark(
    "At each square corner clip both long edges once, at the mark, straight in, to one stitch "
    "({stitch}) before the stitch line."
)
_CLIP_EVERY = plural(
    "At each rounded corner clip both long edges once, midway between the two marks, to one stitch "
    "({stitch}) before the stitch line.",
    "At each rounded corner clip both long edges {count} times between the two marks, to one "
    "stitch ({stitch}) before the stitch line. Clip evenly: the outer ones half a space from the "
    "marks.",
)
_CLIP_LOWER = plural(
    "At each lower corner clip both long edges once, midway between the two marks, to one stitch "
    "({stitch}) before the stitch line.",
    "At each lower corner clip both long edges {count} times between the two marks, to one stitch "
    "({stitch}) before the stitch line. Clip evenly: the outer ones half a space from the marks.",
)
_CLIP_UPPER = plural(
    "At each upper corner clip both long edges once, midway between the two marks, to one stitch "
    "({stitch}) before the stitch line.",
    "At each upper corner clip both long edges {count} times between the two marks, to one stitch "
    "({stitch}) before the stitch line. Clip evenly: the outer ones half a space from the marks.",
)


def clips_of(bench: Bench, body: "StripBody") -> tuple[MatchMark, ...]:
    """Every clip in the seams round the panels, as it is printed."""
    rings = {each.seam.id for each in bench.seams(SeamRole.RING)}
    return tuple(each for each in seam_marks(bench.draft).clips if each.seam in rings)


def _clipped(
    body: "StripBody", clips: tuple[MatchMark, ...]
) -> Iterator[tuple[Template | Plural, int]]:
    """What is said of the clips, and how many there are at one corner of one edge."""
    corners = corners_of(body)
    counts = dict.fromkeys(corners, 0)
    for each in clips:
        at = _station(body, each)
        nearest = min(corners, key=lambda corner: abs((corner.start + corner.end) / 2 - at))
        counts[nearest] += 1
    # Two panels, each with two such corners.
    counts = {corner: -(-count // 4) for corner, count in counts.items()}
    if not all(corner.is_round for corner in corners):
        yield _CLIP_SQUARE, 1
    rounded = {corner: count for corner, count in counts.items() if corner.is_round and count}
    if len(set(rounded.values())) == 1:
        yield _CLIP_EVERY, next(iter(rounded.values()))
        return
    for corner, count in rounded.items():
        yield _CLIP_UPPER if corner.upper else _CLIP_LOWER, count


def _station(body: "StripBody", clip: MatchMark) -> float:
    """How far a clip lies from the middle of the bottom along the ring."""
    x, y = clip.at
    if clip.piece.owner == "body":
        return abs(y)
    return body.drawn_edge / 2 - abs(x - body.top_strip_length / 2)
