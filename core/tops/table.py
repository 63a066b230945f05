"""The ways of treating the mouth that a bag can have, in reading order."""

from core.tops.facing.facing import Facing
from core.tops.hem.hem import Hem
from core.tops.roll_top.roll import RollTop
from core.tops.top import Top
from core.tops.top_strip.strip import TopStrip
from core.tops.zip_forward.zip import ZipForward

TOPS: tuple[type[Top], ...] = (ZipForward, Hem, Facing, TopStrip, RollTop)
