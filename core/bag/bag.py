"""The bag: its parts put together, the tables of its figures, and its draft."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import chain
from types import MappingProxyType
from typing import Any, cast

from core.bag.parts import Parts
from core.bag.tables import (
    BODY,
    CUT_FIGURES,
    SANDWICH,
    SUPPLIES,
    TOP,
    cut_figure,
    labels_with,
    word_of,
)
from core.base.compared import Compared
from core.base.errors import FieldError
from core.base.sentences import Last, Listing, Sentence, Term, mark, say
from core.base.units import Unit
from core.bodies.body import Body
from core.flat.piece import CutFrom, Mark, Piece
from core.flat.roles import EdgeRef, Face
from core.flat.seam import Draft, Seam, draft
from core.goods.layers import Layer, Sandwich
from core.goods.supplies import Supplies
from core.model.figures import NO_TAKE_UP, CutFigure, FinishedFigure, Limit, Quantity, TakeUp
from core.model.findings import Allowance, Crossing
from core.model.record import BAG_NAME
from core.parts.part import Part
from core.parts.table import PAIRS
from core.site.owner import Owner
from core.site.site import Mouth, Site
from core.tops.top import Top


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Bag(Compared):
    """One whole design. An edit replaces it.

    Attributes:
        name: what the maker calls it, at most `core.base.errors.BAG_NAME` long.
        unit: the unit that bare numbers are in.
        supplies: goods that are no layer of the wall, and what notions cost.
        take_up: what sewing leaves of its drawn sizes, where that is known and allowed for.
            It is the project's (`core.storage.project`), and no part of a bag's record.
        shop_zips: in which the maker's shop sells zips, mm, ascending; None: the usual lengths.
            It is the project's too, from what the maker prefers; a bag is the same in any shop.
        parts: what is laid on, or goes into, the body, by slot.
        site: what the parts see of the bag around them; follows from the rest.
    """

    name: str
    unit: Unit
    body: Body
    top: Top
    parts: Parts = field(default_factory=Parts)
    sandwich: Sandwich
    supplies: Supplies = field(default_factory=Supplies)
    take_up: TakeUp = NO_TAKE_UP
    shop_zips: tuple[float, ...] | None = field(default=None, compare=False)
    site: Site = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        BAG_NAME.check(self.name, field="name")
        mouth = self.body.mouth()
        self.top.check_fit(mouth)
        self._check_ring()
        # Worked out once: everything that follows from a bag asks for it several times.
        object.__setattr__(self, "site", self._seen(mouth))
        for part in self.parts.values():
            part.check_fit(self.site)

    def _check_ring(self) -> None:
        """Refuse by a FieldError a top that closes a ring on a body that could be one and is not.

        What lies on four top edges closes no strips that stand open: they are cut for a ring.
        """
        if self.top.CLOSES_RING:
            made = self.body.made_for(None, closes_ring=True)
            if made is not self.body:
                raise FieldError(say(_NO_RING), field=TOP, value=self.top.KIND)

    @property
    def members(self) -> tuple[tuple[str, Body | Top | Part], ...]:
        """(name, body, top or part) of everything that the bag is sewn of, in order."""
        return ((BODY, self.body), (TOP, self.top), *self.parts.items())

    def owner(self, name: str) -> Owner | Sandwich | Supplies | None:
        """Who owns figures by that name: one of `OWNERS`, or the supplies; None without it."""
        if name not in _ALWAYS:
            return self.parts.get(name)
        held: Owner | Sandwich | Supplies = getattr(self, name)
        return held

    def with_part(self, part: Part) -> "Bag":
        """The bag with this part in its slot."""
        return self.with_parts((part,))

    def with_parts(self, parts: Iterable[Part]) -> "Bag":
        """The bag with these parts in their slots; itself where it has them already."""
        other = [part for part in parts if self.parts.get(part.SLOT) is not part]
        return replace(self, parts=self.parts.having(*other)) if other else self

    def without(self, *slots: str) -> "Bag":
        """The bag with nothing in these slots."""
        return replace(self, parts=self.parts.without(*slots))

    @property
    def limits(self) -> tuple[Limit, ...]:
        """What the figures of this bag must keep to among themselves, beside their own limits.

        Those that are `only_for` some figure come last.
        """
        site = self.site
        parts = (limit for part in self.parts.values() for limit in part.limits(site))
        pairs = (limit for pair in PAIRS for limit in pair.limits(self.parts, site))
        return (*self.body.limits(), *self.top.limits(self.site.mouth), *parts, *pairs)

    @property
    def allowances(self) -> tuple[Allowance, ...]:
        """Of every seam that is sewn."""
        walls = self.body.allowances(self.top.allowance(self.site.mouth))
        return walls + tuple(each for part in self.parts.values() for each in part.allowances())

    @property
    def crossings(self) -> tuple[Crossing, ...]:
        """Every place where a side seam is crossed by more than its own two walls."""
        site = self.site
        found = [each for _, member in self.members for each in member.crossings(site)]
        # What crosses them without being met while they are sewn lies on none of them.
        laid_on = max((each.laid_on for each in found if each.at), default=0.0)
        return tuple(each._replace(laid_on=laid_on) if each.meets_sides else each for each in found)

    @property
    def finished_figures(self) -> frozenset[FinishedFigure]:
        """Those that its construction has, whatever its numbers are."""
        own = (each for _, held in self.members for each in held.FINISHED if held.has(each))
        pairs = (pair.FINISHED for pair in PAIRS if pair.SLOTS[0] in self.parts)
        return frozenset(chain(own, *pairs))

    def goods_of(self, piece: Piece) -> tuple[Layer, ...]:
        """The goods that a piece is cut from, outermost first; none for a zip."""
        if piece.cut_from is CutFrom.EVERY_LAYER:
            return self.sandwich.layers
        return () if piece.cut_from is CutFrom.BOUGHT else (self.site.goods(piece.id.owner),)

    @property
    def cloth(self) -> tuple[Layer, ...]:
        """Every goods that is sewn: the wall's layers, then those of parts that have their own."""
        sewn = (slot for slot, part in self.parts.items() if part.SEWN)
        own = (goods for slot in sewn if (goods := self.supplies.own_goods(slot)) is not None)
        return (*self.sandwich.layers, *own)

    def _seen(self, mouth: Mouth) -> Site:
        seats = self.body.seats()
        sewn_on = (each for part in self.parts.values() for each in part.sewn_on(seats, mouth))
        return Site(
            body=self.body.WORD,
            seats=seats,
            mouth=mouth,
            shows=self.top.shows(mouth),
            closed=self.top.CLOSES,
            filled_by=self.top.FILLED_BY,
            rolled=self.top.rolled,
            sandwich=self.sandwich,
            supplies=self.supplies,
            unit=self.unit,
            take_up=self.take_up,
            shop_zips=self.shop_zips,
            sewn_on=tuple(sewn_on),
            floor=self.body.floor(),
        )


_NO_RING = mark(
    "This top closes a ring of strips, and those of this bag are cut to stay open at the top: "
    "hem them, or sew a facing to them."
)
_ALWAYS = frozenset((BODY, TOP, SANDWICH, SUPPLIES))
"""Who is in every bag, and how the bag calls it."""


def cut_value(bag: Bag, name: str) -> float | None:
    """A cut figure of this bag, mm or pieces; None when it lacks the part."""
    return _value_of(bag, cut_figure(name))


def _value_of(bag: Bag, figure: CutFigure) -> float | None:
    owner = bag.owner(figure.part)
    if isinstance(owner, Owner):
        return owner.value(figure, bag.site)
    value: float | None = getattr(owner, figure.attribute, None)
    return value


def with_figures(bag: Bag, changes: Mapping[str, float]) -> Bag:
    """The bag with these cut figures changed together (mm; pieces for a count).

    A FieldError: an unknown name, a part that this bag lacks, an impossible value. It is told of
    what is changed, where that is one figure: nobody touched another that it leaves no room.
    """
    try:
        return _with_figures(bag, changes)
    except FieldError as error:
        if len(changes) != 1 or error.field in changes or error.field not in _CUT_NAMES:
            raise
        ((name, value),) = changes.items()
        figure = cut_figure(name)
        if figure.quantity is not Quantity.LENGTH:
            raise
        terms: dict[str, Term] = {"label": figure.label, "told": error.sentence}
        told = say(_LEAVES_NO_ROOM, terms=terms, value=value)
        raise FieldError(told, field=name, value=value) from error


_CUT_NAMES = frozenset(figure.name for figure in CUT_FIGURES)
_LEAVES_NO_ROOM = mark("{label} cannot be {value} in this bag. {told}")


def _with_figures(bag: Bag, changes: Mapping[str, float]) -> Bag:
    by_part: dict[str, dict[str, Any]] = {}
    changed = False
    for name, value in changes.items():
        figure = cut_figure(name)
        figure.check(value)
        was = _value_of(bag, figure)
        if was is None:
            reason = lacking(bag, figure)
            sentence = say(CANNOT_BE_SET, terms={"label": figure.label, "reason": reason})
            raise FieldError(sentence, field=name, value=value)
        # "-0" is 0: two bags that are the same must also be written the same.
        typed = int(value) if figure.quantity is Quantity.COUNT else float(value) + 0.0
        by_part.setdefault(figure.part, {})[figure.attribute] = typed
        changed = changed or typed != was
    if not changed:
        return bag
    made: dict[str, Any] = {SANDWICH: bag.sandwich, SUPPLIES: bag.supplies}
    if wall := by_part.pop(SANDWICH, None):
        made[SANDWICH] = replace(bag.sandwich, **wall)
    parts: list[Part] = []
    for name, values in by_part.items():
        owner = cast("Owner", bag.owner(name))
        new, width = owner.with_values(values, bag.site)
        if width is not None:
            goods = bag.site.goods(name)
            made[SANDWICH] = made[SANDWICH].with_width_of(goods, width)
            made[SUPPLIES] = made[SUPPLIES].with_width_of(goods, width)
        if isinstance(new, Part):
            parts.append(new)
        else:
            made[name] = new
    if parts:
        made["parts"] = bag.parts.having(*parts)
    return replace(bag, **made)


def lacking(bag: Bag, figure: CutFigure | FinishedFigure) -> Sentence:
    """Why a bag has no such figure, as a clause with its full stop."""
    owner = bag.owner(figure.part)
    own = isinstance(owner, Owner) and figure in (*owner.FIGURES, *owner.FINISHED)
    if isinstance(owner, Owner) and isinstance(figure, CutFigure):
        lack = owner.lacks(figure)
        if lack is not None:
            return lack
    others = Listing(labels_with(figure), Last.OR)
    if isinstance(owner, Body) and others.items and not own:
        return say(_OTHER_BODY, terms={"others": others, "own": owner.LABEL})
    if isinstance(figure, FinishedFigure):
        return say("this bag has none.")
    word = word_of(figure)
    if isinstance(owner, Owner) and word == owner.WORD:  # a zip, and yet not of that kind
        return say(_OTHER_TOP, terms={"others": others, "own": owner.LABEL})
    return say("this bag has no {part}.", terms={"part": word})


_OTHER_BODY = mark("it belongs to the construction {others}, and this bag is cut as: {own}.")
_OTHER_TOP = mark("it belongs to the top {others}, and that of this bag is: {own}.")
CANNOT_BE_SET = mark("{label} cannot be set: {reason}")
"""Of a figure that the bag does not have: the reason is a clause with its full stop."""


_NO_MARKS: Mapping[Face, tuple[Mark, ...]] = MappingProxyType(dict.fromkeys(Face, ()))


def draft_bag(bag: Bag) -> Draft:
    """Draw the pieces of a bag and join them with seams, mm."""
    site = bag.site
    laid_on: tuple[Top | Part, ...] = (bag.top, *bag.parts.values())
    marks: dict[Face, list[Mark]] = {face: [] for face in _NO_MARKS}
    for part in laid_on:
        for face, drawn in part.marks(site):
            marks[face].append(drawn)
    pieces = bag.body.pieces({face: tuple(drawn) for face, drawn in marks.items()})
    for part in laid_on:
        pieces += part.pieces(site)
    return draft(pieces, _seams(bag))


def draft_walls(bag: Bag) -> Draft:
    """Only what the finished figures are measured on: body, top and their seams.

    The same drawing as in `draft_bag` without marks and laid-on parts: what a solver
    that measures the bag hundreds of times can afford.
    """
    pieces = bag.body.pieces(_NO_MARKS) + bag.top.pieces(bag.site)
    return draft(pieces, _wall_seams(bag))


def _wall_seams(bag: Bag) -> tuple[Seam, ...]:
    return bag.body.seams() + bag.top.seams(bag.site.mouth) + bag.body.seams_after()


def _seams(bag: Bag) -> tuple[Seam, ...]:
    """Seams do not change length when parts are caught in them."""
    parts, seams = bag.parts.values(), []
    lying: dict[EdgeRef, list[EdgeRef]] = {}
    for part in parts:
        for wall, own in part.caught(bag.site):
            lying.setdefault(wall, []).append(own)
    for seam in _wall_seams(bag):
        held = [each for each in seam.one + seam.other if each in lying] if lying else ()
        caught = (*seam.caught, *(own for each in held for own in lying[each]))
        seams.append(seam._replace(caught=caught) if held else seam)
    for part in parts:
        seams += part.seams()
    return tuple(seams)
