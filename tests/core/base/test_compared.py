"""What is `Compared` is compared, hashed and printed as the standard library's dataclasses are."""

from dataclasses import dataclass, field, replace
from typing import Any

import pytest

from core.base.compared import Compared


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class _Ours(Compared):
    one: float
    aside: int = field(default=0, compare=False)
    hidden: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class _OursWithMore(_Ours):
    more: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Theirs:
    one: float
    aside: int = field(default=0, compare=False)
    hidden: str = field(default="", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class _TheirsWithMore(_Theirs):
    more: tuple[int, ...] = ()


@pytest.mark.parametrize("change", [{}, {"one": 2.0}, {"aside": 1}, {"hidden": "x"}])
@pytest.mark.parametrize("pair", [(_Ours, _Theirs), (_OursWithMore, _TheirsWithMore)])
def test_a_value_is_the_dataclass_that_it_stands_for(
    pair: tuple[type[Any], type[Any]], change: dict[str, Any]
) -> None:
    (ours, mine), (theirs, other) = ((each(one=1.0), each(one=1.0)) for each in pair)
    mine, other = replace(mine, **change), replace(other, **change)
    assert (ours == mine, ours != mine) == (theirs == other, theirs != other)
    assert (hash(ours) == hash(mine)) == (hash(theirs) == hash(other))
    assert repr(mine) == repr(other).replace("Theirs", "Ours")


def test_one_with_more_is_compared_by_that_too() -> None:
    assert _Ours(one=1.0) == _Ours(one=1.0)  # before any of the other is
    one, other = _OursWithMore(one=1.0, more=(1,)), _OursWithMore(one=1.0, more=(2,))
    assert one != other
    assert one == _OursWithMore(one=1.0, more=(1,))
    assert _Ours(one=1.0) != _OursWithMore(one=1.0)
    assert _Ours(one=1.0) != 1.0
