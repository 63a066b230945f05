"""Gusset strip and wrap on the sewing table: every order, the open zip, and what a slip breaks.

Sources: the corner of K16 (pfeist.net, bags_5: "clip the wrap exactly at 1/2 in from both raw edges
of the corner, then turn"); the order of a box with a zip in its strip (sewgirls.com,
order-of-sewing-box-cushion: the zip is opened before the second panel is sewn in); lengths of E2
and its stations, K21 of the project's list, which offsets and intersections gave. What must come
before what is common practice of the trade, no source.
"""

import math
import random
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from itertools import pairwise

import networkx as nx
import pytest

from core.bag.bag import Bag
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.base.errors import FieldError
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.flat.match_marks import seam_marks
from core.flat.roles import EdgeRole, Face, SeamId, SeamRole
from core.flat.seam import Draft, draft
from core.parts.handles.figures import HandleStyle
from core.sewing.order import precedence, sewing_order
from core.sewing.steps import operations
from core.solid.fill_problem import build_mesh, problem_of
from core.space.patches import Quarter
from core.storage.bag_files import SAMPLES, sample
from core.tops.facing.facing import Facing
from core.tops.hem.hem import Hem
from core.tops.table import TOPS
from core.work.operation import Action, Operation, StitchPath
from core.work.states import OUTLINE_CUT
from tests.core.bodies.strip_bags import KINDS, any_bags, e2, matched, open_bag
from tests.core.sewing.order_proof import Breach, faults_in, wrongly_used
from tests.core.sewing.strip_bags import (
    BOARD,
    HANDLES,
    LINING_LAST,
    POCKET,
    TOP_STRIP,
    WALL,
    every_bag,
    strip_bag,
)
from tests.core.solid.sheets import whole_problem
from tests.helpers import inch, layer, sandwich

BAGS = every_bag()


@cache
def closed(kind: type[StripBody] = GussetStrip, pieces: int = 2) -> Bag:
    """E2 with its zip in a top strip, of three layers, with all its parts."""
    body = matched(e2(kind, strip_pieces=pieces))
    return strip_bag(body, TOP_STRIP, POCKET, HANDLES, BOARD, sandwich=WALL)


@cache
def square(kind: type[StripBody] = GussetStrip, pieces: int = 1) -> Bag:
    """300 x 120 x 250 open at the top, its corners square, of one layer."""
    body = matched(open_bag(kind, corner_rounding=0.0, strip_pieces=pieces))
    return strip_bag(body, Hem(), sandwich=sandwich(layer()))


def told(bag: Bag) -> dict[str, Operation]:
    """What is done for a bag, by key."""
    return {each.key: each for each in operations(bag, compute(bag).draft)}


def says(operation: Operation) -> str:
    """All its words, lengths in mm."""
    return " ".join(sentence.text() for sentence in operation.sentences)


# --- every order ---


def test_every_piece_seam_and_mark_is_used_once_and_the_order_holds() -> None:
    assert {(bag.body.KIND, type(bag.top).KIND) for bag in BAGS} >= {
        (kind.KIND, top) for kind in KINDS for top in ("hem", "top-strip")
    }
    for bag in BAGS:
        drawn = compute(bag).draft
        every = operations(bag, drawn)
        assert wrongly_used(drawn, every) == (), bag.body
        assert faults_in(every, sewing_order(every)) == (), bag.body


def test_any_other_order_that_is_free_holds_too() -> None:
    chance = random.Random(3)
    for bag in BAGS[::3]:
        every = operations(bag, compute(bag).draft)
        graph = nx.DiGraph()
        graph.add_nodes_from(each.key for each in every)
        for key, before in precedence(every).items():
            graph.add_edges_from((one, key) for one in before)
        rank = {each.key: chance.random() for each in every}
        other = nx.lexicographical_topological_sort(graph, key=rank.__getitem__)
        assert faults_in(every, list(other)) == (), bag.body


@pytest.mark.parametrize("kind", KINDS)
def test_the_second_panel_is_sewn_in_through_the_open_zip(kind: type[StripBody]) -> None:
    bag = closed(kind)
    every = operations(bag, compute(bag).draft)
    order = [each.key for each in sewing_order(every)]
    first, last = (f"join gusset seam {face.value}" for face in kind.MAKES.panels)
    joins = [key for key in order if key.startswith("join top strip")]
    assert len(joins) == 2
    in_turn = [*joins, first, "open zip", last, "turn bag"]
    assert [key for key in order if key in in_turn] == in_turn
    shut = [key for key in order if key != "open zip"]
    shut.insert(shut.index(last) + 1, "open zip")
    assert [(each.breach, each.step, each.other) for each in faults_in(every, shut)] == [
        (Breach.MISSING, last, "open zip")
    ]


def test_the_strip_turns_its_corners_clipped() -> None:
    """K16: clipped first, then turned."""
    every = operations(square(), compute(square()).draft)
    order = [each.key for each in sewing_order(every)]
    in_turn = ["mark strip", "staystitch strip", "cut clips", "join gusset seam front"]
    assert [key for key in order if key in in_turn] == in_turn
    late = [key for key in order if key != "cut clips"]
    late.insert(late.index("join gusset seam front") + 1, "cut clips")
    assert {(each.breach, each.step) for each in faults_in(every, late)} == {
        (Breach.MISSING, "join gusset seam front"),
        (Breach.BLOCKED, "cut clips"),
    }


def test_any_bag_of_strips_is_sewn() -> None:
    """Strips too long or too short for their panels, and corners of every kind, among them."""
    sewn = 0
    for body in any_bags(60):
        top = replace(TOP_STRIP, tape_width=45.0) if body.closed else Hem()
        try:
            top.check_fit(body.mouth())
        except FieldError:
            continue  # no room for such a zip
        bag = strip_bag(body, top, POCKET, BOARD, sandwich=WALL)
        drawn = compute(bag).draft
        every = operations(bag, drawn)
        assert wrongly_used(drawn, every) == (), body
        assert faults_in(every, sewing_order(every)) == (), body
        sewn += 1
    assert sewn > 40


@pytest.mark.parametrize("name", SAMPLES)
def test_keys_tell_the_kind_first_whatever_body_and_top(name: str) -> None:
    for top in TOPS:
        try:
            bag = with_choice(sample(name), "top", top.KIND)
        except FieldError:
            continue  # its mouth does not take such a top
        keys = [(each.key, each.action.value) for each in operations(bag, compute(bag).draft)]
        assert not [key for key, action in keys if not key.startswith(action)], top.KIND
        assert len(dict(keys)) == len(keys)


def keys_in_order(bag: Bag) -> list[str]:
    return [each.key for each in sewing_order(operations(bag, compute(bag).draft))]


def assert_in_turn(bag: Bag, *wanted: str) -> None:
    """These steps come in that order in every order that is free: each waits for the one before."""
    graph = nx.DiGraph()
    for key, before in precedence(operations(bag, compute(bag).draft)).items():
        graph.add_edges_from((one, key) for one in before)
    for one, other in pairwise(wanted):
        assert nx.has_path(graph, one, other), (one, other)


def test_what_runs_across_a_join_waits_for_it() -> None:
    """A loop over the bottom join, a corner that may lie on the join to the top strip."""
    body = matched(open_bag(Wrap, strip_pieces=2, corner_rounding=0.0))
    loop = replace(HANDLES, style=HandleStyle.LOOP, strips=3)
    bag = strip_bag(body, Hem(), loop, sandwich=LINING_LAST)
    assert_in_turn(bag, "join strip", "lay on handles", "baste lining", "hem top")
    assert "overcast strip joins" not in keys_in_order(bag)  # the lining hides them
    two = strip_bag(body, Hem(), HANDLES, sandwich=LINING_LAST)
    assert_in_turn(two, "join strip", "baste lining")
    assert_in_turn(closed(), "join strip", "lay on front pocket", "join top strip left")
    assert_in_turn(closed(), "join top strip right", "staystitch strip", "cut clips")


def test_pieces_are_cut_to_their_outline_at_once() -> None:
    """Else steps draw the rectangle that is cut first."""
    for bag in (closed(), square()):
        cuts = [each for key, each in told(bag).items() if key.startswith("cut ")]
        own = [each for each in cuts if each.pieces[0] in {p.id for p in compute(bag).draft.walls
                                                           if p.id.owner == "body"}]  # fmt: skip
        assert [OUTLINE_CUT in each.makes for each in own if each.key != "cut clips"] == [True] * 2


# --- a seam that is left out ---


RINGS = [(kind, make, face) for kind in KINDS for make in (closed, square)
         for face in kind.MAKES.panels]  # fmt: skip


@pytest.mark.parametrize(("kind", "make", "face"), RINGS)
def test_a_slit_seam_breaks_proof_and_steps(
    kind: type[StripBody], make: Callable[[type[StripBody]], Bag], face: Face
) -> None:
    bag = make(kind)
    drawn = compute(bag).draft
    seam = drawn.seam(SeamId("body", SeamRole.RING, face))
    every = operations(bag, drawn)
    key = f"join gusset seam {face.value}"
    left_out = tuple(each for each in every if each.key != key)
    assert wrongly_used(drawn, left_out) == (f"seam {seam.label}: used 0 times",)
    order = [each.key for each in sewing_order(every) if each.key != key]
    found = {(each.breach, each.step) for each in faults_in(every, order)}
    assert (Breach.LEFT_OUT, key) in found
    assert (Breach.MISSING, "turn bag") in found
    with pytest.raises(ValueError, match="not enough values"):
        operations(bag, slit(drawn, seam.id))


def slit(drawn: Draft, seam: SeamId) -> Draft:
    """The same pieces without that seam."""
    return draft(drawn.pieces, tuple(each for each in drawn.seams if each.id != seam))


def is_closed(quarter: Quarter) -> bool:
    """Whether the sewn whole has no edge without a mate, and no handle."""
    whole = whole_problem(problem_of(build_mesh(quarter)))
    walked: dict[tuple[int, int], int] = {}
    for triangle in whole.triangles.tolist():
        for pair in zip(triangle, triangle[1:] + triangle[:1], strict=True):
            walked[pair] = walked.get(pair, 0) + 1
    mated = all(walked.get((b, a)) == count == 1 for (a, b), count in walked.items())
    return mated and whole.count - len(walked) // 2 + len(whole.triangles) == 2


@pytest.mark.parametrize("kind", KINDS)
def test_a_slit_seam_breaks_the_mesh(kind: type[StripBody]) -> None:
    bag = closed(kind)
    drawn = compute(bag).draft
    quarter = bag.body.quarter(drawn, bag.top.closing(drawn), board=False)
    assert is_closed(quarter)
    for left_out in quarter.joins:
        joins = tuple(each for each in quarter.joins if each is not left_out)
        assert not is_closed(replace(quarter, joins=joins)), left_out


# --- lengths ---


@pytest.mark.parametrize("kind", KINDS)
def test_k21_the_strip_is_marked_where_corners_begin_and_end(kind: type[StripBody]) -> None:
    """From the bottom middle 3 3/4 and 6.8916 in; the upper ones lie as far from the top's."""
    every = told(closed(kind))
    lower = every["mark strip"].instructions[1].lengths
    assert lower == pytest.approx(
        {"corner_start": inch(3.75), "corner_end": inch(6.8916)}, abs=2e-3
    )
    upper = every["mark top strip"].instructions[1].lengths
    assert upper == pytest.approx(
        {"top_start": inch(19.7832 - 16.0332), "top_end": inch(19.7832 - 12.8916)}, abs=2e-3
    )
    first, last = (every[f"join gusset seam {face.value}"] for face in kind.MAKES.panels)
    for each in (first, last):
        names = dict(pair for sentence in each.instructions for pair in sentence.all_lengths())
        assert names["seam_length"] == pytest.approx(inch(39.5664), abs=2e-3)
        assert names["gusset_seam"] == pytest.approx(inch(0.25))
    panels = every[next(key for key in every if key.startswith("cut ") and " and " in key)]
    sizes = dict(pair for sentence in panels.instructions for pair in sentence.all_lengths())
    assert sizes == pytest.approx(
        {"face_cut_width": inch(12), "face_cut_height": inch(10.5), "corner_rounding": inch(2.25)}
    )


def test_a_strip_of_a_bag_that_is_finished_so_large_is_marked_where_it_turns() -> None:
    """300 wide: the corner lies 150 from the middle, its stitch 10 from the edge."""
    mark = told(square())["mark strip"]
    lengths = dict(pair for sentence in mark.instructions for pair in sentence.all_lengths())
    assert lengths == pytest.approx({"corner_start": 150.0, "gusset_seam": 10.0})


def test_the_finished_bag_is_measured_by_its_own_sizes() -> None:
    for kind in KINDS:
        lengths = dict(
            pair
            for sentence in told(square(kind))["measure bag"].instructions
            for pair in sentence.all_lengths()
        )
        wide, deep = (300.0, 120.0) if kind is GussetStrip else (120.0, 300.0)
        assert lengths == pytest.approx(
            {"face_width": wide, "gusset_depth": deep, "face_height": 250.0}
        )
    e2_lengths = dict(
        pair
        for sentence in told(closed())["measure bag"].instructions
        for pair in sentence.all_lengths()
    )
    assert e2_lengths == pytest.approx(
        {"face_width": inch(11.5), "face_height": inch(10), "gusset_depth": inch(6.5),
         "corner_radius": inch(2), "opening_width": inch(20)}
    )  # fmt: skip


# --- clips ---


def deep(path: StitchPath) -> float:
    """Of a clip."""
    return math.dist(*path.points)


def test_k16_a_square_corner_is_clipped_once_to_one_stitch_before_it() -> None:
    """Both corners of either edge; a stitch is 2.5 long."""
    clips = told(square())["cut clips"]
    places = sorted((path.points[0], path.points[1]) for path in clips.paths)
    assert len(places) == 4
    for (x, y), (u, v) in places:
        assert abs(y) == pytest.approx(150.0)
        assert v == pytest.approx(y)
        assert min(u, 140.0 - u) == pytest.approx(10.0 - 2.5)
        assert min(x, 140.0 - x) == pytest.approx(0.0)
    assert "at the mark" in says(clips)


@pytest.mark.parametrize("kind", KINDS)
def test_a_round_corner_is_clipped_as_often_as_it_is_printed(kind: type[StripBody]) -> None:
    """Eight corners of two panels; by the rule ceil(pi r / 4 sqrt r) of 50.8 mm it is 6."""
    bag = closed(kind)
    clips = told(bag)["cut clips"]
    printed = seam_marks(compute(bag).draft).clips
    assert len(clips.paths) == len(printed) == 8 * 6
    assert "6 times" in says(clips)
    assert [deep(path) for path in clips.paths] == pytest.approx([inch(0.25) - 2.5] * 48)
    stay = told(bag)["staystitch strip"]
    assert stay.allowance is not None
    assert deep(clips.paths[0]) < stay.allowance < inch(0.25)


# --- machine and thread ---


def test_every_line_of_the_machine_is_counted() -> None:
    """Both panels are sewn twice round: the edge of E2 is 39.5664 in."""
    for kind in KINDS:
        every = told(closed(kind))
        for face in kind.MAKES.panels:
            (line,) = every[f"join gusset seam {face.value}"].stitching
            assert line.length == pytest.approx(2 * inch(39.5664), abs=0.01)
            assert line.stack == pytest.approx(2 * 3 * 0.4)
        overcast, joins = every["overcast seam allowances"].stitching
        assert overcast.length == pytest.approx(2 * inch(39.5664), abs=0.01)
        assert joins.length == pytest.approx(4 * inch(7)), "two joins, two edges each"
        (stay,) = every["staystitch strip"].stitching
        arc = inch(2) * math.pi / 2
        assert stay.length == pytest.approx(8 * (arc + 2 * 25.0))
        (join,) = every["join strip"].stitching
        assert join.length == pytest.approx(inch(7))


def test_it_is_told_where_more_walls_are_crossed() -> None:
    """A join pressed open is one more wall under the foot; a hem of one layer is three a face."""
    walls = 0.4
    # The pocket, two layers of the wall's outermost, is caught along the front alone.
    for bag, place, most in (
        (closed(), 0, 3 * 3 + 2), (closed(), 1, 3 * 3), (square(), 0, 6), (square(pieces=2), 0, 6)
    ):  # fmt: skip
        panel = bag.body.MAKES.panels[place].value
        caution = told(bag)[f"join gusset seam {panel}"].caution
        assert caution is not None
        assert caution.lengths["thick"] == pytest.approx(most * walls)
        assert "hand wheel" in caution.text()


def test_only_what_such_a_bag_has_is_said_to_be_crossed() -> None:
    """A ring that a top strip closes has no top edge; a strip in one piece has no join."""
    join, edge, pocket = "a join", "the treated top edge", "the pocket's sides"
    bags = (
        (closed(), {join, pocket}),
        (square(), {edge}),
        (square(pieces=2), {join, edge}),
        (replace(square(), top=Facing(depth=50.0)), set()),
    )
    for bag, crossed in bags:
        first = bag.body.MAKES.panels[0].value
        caution = told(bag)[f"join gusset seam {first}"].caution
        assert caution is not None
        assert {each for each in (join, edge, pocket) if each in caution.text()} == crossed


# --- words ---

OTHERS = re.compile(
    r"side seam|corner cut|corner seam|bottom fold|bottom seam|base seam|fold the bag|boxed|"
    r"half at the bottom",
    re.IGNORECASE,
)
OF_THE_WRAP = re.compile(
    r"(?<!end )\bpanels?\b|\bgusset strip\b|\bleft side\b|\bright side of the bag\b"
)
OF_THE_STRIP = re.compile(r"\bwraps?\b|\b(left|right) end\b(?! of the)|\bends of the bag\b")


def test_no_word_of_another_construction_is_told() -> None:
    for bag in BAGS:
        own = OF_THE_WRAP if isinstance(bag.body, Wrap) else OF_THE_STRIP
        for each in told(bag).values():
            text = " ".join([says(each), *(line.label for line in each.stitching)])
            assert not OTHERS.search(text), (bag.body, each.key, text)
            assert not own.search(text), (bag.body, each.key, text)


def test_both_sides_are_told_of_their_own_panel_alone() -> None:
    for kind in KINDS:
        first, last = kind.MAKES.panels
        for face, other in ((first, last), (last, first)):
            each = told(closed(kind))[f"join gusset seam {face.value}"]
            assert face.value in each.title.text()
            assert other.value not in each.title.text()
            assert [seam.face for seam in each.seams] == [face]


def test_the_middle_is_a_fold_or_the_middle_join() -> None:
    for pieces in (1, 2, 3, 4):
        first = told(square(pieces=pieces))["mark strip"].instructions[0].text()
        assert ("Fold" in first) is bool(pieces % 2), pieces


def test_without_an_allowance_there_is_nothing_to_clip() -> None:
    body = matched(open_bag(gusset_seam=0.0, corner_rounding=0.0))
    every = told(strip_bag(body, Hem()))
    assert "cut clips" not in every
    assert "join gusset seam front" in every
    assert faults_in(every.values(), sewing_order(every.values())) == ()


def test_pieces_are_basted_one_by_one_and_cut_to_their_outline_at_once() -> None:
    every = told(closed())
    assert "one piece after the other" in says(every["baste layers"])
    assert "body still" not in says(every["baste layers"])
    kinds = {each.action for each in every.values()}
    assert Action.STAYSTITCH in kinds
    assert EdgeRole.CORNER not in {ref.edge.role for each in every.values() for ref in each.edges}
