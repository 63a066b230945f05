"""What a separate base is called, and can be made as: walls of one, two or four pieces. mm."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from core.base.sentences import Sentence, mark, say
from core.bodies.separate_base.sizes import BODY_PIECES, CUT, FINISHED, ROUND_OFF
from core.bodies.trim import usual_trim
from core.site.kinds import Told
from core.site.owner import Choice, Surround

if TYPE_CHECKING:
    from core.bodies.separate_base.body import SeparateBase


def _with_pieces(
    body: "SeparateBase", word: str, around: Surround, kept: "SeparateBase | None"
) -> "SeparateBase":
    """As wide, as deep and as high as before; square for four walls, rounded again without them.

    The walls differ from the base by as much as they did.
    """
    pieces, was = int(word), body.body_pieces
    if pieces == was:
        return body
    radius = 0.0 if pieces == 4 else body.drawn_radius
    if was == 4 and kept is not None:
        radius = min(kept.drawn_radius, body.drawn_width / 2, body.drawn_depth / 2)
    high, trim = body.body_height - body.front_trim / 2, 0.0
    if pieces == 2:
        trim = usual_trim(around, high) if kept is None else kept.front_trim
    ring = body.ring_length + ROUND_OFF * (body.drawn_radius - radius)
    sizes: dict[str, Any] = {
        name: round(size, 9)
        for name, size in {
            **body.walls_of(pieces, ring),
            "body_height": high + trim / 2,
            "front_trim": trim,
            "corner_rounding": radius + body.base_seam if radius > 0.0 else 0.0,
        }.items()
    }
    return replace(body, body_pieces=pieces, **sizes)


def _square_now(was: "SeparateBase", now: "SeparateBase") -> Sentence | None:
    """That the corners of the base were rounded."""
    if now.corner_rounding or not was.corner_rounding:
        return None
    return say(_SQUARE, value=was.drawn_radius)


_SQUARE = mark(
    "The corners of the base, which were rounded to {value}, are square now: four walls meet there."
)

CHOICES: tuple[Choice, ...] = (
    Choice(
        name=BODY_PIECES.name,
        part="body",
        label=mark("Walls"),
        step=mark("Change the number of walls"),
        help=mark(
            "One wall joined at the left side, front and back, or four walls with a seam at each "
            "corner of a square base. Finished sizes stay; a top that the new mouth cannot take "
            "becomes one that it can."
        ),
        options=(
            ("1", mark("One, joined at the left")),
            ("2", mark("Two, front and back")),
            ("4", mark("Four, one to each side")),
        ),
        read=lambda body: str(body.body_pieces),
        write=_with_pieces,
        lost=_square_now,
        goes_along=True,
        on_command_line=True,
        asked=True,
    ),
)

SEPARATE_BASE = Told(
    place=("core.bodies.separate_base.body", "SeparateBase"),
    kind="separate-base",
    label=mark("Separate base"),
    word=mark("body"),
    figures=CUT,
    finished=FINISHED,
    choices=CHOICES,
)
