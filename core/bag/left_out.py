"""What choices left out of a bag on the way to it, and what of that comes back.

Taking a part back brings its numbers back too. A part that a construction cannot take comes back
with the first that can, unless the maker has chosen of it since. Choices that follow one another
lead back to the very bag: each of them makes a zip longer where it must, and none knows how long
it was before.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from core.bag.bag import Bag
from core.bag.choices import CHOICES, kept_of, with_word, word_of
from core.bag.construction import Aside, put_aside, with_back
from core.bag.tables import BODY
from core.site.owner import Choice


class LeftOut(NamedTuple):
    """What was left out on the way to a bag.

    Attributes:
        kept: (choice, word; None where it can be left out) -> what was left with that word.
        aside: slot -> a part that a construction could not take.
        trail: the last choices, none of which was followed by any other edit: the name of each, and
            the bag before it.
        led_to: the bag after the last of them.
    """

    kept: Mapping[tuple[str, str | None], object] = MappingProxyType({})
    aside: Mapping[str, Aside] = MappingProxyType({})
    trail: tuple[tuple[str, Bag], ...] = ()
    led_to: Bag | None = None

    def chosen(
        self, bag: Bag, choice: Choice, word: str, finish: Callable[[Bag], Bag] = lambda bag: bag
    ) -> "tuple[Bag, LeftOut]":
        """The bag with a choice made, and what was left out on the way to that.

        `finish` gives the bag what is known of its construction. A FieldError: there can be no
        such bag.
        """
        left_out = choice.leaves_out  # else each word has its own
        kept, aside = self.kept, self.aside
        if (left := kept_of(bag, choice)) is not None:
            kept = {**kept, (choice.name, None if left_out else word_of(bag, choice)): left}
        trail = self.trail if self.led_to == bag else ()
        back = _before(trail, choice, word)
        if back is None:
            other = with_word(
                bag, choice, word, kept.get((choice.name, None if left_out else word))
            )
            if choice.part == BODY:
                other = with_back(bag, other, aside.values())
            other = finish(other)
            back = _chosen_alike(trail, choice, other)
        if back is None:
            trail = (*trail, (choice.name, bag))
        else:
            other, trail = trail[back][1], trail[:back]
        if choice.part == BODY:
            aside = put_aside(aside, bag, other)
        aside = {slot: each for slot, each in aside.items() if slot != choice.part}
        return other, LeftOut(kept, aside, trail, other)


_Trail = tuple[tuple[str, Bag], ...]


def _before(trail: _Trail, choice: Choice, word: str) -> int | None:
    """Where this word was chosen away, if nothing else was chosen since."""
    for place, (name, bag) in reversed(tuple(enumerate(trail))):
        if name != choice.name:
            return None
        if word_of(bag, choice) == word:
            return place
    return None


def _chosen_alike(trail: _Trail, choice: Choice, bag: Bag) -> int | None:
    """Where a bag was the same in all that was chosen since; what else differs only went along."""
    for place, (_, was) in enumerate(trail):
        chosen = {choice.name, *(name for name, _ in trail[place:])}
        asked = (each for each in CHOICES if each.name in chosen)
        if all(word_of(was, each) == word_of(bag, each) for each in asked):
            return place
    return None
