"""How many pieces walls and strips are of: a choice that keeps finished sizes. mm.

The sizes that stay are worked out by hand: a ring round a base of w x d with corners of radius r is
2 (w + d) - (8 - 2 pi) r long, and lies flat half as wide.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations

import pytest

from core.bag.bag import Bag, with_figures
from core.bag.choices import COMMAND_CHOICES, kept_of, lost_by, with_choice, with_word, word_of
from core.bag.compute import compute
from core.bag.construction import with_construction
from core.base.errors import FieldError
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.sizes import BODY_PIECES, RING_PIECES
from core.model.findings import Severity
from core.parts.handles.handles import Handles
from core.redesign.new_bag import new_bag
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.zips.zipped import Zipped

WALLS = COMMAND_CHOICES["body_pieces"]


def based(name: str = "jar") -> Bag:
    return with_construction(sample(name), SeparateBase)


def sizes(bag: Bag) -> Mapping[str, float | None]:
    return compute(bag).finished


@pytest.mark.parametrize("name", ["demo", "tote", "coolbox", "jar"])
@pytest.mark.parametrize("way", list(permutations("124")), ids="".join)
def test_another_number_of_walls_keeps_the_box(name: str, way: tuple[str, ...]) -> None:
    bag, start = based(name), sizes(based(name))
    kept: dict[str | None, object] = {}
    for word in way:
        if word == word_of(bag, WALLS):
            continue
        was = bag
        kept[word_of(bag, WALLS)] = kept_of(bag, WALLS)
        bag = with_word(bag, WALLS, word, kept.get(word))
        now = sizes(bag)
        for figure in ("base_width", "gusset_depth", "face_height"):
            assert now[figure] == pytest.approx(start[figure]), (word, figure)
        radius = now["corner_radius"] or 0.0
        squared = "4" in way[: way.index(word) + 1]  # and what no choice remembers stays so
        known = [0.0] * squared + [start["corner_radius"] or 0.0] * (word != "4")
        assert radius in map(pytest.approx, known)
        wide, deep = now["base_width"] or 0.0, now["gusset_depth"] or 0.0
        flat = wide + deep - (4 - math.pi) * radius
        assert now["opening_width"] == pytest.approx(wide if word == "4" else flat)
        assert now["base_mismatch"] == pytest.approx(0.0, abs=1e-6)
        assert bag.top.refused(bag.site.mouth) is None
        assert not [each for each in compute(bag).findings if each.severity is Severity.STOP]
        told = lost_by(WALLS, was, bag)
        assert (type(bag.top) is not type(was.top)) <= (told is not None)


@pytest.mark.parametrize("name", ["demo", "lunch", "tote", "boxed", "coolbox", "jar"])
def test_walls_that_were_left_come_back(name: str) -> None:
    bag = based(name)
    four = with_choice(bag, "body_pieces", "4")
    assert with_word(four, WALLS, "2", bag) == bag
    higher = with_figures(four, {"body_height": four.body.body_height + 25.0})
    back = sizes(with_word(higher, WALLS, "2", bag))
    assert back["face_height"] == pytest.approx((sizes(bag)["face_height"] or 0.0) + 25.0)
    assert back["corner_radius"] == pytest.approx(sizes(bag)["corner_radius"])


def test_a_top_that_was_chosen_meanwhile_stays() -> None:
    bag = based("demo")
    four = with_choice(bag, "body_pieces", "4")
    assert isinstance(four.top, Zipped)
    coarse = replace(four, top=replace(four.top, gauge="10"))
    back = with_word(coarse, WALLS, "2", bag).top
    assert (back.KIND, back.gauge) == ("zip-forward", "10")
    one = with_choice(bag, "body_pieces", "1")
    assert isinstance(one.top, Hem)
    assert isinstance(with_word(one, WALLS, "2", bag).top, Zipped)
    faced = with_choice(one, "top", "facing")
    assert with_word(faced, WALLS, "2", bag).top == faced.top


def test_rounded_corners_that_become_square_are_told() -> None:
    bag = based("jar")
    four = with_choice(bag, "body_pieces", "4")
    told = lost_by(WALLS, bag, four)
    assert told is not None
    assert (
        told.text()
        .replace("\u00a0", " ")
        .startswith(
            "The corners of the base, which were rounded to 50 mm, are square now: four walls meet "
            "there. The top of this bag is now: Top strip. This zip joins"
        )
    )
    plain = based("tote")
    assert lost_by(WALLS, plain, with_choice(plain, "body_pieces", "4")) is None
    one = with_choice(based("demo"), "body_pieces", "1")
    back = with_word(one, WALLS, "2", based("demo"))
    told = lost_by(WALLS, one, back)
    assert told is not None
    assert told.text() == "The top of this bag is now: Zip.", "the hem had room too"


def test_other_bodies_have_no_such_walls() -> None:
    with pytest.raises(FieldError, match="Walls cannot be chosen"):
        with_choice(sample("demo"), "body_pieces", "4")
    with pytest.raises(FieldError, match="body_pieces cannot be 3"):
        with_choice(based(), "body_pieces", "3")
    assert BODY_PIECES.among == RING_PIECES == tuple(map(int, WALLS.words))


@pytest.mark.parametrize("kind", [GussetStrip, Wrap])
def test_a_strip_of_more_pieces_keeps_its_sizes(kind: type) -> None:
    bag = with_construction(sample("demo"), kind)
    for word in ("1", "2", "3", "4"):
        other = with_choice(bag, "strip_pieces", word)
        assert other.body.strip_pieces == int(word)
        now, was = sizes(other), sizes(bag)
        for figure in ("face_width", "gusset_depth", "face_height", "gusset_mismatch"):
            assert now[figure] == pytest.approx(was[figure], abs=1e-9)
        assert other.top == bag.top
    assert with_choice(other, "strip_pieces", str(bag.body.strip_pieces)).body == bag.body


def test_a_loop_that_lost_its_way_is_made_of_two_handles_and_told() -> None:
    """It runs on under a wrap whose bottom is whole; three pieces join where it would lie."""
    bag = with_construction(sample("demo"), Wrap)
    handles = bag.parts["handles"]
    assert isinstance(handles, Handles)
    three = with_choice(bag, "strip_pieces", "3")
    if bag.site.front.flat_below and not three.site.front.flat_below:
        assert three.parts["handles"] != handles
        told = lost_by(COMMAND_CHOICES["strip_pieces"], bag, three)
        assert told is not None
        assert "handles" in told.text()
    assert with_word(three, COMMAND_CHOICES["strip_pieces"], "1", bag) == bag


@pytest.mark.parametrize("top", [None, "hem", "top-strip", "facing"])
def test_a_new_separate_base_of_four_walls(top: str | None) -> None:
    words = {"construction": "separate-base", "body_pieces": "4"} | ({"top": top} if top else {})
    asked = {"base_width": 300.0, "gusset_depth": 180.0, "face_height": 260.0}
    wanted = top or "top-strip"
    found = new_bag(sample("lunch"), asked, words, unit=sample("lunch").unit).result
    assert found.bag.body.body_pieces == 4
    assert wanted == found.bag.top.KIND
    for name, size in (asked | {"base_mismatch": 0.0, "opening_width": 300.0}).items():
        assert found.finished[name] == pytest.approx(size, abs=1e-6)


@pytest.mark.parametrize(("walls", "top"), [("4", "zip-forward"), ("2", "top-strip")])
def test_a_top_that_is_asked_for_is_not_replaced(walls: str, top: str) -> None:
    words = {"construction": "separate-base", "body_pieces": walls, "top": top}
    asked = {"base_width": 300.0, "gusset_depth": 180.0, "face_height": 260.0}
    with pytest.raises(FieldError) as refused:
        new_bag(sample("lunch"), asked, words, unit=sample("lunch").unit)
    assert refused.value.field == "top"


def test_a_zip_that_comes_back_to_a_wider_mouth_is_longer() -> None:
    """It has 1 in to spare at each end; the lid's is of a length that is sold, with room left."""
    bag = based("demo")
    assert isinstance(bag.top, Zipped)
    bag = replace(bag, top=replace(bag.top, length=bag.top.spans(bag.site.mouth) + 2 * 25.4))
    four = with_choice(bag, "body_pieces", "4")
    assert isinstance(four.top, Zipped)
    wider = {
        "base_cut_width": four.body.base_cut_width + 5.0,
        "body_width": four.body.body_width + 5.0,
    }
    back = with_word(with_figures(four, wider), WALLS, "2", bag)
    assert isinstance(back.top, Zipped)
    assert back.top.length >= back.top.spans(back.site.mouth) + 2 * 25.4 - 1e-6
