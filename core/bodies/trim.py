"""The front trim of a new body that a zip comes to lie on. Lengths are mm."""

from core.base.tolerance import shorter
from core.site.owner import Surround


def usual_trim(around: Surround, length: float) -> float:
    """The trim that keeps the zip as far from the top fold as it is in the bag around the body.

    A zip that has no such offset yet clears the top fold by a seam. 0 where that would take a
    quarter of a face of this length, or where nothing lies on the front.
    """
    offset, site = around.finished.get("zip_offset"), around.site
    usual = site.shows / 2 + site.mouth.allowance if site.shows > 0.0 else 0.0
    trim = 2 * (usual if offset is None else offset)
    return trim if shorter(trim, length / 4) else 0.0
