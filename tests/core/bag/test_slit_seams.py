"""A seam that is slit is noticed: by its raw edges, the order of sewing, the steps, and the mesh.

Every sample with every top that its mouth takes; each walked seam is taken out in turn. Sources:
rules of the program itself, each judged by a second way of the tests' own. That two edges are one
line on a mesh is judged by its vertices alone, so no shape needs to be found.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import NamedTuple

import numpy as np
import pytest

from core.bag.bag import Bag, draft_walls, with_figures
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.base.errors import FieldError
from core.flat.geometry import Frame2
from core.flat.piece import Point
from core.flat.roles import EdgeRole, PieceId
from core.flat.seam import Draft, Seam
from core.sewing.order import sewing_order
from core.sewing.steps import operations
from core.solid.fill_problem import Mesh, Problem, build_mesh, problem_of
from core.solid.patch_grid import in_cells, onto_patch
from core.space.patches import Copy, NotFillableError, Quarter
from core.storage.bag_files import SAMPLES, sample
from core.tops.table import TOPS
from core.tops.top_strip.strip import TAB, TopStrip
from tests.core.bodies.strip_bags import INCH, e2, matched
from tests.core.bodies.test_separate_base_space import BAGS as BASES
from tests.core.bodies.test_strip_filled import along
from tests.core.sewing.order_proof import Breach, faults_in, wrongly_used
from tests.core.solid.sheets import whole_problem

MAY_BE_RAW = {
    "body": set[EdgeRole](),
    "top": {EdgeRole.LOWER},  # of a facing
}
"""Edges that are in no seam and need none: they are neatened, or folded in."""
FEW = 6
"""Cells along each size: how a mesh is joined does not go by how fine it is."""
SHARES = [0.03, 0.45, 0.62]


def every_bag() -> dict[str, Bag]:
    """Each sample with each top; a lid on four walls, and a strip in four pieces."""
    found = {"lid": BASES["four pieces, lid"]}
    ring = TopStrip(tape_width=1.25 * INCH, length=1000.0)
    found["four strips"] = replace(
        sample("demo").without("pocket", "handles", "board"),
        body=matched(e2(strip_pieces=4)),
        top=ring,
    )
    for name in SAMPLES:
        for kind in TOPS:
            try:
                bag = with_choice(sample(name), "top", kind.KIND)
            except FieldError:
                continue
            if not kind.KIND.startswith("zip") and compute(bag).cut["front_trim"]:
                bag = with_figures(bag, {"front_trim": 0.0})  # what is rolled or hemmed is level
            found[f"{name}, {kind.KIND}"] = bag
    return found


BAGS = every_bag()
EVERY = pytest.mark.parametrize("name", BAGS)


def without(draft: Draft, seam: Seam) -> Draft:
    """The draft with that seam slit."""
    return draft._replace(
        seams=tuple(each for each in draft.seams if each.id != seam.id),
        walked=tuple(each for each in draft.walked if each.seam.id != seam.id),
    )


def left_raw(draft: Draft) -> set[str]:
    """Edges of the body and the top that are in no seam, though they must be in one."""
    sewn = {ref for seam in draft.seams for ref in seam.edges}
    return {
        f"{piece.label} {edge.id}"
        for piece in draft.pieces
        if piece.id.owner in MAY_BE_RAW and piece.id != TAB
        for edge in piece.edges
        if (piece.id, edge.id) not in sewn and edge.id.role not in MAY_BE_RAW[piece.id.owner]
    }


def test_every_sample_has_its_tops() -> None:
    tops = {name: [each for each in BAGS if each.startswith(f"{name}, ")] for name in SAMPLES}
    counts = {name: len(each) for name, each in tops.items()}
    assert counts == {
        "demo": 4, "lunch": 4, "tote": 4, "boxed": 4, "coolbox": 3, "wrap": 3, "jar": 4,
    }  # fmt: skip


@EVERY
def test_a_slit_leaves_raw_edges_and_steps_that_cannot_be(name: str) -> None:
    bag = BAGS[name]
    draft = compute(bag).draft
    every = operations(bag, draft)
    order = [each.key for each in sewing_order(every)]
    assert left_raw(draft) == set()
    assert wrongly_used(draft, every) == ()
    assert faults_in(every, order) == ()
    for seam in draft.seams:
        slit = without(draft, seam)
        told = f"{name}: {seam.label}"
        if {ref.piece.owner for ref in seam.one} <= MAY_BE_RAW.keys():
            assert left_raw(slit), told
        assert wrongly_used(slit, every), told
        # Whoever leaves it out finds a later step that it was needed for.
        left = [each.key for each in every if seam.id not in each.seams]
        assert len(left) < len(order), told
        faults = faults_in(every, [key for key in order if key in left])
        assert {fault.breach for fault in faults} > {Breach.LEFT_OUT}, told
        assert _is_noticed(bag, draft, slit), told


def _is_noticed(bag: Bag, draft: Draft, slit: Draft) -> bool:
    """Whether the steps of a bag that lacks a seam are none, or told apart from what is there."""
    try:
        made = operations(bag, slit)
    except (KeyError, ValueError):
        return True
    return bool(wrongly_used(slit, made) or wrongly_used(draft, made))


# --- on the mesh ---


@cache
def quarter_of(name: str) -> tuple[Draft, Quarter]:
    """Its pieces and a quarter, of which no board holds a patch whatever it is joined to.

    A NotFillableError where it stays open.
    """
    draft = draft_walls(BAGS[name])
    quarter = BAGS[name].body.quarter(draft, BAGS[name].top.closing(draft), board=False)
    return draft, replace(quarter, counts=dict.fromkeys(quarter.counts, FEW))


def closes(problem: Problem) -> bool:
    """Whether the whole is one closed surface: each edge is walked once each way."""
    triangles = whole_problem(problem).triangles
    pairs = np.concatenate([np.roll(triangles, -k, axis=1)[:, :2] for k in range(3)])
    there, back = ({*map(tuple, each.tolist())} for each in (pairs, pairs[:, ::-1]))
    return len(there) == len(pairs) and there == back


def tears(quarter: Quarter) -> Iterator[Quarter]:
    """The quarter with each of its joins cut, and torn off each of its mirror planes."""
    for join in quarter.joins:
        yield replace(quarter, joins=tuple(each for each in quarter.joins if each != join))
    for i, patch in enumerate(quarter.patches):
        for plane in ("mirror_x", "mirror_y"):
            for border in getattr(patch, plane):
                torn = replace(patch, **{plane: getattr(patch, plane) - {border}})
                before, after = quarter.patches[:i], quarter.patches[i + 1 :]
                yield replace(quarter, patches=(*before, torn, *after))


def moved(quarter: Quarter, piece: PieceId) -> Quarter:
    """The quarter with one piece laid elsewhere on it, away from what it is sewn to."""

    def away(copy: Copy) -> Copy:
        (x, y), *ways = copy.frame
        return replace(copy, frame=Frame2((x + 80.0, y + 80.0), *ways))

    copies = tuple(away(each) if each.piece == piece else each for each in quarter.copies)
    return replace(quarter, copies=copies)


class Places(NamedTuple):
    """Where stations of a seam lie on the grids of the patches, before these are joined.

    Attributes:
        signs: on which quarter of the bag each lies.
        nodes: of each the nodes of its cell that are not far from it.
    """

    signs: list[tuple[float, float]]
    nodes: list[list[tuple[int, int, int]]]


def places(quarter: Quarter, stations: list[tuple[PieceId, Point]]) -> Places:
    """Where they lie, by the copies of their pieces."""
    copies = [_copy_of(quarter, *each) for each in stations]
    flat = np.array([copy.frame.at(at) for copy, (_, at) in zip(copies, stations, strict=True)])
    onto = np.array([onto_patch(patch, flat) for patch in quarter.patches])
    nearest = ((onto - flat) ** 2).sum(axis=2).argmin(axis=0).tolist()
    nodes = []
    for k, i in enumerate(nearest):
        patch = quarter.patches[i]
        shape = quarter.counts[patch.up] + 1, quarter.counts[patch.across] + 1
        grid = np.arange(shape[0] * shape[1]).reshape(shape)
        found, shares = (each[:, 0] for each in in_cells(quarter, patch, grid, onto[i, k : k + 1]))
        near = found[shares > 0.25]
        nodes.append([(i, *divmod(node, shape[1])) for node in near.tolist()])
    return Places([each.signs for each in copies], nodes)


def _copy_of(quarter: Quarter, piece: PieceId, point: Point) -> Copy:
    def off(copy: Copy) -> float:
        return max((a * point[0] + b * point[1] - c for a, b, c in copy.limits), default=0.0)

    return min((each for each in quarter.copies if each.piece == piece), key=off)


def sewn_seams(draft: Draft, quarter: Quarter) -> dict[str, tuple[Places, Places]]:
    """Both edges of each seam whose pieces are on the mesh: no hem, no tabs at a zip's ends."""
    found = {}
    on_mesh = {each.piece for each in quarter.copies}
    for seam in draft.seams:
        halves = [[share / 2 for share in SHARES], [1 - share / 2 for share in SHARES]]
        ways = [(seam.one, seam.backwards, each) for each in halves]
        if seam.other:
            ways = [(seam.one, seam.backwards, SHARES), (seam.other, not seam.backwards, SHARES)]
        elif not seam.to_itself:
            continue
        one, other = (
            [*along(draft, chain, back=back, closed=seam.closed, shares=shares)]
            for chain, back, shares in ways
        )
        if {piece for piece, _ in (*one, *other)} <= on_mesh:
            found[str(seam.label)] = places(quarter, one), places(quarter, other)
    return found


def opened(seams: dict[str, tuple[Places, Places]], mesh: Mesh, problem: Problem) -> set[str]:
    """Seams whose two edges are not the same vertices, or those of a plane between quarters."""
    on_plane = problem.held & (problem.start == 0.0)

    def is_open(one: Places, other: Places) -> bool:
        for mine, theirs, nodes, beside in zip(
            one.signs, other.signs, one.nodes, other.nodes, strict=True
        ):
            across = [axis for axis in (0, 1) if mine[axis] != theirs[axis]]
            same = _vertices(mesh, nodes) & _vertices(mesh, beside)
            if not any(all(on_plane[axis, each] for axis in across) for each in same):
                return True
        return False

    return {name for name, sides in seams.items() if is_open(*sides)}


def _vertices(mesh: Mesh, nodes: list[tuple[int, int, int]]) -> set[int]:
    return {int(mesh.nodes[patch][row, column]) for patch, row, column in nodes}


def closing_bags() -> list[str]:
    """Those that are filled."""
    found = []
    for name in BAGS:
        try:
            quarter_of(name)
        except NotFillableError:
            continue
        found.append(name)
    return found


@pytest.mark.parametrize("name", closing_bags())
def test_a_slit_opens_the_mesh(name: str) -> None:
    """A seam within a patch has no join of its own: there a piece that lies elsewhere is told."""
    draft, quarter = quarter_of(name)
    seams = sewn_seams(draft, quarter)
    assert len(seams) >= 3
    found = set()
    for cut in (quarter, *tears(quarter)):
        mesh = build_mesh(cut)
        problem = problem_of(mesh)
        assert closes(problem) is (cut is quarter)
        torn = opened(seams, mesh, problem)
        assert not (torn and cut is quarter), torn
        found |= torn
    whole = build_mesh(quarter)
    for piece in {each.piece for each in quarter.copies}:
        found |= opened(sewn_seams(draft, moved(quarter, piece)), whole, problem_of(whole))
    assert found == seams.keys()
