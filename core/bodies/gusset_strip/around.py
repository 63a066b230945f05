"""The strip, and what closes it, as they go round the panels in space. Lengths are mm.

All is told across and along the strip: across as on its pieces, along from the middle of the
bottom. Towards its upper end it is followed by the top strip, whose far end meets its lower end.
Corners lie where the panels have them; what is too long or too short shows at the ends.
"""

from collections.abc import Iterator, Sequence
from enum import Enum
from itertools import pairwise
from typing import Any, NamedTuple

from core.base.tolerance import LENGTH_TOLERANCE
from core.bodies.gusset_strip.body import StripBody
from core.bodies.gusset_strip.corners import corner_spans
from core.bodies.gusset_strip.draft import RIGHT_ANGLE, strip_piece
from core.bodies.gusset_strip.sizes import GUSSET
from core.flat.geometry import Frame2
from core.flat.roles import Face
from core.space.strips import BentStrip, Flat, StripPart, StripStretch, bent_strip, between
from core.space.zones import Closing, ZoneKey

_MOST = 64
"""Flats of a ring: up to six arcs of six, straight ones, and cuts where pieces meet."""


def _keys() -> tuple[Enum, ...]:
    """So many: how many of them a ring needs, its pieces tell."""
    made: Any = ZoneKey
    return tuple(made("StripZone", [f"ZONE_{number}" for number in range(3 * _MOST + 2)]))


_KEYS = _keys()
PANELS, FLATS = _KEYS[:2], _KEYS[2 : _MOST + 2]
ROWS = (FLATS, _KEYS[_MOST + 2 : 2 * _MOST + 2], _KEYS[2 * _MOST + 2 :])
"""Keys of the panels, of the flats of the ring, and of each row of what closes it; at the place of
a flat its first row has the flat's own."""


class ClosedRow(NamedTuple):
    """A piece of what closes the ring, beside others.

    Attributes:
        strip: its flats alone, between its own stitch lines.
        keys: of its flats.
        lie: from its piece's frame into that of the first row's.
    """

    strip: BentStrip
    keys: tuple[Enum, ...]
    lie: Frame2


class BentRing(NamedTuple):
    """A ring in space.

    Attributes:
        strip: bent: the strip itself, and the first row of what closes it.
        own: how many of its flats are the strip's.
        rows: what closes the ring, side by side; none where it is open.
        half: half of the strip on its stitch lines.
        end: where along it the last flat ends.
    """

    strip: BentStrip
    own: int
    rows: tuple[ClosedRow, ...]
    half: float
    end: float

    @property
    def flats(self) -> tuple[Flat, ...]:
        """Of the strip itself."""
        return self.strip.flats[: self.own]

    @property
    def root(self) -> int:
        """Place of the flat in the middle of the bottom."""
        return self.strip.root(0.0)


def ring_around(body: StripBody, closing: Closing | None) -> BentRing:
    """The strip of these pieces, and what closes the ring; None leaves it open."""
    half, seam = body.drawn_strip / 2, body.gusset_seam
    parts = [
        StripPart(strip_piece(number), *body.strip_ends(number), Frame2())
        for number in range(body.strip_pieces)
    ]
    end, tops = half, []
    if closing is not None:
        end = half + closing.length
        # x of what closes it runs back along the strip, from its middle; y runs across.
        to_closing = Frame2((half + closing.length / 2, -seam), (0.0, 1.0), (-1.0, 0.0))
        tops = [
            StripPart(
                row.piece, half, end, between(to_closing.inverse, row.frame.inverse), row.kind
            )
            for row in closing.rows
        ]
    strip = bent_strip(
        tuple(_stretches(body, half, end)),
        (*parts, *tops[:1]),
        (seam, body.strip_width - seam),
        start=-half,
    )
    own = sum(flat.part in parts for flat in strip.flats)
    rows = []
    for number, part in enumerate(tops):
        assert closing is not None
        row = closing.rows[number]
        flats = tuple(flat._replace(part=part) for flat in strip.flats[own:])
        rows.append(
            ClosedRow(
                BentStrip(flats, seam + row.low, seam + row.high),
                ROWS[number][own : len(strip.flats)],
                between(part.frame, tops[0].frame),
            )
        )
    return BentRing(strip, own, tuple(rows), half, end)


def _corners(body: StripBody) -> tuple[tuple[float, float], ...]:
    """From where to where the panels have corners, on either way from the middle of the bottom."""
    spans = corner_spans(body)
    if not body.closed:
        return spans
    (_, (start, end)) = spans
    across = 2 * (body.bottom_half - body.stitched_upper_radius)
    return (*spans, (end + across, end + across + end - start))


def _stretches(body: StripBody, half: float, end: float) -> Iterator[StripStretch]:
    """All round from the lower end of the strip on."""
    corners = _corners(body)
    flat = corners[0][0]
    below = [(-high, -low) for low, high in reversed(corners)]
    cuts = [-half, half, end] if body.MAKES is GUSSET else [-half, 0.0, half, end]

    def straights(start: float, stop: float) -> Iterator[StripStretch]:
        """A straight, cut where what it makes changes."""
        for low, high in _cut(start, stop, cuts):
            middle = (low + high) / 2
            region = _region(body, middle, half, flat)
            yield StripStretch(high - low, 0.0, region, abs(middle) < flat)

    at = -half
    for low, high in (*below, *corners):
        start, stop = max(low, -half), min(high, end)
        # A square corner at an end turns nothing.
        if stop < start or (high - low <= LENGTH_TOLERANCE and not -half < low < end):
            continue
        yield from straights(at, start)
        for one, other in _cut(start, stop, cuts):
            share = (other - one) / (high - low) if high - low > LENGTH_TOLERANCE else 1.0
            region = _region(body, (one + other) / 2, half, flat)
            yield StripStretch(other - one, share * RIGHT_ANGLE, region)
        at = stop
    yield from straights(at, end)


def _cut(start: float, end: float, cuts: Sequence[float]) -> Iterator[tuple[float, float]]:
    """From start to end, cut at the places within."""
    return pairwise((start, *(cut for cut in cuts if start < cut < end), end))


def _region(body: StripBody, at: float, half: float, flat: float) -> Face | None:
    """The face that the strip makes there; None of what closes it.

    `half` is half of the strip, `flat` half of the bottom between its corners.
    """
    if abs(at) > half:
        return None
    low, high = body.MAKES.legs
    if body.MAKES is GUSSET and abs(at) < flat:
        return Face.BASE
    return high if at > 0.0 else low
