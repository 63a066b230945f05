"""What a closed separate base holds; the reference values are those of a solver of its own.

F4 and F6 of the project's list: four cell sizes, extrapolated; uncertain by 0.1 %, over a board
0.15 %. A test may claim 0.5 %.
"""

from dataclasses import replace

import numpy as np
import pytest

from core.bag.bag import Bag
from core.bag.compute import compute
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.roles import SeamRole
from core.solid.capacity import capacity
from core.space.patches import NotFillableError
from core.storage.bag_files import sample
from tests.core.bodies.test_separate_base import cut_for
from tests.core.bodies.test_separate_base_space import BAGS, SIZE, lidded, zipped


def high(height: float, body) -> Bag:
    """The walls so high that with the zip, 12 of which shows, the face has that height."""
    return zipped(replace(body, body_height=body.body_height + height - SIZE[2] - 6.0))


@pytest.mark.parametrize(
    ("radius", "litres"), [pytest.param(40.0, 10.585, id="F4"), pytest.param(0.0, 11.678, id="F6")]
)
@pytest.mark.parametrize("trim", [0.0, 40.0])
def test_it_holds_what_a_solver_of_its_own_found(radius, litres, trim):
    """A trim only moves the zip: the face stays as high."""
    body = cut_for(SIZE, radius, front_trim=trim)
    body = replace(body, body_height=body.body_height + trim / 2)
    found = capacity(high(SIZE[2], body))
    assert found.filled == pytest.approx(litres, rel=5e-3)


def test_square_it_holds_what_a_boxed_panel_of_its_sizes_holds():
    """With a square base both have the same metric."""
    wide, deep, face = SIZE
    bag = high(face, cut_for(SIZE))
    seam = 10.0
    panel = BoxedPanel(
        width=wide + deep + 2 * seam,
        length=2 * (face + deep / 2 - 6.0 + seam),
        front_trim=0.0,
        corner_width=deep / 2,
        corner_depth=deep / 2 - seam,
        side_seam=seam,
        corner_seam=seam,
        top_seam=seam,
    )
    boxed = replace(bag, body=panel)
    sizes = ("base_width", "gusset_depth", "face_height", "opening_width")
    for name in sizes:
        assert compute(boxed).finished[name] == pytest.approx(compute(bag).finished[name])
    assert capacity(bag).filled == pytest.approx(capacity(boxed).filled, rel=2e-3)


def walked_along(drawn, chain, shares, *, turned, half_first):
    """(piece, point) at shares of a chain's length; a closed one begins in an edge's middle."""
    lengths = [drawn.outlines[ref.piece].length(ref.edge) for ref in chain]
    total = sum(lengths)
    for share in shares:
        at = (share * total + (lengths[0] / 2 if half_first else 0.0)) % total
        for ref, length in zip(chain, lengths, strict=True):
            if at <= length:
                own = 1 - at / length if turned else at / length
                yield ref.piece, drawn.outlines[ref.piece].stitched(ref.edge).point_at(own)
                break
            at -= length


def test_four_walls_with_a_lid_hold_what_a_box_of_six_faces_holds():
    """F3's kind, all square: a sealed box of 300 x 250 x 120 holds 11.838 L."""
    found = capacity(lidded(cut_for((300.0, 120.0, 250.0), pieces=4)))
    assert found.filled == pytest.approx(11.838, rel=5e-3)


@pytest.mark.parametrize("over", [20.0, -20.0])
def test_walls_that_do_not_fit_are_eased_in_evenly(over):
    """A quarter of the ring lies above the base: as long as it is, not as the base has it."""
    body = cut_for(SIZE, 40.0)
    bag = zipped(replace(body, body_width=body.body_width + over / 2))
    drawn = compute(bag).draft
    made = bag.body.quarter(drawn, bag.top.closing(drawn), board=False)
    wall = sum(patch.high[0] - patch.low[0] for patch in made.patches[1:])
    assert 4 * wall == pytest.approx(bag.body.ring_length)
    assert made.patches[0].area == pytest.approx(300.0 * 160.0 / 4 - (1 - np.pi / 4) * 40.0**2)


@pytest.mark.parametrize("trim", [0.0, 40.0])
@pytest.mark.parametrize("radius", [0.0, 40.0, 80.0, None])
def test_on_the_filled_bag_every_seam_of_the_draft_meets(radius, trim):
    if radius is None:
        bag = BAGS["four pieces, lid"]
    else:
        bag = high(SIZE[2], cut_for(SIZE, radius, front_trim=trim))
    drawn, found = compute(bag).draft, capacity(bag).outside
    shares = np.linspace(0.003, 0.997, 60)
    roles = (SeamRole.MOUTH, SeamRole.BASE, SeamRole.STRIP)
    for each in (walked for role in roles for walked in drawn.walked_seams(role)):
        seam = each.seam
        for one, other in zip(
            walked_along(drawn, seam.one, shares, turned=seam.backwards, half_first=seam.closed),
            walked_along(
                drawn, seam.other, shares, turned=not seam.backwards, half_first=seam.closed
            ),
            strict=True,
        ):
            first, second = (
                np.ravel(found.at(piece, np.array([point]))[0]) for piece, point in (one, other)
            )
            # Cells round an arc are chords of it: they slide along one another by less than that.
            assert np.linalg.norm(first - second) < 1.0


def test_an_open_top_is_refused_with_its_sentence():
    assert "open top" in capacity(BAGS["rounded"]).not_filled.text()
    with pytest.raises(NotFillableError, match="open top"):
        body = BAGS["rounded"].body
        body.quarter(compute(BAGS["rounded"]).draft, None, board=False)


@pytest.mark.parametrize("share", [0.45, 2.2])
def test_walls_that_are_nowhere_near_the_way_round_enclose_nothing(share):
    """A search may come by such a bag; half or twice the way round is no ease (own choice)."""
    bag = sample("jar")
    ring = (bag.body.body_width - 2 * bag.body.side_seam) * share
    far = replace(bag, body=replace(bag.body, body_width=ring + 2 * bag.body.side_seam))
    told = capacity(far).not_filled
    assert told is not None
    assert "nowhere near" in told.text()
