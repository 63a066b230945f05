"""What the groups of a bag file hold, of which the model is made, and which are written of it."""

from types import MappingProxyType
from typing import Any, Final

from core.bag.bag import Bag
from core.bag.figures import label_of
from core.bag.making import Load, Making
from core.bag.parts import Parts
from core.bag.sample import SAMPLED, Sample
from core.base.sentences import NO_TEXT, mark
from core.base.units import Unit
from core.bodies.table import BODIES
from core.goods.layers import Layer, Sandwich
from core.goods.supplies import Supplies
from core.model.record import BAG_NAME, KEPT_NAME, Extras
from core.parts.table import SLOTS
from core.storage.groups import Called, Entry, Group, Listed, group_of, tagged
from core.storage.project import NamedBag, Project
from core.storage.shapes import Fixed, NumberShape, Optional, Plain, Table, Word
from core.tops.table import TOPS

FORMAT: Final = "cornerwright bag"
VERSION: Final = 5

LAYER: Final = group_of(Layer)

_LAYERS: Final = Listed(LAYER, Called(mark("layer {number}")))
_ZIP_LENGTHS: Final = Listed(NumberShape(), Called(mark("entry {number} of zip lengths")))
_SUPPLIES: Final = group_of(
    Supplies,
    entries={
        "board": Entry(
            "board", LAYER, Called(mark("material of the board"), mark("the board’s material"))
        ),
        "pocket": Entry(
            "pocket",
            Optional(LAYER),
            Called(mark("material of the pocket"), mark("the pocket’s material")),
        ),
        "handles": Entry(
            "handles",
            Optional(LAYER),
            Called(mark("material of the handles"), mark("the handles’ material")),
        ),
        "zip_lengths": Optional(_ZIP_LENGTHS),
    },
)
_SLOTS: Final = tuple(dict.fromkeys(part.SLOT for part in SLOTS))
_BAG: Final = {
    "name": Entry("name", Plain(kind=str, limit=BAG_NAME)),
    "shown_in": Entry("unit", Word(Unit, "Unit that the bag is shown and typed in.")),
    "body": Entry("body", tagged(BODIES)),
    "top": Entry("top", tagged(TOPS)),
    **{
        slot: Entry(
            slot, Optional(tagged(part for part in SLOTS if slot == part.SLOT)), None, False
        )
        for slot in _SLOTS
    },
    "sandwich": Entry("sandwich", group_of(Sandwich, entries={"layers": _LAYERS})),
    "supplies": Entry("supplies", _SUPPLIES),
}


def _bag(**values: Any) -> Bag:
    parts = [values.pop(slot) for slot in _SLOTS]
    return Bag(parts=Parts(part for part in parts if part is not None), **values)


def _bag_of(bag: Bag, attribute: str) -> Any:
    """What a bag has for an attribute of its group: a part by its slot."""
    if attribute in _SLOTS:
        return bag.parts.get(attribute)
    return getattr(bag, attribute)


def _kept_of(kept: NamedBag, attribute: str) -> Any:
    return kept.bag_extras if attribute == "extras" else _bag_of(kept.bag, attribute)


def _named_of(kept: NamedBag, attribute: str) -> Any:
    return kept if attribute == "bag" else getattr(kept, attribute)


def _kept(*, extras: Extras, **values: Any) -> tuple[Bag, Extras]:
    return _bag(**values), extras


def _named(*, name: str, bag: tuple[Bag, Extras], extras: Extras) -> NamedBag:
    return NamedBag(name=name, bag=bag[0], bag_extras=bag[1], extras=extras)


_NAMED: Final = Group(
    "NamedBag",
    {
        "name": Entry("name", Plain(kind=str, limit=KEPT_NAME)),
        "bag": Entry("bag", Group("Bag", _BAG, _kept, _kept_of, help="One bag.")),
    },
    _named,
    _named_of,
    help="A bag that is kept under a name.",
)
_DRAWN: Final = Table(MappingProxyType({name: label_of(name) for name in SAMPLED}))
_PROJECT: Final = {
    "starting": Entry(
        "starting", Optional(_NAMED), Called(mark("starting bag"), mark("the starting bag"))
    ),
    "variants": Entry("variants", Listed(_NAMED, Called(mark("variant {number}")))),
    "sample": Entry(
        "sample",
        Optional(group_of(Sample, entries={"drawn": _DRAWN, "measured": _DRAWN})),
        Called(NO_TEXT, mark("the sample")),
    ),
    "pinned": Entry(
        "pinned", Listed(Plain(kind=str), Called(mark("entry {number} of pinned")), frozenset)
    ),
    "corners_matched": Entry("seams_matched", Plain(kind=bool)),
    "ticked": Entry(
        "ticked", Listed(Plain(kind=str), Called(mark("entry {number} of ticked")), frozenset)
    ),
    "load": Entry("load", Optional(group_of(Load))),
    "making": Entry("making", group_of(Making, entries={"gap": NumberShape(label=mark("Gap"))})),
}


_BESIDE: Final = {entry.attribute for entry in _PROJECT.values()}


def _project(*, extras: Extras, **values: Any) -> Project:
    rest = {name: values.pop(name) for name in _BESIDE & values.keys()}
    return Project(bag=_bag(**values), extras=extras, **rest)


def _project_of(project: Project, attribute: str) -> Any:
    if attribute in _BESIDE or attribute == "extras":
        return getattr(project, attribute)
    return _bag_of(project.bag, attribute)


FILE: Final = Group(
    "File",
    {
        # What kind of file it is stands at its head, for whoever opens it.
        "format": Entry("", Fixed(FORMAT)),
        "version": Entry("", Fixed(VERSION)),
        "lengths_in": Entry("", Fixed("mm")),
        **_BAG,
        **_PROJECT,
    },
    _project,
    _project_of,
    help="A whole file. Entries that are not known are kept as they are.",
)
