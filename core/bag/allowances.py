"""Seam allowances: what they must be, and other ones that leave every finished size as it is.

Lengths are mm.
"""

import re
from dataclasses import dataclass, replace
from typing import Any, NamedTuple, TypeVar

from core.base.errors import FieldError
from core.base.sentences import Number, Sentence, listed, mark, say, typed
from core.base.tolerance import shorter
from core.base.units import MM_PER_INCH, Unit
from core.bodies.boxed_panel.panel import BoxedPanel
from core.goods.layers import LEAST_SINGLE, Sandwich
from core.model.figures import CutFigure
from core.model.findings import Allowance, Finding, Fix, Severity
from core.parts.handles.handles import Handles
from core.parts.pocket.pocket import Pocket
from core.tops.top import Top
from core.tops.zip_forward.zip import ZIP_END, ZipForward, sold_length

SLIDER_ROOM = 5.0
"""What a slider is wider than the closed teeth, mm (own choice)."""
USUAL_GAUGE = 5.0
"""Taken where a zip's gauge is no number that the trade uses."""
GAUGES = (2.0, 20.0)
"""The trade's numbers: about the width of the closed teeth in mm (common practice, no source)."""


def usual_allowance(unit: Unit) -> float:
    """The allowance that a new seam is given: 3/8 in, or 10 mm (common practice, no source)."""
    return 3 * MM_PER_INCH / 8 if unit is Unit.INCH else 10.0


P = TypeVar("P", BoxedPanel, Pocket, Handles, ZipForward)


def teeth_width(closure: ZipForward) -> float:
    """Width of the closed teeth, mm, by the first number in the zip's gauge.

    A gauge without such a number is taken as `USUAL_GAUGE`: `gauge_is_told` says which.
    """
    number = _gauge(closure)
    return USUAL_GAUGE if number is None else number


def gauge_is_told(closure: ZipForward) -> bool:
    """Whether the zip's gauge holds a number that the trade uses."""
    return _gauge(closure) is not None


def _gauge(closure: ZipForward) -> float | None:
    found = re.search(r"[0-9]{1,3}(\.[0-9]{1,3})?", closure.gauge)
    number = float(found[0]) if found else 0.0
    return number if GAUGES[0] <= number <= GAUGES[1] else None


class _Seam(NamedTuple):
    """What a seam is called, its allowance, the least that holds, the most that is of use, mm.

    Lengths are mm.
    """

    label: str
    size: float
    least: float
    most: float
    raw: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamAllowances:
    """What has to do with a bag's seam allowances.

    Attributes:
        panel, closure, pocket, handles, sandwich: the parts that they join or place.
        sewn: the allowances of every seam that is sewn.
        unit: of the allowances that a new seam is given.
        zip_lengths: lengths in which zips are sold, ascending.
        bottom_is_free: whether a bottom seam could be sewn: no fused board lies there by then.
    """

    body: BoxedPanel
    top: Top
    sewn: tuple[Allowance, ...]
    pocket: Pocket | None
    handles: Handles | None
    sandwich: Sandwich
    unit: Unit
    zip_lengths: tuple[float, ...]
    bottom_is_free: bool

    def findings(self) -> tuple[Finding, ...]:
        """Seams with no allowance, too little or too much, teeth in their way, turned prints."""
        return (
            *self._none(),
            *self._thin(),
            *self._wide(),
            *self._teeth(),
            *self._print(),
        )

    # --- Too little to sew in -------------------------------------------------------------

    def _seams(self) -> dict[str, _Seam]:
        """The seams that are sewn, by the figure of their allowance."""
        least = self.sandwich.least_allowance
        return {
            each.figure: _Seam(
                each.label, each.size, least if each.layered else LEAST_SINGLE, each.most, each.raw
            )
            for each in self.sewn
        }

    def _none(self) -> tuple[Finding, ...]:
        none = {name: each for name, each in self._seams().items() if not shorter(0.0, each.size)}
        if not none:
            return ()
        figure, worst = next(iter(none.items()))
        raw = worst.raw if len(none) == 1 else ""
        message = Sentence(raw) if raw else Sentence(_NONE, words={"seams": _listed(none)})
        return (
            Finding(
                code="no-allowance",
                severity=Severity.WARN if raw else Severity.STOP,
                figure=figure,
                value=worst.size,
                limit=worst.least,
                message=message,
                fixes=self._usual(none),
            ),
        )

    def _thin(self) -> tuple[Finding, ...]:
        thin = {
            name: each
            for name, each in self._seams().items()
            if shorter(0.0, each.size) and shorter(each.size, each.least)
        }
        if not thin:
            return ()
        figure = min(thin, key=lambda name: thin[name].size / thin[name].least)
        size, least = thin[figure].size, thin[figure].least
        return (
            Finding(
                code="thin-allowance",
                severity=Severity.WARN,
                figure=figure,
                value=size,
                limit=least,
                message=Sentence(_THIN, {"value": size, "limit": least}, {"seams": _listed(thin)}),
                fixes=self._usual(thin),
            ),
        )

    def _wide(self) -> tuple[Finding, ...]:
        # What the wall needs is never too much.
        seams = {
            name: each._replace(most=max(each.most, each.least))
            for name, each in self._seams().items()
        }
        wide = {name: each for name, each in seams.items() if shorter(each.most, each.size)}
        if not wide:
            return ()
        figure = max(wide, key=lambda name: wide[name].size / wide[name].most)
        size, most = wide[figure].size, wide[figure].most
        return (
            Finding(
                code="wide-allowance",
                severity=Severity.NOTE,
                figure=figure,
                value=size,
                limit=most,
                message=Sentence(_WIDE, {"value": size, "limit": most}, {"seams": _listed(wide)}),
                fixes=self._usual(wide),
            ),
        )

    def _usual(self, figures: dict[str, _Seam]) -> tuple[Fix, ...]:
        """The usual allowance at these seams, or what the wall needs where that is more."""
        size = max(usual_allowance(self.unit), self.sandwich.least_allowance)
        template = _KEEP
        tape, closure = None, self.top
        if isinstance(closure, ZipForward) and "zip_seam" in figures:
            least = 2 * size + teeth_width(closure) + SLIDER_ROOM
            if shorter(closure.tape_width, least):
                template = _KEEP_WITH_TAPE
                tape = least
        changes = self.with_allowances(dict.fromkeys(figures, size), tape_width=tape)
        if changes is None:
            return ()
        lengths = {"value": size} if tape is None else {"value": size, "tape": tape}
        label = Sentence(template, lengths, {"seams": _listed(figures)})
        return (Fix(label, tuple(changes.items())),)

    # --- Teeth ----------------------------------------------------------------------------

    def _teeth(self) -> tuple[Finding, ...]:
        closure, panel = self.top, self.body
        if not isinstance(closure, ZipForward):
            return ()
        teeth = teeth_width(closure)
        shows, needed = closure.tape_width - 2 * panel.top_seam, teeth + SLIDER_ROOM
        if not shorter(shows, needed):
            return ()
        sewn_over = shorter(shows, teeth)
        limit = teeth if sewn_over else needed
        numbers = {"gauge": Number(teeth)}
        assumed = say("not given, assumed {gauge}", numbers=numbers)
        gauge = typed(numbers["gauge"].text()) if gauge_is_told(closure) else assumed
        lengths = {"value": shows, "limit": limit, "teeth": teeth}
        return (
            Finding(
                code="teeth-under-needle",
                severity=Severity.STOP if sewn_over else Severity.WARN,
                figure="zip_tape_width",
                value=closure.tape_width,
                limit=limit + 2 * panel.top_seam,
                message=Sentence(_TEETH if sewn_over else _SLIDER, lengths, terms={"gauge": gauge}),
                fixes=self._teeth_fixes(closure, needed),
            ),
        )

    def _teeth_fixes(self, closure: ZipForward, needed: float) -> tuple[Fix, ...]:
        """Sew nearer to the tape's edge where that holds; else, or also, a wider tape."""
        fixes = []
        seam = (closure.tape_width - needed) / 2
        if not shorter(seam, self.sandwich.least_allowance):
            label = say("Sew the zip {value} from the edge", value=seam)
            fixes.append((label, self.with_allowances({"zip_seam": seam})))
        tape = needed + 2 * self.body.top_seam
        label = say("Use a zip with tape {value} wide", value=tape)
        fixes.append((label, self.with_allowances({}, tape_width=tape)))
        return tuple(Fix(label, tuple(each.items())) for label, each in fixes if each)

    # --- Print ----------------------------------------------------------------------------

    def _print(self) -> tuple[Finding, ...]:
        outer = self.sandwich.layers[0]
        if not (outer.one_way and self.body.folded):
            return ()
        size = max(usual_allowance(self.unit), self.sandwich.least_allowance)
        changes = self.with_allowances({"bottom_seam": size})
        label = say("Join front and back with a bottom seam of {value}", value=size)
        helps = changes is not None and self.bottom_is_free
        fixes = (Fix(label, tuple(changes.items())),) if changes and helps else ()
        return (
            Finding(
                code="print-upside-down",
                severity=Severity.WARN,
                figure="bottom_seam",
                value=0.0,
                limit=None,
                message=Sentence(_PRINT, words={"goods": outer.title}),
                fixes=fixes,
            ),
        )

    # --- Other allowances, the same finished sizes ----------------------------------------

    def with_allowances(
        self, allowances: dict[str, float], *, tape_width: float | None = None
    ) -> dict[str, float] | None:
        """The changes of cut figures that give these allowances and leave finished sizes alone.

        Opening, base, gusset, face, zip offset, pocket and handle drops stay exactly as they
        are, and so does the mismatch of the corner seams; what shows of the zip, and with it
        the zip clearance, follows from the zip seam and the tape.

        Args:
            allowances: side_seam, corner_seam, zip_seam, bottom_seam, pocket_seam; those that
                change, mm.
            tape_width: of another zip.

        Returns:
            Figure -> new value; None where no bag can be so.
        """
        panel, old = self.body, {each.name: each for each in BoxedPanel.FIGURES}
        was = {name: getattr(panel, figure.attribute) for name, figure in old.items()}
        more = {name: allowances.get(name, size) - size for name, size in was.items()}
        side, corner, top, bottom = (
            more[name] for name in ("side_seam", "corner_seam", "zip_seam", "bottom_seam")
        )
        shows, tape = 0.0, tape_width
        if isinstance(self.top, ZipForward):
            tape = self.top.tape_width if tape_width is None else tape_width
            shows = tape - self.top.tape_width - 2 * top
        more["panel_width"] = 2 * side
        more["panel_length"] = 2 * (top + bottom) - shows
        if panel.has_corners and not panel.sewn_across:
            more["corner_cut_width"] = side - corner
            more["corner_cut_depth"] = bottom - corner
        changes = {name: was[name] + size for name, size in more.items() if size != 0.0}
        if tape_width is not None:
            changes["zip_tape_width"] = tape_width
        if isinstance(self.top, ZipForward) and side > 0.0:
            needed = panel.width + 2 * side + 2 * ZIP_END
            if shorter(self.top.length, needed):
                changes["zip_length"] = self._sold(needed)
        # Where a pocket or a stop lies is told from the cut top edge, which moves with these.
        changes |= self._laid_on(allowances, moved=more["panel_length"] / 2 - bottom)
        return changes if self._can_be(changes, tape) else None

    def _sold(self, needed: float) -> float:
        by_length = isinstance(self.top, ZipForward) and self.top.by_length
        return needed if by_length else sold_length(needed, self.zip_lengths)

    def _laid_on(self, allowances: dict[str, float], *, moved: float) -> dict[str, float]:
        changes: dict[str, float] = {}
        pocket = self.pocket
        if pocket is not None and "pocket_seam" in allowances:
            changes["pocket_seam"] = allowances["pocket_seam"]
            changes["pocket_cut_height"] = 2 * (pocket.height + allowances["pocket_seam"])
        if pocket is not None and moved != 0.0:
            changes["pocket_drop"] = pocket.drop + moved
        if self.handles is not None and moved != 0.0:
            changes["handle_stop"] = self.handles.stop + moved
        return changes

    def _can_be(self, changes: dict[str, float], tape: float | None) -> bool:
        """Whether the parts take these changes, and corners, pocket and zip stay what they are."""
        try:
            panel = _changed(self.body, BoxedPanel.FIGURES, changes)
            pocket = self.pocket and _changed(self.pocket, Pocket.FIGURES, changes)
            handles = self.handles and _changed(self.handles, Handles.FIGURES, changes)
            if isinstance(self.top, ZipForward):
                _changed(self.top, ZipForward.FIGURES, changes)
        except FieldError:
            return False
        corners = (panel.corner_width, panel.corner_depth)
        cut_out = self.body.has_corners and not panel.sewn_across
        if cut_out and not shorter(0.0, min(corners)):
            return False
        if handles is not None and shorter(panel.width, handles.gap + 2 * handles.width):
            return False
        if pocket is not None and self.pocket is not None:
            runs, ran = _into_corner(pocket, panel), _into_corner(self.pocket, self.body)
            if shorter(0.0, runs) and not shorter(0.0, ran):
                return False
            if shorter(pocket.drop, panel.top_seam):
                return False
        room = _front_above_base(panel)
        if not shorter(0.0, room) and shorter(room, _front_above_base(self.body)):
            return False
        return tape is None or shorter(2 * panel.top_seam, tape)


def _into_corner(pocket: Pocket, panel: BoxedPanel) -> float:
    """How far the lowest pocket runs into the corner cut; negative where it stays above."""
    lowest = min(panel.top(face) for face in pocket.faces.faces) - pocket.drop - pocket.height
    return max(panel.cut_depth - panel.bottom_seam, 0.0) - lowest


def _front_above_base(panel: BoxedPanel) -> float:
    """From the base edge up to the stitch line at the top of the front."""
    edge = panel.cut_depth + panel.corner_seam if panel.has_corners else panel.bottom_seam
    return panel.front_length - panel.top_seam - max(edge, panel.bottom_seam)


def _changed(part: P, figures: tuple[CutFigure, ...], changes: dict[str, float]) -> P:
    values: dict[str, Any] = {
        figure.attribute: round(changes[figure.name], 9)
        for figure in figures
        if figure.name in changes
    }
    return replace(part, **values)


def _listed(seams: dict[str, _Seam]) -> str:
    return listed([each.label for each in seams.values()])


_KEEP = mark("Allow {value} at the {seams}, keeping the finished sizes")
_KEEP_WITH_TAPE = mark(
    "Allow {value} at the {seams}, keeping the finished sizes, and use a zip with tape {tape} wide"
)
_NONE = mark(
    "There is no allowance at the {seams}: the needle would run along the cut edge, where "
    "nothing holds the stitches."
)
_THIN = mark(
    "The allowance at the {seams} is only {value}: it needs {limit} to hold, or the "
    "stitches pull out over the edge."
)
_WIDE = mark(
    "The allowance at the {seams} is {value} wide: beyond {limit} it hangs loose inside "
    "the bag, unless it is trimmed after sewing."
)
_TEETH = mark(
    "Only {value} of the zip shows between its stitch lines, and teeth of its gauge "
    "({gauge}) are {limit} wide: the needle would hit them."
)
_SLIDER = mark(
    "Only {value} of the zip shows between its stitch lines: teeth of its gauge ({gauge}) are "
    "{teeth} wide, and the slider needs {limit} to pass."
)
_PRINT = mark(
    "The print or nap of {goods} runs one way, and the panel runs down one face and up the "
    "other: on the back it is upside down."
)
