"""The commands on one bag: its numbers, its pattern, how it is sewn, a redesign. No Qt here."""

import argparse
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from app.cli.answer import DONE, Answer, progress_line, say_beside, usage_error
from app.cli.files import (
    PDF,
    STANDARD,
    Place,
    bag_paths,
    interruptions_held,
    place_to_write,
    refuse_clashes,
    saved_text,
    written,
)
from app.cli.options import (
    bag_asked_for,
    cut_value_of,
    figure_named,
    project_asked_for,
    refuse_twice,
    reporting_parser,
    writing_parser,
)
from app.cli.report import (
    as_json,
    changes_text,
    figures_text,
    findings_text,
    json_text,
    show_in,
    with_filled,
    with_near_told,
)
from core.bag.bag import Bag
from core.bag.compute import Result, compute
from core.bag.figures import is_box, label_of
from core.base.atomic_write import is_same_file
from core.base.errors import CommandError, CornerwrightError
from core.base.quantities import checked_currency, parse_volume
from core.base.sanitize import json_for_terminal, on_one_title
from core.base.sentences import ShowLength, mark, plural, say, typed
from core.base.units import NEAR, LengthTextError, Unit, format_length, parse_length
from core.model.figures import CutFigure, Quantity
from core.model.findings import Severity
from core.redesign.request import RedesignRequest, check_typed
from core.redesign.rounding import Rounded, exact, on_ruler
from core.redesign.solve import redesign, slivers_left
from core.sewing.steps import Step, steps, steps_object
from core.storage import backup_of, project_to_bytes, write_project
from core.storage.project import NamedBag, Project

if TYPE_CHECKING:
    from core.output.booklet.blocks import Booklet


STOPPED: Final = 1
"""Only from `check`: a finding is a stop."""


def figures_command(words: list[str]) -> Answer:
    """Carry out `figures`; a CommandError says that the options are wrong."""
    options = reporting_parser("figures", mark("Print every cut and finished figure.")).read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    return Answer(
        as_json(with_filled(result)) if options.json else with_near_told(figures_text(result)), DONE
    )


def check_command(words: list[str]) -> Answer:
    """Carry out `check`; a CommandError says that the options are wrong."""
    options = reporting_parser("check", mark("Print the findings; exit 1 at a stop.")).read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    stopped = any(finding.severity is Severity.STOP for finding in result.findings)
    text = as_json(with_filled(result)) if options.json else with_near_told(findings_text(result))
    return Answer(text, STOPPED if stopped else DONE)


def export_command(words: list[str]) -> Answer:
    """Carry out `export`; CommandError: wrong options, or no pattern can be made or written."""
    parser = writing_parser(
        "export", "[BAG] OUT.pdf", "[--paper NAME]", mark("Write the pattern, true to scale.")
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help=mark(
            "A4, A3, A0, Letter, Legal, Tabloid, or a roll such as “roll 24in”; "
            "without it, Letter for a bag in inches and A4 for others"
        ),
    )
    options = parser.read(words)
    if not options.words:
        raise usage_error("Name the file to write, such as pattern.pdf.")
    *files, out = options.words
    refuse_clashes([Place(out)], files)
    place = place_to_write(out, endings=(PDF,), replaces=options.replace)
    bag = bag_asked_for(files, options.changes)
    try:
        pattern = _pattern(compute(bag), options.paper)
    except CornerwrightError as error:
        raise CommandError(typed(error.sentence.text(show_in(bag.unit)))) from error
    return written([(place, pattern)])


def _pattern(result: Result, paper: str | None) -> bytes:
    # Only an export pays for the writer.
    from core.drawing.lettering import Wording
    from core.output.papers import PrintOptions, paper_asked_for
    from core.output.pattern_pdf import pdf_bytes

    unit = result.bag.unit
    wording = Wording(show=show_in(unit))
    chosen = paper_asked_for(paper, unit)
    return pdf_bytes(result, PrintOptions.usual(unit, paper=chosen, wording=wording))


_INDENT: Final = "      "
HTML: Final = ".html"


def steps_command(words: list[str]) -> Answer:
    """Carry out `steps`; a CommandError says that the options are wrong."""
    options = reporting_parser("steps", mark("Show how the bag is sewn, step by step.")).read(words)
    bag = bag_asked_for(options.words, options.changes)
    result = compute(bag)
    found = steps(result)
    show = show_in(bag.unit)
    if options.json:
        return Answer(json_text(steps_object(found, show)), DONE)
    return Answer(with_near_told("\n".join(_lines(result, found, show))), DONE)


def _lines(result: Result, found: tuple[Step, ...], show: ShowLength) -> Iterator[str]:
    words = {"bag": on_one_title(result.bag.name)}
    steps_of = plural("{bag}: 1 step", "{bag}: {count} steps")
    yield say(steps_of, words=words, numbers={"count": len(found)}).text()
    # Who sews by these steps may never have seen the findings.
    stops = [each for each in result.findings if each.severity is Severity.STOP]
    for each in stops:
        told = say("stop: {told}", terms={"told": each.message}).text(show)
        yield f"{on_one_title(told)} [{each.code}]"
    for step in found:
        operation = step.operation
        yield ""
        yield f"{step.number:>3}.  {on_one_title(operation.title.text(show))}"
        if step.change is not None:
            told = " ".join(each.text(show) for each in step.change.sentences)
            change = say("Change the machine settings: {settings}", words={"settings": told})
            yield f"{_INDENT}* {change.text()}"
            if step.without_change is not None:
                other = {"how": step.without_change}
                kept = say("Or without changing them: {how}", terms=other).text(show)
                yield f"{_INDENT}  {kept}"
        yield from (f"{_INDENT}{on_one_title(each.text(show))}" for each in operation.instructions)
        if operation.pressing is not None:
            iron = say("Iron: {how}.", terms={"how": operation.pressing.text})
            yield f"{_INDENT}{iron.text(show)}"
        if operation.check is not None:
            check = say("Check: {what}", terms={"what": operation.check})
            yield f"{_INDENT}{on_one_title(check.text(show))}"
        caution = step.caution(show)
        if caution:
            told = say("Caution: {what}", words={"what": on_one_title(caution)}).text()
            yield f"{_INDENT}{told}"


def booklet_command(words: list[str]) -> Answer:
    """Carry out `booklet`; CommandError: wrong options, or a file that cannot be written."""
    parser = writing_parser(
        "booklet",
        "[BAG] OUT.pdf|.html",
        "[--paper NAME] [--currency CODE] [--html]",
        mark("Write the sewing booklet: sizes, what to buy, cutting plan, steps with drawings."),
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help=mark(
            "A4, Letter or another cut sheet; without it, Letter for a bag in inches and A4 for "
            "others"
        ),
    )
    parser.add_argument(
        "--currency",
        metavar="CODE",
        default="",
        help=mark("the currency of your prices, such as EUR; without it they are plain numbers"),
    )
    parser.add_argument(
        "--html", action="store_true", help=mark("write HTML to standard output, -")
    )
    options = parser.read(words)
    if not options.words:
        raise usage_error("Name the file to write, such as booklet.pdf or booklet.html.")
    *files, out = options.words
    refuse_clashes([Place(out)], files)
    if options.html and out != STANDARD:
        raise usage_error(
            "--html is for standard output, -: a file is HTML if its name ends in .html."
        )
    endings = (HTML,) if options.html else (PDF, HTML)
    place = place_to_write(out, endings=endings, replaces=options.replace)
    is_html = options.html or (place.path is not None and place.path.suffix.lower() == HTML)
    if options.paper is not None and is_html:
        raise usage_error(
            "--paper is for a PDF: an HTML page is printed on the paper that your "
            "browser is set to."
        )
    project = project_asked_for(files, options.changes)
    try:
        with progress_line() as tell:
            tell(mark("Making the booklet"))
            made = _booklet(project, checked_currency(options.currency))
            content = _html(made) if is_html else _pdf(made, project.bag.unit, options.paper)
    except CornerwrightError as error:
        told = typed(error.sentence.text(show_in(project.bag.unit)))
        raise CommandError(told) from error
    return written([(place, content)])


def _pdf(booklet: "Booklet", unit: Unit, paper: str | None) -> bytes:
    # Only a booklet pays for its writers.
    from core.output.booklet.pdf import booklet_pdf
    from core.output.papers import paper_asked_for

    return booklet_pdf(booklet, paper_asked_for(paper, unit))


def _html(booklet: "Booklet") -> bytes:
    from core.output.booklet.html import booklet_html

    return booklet_html(booklet).encode()


def _booklet(project: Project, currency: str) -> "Booklet":
    from core.output.booklet.content import BookletOptions, booklet

    options = BookletOptions(
        unit=project.bag.unit, load=project.load, making=project.making, currency=currency
    )
    return booklet(compute(project.bag), options)


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
    found = _asked(bag, request, step)
    if found.slivers:
        say_beside(slivers_left(found.slivers).text(show_in(bag.unit)))
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


def _place(options: argparse.Namespace) -> Place:
    """Where the new bag goes. Over its own file it may, as any saving does, if that is asked."""
    refuse_clashes([Place(options.out)], options.words, prints=options.json, may_be_bag=True)
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
    parser.add_argument(
        "--json", action="store_true", help=mark("print one JSON object, lengths in mm")
    )
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
        check_typed(figure.name, size)
    except ValueError as error:
        raise usage_error("{label}: {told}.", label=figure.label, told=str(error)) from error
    except CornerwrightError as error:
        raise CommandError(typed(error.sentence.text(show_in(unit)))) from error
    return figure.name, size


def _ruler(text: str, unit: Unit) -> float:
    try:
        step = parse_length(text, unit=unit)
    except LengthTextError as error:
        raise usage_error("Ruler step: {told}.", told=str(error)) from error
    if not _LEAST_RULER <= step <= _MOST_RULER:
        raise usage_error("Ruler step is {text}: it must be between 0.1 mm and 100 mm.", text=text)
    return step


def _unit_of(bag: Bag, step: float | None) -> Unit:
    """The unit in which the ruler step can be read: the bag's own, or mm."""
    off = step is not None and format_length(step, unit=bag.unit).startswith(NEAR)
    return Unit.MM if off else bag.unit


def _asked(bag: Bag, request: RedesignRequest, step: float | None) -> Rounded:
    try:
        found = redesign(bag, request)
        return exact(found) if step is None else on_ruler(found, step)
    except CornerwrightError as error:
        raise CommandError(typed(error.sentence.text(show_in(bag.unit)))) from error
