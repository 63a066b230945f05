"""What a wall leaves of a filled bag: closed formulas, and a distance field of its own."""

import itertools

import numpy as np
import pytest

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.solid.capacity import capacity
from core.solid.fill import Filled, fill
from core.solid.inner_body import inner_volume, share_inside
from core.tops.zip_forward.zip import ZipForward
from tests.core.solid.distance_field import inside_volume
from tests.core.solid.sheets import coarse, whole_surface
from tests.helpers import bare, changed, demo, demo_panel, having, inch, layer, sandwich

# --- Bodies of known inside -----------------------------------------------------------------------


def quarter_of(*faces: list[tuple[float, float, float]]) -> tuple[np.ndarray, np.ndarray]:
    """Points and triangles of flat faces, each given by its corners seen from outside."""
    points = [corner for face in faces for corner in face]
    triangles, first = [], 0
    for face in faces:
        triangles += [(first, first + k, first + k + 1) for k in range(1, len(face) - 1)]
        first += len(face)
    return np.array(points, dtype=float).T.copy(), np.array(triangles)


def box(a: float, b: float, h: float) -> tuple[np.ndarray, np.ndarray]:
    """A quarter of a box 2a wide, 2b deep and h high, without its mirror planes."""
    return quarter_of(
        [(a, 0, 0), (a, b, 0), (a, b, h), (a, 0, h)],
        [(a, b, 0), (0, b, 0), (0, b, h), (a, b, h)],
        [(0, 0, 0), (0, b, 0), (a, b, 0), (a, 0, 0)],
        [(0, 0, h), (a, 0, h), (a, b, h), (0, b, h)],
    )


@pytest.mark.parametrize("sizes", [(50, 80, 300), (80, 50, 300), (150, 120, 60)])
@pytest.mark.parametrize("wall", [0.1, 3.0, 20.0, 29.0])
def test_a_box_loses_two_walls_each_way(sizes: tuple[float, float, float], wall: float) -> None:
    a, b, h = sizes
    left = (a - wall) * (b - wall) * (h - 2 * wall) / (a * b * h)
    assert share_inside(*box(a, b, h), wall) == pytest.approx(left, rel=2e-3)


@pytest.mark.parametrize("sizes", [(50, 80, 300), (150, 120, 60)])
def test_a_box_of_which_the_walls_take_all_has_no_inside(sizes: tuple[float, float, float]) -> None:
    a, b, h = sizes
    half = min(a, b, h / 2)
    assert share_inside(*box(a, b, h), half + 0.1) == 0.0
    assert share_inside(*box(a, b, h), half - 0.1) > 0.0


@pytest.mark.parametrize("height", [400.0, 100.0])
@pytest.mark.parametrize("wall", [2.0, 10.0, 20.0])
def test_a_wall_goes_round_an_edge_that_points_inwards(height: float, wall: float) -> None:
    """A prism on a cross: round each of its four inner edges the wall is a quarter of a rod.

    Its arms, a long and 2c wide, lie across the mirror planes, so that no face but top and
    bottom runs along the columns.
    """
    a, c, h = 150.0, 60.0, height
    root = 2**0.5
    rim = [
        (c * root, 0.0),
        ((a + c) / root, (a - c) / root),
        ((a - c) / root, (a + c) / root),
        (0.0, c * root),
    ]
    sides = [
        [(*one, 0.0), (*other, 0.0), (*other, h), (*one, h)]
        for one, other in itertools.pairwise(rim)
    ]
    bottom = [(0.0, 0.0, 0.0), *((*corner, 0.0) for corner in reversed(rim))]
    top = [(0.0, 0.0, h), *((*corner, h) for corner in rim)]
    arms = 2 * (a - wall - c) * (c - wall)
    left = (arms + c * c - np.pi * wall**2 / 4) * (h - 2 * wall)
    share = share_inside(*quarter_of(*sides, bottom, top), wall)
    assert share == pytest.approx(left / ((2 * a * c - c * c) * h), rel=0.01)


@pytest.mark.parametrize("height", [100.0, 160.0])
def test_a_wall_goes_round_a_point_that_points_inwards(height: float) -> None:
    """Round a needle that hangs into a box: a rod, and half a ball at its end."""
    a, h, thin, long, wall = 60.0, height, 0.5, 40.0, 20.0
    pierced = quarter_of(
        [(a, 0, 0), (a, a, 0), (a, a, h), (a, 0, h)],
        [(a, a, 0), (0, a, 0), (0, a, h), (a, a, h)],
        [(0, 0, 0), (0, a, 0), (a, a, 0), (a, 0, 0)],
        [(a, a, h), (0, a, h), (0, thin, h), (thin, 0, h), (a, 0, h)],
        [(thin, 0, h), (0, thin, h), (0, 0, h - long)],
    )
    rod, end = np.pi * wall**2 * (long - wall), 2 / 3 * np.pi * wall**3
    left = 4 * (a - wall) ** 2 * (h - 2 * wall) - rod - end
    share = share_inside(*pierced, wall)
    assert share == pytest.approx(left / (4 * a * a * h), rel=0.012)


@pytest.mark.parametrize("wall", [1.0, 10.0, 40.0, 80.0])
def test_a_ball_loses_its_shell(wall: float) -> None:
    radius, steps = 100.0, 24
    turn = np.linspace(0.0, np.pi / 2, steps + 1)
    rise = np.linspace(-np.pi / 2, np.pi / 2, 2 * steps + 1)
    around, up = np.meshgrid(turn, rise, indexing="ij")
    points = radius * np.stack(
        (
            (np.cos(around) * np.cos(up)).ravel(),
            (np.sin(around) * np.cos(up)).ravel(),
            np.sin(up).ravel(),
        )
    )
    number = np.arange(points.shape[1]).reshape(around.shape)
    a, b, c, d = number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]
    triangles = np.concatenate(
        [np.stack(each, axis=-1).reshape(-1, 3) for each in ((a, b, c), (a, c, d))]
    )
    left = (1 - wall / radius) ** 3
    assert share_inside(points, triangles, wall) == pytest.approx(left, rel=0.012)


# --- Bags, against distances of its own -----------------------------------------------------------


def boxed(base: float, gusset: float, face: float) -> Bag:
    """A bag of these finished sizes, mm, without parts and allowances."""
    panel = demo_panel(
        width=base + gusset,
        length=2 * face + gusset,
        front_trim=0.0,
        corner_width=gusset / 2,
        corner_depth=gusset / 2,
        side_seam=0.0,
        corner_seam=0.0,
        top_seam=0.0,
    )
    return bare(panel, top=ZipForward(tape_width=0.01, length=2000.0))


BAGS = {
    "demo": demo(),
    "demo without a board": without_part(demo(), "board"),
    "corner cut of 1/4 in": changed(
        demo(board=None), corner_cut_width=inch(0.5), corner_cut_depth=inch(0.25)
    ),
    "slim and tall": boxed(80.0, 70.0, 400.0),
    "deep": boxed(80.0, 300.0, 240.0),
    "pillow": changed(demo(board=None), corner_cut_width=0.0, corner_cut_depth=0.0),
}


@pytest.fixture(scope="module", params=BAGS)
def filled(request: pytest.FixtureRequest) -> Filled:
    """On few cells: what is measured is the inside of whatever surface there is."""
    return coarse(BAGS[request.param])


def _least(bag: Bag) -> float:
    """Its smallest size; for a bag with next to no gusset, a gusset that others have."""
    sizes = [compute(bag).finished[name] for name in ("base_width", "gusset_depth", "face_height")]
    return min(size if size > inch(1) else inch(6.5) for size in sizes)


def test_the_inside_is_what_a_distance_field_says(filled: Filled) -> None:
    """Within a hundredth up to a fifth of the gusset, or of what is smaller."""
    walls = tuple(_least(filled.bag) * share for share in (0.05, 0.12, 0.2))
    points, triangles = whole_surface(filled)
    expected = inside_volume(points[triangles], walls)
    for wall, volume in zip(walls, expected, strict=True):
        assert inner_volume(filled, wall) == pytest.approx(volume, rel=0.01), wall


def test_the_inside_lies_between_floor_and_outside_and_falls(filled: Filled) -> None:
    """The floor: a wall takes at most its surface times its thickness."""
    points, triangles = whole_surface(filled)
    one, two, three = np.moveaxis(points[triangles], 1, 0)
    area = float(np.linalg.norm(np.cross(two - one, three - one), axis=1).sum()) / 2
    walls = np.geomspace(0.01, _least(filled.bag) / 2, 25)
    insides = [inner_volume(filled, wall) for wall in walls]
    assert inner_volume(filled, 0.0) == pytest.approx(filled.volume, rel=1e-12)
    assert all(one > other for one, other in itertools.pairwise(insides))
    for wall, volume in zip(walls, insides, strict=True):
        assert filled.volume - area * wall <= volume < filled.volume


def test_a_straight_tube_loses_a_strip_less_than_its_girth() -> None:
    """Steiner: a way round of length L with every radius above T becomes L - 2 pi T."""
    tube = boxed(100.0, 100.0, 1500.0)
    long, short = (fill(having(each, board=None)) for each in (tube, boxed(100.0, 100.0, 1000.0)))
    girth, wall = 2 * (100.0 + 100.0), 10.0
    lost = [each.volume - inner_volume(each, wall) for each in (long, short)]
    assert (lost[0] - lost[1]) / 500.0 == pytest.approx(girth * wall - np.pi * wall**2, rel=0.02)


def wall_of(thickness: float, **parts: object) -> Bag:
    return demo(sandwich=sandwich(layer(thickness=thickness, pressed=0.0)), **parts)


@pytest.mark.parametrize("thickness", [1.0, 7.0, 25.0])
@pytest.mark.parametrize("corner", [3.25, 0.5])
def test_thick_walls_of_the_demo_bag(thickness: float, corner: float) -> None:
    """Also with next to no corner: never more inside than outside."""
    bag = changed(
        wall_of(thickness, board=None),
        corner_cut_width=inch(corner),
        corner_cut_depth=inch(corner - 0.25),
    )
    found = capacity(bag)
    assert found.inside_filled is not None and found.no_room is None
    surface = 4 * found.outside.mesh.quarter.area
    assert found.filled - surface * thickness / 1e6 < found.inside_filled < found.filled
