"""What the steps say where a size of the bag is nothing: never a length of 0 to work to.

Each bag is the demo bag with one measure just above nothing, and at it or beyond.
"""

import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.parts.board.board import BaseBoard, BoardWay
from core.sewing.steps import operations
from core.tops.zip_forward.zip import ZipForward
from tests.helpers import changed, demo, demo_panel, having, inch, layer, sandwich


def told(bag: Bag, key: str) -> str:
    (step,) = (each for each in operations(bag, compute(bag).draft) if each.key == key)
    return " ".join(each.text() for each in step.instructions)


def zipped(length: float) -> Bag:
    return demo(top=ZipForward(tape_width=inch(1.25), length=length))


def test_a_zip_as_long_as_the_panel_has_nothing_to_leave_beyond_the_marks() -> None:
    assert "Leave 0.5 mm of zip beyond" in told(zipped(inch(18.5) + 1.0), "mark zip")
    assert "nothing to spare" in told(zipped(inch(18.5)), "mark zip")
    assert "is 1 mm too short" in told(zipped(inch(18.5) - 1.0), "mark zip")


def test_a_zip_in_the_fold_lies_on_it() -> None:
    """The middle of the zip lies half of the front trim below the top fold."""
    above, on = changed(demo(), front_trim=2.0), changed(demo(), front_trim=0.0)
    for key in ("fold bag", "measure bag"):
        assert " 1 mm below" in told(above, key)
        assert "below" not in told(on, key)
    assert "the fold runs along the middle of the zip" in told(on, "fold bag")
    assert "lies on the top fold" in told(on, "measure bag")


@pytest.mark.parametrize(
    ("bag", "stands"),
    [
        # 18 1/2 - 2 (a + 3/8) in: the base is nothing at a = 8 7/8 in.
        (changed(demo(), corner_cut_width=inch(8.875) - 0.5), True),
        (changed(demo(), corner_cut_width=inch(8.875)), False),
        (changed(demo(), corner_cut_width=inch(9)), False),
    ],
)
def test_a_bag_without_a_base_is_not_measured_standing(bag: Bag, stands: bool) -> None:
    text = told(bag, "measure bag")
    assert ("Stand it up" in text) is stands
    assert ("does not stand" in text) is not stands


def test_a_corner_cut_without_depth_is_a_slit_along_the_fold() -> None:
    """With a side seam as wide as the cut its gusset is two corner seams deep."""
    cut = changed(demo(), corner_cut_width=inch(0.375), corner_cut_depth=0.5)
    slit = changed(demo(), corner_cut_width=inch(0.375), corner_cut_depth=0.0)
    assert compute(slit).finished["gusset_depth"] == pytest.approx(inch(0.75))
    assert "Each notch is" in told(cut, "cut corner cuts")
    assert "draw the corner cut" in told(cut, "mark panel")
    assert "slit the fold" in told(slit, "cut corner cuts")
    assert "slit" in told(slit, "mark panel")
    assert "corner cut" in told(cut, "baste lining" if cut.sandwich.last_laid else "baste layers")
    assert "corner cut" not in told(slit, "baste layers")


def test_corners_without_width_lose_no_cloth() -> None:
    narrow = changed(demo(), corner_cut_width=0.0)
    seamed = demo(body=demo_panel(bottom_seam=inch(0.375), corner_depth=0.0))
    for bag in (narrow, seamed):
        assert "Nothing is cut away" in told(bag, "cut corner cuts")
        assert "draw the corner cut" not in told(bag, "mark panel")


def test_a_board_wider_than_the_panel_has_no_place_on_it() -> None:
    walled = demo(sandwich=sandwich(layer(), layer("lining", laid_last=True)))
    for width, fits in ((inch(18.5), True), (inch(18.5) + 1.0, False)):
        board = BaseBoard(width=width, depth=inch(3), way=BoardWay.FUSED)
        text = told(having(walled, board=board), "lay on base board")
        assert ("from the side edges" in text) is fits
        assert ("wider than the panel" in text) is not fits
