"""What a maker measures down from to place a part: a top edge, or a wrap's end below the top."""

from core.base.sentences import Template, mark
from core.site.site import Site

_TOP, _TOPS, _EACH_TOP = mark("the top edge"), mark("the top edges"), mark("each top edge")
_END, _ENDS = mark("the wrap's end"), mark("the wrap's ends")
_EACH_END = mark("each end of the wrap")


def ends_below_top(site: Site) -> bool:
    """Whether the faces end below the bag's top, where a top strip goes on up them."""
    return site.front.above > 0.0


def upper_edge(site: Site) -> Template:
    """The upper edge of one face, as it is called."""
    return _END if ends_below_top(site) else _TOP


def upper_edges(site: Site) -> Template:
    """Those of both faces."""
    return _ENDS if ends_below_top(site) else _TOPS


def each_upper_edge(site: Site) -> Template:
    """Either of them."""
    return _EACH_END if ends_below_top(site) else _EACH_TOP
