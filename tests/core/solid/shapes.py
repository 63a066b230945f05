"""The folding bag read piece by piece, for tests of the boxed panel."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

import numpy as np

from core.bag.bag import Bag, draft_walls
from core.bag.compute import Result
from core.base.arrays import Floats
from core.bodies.boxed_panel.folding import BoxedZone
from core.bodies.boxed_panel.wall import Wall, measure_wall
from core.flat.roles import EdgeRef, Face, PieceId
from core.solid.fold import FOLDED, Folded, FoldModel
from core.space.zones import AreaKind, Frame, LineKind


class Facet(NamedTuple):
    """One flat area of the folded bag: (n, 3) corners in mm, (3,) normal out of the bag."""

    points: Floats
    normal: Floats
    zone: object
    kind: AreaKind
    piece: PieceId


class FoldLine(NamedTuple):
    """A line on the folded bag: (2, 3) ends, mm."""

    points: Floats
    zone: object
    kind: LineKind
    edge: EdgeRef | None


def fold(result: Result, at: float) -> Folded:
    """One bag at one moment."""
    return FoldModel(result.bag, result.draft).at(at)


def zone_names(model: FoldModel) -> list[object]:
    """Key of each zone; of a band its side, and whether above the brim."""
    names: list[object] = [zone.key for zone in model.folding.zones]
    return names + [(band.face, above) for band in model.bands for above in (False, True)]


def facets(folded: Folded) -> list[Facet]:
    """Areas as they lie over one another on each zone; allowances only where they show."""
    model, names = folded.model, zone_names(folded.model)
    return [
        Facet(
            np.array(folded.area(index)),
            np.array(folded.normals[area.zone]),
            names[area.zone],
            area.kind,
            area.piece,
        )
        for index, area in enumerate(model.areas)
        if area.kind is not AreaKind.ALLOWANCE or folded.at < FOLDED
    ]


def all_points(folded: Folded) -> Floats:
    """(n, 3) all corners of its areas, then the ends of its lines, mm."""
    areas = [folded.area(index) for index in range(len(folded.model.areas))]
    return np.concatenate([*areas, *map(folded.line, range(len(folded.model.lines)))])


def fold_lines(folded: Folded) -> list[FoldLine]:
    """Seams, folds and the like; cut lines only while their allowances are there."""
    model, names = folded.model, zone_names(folded.model)
    return [
        FoldLine(np.array(folded.line(index)), names[line.zone], line.kind, line.edge)
        for index, line in enumerate(model.lines)
        if line.kind is not LineKind.CUT or folded.at < FOLDED
    ]


def wall_of(bag: Bag) -> Wall:
    """A bag's wall laid flat."""
    draft = draft_walls(bag)
    return measure_wall(bag.body, draft, bag.top.closing(draft))


@dataclass(frozen=True)
class Stand:
    """Where a zone of front or back stands."""

    frame: Frame
    way: float

    def at(self, x: float, w: float) -> Floats:
        """(3,) mm, of a point so high above the bottom line."""
        return np.array(self.frame.at((x, self.way * w)))


def stands(folded: Folded) -> Mapping[Enum, Stand]:
    """Of every zone of front and back, by key."""
    sides = {BoxedZone.BASE_FRONT: 1.0, BoxedZone.BASE_BACK: -1.0}
    for face, way in ((Face.FRONT, 1.0), (Face.BACK, -1.0)):
        for end in ("", "_LEFT", "_RIGHT"):
            sides[BoxedZone[face.name + end]] = way
    return {key: Stand(folded.stands[key], way) for key, way in sides.items()}


def distance(one: Floats, other: Floats) -> float:
    """Between two points in space, mm."""
    return float(np.linalg.norm(np.asarray(one) - np.asarray(other)))
