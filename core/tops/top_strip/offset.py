"""What is said of half strips that are not alike: the zip between them lies off the middle."""

from core.base.sentences import Sentence, mark, say
from core.flat.roles import Face, Side
from core.site.site import Mouth
from core.tops.top_strip.strip import HALF_LABELS, place_of


def told_apart(mouth: Mouth) -> dict[Face, Sentence]:
    """Which half strip is sewn to each of the two faces."""
    return {
        face: say(
            "The zip lies off the middle: the {half} is sewn on here.",
            terms={"half": HALF_LABELS[face]},
        )
        for face in place_of(mouth).faces
    }


def which_end(mouth: Mouth, side: Side) -> tuple[Sentence, ...]:
    """Which end of strips that are not alike this is."""
    first = HALF_LABELS[place_of(mouth).faces[0]]
    told = mark("It is the end at your left when the right side is up and the {half} towards you.")
    if side is Side.RIGHT:
        told = mark(
            "It is the end at your right when the right side is up and the {half} towards you."
        )
    return (say(told, terms={"half": first}),)


OFFSET_LID = say(
    "The zip lies off the middle: the {front} comes to the front edge, and the {back} to the back "
    "edge.",
    terms={"front": HALF_LABELS[Face.FRONT], "back": HALF_LABELS[Face.BACK]},
)
