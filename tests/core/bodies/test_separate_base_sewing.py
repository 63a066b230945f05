"""How the separate base is sewn: an order that holds, every seam and piece used once."""

from dataclasses import replace

import pytest

from core.bag.compute import Around, compute
from core.flat.roles import Face, SeamRole, Side
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.sewing.steps import operations, steps
from core.work.operation import Action
from tests.core.bodies.test_separate_base_space import BAGS
from tests.core.sewing.order_proof import faults_in, wrongly_used
from tests.helpers import layer, sandwich

EVERY = pytest.mark.parametrize("name", BAGS)


def keys(bag) -> list[str]:
    return [step.operation.key for step in steps(compute(bag))]


@EVERY
@pytest.mark.parametrize("layers", [1, 3])
def test_the_order_holds_and_each_seam_is_sewn_once(name, layers):
    roles = ("outer", "batting", "lining")[:layers]
    wall = sandwich(*(layer(role=role, usable_width=5000.0) for role in roles))
    result = compute(replace(BAGS[name], sandwich=wall))
    every = operations(result.bag, result.draft)
    order = [step.operation for step in steps(result)]
    assert faults_in(every, order) == ()
    used = wrongly_used(result.draft, every)
    # The clips lie on walls that are handled again and again.
    assert [each for each in used if not each.startswith("piece ")] == []
    assert all(each.text() for operation in every for each in operation.instructions)


@EVERY
def test_the_base_comes_last_once_the_walls_are_a_ring_and_its_edge_is_clipped(name):
    found = keys(BAGS[name])
    base = found.index("join base seam")
    joins = [place for place, key in enumerate(found) if key.startswith("join side seam")]
    assert max(joins) < base < found.index("turn bag")
    if BAGS[name].body.body_pieces == 4:
        assert "staystitch lower edge" not in found  # the side seams open there
        assert len(joins) == 4
    else:
        assert max(joins) < found.index("staystitch lower edge") < base
        assert len(joins) == BAGS[name].body.body_pieces


def test_a_pocket_on_one_of_four_walls_is_caught_in_its_seams():
    """As wide as the wall, it ends on both seams of the front, and on no other."""
    bag = BAGS["four pieces"]
    bag = bag.with_part(Pocket.fresh(Around(bag)))
    result = compute(bag)
    caught = {
        (each.id.face, each.id.side): each.caught
        for each in result.draft.seams
        if each.id.role is SeamRole.STRIP and each.caught
    }
    assert caught.keys() == {(Face.FRONT, Side.LEFT), (Face.FRONT, Side.RIGHT)}
    for (_, side), (edge,) in caught.items():
        assert edge.edge.side is side
    every = operations(result.bag, result.draft)
    assert wrongly_used(result.draft, every) == ()
    assert faults_in(every, [step.operation for step in steps(result)]) == ()
    told = " ".join(step.text() for step in steps(result))
    assert told.count("The pocket's side is caught in the seam.") == 2


def test_a_zip_is_open_before_the_base_is_sewn_in():
    """K7's page and every other turn a closed bag through its zip."""
    found = keys(BAGS["zipped"])
    assert found.index("open zip") < found.index("join base seam")
    every = operations(BAGS["zipped"], compute(BAGS["zipped"]).draft)
    by_key = {each.key: each for each in every}
    swapped = [key for key in found if key != "open zip"]
    swapped.insert(swapped.index("join base seam") + 1, "open zip")
    assert "join base seam" in {fault.step for fault in faults_in(every, swapped)}
    assert by_key["join base seam"].action is Action.JOIN


def test_thread_is_reckoned_for_the_base_seam_sewn_twice():
    result = compute(BAGS["rounded"])
    (seam,) = result.draft.walked_seams(SeamRole.BASE)
    sewn = next(
        each for each in operations(result.bag, result.draft) if each.key == "join base seam"
    )
    (line,) = sewn.stitching
    assert line.length == pytest.approx(2 * seam.length)


def test_its_texts_tell_its_own_lengths():
    told = " ".join(step.text() for step in steps(compute(BAGS["rounded"])))
    for words in (
        "Round its corners off in an arc of radius 50 mm.",
        "cut one base, 320 mm wide and 180 mm deep",
        "Sew with the walls uppermost, 10 mm from the edge",
        "the bottom is 300 mm wide and 160 mm deep",
    ):
        assert words in told
    assert "panel" not in told


def test_walls_open_where_a_lid_turns_its_corners_and_its_seam_is_neatened():
    """A wall goes round a square corner only where its seam ends at the seams it meets there."""
    result = compute(BAGS["four pieces, lid"])
    found = {each.operation.key: each for each in steps(result)}
    wide, high = 300.0 + 160.0, result.finished["face_height"]
    joins = [each for key, each in found.items() if key.startswith("join side seam")]
    assert len(joins) == 4
    for each in joins:
        assert "from 10 mm below the top edge to 10 mm above the lower edge" in each.text()
        assert "zip" not in each.text()
        assert each.operation.stitching[0].length == pytest.approx(high)
    neatened = found["overcast seam allowances"]
    assert "the top strip's seam" in neatened.text()
    assert 2 * wide in [pytest.approx(each.length) for each in neatened.operation.stitching]
    assert list(found).index("join top strip to top") < list(found).index(neatened.operation.key)
    plain = " ".join(each.text() for each in steps(compute(BAGS["four pieces"])))
    assert "below the top edge to" not in plain and "top strip" not in plain


def test_the_lower_edge_is_staystitched_where_it_is_told():
    """Within the allowance: told on the line of the base seam, it would show once that is sewn."""
    result = compute(BAGS["rounded"])
    (stay,) = (each for each in steps(result) if each.operation.key == "staystitch lower edge")
    (line,) = (each.length for each in stay.operation.measures)
    low = -result.bag.body.base_seam
    sewn = {round(y - low, 9) for path in stay.operation.paths for _, y in path.points} - {0.0}
    # Clips end a stitch of 2.5 mm before the stitch line, and so before the staystitching.
    assert sewn == {line, result.bag.body.base_seam - 2.5}
    assert 0.0 < result.bag.body.base_seam - 2.5 < line < result.bag.body.base_seam
    assert "10 mm" not in stay.text()


def test_legs_on_one_wall_are_drawn_from_the_middles_of_its_faces():
    """Half of each face and an allowance from its end, whichever of the two ends that is."""
    bag = BAGS["one piece"]
    bag = bag.with_part(Handles.fresh(Around(bag)))
    body, site = bag.body, bag.site
    every = [measure for step in steps(compute(bag)) for measure in step.operation.measures]
    (at,) = {each.length for each in every if each.name == "face_middle"}
    assert at == pytest.approx((body.body_width - 2 * body.side_seam) / 4 + body.side_seam)
    front, back = (site.seats[face] for face in (Face.FRONT, Face.BACK))
    assert front.point(front.width / 2, 0.0)[0] == pytest.approx(at)
    assert back.point(back.width / 2, 0.0)[0] == pytest.approx(body.body_width - at)


@pytest.mark.parametrize("name", ["circle", "stadium", "rounded"])
def test_a_circle_has_quarters_and_no_corners(name):
    """It is folded into them, clipped between them, and pinned by them."""
    told = [each.text() for each in steps(compute(BAGS[name]))]
    of_base = [each for each in told if "base" in each or "lower edge" in each]
    quarters = sum("quarters" in each for each in of_base)
    corners = sum("corner" in each for each in of_base if "clip" in each or "Pin the base" in each)
    assert (quarters == 3, corners == 0) == (name == "circle", name == "circle")


def test_a_second_row_holds_the_clips_where_there_are_some():
    told = {name: " ".join(step.text() for step in steps(compute(BAGS[name]))) for name in BAGS}
    assert "and holds the clips" in told["rounded"]
    assert "and holds the clips" not in told["four pieces"]
