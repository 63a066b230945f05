"""Names at their longest and without a space stay on their pages; pdfminer tells where they lie."""

import io
from collections.abc import Callable
from dataclasses import replace

import pdfplumber
import pytest

from core.bag.bag import Bag
from core.bag.compute import Result, compute
from core.base.units import Unit
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.lettering import PLAIN
from core.model.record import BAG_NAME, GOODS_NAME, ROLE, ZIP_COLOUR, ZIP_GAUGE, TextLimit
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.pdf import booklet_pdf
from core.output.materials import materials_pdf_bytes
from core.output.papers import A4
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.storage.bag_files import demo_bag
from core.tops.zip_forward.zip import ZipForward

EDGE = 4 * 72 / 25.4
"""Points that every printer leaves free, 4 mm (common practice, no source)."""


def longest(mark: str, limit: TextLimit) -> str:
    return (mark + limit.most * "W")[: limit.most]


def longest_bag() -> Bag:
    bag = demo_bag()
    assert isinstance(bag.top, ZipForward)
    layers = tuple(
        replace(layer, role=longest(f"{n}", ROLE), name=longest(f"{n}g", GOODS_NAME), melts=True)
        for n, layer in enumerate(bag.sandwich.layers)
    )
    board = replace(bag.supplies.board, role=longest("b", ROLE), name=longest("bg", GOODS_NAME))
    top = replace(bag.top, gauge=longest("z", ZIP_GAUGE), colour=longest("c", ZIP_COLOUR))
    return replace(
        bag,
        name=longest("n", BAG_NAME),
        top=top,
        sandwich=replace(bag.sandwich, layers=layers),
        supplies=replace(bag.supplies, board=board, pocket=board, handles=board),
    )


def pattern(result: Result) -> bytes:
    return pdf_bytes(result, PrintOptions(paper=A4, overlap=10.0))


def materials(result: Result) -> bytes:
    return materials_pdf_bytes(best_plan(result, PlanOptions(builds=1)), A4, PLAIN)


def booklet_on_paper(result: Result) -> bytes:
    return booklet_pdf(booklet(result, BookletOptions(unit=Unit.INCH, builds=1)), A4)


@pytest.mark.parametrize("write", [pattern, materials, booklet_on_paper])
def test_every_letter_lies_on_its_page(write: Callable[[Result], bytes]) -> None:
    seen = 0
    with pdfplumber.open(io.BytesIO(write(compute(longest_bag())))) as pdf:
        # The first page of a pattern is its key; the others are windows onto one drawing.
        pages = pdf.pages[:1] if write is pattern else pdf.pages
        for page in pages:
            for sign in page.chars:
                seen += sign["text"] == "W"
                assert sign["x0"] >= EDGE and sign["x1"] <= float(page.width) - EDGE, page
                assert sign["top"] >= EDGE and sign["bottom"] <= float(page.height) - EDGE, page
    assert seen > BAG_NAME.most


def test_the_key_s_columns_do_not_run_into_each_other() -> None:
    with pdfplumber.open(io.BytesIO(pattern(compute(longest_bag())))) as pdf:
        words = pdf.pages[0].extract_words()
    [legend] = [word["x0"] for word in words if word["text"] == "Lines"]
    [head] = [word["bottom"] for word in words if word["text"] == "Lines"]
    names = [word for word in words if "WWW" in word["text"] and word["top"] > head]
    assert names and max(word["x1"] for word in names) < legend
