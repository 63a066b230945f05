"""Random bags that are cut like boxes, matched by closed formulas, with every top. Lengths are mm.

Seams meet on their stitch lines by a walk of the tests' own, and in space by the zones that their
points lie on; what each bag holds is told against ever finer meshes.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import replace

from core.bag.bag import Bag, draft_walls
from core.bag.compute import compute
from core.bag.construction import Ahead
from core.base.errors import FieldError
from core.bodies.body import Body
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.flat.piece import Point
from core.flat.roles import PieceId
from core.parts.board.board import BaseBoard
from core.solid.fill_problem import build_mesh, problem_of
from core.solid.fill_solve import solve
from core.solid.fold import FoldModel
from core.space.patches import NotFillableError
from core.space.zones import Frames, Spatial, Zone
from core.storage.bag_files import sample
from core.tops.table import TOPS
from tests.core.bodies.test_separate_base import cut_for
from tests.core.bodies.test_strip_filled import along
from tests.core.bodies.test_strip_formulas import cut
from tests.core.solid.sheets import times

KINDS: tuple[type[Body], ...] = (GussetStrip, Wrap, SeparateBase)
MODEL = sample("demo").without(*sample("demo").parts)
NEAR = 1e-9
"""Of two stitch lines that are sewn to one another."""
_ROUND = 0.012
"""Over the radius of a corner: six flats lie off its arc by less than 0.9 %, and points at one
length of both are no farther apart than that and what chords of the panel's arc leave out."""


def any_body(chance: random.Random, kind: type[Body]) -> Body:
    """One whose seams match, square, rounded, or rounded as far as it goes, in any number."""
    if issubclass(kind, StripBody):
        sizes = (chance.uniform(120, 500), chance.uniform(120, 500), chance.uniform(120, 500))
        lower, upper = (chance.choice((0.0, chance.uniform(5.0, 59.0))) for _ in "lu")
        seam, end, top = (chance.uniform(3.0, 20.0) for _ in "set")
        gap = chance.choice((0.0, chance.uniform(60.0, 200.0)))
        made = cut(kind, sizes, r=lower, q=upper, s=seam, e=end, c=top, gap=gap)
        return replace(made, strip_pieces=chance.randint(1, 4))
    wide, deep, high = (chance.uniform(60.0, 500.0) for _ in range(3))
    pieces = chance.choice((1, 2, 2, 4))
    most = 0.0 if pieces == 4 else min(wide, deep) / 2
    radius = chance.choice((0.0, most, chance.uniform(0.02, 1.0) * most))
    seams = (chance.uniform(5.0, 15.0), chance.uniform(5.0, 15.0), chance.uniform(5.0, 15.0))
    return cut_for((wide, deep, high), radius, pieces=pieces, seams=seams)


def with_every_top(body: Body) -> Iterator[Bag]:
    """It with each top that its mouth takes."""
    ahead, mouth = Ahead.with_body(MODEL, body), body.mouth()
    for kind in TOPS:
        opened = isinstance(body, StripBody) and (mouth.ring is not None) != kind.CLOSES_RING
        if opened or kind.refused(mouth) is not None:
            continue
        try:
            top = kind.fresh(ahead)
            top.check_fit(mouth)
            bag = replace(MODEL, body=body, top=top)
            compute(bag)
        except FieldError:  # too low for its rolls, too shallow for its tape
            continue
        yield bag


def over_a_board(bag: Bag) -> Bag:
    """The bag with a board on its base."""
    return bag.with_part(BaseBoard(width=20.0, depth=20.0))


def off_refined(bag: Bag) -> float | None:
    """How far a working mesh is off what ever finer ones tend to; None: it is not filled.

    The error of a mesh falls with the square of its cells.
    """
    draft = draft_walls(bag)
    board = "board" in bag.parts
    try:
        quarter = bag.body.quarter(draft, bag.top.closing(draft), board=board)
    except NotFillableError:
        return None
    working, twice = (
        solve(problem_of(build_mesh(quarter, times(quarter.counts, factor)))).volume
        for factor in (1, 2)
    )
    return working / (twice + (twice - working) / 3) - 1.0


def roundest(body: Body) -> float:
    """The largest radius of its corners on the stitch lines."""
    if isinstance(body, StripBody):
        return max(body.stitched_radius, body.stitched_upper_radius)
    assert isinstance(body, SeparateBase)
    return body.corner_rounding - body.base_seam if body.corner_rounding else 0.0


def check_seams(bag: Bag) -> None:
    """Each seam is as long on both sides, whatever sews it."""
    for walked in compute(bag).draft.walked:
        assert abs(walked.difference) <= NEAR, (walked.seam.label, bag.body)


def check_meets_in_space(bag: Bag) -> None:
    """The two edges of each seam are one line of the sewn bag: to 1e-6 of it, round arcs nearly."""
    draft = compute(bag).draft
    folding = FoldModel(bag, draft).folding
    assert folding.flat_only is None, (folding.flat_only, bag.body)
    frames = folding.frames(1.0)
    shown = {zone.piece for zone in folding.zones}
    size = max(value for piece in draft.walls for value in (piece.width, piece.height))
    near = max(1e-6 * size, _ROUND * roundest(bag.body))
    shares = [number / 12 + 0.01 for number in range(12)]
    seams = [each for each in draft.seams if each.other]
    for seam in seams:
        if not {ref.piece for ref in seam.one + seam.other} <= shown:
            continue  # a facing, tabs
        sides = (
            along(draft, chain, back=back, closed=seam.closed, shares=shares)
            for chain, back in ((seam.one, seam.backwards), (seam.other, not seam.backwards))
        )
        for one, other in zip(*sides, strict=True):
            ends = (_placed(folding.zones, frames, *each) for each in (one, other))
            assert math.dist(*ends) <= near, (seam.label, one, bag.body, bag.top)


def _placed(zones: tuple[Zone, ...], frames: Frames, piece: PieceId, point: Point) -> Spatial:
    def off(zone: Zone) -> float:
        return max(a * point[0] + b * point[1] - c for a, b, c in zone.limits)

    zone = min((zone for zone in zones if zone.piece == piece), key=off)
    return frames[zone.key].at(point)
