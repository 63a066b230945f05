"""Take-up: what a sewn sample measures against its drawing, and allowing for it.

A thick sandwich turns round its edges and comes out smaller than it is drawn. After a
test sewing the factor of each direction is

    k = sum(measured * drawn) / sum(drawn ** 2)

over the sizes measured in that direction (least squares through the origin; with one
size it is measured / drawn). To finish at a size S the pattern is drawn at S / k. Both are
measured outside; the inside is the sewn size less the wall, which is taken off once.

Limits: the factor holds for this sandwich, stitch and maker, and for sizes near the
sample's; a loss at edges does not grow with size as a factor does. Differences under
about 3 mm are within what a tape on a soft bag can tell.
"""

from collections.abc import Mapping
from dataclasses import replace

from core.bag import Bag
from core.compute import compute
from core.parts.take_up import NO_TAKE_UP, TakeUp
from core.redesign.rounding import BOARD
from core.redesign.sample import SAMPLE_FIGURES, Sample
from core.redesign.solve import Redesign, redesign
from core.redesign.wants import MATCHED, Request
from core.tolerance import LEAST_LENGTH, same_length, shorter

_SIZES = ("base_width", "gusset_depth", "face_height", "zip_offset")


def sample_of(bag: Bag, measured: Mapping[str, float]) -> Sample:
    """A sample sewn from this bag's pattern.

    Raises:
        FieldError: a value that cannot be a measurement of it.
    """
    drawn = compute(bag).drawn
    known = {name: value for name in SAMPLE_FIGURES if (value := drawn[name]) is not None}
    return Sample(drawn=known, measured=dict(measured))


def allow_for(bag: Bag, sample: Sample) -> Redesign:
    """Draw the pattern larger so that it is sewn to the sizes that it finishes at now.

    What was allowed for before is not counted twice: it is taken back in the same step.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _drawn_for(bag, replace(sample, allowed_for=True).take_up)


def take_back(bag: Bag) -> Redesign:
    """Draw the pattern in the sizes that it finishes at, with no take-up allowed for.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _drawn_for(bag, NO_TAKE_UP)


def _drawn_for(bag: Bag, take_up: TakeUp) -> Redesign:
    """Base, gusset, face and zip as they finish; the rest as near as it can be.

    The base board lies in the sewn bag: in the same sizes it stays the same.
    """
    finished = compute(bag).finished
    sizes = {name: value for name in _SIZES if (value := finished[name]) is not None}
    wants = {name: value for name, value in sizes.items() if not shorter(value, LEAST_LENGTH)}
    mismatch = finished[MATCHED]
    matched = mismatch is None or same_length(mismatch, 0.0)
    holds = frozenset(BOARD) if bag.board is not None else frozenset[str]()
    request = Request(wants=wants, holds=holds, matched=matched)
    return redesign(replace(bag, take_up=take_up), request)
