"""What stands on the pattern pieces themselves, as read back from the printed pages.

Texts are read with PDFium within a page's printable window: a line that runs on past the window
is not whole on that page. Sizes are compared with the draft's own numbers.
"""

import re
from dataclasses import replace

import pypdfium2
import pytest

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import Result, compute
from core.base.units import Unit, format_length
from core.drawing.lettering import Wording, with_fractions
from core.drawing.pattern import DrawOptions, bag_text, draw_piece
from core.drawing.records import Line, Text, text_box
from core.flat.ink import Ink
from core.flat.piece import CutFrom, Piece
from core.flat.stitch import stitch_outline
from core.output.pages import plan_pages
from core.output.papers import A4, LETTER, Paper
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.storage.bag_files import demo_bag, sample
from tests.core.drawing.test_plan_labels import tiny
from tests.core.output.readers import plumber_segments
from tests.helpers import having, inch
from tests.ids import PIECES

POINTS = 72 / 25.4


def show(length: float) -> str:
    return format_length(length, unit=Unit.INCH)


IN_INCHES = Wording(show=show)
PLAIN = DrawOptions(wording=IN_INCHES)


def seamed() -> Bag:
    """The demo bag with its front and back joined by a bottom seam."""
    seam = inch(0.375)
    panel = demo_bag().body
    return with_figures(
        demo_bag(),
        {"bottom_seam": seam, "corner_cut_depth": panel.corner_depth + seam},
    )


BAGS = {
    "demo": demo_bag,
    "lunch": lambda: sample("lunch"),
    "tote": lambda: sample("tote"),
    "seamed": seamed,
    "tiny": tiny,
}


def window_texts(data: bytes, *, margin: float) -> list[str]:
    """The text within each page's printable window, on one line; the first page is the key."""
    document = pypdfium2.PdfDocument(data)
    try:
        found = []
        for page in document:
            width, height = page.get_size()
            edge = margin * POINTS
            text = page.get_textpage().get_text_bounded(edge, edge, width - edge, height - edge)
            found.append(" ".join(text.split()))
        return found
    finally:
        document.close()


def said_of(piece: Piece, result: Result) -> list[str]:
    """What a piece must say, worked out from the draft."""
    width, height = show(piece.width), show(piece.height)
    size = f"{width} × {height}"
    if piece.cut_from not in (CutFrom.BOUGHT, CutFrom.SHEET):
        size += f", grain along the {width if piece.grain[0] else height} side"
    roles = ", ".join(layer.role for layer in result.bag.sandwich.layers)
    count = {
        CutFrom.BOUGHT: f"{piece.count} needed",
        CutFrom.SHEET: f"cut {piece.count} from board",
        CutFrom.EVERY_LAYER: f"cut {piece.count} from each layer: {roles}",
        CutFrom.CLOTH: f"cut {piece.count} from {result.bag.sandwich.layers[0].role}",
    }[piece.cut_from]
    if len(result.bag.sandwich.layers) == 1:
        count = count.replace("each layer: ", "")
    finished = [result.finished[name] for name in ("base_width", "gusset_depth", "face_height")]
    bag = f"finished {' × '.join(show(each or 0.0) for each in finished)}"
    name = result.bag.name
    told = [f"{name}, {bag}" if len(name) <= 40 else bag, count, size]
    return [with_fractions(each) for each in told]


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "Letter"])
@pytest.mark.parametrize("name", BAGS)
def test_every_piece_says_what_it_is_whole_on_one_page(name: str, paper: Paper) -> None:
    """Name, bag and finished size, how many of what, cut size and grain: of each piece on a page.

    A zip that is longer than a page may have its one line across a join.
    """
    result = compute(BAGS[name]())
    options = PrintOptions(paper=paper, wording=IN_INCHES)
    _, *pages = window_texts(pdf_bytes(result, options), margin=options.margin)
    for piece in result.draft.pieces:
        told = said_of(piece, result)
        if piece.cut_from is CutFrom.BOUGHT and name != "tiny":
            told = told[1:2]
        for each in told:
            assert any(each in page for page in pages), (piece.label, each)
        at_once = [page for page in pages if all(each in page for each in told)]
        assert any(re.search(rf"\b{piece.label}\b", page) for page in at_once)


def test_the_words_of_a_short_strip_find_room_between_its_folds() -> None:
    """A length out of a redesign: its ends lie a billionth of a millimetre off a line."""
    strips = {"handle_strips": 4, "handle_last_strip": 63.49999999999973}
    result = compute(with_figures(demo_bag(), strips))
    (strip,) = [each for each in result.draft.pieces if each.label == "last handle strip"]
    records = draw_piece(strip, result.draft.outlines[strip.id], PLAIN)
    lines = [each for each in records if isinstance(each, Line) and each.ink is not Ink.GRAIN]
    texts = [each for each in records if isinstance(each, Text)]
    assert "last handle strip" in [each.text for each in texts]
    for text in texts:
        x0, y0, x1, y1 = text_box(text)
        assert y0 > 0.0, (text.text, "stands on the strip")
        for line in lines:
            (ax, ay), (bx, by) = line.points[0], line.points[-1]
            beside = (
                max(ax, bx) <= x0 or min(ax, bx) >= x1 or max(ay, by) <= y0 or min(ay, by) >= y1
            )
            assert beside, (text.text, line.ink)


@pytest.mark.parametrize("name", BAGS)
def test_words_under_small_pieces_meet_nothing_else(name: str) -> None:
    """On the sheet no text of one piece touches another piece or its texts."""
    result = compute(BAGS[name]())
    options = PrintOptions(paper=A4, wording=IN_INCHES)
    plan = plan_pages(result, options)
    draw = DrawOptions(
        layers=tuple(layer.role for layer in result.bag.sandwich.layers),
        baste_line=result.bag.sandwich.baste_line,
        bag=bag_text(result),
        wording=IN_INCHES,
    )
    taken = []
    for outline, place in zip(plan.outlines, plan.placed, strict=True):
        records = draw_piece(outline.piece, outline, draw)
        left, bottom, right, top = outline.piece.bounds
        for record in records:
            if isinstance(record, Text):
                x0, y0, x1, _ = text_box(record)
                left, bottom, right = min(left, x0), min(bottom, y0), max(right, x1)
        (x0, y0), (x1, y1) = place.point((left, bottom)), place.point((right, top))
        taken.append((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
    for number, one in enumerate(taken):
        for other in taken[number + 1 :]:
            apart = (
                one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            )
            assert apart


def test_each_page_says_which_pieces_of_which_bag_it_shows() -> None:
    result = compute(demo_bag())
    options = PrintOptions(paper=A4, wording=IN_INCHES)
    plan = plan_pages(result, options)
    _, *pages = window_texts(pdf_bytes(result, options), margin=options.margin)
    bag = with_fractions(bag_text(result).text(show))
    assert len(pages) == len(plan.tiling.tiles)
    assert all(bag in page for page in pages)
    first = pages[0]
    assert re.search(rf"{re.escape(bag)} .*\bpanel\b", first)


def test_a_long_name_is_told_short() -> None:
    result = compute(replace(demo_bag(), name="word " * 16))
    told = bag_text(result).text(show)
    assert told.startswith("word word")
    assert len(told.split(",")[0]) <= 41
    assert compute(replace(demo_bag(), name="")).bag.name == ""
    assert bag_text(compute(replace(demo_bag(), name=""))).text(show).startswith("finished ")


def test_a_bag_that_is_used_up_has_no_size_on_its_pieces() -> None:
    """The base is 18 1/2 - 2 (a + 3/8) in wide: nothing at a = 8 7/8 in."""
    for cut, told in ((8.87, True), (8.875, False), (9.0, False)):
        bag = with_figures(demo_bag(), {"corner_cut_width": cut * 25.4})
        assert ("finished" in bag_text(compute(bag)).text(show)) is told


# --- Where the handles' stitching ends ------------------------------------------------------------


def stop_lines(piece: Piece, bag: Bag) -> list[tuple[float, float, float]]:
    """(left, right, y) of the level placement lines that are wider than a handle."""
    assert bag.parts.get("handles") is not None
    records = draw_piece(piece, stitch_outline(piece), PLAIN)
    found = []
    for each in records:
        if isinstance(each, Line) and each.ink is Ink.PLACEMENT and len(each.points) == 2:
            (x0, y0), (x1, y1) = each.points
            if (
                y0 == y1
                and bag.parts["handles"].width < x1 - x0 < bag.parts["handles"].width + 20.0
            ):
                found.append((x0, x1, y0))
    return found


@pytest.mark.parametrize("style", HandleStyle)
def test_the_stop_is_a_line_with_its_measure(style: HandleStyle) -> None:
    """Four legs: one line each, the stop below the cut edge of its face, and said once a face."""
    bag = demo_bag()
    handles = replace(
        bag.parts.get("handles") or Handles(width=25.0, gap=127.0, stop=127.0, strips=3)
    )
    handles = replace(handles, style=style, last_strip=None)
    result = compute(having(bag, handles=handles))
    panel = result.draft.piece(PIECES["panel"])
    _, bottom, _, top = panel.bounds
    lines = stop_lines(panel, result.bag)
    heights = sorted(y for _, _, y in lines)
    expected = [bottom + handles.stop] * 2 + [top - handles.stop] * 2
    assert heights == pytest.approx(expected)
    texts = [
        each
        for each in draw_piece(panel, stitch_outline(panel), PLAIN)
        if isinstance(each, Text) and "stitching ends here" in each.text
    ]
    measure = with_fractions(show(handles.stop))
    assert len(texts) == 2
    assert all(each.text.endswith(f", {measure} below the edge") for each in texts)
    near = sorted(min(abs(each.at[1] - y) for y in heights) for each in texts)
    assert near[-1] < inch(1.5), "each beside its line"


def test_the_stop_is_printed_at_its_place() -> None:
    """Pdfminer measures it on a roll: as far below the cut edge as the handles say."""
    result = compute(demo_bag())
    handles = result.bag.parts.get("handles")
    assert handles is not None
    roll_paper = Paper("roll", 1300.0, None)
    data = pdf_bytes(result, PrintOptions(paper=roll_paper, wording=IN_INCHES))
    segments = [each for page in range(2) for each in segments_of(data, page)]
    panel = result.draft.piece(PIECES["panel"])
    tops = {
        round(max(y0, y1), 2)
        for x0, y0, x1, y1, _ in segments
        if abs(y0 - y1) < 1e-3 and abs(abs(x1 - x0) - panel.width) < 0.01
    }
    stops = {
        round(y0, 2)
        for x0, y0, x1, y1, _ in segments
        if abs(y0 - y1) < 1e-3 and abs(abs(x1 - x0) - handles.width - 12.0) < 0.01
    }
    assert stops
    assert all(min(abs(abs(edge - stop) - handles.stop) for edge in tops) < 0.02 for stop in stops)


def segments_of(data: bytes, page: int) -> list[tuple[float, float, float, float, float]]:
    document = pypdfium2.PdfDocument(data)
    count = len(document)
    document.close()
    return plumber_segments(data, page) if page < count else []


def test_no_handles_no_stop() -> None:
    for bag, told in ((demo_bag(), True), (without_part(demo_bag(), "handles"), False)):
        panel = compute(bag).draft.piece(PIECES["panel"])
        records = draw_piece(panel, stitch_outline(panel), PLAIN)
        texts = [each.text for each in records if isinstance(each, Text)]
        assert "panel" in texts
        assert any("stitching" in text for text in texts) is told
