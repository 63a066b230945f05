"""The redesign command: the finished sizes wanted, the pattern that has them. No Qt here."""

import argparse
from dataclasses import replace
from typing import Final

from app.cli.answer import DONE, Answer, say_if_done, usage_error
from app.cli.files import (
    Destination,
    bag_paths,
    interruptions_held,
    place_to_write,
    refuse_clashes,
    saved_text,
)
from app.cli.options import (
    add_json,
    cut_value_of,
    figure_named,
    length_of,
    project_asked_for,
    refuse_twice,
    told_in,
    writing_parser,
)
from app.cli.report import (
    as_json,
    changes_text,
    findings_text,
    show_in,
    with_filled,
    with_near_told,
)
from core.bag.bag import Bag
from core.bag.figures import is_box, label_of
from core.base.atomic_write import is_same_file
from core.base.quantities import parse_volume
from core.base.sanitize import json_for_terminal
from core.base.sentences import mark
from core.base.units import NEAR, Unit, format_length, parse_length
from core.model.figures import CutFigure, Quantity
from core.redesign.redesign import redesign, slivers_left
from core.redesign.request import RedesignRequest, check_typed
from core.redesign.rounding import exact, on_ruler
from core.storage.bag_files import backup_of, project_to_bytes, write_project
from core.storage.project import NamedBag, Project

_LEAST_RULER: Final = 0.1
"""mm; no ruler is finer."""
_MOST_RULER: Final = 100.0


def redesign_command(words: list[str]) -> Answer:
    """Carry out `redesign`; CommandError: wrong options, or no bag has what is wanted."""
    options = _options(words)
    place = None if options.out is None else _place(options)
    project = project_asked_for(options.words, options.changes)
    bag = project.bag
    request = RedesignRequest(
        wants=_wants(options.want, bag.unit),
        holds=_holds(options.hold),
        matched=not options.corners_may_part,
    )
    if options.corners_may_part and (boxes := [*filter(is_box, {*request.wants, *request.holds})]):
        raise usage_error(
            "{name} is the size of a bag whose corners close: leave out --corners-may-part.",
            name=label_of(min(boxes)),
        )
    for name in request.holds & request.wants.keys():
        raise usage_error("{name} is both wanted and held: ask for one of the two.", name=name)
    step = None if options.ruler is None else _ruler(options.ruler, bag.unit)
    with told_in(bag.unit):
        exactly = redesign(bag, request)
        found = exact(exactly) if step is None else on_ruler(exactly, step)
    if found.slivers:
        say_if_done(slivers_left(found.slivers).text(show_in(bag.unit)))
    warning = ""
    if place is not None:
        kept = _to_keep(project, found.result.bag)
        if place.path is None:
            content = project_to_bytes(kept, source=mark("The bag"))
            return Answer(json_for_terminal(content.decode()).encode(), DONE)
        with interruptions_held():
            lost = write_project(kept, place.path)
        warning = "" if lost is None else lost.text()
    if options.json:
        return Answer(as_json(with_filled(found.result), rounded=found.cost), DONE, warning)
    unit = _unit_of(bag, step)
    told = [changes_text(bag, found.result, found.cost, unit=unit), findings_text(found.result)]
    if place is not None:
        told.append(saved_text(place))
    return Answer(with_near_told("\n\n".join(told)), DONE, warning)


def _place(options: argparse.Namespace) -> Destination:
    """Where the new bag goes. Over its own file it may, as any saving does, if that is asked."""
    refuse_clashes([Destination(options.out)], options.words, prints=options.json, may_be_bag=True)
    place = place_to_write(options.out, replaces=options.replace)
    for bag in bag_paths(options.words):
        if place.path and place.path.exists() and is_same_file(backup_of(place.path), bag):
            raise usage_error(
                "Writing over {file} would first keep it as {bag}, which is the bag file: "
                "give another name.",
                file=place.name,
                bag=str(bag),
            )
    return place


def _options(words: list[str]) -> argparse.Namespace:
    parser = writing_parser(
        "redesign",
        "[BAG]",
        "--want NAME=LENGTH... [--hold NAME...] [--ruler STEP] [-o OUT] [--json]",
        mark("Change the pattern so that the finished bag has the sizes wanted."),
    )
    parser.add_argument(
        "--want",
        nargs="+",
        action="extend",
        default=[],
        metavar="NAME=LENGTH",
        help=mark("a figure and its new value: gusset_depth=7.5in, filled_volume=20L"),
    )
    parser.add_argument(
        "--hold",
        nargs="+",
        action="extend",
        default=[],
        metavar="NAME",
        help=mark("figures that stay exactly as they are"),
    )
    parser.add_argument(
        "--ruler", metavar="STEP", help=mark("round the cut figures to this ruler step")
    )
    parser.add_argument(
        "-o", dest="out", metavar="OUT", help=mark("write the new bag to this file")
    )
    add_json(parser)
    parser.add_argument(
        "--corners-may-part",
        action="store_true",
        help=mark("do not keep the edges of the corner seams equally long"),
    )
    options = parser.read(words)
    if not options.want:
        raise usage_error("Say what is wanted, such as --want gusset_depth=7.5in.")
    return options


def _to_keep(project: Project, after: Bag) -> Project:
    """What is written: the new bag, and with it the one that it came from, as the window does."""
    starting = project.starting or NamedBag(name=mark("Starting bag"), bag=project.bag)
    return replace(project, bag=after, starting=starting)


def _holds(names: list[str]) -> frozenset[str]:
    held = [figure_named(name.strip()).name for name in names]
    refuse_twice("held", held)
    return frozenset(held)


def _wants(texts: list[str], unit: Unit) -> dict[str, float]:
    wants = [_want(text, unit) for text in texts]
    refuse_twice("wanted", [name for name, _ in wants])
    return dict(wants)


def _want(text: str, unit: Unit) -> tuple[str, float]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip():
        raise usage_error("--want {text}: give NAME=LENGTH, such as gusset_depth=7.5in.", text=text)
    figure = figure_named(name.strip())
    if isinstance(figure, CutFigure):
        return figure.name, cut_value_of(figure, value, unit)
    try:
        volume = figure.quantity is Quantity.VOLUME
        size = parse_volume(value) if volume else parse_length(value, unit=unit)
    except ValueError as error:
        raise usage_error("{label}: {told}.", label=figure.label, told=str(error)) from error
    with told_in(unit):
        check_typed(figure.name, size)
    return figure.name, size


def _ruler(text: str, unit: Unit) -> float:
    step = length_of(mark("Ruler step"), text, unit)
    if not _LEAST_RULER <= step <= _MOST_RULER:
        raise usage_error("Ruler step is {text}: it must be between 0.1 mm and 100 mm.", text=text)
    return step


def _unit_of(bag: Bag, step: float | None) -> Unit:
    """The unit in which the ruler step can be read: the bag's own, or mm."""
    off = step is not None and format_length(step, unit=bag.unit).startswith(NEAR)
    return Unit.MM if off else bag.unit
