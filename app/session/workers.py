"""How the program starts a process of its own beside the window."""

import os
import sys
from pathlib import Path

import core


def worker_command(module: str) -> list[str]:
    """What runs a module of the program."""
    # -P: a file called core.py in the folder of the moment must not be taken for ours.
    return [sys.executable, "-P", "-m", module]


def worker_environment() -> dict[str, str]:
    """This program's own surroundings, with the place that its modules came from."""
    root = str(Path(core.__file__).resolve().parents[1])
    paths = (root, os.environ.get("PYTHONPATH"))
    return {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(filter(None, paths)),
        "PYTHONIOENCODING": "utf-8",
    }
