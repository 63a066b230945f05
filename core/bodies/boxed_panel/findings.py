"""What is doubtful about a panel: base, face, corner seams, room inside. Lengths are mm."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from core.base.sentences import Sentence, mark, say
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH
from core.bodies.boxed_panel.measure import room_finding
from core.bodies.boxed_panel.sizes import Tips
from core.bodies.openings import opening_findings
from core.model.figures import TakeUp
from core.model.findings import Finding, Fix, Severity
from core.site.site import FOOT_ROOM, Finished, Site

if TYPE_CHECKING:
    from core.bodies.boxed_panel.panel import BoxedPanel

MATCH_NOTE, MATCH_WARN, MATCH_STOP = MM_PER_INCH / 16, MM_PER_INCH / 8, 3 * MM_PER_INCH / 8
"""Corner mismatch from which easing it in is a note, a disappointment, impossible."""


_BASE_SIZES = {
    "base_width": mark(
        "The corner seams take up the whole bottom and {value} more: no base is left."
    ),
    "gusset_depth": mark(
        "The bottom has no depth: the corner cuts are {value} too shallow to give it any."
    ),
    "face_height": mark("The corners reach {value} beyond the top: no face height is left."),
}
_NO_SIZES = {
    "base_width": mark("The corner seams take up the whole bottom: no base is left."),
    "gusset_depth": mark("The corner cuts are only deep enough for the seams: no depth is left."),
    "face_height": mark("The corners reach up to the top: no face height is left."),
}
"""Where nothing is left, and nothing is lacking besides."""

_NARROW = {
    "base_width": mark(
        "The base is only {value} wide: between the corner seams the presser foot needs {limit}."
    ),
    "gusset_depth": mark(
        "The bottom is only {value} deep: the presser foot needs {limit} to sew its corners."
    ),
}
_PILLOW = mark(
    "No corners are cut out, so the bag has no bottom to stand on: it is a plain pillow."
)
_LOW = mark(
    "The face is {value} high and the bottom {limit} deep: the bag will be lower than it is deep."
)
_PILLOW_UNSEWN = mark(
    "No corners are sewn across, so the bag has no bottom to stand on: it is a plain pillow."
)
_LEFT_IN = mark(
    "The tips of the corners are left in: beyond each corner seam two more walls lie on the bottom."
)
_MISMATCH_NOTE = (
    mark(
        "At each corner seam the end of the base is {value} longer than the other side: ease it in."
    ),
    mark("At each corner seam the side edges are {value} longer than the other side: ease it in."),
)
_MISMATCH_WARN = (
    mark(
        "At each corner seam the end of the base is {value} longer than the other side: it will "
        "pucker."
    ),
    mark(
        "At each corner seam the side edges are {value} longer than the other side: it will pucker."
    ),
)
_MISMATCH_STOP = (
    mark(
        "At each corner seam the end of the base is {value} longer than the other side: it will "
        "not close."
    ),
    mark(
        "At each corner seam the side edges are {value} longer than the other side: it will not "
        "close."
    ),
)
"""Where the end of the base is longer, and where the side edges are."""


def panel_findings(panel: "BoxedPanel", site: Site, finished: Finished) -> tuple[Finding, ...]:
    """Whether the corners close, a base is left, room within the wall, and a hand gets in."""
    room = room_finding(panel, site.wall, finished)
    # A size is taken up by the walls already.
    full = room is not None and room.code == "no-room-inside"
    return (
        *_base_findings(panel, site, finished),
        *(() if room is None else (room,)),
        *_corner_findings(panel, site, 0.0 if full else site.wall, finished),
        *_left_in(panel),
        *opening_findings(site, finished),
    )


def _base_findings(panel: "BoxedPanel", site: Site, finished: Finished) -> Iterator[Finding]:
    """Whether base, gusset and face are there, wide enough for a foot, and in proportion."""
    sizes = {name: _known(finished, name) for name in _BASE_SIZES}
    gone = [name for name, size in sizes.items() if not shorter(0.0, size)]
    if gone:
        name = gone[0]
        lacking = max(-sizes[name], 0.0)
        message = (_BASE_SIZES if shorter(0.0, lacking) else _NO_SIZES)[name]
        if not panel.has_corners:
            message = _PILLOW_UNSEWN if panel.sewn_across else _PILLOW
        yield Finding(
            code="base-vanishes",
            severity=Severity.STOP,
            figure=name,
            value=sizes[name],
            limit=0.0,
            message=Sentence(message, {"value": lacking}),
            explains_lines=True,
        )
        return
    for name, message in _NARROW.items():
        if shorter(sizes[name], FOOT_ROOM):
            yield Finding(
                code="base-narrow",
                severity=Severity.WARN,
                figure=name,
                value=sizes[name],
                limit=FOOT_ROOM,
                message=say(message, value=sizes[name], limit=FOOT_ROOM),
                fixes=tuple(_widened(panel, site.take_up, name, FOOT_ROOM - sizes[name])),
            )
    face, depth = sizes["face_height"], sizes["gusset_depth"]
    if shorter(face, depth):
        yield Finding(
            code="face-too-short",
            severity=Severity.NOTE,
            figure="face_height",
            value=face,
            limit=depth,
            message=say(_LOW, value=face, limit=depth),
        )


def _widened(panel: "BoxedPanel", take_up: TakeUp, name: str, missing: float) -> Iterator[Fix]:
    """Cut the panel wider between its corners, or corners and panel for a deeper bottom."""
    if name == "base_width":
        width = panel.width + missing / take_up.across
        yield Fix(say("Cut the panel {value} wide", value=width), (("panel_width", width),))
    elif not panel.sewn_across:
        more = missing / take_up.deep
        depth = panel.corner_depth + more / 2
        changes = {
            "corner_cut_depth": depth,
            "corner_cut_width": panel.corner_width + more / 2,
            "panel_width": panel.width + more,
            "panel_length": panel.length + more,
        }
        yield Fix(say("Make the corner cut {value} deep", value=depth), tuple(changes.items()))


def _left_in(panel: "BoxedPanel") -> Iterator[Finding]:
    """That tips are left in."""
    if panel.sewn_across and panel.has_corners and panel.tips is Tips.LEFT_IN:
        trim = Fix(say("Trim the tips"), choices=(("tips", Tips.TRIMMED.value),))
        beyond, seam = panel.corner_allowance, panel.corner_seam
        yield Finding(
            code="corner-left-in",
            severity=Severity.NOTE,
            figure="corner_mark",
            value=panel.corner_mark,
            limit=None,
            message=Sentence(_LEFT_IN),
            # Trimmed to the seam itself, nothing would hold it.
            fixes=(trim,) if shorter(0.0, seam) and not shorter(beyond, seam) else (),
        )


def _corner_findings(
    panel: "BoxedPanel", site: Site, wall: float, finished: Finished
) -> Iterator[Finding]:
    """Whether the two stitch lines of a corner seam are equally long, within ease."""
    mismatch = finished["corner_mismatch"] or 0.0
    steps = (
        (MATCH_STOP, Severity.STOP, _MISMATCH_STOP),
        (MATCH_WARN, Severity.WARN, _MISMATCH_WARN),
        (MATCH_NOTE, Severity.NOTE, _MISMATCH_NOTE),
    )
    for limit, severity, message in steps:
        if not shorter(abs(mismatch), limit):
            lengths = {"value": abs(mismatch), "half": abs(mismatch) / 2}
            yield Finding(
                code="corner-edges-differ",
                severity=severity,
                figure="corner_mismatch",
                value=mismatch,
                limit=limit,
                message=Sentence(message[mismatch > 0], lengths),
                fixes=_corner_fixes(panel, site.take_up, wall, finished),
            )
            return


def _corner_fixes(
    panel: "BoxedPanel", take_up: TakeUp, wall: float, finished: Finished
) -> tuple[Fix, ...]:
    """Make the cut width fit its depth, or the depth its width, where room is left by the wall."""
    width = panel.corner_depth - panel.bottom_seam + panel.side_seam
    depth = panel.corner_width - panel.side_seam + panel.bottom_seam
    fixes: list[Fix] = []
    base = take_up.across * (panel.width - 2 * (width + panel.corner_seam))
    if width > 0.0 and shorter(2 * wall, base):
        label = say("Make the corner cut {value} wide", value=width)
        fixes.append(Fix(label, (("corner_cut_width", width),)))
    face = _known(finished, "face_height") - take_up.up * (depth - panel.corner_depth)
    half_gusset = take_up.deep * (depth - panel.bottom_seam + panel.corner_seam)
    front_side = panel.front_length - panel.top_seam - depth - panel.corner_seam
    if depth > 0.0 and shorter(wall, min(face, half_gusset)) and shorter(0.0, front_side):
        label = say("Make the corner cut {value} deep", value=depth)
        fixes.append(Fix(label, (("corner_cut_depth", depth),)))
    return tuple(fixes)


def _known(finished: Finished, name: str) -> float:
    value = finished[name]
    if value is None:
        raise KeyError(name)
    return value
