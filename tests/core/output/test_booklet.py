"""The booklet: its pages read back out of the PDF, its HTML parsed, its pictures counted."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from typing import Any

import pdfplumber
import pytest

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bag.making import Cutting, Making
from core.base.errors import ExportError
from core.base.units import NO_BREAK, Unit, format_length, unbroken
from core.cutting.buying import bought, purchases
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.lettering import legible, set_fractions
from core.drawing.sketch import record_bounds, stroke_of
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.model.findings import Severity
from core.output.booklet.blocks import (
    Booklet,
    Bullets,
    Caution,
    Heading,
    Paragraph,
    StepCard,
    Table,
)
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.html import booklet_html
from core.output.booklet.pdf import booklet_pdf
from core.output.papers import A4, LETTER, paper_named
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.sewing.steps import steps
from core.storage.bag_files import demo_bag, sample
from tests.helpers import changed, having, inch
from tests.ids import PIECES

HEADINGS = (
    "Before you begin", "Finished sizes", "What to buy for one bag",
    "What to cut for one bag", "Layout", "The steps",
    "How much the handles may carry", "Using the bag",
)  # fmt: skip
NASTY = '<b>Tom & "Co" {x}</b><script>alert(1)</script>'


def made(bag: Bag, unit: Unit | None = None) -> Booklet:
    return booklet(compute(bag), BookletOptions(unit=unit or bag.unit, builds=5))


@pytest.fixture(scope="module")
def demo_booklet() -> Booklet:
    return made(demo_bag())


@pytest.fixture(scope="module")
def demo_pdf(demo_booklet: Booklet) -> bytes:
    return booklet_pdf(demo_booklet, LETTER)


@pytest.fixture(scope="module")
def demo_pages(demo_pdf: bytes) -> Iterator[list[Any]]:
    """Pages of the booklet on Letter, which keep what was read of them."""
    with pdfplumber.open(io.BytesIO(demo_pdf)) as file:
        yield file.pages


@pytest.fixture(scope="module")
def demo_lines(demo_pages: list[Any]) -> list[list[Any]]:
    """Lines of each page, top down: text, with the size of its first letter."""
    return [page.extract_text_lines() for page in demo_pages]


def test_the_goods_are_laid_as_the_making_says() -> None:
    # Two straps short enough for half the goods: nothing else of one bag is cut twice.
    straps = Handles(
        style=HandleStyle.SEPARATE,
        width=inch(1),
        gap=inch(5),
        stop=inch(5),
        strips=1,
        last_strip=inch(20),
    )
    result = compute(having(demo_bag(), handles=straps))
    making = Making(bags=10, gap=12.7, cutting=Cutting.ROWS, folded=True)
    options = BookletOptions(unit=Unit.INCH, builds=5, making=making)
    blocks = booklet(result, options).blocks
    told = [block.text for block in blocks if isinstance(block, Paragraph)]
    assert unbroken("Leave 1/2 in between pieces for cutting.") in told
    assert any(text.startswith("Every cut runs from edge to edge") for text in told)
    assert any(text.startswith("Outer fabric: Fold the material lengthwise") for text in told)
    plan = best_plan(
        result, PlanOptions(bags=10, gap=12.7, cutting=Cutting.ROWS, folded=True, builds=5)
    )
    (buying,) = [b.rows for b in blocks if isinstance(b, Table) and b.rows[0][0] == "Item"]
    amounts = {row[0]: row[1] for row in buying}
    buy = bought(plan.goods[0], Unit.INCH)
    assert amounts["outer fabric"] == options.say(buy), "for ten bags"


def test_every_page_says_which_of_how_many_it_is(demo_lines: list[list[Any]]) -> None:
    total = len(demo_lines)
    assert total > 5
    for number, lines in enumerate(demo_lines, start=1):
        assert lines[-1]["text"].endswith(f"page {number} of {total}")


def test_headings_stay_with_what_follows(demo_lines: list[list[Any]]) -> None:
    """Neither a heading nor the head of a step is the last thing on a page."""
    seen = []
    for lines in demo_lines:
        body = [line for line in lines if not re.search(r"page \d+ of \d+$", line["text"])]
        heads = [line["text"] for line in body if line["chars"][0]["size"] >= 11]
        seen += heads
        assert body[-1]["chars"][0]["size"] < 11, body[-1]["text"]
    assert [head for head in seen if head in HEADINGS] == list(HEADINGS)


def test_no_step_is_torn_apart(demo_booklet: Booklet, demo_lines: list[list[Any]]) -> None:
    pages = [" ".join(line["text"] for line in lines) for lines in demo_lines]
    cards = [block for block in demo_booklet.blocks if isinstance(block, StepCard)]
    assert [card.number for card in cards] == list(range(1, len(cards) + 1))
    place = 0
    for card in cards:
        head = f"{card.number} {card.title}"
        page = next(i for i in range(place, len(pages)) if head in pages[i])
        place = page
        for label, _ in card.facts:
            assert f"{label}:" in pages[page].split(head)[1]


def test_paper_and_bytes(demo_booklet: Booklet, demo_pdf: bytes, demo_pages: list[Any]) -> None:
    assert demo_pdf == booklet_pdf(demo_booklet, LETTER)
    with pdfplumber.open(io.BytesIO(booklet_pdf(demo_booklet, A4))) as file:
        for paper, pages in ((A4, file.pages), (LETTER, demo_pages)):
            size = pages[0].width / 72 * 25.4, pages[0].height / 72 * 25.4
            assert size == pytest.approx((paper.width, paper.height), abs=0.01)
            edge = 10 / 25.4 * 72
            for page in pages:
                assert page.chars
                for char in page.chars:
                    assert edge < char["x0"] <= char["x1"] < page.width - edge
    with pytest.raises(ExportError, match="sheets such as"):
        booklet_pdf(demo_booklet, paper_named("roll 24in"))


def test_finished_sizes_are_the_windows_in_both_units(demo_booklet: Booklet) -> None:
    finished = compute(demo_bag()).finished
    rows = [row for block in demo_booklet.blocks if isinstance(block, Table) for row in block.rows]
    shown = {row[0]: row[1] for row in rows if len(row) == 3}
    for label, name in (
        ("Base width", "base_width"),
        ("Gusset depth", "gusset_depth"),
        ("Face height", "face_height"),
        ("Opening width", "opening_width"),
        ("Zip offset", "zip_offset"),
        ("Handle loop", "handle_loop"),
    ):
        size = finished[name]
        assert size is not None
        for unit in (Unit.INCH, Unit.MM):
            assert unbroken(format_length(size, unit=unit)) in shown[label]


def test_metric_readers_get_no_inches_in_the_steps() -> None:
    found = made(sample("lunch"), Unit.MM)
    cards = [block for block in found.blocks if isinstance(block, StepCard)]
    assert len(cards) == 45
    told = [" ".join((*card.do, *(text for _, text in card.facts))) for card in cards]
    assert not [each for each in told if re.search(r"\d in\b", each)]
    assert sum(bool(re.search(r"\d mm\b", each)) for each in told) > 20


def test_every_setting_is_told_before_its_first_step(demo_booklet: Booklet) -> None:
    cards = [block for block in demo_booklet.blocks if isinstance(block, StepCard)]
    machine = [dict(card.facts).get("Machine") for card in cards]
    assert sum(now is not None for now in machine) > 15
    last = None
    for card, now in zip(cards, machine, strict=True):
        assert bool(card.change) == (now is not None and now != last)
        last = now or last


# --- Texts that are no markup ---------------------------------------------------------------------


def first_page(booklet: Booklet) -> str:
    with pdfplumber.open(io.BytesIO(booklet_pdf(booklet, A4))) as file:
        return " ".join(file.pages[0].extract_text().split())


@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_a_bag_that_cannot_be_sewn_is_said_to_be_one_on_the_cover(unit: Unit) -> None:
    """A corner that differs by 1 in is past all ease (common practice, no source)."""
    result = compute(changed(demo_bag(), corner_cut_depth=inch(3.5)))
    stops = [each for each in result.findings if each.severity is Severity.STOP]
    assert stops
    options = BookletOptions(unit=unit, builds=5)
    told = booklet(result, options)
    said = [options.say(stop.message) for stop in stops]
    assert told.warning is not None
    assert list(told.warning.items[: len(said)]) == said
    page, web = first_page(told), booklet_html(told)
    header = web[: web.index("</header>")]
    for text in ("Stop: this bag cannot be sewn as it is", *map(set_fractions, said)):
        assert text.replace(NO_BREAK, " ") in page
        assert text in unescape(header)
    assert "Box volume" in page, "the cover is one page still"


def test_a_bag_that_can_be_sewn_bears_no_warning(demo_booklet: Booklet) -> None:
    assert demo_booklet.warning is None
    assert "Stop" not in first_page(demo_booklet)


@pytest.mark.parametrize("name", ["demo", "lunch", "tote"])
def test_every_sentence_starts_with_a_capital(name: str) -> None:
    told = []
    for block in made(sample(name)).blocks:
        if isinstance(block, Heading | Paragraph):
            told.append(block.text)
        elif isinstance(block, Bullets):
            told += block.items
        elif isinstance(block, Caution):
            told += (block.title, *block.items)
        elif isinstance(block, StepCard):
            told += (block.title, *block.do, *block.change, block.caution)
    assert len(told) > 100
    assert [text for text in told if text and text[0].islower()] == []


def test_what_melts_in_the_demo_bag_is_told_at_the_iron(demo_booklet: Booklet) -> None:
    """A wipe-clean lining is laminated with a plastic film that melts (common practice)."""
    cautions = [each for each in demo_booklet.blocks if isinstance(each, Caution)]
    told = " ".join(item for each in cautions for item in each.items)
    assert (
        "Insulating fleece and wipe-clean lining: use a cool iron and a press cloth only." in told
    )


def test_names_are_never_markup() -> None:
    bag = replace(demo_bag(), name=NASTY)
    outer, *others = bag.sandwich.layers
    wall = replace(bag.sandwich, layers=(replace(outer, role=NASTY), *others))
    found = made(replace(bag, sandwich=wall))
    html = booklet_html(found)
    assert "<script" not in html
    assert "<b>Tom" not in html
    assert "&lt;script&gt;" in html
    with pdfplumber.open(io.BytesIO(booklet_pdf(found, A4))) as file:
        assert "<script>alert(1)</script>" in file.pages[0].extract_text().replace("\n", "")
        assert file.metadata["Title"] == NASTY


def test_signs_that_the_font_lacks_are_question_marks() -> None:
    found = made(replace(demo_bag(), name="Tasche \U0001f45c 袋"))
    with pdfplumber.open(io.BytesIO(booklet_pdf(found, A4))) as file:
        assert "Tasche ? ?" in file.pages[0].extract_text()
    assert legible("a\U0001f45c", {ord("a"): 1}) == "a?"


def test_only_true_fractions_are_set_as_one_figure() -> None:
    assert set_fractions("18 1/2 in, 3/16 in, needle 90/14, 1.5/2") == (
        "18\u00a0½\u00a0in, ³⁄₁₆\u00a0in, needle 90/14, 1.5/2"
    )


# --- HTML -----------------------------------------------------------------------------------------


class Reader(HTMLParser):
    """Checks that tags close in order, and counts them."""

    VOID = frozenset({"meta", "input", "hr", "br", "polygon", "polyline"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.count: dict[str, int] = {}
        self.outside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.count[tag] = self.count.get(tag, 0) + 1
        self.outside += [value or "" for name, value in attrs if name in ("src", "href")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.count[tag] = self.count.get(tag, 0) + 1

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def test_the_page_is_whole_and_needs_nothing_else(demo_booklet: Booklet) -> None:
    html = booklet_html(demo_booklet)
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert reader.open == []
    assert reader.outside == []
    assert "@import" not in html
    assert "url(" not in html
    count = sum(isinstance(block, StepCard) for block in demo_booklet.blocks)
    assert reader.count["section"] == count
    assert (
        reader.count["svg"] == reader.count["title"] - 1 == count + 1 + 4 + 5
    )  # cover, key, goods
    assert reader.count["h2"] == len(HEADINGS)
    for rule in ("viewport", "@media print", "break-inside: avoid", "max-width: 40rem"):
        assert rule in html


def test_the_page_says_what_the_pdf_says(
    demo_booklet: Booklet, demo_lines: list[list[Any]]
) -> None:
    html = booklet_html(demo_booklet)
    words = re.sub(r"<[^>]+>", " ", html)
    large = {
        line["text"].lstrip("□ 0123456789")
        for lines in demo_lines[4:-1]
        for line in lines
        if line["chars"][0]["size"] >= 11
    }
    cards = [block for block in demo_booklet.blocks if isinstance(block, StepCard)]
    assert {card.title for card in cards[1:-1]} <= large
    assert not [title for title in large if title.replace("'", "&#x27;") not in words]


# --- Pictures -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["demo", "lunch", "tote"])
def test_every_step_has_a_picture_with_new_work_in_it(name: str) -> None:
    bag = demo_bag() if name == "demo" else sample(name)
    result = compute(bag)
    found = steps(result)
    diagrams = StepPictures(result, found)
    for step in found:
        picture = diagrams.picture(step.number)
        layers = {record.ink for record in picture.records}
        if step.operation.key != "measure bag":
            assert layers & {Ink.NEW, Ink.NEW_AREA}, step.operation.key
        assert picture.told


def test_a_picture_is_drawn_to_one_scale() -> None:
    """Height over width of the cut panel is that of the piece."""
    result = compute(demo_bag())
    panel = result.draft.piece(PIECES["panel"])
    picture = StepPictures(result, steps(result)).picture(1)
    (area,) = [record for record in picture.records if record.ink is Ink.NEW_AREA]
    left, bottom, right, top = record_bounds([area])
    assert (top - bottom) / (right - left) == pytest.approx(panel.height / panel.width)


def test_new_work_stands_out_without_colour() -> None:
    """Thicker than every other line, and dark (WCAG's relative luminance below 0.1)."""
    new = stroke_of(Ink.NEW)
    assert all(stroke_of(ink).width < new.width for ink in Ink if ink is not Ink.NEW)
    red, green, blue = (
        part / 12.92 / 255 if part <= 10 else ((part / 255 + 0.055) / 1.055) ** 2.4
        for part in new.colour
    )
    assert 0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.1


def test_a_bag_without_parts_has_a_booklet_too() -> None:
    bag = demo_bag()
    for part in ("pocket", "handles", "board", "zip"):
        bag = without_part(bag, part)
    found = made(bag)
    assert "How much the handles may carry" not in booklet_html(found)
    assert booklet_pdf(found, A4).startswith(b"%PDF")


def test_what_it_costs_stands_below_what_to_buy() -> None:
    """The total is the sum of the lines that have a price, in the digits of the currency."""
    making, unit = Making(bags=3), Unit.INCH
    options = BookletOptions(unit=unit, builds=1, making=making, currency="JPY")
    found = booklet(compute(demo_bag()), options)
    plan = best_plan(compute(demo_bag()), replace(PlanOptions.of(making), builds=1))
    yen = sum(round(line.cost) for line in purchases(plan, unit) if line.cost is not None)
    rows = [row for each in found.blocks if isinstance(each, Table) for row in each.rows]
    told = dict(row[:2] for row in rows if row[1].endswith(" JPY"))
    assert told == {
        "Total of priced items": f"{yen} JPY",
        "Cost of one bag": f"{yen / 3:.0f} JPY",
    }


@pytest.mark.parametrize(("code", "told"), [("JPY", ""), ("", "in the currency of your prices")])
def test_a_total_without_a_currency_says_whose_it_is(code: str, told: str) -> None:
    options = BookletOptions(unit=Unit.INCH, builds=1, currency=code)
    tables = [
        each for each in booklet(compute(demo_bag()), options).blocks if isinstance(each, Table)
    ]
    (row,) = [row for each in tables for row in each.rows if row[0] == "Total of priced items"]
    assert row[2] == told
