"""The materials command: what to buy and how to cut it, for any number of bags."""

import argparse
import re
from collections import Counter
from dataclasses import replace
from typing import Any, Final

from app.cli_answer import Answer
from app.cli_files import Place, place_to_write, refuse_clashes, written, wrong
from app.cli_options import project_asked_for, writing_parser
from app.cli_progress import progress_line
from app.materials_text import materials_text
from app.report import json_text, show_in
from core.compute import compute
from core.errors import CornerwrightError, did_you_mean, listed
from core.goods.making import MOST_BAGS, Cutting
from core.goods.money import checked_currency
from core.goods.plan import GoodsPlan, Plan, PlanOptions
from core.goods.planner import Planner
from core.goods.spreadsheet import cut_list_csv
from core.units import LengthTextError, Unit, parse_length

_WHOLE: Final = re.compile(r"[0-9]{1,9}")
_PLACES: Final = 9
"""Decimals of a number in JSON, as everywhere here."""


def materials_command(words: list[str]) -> Answer:
    """Carry out `materials`.

    Raises:
        CommandError: the options are wrong, or a file cannot be written.
    """
    options = _options(words)
    project = project_asked_for(options.words, options.changes)
    bag = project.bag
    try:
        asked = _asked(options, PlanOptions.of(project.making), bag.unit)
        currency = checked_currency(options.currency)
        places = _places(options)
        with progress_line() as tell:
            tell("Planning the cutting")
            for step in Planner(compute(bag), asked).better_plans():
                tell("Planning the cutting", step.done)
            outputs: list[tuple[Place, bytes]] = []
            for kind, place in places.items():
                tell(f"Making the {kind.upper()} file")
                outputs.append((place, _content(step.plan, kind, options.paper, currency)))
            plan = step.plan
            told = plan_json(plan, currency) if options.json else materials_text(plan, currency)
    except CornerwrightError as error:
        raise wrong("{told}", told=error.sentence.text(show_in(bag.unit))) from error
    return written(outputs, told, names_them=not options.json)


def _asked(options: argparse.Namespace, kept: PlanOptions, unit: Unit) -> PlanOptions:
    """What the bag's file keeps, but for what the options say."""
    if options.bags is not None:
        kept = replace(kept, bags=_count("Number of bags", options.bags, least=1, most=MOST_BAGS))
    if options.gap is not None:
        kept = replace(kept, gap=_gap(options.gap, unit))
    if options.cutting is not None:
        kept = replace(kept, cutting=_cutting(options.cutting))
    if options.folded is not None:
        kept = replace(kept, folded=options.folded)
    if options.mixed_grain is not None:
        kept = replace(kept, mixed_grain=options.mixed_grain)
    return replace(kept, seed=_count("Seed", options.seed, least=0, most=999_999_999))


def _options(words: list[str]) -> argparse.Namespace:
    parser = writing_parser(
        "materials",
        "[BAG]",
        "[--bags N] [--json] [--csv FILE] [--pdf FILE] [--paper NAME] [--cutting WAY] "
        "[--folded | --no-folded] "
        "[--mixed-grain | --no-mixed-grain] [--gap LENGTH] [--currency CODE]",
        "show what to buy and how to cut it; options that are not given are as saved in "
        "the bag file",
    )
    parser.add_argument("--bags", metavar="N", help="how many are made, 1 to 1000")
    parser.add_argument("--json", action="store_true", help="print one JSON object, lengths in mm")
    parser.add_argument("--csv", metavar="FILE", help="write the cut list for a spreadsheet")
    parser.add_argument("--pdf", metavar="FILE", help="write shopping list, cut list and plans")
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help="of the PDF: A4, Letter or another cut sheet; without it, Letter for a bag in inches "
        "and A4 for others",
    )
    parser.add_argument(
        "--cutting",
        metavar="WAY",
        help="free, or rows: every cut runs from edge to edge, for a rotary cutter",
    )
    parser.add_argument(
        "--folded",
        action=argparse.BooleanOptionalAction,
        help="cut on material folded lengthwise, two at a time",
    )
    parser.add_argument(
        "--mixed-grain",
        action=argparse.BooleanOptionalAction,
        help="panel and pocket may lie at right angles on one face where that saves material",
    )
    parser.add_argument("--gap", metavar="LENGTH", help="space left between pieces for cutting")
    parser.add_argument(
        "--currency",
        metavar="CODE",
        default="",
        help="the currency of your prices, such as EUR; without it they are plain numbers",
    )
    parser.add_argument(
        "--seed",
        metavar="N",
        default="0",
        help=("where the search for a layout starts; another number may find another layout"),
    )
    return parser.read(words)


def _count(label: str, text: str, *, least: int, most: int) -> int:
    number = int(text) if _WHOLE.fullmatch(text) else -1
    if not least <= number <= most:
        raise wrong(
            "{label} is {text}: it must be a whole number from {least} to {most}.",
            label=label,
            text=text[:20] or "empty",
            least=str(least),
            most=str(most),
        )
    return number


def _cutting(word: str) -> Cutting:
    words = [way.value for way in Cutting]
    if word not in words:
        raise wrong(
            "--cutting cannot be {word}: it must be {words}.{hint}",
            word=word[:60],
            words=listed(words, "or"),
            hint=did_you_mean(word, words),
        )
    return Cutting(word)


def _gap(text: str, unit: Unit) -> float:
    try:
        return parse_length(text, unit=unit)
    except LengthTextError as error:
        raise wrong("Gap: {told}.", told=str(error)) from error


# --- Files ----------------------------------------------------------------------------------------


def _places(options: argparse.Namespace) -> dict[str, Place]:
    """Kind of file -> where it goes; what is wrong with one is said before any work is done."""
    asked = {kind: getattr(options, kind) for kind in ("csv", "pdf")}
    names = {kind: out for kind, out in asked.items() if out is not None}
    if options.paper is not None and "pdf" not in names:
        raise wrong("--paper is for a PDF: name one with --pdf FILE.")
    refuse_clashes(list(map(Place, names.values())), options.words, prints=options.json)
    return {
        kind: place_to_write(out, endings=(f".{kind}",), replaces=options.replace)
        for kind, out in names.items()
    }


def _content(plan: Plan, kind: str, paper: str | None, currency: str) -> bytes:
    unit = plan.bag.unit
    show = show_in(unit)
    if kind == "csv":
        return cut_list_csv(plan, currency=currency, show=show).encode()
    # Only a PDF pays for its writer.
    from core.paper.materials_pdf import MaterialsOptions, materials_pdf_bytes
    from core.paper.papers import paper_named, usual_paper

    sheet = usual_paper(unit) if paper is None else paper_named(paper)
    return materials_pdf_bytes(plan, MaterialsOptions(paper=sheet, currency=currency, show=show))


# --- JSON -----------------------------------------------------------------------------------------


def plan_json(plan: Plan, currency: str = "") -> str:
    """One object: goods with where each piece lies (mm), cost, weight of one bag, bags.

    The yield is a share of the used length, 0 to 1. Pieces that their goods cannot take
    are told under "findings", and a currency that is known under "currency": each is there only
    then.
    """
    names = _names(plan)
    told: dict[str, Any] = {
        "goods": [_goods_object(each, name) for each, name in zip(plan.goods, names, strict=True)],
        "cost": _number(plan.cost),
        "weight_kg": _number(plan.weight),
        "bags": plan.options.bags,
        "thread": _thread_object(plan),
    }
    if currency:
        told["currency"] = currency
    if plan.findings:
        told["findings"] = [
            {
                "code": finding.code,
                "severity": finding.severity.word,
                "figure": finding.figure,
                "limit": None if finding.limit is None else _number(finding.limit),
                "message": finding.message.text(show_in(plan.bag.unit)),
            }
            for finding in plan.findings
        ]
    return json_text(told)


def _thread_object(plan: Plan) -> dict[str, Any]:
    """Lines that one bag's machine sews, with their thread; "needed" has the allowance on it."""
    notions = plan.cut_list.notions
    return {
        "needed": _number(notions.thread),
        "lines": [
            {
                "name": row.name,
                "stitch": row.stitch.value,
                "length": _number(row.length),
                "thread": _number(row.thread),
            }
            for row in notions.rows
        ],
    }


def _names(plan: Plan) -> list[str]:
    """The goods' names; with their role where two would be the same."""
    titles = [each.goods.title for each in plan.goods]
    counts = Counter(titles)
    return [
        f"{title} ({each.goods.role})" if counts[title] > 1 and each.goods.role else title
        for title, each in zip(titles, plan.goods, strict=True)
    ]


def _goods_object(plan: GoodsPlan, name: str) -> dict[str, Any]:
    return {
        "name": name,
        "usable_width": _number(plan.width),
        "length_used": _number(plan.length_used),
        "length_to_buy": _number(plan.length_to_buy),
        "yield": _number(plan.yield_),
        "pieces": [
            {
                "name": each.name,
                "bag": each.bag,
                "turned": each.turned,
                "outline": [[_number(x), _number(y)] for x, y in each.outline],
            }
            for each in plan.laid
        ],
    }


def _number(value: float) -> float:
    return round(value, _PLACES) + 0.0
