"""One command line carried out: which command it is, and how its answer gets out.

Nothing here imports Qt before the window is asked for.
"""

import io
import os
import sys
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import Final

from app.cli import COMMANDS
from app.cli.answer import DONE, Answer, HelpAsked, drop, is_file, remarks, say_beside, usage_error
from core.base.errors import CommandError, CornerwrightError, did_you_mean
from core.base.sanitize import terminal_signs
from core.base.sentences import Last, Listing, mark, say, typed

_COMMANDS: Final = Listing(tuple(COMMANDS), Last.COMMA)
WRONG: Final = 2
"""The command or its input is wrong; one line on standard error says how."""
UNREAD: Final = 141
"""What shells give for a program whose reader has left: 128 and the number of SIGPIPE."""


def carry_out(words: list[str]) -> int:
    """Carry out one command line, without the program's name; returns the exit code."""
    # Fractions and names reach a pipe whatever the system's code page.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="replace")
    remarks()  # of a command before that was refused
    try:
        answer = _run(words)
    except HelpAsked as asked:
        answer = Answer(asked.text, DONE)
    except CornerwrightError as error:
        return _complain(str(error))
    for told in (*remarks(), *filter(None, (answer.warning,))):
        say_beside(told)
    return _print(answer)


def _run(words: list[str]) -> Answer:
    ends_options = words[:1] == ["--"]
    words = words[1:] if ends_options else words
    if not words:
        return _window(None)
    first = words[0]
    if first in COMMANDS:
        # A command loads what it needs, and only that: the window starts without any.
        module, function = COMMANDS[first]
        command: Callable[[list[str]], Answer] = getattr(import_module(module), function)
        return command(words[1:])
    if first.startswith("-") and not ends_options:
        return _top_option(words)
    if is_file(first):
        if len(words) > 1:
            raise usage_error(
                "Give one bag file for the window, or a command: {commands}.", commands=_COMMANDS
            )
        return _window(first)
    if first.lower().endswith(".json"):
        from core.storage.bag_files import read_project

        read_project(Path(first))  # which says what is wrong with that file
    if not first:
        raise usage_error(
            "The first word is empty: give a command ({commands}) or a bag file.",
            commands=_COMMANDS,
        )
    told = say(
        "{word} is neither a command ({commands}) nor a bag file.",
        words={"word": first, "commands": _COMMANDS},
    )
    raise CommandError(did_you_mean(told, first, COMMANDS))


def _window(path: str | None) -> Answer:
    screens = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in screens):
        # Qt would end the program here, with a page of its own.
        raise usage_error(
            "The window needs a screen, and there is none here; the commands work without one."
        )
    try:
        from app.__main__ import run_window
    except ImportError as error:
        # Mostly a bare machine without the libraries that Qt needs.
        raise usage_error("The window cannot open: {reason}.", reason=typed(str(error))) from error
    return Answer("", run_window(path))


def _top_option(words: list[str]) -> Answer:
    """Options that stand without a command: --help and --version."""
    if words == ["--version"]:
        from app.about import program_version

        return Answer(f"cornerwright {program_version()}", DONE)
    from app.cli.options import Parser

    if words[0] == "-":
        raise usage_error(
            "The window opens files; standard input, -, is for commands: {commands}.",
            commands=_COMMANDS,
        )
    parser = Parser(
        prog="cornerwright",
        usage=f"cornerwright [BAG]\n       cornerwright {{{','.join(COMMANDS)}}} ...",
        description=mark(
            "Without a command, opens the window. "
            "Each command tells its options: cornerwright figures --help."
        ),
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="store_true", help=mark("tell the program's version"))
    parser.read(words)
    raise usage_error("{option} takes nothing after it.", option=words[0])


def open_closed_streams() -> None:
    """Keep a file that is opened from now on from taking the place of a closed stream.

    Python has `sys.stdout` or another be None where the process began without: so it stays.
    """
    for descriptor in range(3):
        try:
            os.fstat(descriptor)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest that is free: this one


def _print(answer: Answer) -> int:
    """Hand out the answer; the exit code, another one when nobody can read it."""
    if not answer.told:
        return answer.code
    if sys.stdout is None:
        return _complain(mark("The answer cannot be written: standard output is closed."))
    try:
        if isinstance(answer.told, bytes):
            sys.stdout.buffer.write(answer.told)
        else:
            print(terminal_signs(answer.told))
        sys.stdout.flush()
    except BrokenPipeError:
        drop(sys.stdout)
        return UNREAD
    except OSError as error:
        drop(sys.stdout)
        reason = {"reason": str(error.strerror or error)}
        return _complain(say("The answer cannot be written: {reason}.", words=reason).text())
    return answer.code


def _complain(told: str) -> int:
    """Say on standard error what is wrong; the exit code."""
    say_beside(told)
    return WRONG
