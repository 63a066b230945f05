"""The panel: back, bottom and front in one, or two faces joined by a bottom seam.

Frame: x across from the left cut edge; y from the bottom line (the fold, or the stitch
line of the bottom seam), positive up the front, negative up the back. Lengths are mm.
"""

from dataclasses import dataclass
from typing import ClassVar

from core.errors import Sentence
from core.figures import CutFigure, FinishedFigure, Kind, check_record
from core.findings import Finding, Mend, Severity
from core.flat.piece import Edge, Fold, Goods, Mark, Piece, Turn
from core.flat.seam import EdgeRef, Seam, SeamKind
from core.parts.site import INCH, Face, Finished, Site

LONGEST = 5000.0
"""Longest side of a piece, mm: a printed page may be 5.08 m long."""

MATCH_NOTE, MATCH_WARN, MATCH_STOP = INCH / 16, INCH / 8, 3 * INCH / 8
"""Corner mismatch from which easing it in is a note, a disappointment, impossible."""


def _length(
    name: str,
    label: str,
    attribute: str,
    help: str,
    *,
    above_low: bool = False,
    high: float = LONGEST,
) -> CutFigure:
    return CutFigure(
        name=name,
        label=label,
        part="panel",
        attribute=attribute,
        low=0.0,
        high=high,
        above_low=above_low,
        help=help,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """The one flat piece that makes back, bottom and front.

    Attributes:
        width: across, cut.
        length: before the front trim, cut; both faces together.
        front_trim: how much shorter the front is cut than the back.
        corner_width, corner_depth: corner cut along the bottom, and up from the bottom
            fold or bottom cut edge, on one layer. Both 0: no corners, a plain pillow.
        side_seam, corner_seam, top_seam: allowances; `top_seam` joins the zip, or hems.
        bottom_seam: allowance of a bottom seam; 0 means that the bottom is a fold.
    """

    width: float
    length: float
    front_trim: float
    corner_width: float
    corner_depth: float
    side_seam: float
    corner_seam: float
    top_seam: float
    bottom_seam: float = 0.0

    FIGURES: ClassVar[tuple[CutFigure, ...]] = (
        _length("panel_width", "Panel width", "width", "Cut width of the panel.", above_low=True),
        _length(
            "panel_length",
            "Panel length",
            "length",
            "Cut length of the panel, back and front together, before the front trim.",
            above_low=True,
            high=2 * LONGEST,
        ),
        _length(
            "front_trim",
            "Front trim",
            "front_trim",
            "How much shorter the front is cut than the back: the zip lies half of it forward.",
        ),
        _length(
            "corner_cut_width",
            "Corner cut width",
            "corner_width",
            "Width of each corner cut along the bottom, on one layer.",
        ),
        _length(
            "corner_cut_depth",
            "Corner cut depth",
            "corner_depth",
            "Depth of each corner cut up from the bottom, on one layer.",
        ),
        _length("side_seam", "Side seam", "side_seam", "Seam allowance of the side seams."),
        _length("corner_seam", "Corner seam", "corner_seam", "Seam allowance of boxed corners."),
        _length(
            "zip_seam",
            "Zip seam",
            "top_seam",
            "Seam allowance where the zip is joined, or the hem of an open top.",
        ),
        _length(
            "bottom_seam",
            "Bottom seam",
            "bottom_seam",
            "Seam allowance of a bottom seam; 0 when the bottom is a fold.",
        ),
    )

    FINISHED: ClassVar[tuple[FinishedFigure, ...]] = (
        FinishedFigure(
            name="base_width",
            label="Base width",
            part="panel",
            help="Finished side-to-side size of the bottom.",
        ),
        FinishedFigure(
            name="gusset_depth",
            label="Gusset depth",
            part="panel",
            help="Finished front-to-back size of the bottom, along the end of the base.",
        ),
        FinishedFigure(
            name="gusset_depth_at_side",
            label="Gusset depth at the side",
            part="panel",
            help="The same size along the two side edges that the corner seam joins to it.",
        ),
        FinishedFigure(
            name="corner_mismatch",
            label="Corner mismatch",
            part="panel",
            help="How much longer the side edges of a corner seam are than the end of the base.",
        ),
        FinishedFigure(
            name="face_height",
            label="Face height",
            part="panel",
            help="Finished height from the base edge to the top fold.",
        ),
        FinishedFigure(
            name="opening_width",
            label="Opening width",
            part="panel",
            help="Finished width of the top, flat.",
        ),
        FinishedFigure(
            name="box_volume",
            label="Box volume",
            part="panel",
            kind=Kind.VOLUME,
            help="Base width x gusset depth x face height: an open bag filled to the top fold.",
        ),
        FinishedFigure(
            name="inside_volume",
            label="Inside volume",
            part="panel",
            kind=Kind.VOLUME,
            help="The same box inside the thickness of the wall.",
        ),
        FinishedFigure(
            name="filled_volume",
            label="Filled volume",
            part="panel",
            kind=Kind.VOLUME,
            help="The largest volume that the closed bag can hold.",
        ),
    )

    def __post_init__(self) -> None:
        check_record(self, self.FIGURES)
        self._check_top()
        self._check_corners()

    def _check_top(self) -> None:
        if self.front_trim >= self.back_length:
            self._refuse(
                "front_trim", "it must be less than the back, {limit}.", self.back_length
            )
        room = self.front_length - self.bottom_seam
        if self.top_seam >= room:
            self._refuse("zip_seam", "it must be less than the front, {limit}.", room)
        if 2 * self.side_seam >= self.width:
            self._refuse(
                "side_seam", "it must be less than half the panel, {limit}.", self.width / 2
            )

    def _check_corners(self) -> None:
        if 2 * self.corner_width >= self.width:
            self._refuse(
                "corner_cut_width",
                "it must be less than half the panel, {limit}.",
                self.width / 2,
            )
        if self.corner_depth >= self.front_length:
            self._refuse(
                "corner_cut_depth",
                "it must be less than the front, {limit}.",
                self.front_length,
            )

    def _refuse(self, name: str, rule: str, limit: float) -> None:
        figure = next(each for each in self.FIGURES if each.name == name)
        figure.refuse(getattr(self, figure.attribute), rule, limit=limit)

    @property
    def folded(self) -> bool:
        """Whether the bottom is a fold rather than a seam."""
        return self.bottom_seam == 0.0

    @property
    def has_corners(self) -> bool:
        """Whether corners are cut at all."""
        return self.corner_width > 0.0 or self.corner_depth > 0.0

    @property
    def back_length(self) -> float:
        """Cut length of the back: half of the panel length."""
        return self.length / 2

    @property
    def front_length(self) -> float:
        """Cut length of the front: half of the panel length less the front trim."""
        return self.length / 2 - self.front_trim

    def top(self, face: Face) -> float:
        """Cut top edge of a face above the bottom line."""
        cut = self.front_length if face is Face.FRONT else self.back_length
        return cut - self.bottom_seam

    def draft_pieces(self, marks: dict[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
        """One panel, or a front and a back, with the marks that belong on each face."""
        if self.folded:
            edges = self._face_edges(Face.FRONT) + self._face_edges(Face.BACK)
            fold_ends = ("corner end left", "corner end right")
            if self.has_corners:
                edges = self._join_corner_ends(edges)
            else:
                fold_ends = ("side front left", "side front right")
            fold = Fold("bottom fold", *fold_ends, y=0.0)
            every = marks[Face.FRONT] + marks[Face.BACK]
            return (_panel_piece("panel", edges, (fold,), every),)
        return tuple(
            _panel_piece(
                face.value,
                (*self._face_edges(face), self._bottom_edge(face)),
                (),
                marks[face],
            )
            for face in (Face.FRONT, Face.BACK)
        )

    def _face_edges(self, face: Face) -> tuple[Edge, ...]:
        """Edges of one face, counter-clockwise, from one end of the bottom to the other."""
        name = face.value
        a, b = self.corner_width, self.corner_depth - self.bottom_seam
        low, top = -self.bottom_seam, self.top(face)
        if not self.has_corners:
            b = low
        w = self.width
        up, down, left, right = (0.0, 1.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 0.0)
        s1, s2, s3 = self.side_seam, self.corner_seam, self.top_seam
        corner_right = (
            Edge(f"corner end {name} right", (w - a, low), (w - a, b), s2, up),
            Edge(f"corner {name} right", (w - a, b), (w, b), s2, right),
        )
        corner_left = (
            Edge(f"corner {name} left", (0.0, b), (a, b), s2, right),
            Edge(f"corner end {name} left", (a, b), (a, low), s2, down),
        )
        walls = (
            Edge(f"side {name} right", (w, b), (w, top), s1, up),
            Edge(f"top {name}", (w, top), (0.0, top), s3, left),
            Edge(f"side {name} left", (0.0, top), (0.0, b), s1, down),
        )
        corners = self.has_corners
        edges = (corner_right if corners else ()) + walls + (corner_left if corners else ())
        if face is Face.FRONT:
            return edges
        return tuple(_turned(edge, w) for edge in edges)

    def _bottom_edge(self, face: Face) -> Edge:
        a, low = self.corner_width, -self.bottom_seam
        edge = Edge(
            f"bottom {face.value}",
            (a, low),
            (self.width - a, low),
            self.bottom_seam,
            (1.0, 0.0),
        )
        return edge if face is Face.FRONT else _turned(edge, self.width)

    def _join_corner_ends(self, edges: tuple[Edge, ...]) -> tuple[Edge, ...]:
        """On a folded bottom the two halves of a corner end are one edge across the fold."""
        by_name = {edge.name: edge for edge in edges}
        joined = {
            "corner end front right": _joined("corner end right", by_name, "right"),
            "corner end front left": _joined("corner end left", by_name, "left"),
        }
        kept = [
            joined.get(edge.name, edge)
            for edge in edges
            if edge.name not in ("corner end back right", "corner end back left")
        ]
        return tuple(kept)

    def corner_seams(self) -> tuple[Seam, ...]:
        """The two boxed corners; none on a plain pillow."""
        if not self.has_corners:
            return ()
        return tuple(
            Seam(
                name=f"corner seam {hand}",
                kind=SeamKind.CORNER,
                one=(
                    self.ref(Face.FRONT, f"corner front {hand}"),
                    self.ref(Face.BACK, f"corner back {hand}"),
                ),
                other=self._corner_ends(hand),
            )
            for hand in ("left", "right")
        )

    def bottom_seams(self) -> tuple[Seam, ...]:
        """The bottom seam, where there is one."""
        if self.folded:
            return ()
        one, other = (self.ref(face, f"bottom {face.value}") for face in Face)
        return (Seam(name="bottom seam", kind=SeamKind.BOTTOM, one=(one,), other=(other,)),)

    def _corner_ends(self, hand: str) -> tuple[EdgeRef, ...]:
        if self.folded:
            return (EdgeRef("panel", f"corner end {hand}"),)
        return tuple(self.ref(face, f"corner end {face.value} {hand}") for face in Face)

    def ref(self, face: Face, edge: str) -> EdgeRef:
        """An edge of the piece that holds this face."""
        return EdgeRef("panel" if self.folded else face.value, edge)

    def findings(self, site: Site, finished: Finished) -> tuple[Finding, ...]:
        """Whether the corners close and a base is left."""
        return (*self._base_findings(finished), *self._corner_findings(finished))

    def _base_findings(self, finished: Finished) -> tuple[Finding, ...]:
        sizes = {name: _known(finished, name) for name in _BASE_SIZES}
        gone = [name for name, size in sizes.items() if size <= 0.0]
        if gone:
            name = gone[0]
            message = _BASE_SIZES[name] if self.has_corners else _PILLOW
            found = Finding(
                code="base-vanishes",
                severity=Severity.STOP,
                figure=name,
                value=sizes[name],
                limit=0.0,
                message=Sentence(message, {"value": sizes[name]}),
            )
            return (found,)
        if sizes["face_height"] < sizes["gusset_depth"]:
            message = (
                "The face is {value} high and the bottom {limit} deep: "
                "the bag will be lower than it is deep."
            )
            lengths = {"value": sizes["face_height"], "limit": sizes["gusset_depth"]}
            found = Finding(
                code="face-too-short",
                severity=Severity.NOTE,
                figure="face_height",
                value=sizes["face_height"],
                limit=sizes["gusset_depth"],
                message=Sentence(message, lengths),
            )
            return (found,)
        return ()

    def _corner_findings(self, finished: Finished) -> tuple[Finding, ...]:
        mismatch = finished["corner_mismatch"] or 0.0
        steps = (
            (MATCH_STOP, Severity.STOP, _MISMATCH_STOP),
            (MATCH_WARN, Severity.WARN, _MISMATCH_WARN),
            (MATCH_NOTE, Severity.NOTE, _MISMATCH_NOTE),
        )
        for limit, severity, message in steps:
            # A hair below the limit counts as at it: inches rarely come out even in mm.
            if abs(mismatch) >= limit - 1e-9:
                lengths = {"value": abs(mismatch), "half": abs(mismatch) / 2}
                longer = "side edges" if mismatch > 0 else "end of the base"
                words = {"longer": longer}
                return (
                    Finding(
                        code="corner-edges-differ",
                        severity=severity,
                        figure="corner_mismatch",
                        value=mismatch,
                        limit=limit,
                        message=Sentence(message, lengths, words),
                        mends=self._corner_mends(),
                    ),
                )
        return ()

    def _corner_mends(self) -> tuple[Mend, ...]:
        """Make the cut width fit its depth, or the depth its width, where that can be."""
        width = self.corner_depth - self.bottom_seam + self.side_seam
        depth = self.corner_width - self.side_seam + self.bottom_seam
        mends: list[Mend] = []
        if width > 0.0 and 2 * (width + self.corner_seam) < self.width:
            label = Sentence("Make the corner cut {value} wide", {"value": width})
            mends.append(Mend(label, (("corner_cut_width", width),)))
        if 0.0 < depth < self.front_length:
            label = Sentence("Make the corner cut {value} deep", {"value": depth})
            mends.append(Mend(label, (("corner_cut_depth", depth),)))
        return tuple(mends)


_BASE_SIZES = {
    "base_width": "The corner seams take the whole bottom: no base width is left ({value}).",
    "gusset_depth": "The bottom has no depth ({value}): there is no corner to box.",
    "face_height": "The corners reach the top: no face height is left ({value}).",
}
_PILLOW = "No corners are cut out, so the bag has no bottom to stand on: it is a plain pillow."
_MISMATCH_NOTE = "The {longer} of each corner seam is {value} longer than its mate: ease it in."
_MISMATCH_WARN = (
    "The {longer} of each corner seam is {value} longer than its mate: it will pucker."
)
_MISMATCH_STOP = (
    "The {longer} of each corner seam is {value} longer than its mate: it will not close."
)


def _known(finished: Finished, name: str) -> float:
    value = finished[name]
    if value is None:
        raise KeyError(name)
    return value


def _turned(edge: Edge, width: float) -> Edge:
    """The front's edge as the back's: half a turn about the middle of the bottom line.

    A half turn keeps the outline counter-clockwise but swaps the hands, so the names of
    left and right are swapped back.
    """
    (x0, y0), (x1, y1), (hx, hy) = edge.start, edge.end, edge.heading
    name = edge.name
    if name.endswith(" right"):
        name = name.removesuffix("right") + "left"
    elif name.endswith(" left"):
        name = name.removesuffix("left") + "right"
    start, end = (width - x0, -y0), (width - x1, -y1)
    return Edge(name, start, end, edge.allowance, (-hx, -hy))


def _joined(name: str, edges: dict[str, Edge], hand: str) -> Edge:
    """The two halves of a corner end, front and back, as one edge."""
    front, back = edges[f"corner end front {hand}"], edges[f"corner end back {hand}"]
    first, last = (back, front) if hand == "right" else (front, back)
    return Edge(name, first.start, last.end, front.allowance, first.heading)


def _panel_piece(
    name: str, edges: tuple[Edge, ...], folds: tuple[Fold, ...], marks: tuple[Mark, ...]
) -> Piece:
    return Piece(
        name=name,
        part="panel",
        edges=edges,
        folds=folds,
        marks=marks,
        goods=Goods.SANDWICH,
        turn=Turn.QUARTER,
        notes=(Sentence("Trim the corner cuts through all layers."),) if folds else (),
    )
