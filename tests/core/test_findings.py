"""Each finding just inside and just outside its limit, its sentence, and its mends."""

import math
import string
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from core.bag import Bag, cut_figure, with_figures
from core.compute import Result, compute
from core.findings import Finding, Severity
from core.parts.board import BaseBoard, BoardWay
from core.parts.closure import OpenTop, Zip
from core.parts.handles import Handles, HandleStyle
from core.parts.panel import Panel
from core.parts.pocket import Pocket, PocketFaces
from tests.core.finding_limit import Limit
from tests.core.handle_limits import HANDLE_LIMITS, HANDLES_MENDED_BY, handled
from tests.helpers import (
    HALF_STEP,
    as_changes,
    bare,
    changed,
    codes,
    demo,
    demo_panel,
    found,
    inch,
    layer,
    sandwich,
    stops,
    texts,
)
from tests.strategies import Wanted, bags, sewable_bags

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP


def mismatched(limit: float) -> Callable[[float], Bag]:
    """The demo with its corner cut wider by half of the mismatch."""
    return lambda over: changed(demo(), corner_cut_width=inch(3.375) + (limit + over) / 2)


def too_deep(limit: float) -> Callable[[float], Bag]:
    """The same mismatch the other way round."""
    return lambda over: changed(demo(), corner_cut_depth=inch(3) + (limit + over) / 2)


def clearance(left: float) -> Callable[[float], Bag]:
    """The demo with its zip so far from the top fold, less what it is over."""
    return lambda over: changed(demo(), front_trim=inch(0.5) + 2 * (left - over))


def board(width: float, depth: float) -> Bag:
    return demo(board=BaseBoard(width=width, depth=depth))


def fabric(**changes: object) -> Bag:
    return demo(sandwich=sandwich(layer(**changes), layer("wipe-clean lining")))


def narrow_base(over: float) -> Bag:
    """A bag without parts whose base width is 0 at the limit."""
    cut = Panel(
        width=inch(8),
        length=inch(40),
        front_trim=0.0,
        corner_width=inch(3.75) + over / 2,
        corner_depth=inch(3.5) + over / 2,
        side_seam=inch(0.25),
        corner_seam=inch(0.25),
        top_seam=inch(0.25),
    )
    return bare(cut)


def low_face(over: float) -> Bag:
    """A bag whose face is as high as its bottom is deep, less what it is over: 6 3/4 in."""
    return bare(demo_panel(front_trim=0.0, length=inch(21) - 2 * over))


def no_face(over: float) -> Bag:
    """A bag whose corners come up to its hem: C is 6 3/4 in."""
    return bare(demo_panel(front_trim=0.0, length=inch(7.5) - 2 * over))


def drop_bag(over: float) -> Bag:
    """Two separate handles whose legs lie together: the drop is the free length's half."""
    whole = inch(24)
    legs = Handles(
        style=HandleStyle.SEPARATE,
        width=inch(0.5),
        gap=0.0,
        stop=inch(3),
        strips=1,
        last_strip=whole + inch(0.5),
        leg=inch(1),
    )
    plain = replace(demo(), handles=legs)
    drop = compute(plain).finished["handle_drop_front"]
    assert drop is not None
    # Taut, and nearly straight up: one mm of stop is one mm of drop.
    return changed(plain, handle_stop=inch(3) + (drop - inch(4)) + over)


def pocket_at(bottom: float) -> Bag:
    """The demo with the pocket's lower edge so high above the fold."""
    drop = inch(17.75) - inch(7.625) - bottom
    return demo(pocket=Pocket(cut_height=inch(16), drop=drop, seam=inch(0.375)))


def seamed(**allowances: float) -> Callable[[float], Bag]:
    """The demo with these allowances, less what it is over; never below nothing."""
    return lambda over: changed(
        demo(), **{name: max(size - over, 0.0) for name, size in allowances.items()}
    )


def tape_that_shows(left: float, gauge: str = "5") -> Callable[[float], Bag]:
    """The demo with a tape of which so much shows between its seams, less what it is over."""

    def bag(over: float) -> Bag:
        tape = 2 * demo().panel.top_seam + left - over
        return demo(closure=Zip(tape_width=tape, length=inch(22), gauge=gauge))

    return bag


def thin_zip_seam_on_a_narrow_tape() -> Bag:
    """A zip seam of nothing, on a tape that the usual seams would leave no room of."""
    return demo(panel=demo_panel(top_seam=0.0), closure=Zip(tape_width=20.0, length=inch(22)))


def front_above_base(left: float) -> Callable[[float], Bag]:
    """A bag whose zip's lower stitch line lies so far above the base edge, less what it is over."""

    def bag(over: float) -> Bag:
        panel = demo_panel()
        front = panel.corner_depth + panel.corner_seam + left - over + panel.top_seam
        short = replace(panel, length=2 * (front + panel.front_trim))
        return bare(short, closure=Zip(tape_width=inch(1.25), length=inch(22)))

    return bag


def small_base(width: float, depth: float) -> Bag:
    """A tall bag without parts on a base of this size."""
    sizes = Wanted(
        base=width,
        depth=depth,
        face=200.0,
        zip_width=0.0,
        offset=0.0,
        side=4.0,
        corner=4.0,
        top=4.0,
        bottom=0.0,
    )
    return bare(sizes.panel())


def demo_length(face: float) -> float:
    """Of the demo's panel with an open top, so that its face is so high."""
    panel = demo_panel()
    return 2 * (face + panel.corner_depth + panel.corner_seam + panel.top_seam)


def hem_above_base(left: float) -> Callable[[float], Bag]:
    """An open bag whose hem line lies so far above its base, less what it is over."""

    def bag(over: float) -> Bag:
        sizes = Wanted(
            base=200.0,
            depth=100.0,
            face=left - over,
            zip_width=0.0,
            offset=0.0,
            side=10.0,
            corner=10.0,
            top=10.0,
            bottom=0.0,
        )
        panel = sizes.panel()
        # As high on average, lower in front: where the hems differ the front counts.
        return bare(replace(panel, front_trim=4.0, length=panel.length + 8.0))

    return bag


def low_pocket(over: float) -> Bag:
    """The demo with a pocket 4 in high, less what it is over."""
    return demo(pocket=Pocket(cut_height=inch(8.5) - 2 * over, drop=inch(4.5)))


ROOM = tuple(
    (compute(demo()).finished[name] or 0.0) - 2 * (0.5 + 0.5)
    for name in ("base_width", "gusset_depth")
)
"""Inside of the demo's base, its two layers each 0.5 mm thick, mm."""
EASE = inch(1 / 4)
"""The margins of a board, 1/8 in on each side, mm."""


def sewn_through() -> Bag:
    """A board that is basted in before the handles are sewn on."""
    layers = replace(demo().sandwich, layers=(layer(), layer("lining")))
    fused = BaseBoard(width=ROOM[0] - EASE, depth=ROOM[1] - EASE, way=BoardWay.FUSED)
    return demo(sandwich=layers, board=fused)


def thick_wall(over: float) -> Bag:
    """The demo's panel, open, in a wall that takes three quarters of a pillow of its flat size.

    By Robin's short formula (Paper Bag Problem, Mathematics Today, June 2004).
    """
    across, up, corner = inch(17.75), inch(18.125), inch(3.375)
    holds = across**3 * (up / (math.pi * across) - 0.142 * (1 - 10 ** (-up / across)))
    return walled(bare(demo_panel()), 0.75 * holds / (2 * across * up - 4 * corner**2) + over)


LIMITS = {
    **HANDLE_LIMITS,
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
        lambda over: replace(fabric(usable_width=inch(18.5) - over, one_way=True), handles=None),
    ),
    # Walls at the crossing, by hand: the end of the base 1, the face 1, one allowance of the
    # side seam 1 (pressed open, for turned to one side they are too thick for 6 mm anyway).
    "thick stack": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: demo(sandwich=sandwich(layer(thickness=3.0, pressed=2.0 + over / 3))),
    ),
    # One allowance of the bottom seam more.
    "thick stack on a bottom seam": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: demo(
            panel=demo_panel(bottom_seam=inch(0.25), corner_depth=inch(3.25)),
            sandwich=sandwich(layer(thickness=3.0, pressed=1.5 + over / 4)),
        ),
    ),
    # A hem of one layer is turned twice: three walls on each face.
    "thick hem": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: replace(
            demo(closure=OpenTop(), panel=demo_panel(front_trim=0.0)),
            sandwich=sandwich(layer(thickness=3.0, pressed=1.0 + over / 6)),
        ),
    ),
    # A layered one once: two walls on each face.
    "thick layered hem": Limit(
        "too-thick-to-sew",
        WARN,
        lambda over: replace(
            demo(closure=OpenTop(), panel=demo_panel(front_trim=0.0)),
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
                closure=Zip(tape_width=inch(1.25), length=inch(21)),
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
            demo(panel=demo_panel(bottom_seam=inch(0.2), corner_depth=inch(3.2))),
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
        lambda over: demo(
            closure=OpenTop(), panel=demo_panel(front_trim=0.0, top_seam=max(-over, 0.0))
        ),
        at_limit=True,
    ),
    # Own choices: 6 mm in a wall of several layers, 3 mm in one, and what two walls take.
    "thin side seam": Limit("thin-allowance", WARN, seamed(side_seam=6.0)),
    "thin corner seam": Limit("thin-allowance", WARN, seamed(corner_seam=6.0)),
    "thin zip seam": Limit("thin-allowance", WARN, seamed(zip_seam=6.0)),
    "thin pocket seam": Limit("thin-allowance", WARN, seamed(pocket_seam=3.0)),
    "thin bottom seam": Limit(
        "thin-allowance", WARN, lambda over: demo(panel=demo_panel(bottom_seam=6.0 - over))
    ),
    "thin seam of one layer": Limit(
        "thin-allowance",
        WARN,
        lambda over: demo(panel=demo_panel(side_seam=3.0 - over), sandwich=sandwich(layer())),
    ),
    "thin for its wall": Limit(
        "thin-allowance",
        WARN,
        lambda over: demo(
            panel=demo_panel(side_seam=8.0, corner_seam=8.0, top_seam=8.0 - over),
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
    "corner for no foot": Limit("base-narrow", WARN, lambda over: small_base(60.0, 10.0 - over)),
    # Own choice: a presser foot takes 10 mm.
    "pocket by the zip": Limit(
        "pocket-near-zip",
        NOTE,
        lambda over: changed(demo(), pocket_drop=demo().panel.top_seam + 10.0 - over),
    ),
    # Own choice: a hand wants 4 in.
    "face beyond an arm": Limit(
        "face-beyond-reach",
        NOTE,
        lambda over: bare(demo_panel(front_trim=0.0, length=demo_length(inch(28) + over))),
    ),
    "opening for no hand": Limit(
        "opening-narrow", WARN, lambda over: small_base(inch(4) - 60.0 - over, 60.0)
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
        "wide-allowance", NOTE, lambda over: demo(panel=demo_panel(bottom_seam=inch(1) + over))
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
        lambda over: demo(
            closure=OpenTop(), panel=demo_panel(front_trim=0.0, top_seam=inch(3) + over)
        ),
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
            panel=demo_panel(length=inch(15.25) - 2 * over), pocket=None, handles=None
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
        lambda over: demo(closure=OpenTop(), panel=demo_panel(front_trim=max(over, 0.0))),
    ),
}


def shrinking(**changes: object) -> Bag:
    """A lining that shrinks under an outer fabric that does not."""
    outer = layer(usable_width=inch(42))
    return demo(sandwich=sandwich(outer, layer("lining", **changes)))


def short_loop() -> Bag:
    """Strips that do not span the gap once the legs are sewn."""
    return handled(strips=1)


def pillow() -> Bag:
    return bare(demo_panel(corner_width=0.0, corner_depth=0.0))


def crossing() -> Bag:
    """A front so much shorter that its hem falls within the corner seams' allowance."""
    short = demo_panel(length=inch(12), front_trim=inch(2.6), side_seam=0.0, corner_width=inch(3))
    return bare(short)


def walled(bag: Bag, thickness: float) -> Bag:
    """The bag with a wall so thick, and pressed to nothing."""
    return replace(bag, sandwich=sandwich(layer(thickness=thickness, pressed=0.0)))


SINGLE = {
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
    "board beneath the stitching": ("board-under-needle", STOP, sewn_through),
    "crossing": ("stitch-lines-cross", STOP, crossing),
}

EVERY_CODE = {
    *(limit.code for limit in HANDLE_LIMITS.values()),
    "corner-edges-differ",
    "zip-on-top-fold",
    "zip-near-top-fold",
    "zip-near-handle-stop",
    "zip-too-short",
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
}


def raising_bags() -> list[tuple[str, Bag]]:
    """Every case of this file as (code, a bag that raises it)."""
    beyond = [(limit.code, limit.bag(HALF_STEP)) for limit in LIMITS.values()]
    return beyond + [(code, make()) for code, _, make in SINGLE.values()]


# --- Limits -----------------------------------------------------------------------------


@pytest.mark.parametrize("over", [HALF_STEP, 0.01], ids=["1/64 in", "0.01 mm"])
@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_holds_just_beyond_its_limit(limit: Limit, over: float) -> None:
    finding = found(limit.bag(over), limit.code)
    assert finding is not None
    assert finding.severity is limit.severity


@pytest.mark.parametrize("inside", [HALF_STEP, 0.01], ids=["1/64 in", "0.01 mm"])
@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_is_silent_or_milder_just_within_its_limit(limit: Limit, inside: float) -> None:
    finding = found(limit.bag(-inside), limit.code)
    assert (finding and finding.severity) == limit.inside


@pytest.mark.parametrize("limit", LIMITS.values(), ids=LIMITS.keys())
def test_a_finding_decides_the_limit_itself_whatever_the_floats_do(limit: Limit) -> None:
    for hair in (0.0, 1e-12, -1e-12):
        finding = found(limit.bag(hair), limit.code)
        severity = finding and finding.severity
        assert severity == (limit.severity if limit.at_limit else limit.inside)


@pytest.mark.parametrize(("code", "severity", "make"), SINGLE.values(), ids=SINGLE.keys())
def test_findings_without_a_sliding_limit(
    code: str, severity: Severity, make: Callable[[], Bag]
) -> None:
    finding = found(make(), code)
    assert finding is not None
    assert finding.severity is severity


def test_every_code_has_a_bag_that_raises_it() -> None:
    assert {code for code, _ in raising_bags()} == EVERY_CODE
    for code, bag in raising_bags():
        assert code in codes(compute(bag))


@given(st.one_of(bags(), sewable_bags()))
def test_no_bag_raises_a_code_that_has_no_case_here(bag: Bag) -> None:
    assert codes(compute(bag)) <= EVERY_CODE


# --- What is said -----------------------------------------------------------------------


@pytest.mark.parametrize(("code", "bag"), raising_bags())
def test_sentences_read_in_inches_and_millimetres(code: str, bag: Bag) -> None:
    finding = found(bag, code)
    assert finding is not None
    sentences = [finding.message, *(mend.label for mend in finding.mends)]
    for sentence in sentences:
        for text in texts(sentence):
            assert not set("{}") & set(text), text
        inches, metric = texts(sentence)
        assert (" mm" in metric) == (" in" in inches.replace(" in the", "")) or not sentence.lengths
    inches, metric = texts(finding.message)
    assert inches.endswith((".", "!"))
    assert inches[0].isupper()
    gaps = {gap for _, gap, _, _ in string.Formatter().parse(finding.message.template) if gap}
    assert gaps <= set(finding.message.lengths) | set(finding.message.words)


@given(st.one_of(bags(), sewable_bags()))
def test_every_sentence_has_all_its_gaps_filled(bag: Bag) -> None:
    for finding in compute(bag).findings:
        for sentence in (finding.message, *(mend.label for mend in finding.mends)):
            assert not set("{}") & set("".join(texts(sentence)))


def test_corners_that_leave_no_sheet_say_nothing_of_little_room() -> None:
    """Opening 23.8 mm, face and half the gusset 57.15 mm: twice that is the 171.45 x 15.875 cut."""
    cut = Panel(
        width=55.5625,
        length=133.35,
        front_trim=3.175,
        corner_width=0.0,
        corner_depth=61.9125,
        side_seam=15.875,
        corner_seam=23.8125,
        top_seam=7.9375,
    )
    for length in (133.3, 133.35, 133.4):
        bag = replace(bare(replace(cut, length=length)), sandwich=sandwich(layer()))
        assert "little-room-inside" not in codes(compute(bag))


def test_findings_come_worst_first() -> None:
    bad = changed(demo(), corner_cut_depth=inch(3.5), front_trim=inch(0.5), zip_length=inch(19))
    severities = [finding.severity for finding in compute(bad).findings]
    assert severities == sorted(severities, reverse=True)
    assert {STOP, WARN} <= set(severities)


def test_glue_on_a_layer_that_melts_is_told_of_that_layer_once() -> None:
    for ground, glued in ((True, False), (False, True)):
        wall = sandwich(layer(melts=ground), layer("fleece", fusible=True, melts=glued))
        told = found(demo(sandwich=wall), "fusible-would-melt")
        assert told is not None
        text = told.message.text()
        assert text.count("fleece") == 1
        assert ("outer fabric would melt" in text) is ground
        assert ("melt under the iron itself" in text) is glued


def test_severity_words() -> None:
    assert [each.word for each in Severity] == ["note", "warn", "stop"]
    assert max(Severity) is STOP


def test_the_demo_bag_has_nothing_worse_than_a_note() -> None:
    assert all(finding.severity is NOTE for finding in compute(demo()).findings)


def test_mismatch_says_which_side_is_longer() -> None:
    wide = found(changed(demo(), corner_cut_width=inch(3.875)), "corner-edges-differ")
    deep = found(changed(demo(), corner_cut_depth=inch(3.5)), "corner-edges-differ")
    assert wide is not None
    assert deep is not None
    assert wide.value == pytest.approx(inch(1))
    assert deep.value == pytest.approx(-inch(1))
    assert wide.limit == deep.limit == inch(3 / 8)
    assert "side edges" in wide.message.text()
    assert "end of the base" in deep.message.text()
    assert "1 in" in texts(wide.message)[0]


# --- Mends ------------------------------------------------------------------------------

SEAMS = {"side_seam", "corner_seam", "zip_seam"}
KEPT_BY = {
    *("panel_width", "panel_length", "corner_cut_width", "corner_cut_depth"),
    *("pocket_drop", "handle_stop"),
}
"""What moves with other allowances so that finished sizes stay."""

MENDED_BY = {
    **HANDLES_MENDED_BY,
    "corner-edges-differ": {"corner_cut_width", "corner_cut_depth"},
    "zip-on-top-fold": {"front_trim"},
    "zip-near-top-fold": {"front_trim"},
    "zip-near-handle-stop": {"handle_stop"},
    "zip-too-short": {"zip_length"},
    "pocket-meets-corner": {"pocket_drop"},
    "pocket-meets-zip": {"pocket_drop"},
    "pocket-near-zip": {"pocket_drop"},
    "handle-over-corner": {"handle_gap"},
    "handle-loop-short": {"handle_strips", "handle_last_strip"},
    "board-too-big": {"board_width", "board_depth"},
    "board-too-small": {"board_width", "board_depth"},
    "baste-shows": {"baste_line"},
    "hems-differ": {"front_trim"},
    "no-allowance": SEAMS | KEPT_BY | {"pocket_seam", "pocket_cut_height", "zip_tape_width"},
    "thin-allowance": SEAMS | KEPT_BY | {"bottom_seam", "pocket_seam", "pocket_cut_height"},
    "teeth-under-needle": {
        "zip_seam",
        "zip_tape_width",
        "panel_length",
        "pocket_drop",
        "handle_stop",
    },
    "print-upside-down": {"bottom_seam", "panel_length", "corner_cut_depth"},
    "wide-allowance": SEAMS | KEPT_BY | {"bottom_seam", "pocket_seam", "pocket_cut_height"},
    "baste-at-edge": {"baste_line"},
    "hem-near-base": {"panel_length"},
    "zip-length-not-sold": {"zip_length"},
    "zip-near-base": {"panel_length", "front_trim"},
    "pocket-low": {"pocket_cut_height"},
}

ON_THE_PANEL = {"handle-stop-in-hem", "zip-near-handle-stop", "handle-over-corner"}
FOLLOW_ON = {
    # Mending the panel leaves it to the parts that lie on it to say that they no longer fit.
    "corner-edges-differ": {"board-too-big", "handle-over-corner", "pocket-meets-corner"},
    "zip-on-top-fold": {"handle-over-corner", "pocket-meets-corner"},
    "zip-near-top-fold": {"handle-over-corner", "pocket-meets-corner"},
    "zip-near-handle-stop": {"handle-over-corner"},
    # The stop keeps its distance from the top fold, too near to the zip already.
    "teeth-under-needle": {"zip-near-handle-stop"},
    "hems-differ": {"wider-than-goods"},
    "no-allowance": {"wider-than-goods"} | ON_THE_PANEL,
    "thin-allowance": {"wider-than-goods"} | ON_THE_PANEL,
    "zip-near-base": {"wider-than-goods", "handle-loop-short", "pocket-meets-corner"},
    "wide-allowance": {"wider-than-goods"},
    "hem-near-base": {"wider-than-goods", "handle-loop-short", "pocket-meets-corner"},
    "pocket-low": {"wider-than-goods"},
}


def used_up(result: Result) -> bool:
    """Whether some stitch line is gone already, or a stop that is mended may have hidden it."""
    outlines = result.draft.outlines.values()
    return any(
        outline.length(edge.name) <= 1e-6 for outline in outlines for edge in outline.piece.edges
    )


def assert_mends(bag: Bag) -> None:
    before = compute(bag)
    hidden = {"stitch-lines-cross"} if used_up(before) else set()
    if codes(before) & {"base-vanishes", "no-room-inside"}:
        hidden.add("no-room-inside")  # what has no size has no room either: it is told once
    if bag.board is not None and bag.site.board_basted_in:
        hidden.add("board-under-needle")  # a fused board says itself what is moved over it
    for finding in before.findings:
        for mend in finding.mends:
            after = compute(with_figures(bag, as_changes(mend.changes)))
            assert finding.code not in codes(after), (finding.code, mend.changes)
            new = stops(after) - stops(before)
            assert new <= FOLLOW_ON.get(finding.code, set()) | hidden, (finding.code, mend.changes)


@pytest.mark.parametrize("code", MENDED_BY)
def test_the_demo_mends_with_one_click(code: str) -> None:
    cases = [bag for raised, bag in raising_bags() if raised == code]
    mended: set[str] = set()
    for bag in cases:
        finding = found(bag, code)
        assert finding is not None
        before = stops(compute(bag))
        for mend in finding.mends:
            mended |= {name for name, _ in mend.changes}
            after = compute(with_figures(bag, as_changes(mend.changes)))
            assert code not in codes(after)
            assert stops(after) <= before | FOLLOW_ON.get(code, set())
    assert mended == MENDED_BY[code]


@given(sewable_bags())
def test_mends_of_bags_that_can_be_sewn(bag: Bag) -> None:
    assert_mends(bag)


@given(bags())
@example(  # a trim that a narrow clearance ends exactly at: floats land a hair below it
    bare(
        Panel(
            width=633.4125,
            length=250.825,
            front_trim=36.5125,
            corner_width=0.0,
            corner_depth=0.0,
            side_seam=19.05,
            corner_seam=17.4625,
            top_seam=17.4625,
        ),
        closure=Zip(tape_width=39.6875, length=700.0),
    )
)
@example(  # so narrow that the board's margins alone would leave next to nothing
    replace(bare(demo_panel(corner_width=inch(8))), board=BaseBoard(width=5.0, depth=5.0))
)
@example(  # a gusset of no depth but for the last bits of its floats
    replace(
        bare(
            Panel(
                width=55.5625,
                length=69.85,
                front_trim=0.0,
                corner_width=0.0,
                corner_depth=7.9375,
                side_seam=0.0,
                corner_seam=1.5875,
                top_seam=0.0,
                bottom_seam=9.524999999999999,
            )
        ),
        board=BaseBoard(width=5.0, depth=5.0),
    )
)
@example(  # the front is too short for the trim that would bring the zip over
    bare(
        demo_panel(
            length=inch(8), front_trim=0.0, corner_depth=inch(3.5), corner_width=inch(3.875)
        ),
        closure=Zip(tape_width=inch(2), length=inch(21)),
    )
)
def test_mends_of_any_bag(bag: Bag) -> None:
    assert_mends(bag)


@given(st.one_of(bags(), sewable_bags()))
def test_mends_change_figures_that_exist(bag: Bag) -> None:
    for finding in compute(bag).findings:
        for mend in finding.mends:
            for name, value in mend.changes:
                cut_figure(name).check(value)


def test_the_mends_of_a_mismatch_make_one_edge_fit_the_other() -> None:
    finding = found(changed(demo(), corner_cut_depth=inch(3.5)), "corner-edges-differ")
    assert finding is not None
    changes = [as_changes(mend.changes) for mend in finding.mends]
    assert [set(each) for each in changes] == [{"corner_cut_width"}, {"corner_cut_depth"}]
    assert changes[0]["corner_cut_width"] == pytest.approx(inch(3.875))
    assert changes[1]["corner_cut_depth"] == pytest.approx(inch(3))


# --- Who may raise what -----------------------------------------------------------------


def test_an_open_top_has_no_zip_findings() -> None:
    bag = demo(closure=OpenTop(), panel=demo_panel(front_trim=0.0))
    close = replace(bag, handles=replace(bag.handles, stop=inch(0.5)))
    assert not {code for code in codes(compute(close)) if code.startswith("zip-")}


def test_one_layer_needs_no_basting() -> None:
    plain = changed(demo(sandwich=sandwich(layer())), baste_line=inch(0.5))
    assert "baste-shows" not in codes(compute(plain))


def test_a_pocket_on_both_faces_is_mended_for_the_shorter_front() -> None:
    low = replace(pocket_at(inch(2)).pocket, faces=PocketFaces.BOTH)
    finding = found(demo(pocket=low), "pocket-meets-corner")
    assert finding is not None
    assert "front" in finding.message.text()
    assert as_changes(finding.mends[0].changes)["pocket_drop"] == pytest.approx(inch(6.75))


def test_separate_handles_above_the_corners_may_be_wider_than_the_base() -> None:
    wide = handled(gap=inch(12), style=HandleStyle.SEPARATE, leg=inch(4), strips=2)
    assert "handle-over-corner" not in codes(compute(wide))
    low = handled(gap=inch(12), style=HandleStyle.SEPARATE, leg=inch(11), strips=2)
    assert "handle-over-corner" in codes(compute(low))


def test_goods_are_judged_for_each_layer_that_a_piece_is_cut_from() -> None:
    narrow = demo(sandwich=sandwich(layer(), layer("fleece", usable_width=inch(18))))
    finding = found(narrow, "wider-than-goods")
    assert finding is not None
    assert "fleece" in finding.message.text()
    assert finding.limit == inch(18)


def test_a_one_way_print_keeps_pieces_from_being_turned() -> None:
    goods = inch(17)
    turned, upright = (
        compute(low_bag(usable_width=goods, one_way=one_way)).findings for one_way in (False, True)
    )
    assert not pieces_too_wide(turned)
    assert pieces_too_wide(upright) == ["panel", "front pocket"]


def low_bag(**fabric_changes: object) -> Bag:
    """A bag wider than its goods, whose pieces fit when turned by a quarter."""
    small = demo_panel(
        width=inch(17.5),
        length=inch(16.8),
        front_trim=0.0,
        corner_width=inch(2),
        corner_depth=inch(1.625),
    )
    pocket = Pocket(cut_height=inch(8), drop=inch(1))
    return replace(bare(small), pocket=pocket, sandwich=sandwich(layer(**fabric_changes)))


def pieces_too_wide(findings: tuple[Finding, ...]) -> list[str]:
    return [each.message.words["piece"] for each in findings if each.code == "wider-than-goods"]


@given(bags())
def test_a_bag_without_a_stop_has_stitch_lines_that_do_not_cross(bag: Bag) -> None:
    result = compute(bag)
    if not stops(result):
        assert all(outline.sound for outline in result.draft.outlines.values())
