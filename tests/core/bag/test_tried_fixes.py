"""Fixes that reach beyond their owner: offered only where the whole bag is the better for it."""

from core.bag.bag import Bag
from core.bag.choices import with_fix
from core.bag.compute import compute
from core.model.findings import Severity
from tests.core.bag.finding_cases import raising_bags
from tests.core.bodies.test_any_strip_bag import BAGS
from tests.helpers import codes

_TRIED = {"opening-too-short", "strip-join-on-corner", "print-upside-down"}
CASES = [*BAGS, *(bag for code, bag in raising_bags() if code in _TRIED)]


def _warnings(bag: Bag) -> set[str]:
    return {each.code for each in compute(bag).findings if each.severity >= Severity.WARN}


def test_they_bring_no_other_warning() -> None:
    """Source: a rule of the program: a fix of these is promised, or it is not offered."""
    tried, findings = set(), 0
    for bag in CASES:
        for finding in compute(bag).findings:
            for fix in (each for each in finding.fixes if each.tried):
                tried.add(finding.code)
                after = with_fix(bag, fix)
                assert finding.code not in codes(compute(after))
                assert _warnings(after) <= _warnings(bag), finding.code
        findings += sum(each.code in _TRIED for each in compute(bag).findings)
    assert tried == _TRIED
    assert findings > 20
