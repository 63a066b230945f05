"""Sewing the handles to the panel: laid on, sewn down, secured at their stops. mm."""

import math

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import same_length, shorter
from core.flat.geometry import Bounds
from core.flat.roles import FACES, Face, MarkRole, PieceId
from core.parts.handles.diagrams import halfway_diagram, loose_arches
from core.parts.handles.drawn import box_side
from core.parts.handles.handles import Handles
from core.parts.handles.joins import told_join
from core.parts.handles.making import MADE, HandleWork, compartment_measures, compartment_sentences
from core.parts.handles.told import HALFWAY, PLACED
from core.parts.pocket.pocket import Pocket, pocket_piece
from core.parts.upper_edge import each_upper_edge, upper_edge, upper_edges
from core.work.bench import Bench
from core.work.machine import SewnAs
from core.work.operation import (
    Action,
    Measure,
    MeasurePlace,
    Operation,
    Stitching,
    StitchPath,
    along,
    measured,
    sized,
)
from core.work.scene import FlatScene
from core.work.states import (
    BASE,
    INSERT_IN,
    LINED,
    PATCHES_SEWN,
    STRAPS_LAID,
    STRAPS_SECURED,
    STRAPS_SEWN,
)


def handles_operations(bench: Bench, handles: Handles) -> tuple[Operation, ...]:
    """From the strips to the secured ends of the stitching."""
    work = _OnPanel(bench, handles)
    return (*work.made(), work.lay_on(), work.stitch(), work.secure())


class _OnPanel(HandleWork):
    def below_edge(self, face: Face) -> float:
        """The stop of a face below the top edge that is there by then, mm."""
        return self.handles.stop_on(face) - self.bench.turned_in

    @property
    def alike(self) -> bool:
        """Whether the stops lie as far down the back as the front."""
        return same_length(*(self.handles.stop_on(face) for face in FACES))

    def lay_on(self) -> Operation:
        bench = self.bench
        roles = MarkRole.LEG, MarkRole.HALFWAY
        return Operation(
            key="lay on handles",
            action=Action.LAY_ON,
            title=say("Pin the handles in place"),
            instructions=self._laying(),
            why=say("The handle runs under the bottom, so that the handles carry the bottom.")
            if self.loop
            else None,
            check=say(
                "Nothing is twisted, and the two sides of each handle are equally long "
                "above {edge}.",
                terms={"edge": upper_edge(bench.site)},
            ),
            needs=(BASE, MADE),
            after=(*bench.closing.joined, *bench.edges_first, PATCHES_SEWN),
            until=(LINED, *bench.edges_later, *bench.flat_ends, INSERT_IN),
            measures=self._laid_measures(),
            makes=(STRAPS_LAID,),
            pieces=(*self.strips, *self._carriers),
            marks=tuple(mark for role in roles for mark in bench.marks("handles", role)),
            scene=self._laid_scene(),
        )

    def _laid_scene(self) -> FlatScene:
        """The legs laid, with what is told of the loop and of what stays loose."""
        joins, site = self.joins_laid, self.bench.site
        told = {} if joins is None else {Face.FRONT: "free_front"}
        if self.loop and joins is not None:
            told[Face.BACK] = "free_back"
        free = {face: (name, self.handles.free_length(site, face)) for face, name in told.items()}
        over, placed = loose_arches(self.handles, site, free, self.bench.turned_in)
        if not self.loop:
            return FlatScene(pieces=self._shown, over=over, placed=placed)
        from_join = None if joins is None else told_join(joins).apart
        beside = halfway_diagram(self.length / 2, from_join)
        return FlatScene(pieces=self._shown, over=over, placed=placed, beside=beside)

    @property
    def _carriers(self) -> tuple[PieceId, ...]:
        """The pieces that the faces lie on."""
        return tuple(dict.fromkeys(self.bench.faces[face] for face in FACES))

    @property
    def _shown(self) -> tuple[PieceId, ...]:
        """Of walls that are still apart: what a loop runs over, or one face if both are alike."""
        if not self.bench.closing.apart:
            return ()
        return self._carriers if self.loop or not self.alike else self._carriers[:1]

    def _laid_measures(self) -> tuple[Measure, ...]:
        bench, handles = self.bench, self.handles
        (left, inner), _ = handles.legs(bench.site)
        edge, stops = bench.turned_in, {face: self.below_edge(face) for face in FACES}
        named = self._named("stop_below")
        found = [bench.down(named[face], stops[face], face, x=0.0, start=edge) for face in FACES]
        free = {face: handles.free_length(bench.site, face) for face in FACES}
        # Legs that run off the face are not drawn, nor is what stands up from two loose walls.
        standing = len(self.sewn_legs) > 1 and (self.loop or len(self._shown) < len(FACES))
        loose = MeasurePlace.DIAGRAM if standing else MeasurePlace.DERIVED
        found += sized(loose, free_front=free[Face.FRONT])
        if not self.loop:
            feet, named = self._feet, self._named("leg_foot")
            found += [
                bench.down(named[face], feet[face], face, x=left, start=edge) for face in FACES
            ]
            found.append(
                bench.across("handle_gap", handles.gap, Face.FRONT, x=inner, below=handles.stop)
            )
            return tuple(found)
        piece = bench.faces[Face.FRONT]
        found.append(
            measured("handle_gap", handles.gap, piece, (inner, 0.0), (inner + handles.gap, 0.0))
        )
        found += sized(loose, free_back=free[Face.BACK])
        found += sized(MeasurePlace.DIAGRAM, half_loop=self.length / 2)
        if self.joins_laid is not None:
            found += sized(MeasurePlace.DIAGRAM, join_to_bottom=told_join(self.joins_laid).apart)
        return tuple(found)

    def _named(self, name: str) -> dict[Face, str]:
        """Face -> what a length is called there: the same where both faces are alike."""
        return {Face.FRONT: name, Face.BACK: name if self.alike else f"{name}_back"}

    @property
    def _feet(self) -> dict[Face, float]:
        """How far below the top edge that is there the legs of each face end, mm."""
        return {face: max(self.below_edge(face) + self.handles.leg, 0.0) for face in FACES}

    def _separately(self) -> tuple[Sentence, ...]:
        """Two handles laid on their legs, and pinned up to their stops."""
        handles, edge = self.handles, {"edge": upper_edge(self.bench.site)}
        stops = {self._named("stop_below")[face]: self.below_edge(face) for face in FACES}
        feet = {self._named("leg_foot")[face]: foot for face, foot in self._feet.items()}
        place, pin = _PLACED_ALIKE if self.alike else _PLACED_UNLIKE
        return (
            Sentence(place, {"handle_gap": handles.gap, **feet}, terms=edge),
            *self.taped,
            say("Pin each leg up to {edge}: the stop is turned in with it.", terms=edge)
            if not shorter(0.0, min(stops.values()))
            else Sentence(pin, stops, terms=edge),
            *self._left_free(),
        )

    def _laying(self) -> tuple[Sentence, ...]:
        if not self.loop:
            return self._separately()
        stop, site = self.below_edge(Face.FRONT), self.bench.site
        return (
            *self._halfway(),
            *self.taped,
            say(
                "Lay the handles up the drawn strips and pin them from the bottom line to "
                "{edges}: the stops are turned in with them.",
                terms={"edges": upper_edges(site)},
            )
            if not shorter(0.0, stop)
            else say(
                "Lay the handles up the drawn strips and pin them from the bottom line to the "
                "stops, {stop_below} below {edge}.",
                terms={"edge": each_upper_edge(site)},
                stop_below=stop,
            ),
            *self._left_free(),
        )

    def _halfway(self) -> tuple[Sentence, ...]:
        """The loop's halfway points, measured from a join, and where they are laid."""
        handles, joins = self.handles, self.joins_laid
        half = self.length / 2
        if joins is None:
            return (
                say(
                    "Fold the loop in half and mark both halfway points, {half_loop} "
                    "apart. Place them on the bottom line, one in each drawn strip, "
                    "{handle_gap} between the strips.",
                    half_loop=half,
                    handle_gap=handles.gap,
                ),
            )
        told = told_join(joins)
        return (
            say(HALFWAY[told.over_last], join_to_bottom=told.apart),
            say(
                "Fold the loop there and mark the opposite end, {half_loop} away: these are its "
                "halfway points.",
                half_loop=half,
            ),
            say(PLACED[told.face], handle_gap=handles.gap),
        )

    def _left_free(self) -> tuple[Sentence, ...]:
        """What stays loose: it shows at once whether the legs are laid alike."""
        if self.joins_laid is None:
            return (say("Nothing is left to hold: the strips are too short."),)
        site = self.bench.site
        free = {face: self.handles.free_length(site, face) for face in FACES}
        if not self.loop:
            each = mark("Above the stops, {free_front} of each handle stays free.")
            return (say(each, free_front=free[Face.FRONT]),)
        return (
            say(
                "Above the stops, {free_front} of the front handle and {free_back} of the "
                "back handle stay free.",
                free_front=free[Face.FRONT],
                free_back=free[Face.BACK],
            ),
        )

    def stitch(self) -> Operation:
        bench, handles, site = self.bench, self.handles, self.bench.site
        legs = {face: handles.sewn_leg(site, face) for face in FACES}
        if self.loop:
            first = say(
                "Sew each strip down along both edges, {edge_distance} from the edge, from the "
                "stop on the front, under the bottom, to the stop on the back. That is {leg_front} "
                "on the front and {leg_back} on the back, without a break.",
                edge_distance=self.near,
                leg_front=legs[Face.FRONT],
                leg_back=legs[Face.BACK],
            )
        else:
            first = say(
                "Sew each leg down along both edges and its lower end, {edge_distance} from the "
                "edge, {handle_leg} up to the stop.",
                edge_distance=self.near,
                handle_leg=handles.leg,
            )
        return Operation(
            key="topstitch handles down",
            action=Action.TOPSTITCH,
            title=say("Sew the handles down"),
            instructions=(first, *compartment_sentences(bench)),
            check=say("The stitching ends at the stop, and the lining side is smooth.")
            if self.bench.lined_beneath
            else say("The stitching ends at the stop, and the wrong side is smooth."),
            needs=(STRAPS_LAID,),
            until=(LINED, *bench.flat_ends, INSERT_IN),
            measures=(*self._leg_measures(), *compartment_measures(bench)),
            makes=(STRAPS_SEWN,),
            pieces=(*self.strips, *self._carriers),
            paths=self._leg_paths(),
            setting=bench.topstitch,
            stitching=self._leg_lines(),
            without_change=SewnAs.STITCHING.at_seam_stitch,
        )

    def _leg_measures(self) -> tuple[Measure, ...]:
        """How far the legs are sewn down, and how far from their edges."""
        bench, handles = self.bench, self.handles
        (left, _), (_, right) = handles.legs(bench.site)
        legs = {face: handles.sewn_leg(bench.site, face) for face in FACES}
        stops = {face: handles.stop_on(face) for face in FACES}
        names = {face: f"leg_{face.value}" if self.loop else "handle_leg" for face in FACES}
        return (
            bench.across("edge_distance", self.near, Face.FRONT, x=left, below=handles.stop),
            *(
                bench.down(names[face], legs[face], face, x=right, start=stops[face])
                for face in FACES
            ),
        )

    def _leg_paths(self) -> tuple[StitchPath, ...]:
        bench, near = self.bench, self.near
        paths: list[StitchPath] = []
        for face in FACES:
            seat = bench.site.seats[face]
            foot, top = self.handles.leg_ends(bench.site, face)
            for left, right in self.sewn_legs:
                for x in (left + near, right - near):
                    paths.append(StitchPath(seat.piece, (seat.point(x, foot), seat.point(x, top))))
                if not self.loop:
                    ends = (seat.point(x, foot + near) for x in (left + near, right - near))
                    paths.append(StitchPath(seat.piece, tuple(ends)))
        return tuple(paths)

    def _leg_lines(self) -> tuple[Stitching, ...]:
        """The same, with what lies beneath: the panel, or the pocket on it."""
        bench = self.bench
        stack = bench.base + 4 * self.cloth
        whole = along(self._leg_paths())
        pocket = Pocket.of(bench.parts)
        if pocket is None:
            return (Stitching(mark("handles onto the wall"), whole, stack),)
        lines = 2 * len(self.sewn_legs)
        over = lines * math.fsum(self._leg_over_pocket(pocket, face) for face in pocket.faces.faces)
        cloth = bench.cloth(pocket_piece(pocket.faces.faces[0])).pressed
        return (
            Stitching(mark("handles onto the wall"), whole - over, stack),
            Stitching(mark("handles onto the pocket"), over, stack + 2 * cloth),
        )

    def _leg_over_pocket(self, pocket: Pocket, face: Face) -> float:
        site = self.bench.site
        foot, top = self.handles.leg_ends(site, face)
        upper = site.seats[face].top - pocket.drop
        return max(min(top, upper) - max(foot, upper - pocket.height), 0.0)

    def secure(self) -> Operation:
        handles, bench = self.handles, self.bench
        side = box_side(handles, bench.near_edge)
        paths, stack = self._box_paths(side), bench.base + 4 * self.cloth
        return Operation(
            key="topstitch handle stops",
            action=Action.TOPSTITCH,
            title=say("Secure the handles at the stops"),
            instructions=(
                say(
                    "Below each of the four stops sew a square {box_side} wide, with a "
                    "cross in it from corner to corner.",
                    box_side=side,
                ),
                say(
                    "Tie the loose handles together over the middle of the wall, clear of "
                    "its edges: a pin would leave holes in the lining."
                )
                if bench.lining_last
                else say("Tie the loose handles together over the wall, clear of its edges.")
                if bench.holes_stay
                else say("Pin the loose handles to the middle of the wall, clear of its edges."),
            ),
            why=say(
                "All of the load hangs here. A square with a cross spreads it over many stitches."
            ),
            check=say("There is no stitch above the stop: the handle must move freely there."),
            needs=(STRAPS_SEWN,),
            until=(LINED, *bench.flat_ends, INSERT_IN),
            measures=self._box_measures(side),
            makes=(STRAPS_SECURED,),
            pieces=(*self.strips, *self._carriers),
            paths=paths,
            setting=bench.topstitch,
            stitching=(Stitching(mark("boxes at the handles' stops"), along(paths), stack),),
            without_change=SewnAs.STITCHING.at_seam_stitch,
            scene=FlatScene(pieces=self._shown[:1], window=self._stops_on_front()),
        )

    def _stops_on_front(self) -> Bounds:
        """Around the stops of the front: one half tells it all."""
        handles, site = self.handles, self.bench.site
        (left, _), (_, right) = handles.legs(site)
        beside = max(handles.gap, handles.width) / 2
        high = site.front.top - handles.stop + handles.width
        return (left - beside, high - 4 * handles.width, right + beside, high)

    def _box_measures(self, side: float) -> tuple[Measure, ...]:
        """Of each box on the front; legs that lie on no cloth have none."""
        if not self.sewn_legs:
            return sized(MeasurePlace.DERIVED, box_side=side)
        return tuple(
            self.bench.across(
                "box_side", side, Face.FRONT, x=(left + right - side) / 2, below=self.handles.stop
            )
            for left, right in self.sewn_legs
        )

    def _box_paths(self, side: float) -> tuple[StitchPath, ...]:
        bench = self.bench
        paths: list[StitchPath] = []
        for face in FACES:
            seat = bench.site.seats[face]
            _, high = self.handles.leg_ends(bench.site, face)
            for left, right in self.sewn_legs:
                x0 = (left + right - side) / 2
                low_left, high_left, low_right, high_right = (
                    seat.point(x, y) for x in (x0, x0 + side) for y in (high - side, high)
                )
                box = (low_left, high_left, high_right, low_right, low_left)
                paths.append(StitchPath(seat.piece, (*box, high_right)))
                paths.append(StitchPath(seat.piece, (high_left, low_right)))
        return tuple(paths)


_PLACED_ALIKE = (
    mark(
        "On front and back place the ends of one handle on the drawn legs, {handle_gap} apart, "
        "each end {leg_foot} below {edge}."
    ),
    mark("Pin each leg up to the stop, {stop_below} below {edge}."),
)
_PLACED_UNLIKE = (
    mark(
        "On front and back place the ends of one handle on the drawn legs, {handle_gap} apart: on "
        "the front each end {leg_foot} below {edge}, on the back {leg_foot_back}."
    ),
    mark(
        "Pin each leg up to the stop, on the front {stop_below} below {edge}, on the back "
        "{stop_below_back}."
    ),
)
"""Where the ends go, and how far up the legs are pinned."""
