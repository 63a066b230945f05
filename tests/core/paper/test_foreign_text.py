"""A name out of a file is text on the page and nothing else, however it is spelt."""

import io
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
from pdfminer.pdftypes import PDFStream

from core.bag import Bag
from core.bagfile import demo_bag
from core.compute import compute
from core.goods.plan import PlanOptions, best_plan
from core.paper.materials_pdf import MaterialsOptions, materials_pdf_bytes
from core.paper.papers import LETTER
from core.paper.pdf import pdf_bytes
from core.paper.plan import PrintOptions
from tests.core.paper.readers import page_texts

NASTY = (
    "a) Tj ET Q endstream /OpenAction (",
    "<b>bold</b> & <img src=x>",
    "{x} %s $(y) \\\\ \\) \\n",
)
"""Operators of a page (ISO 32000-1, 7.3.4.2: what ends a string), markup, gaps of formats."""
ACTIVE = {"OpenAction", "JavaScript", "JS", "AA", "A", "Launch", "URI", "EF"}
"""Keys of a file that does something (ISO 32000-1, 12.6)."""


def named(text: str) -> Bag:
    bag = demo_bag()
    first, *others = bag.sandwich.layers
    layers = (replace(first, role=text, name=text), *others)
    return replace(bag, name=text, sandwich=replace(bag.sandwich, layers=layers))


def squeezed(text: str) -> str:
    return "".join(text.split())


def keys_in(data: bytes) -> set[str]:
    """The keys of every object of a file."""
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        numbers = {number for xref in pdf.doc.xrefs for number in xref.get_objids()}
        waiting: list[Any] = [pdf.doc.getobj(number) for number in sorted(numbers)]
    found = set()
    while waiting:
        held = waiting.pop()
        if isinstance(held, PDFStream):
            held = held.attrs
        if isinstance(held, dict):
            found |= set(held)
            waiting += held.values()
        elif isinstance(held, list):
            waiting += held
    return found


@pytest.mark.parametrize("text", NASTY)
@pytest.mark.parametrize("document", ["pattern", "materials"])
def test_a_name_is_read_back_as_it_is(text: str, document: str) -> None:
    result = compute(named(text))
    if document == "pattern":
        data = pdf_bytes(result, PrintOptions(paper=LETTER))
    else:
        plan = best_plan(result, PlanOptions(builds=1))
        data = materials_pdf_bytes(plan, MaterialsOptions(paper=LETTER))
    pages = " ".join(page_texts(data))
    assert squeezed(text) in squeezed(pages)
    assert keys_in(data) & ACTIVE == set()
