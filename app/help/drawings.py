"""The small drawings of the glossary: records drawn from the demo bag's own pieces and fold.

A drawing says one word: what the word means is the new work of the record layers (thick and in
the colour of the highlight), everything else is the bag as the other drawings show it.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType

import shapely

from core.bag.choices import with_choice
from core.bag.compute import Result, compute
from core.base.sentences import ENGLISH, Language, ShowLength
from core.drawing.records import Anchor
from core.drawing.sketch import Picture, Sketch, bounds_of
from core.drawing.solid_scene import SolidScene
from core.flat.geometry import Bounds
from core.flat.ink import Ink
from core.flat.piece import Piece, Point
from core.flat.roles import EdgeId, EdgeRef, EdgeRole, Face, MarkRole, SeamRole, Side
from core.solid.fold import FLAT, FOLDED, SEWN, FoldModel
from core.space.zones import AreaKind
from core.storage.bag_files import demo_bag
from core.work.scene import FoldedView

TALL = (34.0, 44.0)
WIDE = (58.0, 34.0)

_CORNER_FRONT = EdgeId(EdgeRole.CORNER, Face.FRONT, Side.LEFT)
_CORNER_BACK = EdgeId(EdgeRole.CORNER, Face.BACK, Side.LEFT)
_CORNER_END = EdgeId(EdgeRole.CORNER_END, side=Side.LEFT)


class Drawings:
    """Draws the demo bag for one word after another; `show` writes lengths, `translate` names."""

    def __init__(self, *, show: ShowLength, translate: Language = ENGLISH) -> None:
        self._show, self._translate = show, translate

    def picture(self, name: str) -> Picture:
        """The drawing of that name, one of `PICTURES`; KeyError when there is none."""
        return PICTURES[name](self)

    # --- the bag ------------------------------------------------------------------------------

    @cached_property
    def result(self) -> Result:
        return compute(demo_bag())

    @cached_property
    def model(self) -> FoldModel:
        return FoldModel(self.result.bag, self.result.draft)

    @property
    def piece(self) -> Piece:
        return self.result.draft.walls[0]

    def stitch(self, *edges: EdgeId) -> list[Point]:
        """Stitch lines of edges that follow one another, as one line."""
        outline = self.result.draft.outlines[self.piece.id]
        lines = [outline.line(edge) for edge in edges]
        return [lines[0][0], *(end for _, end in lines)]

    # --- flat ---------------------------------------------------------------------------------

    def panel(self, bounds: Bounds | None = None, box: tuple[float, float] = TALL) -> Sketch:
        """The panel, or what of it lies within bounds, with stitch lines and bottom fold."""
        piece = self.piece
        around = bounds or piece.bounds
        sketch = Sketch(around, box, show=self._show, most=0.6)
        clip = shapely.box(*around)
        for part in _parts(shapely.Polygon(piece.outline).intersection(clip)):
            sketch.area(Ink.GOODS, part, outline=False)
        for edge in piece.edges:
            self._clipped(sketch, Ink.CUT, (edge.start, edge.end), clip)
            line = self.result.draft.outlines[piece.id].line(edge.id)
            self._clipped(sketch, Ink.STITCH, line, clip)
        for fold in piece.folds:
            ends = ((piece.bounds[0], fold.y), (piece.bounds[2], fold.y))
            inside = shapely.Polygon(piece.outline).intersection(clip)
            self._clipped(sketch, Ink.FOLD, ends, inside)
        return sketch

    def named(self) -> Sketch:
        """The whole panel with the names of its two faces."""
        sketch = self.panel()
        left, bottom, right, top = self.piece.bounds
        middle = (left + right) / 2
        sketch.label(self._translate("front"), (middle, top), shift=(0.0, -4.5))
        sketch.label(self._translate("back"), (middle, bottom), shift=(0.0, 4.5))
        return sketch

    def corner(self) -> Sketch:
        """The corner cut at the left, large."""
        left, _, _, _ = self.piece.bounds
        end = self.piece.edge(_CORNER_END)
        reach = abs(end.length)
        low, high = sorted((end.start[1], end.end[1]))
        room = (left - 4.0, low - 0.5 * reach, left + 2.0 * reach, high + 0.5 * reach)
        return self.panel(room, (44.0, 44.0))

    def edge_close(self) -> tuple[Sketch, float, float]:
        """A stretch of the upper left corner, its side and its upper cut edge, mm."""
        left, _, _, top = self.piece.bounds
        near = 60.0
        bounds = (left - 6.0, top - near, left + 1.2 * near, top + 6.0)
        return self.panel(bounds, (44.0, 40.0)), left, top

    @staticmethod
    def _clipped(sketch: Sketch, ink: Ink, line: Sequence[Point], clip: object) -> None:
        if line[0] == line[1]:
            return
        kept = shapely.LineString(line).intersection(clip)
        if kept.geom_type == "LineString" and kept.length > 0.0:
            sketch.line(ink, [(float(x), float(y)) for x, y in shapely.get_coordinates(kept)])

    # --- folded -------------------------------------------------------------------------------

    def scene(
        self,
        view: FoldedView,
        box: tuple[float, float] = (46.0, 46.0),
        *,
        lit: frozenset[EdgeRef] = frozenset(),
        model: FoldModel | None = None,
    ) -> tuple[SolidScene, Sketch]:
        """One moment of the bag, or of another one's model, and a sketch that shows it."""
        scene = SolidScene(model or self.model, view, lit)
        sketch = Sketch(bounds_of(scene.points), box, show=self._show)
        scene.draw(sketch)
        return scene, sketch

    def solid(self, view: FoldedView, box: tuple[float, float] = (46.0, 46.0)) -> Picture:
        """One moment of the bag."""
        return self.scene(view, box)[1].picture()

    def sized(self, *figures: str) -> Picture:
        """The sewn bag with some of its sizes as thick lines, each with its length."""
        scene, sketch = self.scene(FoldedView(yaw=32.0, pitch=16.0))
        for each in scene.folded.dimensions:
            if each.size.figure in figures:
                start, end = scene.spot(each.start), scene.spot(each.end)
                sketch.line(Ink.NEW, (start, end))
                value = self.result.finished[each.size.figure] or each.length
                sketch.point_out(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), value)
        return sketch.picture()

    def seam(self, role: SeamRole, view: FoldedView) -> Picture:
        """The bag with the seams of one role lit."""
        walked = self.result.draft.walked_seams(role)
        lit = {ref for each in walked for ref in each.seam.edges}
        return self.scene(view, lit=frozenset(lit))[1].picture()

    def size(self, name: str) -> float:
        """One of its cut or finished figures, mm."""
        return {**self.result.finished, **self.result.cut}[name] or 0.0


def _parts(shape: object) -> list[list[Point]]:
    return [
        [(float(x), float(y)) for x, y in shapely.get_coordinates(part.exterior)[:-1]]
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and part.area > 0.0
    ]


def _panel(draw: Drawings) -> Picture:
    sketch = draw.named()
    sketch.line(Ink.NEW, (*draw.piece.outline, draw.piece.outline[0]))
    return sketch.picture()


def _bottom_fold(draw: Drawings) -> Picture:
    sketch = draw.named()
    start, end = draw.result.draft.outlines[draw.piece.id].fold_line(draw.piece.folds[0])
    sketch.line(Ink.NEW, (start, end))
    return sketch.picture()


def _bottom_seam(draw: Drawings) -> Picture:
    result = compute(with_choice(draw.result.bag, "bottom", "seam"))
    gap = 40.0
    first, second = result.draft.walls
    left, low, right, _ = first.bounds
    drop = low - gap - second.bounds[3]
    bounds = (left, drop + second.bounds[1], right, first.bounds[3])
    sketch = Sketch(bounds, TALL, show=str)
    for piece, shift in ((first, 0.0), (second, drop)):
        sketch.area(Ink.GOODS, [(x, y + shift) for x, y in piece.outline])
    (bottom,) = result.draft.walked_seams(SeamRole.BOTTOM)
    for ref in bottom.seam.edges:
        shift = 0.0 if ref.piece == first.id else drop
        line = result.draft.outlines[ref.piece].line(ref.edge)
        sketch.line(Ink.NEW, [(x, y + shift) for x, y in line])
    return sketch.picture()


def _cut_line(draw: Drawings) -> Picture:
    sketch, left, top = draw.edge_close()
    sketch.line(Ink.NEW, ((left, top - 60.0), (left, top), (left + 72.0, top)))
    return sketch.picture()


def _stitch_line(draw: Drawings) -> Picture:
    sketch, left, top = draw.edge_close()
    side, zip_seam = draw.size("side_seam"), draw.size("zip_seam")
    x, y = left + side, top - zip_seam
    sketch.line(Ink.NEW, ((x, top - 60.0), (x, y), (left + 72.0, y)))
    return sketch.picture()


def _allowance(draw: Drawings) -> Picture:
    sketch, left, top = draw.edge_close()
    side = draw.size("side_seam")
    sketch.area(
        Ink.NEW_AREA,
        ((left, top - 60.0), (left + side, top - 60.0), (left + side, top), (left, top)),
    )
    sketch.measure((left, top - 60.0), (left + side, top - 60.0))
    return sketch.picture()


def _corner_cut(draw: Drawings) -> Picture:
    sketch = draw.corner()
    front = draw.piece.edge(_CORNER_FRONT)
    end = draw.piece.edge(_CORNER_END)
    sketch.line(Ink.NEW, (front.start, front.end, end.end))
    low = (front.start[0], 0.0)
    sketch.measure((front.start[0], end.end[1]), (front.end[0], end.end[1]))
    sketch.measure(low, (low[0], front.start[1]))
    return sketch.picture()


def _boxed_corner(draw: Drawings) -> Picture:
    return draw.seam(SeamRole.CORNER, FoldedView(yaw=52.0, pitch=-20.0, wrong_side=True))


def _side_seam(draw: Drawings) -> Picture:
    return draw.seam(SeamRole.SIDE, FoldedView(yaw=52.0, pitch=14.0))


def _walking(draw: Drawings) -> Picture:
    sketch = draw.corner()
    for edge in (_CORNER_FRONT, _CORNER_END, _CORNER_BACK):
        sketch.line(Ink.NEW, draw.stitch(edge))
    return sketch.picture()


def _mismatch(draw: Drawings) -> Picture:
    from core.bag.bag import with_figures

    bag = draw.result.bag
    wider = with_figures(bag, {"corner_cut_depth": draw.size("corner_cut_depth") + 25.0})
    result = compute(wider)
    model = FoldModel(result.bag, result.draft)
    scene, sketch = draw.scene(FoldedView(yaw=52.0, pitch=14.0), model=model)
    for gap in scene.folded.gaps:
        if gap.face is Face.RIGHT:
            for outline in gap.outlines:
                sketch.area(Ink.NEW_AREA, [scene.spot(each) for each in outline])
    return sketch.picture()


def _front_trim(draw: Drawings) -> Picture:
    sketch = draw.named()
    left, bottom, right, top = draw.piece.bounds
    as_long = -bottom
    sketch.area(Ink.NEW_AREA, ((left, top), (right, top), (right, as_long), (left, as_long)))
    sketch.measure((right, top), (right, as_long))
    return sketch.picture()


def _top_fold(draw: Drawings) -> Picture:
    scene, sketch = draw.scene(FoldedView(yaw=20.0, pitch=14.0))
    offset = next(each for each in scene.folded.dimensions if each.size.figure == "zip_offset")
    x, y, z = offset.start
    sketch.line(Ink.NEW, (scene.spot(offset.start), scene.spot((-x, y, z))))
    return sketch.picture()


def _pocket_drop(draw: Drawings) -> Picture:
    left, _, right, top = draw.piece.bounds
    bounds = (left, 0.0, right, top)
    sketch = draw.panel(bounds, (46.0, 46.0))
    drop, high = draw.size("pocket_drop"), draw.size("pocket_height")
    low = top - drop - high
    sketch.area(Ink.PART, ((left, low), (right, low), (right, top - drop), (left, top - drop)))
    sketch.line(Ink.NEW, ((left, top - drop), (right, top - drop)))
    sketch.measure((right, top - drop), (right, top))
    return sketch.picture()


def _placement(draw: Drawings) -> Picture:
    sketch = draw.panel()
    for mark in draw.piece.marks:
        if mark.role is MarkRole.LEG:
            sketch.line(Ink.NEW, (*mark.points, *mark.points[: int(mark.closed)]))
    return sketch.picture()


def _handles(draw: Drawings) -> Picture:
    kinds = frozenset({AreaKind.BAND})
    return draw.solid(FoldedView(yaw=24.0, pitch=14.0, new_areas=kinds), (46.0, 54.0))


def _handle_stop(draw: Drawings) -> Picture:
    left, _, right, top = draw.piece.bounds
    sketch = draw.panel((left, 0.0, right, top), (46.0, 46.0))
    middle, gap = (left + right) / 2, draw.size("handle_gap")
    wide, stop = draw.size("handle_width"), top - draw.size("handle_stop")
    for side in (-1.0, 1.0):
        inner = middle + side * gap / 2
        outer = inner + side * wide
        sketch.area(Ink.PART, ((inner, 0.0), (outer, 0.0), (outer, stop), (inner, stop)))
        sketch.line(Ink.NEW, ((inner, stop), (outer, stop)))
    sketch.measure((middle - gap / 2, 0.0), (middle + gap / 2, 0.0))
    sketch.measure((right, stop), (right, top))
    return sketch.picture()


def _board(draw: Drawings) -> Picture:
    kinds = frozenset({AreaKind.STIFFENER})
    return draw.solid(FoldedView(pitch=34.0, through=True, new_areas=kinds))


def _basting(draw: Drawings) -> Picture:
    sketch, left, top = draw.edge_close()
    inset = draw.result.bag.sandwich.baste_line
    x, y = left + inset, top - inset
    dash, gap = 5.0, 4.0
    here = top - 60.0
    while here + dash <= y:
        sketch.line(Ink.NEW, ((x, here), (x, here + dash)))
        here += dash + gap
    here = x
    while here + dash <= left + 72.0:
        sketch.line(Ink.NEW, ((here, y), (here + dash, y)))
        here += dash + gap
    return sketch.picture()


def _grain(draw: Drawings) -> Picture:
    sketch = draw.named()
    left, bottom, right, top = draw.piece.bounds
    middle = (left + right) / 2
    tip, barb = (middle, top * 0.55), 0.04 * (top - bottom)
    sketch.line(Ink.NEW, ((middle, bottom * 0.55), tip))
    for side in (-barb, barb):
        sketch.line(Ink.NEW, ((middle + side, tip[1] - barb), tip))
    return sketch.picture()


def _take_up(draw: Drawings) -> Picture:
    """A face as it is drawn and, within it, as it may come out of the machine."""
    wide, high = draw.size("opening_width"), draw.size("face_height")
    sketch = Sketch((0.0, 0.0, wide, high), (42.0, 40.0), show=str)
    lost = 0.04  # larger than a seam takes, so that it can be seen
    x, y = lost * wide / 2, lost * high / 2
    sketch.area(Ink.GOODS, ((0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)))
    sewn = ((x, y), (wide - x, y), (wide - x, high - y), (x, high - y))
    sketch.line(Ink.NEW, (*sewn, sewn[0]))
    return sketch.picture()


def _layers(draw: Drawings) -> Picture:
    """The layers one over another, each as thick as it is in proportion."""
    layers = draw.result.bag.sandwich.layers
    sketch = Sketch((0.0, 0.0, 58.0, 34.0), WIDE, show=str)
    y = 0.0
    total = sum(layer.thickness for layer in layers)
    room = 30.0
    for place, layer in enumerate(reversed(layers)):
        high = max(room * layer.thickness / total, 3.2)
        kind = (Ink.GOODS, Ink.SHADE)[place % 2]
        sketch.area(kind, ((0.0, y), (26.0, y), (26.0, y + high), (0.0, y + high)))
        name = draw._translate(layer.role)
        sketch.label(name, (26.0, y + high / 2), shift=(1.5, 0.0), anchor=Anchor.START)
        y += high
    return sketch.picture()


PICTURES: Mapping[str, Callable[[Drawings], Picture]] = MappingProxyType(
    {
        "panel": _panel,
        "bottom-fold": _bottom_fold,
        "bottom-seam": _bottom_seam,
        "cut-line": _cut_line,
        "stitch-line": _stitch_line,
        "seam-allowance": _allowance,
        "corner-cut": _corner_cut,
        "boxed-corner": _boxed_corner,
        "side-seam": _side_seam,
        "base-width": lambda draw: draw.sized("base_width"),
        "gusset-depth": lambda draw: draw.sized("gusset_depth"),
        "face-height": lambda draw: draw.sized("face_height"),
        "zip-offset": lambda draw: draw.sized("zip_offset"),
        "walking-the-seams": _walking,
        "corner-mismatch": _mismatch,
        "front-trim": _front_trim,
        "top-fold": _top_fold,
        "pocket-drop": _pocket_drop,
        "placement-line": _placement,
        "handle-drop": _handles,
        "handle-stop": _handle_stop,
        "base-board": _board,
        "basting": _basting,
        "grain": _grain,
        "take-up": _take_up,
        "layers": _layers,
        "flat": lambda draw: draw.solid(FoldedView(share=FLAT, pitch=60.0)),
        "folded": lambda draw: draw.solid(FoldedView(share=FOLDED)),
        "sewn": lambda draw: draw.solid(FoldedView(share=SEWN)),
    }
)
"""Name -> what draws it."""
