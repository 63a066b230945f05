"""Redesign against an independent optimiser."""

import numpy as np
import pytest

from core.bag.compute import compute
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest
from tests.core.redesign.reference import SIZES, Reference
from tests.helpers import demo

CHOICES = (*(name for name in SIZES if name != "corner_mismatch"), "box_volume")


def _random_request(generator: np.random.Generator, now: dict[str, float]) -> RedesignRequest:
    """One to three wants near the demo's own sizes, up to three holds."""
    names = [str(name) for name in generator.permutation(CHOICES)]
    wants = {
        name: float(now[name]) * generator.uniform(0.9, 1.1)
        for name in names[: generator.integers(1, 4)]
    }
    holds = names[len(wants) : len(wants) + int(generator.integers(0, 4))]
    return RedesignRequest(wants=wants, holds=frozenset(holds))


@pytest.mark.parametrize("seed", [20, 21, 22, 23])
def test_agrees_with_an_independent_optimiser(seed: int) -> None:
    generator = np.random.default_rng(seed)
    counts = {True: 0, False: 0}
    now = {**compute(demo()).finished, **compute(demo()).cut}
    for _ in range(55):
        request = _random_request(generator, now)
        held = {name: now[name] for name in request.holds}
        least = Reference({"corner_mismatch": 0.0, **held, **request.wants}).least()
        try:
            found = redesign(demo(), request)
        except ConflictError:
            assert least is None, (request, least)
            counts[False] += 1
            continue
        counts[True] += 1
        assert least is not None, request
        assert found.change == pytest.approx(least[1], abs=1e-6), request
    assert min(counts.values()) >= 7, counts
