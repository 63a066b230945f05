"""The cut list: sizes, grain, notes, and as CSV."""

import csv
import io
import re
from dataclasses import replace

import pytest

from core.bag.compute import compute
from core.cutting.cut_list import CutItem, cut_list
from core.cutting.plan import PlanOptions
from core.cutting.planner import best_plan
from core.output.csv import HEAD, cut_list_csv, plain_cells
from core.storage.bag_files import demo_bag, sample
from tests.helpers import bare, demo, demo_panel, inch, layer, sandwich


def items(name: str = "demo") -> dict[tuple[str, str], CutItem]:
    return {
        (each.piece.label, each.goods.role): each for each in cut_list(compute(sample(name))).items
    }


def test_rough_rectangles_of_the_demo_bag() -> None:
    """Layers are cut as rectangles first.

    A layer's rectangle is as long as the pattern less its trim, the corners trimmed later
    through all layers (common practice, no source).
    """
    found = items()
    for role in ("outer fabric", "foam interfacing", "insulating fleece", "wipe-clean lining"):
        panel = found["panel", role]
        assert (panel.across, panel.along) == pytest.approx((inch(18.5), inch(38.5 - 1.5)))
        assert not panel.is_rectangle
        assert panel.notes[0].text() == "Cut out the corners through all layers."
    pocket = found["front pocket", "outer fabric"]
    assert (pocket.across, pocket.along) == pytest.approx((inch(18.5), inch(16)))
    assert pocket.is_rectangle


def test_strips_of_the_demo_bag() -> None:
    """Strips for a loop.

    Three strips of 42 x 4 3/4 in across the goods: a strip is cut four times as wide as the
    handle of 1 1/4 in, less 1/4 in to fold (common practice, no source).
    """
    strip = items()["handle strip", "outer fabric"]
    assert strip.count == 3
    assert (strip.across, strip.along) == pytest.approx((inch(42), inch(4.75)))
    assert strip.notes[-1].lengths["loop"] == pytest.approx(inch(124.5))
    assert strip.notes[-1].lengths["drop"] == pytest.approx(inch(12.48), abs=inch(0.005))


def test_strips_of_separate_handles_are_counted_for_both() -> None:
    strip = items("lunch")["handle strip", "waxed cotton"]
    assert strip.count == 2
    assert "Each is one handle" in strip.notes[-1].text()


def test_a_seamed_bottom_gives_two_rectangles() -> None:
    panel = demo_panel(bottom_seam=inch(0.25))
    pieces = {each.piece.label: each for each in cut_list(compute(bare(panel))).items}
    assert set(pieces) == {"front", "back"}
    assert pieces["back"].along == pytest.approx(inch(38.5 / 2))
    assert pieces["front"].along == pytest.approx(inch(38.5 / 2 - 1.5))


def test_a_plain_pillow_is_not_trimmed() -> None:
    panel = demo_panel(corner_width=0.0, corner_depth=0.0)
    (item,) = cut_list(compute(bare(panel))).items
    assert item.is_rectangle


def test_notes_say_what_washing_means() -> None:
    for washed, told in ((True, "before cutting"), (False, "is not washed first")):
        goods = layer(shrink_length=0.03, shrink_width=0.03, cut_washed=washed)
        cuts = cut_list(compute(demo(sandwich=sandwich(goods))))
        assert any(told in note.text() for note in cuts.items[0].notes)


def test_grain() -> None:
    def grain(**changes: object) -> str:
        cuts = cut_list(compute(demo(sandwich=sandwich(layer(**changes)))))
        return cuts.items[0].grain(laid=1, turned=0).text()

    assert grain() == f"grain along the {demo_panel().length - demo_panel().front_trim:g} mm side"
    assert "top of the front up" in grain(one_way=True)


def test_what_stands_upright_of_a_one_way_print() -> None:
    """A folded panel runs down the back and up the front: both faces cannot be top up."""

    def told(bottom_seam: float) -> dict[str, str]:
        panel = demo_panel(bottom_seam=bottom_seam, corner_depth=inch(3) + bottom_seam)
        bag = demo(body=panel, sandwich=sandwich(layer(one_way=True)))
        return {
            each.piece.label: each.grain(laid=1, turned=0).text()
            for each in cut_list(compute(bag)).items
        }

    folded, seamed = told(0.0), told(inch(0.375))
    assert folded["panel"].endswith(", top of the front up")
    assert seamed["front"].endswith(", top up")
    assert seamed["back"].endswith(", top up")
    assert folded["front pocket"].endswith(", top up")
    assert folded["handle strip"].endswith(", all one way")


def test_the_back_of_a_seamed_bottom_lies_top_up_on_the_goods() -> None:
    """Its corners are cut out of its lower end there, as the front's are."""
    panel = demo_panel(bottom_seam=inch(0.375), corner_depth=inch(3.375))
    items = cut_list(compute(bare(panel))).items
    assert {item.piece.label for item in items} == {"front", "back"}
    for item in items:
        low = [x for x, y in item.outline if y < 1e-6]
        high = [x for x, y in item.outline if y > item.along - 1e-6]
        assert max(low) - min(low) == pytest.approx(inch(18.5) - 2 * inch(3.375)), item.piece.label
        assert max(high) - min(high) == pytest.approx(inch(18.5)), item.piece.label


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_csv_of_ten_demo_bags() -> None:
    plan = best_plan(compute(demo_bag()), PlanOptions(bags=10, builds=5))
    rows = read(cut_list_csv(plan))
    assert tuple(rows[0]) == HEAD
    pieces = [each for each in rows if each["kind"] == "piece"]
    assert len(pieces) == len(plan.cut_list.items)
    strip = next(each for each in pieces if each["item"] == "handle strip")
    assert (strip["per bag"], strip["total"]) == ("3", "30")
    assert (float(strip["width mm"]), float(strip["length mm"])) == (1066.8, 120.65)
    bought = {each["item"]: each["total"] for each in rows if each["kind"] == "to buy"}
    assert bought["zip"] == "10"
    assert "outer fabric" in bought
    assert {"thread", "basting tape", "clips", "needles"} <= set(bought)


@pytest.mark.parametrize(
    "start", ["=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20", " ="]
)
def test_no_cell_is_a_formula(start: str) -> None:
    """A spreadsheet must not run a cell.

    Cells that begin with these signs run as formulas in spreadsheets (CSV injection, OWASP,
    from memory): an apostrophe in front keeps them text.
    """
    assert plain_cells((f"{start}1+1", "a=b", "")) == [f"'{start}1+1", "a=b", ""]
    bag = demo_bag()
    bad = replace(bag.sandwich.layers[0], name=f"{start}cmd", role=f"{start}role")
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(bad,)))
    zipped = replace(bag.top, colour=f"{start}red")  # stands inside a sentence
    plan = best_plan(compute(replace(bag, top=zipped)), PlanOptions(builds=1))
    for row in read(cut_list_csv(plan)):
        assert not any(cell.startswith(start) for cell in row.values())


def test_cells_with_quotes_and_line_ends_come_back() -> None:
    bag = demo_bag()
    odd = replace(bag.sandwich.layers[0], role='a "b", c\nd')
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(odd,)))
    rows = read(cut_list_csv(best_plan(compute(bag), PlanOptions(builds=1))))
    assert rows[0]["from"] == 'a "b", c\nd'


FORMULA = re.compile(
    r'^[\s"\x00-\x20\x7f-\xa0\u200b-\u200f\u2060\ufeff]*[=+@\uff1d\uff0b\uff0d\uff20-]'
)
NESTED = (
    "x;=1+1;y",
    "x\t=1+1",
    "x\n=1+1",
    "x\r\n@SUM(A1)",
    "x; \u200b-1",
    "\u200b=1+1",
    "\ufeff+1",
    "\x00=1+1",
    "\x07\u2060@A1",
    "\xa0=1",
    'x;"=1+1"',
    "x\u2028=1",
    "x\x85=1",
    "=1;=2;=3",
)


@pytest.mark.parametrize(
    ("separator", "quoted"),
    [(",", True), (";", True), (";", False), ("\t", True), ("\t", False)],
)
@pytest.mark.parametrize("text", NESTED)
def test_no_part_of_a_cell_is_a_formula_however_it_is_split(
    text: str, separator: str, quoted: bool
) -> None:
    """Spreadsheets of many countries separate by semicolon (common practice, no source)."""
    bag = demo_bag()
    bad = replace(bag.sandwich.layers[0], name=text, role=text)
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(bad,)))
    zipped = replace(bag.top, colour=text)  # stands inside a sentence
    told = cut_list_csv(best_plan(compute(replace(bag, top=zipped)), PlanOptions(builds=1)))
    how = csv.QUOTE_MINIMAL if quoted else csv.QUOTE_NONE
    rows = csv.reader(io.StringIO(told, newline=""), delimiter=separator, quoting=how)
    cells = [cell for row in rows for cell in row]
    assert [cell for cell in cells if FORMULA.match(cell)] == []
    assert {len(row) for row in csv.reader(io.StringIO(told, newline=""))} == {len(HEAD)}
    assert not re.search("[^\\r\\n\\t -~\x80-\U0010ffff]", told), "RFC 4180, 2.7: no control signs"


def test_texts_without_a_formula_stay_as_they_are() -> None:
    told = (
        "a; b",
        "1/2 - 3/4",
        "Rain; wind = wet",
        "\u062d\u0642\u064a\u0628\u0629",
        "",
        "5 mm; 6 mm",
    )
    assert plain_cells(told) == list(told)
    assert plain_cells(("x;=1;y", "\u200b=1", "a\x1b[31m")) == ["x;'=1;y", "'\u200b=1", "a?[31m"]
