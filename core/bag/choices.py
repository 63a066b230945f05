"""Choices of construction: from their table the window makes its rows, and commands their words."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from types import MappingProxyType
from typing import Any, NamedTuple

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, with_figures
from core.bag.compute import Around
from core.bag.tables import BODY, TOP
from core.base.errors import FieldError, did_you_mean
from core.base.sentences import Last, Listing, Sentence, mark, say
from core.base.tolerance import same_length, shorter
from core.bodies.body import Body
from core.bodies.table import BODIES
from core.model.findings import Fix
from core.parts.part import Part
from core.parts.table import SLOTS
from core.site.owner import NONE, Choice, Owner
from core.tops.table import TOPS
from core.tops.top import Top


class _KeptTop(NamedTuple):
    """A top, what was allowed for it at the mouth, mm, and the body that it was sewn to."""

    top: Top
    allowance: float
    body: Body


def word_of(bag: Bag, choice: Choice) -> str | None:
    """The word that holds for a bag; None where the bag has nothing to choose."""
    owner = bag.owner(choice.part)
    if owner is None and choice.leaves_out:
        return NONE
    return choice.read(owner) if _has(owner, choice) else None


def kept_of(bag: Bag, choice: Choice) -> object:
    """What of a bag is worth remembering before a word is left; None for nothing."""
    if choice.name == _TOP.name:
        return _KeptTop(bag.top, bag.site.mouth.allowance, bag.body)
    if choice.name == _BODY.name or choice.goes_along:
        return bag
    owner = bag.owner(choice.part)
    return choice.kept(owner) if _has(owner, choice) else None


def with_word(bag: Bag, choice: Choice, word: str, kept: Any = None) -> Bag:
    """The bag with another of the words of a choice, its owner made where it lacks it.

    `kept` is what `kept_of` gave before that word was left. A FieldError: the bag cannot be so.
    """
    from core.bag.construction import with_body, with_construction

    if choice.name == _TOP.name:
        return _with_top(bag, word, kept)
    if choice.name == _BODY.name:
        return with_construction(bag, BODIES.of(word), kept)
    if word == NONE and choice.leaves_out:
        return bag.without(choice.part)
    owner, around = bag.owner(choice.part), Around(bag)
    if not _has(owner, choice):
        if choice.part == BODY:
            told = say(_OTHER_BODY, terms={"label": choice.label, "body": bag.body.LABEL})
            raise FieldError(told, field=choice.name, value=word)
        owner = kept if _has(kept, choice) else _first_with(choice).fresh(around, word)
    if choice.goes_along:
        return with_body(bag, partial(choice.write, owner, word), kept)
    made = choice.write(owner, word, around, kept)
    return bag.with_part(made) if isinstance(made, Part) else replace(bag, **{choice.part: made})


def lost_by(choice: Choice, was: Bag, now: Bag) -> Sentence | None:
    """What making a choice took from a bag, as it is told; None for nothing."""
    from core.bag.construction import following, lost_with_construction

    seam = now.site.mouth.allowance
    if choice.name == _BODY.name:
        return lost_with_construction(was, now)
    if choice.name == _TOP.name:
        other = not same_length(seam, was.site.mouth.allowance)
        told = following(_other_words(was, now), say(_OTHER_SEAM, value=seam) if other else None)
        trims = [each.site.mouth.trim for each in (was, now)]
        return following(told, say(_LEVEL) if shorter(0.0, trims[0]) and not trims[1] else None)
    before, after = was.owner(choice.part), now.owner(choice.part)
    both = _has(before, choice) and _has(after, choice)
    lost = choice.lost(before, after) if both else None
    return following(lost, lost_with_construction(was, now)) if choice.goes_along else lost


def _other_words(was: Bag, now: Bag) -> Sentence | None:
    """Which choices of its body went along with another top, as it is told; None for nothing."""
    for choice in was.body.CHOICES:
        before, after = (word_of(bag, choice) for bag in (was, now))
        if after is not None and before != after:
            chosen = dict(choice.options)[after]
            return say(_GOES_ALONG, terms={"choice": choice.label, "chosen": chosen})
    return None


def with_choice(bag: Bag, name: str, word: str) -> Bag:
    """The bag with one choice made; as it is where it is chosen already.

    A FieldError: there is no such choice or word, or the bag cannot be so.
    """
    choice = COMMAND_CHOICES.get(name)
    if choice is None:
        told = say(
            "There is no choice called {name}: it must be one of {names}.",
            words={"name": name[:60], "names": Listing(tuple(COMMAND_CHOICES), Last.COMMA)},
        )
        told = did_you_mean(told, name, COMMAND_CHOICES)
        raise FieldError(told, field=name, value=word)
    if word not in choice.words:
        told = say(
            "{name} cannot be {word}: it must be one of {words}.",
            words={"name": name, "word": word[:60], "words": Listing(choice.words, Last.COMMA)},
        )
        raise FieldError(did_you_mean(told, word, choice.words), field=name, value=word)
    return bag if word_of(bag, choice) == word else with_word(bag, choice, word)


def with_fix(bag: Bag, fix: Fix) -> Bag:
    """The bag with the change that fixes a finding.

    Raises:
        FieldError: the bag cannot be so.
    """
    if fix.without:
        bag = bag.without(*fix.without)
    for name, word in fix.choices:
        bag = with_choice(bag, name, word)
    return with_figures(bag, dict(fix.changes))


def _has(owner: object, choice: Choice) -> bool:
    """Whether it can be made as one of the choice's words, or as another one of its kind."""
    if choice.name in (_BODY.name, _TOP.name):
        return owner is not None
    return isinstance(owner, Owner) and choice in owner.CHOICES


def _first_with(choice: Choice) -> type[Owner]:
    """The first top or part, in reading order, that has a choice."""
    top = next((each.kind for each in TOPS.told if choice in each.choices), None)
    if top is not None:
        return TOPS.of(top)
    return next(kind for kind in SLOTS if choice in kind.CHOICES)


def _with_top(bag: Bag, word: str, kept: _KeptTop | None) -> Bag:
    """The bag with another top, and with a seam at its mouth that this top has a use for.

    A seam is turned into a hem as it is; a hem too deep for a seam becomes the usual one, and
    what was kept comes back: then the bag keeps its finished sizes, where it can. A FieldError
    says why its mouth takes no such top.
    """
    from core.bag.construction import Ahead

    was, kind = bag.site, TOPS.of(word)
    seam = bag.site.mouth.allowance
    body = _body_for(bag, kind, kept)
    if (refused := kind.refused(body.mouth())) is not None:
        raise FieldError(refused, field=TOP, value=word)
    if kept is not None:
        seam = kept.allowance
    elif shorter(max(kind.MOST, bag.sandwich.least_allowance), seam):
        seam = bag.site.new_allowance
    if shorter(seam, bag.site.mouth.allowance):  # before a tape that is too narrow for the hem
        bag = _allowing(bag, seam)
        body = _body_for(bag, kind, kept)
    top = kind.fresh(Ahead.with_body(bag, body)) if kept is None else kept.top
    made = _trimmed(_allowing(replace(bag, body=body, top=top), seam), kept)
    for part in made.parts.values():
        other = part.topped(was, made.site)
        made = made if other == part else made.with_part(other)
    return made


def _trimmed(bag: Bag, kept: _KeptTop | None) -> Bag:
    """The bag with its front as long as its back, but for a top that comes forward with a trim.

    With that one a trim comes back that was kept.
    """
    mouth = bag.site.mouth
    trim = mouth.trim if bag.top.TRIMMED else 0.0
    if bag.top.TRIMMED and kept is not None and not shorter(0.0, trim):
        trim = kept.body.mouth().trim
    if not mouth.trim_figure or same_length(trim, mouth.trim):
        return bag
    return with_figures(bag, {mouth.trim_figure: trim})


def _body_for(bag: Bag, kind: type[Top], kept: _KeptTop | None) -> Body:
    """The body as such a top is sewn to it: as it was when that was left, where it can be."""
    from core.bag.construction import alike

    made = bag.body.made_for(bag.site, closes_ring=kind.CLOSES_RING)
    if kept is None or type(kept.body) is not type(made):
        return made
    again = made.made_like(kept.body)
    if kind.refused(again.mouth()) is not None:
        return made
    return kept.body if alike(again, kept.body) else again  # but for the dust of sums


def _allowing(bag: Bag, seam: float) -> Bag:
    """The bag with this allowance at its mouth; as it is where it cannot be so."""
    mouth = bag.site.mouth
    if same_length(mouth.allowance, seam):
        return bag
    changes = with_allowances(bag, {mouth.allowance_figure: seam})
    if changes is None:
        return bag
    return with_figures(bag, {name: round(value, 9) for name, value in changes.items()})


_BODY = Choice(
    name="construction",
    part=BODY,
    label=mark("Construction"),
    step=mark("Change the construction"),
    help=mark(
        "How the walls and the bottom are made. Finished sizes that both have stay; a part that "
        "cannot go along is left out, and comes back where it can."
    ),
    options=tuple((each.kind, each.label) for each in BODIES.told),
    read=lambda body: body.KIND,
    write=lambda body, word, around, kept: body,
    on_command_line=True,
)
_TOP = Choice(
    name="top",
    part=TOP,
    label=mark("Top"),
    step=mark("Change the top"),
    help=mark(
        "Closed by a zip, between the top edges or in a top strip, or rolled down; or open, hemmed "
        "or with a facing. A hem that is too deep for a zip's seam becomes the "
        "usual seam, and the walls are as much shorter there."
    ),
    options=tuple((each.kind, each.label) for each in TOPS.told),
    read=lambda top: top.KIND,
    write=lambda top, word, around, kept: top,
    on_command_line=True,
)

CHOICES: tuple[Choice, ...] = (
    *((_BODY,) if len(BODIES) > 1 else ()),
    *dict.fromkeys(choice for body in BODIES.told for choice in body.choices),
    _TOP,
    *dict.fromkeys(choice for top in TOPS.told for choice in top.choices),
    *dict.fromkeys(choice for part in SLOTS for choice in part.CHOICES),
)
"""Every choice, in reading order."""

COMMAND_CHOICES: Mapping[str, Choice] = MappingProxyType(
    {choice.name: choice for choice in CHOICES if choice.on_command_line}
)
"""Name -> choice, of those that commands have."""

_GOES_ALONG = mark("This top changes another choice with it. {choice}: {chosen}.")
_LEVEL = mark("The front is as long as the back now: this top lies level.")
_OTHER_BODY = mark("{label} cannot be chosen: the construction of this bag is {body}.")
_OTHER_SEAM = mark(
    "The allowance at the top edge is now {value}; the walls are as much longer or shorter there."
)
_OPEN = next(each.kind for each in TOPS.told if not each.left_out)

LEAVABLE = (
    *(kind.SLOT for kind in SLOTS),
    *dict.fromkeys(each.left_out for each in TOPS.told if each.left_out),
)
"""Words of the parts that a bag can do without: slots, and the top that an open one replaces."""


def without_part(bag: Bag, part: str) -> Bag:
    """The bag without one of `LEAVABLE`; without its zip it has an open top.

    A FieldError where no such part can be left out.
    """
    if part and part in (each.left_out for each in TOPS.told):
        return _with_top(bag, _OPEN, None)
    if part in (kind.SLOT for kind in SLOTS):
        return bag.without(part)
    told = say(
        "There is no part called {part} that can be left out: choose {parts}.",
        words={"part": part[:60], "parts": Listing(LEAVABLE, Last.OR)},
    )
    raise FieldError(did_you_mean(told, part, LEAVABLE), field="without", value=part)
