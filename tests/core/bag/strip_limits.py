"""Limits of the findings about strips sewn round two panels. Lengths are mm."""

import math
from dataclasses import replace

from core.bag.bag import Bag
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.model.findings import Severity
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from tests.core.bag.finding_limit import Limit
from tests.helpers import bare, demo, inch, layer, sandwich

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP

SEAM = 10.0
EDGE = 300.0 + 2 * 250.0 - (4.0 - math.pi) * 50.0
"""Of a panel 300 wide and 250 high, its lower corners of 50, from top to top."""


def strip_bag(
    wide: float = 300.0,
    *,
    kind: type[GussetStrip] | type[Wrap] = GussetStrip,
    radius: float = 50.0,
    pieces: int = 1,
    off: float = 0.0,
) -> Bag:
    """An open bag of 250 high, its strip as long as the edge of its panels less `off`."""
    edge = wide + 2 * 250.0 - (4.0 - math.pi) * radius
    body = kind(
        face_cut_width=wide + 2 * SEAM,
        face_cut_height=250.0 + 2 * SEAM,
        corner_rounding=radius + SEAM if radius else 0.0,
        strip_width=150.0,
        strip_length=edge + 2 * SEAM - off,
        strip_pieces=pieces,
        gusset_seam=SEAM,
        strip_seam=SEAM,
        top_seam=SEAM,
    )
    return bare(body, top=Hem())


def ring_bag(gap: float) -> Bag:
    """The same closed, all its corners of 50, by a top strip that is so long between its joins."""
    edge = 2 * (300.0 + 250.0) - 2 * (4.0 - math.pi) * 50.0
    body = GussetStrip(
        face_cut_width=320.0,
        face_cut_height=270.0,
        corner_rounding=60.0,
        upper_rounding=60.0,
        strip_width=150.0,
        strip_length=edge - gap + 2 * SEAM,
        top_strip_length=gap + 2 * SEAM,
        gusset_seam=SEAM,
        strip_seam=SEAM,
        top_seam=SEAM,
    )
    return bare(body, top=TopStrip(tape_width=32.0, length=600.0))


def printed(kind: type[GussetStrip] | type[Wrap]) -> Bag:
    """Of cloth whose print runs one way, its strip in one piece."""
    return replace(strip_bag(kind=kind), sandwich=sandwich(layer(one_way=True)))


TIGHTEST = max(12.0, 3 * demo().sandwich.pressed)

STRIP_LIMITS = {
    "strip eased in": Limit(
        "gusset-edges-differ", NOTE, lambda over: strip_bag(off=inch(1 / 16) + over), at_limit=True
    ),
    "strip that puckers": Limit(
        "gusset-edges-differ",
        WARN,
        lambda over: strip_bag(off=-0.005 * EDGE - over),
        at_limit=True,
        inside=NOTE,
    ),
    "strip that does not go round": Limit(
        "gusset-edges-differ",
        STOP,
        lambda over: strip_bag(off=0.015 * EDGE + over),
        at_limit=True,
        inside=WARN,
    ),
    "tight corner": Limit("corner-too-tight", WARN, lambda over: strip_bag(radius=TIGHTEST - over)),
    # Three pieces are joined a sixth of w + 500 from the middle; w / 2 is the corner.
    "join by a corner": Limit(
        "strip-join-on-corner",
        WARN,
        lambda over: strip_bag(220.0 + 3 * over, radius=0.0, pieces=3),
    ),
    "short opening": Limit("opening-too-short", NOTE, lambda over: ring_bag(200.0 - over)),
}

STRIP_SINGLE = {
    "top strip on a corner": ("strip-join-on-corner", WARN, lambda: ring_bag(230.0)),
    "print on one side": ("print-upside-down", NOTE, lambda: printed(GussetStrip)),
    "print of a wrap": ("print-upside-down", NOTE, lambda: printed(Wrap)),
}

STRIP_FIXED_BY = {
    "gusset-edges-differ": {"strip_length", "face_cut_height"},
    "corner-too-tight": {"corner_rounding", "strip_length"},
    "strip-join-on-corner": {"strip_pieces", "top_strip_length", "strip_length"},
    "opening-too-short": {"top_strip_length", "strip_length"},
}
