"""The ways of treating the mouth that a bag can have, in reading order."""

from core.site.kinds import Kinds
from core.tops.facing.kind import FACING
from core.tops.hem.kind import HEM
from core.tops.roll_top.kind import ROLL_TOP
from core.tops.top import Top
from core.tops.top_strip.kind import TOP_STRIP
from core.tops.zip_forward.kind import ZIP_FORWARD

TOPS: Kinds[Top] = Kinds((ZIP_FORWARD, HEM, FACING, TOP_STRIP, ROLL_TOP))
