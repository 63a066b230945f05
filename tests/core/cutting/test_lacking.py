"""Pieces that their goods cannot take: what is told names a figure that there is."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, cut_value
from core.bag.compute import compute
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import FieldError
from core.cutting.plan import Plan, PlanOptions
from core.cutting.planner import best_plan
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.model.findings import Finding
from core.storage.bag_files import demo_bag
from tests.helpers import inch, layer, sandwich
from tests.ids import PIECES
from tests.strategies import bags

FIGURES = frozenset(each.name for each in (*CUT_FIGURES, *FINISHED_FIGURES)) | {"layers"}
"""Names that a finding may point at; `layers` is the table of the layers itself."""


def planned(bag: Bag) -> Plan:
    return best_plan(compute(bag), PlanOptions(builds=1))


def lacking(plan: Plan) -> dict[str, Finding]:
    return {item.piece.label: finding for goods in plan.goods for item, _, finding in goods.lacking}


def all_goods(bag: Bag, goods: Layer) -> Bag:
    """The bag with everything, board too, cut from goods of this size and sort."""
    size = {
        name: getattr(goods, name)
        for name in ("usable_width", "sold_step", "in_sheets", "turn", "one_way")
    }
    layers = tuple(replace(each, **size) for each in bag.sandwich.layers)
    return replace(
        bag,
        sandwich=replace(bag.sandwich, layers=layers),
        supplies=replace(bag.supplies, board=replace(bag.supplies.board, **size)),
    )


@settings(max_examples=60)
@given(
    bags(),
    st.builds(
        layer,
        usable_width=st.floats(20.0, 1500.0),
        sold_step=st.floats(20.0, 1500.0),
        in_sheets=st.booleans(),
        turn=st.sampled_from(GrainTurn),
        one_way=st.booleans(),
    ),
)
def test_every_finding_names_a_figure(bag: Bag, goods: Layer) -> None:
    """Of any bag, on goods and sheets that are too small for pocket, handles or board."""
    try:
        small = all_goods(bag, goods)
        result = compute(small)
    except FieldError:
        assume(False)  # handles that the narrower goods cannot give are refused at once
    told = [*result.findings, *planned(small).findings]
    assume(told)
    assert {finding.figure for finding in told} <= FIGURES


def test_what_is_too_small_for_every_piece_is_told_of_each() -> None:
    """Strips run across the goods: their length is its width, so that they always fit."""
    told = lacking(planned(all_goods(demo_bag(), layer(usable_width=20.0))))
    assert told.keys() == {"panel", "front pocket", "base board"}
    assert {finding.figure for finding in told.values()} <= FIGURES - {""}


def test_the_figure_is_that_of_the_side_that_is_too_long() -> None:
    """Each piece on a sheet that takes it, and on one a millimetre too short for one side.

    A pocket is as wide as the panel, so that its width has no figure of its own. Closed form:
    the sheet is 1 mm shorter than the side along the grain.
    """
    bag = demo_bag()
    wide = inch(60)
    for piece, figure in (("panel", "panel_length"), ("front pocket", "pocket_cut_height")):
        side = compute(bag).draft.piece(PIECES[piece]).height
        for sheet, fits in ((side + 1.0, True), (side - 1.0, False)):
            goods = layer(in_sheets=True, sold_step=sheet, usable_width=wide, turn=GrainTurn.HALF)
            found = lacking(planned(replace(bag, sandwich=sandwich(goods))))
            assert (piece not in found) == fits
            if not fits:
                assert found[piece].figure == figure
                assert found[piece].value == pytest.approx(side)
                assert found[piece].limit == pytest.approx(sheet)


def test_a_board_that_its_sheet_cannot_take() -> None:
    """Its length lies along the sheet: 1 mm more than that fits, 1 mm less does not."""
    bag = demo_bag()
    width = cut_value(bag, "board_width")
    assert width is not None
    board = replace(bag.supplies.board, in_sheets=True, turn=GrainTurn.HALF, usable_width=inch(30))
    for sheet, fits in ((width + 1.0, True), (width - 1.0, False)):
        supplies = replace(bag.supplies, board=replace(board, sold_step=sheet))
        found = lacking(planned(replace(bag, supplies=supplies)))
        assert ("base board" not in found) == fits
        if not fits:
            assert found["base board"].figure == "board_width"
