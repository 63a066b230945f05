"""Whole bags filled: measured on their drafts, closed by their seams."""

import math
import sys
from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings

from core.bag.bag import Bag, draft_walls
from core.bag.choices import without_part
from core.bag.compute import compute
from core.flat.roles import EdgeRef, Face
from core.parts.board.board import BaseBoard
from core.solid.fill import MOST_STRETCH, Filled, fill
from core.solid.fill_problem import principal_stretches, problem_of
from core.solid.fill_solve import FillCancelledError
from core.space.patches import NotFillableError
from core.tops.zip_forward.zip import ZipForward
from tests.core.solid.shapes import wall_of
from tests.core.solid.sheets import coarse, times, whole_surface
from tests.helpers import bare, changed, demo, demo_panel, having, inch
from tests.strategies import sewable_bags

PANEL = demo().body.wall(Face.FRONT)


@pytest.fixture(scope="module")
def filled() -> Filled:
    return fill(demo())


def enclosed(filled: Filled) -> float:
    """Volume inside the triangles of the whole bag, by the divergence theorem, mm³."""
    points, triangles = whole_surface(filled)
    one, two, three = np.moveaxis(points[triangles], 1, 0)
    return float((one * np.cross(two, three)).sum()) / 6


def test_two_mesh_sizes_agree_within_a_hundredth(filled: Filled) -> None:
    finer = fill(demo(), counts=times(filled.mesh.counts, 2))
    assert finer.mesh.count > 3 * filled.mesh.count
    assert filled.volume == pytest.approx(finer.volume, rel=0.01)


def test_the_answer_carries_the_bag_and_came_to_rest(filled: Filled) -> None:
    assert filled.bag == demo()
    assert filled.solution.converged
    assert filled.stretch <= MOST_STRETCH
    assert any(patch.held for patch in filled.mesh.quarter.patches)
    assert filled.solution.steps < 90


def test_a_vertex_lies_where_the_filled_bag_says_of_its_place_on_the_patches() -> None:
    """Of a slim bag, whose cells differ: a place that is read by even cells lies elsewhere."""
    panel = demo_panel(width=120.0, length=900.0, corner_width=30.0, corner_depth=20.0)
    slim = fill(demo(body=panel, pocket=None, handles=None, board=None))
    mesh, points = slim.mesh, slim.solution.points - [[0.0], [0.0], [slim.solution.points[2].min()]]
    assert any(each.share > 0.3 for each in mesh.quarter.crowding.values())
    nodes, flat = np.unique(mesh.triangles, return_index=True)
    found = slim.on_quarter(np.abs(mesh.flat.reshape(-1, 2)[flat]))
    assert np.abs(found - points.T[nodes]).max() < 1e-6


def test_the_four_quarters_are_the_whole_bag(filled: Filled) -> None:
    assert enclosed(filled) == pytest.approx(filled.volume, rel=1e-9)
    x, y, z = whole_surface(filled)[0].T
    assert x.min() == pytest.approx(-x.max()) and y.min() == pytest.approx(-y.max())
    assert z.min() == 0.0
    wall = wall_of(demo())
    front = filled.at(PANEL, np.array([[wall.middle, wall.top_fold / 2]]))
    assert front[0, 1] < 0.0, "the front looks towards -y"


def test_a_board_keeps_the_base_flat_in_its_own_size(filled: Filled) -> None:
    finished = compute(demo()).finished
    wall, share = wall_of(demo()), np.linspace(-1.0, 1.0, 9)
    x, y = (each.ravel() for each in np.meshgrid(share, share))
    half = finished["base_width"] / 2
    base = filled.at(PANEL, np.column_stack((wall.middle + x * half, y * wall.corner)))
    assert np.allclose(base[:, 2], 0.0)
    assert np.ptp(base[:, 0]) == pytest.approx(finished["base_width"])
    assert np.ptp(base[:, 1]) == pytest.approx(finished["gusset_depth"])


def test_without_a_board_the_base_hangs_and_holds_no_less(filled: Filled) -> None:
    soft = fill(without_part(demo(), "board"))
    assert not any(patch.held for patch in soft.mesh.quarter.patches)
    middle = soft.at(PANEL, np.array([[wall_of(soft.bag).middle, 0.0]]))
    assert middle[0, 2] == pytest.approx(0.0)
    assert soft.volume >= filled.volume


def test_some_of_it_wrinkles_and_some_is_smooth(filled: Filled) -> None:
    gradients = problem_of(filled.mesh).gradients(filled.solution.points)
    smaller = principal_stretches(gradients)[1]
    assert 0.0 <= smaller.min() < 0.9
    assert 0.99 < smaller.max() <= 1.0 + MOST_STRETCH


SEAMED = changed(demo(), bottom_seam=inch(0.375), corner_cut_depth=inch(3.375))


@pytest.mark.parametrize(
    "bag", [demo(), SEAMED, changed(demo(), front_trim=0.0)], ids=["folded", "seamed", "zip on top"]
)
def test_every_seam_of_the_draft_meets_on_the_filled_bag(bag: Bag) -> None:
    """Whatever edges a seam joins, node by node in proportion of their lengths."""
    draft, filled = draft_walls(bag), fill(bag)
    share = np.linspace(0.0, 1.0, 41)

    def along(chain: tuple[EdgeRef, ...], *, against: bool) -> np.ndarray:
        """(41, 3) evenly along the stitch lines of edges that follow one another."""
        points = [draft.outlines[ref.piece].line(ref.edge) for ref in chain]
        placed = [
            filled.at(ref.piece, np.linspace(*ends, 400))
            for ref, ends in zip(chain, points, strict=True)
        ]
        if len(placed) == 2:
            ways = [
                (a, b) for a in (placed[0], placed[0][::-1]) for b in (placed[1], placed[1][::-1])
            ]
            placed = min(ways, key=lambda pair: float(np.linalg.norm(pair[0][-1] - pair[1][0])))
        line = np.concatenate(placed)[:: -1 if against else 1]
        lengths = [math.dist(*ends) for ends in points]
        at = np.concatenate(
            [np.linspace(sum(lengths[:i]), sum(lengths[: i + 1]), 400) for i in range(len(lengths))]
        )
        at = at[-1] - at[::-1] if against else at
        return np.column_stack([np.interp(share * at[-1], at, each) for each in line.T])

    joined = [seam for seam in draft.seams if seam.other and not seam.caught]
    assert len(joined) >= 4
    for seam in joined:
        one = along(seam.one, against=False)
        gap = min(np.abs(one - along(seam.other, against=way)).max() for way in (False, True))
        assert gap < 1e-2, seam


def test_marks_keep_their_length_or_wrinkle(filled: Filled) -> None:
    """A line drawn on the sheet gets no longer on the bag."""
    wall = wall_of(demo())
    line = np.stack((np.linspace(wall.left, wall.right, 200), np.full(200, wall.front_top)), 1)
    length = float(np.linalg.norm(np.diff(filled.at(PANEL, line), axis=0), axis=1).sum())
    assert 0.7 * (wall.right - wall.left) < length <= 1.005 * (wall.right - wall.left)


def test_scaled_bags_hold_the_cube_of_the_scale() -> None:
    bag = bare(demo_panel(), top=ZipForward(tape_width=inch(1.25), length=inch(21)))
    scale = 2.5
    panel, top = bag.body, ZipForward(tape_width=inch(1.25) * scale, length=inch(60))
    cut = {each.name: getattr(panel, each.name) for each in fields(panel)}
    sizes = {name: scale * size for name, size in cut.items() if isinstance(size, float)}
    assert len(sizes) >= 8
    large = replace(bag, body=replace(panel, **sizes), top=top)
    one, other = fill(bag), fill(large)
    assert other.volume == pytest.approx(one.volume * scale**3, rel=1e-9)


CONSTRUCTIONS = [
    pytest.param(demo(), id="folded bottom"),
    pytest.param(
        changed(demo(), bottom_seam=inch(0.375), corner_cut_depth=inch(3.375)), id="seamed"
    ),
    pytest.param(changed(demo(), corner_cut_width=0.0, corner_cut_depth=0.0), id="pillow"),
    pytest.param(
        changed(demo(), corner_cut_width=0.0, corner_cut_depth=0.0, bottom_seam=inch(0.375)),
        id="seamed pillow",
    ),
    pytest.param(changed(demo(), corner_cut_width=inch(3)), id="side edges eased"),
    pytest.param(changed(demo(), corner_cut_depth=inch(2.75)), id="end of the base eased"),
    pytest.param(changed(demo(), corner_cut_width=0.0), id="corner gathered to a point"),
    pytest.param(changed(demo(), corner_cut_depth=0.0), id="slit for a corner"),
    pytest.param(changed(demo(), front_trim=0.0), id="zip across the top fold"),
]


@pytest.mark.parametrize("bag", CONSTRUCTIONS)
def test_every_construction_fills(bag: Bag) -> None:
    filled = coarse(bag)
    assert filled.solution.converged
    assert filled.stretch <= MOST_STRETCH
    assert filled.volume == pytest.approx(enclosed(filled), rel=1e-9)
    flat_area = 4 * filled.mesh.quarter.area
    # No body holds more in this area than a ball (isoperimetric inequality).
    assert 0.0 < filled.volume < flat_area**1.5 / (6 * np.pi**0.5)


def test_a_seam_at_the_bottom_fills_like_the_fold_of_the_same_finished_size() -> None:
    folded, seamed = (
        demo(),
        demo(body=demo_panel(bottom_seam=inch(0.5), corner_depth=inch(3.5), length=inch(39.5))),
    )
    for name in ("base_width", "gusset_depth", "face_height", "corner_mismatch"):
        sizes = [compute(bag).finished[name] for bag in (folded, seamed)]
        assert sizes[0] == pytest.approx(sizes[1], abs=1e-9)
    one, other = (coarse(bag).volume for bag in (folded, seamed))
    assert one == pytest.approx(other, rel=1e-9)


def test_where_the_zip_lies_changes_nothing() -> None:
    """The zip is a stripe of the sheet; only the loop counts."""
    one, other = (
        coarse(changed(demo(), front_trim=inch(trim), panel_length=inch(37 + trim)))
        for trim in (1.5, 2.5)
    )
    walls = [wall_of(each.bag) for each in (one, other)]
    assert walls[0].front_top - walls[1].front_top == pytest.approx(inch(0.5))
    assert walls[0].loop == pytest.approx(walls[1].loop)
    assert one.volume == pytest.approx(other.volume, rel=1e-9)


def test_an_open_top_has_no_closed_volume() -> None:
    tote = without_part(demo(), "zip")
    with pytest.raises(NotFillableError, match="open top"):
        fill(tote)


def test_a_bag_that_cannot_close_over_its_board_says_so() -> None:
    low = demo(body=demo_panel(length=inch(14.0)), pocket=None, handles=None)
    with pytest.raises(NotFillableError, match="does not close over its base board"):
        fill(low)
    assert coarse(without_part(low, "board")).solution.converged


def test_corners_that_take_the_whole_base_leave_nothing() -> None:
    none_left = changed(without_part(demo(), "board"), corner_cut_width=inch(9.1))
    with pytest.raises(NotFillableError, match="no base width"):
        fill(none_left)


def test_the_filled_bag_holds_more_or_less_than_its_box(filled: Filled) -> None:
    box = compute(demo()).finished["box_volume"]
    litres = filled.volume / 1e6
    assert litres == pytest.approx(18.3, abs=0.1)  # 18.29 L with cells of 7 mm
    assert 0.79 < litres / box < 1.94


def test_a_small_change_starts_from_the_last_shape(filled: Filled) -> None:
    wider = changed(demo(), panel_width=inch(18.625))
    warm, cold = fill(wider, start=filled), fill(wider)
    assert warm.bag == wider
    assert warm.mesh.counts == filled.mesh.counts
    assert warm.solution.steps < cold.solution.steps
    assert warm.volume == pytest.approx(cold.volume, rel=2e-3)


def test_a_start_that_does_not_fit_is_left_aside(filled: Filled) -> None:
    pillow = changed(demo(), corner_cut_width=0.0, corner_cut_depth=0.0)
    assert fill(pillow, start=filled).volume == fill(pillow).volume


def test_it_can_be_given_up() -> None:
    with pytest.raises(FillCancelledError):
        fill(demo(), progress=lambda share: False)


def shallow_over_a_board(over: float) -> Bag:
    """A bag whose face is as high as half of its gusset is deep, and so much more, mm."""
    panel = demo_panel(
        width=330.2,
        length=528.6375 + 2 * over,
        front_trim=0.0,
        corner_width=128.5875,
        corner_depth=127.0,
        side_seam=1.5875,
        corner_seam=4.7625,
        top_seam=1.5875,
    )
    flat = bare(panel, top=ZipForward(tape_width=4.7625, length=381.0))
    return having(flat, board=BaseBoard(width=1.5875, depth=1.5875))


def test_a_gusset_twice_as_deep_as_the_face_is_high_does_not_close_over_a_board() -> None:
    with pytest.raises(NotFillableError, match="does not close over its base board"):
        fill(shallow_over_a_board(0.0))


def test_a_bag_that_hardly_closes_over_its_board_is_told_no_volume() -> None:
    """Own choice: below 1.03 halves of the base no working mesh is within 0.5 %."""
    over = 0.03 * half_of_the_base(shallow_over_a_board(1.0))
    with pytest.raises(NotFillableError, match="barely closes over its base board") as refused:
        fill(shallow_over_a_board(over - 0.01))
    face, least = (refused.value.sentence.lengths[name] for name in ("face", "least"))
    assert least - face == pytest.approx(0.01)
    filled = fill(shallow_over_a_board(over + 0.01))
    assert filled.solution.converged
    assert filled.stretch <= MOST_STRETCH
    assert fill(without_part(shallow_over_a_board(over - 0.01), "board")).solution.converged


def half_of_the_base(bag: Bag) -> float:
    """Half of what its flat base has front to back, mm."""
    finished = compute(bag).finished
    return min(finished["gusset_depth"], finished["gusset_depth_at_side"]) / 2


def test_a_small_change_of_a_squat_bag_starts_from_the_last_shape() -> None:
    """Little slack: 1/8 in of the face is worth a tenth of the volume and more."""
    low, higher = (shallow_over_a_board(over) for over in (8.0, 8.0 + inch(0.125)))
    first = fill(low)
    warm, cold = fill(higher, start=first), fill(higher)
    assert warm.solution.converged
    assert warm.volume > 1.1 * first.volume
    assert warm.volume == pytest.approx(cold.volume, rel=2e-3)


@settings(max_examples=200)
@given(bag=sewable_bags())
def test_random_bags_come_to_rest(bag: Bag) -> None:
    """With the demo bag's zip where they have none, and without a board that is too deep."""
    if not isinstance(bag.top, ZipForward):
        bag = replace(bag, top=ZipForward(tape_width=2 * bag.body.top_seam + 20.0, length=inch(21)))
    try:
        filled = fill(bag)
    except NotFillableError as error:
        assert "over its base board" in str(error)
        filled = fill(without_part(bag, "board"))
    assert filled.solution.converged
    assert filled.stretch <= MOST_STRETCH
    assert enclosed(filled) == pytest.approx(filled.volume, rel=1e-6)


def test_working_mesh_needs_no_scipy() -> None:
    """It takes longer to load than a bag takes to fill."""
    import subprocess

    program = (
        "import sys\nfrom tests.helpers import demo\nfrom core.solid.capacity import capacity\n"
        "assert capacity(demo()).inside_filled > 0\nassert 'scipy' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", program], check=True, timeout=60)
