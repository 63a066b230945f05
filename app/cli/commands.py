"""The commands on one bag: its numbers, its pattern, how it is sewn. No Qt here."""

from collections.abc import Iterator
from typing import Final

from app.cli.answer import DONE, Answer, progress_line, usage_error
from app.cli.files import PDF, STANDARD, Destination, place_to_write, refuse_clashes, written
from app.cli.options import (
    add_currency,
    bag_asked_for,
    project_asked_for,
    reporting_parser,
    told_in,
    writing_parser,
)
from app.cli.report import (
    as_json,
    figures_text,
    findings_text,
    json_text,
    show_in,
    with_filled,
    with_near_told,
)
from core.bag.compute import Result, compute
from core.base.quantities import checked_currency
from core.base.sanitize import on_one_title
from core.base.sentences import ShowLength, mark, plural, say
from core.model.findings import Severity
from core.sewing.steps import Step, steps, steps_object
from core.storage.project import Project

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
    refuse_clashes([Destination(out)], files)
    place = place_to_write(out, endings=(PDF,), replaces=options.replace)
    bag = bag_asked_for(files, options.changes)
    with told_in(bag.unit):
        pattern = _pattern(compute(bag), options.paper)
    return written([(place, pattern)])


def _pattern(result: Result, paper: str | None) -> bytes:
    # Only an export pays for the writer.
    from core.drawing.lettering import Wording
    from core.output.papers import paper_asked_for
    from core.output.print_options import PrintOptions
    from core.output.printed_pattern import pdf_bytes

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
        return Answer(json_text(steps_object(found, result.draft, show)), DONE)
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
    add_currency(parser)
    parser.add_argument(
        "--html", action="store_true", help=mark("write HTML to standard output, -")
    )
    options = parser.read(words)
    if not options.words:
        raise usage_error("Name the file to write, such as booklet.pdf or booklet.html.")
    *files, out = options.words
    refuse_clashes([Destination(out)], files)
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
    with told_in(project.bag.unit), progress_line() as tell:
        tell(mark("Making the booklet"))
        currency = checked_currency(options.currency)
        content = _booklet(project, currency, options.paper, is_html=is_html)
    return written([(place, content)])


def _booklet(project: Project, currency: str, paper: str | None, *, is_html: bool) -> bytes:
    # Only a booklet pays for its writers.
    from core.output.booklet.content import BookletOptions, booklet

    unit = project.bag.unit
    options = BookletOptions(unit=unit, load=project.load, making=project.making, currency=currency)
    made = booklet(compute(project.bag), options)
    if is_html:
        from core.output.booklet.html import booklet_html

        return booklet_html(made).encode()
    from core.output.booklet.pdf import booklet_pdf
    from core.output.papers import paper_asked_for

    return booklet_pdf(made, paper_asked_for(paper, unit))
