"""Whether pieces fit on the width of their goods, and which figures that width asks for. mm."""

from core.errors import Sentence
from core.findings import Finding, Severity
from core.flat.piece import Piece, Turn
from core.parts.layers import Layer
from core.tolerance import shorter

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
    may_turn = layer.turn_of(piece) is Turn.QUARTER
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
            {"piece": piece.name, "goods": layer.title},
        ),
    )


def side_figure(piece: Piece, *, along: bool) -> str:
    """Name of the figure that a side of a piece comes from.

    Args:
        piece: that is cut.
        along: the side along its lengthwise grain; otherwise the one across it.
    """
    by_width, by_height = _FIGURES_OF[piece.part]
    grain_across = abs(piece.grain[0]) > abs(piece.grain[1])
    return by_width if along == grain_across else by_height


_FIGURES_OF = {
    "panel": ("panel_width", "panel_length"),
    "pocket": ("panel_width", "pocket_cut_height"),
    "handles": ("goods_width", "handle_width"),
    "board": ("board_width", "board_depth"),
}
"""Part -> the figures that its piece's width and height come from; a pocket is as wide as
the panel."""
