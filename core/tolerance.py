"""How near is the same: the named tolerances of the whole program, mm."""

LENGTH_TOLERANCE = 1e-6
"""Lengths nearer than this are one length: a thousand times finer than any cutter."""


def same_length(one: float, other: float) -> bool:
    """Whether two lengths (mm) differ by no more than `LENGTH_TOLERANCE`."""
    return abs(one - other) <= LENGTH_TOLERANCE


def shorter(one: float, other: float) -> bool:
    """Whether a length (mm) is below another by more than `LENGTH_TOLERANCE`.

    Limits are asked this way, because inches rarely come out even in mm: what lies a hair
    to either side of a limit lies at it.
    """
    return one < other - LENGTH_TOLERANCE
