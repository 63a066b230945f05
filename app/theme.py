"""The window's own few colours, for light and dark surroundings.

Everything else follows the platform's palette. Each colour meets 4.5 : 1 against the
palette's base and window colours (WCAG 2.2, 1.4.3 Contrast (Minimum), level AA).
"""

from collections.abc import Callable
from functools import partial

from PySide6.QtGui import QColor, QFont, QPalette

from core.findings import Severity

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
    text, window = palette.windowText().color(), palette.window().color()
    share = 0.68
    return QColor.fromRgbF(
        *(
            share * one + (1 - share) * other
            for one, other in (
                (text.redF(), window.redF()),
                (text.greenF(), window.greenF()),
                (text.blueF(), window.blueF()),
            )
        )
    )


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
