"""Goods as records in files, and back. Lengths are mm."""

from typing import Annotated, Final, Literal, get_args

import msgspec
from msgspec import Meta

from core.errors import FieldError, Sentence
from core.flat.piece import Turn
from core.parts.layers import Layer
from core.texts import GOODS_NAME, ROLE

Mm = Annotated[float, Meta(description="Length, mm: 0 or at least 0.01.")]
Share = Annotated[float, Meta(description="Share of the material as bought, 0 to 0.5.")]
TurnWord = Literal["never", "half turn", "quarter turns"]

TURN_WORDS: Final[tuple[str, ...]] = get_args(TurnWord)


class GoodsRecord(msgspec.Struct, kw_only=True):
    """Goods, and what they do in a bag."""

    role: Annotated[str, Meta(extra_json_schema=ROLE.schema)]
    name: Annotated[str, Meta(extra_json_schema=GOODS_NAME.schema)]
    thickness: Mm
    pressed: Annotated[float, Meta(description="Thickness under the presser foot, mm.")]
    mass_per_area: Annotated[float, Meta(description="Mass, g/m2.")]
    usable_width: Annotated[float, Meta(description="As bought, without its edges, mm.")]
    sold_step: Annotated[float, Meta(description="Sold in whole steps of this length, mm.")]
    in_sheets: Annotated[bool, Meta(description="One step is one sheet; pieces stay on one.")]
    price_per_length: Annotated[float, Meta(description="Money for 1 mm of length.")]
    one_way: bool
    turn: Annotated[TurnWord, Meta(description="How far pieces may be turned.")]
    shrink_length: Share
    shrink_width: Share
    cut_washed: Annotated[bool, Meta(description="Cut from washed goods, or else cut larger.")]
    melts: Annotated[bool, Meta(description="A hot iron harms it.")]
    insulating: Annotated[bool, Meta(description="Keeps what is carried cold or warm.")]
    fusible: Annotated[bool, Meta(description="An iron glues it on.")]
    wipe_clean: Annotated[bool, Meta(description="Has a film that needle holes would spoil.")]
    laid_last: Annotated[bool, Meta(description="Basted in after pocket and handles are sewn on.")]


def goods_record(layer: Layer) -> GoodsRecord:
    """Goods as the record that is written."""
    values = {key: getattr(layer, key) for key in GoodsRecord.__struct_fields__}
    return GoodsRecord(**values | {"turn": layer.turn.value})


def goods_of(record: GoodsRecord, *, which: str) -> Layer:
    """The goods of a record.

    Args:
        record: as read.
        which: what they are called in a complaint, e.g. "layer 2".

    Raises:
        FieldError: the model refuses a value.
    """
    values = {key: getattr(record, key) for key in GoodsRecord.__struct_fields__}
    try:
        return Layer(**values | {"turn": Turn(record.turn)})
    except FieldError as error:
        told = error.sentence
        sentence = Sentence(
            "{which}: " + told.template, told.lengths, {**told.words, "which": which}
        )
        raise FieldError(sentence, field=error.field, value=error.value) from error
