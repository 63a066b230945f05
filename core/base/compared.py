"""How frozen data is compared, hashed and printed: by what it holds."""

from dataclasses import fields
from operator import attrgetter
from typing import Any, ClassVar


class Compared:
    """Base of a `dataclass(eq=False, repr=False)`, which is then compared as any other one is.

    What `dataclass` writes for a class is compiled at each start of the program: half of that are
    these three methods, which are the same for all.
    """

    __slots__ = ()

    _held: "ClassVar[attrgetter[Any] | None]" = None
    """Gives what counts of a value of this very class, from the first time that one is compared."""

    def __init_subclass__(cls) -> None:
        cls._held = None

    def __eq__(self, other: object) -> bool:
        if other.__class__ is not self.__class__:
            return NotImplemented
        held = self._held or self._learn()
        return bool(held(self) == held(other))

    def __hash__(self) -> int:
        return hash((self._held or self._learn())(self))

    def __repr__(self) -> str:
        each: Any = self
        told = (f"{it.name}={getattr(self, it.name)!r}" for it in fields(each) if it.repr)
        return f"{type(self).__qualname__}({', '.join(told)})"

    @classmethod
    def _learn(cls) -> "attrgetter[Any]":
        kind: Any = cls
        held = attrgetter(*(each.name for each in fields(kind) if each.compare))
        cls._held = held
        return held
