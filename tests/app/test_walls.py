"""How many walls stand round a separate base, chosen in the window. mm."""

from collections.abc import Mapping

import pytest
from pytestqt.qtbot import QtBot

from app.dialogs.new_bag import NewBagDialog
from app.session.display import Display
from core.bag.construction import with_construction
from core.bodies.separate_base.body import SeparateBase
from core.bodies.separate_base.sizes import RING_PIECES
from core.storage.bag_files import sample
from tests.app.hands import Hands


def open_base(hands: Hands, name: str = "jar") -> None:
    hands.document.open(with_construction(sample(name), SeparateBase))


def choose(hands: Hands, name: str, word: str) -> None:
    hands.window.measures.choice_rows[name].row.field.value_edited.emit(word)


def test_the_walls_are_chosen_in_one_step_and_told(hands: Hands) -> None:
    open_base(hands)
    start, said = hands.document.bag, []
    hands.window.session.said.connect(said.append)
    choose(hands, "body_pieces", "4")
    assert hands.document.bag.body.body_pieces == 4
    assert hands.document.bag.top.KIND == "top-strip"
    assert "are square now" in said[0]
    assert "Top strip" in said[0]
    choose(hands, "body_pieces", str(start.body.body_pieces))
    assert hands.document.bag == start, "as it was"
    hands.undo()
    hands.undo()
    assert hands.document.bag == start


def test_the_box_of_their_number_steps_over_what_cannot_be(hands: Hands) -> None:
    open_base(hands, "tote")
    box = hands.window.measures.cut_rows["body_pieces"].box
    for steps, stands in ((1, 4), (1, 4), (-1, 2), (-1, 1), (-1, 1), (2, 4), (-2, 1)):
        box.stepBy(steps)
        box._step_now()
        assert hands.document.bag.body.body_pieces == stands
        assert not box.problem


def test_a_new_separate_base_has_four_walls_where_that_is_asked(qtbot: QtBot) -> None:
    dialog = NewBagDialog(Display())
    qtbot.addWidget(dialog)
    dialog.constructions.chosen.emit("separate-base")
    walls = dialog.choices["body_pieces"]

    def offered() -> Mapping[str, bool]:
        return {dialog.top.itemData(row): True for row in range(dialog.top.count())}

    def made() -> tuple[int, str]:
        assert dialog.made is not None, dialog.verdict.text()
        bag = dialog.made.result.bag
        assert dialog.made.result.finished["base_mismatch"] == pytest.approx(0.0, abs=1e-6)
        for name, size in dialog._sizes.items():
            assert dialog.made.result.finished[name] == pytest.approx(size, abs=1e-6)
        return bag.body.body_pieces, bag.top.KIND

    assert {walls.itemData(row) for row in range(walls.count())} == set(map(str, RING_PIECES))
    assert made() == (2, "zip-forward")
    assert "top-strip" not in offered()
    walls.setCurrentIndex(walls.findData("4"))
    assert made() == (4, "top-strip")
    assert "zip-forward" not in offered()
    dialog.top.setCurrentIndex(dialog.top.findData("hem"))
    assert made() == (4, "hem")
    walls.setCurrentIndex(walls.findData("1"))
    assert made() == (1, "hem")
    walls.setCurrentIndex(walls.findData("2"))
    assert made() == (2, "hem")
