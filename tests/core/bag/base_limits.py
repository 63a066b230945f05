"""Limits of the findings about walls sewn round a separate base. Lengths are mm."""

import math

from core.bag.bag import Bag
from core.bodies.separate_base.body import SeparateBase
from core.model.findings import Severity
from core.tops.hem.hem import Hem
from tests.core.bag.finding_limit import Limit
from tests.core.bag.strip_limits import TIGHTEST
from tests.helpers import bare, inch

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP

SEAM = 10.0
WIDE, DEEP, HIGH = 300.0, 160.0, 260.0
WAY = 2 * (WIDE + DEEP)
"""Once round a square base."""


def base_bag(radius: float = 0.0, *, off: float = 0.0, pieces: int = 2) -> Bag:
    """An open bag over a base of 300 by 160, its walls so much longer than the way round it."""
    way = WAY - (8.0 - 2 * math.pi) * radius + off
    walls = {1: way, 2: way / 2, 4: WIDE + off}
    body = SeparateBase(
        base_cut_width=WIDE + 2 * SEAM,
        base_cut_depth=DEEP + 2 * SEAM,
        corner_rounding=radius + SEAM if radius else 0.0,
        body_width=walls[pieces] + 2 * SEAM,
        body_end_width=DEEP + 2 * SEAM if pieces == 4 else 0.0,
        body_height=HIGH + 2 * SEAM,
        body_pieces=pieces,
        side_seam=SEAM,
        base_seam=SEAM,
        top_seam=SEAM,
    )
    return bare(body, top=Hem())


BASE_LIMITS = {
    "walls eased in": Limit(
        "base-edges-differ", NOTE, lambda over: base_bag(off=inch(1 / 16) + over), at_limit=True
    ),
    "walls that pucker": Limit(
        "base-edges-differ",
        WARN,
        lambda over: base_bag(off=0.005 * WAY + over, pieces=1),
        at_limit=True,
        inside=NOTE,
    ),
    "walls that do not meet": Limit(
        "base-edges-differ",
        STOP,
        lambda over: base_bag(off=-0.015 * WAY - over),
        at_limit=True,
        inside=WARN,
    ),
    # Each of four has a side of the base of its own.
    "a front that does not fit": Limit(
        "base-edges-differ",
        STOP,
        lambda over: base_bag(off=inch(3 / 8) + over, pieces=4),
        at_limit=True,
        inside=WARN,
    ),
    "tight corner of a base": Limit(
        "corner-too-tight", WARN, lambda over: base_bag(TIGHTEST - over)
    ),
    # Half of the depth less the radius, against the allowance and 6 mm.
    "side seam by a corner": Limit(
        "ring-seam-on-corner", WARN, lambda over: base_bag(DEEP / 2 - SEAM - 6.0 + over)
    ),
}

BASE_FIXED_BY = {
    "base-edges-differ": {"body_width", "body_end_width", "base_cut_width", "base_cut_depth"},
    "corner-too-tight": {"corner_rounding", "body_width"},
    "ring-seam-on-corner": {"corner_rounding", "body_width"},
}
