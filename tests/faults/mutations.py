"""Damaged bag files: bytes, signs, values and structure changed at random, from a seed."""

import json
import random
from copy import deepcopy
from pathlib import Path
from typing import Any

RESOURCES = Path(__file__).parents[2] / "resources"
SAMPLES = ("demo", "lunch", "tote", "boxed", "coolbox", "wrap", "jar")
BAG = (
    *("name", "shown_in", "body", "top", "pocket", "handles", "board", "sandwich"),
    "supplies",
)
"""The entries of one bag."""
HUGE = "9" * 400
VALUES: tuple[Any, ...] = (
    *(None, True, False, 0, -0.0, -1, 1, 2**31, 2**63, -(2**63) - 1, 2**64, 10**308, 1e308),
    *(float("nan"), float("inf"), float("-inf"), 5e-324, 1e-300, 0.1, 1e9, "", " ", "\0"),
    *("NaN", "18 1/2", "x" * 2000, "\ud83d", "\u202e", "<b>", "=1+1", "\u2028", [], {}),
    *([[]], [None], {"": ""}, ["\ud83d"], [float("nan")], {"kind": "hem"}, {"name": 3}),
)
"""What no field wants, and what some fields only just take."""
SNIPPETS = (
    *(b"{", b"}", b"[", b"]", b'"', b",", b":", b"\\", b"\0", b"\xff", b"\xc3", b"\xed\xa0\x80"),
    *(b"NaN", b"Infinity", b"-", b"1e999", b"1e-999", b"00", b".", b"\\ud800", b"\\u0000", b"//"),
    *(HUGE.encode(), b"[" * 3000, b'{"a":' * 3000, b"\xef\xbb\xbf", b"\r\n", b"true", b"null"),
)


class Mutator:
    """Makes damaged files, one after another; the same ones for the same seed."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)
        self._texts = whole_texts()

    def text(self) -> bytes:
        """The next file."""
        draw = self._random
        text = draw.choice(self._texts)
        if draw.random() < 0.6:
            document = json.loads(text)
            for _ in range(draw.choice((1, 1, 1, 2, 3, 8))):
                self._change(document)
            text = json.dumps(document)
            if draw.random() < 0.1:
                text = self._doubled(text)
        data = text.encode("utf-8", "surrogatepass")
        if draw.random() < 0.5:
            for _ in range(draw.choice((1, 1, 2, 5, 20))):
                data = self._damage(data)
        return data

    def _change(self, document: Any) -> None:
        """Change, add, move or take away one entry somewhere in the document."""
        draw = self._random
        held = draw.choice(groups(document))
        keys = list(held) if isinstance(held, dict) else list(range(len(held)))
        if not keys:
            return
        key = draw.choice(keys)
        match draw.randrange(7):
            case 0 | 1:
                held[key] = deepcopy(draw.choice(VALUES))
            case 2:
                held[key] = draw.uniform(-10.0, 10.0) ** draw.randrange(1, 60)
            case 3:
                del held[key]
            case 4 if isinstance(held, dict):
                held[draw.choice(("x", "", "name", "version", key.upper()))] = deepcopy(
                    draw.choice(VALUES)
                )
            case 5:
                held[key] = json.loads(json.dumps(draw.choice(groups(document))))
            case _ if isinstance(held, list):
                held.extend(held[: draw.choice((1, 5, 60))])

    def _damage(self, data: bytes) -> bytes:
        draw = self._random
        place = draw.randrange(len(data) + 1)
        match draw.randrange(6):
            case 0:
                return data[:place]
            case 1:
                return data[:place] + draw.choice(SNIPPETS) + data[place:]
            case 2:
                return data[:place] + bytes([draw.randrange(256)]) + data[place + 1 :]
            case 3:
                return data[:place] + data[place + draw.randrange(40) :]
            case 4:
                end = place + draw.randrange(200)
                return data[:end] + data[place:end] + data[end:]
            case _:
                other = draw.randrange(len(data) + 1)
                return data[:place] + data[other : other + 60] + data[place:]

    def _doubled(self, text: str) -> str:
        """One key twice."""
        place = text.find('"', self._random.randrange(len(text)))
        end = text.find(",", place)
        return text if min(place, end) < 0 else f"{text[:end]}, {text[place:end]}{text[end:]}"


def whole_texts() -> list[str]:
    """Bag files: one with an entry of every kind, other than the usual one, and the sample bags.

    Put together of the sample files as they lie on the disk: what a broken reader has passed on
    would be broken already.
    """
    lying = [(RESOURCES / "samples" / f"{name}.json").read_text("utf-8") for name in SAMPLES]
    demo, lunch, tote, boxed, *others = map(json.loads, lying)
    every = {
        "starting": {"name": "start", "bag": _bag_of(lunch)},
        "variants": [
            {"name": "other", "bag": _bag_of(tote)},
            {"name": "third", "bag": _bag_of(boxed)},
            *({"name": each["name"], "bag": _bag_of(each)} for each in others),
        ],
        "sample": {
            "drawn": {"face_height": 381.0, "base_width": 279.4},
            "measured": {"face_height": 380.0},
            "allowed_for": True,
        },
        "other_samples": {
            "gusset-strip": {
                "drawn": {"gusset_depth": 171.0},
                "measured": {"gusset_depth": 168.0},
                "allowed_for": True,
            },
        },
        "pinned": ["base_width", "handle_strips"],
        "corners_matched": False,
        "ticked": ["a", "b"],
        "load": {"density": 310.0, "needle_thread": 2.9, "bobbin_thread": 2.2, "safety": 8.0},
        "making": {
            "bags": 10,
            "gap": 3.2,
            "cutting": "rows",
            "folded": True,
            "mixed_grain": True,
        },
    }
    demo["top"] |= {"gauge": "7", "colour": "plum", "by_length": True}
    demo["supplies"] |= {"zip_lengths": [300.0, 550.0], "zip_price": 2.5, "spool_price": 3.75}
    demo["supplies"] |= {"pocket": tote["sandwich"]["layers"][0]}
    return [json.dumps(demo | every), *lying]


def _bag_of(document: dict[str, Any]) -> dict[str, Any]:
    return {key: document[key] for key in BAG if key in document}


def groups(document: Any) -> list[Any]:
    """Every group and list in a document, itself included."""
    found, waiting = [], [document]
    while waiting:
        held = waiting.pop()
        if isinstance(held, dict | list):
            found.append(held)
            waiting.extend(held.values() if isinstance(held, dict) else held)
    return found or [{}]
