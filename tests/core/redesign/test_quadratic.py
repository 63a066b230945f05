"""One quadratic step against every set of limits tried as equations.

Of a convex quadratic the least within limits is the least on the face that it lies on, so it is
the best among the possible answers of all faces (Nocedal and Wright, Numerical Optimization,
2nd ed. 2006, section 16.1 for one face, 16.3 for all of them).
"""

import itertools

import numpy as np
import pytest

from core.redesign import convex as quadratic
from core.redesign.convex import bounded_step, step_within


def on_face(aims, off, rows, wanted):
    """The d that minimises |A d + a|^2 subject to R d = w, by its KKT system; None for none."""
    size = aims.shape[1]
    system = np.block(
        [[aims.T @ aims, rows.T], [rows, np.zeros((len(rows), len(rows)))]],
    )
    found, *_ = np.linalg.lstsq(system, np.concatenate([-aims.T @ off, wanted]), rcond=1e-12)
    step = found[:size]
    return step if np.allclose(rows @ step, wanted, atol=1e-9) else None


def by_faces(aims, off, exact, reached, over, room):
    """The least of |A d + a|^2 where C d = c and G d >= -r; None where there is no such d."""
    found = []
    for count in range(aims.shape[1] + 1):
        for held in itertools.combinations(range(len(over)), count):
            rows = np.vstack([exact, over[list(held)]])
            step = on_face(aims, off, rows, np.concatenate([reached, -room[list(held)]]))
            if step is not None and np.all(over @ step >= -room - 1e-9):
                found.append((float(np.sum((aims @ step + off) ** 2)), step))
    return min(found, key=lambda each: each[0])[1] if found else None


def problem(seed, *, conditions, limits):
    """Small whole numbers, so that several limits meet in one point and some repeat."""
    chance = np.random.default_rng(seed)
    aims = np.vstack([np.eye(3), chance.integers(-3, 4, (1, 3))]).astype(float)
    aims[0, 1] = float(chance.integers(-2, 3))
    return (
        aims,
        chance.integers(-9, 10, 4).astype(float),
        chance.integers(-2, 3, (conditions, 3)).astype(float),
        chance.integers(-2, 3, (limits, 3)).astype(float),
        chance.integers(0, 4, limits).astype(float),
    )


@pytest.mark.parametrize("conditions", [0, 1, 2])
def test_the_least_within_limits_is_the_best_of_all_faces(conditions):
    held = 0
    for seed in range(40):
        aims, off, exact, over, room = problem(seed, conditions=conditions, limits=5)
        step = step_within(aims, off, exact, over, room)
        wanted = by_faces(aims, off, exact, np.zeros(conditions), over, room)
        assert step == pytest.approx(wanted, abs=1e-7), seed
        held += bool(np.any(over @ step <= -room + 1e-9))
    assert held > 10


def test_without_limits_it_is_plain_least_squares():
    aims, off, *_ = problem(3, conditions=0, limits=0)
    none = np.zeros((0, 3))
    step = step_within(aims, off, none, none, np.zeros(0))
    assert step == pytest.approx(np.linalg.lstsq(aims, -off, rcond=None)[0])


@pytest.mark.parametrize("conditions", [0, 1, 2])
@pytest.mark.parametrize("scale", [1.0, 1e-3])
def test_a_bounded_step_is_the_best_of_all_faces_or_none(conditions, scale):
    ends = {"none": 0, "at a limit": 0, "free": 0}
    for seed in range(60):
        aims, off, turns, *_ = problem(seed, conditions=conditions, limits=0)
        chance = np.random.default_rng(1000 + seed)
        missed = chance.integers(-4, 5, conditions).astype(float)
        low, high = -chance.integers(0, 5, 3).astype(float), chance.integers(0, 5, 3).astype(float)
        step = bounded_step(
            (scale * aims, off), (scale * turns, missed), (low / scale, high / scale)
        )
        # The shortest of those that miss least: the pseudoinverse (Penrose 1955).
        met = -np.linalg.pinv(turns) @ missed if conditions else np.zeros(3)
        free = on_face(aims, off, turns, turns @ met)
        inside = [
            np.all(each >= low - 1e-9) and np.all(each <= high + 1e-9) for each in (met, free)
        ]
        if not any(inside):
            assert step is None, seed
            ends["none"] += 1
            continue
        every = np.vstack([np.eye(3), -np.eye(3)])
        wanted = by_faces(aims, off, turns, turns @ met, every, np.concatenate([-low, high]))
        assert scale * step == pytest.approx(wanted, abs=1e-7), seed
        ends["free" if inside[1] else "at a limit"] += 1
    assert ends["free"] and ends["at a limit"]
    assert ends["none"] or not conditions


FAR = (np.full(3, -100.0), np.full(3, 100.0))


@pytest.mark.parametrize("dust", [0.0, 1e-11])
def test_conditions_that_say_the_same_count_once(dust):
    """To ten digits the same is the same: what they contradict each other by is shared out."""
    turns = np.array([[1.0, 2.0, 2.0], [1.0, 2.0, 2.0 + dust]])
    for missed, sum_of in (((-9.0, -9.0), 9.0), ((-9.0, -9.3), 9.15)):
        step = bounded_step((np.eye(3), np.zeros(3)), (turns, np.array(missed)), FAR)
        # The shortest step to the plane x + 2 y + 2 z = s is along its normal, s / 9 of it.
        assert step == pytest.approx(np.array([1.0, 2.0, 2.0]) * sum_of / 9, abs=1e-6)


def test_aims_that_say_the_same_are_met_by_the_shortest_step():
    aims = np.array([[1.0, 1.0, 0.0], [1.0, 1.0 + 1e-10, 0.0]])
    off, none = np.array([-2.0, -2.0 - 1e-3]), np.zeros((0, 3))
    wanted = pytest.approx([1.0, 1.0, 0.0], abs=1e-3)
    wide = (np.full(3, -1e9), np.full(3, 1e9))
    assert bounded_step((aims, off), (none, np.zeros(0)), wide) == wanted
    assert step_within(aims, off, none, none, np.zeros(0)) == wanted


def test_where_nothing_may_change_nothing_does():
    none = np.zeros((0, 0))
    step = step_within(np.zeros((2, 0)), np.ones(2), none, none, np.zeros(0))
    assert step.shape == (0,)


def test_a_step_that_is_given_up_on_is_within_its_limits_still(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Limits that take turns for ever are nowhere seen; the search has an end all the same."""
    monkeypatch.setattr(quadratic, "_MOST_TURNS", 1)
    aims, off, exact, over, room = problem(1, conditions=0, limits=5)
    step = step_within(aims, off, exact, over, room)
    assert np.all(over @ step >= -room - 1e-9)
    assert np.sum((aims @ step + off) ** 2) <= np.sum(off**2)


def test_dust_of_slopes_leads_nowhere() -> None:
    """What the conditions leave free no aim sees: it stays where it is, whatever is left of it.

    Slopes are differences, and what rounding leaves of them beside others is about 1e-12.
    """
    aims = np.array([[1.0, 0.0, 3e-13, 0.0], [0.0, 1.0, 0.0, -2e-13]])
    exact = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 1.0]])
    far = np.full(4, 1e4)
    step = bounded_step((aims, np.array([1e-12, -1e-12])), (exact, np.zeros(3)), (-far, far))
    assert step == pytest.approx(np.zeros(4), abs=1e-9)
    near = step_within(aims, np.array([1e-12, -1e-12]), exact, np.eye(4), far)
    assert near == pytest.approx(np.zeros(4), abs=1e-9)
