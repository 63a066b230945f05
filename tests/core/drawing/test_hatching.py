"""The wrong side is hatched: where the strokes lie, and that a grey page keeps them."""

import math

import numpy as np
import pypdfium2
import pytest
import shapely
from hypothesis import assume, example, given
from hypothesis import strategies as st

from core.bag.compute import compute
from core.drawing.records import HATCH_SPACING, Polygon, hatch_lines
from core.drawing.sketch import Picture, stroke_of
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.output.booklet.blocks import Booklet, Gallery
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.pdf import booklet_pdf
from core.output.papers import A4
from core.sewing.steps import steps
from core.storage.bag_files import demo_bag

NOTCHED = ((0.0, 0.0), (40.0, 0.0), (40.0, 9.0), (25.0, 9.0), (25.0, 21.0), (0.0, 21.0))


@example(size=1.0, dx=0.0, dy=-1.9e-177, angle=135.0)
@given(
    size=st.floats(0.3, 3.0),
    dx=st.floats(-50.0, 50.0),
    dy=st.floats(-50.0, 50.0),
    angle=st.sampled_from([0.0, 30.0, 45.0, 90.0, 135.0]),
)
def test_strokes_cover_an_outline_evenly_and_stay_in_it(
    size: float, dx: float, dy: float, angle: float
) -> None:
    """Judged by shapely (GEOS): what of each whole line lies in the polygon is hatched."""
    outline = [(size * x + dx, size * y + dy) for x, y in NOTCHED]
    if angle in (0.0, 90.0):  # a side that lies on a line is neither inside nor outside
        levels = {y if angle == 0.0 else x for x, y in outline}
        rows = [level / HATCH_SPACING for level in levels]
        assume(all(abs(row - round(row)) > 1e-6 for row in rows))
    shape = shapely.Polygon(outline)
    strokes = hatch_lines(outline, angle=angle)
    turn = math.radians(angle)
    for start, end in strokes:
        assert shape.buffer(1e-6).covers(shapely.LineString([start, end]))
        for x, y in (start, end):
            row = (y * math.cos(turn) - x * math.sin(turn)) / HATCH_SPACING
            assert row == pytest.approx(round(row), abs=1e-6), "one grid for every area"
    sideways = np.array([-math.sin(turn), math.cos(turn)])
    along = np.array([math.cos(turn), math.sin(turn)])
    spread = np.array(outline) @ sideways / HATCH_SPACING
    wanted = 0.0
    for row in range(math.ceil(spread.min()), math.floor(spread.max()) + 1):
        at = row * HATCH_SPACING * sideways
        line = shapely.LineString([at - 300.0 * along, at + 300.0 * along])
        wanted += shape.intersection(line).length
    got = math.fsum(math.dist(start, end) for start, end in strokes)
    assert got == pytest.approx(wanted, abs=1e-6)


def test_hatching_is_seen_on_the_wrong_sides_tone() -> None:
    """WCAG 2.2, 1.4.11: 3 : 1 for what must be seen in a drawing."""

    def luminance(colour: tuple[int, int, int]) -> float:
        red, green, blue = (
            part / 12.92 / 255 if part <= 10 else ((part / 255 + 0.055) / 1.055) ** 2.4
            for part in colour
        )
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    tone = stroke_of(Ink.INSIDE).fill
    assert tone is not None
    light, dark = luminance(tone) + 0.05, luminance(stroke_of(Ink.HATCH).colour) + 0.05
    assert light / dark >= 3.0


@pytest.fixture(scope="module")
def told() -> Booklet:
    return booklet(compute(demo_bag()), BookletOptions(unit=demo_bag().unit, builds=1))


def key_of(told: Booklet) -> list[tuple[Picture, str]]:
    block = next(each for each in told.blocks if isinstance(each, Gallery))
    return list(block.pictures)


def test_a_page_printed_in_grey_still_tells_the_wrong_side(told: Booklet) -> None:
    """Of the key's swatches, rendered without colour, only the wrong side's is uneven."""
    file = pypdfium2.PdfDocument(booklet_pdf(told, A4))
    page = file[1]
    dots = 200 / 72
    grey = np.asarray(page.render(scale=dots, grayscale=True).to_pil().convert("L"), dtype=float)
    text = page.get_textpage()
    spread = {}
    for _, name in key_of(told):
        found = text.search(name, match_whole_word=True).get_next()
        assert found is not None
        left, bottom, _, top = text.get_charbox(found[0])
        # The swatch stands above its name: 8 mm high and 16 mm wide.
        high = page.get_height() - top
        rows = slice(int((high - 27.0) * dots), int((high - 13.0) * dots))
        columns = slice(int((left + 10.0) * dots), int((left + 38.0) * dots))
        spread[name] = grey[rows, columns].std()
        assert bottom > 0
    assert spread.pop("wrong side") > 8.0
    assert max(spread.values()) < 1.0


def test_every_wrong_side_in_a_step_is_hatched() -> None:
    result = compute(demo_bag())
    found = steps(result)
    diagrams = StepPictures(result, found)
    seen = 0
    for step in found:
        records = diagrams.picture(step.number).records
        areas = [each for each in records if each.ink is Ink.INSIDE]
        strokes = sum(each.ink is Ink.HATCH for each in records)
        seen += bool(areas)
        for area in areas:
            assert isinstance(area, Polygon)
        # A strip thinner than the spacing may lie between two lines.
        large = [each for each in areas if shapely.Polygon(each.points).area > 60.0]
        assert strokes >= 3 * len(large), step.operation.key
        assert bool(strokes) <= bool(areas)
    assert seen >= 10
