"""The lengths that steps of a strip's bags tell, worked out by hand; inches.

E2 of the project's list: finished 11 1/2 x 10 x 6 1/2 in, every corner 2 in, allowances 1/4 in, a
top strip 20 in long. Once round a panel it is 2 (11.5 + 10) - (8 - 2 pi) 2 = 27 + 4 pi; from the
bottom's middle a corner begins at 11.5 / 2 - 2 and goes round pi, half a circle of radius 2 being
2 pi; the side between two corners is 10 - 4.
"""

import math
from dataclasses import replace

from core.base.units import Unit
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.tops.facing.facing import Facing
from core.tops.hem.hem import Hem
from tests.core.bodies.strip_bags import INCH, e2, matched, open_bag
from tests.core.sewing.strip_bags import TOP_STRIP, WALL, strip_bag
from tests.helpers import layer, sandwich

MM = 1 / INCH
ROUND = 27 + 4 * math.pi
BEGINS, ENDS = 3.75, 3.75 + math.pi

E2 = strip_bag(matched(e2()), TOP_STRIP, sandwich=WALL, unit=Unit.INCH)
E2_LENGTHS = {
    "cut front and back": {
        "face_cut_width": 12.0, "face_cut_height": 10.5, "corner_rounding": 2.25,
    },
    "cut gusset strip": {"strip_width": 7.0, "strip_length": ROUND - 20.0 + 0.5},
    # Half of what the zip, 1 1/4 less two seams, leaves of 6 1/2; and two seams.
    "cut top strip": {"half_width": (6.5 - 0.75) / 2 + 0.5, "half_length": 20.5},
    "cut zip tabs": {"tab_width": 1.25, "tab_length": 2 * (20.0 * MM + 0.25)},
    "mark panel": {"middle": 6.0, "corner_rounding": 2.25, "upper_rounding": 2.25},
    "mark strip": {"corner_start": BEGINS, "corner_end": ENDS},
    "mark top strip": {"top_start": BEGINS, "top_end": ENDS},
    "baste zip tabs": {"end_seam": 0.25, "tab_reach": 20.0 * MM},
    "join top strip left": {"strip_seam": 0.25},
    "join top strip right": {"strip_seam": 0.25},
    # Sewn 1/16 in outside of the seam, and an inch beyond the corner.
    "staystitch strip": {"stay_line": 0.25 - 1 / 16, "stay_reach": 1.0},
    "cut clips": {},
    "join gusset seam front": {
        "gusset_seam": 0.25, "seam_length": ROUND, "close": 1 / 8, "stack": 2 * 3 * 0.4 * MM,
        "thick": 3 * 3 * 0.4 * MM,
    },
    "overcast seam allowances": {"close": 1 / 8},
    "measure bag": {
        "face_width": 11.5, "face_height": 10.0, "gusset_depth": 6.5, "corner_radius": 2.0,
        "opening_width": 20.0, "size_tolerance": 3 / 16,
    },
}  # fmt: skip
E2_LENGTHS["join gusset seam back"] = E2_LENGTHS["join gusset seam front"]

SHORT = strip_bag(
    matched(e2(top_strip_length=6.5 * INCH, upper_rounding=1.25 * INCH)), TOP_STRIP, unit=Unit.INCH
)
"""Its upper corners, 1 in, lie on the strip."""
OPEN = {
    kind: strip_bag(
        matched(open_bag(kind, corner_rounding=0.0, strip_pieces=2)),
        Hem(),
        sandwich=sandwich(layer()),
    )
    for kind in (GussetStrip, Wrap)
}
"""300 x 120 x 250, square, in mm; of a strip of two pieces."""
ROUNDED = strip_bag(matched(open_bag()), Hem())
SQUARE_TOP = strip_bag(matched(e2(upper_rounding=0.0)), TOP_STRIP, unit=Unit.INCH)
EASED = strip_bag(
    replace(OPEN[GussetStrip].body, strip_length=825.0), Hem(), sandwich=sandwich(layer())
)
FACED = strip_bag(OPEN[GussetStrip].body, Facing(depth=40.0))
_UPPER = ENDS + 10.0 - 2.0 - 1.0
RARE_LENGTHS = [
    (SHORT, "mark strip", {
        "corner_start": BEGINS, "corner_end": ENDS, "upper_start": _UPPER,
        "upper_end": _UPPER + math.pi / 2,
    }),
    (SHORT, "mark top strip", {}),
    (SHORT, "cut front and back", {
        "face_cut_width": 12.0, "face_cut_height": 10.5, "corner_rounding": 2.25,
        "upper_rounding": 1.25,
    }),
    # Once round three sides 800; each piece has half of it, a join and a hem.
    (OPEN[GussetStrip], "cut gusset strip left", {
        "strip_width": 140.0 * MM, "piece_length": 420.0 * MM,
    }),
    (OPEN[Wrap], "mark strip", {"corner_start": 150.0 * MM, "gusset_seam": 10.0 * MM}),
    (OPEN[Wrap], "measure bag", {
        "face_width": 120.0 * MM, "face_height": 250.0 * MM, "gusset_depth": 300.0 * MM,
        "size_tolerance": 5.0 * MM,
    }),
    (OPEN[Wrap], "join strip", {"strip_seam": 10.0 * MM}),
    (ROUNDED, "mark strip", {
        "corner_start": 100.0 * MM, "corner_end": (100.0 + 25.0 * math.pi) * MM,
    }),
    (SQUARE_TOP, "mark strip", {"corner_start": BEGINS, "corner_end": ENDS}),
    # It closes 20 in, the bag is 11 1/2 wide: its corners lie 5 3/4 from its middle.
    (SQUARE_TOP, "mark top strip", {"top_start": 5.75, "gusset_seam": 0.25}),
    # The strip is 5 mm longer than the three sides of 800.
    (EASED, "join gusset seam front", {
        "gusset_seam": 10.0 * MM, "seam_length": 800.0 * MM, "ease": 5.0 * MM, "close": 3.0 * MM,
        "stack": 0.8 * MM, "thick": 6 * 0.4 * MM,
    }),
    # As long as the top edges; deep, with the seam at the edge and 1/4 in turned under.
    (FACED, "cut front facing", {"facing_length": 320.0 * MM, "facing_width": 50.0 * MM + 1 / 4}),
    # Half of 2 (300 + 120): the sewn mouth of these panels, laid flat.
    (FACED, "join facing", {"end_seam": 10.0 * MM, "ring_flat": 420.0 * MM}),
    (FACED, "hem facing", {"turned": 1 / 4}),
    (FACED, "topstitch facing", {"edge_distance": 3.0 * MM, "facing_depth": 40.0 * MM}),
]  # fmt: skip
"""What few of these bags tell: bag, key of the operation, and its lengths."""
