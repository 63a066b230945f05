"""Orders made by hand: the step that breaks them is named, with what is in its way.

What a maker finds out too late is common practice, no source.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.errors import Sentence
from core.sewing.order import FaultKind, OrderFault, check_order, precedence, sewing_order
from core.sewing.steps import operations
from core.storage import demo_bag
from core.work.operation import Kind, Operation, State
from tests.helpers import demo, layer, sandwich
from tests.strategies import sewable_bags

EVERY = operations(demo_bag(), compute(demo_bag()).draft)
ORDER = [each.key for each in sewing_order(EVERY)]


def moved(key: str, *, before: str = "", after: str = "") -> list[str]:
    order = [each for each in ORDER if each != key]
    place = order.index(before) if before else order.index(after) + 1
    return [*order[:place], key, *order[place:]]


def faults_of(order: list[str]) -> list[OrderFault]:
    return list(check_order(EVERY, order))


def test_the_worked_out_order_has_no_fault() -> None:
    assert faults_of(ORDER) == []


@pytest.mark.parametrize(
    ("order", "step", "other", "says"),
    [
        (
            moved("open zip", after="take out basting"),
            "join side seam right", "open zip", "could not be turned",
        ),
        (
            moved("topstitch zip front", after="join zip back"),
            "topstitch zip front", "join zip back", "cannot lie flat under the presser foot",
        ),
        (
            moved("topstitch handles down", after="lay in base board"),
            "topstitch handles down", "lay in base board", "the needle cannot reach it",
        ),
        (
            moved("fuse interfacing", after="baste layers"),
            "fuse interfacing", "baste layers", "the heat that fuses would ruin it",
        ),
        (
            moved("topstitch front pocket upper edge", after="lay on front pocket"),
            "topstitch front pocket upper edge", "lay on front pocket", "would be closed",
        ),
        (
            moved("join corner seam left", after="turn bag"),
            "join corner seam left", "turn bag", "out of reach",
        ),
        (
            moved("cut corner cuts", after="join side seam left"),
            "cut corner cuts", "join side seam left", "already closed the bag",
        ),
        (
            moved("join zip front", before="baste lining"),
            "join zip front", "baste lining", "layers are still loose",
        ),
        (
            moved("lay on front pocket", before="baste layers"),
            "lay on front pocket", "baste layers", "layers are still loose",
        ),
        (
            moved("topstitch handles down", after="baste lining"),
            "topstitch handles down", "baste lining", "the needle would go through it",
        ),
        (
            moved("topstitch front pocket lower edge", after="baste lining"),
            "topstitch front pocket lower edge", "baste lining", "the needle would go through it",
        ),
    ],
)  # fmt: skip
def test_a_wrong_order_is_named_with_the_step_that_breaks_it(
    order: list[str], step: str, other: str, says: str
) -> None:
    told = {(fault.step, fault.other): fault for fault in faults_of(order)}
    fault = told[(step, other)]
    assert fault.number == order.index(step) + 1
    assert says in fault.message.text()
    assert step in fault.message.text()


def test_left_out_twice_and_unknown() -> None:
    order = [*ORDER[:-1], ORDER[0], "wave a wand"]
    kinds = {fault.kind: fault.step for fault in faults_of(order)}
    assert kinds[FaultKind.LEFT_OUT] == ORDER[-1]
    assert kinds[FaultKind.TWICE] == ORDER[0]
    assert kinds[FaultKind.UNKNOWN] == "wave a wand"


def test_fusing_late_is_a_fault_of_its_own_even_where_nothing_melts() -> None:
    bag = demo(sandwich=sandwich(layer(), layer("interfacing"), layer("lining")))
    every = operations(bag, compute(bag).draft)
    order = [each.key for each in sewing_order(every) if each.key != "fuse interfacing"]
    order.insert(order.index("baste layers") + 1, "fuse interfacing")
    assert {fault.step for fault in check_order(every, order)} >= {"fuse interfacing"}


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
    assert check_order(every, order) != ()


def made(key: str, **states: tuple[str, ...]) -> Operation:
    told = {
        name: tuple(State(each, f"{each} is missing.", f"{each} blocks.") for each in names)
        for name, names in states.items()
    }
    return Operation(
        key=key, kind=Kind.JOIN, part="p", title=Sentence("t"), do=(Sentence("d"),), **told
    )


CUP = (
    made("boil", makes=("hot",)),
    made("brew", needs=("hot", "cold"), after=("clean", "calm"), makes=("tea",)),
    made("wash", until=("tea",), makes=("clean",)),
    made("pour", needs=("tea",)),
)
"""Nothing makes it cold; nothing makes it calm, which is only asked for where something does."""


def told(order: list[str]) -> list[tuple[FaultKind, str, int, str]]:
    return [(each.kind, each.step, each.number, each.other) for each in check_order(CUP, order)]


def test_every_fault_is_told_once_with_its_place_and_what_it_waits_for() -> None:
    cold = (FaultKind.MISSING, "brew", 3, "")
    assert told(["boil", "wash", "brew", "pour"]) == [cold]
    assert told(["brew", "boil", "wash", "pour", "brew", "sip"]) == [
        (FaultKind.MISSING, "brew", 1, "boil"),
        (FaultKind.MISSING, "brew", 1, ""),
        (FaultKind.EARLY, "brew", 1, "wash"),
        (FaultKind.BLOCKED, "wash", 3, "brew"),
        (FaultKind.TWICE, "brew", 5, ""),
        (FaultKind.UNKNOWN, "sip", 6, ""),
    ]
    assert told(["sip", "boil", "boil", "wash"]) == [
        (FaultKind.UNKNOWN, "sip", 1, ""),
        (FaultKind.TWICE, "boil", 3, ""),
        (FaultKind.LEFT_OUT, "brew", 0, ""),
        (FaultKind.LEFT_OUT, "pour", 0, ""),
    ]


def test_a_fault_says_what_is_wrong_and_why() -> None:
    says = {
        (each.kind, each.other): each.message.text()
        for order in (["brew", "boil", "wash", "brew", "sip"],)
        for each in check_order(CUP, order)
    }
    assert says == {
        (FaultKind.MISSING, "boil"): (
            "Step 1, “brew”, comes too early: “boil” must come first (hot). hot is missing."
        ),
        (FaultKind.MISSING, ""): (
            "Step 1, “brew”, needs something that no step makes (cold). cold is missing."
        ),
        (FaultKind.EARLY, "wash"): (
            "Step 1, “brew”, comes too early: “wash” should come first (clean). clean is missing."
        ),
        (FaultKind.BLOCKED, "brew"): (
            "Step 3, “wash”, comes too late: “brew” is already done (tea). tea blocks."
        ),
        (FaultKind.TWICE, ""): "Step 4, “brew”, was already done.",
        (FaultKind.UNKNOWN, ""): "Step 5, “sip”, does not belong to this bag.",
        (FaultKind.LEFT_OUT, ""): "“pour” is missing.",
    }


def test_an_order_may_hold_operations_or_their_keys() -> None:
    assert check_order(CUP, CUP) == check_order(CUP, [each.key for each in CUP])
