"""What a redesign may change, between which limits, and what it weighs.

The limits are those that the fields themselves have: 0.01 mm is the least length, 5 m the
longest edge of a piece, a panel of two faces is twice as long, and sixty strips are joined.
"""

from collections.abc import Mapping

import numpy as np
import pytest

from core.bag.bag import Bag
from core.bag.compute import measure_walls
from core.base.errors import FieldError
from core.redesign.variables import (
    Variables,
    bag_with,
    bag_without_slivers,
    limits_of,
    open_variables,
    scales_of,
    unknowns_of,
    value_of,
)
from core.storage.bag_files import demo_bag
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import changed, demo, demo_panel, inch

PANEL = ("panel_width", "panel_length", "front_trim", "corner_cut_width", "corner_cut_depth")
POCKET, LOOP = "pocket_cut_height", "handle_loop"
EACH = inch(42) - 2 * inch(0.25)
"""What a strip across goods of 42 in is long, joined at both ends."""


def opened(*exact: str, bag: Bag | None = None, **fixed: float) -> Variables:
    """The space of the demo, or of another bag."""
    bag = demo() if bag is None else bag
    return open_variables(bag, measure_walls(bag), fixed, frozenset(exact))


@pytest.mark.parametrize(("bag", "names"), [
    (demo(), (*PANEL, POCKET, LOOP)),
    (demo(pocket=None, handles=None), PANEL),
    (demo(top=Hem(), handles=None), (*PANEL[:2], *PANEL[3:], POCKET)),
    # Seams of 3/8 in leave half a millimetre of the tape.
    (demo(top=ZipForward(tape_width=inch(0.75) + 0.5, length=inch(22)), handles=None),
     (*PANEL, POCKET)),
    (changed(demo(board=None), corner_cut_width=0, corner_cut_depth=0),
     (*PANEL[:3], POCKET, LOOP)),
])  # fmt: skip
def test_what_can_change(bag: Bag, names: tuple[str, ...]) -> None:
    assert tuple(each.name for each in unknowns_of(bag)) == names


@pytest.mark.parametrize(("exact", "fixed", "names"), [
    ((), {}, PANEL),
    (("base_width",), {"panel_width": 470.0}, PANEL[1:]),
    (("pocket_height",), {}, (*PANEL, POCKET)),
    (("handle_drop_front",), {}, (*PANEL, LOOP)),
    (("handle_drop_back",), {}, (*PANEL, LOOP)),
    ((LOOP, "base_width"), {}, (*PANEL, LOOP)),
    ((LOOP,), {"handle_strips": 4}, (*PANEL, LOOP)),
    # The loop follows from a last strip that is given; all else may change.
    ((LOOP, "pocket_height"), {"handle_last_strip": 500.0}, (*PANEL, POCKET)),
])  # fmt: skip
def test_a_pocket_and_a_handle_change_only_where_they_are_asked_for(
    exact: tuple[str, ...], fixed: Mapping[str, float], names: tuple[str, ...]
) -> None:
    assert opened(*exact, **fixed).unknowns == names


def test_what_is_weighed_is_what_the_bag_has() -> None:
    aims = ("base_width", "gusset_depth", "face_height", "zip_offset", "corner_mismatch")
    now = measure_walls(demo())
    space = opened("base_width")
    assert space.aims == aims
    assert space.home == pytest.approx([now[name] for name in aims])
    # Each by its own size, and what is near nothing as an inch (25 mm).
    assert space.scales == pytest.approx([inch(11), inch(6.75), inch(15), 25.0, 25.0])
    assert scales_of(np.array([0.0, -10.0, -100.0, 26.0])) == pytest.approx([25, 25, 100, 26])
    assert opened(bag=demo(top=Hem())).aims == (*aims[:3], aims[4])


def test_a_space_starts_from_the_bag_and_knows_its_limits() -> None:
    space = opened("pocket_height", "handle_drop_front")
    panel = demo_panel()
    assert space.start == pytest.approx([
        panel.width, panel.length, panel.front_trim, panel.corner_width, panel.corner_depth,
        inch(16), 3 * EACH,
    ])  # fmt: skip
    assert space.low == pytest.approx([0.01, 0.01, 0, 0, 0, 0.01, 0.01])
    assert space.high == pytest.approx([5000, 10_000, 5000, 5000, 5000, 5000, 60 * EACH])
    assert limits_of(demo(), "handle_width", {}) == (1.5875, 500.0)  # where a strip folds


@pytest.mark.parametrize("strips", [1, 2, 3, 60])
def test_so_many_strips_give_loops_of_these_lengths(strips: int) -> None:
    space = opened(LOOP, handle_strips=strips)
    low, high = float(space.low[-1]), float(space.high[-1])
    # No loop is shorter than any length is; two strips give one just longer than one does.
    least = 0.01 if strips == 1 else (strips - 1) * EACH
    assert (low, high) == pytest.approx((least, strips * EACH), abs=1e-4)
    for loop in (low, (low + high) / 2, high):
        bag = bag_with(demo(), {LOOP: loop})
        assert bag.parts["handles"].strips == strips
        assert value_of(bag, LOOP) == pytest.approx(loop, abs=1e-6)
    assert bag_with(demo(), {LOOP: high}).parts["handles"].last_strip is None
    # Just below there is no such last strip, and just above it takes another.
    if strips == 1:
        with pytest.raises(FieldError):
            bag_with(demo(), {LOOP: -1e-4})
    else:
        assert bag_with(demo(), {LOOP: low - 1e-4}).parts["handles"].strips == strips - 1
    if strips == 60:
        with pytest.raises(FieldError):
            bag_with(demo(), {LOOP: high + 1e-4})


def test_what_is_too_small_to_be_a_length_is_nothing() -> None:
    bag = bag_without_slivers(demo(), {"front_trim": 0.009, "panel_width": 480.0, LOOP: 2000.0})
    assert (bag.body.front_trim, bag.body.width) == (0.0, 480.0)
    assert value_of(bag, LOOP) == pytest.approx(2000.0)
    with pytest.raises(FieldError):
        bag_with(demo(), {"front_trim": 0.009})
    plain = demo(handles=None)
    assert value_of(plain, LOOP) is None
    assert bag_with(plain, {"panel_width": 480.0}).body == demo_panel(width=480.0)


def test_a_space_measures_the_bag_at_its_unknowns() -> None:
    space = opened("handle_drop_front", bag=demo_bag())
    x = space.start + np.array([10.0, 20.0, 4.0, 3.0, 2.0, 100.0])
    bag, measured = space.measured(x)
    assert bag == space.at(x)
    assert [value_of(bag, name) for name in space.unknowns] == pytest.approx(x.tolist())
    # Base W - 2 (a + s2), gusset 2 (b - s4 + s2), offset t/2: of the demo 11, 6 3/4 and 3/4 in.
    assert measured["base_width"] == pytest.approx(inch(11) + 10.0 - 2 * 3.0)
    assert measured["gusset_depth"] == pytest.approx(inch(6.75) + 2 * 2.0)
    assert measured["zip_offset"] == pytest.approx(inch(0.75) + 4.0 / 2)
    # Half of what runs from top to top, less half a gusset.
    assert measured["face_height"] == pytest.approx(inch(15) + (20.0 - 4.0) / 2 - 2.0)
