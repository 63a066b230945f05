"""The constructions that a bag can have, in reading order."""

from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel

BODIES: tuple[type[Body], ...] = (BoxedPanel,)
