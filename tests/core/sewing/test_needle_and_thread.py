"""Thread and needles against worked cases, and the thread of bags against closed arithmetic."""

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings

from core.bag.bag import Bag, with_figures
from core.bag.compute import compute
from core.base.sentences import Sentence
from core.model.findings import Severity
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.sewing.needle_and_thread import (
    Needle,
    StitchedLine,
    needle_for,
    stitched_lines,
    thread_needed,
    thread_ratio,
    with_allowance,
)
from core.sewing.steps import operations
from core.tops.hem.hem import Hem
from core.work.machine import Setting, Stitch
from core.work.operation import Action, Operation, Stitching
from tests.helpers import demo, having, inch, layer, sandwich
from tests.strategies import sewable_bags


def row(stitch: Stitch, length: float, stack: float = 0.0) -> StitchedLine:
    return StitchedLine(Stitching("seam", length, stack), Setting(stitch=stitch, length=2.5))


def test_thread_of_a_lockstitched_seam() -> None:
    """220 cm of lockstitch take 550 cm of thread ("You asked", melgeecrafts.com)."""
    assert thread_needed((row(Stitch.LOCKSTITCH, 2200.0),), allowance=0.0) == 5500.0


def test_thread_of_a_zigzag_seam() -> None:
    """304 takes 5.5 of thread for one of seam (ISO stitch types 300-400, apparelscience.com)."""
    assert row(Stitch.ZIGZAG, 1000.0).thread == 5500.0


def test_geometry_of_a_lockstitch() -> None:
    """A worked case of the formula.

    T = 0.01 in, S = 10 to the inch: 2.2 in to the inch (Calculate amount of sewing thread
    consumption, textilecalculations.com).
    """
    assert thread_ratio(0.01, 10) == pytest.approx(2.2)


def test_a_thick_stack_takes_more_than_the_table_says() -> None:
    thin, thick = (row(Stitch.LOCKSTITCH, 100.0, t).thread for t in (0.3, 3.0))
    assert thin == 250.0
    assert thick == pytest.approx(100 * thread_ratio(3.0, 1 / 2.5))
    assert thick > thin


def test_a_dense_zigzag_takes_what_its_slant_is_long() -> None:
    """Closed form: a stitch of length l and width w is hypot(l, w) long, above and below.

    A bar tack, 0.5 mm long and 3 mm wide through 3 mm: 2 hypot(0.5, 3) + 2 x 3 for each 0.5 mm.
    """
    tack = StitchedLine(
        Stitching("tack", 12.0, 3.0), Setting(stitch=Stitch.ZIGZAG, length=0.5, width=3.0)
    )
    assert tack.thread == pytest.approx(24 * (2 * math.hypot(0.5, 3.0) + 6.0))
    assert tack.thread > 12.0 * 5.5


def test_the_allowance() -> None:
    """Two worked cases.

    540 cm and 15 % make 621 cm (Measuring actual thread consumption, apparelscience.com);
    6.63 yd make 7.62 yd (Estimating thread consumption, apparel-merchandising.com, 2011).
    """
    assert with_allowance(130 + 410) == pytest.approx(621)
    assert with_allowance(6.63) == pytest.approx(7.62, abs=0.01)


def test_needle_numbers() -> None:
    """Both numberings of needles.

    Needle number system, apparelscience.com: 8/60 9/65 10/70 11/75 12/80 14/90
    16/100 18/110.
    """
    pairs = {8: 60, 9: 65, 10: 70, 11: 75, 12: 80, 14: 90, 16: 100, 18: 110}
    assert {Needle(metric, 40).size: metric for metric in pairs.values()} == pairs


def test_thread_numbers() -> None:
    """Ticket and Tex.

    Ticket numbers, onlineclothingstudy.com, 2013: 120 is Tex 25, 75 is 40,
    40 is 75, 30 is 100.
    """
    pairs = {120: 25, 75: 40, 40: 75, 30: 100}
    assert {Needle(90, tex).ticket: tex for tex in pairs.values()} == pairs


def test_a_thicker_stack_never_gets_a_finer_needle() -> None:
    """Needles for light and heavy goods.

    ASTM D1683 sews ordinary cloth with Nm 90 and Tex 40; heavy wovens take Nm 100 to 110
    (Needles for stitching textiles, texpedia.org, 2013).
    """
    stacks = [tenth / 10 for tenth in range(80)]
    needles = [needle_for(stack) for stack in stacks]
    assert [n.metric for n in needles] == sorted(n.metric for n in needles)
    assert [n.tex for n in needles] == sorted(n.tex for n in needles)
    assert needle_for(1.0) == Needle(90, 40)
    assert 100 <= needles[-1].metric <= 110


# --- Whole bags -----------------------------------------------------------------------------------


def rows_of(bag: Bag) -> dict[str, StitchedLine]:
    every = stitched_lines(operations(bag, compute(bag).draft))
    assert len({each.label for each in every}) == len(every)
    return {each.label: each for each in every}


FILM = layer("film lining", melts=True, laid_last=True)
WORKED = demo(sandwich=sandwich(layer(usable_width=inch(42)), layer("fleece"), FILM))
"""W 18 1/2, L 38 1/2, t 1 1/2, a 3 3/8, b 3, all allowances 3/8, zip 1/2 + 2 x 3/8 wide.

Back 19 1/4, front 17 3/4; pocket 7 5/8 high, 4 1/2 down; handles 1 1/4 in wide, 5 in apart, stop
5 in down, 3 strips of 42; each layer 0.4 mm pressed.
"""
BY_HAND = {
    # Three joins as wide as a strip, 4 x 1 1/4 - 1/4; both edges of the loop of 3 x (42 - 1/2).
    "joins of the strips": (3 * 4.75, 2),
    "edges of the handles": (2 * 124.5, 4),
    # Four lines on each face from the stop to the fold; of those on the front, which lie from
    # 12 3/4 down to 0, the pocket lies under 17 3/4 - 4 1/2 = 13 1/4 down to 5 5/8.
    "handles onto the wall": (4 * (12.75 + 14.25) - 4 * 7.125, 2 + 4),
    "handles onto the pocket": (4 * 7.125, 2 + 4 + 2),
    # Four squares of 1 1/4 - 2 x 1/8, each with two diagonals.
    "boxes at the handles' stops": (4 * 1.0 * (4 + 2 * math.sqrt(2)), 2 + 4),
    "pocket seams": (18.5, 2),
    "pocket upper edges": (18.5, 2),
    "basting the pocket's sides": (2 * 7.625, 2 + 2),
    "pocket bottoms": (18.5, 2 + 4),
    # Round the rectangle; then round the panel with its corners, into each and out again.
    "basting the layers": (2 * 18.5 + 2 * 37, 2),
    "basting the lining": (2 * 18.5 + 2 * 37 + 4 * 3.375, 3),
    "zip seams": (2 * 18.5, None),
    "topstitching along the zip": (2 * 18.5, None),
    "bar tacks at the zip's ends": (2 * 0.5, None),
    # Back and front less two corners of 3 in and seams of 3/8, less two zip seams, and the zip.
    "side seams": (19.25 + 17.75 - 2 * 3.375 - 2 * 0.375 + 0.5, 6),
    "corner seams": (2 * 6.75, 6),
    "overcasting the side seams": (19.25 + 17.75 - 2 * 3.375 - 2 * 0.375 + 0.5, 6),
    "overcasting the corner seams": (2 * 6.75, 6),
}
"""Inches of stitching, and how many layers of 0.4 mm lie under the needle; None with a zip."""


def test_the_worked_bag_by_hand() -> None:
    rows = rows_of(WORKED)
    assert {name: each.length / 25.4 for name, each in rows.items()} == pytest.approx(
        {name: inches for name, (inches, _) in BY_HAND.items()}
    )
    for name, (_, layers) in BY_HAND.items():
        if layers is not None:
            assert rows[name].stitching.stack == pytest.approx(0.4 * layers), name


def test_the_worked_bags_thread_by_hand() -> None:
    """Each row by the formula, with its stitch as the trade sets it; then 15 % more."""
    total = 0.0
    for name, (inches, layers) in BY_HAND.items():
        stack = 0.4 * (layers or 0)
        if layers is None:
            walls = {"zip seams": 3, "topstitching along the zip": 6}.get(name, 6)
            tapes = 2 if "tacks" in name else 1
            stack = 0.4 * walls + 0.6 * tapes
        if "overcasting" in name:
            ratio = max(5.5, 2 * math.hypot(2.5, 4.0) / 2.5 + 2 * stack / 2.5)
        elif "tacks" in name:
            ratio = 2 * math.hypot(0.5, 3.0) / 0.5 + 2 * stack / 0.5
        else:
            top = ("onto", "boxes", "edges", "bottoms", "topstitching")
            stitch = 5.0 if "basting" in name else 3.0 if any(t in name for t in top) else 2.5
            ratio = max(2.5, 2 + 2 * stack / stitch)
        total += inch(inches) * ratio
    rows = stitched_lines(operations(WORKED, compute(WORKED).draft))
    assert thread_needed(rows) == pytest.approx(1.15 * total)


def test_separate_handles_have_a_lower_end_and_no_loop() -> None:
    handles = Handles(
        style=HandleStyle.SEPARATE, width=inch(1), gap=inch(5), stop=inch(5), strips=1,
        leg=inch(6),
    )  # fmt: skip
    rows = rows_of(demo(handles=handles, pocket=None))
    assert "joins of the strips" not in rows
    # Two handles of 42 less two ends turned in by 1/4.
    assert rows["edges of the handles"].length == pytest.approx(inch(2 * 2 * 41.5))
    # Four legs: two sides of 6 in, and an end of 1 - 2 x 1/8.
    assert rows["handles onto the wall"].length == pytest.approx(inch(4 * (2 * 6 + 0.75)))


def test_a_seamed_bottom_and_a_hem() -> None:
    bag = replace(demo(pocket=None, handles=None), top=Hem())
    bag = with_figures(bag, {"bottom_seam": inch(0.25), "front_trim": 0.0})
    rows = rows_of(bag)
    bottom = 18.5 - 2 * 3.375
    assert rows["bottom seam"].length == pytest.approx(inch(bottom))
    assert rows["overcasting the bottom seam"].length == pytest.approx(inch(2 * bottom))
    assert rows["hems"].length == pytest.approx(inch(2 * 18.5))
    assert rows["hems"].stitching.stack == pytest.approx(
        2 * 2 * 0.4
    )  # a layered wall is turned once
    one = rows_of(replace(bag, sandwich=sandwich(layer())))
    assert one["hems"].stitching.stack == pytest.approx(3 * 0.4)  # one layer twice
    raw = rows_of(with_figures(bag, {"zip_seam": 0.0}))
    assert raw["hems"].length == pytest.approx(inch(4 * 18.5))  # sewn twice along the raw edge
    assert "bar tacks at the top" in rows


def test_a_lining_laid_in_last_has_a_bottom_seam_of_its_own() -> None:
    lined = having(WORKED, sandwich=sandwich(layer(), FILM), pocket=None)
    rows = rows_of(with_figures(lined, {"bottom_seam": inch(0.25)}))
    # The corners are still in: both are sewn across the whole width.
    assert rows["bottom seam"].length == pytest.approx(inch(18.5))
    assert rows["bottom seam of the lining"].length == pytest.approx(inch(18.5))
    assert rows["bottom seam of the lining"].stitching.stack == pytest.approx(2 * 0.4)
    assert "overcasting the bottom seam" not in rows  # hidden between
    assert "basting the layers" not in rows  # there is but one before the lining


@settings(max_examples=60, suppress_health_check=[HealthCheck.filter_too_much])
@given(bag=sewable_bags())
def test_every_machine_operation_takes_thread(bag: Bag) -> None:
    result = compute(bag)
    every = operations(bag, result.draft)
    assume(not any(each.severity is Severity.STOP for each in result.findings))
    sewn = [each for each in every if each.setting is not None]
    assert len(sewn) >= 4  # two sides and two edges of the top
    for each in sewn:
        assert sum(line.length for line in each.stitching) > 0.0, each.key


@pytest.mark.parametrize("setting", [None, Setting(length=2.5)])
def test_a_machine_without_lines_and_lines_without_a_machine_are_no_operation(
    setting: Setting | None,
) -> None:
    lines = (Stitching("seam", 1.0, 1.0),) if setting is None else ()
    with pytest.raises(ValueError, match="join it"):
        Operation(
            key="join it", action=Action.JOIN, title=Sentence("t"), instructions=(),
            setting=setting, stitching=lines,
        )  # fmt: skip
