"""What a student with cloth in hand reads, of every sample with every top: short, and complete.

What is bought is used in a step and what the steps use is bought: each by its name in the shop.
That short sentences are read at the machine, and others are not, is common practice, no source.
"""

import re
from collections.abc import Iterator
from functools import cache

import pytest

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.base.errors import FieldError
from core.cutting.cut_list import notions_of
from core.sewing.steps import operations
from core.storage.bag_files import SAMPLES, sample
from core.tops.table import TOPS
from core.work.operation import Action
from tests.core.sewing.bought import assert_bought_is_used, texts

MOST_WORDS = 30


@cache
def bags(name: str) -> tuple[Bag, ...]:
    """A sample with each top that it takes, and with walls of every number of pieces."""

    def found() -> Iterator[Bag]:
        start = sample(name)
        starts = [start]
        for choice, words in (
            ("body_pieces", "124"),
            ("strip_pieces", "24"),
            ("board", ("fused",)),
        ):
            for word in words:
                try:
                    starts.append(with_choice(start, choice, word))
                except (FieldError, KeyError, ValueError):
                    break
        for each in starts:
            for top in TOPS:
                try:
                    yield with_choice(each, "top", top.KIND)
                except FieldError:
                    continue

    return tuple(found())


@pytest.mark.parametrize("name", SAMPLES)
def test_what_is_bought_is_used_and_what_is_used_is_bought(name: str) -> None:
    for bag in bags(name):
        assert_bought_is_used(bag)


@pytest.mark.parametrize("name", SAMPLES)
def test_no_sentence_is_longer_than_is_read_at_the_machine(name: str) -> None:
    for bag in bags(name):
        for text in texts(bag):
            for sentence in re.split(r"(?<=[a-z)])[.:] ", text):
                assert len(sentence.split()) <= MOST_WORDS, (bag.top.KIND, sentence)


def test_clips_follow_one_rule() -> None:
    """Staystitched first, then to one stitch before the line, in the strip as in the walls."""
    found = []
    for name in ("coolbox", "wrap", "jar"):
        bag = sample(name)
        every = operations(bag, compute(bag).draft)
        (clipped,) = (e for e in every if "to one stitch" in " ".join(texts_of(e)))
        (stayed,) = (e for e in every if e.action is Action.STAYSTITCH)
        assert clipped.check is not None
        assert clipped.caution is not None
        found.append((clipped.check.text(), clipped.caution.text()))
        line, seam = (
            stayed.measures[0].length,
            bag.body.base_seam if name == "jar" else (bag.body.gusset_seam),
        )
        assert 0.0 < seam - line <= 25.4 / 16 + 1e-9, "just outside the stitch line"
    assert len(set(found)) == 1
    assert "staystitching" in found[0][0]


def texts_of(operation: object) -> list[str]:
    return [each.text() for each in operation.sentences]  # type: ignore[attr-defined]  # of one


def test_coated_goods_are_clipped_and_ironed_through_a_cloth() -> None:
    """Of waxed cotton holes stay, and its wax melts: told by its own properties."""
    for name, coated in (("coolbox", True), ("jar", True), ("wrap", True), ("boxed", False)):
        bag = sample(name)
        every = operations(bag, compute(bag).draft)
        told = " ".join(texts(bag))
        assert ("wherever these steps say pin, use clips" in told) is coated, name
        pressed = [each.pressing for each in every if each.pressing is not None]
        if name in ("coolbox", "jar"):
            assert pressed
            assert all(each.cloth and each.heat.value == "cool iron" for each in pressed)


def test_what_is_looked_at_is_told_as_a_ruler_shows_it() -> None:
    """Millimetres, or sixteenths of an inch: what is free beside the board."""
    for name, step in (("jar", 1.0), ("coolbox", 1.0), ("wrap", 25.4 / 16)):
        bag = sample(name)
        every = {each.key: each for each in operations(bag, compute(bag).draft)}
        check = every["lay in base board"].check
        assert check is not None
        for length in check.lengths.values():
            assert length / step == pytest.approx(round(length / step), abs=1e-9)
            assert length > 0.0


def test_every_raw_edge_inside_is_told_of() -> None:
    """Joins of a top strip and what a zip is sewn to are no seams of the panels."""
    bag = sample("coolbox")
    told = " ".join(texts(bag))
    assert "the top strip's two joins" in told
    assert told.count("Press the seam open with your fingers") == 2
    assert "Sew a zigzag over both raw sides" in told, "of the tabs"
    for name in SAMPLES:
        for each in bags(name):
            has_zip = any(other.what == "zip" for other in notions_of(compute(each)).others)
            words = " ".join(texts(each))
            assert ("edges along the zip need none" in words) is has_zip, (name, each.top.KIND)
            assert words.count("Never sew over metal teeth") == int(has_zip), "once"
