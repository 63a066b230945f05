"""Redesigns of bodies cut like boxes: by closed formulas, and by scipy where one is refused.

Formulas: the project's own description of these constructions (constructions.md 3.3 to 3.5),
derived there by hand and checked by offsets of lines and arcs.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.errors import FieldError
from core.base.units import Unit
from core.bodies.table import BODIES
from core.redesign.new_bag import new_bag
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounding import on_ruler
from core.storage.bag_files import sample

KINDS = {kind.KIND: kind for kind in BODIES if kind.KIND != "boxed-panel"}
SHARE = 2 - math.pi / 2
STRIPS = ("face_cut_width", "face_cut_height", "corner_rounding", "strip_width", "strip_length",
          "top_strip_length")  # fmt: skip
BASES = ("base_cut_width", "base_cut_depth", "corner_rounding", "body_width", "body_height")
Formulas = Callable[[Mapping[str, float]], dict[str, float]]


def strip_sizes(cut: Mapping[str, float], *, wrap: bool, wall: float) -> dict[str, float]:
    """Of a gusset strip or a wrap, open or closed, by its cut figures, mm and litres."""
    s, e, s3 = cut["gusset_seam"], cut["strip_seam"], cut["zip_seam"]
    closed = "top_strip_length" in cut
    w, g = cut["face_cut_width"] - 2 * s, cut["strip_width"] - 2 * s
    h = cut["face_cut_height"] - 2 * s if closed else cut["face_cut_height"] - s - s3
    r = cut["corner_rounding"] - s if cut["corner_rounding"] > 0.0 else 0.0
    upper = cut.get("upper_rounding", 0.0)
    u = upper - s if upper > 0.0 else 0.0
    ring = 2 * (w + h) - (4 - math.pi) * (r + u) if closed else w + 2 * h - (4 - math.pi) * r
    strip = cut["strip_length"] - 2 * (e if closed else s3)
    gap = cut["top_strip_length"] - 2 * e if closed else 0.0
    top = 2 * wall if closed else wall
    inner = (w - 2 * wall) * (h - top) - SHARE * sum(max(x - wall, 0.0) ** 2 for x in (r, u))
    return {
        "face_width": g if wrap else w,
        "gusset_depth": w if wrap else g,
        "face_height": h,
        "corner_radius": r,
        "gusset_mismatch": ring - strip - gap,
        "box_volume": g * (w * h - SHARE * (r * r + u * u)) / 1e6,
        "inside_volume": (g - 2 * wall) * inner / 1e6,
    }


def base_sizes(cut: Mapping[str, float], *, wall: float) -> dict[str, float]:
    """Of a separate base in a ring of one piece or two, hemmed."""
    s, s1, n = cut["base_seam"], cut["side_seam"], cut["body_pieces"]
    w, d = (cut[name] - 2 * s for name in ("base_cut_width", "base_cut_depth"))
    r = cut["corner_rounding"] - s if cut["corner_rounding"] > 0.0 else 0.0
    h = cut["body_height"] - s - cut["zip_seam"]
    around = n * (cut["body_width"] - 2 * s1)
    inner = (w - 2 * wall) * (d - 2 * wall) - 2 * SHARE * max(r - wall, 0.0) ** 2
    return {
        "base_width": w,
        "gusset_depth": d,
        "face_height": h,
        "corner_radius": r,
        "opening_width": around / 2,
        "base_mismatch": around - (2 * (w + d) - (8 - 2 * math.pi) * r),
        "box_volume": (w * d - 2 * SHARE * r * r) * h / 1e6,
        "inside_volume": inner * (h - wall) / 1e6,
    }


def formulas(bag: Bag) -> Formulas:
    wall = bag.sandwich.thickness
    if bag.body.KIND == "separate-base":
        return lambda cut: base_sizes(cut, wall=wall)
    return lambda cut: strip_sizes(cut, wrap=bag.body.KIND == "wrap", wall=wall)


def plain(word: str, top: str | None, radius: float) -> Bag:
    """300 x 140 x 250, without parts."""
    kind = KINDS[word]
    sizes = {kind.BOX.width: 300.0, kind.BOX.depth: 140.0, kind.BOX.height: 250.0}
    sizes[kind.BOX.rounding] = radius
    words = {"construction": word} | ({} if top is None else {"top": top})
    model = replace(sample("demo").without("pocket", "handles", "board"), unit=Unit.MM)
    return new_bag(model, sizes, words, unit=Unit.MM).result.bag


def cut_of(bag: Bag) -> dict[str, float]:
    return {name: value for name, value in compute(bag).cut.items() if value is not None}


CASES = [
    (word, top, radius)
    for word in KINDS
    for top in (("hem",) if word == "separate-base" else (None, "hem"))
    for radius in (0.0, 30.0)
]


@pytest.mark.parametrize(("word", "top", "radius"), CASES)
def test_what_is_asked_comes_out_or_cannot_be(word: str, top: str | None, radius: float) -> None:
    """By the closed formulas; and scipy finds none, well within all limits, that is refused."""
    bag = plain(word, top, radius)
    told, cut = formulas(bag), cut_of(bag)
    now = told(cut)
    measured = compute(bag).finished
    assert {name: measured[name] for name in now} == pytest.approx(now, abs=1e-6)
    chance = np.random.default_rng(len(word) + int(radius))
    names = [name for name in now if not name.endswith("mismatch")]
    names = [name for name in names if radius or name != "corner_radius"]
    counts = {True: 0, False: 0}
    for _ in range(25):
        order = [str(name) for name in chance.permutation(names)]
        wanted = int(chance.integers(1, 4))
        wants = {name: now[name] * chance.uniform(0.85, 1.2) for name in order[:wanted]}
        holds = order[wanted : wanted + int(chance.integers(0, 4))]
        exact = {**{name: now[name] for name in holds}, **wants}
        try:
            found = redesign(bag, RedesignRequest(wants=wants, holds=frozenset(holds)))
        except ConflictError as error:
            assert not _can_be(bag, told, cut, exact), (wants, holds, error)
            counts[False] += 1
            continue
        counts[True] += 1
        after = told(cut_of(found.bag))
        for name, value in exact.items():
            assert after[name] == pytest.approx(value, abs=2e-6), (wants, holds)
        mismatch = next(name for name in after if name.endswith("mismatch"))
        assert after[mismatch] == pytest.approx(0.0, abs=2e-6)
        ruled = on_ruler(found, 1.0)
        assert ruled.result.finished[mismatch] == pytest.approx(0.0, abs=1e-6)
    assert counts[True] >= 7


def _can_be(bag: Bag, told: Formulas, cut: Mapping[str, float], exact: Mapping[str, float]) -> bool:
    """Whether scipy finds a bag that has all of it, well within what any limit is about."""
    names = [name for name in (BASES if "base_cut_width" in cut else STRIPS) if name in cut]
    if not cut["corner_rounding"]:
        names.remove("corner_rounding")
    start = np.array([cut[name] for name in names])
    mismatch = next(name for name in told(cut) if name.endswith("mismatch"))
    wanted = {**exact, mismatch: 0.0}

    def off(x: np.ndarray) -> list[float]:
        sizes = told({**cut, **dict(zip(names, x.tolist(), strict=True))})
        units = [100 / value if name.endswith("volume") else 1.0 for name, value in wanted.items()]
        return [
            (sizes[name] - value) * unit
            for (name, value), unit in zip(wanted.items(), units, strict=True)
        ]

    for seed in range(4):
        begin = start * np.random.default_rng(seed).uniform(0.8, 1.25, len(start))
        begin = np.clip(begin, 16.0, 2999.0)
        met = least_squares(off, begin, bounds=(15.0, 3000.0), xtol=1e-15, ftol=1e-15, gtol=1e-15)
        there = {**cut, **dict(zip(names, met.x.tolist(), strict=True))}
        sizes = told(there)
        sides = [sizes[name] for name in ("gusset_depth", "face_height")]
        sides.append(sizes.get("face_width") or sizes["base_width"])
        roomy = sizes["corner_radius"] < min(sides) / 2 - 15.0 and min(sides) > 60.0
        if max(map(abs, off(met.x))) < 1e-7 and roomy and met.x.max() < 2500.0:
            return True
    return False


def test_deeper_and_not_so_wide_with_the_rest_held() -> None:
    """The other sizes stand as they were, and nothing is off the ruler but what must be."""
    for word, top, radius in CASES:
        bag = plain(word, top, radius)
        names = KINDS[word].BOX
        found = redesign(
            bag,
            RedesignRequest(
                wants={names.depth: 160.0, names.width: 280.0},
                holds=frozenset({names.height, names.rounding}),
            ),
        )
        after = found.finished
        assert (after[names.depth], after[names.width]) == pytest.approx((160.0, 280.0))
        assert (after[names.height], after[names.rounding]) == pytest.approx((250.0, radius))
        ruled = on_ruler(found, 1.0)
        assert len(ruled.off_ruler) <= (1 if radius else 0), (word, top, radius)


@pytest.mark.parametrize("word", [word for word in KINDS if KINDS[word].BOX.gap])
def test_a_strip_in_other_pieces_with_other_sizes_at_once(word: str) -> None:
    bag = plain(word, None, 30.0)
    names = KINDS[word].BOX
    request = RedesignRequest(
        wants={"strip_pieces": 3, names.height: 270.0}, holds=frozenset({names.width, names.depth})
    )
    after = compute(redesign(bag, request).bag)
    assert after.cut["strip_pieces"] == 3
    assert after.finished[names.height] == pytest.approx(270.0)
    assert after.finished["gusset_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_walls_in_other_pieces_with_other_sizes_at_once() -> None:
    """Of four pieces the ends match too; what is held is what it was in two."""
    bag = plain("separate-base", "hem", 0.0)
    held = frozenset({"base_width", "face_height"})
    for pieces in (1, 4):
        request = RedesignRequest(wants={"body_pieces": pieces, "gusset_depth": 150.0}, holds=held)
        found = redesign(bag, request)
        after = compute(found.bag)
        assert after.cut["body_pieces"] == pieces
        assert after.finished["gusset_depth"] == pytest.approx(150.0)
        assert after.finished["base_width"] == pytest.approx(300.0)
        assert after.finished["base_mismatch"] == pytest.approx(0.0, abs=1e-6)
        assert after.finished["base_end_mismatch"] in (None, pytest.approx(0.0, abs=1e-6))
        assert on_ruler(found, 1.0).off_ruler == ()
    # The opening of two walls lies flat, that of four is as wide as the front: held, it fights.
    with pytest.raises(ConflictError, match="Opening width"):
        redesign(
            bag,
            RedesignRequest(
                wants={"body_pieces": 4}, holds=frozenset({"opening_width", "base_width"})
            ),
        )
    with pytest.raises(FieldError, match="it must be 1, 2 or 4"):
        redesign(bag, RedesignRequest(wants={"body_pieces": 3}))


def test_a_base_that_becomes_narrower_than_deep_keeps_its_corners() -> None:
    """Corners of 30 want a side of 60 either way: what is told is the end of either."""
    bag = plain("separate-base", "hem", 30.0)
    for name, other in (("base_width", "gusset_depth"), ("gusset_depth", "base_width")):
        held = frozenset({"corner_radius", other})
        with pytest.raises(ConflictError) as caught:
            redesign(bag, RedesignRequest(wants={name: 55.0}, holds=held))
        assert caught.value.bound is not None
        assert caught.value.bound.value == pytest.approx(60.0, abs=1e-4)
        assert caught.value.bound.limit == "corner_rounding"
        found = redesign(bag, RedesignRequest(wants={name: 65.0}, holds=held)).finished
        assert (found[name], found["corner_radius"]) == pytest.approx((65.0, 30.0))
