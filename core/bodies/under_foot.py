"""What lies under the presser foot along a seam, and what is thicker where it crosses. mm."""

from core.base.sentences import Last, Listing, Sentence, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit
from core.flat.seam import WalkedSeam
from core.work.bench import Bench
from core.work.operation import Measure, MeasurePlace, sized

_LEAST = {Unit.INCH: MM_PER_INCH / 32}
"""What is shown as another thickness where inches are read, mm; else a tenth is."""


def under_foot(bench: Bench, walked: WalkedSeam) -> tuple[float, Sentence, tuple[Measure, ...]]:
    """Two walls, and up to the thickest of what this seam crosses: the sides of a pocket too.

    Returns:
        What is under the foot in general, pressed; what is said of it, and what that tells.
    """
    stack, caught = 2 * bench.wall, bool(walked.seam.caught)
    crossed = {
        each.at: (each if caught else each._replace(laid_on=0.0)).thickness(bench.wall)
        for each in bench.crossings
        if each.at
    }
    least = stack + _LEAST.get(bench.unit, 0.1)
    crossed = {at: thick for at, thick in crossed.items() if shorter(least, thick)}
    thick = max(crossed.values(), default=stack)
    told = say("Two walls go under the presser foot, {stack} thick when pressed.", stack=stack)
    if crossed:
        told = say(
            "Two walls go under the presser foot, {stack} thick when pressed. Turn the hand wheel "
            "where they meet {crossed}: there it is up to {thick}.",
            terms={"crossed": Listing(list(crossed), Last.OR)},
            stack=stack,
            thick=thick,
        )
    return stack, told, sized(MeasurePlace.DERIVED, stack=stack, thick=thick)
