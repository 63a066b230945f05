"""One limit of one finding: a bag just within it and one just beyond it."""

from collections.abc import Callable
from dataclasses import dataclass

from core.bag.bag import Bag
from core.model.findings import Severity


@dataclass(frozen=True)
class Limit:
    """One limit of one finding.

    Attributes:
        code, severity: what is said beyond the limit.
        bag: mm beyond the limit -> bag; negative stays inside.
        at_limit: whether the finding already holds at the limit itself.
        inside: what is said inside the limit under the same code, where there is a milder
            degree of it.
    """

    code: str
    severity: Severity
    bag: Callable[[float], Bag]
    at_limit: bool = False
    inside: Severity | None = None
