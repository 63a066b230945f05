"""The bag folded from its flat pieces: flat, folded, sewn, and everything between.

Frame, mm: x across from the middle of the bag, y from front to back (the front looks towards
-y), z up. Everything is measured on the stitch lines of the pieces; nothing here knows a formula
of the finished bag.
"""

import math
from collections.abc import Iterable, Sequence
from functools import cached_property
from itertools import chain
from typing import NamedTuple

from core.bag.bag import Bag
from core.bag.tables import BODY, TOP
from core.flat.piece import Piece, Point
from core.flat.seam import Draft
from core.solid.bands import band_stands, split_band
from core.solid.laying import LaidArea, LaidLine, LaidOn, Laying, Seen
from core.space.zones import (
    AreaKind,
    Band,
    Folding,
    Frame,
    Frames,
    Gap,
    Laid,
    LineKind,
    Measured,
    Spatial,
    Spot,
)

FLAT, FOLDED, SEWN = 0.0, 0.5, 1.0
"""The named states on the way."""
FILLED = 1.5
"""Moment at which the bag is stuffed hard; as far from sewn as sewn is from folded."""


_OUTER = (AreaKind.WALL, AreaKind.TAPE, AreaKind.TIP)
"""What bounds the bag, with the loose parts of bands; all else lies on these."""


class ModelZone(NamedTuple):
    """What moves as one: a zone of the folding, or a part of a loose band.

    Attributes:
        loose: whether it is a band's.
        floor: whether the sewn bag stands on it.
    """

    loose: bool
    floor: bool
    piece: object


class SolidDimension(NamedTuple):
    """A finished figure where it is measured on the sewn bag.

    Attributes:
        start, end: mm.
        aside: unit vector: the way in which the dimension line is set off the bag.
        anchors: where extension lines start from, mm.
    """

    size: Measured
    start: Spatial
    end: Spatial
    aside: Spatial
    anchors: tuple[Spatial, Spatial]

    @property
    def length(self) -> float:
        """Measured in space, mm."""
        return math.dist(self.start, self.end)


class Folded:
    """The bag at one moment of its folding; what is asked of it is placed then.

    Attributes:
        at: 0 flat, 1/2 folded, 1 sewn.
        stands: where each zone of the wall stands.
        frames: where each of the model's zones stands.
        normals: unit vectors out of the bag, of the model's zones.
    """

    def __init__(
        self,
        at: float,
        model: "FoldModel",
        stands: Frames,
        frames: list[Frame],
        normals: list[Spatial],
    ) -> None:
        self.at, self.model, self.stands = at, model, stands
        self.frames, self.normals = frames, normals

    def area(self, index: int) -> list[Spatial]:
        """Corners of one of the model's areas, mm."""
        area = self.model.areas[index]
        return self.frames[area.zone].all_at(area.corners)

    def line(self, index: int) -> list[Spatial]:
        """Ends of one of the model's lines, mm."""
        line = self.model.lines[index]
        return self.frames[line.zone].all_at(line.points)

    def places(self, spots: Iterable[Spot]) -> list[Spatial]:
        """Where spots lie, mm."""
        return [self.frames[zone].at(point) for zone, point in spots]

    @cached_property
    def outlines(self) -> dict[int, list[Spatial]]:
        """Area -> its corners, mm, of those that bound the bag as it is now.

        Everything else is laid on one of these, and is cut at its edges.
        """
        zones = self.model.zones
        return {
            index: self.frames[area.zone].all_at(area.corners)
            for index, area in enumerate(self.model.areas)
            if zones[area.zone].loose or (area.kind in _OUTER and self.shows_area(area))
        }

    @property
    def extent(self) -> list[Spatial]:
        """What lies within the stitch lines, and the loose bands, mm."""
        found = [
            frame.all_at(outline)
            for frame, outlines in zip(self.frames, self.model.outlines, strict=True)
            for outline in outlines
        ]
        if self.at <= FOLDED:
            found += [self.frames[tip.zone].all_at(tip.outline) for tip in self.model.folding.tips]
        return list(chain.from_iterable(found))

    def shows_area(self, area: LaidArea) -> bool:
        """Whether an area is there: tips are until the bag is folded."""
        if area.kind is AreaKind.FLAT_TIP:
            return False
        return area.kind is not AreaKind.TIP or self.at <= FOLDED

    def shows_line(self, line: LaidLine) -> bool:
        """Whether a line is there."""
        return line.seen in self.seen

    @cached_property
    def seen(self) -> frozenset[Seen]:
        """How lines are seen that are there now."""
        found = {Seen.ALWAYS}
        if self.at <= FOLDED:
            found.add(Seen.UNTIL_FOLDED)
        if self.at == FLAT or self.at > FOLDED:
            found.add(Seen.NOT_FOLDED)
        return frozenset(found)

    @property
    def sizes(self) -> tuple[Measured, ...]:
        """Finished figures that can be measured; only on the sewn bag."""
        return self.model.folding.sizes if self._sewn else ()

    @property
    def dimensions(self) -> tuple[SolidDimension, ...]:
        """The same where they are measured."""
        return tuple(map(self.measured, self.sizes))

    def measured(self, size: Measured) -> SolidDimension:
        """The spots of a finished figure as they lie now."""
        start, end, one, other = self.places((size.start, size.end, *size.anchors))
        return SolidDimension(size, start, end, size.aside, (one, other))

    @cached_property
    def gaps(self) -> tuple[Gap, ...]:
        """Where seams do not meet; only on the sewn bag."""
        return self.model.folding.gaps(self.stands) if self._sewn else ()

    @property
    def _sewn(self) -> bool:
        return self.at >= SEWN and self.model.folding.flat_only is None


class FoldModel:
    """A bag made ready for folding; `at` is then cheap.

    Args:
        bag, draft: what is folded.
        allowances: whether seam allowances are laid out: they show only before the bag is
            folded, and are a third of the work.

    Attributes:
        folding: how it moves.
        allowances: whether they are among the areas.
        zones: what moves as one: those of the wall, then two for each band: up to the brim,
            and above it.
    """

    def __init__(self, bag: Bag, draft: Draft, *, allowances: bool = True) -> None:
        self.allowances = allowances
        self._body, self._top, self._pieces = bag.body, bag.top, _wall_of(draft)
        self._laid = laid = _laid_on(bag)
        closing = bag.top.closing(draft)
        if closing is not None and closing.rolls:  # front and back turn together
            closing = closing._replace(turn=2 * bag.sandwich.thickness)
        self.folding: Folding = bag.body.folding(draft, closing)
        self._laying = Laying(self.folding, draft, laid, allowances=allowances)
        self.bands: tuple[Band, ...] = tuple(band for each in laid for band in each.bands)
        zones = [ModelZone(False, zone.floor, zone.piece) for zone in self.folding.zones]
        self._loose: dict[int, tuple[LaidArea, ...]] = {}
        for band in self.bands:
            first = len(zones)
            zones += [ModelZone(True, False, band.piece)] * 2
            parts = split_band(band, self.folding.brims[band.face])
            for zone, above in ((first, False), (first + 1, True)):
                self._loose[zone] = tuple(
                    LaidArea(zone, AreaKind.BAND, band.piece, corners)
                    for is_above, corners in parts
                    if is_above is above
                )
        self.zones: tuple[ModelZone, ...] = tuple(zones)

    def on(self, zone: int) -> LaidOn:
        """What lies on one of the zones: to show some, no other need be laid."""
        return LaidOn(self._loose[zone]) if zone in self._loose else self._laying.on(zone)

    @cached_property
    def outlines(self) -> list[list[tuple[Point, ...]]]:
        """Of each of the zones what bounds it; everything else on it is cut at its edges.

        All of a loose band's parts do.
        """
        walls = [[zone.outline] for zone in self.folding.zones]
        return walls + [[area.corners for area in parts] for parts in self._loose.values()]

    def lines_on(self, zone: int, kind: LineKind) -> Sequence[LaidLine]:
        """Of what parts lay on one of the zones the lines of one kind, without the rest."""
        return () if zone in self._loose else self._laying.lines_on(zone, kind)

    @cached_property
    def areas(self) -> tuple[LaidArea, ...]:
        """What lies on all zones, in the order in which it is laid on."""
        return (*self._laying.areas, *chain.from_iterable(self._loose.values()))

    @cached_property
    def lines(self) -> tuple[LaidLine, ...]:
        """The same of lines."""
        return tuple(self._laying.lines)

    def folds(self, bag: Bag, draft: Draft) -> bool:
        """Whether it is the model of this bag too: nothing that it is made from is another."""
        return (
            self._body == bag.body
            and self._top == bag.top
            and self._pieces == _wall_of(draft)
            and self._laid == _laid_on(bag)
        )

    def at(self, share: float) -> Folded:
        """The bag at one moment, 0 flat, 1/2 folded, 1 sewn; any other share is a ValueError."""
        if not FLAT <= share <= SEWN:
            raise ValueError(f"the way from flat to sewn runs from 0 to 1, not to {share}")
        if self.folding.flat_only is not None:
            share = FLAT
        stands = self.folding.frames(share)
        frames = [stands[zone.key] for zone in self.folding.zones]
        normals = [frame.normal for frame in frames]
        for band in self.bands:
            carrier = frames[self.folding.carriers[band.face]]
            for stand in band_stands(self.folding, carrier, band.face, share):
                frames.append(stand.frame)
                normals.append(stand.normal)
        return Folded(share, self, stands, frames, normals)


def _wall_of(draft: Draft) -> tuple[Piece, ...]:
    """The pieces that body and top are of."""
    return tuple(piece for piece in draft.pieces if piece.id.owner in (BODY, TOP))


def _laid_on(bag: Bag) -> tuple[Laid, ...]:
    return (bag.top.laid(bag.site), *(part.laid(bag.site) for part in bag.parts.values()))
