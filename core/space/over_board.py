"""Whether a bag that closes flat over its bottom does so over a board, and how taut it is. mm."""

from core.base.sentences import mark, say
from core.base.tolerance import shorter

LEAST_OVER_BOARD = 1.03
"""Wall over half the base: lower, a hair more or less is worth percents of the volume, and no
working mesh comes within 0.5 % (measured; the limit is an own choice)."""


def check_closes(face: float, half: float) -> None:
    """Refuse, by a NotFillableError, a face that does not reach over half a base, or only just."""
    from core.space.patches import NotFillableError  # the figures of a body ask the limit alone

    if not shorter(half, face):
        raise NotFillableError(say(_DOES_NOT_CLOSE, face=face, half=half))
    least = LEAST_OVER_BOARD * half
    if shorter(face, least):
        raise NotFillableError(say(_HARDLY_CLOSES, face=face, least=least))


def softness_over_board(spread: float, straight: float = 1.0) -> float:
    """Of the solver (`core.solid.fill_problem.Problem`): the less slack walls have, the softer.

    Where front and back are next to all arc no fold rises between them, and a soft sheet swings.

    Args:
        spread: how far a wall leans in over the board, over its height: at 1 it is taut.
        straight: how long front and back are without their arcs, over the board's depth.
    """
    taut = _between(spread, _SPREADS, _SOFTNESSES)
    return min(taut, _between(straight, _STRAIGHTS, _SOFTEST))


def _between(at: float, places: tuple[float, float], values: tuple[float, float]) -> float:
    """On the straight line between two values, and beyond them the nearer one."""
    (low, high), (first, last) = places, values
    share = (min(max(at, low), high) - low) / (high - low)
    return first + share * (last - first)


_SPREADS, _SOFTNESSES = (0.85, 0.98), (1.0, 8.0)
"""Spreads and the softness there, measured: a fifth of the steps."""
_STRAIGHTS, _SOFTEST = (0.015, 0.06), (1.2, 8.0)
"""Straight parts and the most there: 90 x 480 mm with arcs of 45 mm came to no rest in 1,000 steps,
now in 160, and the stiffer the sheet, the more such bags hold (measured)."""
_DOES_NOT_CLOSE = mark(
    "The bag does not close over its base board: the face height is {face} "
    "and half of the base, front to back, {half}."
)
_HARDLY_CLOSES = mark(
    "The bag barely closes over its base board: the face height is {face}, and below "
    "{least} its volume cannot be worked out reliably."
)
