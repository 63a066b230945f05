"""Two panels and a strip round them: what they are cut to, and what comes of it.

Sources: pages of makers who sew such bags, named beside each; else plane geometry, done again here
without the code's own formulas.
"""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely

from core.bag.bag import with_figures
from core.base.errors import FieldError
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.flat.match_marks import seam_marks
from core.flat.roles import FACES, SIDES, EdgeRole, Face, SeamRole
from core.flat.seam import chain_length
from core.site.site import Below
from core.storage.bag_files import sample
from tests.core.bodies.strip_bags import (
    INCH,
    KINDS,
    any_bags,
    drafted,
    e2,
    matched,
    measured,
    open_bag,
    ring_edge,
)


def square(wide: float, high: float, strip: float, seam: float = 0.5, **other: float) -> StripBody:
    """An open bag of cut sizes in inches, its corners square."""
    given = {
        "face_cut_width": wide, "face_cut_height": high, "strip_width": 5.0, "strip_length": strip,
        "gusset_seam": seam, "strip_seam": seam, "top_seam": seam,
    }  # fmt: skip
    sizes = {name: value * INCH for name, value in (given | other).items()}
    return GussetStrip(**sizes)  # type: ignore[arg-type]  # lengths alone


# --- what pages say ---


def test_k12_two_strips_joined_go_round_three_sides() -> None:
    """Panels 24 x 21 in, two strips of 32 1/2 in joined at 1/2 in.

    Source: thesprucecrafts.com, sew-a-tote-bag-with-a-recessed-zipper.
    """
    joined = 2 * 32.5 - 2 * 0.5
    assert measured(square(24.0, 21.0, joined))["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)
    bag = replace(square(24.0, 21.0, joined), strip_pieces=2)
    strips = [piece for piece in drafted(bag).pieces if piece.id.face is None]
    assert [piece.height / INCH for piece in strips] == pytest.approx([32.5, 32.5])


@pytest.mark.parametrize(
    ("wide", "high", "strip", "right"), [(5, 6, 17, 15), (11, 9, 29, 27), (13, 15, 43, 41)]
)
def test_k13_k14_a_strip_reckoned_from_cut_sizes_is_four_seams_too_long(
    wide: float, high: float, strip: float, right: float
) -> None:
    """Sources: knittingmagic.biz gusseted-rectangular-bag-lining; peschelpress.com (13 x 15)."""
    off = measured(square(wide, high, strip))["gusset_mismatch"]
    assert off == pytest.approx(-4 * 0.5 * INCH)
    assert measured(square(wide, high, right))["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)


def test_k15_a_wrap_reckoned_from_cut_sizes_is_four_seams_too_long() -> None:
    """Wrap 10 x 26 1/2, ends 6 1/2 x 10 in; its seam of 1/4 in is a guess.

    Source: easycraftsideasforthehome.blogspot.com 2019/11, insulated lunch bag.
    """
    seam = INCH / 4
    bag = Wrap(
        face_cut_width=6.5 * INCH, face_cut_height=10 * INCH, strip_width=10 * INCH,
        strip_length=26.5 * INCH, gusset_seam=seam, strip_seam=seam, top_seam=seam,
    )  # fmt: skip
    found = measured(bag)
    assert found["gusset_mismatch"] == pytest.approx(-4 * seam)
    assert (found["face_width"], found["gusset_depth"]) == pytest.approx((9.5 * INCH, 6 * INCH))


def test_k16_the_strip_is_clipped_at_the_seam_from_both_raw_edges_of_the_corner() -> None:
    """1/2 in from both raw edges. Source: pfeist.net, bags 5."""
    bag = square(13.0, 15.0, 41.0)
    clips = [each for each in seam_marks(drafted(bag)).clips if each.piece.face is None]
    corner = (13.0 - 1.0) / 2 * INCH
    assert sorted({round(abs(each.at[1]), 6) for each in clips}) == pytest.approx([corner])
    assert len(clips) == 4, "at either corner, on either side of the strip"


def test_k17_the_other_strip_of_a_box_cushion() -> None:
    """12 in square, seam 1/2: 48 round it on the stitch line, less strips of 16, and joins.

    Source: sewgirls.com / inspirepoint.com, order of sewing a box cushion.
    """
    seam = INCH / 2
    bag = GussetStrip(
        face_cut_width=13 * INCH, face_cut_height=13 * INCH, strip_width=4 * INCH,
        strip_length=34 * INCH, top_strip_length=16 * INCH, gusset_seam=seam, strip_seam=seam,
        top_seam=seam,
    )  # fmt: skip
    found = measured(bag)
    assert ring_edge(bag) == pytest.approx(48 * INCH)
    assert found["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)
    assert found["opening_width"] == pytest.approx(15 * INCH)


def test_k21_e2_of_the_worked_examples() -> None:
    """By its own reckoning in inches; the stations of its match marks from the bottom middle."""
    bag = e2()
    sizes = {name: value / INCH for name, value in measured(bag).items()}
    assert sizes["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)
    told = ("face_width", "face_height", "gusset_depth", "corner_radius", "base_width")
    assert [sizes[name] for name in told] == pytest.approx([11.5, 10.0, 6.5, 2.0, 7.5])
    assert sizes["opening_width"] == pytest.approx(20.0)
    assert ring_edge(bag) / INCH == pytest.approx(39.5664, abs=5e-5)
    assert bag.strip_length / INCH == pytest.approx(20.0664, abs=5e-5)
    stations, at = [], -3.75
    ring = bag.mouth().ring
    assert ring is not None
    draft = drafted(bag)
    first, *rest = [ref for ref in ring.panels[Face.FRONT] if ref.edge.role is not EdgeRole.TOP][3:]
    assert first.edge.role is EdgeRole.BOTTOM
    for ref in (first, *rest):
        at += draft.outlines[ref.piece].length(ref.edge) / INCH
        stations.append(at)
    assert stations == pytest.approx([3.75, 6.8916, 12.8916, 16.0332], abs=5e-5)
    assert bag.strip_ends(0)[1] / INCH == pytest.approx(9.7832, abs=5e-5)


# --- on the stitch lines ---

ANY = any_bags(300)


def test_a_strip_as_long_as_the_edge_meets_it_and_joins_alter_nothing() -> None:
    for bag in map(matched, ANY):
        assert measured(bag)["gusset_mismatch"] == pytest.approx(0.0, abs=1e-9)
        draft = drafted(bag)
        assert all(outline.sound for outline in draft.outlines.values())
        strips = [piece for piece in draft.pieces if piece.id.face is None]
        assert len(strips) == bag.strip_pieces
        joins = draft.walked_seams(SeamRole.STRIP)
        assert len(joins) == len({walked.seam.id for walked in joins}) == bag.strip_pieces - 1
        whole = math.fsum(piece.height for piece in strips) - 2 * bag.strip_seam * len(joins)
        assert whole == pytest.approx(bag.strip_length, abs=1e-9)


def test_the_panel_is_what_shapely_makes_of_it() -> None:
    """A square cut smaller and grown again by a circle; its stitch line by its own offset."""
    bag = e2(upper_rounding=2.25 * INCH)
    panel = drafted(bag).pieces[0]
    high, seam = bag.face_cut_height, bag.gusset_seam
    cut = shapely.box(0.0, -seam, bag.face_cut_width, high - seam)
    rounded = cut.buffer(-bag.corner_rounding, join_style="mitre").buffer(
        bag.corner_rounding, quad_segs=4096
    )
    assert shapely.Polygon(panel.outline).symmetric_difference(rounded).area < 8.0
    assert panel.area == pytest.approx(rounded.area, rel=1e-7)
    assert rounded.buffer(-seam).length == pytest.approx(ring_edge(bag), rel=1e-6)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("pieces", [1, 2, 3, 4])
def test_an_open_ring_is_sewn_from_top_edge_to_top_edge(kind: type[StripBody], pieces: int) -> None:
    bag = open_bag(kind, strip_pieces=pieces)
    draft = drafted(bag)
    seams = draft.walked_seams(SeamRole.RING)
    assert [each.seam.id.face for each in seams] == list(bag.MAKES.panels)
    for each in seams:
        assert not each.seam.closed
        assert each.difference == pytest.approx(0.0, abs=1e-9)
        assert each.length == pytest.approx(300.0 + 500.0 - (4 - math.pi) * 50.0)
    around = (Face.FRONT, Face.RIGHT, Face.BACK, Face.LEFT)
    mouth = bag.mouth()
    assert (mouth.faces, mouth.ring, mouth.closes_flat) == (around, None, False)
    lengths = [draft.outlines[run.edge.piece].length(run.edge.edge) for run in mouth.runs]
    front, side = (300.0, 120.0) if kind is GussetStrip else (120.0, 300.0)
    assert lengths == pytest.approx([front, side, front, side])


@pytest.mark.parametrize("kind", KINDS)
def test_a_ring_with_a_gap_is_told_by_its_mouth(kind: type[StripBody]) -> None:
    bag = e2(kind, strip_pieces=2)
    mouth, draft = bag.mouth(), drafted(bag)
    assert mouth.faces == FACES
    ring = mouth.ring
    assert ring is not None
    assert not mouth.closes_flat
    assert ring.depth == pytest.approx(6.5 * INCH)
    assert (ring.length, ring.seam, ring.end_seam) == (20.5 * INCH, INCH / 4, INCH / 4)
    tops = {face: ring.panels[face][0] for face in bag.MAKES.panels}  # any edge will do here
    seams = mouth.ring_seams(tops)
    assert [seam.id.face for seam in seams] == list(bag.MAKES.panels)
    for seam in seams:
        assert seam.closed
        assert seam.id.role is SeamRole.RING
        assert seam.one[0].edge.role is EdgeRole.TOP
        assert chain_length(seam.one, draft.outlines) == pytest.approx(ring_edge(bag))
        assert seam.other[0] == tops[seam.id.face] if seam.id.face else False
    ends = [draft.edge(ring.ends[side]).start[1] for side in SIDES]
    assert ends[0] < 0.0 < ends[1]
    assert mouth.ring_seams(tops)[0] is seams[0], "made once"
    assert open_bag(kind).mouth().ring_seams(tops) == ()


def test_the_strips_edges_follow_one_another_round_the_ring() -> None:
    """Walked as the seam is, each edge begins in space where the one before it ended."""
    for bag in (open_bag(strip_pieces=3), e2(Wrap, strip_pieces=4)):
        draft = drafted(bag)
        ring = bag.mouth().ring
        open_chains = [seam.one for seam in bag.seams() if seam.id.role is SeamRole.RING]
        for chain in open_chains if ring is None else ring.panels.values():
            for one, two in pairwise(chain):
                assert draft.edge(one).end == pytest.approx(draft.edge(two).start)


# --- where parts may sit ---


def test_seats_of_panels_and_legs() -> None:
    seats = open_bag().seats()
    front = seats[Face.FRONT]
    assert (front.below, front.flat_below, front.low) == (Below.ROUND, False, 0.0)
    assert (front.cut_low, front.low_width, front.top) == (50.0, 200.0, 260.0)
    assert seats[Face.BACK].frame.right == (-1.0, 0.0), "drawn from its right side"
    right = seats[Face.RIGHT]
    # A leg of 200 stands on an arc of 50: its base line lies as low as the bottom.
    assert right.top - right.top_allowance == pytest.approx(250.0)
    assert right.low == pytest.approx(50.0)
    base = seats[Face.BASE]
    assert (base.width, base.top) == (200.0, 70.0)
    assert base.frame.at((10.0, 5.0)) == (65.0, 10.0), "the front lies at the strip's left edge"
    square_seat = open_bag(corner_rounding=0.0).seats()[Face.FRONT]
    assert (square_seat.below, square_seat.cut_low, square_seat.low_width) == (
        Below.SEAM, 0.0, 320.0,
    )  # fmt: skip


@pytest.mark.parametrize("pieces", [1, 2, 3, 4])
def test_seats_of_a_wrap(pieces: int) -> None:
    bag = open_bag(Wrap, strip_pieces=pieces)
    seats, draft = bag.seats(), drafted(bag)
    front, back = seats[Face.FRONT], seats[Face.BACK]
    assert front.low >= 150.0
    assert (front.under, back.under) == ((Face.BACK, Face.FRONT) if pieces == 1 else (None, None))
    assert front.flat_below is back.flat_below is (pieces <= 2)
    for seat in (front, back):
        piece = draft.piece(seat.piece)
        ys = [seat.frame.at((0.0, y))[1] for y in (seat.cut_low, seat.top)]
        assert min(abs(y - edge) for y in ys for edge in piece.bounds[1::2]) < 1e-9
        assert all(piece.bounds[1] - 1e-9 <= y <= piece.bounds[3] + 1e-9 for y in ys)
    assert seats[Face.LEFT].piece.face is Face.LEFT


# --- what cannot be ---


@pytest.mark.parametrize(
    ("bag", "changes", "field", "told"),
    [
        (open_bag(), {"corner_rounding": 8.0}, "corner_rounding", "the seam uses up as much"),
        (e2(), {"upper_rounding": INCH / 8}, "upper_rounding", "the seam uses up as much"),
        (open_bag(), {"corner_rounding": 161.0}, "corner_rounding", "half the panel's width"),
        (open_bag(), {"face_cut_height": 65.0}, "corner_rounding", "side of the panel ends"),
        (e2(), {"face_cut_height": INCH}, "face_cut_height", "its rounded corners take up"),
        (open_bag(), {"strip_length": 90.0}, "strip_length", "shorter than a corner"),
        (open_bag(), {"strip_length": 330.0, "strip_pieces": 4}, "strip_length", "a corner"),
        (e2(), {"top_strip_length": 41 * INCH}, "top_strip_length", "once round a panel"),
        (e2(), {"top_strip_length": INCH / 4}, "top_strip_length", "two seam allowances"),
        (open_bag(), {"strip_width": 20.0}, "strip_width", "two seam allowances"),
        (open_bag(), {"strip_pieces": 5}, "strip_pieces", "at most 4"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    bag: StripBody, changes: dict[str, float], field: str, told: str
) -> None:
    with pytest.raises(FieldError) as refused:
        replace(bag, **changes)  # type: ignore[arg-type]  # lengths and counts
    assert refused.value.field == field
    assert told in str(refused.value)


def test_an_open_ring_keeps_no_upper_rounding() -> None:
    assert open_bag(upper_rounding=40.0) == open_bag()
    assert [name for name in ("top_strip_length", "upper_rounding", "strip_seam")
            if open_bag().applies(name)] == []  # fmt: skip
    assert all(e2().applies(figure.name) for figure in e2().FIGURES)
    assert open_bag(strip_pieces=2).applies("strip_seam")


def test_sizes_beside_the_pieces() -> None:
    bag = e2()
    draft = drafted(bag)
    sizes = bag.dimensions(draft)
    panel = {each.label: each.length / INCH for each in sizes[draft.pieces[0].id]}
    assert panel == pytest.approx({
        "Face cut width": 12.0, "Face cut height": 10.5, "Corner rounding": 2.25,
        "Upper rounding": 2.25,
    })  # fmt: skip
    strip = {each.label: each.length / INCH for each in sizes[draft.pieces[2].id]}
    assert strip == pytest.approx({"Strip width": 7.0, "Strip length": bag.strip_length / INCH})


def test_a_figure_of_another_construction_is_refused_as_one() -> None:
    """The bag has panels: that it had none would be wrong."""
    with pytest.raises(FieldError) as refused:
        with_figures(sample("coolbox"), {"front_trim": 1.0})
    assert str(refused.value) == (
        "Front trim cannot be set: both panels of this bag are equally high."
    )


@pytest.mark.parametrize("longer", [0.0, 4.0, -4.0])
@pytest.mark.parametrize("kind", KINDS)
def test_an_open_strip_is_marked_alike_at_both_edges_and_as_its_panels_are(
    kind: type[StripBody], longer: float
) -> None:
    """It is pinned by the middle of the bottom: a twisted bag comes of marks that are not."""
    bag = open_bag(kind)
    bag = replace(bag, strip_length=bag.strip_length + longer)
    made = drafted(bag)
    notches = seam_marks(made).notches
    across: dict[tuple[object, bool], list[float]] = {}
    for each in notches:
        left, bottom, right, top = made.piece(each.piece).bounds
        if each.seam.role is SeamRole.RING and each.piece.face is None:
            at = each.at[1] - (bottom + top) / 2
            across.setdefault((None, each.at[0] < (left + right) / 2), []).append(at)
    one, other = (sorted(each) for each in across.values())
    assert one == pytest.approx(other)
    assert one == pytest.approx([-each for each in reversed(one)])
    half = (bag.face_cut_width - 2 * bag.gusset_seam) / 2 - bag.stitched_radius
    inner = [each for each in one if each > 1.0]
    assert inner[0] == pytest.approx(half), "where the bottom of the panel ends"
