"""Steps forward: what a file of an earlier version lacks, one version at a time."""

from collections.abc import Callable, Mapping
from typing import Any, Final

Document = dict[str, Any]


def _from_1(document: Document) -> Document:
    """Version 2 keeps a starting bag, variants, a sample, pins and ticks beside the bag."""
    return {
        "starting": None,
        "variants": [],
        "sample": None,
        "pinned": [],
        "corners_matched": True,
        "ticked": [],
        **document,
        "version": 2,
    }


STEPS: Final[Mapping[int, Callable[[Document], Document]]] = {1: _from_1}
"""Version -> the step to the version after it."""


def brought_forward(document: Document) -> Document:
    """A document of any version that is read, as one of the newest version.

    A step never changes the document that it is given.
    """
    while (step := STEPS.get(document["version"])) is not None:
        document = step(document)
    return document
