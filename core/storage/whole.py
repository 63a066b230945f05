"""The records of a whole file: the bag on the table and what is kept beside it."""

from dataclasses import replace
from typing import Annotated, Final, Literal

import msgspec
from msgspec import Meta

from core.bag.making import Cutting, Load, Making
from core.bag.sample import Sample
from core.base.errors import KEPT_NAME, FieldError
from core.base.foreign import Foreign, ForeignEntry
from core.base.sentences import say
from core.storage.project import Kept, Project
from core.storage.records import BagRecord, CuttingWord, Mm, bag_of, fields_of, record_of

DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
"""The edition of JSON Schema in which the file's own is written."""
FORMAT: Final = "cornerwright bag"
VERSION: Final = 4


class KeptRecord(msgspec.Struct, kw_only=True):
    """A bag kept under a name."""

    name: Annotated[str, Meta(extra_json_schema=KEPT_NAME.schema)]
    bag: BagRecord


class SampleRecord(msgspec.Struct, kw_only=True):
    """What a sewn sample measured, by figure, mm."""

    drawn: dict[str, float]
    measured: dict[str, float]
    allowed_for: bool


class LoadRecord(msgspec.Struct, kw_only=True):
    """What is carried, and what the handles are sewn on with."""

    density: Annotated[float, Meta(description="Of what is carried, kg/m3.")]
    needle_thread: Annotated[float, Meta(description="Breaking strength, lb.")]
    bobbin_thread: Annotated[float, Meta(description="Breaking strength, lb.")]
    safety: Annotated[float, Meta(description="One part in so many is counted on.")]


class MakingRecord(msgspec.Struct, kw_only=True):
    """How many bags are made, and how their goods are cut."""

    bags: int
    gap: Mm
    cutting: CuttingWord
    folded: Annotated[bool, Meta(description="Cut on goods folded lengthwise.")]
    mixed_grain: Annotated[
        bool, Meta(description="Panel and pocket may lie at right angles on one face.")
    ]


class FileRecord(BagRecord, kw_only=True):
    """A whole file. Keys that are not known are kept as they are."""

    format: Literal["cornerwright bag"]
    version: Literal[4]
    lengths_in: Literal["mm"]
    starting: Annotated[
        KeptRecord | None, Meta(description="The bag that changes are compared with.")
    ]
    variants: Annotated[list[KeptRecord], Meta(description="Redesigns kept beside the bag.")]
    sample: SampleRecord | None
    pinned: Annotated[list[str], Meta(description="Figures that a redesign keeps.")]
    corners_matched: bool
    ticked: Annotated[list[str], Meta(description="Keys of sewing steps that are done.")]
    load: Annotated[LoadRecord | None, Meta(description="null: the usual load and thread.")]
    making: MakingRecord


def schema_json() -> str:
    """JSON Schema of a bag file, as published in resources/bag.schema.json."""
    schema = {"$schema": DIALECT, **msgspec.json.schema(FileRecord)}
    packed = msgspec.json.encode(schema, order="deterministic")
    return msgspec.json.format(packed).decode() + "\n"


def file_record(project: Project) -> FileRecord:
    """A project as the records that are written."""
    sample, starting = project.sample, project.starting
    return FileRecord(
        format=FORMAT,
        version=VERSION,
        lengths_in="mm",
        **fields_of(project.bag),
        starting=None if starting is None else _kept_record(starting),
        variants=[_kept_record(variant) for variant in project.variants],
        sample=None if sample is None else _sample_record(sample),
        pinned=sorted(project.pinned),
        corners_matched=project.corners_matched,
        ticked=sorted(project.ticked),
        load=None if project.load is None else _load_record(project.load),
        making=_making_record(project.making),
    )


def project_of(record: FileRecord) -> Project:
    """The model of a file's records.

    Raises:
        FieldError: the model refuses a value.
    """
    sample, starting = record.sample, record.starting
    return Project(
        bag=bag_of(record),
        starting=None if starting is None else _kept(starting, "starting bag"),
        variants=tuple(
            _kept(variant, f"variant {number}") for number, variant in enumerate(record.variants, 1)
        ),
        sample=None if sample is None else _sample(sample),
        pinned=frozenset(record.pinned),
        corners_matched=record.corners_matched,
        ticked=frozenset(record.ticked),
        load=None if record.load is None else _load(record.load),
        making=_making(record.making),
    )


def foreign_of(project: Project) -> Foreign:
    """Every unknown entry of a file, each path from the whole document on."""
    kept = [] if project.starting is None else _under(("starting",), project.starting)
    for place, variant in enumerate(project.variants):
        kept += _under(("variants", place), variant)
    return (*project.foreign, *kept)


def with_foreign(project: Project, entries: Foreign) -> Project:
    """A project with a file's unknown entries, each with the bag that it belongs to."""
    own: list[ForeignEntry] = []
    starting: list[ForeignEntry] = []
    variants: list[list[ForeignEntry]] = [[] for _ in project.variants]
    for entry in entries:
        match entry.path:
            case ("starting", _, *_) if project.starting is not None:
                starting.append(replace(entry, path=entry.path[1:]))
            case ("variants", int(place), *_):
                variants[place].append(replace(entry, path=entry.path[2:]))
            case _:
                own.append(entry)
    kept = project.starting
    return replace(
        project,
        starting=None if kept is None else replace(kept, foreign=tuple(starting)),
        variants=tuple(
            replace(variant, foreign=tuple(each))
            for variant, each in zip(project.variants, variants, strict=True)
        ),
        foreign=tuple(own),
    )


def _under(head: tuple[str | int, ...], kept: Kept) -> list[ForeignEntry]:
    return [replace(entry, path=(*head, *entry.path)) for entry in kept.foreign]


def _kept_record(kept: Kept) -> KeptRecord:
    return KeptRecord(name=kept.name, bag=record_of(kept.bag))


def _kept(record: KeptRecord, kept: str) -> Kept:
    """One of several bags of a file: a complaint says in which of them."""
    try:
        return Kept(name=record.name, bag=bag_of(record.bag))
    except FieldError as error:
        sentence = say("{kept}: {told}", terms={"told": error.sentence}, words={"kept": kept})
        raise FieldError(sentence, field=error.field, value=error.value) from error


def _sample_record(sample: Sample) -> SampleRecord:
    return SampleRecord(
        drawn=dict(sample.drawn), measured=dict(sample.measured), allowed_for=sample.allowed_for
    )


def _sample(record: SampleRecord) -> Sample:
    return Sample(drawn=record.drawn, measured=record.measured, allowed_for=record.allowed_for)


def _load_record(load: Load) -> LoadRecord:
    return LoadRecord(**{name: getattr(load, name) for name in LoadRecord.__struct_fields__})


def _load(record: LoadRecord) -> Load:
    return Load(**{name: getattr(record, name) for name in LoadRecord.__struct_fields__})


def _making_record(making: Making) -> MakingRecord:
    return MakingRecord(
        bags=making.bags,
        gap=making.gap,
        cutting=making.cutting.value,
        folded=making.folded,
        mixed_grain=making.mixed_grain,
    )


def _making(record: MakingRecord) -> Making:
    return Making(
        bags=record.bags,
        gap=record.gap,
        cutting=Cutting(record.cutting),
        folded=record.folded,
        mixed_grain=record.mixed_grain,
    )
