"""Steps: numbers, needs, changes at the machine, and the JSON object."""

import os
import subprocess
import sys
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import compute
from core.base.units import Unit, format_length
from core.sewing.steps import Step, steps, steps_object
from core.storage.bag_files import demo_bag, sample
from core.work.machine import Setting, stitch_length
from tests.core.sewing.order_proof import changes
from tests.strategies import bags, carriers


@settings(max_examples=40)
@given(bag=st.one_of(bags(), carriers()))
def test_no_step_needs_what_comes_later(bag: Bag) -> None:
    found = steps(compute(bag))
    assert [step.number for step in found] == list(range(1, len(found) + 1))
    made: dict[object, int] = {}
    for step in found:
        assert all(0 < need < step.number for need in step.needs)
        for state in step.operation.needs:
            assert made[state] < step.number
        made |= dict.fromkeys(step.operation.makes, step.number)


@settings(max_examples=40)
@given(bag=st.one_of(bags(), carriers()))
def test_following_the_changes_the_machine_is_always_set_right(bag: Bag) -> None:
    found = steps(compute(bag))
    setting: Setting | None = None
    told = 0
    for step in found:
        if step.change is not None:
            assert step.change.before == setting
            assert step.change.sentences
            setting = step.change.now
            told += 1
        if step.operation.setting is not None:
            assert step.operation.setting == setting
    assert told == changes([step.operation for step in found]) + (setting is not None)


def test_the_change_back_from_basting_stands_out_and_can_be_done_without() -> None:
    found = steps(compute(demo_bag()))
    number = next(s.number for s in found if s.operation.key == "baste layers")
    baste = found[number - 1]
    assert baste.change is not None
    assert "stitch_length" in baste.change.names
    back = next(s for s in found[number:] if s.change is not None)
    assert back.change is not None
    assert "Stitch length: from 5 mm to 3 mm (8 to the inch)." in [
        s.text() for s in back.change.sentences
    ]
    assert baste.operation.without_change is not None
    assert "may stay in" in baste.operation.without_change.text()


def test_a_straight_stitch_has_no_width_to_set() -> None:
    told = [
        each.text()
        for step in steps(compute(sample("tote")))
        for each in (step.change.sentences if step.change else ())
    ]
    assert "Stitch width: 4 mm." in told
    assert not any("width: 0" in each for each in told)


def test_two_strips_are_joined_at_both_ends() -> None:
    joins = [s for s in steps(compute(sample("tote"))) if s.operation.key == "join handle strips"]
    assert "Join the other two ends in the same way" in joins[0].text()


def test_json_has_exactly_the_keys_that_scripts_rely_on() -> None:
    bag = demo_bag()
    result = compute(bag)
    found = steps(result)
    told = steps_object(found, result.draft, lambda mm: format_length(mm, unit=bag.unit))
    assert list(told) == ["steps"]
    for entry, step in zip(told["steps"], found, strict=True):
        assert list(entry) == [
            "number", "operation", "text", "pieces", "needs", "setting", "caution",
        ]  # fmt: skip
        assert entry["operation"] == step.operation.key
        assert list(entry["setting"]) == [
            "stitch", "stitch_length", "stitch_width", "foot", "seam_allowance", "iron",
            "press_cloth", "changes",
        ]  # fmt: skip
    by_key = {entry["operation"]: entry for entry in told["steps"]}
    side = by_key["join side seam left"]
    assert side["setting"]["stitch"] == "301"
    assert side["setting"]["stitch_length"] == 2.5
    assert side["setting"]["seam_allowance"] == 9.525
    assert side["pieces"] == ["panel", "zip", "front pocket"]
    assert "3/8 in from the edge" in side["text"]
    assert by_key["tack side seams"]["setting"]["stitch"] == "304"
    assert by_key["cut panel"]["setting"]["stitch"] is None
    assert by_key["cut panel"]["needs"] == []
    assert "18 1/2 in wide and 37 in long" in by_key["cut panel"]["text"]


def test_every_text_reads_in_either_unit() -> None:
    found: tuple[Step, ...] = steps(compute(demo_bag()))
    metric = [step.text(lambda mm: format_length(mm, unit=Unit.MM)) for step in found]
    assert "469.9 mm wide and 939.8 mm long" in metric[0]
    assert not [text for text in metric if " in wide" in text]


def test_stitch_lengths_are_told_in_both_ways() -> None:
    """25.4 mm in the inch: 2.54 mm are 10 stitches to the inch."""
    assert stitch_length(2.54).text() == "2.54 mm (10 stitches to the inch)"


EVERY_BAGS_STEPS = """
import json
from itertools import chain, combinations

from core.bag.bag import with_figures
from core.bag.choices import without_part
from core.storage.bag_files import sample
from core.bag.compute import compute
from core.sewing.steps import steps, steps_object

parts = ("pocket", "handles", "board")
for name in ("demo", "lunch", "tote"):
    for lacking in chain.from_iterable(combinations(parts, count) for count in range(3)):
        bag = sample(name)
        for part in lacking:
            bag = without_part(bag, part) if part in bag.parts else bag
        for bottom in (0.0, 10.0):
            result = compute(with_figures(bag, {"bottom_seam": bottom}))
            print(json.dumps(steps_object(steps(result), result.draft)))
"""


def test_steps_are_alike_whatever_seed_texts_are_hashed_with() -> None:
    told = {
        subprocess.run(
            [sys.executable, "-c", EVERY_BAGS_STEPS],
            cwd=Path(__file__).parents[3],
            env=os.environ | {"PYTHONHASHSEED": str(seed)},
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
        ).stdout
        for seed in (0, 1, 2)
    }
    assert len(told) == 1
    assert len(told.pop().splitlines()) == 3 * 7 * 2
