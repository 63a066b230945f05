"""Shopping list, cut list and plans on pages, as records and as read back from the PDF."""

import io
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

import pdfplumber
import pypdfium2
import pytest
import shapely

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bag.making import Cutting
from core.base.errors import FieldError
from core.base.units import Unit, format_length
from core.cutting.buying import total_cost
from core.cutting.plan import Plan, PlanOptions
from core.cutting.planner import best_plan
from core.drawing.cutting_stretches import LARGEST_SCALE, SMALLEST_SCALE, chosen_scale, stretches_of
from core.drawing.lettering import PLAIN, Wording
from core.drawing.records import Polygon, Text, text_box
from core.flat.ink import Ink
from core.output.materials import materials_pages, materials_pdf_bytes
from core.output.page_flow import MARGIN
from core.output.papers import A4, LETTER, Paper, paper_named, roll
from core.storage.bag_files import demo_bag, sample
from tests.core.output.readers import fullness
from tests.helpers import bare, demo, demo_panel, inch, layer, sandwich

POINTS = 72 / 25.4


def planned(bag: Bag, **options: object) -> Plan:
    given = {"builds": 5, **options}
    return best_plan(compute(bag), PlanOptions(**given))  # type: ignore[arg-type]  # as given


def inches(length: float) -> str:
    return format_length(length, unit=Unit.INCH)


def letter(**told: object) -> tuple[Paper, Wording]:
    return LETTER, Wording(show=inches, **told)  # type: ignore[arg-type]  # as given


def texts(plan: Plan, paper: Paper, wording: Wording) -> list[list[str]]:
    return [
        [each.text for each in page if isinstance(each, Text)]
        for page in materials_pages(plan, paper, wording)
    ]


PLANS = {
    "one": lambda: planned(demo_bag()),
    "ten": lambda: planned(demo_bag(), bags=10),
    "ten in rows": lambda: planned(demo_bag(), bags=10, cutting=Cutting.ROWS, gap=3.0),
    "eleven folded": lambda: planned(demo_bag(), bags=11, folded=True),
    "sixty": lambda: planned(demo_bag(), bags=60, builds=1),
    "lunch": lambda: planned(sample("lunch"), bags=3),
}


@pytest.mark.parametrize("make", PLANS.values(), ids=PLANS.keys())
@pytest.mark.parametrize("paper", [A4, LETTER], ids=lambda paper: paper.name)
def test_everything_lies_on_its_page_and_no_text_on_another(make: object, paper: object) -> None:
    made = make()  # type: ignore[operator]  # parametrized
    pages = materials_pages(made, paper, Wording(show=inches))  # type: ignore[arg-type]  # as well
    room = shapely.box(MARGIN - 1, MARGIN - 1, paper.width - 2, paper.height - 2)  # type: ignore[attr-defined]  # parametrized
    for page in pages:
        boxes = []
        for record in page:
            if isinstance(record, Text):
                boxes.append(shapely.box(*text_box(record)))
                assert room.covers(boxes[-1]), record
            else:
                assert all(room.covers(shapely.Point(point)) for point in record.points), record
        tree = shapely.STRtree(boxes)
        pairs = tree.query(boxes, predicate="intersects").T
        overlapping = [
            (i, j)
            for i, j in pairs
            if i < j and boxes[i].intersection(boxes[j]).area > 0.35 * min(
                boxes[i].area, boxes[j].area
            )
        ]  # fmt: skip
        assert not overlapping


@pytest.mark.parametrize("make", PLANS.values(), ids=PLANS.keys())
def test_every_piece_is_drawn_with_its_area(make: object) -> None:
    plan: Plan = make()  # type: ignore[operator]  # parametrized
    pages = materials_pages(plan, *letter())
    drawn = sum(
        shapely.Polygon(each.points).area
        for page in pages
        for each in page
        if isinstance(each, Polygon) and each.ink is Ink.PIECE
    )
    expected = 0.0
    for goods in plan.goods:
        area = sum(each.width * each.height for each in goods.laid)
        expected += area * scale_of(plan, goods.goods.title, pages) ** 2
    assert drawn == pytest.approx(expected, rel=1e-6)


def scale_of(plan: Plan, title: str, pages: object) -> float:
    """The scale told below the heading of one material."""
    for page in pages:  # type: ignore[attr-defined]  # pages of records
        words = [each.text for each in page if isinstance(each, Text)]
        if f"Cutting plan: {title}" in words:
            after = words[words.index(f"Cutting plan: {title}") :]
            told = next(each for each in after if each.startswith("Scale 1:"))
            return 1 / float(told.removeprefix("Scale 1:").rstrip("."))
    raise LookupError(title)


def test_what_is_told_about_ten_demo_bags() -> None:
    plan = planned(demo_bag(), bags=10)
    first, outer, *_ = texts(plan, *letter())
    assert "Quince Row carrier" in first
    assert "Materials and cutting plan for 10 bags" in first
    for word in (
        "outer fabric",
        "polypropylene sheet",
        "thread",
        "zip",
        f"{total_cost(plan):.2f}",
        "30",
    ):
        assert word in first
    assert "42 in × 4 ¾ in" in first
    assert "panel: Cut out the corners through all layers." in first
    assert "Cutting plan: outer fabric" in outer
    assert any(each.startswith("Buy ") and each.endswith(" yd.") for each in outer)
    assert any(each.startswith("Largest piece left over") for each in outer)
    costs = texts(plan, *letter(currency="JPY", unit=Unit.MM))[0]
    assert {"Total of priced items", "Cost of one bag"} <= set(costs)
    # ISO 4217: the yen has no smaller unit.
    assert {f"{total_cost(plan, 'JPY') / part:.0f} JPY" for part in (1, 10)} <= set(costs)
    assert any(each.startswith("One bag weighs 4") and " g: " in each for each in costs)
    assert not any(" oz" in each for each in costs)
    assert any(each.startswith("200 m a spool") for each in costs)
    assert {f"panel {number}" for number in range(1, 11)} <= set(outer)


def test_what_does_not_fit_is_told_first() -> None:
    bag = demo(sandwich=sandwich(layer(), layer("fleece", usable_width=300.0)))
    first, *_ = texts(planned(bag, bags=2), *letter())
    assert "Does not fit" in first
    assert any("fleece" in each for each in first)
    assert first.index("Does not fit") < first.index("What to buy")
    told = "2 of them are not included in the plan, the cost or the lengths below."
    assert told in first, "and no number that reads as inches"


@pytest.mark.parametrize("make", PLANS.values(), ids=PLANS.keys())
def test_stretches_follow_one_another_to_the_end(make: object) -> None:
    plan: Plan = make()  # type: ignore[operator]  # parametrized
    for goods in plan.goods:
        longest = 3000.0
        columns = list(stretches_of(goods, longest))
        assert len(columns) >= goods.cutting_length / longest
        assert columns[0].low == 0.0
        assert columns[-1].high == pytest.approx(goods.cutting_length)
        for one, other in pairwise(columns):
            assert one.high == other.low
        assert all(each.high - each.low <= longest + 1e-6 for each in columns)


def test_a_stretch_ends_before_the_piece_that_would_be_cut_in_two() -> None:
    panel = demo_panel(width=inch(40), length=inch(100))
    wall = sandwich(layer(usable_width=inch(42)))
    goods = planned(replace(bare(panel=panel), sandwich=wall), bags=4).goods[0]
    (tall,) = {each.height for each in goods.laid}
    assert goods.length_used == pytest.approx(4 * tall)
    # Room for a piece and three quarters: far from the even share, and yet each is whole.
    columns = list(stretches_of(goods, 1.75 * tall))
    assert len(columns) == 4
    for column in columns:
        cut = [
            each for each in goods.laid
            if each.y < column.high - 1e-6 and each.y + each.height > column.high + 1e-6
        ]  # fmt: skip
        assert not cut


def test_scales_are_legible_and_fit() -> None:
    for width in (300.0, 1066.8, 2743.2):
        for length in (100.0, 1000.0, 9036.0, 200_000.0):
            scale = chosen_scale(width, length, (180.0, 220.0))
            assert scale <= LARGEST_SCALE
            assert scale * width <= 180.0 + 1e-9
            assert 1 / scale == pytest.approx(round(1 / scale))
            assert 1 / scale <= max(1 / SMALLEST_SCALE, width / 180.0) + 1.0


def test_the_file_is_read_back() -> None:
    plan = planned(demo_bag(), bags=10)
    data = materials_pdf_bytes(plan, *letter())
    assert data == materials_pdf_bytes(plan, *letter())
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        assert len(pdf.pages) == len(materials_pages(plan, *letter()))
        assert (pdf.pages[0].width, pdf.pages[0].height) == pytest.approx((612, 792))
        text = pdf.pages[0].extract_text()
        assert "What to buy" in text
        assert "Cut list" in text
        second = pdf.pages[1].extract_text()
        assert "Cutting plan: outer fabric" in second
        # Where it is lettered along the goods it is read from below.
        assert "panel 1" in second or "1\nlenap" in second


def test_signs_that_the_font_lacks_do_not_vanish() -> None:
    plan = planned(replace(demo_bag(), name="Bag 鞄"))
    with pdfplumber.open(io.BytesIO(materials_pdf_bytes(plan, *letter()))) as pdf:
        assert "Bag ?" in pdf.pages[0].extract_text()


def test_a_roll_is_no_paper_for_lists() -> None:
    with pytest.raises(FieldError, match="must be a sheet"):
        materials_pages(planned(demo_bag(), builds=1), roll(600.0), PLAIN)


def test_what_one_of_several_bags_costs_is_told_in_the_makers_currency() -> None:
    """Added up here from the amounts as they are read, by exact decimals."""
    plan = planned(demo_bag(), bags=10)
    words = texts(plan, *letter(currency="EUR"))[0]
    costs = [Decimal(each.removesuffix(" EUR")) for each in words if each.endswith(" EUR")]
    *lines, whole, one = costs
    assert len(lines) == sum(goods.cost > 0.0 for goods in plan.goods)
    assert whole == sum(lines)
    assert one == (whole / 10).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert words[words.index("Cost of one bag") + 1] == f"{one} EUR"
    alone = texts(planned(demo_bag()), *letter())[0]
    assert "Cost of one bag" not in alone
    assert not any(each.endswith(" EUR") for each in alone)


@pytest.mark.parametrize(("unit", "told"), [(Unit.INCH, "15.7 oz (446 g)"), (Unit.MM, "446 g")])
def test_a_weight_is_told_in_the_readers_unit(unit: Unit, told: str) -> None:
    """1 oz is 28.349523125 g (international avoirdupois pound, 1959)."""
    words = texts(planned(demo_bag()), *letter(unit=unit))[0]
    (line,) = [each for each in words if each.startswith("One bag weighs")]
    assert line.startswith(f"One bag weighs {told}:")


@pytest.mark.parametrize(
    ("name", "bags", "paper"),
    [
        ("demo", 1, LETTER),
        ("demo", 1, A4),
        ("demo", 12, A4),
        ("lunch", 3, LETTER),
        ("lunch", 3, A4),
    ],
)
def test_no_page_but_the_last_is_a_quarter_empty(name: str, bags: int, paper: Paper) -> None:
    """As pdfium renders it: rows of the page with ink on them or near them."""
    plan = planned(demo_bag() if name == "demo" else sample(name), bags=bags)
    file = pypdfium2.PdfDocument(materials_pdf_bytes(plan, paper, PLAIN))
    full = [round(fullness(page), 2) for page in file]
    assert min(full[:-1]) >= 0.75, full


def test_no_word_of_the_search_is_printed() -> None:
    plan = planned(demo_bag(), seed=7)
    told = " ".join(each for page in texts(plan, *letter()) for each in page).lower()
    assert "seed" not in told
    assert "search" not in told


def test_one_piece_is_told_as_one() -> None:
    pages = texts(planned(demo_bag()), *letter())
    told = [each for page in pages for each in page]
    assert any(each.startswith("1 piece on ") for each in told)
    assert not any(each.startswith("1 pieces") for each in told)


def test_a_plan_that_is_longer_than_a_page_begins_on_its_own() -> None:
    """Below the shopping list it would be cut into short rows, and take two pages more."""
    pages = texts(planned(demo_bag(), bags=60, builds=1), paper_named("A3"), PLAIN)
    assert not any(each.startswith("Cutting plan: ") for each in pages[0])
    assert len(pages) == 9
