"""Drawings of half strips and zip by themselves, as seen from the right side. mm."""

from collections.abc import Mapping
from itertools import pairwise

from core.flat.geometry import corners_of
from core.flat.ink import Ink
from core.flat.roles import Face
from core.tops.top_strip.strip import TAB, TopStrip, place_of
from core.tops.zips.zipped import ZIP
from core.work.bench import Bench
from core.work.scene import TALL, WIDE, Diagram, DiagramArea, DiagramItem, DiagramLine, Placed


def strip_diagram(
    bench: Bench,
    strip: TopStrip,
    joined: tuple[Face, ...],
    *,
    topstitched: tuple[Face, ...] = (),
    new: tuple[Face, ...] = (),
    told: Mapping[str, float],
    ends: bool = False,
) -> Diagram:
    """The zip with the half strips that are joined to it.

    Args:
        joined, topstitched: by now.
        new: whose seam is new; or its topstitching, where it has that.
        told: measure -> length, pointed out at the first new line; none with `ends`.
        ends: whether the ends are new.
    """
    mouth = bench.site.mouth
    place, widths = place_of(mouth), strip.half_widths(mouth)
    length, seam = place.length, mouth.allowance
    shows = strip.zip_shows(mouth)
    heights = (widths[0] - seam, shows, widths[1] - seam)
    levels = [0.0, heights[0], heights[0] + shows, sum(heights)]
    drawn: list[DiagramItem] = []
    first_new = levels[1]
    seams = dict(zip(place.faces, (levels[1], levels[2]), strict=True))
    for number, (low, high) in enumerate(pairwise(levels)):
        is_zip = number == 1
        if not is_zip and place.faces[number // 2] not in joined:
            continue
        ink = Ink.PART if is_zip else Ink.GOODS
        drawn.append(DiagramArea(ink, corners_of((0.0, low, length, high))))
    middle = (levels[1] + levels[2]) / 2
    drawn.append(DiagramLine(Ink.STITCH, ((0.0, middle), (length, middle))))
    for face, level in seams.items():
        away = -bench.near_edge if face is place.faces[0] else bench.near_edge
        stitched = face in topstitched
        line = level + away if stitched else level
        if stitched or face in new:
            ink = Ink.NEW if face in new else Ink.STITCH
            drawn.append(DiagramLine(ink, ((0.0, line), (length, line))))
        if face in new and face is new[0]:
            first_new = line
    if ends:
        drawn += [DiagramLine(Ink.NEW, ((x, 0.0), (x, levels[3]))) for x in (0.0, length)]
    at = (length * 3 / 4, first_new)
    return Diagram(
        bounds=(0.0, 0.0, length, levels[3]),
        paper=WIDE,
        drawn=tuple(drawn),
        placed=tuple(Placed(name, each, at) for name, each in told.items()),
    )


def tab_diagram(bench: Bench, strip: TopStrip, reach: float) -> Diagram:
    """A tab, folded over the end of the zip between its half strips.

    Its fold stands so far in from the join.
    """
    tab, tape = bench.draft.piece(TAB), bench.draft.piece(ZIP)
    half, wide = tab.height / 2, tape.height
    seam = half - reach
    low = (wide - strip.zip_shows(bench.site.mouth)) / 2
    levels = (-half, low, wide - low, wide + half)  # enough of the half strips to be known by
    return Diagram(
        bounds=(-half, levels[0], half, levels[3]),
        paper=TALL,
        drawn=(
            *(
                DiagramArea(ink, corners_of((-half, foot, half, top)))
                for ink, (foot, top) in zip(
                    (Ink.GOODS, Ink.PART, Ink.GOODS), pairwise(levels), strict=True
                )
            ),
            DiagramLine(Ink.STITCH, ((-half, wide / 2), (half, wide / 2))),
            DiagramArea(Ink.NEW_AREA, corners_of((0.0, 0.0, half, wide))),
            DiagramLine(Ink.NEW, ((half - seam, 0.0), (half - seam, wide))),
        ),
        placed=(Placed("tab_reach", reach, (0.0, levels[3]), (half - seam, levels[3])),),
    )
