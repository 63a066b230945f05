"""The actions as a table: what each is called, its keys, its handler, and where it stands.

Menus, toolbar and the list of keys read this table and nothing else.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from operator import attrgetter

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence

from app.session.display import translated
from app.widgets.figure_box import finish_typing
from app.window.actions import (
    HELP_ACTIONS,
    SEWING_ACTIONS,
    VIEW_ACTIONS,
    ActionSpec,
    Standard,
    in_menu,
)
from core.base.sentences import mark

MENUS: Mapping[str, str] = {
    "file": mark("&File"),
    "edit": mark("&Edit"),
    "redesign": mark("&Redesign"),
    "sewing": mark("&Sewing"),
    "view": mark("&View"),
    "go": mark("&Go to"),
    "help": mark("&Help"),
}
"""Menus in order: name -> title."""

SUBMENUS: Mapping[str, str] = {"go": "view"}
"""Menus that stand within another one: name -> that one."""

ACTIONS: tuple[ActionSpec, ...] = (
    *in_menu(
        "file",
        ActionSpec(
            name="new",
            text=mark("&New from the demo bag"),
            tip=mark("Start again from the demo bag."),
            handler="files.start_from",
            argument="demo",
            standard=Standard.New,
            keys="Ctrl+N",
        ),
        ActionSpec(
            text=mark("New from a si&ze…"),
            tip=mark("Draw a new bag from its width, depth and height."),
            handler="dialogs.new_bag",
            keys="Ctrl+G",
        ),
        ActionSpec(
            name="open",
            text=mark("&Open…"),
            tip=mark("Open a bag file."),
            handler="files.ask_open",
            standard=Standard.Open,
            keys="Ctrl+O",
            glyph="open",
            on_toolbar=True,
            apart=True,
        ),
        ActionSpec(
            text=mark("&Save"),
            tip=mark("Save the bag to its file."),
            handler="files.save",
            standard=Standard.Save,
            keys="Ctrl+S",
            glyph="save",
            on_toolbar=True,
            apart=True,
        ),
        ActionSpec(
            name="save_as",
            text=mark("Save &as…"),
            tip=mark("Save the bag to another file."),
            handler="files.ask_save",
            standard=Standard.SaveAs,
            keys="Ctrl+Shift+S",
        ),
        ActionSpec(
            text=mark("Re&vert to saved…"),
            tip=mark("Go back to the bag as it was last saved; undo brings yours back."),
            handler="files.revert",
            keys="Ctrl+Shift+O",
        ),
        ActionSpec(
            name="print",
            text=mark("Save pattern as &PDF…"),
            tip=mark("Lay the pattern out on pages at true scale and save it as a PDF."),
            handler="dialogs.print_pattern",
            standard=Standard.Print,
            keys="Ctrl+P",
            glyph="print",
            on_toolbar=True,
            apart=True,
        ),
        ActionSpec(
            text=mark("Export &cut list…"),
            tip=mark("Save every piece and what to buy as a table for a spreadsheet."),
            handler="cutting.export_cut_list",
            keys="Ctrl+Shift+E",
        ),
        ActionSpec(
            text=mark("Export ma&terials list…"),
            tip=mark("Save what to buy, the cut list and the cutting plans as a PDF."),
            handler="cutting.export_materials",
            keys="Ctrl+Shift+M",
        ),
        ActionSpec(
            name="export_booklet",
            text=mark("Export &booklet…"),
            tip=mark("Save sizes, materials and every sewing step as a PDF or web page."),
            handler="export_booklet",
            keys="Ctrl+Shift+B",
        ),
        ActionSpec(
            name="close_window",
            text=mark("C&lose the window"),
            tip=mark("Close this window; you are asked about unsaved changes first."),
            handler="close",
            standard=Standard.Close,
            keys="Ctrl+W",
            apart=True,
        ),
        ActionSpec(
            name="quit",
            text=mark("&Quit"),
            tip=mark("Quit the program; you are asked about unsaved changes first."),
            handler="close",
            standard=Standard.Quit,
            keys="Ctrl+Q",
            role=QAction.MenuRole.QuitRole,
        ),
    ),
    *in_menu(
        "edit",
        ActionSpec(
            text=mark("&Undo"),
            tip=mark("Undo the last change."),
            handler="editing.undo",
            standard=Standard.Undo,
            keys="Ctrl+Z",
            glyph="undo",
            on_toolbar=True,
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("&Redo"),
            tip=mark("Redo the change that was undone."),
            handler="editing.redo",
            standard=Standard.Redo,
            keys="Ctrl+Shift+Z",
            glyph="redo",
            on_toolbar=True,
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("Cu&t"),
            tip=mark("Cut the selected text to the clipboard."),
            handler="editing.cut",
            standard=Standard.Cut,
            keys="Ctrl+X",
            apart=True,
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("&Copy"),
            tip=mark("Copy the selected text, or a table's cell, to the clipboard."),
            handler="editing.copy",
            standard=Standard.Copy,
            keys="Ctrl+C",
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("&Paste"),
            tip=mark("Paste the text of the clipboard into the field."),
            handler="editing.paste",
            standard=Standard.Paste,
            keys="Ctrl+V",
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("Select &all"),
            tip=mark("Select all the text of the field."),
            handler="editing.select_all",
            standard=Standard.SelectAll,
            keys="Ctrl+A",
            takes_typing=False,
        ),
        ActionSpec(
            text=mark("Fix the &worst finding"),
            tip=mark("Make the first change that the findings suggest."),
            handler="fix_worst",
            keys="F9",
            apart=True,
        ),
        ActionSpec(
            name="rename",
            text=mark("Re&name the bag…"),
            tip=mark("Give the bag another name; the name of its file stays."),
            handler="files.ask_name",
            keys="Ctrl+Shift+N",
            apart=True,
        ),
        ActionSpec(
            text=mark("Edit &layers and materials…"),
            tip=mark(
                "Materials of the wall and the other parts, their prices, and your own library."
            ),
            handler="dialogs.edit_layers",
            keys="Ctrl+L",
        ),
        ActionSpec(
            name="preferences",
            text=mark("Pre&ferences…"),
            tip=mark("Unit, ruler step, paper and zips for every bag."),
            handler="dialogs.edit_preferences",
            standard=Standard.Preferences,
            keys="Ctrl+,",
            apart=True,
            role=QAction.MenuRole.PreferencesRole,
        ),
    ),
    *in_menu(
        "redesign",
        ActionSpec(
            text=mark("&Pin or release this measure"),
            tip=mark("Keep the measure that you are editing as it is, or let it change again."),
            handler="toggle_pin",
            keys="Ctrl+Shift+P",
        ),
        ActionSpec(
            text=mark("R&elease every pin"),
            tip=mark("Let every measure change when another one is typed."),
            handler="redesigner.release_all",
            keys="Ctrl+Shift+D",
        ),
        ActionSpec(
            text=mark("Round all to the r&uler"),
            tip=mark("Round every cut measure of the pattern to the ruler step, once."),
            handler="redesigner.round_now",
            keys="Ctrl+R",
            glyph="ruler",
            apart=True,
        ),
        ActionSpec(
            name="rounding",
            text=mark("Keep to the &ruler while redesigning"),
            tip=mark("Round what a finished size changes to the ruler step, each time."),
            handler="toggle_rounding",
            keys="Ctrl+Shift+R",
            checkable=True,
        ),
        ActionSpec(
            text=mark("Make this the &starting bag…"),
            tip=mark("Compare all later changes with the present bag."),
            handler="variants.name_starting",
            keys="Ctrl+Shift+T",
            apart=True,
        ),
        ActionSpec(
            text=mark("&Keep as variant…"),
            tip=mark("Keep the present bag under a name, in the same file."),
            handler="variants.keep_variant",
            keys="Ctrl+Shift+V",
        ),
        ActionSpec(
            name="compare",
            text=mark("&Compare variants…"),
            tip=mark("Starting bag, present bag and variants side by side."),
            handler="dialogs.compare_variants",
            keys="Ctrl+Shift+K",
        ),
        ActionSpec(
            text=mark("From a measured &bag…"),
            tip=mark("Draw the pattern of a bag that you have measured with a tape."),
            handler="dialogs.fit_tape",
            keys="Ctrl+T",
            apart=True,
        ),
        ActionSpec(
            name="take_up",
            text=mark("T&ake-up…"),
            tip=mark("Enter what a sewn sample measures, and allow for what sewing takes up."),
            handler="dialogs.enter_take_up",
            keys="Ctrl+J",
        ),
    ),
    *SEWING_ACTIONS,
    *VIEW_ACTIONS,
    *HELP_ACTIONS,
)
"""Every action, in the order of the menus."""


def keys_of(spec: ActionSpec) -> list[QKeySequence]:
    """The platform's standard keys, then the action's own where they are others."""
    bound = [] if spec.standard is None else list(QKeySequence.keyBindings(spec.standard))
    own = QKeySequence(spec.keys)
    return bound if own in bound else [*bound, own]


def make_actions(owner: QObject, specs: Iterable[ActionSpec] = ACTIONS) -> dict[str, QAction]:
    """The table's actions, each tied to the owner's method that its handler names."""
    groups: dict[str, QActionGroup] = {}
    actions = {}
    for spec in specs:
        action = QAction(translated(spec.text), owner)
        action.setObjectName(spec.name)
        action.setMenuRole(spec.role)
        bound = keys_of(spec)
        action.setShortcuts(bound)
        shown = bound[0].toString(QKeySequence.SequenceFormat.NativeText)
        action.setToolTip(f"{translated(spec.tip)} ({shown})")
        action.setStatusTip(translated(spec.tip))
        action.setWhatsThis(translated(spec.tip))
        action.setCheckable(spec.checkable or bool(spec.group))
        if spec.group:
            groups.setdefault(spec.group, QActionGroup(owner)).addAction(action)
        handler = attrgetter(spec.handler)(owner)
        if spec.argument is not None:
            handler = partial(handler, spec.argument)
        action.triggered.connect(_run_by(handler, takes_typing=spec.takes_typing))
        actions[spec.name] = action
    return actions


def _run_by(handler: Callable[[], object], *, takes_typing: bool) -> Callable[[bool], None]:
    """What runs the handler: without the checked state that Qt would pass."""

    def run(_checked: bool = False) -> None:
        if takes_typing:
            finish_typing()
        handler()

    return run
