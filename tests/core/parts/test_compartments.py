"""What the handles' stitching makes of a pocket: compartments only where it divides one.

Widths by sums: the demo bag's panel is 18 1/2 in wide with side seams of 1/4 in, its handles
1 in wide and 5 in apart, its pocket 7 3/4 in high from 4 1/2 in below the cut edge.
"""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.flat.roles import Face
from core.parts.compartments import divisions
from core.parts.handles.figures import HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.sewing.steps import operations
from tests.core.bag.handle_limits import handled, paired
from tests.helpers import having, inch


def widths(bag: Bag) -> tuple[float | None, float | None]:
    finished = compute(bag).finished
    return finished["pocket_side_compartment"], finished["pocket_middle_compartment"]


def said(bag: Bag) -> str:
    """What the steps say while the handles are sewn down."""
    every = operations(bag, compute(bag).draft)
    (step,) = (each for each in every if each.key == "topstitch handles down")
    return " ".join(each.text() for each in step.instructions)


# (18 1/2 - 5 - 2 x 1 1/4)/2 - 3/8 is 5 1/8 in.
BOTH = (pytest.approx(inch(5.125)), pytest.approx(inch(5)))
NONE = (None, None)


@pytest.mark.parametrize(
    ("bag", "expected"),
    [
        (handled(stop=inch(4.5)), BOTH),
        (handled(stop=inch(5)), BOTH),
        (handled(stop=inch(12.125) - 0.01), BOTH),
        # The stop lies on the pocket's lower edge, or below it.
        (handled(stop=inch(12.125)), NONE),
        (handled(stop=320.0), NONE),
        # Legs that end on its lower edge, and just above it.
        (paired(leg=inch(7.625)), BOTH),
        (paired(leg=inch(7.625) - 0.01), NONE),
        # Legs that end above the pocket altogether.
        (paired(stop=inch(2), leg=inch(2)), NONE),
        # No room between the legs, none beside them, none anywhere.
        (handled(gap=0.0), (pytest.approx(inch(7.625)), None)),
        (paired(gap=inch(15.5)), (None, pytest.approx(inch(15.5)))),
        (paired(gap=inch(18)), NONE),
        (paired(gap=inch(30)), NONE),
        (having(handled(), pocket=None), NONE),
        (having(handled(), handles=None), NONE),
    ],
)
def test_compartments_are_those_that_the_stitching_makes(
    bag: Bag, expected: tuple[object, object]
) -> None:
    assert widths(bag) == expected
    if bag.parts.get("handles") is not None:
        assert ("divides" in said(bag) or "one compartment" in said(bag)) == (expected != NONE)


@pytest.mark.parametrize("gap", [0.0, 5.0, 10.0, 12.0, 14.75, 15.25, 17.0])
def test_no_compartment_is_ever_negative(gap: float) -> None:
    """Legs 1 1/4 in wide, 17 3/4 in between the side seams: each compartment from nothing on."""
    side, middle = widths(handled(gap=inch(gap)))
    beside = (17.75 - 2.5 - gap) / 2
    divided = gap < 17.75
    assert side == (pytest.approx(inch(beside)) if beside > 0.0 and divided else None)
    assert middle == (pytest.approx(inch(gap)) if gap > 0.0 and divided else None)


SIXTEENTHS = st.integers(0, 400).map(lambda count: count / 16)


@given(
    gap=SIXTEENTHS.filter(lambda gap: gap < 17.75),
    stop=st.floats(4.5, 12.1),
    wide=SIXTEENTHS.filter(lambda wide: 0.25 <= wide <= 4.0),
)
def test_compartments_fill_a_divided_pocket_but_for_its_legs(
    gap: float, stop: float, wide: float
) -> None:
    """Seam to seam 17 3/4 in: two at the sides, one between, and two legs over what is left."""
    side, middle = widths(handled(gap=inch(gap), stop=inch(stop), width=inch(wide)))
    beside = (17.75 - gap) / 2 - wide
    assert side == (None if beside <= 0.0 else pytest.approx(inch(beside), abs=1e-6))
    assert middle == (None if gap == 0.0 else pytest.approx(inch(gap), abs=1e-6))


def test_what_stays_open_is_said_with_its_size() -> None:
    """A stop at 200 mm is 85.7 mm below the pocket's upper edge at 114.3 mm."""
    (division,) = divisions_of(handled(stop=200.0))
    assert (division.above, division.below) == (pytest.approx(85.7), 0.0)
    assert "stay open to each other for 85.7 mm" in said(handled(stop=200.0))
    (division,) = divisions_of(paired(leg=inch(5)))
    assert division.below == pytest.approx(inch(2.625))
    assert "open from side to side" in said(paired(leg=inch(5)))


def test_each_face_with_a_pocket_is_judged_on_its_own() -> None:
    bag = handled(stop=inch(5))
    assert bag.parts.get("pocket") is not None
    both = having(bag, pocket=replace(bag.parts["pocket"], faces=PocketFaces.BOTH))
    assert [each.face for each in divisions_of(both)] == [Face.FRONT, Face.BACK]
    assert "divides each pocket" in said(both)


def divisions_of(bag: Bag) -> tuple:
    return divisions(bag.parts.get("pocket"), bag.parts.get("handles"), bag.site)


def test_lines_are_drawn_across_a_pocket_only_where_the_legs_cross_it() -> None:
    for bag, crossed in ((handled(), True), (handled(stop=320.0), False)):
        every = operations(bag, compute(bag).draft)
        (step,) = (each for each in every if each.key == "lay on front pocket")
        assert any("across the pocket" in each.text() for each in step.instructions) is crossed


def test_a_loop_has_no_lower_end() -> None:
    """It goes on under the bottom, so that a pocket is never open below it."""
    assert handled().parts["handles"].style is HandleStyle.LOOP
    (division,) = divisions_of(handled())
    assert division.below == 0.0
