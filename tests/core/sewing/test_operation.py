"""What an operation is: its lengths, its words and what it may not lack."""

import pytest

from core.base.sentences import Sentence, say
from core.work.machine import Foot, Setting, Stitch
from core.work.operation import (
    Action,
    MeasurePlace,
    Operation,
    Stitching,
    StitchPath,
    along,
    measured,
    sized,
)
from core.work.scene import FlatScene
from core.work.states import State

LINE = (Stitching("line", 100.0, 2.0),)


def operation(**more: object) -> Operation:
    return Operation(key="k", action=Action.JOIN, title=say("t"), instructions=(say("d"),), **more)


def test_stitches_have_the_trade_s_words() -> None:
    """ISO 4915:1991: 301 is the plain lockstitch, 304 its zigzag."""
    assert [(each.value, each.label) for each in Stitch] == [
        ("301", "straight stitch"),
        ("304", "zigzag"),
    ]


def test_a_machine_is_set_to_a_straight_stitch_under_the_standard_foot_unless_told() -> None:
    plain = Setting(length=2.5)
    assert (plain.stitch, plain.width, plain.foot) == (Stitch.LOCKSTITCH, 0.0, Foot.STANDARD)


def test_a_machine_sews_lines_and_lines_need_a_machine() -> None:
    """Thread is bought for the lines told."""
    assert operation(setting=Setting(length=2.5), stitching=LINE).stitching == LINE
    assert operation().scene == FlatScene()
    with pytest.raises(ValueError, match="k: a machine"):
        operation(setting=Setting(length=2.5))
    with pytest.raises(ValueError, match="k: a machine"):
        operation(stitching=LINE)


def test_runs_are_measured_along_their_line() -> None:
    bent = StitchPath("panel", ((0.0, 0.0), (3.0, 4.0), (3.0, 16.0)))  # 3-4-5, then 12 on
    straight = StitchPath("panel", ((1.0, 1.0), (1.0, 3.5)))
    assert (bent.length, straight.length) == (17.0, 2.5)
    assert along([bent, straight]) == 19.5
    assert along([]) == 0.0


def test_everything_that_is_said_is_told() -> None:
    said = {name: say(name) for name in ("why", "check", "caution", "without_change")}
    whole = operation(**said)
    assert [each.text() for each in whole.sentences] == [
        "t",
        "d",
        "why",
        "check",
        "caution",
        "without_change",
    ]
    assert [each.text() for each in operation().sentences] == ["t", "d"]
    assert say("{piece}: {far}", words={"piece": "zip"}, far=5.0) == Sentence(
        "{piece}: {far}", {"far": 5.0}, {"piece": "zip"}
    )


def test_a_state_is_that_of_one_object() -> None:
    """Of two pockets each is laid on by itself."""
    laid = State("laid on")
    assert laid.for_("front pocket") == State("laid on", "front pocket")
    assert len({laid, laid.for_("front pocket"), laid.for_("back pocket")}) == 3


def test_no_length_is_told_that_is_no_measure() -> None:
    """A drawing shows measures: a length that is told otherwise would be missing there."""
    told = say("{far} in", far=5.0)
    assert operation(check=told, measures=sized(MeasurePlace.WIDTH, far=5.0)).check == told
    for measures in ((), sized(MeasurePlace.WIDTH, far=6.0), sized(MeasurePlace.WIDTH, near=5.0)):
        with pytest.raises(ValueError, match="k: far is told"):
            operation(check=told, measures=measures)


def test_a_drawing_carries_what_is_told_and_has_a_place_in_it() -> None:
    line = measured("far", 5.0, "panel", (1.0, 2.0), (6.0, 2.0))
    assert line.where == StitchPath("panel", ((1.0, 2.0), (6.0, 2.0)))
    assert (line.place, line.place.is_drawn) == (MeasurePlace.SPAN, True)
    derived, spare = (
        sized(MeasurePlace.DERIVED, thick=2.0),
        sized(MeasurePlace.WITHOUT_CHANGE, near=3.0),
    )
    untold = sized(MeasurePlace.WIDTH, wide=9.0)
    whole = operation(
        why=say("{far} {thick}", far=5.0, thick=2.0),
        without_change=say("{near}", near=3.0),
        measures=(line, *derived, *spare, *untold),
    )
    assert whole.drawn == (line,)
