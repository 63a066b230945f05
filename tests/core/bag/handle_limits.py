"""Limits of the findings about handles and about what their stitching makes of a pocket."""

from dataclasses import replace

from core.bag.bag import Bag
from core.bag.compute import compute
from core.model.findings import Severity
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.tops.hem.hem import Hem
from tests.core.bag.finding_limit import Limit
from tests.helpers import changed, demo, demo_panel, having, inch, layer, sandwich

NOTE, WARN, STOP = Severity.NOTE, Severity.WARN, Severity.STOP


def handled(**changes: object) -> Bag:
    """The demo bag with other handles: a loop of three strips 42 in long."""
    bag = demo()
    assert bag.parts.get("handles") is not None
    return having(bag, handles=replace(bag.parts["handles"], **changes))


def paired(**changes: object) -> Bag:
    """The same with two separate handles of one strip each, sewn down well above the corners."""
    usual = {"style": HandleStyle.SEPARATE, "strips": 1, "stop": inch(4.5), "leg": inch(8)}
    return handled(**{**usual, **changes})


def joined(first: float) -> Bag:
    """Two separate handles of a whole strip and one that ends so far along, mm."""
    return paired(strips=2, leg=inch(6), last_strip=first + inch(0.5))


def hemmed(**changes: object) -> Bag:
    """The demo bag with an open top and other handles."""
    bag = demo(top=Hem(), body=demo_panel(front_trim=0.0))
    assert bag.parts.get("handles") is not None
    return having(bag, handles=replace(bag.parts["handles"], **changes))


def straight(drop: float) -> Bag:
    """Two separate handles whose legs lie together, and that drop so far, mm.

    Taut: one mm of stop less is one mm of drop more.
    """
    whole = inch(40) if drop < inch(20) else inch(88)
    legs = Handles(
        style=HandleStyle.SEPARATE,
        width=inch(0.5),
        gap=0.0,
        stop=inch(5),
        strips=1,
        last_strip=whole + inch(0.5),
        leg=inch(2),
    )
    wide = layer(usable_width=inch(100))
    plain = demo(handles=legs, sandwich=sandwich(wide))
    now = compute(plain).finished["handle_drop_back"]  # the longer one
    assert now is not None
    return changed(plain, handle_stop=inch(5) - (drop - now))


def thick_strips(width: float) -> Bag:
    """Handles of goods 2 mm thick under the foot, 8 mm in four layers."""
    thick = layer(thickness=3.0, pressed=2.0)
    return replace(handled(width=width), sandwich=sandwich(thick))


HANDLE_LIMITS = {
    # The panel is 18 1/2 in wide, and each leg 1 1/4 in.
    "legs off the panel": Limit("handle-off-panel", STOP, lambda over: paired(gap=inch(16) + over)),
    "a loop off the panel": Limit(
        "handle-off-panel", STOP, lambda over: handled(gap=inch(16) + over)
    ),
    "legs in the side seams": Limit(
        "handle-over-side-seam", WARN, lambda over: paired(gap=inch(15.25) + over)
    ),
    "stop in the zip seam": Limit(
        "zip-near-handle-stop", STOP, lambda over: handled(stop=inch(0.375) - over), inside=WARN
    ),
    "stop in the hem": Limit(
        "handle-stop-in-hem", STOP, lambda over: hemmed(stop=inch(0.375) - over)
    ),
    # The square of stitches is as high as the handle is wide, 1 1/4 in.
    "short legs": Limit("handle-leg-short", WARN, lambda over: paired(leg=inch(1.25) - over)),
    "a loop that is hardly sewn down": Limit(
        "handle-leg-short", WARN, lambda over: handled(stop=inch(16.5) + over, strips=4)
    ),
    # Own choices: 3/8 in, and twice what four layers are thick.
    "narrow handle": Limit(
        "handle-narrower-than-folds", WARN, lambda over: handled(width=inch(0.375) - over)
    ),
    "narrow for its goods": Limit(
        "handle-narrower-than-folds", WARN, lambda over: thick_strips(16.0 - over)
    ),
    # A strip of 4 w - 1/4 in is pressed to 2 w: at w = 1/8 in it is no wider than that.
    "nothing to turn in": Limit(
        "handle-narrower-than-folds",
        STOP,
        lambda over: handled(width=inch(0.125) - over),
        at_limit=True,
        inside=WARN,
    ),
    # Own choice: 28 in from hand to ground, of which the face takes 15 in.
    "handles to the ground": Limit(
        "handle-to-ground", NOTE, lambda over: straight(inch(28 - 15) + over)
    ),
    # Own choice: 52 in from the shoulder.
    "handles to the ground from the shoulder": Limit(
        "handle-to-ground", WARN, lambda over: straight(inch(52 - 15) + over), inside=NOTE
    ),
    # Own choice: 4 in between joins, each of which takes 1/4 in at either end.
    "a short piece": Limit(
        "handle-piece-short", NOTE, lambda over: handled(strips=4, last_strip=inch(4.5) - over)
    ),
    # Own choices: 2 in from a stop, which is 6 in along; 4 in from the middle of the grip.
    "join at a stop": Limit("handle-join-at-stop", NOTE, lambda over: joined(inch(8) - over)),
    "join in the hand": Limit(
        # The other strip gives 41 1/2 in: the middle lies half of the difference away.
        "handle-join-at-stop",
        NOTE,
        lambda over: joined(inch(33.5) + over),
    ),
    "open above the stop": Limit(
        "pocket-open-above-stop", NOTE, lambda over: handled(stop=inch(4.5625) + over)
    ),
    # The pocket's lower edge lies 4 1/2 and 7 5/8 in below the cut edge.
    "legs that begin below the pocket": Limit(
        "pocket-not-divided", NOTE, lambda over: handled(stop=inch(12.125) + over), at_limit=True
    ),
    "separate legs that begin below the pocket": Limit(
        "pocket-not-divided",
        NOTE,
        lambda over: paired(stop=inch(12.125) + over, leg=inch(4)),
        at_limit=True,
    ),
    "separate handles open above the stop": Limit(
        "pocket-open-above-stop", NOTE, lambda over: paired(stop=inch(4.5625) + over)
    ),
    # The pocket's lower edge lies 4 1/2 and 7 5/8 in below the cut edge.
    "open below the legs": Limit(
        "pocket-open-below-legs", NOTE, lambda over: paired(leg=inch(7.625) - over)
    ),
    # The demo's front is trimmed by 1 1/2 in: without it both hang level. Own choice: 1/4 in.
    "a back handle that hangs lower": Limit(
        "handles-unlike",
        WARN,
        lambda over: paired(back_lower=inch(1.75) + over),
    ),
    "a back handle that stands higher": Limit(
        "handles-unlike",
        WARN,
        lambda over: paired(back_lower=inch(1.25) - over),
    ),
    # Own choice: a hand needs 4 in.
    "narrow middle": Limit(
        "pocket-compartment-narrow", NOTE, lambda over: handled(gap=inch(4) - over)
    ),
    "narrow sides": Limit(
        # (18 1/2 - 7 1/4 - 2 1/2)/2 - 3/8 is 4 in.
        "pocket-compartment-narrow",
        NOTE,
        lambda over: handled(gap=inch(7.25) + 2 * over),
    ),
}

HANDLES_FIXED_BY = {
    "handle-off-panel": {"handle_gap"},
    "handle-over-side-seam": {"handle_gap"},
    "handle-stop-in-hem": {"handle_stop"},
    "handle-leg-short": {"handle_leg", "handle_stop"},
    "handle-narrower-than-folds": {"handle_width"},
    "handle-to-ground": {"handle_strips", "handle_last_strip"},
    "handles-unlike": {"handle_back_lower"},
    "handle-piece-short": {"handle_last_strip", "handle_strips"},
    "pocket-open-above-stop": {"handle_stop", "handle_leg", "pocket_drop"},
    "pocket-not-divided": {"handle_stop", "handle_leg"},
    "pocket-open-below-legs": {"handle_leg"},
    "pocket-compartment-narrow": {"handle_gap"},
}
