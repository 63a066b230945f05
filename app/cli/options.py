"""What the commands have in common: their options, the bag that is meant, one-line errors."""

import argparse
import re
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from itertools import groupby
from typing import Final, NamedTuple, NoReturn

from app.cli.answer import HelpAsked, say_if_done, usage_error
from app.cli.files import STANDARD, project_named
from app.cli.report import show_in
from core.bag.bag import Bag, with_figures
from core.bag.choices import COMMAND_CHOICES, LEAVABLE, lost_by, with_choice, without_part
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import CommandError, CornerwrightError, did_you_mean
from core.base.sentences import Last, Listing, Template, mark, say, typed
from core.base.units import LengthTextError, Unit, parse_length
from core.goods.supplies import zip_lengths_of
from core.model.figures import CutFigure, FinishedFigure, Quantity, TakeUp
from core.storage.project import Project

ZIPS = "--zip-lengths"
_COUNT = re.compile(r"[+-]?[0-9]{1,9}")


class ChangeOption(NamedTuple):
    """One `--set NAME=TEXT`, `--choose NAME=TEXT`, `--without PART` or `--zip-lengths TEXT`.

    The last two have only the one word.
    """

    option: str
    name: str
    text: str


def bag_asked_for(files: list[str], changes: list[ChangeOption]) -> Bag:
    """The bag of `project_asked_for`."""
    return project_asked_for(files, changes).bag


def project_asked_for(files: list[str], changes: list[ChangeOption]) -> Project:
    """The bag file named, or the demo bag, with the changes made in the order given.

    Neighbouring `--set`s are made together: two may only be possible with one another.
    """
    refuse_doubles(changes)
    project = project_named(files)
    sold = zips_sold(changes, project.bag.unit)
    if sold is not None:
        project = replace(project, shop_zips=sold)
        changes = [each for each in changes if each.option != ZIPS]
    bag = project.bag
    with told_in(bag.unit):
        for option, group in groupby(changes, key=lambda change: change.option):
            if option == "set":
                bag = with_figures(bag, dict(value_set(change, bag.unit) for change in group))
                continue
            for change in group:
                if option == "choose":
                    was, bag = bag, with_choice(bag, change.name, change.text.strip())
                    bag = _drawn(bag, project.take_up_of(bag))
                    lost = lost_by(COMMAND_CHOICES[change.name], was, bag)
                    if lost is not None:
                        say_if_done(lost.text(show_in(bag.unit)))
                else:
                    bag = without_part(bag, change.name)
    return replace(project, bag=bag)


def _drawn(bag: Bag, take_up: TakeUp) -> Bag:
    """The bag drawn for what sewing takes up in its construction, in the same sizes."""
    if bag.take_up == take_up:
        return bag
    from core.redesign.measured import drawn_for  # with the solver

    return drawn_for(bag, take_up)


def refuse_doubles(changes: list[ChangeOption]) -> None:
    """Let no change be made twice; a CommandError says which one is."""
    refuse_twice("set", [each.name for each in changes if each.option == "set"])
    refuse_twice("chosen", [each.name for each in changes if each.option == "choose"])
    refuse_twice("left out", [each.name for each in changes if each.option == "without"])
    refuse_twice("given", [ZIPS for each in changes if each.option == ZIPS])


def zips_sold(changes: list[ChangeOption], unit: Unit) -> tuple[float, ...] | None:
    """In which lengths zips are sold, mm, where that is among the changes."""
    return next((_zip_lengths(each.text, unit) for each in changes if each.option == ZIPS), None)


def _zip_lengths(text: str, unit: Unit) -> tuple[float, ...]:
    try:
        with told_in(unit):
            return zip_lengths_of(text, unit)
    except LengthTextError as error:
        raise usage_error("{option}: {told}.", option=ZIPS, told=str(error)) from error


@contextmanager
def told_in(unit: Unit) -> Iterator[None]:
    """Whatever cannot be is a CommandError, with its lengths in this unit."""
    try:
        yield
    except CornerwrightError as error:
        raise CommandError(typed(error.sentence.text(show_in(unit)))) from error


_TWICE: Final = {
    "set": mark("{name} is set twice: give it once."),
    "chosen": mark("{name} is chosen twice: give it once."),
    "left out": mark("{name} is left out twice: give it once."),
    "given": mark("{name} is given twice: give it once."),
    "held": mark("{name} is held twice: give it once."),
    "wanted": mark("{name} is wanted twice: give it once."),
}
"""What an option does to what it names -> what is said where it does so twice."""


def refuse_twice(done: str, names: Sequence[str]) -> None:
    """Let no value be given of which another one that is given too makes nothing.

    `done` is what an option does to what it names, one of `_TWICE`; a CommandError says which
    name is there twice.
    """
    for number, name in enumerate(names):
        if name in names[:number]:
            raise CommandError(say(_TWICE[done], words={"name": name[:60]}))


def value_set(change: ChangeOption, unit: Unit) -> tuple[str, float]:
    """The cut figure that a `--set` names, and its value, mm or pieces; CommandError: no such."""
    figure = figure_named(change.name)
    if isinstance(figure, FinishedFigure):
        raise usage_error(
            "{name} is worked out from the cut figures: it cannot be set; use redesign --want.",
            name=figure.name,
        )
    return figure.name, cut_value_of(figure, change.text, unit)


def cut_value_of(figure: CutFigure, text: str, unit: Unit) -> float:
    """A typed value of a cut figure, mm or pieces; CommandError: it is no length, or no count."""
    if figure.quantity is Quantity.COUNT:
        if not _COUNT.fullmatch(text.strip()):
            raise usage_error("{label}: type a whole number, such as 3.", label=figure.label)
        return int(text)
    return length_of(figure.label, text, unit)


def length_of(label: str, text: str, unit: Unit) -> float:
    """A typed length, mm; CommandError: it is none."""
    try:
        return parse_length(text, unit=unit)
    except LengthTextError as error:
        raise usage_error("{label}: {told}.", label=label, told=str(error)) from error


def figure_named(name: str) -> CutFigure | FinishedFigure:
    """The cut or finished figure of that name; a CommandError offers the nearest name."""
    figures: tuple[CutFigure | FinishedFigure, ...] = (*CUT_FIGURES, *FINISHED_FIGURES)
    every = {figure.name: figure for figure in figures}
    if name in every:
        return every[name]
    told = say("There is no figure called {name}.", words={"name": name[:60]})
    raise CommandError(did_you_mean(told, name, every))


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, as everything here does, and tells help as an answer."""

    def error(self, message: str) -> NoReturn:
        # argparse begins with its own word for an option.
        told = message.removeprefix("argument ")
        raise usage_error("{told}; see {program} --help.", told=told, program=self.prog)

    def print_help(self, file: object = None) -> NoReturn:
        raise HelpAsked(self.format_help().rstrip("\n"))

    def read(self, words: list[str]) -> argparse.Namespace:
        """The options of a command, and as `words` its files, which may stand anywhere.

        `--` ends the options, and the value of an option may begin with a dash (POSIX Utility
        Syntax Guidelines 9, of which files need not come last here, and 10). A CommandError says
        that an option is unknown, lacks its value or is given twice.
        """
        told, files = self._parted(words)
        options, unknown = self.parse_known_args(told)
        if unknown:
            self._refuse_unknown(unknown[0])
        options.words = files
        return options

    def _parted(self, words: list[str]) -> tuple[list[str], list[str]]:
        """The options, each with its values, and the files.

        argparse alone would take a value that begins with a dash for an option, forget `--`
        where files stand on both sides of an option, and let the last of two values count.
        """
        told: list[str] = []
        files: list[str] = []
        given: dict[str, str] = {}
        rest = deque(words)
        while rest:
            word = rest.popleft()
            if word == "--":
                return told, [*files, *rest]
            if not _is_dashed(word):
                files.append(word)
                continue
            name = word.partition("=")[0] if word.startswith("--") else word[:2]
            option = self._option_string_actions.get(name)
            if option is None:
                told.append(word)  # argparse finds it unknown
                continue
            self._refuse_again(option, name, given)
            if word != name or option.nargs == 0:
                told.append(self._whole(word, name))
            elif option.nargs is None:
                told += self._with_value(name, rest)
            else:
                if not rest or _is_dashed(rest[0]) or rest[0] == STANDARD:
                    self._refuse_bare(name)
                told.append(name)
                while rest and not _is_dashed(rest[0]) and rest[0] != STANDARD:
                    told.append(rest.popleft())
        return told, files

    def _whole(self, word: str, name: str) -> str:
        """An option that has its value in it; argparse loses one that is `--`."""
        if word.removeprefix(name) in ("=--", "--"):
            self._refuse_bare(name)
        return word

    def _with_value(self, name: str, rest: deque[str]) -> list[str]:
        """An option and the word after it; as one word where a dash in it would part them."""
        if not rest or rest[0] == "--" or rest[0] in self._option_string_actions:
            self._refuse_bare(name)
        value = rest.popleft()
        if not _is_dashed(value):
            return [name, value]
        return [f"{name}={value}" if name.startswith("--") else f"{name}{value}"]

    def _refuse_bare(self, name: str) -> NoReturn:
        metavar = self._option_string_actions[name].metavar
        words = {"name": name, "value": str(metavar)}
        self.error(say("{name} must be followed by {value}", words=words).text())

    def _refuse_again(self, option: argparse.Action, name: str, given: dict[str, str]) -> None:
        """Options that list something may come again, others may not."""
        if isinstance(self.get_default(option.dest), list):
            return
        before = given.get(option.dest, "")
        if before and before != name:
            raise usage_error("Give {one} or {other}, not both.", one=before, other=name)
        refuse_twice("given", [before, name])
        given[option.dest] = name

    def _refuse_unknown(self, word: str) -> NoReturn:
        is_long = word.startswith("--")
        word = word.partition("=")[0] if is_long else word
        told = say("There is no option {name}.", words={"name": word})
        if is_long:
            told = did_you_mean(told, word, self._option_string_actions)
        else:
            told = say(
                "{told} A file whose name begins with a dash goes after --.", terms={"told": told}
            )
        see = say(
            "{told} See {program} --help.", terms={"told": told}, words={"program": self.prog}
        )
        raise CommandError(see)


def command_parser(command: str, files: str, options: str, does: Template) -> Parser:
    """A parser of the files and changes that every command takes; `does` is a whole sentence."""
    parser = Parser(
        prog=f"cornerwright {command}",
        usage=f"cornerwright {command} {files} {options} {CHANGES}",
        description=say(
            "{does} Without BAG, a bag file, the demo bag is used; - is standard input or, in "
            "place of a file to write, standard output. -- ends the options.",
            terms={"does": does},
        ).text(),
        allow_abbrev=False,
    )
    add_changes(parser)
    return parser


CHANGES: Final = "[--set NAME=LENGTH] [--choose NAME=WORD] [--without PART] [--zip-lengths LENGTHS]"


def add_changes(parser: Parser) -> None:
    """Let a command change the bag: `CHANGES`."""
    known = (f"{name}={'|'.join(each.words)}" for name, each in COMMAND_CHOICES.items())
    choices = Listing(tuple(known), Last.COMMA)
    parser.add_argument(
        "--set",
        dest="changes",
        action="append",
        default=[],
        type=partial(_named_change, "set", mark("give NAME=LENGTH, such as panel_width=18.5in")),
        metavar="NAME=LENGTH",
        help=mark('change a measure: panel_width=18.5, front_trim="1 1/2in", handle_gap=12cm'),
    )
    parser.add_argument(
        "--choose",
        dest="changes",
        action="append",
        type=partial(_named_change, "choose", mark("give NAME=WORD, such as board=laid-in")),
        metavar="NAME=WORD",
        help=say("choose a construction: {choices}", words={"choices": choices}).text(),
    )
    parser.add_argument(
        "--without",
        dest="changes",
        action="append",
        type=lambda text: ChangeOption("without", text, ""),
        metavar="PART",
        help=say("leave out {parts}", words={"parts": Listing(LEAVABLE, Last.OR)}).text(),
    )
    parser.add_argument(
        ZIPS,
        dest="changes",
        action="append",
        type=lambda text: ChangeOption(ZIPS, "", text),
        metavar="LENGTHS",
        help=mark(
            "lengths in which your shop sells zips, where the bag’s file names none: "
            "'12in; 14in; 18in'"
        ),
    )


def writing_parser(command: str, files: str, options: str, does: Template) -> Parser:
    """A parser for a command that writes a file."""
    parser = command_parser(command, files, f"{options} [--replace]", does)
    add_replace(parser)
    return parser


def add_replace(parser: Parser) -> None:
    """Let a command write over a file."""
    parser.add_argument(
        "--replace", action="store_true", help=mark("write over a file that is there already")
    )


def reporting_parser(command: str, does: Template) -> Parser:
    """A parser for a command that prints text, or one JSON object."""
    parser = command_parser(command, "[BAG]", "[--json]", does)
    add_json(parser)
    return parser


def add_json(parser: Parser) -> None:
    """Let a command print its answer as JSON."""
    parser.add_argument(
        "--json", action="store_true", help=mark("print one JSON object, lengths in mm")
    )


def add_currency(parser: Parser) -> None:
    """Let a command tell prices in a currency."""
    parser.add_argument(
        "--currency",
        metavar="CODE",
        default="",
        help=mark("the currency of your prices, such as EUR; without it they are plain numbers"),
    )


def _is_dashed(word: str) -> bool:
    return word.startswith("-") and word != STANDARD


def _named_change(option: str, wrong: str, text: str) -> ChangeOption:
    name, equals, value = text.partition("=")
    if not (equals and name.strip()):
        raise argparse.ArgumentTypeError(wrong)
    return ChangeOption(option, name.strip(), value)
