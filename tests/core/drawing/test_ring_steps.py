"""Steps at a ring of strips or walls show what they say: what is there by then, and where.

Source of all: what each step's own words name, as the maker has it on the table.
"""

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

import pytest

from core.bag.compute import compute
from core.drawing.joined_pieces import away
from core.drawing.records import DrawingRecord, Line, Polygon, Text
from core.drawing.sketch import Picture, record_bounds
from core.drawing.solid_scene import SolidScene
from core.drawing.step_pictures import StepPictures
from core.flat.ink import Ink
from core.flat.match_marks import seam_marks
from core.flat.roles import SeamRole
from core.sewing.steps import steps
from core.solid.fold import FoldModel
from core.storage.bag_files import sample
from core.work.operation import Operation, along
from core.work.scene import FoldedView

STRIP_BAGS = ("coolbox", "wrap")
PANELS = {"coolbox": ("front", "back"), "wrap": ("left", "right")}


def all_steps(name: str) -> dict[str, tuple[Operation, Picture]]:
    result = compute(sample(name))
    found = steps(result)
    pictures = StepPictures(result, found)
    return {each.operation.key: (each.operation, pictures.picture(each.number)) for each in found}


def new_lines(picture: Picture) -> list[Line]:
    return [each for each in picture.records if isinstance(each, Line) and each.ink is Ink.NEW]


def areas(picture: Picture, *inks: Ink) -> list[Polygon]:
    return [each for each in picture.records if isinstance(each, Polygon) and each.ink in inks]


def texts(records: Iterable[DrawingRecord]) -> set[str]:
    return {each.text for each in records if isinstance(each, Text)}


def pieces_away(name: str, key: str) -> set[str]:
    result = compute(sample(name))
    order = [each.operation for each in steps(result)]
    at = next(place for place, each in enumerate(order) if each.key == key)
    gone = away([piece.id for piece in result.draft.walls], order[:at], order[at])
    return {str(piece.label) for piece in result.draft.walls if piece.id in gone}


@pytest.mark.parametrize("name", STRIP_BAGS)
def test_the_second_panel_is_away_until_it_is_sewn_in(name: str) -> None:
    """The zip is opened in between: the first panel hangs there."""
    (first, last), whole = PANELS[name], {"coolbox": "{}", "wrap": "{} end panel"}[name]
    assert pieces_away(name, f"join gusset seam {first}") == {whole.format(last)}
    assert pieces_away(name, "open zip") == {whole.format(last)}
    assert pieces_away(name, f"join gusset seam {last}") == set()


def test_a_base_is_away_until_it_is_sewn_in() -> None:
    for key in ("join zip back", "open zip", "join side seam left", "tack side seams"):
        assert pieces_away("jar", key) == {"base"}, key
    assert pieces_away("jar", "join base seam") == set()


@pytest.mark.parametrize(
    ("name", "key"), [("coolbox", "join gusset seam back"), ("jar", "join base seam")]
)
def test_the_length_of_a_seam_that_goes_round_is_pointed_out_on_the_seam(
    name: str, key: str
) -> None:
    """Its line would be a diagonal across the bag."""
    _, picture = all_steps(name)[key]
    seam = [pair for each in new_lines(picture) for pair in pairwise(each.points)]
    thin = [e for e in picture.records if isinstance(e, Line) and e.ink is Ink.DIMENSION]
    leaders = [each.points for each in thin if math.dist(*each.points) > 1.5]
    assert len(leaders) == 2
    for tip, _ in leaders:
        detour = min(math.dist(a, tip) + math.dist(tip, b) - math.dist(a, b) for a, b in seam)
        assert detour < 0.01
    assert math.dist(leaders[0][0], leaders[1][0]) > 10.0


@pytest.mark.parametrize("name", STRIP_BAGS)
def test_a_ring_that_is_joined_stands_round_with_its_inside_seen_and_no_panel(name: str) -> None:
    found = all_steps(name)
    joins = [key for key in found if key.startswith("join top strip")]
    assert len(joins) == 2
    for key in (*joins, "tack zip ends"):
        _, picture = found[key]
        assert len(pieces_away(name, key)) == len(PANELS[name]), key
        # Wrong side out: of what lies flat, only that would be seen.
        assert areas(picture, Ink.INSIDE), key
        assert areas(picture, Ink.GOODS, Ink.SHADE), key
        assert new_lines(picture), key


def test_what_is_away_is_not_drawn() -> None:
    result = compute(sample("coolbox"))
    model = FoldModel(result.bag, result.draft)
    whole = FoldedView(wrong_side=True, share=0.9)
    back = next(each.id for each in result.draft.walls if each.label == "back")
    less = SolidScene(model, whole, away=frozenset({back}))
    assert len(less.points) < len(SolidScene(model, whole).points)


def test_corners_are_staystitched_and_clipped_on_the_half_strips_too() -> None:
    """The cool box's upper corners lie on its top strip: two edges, each with four corners."""
    found = all_steps("coolbox")
    for key, on_strip, on_half in (("staystitch strip", 2, 1), ("cut clips", 10, 5)):
        operation, picture = found[key]
        assert "top strip" in texts(picture.records), key
        lines = new_lines(picture)
        upright = [each for each in lines if is_upright(each)]
        level = [each for each in lines if not is_upright(each)]
        strip, half = (upright, level) if key == "staystitch strip" else (level, upright)
        assert (len(strip), len(half)) == (on_strip, on_half), key
        on_halves = [each for each in operation.paths if each.piece.owner == "top"]
        assert len(on_halves) == len(operation.paths) / 2, key
    stay = found["staystitch strip"][0]
    assert along(stay.paths) == pytest.approx(math.fsum(each.length for each in stay.stitching))


def is_upright(line: Line) -> bool:
    return abs(line.points[0][0] - line.points[-1][0]) < 1e-6


def test_what_is_staystitched_across_a_join_is_drawn_on_both_pieces() -> None:
    """Four pieces: each line lies on the piece that holds it, and none runs beyond its piece."""
    bag = sample("coolbox")
    result = compute(replace(bag, body=replace(bag.body, strip_pieces=4)))
    (stay,) = (e.operation for e in steps(result) if e.operation.key == "staystitch strip")
    assert along(stay.paths) == pytest.approx(math.fsum(each.length for each in stay.stitching))
    for path in stay.paths:
        left, low, right, top = result.draft.piece(path.piece).bounds
        for x, y in path.points:
            assert left < x < right
            assert low <= y <= top


def test_a_strip_has_its_match_marks_when_they_are_made() -> None:
    """Not while handles are drawn on it: on both ends the middles, and where the joins lie."""
    found = all_steps("wrap")
    marks = {
        key: [
            each
            for each in new_lines(found[key][1])
            if math.dist(each.points[0], each.points[-1]) < 2.0
        ]
        for key in ("mark panel", "mark strip")
    }
    assert len(marks["mark panel"]) == 2 * 4
    assert len(marks["mark strip"]) == 2 * 2, "its middle and a corner, at both edges of one half"


def test_both_ends_of_a_wrap_are_there_while_they_are_marked() -> None:
    _, picture = all_steps("wrap")["mark panel"]
    assert {"left end panel", "right end panel", "wrap"} <= texts(picture.records)
    _, picture = all_steps("coolbox")["mark panel"]
    assert {"front", "back"} <= texts(picture.records)


def test_a_zip_that_comes_forward_is_drawn_below_the_fold() -> None:
    """In the picture's own scale, on walls as wide as they are cut."""
    jar = sample("jar")
    operation, picture = all_steps("jar")["fold walls"]
    (offset,) = (each.length for each in operation.measures if each.name == "zip_offset")
    (walls,), (zip_,) = areas(picture, Ink.INSIDE), areas(picture, Ink.PART)
    left, _, right, fold = record_bounds([walls])
    _, low, _, high = record_bounds([zip_])
    scale = (right - left) / jar.body.body_width  # type: ignore[attr-defined]
    assert fold - (low + high) / 2 == pytest.approx(offset * scale)


def test_the_lower_edge_is_drawn_with_its_stitching_and_its_clips() -> None:
    result = compute(sample("jar"))
    (stay,) = (e.operation for e in steps(result) if e.operation.key == "staystitch lower edge")
    (base,) = result.draft.walked_seams(SeamRole.BASE)
    clips = [each for each in seam_marks(result.draft).clips if each.seam == base.seam.id]
    ends = {path.points[0] for path in stay.paths}
    assert clips
    assert {each.at for each in clips} <= ends
    assert len(stay.paths) == len(clips) + 2  # and once along either wall
    _, picture = all_steps("jar")["staystitch lower edge"]
    # Of front or back one corner of either side lies in each half.
    assert len(new_lines(picture)) == 1 + len(clips) / 4


def test_the_corner_radius_is_pointed_out_at_a_corner() -> None:
    """Right of the front's middle and below it: at the lower corner that is seen there."""
    operation, picture = all_steps("coolbox")["measure bag"]
    (radius,) = (each for each in operation.drawn if each.name == "corner_radius")
    assert radius.where is not None
    result = compute(sample("coolbox"))
    (x, y), front = radius.where.points[0], result.draft.piece(radius.where.piece)
    assert front.label == "front"
    body = result.bag.body
    seam, r = body.gusset_seam, body.corner_rounding - body.gusset_seam  # type: ignore[attr-defined]
    centre = front.bounds[2] - seam - r, r
    assert math.dist(centre, (x, y)) == pytest.approx(r)
    assert "40 mm" in texts(picture.records)


def test_a_tab_is_laid_over_the_zip_between_its_half_strips() -> None:
    _, picture = all_steps("coolbox")["baste zip tabs"]
    assert len(areas(picture, Ink.GOODS)) == 2
    assert any(each.ink is Ink.STITCH for each in picture.records)
