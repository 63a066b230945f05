"""Every piece of a cutting plan is named, however small: never by a number alone."""

import io
import re
from dataclasses import replace
from itertools import pairwise

import pdfplumber
import pytest

from core.bag.bag import Bag, with_figures
from core.bag.compute import compute
from core.base.units import Unit
from core.cutting.plan import GoodsPlan, PieceKey, Plan, PlanOptions
from core.cutting.planner import best_plan
from core.drawing.cutting_plan import drawn_stretch, key_line, shorts_of
from core.drawing.cutting_stretches import Stretch, StretchFrame
from core.drawing.lettering import PLAIN, short_names
from core.drawing.records import Line, Polygon, Text, text_box
from core.flat.ink import Ink
from core.output.booklet.blocks import Gallery
from core.output.booklet.content import BookletOptions, booklet
from core.output.materials import materials_pages, materials_pdf_bytes
from core.output.papers import A4, LETTER
from core.storage.bag_files import demo_bag, sample
from tests.helpers import layer, sandwich

TINY = {
    "panel_width": 80.0,
    "panel_length": 120.0,
    "front_trim": 0.0,
    "corner_cut_width": 12.0,
    "corner_cut_depth": 8.0,
    "pocket_cut_height": 40.0,
    "pocket_drop": 14.0,
    "handle_width": 6.0,
    "handle_gap": 20.0,
    "handle_stop": 20.0,
    "board_width": 30.0,
    "board_depth": 12.0,
}
"""A bag to hold in one hand, with strips 18 mm wide from goods 42 in wide."""


def tiny() -> Bag:
    return with_figures(demo_bag(), TINY)


def planned(bag: Bag, **options: object) -> Plan:
    given = {"builds": 5, **options}
    return best_plan(compute(bag), PlanOptions(**given))  # type: ignore[arg-type]  # as given


def drawn_at(goods: GoodsPlan, scale: float) -> tuple[list[Text], frozenset[PieceKey]]:
    frame = StretchFrame(Stretch(0.0, goods.cutting_length), scale, 0.0, 0.0)
    drawn = drawn_stretch(goods, frame, PLAIN)
    return [each for each in drawn.records if isinstance(each, Text)], drawn.shortened


BAGS = {"demo": demo_bag, "lunch": lambda: sample("lunch"), "tiny": tiny}


@pytest.mark.parametrize("name", BAGS)
@pytest.mark.parametrize("scale", [1 / 4, 1 / 7, 1 / 15, 1 / 26, 1 / 60])
def test_every_piece_is_named(name: str, scale: float) -> None:
    """Counted by hand: as many texts with a piece's name or short name as there are pieces.

    At a scale of 1:60, which only a window shows, equal neighbours share one name.
    """
    plan = planned(BAGS[name](), bags=2)
    assert all(goods.laid for goods in plan.goods) and len(plan.goods) == {"lunch": 4}.get(name, 5)
    for goods in plan.goods:
        texts, shortened = drawn_at(goods, scale)
        assert not [each.text for each in texts if re.fullmatch(r"[\d\s]+", each.text)]
        shorts = shorts_of(goods, PLAIN)
        for piece in goods.laid:
            full, short = (f"{told} {piece.bag}" for told in (piece.name, shorts[piece.key]))
            told = [each.text for each in texts if each.piece == piece.name]
            joined = " ".join(told)
            named = full in joined or short in told or shorts[piece.key] in told
            assert named, (piece.name, told)
        key = key_line(goods, shortened, PLAIN)
        names = {piece.key: piece.name for piece in goods.laid}
        assert shorts.keys() == names.keys()
        for piece_key, short in shorts.items():
            used = any(each.text.split()[0] == short for each in texts)
            assert (f"{short} {names[piece_key]}" in key) == used


def test_names_of_thin_strips_stand_beside_the_goods_apart_from_one_another() -> None:
    goods = planned(tiny(), bags=6).goods[0]
    texts, _ = drawn_at(goods, 1 / 7)
    beside = [each for each in texts if each.ink is Ink.DIMENSION and each.piece]
    assert len(beside) == 18, "three strips for each of six bags"
    boxes = sorted((text_box(each) for each in beside), key=lambda box: box[1])
    assert all(low[3] <= high[1] for low, high in pairwise(boxes))
    assert all(box[0] > goods.width / 7 for box in boxes)


def test_the_key_is_read_back_from_the_file() -> None:
    """As pdfplumber reads it: the short names on the plan's page, and what they stand for."""
    plan = planned(tiny())
    with pdfplumber.open(io.BytesIO(materials_pdf_bytes(plan, A4, PLAIN))) as file:
        page = next(page for page in file.pages if "Cutting plan: outer" in page.extract_text())
        text = page.extract_text()
    assert "FP front pocket · HS handle strip" in text
    assert re.search(r"\bHS 1\b", text)
    assert re.search(r"\bFP 1\b", text)


def test_a_roomy_plan_needs_no_key() -> None:
    plan = planned(demo_bag())
    pages = materials_pages(plan, LETTER, PLAIN)
    texts = [each.text for page in pages for each in page if isinstance(each, Text)]
    assert "handle strip 1" in texts
    assert not [text for text in texts if re.search(r"\b(HS|FP|BB)\b", text)]


def test_short_names_differ() -> None:
    names = ["front pocket", "fine panel", "panel, lining", "panel", "handle strip"]
    names += ["front half of the top strip", "back half of the top strip"]
    assert short_names(names) == {
        "front pocket": "FP",
        "fine panel": "FP2",
        "panel, lining": "PL",
        "panel": "P",
        "handle strip": "HS",
        "front half of the top strip": "FTS",
        "back half of the top strip": "BTS",
    }


def test_the_booklet_names_every_piece_too() -> None:
    for bag in (tiny(), demo_bag()):
        plan = planned(bag)
        blocks = booklet(compute(bag), BookletOptions(unit=Unit.MM, builds=5)).blocks
        *_, gallery = [each for each in blocks if isinstance(each, Gallery)]
        for (picture, caption), goods in zip(gallery.pictures, plan.goods, strict=True):
            texts = {each.text for each in picture.records if isinstance(each, Text)}
            shorts = short_names([each.name for each in goods.laid])
            for name, short in shorts.items():
                assert name in texts or (short in texts and f"{short} {name}" in caption)


# --- Arrows ---------------------------------------------------------------------------------------


def arrows(goods: GoodsPlan, scale: float = 1 / 8) -> dict[str, set[bool]]:
    """Of each piece whether its arrow lies across the goods, read from the longest line of it."""
    frame = StretchFrame(Stretch(0.0, goods.cutting_length), scale, 0.0, 0.0)
    records = drawn_stretch(goods, frame, PLAIN).records
    found: dict[str, set[bool]] = {}
    for each in records:
        if isinstance(each, Line) and each.ink is Ink.GRAIN and len(each.points) == 2:
            (x0, y0), (x1, y1) = each.points
            found.setdefault(each.piece, set()).add(abs(x1 - x0) > abs(y1 - y0))
    return found


def test_the_arrow_is_drawn_as_the_piece_lies() -> None:
    """Straight on goods where turning saves nothing, across where the panel is turned."""
    bag = demo_bag()
    plain = replace(bag, sandwich=sandwich(layer(usable_width=1066.8)))
    assert arrows(planned(plain).goods[0])["panel"] == {False}
    three = planned(plain, bags=3).goods[0]
    lies = {each.turned for each in three.laid if each.item.piece.label == "panel"}
    assert arrows(three)["panel"] == lies
    inner = planned(bag).goods[1]
    assert not arrows(inner), "what is not seen may lie either way"


def test_a_piece_with_little_room_beside_its_texts_has_a_shorter_arrow() -> None:
    """A pocket, nearly square: its grain runs along the goods, and nothing else would tell."""
    goods = planned(demo_bag(), bags=3).goods[0]
    assert {"panel", "front pocket", "handle strip"} <= arrows(goods, 1 / 14).keys()


def test_no_arrow_lies_on_a_text_or_leaves_its_piece() -> None:
    for bag in (demo_bag(), sample("lunch"), sample("tote"), tiny()):
        drawn = 0
        for goods in planned(bag, bags=3).goods:
            frame = StretchFrame(Stretch(0.0, goods.cutting_length), 1 / 9, 0.0, 0.0)
            records = drawn_stretch(goods, frame, PLAIN).records
            boxes = [text_box(each) for each in records if isinstance(each, Text)]
            areas = [
                each for each in records if isinstance(each, Polygon) and each.ink is Ink.PIECE
            ]
            for each in records:
                if not isinstance(each, Line) or each.ink is not Ink.GRAIN:
                    continue
                drawn += 1
                xs, ys = zip(*each.points, strict=True)
                box = (min(xs), min(ys), max(xs), max(ys))
                assert not [
                    other
                    for other in boxes
                    if box[0] < other[2]
                    and other[0] < box[2]
                    and box[1] < other[3]
                    and other[1] < box[3]
                ]
                assert any(
                    min(x for x, _ in area.points) <= box[0]
                    and box[2] <= max(x for x, _ in area.points)
                    and min(y for _, y in area.points) <= box[1]
                    and box[3] <= max(y for _, y in area.points)
                    for area in areas
                    if area.piece == each.piece
                )
        assert (drawn >= 3) is (bag != tiny()), "no arrow finds room on the tiny one"
