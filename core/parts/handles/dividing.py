"""What steps tell of the pocket that the handles' stitching divides. mm."""

from core.base.sentences import Sentence, say
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
    first, words = divided[0], {"face": divided[0].face.value}
    if not first.holds:
        told = (
            "It crosses the {face} pocket only down to {open_below} above its lower edge: "
            "below that the pocket is open from side to side."
        )
        return (say(told, words=words, open_below=first.below),)
    side, middle = finished[SIDE], finished[MIDDLE]
    words = {"pocket": "the pocket" if len(divided) == 1 else "each pocket"}
    found = []
    if side is not None and middle is not None:
        found.append(
            say(
                "This stitching divides {pocket}: {pocket_side_compartment} at either side, "
                "{pocket_middle_compartment} between the legs.",
                words=words,
                pocket_side_compartment=side,
                pocket_middle_compartment=middle,
            )
        )
    elif side is not None:
        told = "This stitching divides {pocket} in two, {pocket_side_compartment} each."
        found.append(say(told, words=words, pocket_side_compartment=side))
    elif middle is not None:
        told = "It leaves one compartment in {pocket}, {pocket_middle_compartment} wide."
        found.append(say(told, words=words, pocket_middle_compartment=middle))
    if found and first.above > 0.0:
        told = "Above the stops the compartments stay open to each other for {open_above}."
        found.append(say(told, open_above=first.above))
    return tuple(found)
