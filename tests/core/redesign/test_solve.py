"""Redesign against closed formulas, an independent optimiser, and itself."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares, minimize

from core.bag import cut_value
from core.bagfile import demo_bag
from core.compute import compute
from core.errors import FieldError
from core.parts.closure import OpenTop
from core.redesign.solve import redesign
from core.redesign.wants import ConflictError, Request, label_of
from tests.helpers import bare, changed, demo, inch
from tests.strategies import Wanted, sewable_bags, wanted

SIZES = ("base_width", "gusset_depth", "face_height", "zip_offset")


def _sizes(want: Wanted) -> dict[str, float]:
    sizes = {"base_width": want.base, "gusset_depth": want.depth, "face_height": want.face}
    return sizes | ({"zip_offset": want.offset} if want.zip_width else {})


@settings(max_examples=60)
@given(wanted(), st.data())
def test_finished_sizes_give_the_closed_inverse(start: Wanted, data: st.DataObject) -> None:
    # Closed inverse: d = D/2 - s2, b = d + s4, a = d + s1, W = base + 2 (a + s2),
    # t = 2 * offset, L = 2 face + D + 2 s3 - z + t + 2 s4.
    other = data.draw(wanted())
    goal = replace(
        start,
        base=other.base,
        depth=max(other.depth, 2 * start.corner + 2),
        face=other.face,
        offset=other.offset if start.zip_width else 0.0,
    )
    bag = bare(start.panel(), closure=start.closure())
    after = redesign(bag, Request(wants=_sizes(goal))).after
    for name, value in zip(
        ("width", "length", "front_trim", "corner_width", "corner_depth"),
        _cut(goal),
        strict=True,
    ):
        assert getattr(after.bag.panel, name) == pytest.approx(value, abs=1e-6)
    for name, value in _sizes(goal).items():
        assert after.finished[name] == pytest.approx(value, abs=1e-6)
    assert after.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def _cut(goal: Wanted) -> tuple[float, ...]:
    panel = goal.panel()
    return (
        panel.width, panel.length, panel.front_trim, panel.corner_width, panel.corner_depth
    )  # fmt: skip


@settings(max_examples=40)
@given(sewable_bags())
def test_asking_for_the_present_sizes_changes_nothing(bag: object) -> None:
    now = compute(bag).finished
    wants = {name: now[name] for name in SIZES if now[name] is not None}
    found = redesign(bag, Request(wants=wants))
    assert found.change == pytest.approx(0.0, abs=1e-12)
    for name, value in compute(bag).cut.items():
        if value is not None and not name.startswith("board"):
            assert found.after.cut[name] == pytest.approx(value, abs=1e-6)


# --- An independent reference ------------------------------------------------------------


@dataclass(frozen=True)
class Formulas:
    """The closed formulas of a folded, zipped bag, for the reference only."""

    side: float
    corner: float
    top: float
    zip_width: float

    def figures(self, x: np.ndarray) -> dict[str, float]:
        w, length, t, a, b = x
        c = length - t - 2 * self.top + self.zip_width
        base, gusset = w - 2 * (a + self.corner), 2 * (b + self.corner)
        face = c / 2 - (b + self.corner)
        return {
            "panel_width": w, "panel_length": length, "front_trim": t,
            "corner_cut_width": a, "corner_cut_depth": b,
            "base_width": base, "gusset_depth": gusset, "face_height": face,
            "zip_offset": t / 2, "opening_width": w - 2 * self.side,
            "corner_mismatch": 2 * (a - self.side - b),
            "box_volume": base * gusset * face / 1e6,
        }  # fmt: skip


AIMS = ("base_width", "gusset_depth", "face_height", "zip_offset", "corner_mismatch")
CHOICES = (
    "base_width", "gusset_depth", "face_height", "zip_offset", "opening_width", "box_volume",
    "panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth",
)  # fmt: skip


def _reference(targets: dict[str, float]) -> tuple[bool, float]:
    """(feasible, objective) by scipy's least_squares and SLSQP."""
    bag = demo()
    model = Formulas(inch(0.375), inch(0.375), inch(0.375), inch(0.5))
    names = ("panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth")
    x0 = np.array([cut_value(bag, name) for name in names])
    home = model.figures(x0)
    scales = {name: max(abs(home[name]), 25.0) for name in AIMS}

    def objective(y: np.ndarray) -> float:
        now = model.figures(y * 100)
        return sum(((now[name] - home[name]) / scales[name]) ** 2 for name in AIMS)

    def misses(y: np.ndarray) -> np.ndarray:
        now = model.figures(y * 100)
        return np.array([(now[name] - value) / 100 for name, value in targets.items()])

    generator = np.random.default_rng(1)
    for attempt in range(3):
        start = x0 / 100 * (1 + 0.1 * attempt * generator.uniform(-1, 1, 5))
        met = least_squares(misses, start, bounds=(0, 100), xtol=1e-15, gtol=1e-15, max_nfev=1000)
        if np.abs(misses(met.x)).max() > 1e-7:
            continue
        # SLSQP stumbles over conditions that say the same twice: give it each once.
        rows = _independent(met.jac)
        found = minimize(
            objective, met.x, method="SLSQP", bounds=[(0, 100)] * 5,
            constraints={"type": "eq", "fun": lambda y, rows=rows: misses(y)[rows]},
            options={"maxiter": 300, "ftol": 1e-15},
        )  # fmt: skip
        if np.abs(misses(found.x)).max() < 1e-6:
            return True, float(found.fun)
    return False, math.inf


def _independent(matrix: np.ndarray) -> list[int]:
    rows: list[int] = []
    for row in range(len(matrix)):
        if np.linalg.matrix_rank(matrix[[*rows, row]], tol=1e-5) == len(rows) + 1:
            rows.append(row)
    return rows


def _random_request(generator: np.random.Generator) -> Request:
    """One to three wants near the demo's own sizes, up to three holds."""
    names = list(generator.permutation(CHOICES))
    now = {**compute(demo()).finished, **compute(demo()).cut}
    wants = {}
    for name in names[: generator.integers(1, 4)]:
        factor = generator.uniform(0.9, 1.1)
        wants[str(name)] = float(now[name]) * factor
    holds = names[len(wants) : len(wants) + int(generator.integers(0, 4))]
    return Request(wants=wants, holds=frozenset(map(str, holds)))


def test_agrees_with_an_independent_optimiser() -> None:
    # Reference: scipy.optimize, least_squares for feasibility and SLSQP for the optimum,
    # on the closed formulas.
    generator = np.random.default_rng(20)
    counts = {True: 0, False: 0}
    now = {**compute(demo()).finished, **compute(demo()).cut}
    for _ in range(220):
        request = _random_request(generator)
        targets = {"corner_mismatch": 0.0} | {name: now[name] for name in request.holds}
        targets |= request.wants
        feasible, objective = _reference(targets)
        try:
            found = redesign(demo(), request)
        except ConflictError:
            assert not feasible, (request, objective)
            counts[False] += 1
            continue
        counts[True] += 1
        assert feasible, request
        assert found.change == pytest.approx(objective, abs=1e-6), request
    assert min(counts.values()) >= 30, counts


# --- What the maker is told -------------------------------------------------------------


def test_a_bag_of_more_depth_keeps_its_base_and_face() -> None:
    found = redesign(demo(), Request(wants={"gusset_depth": inch(7.75)}))
    panel = found.after.bag.panel
    assert panel.corner_depth == pytest.approx(inch(3.5), abs=1e-6)
    assert panel.corner_width == pytest.approx(inch(3.875), abs=1e-6)
    assert found.after.finished["base_width"] == pytest.approx(inch(11), abs=1e-6)
    assert found.after.finished["face_height"] == pytest.approx(inch(15), abs=1e-6)


def test_what_alone_can_be_released_is_not_one_of_several() -> None:
    with pytest.raises(ConflictError) as caught:
        redesign(
            demo(),
            Request(wants={"handle_drop_front": inch(16)}, holds=frozenset({"handle_drop_back"})),
        )
    assert str(caught.value).endswith("; release “Handle drop, back”.")


def test_names_the_three_that_fight() -> None:
    holds = frozenset({"base_width", "opening_width", "zip_offset"})
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), Request(wants={"gusset_depth": inch(7.75)}, holds=holds))
    assert set(caught.value.names) == {
        "corner_mismatch", "base_width", "gusset_depth", "opening_width"
    }  # fmt: skip
    text = str(caught.value)
    assert text.endswith("release one of “Base width”, “Opening width”, matched corners.")
    assert "Zip offset" not in text


def test_wants_that_only_matched_corners_forbid_say_so() -> None:
    wants = {"gusset_depth": inch(7.75), "base_width": inch(11), "opening_width": inch(17.75)}
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), Request(wants=wants))
    assert str(caught.value).endswith(", or release matched corners.")
    assert caught.value.names[-1] == "corner_mismatch"


def test_a_volume_is_had_at_a_narrow_opening() -> None:
    # One pattern that has both, found by hand: W = O + 2 s1 and a depth of about half of O.
    wants = {"box_volume": 16.0, "opening_width": inch(12)}
    after = redesign(demo_bag(), Request(wants=wants)).after
    assert after.finished["box_volume"] == pytest.approx(16.0, rel=1e-9)
    assert after.finished["opening_width"] == pytest.approx(inch(12), abs=1e-6)
    assert after.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("depth", "most", "limit", "at"),
    [
        # a = D/2 - s2 + s1 < W/2 and W = O + 2 s1, so that D < O + 2 s2: no cut is so wide.
        (13.0, 12.75, "corner_cut_width", 6.375),
        # base = O - D: at 12 1/4 in there is, but it leaves no box.
        (12.25, 12.0, "base_width", 0.0),
    ],
)
def test_a_refusal_tells_the_limit_that_is_reached(
    depth: float, most: float, limit: str, at: float
) -> None:
    wants = {"gusset_depth": inch(depth), "opening_width": inch(12), "box_volume": 4.0}
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), Request(wants=wants))
    bound = caught.value.bound
    assert bound is not None
    assert (bound.figure, bound.at_most, bound.limit) == ("gusset_depth", True, limit)
    assert bound.value == pytest.approx(inch(most), abs=1e-3)
    assert bound.limit_value == pytest.approx(inch(at), abs=1e-3)
    told = str(caught.value)
    assert told.startswith("“Gusset depth” can be at most ")
    assert f": “{label_of(limit)}” is then " in told


def test_a_hair_within_its_limit_a_volume_is_had() -> None:
    wants = {"gusset_depth": inch(12) - 0.1, "opening_width": inch(12), "box_volume": 0.1}
    found = redesign(demo(), Request(wants=wants)).after.finished
    assert found["box_volume"] == pytest.approx(0.1, rel=1e-8)


def test_both_volumes_leave_each_other_a_range() -> None:
    # The wall (1 mm) makes a box smaller: least where base = depth = 2 height nearly.
    with pytest.raises(ConflictError) as caught:
        redesign(demo(), Request(wants={"box_volume": 16.0, "inside_volume": 15.9}))
    bound = caught.value.bound
    assert bound is not None
    height = np.linspace(100.0, 300.0, 100_001)
    side = np.sqrt(16e6 / height)
    most = float(((side - 2.0) ** 2 * (height - 1.0)).max()) / 1e6
    assert bound.value == pytest.approx(most, rel=1e-6)
    for share, had in ((0.9999, True), (1.0001, False)):
        request = Request(wants={"box_volume": 16.0, "inside_volume": most * share})
        if had:
            assert redesign(demo(), request).after.finished["inside_volume"]
        else:
            with pytest.raises(ConflictError):
                redesign(demo(), request)


def test_a_plain_pillow_is_given_corners_where_a_volume_needs_them() -> None:
    pillow = changed(demo(board=None), corner_cut_width=0, corner_cut_depth=0)
    found = redesign(pillow, Request(wants={"box_volume": 10.0})).after.finished
    assert found["box_volume"] == pytest.approx(10.0, rel=1e-9)


def test_unpinned_corners_may_part() -> None:
    holds = frozenset({"base_width", "opening_width"})
    request = Request(wants={"gusset_depth": inch(7.75)}, holds=holds, matched=False)
    found = redesign(demo(), request).after
    assert found.finished["corner_mismatch"] == pytest.approx(-inch(1), abs=1e-6)
    assert "corner-edges-differ" in {finding.code for finding in found.findings}


def test_pins_stay_exactly() -> None:
    holds = frozenset({"panel_width", "front_trim"})
    found = redesign(demo(), Request(wants={"box_volume": 20.0}, holds=holds)).after
    assert found.bag.panel.width == demo().panel.width
    assert found.bag.panel.front_trim == demo().panel.front_trim
    assert found.finished["box_volume"] == pytest.approx(20.0, abs=1e-7)


def test_the_board_keeps_its_margin() -> None:
    found = redesign(demo(), Request(wants={"base_width": inch(10), "gusset_depth": inch(7)}))
    board = found.after.bag.board
    # 11 - 10 1/8 and 6 3/4 - 5 7/8 were left: 7/8 both ways.
    assert board.width == pytest.approx(inch(9.125), abs=1e-6)
    assert board.depth == pytest.approx(inch(6.125), abs=1e-6)


@pytest.mark.parametrize(("drop", "strips"), [(9, 3), (15, 4), (1, 2)])
def test_a_handle_drop_counts_its_strips(drop: float, strips: int) -> None:
    found = redesign(demo(), Request(wants={"handle_drop_front": inch(drop)})).after
    assert found.finished["handle_drop_front"] == pytest.approx(inch(drop), abs=1e-6)
    assert found.bag.handles.strips == strips
    assert all(length <= inch(42) for length in found.bag.handles.strip_lengths(found.bag.site))
    assert found.bag.panel == demo().panel


def test_a_pillow_can_be_given_a_bottom() -> None:
    pillow = changed(demo(board=None), corner_cut_width=0, corner_cut_depth=0)
    found = redesign(pillow, Request(wants={"gusset_depth": inch(4)})).after
    assert found.finished["gusset_depth"] == pytest.approx(inch(4), abs=1e-6)
    assert found.finished["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def test_wants_that_make_a_stop_are_shown_with_it() -> None:
    found = redesign(demo(), Request(wants={"base_width": inch(6)})).after
    assert "handle-over-corner" in {finding.code for finding in found.findings}


@pytest.mark.parametrize(
    ("wants", "holds", "error", "said"),
    [
        ({"shoe_size": 9.0}, (), FieldError, "shoe_size"),
        ({"base_width": math.nan}, (), FieldError, "Base width"),
        ({"base_width": math.inf}, (), FieldError, "Base width"),
        ({"base_width": -1.0}, (), FieldError, "Base width"),
        ({"base_width": 1e7}, (), FieldError, "Base width"),
        ({"panel_width": 0.0}, (), FieldError, "Panel width"),
        ({"face_height": 9000.0}, (), ConflictError, "Face height"),
        ({"base_width": 300.0}, ("no_such",), FieldError, "no_such"),
        ({"base_width": inch(20), "panel_width": inch(18)}, (), ConflictError, "Panel width"),
    ],
)
def test_impossible_wishes_are_refused_in_words(
    wants: dict[str, float], holds: tuple[str, ...], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        redesign(demo(), Request(wants=wants, holds=frozenset(holds)))


def test_an_open_top_has_no_zip_to_want() -> None:
    with pytest.raises(FieldError, match="Zip offset"):
        redesign(demo(closure=OpenTop()), Request(wants={"zip_offset": 10.0}))


def test_a_size_of_nothing_may_carry_the_dust_of_a_sum() -> None:
    # -3e-15 mm was measured as the zip offset of a bag without a front trim.
    flat = changed(demo(), front_trim=0.0)
    found = redesign(flat, Request(wants={"zip_offset": -3e-15}))
    assert found.after.finished["zip_offset"] == pytest.approx(0.0, abs=1e-6)
    with pytest.raises(FieldError, match=r"must be 0 or at least 0\.01 mm"):
        redesign(flat, Request(wants={"zip_offset": -1e-3}))
    with pytest.raises(FieldError, match="between 0 mm and"):
        redesign(flat, Request(wants={"zip_offset": -0.01}))


def test_a_solved_length_carries_no_dust() -> None:
    found = redesign(demo_bag(), Request(wants={"gusset_depth": inch(7.75)})).after.bag
    assert (found.panel.corner_depth, found.panel.corner_width) == (88.9, 98.425)
    assert found.panel.width == 495.3


@pytest.mark.parametrize(("want", "hold"), [
    ({"handle_drop_front": inch(20)}, {"handle_loop"}),
    ({"gusset_depth": inch(7.5), "base_width": inch(10), "inside_volume": 14.0}, set()),
])  # fmt: skip
def test_what_hardly_moves_does_not_move_at_all(want: dict[str, float], hold: set[str]) -> None:
    """Nobody cuts a twentieth of a millimetre: a change is a change or none (own choice)."""
    found = redesign(demo_bag(), Request(wants=want, holds=frozenset(hold)))
    for name, value in found.cut_changes.items():
        assert abs(value - (cut_value(found.before, name) or 0.0)) >= 0.05, name
    for name, value in want.items():
        assert found.after.finished[name] == pytest.approx(value, abs=1e-6)
