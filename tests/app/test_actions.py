"""The action table: unique keys, complete, and tied to real handlers."""

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence

from app.action_spec import ActionSpec
from app.actions import ACTIONS, MENUS, keys_of
from app.booklet import BookletExport
from app.edit_commands import EditCommands
from app.files import Files
from app.help.desk import HelpDesk
from app.keeping import Keeping
from app.kept_layout import KeptLayout
from app.main_window import MainWindow
from app.navigation import Navigation
from app.new_bag import NewBagDesk
from app.panes.cutting_pane import CuttingPane
from app.panes.sewing_pane import SewingPane
from app.preferences import PreferencesDesk
from app.redesign_desk import RedesignDesk
from app.sewing_desk import SewingDesk
from app.zooming import Zooming

OWNERS: dict[str, type] = {
    "": MainWindow,
    "cutting": CuttingPane,
    "help": HelpDesk,
    "editing": EditCommands,
    "files": Files,
    "keeping": Keeping,
    "new_bag": NewBagDesk,
    "navigation": Navigation,
    "preferences": PreferencesDesk,
    "redesigning": RedesignDesk,
    "kept_layout": KeptLayout,
    "sewing": SewingDesk,
    "sewing.pane": SewingPane,
    "sewing.booklet": BookletExport,
    "zooming": Zooming,
}
"""Who has the handlers, by the way there from the window."""


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
    where, _, name = spec.handler.rpartition(".")
    assert callable(getattr(OWNERS[where], name))


def test_mnemonics_of_a_menu_are_unique() -> None:
    for menu in MENUS:
        letters = Counter(
            spec.text[spec.text.index("&") + 1].lower() for spec in ACTIONS if spec.menu == menu
        )
        assert [letter for letter, count in letters.items() if count > 1] == [], menu
