"""How near is the same, and how small is nothing: the named tolerances of the whole program, mm."""

LENGTH_TOLERANCE = 1e-6
"""Lengths nearer than this are one length: a thousand times finer than any cutter."""

LEAST_LENGTH = 0.01
"""A length is 0 or at least this: a tenth of the finest thread, and the last digit that is shown
(own choice). What is less is a slip of the keyboard or what a sum has left."""


def same_length(one: float, other: float) -> bool:
    """Whether two lengths (mm) differ by no more than `LENGTH_TOLERANCE`."""
    return abs(one - other) <= LENGTH_TOLERANCE


def shorter(one: float, other: float) -> bool:
    """Whether a length (mm) is below another by more than `LENGTH_TOLERANCE`.

    Limits are asked this way, because inches rarely come out even in mm: what lies a hair
    to either side of a limit lies at it.
    """
    return one < other - LENGTH_TOLERANCE


def is_sliver(length: float) -> bool:
    """Whether a length (mm, of either sign) is too small to be one, and yet not 0."""
    return length != 0.0 and shorter(abs(length), LEAST_LENGTH)


def clean_number(value: float | None) -> float | None:
    """As a file tells it: without float noise, 0.0 rather than -0.0; a count stays whole.

    Nine places: a picometre, far below any cut and above float noise.
    """
    return value if value is None or isinstance(value, int) else round(value, 9) + 0.0


def without_sliver(length: float) -> float:
    """The length, mm; 0 where it is a sliver."""
    return 0.0 if is_sliver(length) else length
