"""Finished sizes of gusset strips and wraps against formulas derived by hand, both ways.

Symbols: W, H cut width and height of a panel, G and S cut width and length of the strip, T of the
top strip, R and Q lower and upper cut rounding, s allowance of the ring, e of joins, c of an open
top; small letters are finished: w, h, g, r, q. Source: the project's own derivation (constructions,
sections 3.4 and 3.5), by offsets of lines and arcs.
"""

import math
import random
from dataclasses import replace

import pytest

from core.bag.compute import compute
from core.bodies.gusset_strip.body import StripBody
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import INCH, KINDS, any_bags, e2, measured

ANY = any_bags(300)
NEAR = 1e-9
DEMO = sample("demo")
BARE = DEMO.without(*DEMO.parts)
LESS = 4.0 - math.pi
"""What a pair of rounded corners of radius 1 takes off an edge."""


def finished(body: StripBody) -> dict[str, float]:
    """From cut sizes."""
    s, e, c = body.gusset_seam, body.strip_seam, body.top_seam
    closed = body.top_strip_length > 0.0
    w = body.face_cut_width - 2 * s
    h = body.face_cut_height - (2 * s if closed else s + c)
    g = body.strip_width - 2 * s
    r, q = (cut - s if cut else 0.0 for cut in (body.corner_rounding, body.upper_rounding))
    if closed:
        edge = 2 * (w + h) - LESS * (r + q)
        strip = body.strip_length - 2 * e + body.top_strip_length - 2 * e
    else:
        edge, strip = w + 2 * h - LESS * r, body.strip_length - 2 * c
    is_wrap = type(body) is KINDS[1]
    across, deep = (g, w) if is_wrap else (w, g)
    return {
        "face_width": across,
        "gusset_depth": deep,
        "face_height": h,
        "corner_radius": r,
        "base_width": across if is_wrap else w - 2 * r,
        "opening_width": body.top_strip_length - 2 * e if closed else across,
        "gusset_mismatch": edge - strip,
    }


def cut(
    kind: type[StripBody],
    sizes: tuple[float, float, float],
    *,
    r: float,
    q: float,
    s: float,
    e: float,
    c: float,
    gap: float,
) -> StripBody:
    """From finished sizes: width, depth and height; `gap` of a top strip, 0 for an open top."""
    w, g, h = sizes if kind is KINDS[0] else (sizes[1], sizes[0], sizes[2])
    if gap:
        strip, end = 2 * (w + h) - LESS * (r + q) - gap, e
    else:
        strip, end = w + 2 * h - LESS * r, c
    return kind(
        face_cut_width=w + 2 * s,
        face_cut_height=h + s + (s if gap else c),
        corner_rounding=r + s if r else 0.0,
        upper_rounding=q + s if q and gap else 0.0,
        strip_width=g + 2 * s,
        strip_length=strip + 2 * end,
        top_strip_length=gap + 2 * e if gap else 0.0,
        gusset_seam=s,
        strip_seam=e,
        top_seam=c,
    )  # fmt: skip


def test_every_size_is_its_formula_whatever_the_bag() -> None:
    for body in ANY:
        assert measured(body) == pytest.approx(finished(body), abs=NEAR)


def test_cutting_by_the_inverse_formulas_gives_what_was_wanted() -> None:
    chance = random.Random(11)
    for number in range(300):
        sizes = (
            chance.uniform(120.0, 500.0), chance.uniform(120.0, 400.0), chance.uniform(120.0, 500.0)
        )  # fmt: skip
        r, q = (chance.choice((0.0, chance.uniform(5.0, 59.0))) for _ in range(2))
        s, e, c = (chance.uniform(3.0, 20.0) for _ in range(3))
        gap = chance.choice((0.0, chance.uniform(60.0, 200.0)))
        found = measured(cut(KINDS[number % 2], sizes, r=r, q=q, s=s, e=e, c=c, gap=gap))
        told = (found["face_width"], found["gusset_depth"], found["face_height"])
        assert told == pytest.approx(sizes, abs=NEAR)
        assert (found["corner_radius"], found["gusset_mismatch"]) == pytest.approx(
            (r, 0.0), abs=NEAR
        )
        if gap:
            assert found["opening_width"] == pytest.approx(gap, abs=NEAR)


def test_square_corners_in_cut_sizes() -> None:
    """S = W + 2 H - 4 s, every allowance alike."""
    for kind in KINDS:
        body = cut(kind, (300.0, 120.0, 250.0), r=0.0, q=0.0, s=9.0, e=9.0, c=9.0, gap=0.0)
        wide, high = body.face_cut_width, body.face_cut_height
        assert body.strip_length == pytest.approx(wide + 2 * high - 4 * 9.0)


def test_the_box_is_the_panel_times_the_depth() -> None:
    """G (w h - 2 (1 - pi / 4) (r^2 + q^2)); inside the wall each size is less, and each radius."""
    for body in ANY[:100]:
        top = TopStrip(tape_width=2 * body.top_seam + 6.0, length=2000.0)
        closed = body.top_strip_length > 0.0
        if closed and body.strip_width - 2 * body.gusset_seam <= 10.0:
            continue
        bag = replace(BARE, body=body, top=top if closed else Hem())
        result, sizes, wall = compute(bag), finished(body), bag.site.wall
        w, g, h = sizes["face_width"], sizes["gusset_depth"], sizes["face_height"]
        if type(body) is KINDS[1]:
            w, g = g, w
        r = sizes["corner_radius"]
        q = body.upper_rounding - body.gusset_seam if body.upper_rounding else 0.0
        for name, less in (("box_volume", 0.0), ("inside_volume", wall)):
            radii = [max(each - less, 0.0) for each in (r, q)]
            corners = 2 * (1 - math.pi / 4) * math.fsum(each**2 for each in radii)
            high = h - less * (2 if closed else 1)
            expected = (g - 2 * less) * ((w - 2 * less) * high - corners) / 1e6
            if min(g - 2 * less, w - 2 * less, high) > 0.0:
                assert result.finished[name] == pytest.approx(expected), (name, body)


def test_e2_holds_725_181_cubic_inches() -> None:
    """And 11.8836 litres, as it is worked out there."""
    bag = replace(BARE, body=e2(), top=TopStrip(tape_width=1.25 * INCH, length=600.0))
    assert compute(bag).finished["box_volume"] == pytest.approx(11.8836, abs=5e-5)
    assert pytest.approx(11.8836, abs=5e-5) == 725.181 * INCH**3 / 1e6
