"""A bag for each code of a finding, and each limit that slides. Lengths are mm."""

import math
from dataclasses import replace

from core.bag.bag import Bag
from core.model.findings import Severity
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.core.bag.base_limits import BASE_LIMITS
from tests.core.bag.finding_bags import (
    EASE,
    ROOM,
    board,
    clearance,
    crossing,
    demo_length,
    drop_bag,
    fabric,
    front_above_base,
    hem_above_base,
    low_face,
    low_pocket,
    mismatched,
    narrow_base,
    no_face,
    off_a_roll,
    pillow,
    pocket_at,
    seamed,
    sewn_through,
    short_loop,
    shrinking,
    small_base,
    tape_that_shows,
    thick_wall,
    thin_zip_seam_on_a_narrow_tape,
    tips_left_in,
    too_deep,
    trimmed,
    walled,
)
from tests.core.bag.finding_limit import Limit
from tests.core.bag.handle_limits import HANDLE_LIMITS, handled
from tests.core.bag.strip_limits import STRIP_LIMITS, STRIP_SINGLE
from tests.helpers import HALF_STEP, bare, changed, demo, demo_panel, having, inch, layer, sandwich

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP

LIMITS = {
    **HANDLE_LIMITS,
    **STRIP_LIMITS,
    **BASE_LIMITS,
    "ease note": Limit("corner-edges-differ", NOTE, mismatched(inch(1 / 16)), at_limit=True),
    "ease warn": Limit(
        "corner-edges-differ", WARN, mismatched(inch(1 / 8)), at_limit=True, inside=NOTE
    ),
    "ease stop": Limit(
        "corner-edges-differ", STOP, mismatched(inch(3 / 8)), at_limit=True, inside=WARN
    ),
    "deep note": Limit("corner-edges-differ", NOTE, too_deep(inch(1 / 16)), at_limit=True),
    "deep warn": Limit(
        "corner-edges-differ", WARN, too_deep(inch(1 / 8)), at_limit=True, inside=NOTE
    ),
    "deep stop": Limit(
        "corner-edges-differ", STOP, too_deep(inch(3 / 8)), at_limit=True, inside=WARN
    ),
    "zip over fold": Limit("zip-on-top-fold", WARN, clearance(0.0)),
    "zip by fold": Limit("zip-near-top-fold", NOTE, clearance(inch(0.375))),
    "zip by handle": Limit(
        "zip-near-handle-stop", WARN, lambda over: handled(stop=inch(1.375) - over)
    ),
    "zip without ends": Limit(
        "zip-too-short", WARN, lambda over: changed(demo(), zip_length=inch(20.5) - over)
    ),
    "zip within panel": Limit(
        "zip-too-short",
        STOP,
        lambda over: changed(demo(), zip_length=inch(18.5) - over),
        inside=WARN,
    ),
    "zip cut off": Limit(
        "zip-too-long",
        NOTE,
        lambda over: off_a_roll(inch(20.5 + 4) + over),
        at_limit=True,
    ),
    "no base width": Limit("base-vanishes", STOP, narrow_base, at_limit=True),
    "no face": Limit("base-vanishes", STOP, no_face, at_limit=True),
    "low face": Limit("face-too-short", NOTE, low_face),
    "pocket in seam": Limit(
        "pocket-meets-corner", WARN, lambda over: pocket_at(inch(3.375) - over)
    ),
    "pocket in cut": Limit(
        "pocket-meets-corner", STOP, lambda over: pocket_at(inch(3) - over), inside=WARN
    ),
    "pocket in zip": Limit(
        "pocket-meets-zip", STOP, lambda over: changed(demo(), pocket_drop=inch(0.375) - over)
    ),
    "handles in seam": Limit(
        "handle-over-corner", WARN, lambda over: handled(gap=inch(8.5) + over)
    ),
    "handles on cut": Limit(
        "handle-over-corner", STOP, lambda over: handled(gap=inch(9.25) + over), inside=WARN
    ),
    "low drop": Limit("handle-loop-short", WARN, drop_bag),
    "wide board": Limit(
        "board-too-big", STOP, lambda over: board(ROOM[0] + over, ROOM[1] - EASE), inside=NOTE
    ),
    "deep board": Limit(
        "board-too-big", STOP, lambda over: board(ROOM[0] - EASE, ROOM[1] + over), inside=NOTE
    ),
    "tight board": Limit(
        "board-too-big", NOTE, lambda over: board(ROOM[0] - EASE + over, ROOM[1] - EASE)
    ),
    "small board": Limit(
        "board-too-small",
        WARN,
        lambda over: board(ROOM[0] - EASE, 0.8 * (ROOM[1] - EASE) - over),
    ),
    "narrow goods": Limit(
        "wider-than-goods", STOP, lambda over: fabric(usable_width=inch(18.5) - over)
    ),
    "one-way goods": Limit(
        "wider-than-goods",
        STOP,
        lambda over: having(fabric(usable_width=inch(18.5) - over, one_way=True), handles=None),
    ),
    # Walls at the crossing, by hand: the end of the base 1, the face 1, one allowance of the
    # side seam 1 (pressed open, for turned to one side they are too thick for 6 mm anyway).
    "thick stack": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: demo(
            sandwich=sandwich(layer(thickness=3.0, pressed=2.0 + over / 3)), pocket=None
        ),
    ),
    # Two walls and the two layers of the pocket, of the same goods.
    "thick pocket": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: demo(sandwich=sandwich(layer(thickness=3.0, pressed=1.5 + over / 4))),
    ),
    # One allowance of the bottom seam more.
    "thick stack on a bottom seam": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: demo(
            body=demo_panel(bottom_seam=inch(0.25), corner_depth=inch(3.25)),
            sandwich=sandwich(layer(thickness=3.0, pressed=1.5 + over / 4)),
        ),
    ),
    # A hem of one layer is turned twice: three walls on each face.
    "thick hem": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: replace(
            demo(top=Hem(), body=demo_panel(front_trim=0.0)),
            sandwich=sandwich(layer(thickness=3.0, pressed=1.0 + over / 6)),
        ),
    ),
    # A layered one once: two walls on each face.
    "thick layered hem": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: replace(
            demo(top=Hem(), body=demo_panel(front_trim=0.0)),
            sandwich=sandwich(layer(), layer("lining", thickness=3.0, pressed=1.1 + over / 4)),
        ),
    ),
    # A pillow's side seam ends on its bottom seam: a wall and an allowance of each face.
    "thick bottom seam": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: replace(
            bare(
                demo_panel(corner_width=0.0, corner_depth=0.0, bottom_seam=inch(0.25)),
                top=ZipForward(tape_width=inch(1.25), length=inch(21)),
            ),
            sandwich=sandwich(layer(thickness=3.0, pressed=1.5 + over / 4)),
        ),
    ),
    # 1 %, own choice; the share beyond it stands in thousandths for mm.
    "shrinks apart in length": Limit(
        "layers-shrink-apart",
        WARN,
        lambda over: shrinking(shrink_length=0.01 + 1e-3 * over, cut_washed=False),
    ),
    "shrinks apart in width": Limit(
        "layers-shrink-apart",
        WARN,
        lambda over: shrinking(shrink_width=0.01 + 1e-3 * over, cut_washed=False),
    ),
    "baste": Limit(
        "baste-shows",
        WARN,
        lambda over: changed(demo(), baste_line=inch(0.375) + over),
        at_limit=True,
    ),
    "baste at a bottom seam": Limit(
        "baste-shows",
        WARN,
        lambda over: changed(
            demo(body=demo_panel(bottom_seam=inch(0.2), corner_depth=inch(3.2))),
            baste_line=inch(0.2) + over,
        ),
        at_limit=True,
    ),
    "no side seam": Limit("no-allowance", STOP, seamed(side_seam=0.0), at_limit=True),
    "no corner seam": Limit("no-allowance", STOP, seamed(corner_seam=0.0), at_limit=True),
    "no zip seam": Limit("no-allowance", STOP, seamed(zip_seam=0.0), at_limit=True),
    "no pocket seam": Limit("no-allowance", STOP, seamed(pocket_seam=0.0), at_limit=True),
    "no hem": Limit(
        "no-allowance",
        WARN,
        lambda over: demo(top=Hem(), body=demo_panel(front_trim=0.0, top_seam=max(-over, 0.0))),
        at_limit=True,
    ),
    # Own choices: 6 mm in a wall of several layers, 3 mm in one, and what two walls take.
    "thin side seam": Limit("thin-allowance", WARN, seamed(side_seam=6.0)),
    "thin corner seam": Limit("thin-allowance", WARN, seamed(corner_seam=6.0)),
    "thin zip seam": Limit("thin-allowance", WARN, seamed(zip_seam=6.0)),
    "thin pocket seam": Limit("thin-allowance", WARN, seamed(pocket_seam=3.0)),
    "thin bottom seam": Limit(
        "thin-allowance", WARN, lambda over: demo(body=demo_panel(bottom_seam=6.0 - over))
    ),
    "thin seam of one layer": Limit(
        "thin-allowance",
        WARN,
        lambda over: demo(body=demo_panel(side_seam=3.0 - over), sandwich=sandwich(layer())),
    ),
    "thin for its wall": Limit(
        "thin-allowance",
        WARN,
        lambda over: demo(
            body=demo_panel(side_seam=8.0, corner_seam=8.0, top_seam=8.0 - over),
            sandwich=sandwich(
                layer(thickness=9.0, pressed=3.0),
                layer("lining", pressed=0.0),
                layer("fleece", thickness=2.0, pressed=1.0),
            ),
        ),
    ),
    # Gauge numbers: about the width of the closed teeth in mm (common practice, no source).
    "slider by the seam": Limit("teeth-under-needle", WARN, tape_that_shows(10.0)),
    "teeth in the seam": Limit("teeth-under-needle", STOP, tape_that_shows(5.0), inside=WARN),
    "fine teeth in the seam": Limit(
        "teeth-under-needle", STOP, tape_that_shows(3.0, "No. 3 coil"), inside=WARN
    ),
    "coarse slider by the seam": Limit("teeth-under-needle", WARN, tape_that_shows(15.0, "10")),
    "unknown slider by the seam": Limit("teeth-under-needle", WARN, tape_that_shows(10.0, "")),
    # Own choice: a presser foot takes 10 mm.
    "zip by the base": Limit("zip-near-base", WARN, front_above_base(10.0)),
    "zip past the base": Limit("zip-near-base", STOP, front_above_base(0.0), inside=WARN),
    "hem by the base": Limit("hem-near-base", WARN, hem_above_base(10.0)),
    "hem past the base": Limit("hem-near-base", STOP, hem_above_base(0.0), inside=WARN),
    "base for no foot": Limit("base-narrow", WARN, lambda over: small_base(10.0 - over, 60.0)),
    # A quarter inch (common practice, no source).
    "tips by the seam": Limit("trim-near-seam", NOTE, trimmed),
    "corner for no foot": Limit("base-narrow", WARN, lambda over: small_base(60.0, 10.0 - over)),
    # Own choice: a presser foot takes 10 mm.
    "pocket by the zip": Limit(
        "pocket-near-zip",
        NOTE,
        lambda over: changed(demo(), pocket_drop=demo().body.top_seam + 10.0 - over),
    ),
    # Own choice: a hand wants 4 in.
    # Own choices: what an arm and a hand need in a bag that is drawn in mm.
    "face beyond an arm": Limit(
        "face-beyond-reach",
        NOTE,
        lambda over: bare(demo_panel(front_trim=0.0, length=demo_length(700.0 + over))),
    ),
    "opening for no hand": Limit(
        "opening-narrow", WARN, lambda over: small_base(100.0 - 60.0 - over, 60.0)
    ),
    # Own choice: hardly a machine takes more.
    "foot that takes all": Limit(
        "foot-clearance-high", NOTE, lambda over: changed(demo(), foot_clearance=15.0 + over)
    ),
    # Own choice: beyond 1 in an allowance is in the way, beyond 3 in a hem is a facing.
    "wide side seam": Limit(
        "wide-allowance", NOTE, lambda over: changed(demo(), side_seam=inch(1) + over)
    ),
    "wide bottom seam": Limit(
        "wide-allowance", NOTE, lambda over: demo(body=demo_panel(bottom_seam=inch(1) + over))
    ),
    "wide corner seam": Limit(
        "wide-allowance", NOTE, lambda over: changed(demo(), corner_seam=inch(1) + over)
    ),
    "wide pocket seam": Limit(
        "wide-allowance", NOTE, lambda over: changed(demo(), pocket_seam=inch(1) + over)
    ),
    "wide hem": Limit(
        "wide-allowance",
        NOTE,
        lambda over: demo(top=Hem(), body=demo_panel(front_trim=0.0, top_seam=inch(3) + over)),
    ),
    # Own choice: wider zip tape is hardly sold.
    "wide tape": Limit(
        "zip-tape-not-sold", NOTE, lambda over: changed(demo(), zip_tape_width=inch(2.5) + over)
    ),
    # Own choice: nearer to the edge the needle slips off.
    "baste off the edge": Limit(
        "baste-at-edge", WARN, lambda over: changed(demo(), baste_line=inch(1 / 16) - over)
    ),
    # Own choice: a hand wants 4 in, and under 1 in there is no pocket.
    "low pocket": Limit("pocket-low", NOTE, low_pocket),
    "no pocket": Limit("pocket-low", WARN, lambda over: low_pocket(inch(3) + over), inside=NOTE),
    # Two walls across base and gusset, one on the bottom below the top fold.
    "walls fill the base": Limit(
        "no-room-inside",
        STOP,
        lambda over: walled(bare(demo_panel(width=inch(13))), (inch(5.5) + over) / 2),
        at_limit=True,
    ),
    "walls fill the gusset": Limit(
        "no-room-inside",
        STOP,
        lambda over: walled(bare(demo_panel()), (inch(6.75) + over) / 2),
        at_limit=True,
    ),
    "the bottom fills the face": Limit(
        "no-room-inside",
        STOP,
        lambda over: walled(bare(demo_panel(front_trim=0.0, length=inch(12))), inch(2.25) + over),
        at_limit=True,
    ),
    # Next to no gusset: all but a pillow, and a pillow of that size holds three times its wall.
    "walls fill a small corner": Limit(
        "no-room-inside",
        WARN,
        lambda over: walled(
            bare(demo_panel(corner_width=inch(0.5), corner_depth=inch(0.125))),
            (inch(1) + over) / 2,
        ),
        at_limit=True,
    ),
    # Own choice: three quarters of what a pillow of 17 3/4 x 18 1/8 in holds.
    "a wall that takes most": Limit("little-room-inside", WARN, thick_wall, at_limit=True),
    # Over a flat base front and back meet half a gusset up.
    "closing over a board": Limit(
        "zip-does-not-close",
        WARN,
        lambda over: demo(
            body=demo_panel(length=inch(15.25) - 2 * over), pocket=None, handles=None
        ),
        at_limit=True,
    ),
    # A ball as thick as the wall must fit inside, and a way round it is 2 pi thick.
    "walls fill a pillow": Limit(
        "no-room-inside",
        STOP,
        lambda over: walled(
            bare(demo_panel(width=inch(8.5), corner_width=0.0, corner_depth=0.0)),
            (inch(7.75) + over) / math.pi,
        ),
        at_limit=True,
    ),
    "hems": Limit(
        "hems-differ",
        WARN,
        lambda over: demo(top=Hem(), body=demo_panel(front_trim=max(over, 0.0))),
    ),
}

SINGLE = {
    **STRIP_SINGLE,
    "no loop": ("handle-loop-short", STOP, short_loop),
    "plain pillow": ("base-vanishes", STOP, pillow),
    "no zip seam on a narrow tape": ("no-allowance", STOP, thin_zip_seam_on_a_narrow_tape),
    "zip of no shop": (
        "zip-length-not-sold",
        NOTE,
        lambda: changed(demo(), zip_length=inch(22) + HALF_STEP),
    ),
    "print that turns": ("print-upside-down", WARN, lambda: fabric(one_way=True)),
    "glue on film": (
        "fusible-would-melt",
        NOTE,
        lambda: demo(sandwich=sandwich(layer(melts=True), layer("fleece", fusible=True))),
    ),
    "glue on what melts itself": (
        "fusible-would-melt",
        NOTE,
        lambda: demo(sandwich=sandwich(layer(), layer("fleece", fusible=True, melts=True))),
    ),
    "hot iron": ("melts", NOTE, lambda: fabric(melts=True)),
    "tips under the bottom": ("corner-left-in", NOTE, tips_left_in),
    "board beneath the stitching": ("board-under-needle", STOP, sewn_through),
    "crossing": ("stitch-lines-cross", STOP, crossing),
}

EVERY_CODE = {
    *(
        limit.code
        for limits in (HANDLE_LIMITS, STRIP_LIMITS, BASE_LIMITS)
        for limit in limits.values()
    ),
    "corner-edges-differ",
    "zip-on-top-fold",
    "zip-near-top-fold",
    "zip-near-handle-stop",
    "zip-too-short",
    "zip-too-long",
    "base-vanishes",
    "face-too-short",
    "pocket-meets-corner",
    "pocket-meets-zip",
    "handle-over-corner",
    "handle-loop-short",
    "board-too-big",
    "board-too-small",
    "board-under-needle",
    "wider-than-goods",
    "too-thick-to-sew",
    "baste-shows",
    "melts",
    "fusible-would-melt",
    "layers-shrink-apart",
    "hems-differ",
    "stitch-lines-cross",
    "no-allowance",
    "thin-allowance",
    "teeth-under-needle",
    "print-upside-down",
    "zip-near-base",
    "pocket-low",
    "pocket-near-zip",
    "zip-length-not-sold",
    "zip-tape-not-sold",
    "hem-near-base",
    "base-narrow",
    "wide-allowance",
    "opening-narrow",
    "face-beyond-reach",
    "foot-clearance-high",
    "baste-at-edge",
    "no-room-inside",
    "little-room-inside",
    "zip-does-not-close",
    "corner-left-in",
    "trim-near-seam",
}


def raising_bags() -> list[tuple[str, Bag]]:
    """Every case of this file as (code, a bag that raises it)."""
    beyond = [(limit.code, limit.bag(HALF_STEP)) for limit in LIMITS.values()]
    return beyond + [(code, make()) for code, _, make in SINGLE.values()]
