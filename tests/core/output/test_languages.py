"""What is told in another language: nothing of ours stays English, nothing typed is translated.

The pseudo-language is the common practice of testing a program for translation (pseudo-
localization): every letter of a text becomes one with a mark, so that what stays plain was
never asked for.
"""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from functools import cache, partial
from typing import Final

import pytest

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bag.tables import CUT_FIGURES
from core.base.errors import CornerwrightError, FieldError
from core.base.sentences import Language
from core.base.units import Unit
from core.cutting.buying import ways_of_goods
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.lettering import Wording
from core.drawing.pattern import draw_piece
from core.drawing.records import Line, Polygon, Text
from core.flat.ink import Ink
from core.output.booklet.content import BookletOptions, booklet
from core.output.csv import cut_list_csv
from core.output.materials import materials_pages
from core.output.pages import draw_options, plan_pages
from core.output.papers import paper_named, usual_paper
from core.output.print_options import PrintOptions
from core.output.printed_pattern import key_records
from core.storage.bag_files import SAMPLES, sample
from core.tops.zip_forward.zip import ZipForward
from tests.catalogue import catalogue
from tests.core.bag.finding_cases import raising_bags
from tests.helpers import demo, having, layer, sandwich

MARKED = {ord("a") + place: chr(0x1E01 + 2 * place) for place in range(26)}
TYPED = "Qx"
"""Stands for whatever somebody typed."""
KNOWN = {text for one, entry in catalogue()[0].items() for text in (one, entry.many)}
GAPS: Final = re.compile(r"\{.*?\}")
PLAIN_WORD: Final = re.compile(r"[A-Za-z]{2,}")
UNITS = {"mm", "in", "yd", "kg", "lb", "oz", "qt", "cu", "cm", "EUR"}
"""The same in every language (BIPM, The International System of Units, 9th edition, 5.2)."""
JOINS = {"{words}", "{items}"}
"""What stands for nothing but its gap."""


class Marked(Language):
    """English whose letters have marks; remembers what it was asked for."""

    def __init__(self) -> None:
        self.asked: set[str] = set()

    def __call__(self, text: str, /) -> str:
        self.asked.add(text)
        parts = re.split(r"(\{.*?\})", text)
        return "".join(each if each.startswith("{") else marked(each) for each in parts)

    def plural(self, one: str, many: str, count: int, /) -> str:
        return self(one if count == 1 else many)


def marked(text: str) -> str:
    return text.lower().translate(MARKED)


def strings(told: object) -> Iterator[str]:
    """Every text within."""
    if isinstance(told, str):
        yield told
    elif isinstance(told, Text):
        yield told.text
    elif isinstance(told, Enum | Polygon | Line):
        return
    elif isinstance(told, dict):
        yield from strings(tuple(told.values()))
    elif isinstance(told, tuple | list):
        for each in told:
            yield from strings(each)
    elif is_dataclass(told):
        for field in fields(told):
            yield from strings(getattr(told, field.name))


def typed(bag: Bag) -> Bag:
    """The same bag, all that somebody typed in it being one word that is none of ours."""
    layers = tuple(
        replace(each, role=f"{TYPED} {place}", name="")
        for place, each in enumerate(bag.sandwich.layers)
    )
    board = replace(bag.supplies.board, role=f"{TYPED} 8", name=f"{TYPED} 9")
    return replace(
        bag,
        name=TYPED,
        top=replace(bag.top, colour=TYPED) if isinstance(bag.top, ZipForward) else bag.top,
        sandwich=replace(bag.sandwich, layers=layers),
        supplies=replace(bag.supplies, board=board),
    )


@cache
def told(name: str) -> tuple[frozenset[str], tuple[str, ...]]:
    """What the language was asked for on the papers of a sample, and every text on them."""
    language = Marked()
    result = compute(typed(sample(name)))
    wording = Wording(translate=language, unit=Unit.MM)
    paper = usual_paper(Unit.MM)
    options = PrintOptions(paper=paper, wording=wording)
    printed = plan_pages(result, options)
    plan = best_plan(result, PlanOptions(builds=1))
    cells = [row.split(",", 1)[-1] for row in cut_list_csv(plan, wording).splitlines()[1:]]
    told = (
        booklet(result, BookletOptions(unit=Unit.MM, translate=language, builds=1)),
        materials_pages(plan, paper, wording),
        key_records(result.bag, printed, wording, (0.0, 0.0, 190.0, 280.0), set(Ink)),
        cells,
        [
            draw_piece(
                each.piece, each, draw_options(result, PrintOptions(paper=paper, wording=wording))
            )
            for each in printed.outlines
        ],
    )
    return frozenset(language.asked), tuple(strings(told))


@pytest.mark.parametrize("name", SAMPLES)
def test_nothing_on_paper_stays_english(name: str) -> None:
    _, every = told(name)
    assert len(every) > 300
    left = {word for each in every for word in PLAIN_WORD.findall(GAPS.sub("", each))}
    assert left - UNITS <= {TYPED}


@pytest.mark.parametrize("name", SAMPLES)
def test_translators_are_given_every_text_that_is_asked_for(name: str) -> None:
    asked, _ = told(name)
    assert asked - KNOWN - JOINS == set()


def test_a_piece_told_apart_by_its_role_and_what_a_bag_lacks_are_told_in_the_readers_words() -> (
    None
):
    shared = (layer(f"{TYPED} 1", name=TYPED), layer(f"{TYPED} 2", name=TYPED))
    wall = having(demo().without("board"), sandwich=sandwich(*shared))
    plan = best_plan(compute(wall), PlanOptions(builds=1))
    assert plan.goods[0].laid[0].name == f"panel, {TYPED} 1"
    language = Marked()
    every = [*strings(materials_pages(plan, usual_paper(Unit.MM), Wording(translate=language)))]
    every += [
        each.text(translate=language) for goods in plan.goods for each in ways_of_goods(goods)
    ]
    bag = without_part(demo().without("pocket", "handles", "board"), "zip")
    for figure in CUT_FIGURES:
        if cut_value(bag, figure.name) is None:
            with pytest.raises(FieldError) as refused:
                with_figures(bag, {figure.name: figure.high / 2})
            every.append(refused.value.sentence.text(translate=language))
    assert {word for each in every for word in PLAIN_WORD.findall(each)} - UNITS == {"demo", TYPED}
    assert language.asked - KNOWN - JOINS == set()


def test_what_is_refused_of_goods_and_paper_is_told_in_the_readers_words() -> None:
    language = Marked()
    refused = (
        partial(layer, shrink_length=0.9),
        partial(layer, shrink_width=0.9),
        partial(paper_named, "roll 3xyz"),
    )
    for make in refused:
        with pytest.raises(CornerwrightError) as error:
            make()
        told = error.value.sentence.text(translate=language)
        assert set(PLAIN_WORD.findall(told)) - UNITS <= {"xyz"}
    assert language.asked - KNOWN - JOINS == set()


def test_translators_are_given_every_finding_and_fix() -> None:
    language = Marked()
    left: set[str] = set()
    for _, bag in raising_bags():
        for finding in compute(typed(bag)).findings:
            for sentence in (finding.message, *(fix.label for fix in finding.fixes)):
                left.update(PLAIN_WORD.findall(sentence.text(translate=language)))
    assert len(language.asked) > 100
    assert left - UNITS == {TYPED}
    assert language.asked - KNOWN - JOINS == set()
