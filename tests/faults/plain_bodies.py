"""Body and top of a bag file read a second time: entries, limits, and what goes with what. mm.

As in `plain_files`: nothing of the readers is used, and limits are formulas of the cut.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.tops.facing.facing import Facing
from core.tops.hem.hem import Hem
from core.tops.roll_top.roll import RollTop
from core.tops.top import Top
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward

Document = dict[str, Any]
Pair = tuple[str, float, float]
"""What a sentence calls a figure, what must be less, and than what."""

MAY_BE_NOTHING = {
    *("front_trim", "corner_cut_width", "corner_cut_depth", "corner_mark", "side_seam"),
    *("corner_seam", "zip_seam", "corner_rounding", "upper_rounding", "top_strip_length"),
    *("gusset_seam", "strip_seam", "base_seam", "body_end_width", "zip_shift"),
}
"""Entries of bodies and tops that hold a length which can be 0."""

GOES_WITH = {
    "bottom_seam": ("bottom", "seam"),
    "corner_cut_width": ("corners", "cut"),
    "corner_cut_depth": ("corners", "cut"),
    "corner_mark": ("corners", "sewn-across"),
    "tips": ("corners", "sewn-across"),
}
"""Entry of a body -> the choice beside which alone it stands, and its word there."""

_WORDS = {"CUT": "cut", "SEWN_ACROSS": "sewn-across", "TRIMMED": "trimmed", "LEFT_IN": "left-in"}
_PANEL = {
    "panel_width": "width",
    "panel_length": "length",
    "front_trim": "front_trim",
    "side_seam": "side_seam",
    "corner_seam": "corner_seam",
    "zip_seam": "top_seam",
}
_CUT_OUT = {"corner_cut_width": "corner_width", "corner_cut_depth": "corner_depth"}
_STRIP_ENTRIES = (
    *("face_cut_width", "face_cut_height", "corner_rounding", "upper_rounding", "strip_width"),
    *("strip_length", "strip_pieces", "top_strip_length", "gusset_seam", "strip_seam"),
)
_BASE_ENTRIES = (
    *("base_cut_width", "base_cut_depth", "corner_rounding", "body_width", "body_end_width"),
    *("body_height", "front_trim", "body_pieces", "side_seam", "base_seam"),
)
_ZIP = {
    "zip_tape_width": "tape_width",
    "zip_length": "length",
    "gauge": "gauge",
    "colour": "colour",
    "by_length": "by_length",
}


def told_body(body: Any) -> Document:
    """A body under the names that a file has."""
    if isinstance(body, BoxedPanel):
        seam = body.bottom_seam
        return {
            "kind": "boxed-panel",
            "bottom": "seam" if seam else "fold",
            **_named(body, _PANEL),
            **_told_corners(body),
            **({"bottom_seam": seam} if seam else {}),
        }
    kinds = {GussetStrip: "gusset-strip", Wrap: "wrap", SeparateBase: "separate-base"}
    entries = _BASE_ENTRIES if isinstance(body, SeparateBase) else _STRIP_ENTRIES
    own = {name: getattr(body, name) for name in entries}
    return {"kind": kinds[type(body)], "zip_seam": body.top_seam, **own}


def _told_corners(body: BoxedPanel) -> Document:
    if _WORDS[body.corners.name] == "cut":
        return {"corners": "cut", **_named(body, _CUT_OUT)}
    tips = _WORDS[body.tips.name]
    return {"corners": "sewn-across", "corner_mark": body.corner_mark, "tips": tips}


def told_top(top: Top) -> Document:
    """A top under the names that a file has."""
    if isinstance(top, Hem):
        return {"kind": "hem"}
    if isinstance(top, TopStrip):
        return {"kind": "top-strip", "zip_shift": top.shift, **_named(top, _ZIP)}
    if isinstance(top, Facing):
        return {"kind": "facing", "facing_depth": top.depth}
    if isinstance(top, RollTop):
        return {"kind": "roll-top", "rolls": top.rolls, "roll_depth": top.depth}
    assert isinstance(top, ZipForward)
    return {"kind": "zip-forward", **_named(top, _ZIP)}


def _named(owner: object, names: Mapping[str, str]) -> Document:
    return {name: getattr(owner, attribute) for name, attribute in names.items()}


def take_unused(body: Document) -> None:
    """What belongs to another make of a body is nothing in it, whatever a file says."""
    if body["kind"] in ("gusset-strip", "wrap") and not body["top_strip_length"]:
        body["upper_rounding"] = 0.0
    if body["kind"] == "separate-base" and body["body_pieces"] != 2:
        body["front_trim"] = 0.0
    if body["kind"] == "separate-base" and body["body_pieces"] != 4:
        body["body_end_width"] = 0.0


def front_top(body: Document) -> float:
    """From the bottom line of the front up to its cut top edge."""
    match body["kind"]:
        case "boxed-panel":
            front: float = body["panel_length"] / 2 - body["front_trim"]
            return front - float(body.get("bottom_seam", 0))
        case "gusset-strip":
            return float(body["face_cut_height"] - body["gusset_seam"])
        case "wrap":
            return float(body["strip_length"] / 2)
    return float(body["body_height"] - body["front_trim"] - body["base_seam"])


def back_top(body: Document) -> float:
    """The same of the back, which is trimmed nowhere."""
    return front_top(body) + float(body.get("front_trim", 0))


def body_limits(body: Document) -> Iterator[Pair]:
    """What the sizes of a body must keep to among themselves."""
    match body["kind"]:
        case "boxed-panel":
            yield from _panel_limits(body)
        case "separate-base":
            yield from _base_limits(body)
        case _:
            yield from _strip_limits(body)


def _panel_limits(panel: Document) -> Iterator[Pair]:
    back, half = panel["panel_length"] / 2, panel["panel_width"] / 2
    front = back - panel["front_trim"]
    bottom = panel.get("bottom_seam", 0)
    yield "Front trim", panel["front_trim"], back
    yield "Zip seam or hem", panel["zip_seam"], front - bottom
    yield "Side seam", panel["side_seam"], half
    if panel["corners"] == "cut":
        yield "Corner cut width", panel["corner_cut_width"], half
        yield "Corner cut depth", panel["corner_cut_depth"], front
        return
    # A corner sewn across is trimmed one seam beyond, on the cloth that there is.
    mark, beyond, side = panel["corner_mark"], panel["corner_seam"], panel["side_seam"]
    if mark > 0:
        yield "Corner mark", mark, half + beyond - side
        yield "Corner mark", mark, front + beyond - bottom
        if panel["tips"] == "trimmed":
            yield "Corner mark", beyond - min(side, bottom), mark


def _strip_limits(body: Document) -> Iterator[Pair]:
    """Two panels, and a strip that turns the rounded corners of both in each of its pieces."""
    wide, high, seam = body["face_cut_width"], body["face_cut_height"], body["gusset_seam"]
    lower, upper, gap = body["corner_rounding"], body["upper_rounding"], body["top_strip_length"]
    above, end = (seam, body["strip_seam"]) if gap else (body["zip_seam"], body["zip_seam"])
    arc = math.pi / 2 * (lower - seam) if lower else 0.0
    yield "Face cut width", 2 * seam, wide
    yield "Face cut height", seam + above, high
    yield "Strip width", 2 * seam, body["strip_width"]
    yield "Strip length", 2 * end + body["strip_pieces"] * arc, body["strip_length"]
    for label, rounding in (("Corner rounding", lower), ("Upper rounding", upper)):
        if rounding:
            yield label, seam, rounding
            yield label, rounding, (wide - 0.01) / 2
    if lower:
        yield "Corner rounding", lower, high - (upper or above)
        yield "Face cut height", lower + (upper or above), high
    elif upper:
        yield "Upper rounding", upper, high - seam
    if gap:
        radii = sum(each - seam for each in (lower, upper) if each)
        around = 2 * (wide - 2 * seam + high - 2 * seam) - (4 - math.pi) * radii
        yield "Top strip length", 2 * end, gap
        yield "Top strip length", gap, around + 2 * end


def _base_limits(body: Document) -> Iterator[Pair]:
    """A base no smaller than its seams, and walls round it."""
    least = min(body["base_cut_width"], body["base_cut_depth"]) / 2
    rounding, seam, side = body["corner_rounding"], body["base_seam"], body["side_seam"]
    yield "Base seam", seam, least
    yield "Front trim", body["front_trim"], body["body_height"]
    yield "Zip seam or hem", body["zip_seam"], front_top(body)
    yield "Body height", seam + body["zip_seam"] + body["front_trim"], body["body_height"]
    yield "Side seam", side, body["body_width"] / 2
    if body["body_pieces"] == 4:
        yield "Side seam", side, body["body_end_width"] / 2
    if rounding:
        yield "Corner rounding", rounding, least
        yield "Corner rounding", seam, rounding


def top_limits(body: Document, top: Document) -> Iterator[Pair]:
    """What the sizes of a top must keep to on this body."""
    if top["kind"] not in ("zip-forward", "top-strip"):
        return
    tape, seams = top["zip_tape_width"], 2 * body["zip_seam"]
    yield "Zip tape width", seams, tape
    flat = body["kind"] == "boxed-panel" or body.get("body_pieces") in (1, 2)
    if top["kind"] == "top-strip" and not flat:
        depth = _lid_depth(body)
        yield "Zip tape width", tape, depth + seams
        yield "Zip shift", abs(top["zip_shift"]), (depth - (tape - seams)) / 2


def _lid_depth(body: Document) -> float:
    """Between the stitch lines that a top strip lies between."""
    if body["kind"] == "separate-base":
        return float(body["body_end_width"] - 2 * body["side_seam"])
    if body["kind"] == "wrap" and not body["top_strip_length"]:  # its mouth stands open as a box
        return float(body["face_cut_width"] - 2 * body["gusset_seam"])
    return float(body["strip_width"] - 2 * body["gusset_seam"])


def at_odds(bag: Document) -> Iterator[tuple[str, str]]:
    """What of a bag does not go together, and words of the sentence that tells it."""
    body, top = bag["body"], bag["top"]
    kind, made = body["kind"], top["kind"]
    ring = kind in ("gusset-strip", "wrap") and body["top_strip_length"] > 0
    box = not ring and (kind in ("gusset-strip", "wrap") or body.get("body_pieces") == 4)
    if made == "zip-forward" and (ring or box):
        yield "a zip on top of that", "this zip joins"
    if made == "zip-forward" and body.get("body_pieces") == 1:
        yield "a zip without side seams", "ends of this zip"
    if made == "hem" and ring:
        yield "a hem in a ring", "a hem goes round"
    if made == "facing" and ring:
        yield "a facing in a ring", "a facing "
    if made == "roll-top" and (ring or box):
        yield "a top that cannot be rolled", "a top is rolled down"
    if made == "top-strip" and not (ring or box):
        rounded = kind == "separate-base" and body["corner_rounding"]
        yield "a top strip that lies flat", f"a top strip {'lies square' if rounded else 'closes'}"
    if made == "top-strip" and kind in ("gusset-strip", "wrap") and not ring:
        yield "a top strip that closes no ring", "this top closes a ring"
    pieces = body.get("body_pieces", 2)
    if pieces not in (1, 2, 4) or (pieces == 4 and body["corner_rounding"]):
        yield "so many walls", "body pieces is"
    runs_under = kind == "boxed-panel" or (kind == "wrap" and body["strip_pieces"] <= 2)
    if bag["handles"] is not None and bag["handles"]["style"] == "loop" and not runs_under:
        yield "a loop over a seam", "one loop cannot be sewn"
