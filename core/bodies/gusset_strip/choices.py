"""What the strip bags are called, and what a strip can be made as: of how many pieces."""

from core.base.sentences import mark
from core.bodies.gusset_strip.sizes import CUT, FINISHED, STRIP_PIECES
from core.site.kinds import Told
from core.site.owner import Choice

CHOICES: tuple[Choice, ...] = (
    Choice(
        name=STRIP_PIECES.name,
        part="body",
        label=mark("Strip"),
        step=mark("Change the number of the strip's pieces"),
        help=mark(
            "Cut in one piece, or joined of equal ones end to end: shorter cloth will do, and "
            "prints can stand upright on both sides."
        ),
        options=(
            ("1", mark("One piece")),
            ("2", mark("Two pieces")),
            ("3", mark("Three pieces")),
            ("4", mark("Four pieces")),
        ),
        read=lambda body: str(body.strip_pieces),
        write=lambda body, word, around, kept: body.having({"strip_pieces": int(word)}),
        goes_along=True,
        on_command_line=True,
    ),
)

GUSSET_STRIP = Told(
    place=("core.bodies.gusset_strip.body", "GussetStrip"),
    kind="gusset-strip",
    label=mark("Gusset strip"),
    word=mark("body"),
    figures=CUT,
    finished=FINISHED,
    choices=CHOICES,
)
WRAP = GUSSET_STRIP._replace(
    place=("core.bodies.gusset_strip.body", "Wrap"), kind="wrap", label=mark("Wrap")
)
