"""What a boxed panel can be made as."""

from dataclasses import replace

from core.base.sentences import mark
from core.bodies.boxed_panel.figures import Bottom
from core.site.choice import Choice

CHOICES: tuple[Choice, ...] = (
    Choice(
        name="bottom",
        part="body",
        label=mark("Bottom"),
        step=mark("Change the bottom"),
        help=mark("One panel folded at the bottom, or two panels joined by a seam."),
        options=(
            ("fold", mark("Folded")),
            ("seam", mark("Seamed")),
        ),
        read=lambda panel: panel.bottom.value,
        kept=lambda panel: panel.bottom_seam or None,
        write=lambda panel, word, around, kept: replace(
            panel,
            bottom_seam=0.0 if word == Bottom.FOLD.value else kept or around.site.new_allowance,
        ),
        on_command_line=True,
    ),
)
