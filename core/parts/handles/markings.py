"""What is drawn on the wall for the handles before they are laid on: legs and stops. mm."""

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import same_length
from core.flat.roles import FACES, Face
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.handles.told import LEGS, place_of_legs
from core.parts.upper_edge import upper_edge
from core.work.bench import Bench
from core.work.operation import Marking, MarkingStage, Measure, MeasurePlace, sized


def handle_markings(bench: Bench, handles: Handles) -> tuple[Marking, ...]:
    """The legs' places and the stops."""
    (left, _), _ = handles.legs(bench.site)
    if left < 0.0:
        first = say(
            "The handles' legs cannot be drawn in their places: they reach {beyond} beyond "
            "either side of the face.",
            beyond=-left,
        )
    elif handles.style is HandleStyle.LOOP:
        first = say(
            "Draw two strips for the handles along the wall, front to back, each "
            "{handle_width} wide, with {handle_gap} between them. Their outer lines are "
            "{from_side} from the side edges.",
            from_side=left,
            handle_width=handles.width,
            handle_gap=handles.gap,
        )
    else:
        name, at = place_of_legs(bench.site, left)
        sizes = {"handle_width": handles.width, "handle_gap": handles.gap}
        first = Sentence(LEGS[name], {name: at, **sizes, "handle_leg": handles.leg})
    stops = _stops(handles)
    stop = Sentence(_DRAW_STOPS[len(stops)], stops, terms={"edge": upper_edge(bench.site)})
    measures = _marking_measures(bench, handles)
    return (Marking(stage=MarkingStage.PARTS, instructions=(first, stop), measures=measures),)


def _marking_measures(bench: Bench, handles: Handles) -> tuple[Measure, ...]:
    (left, inner), _ = handles.legs(bench.site)
    right = bench.site.front.width
    names = [*_stops(handles), "handle_stop"]
    stops = tuple(
        bench.down(name, handles.stop_on(face), face, x=right)
        for name, face in zip(names, FACES, strict=False)
    )
    if left < 0.0:
        return (*stops, *sized(MeasurePlace.DERIVED, beyond=-left))
    aside = ("from_side", left)
    if handles.style is HandleStyle.SEPARATE:
        aside = place_of_legs(bench.site, left)
    across = ((*aside, 0.0), ("handle_width", handles.width, left))
    found = (
        *(
            bench.across(name, length, Face.FRONT, x=x, below=0.0)
            for name, length, x in (*across, ("handle_gap", handles.gap, inner))
        ),
        *stops,
    )
    if handles.style is HandleStyle.LOOP:
        return found
    legs = (
        bench.down("handle_leg", handles.leg, face, x=left, start=handles.stop_on(face))
        for face in FACES
    )
    return (*found, *legs)


def _stops(handles: Handles) -> dict[str, float]:
    """The stops as they are told, mm: once where they lie as far down front and back."""
    front, back = (handles.stop_on(face) for face in FACES)
    alike = {"handle_stop": front}
    return alike if same_length(front, back) else {**alike, "stop_back": back}


_DRAW_STOPS = {
    1: mark(
        "On both faces draw the stop across the strips, {handle_stop} below {edge}, where the "
        "stitching ends."
    ),
    2: mark(
        "Draw the stop across the strips, where the stitching ends: on the front {handle_stop} "
        "below {edge}, on the back {stop_back}."
    ),
}
"""By how many lengths are told."""
