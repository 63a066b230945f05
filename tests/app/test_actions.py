"""The action table: unique keys, complete, and tied to real handlers."""

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence

from app.files.export import BookletExport
from app.files.files import Files
from app.help.access import HelpDesk
from app.session.preferences import PreferencesDesk
from app.session.variants import Keeping
from app.views.cutting.pane import CuttingPane
from app.views.sewing.pane import SewingPane
from app.window.actions import ActionSpec
from app.window.bag_actions import ACTIONS, MENUS, keys_of
from app.window.dialog_actions import NewBagDesk, RedesignDesk, SewingDesk
from app.window.editing import EditCommands
from app.window.layout import KeptLayout
from app.window.main_window import MainWindow
from app.window.navigation import Navigation, Zooming

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
