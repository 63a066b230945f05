"""Goods that shrink: what is washed before cutting, and what still shrinks in the sewn bag.

Goods that are not washed first are cut larger and shrink in the bag's first wash. Where they
lie in one wall with goods that shrink less, the wall puckers.
"""

from collections.abc import Sequence
from itertools import permutations

from core.errors import Sentence
from core.findings import Finding, Severity
from core.parts.layers import Layer
from core.tolerance import same_length, shorter

MOST_APART = 0.01
"""Layers may shrink by so much differently, as a share of their size (own choice: a tenth of
an inch in ten inches is eased in when the bag is pressed)."""

_WAYS = (("shrink_length", "in length"), ("shrink_width", "in width"))


def later_shrinkage(layer: Layer) -> tuple[float, float]:
    """(in length, in width) that these goods still lose once they are sewn, as shares."""
    if layer.cut_washed:
        return 0.0, 0.0
    return layer.shrink_length, layer.shrink_width


def common_shrinkage(layers: Sequence[Layer]) -> tuple[float, float] | None:
    """What all of them still lose alike once they are sewn; None where they differ."""
    first, *others = (later_shrinkage(layer) for layer in layers)
    same = all(
        same_length(one, other) for each in others for one, other in zip(first, each, strict=True)
    )
    return first if same else None


def shrink_finding(goods: Sequence[Layer]) -> Finding | None:
    """That goods sewn into one wall still shrink differently; None where that is little.

    Args:
        goods: of the wall, and of what is sewn onto it.
    """
    apart = max(
        (
            (later_shrinkage(more)[way] - later_shrinkage(less)[way], -way, -place, more, less)
            for way in (0, 1)
            for place, (more, less) in enumerate(permutations(goods, 2))
        ),
        key=lambda each: each[:3],
        default=None,
    )
    if apart is None or not shorter(MOST_APART, apart[0]):
        return None
    share, way, _, more, less = apart
    names = (more.title, less.title)
    if names[0] == names[1]:
        names = (more.role, less.role)
    return Finding(
        code="layers-shrink-apart",
        severity=Severity.WARN,
        figure="layers",
        value=100 * share,
        limit=100 * MOST_APART,
        message=Sentence(
            _APART,
            words={
                "more": names[0],
                "less": names[1],
                "share": f"{100 * share:.3g}",
                "way": _WAYS[-way][1],
            },
        ),
    )


_APART = (
    "The {more} is not washed first and shrinks {share} % more {way} than the {less}: the wall "
    "will pucker when it is washed. Wash the {more} before cutting."
)
