"""Sewing a pocket: a tube, turned, topstitched, laid on, caught at its sides. mm."""

from core.base.sentences import Sentence, mark, say
from core.flat.ink import Ink
from core.flat.roles import Face, MarkRole, SeamId, SeamRole
from core.parts.compartments import divisions
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket, pocket_piece
from core.parts.upper_edge import upper_edge
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH, TOP_STITCH, Setting, SewnAs, as_set
from core.work.operation import (
    Action,
    Marking,
    MarkingStage,
    MeasurePlace,
    Operation,
    Stitching,
    StitchPath,
    along,
    measured,
    sized,
)
from core.work.scene import (
    WIDE,
    Diagram,
    DiagramArea,
    DiagramLine,
    DiagramNote,
    PieceScene,
    Placed,
    fitted_scale,
)
from core.work.states import BASE, CUT, LINED, PATCHES_SEWN, SIDES_CAUGHT, STRAPS_SEWN, State

_TUBE, _TURNED, _TOPSTITCHED = State("the tube is sewn"), State("turned"), State("edge stitched")
_LAID_ON, _CAUGHT = State("laid on"), State("caught at its sides")

_TITLES = {
    Face.FRONT: {
        "cut": mark("Cut the front pocket"),
        "tube": mark("Sew the front pocket into a tube"),
        "turn": mark("Turn and press the front pocket"),
        "edge": mark("Topstitch the upper edge of the front pocket"),
        "place": mark("Pin the front pocket in place"),
        "catch": mark("Baste the sides of the front pocket"),
        "sides": mark("Topstitch the sides of the front pocket"),
        "lower": mark("Topstitch the lower edge of the front pocket"),
    },
    Face.BACK: {
        "cut": mark("Cut the back pocket"),
        "tube": mark("Sew the back pocket into a tube"),
        "turn": mark("Turn and press the back pocket"),
        "edge": mark("Topstitch the upper edge of the back pocket"),
        "place": mark("Pin the back pocket in place"),
        "catch": mark("Baste the sides of the back pocket"),
        "sides": mark("Topstitch the sides of the back pocket"),
        "lower": mark("Topstitch the lower edge of the back pocket"),
    },
}
_LAY_ON = {
    Face.FRONT: mark(
        "Lay the pocket on the front's right side, its folded edge on the line {pocket_drop} below "
        "{edge}, its open sides level with those of the front."
    ),
    Face.BACK: mark(
        "Lay the pocket on the back's right side, its folded edge on the line {pocket_drop} below "
        "{edge}, its open sides level with those of the back."
    ),
}
_LAY_ON_WALLS = {
    Face.FRONT: mark(
        "Lay the pocket on the front's right side, its folded edge on the line {pocket_drop} below "
        "{edge}. One open side lies level with the front's end of the walls."
    ),
    Face.BACK: mark(
        "Lay the pocket on the back's right side, its folded edge on the line {pocket_drop} below "
        "{edge}. One open side lies level with the back's end of the walls."
    ),
}
"""Where front and back are of one piece: the other side reaches past their middle."""
_WIDE = mark("It is just as wide as the face that it is laid on.")
_WIDER = mark("It is as wide as the finished face, with an allowance to turn under at each side.")
_HELD = mark("The side seams, {held_seam} from the edge, hold the pocket permanently.")
_HELD_AT_SIDES = mark(
    "The seams at its sides, {held_seam} from the edge, hold the pocket permanently."
)
_LINES = {
    Face.FRONT: mark(
        "On the front draw a line for the pocket's upper edge, {pocket_drop} below {edge}, "
        "and one for its lower edge, {pocket_height} further down."
    ),
    Face.BACK: mark(
        "On the back draw a line for the pocket's upper edge, {pocket_drop} below {edge}, "
        "and one for its lower edge, {pocket_height} further down."
    ),
}


def pocket_operations(bench: Bench, pocket: Pocket) -> tuple[Operation, ...]:
    """The operations of each face's pocket."""
    return tuple(
        operation
        for face in pocket.faces.faces
        for operation in _OnFace(bench, pocket, face).operations()
    )


class _OnFace:
    def __init__(self, bench: Bench, pocket: Pocket, face: Face) -> None:
        self.bench, self.pocket, self.face = bench, pocket, face
        self.piece = pocket_piece(face)
        self.name = bench.draft.piece(self.piece).label
        self.titles = _TITLES[face]
        self.panel, self.seat = bench.faces[face], bench.site.seats[face]
        self.cloth = bench.cloth(self.piece).pressed
        self.wide = bench.draft.piece(self.piece).width
        self.ends = bool(bench.site.side_edges(face))
        """Whether the wall ends at the sides of the face, with a seam."""

    def operations(self) -> tuple[Operation, ...]:
        flat = (self._cut(), self._tube(), self._turn(), self._edge())
        held = self._catch() if self.ends else self._stitch_sides()
        return (*flat, self._lay_on(), held, self._lower())

    def _cut(self) -> Operation:
        wide, high = self.wide, self.pocket.cut_height
        return Operation(
            key=f"cut {self.name}",
            action=Action.CUT,
            title=say(self.titles["cut"]),
            instructions=(
                say(
                    "From the {goods} cut one rectangle {pocket_width} wide and "
                    "{pocket_cut_height} high.",
                    words={"goods": self.bench.cloth(self.piece).role},
                    pocket_width=wide,
                    pocket_cut_height=high,
                ),
            ),
            check=say(_WIDE if self.ends else _WIDER),
            measures=(
                measured("pocket_width", wide, self.piece, (0.0, 0.0), (wide, 0.0)),
                measured("pocket_cut_height", high, self.piece, (wide, 0.0), (wide, high)),
            ),
            makes=(CUT.for_(self.piece),),
            pieces=(self.piece,),
            scene=PieceScene(),
        )

    def _tube(self) -> Operation:
        wide, seam = self.wide, self.pocket.seam
        return Operation(
            key=f"join {self.name}",
            action=Action.JOIN,
            title=say(self.titles["tube"]),
            instructions=(
                say("Fold it in half, right sides together, long edges level."),
                say(
                    "Sew the long edge, {pocket_seam} from the edge. The sides stay open.",
                    pocket_seam=seam,
                ),
            ),
            needs=(CUT.for_(self.piece),),
            measures=sized(MeasurePlace.DIAGRAM, pocket_seam=seam),
            makes=(_TUBE.for_(self.face),),
            pieces=(self.piece,),
            seams=(SeamId("pocket", SeamRole.PART, self.face),),
            setting=Setting(length=SEAM_STITCH),
            stitching=(Stitching(mark("pocket seams"), wide, 2 * self.cloth),),
            allowance=seam,
            scene=self._tube_scene(
                Placed("pocket_seam", seam, (wide, 0.0), (wide, seam)), line=seam, sewn=False
            ),
        )

    def _turn(self) -> Operation:
        wide, high = self.wide, self.pocket.height
        return Operation(
            key=f"turn {self.name}",
            action=Action.TURN,
            title=say(self.titles["turn"]),
            instructions=(
                say("Press the seam open, and turn the tube right side out."),
                say(
                    "Roll the seam onto the lower edge and press flat: {pocket_height} from fold "
                    "to seam.",
                    pocket_height=high,
                ),
            ),
            why=say("The folded edge becomes the upper one; the seam is hidden at the bottom."),
            check=say("It is the same height at both ends."),
            needs=(_TUBE.for_(self.face),),
            measures=sized(MeasurePlace.DIAGRAM, pocket_height=high),
            makes=(_TURNED.for_(self.face),),
            pieces=(self.piece,),
            pressing=self.bench.iron_for(self.piece),
            scene=self._tube_scene(
                Placed("pocket_height", high, (wide, 0.0), (wide, high)), line=0.0
            ),
        )

    def _edge(self) -> Operation:
        side, near, upper = self.wide, self.bench.near_edge, self.pocket.height
        line = self.pocket.cut_height / 2 - near
        return Operation(
            key=f"topstitch {self.name} upper edge",
            action=Action.TOPSTITCH,
            title=say(self.titles["edge"]),
            instructions=(
                say(
                    "Topstitch the folded edge, {edge_distance} from the fold.", edge_distance=near
                ),
            ),
            why=say(
                "Do it now, while the pocket is loose: once it is laid on, this line would "
                "sew the pocket shut."
            ),
            needs=(_TURNED.for_(self.face),),
            until=(_LAID_ON.for_(self.face),),
            measures=sized(MeasurePlace.DIAGRAM, edge_distance=near),
            makes=(_TOPSTITCHED.for_(self.face),),
            pieces=(self.piece,),
            paths=(StitchPath(self.piece, ((0.0, line), (side, line))),),
            setting=Setting(length=TOP_STITCH),
            stitching=(Stitching(mark("pocket upper edges"), side, 2 * self.cloth),),
            without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
            scene=self._tube_scene(
                Placed("edge_distance", near, (side, upper - near), (side, upper)),
                line=upper - near,
            ),
        )

    def _tube_scene(self, placed: Placed, *, line: float, sewn: bool = True) -> Diagram:
        """The pocket folded in half, its fold at the top, and the measure that is told.

        `line` is the height of what is new, mm; `sewn`: it is a tube already, right side out.
        """
        wide = self.wide
        high = self.pocket.height if sewn else self.pocket.cut_height / 2
        bounds = (0.0, 0.0, wide, high)
        off = 1.2 / fitted_scale(bounds, WIDE)
        return Diagram(
            bounds=bounds,
            paper=WIDE,
            drawn=(
                DiagramArea(
                    Ink.SHADE, ((off, off), (wide + off, off), (wide + off, high), (off, high))
                ),
                DiagramArea(
                    Ink.PART if sewn else Ink.INSIDE,
                    ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)),
                ),
                DiagramLine(Ink.NEW, ((0.0, line), (wide, line))),
                DiagramNote(say("fold"), (wide / 2, high), (0.0, 2.6)),
                DiagramNote(
                    say("seam") if sewn else say("raw edges"), (wide / 2, 0.0), (0.0, -2.6)
                ),
            ),
            placed=(placed,),
        )

    def _lay_on(self) -> Operation:
        edge = {"edge": upper_edge(self.bench.site)}
        return Operation(
            key=f"lay on {self.name}",
            action=Action.LAY_ON,
            title=say(self.titles["place"]),
            instructions=(
                say(
                    (_LAY_ON if self.ends else _LAY_ON_WALLS)[self.face],
                    terms=edge,
                    pocket_drop=self.pocket.drop,
                ),
                say("Smooth it outwards and pin."),
                *self._lines_again(),
            ),
            check=say(
                "The upper edge is {pocket_drop} below {edge} at both sides, and the seam "
                "points down.",
                terms=edge,
                pocket_drop=self.pocket.drop,
            ),
            needs=(BASE, _TOPSTITCHED.for_(self.face)),
            after=self.bench.closing.joined,
            until=(STRAPS_SEWN, LINED, *self.bench.flat_ends),
            measures=tuple(
                self.bench.down("pocket_drop", self.pocket.drop, self.face, x=x)
                for x in (0.0, self.seat.width)
            ),
            makes=(_LAID_ON.for_(self.face),),
            pieces=(self.piece, self.panel),
            marks=self.bench.marks("pocket", MarkRole.OUTLINE, self.face),
        )

    def _lines_again(self) -> tuple[Sentence, ...]:
        crossed = divisions(self.pocket, Handles.of(self.bench.parts), self.bench.site)
        if not any(each.face is self.face for each in crossed):
            return ()
        return (say("Continue the handles' lines across the pocket, which covers them."),)

    def _catch(self) -> Operation:
        bench, baste = self.bench, self.bench.baste_line
        paths, seam = self._sides(baste), self.seat.side_allowance
        middle = self.pocket.drop + self.pocket.height / 2
        return Operation(
            key=f"baste {self.name} sides",
            action=Action.BASTE,
            title=say(self.titles["catch"]),
            instructions=(
                say(
                    "Baste both sides of the pocket to the wall, {baste_line} from the edge.",
                    baste_line=baste,
                ),
            ),
            why=say(
                _HELD if bench.site.mouth.sides else _HELD_AT_SIDES,
                held_seam=seam,
            ),
            needs=(_LAID_ON.for_(self.face),),
            until=(LINED, *self.bench.flat_ends),
            measures=(
                bench.across("baste_line", baste, self.face, x=0.0, below=middle),
                bench.across("held_seam", seam, self.face, x=self.seat.width - seam, below=middle),
            ),
            makes=(SIDES_CAUGHT, _CAUGHT.for_(self.face)),
            pieces=(self.piece, self.panel),
            paths=paths,
            setting=bench.baste,
            stitching=(
                Stitching(
                    mark("basting the pocket's sides"), along(paths), bench.base + 2 * self.cloth
                ),
            ),
            allowance=baste,
            without_change=say(
                "Baste at {seam_stitch} like the seams: hidden in the allowance, it may stay in.",
                words={"seam_stitch": as_set(SEAM_STITCH)},
            )
            if baste < seam
            else say("Hold the sides with clips until their seams are sewn."),
        )

    def _stitch_sides(self) -> Operation:
        """Where the wall goes on at its sides no seam holds them: they are turned under."""
        bench, near, seam = self.bench, self.bench.near_edge, self.seat.side_allowance
        paths, middle = self._sides(seam + near), self.pocket.drop + self.pocket.height / 2
        return Operation(
            key=f"topstitch {self.name} sides",
            action=Action.TOPSTITCH,
            title=say(self.titles["sides"]),
            instructions=(
                say("Turn {held_seam} of the pocket under at either side and pin.", held_seam=seam),
                say("Topstitch both sides, {edge_distance} from the fold.", edge_distance=near),
            ),
            why=say("The wall goes on here, with no seam that could hold the pocket."),
            needs=(_LAID_ON.for_(self.face),),
            until=(LINED, *bench.flat_ends),
            measures=(
                bench.across("held_seam", seam, self.face, x=0.0, below=middle),
                bench.across(
                    "edge_distance", near, self.face, x=self.seat.width - seam - near, below=middle
                ),
            ),
            makes=(SIDES_CAUGHT, _CAUGHT.for_(self.face)),
            pieces=(self.piece, self.panel),
            paths=paths,
            setting=bench.topstitch,
            stitching=(Stitching(mark("pocket sides"), along(paths), bench.base + 4 * self.cloth),),
            without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
        )

    def _sides(self, inset: float) -> tuple[StitchPath, ...]:
        seat, low = self.bench.site.seats[self.face], self.pocket.bottom(self.bench.site, self.face)
        return tuple(
            StitchPath(seat.piece, (seat.point(x, low), seat.point(x, seat.top - self.pocket.drop)))
            for x in (inset, seat.width - inset)
        )

    def _lower(self) -> Operation:
        seat, low = self.bench.site.seats[self.face], self.pocket.bottom(self.bench.site, self.face)
        line = low + self.bench.near_edge
        # Near its lower edge the tube holds its two allowances.
        edge = (4 if self.bench.near_edge < self.pocket.seam else 2) * self.cloth
        return Operation(
            key=f"topstitch {self.name} lower edge",
            action=Action.TOPSTITCH,
            title=say(self.titles["lower"]),
            instructions=(
                say(
                    "Topstitch the lower edge to the wall from side to side, {edge_distance} "
                    "from the seam.",
                    edge_distance=self.bench.near_edge,
                ),
            ),
            why=say("It carries what is put into the pocket; the upper edge stays open."),
            check=say("No fold was caught on the lining side.")
            if self.bench.lined_beneath
            else say("No fold was caught on the wrong side."),
            needs=(_LAID_ON.for_(self.face),),
            after=(_CAUGHT.for_(self.face),),
            # It was measured from the cut edge.
            until=(STRAPS_SEWN, LINED, *self.bench.opening.edges_turned, *self.bench.flat_ends),
            measures=(
                measured(
                    "edge_distance",
                    self.bench.near_edge,
                    self.panel,
                    seat.point(seat.width, low),
                    seat.point(seat.width, line),
                ),
            ),
            makes=(PATCHES_SEWN,),
            pieces=(self.piece, self.panel),
            paths=(StitchPath(self.panel, (seat.point(0.0, line), seat.point(seat.width, line))),),
            setting=self.bench.topstitch,
            stitching=(Stitching(mark("pocket bottoms"), seat.width, self.bench.base + edge),),
            without_change=SewnAs.TOPSTITCHING.at_seam_stitch,
        )


def pocket_markings(bench: Bench, pocket: Pocket) -> tuple[Marking, ...]:
    """The lines of its edges on each face."""
    return tuple(
        Marking(
            stage=MarkingStage.PARTS,
            instructions=(
                say(
                    _LINES[face],
                    terms={"edge": upper_edge(bench.site)},
                    pocket_drop=pocket.drop,
                    pocket_height=pocket.height,
                ),
            ),
            measures=(
                bench.down("pocket_drop", pocket.drop, face, x=0.0),
                bench.down("pocket_height", pocket.height, face, x=0.0, start=pocket.drop),
            ),
        )
        for face in pocket.faces.faces
    )
