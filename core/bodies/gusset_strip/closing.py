"""Sewing the strip round its two panels: then neatened, turned and measured. mm."""

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from core.base.sentences import NO_TEXT, Sentence, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.findings import MATCH_NOTE
from core.bodies.finishing import measure_bag, overcast_inside, turn_bag
from core.bodies.gusset_strip.draft import strip_piece
from core.bodies.gusset_strip.sizes import GUSSET
from core.bodies.gusset_strip.words import words_of
from core.bodies.under_foot import under_foot
from core.flat.roles import Face, PieceId, SeamId, SeamRole
from core.space.zones import LineKind
from core.work.bench import Bench, ClosingWork
from core.work.operation import (
    Action,
    Measure,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    StitchPath,
    sized,
)
from core.work.scene import SEWN, FoldedView
from core.work.states import (
    OUTLINE_CUT,
    SIDES_CAUGHT,
    STRAPS_SECURED,
    TURNED,
    WALL,
    State,
)

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody

JOINED = State("the pieces of the strip are one")
CLIPPED = State("the strip is clipped at its corners")
ROUND = State("the strip is sewn round a panel")
_INSIDE = FoldedView(pitch=-24.0, yaw=38.0, wrong_side=True)
"""The bag from below, wrong side out."""


def strip_pieces(body: "StripBody") -> tuple[PieceId, ...]:
    """The pieces of the strip, from its lower end on."""
    return tuple(strip_piece(number) for number in range(body.strip_pieces))


def joins_of(bench: Bench) -> tuple[SeamId, ...]:
    """The joins of the strip's own pieces: a top tells those to its strips itself."""
    return tuple(each for each in bench.seam_ids(SeamRole.STRIP) if each.owner == "body")


def closing_of(body: "StripBody") -> ClosingWork:
    """What top, parts and wall ask of how it closes."""
    seams = tuple(ROUND.for_(face) for face in body.MAKES.panels)
    joined = body.strip_pieces > 1
    allowances = [body.gusset_seam, body.top_seam]
    allowances += [body.strip_seam] if joined or body.closed else []
    return ClosingWork(
        joined=(JOINED,) if joined else (),
        flat_ends=seams,
        sides=seams,
        every=seams,
        scene=_INSIDE,
        joins=mark("joins of the strip") if joined else NO_TEXT,
        narrowest=min(allowances),
        pierced=(mark("gusset"), *((mark("strip"),) if joined else ())),
        apart=True,
    )


def closing_operations(bench: Bench, body: "StripBody") -> tuple[Operation, ...]:
    """From the clipped strip to the finished bag."""
    return (
        *(_round_panel(bench, body, face) for face in body.MAKES.panels),
        _overcast(bench, body),
        _turn(bench),
        _measure(bench, body),
    )


def _bag_pieces(bench: Bench) -> tuple[PieceId, ...]:
    return (*bench.walls, *bench.opening.pieces)


def _round_panel(bench: Bench, body: "StripBody", face: Face) -> Operation:
    first, last = body.MAKES.panels
    is_last, words = face is last, words_of(body)
    (walked,) = bench.seams(SeamRole.RING, face)
    caught = tuple(dict.fromkeys(ref.piece for ref in walked.seam.caught))
    terms = {"panel": bench.draft.piece(bench.faces[face]).label, "strip": words.strip}
    ease = abs(walked.difference)
    way = 0 if shorter(ease, MATCH_NOTE) else 1 if walked.difference < 0.0 else -1
    do = [
        say(
            "Lay the {strip} on the {panel}, right sides together, the {strip} uppermost, and pin "
            "the middle of its bottom to the middle of the bottom edge.",
            terms=terms,
        ),
        Sentence(_PINNED[body.closed, way], {"ease": ease} if way else {}, terms=terms),
        say(
            "Sew {gusset_seam} from the edge, from the middle of the bottom round to the middle "
            "of the top. Sew the other half in the same way: {seam_length} of seam in all."
            if body.closed
            else "Sew {gusset_seam} from the edge, from the middle of the bottom to one top edge. "
            "Then sew from the middle to the other: {seam_length} of seam in all.",
            gusset_seam=body.gusset_seam,
            seam_length=walked.length,
        ),
        *_at_corners(body),
        say("Let the two halves overlap by a few stitches at both middles.")
        if body.closed
        else say("Overlap a few stitches at the middle, and backstitch at both top edges."),
    ]
    if (which := bench.opening.told_apart.get(face)) is not None:
        do.insert(2, which)
    twice = shorter(bench.near_edge, body.gusset_seam)
    if twice:
        do.append(
            say(
                "Sew a second row {close} beside it, within the allowance: it carries what the bag "
                "holds, and holds the clips.",
                close=bench.near_edge,
            )
        )
    if caught:
        do.insert(
            2,
            say("The pocket's sides are caught in the seam.")
            if body.MAKES is GUSSET
            else say("The pocket's side is caught in the seam."),
        )
    if is_last:
        do.insert(
            0,
            say("Turn the bag so far that the other long edge of the {strip} is free.", terms=terms)
        )  # fmt: skip
    why = say("Sewn from the middle outwards, both halves come out alike.")
    if is_last and bench.opening.why_side is not None:
        why = bench.opening.why_side
    stack, caution, measures = under_foot(bench, walked)
    return Operation(
        key=f"join gusset seam {face.value}",
        phase=Phase.CLOSE,
        action=Action.JOIN,
        title=say(words.round_panel[face]),
        instructions=tuple(do),
        why=why,
        check=say("No fold is caught at a corner, and all marks meet.")
        if body.closed
        else say("No fold is caught at a corner, and the top edges are level."),
        caution=caution,
        needs=(
            CLIPPED if body.gusset_seam > 0.0 else WALL,
            *bench.opening.before_folding,
            *((ROUND.for_(first), *bench.opening.way_out) if is_last else ()),
        ),
        after=(*bench.closing.joined, OUTLINE_CUT, STRAPS_SECURED, SIDES_CAUGHT),
        until=(TURNED,),
        measures=(
            *sized(MeasurePlace.FROM_EDGE, gusset_seam=body.gusset_seam),
            *sized(MeasurePlace.SEAM, seam_length=walked.length),
            *sized(MeasurePlace.DERIVED, close=bench.near_edge, ease=ease),
            *measures,
        ),
        makes=(ROUND.for_(face),),
        pieces=(*_sewn_together(bench, body, face), *caught),
        seams=(walked.seam.id,),
        setting=bench.seam,
        stitching=(
            Stitching(mark("gusset seams"), (2 if twice else 1) * max(walked.length, 0.0), stack),
        ),
        allowance=body.gusset_seam,
        scene=_TOWARDS[face] if is_last else _FIRST[face],
    )


_PINNED = {
    (True, 0): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top, and the middle of "
        "the top strip to the middle of the top edge."
    ),
    (True, 1): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top, and the middle of "
        "the top strip to the middle of the top edge. The strips are {ease} longer than the edge: "
        "spread that evenly between the marks."
    ),
    (True, -1): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top, and the middle of "
        "the top strip to the middle of the top edge. The edge is {ease} longer than the strips: "
        "spread that evenly between the marks."
    ),
    (False, 0): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top edges."
    ),
    (False, 1): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top edges. The {strip} "
        "is {ease} longer than the edge: spread that evenly between the marks."
    ),
    (False, -1): mark(
        "Pin on to either side: mark on mark at the corners, then up to the top edges. The edge is "
        "{ease} longer than the {strip}: spread that evenly between the marks."
    ),
}
"""Whether a top strip closes the ring, and whether strip (1) or panel (-1) is the longer one."""
_TOWARDS = {
    face: FoldedView(yaw=yaw, pitch=24.0, wrong_side=True)
    for face, yaw in (
        (Face.FRONT, -30.0),
        (Face.BACK, 150.0),
        (Face.LEFT, -60.0),
        (Face.RIGHT, 60.0),
    )
}
"""The bag with a panel towards the eye, wrong side out."""
_FIRST = {
    Face.FRONT: FoldedView(yaw=150.0, pitch=24.0, wrong_side=True),
    # The strip has gone round, and the end comes up to it.
    Face.LEFT: replace(_TOWARDS[Face.LEFT], share=0.62),
}
"""The first panel, where the other one is still away: seen through the gap, or as it comes up."""


def _sewn_together(bench: Bench, body: "StripBody", face: Face) -> tuple[PieceId, ...]:
    """The panel, the strip, and what of the top lies in its ring."""
    top = tuple(each for each in bench.opening.pieces if body.closed)
    return (bench.faces[face], *strip_pieces(body), *top)


def _at_corners(body: "StripBody") -> tuple[Sentence, ...]:
    radii = [body.corner_rounding, *((body.upper_rounding,) if body.closed else ())]
    square = say(
        "At each square corner stop at the corner stitch with the needle down and lift the foot. "
        "Turn the work until the clip opens and the next edges lie level, and sew on."
    )
    curved = say(
        "Round each curve sew slowly, a few stitches at a time: the clips open, and both raw edges "
        "stay level."
    )
    return (
        *((square,) if min(radii) <= 0.0 else ()),
        *((curved,) if max(radii) > 0.0 else ()),
    )


def _overcast(bench: Bench, body: "StripBody") -> Operation:
    do = [
        say("Sew a zigzag over the raw edges of both gusset seams, all layers together."),
        say("At the clips let the zigzag run straight on over the gap."),
    ]
    seams = {mark("overcasting the gusset seams"): bench.seam_length(SeamRole.RING)}
    if body.closed:
        # What is pressed open has two edges at each end of the top strip.
        seams[mark("overcasting the joins of the top strip")] = 4 * body.strip_width
        do.append(
            say("Sew over the raw edges of the top strip's two joins too, each edge by itself.")
        )
    return overcast_inside(bench, do, seams)


def _turn(bench: Bench) -> Operation:
    corners = say("Push the corners out from inside with something blunt.")
    return turn_bag(bench, pushed=corners)


def _measure(bench: Bench, body: "StripBody") -> Operation:
    names = ["face_width", "face_height", "gusset_depth"]
    sizes = {name: bench.finished[name] or 0.0 for name in names}
    radius = bench.finished["corner_radius"] or 0.0
    opening = bench.finished["opening_width"] or 0.0
    do = [Sentence(words_of(body).each_deep, dict(sizes))]
    at_corner: tuple[Measure, ...] = ()
    if radius > 0.0:
        do.append(
            say(
                "Lay something round against a lower corner: its radius is {corner_radius}.",
                corner_radius=radius,
            )
        )
        at_corner = (_radius(bench, body, radius),)
    if body.closed:
        do.append(
            say("The top strip measures {opening_width} between its joins.", opening_width=opening)
        )
        sizes["opening_width"] = opening
    seams = replace(SEWN, new_lines=frozenset({LineKind.SEAM}))
    return measure_bag(bench, do, sizes, placed=at_corner, scene=seams)


def _radius(bench: Bench, body: "StripBody", radius: float) -> Measure:
    """Told at the lower right corner of the front, or of the right end."""
    name = bench.faces[body.MAKES.panels[0 if body.MAKES is GUSSET else 1]]
    _, _, right, _ = bench.draft.piece(name).bounds
    off = body.stitched_radius * (1.0 - math.sqrt(0.5))
    at = right - body.gusset_seam - off, off
    return Measure(
        name="corner_radius",
        length=radius,
        place=MeasurePlace.FINISHED,
        where=StitchPath(name, (at, at)),
    )
