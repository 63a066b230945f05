"""Random bags, in the steps that the spin boxes offer. Lengths are mm.

`bags()` draws anything that can be drawn, doubtful or not: zero allowances, corners that
close badly, zips across the top fold; every fourth bag has its corners sewn across.
`carriers()` draws the same of strips, wraps and separate bases, with any top that goes with them.
`sewable_bags()` starts from finished sizes, so that every corner is matched and a base is left.
"""

import math
from dataclasses import dataclass, replace

from hypothesis import assume
from hypothesis import strategies as st

from core.bag.bag import Bag
from core.bag.compute import Around
from core.bag.construction import Ahead
from core.bag.parts import Parts
from core.base.errors import FieldError
from core.base.units import Unit, ruler_steps
from core.bodies.body import Body
from core.bodies.boxed_panel.panel import BoxedPanel
from core.bodies.boxed_panel.sizes import Corners, Tips
from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.bodies.separate_base.body import SeparateBase
from core.goods.layers import Layer, Sandwich
from core.parts.board.board import BaseBoard, BoardWay
from core.parts.handles.figures import HandleStyle
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket, PocketFaces
from core.parts.table import SLOTS
from core.storage.bag_files import sample
from core.tops.hem.hem import Hem
from core.tops.table import TOPS
from core.tops.top import Top
from core.tops.zip_forward.zip import ZipForward

Draw = st.DrawFn


@dataclass(frozen=True)
class Ruler:
    """Lengths as whole steps of one ruler: 1/16 in, or 1 mm.

    Attributes:
        unit: whose finest step is drawn.
    """

    unit: Unit

    @property
    def step(self) -> float:
        """The finest step that a spin box of this unit offers, mm."""
        return ruler_steps(self.unit)[0]

    def steps(self, inches: float) -> int:
        """About so many inches, in whole steps."""
        return round(inches * 25.4 / self.step)

    def mm(self, steps: int) -> float:
        """Whole steps as mm."""
        return steps * self.step


rulers = st.sampled_from([Ruler(Unit.INCH), Ruler(Unit.MM)])


@st.composite
def panels(
    draw: Draw, *, ruler: Ruler | None = None, folded: bool | None = None, matched: bool = False
) -> BoxedPanel:
    """A panel that can be drawn; with `matched`, both edges of each corner seam agree."""
    ruler = ruler or draw(rulers)
    folded = draw(st.booleans()) if folded is None else folded
    allowance = st.integers(0, ruler.steps(1))
    side, corner, top = draw(st.tuples(allowance, allowance, allowance))
    bottom = 0 if folded else draw(st.integers(1, ruler.steps(1)))
    width = draw(st.integers(2 * max(side, ruler.steps(1)) + 3, ruler.steps(40)))
    back = draw(st.integers(top + bottom + ruler.steps(1), ruler.steps(40)))
    trim = draw(st.integers(0, min(back - top - bottom - 3, ruler.steps(6))))
    widest = (width - 1) // 2
    if matched:
        depth = draw(st.integers(bottom + 1, min(back - trim - 1, widest - side + bottom)))
        cut = depth - bottom + side
    else:
        depth = draw(st.integers(0, back - trim - 1))
        cut = draw(st.integers(0, widest))
    return BoxedPanel(
        width=ruler.mm(width),
        length=ruler.mm(2 * back),
        front_trim=ruler.mm(trim),
        corner_width=ruler.mm(cut),
        corner_depth=ruler.mm(depth),
        side_seam=ruler.mm(side),
        corner_seam=ruler.mm(corner),
        top_seam=ruler.mm(top),
        bottom_seam=ruler.mm(bottom),
    )


@st.composite
def sewn_across(draw: Draw, panel: BoxedPanel, ruler: Ruler) -> BoxedPanel:
    """The panel with its corners sewn across anywhere, or nowhere: then it is a pillow."""
    # Where the tip ends, where the corners meet, and where they reach the top of the front.
    tips = draw(st.sampled_from(Tips))
    left_in = tips is Tips.LEFT_IN
    least = 0.0 if left_in else panel.corner_seam - min(panel.side_seam, panel.bottom_seam)
    most = panel.corner_seam + min(
        panel.width / 2 - panel.side_seam, panel.front_length - panel.bottom_seam
    )
    low, high = math.ceil(least / ruler.step - 1e-6), math.ceil(most / ruler.step - 1e-6) - 1
    steps = draw(st.integers(low, high)) if low <= high else 0
    mark = ruler.mm(max(steps, 0))
    return replace(panel, corners=Corners.SEWN_ACROSS, corner_mark=mark, tips=tips)


@st.composite
def pillows(draw: Draw) -> BoxedPanel:
    """A panel without corner cuts, folded or seamed."""
    ruler = draw(rulers)
    side, top = draw(st.tuples(*[st.integers(0, ruler.steps(1))] * 2))
    bottom = draw(st.integers(0, ruler.steps(1)))
    back = draw(st.integers(top + bottom + ruler.steps(1), ruler.steps(40)))
    return BoxedPanel(
        width=ruler.mm(draw(st.integers(2 * side + 1, ruler.steps(40)))),
        length=ruler.mm(2 * back),
        front_trim=ruler.mm(draw(st.integers(0, back - top - bottom - 1))),
        corner_width=0.0,
        corner_depth=0.0,
        side_seam=ruler.mm(side),
        corner_seam=ruler.mm(draw(st.integers(0, ruler.steps(1)))),
        top_seam=ruler.mm(top),
        bottom_seam=ruler.mm(bottom),
    )


@st.composite
def closures(draw: Draw, panel: BoxedPanel, ruler: Ruler) -> Top:
    """An open top, or a zip whose seams leave something to see."""
    if draw(st.booleans()):
        return Hem()
    shows = ruler.mm(draw(st.integers(1, ruler.steps(2))))
    length = ruler.mm(draw(st.integers(1, ruler.steps(45))))
    return ZipForward(
        tape_width=2 * panel.top_seam + shows,
        length=length,
        gauge=draw(st.sampled_from(["5", "3", "10", ""])),
        by_length=draw(st.booleans()),
    )


@st.composite
def pockets(draw: Draw, ruler: Ruler) -> Pocket:
    """A pocket of any height, anywhere below the top edge."""
    seam = draw(st.integers(0, ruler.steps(1)))
    return Pocket(
        faces=draw(st.sampled_from(PocketFaces)),
        cut_height=ruler.mm(draw(st.integers(2 * seam + 1, ruler.steps(40)))),
        drop=ruler.mm(draw(st.integers(0, ruler.steps(20)))),
        seam=ruler.mm(seam),
    )


@st.composite
def handles(draw: Draw, panel: BoxedPanel, ruler: Ruler) -> Handles:
    """Handles whose stitching ends above the bottom."""
    face = int((panel.front_length - panel.bottom_seam) / ruler.step + 1e-6)
    stop = draw(st.integers(0, face - 1))
    # A strip must be wider than its fold clearance and longer than its two joins; the
    # narrowest goods that are drawn are 508 mm wide, less 3 % that they shrink.
    least_width, least_length = int(1.5875 / ruler.step) + 1, int(12.7 / ruler.step) + 1
    lengths = st.integers(least_length + 1, int(0.97 * 508.0 / ruler.step))
    leg = draw(st.integers(1, face - stop))
    return Handles(
        style=draw(st.sampled_from(HandleStyle)),
        width=ruler.mm(draw(st.integers(least_width + 1, ruler.steps(3)))),
        gap=ruler.mm(draw(st.integers(0, ruler.steps(20)))),
        stop=ruler.mm(stop),
        strips=draw(st.integers(1, 8)),
        last_strip=draw(st.none() | lengths.map(ruler.mm)),
        leg=ruler.mm(leg),
        back_lower=ruler.mm(draw(st.just(0) | st.integers(0, face - stop - leg))),
    )


@st.composite
def boards(draw: Draw, ruler: Ruler) -> BaseBoard:
    """A board of any size, laid in or fused on."""
    size = st.integers(1, ruler.steps(20))
    way = draw(st.sampled_from(BoardWay))
    return BaseBoard(width=ruler.mm(draw(size)), depth=ruler.mm(draw(size)), way=way)


@st.composite
def sandwiches(draw: Draw) -> Sandwich:
    """One to four layers, in tenths of a millimetre, on goods of usual widths."""
    tenths = st.integers(0, 60)
    layers = []
    for role in ("outer fabric", "interfacing", "fleece", "lining")[: draw(st.integers(1, 4))]:
        thickness = draw(tenths)
        layers.append(
            Layer(
                role=role,
                thickness=thickness / 10,
                pressed=draw(st.integers(0, thickness)) / 10,
                usable_width=draw(st.sampled_from([508.0, 1016.0, 1371.6, 2743.2])),
                one_way=draw(st.booleans()),
                melts=draw(st.booleans()),
                fusible=draw(st.booleans()),
                laid_last=draw(st.booleans()),
                shrink_length=draw(st.sampled_from([0.0, 0.05])),
                shrink_width=draw(st.sampled_from([0.0, 0.03])),
                cut_washed=draw(st.booleans()),
            )
        )
    return Sandwich(layers=tuple(layers))


@st.composite
def bags(
    draw: Draw, *, panel: st.SearchStrategy[BoxedPanel] | None = None, ruler: Ruler | None = None
) -> Bag:
    """Any bag that can be drawn, with and without each of its parts."""
    ruler = ruler or draw(rulers)
    sheet = draw(panel if panel is not None else panels(ruler=ruler))
    if panel is None and draw(st.integers(0, 3)) == 3:
        sheet = draw(sewn_across(sheet, ruler))
    with_pocket, with_handles, with_board = draw(st.tuples(*[st.booleans()] * 3))
    # A sheet drawn by another ruler may be lower than a step of this one.
    with_handles = with_handles and sheet.front_length - sheet.bottom_seam >= ruler.step
    return Bag(
        name="random",
        unit=ruler.unit,
        body=sheet,
        top=draw(closures(sheet, ruler)),
        sandwich=draw(sandwiches()),
        parts=Parts(
            part
            for part in (
                draw(pockets(ruler)) if with_pocket else None,
                draw(handles(sheet, ruler)) if with_handles else None,
                draw(boards(ruler)) if with_board else None,
            )
            if part is not None
        ),
    )


@dataclass(frozen=True)
class Wanted:
    """Finished sizes and allowances from which a panel is cut, mm.

    Attributes:
        base, depth, face: base width, gusset depth, face height.
        zip_width, offset: 0 for an open top.
        side, corner, top, bottom: allowances; `bottom` is 0 for a fold.
    """

    base: float
    depth: float
    face: float
    zip_width: float
    offset: float
    side: float
    corner: float
    top: float
    bottom: float

    def panel(self, corners: Corners = Corners.CUT) -> BoxedPanel:
        """The cut sizes, by the inverse formulas: every corner matched."""
        d = self.depth / 2 - self.corner
        a = d + self.side
        t = 2 * self.offset
        length = 2 * self.face + self.depth + 2 * self.top - self.zip_width + t + 2 * self.bottom
        return BoxedPanel(
            width=self.base + 2 * (a + self.corner),
            length=length,
            front_trim=t,
            corners=corners,
            corner_width=a,
            corner_depth=d + self.bottom,
            corner_mark=self.depth / 2,
            side_seam=self.side,
            corner_seam=self.corner,
            top_seam=self.top,
            bottom_seam=self.bottom,
        )

    def bag_top(self) -> Top:
        """The zip that shows so much, two ends to spare; or an open top."""
        if self.zip_width == 0.0:
            return Hem()
        spare = self.panel().width + 2 * 25.4
        return ZipForward(tape_width=self.zip_width + 2 * self.top, length=spare)


@st.composite
def wanted(draw: Draw, *, ruler: Ruler | None = None) -> Wanted:
    """Finished sizes of a bag that can be sewn."""
    ruler = ruler or draw(rulers)
    allowance = st.integers(1, ruler.steps(0.75))
    side, corner, top = draw(st.tuples(allowance, allowance, allowance))
    bottom = draw(st.sampled_from([0, 1])) * draw(allowance)
    half_depth = draw(st.integers(corner + 1, ruler.steps(6)))
    face = draw(st.integers(ruler.steps(4), ruler.steps(20)))
    shows = draw(st.sampled_from([0, 1])) * draw(st.integers(1, ruler.steps(1)))
    offset = draw(st.integers(0, ruler.steps(1.25))) if shows else 0
    return Wanted(
        base=ruler.mm(draw(st.integers(ruler.steps(1), ruler.steps(24)))),
        depth=ruler.mm(2 * half_depth),
        face=ruler.mm(face),
        zip_width=ruler.mm(shows),
        offset=ruler.mm(offset),
        side=ruler.mm(side),
        corner=ruler.mm(corner),
        top=ruler.mm(top),
        bottom=ruler.mm(bottom),
    )


@st.composite
def sewable_bags(draw: Draw) -> Bag:
    """A bag with matched corners and a base, and parts that may still be doubtful."""
    ruler = draw(rulers)
    sizes = draw(wanted(ruler=ruler))
    panel = sizes.panel()
    with_pocket, with_handles, with_board = draw(st.tuples(*[st.booleans()] * 3))
    return Bag(
        name="sewable",
        unit=ruler.unit,
        body=panel,
        top=sizes.bag_top(),
        sandwich=draw(sandwiches()),
        parts=Parts(
            part
            for part in (
                draw(pockets(ruler)) if with_pocket else None,
                draw(handles(panel, ruler)) if with_handles else None,
                draw(boards(ruler)) if with_board else None,
            )
            if part is not None
        ),
    )


@st.composite
def strip_bodies(draw: Draw, ruler: Ruler) -> StripBody:
    """Two panels, and a strip that fits round them or does not; open, or with a gap at the top."""
    seam, end, top = (ruler.mm(draw(st.integers(1, ruler.steps(0.75)))) for _ in range(3))
    wide, deep, high = (
        ruler.mm(draw(st.integers(ruler.steps(3), ruler.steps(18)))) for _ in range(3)
    )
    closed = draw(st.booleans())
    most = int((min(wide, high) / 2 - ruler.step) / ruler.step)
    radii = [ruler.mm(draw(st.sampled_from([0, 1])) * draw(st.integers(1, most))) for _ in "lu"]
    lower, upper = radii if closed else (radii[0], 0.0)
    less = (4.0 - math.pi) * (lower + upper)
    around = 2 * wide + 2 * high - less if closed else wide + 2 * high - less
    gap = draw(st.sampled_from([wide - 2 * upper, wide, wide + high / 2])) if closed else 0.0
    gap = max(gap, ruler.step) if closed else 0.0
    strip = around - gap + 2 * (end if closed else top)
    slip = draw(st.sampled_from([0.0, 0.0, ruler.step, -ruler.step, 4 * seam]))
    return draw(st.sampled_from([GussetStrip, Wrap]))(
        face_cut_width=wide + 2 * seam,
        face_cut_height=high + seam + (seam if closed else top),
        corner_rounding=lower + seam if lower else 0.0,
        upper_rounding=upper + seam if upper else 0.0,
        strip_width=deep + 2 * seam,
        strip_length=max(strip + slip, math.pi * lower + 100.0),
        strip_pieces=draw(st.integers(1, 2)),
        top_strip_length=gap + 2 * end if closed else 0.0,
        gusset_seam=seam,
        strip_seam=end,
        top_seam=top,
    )


@st.composite
def separate_bases(draw: Draw, ruler: Ruler) -> SeparateBase:
    """A base, square or rounded up to a circle, and walls that fit round it or do not."""
    side, base, top = (ruler.mm(draw(st.integers(1, ruler.steps(0.75)))) for _ in range(3))
    wide, deep, high = (
        ruler.mm(draw(st.integers(ruler.steps(3), ruler.steps(18)))) for _ in range(3)
    )
    pieces = draw(st.sampled_from([1, 2, 4]))
    most = min(wide, deep) / 2
    radius = 0.0 if pieces == 4 else draw(st.sampled_from([0.0, most / 2, most]))
    ring = 2 * (wide + deep) - (8.0 - 2 * math.pi) * radius
    slip = draw(st.sampled_from([0.0, 0.0, ruler.step, -ruler.step]))
    wall = wide if pieces == 4 else ring / pieces
    return SeparateBase(
        base_cut_width=wide + 2 * base,
        base_cut_depth=deep + 2 * base,
        corner_rounding=radius + base if radius else 0.0,
        body_width=wall + slip + 2 * side,
        body_end_width=deep + 2 * side if pieces == 4 else 0.0,
        body_height=high + base + top,
        front_trim=ruler.mm(draw(st.integers(0, ruler.steps(2)))) if pieces == 2 else 0.0,
        body_pieces=pieces,
        side_seam=side,
        base_seam=base,
        top_seam=top,
    )


@st.composite
def carriers(draw: Draw) -> Bag:
    """Any bag that is cut like a box, with a top that goes with it, with and without its parts."""
    ruler = draw(rulers)
    body: Body = draw(st.one_of(strip_bodies(ruler), separate_bases(ruler)))
    model = replace(sample("demo"), unit=ruler.unit, parts=Parts(), sandwich=draw(sandwiches()))
    ahead = Ahead.with_body(model, body)
    ring = body.mouth().ring is not None or isinstance(body, SeparateBase)
    kinds = [
        kind
        for kind in TOPS
        if kind.refused(body.mouth()) is None and (ring or not kind.CLOSES_RING)
    ]
    tops: list[Top] = []
    for kind in kinds:
        try:
            tops.append(kind.fresh(ahead))
            tops[-1].check_fit(body.mouth())
        except FieldError:  # too shallow a strip for any tape
            del tops[-1:]
    assume(tops)
    bag = replace(model, name="carrier", body=body, top=draw(st.sampled_from(tops)))
    for kind in draw(st.sets(st.sampled_from(SLOTS))):
        try:
            bag = bag.with_part(kind.fresh(Around(bag)))
        except FieldError:
            continue
    return bag
