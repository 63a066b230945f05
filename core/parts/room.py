"""Whether the walls of a bag leave room between them. Lengths are mm."""

import math

from core.errors import Sentence
from core.findings import Finding, Severity
from core.parts.panel import Panel
from core.parts.site import Finished
from core.tolerance import shorter

_WALLS = {
    "base_width": (2, "Nothing goes in: two walls of {wall} take up the base, {value} wide."),
    "gusset_depth": (2, "Nothing goes in: two walls of {wall} take up the bottom, {value} deep."),
    "face_height": (1, "Nothing goes in: the bottom alone is {wall} thick, the face {value} high."),
}
"""Of each size, how many walls lie across it."""
_WALLS_OF_A_PILLOW = (
    "Nothing goes in: flat, the bag measures {value}, and even stuffed round it would have to "
    "measure more than {limit} for two walls of {wall}."
)


def room_finding(panel: Panel, wall: float, finished: Finished) -> Finding | None:
    """That a wall of this thickness leaves no room inside; None where it leaves some.

    Its limits follow from geometry. Across base and gusset lie two walls and below the top
    fold one. A pillow has no inside box: a ball of the wall's thickness must fit into the
    stuffed bag, and no way round such a ball is shorter than its girth, 2 pi wall, while
    none round the bag is longer than twice its flat size.
    """
    if not shorter(0.0, wall):
        return None
    if panel.has_corners:
        limits = {name: walls * wall for name, (walls, _) in _WALLS.items()}
        messages = {name: message for name, (_, message) in _WALLS.items()}
    else:
        limits = dict.fromkeys(("opening_width", "face_height"), math.pi * wall)
        messages = dict.fromkeys(limits, _WALLS_OF_A_PILLOW)
    for name, limit in limits.items():
        size = finished[name] or 0.0
        # A size that is not there at all is another finding.
        if shorter(0.0, size) and not shorter(limit, size):
            lengths = {"value": size, "limit": limit, "wall": wall}
            return Finding(
                code="no-room-inside",
                severity=Severity.STOP,
                figure=name,
                value=size,
                limit=limit,
                message=Sentence(messages[name], lengths),
            )
    return None
