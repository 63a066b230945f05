"""How full the booklet's pages are and how large its letters, as pdfium renders them."""

from dataclasses import replace
from functools import cache

import numpy as np
import pypdfium2
import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.making import Making
from core.drawing.lettering import CAPITAL
from core.drawing.sketch import Picture
from core.output.booklet.blocks import Booklet, Gallery, Heading, Paragraph, StepCard, Table
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.pdf import MARGIN, booklet_pdf
from core.output.papers import A4, LETTER, Paper
from core.storage.bag_files import demo_bag, sample
from tests.core.output.readers import fullness, inked_rows

LEAST_FULL, LEAST_LETTER = 0.75, 6.5


def bag_named(name: str) -> Bag:
    return demo_bag() if name == "demo" else sample(name)


@cache
def told(name: str, bags: int = 1) -> Booklet:
    bag = bag_named(name)
    options = BookletOptions(unit=bag.unit, builds=1, making=Making(bags=bags))
    return booklet(compute(bag), options)


@cache
def opened(name: str, paper: Paper, bags: int = 1) -> pypdfium2.PdfDocument:
    return pypdfium2.PdfDocument(booklet_pdf(told(name, bags), paper))


def signs_of(text: pypdfium2.PdfTextPage) -> str:
    """All signs, each at the place of its box: told so, since old bindings shift them else."""
    return str(text.get_text_range(0, text.count_chars()))


def text_of(page: pypdfium2.PdfPage) -> str:
    return signs_of(page.get_textpage())


CASES = [(name, 1, paper) for name in ("demo", "lunch", "tote") for paper in (LETTER, A4)]


@pytest.mark.parametrize(("name", "bags", "paper"), [*CASES, ("demo", 12, LETTER)])
def test_every_page_but_the_last_of_a_section_is_full(name: str, bags: int, paper: Paper) -> None:
    """Sections are the cover, what comes before the steps, the steps, and what follows them."""
    file = opened(name, paper, bags)
    pages = list(file)
    begins = next(i for i, page in enumerate(pages) if "The steps" in text_of(page))
    last = {0, begins - 1, len(pages) - 1}
    full = {i + 1: fullness(page) for i, page in enumerate(pages) if i not in last}
    assert full
    assert {i: round(share, 2) for i, share in full.items() if share < LEAST_FULL} == {}
    *_, last_step = [each for each in told(name, bags).blocks if isinstance(each, StepCard)]
    ends = max(i for i, page in enumerate(pages) if last_step.title in text_of(page))
    for page in pages[begins:ends]:
        rows = np.flatnonzero(inked_rows(page))
        assert rows[-1] >= 0.85 * len(inked_rows(page)), "the steps reach the foot of the page"


@pytest.mark.parametrize("name", ["demo", "tote"])
def test_no_letter_is_too_small_to_read(name: str) -> None:
    """Digits are as high as capitals; turned, they are as wide."""
    least = 100.0
    for page in opened(name, A4):
        text = page.get_textpage()
        for index, sign in enumerate(signs_of(text)):
            if sign in "0123456789":
                left, bottom, right, top = text.get_charbox(index)
                least = min(least, max(right - left, top - bottom) / CAPITAL)
    assert LEAST_LETTER <= least < 8.5


def test_a_drawing_that_is_wide_stands_below_its_words_at_its_size() -> None:
    """Beside them its letters would be too small."""
    book = told("tote")
    card = next(each for each in book.blocks if isinstance(each, StepCard))
    wide = Picture(card.picture.records, 140.0, card.picture.height, "wide")
    page = pypdfium2.PdfDocument(
        booklet_pdf(replace(book, blocks=(replace(card, picture=wide),)), A4)
    )[1]
    text = page.get_textpage()
    index = signs_of(text).rindex("50 cm")
    _, bottom, _, top = text.get_charbox(index)
    assert (top - bottom) / CAPITAL >= LEAST_LETTER
    words = signs_of(text).index("From the")
    assert text.get_charbox(words)[1] > top


def test_steps_begin_where_the_page_has_room_for_one() -> None:
    book = told("tote")
    cards = [each for each in book.blocks if isinstance(each, StepCard)]
    blocks = (Paragraph("First."), Heading("The steps"), *cards[:2], Paragraph("Last."))
    pages = list(pypdfium2.PdfDocument(booklet_pdf(replace(book, blocks=blocks), A4)))
    assert len(pages) == 2, "the cover and one page"
    text = text_of(pages[1])
    told_at = [text.index(each) for each in ("First.", "The steps", cards[1].title, "Last.")]
    assert told_at == sorted(told_at)


def test_the_booklet_is_for_as_many_bags_as_the_file_says() -> None:
    for bags, words in ((1, "for one bag"), (12, "for 12 bags")):
        book = told("demo", bags)
        heads = [each.text for each in book.blocks if isinstance(each, Heading)]
        assert f"What to buy {words}" in heads
        assert f"What to cut {words}" in heads
        tables = [each.rows for each in book.blocks if isinstance(each, Table)]
        (cut,) = [rows for rows in tables if rows[0][0] == "Piece"]
        panels = {row[1]: row[2] for row in cut if row[0] == "panel"}
        wall = demo_bag().sandwich.layers
        assert panels == {layer.title: str(bags) for layer in wall}
        (buy,) = [rows for rows in tables if rows[0][0] == "Item"]
        assert next(row[1] for row in buy if row[0] == "zip") == str(bags)


def test_a_long_layout_goes_on_in_further_drawings_that_can_be_read() -> None:
    """Each as long as the page is wide at most, no material lower than 38 mm where it is widest."""
    galleries = [each for each in told("demo", 12).blocks if isinstance(each, Gallery)]
    pictures = galleries[-1].pictures
    outer = [(picture, text) for picture, text in pictures if text.startswith("outer fabric")]
    assert len(outer) > 1
    assert all(picture.width < LETTER.width - 2 * MARGIN for picture, _ in pictures)
    assert max(picture.height for picture, _ in pictures) >= 38.0
    assert outer[0][1].startswith("outer fabric, 0")


def test_the_layout_stands_under_its_heading() -> None:
    """Where its drawings have no room on the page any more, the heading goes along."""
    (page,) = (text for text in map(text_of, opened("coolbox", A4)) if "Layout" in text)
    assert "(BB base board)" in " ".join(page.split())
