"""What a rounded corner costs the window: counted, not timed."""

import math
from itertools import pairwise

import pytest

from core.bag.compute import compute
from core.flat.arcs import arc_points
from core.flat.geometry import Frame2, thinned
from core.flat.piece import edge_between
from core.flat.roles import EdgeId, EdgeRole, PieceId, PieceRole
from core.solid import laying
from core.solid.fold import FoldModel
from core.space.strips import StripPart, StripStretch, bent_strip
from core.storage.bag_files import sample


@pytest.mark.parametrize("radius", [5.0, 50.0, 500.0])
def test_a_part_of_a_corner_is_bent_in_its_part_of_six_flats(radius):
    turn = math.pi / 2
    whole = StripStretch(radius * turn, turn)
    part = StripPart(PieceId("body", PieceRole.WALL), 0.0, whole.length, Frame2())
    assert len(bent_strip((whole,), (part,), (0.0, 1.0)).flats) == 6
    third = StripStretch(whole.length / 3, turn / 3)
    assert len(bent_strip((third,), (part,), (0.0, 1.0)).flats) == 2


def test_no_side_of_a_rounded_zone_is_cut_at_the_others(monkeypatch):
    bag, cut = sample("jar"), []
    clip = laying.clip_segment

    def counted(start, end, limits):
        cut.append((start, end))
        return clip(start, end, limits)

    monkeypatch.setattr(laying, "clip_segment", counted)
    model = FoldModel(bag, compute(bag).draft, allowances=False)
    rounded = [zone for zone in model.folding.zones if len(zone.outline) > 20]
    assert len(rounded) == 1
    assert model.on(model.folding.zones.index(rounded[0])).lines
    ring = pairwise((*rounded[0].outline, rounded[0].outline[0]))
    assert not {*ring} & {*cut}


def test_arcs_of_one_turn_have_one_shape():
    """The corners of a bag share it: none of their points takes a sine."""
    arc_points.cache_clear()
    for at in range(4):
        ends = (at, 0.0), (at + 10.0, 10.0)
        arc = edge_between(EdgeId(EdgeRole.SIDE), *ends, allowance=0.0, turn=math.pi / 2)
        assert len(arc.line) > 8
    assert arc_points.cache_info().misses == 1


def test_a_line_is_thinned_in_its_arcs_alone():
    corners = [(0.0, 0.0), (0.5, 40.0), (1.0, 0.0)]
    arc = [(20.0 + 10.0 * math.sin(a / 50), 10.0 - 10.0 * math.cos(a / 50)) for a in range(79)]
    line = (*corners, *arc)
    kept = thinned(line, 3.0)
    assert [*kept[:4]] == [*corners, arc[0]]
    assert kept[-1] == arc[-1]
    assert len(kept) < 4 + 79 / 12
    assert thinned(tuple(corners), 100.0) == tuple(corners)
