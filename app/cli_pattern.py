"""The figures, check and export commands: a bag's numbers and its pattern. No Qt here."""

from typing import Final

from app.cli_answer import DONE, Answer
from app.cli_files import PDF, Place, place_to_write, refuse_clashes, written, wrong
from app.cli_options import bag_asked_for, reporting_parser, writing_parser
from app.report import as_json, figures_text, findings_text, show_in, with_near_told
from app.report_filled import with_filled
from core.compute import Result, compute
from core.errors import CornerwrightError
from core.findings import Severity

STOPPED: Final = 1
"""Only from `check`: a finding is a stop."""


def figures_command(words: list[str]) -> Answer:
    """Carry out `figures`.

    Raises:
        CommandError: the options are wrong.
    """
    options = reporting_parser("figures", "print every cut and finished figure").read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    return Answer(
        as_json(with_filled(result)) if options.json else with_near_told(figures_text(result)), DONE
    )


def check_command(words: list[str]) -> Answer:
    """Carry out `check`.

    Raises:
        CommandError: the options are wrong.
    """
    options = reporting_parser("check", "print the findings; exit 1 at a stop").read(words)
    result = compute(bag_asked_for(options.words, options.changes))
    stopped = any(finding.severity is Severity.STOP for finding in result.findings)
    text = as_json(with_filled(result)) if options.json else with_near_told(findings_text(result))
    return Answer(text, STOPPED if stopped else DONE)


def export_command(words: list[str]) -> Answer:
    """Carry out `export`.

    Raises:
        CommandError: the options are wrong, or the pattern cannot be made or written.
    """
    parser = writing_parser(
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
    refuse_clashes([Place(out)], files)
    place = place_to_write(out, endings=(PDF,), replaces=options.replace)
    bag = bag_asked_for(files, options.changes)
    try:
        pattern = _pattern(compute(bag), options.paper)
    except CornerwrightError as error:
        raise wrong("{told}", told=error.sentence.text(show_in(bag.unit))) from error
    return written([(place, pattern)])


def _pattern(result: Result, paper: str | None) -> bytes:
    # Only an export pays for the writer.
    from core.paper.papers import paper_named, usual_paper
    from core.paper.pdf import pdf_bytes
    from core.paper.plan import PrintOptions, usual_overlap

    unit = result.bag.unit
    chosen = usual_paper(unit) if paper is None else paper_named(paper)
    options = PrintOptions(paper=chosen, overlap=usual_overlap(unit), show=show_in(unit))
    return pdf_bytes(result, options)
