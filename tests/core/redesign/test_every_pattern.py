"""No redesign is refused that a pattern answers, and a refusal tells how far one can go."""

import numpy as np
import pytest

from core.bag.compute import measure_walls
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest, targets
from core.storage.bag_files import demo_bag
from core.tops.zip_forward.zip import ZipForward
from tests.core.redesign.chance import ALLOWANCES, Asked, draw_requests
from tests.core.redesign.judge import Judge, answer_of, assert_exact, judge_requests
from tests.helpers import inch

OPENINGS = range(8, 30)
LARGEST = 10_000.0
"""mm; no larger size can be asked for."""
LITRES = range(4, 41, 4)


@pytest.mark.parametrize("name", ["box_volume", "inside_volume"])
def test_every_volume_can_be_had_at_every_opening(name: str) -> None:
    for opening in OPENINGS:
        most = _most(name, inch(opening))
        for volume in LITRES:
            wants = {name: float(volume), "opening_width": inch(opening)}
            if most < volume:
                with pytest.raises(ConflictError) as caught:
                    redesign(demo_bag(), RedesignRequest(wants=wants))
                assert caught.value.bound is not None
                assert caught.value.bound.value == pytest.approx(most, rel=1e-4)
                continue
            found = redesign(demo_bag(), RedesignRequest(wants=wants)).after.finished
            assert found[name] == pytest.approx(volume, rel=1e-8), (opening, volume)
            assert found["opening_width"] == pytest.approx(inch(opening), abs=1e-6)
            assert found["corner_mismatch"] == pytest.approx(0.0, abs=1e-6)


def _most(name: str, opening: float) -> float:
    """The largest volume with matched corners at an opening, L, by closed formulas.

    With d = D/2 - s2, a = d + s1 and W = O + 2 s1 the base W - 2 (a + s2) is O - D; the height
    (L - t - 2 s3 + z - D) / 2 grows with the panel, which may be 10 m long.
    """
    panel, zipped = demo_bag().body, demo_bag().top
    assert isinstance(zipped, ZipForward)
    wall = demo_bag().sandwich.thickness if name == "inside_volume" else 0.0
    s3, shows = panel.top_seam, zipped.tape_width - 2 * panel.top_seam
    depth = np.linspace(2 * panel.corner_seam, opening, 200_001)
    base, height = opening - depth, (10_000.0 - 2 * s3 + shows - depth) / 2
    sides = np.stack([base - 2 * wall, depth - 2 * wall, height - wall])
    return float(np.prod(np.maximum(sides, 0.0), axis=0).max()) / 1e6


@pytest.mark.parametrize("seed", [11, 12])
def test_nothing_is_refused_that_a_pattern_answers(seed: int) -> None:
    # tests/faults/test_redesigns.py goes on from these 250 to 1,000 others.
    assert judge_requests(seed, 125) >= 20


def test_a_refusal_tells_how_far_it_can_go() -> None:
    # There is a bag a hair short of what is told, and the judge finds none a hair beyond it.
    chance = np.random.default_rng(5)
    counts = {"short": 0, "beyond": 0}
    for asked in draw_requests(21, 160):
        answer = None if asked.exists else answer_of(asked)
        if not isinstance(answer, ConflictError):
            continue
        bound = answer.bound
        assert bound is not None, str(answer)
        assert bound.figure in answer.names
        now = measure_walls(asked.bag)
        exact = targets(asked.request, asked.bag, now)
        others = {name: exact[name] for name in answer.names if name != bound.figure}
        if bound.figure in ALLOWANCES or "handle_last_strip" in answer.names:
            continue
        sign = 1.0 if bound.at_most else -1.0
        assert sign * exact[bound.figure] > sign * bound.value
        step = sign * (1e-4 * bound.value if "volume" in bound.figure else 0.02)
        if "can only be" not in str(answer) and abs(bound.value) < LARGEST:
            _assert_had(asked, {**others, bound.figure: bound.value - step})
            counts["short"] += 1
        beyond = {**others, bound.figure: bound.value + step}
        assert Judge(asked.bag, beyond).find(beyond, chance, 3) is None, str(answer)
        counts["beyond"] += 1
    assert min(counts.values()) >= 12, counts


def _assert_had(asked: Asked, exact: dict[str, float]) -> None:
    """That a bag has all this is shown by one: it is measured."""
    matched = exact.pop("corner_mismatch", None) is not None
    request = RedesignRequest(wants=exact, matched=matched)
    assert_exact(request, redesign(asked.bag, request))
