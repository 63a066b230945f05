"""A bag file read a second time: by Python's JSON, the published schema and limits told here.

Nothing of `core.storage` is used. What a file holds must be in the project field by field, under
the names that stand here, and nothing more; what is refused must be wrong in the file, and the
sentence must name what is.
"""

import json
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from jsonschema import Draft202012Validator, validators
from jsonschema.exceptions import ValidationError

from core.bag.bag import Bag
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import BagFileError
from core.goods.layers import Layer
from core.goods.supplies import Supplies
from core.model.figures import CutFigure, Quantity
from core.model.record import Record
from core.parts.handles.figures import GOODS_WIDTH
from core.storage.project import NamedBag, Project
from tests.faults import plain_bodies
from tests.faults.plain_versions import NEWEST, Document, Reckoned, brought_forward

SCHEMA = json.loads((Path(__file__).parents[2] / "resources" / "bag.schema.json").read_text())
_COUNTS = Draft202012Validator.TYPE_CHECKER.redefine(
    "integer", lambda _, value: isinstance(value, int) and not isinstance(value, bool)
)
VALIDATOR = validators.extend(Draft202012Validator, type_checker=_COUNTS)(SCHEMA)
"""An open standard and a validator of its own (JSON Schema 2020-12, jsonschema); only that a count
is written without a point is asked beyond it."""
MOST_BYTES, DEEPEST = 1_000_000, 64
MOST_VARIANTS, MOST_LAYERS, MOST_ZIPS = 50, 12, 100
LEAST = 0.01
"""mm: a length is 0 or at least this; what is less in a file is 0 where that can be."""
HAIR = 2e-6
"""mm: nearer than this to a limit between two figures, a bag may be taken or refused."""
MEASURED = {
    "base_width": "Base width",
    "face_width": "Face width",
    "opening_width": "Opening width",
    "gusset_depth": "Gusset depth",
    "face_height": "Face height",
}
"""What is measured on a sample: name -> label."""

MAY_BE_NOTHING = {
    *plain_bodies.MAY_BE_NOTHING,
    *("pocket_drop", "pocket_seam", "handle_gap", "handle_stop", "handle_back_lower"),
    *("baste_line", "thickness", "pressed", "gap", *MEASURED),
}
"""Entries that hold a length which can be 0."""

Path_ = tuple[str | int, ...]


class Doubled(dict[str, Any]):
    """A JSON object that remembers every pair, a name that came twice too."""

    pairs: list[tuple[str, Any]]


@dataclass(frozen=True)
class Wrong:
    """Something for which a file must be refused, or may be where it is not `sure`.

    Attributes:
        what: for who reads a failed test.
        words: that the sentence which tells it must all hold, of whatever case.
    """

    what: str
    words: tuple[str, ...]
    sure: bool = True

    def is_told_by(self, sentence: str) -> bool:
        """Whether a sentence holds all its words."""
        return all(word.casefold() in sentence for word in self.words)


@dataclass(frozen=True)
class Reading:
    """What a file says.

    Attributes:
        wrong: what is wrong with it, all that can be told at the stage where it is.
        known: its entries by the names of the newest version.
        unknown: the entries that no version has, by the path that leads to them.
    """

    wrong: tuple[Wrong, ...]
    known: Document
    unknown: Mapping[Path_, Any]


def read(data: bytes) -> Reading:
    """What a bag file says, or all that is wrong with it at the first stage where anything is."""
    document: Document = {}
    wrong: list[Wrong] = []
    no_numbers: list[Wrong] = []
    if len(data) > MOST_BYTES:
        wrong = [Wrong("size", ("too large",))]
    else:
        document, wrong, no_numbers = _json(data)
    wrong = wrong or _head(document)
    if wrong or (no_numbers and document["version"] != NEWEST):
        return Reading((*wrong, *no_numbers), {}, {})
    document = brought_forward(document)
    errors = [leaf for error in VALIDATOR.iter_errors(document) for leaf in _leaves(error)]
    wrong = [each for error in errors if error.validator != "maxLength" for each in _shape(error)]
    wrong += no_numbers
    if wrong:
        return Reading(tuple(wrong), {}, {})
    unknown: dict[Path_, Any] = {}
    known = _known(document, SCHEMA["$ref"], (), unknown)
    _take_slivers(known)
    for bag in _bags(known):
        plain_bodies.take_unused(bag["body"])
    wrong = [*map(_too_long, errors), *_limits(known), *_too_deep(unknown)]
    known["pinned"] = sorted(set(known["pinned"]))
    known["ticked"] = sorted(set(known["ticked"]))
    _sort_zips(known)
    if not known.get("other_samples", True):
        del known["other_samples"]
    return Reading(tuple(wrong), known, unknown)


def judge(data: bytes, outcome: Project | BagFileError) -> None:
    """Compare what the program made of a file with what the file says.

    Raises:
        AssertionError: they differ.
    """
    reading = read(data)
    wrong = [each for each in reading.wrong if each.sure]
    if isinstance(outcome, BagFileError):
        sentence = str(outcome).casefold()
        assert reading.wrong, f"refused, and nothing is wrong: {sentence}"
        named = [
            each for each in reading.wrong if all(w.casefold() in sentence for w in each.words)
        ]
        assert named, f"{sentence!r} names none of {reading.wrong}"
        return
    assert not wrong, f"read, and must not be: {wrong}"
    differences = list(_differences(reading.known, told(outcome), ()))
    assert not differences, f"of the file and of the project: {differences[:5]}"
    found = dict(_unknown(outcome))
    assert found.keys() == reading.unknown.keys(), "unknown entries are not the file's"
    for path, value in found.items():
        assert not list(_differences(reading.unknown[path], value, path))
    _judge_take_up(_samples(reading.known), outcome)


# --- From bytes to JSON ---------------------------------------------------------------------------


def _json(data: bytes) -> tuple[Document, list[Wrong], list[Wrong]]:
    """The JSON object in a file, what no JSON of ours may hold, and which numbers are none."""
    wrong: list[Wrong] = []
    no_numbers: list[Wrong] = []
    groups: list[Doubled] = []

    def group(pairs: list[tuple[str, Any]]) -> Doubled:
        found = Doubled(pairs)
        found.pairs = pairs
        groups.append(found)
        return found

    try:
        text = data.decode().removeprefix("\ufeff")
        if not text.strip():
            return {}, [Wrong("nothing in it", ("empty",))], []
        document = json.loads(text, object_pairs_hook=group, parse_int=_whole)
    except UnicodeDecodeError:
        return {}, [Wrong("no UTF-8", ("UTF-8",)), Wrong("no UTF-8", ("cut off",))], []
    except RecursionError:
        wrong.append(Wrong("depth", ("nested too deeply",)))
        document = {}
    except json.JSONDecodeError:
        wrong += [Wrong("no JSON", (words,)) for words in ("not JSON", "no JSON", "cut off")]
        document = {}
    for each in groups:
        wrong += _doubled(each)
        for key, value in each.pairs:
            wrong += _no_text(key, value)
            no_numbers += _no_number(key, value)
    if not wrong and not isinstance(document, dict):
        wrong.append(Wrong("no object", ("JSON of another kind",)))
    return document, wrong, no_numbers


def _whole(digits: str) -> int | float:
    """A whole number; infinite where no float reaches it (the largest has 309 digits)."""
    if len(digits) > 310:
        return math.inf
    size = int(digits)
    return size if abs(size) < 2**1024 - 2**970 else math.inf


def _doubled(group: Doubled) -> Iterator[Wrong]:
    for name, times in Counter(key for key, _ in group.pairs).items():
        if times > 1:
            yield Wrong(f"{name!r} twice", ("appears twice", *_words(name)))


def _no_text(key: str, value: Any) -> Iterator[Wrong]:
    """Halves of signs in an entry."""
    if not _is_text(key):
        yield Wrong(f"name {key!r}", ("characters that cannot be read",))
    for each in _listed(value):
        if isinstance(each, str) and not _is_text(each):
            yield Wrong(f"{key!r} is no text", ("characters that cannot be read", *_words(key)))


def _no_number(key: str, value: Any) -> Iterator[Wrong]:
    """Numbers in an entry that are none: what must stand there is told, or that it is one."""
    for each in _listed(value):
        if isinstance(each, float) and not math.isfinite(each):
            words = () if key in MEASURED else _words(key)  # those of a sample are its entries
            yield Wrong(f"{key!r} is {each}", ("must be an ordinary number", *words))


def _listed(value: Any) -> Iterator[Any]:
    """A value, or what stands in a list, however deep."""
    waiting = [value]
    while waiting:
        each = waiting.pop()
        if isinstance(each, list):
            waiting.extend(each)
        else:
            yield each


def _is_text(text: str) -> bool:
    """Whether UTF-8 can write it: half of a surrogate pair it cannot (RFC 3629)."""
    return not any("\ud800" <= sign <= "\udfff" for sign in text)


def _words(name: str) -> tuple[str, ...]:
    """How a sentence calls an entry; nothing is asked where its name cannot stand in one."""
    return (name.replace("_", " "),) if len(name) < 60 and name.isprintable() else ()


def _head(document: Document) -> list[Wrong]:
    if document.get("format") != "cornerwright bag":
        return [Wrong("format", ("JSON of another kind",))]
    version = document.get("version")
    if type(version) is not int or not 1 <= version <= NEWEST:
        return [Wrong("version", ("version",))]
    return []


# --- The published schema -------------------------------------------------------------------------


def _leaves(error: ValidationError) -> Iterator[ValidationError]:
    """Where a document leaves the schema: of choices, each choice's own complaint."""
    inner = [
        each
        for each in error.context or ()
        # That it is no null, or of another kind of closure, is no complaint of its own.
        if not (each.validator == "type" and each.validator_value == "null")
    ]
    # A zip's complaint is no open top's.
    others = {each.schema_path[0] for each in inner if [*each.relative_path] == ["kind"]}
    inner = [each for each in inner if each.schema_path[0] not in others] or inner
    if inner and isinstance(error.instance, dict | list):
        for each in inner:
            yield from _leaves(each)
    else:
        yield error


def _shape(error: ValidationError) -> Iterator[Wrong]:
    """What is wrong where a document has not the shape of the schema."""
    path: Path_ = tuple(error.absolute_path)
    if error.validator == "required":
        for name in error.validator_value:
            if name not in error.instance:
                yield Wrong(f"{name} is missing", _place((*path, name)))
    else:
        yield Wrong(error.message[:200], _place(path))


def _too_long(error: ValidationError) -> Wrong:
    """A text that is longer than the schema has it, which is told with the model's limits."""
    path: Path_ = tuple(error.absolute_path)
    words = [f"has {len(error.instance)} characters", f"at most {error.validator_value}"]
    labels = {"role": "Role", "gauge": "Gauge of the zip", "colour": "Colour of the zip"}
    label = labels.get(str(path[-1]), "Name of the bag")
    match path:
        case ("starting", *_):
            words.append("starting bag: ")
        case ("variants", int(place), *_):
            words.append(f"variant {place + 1}: ")
    match path:
        case (*_, "layers", int(place), key):
            words.append(f"layer {place + 1}: ")
            label = labels.get(str(key), "Name of the material")
        case (*_, "supplies", part, key):
            words.append(f"material of the {part}: ")
            label = labels.get(str(key), "Name of the material")
        case ("starting", "name") | ("variants", _, "name"):
            label = "Name"
    return Wrong(f"{path} is too long", (label, *words))


def _place(path: Path_) -> tuple[str, ...]:
    """A place in a file as sentences call it: pressed of layer 1 of sandwich."""
    if path[:1] == ("sample",) and len(path) > 2:
        return (f"an entry of {path[1]} of sample",)
    if path[:1] == ("other_samples",) and len(path) > 3:
        return (f"an entry of {path[2]} of",)
    steps: list[str] = []
    for step in path:
        if isinstance(step, str):
            steps.append(step.replace("_", " "))
        elif steps[-1] in ("layers", "variants"):
            steps[-1] = f"{steps[-1][:-1]} {step + 1}"
        else:
            steps.append(f"entry {step + 1}")
    return (" of ".join(reversed(steps)),)


def _known(value: Any, ref: str, path: Path_, unknown: dict[Path_, Any]) -> Any:
    """A group with the entries that the schema has; the others go into `unknown`."""
    names = SCHEMA["$defs"][ref.rpartition("/")[2]]["properties"]
    found: Document = {}
    for key, each in value.items():
        # A fold has no allowance: whatever is called so beside it is not ours. So with corners.
        choice, word = plain_bodies.GOES_WITH.get(key, (None, None))
        is_ours = choice is None or value.get(choice) == word
        if key in names and is_ours:
            found[key] = _known_entry(each, names[key], (*path, key), unknown)
        else:
            unknown[(*path, key)] = each
    for slot in ("pocket", "handles", "board"):
        if "body" in names:
            found.setdefault(slot, None)
    return found


def _known_entry(value: Any, schema: Any, path: Path_, unknown: dict[Path_, Any]) -> Any:
    if isinstance(value, list) and "$ref" in _array(schema).get("items", {}):
        ref = _array(schema)["items"]["$ref"]
        return [_known(each, ref, (*path, n), unknown) for n, each in enumerate(value)]
    if not isinstance(value, dict):
        return value
    if "$ref" in (each := schema.get("additionalProperties", {})):
        return {key: _known(value[key], each["$ref"], (*path, key), unknown) for key in value}
    choices = (schema, *schema.get("anyOf", ()))
    refs = [each["$ref"] for each in choices if "$ref" in each]
    for each in choices:
        if "discriminator" in each:
            refs = [each["discriminator"]["mapping"][value["kind"]]]
    return _known(value, refs[0], path, unknown) if refs else value


def _array(schema: Any) -> Any:
    return next((each for each in (schema, *schema.get("anyOf", ())) if "items" in each), {})


# --- Limits that the schema does not tell ---------------------------------------------------------


def _limits(file: Document) -> Iterator[Wrong]:
    """What is wrong with the values of a file of the right shape."""
    yield from _bag_limits(file, "")
    kept = [("starting bag: ", file["starting"])] if file["starting"] is not None else []
    kept += [(f"variant {n}: ", each) for n, each in enumerate(file["variants"], 1)]
    for where, each in kept:
        yield from _bag_limits(each["bag"], where)
        if not each["name"].strip():
            yield Wrong("kept name", (where, "name"))
    names = [each["name"] for each in file["variants"]]
    if len(names) > MOST_VARIANTS:
        yield Wrong("many variants", ("variants",))
    if len(set(names)) < len(names):
        yield Wrong("variants of one name", ("two variants are called",))
    figures = {each.name for each in (*CUT_FIGURES, *FINISHED_FIGURES)}
    for name in set(file["pinned"]) - figures:
        words = (name[:60],) if name.isprintable() else ()
        yield Wrong(f"pinned {name[:60]!r}", ("there is no figure called", *words))
    for sample in _samples(file).values():
        yield from _sample_limits(sample)
    if file["body"]["kind"] in file.get("other_samples", {}):
        yield Wrong("own sample among others", ("other samples", file["body"]["kind"]))
    yield from _load_limits(file["load"])
    making = file["making"]
    if not 1 <= making["bags"] <= 1000:
        yield Wrong("bags", ("bags is",))
    if not 0 <= making["gap"] <= 200:
        yield Wrong("gap", ("gap is",))


def _samples(file: Document) -> dict[str, Document]:
    """The samples of a file by the construction that they were sewn of."""
    own = {} if file["sample"] is None else {file["body"]["kind"]: file["sample"]}
    return {**file.get("other_samples", {}), **own}


def _sample_limits(sample: Document) -> Iterator[Wrong]:
    for name, value in sample["measured"].items():
        if name not in MEASURED or name not in sample["drawn"]:
            yield Wrong(f"measured {name[:60]!r}", ("is not measured on a sample",))
            continue
        drawn = sample["drawn"][name]
        if not 0.5 * drawn <= value <= 1.5 * drawn:
            yield Wrong(f"sample {name}", (f"{MEASURED[name]} of the sample",))
        if drawn > 10_000:
            yield Wrong(f"drawn {name}", (f"{MEASURED[name]} of the sample’s pattern",))


def _load_limits(load: Document | None) -> Iterator[Wrong]:
    if load is None:
        return
    for name, label, most in (
        ("density", "Density of the load", 25_000),
        ("needle_thread", "Needle thread", 1000),
        ("bobbin_thread", "Bobbin thread", 1000),
        ("safety", "Factor of safety", 1000),
    ):
        least_fails = load[name] < 1 if name == "safety" else load[name] <= 0
        if least_fails or load[name] > most:
            yield Wrong(f"load {name}", (label,))


def _bag_limits(bag: Document, where: str) -> Iterator[Wrong]:
    """What is wrong with one of a file's bags; `where` is how a sentence calls a kept one."""
    for wrong in (*_figure_limits(bag), *_goods_limits(bag), *_fit_limits(bag)):
        yield Wrong(f"{where}{wrong.what}", (where, *wrong.words), wrong.sure)


def _figure_limits(bag: Document) -> Iterator[Wrong]:
    """Figures beyond their own limits, which the one table of figures tells."""
    for figure in CUT_FIGURES:
        group = bag.get(figure.part)
        value = group.get(figure.name) if group is not None else None
        if value is not None:
            yield from _beyond(value, figure)
    if bag["body"].get("bottom") == "seam" and bag["body"]["bottom_seam"] == 0:
        yield Wrong("a seam of nothing", ("bottom seam is",))
    sold = bag["supplies"]["zip_lengths"]
    if sold is not None and not 1 <= len(sold) <= MOST_ZIPS:
        yield Wrong("zip lengths", ("zip lengths: there are",))
    for value in sold or ():
        if not LEAST - HAIR / 2 < value <= 10_000:
            yield Wrong("a zip length", ("zip lengths",))
    for figure in Supplies.RANGES:
        yield from _beyond(bag["supplies"][figure.attribute], figure)
    for name in ("zip_price", "spool_price"):
        if not 0 <= bag["supplies"][name] < 1e9:
            yield Wrong(name, (name.replace("_", " "),))


def _take_slivers(group: Any) -> None:
    """What is too small to be a length, and could be 0, is meant as that."""
    for key, value in group.items() if isinstance(group, dict) else enumerate(group):
        if isinstance(value, dict | list):
            _take_slivers(value)
        elif key in MAY_BE_NOTHING and _is_sliver(value):
            group[key] = 0.0


def _is_sliver(value: float) -> bool:
    return 0 < abs(value) < LEAST - HAIR / 2


def _beyond(value: float, figure: CutFigure) -> Iterator[Wrong]:
    low = value <= figure.low if figure.above_low else value < figure.low
    if figure.quantity is Quantity.LENGTH and figure.low < LEAST:
        low = low or _is_sliver(value)
    if low or value > figure.high:
        yield Wrong(f"{figure.name} is {value}", (f"{figure.label} is",))


def _goods(bag: Document) -> Iterator[tuple[str, Document]]:
    """Every goods of a bag with what a sentence calls it."""
    yield from ((f"layer {n}: ", each) for n, each in enumerate(bag["sandwich"]["layers"], 1))
    for part in ("board", "pocket", "handles"):
        if bag["supplies"][part] is not None:
            yield f"material of the {part}: ", bag["supplies"][part]


def _goods_limits(bag: Document) -> Iterator[Wrong]:
    if not 1 <= len(bag["sandwich"]["layers"]) <= MOST_LAYERS:
        yield Wrong("number of layers", ("layers: there are",))
    for which, goods in _goods(bag):
        for figure in Layer.RANGES:
            for wrong in _beyond(goods[figure.attribute], figure):
                yield Wrong(which + wrong.what, (which, *wrong.words))
        if goods["pressed"] > goods["thickness"]:
            yield Wrong(f"{which}pressed", (which, "pressed thickness"))
        for name, label in (("mass_per_area", "layer weight"), ("price_per_length", "layer price")):
            if not 0 <= goods[name] < 1e9:
                yield Wrong(f"{which}{name}", (which, label))
        for way in ("length", "width"):
            if not 0 <= goods[f"shrink_{way}"] <= 0.5:
                yield Wrong(f"{which}shrinks", (which, f"shrinkage in {way}"))


def _fit_limits(bag: Document) -> Iterator[Wrong]:
    """Figures that stand in one another's way, as handbook formulas of the cut."""
    body, pocket, handles = bag["body"], bag["pocket"], bag["handles"]
    top = plain_bodies.front_top(body)
    pairs = [*plain_bodies.body_limits(body), *plain_bodies.top_limits(body, bag["top"])]
    if pocket is not None:
        pairs.append(("Pocket cut height", 2 * pocket["pocket_seam"], pocket["pocket_cut_height"]))
    if handles is not None:
        pairs.append(("Handle stop", handles["handle_stop"], top))
    for label, lesser, greater in pairs:
        yield from _not_below(label, lesser, greater)
    for what, words in plain_bodies.at_odds(bag):
        yield Wrong(what, (words,))
    if handles is not None and bag["sandwich"]["layers"]:
        yield from _strip_limits(bag, handles, top)


def _strip_limits(bag: Document, handles: Document, top: float) -> Iterator[Wrong]:
    goods = bag["supplies"]["handles"] or bag["sandwich"]["layers"][0]
    whole = goods["usable_width"] * (1 - goods["shrink_width"])
    yield from _beyond(whole, GOODS_WIDTH)
    if handles["handle_last_strip"] is not None:
        yield from _not_below("Last strip", handles["handle_last_strip"], whole)
    if handles["style"] == "two separate":
        leg, below = handles["handle_leg"], handles["handle_back_lower"]
        yield from _not_below("Handle leg", leg, top - handles["handle_stop"])
        beyond = plain_bodies.back_top(bag["body"]) - handles["handle_stop"] - leg
        yield from _not_below("Back handle lower by", below, beyond)


def _not_below(label: str, lesser: float, greater: float) -> Iterator[Wrong]:
    if lesser > greater - HAIR:
        yield Wrong(f"{label}: {lesser} to {greater}", (f"{label} is",), lesser > greater + HAIR)


def _too_deep(unknown: Mapping[Path_, Any]) -> Iterator[Wrong]:
    for path, value in unknown.items():
        if _depth(value) > DEEPEST:
            yield Wrong(f"depth of {path}", ("nested too deeply",))


def _depth(value: Any) -> int:
    depth, level = 0, [value]
    while level := [each for each in level if isinstance(each, dict | list)]:
        depth += 1
        level = [inner for each in level for inner in _inner(each)]
    return depth


def _inner(group: Any) -> list[Any]:
    return list(group.values() if isinstance(group, dict) else group)


def _bags(file: Document) -> Iterator[Document]:
    """Every bag of a file: its own, the starting one, and the variants."""
    yield file
    for kept in (file["starting"], *file["variants"]):
        if kept is not None:
            yield kept["bag"]


def _sort_zips(file: Document) -> None:
    for bag in _bags(file):
        sold = bag["supplies"]["zip_lengths"]
        bag["supplies"]["zip_lengths"] = None if sold is None else sorted(set(sold))


# --- What a project holds -------------------------------------------------------------------------

_POCKET = {"pocket_cut_height": "cut_height", "pocket_drop": "drop", "pocket_seam": "seam"}
_HANDLES = {
    "handle_width": "width",
    "handle_gap": "gap",
    "handle_stop": "stop",
    "handle_strips": "strips",
    "handle_last_strip": "last_strip",
    "handle_leg": "leg",
    "handle_back_lower": "back_lower",
}
_BOARD = {"board_width": "width", "board_depth": "depth"}
_SEWN = ("baste_line", "foot_clearance")
_GOODS = (
    *("role", "name", "thickness", "pressed", "mass_per_area", "usable_width", "sold_step"),
    *("in_sheets", "price_per_length", "one_way", "shrink_length", "shrink_width", "cut_washed"),
    *("melts", "insulating", "fusible", "wipe_clean", "laid_last"),
)
_NOTIONS = ("zip_price", "spool_price", "spool_length", "clip_spacing")
_LOAD = ("density", "needle_thread", "bobbin_thread", "safety")
_WORDS = {
    "Unit.INCH": "in",
    "Unit.MM": "mm",
    "Unit.CM": "cm",
    "PocketFaces.FRONT": "front",
    "PocketFaces.BACK": "back",
    "PocketFaces.BOTH": "both",
    "HandleStyle.LOOP": "loop",
    "HandleStyle.SEPARATE": "two separate",
    "BoardWay.LAID_IN": "laid-in",
    "BoardWay.FUSED": "fused",
    "GrainTurn.NEVER": "never",
    "GrainTurn.HALF": "half turn",
    "GrainTurn.QUARTER": "quarter turns",
    "Cutting.FREE": "free",
    "Cutting.ROWS": "rows",
}
"""Choices of the model -> the file's words."""


def told(project: Project) -> Document:
    """What a project holds, under the names that a file has."""
    making, own = project.making, project.bag.body.KIND
    samples = {
        kind: {
            "drawn": dict(sample.drawn),
            "measured": dict(sample.measured),
            "allowed_for": sample.allowed_for,
        }
        for kind, sample in project.samples.items()
    }
    others = {kind: sample for kind, sample in samples.items() if kind != own}
    return {
        **_told_bag(project.bag),
        "format": "cornerwright bag",
        "version": NEWEST,
        "lengths_in": "mm",
        "starting": None if project.starting is None else _told_kept(project.starting),
        "variants": [_told_kept(each) for each in project.variants],
        "sample": samples.get(own),
        **({"other_samples": others} if others else {}),
        "pinned": sorted(project.pinned),
        "corners_matched": project.seams_matched,
        "ticked": sorted(project.ticked),
        "load": None if project.load is None else _same_names(project.load, _LOAD),
        "making": {
            "cutting": _WORDS[str(making.cutting)],
            **_same_names(making, ("bags", "gap", "folded", "mixed_grain")),
        },
    }


def _told_kept(kept: NamedBag) -> Document:
    return {"name": kept.name, "bag": _told_bag(kept.bag)}


def _told_bag(bag: Bag) -> Document:
    pocket, handles, board, sold = (
        bag.parts.get("pocket"),
        bag.parts.get("handles"),
        bag.parts.get("board"),
        bag.supplies.zip_lengths,
    )
    return {
        "name": bag.name,
        "shown_in": _WORDS[str(bag.unit)],
        "body": plain_bodies.told_body(bag.body),
        "top": plain_bodies.told_top(bag.top),
        "pocket": pocket
        and {"kind": "pocket", "faces": _WORDS[str(pocket.faces)], **_named(pocket, _POCKET)},
        "handles": handles
        and {"kind": "strips", "style": _WORDS[str(handles.style)], **_named(handles, _HANDLES)},
        "board": board
        and {"kind": "board", "way": _WORDS[str(board.way)], **_named(board, _BOARD)},
        "sandwich": {
            **_same_names(bag.sandwich, _SEWN),
            "layers": [_told_goods(layer) for layer in bag.sandwich.layers],
        },
        "supplies": {
            **_same_names(bag.supplies, _NOTIONS),
            "zip_lengths": None if sold is None else list(sold),
            "board": _told_goods(bag.supplies.board),
            "pocket": bag.supplies.pocket and _told_goods(bag.supplies.pocket),
            "handles": bag.supplies.handles and _told_goods(bag.supplies.handles),
        },
    }


def _told_goods(layer: Layer) -> Document:
    return {"turn": _WORDS[str(layer.turn)], **_same_names(layer, _GOODS)}


def _named(part: object, names: Mapping[str, str]) -> Document:
    return {name: getattr(part, attribute) for name, attribute in names.items()}


def _same_names(part: object, names: tuple[str, ...]) -> Document:
    return {name: getattr(part, name) for name in names}


def _unknown(project: Project) -> Iterator[tuple[Path_, Any]]:
    """The unknown entries that a project keeps, by their paths in the whole file."""
    kept: list[tuple[Path_, NamedBag]] = [
        (("variants", n), each) for n, each in enumerate(project.variants)
    ]
    if project.starting is not None:
        kept.append((("starting",), project.starting))
    records: list[tuple[Path_, Record | None]] = [
        ((), project),
        *(
            (("sample",) if kind == project.bag.body.KIND else ("other_samples", kind), sample)
            for kind, sample in project.samples.items()
        ),
        (("load",), project.load),
        (("making",), project.making),
        *_records(project.bag, ()),
    ]
    for path, each in kept:
        records += [(path, each), *_records(each.bag, (*path, "bag"))]
        yield from (((*path, "bag", key), json.loads(text)) for key, text in each.bag_extras)
    for path, record in records:
        for key, text in () if record is None else record.extras:
            yield (*path, key), json.loads(text)


def _records(bag: Bag, path: Path_) -> Iterator[tuple[Path_, Record | None]]:
    """Every record of a bag, by its path in the whole file."""
    yield (*path, "body"), bag.body
    yield (*path, "top"), bag.top
    yield (*path, "sandwich"), bag.sandwich
    yield (*path, "supplies"), bag.supplies
    for slot, part in bag.parts.items():
        yield (*path, slot), part
    for number, layer in enumerate(bag.sandwich.layers):
        yield (*path, "sandwich", "layers", number), layer
    for name in ("board", "pocket", "handles"):
        yield (*path, "supplies", name), getattr(bag.supplies, name)


def _differences(one: Any, other: Any, path: Path_) -> Iterator[tuple[Path_, Any, Any]]:
    """Where two values differ; numbers are told from truths, but not 3 from 3.0."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in one.keys() | other.keys():
            if key in one and key in other:
                yield from _differences(one[key], other[key], (*path, key))
            else:
                yield (*path, key), one.get(key, "-"), other.get(key, "-")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for place, (each, its) in enumerate(zip(one, other, strict=True)):
            yield from _differences(each, its, (*path, place))
    elif not _same(one, other) or isinstance(one, bool) is not isinstance(other, bool):
        yield path, one, other


def _same(one: Any, other: Any) -> bool:
    """Whether two entries are the same; a whole number beside a float, as the nearest float."""
    if isinstance(one, Reckoned):
        return isinstance(other, float) and math.isclose(one, other, rel_tol=1e-9)
    if isinstance(one, int) and isinstance(other, float):
        return float(one) == other
    return bool(one == other)


def _judge_take_up(samples: Mapping[str, Document], project: Project) -> None:
    """Every bag carries the factors of its construction's sample."""
    kept = [*project.variants, *([] if project.starting is None else [project.starting])]
    for bag in (project.bag, *(each.bag for each in kept)):
        found = (bag.take_up.across, bag.take_up.deep, bag.take_up.up)
        wanted = _factors(samples.get(bag.body.KIND))
        assert all(
            math.isclose(one, other, rel_tol=1e-9) for one, other in zip(found, wanted, strict=True)
        ), f"take-up {found}, and the sample tells {wanted}"


def _factors(sample: Document | None) -> list[float]:
    """Measured over drawn, by least squares through 0."""
    ways = (("base_width", "face_width", "opening_width"), ("gusset_depth",), ("face_height",))
    wanted = [1.0, 1.0, 1.0]
    for place, names in enumerate(ways):
        if sample is None or not sample["allowed_for"]:
            continue
        pairs = [
            (Fraction(sample["drawn"][name]), Fraction(sample["measured"][name]))
            for name in names
            if name in sample["measured"]
        ]
        square = sum(drawn * drawn for drawn, _ in pairs)
        if square > Fraction(1, 10**20):
            wanted[place] = float(sum(drawn * measured for drawn, measured in pairs) / square)
    return wanted
