"""The commands: a bag's figures, its findings and its pattern, without a window.

Nothing here imports Qt before the window is asked for. Names, options, the JSON object and
the exit codes are what scripts rely on: they stay as they are.
"""

import io
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from typing import Final

from app.cli_answer import DONE, Answer, is_file
from core.errors import CommandError, CornerwrightError, Sentence

WRONG: Final = 2
"""The command or its input is wrong; one line on standard error says how."""
INTERRUPTED: Final = 130
"""What shells give for a program that was interrupted."""

COMMANDS: Final = {
    "figures": ("app.cli_pattern", "figures_command"),
    "check": ("app.cli_pattern", "check_command"),
    "export": ("app.cli_pattern", "export_command"),
    "redesign": ("app.cli_redesign", "redesign_command"),
    "materials": ("app.cli_materials", "materials_command"),
    "steps": ("app.cli_steps", "steps_command"),
    "booklet": ("app.cli_steps", "booklet_command"),
}
"""Command -> the module and the function that carry it out."""

_LONGEST_LINE = 500


def main(argv: Sequence[str] | None = None) -> int:
    """Carry out one command line, without the program's name; returns the exit code.

    No word at all, or a bag file alone, opens the window.
    """
    _speak_utf8()
    try:
        answer = _run(list(sys.argv[1:] if argv is None else argv))
    except SystemExit as ended:  # argparse has printed its help
        answer = Answer("", ended.code if isinstance(ended.code, int) else DONE)
    except CornerwrightError as error:
        return _complain(str(error))
    except KeyboardInterrupt:
        return INTERRUPTED
    return _print(answer)


def _run(words: list[str]) -> Answer:
    if not words:
        return _window(None)
    if words[0] in COMMANDS:
        # A command loads what it needs, and only that: the window starts without any.
        module, function = COMMANDS[words[0]]
        command: Callable[[list[str]], Answer] = getattr(import_module(module), function)
        return command(words[1:])
    if words[0].startswith("-"):
        _read_top(words)
    elif is_file(words[0]):
        if len(words) > 1:
            raise _wrong("Give one bag file for the window, or a command: {commands}.")
        return _window(words[0])
    if not words[0]:
        raise _wrong("The first word is empty: give a command ({commands}) or a bag file.")
    raise _wrong("{word} is neither a command ({commands}) nor a bag file.", word=words[0])


def _window(path: str | None) -> Answer:
    screens = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in screens):
        # Qt would end the program here, with a page of its own.
        raise _wrong("The window needs a screen, and there is none here; the commands do not.")
    try:
        from app.__main__ import run_window
    except ImportError as error:
        # Mostly a bare machine without the libraries that Qt needs.
        raise _wrong("The window cannot open: {reason}.", reason=str(error)) from error
    return Answer("", run_window(path))


def _read_top(words: list[str]) -> None:
    """Options that stand alone: only --help is one; argparse ends the program."""
    from app.cli_options import Parser

    Parser(
        prog="cornerwright",
        usage=f"cornerwright [BAG]\n       cornerwright {{{','.join(COMMANDS)}}} ...",
        description="Without a command, opens the window. "
        "Each command tells its options: cornerwright figures --help.",
        allow_abbrev=False,
    ).parse_args(words)


def _wrong(template: str, **words: str) -> CommandError:
    return CommandError(Sentence(template, words={"commands": ", ".join(COMMANDS), **words}))


# --- Output ---------------------------------------------------------------------------------------


def _speak_utf8() -> None:
    """Fractions and names reach a pipe whatever the system's code page."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")


def _print(answer: Answer) -> int:
    """Hand out the answer; the exit code, also when nobody reads on."""
    if sys.stdout is None:  # a window's program has none on some systems
        return answer.code
    try:
        if answer.text:
            print(answer.text)
        sys.stdout.flush()
    except BrokenPipeError:
        _drop_output()
    except OSError as error:
        _drop_output()
        return _complain(f"The answer cannot be written: {error.strerror or error}.")
    return answer.code


def _complain(told: str) -> int:
    """One line on standard error, whatever was in the input."""
    line = " ".join("".join(sign if sign.isprintable() else " " for sign in told).split())
    if len(line) > _LONGEST_LINE:
        line = line[: _LONGEST_LINE - 3] + "..."
    with suppress(OSError):
        print(f"cornerwright: {line}", file=sys.stderr)
    return WRONG


def _drop_output() -> None:
    """Nobody reads any more: let the interpreter's last flush go nowhere."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
