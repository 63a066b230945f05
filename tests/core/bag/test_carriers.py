"""Any bag that is cut like a box does all that a bag does.

Sources: rules of the program itself, each judged by a second way: the order of sewing by a walk of
its own, files by a second reader, drawings by shapely, and what is cut by its own area.
"""

import json

import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from app.views.flat.grips import bag_grips
from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import with_fix
from core.bag.compute import compute
from core.base.errors import BagFileError, FieldError
from core.cutting.cut_list import cut_list
from core.drawing.half import half_piece, is_symmetric
from core.drawing.pattern import draw_piece
from core.drawing.records import Polygon
from core.drawing.step_pictures import StepPictures
from core.flat.match_marks import match_marks
from core.flat.piece import CutFrom
from core.output.papers import A4
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.sewing.steps import operations, steps
from core.solid.fold import FoldModel
from tests.core.output.readers import page_texts
from tests.core.sewing.bought import assert_bought_is_used
from tests.core.sewing.order_proof import wrongly_used
from tests.faults.plain_files import judge
from tests.helpers import bag_from_json, bag_to_json, project_from_json
from tests.strategies import carriers

FEW = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


@given(carriers())
@FEW
def test_it_is_measured_judged_and_told(bag: Bag) -> None:
    result = compute(bag)
    for figure in bag.finished_figures:
        assert figure.name in result.finished
    for found in result.findings:
        assert found.message.text()
        for fix in found.fixes:
            try:
                fixed = compute(with_fix(bag, fix))
            except FieldError as error:
                pytest.fail(f"{found.code}: {fix.label.text()}: {error}")
            same = [
                each
                for each in fixed.findings
                if (each.code, each.figure) == (found.code, found.figure)
            ]
            assert not same or same[0].severity <= found.severity, found.code


@given(carriers())
@FEW
def test_it_is_drawn_printed_and_cut(bag: Bag) -> None:
    result = compute(bag)
    for piece in result.draft.pieces:
        outline = result.draft.outlines[piece.id]
        shape = shapely.Polygon(piece.outline)
        assert shape.is_valid
        assert shape.area == pytest.approx(piece.area, rel=2e-3)
        (area, *_) = draw_piece(piece, outline)
        assert isinstance(area, Polygon)
        if is_symmetric(piece):
            assert half_piece(piece).area == pytest.approx(piece.area / 2)
    assert match_marks(result.draft)
    text = "".join(page_texts(pdf_bytes(result, PrintOptions(paper=A4, half=True))))
    for piece in result.draft.pieces:
        if piece.cut_from is CutFrom.EVERY_LAYER:
            assert str(piece.label).split()[0] in text
    for item in cut_list(result).items:
        assert item.across > 0.0
        assert item.along > 0.0


@given(carriers())
@FEW
def test_it_is_sewn_and_folded_and_shown_while_it_is(bag: Bag) -> None:
    result = compute(bag)
    assert wrongly_used(result.draft, operations(bag, result.draft)) == ()
    assert_bought_is_used(bag)
    told = steps(result)
    pictures = StepPictures(result, told)
    for number in range(1, len(told) + 1):
        picture = pictures.picture(number)
        assert picture.records
        assert picture.told
    model = FoldModel(bag, result.draft)
    for at in (0.0, 0.5, 1.0):
        assert model.at(at).extent


@given(carriers())
@FEW
def test_it_is_kept_as_a_second_reader_has_it(bag: Bag) -> None:
    text = bag_to_json(bag)
    assert bag_from_json(text, source="x") == bag
    document = json.loads(text)
    document["body"]["kind"] = "wrap" if document["body"]["kind"] == "gusset-strip" else "jar"
    for each in (text, json.dumps(document)):
        try:
            outcome = project_from_json(each, source="x")
        except BagFileError as error:
            outcome = error
        judge(each.encode(), outcome)


@given(carriers())
@FEW
def test_each_line_that_a_hand_can_take_moves_as_far_as_the_hand(bag: Bag) -> None:
    draft = compute(bag).draft
    for ref, grip in bag_grips(bag, draft).items():
        value = cut_value(bag, grip.figure)
        assert value is not None
        try:
            moved = with_figures(bag, {grip.figure: value + 0.2})
        except FieldError:
            continue
        after = bag_grips(moved, compute(moved).draft).get(ref)
        if after is not None and after.figure == grip.figure:
            assert (after.out - grip.out) * grip.rate == pytest.approx(0.2, abs=1e-4), grip
