"""Where a command's bag comes from and its files go: standard streams, dashes, links, signs."""

import io
import json
import os
import re
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from app.cli import main
from core.storage.bag_file import MOST_BYTES
from core.storage.bag_files import backup_of, demo_bag, sample
from core.storage.goods_library import GENERIC, library_to_json
from tests.helpers import bag_to_json, read_bag, write_bag

pytestmark = pytest.mark.usefixtures("quick_search")

ESCAPES = "two\nlines\x1b[31m\x9b31m\x07 \u202eright\u2066 \u200fmark\u061c zero\u200bwidth"
"""What steers a terminal: ISO 6429 controls of 7 and of 8 bits, the directions of UAX #9."""
STEERING = re.compile(
    r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200b\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]"
)


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Callable[[bytes], None]:
    """Puts these bytes on standard input."""

    def put(content: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))

    return put


@pytest.fixture
def output(
    capsysbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., bytes]:
    """Runs a command in the test's folder that must be done; what it put out."""
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> bytes:
        assert main(words) == 0
        out, err = capsysbinary.readouterr()
        assert err == b""
        return out

    return run


@pytest.fixture
def refused(
    capsysbinary: pytest.CaptureFixture[bytes], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., str]:
    """Runs a command in the test's folder that must change nothing there; the line it told."""
    monkeypatch.chdir(tmp_path)

    def held() -> dict[str, bytes | Path]:
        return {
            each.name: each.readlink() if each.is_symlink() else each.read_bytes()
            for each in tmp_path.iterdir()
        }

    def run(*words: str) -> str:
        before = held()
        assert main(words) == 2
        out, err = capsysbinary.readouterr()
        assert out == b""
        assert held() == before
        told = err.decode()
        assert told.startswith("cornerwright: ") and told.count("\n") == 1
        return told.removeprefix("cornerwright: ")

    return run


# --- Standard input and output --------------------------------------------------------------------


@pytest.mark.parametrize("command", ["figures", "check", "steps", "materials"])
def test_a_dash_is_the_bag_on_standard_input(
    command: str, output: Callable[..., bytes], typed: Callable[[bytes], None], tmp_path: Path
) -> None:
    write_bag(sample("lunch"), tmp_path / "lunch.json")
    write_bag(sample("tote"), tmp_path / "-")  # POSIX, 12.2: - is the stream, ./- the file
    told = output(command, "lunch.json", "--json")
    typed((tmp_path / "lunch.json").read_bytes())
    assert output(command, "-", "--json") == told
    assert output(command, "./-", "--json") == output(command, "--json", "--", "./-") != told


def test_a_dash_is_standard_output_of_a_bag(
    output: Callable[..., bytes], typed: Callable[[bytes], None], tmp_path: Path
) -> None:
    asked = ("redesign", "--want", "gusset_depth=7.75in", "-o")
    assert b"\nSaved deeper.json.\n" in output(*asked, "deeper.json")
    deeper = output(*asked, "-")
    assert deeper == (tmp_path / "deeper.json").read_bytes()
    typed(deeper)
    back = output("redesign", "-", "--want", "gusset_depth=6.75in", "-o", "-")
    assert json.loads(back)["body"]["corner_cut_depth"] == pytest.approx(3 * 25.4)
    assert [each.name for each in tmp_path.iterdir()] == ["deeper.json"]
    assert b"\nSaved ./-.\n" in output(*asked, "./-")
    assert read_bag(tmp_path / "-") == read_bag(tmp_path / "deeper.json")


WRITERS = {
    ("export",): "out.pdf",
    ("booklet",): "out.pdf",
    ("booklet", "--html"): "out.html",
    ("materials", "--csv"): "out.csv",
    ("materials", "--pdf"): "out.pdf",
}


@pytest.mark.parametrize("words", WRITERS, ids=" ".join)
def test_standard_output_holds_the_file_alone(
    words: tuple[str, ...], output: Callable[..., bytes], tmp_path: Path
) -> None:
    told = output(*words, "-")
    output(*[word for word in words if word != "--html"], WRITERS[words])
    assert told == (tmp_path / WRITERS[words]).read_bytes()
    assert len(told) > 500
    assert [each.name for each in tmp_path.iterdir()] == [WRITERS[words]]


def test_one_file_may_go_to_standard_output_and_another_to_the_disk(
    output: Callable[..., bytes], tmp_path: Path
) -> None:
    assert output("materials", "--csv", "-", "--pdf", "plan.pdf").startswith(b"kind,item,")
    assert (tmp_path / "plan.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "standard input is empty: there is no bag in it."),
        (b" " * (MOST_BYTES + 1), "standard input is too large: a bag file has at most 1 MB."),
        (b"{", "standard input is cut off"),
        (b"\xff", "standard input is not a bag file"),
        (bag_to_json(demo_bag()).replace("469.9", "-1").encode(), "standard input: Panel width"),
    ],
)
def test_what_is_wrong_with_standard_input_is_told_of_it(
    content: bytes, told: str, typed: Callable[[bytes], None], refused: Callable[..., str]
) -> None:
    typed(content)
    assert refused("figures", "-").startswith(told)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("materials", "--csv", "-", "--pdf", "-"), "Only one file can go to standard output"),
        (("materials", "--csv", "-", "--json"), "Standard output takes --json or a file, not bo"),
        (("redesign", "--want", "base_width=11", "-o", "-", "--json"), "Standard output takes"),
        (("booklet", "--html", "out.html"), "--html is for standard output, -"),
        (("booklet", "--html", "--paper", "A4", "-"), "--paper is for a PDF"),
        (("figures", "-", "-"), "Give one bag file, not 2."),
    ],
)
def test_standard_output_is_one(
    words: tuple[str, ...], told: str, refused: Callable[..., str]
) -> None:
    assert told in refused(*words)


def test_a_pdf_is_not_shown_on_a_terminal(
    refused: Callable[..., str],
    output: Callable[..., bytes],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    for words in (("export", "-"), ("booklet", "-"), ("materials", "--pdf", "-")):
        assert "A PDF cannot be shown in a terminal" in refused(*words)
    assert output("booklet", "--html", "-").startswith(b"<!DOCTYPE html>")


# --- Dashes ---------------------------------------------------------------------------------------


def test_two_dashes_end_the_options(
    output: Callable[..., bytes], refused: Callable[..., str], tmp_path: Path
) -> None:
    """POSIX.1-2017, 12.2, Guideline 10: what follows is operands, even if it begins with a dash."""
    for name in ("-lunch.json", "--json"):
        write_bag(sample("lunch"), tmp_path / name)
    told = output("figures", "--", "-lunch.json")
    assert told.startswith(b"Weir Lane lunch bag\n")
    assert output("figures", "--", "--json") == told
    assert output("--", "figures", "--", "--json") == told
    assert json.loads(output("figures", "--json", "--", "--json"))["cut"]["panel_width"] == 440.0
    # Here it ends the list of what is wanted, too.
    deeper = json.loads(output("redesign", "--json", "--want", "base_width=200mm", "--", "--json"))
    assert deeper["finished"]["base_width"] == pytest.approx(200.0)
    assert output("export", "--paper", "A4", "--", "-lunch.json", "-a.pdf") == b"Saved -a.pdf.\n"
    assert "Give one bag file, not 2" in refused("figures", "--", "-lunch.json", "--")


def test_the_value_of_an_option_may_begin_with_a_dash(
    output: Callable[..., bytes], tmp_path: Path
) -> None:
    output("materials", "--csv", "-a.csv", "--pdf=-b.pdf")
    output("redesign", "--want", "base_width=12", "-o", "-c=d.json")
    assert {each.name for each in tmp_path.iterdir()} == {"-a.csv", "-b.pdf", "-c=d.json"}
    read_bag(tmp_path / "-c=d.json")


# --- One file by two names ------------------------------------------------------------------------


def links(folder: Path) -> dict[str, Callable[[], object]]:
    csv, pdf = folder / "a.csv", folder / "b.pdf"

    def both() -> None:
        (folder / "c.txt").write_bytes(b"older")
        csv.symlink_to("c.txt")
        os.link(folder / "c.txt", pdf)

    return {
        "to what is there": lambda: (csv.write_bytes(b"older"), pdf.symlink_to(csv)),
        "to what is to be": lambda: pdf.symlink_to("a.csv"),
        "with other capitals": lambda: pdf.symlink_to("A.CSV"),
        "through a folder": lambda: (
            (folder / "here").symlink_to(folder, target_is_directory=True),
            pdf.symlink_to("here/a.csv"),
        ),
        "hard": lambda: (csv.write_bytes(b"older"), os.link(csv, pdf)),
        "hard and symbolic": both,
    }


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
@pytest.mark.parametrize("case", links(Path()))
def test_two_outputs_are_two_files(case: str, refused: Callable[..., str], tmp_path: Path) -> None:
    links(tmp_path)[case]()
    told = refused("materials", "--csv", "a.csv", "--pdf", "b.pdf", "--replace")
    assert told == "a.csv and b.pdf are the same file: give two names.\n"


@pytest.mark.skipif(os.name == "nt", reason="links are for administrators there")
def test_a_bag_its_backup_and_the_library_of_goods_are_kept(
    refused: Callable[..., str], output: Callable[..., bytes], tmp_path: Path
) -> None:
    mine = tmp_path / "mine.json"
    write_bag(sample("lunch"), mine)
    write_bag(demo_bag(), mine)
    assert backup_of(mine).name == "mine.json~"
    (tmp_path / "bag.pdf").symlink_to("mine.json")
    os.link(backup_of(mine), tmp_path / "old.pdf")
    (tmp_path / "goods.json").write_text(library_to_json(GENERIC), encoding="utf-8")
    (tmp_path / "goods.pdf").symlink_to("goods.json")
    for words in (("export",), ("booklet",), ("materials", "--pdf")):
        command, *option = words
        for name, told in (
            ("bag.pdf", "bag.pdf is the bag file itself: give another name."),
            ("old.pdf", "old.pdf is the bag file’s backup: give another name."),
            ("goods.pdf", "goods.pdf holds the materials library: give another name."),
        ):
            assert told in refused(command, "mine.json", "--replace", *option, name)
    new = ("redesign", "--want", "base_width=12", "--replace", "-o")
    assert "is the bag file’s backup" in refused(*new, "mine.json~", "mine.json")
    assert "would first keep it as mine.json~" in refused(*new, "mine.json", "mine.json~")
    assert "holds the materials library" in refused(*new, "goods.json")
    # A bag that is saved over itself, as the window does: the older one is the backup.
    output(*new, "mine.json", "mine.json")
    assert read_bag(backup_of(mine)) == demo_bag() != read_bag(mine)


# --- Names that steer -----------------------------------------------------------------------------


def steered() -> bytes:
    """A bag's file whose names steer; its second layer is told of in every command."""
    bag = demo_bag()
    layers = [
        replace(each, name=ESCAPES, role=ESCAPES) if each.melts else each
        for each in bag.sandwich.layers
    ]
    sandwich = replace(bag.sandwich, layers=tuple(layers))
    return bag_to_json(replace(bag, name=ESCAPES, sandwich=sandwich)).encode()


@pytest.mark.parametrize(
    "words",
    [
        ("figures",),
        ("check",),
        ("steps",),
        ("materials",),
        ("redesign", "--want", "base_width=12"),
        ("redesign", "--want", "base_width=12", "-o", "-"),
        ("check", "--json"),
        ("steps", "--json"),
        ("materials", "--json"),
        ("redesign", "--want", "base_width=12", "--json"),
    ],
    ids=" ".join,
)
def test_no_name_out_of_a_file_steers_a_terminal(
    words: tuple[str, ...], output: Callable[..., bytes], typed: Callable[[bytes], None]
) -> None:
    command, *options = words
    typed(steered())
    told = output(command, "-", *options).decode()
    assert not STEERING.search(told)
    if words[-1] in ("-", "--json"):  # the same name, with escapes of JSON for what steers
        assert json.dumps(ESCAPES)[1:-1] in json.dumps(json.loads(told))
    else:
        assert "two lines?[31m?31m? ?right? ?mark? zero?width" in told


@pytest.mark.parametrize("words", [("booklet", "--html", "-"), ("materials", "--csv", "-")])
def test_a_page_and_a_table_keep_only_what_a_page_needs(
    words: tuple[str, ...], output: Callable[..., bytes], typed: Callable[[bytes], None]
) -> None:
    command, *options = words
    typed(steered())
    told = output(command, "-", *options).decode().replace("\r\n", "\n")
    assert set(STEERING.findall(told)) == {"\u200f", "\u061c", "\u200b"}


@pytest.mark.skipif(os.name == "nt", reason="no name is like these there")
def test_no_name_of_a_file_steers_a_terminal(
    output: Callable[..., bytes], refused: Callable[..., str]
) -> None:
    name = ESCAPES.replace("/", "") + "\udcff"  # a byte that is no UTF-8
    assert not STEERING.search(refused("figures", name).rstrip("\n"))
    assert not STEERING.search(refused(name).rstrip("\n"))
    told = output("export", f"{name}.pdf").decode()
    assert told.startswith("Saved two lines?[31m?31m? ?right? ?mark? zero?width?")
    assert not STEERING.search(told) and told.count("\n") == 1


# --- Progress -------------------------------------------------------------------------------------


@pytest.mark.parametrize("is_terminal", [True, False])
def test_progress_is_for_eyes_alone_and_leaves_nothing(
    is_terminal: bool, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: is_terminal)
    monkeypatch.setattr("app.cli.answer._BETWEEN", 0.0)
    assert main(("materials", "--bags", "2")) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Quince Row carrier: materials for 2 bags")
    if not is_terminal:
        assert err == ""
        return
    shares = [int(share) for share in re.findall(r"(\d+) %", err)]
    assert len(shares) > 5 and shares == sorted(shares) and shares[-1] == 100
    assert "\n" not in err and "\x1b" not in err
    assert screen_line(err).strip() == ""
    assert err.endswith("\r")


def screen_line(written: str) -> str:
    """What a line of a terminal shows after it: a carriage return goes back to its first column."""
    shown: list[str] = []
    column = 0
    for sign in written:
        if sign == "\r":
            column = 0
            continue
        shown[column : column + 1] = [sign]
        column += 1
    return "".join(shown)


def test_progress_is_taken_away_before_what_is_wrong_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert main(("booklet", str(tmp_path / "out.pdf"), "--paper", "B9")) == 2
    before, _, told = capsys.readouterr().err.partition("cornerwright: ")
    assert before.startswith("\rMaking the booklet ...")
    assert screen_line(before).strip() == ""
    assert "There is no paper called" in told
