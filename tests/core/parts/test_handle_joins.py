"""Where the joins of a handle come to lie.

Checked against sums and against the same search done plainly: every way to lay the handle on, in
small steps, each join by itself. Clearances of 2 and 4 in are own choices.
"""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import with_fix
from core.bag.compute import compute
from core.flat.roles import Face
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.handles.joins import JoinAt, Joins, best_joins, told_join
from core.sewing.steps import operations
from core.storage.bag_files import demo_bag
from tests.core.bag.handle_limits import handled, paired
from tests.helpers import found, having, inch
from tests.strategies import sewable_bags

STEP = 1.0
"""mm: how finely the plain search turns a loop."""


def handles_of(bag: Bag) -> Handles:
    assert bag.parts.get("handles") is not None
    return bag.parts.get("handles")


def laid(bag: Bag, *, step: float = 0.0) -> Joins:
    joins = best_joins(handles_of(bag), bag.site, step=step)
    assert joins is not None
    return joins


def finished_strips(bag: Bag) -> list[float]:
    """What each strip gives: 1/4 in less at either end."""
    handles = handles_of(bag)
    whole = bag.site.goods("handles").washed_width
    last = whole if handles.last_strip is None else handles.last_strip
    return [length - inch(0.5) for length in (*[whole] * (handles.strips - 1), last)]


def judged(bag: Bag, places: list[float]) -> tuple[int, int]:
    """(how often a join is too near to something, how many lie on no leg), by hand."""
    handles, panel = handles_of(bag), bag.body
    looped = handles.style is HandleStyle.LOOP
    length = sum(finished_strips(bag))
    near = loose = 0
    front, back = (panel.top(face) - handles.stop for face in (Face.FRONT, Face.BACK))
    if looped:
        half = length / 2
        stops = [front, half - front, half + back, length - back]
        others = [(0.0, inch(2)), (half, inch(2)), (half / 2, inch(4)), (1.5 * half, inch(4))]
        sewn = [(0.0, front), (half - front, half + back), (length - back, length)]
    else:
        stops = [handles.leg, length - handles.leg]
        others = [(length / 2, inch(4))]
        sewn = [(0.0, handles.leg), (length - handles.leg, length)]
    for place in places:
        for where, room in (*((stop, inch(2)) for stop in stops), *others):
            apart = abs(place - where)
            if looped:
                apart = min(apart, length - apart)
            near += apart < room - 1e-6
        loose += not any(begin - 1e-6 <= place <= end + 1e-6 for begin, end in sewn)
    return near, loose


def every_way(bag: Bag) -> list[list[float]]:
    """Places of the joins for every turn of a loop in small steps, or every order of strips."""
    strips = finished_strips(bag)
    length = sum(strips)
    if handles_of(bag).style is HandleStyle.LOOP:
        turns = int(length / STEP)
        sums = [sum(strips[:number]) for number in range(len(strips))]
        return [[(turn * STEP + each) % length for each in sums] for turn in range(turns)]
    *whole, last = strips
    orders = [[*whole[:n], last, *whole[n:]] for n in range(len(strips))]
    return [[sum(order[: n + 1]) for n in range(len(order) - 1)] for order in orders]


@settings(max_examples=40, deadline=None)
@given(sewable_bags(), st.integers(1, 6))
def test_no_way_of_laying_a_handle_on_puts_its_joins_better(bag: Bag, strips: int) -> None:
    assume(bag.parts.get("handles") is not None)
    other = having(bag, handles=replace(handles_of(bag), strips=strips))
    joins = best_joins(handles_of(other), other.site)
    assume(joins is not None)
    assert joins is not None
    best = min(judged(other, places) for places in every_way(other))
    assert judged(other, list(joins.places)) <= best
    assert bool(joins.crowded) == (judged(other, list(joins.places))[0] > 0)


@settings(max_examples=60, deadline=None)
@given(sewable_bags(), st.integers(1, 6), st.sampled_from([0.0, inch(1 / 16), 1.0]))
def test_who_follows_the_sentence_gets_the_joins_where_they_were_worked_out(
    bag: Bag, strips: int, step: float
) -> None:
    """From the told join round the loop, strip by strip; it may be laid on either leg."""
    assume(bag.parts.get("handles") is not None)
    own = replace(handles_of(bag), style=HandleStyle.LOOP, strips=strips)
    other = having(bag, handles=own)
    joins = best_joins(own, other.site, step=step)
    assume(joins is not None)
    assert joins is not None
    told, half = told_join(joins), joins.course.length / 2
    # The mark at 0: up the front is onwards, up the back is backwards.
    onwards = told.face is Face.FRONT
    start = told.apart if onwards else -told.apart
    lengths = finished_strips(other)
    assert (told.over_last is None) == (len({round(each, 6) for each in lengths}) == 1)
    # From the told end the last strip leads back over the mark, or away from it.
    away = told.over_last is False
    order = lengths[::-1] if away else lengths
    reached, places = start, []
    for length in order:
        places.append(reached % (2 * half))
        reached += length if onwards else -length
    mirrored = [(half - place) % (2 * half) for place in places]
    wanted = sorted(joins.places)
    for way in (places, mirrored):
        pairs = zip(sorted(way), wanted, strict=True)
        if all(
            abs(one - two) < 1e-5 or abs(abs(one - two) - 2 * half) < 1e-5 for one, two in pairs
        ):
            return
    raise AssertionError((places, mirrored, wanted))


def test_the_worked_examples_joins_by_sums() -> None:
    """Three strips give 41 1/2 in each; the sewn legs are 12 3/4 in front and 14 1/4 in back.

    The loop's halves are 62 1/4 in. With the first join 4 in up the front the others lie 45 1/2 in
    and 87 in along it: 4 in before the front's far stop at 49 1/2, 10 1/2 in past the back's stop
    at 76 1/2 and 6 3/8 in off the middle of its grip. Laid on the other leg it is the same.
    """
    joins = laid(handled())
    mirrored = sorted((inch(62.25) - place) % inch(124.5) for place in joins.places)
    assert mirrored == pytest.approx([inch(4), inch(45.5), inch(87)])
    assert (joins.on_legs, joins.crowded, joins.last) == (1, (), None)
    told = told_join(joins)
    assert (told.apart, told.face, told.over_last) == (pytest.approx(inch(4)), Face.FRONT, None)


def test_a_short_strip_goes_where_its_joins_are_clear() -> None:
    """One strip gives 9 in, two give 41 1/2 in each, 92 in together, with stops at 10 in.

    At an end its join would lie 1 in from a stop; in the middle both lie 46 - 41 1/2 = 4 1/2 in off
    the middle of the grip.
    """
    three = paired(strips=3, last_strip=inch(9.5), leg=inch(10))
    joins = laid(three)
    assert joins.last == 1
    assert joins.places == pytest.approx([inch(41.5), inch(50.5)])
    (join,) = (each for each in steps(three) if each.key == "join handle strips")
    assert "The short strip goes in the middle." in [each.text() for each in join.instructions]


def steps(bag: Bag) -> tuple:
    return operations(bag, compute(bag).draft)


def test_what_joins_are_too_near_to_is_named() -> None:
    """Two strips of 41 1/2 in have their join in the middle of the grip: 0 in off it."""
    joins = laid(paired(strips=2))
    assert [each.spot for each in joins.crowded] == [JoinAt.GRIP]
    assert joins.crowded[0].apart == pytest.approx(0.0)
    message = next(
        each.message.text() for each in compute(paired(strips=2)).findings
        if each.code == "handle-join-at-stop"
    )  # fmt: skip
    assert "middle of the grip" in message


def test_a_loop_that_leaves_no_clear_place_says_so() -> None:
    """Strips that give 3 1/2 in each: some join always lies within 2 in of a stop."""
    bag = handled(strips=36)
    narrow = replace(bag.sandwich.layers[0], usable_width=inch(4))
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(narrow, *bag.sandwich.layers[1:])))
    codes = {each.code for each in compute(bag).findings}
    assert {"handle-join-at-stop", "handle-piece-short"} <= codes


def test_handles_that_do_not_span_their_legs_have_no_places_for_joins() -> None:
    short = handled(strips=1)
    assert best_joins(handles_of(short), short.site) is None
    said = [each.text() for step in steps(short) for each in step.instructions]
    assert "Nothing is left to hold: the strips are too short." in said


def test_the_demo_bags_joins_are_clear() -> None:
    assert laid(demo_bag()).crowded == ()


def test_a_join_in_the_very_middle_of_the_grip_is_told_as_there() -> None:
    """Two whole strips of 41 1/2 in meet halfway; 1 mm less moves the join by half of that."""
    for last, place in ((42.0 * 25.4, "right at the middle"), (42.0 * 25.4 - 1.0, "0.5 mm from")):
        told = found(paired(strips=2, leg=inch(6), last_strip=last), "handle-join-at-stop")
        assert told is not None
        assert place in told.message.text()


def test_a_short_strip_can_be_left_out_for_a_little_less_of_drop() -> None:
    """2 1/2 in less two joins of 1/4 in make 2 in of loop, a quarter of it at each leg."""
    bag = with_figures(demo_bag(), {"handle_strips": 4, "handle_last_strip": inch(2.5)})
    before = compute(bag)
    (finding,) = [each for each in before.findings if each.code == "handle-piece-short"]
    _, leave_out = finding.fixes
    after = compute(with_fix(bag, leave_out))
    assert after.cut["handle_strips"] == 3
    drops = ("handle_drop_front", "handle_drop_back")
    lost = max(before.finished[name] - after.finished[name] for name in drops)
    assert lost == pytest.approx(inch(0.5), abs=1.0)
    assert leave_out.label.lengths["value"] == pytest.approx(lost)
