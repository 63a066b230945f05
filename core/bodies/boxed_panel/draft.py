"""Drawing the panel: the named edges of its one piece, or of its two faces."""

from collections.abc import Mapping

from core.base.sentences import say
from core.bodies.boxed_panel.panel import BoxedPanel
from core.flat.piece import CutFrom, Edge, Fold, GrainTurn, Mark, Piece, Point
from core.site.site import Face


def draft_panel(panel: BoxedPanel, marks: Mapping[Face, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    """One panel, or a front and a back, with the marks that belong on each face."""
    if panel.folded:
        edges = _face_edges(panel, Face.FRONT) + _face_edges(panel, Face.BACK)
        fold_ends = ("corner end left", "corner end right")
        if panel.has_corners:
            edges = _join_corner_ends(edges)
        else:
            fold_ends = ("side front left", "side front right")
        fold = Fold("bottom fold", *fold_ends, y=0.0)
        every = marks[Face.FRONT] + marks[Face.BACK]
        return (_panel_piece("panel", edges, (fold,), every),)
    return tuple(
        _panel_piece(
            face.value,
            (*_face_edges(panel, face), _bottom_edge(panel, face)),
            (),
            marks[face],
            grain=(0.0, 1.0 if face is Face.FRONT else -1.0),
        )
        for face in (Face.FRONT, Face.BACK)
    )


def _face_edges(panel: BoxedPanel, face: Face) -> tuple[Edge, ...]:
    """Edges of one face, counter-clockwise, from one end of the bottom to the other."""
    name = face.value
    a, b = panel.corner_width, panel.corner_depth - panel.bottom_seam
    low, top = -panel.bottom_seam, panel.top(face)
    if not panel.has_corners:
        b = low
    w = panel.width
    up, down, left, right = (0.0, 1.0), (0.0, -1.0), (-1.0, 0.0), (1.0, 0.0)
    s1, s2, s3 = panel.side_seam, panel.corner_seam, panel.top_seam
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
    corners = panel.has_corners
    edges = (corner_right if corners else ()) + walls + (corner_left if corners else ())
    if face is Face.FRONT:
        return edges
    return tuple(_turned(edge, w) for edge in edges)


def _bottom_edge(panel: BoxedPanel, face: Face) -> Edge:
    a, low = panel.corner_width, -panel.bottom_seam
    edge = Edge(
        f"bottom {face.value}",
        (a, low),
        (panel.width - a, low),
        panel.bottom_seam,
        (1.0, 0.0),
    )
    return edge if face is Face.FRONT else _turned(edge, panel.width)


def _join_corner_ends(edges: tuple[Edge, ...]) -> tuple[Edge, ...]:
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
    name: str,
    edges: tuple[Edge, ...],
    folds: tuple[Fold, ...],
    marks: tuple[Mark, ...],
    *,
    grain: Point = (0.0, 1.0),
) -> Piece:
    return Piece(
        name=name,
        part="panel",
        edges=edges,
        folds=folds,
        marks=marks,
        cut_from=CutFrom.EVERY_LAYER,
        turn=GrainTurn.QUARTER,
        grain=grain,
        notes=(say("Cut out the corners through all layers."),) if folds else (),
    )
