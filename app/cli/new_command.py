"""The command for a new bag: a construction and the sizes of its box, and the file of it. No Qt."""

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from app.cli.answer import DONE, Answer, say_if_done, usage_error
from app.cli.files import (
    Destination,
    interruptions_held,
    place_to_write,
    refuse_clashes,
    saved_text,
)
from app.cli.options import (
    CHANGES,
    ChangeOption,
    Parser,
    add_changes,
    add_replace,
    length_of,
    refuse_doubles,
    refuse_twice,
    told_in,
    value_set,
    zips_sold,
)
from app.cli.report import findings_text, show_in, with_near_told
from core.bag.choices import without_part
from core.bag.figures import label_of
from core.base.errors import CommandError, did_you_mean
from core.base.sanitize import json_for_terminal, on_one_title
from core.base.sentences import Last, Listing, Sentence, mark, say
from core.base.units import Unit
from core.bodies.body import Body
from core.bodies.table import BODIES
from core.parts.table import SLOTS
from core.redesign.new_bag import NewBag, new_bag
from core.storage.bag_files import project_to_bytes, write_project
from core.storage.plain_model import plain_model
from core.storage.project import Project
from core.tops.table import TOPS

_UNITS: Final = {unit.value: unit for unit in Unit}


def new_command(words: list[str]) -> Answer:
    """Carry out `new`; CommandError: wrong options, or there is no such bag."""
    options = _options(words)
    if len(options.words) != 1:
        raise usage_error("Name the one file to write, such as new.json.")
    (out,) = options.words
    refuse_clashes([Destination(out)], [])
    place = place_to_write(out, replaces=options.replace)
    unit = _UNITS[_one_of("--unit", options.unit or Unit.MM.value, tuple(_UNITS))]
    made = _made(options, unit)
    show = show_in(unit)
    project = Project(bag=made.result.bag, shop_zips=made.result.bag.shop_zips)
    left_out = _left_out(made)
    if place.path is None:
        if left_out is not None:
            say_if_done(left_out.text(show))
        content = project_to_bytes(project, source=mark("The bag"))
        return Answer(json_for_terminal(content.decode()).encode(), DONE)
    with interruptions_held():
        lost = write_project(project, place.path)
    told = [on_one_title(f"{_cut_size(made).text(show)}.")]
    told += [] if left_out is None else [left_out.text(show)]
    told += [findings_text(made.result), saved_text(place)]
    return Answer(with_near_told("\n\n".join(told)), DONE, "" if lost is None else lost.text())


def _options(words: list[str]) -> argparse.Namespace:
    parser = Parser(
        prog="cornerwright new",
        usage="cornerwright new OUT --construction WORD --width LENGTH --depth LENGTH "
        f"--height LENGTH [--rounding LENGTH] [--unit in|mm|cm] [--top WORD] [--replace] {CHANGES}",
        description=mark(
            "Make a new bag from the finished sizes of its box, and write its file. What is "
            "changed counts before the pattern is worked out, so that every seam matches. OUT "
            "may be -, standard output. -- ends the options."
        ),
        allow_abbrev=False,
    )
    kinds, tops = (Listing(tuple(each.KIND for each in table), Last.OR) for table in (BODIES, TOPS))
    made = say("how it is made: {words}", words={"words": kinds}).text()
    parser.add_argument("--construction", metavar="WORD", required=True, help=made)
    for name, told in (
        ("width", mark("side to side, from seam to seam")),
        ("depth", mark("front to back, from seam to seam")),
        ("height", mark("from the bottom up to the top")),
    ):
        parser.add_argument(f"--{name}", metavar="LENGTH", required=True, help=told)
    rounding = mark("radius of its corners, from seam to seam; without it they are square")
    parser.add_argument("--rounding", metavar="LENGTH", help=rounding)
    unit = mark("the unit of the bag, and of bare numbers; without it, mm")
    parser.add_argument("--unit", metavar="in|mm|cm", help=unit)
    closed = say("{words}; without it, a zip that it can be closed by", words={"words": tops})
    parser.add_argument("--top", metavar="WORD", help=closed.text())
    add_replace(parser)
    add_changes(parser)
    return parser.read(words)


def _one_of(option: str, word: str, words: Sequence[str]) -> str:
    """That word, as one of these; a CommandError offers the nearest."""
    if word in words:
        return word
    told = say(
        "{name} cannot be {word}: it must be one of {words}.",
        words={"name": option, "word": word[:60], "words": Listing(tuple(words), Last.COMMA)},
    )
    raise CommandError(did_you_mean(told, word, words))


def _made(options: argparse.Namespace, unit: Unit) -> NewBag:
    changes: list[ChangeOption] = options.changes
    refuse_doubles(changes)
    kinds = {kind.KIND: kind for kind in BODIES}
    kind = kinds[_one_of("--construction", options.construction.strip(), tuple(kinds))]
    words = {"construction": kind.KIND}
    if options.top is not None:
        words["top"] = _one_of("--top", options.top.strip(), [each.KIND for each in TOPS])
    chosen = [(each.name, each.text.strip()) for each in changes if each.option == "choose"]
    refuse_twice("chosen", [*words, *(name for name, _ in chosen)])
    words |= dict(chosen)
    without = [each.name for each in changes if each.option == "without"]
    with told_in(unit):
        closed = plain_model(None, unit)
        for part in without:
            bare = without_part(closed, part)
            if type(bare.top) is not type(closed.top):  # the zip, for a top that leaves it open
                top = words.setdefault("top", bare.top.KIND)
                if any(each.LEFT_OUT for each in TOPS if top == each.KIND):
                    raise usage_error(_NO_ZIP, part=part, top=top)
        parts = [kind for kind in SLOTS if kind.SLOT not in without]
        model = replace(plain_model(words.get("top"), unit), shop_zips=zips_sold(changes, unit))
    figures = dict(value_set(each, unit) for each in changes if each.option == "set")
    sizes = _sizes(kind, options, unit)
    with told_in(unit):
        return new_bag(model, sizes, words, unit=unit, figures=figures, parts=parts)


def _sizes(kind: type[Body], options: argparse.Namespace, unit: Unit) -> Mapping[str, float]:
    """The finished figures that this construction calls width, depth, height and rounding, mm."""
    own, found = {figure.name for figure in kind.FINISHED}, {}
    for option, name in kind.BOX.sizes.items():
        text: str | None = getattr(options, option)
        if text is None:
            continue
        if name in own:
            found[name] = length_of(label_of(name), text, unit)
        elif length_of(f"--{option}", text, unit) != 0.0:
            raise usage_error(_LACKS[option], construction=kind.LABEL)
    return found


def _cut_size(made: NewBag) -> Sentence:
    template, sizes = made.result.bag.body.cut_size(made.result.draft.walls)
    return Sentence(template, sizes)


def _left_out(made: NewBag) -> Sentence | None:
    if not made.left_out:
        return None
    parts = Listing([kind.WORD for kind in SLOTS if kind.SLOT in made.left_out])
    return say("Left out, as there is no room for it: {parts}.", terms={"parts": parts})


_NO_ZIP = mark("--without {part} and the top {top} cannot both be: leave one of them out.")
_LACKS: Final = {
    "width": mark("{construction}: this construction is not made to a width; --width must be 0."),
    "depth": mark("{construction}: this construction has no depth; --depth must be 0."),
    "height": mark("{construction}: this construction has no height; --height must be 0."),
    "rounding": mark("{construction}: its corners cannot be rounded; leave out --rounding."),
}
