"""What one action is: its names, keys, handler and place; the actions of view, help, sewing."""

from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence

from core.base.sentences import mark

Standard = QKeySequence.StandardKey


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionSpec:
    """One action.

    Attributes:
        name: fixed, for handlers and tests.
        menu: one of `MENUS`.
        text: with the `&` of its mnemonic.
        tip: one sentence for tooltip and status line.
        keys: its own, on every platform; no field may have a use for them but those of an edit.
        standard: the platform's standard key, where there is one; it goes before `keys`.
        handler: name of the window's method, "pane.method" where one of its panes has it.
        group: name of the choice that it is one option of, if any; it is then checkable.
        checkable: whether it is switched on and off by itself.
        glyph: of its toolbar button, if it has one there.
        apart: whether a line stands above it.
        takes_typing: whether what stands typed in a field is taken first.
        role: where macOS puts it.
    """

    name: str
    menu: str
    text: str
    tip: str
    handler: str
    keys: str = ""
    standard: Standard | None = None
    group: str = ""
    checkable: bool = False
    glyph: str = ""
    on_toolbar: bool = False
    apart: bool = False
    takes_typing: bool = True
    role: QAction.MenuRole = QAction.MenuRole.NoRole


VIEW_ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="inches",
        menu="view",
        text=mark("&Inches"),
        tip=mark("Show lengths in inches and fractions."),
        handler="show_inches",
        keys="Shift+F5",
        group="unit",
    ),
    ActionSpec(
        name="millimetres",
        menu="view",
        text=mark("&Millimetres"),
        tip=mark("Show lengths in millimetres."),
        handler="show_millimetres",
        keys="Shift+F6",
        group="unit",
    ),
    ActionSpec(
        name="centimetres",
        menu="view",
        text=mark("&Centimetres"),
        tip=mark("Show lengths in centimetres."),
        handler="show_centimetres",
        keys="Shift+F7",
        group="unit",
    ),
    ActionSpec(
        name="finer_step",
        menu="view",
        text=mark("&Finer ruler step"),
        tip=mark("Arrow keys, wheel and dragging change measures in smaller steps."),
        handler="finer_step",
        keys="Shift+F8",
        apart=True,
    ),
    ActionSpec(
        name="coarser_step",
        menu="view",
        text=mark("C&oarser ruler step"),
        tip=mark("Arrow keys, wheel and dragging change measures in larger steps."),
        handler="coarser_step",
        keys="Shift+F9",
    ),
    ActionSpec(
        name="fit",
        menu="view",
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
        menu="view",
        text=mark("&Zoom in"),
        tip=mark("Show the drawing that you used last larger."),
        handler="zooming.zoom_in",
        standard=Standard.ZoomIn,
        keys="Ctrl++",
    ),
    ActionSpec(
        name="zoom_out",
        menu="view",
        text=mark("Zoom ou&t"),
        tip=mark("Show the drawing that you used last smaller."),
        handler="zooming.zoom_out",
        standard=Standard.ZoomOut,
        keys="Ctrl+-",
    ),
    ActionSpec(
        name="actual_size",
        menu="view",
        text=mark("&Actual size"),
        tip=mark("Show flat pieces or cutting plan as large as they are cut."),
        handler="zooming.show_actual_size",
        keys="Ctrl+9",
    ),
    ActionSpec(
        name="fold_flat",
        menu="view",
        text=mark("Preview f&lat"),
        tip=mark("Show the preview as flat pieces."),
        handler="fold_flat",
        keys="F5",
        apart=True,
    ),
    ActionSpec(
        name="fold_folded",
        menu="view",
        text=mark("Preview fol&ded"),
        tip=mark("Show the preview folded at the bottom."),
        handler="fold_folded",
        keys="F6",
    ),
    ActionSpec(
        name="fold_sewn",
        menu="view",
        text=mark("Preview &sewn"),
        tip=mark("Show the preview with its seams sewn."),
        handler="fold_sewn",
        keys="F7",
    ),
    ActionSpec(
        name="fold_filled",
        menu="view",
        text=mark("Pre&view filled"),
        tip=mark("Show the preview stuffed as full as it goes."),
        handler="fold_filled",
        keys="F8",
    ),
    ActionSpec(
        name="go_measures",
        menu="go",
        text=mark("&Measures"),
        tip=mark("Go to the list of measures."),
        handler="navigation.go_to_measures",
        keys="Ctrl+1",
    ),
    ActionSpec(
        name="go_flat",
        menu="go",
        text=mark("&Flat pieces"),
        tip=mark("Go to the flat pieces."),
        handler="navigation.go_to_flat",
        keys="Ctrl+2",
    ),
    ActionSpec(
        name="go_fold",
        menu="go",
        text=mark("Fold &preview"),
        tip=mark("Go to the fold preview."),
        handler="navigation.go_to_fold",
        keys="Ctrl+3",
    ),
    ActionSpec(
        name="go_findings",
        menu="go",
        text=mark("F&indings"),
        tip=mark("Go to the worst finding."),
        handler="navigation.go_to_findings",
        keys="Ctrl+4",
    ),
    ActionSpec(
        name="go_changes",
        menu="go",
        text=mark("&Changes"),
        tip=mark("Show what differs from the starting bag."),
        handler="navigation.go_to_changes",
        keys="Ctrl+5",
    ),
    ActionSpec(
        name="cutting_plan",
        menu="go",
        text=mark("C&utting plan"),
        tip=mark("Show how the pieces are laid out on their materials, and what to buy."),
        handler="cutting.show_plan",
        keys="Ctrl+6",
    ),
    ActionSpec(
        name="sewing_order",
        menu="go",
        text=mark("&Sewing order"),
        tip=mark("Show every step of sewing this bag, with its drawing."),
        handler="sewing.show_order",
        keys="Ctrl+7",
    ),
    ActionSpec(
        name="full_screen",
        menu="view",
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
        menu="view",
        text=mark("&Reset layout"),
        tip=mark("Give the window and all of its panes their first sizes again."),
        handler="kept_layout.reset",
        keys="Shift+F11",
    ),
)


HELP_ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="help_here",
        menu="help",
        text=mark("&Help on this"),
        tip=mark("Open the help on the field or pane that you are in."),
        handler="help.show_here",
        standard=Standard.HelpContents,
        keys="F1",
    ),
    ActionSpec(
        name="whats_this",
        menu="help",
        text=mark("&What’s this?"),
        tip=mark(
            "Explain what you click next; pressed twice, the field or pane that you are in.",
        ),
        handler="help.whats_this",
        standard=Standard.WhatsThis,
        keys="Shift+F1",
    ),
    ActionSpec(
        name="contents",
        menu="help",
        text=mark("&Contents and search"),
        tip=mark("Read the help, or search all of it."),
        handler="help.show_contents",
        keys="Ctrl+F1",
        apart=True,
    ),
    ActionSpec(
        name="start_tour",
        menu="help",
        text=mark("&First-steps tour"),
        tip=mark("Go through the first steps in the window, with your own bag."),
        handler="help.start_tour",
        keys="Ctrl+Shift+F12",
    ),
    ActionSpec(
        name="glossary",
        menu="help",
        text=mark("&Glossary"),
        tip=mark("The words of the trade, with drawings."),
        handler="help.show_glossary",
        keys="F12",
    ),
    ActionSpec(
        name="keys",
        menu="help",
        text=mark("&Keys"),
        tip=mark("All keyboard shortcuts of the window and its panes."),
        handler="help.show_keys",
        keys="Shift+F12",
    ),
    ActionSpec(
        name="cautions",
        menu="help",
        text=mark("Ca&utions"),
        tip=mark("Needles, irons, loads, food."),
        handler="help.show_cautions",
        keys="Ctrl+F12",
    ),
)


SEWING_ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="next_step",
        menu="sewing",
        text=mark("&Next step"),
        tip=mark("Go to the next step of the sewing order."),
        handler="sewing.next_step",
        keys="Ctrl+PgDown",
    ),
    ActionSpec(
        name="previous_step",
        menu="sewing",
        text=mark("&Previous step"),
        tip=mark("Go to the step before."),
        handler="sewing.previous_step",
        keys="Ctrl+PgUp",
    ),
    ActionSpec(
        name="tick_step",
        menu="sewing",
        text=mark("&Tick the step and go on"),
        tip=mark("Mark the step as done and go to the next one."),
        handler="sewing.tick_step",
        keys="Ctrl+Return",
    ),
    ActionSpec(
        name="edit_load",
        menu="sewing",
        text=mark("&Load and thread…"),
        tip=mark("What the bag carries, the thread, and what the handles may carry."),
        handler="dialogs.edit_load",
        keys="Ctrl+Shift+L",
        apart=True,
    ),
)
