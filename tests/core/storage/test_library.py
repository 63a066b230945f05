"""A library of goods as text, and the goods that come with the program."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.base.errors import CornerwrightError
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.storage.bag_files import demo_bag
from core.storage.goods_library import (
    GENERIC,
    KINDS,
    LONGEST_HEAD,
    MOST_GOODS,
    OUNCE_PER_YARD,
    GoodsTextError,
    begins_library,
    library_to_json,
    merged,
    placed,
)
from tests.helpers import bag_to_json, inch, library_from_json
from tests.strategies import sandwiches


def test_generic_goods_come_back_as_they_are() -> None:
    assert library_from_json(library_to_json(GENERIC)) == GENERIC


def test_a_library_of_version_1_tells_by_words_what_goods_are_good_for() -> None:
    """Kept before goods said it: the words that were read for it then still say it."""
    document = json.loads(library_to_json(GENERIC))
    for each in document["goods"]:
        for key in ("insulating", "fusible", "wipe_clean", "laid_last"):
            del each[key]
    document["version"] = 1
    told = {each.name: each for each in library_from_json(json.dumps(document))}
    assert told["insulating fleece"].insulating
    assert told["fusible fleece"].fusible
    assert not told["sew-in foam"].fusible, "it melts"
    assert told["laminated cotton"].wipe_clean
    assert sum(each.insulating + each.fusible + each.wipe_clean for each in told.values()) == 3


@given(sandwiches(), st.sampled_from(GrainTurn), st.floats(0.0, 0.5))
def test_a_library_gives_back_its_goods(wall: object, turn: GrainTurn, share: float) -> None:
    goods = tuple(
        Layer(
            role=each.role, name="=1+1", thickness=each.thickness, pressed=each.pressed,
            usable_width=each.usable_width, turn=turn, shrink_length=share, cut_washed=False,
        )
        for each in wall.layers  # type: ignore[attr-defined]  # strategies are not typed
    )  # fmt: skip
    assert library_from_json(library_to_json(goods).encode()) == goods


def test_generic_goods_have_names_of_their_own_and_no_price() -> None:
    names = [each.name for each in GENERIC]
    assert len(set(names)) == len(names)
    assert all(each.name and each.role for each in GENERIC)
    assert not any(each.price_per_length for each in GENERIC)


def test_usable_widths() -> None:
    """Widths that goods are sold in.

    Quilting cotton is 44/45 in wide, about 42 in of it usable; interfacing 20 in; other goods
    at most 60 in (What is the standard width of quilting fabric?, katieskitchenblog.com).
    """
    by_name = {each.name: each for each in GENERIC}
    assert by_name["quilting cotton"].usable_width == inch(42)
    assert by_name["fusible fleece"].usable_width == inch(20)
    assert all(each.usable_width <= inch(60) for each in GENERIC)


def test_shrinkage_is_that_of_pre_shrunk_goods() -> None:
    """Pre-shrunk is up to 3 % either way (Dimensional stability (fabric), wikisum.wiki)."""
    assert all(max(each.shrink_length, each.shrink_width) <= 0.03 for each in GENERIC)


def test_an_ounce_to_the_square_yard() -> None:
    """International ounce 28.349523125 g, yard 0.9144 m (from memory; both exact)."""
    assert pytest.approx(28.349523125 / 0.9144**2) == OUNCE_PER_YARD


def changed(**values: object) -> str:
    document = json.loads(library_to_json(GENERIC[:2]))
    document["goods"][1] |= values
    return json.dumps(document)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "cannot be read"),
        ("[1, 2", "cannot be read"),
        ("[]", "cannot be read"),
        ("[" * 100_000, "cannot be read"),
        (b"\xff\xfe", "cannot be read"),
        ('{"format": "x", "version": 1, "goods": []}', "cannot be read"),
        ('{"format": "cornerwright goods", "version": 3, "goods": []}', "cannot be read"),
        (changed(turn="upside down"), "cannot be read"),
        (changed(sold_step=0), "material 2: Selling step is 0 mm"),
        (changed(shrink_width=0.9), "material 2: Shrinkage in width is 90 %"),
    ],
)
def test_a_bad_library_is_told_in_one_sentence(text: str | bytes, told: str) -> None:
    with pytest.raises(GoodsTextError, match=told) as caught:
        library_from_json(text)
    assert isinstance(caught.value, CornerwrightError)
    assert "\n" not in str(caught.value)


def test_a_library_has_an_end() -> None:
    with pytest.raises(GoodsTextError, match="at most 500"):
        library_to_json([GENERIC[0]] * 501)
    record = json.loads(library_to_json([GENERIC[0]]))
    for count in (500, 501):
        text = json.dumps(record | {"goods": record["goods"] * count})
        if count <= 500:
            assert len(library_from_json(text)) == count
        else:
            with pytest.raises(GoodsTextError, match="at most 500"):
                library_from_json(text)


# --- Changed in two places ------------------------------------------------------------------------

ONE, TWO, THREE = GENERIC[:3]
DEARER = replace(ONE, price_per_length=0.01)
WIDER = replace(ONE, usable_width=1200.0)


@pytest.mark.parametrize(
    ("now", "after", "sources", "both"),
    [
        ((ONE, TWO), (TWO, THREE, ONE), (1, None, 0), (TWO, THREE, ONE)),
        ((ONE, TWO, THREE), (ONE, TWO, THREE), (0, 1, None), (ONE, TWO, THREE)),
        ((DEARER, TWO), (TWO,), (1,), (DEARER, TWO)),
        ((TWO,), (DEARER, TWO), (0, 1), (TWO, DEARER)),
        ((TWO,), (ONE, TWO, THREE), (0, 1, None), (TWO, THREE)),
        ((DEARER, TWO), (WIDER, TWO), (0, 1), (replace(DEARER, usable_width=1200.0), TWO)),
        (
            (replace(ONE, thickness=0.35), TWO),
            (replace(ONE, pressed=0.39), TWO),
            (0, 1),
            (replace(ONE, pressed=0.39), TWO),
        ),
    ],
    ids=[
        "not changed there",
        "added alike",
        "changed there, removed here",
        "removed there, changed here",
        "removed there, left here",
        "changed on both sides",
        "changes that do not fit together",
    ],
)
def test_changes_of_two_sides_are_put_together(
    now: tuple[Layer, ...],
    after: tuple[Layer, ...],
    sources: tuple[int | None, ...],
    both: tuple[Layer, ...],
) -> None:
    assert merged(now, before=(ONE, TWO), after=after, sources=sources) == both


def test_no_more_goods_are_written_than_can_be_read() -> None:
    goods = [replace(GENERIC[0], name=f"goods {number}") for number in range(MOST_GOODS + 1)]
    assert len(library_from_json(library_to_json(goods[:-1]))) == MOST_GOODS
    with pytest.raises(
        GoodsTextError, match="You have 501 materials of your own: at most 500 are kept"
    ):
        library_to_json(goods)


def test_generic_goods_and_kinds_say_what_they_are_good_for() -> None:
    """Common practice, no source: film and foam melt, fusible goods has glue, a film is wiped."""
    flags = {
        each.title: (each.melts, each.fusible, each.insulating, each.wipe_clean, each.laid_last)
        for each in GENERIC
    }
    assert flags["laminated cotton"] == (True, False, False, True, True)
    assert flags["sew-in foam"] == (True, False, False, False, False)
    assert flags["fusible fleece"] == (False, True, False, False, False)
    assert flags["insulating fleece"] == (True, False, True, False, False)
    assert flags["quilting cotton"] == (False,) * 5
    kinds = {
        each.role: (each.melts, each.fusible, each.insulating, each.wipe_clean) for each in KINDS
    }
    assert kinds == {
        "outer fabric": (False, False, False, False),
        "fusible interfacing": (False, True, False, False),
        "sew-in interfacing": (False, False, False, False),
        "foam interfacing": (True, False, False, False),
        "insulating fleece": (True, False, True, False),
        "wipe-clean lining": (True, False, False, True),
        "woven lining": (False, False, False, False),
    }


def test_what_melts_or_wipes_is_laid_last_where_it_is_innermost() -> None:
    film = next(each for each in GENERIC if each.wipe_clean)
    assert placed(film, innermost=True).laid_last
    assert not placed(film, innermost=False).laid_last
    assert not placed(GENERIC[0], innermost=True).laid_last


def test_a_library_is_known_by_its_head() -> None:
    text = library_to_json(GENERIC).encode()
    assert begins_library(text[:LONGEST_HEAD])
    assert begins_library(library_to_json(()).encode())
    assert not begins_library(bag_to_json(demo_bag()).encode()[:LONGEST_HEAD])
    assert not begins_library(b"%PDF-1.3")
    assert not begins_library(b"")
