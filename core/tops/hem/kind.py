"""What an open, hemmed top is called."""

from core.base.sentences import mark
from core.site.kinds import Told

HEM = Told(place=("core.tops.hem.hem", "Hem"), kind="hem", label=mark("Open, hemmed"))
