"""A project: the bag on the table and what the maker keeps beside it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from types import MappingProxyType
from typing import Any, NamedTuple

from core.bag.bag import Bag
from core.bag.making import Load, Making
from core.bag.sewn_sample import Sample
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import FieldError
from core.base.sentences import say
from core.goods.supplies import checked_zip_lengths
from core.model.figures import NO_TAKE_UP, TakeUp
from core.model.record import KEPT_NAME, Extras, Record

MOST_VARIANTS = 50

KEPT_BESIDE = frozenset({"starting", "variants", "samples", "ticked"})
"""Attributes of a project that undoing the bag leaves as they are."""

_FIGURES = frozenset(each.name for each in CUT_FIGURES) | frozenset(
    each.name for each in FINISHED_FIGURES
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class NamedBag(Record):
    """A bag that is kept under a name: the starting bag, or a variant.

    Attributes:
        bag_extras: what the group of the bag itself holds in the file beside what is known.
    """

    name: str
    bag: Bag
    bag_extras: Extras = field(default=(), repr=False)

    def __post_init__(self) -> None:
        KEPT_NAME.check(self.name, field="name")
        if not self.name.strip():
            sentence = say(
                "Name is “{value}”: it must be a name of 1 to {most} characters.",
                words={"value": self.name},
                numbers={"most": KEPT_NAME.most},
            )
            raise FieldError(sentence, field="name", value=self.name)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Project(Record):
    """Everything that one file holds.

    Attributes:
        starting: the bag that changes are told against; None until one is named.
        variants: redesigns kept beside it, their names all different.
        samples: kind of body -> what a sewn sample of that construction measured.
        pinned: names of figures that a redesign keeps as they are.
        seams_matched: whether a redesign keeps seams that meet equally long.
        ticked: keys of sewing steps that are done.
        load: what is said of load and thread; None for the usual ones.
        making: how many bags are made, and how their goods are cut.
        shop_zips: in which the maker's shop sells zips, mm; None: the usual lengths. What the
            maker prefers, and no part of the file.
    """

    bag: Bag
    starting: NamedBag | None = None
    variants: tuple[NamedBag, ...] = ()
    samples: Mapping[str, Sample] = field(default_factory=dict)
    pinned: frozenset[str] = frozenset()
    seams_matched: bool = True
    ticked: frozenset[str] = frozenset()
    load: Load | None = None
    making: Making = field(default_factory=Making)
    shop_zips: tuple[float, ...] | None = field(default=None, compare=False)

    @property
    def sample(self) -> Sample | None:
        """What a sewn sample of the bag's own construction measured."""
        return self.samples.get(self.bag.body.KIND)

    @property
    def take_ups(self) -> Mapping[str, TakeUp]:
        """Kind of body -> what sewing leaves of drawn sizes, where patterns allow for it."""
        found = {kind: sample.take_up for kind, sample in self.samples.items()}
        return {kind: take_up for kind, take_up in found.items() if take_up != NO_TAKE_UP}

    def take_up_of(self, bag: Bag) -> TakeUp:
        """What sewing leaves of the drawn sizes of a bag of this construction."""
        sample = self.samples.get(bag.body.KIND)
        return NO_TAKE_UP if sample is None else sample.take_up

    def with_sample(self, kind: str, sample: Sample | None) -> "Project":
        """The project with this sample of a construction, or none."""
        samples = {key: each for key, each in self.samples.items() if key != kind}
        if sample is not None:
            samples[kind] = sample
        return replace(self, samples=samples)

    def __post_init__(self) -> None:
        object.__setattr__(self, "samples", MappingProxyType(dict(self.samples)))
        if self.shop_zips is not None:
            object.__setattr__(self, "shop_zips", checked_zip_lengths(self.shop_zips))
        self._hand_on()
        names = [variant.name for variant in self.variants]
        if len(names) > MOST_VARIANTS:
            sentence = say(
                "Variants: there are {count}; a file keeps at most {most}.",
                numbers={"count": len(names), "most": MOST_VARIANTS},
            )
            raise FieldError(sentence, field="variants", value=len(names))
        for name in names:
            if names.count(name) > 1:
                raise FieldError(
                    say("Two variants are called “{name}”.", words={"name": name}),
                    field="variants",
                    value=name,
                )
        for name in self.pinned - _FIGURES:
            raise FieldError(
                say("There is no figure called {name}.", words={"name": name[:60]}),
                field="pinned",
                value=name,
            )

    def _hand_on(self) -> None:
        """Every bag of a project is sewn by one maker, who buys in one shop."""
        object.__setattr__(self, "bag", self.as_made_here(self.bag))
        if self.starting is not None:
            object.__setattr__(self, "starting", self._kept_as_made_here(self.starting))
        variants = tuple(map(self._kept_as_made_here, self.variants))
        object.__setattr__(self, "variants", variants)

    def as_made_here(self, bag: Bag) -> Bag:
        """The bag with its construction's take-up and lengths of zips; itself where it has them.

        It stays as it is drawn, and may be sewn to other sizes.
        """
        take_up = self.take_up_of(bag)
        if bag.take_up == take_up and bag.shop_zips == self.shop_zips:
            return bag
        return replace(bag, take_up=take_up, shop_zips=self.shop_zips)

    def _kept_as_made_here(self, kept: NamedBag) -> NamedBag:
        bag = self.as_made_here(kept.bag)
        return kept if bag is kept.bag else replace(kept, bag=bag)

    def differences(self, other: "Project") -> dict[str, Any]:
        """Attribute -> what another project has there, where that differs.

        What only follows from another take-up is no difference of a starting bag or variant.
        """
        follows = self
        if other.take_ups != self.take_ups:
            follows = replace(self, bag=other.bag, samples=other.samples)
        found = {"bag": self.bag != other.bag, "samples": self.samples != other.samples}
        for name in _COMPARED:
            if name not in found:
                found[name] = getattr(follows, name) != getattr(other, name)
        return {name: getattr(other, name) for name, differs in found.items() if differs}

    def stepped(self, gone: Mapping[str, Any], come: Mapping[str, Any]) -> "Project":
        """The project after one step, done or undone; what was kept since the step stays.

        `gone` and `come`: attribute -> what the step takes away, and what it puts there.
        """
        values = dict(come)
        if "variants" in come:
            kept = _variants_stepped(self.variants, gone["variants"], come["variants"])
            values["variants"] = kept
        for name in ("starting", "ticked"):
            if name in come and getattr(self, name) != gone[name]:
                values[name] = getattr(self, name)
        if "samples" in come:
            # One always goes with the bag that was drawn for its take-up; those of others stay.
            values["samples"] = _samples_stepped(self.samples, gone["samples"], come["samples"])
        return replace(self, **values)

    def with_starting(self, name: str) -> "Project":
        """The project whose changes are told against the bag as it is, under this name.

        A name that is empty or too long is a FieldError.
        """
        if self.starting is None:
            return replace(self, starting=NamedBag(name=name, bag=self.bag))
        return replace(self, starting=replace(self.starting, name=name, bag=self.bag))

    def with_variant(self, name: str, bag: Bag) -> "Project":
        """The project with this bag kept under a name; a variant of that name is replaced.

        A name that is empty or too long is a FieldError, and so are too many variants.
        """
        name = name.strip()
        others = {variant.name: variant for variant in self.variants}
        known = others.get(name)
        new = NamedBag(name=name, bag=bag) if known is None else replace(known, bag=bag)
        others[name] = new
        return replace(self, variants=tuple(others.values()))

    def without_variant(self, name: str) -> "Project":
        """The project without the variant of that name."""
        return replace(self, variants=tuple(v for v in self.variants if v.name != name))

    def with_variant_renamed(self, name: str, other: str) -> "Project":
        """The project with one variant under another name, in its place.

        A new name that is empty, too long, or another variant's is a FieldError.
        """
        kept = tuple(
            replace(each, name=other.strip()) if each.name == name else each
            for each in self.variants
        )
        return replace(self, variants=kept)

    def variant(self, name: str) -> Bag:
        """The bag of a variant; KeyError when there is none."""
        bags: Mapping[str, Bag] = {variant.name: variant.bag for variant in self.variants}
        return bags[name]


_COMPARED = tuple(each.name for each in fields(Project) if each.compare)
"""Attributes that a project is compared by."""


def _variants_stepped(
    present: tuple[NamedBag, ...], gone: tuple[NamedBag, ...], come: tuple[NamedBag, ...]
) -> tuple[NamedBag, ...]:
    """What a step puts in the place of the variants that are still as it left them."""
    if present == gone:
        return come
    left, coming = {each.name: each for each in gone}, {each.name: each for each in come}
    stay: list[NamedBag] = []
    for each in present:
        if left.get(each.name) != each:
            stay.append(each)  # kept or replaced since
        elif each.name in coming:
            stay.append(coming[each.name])
    there = {each.name for each in stay} | left.keys()  # what was deleted since stays away
    back = [each for each in come if each.name not in there]
    return (*stay, *back[: MOST_VARIANTS - len(stay)])


def _samples_stepped(
    present: Mapping[str, Sample], gone: Mapping[str, Sample], come: Mapping[str, Sample]
) -> Mapping[str, Sample]:
    """The samples with those that a step changes as it puts them."""
    stays = {kind: each for kind, each in present.items() if gone.get(kind) == come.get(kind)}
    changes = {kind: each for kind, each in come.items() if gone.get(kind) != each}
    return {**stays, **changes}


class Removed(NamedTuple):
    """What was kept beside a bag and is no longer, so that it can be brought back.

    Attributes:
        kept: the variant or starting bag; None for a sample.
        sample: the sample; None for a bag.
        construction: kind of body that the sample was sewn of.
        place: of a variant among the others, from 0; None for what is no variant.
    """

    kept: NamedBag | None = None
    sample: Sample | None = None
    construction: str = ""
    place: int | None = None


def removed_between(before: Project, after: Project) -> tuple[Removed, ...]:
    """What the earlier project kept and the later one no longer has, under whatever name.

    Ticks are not told: to tick a step again brings its tick back.
    """
    found = [
        Removed(kept=each, place=place)
        for place, each in enumerate(before.variants)
        if all(each.name != other.name or not _same(each, other) for other in after.variants)
        and _count(before.variants, each) > _count(after.variants, each)
    ]
    starting = before.starting
    if starting is not None and (after.starting is None or not _same(starting, after.starting)):
        found.append(Removed(kept=starting))
    for kind, sample in before.samples.items():
        if sample.measured and not _has_measures(after.samples.get(kind), sample):
            found.append(Removed(sample=sample, construction=kind))
    return tuple(found)


def is_back(project: Project, lost: Removed) -> bool:
    """Whether a project has what was lost: a variant under its name, the rest under any."""
    if lost.sample is not None:
        return _has_measures(project.samples.get(lost.construction), lost.sample)
    kept, starting = lost.kept, project.starting
    if kept is None:
        return True
    if lost.place is None:
        return starting is not None and _same(starting, kept)
    return any(each.name == kept.name and _same(each, kept) for each in project.variants)


def _has_measures(sample: Sample | None, other: Sample) -> bool:
    """Whether a sample has all that was measured on another, whatever is allowed for."""
    if sample is None or sample.drawn != other.drawn:
        return False
    return other.measured.items() <= sample.measured.items()


def _count(variants: tuple[NamedBag, ...], kept: NamedBag) -> int:
    return sum(_same(kept, each) for each in variants)


def _same(one: NamedBag, other: NamedBag) -> bool:
    """Whether two kept bags are the same pattern, whatever is allowed for at present."""
    return one.bag is other.bag or replace(one.bag, take_up=other.bag.take_up) == other.bag
