"""Sewing the handles: strips to a tape, the tape to handles, the handles to the panel. mm."""

from core.errors import Sentence
from core.parts.handles import JOIN_SEAM, SHORT_STRIP, STRIP, Handles, HandleStyle
from core.parts.pocket import Pocket
from core.parts.site import Face, signed
from core.sewing.bench import (
    BASE,
    BOARD_IN,
    BOTTOM,
    HANDLES_LAID,
    HANDLES_ON,
    HEMMED,
    LINED,
    NOT_FLAT,
    SEAM_STITCH,
    STOPS_SEWN,
    TOP_STITCH,
    Bench,
    as_set,
    cut_state,
    pocket_state,
)
from core.sewing.box import box_side
from core.sewing.operation import (
    Kind,
    MarkRef,
    Operation,
    Run,
    Setting,
    State,
    Stitching,
    View,
    along,
    say,
)

JOINED = State("the strips are joined")
TAPE = State("the strips are pressed to a tape")
MADE = State("the handles are made")


def sew_handles(bench: Bench, handles: Handles) -> tuple[Operation, ...]:
    """From the strips to the secured ends of the stitching."""
    work = _Work(bench, handles)
    joins = (work.join(),) if work.joins else ()
    return (
        work.cut(), *joins, work.tape(), work.edge(), work.lay_on(), work.stitch(), work.secure()
    )  # fmt: skip


class _Work:
    def __init__(self, bench: Bench, handles: Handles) -> None:
        self.bench, self.handles = bench, handles
        self.loop = handles.style is HandleStyle.LOOP
        self.joins = handles.strips if self.loop else handles.strips - 1
        names = {piece.name for piece in bench.draft.pieces}
        self.strips = tuple(name for name in (STRIP, SHORT_STRIP) if name in names)
        self.length = handles.loop(bench.site)
        self.cloth = bench.goods(STRIP).pressed

    def cut(self) -> Operation:
        handles = self.handles
        piece = self.bench.draft.piece(STRIP)
        return Operation(
            key="cut handle strip",
            kind=Kind.CUT,
            part="handles",
            title=say("Cut the handle strips"),
            do=(
                say(
                    "From the {goods} cut {count} strips {strip_width} wide and {strip_length} "
                    "long, across the goods.",
                    words={"goods": self.bench.goods(STRIP).role, "count": str(piece.count)},
                    strip_width=handles.strip_width,
                    strip_length=piece.width,
                ),
                *self._short_strip(),
            ),
            why=say(
                "Four layers of {handle_width}, less {fold_clearance} that the folds take up.",
                handle_width=handles.width,
                fold_clearance=4 * handles.width - handles.strip_width,
            ),
            makes=(cut_state(STRIP),),
            enters=self.strips,
            pieces=self.strips,
            view=View.STRIPS,
        )

    def _short_strip(self) -> tuple[Sentence, ...]:
        """What else is cut where the last strip has its own length."""
        if SHORT_STRIP not in self.strips:
            return ()
        piece = self.bench.draft.piece(SHORT_STRIP)
        return (
            say(
                "Cut {count} more, only {handle_last_strip} long.",
                words={"count": str(piece.count)},
                handle_last_strip=piece.width,
            ),
        )

    def join(self) -> Operation:
        handles = self.handles
        first = say(
            "Lay two strips right sides together, ends level, and sew across, {join_seam} from "
            "the end. Join all {count} strips so, and the last end to the first: one loop.",
            words={"count": str(handles.strips)},
            join_seam=JOIN_SEAM,
        )
        if self.loop and handles.strips == 1:
            first = say(
                "Lay the two ends of the strip right sides together and sew across, {join_seam} "
                "from the end: one loop.",
                join_seam=JOIN_SEAM,
            )
        if not self.loop:
            first = say(
                "For each of the two handles join {count} strips end to end, right sides "
                "together, {join_seam} from the end.",
                words={"count": str(handles.strips)},
                join_seam=JOIN_SEAM,
            )
        look = say("The loop is not twisted and measures {handle_loop}.", handle_loop=self.length)
        if not self.loop:
            ends = self.length + 2 * JOIN_SEAM
            look = say("Each handle measures {with_ends}.", with_ends=ends)
        return Operation(
            key="join handle strips",
            kind=Kind.JOIN,
            part="handles",
            title=say("Join the strips into a loop") if self.loop else say("Join the strips"),
            do=(first, say("Press the allowances of every join apart.")),
            look=look,
            needs=(cut_state(STRIP),),
            makes=(JOINED,),
            pieces=self.strips,
            setting=Setting(length=SEAM_STITCH),
            stitching=(
                Stitching(
                    "joins of the strips",
                    (1 if self.loop else 2) * self.joins * handles.strip_width,
                    2 * self.cloth,
                ),
            ),
            allowance=JOIN_SEAM,
            pressing=self.bench.iron_for(STRIP),
            view=View.STRIPS,
        )

    def tape(self) -> Operation:
        handles = self.handles
        turned = (handles.strip_width - 2 * handles.width) / 2
        do = [
            say(
                "Turn both long edges {turned_in} to the wrong side and press: the tape is "
                "{tape_width} wide, its raw edges {apart} apart.",
                turned_in=turned,
                tape_width=2 * handles.width,
                apart=2 * handles.width - 2 * turned,
            )
        ]
        if not self.loop:
            do.insert(
                0,
                say(
                    "At both ends of each handle turn {join_seam} to the wrong side and press.",
                    join_seam=JOIN_SEAM,
                ),
            )
        return Operation(
            key="press handle tape",
            kind=Kind.PRESS,
            part="handles",
            title=say("Press the strips to a tape"),
            do=tuple(do),
            look=say("The tape is equally wide all along."),
            needs=(JOINED,) if self.joins else (cut_state(STRIP),),
            makes=(TAPE,),
            pieces=self.strips,
            pressing=self.bench.iron_for(STRIP),
            view=View.TAPE,
        )

    def edge(self) -> Operation:
        handles = self.handles
        return Operation(
            key="topstitch handles",
            kind=Kind.TOPSTITCH,
            part="handles",
            title=say("Fold the tape and edge-stitch it"),
            do=(
                say(
                    "Fold the tape along its middle, raw edges inside, to {handle_width}, and "
                    "press.",
                    handle_width=handles.width,
                ),
                say(
                    "Stitch along both long edges, {edge_distance} from the edge.",
                    edge_distance=self._near,
                ),
            ),
            why=say("Four layers stitched at both edges neither stretch nor roll."),
            look=say("The open edges are caught all along."),
            needs=(TAPE,),
            makes=(MADE,),
            pieces=self.strips,
            setting=Setting(length=TOP_STITCH),
            stitching=(
                Stitching(
                    "edges of the handles",
                    2 * (1 if self.loop else 2) * self.length,
                    4 * self.cloth,
                ),
            ),
            pressing=self.bench.iron_for(STRIP),
            spare=_finer(),
            view=View.TAPE,
        )

    @property
    def _near(self) -> float:
        """From the handle's edge to the stitching: less on a narrow one."""
        return min(self.bench.near_edge, self.handles.width / 4)

    def lay_on(self) -> Operation:
        bench = self.bench
        pocket = bench.bag.pocket
        sewn = tuple(
            pocket_state(face, "sewn on") for face in (pocket.faces.faces if pocket else ())
        )
        marks: tuple[MarkRef, ...] = bench.marks("handle leg") + bench.marks("handle halfway")
        return Operation(
            key="lay on handles",
            kind=Kind.LAY_ON,
            part="handles",
            title=say("Lay the handles on"),
            do=self._laying(),
            why=say("The handle runs under the bottom, so that the bottom hangs in the handles.")
            if self.loop
            else None,
            look=say("Nothing is twisted, and the two free ends above each top edge are alike."),
            needs=(BASE, MADE),
            # Where the lining is laid in last, the top is hemmed after that.
            after=(BOTTOM, *sewn) if bench.lining_last else (BOTTOM, HEMMED, *sewn),
            until=(LINED, *NOT_FLAT, BOARD_IN),
            makes=(HANDLES_LAID,),
            pieces=(*self.strips, *bench.faces),
            marks=marks,
        )

    def _laying(self) -> tuple[Sentence, ...]:
        handles, site = self.handles, self.bench.site
        free = {face: handles.free_length(site, face) for face in Face}
        if not self.loop:
            return (
                say(
                    "On front and back lay the ends of one handle on the drawn legs, {handle_gap} "
                    "apart, each end {leg_foot} below the top edge.",
                    handle_gap=handles.gap,
                    leg_foot=handles.stop + handles.leg,
                ),
                say(
                    "Pin each leg up to the stop, {handle_stop} below the top edge; {free_front} "
                    "of handle stay free above.",
                    handle_stop=handles.stop,
                    free_front=free[Face.FRONT],
                ),
            )
        return (
            say(
                "Fold the loop in half and mark both halfway points, {half_loop} apart. Lay them "
                "on the bottom line, one in each drawn strip, {handle_gap} between the strips.",
                half_loop=self.length / 2,
                handle_gap=handles.gap,
            ),
            say(
                "Lay the handles up the drawn strips and pin them from the bottom line to the "
                "stops, {handle_stop} below each top edge.",
                handle_stop=handles.stop,
            ),
            say(
                "Free of the panel stay {free_front} for the front handle and {free_back} for the "
                "back handle.",
                free_front=free[Face.FRONT],
                free_back=free[Face.BACK],
            ),
        )

    def stitch(self) -> Operation:
        bench, handles, site = self.bench, self.handles, self.bench.site
        legs = {face: handles.sewn_leg(site, face) for face in Face}
        if self.loop:
            first = say(
                "Sew each strip down along both edges, {edge_distance} from the edge, without a "
                "break from the front's stop under the bottom to the back's stop: {leg_front} and "
                "{leg_back}.",
                edge_distance=self._near,
                leg_front=legs[Face.FRONT],
                leg_back=legs[Face.BACK],
            )
        else:
            first = say(
                "Sew each leg down along both edges and its lower end, {edge_distance} from the "
                "edge, {handle_leg} up to the stop.",
                edge_distance=self._near,
                handle_leg=handles.leg,
            )
        do = [first]
        if self._divides_pocket():
            do.append(self._compartments())
        return Operation(
            key="topstitch handles down",
            kind=Kind.TOPSTITCH,
            part="handles",
            title=say("Sew the handles down"),
            do=tuple(do),
            look=say(
                "The stitching ends at the stop, and the {underside} is smooth.",
                words={"underside": self.bench.underside},
            ),
            needs=(HANDLES_LAID,),
            until=(LINED, *NOT_FLAT, BOARD_IN),
            makes=(HANDLES_ON,),
            pieces=(*self.strips, *bench.faces),
            runs=self._leg_runs(),
            setting=bench.topstitch,
            stitching=self._leg_lines(),
            spare=_finer(),
        )

    def _divides_pocket(self) -> bool:
        """Whether the legs run down at least to a pocket's lower edge."""
        pocket, handles, site = self.bench.bag.pocket, self.handles, self.bench.site
        if pocket is None:
            return False
        return all(
            site.top(face) - handles.stop - handles.sewn_leg(site, face)
            <= pocket.bottom(site, face)
            for face in pocket.faces.faces
        )

    def _compartments(self) -> Sentence:
        finished = self.bench.finished
        return say(
            "This stitching divides the pocket: {pocket_side_compartment} at either side, "
            "{pocket_middle_compartment} in the middle.",
            pocket_side_compartment=finished["pocket_side_compartment"] or 0.0,
            pocket_middle_compartment=finished["pocket_middle_compartment"] or 0.0,
        )

    def _leg_runs(self) -> tuple[Run, ...]:
        bench, near = self.bench, self._near
        runs: list[Run] = []
        for face in Face:
            piece = bench.panel.ref(face, "").piece
            top = bench.site.top(face) - self.handles.stop
            foot = top - self.handles.sewn_leg(bench.site, face)
            for left, right in self.handles.legs(bench.site):
                for x in (left + near, right - near):
                    line = ((x, signed(face, foot)), (x, signed(face, top)))
                    runs.append(Run(piece, line))
                if not self.loop:
                    end = signed(face, foot + near)
                    runs.append(Run(piece, ((left + near, end), (right - near, end))))
        return tuple(runs)

    def _leg_lines(self) -> tuple[Stitching, ...]:
        """The same, with what lies beneath: the panel, or the pocket on it."""
        bench = self.bench
        stack = bench.base + 4 * self.cloth
        whole = along(self._leg_runs())
        pocket = bench.bag.pocket
        if pocket is None:
            return (Stitching("handles onto the panel", whole, stack),)
        # Two lines on each of two legs.
        over = 4 * sum(self._leg_over_pocket(pocket, face) for face in pocket.faces.faces)
        cloth = bench.goods(f"{pocket.faces.faces[0].value} pocket").pressed
        return (
            Stitching("handles onto the panel", whole - over, stack),
            Stitching("handles onto the pocket", over, stack + 2 * cloth),
        )

    def _leg_over_pocket(self, pocket: Pocket, face: Face) -> float:
        site = self.bench.site
        top = site.top(face) - self.handles.stop
        foot = top - self.handles.sewn_leg(site, face)
        upper = site.top(face) - pocket.drop
        return max(min(top, upper) - max(foot, upper - pocket.height), 0.0)

    def secure(self) -> Operation:
        handles, bench = self.handles, self.bench
        side = box_side(handles, bench.near_edge)
        return Operation(
            key="topstitch handle stops",
            kind=Kind.TOPSTITCH,
            part="handles",
            title=say("Secure the handles at the stops"),
            do=(
                say(
                    "Below each of the four stops sew a square {box_side} wide, and a cross from "
                    "corner to corner in it.",
                    box_side=side,
                ),
                say("Pin the loose handles to the middle of the panel, clear of its edges."),
            ),
            why=say("All of the load hangs here. A boxed cross spreads it over many stitches."),
            look=say("No stitch lies above the stop: the handle must move freely there."),
            needs=(HANDLES_ON,),
            until=(LINED, *NOT_FLAT, BOARD_IN),
            makes=(STOPS_SEWN,),
            pieces=(*self.strips, *bench.faces),
            runs=self._box_runs(side),
            setting=bench.topstitch,
            stitching=(
                Stitching(
                    "boxes at the handles' stops",
                    along(self._box_runs(side)),
                    bench.base + 4 * self.cloth,
                ),
            ),
            spare=_finer(),
            view=View.FRONT,
        )

    def _box_runs(self, side: float) -> tuple[Run, ...]:
        bench = self.bench
        runs: list[Run] = []
        for face in Face:
            piece = bench.panel.ref(face, "").piece
            top = bench.site.top(face) - self.handles.stop
            high, low = signed(face, top), signed(face, top - side)
            for left, right in self.handles.legs(bench.site):
                x0, x1 = (left + right - side) / 2, (left + right + side) / 2
                box = ((x0, low), (x0, high), (x1, high), (x1, low), (x0, low))
                runs.append(Run(piece, (*box, (x1, high))))
                runs.append(Run(piece, ((x0, high), (x1, low))))
        return tuple(runs)


def _finer() -> Sentence:
    return say(
        "Stitch at {seam_stitch} as for the seams: it looks a little finer.",
        words={"seam_stitch": as_set(SEAM_STITCH)},
    )
