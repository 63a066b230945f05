"""The separate base as it folds: rigid, upright round its base, closed where its seams match."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from core.bag.bag import draft_bag
from core.bag.compute import Around, compute
from core.flat.roles import Face, SeamRole
from core.solid.fold import FoldModel
from core.space.zones import AreaKind, cross, dot
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward
from tests.core.bodies.test_separate_base import bag_of, cut_for

SIZE = (300.0, 160.0, 260.0)


def zipped(body):
    width = body.mouth().width
    return bag_of(body, ZipForward(tape_width=32.0, length=width + 60.0))


def lidded(body):
    open_ = bag_of(body)
    return replace(open_, top=TopStrip.fresh(Around(open_)))


BAGS = {
    "square": bag_of(cut_for(SIZE)),
    "rounded": bag_of(cut_for(SIZE, 40.0)),
    "stadium": bag_of(cut_for(SIZE, 80.0)),
    "narrow stadium": bag_of(cut_for((160.0, 300.0, 260.0), 80.0)),
    "circle": bag_of(cut_for((200.0, 200.0, 260.0), 100.0)),
    "one piece": bag_of(cut_for(SIZE, 40.0, pieces=1)),
    "one piece, square": bag_of(cut_for(SIZE, pieces=1)),
    "four pieces": bag_of(cut_for(SIZE, pieces=4)),
    "four pieces, lid": lidded(cut_for(SIZE, pieces=4)),
    "zipped": zipped(cut_for(SIZE, 40.0)),
    "zipped, trimmed": zipped(cut_for(SIZE, 40.0, front_trim=30.0)),
    "too long": bag_of(cut_for(SIZE, 40.0).with_values({"body_width": 450.0}, None)[0]),
    "too short": bag_of(cut_for(SIZE, 40.0).with_values({"body_width": 430.0}, None)[0]),
}
EVERY = pytest.mark.parametrize("name", BAGS)


def model_of(name: str) -> FoldModel:
    return FoldModel(BAGS[name], draft_bag(BAGS[name]))


@EVERY
@pytest.mark.parametrize("at", [0.0, 0.2, 0.5, 0.7, 1.0])
def test_frames_are_rigid_and_no_piece_is_torn(name, at):
    folding = model_of(name).folding
    frames = folding.frames(at)
    for frame in frames.values():
        assert dot(frame.across, frame.up) == pytest.approx(0.0, abs=1e-12)
        assert math.hypot(*frame.across) == pytest.approx(1.0)
        assert math.hypot(*frame.up) == pytest.approx(1.0)
    zones = [zone for zone in folding.zones if zone.kind is AreaKind.WALL and zone.region]
    for one, other in pairwise(zones[1:]):
        if one.piece == other.piece:
            ends = frames[one.key].at(one.outline[1]), frames[other.key].at(one.outline[1])
            assert ends[0] == pytest.approx(ends[1], abs=1e-9)


@EVERY
def test_at_first_and_once_folded_each_piece_is_flat(name):
    folding = model_of(name).folding
    for at in (0.0, 0.25, 0.5):
        frames = folding.frames(at)
        for plate in folding.plates:
            normals = [frames[folding.zones[zone].key].normal for zone in plate.zones]
            for normal in normals:
                assert normal == pytest.approx(normals[0], abs=1e-9)


@EVERY
@pytest.mark.parametrize("at", [0.499999, 0.5, 0.500001])
def test_nothing_jumps_half_way(name, at):
    folding = model_of(name).folding
    now, then = folding.frames(at), folding.frames(0.5)
    for zone in folding.zones:
        for corner in zone.outline:
            assert now[zone.key].at(corner) == pytest.approx(then[zone.key].at(corner), abs=1e-2)


def lid_keys(folding):
    return {folding.zones[i].key for each in folding.plates if each.side is Face.TOP
            for i in each.zones}  # fmt: skip


def foot(folding, frames):
    """Where the walls' lower edge runs on the sewn bag, flat by flat from the row's start."""
    zones = [zone for zone in folding.zones if zone.region and zone.region is not Face.BASE]
    return [frames[zone.key].at(end) for zone in zones for end in zone.outline[:2]]


@EVERY
def test_the_sewn_walls_close_into_a_ring_that_looks_outwards(name):
    folding = model_of(name).folding
    frames = folding.frames(1.0)
    points = foot(folding, frames)
    assert points[0] == pytest.approx(points[-1], abs=1e-6)
    for zone in folding.zones:
        middle = np.mean([frames[zone.key].at(corner) for corner in zone.outline], axis=0)
        out = np.array(frames[zone.key].normal)
        if zone.floor:
            assert out == pytest.approx((0.0, 0.0, -1.0), abs=1e-9)
        elif zone.key in lid_keys(folding):
            assert out == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)
            assert abs(middle[1]) < 80.0
        else:
            assert out[:2] @ middle[:2] > 0.0
            assert cross(frames[zone.key].across, frames[zone.key].up)[2] == pytest.approx(0.0)


@pytest.mark.parametrize("name", ["square", "one piece, square", "four pieces", "four pieces, lid"])
def test_square_walls_stand_on_the_edge_of_the_base(name):
    folding = model_of(name).folding
    for x, y, z in foot(folding, folding.frames(1.0)):
        assert z == pytest.approx(0.0, abs=1e-9)
        # On the rectangle of 300 by 160: on one of its sides, and not beyond another.
        assert max(abs(x) - 150.0, abs(y) - 80.0) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("name", ["rounded", "stadium", "narrow stadium", "circle", "one piece"])
def test_rounded_walls_stand_off_the_arc_by_next_to_nothing(name):
    """Six flats a corner lie off an arc by less than 0.9 % of its radius."""
    bag = BAGS[name]
    found = compute(bag).finished
    wide, deep, radius = (found[each] for each in ("base_width", "gusset_depth", "corner_radius"))
    folding = model_of(name).folding
    for x, y, _ in foot(folding, folding.frames(1.0)):
        inner = max(abs(x) - (wide / 2 - radius), 0.0), max(abs(y) - (deep / 2 - radius), 0.0)
        assert math.hypot(*inner) == pytest.approx(radius, abs=0.01 * radius + 1e-6)


@EVERY
def test_the_sizes_are_those_on_the_stitch_lines(name):
    result, model = compute(BAGS[name]), model_of(name)
    sewn = model.at(1.0)
    sizes = {each.size.figure: each.length for each in sewn.dimensions}
    assert set(sizes) == {"base_width", "gusset_depth", "face_height"}
    for figure, length in sizes.items():
        assert length == pytest.approx(result.finished[figure], abs=1e-6), figure


def test_walls_that_do_not_fit_stand_off_at_the_back_alone():
    for name, over in (("too long", True), ("too short", False)):
        mismatch = compute(BAGS[name]).finished["base_mismatch"]
        sewn = model_of(name).at(1.0)
        assert [gap.face for gap in sewn.gaps] == [Face.LEFT, Face.RIGHT]
        for gap in sewn.gaps:
            assert gap.pucker is over
            assert math.dist(gap.start, gap.end) == pytest.approx(abs(mismatch) / 2)
    assert model_of("rounded").at(1.0).gaps == ()


def test_walls_far_too_short_are_shown_flat():
    body = cut_for(SIZE, 75.0).with_values({"body_width": 380.0}, None)[0]
    model = FoldModel(bag_of(body), draft_bag(bag_of(body)))
    assert "too short to go round the base" in model.folding.flat_only.text()
    assert model.folding.frames(0.0)


@EVERY
def test_stitch_lines_are_all_drawn_and_each_seam_meets(name):
    """All that is drawn of the base seam's edges is as long as they are, the arcs' chords too."""
    bag, model = BAGS[name], model_of(name)
    drawn = draft_bag(bag)
    (seam,) = drawn.walked_seams(SeamRole.BASE)
    folded = model.at(1.0)
    for chain, length in ((seam.seam.one, seam.length), (seam.seam.other, seam.mate_length)):
        found = [
            math.dist(*folded.line(index))
            for index, line in enumerate(model.lines)
            if line.edge in chain
        ]
        assert sum(found) == pytest.approx(length, rel=3e-3)


@EVERY
def test_a_zip_is_shown_open_and_an_open_top_needs_no_word(name):
    folding = model_of(name).folding
    assert folding.closed is name.endswith("lid")
    assert (folding.remark is not None) is name.startswith("zipped")


def test_a_lid_lies_on_all_four_edges():
    """Its long edges on front and back, its ends on the sides: a box of 300 by 160 by 260."""
    folding = model_of("four pieces, lid").folding
    frames = folding.frames(1.0)
    lid = [zone for zone in folding.zones if zone.key in lid_keys(folding)]
    points = np.array([frames[zone.key].at(corner) for zone in lid for corner in zone.outline])
    assert points.min(axis=0) == pytest.approx((-150.0, -80.0, 260.0))
    assert points.max(axis=0) == pytest.approx((150.0, 80.0, 260.0))
