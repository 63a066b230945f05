"""Lengths of a file that are too small to be any: taken as 0, and told.

What is typed so small is refused. A file may hold what an earlier program let sums leave; where
the figure may be 0, that is what was meant. Where it may not, the model refuses it in words.
"""

from collections.abc import Iterator
from typing import Any, Final

import msgspec

from core.bag.figures import label_of
from core.bag.sample import SAMPLED
from core.bag.tables import CUT_FIGURES
from core.base.sentences import Sentence, listed
from core.base.tolerance import LEAST_LENGTH, is_sliver
from core.model.figures import Quantity
from core.parts.layers import Layer

_LABELS: Final = {
    **{f.name: f.label for f in CUT_FIGURES if f.quantity is Quantity.LENGTH and f.may_be_nothing},
    **{each.attribute: each.label for each in Layer.RANGES if each.may_be_nothing},
    **{name: label_of(name) for name in SAMPLED},
    "gap": "Gap",
}
"""Key of a record -> what the maker reads for the length that it holds, and that may be 0."""

_PLACES: Final = {
    "starting": "the starting bag",
    "variants": "variant {number}",
    "layers": "layer {number}",
    "goods": "material {number}",
    "sample": "the sample",
    "supplies board": "the board’s material",
    "supplies pocket": "the pocket’s material",
    "supplies handles": "the handles’ material",
}
"""Key of a record in a record, with the one that it stands under where that tells -> its name."""

_MOST_TOLD: Final = 6
"""Fields that one sentence names; of more it tells the number."""
_TOLD: Final = "{file} has a length below {least}, but not 0, for {fields}: taken as 0."


def take_slivers(record: msgspec.Struct) -> tuple[str, ...]:
    """Make every length of a record 0 that may be 0 and is too small to be a length.

    Args:
        record: of goods, or of a whole file with all that it holds; it is changed.

    Returns:
        What the maker reads for each, and where it stands: "Pressed thickness of layer 2".
    """
    return tuple(dict.fromkeys(_taken(record, "", ())))


def slivers_told(source: str, fields: tuple[str, ...]) -> Sentence | None:
    """That these fields of a file were too small and are 0 now; None where there are none."""
    if not fields:
        return None
    named = list(fields[:_MOST_TOLD])
    if len(fields) > _MOST_TOLD:
        named.append(f"{len(fields) - _MOST_TOLD} more")
    words = {"file": source, "fields": listed(named)}
    return Sentence(_TOLD, {"least": LEAST_LENGTH}, words)


def _taken(record: msgspec.Struct, under: str, within: tuple[str, ...]) -> Iterator[str]:
    """Args: under: the record's own key; within: names of the places that it stands in."""
    for key in record.__struct_fields__:
        value = getattr(record, key)
        if isinstance(value, msgspec.Struct):
            yield from _taken(value, key, _place(under, key, within))
        elif isinstance(value, list):
            for number, each in enumerate(value, 1):
                if isinstance(each, msgspec.Struct):
                    yield from _taken(each, key, _place(under, key, within, number))
        elif isinstance(value, dict):
            for name in filter(_LABELS.get, value):
                if _is_sliver(value[name]):
                    value[name] = 0.0
                    yield " of ".join((_LABELS[name], *within))
        elif key in _LABELS and _is_sliver(value):
            setattr(record, key, 0.0)
            yield " of ".join((_LABELS[key], *within))


def _place(under: str, key: str, within: tuple[str, ...], number: int = 0) -> tuple[str, ...]:
    """The places of a record that stands under a key, the nearest first."""
    name = _PLACES.get(key) or _PLACES.get(f"{under} {key}")
    return within if name is None else (name.format(number=number), *within)


def _is_sliver(value: Any) -> bool:
    return isinstance(value, float) and is_sliver(value)
