"""What a redesign is asked for: which figures there are, and which values they may have.

The figures are those of the project's own description; the limits are its own choice: no size
is longer than 60 strips of 5 m, and a length is 0 or at least 0.01 mm.
"""

import math

import pytest

from core.bag.compute import compute, measure_walls
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.errors import FieldError
from core.base.sentences import Sentence
from core.base.units import Unit, format_length
from core.redesign.redesign import redesign
from core.redesign.request import ConflictError, Reach, RedesignRequest, check_typed, targets
from core.storage.bag_files import SAMPLES, demo_bag, sample
from core.tops.hem.hem import Hem
from tests.helpers import changed, demo, layer, sandwich

NAMES = [figure.name for figure in (*FINISHED_FIGURES, *CUT_FIGURES)]
LARGEST = 60 * 5000.0


def asked(request: RedesignRequest, bag: object = None) -> dict[str, float]:
    """What must come out exactly, asked of the demo or of another bag."""
    bag = demo_bag() if bag is None else bag
    return targets(request, bag, measure_walls(bag))


def refusal(name: str, value: float, bag: object = None) -> str:
    """What is said of a want that is no size; its field is the figure's."""
    with pytest.raises(FieldError) as caught:
        asked(RedesignRequest(wants={name: value}), bag)
    assert caught.value.field == name
    return caught.value.sentence.text(lambda length: format_length(length, unit=Unit.MM))


def test_wants_win_over_holds_and_corners_stay_matched() -> None:
    # The order is fixed, so that two runs come to the same digits.
    request = RedesignRequest(
        wants={"panel_width": 480.0, "base_width": 290.0},
        holds=frozenset({"zip_offset", "panel_width", "front_trim", "face_height", "board_depth"}),
    )
    now = measure_walls(demo_bag())
    panel, board = demo_bag().body, demo_bag().parts.get("board")
    assert list(asked(request).items()) == [
        ("corner_mismatch", 0.0),
        ("board_depth", board.depth),
        ("face_height", now["face_height"]),
        ("front_trim", panel.front_trim),
        ("panel_width", 480.0),
        ("zip_offset", now["zip_offset"]),
        ("base_width", 290.0),
    ]
    assert asked(RedesignRequest(wants={"base_width": 290.0}, matched=False)) == {
        "base_width": 290.0
    }
    parted = RedesignRequest(wants={"corner_mismatch": 3.0})
    assert asked(parted) == {"corner_mismatch": 3.0}


@pytest.mark.parametrize("request_", [
    RedesignRequest(wants={"zip_offset": 10.0}),
    RedesignRequest(wants={}, holds=frozenset({"zip_offset"})),
])  # fmt: skip
def test_what_the_bag_has_not_got_is_refused(request_: RedesignRequest) -> None:
    with pytest.raises(FieldError) as caught:
        asked(request_, demo(top=Hem()))
    assert str(caught.value) == "Zip offset cannot be set: this bag has none."
    assert caught.value.field == "zip_offset"


def test_a_drop_of_handles_that_do_not_reach_is_told_as_such() -> None:
    short = changed(demo_bag(), handle_strips=1)
    assert measure_walls(short)["handle_drop_front"] is None
    with pytest.raises(FieldError) as caught:
        asked(RedesignRequest(wants={"handle_drop_front": 250.0}), short)
    assert "do not reach from leg to leg" in str(caught.value)
    assert caught.value.field == "handle_drop_front"


@pytest.mark.parametrize(("name", "value"), [
    ("base_width", 0.0), ("base_width", 0.01), ("base_width", -1e-9), ("base_width", 1e-9),
    ("base_width", 0.5), ("base_width", LARGEST), ("handle_loop", LARGEST),
    ("box_volume", 0.0), ("box_volume", 0.005), ("box_volume", 0.5), ("box_volume", LARGEST),
    ("corner_mismatch", -LARGEST), ("zip_clearance", -LARGEST), ("handle_drop_front", -LARGEST),
    ("handle_drop_back", -LARGEST), ("panel_width", 5000.0), ("corner_cut_width", 0.0),
])  # fmt: skip
def test_sizes_up_to_the_limits_may_be_wanted(name: str, value: float) -> None:
    assert asked(RedesignRequest(wants={name: value}))[name] == value


BETWEEN = "it must be between"


@pytest.mark.parametrize(("name", "value", "said"), [
    ("base_width", -5.0, f"Base width is −5 mm: {BETWEEN} 0 mm and 300000 mm."),
    ("base_width", LARGEST + 1, f"Base width is 300001 mm: {BETWEEN} 0 mm and 300000 mm."),
    ("zip_clearance", -LARGEST - 1,
     f"Zip clearance is −300001 mm: {BETWEEN} −300000 mm and 300000 mm."),
    ("box_volume", -1.5, f"Box volume is −1.5 L: {BETWEEN} 0 and 300000 L."),
    ("box_volume", -0.0934163, f"Box volume is −0.09 L: {BETWEEN} 0 and 300000 L."),
    ("box_volume", -0.0041234, f"Box volume is −0.004 L: {BETWEEN} 0 and 300000 L."),
    ("box_volume", LARGEST + 1, f"Box volume is 300001 L: {BETWEEN} 0 and 300000 L."),
    ("base_width", math.nan, "Base width is nan: it must be an ordinary number."),
    ("base_width", math.inf, "Base width is inf: it must be an ordinary number."),
    ("box_volume", -math.inf, "Box volume is −inf: it must be an ordinary number."),
    ("base_width", 0.005, "Base width is 0.005 mm: it must be 0 or at least 0.01 mm."),
    ("zip_clearance", -0.005,
     "Zip clearance is −0.005 mm: it must be 0, or at least 0.01 mm more or less than 0."),
    ("panel_width", 0.0, "Panel width is 0 mm: it must be more than 0 mm."),
    ("panel_width", 5001.0, "Panel width is 5001 mm: it must be at most 5000 mm."),
])  # fmt: skip
def test_what_is_no_size_is_refused_in_words(name: str, value: float, said: str) -> None:
    assert refusal(name, value) == said


def test_a_typed_length_is_nothing_or_a_length() -> None:
    for name, value in (
        ("base_width", 0.0), ("base_width", 0.01), ("box_volume", 0.005), ("panel_width", 0.005),
        ("handle_strips", 0.005),
    ):  # fmt: skip
        check_typed(name, value)
    for value in (0.005, -0.005, 1e-12):
        with pytest.raises(FieldError, match=r"0,? or at least 0\.01 mm") as caught:
            check_typed("base_width", value)
        assert caught.value.field == "base_width"


@pytest.mark.parametrize("name", ["base_width", "box_volume", "filled_volume"])
def test_a_typed_size_below_nothing_is_refused_before_anything_is_solved(name: str) -> None:
    with pytest.raises(FieldError, match=BETWEEN):
        check_typed(name, -0.1)


def test_a_refusal_carries_what_it_says() -> None:
    bound = Reach(figure="base_width", at_most=True, value=300.0)
    ends = (demo_bag(), changed(demo_bag(), panel_width=480.0))
    error = ConflictError(Sentence("No."), names=("base_width",), bound=bound, ends=ends)
    assert (str(error), error.names, error.bound, error.ends) == (
        "No.",
        ("base_width",),
        bound,
        ends,
    )


def test_no_inside_volume_is_asked_for_only_where_a_wall_has_none_to_give() -> None:
    """Without a wall, inside is the box itself, which a bag without a gusset has none of."""
    nothing = RedesignRequest(wants={"inside_volume": 0.0}, holds=frozenset())
    with pytest.raises(FieldError, match="must be more than that"):
        asked(nothing)
    bare = demo(sandwich=sandwich(layer(thickness=0.0, pressed=0.0)))
    assert asked(nothing, bare)["inside_volume"] == 0.0
    assert (
        asked(RedesignRequest(wants={"inside_volume": 5.0}, holds=frozenset()))["inside_volume"]
        == 5.0
    )


def test_a_drop_of_a_bag_without_handles_is_not_called_too_short() -> None:
    with pytest.raises(FieldError, match="this bag has none"):
        asked(
            RedesignRequest(wants={"handle_drop_front": 300.0}, holds=frozenset()),
            demo(handles=None),
        )


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("outside", [0.0, 0.5, 1.0])
def test_a_box_around_another_is_the_larger_of_the_two(name: str, outside: float) -> None:
    """Whatever has a thickness takes room: plane arithmetic. To ask for 0 divided by it."""
    bag = sample(name)
    finished = compute(bag).finished
    inside, height = finished["inside_volume"], finished["face_height"]
    assert inside is not None
    wants = {"box_volume": outside * inside, "inside_volume": inside, "face_height": height}
    with pytest.raises(ConflictError, match=r"“(Box|Inside) volume” (must|can) be at"):
        redesign(bag, RedesignRequest(wants=wants))
