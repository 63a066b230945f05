"""What is said of stops too near the top, handles that hang too low, legs too far apart."""

from core.base.sentences import Template, mark
from core.flat.roles import SIDES, Face
from core.site.site import Site

NEAR_ZIP = mark(
    "There is only {value} between the zip's stitch line and the end of the handle's "
    "stitching: the presser foot needs {limit}."
)
IN_ZIP_SEAM = mark(
    "The handle's stitching ends {value} above the zip's stitch line: the zip seam would "
    "catch the loose handle."
)
IN_HEM = mark(
    "The handle's stitching ends {value} above the fold of the hem: there is no face to sew it to."
)
IN_SEAM = mark(
    "The handle's stitching ends {value} above the seam at the top: the seam would catch the "
    "loose handle."
)
ROLLED = mark(
    "The handles' stitching ends {value} below the top edge, and down to the fill line, {limit} "
    "below it, all is rolled in: the handles would be caught in the rolls."
)
TO_GROUND = {
    Face.FRONT: mark(
        "Carried by hand, the front handle and the face together hang {value} down: beyond "
        "{limit} the bag drags on the ground. Carried over the shoulder it does not."
    ),
    Face.BACK: mark(
        "Carried by hand, the back handle and the face together hang {value} down: beyond "
        "{limit} the bag drags on the ground. Carried over the shoulder it does not."
    ),
}
DRAGS_ANYHOW = {
    Face.FRONT: mark(
        "The front handle and the face together hang {value} down: beyond {limit} the bag "
        "drags on the ground even when carried over the shoulder."
    ),
    Face.BACK: mark(
        "The back handle and the face together hang {value} down: beyond {limit} the bag "
        "drags on the ground even when carried over the shoulder."
    ),
}

NO_LOOP = {
    Face.FRONT: mark(
        "The strips are too short: beyond its sewn legs only {value} is left for the front handle."
    ),
    Face.BACK: mark(
        "The strips are too short: beyond its sewn legs only {value} is left for the back handle."
    ),
}
NO_LEGS = {
    Face.FRONT: mark(
        "The strips are too short: the sewn legs of the front handle need {value} more than "
        "there is."
    ),
    Face.BACK: mark(
        "The strips are too short: the sewn legs of the back handle need {value} more than "
        "there is."
    ),
}
BELOW_TOP = {
    Face.FRONT: mark(
        "The front handle ends {value} below the bag's top: a hand needs {limit} above it."
    ),
    Face.BACK: mark(
        "The back handle ends {value} below the bag's top: a hand needs {limit} above it."
    ),
}
LOW_DROP = {
    Face.FRONT: mark("The front handle drops only {value}: a hand needs {limit}."),
    Face.BACK: mark("The back handle drops only {value}: a hand needs {limit}."),
}


def over_side(site: Site) -> Template:
    """What legs do that are farther apart than the face is wide, as it is told."""
    if len(site.mouth.sides) == len(SIDES):
        return _OVER_SIDE
    return _OVER_SEAMS if len(site.side_edges(Face.FRONT)) == len(SIDES) else _OVER_EDGE


_OVER_SIDE = mark(
    "The handle legs measure {value} across, but there is only {limit} between the side "
    "seams: the legs would be caught in the side seams."
)
_OVER_SEAMS = mark(
    "The handle legs measure {value} across, but there is only {limit} between the seams at the "
    "sides of the face: the legs would be caught in them."
)
_OVER_EDGE = mark(
    "The handle legs measure {value} across, but the face is {limit} wide: they run past its sides."
)


def place_of_legs(site: Site, from_side: float) -> tuple[str, float]:
    """What a maker measures to draw the legs, and how far it is, mm.

    Where front and back lie in a row on one wall a face ends at one side edge at most: its middle
    is as far from its end of the wall as that of the other from the other end.
    """
    if len(site.side_edges(Face.FRONT)) == len(SIDES):
        return "from_side", from_side
    return "face_middle", site.front.width / 2


LEGS = {
    "from_side": mark(
        "On front and back draw the two legs of a handle, each {handle_width} wide and "
        "{handle_leg} long with {handle_gap} between them. Their outer lines are "
        "{from_side} from the sides of the face."
    ),
    "face_middle": mark(
        "Draw the middles of front and back, each {face_middle} from its end of the walls. At "
        "both draw the two legs of a handle, each {handle_width} wide and {handle_leg} long. "
        "Between them lie {handle_gap}, half of it on either side of the middle."
    ),
}
"""How they are drawn, by what is measured for it."""
HALFWAY = {
    None: mark("Make a mark on the loop {join_to_bottom} from one join."),
    True: mark(
        "Make a mark on the loop {join_to_bottom} from one end of the short strip, measured along "
        "that strip."
    ),
    False: mark(
        "Make a mark on the loop {join_to_bottom} from one end of the short strip, measured away "
        "from that strip."
    ),
}
"""Whether the way to the bottom line runs over the short strip; None where there is none."""
PLACED = {
    Face.FRONT: mark(
        "Place them on the bottom line, one in each drawn strip, {handle_gap} between the strips; "
        "the join that you measured from goes up the front."
    ),
    Face.BACK: mark(
        "Place them on the bottom line, one in each drawn strip, {handle_gap} between the strips; "
        "the join that you measured from goes up the back."
    ),
}
"""Where the halfway points are laid, by the face that the measured join goes up."""
