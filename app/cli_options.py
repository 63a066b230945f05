"""What the commands have in common: their options, the bag that is meant, one-line errors."""

import argparse
import re
from dataclasses import replace
from difflib import get_close_matches
from itertools import groupby
from pathlib import Path
from typing import NamedTuple, NoReturn

from app.report import show_in
from core.bag import CUT_FIGURES, FINISHED_FIGURES, Bag, with_figures, without_part
from core.bagfile import demo_bag, read_project
from core.choices import CHOICES, with_choice
from core.errors import CommandError, FieldError, Sentence
from core.figures import CutFigure, FinishedFigure, Kind
from core.parts.panel import FILLED_FIGURES
from core.project import Project
from core.units import LengthTextError, Unit, parse_length
from core.wholefile import check_place, is_same_file, reason_of

_COUNT = re.compile(r"[+-]?[0-9]{1,9}")


class Change(NamedTuple):
    """One `--set NAME=TEXT`, `--choose NAME=TEXT` or `--without PART`, which has no text."""

    option: str
    name: str
    text: str


# --- Bag and changes ------------------------------------------------------------------------------


def bag_asked_for(files: list[str], changes: list[Change]) -> Bag:
    """The bag of `project_asked_for`."""
    return project_asked_for(files, changes).bag


def project_asked_for(files: list[str], changes: list[Change]) -> Project:
    """The bag file named, or the demo bag, with the changes made in the order given.

    Neighbouring `--set`s are made together: two may only be possible with one another.
    """
    if len(files) > 1:
        raise wrong("Give one bag file, not {count}.", count=str(len(files)))
    if files and not files[0]:  # a path of no signs would be the present folder
        raise wrong("The bag file’s name is empty: give one, or no word at all for the demo bag.")
    project = read_project(Path(files[0])) if files else Project(bag=demo_bag())
    bag = project.bag
    try:
        for option, group in groupby(changes, key=lambda change: change.option):
            if option == "set":
                bag = with_figures(bag, dict(_value(change, bag.unit) for change in group))
                continue
            for change in group:
                if option == "choose":
                    bag = with_choice(bag, change.name, change.text)
                else:
                    bag = without_part(bag, change.name)
    except FieldError as error:
        raise wrong("{told}", told=error.sentence.text(show_in(bag.unit))) from error
    return replace(project, bag=bag)


def place_to_write(out: str, *, endings: tuple[str, ...] = (), replaces: bool) -> Path:
    """Where a command's file goes; says before any work is done that it cannot be.

    Args:
        out: the name as typed.
        endings: those that the name may have, such as `.pdf`; any without.
        replaces: a file that lies there may be written over. An empty one always may: it
            holds nothing, and is what scripts make to have a name.

    Raises:
        CommandError: the name is empty or its ending another, a file lies there, or none can
            be written.
    """
    if not out:
        raise wrong("The name of the file to write is empty: give one.")
    path = Path(out)
    if endings and path.suffix.lower() not in endings:
        allowed = " or ".join(endings)
        raise wrong("{file}: the file to write must end in {allowed}.", file=out, allowed=allowed)
    try:
        check_place(path)
        is_in_use = path.exists() and path.stat().st_size > 0
    except (OSError, ValueError) as error:
        raise wrong(
            "{file} cannot be written: {reason}.", file=out, reason=reason_of(error)
        ) from error
    if is_in_use and not replaces:
        raise wrong(
            "{file} is there already: give another name, or add --replace to write over it.",
            file=out,
        )
    return path


def refuse_bag_itself(path: Path, files: list[str]) -> None:
    """Keep a page or a table from being written over the bag that it tells of.

    Raises:
        CommandError: the path is that of a bag file named.
    """
    if any(is_same_file(path, Path(file)) for file in files):
        raise wrong("{file} is the bag file itself: give another name.", file=str(path))


def _value(change: Change, unit: Unit) -> tuple[str, float]:
    figure = figure_named(change.name)
    if isinstance(figure, FinishedFigure):
        rule = "{name} follows from the cut figures: it cannot be set, but redesign can have it."
        if figure.name in FILLED_FIGURES:
            rule = "{name} follows from the cut figures: it cannot be set."
        raise wrong(rule, name=figure.name)
    return figure.name, cut_value_of(figure, change.text, unit)


def cut_value_of(figure: CutFigure, text: str, unit: Unit) -> float:
    """A typed value of a cut figure, mm or pieces.

    Raises:
        CommandError: the text is no length, or no count.
    """
    if figure.kind is Kind.COUNT:
        if not _COUNT.fullmatch(text.strip()):
            raise wrong("{label}: type a whole number, such as 3.", label=figure.label)
        return int(text)
    try:
        return parse_length(text, unit=unit)
    except LengthTextError as error:
        raise wrong("{label}: {told}.", label=figure.label, told=str(error)) from error


def figure_named(name: str) -> CutFigure | FinishedFigure:
    """The cut or finished figure of that name.

    Raises:
        CommandError: there is none; the nearest name is offered.
    """
    figures: tuple[CutFigure | FinishedFigure, ...] = (*CUT_FIGURES, *FINISHED_FIGURES)
    every = {figure.name: figure for figure in figures}
    if name in every:
        return every[name]
    near = get_close_matches(name, list(every), n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    raise wrong("There is no figure called {name}.{hint}", name=name[:60], hint=hint)


# --- Options --------------------------------------------------------------------------------------


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, as everything here does."""

    def error(self, message: str) -> NoReturn:
        raise wrong("{told}; see {program} --help.", told=message, program=self.prog)

    def read(self, words: list[str]) -> argparse.Namespace:
        """The options of a command, its files in between allowed."""
        return self.parse_intermixed_args(words)


def command_parser(command: str, files: str, options: str, does: str) -> Parser:
    """A parser of the files and changes that every command takes."""
    parser = Parser(
        prog=f"cornerwright {command}",
        usage=f"cornerwright {command} {files} {options} "
        "[--set NAME=LENGTH] [--choose NAME=WORD] [--without PART]",
        description=f"{does[0].upper()}{does[1:]}. Without BAG, a bag file, the demo bag is meant.",
        allow_abbrev=False,
    )
    parser.add_argument("words", nargs="*", metavar=files, help=argparse.SUPPRESS)
    parser.add_argument(
        "--set",
        dest="changes",
        action="append",
        default=[],
        type=_set_change,
        metavar="NAME=LENGTH",
        help='change a measure: panel_width=18.5, front_trim="1 1/2in", handle_gap=12cm',
    )
    parser.add_argument(
        "--choose",
        dest="changes",
        action="append",
        type=_choose_change,
        metavar="NAME=WORD",
        help="choose a construction: "
        + ", ".join(f"{name}={'|'.join(each.words)}" for name, each in CHOICES.items()),
    )
    parser.add_argument(
        "--without",
        dest="changes",
        action="append",
        type=_without_change,
        metavar="PART",
        help="leave out pocket, handles, board or zip",
    )
    return parser


def writing_parser(command: str, files: str, options: str, does: str) -> Parser:
    """A parser for a command that writes a file."""
    parser = command_parser(command, files, f"{options} [--replace]", does)
    parser.add_argument(
        "--replace", action="store_true", help="write over a file that is there already"
    )
    return parser


def reporting_parser(command: str, does: str) -> Parser:
    """A parser for a command that prints text, or one JSON object."""
    parser = command_parser(command, "[BAG]", "[--json]", does)
    parser.add_argument("--json", action="store_true", help="print one JSON object, lengths in mm")
    return parser


def _set_change(text: str) -> Change:
    name, equals, length = text.partition("=")
    if not (equals and name.strip()):
        raise argparse.ArgumentTypeError("give NAME=LENGTH, such as panel_width=18.5in")
    return Change("set", name.strip(), length)


def _choose_change(text: str) -> Change:
    name, equals, word = text.partition("=")
    if not (equals and name.strip()):
        raise argparse.ArgumentTypeError("give NAME=WORD, such as board=laid-in")
    return Change("choose", name.strip(), word.strip())


def _without_change(text: str) -> Change:
    return Change("without", text, "")


def saved_text(path: Path) -> str:
    """What a command says of a file that it has written."""
    return f"Saved {path}."


def wrong(template: str, **words: str) -> CommandError:
    """The error for a command line, as one sentence with its gaps filled."""
    return CommandError(Sentence(template, words=words))
