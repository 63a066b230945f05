"""What a boxed panel is called, and what it can be made as."""

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from core.base.errors import FieldError
from core.base.sentences import Sentence, mark, say
from core.base.tolerance import same_length
from core.bodies.boxed_panel.sizes import CUT, FINISHED, Bottom, Corners, Tips
from core.site.kinds import Told
from core.site.owner import Choice, Surround

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel


def _with_corners(panel: "BoxedPanel", word: str, around: Surround, kept: object) -> "BoxedPanel":
    """As deep as it was drawn; where the edges of a corner seam differed the base follows."""
    corners = Corners(word)
    if corners is Corners.CUT:
        trimmed = replace(panel, tips=Tips.TRIMMED)
        wide, up = round(trimmed.cut_width, 9), round(trimmed.cut_depth, 9)
        sizes: dict[str, Any] = {"corner_width": wide, "corner_depth": up}
    else:
        deep = panel.corner_depth - panel.bottom_seam + panel.corner_seam
        sizes = {"corner_mark": round(deep, 9) if panel.has_corners else 0.0}
    return replace(panel, corners=corners, **sizes)


def _one_edge(was: "BoxedPanel", now: "BoxedPanel") -> Sentence | None:
    """That edges of corners that differed are one line now, and what becomes of the base."""
    across = was.corner_width - was.side_seam
    differ = 2 * (across - (was.corner_depth - was.bottom_seam))
    if was.sewn_across or not now.sewn_across or not was.has_corners or same_length(differ, 0.0):
        return None
    return say(_WIDER if differ > 0.0 else _NARROWER, value=abs(differ))


_WIDER = mark(
    "The edges of each corner were cut to differ by {value}: sewn across they are one line, and "
    "the base is {value} wider."
)
_NARROWER = mark(
    "The edges of each corner were cut to differ by {value}: sewn across they are one line, and "
    "the base is {value} narrower."
)


def _with_tips(panel: "BoxedPanel", word: str, around: Surround, kept: object) -> "BoxedPanel":
    if not panel.sewn_across:
        first = f"corners={Corners.SEWN_ACROSS.value}"
        told = say(
            "The corners of this bag are cut out, and no tips are left: first choose {first}.",
            words={"first": first},
        )
        raise FieldError(told, field="tips", value=word)
    return replace(panel, tips=Tips(word))


CHOICES: tuple[Choice, ...] = (
    Choice(
        name="bottom",
        part="body",
        label=mark("Bottom"),
        step=mark("Change the bottom"),
        help=mark("One panel folded at the bottom, or two panels joined by a seam."),
        options=(("fold", mark("Folded")), ("seam", mark("Seamed"))),
        read=lambda panel: panel.bottom.value,
        kept=lambda panel: panel.bottom_seam or None,
        write=lambda panel, word, around, kept: replace(
            panel,
            bottom_seam=0.0 if word == Bottom.FOLD.value else kept or around.site.new_allowance,
        ),
        on_command_line=True,
        asked=True,
    ),
    Choice(
        name="corners",
        part="body",
        label=mark("Corners"),
        step=mark("Change the corners"),
        help=mark("Cut out of the bottom and joined, or sewn across once the sides are sewn."),
        options=(
            (Corners.CUT.value, mark("Cut out")),
            (Corners.SEWN_ACROSS.value, mark("Sewn across")),
        ),
        read=lambda panel: panel.corners.value,
        write=_with_corners,
        lost=_one_edge,
        on_command_line=True,
        asked=True,
    ),
    Choice(
        name="tips",
        part="body",
        label=mark("Corner tips"),
        step=mark("Change the corner tips"),
        help=mark("Trimmed off beyond the corner seams, or left in as two more walls."),
        options=((Tips.TRIMMED.value, mark("Trimmed off")), (Tips.LEFT_IN.value, mark("Left in"))),
        read=lambda panel: panel.tips.value if panel.sewn_across else None,
        write=_with_tips,
        on_command_line=True,
    ),
)

BOXED_PANEL = Told(
    place=("core.bodies.boxed_panel.panel", "BoxedPanel"),
    kind="boxed-panel",
    label=mark("Boxed panel"),
    word=mark("panel"),
    figures=CUT,
    finished=FINISHED,
    choices=CHOICES,
)
