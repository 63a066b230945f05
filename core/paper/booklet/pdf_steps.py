"""The steps on PDF pages: each whole beside its drawing, pages filled. Points, but for pictures.

A page takes as many steps as it can with their drawings small; then the drawings grow until the
page is full, and what is left over parts the steps. So letters in a drawing are never smaller
than they are told here, and no page is left a third empty for a step that did not fit. The
writer's library is loaded when used.
"""

from collections.abc import Callable, Sequence
from typing import Any

from core.paper.booklet.blocks import StepCard

LEAST_SCALE, MOST_SCALE = 0.9, 1.5
"""Of a drawing: its letters, 7.4 pt at 1, are then 6.6 pt or larger."""
_SCALES = (MOST_SCALE, 1.35, 1.2, 1.1, 1.0, LEAST_SCALE)
_GAP, _MOST_GAP = 5.0, 60.0
"""Between two steps, and the most that it grows to."""

MakeCard = Callable[[StepCard, float], Any]
"""A step as a flowable, its drawing at so many times its size."""


def steps_flowable(
    lead: Sequence[Any], cards: Sequence[StepCard], make: MakeCard, *, page_height: float
) -> Any:
    """A flowable of all steps that breaks itself into full pages.

    Args:
        lead: flowables that stand above the first step.
        cards: the steps.
        make: draws one.
        page_height: of a page that nothing stands on.
    """
    from reportlab.platypus import Flowable, PageBreak, Spacer

    class Steps(Flowable):  # type: ignore[misc]  # the library has no types
        def __init__(self, lead: Sequence[Any], cards: Sequence[StepCard]) -> None:
            super().__init__()
            self._lead, self._cards = list(lead), list(cards)

        def wrap(self, width: float, height: float) -> tuple[float, float]:
            # Never fits, so that it is asked to split.
            return width, 10 * (height + page_height)

        def split(self, width: float, height: float) -> list[Any]:
            lead = sum(_height(each, width) for each in self._lead)
            room = height - lead - 0.01
            count = self._count(width, room)
            if count == 0 and height < page_height - 1.0:
                return []  # on the next page there is more room
            if count == 0:
                # Longer than a page: it is torn apart all the same.
                first = [*self._lead, make(self._cards[0], LEAST_SCALE)]
                return [*first, *self._rest(1)]
            is_last = count == len(self._cards)
            made, gap = self._fill(count, width, room, is_last=is_last)
            story = list(self._lead)
            for place, card in enumerate(made):
                story += [Spacer(1, gap)] if place else []
                story.append(card)
            return [*story, *([] if is_last else [PageBreak(), *self._rest(count)])]

        def _rest(self, count: int) -> list[Any]:
            return [Steps([], self._cards[count:])] if self._cards[count:] else []

        def _count(self, width: float, room: float) -> int:
            """Steps that fit with small drawings."""
            used, count = -_GAP, 0
            for card in self._cards:
                used += _GAP + _height(make(card, LEAST_SCALE), width)
                if used > room:
                    break
                count += 1
            return count

        def _fill(
            self, count: int, width: float, room: float, *, is_last: bool
        ) -> tuple[list[Any], float]:
            """The largest drawings that fit, and what is then left between the steps."""
            gaps = _GAP * (count - 1)
            for scale in _SCALES:
                if is_last and scale > 1.0:
                    continue
                made = [make(card, scale) for card in self._cards[:count]]
                used = sum(_height(each, width) for each in made)
                if used + gaps <= room:
                    break
            if is_last or count == 1:
                return made, _GAP
            return made, min((room - used) / (count - 1), _MOST_GAP)

    return Steps(lead, cards)


def _height(flowable: Any, width: float) -> float:
    high: float = (
        flowable.wrap(width, 1e6)[1] + flowable.getSpaceBefore() + flowable.getSpaceAfter()
    )
    return high
