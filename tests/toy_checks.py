"""What a program with the toys does, each against a closed formula; see `test_toy_construction`.

The toy bag is an envelope of two rectangles of 220 by 310, all seams 10: 200 wide and 290 deep.
"""

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt

from app.cli import main
from app.dialogs.layers.dialog import LayersDialog
from app.dialogs.new_bag import NewBagDialog
from app.help.topics import Topic, address
from app.help.window import HelpWindow
from app.session.display import Display
from core.bag.bag import Bag, draft_bag, with_figures
from core.bag.choices import CHOICES, with_choice
from core.bag.compute import compute
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit
from core.cutting.buying import purchases
from core.cutting.cut_list import cut_list
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.drawing.lettering import PLAIN
from core.drawing.pattern import bag_text
from core.flat.match_marks import match_marks
from core.flat.roles import EdgeRole
from core.output.booklet.content import BookletOptions, booklet
from core.output.booklet.html import booklet_html
from core.output.booklet.pdf import booklet_pdf
from core.output.materials import materials_pdf_bytes
from core.output.papers import A4
from core.output.print_options import PrintOptions
from core.output.printed_pattern import pdf_bytes
from core.parts.board.board import BoardWay
from core.redesign.redesign import redesign
from core.redesign.request import RedesignRequest
from core.redesign.rounding import on_ruler
from core.sewing.steps import bench_of, operations, steps
from core.solid.capacity import capacity
from core.solid.fold import FoldModel
from core.storage.bag_file import project_to_json, schema_json
from core.storage.bag_files import sample
from core.storage.project import Project
from core.tops.hem.hem import Hem
from core.tops.zip_forward.zip import ZipForward
from tests.core.output.readers import page_texts
from tests.core.sewing.order_proof import wrongly_used
from tests.helpers import layer, read_bag, sandwich, write_bag
from tests.toys import Envelope, RawEdge, Tag


def toy(top=None) -> Bag:
    return Bag(
        name="toy",
        unit=Unit.MM,
        body=Envelope(width=220.0, height=310.0, seam=10.0, rim=10.0),
        top=top or RawEdge(),
        parts=Parts((Tag(width=50.0),)),
        sandwich=sandwich(layer(usable_width=1000.0)),
    )


ZIPPED = toy(ZipForward(tape_width=32.0, length=300.0))
TOPS = [toy(), toy(Hem()), ZIPPED]


def test_it_is_measured_on_its_stitch_lines():
    found = {name: value for name, value in compute(toy()).finished.items() if value is not None}
    assert found == {
        "base_width": pytest.approx(200.0), "opening_width": pytest.approx(200.0),
        "face_height": pytest.approx(290.0), "envelope_depth": pytest.approx(290.0),
    }  # fmt: skip
    assert compute(ZIPPED).finished["face_height"] == pytest.approx(290.0 + (32.0 - 20.0) / 2)
    wider = compute(with_figures(toy(), {"envelope_width": 320.0, "envelope_seam": 15.0}))
    assert wider.finished["opening_width"] == pytest.approx(320.0 - 2 * 15.0)
    assert wider.cut["panel_width"] is None
    with pytest.raises(FieldError, match=r"^Panel width cannot be set: .* Boxed panel, and"):
        with_figures(toy(), {"panel_width": 320.0})


def test_a_finding_has_a_fix_that_mends_it():
    result = compute(with_figures(toy(), {"tag_width": 250.0}))
    (found,) = result.findings
    assert (found.code, found.value, found.limit) == ("tag-off-face", 250.0, 200.0)
    assert not compute(with_figures(result.bag, dict(found.fixes[0].changes))).findings


def test_what_a_body_lacks_is_offered_by_no_fix_and_is_told():
    found = {each.code: each for each in compute(ZIPPED).findings}
    assert found["zip-on-top-fold"].fixes == ()  # it has no trim
    flat = compute(with_choice(sample("demo"), "construction", "envelope"))
    (board,) = (each for each in flat.findings if each.code == "board-too-big")
    assert "there is no room for a base board" in board.message.text()


def test_what_is_too_thick_or_too_wide_is_told_of_its_own_seam():
    thick = replace(toy(), sandwich=sandwich(layer(thickness=5.0, pressed=4.0)))
    found = {each.code: each for each in compute(thick).findings}
    assert found["too-thick-to-sew"].value == pytest.approx(2 * 4.0)
    assert found["too-thick-to-sew"].message.text().startswith("At every seam two walls")
    for figure, size in (("envelope_seam", 120.0), ("envelope_rim", 305.0)):
        crossed = compute(with_figures(toy(), {figure: size})).findings
        told = {(each.figure, each.value) for each in crossed if each.code == "stitch-lines-cross"}
        assert told == {(figure, size)}


@pytest.mark.parametrize("first", [1, 3, 4])
def test_what_other_rooms_tell_calls_it_by_its_own_name(first):
    """No panel, no corner cut: an envelope, wherever its layers, hem, board and clips are told."""
    board = replace(sample("demo").parts["board"], way=BoardWay.FUSED)
    layers = [layer(role=role) for role in ("outer", "batting", "lining", "film")]
    layers[first:] = [replace(each, laid_last=True) for each in layers[first:]]
    bag = replace(toy(Hem()), sandwich=sandwich(*layers), parts=Parts((board,)))
    result = compute(with_figures(bag, {"envelope_height": 25.0}))
    (found,) = (each for each in result.findings if each.code == "hem-near-base")
    assert found.fixes[0].label.text().startswith("Make the envelope ")
    told = booklet_html(booklet(result, BookletOptions(unit=Unit.MM, builds=5)))
    plan = best_plan(result, PlanOptions(builds=5))
    told += "".join(page_texts(materials_pdf_bytes(plan, A4, PLAIN)))
    assert "around the envelope" in told
    assert "envelope still lies" in told
    assert ("envelope face down" in told) == (">envelope, " in told) == (first < 4)
    made = operations(result.bag, result.draft)
    assert all(each.text() for operation in made for each in operation.instructions)
    assert "panel" not in told
    assert "corner cut" not in told


@pytest.mark.parametrize(
    ("top", "word"),
    [
        (RawEdge(), "stitched edge"),
        (Hem(), "hem"),
        (ZipForward(tape_width=30.0, length=300.0), "zip's lower stitch line"),
    ],
)
def test_each_top_tells_its_own_words_of_the_base_whether_it_shows_or_not(top, word):
    found = compute(with_figures(toy(top), {"envelope_height": 25.0})).findings
    (near,) = (each for each in found if each.code.endswith("near-base"))
    assert near.code == f"{top.WORD or 'hem'}-near-base".replace(" ", "-")
    assert f"the {word}" in near.message.text()


def test_an_allowance_is_put_right_without_a_change_of_sizes():
    thin = compute(with_figures(toy(), {"envelope_seam": 2.0, "envelope_width": 204.0}))
    found = next(each for each in thin.findings if each.code == "thin-allowance")
    fixed = compute(with_figures(thin.bag, dict(found.fixes[0].changes)))
    assert fixed.finished == pytest.approx(thin.finished)
    assert fixed.cut["envelope_seam"] == 10.0


def test_another_construction_starts_from_the_finished_sizes_that_both_have():
    boxed = with_choice(toy(), "construction", "boxed-panel")
    back = with_choice(boxed, "construction", "envelope")
    for bag, kind in ((boxed, "boxed-panel"), (back, "envelope")):
        assert kind == bag.body.KIND
        for name in ("opening_width", "face_height"):
            assert compute(bag).finished[name] == pytest.approx(compute(toy()).finished[name])
    demo = sample("demo")
    flat, was = compute(with_choice(demo, "construction", "envelope")), compute(demo)
    for name in ("opening_width", "face_height"):
        assert flat.finished[name] == pytest.approx(was.finished[name])
    assert flat.bag.parts == demo.parts
    again = compute(with_choice(flat.bag, "construction", "boxed-panel")).finished
    assert again["face_height"] == pytest.approx(was.finished["face_height"])
    with pytest.raises(FieldError, match=r"^Corners cannot be chosen.* is Envelope"):
        with_choice(toy(), "corners", "sewn-across")


def test_a_redesign_with_a_pin_on_the_ruler():
    request = RedesignRequest(wants={"envelope_depth": 333.3}, holds=frozenset({"opening_width"}))
    found = redesign(toy(), request)
    assert found.after.finished["envelope_depth"] == pytest.approx(333.3)
    assert found.after.cut["envelope_height"] == pytest.approx(333.3 + 20.0)
    rounded = on_ruler(found, 5.0)
    assert rounded.result.cut["envelope_height"] == pytest.approx(355.0)
    assert rounded.result.finished["opening_width"] == pytest.approx(200.0)
    assert rounded.cost["envelope_depth"] == pytest.approx(335.0 - 333.3)


@pytest.mark.parametrize("bag", TOPS)
def test_it_folds_up_about_its_bottom(bag):
    high = compute(bag).finished["face_height"]
    model = FoldModel(bag, draft_bag(bag))
    for at, low, up, back in (
        (0.0, -290.0, 2 * high - 290.0, 0.0), (0.25, 0.0, high, 290.0),
        (0.5, 0.0, high, 0.0), (1.0, 0.0, high, 0.0),
    ):  # fmt: skip
        extent = np.array(model.at(at).extent)
        assert extent.min(axis=0) == pytest.approx([-100.0, 0.0, low], abs=1e-9)
        assert extent.max(axis=0) == pytest.approx([100.0, back, up], abs=1e-9)
    assert [each.length for each in model.at(1.0).dimensions] == pytest.approx([290.0])


def test_filled_it_holds_what_a_pillow_of_its_size_holds():
    """The same two rectangles sewn together round their edges, drafted by the boxed panel."""
    found = capacity(ZIPPED)
    pillow = capacity(with_choice(ZIPPED, "construction", "boxed-panel"))
    assert found.filled == pytest.approx(pillow.filled, rel=0.004)
    at = found.outside.at(ZIPPED.site.front.piece, np.array([[110.0, 0.0]]))
    assert abs(at[0][1]) < 1e-6  # its bottom seam lies in the middle
    assert capacity(toy()).not_filled.text() == "An open envelope encloses no volume."


def test_cut_list_plan_and_what_is_bought():
    result = compute(toy())
    sizes = [(each.piece.label, each.across, each.along) for each in cut_list(result).items]
    assert sizes == [("front", 220.0, 310.0), ("back", 220.0, 310.0), ("tag", 50.0, 50.0)]
    plan = best_plan(result, PlanOptions(builds=5))
    assert plan.goods[0].length_used == pytest.approx(310.0)  # two walls and the tag, side by side
    eighth_of_a_yard = 914.4 / 8
    assert plan.goods[0].length_to_buy == pytest.approx(3 * eighth_of_a_yard)
    assert purchases(plan)[0].amount.text() == "3/8 yd (0.34 m)"
    assert "tag" in "".join(page_texts(materials_pdf_bytes(plan, A4, PLAIN)))


@pytest.mark.parametrize("bag", TOPS)
def test_it_is_sewn_in_an_order_that_can_be_sewn(bag):
    result = compute(bag)
    assert wrongly_used(result.draft, operations(bag, result.draft)) == ()
    order = [step.operation.key for step in steps(result)]
    assert order.index("sew tag") < order.index("close left") < order.index("turn envelope")
    assert match_marks(result.draft)
    raw = [ref.edge.role for ref in bench_of(bag, result.draft).raw_edges]
    assert sorted(raw, key=str) == [EdgeRole.BOTTOM] * 2 + [EdgeRole.SIDE] * 4


def test_pattern_and_booklet():
    result = compute(toy())
    pattern = "".join(page_texts(pdf_bytes(result, PrintOptions(paper=A4))))
    for word in ("front", "back", "tag"):
        assert word in pattern
    assert bag_text(result).text() == "toy"  # it has no word for its size
    made = booklet(result, BookletOptions(unit=Unit.MM, builds=5))
    html = booklet_html(made)
    assert "Close the envelope" in html
    assert "Envelope depth" in html
    assert "Sew the tag on" in "".join(page_texts(booklet_pdf(made, A4)))


def test_it_is_kept_in_files(tmp_path: Path):
    for bag in TOPS:
        write_bag(bag, tmp_path / "toy.json")
        assert read_bag(tmp_path / "toy.json") == bag
        (tmp_path / "toy.json").unlink()
    written = json.loads(project_to_json(Project(bag=toy())))
    assert written["body"] == {
        "kind": "envelope", "envelope_width": 220.0, "envelope_height": 310.0,
        "envelope_seam": 10.0, "envelope_rim": 10.0,
    }  # fmt: skip
    assert written["top"] == {"kind": "raw-edge"}
    assert written["tag"] == {"kind": "tag", "tag_width": 50.0}
    assert "Envelope" in json.loads(schema_json())["$defs"]


@pytest.fixture
def path(tmp_path: Path) -> str:
    write_bag(toy(), tmp_path / "toy.json")
    return str(tmp_path / "toy.json")


def test_commands(path, tmp_path, capsys):
    def told(*words, code=0):
        assert main([*words]) == code
        return capsys.readouterr().out

    figures = json.loads(told("figures", path, "--json", "--set", "envelope_height=41cm"))
    assert figures["cut"]["envelope_height"] == 410.0
    assert figures["finished"]["envelope_depth"] == pytest.approx(390.0)
    assert "envelope_depth" in (text := told("figures", path))
    assert not [name for name in ("gusset_depth", "box_volume", "zip_offset") if name in text]
    assert "tag-off-face" in told("check", path, "--set", "tag_width=30cm")
    assert "No findings" in told("check", path, "--without", "tag")
    deeper = json.loads(told("redesign", path, "--want", "envelope_depth=30cm", "--json"))
    assert deeper["cut"]["envelope_height"] == pytest.approx(320.0)
    boxed = json.loads(told("figures", path, "--json", "--choose", "construction=boxed-panel"))
    assert boxed["finished"]["opening_width"] == pytest.approx(200.0)
    assert boxed["cut"]["envelope_height"] is None
    assert "Sew the tag on" in told("steps", path)
    for command in (["export"], ["materials", "--pdf"], ["booklet"]):
        out = tmp_path / f"{command[0]}.pdf"
        told(command[0], path, *command[1:], str(out))
        assert "tag" in "".join(page_texts(out.read_bytes()))


def test_the_choice_is_there_where_there_are_two():
    assert CHOICES[0].name == "construction"
    assert (CHOICES[0].words[0], CHOICES[0].words[-1]) == ("boxed-panel", "envelope")


# --- the window ---


def test_it_is_chosen_typed_pinned_and_folded_in_the_window(hands):
    window, document = hands.window, hands.document
    row = window.measures.choice_rows["construction"].row
    assert row.isVisibleTo(window)
    was = dict(document.result.finished)
    row.field.value_edited.emit("envelope")
    assert document.bag.body.KIND == "envelope"
    assert hands.finished["opening_width"] == pytest.approx(was["opening_width"])
    assert not window.measures.choice_rows["corners"].row.isVisibleTo(window)
    assert not window.measures.finished_rows["box_volume"].row.isVisibleTo(window)
    assert not window.measures.cut_rows["panel_width"].row.isVisibleTo(window)
    row = window.measures.choice_rows["top"].row
    row.field.value_edited.emit("raw-edge")
    hands.type("envelope_height", "20")
    depth = (20.0 - 0.75) * 25.4
    assert hands.finished["envelope_depth"] == pytest.approx(depth)
    hands.press_pin("opening_width")
    hands.type("envelope_depth", "18")
    assert hands.finished["envelope_depth"] == pytest.approx(18.0 * 25.4)
    assert hands.finished["opening_width"] == pytest.approx(was["opening_width"])
    hands.undo()
    assert hands.finished["envelope_depth"] == pytest.approx(depth)
    (size,) = window.fold.view.model.at(1.0).dimensions
    assert size.length == pytest.approx(depth)
    window.grab()


def test_a_new_one_is_offered_with_its_picture(qtbot):
    dialog = NewBagDialog(Display(Unit.CM))
    qtbot.addWidget(dialog)
    dialog.show()
    buttons = dialog.constructions.buttons
    boxed, envelope = (buttons[word] for word in ("boxed-panel", "envelope"))
    assert boxed.isChecked()
    seen = [button.icon().pixmap(button.iconSize()).toImage() for button in (boxed, envelope)]
    assert seen[0] != seen[1]
    dialog.boxes["face_height"].setFocus()
    dialog.boxes["face_height"].value_edited.emit(333.0)
    qtbot.mouseClick(envelope, Qt.MouseButton.LeftButton)
    assert list(dialog.boxes) == ["opening_width", "envelope_depth"]
    tops = [dialog.top.itemData(row) for row in range(dialog.top.count())]
    assert {"zip-forward", "hem", "raw-edge"} <= set(tops)
    assert "top-strip" not in tops
    assert dialog.verdict.text().startswith("Cut ")
    assert "holds" not in dialog.verdict.text()
    assert isinstance(dialog.made.result.bag.body, Envelope)
    dialog.boxes["opening_width"].value_edited.emit(250.0)
    assert dialog.made.result.finished["opening_width"] == pytest.approx(250.0)
    dialog.top.setCurrentIndex(tops.index("raw-edge"))
    assert isinstance(dialog.made.result.bag.top, RawEdge)
    boxed.click()
    assert dialog.boxes["face_height"].value == 333.0
    assert list(dialog.choices) == ["bottom", "corners"]
    order = [dialog.unit, *dialog.choices.values(), dialog.top, *dialog.boxes.values()]
    here, passed = dialog.unit, []
    while here is not dialog.unit or not passed:
        passed += [here] if here in order else []
        here = here.nextInFocusChain()
    assert passed == order


def test_there_and_back_again_is_the_same_bag_with_what_was_left_out(hands):
    window, document = hands.window, hands.document
    hands.type("handle_stop", "17")  # an envelope has no face as long as that
    was, heard = document.bag, []
    window.session.said.connect(heard.append)
    row = window.measures.choice_rows["construction"].row
    for _ in range(2):
        row.field.value_edited.emit("envelope")
        assert set(document.bag.parts) == set(was.parts) - {"handles"}
        assert heard == ["Left out, as this construction cannot take it: handles."]
        heard.clear()
        row.field.value_edited.emit("boxed-panel")
        assert document.bag == was
        assert heard == []
    row.field.value_edited.emit("envelope")
    hands.undo()
    assert document.bag == was
    row.field.value_edited.emit("envelope")
    window.measures.choice_rows["has_pocket"].row.field.value_edited.emit("none")
    row.field.value_edited.emit("boxed-panel")
    assert document.bag == was.without("pocket")  # which the maker left out


def test_it_is_moved_by_hand_sewn_and_planned_in_the_window(hands, qtbot):
    window, document = hands.window, hands.document
    document.open(toy())
    grips = window.flat.hand.grips().values()
    assert {"envelope_width", "envelope_height", "tag_width"} <= {grip.figure for grip in grips}
    grip = next(grip for grip in grips if grip.figure == "envelope_height" and grip.rate == 1.0)
    window.flat.hand.take(grip.ref, grip.out)
    window.flat.hand.pull(grip.out + 25.4, free=True)
    window.flat.hand.let_go()
    assert document.result.cut["envelope_height"] == pytest.approx(310.0 + 25.4, abs=25.4 / 128)
    window.commands["sewing_order"].trigger()
    place = window.sewing.tab.model.place_of
    assert place("sew tag") < place("turn envelope")
    window.commands["next_step"].trigger()
    window.commands["next_step"].trigger()
    window.sewing.grab()
    window.commands["cutting_plan"].trigger()
    body = window.cutting.tab
    qtbot.waitUntil(lambda: body.is_current and not body.watch.busy, timeout=120_000)
    assert {laid.item.piece.label for goods in body.watch.plan.goods for laid in goods.laid} >= {
        "front", "back", "tag",
    }  # fmt: skip
    window.cutting.grab()


def test_help_findings_and_materials_take_what_they_do_not_know(hands, qtbot):
    window, document = hands.window, hands.document
    document.open(with_figures(toy(), {"tag_width": 250.0}))
    window.commands["fix_worst"].trigger()
    assert document.result.cut["tag_width"] == pytest.approx(200.0)
    document.undo_stack.undo()
    helped = HelpWindow(window.measures._display, window)
    for place in (address(Topic.FINDINGS, "tag-off-face"), address(Topic.FIGURES, "tag_width")):
        helped.show_address(place)
    helped.show()
    helped.look_for("envelope depth")
    assert "Envelope depth" in helped.text.toPlainText()
    helped.close()
    bag = document.bag
    dialog = LayersDialog(
        bag.sandwich.layers, window.measures._display, window, supplies=bag.supplies
    )
    dialog.accept()
    assert (dialog.layers, dialog.supplies) == (bag.sandwich.layers, bag.supplies)


def test_a_new_one_is_made_from_its_sizes(tmp_path, capsys):
    """200 wide between seams of 10, and 290 deep, as the command is told; it has no depth."""
    path = tmp_path / "new.json"
    words = ["new", str(path), "--construction", "envelope", "--width", "200", "--height", "290"]
    assert main([*words, "--depth", "5"]) == 2
    assert "no depth; --depth must be 0" in capsys.readouterr().err
    assert main([*words, "--depth", "0", "--top", "hem"]) == 0
    capsys.readouterr()
    bag = read_bag(path)
    assert isinstance(bag.body, Envelope)
    assert (bag.body.width, bag.body.height) == pytest.approx((220.0, 290.0 + 10.0 + bag.body.rim))
