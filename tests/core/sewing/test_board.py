"""When a base board gets in, and what holds it. The order is common practice, no source."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.goods.layers import Layer
from core.goods.supplies import BOARD, Supplies
from core.parts.handles.figures import HandleStyle
from core.parts.pocket.pocket import PocketFaces
from core.sewing.steps import operations, steps
from core.work.machine import Heat
from core.work.operation import Action, Operation
from tests.core.sewing.order_proof import Breach, faults_in
from tests.helpers import demo, having, inch, layer, sandwich
from tests.strategies import bags

GLUED = replace(BOARD, name="buckram", fusible=True, melts=False)
KEY = "fuse base board"


def fused(*layers: Layer, goods: Layer = GLUED, **parts: object) -> Bag:
    bag = demo(sandwich=sandwich(*layers), supplies=Supplies(board=goods), **parts)
    return with_choice(bag, "board", "fused")


def order(bag: Bag) -> list[str]:
    return [step.operation.key for step in steps(compute(bag))]


def board_step(bag: Bag) -> Operation:
    keys = (KEY, "lay on base board")
    return next(each.operation for each in steps(compute(bag)) if each.operation.key in keys)


OUTER = layer()
LAST = layer("lining", laid_last=True)


@pytest.mark.parametrize("bottom", ["fold", "seam"])
@pytest.mark.parametrize("style", list(HandleStyle))
def test_handles_and_pocket_then_the_board_then_the_lining(bottom: str, style: HandleStyle) -> None:
    bag = fused(OUTER, layer("fleece"), LAST)
    pocket = replace(bag.parts["pocket"], faces=PocketFaces.BOTH)
    bag = having(
        bag, pocket=pocket, handles=replace(bag.parts["handles"], style=style, leg=inch(3))
    )
    keys = order(with_choice(bag, "bottom", bottom))
    before = (
        "baste layers", "topstitch front pocket lower edge", "topstitch back pocket lower edge",
        "topstitch handles down", "topstitch handle stops", "cut base board",
        *(["join bottom seam"] if bottom == "seam" else []),
    )  # fmt: skip
    for key in before:
        assert keys.index(key) < keys.index(KEY), key
    for key in ("baste lining", "join zip back", "join side seam left"):
        assert keys.index(key) > keys.index(KEY), key
    assert "lay in base board" not in keys


def test_on_one_layer_the_board_covers_what_is_sewn_on() -> None:
    keys = order(fused(OUTER))
    assert keys.index("topstitch handle stops") < keys.index(KEY) < keys.index("join zip back")


def test_where_all_layers_are_basted_at_once_the_board_goes_in_before() -> None:
    bag = fused(OUTER, layer("interfacing", fusible=True), layer("lining"), handles=None)
    keys = order(bag)
    assert keys.index("fuse interfacing") < keys.index(KEY) < keys.index("baste layers")
    assert "interfacing wrong side up" in board_step(bag).instructions[0].text()


def test_laid_in_it_comes_last_of_all() -> None:
    keys = order(demo())
    assert keys.index("press bag") < keys.index("lay in base board")
    assert KEY not in keys


def test_a_stitch_through_the_board_breaks_an_order() -> None:
    bag = fused(OUTER, layer("fleece"), LAST)
    every = operations(bag, compute(bag).draft)
    keys = order(bag)
    keys.remove(KEY)
    keys.insert(keys.index("topstitch handles down"), KEY)
    faults = [each for each in faults_in(every, keys) if each.step == KEY]
    assert faults and all(each.breach is Breach.EARLY for each in faults)


@pytest.mark.parametrize(
    ("layers", "goods", "ironed", "tender"),
    [
        ((OUTER, LAST), GLUED, True, ""),
        ((OUTER, LAST), replace(GLUED, fusible=False), False, ""),  # there is no glue on it
        ((OUTER, LAST), replace(GLUED, melts=True), False, GLUED.role),
        ((OUTER, layer("film", melts=True), LAST), GLUED, False, "film"),  # it lies beneath it
        ((OUTER, replace(LAST, melts=True)), GLUED, True, ""),  # it is not in yet
        ((OUTER, layer("fleece"), layer("film", melts=True)), GLUED, True, ""),  # as here
        ((OUTER, layer("film", melts=True), layer("lining")), GLUED, False, "film"),
        ((replace(OUTER, melts=True),), GLUED, False, OUTER.role),
    ],
)
def test_no_iron_where_something_would_melt_beneath_it(
    layers: tuple[Layer, ...], goods: Layer, ironed: bool, tender: str
) -> None:
    found = board_step(fused(*layers, goods=goods, handles=None))
    told = " ".join(sentence.text() for sentence in found.sentences)
    if ironed:
        assert found.action is Action.FUSE
        assert (found.pressing.heat, found.pressing.cloth) == (Heat.MEDIUM, True)
        assert "label" in found.caution.text()
        assert "tape" not in told
    else:
        assert found.action is Action.LAY_ON
        assert found.pressing is None
        assert "double-sided basting tape" in told
        assert "press from the middle" not in told
    assert ("Do not iron: heat damages the " + tender + "." in told) is bool(tender)


def test_the_iron_keeps_off_a_board_that_is_in() -> None:
    def why(bag: Bag) -> str:
        (press,) = [each for each in steps(compute(bag)) if each.operation.key == "press bag"]
        return press.operation.why.text() if press.operation.why else ""

    assert "Before the board goes in" in why(demo())
    assert "Keep the iron off the bottom" in why(fused(OUTER, LAST))
    assert why(demo(board=None)) == ""


def test_the_look_of_a_board_tells_what_its_room_leaves() -> None:
    """Inside of a wall of 4 mm a bottom of 292.1 mm has 284.1 mm; the board has 280 mm of it.

    An inch ruler shows 2 mm as 1/16 in.
    """
    wall = sandwich(layer(thickness=3.0, pressed=1.0), layer("lining", thickness=1.0, pressed=0.4))
    bag = demo(sandwich=wall)
    base = compute(bag).finished["base_width"]
    for width, ends in ((base - 12.0, inch(1 / 16)), (base - 8.0, 0.0), (base - 7.0, -0.5)):
        sized = having(bag, board=replace(bag.parts["board"], width=width, depth=100.0))
        (last,) = [each for each in steps(compute(sized)) if each.operation.key[:6] == "lay in"]
        look = last.operation.check
        if ends > 0.0:
            assert look.lengths["ends"] == pytest.approx(ends)
        else:
            assert ("trim it" in look.text()) is (ends < 0.0)


@settings(max_examples=60, deadline=None)
@given(bag=bags())
def test_every_bag_with_a_board_has_an_order_without_faults(bag: Bag) -> None:
    result = compute(bag)
    every = operations(bag, result.draft)
    assert faults_in(every, [each.operation for each in steps(result)]) == ()
