"""Checks that every cutting plan must pass, with shapely as the judge."""

from collections import Counter

import shapely
import shapely.affinity

from core.cutting.plan import GoodsPlan, Plan

SLACK = 1e-5
"""mm: ten tolerances."""


def check_plan(plan: Plan) -> None:
    """Nothing overlaps or leaves its goods, nothing is missing, lengths are whole steps."""
    for goods in plan.goods:
        check_goods(goods, plan.options.gap)
        check_pieces(plan, goods)


def check_goods(goods: GoodsPlan, gap: float) -> None:
    if not goods.laid:
        assert (goods.length_used, goods.length_to_buy, goods.yield_) == (0.0, 0.0, 0.0)
        return
    boxes = [shapely.Polygon(each.outline) for each in goods.laid]
    sheet = shapely.box(0.0, 0.0, goods.width, goods.length_used).buffer(SLACK, join_style="mitre")
    assert all(sheet.covers(box) for box in boxes)
    apart = [shapely.affinity.translate(box, yoff=gap * sheet_of(goods, box)) for box in boxes]
    grown = [box.buffer(gap / 2 - SLACK, join_style="mitre") for box in apart]
    tree = shapely.STRtree(grown)
    pairs = tree.query(grown, predicate="intersects").T
    assert not [(i, j) for i, j in pairs if i < j and grown[i].intersection(grown[j]).area > 0.0]
    for box, each in zip(boxes, goods.laid, strict=True):
        shape = shapely.Polygon(each.shape)
        # A corner cut of no width is drawn as a slit: not valid to shapely, but a shape.
        assert shape.is_valid == shapely.Polygon(each.item.outline).is_valid
        assert box.buffer(SLACK, join_style="mitre").covers(shapely.MultiPoint(each.shape))
        assert shape.area <= box.area + SLACK
    area = sum(box.area for box in boxes)
    whole = goods.width * goods.length_used
    # Laid in whole ticks, pieces that fill all may stick out by what their sizes are rounded by.
    assert area <= whole + SLACK * (goods.width + goods.length_used)
    assert abs(goods.yield_ - min(area / whole, 1.0)) < 1e-12
    assert abs(goods.length_used - max(box.bounds[3] for box in boxes)) < SLACK
    check_length(goods)
    check_leftover(goods, boxes)


def sheet_of(goods: GoodsPlan, box: shapely.Polygon) -> int:
    """Which sheet a piece lies on; it must not reach the next. No gap is kept between sheets."""
    if not goods.goods.in_sheets:
        return 0
    _, bottom, _, top = box.bounds
    number = int((bottom + SLACK) // goods.goods.sheet_length)
    assert top <= (number + 1) * goods.goods.sheet_length + SLACK
    return number


def check_length(goods: GoodsPlan) -> None:
    """The smallest number of whole steps that holds what is used, as it is before washing."""
    steps = goods.length_to_buy / goods.goods.sold_step
    assert abs(steps - round(steps)) < 1e-9
    needed = goods.goods.bought(goods.length_used)
    assert goods.length_to_buy >= needed - SLACK
    assert goods.length_to_buy - goods.goods.sold_step < needed


def check_leftover(goods: GoodsPlan, boxes: list[shapely.Polygon]) -> None:
    rest = goods.leftover
    if rest is None:
        return
    free = shapely.box(rest.x, rest.y, rest.x + rest.width, rest.y + rest.length)
    whole = shapely.box(0.0, 0.0, goods.width, goods.cutting_length)
    assert whole.buffer(SLACK).covers(free)
    inner = free.buffer(-SLACK, join_style="mitre")
    assert all(not inner.intersects(box) for box in boxes)


def check_pieces(plan: Plan, goods: GoodsPlan) -> None:
    """Every piece of every bag is laid once, or told as lacking."""
    wanted: Counter[tuple[str, str, int]] = Counter()
    for item in plan.cut_list.items_of(goods.goods):
        for bag in range(1, plan.options.bags + 1):
            wanted[item.piece.label, item.goods.role, bag] += item.count
    laid = Counter((each.item.piece.label, each.item.goods.role, each.bag) for each in goods.laid)
    for item, count, _ in goods.lacking:
        assert count == item.count * plan.options.bags
        for bag in range(1, plan.options.bags + 1):
            del wanted[item.piece.label, item.goods.role, bag]
    assert laid == wanted
