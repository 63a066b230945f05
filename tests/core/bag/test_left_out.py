"""Choices there and back: what nobody changed comes back as it was, to the last digit.

Source: a rule of the program: choosing is looking, as long as nothing else is done.
"""

import random

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import COMMAND_CHOICES, with_choice
from core.bag.compute import compute
from core.bag.left_out import LeftOut
from core.base.errors import FieldError
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.table import BODIES
from core.storage.bag_files import SAMPLES, sample
from core.tops.table import TOPS
from tests.strategies import carriers, sewable_bags

CONSTRUCTION, TOP = COMMAND_CHOICES["construction"], COMMAND_CHOICES["top"]
OTHERS = {CONSTRUCTION: [kind.KIND for kind in BODIES], TOP: [kind.KIND for kind in TOPS]}


def there(bag: Bag, left: LeftOut, chance: random.Random) -> tuple[Bag, LeftOut]:
    """A few choices of construction and top, those that the bag allows."""
    for _ in range(chance.randint(1, 5)):
        choice = chance.choice((CONSTRUCTION, CONSTRUCTION, TOP))
        word = chance.choice(OTHERS[choice])
        if word != choice.read(bag.body if choice is CONSTRUCTION else bag.top):
            try:
                bag, left = left.chosen(bag, choice, word)
            except FieldError:  # what cannot be chosen was not
                continue
    return bag, left


@given(st.one_of(carriers(), sewable_bags()), st.integers(0, 2**32))
@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_bag_comes_back_from_any_way(bag: Bag, number: int) -> None:
    now, left = there(bag, LeftOut(), random.Random(number))
    try:
        if type(now.body) is not type(bag.body):
            now, left = left.chosen(now, CONSTRUCTION, bag.body.KIND)
        if type(now.top) is not type(bag.top):
            now, left = left.chosen(now, TOP, bag.top.KIND)
    except FieldError:
        assume(False)
    assert now == bag


@given(st.sampled_from(SAMPLES), st.permutations(BODIES))
@settings(max_examples=40, deadline=None)
def test_a_sample_comes_back_through_every_body(name: str, kinds: list) -> None:
    bag = sample(name)
    now, left = bag, LeftOut()
    for kind in (*(each for each in kinds if each is not type(bag.body)), type(bag.body)):
        now, left = left.chosen(now, CONSTRUCTION, kind.KIND)
    assert now == bag
    assert left.aside == {}
    assert left.trail == ()


def test_a_zip_that_was_too_short_is_not_kept_long_by_what_was_only_looked_at() -> None:
    """A zip of 350 mm is too short at home too; the other construction takes a longer one."""
    bag = with_figures(sample("coolbox"), {"zip_length": 350.0})
    wide, left = LeftOut().chosen(bag, CONSTRUCTION, "boxed-panel")
    wider, left = left.chosen(wide, CONSTRUCTION, "wrap")
    assert wider.top.length > 350.0
    back, _ = left.chosen(wider, CONSTRUCTION, "gusset-strip")
    assert back == bag
    edited = with_figures(wider, {"zip_shift": 3.0})
    kept, _ = left.chosen(edited, CONSTRUCTION, "gusset-strip")
    assert kept.top.shift == 3.0


def test_an_edit_on_the_way_is_kept() -> None:
    boxed, left = LeftOut().chosen(sample("coolbox"), CONSTRUCTION, BoxedPanel.KIND)
    high = with_figures(boxed, {"panel_length": boxed.body.length + 100.0})
    back, _ = left.chosen(high, CONSTRUCTION, "gusset-strip")
    faces = [compute(each).finished["face_height"] for each in (high, back)]
    assert abs(faces[0] - faces[1]) < 1e-6
    assert with_choice(back, "top", "top-strip") == back


@pytest.mark.parametrize(
    ("kind", "top"),
    [("boxed-panel", "roll-top"), ("boxed-panel", "zip-forward"), ("wrap", "top-strip")],
)
def test_walls_that_nobody_chose_to_join_are_four_again(kind: str, top: str) -> None:
    """A top that was chosen on another construction makes them two on the way back."""
    square = with_figures(sample("jar"), {"corner_rounding": 0.0, "front_trim": 0.0})
    four = with_choice(with_choice(square, "top", "hem"), "body_pieces", "4")
    now, left = four, LeftOut()
    for choice, word in ((CONSTRUCTION, kind), (TOP, top), (CONSTRUCTION, four.body.KIND)):
        now, left = left.chosen(now, choice, word)
    now, left = left.chosen(now, TOP, "hem")
    assert now == four
