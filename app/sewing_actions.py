"""The actions of the order of sewing; a part of the table of actions."""

from app.action_spec import ActionSpec
from app.words import marked

SEWING_ACTIONS: tuple[ActionSpec, ...] = (
    ActionSpec(
        name="next_step",
        menu="sewing",
        text=marked("actions", "&Next step"),
        tip=marked("actions", "Go to the next step of the sewing order."),
        handler="sewing.pane.next_step",
        keys="Ctrl+PgDown",
    ),
    ActionSpec(
        name="previous_step",
        menu="sewing",
        text=marked("actions", "&Previous step"),
        tip=marked("actions", "Go to the step before."),
        handler="sewing.pane.previous_step",
        keys="Ctrl+PgUp",
    ),
    ActionSpec(
        name="tick_step",
        menu="sewing",
        text=marked("actions", "&Tick the step and go on"),
        tip=marked("actions", "Mark the step as done and go to the next one."),
        handler="sewing.pane.tick_step",
        keys="Ctrl+Return",
    ),
    ActionSpec(
        name="edit_load",
        menu="sewing",
        text=marked("actions", "&Load and thread…"),
        tip=marked("actions", "What the bag carries, the thread, and what the handles may carry."),
        handler="sewing.edit_load",
        keys="Ctrl+Shift+L",
        apart=True,
    ),
)
