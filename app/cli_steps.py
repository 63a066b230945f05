"""The steps and booklet commands: how a bag is sewn, as text, JSON, PDF or HTML. No Qt here."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from app.cli_answer import DONE, Answer
from app.cli_files import PDF, STANDARD, Place, place_to_write, refuse_clashes, written, wrong
from app.cli_options import bag_asked_for, project_asked_for, reporting_parser, writing_parser
from app.cli_progress import progress_line
from app.report import json_text, show_in, with_near_told
from core.compute import Result, compute
from core.errors import CornerwrightError, ShowLength
from core.findings import Severity
from core.goods.money import checked_currency
from core.project import Project
from core.sewing.steps import Step, pressing_text, steps, steps_object
from core.signs import on_one_title
from core.units import Unit

if TYPE_CHECKING:
    from core.paper.booklet.blocks import Booklet

_INDENT: Final = "      "
HTML: Final = ".html"


def steps_command(words: list[str]) -> Answer:
    """Carry out `steps`.

    Raises:
        CommandError: the options are wrong.
    """
    options = reporting_parser("steps", "show how the bag is sewn, step by step").read(words)
    bag = bag_asked_for(options.words, options.changes)
    result = compute(bag)
    found = steps(result)
    show = show_in(bag.unit)
    if options.json:
        return Answer(json_text(steps_object(found, show)), DONE)
    return Answer(with_near_told("\n".join(_lines(result, found, show))), DONE)


def _lines(result: Result, found: tuple[Step, ...], show: ShowLength) -> Iterator[str]:
    yield f"{on_one_title(result.bag.name)}: {len(found)} steps"
    # Who sews by these steps may never have seen the findings.
    stops = [each for each in result.findings if each.severity is Severity.STOP]
    yield from (f"stop: {on_one_title(each.message.text(show))} [{each.code}]" for each in stops)
    for step in found:
        operation = step.operation
        yield ""
        yield f"{step.number:>3}.  {on_one_title(operation.title.text(show))}"
        if step.change is not None:
            told = " ".join(each.text(show) for each in step.change.sentences)
            yield f"{_INDENT}* Change the machine settings: {told}"
            if operation.spare is not None and step.change.before is not None:
                yield f"{_INDENT}  Or without changing them: {operation.spare.text(show)}"
        yield from (f"{_INDENT}{on_one_title(each.text(show))}" for each in operation.do)
        if operation.pressing is not None:
            yield f"{_INDENT}Iron: {pressing_text(operation.pressing).text(show)}."
        if operation.look is not None:
            yield f"{_INDENT}Check: {on_one_title(operation.look.text(show))}"
        caution = step.caution(show)
        if caution:
            yield f"{_INDENT}Caution: {on_one_title(caution)}"


def booklet_command(words: list[str]) -> Answer:
    """Carry out `booklet`.

    Raises:
        CommandError: the options are wrong, or the file cannot be written.
    """
    parser = writing_parser(
        "booklet",
        "[BAG] OUT.pdf|.html",
        "[--paper NAME] [--currency CODE] [--html]",
        "write the sewing booklet: sizes, what to buy, cutting plan, steps with drawings",
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help="A4, Letter or another cut sheet; without it, Letter for a bag in inches and A4 for "
        "others",
    )
    parser.add_argument(
        "--currency",
        metavar="CODE",
        default="",
        help="the currency of your prices, such as EUR; without it they are plain numbers",
    )
    parser.add_argument("--html", action="store_true", help="write HTML to standard output, -")
    options = parser.read(words)
    if not options.words:
        raise wrong("Name the file to write, such as booklet.pdf or booklet.html.")
    *files, out = options.words
    refuse_clashes([Place(out)], files)
    if options.html and out != STANDARD:
        raise wrong("--html is for standard output, -: a file is HTML if its name ends in .html.")
    endings = (HTML,) if options.html else (PDF, HTML)
    place = place_to_write(out, endings=endings, replaces=options.replace)
    is_html = options.html or (place.path is not None and place.path.suffix.lower() == HTML)
    if options.paper is not None and is_html:
        raise wrong(
            "--paper is for a PDF: an HTML page is printed on the paper that your "
            "browser is set to."
        )
    project = project_asked_for(files, options.changes)
    try:
        with progress_line() as tell:
            tell("Making the booklet")
            made = _booklet(project, checked_currency(options.currency))
            content = _html(made) if is_html else _pdf(made, project.bag.unit, options.paper)
    except CornerwrightError as error:
        told = error.sentence.text(show_in(project.bag.unit))
        raise wrong("{told}", told=told) from error
    return written([(place, content)])


def _pdf(booklet: "Booklet", unit: Unit, paper: str | None) -> bytes:
    # Only a booklet pays for its writers.
    from core.paper.booklet.pdf import booklet_pdf
    from core.paper.papers import paper_named, usual_paper

    sheet = usual_paper(unit) if paper is None else paper_named(paper)
    return booklet_pdf(booklet, sheet)


def _html(booklet: "Booklet") -> bytes:
    from core.paper.booklet.html import booklet_html

    return booklet_html(booklet).encode()


def _booklet(project: Project, currency: str) -> "Booklet":
    from core.paper.booklet.content import BookletOptions, booklet

    options = BookletOptions(
        unit=project.bag.unit, load=project.load, making=project.making, currency=currency
    )
    return booklet(compute(project.bag), options)
