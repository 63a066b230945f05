"""From a tape measure to a pattern: of a bag on the table, and of a sewn sample.

Measurements of a soft bag contradict one another by some millimetres (flat width against
base width and depth). The pattern with matched corners that has the least squares of
differences is taken, and the difference that is left is shown for each measurement.

Take-up is what a sewn sample measures against its drawing. A thick sandwich turns round its
edges and comes out smaller than it is drawn. After a test sewing the factor of each direction is

    k is the sum of measured x drawn, over the sum of drawn squared

over the sizes measured in that direction (least squares through the origin; with one size it is
measured / drawn). To finish at a size S the pattern is drawn at S / k. Both are measured
outside; the inside is the sewn size less the wall, which is taken off once.

Limits: the factor holds for this sandwich, stitch and maker, and for sizes near the sample's; a
loss at edges does not grow with size as a factor does. Differences under about 3 mm are within
what a tape on a soft bag can tell.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import Result, compute, measure_walls
from core.bag.figures import MEASURABLE, label_of, matched_in
from core.bag.sewn_sample import Sample
from core.bag.tables import CUT_FIGURES
from core.base.errors import FieldError
from core.base.sentences import Sentence, mark, say
from core.base.tolerance import LEAST_LENGTH, same_length, shorter
from core.bodies.rounded import CORNER_RADIUS, CORNER_ROUNDING
from core.model.figures import NO_TAKE_UP, TakeUp, check_no_sliver
from core.redesign.least_change import Conditions, least_change
from core.redesign.redesign import Redesign, reach, redesign
from core.redesign.request import RedesignRequest
from core.redesign.variables import Variables, aims_of, open_variables

_WEAK = 1e4
"""How much less a size that was not measured counts: only to settle what is left open."""
_LARGEST = 10_000.0


@dataclass(frozen=True, slots=True)
class MeasuredFit:
    """A pattern fitted to measurements.

    Attributes:
        residuals: figure name -> measured less fitted, mm.
    """

    result: Result
    residuals: Mapping[str, float]

    @property
    def largest(self) -> float:
        """The largest difference left, mm."""
        return max((abs(each) for each in self.residuals.values()), default=0.0)


def fit(bag: Bag, measured: Mapping[str, float]) -> MeasuredFit:
    """Fit the body (and pocket and handles, where measured) of a bag to measurements.

    Args:
        bag: gives construction, allowances and whatever was not measured.
        measured: name of a figure that can be measured -> mm.

    A FieldError tells of a figure that this bag lacks or that cannot be measured, of a value that
    is no size, or of measurements that no bag comes near.
    """
    for name, value in measured.items():
        _check(bag, name, value)
    asked = measured
    if measured.get(CORNER_RADIUS.name) == 0.0:
        measured = {name: value for name, value in measured.items() if name != CORNER_RADIUS.name}
        bag = with_figures(bag, {CORNER_ROUNDING.name: 0.0})
    elif not shorter(measured.get(CORNER_RADIUS.name, 0.0), LEAST_LENGTH):
        # Square corners are of another shape than round ones, which no search goes over to.
        (shape, *_) = bag.body.shapes(measured)
        bag = with_figures(bag, bag.body.shaped(shape))
    now = measure_walls(bag)
    variables = open_variables(bag, now, {}, frozenset(measured))
    matched = dict.fromkeys(matched_in(now), 0.0)
    conditions = Conditions(tuple(matched), np.array(list(matched.values())), np.ones(len(matched)))
    solution = least_change(_aimed(variables, measured), conditions)
    if not solution.feasible:
        refused = say("Measurements: no bag whose seams match has sizes near these; measure again.")
        raise FieldError(refused, field="measurements", value=None)
    result = compute(reach(bag, now, variables, solution, frozenset(measured)))
    finished = result.finished
    left = {name: value - (finished[name] or 0.0) for name, value in asked.items()}
    return MeasuredFit(result, MappingProxyType(left))


def _check(bag: Bag, name: str, value: float) -> None:
    label = label_of(name)
    if name not in MEASURABLE or compute(bag).finished[name] is None:
        sentence = say("{label} cannot be measured on this bag.", terms={"label": label})
        raise FieldError(sentence, field=name, value=value)
    check_no_sliver(label, value, field=name)
    if name == CORNER_RADIUS.name and value == 0.0:
        return  # square corners
    if not 0.0 < value <= _LARGEST:
        lengths = {"low": 0.0, "high": _LARGEST}
        sentence = Sentence(
            mark("{label} is {value}: it must be more than {low}, and at most {high}."),
            lengths | ({"value": value} if math.isfinite(value) else {}),
            words={} if math.isfinite(value) else {"value": str(value)},
            terms={"label": label},
        )
        raise FieldError(sentence, field=name, value=value)


def _aimed(variables: Variables, measured: Mapping[str, float]) -> Variables:
    """The same unknowns, weighed by the measurements instead of by the present sizes."""
    names = (*measured, *variables.aims)
    home = np.concatenate([np.array(list(measured.values())), variables.home])
    scales = np.concatenate([np.ones(len(measured)), variables.scales * _WEAK])
    return replace(variables, aims=names, home=home, scales=scales)


def allow_for(bag: Bag, sample: Sample) -> Redesign:
    """Draw the pattern larger so that it is sewn to the sizes that it finishes at now.

    What was allowed for before is not counted twice: it is taken back in the same step. A
    ConflictError or FieldError says that there is no such pattern.
    """
    return _drawn_for(bag, replace(sample, allowed_for=True).take_up)


def drawn_for(bag: Bag, take_up: TakeUp) -> Bag:
    """The bag drawn for this take-up, in the sizes that it finishes at; itself where it is so.

    Raises as `allow_for`.
    """
    return bag if bag.take_up == take_up else _drawn_for(bag, take_up).bag


def take_back(bag: Bag) -> Redesign:
    """Draw the pattern in the sizes that it finishes at, with no take-up allowed for.

    Raises as `allow_for`.
    """
    return _drawn_for(bag, NO_TAKE_UP)


def _drawn_for(bag: Bag, take_up: TakeUp) -> Redesign:
    """Base, gusset, face and zip as they finish; the rest as near as it can be.

    The base board lies in the sewn bag: in the same sizes it stays the same.
    """
    finished = compute(bag).finished
    sizes = {name: finished[name] or 0.0 for name in aims_of(bag, finished)}
    wants = {name: value for name, value in sizes.items() if not shorter(value, LEAST_LENGTH)}
    matched = all(same_length(finished[name] or 0.0, 0.0) for name in matched_in(finished))
    lying = [figure.name for figure in CUT_FIGURES if figure.in_sewn_bag]
    holds = frozenset(name for name in lying if cut_value(bag, name) is not None)
    request = RedesignRequest(wants=wants, holds=holds, matched=matched)
    return redesign(replace(bag, take_up=take_up), request)
