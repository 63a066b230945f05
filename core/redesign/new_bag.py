"""A new bag from finished sizes: any construction, seams that match, and fresh parts.

Lengths are mm.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from types import MappingProxyType

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, cut_value, with_figures
from core.bag.choices import COMMAND_CHOICES, with_choice
from core.bag.compute import Around, Result, compute
from core.bag.construction import Ahead
from core.bag.figures import FINISHED
from core.bag.tables import BODY, CUT_FIGURES, TOP, cut_figure
from core.base.errors import CornerwrightError, FieldError
from core.base.sentences import NO_TEXT, mark, say
from core.base.tolerance import shorter
from core.base.units import Unit, default_step, round_to_step
from core.bodies.body import Body
from core.bodies.rounded import CORNER_RADIUS
from core.bodies.table import BODIES
from core.model.figures import length_refused
from core.model.findings import Allowance, Severity
from core.parts.part import Part
from core.parts.table import SLOTS
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, RedesignRequest, check_typed
from core.site.site import Finished, Site
from core.tops.table import TOPS
from core.tops.top import Top

CutSizes = Mapping[str, float]
"""Cut figure -> mm, or pieces."""
NO_SIZES: CutSizes = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class NewBag:
    """A new bag.

    Attributes:
        left_out: slots of the parts of its model that a bag of these sizes has no room for.
    """

    result: Result
    left_out: tuple[str, ...]


def new_bag(
    model: Bag,
    sizes: Mapping[str, float],
    words: Mapping[str, str],
    *,
    unit: Unit,
    figures: CutSizes = NO_SIZES,
    parts: Iterable[type[Part]] | None = None,
) -> NewBag:
    """A bag in these sizes, of the materials of a model, each of its parts made anew.

    Allowances are the usual ones, or where it is of the model's construction the model's, on the
    ruler of the unit; the zip stays as far from the top fold as it is there, where that can be. A
    part that would not suit a bag of these sizes, as its findings say, is left out.

    Args:
        model: gives materials, and which parts there are; construction and top, where no word does.
        sizes: finished figure -> mm, each that the body is asked for (`Solving.asked`), and others.
        words: choice -> its word. Without a word for the top it is one that the body takes, the
            model's or one that closes the bag as that does.
        unit: in which the bag is measured and shown.
        figures: cut figures that it has exactly; those of parts, once these are made.
        parts: what it is given where it has room for it; None: the model's.

    A ConflictError or FieldError says that there is no such bag.
    """
    laid = {name: value for name, value in figures.items() if _is_laid(cut_figure(name).part)}
    own = {name: value for name, value in figures.items() if name not in laid}
    for name, size in sizes.items():
        check_typed(name, size)
    try:
        start = _begun(replace(model.without(*model.parts), unit=unit), sizes, words, own)
    except FieldError as error:
        raise _in_what_was_asked(error, sizes, own) from error
    wants = {name: sizes[name] for name in start.body.SOLVING.asked} | dict(sizes)
    for name, size in wants.items():
        check_typed(name, size)
    start = _figured(start, own)
    sewn = {name: value for name, value in own.items() if cut_figure(name).part in _SEWN}
    found = _solved(start, {**wants, **sewn})
    # A zip as wide as before, and as long as it needs.
    topped = {name: value for name, value in own.items() if cut_figure(name).part == TOP}
    result = compute(with_figures(_with_new_top(found), topped))
    kinds = map(type, model.parts.values()) if parts is None else parts
    return _with_parts(result, kinds, words, laid)


def _in_what_was_asked(error: FieldError, sizes: Mapping[str, float], own: CutSizes) -> FieldError:
    """A refusal of a body that could not be begun, told of the asked size that led to it.

    Nobody typed the cut size that it tells else.
    """
    if error.field in own or error.field not in {each.name for each in CUT_FIGURES}:
        return error
    most = cut_figure(error.field).high
    for name, size in sizes.items():
        if size == 0.0 and name != _SQUARE:
            told = length_refused(FINISHED[name].label, size, _MORE, limit=0.0)
        elif size >= most:
            told = length_refused(FINISHED[name].label, size, _LESS, limit=most)
        else:
            continue
        return FieldError(told, field=name, value=size)
    told = say(_NO_SUCH, terms={"told": error.sentence})
    return FieldError(told, field=error.field, value=error.value)


_SQUARE = CORNER_RADIUS.name
"""Corners may be of no radius."""
_NO_SUCH = mark("No bag of these sizes can be cut. {told}")
_MORE, _LESS = mark("it must be more than {limit}."), mark("it must be less than {limit}.")


def _solved(start: Bag, wants: Mapping[str, float]) -> Bag:
    """The bag that has what is wanted; a gap that a top closes stays as long as it was made."""
    gap = start.body.BOX.gap
    if gap and start.site.mouth.ring is not None and gap not in wants:
        with suppress(ConflictError):
            return redesign(start, RedesignRequest(wants=wants, holds=frozenset({gap}))).bag
    return redesign(start, RedesignRequest(wants=wants)).bag


_SEWN = (BODY, TOP)
_NO_ALLOWANCE = Allowance(figure="", label=NO_TEXT, size=0.0)
_FIRST = ("construction", TOP)
"""Choices that settle which others there are."""


def _is_laid(owner: str) -> bool:
    """Whether it is a part's."""
    return any(owner == kind.SLOT for kind in SLOTS)


def _begun(bare: Bag, sizes: Mapping[str, float], words: Mapping[str, str], own: CutSizes) -> Bag:
    """A bag to start from, in the construction and with the top that are asked for."""
    kind = next((each for each in BODIES if words.get("construction") == each.KIND), None)
    bare = _on_ruler(bare, own)
    # A ring is made anew: how far its gap runs follows from its size.
    if kind is not None and (kind.BOX.gap or not isinstance(bare.body, kind)):
        start = _constructed(bare, kind, words.get(TOP), sizes, own)
    else:
        start = bare
        for name in _FIRST if kind is None else (TOP,):
            if name in words:
                start = with_choice(start, name, words[name])
        start = _on_ruler(start, own)
    for name, word in words.items():
        if name not in _FIRST and not _is_laid(_owner_of(name)):
            start = with_choice(start, name, word)
            top = words.get(TOP, start.top.KIND)
            if top != start.top.KIND:  # another one went along
                refused = next(kind for kind in TOPS if top == kind.KIND).refused(start.site.mouth)
                raise FieldError(refused or say(_OTHER_TOP), field=TOP, value=top)
    return _with_new_top(start)


_OTHER_TOP = mark("This top does not go with the other choices that are made.")


def _owner_of(choice: str) -> str:
    """Whose a choice is; empty for one that there is not, which is refused when it is made."""
    return COMMAND_CHOICES[choice].part if choice in COMMAND_CHOICES else ""


def _on_ruler(bag: Bag, own: CutSizes) -> Bag:
    """The bag with the figures that it would keep on the ruler of its unit."""
    ruled = {
        name: round_to_step(value, default_step(bag.unit))
        for name in bag.body.SOLVING.kept
        if name not in own and (value := cut_value(bag, name)) is not None
    }
    return with_figures(bag, ruled)


class _Asked:
    """The bag around a new body: a model's, of the sizes that are asked for.

    `top`: the kind that it will have; `shows`: how much of that shows, mm. A model's hem that is
    too deep for its seam becomes the usual one.
    """

    def __init__(
        self, bare: Bag, sizes: Mapping[str, float], top: type[Top], *, shows: float
    ) -> None:
        site = bare.site
        mouth, most = site.mouth, max(top.MOST, bare.sandwich.least_allowance)
        if shorter(most, mouth.allowance):
            runs = [run._replace(allowance=site.new_allowance) for run in mouth.runs]
            mouth = mouth._replace(runs=tuple(runs))
        self.parts: Mapping[str, object] = {}
        self.top: object = bare.top
        self.site: Site = replace(
            site, closed=top.CLOSES, filled_by=top.FILLED_BY, shows=shows, mouth=mouth
        )
        self.finished: Finished = {**dict.fromkeys(FINISHED), **sizes}


def _constructed(
    bare: Bag, kind: type[Body], word: str | None, sizes: Mapping[str, float], own: CutSizes
) -> Bag:
    """The bag with a new body, and a top that goes with it; a FieldError: there is none."""
    refused: FieldError | None = None
    for top in _tops(bare.top, word):
        shows = 0.0
        for _ in range(2):  # what shows of the top is known once it is there
            around = _Asked(bare, sizes, top, shows=shows)
            body = _having(kind.fresh(around), around.site, own)
            body = body.made_for(around.site, closes_ring=top.CLOSES_RING)
            body = _having(body, around.site, own)
            mouth = body.mouth()
            if (why := top.refused(mouth)) is not None:
                refused = refused or FieldError(why, field=TOP, value=top.KIND)
                break
            made = top.fresh(Ahead.with_body(bare, body))
            shows = made.shows(mouth)
        else:
            return replace(bare, body=body, top=made)
    assert refused is not None  # there is always one to try
    raise refused


def _tops(present: Top, word: str | None) -> Iterator[type[Top]]:
    """The one that is asked for; or all, those first that are most like the present one."""
    if word is not None:
        yield next(kind for kind in TOPS if word == kind.KIND)
        return
    alike = (kind for kind in TOPS if kind.CLOSES == present.CLOSES and not kind.FILLED_BY)
    yield from dict.fromkeys((type(present), *alike, *TOPS))


def _having(body: Body, site: Site, own: CutSizes) -> Body:
    """The body with those of its figures that are no allowances, as far as it can have each."""
    seams = {each.figure for each in body.allowances(_NO_ALLOWANCE)}
    for figure in body.FIGURES:
        if figure.name in own and figure.name not in seams and body.value(figure, site) is not None:
            figure.check(own[figure.name])
            with suppress(FieldError):
                body, _ = body.with_values({figure.attribute: own[figure.name]}, site)
    return body


def _figured(bag: Bag, own: CutSizes) -> Bag:
    """The bag with its own figures as far as it can have them in the sizes that it has.

    Allowances leave those alone. What cannot be is refused where the sizes are sought.
    """
    seams = {each.figure for each in bag.allowances}
    allowed = {name: value for name, value in own.items() if name in seams}
    if allowed and (changes := with_allowances(bag, allowed)) is not None:
        rounded = {name: round(value, 9) for name, value in changes.items()}
        bag = with_figures(bag, rounded | allowed)
    try:
        return with_figures(bag, own)
    except FieldError:
        # Those of materials have no sizes to fight with.
        return with_figures(
            bag, {name: value for name, value in own.items() if cut_figure(name).part not in _SEWN}
        )


def _with_new_top(bag: Bag) -> Bag:
    return replace(bag, top=bag.top.fresh(Around(bag)))


def _with_parts(
    found: Result, kinds: Iterable[type[Part]], words: Mapping[str, str], laid: CutSizes
) -> NewBag:
    """The bag with parts of these kinds as far as they suit it, in these words and figures."""
    left_out: list[str] = []
    for kind in kinds:  # in an order in which one makes room for the next
        more = _suiting(found, kind)
        if more is None:
            left_out.append(kind.SLOT)
        else:
            found = more
    bag = found.bag
    for name, word in words.items():
        if _is_laid(_owner_of(name)):
            bag = with_choice(bag, name, word)
    bag = with_figures(bag, laid)
    return NewBag(found if bag is found.bag else compute(bag), tuple(left_out))


def _suiting(found: Result, kind: type[Part]) -> Result | None:
    """The bag with one more part; None where that cannot be, or brings trouble."""
    try:
        more = compute(found.bag.with_part(kind.fresh(Around(found.bag, found.finished))))
    except CornerwrightError:
        return None
    known = {each.code for each in found.findings}
    troubled = any(
        each.severity >= Severity.WARN and each.code not in known for each in more.findings
    )
    return None if troubled else more
