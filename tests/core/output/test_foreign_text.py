"""A name out of a file is text on the page and nothing else, however it is spelt."""

import io
import json
import re
import unicodedata
from dataclasses import replace
from typing import Any

import pdfplumber
import pytest
from pdfminer.pdftypes import PDFStream

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.sanitize import json_for_terminal, on_one_title, plain_signs, terminal_signs
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.lettering import PLAIN
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.html import booklet_html
from core.output.booklet.pdf import booklet_pdf
from core.output.materials import materials_pdf_bytes
from core.output.papers import LETTER
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.storage.bag_files import demo_bag
from tests.core.output.readers import page_texts

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
        data = materials_pdf_bytes(plan, LETTER, PLAIN)
    pages = " ".join(page_texts(data))
    assert squeezed(text) in squeezed(pages)
    assert keys_in(data) & ACTIVE == set()


STEERING = "a\x00b\x07c\x1b[31m\r\nd\u2028e\u202egpj.f\u2066g\x85h\ti"
"""NUL, bell, escape, ends of lines, and what turns the direction (UAX #9, 2.1 to 2.4)."""
RIGHT_TO_LEFT = (
    "\u062d\u0642\u064a\u0628\u0629 \u06a9\u062a\u0627\u0628\u200c\u0647\u0627 5 \u05ea\u05d9\u05e7"
)
"""Arabic, Persian with the non-joiner that it needs, a number, Hebrew."""


def documents(text: str) -> dict[str, bytes]:
    """Every document of a bag that is called so, in its goods too."""
    result = compute(named(text))
    plan = best_plan(result, PlanOptions(builds=1))
    found = booklet(result, BookletOptions(unit=result.bag.unit, builds=1))
    return {
        "pattern": pdf_bytes(result, PrintOptions(paper=LETTER)),
        "materials": materials_pdf_bytes(plan, LETTER, PLAIN),
        "booklet": booklet_pdf(found, LETTER),
        "page": booklet_html(found).encode(),
    }


def title_of(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return str(pdf.metadata["Title"])


def test_no_document_carries_signs_that_steer() -> None:
    made = documents(STEERING)
    page = made.pop("page").decode()
    assert set(page) & (set(STEERING) - set("abcdefghipj.[31m\n")) == set()
    assert "a?b?c?[31m d e?gpj.f?g h i" in page
    for name, data in made.items():
        title = title_of(data)
        assert title == "a?b?c?[31m d e?gpj.f?g h i", name
        texts = " ".join(page_texts(data))
        assert set(texts) & set("\x00\x07\x1b\u2028\u202e\u2066\x85") == set(), name
        assert squeezed(title) in squeezed(texts), name


def test_a_name_from_right_to_left_reads_and_turns_no_neighbour() -> None:
    made = documents(RIGHT_TO_LEFT)
    page = made["page"].decode()
    assert f"<title>{RIGHT_TO_LEFT}</title>" in page
    assert f"<h1><bdi>{RIGHT_TO_LEFT}</bdi></h1>" in page
    body = re.sub("<title>.*?</title>|<text .*?</text>", "", page)  # each a line of its own
    outside = re.sub("<bdi>.*?</bdi>", "", body)
    assert {unicodedata.bidirectional(sign) for sign in outside} & {"R", "AL"} == set()
    assert body.count(f"<bdi>{RIGHT_TO_LEFT}</bdi>") > 3
    assert title_of(made["pattern"]) == title_of(made["materials"]) == RIGHT_TO_LEFT


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("two\nlines", "two\nlines"),
        ("Weir Lane", "Weir Lane"),
        ("\x1b]0;title\x07\x9b31m", "?]0;title??31m"),  # ISO 6429, of 7 and of 8 bits
        ("\u202e\u2066\u200e\u200f\u061c", "?????"),
        ("\u200b\ufeff\u00ad", "???"),
        ("\u2028\u2029\t", "   "),
        ("\u06a9\u200c\u0647 \U0001f469\u200d", "\u06a9\u200c\u0647 \U0001f469\u200d"),
        ("half \ud83d", "half ?"),
    ],
)
def test_a_terminal_keeps_joiners_and_no_other_sign_of_format(text: str, shown: str) -> None:
    assert terminal_signs(text) == shown
    document = json.dumps({text: [text]}, ensure_ascii=False, indent=1)
    assert json.loads(json_for_terminal(document)) == {text: [text]}
    assert terminal_signs(json_for_terminal(document)) == json_for_terminal(document)


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain", "plain"),
        ("two\nlines", "two\nlines"),
        ("\u200fa\u200db \U0001f469\u200d\U0001f9f5", "\u200fa\u200db \U0001f469\u200d\U0001f9f5"),
        ("half \ud83d", "half ?"),
        ("\x7f\x9f", "??"),
    ],
)
def test_only_signs_that_steer_are_taken_out(text: str, shown: str) -> None:
    assert plain_signs(text) == shown
    assert on_one_title(text) == shown.replace("\n", " ")
