"""Ruler-friendly results: on the step, matched, and nearest."""

import math
import random
from collections import Counter
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.bag.figures import RULED
from core.bag.tables import cut_figure
from core.base.units import round_to_step
from core.parts.pocket.pocket import Pocket
from core.redesign.redesign import Redesign, redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import exact, on_ruler
from core.solid.capacity import capacity
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import ELSEWHERE, bare, changed, demo, demo_panel, having, inch, layer, sandwich

EIGHTH = inch(1 / 8)
Array = NDArray[np.float64]


@settings(max_examples=25)
@given(st.floats(0.85, 1.2), st.floats(0.85, 1.2), st.floats(0.85, 1.2))
def test_on_the_ruler_and_matched(base: float, depth: float, face: float) -> None:
    wants = {
        "base_width": inch(11) * base,
        "gusset_depth": inch(6.75) * depth,
        "face_height": inch(15) * face,
    }
    found = redesign(demo(), RedesignRequest(wants=wants))
    rounded = on_ruler(found, EIGHTH)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert rounded.off_ruler == ()
    for name in PANEL:
        value = rounded.result.cut[name]
        assert value == pytest.approx(round_to_step(value, EIGHTH), abs=1e-6), name
    for name, wanted in wants.items():
        cost = rounded.result.finished[name] - wanted
        assert rounded.cost[name] == pytest.approx(cost, abs=1e-6), name


def test_nothing_on_the_ruler_comes_nearer() -> None:
    wants = {"base_width": 262.0, "gusset_depth": 185.0, "face_height": 388.0}
    found = redesign(demo(), RedesignRequest(wants=wants))
    rounded = on_ruler(found, EIGHTH)

    def missed(finished: object) -> float:
        return sum((finished[name] - value) ** 2 for name, value in wants.items())

    panel = found.after.bag.body
    names = ("panel_width", "panel_length", "corner_cut_width", "corner_cut_depth")
    sizes = (panel.width, panel.length, panel.corner_width, panel.corner_depth)
    steps = [[round_to_step(v, EIGHTH) + k * EIGHTH for k in (-2, -1, 0, 1, 2)] for v in sizes]
    others = []
    for values in product(*steps):
        other = compute(with_figures(found.after.bag, dict(zip(names, values, strict=True))))
        if abs(other.finished["corner_mismatch"]) < 1e-6:
            others.append(missed(other.finished))
    assert missed(rounded.result.finished) == pytest.approx(min(others), rel=1e-6)


def test_an_allowance_off_the_ruler_leaves_one_figure_off_it() -> None:
    # 1/4 in allowances on a 5 mm ruler: width less depth must be 6.35 mm.
    found = redesign(demo(), RedesignRequest(wants={"gusset_depth": 180.0}))
    rounded = on_ruler(found, 5.0)
    assert rounded.off_ruler == ("corner_cut_width",)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert rounded.result.bag.body.corner_depth % 5.0 == pytest.approx(0.0, abs=1e-9)


def test_what_was_asked_for_as_cut_is_not_rounded() -> None:
    found = redesign(demo(), RedesignRequest(wants={"panel_width": 471.3}))
    assert on_ruler(found, EIGHTH).result.bag.body.width == 471.3


def test_unmatched_corners_are_only_rounded() -> None:
    parted = changed(demo(), corner_cut_depth=inch(3.5))
    request = RedesignRequest(wants={"face_height": 391.7}, matched=False)
    rounded = on_ruler(redesign(parted, request), EIGHTH)
    panel = rounded.result.bag.body
    assert panel.length == pytest.approx(round_to_step(panel.length, EIGHTH), abs=1e-9)


def test_corners_that_part_are_each_put_on_their_nearest_step() -> None:
    bag = changed(demo(), corner_cut_depth=78.8, corner_cut_width=93.9)
    rounded = on_ruler(as_it_is(bag), 5.0, names=("corner_cut_depth", "corner_cut_width"))
    panel = rounded.result.bag.body
    assert (panel.corner_depth, panel.corner_width) == (80.0, 95.0)
    assert rounded.off_ruler == ()


def test_no_ruler_costs_nothing() -> None:
    found = exact(redesign(demo(), RedesignRequest(wants={"base_width": 300.0})))
    assert set(found.cost.values()) == {0.0, None}


def test_a_figure_that_follows_counts_where_it_ends_up() -> None:
    # On a 5 mm ruler with 1/4 in allowances the corner cut width follows its depth: every
    # choice of the other three steps is tried, the width following, and the best must win.
    wants = {"base_width": 262.1, "gusset_depth": 185.1, "face_height": 388.2}
    found = redesign(demo(), RedesignRequest(wants=wants))
    rounded = on_ruler(found, 5.0)

    def missed(finished: object) -> float:
        return sum((finished[name] - value) ** 2 for name, value in wants.items())

    panel, others = found.after.bag.body, []
    steps = [
        [round_to_step(v, 5.0) + k * 5.0 for k in (-2, -1, 0, 1, 2)]
        for v in (panel.width, panel.length, panel.corner_depth)
    ]
    for width, length, depth in product(*steps):
        figures = {
            "panel_width": width,
            "panel_length": length,
            "corner_cut_depth": depth,
            "corner_cut_width": depth + panel.side_seam,
        }
        others.append(missed(compute(with_figures(found.after.bag, figures)).finished))
    assert missed(rounded.result.finished) == pytest.approx(min(others), rel=1e-6)


@pytest.mark.parametrize("depth", [202.157, 203.157, 240.6, 256.625, 261.3])
def test_of_two_that_come_as_near_the_nearer_steps_win(depth: float) -> None:
    """A base of 279.4 mm lies half way between what a 5 mm ruler gives, 276.9 and 281.9.

    Which of them it is must not hang on the last digits of the way that led there.
    """
    found = redesign(demo(), RedesignRequest(wants={"gusset_depth": depth}))
    rounded = on_ruler(found, 5.0).result
    assert abs(rounded.finished["base_width"] - 279.4) == pytest.approx(2.5)
    assert abs(rounded.bag.body.width - found.bag.body.width) < 2.5


def test_one_choice_of_steps_is_one_bag() -> None:
    """A corner that follows has no dust of the way: the next key of a hold changes nothing."""
    ruled = [
        on_ruler(redesign(demo(), RedesignRequest(wants={"gusset_depth": depth})), 5.0).result.bag
        for depth in np.arange(171.0, 189.0, 0.7).tolist()
    ]
    bodies = {bag.body for bag in ruled}
    chosen = {(body.width, body.length, body.corner_depth) for body in bodies}
    assert 1 < len(chosen) == len(bodies) < len(ruled)


def test_a_volume_that_was_held_counts_in_the_rounding() -> None:
    request = RedesignRequest(
        wants={"gusset_depth": 191.45, "base_width": 249.4}, holds=frozenset({"box_volume"})
    )
    found = redesign(demo(), request)
    held = on_ruler(found, 5.0)
    panel = held.result.bag.body
    volume = held.result.finished["box_volume"] - found.after.finished["box_volume"]
    for length in (panel.length - 5.0, panel.length + 5.0):
        other = compute(with_figures(held.result.bag, {"panel_length": length})).finished
        assert abs(volume) < abs(other["box_volume"] - found.after.finished["box_volume"])


def test_every_figure_can_be_put_on_the_ruler() -> None:
    bag = changed(demo(), panel_width=470.3, corner_cut_depth=77.0, corner_cut_width=86.525)
    found = as_it_is(bag)
    assert on_ruler(found, EIGHTH).result.bag == bag, "nothing changed, nothing is rounded"
    rounded = on_ruler(found, EIGHTH, names=RULED)
    assert rounded.result.cut["corner_mark"] is None
    for name in (each for each in RULED if each not in {"corner_mark", *ELSEWHERE}):
        value = rounded.result.cut[name]
        assert value == pytest.approx(round_to_step(value, EIGHTH), abs=1e-9), name
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    across = with_choice(bag, "corners", "sewn-across")
    mark = on_ruler(as_it_is(across), EIGHTH, names=RULED).result.cut["corner_mark"]
    assert mark == pytest.approx(inch(3.375)), "as 77 and 9.525 mm make 86.525, to 1/8 in"
    kept = as_it_is(bag, "panel_width")
    assert on_ruler(kept, EIGHTH, names=RULED).result.bag.body.width == 470.3


def test_a_stop_at_the_upper_edge_of_a_pocket_stays_at_it() -> None:
    """Both lie 6.7 cm down; put on eighths of an inch apart, one would be told to gape."""
    bag = sample("jar")
    assert cut_value(bag, "handle_stop") == cut_value(bag, "pocket_drop") == 67.0
    result = on_ruler(as_it_is(bag), EIGHTH, names=RULED).result
    assert result.cut["handle_stop"] == result.cut["pocket_drop"] == inch(2.625)
    assert "pocket-open-above-stop" not in {each.code for each in result.findings}


def test_a_figure_by_its_limit_is_put_on_the_ruler_too() -> None:
    """Both volumes leave a front that is half a mm longer than its corner cut is deep."""
    wants = {"box_volume": 11.747575183395856, "inside_volume": 7.434338092541284}
    found = redesign(sample("lunch"), RedesignRequest(wants=wants))
    panel = found.after.bag.body
    assert 0.0 < panel.front_length - panel.corner_depth < 1.0
    rounded = on_ruler(found, 1.0).result.bag.body
    assert rounded.width == pytest.approx(round(rounded.width), abs=1e-9)
    assert rounded.corner_depth < rounded.front_length


PANEL = ("panel_width", "panel_length", "front_trim", "corner_cut_depth", "corner_cut_width")
AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset")
VOLUME = "box_volume"


def as_it_is(bag: Bag, *holds: str) -> Redesign:
    """A bag that is as it was asked for."""
    request = RedesignRequest(wants={}, holds=frozenset(holds))
    return Redesign(request, bag, bag, 0.0)


def changes_by_hand(bag: Bag, moved: dict[str, Array]) -> dict[str, Array]:
    """What figures of the panel that move (mm) make of the finished sizes, by the drawing.

    The base is the width less both corner cuts; the gusset is twice the depth of one; a face is
    half of the length less its trim and the depth of its corner; the zip moves by half of the
    trim. A volume grows by the shares of its three sides.
    """
    width, length, trim, depth, corner = (moved[name] for name in PANEL)
    finished = compute(bag).finished
    base, gusset, face = width - 2 * corner, 2 * depth, (length - trim) / 2 - depth
    sides = zip((base, gusset, face), AIMS, strict=False)
    share = sum(change / finished[name] for change, name in sides)
    zip_offset = 0 * trim if finished["zip_offset"] is None else trim / 2
    sizes = dict(zip(AIMS, (base, gusset, face, zip_offset), strict=True))
    return {**sizes, VOLUME: share * finished[VOLUME]}


def missed_by_hand(found: Redesign, moved: dict[str, Array]) -> Array:
    """What is made least: what is held weighs ten times, and a hundredth of a volume as 1 mm."""
    holds, finished = found.request.holds, found.after.finished
    total = 0.0
    for name, change in changes_by_hand(found.before, moved).items():
        if name == VOLUME:
            weight = 10 * 100 / finished[VOLUME] if name in holds else 0.0
        else:
            weight = 10.0 if name in holds else 1.0
        total = total + (weight * change) ** 2
    return np.asarray(total)


def best_by_hand(found: Redesign, names: list[str], step: float) -> tuple[float, str | None]:
    """(least that is missed, the side of the corner that follows), of all neighbouring steps."""
    bag, holds = found.before, found.request.holds
    limits = {name: cut_figure(name).high for name in PANEL}
    now = {name: cut_value(bag, name) for name in PANEL}
    rows = []
    for name in PANEL:
        steps = (math.floor(now[name] / step + 0.5) + np.array([-1, 0, 1])) * step
        rows.append(steps if name in names and now[name] else np.array([now[name]]))
    found_at = np.meshgrid(*rows, indexing="ij")
    moved = {n: each.ravel() - now[n] for n, each in zip(PANEL, found_at, strict=True)}
    loose = [each for each in ("corner_cut_width", "corner_cut_depth") if each not in holds]
    for follower in (None, *loose):
        leader = {None: None, "corner_cut_width": "corner_cut_depth"}.get(
            follower, "corner_cut_width"
        )
        tried = dict(moved) if follower is None else {**moved, follower: moved[leader]}
        room = (now["panel_length"] + tried["panel_length"]) / 2 - now["front_trim"]
        front = room - tried["front_trim"] - now["corner_cut_depth"] - tried["corner_cut_depth"]
        fine = (abs(tried["corner_cut_depth"] - tried["corner_cut_width"]) < 1e-7) & (front > 1e-6)
        for name, most in limits.items():
            fine &= (now[name] + tried[name] >= 0.0) & (now[name] + tried[name] <= most)
        if fine.any():
            return float(missed_by_hand(found, tried)[fine].min()), follower
    raise AssertionError("no step can be drawn")


def some_bag(chance: random.Random) -> Bag:
    """A bag whose corners match, on no ruler; every fourth is as wide as cloth can be."""
    seam = chance.choice([0.0, 0.0, 7.0])
    side = chance.choice([10.0, 17.0, inch(1 / 4), inch(3 / 8)])
    depth = chance.uniform(60.0, 95.0)
    panel = demo_panel(
        width=chance.choice([5000.0, *(chance.uniform(450.0, 500.0) for _ in range(3))]),
        length=chance.uniform(900.0, 1000.0),
        front_trim=chance.choice([0.0, chance.uniform(20.0, 50.0)]),
        corner_depth=depth,
        corner_width=depth - seam + side,
        side_seam=side,
        bottom_seam=seam,
    )
    zipped = ZipForward(tape_width=inch(1.25), length=inch(22))
    return bare(panel, top=chance.choice([zipped, zipped, Hem()]))


def test_of_all_neighbouring_steps_the_nearest_wins() -> None:
    """Each of 150 bags, by hand: every combination of steps is reckoned from the drawing."""
    chance = random.Random(13)
    followers = Counter()
    for _ in range(150):
        bag = some_bag(chance)
        holds = chance.sample([*AIMS, VOLUME, "corner_cut_width", "corner_cut_depth"], 2)
        if isinstance(bag.top, Hem):
            holds = [each for each in holds if each != "zip_offset"]
        found, step = as_it_is(bag, *holds), chance.choice([1.0, 5.0, 10.0, EIGHTH])
        names = [name for name in PANEL if name not in holds and chance.random() < 0.9]
        if not names:
            continue
        rounded = on_ruler(found, step, names=names)
        least, follower = best_by_hand(found, names, step)
        after = {name: np.array(rounded.result.cut[name] - cut_value(bag, name)) for name in PANEL}
        assert float(missed_by_hand(found, after)) == pytest.approx(least, rel=1e-6, abs=1e-9)
        assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
        off = {
            name
            for name in PANEL
            if rounded.result.cut[name] and (name in names or after[name] != 0.0)
            if abs((value := rounded.result.cut[name]) - round_to_step(value, step)) > 1e-6
        }
        assert set(rounded.off_ruler) == off
        assert off <= {follower}
        followers[follower] += 1
    assert min(followers.values()) > 10 and len(followers) == 3


def test_what_lies_on_the_ruler_stays_where_others_are_as_near() -> None:
    """Without a zip, a length and a trim that grow alike leave every size as it is."""
    panel = demo_panel(
        width=470.0,
        length=980.0,
        front_trim=40.0,
        corner_depth=80.0,
        corner_width=90.0,
        side_seam=10.0,
    )
    bag = bare(panel)
    assert on_ruler(as_it_is(bag), 10.0, names=RULED).result.bag == bag


def test_what_is_nothing_stays_nothing() -> None:
    """A flat bag: neither corners, trim nor volume, held or not, and no pocket or board."""
    panel = demo_panel(
        width=464.0, length=981.7, front_trim=0.0, corner_depth=0.0, corner_width=0.0
    )
    found = as_it_is(bare(panel), "box_volume", "filled_volume", "face_height")
    rounded = on_ruler(found, 10.0, names=RULED)
    assert rounded.result.bag == bare(replace(panel, width=460.0, length=980.0))
    assert rounded.off_ruler == ()


def test_an_allowance_a_hair_off_the_ruler_still_leaves_one_figure_off_it() -> None:
    panel = demo_panel(side_seam=10.002, corner_depth=78.3, corner_width=88.302)
    rounded = on_ruler(as_it_is(bare(panel)), 5.0, names=RULED)
    assert rounded.off_ruler == ("corner_cut_width",)
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("asked", ["corner_cut_width", "corner_cut_depth"])
def test_a_corner_cut_that_was_asked_for_stays_and_the_other_follows(asked: str) -> None:
    # 3/8 in allowances on a 5 mm ruler: either side of the cut is off it.
    found = redesign(demo(), RedesignRequest(wants={asked: 87.3, "face_height": 391.7}))
    rounded = on_ruler(found, 5.0)
    (other,) = {"corner_cut_width", "corner_cut_depth"} - {asked}
    assert rounded.result.cut[asked] == 87.3
    assert rounded.result.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)
    assert rounded.off_ruler == (other,)


def test_a_figure_at_its_end_goes_the_other_way_where_that_is_nearer() -> None:
    """Corners of 82.6 mm cut to 80 mm make a base wider by 5.2 mm, or narrower by 4.8 mm."""
    panel = demo_panel(
        width=5000.0, length=954.5, corner_depth=72.6, corner_width=82.6, side_seam=10.0
    )
    found = as_it_is(bare(panel))
    rounded = on_ruler(found, 10.0, names=RULED)
    assert rounded.result.bag.body.width == 4990.0
    assert rounded.cost["base_width"] == pytest.approx(-4.8)


def test_between_two_limits_a_figure_stays() -> None:
    """As wide as cloth can be, and cut nearly to its middle: no 0.01 mm either way."""
    panel = demo_panel(
        width=5000.0,
        length=4500.3,
        corner_width=2499.995,
        corner_depth=10.0,
        side_seam=2499.995 - 10.0,
    )
    rounded = on_ruler(as_it_is(bare(panel)), 1.0, names=("panel_width", "panel_length"))
    assert rounded.result.bag.body.width == 5000.0


def test_a_ruler_that_is_too_coarse_leaves_the_bag() -> None:
    found = as_it_is(demo(handles=None))
    rounded = on_ruler(found, 10001.0, names=RULED)
    assert rounded.result.bag == found.before
    assert set(rounded.off_ruler) == set(PANEL)


def _loop_for_drop(bag: Bag, drop: float, *, front: bool) -> float:
    """By Pythagoras: half of the free handle, from a stop to its top, over half of the gap."""
    panel, handles = bag.body, bag.parts.get("handles")
    shift = panel.front_trim / 2 if front else -panel.front_trim / 2
    rise = drop + handles.stop - panel.top_seam + bag.site.shows / 2 + shift
    half_free = math.hypot(rise, (handles.gap + handles.width) / 2)
    top = panel.length / 2 - (panel.front_trim if front else 0.0)
    return 4 * (half_free + top - handles.stop)


def _last_strip(bag: Bag, loop: float, strips: int) -> float:
    """Strips lose a quarter of an inch at either end where they are joined."""
    return loop + strips * inch(1 / 2) - (strips - 1) * bag.site.goods("handles").washed_width


@pytest.mark.parametrize("step", [1.0, 5.0, EIGHTH])
@pytest.mark.parametrize("face", [300.0, 333.3, 411.1, 450.0, 487.7])
def test_the_last_strip_is_cut_for_the_panel_on_the_ruler(face: float, step: float) -> None:
    found = redesign(demo(), RedesignRequest(wants={"face_height": face}))
    result = on_ruler(found, step).result
    expected = []
    for name, front in (("handle_drop_front", True), ("handle_drop_back", False)):
        loop = _loop_for_drop(result.bag, found.after.finished[name], front=front)
        last = _last_strip(result.bag, loop, result.bag.parts["handles"].strips)
        expected.append(math.ceil(last / step - 1e-7) * step)
    assert min(abs(result.cut["handle_last_strip"] - each) for each in expected) < 1e-6


def test_a_loop_that_was_asked_for_is_only_rounded() -> None:
    wants = {"handle_loop": 3000.0, "face_height": 391.7, "gusset_depth": 181.3}
    for step in (1.0, 5.0, 0.1):
        found = redesign(demo(), RedesignRequest(wants=wants))
        result = on_ruler(found, step).result
        exactly = _last_strip(found.after.bag, 3000.0, 3)
        assert found.after.cut["handle_last_strip"] == pytest.approx(exactly, abs=1e-6)
        rounded = math.ceil(exactly / step - 1e-7) * step
        assert result.cut["handle_last_strip"] == pytest.approx(rounded, abs=1e-6)


def test_a_last_strip_that_was_asked_for_is_not_rounded() -> None:
    found = redesign(
        demo(), RedesignRequest(wants={"handle_last_strip": 800.3, "face_height": 391.7})
    )
    assert on_ruler(found, 5.0).result.bag.parts["handles"].last_strip == 800.3


def test_a_last_strip_whose_upper_step_is_beyond_its_goods_is_whole() -> None:
    bag = changed(demo(), handle_last_strip=demo().site.goods("handles").washed_width - 3.0)
    for each in (bag, demo()):
        rounded = on_ruler(as_it_is(each), 10.0, names=("handle_last_strip",)).result.bag.parts.get(
            "handles"
        )
        assert (rounded.strips, rounded.last_strip) == (3, None)


@pytest.mark.parametrize(
    ("cut", "drop", "step", "expected"),
    [
        (403.4, 112.6, 1.0, (403.0, 113.0)),
        (403.4, 112.6, 5.0, (405.0, 115.0)),
        (403.4, 112.6, 0.5, (403.5, 112.5)),
        # 18 mm go into the seams: a pocket of 10 mm is none, and a drop of 0 is another pocket.
        (23.0, 0.3, 10.0, (20.0, 10.0)),
        (19.0, 0.3, 15.0, (30.0, 15.0)),
        (19.0, 0.3, 6000.0, (19.0, 0.3)),
    ],
)
def test_a_pocket_is_put_on_the_nearest_step_that_leaves_one(
    cut: float, drop: float, step: float, expected: tuple[float, float]
) -> None:
    bag = demo(pocket=Pocket(cut_height=cut, drop=drop, seam=9.0))
    pocket = on_ruler(as_it_is(bag), step, names=RULED).result.bag.parts.get("pocket")
    assert (pocket.cut_height, pocket.drop) == pytest.approx(expected)


@pytest.mark.parametrize("step", [1.0, 5.0, EIGHTH])
def test_a_board_keeps_its_margin_to_the_room_that_the_ruler_leaves(step: float) -> None:
    """It grows as the base and the gusset do, and is cut down to the step."""

    def down(size: float) -> float:
        return math.floor(size / step + 1e-9) * step

    wants = {"base_width": 262.3, "gusset_depth": 183.7}
    found = redesign(demo(), RedesignRequest(wants=wants))
    before, was = found.after.finished, found.after.bag.parts.get("board")
    for names in (None, RULED, PANEL):
        result = on_ruler(found, step, names=names).result
        for size, old, name in (
            (result.bag.parts["board"].width, was.width, "base_width"),
            (result.bag.parts["board"].depth, was.depth, "gusset_depth"),
        ):
            moved = old + result.finished[name] - before[name]
            assert size == pytest.approx(down(moved), abs=1e-6)
    # A side that is asked for stays, and then the other one is only cut down.
    asked = as_it_is(found.after.bag, "board_width")
    board = on_ruler(asked, step, names=RULED).result.bag.parts.get("board")
    assert (board.width, board.depth) == pytest.approx((was.width, down(was.depth)))
    # Where the panel stays, what is not named stays as well.
    named = on_ruler(as_it_is(found.after.bag), step, names=("board_depth",)).result.bag.parts.get(
        "board"
    )
    assert (named.width, named.depth) == pytest.approx((was.width, down(was.depth)))


def test_the_cost_is_what_the_finished_sizes_differ_by() -> None:
    bag = changed(demo(), panel_width=470.3, corner_cut_depth=77.0, corner_cut_width=86.525)
    for each in (bag, having(bag, top=Hem(), pocket=None, handles=None)):
        found = as_it_is(each)
        rounded = on_ruler(found, 5.0, names=RULED)
        before, after = found.after.finished, rounded.result.finished
        assert rounded.cost.keys() == after.keys()
        # Plane geometry: the base is the panel less its corners, the height a half of the panel
        # less a corner; the side seams stay.
        wider, deeper, longer, trim = (
            rounded.result.cut[name] - found.after.cut[name]
            for name in ("corner_cut_width", "corner_cut_depth", "panel_length", "front_trim")
        )
        broader = rounded.result.cut["panel_width"] - 470.3
        assert rounded.cost["base_width"] == pytest.approx(broader - 2 * wider) != 0.0
        higher = longer / 2 - trim / 2 - deeper
        assert rounded.cost["face_height"] == pytest.approx(higher) != 0.0
        for name, value in rounded.cost.items():
            lacks = before[name] is None
            assert (value is None) == lacks == (after[name] is None)
            assert lacks or value == pytest.approx(after[name] - before[name])
        free = exact(found).cost
        assert free == {name: None if value is None else 0.0 for name, value in before.items()}


@pytest.mark.parametrize(("gusset", "there"), [(10.2, (True, False)), (9.8, (False, True))])
def test_a_size_that_the_ruler_takes_or_gives_has_no_cost(
    gusset: float, there: tuple[bool, bool]
) -> None:
    """Two walls of 5 mm leave nothing inside a gusset of 10 mm, and something in a larger one."""
    step = {10.2: 4.0, 9.8: 6.0}[gusset]
    depth = gusset / 2 - 1.0
    panel = demo_panel(
        width=400.0,
        length=900.0,
        front_trim=30.0,
        corner_seam=1.0,
        side_seam=0.0,
        corner_depth=depth,
        corner_width=depth,
    )
    bag = replace(bare(panel), sandwich=sandwich(layer(thickness=5.0)))
    found = as_it_is(bag)
    rounded = on_ruler(found, step, names=("corner_cut_width", "corner_cut_depth"))
    volumes = (found.after.finished["inside_volume"], rounded.result.finished["inside_volume"])
    assert tuple(each is not None for each in volumes) == there
    assert rounded.cost["inside_volume"] is None


def test_what_a_bag_holds_filled_has_its_cost_told() -> None:
    asked = {"filled_volume": 20.0, "inside_filled_volume": 19.0}
    found = replace(as_it_is(changed(demo(), panel_width=470.3)), filled=asked)
    rounded = on_ruler(found, EIGHTH, names=RULED)
    held = capacity(rounded.result.bag)
    assert rounded.cost["filled_volume"] == pytest.approx(held.filled - 20.0)
    assert rounded.cost["inside_filled_volume"] == pytest.approx(held.inside_filled - 19.0)
    open_top = replace(as_it_is(demo(top=Hem())), filled=asked)
    assert on_ruler(open_top, EIGHTH, names=RULED).cost["filled_volume"] is None


def test_without_a_ruler_slivers_are_told() -> None:
    found = replace(as_it_is(demo()), slivers=("front_trim",), filled={"filled_volume": 20.0})
    assert exact(found).slivers == ("front_trim",)
    assert exact(found).cost["filled_volume"] == 0.0
