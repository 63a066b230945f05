"""What a sheet of cloth allows: getting shorter freely, getting longer never.

A triangle of the sheet is judged by its gradient F, the 3x2 matrix that takes a step on
the flat pattern to a step in space. Arrays of them are (6, t) float: rows 0 to 2 are the
image of a unit step across (weft), rows 3 to 5 of a unit step along (warp).
"""

from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_ALIKE = 1e-12
"""Difference of squared stretches below which the two principal directions are alike."""


class Cloth(Enum):
    """Which lengths of the sheet cannot grow.

    NO_STRETCH bounds every direction: quilted, fused or coated sandwiches, paper, film.
    WOVEN bounds only the two thread directions: a single cloth that is free to shear.
    """

    NO_STRETCH = "no stretch in any direction"
    WOVEN = "no stretch along the threads"


def _metric(gradients: Floats) -> tuple[Floats, Floats, Floats]:
    """Entries (across, mixed, along) of F'F, each (t,)."""
    across, along = gradients[:3], gradients[3:]
    squares = np.einsum("it,it->t", across, across)
    mixed = np.einsum("it,it->t", across, along)
    return squares, mixed, np.einsum("it,it->t", along, along)


def _squared_stretches(across: Floats, mixed: Floats, along: Floats) -> tuple[Floats, Floats]:
    """Larger and smaller eigenvalue of F'F, each (t,)."""
    middle, half = (across + along) / 2, (across - along) / 2
    reach = np.sqrt(half * half + mixed * mixed)
    return middle + reach, np.maximum(middle - reach, 0.0)


def principal_stretches(gradients: Floats) -> tuple[Floats, Floats]:
    """Largest and smallest length over flat length of each triangle, each (t,)."""
    larger, smaller = _squared_stretches(*_metric(gradients))
    return np.sqrt(larger), np.sqrt(smaller)


def stretch(gradients: Floats, cloth: Cloth) -> float:
    """How much longer than flat the most stretched triangle is, as a share; may be < 0."""
    across, mixed, along = _metric(gradients)
    if cloth is Cloth.NO_STRETCH:
        worst = _squared_stretches(across, mixed, along)[0]
    else:
        worst = np.maximum(across, along)
    return float(np.sqrt(worst.max())) - 1.0


def allowed(gradients: Floats, cloth: Cloth) -> Floats:
    """The nearest gradients that the sheet can have, (6, t).

    NO_STRETCH cuts the singular values of each F off at 1. Being the same function of
    F'F for both, that is F(p + q F'F) with the p and q that take either eigenvalue to
    its shortening; no singular vectors are needed. WOVEN shortens each column alone.
    """
    across, mixed, along = _metric(gradients)
    if cloth is Cloth.WOVEN:
        shrink = np.concatenate((np.maximum(across, 1.0), np.maximum(along, 1.0)))
        shrink = (1.0 / np.sqrt(shrink)).reshape(2, 1, -1)
        shorter: Floats = (gradients.reshape(2, 3, -1) * shrink).reshape(6, -1)
        return shorter
    larger, smaller = _squared_stretches(across, mixed, along)
    keep_larger = 1.0 / np.sqrt(np.maximum(larger, 1.0))
    keep_smaller = 1.0 / np.sqrt(np.maximum(smaller, 1.0))
    apart = larger - smaller
    q = (keep_larger - keep_smaller) / np.maximum(apart, _ALIKE)
    p = keep_larger - q * larger
    nearest = np.empty_like(gradients)
    mixed = q * mixed
    nearest[:3] = (p + q * across) * gradients[:3] + mixed * gradients[3:]
    nearest[3:] = (p + q * along) * gradients[3:] + mixed * gradients[:3]
    return nearest
