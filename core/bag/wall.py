"""Goods that shrink: what is washed before cutting, and what still shrinks in the sewn bag.

Goods that are not washed first are cut larger and shrink in the bag's first wash. Where they
lie in one wall with goods that shrink less, the wall puckers.
"""

from collections.abc import Sequence
from itertools import permutations

from core.base.sentences import Sentence
from core.base.tolerance import same_length, shorter
from core.flat.piece import GrainTurn, Piece
from core.model.findings import Finding, Severity
from core.parts.layers import Layer

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


# --- goods width ---
# Whether pieces fit on the width of their goods, and which figures that width asks for. mm.


_TOO_WIDE = (
    "The {piece} measures {value}, but {goods} is only {limit} wide: cut it in parts and "
    "join them with a seam, or use wider material."
)
_WIDE_UNLESS_TURNED = (
    "The {piece} measures {value}, but {goods} is only {limit} wide: turn it 90° if print "
    "and nap allow, cut it in parts and join them with a seam, or use wider material."
)


def width_finding(piece: Piece, layer: Layer) -> Finding | None:
    """Whether a piece fits on the width of these goods in a way that its grain allows.

    None when it fits. The finding says what would help.
    """
    across, along = layer.size_on_goods(piece)
    limit = layer.cutting_width
    may_turn = layer.turn_of(piece) is GrainTurn.QUARTER
    turned = may_turn and along < across
    value = along if turned else across
    if not shorter(limit, value):
        return None
    helps = not may_turn and not shorter(limit, along)
    return Finding(
        code="wider-than-goods",
        severity=Severity.STOP,
        figure=side_figure(piece, along=turned),
        value=value,
        limit=limit,
        message=Sentence(
            _WIDE_UNLESS_TURNED if helps else _TOO_WIDE,
            {"value": value, "limit": limit},
            {"piece": piece.label, "goods": layer.title},
        ),
    )


def side_figure(piece: Piece, *, along: bool) -> str:
    """Name of the figure that a side of a piece comes from.

    Args:
        piece: that is cut.
        along: the side along its lengthwise grain; otherwise the one across it.
    """
    by_width, by_height = piece.sized_by
    grain_across = abs(piece.grain[0]) > abs(piece.grain[1])
    return by_width if along == grain_across else by_height
