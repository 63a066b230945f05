"""The order of sewing against networkx, an independent library for graphs, on random bags."""

import itertools
import random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.sentences import Sentence
from core.sewing.order import OrderError, plain_order, precedence, reduced, sewing_order
from core.sewing.steps import operations
from core.storage.bag_files import demo_bag
from core.work.machine import Setting
from core.work.operation import Action, Operation, Stitching
from core.work.states import State
from tests.core.sewing.order_proof import changes, faults_in
from tests.strategies import bags, carriers, sewable_bags


def graph_of(every: tuple[Operation, ...]) -> nx.DiGraph:
    """Arrows from what comes first."""
    graph = nx.DiGraph()
    graph.add_nodes_from(each.key for each in every)
    for key, before in precedence(every).items():
        graph.add_edges_from((one, key) for one in before)
    return graph


@settings(max_examples=40)
@given(bag=st.one_of(bags(), carriers()))
def test_the_order_is_a_topological_one(bag: Bag) -> None:
    every = operations(bag, compute(bag).draft)
    graph = graph_of(every)
    assert nx.is_directed_acyclic_graph(graph)
    order = [each.key for each in sewing_order(every)]
    assert sorted(order) == sorted(graph.nodes)
    place = {key: number for number, key in enumerate(order)}
    assert all(place[one] < place[other] for one, other in graph.edges)
    assert faults_in(every, order) == ()


@settings(max_examples=25)
@given(bag=sewable_bags())
def test_direct_needs_are_the_transitive_reduction(bag: Bag) -> None:
    every = operations(bag, compute(bag).draft)
    direct = reduced(precedence(every))
    expected = set(nx.transitive_reduction(graph_of(every)).edges)
    assert {(one, key) for key, before in direct.items() for one in before} == expected


@settings(max_examples=30)
@given(bag=sewable_bags(), seed=st.integers(0, 1000))
def test_any_topological_order_passes_and_none_changes_the_machine_less(
    bag: Bag, seed: int
) -> None:
    every = operations(bag, compute(bag).draft)
    by_key = {each.key: each for each in every}
    graph = graph_of(every)
    least = changes(sewing_order(every))
    shuffled = list(by_key)
    random.Random(seed).shuffle(shuffled)
    rank = {key: place for place, key in enumerate(shuffled)}
    for other in (
        list(nx.topological_sort(graph)),
        list(nx.lexicographical_topological_sort(graph, key=rank.__getitem__)),
    ):
        assert faults_in(every, other) == ()
        assert least <= changes([by_key[key] for key in other])


def invented(arrows: set[tuple[int, int]], kinds: list[int]) -> tuple[Operation, ...]:
    """Operations with these arrows; kind 0 is work by hand, -1 a cut, others are settings."""
    return tuple(
        Operation(
            key=f"join {number}",
            action=Action.CUT if kind < 0 else Action.JOIN,
            title=Sentence("t"),
            instructions=(Sentence("d"),),
            needs=tuple(State(str(one)) for one, other in arrows if other == number),
            makes=(State(str(number)),),
            setting=Setting(length=float(kind)) if kind > 0 else None,
            stitching=(Stitching("line", 1.0, 1.0),) if kind > 0 else (),
        )
        for number, kind in enumerate(kinds)
    )


@settings(max_examples=40)
@given(data=st.data())
def test_the_fewest_changes_are_found(data: st.DataObject) -> None:
    """Against every order there is, on small graphs."""
    size = data.draw(st.integers(1, 6))
    pairs = list(itertools.combinations(range(size), 2))
    arrows = set(data.draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else [])
    kinds = data.draw(st.lists(st.integers(0, 3), min_size=size, max_size=size))
    every = invented(arrows, kinds)
    graph = graph_of(every)
    by_key = {each.key: each for each in every}
    best = min(changes([by_key[key] for key in order]) for order in nx.all_topological_sorts(graph))
    order = sewing_order(every)
    assert changes(order) == best
    assert faults_in(every, order) == ()


@settings(max_examples=150)
@given(data=st.data())
def test_work_by_hand_comes_right_before_what_needs_it_and_cuts_as_soon_as_they_can(
    data: st.DataObject,
) -> None:
    size = data.draw(st.integers(1, 7))
    pairs = list(itertools.combinations(range(size), 2))
    arrows = set(data.draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else [])
    shuffled = data.draw(st.permutations(range(size)))
    arrows = {(shuffled[one], shuffled[other]) for one, other in arrows}
    kinds = data.draw(st.lists(st.integers(-1, 2), min_size=size, max_size=size))
    every = invented(arrows, kinds)
    graph = graph_of(every)
    order = [each.key for each in sewing_order(every)]
    by_key = {each.key: each for each in every}
    assert faults_in(every, order) == ()
    machine = [key for key in order if by_key[key].setting]
    for place, key in enumerate(order):
        if by_key[key].setting:
            continue
        if by_key[key].action is Action.CUT:
            # Nothing but other cuts stands between it and the last thing that it waits for.
            since = order[:place]
            while (
                since
                and by_key[since[-1]].action is Action.CUT
                and since[-1] not in graph.pred[key]
            ):
                since.pop()
            assert not since or since[-1] in graph.pred[key]
        elif not any(by_key[one].setting for one in nx.descendants(graph, key)):
            assert not machine or place > order.index(machine[-1])
        else:
            needs_it = next(one for one in machine if key in nx.ancestors(graph, one))
            between = order[place + 1 : order.index(needs_it)]
            first = nx.ancestors(graph, needs_it)
            assert all(one in first or by_key[one].action is Action.CUT for one in between)


def test_the_same_bag_always_comes_in_the_same_order() -> None:
    every = operations(demo_bag(), compute(demo_bag()).draft)
    assert sewing_order(every) == sewing_order(every)
    assert plain_order(precedence(every))[0] == "cut panel"


def test_operations_may_come_once_only() -> None:
    every = operations(demo_bag(), compute(demo_bag()).draft)
    assert precedence(iter(every)) == precedence(every)
    assert sewing_order(iter(every)) == sewing_order(every)


def test_what_one_thing_waits_for_comes_in_the_order_told() -> None:
    """And not in that of a set, which is another one in each run of the program."""
    last = 12  # by their names "join 10" would come before "join 2"
    every = invented({(one, last) for one in range(last)}, [0] * last + [1])
    assert sewing_order(every) == every


def test_a_change_is_from_one_setting_to_another_whatever_is_done_by_hand_between() -> None:
    every = invented(set(), [1, 0, 1, 2, 0, 2, 1])
    assert changes(every) == 2
    assert changes(every[:3]) == 0
    assert changes(every[1:2]) == 0
    assert changes(()) == 0


def test_operations_that_wait_for_one_another_are_named() -> None:
    every = invented({(0, 1), (1, 2), (2, 0)}, [1, 1, 1, 1])
    with pytest.raises(OrderError, match="join 0, join 1, join 2"):
        sewing_order(every)


def test_rules_of_the_trade_hold_in_the_demo_bag() -> None:
    """Common practice, no source."""
    every = operations(demo_bag(), compute(demo_bag()).draft)
    place = {each.key: number for number, each in enumerate(sewing_order(every))}
    for first, then in (
        ("fuse interfacing", "baste layers"),
        ("baste layers", "cut corner cuts"),
        ("topstitch front pocket upper edge", "lay on front pocket"),
        ("topstitch front pocket lower edge", "lay on handles"),
        ("topstitch handle stops", "join zip back"),
        ("join zip front", "join zip back"),
        ("open zip", "join side seam right"),
        ("join side seam right", "cut zip ends"),
        ("join side seam left", "join corner seam left"),
        ("take out basting", "turn bag"),
        ("topstitch handle stops", "lay in base board"),
        ("press bag", "lay in base board"),
    ):
        assert place[first] < place[then], (first, then)
