"""Thread and needles against worked cases, and the notions of the demo bag."""

import math
from dataclasses import replace

import pytest

from core.bagfile import demo_bag, sample
from core.compute import compute
from core.goods.notions import clips_around, notions_of
from core.goods.stitching import (
    Needle,
    Row,
    StitchType,
    domestic_size,
    lockstitch_ratio,
    metric_needle,
    metric_ticket,
    needle_for,
    tex_of_ticket,
    thread_needed,
    with_allowance,
)
from core.parts.closure import OpenTop
from tests.helpers import inch


def row(stitch: StitchType, length: float, thickness: float = 0.0) -> Row:
    return Row("seam", stitch, length, thickness)


def test_thread_of_a_lockstitched_seam() -> None:
    """220 cm of lockstitch take 550 cm of thread ("You asked", melgeecrafts.com)."""
    assert thread_needed((row(StitchType.LOCKSTITCH, 2200.0),), allowance=0.0) == 5500.0


def test_thread_of_a_zigzag_seam() -> None:
    """304 takes 5.5 of thread for one of seam (ISO stitch types 300-400, apparelscience.com)."""
    assert row(StitchType.ZIGZAG, 1000.0).thread == 5500.0


def test_geometry_of_a_lockstitch() -> None:
    """A worked case of the formula.

    T = 0.01 in, S = 10 to the inch: 2.2 in to the inch (Calculate amount of sewing thread
    consumption, textilecalculations.com).
    """
    assert lockstitch_ratio(0.01, 10) == pytest.approx(2.2)


def test_a_thick_stack_takes_more_than_the_table_says() -> None:
    thin, thick = (row(StitchType.LOCKSTITCH, 100.0, t).thread for t in (0.3, 3.0))
    assert thin == 250.0
    assert thick == pytest.approx(100 * lockstitch_ratio(3.0, 1 / 2.5))
    assert thick > thin


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
    for size, metric in pairs.items():
        assert metric_needle(size) == metric
        assert domestic_size(metric) == size


def test_thread_numbers() -> None:
    """Ticket and Tex.

    Ticket numbers, onlineclothingstudy.com, 2013: 120 is Tex 25, 75 is 40,
    40 is 75, 30 is 100.
    """
    for ticket, tex in {120: 25, 75: 40, 40: 75, 30: 100}.items():
        assert tex_of_ticket(ticket) == pytest.approx(tex)
        assert metric_ticket(tex) == pytest.approx(ticket)


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


@pytest.mark.parametrize(
    ("length", "spacing", "clips"), [(1000.0, 100.0, 10), (1001.0, 100.0, 11), (99.0, 100.0, 1)]
)
def test_clips_are_no_further_apart_than_asked(length: float, spacing: float, clips: int) -> None:
    assert clips_around(length, spacing) == clips
    assert length / clips <= spacing


# --- The demo bag ---------------------------------------------------------------------------------


def test_rows_follow_the_walked_seams() -> None:
    result = compute(demo_bag())
    rows = {each.name: each for each in notions_of(result).rows}
    walked = {each.seam.name: each.length for each in result.draft.walked}
    sides = walked["side seam left"] + walked["side seam right"]
    assert rows["side seams"].length == pytest.approx(sides)
    # Back 19 1/4 and front 17 3/4, less two corners of 3 in and their seams, and the zip.
    side = (inch(19.25) + inch(17.75) - 2 * inch(3.25) - 2 * inch(0.25) + inch(0.75)) / 2
    assert rows["side seams"].length == pytest.approx(2 * side)
    assert rows["corner seams"].length == pytest.approx(2 * inch(6.5))
    assert rows["zip seams"].length == pytest.approx(2 * inch(18))
    assert rows["oversewing the side seams"].stitch is StitchType.ZIGZAG
    around = 2 * inch(18.5) + 2 * inch(37) + 4 * inch(3.25)  # into each corner cut and out again
    assert rows["basting the layers"].length == pytest.approx(around)
    assert rows["handles onto the panel"].length == pytest.approx(
        4 * (inch(17.75 - 5) + inch(19.25 - 5))
    )
    # Both edges of the loop of 124 1/2 in, and three joins as wide as a strip.
    assert rows["edges of the handles"].length == pytest.approx(2 * inch(124.5))
    assert rows["joins of the strips"].length == pytest.approx(3 * inch(3.75))


def test_notions_of_the_demo_bag() -> None:
    notions = notions_of(compute(demo_bag()))
    assert notions.closure is not None
    assert notions.closure.colour == "plum"
    assert notions.basting_tape == pytest.approx(2 * (inch(17.75 - 5) + inch(19.25 - 5)))
    assert notions.clips == math.ceil((2 * (18.5 + 37) + 4 * 3.25) / 2)
    assert notions.stack == pytest.approx(2 * 1.5)
    assert notions.needle.metric == 100
    bare_ratio = sum(each.length for each in notions.rows) * 2.5
    assert notions.thread > 1.15 * bare_ratio


def test_what_a_bag_lacks_takes_no_thread() -> None:
    bag = replace(demo_bag(), closure=OpenTop(), pocket=None, handles=None)
    notions = notions_of(compute(bag))
    names = {each.name for each in notions.rows}
    assert notions.closure is None
    assert notions.basting_tape == 0.0
    assert "zip seams" not in names
    assert not {name for name in names if "handle" in name or "pocket" in name or "strip" in name}
    assert "hems" in names
    assert notions.thread < notions_of(compute(demo_bag())).thread


def test_two_separate_handles_turn_their_ends_under() -> None:
    result = compute(sample("lunch"))
    handles = result.bag.handles
    assert handles is not None
    rows = {each.name: each.length for each in notions_of(result).rows}
    assert rows["edges of the handles"] == pytest.approx(4 * handles.loop(result.bag.site))
    assert notions_of(result).basting_tape == pytest.approx(4 * handles.leg)


def test_every_kind_of_seam_is_counted() -> None:
    for name in ("demo", "lunch", "tote"):
        result = compute(sample(name))
        rows = sum(
            each.length
            for each in notions_of(result).rows
            if each.name.endswith(("seams", "seam", "hems")) and not each.name.startswith("over")
        )
        assert rows == pytest.approx(sum(each.length for each in result.draft.walked))
