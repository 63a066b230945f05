"""Notches and clips of closed seams, measured on the printed PDF by two readers of it.

Where they belong is worked out by hand from the sizes that the maker types, with the arcs' lengths,
r pi / 2; nothing of the program that draws them is asked. All in mm.
"""

import math
from functools import cache

import pytest

from core.bag.bag import Bag, with_figures
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.output.papers import roll
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.storage.bag_files import sample
from tests.core.output.readers import READERS, Segment

NEAR = 0.1
"""As far off as a mark may be printed."""
CUT, NOTCH, CLIP = 0.6, 0.9, 0.3
"""Widths of their lines."""
STITCH = 2.5


@cache
def strokes(name: str, reader: str) -> tuple[Segment, ...]:
    """Of all pieces of a bag on one page."""
    options = PrintOptions(paper=roll(1100.0), half=name == "half")
    data = pdf_bytes(compute(BAGS[name]()), options)
    return tuple(READERS[reader](data, 0))


def _lid() -> Bag:
    return with_choice(with_choice(sample("jar"), "body_pieces", "4"), "top", "top-strip")


def _round() -> Bag:
    """A base of 200 by 200, a circle; its walls follow: half of 2 pi 90, and 10 at each side.

    A board would not lie on it, and no pocket is as wide.
    """
    bag = sample("jar").without("pocket", "handles", "board")
    wide = math.pi * 90.0 + 20.0
    return with_figures(
        bag,
        {
            "base_cut_width": 200.0,
            "base_cut_depth": 200.0,
            "corner_rounding": 100.0,
            "body_width": wide,
        },
    )


BAGS = {
    "strip": lambda: sample("coolbox"),
    "half": lambda: sample("coolbox"),
    "base": lambda: sample("jar"),
    "lid": _lid,
    "circle": _round,
}


def _is_long(stroke: Segment, length: float, width: float) -> bool:
    x0, y0, x1, y1, thick = stroke
    return abs(math.dist((x0, y0), (x1, y1)) - length) < 0.02 and abs(thick - width) < 0.01


def marked(
    name: str, reader: str, edge: float, width: float = NOTCH, deep: float = 6.0
) -> list[list[float]]:
    """Of each cut edge of this length: where marks begin on it, from its middle, in order."""
    every = strokes(name, reader)
    marks = [each for each in every if _is_long(each, deep, width)]
    found = []
    for x0, y0, x1, y1, _ in (each for each in every if _is_long(each, edge, CUT)):
        length = math.dist((x0, y0), (x1, y1))
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        at = []
        for mx, my, nx, ny, _ in marks:
            for px, py in ((mx, my), (nx, ny)):
                off = (px - x0) * uy - (py - y0) * ux
                along = (px - x0) * ux + (py - y0) * uy
                if abs(off) < 0.05 and -0.05 < along < length + 0.05:
                    at.append(along - length / 2)
        found.append(sorted(at))
    return found


def mirrored(*places: float) -> list[float]:
    """These to either side of the middle, in order; 0 once."""
    return sorted({sign * each for each in places for sign in (1.0, -1.0)})


@pytest.mark.parametrize("reader", READERS)
def test_a_strip_of_a_closed_ring_is_marked_where_its_corners_begin_and_end(reader: str) -> None:
    """Panel 320 x 260, allowance 10, R 50: a straight bottom of 220, arcs of 40 pi / 2."""
    begins, ends = 110.0, 110.0 + 40.0 * math.pi / 2
    strip, top = 611.3274122871522, 440.0
    edges = marked("strip", reader, strip)
    assert len(edges) == 2
    for edge in edges:
        assert edge == pytest.approx(mirrored(0.0, begins, ends), abs=NEAR)
    # Of each half strip the outer edge alone meets a panel; the zip matches the middles of both.
    halves = [each for each in marked("strip", reader, top) if len(each) > 1]
    assert len(halves) == 2
    for edge in halves:
        assert edge == pytest.approx(mirrored(0.0, begins, ends), abs=NEAR)
    # Panels: middles, and both ends of each arc on straight edges of 220 and 160.
    for length, count in ((220.0, 4), (160.0, 4)):
        edges = marked("strip", reader, length)
        assert len(edges) == count
        for edge in edges:
            assert edge[0] == pytest.approx(-length / 2, abs=NEAR)
            assert edge[-1] == pytest.approx(length / 2, abs=NEAR)


@pytest.mark.parametrize("reader", READERS)
def test_a_strip_is_clipped_five_times_evenly_at_each_corner(reader: str) -> None:
    begins, arc = 110.0, 40.0 * math.pi / 2
    at = [begins + arc * (number + 0.5) / 5 for number in range(5)]
    edges = marked("strip", reader, 611.3274122871522, CLIP, 10.0 - STITCH)
    assert len(edges) == 2
    for edge in edges:
        assert edge == pytest.approx(mirrored(*at), abs=NEAR)


@pytest.mark.parametrize("reader", READERS)
def test_a_rounded_base_is_marked_in_its_middles_and_where_its_arcs_end(reader: str) -> None:
    """Base 280 x 200, R 60: straights of 160 and 80; on the walls arcs of 50 pi / 2 between."""
    for length in (160.0, 80.0):
        edges = marked("base", reader, length)
        assert len(edges) == 2
        for edge in edges:
            assert edge == pytest.approx(mirrored(0.0, length / 2), abs=NEAR)
    lower = [each for each in marked("base", reader, 417.0796326794506) if len(each) > 1]
    assert len(lower) == 2, "front and back"
    for edge in lower:
        assert edge == pytest.approx(mirrored(0.0, 80.0, 80.0 + 50.0 * math.pi / 2), abs=NEAR)
    # A straight stretch lies at most 1/2 mm off an arc: six clips round each corner of four.
    clips = [e for e in marked("base", reader, 417.0796326794506, CLIP, 10.0 - STITCH) if e]
    assert [len(each) for each in clips] == [12, 12]
    for edge in clips:
        assert edge == pytest.approx([-each for each in reversed(edge)], abs=NEAR)
        assert all(80.0 < abs(each) < 80.0 + 50.0 * math.pi / 2 for each in edge)


@pytest.mark.parametrize("reader", READERS)
def test_a_round_base_is_marked_in_quarters(reader: str) -> None:
    """Four marks on a circle of 100, a quarter apart; the walls meet it at their middles."""
    marks = [each for each in strokes("circle", reader) if _is_long(each, 6.0, NOTCH)]
    ends = [end for each in marks for end in (each[:2], each[2:4])]
    assert len(_squares(ends, 100.0 * math.sqrt(2))) == 1
    walls = marked("circle", reader, 90.0 * math.pi + 20.0)
    assert sum(each == pytest.approx([0.0], abs=NEAR) for each in walls) >= 2, "front and back"


@pytest.mark.parametrize("reader", READERS)
def test_a_lid_of_four_walls_is_marked_in_its_middles_and_at_its_zip(reader: str) -> None:
    """Walls 280 and 200 wide; the zip between half strips shows 32 - 2 x 10 of its tape."""
    narrow = [each for each in marked("lid", reader, 200.0) if each]
    at_zip = [each for each in narrow if len(each) > 1]
    assert len(at_zip) == 2, "the top edges of the sides"
    for edge in at_zip:
        assert edge == pytest.approx(mirrored(0.0, 6.0), abs=NEAR)
    # Below, both sides and the base have their middles; so have front, back, base and half strips.
    assert [each for each in narrow if len(each) == 1] == [pytest.approx([0.0], abs=NEAR)] * 4
    wide = [each for each in marked("lid", reader, 280.0) if each]
    assert len(wide) >= 2 * 2 + 2 + 2
    for edge in wide:
        assert edge == pytest.approx([0.0], abs=NEAR)


@pytest.mark.parametrize("reader", READERS)
def test_what_is_cut_on_the_fold_has_the_marks_of_its_half(reader: str) -> None:
    """Of the strip its left edge alone is cut."""
    edges = marked("half", reader, 611.3274122871522)
    begins, ends = 110.0, 110.0 + 40.0 * math.pi / 2
    assert [pytest.approx(mirrored(0.0, begins, ends), abs=NEAR)] == [
        e for e in edges if len(e) > 1
    ]


def _squares(points: list[tuple[float, ...]], side: float) -> set[frozenset[int]]:
    """Places of four points that are the corners of a square of this side."""
    found = set()
    for i, one in enumerate(points):
        near = [j for j, p in enumerate(points) if abs(math.dist(one, p) - side) < 2 * NEAR]
        for a in near:
            for b in near:
                if a < b and abs(math.dist(points[a], points[b]) - side * math.sqrt(2)) < 2 * NEAR:
                    x = points[a][0] + points[b][0] - one[0]
                    y = points[a][1] + points[b][1] - one[1]
                    for k, p in enumerate(points):
                        if math.dist(p, (x, y)) < 2 * NEAR:
                            found.add(frozenset((i, a, b, k)))
    return found
