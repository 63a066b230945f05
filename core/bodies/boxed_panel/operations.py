"""Sewing the panel: its corner cuts, its bottom, its sides and its corners. mm."""

from core.base.sentences import Last, Listing, Sentence, mark, say
from core.base.tolerance import shorter
from core.bodies.boxed_panel.across import corner_edges, sewn_on_tips
from core.bodies.boxed_panel.closing import BOTTOM, closing_operations, cuts_corners
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.piece import Piece
from core.flat.roles import FACES, EdgeId, EdgeRole, Face, PieceId, SeamRole
from core.work.bench import Bench
from core.work.operation import (
    Action,
    Marking,
    MarkingStage,
    Measure,
    MeasurePlace,
    Operation,
    Phase,
    Stitching,
    StitchPath,
    measured,
    sized,
)
from core.work.scene import PieceScene
from core.work.states import BASE, CUT, LINED, OUTLINE_CUT, STRAPS_LAID, WALL, State


def panel_operations(bench: Bench, panel: BoxedPanel) -> tuple[Operation, ...]:
    """From the rectangles to the finished bag."""
    return (
        *(_cut(bench, panel, wall) for wall in bench.walls),
        *_sew_bottom(bench, panel),
        *_cut_corners(bench, panel),
        *closing_operations(bench, panel),
    )


def panel_markings(bench: Bench, panel: BoxedPanel) -> tuple[Marking, ...]:
    """The bottom line, the corner cuts and the middle of the top edges."""
    joins = Marking(
        stage=MarkingStage.JOINS,
        instructions=tuple(_bottom_marks(panel)),
        check=say("Front and back are not swapped: the front is the shorter side.")
        if panel.front_trim > 0.0
        else None,
        measures=_panel_measures(bench, panel),
    )
    middle = say(
        "Mark the middle of each top edge, {middle} from the side edge.", middle=panel.width / 2
    )
    top = Marking(stage=MarkingStage.TOP, instructions=(middle,))
    return joins, Marking(stage=MarkingStage.OUTLINE, instructions=_corner_marks(panel)), top


def _corner_marks(panel: BoxedPanel) -> tuple[Sentence, ...]:
    if cuts_corners(panel):
        template = mark(
            "At each bottom corner draw the corner cut: {corner_cut_width} from the side edge and "
            "{corner_cut_depth} from the bottom edge."
        )
        if panel.folded:
            template = mark(
                "At each bottom corner draw the corner cut: {corner_cut_width} from the side edge "
                "and {corner_cut_depth} from the bottom fold."
            )
        wide, deep = panel.corner_width, panel.corner_depth
        return (say(template, corner_cut_width=wide, corner_cut_depth=deep),)
    if panel.folded and shorter(0.0, panel.corner_width):
        return (
            say(
                "At each end of the bottom fold mark how far it is slit open, {corner_cut_width} "
                "from the side edge.",
                corner_cut_width=panel.corner_width,
            ),
        )
    return ()


def _cut_corners(bench: Bench, panel: BoxedPanel) -> tuple[Operation, ...]:
    """The corner cuts, through all layers."""
    if panel.sewn_across or not panel.has_corners:
        return ()
    cuts = say(
        "Cut the four corners out along their lines, {corner_cut_width} x {corner_cut_depth} on "
        "each face, through all layers at once.",
        corner_cut_width=panel.corner_width,
        corner_cut_depth=panel.corner_depth,
    )
    if panel.folded:
        cuts = say(
            "At both ends of the bottom fold cut the corners out along their lines, through all "
            "layers at once. Each notch is {corner_cut_width} deep and {notch} long, "
            "{corner_cut_depth} to either side of the fold.",
            corner_cut_width=panel.corner_width,
            corner_cut_depth=panel.corner_depth,
            notch=2 * panel.corner_depth,
        )
    if not cuts_corners(panel):
        cuts = _no_area(panel)
    return (
        Operation(
            key="cut corner cuts",
            phase=Phase.JOIN_FLAT,
            action=Action.CUT,
            title=say("Cut out the corners"),
            instructions=(cuts,),
            why=say("Cut together, all layers match, and the edges of the corner seam meet."),
            check=say("All corners are square and of the same size."),
            caution=say("Do not cut into the basting line: it holds the layers at the corner.")
            if bench.layered and cuts_corners(panel)
            else None,
            needs=(WALL,),
            until=bench.flat_ends,
            measures=_corner_sizes(bench, panel),
            makes=(OUTLINE_CUT,),
            pieces=bench.walls,
            edges=corner_edges(bench),
        ),
    )


def _corner_sizes(bench: Bench, panel: BoxedPanel) -> tuple[Measure, ...]:
    """Of the corner cuts: across at the left, down at the right."""
    name = bench.walls[0]
    low = 0.0 if panel.folded else bench.draft.piece(name).bounds[1]
    right, wide, deep = panel.width, panel.corner_width, panel.corner_depth
    found = (
        measured("corner_cut_width", wide, name, (0.0, low + deep), (wide, low + deep)),
        measured("corner_cut_depth", deep, name, (right, low), (right, low + deep)),
    )
    if not panel.folded:
        return found
    return (*found, measured("notch", 2 * deep, name, (0.0, -deep), (0.0, deep)))


def _sew_bottom(bench: Bench, panel: BoxedPanel) -> tuple[Operation, ...]:
    """The bottom seam, where front and back are two pieces."""
    if panel.folded:
        return ()
    seam, right = panel.bottom_seam, panel.width
    do = [
        say(
            "Lay front and back right sides together and sew the bottom edges, "
            "{bottom_seam} from the edge.",
            bottom_seam=seam,
        ),
        say("Press the seam open."),
    ]
    if bench.lining_last:
        lining = Listing([layer.role for layer in bench.last_laid])
        do.append(
            say(
                "Join the two pieces of the {lining} at the bottom in the same way, "
                "separately, and finger-press the seam open.",
                words={"lining": lining},
            )
        )
    return (
        Operation(
            key="join bottom seam",
            phase=Phase.JOIN_FLAT,
            action=Action.JOIN,
            title=say("Join front and back at the bottom"),
            instructions=tuple(do),
            why=say("Parts that are sewn on later may run across the bottom."),
            check=say("The two bottom edges end level at the corner cuts.")
            if panel.has_corners and not _bottom_in_full(bench, panel)
            else say("Both ends of the bottom edges are level."),
            needs=(BASE,),
            after=() if bench.lining_last else (OUTLINE_CUT,),
            until=(LINED, *bench.flat_ends),
            measures=(measured("bottom_seam", seam, bench.walls[0], (right, -seam), (right, 0.0)),),
            makes=(BOTTOM,),
            pieces=bench.walls,
            marks=sewn_on_tips(bench, None),
            seams=bench.seam_ids(SeamRole.BOTTOM),
            # Before a lining is in, the corners are not cut out yet: it is sewn all across.
            paths=(StitchPath(bench.walls[0], ((0.0, 0.0), (panel.width, 0.0))),)
            if _bottom_in_full(bench, panel)
            else (),
            setting=bench.seam,
            stitching=_bottom_lines(bench, panel),
            allowance=panel.bottom_seam,
            pressing=bench.base_iron,
        ),
        # A lining laid in last hides the raw edges, its own among them.
        *(() if bench.lining_last else (_overcast_bottom(bench, panel),)),
    )


def _bottom_lines(bench: Bench, panel: BoxedPanel) -> tuple[Stitching, ...]:
    length, base = _bottom_length(bench, panel), bench.base
    lining = Stitching(mark("bottom seam of the lining"), length, 2 * (bench.wall - base))
    outer = Stitching(mark("bottom seam"), length, 2 * base)
    return (outer, lining) if bench.lining_last else (outer,)


def _bottom_in_full(bench: Bench, panel: BoxedPanel) -> bool:
    """Whether the bottom is sewn from side to side: its corners are still there."""
    return bench.lining_last or panel.sewn_across


def _bottom_length(bench: Bench, panel: BoxedPanel) -> float:
    in_full = _bottom_in_full(bench, panel)
    return panel.width if in_full else bench.raw_length(SeamRole.BOTTOM)


_BOTTOM_OVERCAST = State("the bottom seam's raw edges are overcast")


def _overcast_bottom(bench: Bench, panel: BoxedPanel) -> Operation:
    edges = tuple(panel.ref(face, EdgeId(EdgeRole.BOTTOM, face)) for face in FACES)
    both = 2 * _bottom_length(bench, panel)
    return Operation(
        key="overcast bottom seam",
        phase=Phase.JOIN_FLAT,
        action=Action.OVERCAST,
        title=say("Overcast the bottom seam's raw edges"),
        instructions=(
            say(
                "Sew a zigzag over the raw edge of each allowance separately, with the "
                "panel folded out of the way."
            ),
        ),
        why=say("The edges stay visible inside the bag and can no longer be reached later."),
        check=say("The seam is still pressed open."),
        needs=(BOTTOM,),
        until=(STRAPS_LAID, *bench.flat_ends),
        measures=bench.second_rows_measures,
        makes=(_BOTTOM_OVERCAST,),
        pieces=bench.walls,
        edges=edges,
        setting=bench.overcast,
        stitching=(Stitching(mark("overcasting the bottom seam"), both, bench.wall),),
        without_change=bench.second_row,
    )


def _no_area(panel: BoxedPanel) -> Sentence:
    """A corner cut without width or depth: at most a slit along the fold."""
    if panel.folded and shorter(0.0, panel.corner_width):
        return say(
            "At both ends of the bottom fold slit the fold open through all layers at "
            "once, {corner_cut_width} inwards from the side edge: nothing is cut away.",
            corner_cut_width=panel.corner_width,
        )
    return say("Nothing is cut away at the corners: the corner cut has no width or no depth.")


_CUT_WALL = {
    None: mark("Cut the panel"),
    Face.FRONT: mark("Cut the front"),
    Face.BACK: mark("Cut the back"),
}
_WRITE_FACE = {
    Face.FRONT: mark("Write “front” along its top edge."),
    Face.BACK: mark("Write “back” along its top edge."),
}


def _cut(bench: Bench, panel: BoxedPanel, wall: PieceId) -> Operation:
    piece = bench.draft.piece(wall)
    words = {"goods": Listing([layer.role for layer in bench.layers], Last.COMMA)}
    first = mark("From the {goods} cut one rectangle, {panel_width} wide and {cut_length} long.")
    if bench.layered:
        first = mark(
            "From each layer ({goods}) cut one rectangle, {panel_width} wide and "
            "{cut_length} long, all of the same size."
        )
    do = [say(first, words=words, panel_width=piece.width, cut_length=piece.height)]
    do += bench.cut_larger
    if wall.face is None:
        do.append(
            say("Write “front” along one short edge of each, and “back” along the other.")
            if bench.layered
            else say("Write “front” along one short edge, and “back” along the other.")
        )
    else:
        do.append(say(_WRITE_FACE[wall.face]))
    if panel.has_corners and not panel.sewn_across:
        do.append(
            say("Do not cut out the corners yet: they are cut through all layers later.")
            if bench.layered
            else say("Do not cut out the corners yet: they are drawn first.")
        )
    return Operation(
        key=f"cut {piece.label}",
        phase=Phase.CUT,
        action=Action.CUT,
        title=say(_CUT_WALL[wall.face]),
        instructions=tuple(do),
        why=say(
            "The rectangle already has the front trim of {front_trim} taken off.",
            front_trim=panel.front_trim,
        )
        if panel.front_trim > 0.0 and panel.folded
        else None,
        check=say("Both diagonals measure the same, so that the corners are square.")
        if bench.still_shrinks
        else say(
            "Both diagonals measure {diagonal}, so that the corners are square.",
            diagonal=(piece.width**2 + piece.height**2) ** 0.5,
        ),
        measures=_sizes(bench, panel, piece),
        makes=(CUT.for_(wall),),
        pieces=(wall,),
        scene=PieceScene(),
    )


def _sizes(bench: Bench, panel: BoxedPanel, piece: Piece) -> tuple[Measure, ...]:
    """Of the rectangle that is cut, with the trim that is off it already."""
    left, bottom, right, top = piece.bounds
    diagonal = (piece.width**2 + piece.height**2) ** 0.5
    found = (
        measured("panel_width", piece.width, piece.id, (left, bottom), (right, bottom)),
        measured("cut_length", piece.height, piece.id, (right, bottom), (right, top)),
        *sized(MeasurePlace.DERIVED, front_trim=panel.front_trim),
    )
    if bench.still_shrinks:
        return found
    return (*found, measured("diagonal", diagonal, piece.id, (left, bottom), (right, top)))


def _bottom_marks(panel: BoxedPanel) -> list[Sentence]:
    if not panel.folded:
        return [
            say(
                "Work on the right side. On front and back draw the bottom line, {bottom_seam} "
                "above the bottom edge.",
                bottom_seam=panel.bottom_seam,
            )
        ]
    return [
        say(
            "Work on the right side. Draw the bottom fold straight across, {front_length} "
            "below the front's top edge and {back_length} from the back's top edge.",
            front_length=panel.front_length,
            back_length=panel.back_length,
        )
    ]


def _panel_measures(bench: Bench, panel: BoxedPanel) -> tuple[Measure, ...]:
    """Where the bottom line, the corner cuts and the middle are drawn."""
    name = bench.walls[0]
    low = bench.draft.piece(name).bounds[1] if not panel.folded else 0.0
    right, wide, deep = panel.width, panel.corner_width, panel.corner_depth
    found = [bench.across("middle", panel.width / 2, Face.FRONT, x=0.0, below=0.0)]
    if panel.folded:
        found.append(bench.down("front_length", panel.front_length, Face.FRONT, x=right))
        found.append(bench.down("back_length", panel.back_length, Face.BACK, x=right))
    else:
        found.append(measured("bottom_seam", panel.bottom_seam, name, (right, low), (right, 0.0)))
    if cuts_corners(panel):
        upright = (right - wide, low), (right - wide, low + deep)
        found.append(measured("corner_cut_depth", deep, name, *upright))
    if cuts_corners(panel) or (panel.folded and shorter(0.0, wide)):
        found.append(
            measured("corner_cut_width", wide, name, (0.0, low + deep), (wide, low + deep))
        )
    return tuple(found)
