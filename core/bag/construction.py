"""A change of construction: the same finished sizes in another body, with what can go along.

A top that the new mouth cannot take becomes another one, and parts that the new faces cannot take
are left out; whoever remembers what was left gets both back. Lengths are mm.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial, reduce
from typing import NamedTuple

from core.bag.allowances import with_allowances
from core.bag.bag import Bag, with_figures
from core.bag.compute import Around, measure_walls
from core.bag.parts import Parts
from core.bag.tables import TOP
from core.base.errors import FieldError
from core.base.sentences import Listing, Sentence, mark, say
from core.base.tolerance import LENGTH_TOLERANCE, same_length
from core.bodies.body import Body
from core.model.figures import NO_TAKE_UP, TakeUp
from core.parts.part import Part
from core.site.owner import Choice, Moved, Surround
from core.site.site import Finished, Site
from core.tops.table import TOPS
from core.tops.top import Top


class Ahead:
    """The bag around an owner as it will be: with a body that the present top may not go with.

    Its finished sizes are those of the present bag, which stay.
    """

    def __init__(self, bag: Bag, site: Site) -> None:
        self.bag, self.parts, self.site = bag, bag.parts, site
        self.top: object = bag.top

    @classmethod
    def with_body(cls, bag: Bag, body: Body) -> "Ahead":
        """The bag with this body, and no top yet."""
        if body is bag.body:
            return cls(bag, bag.site)
        around = replace(
            bag.site, body=body.WORD, seats=body.seats(), mouth=body.mouth(), floor=body.floor()
        )
        return cls(bag, around)

    @property
    def finished(self) -> Finished:
        """The finished figures of the present bag."""
        return measure_walls(self.bag)


def tops_of(body: Body) -> tuple[type[Top], ...]:
    """The kinds of top that can be sewn to such a body, in reading order."""
    return tuple(
        kind
        for kind in TOPS
        if kind.refused(body.made_for(None, closes_ring=kind.CLOSES_RING).mouth()) is None
    )


def tops_on(body: Body) -> tuple[type[Top], ...]:
    """The kinds of top that can be sewn to this body as it is, in reading order."""
    mouth = body.mouth()
    return tuple(kind for kind in TOPS if kind.refused(mouth) is None)


def with_construction(bag: Bag, kind: type[Body], left: Bag | None = None) -> Bag:
    """The bag in another construction, with the finished sizes that both have.

    What sewing takes up was measured on the present construction and does not go along: the new
    pattern is drawn in the sizes that the present bag is sewn to. One that comes back as it was
    has the take-up that it was drawn for.

    Args:
        bag: as it is.
        kind: of the new body.
        left: the bag when that construction was left, if it is remembered. Its body comes back as
            it was where no size was changed since; else its way of being made does, in the
            present sizes. So does its top, where it was this change's way that took it.

    A FieldError: there can be no such bag.
    """
    made = _changed(bag, kind.fresh)
    if left is None or not isinstance(left.body, kind):
        return made
    there = _changed(left, type(bag.body).fresh)
    gone = type(there.top) is type(bag.top) and type(there.top) is not type(left.top)
    is_untouched = bag.top == there.top  # nobody changed it since it was made to go along
    tops = (left.top, bag.top) if gone or is_untouched else (bag.top, left.top)
    try:
        if _same_sizes(made, _changed(there, kind.fresh)):
            made = _changed(bag, lambda around: left.body, tops, left.take_up)
            # Too short a zip was so before, and is as it was.
            made = replace(made, top=left.top) if is_untouched else made
        else:
            made = _as_left(_changed(bag, kind.fresh, tops), left)
    except FieldError:
        pass
    for part in _as_they_were(bag, left):
        made = _with_along(made, part, left)
    return made


Remaking = Callable[[Surround, Body | None], Body]
"""The bag around a body, and the body that was left, if it is remembered -> it made otherwise."""


def with_body(bag: Bag, make: Remaking, left: Bag | None = None) -> Bag:
    """The bag with its body made in another way; top and parts go along as far as they can.

    Where it must have another top its finished sizes stay as well. `left`: the bag when that way
    was left, if it is remembered: what of top and parts nobody changed since comes back.
    A FieldError: there can be no such bag.
    """
    if left is None or type(left.body) is not type(bag.body):
        return _remade(bag, make, (bag.top,))
    tops = (left.top, bag.top) if _went_along(bag, left) else (bag.top,)
    made = _remade(bag, make, tops, left.body)
    if alike(made.body, left.body):  # but for the dust of sums
        made = replace(made, body=left.body)
    for part in _as_they_were(bag, left):
        made = _with_along(made, part, left)
    return made


def _went_along(bag: Bag, left: Bag) -> bool:
    """Whether the top is as it was made for this body when the other way was left."""
    try:
        return _remade(left, lambda around, kept: bag.body, (left.top,)).top == bag.top
    except FieldError:
        return False


def _remade(bag: Bag, make: Remaking, tops: Sequence[Top], left: Body | None = None) -> Bag:
    """The bag with its body made so, the first top that goes with it, and its parts that do."""
    refused: FieldError | None = None
    for top, _ in _tops(bag, tops):
        try:
            other = _retopped(bag, make, top, left)
        except FieldError as error:
            refused = refused or error
            continue
        for part in bag.parts.values():
            other = _with_along(other, part, bag)
        return other
    assert refused is not None  # the present top is always tried
    raise refused


def _retopped(bag: Bag, make: Remaking, top: Top | type[Top], left: Body | None) -> Bag:
    """The bag without its parts, with a body made so and this top; a FieldError: there is none."""
    around: Surround = Around(bag)
    for _ in range(2):  # what shows of the top is known once it is there
        body = make(around, left)
        mouth = body.mouth()
        refused = top.refused(mouth)
        if refused is not None:
            raise FieldError(refused, field=TOP, value=top.KIND)
        made = top if isinstance(top, Top) else top.fresh(Ahead.with_body(bag, body))
        more = made.shows(mouth) - bag.site.shows
        around = Ahead(bag, replace(bag.site, shows=made.shows(mouth), closed=top.CLOSES))
    if not same_length(more, 0.0):
        changes, _ = body.with_allowances({}, more)
        of_name = {figure.name: figure.attribute for figure in body.FIGURES}
        values = {of_name[name]: round(size, 9) for name, size in changes.items()}
        body, _ = body.with_values(values, bag.site)
    other = replace(bag, body=body, top=made, parts=Parts())
    is_own = made is bag.top or made is not top
    return other if is_own else with_figures(other, made.keep_sizes({}, _GROWN, other.site))


def alike(one: Body, other: Body) -> bool:
    """Whether two bodies of one construction are cut to the same sizes."""
    sizes = ((getattr(one, each.attribute), getattr(other, each.attribute)) for each in one.FIGURES)
    return all(same_length(*pair) for pair in sizes)


def _as_they_were(bag: Bag, left: Bag) -> Iterator[Part]:
    """Parts of the bag that was left that are as they went along from there."""
    was, now = Around(left), Around(bag)
    for slot, part in left.parts.items():
        try:
            as_it_was = bag.parts.get(slot) == part.along(was, now)
        except FieldError:  # it could not go along, and whatever there is came otherwise
            continue
        if as_it_was:
            yield part


class Aside(NamedTuple):
    """A part that another construction did not take as it was.

    Attributes:
        part: as it was.
        home: the bag that it was so in.
        instead: what the bag has in its place; None: it was left out.
    """

    part: Part
    home: Bag
    instead: Part | None


def with_back(was: Bag, bag: Bag, aside: Iterable[Aside]) -> Bag:
    """The bag with those parts from where they were as they are, that nobody changed since.

    `was` is the bag in the construction that was left last.
    """
    for part, home, instead in aside:
        if was.parts.get(part.SLOT) == instead:
            bag = _with_along(bag, part, home)
    return bag


def put_aside(aside: Mapping[str, Aside], was: Bag, now: Bag) -> dict[str, Aside]:
    """What is aside once a construction was changed: by slot, as before."""
    own = {slot: Aside(part, was, part) for slot, part in was.parts.items()}
    own |= {slot: each for slot, each in aside.items() if each.instead == was.parts.get(slot)}
    return {
        slot: each._replace(instead=now.parts.get(slot))
        for slot, each in own.items()
        if now.parts.get(slot) != each.part
    }


def lost_with_construction(was: Bag, now: Bag) -> Sentence | None:
    """What a change of construction took, as it is told; None for nothing.

    What the bag is now comes first, and why last: where there is little room, the end goes.
    """
    lost = [part.WORD for slot, part in was.parts.items() if slot not in now.parts]
    other = [
        part.WORD
        for slot, part in was.parts.items()
        if slot in now.parts and not _may_be_as_it_is(part, now)
    ]
    told: list[Sentence] = []
    if type(was.top) is not type(now.top):
        told.append(say(_OTHER_TOP, terms={"top": now.top.LABEL}))
    if other:
        told.append(say(_MADE_OTHERWISE, terms={"parts": Listing(other)}))
    if lost:
        told.append(say(_LEFT_OUT, terms={"parts": Listing(lost)}))
    if was.take_up != now.take_up:
        told.append(say(_NO_TAKE_UP if now.take_up == NO_TAKE_UP else _OWN_TAKE_UP))
    if type(was.top) is not type(now.top):
        refused = type(was.top).refused(now.site.mouth)
        if refused is not None or not _has_room(now, was.top):  # else what was left came back
            told.append(refused or say(_NO_ROOM))
    return reduce(following, told, None)


def _has_room(bag: Bag, top: Top) -> bool:
    try:
        replace(bag, top=top)
    except FieldError:
        return False
    return True


def following(one: Sentence | None, other: Sentence | None) -> Sentence | None:
    """One sentence after another, or what there is of them."""
    if one is None or other is None:
        return other if one is None else one
    return say("{one} {two}", terms={"one": one, "two": other})


def _changed(
    bag: Bag,
    make: Callable[[Surround], Body],
    tops: Sequence[Top] = (),
    take_up: TakeUp = NO_TAKE_UP,
) -> Bag:
    """The bag with a body made for it, the first top that goes with it, and its parts that do.

    `tops` are tried before new ones; without any the present one is. `take_up` is what the body
    is drawn for.
    """
    refused: FieldError | None = None
    for top, fresh in _tops(bag, tops or (bag.top,)):
        try:
            other = replace(_topped(bag, make, top, fresh=fresh), take_up=take_up)
        except FieldError as error:
            refused = refused or error
            continue
        for part in bag.parts.values():  # in an order in which one makes room for the next
            other = _with_along(other, part, bag)
        return other
    assert refused is not None  # the present top is always tried
    raise refused


def _tops(bag: Bag, tops: Sequence[Top]) -> Iterator[tuple[Top | type[Top], bool]]:
    """Tops to try, the most like the present one first, and whether each is made anew."""
    for top in tops:
        if top is bag.top or top.CLOSES == bag.top.CLOSES or top is tops[0]:
            yield top, False
    # One that takes some of the height in is the maker's own choice.
    alike = (kind for kind in TOPS if kind.CLOSES == bag.top.CLOSES and not kind.FILLED_BY)
    for kind in dict.fromkeys((type(bag.top), *alike, *TOPS)):
        yield kind, True


def _topped(
    bag: Bag, make: Callable[[Surround], Body], top: Top | type[Top], *, fresh: bool
) -> Bag:
    """The bag without its parts, with a body made for it and this top.

    A FieldError: that cannot be.
    """
    around: Surround = Around(bag)
    for _ in range(2):  # what shows of the top is known once it is there
        body = make(around).made_for(bag.site, closes_ring=top.CLOSES_RING)
        mouth = body.mouth()
        refused = top.refused(mouth)
        if refused is not None:
            raise FieldError(refused, field=TOP, value=top.KIND)
        made = top if isinstance(top, Top) else top.fresh(Ahead.with_body(bag, body))
        shows = made.shows(mouth)
        if same_length(shows, around.site.shows):
            break
        around = Ahead(
            bag, replace(bag.site, shows=shows, closed=top.CLOSES, filled_by=top.FILLED_BY)
        )
    other = replace(bag, body=body, top=made, parts=Parts())
    if fresh:
        return other
    longer = made.keep_sizes({}, _GROWN, other.site) if made is bag.top else {}
    return with_figures(other, longer)


def _may_be_as_it_is(part: Part, bag: Bag) -> bool:
    """Whether a part need not be made in another way for a bag of this construction."""
    try:
        return part.made_for(bag.site) is part
    except FieldError:
        return False


def _with_along(bag: Bag, part: Part, was: Bag) -> Bag:
    """The bag with this part of another; without it where it cannot go along to it.

    A part that must be made otherwise may have no such sizes at all: a leg shorter than nothing.
    """
    try:
        return _having(bag, part.along(Around(was), Around(bag)))
    except FieldError:
        return bag


def _having(bag: Bag, part: Part) -> Bag:
    """The bag with this part; without it where it has no place for it."""
    try:
        return bag.with_part(part.made_for(bag.site))
    except FieldError:
        return bag


def _same_sizes(one: Bag, other: Bag) -> bool:
    """Whether two bags of one construction measure the same, as they are told at a glance."""
    names = {*one.body.SOLVING.asked, *one.body.telling()}
    sizes: list[Finished] = [measure_walls(one), measure_walls(other)]
    return all(_same(*(each[name] for each in sizes)) for name in names)


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return same_length(one, other)


def _as_left(bag: Bag, left: Bag) -> Bag:
    """The bag made in the way of the one that was left: its allowances, and its words.

    What cannot be so in the present sizes stays as it is.
    """
    own = left.body.allowances(left.top.allowance(left.site.mouth))
    for allowance in own:
        bag = _allowing(bag, {allowance.figure: allowance.size})
    for choice in bag.body.CHOICES:
        word = choice.read(left.body)
        if word is not None and choice.read(bag.body) != word:
            bag = _as_large(bag, partial(_worded, bag, choice, word))
    return bag


def _allowing(bag: Bag, wanted: Mapping[str, float]) -> Bag:
    """The bag with this allowance; as it is where that would take something from its sizes."""
    changes = with_allowances(bag, wanted)
    if changes is None:
        return bag
    return _as_large(bag, partial(with_figures, bag, _rounded(changes)))


def _as_large(bag: Bag, make: Callable[[], Bag]) -> Bag:
    """What is made of a bag; the bag where it cannot be, or would be of other sizes."""
    try:
        other = make()
    except FieldError:
        return bag
    return other if _same_sizes(bag, other) else bag


def _worded(bag: Bag, choice: Choice, word: str) -> Bag:
    return replace(bag, body=choice.write(bag.body, word, Around(bag), None))


def _rounded(changes: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, 9) for name, value in changes.items()}


_GROWN = Moved(width=LENGTH_TOLERANCE, top=0.0)
"""How a bag has grown to where it is now: a zip that is too short for it becomes longer."""
_OTHER_TOP = mark("The top of this bag is now: {top}.")
_NO_ROOM = mark("The top that was there has no room in this construction.")
_MADE_OTHERWISE = mark("Made in another way, as this construction asks: {parts}.")
_NO_TAKE_UP = mark("No take-up is allowed for: it was measured on another construction.")
_OWN_TAKE_UP = mark("The take-up that was measured on this construction is allowed for.")
_LEFT_OUT = mark("Left out, as this construction cannot take it: {parts}.")
