"""What files of earlier versions lack, one step forward at a time: literals of their time.

Nothing here may follow the model: a file of an earlier version always means the same.
"""

import math
from collections.abc import Callable, Mapping
from typing import Any, Final

JsonObject = dict[str, Any]

SINCE_2: Final[Mapping[str, Any]] = {
    "name": "",
    "sold_step": 114.3,
    "in_sheets": False,
    "turn": "quarter turns",
    "shrink_length": 0.0,
    "shrink_width": 0.0,
    "cut_washed": True,
}
"""Keys of goods since version 2 of bag files."""

_INSULATING: Final = ("insulat", "thermal", "wadding", "batting")
_FUSIBLE: Final = ("interfacing", "fusible")
_WIPE_CLEAN: Final = ("wipe", "laminat")


def with_told_uses(goods: object) -> object:
    """Goods of bag files before version 4, told apart by words: what they are good for.

    Those files said so only by the words of the role, which was read for them. Anything that is
    no record of goods is left alone.
    """
    if not isinstance(goods, dict):
        return goods
    role = str(goods.get("role", "")).lower()
    told = {
        "insulating": any(word in role for word in _INSULATING),
        "fusible": any(word in role for word in _FUSIBLE) and goods.get("melts") is not True,
        "wipe_clean": any(word in role for word in _WIPE_CLEAN),
        "laid_last": False,
    }
    return {**told, **goods}


def _from_1(document: JsonObject) -> JsonObject:
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


def _from_2(document: JsonObject) -> JsonObject:
    """Version 3 keeps how many bags are made, and how their goods are cut."""
    making = {"bags": 1, "gap": 0.0, "cutting": "free", "folded": False}
    return {"making": making, **document, "version": 3}


def _from_3(document: JsonObject) -> JsonObject:
    """Version 4 tells what layers are good for, how zips are sold, boards laid, strips joined.

    The strips' own length, which was a second figure beside the width of their goods, is gone:
    the loop stays as long as it was, of strips as long as the goods are wide and a last one.
    Panel and pocket keep one grain.
    """
    changed: JsonObject = {"version": 4}
    making = document.get("making")
    if isinstance(making, dict):
        changed["making"] = {"mixed_grain": False, **making}
    return {**_bag_from_3(document), **changed, **_kept(document, _bag_from_3)}


def _kept(document: JsonObject, step: Callable[[JsonObject], JsonObject]) -> JsonObject:
    """Starting bag and variants after a step; what has another shape is left alone."""

    def stepped(kept: object) -> object:
        if not isinstance(kept, dict) or not isinstance(kept.get("bag"), dict):
            return kept
        return {**kept, "bag": step(kept["bag"])}

    found: JsonObject = {}
    if isinstance(starting := document.get("starting"), dict):
        found["starting"] = stepped(starting)
    if isinstance(variants := document.get("variants"), list):
        found["variants"] = [stepped(each) for each in variants]
    return found


def _bag_from_3(bag: JsonObject) -> JsonObject:
    """A bag as version 4 writes it; what has another shape is left alone."""
    changed: JsonObject = {}
    sandwich, supplies, board = bag.get("sandwich"), bag.get("supplies"), bag.get("board")
    closure = bag.get("closure")
    if isinstance(sandwich, dict) and isinstance(sandwich.get("layers"), list):
        layers = [with_told_uses(layer) for layer in sandwich["layers"]]
        changed["sandwich"] = {**sandwich, "layers": _lining_last(layers)}
    if isinstance(supplies, dict):
        goods = {
            name: supplies[name] for name in ("board", "pocket", "handles") if name in supplies
        }
        changed["supplies"] = {
            "zip_lengths": None,
            **supplies,
            **{name: with_told_uses(each) for name, each in goods.items()},
        }
    if isinstance(board, dict):
        changed["board"] = {"way": "laid-in", **board}
    if isinstance(closure, dict) and closure.get("kind") == "zip":
        changed["closure"] = {"by_length": False, **closure}
    changed = {**bag, **changed}
    return changed | _strips_from_3(changed)


def _lining_last(layers: list[object]) -> list[object]:
    """A lining that is wiped or that melts goes in after what is sewn on."""
    *others, lining = layers or [None]
    if not others or not isinstance(lining, dict):
        return layers
    last = lining.get("wipe_clean") is True or lining.get("melts") is True
    return [*others, {**lining, "laid_last": last}]


_JOIN = 6.35
_MOST_STRIPS = 60


def _strips_from_3(bag: JsonObject) -> JsonObject:
    """Handles without a strip length of their own, and with the same loop.

    Where the goods cannot give that loop, the handles are cut from goods of their own that are
    as wide as the strips were long.
    """
    handles = bag.get("handles")
    if not isinstance(handles, dict) or "goods_width" not in handles:
        return {}
    length, strips = handles["goods_width"], handles.get("handle_strips")
    plain = {
        "handle_last_strip": None,
        **{key: value for key, value in handles.items() if key != "goods_width"},
    }
    goods = _goods_of_strips(bag)
    if goods is None or not _is_number(length) or not _is_count(strips):
        return {"handles": {**plain, "handle_last_strip": length}}
    whole = goods["usable_width"] * (1 - goods["shrink_width"])
    if abs(whole - length) < 1e-6:
        return {"handles": plain}
    loop, each = strips * (length - 2 * _JOIN), whole - 2 * _JOIN
    count = math.ceil(loop / each - 1e-9) if each > 0.0 else 0
    if 1 <= count <= _MOST_STRIPS:
        last = loop - (count - 1) * each + 2 * _JOIN
        full = abs(last - whole) < 1e-6
        told = {"handle_strips": count, "handle_last_strip": None if full else last}
        return {"handles": {**plain, **told}}
    own = {**goods, "usable_width": length, "shrink_width": 0.0}
    return {"handles": plain, "supplies": {**bag["supplies"], "handles": own}}


def _goods_of_strips(bag: JsonObject) -> JsonObject | None:
    """The record of the goods that strips are cut from; None where there is no sound one."""
    supplies, sandwich = bag.get("supplies"), bag.get("sandwich")
    if not isinstance(supplies, dict) or not isinstance(sandwich, dict):
        return None
    layers = sandwich.get("layers")
    own = supplies.get("handles")
    goods = own if own is not None else layers[0] if isinstance(layers, list) and layers else None
    if not isinstance(goods, dict):
        return None
    sizes = (goods.get("usable_width"), goods.get("shrink_width"))
    return goods if all(_is_number(size) for size in sizes) else None


def _is_number(value: object) -> bool:
    """Whether it is a number of a size that can be reckoned with; 1e400 is read as infinite."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e9


def _is_count(value: object) -> bool:
    """Whether it is a number of which there are no halves: any other is left to be refused."""
    return isinstance(value, int) and _is_number(value)


def _supplies() -> JsonObject:
    """What a bag of version 1 took besides its layers: literals, whatever is usual today."""
    return {
        "board": {
            "role": "base board",
            "name": "polypropylene sheet",
            "thickness": 1.5,
            "pressed": 1.5,
            "mass_per_area": 1350.0,
            "usable_width": 508.0,
            "sold_step": 762.0,
            "in_sheets": True,
            "price_per_length": 0.0,
            "one_way": False,
            "turn": "quarter turns",
            "shrink_length": 0.0,
            "shrink_width": 0.0,
            "cut_washed": True,
            "melts": True,
        },
        "pocket": None,
        "handles": None,
        "zip_price": 0.0,
        "spool_price": 0.0,
        "spool_length": 200_000.0,
        "clip_spacing": 50.8,
    }


def _with_told_goods(document: JsonObject) -> JsonObject:
    """The document with the new keys in each layer; what has another shape is left alone.

    A bag that is shown in metric units is bought by the decimetre.
    """
    sandwich = document.get("sandwich")
    if not isinstance(sandwich, dict) or not isinstance(sandwich.get("layers"), list):
        return document
    told = {**SINCE_2}
    if document.get("shown_in") in ("mm", "cm"):
        told["sold_step"] = 100.0
    layers = [
        {**told, **layer} if isinstance(layer, dict) else layer for layer in sandwich["layers"]
    ]
    return {**document, "sandwich": {**sandwich, "layers": layers}}


_TOPS_4 = {"zip": "zip-forward", "open top": "hem"}
_PARTS_4 = {"pocket": "pocket", "handles": "strips", "board": "board"}
_NOTHING_4 = 0.009_999
"""A length that version 4 read as 0, mm."""


def _from_4(document: JsonObject) -> JsonObject:
    """Version 5 says of body, top and parts of what kind they are; a part that is not there is not.

    A bottom is a fold or a seam, and only a seam has an allowance; every corner was cut out, and
    stops lay as far down the back as the front.
    """
    return {**_bag_from_4(document), "version": 5, **_kept(document, _bag_from_4)}


def _bag_from_4(bag: JsonObject) -> JsonObject:
    """A bag in the words of version 5; what has another shape is left alone, to be refused."""
    changed = {key: value for key, value in bag.items() if key not in ("panel", "closure")}
    if "panel" in bag:
        changed["body"] = _body_from_4(bag["panel"])
    if "closure" in bag:
        changed["top"] = _top_from_4(bag["closure"])
    for slot, kind in _PARTS_4.items():
        if isinstance(bag.get(slot), dict):
            changed[slot] = {**bag[slot], "kind": kind}
    if "handles" in changed and isinstance(changed["handles"], dict):
        changed["handles"] = {**changed["handles"], "handle_back_lower": 0.0}
    return changed


def _body_from_4(panel: object) -> object:
    if not isinstance(panel, dict):
        return panel
    seam, told = panel.get("bottom_seam"), {"kind": "boxed-panel", "corners": "cut"}
    if isinstance(seam, int | float) and _is_number(seam) and abs(seam) < _NOTHING_4:
        rest = {key: value for key, value in panel.items() if key != "bottom_seam"}
        return {**rest, **told, "bottom": "fold"}
    return {**panel, **told, "bottom": "seam"}


def _top_from_4(closure: object) -> object:
    if not isinstance(closure, dict) or not isinstance(closure.get("kind"), str):
        return closure
    return {**closure, "kind": _TOPS_4.get(closure["kind"], closure["kind"])}


STEPS: Final[Mapping[int, Callable[[JsonObject], JsonObject]]] = {
    1: _from_1,
    2: _from_2,
    3: _from_3,
    4: _from_4,
}
"""Version -> the step to the version after it."""


def brought_forward(document: JsonObject) -> JsonObject:
    """A document of any version that is read, as one of the newest version.

    A step never changes the document that it is given.
    """
    while (step := STEPS.get(document["version"])) is not None:
        document = step(document)
    return document
