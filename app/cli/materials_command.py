"""The materials command: what to buy and how to cut it, for any number of bags. No Qt here."""

import argparse
import re
from collections import Counter
from dataclasses import replace
from typing import Any, Final

from app.cli.answer import Answer, progress_line, usage_error
from app.cli.files import Destination, place_to_write, refuse_clashes, written
from app.cli.options import (
    add_currency,
    add_json,
    length_of,
    project_asked_for,
    told_in,
    writing_parser,
)
from app.cli.report import finding_object, json_text, show_in, table_lines, with_near_told
from core.bag.compute import compute
from core.bag.making import MOST_BAGS, Cutting
from core.base.errors import CommandError, did_you_mean
from core.base.quantities import checked_currency, money, thread_text, weight_text
from core.base.sanitize import on_one_title
from core.base.sentences import Last, Listing, Number, ShowLength, Term, mark, plural, say
from core.base.tolerance import clean_number
from core.base.units import Unit
from core.cutting.buying import left_out, purchases, total_lines
from core.cutting.cut_list import CutItem
from core.cutting.plan import GoodsPlan, Plan, PlanOptions
from core.cutting.planner import Planner
from core.drawing.lettering import Wording
from core.output.csv import cut_list_csv
from core.sewing.needle_and_thread import ALLOWANCE


def materials_text(plan: Plan, currency: str = "") -> str:
    """Shopping list, cut list and a summary of the cutting plan; prices are in this currency."""
    show = show_in(plan.bag.unit)
    blocks = [
        _head(plan),
        _lacking(plan, show),
        _to_buy(plan, show, currency),
        _cut_list(plan, show),
    ]
    blocks += [_plans(plan, show), _thread(plan, show)]
    return with_near_told("\n\n".join(block for block in blocks if block))


def _head(plan: Plan) -> str:
    made = plural("{bag}: materials for 1 bag", "{bag}: materials for {count} bags")
    words = {"bag": on_one_title(plan.bag.name)}
    return say(made, words=words, numbers={"count": plan.options.bags}).text()


def _lacking(plan: Plan, show: ShowLength) -> str:
    lines = []
    for goods in plan.goods:
        for _, count, finding in goods.lacking:
            told = on_one_title(finding.message.text(show))
            lines.append(f"  {finding.severity.word}: {told} [{finding.code}]")
            lines.append(f"    {left_out(count).text()}")
    return "\n".join([mark("Does not fit"), *lines]) if lines else ""


def _to_buy(plan: Plan, show: ShowLength, currency: str) -> str:
    rows = [
        (
            on_one_title(each.what.text(show)),
            each.amount.text(show),
            on_one_title(each.remark.text(show)),
            "" if each.cost is None else money(each.cost, currency),
        )
        for each in purchases(plan)
    ]
    rows += [
        (told.text(), "", "", money(cost, currency)) for told, cost in total_lines(plan, currency)
    ]
    table = table_lines(rows, right=(3,))
    return "\n".join([mark("To buy"), *table, "", _weight(plan)])


def _weight(plan: Plan) -> str:
    shown = weight_text(plan.weight, unit=plan.bag.unit)
    told = say(
        "One bag weighs {weight}: material and board, without zip, thread and trimmings.",
        words={"weight": shown},
    )
    return f"  {told.text()}"


def _cut_list(plan: Plan, show: ShowLength) -> str:
    bags = plan.options.bags
    rows: list[tuple[str, ...]] = [
        (mark("piece"), mark("cut from"), mark("number"), mark("cut"), "", mark("grain"))
    ]
    rows += [
        (
            on_one_title(item.piece.label),
            _goods_name(item),
            str(item.count * bags),
            f"{show(item.across)} x {show(item.along)}",
            "" if item.is_rectangle else mark("then trim"),
            plan.grain_of(item).text(show),
        )
        for item in plan.cut_list.items
    ]
    notes: dict[str, None] = {}
    for item in plan.cut_list.items:
        for note in item.notes:
            notes[f"  {on_one_title(item.piece.label)}: {on_one_title(note.text(show))}"] = None
    table = table_lines(rows, right=(2,))
    head = mark("Cut list: width x length, the grain runs along the length unless turned")
    return "\n".join([head, *table, *notes])


def _goods_name(item: CutItem) -> str:
    title, role = on_one_title(item.goods.title), on_one_title(item.goods.role)
    return title if title == role else f"{title} ({role})"


def _plans(plan: Plan, show: ShowLength) -> str:
    in_rows = plan.options.cutting is Cutting.ROWS
    told: list[Term] = [mark("rows, each cut from edge to edge") if in_rows else mark("free")]
    if plan.options.folded:
        told.append(mark("material folded lengthwise"))
    if plan.options.gap:
        told.append(say("{gap} between pieces", gap=plan.options.gap))
    how = {"how": Listing(told, Last.COMMA)}
    head = say("Cutting plan ({how})", terms=how).text(show)
    rows = [_plan_row(each, show) for each in plan.goods if each.laid]
    return "\n".join([head, *table_lines(rows)])


def _thread(plan: Plan, show: ShowLength) -> str:
    """What is sewn on one bag, and the thread that it takes."""
    notions, unit = plan.cut_list.notions, plan.bag.unit
    rows: list[tuple[str, ...]] = [(mark("line"), mark("length"), mark("thread"))]
    sewn: dict[str, tuple[float, float]] = {}
    for line in notions.lines:
        length, thread = sewn.get(line.label, (0.0, 0.0))
        sewn[line.label] = (length + line.length, thread + line.thread)
    rows += [
        (name, show(length), thread_text(thread, unit=unit, places=1))
        for name, (length, thread) in sewn.items()
    ]
    head = mark("Thread for one bag: every line that the machine sews")
    whole = thread_text(notions.thread, unit=unit, places=1)
    tail = say(
        "Total {thread}, with {share} % for starts, ends, hand stitches and re-threading.",
        words={"thread": whole},
        numbers={"share": Number(100 * ALLOWANCE, places=0)},
    )
    return "\n".join([head, *table_lines(rows, right=(1, 2)), f"  {tail.text()}"])


def _plan_row(plan: GoodsPlan, show: ShowLength) -> tuple[str, ...]:
    rest = plan.leftover
    left = say("nothing left over")
    if rest is not None:
        left = say(
            "largest piece left over {width} x {length}", width=rest.width, length=rest.length
        )
    used = say("{used} of {width} wide material", used=plan.length_used, width=plan.width)
    if plan.goods.in_sheets:
        used = say(
            plural("1 sheet of {width} by {length}", "{count} sheets of {width} by {length}"),
            width=plan.width,
            length=plan.goods.sheet_length,
            numbers={"count": plan.sheets},
        )
    pieces = {"share": Number(100 * plan.share_used, places=0)}
    return (
        on_one_title(plan.goods.title),
        used.text(show),
        say("{share} % pieces", numbers=pieces).text(),
        left.text(show),
    )


_WHOLE: Final = re.compile(r"[0-9]{1,9}")


def materials_command(words: list[str]) -> Answer:
    """Carry out `materials`; CommandError: wrong options, or a file that cannot be written."""
    options = _options(words)
    project = project_asked_for(options.words, options.changes)
    bag = project.bag
    with told_in(bag.unit):
        asked = _asked(options, PlanOptions.of(project.making), bag.unit)
        currency = checked_currency(options.currency)
        places = _places(options)
        with progress_line() as tell:
            tell(mark("Planning the cutting"))
            for step in Planner(compute(bag), asked).better_plans():
                tell(mark("Planning the cutting"), step.done)
            outputs: list[tuple[Destination, bytes]] = []
            for kind, place in places.items():
                tell(say("Making the {kind} file", words={"kind": kind.upper()}).text())
                outputs.append((place, _content(step.plan, kind, options.paper, currency)))
            plan = step.plan
            told = plan_json(plan, currency) if options.json else materials_text(plan, currency)
    return written(outputs, told, names_them=not options.json)


def _asked(options: argparse.Namespace, kept: PlanOptions, unit: Unit) -> PlanOptions:
    """What the bag's file keeps, but for what the options say."""
    if options.bags is not None:
        kept = replace(
            kept, bags=_count(mark("Number of bags"), options.bags, least=1, most=MOST_BAGS)
        )
    if options.gap is not None:
        kept = replace(kept, gap=length_of(mark("Gap"), options.gap, unit))
    if options.cutting is not None:
        kept = replace(kept, cutting=_cutting(options.cutting))
    if options.folded is not None:
        kept = replace(kept, folded=options.folded)
    if options.mixed_grain is not None:
        kept = replace(kept, mixed_grain=options.mixed_grain)
    return replace(kept, seed=_count(mark("Seed"), options.seed, least=0, most=999_999_999))


def _options(words: list[str]) -> argparse.Namespace:
    parser = writing_parser(
        "materials",
        "[BAG]",
        "[--bags N] [--json] [--csv FILE] [--pdf FILE] [--paper NAME] [--cutting WAY] "
        "[--folded | --no-folded] "
        "[--mixed-grain | --no-mixed-grain] [--gap LENGTH] [--currency CODE]",
        mark(
            "Show what to buy and how to cut it; options that are not given are as saved in the "
            "bag file."
        ),
    )
    parser.add_argument("--bags", metavar="N", help=mark("how many are made, 1 to 1000"))
    add_json(parser)
    parser.add_argument("--csv", metavar="FILE", help=mark("write the cut list for a spreadsheet"))
    parser.add_argument(
        "--pdf", metavar="FILE", help=mark("write shopping list, cut list and plans")
    )
    parser.add_argument(
        "--paper",
        metavar="NAME",
        help=mark(
            "of the PDF: A4, Letter or another cut sheet; without it, Letter for a bag in inches "
            "and A4 for others"
        ),
    )
    parser.add_argument(
        "--cutting",
        metavar="WAY",
        help=mark("free, or rows: every cut runs from edge to edge, for a rotary cutter"),
    )
    parser.add_argument(
        "--folded",
        action=argparse.BooleanOptionalAction,
        help=mark("cut on material folded lengthwise, two at a time"),
    )
    parser.add_argument(
        "--mixed-grain",
        action=argparse.BooleanOptionalAction,
        help=mark("walls and pocket may lie at right angles on one face where that saves material"),
    )
    parser.add_argument(
        "--gap", metavar="LENGTH", help=mark("space left between pieces for cutting")
    )
    add_currency(parser)
    parser.add_argument(
        "--seed",
        metavar="N",
        default="0",
        help=(mark("where the search for a layout starts; another number may find another layout")),
    )
    return parser.read(words)


def _count(label: str, text: str, *, least: int, most: int) -> int:
    number = int(text) if _WHOLE.fullmatch(text) else -1
    if not least <= number <= most:
        raise usage_error(
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
        told = say(
            "--cutting cannot be {word}: it must be {words}.",
            words={"word": word[:60], "words": Listing(words, Last.OR)},
        )
        raise CommandError(did_you_mean(told, word, words))
    return Cutting(word)


def _places(options: argparse.Namespace) -> dict[str, Destination]:
    """Kind of file -> where it goes; what is wrong with one is said before any work is done."""
    asked = {kind: getattr(options, kind) for kind in ("csv", "pdf")}
    names = {kind: out for kind, out in asked.items() if out is not None}
    if options.paper is not None and "pdf" not in names:
        raise usage_error("--paper is for a PDF: name one with --pdf FILE.")
    refuse_clashes(list(map(Destination, names.values())), options.words, prints=options.json)
    return {
        kind: place_to_write(out, endings=(f".{kind}",), replaces=options.replace)
        for kind, out in names.items()
    }


def _content(plan: Plan, kind: str, paper: str | None, currency: str) -> bytes:
    unit = plan.bag.unit
    wording = Wording(show=show_in(unit), currency=currency)
    if kind == "csv":
        return cut_list_csv(plan, wording).encode()
    # Only a PDF pays for its writer.
    from core.output.materials import materials_pdf_bytes
    from core.output.papers import paper_asked_for

    return materials_pdf_bytes(plan, paper_asked_for(paper, unit), wording)


def plan_json(plan: Plan, currency: str = "") -> str:
    """One object: goods with where each piece lies (mm), cost, weight of one bag, bags.

    The yield is a share of the used length, 0 to 1. Pieces that their goods cannot take
    are told under "findings", and a currency that is known under "currency": each is there only
    then.
    """
    names = _names(plan)
    told: dict[str, Any] = {
        "goods": [_goods_object(each, name) for each, name in zip(plan.goods, names, strict=True)],
        "cost": clean_number(plan.cost),
        "weight_kg": clean_number(plan.weight),
        "bags": plan.options.bags,
        "thread": _thread_object(plan),
    }
    if currency:
        told["currency"] = currency
    if plan.findings:
        show = show_in(plan.bag.unit)
        told["findings"] = [finding_object(each, show) for each in plan.findings]
    return json_text(told)


def _thread_object(plan: Plan) -> dict[str, Any]:
    """Lines that one bag's machine sews, with their thread; "needed" has the allowance on it."""
    notions = plan.cut_list.notions
    return {
        "needed": clean_number(notions.thread),
        "lines": [
            {
                "name": line.label,
                "stitch": line.setting.stitch.value,
                "length": clean_number(line.length),
                "thread": clean_number(line.thread),
            }
            for line in notions.lines
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
        "usable_width": clean_number(plan.width),
        "length_used": clean_number(plan.length_used),
        "length_to_buy": clean_number(plan.length_to_buy),
        "yield": clean_number(plan.yield_),
        "pieces": [
            {
                "name": each.name,
                "bag": each.bag,
                "turned": each.turned,
                "outline": [[clean_number(x), clean_number(y)] for x, y in each.outline],
            }
            for each in plan.laid
        ],
    }
