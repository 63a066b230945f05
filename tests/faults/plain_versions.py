"""What files of earlier versions did not tell, put in apart from `core.storage.migrations`.

What stands here is how those versions worked, in fractions where lengths are reckoned.
"""

import json
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

Document = dict[str, Any]
NEWEST = 5
_FILES = Path(__file__).parents[1] / "files"
_SINCE_2: Document = {
    "name": "",
    "sold_step": 114.3,
    "in_sheets": False,
    "turn": "quarter turns",
    "shrink_length": 0.0,
    "shrink_width": 0.0,
    "cut_washed": True,
}
_NO_ENTRY = object()
_SINCE_4 = ("insulating", "fusible", "wipe_clean", "laid_last")
_JOIN = Fraction(635, 100)
"""mm: the seam that joins strips, 1/4 in, or turns in their ends."""


class Reckoned(float):
    """A length that follows from others: the program has it but for rounding."""


def brought_forward(document: Document) -> Document:
    """A file of an earlier version with what it did not tell; one of the newest as it is."""
    version = document["version"]
    if version == NEWEST:
        return document
    if version == 4:
        return _in_words_of_5(document)
    told: Document = {}
    if version < 2:
        told |= {"starting": None, "variants": [], "sample": None, "pinned": [], "load": None}
        told |= {"corners_matched": True, "ticked": [], "supplies": _supplies_before_2()}
    if version < 3:
        told |= {"making": {"bags": 1, "gap": 0.0, "cutting": "free", "folded": False}}
    whole = {**told, **document, "version": 4}
    return _in_words_of_5(_with_bags(whole, _bag_before_2 if version < 2 else _bag_before_4))


def _in_words_of_5(document: Document) -> Document:
    """A file of version 4 as the next one words it: kinds of body, top and parts."""
    changed = _bag_before_5(document) | {"version": NEWEST}
    if isinstance(changed.get("starting"), dict):
        changed["starting"] = _kept_before_5(changed["starting"])
    if isinstance(changed.get("variants"), list):
        changed["variants"] = [_kept_before_5(each) for each in changed["variants"]]
    return changed


def _kept_before_5(kept: Any) -> Any:
    if isinstance(kept, dict) and isinstance(kept.get("bag"), dict):
        return {**kept, "bag": _bag_before_5(kept["bag"])}
    return kept


def _bag_before_5(bag: Document) -> Document:
    bag = dict(bag)
    body, top = bag.pop("panel", _NO_ENTRY), bag.pop("closure", _NO_ENTRY)
    if isinstance(body, dict):
        seam = body.get("bottom_seam")
        # Below a hundredth of a millimetre it was nothing: a fold.
        if _is_sound(seam) and abs(seam) < 0.01 - 1e-6:
            body = {key: body[key] for key in body if key != "bottom_seam"} | {"bottom": "fold"}
        else:
            body = {**body, "bottom": "seam"}
        # Every corner was cut out.
        body |= {"kind": "boxed-panel", "corners": "cut"}
    if isinstance(top, dict) and top.get("kind") in ("zip", "open top"):
        top = {**top, "kind": "zip-forward" if top["kind"] == "zip" else "hem"}
    bag |= {} if body is _NO_ENTRY else {"body": body}
    bag |= {} if top is _NO_ENTRY else {"top": top}
    for part, kind in (("pocket", "pocket"), ("handles", "strips"), ("board", "board")):
        if _is_group(bag, part):
            bag[part] = {**bag[part], "kind": kind}
    if _is_group(bag, "handles"):
        bag["handles"] = {**bag["handles"], "handle_back_lower": 0.0}
    return bag


def _supplies_before_2() -> Document:
    """What the program of version 2 wrote for a bag of version 1."""
    supplies: Document = json.loads((_FILES / "bag_version_2.json").read_text())["supplies"]
    return supplies


def _with_bags(document: Document, bag: Callable[[Document], Document]) -> Document:
    changed = bag(document)
    if isinstance(changed.get("making"), dict):
        changed["making"] = {"mixed_grain": False, **changed["making"]}
    kept = [changed.get("starting"), *_list(changed.get("variants"))]
    for each in kept:
        if isinstance(each, dict) and isinstance(each.get("bag"), dict):
            each["bag"] = bag(each["bag"])
    return changed


def _bag_before_2(bag: Document) -> Document:
    if _is_group(bag, "sandwich"):
        since = dict(_SINCE_2)
        if bag.get("shown_in") != "in":  # metric: goods are bought by the decimetre
            since["sold_step"] = 100.0
        layers = [
            {**since, **layer} if isinstance(layer, dict) else layer
            for layer in _list(bag["sandwich"].get("layers"))
        ]
        bag = {**bag, "sandwich": {**bag["sandwich"], **({"layers": layers} if layers else {})}}
    return _bag_before_4(bag)


def _bag_before_4(bag: Document) -> Document:
    bag = dict(bag)
    if _is_group(bag, "sandwich") and isinstance(bag["sandwich"].get("layers"), list):
        layers = [_before_4(each) for each in bag["sandwich"]["layers"]]
        if len(layers) > 1 and isinstance(layers[-1], dict):
            last = layers[-1].get("wipe_clean") is True or layers[-1].get("melts") is True
            layers[-1] = {**layers[-1], "laid_last": last}
        bag["sandwich"] = {**bag["sandwich"], "layers": layers}
    if _is_group(bag, "supplies"):
        supplies = {"zip_lengths": None, **bag["supplies"]}
        for part in ("board", "pocket", "handles"):
            if part in supplies:
                supplies[part] = _before_4(supplies[part])
        bag["supplies"] = supplies
    if _is_group(bag, "board"):
        bag["board"] = {"way": "laid-in", **bag["board"]}
    if _is_group(bag, "closure") and bag["closure"].get("kind") == "zip":
        bag["closure"] = {"by_length": False, **bag["closure"]}
    if _is_group(bag, "handles") and "goods_width" in bag["handles"]:
        _take_strip_length(bag)
    return bag


def _take_strip_length(bag: Document) -> None:
    """Handles before version 4 had strips of a length of their own: the loop stays as it was.

    Its strips are as long as their goods are wide now, as few of them as it takes, the last one
    shorter; goods that do not give it in 60 are replaced by some that are as wide as needed.
    """
    handles = {"handle_last_strip": None, **bag["handles"]}
    length, count = handles.pop("goods_width"), handles.get("handle_strips")
    bag["handles"] = handles
    goods = _strip_goods(bag)
    numbers = [length, count, goods.get("usable_width"), goods.get("shrink_width")]
    if not all(map(_is_sound, numbers)) or not isinstance(count, int):
        handles["handle_last_strip"] = length
        return
    long, wide = Fraction(length), Fraction(goods["usable_width"])
    wide *= 1 - Fraction(goods["shrink_width"])
    if abs(long - wide) < Fraction(1, 10**6):
        return
    loop, each = count * (long - 2 * _JOIN), wide - 2 * _JOIN
    few = [n for n in range(1, 61) if (n - 1) * each < loop - Fraction(1, 10**9) <= n * each]
    if few:
        last = loop - (few[0] - 1) * each + 2 * _JOIN
        whole = abs(last - wide) < Fraction(1, 10**6)
        handles |= {
            "handle_strips": few[0],
            "handle_last_strip": None if whole else Reckoned(last),
        }
    else:
        own = {**goods, "usable_width": length, "shrink_width": 0.0}
        bag["supplies"] = {**bag["supplies"], "handles": own}


def _strip_goods(bag: Document) -> Document:
    """The goods that strips are cut from; nothing where a file does not tell."""
    if not _is_group(bag, "supplies") or not _is_group(bag, "sandwich"):
        return {}
    goods = bag["supplies"].get("handles")
    if goods is None:
        goods = next(iter(_list(bag["sandwich"].get("layers"))), None)
    return goods if isinstance(goods, dict) else {}


def _is_sound(number: Any) -> bool:
    return type(number) in (int, float) and abs(number) < 1e9


def _before_4(goods: Any) -> Any:
    """Goods with what they are good for; told by the words of their role where it is missing."""
    if not isinstance(goods, dict) or all(key in goods for key in _SINCE_4):
        return goods
    role = str(goods.get("role", "")).lower()
    insulating = any(word in role for word in ("insulat", "thermal", "wadding", "batting"))
    glued = any(word in role for word in ("interfacing", "fusible"))
    told = {"insulating": insulating, "fusible": glued and goods.get("melts") is not True}
    told |= {"wipe_clean": any(word in role for word in ("wipe", "laminat")), "laid_last": False}
    return {**told, **goods}


def _is_group(bag: Document, name: str) -> bool:
    return isinstance(bag.get(name), dict)


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []
