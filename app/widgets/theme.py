"""The window's own few colours, and the look that both drawing panes share: light and dark.

Everything else follows the platform's palette. Each colour meets 4.5 : 1 against the
palette's base and window colours (WCAG 2.2, 1.4.3 Contrast (Minimum), level AA). Of a drawing,
lines and words meet it against the paper, and lines 3 : 1 against the goods that they lie on
(1.4.11). Widths are device-independent pixels.
"""

from collections.abc import Callable
from functools import partial
from typing import Any, NamedTuple, TypeVar

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QFont, QPalette, QPen

from app.widgets.desktop import mixed, translucent
from core.model.findings import Severity

Key = TypeVar("Key")
Made = TypeVar("Made")

_SEVERITIES = {
    Severity.STOP: (QColor("#a8222b"), QColor("#ff8f8a")),
    Severity.WARN: (QColor("#885200"), QColor("#f0b34d")),
    Severity.NOTE: (QColor("#1f5f8b"), QColor("#8cc4ec")),
}
"""In light and in dark surroundings."""


def is_dark(palette: QPalette) -> bool:
    """Whether text is lighter than what it stands on."""
    return palette.windowText().color().lightness() > palette.window().color().lightness()


def severity_colour(severity: Severity, palette: QPalette) -> QColor:
    """Of a finding's sign and word."""
    return _SEVERITIES[severity][is_dark(palette)]


_TONES = {severity: partial(severity_colour, severity) for severity in Severity}


def severity_tone(severity: Severity) -> Callable[[QPalette], QColor]:
    """`severity_colour` of one severity."""
    return _TONES[severity]


def problem_colour(palette: QPalette) -> QColor:
    """Of text that cannot be taken, and of what is said about it."""
    return severity_colour(Severity.STOP, palette)


def change_colour(palette: QPalette) -> QColor:
    """Of what differs from the starting bag."""
    return severity_colour(Severity.NOTE, palette)


def text_colour(palette: QPalette) -> QColor:
    """Of plain text."""
    return palette.windowText().color()


def muted_colour(palette: QPalette) -> QColor:
    """Of text that stands back: between text and window, still above 4.5 : 1."""
    return mixed(palette.windowText().color(), palette.window().color(), 0.68)


def rule_colour(palette: QPalette) -> QColor:
    """Of a thin line between groups."""
    return translucent(palette.windowText().color(), 0.16)


def highlight_wash(palette: QPalette) -> QColor:
    """Behind a row that the maker was led to."""
    return translucent(palette.highlight().color(), 0.16)


def heading_font(font: QFont) -> QFont:
    """Of a group's title."""
    heading = QFont(font)
    heading.setWeight(QFont.Weight.DemiBold)
    return heading


class Cache(dict[Key, Made]):
    """What was made, by what it is made from; what is not there is made when it is asked for.

    What is older goes when there are more than `most`.
    """

    def __init__(self, most: int, make: Callable[[Key], Made]) -> None:
        super().__init__()
        self._most, self._make = most, make

    def __missing__(self, key: Key) -> Made:
        if len(self) > self._most:
            self.clear()
        made = self[key] = self._make(key)
        return made


class DrawingTheme(NamedTuple):
    """Colours and pen widths of the drawing panes.

    Attributes:
        dark: whether the theme is dark.
        paper: the ground that is drawn on.
        ink: words.
        cut, stitch, fold, placement, baste, grain, dimension: one for each kind of line.
        starting: the outline of the bag that the work started from.
        highlight, mate: the edge that is pointed at, and the edges it is sewn to.
        gap: where a seam does not meet.
        outer, inner: the wall from outside and from inside.
        allowance: seam allowances of the wall.
        zip, teeth: tape and teeth of the zip.
        pocket, handle, board: their goods.
        shadow: on the ground; its alpha is that of the darkest place.
        thin, line, bold, glow: pen widths: creases, ordinary lines, cut lines, a lit edge.
    """

    dark: bool
    paper: QColor
    ink: QColor
    cut: QColor
    stitch: QColor
    fold: QColor
    placement: QColor
    baste: QColor
    grain: QColor
    dimension: QColor
    starting: QColor
    highlight: QColor
    mate: QColor
    gap: QColor
    outer: QColor
    inner: QColor
    allowance: QColor
    zip: QColor
    teeth: QColor
    pocket: QColor
    handle: QColor
    board: QColor
    shadow: QColor
    thin: float = 0.8
    line: float = 1.2
    bold: float = 1.8
    glow: float = 4.0

    @classmethod
    def for_palette(cls, palette: QPalette) -> "DrawingTheme":
        """The look that suits the window's colours; paper and ink are the palette's own."""
        paper = palette.color(QPalette.ColorRole.Base)
        ink = palette.color(QPalette.ColorRole.Text)
        dark = paper.lightnessF() < 0.5
        colours: dict[str, Any] = {name: QColor(pair[dark]) for name, pair in _COLOURS.items()}
        colours["shadow"].setAlphaF(0.55 if dark else 0.28)
        return cls(dark=dark, paper=paper, ink=ink, **colours)


def lit_pens(look: DrawingTheme, join: Qt.PenJoinStyle = Qt.PenJoinStyle.BevelJoin) -> list[QPen]:
    """Of the lines that a sewing step works on: their halo, which is drawn first, and their own."""
    round_end = Qt.PenCapStyle.RoundCap
    strokes = ((look.paper, look.glow + 2.0), (look.highlight, look.glow - 1.0))
    return [QPen(colour, width, c=round_end, j=join) for colour, width in strokes]


def greyed(look: DrawingTheme) -> DrawingTheme:
    """The look of what is older than the numbers: its goods half way to the paper, nearly grey."""
    goods = ("outer", "inner", "zip", "teeth", "pocket", "handle", "board", "placement")
    colours: dict[str, Any] = {name: _greyed(getattr(look, name), look.paper) for name in goods}
    return look._replace(**colours)


def _greyed(colour: QColor, paper: QColor) -> QColor:
    grey = colour.lightness()
    pairs = (
        (colour.red(), paper.red()),
        (colour.green(), paper.green()),
        (colour.blue(), paper.blue()),
    )
    return QColor(*(round((0.4 * own + 0.6 * grey + ground) / 2) for own, ground in pairs))


_COLOURS = {
    "cut": ("#20242a", "#f0ede6"),
    "stitch": ("#9c2f16", "#ffb199"),
    "fold": ("#1c4f96", "#9cc4ff"),
    "placement": ("#1f5c33", "#9adfae"),
    "baste": ("#70348c", "#dcb6f2"),
    "grain": ("#4a5058", "#c3c8ce"),
    "dimension": ("#33475b", "#c2d3e4"),
    "starting": ("#5c636b", "#b2bac2"),
    "highlight": ("#b23a00", "#ffb066"),
    "mate": ("#0b5f80", "#7fd6f2"),
    "gap": ("#b0102e", "#ff9aa8"),
    "outer": ("#e6d8bd", "#655843"),
    "inner": ("#bcd6d2", "#375350"),
    "allowance": ("#f1e9d8", "#4d4436"),
    "zip": ("#3d4a55", "#171c21"),
    "teeth": ("#d9dde0", "#b9c1c8"),
    "pocket": ("#d9bd8e", "#6d5227"),
    "handle": ("#8a5a3a", "#a8774f"),
    "board": ("#b9ad9a", "#6b655b"),
    "shadow": ("#2a2f36", "#000000"),
}
"""Of the drawing panes, on light and on dark paper."""
