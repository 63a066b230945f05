"""What is true of the work from some operation on: by these, operations come after one another.

A state is an id and is never shown. Those that several owners ask stand here, the others beside
the operations that make them.
"""

from collections.abc import Hashable
from dataclasses import dataclass, replace

from core.flat import roles
from core.flat.roles import Face


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
BOTTOM = State("the bottom seam is sewn")
BOTTOM_OVERCAST = State("the bottom seam's raw edges are overcast")
HEMMED = State("the top is hemmed")
OUTLINE_CUT = State("the walls are cut along their outline")
"""Where more was cut first."""
RING = State("the zip joins front and back")
ZIP_OPEN = State("the zip is open")
HANDLES_LAID = State("the handles are pinned on")
HANDLES_ON = State("the handles are sewn on")
STOPS_SEWN = State("the handles' ends are secured")
FOLDED = State("the bag is folded, wrong side out")
TURNED = State("the bag is turned")
PRESSED = State("the bag is pressed")
BOARD_FUSED = State("the base board is fused on")
"""What is laid in last lies over it."""
BOARD_IN = State("the base board is in")

SIDES = {side: State("the side seam is sewn", side) for side in roles.SIDES}
CORNERS = {side: State("the corner seam is sewn", side) for side in roles.SIDES}
NOT_FLAT = (RING, FOLDED, *SIDES.values())
"""From these on the panel no longer lies flat."""


def pocket_state(face: Face, what: str) -> State:
    """One stage of the pocket on a face."""
    return State(f"pocket {what}", face)
