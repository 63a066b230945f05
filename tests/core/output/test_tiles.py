"""Tiles: how many, which are skipped, and that together they show everything once."""

import itertools

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.ops import unary_union

from core.output.tiling import page_joins, row_letters, tile, tile_count

A4_PRINTABLE = (196.0, 283.0)


def test_worked_example():
    """460 x 900 mm on A4 with 7 mm margins and 10 mm overlap takes 3 x 4 pages.

    Own arithmetic, n = ceil((L - o) / (p - o)): 450 / 186 = 2.42 and 890 / 273 = 3.26.
    """
    tiling = tile((460.0, 900.0), [box(0, 0, 460, 900)], page=A4_PRINTABLE, overlap=10.0)
    assert (tiling.columns, tiling.rows, len(tiling.tiles)) == (3, 4, 12)


lengths = st.floats(1.0, 5000.0)
pages = st.floats(150.0, 900.0)
overlaps = st.floats(8.0, 45.0)


@given(lengths, pages, overlaps)
def test_count_is_the_fewest_that_reach_the_end(length, page, overlap):
    count = tile_count(length, page, overlap)

    def reach(pages):
        return page + (pages - 1) * (page - overlap)

    assert reach(count) >= length - 1e-6
    assert count == 1 or reach(count - 1) < length


@given(st.lists(st.tuples(lengths, lengths, st.floats(20, 600), st.floats(20, 600)), max_size=4))
def test_tiles_show_every_piece_whole(corners):
    areas = [box(x, y, x + w, y + h) for x, y, w, h in [(4.0, 4.0, 300.0, 200.0), *corners]]
    size = (max(a.bounds[2] for a in areas) + 4, max(a.bounds[3] for a in areas) + 4)
    tiling = tile(size, areas, page=A4_PRINTABLE, overlap=10.0)
    windows = unary_union(
        [box(t.x, t.y, t.x + tiling.width, t.y + tiling.height) for t in tiling.tiles]
    )
    # Up to the hair by which a touching page does not count.
    assert all(area.difference(windows).area <= 0.05 * area.length for area in areas)


def test_pages_without_a_piece_are_skipped_and_labels_stay():
    areas = [box(0, 600, 100, 700), box(420, 0, 460, 40)]
    tiling = tile((460.0, 700.0), areas, page=A4_PRINTABLE, overlap=10.0)
    assert (tiling.columns, tiling.rows) == (3, 3)
    assert [each.label for each in tiling.tiles] == ["A1", "C3"]


# A lower left corner and a size; whether the upper right half is cut away. Whole millimetres:
# two areas then share at least 1/2000 mm2 or nothing at all.
shapes = st.tuples(st.integers(0, 700), st.integers(0, 900), *[st.integers(1, 300)] * 2)


@example([((195, 200, 1, 1), False)], (196, 150))  # in what the first page shares
@example([((0, 0, 400, 500), True)], (196, 283))  # B3 lies in its bounds, not in it
@example([((0, 0, 196, 283), False), ((186, 0, 206, 10), False)], (196, 283))
@given(
    st.lists(st.tuples(shapes, st.booleans()), min_size=1, max_size=3),
    st.tuples(st.integers(150, 300), st.integers(150, 400)),
)
def test_a_page_is_printed_just_where_its_own_part_shows_a_piece(drawn, page):
    """Its own part is what no page above it or left of it shows; told by shapely's areas."""
    areas = [
        Polygon([(x, y), (x + w, y), (x, y + h)]) if halved else box(x, y, x + w, y + h)
        for (x, y, w, h), halved in drawn
    ]
    width, height = (int(max(area.bounds[i] for area in areas)) for i in (2, 3))
    (across, up), overlap = page, 10
    tiling = tile((width, height), areas, page=page, overlap=overlap)
    whole = unary_union(areas)
    kept = []
    for row, column in itertools.product(range(tiling.rows), range(tiling.columns)):
        x, top = column * (across - overlap), height - row * (up - overlap)
        own = box(x + overlap * (column > 0), top - up, x + across, top - overlap * (row > 0))
        shown = own.intersection(whole)
        if not shown.is_empty and shown.buffer(-0.02).area:
            kept.append((row, column, x, top - up))
        elif shown.area:  # within a hair of the page's edge, kept or not
            kept += [
                (each.row, each.column, x, top - up)
                for each in tiling.tiles
                if (each.row, each.column) == (row, column)
            ]
    assert [(each.row, each.column, each.x, each.y) for each in tiling.tiles] == kept
    assert (tiling.width, tiling.height, tiling.overlap) == (across, up, overlap)


def test_what_only_touches_a_page_takes_none():
    """To a thousandth of a mm, in each direction; a tenth of a mm is seen and is printed."""
    for by, labels in ((1e-3, ["A1"]), (0.1, ["A1", "A2"])):
        tiling = tile((206.0, 283.0), [box(0, 0, 196 + by, 283)], page=A4_PRINTABLE, overlap=10.0)
        assert [each.label for each in tiling.tiles] == labels
    for by, labels in ((1e-3, ["A1"]), (0.1, ["A1", "B1"])):
        tiling = tile((196.0, 293.0), [box(0, 10 - by, 196, 293)], page=A4_PRINTABLE, overlap=10.0)
        assert [each.label for each in tiling.tiles] == labels
    for at, labels in ((-1e-3, ["A2"]), (-0.1, ["A1", "A2"])):
        tiling = tile((382.0, 283.0), [box(196 + at, 0, 382, 283)], page=A4_PRINTABLE, overlap=10.0)
        assert [each.label for each in tiling.tiles] == labels
    for at, labels in ((1e-3, ["B1"]), (0.1, ["A1", "B1"])):
        tiling = tile((196.0, 556.0), [box(0, 0, 196, 273 + at)], page=A4_PRINTABLE, overlap=10.0)
        assert [each.label for each in tiling.tiles] == labels


def test_page_joins_stand_at_the_quarters_of_each_shared_side():
    """2 x 2 pages of 196 x 283 mm, 10 mm shared: B2 begins at (186, 0), A1 at (0, 273)."""
    tiling = tile((382.0, 556.0), [box(0, 0, 382, 556)], page=A4_PRINTABLE, overlap=10.0)
    upper, lower = 273.0, 0.0
    assert {(mark.at, mark.upright) for mark in page_joins(tiling)} == {
        ((186.0, upper + 283 / 4), True),
        ((186.0, upper + 283 * 3 / 4), True),
        ((186.0, lower + 283 / 4), True),
        ((186.0, lower + 283 * 3 / 4), True),
        ((49.0, 283.0), False),
        ((147.0, 283.0), False),
        ((186.0 + 49, 283.0), False),
        ((186.0 + 147, 283.0), False),
    }


def test_a_page_inside_a_piece_is_kept_though_no_line_crosses_it():
    tiling = tile((560.0, 820.0), [box(0, 0, 560, 820)], page=A4_PRINTABLE, overlap=10.0)
    assert "B2" in [each.label for each in tiling.tiles]


def test_what_lies_in_a_shared_strip_alone_takes_no_page_of_its_own():
    tiling = tile((300.0, 200.0), [box(4, 4, 195, 196)], page=A4_PRINTABLE, overlap=10.0)
    assert [each.label for each in tiling.tiles] == ["A1"]


def test_each_page_join_lies_on_both_of_its_pages():
    """Half of the mark is on the upper page's edge, the whole of it on the lower page."""
    tiling = tile((560.0, 820.0), [box(0, 0, 560, 820)], page=A4_PRINTABLE, overlap=10.0)
    marks = page_joins(tiling)
    numbers = [mark.number for mark in marks]
    assert numbers == list(range(1, len(marks) + 1))
    joins = tiling.rows * (tiling.columns - 1) + tiling.columns * (tiling.rows - 1)
    assert len(marks) == 2 * joins
    for mark in marks:
        x, y = mark.at
        seen = [
            t
            for t in tiling.tiles
            if t.x <= x <= t.x + tiling.width and t.y <= y <= t.y + tiling.height
        ]
        assert len(seen) == 2
        on_edge = [t for t in seen if x == t.x or y == t.y + tiling.height]
        assert len(on_edge) == 1


def test_no_page_join_towards_a_skipped_page():
    areas = [box(0, 600, 100, 700), box(420, 0, 460, 40)]
    tiling = tile((460.0, 700.0), areas, page=A4_PRINTABLE, overlap=10.0)
    assert page_joins(tiling) == ()


def test_row_letters_go_on_after_z():
    letters = [row_letters(row) for row in range(703)]
    assert letters[0] == "A"
    assert letters[25:28] == ["Z", "AA", "AB"]
    assert letters[701:] == ["ZZ", "AAA"]
    assert len(set(letters)) == 703
    assert all(len(a) <= len(b) for a, b in itertools.pairwise(letters))


@pytest.mark.parametrize("length", [196.0, 196.0 + 1e-10])
def test_what_just_fits_takes_one_page(length):
    assert tile_count(length, 196.0, 10.0) == 1
