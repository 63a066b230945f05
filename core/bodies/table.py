"""The constructions that a bag can have, in reading order."""

from core.bodies.body import Body
from core.bodies.boxed_panel.choices import BOXED_PANEL
from core.bodies.gusset_strip.choices import GUSSET_STRIP, WRAP
from core.bodies.separate_base.choices import SEPARATE_BASE
from core.site.kinds import Kinds

BODIES: Kinds[Body] = Kinds((BOXED_PANEL, GUSSET_STRIP, WRAP, SEPARATE_BASE))
