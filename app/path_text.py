"""Paths as text: on some systems a name is bytes, and need not be UTF-8.

Python then puts a lone surrogate for each byte that is none (PEP 383), which neither a file of
settings nor a screen can hold.
"""

import os
from pathlib import Path
from urllib.parse import quote_from_bytes, unquote_to_bytes


def is_text(path: str) -> bool:
    """Whether a path can be written as UTF-8 and read back as it is."""
    return path == path.encode(errors="ignore").decode()


def encoded(path: str) -> str:
    """The bytes of a path, percent-encoded (RFC 3986, 2.1).

    Raises:
        ValueError: it is none that the system could have.
    """
    return quote_from_bytes(os.fsencode(path))


def decoded(text: str) -> str:
    """The path that `encoded` has written so."""
    return os.fsdecode(unquote_to_bytes(text))


def shown(path: Path | str) -> str:
    """A path or name to be read: U+FFFD, the sign for it, stands for what is no UTF-8."""
    return os.fsencode(path).decode(errors="replace")
