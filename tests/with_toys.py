"""A plugin of pytest: all that a program takes that has the toys too is these three lines."""

from core.bodies import table as bodies
from core.parts import table as parts
from core.tops import table as tops
from tests.toys import Envelope, RawEdge, Tag

bodies.BODIES += (Envelope,)
tops.TOPS += (RawEdge,)
parts.SLOTS += (Tag,)
