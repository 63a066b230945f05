"""What a closed ring of strips holds; the reference values are those of a solver of its own.

F1, F3 and F8 of the project's list: four cell sizes, extrapolated; uncertain by 0.1 %, over a board
0.15 %. A test may claim 0.5 %.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bodies.gusset_strip.body import StripBody
from core.flat.piece import Point
from core.flat.roles import EdgeRef, Face, PieceId, SeamRole
from core.flat.seam import Draft
from core.solid.capacity import capacity
from core.solid.fold import FoldModel
from core.space.patches import NotFillableError
from core.storage.bag_files import sample
from core.tops.top_strip.strip import TopStrip
from tests.core.bodies.strip_bags import INCH, KINDS, e2, matched, open_bag

DEMO = sample("demo")
BARE = DEMO.without(*DEMO.parts)


def closed_bag(body: StripBody) -> Bag:
    """Its ring closed by a top strip with a long zip."""
    return replace(BARE, body=body, top=TopStrip(tape_width=1.25 * INCH, length=1000.0))


def carrier(kind: type[StripBody], radius: float, *, pieces: int = 1) -> StripBody:
    """300 x 120 x 250 with all corners of that radius, its zip down a quarter of the sides."""
    opened = open_bag(kind, corner_rounding=radius + 10.0 if radius else 0.0, strip_pieces=pieces)
    return matched(matched(opened).made_for(None, closes_ring=True))


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("radius", "litres"), [pytest.param(50.0, 11.418, id="F1"), pytest.param(0.0, 11.838, id="F3")]
)
def test_it_holds_what_a_solver_of_its_own_found(
    kind: type[StripBody], radius: float, litres: float
) -> None:
    found = capacity(closed_bag(carrier(kind, radius)))
    assert found.filled == pytest.approx(litres, rel=5e-3)


def test_f8_what_e2_holds() -> None:
    assert capacity(closed_bag(e2())).filled == pytest.approx(14.742, rel=5e-3)


def along(
    draft: Draft, chain: tuple[EdgeRef, ...], *, back: bool, closed: bool, shares: list[float]
) -> Iterator[tuple[PieceId, Point]]:
    """Piece and point at shares of a chain; a closed one begins in the middle of its first edge."""
    lengths = [draft.outlines[ref.piece].length(ref.edge) for ref in chain]
    total = math.fsum(lengths)
    for share in shares:
        at = (share * total + (lengths[0] / 2 if closed else 0.0)) % total
        for ref, length in zip(chain, lengths, strict=True):
            if at <= length:
                own = 1 - at / length if back else at / length
                yield ref.piece, draft.outlines[ref.piece].stitched(ref.edge).point_at(own)
                break
            at -= length


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("radius", [0.0, 50.0])
@pytest.mark.parametrize("pieces", [1, 3, 4])
def test_on_the_filled_bag_every_seam_of_the_draft_meets(
    kind: type[StripBody], radius: float, pieces: int
) -> None:
    body = carrier(kind, radius, pieces=pieces)
    longer = replace(body, strip_length=body.strip_length + (4.0 if pieces == 3 else 0.0))
    bag = closed_bag(longer)
    drawn, found = compute(bag).draft, capacity(bag).outside
    assert found is not None
    shares = np.linspace(0.003, 0.997, 60).tolist()
    roles = (SeamRole.RING, SeamRole.STRIP, SeamRole.ZIP)
    seams = [each.seam for role in roles for each in drawn.walked_seams(role)]
    assert len(seams) == 2 + 2 + pieces - 1 + 2
    for seam in seams:
        sides = (
            along(drawn, chain, back=back, closed=seam.closed, shares=shares)
            for chain, back in ((seam.one, seam.backwards), (seam.other, not seam.backwards))
        )
        for one, other in zip(*sides, strict=True):
            first, second = (
                np.ravel(found.at(piece, np.array([point]))[0]) for piece, point in (one, other)
            )
            # Cells round an arc are chords of it, and half of an ease slides along the seam.
            assert np.linalg.norm(first - second) < 1.5, (seam.id, one, other)


@pytest.mark.parametrize("kind", KINDS)
def test_an_open_ring_is_refused_with_its_sentence(kind: type[StripBody]) -> None:
    body = open_bag(kind)
    with pytest.raises(NotFillableError, match="open top"):
        body.quarter(e2_draft(), None, board=False)


def e2_draft() -> Draft:
    return compute(closed_bag(e2())).draft


@pytest.mark.parametrize("kind", KINDS)
def test_its_real_top_strip_closes_it_in_space(kind: type[StripBody]) -> None:
    """Each row of it ends, sewn, where the strip begins."""
    bag = closed_bag(carrier(kind, 0.0))
    model = FoldModel(bag, compute(bag).draft)
    folded = model.at(1.0)
    assert model.folding.closed
    assert folded.gaps == ()
    low, high = ([edge(point[axis] for point in folded.extent) for axis in range(3)]
                 for edge in (min, max))  # fmt: skip
    wide, deep = (300.0, 120.0) if kind is KINDS[0] else (120.0, 300.0)
    assert low == pytest.approx([-wide / 2, -deep / 2, 0.0], abs=1e-6)
    assert high == pytest.approx([wide / 2, deep / 2, 250.0], abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("pieces", [1, 2])
def test_each_face_of_the_filled_bag_lies_on_its_side(kind: type[StripBody], pieces: int) -> None:
    """A spot above the middle of its base line, off to the right where faces tell right."""
    bag = closed_bag(carrier(kind, 50.0, pieces=pieces))
    found = capacity(bag).outside
    assert found is not None
    for face, seat in bag.body.seats().items():
        spot = seat.frame.at((15.0, 0.0 if face is Face.BASE else (seat.low + seat.top) / 2))
        x, y, z = np.ravel(found.at(seat.piece, np.array([spot]))[0]).tolist()
        if face in (Face.FRONT, Face.BACK):
            assert (y < 0.0) is (face is Face.FRONT)
            assert abs(y) > 40.0
            assert x > 5.0
        elif face is Face.BASE:
            assert (z < 20.0, x > 5.0) == (True, True), "its middle lies at 0, and hangs lowest"
        else:
            assert (x < 0.0) is (face is Face.LEFT)
            assert abs(x) > 40.0
