"""The actions as a table: what each is called, its keys, its handler, and where it stands.

Menus, toolbar and the list of keys read this table and nothing else.
"""

from collections.abc import Callable, Iterable, Mapping
from operator import attrgetter

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtGui import QAction, QActionGroup, QKeySequence

from app.action_spec import ActionSpec, Standard
from app.figure_box import finish_typing
from app.sewing_actions import SEWING_ACTIONS
from app.words import marked

MENUS: Mapping[str, str] = {
    "file": marked("actions", "&File"),
    "edit": marked("actions", "&Edit"),
    "redesign": marked("actions", "&Redesign"),
    "sewing": marked("actions", "&Sewing"),
    "view": marked("actions", "&View"),
    "help": marked("actions", "&Help"),
}
"""Menus in order: name -> title."""

ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="new",
        menu="file",
        text=marked("actions", "&New from the demo bag"),
        tip=marked("actions", "Start again from the demo bag."),
        handler="start_from_demo",
        standard=Standard.New,
        keys="Ctrl+N",
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
        name="print",
        menu="file",
        text=marked("actions", "&Print or export PDF…"),
        tip=marked("actions", "Lay the pattern on pages at true scale, and save the PDF."),
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
        tip=marked("actions", "Write every piece and what to buy as a table for a spreadsheet."),
        handler="cutting.export_cut_list",
        keys="Ctrl+Shift+E",
    ),
    ActionSpec(
        name="export_materials",
        menu="file",
        text=marked("actions", "Export ma&terials…"),
        tip=marked("actions", "Write what to buy, the cut list and the cutting plans as a PDF."),
        handler="cutting.export_materials",
        keys="Ctrl+E",
    ),
    ActionSpec(
        name="export_booklet",
        menu="file",
        text=marked("actions", "Export &booklet…"),
        tip=marked("actions", "Write sizes, goods and every sewing step as a PDF or web page."),
        handler="sewing.booklet.export",
        keys="Ctrl+Shift+B",
    ),
    ActionSpec(
        name="quit",
        menu="file",
        text=marked("actions", "&Quit"),
        tip=marked("actions", "Close the window."),
        handler="close",
        standard=Standard.Quit,
        keys="Ctrl+Q",
        apart=True,
        role=QAction.MenuRole.QuitRole,
    ),
    ActionSpec(
        name="undo",
        menu="edit",
        text=marked("actions", "&Undo"),
        tip=marked("actions", "Take the last step back."),
        handler="undo",
        standard=Standard.Undo,
        keys="Ctrl+Z",
        glyph="undo",
        on_toolbar=True,
    ),
    ActionSpec(
        name="redo",
        menu="edit",
        text=marked("actions", "&Redo"),
        tip=marked("actions", "Take the step again."),
        handler="redo",
        standard=Standard.Redo,
        keys="Ctrl+Shift+Z",
        glyph="redo",
        on_toolbar=True,
    ),
    ActionSpec(
        name="mend_worst",
        menu="edit",
        text=marked("actions", "Fix the &worst finding"),
        tip=marked("actions", "Make the first change that the findings offer."),
        handler="mend_worst",
        keys="F9",
        apart=True,
    ),
    ActionSpec(
        name="rename",
        menu="edit",
        text=marked("actions", "Re&name the bag…"),
        tip=marked("actions", "Give the bag another name; its file keeps its own."),
        handler="rename",
        keys="Ctrl+Shift+N",
        apart=True,
    ),
    ActionSpec(
        name="edit_layers",
        menu="edit",
        text=marked("actions", "Edit &layers and goods…"),
        tip=marked("actions", "Goods of the wall and the other parts, their prices, your own."),
        handler="edit_layers",
        keys="Ctrl+L",
    ),
    ActionSpec(
        name="toggle_pin",
        menu="redesign",
        text=marked("actions", "&Pin or release this measure"),
        tip=marked("actions", "Keep the measure with the focus as it is, or let it follow."),
        handler="toggle_pin",
        keys="Ctrl+D",
    ),
    ActionSpec(
        name="release_all",
        menu="redesign",
        text=marked("actions", "R&elease every pin"),
        tip=marked("actions", "Let every measure follow when another one is typed."),
        handler="release_all",
        keys="Ctrl+Shift+D",
    ),
    ActionSpec(
        name="rounding",
        menu="redesign",
        text=marked("actions", "Round to the r&uler"),
        tip=marked("actions", "Put what a finished size changes on the ruler step."),
        handler="toggle_rounding",
        keys="Ctrl+R",
        checkable=True,
        glyph="ruler",
        apart=True,
    ),
    ActionSpec(
        name="round_now",
        menu="redesign",
        text=marked("actions", "Round &now"),
        tip=marked("actions", "Put every cut measure of the pattern on the ruler step."),
        handler="round_now",
        keys="Ctrl+Shift+R",
    ),
    ActionSpec(
        name="name_starting",
        menu="redesign",
        text=marked("actions", "Name this the &starting bag…"),
        tip=marked("actions", "Tell changes against the bag as it is now."),
        handler="name_starting",
        keys="Ctrl+B",
        apart=True,
    ),
    ActionSpec(
        name="keep_variant",
        menu="redesign",
        text=marked("actions", "&Keep as variant…"),
        tip=marked("actions", "Keep the bag as it is now under a name, in the same file."),
        handler="keep_variant",
        keys="Ctrl+K",
    ),
    ActionSpec(
        name="compare",
        menu="redesign",
        text=marked("actions", "&Compare variants…"),
        tip=marked("actions", "Starting bag, present bag and variants side by side."),
        handler="compare_variants",
        keys="Ctrl+Shift+K",
    ),
    ActionSpec(
        name="fit_tape",
        menu="redesign",
        text=marked("actions", "From a bag on the &table…"),
        tip=marked("actions", "Draw the pattern from what a tape measure finds on a bag."),
        handler="fit_tape",
        keys="Ctrl+T",
        apart=True,
    ),
    ActionSpec(
        name="take_up",
        menu="redesign",
        text=marked("actions", "T&ake-up…"),
        tip=marked("actions", "Enter what a sewn sample measures, and allow for it."),
        handler="enter_take_up",
        keys="Ctrl+U",
    ),
    *SEWING_ACTIONS,
    ActionSpec(
        name="inches",
        menu="view",
        text=marked("actions", "&Inches"),
        tip=marked("actions", "Show lengths in inches and fractions."),
        handler="show_inches",
        keys="F6",
        group="unit",
    ),
    ActionSpec(
        name="millimetres",
        menu="view",
        text=marked("actions", "&Millimetres"),
        tip=marked("actions", "Show lengths in millimetres."),
        handler="show_millimetres",
        keys="F7",
        group="unit",
    ),
    ActionSpec(
        name="centimetres",
        menu="view",
        text=marked("actions", "&Centimetres"),
        tip=marked("actions", "Show lengths in centimetres."),
        handler="show_centimetres",
        keys="F8",
        group="unit",
    ),
    ActionSpec(
        name="finer_step",
        menu="view",
        text=marked("actions", "&Finer ruler step"),
        tip=marked("actions", "Arrows, wheel and drags move by less."),
        handler="finer_step",
        keys="Shift+F6",
        apart=True,
    ),
    ActionSpec(
        name="coarser_step",
        menu="view",
        text=marked("actions", "C&oarser ruler step"),
        tip=marked("actions", "Arrows, wheel and drags move by more."),
        handler="coarser_step",
        keys="Shift+F7",
    ),
    ActionSpec(
        name="fit",
        menu="view",
        text=marked("actions", "Fit &everything"),
        tip=marked("actions", "Show all flat pieces and the whole bag."),
        handler="fit",
        keys="Ctrl+0",
        glyph="fit",
        on_toolbar=True,
        apart=True,
    ),
    ActionSpec(
        name="fold_flat",
        menu="view",
        text=marked("actions", "Preview f&lat"),
        tip=marked("actions", "Lay the fold preview flat."),
        handler="fold_flat",
        keys="F2",
        apart=True,
    ),
    ActionSpec(
        name="fold_folded",
        menu="view",
        text=marked("actions", "Preview fol&ded"),
        tip=marked("actions", "Fold the preview at the bottom."),
        handler="fold_folded",
        keys="F3",
    ),
    ActionSpec(
        name="fold_sewn",
        menu="view",
        text=marked("actions", "Preview &sewn"),
        tip=marked("actions", "Close the seams of the preview."),
        handler="fold_sewn",
        keys="F4",
    ),
    ActionSpec(
        name="fold_filled",
        menu="view",
        text=marked("actions", "Pre&view filled"),
        tip=marked("actions", "Fill the preview's bag as hard as it can be stuffed."),
        handler="fold_filled",
        keys="F5",
    ),
    ActionSpec(
        name="cutting_plan",
        menu="view",
        text=marked("actions", "Cutting &plan"),
        tip=marked("actions", "Show how the pieces are laid on their goods, and what to buy."),
        handler="cutting.show_plan",
        keys="Ctrl+G",
        apart=True,
    ),
    ActionSpec(
        name="first_steps",
        menu="help",
        text=marked("actions", "&First steps"),
        tip=marked("actions", "Change, check and print the demo bag in five minutes."),
        handler="show_first_steps",
        standard=Standard.HelpContents,
        keys="F1",
    ),
    ActionSpec(
        name="keys",
        menu="help",
        text=marked("actions", "&Keys"),
        tip=marked("actions", "Every key of the window."),
        handler="show_keys",
        keys="Ctrl+F1",
    ),
    ActionSpec(
        name="cautions",
        menu="help",
        text=marked("actions", "&Cautions"),
        tip=marked("actions", "Needles, irons, loads, food."),
        handler="show_cautions",
        keys="Shift+F1",
    ),
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
    """The platform's standard keys, or the action's own."""
    bound = [] if spec.standard is None else QKeySequence.keyBindings(spec.standard)
    return list(bound) or [QKeySequence(spec.keys)]


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
        action.setCheckable(spec.checkable or bool(spec.group))
        if spec.group:
            groups.setdefault(spec.group, QActionGroup(owner)).addAction(action)
        action.triggered.connect(_run_by(attrgetter(spec.handler)(owner)))
        actions[spec.name] = action
    return actions


def _run_by(handler: Callable[[], object]) -> Callable[[bool], None]:
    """What runs the handler: without the checked state that Qt would pass."""

    def run(_checked: bool = False) -> None:
        finish_typing()
        handler()

    return run
