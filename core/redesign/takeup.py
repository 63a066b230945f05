"""Take-up: what a sewn sample measures against its drawing, and allowing for it.

A thick sandwich turns round its edges and comes out smaller than it is drawn. After a
test sewing the factor of each direction is

    k = sum(measured * drawn) / sum(drawn ** 2)

over the sizes measured in that direction (least squares through the origin; with one
size it is measured / drawn). To finish at a size S the pattern is drawn at S / k.

Limits: the factor holds for this sandwich, stitch and maker, and for sizes near the
sample's; a loss at edges does not grow with size as a factor does. Differences under
about 3 mm are within what a tape on a soft bag can tell.
"""

from collections.abc import Mapping

from core.bag import Bag
from core.compute import compute
from core.redesign.sample import SAMPLE_FIGURES, Direction, Sample
from core.redesign.solve import Redesign, redesign
from core.redesign.wants import Request


def sample_of(bag: Bag, measured: Mapping[str, float]) -> Sample:
    """A sample sewn from this bag's pattern.

    Raises:
        FieldError: a value that cannot be a measurement of it.
    """
    finished = compute(bag).finished
    drawn = {name: value for name in SAMPLE_FIGURES if (value := finished[name]) is not None}
    return Sample(drawn=drawn, measured=dict(measured))


def allow_for(bag: Bag, sample: Sample) -> Redesign:
    """Draw the pattern larger so that it finishes at the sizes that it is drawn at now.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _scaled(bag, {way: 1.0 / sample.factor(way) for way in Direction})


def take_back(bag: Bag, sample: Sample) -> Redesign:
    """Undo `allow_for` on a bag that may have been redrawn since.

    Raises:
        ConflictError, FieldError: there is no such pattern.
    """
    return _scaled(bag, {way: sample.factor(way) for way in Direction})


def _scaled(bag: Bag, factors: Mapping[Direction, float]) -> Redesign:
    """Base, gusset and face by their factors; the rest as near as it can be."""
    finished = compute(bag).finished
    sizes = ("base_width", "gusset_depth", "face_height")
    wants = {
        name: value * factors[SAMPLE_FIGURES[name]]
        for name in sizes
        if (value := finished[name]) is not None and value > 0.0
    }
    return redesign(bag, Request(wants=wants))
