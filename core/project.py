"""A project: the bag on the table and what the maker keeps beside it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from core.bag import CUT_FIGURES, FINISHED_FIGURES, Bag
from core.errors import FieldError, Sentence
from core.foreign import ForeignEntry
from core.redesign.sample import Sample
from core.sewing.load import Load

MOST_VARIANTS = 50
LONGEST_NAME = 80

_FIGURES = frozenset(each.name for each in CUT_FIGURES) | frozenset(
    each.name for each in FINISHED_FIGURES
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A bag that is kept under a name: the starting bag, or a variant."""

    name: str
    bag: Bag

    def __post_init__(self) -> None:
        if not self.name.strip() or len(self.name) > LONGEST_NAME:
            sentence = Sentence(
                "Name is “{value}”: it must be a name of 1 to {most} characters.",
                words={"value": self.name[:20], "most": str(LONGEST_NAME)},
            )
            raise FieldError(sentence, field="name", value=self.name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Project:
    """Everything that one file holds.

    Attributes:
        bag: the bag on the table.
        starting: the bag that changes are told against; None until one is named.
        variants: redesigns kept beside it, their names all different.
        sample: what a sewn sample measured.
        pinned: names of figures that a redesign keeps as they are.
        corners_matched: whether a redesign keeps the corners matched.
        ticked: keys of sewing steps that are done.
        load: what is said of load and thread; None for the usual ones.
        foreign: entries of the file that this program does not know, and keeps.
    """

    bag: Bag
    starting: Kept | None = None
    variants: tuple[Kept, ...] = ()
    sample: Sample | None = None
    pinned: frozenset[str] = frozenset()
    corners_matched: bool = True
    ticked: frozenset[str] = frozenset()
    load: Load | None = None
    foreign: tuple[ForeignEntry, ...] = ()

    def __post_init__(self) -> None:
        names = [variant.name for variant in self.variants]
        if len(names) > MOST_VARIANTS:
            sentence = f"Variants: there are {len(names)}; a file keeps at most {MOST_VARIANTS}."
            raise FieldError(sentence, field="variants", value=len(names))
        for name in names:
            if names.count(name) > 1:
                raise FieldError(
                    Sentence("Two variants are called “{name}”.", words={"name": name}),
                    field="variants",
                    value=name,
                )
        for name in self.pinned - _FIGURES:
            raise FieldError(
                Sentence("There is no figure called {name}.", words={"name": name[:60]}),
                field="pinned",
                value=name,
            )

    def with_variant(self, name: str, bag: Bag) -> "Project":
        """The project with this bag kept under a name; a variant of that name is replaced.

        Raises:
            FieldError: the name is empty or too long, or there are too many variants.
        """
        kept = Kept(name=name.strip(), bag=bag)
        others = {variant.name: variant for variant in self.variants}
        others[kept.name] = kept
        return replace(self, variants=tuple(others.values()))

    def without_variant(self, name: str) -> "Project":
        """The project without the variant of that name."""
        return replace(self, variants=tuple(v for v in self.variants if v.name != name))

    def with_variant_renamed(self, name: str, other: str) -> "Project":
        """The project with one variant under another name, in its place.

        Raises:
            FieldError: the new name is empty, too long, or another variant's.
        """
        kept = tuple(
            Kept(name=other.strip(), bag=each.bag) if each.name == name else each
            for each in self.variants
        )
        return replace(self, variants=kept)

    def variant(self, name: str) -> Bag:
        """The bag of a variant; KeyError when there is none."""
        bags: Mapping[str, Bag] = {variant.name: variant.bag for variant in self.variants}
        return bags[name]
