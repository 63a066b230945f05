"""Goods: what shrinks, what may be turned, what is wide enough, what bags are cut from."""

from dataclasses import replace

import pytest

from core.bag.bag import draft_bag
from core.bag.compute import compute
from core.bag.wall import width_finding
from core.base.errors import FieldError
from core.flat.piece import GrainTurn
from core.goods.layers import EIGHTH_YARD, Layer
from core.goods.supplies import BOARD, Supplies
from core.storage.bag_files import demo_bag
from tests.helpers import (
    bag_from_json,
    bag_to_json,
    bare,
    changed,
    demo,
    demo_panel,
    found,
    having,
    inch,
    layer,
    sandwich,
    texts,
)
from tests.ids import PIECES


def test_a_piece_is_cut_larger_by_what_the_goods_shrinks() -> None:
    """Change in washing, as AATCC 135-2018t has it.

    AATCC 135-2018t, sections 8 and 9: change = 100 (after - before) / before. 500 mm that
    come out at 485 mm have lost 3 %; so 300 mm must be cut 300 / 0.97 = 309.28 mm.
    """
    lost = (500 - 485) / 500
    goods = layer(shrink_length=lost, shrink_width=0.02, cut_washed=False)
    across, along = goods.enlarged(300.0, 300.0)
    assert along == pytest.approx(309.28, abs=0.005)
    assert along * (1 - lost) == pytest.approx(300.0)
    assert across * 0.98 == pytest.approx(300.0)
    assert goods.cutting_width == goods.usable_width


def test_washed_goods_are_narrower_and_bought_longer() -> None:
    goods = layer(shrink_length=0.03, shrink_width=0.05, usable_width=1000.0)
    assert goods.enlarged(300.0, 400.0) == (300.0, 400.0)
    assert goods.cutting_width == pytest.approx(950.0)
    assert goods.bought(970.0) == pytest.approx(1000.0)


@pytest.mark.parametrize(
    ("changes", "turn"),
    [
        ({}, GrainTurn.QUARTER),
        ({"turn": GrainTurn.HALF}, GrainTurn.HALF),
        ({"turn": GrainTurn.NEVER}, GrainTurn.NEVER),
        ({"one_way": True}, GrainTurn.NEVER),
        ({"shrink_length": 0.03, "shrink_width": 0.01}, GrainTurn.QUARTER),
        ({"shrink_length": 0.03, "shrink_width": 0.01, "cut_washed": False}, GrainTurn.HALF),
        ({"shrink_length": 0.03, "shrink_width": 0.03, "cut_washed": False}, GrainTurn.QUARTER),
    ],
)
def test_a_piece_turns_as_far_as_the_goods_allow(
    changes: dict[str, object], turn: GrainTurn
) -> None:
    panel = draft_bag(demo()).piece(PIECES["panel"])
    assert layer(**changes).turn_of(panel) is turn
    assert layer(**changes).turn_of(replace(panel, turn=GrainTurn.NEVER)) is GrainTurn.NEVER


def test_a_step_is_an_eighth_of_a_yard_unless_told() -> None:
    """Fabric yardage conversion chart, hookedonsewing.com: 1/8 yd = 4.5 in = 11.4 cm."""
    assert layer().sold_step == pytest.approx(inch(4.5))
    assert layer().sold_step == EIGHTH_YARD
    assert layer().sold_step * 8 == pytest.approx(914.4)  # NIST Handbook 44, app. C: 1 yd


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"shrink_length": -0.01}, "layer_shrink_length", "Shrinkage in length is −1 %"),
        ({"shrink_width": 0.51}, "layer_shrink_width", "Shrinkage in width is 51 %"),
        ({"shrink_width": float("nan")}, "layer_shrink_width", "from 0 % to 50 %"),
        ({"shrink_length": True}, "layer_shrink_length", "Shrinkage in length is True"),
        ({"shrink_length": "3"}, "layer_shrink_length", "Shrinkage in length is 3"),
        ({"sold_step": 0.0}, "layer_sold_step", "Selling step is 0 mm: it must be more than 0 mm."),
        ({"sold_step": -1.0}, "layer_sold_step", "Selling step is -1 mm"),
    ],
)
def test_goods_that_cannot_be_are_refused(
    changes: dict[str, object], field: str, told: str
) -> None:
    with pytest.raises(FieldError) as caught:
        layer(**changes)
    assert caught.value.field == field
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"spool_length": 0.0}, "spool_length"),
        ({"clip_spacing": 0.0}, "clip_spacing"),
        ({"zip_price": -1.0}, "zip_price"),
        ({"spool_price": float("inf")}, "spool_price"),
    ],
)
def test_supplies_that_cannot_be_are_refused(changes: dict[str, float], field: str) -> None:
    with pytest.raises(FieldError) as caught:
        Supplies(**changes)  # type: ignore[arg-type]  # one field at a time
    assert caught.value.field == field


def test_pieces_come_from_their_own_goods_or_the_outer_layer() -> None:
    bag = demo()
    draft = draft_bag(bag)
    outer = bag.sandwich.layers[0]
    assert bag.goods_of(draft.piece(PIECES["panel"])) == bag.sandwich.layers
    assert bag.goods_of(draft.piece(PIECES["front pocket"])) == (outer,)
    assert bag.goods_of(draft.piece(PIECES["handle strip"])) == (outer,)
    assert bag.goods_of(draft.piece(PIECES["base board"])) == (BOARD,)
    assert bag.goods_of(draft.piece(PIECES["zip"])) == ()
    own = replace(bag, supplies=Supplies(pocket=layer("mesh"), handles=layer("webbing")))
    assert own.goods_of(draft.piece(PIECES["front pocket"]))[0].role == "mesh"
    assert own.goods_of(draft.piece(PIECES["handle strip"]))[0].role == "webbing"


def test_a_wide_piece_is_told_to_turn_only_where_that_helps() -> None:
    panel = draft_bag(bare(demo_panel(width=inch(40), length=inch(20), front_trim=0.0))).pieces[0]
    for one_way, hint in ((True, "turn it 90°"), (False, None)):
        finding = width_finding(panel, layer(usable_width=inch(30), one_way=one_way))
        assert (finding is not None) == one_way
        if finding is not None and hint:
            assert hint in texts(finding.message)[0]
            assert "40 in" in texts(finding.message)[0]
            assert (finding.figure, finding.value) == ("panel_width", inch(40))
    narrow = width_finding(panel, layer(usable_width=inch(15)))
    assert narrow is not None
    assert "turn" not in narrow.message.text()
    assert "seam" in narrow.message.text()
    assert (narrow.figure, narrow.value) == ("panel_length", inch(20))


def test_a_pocket_names_its_own_height() -> None:
    bag = demo(sandwich=sandwich(layer(), layer("lining")))
    narrow = replace(bag, supplies=Supplies(pocket=layer("mesh", usable_width=inch(15))))
    finding = found(narrow, "wider-than-goods")
    assert finding is not None
    assert (finding.figure, finding.value) == ("pocket_cut_height", inch(16))


def test_strips_that_must_lie_across_need_the_width() -> None:
    """Strips are as long as their goods are wide, whatever those come to be."""
    for goods in (layer(usable_width=inch(40)), layer(usable_width=inch(40), one_way=True)):
        bag = demo(sandwich=sandwich(goods))
        assert found(bag, "wider-than-goods") is None
        assert compute(bag).draft.piece(PIECES["handle strip"]).width == inch(40)


def test_a_width_asked_for_the_strips_is_that_of_their_goods_everywhere() -> None:
    """`goods_width` is the usable width of the material, not a second figure."""
    cloth = layer(name="canvas", usable_width=inch(42))
    bag = demo(
        sandwich=sandwich(cloth, layer("lining"), replace(cloth, role="facing")),
        supplies=Supplies(pocket=replace(cloth, role="pocket")),
    )
    wide = changed(bag, goods_width=inch(50))
    widths = [each.usable_width for each in wide.sandwich.layers]
    assert widths == [inch(50), inch(54), inch(50)]
    assert wide.supplies.pocket is not None
    assert wide.supplies.pocket.usable_width == inch(50)
    assert wide.parts.get("handles") is not None
    assert wide.parts["handles"].loop(wide.site) == pytest.approx(3 * inch(49.5))


def test_washing_can_make_goods_too_narrow() -> None:
    goods = layer(usable_width=inch(18.6), shrink_width=0.03, one_way=True)
    bag = having(demo(sandwich=sandwich(goods)), handles=None)
    finding = found(bag, "wider-than-goods")
    assert finding is not None
    assert finding.limit == pytest.approx(inch(18.6) * 0.97)


def test_the_demo_bag_keeps_quiet_about_its_goods() -> None:
    assert "wider-than-goods" not in {each.code for each in compute(demo_bag()).findings}


def test_files_keep_goods_and_supplies() -> None:
    goods = Layer(
        role="outer", name="corduroy", thickness=1.0, pressed=0.5, usable_width=1400.0,
        sold_step=100.0, in_sheets=True, turn=GrainTurn.HALF, shrink_length=0.04,
        shrink_width=0.01, cut_washed=False, one_way=True, melts=True,
    )  # fmt: skip
    supplies = Supplies(
        board=goods, pocket=layer("mesh"), handles=goods, zip_price=4.5, spool_price=3.0,
        spool_length=1e6, clip_spacing=40.0, zip_lengths=(250.0, 400.0),
    )  # fmt: skip
    bag = replace(demo(sandwich=sandwich(goods, layer())), supplies=supplies)
    assert bag_from_json(bag_to_json(bag), source="x") == bag
