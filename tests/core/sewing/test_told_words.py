"""No text that a bag cut like a box can show speaks of what only another construction has.

Steps, findings with their fixes, notes on pieces and in the cut list, materials, and what refuses a
change: for each sample with every top that it takes, with every part, at either end of each figure.
"""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from itertools import chain

import pytest

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import CHOICES, with_choice, with_word, word_of
from core.bag.compute import Around, compute
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.base.sentences import Sentence
from core.bodies.separate_base.body import SeparateBase
from core.cutting.cut_list import cut_list
from core.model.figures import Quantity
from core.parts.table import SLOTS
from core.sewing.steps import steps
from core.storage.bag_files import SAMPLES, sample
from core.tops.table import TOPS

OF_PANELS = r"corner seams?|corner cuts?|bottom fold|bottom seam|boxed|\btips?\b(?! of sharp)"
OF_SIDES = r"|side seams?|base seam|top fold"
FOREIGN = {
    "coolbox": OF_PANELS + OF_SIDES,
    "wrap": OF_PANELS + OF_SIDES,
    "jar": OF_PANELS + r"|panels?\b|gusset|\bstrip seam",
}
OF_CARRIERS = (
    r"gusset strips?\b|\bwraps?\b|\bgusset seam|base seam|strip seam|top strips?\b|half strips?\b|"
    r"match marks?\b|\bleft end\b|\bright end\b|\bends of the bag\b|staystitch|\bthe walls\b|"
    r"\blids?\b"
)
"""What only bags cut like boxes have."""
ONE_WALL = r"|cut each wall|side seams\b|each side seam|side edges\b(?! from the top)"
"""It has one seam at a side; that is pinned along its edges from the top to the bottom."""
SIZES = (0.0, 0.3, 0.7, 0.95, 1.05, 1.4, 3.0)
"""Shares of each cut figure."""


def _told(value: object, seen: set[int]) -> Iterator[str]:
    """Every text in a record."""
    if isinstance(value, Sentence):
        yield value.text()
    elif isinstance(value, str):
        yield value
    elif id(value) not in seen:
        seen.add(id(value))
        inner: Iterator[object] = iter(())
        if is_dataclass(value) and not isinstance(value, type):
            inner = (getattr(value, each.name) for each in fields(value))
        elif isinstance(value, dict):
            inner = iter(value.values())
        elif isinstance(value, list | tuple | set | frozenset):
            inner = iter(value)
        yield from chain.from_iterable(_told(each, seen) for each in inner)


def _quick(bag: Bag) -> Iterator[str]:
    """What is told at a glance: findings and their fixes, and what stands on the pieces."""
    result = compute(bag)
    for found in result.findings:
        yield found.message.text()
        yield from (fix.label.text() for fix in found.fixes)
    for piece in result.draft.pieces:
        yield from _told((piece.label, piece.notes), set())


def _all(bag: Bag) -> Iterator[str]:
    """That, the steps, and the cut list with the notions: what is printed."""
    yield from _quick(bag)
    result = compute(bag)
    for step in steps(result):
        yield from (sentence.text() for sentence in step.operation.sentences)
    yield from _told(cut_list(result), set())


def _with_all_parts(bag: Bag) -> Bag:
    for kind in SLOTS:
        if kind.SLOT not in bag.parts:
            try:
                bag = bag.with_part(kind.fresh(Around(bag)))
            except FieldError:
                continue
    return bag


def _bags(name: str) -> Iterator[Bag]:
    starts = [sample(name)]
    if isinstance(starts[0].body, SeparateBase):
        starts = [with_choice(starts[0], "body_pieces", word) for word in "124"]
    for start in starts:
        for kind in TOPS:
            try:
                yield _with_all_parts(with_choice(start, "top", kind.KIND))
            except FieldError:
                continue


def _others(bag: Bag) -> Iterator[Bag | str]:
    """The bag with every other word and size, or what refuses that."""
    for choice in CHOICES:
        now = word_of(bag, choice)
        for word in choice.words if now is not None and choice.part != "top" else ():
            if choice.name == "construction":
                continue
            try:
                yield with_word(bag, choice, word)
            except FieldError as error:
                yield error.sentence.text()
    for figure in CUT_FIGURES:
        value = cut_value(bag, figure.name)
        for share in SIZES if value is not None else ():
            size = (value or 0.0) * share
            if figure.quantity is Quantity.COUNT:
                size = round(size)
            try:
                yield with_figures(bag, {figure.name: size})
            except FieldError as error:
                yield error.sentence.text()


def _foreign(bag: Bag, name: str) -> re.Pattern[str]:
    words = FOREIGN[name]
    if isinstance(bag.body, SeparateBase) and bag.body.body_pieces == 1:
        words += ONE_WALL
    return re.compile(words, re.IGNORECASE)


@pytest.mark.parametrize("name", FOREIGN)
def test_no_text_speaks_of_what_the_bag_has_not(name: str) -> None:
    seen = 0
    for bag in _bags(name):
        for text in _all(bag):
            assert not _foreign(bag, name).search(text), (bag.top.KIND, text)
        for other in _others(bag):
            texts, of = ([other], bag) if isinstance(other, str) else (_quick(other), other)
            for text in texts:
                found = _foreign(of, name).search(text)
                assert found is None, (of.top.KIND, of.body, text)
                seen += 1
    assert seen > 1000


@pytest.mark.parametrize("name", sorted(set(SAMPLES) - set(FOREIGN)))
def test_no_step_of_a_panel_speaks_of_a_bag_cut_like_a_box(name: str) -> None:
    """And no step of a strip or of a base: of every sample with every top it is looked at."""
    seen = 0
    for bag in _bags(name):
        for text in _all(bag):
            assert not re.search(OF_CARRIERS, text, re.IGNORECASE), (bag.top.KIND, text)
            seen += 1
    assert seen > 50


@pytest.mark.parametrize("name", FOREIGN)
def test_finished_sizes_are_told_in_words_that_hold_for_each_bag(name: str) -> None:
    """A figure of several bodies is explained without a seam or fold that one of them lacks."""
    bag = sample(name)
    told = " ".join(
        f"{each.help} {each.tape}" for each in bag.finished_figures if each.part != "top"
    )
    assert "top fold" not in told
    assert "side seam" not in told
    assert "those corners" not in told
    assert "Base width x" not in told, "a rounded body holds less"


def test_what_a_bag_has_is_called_so() -> None:
    """The words are looked for where they are told: the demo bag's own."""
    told = " ".join(_all(sample("demo")))
    for word in ("corner seam", "corner cut", "side seam", "top fold"):
        assert word in told
