"""Bags on either side of a limit: what the cases of the findings are made of. Lengths are mm."""

import math
from collections.abc import Callable
from dataclasses import replace

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.bodies.boxed_panel.panel import BoxedPanel
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.tops.zip_forward.zip import ZipForward
from tests.core.bag.handle_limits import handled
from tests.helpers import bare, changed, demo, demo_panel, having, inch, layer, sandwich
from tests.strategies import Wanted


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
    cut = BoxedPanel(
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
    plain = having(demo(), handles=legs)
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
        tape = 2 * demo().body.top_seam + left - over
        return demo(top=ZipForward(tape_width=tape, length=inch(22), gauge=gauge))

    return bag


def off_a_roll(length: float) -> Bag:
    """The demo bag with so much zip cut off a roll."""
    bag = demo()
    return replace(bag, top=replace(bag.top, length=length, by_length=True))


def thin_zip_seam_on_a_narrow_tape() -> Bag:
    """A zip seam of nothing, on a tape that the usual seams would leave no room of."""
    return demo(body=demo_panel(top_seam=0.0), top=ZipForward(tape_width=20.0, length=inch(22)))


def front_above_base(left: float) -> Callable[[float], Bag]:
    """A bag whose zip's lower stitch line lies so far above the base edge, less what it is over."""

    def bag(over: float) -> Bag:
        panel = demo_panel()
        front = panel.corner_depth + panel.corner_seam + left - over + panel.top_seam
        short = replace(panel, length=2 * (front + panel.front_trim))
        return bare(short, top=ZipForward(tape_width=inch(1.25), length=inch(22)))

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


def shrinking(**changes: object) -> Bag:
    """A lining that shrinks under an outer fabric that does not."""
    outer = layer(usable_width=inch(42))
    return demo(sandwich=sandwich(outer, layer("lining", **changes)))


def short_loop() -> Bag:
    """Strips that do not span the gap once the legs are sewn."""
    return handled(strips=1)


def trimmed(over: float) -> Bag:
    """One layer, its corners sewn across and trimmed within a quarter inch of the seam."""
    bag = with_choice(
        demo(sandwich=sandwich(layer(usable_width=inch(42)))), "corners", "sewn-across"
    )
    return changed(bag, corner_seam=6.35 - over)


def tips_left_in() -> Bag:
    """The demo with its corners sewn across and their tips left in."""
    return with_choice(with_choice(demo(), "corners", "sewn-across"), "tips", "left-in")


def pillow() -> Bag:
    return bare(demo_panel(corner_width=0.0, corner_depth=0.0))


def crossing() -> Bag:
    """A front so much shorter that its hem falls within the corner seams' allowance."""
    short = demo_panel(length=inch(12), front_trim=inch(2.6), side_seam=0.0, corner_width=inch(3))
    return bare(short)


def walled(bag: Bag, thickness: float) -> Bag:
    """The bag with a wall so thick, and pressed to nothing."""
    return replace(bag, sandwich=sandwich(layer(thickness=thickness, pressed=0.0)))
