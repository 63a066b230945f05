"""The actions of the help; a part of the table of actions."""

from app.action_spec import ActionSpec, Standard
from app.words import marked

HELP_ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="help_here",
        menu="help",
        text=marked("actions", "&Help on this"),
        tip=marked("actions", "Open the help on the field or pane that you are in."),
        handler="help.show_here",
        standard=Standard.HelpContents,
        keys="F1",
    ),
    ActionSpec(
        name="whats_this",
        menu="help",
        text=marked("actions", "&What’s this?"),
        tip=marked(
            "actions",
            "Explain what you click next; pressed twice, the field or pane that you are in.",
        ),
        handler="help.whats_this",
        standard=Standard.WhatsThis,
        keys="Shift+F1",
    ),
    ActionSpec(
        name="contents",
        menu="help",
        text=marked("actions", "&Contents and search"),
        tip=marked("actions", "Read the help, or search all of it."),
        handler="help.show_contents",
        keys="Ctrl+F1",
        apart=True,
    ),
    ActionSpec(
        name="start_tour",
        menu="help",
        text=marked("actions", "&First-steps tour"),
        tip=marked("actions", "Go through the first steps in the window, with your own bag."),
        handler="help.start_tour",
        keys="Ctrl+Shift+F12",
    ),
    ActionSpec(
        name="glossary",
        menu="help",
        text=marked("actions", "&Glossary"),
        tip=marked("actions", "The words of the trade, with drawings."),
        handler="help.show_glossary",
        keys="F12",
    ),
    ActionSpec(
        name="keys",
        menu="help",
        text=marked("actions", "&Keys"),
        tip=marked("actions", "All keyboard shortcuts of the window and its panes."),
        handler="help.show_keys",
        keys="Shift+F12",
    ),
    ActionSpec(
        name="cautions",
        menu="help",
        text=marked("actions", "Ca&utions"),
        tip=marked("actions", "Needles, irons, loads, food."),
        handler="help.show_cautions",
        keys="Ctrl+F12",
    ),
)
