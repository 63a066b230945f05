"""Steps forward: what a file of an earlier version lacks, one version at a time."""

from collections.abc import Callable, Mapping
from typing import Any, Final

import msgspec

from core.goods.records import LATER_KEYS, goods_record
from core.parts.supplies import Supplies

Document = dict[str, Any]


def _from_1(document: Document) -> Document:
    """Version 2 keeps starting bag, variants, sample, pins, ticks and load beside the bag.

    It also tells how goods are bought and laid, and what is no layer.
    """
    return {
        "starting": None,
        "variants": [],
        "sample": None,
        "pinned": [],
        "corners_matched": True,
        "ticked": [],
        "load": None,
        "supplies": _supplies(),
        **_with_told_goods(document),
        "version": 2,
    }


def _from_2(document: Document) -> Document:
    """Version 3 keeps how many bags are made, and how their goods are cut."""
    making = {"bags": 1, "gap": 0.0, "cutting": "free", "folded": False}
    return {"making": making, **document, "version": 3}


def _supplies() -> Document:
    plain = Supplies()
    return {
        "board": msgspec.to_builtins(goods_record(plain.board)),
        "pocket": None,
        "handles": None,
        "zip_price": plain.zip_price,
        "spool_price": plain.spool_price,
        "spool_length": plain.spool_length,
        "clip_spacing": plain.clip_spacing,
    }


def _with_told_goods(document: Document) -> Document:
    """The document with the new keys in each layer; what has another shape is left alone.

    A bag that is shown in metric units is bought by the decimetre.
    """
    sandwich = document.get("sandwich")
    if not isinstance(sandwich, dict) or not isinstance(sandwich.get("layers"), list):
        return document
    told = {**LATER_KEYS}
    if document.get("shown_in") in ("mm", "cm"):
        told["sold_step"] = 100.0
    layers = [
        {**told, **layer} if isinstance(layer, dict) else layer for layer in sandwich["layers"]
    ]
    return {**document, "sandwich": {**sandwich, "layers": layers}}


STEPS: Final[Mapping[int, Callable[[Document], Document]]] = {1: _from_1, 2: _from_2}
"""Version -> the step to the version after it."""


def brought_forward(document: Document) -> Document:
    """A document of any version that is read, as one of the newest version.

    A step never changes the document that it is given.
    """
    while (step := STEPS.get(document["version"])) is not None:
        document = step(document)
    return document
