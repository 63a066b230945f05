"""Patterns of the samples with strips and with a base of their own, as they are printed.

Two readers of the PDF measure them against the sizes that the maker types; sizes of what is not
typed are worked out by hand beside each.
"""

import math
from functools import cache

import pytest

from core.bag.compute import Result, compute
from core.drawing.half import is_symmetric
from core.drawing.pattern import DrawOptions, bag_text, draw_piece
from core.drawing.records import Text, text_box
from core.flat.match_marks import seam_marks
from core.output.pages import plan_pages
from core.output.papers import A4, LETTER, Paper, roll
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.storage.bag_files import sample
from core.work.machine import SEAM_STITCH
from tests.core.output.readers import MM, READERS, page_sizes, page_texts

WIDE = roll(1100.0)
NAMES = ("coolbox", "wrap", "jar")

SIZES = {
    # Panels 320 x 260 with R 50 all round, strip 200 x 611.327, half strips
    # (180 - (32 - 2 * 10)) / 2 + 10 + 10 = 104 by 440.
    "coolbox": {
        "front": (320 - 100, 260 - 100), "back": (320 - 100, 260 - 100),
        "gusset strip": (200, 611.327), "front half of the top strip": (440, 104),
        "back half of the top strip": (440, 104),
    },
    # Ends 7 3/4 x 8 3/4 in, wrap 12 3/4 x 19 3/4 in, all square; half strips
    # (12 - (1 1/4 - 2 * 3/8)) / 2 + 3/8 + 3/8 = 6 1/2 by 11 3/4 in.
    "wrap": {
        "left end panel": (7.75 * 25.4, 8.75 * 25.4), "right end panel": (7.75 * 25.4, 8.75 * 25.4),
        "wrap": (12.75 * 25.4, 19.75 * 25.4),
        "left half of the top strip": (11.75 * 25.4, 6.5 * 25.4),
        "right half of the top strip": (11.75 * 25.4, 6.5 * 25.4),
    },
    # Base 280 x 200 with R 60; each wall half of 2 (260 + 180) - (8 - 2 pi) 50 and 10 at each side.
    "jar": {
        "front": (440 - (4 - math.pi) * 50 + 20, 279), "back": (440 - (4 - math.pi) * 50 + 20, 309),
        "base": (280 - 120, 200 - 120),
    },
}  # fmt: skip
"""Sample -> piece -> its straight cut edges across and up, mm."""


@cache
def printed(name: str, paper: Paper, half: bool) -> tuple[Result, bytes]:
    result = compute(sample(name))
    return result, pdf_bytes(result, PrintOptions(paper=paper, half=half))


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("half", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_every_straight_edge_is_as_long_as_it_is_cut(name: str, half: bool, reader: str) -> None:
    """On the fold its left half across; a piece has two of each, and its fold is the second."""
    _, data = printed(name, WIDE, half)
    flat, upright = [], []
    for x0, y0, x1, y1, _ in READERS[reader](data, 0):
        if abs(y0 - y1) < 1e-3:
            flat.append(abs(x1 - x0))
        elif abs(x0 - x1) < 1e-3:
            upright.append(abs(y1 - y0))
    for piece, (across, up) in SIZES[name].items():
        wide = across / 2 if half else across
        near = [each for each in flat if abs(each - wide) < 0.01]
        high = [each for each in upright if abs(each - up) < 0.01]
        assert len(near) >= 2, (piece, wide)
        assert len(high) >= (1 if half else 2), (piece, up)


@pytest.mark.parametrize("half", [False, True])
@pytest.mark.parametrize("paper", [A4, LETTER, WIDE], ids=["A4", "Letter", "roll"])
@pytest.mark.parametrize("name", NAMES)
def test_pages_name_every_piece_its_corners_and_its_fold(
    name: str, paper: Paper, half: bool
) -> None:
    result, data = printed(name, paper, half)
    if paper is not WIDE:
        for width, height in page_sizes(data):
            upright = sorted((width * MM, height * MM))
            assert upright == pytest.approx([paper.width, paper.height], abs=0.01)
    told = " ".join(page_texts(data))
    for piece in result.draft.pieces:
        assert str(piece.label) in told, piece.label
    radii = {"coolbox": "corners of radius 50", "jar": "corners of radius 60"}
    if name in radii:
        assert radii[name] in told
    folded = [each for each in result.draft.walls if is_symmetric(each)]
    assert len(folded) == len(result.draft.walls)
    # A long name may be set on each of the pages that its edge crosses.
    count = told.count("place on the fold")
    assert count >= len(folded) if half else not count


@pytest.mark.parametrize("name", ["coolbox", "wrap"])
def test_the_name_of_a_small_piece_keeps_off_its_fold(name: str) -> None:
    """What has room on either side of a line is not written across it."""
    result = compute(sample(name))
    (tab,) = (each for each in result.draft.pieces if each.label == "zip tab")
    records = draw_piece(tab, result.draft.outlines[tab.id], DrawOptions(bag=bag_text(result)))
    left, low, right, high = tab.bounds
    boxes = [
        text_box(each) for each in records if isinstance(each, Text) and each.text == tab.label
    ]
    on_piece = [box for box in boxes if left < box[0] and box[2] < right and low < box[1] < high]
    assert on_piece
    for _, bottom, _, top in on_piece:
        assert not bottom < tab.folds[0].y < top


@pytest.mark.parametrize("half", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_every_clip_is_printed_on_its_piece(name: str, half: bool) -> None:
    """It ends one stitch before the stitch line; half of a piece has those of its left half."""
    result, data = printed(name, WIDE, half)
    clips = seam_marks(result.draft).clips
    if half:
        middles = {each.id: sum(each.bounds[::2]) / 2 for each in result.draft.walls}
        clips = tuple(each for each in clips if each.at[0] < middles[each.piece])
    allowances = {result.draft.piece(each.piece).edge(each.edge).allowance for each in clips}
    assert clips
    (allowance,) = allowances
    for reader in READERS.values():
        lengths = [math.dist((x, y), (u, v)) for x, y, u, v, _ in reader(data, 0)]
        found = [each for each in lengths if abs(each - (allowance - SEAM_STITCH)) < 0.01]
        assert len(found) == len(clips), (len(found), len(clips))


@pytest.mark.parametrize(("name", "paper", "page"), [("coolbox", LETTER, 1), ("wrap", LETTER, 0)])
def test_the_map_of_the_pages_is_there(name, paper, page):
    """Below the key, or on a page of its own where the list of pieces leaves no room for it."""
    result, file = printed(name, paper, half=False)
    plan = plan_pages(result, PrintOptions(paper=paper))
    words = page_texts(file)[page].split()
    assert plan.covers == page + 1
    assert {tile.label for tile in plan.tiling.tiles} <= set(words)
