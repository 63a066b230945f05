"""New handles, for a bag that lacks them, raise nothing above a note."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import Around, compute
from core.flat.roles import FACES
from core.model.findings import Severity
from core.parts.handles.figures import HandleStyle
from core.parts.handles.findings import highest_stop, least_width
from core.parts.handles.fresh import WANTED_DROP, with_drop
from core.parts.handles.handles import Handles
from core.storage.bag_files import SAMPLES, sample
from tests.core.bag.handle_limits import handled
from tests.helpers import having
from tests.strategies import sewable_bags


def worse_than_a_note(bag: Bag, style: HandleStyle) -> set[str]:
    """Codes of what fresh handles bring on above a note."""
    plain = having(bag, handles=None)
    fresh = having(plain, handles=Handles.fresh(Around(plain), style.value))
    return {
        each.code
        for each in compute(fresh).findings
        if each.severity > Severity.NOTE and each.code.startswith(("handle-", "zip-near-handle"))
    }


@pytest.mark.parametrize("style", HandleStyle)
@pytest.mark.parametrize("name", SAMPLES)
def test_on_every_sample(name: str, style: HandleStyle) -> None:
    assert worse_than_a_note(sample(name), style) == set()


@settings(max_examples=200, deadline=None)
@given(sewable_bags(), st.sampled_from(HandleStyle))
def test_on_bags_that_can_be_sewn(bag: Bag, style: HandleStyle) -> None:
    """Where two handles of these goods fit on the base at all, and a stop on the face."""
    base = compute(bag).finished["base_width"] or 0.0
    width = least_width(bag.site)
    room = min(base, bag.body.width - 2 * bag.body.side_seam)
    assume(2 * width <= room)
    assume(highest_stop(bag.site) + width < bag.site.front.top)
    assert worse_than_a_note(bag, style) == set()


@pytest.mark.parametrize("style", HandleStyle)
def test_strips_give_the_drop_that_is_wanted(style: HandleStyle) -> None:
    """The lower drop of the two faces comes out, and no strip is too short to be worked."""
    bag = handled(style=style)
    assert bag.parts.get("handles") is not None
    for drop in (120.0, WANTED_DROP, 400.0):
        made = with_drop(bag.parts.get("handles"), bag.site, drop)
        drops = [made.drop(bag.site, face) or 0.0 for face in FACES]
        assert min(drops) == pytest.approx(drop, abs=1e-6) or (
            min(drops) > drop and made.strip_lengths(bag.site)[-1] == pytest.approx(4.5 * 25.4)
        )
