"""Sewing a wall of layers: what is fused, what is laid in last, how thick seams cross.

What comes before what is common practice, no source.
"""

import re
from dataclasses import replace

import pytest

from core.bag.bag import Bag, with_figures
from core.bag.choices import without_part
from core.bag.compute import compute
from core.bodies.boxed_panel.allowances import SewnAllowances, walls_at_corner
from core.goods.layers import Layer
from core.parts.board.board import BaseBoard, BoardWay
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.work.operation import Action, Operation
from tests.helpers import HALF_STEP, demo, having, inch, layer, sandwich


def found(bag: Bag) -> dict[str, Operation]:
    return {each.key: each for each in operations(bag, compute(bag).draft)}


# --- A lining that is laid in last (common practice, no source) -----------------------------------

FILM = layer("film lining", melts=True, wipe_clean=True, laid_last=True)
FLEECE = layer("fleece")


def place_of(bag: Bag) -> dict[str, int]:
    return {each.key: n for n, each in enumerate(sewing_order(found(bag).values()))}


@pytest.mark.parametrize("between", [(), (FLEECE,), (FLEECE, layer("foam", fusible=True))])
@pytest.mark.parametrize("seamed", [False, True])
@pytest.mark.parametrize("zipped", [False, True])
def test_pocket_and_handles_are_sewn_on_before_the_lining_is_in(
    between: tuple[Layer, ...], seamed: bool, zipped: bool
) -> None:
    bag = demo(sandwich=sandwich(layer(), *between, FILM))
    bag = bag if zipped else without_part(bag, "zip")
    bag = with_figures(bag, {"bottom_seam": inch(0.25)}) if seamed else bag
    place = place_of(bag)
    last = place["baste lining"]
    laid_on = [
        "topstitch front pocket lower edge", "topstitch handles down", "topstitch handle stops",
    ]  # fmt: skip
    assert all(place[key] < last for key in [*laid_on, *(["join bottom seam"] if seamed else [])])
    through = ["cut corner cuts", "join zip front" if zipped else "hem top", "join side seam left"]
    assert all(last < place[key] for key in through)
    # A single layer needs no basting before something is sewn onto it.
    assert ("baste layers" in place) == bool(between)
    assert place["mark panel"] < place["lay on front pocket"]


def test_a_lining_that_is_not_laid_last_is_sewn_through() -> None:
    before = demo(sandwich=sandwich(layer(), replace(FILM, laid_last=False)))
    every = found(before)
    assert "baste lining" not in every
    assert every["baste layers"].layers == (0, 1)
    assert place_of(before)["baste layers"] < place_of(before)["lay on front pocket"]
    look = every["topstitch front pocket lower edge"].check
    assert look is not None
    assert look.text() == "No fold was caught on the lining side."


@pytest.mark.parametrize("last", [True, False])
def test_no_pin_is_left_where_a_lining_is_laid_over_it(last: bool) -> None:
    bag = demo(sandwich=sandwich(layer(), replace(FILM, laid_last=last)))
    told = " ".join(each.text() for each in found(bag)["topstitch handle stops"].instructions)
    assert "Tie the loose handles together" in told
    assert "Pin the loose handles" not in told, "in film its hole stays, wherever that lies"


def test_with_nothing_to_sew_on_all_layers_are_basted_at_once() -> None:
    bag = demo(sandwich=sandwich(layer(), FILM), pocket=None, handles=None)
    assert "baste lining" not in found(bag)
    stiff = having(bag, board=BaseBoard(width=100.0, depth=60.0, way=BoardWay.FUSED))
    assert "baste lining" in found(stiff)


def test_the_needle_goes_through_the_layers_that_are_there() -> None:
    bag = demo(sandwich=sandwich(layer(), FLEECE, FILM))
    every = found(bag)
    assert every["baste layers"].layers == (0, 1)
    assert every["baste lining"].layers == (2,)
    for key in ("topstitch front pocket lower edge", "topstitch handles down"):
        look = every[key].check
        assert look is not None
        assert "lining" not in look.text()


def test_the_linings_own_bottom_is_joined_with_the_bottom_seam() -> None:
    bag = with_figures(demo(sandwich=sandwich(layer(), FILM)), {"bottom_seam": inch(0.25)})
    every = found(bag)
    told = " ".join(each.text() for each in every["join bottom seam"].instructions)
    assert "the two pieces of the film lining at the bottom in the same way, separately" in told
    assert "their allowances between" in every["baste lining"].instructions[0].text()
    together = replace(bag, sandwich=sandwich(layer(), replace(FILM, laid_last=False)))
    told = " ".join(each.text() for each in found(together)["join bottom seam"].instructions)
    assert "lining" not in told


@pytest.mark.parametrize(
    ("bag", "seams"),
    [
        (demo(), "side, corner and zip seams still pierce"),
        (without_part(demo(), "zip"), "side and corner seams and the hem still pierce"),
        (
            with_figures(demo(), {"bottom_seam": inch(0.25)}),
            "side, corner, bottom and zip seams still pierce",
        ),
    ],
)
def test_nothing_says_that_the_bag_keeps_water(bag: Bag, seams: str) -> None:
    lined = replace(bag, sandwich=sandwich(layer(), FILM))
    why = found(lined)["baste lining"].why
    assert why is not None
    assert seams in why.text()
    said = " ".join(s.text() for each in found(lined).values() for s in each.sentences).lower()
    assert not re.search("water ?proof|leak|water ?tight", said)


def test_several_layers_that_are_laid_last_are_told_one_by_one() -> None:
    fleece = replace(FLEECE, laid_last=True)
    lining = found(demo(sandwich=sandwich(layer(), fleece, layer("net"), FILM)))["baste lining"]
    assert lining.title.text() == "Lay in the fleece, net and film lining and baste"
    assert "one on top of the other, fleece, net and film lining" in lining.instructions[0].text()


def test_layers_that_do_the_same_are_told_apart_by_their_place() -> None:
    cotton = layer("cotton")
    bag = demo(sandwich=sandwich(cotton, layer("fleece"), replace(cotton, laid_last=True)))
    every = found(bag)
    assert every["baste lining"].title.text() == "Lay in the cotton (layer 3) and baste"
    assert "the cotton (layer 1) on top" in every["baste layers"].instructions[0].text()
    assert "fleece (layer" not in every["baste layers"].instructions[0].text()


def test_a_bag_without_a_pocket_is_told_of_none() -> None:
    """Nor one without handles of handles: what is laid on decides what is told."""
    for gone, word in (("pocket", "pocket"), ("handles", "handle")):
        every = found(demo(sandwich=sandwich(layer(), FLEECE, FILM)).without(gone, "board"))
        assert every["baste layers"].why is not None
        told = [each.text() for step in every.values() for each in step.instructions]
        told += [step.why.text() for step in every.values() if step.why]
        assert not [text for text in told if re.search(word, text, re.IGNORECASE)]


def test_a_woven_lining_that_is_laid_last_has_nothing_to_keep_whole() -> None:
    woven = layer("woven lining", laid_last=True)
    lining = found(demo(sandwich=sandwich(layer(), woven)))["baste lining"]
    said = " ".join(each.text() for each in lining.sentences)
    assert "holes" not in said
    assert "hides the stitching" in said


@pytest.mark.parametrize(
    ("outer", "inner", "told"),
    [(True, False, False), (False, True, True), (False, False, None)],
)
def test_the_last_press_spares_the_side_that_melts(
    outer: bool, inner: bool, told: bool | None
) -> None:
    bag = demo(sandwich=sandwich(layer(melts=outer), layer("lining", melts=inner)))
    caution = found(bag)["press bag"].caution
    assert (caution is None) == (told is None)
    if caution is not None:
        assert ("never iron the lining side" in caution.text()) == told


@pytest.mark.parametrize(
    ("layers", "fused"),
    [
        (
            (layer(), layer("a", fusible=True), layer("b", fusible=True)),
            {"a and b to outer fabric"},
        ),
        ((layer(), FLEECE, layer("a", fusible=True)), {"a to fleece"}),
        ((layer(melts=True), layer("a", fusible=True)), set()),
        ((layer(), layer("a", fusible=True, melts=True)), set()),
        ((layer(), layer("a", fusible=True, laid_last=True), FILM), set()),
        ((layer(), FILM, layer("a", fusible=True)), set()),
        (
            (layer(), replace(FLEECE, laid_last=True), layer("a", fusible=True)),
            {"a to fleece"},
        ),
    ],
)
def test_what_is_fusible_is_fused_to_what_it_lies_on(
    layers: tuple[Layer, ...], fused: set[str]
) -> None:
    bag = demo(sandwich=sandwich(*layers))
    every = found(bag)
    place = place_of(bag)
    told = {
        each.title.text().removeprefix("Fuse the ").replace(" to the ", " to ")
        for each in every.values()
        if each.action is Action.FUSE
    }
    assert told == fused
    for each in every.values():
        if each.action is Action.FUSE:
            within = "baste layers" if each.layers[-1] < len(bag.sandwich.first_laid) else ""
            assert place[each.key] < place[within or "baste lining"]
    said = " ".join(s.text() for each in every.values() for s in each.sentences)
    assert ("Do not fuse the a" in said) == (not fused)


# --- Where seams cross ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("side", "seamed", "walls"),
    [
        (SewnAllowances.ASIDE, False, 4),
        (SewnAllowances.OPEN, False, 3),
        (SewnAllowances.ASIDE, True, 5),
        (SewnAllowances.OPEN, True, 4),
    ],
)
def test_walls_where_side_seam_and_corner_seam_cross(
    side: SewnAllowances, seamed: bool, walls: int
) -> None:
    """Counted on each side of the side seam, wall by wall, and the thicker one taken."""
    base = ["end of the base"]
    left, right = ["front"], ["back"]
    if side is SewnAllowances.ASIDE:
        right += ["front's allowance", "back's allowance"]
    else:
        left, right = [*left, "front's allowance"], [*right, "back's allowance"]
    if seamed:  # pressed open: one allowance lies on either side
        left, right = [*left, "bottom's allowance"], [*right, "bottom's allowance"]
    assert max(len(base + left), len(base + right)) == walls
    assert walls_at_corner(side, seamed=seamed) == walls


@pytest.mark.parametrize("seamed", [False, True])
@pytest.mark.parametrize("over", [-HALF_STEP, HALF_STEP])
def test_a_thick_wall_opens_its_side_seams_where_the_corner_seam_crosses(
    seamed: bool, over: float
) -> None:
    """Turned to one side while the foot takes it (6 mm here), pressed open beyond that."""
    aside = 5 if seamed else 4
    wall = sandwich(layer(thickness=5.0, pressed=6.0 / aside + over / aside))
    bag = demo(sandwich=wall)
    bag = with_figures(bag, {"bottom_seam": inch(0.25)}) if seamed else bag
    corner = found(bag)["join corner seam left"]
    told = " ".join(each.text() for each in corner.instructions)
    opened = over > 0.0
    assert ("side seam open" in told) == opened
    assert ("allowances to one side" in told) == (not opened)
    assert (corner.pressing is not None) == opened
    assert corner.caution is not None
    walls = aside - 1 if opened else aside
    assert corner.caution.lengths["stack"] == pytest.approx(walls * wall.pressed)
