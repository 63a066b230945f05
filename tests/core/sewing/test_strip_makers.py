"""What the maker of a strip bag has to know: which half strip is which, where a board is pierced.

Source: each step's own words, held against the pieces and seams of the draft.
"""

from dataclasses import replace

import pytest

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.flat.roles import SeamRole
from core.sewing.steps import steps
from core.storage.bag_files import sample
from core.work.operation import Operation
from tests.core.tops.test_top_strip import four
from tests.helpers import having


def told(bag: Bag) -> dict[str, Operation]:
    return {each.operation.key: each.operation for each in steps(compute(bag))}


def says(operation: Operation) -> str:
    return " ".join(each.text() for each in operation.instructions)


def shifted(name: str, shift: float) -> Bag:
    bag = sample(name)
    return replace(bag, top=replace(bag.top, shift=shift))  # type: ignore[call-arg]


@pytest.mark.parametrize("name", ["coolbox", "wrap"])
def test_half_strips_of_an_offset_zip_are_told_apart(name: str) -> None:
    """Each is written on, and each panel's step names the half that its seam joins."""
    bag = shifted(name, 20.0)
    operations, draft = told(bag), compute(bag).draft
    rings = draft.walked_seams(SeamRole.RING)
    assert len(rings) == 2
    for walked in rings:
        face = walked.seam.id.face
        assert face is not None
        (half,) = {ref.piece for ref in walked.seam.edges if ref.piece.owner == "top"}
        label = str(draft.piece(half).label)
        assert f"Write “{label}”" in says(operations[f"cut {label}"])
        assert f"the {label} is sewn on here" in says(operations[f"join gusset seam {face.value}"])
    for side in ("left", "right"):
        assert f"at your {side}" in says(operations[f"join top strip {side}"])


@pytest.mark.parametrize("name", ["coolbox", "wrap"])
def test_half_strips_that_are_alike_are_not(name: str) -> None:
    every = " ".join(map(says, told(shifted(name, 0.0)).values()))
    for words in ("off the middle", "sewn on here", "at your left", "half of the top strip”"):
        assert words not in every


def test_a_lid_with_an_offset_zip_is_laid_on_the_right_way_round() -> None:
    operations = told(four(shift=10.0))
    assert "the front half of the top strip comes to the front edge" in says(
        operations["join top strip to top"]
    )


def fused(pieces: int, *, last: bool = False) -> Bag:
    """The cool box with a board between its layers, its strip joined of so many pieces."""
    bag = sample("coolbox")
    outer, *others = bag.sandwich.layers
    others[-1] = replace(others[-1], laid_last=last)
    bag = replace(bag, sandwich=replace(bag.sandwich, layers=(outer, *others)))
    bag = replace(bag, body=replace(bag.body, strip_pieces=pieces))  # type: ignore[call-arg]
    return with_choice(bag, "board", "fused")


def board_width(bag: Bag) -> float:
    return bag.parts["board"].width  # type: ignore[attr-defined,no-any-return]


@pytest.mark.parametrize("pieces", [1, 2, 3, 4])
def test_a_board_under_a_join_is_told_where_all_layers_are_basted_at_once(pieces: int) -> None:
    """A join lies under it where a piece of the strip ends within half of its width."""
    bag = fused(pieces)
    ends = [bag.body.strip_ends(number)[0] for number in range(1, pieces)]  # type: ignore[attr-defined]
    crossed = any(abs(end) < board_width(bag) / 2 for end in ends)
    assert crossed is (pieces > 1)
    codes = {each.code: each for each in compute(bag).findings}
    assert ("board-under-needle" in codes) is crossed
    if crossed:
        assert "join in the bottom" in codes["board-under-needle"].message.text()


def test_a_board_that_ends_before_the_join_is_not() -> None:
    """Three pieces: their joins lie 98.6 mm from the middle (a third of the strip, halved)."""
    bag = fused(3)
    join = bag.body.strip_ends(2)[0]  # type: ignore[attr-defined]
    bag = having(bag, board=replace(bag.parts["board"], width=2 * join - 1.0))  # type: ignore[call-arg]
    assert "board-under-needle" not in {each.code for each in compute(bag).findings}


@pytest.mark.parametrize("pieces", [2, 3, 4])
def test_a_board_comes_on_once_the_strip_is_one_where_the_lining_is_laid_in_last(
    pieces: int,
) -> None:
    bag = fused(pieces, last=True)
    assert "board-under-needle" not in {each.code for each in compute(bag).findings}
    keys = list(told(bag))
    board = next(key for key in keys if key.endswith("base board") and not key.startswith("cut"))
    assert keys.index("join strip") < keys.index(board)
