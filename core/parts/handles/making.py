"""Making the handles: strips joined, pressed to a tape and edge-stitched. mm.

And what steps tell of the pocket that the handles' stitching divides.
"""

from core.base.sentences import Sentence, mark, plural, say
from core.base.units import default_step
from core.flat.roles import Face
from core.parts.compartments import MIDDLE, SIDE, divisions
from core.parts.handles.diagrams import join_shares, loop_diagram, strips_diagram, tape_diagram
from core.parts.handles.drawn import leg_tape
from core.parts.handles.figures import JOIN_SEAM, SHORT_STRIP, STRIP, HandleStyle
from core.parts.handles.handles import Handles
from core.parts.handles.joins import best_joins
from core.parts.pocket.pocket import Pocket
from core.work.bench import Bench
from core.work.machine import SEAM_STITCH, TOP_STITCH, Setting, SewnAs
from core.work.operation import Action, Measure, MeasurePlace, Operation, Stitching, sized
from core.work.scene import Diagram
from core.work.states import CUT, State

JOINED = State("the strips are joined")
TAPE = State("the strips are pressed to a tape")
MADE = State("the handles are made")
_CUT_STRIPS = plural(
    "From the {goods} cut 1 strip {cut_width} wide and {cut_length} long. Its long side runs "
    "across the material, from selvedge to selvedge.",
    "From the {goods} cut {count} strips {cut_width} wide and {cut_length} long. Their long sides "
    "run across the material, from selvedge to selvedge.",
)
_JOIN_LOOP = plural(
    "Lay the two ends of the strip right sides together and sew across, {join_seam} from the end, "
    "to make one loop.",
    "Lay two strips right sides together, ends level, and sew across, {join_seam} from the end. "
    "Join all {count} strips in this way, and the last end to the first, to make one loop.",
)
_JOIN_EACH = plural(
    "For each of the two handles join 1 strip end to end, right sides together, {join_seam} from "
    "the end.",
    "For each of the two handles join {count} strips end to end, right sides together, {join_seam} "
    "from the end.",
)
_JOINED_LOOP = mark("The loop is not twisted and measures {handle_loop}.")
_JOINED_EACH = mark("Each handle measures {with_ends}.")


class HandleWork:
    """The handles of a bag on the table.

    Attributes:
        joins: how many joins are sewn in it, or in each separate handle.
        strips: names of their pieces.
        length: of the loop, or of one separate handle, mm.
        cloth: thickness of the strips' goods under the foot, mm.
        sewn_legs: (left, right) of the legs across the face that lie on it.
        joins_laid: where the joins are to lie; None where the strips are too short to be laid.
    """

    def __init__(self, bench: Bench, handles: Handles) -> None:
        self.bench, self.handles = bench, handles
        self.loop = handles.style is HandleStyle.LOOP
        self.joins = handles.strips if self.loop else handles.strips - 1
        names = {piece.id for piece in bench.draft.pieces}
        self.strips = tuple(name for name in (STRIP, SHORT_STRIP) if name in names)
        self.length = handles.loop(bench.site)
        self.cloth = bench.cloth(STRIP).pressed
        on_panel = tuple(handles.laid_legs(bench.site).values())
        self.sewn_legs = tuple(leg for leg in handles.legs(bench.site) if leg in on_panel)
        self.joins_laid = best_joins(handles, bench.site, step=default_step(bench.unit))

    def made(self) -> tuple[Operation, ...]:
        """From the strips to the handles that are laid on."""
        joins = (self._join(),) if self.joins else ()
        return (self._cut(), *joins, self._tape(), self._edge())

    def _cut(self) -> Operation:
        handles, draft = self.handles, self.bench.draft
        piece = draft.piece(STRIP)
        cut = {"cut_width": handles.strip_width, "cut_length": piece.width}
        if SHORT_STRIP in self.strips:
            cut["handle_last_strip"] = draft.piece(SHORT_STRIP).width
        return Operation(
            key="cut handle strip",
            action=Action.CUT,
            title=say("Cut the handle strips"),
            instructions=(
                say(
                    _CUT_STRIPS,
                    words={"goods": self.bench.cloth(STRIP).role},
                    numbers={"count": piece.count},
                    cut_width=handles.strip_width,
                    cut_length=piece.width,
                ),
                *self._short_strip(),
            ),
            why=say(
                "The width is four times {handle_width}, less {fold_clearance} that the "
                "folds take up.",
                handle_width=handles.width,
                fold_clearance=4 * handles.width - handles.strip_width,
            ),
            measures=(
                *sized(MeasurePlace.DIAGRAM, **cut),
                *sized(
                    MeasurePlace.DERIVED,
                    handle_width=handles.width,
                    fold_clearance=4 * handles.width - handles.strip_width,
                ),
            ),
            makes=(CUT.for_(STRIP),),
            pieces=self.strips,
            scene=strips_diagram(
                piece,
                count=piece.count,
                told=("cut_length", piece.width),
                short=cut.get("handle_last_strip"),
            ),
        )

    def _strips_joined(self) -> Diagram:
        shares = join_shares(self.handles, self.bench.site)
        if self.loop:
            return loop_diagram(self.length, shares)
        told = "with_ends", self.length + 2 * JOIN_SEAM
        return strips_diagram(self.bench.draft.piece(STRIP), count=2, told=told, joins=shares)

    def _short_strip(self) -> tuple[Sentence, ...]:
        """What else is cut where the last strip has its own length."""
        if SHORT_STRIP not in self.strips:
            return ()
        piece = self.bench.draft.piece(SHORT_STRIP)
        more = mark("Cut {count} more, only {handle_last_strip} long.")
        return (say(more, numbers={"count": piece.count}, handle_last_strip=piece.width),)

    def _join(self) -> Operation:
        handles = self.handles
        sewn = (1 if self.loop else 2) * self.joins * handles.strip_width
        told = _JOIN_LOOP if self.loop else _JOIN_EACH
        first = say(told, numbers={"count": handles.strips}, join_seam=JOIN_SEAM)
        if self.loop and handles.strips == 2:
            first = say(
                "Lay two strips right sides together, ends level, and sew across, {join_seam} from "
                "the end. Join the other two ends in the same way, to make one loop.",
                join_seam=JOIN_SEAM,
            )
        press = say("Press the seam of every join open.")
        look, whole = _JOINED_LOOP, {"handle_loop": self.length}
        if not self.loop:
            look, whole = _JOINED_EACH, {"with_ends": self.length + 2 * JOIN_SEAM}
        return Operation(
            key="join handle strips",
            action=Action.JOIN,
            title=say("Join the strips into a loop") if self.loop else say("Join the strips"),
            instructions=(first, *self._last_strips_place(), press),
            check=Sentence(look, whole),
            needs=(CUT.for_(STRIP),),
            measures=sized(MeasurePlace.DIAGRAM, join_seam=JOIN_SEAM, **whole),
            makes=(JOINED,),
            pieces=self.strips,
            setting=Setting(length=SEAM_STITCH),
            stitching=(Stitching(mark("joins of the strips"), sewn, 2 * self.cloth),),
            allowance=JOIN_SEAM,
            pressing=self.bench.iron_for(STRIP),
            scene=self._strips_joined(),
        )

    def _last_strips_place(self) -> tuple[Sentence, ...]:
        """Where the strip of its own length goes in a separate handle: in a loop it is all one."""
        joins = self.joins_laid
        if self.loop or joins is None or joins.last is None:
            return ()
        if joins.last == 0:
            return (say("The short strip goes at one end."),)
        if joins.last == (self.handles.strips - 1) / 2:
            return (say("The short strip goes in the middle."),)
        number = {"number": joins.last + 1}
        return (say("The short strip goes as number {number} from one end.", numbers=number),)

    def _tape(self) -> Operation:
        handles = self.handles
        turned = handles.turned_in
        do = [
            say(
                "There is nothing to turn in: a strip {cut_width} wide is too narrow for this "
                "handle. Cut it wider.",
                cut_width=handles.strip_width,
            )
            if turned <= 0.0
            else say(
                "Turn both long edges {turned_in} to the wrong side and press: the tape is "
                "{tape_width} wide, its raw edges {apart} apart.",
                turned_in=turned,
                tape_width=2 * handles.width,
                apart=2 * handles.width - 2 * turned,
            )
        ]
        if not self.loop:
            ends = mark("At both ends of each handle turn {join_seam} to the wrong side and press.")
            do.insert(0, say(ends, join_seam=JOIN_SEAM))
        return Operation(
            key="press handle tape",
            action=Action.PRESS,
            title=say("Press the strips to a tape"),
            instructions=tuple(do),
            check=say("The tape has the same width along its whole length."),
            needs=(JOINED,) if self.joins else (CUT.for_(STRIP),),
            measures=self._tape_measures(),
            makes=(TAPE,),
            pieces=self.strips,
            pressing=self.bench.iron_for(STRIP),
            scene=tape_diagram(handles, self._tape_measures(), folded=False),
        )

    def _tape_measures(self) -> tuple[Measure, ...]:
        """What is turned in, and what that leaves."""
        handles = self.handles
        ends = () if self.loop else sized(MeasurePlace.DIAGRAM, join_seam=JOIN_SEAM)
        if handles.turned_in <= 0.0:
            return (*ends, *sized(MeasurePlace.DIAGRAM, cut_width=handles.strip_width))
        wide, turned = 2 * handles.width, handles.turned_in
        lengths = {"tape_width": wide, "turned_in": turned, "apart": wide - 2 * turned}
        return (*ends, *sized(MeasurePlace.DIAGRAM, **lengths))

    def _edge(self) -> Operation:
        handles = self.handles
        measures = sized(MeasurePlace.DIAGRAM, handle_width=handles.width, edge_distance=self.near)
        edges = 2 * (1 if self.loop else 2) * self.length
        return Operation(
            key="topstitch handles",
            action=Action.TOPSTITCH,
            title=say("Fold the tape and edge-stitch it"),
            instructions=(
                say(
                    "Fold the tape along its middle, raw edges inside, to a width of "
                    "{handle_width}, and press.",
                    handle_width=handles.width,
                ),
                say(
                    "Stitch along both long edges, {edge_distance} from the edge.",
                    edge_distance=self.near,
                ),
            ),
            why=say("Four layers stitched along both edges neither stretch nor roll."),
            check=say("The open edges are caught along their whole length."),
            needs=(TAPE,),
            measures=measures,
            makes=(MADE,),
            pieces=self.strips,
            setting=Setting(length=TOP_STITCH),
            stitching=(Stitching(mark("edges of the handles"), edges, 4 * self.cloth),),
            pressing=self.bench.iron_for(STRIP),
            without_change=SewnAs.STITCHING.at_seam_stitch,
            scene=tape_diagram(handles, measures, folded=True),
        )

    @property
    def taped(self) -> tuple[Sentence, ...]:
        """What the basting tape is for that is bought."""
        if not leg_tape(self.handles, self.bench.site):
            return ()
        return (say("Hold what is sewn down in its place with basting tape along its middle."),)

    @property
    def near(self) -> float:
        """From the handle's edge to the stitching: less on a narrow one."""
        return min(self.bench.near_edge, self.handles.width / 4)


def compartment_measures(bench: Bench) -> tuple[Measure, ...]:
    """What the stitching makes of a pocket, on the first face that has one."""
    pocket, handles = Pocket.of(bench.parts), Handles.of(bench.parts)
    finished, divided = bench.finished, divisions(pocket, handles, bench.site)
    if pocket is None or handles is None or not divided:
        return ()
    first, lower = divided[0], pocket.drop + pocket.height
    face, (_, inner) = first.face, handles.legs(bench.site)[0]
    side, middle = finished[SIDE], finished[MIDDLE]
    found = [bench.down("open_below", first.below, face, x=0.0, start=lower - first.below)]
    found.append(bench.down("open_above", first.above, face, x=0.0, start=pocket.drop))
    if side is not None:
        start = bench.site.front.side_allowance
        found.append(bench.across(SIDE, side, face, x=start, below=lower))
    if middle is not None:
        found.append(bench.across(MIDDLE, middle, face, x=inner, below=lower))
    return tuple(found)


def compartment_sentences(bench: Bench) -> tuple[Sentence, ...]:
    """What this stitching makes of the pockets that it crosses."""
    pocket, handles = Pocket.of(bench.parts), Handles.of(bench.parts)
    finished, divided = bench.finished, divisions(pocket, handles, bench.site)
    if not divided:
        return ()
    first = divided[0]
    if not first.holds:
        return (say(_CROSSED[first.face], open_below=first.below),)
    widths = {name: width for name in (SIDE, MIDDLE) if (width := finished[name]) is not None}
    if not widths:
        return ()
    divides = Sentence(_DIVIDES[tuple(widths)][len(divided) > 1], widths)
    if first.above <= 0.0:
        return (divides,)
    return divides, say(
        "Above the stops the compartments stay open to each other for {open_above}.",
        open_above=first.above,
    )


_CROSSED = {
    Face.FRONT: mark(
        "It crosses the front pocket only down to {open_below} above its lower edge: below that "
        "the pocket is open from side to side."
    ),
    Face.BACK: mark(
        "It crosses the back pocket only down to {open_below} above its lower edge: below that the "
        "pocket is open from side to side."
    ),
}
_DIVIDES = {
    (SIDE, MIDDLE): (
        mark(
            "This stitching divides the pocket: {pocket_side_compartment} at either side, "
            "{pocket_middle_compartment} between the legs."
        ),
        mark(
            "This stitching divides each pocket: {pocket_side_compartment} at either side, "
            "{pocket_middle_compartment} between the legs."
        ),
    ),
    (SIDE,): (
        mark("This stitching divides the pocket in two, {pocket_side_compartment} each."),
        mark("This stitching divides each pocket in two, {pocket_side_compartment} each."),
    ),
    (MIDDLE,): (
        mark("It leaves one compartment in the pocket, {pocket_middle_compartment} wide."),
        mark("It leaves one compartment in each pocket, {pocket_middle_compartment} wide."),
    ),
}
"""Which compartments there are -> what is told of one pocket, and of two."""
