"""The ways of treating the mouth that a bag can have, in reading order."""

from core.tops.top import Top
from core.tops.zip_forward.zip import Hem, ZipForward

TOPS: tuple[type[Top], ...] = (ZipForward, Hem)
