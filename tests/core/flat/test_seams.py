"""Seams: what is sewn to what, and walking them."""

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given

from core.bag.bag import Bag
from core.bag.choices import without_part
from core.bag.compute import compute
from core.flat.roles import FACES, EdgeId, EdgeRef, EdgeRole, Face, SeamId, SeamRole, Side
from core.flat.seam import Seam, mates
from core.parts.pocket.pocket import PocketFaces
from core.sewing.steps import bench_of
from core.tops.hem.hem import Hem
from core.tops.hem.operations import hem_operations
from tests.helpers import bare, changed, demo, demo_panel, inch
from tests.ids import PIECES, edge_ref
from tests.strategies import bags, pillows, sewable_bags

NEAR = 1e-6


def seam_named(bag: Bag, name: str) -> Seam:
    return next(seam for seam in compute(bag).draft.seams if seam.label == name)


@given(bags())
def test_every_seam_names_edges_that_exist(bag: Bag) -> None:
    draft = compute(bag).draft
    for seam in draft.seams:
        assert seam.one
        for ref in seam.edges:
            assert draft.piece(ref.piece).edge(ref.edge).id == ref.edge


def test_which_edges_are_joined_is_worked_out_once_for_bags_of_every_size() -> None:
    """But for what parts put into a seam: it is gathered for each bag."""
    one, other = (compute(bag).draft.seams for bag in (demo(), changed(demo(), panel_width=400.0)))
    assert one == other
    kept = [seam.label for seam, same in zip(one, other, strict=True) if seam is same]
    assert kept == [seam.label for seam in one if not seam.caught]
    assert len(kept) == 5


@given(bags())
def test_no_edge_is_sewn_twice_and_seam_ids_are_unique(bag: Bag) -> None:
    draft = compute(bag).draft
    taken = Counter(ref for seam in draft.seams for ref in seam.edges)
    assert not [ref for ref, times in taken.items() if times > 1]
    for ids in ([seam.id for seam in draft.seams], [seam.label for seam in draft.seams]):
        assert len(set(ids)) == len(ids)
    assert [draft.seam(seam.id) for seam in draft.seams] == list(draft.seams)


@given(bags())
def test_every_edge_of_the_panel_is_sewn_hemmed_or_gone(bag: Bag) -> None:
    draft = compute(bag).draft
    taken = {ref for seam in draft.seams for ref in seam.edges}
    for piece in draft.pieces:
        if piece.id.owner in ("body", "top", "pocket"):
            assert {EdgeRef(piece.id, edge.id) for edge in piece.edges} <= taken


@given(bags())
def test_zip_bottom_and_pocket_seams_always_walk(bag: Bag) -> None:
    always = {SeamRole.MOUTH, SeamRole.BOTTOM, SeamRole.PART, SeamRole.HEM}
    walked = [each for each in compute(bag).draft.walked if each.seam.id.role in always]
    assert len(walked) >= 2  # front and back of the top
    assert [each.difference for each in walked] == pytest.approx([0.0] * len(walked), abs=NEAR)


@given(sewable_bags())
def test_every_seam_of_a_matched_bag_walks_but_for_an_untrimmed_top(bag: Bag) -> None:
    for walked in compute(bag).draft.walked:
        if walked.seam.id.role is SeamRole.SIDE and isinstance(bag.top, Hem):
            assert walked.difference == pytest.approx(-bag.body.front_trim, abs=NEAR)
        else:
            assert walked.difference == pytest.approx(0, abs=NEAR)
        assert walked.length > 0


@given(bags())
def test_the_corner_mismatch_is_what_the_corner_seams_walk_to(bag: Bag) -> None:
    result = compute(bag)
    corners = result.draft.walked_seams(SeamRole.CORNER)
    assert len(corners) == (2 if bag.body.has_corners else 0)
    mismatch = result.finished["corner_mismatch"]
    assert (mismatch is None) is bag.body.sewn_across
    for walked in corners:
        assert walked.difference == pytest.approx(mismatch or 0.0, abs=NEAR)


@given(bags())
def test_both_edges_of_a_seam_carry_one_allowance(bag: Bag) -> None:
    draft = compute(bag).draft
    for seam in draft.seams:
        if seam.id.role is SeamRole.HEM:
            continue
        allowances = {draft.piece(ref.piece).edge(ref.edge).allowance for ref in seam.edges}
        assert len(allowances) == 1, seam.label


@given(bags())
def test_a_pocket_is_as_wide_as_the_opening(bag: Bag) -> None:
    draft = compute(bag).draft
    opening = bag.body.width - 2 * bag.body.side_seam
    pocket = bag.parts.get("pocket")
    faces = 0 if pocket is None else 2 if pocket.faces is PocketFaces.BOTH else 1
    lengths = [each.length for each in draft.walked_seams(SeamRole.PART)]
    assert lengths == pytest.approx([opening] * faces, abs=NEAR)


@given(bags())
def test_mates_are_mutual(bag: Bag) -> None:
    seams = compute(bag).draft.seams
    caught = {ref for seam in seams for ref in seam.caught}
    for ref in {ref for seam in seams for ref in seam.edges}:
        assert ref not in mates(seams, ref)
        for mate in mates(seams, ref):
            if ref not in caught:
                assert ref in mates(seams, mate)


def test_the_demo_is_joined_by_these_seams() -> None:
    kinds = Counter(seam.id.role for seam in compute(demo()).draft.seams)
    assert kinds == {
        SeamRole.MOUTH: 2,
        SeamRole.SIDE: 2,
        SeamRole.CORNER: 2,
        SeamRole.PART: 1,
    }


def test_a_seamed_bottom_has_a_seam_where_the_fold_was() -> None:
    seamed = bare(demo_panel(bottom_seam=inch(0.25)))
    draft = compute(seamed).draft
    assert [piece.label for piece in draft.pieces] == ["front", "back"]
    (bottom,) = draft.walked_seams(SeamRole.BOTTOM)
    assert bottom.length == pytest.approx(inch(11), abs=NEAR)
    assert not any(piece.folds for piece in draft.pieces)


def test_a_zip_closes_the_side_seam_into_one_chain() -> None:
    side = seam_named(demo(), "side seam left")
    assert side.to_itself
    assert side.one == (
        edge_ref("panel", "side front left"),
        edge_ref("zip", "zip end left"),
        edge_ref("panel", "side back left"),
    )
    assert not side.other
    opened = seam_named(without_part(demo(), "zip"), "side seam left")
    assert opened.one == (edge_ref("panel", "side front left"),)
    assert opened.other == (edge_ref("panel", "side back left"),)


def test_pocket_sides_are_caught_in_the_side_seams_and_do_not_change_them() -> None:
    bag = demo()
    side = seam_named(bag, "side seam right")
    assert side.caught == (edge_ref("front pocket", "pocket side right"),)
    without = compute(without_part(bag, "pocket"))
    assert without.finished["face_height"] == compute(bag).finished["face_height"]


def test_both_pockets_are_caught() -> None:
    bag = demo()
    assert bag.parts.get("pocket") is not None
    both = demo(
        pocket=type(bag.parts["pocket"])(
            faces=PocketFaces.BOTH,
            cut_height=bag.parts["pocket"].cut_height,
            drop=bag.parts["pocket"].drop,
        )
    )
    caught = seam_named(both, "side seam left").caught
    assert {ref.piece for ref in caught} == {PIECES["front pocket"], PIECES["back pocket"]}


def test_a_chain_is_walked_to_its_mate_to_itself_or_alone() -> None:
    """Lengths of the demo bag's cut edges less the allowances at their ends, own arithmetic.

    A side seam of a zipped bag is folded at the top fold, so half of its chain is sewn to the
    other half; a hem is sewn to nothing and is as long as it is.
    """
    zipped = compute(demo()).draft
    side = next(
        each for each in zipped.walked_seams(SeamRole.SIDE) if each.seam.id.side is Side.LEFT
    )
    names = ("side front left", "side back left")
    cut = [zipped.edge(edge_ref("panel", name)) for name in names]
    strip = zipped.edge(edge_ref("zip", "zip end left"))
    ends = 2 * (demo().body.top_seam + demo().body.corner_seam)
    zip_ends = 2 * zipped.edge(edge_ref("zip", "zip front")).allowance
    whole = sum(edge.length for edge in cut) - ends + strip.length - zip_ends
    assert side.length == pytest.approx(whole / 2, abs=NEAR)
    assert side.mate_length == side.length
    open_top = without_part(demo(), "zip")
    for hem in compute(open_top).draft.walked_seams(SeamRole.HEM):
        assert hem.length == pytest.approx(open_top.body.width - 2 * open_top.body.side_seam)


def test_what_is_caught_is_sewn_to_both_sides() -> None:
    piece = PIECES["panel"]
    one, other, caught, elsewhere = (
        EdgeRef(piece, EdgeId(EdgeRole.RIM, number=i)) for i in range(4)
    )
    seam = Seam(
        id=SeamId("body", SeamRole.SIDE), label="s", one=(one,), other=(other,), caught=(caught,)
    )
    assert seam.edges == (one, other, caught)
    assert mates([seam], caught) == (one, other)
    assert mates([seam], one) == (other,)
    assert mates([seam], other) == (one,)
    assert mates([seam], elsewhere) == ()


def test_mates_of_single_edges() -> None:
    seams = compute(demo()).draft.seams
    assert mates(seams, edge_ref("panel", "top front")) == (edge_ref("zip", "zip front"),)
    # Folded at its middle, the chain of a side seam is sewn to itself.
    front, end, back = (
        edge_ref("panel", "side front left"),
        edge_ref("zip", "zip end left"),
        edge_ref("panel", "side back left"),
    )
    assert mates(seams, front) == (end, back)
    assert mates(seams, end) == (front, back)
    corner = edge_ref("panel", "corner end left")
    assert set(mates(seams, corner)) == {
        edge_ref("panel", "corner front left"),
        edge_ref("panel", "corner back left"),
    }
    assert mates(seams, edge_ref("base board", "board left")) == ()
    hems = compute(without_part(demo(), "zip")).draft.seams
    assert mates(hems, edge_ref("panel", "top front")) == ()


@given(bags(panel=pillows()))
def test_a_pillow_has_no_corner_to_close(bag: Bag) -> None:
    assert not compute(bag).draft.walked_seams(SeamRole.CORNER)


def test_one_inch_deeper_opens_each_corner_by_two() -> None:
    deeper = changed(demo(), corner_cut_depth=inch(4))
    corners = compute(deeper).draft.walked_seams(SeamRole.CORNER)
    assert [each.difference for each in corners] == pytest.approx([inch(-2)] * 2, abs=NEAR)


def test_a_mouth_without_sides_has_no_side_seams_and_each_of_its_edges_is_hemmed() -> None:
    """As where a gusset lies between front and back: four edges, that of the gusset's ends two."""
    mouth = demo().site.mouth
    runs = tuple(mouth.runs[0]._replace(face=face) for face in (*FACES, Face.LEFT, Face.RIGHT))
    ringed = mouth._replace(runs=runs, sides={})
    assert {seam.id.role for seam in Hem().seams(mouth)} == {SeamRole.HEM, SeamRole.SIDE}
    hems = Hem().seams(ringed)
    assert [seam.id.role for seam in hems] == [SeamRole.HEM] * 4
    assert len({seam.label for seam in hems}) == 4
    bag = demo()
    bench = bench_of(bag, compute(bag).draft)
    assert len(hem_operations(bench)) == 2
    alone = replace(bench, site=replace(bag.site, mouth=ringed))
    (hem,) = hem_operations(alone)
    assert "tack" not in hem.key


def test_handles_are_sewn_to_front_and_back_however_far_the_mouth_runs() -> None:
    bag = demo()
    mouth, handles = bag.site.mouth, bag.parts["handles"]
    around = mouth._replace(runs=(*mouth.runs, mouth.runs[0]._replace(face=Face.LEFT)))
    assert {each.face for each in handles.sewn_on(bag.site.seats, around)} == set(FACES)
