"""Bag files: exact round trip, samples, published schema, and one sentence for each bad file."""

import errno
import io
import json
import math
import os
import stat
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from core.bag.bag import Bag, cut_value, with_figures
from core.bag.compute import compute
from core.bag.figures import matched_in
from core.bag.tables import CUT_FIGURES
from core.base.atomic_write import check_place, is_same_file, reason_of
from core.base.errors import BagFileError
from core.base.tolerance import without_sliver
from core.base.units import Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.table import BODIES
from core.model.findings import Severity
from core.parts.handles.figures import GOODS_WIDTH, LAST_STRIP, HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.storage.bag_file import MOST_BYTES, VERSION, project_to_json, schema_json
from core.storage.bag_files import (
    SAMPLES,
    backup_of,
    demo_bag,
    read_project,
    reading_from_stream,
    sample,
    write_project,
)
from core.storage.project import Project
from core.tops.hem.hem import Hem
from tests.faults.plain_files import judge
from tests.helpers import bag_from_json, bag_to_json, project_from_json, read_bag, write_bag
from tests.strategies import bags, carriers

RESOURCES = Path(__file__).parents[3] / "resources"
INCH = 25.4  # exactly: international yard and pound agreement, 1959


def demo_document() -> dict[str, Any]:
    return json.loads(bag_to_json(demo_bag()))


def changed(*path: str | int, value: object) -> str:
    """The demo bag's file with one value changed."""
    document = demo_document()
    held: Any = document
    for step in path[:-1]:
        held = held[step]
    held[path[-1]] = value
    return json.dumps(document)


def lacking(*path: str | int) -> str:
    """The demo bag's file without one entry."""
    document = demo_document()
    held: Any = document
    for step in path[:-1]:
        held = held[step]
    del held[path[-1]]
    return json.dumps(document)


def complaint(text: str | bytes) -> str:
    """The sentence about a bad file, which must be one line and come within a second."""
    begun = time.perf_counter()
    with pytest.raises(BagFileError) as caught:
        bag_from_json(text, source="mine.json")
    assert time.perf_counter() - begun < 1.0
    told = str(caught.value)
    assert told.startswith("mine.json")
    assert told.endswith(".")
    assert "\n" not in told
    return told


# --- Round trip -----------------------------------------------------------------------------------


@given(st.one_of(bags(), carriers()), st.text(max_size=80), st.sampled_from(Unit))
@example(demo_bag(), "¼ of “Quince Row”\n\u2028\x00", Unit.CM)
def test_a_file_gives_back_its_bag_exactly(bag: Bag, name: str, unit: Unit) -> None:
    named = replace(bag, name=name, unit=unit)
    text = bag_to_json(named)
    assert bag_from_json(text, source="x") == named
    assert bag_from_json(text.encode(), source="x") == named


@given(st.floats(1e-6, 4000.0), st.floats(0.0, 0.2))
def test_a_length_of_any_digits_comes_back_as_the_same_float(width: float, share: float) -> None:
    bag = with_figures(
        sample("tote"),
        {"panel_width": width + 300.0, "corner_cut_width": without_sliver(share * width)},
    )
    back = bag_from_json(bag_to_json(bag), source="x")
    assert back.body.width == bag.body.width
    assert back.body.corner_width == bag.body.corner_width


def test_what_has_no_order_is_written_in_one() -> None:
    ticked = frozenset(map(chr, range(ord("a"), ord("z"))))
    pinned = frozenset(each.name for each in CUT_FIGURES)
    document = json.loads(project_to_json(Project(bag=demo_bag(), ticked=ticked, pinned=pinned)))
    assert (document["ticked"], document["pinned"]) == (sorted(ticked), sorted(pinned))


def test_a_file_is_indented_and_ends_with_a_line_end() -> None:
    text = bag_to_json(demo_bag())
    assert text.endswith("}\n")
    assert '\n  "body": {\n    "kind": "boxed-panel",\n    "bottom": "fold",\n' in text


def test_every_figure_stands_in_the_file_under_its_fixed_name() -> None:
    bag = demo_bag()
    document = demo_document()
    for figure in CUT_FIGURES:
        if figure is GOODS_WIDTH:
            told = document["sandwich"]["layers"][0]["usable_width"]
        elif figure is LAST_STRIP:
            # null: as long as the goods are wide.
            assert document["handles"][figure.name] is None
            told = document["sandwich"]["layers"][0]["usable_width"]
        else:
            # A fold has no allowance, and says that it is one; corners that are cut, no mark.
            nothing = 0.0 if figure.when and figure.when.above_nothing else None
            told = document[figure.part].get(figure.name, nothing)
        assert told == cut_value(bag, figure.name)


def test_unknown_keys_do_no_harm() -> None:
    bag = bag_from_json(changed("body", "colour_of_the_thread", value="plum"), source="x")
    assert replace(bag, body=replace(bag.body, extras=())) == demo_bag()


def test_a_mark_that_editors_put_first_is_passed_over() -> None:
    text = bag_to_json(demo_bag())
    assert bag_from_json(b"\xef\xbb\xbf" + text.encode(), source="x") == demo_bag()


def test_a_name_that_is_no_text_is_refused_in_writing() -> None:
    with pytest.raises(BagFileError, match="cannot be written"):
        bag_to_json(replace(demo_bag(), name="half \ud83d"))


def test_published_schema_is_current() -> None:
    published = (RESOURCES / "bag.schema.json").read_text(encoding="utf-8")
    assert published == schema_json(), (
        "write it anew: python -c 'from core.storage.bag_file import schema_json; "
        'print(schema_json(), end="")\' > resources/bag.schema.json'
    )


# --- Samples --------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_has_matched_seams_and_nothing_above_a_note(name: str) -> None:
    result = compute(sample(name))
    # A corner sewn across has one edge, which nothing has to match.
    own = {"boxed": (), "coolbox": ("gusset_mismatch",), "wrap": ("gusset_mismatch",),
           "jar": ("base_mismatch",)}  # fmt: skip
    matches = dict.fromkeys(own.get(name, ("corner_mismatch",)), pytest.approx(0.0, abs=1e-9))
    assert {each: result.finished[each] for each in matched_in(result.finished)} == matches
    assert [each.code for each in result.findings if each.severity > Severity.NOTE] == []


@pytest.mark.parametrize("name", SAMPLES)
def test_sample_is_written_as_the_program_writes_it(name: str) -> None:
    text = (RESOURCES / "samples" / f"{name}.json").read_text(encoding="utf-8")
    assert bag_to_json(sample(name)) == text


def test_every_sample_file_is_listed() -> None:
    assert {path.stem for path in (RESOURCES / "samples").iterdir()} == set(SAMPLES)


def test_demo_bag_has_the_figures_of_the_worked_example() -> None:
    """Worked by hand from cut sizes in inches (plane geometry; no other source)."""
    worked = {
        "opening_width": 17.75,
        "base_width": 11.0,
        "gusset_depth": 6.75,
        "gusset_depth_at_side": 6.75,
        "face_height": 15.0,
        "zip_offset": 0.75,
        "zip_clearance": 0.5,
        "pocket_height": 7.625,
        "handle_loop": 124.5,
    }
    finished = compute(demo_bag()).finished
    for name, inches in worked.items():
        assert finished[name] == pytest.approx(inches * INCH, abs=1e-6), name
    cubic_inches = 11 * 6.75 * 15
    assert finished["box_volume"] == pytest.approx(cubic_inches * 0.016387064, rel=1e-9)


def test_samples_show_every_construction() -> None:
    every = [sample(name) for name in SAMPLES]
    assert {bag.unit for bag in every} == set(Unit)
    assert {bag.body.KIND for bag in every} == {kind.KIND for kind in BODIES}
    panels = [bag.body for bag in every if isinstance(bag.body, BoxedPanel)]
    assert {panel.folded for panel in panels} == {True, False}
    assert {isinstance(bag.top, Hem) for bag in every} == {True, False}
    assert {bag.parts["handles"].style for bag in every if bag.parts.get("handles")} == set(
        HandleStyle
    )
    assert {bag.parts.get("pocket") and bag.parts["pocket"].faces for bag in every} == {
        PocketFaces.FRONT,
        PocketFaces.BOTH,
        None,
    }


def test_unknown_sample_is_refused() -> None:
    with pytest.raises(BagFileError, match="nothing"):
        sample("nothing")


# --- Bad texts ------------------------------------------------------------------------------------

WHOLE = bag_to_json(demo_bag())
ENDLESS = {
    "drawn": {"base_width": 1e300},
    "measured": {"base_width": 1e300},
    "allowed_for": True,
}

BAD_TEXTS: dict[str, tuple[str | bytes, str]] = {
    "empty": (b"", "is empty"),
    "blank": (b" \n\t\n", "is empty"),
    "cut in a group": (WHOLE[:500], "is cut off"),
    "cut in a text": (WHOLE[: WHOLE.index("carrier")], "is cut off"),
    "cut in a number": (WHOLE[: WHOLE.index("69.9")], "is cut off"),
    "cut in a letter": (WHOLE.replace("plum", "prün").encode().partition(b"\xbc")[0], "is cut off"),
    "cut before its end": (WHOLE.rstrip()[:-1], "is cut off"),
    "letters": (b"eighteen and a half", "is not JSON"),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00", "not text in UTF-8"),
    "UTF-16": (WHOLE.encode("utf-16"), "not text in UTF-8"),
    "zero bytes": (b"\0" * 4096, "is not JSON"),
    "decimal comma": (WHOLE.replace("469.9", "469,9"), "line 10, column 24"),
    "no comma": (
        WHOLE.replace("469.9,", "469.9"),
        "damaged and cannot be read: open an older copy of it (at line 11",
    ),
    "a word after it": (WHOLE + "more", "open an older copy of it (at line"),
    "words after it": (WHOLE + "and more", "damaged"),
    "two bags": (WHOLE + WHOLE, "damaged"),
    "a number": ("42", "JSON of another kind"),
    "a list": ("[1, 2]", "JSON of another kind"),
    "null": ("null", "JSON of another kind"),
    "another kind": ('{"type": "FeatureCollection"}', "JSON of another kind"),
    "another format": (changed("format", value="quilt"), "JSON of another kind"),
    "format no text": (changed("format", value=["cornerwright bag"]), "JSON of another kind"),
    "newer version": (changed("version", value=VERSION + 1), f"has version {VERSION + 1}"),
    "far newer version": (changed("version", value=10**300), "has version 1000"),
    "version 0": (changed("version", value=0), "version must be a whole number"),
    "version 1.0": (changed("version", value=1.0), "version must be a whole number"),
    "version true": (changed("version", value=True), "version must be a whole number"),
    "version text": (changed("version", value="1"), "version must be a whole number"),
    "no version": (lacking("version"), "version must be a whole number"),
    "lengths in inches": (changed("lengths_in", value="in"), "lengths in must be mm"),
    "unknown unit": (changed("shown_in", value="yd"), "shown in must be in, mm or cm"),
    "unit a number": (changed("shown_in", value=3), "shown in must be in, mm or cm"),
    "name a number": (changed("name", value=3), "name must be text, not a whole number"),
    "half a character": (changed("name", value="\ud83d"), "name has characters"),
    "no body": (lacking("body"), "body is missing"),
    "panel null": (changed("body", value=None), "body must be a group in { }, not null"),
    "panel a list": (changed("body", value=[]), "body must be a group"),
    "no width": (lacking("body", "panel_width"), "panel width of body is missing"),
    "width text": (
        changed("body", "panel_width", value="18 1/2"),
        "panel width of body must be a number, not text",
    ),
    "width true": (changed("body", "panel_width", value=True), "panel width of body must be"),
    "width null": (changed("body", "panel_width", value=None), "panel width of body must be"),
    "width a list": (changed("body", "panel_width", value=[1]), "panel width of body must be"),
    "width NaN": (WHOLE.replace("469.9", "NaN"), "panel width of body must be an ordinary number"),
    "width infinite": (
        WHOLE.replace("469.9", "-Infinity"),
        "panel width of body must be an ordinary",
    ),
    "width 1e400": (
        WHOLE.replace("469.9", "1e400"),
        "panel width of body must be an ordinary number",
    ),
    "width of digits": (
        WHOLE.replace("469.9", "9" * 5000),
        "panel width of body must be an ordinary",
    ),
    "width 0": (changed("body", "panel_width", value=0), "Panel width is 0 mm"),
    "width negative": (changed("body", "panel_width", value=-469.9), "Panel width is -469.9 mm"),
    "10 km": (changed("body", "panel_width", value=1e7), "Panel width is 1e+07 mm"),
    "corner cut too wide": (
        changed("body", "corner_cut_width", value=300),
        "Corner cut width is 300 mm",
    ),
    "trim too long": (changed("body", "front_trim", value=600), "Front trim is 600 mm"),
    "no kind": (lacking("top", "kind"), "kind of top is missing"),
    "unknown body": (
        changed("body", "kind", value="tube"),
        "kind of body must be boxed-panel, gusset-strip, wrap or separate-base.",
    ),
    "no bottom": (lacking("body", "bottom"), "bottom of body is missing"),
    "another bottom": (changed("body", "bottom", value="oval"), "must be fold or seam"),
    "a seam without its allowance": (
        changed("body", "bottom", value="seam"),
        "bottom seam of body is missing",
    ),
    "a seam of nothing": (
        changed("body", value=demo_document()["body"] | {"bottom": "seam", "bottom_seam": 0}),
        "Bottom seam is 0 mm: it must be more than 0 mm",
    ),
    "unknown handles": (changed("handles", "kind", value="rope"), "kind of handles must be strips"),
    "unknown kind": (
        changed("top", "kind", value="buttons"),
        "must be zip-forward, hem",
    ),
    "kind a number": (changed("top", "kind", value=3), "must be zip-forward, hem"),
    "tape all seam": (changed("top", "zip_tape_width", value=5), "Zip tape width is 5 mm"),
    "pocket a text": (changed("pocket", value="front"), "pocket must be a group in { } or null"),
    "unknown face": (
        changed("pocket", "faces", value="left"),
        "faces of pocket must be front, back or both.",
    ),
    "unknown style": (
        changed("handles", "style", value="rope"),
        "style of handles must be loop or two separate.",
    ),
    "unknown way": (
        changed("board", "way", value="glued"),
        "way of board must be laid-in or fused",
    ),
    "unknown turn": (
        changed("sandwich", "layers", 0, "turn", value="any"),
        "turn of layer 1 of sandwich must be never, half turn or quarter turns",
    ),
    "half a strip": (
        changed("handles", "handle_strips", value=2.5),
        "handle strips of handles must be a whole number, not a number",
    ),
    "no strips": (changed("handles", "handle_strips", value=0), "Handle strips is 0"),
    "no layers": (changed("sandwich", "layers", value=[]), "Layers: there are 0"),
    "layers a group": (changed("sandwich", "layers", value={}), "must be a list in [ ]"),
    "thickness a text": (
        changed("sandwich", "layers", 1, "thickness", value="thin"),
        "thickness of layer 2 of sandwich must be a number",
    ),
    "thickness negative": (
        changed("sandwich", "layers", 1, "thickness", value=-1),
        "layer 2: Layer thickness is -1 mm",
    ),
    "mass negative": (
        changed("sandwich", "layers", 2, "mass_per_area", value=-1),
        "layer 3: Layer weight is −1",
    ),
    "melts a number": (
        changed("sandwich", "layers", 2, "melts", value=1),
        "melts of layer 3 of sandwich must be true or false, not a whole number",
    ),
    "a sample longer than any bag": (
        changed("sample", value=ENDLESS),
        "Base width of the sample’s pattern is far too large: it must be at most 10000 mm",
    ),
    "a size of a sample a list": (
        changed("sample", value={**ENDLESS, "drawn": {"base_width": []}}),
        "an entry of drawn of sample must be a number, not a list in [ ]",
    ),
    "bags without end": (changed("making", "bags", value=10**300), "Number of bags is 1000"),
    "width twice": (
        WHOLE.replace('"front_trim": 38.1', '"panel_width": 38.1'),
        "panel width appears twice",
    ),
    "deep lists": ("[" * 300_000, "is nested too deeply"),
    "deep groups": ('{"a":' * 150_000, "is nested too deeply"),
    "huge": (WHOLE + " " * MOST_BYTES, "is too large"),
    "a long name of a key": (
        WHOLE.replace('"body"', '"' + "k" * 300_000 + '": NaN, "body"', 1),
        "k... must be an ordinary number",
    ),
    "NaN for a text": (changed("name", value=math.nan), "name must be text, not a number"),
    "NaN for a word": (
        changed("body", "corners", value=math.nan),
        "corners of body must be cut or sewn-across",
    ),
    "NaN for yes or no": (
        changed("sandwich", "layers", 1, "fusible", value=math.nan),
        "fusible of layer 2 of sandwich must be true or false, not a number",
    ),
    "NaN in a layer": (
        changed("sandwich", "layers", 1, "pressed", value=math.inf),
        "pressed of layer 2 of sandwich must be an ordinary number",
    ),
    "no end of bags": (
        changed("making", "bags", value=math.inf),
        "bags of making must be an ordinary number",
    ),
    "NaN in a file that is none of ours": ('{"a": NaN}', "it holds JSON of another kind"),
}


@pytest.mark.parametrize("case", BAD_TEXTS)
def test_bad_text_gets_one_sentence_that_says_where(case: str) -> None:
    text, told = BAD_TEXTS[case]
    assert told in complaint(text)


def test_a_long_name_is_told_by_its_begin() -> None:
    for length, told in ((80, "k" * 80), (81, "k" * 77 + "..."), (5000, "k" * 77 + "...")):
        text = f'{{"{"k" * length}": 1, "{"k" * length}": 2}}'
        assert complaint(text) == f"mine.json: {told} appears twice: keep only one."


def test_the_brim_of_the_size_is_still_read() -> None:
    """1 MB is 10**6 bytes (SI; IEC 80000-13)."""
    padded = WHOLE + " " * (10**6 - len(WHOLE))
    assert bag_from_json(padded, source="x") == demo_bag()
    assert "is too large: a bag file has at most 1 MB" in complaint(padded + " ")


@given(st.integers(0, len(WHOLE) - 3))
def test_a_file_cut_anywhere_is_refused_in_words(length: int) -> None:
    complaint(WHOLE[:length])


@given(st.integers(0, len(WHOLE) - 1), st.sampled_from('{}[]",:0-9e.x\x00\n'))
@example(WHOLE.index("977.9") + 1, "0")  # another panel, as good as the first
def test_a_file_with_one_sign_changed_gives_what_it_says_or_names_what_is_wrong(
    place: int, sign: str
) -> None:
    """As a second reader of bag files has it, which shares nothing with the program."""
    data = (WHOLE[:place] + sign + WHOLE[place + 1 :]).encode()
    try:
        outcome: Project | BagFileError = project_from_json(data, source="mine.json")
    except BagFileError as error:
        assert str(error).startswith("mine.json")
        outcome = error
    judge(data, outcome)


# --- Files ----------------------------------------------------------------------------------------


def test_a_bag_is_read_back_from_disk(tmp_path: Path) -> None:
    path = tmp_path / "Äpfel 18½.json"
    write_bag(sample("lunch"), path)
    assert read_bag(path) == sample("lunch")
    assert [each.name for each in tmp_path.iterdir()] == [path.name]


def test_an_older_file_is_replaced(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    write_bag(sample("tote"), path)
    assert read_bag(path) == sample("tote")


def test_the_version_before_is_kept_beside_the_file(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    assert not backup_of(path).exists()
    write_bag(sample("tote"), path)
    assert read_bag(backup_of(path)) == sample("lunch")
    write_bag(sample("tote"), path)
    assert read_bag(backup_of(path)) == sample("lunch"), "saving twice is no other version"
    write_bag(demo_bag(), path)
    assert read_bag(backup_of(path)) == sample("tote")
    assert {each.name for each in tmp_path.iterdir()} == {"bag.json", "bag.json~"}


def test_a_backup_is_kept_on_a_disk_without_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    write_bag(sample("tote"), path)
    assert read_bag(backup_of(path)) == sample("lunch")
    assert read_bag(path) == sample("tote")


def test_a_backup_that_cannot_be_kept_does_not_stop_saving(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    assert write_project(Project(bag=sample("lunch")), path) is None
    backup_of(path).mkdir()
    told = write_project(Project(bag=sample("tote")), path)
    assert told is not None
    held = "bag.json was saved, but no backup of its earlier contents could be kept: "
    assert told.text().startswith(held) and len(told.text()) > len(held) + 5
    assert read_bag(path) == sample("tote")
    assert {each.name for each in tmp_path.iterdir()} == {"bag.json", "bag.json~"}


def test_what_a_killed_writer_left_goes_after_an_hour(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    old, fresh = tmp_path / ".cornerwright-0a.tmp", tmp_path / ".cornerwright-0b.tmp"
    for each in (old, fresh):
        each.write_bytes(b"half")
    os.utime(old, (time.time() - 4000, time.time() - 4000))
    write_bag(demo_bag(), path)
    assert {each.name for each in tmp_path.iterdir()} == {"bag.json", fresh.name}


def test_a_place_is_tried_without_a_trace(tmp_path: Path) -> None:
    check_place(tmp_path / "new.pdf")
    path = tmp_path / "bag.json"
    write_bag(demo_bag(), path)
    check_place(path)
    assert [each.name for each in tmp_path.iterdir()] == ["bag.json"]
    assert read_bag(path) == demo_bag()
    for place, told in (
        (tmp_path, "it is a folder"),
        (tmp_path / "gone" / "new.pdf", "its folder does not exist"),
        (path / "new.pdf", "its folder does not exist"),
        (tmp_path / ("n" * 300), "too long"),
    ):
        with pytest.raises((OSError, ValueError)) as caught:
            check_place(place)
        assert told in reason_of(caught.value).text()


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
def test_one_file_is_known_by_any_of_its_names(tmp_path: Path) -> None:
    """Names that only capitals or the kind of accents tell apart are one where none is there."""
    here, other = tmp_path / "a.csv", tmp_path / "b.csv"
    (tmp_path / "folder").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "dangling").symlink_to("a.csv")
    for name in ("a.csv", "folder/a.csv", "folder/../" + tmp_path.name + "/a.csv", "dangling"):
        assert is_same_file(here, tmp_path / name), name
    assert is_same_file(here, tmp_path / "A.csv")
    assert is_same_file(tmp_path / "caf\u00e9", tmp_path / "cafe\u0301")
    assert not is_same_file(here, other)
    assert not is_same_file(here, tmp_path / "a\0.csv")
    here.touch()
    assert is_same_file(here, tmp_path / "dangling")
    assert not is_same_file(here, other)
    capitals = tmp_path / "A.csv"
    assert is_same_file(here, capitals) == capitals.exists()
    assert is_same_file(capitals, here) == capitals.exists()
    os.link(here, other)
    assert is_same_file(here, other)


def test_a_failed_write_leaves_the_older_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BagFileError, match=r"bag\.json cannot be written: no space left"):
        write_bag(sample("tote"), path)
    assert read_bag(path) == sample("lunch")
    assert [each.name for each in tmp_path.iterdir()] == ["bag.json"]


@pytest.mark.skipif(os.name == "nt", reason="file modes are of POSIX")
def test_a_replaced_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    path.chmod(0o640)
    write_bag(sample("tote"), path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@pytest.mark.skipif(os.name == "nt", reason="links want rights there")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.json", tmp_path / "link.json"
    write_bag(sample("lunch"), real)
    link.symlink_to(real)
    write_bag(sample("tote"), link)
    assert link.is_symlink()
    assert read_bag(real) == sample("tote")


def test_a_protected_file_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "bag.json"
    write_bag(sample("lunch"), path)
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may write anything
    with pytest.raises(BagFileError, match="write-protected"):
        write_bag(sample("tote"), path)
    assert read_bag(path) == sample("lunch")


@pytest.mark.parametrize("place", [".", "nowhere/bag.json", "file/bag.json", "a\0b.json"])
def test_a_place_that_cannot_be_written_is_told(place: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    with pytest.raises(BagFileError, match="cannot be written"):
        write_bag(demo_bag(), tmp_path / place)
    assert [each.name for each in tmp_path.iterdir()] == ["file"]


def test_what_is_too_large_to_be_read_is_not_written(tmp_path: Path) -> None:
    """1 MB is 10**6 bytes (SI; IEC 80000-13)."""
    path = tmp_path / "bag.json"
    project = Project(bag=demo_bag(), ticked=frozenset({""}))
    room = 10**6 - len(project_to_json(project).encode())
    brim = replace(project, ticked=frozenset({"x" * room}))
    write_project(brim, path)
    assert path.stat().st_size == 10**6
    assert read_project(path) == brim
    with path.open("rb") as stream:
        assert reading_from_stream(stream, source="x").project == brim
    with pytest.raises(BagFileError, match=r"^bag\.json is too large: a bag file has at most 1 MB"):
        write_project(replace(project, ticked=frozenset({"x" * (room + 1)})), path)
    assert read_project(path) == brim


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "huge.json").write_bytes(b" " * (MOST_BYTES + 1))
    cases = {
        "missing.json": "There is no file missing.json",
        "folder": "folder is a folder",
        "huge.json": "huge.json is too large",
        "huge.json/bag.json": "bag.json cannot be read",
        "n" * 5000: "cannot be read",
        "a\0b.json": "cannot be read",
    }
    for place, told in cases.items():
        with pytest.raises(BagFileError) as caught:
            read_bag(tmp_path / place)
        assert told in str(caught.value)
    root = Path(tmp_path.anchor)
    with pytest.raises(BagFileError) as caught:
        read_bag(root)
    assert str(caught.value) == f"{root} is a folder: choose a bag file."


@pytest.mark.parametrize(
    ("asked", "hint"),
    [
        ("deeper", " Did you mean deeper.json?"),
        ("DEEPER.JSN", " Did you mean deeper.json?"),
        ("deper.json", " Did you mean deeper.json?"),
        ("dearer.json", ""),  # two letters of six are others
        ("mango.json", ""),  # like the others in nothing but what all of them end in
        ("notes.json", ""),  # no bag file has that name
        ("gone/deeper.json", ""),
    ],
)
def test_a_bag_file_of_nearly_that_name_is_offered(asked: str, hint: str, tmp_path: Path) -> None:
    for name in ("deeper.json", "market.json", "notes.txt"):
        (tmp_path / name).write_text("{}", encoding="utf-8")
    with pytest.raises(BagFileError) as caught:
        read_bag(tmp_path / asked)
    assert str(caught.value) == f"There is no file {Path(asked).name}.{hint}"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
def test_a_pipe_is_refused_rather_than_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.json"
    os.mkfifo(pipe)
    with pytest.raises(BagFileError, match="not an ordinary file"):
        read_bag(pipe)


class _Endless(io.RawIOBase):
    """A standard input that has no end."""

    def read(self, size: int = -1) -> bytes:
        assert 0 <= size <= MOST_BYTES + 1, "all of it would never be read"
        return b" " * size


def test_of_a_stream_no_more_is_read_than_a_bag_file_has() -> None:
    with pytest.raises(BagFileError, match=r"x is too large: a bag file has at most 1 MB\."):
        reading_from_stream(_Endless(), source="x")  # type: ignore[arg-type]


class _Broken(io.RawIOBase):
    """A standard input that fails, as one does that is a folder."""

    def read(self, size: int = -1) -> bytes:
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))


def test_a_stream_that_cannot_be_read_is_told() -> None:
    with pytest.raises(BagFileError, match=r"^x cannot be read: is a directory\.$"):
        reading_from_stream(_Broken(), source="x")  # type: ignore[arg-type]
    closed = io.BytesIO(WHOLE.encode())
    closed.close()
    with pytest.raises(BagFileError, match=r"^x cannot be read: .*closed"):
        reading_from_stream(closed, source="x")
