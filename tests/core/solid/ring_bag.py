"""A strip round two panels, put together by hand from zones and a quarter: of no body. mm."""

import math
from enum import IntEnum
from types import SimpleNamespace

from core.flat.geometry import Frame2
from core.flat.piece import edge_between
from core.flat.roles import EdgeId, EdgeRole, Face, PieceId, PieceRole
from core.flat.seam import draft
from core.solid.fill import Filled
from core.solid.fill_problem import build_mesh, problem_of
from core.solid.fill_solve import solve
from core.solid.fold import ModelZone
from core.solid.laying import lay
from core.solid.surface import FilledSurface
from core.space.box_quarters import BoxSizes, ring_quarter
from core.space.boxes import PANEL_GAP
from core.space.patches import Copy
from core.space.strips import (
    Hinge,
    StripPart,
    StripStretch,
    bent_strip,
    hinged,
    limits_of,
    stitched_outline,
)
from core.space.zones import (
    AreaKind,
    FaceArea,
    FaceLine,
    Folding,
    Frame,
    Laid,
    Lie,
    LineKind,
    Zone,
)
from tests.core.flat.rounded import piece_of, rounded_edges
from tests.helpers import demo

_Key = IntEnum("_Key", [f"KEY_{number}" for number in range(50)])
KEYS = tuple(_Key)
FRONT, BACK, STRIP = (PieceId("body", PieceRole.WALL, number=number) for number in (1, 2, 3))
POCKET = PieceId("pocket", PieceRole.PATCH, Face.FRONT)
QUARTER = math.pi / 2


class RingBag:
    """Pieces without allowances, so that stitch lines are cut lines; a pocket on the front.

    The strip starts and ends at the middle of the top; its x runs to the back, its y from the
    left over the bottom to the right.
    """

    def __init__(self, sizes: BoxSizes) -> None:
        width, deep, height = sizes.width, sizes.depth, sizes.height
        lower, upper = sizes.radius, sizes.upper_radius
        panel = rounded_edges((width, height), (lower, lower, upper, upper), (0.0,) * 4)
        half = [
            StripStretch(width / 2 - lower, floor=True),
            StripStretch(QUARTER * lower, QUARTER),
            StripStretch(height - lower - upper, region=Face.RIGHT),
            StripStretch(QUARTER * upper, QUARTER),
            StripStretch(width / 2 - upper),
        ]
        self.half_ring = math.fsum(each.length for each in half)
        length = 2 * self.half_ring
        ends = (0.0, 0.0), (deep, 0.0), (deep, length), (0.0, length)
        strip = tuple(
            edge_between(EdgeId(EdgeRole.SIDE, number=i), ends[i - 1], end, allowance=0.0)
            for i, end in enumerate(ends)
        )
        pieces = (piece_of(panel, 1), piece_of(panel, 2), piece_of(strip, 3))
        self.draft = draft(pieces, ())
        outline = stitched_outline(self.draft.outlines[FRONT])
        bent = bent_strip(
            [*reversed(half), *half],
            [StripPart(STRIP, 0.0, length, Frame2())],
            (0.0, deep),
        )
        count = len(bent.flats)
        zones = [*bent.zones(KEYS)]
        middle = self.half_ring
        hinges = [*bent.hinges(KEYS, bent.root(middle))]
        for i, (piece, face, edge, way) in enumerate(
            ((FRONT, Face.FRONT, 0.0, 1.0), (BACK, Face.BACK, deep, -1.0))
        ):
            start, end = (edge, middle - way * width / 2), (edge, middle + way * width / 2)
            lie = Frame2(start, (0.0, way), (-way, 0.0))
            bearer = KEYS[bent.root(middle)]
            hinges.append(Hinge(KEYS[count + i], bearer, start, end, QUARTER, lie))
            zones.append(
                Zone(KEYS[count + i], piece, AreaKind.WALL, face, outline, limits_of(outline))
            )
        ground = Frame((-middle, -deep / 2, 0.0), (0.0, 1.0, 0.0), (1.0, 0.0, 0.0))
        self.stands = hinged({KEYS[bent.root(middle)]: ground}, hinges, 1.0)
        self.folding = Folding(
            zones=tuple(zones), plates=(), frames=lambda at: self.stands, gaps=lambda now: (),
            sizes=(), lies={Face.FRONT: (Lie(FRONT, Face.FRONT, Frame2((width / 2, 0.0))),)},
            brims={}, carriers={}, brim=((0, (0.0, 0.0)), (0, (0.0, 0.0))), closed=True,
        )  # fmt: skip
        ring = ((-80.0, 20.0), (80.0, 20.0), (80.0, 140.0), (-80.0, 140.0))
        laid = Laid(
            areas=(FaceArea(Face.FRONT, AreaKind.LAID_ON, POCKET, ring),),
            lines=tuple(
                FaceLine(Face.FRONT, LineKind.TOPSTITCH, ring[i - 1], ring[i]) for i in range(4)
            ),
        )
        areas, lines = lay(self.folding, self.draft, (laid,), allowances=False)
        self.model = SimpleNamespace(
            folding=self.folding,
            areas=areas,
            lines=lines,
            zones=[ModelZone(False, zone.floor, zone.piece) for zone in zones],
            bands=(),
            at=lambda share: SimpleNamespace(stands=self.stands, gaps=()),
        )
        self.quarter = ring_quarter(sizes, copies=tuple(self._copies(sizes)))
        mesh = build_mesh(self.quarter)
        self.filled = Filled(bag=demo(), mesh=mesh, solution=solve(problem_of(mesh)))
        self.surface = FilledSurface(self.model, self.filled)

    def _copies(self, sizes: BoxSizes) -> list[Copy]:
        deep, half, middle = sizes.depth, sizes.width / 2, self.half_ring
        low, found = deep / 2 + PANEL_GAP, []
        for right in (1.0, -1.0):
            for back in (-1.0, 1.0):
                found.append(Copy(
                    piece=STRIP,
                    limits=((0.0, -right, -right * middle), (-back, 0.0, -back * deep / 2)),
                    frame=Frame2((-right * middle, -back * deep / 2), (0.0, back), (right, 0.0)),
                    signs=(right, back),
                ))  # fmt: skip
                # The back is drawn from its right side too: the bag's right is at its left.
                way = -back * right
                found.append(Copy(
                    piece=FRONT if back < 0.0 else BACK,
                    limits=((-way, 0.0, -way * half),),
                    frame=Frame2((-way * half, low), (way, 0.0)),
                    signs=(right, back),
                ))  # fmt: skip
        return found
