"""The base board and its room: laid in, fused on, in a thick wall, on the ruler, in a redesign."""

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag, with_figures
from core.bag.choices import COMMAND_CHOICES, with_choice, with_fix, word_of
from core.bag.compute import Around, Result, compute
from core.bag.figures import RULED
from core.base.errors import FieldError
from core.base.tolerance import without_sliver
from core.base.units import MM_PER_INCH, Unit
from core.cutting.cut_list import notions_of
from core.flat.piece import GrainTurn
from core.goods.layers import Layer
from core.model.findings import Finding, Severity
from core.parts.board.board import BaseBoard, BoardWay, board_room, fitting_board, ruled_board
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.redesign.redesign import redesign, unchanged
from core.redesign.request import ConflictError, RedesignRequest
from core.redesign.rounding import on_ruler
from core.storage.bag_files import demo_bag
from tests.core.cutting.test_notions import tape_of
from tests.helpers import bare, demo, demo_panel, found, having, layer, sandwich
from tests.strategies import sewable_bags

FUSED, LAID_IN = BoardWay.FUSED, BoardWay.LAID_IN
WORTH_CUTTING = 1.5 * MM_PER_INCH
"""mm; a room in which a board is no strip."""
FINE = 0.01
"""mm; just inside and just outside a limit."""


def box(
    base: float, depth: float, face: float, *walls: float, last: int = 0, unit: Unit = Unit.MM
) -> Bag:
    """A plain bag of these finished sizes, mm, and layers; the innermost `last` are laid last."""
    seam = 10.0
    corner = depth / 2 - seam
    panel = demo_panel(
        width=base + 2 * (corner + 2 * seam),
        length=2 * face + depth + 2 * seam,
        front_trim=0.0,
        corner_width=corner + seam,
        corner_depth=corner,
        side_seam=seam,
        corner_seam=seam,
        top_seam=seam,
    )
    layers = [
        layer(f"layer {place}", thickness=wall, pressed=0.0, laid_last=place > len(walls) - last)
        for place, wall in enumerate(walls, start=1)
    ]
    return replace(bare(panel), sandwich=sandwich(*layers), unit=unit)


def room_of(bag: Bag, way: BoardWay = LAID_IN) -> tuple[float, float]:
    return board_room(way, bag.site, compute(bag).finished)


def with_board(bag: Bag, width: float, depth: float, way: BoardWay = LAID_IN) -> Bag:
    return having(bag, board=BaseBoard(width=width, depth=depth, way=way))


def board_finding(bag: Bag) -> Finding | None:
    told = [each for each in compute(bag).findings if each.code.startswith("board-")]
    assert len(told) <= 1
    return told[0] if told else None


def board_codes(result: Result) -> set[str]:
    return {each.code for each in result.findings if each.code.startswith("board-")}


# --- The room -----------------------------------------------------------------------------


def test_the_room_of_a_board_that_is_laid_in_is_that_of_a_lining() -> None:
    """Calculation: a wall of 9 mm leaves of a box 300 x 100 mm inside 282 x 82 mm."""
    for walls in ((9.0,), (2.0, 7.0), (1.0, 3.0, 5.0)):
        assert room_of(box(300.0, 100.0, 250.0, *walls)) == pytest.approx((282.0, 82.0))
    assert fitting_board((282.0, 82.0)) == pytest.approx((275.65, 75.65))


@pytest.mark.parametrize(
    ("walls", "last", "outside"),
    [
        ((0.5, 2.0, 4.0, 0.5), 1, 6.5),  # beneath the lining that is laid in last
        ((0.5, 2.0, 4.0, 0.5), 2, 2.5),  # beneath both that are
        ((0.5, 2.0, 4.0, 0.5), 0, 6.5),  # beneath the innermost, where none is laid last
        ((3.0,), 0, 3.0),  # on the one layer that there is
    ],
)
def test_a_fused_board_lies_inside_the_layers_that_it_is_fused_to(
    walls: tuple[float, ...], last: int, outside: float
) -> None:
    bag = box(300.0, 100.0, 250.0, *walls, last=last)
    assert room_of(bag, FUSED) == pytest.approx((300.0 - 2 * outside, 100.0 - 2 * outside))
    wall = sum(walls)
    assert room_of(bag) == pytest.approx((300.0 - 2 * wall, 100.0 - 2 * wall))


def test_the_margin_is_an_eighth_of_an_inch_until_it_would_leave_nothing() -> None:
    assert fitting_board((100.0, 12.7)) == pytest.approx((93.65, 6.35))
    assert fitting_board((100.0, 12.8)) == pytest.approx((93.65, 6.45))
    assert fitting_board((6.0, 1.0)) == pytest.approx((3.0, 0.5))


# --- What is told -------------------------------------------------------------------------

WALLED = box(300.0, 100.0, 250.0, 0.5, 6.0, 0.5, last=1)
"""Room laid in 286 x 86 mm, fused 287 x 87 mm."""


@pytest.mark.parametrize(("way", "room"), [(LAID_IN, (286.0, 86.0)), (FUSED, (287.0, 87.0))])
def test_a_board_is_judged_by_its_room(way: BoardWay, room: tuple[float, float]) -> None:
    width, depth = room[0] - 6.35, room[1] - 6.35
    assert board_finding(with_board(WALLED, width, depth, way)) is None
    for wider, deeper in ((FINE, 0.0), (0.0, FINE)):
        tight = board_finding(with_board(WALLED, width + wider, depth + deeper, way))
        assert tight is not None
        assert (tight.code, tight.severity) == ("board-too-big", Severity.NOTE)
        assert tight.figure == ("board_width" if wider else "board_depth")
    assert board_finding(with_board(WALLED, *room, way)).severity is Severity.NOTE
    for wider, deeper in ((FINE, 0.0), (0.0, FINE)):
        big = board_finding(with_board(WALLED, room[0] + wider, room[1] + deeper, way))
        assert (big.code, big.severity) == ("board-too-big", Severity.STOP)
        assert big.limit == pytest.approx(room[0] if wider else room[1])


@pytest.mark.parametrize("way", list(BoardWay))
def test_a_board_covers_four_fifths_of_the_largest_that_fits(way: BoardWay) -> None:
    """Own choice; of what fits, not of the base."""
    width, depth = fitting_board(room_of(WALLED, way))
    assert board_finding(with_board(WALLED, 0.8 * width + FINE, depth, way)) is None
    small = board_finding(with_board(WALLED, 0.8 * width - FINE, depth, way))
    assert (small.code, small.severity) == ("board-too-small", Severity.WARN)
    assert small.limit == pytest.approx(0.8 * width)


@given(
    st.floats(1.0, 400.0),
    st.floats(21.0, 300.0),
    st.floats(0.0, 40.0).map(without_sliver),
    st.floats(0.0, 3.0).map(without_sliver),
    st.sampled_from(BoardWay),
    st.sampled_from(Unit),
)
def test_the_fix_of_any_board_leaves_nothing_to_say_of_it(
    base: float, depth: float, wall: float, lining: float, way: BoardWay, unit: Unit
) -> None:
    bag = box(base, depth, 300.0, wall, lining, last=1, unit=unit)
    for width, deep in ((1.0, 1.0), (5000.0, 5000.0), (base, depth)):
        boarded = with_board(bag, width, deep, way)
        told = board_finding(boarded)
        if told is None:
            continue
        room = room_of(bag, way)
        if min(room) <= 1e-6:
            assert told.severity is Severity.STOP
            assert "no room for a base board" in told.message.text()
            assert [fix.without for fix in told.fixes] == [("board",)]
            continue
        largest = tuple(max(size - MM_PER_INCH / 4, size / 2) for size in room)
        if min(ruled_board(largest, bag.site.ruler)) < MM_PER_INCH:
            (fix,) = told.fixes  # a sliver is not worth cutting
            assert fix.without == ("board",)
            continue
        fixed = with_figures(boarded, dict(told.fixes[0].changes))
        assert board_finding(fixed) is None
        assert fixed.parts["board"].width < room[0] and fixed.parts["board"].depth < room[1]


def test_a_sliver_of_board_is_not_offered() -> None:
    """Own choice: an inch. The ruler's next millimetre, 26 mm, lies 1/8 in clear on each side."""
    room = 26.0 + MM_PER_INCH / 4
    for depth, offered in ((room + FINE, True), (room - FINE, False)):
        told = board_finding(with_board(box(290.0, depth, 380.0, 0.0), 280.0, 100.0))
        assert (told.code, told.severity) == ("board-too-big", Severity.STOP)
        assert [bool(fix.changes) for fix in told.fixes] == [offered]


def test_a_fused_board_is_not_cut_so_deep_that_the_handles_are_sewn_through_it() -> None:
    """All layers basted at once: legs that end 70 mm above the bottom meet half of 140 mm."""
    plain = with_board(box(290.0, 170.0, 380.0, 1.0, 1.0), 280.0, 60.0, BoardWay.FUSED)
    leg = plain.site.front.top - 50.0
    for above, offered in ((90.0, True), (70.0, False)):
        handles = Handles(
            style=HandleStyle.SEPARATE,
            width=25.0,
            gap=100.0,
            stop=50.0,
            strips=2,
            leg=leg - above,
        )
        bag = having(plain, handles=handles)
        assert "board-under-needle" not in {each.code for each in compute(bag).findings}
        told = board_finding(bag)
        assert told.code == "board-too-small"
        assert bool(told.fixes) is offered


def test_a_board_that_is_a_strip_at_most_is_left_out() -> None:
    """An inch is the least that is worth cutting (own choice), however well it fills its room."""
    for base, is_told in ((26.0 + MM_PER_INCH / 4, False), (20.0 + MM_PER_INCH / 4, True)):
        bag = box(base, 165.0, 380.0, 0.0)
        bag = having(
            bag, board=BaseBoard(width=base - MM_PER_INCH / 4, depth=165.0 - MM_PER_INCH / 4)
        )
        told = [each for each in compute(bag).findings if each.code == "board-too-small"]
        assert bool(told) is is_told
    assert told[0].figure == "board_width"
    assert "board" not in with_fix(bag, told[0].fixes[0]).parts


def test_walls_that_meet_leave_no_room_and_say_so() -> None:
    """A wall of 97 mm in a bottom 165 mm deep: the walls meet in the middle."""
    inside = box(290.0, 165.0, 380.0, 82.4)
    assert board_finding(with_board(inside, 50.0, 0.1)).code == "board-too-small"
    for wall in (82.5, 97.0):
        told = board_finding(with_board(box(290.0, 165.0, 380.0, wall), 100.0, 100.0))
        assert (told.code, told.severity, told.limit) == ("board-too-big", Severity.STOP, None)
        assert "no room for a base board" in told.message.text()


def test_a_pillow_says_nothing_of_its_board() -> None:
    pillow = bare(demo_panel(corner_width=0.0, corner_depth=0.0))
    assert board_codes(compute(with_board(pillow, 100.0, 50.0))) == set()


# --- Fused on, and the needle --------------------------------------------------------------


def handled(style: HandleStyle, leg: float = 25.4, *, last: bool) -> Bag:
    bag = demo(
        sandwich=sandwich(layer(), layer("fleece"), layer("lining", laid_last=last)), pocket=None
    )
    handles = replace(bag.parts["handles"], style=style, leg=leg)
    return with_choice(having(bag, handles=handles), "board", "fused")


def test_a_board_under_the_needle_is_told() -> None:
    assert found(handled(HandleStyle.LOOP, last=True), "board-under-needle") is None
    told = found(handled(HandleStyle.LOOP, last=False), "board-under-needle")
    assert told is not None and told.severity is Severity.STOP
    assert "handles or pocket" in told.message.text()
    laid_in = with_choice(handled(HandleStyle.LOOP, last=False), "board", "laid-in")
    assert found(laid_in, "board-under-needle") is None
    one = replace(handled(HandleStyle.LOOP, last=False), sandwich=sandwich(layer()))
    assert found(one, "board-under-needle") is None, "on one layer the handles come first"


@pytest.mark.parametrize(("over", "told"), [(-FINE, True), (FINE, False)])
def test_legs_that_end_above_the_board_do_not_meet_it(over: float, told: bool) -> None:
    plain = handled(HandleStyle.SEPARATE, last=False)
    low = plain.site.front.top - plain.parts["handles"].stop - plain.parts["board"].depth / 2 - over
    bag = having(plain, handles=replace(plain.parts["handles"], leg=low))
    assert (found(bag, "board-under-needle") is not None) is told


@pytest.mark.parametrize(("last", "told"), [(False, True), (True, False)])
def test_a_bottom_seam_goes_through_a_board_that_is_basted_in(last: bool, told: bool) -> None:
    bag = having(handled(HandleStyle.LOOP, last=last), handles=None)
    seamed = with_choice(bag, "bottom", "seam")
    assert (found(seamed, "board-under-needle") is not None) is told
    assert found(bag, "board-under-needle") is None


# --- Choosing it --------------------------------------------------------------------------


def test_a_new_board_gets_in_as_its_goods_are_made_for() -> None:
    bag = demo(board=None)
    assert BaseBoard.fresh(Around(bag)).way is LAID_IN
    glued = replace(
        bag, supplies=replace(bag.supplies, board=replace(GLUED, turn=GrainTurn.QUARTER))
    )
    assert BaseBoard.fresh(Around(glued)).way is FUSED


GLUED = Layer(role="stiffener", thickness=1.0, pressed=1.0, usable_width=500.0, fusible=True)


@pytest.mark.parametrize("way", list(BoardWay))
@pytest.mark.parametrize("unit", [Unit.INCH, Unit.MM])
def test_a_fresh_board_fits_and_is_on_the_ruler(way: BoardWay, unit: Unit) -> None:
    bag = replace(WALLED, unit=unit)
    board = BaseBoard.fresh(Around(bag), way.value)
    step = MM_PER_INCH / 8 if unit is Unit.INCH else 1.0
    assert board.width / step == pytest.approx(round(board.width / step))
    assert board_finding(having(bag, board=board)) is None


def test_choosing_the_other_way_gives_a_board_that_suits_its_room() -> None:
    """What suits both rooms stays; the largest of the larger room is cut down to the other."""
    bag = with_board(WALLED, 278.0, 79.0)
    fused = with_choice(bag, "board", "fused")
    assert fused.parts.get("board") == replace(bag.parts["board"], way=FUSED)
    assert with_choice(fused, "board", "laid-in") == bag
    assert with_choice(bag, "board", "laid-in") is bag
    largest = with_board(WALLED, 280.6, 80.6, FUSED)
    laid_in = with_choice(largest, "board", "laid-in").parts.get("board")
    assert (laid_in.width, laid_in.depth) == (279.0, 79.0), "on the ruler of 1 mm"
    no_room = with_board(box(290.0, 165.0, 380.0, 97.0), 100.0, 50.0)
    assert with_choice(no_room, "board", "fused").parts.get("board") == replace(
        no_room.parts.get("board"), way=FUSED
    )


@pytest.mark.parametrize(
    ("name", "word", "told"),
    [
        (
            "lid",
            "fused",
            "no choice called lid: it must be one of construction, bottom, corners, tips",
        ),
        ("board", "glued", "board cannot be glued: it must be one of laid-in, fused"),
        ("top", "", "top cannot be : it must be one of zip-forward, hem"),
    ],
)
def test_a_choice_that_there_is_not_is_refused(name: str, word: str, told: str) -> None:
    with pytest.raises(FieldError, match=told):
        with_choice(demo(), name, word)


@pytest.mark.parametrize("name", COMMAND_CHOICES)
def test_every_word_of_a_choice_can_be_chosen(name: str) -> None:
    choice = COMMAND_CHOICES[name]
    across = with_choice(demo(), "corners", "sewn-across")
    cut_out = () if name == "tips" else (demo(), demo(board=None), bare(demo_panel()))
    of_body = {"strip_pieces": "wrap", "body_pieces": "separate-base"}.get(name)
    for start in (across, *cut_out):
        if of_body is not None:
            start = with_choice(start, "construction", of_body)  # noqa: PLW2901
        for word in choice.words:
            if word == "top-strip":  # a panel closes flat
                continue
            assert word_of(with_choice(start, name, word), choice) == word


def test_corners_that_are_cut_out_leave_no_tips_to_choose_for() -> None:
    assert word_of(demo(), COMMAND_CHOICES["tips"]) is None
    for word in COMMAND_CHOICES["tips"].words:
        with pytest.raises(FieldError, match="are cut out, and no tips are left"):
            with_choice(demo(), "tips", word)


def test_a_board_that_is_taped_in_takes_basting_tape() -> None:
    laid_in = with_board(WALLED, 278.0, 79.0)
    assert tape_of(notions_of(compute(laid_in))) == 0.0
    taped = with_board(WALLED, 279.0, 80.0, FUSED)
    assert tape_of(notions_of(compute(taped))) == pytest.approx(2 * (279.0 + 80.0))
    ironed = replace(taped, supplies=replace(taped.supplies, board=GLUED))
    assert tape_of(notions_of(compute(ironed))) == 0.0


# --- Following a redesign, and the ruler ----------------------------------------------------


@settings(max_examples=40)
@given(sewable_bags(), st.sampled_from(BoardWay), st.floats(0.7, 1.3), st.floats(0.7, 1.3))
def test_a_board_that_fits_still_fits_after_a_redesign(
    bag: Bag, way: BoardWay, wider: float, deeper: float
) -> None:
    now = compute(bag).finished
    assume(min(board_room(way, bag.site, now)) > WORTH_CUTTING)
    bag = having(bag, board=BaseBoard.fresh(Around(bag), way.value))
    wants = {"base_width": now["base_width"] * wider, "gusset_depth": now["gusset_depth"] * deeper}
    old = room_of(bag, way)
    room = [size + wants[name] - now[name] for name, size in zip(wants, old, strict=True)]
    assume(min(room) > WORTH_CUTTING)
    try:
        after = redesign(bag, RedesignRequest(wants=wants)).after
    except (ConflictError, FieldError):  # what cannot be had is another matter
        assume(False)
    assert not board_codes(after) - {"board-under-needle"}


@settings(max_examples=40)
@given(
    sewable_bags(), st.sampled_from(BoardWay), st.sampled_from([1.0, 5.0, 10.0, MM_PER_INCH / 4])
)
def test_the_ruler_makes_no_finding_of_a_board(bag: Bag, way: BoardWay, step: float) -> None:
    start = compute(bag)
    assume(min(board_room(way, bag.site, start.finished)) > WORTH_CUTTING + 2 * step)
    fits = fitting_board(board_room(way, bag.site, start.finished))
    board = BaseBoard(width=fits[0], depth=0.81 * fits[1], way=way)
    bag = having(bag, board=board, handles=None, pocket=None)
    exact = compute(bag)
    assume(not board_codes(exact) - {"board-under-needle"})
    rounded = on_ruler(unchanged(exact, frozenset()), step, names=RULED).result
    assume(min(board_room(way, rounded.bag.site, rounded.finished)) > 1e-6)
    assert not board_codes(rounded) - {"board-under-needle"}


def test_the_board_stays_exact_where_the_lower_step_would_be_too_small() -> None:
    bag = with_board(box(300.0, 100.0, 250.0, 0.5), 235.9, 92.5)
    exact = unchanged(compute(bag), frozenset())
    assert 235.9 * 92.5 > 235.5 * 92.5 > 0.8 * 292.65 * 92.65 > 230.0 * 90.0
    rounded = on_ruler(exact, 10.0, names=RULED).result
    assert rounded.finished["base_width"] == pytest.approx(300.0)
    assert (rounded.bag.parts["board"].width, rounded.bag.parts["board"].depth) == (
        235.9,
        92.5,
    )
    finer = on_ruler(exact, 0.5, names=RULED).result.bag.parts.get("board")
    assert (finer.width, finer.depth) == (235.5, 92.5)


def test_a_board_whose_size_is_asked_for_keeps_it() -> None:
    bag = with_board(WALLED, 270.0, 75.0)
    wants = {"board_width": 260.0, "gusset_depth": 110.0}
    after = redesign(bag, RedesignRequest(wants=wants)).after.bag.parts.get("board")
    assert (after.width, after.depth) == (260.0, 75.0)


def test_a_board_that_was_too_big_becomes_the_largest_that_fits() -> None:
    bag = with_board(WALLED, 300.0, 90.0)
    after = redesign(bag, RedesignRequest(wants={"gusset_depth": 110.0})).after
    assert after.bag.parts["board"].depth == pytest.approx(96.0 - 6.35)
    assert not board_codes(after)


def test_the_demo_bag_has_a_board_that_lies_flat() -> None:
    for word in ("laid-in", "fused"):
        assert not board_codes(compute(with_choice(demo_bag(), "board", word))), word


def test_a_board_that_follows_is_never_longer_than_a_board_can_be() -> None:
    """A panel of up to 10 m can be folded to a deeper base than any board."""
    deep = RedesignRequest(wants={"gusset_depth": 7400.0, "base_width": 300.0}, matched=False)
    for bag in (demo_bag(), with_board(demo_bag(), 200.0, 100.0)):
        after = redesign(bag, deep).after
        assert after.finished["gusset_depth"] == pytest.approx(7400.0)
        assert after.bag.parts.get("board") is not None
        assert after.bag.parts["board"].depth == 5000.0
        assert board_finding(after.bag) is None
    assert fitting_board((300.0, 7400.0)) == pytest.approx((293.65, 5000.0))
