"""The materials command: its JSON object, its files, its text, and one line for what is wrong."""

import csv
import io
import json
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
import shapely

from app.cli import main
from core.bag.making import Cutting, Making
from core.base.units import Unit
from core.storage.bag_files import demo_bag, sample, write_project
from core.storage.project import Project
from tests.helpers import demo, inch, layer, sandwich, write_bag

pytestmark = pytest.mark.usefixtures("quick_search")


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    assert main(["materials", *words, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_the_json_object(capsys: pytest.CaptureFixture[str]) -> None:
    found = told(capsys, "--bags", "10")
    assert list(found) == ["goods", "cost", "weight_kg", "bags", "thread"]
    lines = found["thread"]["lines"]
    assert {"name", "stitch", "length", "thread"} == set(lines[0])
    # 15 % more for starts, ends and hand stitches.
    assert found["thread"]["needed"] == pytest.approx(1.15 * sum(e["thread"] for e in lines))
    assert found["bags"] == 10
    assert found["weight_kg"] == pytest.approx(0.445831, abs=1e-6)
    names = [each["name"] for each in found["goods"]]
    assert names[0] == "outer fabric"
    assert len(names) == 5
    prices = {layer.role: layer.price_per_length for layer in demo_bag().sandwich.layers}
    cost = 0.0
    for goods in found["goods"]:
        assert list(goods) == [
            "name", "usable_width", "length_used", "length_to_buy", "yield", "pieces",
        ]  # fmt: skip
        check_goods(goods)
        cost += prices.get(goods["name"], 0.0) * goods["length_to_buy"]
    assert found["cost"] == pytest.approx(cost)


def test_what_is_not_said_is_as_the_file_keeps_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    making = Making(bags=3, cutting=Cutting.ROWS, folded=True, gap=4.0)
    write_project(Project(bag=demo_bag(), making=making), tmp_path / "mine.json")
    mine = str(tmp_path / "mine.json")
    said = ("--bags", "3", "--cutting", "rows", "--folded", "--gap", "4mm")
    assert told(capsys, mine) == told(capsys, *said)
    other = told(capsys, mine, "--bags", "1", "--cutting", "free", "--no-folded", "--gap", "0")
    assert other == told(capsys)


def check_goods(goods: dict[str, Any]) -> None:
    boxes = []
    for piece in goods["pieces"]:
        assert list(piece) == ["name", "bag", "turned", "outline"]
        assert 1 <= piece["bag"] <= 10
        boxes.append(shapely.Polygon(piece["outline"]))
    whole = shapely.box(0, 0, goods["usable_width"], goods["length_used"])
    assert all(whole.buffer(1e-5).covers(box) for box in boxes)
    union = shapely.union_all([box.buffer(-1e-5, join_style="mitre") for box in boxes])
    assert union.area == pytest.approx(sum(box.area for box in boxes), rel=1e-6)
    assert goods["length_to_buy"] >= goods["length_used"]
    assert goods["yield"] == pytest.approx(sum(box.area for box in boxes) / whole.area)


def test_lengths_to_buy_are_eighths_of_a_yard(capsys: pytest.CaptureFixture[str]) -> None:
    *sold_by_length, _ = told(capsys, "--bags", "3")["goods"]
    assert len(sold_by_length) == 4
    for goods in sold_by_length:
        eighths = goods["length_to_buy"] / inch(4.5)
        assert eighths == pytest.approx(round(eighths))
        assert goods["length_to_buy"] - goods["length_used"] < inch(4.5)


def test_a_bag_file_and_changes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "lunch.json"
    write_bag(sample("lunch"), path)
    found = told(capsys, str(path), "--without", "handles", "--set", "panel_width=400mm")
    pieces = [piece for goods in found["goods"] for piece in goods["pieces"]]
    assert "handle strip" not in {piece["name"] for piece in pieces}
    panel = shapely.Polygon(next(each for each in pieces if each["name"] == "panel")["outline"])
    assert panel.area == pytest.approx(400 * 770)


def test_rows_folded_gap_and_seed(capsys: pytest.CaptureFixture[str]) -> None:
    plain = told(capsys, "--bags", "4")["goods"][0]["length_used"]
    rows = told(capsys, "--bags", "4", "--cutting", "rows", "--seed", "3")
    folded = told(capsys, "--bags", "4", "--folded")
    gaps = told(capsys, "--bags", "4", "--gap", "1/4in")
    assert rows["goods"][0]["length_used"] >= plain - 1e-6
    assert folded["goods"][0]["length_used"] >= plain - 1e-6
    assert gaps["goods"][0]["length_used"] > plain
    assert rows == told(capsys, "--bags", "4", "--cutting", "rows", "--seed", "3")


def test_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["materials", "--bags", "10"]) == 0
    out = capsys.readouterr().out
    assert out.startswith("Quince Row carrier: materials for 10 bags\n")
    for part in ("To buy", "Cut list", "Cutting plan (free)", "2 sheets", "42 in x 4 3/4 in"):
        assert part in out
    assert all(line == line.rstrip() for line in out.splitlines())


def test_text_tells_how_it_is_cut(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["materials", "--cutting", "rows", "--folded", "--gap", "1/2in"]) == 0
    way = "(rows, each cut from edge to edge, material folded lengthwise, 1/2 in between pieces)"
    assert f"Cutting plan {way}" in capsys.readouterr().out


def test_the_next_zip_that_the_shop_sells_is_bought(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo's zip is 22 in long; a new one for it would be the shop's next, too."""
    assert main(["materials", "--zip-lengths", "18in; 30, 24in"]) == 0
    assert "24 in long, the next length sold, cut to 22 in" in capsys.readouterr().out


def test_money_has_its_currency_and_one_bag_its_share(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Digits of ISO 4217: KWD has three; a total is the sum of the costs as they are read."""
    words = ("materials", "--bags", "4", "--csv", str(tmp_path / "list.csv"), "--currency", "kwd")
    assert main(list(words)) == 0
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]
    costs = {line[0]: Decimal(line[-2]) for line in lines if line[-1:] == ["KWD"]}
    whole, one = costs.pop("Total"), costs.pop("Cost")
    assert whole == sum(costs.values())
    assert one == (whole / 4).quantize(Decimal("0.001"), ROUND_HALF_UP)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "list.csv").read_text(encoding="utf-8"))))
    paid = {row["item"]: (row["cost"], row["currency"]) for row in rows if row["cost"]}
    assert paid["Cost of one bag"] == (str(one), "KWD")
    assert paid["Total of priced items"] == (str(whole), "KWD")
    assert told(capsys, "--currency", "EUR")["currency"] == "EUR"


def test_what_does_not_fit_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "wide.json"
    write_bag(demo(sandwich=sandwich(layer(), layer("fleece", usable_width=inch(18)))), path)
    found = told(capsys, str(path), "--bags", "2")
    (finding,) = found["findings"]
    assert finding["code"] == "wider-than-goods"
    assert finding["limit"] == pytest.approx(inch(18))
    assert found["goods"][1]["pieces"] == []
    assert found["goods"][1]["length_to_buy"] == 0.0
    assert main(["materials", str(path), "--bags", "2"]) == 0
    out = capsys.readouterr().out
    assert "Does not fit" in out
    assert "2 of them are not included in the plan" in out


def test_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet, pages = tmp_path / "cut.csv", tmp_path / "plan.pdf"
    assert main(["materials", "--bags", "2", "--csv", str(sheet), "--pdf", str(pages)]) == 0
    capsys.readouterr()
    with sheet.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert {"panel", "handle strip", "zip", "thread"} <= {row["item"] for row in rows}
    assert page_size(pages) == pytest.approx((612, 792)), "Letter, for a bag in inches"
    assert main(["materials", "--pdf", str(pages), "--paper", "a4", "--replace"]) == 0
    assert page_size(pages) == pytest.approx((210 * 72 / 25.4, 297 * 72 / 25.4))  # ISO 216


def page_size(path: Path) -> tuple[float, float]:
    """Points of the first page."""
    document = pypdfium2.PdfDocument(path)
    size = document.get_page_size(0)
    document.close()
    return size


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("--currency", "money"), "There is no currency “money”: give its code of three letters"),
        (("--bags", "0"), "Number of bags is 0: it must be a whole number from 1 to 1000."),
        (("--bags", "1001"), "Number of bags is 1001"),
        (("--bags", "ten"), "Number of bags is ten"),
        (("--bags", "1.5"), "Number of bags is 1.5"),
        (("--bags", ""), "Number of bags is empty"),
        (("--bags=-1",), "Number of bags is -1"),
        (("--bags", "٣"), "Number of bags is ٣"),
        (("--bags",), "--bags"),
        (("--seed", "x"), "Seed is x"),
        (("--gap", "wide"), "Gap:"),
        (("--gap", "9in"), "Gap is 9 in: it must be from 0 to ≈ 7 7/8 in."),
        (("--gap", "-5"), "Gap is −5 in: it must be from 0 to ≈ 7 7/8 in."),
        (("--gap", "1e9"), "Gap is far too large: it must be from 0 to ≈ 7 7/8 in."),
        (("--gap=-1mm",), "Gap"),
        (("--cutting", "laser"), "--cutting"),
        (("--csv", "cut.txt"), "must end in .csv"),
        (("--csv", ""), "The name of the file to write is empty"),
        (("--pdf", "plan.png"), "must end in .pdf"),
        (("--csv", "no/such/folder/cut.csv"), "cannot be written"),
        (("--pdf", "no/such/folder/plan.pdf"), "cannot be written"),
        (("nobody.json",), "There is no file"),
        (("a.json", "b.json"), "Give one bag file"),
        (("--set", "panel_width=0"), "Panel width"),
        (("--frobnicate",), "frobnicate"),
        (("--paper", "A4"), "--paper is for a PDF: name one with --pdf"),
        (("--pdf", "plan.pdf", "--paper", "A9"), "There is no paper called “A9”"),
        (("--zip-lengths", "18; long"), "--zip-lengths: type a length such as"),
        (("--zip-lengths", ";"), "there must be 1 to 100"),
        (("--zip-lengths", "18", "--zip-lengths", "24"), "--zip-lengths is given twice"),
    ],
)
def test_one_line_for_what_is_wrong(
    words: tuple[str, ...], part: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["materials", *words]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert part in captured.err
    assert captured.err.count("\n") == 1


def test_the_widest_gap_is_told_in_the_bag_s_unit(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bag.json"
    write_bag(replace(demo_bag(), unit=Unit.CM), path)
    assert main(["materials", str(path), "--gap", "21"]) == 2
    assert "Gap is 21 cm: it must be from 0 to 20 cm." in capsys.readouterr().err


def test_the_bag_file_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bag.csv"
    write_bag(demo_bag(), path)
    before = path.read_bytes()
    assert main(["materials", str(path), "--csv", str(path)]) == 2
    assert "is the bag file itself" in capsys.readouterr().err
    assert path.read_bytes() == before
