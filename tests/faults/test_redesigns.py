"""Redesigns at random: nothing is refused that a pattern answers."""

from collections.abc import Callable

from tests.core.redesign.judge import judge_requests


def test_no_redesign_at_random_is_refused_that_a_pattern_answers(
    share: Callable[[int], int], tell: Callable[[str], None]
) -> None:
    count = share(1000)
    refused = judge_requests(13, count)
    assert count / 10 < refused < count / 2
    tell(f"redesigns at random: {count}, {refused} refused, each of them rightly")
