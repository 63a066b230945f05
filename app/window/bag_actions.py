"""The actions as a table: what each is called, its keys, its handler, and where it stands.

Menus, toolbar and the list of keys read this table and nothing else.
"""

from collections.abc import Callable, Iterable, Mapping
from operator import attrgetter

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence

from app.session.display import marked
from app.widgets.figure_box import finish_typing
from app.window.actions import HELP_ACTIONS, SEWING_ACTIONS, VIEW_ACTIONS, ActionSpec, Standard

MENUS: Mapping[str, str] = {
    "file": marked("actions", "&File"),
    "edit": marked("actions", "&Edit"),
    "redesign": marked("actions", "&Redesign"),
    "sewing": marked("actions", "&Sewing"),
    "view": marked("actions", "&View"),
    "go": marked("actions", "&Go to"),
    "help": marked("actions", "&Help"),
}
"""Menus in order: name -> title."""

SUBMENUS: Mapping[str, str] = {"go": "view"}
"""Menus that stand within another one: name -> that one."""

ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="new",
        menu="file",
        text=marked("actions", "&New from the demo bag"),
        tip=marked("actions", "Start again from the demo bag."),
        handler="new_bag.start_from_demo",
        standard=Standard.New,
        keys="Ctrl+N",
    ),
    ActionSpec(
        name="new_bag",
        menu="file",
        text=marked("actions", "New from a si&ze…"),
        tip=marked("actions", "Draw a new bag from its width, depth and height."),
        handler="new_bag.ask",
        keys="Ctrl+G",
    ),
    ActionSpec(
        name="open",
        menu="file",
        text=marked("actions", "&Open…"),
        tip=marked("actions", "Open a bag file."),
        handler="ask_open",
        standard=Standard.Open,
        keys="Ctrl+O",
        glyph="open",
        on_toolbar=True,
        apart=True,
    ),
    ActionSpec(
        name="save",
        menu="file",
        text=marked("actions", "&Save"),
        tip=marked("actions", "Save the bag to its file."),
        handler="save",
        standard=Standard.Save,
        keys="Ctrl+S",
        glyph="save",
        on_toolbar=True,
        apart=True,
    ),
    ActionSpec(
        name="save_as",
        menu="file",
        text=marked("actions", "Save &as…"),
        tip=marked("actions", "Save the bag to another file."),
        handler="ask_save",
        standard=Standard.SaveAs,
        keys="Ctrl+Shift+S",
    ),
    ActionSpec(
        name="revert",
        menu="file",
        text=marked("actions", "Re&vert to saved…"),
        tip=marked("actions", "Go back to the bag as it was last saved; undo brings yours back."),
        handler="files.revert",
        keys="Ctrl+Shift+O",
    ),
    ActionSpec(
        name="print",
        menu="file",
        text=marked("actions", "Save pattern as &PDF…"),
        tip=marked("actions", "Lay the pattern out on pages at true scale and save it as a PDF."),
        handler="print_pattern",
        standard=Standard.Print,
        keys="Ctrl+P",
        glyph="print",
        on_toolbar=True,
        apart=True,
    ),
    ActionSpec(
        name="export_cut_list",
        menu="file",
        text=marked("actions", "Export &cut list…"),
        tip=marked("actions", "Save every piece and what to buy as a table for a spreadsheet."),
        handler="cutting.export_cut_list",
        keys="Ctrl+Shift+E",
    ),
    ActionSpec(
        name="export_materials",
        menu="file",
        text=marked("actions", "Export ma&terials list…"),
        tip=marked("actions", "Save what to buy, the cut list and the cutting plans as a PDF."),
        handler="cutting.export_materials",
        keys="Ctrl+Shift+M",
    ),
    ActionSpec(
        name="export_booklet",
        menu="file",
        text=marked("actions", "Export &booklet…"),
        tip=marked("actions", "Save sizes, materials and every sewing step as a PDF or web page."),
        handler="sewing.booklet.export",
        keys="Ctrl+Shift+B",
    ),
    ActionSpec(
        name="close_window",
        menu="file",
        text=marked("actions", "C&lose the window"),
        tip=marked("actions", "Close this window; you are asked about unsaved changes first."),
        handler="close",
        standard=Standard.Close,
        keys="Ctrl+W",
        apart=True,
    ),
    ActionSpec(
        name="quit",
        menu="file",
        text=marked("actions", "&Quit"),
        tip=marked("actions", "Quit the program; you are asked about unsaved changes first."),
        handler="close",
        standard=Standard.Quit,
        keys="Ctrl+Q",
        role=QAction.MenuRole.QuitRole,
    ),
    ActionSpec(
        name="undo",
        menu="edit",
        text=marked("actions", "&Undo"),
        tip=marked("actions", "Undo the last change."),
        handler="editing.undo",
        standard=Standard.Undo,
        keys="Ctrl+Z",
        glyph="undo",
        on_toolbar=True,
        takes_typing=False,
    ),
    ActionSpec(
        name="redo",
        menu="edit",
        text=marked("actions", "&Redo"),
        tip=marked("actions", "Redo the change that was undone."),
        handler="editing.redo",
        standard=Standard.Redo,
        keys="Ctrl+Shift+Z",
        glyph="redo",
        on_toolbar=True,
        takes_typing=False,
    ),
    ActionSpec(
        name="cut",
        menu="edit",
        text=marked("actions", "Cu&t"),
        tip=marked("actions", "Cut the selected text to the clipboard."),
        handler="editing.cut",
        standard=Standard.Cut,
        keys="Ctrl+X",
        apart=True,
        takes_typing=False,
    ),
    ActionSpec(
        name="copy",
        menu="edit",
        text=marked("actions", "&Copy"),
        tip=marked("actions", "Copy the selected text, or a table's cell, to the clipboard."),
        handler="editing.copy",
        standard=Standard.Copy,
        keys="Ctrl+C",
        takes_typing=False,
    ),
    ActionSpec(
        name="paste",
        menu="edit",
        text=marked("actions", "&Paste"),
        tip=marked("actions", "Paste the text of the clipboard into the field."),
        handler="editing.paste",
        standard=Standard.Paste,
        keys="Ctrl+V",
        takes_typing=False,
    ),
    ActionSpec(
        name="select_all",
        menu="edit",
        text=marked("actions", "Select &all"),
        tip=marked("actions", "Select all the text of the field."),
        handler="editing.select_all",
        standard=Standard.SelectAll,
        keys="Ctrl+A",
        takes_typing=False,
    ),
    ActionSpec(
        name="mend_worst",
        menu="edit",
        text=marked("actions", "Fix the &worst finding"),
        tip=marked("actions", "Make the first change that the findings suggest."),
        handler="mend_worst",
        keys="F9",
        apart=True,
    ),
    ActionSpec(
        name="rename",
        menu="edit",
        text=marked("actions", "Re&name the bag…"),
        tip=marked("actions", "Give the bag another name; the name of its file stays."),
        handler="rename",
        keys="Ctrl+Shift+N",
        apart=True,
    ),
    ActionSpec(
        name="edit_layers",
        menu="edit",
        text=marked("actions", "Edit &layers and materials…"),
        tip=marked(
            "actions",
            "Materials of the wall and the other parts, their prices, and your own library.",
        ),
        handler="edit_layers",
        keys="Ctrl+L",
    ),
    ActionSpec(
        name="preferences",
        menu="edit",
        text=marked("actions", "Pre&ferences…"),
        tip=marked("actions", "Unit, ruler step, paper and zips for every bag."),
        handler="preferences.edit",
        standard=Standard.Preferences,
        keys="Ctrl+,",
        apart=True,
        role=QAction.MenuRole.PreferencesRole,
    ),
    ActionSpec(
        name="toggle_pin",
        menu="redesign",
        text=marked("actions", "&Pin or release this measure"),
        tip=marked(
            "actions", "Keep the measure that you are editing as it is, or let it change again."
        ),
        handler="toggle_pin",
        keys="Ctrl+Shift+P",
    ),
    ActionSpec(
        name="release_all",
        menu="redesign",
        text=marked("actions", "R&elease every pin"),
        tip=marked("actions", "Let every measure change when another one is typed."),
        handler="release_all",
        keys="Ctrl+Shift+D",
    ),
    ActionSpec(
        name="round_now",
        menu="redesign",
        text=marked("actions", "Round all to the r&uler"),
        tip=marked("actions", "Round every cut measure of the pattern to the ruler step, once."),
        handler="round_now",
        keys="Ctrl+R",
        glyph="ruler",
        apart=True,
    ),
    ActionSpec(
        name="rounding",
        menu="redesign",
        text=marked("actions", "Keep to the &ruler while redesigning"),
        tip=marked("actions", "Round what a finished size changes to the ruler step, each time."),
        handler="toggle_rounding",
        keys="Ctrl+Shift+R",
        checkable=True,
    ),
    ActionSpec(
        name="name_starting",
        menu="redesign",
        text=marked("actions", "Make this the &starting bag…"),
        tip=marked("actions", "Compare all later changes with the present bag."),
        handler="keeping.name_starting",
        keys="Ctrl+Shift+T",
        apart=True,
    ),
    ActionSpec(
        name="keep_variant",
        menu="redesign",
        text=marked("actions", "&Keep as variant…"),
        tip=marked("actions", "Keep the present bag under a name, in the same file."),
        handler="keeping.keep_variant",
        keys="Ctrl+Shift+V",
    ),
    ActionSpec(
        name="compare",
        menu="redesign",
        text=marked("actions", "&Compare variants…"),
        tip=marked("actions", "Starting bag, present bag and variants side by side."),
        handler="redesigning.compare_variants",
        keys="Ctrl+Shift+K",
    ),
    ActionSpec(
        name="fit_tape",
        menu="redesign",
        text=marked("actions", "From a measured &bag…"),
        tip=marked("actions", "Draw the pattern of a bag that you have measured with a tape."),
        handler="redesigning.fit_tape",
        keys="Ctrl+T",
        apart=True,
    ),
    ActionSpec(
        name="take_up",
        menu="redesign",
        text=marked("actions", "T&ake-up…"),
        tip=marked(
            "actions", "Enter what a sewn sample measures, and allow for what sewing takes up."
        ),
        handler="redesigning.enter_take_up",
        keys="Ctrl+J",
    ),
    *SEWING_ACTIONS,
    *VIEW_ACTIONS,
    *HELP_ACTIONS,
    ActionSpec(
        name="about",
        menu="help",
        text=marked("actions", "&About Cornerwright"),
        tip=marked("actions", "Version and licences."),
        handler="show_about",
        keys="Ctrl+Shift+F1",
        apart=True,
        role=QAction.MenuRole.AboutRole,
    ),
)
"""Every action, in the order of the menus."""


def tr(text: str) -> str:
    """A text of the table in the reader's language."""
    return QCoreApplication.translate("actions", text)


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
        action = QAction(tr(spec.text), owner)
        action.setObjectName(spec.name)
        action.setMenuRole(spec.role)
        bound = keys_of(spec)
        action.setShortcuts(bound)
        shown = bound[0].toString(QKeySequence.SequenceFormat.NativeText)
        action.setToolTip(f"{tr(spec.tip)} ({shown})")
        action.setStatusTip(tr(spec.tip))
        action.setWhatsThis(tr(spec.tip))
        action.setCheckable(spec.checkable or bool(spec.group))
        if spec.group:
            groups.setdefault(spec.group, QActionGroup(owner)).addAction(action)
        handler = attrgetter(spec.handler)(owner)
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
