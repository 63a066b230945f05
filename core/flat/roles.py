"""What pieces, edges, folds, marks and seams are: the roles that code asks, and the ids of them.

What something is called is a label of that thing, only ever shown. Roles are few and belong to
no construction: a new body, top or part finds the ones it needs here.
"""

from enum import Enum
from typing import NamedTuple


class Role(Enum):
    """Root of all roles: compared and hashed by identity.

    The hash of an Enum is Python code, and drafts hash thousands of ids. Members are single
    objects in every process, so that a pickled id finds itself again.
    """

    __hash__ = object.__hash__


class Face(Role):
    """A face of a bag, as seen from the front."""

    FRONT = "front"
    BACK = "back"
    LEFT = "left"
    RIGHT = "right"
    BASE = "base"
    TOP = "top"
    INSIDE = "inside"


FACES = (Face.FRONT, Face.BACK)
"""The two faces of a mouth that closes flat, front first."""


class Side(Role):
    """As seen from the front, on every face."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def other(self) -> "Side":
        """The side across."""
        return Side.RIGHT if self is Side.LEFT else Side.LEFT


SIDES = (Side.LEFT, Side.RIGHT)


class EdgeRole(Role):
    """What an edge is of its piece."""

    SIDE = "side"
    TOP = "top"
    BOTTOM = "bottom"
    CORNER = "corner"
    CORNER_END = "corner end"
    ROUND = "round"  # an arc
    TAPE = "tape"
    TAPE_END = "tape end"
    UPPER = "upper"
    LOWER = "lower"
    END = "end"
    RIM = "rim"
    CENTRE = "centre"


class PieceRole(Role):
    """What a piece is: a WALL is cut from every layer and makes the body."""

    WALL = "wall"
    TAPE = "tape"
    PATCH = "patch"
    STRIP = "strip"
    SHEET = "sheet"


class FoldRole(Role):
    """What a fold makes."""

    BOTTOM = "bottom"
    TUBE = "tube"
    TURN_IN = "turn in"
    MIDDLE = "middle"


class MarkRole(Role):
    """What a mark is for."""

    OUTLINE = "outline"
    LEG = "leg"
    HALFWAY = "halfway"
    TEETH = "teeth"
    CLIP = "clip"
    STITCH = "stitch"
    TRIM = "trim"
    ROLL = "roll"


class SeamRole(Role):
    """What a seam is for; it names the allowance that applies."""

    SIDE = "side"
    CORNER = "corner"
    BOTTOM = "bottom"
    MOUTH = "mouth"
    HEM = "hem"
    PART = "part"
    RING = "ring"
    """Strips round a panel."""
    STRIP = "strip"
    """Joins a strip to the next one, end to end."""
    BASE = "base"
    """The walls round a separate base."""
    ZIP = "zip"
    """A zip between strips of its own."""


class EdgeId(NamedTuple):
    """An edge of a piece: unique there."""

    role: EdgeRole
    face: Face | None = None
    side: Side | None = None
    number: int = 0


class PieceId(NamedTuple):
    """A piece of a bag: unique there. The owner is "body", "top" or the slot of a part."""

    owner: str
    role: PieceRole
    face: Face | None = None
    number: int = 0


class EdgeRef(NamedTuple):
    """One edge of one piece."""

    piece: PieceId
    edge: EdgeId


class SeamId(NamedTuple):
    """A seam of a bag: unique there."""

    owner: str
    role: SeamRole
    face: Face | None = None
    side: Side | None = None
