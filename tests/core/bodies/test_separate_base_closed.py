"""A square base whose walls close flat over it, rigid: every length kept, every seam met.

A sheet folded along straight hinges keeps every length on it: an isometry (differential geometry
of surfaces, from memory).
"""

import math
from itertools import pairwise

import numpy as np
import pytest

from core.bag.bag import draft_bag
from core.bag.compute import compute
from core.bodies.boxed_panel.folding import BoxedZone
from core.flat.roles import Face, SeamRole
from core.solid.fold import FoldModel
from core.space.zones import AreaKind
from tests.core.bodies.test_separate_base import cut_for
from tests.core.bodies.test_separate_base_space import SIZE, zipped

BAGS = {
    "level": zipped(cut_for(SIZE)),
    "trimmed": zipped(cut_for(SIZE, front_trim=30.0)),
    "far forward": zipped(cut_for(SIZE, front_trim=120.0)),
    "deep": zipped(cut_for((150.0, 300.0, 260.0))),
}
MIDDLES = {BoxedZone.FRONT, BoxedZone.BACK, BoxedZone.ZIP, BoxedZone.FLAP}
EVERY = pytest.mark.parametrize("name", BAGS)
MOMENTS = pytest.mark.parametrize("at", [0.0, 0.2, 0.5, 0.7, 0.9, 1.0])


def model_of(name: str) -> FoldModel:
    return FoldModel(BAGS[name], draft_bag(BAGS[name]))


@EVERY
@MOMENTS
def test_every_facet_keeps_its_flat_lengths_and_faces_out_of_its_piece(name, at):
    model = model_of(name)
    folded = model.at(at)
    for index, area in enumerate(model.areas):
        solid = folded.area(index)
        for i, j in pairwise(range(len(solid))):
            flat = math.dist(area.corners[i], area.corners[j])
            assert math.dist(solid[i], solid[j]) == pytest.approx(flat, abs=1e-6)


@EVERY
def test_the_walls_are_the_whole_of_the_pieces_inside_their_stitch_lines(name):
    bag = BAGS[name]
    model, drawn = model_of(name), draft_bag(bag)
    for piece in drawn.walls:
        corners = drawn.outlines[piece.id].corners
        pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
        area = abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2
        found = 0.0
        for each in model.areas:
            if each.kind is AreaKind.WALL and each.piece == piece.id:
                ring = zip(each.corners, (*each.corners[1:], each.corners[0]), strict=True)
                found += abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in ring)) / 2
        assert found == pytest.approx(area, rel=1e-7)


def edge_points(model, folded, chain) -> np.ndarray:
    found = [
        folded.line(index) for index, line in enumerate(model.lines) if line.edge in set(chain)
    ]
    points = [np.linspace(start, end, 80) for start, end in found]
    return np.concatenate(points)


def apart(one: np.ndarray, other: np.ndarray) -> float:
    between = np.linalg.norm(one[:, None] - other[None], axis=2)
    return float(max(between.min(axis=0).max(), between.min(axis=1).max()))


@EVERY
def test_every_seam_of_the_sewn_bag_meets(name):
    model, drawn = model_of(name), draft_bag(BAGS[name])
    folded = model.at(1.0)
    for role in (SeamRole.BASE, SeamRole.MOUTH):
        for walked in drawn.walked_seams(role):
            seam = walked.seam
            one, other = (edge_points(model, folded, each) for each in (seam.one, seam.other))
            assert apart(one, other) < 5.0  # between two of their points
    for walked in drawn.walked_seams(SeamRole.SIDE):
        # Sewn to itself: front, zip and back of a side come to lie in the middle plane.
        points = edge_points(model, folded, walked.seam.one)
        assert abs(points[:, 1]).max() < 1e-6
    assert folded.gaps == ()


@EVERY
def test_it_stands_on_its_base_and_is_closed(name):
    bag, model = BAGS[name], model_of(name)
    found = compute(bag).finished
    folded = model.at(1.0)
    for zone, frame in zip(model.folding.zones, folded.frames, strict=False):
        if zone.region is Face.BASE:
            assert frame.normal == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
    extent = np.array(folded.extent)
    assert extent[:, 2].min() == pytest.approx(0.0, abs=1e-9)
    high, deep = found["face_height"], found["gusset_depth"]
    # Front and back lean together: a roof over the base.
    assert extent[:, 2].max() == pytest.approx(math.sqrt(high**2 - (deep / 2) ** 2))
    assert model.folding.closed
    assert model.folding.remark is None
    sizes = {each.size.figure: each.length for each in folded.dimensions}
    for figure, length in sizes.items():
        assert length == pytest.approx(found[figure], abs=1e-6), figure
    assert sizes.keys() >= {"base_width", "gusset_depth", "face_height", "zip_offset"}


@EVERY
@pytest.mark.parametrize("at", [0.75, 1.0])
def test_right_sides_look_outwards(name, at):
    folding = model_of(name).folding
    frames = folding.frames(at)
    for plate in folding.plates:
        for place in plate.zones:
            zone = folding.zones[place]
            out = frames[zone.key].normal
            if zone.region is Face.BASE:
                assert out[2] < 0.0
                continue
            # What lies on the front looks to the front, a flap of the back too.
            front = plate.side is Face.FRONT
            assert (-out[1] if front else out[1]) > -1e-9  # ends look to the side
            assert zone.key not in MIDDLES or out[1] != pytest.approx(0.0, abs=0.1)
            ys = [frames[zone.key].at(corner)[1] for corner in zone.outline]
            assert (max(ys) if front else -min(ys)) < 1e-6


@EVERY
def test_nothing_jumps_half_way_and_flat_pieces_lie_apart(name):
    folding = model_of(name).folding
    now, then = folding.frames(0.499999), folding.frames(0.5)
    for zone in folding.zones:
        for corner in zone.outline:
            assert now[zone.key].at(corner) == pytest.approx(then[zone.key].at(corner), abs=1e-2)
    flat = folding.frames(0.0)
    ends: dict = {}
    for zone in folding.zones:
        heights = [flat[zone.key].at(corner)[2] for corner in zone.outline]
        low, high = ends.get(zone.piece, (math.inf, -math.inf))
        ends[zone.piece] = min(low, *heights), max(high, *heights)
    rows = sorted(ends.values())
    assert len(rows) == 4  # back, base, front, zip
    for (_, high), (low, _) in pairwise(rows):
        assert low - high == pytest.approx(12.0)


def test_walls_too_low_to_close_over_their_base_are_shown_open():
    bag = zipped(cut_for((300.0, 400.0, 200.0)))
    folding = FoldModel(bag, draft_bag(bag)).folding
    assert not folding.closed
    assert folding.remark is not None
