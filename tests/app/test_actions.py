"""The action table: unique keys, complete, and tied to real handlers."""

from collections import Counter
from operator import attrgetter

import pytest
from PySide6.QtGui import QKeySequence

from app.window.action_table import ACTIONS, MENUS, keys_of
from app.window.actions import ActionSpec
from tests.app.hands import Hands


def test_every_action_has_a_key_of_its_own(qapp: object) -> None:
    used = Counter(
        key.toString(QKeySequence.SequenceFormat.PortableText)
        for spec in ACTIONS
        for key in keys_of(spec)
    )
    assert "" not in used
    assert [key for key, count in used.items() if count > 1] == []
    own = Counter(spec.keys for spec in ACTIONS)
    assert [key for key, count in own.items() if not key or count > 1] == []


@pytest.mark.parametrize("spec", ACTIONS, ids=lambda spec: spec.name)
def test_every_action_is_whole(spec: ActionSpec) -> None:
    assert spec.menu in MENUS
    assert "&" in spec.text
    assert spec.tip.endswith(".")


def test_every_action_is_done_by_something_of_the_window(hands: Hands) -> None:
    done = {spec.name: attrgetter(spec.handler)(hands.window) for spec in ACTIONS}
    assert [name for name, do in done.items() if not callable(do)] == []
    assert hands.window.commands.keys() == done.keys()


def test_mnemonics_of_a_menu_are_unique() -> None:
    for menu in MENUS:
        letters = Counter(
            spec.text[spec.text.index("&") + 1].lower() for spec in ACTIONS if spec.menu == menu
        )
        assert [letter for letter, count in letters.items() if count > 1] == [], menu
