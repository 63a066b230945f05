"""The constructions that a bag can have, in reading order."""

from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.gusset_strip.body import GussetStrip, Wrap
from core.bodies.separate_base.body import SeparateBase

BODIES: tuple[type[Body], ...] = (BoxedPanel, GussetStrip, Wrap, SeparateBase)
