"""Sewing two panels and their strip, flat: cut, marked, joined, staystitched and clipped. mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import Last, Listing, Plural, Sentence, Template, mark, plural, say
from core.base.tolerance import same_length
from core.bodies.gusset_strip.clips import clip_operations
from core.bodies.gusset_strip.closing import (
    CLIPPED,
    JOINED,
    closing_operations,
    joins_of,
    strip_pieces,
)
from core.bodies.gusset_strip.words import words_of
from core.flat.piece import Piece
from core.flat.roles import Face
from core.work.bench import Bench
from core.work.operation import (
    Action,
    Marking,
    MarkingStage,
    Measure,
    Operation,
    Phase,
    Stitching,
    measured,
)
from core.work.scene import FlatScene, PieceScene
from core.work.states import BASE, CUT, LINED, OUTLINE_CUT, STRAPS_LAID, State

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

_JOINS_OVERCAST = State("the raw edges of the strip's joins are overcast")


def strip_operations(bench: Bench, body: "StripBody") -> tuple[Operation, ...]:
    """From the cut pieces to the finished bag."""
    return (
        _cut_panels(bench, body),
        *_cut_strip(bench, body),
        *_join_strip(bench, body),
        *clip_operations(bench, body),
        *closing_operations(bench, body),
    )


# --- cut ---


def _goods(bench: Bench) -> dict[str, str | Listing]:
    return {"goods": Listing([layer.role for layer in bench.layers], Last.COMMA)}


def _cut_panels(bench: Bench, body: "StripBody") -> Operation:
    """Both at once: they are alike."""
    words = words_of(body)
    first, second = (panel_of(bench, face) for face in body.MAKES.panels)
    wide, high = body.face_cut_width, body.face_cut_height
    template = mark(
        "From the {goods} cut two {panels}, {face_cut_width} wide and {face_cut_height} high."
    )
    if bench.layered:
        template = mark(
            "From each layer ({goods}) cut two {panels}, {face_cut_width} wide and "
            "{face_cut_height} high, all of the same size."
        )
    terms = {"panels": words.panels}
    do = [
        say(template, words=_goods(bench), terms=terms, face_cut_width=wide, face_cut_height=high),
        *_rounded(body),
        *bench.cut_larger,
        say(words.write_on_layers if bench.layered else words.write),
    ]
    rounded = body.corner_rounding > 0.0 or body.upper_rounding > 0.0
    check = say("Both diagonals of each are the same, so that the corners are square.")
    if rounded:
        check = say("Fold each in half, side on side: both halves are alike.")
    return Operation(
        key=f"cut {first.label} and {second.label}",
        phase=Phase.CUT,
        action=Action.CUT,
        title=say(words.cut_panels),
        instructions=tuple(do),
        check=check,
        measures=(
            measured("face_cut_width", wide, first.id, *_top_line(first)),
            measured("face_cut_height", high, first.id, *_side_line(first)),
            *_roundings(body, first),
        ),
        makes=(CUT.for_(first.id), CUT.for_(second.id), OUTLINE_CUT),
        pieces=(first.id, second.id),
        scene=PieceScene(),
    )


def panel_of(bench: Bench, face: Face) -> Piece:
    """The panel that makes a face."""
    return bench.draft.piece(bench.faces[face])


def _top_line(piece: Piece) -> tuple[tuple[float, float], tuple[float, float]]:
    left, _, right, top = piece.bounds
    return (left, top), (right, top)


def _side_line(piece: Piece) -> tuple[tuple[float, float], tuple[float, float]]:
    _, low, right, top = piece.bounds
    return (right, low), (right, top)


def _rounded(body: "StripBody") -> Iterator[Sentence]:
    """How its corners are cut round."""
    lower, upper = body.corner_rounding, body.upper_rounding
    if lower > 0.0 and upper > 0.0 and same_length(lower, upper):
        yield say(
            "Round all four corners to a radius of {corner_rounding}: set the compass that far in "
            "from both edges.",
            corner_rounding=lower,
        )
        return
    if lower > 0.0:
        yield say(
            "Round the two lower corners to a radius of {corner_rounding}: set the compass that "
            "far in from both edges.",
            corner_rounding=lower,
        )
    if upper > 0.0:
        yield say(
            "Round the two upper corners to a radius of {upper_rounding}: set the compass that "
            "far in from both edges.",
            upper_rounding=upper,
        )


def _roundings(body: "StripBody", piece: Piece) -> Iterator[Measure]:
    """How far its right corners are rounded."""
    _, low, right, top = piece.bounds
    for name, radius, y in (
        ("corner_rounding", body.corner_rounding, low),
        ("upper_rounding", body.upper_rounding, top),
    ):
        if radius > 0.0:
            yield measured(name, radius, piece.id, (right - radius, y), (right, y))


def _cut_strip(bench: Bench, body: "StripBody") -> Iterator[Operation]:
    """Its pieces: one step for all that are of one length."""
    groups: list[list[Piece]] = []
    for piece in map(bench.draft.piece, strip_pieces(body)):
        like = (each for each in groups if same_length(each[0].height, piece.height))
        group = next(like, None)
        if group is None:
            groups.append([piece])
        else:
            group.append(piece)
    for pieces in groups:
        yield _cut_alike(bench, body, pieces)


def _cut_alike(bench: Bench, body: "StripBody", pieces: list[Piece]) -> Operation:
    words, piece, count = words_of(body), pieces[0], len(pieces)
    whole = body.strip_pieces == 1
    sizes = {"strip_width": piece.width, "strip_length" if whole else "piece_length": piece.height}
    if whole:
        template: Template | Plural = _CUT_WHOLE_OF_EACH if bench.layered else _CUT_WHOLE
    else:
        template = _CUT_PIECES_OF_EACH if bench.layered else _CUT_PIECES
    labels = Listing([each.label for each in pieces])
    write = say(words.write_ends)
    if not whole:
        write = say(
            "Write on each which one it is: {pieces}. Write “top” at the ends that lie at the top "
            "of the bag.",
            terms={"pieces": labels},
        )
    return Operation(
        key=f"cut {piece.label}",
        phase=Phase.CUT,
        action=Action.CUT,
        title=say(words.cut_strip)
        if whole
        else say(
            "Cut the pieces of the {strip}: {pieces}",
            terms={"strip": words.strip, "pieces": labels},
        ),
        instructions=(
            say(
                template,
                words=_goods(bench),
                terms={"strip": words.strip},
                numbers={} if whole else {"count": count},
                **sizes,
            ),
            *bench.cut_larger,
            write,
        ),
        check=say("Both long edges are straight, and the ends are square to them."),
        measures=(
            measured("strip_width", piece.width, piece.id, *_top_line(piece)),
            measured(
                "strip_length" if whole else "piece_length",
                piece.height,
                piece.id,
                *_side_line(piece),
            ),
        ),
        makes=(*(CUT.for_(each.id) for each in pieces), OUTLINE_CUT),
        pieces=tuple(each.id for each in pieces),
        scene=PieceScene(),
    )


_CUT_WHOLE = mark("From the {goods} cut the {strip}, {strip_width} wide and {strip_length} long.")
_CUT_WHOLE_OF_EACH = mark(
    "From each layer ({goods}) cut the {strip}, {strip_width} wide and {strip_length} long."
)
_CUT_PIECES = plural(
    "From the {goods} cut 1 piece of the {strip}, {strip_width} wide and {piece_length} long.",
    "From the {goods} cut {count} pieces of the {strip}, {strip_width} wide and {piece_length} "
    "long.",
)
_CUT_PIECES_OF_EACH = plural(
    "From each layer ({goods}) cut 1 piece of the {strip}, {strip_width} wide and {piece_length} "
    "long.",
    "From each layer ({goods}) cut {count} pieces of the {strip}, {strip_width} wide and "
    "{piece_length} long.",
)


# --- marked ---


def strip_markings(bench: Bench, body: "StripBody") -> tuple[Marking, ...]:
    """The middles and the corners of the panels, where the strip is to meet them."""
    words, wide = words_of(body), body.face_cut_width
    name = bench.faces[body.MAKES.panels[0]]
    left, low, right, top = bench.draft.piece(name).bounds
    middles = say(words.middles, middle=wide / 2)
    measures = [measured("middle", wide / 2, name, (left, low), (left + wide / 2, low))]
    do = [say("Work on the right side."), middles]
    seam = body.gusset_seam
    rounds = (
        ("corner_rounding", body.corner_rounding, low, 1.0, _LOWER_ARCS, _LOWER_CORNERS),
        ("upper_rounding", body.upper_rounding, top, -1.0, _UPPER_ARCS, _UPPER_CORNERS),
    )
    for figure, radius, y, up, arcs, corners in rounds[: 2 if body.closed else 1]:
        if radius > 0.0:
            do.append(Sentence(arcs, {figure: radius}))
            measures.append(measured(figure, radius, name, (right - radius, y), (right, y)))
        elif seam > 0.0:
            do.append(say(corners, gusset_seam=seam))
            at = (right - seam, y), (right - seam, y + up * seam)
            measures.append(measured("gusset_seam", seam, name, *at))
    return (
        Marking(
            stage=MarkingStage.JOINS,
            instructions=tuple(do),
            check=say("Every mark reaches the raw edge: it must be seen with the strip on top."),
            measures=tuple(measures),
        ),
    )


_LOWER_ARCS = mark(
    "Mark both ends of each lower corner's arc, {corner_rounding} from the side edge and from the "
    "bottom edge."
)
_UPPER_ARCS = mark(
    "Mark both ends of each upper corner's arc, {upper_rounding} from the side edge and from the "
    "top edge."
)
_LOWER_CORNERS = mark(
    "At both lower corners mark the corner stitch, {gusset_seam} from both edges."
)
_UPPER_CORNERS = mark(
    "At both upper corners mark the corner stitch, {gusset_seam} from both edges."
)


# --- joined ---


def _join_strip(bench: Bench, body: "StripBody") -> tuple[Operation, ...]:
    """The pieces of the strip, end to end, before anything runs across; none where it is one."""
    pieces, words = strip_pieces(body), words_of(body)
    if len(pieces) == 1:
        return ()
    seam, name = body.strip_seam, pieces[0]
    terms = {"strip": words.strip}
    _, _, right, top = bench.draft.piece(name).bounds
    do = [
        say(
            "Lay the pieces out in their order, the ends marked “top” outermost: {pieces}.",
            terms={"pieces": Listing([bench.draft.piece(each).label for each in pieces])},
        ),
        say(
            "Join them end to end: right sides together, ends level, sew {strip_seam} from the "
            "edge.",
            strip_seam=seam,
        ),
        say(plural("Press the seam open.", "Press the {count} seams open."),
            numbers={"count": len(pieces) - 1}),
    ]  # fmt: skip
    if bench.lining_last:
        lining = Listing([layer.role for layer in bench.last_laid])
        do.append(
            say(
                "Join the pieces of the {lining} in the same way, separately, and finger-press "
                "their seams open.",
                words={"lining": lining},
            )
        )
    join = Operation(
        key="join strip",
        phase=Phase.JOIN_FLAT,
        action=Action.JOIN,
        title=say("Join the pieces of the {strip}", terms=terms),
        instructions=tuple(do),
        why=say("Its middle and its corners are marked once it is one piece."),
        check=say("The long edges run on straight, with no step at a seam."),
        needs=(BASE,),
        until=(LINED, *bench.flat_ends),
        measures=(measured("strip_seam", seam, name, (right, top - seam), (right, top)),),
        makes=(JOINED,),
        pieces=pieces,
        seams=joins_of(bench),
        setting=bench.seam,
        stitching=_join_lines(bench, body),
        allowance=seam,
        pressing=bench.base_iron,
        scene=FlatScene(pieces=pieces),
    )
    # A lining laid in last hides the raw edges, its own among them.
    return (join,) if bench.lining_last else (join, _overcast_joins(bench, body))


def _join_lines(bench: Bench, body: "StripBody") -> tuple[Stitching, ...]:
    length = (body.strip_pieces - 1) * body.strip_width
    outer = Stitching(mark("joins of the strip"), length, 2 * bench.base)
    if not bench.lining_last:
        return (outer,)
    return (
        outer,
        Stitching(mark("joins of the strip's lining"), length, 2 * (bench.wall - bench.base)),
    )


def _overcast_joins(bench: Bench, body: "StripBody") -> Operation:
    pieces = strip_pieces(body)
    seams = map(bench.draft.seam, joins_of(bench))
    return Operation(
        key="overcast strip joins",
        phase=Phase.JOIN_FLAT,
        action=Action.OVERCAST,
        title=say("Overcast the raw edges of the joins"),
        instructions=(
            say(
                "Sew a zigzag over the raw edge of each allowance separately, with the {strip} "
                "folded out of the way.",
                terms={"strip": words_of(body).strip},
            ),
        ),
        why=say("The edges stay visible inside the bag and can no longer be reached later."),
        check=say("The seams are still pressed open."),
        needs=(JOINED,),
        until=(STRAPS_LAID, CLIPPED, *bench.flat_ends),
        measures=bench.second_rows_measures,
        makes=(_JOINS_OVERCAST,),
        pieces=pieces,
        edges=tuple(ref for seam in seams for ref in seam.edges),
        setting=bench.overcast,
        stitching=(
            Stitching(
                mark("overcasting the joins of the strip"),
                2 * (body.strip_pieces - 1) * body.strip_width,
                bench.wall,
            ),
        ),
        without_change=bench.second_row,
        scene=FlatScene(pieces=pieces),
    )
