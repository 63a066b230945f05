"""Writing a file whole or not at all: a failure leaves an older file as it was."""

import os
import secrets
import shutil
from contextlib import suppress
from pathlib import Path


def write_whole(path: Path, content: bytes) -> None:
    """Put the content under its name only when all of it lies on the disk.

    A link is followed: the file that it points to is replaced, not the link.

    Raises:
        OSError, ValueError: it cannot be written there; nothing was changed.
    """
    target = Path(os.path.realpath(path))
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError("it is write-protected")
    # In the same folder, because only there is the last step one step.
    temporary = target.with_name(f".cornerwright-{secrets.token_hex(6)}.tmp")
    try:
        with temporary.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        # Who may read the older file may read the new one, where the disk knows such things.
        if target.exists():
            with suppress(OSError):
                shutil.copymode(target, temporary)
        temporary.replace(target)
    finally:
        with suppress(OSError):
            temporary.unlink(missing_ok=True)


def reason_of(error: OSError | ValueError) -> str:
    """Why a file could not be read or written, as the end of a sentence."""
    told = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return told[:1].lower() + told[1:]
