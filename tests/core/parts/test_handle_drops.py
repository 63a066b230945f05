"""How far handles drop above the bag, and the gap that is drawn between them. Lengths are mm.

The drop is reckoned here from the drawn stitch lines by shapely, not by a formula of the bag.
"""

import math

import pytest
import shapely

from core.bag.bag import Bag, draft_bag, with_figures
from core.bag.choices import with_choice
from core.bag.compute import Around, compute
from core.bodies.gusset_strip.body import Wrap
from core.flat.roles import Face
from core.parts.handles.figures import GAP, HandleStyle
from core.parts.handles.handles import Handles
from core.parts.handles.redesign import DROPS
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.storage.bag_files import sample
from tests.core.bodies.strip_bags import INCH, e2

SAMPLES = ("demo", "lunch", "tote", "boxed", "coolbox", "wrap", "jar")


@pytest.mark.parametrize("name", SAMPLES)
def test_the_gap_that_is_drawn_lies_between_the_legs(name: str) -> None:
    bag = sample(name)
    handles = bag.parts["handles"]
    assert isinstance(handles, Handles)
    drawn = [
        line
        for lines in handles.dimensions(draft_bag(bag)).values()
        for line in lines
        if line.label == GAP.label
    ]
    assert drawn
    for line in drawn:
        assert abs(line.end[0] - line.start[0]) == pytest.approx(handles.gap)


def rounded(box: shapely.Polygon, radius: float) -> shapely.Polygon:
    return box.buffer(-radius, quad_segs=256).buffer(radius, quad_segs=256)


def end_below_top(body: Wrap) -> float:
    """How far below the top of an end panel's stitch line the strip sewn round it ends."""
    seam = body.gusset_seam
    wide, high = body.face_cut_width - 2 * seam, body.face_cut_height - 2 * seam
    lower, upper = (max(each - seam, 0.0) for each in (body.corner_rounding, body.upper_rounding))
    half, box = shapely.box(0.0, 0.0, wide, high / 2), shapely.box(0.0, 0.0, wide, high)
    shape = (rounded(box, lower) & half) | (rounded(box, upper) - half)
    line = shapely.LinearRing(shape.exterior.coords)
    around = line.project(shapely.Point(wide / 2, 0.0)) + body.drawn_strip / 2
    return float(high - line.interpolate(around % line.length).y)


@pytest.mark.parametrize("name", SAMPLES)
def test_the_drop_is_reckoned_up_to_the_top_of_the_bag(name: str) -> None:
    """A wrap's ends, from which the stop is measured, lie lower than the bag's top."""
    bag = sample(name)
    body, site, handles = bag.body, bag.site, bag.parts["handles"]
    assert isinstance(handles, Handles)
    below = end_below_top(body) if isinstance(body, Wrap) else 0.0
    loops = handles.style is HandleStyle.LOOP
    for face, figure in DROPS.items():
        seat = site.seats[face]
        sewn = 2 * (seat.top - handles.stop) if loops else 2 * handles.leg
        free = handles.loop(site) / (2 if loops else 1) - sewn
        taut = math.sqrt((free / 2) ** 2 - (handles.centres / 2) ** 2)
        lower = handles.back_lower if face is Face.BACK and not loops else 0.0
        stop = handles.stop + lower
        rise = stop - seat.top_allowance + below + site.shows / 2 + site.mouth.shift(face)
        assert compute(bag).finished[figure] == pytest.approx(taut - rise, abs=1e-4)


def assert_level(bag: Bag, trim: float) -> None:
    drops = [compute(bag).finished[name] for name in DROPS.values()]
    assert drops[0] == pytest.approx(drops[1], abs=HALF_STEP)
    assert bag.parts["handles"].back_lower == pytest.approx(trim, abs=HALF_STEP)


HALF_STEP = 0.5 + 1e-9
"""Of a ruler of millimetres."""


@pytest.mark.parametrize("trim", [0.0, 12.0, 30.0, 47.0])
def test_two_new_handles_hang_level_however_the_front_is_trimmed(trim: float) -> None:
    """The fold comes half of the trim forward: what it nears on the back it leaves on the front."""
    bag = with_figures(sample("jar"), {"front_trim": trim})
    fresh = Handles.fresh(Around(bag), HandleStyle.SEPARATE.value)
    assert_level(bag.with_part(fresh), trim)


@pytest.mark.parametrize("offset", [12.0, 23.5])
def test_two_handles_hang_level_after_a_redesign(offset: float) -> None:
    found = redesign(sample("jar"), RedesignRequest(wants={"zip_offset": offset}))
    assert_level(found.after.bag, found.after.bag.body.front_trim)


def test_two_handles_hang_level_below_every_top_and_come_back_as_they_were() -> None:
    jar = sample("jar")
    for top in ("hem", "facing", "roll-top"):
        other = with_choice(jar, "top", top)
        assert_level(other, 0.0)
        assert_level(with_choice(other, "top", "zip-forward"), 0.0)


@pytest.mark.parametrize("upper", [0.0, 2.25 * INCH])
@pytest.mark.parametrize("lower", [0.0, 1.5 * INCH])
@pytest.mark.parametrize("more", [-2.0, 0.0, 1.0, 2.0, 3.0])
def test_a_wrap_ends_as_far_below_the_top_as_its_strip_goes_up(
    more: float, lower: float, upper: float
) -> None:
    """On the sides and in the upper corners, with square and rounded ones."""
    length = 32.0 - 4.0 * bool(upper) - 1.0 * bool(lower) + more
    body = e2(Wrap, corner_rounding=lower, upper_rounding=upper, strip_length=length * INCH)
    assert isinstance(body, Wrap)
    below = body.seats()[Face.FRONT].above
    assert 0.0 <= below < 4 * INCH
    assert below == pytest.approx(end_below_top(body), abs=1e-3)


def test_over_a_top_that_is_rolled_down_the_drop_is_that_of_the_bag_as_it_is_carried() -> None:
    """Stops as far down as all is rolled in: the drop is all that the loop stands above them."""
    bag = with_choice(sample("jar"), "top", "roll-top")
    rolled = bag.top.rolls * bag.top.depth
    stop = bag.site.front.top_allowance + rolled
    bag = with_figures(bag, {"handle_stop": stop})
    handles = bag.parts["handles"]
    half_loop = (handles.loop(bag.site) - 2 * handles.leg) / 2
    stands = math.sqrt(half_loop**2 - ((handles.gap + handles.width) / 2) ** 2)
    for name in DROPS.values():
        assert compute(bag).finished[name] == pytest.approx(stands)
