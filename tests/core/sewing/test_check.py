"""Orders made by hand: the step that breaks them is named, with what is in its way.

What a maker finds out too late is common practice, no source.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.sentences import Sentence
from core.sewing.order import precedence, sewing_order
from core.sewing.steps import operations
from core.storage.bag_files import demo_bag
from core.work.operation import Action, Operation
from core.work.states import State
from tests.core.sewing.order_proof import Breach, Fault, faults_in
from tests.helpers import demo, layer, sandwich
from tests.strategies import sewable_bags

EVERY = operations(demo_bag(), compute(demo_bag()).draft)
ORDER = [each.key for each in sewing_order(EVERY)]


def moved(key: str, *, before: str = "", after: str = "") -> list[str]:
    order = [each for each in ORDER if each != key]
    place = order.index(before) if before else order.index(after) + 1
    return [*order[:place], key, *order[place:]]


def test_the_worked_out_order_has_no_fault() -> None:
    assert faults_in(EVERY, ORDER) == ()


@pytest.mark.parametrize(
    ("order", "step", "other", "breach"),
    [
        (
            moved("open zip", after="take out basting"),
            "join side seam right", "open zip", Breach.MISSING,
        ),
        (
            moved("topstitch zip front", after="join zip back"),
            "topstitch zip front", "join zip back", Breach.BLOCKED,
        ),
        (
            moved("topstitch handles down", after="lay in base board"),
            "topstitch handles down", "lay in base board", Breach.BLOCKED,
        ),
        (
            moved("fuse interfacing", after="baste layers"),
            "fuse interfacing", "baste layers", Breach.BLOCKED,
        ),
        (
            moved("topstitch front pocket upper edge", after="lay on front pocket"),
            "topstitch front pocket upper edge", "lay on front pocket", Breach.BLOCKED,
        ),
        (
            moved("join corner seam left", after="turn bag"),
            "join corner seam left", "turn bag", Breach.BLOCKED,
        ),
        (
            moved("cut corner cuts", after="join side seam left"),
            "cut corner cuts", "join side seam left", Breach.BLOCKED,
        ),
        (
            moved("join zip front", before="baste lining"),
            "join zip front", "baste lining", Breach.MISSING,
        ),
        (
            moved("lay on front pocket", before="baste layers"),
            "lay on front pocket", "baste layers", Breach.MISSING,
        ),
        (
            moved("topstitch handles down", after="baste lining"),
            "topstitch handles down", "baste lining", Breach.BLOCKED,
        ),
        (
            moved("topstitch front pocket lower edge", after="baste lining"),
            "topstitch front pocket lower edge", "baste lining", Breach.BLOCKED,
        ),
    ],
)  # fmt: skip
def test_a_wrong_order_is_named_with_the_step_that_breaks_it(
    order: list[str], step: str, other: str, breach: Breach
) -> None:
    assert Fault(breach, step, order.index(step) + 1, other) in faults_in(EVERY, order)


def test_handles_that_cover_a_pocket_wait_for_its_seams() -> None:
    order = moved("lay on handles", before="topstitch front pocket lower edge")
    early = Fault(
        Breach.EARLY,
        "lay on handles",
        order.index("lay on handles") + 1,
        "topstitch front pocket lower edge",
    )
    assert early in faults_in(EVERY, order)


def test_left_out_twice_and_unknown() -> None:
    order = [*ORDER[:-1], ORDER[0], "wave a wand"]
    kinds = {fault.breach: fault.step for fault in faults_in(EVERY, order)}
    assert kinds[Breach.LEFT_OUT] == ORDER[-1]
    assert kinds[Breach.TWICE] == ORDER[0]
    assert kinds[Breach.UNKNOWN] == "wave a wand"


def test_fusing_late_is_a_fault_of_its_own_even_where_nothing_melts() -> None:
    bag = demo(sandwich=sandwich(layer(), layer("interfacing"), layer("lining")))
    every = operations(bag, compute(bag).draft)
    order = [each.key for each in sewing_order(every) if each.key != "fuse interfacing"]
    order.insert(order.index("baste layers") + 1, "fuse interfacing")
    assert {fault.step for fault in faults_in(every, order)} >= {"fuse interfacing"}


@settings(max_examples=40)
@given(bag=sewable_bags(), data=st.data())
def test_two_steps_in_the_wrong_order_never_pass(bag: Bag, data: st.DataObject) -> None:
    every = operations(bag, compute(bag).draft)
    graph = precedence(every)
    order = [each.key for each in sewing_order(every)]
    arrows = sorted((one, key) for key, before in graph.items() for one in before)
    first, then = data.draw(st.sampled_from(arrows))
    one, other = order.index(first), order.index(then)
    order[one], order[other] = order[other], order[one]
    assert faults_in(every, order) != ()


def made(key: str, **states: tuple[str, ...]) -> Operation:
    told = {name: tuple(State(each) for each in names) for name, names in states.items()}
    return Operation(
        key=key, action=Action.JOIN, title=Sentence("t"), instructions=(Sentence("d"),), **told
    )


CUP = (
    made("boil", makes=("hot",)),
    made("brew", needs=("hot", "cold"), after=("clean", "calm"), makes=("tea",)),
    made("wash", until=("tea",), makes=("clean",)),
    made("pour", needs=("tea",)),
)
"""Nothing makes it cold; nothing makes it calm, which is only asked for where something does."""


def told(order: list[str]) -> list[Fault]:
    return list(faults_in(CUP, order))


def test_every_fault_is_told_once_with_its_place_and_what_it_waits_for() -> None:
    cold = (Breach.MISSING, "brew", 3, "")
    assert told(["boil", "wash", "brew", "pour"]) == [cold]
    assert told(["brew", "boil", "wash", "pour", "brew", "sip"]) == [
        (Breach.MISSING, "brew", 1, "boil"),
        (Breach.MISSING, "brew", 1, ""),
        (Breach.EARLY, "brew", 1, "wash"),
        (Breach.BLOCKED, "wash", 3, "brew"),
        (Breach.TWICE, "brew", 5, ""),
        (Breach.UNKNOWN, "sip", 6, ""),
    ]
    assert told(["sip", "boil", "boil", "wash"]) == [
        (Breach.UNKNOWN, "sip", 1, ""),
        (Breach.TWICE, "boil", 3, ""),
        (Breach.LEFT_OUT, "brew", 0, ""),
        (Breach.LEFT_OUT, "pour", 0, ""),
    ]


def test_an_order_may_hold_operations_or_their_keys() -> None:
    assert faults_in(CUP, CUP) == faults_in(CUP, [each.key for each in CUP])
