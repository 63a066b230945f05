"""The sentences of a bag file that cannot be read or written."""

from typing import Annotated, Any, Final, Literal, get_args

import msgspec
from msgspec import Meta

from core.bag.bag import Bag
from core.bag.parts import Parts
from core.base.errors import (
    BAG_NAME,
    GOODS_NAME,
    ROLE,
    ZIP_COLOUR,
    ZIP_GAUGE,
    BagFileError,
    FieldError,
)
from core.base.sentences import Sentence, say
from core.base.units import Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.piece import GrainTurn
from core.model.figures import CutFigure
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.handles.handles import Handles, HandleStyle
from core.parts.layers import Layer, Sandwich
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.parts.supplies import Supplies
from core.tops.top import Top
from core.tops.zip_forward.zip import Hem, ZipForward

TOO_LARGE: Final = "{file} is too large: a bag file has at most 1 MB."
NO_BACKUP: Final = (
    "{file} was saved, but no backup of its earlier contents could be kept: {reason}."
)
NOT_A_BAG: Final = "{file} is not a bag file: choose one that was saved by this program."
DAMAGED: Final = "{file} is damaged and cannot be read: open an older copy of it."
TOO_DEEP: Final = "it is nested too deeply"
CUT_OFF: Final = "{file} is cut off: its end is missing."
NOT_OURS: Final = "it holds JSON of another kind"
TWICE: Final = "{file}: {field} appears twice: keep only one."
NO_NUMBER: Final = (
    "{file}: {field} must be an ordinary number, not NaN, infinite or larger than a number can be."
)
NO_TEXT: Final = "{file}: {field} has characters that cannot be read as text."


def trouble(template: str, *, detail: str = "", **words: str) -> BagFileError:
    """The error that says this; `words` fill the gaps of the template and of its detail."""
    said = Sentence(detail, words=words) if detail else None
    return BagFileError(Sentence(template, words=words), said)


def printable(text: str) -> str:
    """A foreign text as part of a message: on one line, and not a long one."""
    return on_one_line(text if len(text) <= 80 else text[:77] + "...")


def on_one_line(text: str) -> str:
    """A text without the signs that would break or steer a line."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)


# --- records ---
# Goods as records in files, and back. Lengths are mm.


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
        return Layer(**values | {"turn": GrainTurn(record.turn)})
    except FieldError as error:
        sentence = say("{which}: {told}", terms={"told": error.sentence}, words={"which": which})
        raise FieldError(sentence, field=error.field, value=error.value) from error


# --- records ---
# The records of a bag in its file, and the model's parts as records and back.
#
# The records are the file; the parts of `core.parts` are the model. Lengths are mm.


UnitWord = Literal["in", "mm", "cm"]
FacesWord = Literal["front", "back", "both"]
StyleWord = Literal["loop", "two separate"]
BoardWord = Literal["laid-in", "fused"]
CuttingWord = Literal["free", "rows"]


class PanelRecord(msgspec.Struct, kw_only=True):
    """The panel; a bottom_seam of 0 means that the bottom is a fold."""

    panel_width: Mm
    panel_length: Mm
    front_trim: Mm
    corner_cut_width: Mm
    corner_cut_depth: Mm
    side_seam: Mm
    corner_seam: Mm
    zip_seam: Mm
    bottom_seam: Mm


class ZipRecord(msgspec.Struct, kw_only=True, tag_field="kind", tag="zip"):
    """A closure with a zip."""

    zip_tape_width: Mm
    zip_length: Mm
    gauge: Annotated[str, Meta(extra_json_schema=ZIP_GAUGE.schema)]
    colour: Annotated[str, Meta(extra_json_schema=ZIP_COLOUR.schema)]
    by_length: Annotated[bool, Meta(description="Cut off a roll rather than sold ready made.")]


class OpenTopRecord(msgspec.Struct, kw_only=True, tag_field="kind", tag="open top"):
    """No zip: the top is hemmed by the panel's zip_seam."""


class PocketRecord(msgspec.Struct, kw_only=True):
    """The pocket on one face or both."""

    faces: FacesWord
    pocket_cut_height: Mm
    pocket_drop: Mm
    pocket_seam: Mm


class HandlesRecord(msgspec.Struct, kw_only=True):
    """The handles."""

    style: StyleWord
    handle_width: Mm
    handle_gap: Mm
    handle_stop: Mm
    handle_strips: Annotated[int, Meta(description="How many strips are joined.")]
    handle_last_strip: Annotated[
        float | None, Meta(description="Cut length, mm; null: as long as the others.")
    ]
    handle_leg: Mm


class BoardRecord(msgspec.Struct, kw_only=True):
    """The base board."""

    board_width: Mm
    board_depth: Mm
    way: Annotated[BoardWord, Meta(description="How it gets into the bottom.")]


class SandwichRecord(msgspec.Struct, kw_only=True):
    """The layers, outermost first, and how they are sewn."""

    baste_line: Mm
    foot_clearance: Mm
    layers: list[GoodsRecord]


class SuppliesRecord(msgspec.Struct, kw_only=True):
    """Goods that are no layer, and what notions cost."""

    board: GoodsRecord
    pocket: Annotated[GoodsRecord | None, Meta(description="null: the outer layer's goods.")]
    handles: Annotated[GoodsRecord | None, Meta(description="null: the outer layer's goods.")]
    zip_price: Annotated[float, Meta(description="Money for one zip.")]
    zip_lengths: Annotated[
        list[Mm] | None,
        Meta(description="Lengths in which zips are sold; null: the usual ones."),
    ]
    spool_price: Annotated[float, Meta(description="Money for one spool of thread.")]
    spool_length: Mm
    clip_spacing: Mm


class BagRecord(msgspec.Struct, kw_only=True):
    """One bag."""

    name: Annotated[str, Meta(extra_json_schema=BAG_NAME.schema)]
    shown_in: Annotated[UnitWord, Meta(description="Unit that the bag is shown and typed in.")]
    panel: PanelRecord
    closure: ZipRecord | OpenTopRecord
    pocket: PocketRecord | None
    handles: HandlesRecord | None
    board: BoardRecord | None
    sandwich: SandwichRecord
    supplies: SuppliesRecord


def record_of(bag: Bag) -> BagRecord:
    """A bag as the records that are written."""
    return BagRecord(**fields_of(bag))


def fields_of(bag: Bag) -> dict[str, Any]:
    """A bag as the fields of its record."""
    pocket, handles, board = Pocket.of(bag.parts), Handles.of(bag.parts), BaseBoard.of(bag.parts)
    return {
        "name": bag.name,
        "shown_in": bag.unit.value,
        "panel": PanelRecord(**_named(bag.body, BoxedPanel.FIGURES)),
        "closure": _closure_record(bag.top),
        "pocket": None if pocket is None else _pocket_record(pocket),
        "handles": None if handles is None else _handles_record(handles),
        "board": None if board is None else _board_record(board),
        "sandwich": SandwichRecord(
            layers=[goods_record(layer) for layer in bag.sandwich.layers],
            **_named(bag.sandwich, Sandwich.FIGURES),
        ),
        "supplies": _supplies_record(bag.supplies),
    }


def _closure_record(closure: Top) -> ZipRecord | OpenTopRecord:
    if not isinstance(closure, ZipForward):
        return OpenTopRecord()
    figures = _named(closure, ZipForward.FIGURES)
    return ZipRecord(
        gauge=closure.gauge, colour=closure.colour, by_length=closure.by_length, **figures
    )


def _pocket_record(pocket: Pocket) -> PocketRecord:
    return PocketRecord(faces=pocket.faces.value, **_named(pocket, Pocket.FIGURES))


def _handles_record(handles: Handles) -> HandlesRecord:
    return HandlesRecord(style=handles.style.value, **_named(handles, Handles.FIGURES))


def _board_record(board: BaseBoard) -> BoardRecord:
    return BoardRecord(way=board.way.value, **_named(board, BaseBoard.FIGURES))


def _supplies_record(supplies: Supplies) -> SuppliesRecord:
    pocket, handles, lengths = supplies.pocket, supplies.handles, supplies.zip_lengths
    return SuppliesRecord(
        board=goods_record(supplies.board),
        pocket=None if pocket is None else goods_record(pocket),
        handles=None if handles is None else goods_record(handles),
        zip_price=supplies.zip_price,
        zip_lengths=None if lengths is None else list(lengths),
        spool_price=supplies.spool_price,
        spool_length=supplies.spool_length,
        clip_spacing=supplies.clip_spacing,
    )


def _named(part: object, figures: tuple[CutFigure, ...]) -> dict[str, Any]:
    """A part's values by the fixed names of its figures."""
    return {figure.name: getattr(part, figure.attribute) for figure in figures}


def bag_of(record: BagRecord) -> Bag:
    """The model of a bag's records.

    Raises:
        FieldError: the model refuses a value.
    """
    pocket, handles, board = record.pocket, record.handles, record.board
    parts = (
        None if pocket is None else _pocket(pocket),
        None if handles is None else _handles(handles),
        None if board is None else _board(board),
    )
    return Bag(
        name=record.name,
        unit=Unit(record.shown_in),
        body=BoxedPanel(**_values(record.panel, BoxedPanel.FIGURES)),
        top=_closure(record.closure),
        parts=Parts(part for part in parts if part is not None),
        sandwich=Sandwich(
            layers=tuple(
                goods_of(layer, which=f"layer {number}")
                for number, layer in enumerate(record.sandwich.layers, 1)
            ),
            **_values(record.sandwich, Sandwich.FIGURES),
        ),
        supplies=_supplies(record.supplies),
    )


def _closure(record: ZipRecord | OpenTopRecord) -> Top:
    if isinstance(record, OpenTopRecord):
        return Hem()
    return ZipForward(
        gauge=record.gauge,
        colour=record.colour,
        by_length=record.by_length,
        **_values(record, ZipForward.FIGURES),
    )


def _pocket(record: PocketRecord) -> Pocket:
    return Pocket(faces=PocketFaces(record.faces), **_values(record, Pocket.FIGURES))


def _handles(record: HandlesRecord) -> Handles:
    return Handles(style=HandleStyle(record.style), **_values(record, Handles.FIGURES))


def _board(record: BoardRecord) -> BaseBoard:
    return BaseBoard(way=BoardWay(record.way), **_values(record, BaseBoard.FIGURES))


def _supplies(record: SuppliesRecord) -> Supplies:
    pocket, handles, lengths = record.pocket, record.handles, record.zip_lengths
    return Supplies(
        board=goods_of(record.board, which="material of the board"),
        pocket=None if pocket is None else goods_of(pocket, which="material of the pocket"),
        handles=None if handles is None else goods_of(handles, which="material of the handles"),
        zip_price=record.zip_price,
        zip_lengths=None if lengths is None else tuple(lengths),
        spool_price=record.spool_price,
        spool_length=record.spool_length,
        clip_spacing=record.clip_spacing,
    )


def _values(record: msgspec.Struct, figures: tuple[CutFigure, ...]) -> dict[str, Any]:
    """A record's values by the attributes of the part that it becomes."""
    return {figure.attribute: getattr(record, figure.name) for figure in figures}
