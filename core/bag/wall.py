"""What is doubtful about the goods of a bag: its wall, what shrinks, what is wider than its goods.

The wall is asked what goes under the foot, where it is basted, what no iron may touch; a piece
whether it fits on the width of its goods, and from which figure that width comes. Where goods lie
in one wall with goods that shrink less, the wall puckers. Lengths are mm.
"""

from collections.abc import Iterator, Sequence
from itertools import permutations

from core.base.sentences import Listing, Sentence, mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.flat.piece import GrainTurn, Piece
from core.goods.layers import LAYERS, Layer, Sandwich, later_shrinkage
from core.model.figures import LONGEST
from core.model.findings import Allowance, Crossing, Finding, Fix, Severity

MOST_APART = 0.01
"""Layers may shrink by so much differently, as a share of their size (own choice: a tenth of
an inch in ten inches is eased in when the bag is pressed)."""

_PUCKERS = (
    mark(
        "The {more} is not washed first and shrinks {share} % more in length than the {less}: the "
        "wall will pucker when it is washed. Wash the {more} before cutting."
    ),
    mark(
        "The {more} is not washed first and shrinks {share} % more in width than the {less}: the "
        "wall will pucker when it is washed. Wash the {more} before cutting."
    ),
)
"""Along the goods, and across them."""


def shrink_finding(goods: Sequence[Layer]) -> Finding | None:
    """That goods sewn into one wall, or onto it, shrink differently yet; None: that is little."""
    shrinking = [(layer, later_shrinkage(layer)) for layer in goods]
    apart = max(
        (
            (most[way] - least[way], -way, -place, more, less)
            for way in (0, 1)
            for place, ((more, most), (less, least)) in enumerate(permutations(shrinking, 2))
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
    told = f"{100 * share:.3g}"
    return Finding(
        code="layers-shrink-apart",
        severity=Severity.WARN,
        figure=LAYERS,
        value=100 * share,
        limit=100 * MOST_APART,
        message=say(_PUCKERS[-way], words={"more": names[0], "less": names[1], "share": told}),
    )


_TOO_WIDE = mark(
    "The {piece} measures {value}, but {goods} is only {limit} wide: cut it in parts and "
    "join them with a seam, or use wider material."
)
_WIDE_UNLESS_TURNED = mark(
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
        message=say(
            _WIDE_UNLESS_TURNED if helps else _TOO_WIDE,
            terms={"piece": piece.label},
            words={"goods": layer.title},
            value=value,
            limit=limit,
        ),
    )


def side_figure(piece: Piece, *, along: bool) -> str:
    """Name of the figure that a side of a piece comes from: along its grain, or across it."""
    by_width, by_height = piece.sized_by
    grain_across = abs(piece.grain[0]) > abs(piece.grain[1])
    return by_width if along == grain_across else by_height


MOST_FOOT = 15.0
"""Hardly any machine takes more under its foot, mm (own choice)."""
LEAST_BASTE = MM_PER_INCH / 16
"""From the cut edge to a basting line that holds (own choice)."""


def wall_findings(
    wall: Sandwich, allowances: Sequence[Allowance], crossings: Sequence[Crossing]
) -> tuple[Finding, ...]:
    """Thickness under the foot, the basting line, and what must not be ironed hot."""
    return (*_thick(wall, crossings), *_baste(wall, allowances), *_melts(wall), *_unfused(wall))


def _thick(wall: Sandwich, crossings: Sequence[Crossing]) -> Iterator[Finding]:
    """That every seam, or the thickest crossing, is more than the foot takes; or all of it."""
    thickest = max(crossings, key=lambda each: each.thickness(wall.pressed), default=_ANY_SEAM)
    room = wall.foot_clearance
    if shorter(room, _ANY_SEAM.thickness(wall.pressed)):
        thickest = _ANY_SEAM  # a crossing can be hammered flat; all the seams cannot
    stack = thickest.thickness(wall.pressed)
    if shorter(room, stack):
        told = say(thickest.told, value=stack, limit=room, numbers={"count": thickest.walls})
        if thickest.meets_sides and shorter(0.0, thickest.laid_on):
            told = say(_LAID_ON_TOO, terms={"told": told}, value=thickest.laid_on)
        yield Finding(
            code="too-thick-to-sew",
            severity=Severity.STOP if thickest is _ANY_SEAM else Severity.WARN,
            figure="foot_clearance",
            value=stack,
            limit=room,
            message=told,
        )
    elif shorter(MOST_FOOT, room):
        yield Finding(
            code="foot-clearance-high",
            severity=Severity.NOTE,
            figure="foot_clearance",
            value=room,
            limit=MOST_FOOT,
            message=say(_HIGH_FOOT, value=room, limit=MOST_FOOT),
        )


def _baste(wall: Sandwich, allowances: Sequence[Allowance]) -> Iterator[Finding]:
    seams = (each.size for each in allowances if each.layered)
    # Where there is no allowance at all, that is what is told.
    narrowest = min((each for each in seams if shorter(0.0, each)), default=LONGEST)
    shows = not shorter(wall.baste_line, narrowest)
    if len(wall.layers) == 1 or not (shows or shorter(wall.baste_line, LEAST_BASTE)):
        return
    scant = narrowest - MM_PER_INCH / 16
    fixes: tuple[Fix, ...] = ()
    if not shorter(scant, LEAST_BASTE):
        label = say("Baste at {value}", value=scant)
        fixes = (Fix(label, (("baste_line", scant),)),)
    limit = narrowest if shows else LEAST_BASTE
    yield Finding(
        code="baste-shows" if shows else "baste-at-edge",
        severity=Severity.WARN,
        figure="baste_line",
        value=wall.baste_line,
        limit=limit,
        message=say(_BASTE if shows else _EDGE, value=wall.baste_line, limit=limit),
        fixes=fixes,
    )


def _melts(wall: Sandwich) -> Iterator[Finding]:
    tender = [layer.role for layer in wall.layers if layer.melts]
    if tender:
        yield Finding(
            code="melts",
            severity=Severity.NOTE,
            figure=LAYERS,
            value=float(len(tender)),
            limit=None,
            message=say(_MELTS, words={"goods": Listing(list(dict.fromkeys(tender)))}),
        )


def _unfused(wall: Sandwich) -> Iterator[Finding]:
    """The first layer that has glue which no iron may melt."""
    ground = wall.layers[0]
    for layer in wall.layers[1:]:
        if not layer.fusible:
            ground = layer
        elif layer.melts or ground.melts:
            words = {"layer": layer.role, "melting": ground.role}
            yield Finding(
                code="fusible-would-melt",
                severity=Severity.NOTE,
                figure=LAYERS,
                value=1.0,
                limit=None,
                message=Sentence(_UNFUSED if ground.melts else _MELTS_ITSELF, words=words),
            )
            return


_UNFUSED = mark(
    "The {layer} is fusible, but the {melting} would melt under the iron: it is only basted in."
)
_MELTS_ITSELF = mark(
    "The {layer} is fusible, but would melt under the iron itself: it is only basted in."
)
_BASTE = mark(
    "The basting line is {value} from the edge, not inside the narrowest seam allowance of "
    "{limit}: it will show."
)
_HIGH_FOOT = mark(
    "Few machines take {value} under the presser foot; more than {limit} is unusual: test "
    "it on a scrap, or seams that are too thick will go unnoticed."
)
_EDGE = mark(
    "The basting line is {value} from the edge: the needle slips off the layers there and "
    "needs {limit} to hold them."
)
_MELTS = mark("A hot iron damages {goods}: use a cool iron and a press cloth, and test on a scrap.")
_LAID_ON_TOO = mark("{told} Of that {value} is the pocket's side, which may lie there too.")
_ANY_SEAM = Crossing(
    2,
    mark(
        "At every seam two walls go under the presser foot, {value} thick when pressed; "
        "your machine takes {limit}."
    ),
)
