"""What is said of handles that hang too low."""

from core.base.sentences import mark
from core.flat.roles import Face

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
