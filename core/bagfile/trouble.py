"""The sentences of a bag file that cannot be read or written."""

from typing import Final

from core.errors import BagFileError, Sentence

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
