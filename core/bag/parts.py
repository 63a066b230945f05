"""The parts of one bag: what is in its slots."""

from collections.abc import ItemsView, Iterable, Iterator, Mapping, ValuesView

from core.parts import table
from core.parts.part import Part


class Parts(Mapping[str, Part]):
    """Slot -> part, in the order of the table of slots. Never changed; hashable."""

    __slots__ = ("_held",)

    def __init__(self, parts: Iterable[Part] = ()) -> None:
        """Put each part into its slot; of two for one slot the later stays.

        A ValueError where no slot is for a part of that kind.
        """
        found = {part.SLOT: part for part in parts}
        self._held = {kind.SLOT: found.pop(kind.SLOT) for kind in table.SLOTS if kind.SLOT in found}
        if found:
            raise ValueError(f"no slot is for {', '.join(found)}")

    def __getitem__(self, slot: str) -> Part:
        return self._held[slot]

    def __iter__(self) -> Iterator[str]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    # Those that Mapping has ask for one part after the other; a draft walks them thirty times.

    def values(self) -> ValuesView[Part]:
        """The parts, in order."""
        return self._held.values()

    def items(self) -> ItemsView[str, Part]:
        """(slot, part), in order."""
        return self._held.items()

    def __eq__(self, other: object) -> bool:
        return self._held == other._held if isinstance(other, Parts) else NotImplemented

    def __hash__(self) -> int:
        return hash(tuple(self._held.items()))

    def __repr__(self) -> str:
        return f"Parts({list(self._held.values())!r})"

    def having(self, *parts: Part) -> "Parts":
        """These parts with others put into their slots."""
        return Parts((*self._held.values(), *parts))

    def without(self, *slots: str) -> "Parts":
        """These parts but for those in some slots."""
        return Parts(part for slot, part in self._held.items() if slot not in slots)
