"""What a bag file holds that this program does not know, kept for whoever does."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Which item of a list is meant, so that it is found again after an edit.

    Attributes:
        index: where it stood, from 0.
        among: how many items there were.
        called: its name in the list, "" where items have none.
    """

    index: int
    among: int
    called: str

    def found_in(self, called: list[str]) -> int | None:
        """Where the item stands in a list of items with these names; None when it is gone."""
        if self.index < len(called) and called[self.index] == self.called:
            return self.index
        if self.called in called:
            return called.index(self.called)
        # As many as before, none with its name: it was given another one in its place.
        return self.index if self.among == len(called) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignEntry:
    """One entry of a file that is not ours.

    Attributes:
        path: the keys and items that lead to it, its own key last.
        value: as JSON text, which cannot be changed by accident.
    """

    path: tuple[str | Item, ...]
    value: str
