"""The printed pattern, measured back out of the file by two independent readers.

True scale: the default unit of a PDF page is 1/72 in (ISO 32000-1:2008, 8.3.2.3) and an
inch is 25.4 mm exactly (international yard and pound agreement, 1959).
"""

import io
import math
from dataclasses import replace
from functools import cache

import pdfplumber
import pytest
from pdfminer.pdftypes import resolve1
from shapely import LineString, box
from shapely.affinity import translate
from shapely.ops import unary_union

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import Result, compute
from core.base.errors import ExportError, FieldError
from core.base.units import Unit, format_length
from core.drawing.lettering import Wording
from core.drawing.records import Text
from core.flat.ink import Ink
from core.flat.roles import PieceId, PieceRole
from core.output.pages import plan_pages
from core.output.papers import A0, A4, LEGAL, LETTER, PAPERS, TABLOID, paper_named
from core.output.print_options import PrintOptions
from core.output.printed_pattern import key_records, pdf_bytes
from core.storage.bag_files import SAMPLES, demo_bag, sample
from tests.core.output.readers import MM, READERS, page_sizes, page_texts

CLOSE = 0.1
"""mm: what a true-scale print is measured to."""
CUT, STITCH, TEST = 0.6, 0.3, 0.3
"""Line widths, mm, by which the readers tell lines apart."""
INCH = 25.4


def in_inches(length: float) -> str:
    return format_length(length, unit=Unit.INCH)


INCHES = Wording(show=in_inches)
PANEL = frozenset({PieceId("body", PieceRole.WALL)})


@cache
def demo() -> Result:
    return compute(demo_bag())


@cache
def printed(paper: str, *, half: bool = False, pieces: frozenset[PieceId] | None = None) -> bytes:
    options = PrintOptions(paper=paper_named(paper), half=half, pieces=pieces, wording=INCHES)
    return pdf_bytes(demo(), options)


def sides(segments, width=CUT):
    """(x, y of the lower or left end, length across, length up) of strokes of one width."""
    return [
        (min(x0, x1), min(y0, y1), abs(x1 - x0), abs(y1 - y0))
        for x0, y0, x1, y1, thick in segments
        if abs(thick - width) < 0.01
    ]


def across(segments, length, width=CUT):
    return sorted(
        (y, x) for x, y, w, h in sides(segments, width) if abs(w - length) < CLOSE and h < CLOSE
    )


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
@pytest.mark.parametrize("paper", ["A4", "Letter", "A3", "Tabloid", "Legal", "A0", "roll 36in"])
@pytest.mark.parametrize("side", [2 * INCH, 50.0])
def test_squares_measure_two_inches_and_five_centimetres(reader, paper, side):
    found = sides(reader(printed(paper), 0), TEST)
    flat = [each for each in found if abs(each[2] - side) < CLOSE and each[3] < CLOSE]
    upright = [each for each in found if abs(each[3] - side) < CLOSE and each[2] < CLOSE]
    assert len(flat) == len(upright) == 2
    (left, low, _, _), (_, high, _, _) = sorted(flat, key=lambda each: each[1])
    assert high - low == pytest.approx(side, abs=CLOSE)
    assert {round(x - left) for x, *_ in upright} == {0, round(side)}


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_panel_on_a_roll_measures_as_drafted(reader):
    """18 1/2 x 37 in with corner cuts of 3 3/8 x 3 in, stitch lines 3/8 in inside."""
    segments = reader(printed("roll 36in", pieces=PANEL), 0)
    ends = across(segments, 18.5 * INCH)
    assert len(ends) == 2
    (low, left), (high, _) = ends
    assert high - low == pytest.approx(37 * INCH, abs=CLOSE)
    cuts = across(segments, 3.375 * INCH)
    heights = sorted({round(y - low, 1) for y, _ in cuts})
    assert len(cuts) == 4
    assert heights == pytest.approx([16.25 * INCH, 22.25 * INCH], abs=CLOSE)
    stitches = across(segments, 17.75 * INCH, STITCH)
    assert [y for y, _ in stitches] == pytest.approx(
        [low + 0.375 * INCH, high - 0.375 * INCH], abs=CLOSE
    )
    assert all(abs(x - left - 0.375 * INCH) < CLOSE for _, x in stitches)


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_half_panel_is_half_as_wide(reader):
    segments = reader(printed("roll 36in", half=True, pieces=PANEL), 0)
    assert across(segments, 18.5 * INCH) == []
    (low, _), (high, _) = across(segments, 9.25 * INCH)
    assert high - low == pytest.approx(37 * INCH, abs=CLOSE)
    folds = [each for each in sides(segments, STITCH) if abs(each[3] - 37 * INCH) < CLOSE]
    assert len(folds) == 1


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_whole_panel_lies_on_one_page_of_a0(reader):
    margin = 7.0
    on_first = [
        each
        for each in reader(printed("A0"), 0)
        if min(each[0], each[2]) > margin and min(each[1], each[3]) > margin
    ]
    ends = [y for y, _ in across(on_first, 18.5 * INCH)]
    assert any(abs(a - b - 37 * INCH) < CLOSE for a in ends for b in ends)


@pytest.mark.parametrize("half", [False, True], ids=["whole", "half"])
@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_pages_laid_over_each_other_rebuild_the_panel(reader, half):
    """Only what a page's own window shows counts, put where its row and column say."""
    margin, overlap = 7.0, 10.0
    options = PrintOptions(paper=A4, half=half, pieces=PANEL)
    data = pdf_bytes(demo(), options)
    tiles = plan_pages(demo(), options).tiling.tiles
    shown = []
    for page, (each, size) in enumerate(zip(tiles, page_sizes(data)[1:], strict=True), start=1):
        width, height = size[0] * MM - 2 * margin, size[1] * MM - 2 * margin
        window = box(margin, margin, margin + width, margin + height)
        x, y = each.column * (width - overlap), -each.row * (height - overlap)
        for x0, y0, x1, y1, thick in reader(data, page):
            line = LineString([(x0, y0), (x1, y1)]).intersection(window)
            if abs(thick - CUT) < 0.01 and line.length > 0.0:
                shown.append(translate(line, x, y))
    together = unary_union(shown)
    left, bottom, right, top = together.bounds
    wide = (9.25 if half else 18.5) * INCH
    assert right - left == pytest.approx(wide, abs=CLOSE)
    assert top - bottom == pytest.approx(37 * INCH, abs=CLOSE)
    # A line that two pages show a hair apart would count twice as it is; as a band it does not.
    thin = 0.05
    length = together.buffer(thin, cap_style="flat").area / (2 * thin)
    assert length == pytest.approx(PERIMETERS[half], abs=1.0)


PERIMETERS = {
    False: INCH * (2 * 18.5 + 2 * 37 + 4 * 3.375),
    True: INCH * (2 * 9.25 + 37 + 2 * 3.375),
}
"""Of the cut line: top, bottom and sides, and in and out at each corner cut. The half is
not cut along its fold."""


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        (A4, (595.276, 841.890)),
        (A0, (2383.937, 3370.394)),
        (LETTER, (612, 792)),
        (LEGAL, (612, 1008)),
        (TABLOID, (792, 1224)),
    ],
)
def test_every_page_is_the_paper_upright_or_sideways(paper, size):
    """ISO 216:2007; ANSI/ASME Y14.1. In units of 1/72 in."""
    pages = page_sizes(printed(paper.name))
    assert len(pages) == plan_pages(demo(), PrintOptions(paper=paper)).count
    for page in pages:
        assert sorted(page) == pytest.approx(sorted(size), abs=0.002)


def test_a_roll_page_is_as_wide_as_the_roll():
    ((width, height),) = page_sizes(printed("roll 36in"))
    assert width == pytest.approx(36 * 72, abs=1e-3)
    assert 72 * 37 < height <= 14_400


@pytest.mark.parametrize("paper", ["A4", "A0", "Letter", "roll 24in"])
def test_plan_counts_the_pages_that_are_written(paper):
    plan = plan_pages(demo(), PrintOptions(paper=paper_named(paper)))
    assert plan.count == len(page_sizes(printed(paper)))


def test_viewers_are_asked_not_to_scale():
    """ISO 32000-1:2008, table 150: /PrintScaling /None."""
    with pdfplumber.open(io.BytesIO(printed("A4"))) as pdf:
        preferences = resolve1(pdf.doc.catalog["ViewerPreferences"])
        assert preferences["PrintScaling"].name == "None"
        assert pdf.metadata["Title"] == demo().bag.name


def test_every_face_is_embedded():
    data = printed("A0")
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        names = {char["fontname"] for page in pdf.pages for char in page.chars}
    assert names
    assert all("DejaVuSans" in name and name[6] == "+" for name in names)
    assert data.count(b"/FontFile2") >= 2


def test_the_same_bag_gives_the_same_bytes():
    options = PrintOptions(paper=A4, wording=INCHES)
    assert pdf_bytes(demo(), options) == pdf_bytes(compute(demo_bag()), options)


def test_the_pattern_is_in_the_file_once():
    """Three times the pages must not take twice the room."""
    small, large = printed("A3"), printed("A4")
    pages = [len(page_sizes(data)) for data in (small, large)]
    assert pages[1] > 1.5 * pages[0]
    assert len(large) < 1.3 * len(small)
    assert large.count(b"/Subtype /Form") == 1


def test_every_piece_its_count_and_its_ends_are_said():
    texts = " ".join(page_texts(printed("A4")))
    for piece in demo().draft.pieces:
        assert texts.count(piece.label) >= 2
    for words in (
        "cut 3 from outer fabric",
        "cut 1 from each layer: outer fabric",
        "top of the front",
        "top of the back",
        "joins the front",
        "Print at 100 %, no fit to page",
        "Use a zip 22 in long",
    ):
        assert words in texts
    assert "18 ½ in" in texts
    assert "1/2" not in texts


def test_each_page_says_its_row_and_column():
    texts = page_texts(printed("A4"))
    plan = plan_pages(demo(), PrintOptions(paper=A4, wording=INCHES))
    assert plan.cover_size is not None
    for text, each in zip(texts[1:], plan.tiling.tiles, strict=True):
        assert each.label in text
        assert each.label in texts[0]


@pytest.mark.parametrize("paper", PAPERS, ids=[paper.name for paper in PAPERS])
@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_prints_on_every_paper_and_says_its_pieces(name, paper):
    result = compute(sample(name))
    data = pdf_bytes(result, PrintOptions(paper=paper, half=True))
    texts = " ".join(page_texts(data))
    assert all(piece.label in texts for piece in result.draft.pieces)


@pytest.mark.parametrize(
    "changes",
    [
        {"corner_cut_width": 0.0, "corner_cut_depth": 0.0},
        {"corner_cut_width": 0.0},
        {"corner_cut_depth": 0.0},
        {"bottom_seam": 10.0},
        {"side_seam": 0.0, "zip_seam": 0.0, "corner_seam": 0.0},
    ],
    ids=["pillow", "no width", "no depth", "seamed", "no allowance"],
)
@pytest.mark.parametrize("half", [False, True])
def test_odd_bags_print(changes, half):
    result = compute(with_figures(demo_bag(), changes))
    assert len(page_sizes(pdf_bytes(result, PrintOptions(paper=A4, half=half)))) > 1


def test_a_page_of_the_key_alone_names_no_piece():
    bag = with_figures(demo_bag(), {"panel_width": 42 * INCH, "panel_length": 30 * INCH})
    for part in ("pocket", "handles", "board"):
        bag = without_part(bag, part)
    pattern, key = page_texts(pdf_bytes(compute(bag), PrintOptions(paper=A0)))
    assert "page 1 of 2" in pattern
    assert "page 2 of 2" in key
    assert "test square" in key


def test_a_page_of_words_alone_names_the_piece_that_they_belong_to():
    """A board of a sixteenth of an inch: what is written on it reaches onto a page of its own."""
    bag = demo_bag()
    for part in ("zip", "pocket", "handles"):
        bag = without_part(bag, part)
    changes = {"board_width": INCH / 16, "board_depth": INCH / 16}
    changes |= {"panel_width": 10 * INCH, "panel_length": 30 * INCH}
    result = compute(with_figures(bag, changes))
    _, *pages = page_texts(pdf_bytes(result, PrintOptions(paper=A4)))
    assert len(pages) == 5
    for text in pages:
        under = text.partition("page ")[2]
        assert "panel" in under or "board" in under


def test_bag_without_parts_prints_its_panel_alone():
    bag: Bag = demo_bag()
    for part in ("zip", "pocket", "handles", "board"):
        bag = without_part(bag, part)
    texts = page_texts(pdf_bytes(compute(bag), PrintOptions(paper=A4)))
    assert "panel" in texts[0]
    assert "zip" not in texts[0]


@pytest.mark.parametrize(
    ("name", "left_out", "missing"),
    [
        ("demo", (), {"clip"}),
        ("boxed", (), {"clip", "basting line"}),  # one layer: there is nothing to baste
        ("tote", ("handles",), {"clip", "basting line", "fold", "placement line"}),
    ],
)
def test_the_key_explains_the_lines_that_are_there_and_no_others(name, left_out, missing):
    bag = sample(name)
    for part in left_out:
        bag = without_part(bag, part)
    first = page_texts(pdf_bytes(compute(bag), PrintOptions(paper=A4)))[0]
    key = first[first.index("Lines") :]
    every = {"cut line", "stitch line", "basting line", "fold", "placement line", "notch", "clip"}
    assert {each for each in every if each in key} == every - missing


def test_the_key_explains_clips_where_there_are_some():
    options = PrintOptions(paper=A4)
    plan, box = plan_pages(demo(), options), (0.0, 0.0, 190.0, 280.0)
    records = key_records(demo_bag(), plan, options.wording, box, {Ink.CLIP})
    texts = [each.text for each in records if isinstance(each, Text)]
    assert texts[texts.index("Lines") + 1] == "clip into the allowance"
    assert "notch, halfway mark" not in texts


def test_signs_that_the_face_lacks_are_marked_and_said():
    bag = replace(demo_bag(), name="Carrier \u6f22")
    texts = page_texts(pdf_bytes(compute(bag), PrintOptions(paper=A4)))
    assert "Carrier ?" in texts[0]
    assert "U+6F22" in texts[0]


def test_greek_and_cyrillic_names_print():
    bag = replace(demo_bag(), name="Сумка Τσάντα")
    assert "Сумка Τσάντα" in page_texts(pdf_bytes(compute(bag), PrintOptions(paper=A4)))[0]


@pytest.mark.parametrize(
    ("options", "field", "says"),
    [
        ({"overlap": 5.0}, "overlap", "Overlap is 5 mm: it must be more than the page margin of 7"),
        ({"overlap": 150.0}, "overlap", "at most"),
        ({"overlap": math.nan}, "overlap", "Overlap is nan"),
        ({"margin": -1.0}, "margin", "Page margin is -1 mm"),
        ({"margin": 50.0}, "margin", "Page margin is 50 mm"),
    ],
)
def test_impossible_options_are_refused_in_words(options, field, says):
    with pytest.raises(FieldError) as caught:
        PrintOptions(paper=A4, **options)
    assert caught.value.field == field
    assert says in str(caught.value)


def test_nothing_to_print_is_refused_in_words():
    with pytest.raises(ValueError, match="no such pieces"):
        plan_pages(demo(), PrintOptions(paper=A4, pieces=PANEL | {PieceId("top", PieceRole.STRIP)}))
    with pytest.raises(ExportError, match="choose at least one piece"):
        plan_pages(demo(), PrintOptions(paper=A4, pieces=frozenset()))


def test_page_longer_than_a_pdf_can_hold_is_refused():
    """ISO 32000-1:2008, annex C: 14,400 units, 5080 mm."""
    bag = with_figures(demo_bag(), {"panel_length": 6000.0})
    with pytest.raises(ExportError, match="longer than 5080 mm"):
        plan_pages(compute(bag), PrintOptions(paper=paper_named("roll 36in")))
    assert plan_pages(compute(bag), PrintOptions(paper=A4)).count > 50


def test_the_key_says_what_a_rounded_length_is_where_there_is_one():
    told = "≈ length between two marks of the ruler"
    assert told not in page_texts(printed("Letter"))[0]
    odd = compute(with_figures(demo_bag(), {"panel_width": demo_bag().body.width + 1.0}))
    assert told in page_texts(pdf_bytes(odd, PrintOptions(paper=A4, wording=INCHES)))[0]
