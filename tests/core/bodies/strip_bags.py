"""Gusset strips and wraps for tests, and an independent way round their panels. Lengths are mm.

The edge that a strip is sewn to is found here without a formula of the bag.
"""

import math
import random
from dataclasses import replace
from typing import Any

import shapely

from core.bodies.gusset_strip.body import GussetStrip, StripBody, Wrap
from core.flat.roles import Face
from core.flat.seam import Draft, draft

INCH = 25.4
KINDS: tuple[type[StripBody], ...] = (GussetStrip, Wrap)
NO_MARKS = dict.fromkeys(Face, ())


def drafted(body: StripBody) -> Draft:
    """Its own pieces and seams; without a top."""
    return draft(body.pieces(NO_MARKS), body.seams())


def measured(body: StripBody) -> dict[str, Any]:
    """Its finished sizes."""
    return dict(body.measured(drafted(body)))


def e2(kind: type[StripBody] = GussetStrip, **other: Any) -> StripBody:
    """E2 of the worked examples: 11 1/2 x 10 x 6 1/2 in, every corner 2 in, allowances 1/4 in."""
    seam = INCH / 4
    edge = 2 * (11.5 + 10.0) - (8.0 - 2 * math.pi) * 2.0
    given = {
        "face_cut_width": 12 * INCH, "face_cut_height": 10.5 * INCH, "corner_rounding": 2.25 * INCH,
        "upper_rounding": 2.25 * INCH, "strip_width": 7 * INCH,
        "strip_length": (edge - 20.0 + 0.5) * INCH, "top_strip_length": 20.5 * INCH,
        "gusset_seam": seam, "strip_seam": seam, "top_seam": seam,
    }  # fmt: skip
    return kind(**(given | other))


def open_bag(kind: type[StripBody] = GussetStrip, **other: Any) -> StripBody:
    """300 x 120 x 250 with corners of 50 on the stitch lines, open at the top."""
    edge = 300.0 + 2 * 250.0 - (4.0 - math.pi) * 50.0
    given = {
        "face_cut_width": 320.0, "face_cut_height": 270.0, "corner_rounding": 60.0,
        "strip_width": 140.0, "strip_length": edge + 20.0, "gusset_seam": 10.0, "strip_seam": 10.0,
        "top_seam": 10.0,
    }  # fmt: skip
    return kind(**(given | other))


def chance_bag(chance: random.Random, kind: type[StripBody]) -> StripBody:
    """Any bag of that kind whose strip may be too long or too short."""
    seam, joins, top = (chance.uniform(3.0, 20.0) for _ in range(3))
    wide, high = chance.uniform(120.0, 600.0), chance.uniform(120.0, 600.0)
    most = min(wide / 2, high / 2) - 25.0
    lower, upper = (chance.choice((0.0, chance.uniform(seam + 0.5, most))) for _ in range(2))
    length = wide + 2 * high + chance.uniform(200.0, 300.0)
    return kind(
        face_cut_width=wide, face_cut_height=high, corner_rounding=lower, upper_rounding=upper,
        strip_width=chance.uniform(50.0, 400.0), strip_length=length,
        strip_pieces=chance.randint(1, 4),
        top_strip_length=chance.choice((0.0, chance.uniform(60.0, wide))),
        gusset_seam=seam, strip_seam=joins, top_seam=top,
    )  # fmt: skip


def any_bags(count: int) -> list[StripBody]:
    """So many, of both kinds."""
    chance = random.Random(7)
    return [chance_bag(chance, KINDS[number % 2]) for number in range(count)]


def ring_edge(body: StripBody) -> float:
    """Once round a panel on its stitch line, less its top where the ring is open.

    A rectangle is moved inside by shapely; at each of its corners two tangents make room for a
    quarter of a circle whose centre is that of the cut arc.
    """
    wide, high, seam = body.face_cut_width, body.face_cut_height, body.gusset_seam
    closed = body.top_strip_length > 0.0
    left, low, right, top = shapely.box(0.0, 0.0, wide, high).buffer(-seam).bounds
    top = top if closed else high - body.top_seam
    corners = [(left, low), (right, low), (right, top), (left, top)]
    cut = [body.corner_rounding] * 2 + [body.upper_rounding] * 2
    centres = [(cut[0], cut[0]), (wide - cut[1], cut[1]),
               (wide - cut[2], high - cut[2]), (cut[3], high - cut[3])]  # fmt: skip
    radii = [abs(x - cx) if each else 0.0
             for (x, _), (cx, _), each in zip(corners, centres, cut, strict=True)]  # fmt: skip
    arcs = math.fsum(math.tau * radius / 4 for radius in radii)
    straights = [
        math.dist(corners[at], corners[(at + 1) % 4]) - radii[at] - radii[(at + 1) % 4]
        for at in range(4)
    ]
    return arcs + math.fsum(straights) - (0.0 if closed else straights[2])


def matched(body: StripBody) -> StripBody:
    """The same with a strip that is as long as the edge it is sewn to."""
    if not body.top_strip_length:
        return replace(body, strip_length=ring_edge(body) + 2 * body.top_seam)
    gap = body.top_strip_length - 2 * body.strip_seam
    return replace(body, strip_length=ring_edge(body) - gap + 2 * body.strip_seam)
