"""Pieces side by side on a sheet, against the rule told again from the pieces that lie already."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import box

from core.drawing.layout import Breaks, PiecePlace, Slab, lay_slabs, moved, sheet_size
from core.drawing.records import Line, Polygon, Text
from core.flat.ink import Ink

GAP = 12


def bounds_on_sheet(slab, place):
    (x0, y0), (x1, y1) = place.point(slab.bounds[:2]), place.point(slab.bounds[2:])
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def settled(depth, tall, breaks):
    """The least depth from `depth` on at which a page holds it, past the strip if it may be."""
    if breaks is None or tall > breaks.page:
        return depth
    row = math.floor(depth / breaks.step)
    if depth + tall <= row * breaks.step + breaks.page:
        return depth
    strip = breaks.overlap if tall + breaks.overlap <= breaks.page else 0
    return (row + 1) * breaks.step + strip


def laid(sizes, width, breaks=None):
    """(left, depth, width, height) of each, placed one by one as `lay_slabs` promises."""
    first = sizes[0][0]
    order = sorted(
        range(len(sizes)),
        key=lambda i: (i > 0, sizes[i][0] + GAP + first > width, -sizes[i][1]),
    )
    lie = {}
    for i in order:
        wide, tall = sizes[i]
        places = []
        for x in {0, *(left for left, *_ in lie.values())} | {
            left + other + GAP for left, _, other, _ in lie.values()
        }:
            if x and x + wide > width:
                continue
            above = [
                deep + high + GAP
                for left, deep, other, high in lie.values()
                if left < x + wide + GAP and x < left + other + GAP
            ]
            places.append((settled(max(above, default=0), tall, breaks), x))
        depth, x = min(places)
        lie[i] = (x, depth, wide, tall)
    return [lie[i] for i in range(len(sizes))]


# Whole millimetres, so that what fits exactly fits, and a lower left corner that is none.
rectangles = st.lists(
    st.tuples(*[st.integers(5, 300)] * 2, *[st.integers(-99, 99)] * 2), min_size=1, max_size=8
)
pages = st.none() | st.builds(
    lambda page, overlap: Breaks(page, page - overlap, overlap),
    st.integers(150, 280),
    st.integers(8, 40),
)


@example([(50, 10, 0, 0), (38, 100, 0, 0), (50, 20, 0, 0)], 100, False, None)
@example([(40, 90, 5, 5), (40, 80, 5, 5), (40, 120, 5, 5)], 144, False, Breaks(150, 140, 10))
@given(rectangles, st.integers(100, 700), st.booleans(), pages)
def test_each_lies_as_high_and_then_as_far_left_as_it_goes(corners, width, turn, breaks):
    slabs = [Slab((x, y, x + w, y + h), turn) for i, (w, h, x, y) in enumerate(corners)]
    turned = [turn and w > width and h < w for w, h, *_ in corners]
    sizes = [(h, w) if t else (w, h) for (w, h, *_), t in zip(corners, turned, strict=True)]
    wanted = laid(sizes, width, breaks)
    bottom = max(depth + tall for _, depth, _, tall in wanted)
    placed = lay_slabs(slabs, gap=GAP, width=width, breaks=breaks)
    assert [each.turned for each in placed] == turned
    assert len(placed) == len(slabs)
    lie = [bounds_on_sheet(*each) for each in zip(slabs, placed, strict=True)]
    for found, (x, depth, wide, tall) in zip(lie, wanted, strict=True):
        assert found == pytest.approx((x, bottom - depth - tall, x + wide, bottom - depth))
    ends = (max(right for *_, right, _ in lie), max(top for *_, top in lie))
    assert sheet_size(slabs, placed) == pytest.approx(ends)


def test_rounding_pushes_nothing_to_the_next_row():
    """Sums of converted inches are off by some 1e-13: what fits to a ten millionth of a mm fits."""
    hair = 1e-7
    slabs = [
        Slab((0.0, 0.0, 50.0, 10.0)),
        Slab((0.0, 0.0, 38.0 + hair, 100.0)),
        Slab((0.0, 0.0, 50.0 + hair, 20.0)),
    ]
    first, beside, below = lay_slabs(slabs, gap=GAP, width=100.0)
    assert (first.dx, first.dy) == pytest.approx((0.0, 90.0))
    assert (beside.dx, beside.dy) == pytest.approx((62.0, 0.0))
    assert (below.dx, below.dy) == pytest.approx((0.0, 58.0))
    turned = lay_slabs([Slab((0.0, 0.0, 100.0 + hair, 10.0), True)], gap=GAP, width=100.0)
    assert not turned[0].turned


@pytest.mark.parametrize(
    ("depth", "tall", "where"),
    [
        (0.0, 100.0, 0.0),
        (60.0, 40.0, 60.0),
        (60.0, 40.0 + 1e-7, 60.0),
        (60.0, 41.0, 100.0),  # the next page begins at 90 and shares 10 with this one
        (60.0, 90.0, 100.0),
        (60.0, 91.0, 90.0),  # below the shared strip there are 90
        (60.0, 100.0, 90.0),
        (60.0, 101.0, 60.0),  # no page holds it
        (90.0 - 1e-7, 100.0, 90.0),
        (150.0, 40.0, 150.0),
        (150.0, 41.0, 190.0),
    ],
)
def test_what_fits_on_a_page_lies_on_one(depth, tall, where):
    """Own arithmetic: pages from 0 to 100, 90 to 190, 180 to 280 and so on."""
    breaks = Breaks(page=100.0, step=90.0, overlap=10.0)
    assert breaks.settled(depth, tall) == pytest.approx(where)


sizes = st.tuples(st.floats(5, 900), st.floats(5, 900))


@example([(5.0, 5.0)] * 4 + [(5.0, 6.0), (16.0, 5.0)], 100.0, False)
@given(st.lists(sizes, min_size=1, max_size=9), st.floats(100, 1500), st.booleans())
def test_slabs_never_overlap_nor_leave_the_sheet(rectangles, width, turn):
    slabs = [Slab((0.0, 0.0, w, h), turn) for i, (w, h) in enumerate(rectangles)]
    placed = lay_slabs(slabs, gap=GAP, width=width)
    boxes = [box(*bounds_on_sheet(*each)) for each in zip(slabs, placed, strict=True)]
    for i, one in enumerate(boxes):
        assert all(one.distance(other) >= GAP - 1e-3 for other in boxes[:i])
    across, up = sheet_size(slabs, placed)
    assert across <= max(width, *(each.size(False)[0] for each in slabs)) + 1e-3
    assert all(each.within(box(-1e-3, -1e-3, across + 1e-3, up + 1e-3)) for each in boxes)


@pytest.mark.parametrize("turned", [False, True])
def test_a_record_turns_with_its_piece(turned):
    place = PiecePlace(10.0, 20.0, turned)
    points = ((0.0, 0.0), (3.0, 0.0), (3.0, 1.0))
    there = (
        ((10.0, 20.0), (10.0, 23.0), (9.0, 23.0))
        if turned
        else ((10.0, 20.0), (13.0, 20.0), (13.0, 21.0))
    )
    line = moved(Line(Ink.CUT, points, "side", "panel"), place)
    assert line == Line(Ink.CUT, there, "side", "panel")
    shape = moved(Polygon(Ink.CUT, points, "panel"), place)
    assert shape == Polygon(Ink.CUT, there, "panel")
    text = moved(Text(Ink.LABEL, (3.0, 1.0), "x", 3.0, angle=5.0), place)
    assert isinstance(text, Text)
    assert (text.at, text.angle) == (there[2], 95.0 if turned else 5.0)
    assert [place.back(point) for point in there] == list(points)


def test_a_piece_lies_as_it_was_drawn_unless_told():
    assert not PiecePlace(0.0, 0.0).turned
    wide = Slab((0.0, 0.0, 200.0, 100.0))
    assert [each.turned for each in lay_slabs([wide], gap=GAP, width=150.0)] == [False]
