"""The commands: a bag's figures, its findings and its pattern, without a window.

Nothing here imports Qt before the window is asked for. Names, options, the JSON object and
the exit codes are what scripts rely on: they stay as they are.
"""

import io
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from app.cli_options import Answer, Parser, bag_asked_for, command_parser, reporting_parser, wrong
from app.cli_redesign import redesign_command
from app.report import as_json, figures_text, findings_text, show_in
from core.compute import Result, compute
from core.errors import CornerwrightError
from core.findings import Severity
from core.units import Unit

DONE: Final = 0
STOPPED: Final = 1
"""Only from `check`: a finding is a stop."""
WRONG: Final = 2
"""The command or its input is wrong; one line on standard error says how."""
INTERRUPTED: Final = 130
"""What shells give for a program that was interrupted."""

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
    command = _COMMANDS.get(words[0])
    if command is not None:
        return command(words[1:])
    if words[0].startswith("-"):
        _top_parser().parse_args(words)
    elif _is_file(words[0]):
        if len(words) > 1:
            raise wrong("Give one bag file for the window, or a command: {commands}.")
        return _window(words[0])
    raise wrong("{word} is neither a command ({commands}) nor a bag file.", word=words[0])


# --- The commands ---------------------------------------------------------------------------------


def _figures(words: list[str]) -> Answer:
    options = reporting_parser("figures", "print every cut and finished figure").read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    return Answer(as_json(result) if options.json else figures_text(result), DONE)


def _check(words: list[str]) -> Answer:
    options = reporting_parser("check", "print the findings; exit 1 at a stop").read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    stopped = any(finding.severity is Severity.STOP for finding in result.findings)
    text = as_json(result) if options.json else findings_text(result)
    return Answer(text, STOPPED if stopped else DONE)


def _export(words: list[str]) -> Answer:
    parser = command_parser(
        "export", "[BAG] OUT.pdf", "[--paper NAME]", "write the pattern, true to scale"
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help="A4, A3, A0, Letter, Legal, Tabloid, or a roll such as “roll 24in”; "
        "without it, Letter for a bag in inches and A4 for others",
    )
    options = parser.read(words)
    if not options.words:
        raise wrong("Name the file to write, such as pattern.pdf.")
    *files, out = options.words
    path = _pdf_path(out, files)
    bag = bag_asked_for(files, options.changes)
    try:
        _write_pattern(compute(bag), path, options.paper)
    except CornerwrightError as error:
        raise wrong("{told}", told=error.sentence.text(show_in(bag.unit))) from error
    return Answer("", DONE)


def _pdf_path(out: str, files: list[str]) -> Path:
    """Where the pattern goes; never onto the bag file itself."""
    path = Path(out)
    if path.suffix.lower() != ".pdf":
        raise wrong("{file}: the file to write must end in .pdf.", file=out or "OUT")
    if any(_is_file(file) and _is_file(out) and path.samefile(file) for file in files):
        raise wrong("{file} is the bag file itself: give the pattern another name.", file=out)
    return path


def _write_pattern(result: Result, path: Path, paper: str | None) -> None:
    # Only an export pays for the writer.
    from core.paper.papers import A4, LETTER, paper_named
    from core.paper.pdf import export_pdf
    from core.paper.plan import PrintOptions

    unit = result.bag.unit
    usual = LETTER if unit is Unit.INCH else A4
    chosen = usual if paper is None else paper_named(paper)
    export_pdf(result, path, PrintOptions(paper=chosen, show=show_in(unit)))


def _window(path: str | None) -> Answer:
    try:
        from app.__main__ import run_window
    except ImportError as error:
        # Mostly a bare machine without the libraries that Qt needs.
        raise wrong("The window cannot open: {reason}.", reason=str(error)) from error
    return Answer("", run_window(path))


def _top_parser() -> Parser:
    return Parser(
        prog="cornerwright",
        usage="cornerwright [BAG]\n       cornerwright {figures,check,export,redesign} ...",
        description="Without a command, opens the window. "
        "Each command tells its options: cornerwright figures --help.",
        allow_abbrev=False,
    )


def _is_file(path: str) -> bool:
    try:
        return Path(path).is_file()
    except (OSError, ValueError):  # no path at all on this system
        return False


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


_COMMANDS: Final[dict[str, Callable[[list[str]], Answer]]] = {
    "figures": _figures,
    "check": _check,
    "export": _export,
    "redesign": redesign_command,
}
