"""What closes four walls: a lid of several rows, hung on the front until it is sewn on. mm."""

import math
from collections.abc import Iterator, Mapping
from enum import Enum

from core.bodies.separate_base.ring import TAPES, WallRing
from core.flat.geometry import Frame2
from core.flat.roles import Face
from core.space.patches import Copy
from core.space.strips import laid_in
from core.space.zones import Closing, ClosingRow, Frame, Plate, Spatial, Zone


def _corners(closing: Closing, row: ClosingRow) -> tuple[tuple[float, float], ...]:
    """Of a row, in the frame of its piece."""
    half = closing.length / 2
    ends = ((-half, row.low), (half, row.low), (half, row.high), (-half, row.high))
    return tuple(map(row.frame.back, ends))


def lid_zones(closing: Closing) -> tuple[Zone, ...]:
    """One for each row."""
    half = closing.length / 2
    found = []
    for key, row in zip(TAPES, closing.rows, strict=False):
        planes = ((-1.0, 0.0, half), (1.0, 0.0, half), (0.0, -1.0, -row.low), (0.0, 1.0, row.high))
        found.append(
            Zone(
                key=key,
                piece=row.piece,
                kind=row.kind,
                region=None,
                outline=_corners(closing, row),
                limits=tuple(map(row.frame.plane_back, planes)),
            )
        )
    return tuple(found)


def lid_plates(closing: Closing | None, first: int) -> tuple[Plate, ...]:
    """One for each row; `first` is the place of the first zone of them."""
    if closing is None:
        return ()
    return tuple(
        Plate(zones=(first + place,), limits=(), side=Face.TOP, frame=row.frame)
        for place, row in enumerate(closing.rows)
    )


def lid_frames(ring: WallRing, closing: Closing, share: float, gap: float) -> Mapping[Enum, Frame]:
    """Where each row stands: above the front at first, then turned in over the walls."""
    angle = share * math.pi / 2
    up: Spatial = (0.0, math.sin(angle), math.cos(angle))
    height = ring.tops[Face.FRONT] + gap
    lies = Frame((0.0, -share * ring.deep / 2, height), (1.0, 0.0, 0.0), up)
    found: dict[Enum, Frame] = {}
    for place, (key, row) in enumerate(zip(TAPES, closing.rows, strict=False)):
        # Rows that are not joined yet lie apart.
        off = lies.at((0.0, place * gap))
        found[key] = laid_in(lies._replace(origin=off), row.frame)
    return found


def lid_copies(closing: Closing, end: float) -> Iterator[Copy]:
    """Where the rows lie on a quarter: along from its end back to their middle.

    Args:
        closing: the lid.
        end: x of its middle, where the quarter ends; front and back meet at u = 0.
    """
    middle = closing.width / 2
    for row in closing.rows:
        (x0, y0) = row.frame.origin
        for x in (1.0, -1.0):
            halves = (
                (-1.0, row.low, min(row.high, middle)),
                (1.0, max(row.low, middle), row.high),
            )
            for y, low, high in halves:
                if low >= high:
                    continue
                planes = ((-x, 0.0, 0.0), (0.0, -1.0, -low), (0.0, 1.0, high))
                # (along, up) of the lid lies at (end - x * along, y * (up - middle)).
                yield Copy(
                    piece=row.piece,
                    limits=tuple(map(row.frame.plane_back, planes)),
                    frame=Frame2((end - x * x0, y * (y0 - middle)), (-x, 0.0), (0.0, y)),
                    signs=(x, y),
                )
