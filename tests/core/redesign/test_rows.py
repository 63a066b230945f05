"""The rows of the pattern model, against closed formulas that are worked by hand.

The formulas: those of `tests.core.redesign.judge`, and the limits that each part states.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
import pytest

from core.bag.bag import Bag, cut_value
from core.bag.compute import measure_walls
from core.base.errors import FieldError
from core.model.figures import TakeUp
from core.parts.handles.figures import HandleStyle
from core.redesign.filled_volume import Laws, law_of
from core.redesign.linear_model import Constraint, LinearModel, can_be_filled, measure_model
from tests.core.redesign.chance import draw_requests
from tests.core.redesign.judge import UNKNOWNS, Judge
from tests.helpers import changed, demo, having, inch

PANEL = ("panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth")
POCKET, LOOP = "pocket_cut_height", "handle_loop"
EVERY = {"pocket_height": 1.0, "handle_loop": 1.0}
SEPARATE = replace(demo().parts["handles"], style=HandleStyle.SEPARATE, strips=1)
COMPARTMENTS = frozenset({"pocket_side_compartment", "pocket_middle_compartment"})


def values_at(rows: LinearModel, x: np.ndarray) -> dict[str, float]:
    """The unknowns and other cut figures at x, by name."""
    return dict(zip(rows.names, x.tolist(), strict=True))


@pytest.mark.parametrize("seed", [3, 4, 5])
def test_each_row_is_the_closed_formula(seed: int) -> None:
    chance = np.random.default_rng(seed)
    bags = {id(asked.bag): asked.bag for asked in draw_requests(seed, 12)}
    measured = 0
    for bag in bags.values():
        other = {
            "side_seam": bag.body.side_seam + 0.5,
            "handle_gap": bag.parts["handles"].gap + 1.0,
            "handle_stop": bag.parts["handles"].stop - 1.0,
        }
        rows = measure_model(bag, {**EVERY, **other})
        for _ in range(2):
            x = rows.start * chance.uniform(0.97, 1.03, len(rows.start))
            values = values_at(rows, x)
            judge = Judge(bag, {name: values[name] for name in other})
            there = np.array([values.get(name, judge.now[name]) for name in UNKNOWNS])
            told = judge.figures(there)
            assert told.keys() >= rows.lengths.keys() - {"pocket_middle_compartment"}
            for name, row in rows.lengths.items():
                expected = told.get(name, values["handle_gap"])
                assert row.at(x) == pytest.approx(expected, abs=1e-6), name
            for name, volume in rows.volumes.items():
                assert volume.at(x) == pytest.approx(max(told[name], 0.0), rel=1e-6), name
            for face in ("front", "back"):
                drop = rows.straps[f"handle_drop_{face}"]
                free, half_gap = drop.free.at(x), drop.half_gap.at(x)
                assert free - half_gap == pytest.approx(told[f"span {face}"], abs=1e-6)
                taut = np.sqrt(max(free**2 - half_gap**2, 0.0)) if free > 0 else 0.0
                assert taut - drop.rise.at(x) == pytest.approx(told[f"handle_drop_{face}"])
            if judge.room(there, {}).min() <= 0.0:
                continue
            # There is such a bag, and it measures as its rows say.
            now = measure_walls(rows.at(x, {}))
            for name, row in rows.lengths.items():
                if now[name] is not None:
                    assert row.at(x) == pytest.approx(now[name], abs=1e-6), name
                    measured += 1
    assert measured > 200


@pytest.mark.parametrize(("wanted", "names"), [
    ({}, PANEL),
    ({"base_width": 300.0}, PANEL),
    ({"panel_width": 300.0}, PANEL),
    ({"pocket_height": 100.0}, (*PANEL, POCKET)),
    ({POCKET: 100.0}, (*PANEL, POCKET)),
    ({LOOP: 100.0}, (*PANEL, LOOP)),
    ({"handle_drop_front": 100.0}, (*PANEL, LOOP)),
    ({"handle_drop_back": 100.0, "pocket_height": 100.0}, (*PANEL, POCKET, LOOP)),
    ({"handle_gap": 100.0, "side_seam": 5.0}, (*PANEL, "handle_gap", "side_seam")),
    # What it is already needs no change; the loop stands for its strips.
    ({"handle_gap": inch(5)}, PANEL),
    ({"handle_strips": 5.0, "handle_last_strip": 500.0, "goods_width": 1200.0}, PANEL),
    ({"bottom_seam": 3.0, "board_width": 200.0}, (*PANEL, "bottom_seam", "board_width")),
])  # fmt: skip
def test_what_is_unknown(wanted: Mapping[str, float], names: tuple[str, ...]) -> None:
    rows = measure_model(demo(), wanted)
    assert rows.names == names
    assert rows.free == len([name for name in names if name in (*PANEL, POCKET, LOOP)])
    now = [3 * (inch(42) - inch(0.5)) if n == LOOP else cut_value(demo(), n) for n in names]
    assert rows.start == pytest.approx(now)


def test_what_the_bag_has_not_got_is_no_unknown() -> None:
    bag = demo(board=None, handles=None, pocket=None)
    rows = measure_model(bag, {"board_width": 200.0, "handle_gap": 100.0, POCKET: 300.0})
    assert rows.names == PANEL
    assert rows.straps == {}
    assert set(rows.volumes) == {"box_volume", "inside_volume"}


def test_other_cut_figures_are_given_beside_the_unknowns() -> None:
    rows = measure_model(demo(), {"handle_drop_front": 100.0})
    x = rows.start.copy()
    x[0], x[5] = 480.0, 2000.0
    bag = rows.at(x, {"panel_width": 999.0, "handle_gap": 100.0, "front_trim": 1.0})
    assert (bag.body.width, bag.parts["handles"].gap) == (480.0, 100.0)
    assert bag.parts["handles"].loop(bag.site) == pytest.approx(2000.0)
    x[2] = 0.004  # no length
    assert rows.at(x, {}).body.front_trim == 0.0


Sides = Callable[[dict[str, float]], tuple[float, float]]
LESS, LEAST, MOST = (
    "it must be less than ",
    "it must be at least {limit}.",
    "it must be at most {limit}.",
)
ROOM = "it must leave room inside the wall, at least {limit}."
HAIR = 2e-6
"""mm; strictly within a limit, by the tolerance of lengths and as much again."""
S = inch(0.375)
"""Every seam of the demo."""


def front(v: Mapping[str, float]) -> float:
    """Cut top edge of the front above the bottom line."""
    return v["panel_length"] / 2 - v["front_trim"]


def base(v: Mapping[str, float]) -> float:
    return v["panel_width"] - 2 * (v["corner_cut_width"] + S)


def deep(v: Mapping[str, float]) -> float:
    return 2 * (v["corner_cut_depth"] + S)


def face(v: Mapping[str, float]) -> float:
    around = v["panel_length"] - v["front_trim"] - 2 * S + inch(0.5)
    return (around - deep(v)) / 2


def pocket_foot(v: Mapping[str, float]) -> float:
    return inch(4.5) + v[POCKET] / 2 - S


# Figure, words, needed for, least room, and by the unknowns: value and bound.
Limits = list[tuple[str, str, frozenset[str], float, Sides]]
NONE = frozenset[str]()
PANEL_LIMITS: Limits = [
    ("front_trim", LESS + "the back, {limit}.", NONE, HAIR,
     lambda v: (v["front_trim"], v["panel_length"] / 2)),
    ("zip_seam", LESS + "the front, {limit}.", NONE, HAIR, lambda v: (S, front(v))),
    ("side_seam", LESS + "half the panel, {limit}.", NONE, HAIR,
     lambda v: (v["side_seam"], v["panel_width"] / 2)),
    ("corner_cut_width", LESS + "half the panel, {limit}.", NONE, HAIR,
     lambda v: (v["corner_cut_width"], v["panel_width"] / 2)),
    ("corner_cut_depth", LESS + "the front, {limit}.", NONE, HAIR,
     lambda v: (v["corner_cut_depth"], front(v))),
    ("pocket_cut_height", "it must be more than twice the pocket seam, {limit}.", NONE, HAIR,
     lambda v: (v[POCKET], 2 * S)),
    ("handle_stop", LESS + "the front, {limit}.", NONE, HAIR, lambda v: (inch(5), front(v))),
]  # fmt: skip
LOOP_LIMITS: Limits = [
    ("pocket_drop", "it must keep the pocket above the legs' lower end, within {limit}.",
     COMPARTMENTS, HAIR, lambda v: (inch(4.5), front(v))),
]  # fmt: skip
LEG_LIMITS: Limits = [
    ("handle_leg", "it must end above the bottom, within {limit}.", NONE, 0.0,
     lambda v: (inch(6), front(v) - inch(5))),
    ("handle_back_lower", "it must leave the legs of the back above the bottom, within {limit}.",
     NONE, 0.0, lambda v: (0.0, v["panel_length"] / 2 - inch(11))),
    ("pocket_drop", "it must keep the pocket above the legs' lower end, within {limit}.",
     COMPARTMENTS, 0.0, lambda v: (pocket_foot(v), inch(11))),
]  # fmt: skip
LAST_LIMITS: Limits = [
    ("handle_gap", "it must leave both legs between the sides of the face, within {limit}.",
     COMPARTMENTS, HAIR,
     lambda v: (v["handle_gap"], v["panel_width"] - 2 * v["side_seam"] - inch(2.5))),
    ("handle_stop", "it must end above the pocket's lower edge, within {limit}.",
     COMPARTMENTS, HAIR, lambda v: (inch(5), pocket_foot(v))),
    ("base_width", LEAST, frozenset({"box_volume"}), 0.0, lambda v: (base(v), 0.0)),
    ("gusset_depth", LEAST, frozenset({"box_volume"}), 0.0, lambda v: (deep(v), 0.0)),
    ("face_height", LEAST, frozenset({"box_volume"}), 0.0, lambda v: (face(v), 0.0)),
    # Two layers of half a millimetre: twice across and deep, and once at the bottom.
    ("base_width", ROOM, frozenset({"inside_volume"}), 0.0, lambda v: (base(v), 2.0)),
    ("gusset_depth", ROOM, frozenset({"inside_volume"}), 0.0, lambda v: (deep(v), 2.0)),
    ("face_height", ROOM, frozenset({"inside_volume"}), 0.0, lambda v: (face(v), 1.0)),
]  # fmt: skip
OWN: Limits = [
    limit
    for name, low, high in (
        ("panel_width", 0.01, 5000.0), ("panel_length", 0.01, 10_000.0),
        ("front_trim", 0.0, 5000.0), ("corner_cut_width", 0.0, 5000.0),
        ("corner_cut_depth", 0.0, 5000.0), (POCKET, 0.01, 5000.0),
        ("side_seam", 0.0, 5000.0), ("handle_gap", 0.0, 5000.0),
    )
    for limit in (
        (name, LEAST, NONE, 0.0, lambda v, name=name, low=low: (v[name], low)),
        (name, MOST, NONE, 0.0, lambda v, name=name, high=high: (v[name], high)),
    )
]  # fmt: skip


@pytest.mark.parametrize("separate", [False, True])
def test_each_limit_is_a_rule(separate: bool) -> None:
    bag = demo(handles=SEPARATE) if separate else demo()
    rows = measure_model(bag, {**EVERY, "side_seam": 9.0, "handle_gap": 100.0})
    limits = [*OWN, *PANEL_LIMITS, *(LEG_LIMITS if separate else LOOP_LIMITS), *LAST_LIMITS]
    assert_rules(rows, rows.rules, limits)


def assert_rules(rows: LinearModel, rules: tuple[Constraint, ...], limits: Limits) -> None:
    """These rules and no others: told at two places."""
    left = list(rules)
    for name, words, only_for, least, sides in limits:
        found = [r for r in left if (r.name, r.rule, r.only_for) == (name, words, only_for)]
        assert len(found) == 1, (name, words, only_for)
        (rule,) = found
        left.remove(rule)
        assert rule.least == pytest.approx(least, abs=1e-9), name
        for share in (1.0, 1.05):
            x = rows.start * share
            value, bound = sides(values_at(rows, x))
            above = words.startswith((LEAST, ROOM, "it must be more", "what the bag holds"))
            assert rule.value.at(x) == pytest.approx(value, abs=1e-6), name
            assert rule.bound.at(x) == pytest.approx(bound, abs=1e-6), name
            room = value - bound if above else bound - value
            assert rule.room.at(x) == pytest.approx(room, abs=1e-6), name
    assert left == []


@pytest.mark.parametrize(("trim", "room"), [
    (0.0, 0.005),
    # By a millimetre alone: a hundredth is left, on one side or both.
    (0.5, 0.5), (0.5, 0.005), (0.0, 0.5),
    (40.0, 0.5),
])  # fmt: skip
def test_a_bag_without_neighbours_is_measured_from_beside_it(trim: float, room: float) -> None:
    """Hardly a front trim, and corners cut to a hair of the top: neither more trim nor less."""
    # No panel is wider than 5 m, so that the first that is tried is no bag.
    bag = changed(demo(pocket=None, board=None), front_trim=trim, panel_width=4995.0)
    top = inch(38.5) / 2 - trim
    tight = changed(bag, corner_cut_depth=top - room)
    wanted = {"handle_loop": 1.0}
    there, plain = measure_model(tight, wanted), measure_model(bag, wanted)
    assert there.start[4] == pytest.approx(top - room)
    assert there.lengths.keys() == plain.lengths.keys()
    for name, row in plain.lengths.items():
        assert there.lengths[name].slope == pytest.approx(row.slope, abs=1e-9), name
        assert there.lengths[name].base == pytest.approx(row.base, abs=1e-6), name


def test_where_there_is_no_bag_beside_it_that_is_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def none(bag: Bag, values: Mapping[str, float]) -> Bag:
        raise FieldError("No.", field="panel_width", value=None)

    monkeypatch.setattr("core.redesign.linear_model.bag_with", none)
    with pytest.raises(FieldError, match=r"^No\.$"):
        measure_model(demo(), {})


# --- What is filled ----------------------------------------------------------------------

ONLY = "what the bag holds can be worked out only from {limit} up."
OVER = "what the bag holds over its board can be worked out only from {limit} up."
FILLED = frozenset({"filled_volume"})


def laws_of(bag: Bag, reach: float = np.inf) -> Laws:
    """A law of the filled volume that is right at this bag."""
    now = measure_walls(bag)
    names = ("base_width", "gusset_depth", "gusset_depth_at_side", "face_height")
    powers = dict.fromkeys(names, 0.8)
    law = law_of(18.0, {name: now[name] for name in names}, powers, powers)
    return {"filled_volume": replace(law, reach=reach)}


@pytest.mark.parametrize("board", [True, False])
def test_what_a_filled_bag_keeps_to(board: bool) -> None:
    bag = demo() if board else demo(board=None)
    rows = measure_model(bag, {}, laws_of(bag))
    plain = measure_model(bag, {})
    assert rows.volumes["filled_volume"].at(rows.start) == pytest.approx(18.0)
    limits: Limits = [
        ("base_width", ONLY, FILLED, 0.0, lambda v: (base(v), 10.0)),
        ("face_height", ONLY, FILLED, 0.0, lambda v: (face(v), 10.0)),
        ("gusset_depth", LEAST, FILLED, 0.0, lambda v: (deep(v), 0.0)),
        ("gusset_depth_at_side", LEAST, FILLED, 0.0, lambda v: (2 * v["corner_cut_width"], 0.0)),
    ]
    more = [rule for rule in rows.rules if rule.only_for == FILLED and rule.rule == OVER]
    # A quarter's wall is the face, and over half of its base, half of the gusset, at least 1.03.
    assert len(more) == (2 if board else 0)
    for rule, edge in zip(more, (deep, lambda v: 2 * v["corner_cut_width"]), strict=False):
        v = values_at(rows, rows.start * 1.02)
        assert (rule.name, rule.least) == ("face_height", 1e-4)
        assert rule.value.at(rows.start * 1.02) == pytest.approx(face(v))
        assert rule.bound.at(rows.start * 1.02) == pytest.approx(1.03 / 2 * edge(v))
        assert rule.room.at(rows.start * 1.02) == pytest.approx(face(v) - 1.03 / 2 * edge(v))
    rules = [rule for rule in rows.rules if rule.only_for == FILLED and rule.rule != OVER]
    assert len(rules) + len(more) + len(plain.rules) == len(rows.rules)
    assert_rules(rows, tuple(rules), limits)


def test_laws_are_trusted_near_the_bag_where_they_are_right() -> None:
    """Up to twice and half of a size; a small one counts as a tenth of the largest, or nothing."""
    bag = changed(demo(board=None), corner_cut_depth=2.0, front_trim=0.0)
    laws = laws_of(bag, reach=2.0)
    rows = measure_model(bag, {}, laws)
    found = [rule for rule in rows.rules if not rule.name]
    at_side = 2 * inch(3.375)
    v = values_at(rows, rows.start)
    sizes = [base(v), deep(v), at_side, face(v)]
    tenth = max(sizes) / 10
    assert deep(v) < tenth < min(base(v), at_side)
    ends = [(size / 2, 2 * size) if size > tenth else (0.0, 2 * tenth) for size in sizes]
    assert len(found) == 8
    for size, (low, high), least, most in zip(sizes, ends, found[::2], found[1::2], strict=True):
        for rule, room, bound in ((least, size - low, low), (most, high - size, high)):
            assert rule.only_for == FILLED
            assert (rule.rule, rule.least) == ("", 0.0)
            assert rule.room.at(rows.start) == pytest.approx(room)
            assert rule.value.at(rows.start) == pytest.approx(size)
            assert rule.bound.at(1.1 * rows.start) == pytest.approx(bound)
            assert rule.room.slope == pytest.approx(
                rule.value.slope if rule is least else -rule.value.slope
            )
    assert [r for r in measure_model(bag, {}, laws_of(bag)).rules if not r.name] == []
    # A pillow has no corners that could grow.
    pillow = changed(bag, corner_cut_width=0.0, corner_cut_depth=0.0)
    rules = measure_model(pillow, {}, laws_of(pillow, reach=2.0)).rules
    assert len([rule for rule in rules if not rule.name]) == 4


def test_rules_of_what_is_filled_say_of_which_bags_it_is_told() -> None:
    bag = demo(board=None)
    trusted, near = laws_of(bag), laws_of(bag, reach=1.5)
    assert can_be_filled(changed(bag, corner_cut_width=inch(9.1)), {})
    for told, changes in (
        (True, {}),
        (True, {"corner_cut_width": (inch(18.5) - 2 * S - 10.001) / 2}),  # a base of 10 mm
        (False, {"corner_cut_width": (inch(18.5) - 2 * S - 9.999) / 2}),
        (True, {"corner_cut_depth": 0.0}),
        (True, {"panel_length": inch(1.5) + inch(0.25) + inch(6.75) + 20.002, "handle_stop": 10}),
        (False, {"panel_length": inch(1.5) + inch(0.25) + inch(6.75) + 19.998, "handle_stop": 10}),
    ):
        other = changed(demo(board=None, pocket=None), **changes)
        assert can_be_filled(other, trusted) is told, changes
    # An edge along the side that comes out at less than nothing.
    assert not can_be_filled(changed(bag, corner_cut_width=0.0, side_seam=S + 20.0), trusted)
    assert can_be_filled(changed(bag, panel_width=inch(20)), near)
    assert not can_be_filled(changed(bag, panel_width=inch(30)), near)


@pytest.mark.parametrize("take_up", [TakeUp(), TakeUp(up=0.9), TakeUp(deep=0.8)])
def test_over_a_board_it_is_told_from_a_wall_on(take_up: TakeUp) -> None:
    """1.03 of half the gusset as drawn; as sewn each is taken up in its own direction."""
    bag = replace(demo(), take_up=take_up)
    over = 1.03 / 2 * take_up.up / take_up.deep
    now = measure_walls(bag)
    lost = now["face_height"] - over * now["gusset_depth"]
    # A ten-thousandth of a millimetre above it, to be sure.
    for less, told in ((lost - 2e-4, True), (lost - 5e-5, False)):
        # A shorter panel takes half of that from each face.
        other = changed(bag, panel_length=inch(38.5) - 2 * less / take_up.up, handle_stop=10.0)
        assert can_be_filled(other, laws_of(bag)) is told
    assert can_be_filled(having(other, board=None), laws_of(bag))
    # Where the edges of a corner differ the shorter one decides.
    for name in ("corner_cut_width", "corner_cut_depth"):
        less = changed(other, **{name: (cut_value(other, name) or 0.0) - 1.0})
        assert can_be_filled(less, laws_of(bag))
