"""The pictures of the pieces, kept from one paint to the next.

A picture is only moved while the reader pans and while other pieces change.
"""

from app.display import Display
from app.panes.flat_dimensions import Out, rows
from app.panes.flat_head import BESIDE, fits_along, head_of, lies_over, row_height
from app.panes.flat_labels import Hand, Lettering
from app.panes.flat_plan import Picture, Planner, Snap, line_offset
from app.panes.flat_sheet import Drawn, Margins


class Pictures:
    """Makes pictures and keeps them: a piece that looks the same is not laid out again."""

    def __init__(self, lettering: Lettering, display: Display) -> None:
        self._lettering = lettering
        self._display = display
        self._kept: dict[str, tuple[tuple[object, ...], Drawn, Picture]] = {}
        self._margins: dict[str, tuple[tuple[object, ...], Drawn, Margins]] = {}

    def picture(
        self, drawn: Drawn, *, scale: float, laid_at: float, ratio: float, layers: int, roomy: bool
    ) -> Picture:
        """The picture of a piece.

        Args:
            drawn: the piece.
            scale: px per mm.
            laid_at: px per mm at which the pieces were laid beside each other.
            ratio: device pixels in one px.
            layers: how many the sandwich has.
            roomy: whether there is room around the piece for what is written there.
        """
        key = (scale, laid_at, ratio, layers, roomy, self._display.unit.label, self._display.step)
        kept = self._kept.get(drawn.piece.name)
        if kept is not None and kept[0] == key and kept[1] is drawn:
            return kept[2]
        snap = Snap(scale, ratio)
        planner = Planner(
            drawn, snap, self._lettering, self._display, layers=layers, laid_at=laid_at
        )
        made = planner.plan(roomy=roomy)
        self._kept[drawn.piece.name] = (key, drawn, made)
        return made

    def margins(self, drawn: Drawn, scale: float) -> Margins:
        """Room for dimensions and name around a piece shown at `scale` px per mm; mm."""
        key = (scale, self._display.unit.label, self._display.step)
        kept = self._margins.get(drawn.piece.name)
        if kept is not None and kept[0] == key and kept[1] is drawn:
            return kept[2]
        made = self._room_around(drawn, scale)
        self._margins[drawn.piece.name] = (key, drawn, made)
        return made

    def _room_around(self, drawn: Drawn, scale: float) -> Margins:
        row = row_height(self._lettering)
        count = {out: rows(drawn.dimensions, out) for out in (Out.LEFT, Out.BELOW, Out.RIGHT)}
        head, edge = head_of(drawn, scale, self._lettering, self._display), drawn.bounds[3]
        right = max(row * count[Out.RIGHT] + 6.0, self._beside(drawn, Out.RIGHT, scale))
        top = max((each.end[1] for each in drawn.dimensions), default=0.0)
        return (
            max(row * count[Out.LEFT] + 4.0, self._beside(drawn, Out.LEFT, scale)) / scale,
            (row * count[Out.BELOW] + 6.0) / scale,
            max(right, head.beyond) / scale,
            (head.name + head.sizes) / scale + max(top - edge, 0.0),
        )

    def _beside(self, drawn: Drawn, out: Out, scale: float) -> float:
        """Px that numbers need which are longer than their upright lines."""
        need, row = 0.0, row_height(self._lettering)
        for each in drawn.dimensions:
            if each.out is not out or each.level or lies_over(each, drawn):
                continue
            if not fits_along(each, scale, self._lettering, self._display):
                number = self._lettering.figure(each.length, self._display)
                wide, _ = self._lettering.size(number, Hand.FIGURE)
                need = max(need, wide + line_offset(each, row) + BESIDE + 2.0)
        return need
