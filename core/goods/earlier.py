"""What goods in earlier files did not tell, and what is then meant: literals of their time.

Nothing here may follow the model: a file of an earlier version always means the same.
"""

from collections.abc import Mapping
from typing import Any, Final

Record = dict[str, Any]

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
