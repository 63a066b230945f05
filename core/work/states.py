"""What is true of the work from some operation on: by these, operations come after one another.

A state is an id and is never shown. Those that several owners ask stand here, the others beside
the operations that make them.
"""

from collections.abc import Hashable
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class State:
    """Something that is true of the work from some operation on.

    Attributes:
        key: what is done; unique in a bag together with `of`.
        of: what it is done to: id of a piece, a face, a side; None where there is one alone.
    """

    key: str
    of: Hashable = None

    def for_(self, of: Hashable) -> "State":
        """The same, of one object."""
        return replace(self, of=of)


CUT = State("cut")
"""A piece is there to be worked on."""
WASHED = State("the material that shrinks is washed")
FUSED = State("the fusible layer is on")
MARKED = State("the panel is marked")
BASE = State("the layers that carry pocket and handles are joined")
"""The layers that pocket and handles are sewn onto; all of them where none is laid in last."""
WALL = State("the layers are basted together")
LINED = State("the lining is in")
"""Only where a layer is laid in last."""
MELTING_IN = State("a layer that melts is in")
OUTLINE_CUT = State("the walls are cut along their outline")
"""Where more was cut first."""
PATCHES_SEWN = State("what is laid on flat is sewn on")
"""Straps come after it."""
SIDES_CAUGHT = State("the sides of what is laid on are caught")
STRAPS_LAID = State("the straps are pinned on")
STRAPS_SEWN = State("the straps are sewn on")
STRAPS_SECURED = State("the straps' ends are secured")
SIDES_TACKED = State("the tops of the side seams are tacked")
"""A base is sewn in after it: the walls lie flat until then."""
WRONG_SIDE_DONE = State("what is done on the wrong side is done")
"""The bag is turned after it."""
TURNED = State("the bag is turned")
PRESSED = State("the bag is pressed")
INSERT_IN = State("what stiffens the bottom is in")
