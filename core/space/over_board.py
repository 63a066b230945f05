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


def softness_over_board(spread: float) -> float:
    """Of the solver (`core.solid.fill_problem.Problem`): the less slack walls have, the softer.

    Args:
        spread: how far a wall leans in over the board, over its height: at 1 it is taut.
    """
    (low, high), (least, most) = _SPREADS, _SOFTNESSES
    if spread <= low:
        return least
    return min((most - least) / (high - low) * (spread - low) + least, most)


_SPREADS, _SOFTNESSES = (0.85, 0.98), (1.0, 8.0)
"""Spreads and the softness there, measured: a fifth of the steps."""
_DOES_NOT_CLOSE = mark(
    "The bag does not close over its base board: the face height is {face} "
    "and half of the base, front to back, {half}."
)
_HARDLY_CLOSES = mark(
    "The bag barely closes over its base board: the face height is {face}, and below "
    "{least} its volume cannot be worked out reliably."
)
