"""What one action is: its names, keys, handler and place; the actions of view, help, sewing."""

from typing import NamedTuple

from PySide6.QtGui import QAction, QKeySequence

from core.base.sentences import mark
from core.base.units import Unit
from core.solid.fold import FILLED, FLAT, FOLDED, SEWN

Standard = QKeySequence.StandardKey


class ActionSpec(NamedTuple):
    """One action.

    Attributes:
        text: with the `&` of its mnemonic.
        tip: one sentence for tooltip and status line.
        handler: name of the window's method, "pane.method" where one of its panes has it.
        argument: what the method is called with; None: nothing.
        name: fixed, for help pages and tests; that of the method where none is given.
        menu: one of `MENUS`, as `in_menu` has it.
        keys: its own, on every platform; no field may have a use for them but those of an edit.
        standard: the platform's standard key, where there is one; it goes before `keys`.
        group: name of the choice that it is one option of, if any; it is then checkable.
        checkable: whether it is switched on and off by itself.
        glyph: of its toolbar button, if it has one there.
        apart: whether a line stands above it.
        takes_typing: whether what stands typed in a field is taken first.
        role: where macOS puts it.
    """

    text: str
    tip: str
    handler: str
    argument: object = None
    name: str = ""
    menu: str = ""
    keys: str = ""
    standard: Standard | None = None
    group: str = ""
    checkable: bool = False
    glyph: str = ""
    on_toolbar: bool = False
    apart: bool = False
    takes_typing: bool = True
    role: QAction.MenuRole = QAction.MenuRole.NoRole


def in_menu(menu: str, *specs: ActionSpec) -> tuple[ActionSpec, ...]:
    """The actions with the name of their menu, each with a name of its own."""
    return tuple(
        spec._replace(menu=menu, name=spec.name or spec.handler.split(".")[-1]) for spec in specs
    )


VIEW_ACTIONS: tuple[ActionSpec, ...] = (
    *in_menu(
        "view",
        ActionSpec(
            name="inches",
            text=mark("&Inches"),
            tip=mark("Show lengths in inches and fractions."),
            handler="display.set_unit",
            argument=Unit.INCH,
            keys="Shift+F5",
            group="unit",
        ),
        ActionSpec(
            name="millimetres",
            text=mark("&Millimetres"),
            tip=mark("Show lengths in millimetres."),
            handler="display.set_unit",
            argument=Unit.MM,
            keys="Shift+F6",
            group="unit",
        ),
        ActionSpec(
            name="centimetres",
            text=mark("&Centimetres"),
            tip=mark("Show lengths in centimetres."),
            handler="display.set_unit",
            argument=Unit.CM,
            keys="Shift+F7",
            group="unit",
        ),
        ActionSpec(
            name="finer_step",
            text=mark("&Finer ruler step"),
            tip=mark("Arrow keys, wheel and dragging change measures in smaller steps."),
            handler="display.move_step",
            argument=-1,
            keys="Shift+F8",
            apart=True,
        ),
        ActionSpec(
            name="coarser_step",
            text=mark("C&oarser ruler step"),
            tip=mark("Arrow keys, wheel and dragging change measures in larger steps."),
            handler="display.move_step",
            argument=1,
            keys="Shift+F9",
        ),
        ActionSpec(
            name="fit",
            text=mark("Fit &everything"),
            tip=mark("Show all flat pieces and the whole bag."),
            handler="zooming.fit_everything",
            keys="Ctrl+0",
            glyph="fit",
            on_toolbar=True,
            apart=True,
        ),
        ActionSpec(
            name="zoom_in",
            text=mark("&Zoom in"),
            tip=mark("Show the drawing that you used last larger."),
            handler="zooming.zoom",
            argument=1,
            standard=Standard.ZoomIn,
            keys="Ctrl++",
        ),
        ActionSpec(
            name="zoom_out",
            text=mark("Zoom ou&t"),
            tip=mark("Show the drawing that you used last smaller."),
            handler="zooming.zoom",
            argument=-1,
            standard=Standard.ZoomOut,
            keys="Ctrl+-",
        ),
        ActionSpec(
            name="actual_size",
            text=mark("&Actual size"),
            tip=mark("Show flat pieces or cutting plan as large as they are cut."),
            handler="zooming.show_actual_size",
            keys="Ctrl+9",
        ),
        ActionSpec(
            name="fold_flat",
            text=mark("Preview f&lat"),
            tip=mark("Show the preview as flat pieces."),
            handler="fold.show_moment",
            argument=FLAT,
            keys="F5",
            apart=True,
        ),
        ActionSpec(
            name="fold_folded",
            text=mark("Preview fol&ded"),
            tip=mark("Show the preview folded at the bottom."),
            handler="fold.show_moment",
            argument=FOLDED,
            keys="F6",
        ),
        ActionSpec(
            name="fold_sewn",
            text=mark("Preview &sewn"),
            tip=mark("Show the preview with its seams sewn."),
            handler="fold.show_moment",
            argument=SEWN,
            keys="F7",
        ),
        ActionSpec(
            name="fold_filled",
            text=mark("Pre&view filled"),
            tip=mark("Show the preview stuffed as full as it goes."),
            handler="fold.show_moment",
            argument=FILLED,
            keys="F8",
        ),
    ),
    *in_menu(
        "go",
        ActionSpec(
            name="go_measures",
            text=mark("&Measures"),
            tip=mark("Go to the list of measures."),
            handler="navigation.go_to",
            argument="measures",
            keys="Ctrl+1",
        ),
        ActionSpec(
            name="go_flat",
            text=mark("&Flat pieces"),
            tip=mark("Go to the flat pieces."),
            handler="navigation.go_to",
            argument="flat",
            keys="Ctrl+2",
        ),
        ActionSpec(
            name="go_fold",
            text=mark("Fold &preview"),
            tip=mark("Go to the fold preview."),
            handler="navigation.go_to",
            argument="fold",
            keys="Ctrl+3",
        ),
        ActionSpec(
            name="go_findings",
            text=mark("F&indings"),
            tip=mark("Go to the worst finding."),
            handler="navigation.go_to",
            argument="findings",
            keys="Ctrl+4",
        ),
        ActionSpec(
            name="go_changes",
            text=mark("&Changes"),
            tip=mark("Show what differs from the starting bag."),
            handler="navigation.go_to",
            argument="changes",
            keys="Ctrl+5",
        ),
        ActionSpec(
            name="cutting_plan",
            text=mark("C&utting plan"),
            tip=mark("Show how the pieces are laid out on their materials, and what to buy."),
            handler="cutting.show_plan",
            keys="Ctrl+6",
        ),
        ActionSpec(
            name="sewing_order",
            text=mark("&Sewing order"),
            tip=mark("Show every step of sewing this bag, with its drawing."),
            handler="sewing.show_order",
            keys="Ctrl+7",
        ),
    ),
    *in_menu(
        "view",
        ActionSpec(
            name="full_screen",
            text=mark("F&ull screen"),
            tip=mark("Fill the whole screen with the window, or leave full screen."),
            handler="navigation.toggle_full_screen",
            standard=Standard.FullScreen,
            keys="F11",
            checkable=True,
            apart=True,
        ),
        ActionSpec(
            name="reset_layout",
            text=mark("&Reset layout"),
            tip=mark("Give the window and all of its panes their first sizes again."),
            handler="kept_layout.reset",
            keys="Shift+F11",
        ),
    ),
)


HELP_ACTIONS = in_menu(
    "help",
    ActionSpec(
        name="help_here",
        text=mark("&Help on this"),
        tip=mark("Open the help on the field or pane that you are in."),
        handler="help.show_here",
        standard=Standard.HelpContents,
        keys="F1",
    ),
    ActionSpec(
        text=mark("&What’s this?"),
        tip=mark("Explain what you click next; pressed twice, the field or pane that you are in."),
        handler="help.whats_this",
        standard=Standard.WhatsThis,
        keys="Shift+F1",
    ),
    ActionSpec(
        name="contents",
        text=mark("&Contents and search"),
        tip=mark("Read the help, or search all of it."),
        handler="help.show_contents",
        keys="Ctrl+F1",
        apart=True,
    ),
    ActionSpec(
        text=mark("&First-steps tour"),
        tip=mark("Go through the first steps in the window, with your own bag."),
        handler="help.start_tour",
        keys="Ctrl+Shift+F12",
    ),
    ActionSpec(
        name="glossary",
        text=mark("&Glossary"),
        tip=mark("The words of the trade, with drawings."),
        handler="help.show",
        argument="glossary",
        keys="F12",
    ),
    ActionSpec(
        name="keys",
        text=mark("&Keys"),
        tip=mark("All keyboard shortcuts of the window and its panes."),
        handler="help.show",
        argument="keys",
        keys="Shift+F12",
    ),
    ActionSpec(
        name="cautions",
        text=mark("Ca&utions"),
        tip=mark("Needles, irons, loads, food."),
        handler="help.show",
        argument="cautions",
        keys="Ctrl+F12",
    ),
    ActionSpec(
        name="about",
        text=mark("&About Cornerwright"),
        tip=mark("Version and licences."),
        handler="dialogs.show_about",
        keys="Ctrl+Shift+F1",
        apart=True,
        role=QAction.MenuRole.AboutRole,
    ),
)


SEWING_ACTIONS = in_menu(
    "sewing",
    ActionSpec(
        name="next_step",
        text=mark("&Next step"),
        tip=mark("Go to the next step of the sewing order."),
        handler="sewing.go",
        argument=1,
        keys="Ctrl+PgDown",
    ),
    ActionSpec(
        name="previous_step",
        text=mark("&Previous step"),
        tip=mark("Go to the step before."),
        handler="sewing.go",
        argument=-1,
        keys="Ctrl+PgUp",
    ),
    ActionSpec(
        text=mark("&Tick the step and go on"),
        tip=mark("Mark the step as done and go to the next one."),
        handler="sewing.tick_step",
        keys="Ctrl+Return",
    ),
    ActionSpec(
        text=mark("&Load and thread…"),
        tip=mark("What the bag carries, the thread, and what the handles may carry."),
        handler="dialogs.edit_load",
        keys="Ctrl+Shift+L",
        apart=True,
    ),
)
