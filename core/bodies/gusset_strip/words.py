"""What panels and strip are called while they are sewn."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from core.base.sentences import Template, mark
from core.bodies.gusset_strip.sizes import GUSSET
from core.flat.roles import Face

if TYPE_CHECKING:
    from core.bodies.gusset_strip.body import StripBody


class StripWords(NamedTuple):
    """What panels and strip are called."""

    strip: Template
    panels: Template
    cut_panels: Template
    cut_strip: Template
    write: Template
    write_on_layers: Template
    write_ends: Template
    middles: Template
    round_panel: Mapping[Face, Template]
    each_deep: Template


def words_of(body: "StripBody") -> StripWords:
    """Those of a gusset strip, or of a wrap."""
    return _GUSSET if body.MAKES is GUSSET else _WRAP


_GUSSET = StripWords(
    strip=mark("gusset strip"),
    panels=mark("panels"),
    cut_panels=mark("Cut front and back"),
    cut_strip=mark("Cut the gusset strip"),
    write=mark("Write “front” along the top edge of one, and “back” along that of the other."),
    write_on_layers=mark(
        "Of each layer write “front” along the top edge of one, and “back” along that of the other."
    ),
    write_ends=mark("Write “left” at one end, and “right” at the other."),
    middles=mark(
        "On front and back mark the middle of the top edge and of the bottom edge, {middle} from "
        "the side edges."
    ),
    round_panel={
        Face.FRONT: mark("Sew the gusset strip round the front"),
        Face.BACK: mark("Sew the gusset strip round the back"),
    },
    each_deep=mark(
        "Stand it up: front and back are {face_width} wide and {face_height} high, and the bag is "
        "{gusset_depth} deep."
    ),
)
_WRAP = StripWords(
    strip=mark("wrap"),
    panels=mark("end panels"),
    cut_panels=mark("Cut the two end panels"),
    cut_strip=mark("Cut the wrap"),
    write=mark(
        "Write “left end panel” along the top edge of one, and “right end panel” along that of the "
        "other."
    ),
    write_on_layers=mark(
        "Of each layer write “left end panel” along the top edge of one, and “right end panel” "
        "along that of the other."
    ),
    write_ends=mark("Write “back” at one end, and “front” at the other."),
    middles=mark(
        "On both end panels mark the middle of the top edge and of the bottom edge, {middle} from "
        "the front and the back edge."
    ),
    round_panel={
        Face.LEFT: mark("Sew the wrap round the left end panel"),
        Face.RIGHT: mark("Sew the wrap round the right end panel"),
    },
    each_deep=mark(
        "Stand it up: front and back are {face_width} wide and {face_height} high, and each end "
        "panel is {gusset_depth} deep."
    ),
)
