"""The steps and booklet commands: how a bag is sewn, as text, JSON, PDF or HTML. No Qt here."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from app.cli_answer import Answer
from app.cli_options import (
    bag_asked_for,
    place_to_write,
    project_asked_for,
    refuse_bag_itself,
    reporting_parser,
    saved_text,
    writing_parser,
    wrong,
)
from app.report import show_in
from core.compute import Result, compute
from core.errors import CornerwrightError, ShowLength
from core.findings import Severity
from core.project import Project
from core.sewing.steps import Step, pressing_text, steps, steps_object
from core.units import Unit

_INDENT: Final = "      "


def steps_command(words: list[str]) -> Answer:
    """Carry out `steps`.

    Raises:
        CommandError: the options are wrong.
    """
    options = reporting_parser("steps", "tell how the bag is sewn, step by step").read(words)
    bag = bag_asked_for(options.words, options.changes)
    result = compute(bag)
    found = steps(result)
    show = show_in(bag.unit)
    if options.json:
        told = steps_object(found, show)
        return Answer(json.dumps(told, indent=2, ensure_ascii=False, allow_nan=False), 0)
    return Answer("\n".join(_lines(result, found, show)), 0)


def _lines(result: Result, found: tuple[Step, ...], show: ShowLength) -> Iterator[str]:
    yield f"{_plain(result.bag.name)}: {len(found)} steps"
    # Who sews by these steps may never have seen the findings.
    stops = [each for each in result.findings if each.severity is Severity.STOP]
    yield from (f"stop: {_plain(each.message.text(show))} [{each.code}]" for each in stops)
    for step in found:
        operation = step.operation
        yield ""
        yield f"{step.number:>3}.  {_plain(operation.title.text(show))}"
        if step.change is not None:
            told = " ".join(each.text(show) for each in step.change.sentences)
            yield f"{_INDENT}* Change the machine: {told}"
            if operation.spare is not None and step.change.before is not None:
                yield f"{_INDENT}  Without a change: {operation.spare.text(show)}"
        yield from (f"{_INDENT}{_plain(each.text(show))}" for each in operation.do)
        if operation.pressing is not None:
            yield f"{_INDENT}Iron: {pressing_text(operation.pressing).text(show)}."
        if operation.look is not None:
            yield f"{_INDENT}Look: {_plain(operation.look.text(show))}"
        caution = step.caution(show)
        if caution:
            yield f"{_INDENT}Mind: {_plain(caution)}"


def booklet_command(words: list[str]) -> Answer:
    """Carry out `booklet`.

    Raises:
        CommandError: the options are wrong, or the file cannot be written.
    """
    parser = writing_parser(
        "booklet",
        "[BAG] OUT.pdf|.html",
        "[--paper NAME]",
        "write the sewing booklet: sizes, what to buy, cutting plan, steps with drawings",
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help="A4, Letter or another cut sheet; without it, Letter for a bag in inches and A4 for "
        "others",
    )
    options = parser.read(words)
    if not options.words:
        raise wrong("Name the file to write, such as booklet.pdf or booklet.html.")
    *files, out = options.words
    refuse_bag_itself(Path(out), files)
    path = place_to_write(out, endings=(".pdf", ".html"), replaces=options.replace)
    if options.paper is not None and path.suffix.lower() == ".html":
        raise wrong("--paper is for a PDF: a page of HTML takes the paper of its printer.")
    project = project_asked_for(files, options.changes)
    try:
        _write(project, path, options.paper)
    except CornerwrightError as error:
        told = error.sentence.text(show_in(project.bag.unit))
        raise wrong("{told}", told=told) from error
    return Answer(saved_text(path), 0)


def _write(project: Project, path: Path, paper: str | None) -> None:
    # Only a booklet pays for its writers.
    from core.paper.booklet.content import BookletOptions, booklet
    from core.paper.booklet.html import export_booklet_html
    from core.paper.booklet.pdf import export_booklet_pdf
    from core.paper.papers import A4, LETTER, paper_named

    result = compute(project.bag)
    unit = result.bag.unit
    usual = LETTER if unit is Unit.INCH else A4
    sheet = usual if paper is None else paper_named(paper)
    told = booklet(result, BookletOptions(unit=unit, load=project.load, making=project.making))
    if path.suffix.lower() == ".pdf":
        export_booklet_pdf(told, path, sheet)
    else:
        export_booklet_html(told, path)


def _plain(text: str) -> str:
    """A text out of a file as one line that cannot steer a terminal."""
    return "".join(sign if sign.isprintable() else " " for sign in text)
