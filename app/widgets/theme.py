"""The window's own few colours, and the look that both drawing panes share: light and dark.

Everything else follows the platform's palette. Each colour meets 4.5 : 1 against the
palette's base and window colours (WCAG 2.2, 1.4.3 Contrast (Minimum), level AA). Of a drawing,
lines and words meet it against the paper, and lines 3 : 1 against the goods that they lie on
(1.4.11). Widths are device-independent pixels.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from PySide6.QtGui import QColor, QFont, QPalette

from app.widgets.desktop import mixed
from core.model.findings import Severity

_LIGHT = {
    Severity.STOP: QColor("#a8222b"),
    Severity.WARN: QColor("#885200"),
    Severity.NOTE: QColor("#1f5f8b"),
}
_DARK = {
    Severity.STOP: QColor("#ff8f8a"),
    Severity.WARN: QColor("#f0b34d"),
    Severity.NOTE: QColor("#8cc4ec"),
}


def is_dark(palette: QPalette) -> bool:
    """Whether text is lighter than what it stands on."""
    return palette.windowText().color().lightness() > palette.window().color().lightness()


def severity_colour(severity: Severity, palette: QPalette) -> QColor:
    """Of a finding's sign and word."""
    return (_DARK if is_dark(palette) else _LIGHT)[severity]


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
    colour = palette.windowText().color()
    colour.setAlphaF(0.16)
    return colour


def highlight_wash(palette: QPalette) -> QColor:
    """Behind a row that the maker was led to."""
    colour = palette.highlight().color()
    colour.setAlphaF(0.16)
    return colour


def heading_font(font: QFont) -> QFont:
    """Of a group's title."""
    heading = QFont(font)
    heading.setWeight(QFont.Weight.DemiBold)
    return heading


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Colours and pen widths of the drawing panes.

    Attributes:
        dark: whether the theme is dark.
        paper: the ground that is drawn on.
        ink: words.
        faint: rulings that carry no meaning of their own.
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
    faint: QColor
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
    def for_palette(cls, palette: QPalette) -> "Look":
        """The look that suits the window's colours; paper and ink are the palette's own."""
        paper = palette.color(QPalette.ColorRole.Base)
        ink = palette.color(QPalette.ColorRole.Text)
        dark = paper.lightnessF() < 0.5
        names = _LOOK_DARK if dark else _LOOK_LIGHT
        c = {name: QColor(code) for name, code in names.items()}
        c["shadow"].setAlphaF(0.55 if dark else 0.28)
        return cls(
            dark=dark,
            paper=paper,
            ink=ink,
            faint=c["faint"],
            cut=c["cut"],
            stitch=c["stitch"],
            fold=c["fold"],
            placement=c["placement"],
            baste=c["baste"],
            grain=c["grain"],
            dimension=c["dimension"],
            starting=c["starting"],
            highlight=c["highlight"],
            mate=c["mate"],
            gap=c["gap"],
            outer=c["outer"],
            inner=c["inner"],
            allowance=c["allowance"],
            zip=c["zip"],
            teeth=c["teeth"],
            pocket=c["pocket"],
            handle=c["handle"],
            board=c["board"],
            shadow=c["shadow"],
        )


def greyed(look: Look) -> Look:
    """The look of what is older than the numbers: its goods half way to the paper, nearly grey."""
    return replace(
        look,
        outer=_greyed(look.outer, look.paper),
        inner=_greyed(look.inner, look.paper),
        zip=_greyed(look.zip, look.paper),
        teeth=_greyed(look.teeth, look.paper),
        pocket=_greyed(look.pocket, look.paper),
        handle=_greyed(look.handle, look.paper),
        board=_greyed(look.board, look.paper),
        placement=_greyed(look.placement, look.paper),
    )


def _greyed(colour: QColor, paper: QColor) -> QColor:
    grey = colour.lightness()
    pairs = (
        (colour.red(), paper.red()),
        (colour.green(), paper.green()),
        (colour.blue(), paper.blue()),
    )
    return QColor(*(round((0.4 * own + 0.6 * grey + ground) / 2) for own, ground in pairs))


_LOOK_LIGHT = {
    "faint": "#d6d9dd",
    "cut": "#20242a",
    "stitch": "#9c2f16",
    "fold": "#1c4f96",
    "placement": "#1f5c33",
    "baste": "#70348c",
    "grain": "#4a5058",
    "dimension": "#33475b",
    "starting": "#5c636b",
    "highlight": "#b23a00",
    "mate": "#0b5f80",
    "gap": "#b0102e",
    "outer": "#e6d8bd",
    "inner": "#bcd6d2",
    "allowance": "#f1e9d8",
    "zip": "#3d4a55",
    "teeth": "#d9dde0",
    "pocket": "#d9bd8e",
    "handle": "#8a5a3a",
    "board": "#b9ad9a",
    "shadow": "#2a2f36",
}
_LOOK_DARK = {
    "faint": "#43484f",
    "cut": "#f0ede6",
    "stitch": "#ffb199",
    "fold": "#9cc4ff",
    "placement": "#9adfae",
    "baste": "#dcb6f2",
    "grain": "#c3c8ce",
    "dimension": "#c2d3e4",
    "starting": "#b2bac2",
    "highlight": "#ffb066",
    "mate": "#7fd6f2",
    "gap": "#ff9aa8",
    "outer": "#655843",
    "inner": "#375350",
    "allowance": "#4d4436",
    "zip": "#171c21",
    "teeth": "#b9c1c8",
    "pocket": "#6d5227",
    "handle": "#a8774f",
    "board": "#6b655b",
    "shadow": "#000000",
}
