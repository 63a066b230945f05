"""The lengths that the steps tell: of three bags worked out by hand, and as figures change.

Lengths follow from the cut figures by plane geometry; small distances without a figure (1/8 in or
3 mm from an edge, a bar tack of 1/2 in or 12 mm, a board's corner of 1/4 in or 6 mm) are common
practice, no source.
"""

import re
from dataclasses import replace
from math import hypot

import pytest
from hypothesis import given, settings

from core.bag.bag import Bag, with_figures
from core.bag.choices import with_choice
from core.bag.compute import compute
from core.bag.tables import CUT_FIGURES, FINISHED_FIGURES
from core.base.sentences import Plural
from core.base.units import Unit
from core.bodies.separate_base.body import SeparateBase
from core.model.figures import Quantity
from core.parts.board.board import BoardWay
from core.parts.handles.figures import HandleStyle
from core.sewing.steps import operations
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.roll_top.roll import RollTop
from core.work.operation import Operation
from tests.core.sewing.strip_bags import every_bag
from tests.core.sewing.strip_lengths import E2, E2_LENGTHS, FACED, RARE_LENGTHS, SHORT
from tests.helpers import demo, demo_panel, inch, layer, sandwich
from tests.strategies import bags

Told = dict[str, dict[str, set[float]]]
"""Key of an operation -> gap -> mm, one or several."""


def told_by(bag: Bag) -> Told:
    """Every length that the bag's operations tell."""
    found: Told = {}
    for each in operations(bag, compute(bag).draft):
        for sentence in each.sentences:
            for gap, length in sentence.all_lengths():
                found.setdefault(each.key, {}).setdefault(gap, set()).add(length)
    return found


def same(told: dict[str, set[float]], by_hand: dict[str, float]) -> bool:
    return told.keys() == by_hand.keys() and all(
        all(length == pytest.approx(by_hand[gap], abs=1e-6) for length in lengths)
        for gap, lengths in told.items()
    )


EDGE = {"edge_distance": 1 / 8}
DEMO = {
    "cut panel": {
        "panel_width": 18.5, "cut_length": 38.5 - 1.5, "front_trim": 1.5,
        "diagonal": hypot(18.5, 37),
    },
    "mark panel": {
        "front_length": 38.5 / 2 - 1.5, "back_length": 38.5 / 2,
        "pocket_drop": 4.5, "pocket_height": 16 / 2 - 3 / 8,
        "from_side": (18.5 - 5) / 2 - 1.25, "handle_width": 1.25, "handle_gap": 5, "handle_stop": 5,
        "corner_cut_width": 3.375, "corner_cut_depth": 3, "middle": 18.5 / 2,
    },
    # Four layers of the handle's width, less a quarter for its folds; as long as the goods is wide.
    "cut handle strip": {
        "cut_width": 4 * 1.25 - 1 / 4, "cut_length": 42, "handle_width": 1.25,
        "fold_clearance": 1 / 4,
    },
    "join handle strips": {"join_seam": 1 / 4, "handle_loop": 3 * (42 - 2 / 4)},
    "press handle tape": {
        "turned_in": (4.75 - 2.5) / 2, "tape_width": 2 * 1.25, "apart": 2.5 - 2 * 1.125,
    },
    "topstitch handles": {"handle_width": 1.25, **EDGE},
    # A leg is 17 3/4 - 5 on the front and 19 1/4 - 5 on the back; a handle is half of the loop.
    "lay on handles": {
        "half_loop": 124.5 / 2, "handle_gap": 5, "stop_below": 5,
        "free_front": 62.25 - 2 * 12.75, "free_back": 62.25 - 2 * 14.25,
    },
    "topstitch handles down": {
        **EDGE, "leg_front": 12.75, "leg_back": 14.25,
        "pocket_side_compartment": 5.5 - 3 / 8, "pocket_middle_compartment": 5,
        "open_above": 5 - 4.5,
    },
    "topstitch handle stops": {"box_side": 1.25 - 2 / 8},
    "cut front pocket": {"pocket_width": 18.5, "pocket_cut_height": 16},
    "join front pocket": {"pocket_seam": 3 / 8},
    "turn front pocket": {"pocket_height": 7.625},
    "topstitch front pocket upper edge": EDGE,
    "lay on front pocket": {"pocket_drop": 4.5},
    "baste front pocket sides": {"baste_line": 1 / 4, "held_seam": 3 / 8},
    "topstitch front pocket lower edge": EDGE,
    "cut base board": {"board_width": 10.125, "board_depth": 5.875, "rounding": 1 / 4},
    # The bottom, 11 by 6 3/4, loses a wall of 1 mm at either side.
    "lay in base board": {
        "board_width": 10.125, "board_depth": 5.875,
        # (11 - 10.125) / 2 and (6.75 - 5.875) / 2, less a wall of 1 mm, to a sixteenth.
        "ends": 6 / 16, "sides": 6 / 16,
    },
    "baste layers": {"baste_line": 1 / 4},
    "cut corner cuts": {"corner_cut_width": 3.375, "corner_cut_depth": 3, "notch": 2 * 3},
    "mark zip": {"zip_length": 22, "zip_span": 18.5, "spare": (22 - 18.5) / 2},
    "join zip front": {"zip_seam": 3 / 8, "room": (1.25 - 2 * 3 / 8) / 2},
    "topstitch zip front": EDGE,
    "join zip back": {"zip_seam": 3 / 8, "room": (1.25 - 2 * 3 / 8) / 2},
    "topstitch zip back": EDGE,
    "baste zip ends": {"side_seam": 3 / 8},
    "tack side seams": {"tack_length": 1 / 2},
    # Front and back without seams and corners, and the zip of 1/2 in: twice what one side is long.
    "fold bag": {"zip_offset": 1.5 / 2},
    **{
        f"join side seam {side}": {
            "side_seam": 3 / 8, "stack": 2 * 0.8 / 25.4, "thick": (2 * 0.8 + 2 * 0.4) / 25.4,
            "seam_length": (19.25 + 17.75 - 2 * 3.375 - 2 * 3 / 8 + 0.5) / 2,
        }
        for side in ("left", "right")
    },
    # The base, the face above it, and both allowances of the side seam.
    **{
        f"join corner seam {side}": {
            "corner_seam": 3 / 8, "gusset_depth": 2 * 3.375, "stack": 4 * 0.8 / 25.4,
        }
        for side in ("left", "right")
    },
    "overcast seam allowances": {"close": 1 / 8},
    "measure bag": {
        "opening_width": 18.5 - 2 * 3 / 8, "base_width": 18.5 - 2 * 3.375 - 2 * 3 / 8,
        "gusset_depth": 2 * 3 + 2 * 3 / 8, "face_height": 15, "zip_offset": 0.75,
        "size_tolerance": 3 / 16,
    },
}  # fmt: skip
"""Inches, of the bag that `demo` describes."""

LUNCH = {
    # Two strips of 720 mm, ends turned in by 1/4 in; a leg is 60 + 100 mm down the front, and 50 mm
    # lower on the back, which is not trimmed.
    "cut handle strip": {
        "cut_width": 4 * 30 - 6.35, "cut_length": 720, "handle_width": 30,
        "fold_clearance": 6.35,
    },
    "press handle tape": {
        "join_seam": 6.35, "turned_in": (113.65 - 60) / 2, "tape_width": 60, "apart": 60 - 53.65,
    },
    "mark panel": {
        "front_length": 410 - 50, "back_length": 410, "pocket_drop": 110, "pocket_height": 170,
        "from_side": 440 / 2 - 60 - 30, "handle_width": 30, "handle_gap": 120, "handle_leg": 100,
        "handle_stop": 60, "stop_back": 110, "corner_cut_width": 80, "corner_cut_depth": 70,
        "middle": 220,
    },
    "lay on handles": {
        "handle_gap": 120, "leg_foot": 160, "stop_below": 60,
        "leg_foot_back": 210, "stop_below_back": 110, "free_front": 720 - 2 * 6.35 - 2 * 100,
    },
    # The pocket ends 110 + 170 mm down, the leg 160 mm down.
    "topstitch handles down": {"edge_distance": 3, "handle_leg": 100, "open_below": 120},
    "topstitch handle stops": {"box_side": 30 - 6},
    "tack side seams": {"tack_length": 12},
    "overcast seam allowances": {"close": 3},
}  # fmt: skip
"""Millimetres, of the sample with two separate handles."""

TOTE = {
    "cut front": {"panel_width": 500, "cut_length": 480, "diagonal": hypot(500, 480)},
    "cut back": {"panel_width": 500, "cut_length": 480, "diagonal": hypot(500, 480)},
    "mark panel": {
        "bottom_seam": 10, "from_side": 250 - 75 - 35, "handle_width": 35, "handle_gap": 150,
        "handle_stop": 60, "corner_cut_width": 90, "corner_cut_depth": 90, "middle": 250,
    },
    "join handle strips": {"join_seam": 6.35, "handle_loop": 2 * (1400 - 12.7)},
    "join bottom seam": {"bottom_seam": 10},
    "overcast bottom seam": {"close": 3},
    "cut corner cuts": {"corner_cut_width": 90, "corner_cut_depth": 90},
    # One layer is turned twice.
    "hem top": {"half_hem": 30 / 2, "zip_seam": 30},
}  # fmt: skip
"""Millimetres, of the sample with a seamed bottom and an open top."""


def test_every_length_that_the_worked_bag_tells_is_that_by_hand() -> None:
    told = told_by(demo())
    # Where the joins lie is checked in test_handle_joins.
    assert told["lay on handles"].pop("join_to_bottom")
    assert told.keys() == DEMO.keys()
    for key, by_hand in DEMO.items():
        assert same(told[key], {gap: inch(size) for gap, size in by_hand.items()}), (key, told[key])


@pytest.mark.parametrize(("name", "worked"), [("lunch", LUNCH), ("tote", TOTE)])
def test_other_bags_lengths_are_those_by_hand(
    name: str, worked: dict[str, dict[str, float]]
) -> None:
    told = told_by(sample(name))
    for key, by_hand in worked.items():
        assert same(told[key], by_hand), (key, told[key])


BASE = demo()
SEPARATE = replace(BASE.parts["handles"], style=HandleStyle.SEPARATE, strips=2)
SHRINKS = replace(BASE.sandwich.layers[0], shrink_width=0.05, cut_washed=True)
ACROSS = with_choice(BASE, "corners", "sewn-across")
RARE = [
    # Gusset 6 3/4 in, face 15 in; where seams cross lie four walls of two layers of 0.4 mm.
    (ACROSS, "join side seam left", {
        "side_seam": 3 / 8, "seam_length": 15 + 6.75 / 2, "stack": 2 * 0.8 / 25.4,
        "thick": (2 * 0.8 + 2 * 0.4) / 25.4,
    }),
    (ACROSS, "join corner seam left", {
        "corner_mark": 6.75 / 2, "gusset_depth": 6.75, "less": 2 * 3 / 8, "close": 1 / 8,
        "stack": 4 * 0.8 / 25.4,
    }),
    (ACROSS, "cut corner tips", {"corner_seam": 3 / 8}),
    (demo(board=replace(BASE.parts["board"], way=BoardWay.FUSED)), "lay on base board", {
        "front_length": 17.75, "board_side": (18.5 - 10.125) / 2, "half_depth": 5.875 / 2,
        "clear": (11 - 10.125) / 2,
    }),
    (demo(top=replace(BASE.top, length=inch(17))), "mark zip", {
        "zip_length": 17, "zip_span": 18.5, "short": 18.5 - 17,
    }),
    (demo(handles=SEPARATE), "join handle strips", {
        "join_seam": 1 / 4, "with_ends": 2 * 42 - 2 / 4,
    }),
    (demo(handles=replace(SEPARATE, last_strip=inch(20))), "cut handle strip", {
        "cut_width": 4.75, "cut_length": 42, "handle_last_strip": 20, "handle_width": 1.25,
        "fold_clearance": 1 / 4,
    }),
    # The back's stops lie 1 1/2 in lower than the front's 5 in; legs are 6 in long.
    (demo(handles=replace(SEPARATE, back_lower=inch(1.5))), "lay on handles", {
        "handle_gap": 5, "leg_foot": 5 + 6, "leg_foot_back": 6.5 + 6, "stop_below": 5,
        "stop_below_back": 6.5, "free_front": 2 * (42 - 2 / 4) - 2 * 6,
    }),
    (demo(handles=replace(SEPARATE, back_lower=inch(1.5))), "mark panel", {
        **DEMO["mark panel"], "handle_leg": 6, "stop_back": 5 + 1.5,
    }),
    (demo(sandwich=replace(BASE.sandwich, baste_line=inch(1 / 2))), "take out basting", {
        "baste_line": 1 / 2, "narrowest": 3 / 8,
    }),
    # A hem of two layers is turned once, and sewn 1/8 in from its raw edge.
    (demo(body=demo_panel(front_trim=0.0, top_seam=inch(1)), top=Hem()), "hem top", {
        "zip_seam": 1, "hem_line": 1 - 1 / 8,
    }),
    (demo(sandwich=sandwich(SHRINKS, layer("lining"))), "wash goods", {
        "usable_width": 42, "washed_width": 42 * 0.95,
    }),
]  # fmt: skip


ROLLED = demo(body=demo_panel(front_trim=0.0), top=RollTop(rolls=3, depth=inch(1.5)))
RARE += RARE_LENGTHS
RARE += [
    # Two walls of 2 x 0.4 mm lie in the hem, turned once.
    (ROLLED, "tack buckle", {"tack_length": 1 / 2, "loop_length": 4.0, "stack": 1.6 / 25.4}),
    # The panel less both seams, and 1/4 in beside each.
    (
        ROLLED,
        "lay in stiffener strip",
        {"strip_length": 18.5 - 2 * (0.375 + 0.25), "hem": 0.375 - 0.125},
    ),
    (ROLLED, "fold top down", {"roll_depth": 1.5}),
]
RARE += [(E2, key, by_hand) for key, by_hand in E2_LENGTHS.items()]


@pytest.mark.parametrize(("bag", "key", "by_hand"), RARE, ids=[key for _, key, _ in RARE])
def test_lengths_that_few_bags_tell(bag: Bag, key: str, by_hand: dict[str, float]) -> None:
    told = told_by(bag).get(key, {})
    assert same(told, {gap: inch(size) for gap, size in by_hand.items()}), told


def test_legs_beyond_the_side_edges_are_told_by_how_much() -> None:
    """18 in apart and 1 1/4 in wide they reach 10 1/4 in from the middle of 18 1/2 in."""
    told = told_by(demo(handles=replace(BASE.parts["handles"], gap=inch(18))))["mark panel"]
    assert list(told["beyond"]) == pytest.approx([inch(1)])


# --- As figures change ----------------------------------------------------------------------------

VALUES = {figure.name for figure in (*CUT_FIGURES, *FINISHED_FIGURES)}
KNOWN = {gap for table in (DEMO, LUNCH, TOTE) for gaps in table.values() for gap in gaps} | {
    *(gap for _, _, by_hand in RARE for gap in by_hand),
    "beyond",
    "join_to_bottom",
}
"""Every gap for a length there is: that of a figure's name tells the figure, the others are worked
out above."""


@settings(max_examples=50)
@given(bag=bags())
def test_a_gap_by_a_figures_name_tells_the_figure(bag: Bag) -> None:
    assert_gaps_tell_their_figures(bag)


@pytest.mark.parametrize("bag", every_bag()[::11], ids=lambda bag: str(bag.body.KIND))
def test_so_does_a_gap_of_a_bag_with_a_strip(bag: Bag) -> None:
    assert_gaps_tell_their_figures(bag)


def assert_gaps_tell_their_figures(bag: Bag) -> None:
    result = compute(bag)
    values = {**result.cut, **result.finished}
    seams = {each.seam.id: each.mate_length for each in result.draft.walked}
    told = 0
    for each in operations(bag, result.draft):
        for sentence in each.sentences:
            for gap, length in sentence.all_lengths():
                assert gap in KNOWN, (each.key, gap)
                if gap in VALUES:
                    value = values[gap]
                    if gap == "gusset_depth" and each.seams:
                        value = seams[each.seams[0]]  # the depth at this corner
                    assert length == pytest.approx(value or 0.0, abs=1e-6), (each.key, gap)
                    told += 1
    assert told > 3


LOOSE = demo(handles=replace(SEPARATE, last_strip=inch(20)))
_PLAIN = {"unit": Unit.INCH, "name": "carrier", "top": Hem(), "sandwich": sandwich(layer())}
CARRIER = Bag(
    body=SeparateBase(
        base_cut_width=inch(12), base_cut_depth=inch(7), corner_rounding=inch(1.75),
        body_width=inch(17.25), body_height=inch(13), side_seam=inch(0.25), base_seam=inch(0.25),
        top_seam=inch(0.75),
    ),
    **_PLAIN,
)  # fmt: skip
FOUR = replace(
    CARRIER,
    body=replace(
        CARRIER.body, corner_rounding=0.0, body_width=inch(12), body_end_width=inch(7),
        body_pieces=4,
    ),
)  # fmt: skip
SEAMED = demo(body=demo_panel(bottom_seam=inch(0.5)))
TELLING = {
    "panel_width": BASE, "front_trim": BASE, "corner_cut_width": BASE, "corner_cut_depth": BASE,
    "corner_mark": ACROSS, "side_seam": BASE, "corner_seam": BASE, "zip_seam": BASE,
    "bottom_seam": SEAMED, "roll_depth": ROLLED,
    "zip_length": BASE, "pocket_cut_height": BASE, "pocket_drop": BASE, "pocket_seam": BASE,
    "handle_width": BASE, "handle_gap": BASE, "handle_stop": BASE, "handle_last_strip": LOOSE,
    "handle_leg": LOOSE, "board_width": BASE, "board_depth": BASE, "baste_line": BASE,
    "base_cut_width": CARRIER, "base_cut_depth": CARRIER, "corner_rounding": CARRIER,
    "face_cut_width": E2, "face_cut_height": E2, "upper_rounding": SHORT, "strip_width": E2,
    "strip_length": E2, "strip_seam": E2, "gusset_seam": E2, "facing_depth": FACED,
    "body_width": CARRIER, "body_height": CARRIER, "body_end_width": FOUR, "base_seam": CARRIER,
}  # fmt: skip
"""Figures that sentences tell, each with a bag that does."""
SILENT = {
    "top_strip_length",
    "zip_shift",
    "panel_length",
    "zip_tape_width",
    "goods_width",
    "foot_clearance",
    "handle_back_lower",
}
"""Figures that none tells: what they come to is told instead."""


@pytest.mark.parametrize("name", TELLING)
def test_a_changed_figure_changes_every_sentence_that_has_it(name: str) -> None:
    before = compute(TELLING[name])
    value = before.cut[name]
    assert value is not None
    after = compute(with_figures(before.bag, {name: value - inch(0.0625)}))
    news = {each.key: each for each in operations(after.bag, after.draft)}
    changed = 0
    for old in operations(before.bag, before.draft):
        for one, other in zip(old.sentences, news[old.key].sentences, strict=True):
            if name in one.lengths:
                assert one.lengths[name] == pytest.approx(value), old.key
                assert other.lengths[name] == pytest.approx(value - inch(0.0625)), old.key
                assert one.text() != other.text()
                changed += 1
    assert changed > 0


def test_every_figure_is_told_or_is_known_to_be_told_by_what_follows_from_it() -> None:
    lengths = {figure.name for figure in CUT_FIGURES if figure.quantity is Quantity.LENGTH}
    assert TELLING.keys() | SILENT == lengths
    assert not SILENT & KNOWN


NUMBER = re.compile(r"\d")


@settings(max_examples=50)
@given(bag=bags())
def test_no_figure_is_written_into_a_template(bag: Bag) -> None:
    every: tuple[Operation, ...] = operations(bag, compute(bag).draft)
    for each in every:
        for sentence in each.sentences:
            template = sentence.template
            # The form for one may say so.
            text = template.many if isinstance(template, Plural) else template
            assert not NUMBER.search(text), template
            assert sentence.text()
