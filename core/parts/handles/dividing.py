"""What steps tell of the pocket that the handles' stitching divides. mm."""

from core.base.sentences import Sentence, mark, say
from core.flat.roles import Face
from core.parts.compartments import MIDDLE, SIDE, divisions
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.work.bench import Bench
from core.work.operation import Measure


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
