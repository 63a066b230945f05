"""Every figure of a bag by its name, and what those of a kind have in common."""

from collections.abc import Mapping
from types import MappingProxyType

from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES, cut_figure
from core.base.sentences import Template
from core.model.figures import CutFigure, FinishedFigure, Form, Quantity
from core.site.site import Finished

FINISHED: Mapping[str, FinishedFigure] = MappingProxyType(
    {figure.name: figure for figure in FINISHED_FIGURES}
)
"""Name -> finished figure, in reading order."""
CUT_NAMES = frozenset(figure.name for figure in CUT_FIGURES)
WANTED = frozenset(figure.name for figure in FINISHED_FIGURES if figure.wanted)
"""Finished figures that can be typed and pinned."""
PINNABLE = WANTED | {figure.name for figure in CUT_FIGURES if figure.pinnable}
"""Figures that a redesign could change, and that can be kept from it."""
MATCHED = tuple(figure.name for figure in FINISHED_FIGURES if figure.matched)
"""Mismatches: finished figures that are kept at 0 unless that is released."""
FILLED_NAMES = tuple(figure.name for figure in FINISHED_FIGURES if figure.form is Form.FILLED)
"""Finished figures that only filling the bag tells."""
MEASURABLE = tuple(figure.name for figure in FINISHED_FIGURES if figure.tape)
"""Finished figures that can be measured on a finished bag, in the order of being asked for."""
RULED = tuple(figure.name for figure in CUT_FIGURES if figure.ruled is not None)
"""Every cut figure that a ruler rounds."""


def figure_of(name: str) -> CutFigure | FinishedFigure:
    """The description of a figure; a FieldError where no figure has that name."""
    found = FINISHED.get(name)
    return cut_figure(name) if found is None else found


def label_of(name: str) -> Template:
    """What the maker reads for a figure's name; a FieldError where no figure has it."""
    return figure_of(name).label


def is_cut(name: str) -> bool:
    """Whether a name is that of a cut figure."""
    return name in CUT_NAMES


def is_volume(name: str) -> bool:
    """Whether a name is that of a volume."""
    return figure_of(name).quantity is Quantity.VOLUME


def is_box(name: str) -> bool:
    """Whether a name is that of a volume that is a box."""
    return name in FINISHED and FINISHED[name].form is Form.BOX


def volume_name(form: Form, *, inside: bool = False) -> str:
    """Name of the volume of this form, BOX or FILLED, outside or inside the wall.

    A StopIteration where no body has one.
    """
    of_form = (each for each in FINISHED_FIGURES if each.form is form)
    return next(each.name for each in of_form if each.inside is inside)


def is_filled(name: str) -> bool:
    """Whether a name is that of a volume that only filling the bag tells."""
    return name in FILLED_NAMES


def is_taut(name: str) -> bool:
    """Whether a name is that of the height of a strap, which bends as a volume does."""
    return name in FINISHED and FINISHED[name].form is Form.TAUT


def matched_in(finished: Finished) -> tuple[str, ...]:
    """Names of the mismatches of a bag with these finished figures."""
    return tuple(name for name in MATCHED if finished[name] is not None)


def is_matched(name: str) -> bool:
    """Whether a name is that of a mismatch, which is kept at 0 unless that is released."""
    return name in MATCHED
